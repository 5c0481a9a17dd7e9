//! The language of each page, as a program that reads a PDF aloud is told it.

use std::collections::BTreeMap;

use crate::command::Desk;

/// The languages of the sections of a PDF, counted; `` where a section is in the document's own.
fn section_languages(bytes: &[u8]) -> BTreeMap<String, usize> {
    let document = lopdf::Document::load_mem(bytes).unwrap();
    let mut found = BTreeMap::new();
    for object in document.objects.values() {
        let Ok(entries) = object.as_dict() else { continue };
        if !entries.get(b"S").is_ok_and(|kind| kind.as_name().is_ok_and(|it| it == b"Sect")) {
            continue;
        }
        let language = entries.get(b"Lang").and_then(lopdf::Object::as_str).unwrap_or_default();
        *found.entry(String::from_utf8(language.to_vec()).unwrap()).or_default() += 1;
    }
    found
}

#[test]
fn a_page_says_its_language_where_it_is_not_the_documents() {
    let desk = Desk::new();
    desk.sample("shop.yaml");
    let order = |id: &str, name: &str, language: &str| {
        format!(
            r#"{{"id": "{id}", "language": "{language}", "hazard": "none", "ship_to": {{"name": "{name}",
            "lines": ["12 Saltmarsh Row"], "city": "Penharrow", "postcode": "TR79 1QX", "country": "GB"}},
            "items": [{{"title": "{name} pen", "qty": 1, "price": "10.00"}}]}}"#
        )
    };
    let [de, fr, en] =
        [("TH-1", "Ada Marlow", "de"), ("TH-2", "Tom Heron", "fr"), ("TH-3", "Ida Fell", "en")]
            .map(|(id, name, language)| order(id, name, language));
    let print = |orders: &str| {
        desk.put("orders.json", format!("[{orders}]"));
        let run = ["render", "orders.json", "--layout", "slip-a4", "-o", "-"];
        section_languages(&desk.done(&run).stdout)
    };
    let counted = |pairs: &[(&str, usize)]| -> BTreeMap<String, usize> {
        pairs.iter().map(|(language, count)| ((*language).to_owned(), *count)).collect()
    };
    // The document is in the shop's language, which is English.
    assert_eq!(print(&[de.clone(), fr, en].join(",")), counted(&[("", 1), ("de", 1), ("fr", 1)]));
    // All in one language: the document says it, and no page again.
    assert_eq!(print(&de), counted(&[("", 1)]));
}
