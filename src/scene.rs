//! Finished pages: the contract between composing and writing.
//!
//! In a scene nothing is left to resolve: no unit strings, templates, styles, font look-ups or
//! flexible sizes. Every length is in millimetres from the top left corner of the page; whatever
//! must be exact is also given in whole printer dots of the page's grid. Meaning is kept: a code
//! stays payload, symbology and modules, text stays text, so that preflight, verify and the
//! writers all judge the same thing. Every mark belongs to a placed block, and every block knows
//! the place in the layout that asked for it. Marks are painted in their order, later over
//! earlier. There is no logic here.

mod symbol;

use std::sync::Arc;

pub use symbol::{Symbol, SymbolForm};

use crate::colour::Rgb;
use crate::findings::Subject;
use crate::fonts::{FontId, Glyph, GlyphReach};
use crate::geom::{DotGrid, FillRule, Insets, Mm, Point, Rect, Segment, Size, Stance};
use crate::images::{ImportedPage, PageCut, Raster};
use crate::source::Span;

/// One finished page.
#[derive(Clone, Debug)]
pub struct Page {
    /// The paper's exact size.
    pub size: Size,
    /// The dots everything exact is placed on.
    pub grid: DotGrid,
    /// The sides that must stay white.
    pub clear_edge: Insets,
    /// What the outline and the window title call it, such as `3 · Marlow`.
    pub title: String,
    /// The parcel it is for; none on a page about the whole batch.
    pub subject: Option<Subject>,
    /// The language of its words as a BCP 47 tag; none where nobody says, and on sheets of several.
    pub language: Option<Arc<str>>,
    /// The blocks placed on it; a parent stands before its children.
    pub blocks: Vec<PlacedBlock>,
    /// What is painted, in painting order.
    pub marks: Vec<Mark>,
}

/// Which of a page's blocks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct BlockId(pub u32);

/// A block of the layout with the room it was given.
#[derive(Clone, Debug)]
pub struct PlacedBlock {
    /// The block's name in the layout language, such as `text`.
    pub name: &'static str,
    /// Where the layout asks for it.
    pub span: Span,
    /// The container it is in; none for the page's body.
    pub parent: Option<BlockId>,
    /// The room it was given.
    pub rect: Rect,
    /// Whether its children are meant to lie on top of each other.
    pub layered: bool,
    /// How many letters it has to say, by [`count_letters`]; 0 where they are not counted.
    pub letters: u32,
}

/// The letters and figures of a text: what a page must say as often as it was given it, however
/// its lines are broken and its signs are joined.
#[must_use]
pub fn count_letters(text: &str) -> u32 {
    text.chars().map(|character| u32::from(character.is_alphanumeric())).sum()
}

/// Something painted.
#[derive(Clone, Debug)]
pub struct Mark {
    /// The block it belongs to.
    pub block: BlockId,
    /// What is painted.
    pub kind: MarkKind,
}

/// Black, white on top of it, or a colour where the paper's printer has colours.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Ink {
    /// Prints.
    #[default]
    Black,
    /// Leaves the paper white inside something black.
    White,
    /// This one; preflight sees to it that the printer has colours.
    Colour(Rgb),
}

impl Ink {
    /// The colour that is seen.
    #[must_use]
    pub fn rgb(self) -> Rgb {
        match self {
            Ink::Black => Rgb::BLACK,
            Ink::White => Rgb::WHITE,
            Ink::Colour(colour) => colour,
        }
    }
}

/// What can be painted.
#[derive(Clone, Debug)]
pub enum MarkKind {
    /// A run of glyphs of one font and size.
    Text(TextRun),
    /// A filled box: a rule, a border's side, a ground.
    Fill(Rect, Ink),
    /// A filled outline: vector art.
    Outline(Outline),
    /// A machine-readable code.
    Code(CodeMark),
    /// A tally row.
    Tally(TallyMark),
    /// A raster picture.
    Picture(PictureMark),
    /// A page of another PDF, or a piece of one.
    Foreign(ForeignMark),
}

/// What begins with a run, the leftmost of its line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum RunStart {
    /// Nothing: it goes on with its line.
    #[default]
    Nothing,
    /// A line that goes on with a word.
    BrokenLine,
    /// A line whose text a space parts from that of the line before.
    Line,
    /// A paragraph, such as a line of an address or a cell of a table.
    Paragraph,
    /// A row of a table.
    Row,
}

/// Glyphs of one font and size on one baseline, in visual order.
#[derive(Clone, Debug)]
pub struct TextRun {
    /// The font, by its id in the book that the page was composed with.
    pub font: FontId,
    /// The em, in millimetres.
    pub size: Mm,
    /// The pen's place before the first glyph, on the baseline.
    pub origin: Point,
    /// Black, or white on black.
    pub ink: Ink,
    /// The glyphs with their advances in em; letter spacing is part of the advances.
    pub glyphs: Vec<Glyph>,
    /// What the glyphs say, in reading order; their clusters are bytes of it.
    pub text: String,
    /// Whether the run reads from right to left.
    pub rtl: bool,
    /// What begins with it, for programs that read the page aloud.
    pub begins: RunStart,
    /// How many runs further along its line it is read, less than 0 for earlier; 0 where a line is
    /// read as it stands, from left to right.
    pub reads_later: i32,
    /// How far its ink goes above and below the baseline.
    pub reach: GlyphReach,
    /// How it stands on the page; its origin is where its first glyph's is.
    pub stance: Stance,
    /// The box it is placed by: from the top of capitals to the foot of descenders over the run's
    /// whole advance, or closer to the ink where composing knows it, as it does for tags. Accents
    /// and dots may stand out of it.
    pub rect: Rect,
}

/// What an outline is part of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OutlineUse {
    /// A drawing that shows something.
    Picture,
    /// A border or a ground, which says nothing.
    Frame,
}

/// A filled outline in page millimetres.
#[derive(Clone, Debug)]
pub struct Outline {
    /// Its contours.
    pub segments: Arc<[Segment]>,
    /// Added to every point, x and y.
    pub offset: Point,
    /// Multiplies every point before the offset is added.
    pub scale: f64,
    /// What is inside.
    pub rule: FillRule,
    /// Black or white.
    pub ink: Ink,
    /// How it stands on the page: it is turned around the offset.
    pub stance: Stance,
    /// The box around it on the page.
    pub rect: Rect,
    /// Whether it says something to programs that read the page aloud.
    pub part_of: OutlineUse,
}

/// A box in whole dots of the page's grid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DotRect {
    /// Dots left of it.
    pub x: u32,
    /// Dots above it.
    pub y: u32,
    /// Dots across.
    pub width: u32,
    /// Dots down.
    pub height: u32,
}

impl DotRect {
    /// The same box in millimetres.
    #[must_use]
    pub fn to_rect(self, grid: DotGrid) -> Rect {
        Rect::new(
            grid.length(f64::from(self.x)),
            grid.length(f64::from(self.y)),
            grid.length(f64::from(self.width)),
            grid.length(f64::from(self.height)),
        )
    }
}

/// A machine-readable code on the dot grid.
#[derive(Clone, Debug)]
pub struct CodeMark {
    /// Its modules and what they say.
    pub symbol: Symbol,
    /// What a reader must give back.
    pub payload: String,
    /// The side or width of a module in whole dots, at least 1.
    pub module_dots: u32,
    /// How it stands on the page.
    pub stance: Stance,
    /// The symbol without its quiet zone; where some bars reach further than the others, as far as all
    /// of them do.
    pub dots: DotRect,
    /// Dots that the guards of an EAN reach beyond the foot of its other bars; 0 for all other codes.
    pub tails: u32,
    /// The symbol with its quiet zone.
    pub quiet: Rect,
    /// Whole dots that each bar and each dark area loses when it is painted, so that a printer that
    /// bleeds gives them back; 0 as composed. A bar of one module keeps one dot at least.
    pub reduction: u32,
}

/// A tally row on the dot grid.
#[derive(Clone, Debug)]
pub struct TallyMark {
    /// The cells, from left to right when it stands upright; true is black.
    pub cells: Vec<bool>,
    /// Dots across one cell.
    pub cell_dots: u32,
    /// How it stands on the page.
    pub stance: Stance,
    /// The whole row.
    pub dots: DotRect,
}

/// A raster picture in its box.
#[derive(Clone, Debug)]
pub struct PictureMark {
    /// The pixels.
    pub raster: Arc<Raster>,
    /// How they stand in their box.
    pub stance: Stance,
    /// The box they fill.
    pub rect: Rect,
}

/// A page of another PDF, or a piece of one, in its box.
#[derive(Clone, Debug)]
pub struct ForeignMark {
    /// What it is taken from; marks on several pages share it.
    pub page: Arc<ImportedPage>,
    /// The piece that shows, and how it is turned.
    pub cut: PageCut,
    /// The box it fills; nothing of it shows outside.
    pub rect: Rect,
}

impl Page {
    /// The numbers of the blocks that the layout asks for at a place: of the innermost one that it lies
    /// in, as often as that is on the page.
    pub(crate) fn innermost_blocks(&self, span: Span) -> impl Iterator<Item = usize> {
        let around = self.blocks.iter().map(|block| block.span).filter(|it| it.contains(span));
        let innermost = around.min_by_key(|it| it.end - it.start);
        let numbered = self.blocks.iter().enumerate();
        numbered.filter(move |(_, block)| Some(block.span) == innermost).map(|(number, _)| number)
    }
}

impl Mark {
    /// The box around what is painted, without a code's quiet zone.
    #[must_use]
    pub fn rect(&self, grid: DotGrid) -> Rect {
        match &self.kind {
            MarkKind::Text(run) => run.rect,
            MarkKind::Fill(rect, _) => *rect,
            MarkKind::Outline(outline) => outline.rect,
            MarkKind::Code(code) => code.dots.to_rect(grid),
            MarkKind::Tally(tally) => tally.dots.to_rect(grid),
            MarkKind::Picture(picture) => picture.rect,
            MarkKind::Foreign(foreign) => foreign.rect,
        }
    }
}
