//! What a carrier charges for: the greater of a parcel's weight and its size taken as a weight.
//!
//! In: a parcel's weight and size, and the rules of the shop or of one service. Out: the three
//! figures, each with its reason in a sentence. Not here: what that costs (`quote`), and whether
//! it is allowed (`limits`).

use super::units::{
    Digits, Extent, Figure, LengthUnit, Mass, MassUnit, Size3, Telling, Units, format_ratio,
    show_sides, split_unit,
};

/// How a weight to charge for is found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BillingRules {
    /// What volume counts as what weight; without it only the scale counts.
    pub volume: Option<VolumeFactor>,
    /// How each side is rounded before the volume is taken.
    pub sides: SideRounding,
    /// The step that weights are rounded up to; without it they stay as they are.
    pub step: Option<Mass>,
}

/// How a side is rounded before the volume is taken. A side never becomes less than one unit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SideRounding {
    /// Not at all.
    #[default]
    AsMeasured,
    /// To the nearest whole unit, halves up.
    Nearest(LengthUnit),
    /// Up to the next whole unit.
    Next(LengthUnit),
}

/// The words of [`SideRounding`] in a shop file.
pub(super) const SIDE_ROUNDINGS: &[(&str, SideRounding)] = &[
    ("as measured", SideRounding::AsMeasured),
    ("nearest cm", SideRounding::Nearest(LengthUnit::Centimetre)),
    ("next cm", SideRounding::Next(LengthUnit::Centimetre)),
    ("nearest in", SideRounding::Nearest(LengthUnit::Inch)),
    ("next in", SideRounding::Next(LengthUnit::Inch)),
];

impl SideRounding {
    /// To whole ones of this; none when sides are left as they were measured.
    fn unit(self) -> Option<LengthUnit> {
        match self {
            SideRounding::AsMeasured => None,
            SideRounding::Nearest(unit) | SideRounding::Next(unit) => Some(unit),
        }
    }

    /// A side after rounding.
    #[must_use]
    pub fn round(self, side: Extent) -> Extent {
        let length = side.micrometres();
        let whole = |count: u64, unit: LengthUnit| {
            Extent::from_micrometres(count.max(1).saturating_mul(unit.micrometres()))
        };
        match self {
            SideRounding::AsMeasured => side,
            SideRounding::Nearest(unit) => {
                whole(length.saturating_add(unit.micrometres() / 2) / unit.micrometres(), unit)
            }
            SideRounding::Next(unit) => whole(length.div_ceil(unit.micrometres()), unit),
        }
    }

    /// The rule in a few words; none when nothing is rounded.
    fn describe(self) -> Option<String> {
        match self {
            SideRounding::AsMeasured => None,
            SideRounding::Nearest(unit) => {
                Some(format!("each side to the nearest {}", unit.symbol()))
            }
            SideRounding::Next(unit) => Some(format!("each side up to a whole {}", unit.symbol())),
        }
    }
}

/// What volume counts as what weight, as carriers state it: `6000 cm3/kg`, `139 in3/lb` or
/// `250 kg/m3`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct VolumeFactor {
    /// The number as it was written.
    number: Digits,
    /// The cubed unit of the volume.
    length: LengthUnit,
    /// The unit of the weight.
    mass: MassUnit,
    /// Whether the number counts volumes in one weight, and not weights in one volume.
    volumes_per_mass: bool,
}

/// The ways to state a factor: how it is written, the cubed unit, the weight's unit, whether the
/// volume comes first, and the least and greatest number that is believed.
///
/// The bounds are decades around what carriers use; they keep all arithmetic in range and catch a
/// factor with the wrong unit.
type FactorForm = (&'static str, LengthUnit, MassUnit, bool, u64, u64);

/// Every form of a factor.
#[rustfmt::skip]
const FACTOR_FORMS: &[FactorForm] = &[
    ("cm3/kg", LengthUnit::Centimetre, MassUnit::Kilogram, true, 500, 50_000),
    ("in3/kg", LengthUnit::Inch, MassUnit::Kilogram, true, 30, 3_000),
    ("in3/lb", LengthUnit::Inch, MassUnit::Pound, true, 14, 1_400),
    ("kg/m3", LengthUnit::Metre, MassUnit::Kilogram, false, 20, 2_000),
];

impl VolumeFactor {
    /// Reads a factor such as `6000 cm3/kg`, `6000 cm³ per kg` or `250 kg/m3`.
    #[must_use]
    pub fn parse(text: &str) -> Option<VolumeFactor> {
        let (number, unit) = split_unit(text)?;
        let unit = unit.replace('³', "3").replace(" per ", "/").replace(' ', "");
        let form = FACTOR_FORMS.iter().find(|form| form.0 == unit)?;
        let &(_, length, mass, volumes_per_mass, least, greatest) = form;
        let power = 10_u64.checked_pow(number.scale)?;
        let good = (least * power..=greatest * power).contains(&number.mantissa);
        (good && number.scale <= 3).then_some(VolumeFactor {
            number,
            length,
            mass,
            volumes_per_mass,
        })
    }

    /// The weight that a volume counts as, rounded up to a nanogram.
    fn weigh_volume(self, size: Size3) -> Mass {
        let unit = u128::from(self.length.micrometres());
        let volume_unit = unit * unit * unit;
        let mass_unit = u128::from(self.mass.nanograms());
        let number = u128::from(self.number.mantissa);
        let power = 10_u128.pow(self.number.scale);
        let (up, down) = if self.volumes_per_mass {
            (mass_unit * power, volume_unit * number)
        } else {
            (mass_unit * number, volume_unit * power)
        };
        let shared = greatest_common_divisor(up, down);
        let product = volume(size).checked_mul(up / shared);
        let weight = product.map(|product| product.div_ceil(down / shared));
        let nanograms = weight.and_then(|weight| u64::try_from(weight).ok()).unwrap_or(u64::MAX);
        Mass::from_nanograms(nanograms)
    }

    /// The factor in words.
    fn describe(self) -> String {
        let number = format_ratio(self.number.mantissa.into(), 10_u128.pow(self.number.scale), 3);
        let (volume, mass) = (self.length.symbol(), self.mass.symbol());
        if self.volumes_per_mass {
            format!("{number} {volume}³ count as 1 {mass}")
        } else {
            format!("1 {volume}³ counts as {number} {mass}")
        }
    }
}

/// The greatest number that divides both.
fn greatest_common_divisor(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

/// A volume in cubic micrometres; the greatest number there is when it is even more.
pub(super) fn volume(size: Size3) -> u128 {
    size.iter().fold(1_u128, |so_far, side| so_far.saturating_mul(side.micrometres().into()))
}

/// The figures that a weight to charge for rests on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Billing {
    /// The size taken as a weight; none without a rule or a size.
    pub dimensional: Option<Figure<Mass>>,
    /// The weight to charge for; none when the weight is not known.
    pub billable: Option<Figure<Mass>>,
}

/// Finds the weight to charge for.
#[must_use]
pub fn bill(
    actual: Option<Mass>,
    size: Option<Size3>,
    rules: &BillingRules,
    units: Units,
) -> Billing {
    bill_telling(actual, size, rules, units, Telling::InWords)
}

/// Finds the weight to charge for by weight and size, with reasons or without.
pub(super) fn bill_telling(
    actual: Option<Mass>,
    size: Option<Size3>,
    rules: &BillingRules,
    units: Units,
    telling: Telling,
) -> Billing {
    let dimensional = size.zip(rules.volume).map(|(size, factor)| {
        let rounded = size.map(|side| rules.sides.round(side));
        let weight = factor.weigh_volume(rounded);
        telling.figure(weight, || explain_volume(rounded, factor, rules.sides, units))
    });
    let greater = match (actual, &dimensional) {
        (None, _) => None,
        (Some(actual), Some(by_size)) if by_size.value > actual => Some((
            by_size.value,
            telling.say(|| {
                format!("its size counts for more than its weight of {}", units.mass(actual))
            }),
        )),
        (Some(actual), Some(by_size)) => Some((
            actual,
            telling.say(|| {
                format!("its weight counts, its size would be {}", units.mass(by_size.value))
            }),
        )),
        (Some(actual), None) => Some((actual, telling.say(|| "its weight counts".to_owned()))),
    };
    let billable = greater.map(|(weight, reason)| {
        let stepped = rules.step.map_or(weight, |step| weight.round_up(step));
        telling.figure(stepped, || explain_step(weight, stepped, reason, rules.step, units))
    });
    Billing { dimensional, billable }
}

/// How a weight was rounded up to the step, behind the reason that it counts for.
fn explain_step(
    weight: Mass,
    rounded: Mass,
    reason: String,
    step: Option<Mass>,
    units: Units,
) -> String {
    let Some(step) = step else { return reason };
    if rounded == weight {
        format!("{reason}; it is a multiple of {} already", units.mass(step))
    } else {
        let (from, step) = (units.mass(weight), units.mass(step));
        format!("{reason}; {from} rounded up to a multiple of {step}")
    }
}

/// How a size became a weight.
fn explain_volume(
    sides: Size3,
    factor: VolumeFactor,
    rounding: SideRounding,
    units: Units,
) -> String {
    let unit = rounding.unit().unwrap_or(units.length);
    let cube = u128::from(factor.length.micrometres()).pow(3);
    let decimals = if factor.length == LengthUnit::Metre { 6 } else { 2 };
    let space = format_ratio(volume(sides), cube, decimals);
    let rule = rounding.describe().map(|rule| format!("{rule}, ")).unwrap_or_default();
    let sides = show_sides(&sides, unit);
    let symbol = factor.length.symbol();
    format!("{rule}{sides} are {space} {symbol}³, and {}", factor.describe())
}

#[cfg(test)]
mod tests {
    use super::super::units::parse_size;
    use super::*;

    /// Dimensional and billable weight of a parcel that weighs next to nothing.
    fn bill_size(size: &str, factor: &str, sides: SideRounding, step: &str) -> (String, String) {
        let rules =
            BillingRules { volume: VolumeFactor::parse(factor), sides, step: Mass::parse(step) };
        assert!(rules.volume.is_some(), "{factor}");
        let size = parse_size(size).unwrap();
        let found = bill(Some(Mass::from_grams(1)), Some(size), &rules, Units::default());
        let show = |figure: Option<Figure<Mass>>| figure.unwrap().value.show(MassUnit::Kilogram);
        (show(found.dimensional), show(found.billable))
    }

    const CM: SideRounding = SideRounding::Nearest(LengthUnit::Centimetre);
    const IN: SideRounding = SideRounding::Nearest(LengthUnit::Inch);
    const NONE: SideRounding = SideRounding::AsMeasured;

    /// The practice of air freight: 6000 cm³ or 366 in³ a kilogram, sides to the nearest whole unit,
    /// halves up, and the result up to the next half kilogram. It is common practice, and each row is
    /// plain arithmetic: 150 · 126 · 101 ÷ 6000 = 318.15.
    #[test]
    fn air_practice_vectors_hold() {
        for (size, factor, sides, dimensional, billable) in [
            ("150.2 x 125.5 x 100.6 cm", "6000 cm3/kg", CM, "318.15 kg", "318.5 kg"),
            ("70 x 50 x 60 cm", "6000 cm3/kg", CM, "35 kg", "35 kg"),
            ("30 x 45 x 65 cm", "6000 cm3/kg", CM, "14.625 kg", "15 kg"),
            ("27 x 20 x 24 in", "366 in3/kg", IN, "35.41 kg", "35.5 kg"),
        ] {
            let wanted = (dimensional.to_owned(), billable.to_owned());
            assert_eq!(bill_size(size, factor, sides, "500 g"), wanted, "{size}");
        }
    }

    /// A cubic factor, kilograms a cubic metre, as is common practice in Australia and New Zealand:
    /// 0.8 · 0.5 · 0.15 · 250 = 15.
    #[test]
    fn cubic_factor_vectors_hold() {
        for (size, factor, wanted) in [
            ("0.8 x 0.5 x 0.15 m", "250 kg/m3", "15 kg"),
            ("0.5 x 0.25 x 0.4 m", "250 kg/m3", "12.5 kg"),
            ("0.2 x 0.3 x 0.15 m", "250 kg/m3", "2.25 kg"),
            ("0.45 x 0.35 x 0.3 m", "200 kg/m3", "9.45 kg"),
        ] {
            let (dimensional, billable) = bill_size(size, factor, NONE, "1 g");
            assert_eq!(dimensional, wanted, "{size}");
            assert_eq!(billable, wanted, "{size}");
        }
    }

    #[test]
    fn sides_round_by_their_rule_and_never_to_nothing() {
        let round = |rule: SideRounding, text: &str| {
            rule.round(Extent::parse(text).unwrap()).show(LengthUnit::Centimetre)
        };
        assert_eq!(round(CM, "150.2 cm"), "150 cm");
        assert_eq!(round(CM, "125.5 cm"), "126 cm");
        assert_eq!(round(CM, "0.2 cm"), "1 cm");
        assert_eq!(round(SideRounding::Next(LengthUnit::Centimetre), "30.01 cm"), "31 cm");
        assert_eq!(round(SideRounding::Next(LengthUnit::Centimetre), "30 cm"), "30 cm");
        assert_eq!(round(NONE, "30.01 cm"), "30.01 cm");
        let inches = IN.round(Extent::parse("26.5 in").unwrap());
        assert_eq!(inches.show(LengthUnit::Inch), "27 in");
        assert_eq!(IN.round(Extent::parse("26.499 in").unwrap()).show(LengthUnit::Inch), "26 in");
    }

    #[test]
    fn the_greater_weight_is_charged_and_says_why() {
        let rules = BillingRules {
            volume: VolumeFactor::parse("6000 cm³ per kg"),
            sides: CM,
            step: Some(Mass::from_grams(500)),
        };
        let size = parse_size("30 x 20 x 10 cm");
        let of = |grams| bill(Some(Mass::from_grams(grams)), size, &rules, Units::default());
        let light = of(300);
        assert_eq!(
            light.dimensional.unwrap().reason,
            "each side to the nearest cm, 30 × 20 × 10 cm are 6000 cm³, and 6000 cm³ count as 1 kg"
        );
        assert_eq!(light.billable.as_ref().unwrap().value, Mass::from_grams(1_000));
        assert_eq!(
            light.billable.unwrap().reason,
            "its size counts for more than its weight of 300 g; it is a multiple of 500 g already"
        );
        let heavy = of(1_200).billable.unwrap();
        assert_eq!(heavy.value, Mass::from_grams(1_500));
        assert_eq!(
            heavy.reason,
            "its weight counts, its size would be 1 kg; 1.2 kg rounded up to a multiple of 500 g"
        );
        assert_eq!(bill(None, size, &rules, Units::default()).billable, None);
    }

    #[test]
    fn factors_with_the_wrong_unit_are_refused() {
        for text in ["6000", "6000 kg", "6000 kg/m3", "250 cm3/kg", "6000 cm/kg", "139 in3/oz"] {
            assert_eq!(VolumeFactor::parse(text), None, "{text}");
        }
        for text in ["6000 cm3/kg", "5000cm³/kg", "166 in3/lb", "166.5 in3 per lb", "333 kg/m³"] {
            assert!(VolumeFactor::parse(text).is_some(), "{text}");
        }
    }

    #[test]
    fn absurd_sizes_end_in_an_absurd_weight_and_not_in_a_panic() {
        let rules = BillingRules {
            volume: VolumeFactor::parse("2000 kg/m3"),
            sides: SideRounding::Next(LengthUnit::Inch),
            step: Some(Mass::from_grams(1)),
        };
        let huge = [Extent::from_micrometres(u64::MAX / 4); 3];
        let found = bill(Some(Mass::from_grams(1)), Some(huge), &rules, Units::default());
        assert!(found.billable.unwrap().value > Mass::from_grams(1_000_000));
    }
}
