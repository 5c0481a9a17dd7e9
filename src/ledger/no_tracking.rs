//! What is no tracking number, though it stands where one should: a wrong column of a carrier's table, or the
//! bars of the goods in place of the carrier's.
//!
//! In: a parcel and a text. Out: a refusal that says what the text is. Not here: check digits (`fields`).

use serde_json::Value;

use super::error::LedgerError;
use super::line::BenchLine;
use super::now::{find_order, read_text};
use super::store::Act;
use crate::fields::tracking_key;

/// The fewest characters of a tracking number, white space left out. Ours: shorter are a table's running numbers
/// and most postcodes; an S10 number has 13 (UPU S10).
const FEWEST_CHARACTERS: usize = 6;

impl Act<'_> {
    /// Refuses a text that has no form of a tracking number, and one that an order of the parcel says of
    /// itself: its id, its postcode, an article's number.
    ///
    /// # Errors
    /// When it is one of these.
    pub(super) fn refuse_no_tracking(
        &self,
        line: &BenchLine,
        number: u32,
        tracking: &str,
    ) -> Result<(), LedgerError> {
        let refuse = |what: String| {
            Err(LedgerError::NoTracking { text: tracking.into(), what: what.into() })
        };
        let key = tracking_key(tracking);
        if key.chars().count() < FEWEST_CHARACTERS || !key.bytes().any(|it| it.is_ascii_digit()) {
            return refuse(String::new());
        }
        let orders = line.parcel(number).map_or(&[][..], |parcel| &parcel.orders);
        for id in orders {
            if tracking_key(id) == key {
                return refuse(format!("the order `{id}`"));
            }
            let Some(order) = find_order(self.db(), id)? else { continue };
            let Some(json) = read_text(self.db(), order.text)? else { continue };
            if let Some(what) = find_in_order(&key, &json) {
                return refuse(format!("{what} of `{id}`"));
            }
        }
        Ok(())
    }
}

/// What of an order a text is, in words; none when it is nothing that the order says.
fn find_in_order(key: &str, json: &str) -> Option<String> {
    let order: Value = serde_json::from_str(json).unwrap_or_default();
    let is_it = |value: &Value| value.as_str().is_some_and(|text| tracking_key(text) == key);
    let to = &order["ship_to"];
    for (field, word) in [("postcode", "the postcode"), ("phone", "the phone number")] {
        if is_it(&to[field]) {
            return Some(word.to_owned());
        }
    }
    // Scanners give the same GTIN with zeros in front of it and without.
    let digits = |text: &str| -> Option<String> {
        let all = !text.is_empty() && text.bytes().all(|it| it.is_ascii_digit());
        all.then(|| text.trim_start_matches('0').to_owned())
    };
    let of_key = digits(key);
    let is_gtin = |value: &Value| {
        let gtin = value.as_str().and_then(|text| digits(text.trim()));
        gtin.is_some_and(|gtin| !gtin.is_empty() && Some(gtin) == of_key)
    };
    let items = order["items"].as_array().into_iter().flatten();
    items.into_iter().find_map(|item| {
        let title = item["title"].as_str().or(item["sku"].as_str()).unwrap_or_default();
        match (is_gtin(&item["gtin"]), is_it(&item["sku"])) {
            (true, _) => Some(format!("the GTIN of the article `{title}`")),
            (_, true) => Some(format!("the number of the article `{title}`")),
            _ => None,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_an_order_says_is_no_tracking_number() {
        let order = r#"{"ship_to": {"postcode": "3512 AB", "phone": "+31 30 555 0101"},
            "items": [{"title": "Heron nib", "gtin": "4006381333931"},
                      {"title": "Ink", "sku": "INK-0042"}, {"title": "Cap"}]}"#;
        for (text, what) in [
            ("3512AB", Some("the postcode")),
            ("+31305550101", Some("the phone number")),
            ("4006381333931", Some("the GTIN of the article `Heron nib`")),
            ("04006381333931", Some("the GTIN of the article `Heron nib`")),
            ("ink0042", Some("the number of the article `Ink`")),
            ("4006381333932", None),
            ("RR473124829GB", None),
        ] {
            assert_eq!(find_in_order(&tracking_key(text), order).as_deref(), what, "{text}");
        }
        assert_eq!(find_in_order("123456", ""), None);
    }
}
