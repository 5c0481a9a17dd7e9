//! The usual words in the first rows of exports, in several languages: which field of an order a
//! column probably is.
//!
//! In: a column's name. Out: a [`Guess`]. A name is taken apart into words that tell of what it
//! speaks (`shipping`, `item`) and the rest, which is looked up. Not here: what becomes of a guess
//! (`propose`, `header`).

use std::collections::BTreeMap;
use std::sync::LazyLock;

use unicode_normalization::UnicodeNormalization as _;

use super::super::cells::Unit;
use super::word_table::{
    ABOUT, ADDITIONS, About, BETWEEN, DOUBTFUL, FAMILY, FILLERS, GIVEN, IN, ROWS, SENDING, WordRow,
};
use crate::fields::CurrencyCode;

/// The rows that have a phrase, in the table's order.
static PHRASES: LazyLock<BTreeMap<&str, Vec<&WordRow>>> = LazyLock::new(|| {
    let mut phrases: BTreeMap<_, Vec<_>> = BTreeMap::new();
    for row in ROWS {
        for phrase in row.2.split('|') {
            phrases.entry(phrase.trim()).or_default().push(row);
        }
    }
    phrases
});

/// The longest name that is looked at, in bytes.
const LONGEST: usize = 200;

/// What a column probably is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Guess {
    /// The field's name.
    pub(crate) target: &'static str,
    /// The unit that the name gives, as in `Weight (kg)`.
    pub(crate) unit: Option<Unit>,
    /// How much its name says of what it speaks; a column that says more goes before another of the same field.
    pub(crate) standing: Standing,
}

/// How much a column's name says of what it speaks, the least first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Standing {
    /// It may be something else as well.
    Doubtful,
    /// Its words are known, and of nothing in particular.
    Plain,
    /// It speaks of who bought.
    Buyer,
    /// It speaks of the recipient, the order, an item or the parcel.
    Told,
}

/// Which of a person's names a column holds, in the order in which they are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum NamePart {
    /// The first one.
    Given,
    /// What stands between them.
    Between,
    /// The last one.
    Family,
    /// All of them, as far as the column's name says.
    Whole,
}

/// Guesses a column's field from its name.
pub(crate) fn guess(column: &str) -> Option<Guess> {
    if column.len() > LONGEST {
        return None;
    }
    let mut words = split_words(column);
    // `Made in` ends in no inches.
    let known = find_row(None, &words.join(" ")).is_some();
    let unit = words.last().filter(|_| !known).and_then(|word| Unit::parse(word));
    match (unit, words.len()) {
        (Some(unit @ Unit::Mass(_)), 1) if words[0].len() > 2 => {
            let standing = Standing::Plain;
            return Some(Guess { target: "items.weight_g", unit: Some(unit), standing });
        }
        (Some(_), 2..) => drop(words.pop()),
        _ => {}
    }
    if unit.is_some() && words.last().is_some_and(|word| IN.contains(&word.as_str())) {
        words.pop();
    }
    let unit = unit.filter(|_| !words.is_empty());
    let (target, standing) = look_up(&words).or_else(|| {
        // `Einzelpreis (EUR)`: only prices have a currency.
        let (last, rest) = words.split_last()?;
        CurrencyCode::parse(&last.to_uppercase())?;
        look_up(rest).filter(|(target, _)| MONEY.contains(target))
    })?;
    Some(Guess { target, unit, standing })
}

/// The fields that are amounts of money.
const MONEY: &[&str] = &["items.price", "shipping", "discount", "tax.amount", "paid"];

/// The field of a name's words, and how much they say of it.
fn look_up(words: &[String]) -> Option<(&'static str, Standing)> {
    // A whole name that is known goes before what its words tell: `order date`, `gift note`.
    let whole = words.join(" ");
    if let Some(target) = find_row(None, &whole) {
        let is_doubtful = is_one_of(DOUBTFUL, &whole);
        return Some((target, if is_doubtful { Standing::Doubtful } else { Standing::Plain }));
    }
    if words.iter().all(|word| is_word_of(SENDING, word)) && !words.is_empty() {
        return Some(("shipping", Standing::Doubtful));
    }
    let told: Vec<About> = words.iter().filter_map(|word| find_about(word)).collect();
    if told.contains(&About::Payer) {
        return None;
    }
    let rest = rest_of(words);
    let tried = told.iter().map(|about| Some(*about));
    let target = tried.chain([None]).find_map(|about| {
        let found = find_row(about, &rest)?;
        // A buyer's number is not the order's, nor is the day on which it was sent the day of the order.
        let is_of_order = ONLY_OF_ORDER.contains(&found);
        (about.is_some() || told.is_empty() || !is_of_order).then_some(found)
    })?;
    let standing = match told.iter().all(|about| *about == About::Buyer) {
        _ if told.is_empty() => Standing::Plain,
        true => Standing::Buyer,
        false => Standing::Told,
    };
    Some((target, standing))
}

/// The fields that a column which speaks of something else than the order is not.
const ONLY_OF_ORDER: &[&str] = &["id", "placed", "discount", "tax.amount", "paid"];

/// A name's words without those that tell of what it speaks or nothing; `-` when there are no others.
fn rest_of(words: &[String]) -> String {
    let says = |word: &&str| find_about(word).is_none() && !is_word_of(FILLERS, word);
    let rest: Vec<&str> = words.iter().map(String::as_str).filter(says).collect();
    if rest.is_empty() { "-".to_owned() } else { rest.join(" ") }
}

/// What a word speaks of.
fn find_about(word: &str) -> Option<About> {
    ABOUT.iter().find(|(_, all)| is_word_of(all, word)).map(|(about, _)| *about)
}

/// Whether a word stands in a list.
fn is_word_of(list: &str, word: &str) -> bool {
    list.split_whitespace().any(|known| known == word)
}

/// Whether a phrase is one of those that `|` parts.
fn is_one_of(list: &str, phrase: &str) -> bool {
    list.split('|').any(|known| known.trim() == phrase)
}

/// The currency that a column's name ends with.
pub(crate) fn currency_in(column: &str) -> Option<String> {
    let words = if column.len() > LONGEST { Vec::new() } else { split_words(column) };
    let (last, rest) = words.split_last()?;
    let code = last.to_uppercase();
    (!rest.is_empty() && CurrencyCode::parse(&code).is_some()).then_some(code)
}

/// Whether a column only adds something to an address, by its name.
pub(crate) fn adds_to_address(column: &str) -> bool {
    let words = if column.len() > LONGEST { Vec::new() } else { split_words(column) };
    is_one_of(ADDITIONS, &rest_of(&words))
}

/// Which of a person's names a column holds, by its own name.
pub(crate) fn name_part(column: &str) -> NamePart {
    let words = if column.len() > LONGEST { Vec::new() } else { split_words(column) };
    let (whole, rest) = (words.join(" "), rest_of(&words));
    let is = |list| is_one_of(list, &whole) || is_one_of(list, &rest);
    [(GIVEN, NamePart::Given), (BETWEEN, NamePart::Between), (FAMILY, NamePart::Family)]
        .into_iter()
        .find_map(|(list, part)| is(list).then_some(part))
        .unwrap_or(NamePart::Whole)
}

/// Whether a column holds postcode and town in one cell, by its name.
pub(crate) fn guess_postcode_and_city(column: &str) -> bool {
    let words = if column.len() > LONGEST { Vec::new() } else { split_words(column) };
    let joining = ["und", "and", "et", "y", "e", "en", "og", "och", "ja", "i", "a", "es", "si"];
    (1..words.len()).any(|middle| {
        let (first, rest) = words.split_at(middle);
        let rest = if joining.contains(&rest[0].as_str()) { &rest[1..] } else { rest };
        let names = |words: &[String], field| {
            guess(&words.join(" ")).is_some_and(|guess| guess.target == field)
        };
        names(first, "ship_to.postcode") && names(rest, "ship_to.city")
    })
}

/// The field of a phrase.
fn find_row(about: Option<About>, phrase: &str) -> Option<&'static str> {
    // A buyer is a recipient whom another may go before.
    let about = about.map(|about| if about == About::Buyer { About::Recipient } else { about });
    let rows = PHRASES.get(phrase).filter(|_| phrase != "-" || about.is_some())?;
    rows.iter().find(|row| row.1.contains(&about)).map(|row| row.0)
}

/// A name's words in small letters, without accents and marks; `Lineitem2Name` is not taken apart.
pub(super) fn split_words(column: &str) -> Vec<String> {
    let plain =
        if column.is_ascii() { column.to_ascii_lowercase() } else { without_accents(column) };
    let words = plain.split(|c: char| !c.is_alphanumeric());
    words.filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// A text in small letters without accents and marks.
fn without_accents(text: &str) -> String {
    let plain: String = text
        .nfkd()
        .filter(|c| !unicode_normalization::char::is_combining_mark(*c))
        .flat_map(char::to_lowercase)
        .collect();
    plain.replace('ß', "ss").replace('ø', "o").replace('ł', "l").replace('æ', "ae")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::map::targets::TARGETS;

    #[test]
    fn every_row_leads_to_a_field_and_is_written_without_accents() {
        for (target, _, words) in ROWS {
            assert!(TARGETS.iter().any(|known| known.name == *target), "{target}");
            for word in words.split('|').filter(|word| *word != "-") {
                assert_eq!(split_words(word).join(" "), word.trim(), "{target}");
            }
        }
    }

    #[test]
    fn usual_names_are_known() {
        for (column, target) in [
            ("Order number", Some("id")),
            ("Order", Some("id")),
            ("Bestellnummer", Some("id")),
            ("N° de commande", Some("id")),
            ("Order date", Some("placed")),
            ("Created at", Some("placed")),
            ("Shipping name", Some("ship_to.name")),
            ("Recipient", Some("ship_to.name")),
            ("First name", Some("ship_to.name")),
            ("Delivery address line 1", Some("ship_to.lines")),
            ("Shipping Street", Some("ship_to.lines")),
            ("Straße und Hausnummer", Some("ship_to.lines")),
            ("Lieferadresse", Some("ship_to.lines")),
            ("Ville de livraison", Some("ship_to.city")),
            ("Shipping zip", Some("ship_to.postcode")),
            ("Código postal", Some("ship_to.postcode")),
            ("PLZ", Some("ship_to.postcode")),
            ("Ship to country", Some("ship_to.country")),
            ("Item name", Some("items.title")),
            ("Product", Some("items.title")),
            ("Lineitem quantity", Some("items.qty")),
            ("Ilość", Some("items.qty")),
            ("Stückpreis", Some("items.price")),
            ("Item SKU", Some("items.sku")),
            ("EAN", Some("items.gtin")),
            ("Item weight (kg)", Some("items.weight_g")),
            ("Weight", Some("items.weight_g")),
            ("Gewicht g", Some("items.weight_g")),
            ("Gewicht (kg)", Some("items.weight_g")),
            ("Gewicht in kg", Some("items.weight_g")),
            ("Poids", Some("items.weight_g")),
            ("Poids du colis", Some("parcel.weight_g")),
            ("Paketgewicht", Some("parcel.weight_g")),
            ("Order weight", Some("parcel.weight_g")),
            ("Total weight (kg)", Some("parcel.weight_g")),
            ("Grams", Some("items.weight_g")),
            ("Made in", Some("items.origin")),
            ("Tilausnumero", Some("id")),
            ("Číslo objednávky", Some("id")),
            ("Rendelésszám", Some("id")),
            ("Număr comandă", Some("id")),
            ("Nº pedido", Some("id")),
            ("Tilauspäivä", Some("placed")),
            ("Rendelés dátuma", Some("placed")),
            ("Data comenzii", Some("placed")),
            ("Datum objednávky", Some("placed")),
            ("Hinta", Some("items.price")),
            ("Egységár", Some("items.price")),
            ("Preț unitar", Some("items.price")),
            ("À-pris", Some("items.price")),
            ("Hylde", Some("items.shelf")),
            ("Półka", Some("items.shelf")),
            ("Hyllypaikka", Some("items.shelf")),
            ("Bemærkning", Some("note")),
            ("Poznámka", Some("note")),
            ("Megjegyzés", Some("note")),
            ("Observații", Some("note")),
            ("Bemerkungen", Some("note")),
            ("Shipping method", Some("service")),
            ("Shipping cost", Some("shipping")),
            ("Versandkosten", Some("shipping")),
            ("Discount amount", Some("discount")),
            ("Order VAT", Some("tax.amount")),
            ("Grand total", Some("paid")),
            ("Versand", Some("shipping")),
            ("Versand (EUR)", Some("shipping")),
            ("Frais de livraison", Some("shipping")),
            ("Costo spedizione", Some("shipping")),
            ("Versandart", Some("service")),
            ("Mode de livraison", Some("service")),
            ("Metodo di spedizione", Some("service")),
            ("Versanddatum", None),
            ("Date Shipped", None),
            ("Ship date", None),
            ("Data spedizione", None),
            ("Date d'expédition", None),
            ("Buyer ID", None),
            ("Kundennummer", None),
            ("Einzelpreis (EUR)", Some("items.price")),
            ("Order Total", Some("paid")),
            ("Nom de famille", Some("ship_to.name")),
            ("Tussenvoegsel", Some("ship_to.name")),
            ("Währung", Some("currency")),
            ("Gift message", Some("message")),
            ("Billing street", None),
            ("Payment method", None),
            ("Fulfilment status", None),
            ("", None),
        ] {
            assert_eq!(guess(column).map(|guess| guess.target), target, "{column}");
        }
        for column in
            ["PLZ Ort", "PLZ/Ort", "Postleitzahl und Ort", "Zip City", "Code postal et ville"]
        {
            assert!(guess_postcode_and_city(column), "{column}");
        }
        for (column, part) in [
            ("Vorname", NamePart::Given),
            ("Ship first name", NamePart::Given),
            ("Prénom du destinataire", NamePart::Given),
            ("Tussenvoegsel", NamePart::Between),
            ("Cognome", NamePart::Family),
            ("Nom", NamePart::Whole),
            ("Empfänger", NamePart::Whole),
        ] {
            assert_eq!(name_part(column), part, "{column}");
        }
        assert!(!guess_postcode_and_city("Ort") && !guess_postcode_and_city("Post code"));
        let guessed = guess("Item weight (kg)").and_then(|guess| guess.unit);
        assert_eq!(guessed.map(Unit::symbol), Some("kg"));
    }
}
