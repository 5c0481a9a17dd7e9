//! The pair codes of labels and bench cards.

use std::collections::BTreeMap;
use std::num::NonZeroU32;

use super::facts::{PageFacts, shorten};
use super::rules::{DUPLICATE_PAIR, UNMATCHED_PAIR, WRONG_PAIR, finding};
use crate::findings::Finding;
use crate::pairs::{PairCode, PairScan};
use crate::sides::PairSide;
use crate::words::list_ranges;

/// The parcels that a pair code is on, by their places on the bench, which count from 1.
#[derive(Clone, Copy, Default)]
struct Owners {
    /// The first parcel with it on its label.
    label: Option<NonZeroU32>,
    /// The first parcel with it on its bench card.
    card: Option<NonZeroU32>,
}

/// The pair codes met so far.
#[derive(Default)]
pub(super) struct Pairs {
    /// By each code the first parcels whose papers say it.
    owners: BTreeMap<PairCode, Owners>,
}

/// What a side is called.
fn word(side: PairSide) -> &'static str {
    match side {
        PairSide::Label => "label",
        PairSide::Card => "bench card",
    }
}

/// The way out of a pair code that is not the page's own.
const OWN_CODE: &str = "let a label say `{{ pair.label }}` and a bench card `{{ pair.card }}`: \
                        they are the page's own";

/// Reports a label that carries the code of a bench card, or the other way round.
fn wrong_side(facts: &PageFacts, scan: &PairScan) -> Option<Finding> {
    let side = match facts.document {
        "label" => PairSide::Label,
        "bench-card" | "bench card" => PairSide::Card,
        _ => return None,
    };
    (side != scan.side).then(|| {
        let (own, found) = (word(side), word(scan.side));
        let message = format!("this {own} carries the pair code of a {found}");
        finding(&WRONG_PAIR, facts, message).hint(OWN_CODE)
    })
}

/// Reports a code that says another parcel than the page is for.
fn wrong_parcel(facts: &PageFacts, position: usize, scan: &PairScan) -> Option<Finding> {
    (usize::try_from(scan.position) != Ok(position)).then(|| {
        let message = format!(
            "the pair code `{}` on this {} says parcel {}, the page is for parcel {position}",
            scan.code, facts.document, scan.position
        );
        finding(&WRONG_PAIR, facts, message).hint(OWN_CODE)
    })
}

impl Pairs {
    /// Takes in a pair code from the page of a parcel.
    pub(super) fn take(
        &mut self,
        facts: &PageFacts,
        position: usize,
        scan: &PairScan,
        found: &mut Vec<Finding>,
    ) {
        let code = scan.code;
        found.extend(wrong_side(facts, scan).or_else(|| wrong_parcel(facts, position, scan)));
        let owners = self.owners.entry(code).or_default();
        let (own, other) = match scan.side {
            PairSide::Label => (&mut owners.label, owners.card),
            PairSide::Card => (&mut owners.card, owners.label),
        };
        let Some(place) = NonZeroU32::new(shorten(position)) else { return };
        let owner = *own.get_or_insert(place);
        let clash = [Some(owner), other].into_iter().flatten().find(|parcel| *parcel != place);
        if let Some(parcel) = clash {
            let message = format!("the pair code `{code}` is that of parcel {parcel} too");
            let hint =
                format!("leave one of the parcels {parcel} and {position} for the next batch");
            found.push(finding(&DUPLICATE_PAIR, facts, message).hint(hint));
        }
    }

    /// Reports codes on one side only, if there are codes on both.
    pub(super) fn finish(&self, found: &mut Vec<Finding>) {
        let all = || self.owners.values();
        if all().all(|owners| owners.label.is_none()) || all().all(|owners| owners.card.is_none()) {
            return;
        }
        for (there, missing) in
            [(PairSide::Label, PairSide::Card), (PairSide::Card, PairSide::Label)]
        {
            let on = |owners: &Owners, side| match side {
                PairSide::Label => owners.label,
                PairSide::Card => owners.card,
            };
            let mut alone: Vec<usize> = all()
                .filter(|owners| on(owners, missing).is_none())
                .filter_map(|owners| on(owners, there))
                .map(|place| place.get() as usize)
                .collect();
            alone.sort_unstable();
            alone.dedup();
            if alone.is_empty() {
                continue;
            }
            let message = format!(
                "no {} carries the pair code of the {} of parcel{} {}",
                word(missing),
                word(there),
                if alone.len() == 1 { "" } else { "s" },
                list_ranges(&alone)
            );
            let hint = "make labels and bench cards in one run, from the same orders";
            let finding = Finding::new(&UNMATCHED_PAIR, message);
            found.push(finding.hint(hint));
        }
    }
}
