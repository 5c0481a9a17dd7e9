//! A first map of the shop's table: in the language, and with the separator and dates, of the export that came
//! from that shop.
//!
//! In: the map of the export, if there is one. Out: a map as text, for a person to look through. What the shop
//! calls its columns on the way in is what it most likely takes on the way out. Not here: using it.

use std::fmt::Write as _;

use crate::intake::{IntakeMap, quote, read_intake_map};
use crate::source::Sources;

/// What a shop's columns are called in a language.
struct Headings {
    /// Words that tell its exports from others', in small letters.
    tells: &'static [&'static str],
    /// The order's id.
    id: &'static str,
    /// The tracking number.
    tracking: &'static str,
    /// What carries it.
    service: &'static str,
    /// The day it went.
    date: &'static str,
}

/// The languages; the first where nothing tells.
#[rustfmt::skip]
const LANGUAGES: [Headings; 6] = [
    Headings {
        tells: &["order", "name", "street", "city", "country", "quantity", "item", "price", "date"],
        id: "Order number", tracking: "Tracking number", service: "Carrier", date: "Shipped on",
    },
    Headings {
        tells: &["bestell", "straße", "strasse", "plz", "ort", "menge", "preis", "artikel", "versand", "nachname"],
        id: "Bestellnummer", tracking: "Sendungsnummer", service: "Versandart", date: "Versanddatum",
    },
    Headings {
        tells: &["commande", "adresse", "ville", "pays", "quantité", "prix", "produit", "livraison", "prénom"],
        id: "Numéro de commande", tracking: "Numéro de suivi", service: "Transporteur", date: "Date d'expédition",
    },
    Headings {
        tells: &["ordine", "indirizzo", "città", "paese", "quantità", "prezzo", "prodotto", "spedizione", "cognome"],
        id: "Numero ordine", tracking: "Codice di tracciamento", service: "Corriere", date: "Data spedizione",
    },
    Headings {
        tells: &["pedido", "dirección", "ciudad", "país", "cantidad", "precio", "producto", "envío", "apellidos"],
        id: "Número de pedido", tracking: "Número de seguimiento", service: "Transportista", date: "Fecha de envío",
    },
    Headings {
        tells: &["bestel", "straat", "plaats", "aantal", "prijs", "verzend", "achternaam", "huisnummer"],
        id: "Ordernummer", tracking: "Trackingnummer", service: "Vervoerder", date: "Verzenddatum",
    },
];

/// A first map; `export` is the text of the map by which the shop's export came in.
#[must_use]
pub fn propose_dispatch_map(export: Option<&str>) -> String {
    let mut sources = Sources::new();
    let read = |text: &str| {
        let file = sources.add("export-map.yaml", text);
        read_intake_map(text, file, &mut Vec::new())
    };
    let map = export.and_then(read);
    let words = map.as_ref().map_or(&LANGUAGES[0], find_language);
    let own = |field: &str, else_called: &str| {
        quote(map.as_ref().and_then(|map| map.column_of(field)).unwrap_or(else_called))
    };
    let mut text = String::new();
    if let Some(separator) = map.as_ref().and_then(IntakeMap::separator_word) {
        let _ = writeln!(text, "separator: {separator}");
    }
    if let Some(dates) = map.as_ref().map(IntakeMap::dates_word) {
        let _ = writeln!(text, "dates: {dates}");
    }
    let _ = writeln!(text, "fields:");
    let _ = writeln!(text, "  id: {}", own("id", words.id));
    let _ = writeln!(text, "  tracking: {}", own("tracking", words.tracking));
    let _ = writeln!(text, "  service: {}", own("service", words.service));
    let _ = writeln!(text, "  date: {}", quote(words.date));
    text
}

/// The language of an export, by its columns' names.
fn find_language(map: &IntakeMap) -> &'static Headings {
    let columns: Vec<String> = map.named_columns().map(str::to_lowercase).collect();
    let score = |language: &Headings| {
        let tells = |word: &&&str| columns.iter().any(|column| column.contains(**word));
        language.tells.iter().filter(tells).count()
    };
    // Of languages that score alike the first, as with no word at all.
    let best = LANGUAGES.iter().rev().max_by_key(|language| score(language));
    best.unwrap_or(&LANGUAGES[0])
}

#[cfg(test)]
mod tests {
    use super::super::map::read_dispatch_map;
    use super::*;

    /// A map that is proposed for an export of these columns is one that can be used.
    fn propose(export: &str) -> String {
        let text = propose_dispatch_map(Some(export));
        let file = Sources::new().add("shop-map.yaml", text.as_str());
        let mut found = Vec::new();
        assert!(read_dispatch_map(&text, file, &mut found).is_some(), "{text}{found:?}");
        assert_eq!(found, []);
        text
    }

    #[test]
    fn the_shops_own_columns_and_marks_are_proposed() {
        let german = "separator: semicolon\ndates: d.m.y\nfields: {id: Bestellnr., ship_to.name: Nachname, \
            ship_to.country: Land, ship_to.city: Ort, items.qty: Menge, service: Versandart}\n";
        assert_eq!(
            propose(german),
            "separator: semicolon\ndates: d.m.y\nfields:\n  id: Bestellnr.\n  tracking: Sendungsnummer\n  \
             service: Versandart\n  date: Versanddatum\n"
        );
        let dutch = "separator: tab\nfields: {id: Ordernummer, ship_to.country: Land, \
            ship_to.city: Woonplaats, items.qty: Aantal, tracking: \"Track, trace\"}\n";
        let text = propose(dutch);
        assert!(text.starts_with("separator: tab\ndates: y-m-d\n"), "{text}");
        assert!(text.contains("tracking: \"Track, trace\"\n  service: Vervoerder\n"), "{text}");
        let english = "fields: {id: Order, ship_to.country: Country, items.price: Price}\n";
        assert!(propose(english).contains("date: Shipped on"));
    }

    #[test]
    fn without_an_export_it_is_english_with_commas() {
        let text = propose_dispatch_map(None);
        assert_eq!(text, propose_dispatch_map(Some("no map at all")));
        assert!(text.starts_with("fields:\n  id: Order number\n  tracking: Tracking number\n"));
    }
}
