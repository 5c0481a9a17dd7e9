//! An order in a few words: for whom, where to, what.
//!
//! In: an order's JSON as the ledger keeps it; empty when it was forgotten. Out: its words. Not here:
//! whether the order is good, which was seen to when it came in.

use serde_json::{Value, json};

use crate::fields::tidy_hazard;
use crate::ledger::{OrderNow, OrderPlace};
use crate::words::shorten_to;

/// The most characters of an order's items that a list shows.
const ITEMS_SHOWN: usize = 48;

/// What an order says, in short.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct OrderWords {
    /// For whom it is.
    pub(super) name: String,
    /// Where it goes to.
    pub(super) town: String,
    /// The country's letters.
    pub(super) country: String,
    /// The items, each with its count where that is not one.
    pub(super) items: Vec<String>,
    /// The weight that it gives for the packed parcel, in grams.
    pub(super) weight_g: Option<u64>,
    /// What it declares of hazards; empty when it says nothing of them.
    pub(super) hazard: String,
}

impl OrderWords {
    /// What lists show of an order; what is missing in its JSON is empty.
    pub(super) fn read(json: &str) -> OrderWords {
        let order: Value = serde_json::from_str(json).unwrap_or_default();
        let text = |value: &Value| value.as_str().unwrap_or_default().trim().to_owned();
        let to = &order["ship_to"];
        let name = match text(&to["name"]) {
            name if name.is_empty() => text(&to["company"]),
            name => name,
        };
        let items = order["items"].as_array().into_iter().flatten().map(|item| {
            let title = match text(&item["title"]) {
                title if title.is_empty() => text(&item["sku"]),
                title => title,
            };
            match item["qty"].as_u64() {
                Some(count) if count != 1 => format!("{count} × {title}"),
                _ => title,
            }
        });
        OrderWords {
            name,
            town: text(&to["city"]),
            country: text(&to["country"]),
            items: items.collect(),
            weight_g: order["parcel"]["weight_g"].as_u64(),
            hazard: tidy_hazard(&text(&order["hazard"])).to_owned(),
        }
    }

    /// Town and country.
    pub(super) fn place(&self) -> String {
        [&*self.town, &*self.country]
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join(" ")
    }

    /// The items in one line.
    pub(super) fn what(&self) -> String {
        shorten_to(&self.items.join(", "), ITEMS_SHOWN)
    }
}

/// An order for a program.
pub(super) fn order_json(order: &OrderNow, words: &OrderWords) -> Value {
    let mut value = json!({
        "id": order.id,
        "state": order.place.word(),
        "since": order.since.to_string(),
        "name": words.name,
        "town": words.town,
        "country": words.country,
        "items": words.items,
    });
    match &order.place {
        OrderPlace::Waiting => {}
        OrderPlace::Doubted(other) => value["may_be"] = json!(other),
        OrderPlace::InLine(sitting, number) | OrderPlace::HandedOver(sitting, number) => {
            value["sitting"] = json!(sitting);
            value["number"] = json!(number);
        }
        OrderPlace::TakenOff(reason) => value["reason"] = json!(reason),
    }
    if let Some(told) = order.told {
        value["told"] = json!(told.to_string());
    }
    value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_order_in_a_few_words() {
        let words = OrderWords::read(
            r#"{"id": "TH-1", "ship_to": {"name": " ", "company": "Quay & Sons", "city": "Oakhaven",
                "country": "GB"}, "items": [{"sku": "NIB", "qty": 3}, {"title": "Ink"}],
                "parcel": {"weight_g": 80}}"#,
        );
        assert_eq!((&*words.name, &*words.place()), ("Quay & Sons", "Oakhaven GB"));
        assert_eq!((&*words.what(), words.weight_g), ("3 × NIB, Ink", Some(80)));
        assert_eq!(OrderWords::read(""), OrderWords::default());
    }
}
