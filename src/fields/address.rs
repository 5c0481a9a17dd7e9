//! Postal addresses as their parts.

use std::borrow::Cow;

use crate::address::Parts;
use crate::findings::{Finding, rules};
use crate::record::{Field, Kind, optional};
use crate::tree::{Node, Value};
use crate::words::shorten;

use super::country::{COUNTRY, CountryCode, read_country};
use super::text::{LINE, POSTCODE, SHORT_LINE, STREET_LINE, is_line_end, text_of};

/// A postal address as it was given; a part that was not given is empty.
///
/// All parts are without white space around them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Address<'a> {
    /// The person.
    pub name: Cow<'a, str>,
    /// What letters call the person, where that is not the first word of the name.
    pub given_name: Cow<'a, str>,
    /// The firm, which goes above or below the person by the country's form.
    pub company: Cow<'a, str>,
    /// Street, house, flat, care-of: one entry a line, none of them empty.
    pub lines: Vec<Cow<'a, str>>,
    /// The town.
    pub city: Cow<'a, str>,
    /// The state, province or county.
    pub region: Cow<'a, str>,
    /// The postcode as it was typed.
    pub postcode: Cow<'a, str>,
    /// Where it is; every address has one.
    pub country: CountryCode,
    /// The telephone number.
    pub phone: Cow<'a, str>,
}

impl Address<'_> {
    /// The address as a value of its own.
    #[must_use]
    pub fn into_owned(self) -> Address<'static> {
        let own = |part: Cow<'_, str>| Cow::Owned(part.into_owned());
        Address {
            name: own(self.name),
            given_name: own(self.given_name),
            company: own(self.company),
            lines: self.lines.into_iter().map(own).collect(),
            city: own(self.city),
            region: own(self.region),
            postcode: own(self.postcode),
            country: self.country,
            phone: own(self.phone),
        }
    }

    /// The parts as the `address` module takes them.
    #[must_use]
    pub fn to_parts(&self) -> Parts {
        Parts {
            name: self.name.to_string(),
            company: self.company.to_string(),
            care_of: None,
            lines: self.lines.iter().map(ToString::to_string).collect(),
            city: self.city.to_string(),
            district: None,
            region: self.region.to_string(),
            postcode: self.postcode.to_string(),
            country: self.country.as_str().to_owned(),
            phone: self.phone.to_string(),
        }
    }
}

/// How many lines an address may have between name and town.
const MOST_LINES: usize = 10;

/// What an orders file or a shop file may say of an address.
pub(crate) static ADDRESS_FIELDS: &[Field] = &[
    optional("name", Kind::Scalar(&LINE), "the person; an address has a name or a company"),
    optional(
        "given_name",
        Kind::Scalar(&LINE),
        "what a letter calls the person, where that is not the first word of `name`; never part of \
         the address",
    ),
    optional("company", Kind::Scalar(&LINE), "the company"),
    optional(
        "lines",
        Kind::List(&Kind::Scalar(&STREET_LINE)),
        "street, house, flat and the like, a line each; at most ten",
    ),
    optional("city", Kind::Scalar(&LINE), "the town"),
    optional("region", Kind::Scalar(&LINE), "the state, province or county"),
    optional("postcode", Kind::Scalar(&POSTCODE), "the postcode, in quotes"),
    Field {
        name: "country",
        kind: Kind::Scalar(&COUNTRY),
        required: true,
        doc: "the country's two letters after ISO 3166-1, such as `DE`",
    },
    optional("phone", Kind::Scalar(&SHORT_LINE), "the telephone number, in quotes"),
];

/// Whether an address has to name somebody.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum NameNeed {
    /// A parcel goes there.
    Needed,
    /// It is the seller's, whose name stands beside it.
    Free,
}

/// Reports what [`ADDRESS_FIELDS`] cannot say of an address: that it names nobody, or runs to
/// too many lines. `path` is the path to it.
pub(crate) fn check_address(node: &Node, path: &str, name: NameNeed, out: &mut Vec<Finding>) {
    let Value::Map(_) = node.value else { return };
    let is_empty =
        |name| node.get(name).is_none_or(|part| part.literal().unwrap_or("?").trim().is_empty());
    if name == NameNeed::Needed && is_empty("name") && is_empty("company") {
        let place = node.get("name").filter(|name| !name.is_null()).unwrap_or(node);
        out.push(
            Finding::new(&rules::NAMELESS_ADDRESS, "this address has neither a name nor a company")
                .at(place.span)
                .path(path)
                .hint("give `name` or `company`; a parcel without either cannot be delivered"),
        );
    }
    out.extend(doubt_town(node).map(|doubt| doubt.path(format!("{path}.city"))));
    let lines = node.get("lines").map_or(0, |lines| split_lines(lines).count());
    if lines > MOST_LINES {
        let message = format!("expected at most {MOST_LINES} address lines, found {lines}");
        out.push(
            Finding::new(&rules::TOO_MANY_LINES, message)
                .at(node.get("lines").map(|lines| lines.span))
                .path(format!("{path}.lines"))
                .hint(format!("write the address on {MOST_LINES} lines or fewer")),
        );
    }
}

/// What is said of a town that has the address's postcode in it: both stand on one line.
fn doubt_town(node: &Node) -> Option<Finding> {
    let literal = |name| node.get(name).and_then(Node::literal).map(str::trim);
    let (city, postcode) = (literal("city")?, literal("postcode")?);
    let town = cut_postcode(city, postcode)?;
    let message = format!("the postcode `{}` stands in the town, too", shorten(postcode));
    let hint = match town.is_empty() {
        true => "write the town's name in `city`".to_owned(),
        false => format!("write `{}` in `city`: the postcode is printed beside it", shorten(town)),
    };
    Some(Finding::new(&rules::POSTCODE_TWICE, message).at(node.get("city")?.span).hint(hint))
}

/// The town without the postcode that begins or ends it, however that is spaced; `None` when it
/// has none.
fn cut_postcode<'t>(city: &'t str, postcode: &str) -> Option<&'t str> {
    let letters = |text: &str| -> String {
        text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_uppercase).collect()
    };
    let wanted = letters(postcode);
    // Words of one or two letters are no postcode anybody would know again.
    if wanted.len() < 3 {
        return None;
    }
    let ends = |c: char| !c.is_alphanumeric();
    let cuts = || city.match_indices(ends).map(|(at, _)| at).chain([city.len()]);
    // `D-10115` has the country's letters in front.
    let without = |text: &str| {
        let text = text.trim_matches(ends);
        letters(text) == wanted
            || text
                .split_once('-')
                .is_some_and(|(country, code)| country.len() <= 3 && letters(code) == wanted)
    };
    if let Some(end) = cuts().find(|&end| without(&city[..end])) {
        return Some(city[end..].trim_matches(ends));
    }
    let start = cuts().find(|&start| without(&city[start..]))?;
    Some(city[..start].trim_matches(ends))
}

/// The lines of an address, those with line breaks in them taken apart.
fn split_lines(lines: &Node) -> impl Iterator<Item = &str> {
    let texts = lines.items().iter().filter_map(Node::literal);
    texts.flat_map(|text| text.split(is_line_end)).map(str::trim).filter(|line| !line.is_empty())
}

/// An address whose fields have passed their check, or `None` when it has no country.
pub(crate) fn read_address(node: &Node) -> Option<Address<'_>> {
    let part = |name| Cow::Borrowed(text_of(node, name));
    Some(Address {
        name: part("name"),
        given_name: part("given_name"),
        company: part("company"),
        lines: node
            .get("lines")
            .map(|lines| split_lines(lines).map(Cow::Borrowed).collect())
            .unwrap_or_default(),
        city: part("city"),
        region: part("region"),
        postcode: part("postcode"),
        country: read_country(node, "country")?,
        phone: part("phone"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_postcode_in_the_town_is_found_however_it_is_spaced() {
        let cut = cut_postcode;
        assert_eq!(cut("10115 Berlin", "10115"), Some("Berlin"));
        assert_eq!(cut("D-10115 Berlin", "10115"), Some("Berlin"));
        assert_eq!(cut("London, SW1A 1AA", "sw1a1aa"), Some("London"));
        assert_eq!(cut("00-001 Warszawa", "00-001"), Some("Warszawa"));
        assert_eq!(cut("10115", "10115"), Some(""));
        for (city, postcode) in [("Paris 08", "75008"), ("Berlin", ""), ("101150 Ort", "10115")] {
            assert_eq!(cut(city, postcode), None, "{city}");
        }
    }
}
