//! Whether two orders are one: by their ids, and by what they say.
//!
//! In: ids and the JSON of orders. Out: the core of an id, the words of an order, what tells two
//! texts of one order apart. Nothing here decides; a seller is asked.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;
use unicode_normalization::UnicodeNormalization as _;

/// The fewest digits that make the core of an id by themselves.
const CORE_DIGITS: usize = 3;

/// An id without what shops and exports put around it: letter case, a prefix, punctuation, and the
/// short part that is added when an order is divided. `TH-1042`, `#1042` and `th1042-2` have the
/// same; `2026-0457` and `2026-0458` have not.
#[must_use]
pub(super) fn core_of(id: &str) -> String {
    let folded: String = id.chars().flat_map(char::to_lowercase).collect();
    let runs = folded.split(|c: char| !c.is_ascii_digit());
    let numbers: Vec<&str> = runs
        .filter(|run| run.len() >= CORE_DIGITS)
        .map(|run| match run.trim_start_matches('0') {
            "" => "0",
            number => number,
        })
        .collect();
    if numbers.is_empty() {
        folded.chars().filter(|c| c.is_alphanumeric()).collect()
    } else {
        numbers.join("-")
    }
}

/// Letters that Unicode takes for letters of their own, with what is typed where a keyboard lacks them.
const LETTERS: [(char, &str); 10] = [
    ('ß', "ss"),
    ('æ', "ae"),
    ('œ', "oe"),
    ('ø', "o"),
    ('ł', "l"),
    ('đ', "d"),
    ('ð', "d"),
    ('þ', "th"),
    ('ħ', "h"),
    ('ı', "i"),
];

/// A text as searches compare it: small letters without accents (Unicode Standard Annex 15, compatibility
/// decomposition, without the marks of the block Combining Diacritical Marks).
#[must_use]
pub(super) fn fold(text: &str) -> String {
    let mut folded = String::with_capacity(text.len());
    let plain =
        text.nfkd().filter(|c| !('\u{300}'..='\u{36f}').contains(c)).flat_map(char::to_lowercase);
    for c in plain {
        match LETTERS.iter().find(|(letter, _)| *letter == c) {
            Some((_, typed)) => folded.push_str(typed),
            None => folded.push(c),
        }
    }
    folded
}

/// What a search for an order looks through: its id, whom it is for, where, and what is in it, each
/// folded.
#[must_use]
pub(super) fn words_of(id: &str, json: &str) -> String {
    let order: Value = serde_json::from_str(json).unwrap_or_default();
    let text = |value: &Value| value.as_str().map(fold).unwrap_or_default();
    let to = &order["ship_to"];
    let mut words = vec![fold(id), text(&order["tag"])];
    words.extend(["name", "company", "city", "postcode", "country"].map(|name| text(&to[name])));
    for item in order["items"].as_array().into_iter().flatten() {
        words.extend([text(&item["title"]), text(&item["sku"])]);
    }
    words.retain(|word| !word.is_empty());
    words.join("\n")
}

/// Whom an order is for, as far as it tells two buyers apart: name and postcode, or the town where
/// there is no postcode, letters and digits alone.
#[must_use]
pub(super) fn buyer_of(json: &str) -> String {
    let order: Value = serde_json::from_str(json).unwrap_or_default();
    let to = &order["ship_to"];
    let plain = |value: &Value| -> String {
        let text = value.as_str().unwrap_or_default().to_lowercase();
        text.chars().filter(|c| c.is_alphanumeric()).collect()
    };
    let place = match plain(&to["postcode"]) {
        postcode if postcode.is_empty() => plain(&to["city"]),
        postcode => postcode,
    };
    format!("{}\n{place}", plain(&to["name"]))
}

/// Whether two texts of one id are two orders: name and address are others, whatever is in them, because two
/// shops may sell the same thing. Who moves or marries is still one of the two.
#[must_use]
pub(super) fn is_another_order(was: &str, is: &str) -> bool {
    let [was, is] = [was, is].map(OrderMarks::of);
    was.name != is.name && !was.may_share_address(&is)
}

/// Whether two texts of one order hold the same, in whatever order: what a scale says of one holds of the
/// other. What an article costs and where it lies is no matter.
#[must_use]
pub(super) fn holds_the_same(was: &str, is: &str) -> bool {
    let [was, is] = [was, is].map(contents_of);
    was == is
}

/// What is in an order, a text for each article, sorted.
fn contents_of(json: &str) -> Vec<String> {
    let order: Value = serde_json::from_str(json).unwrap_or_default();
    let text = |value: &Value| match value {
        Value::String(text) => text.trim().to_owned(),
        Value::Null => String::new(),
        other => other.to_string(),
    };
    let items = order["items"].as_array().into_iter().flatten();
    let mut contents: Vec<String> = items
        .map(|item| {
            let count = match text(&item["qty"]) {
                count if count.is_empty() => "1".to_owned(),
                count => count,
            };
            let named = ["sku", "gtin", "title", "weight_g"].map(|name| text(&item[name]));
            format!("{count}\n{}", named.join("\n"))
        })
        .collect();
    contents.sort_unstable();
    contents
}

/// By what an order is known, letters and digits alone.
struct OrderMarks {
    /// Whom it is for.
    name: String,
    /// The lines of its address; a house number is one with the line before it.
    lines: BTreeSet<String>,
    /// Where it goes to; two streets of one name are in two towns.
    town: String,
    /// Empty where the order has none.
    postcode: String,
}

impl OrderMarks {
    /// What an order is known by; JSON that cannot be read is known by nothing.
    fn of(json: &str) -> OrderMarks {
        let order: Value = serde_json::from_str(json).unwrap_or_default();
        let plain = |value: &Value| -> String {
            let text = value.as_str().unwrap_or_default().to_lowercase();
            text.chars().filter(|c| c.is_alphanumeric()).collect()
        };
        let either = |one: &Value, other: &Value| match plain(one) {
            text if text.is_empty() => plain(other),
            text => text,
        };
        let to = &order["ship_to"];
        let mut lines: Vec<String> = Vec::new();
        for line in to["lines"].as_array().into_iter().flatten().map(plain) {
            match lines.last_mut() {
                // The `7` of one street is not the `7` of another.
                Some(last) if !line.chars().any(char::is_alphabetic) => last.push_str(&line),
                _ if line.is_empty() => {}
                _ => lines.push(line),
            }
        }
        OrderMarks {
            name: either(&to["name"], &to["company"]),
            lines: lines.into_iter().collect(),
            town: plain(&to["city"]),
            postcode: plain(&to["postcode"]),
        }
    }

    /// Whether both may go to one address: a line of it, the town and the postcode are the same, as far as
    /// both say them.
    fn may_share_address(&self, other: &OrderMarks) -> bool {
        let agree = |one: &str, other: &str| one.is_empty() || other.is_empty() || one == other;
        let shares_line = self.lines.is_empty()
            || other.lines.is_empty()
            || !self.lines.is_disjoint(&other.lines);
        shares_line && agree(&self.town, &other.town) && agree(&self.postcode, &other.postcode)
    }
}

/// A field in which two texts of one order differ.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// The path to the field, such as `ship_to.city`.
    pub path: String,
    /// What it was; empty when it was not there.
    pub was: String,
    /// What it is; empty when it is not there.
    pub is: String,
}

/// The fields in which two texts of one order differ, in the order of their paths. Empty text, an
/// empty list and a field that is left out say the same, and so do `4.5` and `"4.50"`; what was
/// said of why an order was set aside does not count.
#[must_use]
pub fn compare_orders(was: &str, is: &str) -> Vec<Difference> {
    let flat = |text: &str| {
        let mut fields = BTreeMap::new();
        let mut order: Value = serde_json::from_str(text).unwrap_or_default();
        if let Some(map) = order.as_object_mut() {
            map.remove("set_aside");
        }
        flatten(&order, String::new(), &mut fields);
        fields
    };
    let (was, is) = (flat(was), flat(is));
    let mut paths: Vec<&String> = was.keys().chain(is.keys()).collect();
    paths.sort_unstable();
    paths.dedup();
    let value = |fields: &BTreeMap<String, String>, path: &String| {
        fields.get(path).cloned().unwrap_or_default()
    };
    paths
        .into_iter()
        .map(|path| Difference { path: path.clone(), was: value(&was, path), is: value(&is, path) })
        .filter(|found| !says_the_same(&found.was, &found.is))
        .collect()
}

/// Whether two values say the same: as text, or as amounts.
fn says_the_same(was: &str, is: &str) -> bool {
    let amount = |text: &str| text.parse::<rust_decimal::Decimal>().ok();
    was == is
        // `007` is a text of its own, not the amount 7.
        || [was, is].iter().all(|text| text.contains('.') || !text.starts_with('0') || *text == "0")
            && amount(was).is_some_and(|was| amount(is) == Some(was))
}

/// The single values of a JSON value with the paths to them; empty ones are left out.
fn flatten(value: &Value, path: String, fields: &mut BTreeMap<String, String>) {
    let text = match value {
        Value::Null => return,
        Value::Object(map) => {
            for (name, value) in map {
                let path = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
                flatten(value, path, fields);
            }
            return;
        }
        Value::Array(list) => {
            for (index, value) in list.iter().enumerate() {
                flatten(value, format!("{path}[{index}]"), fields);
            }
            return;
        }
        Value::String(text) => text.trim().to_owned(),
        other => other.to_string(),
    };
    if !text.is_empty() {
        fields.insert(path, text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_that_may_be_one() {
        for id in ["TH-1042", "th1042", "#1042", "1042", "TH-1042-2", "TH-1042/B", "0001042"] {
            assert_eq!(core_of(id), "1042", "{id}");
        }
        for (id, core) in [
            ("TH-1043", "1043"),
            ("Émile-7", "émile7"),
            ("000", "0"),
            ("A-12", "a12"),
            ("2026-0457", "2026-457"),
        ] {
            assert_eq!(core_of(id), core);
        }
    }

    #[test]
    fn what_differs_is_named() {
        let was = r#"{"id": "A", "note": "", "items": [{"qty": 1, "price": "4.50"}],
                      "ship_to": {"city": "Oakhaven", "postcode": "007"}}"#;
        let is = r#"{"items": [{"price": 4.5, "qty": 2}], "id": "A", "gift": true,
                     "ship_to": {"city": "Ashford", "postcode": "7"}, "set_aside": ["x"]}"#;
        let told: Vec<String> = compare_orders(was, is)
            .into_iter()
            .map(|found| format!("{}: {} → {}", found.path, found.was, found.is))
            .collect();
        assert_eq!(
            told,
            [
                "gift:  → true",
                "items[0].qty: 1 → 2",
                "ship_to.city: Oakhaven → Ashford",
                "ship_to.postcode: 007 → 7",
            ]
        );
        assert_eq!(compare_orders(was, was), []);
    }

    #[test]
    fn an_order_is_another_when_name_and_address_are_others() {
        let order = |name: &str, line: &str, city: &str, title: &str| {
            format!(
                r#"{{"id": "1", "ship_to": {{"name": "{name}", "lines": ["{line}"], "city": "{city}"}},
                    "items": [{{"title": "{title}"}}]}}"#
            )
        };
        let was = order("Ada Reed", "1 Quay", "Oakhaven", "Nib");
        for (is, another) in [
            (order("Carl Dune", "9 Mole", "Elmsea", "Ink"), true),
            (order("Carl Dune", "1 Quay", "Elmsea", "Ink"), true),
            (order("ada  REED", "9 Mole", "Elmsea", "Ink"), false),
            (order("Carl Dune", "1, Quay", "Oakhaven", "Ink"), false),
            // Two shops may sell the same thing.
            (order("Carl Dune", "9 Mole", "Elmsea", "nib"), true),
            (order("Ada Reed", "9 Mole", "Elmsea", "Ink"), false),
            // An export without items: name and address are all that there is to tell.
            (r#"{"ship_to": {"name": "Carl Dune", "lines": ["9 Mole"]}}"#.to_owned(), true),
        ] {
            assert_eq!(is_another_order(&was, &is), another, "{is}");
        }
        let to = |name: &str, lines: &[&str], postcode: &str| {
            serde_json::json!({"ship_to": {"name": name, "lines": lines, "city": "Neustadt",
                "postcode": postcode}})
            .to_string()
        };
        let was = to("Ada Reed", &["Kaiweg", "8"], "01844");
        for (is, another) in [
            (to("Carl Dune", &["Mosweg", "8"], "01844"), true),
            (to("Carl Dune", &["Kaiweg 8"], "01 844"), false),
            (to("Carl Dune", &["c/o Reed", "Kaiweg", "8"], ""), false),
            // Towns of one name have streets of one name.
            (to("Carl Dune", &["Kaiweg", "8"], "31535"), true),
        ] {
            assert_eq!(is_another_order(&was, &is), another, "{is}");
        }
    }

    #[test]
    fn an_order_holds_the_same_when_the_scale_says_the_same() {
        let order = |items: &str| format!(r#"{{"items": [{items}]}}"#);
        let was = order(r#"{"title": "Vase", "price": "4"}, {"sku": "N-1", "qty": 2}"#);
        for (is, same) in [
            (r#"{"sku": "N-1", "qty": "2"}, {"title": "Vase", "qty": 1, "price": "5"}"#, true),
            (r#"{"title": "Vase", "shelf": "A2"}, {"sku": "N-1", "qty": 2}"#, true),
            (r#"{"title": "Vase"}, {"sku": "N-1", "qty": 3}"#, false),
            (r#"{"title": "Vase"}"#, false),
            (r#"{"title": "Vase", "weight_g": 300}, {"sku": "N-1", "qty": 2}"#, false),
        ] {
            assert_eq!(holds_the_same(&was, &order(is)), same, "{is}");
        }
    }

    #[test]
    fn letters_are_found_by_what_is_typed() {
        for (text, folded) in [
            ("Weißenfels", "weissenfels"),
            ("WEISSENFELS", "weissenfels"),
            ("Müller, Jürgen", "muller, jurgen"),
            ("Mu\u{308}ller", "muller"),
            ("Søren Ærø", "soren aero"),
            ("Wiśniewski, Łódź", "wisniewski, lodz"),
            ("İzmir, Iğdır", "izmir, igdir"),
            ("ﬁne ink №２", "fine ink no2"),
            ("Ångström 東京", "angstrom 東京"),
        ] {
            assert_eq!(fold(text), folded, "{text}");
        }
    }

    #[test]
    fn words_and_buyers() {
        let order = r#"{"tag": "Marlow", "ship_to": {"name": "Ines  Marlow", "postcode": "LS1 4AP"},
                        "items": [{"title": "Gold nib"}]}"#;
        assert_eq!(words_of("TH-1", order), "th-1\nmarlow\nines  marlow\nls1 4ap\ngold nib");
        assert_eq!(buyer_of(order), "inesmarlow\nls14ap");
        assert_eq!(buyer_of(r#"{"ship_to": {"name": "A", "city": "B"}}"#), "a\nb");
    }
}
