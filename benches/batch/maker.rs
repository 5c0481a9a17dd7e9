//! Invented orders in any number, the same ones every time: alike, six places and six streets.

use std::fmt::Write as _;

/// First names with accents and two other scripts.
const NAMES: &[&str] = &[
    "Mara",
    "Élodie",
    "Jürgen",
    "Siân",
    "Tomasz",
    "Ingrid",
    "Αθηνά",
    "Марина",
    "Anaïs",
    "Björn",
    "Chiara",
    "Duarte",
    "Eszter",
    "Freya",
    "Göran",
    "Hélène",
];

/// Family names.
const FAMILIES: &[&str] = &[
    "Lindqvist",
    "Okafor",
    "Whitcombe",
    "Vermeulen",
    "Kowalczyk",
    "Ferreira",
    "Novák",
    "Ólafsson",
    "Brandt",
    "Castellan",
    "Dufresne",
    "Eriksen",
    "Fairweather",
    "Grünwald",
    "Hollis",
    "Ivarsson",
];

/// Streets.
const STREETS: &[&str] =
    &["Mill Lane", "Harbour Row", "Orchard Way", "Station Road", "Weaver Close", "Quarry Hill"];

/// Places with their postcode and country, shapes as in the open address data.
const PLACES: &[(&str, &str, &str)] = &[
    ("Leeds", "LS1 4AP", "GB"),
    ("Köln", "51147", "DE"),
    ("Lyon", "69001", "FR"),
    ("Utrecht", "3511 AB", "NL"),
    ("Uppsala", "753 10", "SE"),
    ("Porto", "4000-007", "PT"),
];

/// What is sold.
const ITEMS: &[&str] = &[
    "Tortoiseshell lever filler",
    "Gold nib, fine",
    "Iron gall ink 30 ml",
    "Dot grid notebook A5",
    "Pen roll in waxed canvas",
    "Converter, screw in",
    "Blotting paper, 10 sheets",
    "Piston filler, green",
    "Stub nib 1.1",
    "Ink sample set",
];

/// A generator of numbers that are the same on every machine (xorshift64).
pub(crate) struct Dice(u64);

impl Dice {
    /// The generator at its start.
    pub(crate) fn new() -> Dice {
        Dice(0x5EED_1234_ABCD_0001)
    }

    /// The next number below `sides`.
    pub(crate) fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 >> 33).unwrap_or(0) % sides
    }

    /// One of some words.
    pub(crate) fn pick<'w>(&mut self, words: &[&'w str]) -> &'w str {
        self.choose::<&'w str>(words)
    }

    /// One of some things.
    pub(crate) fn choose<'t, T>(&mut self, things: &'t [T]) -> &'t T {
        &things[self.roll(things.len())]
    }
}

/// So many orders as JSON.
pub(crate) fn make_orders(count: usize) -> String {
    let mut dice = Dice::new();
    let mut text = String::from("{\"batch\": \"bench\", \"orders\": [\n");
    for number in 0..count {
        let (city, postcode, country) = PLACES[dice.roll(PLACES.len())];
        let _ = write!(
            text,
            "{}{{\"id\": \"TH-{number:06}\", \"ship_to\": {{\"name\": \"{} {}. {}\", \"lines\": \
             [\"{} {}\"], \"city\": \"{city}\", \"postcode\": \"{postcode}\", \"country\": \
             \"{country}\"}}, \"currency\": \"GBP\", \"parcel\": {{\"weight_g\": {}}}, \
             \"hazard\": \"none\", \"items\": [",
            if number == 0 { "" } else { ",\n" },
            dice.pick(NAMES),
            // Without it each of a hundred thousand buyers would have namesakes in town.
            char::from(b'A' + dice.roll(26) as u8),
            dice.pick(FAMILIES),
            dice.roll(180) + 1,
            dice.pick(STREETS),
            dice.roll(1900) + 60,
        );
        for item in 0..=dice.roll(3) {
            let _ = write!(
                text,
                "{}{{\"sku\": \"S{:04}\", \"title\": \"{}\", \"qty\": {}, \"price\": \"{}.{:02}\"}}",
                if item == 0 { "" } else { ", " },
                dice.roll(9999),
                dice.pick(ITEMS),
                dice.roll(3) + 1,
                dice.roll(120) + 4,
                dice.roll(100),
            );
        }
        text.push_str("]}");
    }
    text.push_str("\n]}\n");
    text
}
