//! Which parcels of a batch are printed, and in what order their pages come.
//!
//! In: a batch, and what the seller asks for: an order of pages, numbers of parcels. Out: a
//! [`Selection`]. The batch itself stays whole, so that a parcel printed alone keeps its number, its
//! tag and its pair code. Not here: how pages are made.

use std::sync::Arc;

use crate::batch::Batch;
use crate::shop::PageOrder;

/// The parcels that are printed, in the order of their pages; by default all, as on the bench.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Selection {
    /// Places in the batch, from 0; none stands for all of them in bench order.
    places: Option<Arc<[usize]>>,
    /// Whether they have been printed before, so that their pages say so.
    pub reprint: bool,
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
        let mut places: Vec<usize> = places.into_iter().collect();
        places.sort_unstable();
        places.dedup();
        if order == PageOrder::Reversed {
            places.reverse();
        }
        Selection { places: Some(places.into()), reprint: false }
    }

    /// The same parcels, printed once more.
    #[must_use]
    pub fn again(self) -> Selection {
        Selection { reprint: true, ..self }
    }

    /// How many of a batch's parcels are printed.
    #[must_use]
    pub fn count(&self, batch: &Batch) -> usize {
        self.places.as_ref().map_or(batch.parcels.len(), |places| places.len())
    }

    /// The place in the batch of the parcel that is printed as number `index`, from 0.
    pub(super) fn place(&self, index: usize) -> usize {
        self.places.as_ref().map_or(index, |places| places[index])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parcels_come_once_and_in_order() {
        let all = |selection: Selection| selection.places.unwrap().to_vec();
        assert_eq!(all(Selection::only([7, 2, 7, 3], PageOrder::Bench)), [2, 3, 7]);
        assert_eq!(all(Selection::only([7, 2, 7, 3], PageOrder::Reversed)), [7, 3, 2]);
        assert_eq!(Selection::default().place(4), 4);
        assert_eq!(Selection::only([2, 9], PageOrder::Reversed).place(0), 9);
    }
}
