//! What the scale says against what a parcel should weigh.
//!
//! In: a parcel's items and the two weights. Out: a finding with the likely reason where they differ as
//! an item more or less would make them; less than that is wrapping. Not here: parcels that weigh less than their items alone
//! (`findings`), which is told first.

use super::units::{Mass, Units};
use super::weighing::{ParcelFacts, Weighing};
use crate::findings::{Finding, rules};

/// How far the scale may say less without a word: the step of a kitchen scale, doubled, or boards of one
/// kind, which differ from sheet to sheet. Ours; a pen of 24 g that is missing from any parcel of the
/// sample sitting up to 800 g is told.
const LESS: Tolerance = Tolerance { grams: 6, hundredths: 3 };

/// How far it may say more: paper and tape are put in as a parcel needs them. Ours; the packed parcels of
/// the samples weigh up to 29 g more than their items, their pack and the usual wrapping.
const MORE: Tolerance = Tolerance { grams: 30, hundredths: 10 };

/// A difference is taken for an item when it misses its weight by no more than one part in this many.
const NEARNESS: u64 = 4;

/// How many of one item a difference is taken for at most, because many light items make up anything.
const MOST_ITEMS: u64 = 3;

/// Which way the scale differs.
#[derive(Clone, Copy, PartialEq, Eq)]
enum ScaleSide {
    /// It says less.
    Less,
    /// It says more.
    More,
}

/// A difference that is never told.
struct Tolerance {
    /// At least so many grams.
    grams: u32,
    /// At least so many hundredths of what the parcel should weigh.
    hundredths: u64,
}

impl Tolerance {
    /// It in nanograms for a parcel that should weigh so much.
    fn of(&self, expected: Mass) -> u64 {
        let share = expected.nanograms() / 100 * self.hundredths;
        share.max(Mass::from_grams(self.grams).nanograms())
    }
}

/// What a difference is likely to be.
struct Likely<'a> {
    /// The item's name.
    name: &'a str,
    /// How many of it.
    count: u64,
    /// How many of it there should be.
    of: u32,
    /// How far its weight is from the difference, in nanograms.
    off: u64,
}

/// Compares the scale with what a parcel should weigh; one that weighs less than its items alone is told
/// by that.
pub(super) fn judge_scale(facts: &ParcelFacts, weighing: &Weighing) -> Option<Finding> {
    let (measured, expected) = (facts.weight?, weighing.expected_weight?);
    if weighing.items.as_ref().is_some_and(|items| measured < items.value) {
        return None;
    }
    let side = if measured < expected { ScaleSide::Less } else { ScaleSide::More };
    let difference = measured.nanograms().abs_diff(expected.nanograms());
    let tolerance = if side == ScaleSide::Less { LESS.of(expected) } else { MORE.of(expected) };
    if difference <= tolerance {
        return None;
    }
    let likely = find_likely(facts, difference, tolerance, side);
    if likely.is_none() && !outweighs_an_item(facts, difference, tolerance) {
        return None;
    }
    let units = weighing.units;
    let shown = units.mass(Mass::from_nanograms(round_to_gram(difference)));
    let (word, guess) = match (&likely, side) {
        (Some(it), ScaleSide::Less) => ("less", ask_missing(it)),
        (Some(it), ScaleSide::More) => ("more", ask_extra(it)),
        (None, ScaleSide::Less) => ("less", "is everything inside?".to_owned()),
        (None, ScaleSide::More) => {
            ("more", "is something inside that belongs elsewhere?".to_owned())
        }
    };
    let message = format!("the parcel weighs {shown} {word} than it should: {guess}");
    let finding = Finding::new(&rules::WEIGHT_DIFFERS, message);
    Some(finding.details(describe(units, measured, expected)).hint(
        "look inside and weigh it again; if it is right, correct the weights of the goods and the pack \
         in the shop file",
    ))
}

/// Which item is likely to be missing from a parcel that weighs less than its items alone, as a question.
pub(super) fn guess_missing(facts: &ParcelFacts, weighing: &Weighing) -> Option<String> {
    let items = weighing.items.as_ref()?.value;
    let should_be = weighing.expected_weight.unwrap_or(items);
    let difference = should_be.nanograms().checked_sub(facts.weight?.nanograms())?;
    let likely = find_likely(facts, difference, LESS.of(should_be), ScaleSide::Less)?;
    Some(ask_missing(&likely))
}

/// Both weights, a line each.
fn describe(units: Units, measured: Mass, expected: Mass) -> [String; 2] {
    [
        format!("on the scale: {}", units.mass(measured)),
        format!("its items, pack and wrapping: {}", units.mass(expected)),
    ]
}

/// A weight to the nearest gram.
fn round_to_gram(nanograms: u64) -> u64 {
    let gram = Mass::from_grams(1).nanograms();
    (nanograms.saturating_add(gram / 2)) / gram * gram
}

/// Whether a difference is more than the lightest of the items that a scale can tell from paper.
fn outweighs_an_item(facts: &ParcelFacts, difference: u64, tolerance: u64) -> bool {
    let weights = facts.items.iter().filter_map(|item| item.weight.map(Mass::nanograms));
    weights.filter(|weight| *weight > tolerance).min().is_some_and(|least| difference > least)
}

/// The item whose weight the difference is nearest to, once or a few times; none when no item's is near.
fn find_likely(
    facts: &ParcelFacts,
    difference: u64,
    tolerance: u64,
    side: ScaleSide,
) -> Option<Likely<'_>> {
    let mut best: Option<Likely<'_>> = None;
    for item in &facts.items {
        let Some(weight) = item.weight.map(Mass::nanograms).filter(|it| *it > tolerance) else {
            continue;
        };
        let most = match side {
            ScaleSide::Less => MOST_ITEMS.min(u64::from(item.count)),
            ScaleSide::More => MOST_ITEMS,
        };
        for count in 1..=most {
            let off = weight.saturating_mul(count).abs_diff(difference);
            // Of two that are as near, fewer are likelier.
            if off <= tolerance.min(weight / NEARNESS)
                && best.as_ref().is_none_or(|it| off < it.off)
            {
                best = Some(Likely { name: &item.name, count, of: item.count, off });
            }
        }
    }
    best
}

/// Asks whether an item is missing.
fn ask_missing(it: &Likely<'_>) -> String {
    let Likely { name, count, of, .. } = it;
    match (count, of) {
        (1, 1) => format!("is `{name}` inside?"),
        (1, 2) => format!("is the second `{name}` inside?"),
        (1, _) => format!("are all {of} of `{name}` inside?"),
        (count, of) if *count == u64::from(*of) => format!("are the {of} of `{name}` inside?"),
        (count, of) => format!("are {count} of the {of} of `{name}` missing?"),
    }
}

/// Asks whether an item is there too often.
fn ask_extra(it: &Likely<'_>) -> String {
    let Likely { name, count, .. } = it;
    match count {
        1 => format!("is one `{name}` too many inside?"),
        count => format!("are {count} of `{name}` too many inside?"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fields::CountryCode;
    use crate::parcel::{ItemBox, ParcelRules, Wishes, weigh};

    /// What is told of a parcel of these items (name, count, grams) that weighs so much on the scale;
    /// nothing else is around them.
    fn told(items: &[(&str, u32, u32)], grams: u32) -> String {
        let items = items.iter().map(|&(name, count, grams)| ItemBox {
            name: name.into(),
            count,
            size: None,
            weight: Some(Mass::from_grams(grams)),
            this_side_up: false,
        });
        let facts = ParcelFacts {
            items: items.collect(),
            pack: "".into(),
            usual_pack: "".into(),
            weight: Some(Mass::from_grams(grams)),
            size: None,
            country: CountryCode::parse("GB").unwrap(),
            wishes: Wishes::default(),
        };
        let mut weighing = weigh(&facts, &ParcelRules::default());
        let sum: u32 = facts
            .items
            .iter()
            .map(|it| it.count * (it.weight.unwrap().nanograms() / 1_000_000_000) as u32)
            .sum();
        // A pack of 100 g around them.
        weighing.expected_weight = Some(Mass::from_grams(sum + 100));
        if weighing.items.as_ref().is_some_and(|items| facts.weight < Some(items.value)) {
            assert_eq!(judge_scale(&facts, &weighing), None, "it is told once");
            return guess_missing(&facts, &weighing).unwrap_or_default();
        }
        judge_scale(&facts, &weighing).map(|found| found.message).unwrap_or_default()
    }

    #[test]
    fn a_difference_that_is_an_item_names_it() {
        let nibs = [("nib", 2, 96), ("ink", 1, 300)];
        assert_eq!(told(&nibs, 592), "");
        assert_eq!(told(&nibs, 592 - 17), "", "3 % of 592 g is 17.7 g");
        assert_eq!(
            told(&nibs, 592 - 96),
            "the parcel weighs 96 g less than it should: is the second `nib` inside?"
        );
        assert_eq!(
            told(&nibs, 592 + 96),
            "the parcel weighs 96 g more than it should: is one `nib` too many inside?"
        );
        assert_eq!(
            told(&nibs, 592 + 600),
            "the parcel weighs 600 g more than it should: are 2 of `ink` too many inside?"
        );
        assert_eq!(
            told(&[("nib", 4, 40)], 260 - 80),
            "the parcel weighs 80 g less than it should: are 2 of the 4 of `nib` missing?"
        );
        assert_eq!(
            told(&[("nib", 2, 30), ("ink", 1, 300)], 460 - 80),
            "the parcel weighs 80 g less than it should: is everything inside?"
        );
        assert_eq!(
            told(&nibs, 592 + 500),
            "the parcel weighs 500 g more than it should: is something inside that belongs elsewhere?"
        );
        assert_eq!(told(&nibs, 592 + 50), "", "more paper, but no nib");
    }

    /// It is told as `lighter-than-items`, with the same guess.
    #[test]
    fn what_weighs_less_than_its_items_is_guessed_at_too() {
        assert_eq!(
            told(&[("nib", 2, 96), ("ink", 1, 300)], 592 - 192),
            "are the 2 of `nib` inside?"
        );
        assert_eq!(told(&[("ink", 1, 300)], 400 - 300), "is `ink` inside?");
        assert_eq!(told(&[("ink", 1, 300)], 400 - 200), "");
    }

    /// An item lighter than the tolerance cannot be told from paper.
    #[test]
    fn what_paper_could_weigh_is_no_item() {
        assert_eq!(told(&[("card", 1, 5), ("ink", 1, 300)], 405 - 13), "");
    }
}
