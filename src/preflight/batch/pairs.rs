//! The pair codes of labels and bench cards.

use std::collections::BTreeMap;

use super::super::fold::list_ranges;
use super::{DUPLICATE_PAIR, PageFacts, PairMark, PairSide, UNMATCHED_PAIR, WRONG_PAIR, finding};
use crate::diag::Diagnostic;

/// The parcels that a pair code is on.
#[derive(Clone, Copy, Default)]
struct Owners {
    /// The first parcel with it on its label.
    label: Option<usize>,
    /// The first parcel with it on its bench card.
    card: Option<usize>,
}

/// The pair codes met so far.
#[derive(Default)]
pub(super) struct Pairs {
    /// Where each code is.
    owners: BTreeMap<Box<str>, Owners>,
}

/// What a side is called.
fn word(side: PairSide) -> &'static str {
    match side {
        PairSide::Label => "label",
        PairSide::Card => "bench card",
    }
}

impl Pairs {
    /// Takes in a pair code from the page of a parcel.
    pub(super) fn take(
        &mut self,
        facts: &PageFacts<'_>,
        position: usize,
        mark: &PairMark,
        found: &mut Vec<Diagnostic>,
    ) {
        let code = &mark.code;
        if mark.position != position {
            let message = format!(
                "the pair code `{code}` on this {} says parcel {}, the page is for parcel {position}",
                facts.document, mark.position
            );
            let hint = format!("print the code of parcel {position} here, `{{{{ pair }}}}` is it");
            found.push(finding(&WRONG_PAIR, facts, message).hint(hint));
        }
        let owners = self.owners.entry(code.as_str().into()).or_default();
        let (own, other) = match mark.side {
            PairSide::Label => (&mut owners.label, owners.card),
            PairSide::Card => (&mut owners.card, owners.label),
        };
        let owner = *own.get_or_insert(position);
        let clash = [Some(owner), other].into_iter().flatten().find(|parcel| *parcel != position);
        if let Some(parcel) = clash {
            let message = format!("the pair code `{code}` is that of parcel {parcel} too");
            let hint =
                format!("leave one of the parcels {parcel} and {position} for the next batch");
            found.push(finding(&DUPLICATE_PAIR, facts, message).hint(hint));
        }
    }

    /// Reports codes on one side only, if there are codes on both.
    pub(super) fn finish(&self, found: &mut Vec<Diagnostic>) {
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
            let finding = Diagnostic::new(UNMATCHED_PAIR.severity, UNMATCHED_PAIR.name, message);
            found.push(finding.hint(hint));
        }
    }
}
