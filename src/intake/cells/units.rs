//! The units of weights and lengths in exports, by their usual words.
//!
//! In: a word such as `kg` or `lbs`. Out: a [`Unit`]. Not here: numbers (`number`).

use crate::parcel::{LengthUnit, MassUnit};

/// A unit of weight or length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Unit {
    /// A unit of weight.
    Mass(MassUnit),
    /// For the sides of a parcel.
    Length(LengthUnit),
}

/// What exports call units, in small letters.
#[rustfmt::skip]
const WORDS: &[(&str, Unit)] = &[
    ("g", Unit::Mass(MassUnit::Gram)), ("gr", Unit::Mass(MassUnit::Gram)),
    ("gram", Unit::Mass(MassUnit::Gram)), ("grams", Unit::Mass(MassUnit::Gram)),
    ("gramm", Unit::Mass(MassUnit::Gram)),
    ("gramme", Unit::Mass(MassUnit::Gram)), ("grammes", Unit::Mass(MassUnit::Gram)),
    ("gramos", Unit::Mass(MassUnit::Gram)), ("grammi", Unit::Mass(MassUnit::Gram)), ("kg", Unit::Mass(MassUnit::Kilogram)),
    ("kgs", Unit::Mass(MassUnit::Kilogram)), ("kilo", Unit::Mass(MassUnit::Kilogram)),
    ("kilos", Unit::Mass(MassUnit::Kilogram)), ("kilogram", Unit::Mass(MassUnit::Kilogram)),
    ("kilograms", Unit::Mass(MassUnit::Kilogram)), ("oz", Unit::Mass(MassUnit::Ounce)),
    ("ounce", Unit::Mass(MassUnit::Ounce)), ("ounces", Unit::Mass(MassUnit::Ounce)),
    ("lb", Unit::Mass(MassUnit::Pound)), ("lbs", Unit::Mass(MassUnit::Pound)),
    ("pound", Unit::Mass(MassUnit::Pound)), ("pounds", Unit::Mass(MassUnit::Pound)),
    ("mm", Unit::Length(LengthUnit::Millimetre)), ("cm", Unit::Length(LengthUnit::Centimetre)),
    ("m", Unit::Length(LengthUnit::Metre)), ("in", Unit::Length(LengthUnit::Inch)),
    ("inch", Unit::Length(LengthUnit::Inch)), ("inches", Unit::Length(LengthUnit::Inch)),
    ("\"", Unit::Length(LengthUnit::Inch)), ("″", Unit::Length(LengthUnit::Inch)),
];

impl Unit {
    /// The unit of a word, in either case, with or without a point after it.
    pub(crate) fn parse(word: &str) -> Option<Unit> {
        let word = word.trim().trim_end_matches('.').to_lowercase();
        WORDS.iter().find(|(known, _)| *known == word).map(|(_, unit)| *unit)
    }

    /// How messages write it, such as `kg`.
    pub(crate) fn symbol(self) -> &'static str {
        match self {
            Unit::Mass(unit) => unit.symbol(),
            Unit::Length(unit) => unit.symbol(),
        }
    }
}
