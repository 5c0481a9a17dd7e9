//! Postal addresses: parts and a country become lines in that country's order.
//!
//! Comes in: the [`Parts`] of one address and the [`Sender`] whose post reads
//! it. Goes out: [`Formatted`], the lines from top to bottom with the role of
//! each, and every [`Problem`] found. Every part that was given stands in the
//! lines, in a seat of its own where the country's format has none.
//!
//! The country line is left out when the sender's country is the address's own.
//! For a return address on mail abroad, format the seller's parts with the
//! destination's country as the sender's.
//!
//! Not its job: comparing addresses, breaking lines that are too long, deciding
//! what a problem stops. Where the tables come from: `address/data/SOURCES.md`.

mod capitals;
mod check;
mod country;
mod format;
mod post_languages;
mod postcode;
mod problem;
mod seats;
mod shape;
mod suggest;
mod text;

use std::fmt;

pub use check::{check_sender, postcode_fits};
pub use country::{country_codes, country_languages, country_name, example_postcodes};
pub use problem::{Problem, ProblemCode};
pub use suggest::{named_countries, suggest_countries};

use capitals::{CapitalI, capitalise};
use country::Country;
use post_languages::line_language;
use text::clean;

/// One address as the order gives it; an empty text means not given.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Parts {
    /// The person it goes to.
    pub name: String,
    /// The firm it goes to.
    pub company: String,
    /// The person or firm that takes it in, with its own "c/o", kept as given.
    pub care_of: Option<String>,
    /// Street, house, unit and box lines in the order given.
    pub lines: Vec<String>,
    /// Town.
    pub city: String,
    /// Part of the town: suburb, neighbourhood, townland.
    pub district: Option<String>,
    /// State, province, prefecture, county.
    pub region: String,
    /// Postcode, with or without the country's prefix to it.
    pub postcode: String,
    /// ISO 3166-1 alpha-2 code, in either case.
    pub country: String,
    /// Telephone number.
    pub phone: String,
}

/// Where the mail is posted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sender {
    /// ISO 3166-1 alpha-2 code; empty prints the country line always.
    pub country: String,
    /// Language of the country line as an ISO 639-1 code or a tag that starts
    /// with one. When it is empty, not among [`country_languages`], or no language
    /// that the post of `country` reads, the line is in English, which posts take
    /// as an international language.
    pub language: String,
}

/// One part of an address, named as in the orders.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// The person.
    Name,
    /// The firm.
    Company,
    /// Who takes it in.
    CareOf,
    /// Telephone number.
    Phone,
    /// Street, house, unit and box lines.
    Street,
    /// Part of the town.
    District,
    /// Town.
    City,
    /// State, province, prefecture, county.
    Region,
    /// Postcode, ZIP code, PIN: whatever its country calls it.
    Postcode,
    /// Country code.
    Country,
}

impl Part {
    /// The part's name in the orders.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Part::Name => "name",
            Part::Company => "company",
            Part::CareOf => "care_of",
            Part::Phone => "phone",
            Part::Street => "lines",
            Part::District => "district",
            Part::City => "city",
            Part::Region => "region",
            Part::Postcode => "postcode",
            Part::Country => "country",
        }
    }
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// What a finished line tells, for layouts that set lines apart or leave some out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// The person.
    Name,
    /// The firm.
    Company,
    /// Who takes it in.
    CareOf,
    /// Telephone number; not needed by the post.
    Phone,
    /// Street, house, unit and box, with whatever the format puts beside them.
    Street,
    /// Part of the town, on a line of its own.
    District,
    /// Town, region and postcode, together or one of them.
    Locality,
    /// The country, on a line of its own; only on what goes abroad.
    Country,
}

impl Role {
    /// The role's name for layouts and scripts.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Role::Name => "name",
            Role::Company => "company",
            Role::CareOf => "care_of",
            Role::Phone => "phone",
            Role::Street => "street",
            Role::District => "district",
            Role::Locality => "locality",
            Role::Country => "country",
        }
    }
}

/// One line as it is to be printed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AddressLine {
    /// Never empty; no space at either end, none doubled.
    pub text: String,
    /// What the line tells.
    pub role: Role,
}

/// A formatted address.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Formatted {
    /// From top to bottom.
    pub lines: Vec<AddressLine>,
    /// All that was found, in the order of [`Part`].
    pub problems: Vec<Problem>,
}

/// Sets an address in the order and capitals of its country.
///
/// The local form is taken when the town or region (else the street) is written
/// in another script than Latin, the Latin form otherwise. An unknown country
/// is a problem and falls back to name, company, street, town.
#[must_use]
pub fn format_address(parts: &Parts, from: &Sender) -> Formatted {
    let values = CleanParts::new(parts);
    let country = country::find(values.get(Part::Country));
    let problems = check::find_problems(&values, country);
    Formatted { lines: lay_values(values, country, from), problems }
}

/// The lines of [`format_address`] alone.
#[must_use]
pub fn lay_address(parts: &Parts, from: &Sender) -> Vec<AddressLine> {
    let values = CleanParts::new(parts);
    let country = country::find(values.get(Part::Country));
    lay_values(values, country, from)
}

/// A postcode as its country writes it, such as `EC1Y 8SY` of `ec1y8sy`; as it is given when it has
/// not the country's shape. No letter and no digit is changed.
#[must_use]
pub fn write_postcode(postcode: &str, country: &str) -> String {
    let known = country::find(country.trim());
    let form = known.and_then(|country| postcode::in_form(country, postcode));
    form.unwrap_or_else(|| postcode.to_owned())
}

/// The problems of [`format_address`] alone; they do not depend on where the mail is posted.
#[must_use]
pub fn check_address(parts: &Parts) -> Vec<Problem> {
    let values = CleanParts::new(parts);
    check::find_problems(&values, country::find(values.get(Part::Country)))
}

/// All lines of an address from the top, in the form of its country or in the usual one.
fn lay_values(
    values: CleanParts,
    country: Option<&'static Country>,
    from: &Sender,
) -> Vec<AddressLine> {
    let country_line = write_country(&values, country, from);
    let used = country.unwrap_or_else(country::fallback);
    let mut lines = format::lay_lines(values, used, country_line.as_deref());
    lines.extend(country_line.map(|text| AddressLine { text, role: Role::Country }));
    lines
}

/// The country line, or none for domestic mail; an unknown country as it was given.
fn write_country(values: &CleanParts, country: Option<&Country>, from: &Sender) -> Option<String> {
    let Some(country) = country else {
        let given = values.on_one_line(Part::Country);
        return (!given.is_empty()).then(|| capitalise(&given, CapitalI::Bare));
    };
    let sender = country::find(from.country.trim());
    let domestic = sender.is_some_and(|sender| sender.code == country.code);
    (!domestic).then(|| capitalise(country.name(line_language(from)), CapitalI::Bare))
}

/// The parts of one address, cleaned: lines trimmed, empty ones gone.
#[derive(Clone, Debug)]
struct CleanParts {
    /// The text of each part that was given, in the order of [`Part`].
    given: Vec<(Part, String)>,
}

impl CleanParts {
    /// Cleans every part; a part of several lines keeps them apart with line ends.
    fn new(parts: &Parts) -> CleanParts {
        let street = parts.lines.join("\n");
        let optional = |part: &Option<String>| part.as_deref().map(clean).unwrap_or_default();
        let all = [
            (Part::Name, clean(&parts.name)),
            (Part::Company, clean(&parts.company)),
            (Part::CareOf, optional(&parts.care_of)),
            (Part::Phone, clean(&parts.phone)),
            (Part::Street, clean(&street)),
            (Part::District, optional(&parts.district)),
            (Part::City, clean(&parts.city)),
            (Part::Region, clean(&parts.region)),
            (Part::Postcode, clean(&parts.postcode)),
            (Part::Country, clean(&parts.country)),
        ];
        let given = all.into_iter().filter(|(_, text)| !text.is_empty());
        CleanParts { given: given.collect() }
    }

    /// The part's text, empty when it was not given.
    fn get(&self, part: Part) -> &str {
        let found = self.given.iter().find(|(known, _)| *known == part);
        found.map_or("", |(_, text)| text)
    }

    /// The part's text on one line, for messages.
    fn on_one_line(&self, part: Part) -> String {
        self.get(part).replace('\n', " ")
    }

    /// Whether the part was given.
    fn has(&self, part: Part) -> bool {
        !self.get(part).is_empty()
    }

    /// Takes a part out that is printed by another seat.
    fn hide(&mut self, part: Part) {
        self.given.retain(|(known, _)| *known != part);
    }

    /// Whether two parts were given and are the same but for case.
    fn same(&self, one: Part, other: Part) -> bool {
        self.has(one) && text::fold(self.get(one)) == text::fold(self.get(other))
    }
}
