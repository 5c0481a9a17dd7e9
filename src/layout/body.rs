//! A layout's body: the blocks as they are once they have passed their check.
//!
//! What a block may say stands in the table (`blocks`), and how it is read in `decode`. Here is what comes
//! of it: every setting in its own type, every text a [`Template`], nothing left to look up.

use super::{
    Align, BlockInk, Caption, ColumnAlign, Corner, Correction, Definition, Direction, Expression,
    FileHome, Fit, Form, Keep, Length, Scaling, Sides, Sit, Spot, Stroke, Template, TypeStyle, Who,
};
use crate::colour::Rgb;
use crate::geom::{QuarterTurn, Stance};
use crate::source::Span;

/// One block of a layout.
#[derive(Clone, Debug)]
pub struct Block {
    /// Where its name stands.
    pub span: Span,
    /// Its name in the layout language, such as `text`; findings call it by that.
    pub name: &'static str,
    /// Its width, if given.
    pub width: Option<Length>,
    /// Its height, if given.
    pub height: Option<Length>,
    /// Its share of the room that is left over along its container; 0 takes none.
    pub grow: f64,
    /// White inside its edges.
    pub inset: Sides,
    /// The thickness of a line along its edges.
    pub border: Option<Length>,
    /// How that line, or the one of a box, is drawn.
    pub stroke: Stroke,
    /// The radius of its corners.
    pub round: Length,
    /// What it is printed in.
    pub ink: BlockInk,
    /// The colour of its ground, if it has one.
    pub ground: Option<Rgb>,
    /// How it is turned, and whether it is mirrored.
    pub stance: Stance,
    /// Where it lies inside an `over`.
    pub at: Option<Spot>,
    /// The corner of the `over` that it stands in, if it says so.
    pub corner: Option<Corner>,
    /// How its content sits from left to right.
    pub align: Align,
    /// How its content sits from top to bottom.
    pub sit: Sit,
    /// Whether blocks side by side in it share the baseline of their first lines.
    pub baseline: bool,
    /// What a page break must not part.
    pub keep: Keep,
    /// Left out unless all of these are true.
    pub when: Vec<Expression>,
    /// Names for values of the layout's own, known inside.
    pub lets: Vec<Definition>,
    /// What it shows, with the settings that only such blocks have.
    pub kind: BlockKind,
}

impl Block {
    /// A block with no settings but its own.
    pub(super) fn plain(span: Span, name: &'static str, kind: BlockKind) -> Block {
        Block {
            span,
            name,
            width: None,
            height: None,
            grow: 0.0,
            inset: Sides::default(),
            border: None,
            stroke: Stroke::Solid,
            round: Length::Mm(0.0),
            ink: BlockInk::Usual,
            ground: None,
            stance: Stance::UPRIGHT,
            at: None,
            corner: None,
            align: Align::Start,
            sit: Sit::Top,
            baseline: false,
            keep: Keep::Nothing,
            when: Vec::new(),
            lets: Vec::new(),
            kind,
        }
    }
}

/// What a block is, with its own settings.
#[derive(Clone, Debug)]
pub enum BlockKind {
    /// Blocks in a row or column.
    Stack {
        /// Which way.
        direction: Direction,
        /// White between neighbours.
        gap: Length,
        /// What stands in it, in order; one that is left out leaves no gap.
        children: Vec<Block>,
    },
    /// Blocks on top of each other.
    Over(Vec<Block>),
    /// A block repeated for every value of a list.
    Each {
        /// What gives the values, such as `items`.
        list: Expression,
        /// The order and the groups of its values.
        order: ListOrder,
        /// What each value is called.
        name: String,
        /// The block to repeat.
        show: Box<Block>,
        /// Which way.
        direction: Direction,
        /// White between neighbours.
        gap: Length,
        /// At most so many, the rest told by a text.
        limit: Option<(u32, Box<Block>)>,
        /// A block between each two.
        between: Option<Box<Block>>,
    },
    /// Rows and columns.
    Table(Box<Table>),
    /// Something to fill in by hand.
    Blank {
        /// A line, a box to tick, a line to sign on, or boxes for letters.
        form: Form,
        /// What is to be filled in.
        label: Option<Template>,
        /// How the label is set.
        style: TypeStyle,
    },
    /// A dashed line of a thickness.
    CutLine(Length),
    /// A dotted line of a thickness.
    FoldLine(Length),
    /// Words that are set in lines.
    Text {
        /// What it says.
        text: Template,
        /// How it is set.
        style: TypeStyle,
        /// What to do when it does not fit.
        fit: Fit,
    },
    /// An address, a line a part.
    Address {
        /// Whether it is the buyer's or the shop's.
        who: Who,
        /// How it is set.
        style: TypeStyle,
        /// What to do when it does not fit.
        fit: Fit,
    },
    /// The seller's tag, as large as its box.
    Tag {
        /// What it says.
        text: Template,
    },
    /// Bars of a text or of element strings.
    Code128 {
        /// What it says.
        text: Template,
        /// Whether it says element strings of GS1, with their check digits.
        gs1: bool,
        /// Where it is written out.
        caption: Caption,
        /// What is written out in place of what it says.
        caption_text: Option<Template>,
        /// How the caption is set.
        style: TypeStyle,
        /// Whether the box holds the quiet zone too.
        quiet_inside: bool,
        /// Dots a module, at most.
        most: Option<u32>,
    },
    /// An EAN-13, EAN-8 or UPC-A.
    Ean {
        /// The number.
        text: Template,
        /// Whether its digits are written below it.
        caption: Caption,
        /// Whether the box holds the quiet zone too.
        quiet_inside: bool,
        /// Dots a module, at most.
        most: Option<u32>,
    },
    /// A square of dots of a text or of element strings.
    DataMatrix {
        /// What it says.
        text: Template,
        /// Whether it holds element strings of GS1.
        gs1: bool,
        /// Whether the box holds the quiet zone too.
        quiet_inside: bool,
        /// Dots a module, at most.
        most: Option<u32>,
    },
    /// A QR code.
    Qr {
        /// What it says.
        text: Template,
        /// The error correction wanted at least.
        correction: Correction,
        /// Whether the box holds the quiet zone too.
        quiet_inside: bool,
        /// Dots a module, at most.
        most: Option<u32>,
    },
    /// The parcel's tally.
    Tally {
        /// The width of a cell.
        cell: Length,
    },
    /// A line.
    Rule(Length),
    /// An empty box; its line is so thick.
    Outline(Length),
    /// A picture.
    Image {
        /// The file, beside the layout.
        file: Template,
        /// How large it becomes.
        fit: Scaling,
    },
    /// A page of an existing PDF.
    PageOf(Box<PageOf>),
}

/// A page of an existing PDF.
#[derive(Clone, Debug)]
pub struct PageOf {
    /// The name of the file; it may be made for each parcel.
    pub file: Template,
    /// The page, from 1; `None`: the first.
    pub page: Option<Template>,
    /// Which folder the file lies in or below.
    pub home: FileHome,
    /// The piece that is shown: left, top, width, height; `None`: all of it.
    pub part: Option<[Length; 4]>,
    /// How the page is turned; upright unless given.
    pub turn: QuarterTurn,
    /// How large it becomes.
    pub fit: Scaling,
}

/// A table's rows and columns.
#[derive(Clone, Debug)]
pub struct Table {
    /// The list with a value for every row.
    pub list: Expression,
    /// The order of its values.
    pub order: ListOrder,
    /// What each value is called.
    pub name: String,
    /// The columns from the left.
    pub columns: Vec<Column>,
    /// White between columns.
    pub gap: Length,
    /// White between rows.
    pub row_gap: Length,
    /// The line under the head and above the totals.
    pub line: Length,
    /// A thin line after every so many rows.
    pub every: Option<u32>,
}

/// The order of a list's values; as they come unless fields are named.
#[derive(Clone, Debug, Default)]
pub struct ListOrder {
    /// The fields that they are sorted by, the first before the second.
    pub sort_by: Vec<NamedField>,
    /// The field that the values of a group have in common; `None` makes no groups.
    pub group_by: Option<NamedField>,
}

/// A field of values, as a layout names it.
#[derive(Clone, Debug)]
pub struct NamedField {
    /// The name; a dot leads into a value.
    pub name: Box<str>,
    /// Where the layout asks for it, for what is found of its values.
    pub span: Span,
}

/// A column of a table.
#[derive(Clone, Debug)]
pub struct Column {
    /// What each row says.
    pub cell: Template,
    /// What the head says.
    pub head: Option<Template>,
    /// What the rows under the last one say.
    pub totals: Vec<Template>,
    /// Its width, if given.
    pub width: Option<Length>,
    /// Its share of the width left over.
    pub grow: f64,
    /// Left out unless this is true for the whole table.
    pub when: Option<Expression>,
    /// How cells sit.
    pub align: ColumnAlign,
    /// How cells are set.
    pub style: TypeStyle,
    /// How the head is set.
    pub head_style: TypeStyle,
    /// How the last total is set: as large as the cells, in the cut of the head.
    pub total_style: TypeStyle,
}
