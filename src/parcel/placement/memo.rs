//! What placements of a batch came to, kept for when the same boxes come again.
//!
//! In: containers and boxes, in any order. Out: whether the boxes go in. Not here: where each box
//! stands, which differs with the order they are named in, and is wanted only where it is shown.

use std::cell::RefCell;
use std::collections::HashMap;

use foldhash::fast::FixedState;

use super::{LooseBox, Placement, place_boxes};
use crate::parcel::units::Size3;

/// The placements that are kept before all are forgotten.
const MOST_KEPT: usize = 8192;

/// Whether boxes go into a container.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::parcel) enum FitVerdict {
    /// They do.
    Fits,
    /// They do not.
    TooSmall,
    /// No placement was found, though there may be one.
    NoneFound,
}

/// The placements of a batch so far.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PlacementMemo {
    /// What each came to, by the container and the boxes in a fixed order; never walked.
    kept: RefCell<HashMap<(Size3, Vec<LooseBox>), FitVerdict, FixedState>>,
}

impl PlacementMemo {
    /// Whether boxes go into a container. The order of the boxes does not matter to that: the
    /// search sorts them by kind.
    pub(in crate::parcel) fn judge(&self, inside: Size3, boxes: &[LooseBox]) -> FitVerdict {
        let mut boxes = boxes.to_vec();
        boxes.sort_unstable_by_key(|loose| (loose.size, loose.this_side_up));
        let question = (inside, boxes);
        if let Some(&known) = self.kept.borrow().get(&question) {
            return known;
        }
        let verdict = match place_boxes(inside, &question.1) {
            Placement::Found(_) => FitVerdict::Fits,
            Placement::Impossible(_) => FitVerdict::TooSmall,
            Placement::NotFound | Placement::TooMany => FitVerdict::NoneFound,
        };
        let mut kept = self.kept.borrow_mut();
        if kept.len() >= MOST_KEPT {
            kept.clear();
        }
        kept.insert(question, verdict);
        verdict
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parcel::units::parse_size;

    #[test]
    fn the_verdict_is_that_of_the_search_in_any_order() {
        let memo = PlacementMemo::default();
        let loose =
            |size: &str, this_side_up| LooseBox { size: parse_size(size).unwrap(), this_side_up };
        let boxes = [
            loose("45 x 45 x 62", true),
            loose("150 x 18 x 18", false),
            loose("60 x 30 x 12", false),
        ];
        for inside in ["160 x 120 x 90", "180 x 32 x 32", "62 x 45 x 45", "220 x 110 x 40"] {
            let inside = parse_size(inside).unwrap();
            let found = matches!(place_boxes(inside, &boxes), Placement::Found(_));
            for turned in 0..3 {
                let mut boxes = boxes.to_vec();
                boxes.rotate_left(turned);
                assert_eq!(memo.judge(inside, &boxes) == FitVerdict::Fits, found, "{inside:?}");
            }
        }
        assert_eq!(memo.kept.borrow().len(), 4);
    }
}
