//! Turns in steps of a quarter, and mirroring.

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
    /// How many quarters it is.
    fn quarters(self) -> u8 {
        self as u8
    }

    /// The turn of so many quarters; four are none.
    fn of_quarters(quarters: u8) -> QuarterTurn {
        match quarters % 4 {
            0 => QuarterTurn::None,
            1 => QuarterTurn::Quarter,
            2 => QuarterTurn::Half,
            _ => QuarterTurn::ThreeQuarter,
        }
    }

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

/// How something stands on its page: mirrored from left to right, if it is, and then turned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Stance {
    /// How far it is turned.
    pub turn: QuarterTurn,
    /// Whether it is mirrored from left to right before it is turned.
    pub mirrored: bool,
}

impl Stance {
    /// Neither turned nor mirrored.
    pub const UPRIGHT: Stance = Stance { turn: QuarterTurn::None, mirrored: false };

    /// Turned and not mirrored.
    #[must_use]
    pub const fn turned(turn: QuarterTurn) -> Stance {
        Stance { turn, mirrored: false }
    }

    /// Whether it is neither turned nor mirrored.
    #[must_use]
    pub fn is_upright(self) -> bool {
        self == Stance::UPRIGHT
    }

    /// Whether what runs across when upright runs up or down.
    #[must_use]
    pub fn is_lying(self) -> bool {
        matches!(self.turn, QuarterTurn::Quarter | QuarterTurn::ThreeQuarter)
    }

    /// Whether what runs from left to right when upright runs to the left, or upwards.
    #[must_use]
    pub fn runs_back(self) -> bool {
        matches!(self.turn, QuarterTurn::Half | QuarterTurn::ThreeQuarter) != self.mirrored
    }

    /// How something stands that stands so on something that itself stands as `outer` says.
    #[must_use]
    pub fn on(self, outer: Stance) -> Stance {
        let inner = if outer.mirrored { 4 - self.turn.quarters() } else { self.turn.quarters() };
        Stance {
            turn: QuarterTurn::of_quarters(outer.turn.quarters() + inner),
            mirrored: self.mirrored != outer.mirrored,
        }
    }

    /// What brings something that stands so back upright.
    #[must_use]
    pub fn undone(self) -> Stance {
        match self.turn {
            // What is mirrored and turned is upright again when that is done twice.
            QuarterTurn::Quarter if !self.mirrored => Stance::turned(QuarterTurn::ThreeQuarter),
            QuarterTurn::ThreeQuarter if !self.mirrored => Stance::turned(QuarterTurn::Quarter),
            _ => self,
        }
    }

    /// Where a box of something goes, in any unit: `[x, y, width, height]` in a whole of
    /// `[width, height]`, both measured from the top left corner of what they lie on.
    #[must_use]
    pub fn place_box<T>(self, part: [T; 4], whole: [T; 2]) -> [T; 4]
    where
        T: Copy + std::ops::Sub<Output = T>,
    {
        let [x, y, width, height] = part;
        let x = if self.mirrored { whole[0] - x - width } else { x };
        let (from_right, from_bottom) = (whole[0] - x - width, whole[1] - y - height);
        match self.turn {
            QuarterTurn::None => [x, y, width, height],
            QuarterTurn::Quarter => [from_bottom, x, height, width],
            QuarterTurn::Half => [from_right, from_bottom, width, height],
            QuarterTurn::ThreeQuarter => [y, from_right, height, width],
        }
    }

    /// The four numbers by which a direction of the upright becomes one of the page, y growing
    /// downwards on both: what a step to the right becomes, and what a step down becomes.
    #[must_use]
    pub fn matrix(self) -> [f64; 4] {
        let [a, b, c, d] = match self.turn {
            QuarterTurn::None => [1.0, 0.0, 0.0, 1.0],
            QuarterTurn::Quarter => [0.0, 1.0, -1.0, 0.0],
            QuarterTurn::Half => [-1.0, 0.0, 0.0, -1.0],
            QuarterTurn::ThreeQuarter => [0.0, -1.0, 1.0, 0.0],
        };
        if self.mirrored { [-a, -b, c, d] } else { [a, b, c, d] }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// All stances.
    fn all() -> impl Iterator<Item = Stance> {
        (0..8).map(|it| Stance { turn: QuarterTurn::of_quarters(it), mirrored: it >= 4 })
    }

    #[test]
    fn a_box_goes_where_its_whole_brings_it() {
        // A box at the top left of a whole 10 wide and 20 high.
        let place = |turn, mirrored| Stance { turn, mirrored }.place_box([0, 0, 3, 4], [10, 20]);
        assert_eq!(place(QuarterTurn::None, false), [0, 0, 3, 4]);
        assert_eq!(place(QuarterTurn::Quarter, false), [16, 0, 4, 3]);
        assert_eq!(place(QuarterTurn::Half, false), [7, 16, 3, 4]);
        assert_eq!(place(QuarterTurn::ThreeQuarter, false), [0, 7, 4, 3]);
        assert_eq!(place(QuarterTurn::None, true), [7, 0, 3, 4]);
        assert_eq!(place(QuarterTurn::Quarter, true), [16, 7, 4, 3]);
    }

    #[test]
    fn what_is_turned_and_undone_is_upright() {
        for stance in all() {
            assert!(stance.on(stance.undone()).is_upright(), "{stance:?}");
        }
    }

    #[test]
    fn one_on_another_is_one_after_the_other() {
        let part = [1, 2, 3, 4];
        for inner in all() {
            let once = inner.place_box(part, [10, 20]);
            let whole = if inner.is_lying() { [20, 10] } else { [10, 20] };
            for outer in all() {
                let twice = outer.place_box(once, whole);
                assert_eq!(inner.on(outer).place_box(part, [10, 20]), twice, "{inner:?} {outer:?}");
            }
        }
    }

    #[test]
    fn the_matrix_and_the_direction_agree_with_the_boxes() {
        for stance in all() {
            let [a, b, c, d] = stance.matrix();
            let at = |x, y| {
                let [x, y, ..] = stance.place_box([x, y, 0.0, 0.0], [10.0, 20.0]);
                (x, y)
            };
            let ((x, y), right, down) = (at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0));
            assert_eq!((right.0 - x, right.1 - y), (a, b));
            assert_eq!((down.0 - x, down.1 - y), (c, d));
            assert_eq!(stance.runs_back(), a + b < 0.0);
            assert_eq!(stance.is_lying(), a == 0.0);
        }
    }

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
