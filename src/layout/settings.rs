//! The settings that blocks share: lengths, type, and how things sit.

use std::sync::Arc;

use crate::colour::Rgb;
use crate::geom::{DotGrid, Mm};
use crate::stock::LetterWindow;

/// A length as a layout gives it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Length {
    /// Millimetres; points and inches have been turned into them.
    Mm(f64),
    /// Dots of the printer.
    Dots(f64),
}

impl Length {
    /// The length on a printer's grid.
    #[must_use]
    pub fn to_mm(self, grid: DotGrid) -> Mm {
        match self {
            Length::Mm(mm) => Mm(mm),
            Length::Dots(dots) => grid.length(dots),
        }
    }
}

/// One length for each side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sides {
    /// How far from the top edge; 0 when not given.
    pub top: Length,
    /// How far from the right edge; 0 when not given.
    pub right: Length,
    /// How far from the bottom edge; 0 when not given.
    pub bottom: Length,
    /// How far from the left edge; 0 when not given.
    pub left: Length,
}

impl Default for Sides {
    fn default() -> Sides {
        Sides::all(Length::Mm(0.0))
    }
}

impl Sides {
    /// The same length on all sides.
    #[must_use]
    pub fn all(length: Length) -> Sides {
        Sides { top: length, right: length, bottom: length, left: length }
    }
}

/// How a run of text is set.
#[derive(Clone, Debug, PartialEq)]
pub struct TypeStyle {
    /// The family, tried before the built-in one.
    pub family: Option<Arc<str>>,
    /// The em.
    pub size: Length,
    /// The em that `fit: shrink` may go down to.
    pub smallest: Length,
    /// Which cut of the family.
    pub cut: Weight,
    /// Upright or slanted.
    pub slant: Slant,
    /// Extra room after each character, in em.
    pub spacing: f64,
    /// From baseline to baseline, in em.
    pub leading: f64,
    /// Whether everything is set in capitals.
    pub capitals: bool,
}

/// The cuts of a family.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Weight {
    /// For reading.
    #[default]
    Regular,
    /// For names and heads.
    Bold,
    /// For much in little room.
    Condensed,
}

/// What a block is printed in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BlockInk {
    /// What it stands in is printed in; black at first.
    #[default]
    Usual,
    /// White, on its ground.
    Reversed,
    /// This one, where the printer has colours.
    Colour(Rgb),
}

/// Whether letters are slanted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Slant {
    /// They stand upright.
    #[default]
    Upright,
    /// They are slanted.
    Italic,
}

/// From left to right.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Align {
    /// Where reading starts: at the right for text that runs from right to left, else at the left.
    #[default]
    Start,
    /// At the left, whichever way the text runs.
    Left,
    /// In the middle.
    Center,
    /// At the right, whichever way the text runs.
    Right,
}

/// From top to bottom.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sit {
    /// At the top; the usual way.
    #[default]
    Top,
    /// Half of the white above and half below.
    Middle,
    /// At the bottom of its room.
    Bottom,
}

/// Where a block lies inside an `over`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spot {
    /// So far inwards from the corner that it stands in.
    Inwards {
        /// From the corner's upright edge.
        across: Length,
        /// From its level edge.
        down: Length,
    },
    /// Where the window of an envelope shows it.
    Window(&'static LetterWindow),
}

/// A corner of an `over`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Corner {
    /// Above at the left.
    #[default]
    TopLeft,
    /// Above at the right.
    TopRight,
    /// Below at the left.
    BottomLeft,
    /// Below at the right.
    BottomRight,
}

impl Corner {
    /// Whether an upright edge of it is the right one.
    #[must_use]
    pub fn is_right(self) -> bool {
        matches!(self, Corner::TopRight | Corner::BottomRight)
    }

    /// Whether it is below.
    #[must_use]
    pub fn is_bottom(self) -> bool {
        matches!(self, Corner::BottomLeft | Corner::BottomRight)
    }
}

/// How the line of a frame is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stroke {
    /// In one piece.
    #[default]
    Solid,
    /// In strokes with white between.
    Dashed,
    /// In squares as wide as it is thick.
    Dotted,
}

/// What a page break must not part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Keep {
    /// Whatever lies where the page ends.
    #[default]
    Nothing,
    /// The block itself.
    Whole,
    /// The block, and what comes after it.
    Next,
}

/// What to do with text that does not fit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Fit {
    /// Break it into lines.
    #[default]
    Wrap,
    /// Set it smaller, down to the style's `smallest`, and break it into lines.
    Shrink,
    /// Keep it on one line; too long is an error.
    Fail,
}

/// How large a picture or a page of a PDF becomes in its box.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Scaling {
    /// As large as shows all of it.
    #[default]
    Contain,
    /// As large as fills the box; what reaches over is cut off.
    Cover,
    /// Its own size.
    Actual,
}

/// Which folder a file lies in or below.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum FileHome {
    /// Below that of the orders, which name it.
    #[default]
    Orders,
    /// Below that of the layout, which names it.
    Layout,
}

/// Where a code's text stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Caption {
    /// Nowhere.
    #[default]
    None,
    /// Over the code.
    Above,
    /// Under the code.
    Below,
}

/// Whose address.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Who {
    /// The buyer's.
    ShipTo,
    /// The shop's.
    Seller,
}

/// A container's direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// One under another.
    Down,
    /// Side by side.
    Across,
}

/// The order in which the places of a sheet are filled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FillOrder {
    /// Row after row, each from the left.
    #[default]
    Across,
    /// Column after column, each from the top.
    Down,
}

/// Error correction of a QR code, weakest first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Correction {
    /// About 7 % of the code words.
    Low,
    /// About 15 %.
    #[default]
    Medium,
    /// About 25 %.
    Quartile,
    /// About 30 %.
    High,
}

/// What can be filled in by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A line to write on, its label in front.
    Line,
    /// A box to tick, its label behind.
    Tick,
    /// A line to sign on, its label under it.
    Signature,
    /// So many boxes, one a letter.
    Boxes(u32),
}

/// How the cells of a column sit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ColumnAlign {
    /// Where reading starts, as in [`Align::Start`].
    #[default]
    Start,
    /// At the left, whichever way the text runs.
    Left,
    /// In the middle.
    Center,
    /// At the right, whichever way the text runs.
    Right,
    /// With their decimal points under each other, at the right.
    Decimal,
}
