//! Which parcels of a batch are printed, and in what order their pages come.
//!
//! In: a batch, and what the seller asks for: an order of pages, numbers of parcels. Out: a
//! [`Selection`]. The batch itself stays whole, so that a parcel printed alone keeps its number, its
//! tag and its pair code. Not here: how pages are made.

use std::sync::Arc;

use crate::batch::Batch;
use crate::bind::Occasion;
use crate::shop::PageOrder;

/// The parcels that are printed, in the order of their pages; by default all, as on the bench.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Selection {
    /// What is printed; none stands for all parcels in bench order, for the first time.
    places: Option<Arc<[SelectedPlace]>>,
    /// Whether the last comes first.
    reversed: bool,
}

/// A parcel that is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct SelectedPlace {
    /// Its place in the batch, from 0.
    pub place: usize,
    /// On what occasion, so that its pages say so.
    pub occasion: Occasion,
}

impl Selection {
    /// All parcels of a batch.
    #[must_use]
    pub fn all(batch: &Batch, order: PageOrder) -> Selection {
        match order {
            PageOrder::Bench => Selection::default(),
            PageOrder::Reversed => Selection::only(0..batch.parcels.len(), order),
        }
    }

    /// Some parcels, by their places in the batch, from 0: each once, in the order of the bench or
    /// its reverse.
    #[must_use]
    pub fn only(places: impl IntoIterator<Item = usize>, order: PageOrder) -> Selection {
        let first = |place| SelectedPlace { place, occasion: Occasion::First };
        Selection::on(places.into_iter().map(first), order)
    }

    /// Some parcels, each on an occasion of its own, as [`Selection::only`] has them.
    #[must_use]
    pub fn on(places: impl IntoIterator<Item = SelectedPlace>, order: PageOrder) -> Selection {
        let mut places: Vec<SelectedPlace> = places.into_iter().collect();
        places.sort_unstable();
        places.dedup_by_key(|selected| selected.place);
        let reversed = order == PageOrder::Reversed;
        if reversed {
            places.reverse();
        }
        Selection { places: Some(places.into()), reversed }
    }

    /// How many of a batch's parcels are printed.
    #[must_use]
    pub fn count(&self, batch: &Batch) -> usize {
        self.places.as_ref().map_or(batch.parcels.len(), |places| places.len())
    }

    /// Whether the pages of the last come first.
    pub(super) fn is_reversed(&self) -> bool {
        self.reversed
    }

    /// The parcel that is printed as number `index`, from 0.
    pub(super) fn get(&self, index: usize) -> SelectedPlace {
        let usual = SelectedPlace { place: index, occasion: Occasion::First };
        self.places.as_ref().map_or(usual, |places| places[index])
    }

    /// Its place in the batch.
    pub(super) fn place(&self, index: usize) -> usize {
        self.get(index).place
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parcels_come_once_and_in_order() {
        let all = |selection: Selection| -> Vec<usize> {
            selection.places.unwrap().iter().map(|selected| selected.place).collect()
        };
        assert_eq!(all(Selection::only([7, 2, 7, 3], PageOrder::Bench)), [2, 3, 7]);
        assert_eq!(all(Selection::only([7, 2, 7, 3], PageOrder::Reversed)), [7, 3, 2]);
        assert_eq!(Selection::default().place(4), 4);
        assert_eq!(Selection::only([2, 9], PageOrder::Reversed).place(0), 9);
    }
}
