//! A page at its printer's dots.
//!
//! In: a [`Page`] and its fonts. Out: a [`Bitmap`]. Fills, codes and tallies are exact: they are
//! whole dots in the scene already. Glyphs and vector art get the dots whose centres they cover.
//! A picture's dots take the nearest pixel, black from half grey on; whoever wants better dithers
//! before. A page that is no whole number of dots high (152.4 mm are 1219.2 dots) has the whole
//! dots that fit, counted from the top left, and nothing is drawn on the rest: a head prints no
//! part of a dot.

use crate::colour::Rgb;
use crate::fonts::FontBook;
use crate::geom::{DotGrid, FillRule, Stance};
use crate::images::Raster;
use crate::scene::{
    CodeMark, ForeignMark, Ink, MarkKind, Outline, Page, PictureMark, SymbolForm, TextRun,
};

use super::super::cells::{Cells, snap_fill};
use super::super::dark_boxes::module_runs;
use super::super::marks::{bars, draw_foreign, guard_cells, place_grid, reduced_cells, tally_runs};
use super::bitmap::Bitmap;
use super::canvas::{ColourDots, DotCanvas};
use super::scan::{Scanner, first_centre};

/// Draws a page at the dots of its grid.
#[must_use]
pub fn rasterise(page: &Page, book: &FontBook) -> Bitmap {
    let grid = page.grid;
    let size = page.size;
    paint_page(
        page,
        book,
        Bitmap::new(grid.whole_dots_within(size.width), grid.whole_dots_within(size.height)),
    )
}

/// Draws a page at the dots of its grid in its colours.
pub(super) fn rasterise_colour(page: &Page, book: &FontBook) -> ColourDots {
    let Page { grid, size, .. } = page;
    let (across, down) = (grid.whole_dots_within(size.width), grid.whole_dots_within(size.height));
    paint_page(page, book, ColourDots::new(across, down))
}

/// Puts the marks of a page on a white one.
fn paint_page<C: DotCanvas>(page: &Page, book: &FontBook, canvas: C) -> C {
    let (grid, scanner) = (page.grid, Scanner::new(canvas.down()));
    let mut painter = DotPainter { book, grid, canvas, scanner };
    for mark in &page.marks {
        painter.paint(&mark.kind);
    }
    painter.canvas
}

/// A page being drawn.
struct DotPainter<'a, C> {
    /// Where the contours of glyphs are.
    book: &'a FontBook,
    /// What places become dots by.
    grid: DotGrid,
    /// The dots so far.
    canvas: C,
    /// Turns outlines into dots.
    scanner: Scanner,
}

impl<C: DotCanvas> DotPainter<'_, C> {
    /// Draws a mark.
    fn paint(&mut self, mark: &MarkKind) {
        match mark {
            MarkKind::Text(run) => self.paint_text(run),
            MarkKind::Fill(rect, ink) => {
                if let Some(cells) = snap_fill(*rect, self.grid) {
                    self.fill(cells, *ink);
                }
            }
            MarkKind::Outline(outline) => self.paint_outline(outline),
            MarkKind::Code(code) => self.paint_code(code),
            MarkKind::Tally(tally) => tally_runs(tally).for_each(|run| self.fill(run, Ink::Black)),
            MarkKind::Picture(picture) => self.paint_picture(picture),
            MarkKind::Foreign(foreign) => self.paint_foreign(foreign),
        }
    }

    /// Fills a box of dots.
    fn fill(&mut self, cells: Cells, ink: Ink) {
        let rows = i32::try_from(self.canvas.down()).unwrap_or(i32::MAX);
        let bottom = cells.y.saturating_add(cells.height).min(rows);
        for y in cells.y.max(0)..bottom {
            let right = cells.x.saturating_add(cells.width);
            self.canvas.ink_run(y, cells.x, right, ink);
        }
    }

    /// Draws what the scanner holds.
    fn fill_scanned(&mut self, rule: FillRule, ink: Ink) {
        let canvas = &mut self.canvas;
        self.scanner.fill(rule, |y, from, to| canvas.ink_run(y, from, to, ink));
    }

    /// Draws glyphs.
    fn paint_text(&mut self, run: &TextRun) {
        let em = self.grid.dots(run.size);
        let (x, y) = (self.grid.dots(run.origin.x), self.grid.dots(run.origin.y));
        let [a, b, c, d] = run.stance.matrix();
        let mut pen = 0.0;
        for glyph in &run.glyphs {
            let (left, up) = (pen + glyph.dx_em, glyph.dy_em);
            pen += glyph.advance_em;
            // A glyph that the font cannot draw prints nothing, in SVG as here.
            let segments = self.book.outline(run.font, glyph.id).unwrap_or_default();
            self.scanner.add(&segments, |gx, gy| {
                let (right, down) = ((left + gx) * em, -(up + gy) * em);
                (x + a * right + c * down, y + b * right + d * down)
            });
            self.fill_scanned(FillRule::NonZero, run.ink);
        }
    }

    /// Draws vector art.
    fn paint_outline(&mut self, outline: &Outline) {
        let scale = outline.scale * self.grid.per_mm();
        let offset = (self.grid.dots(outline.offset.x), self.grid.dots(outline.offset.y));
        let [a, b, c, d] = outline.stance.matrix();
        self.scanner.add(&outline.segments, |x, y| {
            let (x, y) = (x * scale, y * scale);
            (offset.0 + a * x + c * y, offset.1 + b * x + d * y)
        });
        self.fill_scanned(outline.rule, outline.ink);
    }

    /// Draws a code.
    fn paint_code(&mut self, code: &CodeMark) {
        for cells in guard_cells(code) {
            self.fill(cells, Ink::Black);
        }
        if let Some(cells) = reduced_cells(code) {
            return cells.into_iter().for_each(|cells| self.fill(cells, Ink::Black));
        }
        let dots = Cells::from(code.dots);
        let module =
            Cells::from(crate::scene::DotRect { width: code.module_dots, ..code.dots }).width;
        let along =
            |from: i32, modules: i32| (from.saturating_mul(module), modules.saturating_mul(module));
        match code.symbol.shape() {
            SymbolForm::Bars(row) => {
                for (start, width) in bars(row, code.stance) {
                    let (start, width) = along(start, width);
                    let bar = match code.stance.is_lying() {
                        false => Cells { x: dots.x.saturating_add(start), width, ..dots },
                        true => Cells { y: dots.y.saturating_add(start), height: width, ..dots },
                    };
                    self.fill(bar, Ink::Black);
                }
            }
            SymbolForm::Square(grid) => {
                for run in module_runs(&place_grid(grid, code.stance)) {
                    let (x, width) = along(run.x, run.width);
                    let (y, height) = along(run.y, run.height);
                    let (x, y) = (dots.x.saturating_add(x), dots.y.saturating_add(y));
                    self.fill(Cells { x, y, width, height }, Ink::Black);
                }
            }
        }
    }

    /// Draws a page of another PDF. White of it lets what is under it through, as in a PDF.
    fn paint_foreign(&mut self, foreign: &ForeignMark) {
        let drawing = draw_foreign(foreign, self.grid);
        let (left, top) = (drawing.cells.x, drawing.cells.y);
        for y in 0..drawing.bits.height {
            for x in 0..drawing.bits.width {
                if drawing.bits.get(x, y) {
                    let (column, row) = (left + x as i32, top + y as i32);
                    self.fill(Cells { x: column, y: row, width: 1, height: 1 }, Ink::Black);
                }
            }
        }
    }

    /// Draws a picture, white pixels as well as black ones.
    fn paint_picture(&mut self, picture: &PictureMark) {
        let (x, y) = (self.grid.dots(picture.rect.x), self.grid.dots(picture.rect.y));
        let (width, height) =
            (self.grid.dots(picture.rect.width), self.grid.dots(picture.rect.height));
        if !(width > 0.0 && height > 0.0) {
            return;
        }
        let [across, down] = size_of(&picture.raster, picture.stance);
        let columns =
            first_centre(x).max(0)..first_centre(x + width).min(self.canvas.across() as i32);
        let rows = first_centre(y).max(0)..first_centre(y + height).min(self.canvas.down() as i32);
        let pixel = |dot: i32, start: f64, extent: f64, pixels: u32| {
            let at = (f64::from(dot) + 0.5 - start) / extent * f64::from(pixels);
            (at.max(0.0) as u32).min(pixels.saturating_sub(1))
        };
        for row in rows {
            let py = pixel(row, y, height, down);
            for column in columns.clone() {
                let px = pixel(column, x, width, across);
                let ink = pixel_ink(picture, px, py);
                self.canvas.ink_run(row, column, column + 1, ink);
            }
        }
    }
}

/// Pixels across and down as a picture stands on its page.
fn size_of(raster: &Raster, stance: Stance) -> [u32; 2] {
    let size = match raster {
        Raster::Gray(image) => [image.width, image.height],
        Raster::Colour(image) => [image.width, image.height],
        Raster::Bits(image) => [image.width, image.height],
    };
    if stance.is_lying() { [size[1], size[0]] } else { size }
}

/// The ink of a pixel, counted as the picture stands on its page; one that is missing is white.
fn pixel_ink(picture: &PictureMark, x: u32, y: u32) -> Ink {
    let [width, height] = size_of(&picture.raster, picture.stance);
    if x >= width || y >= height {
        return Ink::White;
    }
    let [x, y, ..] = picture.stance.undone().place_box([x, y, 1, 1], [width, height]);
    let place = |across: u32| y as usize * across as usize + x as usize;
    match &*picture.raster {
        Raster::Gray(image) => match image.pixels.get(place(image.width)) {
            Some(&grey) => Ink::Colour(Rgb::grey(grey)),
            None => Ink::White,
        },
        Raster::Colour(image) => {
            let at = place(image.width) * 3;
            match image.pixels.get(at..at + 3) {
                Some(&[red, green, blue]) => Ink::Colour(Rgb { red, green, blue }),
                _ => Ink::White,
            }
        }
        Raster::Bits(image) if image.get(x, y) => Ink::Black,
        Raster::Bits(_) => Ink::White,
    }
}
