//! Lines in pieces: dashes and dots of whole printer dots, spread evenly.

use super::{Job, Place};
use crate::geom::{Mm, Rect};
use crate::layout::{Length, Stroke};
use crate::scene::MarkKind;

/// From one dot of a fold line to the next, at most.
const FOLD_PITCH: Mm = Mm(1.5);

/// A dash of a frame.
const DASH: Mm = Mm(2.0);

/// The white after a dash of a frame.
const DASH_GAP: Mm = Mm(1.25);

/// A piece of a line, in whole printer dots from where the line begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct LinePiece {
    /// Where it begins.
    pub(super) from: u32,
    /// How long it is.
    pub(super) length: u32,
}

/// What a line in pieces ends with on both sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LineEnds {
    /// A piece.
    Black,
    /// The white between two.
    White,
}

/// How a line is divided: pieces of so many printer dots and about as much white between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct LinePattern {
    /// Dots along the line that are inked.
    pub(super) piece: u32,
    /// The white after it.
    pub(super) white: u32,
}

impl LinePattern {
    /// The pattern of a frame's line that is `width` dots thick; none when it is in one piece.
    pub(super) fn of_frame(stroke: Stroke, width: u32, per_mm: f64) -> Option<LinePattern> {
        let dots = |length: Mm| (length.0 * per_mm).round() as u32;
        match stroke {
            Stroke::Solid => None,
            Stroke::Dashed => Some(LinePattern {
                piece: dots(DASH).max(width * 2),
                white: dots(DASH_GAP).max(width),
            }),
            Stroke::Dotted => Some(LinePattern { piece: width.max(1), white: width.max(1) * 2 }),
        }
    }

    /// How many pieces a line has; one that is too short for white has one piece between black ends,
    /// and none between white ones.
    pub(super) fn count(self, length: f64, ends: LineEnds) -> u32 {
        let (piece, white) = (f64::from(self.piece), f64::from(self.white));
        let pieces = match ends {
            LineEnds::Black => ((length + white) / (piece + white)).round().max(1.0),
            LineEnds::White => ((length - white) / (piece + white)).round().max(0.0),
        };
        pieces as u32
    }

    /// The pieces of a line so many dots long; what is over goes evenly into the white.
    pub(super) fn divide(self, length: u32, ends: LineEnds) -> Vec<LinePiece> {
        let count = self.count(f64::from(length), ends);
        if count == 1 && ends == LineEnds::Black {
            return vec![LinePiece { from: 0, length }];
        }
        let free = f64::from(length.saturating_sub(self.piece * count));
        let (first, gaps) = match ends {
            LineEnds::Black => (0.0, count.saturating_sub(1)),
            LineEnds::White => (1.0, count + 1),
        };
        let white = free / f64::from(gaps.max(1));
        let from = |index: u32| {
            let pieces = f64::from(index) * f64::from(self.piece);
            (pieces + (f64::from(index) + first) * white).round() as u32
        };
        (0..count).map(|index| LinePiece { from: from(index), length: self.piece }).collect()
    }
}

impl Job<'_, '_> {
    /// Paints a dotted line along the longer side of its room.
    pub(super) fn place_fold_line(&mut self, thickness: Length, place: Place) {
        let grid = self.frame.grid;
        let room = self.snap_rect(place.rect);
        let thick = self.line_width(thickness);
        let piece = grid.dots(thick).round() as u32;
        let pitch = (FOLD_PITCH.0 * grid.per_mm()).round() as u32;
        let pattern = LinePattern { piece, white: pitch.saturating_sub(piece).max(piece) };
        let level = room.width >= room.height;
        let length = grid.dots(if level { room.width } else { room.height }).round() as u32;
        for piece in pattern.divide(length, LineEnds::Black) {
            let (from, long) =
                (grid.length(f64::from(piece.from)), grid.length(f64::from(piece.length)));
            let rect = match level {
                true => Rect::new(room.x + from, room.y, long, thick),
                false => Rect::new(room.x, room.y + from, thick, long),
            };
            self.mark(place.id, MarkKind::Fill(rect, place.ink));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_are_whole_reach_both_ends_and_stand_evenly() {
        let pattern = LinePattern { piece: 3, white: 6 };
        for length in 3..400 {
            let pieces = pattern.divide(length, LineEnds::Black);
            let last = pieces.last().unwrap();
            assert_eq!((pieces[0].from, last.from + last.length), (0, length));
            let whites: Vec<u32> =
                pieces.windows(2).map(|it| it[1].from - it[0].from - it[0].length).collect();
            if let (Some(most), Some(least)) = (whites.iter().max(), whites.iter().min()) {
                assert!(most - least <= 1 && *least >= 1, "{length}: {whites:?}");
            }
        }
    }

    #[test]
    fn between_white_ends_every_piece_stands_free() {
        let pattern = LinePattern { piece: 16, white: 10 };
        for length in 0..400 {
            for piece in pattern.divide(length, LineEnds::White) {
                assert!(piece.from >= 1 && piece.from + piece.length < length, "{length}");
            }
        }
    }
}
