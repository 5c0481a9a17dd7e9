//! Bound blocks to finished pages: every block gets its room, every text its size and lines,
//! every code its dots.
//!
//! In: a [`Bound`] body, the page it is for and the assets. Out: a [`Page`] and everything that
//! did not fit, each with its place in the layout. Blocks are laid out in one pass from the
//! outside in, with natural sizes asked for on the way: a container gives its children what they
//! ask for, then shares what is left among those that `grow`. Nothing ever shrinks unasked, so a
//! layout that is too full says so, in millimetres. Not here: reading layouts, and rules about
//! finished pages (`preflight`).

mod address;
mod baseline;
mod blank;
mod code;
mod cut_marks;
mod ean;
mod flow;
mod frame;
mod line;
mod load;
mod measures;
mod natural;
mod over;
mod overflow;
mod page_of;
mod page_store;
mod picture;
mod picture_store;
mod round;
mod sheet;
mod spelling;
mod squares;
mod stack;
mod table;
mod tag;
mod tally;
mod text;
mod turn;

use std::sync::Arc;

use code::{BarText, ModuleWish};
use flow::BodyColumn;
use load::MarkCount;
use measures::{CodeCache, Measures};
pub use picture_store::PictureStore;
pub use sheet::{SheetPlan, SheetSide, plan_sheet};

use crate::bind::{Bound, Content, Furniture};
use crate::findings::{Finding, Subject};
use crate::fonts::{FontBook, Shaper};
use crate::geom::{DotGrid, Insets, Mm, Rect, Size, Stance};
use crate::layout::{Length, Sides};
use crate::scene::{BlockId, Ink, Mark, MarkKind, Page};

/// What a page is composed for.
#[derive(Clone, Debug)]
pub struct PageFrame {
    /// The paper.
    pub size: Size,
    /// The printer's dots.
    pub grid: DotGrid,
    /// Whether the printer has black dots and nothing else, no greys either.
    pub one_bit: bool,
    /// Whether the printer has more inks than black.
    pub colour: bool,
    /// The sides that must stay white.
    pub clear_edge: Insets,
    /// How all that is on it is turned, and whether it is mirrored.
    pub stance: Stance,
    /// White around the body.
    pub inset: Insets,
    /// What becomes of letters that no font has.
    pub unprintable: Unprintable,
}

/// What becomes of letters that no font has a glyph for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Unprintable {
    /// They are an error: what goes to a buyer says what it says, or is not printed.
    #[default]
    Refused,
    /// They are printed as their numbers, such as `U+5907`: a list for the seller's own eyes is more
    /// use to her with them than not at all.
    Spelt,
}

/// How many pages a body may take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flow {
    /// One, and what does not fit is at fault.
    OnePage,
    /// As many as it needs, broken between its pieces.
    ManyPages,
}

/// A page, and what was found on the way.
#[derive(Debug)]
pub struct Composed {
    /// The finished page.
    pub page: Page,
    /// What does not fit or cannot be drawn.
    pub findings: Vec<Finding>,
    /// The height of the capitals of the page's tag, if it has one; how far it reads follows.
    pub tag_capitals: Option<Mm>,
}

/// Composes page after page on one thread; what is costly is made once and kept.
pub struct Composer<'a> {
    /// What faces there are, and their measures.
    book: &'a FontBook,
    /// Turns text into glyphs.
    shaper: Shaper,
    /// The pictures, shared between threads.
    pictures: &'a PictureStore<'a>,
    /// The codes of the page at hand that more than one block asks about.
    codes: CodeCache,
    /// What was measured of the long texts of the document at hand.
    measures: Measures,
    /// What the document at hand has put on its pages.
    load: MarkCount,
}

impl<'a> Composer<'a> {
    /// A composer with its own caches.
    #[must_use]
    pub fn new(book: &'a FontBook, pictures: &'a PictureStore<'a>) -> Composer<'a> {
        let (codes, load) = (CodeCache::default(), MarkCount::default());
        let (shaper, measures) = (Shaper::new(book), Measures::default());
        Composer { book, shaper, pictures, codes, measures, load }
    }

    /// Composes one parcel's document: one page, or as many as a body that flows needs.
    ///
    /// `furniture` binds the head and foot of a page, given its number and how many there are.
    ///
    /// # Errors
    /// Those of `furniture`.
    pub fn compose_document<'l>(
        &mut self,
        body: &Bound<'l>,
        flow: Flow,
        frame: &PageFrame,
        label: &PageLabel,
        furniture: impl Fn(usize, usize) -> Result<Furniture<'l>, Vec<Finding>>,
    ) -> Result<Vec<Composed>, Vec<Finding>> {
        if !frame.stance.is_upright() {
            let upright = turn::upright_frame(frame);
            let mut pages = self.compose_document(body, flow, &upright, label, furniture)?;
            pages.iter_mut().for_each(|page| turn::turn_composed(page, frame));
            return Ok(pages);
        }
        self.codes.bars.clear();
        self.codes.squares.clear();
        self.measures = Measures::default();
        self.load = MarkCount::default();
        let first = furniture(1, 1)?;
        let mut job = self.start(frame, label);
        let rooms = job.plan_rooms(&first);
        if flow == Flow::OnePage {
            job.place_around(&first, &rooms, |job| {
                job.place(body, rooms.body, None, Ink::Black);
            });
            return Ok(vec![job.finish()]);
        }
        let mut pieces = Vec::new();
        let whole = BodyColumn { x: Mm::ZERO, width: rooms.body.width, ink: Ink::Black };
        job.take_apart(body, whole, Mm::ZERO, &mut pieces);
        let pages = job.break_pages(&pieces, rooms.body.height);
        let mut findings = job.finish().findings;
        let mut composed = Vec::with_capacity(pages.len());
        for (index, page) in pages.iter().enumerate() {
            let furniture = match pages.len() {
                1 => None,
                count => Some(furniture(index + 1, count)?),
            };
            let mut job = self.start(frame, label);
            job.findings.append(&mut findings);
            job.place_around(furniture.as_ref().unwrap_or(&first), &rooms, |job| {
                job.place_pieces(body, &pieces, page, rooms.body);
            });
            composed.push(job.finish());
        }
        Ok(composed)
    }

    /// A page with nothing on it.
    #[must_use]
    pub fn blank_page(&mut self, frame: &PageFrame, label: &PageLabel) -> Page {
        self.start(frame, label).page
    }

    /// Begins a page with nothing on it but its frame and label.
    fn start<'c>(&'c mut self, frame: &'c PageFrame, label: &PageLabel) -> Job<'c, 'a> {
        let page = Page {
            size: frame.size,
            grid: frame.grid,
            clear_edge: frame.clear_edge,
            title: label.title.clone(),
            subject: label.subject.clone(),
            language: label.language.clone(),
            blocks: Vec::new(),
            marks: Vec::new(),
        };
        let (findings, paper) = (Vec::new(), frame.size);
        Job { composer: self, frame, page, findings, tag_capitals: None, paper }
    }
}

/// What a parcel's pages are called.
#[derive(Clone, Debug)]
pub struct PageLabel {
    /// In the outline, such as `3 · Marlow`.
    pub title: String,
    /// The parcel they are for.
    pub subject: Option<Subject>,
    /// The language of their words, where somebody says it.
    pub language: Option<Arc<str>>,
}

/// The rooms of a page.
struct Rooms {
    /// The top of the page.
    head: Rect,
    /// Between top and foot.
    body: Rect,
    /// The foot of the page.
    foot: Rect,
}

/// The composing of one page.
struct Job<'c, 'a> {
    /// Fonts, pictures and caches.
    composer: &'c mut Composer<'a>,
    /// Size, dots, clear edge and stance of what is composed.
    frame: &'c PageFrame,
    /// The page so far.
    page: Page,
    /// What was found so far.
    findings: Vec<Finding>,
    /// The height of the tag's capitals.
    tag_capitals: Option<Mm>,
    /// The size of what is being composed on: the page, or the one that a turned block stands on.
    paper: Size,
}

/// Where a block is placed: its id, the room inside its inset and border, and its ink.
#[derive(Clone, Copy, Debug)]
struct Place {
    /// Which block of the page its marks belong to.
    id: BlockId,
    /// The room for its content.
    rect: Rect,
    /// Black, or white on black.
    ink: Ink,
}

impl Job<'_, '_> {
    /// Divides a page between its head, body and foot.
    fn plan_rooms(&mut self, furniture: &Furniture<'_>) -> Rooms {
        let size = self.paper;
        let whole = Rect::new(Mm::ZERO, Mm::ZERO, size.width, size.height);
        let inside = whole.shrunk(self.frame.inset);
        let mut height = |block: &Option<Bound<'_>>| {
            block.as_ref().map_or(Mm::ZERO, |block| self.natural_height(block, inside.width))
        };
        let (top, foot) = (height(&furniture.head), height(&furniture.foot));
        let strip = |y: Mm, height: Mm| Rect::new(inside.x, y, inside.width, height);
        Rooms {
            head: strip(inside.y, top),
            body: strip(inside.y + top, (inside.height - top - foot).max(Mm::ZERO)),
            foot: strip(inside.bottom() - foot, foot),
        }
    }

    /// Places the head of a page, its body, and its foot: a page is read in the order it is placed.
    fn place_around(
        &mut self,
        furniture: &Furniture<'_>,
        rooms: &Rooms,
        place_body: impl FnOnce(&mut Self),
    ) {
        if let Some(head) = &furniture.head {
            self.place(head, rooms.head, None, Ink::Black);
        }
        place_body(self);
        if let Some(foot) = &furniture.foot {
            self.place(foot, rooms.foot, None, Ink::Black);
        }
    }

    /// The page and what was found on it.
    fn finish(self) -> Composed {
        Composed { page: self.page, findings: self.findings, tag_capitals: self.tag_capitals }
    }

    /// A length of the layout on this page's grid.
    fn length(&self, length: Length) -> Mm {
        length.to_mm(self.frame.grid)
    }

    /// Lengths for the sides on this page's grid.
    fn insets(&self, sides: &Sides) -> Insets {
        Insets {
            top: self.length(sides.top),
            right: self.length(sides.right),
            bottom: self.length(sides.bottom),
            left: self.length(sides.left),
        }
    }

    /// What a block's inset and border take off its room.
    fn padding(&self, bound: &Bound<'_>) -> Insets {
        let mut insets = self.insets(&bound.block.inset);
        if let Some(border) = bound.block.border {
            let border = self.line_width(border);
            insets.top += border;
            insets.right += border;
            insets.bottom += border;
            insets.left += border;
        }
        insets
    }

    /// A line's thickness in whole dots, one at least: a thermal head has no thinner line.
    fn line_width(&self, thickness: Length) -> Mm {
        let grid = self.frame.grid;
        grid.length(grid.dots(self.length(thickness)).round().max(1.0))
    }

    /// Puts a block into its room.
    fn place(&mut self, bound: &Bound<'_>, rect: Rect, parent: Option<BlockId>, ink: Ink) {
        if self.composer.load.is_over() {
            return;
        }
        match bound.block.stance.is_upright() {
            true => self.place_upright(bound, rect, parent, ink),
            false => self.place_turned(bound, rect, parent, ink),
        }
    }

    /// Puts a block into its room as if it were not turned.
    fn place_upright(&mut self, bound: &Bound<'_>, rect: Rect, parent: Option<BlockId>, ink: Ink) {
        let id = self.add_block(bound, rect, parent);
        if let Some(block) = self.page.blocks.last_mut() {
            block.layered = matches!(bound.content, Content::Over(_));
        }
        let ink = self.place_ground(bound, id, rect, ink);
        let place = Place { id, rect: rect.shrunk(self.padding(bound)), ink };
        match &bound.content {
            Content::Stack { direction, gap, children } => {
                self.place_stack(bound, *direction, *gap, children, place);
            }
            Content::Over(children) => self.place_over(children, place),
            Content::Text { text, style, fit } => self.place_text(bound, text, style, *fit, place),
            Content::Address { lines, style, fit } => {
                self.place_address(bound, lines, style, *fit, place);
            }
            Content::Table(table) => self.place_table(bound, table, place),
            Content::Blank { form, label, style } => {
                self.place_blank(bound, *form, label, style, place);
            }
            Content::CutLine(thickness) => self.place_cut_line(*thickness, place),
            Content::FoldLine(thickness) => self.place_fold_line(*thickness, place),
            Content::Tag(text) => self.place_tag(bound, text, place),
            Content::Code128 { text, gs1, caption, caption_text, style, quiet_inside, most } => {
                let written = caption_text.as_deref().unwrap_or(text);
                let bars = BarText { text, gs1: *gs1, caption: *caption, written, style };
                let wish = ModuleWish { quiet_inside: *quiet_inside, most: *most };
                self.place_code128(bound, &bars, wish, place);
            }
            Content::Qr { text, correction, quiet_inside, most } => {
                let wish = ModuleWish { quiet_inside: *quiet_inside, most: *most };
                self.place_qr(bound, text, *correction, wish, place);
            }
            Content::Ean { text, caption, quiet_inside, most } => {
                let wish = ModuleWish { quiet_inside: *quiet_inside, most: *most };
                self.place_ean(bound, text, *caption, wish, place);
            }
            Content::DataMatrix { text, gs1, quiet_inside, most } => {
                let wish = ModuleWish { quiet_inside: *quiet_inside, most: *most };
                self.place_data_matrix(bound, text, *gs1, wish, place);
            }
            Content::Tally { cells, cell } => self.place_tally(bound, cells, *cell, place),
            Content::Rule(thickness) => self.place_rule(*thickness, place),
            Content::Outline(thickness) => self.place_outline(bound, *thickness, place),
            Content::Image { file, fit } => self.place_picture(bound, file, *fit, place),
            Content::PageOf(page) => self.place_page(bound, page, place),
        }
    }

    /// Paints something.
    fn mark(&mut self, block: BlockId, kind: MarkKind) {
        if self.count_mark(block, &kind) {
            self.page.marks.push(Mark { block, kind });
        }
    }

    /// Reports that something about a block is wrong.
    fn find(&mut self, bound: &Bound<'_>, finding: Finding) {
        let finding = finding.at(bound.block.span).block(bound.block.name);
        let finding = match &self.page.subject {
            Some(subject) => finding.subject(subject.clone()),
            None => finding,
        };
        self.findings.push(finding);
    }
}
