//! Our pages drawn through general PDF crates.
//!
//! In: pages of a scene. Out: PDF files. What the label page has is drawn and nothing more: text
//! from left to right in black, boxes, codes and tallies.

use std::io::Write;

use krilla::Document;
use krilla::geom::{PathBuilder, Point, Rect};
use krilla::page::PageSettings;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use printpdf::{
    FontId, Mm, Op, PaintMode, ParsedFont, PdfDocument, PdfFontHandle, PdfPage, PdfSaveOptions, Pt,
    TextItem,
};
use slipwright::export::list_modules;
use slipwright::scene::{MarkKind, TextRun};
use slipwright::{DotGrid, FontBook, Page};

/// A box in points from the page's top left corner.
struct Box {
    /// The left edge.
    x: f64,
    /// The upper edge.
    y: f64,
    /// Extent to the right.
    width: f64,
    /// Extent downwards.
    height: f64,
}

/// The boxes of a mark that is no text: one for a rule, one for each run of a code's modules.
fn list_boxes(kind: &MarkKind, grid: DotGrid) -> Vec<Box> {
    let dots = |x: u32, y: u32, width: u32, height: u32| {
        let points = |count: u32| grid.length(f64::from(count)).to_pt();
        Box { x: points(x), y: points(y), width: points(width), height: points(height) }
    };
    match kind {
        MarkKind::Fill(rect, _) => vec![Box {
            x: rect.x.to_pt(),
            y: rect.y.to_pt(),
            width: rect.width.to_pt(),
            height: rect.height.to_pt(),
        }],
        MarkKind::Code(code) => {
            let rows = list_modules(code);
            let height = code.dots.height / rows.len() as u32;
            let boxes = rows.iter().zip(0..).flat_map(|(row, at)| {
                list_runs(row).into_iter().map(move |(start, length)| {
                    let x = code.dots.x + start * code.module_dots;
                    let y = code.dots.y + at * height;
                    dots(x, y, length * code.module_dots, height)
                })
            });
            boxes.collect()
        }
        MarkKind::Tally(tally) => {
            let runs = list_runs(&tally.cells).into_iter().map(|(start, length)| {
                let x = tally.dots.x + start * tally.cell_dots;
                dots(x, tally.dots.y, length * tally.cell_dots, tally.dots.height)
            });
            runs.collect()
        }
        MarkKind::Text(_) | MarkKind::Outline(_) | MarkKind::Picture(_) | MarkKind::Foreign(_) => {
            Vec::new()
        }
    }
}

/// The runs of true cells, each with its first index and its length.
fn list_runs(cells: &[bool]) -> Vec<(u32, u32)> {
    let mut runs = Vec::new();
    let mut at = 0;
    for same in cells.chunk_by(|a, b| a == b) {
        if same[0] {
            runs.push((at, same.len() as u32));
        }
        at += same.len() as u32;
    }
    runs
}

/// A document of krilla.
pub(crate) struct KrillaFile {
    /// The document so far.
    document: Document,
    /// The book's fonts in order.
    fonts: Vec<Font>,
}

impl KrillaFile {
    /// An empty document.
    pub(crate) fn new(book: &FontBook) -> KrillaFile {
        let open = |font| Font::new(book.data(font).to_vec().into(), book.collection_index(font));
        let fonts = book.fonts().map(|font| open(font).expect("krilla reads our fonts"));
        KrillaFile { document: Document::new(), fonts: fonts.collect() }
    }

    /// Draws a page.
    pub(crate) fn add(&mut self, page: &Page) {
        let size = (page.size.width.to_pt() as f32, page.size.height.to_pt() as f32);
        let settings = PageSettings::from_wh(size.0, size.1).expect("the page has a size");
        let mut sheet = self.document.start_page_with(settings);
        let mut surface = sheet.surface();
        for mark in &page.marks {
            if let MarkKind::Text(run) = &mark.kind {
                let start =
                    Point::from_xy(run.origin.x.to_pt() as f32, run.origin.y.to_pt() as f32);
                let font = self.fonts[run.font.index()].clone();
                let size = run.size.to_pt() as f32;
                surface.draw_glyphs(start, &list_glyphs(run), font, &run.text, size, false);
                continue;
            }
            let mut path = PathBuilder::new();
            for Box { x, y, width, height } in list_boxes(&mark.kind, page.grid) {
                let corner = ((x + width) as f32, (y + height) as f32);
                let rect = Rect::from_ltrb(x as f32, y as f32, corner.0, corner.1);
                path.push_rect(rect.expect("boxes have an area"));
            }
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
        }
        surface.finish();
        sheet.finish();
    }

    /// The finished file.
    pub(crate) fn finish(self) -> Vec<u8> {
        self.document.finish().expect("krilla writes it")
    }
}

/// The glyphs of a run as krilla takes them.
fn list_glyphs(run: &TextRun) -> Vec<KrillaGlyph> {
    let end = |index: usize| {
        let cluster = run.glyphs[index].cluster;
        let after = run.glyphs[index..].iter().find(|glyph| glyph.cluster != cluster);
        after.map_or(run.text.len(), |glyph| glyph.cluster as usize)
    };
    let glyphs = run.glyphs.iter().enumerate().map(|(index, glyph)| KrillaGlyph {
        glyph_id: GlyphId::new(u32::from(glyph.id)),
        text_range: glyph.cluster as usize..end(index),
        x_advance: glyph.advance_em as f32,
        x_offset: glyph.dx_em as f32,
        y_offset: glyph.dy_em as f32,
        y_advance: 0.0,
        location: None,
    });
    glyphs.collect()
}

/// A document of printpdf.
pub(crate) struct PrintpdfFile {
    /// The document.
    document: PdfDocument,
    /// Its pages so far.
    pages: Vec<PdfPage>,
    /// The book's fonts in order.
    fonts: Vec<FontId>,
}

impl PrintpdfFile {
    /// An empty document.
    pub(crate) fn new(book: &FontBook) -> PrintpdfFile {
        let mut document = PdfDocument::new("labels");
        let fonts = book.fonts().map(|font| {
            let index = book.collection_index(font) as usize;
            let parsed = ParsedFont::from_bytes(book.data(font), index, &mut Vec::new());
            document.add_font(&parsed.expect("printpdf reads our fonts"))
        });
        let fonts = fonts.collect();
        PrintpdfFile { document, pages: Vec::new(), fonts }
    }

    /// Draws a page.
    pub(crate) fn add(&mut self, page: &Page) {
        let top = page.size.height.to_pt();
        let mut ops = Vec::new();
        for mark in &page.marks {
            if let MarkKind::Text(run) = &mark.kind {
                let at = (run.origin.x.to_pt() as f32, (top - run.origin.y.to_pt()) as f32);
                let font = PdfFontHandle::External(self.fonts[run.font.index()].clone());
                ops.extend([
                    Op::StartTextSection,
                    Op::SetFont { font, size: Pt(run.size.to_pt() as f32) },
                    Op::SetTextCursor { pos: printpdf::Point { x: Pt(at.0), y: Pt(at.1) } },
                    Op::ShowText { items: vec![TextItem::Text(run.text.clone())] },
                    Op::EndTextSection,
                ]);
                continue;
            }
            for Box { x, y, width, height } in list_boxes(&mark.kind, page.grid) {
                let rectangle = printpdf::Rect {
                    x: Pt(x as f32),
                    y: Pt((top - y - height) as f32),
                    width: Pt(width as f32),
                    height: Pt(height as f32),
                    mode: Some(PaintMode::Fill),
                    winding_order: None,
                };
                ops.push(Op::DrawRectangle { rectangle });
            }
        }
        let (width, height) = (page.size.width.0 as f32, page.size.height.0 as f32);
        self.pages.push(PdfPage::new(Mm(width), Mm(height), ops));
    }

    /// Writes the finished file.
    pub(crate) fn finish(mut self, out: &mut impl Write) {
        self.document.with_pages(self.pages);
        self.document.save_writer(out, &PdfSaveOptions::default(), &mut Vec::new());
    }
}
