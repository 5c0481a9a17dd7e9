//! A finished page into a standalone SVG.
//!
//! In: a [`Page`] and its fonts. Out: one SVG document in millimetres, for the preview and the web.
//! Glyphs are outlines, each defined once, so it looks the same without the fonts; what they say
//! stands in the description. Codes, fills and tallies are drawn in whole modules or dots with
//! crisp edges. Not here: pages together, scripts, styles.

use std::collections::BTreeMap;

use crate::codes::BarRow;
use crate::fonts::{FontBook, FontId};
use crate::geom::{DotGrid, FillRule, Mm, Rect, Segment, Stance};
use crate::images::Raster;
use crate::scene::{
    CodeMark, ForeignMark, Ink, Mark, MarkKind, Outline, Page, SymbolForm, TextRun,
};

use super::cells::{Cells, snap_fill};
use super::dark_boxes::module_runs;
use super::decimal::{push_fixed, to_fixed};
use super::marks::{bars, draw_foreign, guard_cells, place_grid, reduced_cells, tally_runs};
use super::png::encode_picture;

/// Decimals of lengths in millimetres.
const MM_DECIMALS: usize = 4;

/// After so many, a glyph of 1,000 units is out by far less than a dot.
const SCALE_DECIMALS: usize = 9;

/// How a page is drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SvgOptions {
    /// What all names inside begin with, so that several pages can stand in one web page; `page`
    /// by default. Letters, digits, `-` and `_` are kept, others left out.
    pub prefix: String,
}

impl Default for SvgOptions {
    fn default() -> SvgOptions {
        SvgOptions { prefix: "page".to_owned() }
    }
}

/// Draws a page.
#[must_use]
pub fn render_svg(page: &Page, book: &FontBook, options: &SvgOptions) -> String {
    let is_name = |c: &char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
    let prefix = options.prefix.chars().filter(is_name).collect();
    let (glyphs, body) = (BTreeMap::new(), Markup::default());
    let mut painter = SvgPainter { book, grid: page.grid, prefix, glyphs, body };
    for mark in &page.marks {
        painter.paint(&mark.kind);
    }
    let SvgPainter { prefix, glyphs, body, .. } = painter;
    let mut svg = Markup::default();
    let (width, height) = (page.size.width, page.size.height);
    svg.add("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"").mm(width);
    svg.add("mm\" height=\"").mm(height).add("mm\" viewBox=\"0 0 ").mm(width).add(" ").mm(height);
    svg.add("\" role=\"img\" aria-labelledby=\"").add(&prefix).add("-title ").add(&prefix);
    svg.add("-text\">\n<title id=\"").add(&prefix).add("-title\">").text(&page.title);
    svg.add("</title>\n<desc id=\"").add(&prefix).add("-text\">").text(&describe(&page.marks));
    svg.add("</desc>\n");
    if !glyphs.is_empty() {
        svg.add("<defs>\n");
        for ((font, glyph), path) in &glyphs {
            svg.add("<path id=\"").add(&glyph_name(&prefix, *font, *glyph)).add("\" d=\"");
            svg.add(path).add("\"/>\n");
        }
        svg.add("</defs>\n");
    }
    svg.add("<rect width=\"").mm(width).add("\" height=\"").mm(height).add("\" fill=\"#fff\"/>\n");
    svg.add(&body.out).add("</svg>\n");
    svg.out
}

/// What a page says, line by line: its text, and its codes with their kind.
fn describe(marks: &[Mark]) -> String {
    let mut text = String::new();
    let mut line = None;
    for mark in marks {
        match &mark.kind {
            MarkKind::Text(run) => {
                // Runs on one baseline are one line in several fonts.
                let place = Some((mark.block, run.origin.y));
                if line != place && !text.is_empty() {
                    text.push('\n');
                }
                line = place;
                text.push_str(&run.text);
            }
            MarkKind::Code(code) => {
                if !text.is_empty() {
                    text.push('\n');
                }
                line = None;
                text.push_str(code.symbol.kind());
                text.push_str(": ");
                text.push_str(&code.payload);
            }
            MarkKind::Fill(..) | MarkKind::Outline(_) | MarkKind::Tally(_) => {}
            MarkKind::Picture(_) | MarkKind::Foreign(_) => {}
        }
    }
    text
}

/// The name of a glyph's definition.
fn glyph_name(prefix: &str, font: FontId, glyph: u16) -> String {
    format!("{prefix}-{}-{glyph}", font.index())
}

/// SVG in the making.
#[derive(Default)]
struct Markup {
    /// What is written so far.
    out: String,
}

impl Markup {
    /// Appends what is markup already, and so needs no escapes.
    fn add(&mut self, markup: &str) -> &mut Markup {
        self.out.push_str(markup);
        self
    }

    /// Adds a number.
    fn number(&mut self, value: f64, decimals: usize) -> &mut Markup {
        let mut digits = Vec::new();
        push_fixed(&mut digits, to_fixed(value, decimals), decimals);
        self.out.extend(digits.into_iter().map(char::from));
        self
    }

    /// Adds a length in millimetres.
    fn mm(&mut self, length: Mm) -> &mut Markup {
        self.number(length.0, MM_DECIMALS)
    }

    /// Adds text. Control characters, which XML cannot hold, become their pictures.
    fn text(&mut self, text: &str) -> &mut Markup {
        for character in text.chars() {
            match character {
                '&' => self.out.push_str("&amp;"),
                '<' => self.out.push_str("&lt;"),
                '>' => self.out.push_str("&gt;"),
                '\n' => self.out.push('\n'),
                '\0'..' ' => {
                    let picture = char::from_u32(0x2400 + u32::from(character));
                    self.out.extend(picture);
                }
                '\u{FFFE}' | '\u{FFFF}' => self.out.push('\u{FFFD}'),
                _ => self.out.push(character),
            }
        }
        self
    }

    /// Adds the attribute that moves and scales.
    fn transform(&mut self, at: (Mm, Mm), scale: (f64, f64)) -> &mut Markup {
        self.add(" transform=\"translate(").mm(at.0).add(" ").mm(at.1).add(") scale(");
        self.number(scale.0, SCALE_DECIMALS).add(" ").number(scale.1, SCALE_DECIMALS).add(")\"")
    }

    /// Adds the attribute that moves, turns and scales.
    fn turned_transform(&mut self, at: (Mm, Mm), stance: Stance, scale: (f64, f64)) -> &mut Markup {
        if stance.is_upright() {
            return self.transform(at, scale);
        }
        self.add(" transform=\"translate(").mm(at.0).add(" ").mm(at.1).add(") matrix(");
        for value in stance.matrix() {
            self.number(value, 0).add(" ");
        }
        self.add("0 0) scale(").number(scale.0, SCALE_DECIMALS).add(" ");
        self.number(scale.1, SCALE_DECIMALS).add(")\"")
    }

    /// Adds the attribute for white ink or a colour; black is what everything is unless told otherwise.
    fn ink(&mut self, ink: Ink) -> &mut Markup {
        match ink {
            Ink::Black => self,
            Ink::White => self.add(" fill=\"#fff\""),
            Ink::Colour(colour) => {
                let [red, green, blue] = colour.channels();
                self.add(&format!(" fill=\"#{red:02x}{green:02x}{blue:02x}\""))
            }
        }
    }

    /// Adds a box as a closed contour.
    fn cells(&mut self, cells: Cells) -> &mut Markup {
        let Cells { x, y, width, height } = cells;
        self.add(&format!("M{x} {y}h{width}v{height}h{}z", width.saturating_neg()))
    }

    /// Adds an outline's contours.
    fn contours(&mut self, segments: &[Segment], scale: f64, decimals: usize) -> &mut Markup {
        for segment in segments {
            let mut step = |letter: &str, values: &[f64]| {
                self.add(letter);
                for (place, value) in values.iter().enumerate() {
                    self.add(if place > 0 { " " } else { "" }).number(value * scale, decimals);
                }
            };
            match *segment {
                Segment::MoveTo(x, y) => step("M", &[x, y]),
                Segment::LineTo(x, y) => step("L", &[x, y]),
                Segment::QuadTo(cx, cy, x, y) => step("Q", &[cx, cy, x, y]),
                Segment::CubicTo(ax, ay, bx, by, x, y) => step("C", &[ax, ay, bx, by, x, y]),
                Segment::Close => step("Z", &[]),
            }
        }
        self
    }
}

/// A page being drawn.
struct SvgPainter<'a> {
    /// Where the contours of glyphs are.
    book: &'a FontBook,
    /// What codes and boxes are snapped to.
    grid: DotGrid,
    /// What names begin with.
    prefix: String,
    /// The contours of the glyphs used, in units of their fonts, y upwards.
    glyphs: BTreeMap<(FontId, u16), String>,
    /// The marks so far.
    body: Markup,
}

impl SvgPainter<'_> {
    /// Draws a mark.
    fn paint(&mut self, mark: &MarkKind) {
        match mark {
            MarkKind::Text(run) => self.paint_text(run),
            MarkKind::Fill(rect, ink) => {
                let cells = snap_fill(*rect, self.grid);
                self.paint_cells(cells, *ink);
            }
            MarkKind::Outline(outline) => self.paint_outline(outline),
            MarkKind::Code(code) => self.paint_code(code),
            MarkKind::Tally(tally) => self.paint_cells(tally_runs(tally), Ink::Black),
            MarkKind::Picture(picture) => {
                self.paint_picture(&picture.raster, picture.stance, picture.rect);
            }
            MarkKind::Foreign(foreign) => self.paint_foreign(foreign),
        }
    }

    /// Draws boxes of whole dots.
    fn paint_cells(&mut self, cells: impl IntoIterator<Item = Cells>, ink: Ink) {
        let dot = self.grid.length(1.0).0;
        self.begin_crisp((Mm::ZERO, Mm::ZERO), (dot, dot), ink);
        for cells in cells {
            self.body.cells(cells);
        }
        self.body.add("\"/>\n");
    }

    /// Begins a path with crisp edges, up to its contours.
    fn begin_crisp(&mut self, at: (Mm, Mm), scale: (f64, f64), ink: Ink) {
        self.body.add("<path shape-rendering=\"crispEdges\"").ink(ink).transform(at, scale);
        self.body.add(" d=\"");
    }

    /// Draws a code in whole modules.
    fn paint_code(&mut self, code: &CodeMark) {
        let guards = guard_cells(code);
        if !guards.is_empty() {
            self.paint_cells(guards, Ink::Black);
        }
        if let Some(cells) = reduced_cells(code) {
            return self.paint_cells(cells, Ink::Black);
        }
        let rect = code.dots.to_rect(self.grid);
        let module = self.grid.length(f64::from(code.module_dots)).0;
        let scale = match (code.symbol.shape(), code.stance.is_lying()) {
            (SymbolForm::Bars(_), false) => (module, rect.height.0),
            (SymbolForm::Bars(_), true) => (rect.width.0, module),
            (SymbolForm::Square(_), _) => (module, module),
        };
        self.begin_crisp((rect.x, rect.y), scale, Ink::Black);
        match code.symbol.shape() {
            SymbolForm::Bars(row) => self.add_bars(row, code.stance),
            SymbolForm::Square(grid) => {
                for run in module_runs(&place_grid(grid, code.stance)) {
                    self.body.cells(run);
                }
            }
        }
        self.body.add("\"/>\n");
    }

    /// Adds a row of bars, in modules along it and as 1 across it.
    fn add_bars(&mut self, row: &BarRow, stance: Stance) {
        for (start, modules) in bars(row, stance) {
            self.body.cells(match stance.is_lying() {
                false => Cells { x: start, y: 0, width: modules, height: 1 },
                true => Cells { x: 0, y: start, width: 1, height: modules },
            });
        }
    }

    /// Draws text, in the units of its font.
    fn paint_text(&mut self, run: &TextRun) {
        let units = f64::from(self.book.metrics(run.font).units_per_em.max(1));
        let scale = run.size.0 / units;
        let at = (run.origin.x, run.origin.y);
        self.body.add("<g").ink(run.ink).turned_transform(at, run.stance, (scale, -scale));
        self.body.add(">");
        let mut pen = 0.0;
        for glyph in &run.glyphs {
            let (x, y) = ((pen + glyph.dx_em) * units, glyph.dy_em * units);
            pen += glyph.advance_em;
            if self.define_glyph(run.font, glyph.id, units) {
                let name = glyph_name(&self.prefix, run.font, glyph.id);
                self.body.add("<use href=\"#").add(&name).add("\" x=\"").number(x, 1);
                if y != 0.0 {
                    self.body.add("\" y=\"").number(y, 1);
                }
                self.body.add("\"/>");
            }
        }
        self.body.add("</g>\n");
    }

    /// Makes sure that a glyph is defined, and tells whether it has anything to show.
    fn define_glyph(&mut self, font: FontId, glyph: u16, units: f64) -> bool {
        if self.glyphs.contains_key(&(font, glyph)) {
            return true;
        }
        // What the font cannot draw prints nothing anywhere: shaping hands out no glyph that a face
        // lacks.
        let segments = self.book.outline(font, glyph).unwrap_or_default();
        if segments.is_empty() {
            return false;
        }
        let mut path = Markup::default();
        path.contours(&segments, units, 1);
        self.glyphs.insert((font, glyph), path.out);
        true
    }

    /// Draws vector art.
    fn paint_outline(&mut self, outline: &Outline) {
        let at = (outline.offset.x, outline.offset.y);
        self.body.add("<path").ink(outline.ink);
        if outline.rule == FillRule::EvenOdd {
            self.body.add(" fill-rule=\"evenodd\"");
        }
        let scale = (outline.scale, outline.scale);
        self.body.turned_transform(at, outline.stance, scale).add(" d=\"");
        self.body.contours(&outline.segments, 1.0, 5).add("\"/>\n");
    }

    /// Draws a page of another PDF as the dots it prints.
    fn paint_foreign(&mut self, foreign: &ForeignMark) {
        let drawing = draw_foreign(foreign, self.grid);
        let rect = drawing.cells.to_rect(self.grid);
        self.paint_picture(&Raster::Bits(drawing.bits), Stance::UPRIGHT, rect);
    }

    /// Draws a picture. One without pixels has nothing to draw.
    fn paint_picture(&mut self, raster: &Raster, stance: Stance, rect: Rect) {
        let Ok(file) = encode_picture(raster) else { return };
        let turned = !stance.is_upright();
        let page = rect;
        let mut rect = rect;
        if turned {
            let (width, height) = (page.width, page.height);
            let size = if stance.is_lying() { [height, width] } else { [width, height] };
            // The corner that its first pixel comes to stand in.
            let corner = stance.place_box([Mm::ZERO; 4], size);
            let at = (page.x + corner[0], page.y + corner[1]);
            self.body.add("<g").turned_transform(at, stance, (1.0, 1.0)).add(">");
            rect = Rect::new(Mm::ZERO, Mm::ZERO, size[0], size[1]);
        }
        self.body.add("<image x=\"").mm(rect.x).add("\" y=\"").mm(rect.y);
        self.body.add("\" width=\"").mm(rect.width).add("\" height=\"").mm(rect.height);
        self.body.add("\" preserveAspectRatio=\"none\" image-rendering=\"pixelated\"");
        self.body.add(" href=\"data:image/png;base64,").add(&to_base64(&file)).add("\"/>");
        self.body.add(if turned { "</g>\n" } else { "\n" });
    }
}

/// Bytes as text (RFC 4648 §4).
fn to_base64(data: &[u8]) -> String {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(data.len().div_ceil(3) * 4);
    for group in data.chunks(3) {
        let byte = |at: usize| u32::from(group.get(at).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for digit in 0..4 {
            let value = (bits >> (18 - 6 * digit) & 63) as usize;
            text.push(if digit <= group.len() { char::from(DIGITS[value]) } else { '=' });
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_vectors_of_rfc_4648() {
        let cases = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (data, text) in cases {
            assert_eq!(to_base64(data.as_bytes()), text);
        }
    }

    #[test]
    fn text_is_safe_for_xml() {
        let mut markup = Markup::default();
        markup.text("a<b>&\u{1D}\u{0}\tc");
        assert_eq!(markup.out, "a&lt;b&gt;&amp;\u{241D}\u{2400}\u{2409}c");
    }
}
