//! Whether a parcel needs a customs declaration: whether it leaves the customs and VAT area that it
//! is posted in.
//!
//! In: two addresses and what the shop file says of customs. Out: a [`CustomsVerdict`]. The areas
//! and their exceptions stand in `customs/territories.tsv`, each with its source; a country without
//! a row is an area of its own. Not here: what a declaration says, and what duty or tax is due.

use std::fmt;
use std::sync::OnceLock;

use crate::fields::{Address, CountryCode};

/// The table of areas.
const TERRITORIES: &str = include_str!("customs/territories.tsv");

/// A country, or the places in it whose postcodes begin alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CustomsPlace {
    /// Which country it is, or is a part of.
    pub country: CountryCode,
    /// What its postcodes begin with, without spaces and in capitals; empty for the whole country.
    pub postcode: Box<str>,
}

impl CustomsPlace {
    /// Reads a place such as `NO`, `ES 35` or `GB BT`.
    #[must_use]
    pub fn parse(text: &str) -> Option<CustomsPlace> {
        let (country, front) = text.trim().split_once(' ').unwrap_or((text.trim(), ""));
        let is_plain = front.chars().all(|c| c.is_ascii_alphanumeric() || c == ' ');
        let country = CountryCode::parse(country).filter(|_| is_plain)?;
        Some(CustomsPlace { country, postcode: squeeze_postcode(front).into() })
    }

    /// Whether an address lies there.
    fn holds(&self, address: &Address) -> bool {
        self.country == address.country
            && squeeze_postcode(&address.postcode).starts_with(&*self.postcode)
    }
}

impl fmt::Display for CustomsPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let gap = if self.postcode.is_empty() { "" } else { " " };
        write!(f, "{}{gap}{}", self.country, self.postcode)
    }
}

/// What the shop file says of customs; it goes before the table of areas.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CustomsRules {
    /// Where parcels go without a declaration.
    pub none_for: Vec<CustomsPlace>,
    /// Where parcels need one.
    pub needed_for: Vec<CustomsPlace>,
}

/// Whether a parcel needs a declaration.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CustomsVerdict {
    /// It stays in its area.
    NotNeeded,
    /// It leaves its area.
    Needed,
    /// Usually none; the reason why it may need one all the same.
    Unsure(&'static str),
}

impl CustomsVerdict {
    /// Whether a customs sheet is made.
    #[must_use]
    pub fn is_needed(self) -> bool {
        self == CustomsVerdict::Needed
    }
}

impl CustomsRules {
    /// Whether a parcel from one address to another needs a declaration: as the shop file says of
    /// the most exact place, else by the table of areas.
    #[must_use]
    pub fn judge(&self, from: &Address, to: &Address) -> CustomsVerdict {
        let longest = |places: &[CustomsPlace]| {
            let holding = places.iter().filter(|place| place.holds(to));
            holding.map(|place| place.postcode.len()).max()
        };
        match (longest(&self.none_for), longest(&self.needed_for)) {
            (None, None) => judge_areas(from, to),
            (none, needed) if needed >= none => CustomsVerdict::Needed,
            _ => CustomsVerdict::NotNeeded,
        }
    }
}

/// Whether two addresses lie in one area.
fn judge_areas(from: &Address, to: &Address) -> CustomsVerdict {
    let places = [find_territory(from), find_territory(to)];
    let [home, away] = [from, to].map(|address| areas_of(address));
    if !home.iter().any(|area| away.contains(area)) {
        return CustomsVerdict::Needed;
    }
    let of_two = places.into_iter().flatten().find(|place| place.areas.len() > 1);
    // Inside it, or from Great Britain to a private buyer, nothing is declared.
    match of_two {
        Some(place) if home != away => CustomsVerdict::Unsure(place.name),
        _ => CustomsVerdict::NotNeeded,
    }
}

/// The areas that an address lies in.
fn areas_of<'a>(address: &'a Address<'_>) -> Vec<&'a str> {
    match find_territory(address) {
        Some(territory) if !territory.areas.is_empty() => territory.areas.clone(),
        Some(territory) => vec![territory.name],
        None => vec![address.country.as_str()],
    }
}

/// One row of the table.
#[derive(Debug)]
struct Territory {
    /// The country's code.
    country: &'static str,
    /// What its postcodes begin with; none for all that no row above has.
    postcodes: Vec<&'static str>,
    /// Its towns, for addresses whose postcode is another.
    towns: Vec<String>,
    /// The areas it belongs to; none for an area of its own.
    areas: Vec<&'static str>,
    /// What it is called; empty for a whole country.
    name: &'static str,
}

/// The first row of the table that an address lies in.
fn find_territory(address: &Address) -> Option<&'static Territory> {
    let postcode = squeeze_postcode(&address.postcode);
    let town = address.city.to_lowercase();
    territories().iter().find(|row| {
        row.country == address.country.as_str()
            && (row.postcodes.is_empty()
                || row.postcodes.iter().any(|front| postcode.starts_with(front))
                || row.towns.contains(&town))
    })
}

/// The table, read once.
fn territories() -> &'static [Territory] {
    static TABLE: OnceLock<Vec<Territory>> = OnceLock::new();
    TABLE.get_or_init(|| {
        let rows = TERRITORIES.lines().filter(|row| !row.starts_with('#'));
        rows.map(read_territory).collect()
    })
}

/// Reads one row of the table.
fn read_territory(row: &'static str) -> Territory {
    let mut cells = row.split('\t');
    let mut next = || cells.next().unwrap_or_default();
    let list = |cell: &'static str| cell.split(',').filter(|word| !word.is_empty());
    Territory {
        country: next(),
        postcodes: list(next()).collect(),
        towns: list(next()).map(str::to_lowercase).collect(),
        areas: list(next()).collect(),
        name: next(),
    }
}

/// A postcode's letters and digits, in capitals, without a country's letters and a hyphen in front.
fn squeeze_postcode(postcode: &str) -> String {
    let postcode = postcode.trim();
    let bare = match postcode.split_once('-') {
        Some((front, rest)) if front.chars().all(|c| c.is_ascii_alphabetic()) => rest,
        _ => postcode,
    };
    bare.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_uppercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An address in a country with a postcode and a town.
    fn address(place: &str) -> Address<'_> {
        let mut words = place.splitn(3, ' ');
        let mut next = || words.next().unwrap_or_default();
        Address {
            country: CountryCode::parse(next()).expect(place),
            postcode: next().into(),
            city: next().into(),
            name: "Ines Marlow".into(),
            given_name: Default::default(),
            company: Default::default(),
            lines: Default::default(),
            region: Default::default(),
            phone: Default::default(),
        }
    }

    fn judge(from: &str, to: &str) -> CustomsVerdict {
        CustomsRules::default().judge(&address(from), &address(to))
    }

    #[test]
    fn inside_a_customs_and_vat_area_nothing_is_declared() {
        for (from, to) in [
            ("DE 51147", "FR 33380"),
            ("DE 51147", "DE 10115"),
            ("DE 51147", "AT 1010"),
            ("FR 33380", "MC 98000"),
            ("FR 98000", "IT 00144"),
            ("IE D01", "HR 10000"),
            ("CH 8001", "LI 9490"),
            ("CH 8001", "DE 78266"),
            ("GB LS1", "IM IM1"),
            ("US 94043", "PR 00930"),
            ("PT 1250-096", "PT 9500-001"),
            ("FI 22100", "AX 22100"),
            ("FR 97400", "RE 97410"),
            ("JP 100-8994", "JP 350-1106"),
        ] {
            assert_eq!(judge(from, to), CustomsVerdict::NotNeeded, "{from} {to}");
            assert_eq!(judge(to, from), CustomsVerdict::NotNeeded, "{to} {from}");
        }
    }

    /// Of two lists that name the same place, the one that asks for a sheet counts: a sheet too many
    /// is thrown away, one that is missing stops a parcel.
    #[test]
    fn where_both_lists_name_a_place_a_sheet_is_made() {
        let place = |words: &str| CustomsPlace::parse(words).expect(words);
        let rules = CustomsRules {
            none_for: vec![place("CH"), place("GB BT")],
            needed_for: vec![place("CH"), place("GB")],
        };
        let judge = |to: &str| rules.judge(&address("DE 51147"), &address(to));
        assert_eq!(judge("CH 8001"), CustomsVerdict::Needed);
        assert_eq!(judge("GB BT11AA"), CustomsVerdict::NotNeeded, "the more exact place counts");
        assert_eq!(judge("GB LS14AP"), CustomsVerdict::Needed);
    }

    /// The territories that the European Commission lists as outside its customs or VAT rules.
    #[test]
    fn the_exceptions_of_the_union_need_a_declaration() {
        for to in [
            "ES 35001",
            "ES 38001",
            "ES 51001",
            "ES 52001",
            "DE 27498",
            "DE 78266",
            "DE D-27498",
            "DE 00000 Helgoland",
            "FI 22100",
            "AX 22100",
            "GR 63086",
            "FR 97133",
            "FR 97150",
            "FR 97110",
            "FR 97200",
            "FR 97300",
            "FR 97400",
            "FR 97500",
            "FR 97600",
            "FR 98600",
            "FR 98700",
            "FR 98800",
            "GP 97110",
            "IT 23041",
            "IT 23030 Livigno",
            "IT 22061",
            "FO 100",
            "GL 3900",
            "SM 47890",
            "VA 00120",
            "AD AD500",
            "TR 06101",
            "GI GX11",
            "GB LS1",
            "CH 8001",
            "NO 0025",
        ] {
            assert_eq!(judge("NL 1234", to), CustomsVerdict::Needed, "{to}");
        }
        // At home too, which is what a country's code alone cannot tell.
        assert_eq!(judge("ES 28039", "ES 35001"), CustomsVerdict::Needed);
        assert_eq!(judge("ES 35001", "ES 38001"), CustomsVerdict::NotNeeded);
        assert_eq!(judge("ES 51001", "ES 52001"), CustomsVerdict::Needed);
        assert_eq!(judge("GB LS1", "JE JE1"), CustomsVerdict::Needed);
        assert_eq!(judge("GB LS1", "GB GY1"), CustomsVerdict::Needed);
        assert_eq!(judge("GB LS1", "FR 33380"), CustomsVerdict::Needed);
    }

    #[test]
    fn northern_ireland_is_told_to_be_unsure() {
        let unsure = CustomsVerdict::Unsure("Northern Ireland");
        assert_eq!(judge("GB LS1", "GB BT1"), unsure);
        assert_eq!(judge("DE 51147", "GB BT1"), unsure);
        assert_eq!(judge("GB BT1", "IE D01"), unsure);
        assert_eq!(judge("GB BT1", "GB BT2"), CustomsVerdict::NotNeeded);
        assert_eq!(judge("CH 8001", "GB BT1"), CustomsVerdict::Needed);
    }

    #[test]
    fn the_shop_file_goes_before_the_table_and_the_most_exact_place_before_others() {
        let places = |texts: &[&str]| -> Vec<CustomsPlace> {
            texts.iter().map(|text| CustomsPlace::parse(text).expect(text)).collect()
        };
        let rules = CustomsRules {
            none_for: places(&["NO", "ES 38"]),
            needed_for: places(&["GB BT", "NO 9170", "ES"]),
        };
        let judge = |to: &str| rules.judge(&address("DE 51147"), &address(to)).is_needed();
        assert!(!judge("NO 0025") && judge("NO 9170"));
        assert!(judge("ES 28039") && !judge("ES 38001"));
        assert!(judge("GB BT1") && judge("CH 8001") && !judge("FR 33380"));
        assert_eq!(CustomsPlace::parse("gb"), None);
        assert_eq!(CustomsPlace::parse("GB !"), None);
        assert_eq!(places(&["GB bt 1"])[0].to_string(), "GB BT1");
    }

    #[test]
    fn every_row_is_whole_and_reached() {
        for (at, row) in territories().iter().enumerate() {
            assert!(CountryCode::parse(row.country).is_some(), "{row:?}");
            assert_eq!(row.name.is_empty(), row.postcodes.is_empty(), "{row:?}");
            let front = row.postcodes.first().unwrap_or(&"");
            let found = find_territory(&address(&format!("{} {front}", row.country)));
            assert!(found.is_some_and(|found| std::ptr::eq(found, row)), "row {at}: {row:?}");
        }
    }
}
