//! Bodies that run on over pages: broken between blocks and inside tables, never inside a line.
//!
//! The body is taken apart into pieces that are kept whole: the blocks of nested `down`s, and the
//! head, rows and totals of tables. Pieces are put on pages from the top; a table that goes on
//! gets its head again. A piece higher than an empty page is reported. Every piece is placed
//! exactly once, heads excepted.

use super::table::{Columns, TablePart};
use super::{Job, Place};
use crate::bind::{Bound, BoundTable, Content};
use crate::findings::{Finding, rules};
use crate::geom::{Mm, Rect};
use crate::layout::{BlockInk, Direction, Keep};
use crate::limits::DOCUMENT_PAGES;
use crate::scene::{BlockId, Ink, PlacedBlock};

/// Something that is kept whole.
pub(super) struct FlowPiece<'b, 'l> {
    /// The block it is, or is part of.
    bound: &'b Bound<'l>,
    /// The part of the table, if it is one.
    part: Option<(&'b BoundTable<'l>, Columns, TablePart)>,
    /// Its left edge from that of the body.
    x: Mm,
    /// How wide it may be.
    width: Mm,
    /// Its height, which decides what page it comes on.
    height: Mm,
    /// White above it, unless it is the first on its page.
    gap: Mm,
    /// What the blocks around it are printed in.
    ink: Ink,
}

/// A piece with its place on a page.
pub(super) struct PlacedPiece {
    /// Which piece, by its place among all of the body, from 0.
    index: usize,
    /// Its top edge from that of the body.
    y: Mm,
}

/// The part of a body's width that pieces stand in.
#[derive(Clone, Copy)]
pub(super) struct BodyColumn {
    /// Its left edge from that of the body.
    pub(super) x: Mm,
    /// How wide pieces may be there.
    pub(super) width: Mm,
    /// What is printed there.
    pub(super) ink: Ink,
}

impl<'b, 'l> FlowPiece<'b, 'l> {
    /// The table's head, if the piece is a row or the totals of a table that has one.
    fn head_index(&self, index: usize, pieces: &[FlowPiece<'b, 'l>]) -> Option<usize> {
        let (table, _, part) = self.part.as_ref()?;
        if *part == TablePart::Head {
            return None;
        }
        pieces[..index].iter().rposition(|piece| {
            matches!(&piece.part, Some((other, _, TablePart::Head)) if std::ptr::eq(*other, *table))
        })
    }
}

/// The ink of what lies in a block without a ground that lies in something printed in `around`.
fn ink_of(own: BlockInk, around: Ink) -> Ink {
    match own {
        BlockInk::Colour(colour) => Ink::Colour(colour),
        BlockInk::Usual | BlockInk::Reversed => around,
    }
}

impl Job<'_, '_> {
    /// Cuts a body into what is kept whole: rows of tables, and blocks that are not `down`.
    pub(super) fn take_apart<'b, 'l>(
        &mut self,
        bound: &'b Bound<'l>,
        column: BodyColumn,
        gap: Mm,
        pieces: &mut Vec<FlowPiece<'b, 'l>>,
    ) {
        let block = bound.block;
        let padding = self.padding(bound);
        let framed = block.height.is_some()
            || block.border.is_some()
            || block.ink == BlockInk::Reversed
            || block.ground.is_some()
            || !block.stance.is_upright()
            || block.keep != Keep::Nothing;
        let padded = padding.across().0 + padding.down().0 > 0.0;
        let (x, ink) = (column.x, ink_of(block.ink, column.ink));
        let width = block.width.map_or(column.width, |own| self.length(own));
        match &bound.content {
            Content::Stack { direction: Direction::Down, gap: between, children }
                if !framed && !padded =>
            {
                let between = self.length(*between);
                for (index, child) in children.iter().enumerate() {
                    let gap = if index == 0 { gap } else { between };
                    self.take_apart(child, BodyColumn { x, width, ink }, gap, pieces);
                }
            }
            Content::Table(table) if !framed && !padded => {
                let columns = self.plan_columns(table, width);
                self.check_columns(bound, &columns, width);
                let row_gap = self.length(table.table.row_gap);
                for (index, part) in Self::table_parts(table).into_iter().enumerate() {
                    let height = self.part_height(table, &columns, part);
                    let gap = if index == 0 { gap } else { row_gap };
                    let part = Some((table, columns.clone(), part));
                    pieces.push(FlowPiece { bound, part, x, width, height, gap, ink });
                }
            }
            _ => {
                let height = self.natural_height(bound, width);
                let ink = column.ink;
                pieces.push(FlowPiece { bound, part: None, x, width, height, gap, ink });
            }
        }
    }

    /// Puts pieces on pages of a height.
    pub(super) fn break_pages(
        &mut self,
        pieces: &[FlowPiece<'_, '_>],
        height: Mm,
    ) -> Vec<Vec<PlacedPiece>> {
        let mut pages: Vec<Vec<PlacedPiece>> = vec![Vec::new()];
        let mut y = Mm::ZERO;
        for (index, piece) in pieces.iter().enumerate() {
            let gap = if pages.last().is_some_and(Vec::is_empty) { Mm::ZERO } else { piece.gap };
            // A head or caption alone at the foot of a page would head nothing.
            let needed = gap + piece.height + room_for_next(pieces, index);
            if (y + needed).exceeds(height) && !pages.last().is_some_and(Vec::is_empty) {
                pages.push(Vec::new());
                y = Mm::ZERO;
                if let Some(head) = piece.head_index(index, pieces) {
                    self.put(&mut pages, head, &mut y, Mm::ZERO, pieces);
                }
            }
            let gap = if pages.last().is_some_and(Vec::is_empty) { Mm::ZERO } else { piece.gap };
            if (y + gap + piece.height).exceeds(height) {
                self.report_endless(piece, height);
            }
            self.put(&mut pages, index, &mut y, gap, pieces);
            if pages.len() > DOCUMENT_PAGES {
                let message = format!("this document has more than {DOCUMENT_PAGES} pages");
                let hint = "print fewer rows, or set them smaller";
                self.find(piece.bound, Finding::new(&rules::LAYOUT_LIMIT, message).hint(hint));
                break;
            }
        }
        pages
    }

    /// Puts a piece below what is on the last page.
    fn put(
        &self,
        pages: &mut [Vec<PlacedPiece>],
        index: usize,
        y: &mut Mm,
        gap: Mm,
        pieces: &[FlowPiece<'_, '_>],
    ) {
        *y += gap;
        if let Some(page) = pages.last_mut() {
            page.push(PlacedPiece { index, y: *y });
        }
        *y += pieces[index].height;
    }

    /// Reports a piece that is higher than a page.
    fn report_endless(&mut self, piece: &FlowPiece<'_, '_>, height: Mm) {
        let what = if piece.part.is_some() { "a row of this table" } else { "this block" };
        let message = format!(
            "{what} needs {} in height, a whole page has {height}: {} too many",
            piece.height,
            piece.height - height
        );
        let hint = "make its type smaller or its text shorter; blocks and rows are not broken";
        self.find(piece.bound, Finding::new(&rules::OVERFLOW, message).hint(hint));
    }

    /// Paints the pieces of one page into the room of its body.
    pub(super) fn place_pieces(
        &mut self,
        body: &Bound<'_>,
        pieces: &[FlowPiece<'_, '_>],
        page: &[PlacedPiece],
        room: Rect,
    ) {
        let root = self.add_block(body, room, None);
        for placed in page {
            let piece = &pieces[placed.index];
            let rect = Rect::new(room.x + piece.x, room.y + placed.y, piece.width, piece.height);
            match &piece.part {
                None => self.place(piece.bound, rect, Some(root), piece.ink),
                Some((table, columns, part)) => {
                    let id = self.add_block(piece.bound, rect, Some(root));
                    let place = Place { id, rect, ink: piece.ink };
                    self.place_part(piece.bound, table, columns, *part, place);
                }
            }
        }
    }

    /// Notes a block's place on the page without painting it.
    pub(super) fn add_block(
        &mut self,
        bound: &Bound<'_>,
        rect: Rect,
        parent: Option<BlockId>,
    ) -> BlockId {
        let id = BlockId(u32::try_from(self.page.blocks.len()).unwrap_or(u32::MAX));
        self.page.blocks.push(PlacedBlock {
            name: bound.block.name,
            span: bound.block.span,
            parent,
            rect,
            layered: false,
            letters: 0,
        });
        id
    }
}

/// What a table's head, its last row before totals, or a block that keeps with the next, needs below it
/// so that it is not separated from what it belongs to.
fn room_for_next(pieces: &[FlowPiece<'_, '_>], index: usize) -> Mm {
    let holds = |pair: &[FlowPiece<'_, '_>]| {
        // Totals stay with the row that they end, and with each other.
        let ends = matches!(&pair[1].part, Some((_, _, TablePart::Total(_))));
        ends || match &pair[0].part {
            Some((_, _, part)) => *part == TablePart::Head,
            None => pair[0].bound.block.keep == Keep::Next,
        }
    };
    let held = pieces[index..].windows(2).take_while(|pair| holds(pair));
    held.map(|pair| pair[1].gap + pair[1].height).sum()
}
