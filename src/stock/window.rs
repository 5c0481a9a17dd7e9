//! Where a folded letter shows its address through the window of its envelope.
//!
//! In: the name of a window. Out: the place on the unfolded letter. Not here: folding.

use crate::geom::{MM_PER_INCH, Mm, Rect, Size};

/// The part of a letter that an envelope's window shows, wherever the letter slides to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LetterWindow {
    /// What layouts call it.
    pub name: &'static str,
    /// The unfolded paper.
    pub paper: Size,
    /// Where the window lies on it, in millimetres from its top left corner.
    pub place: Rect,
    /// How the paper is folded for it.
    pub doc: &'static str,
}

/// The windows with a name.
///
/// Forms A and B: "Vorlagen für Briefbogen" (r9005.de) after DIN 676, which DIN 5008 took over: 85 × 45 mm,
/// 20 mm from the left, 27 or 45 mm from the top, for the window of 90 × 45 mm of DIN 680. No. 10: the
/// window is 4 1/2 × 1 1/8 in, 7/8 in from the left and 1/2 in from the foot ("Window envelopes: the
/// complete guide", businessenvelopes.com), of an envelope of 9 1/2 × 4 1/8 in, and the address stays
/// 1/8 in from its edges (the same page, after the USPS). A letter stands on its fold, and may lie at
/// either end: what both show is 3 1/4 × 7/8 in.
pub const LETTER_WINDOWS: &[LetterWindow] = &[
    LetterWindow {
        name: "din-5008-a",
        paper: A4,
        place: Rect { x: Mm(20.0), y: Mm(27.0), width: Mm(85.0), height: Mm(45.0) },
        doc: "A4, folded 87 and 192 mm from its top",
    },
    LetterWindow {
        name: "din-5008-b",
        paper: A4,
        place: Rect { x: Mm(20.0), y: Mm(45.0), width: Mm(85.0), height: Mm(45.0) },
        doc: "A4, folded 105 and 210 mm from its top",
    },
    LetterWindow {
        name: "no-10",
        paper: Size { width: Mm(8.5 * MM_PER_INCH), height: Mm(11.0 * MM_PER_INCH) },
        place: Rect {
            x: Mm(MM_PER_INCH),
            y: Mm((11.0 / 3.0 - 1.5) * MM_PER_INCH),
            width: Mm(3.25 * MM_PER_INCH),
            height: Mm(0.875 * MM_PER_INCH),
        },
        doc: "Letter, folded in three",
    },
];

/// A sheet of A4.
const A4: Size = Size { width: Mm(210.0), height: Mm(297.0) };

impl LetterWindow {
    /// What layouts call so; none when nothing is.
    #[must_use]
    pub fn find(name: &str) -> Option<&'static LetterWindow> {
        LETTER_WINDOWS.iter().find(|window| window.name == name)
    }

    /// Whether a letter of a size shows its address there.
    #[must_use]
    pub fn suits(&self, paper: Size) -> bool {
        let near = |one: Mm, other: Mm| (one - other).0.abs() < 0.5;
        near(self.paper.width, paper.width) && near(self.paper.height, paper.height)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// In a No. 10 envelope the window begins 2 1/2 in below its top, and a letter that stands on its
    /// fold begins 11/24 in below it.
    #[test]
    fn the_window_of_a_no_10_envelope_shows_its_place_wherever_the_letter_lies() {
        let place = LetterWindow::find("no-10").unwrap().place;
        let inches = |length: Mm| length.0 / MM_PER_INCH;
        let (envelope, letter) = ((9.5, 4.125), (8.5, 11.0 / 3.0));
        for left in [0.0, envelope.0 - letter.0] {
            let x = inches(place.x) + left;
            assert!(x >= 0.875 + 0.124, "{x}");
            assert!(x + inches(place.width) <= 0.875 + 4.5 - 0.124, "{x}");
        }
        let top = inches(place.y) + envelope.1 - letter.1;
        let window_top = envelope.1 - 0.5 - 1.125;
        assert!(top >= window_top + 0.124, "{top} {window_top}");
        assert!(top + inches(place.height) <= envelope.1 - 0.5 - 0.124);
    }

    #[test]
    fn every_window_lies_in_the_upper_third_of_its_paper() {
        for window in LETTER_WINDOWS {
            assert!(window.place.bottom() <= window.paper.height / 3.0, "{}", window.name);
            assert!(window.place.right() <= window.paper.width, "{}", window.name);
            assert_eq!(LetterWindow::find(window.name), Some(window));
        }
    }
}
