//! Encoded pages into one file: the half of the writer that runs in order.
//!
//! In: [`EncodedPage`]s one after the other. Out: a PDF. A page is written when it comes and then
//! forgotten; what stays is the place of its objects, the glyphs it added, and a hash of each
//! distinct picture.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::io::Write;

use pdf_writer::types::{PageMode, TabOrder};
use pdf_writer::writers::Catalog;
use pdf_writer::{Finish, Name, Rect, Ref, TextStr};

use crate::fonts::{FontBook, FontId};
use crate::geom::Size;
use crate::images::{ImportedPage, SharedObjects, WrittenPage};
use crate::sides::TurnEdge;

use super::art::{Art, ArtKind};
use super::digest::Digest;
use super::fontfile::{FontUse, put_font};
use super::frame::to_points;
use super::metadata::{Metadata, write_output_intent};
use super::objects::Objects;
use super::page::EncodedPage;
use super::page_tree::PageTree;
use super::profile::{PageColours, make_grey_profile, make_srgb_profile};
use super::structure::{Structure, TaggedPage};
use super::{Duplex, PdfError, PdfOptions};

/// An entry of the outline, kept until the next is known.
struct Entry {
    /// Its number.
    id: Ref,
    /// What it says.
    title: String,
    /// The page it leads to.
    page: Ref,
    /// Which comes before it on its level; none for the first.
    before: Option<Ref>,
}

/// The outline so far.
struct OutlineState {
    /// The outline's own number.
    root: Ref,
    /// The first entry.
    first: Option<Ref>,
    /// The last entry, not written yet.
    last: Option<Entry>,
    /// Entries so far.
    count: i32,
}

/// Writes a PDF page by page.
pub struct PdfWriter<W> {
    /// The file.
    objects: Objects<W>,
    /// The fonts that pages name.
    book: FontBook,
    /// What the document says about itself.
    options: PdfOptions,
    /// The first page's title, for documents without one.
    title: Option<String>,
    /// What holds the pages together, so far.
    tree: PageTree,
    /// What the pages say, if they do.
    structure: Option<Structure>,
    /// The entry of each parcel, so far.
    outline: OutlineState,
    /// The fonts by resource name.
    fonts_ref: Ref,
    /// The resources of pages without pictures.
    resources: Ref,
    /// What is used of each font.
    fonts: BTreeMap<FontId, FontUse>,
    /// Pictures written, by their hash.
    art: BTreeMap<u128, Ref>,
    /// What is written of other PDFs.
    shared: SharedObjects,
    /// Whether everything written so far is allowed in PDF/A-2b.
    archival: bool,
    /// What the pages so far are painted in.
    colours: PageColours,
    /// The hash of all pages.
    digest: Digest,
}

impl<W: Write> PdfWriter<W> {
    /// Starts a document whose pages are set in these fonts.
    ///
    /// # Errors
    /// [`PdfError::Write`] when `out` fails.
    pub fn new(out: W, book: &FontBook, options: &PdfOptions) -> Result<PdfWriter<W>, PdfError> {
        let mut objects = Objects::new(out, options.compress)?;
        let [root, fonts_ref, resources] = [(); 3].map(|()| objects.reserve());
        let structure = options.tagged.then(|| Structure::new(&mut objects));
        Ok(PdfWriter {
            objects,
            book: book.clone(),
            options: options.clone(),
            title: options.title.clone(),
            tree: PageTree::default(),
            structure,
            outline: OutlineState { root, first: None, last: None, count: 0 },
            fonts_ref,
            resources,
            fonts: BTreeMap::new(),
            art: BTreeMap::new(),
            shared: SharedObjects::new(),
            archival: true,
            colours: PageColours::Grey,
            digest: Digest::new(),
        })
    }

    /// Writes the next page. It must come from a [`PdfEncoder`](super::PdfEncoder) with the same
    /// fonts and options.
    ///
    /// # Errors
    /// [`PdfError::Write`] when the file cannot be written.
    pub fn push(&mut self, page: EncodedPage) -> Result<(), PdfError> {
        self.digest.add(&page.digest.to_le_bytes());
        if page.colours == PageColours::Srgb {
            self.colours = PageColours::Srgb;
        }
        self.note_glyphs(&page);
        let foreign = self.put_foreign(&page.foreign)?;
        let resources = self.put_art(&page.art, &foreign)?;
        let content = self.objects.reserve();
        let mut chunk = self.objects.chunk();
        let mut stream = chunk.stream(content, &page.content);
        self.objects.mark_packed(&mut stream);
        drop(stream);
        self.objects.put(&chunk)?;
        let id = self.objects.reserve();
        let parent = self.tree.add(id, &mut self.objects)?;
        let group = foreign.iter().find_map(|written| written.group);
        let key = match &mut self.structure {
            Some(structure) => {
                let own = page.language.as_deref();
                let said = TaggedPage {
                    page: id,
                    elements: &page.elements,
                    first_piece: page.first_piece,
                    language: own.filter(|own| Some(*own) != self.options.language.as_deref()),
                };
                structure.add_page(&said, &mut self.objects)?
            }
            None => None,
        };
        self.put_page(PageDict { id, parent, group, key, size: page.size, resources, content })?;
        self.add_to_outline(page.title, id)
    }

    /// Notes what a page uses of each font.
    fn note_glyphs(&mut self, page: &EncodedPage) {
        for &(font, glyph) in &page.glyphs {
            self.fonts.entry(font).or_default().glyphs.insert(glyph);
        }
        for ((font, glyph), text) in &page.words {
            let words = &mut self.fonts.entry(*font).or_default().words;
            words.entry(*glyph).or_insert_with(|| text.clone());
        }
    }

    /// Writes what is new of the pages of other PDFs that a page shows.
    fn put_foreign(
        &mut self,
        pages: &[std::sync::Arc<ImportedPage>],
    ) -> Result<Vec<WrittenPage>, PdfError> {
        let mut written = Vec::with_capacity(pages.len());
        for page in pages {
            self.archival &= page.archival_problems().is_empty();
            let objects = RefCell::new(&mut self.objects);
            let digest = &mut self.digest;
            let allocate = || objects.borrow_mut().reserve().get();
            let put = |id, body: &[u8]| {
                digest.add(body);
                objects.borrow_mut().put_raw(Ref::new(id), body)
            };
            written.push(page.write_objects(&mut self.shared, allocate, put)?);
        }
        Ok(written)
    }

    /// Writes the pictures of a page that are new, and the page's resources if it has pictures or
    /// shows pages of other PDFs.
    fn put_art(
        &mut self,
        art: &[std::sync::Arc<Art>],
        foreign: &[WrittenPage],
    ) -> Result<Ref, PdfError> {
        if art.is_empty() && foreign.is_empty() {
            return Ok(self.resources);
        }
        let mut names = Vec::with_capacity(art.len());
        for art in art {
            let known = self.art.get(&art.digest).copied();
            names.push(match known {
                Some(id) => id,
                None => {
                    let id = put_object(&mut self.objects, art)?;
                    self.art.insert(art.digest, id);
                    id
                }
            });
        }
        let id = self.objects.reserve();
        let mut chunk = self.objects.chunk();
        let mut resources = chunk.indirect(id).dict();
        resources.pair(Name(b"Font"), self.fonts_ref);
        let mut objects = resources.insert(Name(b"XObject")).dict();
        for (place, id) in names.into_iter().enumerate() {
            objects.pair(Name(format!("X{place}").as_bytes()), id);
        }
        for (place, page) in foreign.iter().enumerate() {
            objects.pair(Name(format!("P{place}").as_bytes()), Ref::new(page.form));
        }
        objects.finish();
        resources.finish();
        self.objects.put_small(&chunk)?;
        Ok(id)
    }

    /// Writes a page's dictionary. All boxes are the paper, nothing is turned (ISO
    /// 32000-1 §14.11.2).
    fn put_page(&mut self, page: PageDict) -> Result<(), PdfError> {
        let PageDict { id, parent, group, key, size, resources, content } = page;
        let (width, height) = (to_points(size.width) as f32, to_points(size.height) as f32);
        let paper = Rect::new(0.0, 0.0, width, height);
        let mut chunk = self.objects.chunk();
        let mut page = chunk.page(id);
        page.parent(parent).media_box(paper).crop_box(paper).trim_box(paper);
        page.pair(Name(b"Resources"), resources);
        page.contents(content);
        if let Some(group) = group {
            page.pair(Name(b"Group"), Ref::new(group));
        }
        if let Some(key) = key {
            page.struct_parents(key);
            // From one thing to fill in to the next as the structure has them: PDF 1.7 has tagged
            // pages say so (ISO 32000-1 §12.5.1), though there is nothing to fill in.
            page.tab_order(TabOrder::StructureOrder);
        }
        page.finish();
        Ok(self.objects.put_small(&chunk)?)
    }

    /// Adds a page to the outline, unless it goes on with the title of the page before or has
    /// none.
    fn add_to_outline(&mut self, title: String, page: Ref) -> Result<(), PdfError> {
        let before = self.outline.last.as_ref();
        if title.is_empty() || before.is_some_and(|entry| entry.title == title) {
            return Ok(());
        }
        self.title.get_or_insert_with(|| title.clone());
        let id = self.objects.reserve();
        let before = self.close_entry(Some(id))?;
        self.outline.first.get_or_insert(id);
        self.outline.last = Some(Entry { id, title, page, before });
        self.outline.count += 1;
        Ok(())
    }

    /// Writes the last entry of the outline, now that the next is known, and tells its number.
    fn close_entry(&mut self, next: Option<Ref>) -> Result<Option<Ref>, PdfError> {
        let Some(entry) = self.outline.last.take() else { return Ok(None) };
        let mut chunk = self.objects.chunk();
        let mut item = chunk.outline_item(entry.id);
        item.title(TextStr(&entry.title)).parent(self.outline.root);
        if let Some(before) = entry.before {
            item.prev(before);
        }
        if let Some(next) = next {
            item.next(next);
        }
        item.dest().page(entry.page).fit();
        item.finish();
        self.objects.put_small(&chunk)?;
        Ok(Some(entry.id))
    }

    /// Writes what remains and gives back where it went.
    ///
    /// # Errors
    /// [`PdfError::NoPages`] for a document without pages, [`PdfError::Font`] for a font that
    /// cannot be embedded, [`PdfError::Write`] when the file cannot be written.
    pub fn finish(mut self) -> Result<W, PdfError> {
        let tree = std::mem::take(&mut self.tree);
        if tree.is_empty() {
            return Err(PdfError::NoPages);
        }
        let pages = tree.finish(&mut self.objects)?;
        let outline = self.put_outline()?;
        let structure = match self.structure.take() {
            Some(structure) => Some(structure.finish(&mut self.objects)?),
            None => None,
        };
        self.put_resources()?;
        let metadata_text;
        let (info, metadata) = {
            let title = self.title.as_deref().unwrap_or("");
            let metadata = Metadata { title, options: &self.options, archival: self.archival };
            metadata_text = metadata.to_xmp();
            let info = self.objects.reserve();
            let mut chunk = self.objects.chunk();
            metadata.put_info(&mut chunk, info);
            self.objects.put(&chunk)?;
            (info, self.objects.reserve())
        };
        // Metadata stays uncompressed, so that programs that know no PDF can read it.
        let mut chunk = self.objects.chunk();
        chunk.metadata(metadata, metadata_text.as_bytes());
        self.objects.put(&chunk)?;
        let root = self.put_catalog(pages, outline, structure, metadata)?;
        self.digest.add(metadata_text.as_bytes());
        let name = self.digest.finish().to_be_bytes();
        Ok(self.objects.finish(root, info, name)?)
    }

    /// Writes the last entry and the outline, if there is one.
    fn put_outline(&mut self) -> Result<Option<Ref>, PdfError> {
        let last = self.close_entry(None)?;
        let OutlineState { root, first, count, .. } = self.outline;
        let (Some(first), Some(last)) = (first, last) else { return Ok(None) };
        let mut chunk = self.objects.chunk();
        chunk.outline(root).first(first).last(last).count(count);
        self.objects.put_small(&chunk)?;
        Ok(Some(root))
    }

    /// Writes the fonts and the resources that pages share.
    fn put_resources(&mut self) -> Result<(), PdfError> {
        let mut names = Vec::with_capacity(self.fonts.len());
        for (&font, used) in &self.fonts {
            names.push((font, put_font(&mut self.objects, &self.book, font, used)?));
        }
        let mut chunk = self.objects.chunk();
        let mut fonts = chunk.indirect(self.fonts_ref).dict();
        for (font, id) in names {
            fonts.pair(Name(format!("F{}", font.index()).as_bytes()), id);
        }
        fonts.finish();
        self.objects.put_small(&chunk)?;
        let mut chunk = self.objects.chunk();
        chunk.indirect(self.resources).dict().pair(Name(b"Font"), self.fonts_ref);
        Ok(self.objects.put_small(&chunk)?)
    }

    /// Writes the catalog with the hints that keep a printer from scaling (ISO 32000-1 §12.2,
    /// table 150), and the profile that its grey refers to.
    fn put_catalog(
        &mut self,
        pages: Ref,
        outline: Option<Ref>,
        structure: Option<Ref>,
        metadata: Ref,
    ) -> Result<Ref, PdfError> {
        let profile = self.objects.reserve();
        let (channels, data) = match self.colours {
            PageColours::Grey => (1, make_grey_profile()),
            PageColours::Srgb => (3, make_srgb_profile()),
        };
        let data = self.objects.pack(data);
        let mut chunk = self.objects.chunk();
        let mut stream = chunk.icc_profile(profile, &data);
        stream.n(channels);
        self.objects.mark_packed(&mut stream);
        stream.finish();
        self.objects.put(&chunk)?;
        let root = self.objects.reserve();
        let mut chunk = self.objects.chunk();
        let mut catalog = chunk.indirect(root).start::<Catalog<'_>>();
        catalog.pages(pages).metadata(metadata);
        if let Some(outline) = outline {
            catalog.outlines(outline).page_mode(PageMode::UseOutlines);
        }
        if let Some(structure) = structure {
            catalog.mark_info().marked(true);
            catalog.pair(Name(b"StructTreeRoot"), structure);
        }
        if let Some(language) = &self.options.language {
            catalog.lang(TextStr(language));
        }
        let mut preferences = catalog.viewer_preferences();
        preferences.display_doc_title(self.title.is_some());
        preferences.pair(Name(b"PrintScaling"), Name(b"None"));
        preferences.pair(Name(b"PickTrayByPDFSize"), true);
        if let Some(duplex) = self.options.duplex {
            preferences.pair(Name(b"Duplex"), Name(duplex_name(duplex)));
        }
        preferences.finish();
        if self.archival {
            write_output_intent(&mut catalog, profile, self.colours);
        }
        catalog.finish();
        self.objects.put(&chunk)?;
        Ok(root)
    }
}

/// What a page's dictionary says.
struct PageDict {
    /// The page's number.
    id: Ref,
    /// The node of the page tree that it hangs on.
    parent: Ref,
    /// The transparency group of a page of another PDF on it, by its number.
    group: Option<i32>,
    /// What the page is known by in the parent tree; none when it is not tagged.
    key: Option<i32>,
    /// The paper.
    size: Size,
    /// What its content names: fonts, pictures, pages of other PDFs.
    resources: Ref,
    /// Its content stream.
    content: Ref,
}

/// How ISO 32000-1 table 150 calls a way of printing on both sides.
fn duplex_name(duplex: Duplex) -> &'static [u8] {
    match duplex {
        Duplex::OneSided => b"Simplex",
        Duplex::Turned(TurnEdge::Long) => b"DuplexFlipLongEdge",
        Duplex::Turned(TurnEdge::Short) => b"DuplexFlipShortEdge",
    }
}

/// Writes a picture or outline and tells its number.
fn put_object<W: Write>(objects: &mut Objects<W>, art: &Art) -> Result<Ref, PdfError> {
    let id = objects.reserve();
    let mut chunk = objects.chunk();
    match art.kind {
        ArtKind::Image { width, height, bits } => {
            let mut image = chunk.image_xobject(id, &art.data);
            image.width(width.min(i32::MAX as u32) as i32);
            image.height(height.min(i32::MAX as u32) as i32);
            match bits {
                24 => image.color_space().device_rgb(),
                _ => image.color_space().device_gray(),
            }
            image.bits_per_component(i32::from(bits.min(8)));
            if bits == 1 {
                // Our bits are ink: 1 prints.
                image.decode([1.0, 0.0]);
            }
            objects.mark_packed(&mut image);
            image.finish();
        }
        ArtKind::Form([left, low, right, high]) => {
            let mut form = chunk.form_xobject(id, &art.data);
            form.bbox(Rect::new(left as f32, low as f32, right as f32, high as f32));
            form.resources().finish();
            objects.mark_packed(&mut form);
            form.finish();
        }
    }
    objects.put(&chunk)?;
    Ok(id)
}
