//! Lengths and weights as exact whole numbers, with the units a person writes and reads.
//!
//! In: text with a unit (`22 cm`, `1.5 kg`). Out: [`Extent`] and [`Mass`], which compare and add
//! without rounding, and the same figures as text. Not here: the lengths of a page (`geom`).
//!
//! A micrometre and a nanogram are small enough that an inch (25.4 mm), a pound (453.59237 g) and
//! an ounce (28.349523125 g), all by definition of the international yard and pound (1959), are
//! whole numbers of them; so no limit, step or band is ever missed by a rounding error.

use std::iter::Sum;
use std::ops::Add;

use crate::geom::Mm;

/// A length of an item, a pack or a parcel, in whole micrometres.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Extent(u64);

/// Length, width and height.
pub type Size3 = [Extent; 3];

/// A weight in whole nanograms.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Mass(u64);

/// What lengths are written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LengthUnit {
    /// The unit of orders and of layouts.
    Millimetre,
    /// Ten millimetres.
    Centimetre,
    /// Metre; read, but never written.
    Metre,
    /// Inch of 25.4 mm.
    Inch,
}

/// A unit of weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MassUnit {
    /// The unit of orders.
    Gram,
    /// A thousand grams.
    Kilogram,
    /// Ounce avoirdupois, a sixteenth of a pound.
    Ounce,
    /// Pound avoirdupois of 453.59237 g.
    Pound,
}

/// The longest side that is taken for a parcel's: 10 m.
pub(super) const LONGEST: Extent = Extent(10_000_000);

/// The heaviest weight that is taken for a parcel's: a tonne.
pub(super) const HEAVIEST: Mass = Mass(1_000_000_000_000_000);

impl LengthUnit {
    /// How many micrometres it has, without a remainder.
    #[must_use]
    pub fn micrometres(self) -> u64 {
        match self {
            LengthUnit::Millimetre => 1_000,
            LengthUnit::Centimetre => 10_000,
            LengthUnit::Metre => 1_000_000,
            LengthUnit::Inch => 25_400,
        }
    }

    /// How it is written behind a figure, such as `mm`.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            LengthUnit::Millimetre => "mm",
            LengthUnit::Centimetre => "cm",
            LengthUnit::Metre => "m",
            LengthUnit::Inch => "in",
        }
    }

    /// The unit of a symbol.
    #[must_use]
    pub fn parse(text: &str) -> Option<LengthUnit> {
        let all = [Self::Millimetre, Self::Centimetre, Self::Metre, Self::Inch];
        all.into_iter().find(|unit| unit.symbol() == text)
    }
}

impl MassUnit {
    /// How many nanograms it has, without a remainder.
    #[must_use]
    pub fn nanograms(self) -> u64 {
        match self {
            MassUnit::Gram => 1_000_000_000,
            MassUnit::Kilogram => 1_000_000_000_000,
            MassUnit::Ounce => 28_349_523_125,
            MassUnit::Pound => 453_592_370_000,
        }
    }

    /// How it is written behind a figure, such as `kg`.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            MassUnit::Gram => "g",
            MassUnit::Kilogram => "kg",
            MassUnit::Ounce => "oz",
            MassUnit::Pound => "lb",
        }
    }

    /// The unit of a symbol.
    #[must_use]
    pub fn parse(text: &str) -> Option<MassUnit> {
        let all = [Self::Gram, Self::Kilogram, Self::Ounce, Self::Pound];
        all.into_iter().find(|unit| unit.symbol() == text)
    }
}

impl Extent {
    /// No length at all.
    pub const ZERO: Extent = Extent(0);

    /// A length in whole micrometres.
    #[must_use]
    pub const fn from_micrometres(micrometres: u64) -> Extent {
        Extent(micrometres)
    }

    /// A length in whole millimetres.
    #[must_use]
    pub const fn from_whole_mm(mm: u32) -> Extent {
        Extent(mm as u64 * 1_000)
    }

    /// A length as orders give it, to the nearest micrometre; none when it is negative, longer
    /// than 10 m or no number.
    #[must_use]
    pub fn from_mm(length: Mm) -> Option<Extent> {
        let micrometres = (length.0 * 1_000.0).round();
        let longest = LONGEST.0 as f64;
        // The range is checked, so the conversion keeps every digit.
        (0.0..=longest).contains(&micrometres).then_some(Extent(micrometres as u64))
    }

    /// What it is counted in, so that sums are exact.
    #[must_use]
    pub fn micrometres(self) -> u64 {
        self.0
    }

    /// The length without its unit, with at most two decimals.
    #[must_use]
    pub fn digits_in(self, unit: LengthUnit) -> String {
        format_ratio(self.0.into(), unit.micrometres().into(), 2)
    }

    /// The length with its unit, with at most two decimals: `21.5 cm`.
    #[must_use]
    pub fn show(self, unit: LengthUnit) -> String {
        format!("{} {}", self.digits_in(unit), unit.symbol())
    }

    /// A length with its unit; millimetres when it has none. At most 10 m, above zero.
    #[must_use]
    pub fn parse(text: &str) -> Option<Extent> {
        let (digits, unit) = split_unit(text)?;
        let unit = if unit.is_empty() { Some(LengthUnit::Millimetre) } else { parse_length(unit) };
        let micrometres = digits.times(unit?.micrometres())?;
        (1..=LONGEST.0).contains(&micrometres).then_some(Extent(micrometres))
    }
}

/// A unit of length, by its symbol or as people also write it.
fn parse_length(text: &str) -> Option<LengthUnit> {
    match text {
        "inch" | "inches" | "\"" | "″" => Some(LengthUnit::Inch),
        text => LengthUnit::parse(text),
    }
}

/// Three lengths with one unit at the end, such as `220 x 110 x 40 mm`; millimetres when there is
/// none. Between them stands `x` or `×`.
#[must_use]
pub fn parse_size(text: &str) -> Option<Size3> {
    parse_lengths::<3>(text)
}

/// So many lengths with one unit at the end.
pub(super) fn parse_lengths<const N: usize>(text: &str) -> Option<[Extent; N]> {
    let parts: Vec<&str> = text.split(['x', '×', 'X']).map(str::trim).collect();
    let (_, unit) = split_unit(parts.last()?)?;
    let whole = |part: &str| match split_unit(part)?.1 {
        "" => Extent::parse(&format!("{part} {unit}")),
        own if own == unit => Extent::parse(part),
        _ => None,
    };
    let lengths: Option<Vec<Extent>> = parts.iter().map(|part| whole(part)).collect();
    lengths?.try_into().ok()
}

/// Lengths with one unit at the end: `220 × 110 × 40 mm`.
#[must_use]
pub fn show_sides(sides: &[Extent], unit: LengthUnit) -> String {
    let digits: Vec<String> = sides.iter().map(|side| side.digits_in(unit)).collect();
    format!("{} {}", digits.join(" × "), unit.symbol())
}

impl Mass {
    /// No weight at all.
    pub const ZERO: Mass = Mass(0);

    /// A weight in nanograms.
    #[must_use]
    pub const fn from_nanograms(nanograms: u64) -> Mass {
        Mass(nanograms)
    }

    /// A weight in whole grams.
    #[must_use]
    pub const fn from_grams(grams: u32) -> Mass {
        Mass(grams as u64 * 1_000_000_000)
    }

    /// What it is counted in, so that sums are exact.
    #[must_use]
    pub fn nanograms(self) -> u64 {
        self.0
    }

    /// Grams, for reports that another program reads; a whole number of grams is exact.
    #[must_use]
    pub fn to_grams(self) -> f64 {
        self.0 as f64 / 1e9
    }

    /// So many of it.
    #[must_use]
    pub fn times(self, count: u32) -> Mass {
        Mass(self.0.saturating_mul(count.into()))
    }

    /// What is left of it after taking `other` off; nothing when that is more.
    #[must_use]
    pub fn saturating_sub(self, other: Mass) -> Mass {
        Mass(self.0.saturating_sub(other.0))
    }

    /// The smallest multiple of `step` that is not less.
    #[must_use]
    pub fn round_up(self, step: Mass) -> Mass {
        if step.0 == 0 { self } else { Mass(self.0.div_ceil(step.0).saturating_mul(step.0)) }
    }

    /// The weight with its unit: at most three decimals of a kilogram, two of any other.
    #[must_use]
    pub fn show(self, unit: MassUnit) -> String {
        let decimals = if unit == MassUnit::Kilogram { 3 } else { 2 };
        let digits = format_ratio(self.0.into(), unit.nanograms().into(), decimals);
        format!("{digits} {}", unit.symbol())
    }

    /// A weight with its unit, above zero and at most a tonne; none without a unit.
    #[must_use]
    pub fn parse(text: &str) -> Option<Mass> {
        let (digits, unit) = split_unit(text)?;
        let nanograms = digits.times(parse_mass_unit(unit)?.nanograms())?;
        (1..=HEAVIEST.0).contains(&nanograms).then_some(Mass(nanograms))
    }
}

/// A unit of weight, by its symbol or as people also write it.
fn parse_mass_unit(text: &str) -> Option<MassUnit> {
    match text {
        "lbs" => Some(MassUnit::Pound),
        text => MassUnit::parse(text),
    }
}

impl Add for Extent {
    type Output = Extent;
    fn add(self, other: Extent) -> Extent {
        Extent(self.0.saturating_add(other.0))
    }
}

impl Add for Mass {
    type Output = Mass;
    fn add(self, other: Mass) -> Mass {
        Mass(self.0.saturating_add(other.0))
    }
}

impl Sum for Extent {
    fn sum<I: Iterator<Item = Extent>>(iter: I) -> Extent {
        iter.fold(Extent::ZERO, Add::add)
    }
}

impl Sum for Mass {
    fn sum<I: Iterator<Item = Mass>>(iter: I) -> Mass {
        iter.fold(Mass::ZERO, Add::add)
    }
}

/// A number as it is written: `1.25` is 125 with a scale of 2.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Digits {
    /// Its digits without the point.
    pub(super) mantissa: u64,
    /// How many of them stand after the point.
    pub(super) scale: u32,
}

impl Digits {
    /// This many of a unit, to the nearest whole number, halves up.
    fn times(self, unit: u64) -> Option<u64> {
        let divisor = 10_u128.pow(self.scale);
        let product = u128::from(self.mantissa) * u128::from(unit);
        u64::try_from((product + divisor / 2) / divisor).ok()
    }
}

/// A number of at most nine digits and six decimals, and the unit behind it, which may be empty.
pub(super) fn split_unit(text: &str) -> Option<(Digits, &str)> {
    let text = text.trim();
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let (whole, decimals) = number.split_once('.').unwrap_or((number, ""));
    let plain = !whole.is_empty() && whole.len() <= 9 && decimals.len() <= 6;
    if !plain || decimals.contains('.') || number.ends_with('.') {
        return None;
    }
    let mantissa = format!("{whole}{decimals}").parse().ok()?;
    let scale = u32::try_from(decimals.len()).ok()?;
    Some((Digits { mantissa, scale }, unit.trim()))
}

/// A quotient with at most so many decimals, halves up, without zeros at its end.
pub(super) fn format_ratio(numerator: u128, denominator: u128, decimals: u32) -> String {
    let power = 10_u128.pow(decimals);
    let whole = numerator / denominator;
    let rest = ((numerator % denominator) * power * 2 + denominator) / (denominator * 2);
    let (whole, rest) = if rest == power { (whole + 1, 0) } else { (whole, rest) };
    let fraction = format!("{rest:0width$}", width = decimals as usize);
    let fraction = fraction.trim_end_matches('0');
    if decimals == 0 || fraction.is_empty() {
        whole.to_string()
    } else {
        format!("{whole}.{fraction}")
    }
}

/// Whether figures say where they come from.
///
/// A batch of thousands needs the figures alone, and putting every reason into words would take
/// longer than the arithmetic.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Telling {
    /// Every figure has its reason.
    #[default]
    InWords,
    /// Reasons are empty, but as many as they are.
    Silent,
}

impl Telling {
    /// The words, if they are wanted.
    pub(super) fn say(self, words: impl FnOnce() -> String) -> String {
        match self {
            Telling::InWords => words(),
            Telling::Silent => String::new(),
        }
    }

    /// A figure with its reason, if that is wanted.
    pub(super) fn figure<T>(self, value: T, reason: impl FnOnce() -> String) -> Figure<T> {
        Figure { value, reason: self.say(reason) }
    }
}

/// A figure with the sentence that says where it comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure<T> {
    /// What it comes to.
    pub value: T,
    /// Where it comes from: lower case, no full stop.
    pub reason: String,
}

impl<T> Figure<T> {
    /// Ties a figure to the sentence that says where it comes from.
    #[must_use]
    pub fn new(value: T, reason: impl Into<String>) -> Figure<T> {
        Figure { value, reason: reason.into() }
    }
}

/// The units that figures are shown in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Units {
    /// The unit of lengths; millimetres by default.
    pub length: LengthUnit,
    /// The unit of weights; by default grams below a kilogram, and kilograms from there.
    pub mass: Option<MassUnit>,
}

impl Default for Units {
    fn default() -> Units {
        Units { length: LengthUnit::Millimetre, mass: None }
    }
}

impl Units {
    /// A weight as it is shown.
    #[must_use]
    pub fn mass(self, mass: Mass) -> String {
        let by_itself =
            if mass < Mass::from_grams(1_000) { MassUnit::Gram } else { MassUnit::Kilogram };
        mass.show(self.mass.unwrap_or(by_itself))
    }

    /// A length as it is shown.
    #[must_use]
    pub fn length(self, length: Extent) -> String {
        length.show(self.length)
    }

    /// Sides as they are shown.
    #[must_use]
    pub fn sides(self, sides: &[Extent]) -> String {
        show_sides(sides, self.length)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_exact() {
        assert_eq!(Mass::parse("16 oz"), Mass::parse("1 lb"));
        assert_eq!(Mass::parse("1 lb").unwrap().nanograms(), 453_592_370_000);
        assert_eq!(Extent::parse("1 in"), Extent::parse("25.4 mm"));
        assert_eq!(Extent::parse("0.125 in").unwrap().micrometres(), 3_175);
        assert_eq!(Extent::parse("12 in").unwrap().show(LengthUnit::Centimetre), "30.48 cm");
        assert_eq!(Extent::from_mm(Mm(220.0)), Extent::parse("220"));
        assert_eq!(Extent::from_mm(Mm(0.1)).unwrap().micrometres(), 100);
    }

    #[test]
    fn text_is_read_as_people_write_it() {
        for text in ["220 x 110 x 40 mm", "220x110x40", "22 × 11 × 4cm", "22 cm x 11 cm x 4 cm"] {
            let size = parse_size(text).unwrap();
            assert_eq!(show_sides(&size, LengthUnit::Millimetre), "220 × 110 × 40 mm", "{text}");
        }
        assert_eq!(parse_size("9x6x2in").unwrap()[0].show(LengthUnit::Millimetre), "228.6 mm");
        assert_eq!(Mass::parse("1.5kg"), Some(Mass::from_grams(1_500)));
    }

    #[test]
    fn what_is_no_length_or_weight_is_refused() {
        for text in ["", "mm", "-3 mm", "0", "0.0 mm", "1e3 mm", "1..5", "1. mm", ".5 mm", "11 m"] {
            assert_eq!(Extent::parse(text), None, "{text}");
        }
        for text in ["250", "0 g", "1,5 kg", "2 stone", "1.0000001 g", "1001 kg", "9999999999 g"] {
            assert_eq!(Mass::parse(text), None, "{text}");
        }
        for text in ["220 x 110 mm", "220 x 110 x 40 x 3", "x x x", "22 cm x 11 mm x 4 cm", ""] {
            assert_eq!(parse_size(text), None, "{text}");
        }
        for mm in [f64::NAN, f64::INFINITY, -1.0, 10_001.0] {
            assert_eq!(Extent::from_mm(Mm(mm)), None, "{mm}");
        }
    }

    #[test]
    fn figures_round_half_up_and_lose_their_zeros() {
        assert_eq!(format_ratio(5, 2, 0), "3");
        assert_eq!(format_ratio(1, 3, 2), "0.33");
        assert_eq!(format_ratio(1_995, 1_000, 2), "2");
        assert_eq!(format_ratio(25, 100, 3), "0.25");
        assert_eq!(Mass::from_grams(318_150).show(MassUnit::Kilogram), "318.15 kg");
        assert_eq!(Mass::from_grams(100).show(MassUnit::Ounce), "3.53 oz");
    }

    #[test]
    fn steps_round_up_and_never_down() {
        let step = Mass::from_grams(500);
        for (grams, wanted) in [(0, 0), (1, 500), (500, 500), (501, 1_000)] {
            assert_eq!(Mass::from_grams(grams).round_up(step), Mass::from_grams(wanted));
        }
        let pound = Mass::parse("1 lb").unwrap();
        assert_eq!(Mass::parse("16 oz").unwrap().round_up(pound), pound);
        assert_eq!(Mass::parse("453.592371 g").unwrap().round_up(pound), pound.times(2));
    }
}
