//! What the shop says of customs, where its post sees it otherwise than the table of areas.
//!
//! In: the section `customs` of the shop file. Out: [`CustomsRules`]. Not here: judging a parcel
//! (`customs`).

use crate::customs::{CustomsPlace, CustomsRules};
use crate::fields::CountryCode;
use crate::findings::{Finding, rules};
use crate::record::{Kind, Record, Refusal, Scalar, optional};
use crate::tree::{Node, Value};

/// The section of the shop file.
pub(super) static CUSTOMS: Record = Record {
    name: "customs",
    doc: "Which parcels need a customs sheet, where it is not as the customs and VAT areas of the \
          world have it: countries, or the beginning of their postcodes, such as `ES 35`. The most \
          exact place holds.",
    fields: &[
        optional(
            "none_for",
            Kind::List(&Kind::Scalar(&PLACE)),
            "where parcels go without a declaration",
        ),
        optional("needed_for", Kind::List(&Kind::Scalar(&PLACE)), "where parcels need one"),
    ],
};

/// A country, or the places whose postcodes begin alike.
static PLACE: Scalar = Scalar {
    expected: "a country's two letters, with or without the beginning of a postcode, such as `NO` \
               or `ES 35`",
    accepts: |value| match value {
        Value::Text(text) | Value::Bare(text) if CustomsPlace::parse(text).is_some() => Ok(()),
        Value::Text(text) | Value::Bare(text) => Err(Refusal::hint(suggest_place(text))),
        _ => Err(Refusal::hint("write it as `NO`, or as `ES 35`")),
    },
    schema: r#"{"type": "string", "pattern": "^[A-Z]{2}( [A-Za-z0-9]+)*$"}"#,
};

/// The way out of a text that is no place.
fn suggest_place(text: &str) -> String {
    let front: String = text.trim().chars().take(2).collect::<String>().to_uppercase();
    match CountryCode::parse(&front) {
        Some(country) if text.trim().chars().count() == 2 => format!("write `{country}`"),
        _ => "write two letters of ISO 3166-1, and a space before the postcode's beginning".into(),
    }
}

/// Reports a place that is in both lists.
pub(super) fn check_customs(shop: &Node, out: &mut Vec<Finding>) {
    let Some(section) = shop.get("customs") else { return };
    let listed = |name| section.get(name).map(Node::items).unwrap_or_default();
    for node in listed("needed_for") {
        let place = node.literal().and_then(CustomsPlace::parse);
        let other = listed("none_for").iter().find(|other| {
            place.is_some() && other.literal().and_then(CustomsPlace::parse) == place
        });
        if let (Some(place), Some(other)) = (place, other) {
            let message = format!("`{place}` is under `none_for` already");
            out.push(
                Finding::new(&rules::DOUBLED_COUNTRY, message)
                    .at(node.span)
                    .related(other.span, "here")
                    .path("customs.needed_for")
                    .hint("leave it in one of the two"),
            );
        }
    }
}

/// The section's value; without one everything is as the table of areas has it.
pub(super) fn read_customs(shop: &Node) -> CustomsRules {
    let places = |name| {
        let list = shop.get("customs").and_then(|section| section.get(name));
        let texts = list.map(Node::items).unwrap_or_default().iter().filter_map(Node::literal);
        texts.filter_map(CustomsPlace::parse).collect()
    };
    CustomsRules { none_for: places("none_for"), needed_for: places("needed_for") }
}
