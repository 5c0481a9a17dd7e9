//! The pictures of one layout: each read once, and brought to the printer's dots once a size.
//!
//! In: names of files, and the pieces that are wanted of them. Out: pictures and rasters, shared between
//! threads, as many kept as [`KEPT_BYTES`] holds. Not here: where a picture goes (`picture`).

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use super::load::DotSize;
use super::page_store::{PageFault, PageStore};
use crate::geom::Rect;
use crate::images::{self, ColourImage, Drawing, GrayImage, ImportedPage, Picture, Raster};
use crate::layout::FileHome;
use crate::source::{Env, confine, describe_failure};

/// The most bytes of pixels kept from page to page: every parcel may have pictures of its own.
const KEPT_BYTES: usize = 128 << 20;

/// The most pieces of drawings kept from page to page.
const KEPT_PIECES: usize = 64;

/// Why a picture cannot be used.
#[derive(Clone, Debug)]
pub(super) struct Unusable {
    /// What is wrong.
    pub(super) message: String,
    /// The way out.
    pub(super) hint: String,
}

impl Unusable {
    /// A fault with the file itself, before anything in it is read.
    fn file(message: String) -> Unusable {
        Unusable { message, hint: "put the picture beside the layout file".into() }
    }
}

/// Pixels by file name, the pixels cut out, and the dots they are brought to, if any.
type PixelKey = (String, PixelBox, Option<DotSize>);

/// A drawing by file name, and the box cut out of it, in micrometres.
type PieceKey = (String, [i64; 4]);

/// Pixels cut out of a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct PixelBox {
    /// Columns left of them.
    pub(super) left: u32,
    /// Rows above them.
    pub(super) top: u32,
    /// Columns of them.
    pub(super) width: u32,
    /// Rows of them.
    pub(super) height: u32,
}

/// The pictures of one layout, and the pages of PDFs it places.
pub struct PictureStore<'e> {
    /// Where files come from.
    env: &'e dyn Env,
    /// The layout's folder, which file names start from.
    folder: PathBuf,
    /// The orders' folder.
    orders: PathBuf,
    /// Whether the output is dots, so that pages of PDFs must be drawn.
    dots: bool,
    /// Pictures by file name, with the reason when one cannot be used.
    read: Mutex<BTreeMap<String, Result<Arc<Picture>, Unusable>>>,
    /// Rasters made of them.
    pixels: Mutex<BTreeMap<PixelKey, Arc<Raster>>>,
    /// Pieces of drawings; none where there is too much to cut.
    pieces: Mutex<BTreeMap<PieceKey, Option<Arc<Drawing>>>>,
    /// Pictures in colour by file name; none of those that have greys alone.
    colours: Mutex<BTreeMap<String, Option<Arc<ColourImage>>>>,
    /// Whether the output has black alone, whatever the printer has.
    pub(super) black: bool,
    /// Pages of PDFs.
    pages: PageStore,
}

impl<'e> PictureStore<'e> {
    /// A store of pictures in and below a layout's folder, for a PDF; the orders lie in the working
    /// folder.
    #[must_use]
    pub fn new(env: &'e dyn Env, folder: impl Into<PathBuf>) -> PictureStore<'e> {
        let (read, pixels, pieces, colours) = <_>::default();
        let (folder, orders, pages) = (folder.into(), PathBuf::new(), PageStore::default());
        let (dots, black) = (false, false);
        PictureStore { env, folder, orders, dots, read, pixels, pieces, colours, black, pages }
    }

    /// The same store, with the folder that files named in orders lie in or below.
    #[must_use]
    pub fn with_orders_in(self, folder: impl Into<PathBuf>) -> PictureStore<'e> {
        PictureStore { orders: folder.into(), ..self }
    }

    /// The same store for output in dots, which cannot hold pages of PDFs: they are drawn while a
    /// page is composed, so that one that cannot be is found in time.
    #[must_use]
    pub fn for_dots(self) -> PictureStore<'e> {
        PictureStore { dots: true, ..self }
    }

    /// The same store for output that has black alone.
    #[must_use]
    pub fn in_black(self) -> PictureStore<'e> {
        PictureStore { black: true, ..self }
    }

    /// Whether the output is dots.
    pub(super) fn makes_dots(&self) -> bool {
        self.dots
    }

    /// The folder that files lie in or below.
    pub(super) fn folder_of(&self, home: FileHome) -> &Path {
        match home {
            FileHome::Orders => &self.orders,
            FileHome::Layout => &self.folder,
        }
    }

    /// A page of a PDF, read when first asked for.
    pub(super) fn page(&self, path: &Path, number: usize) -> Result<Arc<ImportedPage>, PageFault> {
        self.pages.get(self.env, path, number)
    }

    /// A picture, read when first asked for.
    pub(super) fn get(&self, file: &str) -> Result<Arc<Picture>, Unusable> {
        let mut read = self.read.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = read.get(file) {
            return known.clone();
        }
        let found = self.load(file).map(Arc::new);
        let bytes = |picture: &Result<Arc<Picture>, Unusable>| match picture.as_deref() {
            Ok(Picture::Raster(image)) => image.pixels.len(),
            _ => 0,
        };
        let held: usize = read.values().map(bytes).sum();
        if held + bytes(&found) > KEPT_BYTES {
            read.clear();
        }
        read.insert(file.to_owned(), found.clone());
        found
    }

    /// Reads a picture.
    fn load(&self, file: &str) -> Result<Picture, Unusable> {
        let Some(path) = confine(&self.folder, file) else {
            let message = format!("the picture `{file}` lies outside the layout's folder");
            return Err(Unusable::file(message));
        };
        let bytes = self.env.read(&path).map_err(|error| {
            let words = describe_failure(&error);
            Unusable::file(format!("the picture `{file}` cannot be read: {words}"))
        })?;
        images::decode(&bytes).map_err(|error| Unusable {
            message: format!("the picture `{file}` cannot be used: {error}"),
            hint: error.hint(),
        })
    }

    /// A picture in colour, read when first asked for; none when it has greys alone.
    pub(super) fn in_colour(&self, file: &str) -> Option<Arc<ColourImage>> {
        let mut known = self.colours.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = known.get(file) {
            return known.clone();
        }
        // What is wrong with it was said when its greys were read.
        let bytes = confine(&self.folder, file).and_then(|path| self.env.read(&path).ok());
        let found = bytes.and_then(|bytes| images::decode_colour(&bytes).ok().flatten());
        let found = found.map(Arc::new);
        let bytes =
            |image: &Option<Arc<ColourImage>>| image.as_ref().map_or(0, |image| image.pixels.len());
        if known.values().map(bytes).sum::<usize>() + bytes(&found) > KEPT_BYTES {
            known.clear();
        }
        known.insert(file.to_owned(), found.clone());
        found
    }

    /// The pixels of a piece, cut once and shared by all pages that show it.
    pub(super) fn colour_pixels(
        &self,
        file: &str,
        image: &ColourImage,
        piece: PixelBox,
    ) -> Arc<Raster> {
        let key = (file.to_owned(), piece, None);
        let mut known = self.pixels.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = known.get(&key) {
            return Arc::clone(known);
        }
        let PixelBox { left, top, width, height } = piece;
        let rows = image.pixels.chunks_exact((image.width as usize * 3).max(1));
        let rows = rows.skip(top as usize).take(height as usize);
        let columns = left as usize * 3..(left + width) as usize * 3;
        let pixels = rows.flat_map(|row| row.get(columns.clone()).unwrap_or_default()).copied();
        let made =
            Arc::new(Raster::Colour(ColourImage { width, height, pixels: pixels.collect() }));
        let held: usize = known.values().map(|raster| raster_bytes(raster)).sum();
        if held + raster_bytes(&made) > KEPT_BYTES {
            known.clear();
        }
        known.insert(key, Arc::clone(&made));
        made
    }

    /// A piece of a drawing; none when there is too much to cut.
    pub(super) fn piece(&self, file: &str, drawing: &Drawing, part: Rect) -> Option<Arc<Drawing>> {
        let mut known = self.pieces.lock().unwrap_or_else(PoisonError::into_inner);
        let sides = [part.x, part.y, part.width, part.height];
        let key = sides.map(|side| (side.0 * 1000.0).round() as i64);
        if known.len() >= KEPT_PIECES {
            known.clear();
        }
        let made = known.entry((file.to_owned(), key));
        made.or_insert_with(|| drawing.cut_out(part).map(Arc::new)).clone()
    }

    /// A piece of a picture, brought to the printer's dots where they are given.
    pub(super) fn pixels(
        &self,
        file: &str,
        image: &GrayImage,
        piece: PixelBox,
        dots: Option<DotSize>,
    ) -> Arc<Raster> {
        let key = (file.to_owned(), piece, dots);
        let mut known = self.pixels.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = known.get(&key) {
            return Arc::clone(known);
        }
        let cut = cut_out(image, piece);
        let made = Arc::new(match dots {
            Some(DotSize { across, down }) => {
                Raster::Bits(images::dither(&images::resample(&cut, across, down)))
            }
            None => Raster::Gray(cut),
        });
        let held: usize = known.values().map(|raster| raster_bytes(raster)).sum();
        if held + raster_bytes(&made) > KEPT_BYTES {
            known.clear();
        }
        known.insert(key, Arc::clone(&made));
        made
    }
}

/// The pixels of a box of a picture; the box lies inside.
fn cut_out(image: &GrayImage, piece: PixelBox) -> GrayImage {
    let PixelBox { left, top, width, height } = piece;
    if (width, height) == (image.width, image.height) {
        return image.clone();
    }
    let rows = image.pixels.chunks_exact((image.width as usize).max(1));
    let rows = rows.skip(top as usize).take(height as usize);
    let columns = left as usize..(left + width) as usize;
    let pixels = rows.flat_map(|row| row.get(columns.clone()).unwrap_or_default()).copied();
    GrayImage { width, height, pixels: pixels.collect() }
}

/// The bytes that a raster's pixels take.
fn raster_bytes(raster: &Raster) -> usize {
    match raster {
        Raster::Gray(image) => image.pixels.len(),
        Raster::Colour(image) => image.pixels.len(),
        Raster::Bits(image) => image.rows.len(),
    }
}
