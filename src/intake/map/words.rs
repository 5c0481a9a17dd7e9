//! The usual words in the first rows of exports, in several languages: which field of an order a
//! column probably is.
//!
//! In: a column's name. Out: a [`Guess`]. A name is taken apart into words that tell of what it
//! speaks (`shipping`, `item`) and the rest, which is looked up. Not here: what becomes of a guess
//! (`propose`, `header`). Nearly all of it is one table of words, which is why it is long.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use unicode_normalization::UnicodeNormalization as _;

use super::super::cells::Unit;

/// What a column speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum About {
    /// Who pays: never a field of an order.
    Payer,
    /// Where it goes.
    Recipient,
    /// One item.
    Item,
    /// The order.
    Order,
    /// The packed parcel.
    Parcel,
}

/// Words that tell what a column speaks of, without accents.
const ABOUT: &[(About, &str)] = &[
    (
        About::Payer,
        "billing bill payment payer rechnung rechnungs rechnungsadresse zahlung facturation \
         facturacion fatturazione factuur betaling fakturering faktura",
    ),
    (
        About::Recipient,
        "shipping ship delivery deliver recipient buyer customer to lieferung lieferadresse \
         empfanger versand kaufer kunde livraison destinataire client acheteur envio entrega \
         destinatario cliente comprador spedizione consegna acquirente verzending verzend levering \
         bezorging klant ontvanger koper leverans mottagare kund leveranse mottaker wysylka \
         dostawa odbiorca klient",
    ),
    (
        About::Item,
        "item items lineitem product article line artikel produkt position artikels produit \
         ligne articulo producto linea articolo prodotto riga produto artigo vare varer produktet \
         produkty towar pozycja",
    ),
    (
        About::Order,
        "order orders bestellung bestell auftrag auftrags commande pedido ordine bestelling ordre \
         bestallning zamowienie zamowienia encomenda bestilling tilaus tilauksen objednavka objednavky \
         rendeles rendelesi megrendeles megrendelesi comanda comenzii",
    ),
    (About::Parcel, "parcel package paket colis paquete pacco pakket pakke paczka packed"),
];

/// Words that say nothing by themselves.
const FILLERS: &str =
    "a de du la le les des del di da der die das the of het van den en for per my";

/// Words between a measure and its unit, as in `Gewicht in kg`.
const IN: &[&str] = &["in", "en", "i", "w", "v", "em"];

/// The longest name that is looked at, in bytes.
const LONGEST: usize = 200;

/// A field, what its column must speak of (nothing: it speaks of nothing in particular), and what
/// it is then called, without accents; `-` is a column whose other words were all it says.
type WordRow = (&'static str, &'static [Option<About>], &'static str);

/// Of nothing in particular, or of the recipient.
const PLACE: &[Option<About>] = &[None, Some(About::Recipient)];
/// Of nothing in particular, or of an item.
const THING: &[Option<About>] = &[None, Some(About::Item)];
/// Of nothing in particular, or of the order.
const ORDER: &[Option<About>] = &[None, Some(About::Order)];
/// Of nothing in particular, or of the parcel.
const PARCEL: &[Option<About>] = &[None, Some(About::Parcel), Some(About::Recipient)];

/// The table; words of one meaning are parted by `|`.
const ROWS: &[WordRow] = &[
    (
        "id",
        &[Some(About::Order)],
        "-|id|number|no|nr|nummer|numero|num|n|reference|ref|numer|numar|numarul|cislo|szam|szama|kod|\
         code|codigo|codice|referencia|riferimento|referens|referanse|viite",
    ),
    (
        "id",
        &[None],
        "order id|order number|order no|id|bestellnummer|bestellnr|bestell nr|auftragsnummer|\
         auftragsnr|bestelnummer|ordernummer|ordrenummer|reference|referenz|ordernumber|orderid|\
         bestellungsnummer|bestellung nr|bestillingsnummer|bestallningsnummer|ordernr|ordrenr|bestelnr|\
         tilausnumero|tilausnro|rendelesszam|rendelesi szam|megrendeles szama|order ref|order reference",
    ),
    ("tag", &[None], "tag|hand tag|short name|kurzname"),
    (
        "placed",
        ORDER,
        "date|placed|created|created at|placed at|placed on|ordered|ordered at|datum|\
         bestelldatum|auftragsdatum|fecha|data|dato|besteldatum|orderdatum|date commande|paid at|\
         bestellt am|bestellzeitpunkt|kaufdatum|date achat|fecha compra|data acquisto|data compra|\
         ordredato|bestillingsdato|bestallningsdatum|tilauspaiva|tilauspvm|paivamaara|paivays|pvm|\
         data zlozenia|data zakupu|datum objednavky|datum|rendeles datuma|datuma|data comenzii|\
         purchase date|sale date|verkaufsdatum",
    ),
    (
        "ship_to.name",
        PLACE,
        "-|name|full name|vorname|nachname|first name|last name|firstname|lastname|surname|\
         family name|given name|nom|prenom|nom complet|nombre|apellido|apellidos|nome|cognome|\
         sobrenome|naam|voornaam|achternaam|fornamn|efternamn|fornavn|etternavn|efternavn|namn|\
         navn|imie|nazwisko|imie i nazwisko|nachname vorname|familienname|empfangername",
    ),
    (
        "ship_to.company",
        PLACE,
        "company|company name|organisation|organization|business|firma|firmenname|unternehmen|\
         societe|entreprise|empresa|azienda|societa|bedrijf|bedrijfsnaam|foretag|virksomhed|firm",
    ),
    (
        "ship_to.lines",
        PLACE,
        "street|street 1|street 2|street address|address|address 1|address 2|address 3|\
         lieferadresse|lieferanschrift|versandadresse|\
         empfangeradresse|anschrift|address line 1|address line 2|address line 3|address1|address2|address3|house number|\
         house no|apartment|flat|unit|strasse|strasse 1|strasse 2|strasse hausnummer|\
         strasse und hausnummer|hausnummer|hausnr|adresse|adresse 1|adresse 2|adresszusatz|zusatz|\
         lieferstrasse|rue|complement|complement adresse|calle|direccion|direccion 1|direccion 2|\
         numero calle|via|indirizzo|indirizzo 1|indirizzo 2|endereco|straat|straatnaam|huisnummer|\
         adres|adres 1|adres 2|gata|gatuadress|adress|adress 1|adress 2|gade|vej|ulica|ulica i numer",
    ),
    (
        "ship_to.city",
        PLACE,
        "city|town|city town|stadt|ort|wohnort|lieferort|ville|commune|ciudad|poblacion|localidad|\
         citta|comune|cidade|plaats|woonplaats|stad|by|poststed|miasto|miejscowosc|mesto",
    ),
    (
        "ship_to.region",
        PLACE,
        "state|region|province|county|state province|province state|state region|bundesland|kanton|\
         departement|provincia|estado|regione|provincie|lan|fylke|wojewodztwo",
    ),
    (
        "ship_to.postcode",
        PLACE,
        "postcode|post code|zip|zip code|zipcode|postal code|postalcode|zip postal code|plz|\
         postleitzahl|lieferplz|code postal|cp|codigo postal|cap|cep|postcode zip|postnummer|\
         postnr|kod pocztowy|psc|iranyitoszam",
    ),
    (
        "ship_to.country",
        PLACE,
        "country|country code|land|landercode|landcode|lieferland|pays|code pays|pais|paese|nazione|\
         kraj|zeme|orszag|maa",
    ),
    (
        "ship_to.phone",
        PLACE,
        "phone|phone number|telephone|tel|mobile|telefon|telefonnummer|handy|mobil|mobiltelefon|\
         telephone portable|telefono|movil|cellulare|telefone|telemovel|telefoon|telefoonnummer",
    ),
    ("items.sku", &[Some(About::Item)], "sku|number|no|nr|nummer|id|code|reference|ref|numero"),
    (
        "items.sku",
        &[None],
        "sku|artikelnummer|artikelnr|artikel nr|produktnummer|varenummer|stock number|\
         stock keeping number|article number",
    ),
    (
        "items.gtin",
        THING,
        "gtin|ean|ean 13|ean13|upc|isbn|barcode|strichcode|code barres|codigo barras",
    ),
    (
        "items.title",
        &[Some(About::Item)],
        "-|name|title|description|titel|bezeichnung|beschreibung|nom|titre|designation|nombre|\
         titulo|descripcion|nome|titolo|descrizione|naam|omschrijving|namn|navn|nazwa",
    ),
    (
        "items.title",
        &[None],
        "artikelname|artikelbezeichnung|produktname|bezeichnung|title|titel|titre|titolo|titulo|\
         productnaam|artikelnaam|produktnamn|nazwa produktu|description",
    ),
    (
        "items.qty",
        THING,
        "quantity|qty|amount ordered|count|pieces|pcs|menge|anzahl|stuck|stuckzahl|quantite|qte|\
         cantidad|quantita|quantidade|aantal|antal|antall|ilosc|pocet|mennyiseg",
    ),
    (
        "items.price",
        THING,
        "price|unit price|price each|price per unit|single price|preis|einzelpreis|stuckpreis|preis pro stuck|\
         prix|prix unitaire|pu|precio|precio unitario|precio unidad|prezzo|prezzo unitario|preco|\
         preco unitario|prijs|stukprijs|prijs per stuk|prijs stuk|eenheidsprijs|pris|styckpris|a pris|stykpris|\
         stykkpris|enhedspris|enhetspris|pris per stk|hinta|yksikkohinta|kappalehinta|cena|cena jednostkowa|\
         jednotkova cena|cena za kus|ar|egysegar|darabar|pret|pret unitar",
    ),
    (
        "items.shelf",
        THING,
        "shelf|shelf mark|bin|bin location|location|stock location|lagerplatz|lagerort|fach|regal|\
         regalplatz|emplacement|etagere|rayon|ubicacion|estante|estanteria|scaffale|ubicazione|\
         prateleira|localizacao|magazijnlocatie|plank|schap|locatie|hylde|lagerplads|hylla|\
         hyllplats|lagerplats|hylle|hylleplass|lagerplass|hylly|hyllypaikka|varastopaikka|polka|\
         lokalizacja|police|umisteni|polc|raktarhely|raft|locatie raft",
    ),
    // A weight that says of nothing what it is of is an item's: taken for the parcel's, it would pass
    // for what the scale says.
    (
        "items.weight_g",
        THING,
        "weight|gewicht|poids|peso|vikt|vekt|vaegt|waga|paino|hmotnost|vaha|suly|tomeg|greutate|\
         weight each|unit weight|net weight|single weight|artikelgewicht|einzelgewicht|stuckgewicht|\
         nettogewicht|produktgewicht|poids unitaire|poids net|peso unitario|peso neto|peso netto|\
         peso liquido|stukgewicht|artikelvikt|styckvikt|varevekt|nettovekt|nettovaegt|\
         waga jednostkowa|waga netto|yksikkopaino|kappalepaino|egysegsuly|greutate unitara",
    ),
    (
        "items.hs",
        THING,
        "hs|hs code|hs number|hs tariff number|tariff|tariff code|tariff number|commodity code|\
         zolltarifnummer|warennummer|code sh|codigo arancelario|taric|customs code",
    ),
    (
        "items.origin",
        THING,
        "origin|country origin|origin country|made in|ursprung|ursprungsland|herkunftsland|\
         pays origine|origine|pais origen|origen|paese origine|land herkomst",
    ),
    (
        "shipping",
        ORDER,
        "postage|porto|shipping cost|shipping costs|shipping price|shipping charge|shipping fee|\
         delivery cost|delivery price|versandkosten|frais de port|frais d envoi|gastos de envio|\
         spese di spedizione|verzendkosten|portes|fragtpris|fraktkostnad|koszt wysylki|koszt dostawy",
    ),
    (
        "discount",
        ORDER,
        "discount|discount amount|discounts|rabatt|rabat|nachlass|remise|reduction|descuento|sconto|\
         korting|desconto",
    ),
    (
        "tax.amount",
        ORDER,
        "tax|taxes|tax amount|total tax|vat|vat amount|mwst|mehrwertsteuer|ust|tva|iva|btw|moms",
    ),
    (
        "paid",
        ORDER,
        "paid|amount paid|total paid|grand total|gesamtbetrag|gesamtsumme|total ttc|importe total|\
         totale ordine|totaalbedrag|kwota zaplacona",
    ),
    ("currency", ORDER, "currency|currency code|wahrung|devise|moneda|valuta|moeda|waluta|mena"),
    (
        "parcel.pack",
        PARCEL,
        "pack|packaging|box|verpackung|emballage|embalaje|imballaggio|verpakking",
    ),
    (
        "parcel.weight_g",
        &[Some(About::Parcel), Some(About::Recipient), Some(About::Order)],
        "weight|gewicht|poids|peso|vikt|vekt|vaegt|waga|paino|hmotnost|vaha|suly|tomeg|greutate",
    ),
    (
        "parcel.weight_g",
        &[None, Some(About::Parcel), Some(About::Recipient), Some(About::Order)],
        "total weight|gross weight|gesamtgewicht|paketgewicht|versandgewicht|bruttogewicht|\
         sendungsgewicht|poids total|poids brut|peso total|peso totale|peso bruto|peso lordo|\
         totaal gewicht|totaalgewicht|brutogewicht|pakketgewicht|samlet vaegt|pakkevaegt|totalvikt|\
         paketvikt|totalvekt|pakkevekt|kokonaispaino|paketin paino|waga calkowita|waga brutto|\
         celkova hmotnost|osszsuly|ossztomeg|greutate totala",
    ),
    (
        "parcel.size_mm",
        PARCEL,
        "size|dimensions|length|width|height|lange|breite|hohe|abmessungen|longueur|largeur|hauteur|\
         largo|ancho|alto|lunghezza|larghezza|altezza|lengte|breedte|hoogte|l|w|h",
    ),
    (
        "service",
        PARCEL,
        "service|method|shipping method|delivery method|shipping service|carrier service|\
         versandart|versandmethode|lieferart|mode|mode livraison|metodo|metodo envio|metodo spedizione|\
         verzendmethode|bezorgmethode|fraktsatt|sposob",
    ),
    ("extras", PARCEL, "extras|options|service options|zusatzleistungen|opties|opciones|opzioni"),
    (
        "tracking",
        PARCEL,
        "tracking|tracking number|tracking code|tracking no|tracking id|sendungsnummer|\
         trackingnummer|numero suivi|suivi|numero seguimiento|codice tracciamento",
    ),
    ("hazard", &[None, Some(About::Item)], "hazard|hazardous|dangerous goods|gefahrgut|dangereux"),
    ("gift", ORDER, "gift|is gift|geschenk|cadeau|regalo|presente|prezent|gava|gave"),
    (
        "message",
        &[None, Some(About::Order), Some(About::Recipient)],
        "message|gift message|gift note|note from buyer|buyer note|buyer message|grusskarte|\
         nachricht|grusstext|geschenknachricht|geschenktext|message cadeau|mensaje|messaggio|\
         bericht|meddelande|wiadomosc|note buyer|message buyer",
    ),
    (
        "note",
        ORDER,
        "note|notes|comment|comments|remark|remarks|shop note|private notes|internal note|notiz|notizen|\
         bemerkung|bemerkungen|anmerkung|anmerkungen|kommentar|kommentare|interne notiz|hinweis|\
         remarque|remarques|commentaire|commentaires|nota|notas|note interne|nota interna|\
         observaciones|comentario|comentarios|osservazioni|commento|commenti|observacoes|observacao|\
         opmerking|opmerkingen|notitie|notities|bemaerkning|bemaerkninger|noter|kommentarer|\
         anteckning|anteckningar|anmarkning|merknad|merknader|notat|notater|huomautus|huomautukset|\
         huomio|muistiinpano|kommentti|uwagi|notatka|notatki|komentarz|poznamka|poznamky|\
         megjegyzes|megjegyzesek|observatii|observatie|comentariu|comentarii",
    ),
];

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

/// What a column probably is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Guess {
    /// The field's name.
    pub(crate) target: &'static str,
    /// The unit that the name gives, as in `Weight (kg)`.
    pub(crate) unit: Option<Unit>,
    /// Whether the name says that it speaks of recipient, item or parcel; such a column goes
    /// before another of the same field that does not say so.
    pub(crate) explicit: bool,
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
            return Some(Guess { target: "items.weight_g", unit: Some(unit), explicit: false });
        }
        (Some(_), 2..) => drop(words.pop()),
        _ => {}
    }
    if unit.is_some() && words.last().is_some_and(|word| IN.contains(&word.as_str())) {
        words.pop();
    }
    let unit = unit.filter(|_| !words.is_empty());
    // A whole name that is known goes before what its words tell: `order date`, `gift note`.
    let whole = words.join(" ");
    if let Some(target) = find_row(None, &whole) {
        return Some(Guess { target, unit, explicit: false });
    }
    let about = |word: &str| {
        ABOUT.iter().find(|(_, all)| all.split_whitespace().any(|known| known == word))
    };
    let told: Vec<About> = words.iter().filter_map(|word| about(word)).map(|(it, _)| *it).collect();
    if told.contains(&About::Payer) {
        return None;
    }
    let is_filler = |word: &str| FILLERS.split_whitespace().any(|known| known == word);
    let rest: Vec<&str> = words
        .iter()
        .map(String::as_str)
        .filter(|word| about(word).is_none() && !is_filler(word))
        .collect();
    let rest = if rest.is_empty() { "-".to_owned() } else { rest.join(" ") };
    let tried = told.iter().map(|about| Some(*about));
    let target = tried.chain([None]).find_map(|about| find_row(about, &rest))?;
    Some(Guess { target, unit, explicit: !told.is_empty() })
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
    let rows = PHRASES.get(phrase).filter(|_| phrase != "-" || about.is_some())?;
    rows.iter().find(|row| row.1.contains(&about)).map(|row| row.0)
}

/// A name's words in small letters, without accents and marks; `Lineitem2Name` is not taken apart.
pub(super) fn split_words(column: &str) -> Vec<String> {
    let plain: String = column
        .nfkd()
        .filter(|c| !unicode_normalization::char::is_combining_mark(*c))
        .flat_map(char::to_lowercase)
        .collect();
    let plain = plain.replace('ß', "ss").replace('ø', "o").replace('ł', "l").replace('æ', "ae");
    let words = plain.split(|c: char| !c.is_alphanumeric());
    words.filter(|word| !word.is_empty()).map(str::to_owned).collect()
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
        assert!(!guess_postcode_and_city("Ort") && !guess_postcode_and_city("Post code"));
        let guessed = guess("Item weight (kg)").and_then(|guess| guess.unit);
        assert_eq!(guessed.map(Unit::symbol), Some("kg"));
    }
}
