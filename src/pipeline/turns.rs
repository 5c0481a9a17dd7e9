//! What each page of a document is about: a parcel, or one of its orders, items or pieces, and which
//! copy.
//!
//! In: a batch, the parcels that are printed, and what a layout asks for. Out: the turns in the order of
//! their pages, so that a sheet can be filled with them wherever one parcel ends. A document with a page a
//! parcel keeps no list of them. Not here: what pages know of their turn (`bind`).

use super::{SelectedPlace, Selection};
use crate::batch::{Batch, Parcel};
use crate::bind::ParcelPart;
use crate::findings::{Finding, rules};
use crate::layout::{Layout, PagePer};
use crate::limits::PARCEL_TURNS;
use crate::words::counted;

/// One document: its parcel and its part of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct PageTurn {
    /// The parcel.
    pub(super) selected: SelectedPlace,
    /// Its part; none when the document is about the parcel as a whole, once.
    pub(super) part: Option<ParcelPart>,
}

/// The turns of a document.
#[derive(Debug, Default)]
pub(super) struct PageTurns {
    /// All turns; none when every parcel that is printed has one.
    listed: Option<Vec<PageTurn>>,
    /// The numbers of parcels that have no turn.
    pub(super) idle: Vec<usize>,
    /// Parcels that would have too many pages, by their place in the batch, with what there is to say.
    pub(super) refused: Vec<(usize, Finding)>,
}

impl PageTurns {
    /// The turns of a layout's documents, for the parcels of a batch that are printed.
    pub(super) fn list(batch: &Batch, selection: &Selection, layout: &Layout) -> PageTurns {
        let mut turns = PageTurns::default();
        if layout.per == PagePer::Parcel && layout.copies == 1 {
            return turns;
        }
        let mut listed = Vec::new();
        for selected in (0..selection.count(batch)).map(|index| selection.get(index)) {
            let parcel = &batch.parcels[selected.place];
            let count = count_parts(parcel, layout.per).saturating_mul(u64::from(layout.copies));
            if count > PARCEL_TURNS as u64 {
                turns.refused.push((selected.place, refuse(parcel, layout, count)));
            } else if count == 0 {
                turns.idle.push(parcel.position);
            }
            if count <= PARCEL_TURNS as u64 {
                let before = listed.len();
                let parts = list_parts(parcel, layout).into_iter().map(Some);
                listed.extend(parts.map(|part| PageTurn { selected, part }));
                if selection.is_reversed() {
                    listed[before..].reverse();
                }
            }
        }
        turns.listed = Some(listed);
        turns
    }

    /// How many there are.
    pub(super) fn count(&self, selection: &Selection, batch: &Batch) -> usize {
        self.listed.as_ref().map_or_else(|| selection.count(batch), Vec::len)
    }

    /// The one of number `index`, from 0.
    pub(super) fn get(&self, index: usize, selection: &Selection) -> PageTurn {
        match &self.listed {
            Some(listed) => listed[index],
            None => PageTurn { selected: selection.get(index), part: None },
        }
    }
}

/// How many parts a parcel has, without making them.
fn count_parts(parcel: &Parcel, per: PagePer) -> u64 {
    match per {
        PagePer::Parcel => 1,
        PagePer::Order => parcel.orders.len() as u64,
        PagePer::Item => parcel.items().count() as u64,
        PagePer::Piece => parcel.items().map(|(_, item)| u64::from(item.qty)).sum(),
    }
}

/// The parts of a parcel in the order of their pages, every copy one.
fn list_parts(parcel: &Parcel, layout: &Layout) -> Vec<ParcelPart> {
    let part = |order, item, piece| ParcelPart { order, item, piece, copy: 1, number: 0 };
    let mut parts = Vec::new();
    match layout.per {
        PagePer::Parcel => parts.push(part(None, None, 1)),
        PagePer::Order => parts.extend((0..parcel.orders.len()).map(|at| part(Some(at), None, 1))),
        PagePer::Item | PagePer::Piece => {
            for (at, order) in parcel.orders.iter().enumerate() {
                for (place, item) in order.items().enumerate() {
                    let count = if layout.per == PagePer::Piece { item.qty } else { 1 };
                    parts.extend((1..=count).map(|piece| part(Some(at), Some(place), piece)));
                }
            }
        }
    }
    let copies = parts
        .into_iter()
        .flat_map(|part| (1..=layout.copies).map(move |copy| ParcelPart { copy, ..part }));
    copies.zip(0..).map(|(part, number)| ParcelPart { number, ..part }).collect()
}

/// Refuses a parcel of too many pages.
fn refuse(parcel: &Parcel, layout: &Layout, count: u64) -> Finding {
    let count = usize::try_from(count).unwrap_or(usize::MAX);
    let message = format!(
        "this parcel would have {}, counted by the {}, more than {PARCEL_TURNS}",
        counted(count, layout.makes.word()),
        layout.per.word()
    );
    Finding::new(&rules::LAYOUT_LIMIT, message)
        .at(layout.page.span)
        .subject(parcel.subject())
        .hint("correct the quantities of its items, or print fewer: `per: item`")
}
