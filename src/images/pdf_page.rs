//! A page of an existing PDF, ready to be placed as vector art.
//!
//! In: the bytes of a PDF file and a page's number. Out: an [`ImportedPage`]: its true size, and
//! a form (ISO 32000-1 §8.10) with all objects it needs, to be written into another PDF under
//! numbers of that file. Values and packed data are carried over byte for byte. Form fields,
//! stamps and notes that a viewer prints become part of the form; scripts, actions, attached
//! files and hidden layers never come along. Whatever cannot be placed faithfully is refused.
//! For formats without pages of PDFs it can be drawn as pixels (`raster`), by a renderer that is not
//! ours and comes with the feature `draw` (`render`), once `toil` has counted what that takes. Not here: writing the file.
//!
//! The steps of [`PdfFile::page`]: `page_tree` and `page_box` find the page and its size,
//! `content` and `annotations` what it draws, `assemble` and `carry` make the form, `archive`
//! judges it; `cut` says where to draw a piece of it. Below them lie `reader`, `xref`, `stream` and `filters`, which fetch objects, and
//! `parser`, `lexer` and `object`, which know the syntax. All work is bounded by `limits` and `fuel`.

mod annotations;
mod archive;
mod assemble;
mod carry;
mod content;
mod cut;
mod draw_error;
mod error;
mod filters;
mod fuel;
mod layers;
mod lexer;
mod limits;
mod object;
mod page_box;
mod page_tree;
mod parser;
#[cfg(feature = "draw")]
mod path_length;
#[cfg(feature = "draw")]
mod pen_state;
mod raster;
mod reader;
mod remark;
#[cfg(feature = "draw")]
mod render;
mod scan;
mod stream;
#[cfg(feature = "draw")]
mod swell;
#[cfg(feature = "draw")]
mod toil;
mod xref;

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

pub use cut::PageCut;
pub use draw_error::{DrawnToil, PageDrawError};
pub use error::PdfImportError;
pub use raster::DRAWS_PAGES;
pub use remark::{ArchivalProblem, DeviceColour, PageRemark};
#[cfg(all(test, feature = "draw", feature = "command"))]
pub(crate) use render::contain;
#[cfg(all(feature = "draw", feature = "command"))]
pub(crate) use render::is_drawing;

use annotations::read_overlay;
use archive::judge;
use assemble::{PageParts, assemble, page_form, page_group, resources};
use carry::{CarriedObject, Carrier, ObjectKey, fill_in};
use content::PageContent;
use error::{Result, broken, too_large};
use fuel::Fuel;
use layers::Layers;
use object::Dict;
use page_box::PageBox;
use page_tree::{PageLeaf, list_pages};
use raster::LastDrawing;
use reader::ObjectReader;
use xref::{XrefTable, read_table};

use crate::geom::Size;
use crate::limits::FILE_BYTES;
use crate::sides::TurnEdge;

/// How far into a file its header is looked for, in bytes.
const HEADER_WITHIN: usize = 1024;

/// Tells the pages of one file from those of another; equal only to its copies.
#[derive(Clone, Debug, Default)]
pub struct PdfIdentity(Arc<()>);

/// An existing PDF, whose pages can be placed.
#[derive(Debug)]
pub struct PdfFile {
    /// The file from its header on.
    bytes: Vec<u8>,
    /// Where its objects are.
    table: XrefTable,
    /// Its pages in order.
    pages: Vec<PageLeaf>,
    /// Which of its layers are printed.
    layers: Layers,
    /// Whether viewers draw filled form fields anew.
    stale_fields: bool,
    /// Tells this file's pages from those of others.
    identity: PdfIdentity,
}

impl PdfFile {
    /// Opens the PDF in `bytes` and finds its pages.
    ///
    /// # Errors
    /// When it is not a PDF, is encrypted, damaged or too large, or is a form that only a viewer
    /// can turn into pages.
    pub fn open(bytes: Vec<u8>) -> std::result::Result<PdfFile, PdfImportError> {
        if bytes.len() > FILE_BYTES {
            return Err(too_large(format!("more than {} MB", FILE_BYTES >> 20)));
        }
        let head = &bytes[..bytes.len().min(HEADER_WITHIN)];
        let header = head.windows(5).position(|window| window == b"%PDF-");
        let header = header.ok_or(PdfImportError::NotAPdf)?;
        if header == 0 {
            return PdfFile::open_from(bytes);
        }
        // Places count from the header, but some files with data before it count from their start.
        match PdfFile::open_from(bytes[header..].to_vec()) {
            Err(PdfImportError::Broken { .. }) => PdfFile::open_from(bytes),
            result => result,
        }
    }

    /// Opens a PDF whose places count from the start of `bytes`.
    fn open_from(bytes: Vec<u8>) -> Result<PdfFile> {
        let table = read_table(&bytes, &mut Fuel::new())?;
        let mut reader = ObjectReader::new(&bytes, &table);
        let catalog = reader.dict(&table.trailer, "Root")?;
        let catalog = catalog.ok_or_else(|| broken("it has no catalog"))?;
        let none = Dict::default();
        let catalog = catalog.dict().unwrap_or(&none);
        let form = reader.dict(catalog, "AcroForm")?;
        let form = form.as_ref().and_then(|form| form.dict());
        let says = |dict: Option<&Dict>, key: &str| {
            dict.is_some_and(|dict| dict.get(key) == Some(&object::Object::Bool(true)))
        };
        if says(Some(catalog), "NeedsRendering")
            && form.is_some_and(|form| form.get("XFA").is_some())
        {
            return Err(PdfImportError::DynamicForm);
        }
        let pages = list_pages(&mut reader, catalog)?;
        if pages.is_empty() {
            return Err(broken("it has no pages"));
        }
        let layers = Layers::read(&mut reader, catalog)?;
        let stale_fields = says(form, "NeedAppearances");
        drop(reader);
        Ok(PdfFile { bytes, table, pages, layers, stale_fields, identity: PdfIdentity::default() })
    }

    /// Who this file is to [`SharedObjects`].
    #[must_use]
    pub fn identity(&self) -> PdfIdentity {
        self.identity.clone()
    }

    /// The file as another reading of the very same bytes, so that an output file takes pages of
    /// both for pages of one.
    #[must_use]
    pub fn identified(self, identity: PdfIdentity) -> PdfFile {
        PdfFile { identity, ..self }
    }

    /// How many bytes it holds.
    #[must_use]
    pub fn byte_count(&self) -> usize {
        self.bytes.len()
    }

    /// How many pages it has; at least one.
    #[must_use]
    pub fn page_count(&self) -> usize {
        self.pages.len()
    }

    /// The paper of a page, counted from 1: upright, with `UserUnit` counted in. Only its place in the file
    /// is looked at.
    ///
    /// # Errors
    /// When there is no such page, or its size cannot be read.
    pub fn page_size(&self, number: usize) -> std::result::Result<Size, PdfImportError> {
        let missing = PdfImportError::NoSuchPage { asked: number, pages: self.pages.len() };
        let leaf = number.checked_sub(1).and_then(|index| self.pages.get(index)).ok_or(missing)?;
        let mut reader = ObjectReader::new(&self.bytes, &self.table);
        let page = leaf.entries(&mut reader)?;
        Ok(PageBox::read(&mut reader, &page)?.size())
    }

    /// The edge that its sheets are to be turned over, as it says itself (ISO 32000-1 §12.2, `Duplex`);
    /// none when it is for one side, or does not say.
    #[must_use]
    pub fn turn_edge(&self) -> Option<TurnEdge> {
        let mut reader = ObjectReader::new(&self.bytes, &self.table);
        let catalog = reader.dict(&self.table.trailer, "Root").ok()??;
        let preferences = reader.dict(catalog.dict()?, "ViewerPreferences").ok()??;
        let duplex = reader.get(preferences.dict()?, "Duplex").ok()??;
        match &duplex.object {
            object::Object::Name(name) if &**name == b"DuplexFlipLongEdge" => Some(TurnEdge::Long),
            object::Object::Name(name) if &**name == b"DuplexFlipShortEdge" => {
                Some(TurnEdge::Short)
            }
            _ => None,
        }
    }

    /// Fetches the page with the given number, counted from 1.
    ///
    /// # Errors
    /// When there is no such page, or it cannot be placed as a viewer would print it.
    pub fn page(&self, number: usize) -> std::result::Result<ImportedPage, PdfImportError> {
        let missing = PdfImportError::NoSuchPage { asked: number, pages: self.pages.len() };
        let leaf = number.checked_sub(1).and_then(|index| self.pages.get(index)).ok_or(missing)?;
        let mut reader = ObjectReader::new(&self.bytes, &self.table);
        let page = leaf.entries(&mut reader)?;
        let page_box = PageBox::read(&mut reader, &page)?;
        let content = PageContent::read(&mut reader, &page)?;
        let overlay = read_overlay(&mut reader, &self.layers, &page, &page_box, self.stale_fields)?;
        let mut carrier = Carrier::new(&mut reader, &self.layers);
        let parts =
            PageParts { number, page: &page, page_box, content: &content, stamps: &overlay.stamps };
        assemble(&mut carrier, &parts)?;
        let (sources, objects) = (carrier.sources(), carrier.objects);
        let group = reader.dict(&page, "Group")?;
        let group = group.as_ref().and_then(|group| group.dict());
        let drawn = (content.plain.as_slice(), &resources(&page));
        let judgement = judge(&mut reader, &self.layers, drawn, group, &sources)?;
        Ok(ImportedPage {
            number,
            size: page_box.size(),
            upright: page_box.upright(),
            objects,
            problems: judgement.problems.into_iter().collect(),
            transparent: judgement.transparent,
            pieces: judgement.pieces,
            remarks: overlay.remarks,
            file: self.identity.clone(),
            drawing: LastDrawing::default(),
        })
    }
}

/// A page of an existing PDF as a form with all it needs.
#[derive(Clone)]
pub struct ImportedPage {
    /// Its number in its file.
    number: usize,
    /// Width and height of what is shown, upright, as paper.
    size: Size,
    /// Width and height of the form as it draws itself, in the page's own units.
    upright: (f64, f64),
    /// The form, then what it refers to, in the order in which it is first referred to.
    objects: Vec<CarriedObject>,
    /// Why a document with it is not PDF/A-2b.
    problems: Vec<ArchivalProblem>,
    /// Whether anything on it is blended.
    transparent: bool,
    /// One more than the highest number of a marked piece of its content; 0 without any.
    pieces: u32,
    /// What may differ from what the user saw.
    remarks: Vec<PageRemark>,
    /// Which file it is of; pages of one file share objects.
    file: PdfIdentity,
    /// Its pixels as they were drawn last, so that the same piece is not drawn again.
    drawing: LastDrawing,
}

impl fmt::Debug for ImportedPage {
    /// What it is, without its bytes.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("ImportedPage")
            .field("number", &self.number)
            .field("size", &self.size)
            .field("objects", &self.objects.len())
            .field("bytes", &self.byte_count())
            .finish_non_exhaustive()
    }
}

impl ImportedPage {
    /// The size of the part that is shown (`CropBox`), turned upright, with `UserUnit` counted in.
    #[must_use]
    pub fn size(&self) -> Size {
        self.size
    }

    /// The six numbers for `cm` under which the form fills the box with the lower left corner
    /// `x`, `y`, in whatever unit the caller's page is drawn in, y upwards.
    #[must_use]
    pub fn placement(&self, x: f64, y: f64, width: f64, height: f64) -> [f64; 6] {
        [width / self.upright.0, 0.0, 0.0, height / self.upright.1, x, y]
    }

    /// How many bytes its objects take in a file.
    #[must_use]
    pub fn byte_count(&self) -> usize {
        self.objects.iter().map(|object| object.body.len()).sum()
    }

    /// Why a document with this page in it is not PDF/A-2b; see [`ArchivalProblem`] for what an
    /// empty list means.
    #[must_use]
    pub fn archival_problems(&self) -> &[ArchivalProblem] {
        &self.problems
    }

    /// One more than the highest number (`MCID`) that a marked piece of its content has, 0 without
    /// any. The tree that the pieces belonged to is not carried, so they mean nothing any more; but
    /// pdf.js takes them for the page's own where those have the same numbers.
    #[must_use]
    pub fn piece_count(&self) -> u32 {
        self.pieces
    }

    /// Whether anything on it is blended with what lies under it, or the page is declared to be.
    /// PDF/A-2 allows that, PDF/A-1 does not.
    #[must_use]
    pub fn is_transparent(&self) -> bool {
        self.transparent
    }

    /// What may look different on paper than on the user's screen.
    #[must_use]
    pub fn remarks(&self) -> &[PageRemark] {
        &self.remarks
    }

    /// Writes the objects that are not written yet and returns the numbers of those to refer to.
    ///
    /// `allocate` gives the next free object number; `put` gets each number once, with all bytes
    /// that belong between `obj` and `endobj`. `shared` remembers what is written, so that a page
    /// used again costs nothing and pages of one [`PdfFile`] share their fonts and pictures; it
    /// belongs to one output file.
    ///
    /// # Errors
    /// What `put` returns; the output is not complete then.
    pub fn write_objects<E>(
        &self,
        shared: &mut SharedObjects,
        mut allocate: impl FnMut() -> i32,
        mut put: impl FnMut(i32, &[u8]) -> std::result::Result<(), E>,
    ) -> std::result::Result<WrittenPage, E> {
        let numbers = shared.of(self);
        let mut fresh = Vec::new();
        for object in &self.objects {
            numbers.entry(object.key).or_insert_with(|| {
                fresh.push(object);
                allocate()
            });
        }
        let mut bytes = Vec::new();
        for object in fresh {
            fill_in(object, numbers, &mut bytes);
            put(numbers.get(&object.key).copied().unwrap_or_default(), &bytes)?;
        }
        Ok(WrittenPage {
            form: numbers.get(&page_form(self.number)).copied().unwrap_or_default(),
            group: numbers.get(&page_group(self.number)).copied(),
        })
    }
}

/// The objects that stand for an imported page in the output.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WrittenPage {
    /// The form to draw with `Do`.
    pub form: i32,
    /// The group that the page with the form on it should name as its `Group`, if it has none:
    /// without the colours named there, ghostscript 10.0 applies a soft mask too weakly.
    pub group: Option<i32>,
}

/// Which imported objects an output file already holds, and under which numbers.
#[derive(Debug, Default)]
pub struct SharedObjects {
    /// For each source file, by the address of its identity, which is held so that no other file
    /// gets the same.
    files: BTreeMap<usize, (PdfIdentity, BTreeMap<ObjectKey, i32>)>,
}

impl SharedObjects {
    /// Nothing written yet.
    #[must_use]
    pub fn new() -> SharedObjects {
        SharedObjects::default()
    }

    /// The numbers of the objects from the same file as `page`.
    fn of(&mut self, page: &ImportedPage) -> &mut BTreeMap<ObjectKey, i32> {
        let address = Arc::as_ptr(&page.file.0).addr();
        let file = || (page.file.clone(), BTreeMap::new());
        &mut self.files.entry(address).or_insert_with(file).1
    }
}
