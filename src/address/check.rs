//! What is missing or malformed in an address. Comes in: the cleaned parts and
//! the country's record, if it is known; goes out: every problem, in the order
//! of `Part`. Not its job: the lines.
//!
//! A missing region is a warning where any other required part is an error: the
//! postcode names the region too, and mail arrives without it.

use strsim::osa_distance;

use super::country::{self, Country, Region};
use super::problem::{Problem, ProblemCode};
use super::text::fold;
use super::{CleanParts, Part, Sender, postcode, suggest};
use crate::findings::Severity;

/// Checks the sender once, so that each address need not.
#[must_use]
pub fn check_sender(sender: &Sender) -> Vec<Problem> {
    let mut problems = Vec::new();
    let code = sender.country.trim();
    if country::find(code).is_none() {
        problems.push(find_country_problem(code));
    }
    let language = sender.language.trim();
    if !language.is_empty() && country::language_column(language).is_none() {
        let known: Vec<_> = country::country_languages().collect();
        problems.push(Problem {
            code: ProblemCode::UnknownLanguage,
            severity: Severity::Warning,
            part: Part::Country,
            message: format!("no country names in language `{language}`; English is used"),
            hint: format!("write one of {}", known.join(", ")),
        });
    }
    problems
}

/// Whether a postcode has the shape of a country's, by its two letters; none where no shape is
/// known.
#[must_use]
pub fn postcode_fits(country: &str, postcode: &str) -> Option<bool> {
    let country = country::find(country).filter(|country| country.has_postcode())?;
    Some(postcode::fits(country, postcode))
}

/// Finds every problem of one address.
pub(super) fn find_problems(values: &CleanParts, country: Option<&Country>) -> Vec<Problem> {
    let mut problems = Vec::new();
    problems.extend(check_name(values));
    if let Some(country) = country {
        for part in [Part::Street, Part::City, Part::Region, Part::Postcode] {
            problems.extend(check_missing(values, country, part));
        }
        problems.extend(check_region(values, country));
        problems.extend(check_postcode(values, country));
    } else {
        problems.push(find_country_problem(&values.on_one_line(Part::Country)));
    }
    problems.sort_by_key(|problem| problem.part);
    problems
}

/// A firm without a person is enough for an address; neither of the two is not.
fn check_name(values: &CleanParts) -> Option<Problem> {
    let company = values.has(Part::Company);
    (!values.has(Part::Name)).then(|| Problem {
        code: ProblemCode::MissingName,
        severity: if company { Severity::Note } else { Severity::Error },
        part: Part::Name,
        message: String::from(if company {
            "no `name`, only a `company`"
        } else {
            "missing `name`: nobody to deliver to"
        }),
        hint: String::from("add the person's `name`"),
    })
}

/// A part that the country's addresses need and that was not given.
fn check_missing(values: &CleanParts, country: &Country, part: Part) -> Option<Problem> {
    // Where a format knows a region but no town, people give the town.
    let as_city = part == Part::Region && values.has(Part::City) && !country.latin.contains("%C");
    if values.has(part) || !country.needs(part) || as_city {
        return None;
    }
    let example = if part == Part::Postcode { country.examples().next() } else { None };
    let such_as = example.map(|text| format!(", such as `{text}`"));
    Some(Problem {
        code: ProblemCode::MissingPart,
        severity: if part == Part::Region { Severity::Warning } else { Severity::Error },
        part,
        message: format!(
            "missing `{part}`, which addresses in {} ({}) need",
            country.name("en"),
            country.code
        ),
        hint: format!("add `{part}`{}", such_as.unwrap_or_default()),
    })
}

/// A postcode of the wrong shape, or where the country has none.
fn check_postcode(values: &CleanParts, country: &Country) -> Option<Problem> {
    let given = values.on_one_line(Part::Postcode);
    if given.is_empty() || country.has_postcode() && postcode::fits(country, &given) {
        return None;
    }
    let name = country.name("en");
    if !country.has_postcode() {
        return Some(Problem {
            code: ProblemCode::UnexpectedPostcode,
            severity: Severity::Note,
            part: Part::Postcode,
            message: format!("postcode `{given}` given, but none is known for {name}"),
            hint: format!("leave `{given}` out if it only fills the field"),
        });
    }
    let examples: Vec<_> = country.examples().take(2).map(|text| format!("`{text}`")).collect();
    let examples = examples.join(" or ");
    Some(Problem {
        code: ProblemCode::MalformedPostcode,
        severity: Severity::Warning,
        part: Part::Postcode,
        message: format!(
            "expected a postcode of {name} ({}) such as {examples}, found `{given}`",
            country.code
        ),
        hint: match postcode::suggest(country, &given) {
            Some(meant) => format!("write `{meant}` if that is meant"),
            None => format!("write a postcode such as {examples}"),
        },
    })
}

/// A region by name where the short code is written, or one that is not known.
fn check_region(values: &CleanParts, country: &Country) -> Option<Problem> {
    let regions = &country.regions;
    if !values.has(Part::Region) || regions.is_empty() {
        return None;
    }
    let given = values.on_one_line(Part::Region);
    let short = fold(&given).replace(['.', ' '], "");
    if regions.iter().any(|region| fold(region.short) == short) {
        return None;
    }
    let name = country.name("en");
    Some(match find_region(regions, &given) {
        Some(Region { short, .. }) => Problem {
            code: ProblemCode::RegionName,
            severity: Severity::Note,
            part: Part::Region,
            message: format!("region `{given}` is written `{short}` in {name}"),
            hint: format!("write `{short}`"),
        },
        None => Problem {
            code: ProblemCode::UnknownRegion,
            severity: Severity::Warning,
            part: Part::Region,
            message: format!("no region `{given}` is known in {name}"),
            hint: format!("write its short code, such as `{}`", regions[0].short),
        },
    })
}

/// The region whose name is nearest, one slip in four letters allowed.
fn find_region(regions: &[Region], given: &str) -> Option<Region> {
    let folded = fold(given);
    let allowed = folded.chars().count() / 4;
    let distance = |region: &Region| {
        let distances = region.names().map(|name| osa_distance(&fold(name), &folded));
        distances.min().unwrap_or(usize::MAX)
    };
    let nearest = regions.iter().min_by_key(|region| distance(region))?;
    (distance(nearest) <= allowed).then_some(*nearest)
}

/// What is wrong with a country that has no record.
fn find_country_problem(given: &str) -> Problem {
    if given.is_empty() {
        return Problem {
            code: ProblemCode::MissingCountry,
            severity: Severity::Error,
            part: Part::Country,
            message: String::from("missing `country`"),
            hint: String::from("add `country`, a two-letter ISO 3166 code such as `DE`"),
        };
    }
    let meant: Vec<_> = suggest::suggest(given)
        .iter()
        .map(|country| format!("`{}` for {}", country.code, country.name("en")))
        .collect();
    Problem {
        code: ProblemCode::UnknownCountry,
        severity: Severity::Error,
        part: Part::Country,
        message: format!("unknown country code `{given}`"),
        hint: if meant.is_empty() {
            String::from("write a two-letter ISO 3166 code such as `DE`")
        } else {
            format!("write {}", meant.join(" or "))
        },
    }
}

#[cfg(test)]
mod tests {
    use super::{CleanParts, ProblemCode, country, find_problems};
    use crate::address::Parts;

    /// Every country that has postcodes refuses what is none of them, and takes its own.
    #[test]
    fn every_country_with_postcodes_tells_a_malformed_one() {
        let mut told = 0;
        for country in country::all().filter(|country| country.has_postcode()) {
            let finds = |postcode: &str| {
                let parts = Parts {
                    postcode: postcode.into(),
                    country: country.code.into(),
                    ..Parts::default()
                };
                let problems = find_problems(&CleanParts::new(&parts), Some(country));
                problems.iter().any(|problem| problem.code == ProblemCode::MalformedPostcode)
            };
            for example in country.examples() {
                assert!(!finds(example), "{} {example}", country.code);
                for slip in ["?".to_owned(), format!("{example}#"), format!("Q{example}Q9")] {
                    assert!(finds(&slip), "{} {slip}", country.code);
                }
            }
            told += 1;
        }
        assert_eq!(told, 181);
    }
}
