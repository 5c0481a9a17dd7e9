//! What a service or a class of mail takes: sizes, sums of sizes, weight.
//!
//! In: a parcel's size and weight and one set of limits. Out: every breach in words, and what
//! could not be checked because a figure is missing. Not here: which limits apply (`quote`).

use super::units::{Extent, Mass, Size3, Units};
use crate::source::Span;

/// One set of limits; what is not given is not limited.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Limits {
    /// What services call it by.
    pub name: Box<str>,
    /// The longest side.
    pub longest: Option<Extent>,
    /// The longest side and the girth around the other two, added up.
    pub length_and_girth: Option<Extent>,
    /// All three sides added up.
    pub sum_of_sides: Option<Extent>,
    /// The three sides it must lie within, turned as it may be.
    pub within: Option<Size3>,
    /// The two sides that its largest face must reach, turned as it may be.
    pub smallest_face: Option<[Extent; 2]>,
    /// The weight on the scale.
    pub weight: Option<Mass>,
    /// Where its name stands in the shop file.
    pub span: Option<Span>,
}

/// What a check found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LimitCheck {
    /// Each limit that is broken, as a sentence without its subject.
    pub breaches: Vec<String>,
    /// Each limit that could not be checked, as `size` or `weight`.
    pub unchecked: Vec<&'static str>,
}

/// Sets of limits that need not be written down, by name.
///
/// Those of the Universal Postal Union, as posts publish them. Letters: the three sides up to 900 mm
/// together and the longest up to 600 mm, their smallest face 90 × 140 mm (posta.hr, "Letter
/// Dimensions and Weight"). Parcels: up to 1.5 m with length and girth up to 3 m (ctt.gov.mo,
/// "Parcel - Limits Of Weight And Dimensions"); where a country takes the small class only, 1.05 m
/// (the posts of Japan, by treasure-japan.com, "Parcel Post Weight and Size") and 2 m, which the US
/// Navy's postal manual has as 42 and 79 inches. A weight limit differs from post to post and is
/// the shop's to set.
#[must_use]
pub fn standard_limits() -> [Limits; 3] {
    let mm = |length| Some(Extent::from_whole_mm(length));
    [
        Limits {
            name: "letter".into(),
            longest: mm(600),
            sum_of_sides: mm(900),
            smallest_face: Some([Extent::from_whole_mm(140), Extent::from_whole_mm(90)]),
            ..Limits::default()
        },
        Limits {
            name: "small parcel".into(),
            longest: mm(1_050),
            length_and_girth: mm(2_000),
            ..Limits::default()
        },
        Limits {
            name: "parcel".into(),
            longest: mm(1_500),
            length_and_girth: mm(3_000),
            ..Limits::default()
        },
    ]
}

/// The sides from the longest to the shortest.
pub(super) fn sort_sides(mut size: Size3) -> Size3 {
    size.sort_unstable();
    size.reverse();
    size
}

/// The longest side and the girth around the other two, added up.
///
/// The girth is twice the two shorter sides (ctt.gov.mo, as above: 2b + 2c plus the longest side).
#[must_use]
pub fn length_and_girth(size: Size3) -> Extent {
    let [length, width, height] = sort_sides(size);
    length + width + width + height + height
}

impl Limits {
    /// Checks a parcel.
    #[must_use]
    pub fn check(&self, size: Option<Size3>, weight: Option<Mass>, units: Units) -> LimitCheck {
        let mut found = LimitCheck::default();
        match size {
            Some(size) => self.check_size(size, units, &mut found.breaches),
            None if self.limits_size() => found.unchecked.push("size"),
            None => {}
        }
        match (self.weight, weight) {
            (Some(limit), Some(weight)) if weight > limit => found.breaches.push(format!(
                "weighs {}, which is {} over the limit of {}",
                units.mass(weight),
                units.mass(weight.saturating_sub(limit)),
                units.mass(limit),
            )),
            (Some(_), None) => found.unchecked.push("weight"),
            _ => {}
        }
        found
    }

    /// Whether any of the limits is one of size.
    fn limits_size(&self) -> bool {
        let single = [self.longest, self.length_and_girth, self.sum_of_sides];
        single.iter().any(Option::is_some) || self.within.is_some() || self.smallest_face.is_some()
    }

    /// Notes which limits its sides go beyond, and by how much.
    fn check_size(&self, size: Size3, units: Units, breaches: &mut Vec<String>) {
        let sides = sort_sides(size);
        let sums = [
            (self.longest, sides[0], "longest side"),
            (self.length_and_girth, length_and_girth(size), "length and girth together"),
            (self.sum_of_sides, sides.into_iter().sum(), "length, width and depth together"),
        ];
        for (limit, found, name) in sums {
            if let Some(limit) = limit.filter(|limit| found > *limit) {
                let (found, limit) = (units.length(found), units.length(limit));
                breaches.push(format!("its {name} is {found}, the limit is {limit}"));
            }
        }
        if let Some(within) = self.within.map(sort_sides)
            && sides.iter().zip(within).any(|(side, limit)| *side > limit)
        {
            let (sides, within) = (units.sides(&sides), units.sides(&within));
            breaches.push(format!("its size is {sides}, the limit is {within}"));
        }
        if let Some([long, short]) = self.smallest_face {
            let (long, short) = (long.max(short), long.min(short));
            if sides[0] < long || sides[1] < short {
                let (face, least) = (units.sides(&sides[..2]), units.sides(&[long, short]));
                breaches.push(format!("its largest face is {face}, the least is {least}"));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::units::{LengthUnit, parse_size};
    use super::*;

    fn check(name: &str, size: &str) -> Vec<String> {
        let limits = standard_limits().into_iter().find(|it| &*it.name == name).unwrap();
        limits.check(parse_size(size), None, Units::default()).breaches
    }

    /// 600 + 2 · (400 + 300) = 2000.
    #[test]
    fn length_and_girth_vectors_hold() {
        let sum = |size| length_and_girth(parse_size(size).unwrap()).show(LengthUnit::Millimetre);
        assert_eq!(sum("600 x 400 x 300"), "2000 mm");
        assert_eq!(sum("610 x 400 x 300"), "2010 mm");
        assert_eq!(sum("300 x 610 x 400"), "2010 mm", "turned");
        assert_eq!(check("small parcel", "600 x 400 x 300"), [""; 0]);
        assert_eq!(
            check("small parcel", "610 x 400 x 300"),
            ["its length and girth together is 2010 mm, the limit is 2000 mm"]
        );
    }

    /// Both sides of each limit of [`standard_limits`].
    #[test]
    fn standard_limits_take_what_just_fits_and_nothing_more() {
        assert_eq!(check("letter", "600 x 200 x 100"), [""; 0]);
        assert_eq!(check("letter", "140 x 90 x 5"), [""; 0]);
        assert_eq!(
            check("letter", "600.5 x 250 x 80"),
            [
                "its longest side is 600.5 mm, the limit is 600 mm",
                "its length, width and depth together is 930.5 mm, the limit is 900 mm",
            ]
        );
        assert_eq!(
            check("letter", "5 x 139 x 90"),
            ["its largest face is 139 × 90 mm, the least is 140 × 90 mm"]
        );
        assert_eq!(check("parcel", "1500 x 400 x 350"), [""; 0]);
        assert_eq!(check("parcel", "1501 x 400 x 350").len(), 2);
        assert_eq!(check("small parcel", "1050 x 275 x 200"), [""; 0]);
        assert_eq!(check("small parcel", "1051 x 100 x 100").len(), 1);
    }

    #[test]
    fn a_slot_takes_what_lies_within_it_however_turned() {
        let slot = Limits { within: parse_size("353 x 250 x 25"), ..Limits::default() };
        let check = |size| slot.check(parse_size(size), None, Units::default()).breaches;
        assert_eq!(check("25 x 353 x 250"), [""; 0]);
        assert_eq!(
            check("25 x 353 x 251"),
            ["its size is 353 × 251 × 25 mm, the limit is 353 × 250 × 25 mm"]
        );
    }

    #[test]
    fn weight_and_missing_figures_are_said() {
        let limits = Limits {
            weight: Some(Mass::from_grams(2_000)),
            longest: Some(Extent::from_whole_mm(600)),
            ..Limits::default()
        };
        let found = limits.check(None, Some(Mass::from_grams(2_340)), Units::default());
        assert_eq!(found.breaches, ["weighs 2.34 kg, which is 340 g over the limit of 2 kg"]);
        assert_eq!(found.unchecked, ["size"]);
        let found = limits.check(parse_size("1 x 1 x 1"), None, Units::default());
        assert_eq!(found.unchecked, ["weight"]);
        assert_eq!(Limits::default().check(None, None, Units::default()), LimitCheck::default());
    }

    #[test]
    fn standard_limits_have_names_of_their_own() {
        let all = standard_limits();
        for (index, limits) in all.iter().enumerate() {
            assert!(all[..index].iter().all(|other| other.name != limits.name));
            assert!(limits.limits_size());
        }
    }
}
