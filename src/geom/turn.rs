//! Turns in steps of a quarter.

use super::{Mm, Rect, Size};

/// How far something is turned, clockwise.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum QuarterTurn {
    /// Upright.
    #[default]
    None,
    /// Its top points to the right.
    Quarter,
    /// On its head.
    Half,
    /// Its top points to the left.
    ThreeQuarter,
}

impl QuarterTurn {
    /// The room that something of a size takes once it is turned.
    #[must_use]
    pub fn turn_size(self, size: Size) -> Size {
        match self {
            QuarterTurn::None | QuarterTurn::Half => size,
            QuarterTurn::Quarter | QuarterTurn::ThreeQuarter => size.turned(),
        }
    }

    /// The part of an upright sheet of a size that shows in a window over the turned sheet; both
    /// are measured from the top left corner of what they lie on.
    #[must_use]
    pub fn turn_back(self, window: Rect, sheet: Size) -> Rect {
        let Rect { x, y, width, height } = window;
        // How far the window stays from the far sides of the upright sheet.
        let (across, down) = (sheet.width - x - width, sheet.height - y - height);
        let (from_right, from_bottom) = (sheet.width - y - height, sheet.height - x - width);
        match self {
            QuarterTurn::None => window,
            QuarterTurn::Quarter => Rect::new(y, from_bottom, height, width),
            QuarterTurn::Half => Rect::new(across, down, width, height),
            QuarterTurn::ThreeQuarter => Rect::new(from_right, x, height, width),
        }
    }

    /// The six numbers that turn a box of a size and bring its lower left corner to the origin
    /// again, for points whose y grows upwards.
    #[must_use]
    pub fn matrix(self, size: Size) -> [f64; 6] {
        let (Mm(width), Mm(height)) = (size.width, size.height);
        match self {
            QuarterTurn::None => [1.0, 0.0, 0.0, 1.0, 0.0, 0.0],
            QuarterTurn::Quarter => [0.0, -1.0, 1.0, 0.0, 0.0, width],
            QuarterTurn::Half => [-1.0, 0.0, 0.0, -1.0, width, height],
            QuarterTurn::ThreeQuarter => [0.0, 1.0, -1.0, 0.0, height, 0.0],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A box from four numbers.
    fn rect(x: f64, y: f64, width: f64, height: f64) -> Rect {
        Rect::new(Mm(x), Mm(y), Mm(width), Mm(height))
    }

    #[test]
    fn a_window_over_a_turned_sheet_shows_what_was_there() {
        let sheet = Size::new(Mm(100.0), Mm(150.0));
        // The sheet's top left piece, 10 by 20, wherever the turn brings it.
        let piece = rect(0.0, 0.0, 10.0, 20.0);
        for (turn, window) in [
            (QuarterTurn::None, rect(0.0, 0.0, 10.0, 20.0)),
            (QuarterTurn::Quarter, rect(130.0, 0.0, 20.0, 10.0)),
            (QuarterTurn::Half, rect(90.0, 130.0, 10.0, 20.0)),
            (QuarterTurn::ThreeQuarter, rect(0.0, 90.0, 20.0, 10.0)),
        ] {
            assert_eq!(turn.turn_back(window, sheet), piece, "{turn:?}");
        }
    }

    #[test]
    fn the_matrix_brings_the_top_left_corner_where_the_window_is() {
        let sheet = Size::new(Mm(100.0), Mm(150.0));
        for (turn, corner) in [
            (QuarterTurn::None, (0.0, 150.0)),
            (QuarterTurn::Quarter, (150.0, 100.0)),
            (QuarterTurn::Half, (100.0, 0.0)),
            (QuarterTurn::ThreeQuarter, (0.0, 0.0)),
        ] {
            let [a, b, c, d, e, f] = turn.matrix(sheet);
            let (x, y) = (0.0, 150.0);
            assert_eq!((a * x + c * y + e, b * x + d * y + f), corner, "{turn:?}");
        }
    }
}
