//! One page as a content stream: the half of the writer that runs on all cores.
//!
//! In: a [`Page`]. Out: an [`EncodedPage`] that the [`PdfWriter`](super::PdfWriter) only has to
//! number and write. Encoding depends on the page, the fonts and the options and on nothing that
//! went before, so the same page gives the same bytes on any thread.

use std::cell::Cell;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use crate::fonts::{FontBook, FontId};
use crate::geom::Size;
use crate::images::ImportedPage;
use crate::scene::{ForeignMark, Ink, MarkKind, Outline, Page, PictureMark, TextRun};

use super::super::cells::snap_fill;
use super::super::marks::has_colour;
use super::PdfOptions;
use super::art::{Art, ArtCache, find_bounds, outline_decimals};
use super::code::{paint_code, paint_tally};
use super::content::ContentStream;
use super::deflate::deflate;
use super::digest::Digest;
use super::face::FaceTable;
use super::frame::{Frame, StreamBox};
use super::glyphs::GlyphSet;
use super::profile::PageColours;
use super::tags::{TagElement, Tagger, find_first_piece};
use super::text::{note_words, paint_text};

thread_local! {
    /// Room for this thread's streams before they are compressed, kept because it is used for
    /// every page.
    static ROOM: Cell<Vec<u8>> = const { Cell::new(Vec::new()) };
}

/// A page ready to be written.
#[derive(Debug)]
pub struct EncodedPage {
    /// The paper's size.
    pub(super) size: Size,
    /// What the outline calls it.
    pub(super) title: String,
    /// The language of its words, if somebody says it.
    pub(super) language: Option<Arc<str>>,
    /// Its content stream, compressed where the options say so.
    pub(super) content: Vec<u8>,
    /// What it says, in reading order.
    pub(super) elements: Vec<TagElement>,
    /// The number of the first piece of its content.
    pub(super) first_piece: u32,
    /// The glyphs it shows, in ascending order.
    pub(super) glyphs: Vec<(FontId, u16)>,
    /// What those of its glyphs say that have no character of their own.
    pub(super) words: BTreeMap<(FontId, u16), String>,
    /// Its pictures; it knows them by their place here.
    pub(super) art: Vec<Arc<Art>>,
    /// The pages of other PDFs on it; it knows them by their place here.
    pub(super) foreign: Vec<Arc<ImportedPage>>,
    /// What it is painted in.
    pub(super) colours: PageColours,
    /// The hash of all this but the pages of other PDFs.
    pub(super) digest: u128,
}

/// Turns pages into content streams; threads may share it.
pub struct PdfEncoder {
    /// The fonts that pages name.
    book: FontBook,
    /// Whether streams are compressed.
    compress: bool,
    /// Whether pages say what they hold.
    tagged: bool,
    /// What is known of each face of the book, read when first needed.
    faces: Vec<OnceLock<FaceTable>>,
    /// Pictures encoded before.
    art: ArtCache,
}

impl PdfEncoder {
    /// An encoder of pages set in these fonts.
    #[must_use]
    pub fn new(book: &FontBook, options: &PdfOptions) -> PdfEncoder {
        let faces = book.fonts().map(|_| OnceLock::new()).collect();
        let (book, art) = (book.clone(), ArtCache::default());
        let (compress, tagged) = (options.compress, options.tagged);
        PdfEncoder { book, compress, tagged, faces, art }
    }

    /// A page as a content stream with what it needs, on whatever thread;
    /// [`PdfWriter`](super::PdfWriter) puts it in order.
    #[must_use]
    pub fn encode_page(&self, page: &Page) -> EncodedPage {
        let frame = Frame::new(page.size, page.grid);
        let mut content = ContentStream::new(&frame, !self.compress, ROOM.take());
        if page.marks.iter().any(|mark| matches!(mark.kind, MarkKind::Foreign(_))) {
            content.save_fresh();
        }
        let used = Used::default();
        let mut painter = PdfPainter { encoder: self, frame, content, used };
        let first_piece = find_first_piece(page);
        let elements = match self.tagged {
            true => painter.paint_tagged(page, first_piece),
            false => painter.paint_plain(page),
        };
        let PdfPainter { content, used, .. } = painter;
        let content = content.finish();
        let content = if self.compress {
            let packed = deflate(&content);
            ROOM.set(content);
            packed
        } else {
            content
        };
        let mut digest = Digest::new();
        digest.add(page.title.as_bytes());
        digest.add_word(page.size.width.0.to_bits());
        digest.add_word(page.size.height.0.to_bits());
        digest.add(&content);
        used.art.iter().for_each(|art| digest.add(&art.digest.to_le_bytes()));
        EncodedPage {
            size: page.size,
            title: page.title.clone(),
            language: page.language.clone(),
            content,
            elements,
            first_piece,
            glyphs: list_glyphs(&used.glyphs),
            words: used.words,
            art: used.art,
            foreign: used.foreign,
            colours: if has_colour(page) { PageColours::Srgb } else { PageColours::Grey },
            digest: digest.finish(),
        }
    }

    /// What is known of a face.
    fn face(&self, font: FontId) -> &FaceTable {
        self.faces[font.index()].get_or_init(|| FaceTable::read(&self.book, font))
    }
}

/// What a page needs beside its content.
#[derive(Default)]
struct Used {
    /// The glyphs it shows, by font.
    glyphs: BTreeMap<FontId, GlyphSet>,
    /// What glyphs without a character of their own say.
    words: BTreeMap<(FontId, u16), String>,
    /// Its pictures.
    art: Vec<Arc<Art>>,
    /// The pages of other PDFs on it.
    foreign: Vec<Arc<ImportedPage>>,
}

/// A page being painted.
struct PdfPainter<'a> {
    /// What does not change from page to page.
    encoder: &'a PdfEncoder,
    /// The page's coordinate system.
    frame: Frame,
    /// The stream so far.
    content: ContentStream,
    /// What the stream needs.
    used: Used,
}

/// How a line of text ends for who reads it aloud or copies it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum TextEnd {
    /// The next line goes on with it, and a space parts the two.
    ReadsOn,
    /// Here.
    Ends,
}

impl PdfPainter<'_> {
    /// Paints the marks of a page and says what they are.
    fn paint_tagged(&mut self, page: &Page, first_piece: u32) -> Vec<TagElement> {
        self.content.start_pieces(first_piece);
        let mut tagger = Tagger::new(page, first_piece);
        for (place, mark) in page.marks.iter().enumerate() {
            let text_end = match tagger.reach(place, mark, &mut self.content) {
                true => TextEnd::ReadsOn,
                false => TextEnd::Ends,
            };
            self.paint(&mark.kind, text_end);
        }
        tagger.finish(&mut self.content)
    }

    /// Paints the marks of a page and says nothing.
    fn paint_plain(&mut self, page: &Page) -> Vec<TagElement> {
        for mark in &page.marks {
            if matches!(mark.kind, MarkKind::Foreign(_)) {
                self.content.restore_fresh();
            }
            self.paint(&mark.kind, TextEnd::Ends);
        }
        Vec::new()
    }

    /// Appends the operators that paint a mark.
    fn paint(&mut self, mark: &MarkKind, text_end: TextEnd) {
        match mark {
            MarkKind::Text(run) => self.paint_run(run, text_end),
            MarkKind::Fill(rect, ink) => {
                if let Some(dots) = snap_fill(*rect, self.frame.grid) {
                    self.content.fill_box(self.frame.fill(dots), *ink);
                }
            }
            MarkKind::Outline(outline) => self.paint_outline(outline),
            MarkKind::Code(code) => paint_code(&mut self.content, code, &self.frame),
            MarkKind::Tally(tally) => paint_tally(&mut self.content, tally, &self.frame),
            MarkKind::Picture(picture) => self.paint_picture(picture),
            MarkKind::Foreign(foreign) => self.paint_foreign(foreign),
        }
    }

    /// Paints text and notes its glyphs.
    fn paint_run(&mut self, run: &TextRun, text_end: TextEnd) {
        let face = self.encoder.face(run.font);
        let space = face.space().filter(|_| text_end == TextEnd::ReadsOn && !run.glyphs.is_empty());
        paint_text(&mut self.content, run, face, &self.frame, space);
        let glyphs = self.used.glyphs.entry(run.font).or_default();
        space.into_iter().for_each(|glyph| glyphs.insert(glyph));
        run.glyphs.iter().for_each(|glyph| glyphs.insert(glyph.id));
        note_words(run, face, |glyph, text| {
            self.used.words.entry((run.font, glyph)).or_insert_with(|| text.to_owned());
        });
    }

    /// Paints vector art: a small one in place, a large one by name.
    fn paint_outline(&mut self, outline: &Outline) {
        let (grid, offset) = (self.frame.grid, outline.offset);
        let scale = outline.scale * grid.per_mm();
        let origin = (self.frame.x(offset.x), self.frame.y(offset.y));
        let art = self.encoder.art.get_outline(outline, self.encoder.compress);
        self.content.begin_turned((scale, -scale), outline.stance, origin, outline.ink);
        match art {
            Some(art) => self.show(art),
            None => {
                let decimals = outline_decimals(find_bounds(&outline.segments));
                self.content.fill_outline(&outline.segments, outline.rule, decimals);
            }
        }
        self.content.end_scaled();
    }

    /// Paints a picture by the name of its art.
    fn paint_picture(&mut self, picture: &PictureMark) {
        let art = self.encoder.art.get_picture(&picture.raster, self.encoder.compress);
        let block = self.frame.picture(picture.rect);
        let StreamBox { x, y, width, height } = block;
        match picture.stance.is_upright() {
            true => self.content.begin_scaled((width, height), (x, y), Ink::Black),
            false => {
                let size =
                    if picture.stance.is_lying() { [height, width] } else { [width, height] };
                // The corner that its lower left one comes to stand in, counted from the top.
                let [left, down, ..] = picture.stance.place_box([0.0, size[1], 0.0, 0.0], size);
                let corner = (x + left, y + height - down);
                let scale = (size[0], size[1]);
                self.content.begin_turned(scale, picture.stance, corner, Ink::Black);
            }
        }
        self.show(art);
        self.content.end_scaled();
    }

    /// Paints a page of another PDF by name, clipped to its box.
    fn paint_foreign(&mut self, foreign: &ForeignMark) {
        let (rect, frame) = (foreign.rect, &self.frame);
        let (width, height) = (frame.grid.dots(rect.width), frame.grid.dots(rect.height));
        if !(width > 0.0 && height > 0.0) {
            return;
        }
        let (x, y) = (frame.x(rect.x), frame.y(rect.bottom()));
        let matrix = foreign.page.cut_placement(&foreign.cut, [x, y, width, height]);
        let known = self.used.foreign.iter().position(|other| Arc::ptr_eq(other, &foreign.page));
        let place = known.unwrap_or_else(|| {
            self.used.foreign.push(Arc::clone(&foreign.page));
            self.used.foreign.len() - 1
        });
        self.content.begin_clipped(StreamBox { x, y, width, height }, matrix);
        self.content.raw(format!("/P{place} Do\n").as_bytes());
        self.content.end_scaled();
    }

    /// Names art in the content.
    fn show(&mut self, art: Arc<Art>) {
        let known = self.used.art.iter().position(|other| other.digest == art.digest);
        let place = known.unwrap_or_else(|| {
            self.used.art.push(art);
            self.used.art.len() - 1
        });
        self.content.raw(format!("/X{place} Do\n").as_bytes());
    }
}

/// All glyphs of some fonts in ascending order.
fn list_glyphs(glyphs: &BTreeMap<FontId, GlyphSet>) -> Vec<(FontId, u16)> {
    glyphs.iter().flat_map(|(font, set)| set.iter().map(|glyph| (*font, glyph))).collect()
}
