//! Postcodes: does one have its country's shape, and which one was meant. Not
//! its job: whether the postcode exists.

use super::country::Country;
use super::text::{narrow, squeeze};

/// Whether the postcode has the country's shape, with or without the prefix
/// that mail from abroad carries.
pub(super) fn fits(country: &Country, postcode: &str) -> bool {
    let narrow = narrow(postcode).to_uppercase();
    let bare = without_prefix(&narrow, country.prefix);
    country.takes_postcode(&narrow) || bare.is_some_and(|bare| country.takes_postcode(bare))
}

/// The postcode after its prefix and whatever parts the two; none if it does
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
    use super::{fits, suggest};

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
