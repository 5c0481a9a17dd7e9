//! Pictures: read once, brought to the printer's dots once a size, placed as often as wanted.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use super::load::DotSize;
use super::page_store::{PageFault, PageStore};
use super::stack::{shift, slack};
use super::{Job, Place};
use crate::bind::Bound;
use crate::colour::Rgb;
use crate::findings::{Finding, rules};
use crate::geom::{MM_PER_INCH, Mm, Point, Rect, Size, Stance};
use crate::images::{self, ColourImage, Drawing, GrayImage, ImportedPage, Picture, Raster};
use crate::layout::{FileHome, Scaling};
use crate::scene::{Ink, MarkKind, Outline, OutlineUse, PictureMark};
use crate::source::{Env, confine, describe_failure};

/// Dots in an inch of a raster picture that says nothing about its size.
const USUAL_DPI: f64 = 300.0;

/// The fewest pixels an inch of a picture in greys that do not show.
const COARSEST_GREY: f64 = 100.0;

/// The most bytes of pixels kept from page to page: every parcel may have pictures of its own.
const KEPT_BYTES: usize = 128 << 20;

/// The most pieces of drawings kept from page to page.
const KEPT_PIECES: usize = 64;

/// Why a picture cannot be used.
#[derive(Clone, Debug)]
struct Unusable {
    /// What is wrong.
    message: String,
    /// The way out.
    hint: String,
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
struct PixelBox {
    /// Columns left of them.
    left: u32,
    /// Rows above them.
    top: u32,
    /// Columns of them.
    width: u32,
    /// Rows of them.
    height: u32,
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
    black: bool,
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
    fn get(&self, file: &str) -> Result<Arc<Picture>, Unusable> {
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
    fn in_colour(&self, file: &str) -> Option<Arc<ColourImage>> {
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

    /// A piece of a picture in colour.
    fn colour_pixels(&self, file: &str, image: &ColourImage, piece: PixelBox) -> Arc<Raster> {
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
    fn piece(&self, file: &str, drawing: &Drawing, part: Rect) -> Option<Arc<Drawing>> {
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
    fn pixels(
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

/// Where a picture or a piece of it goes.
struct PictureSpot {
    /// How much larger than its own size it becomes.
    scale: f64,
    /// The box of all of it.
    all: Rect,
    /// The box of what shows.
    shown: Rect,
}

impl Job<'_, '_> {
    /// The height of a picture that is `width` wide, if it can be read.
    pub(super) fn picture_height(&self, file: &str, fit: Scaling, width: Mm) -> Mm {
        match self.composer.pictures.get(file) {
            Ok(picture) => {
                let size = natural_size(&picture);
                match fit {
                    Scaling::Actual => size.height,
                    _ => size.height * (width.min(size.width) / size.width),
                }
            }
            Err(_) => Mm::ZERO,
        }
    }

    /// The width of a picture that is `height` high, if it can be read.
    pub(super) fn picture_width(
        &self,
        file: &str,
        fit: Scaling,
        height: Option<Mm>,
        most: Mm,
    ) -> Mm {
        match self.composer.pictures.get(file) {
            Ok(picture) => {
                let size = natural_size(&picture);
                match fit {
                    Scaling::Actual => size.width.min(most),
                    _ => (size.width * (height.unwrap_or(size.height) / size.height)).min(most),
                }
            }
            Err(_) => Mm::ZERO,
        }
    }

    /// Paints a picture.
    pub(super) fn place_picture(
        &mut self,
        bound: &Bound<'_>,
        file: &str,
        fit: Scaling,
        place: Place,
    ) {
        let picture = match self.composer.pictures.get(file) {
            Ok(picture) => picture,
            Err(why) => {
                let finding = Finding::new(&rules::PICTURE, why.message);
                return self.find(bound, finding.hint(why.hint));
            }
        };
        let natural = natural_size(&picture);
        let spot = match find_spot(bound, file, natural, fit, place.rect) {
            Ok(spot) => spot,
            Err(fault) => return self.find(bound, fault),
        };
        match &*picture {
            Picture::Raster(image) => self.paint_pixels(bound, file, image, &spot, place),
            Picture::Drawing(drawing) if spot.shown == spot.all => {
                self.paint_drawing(drawing, spot.all, spot.scale, place);
            }
            Picture::Drawing(drawing) => {
                let part = Rect::new(
                    (spot.shown.x - spot.all.x) / spot.scale,
                    (spot.shown.y - spot.all.y) / spot.scale,
                    spot.shown.width / spot.scale,
                    spot.shown.height / spot.scale,
                );
                match self.composer.pictures.piece(file, drawing, part) {
                    Some(piece) => self.paint_drawing(&piece, spot.shown, spot.scale, place),
                    None => {
                        let message =
                            format!("the picture `{file}` has too many curves to be cut off");
                        let hint = "show all of it with `fit: contain`";
                        self.find(bound, Finding::new(&rules::PICTURE, message).hint(hint));
                    }
                }
            }
        }
    }

    /// Paints pixels, at the printer's dots where it has black and nothing else.
    fn paint_pixels(
        &mut self,
        bound: &Bound<'_>,
        file: &str,
        image: &GrayImage,
        spot: &PictureSpot,
        place: Place,
    ) {
        let grid = self.frame.grid;
        let at = Point::new(grid.snap(spot.shown.x), grid.snap(spot.shown.y));
        let dots = DotSize {
            across: grid.whole_dots_within(spot.shown.width).max(1),
            down: grid.whole_dots_within(spot.shown.height).max(1),
        };
        let across = grid.length(f64::from(dots.across));
        let down = grid.length(f64::from(dots.down));
        let rect = Rect::at(at, Size::new(across, down));
        let piece = shown_pixels(image, spot);
        self.check_coarseness(bound, file, f64::from(piece.width) / (across.0 / MM_PER_INCH));
        let dots = self.frame.one_bit.then_some(dots);
        if dots.is_some_and(|dots| !self.count_dots(place.id, file, dots)) {
            return;
        }
        let pictures = self.composer.pictures;
        let raster = match self.has_colour().then(|| pictures.in_colour(file)).flatten() {
            Some(image) => pictures.colour_pixels(file, &image, piece),
            None => pictures.pixels(file, image, piece, dots),
        };
        self.mark(
            place.id,
            MarkKind::Picture(PictureMark { raster, stance: Stance::UPRIGHT, rect }),
        );
    }

    /// Warns of a picture whose pixels show on paper.
    ///
    /// Greys look smooth from 200 pixels an inch on and show their steps clearly under 100. A
    /// thermal head prints dots, not greys: a pixel as large as two of its dots and more gives
    /// line art edges in visible steps.
    fn check_coarseness(&mut self, bound: &Bound<'_>, file: &str, dpi: f64) {
        let wanted = match self.frame.one_bit {
            true => self.frame.grid.dpi() / 2.0,
            false => COARSEST_GREY,
        };
        // A pixel's rounding to dots is no fault of the picture.
        if dpi >= wanted * 0.99 {
            return;
        }
        let message = format!(
            "the picture `{file}` has {:.0} pixels an inch at this size, expected {:.0} at least",
            dpi.floor(),
            wanted.ceil()
        );
        let hint = format!(
            "take a picture with {:.1} times as many pixels along each side, or print it smaller",
            (wanted / dpi * 10.0).ceil() / 10.0
        );
        self.find(bound, Finding::new(&rules::COARSE_PICTURE, message).hint(hint));
    }

    /// Whether what is painted may have colours.
    fn has_colour(&self) -> bool {
        self.frame.colour && !self.composer.pictures.black
    }

    /// Paints a drawing's shapes: in their own colours where there are any; what is black takes the ink
    /// of the block.
    fn paint_drawing(&mut self, drawing: &Drawing, rect: Rect, scale: f64, place: Place) {
        for shape in &drawing.shapes {
            let ink = match (place.ink, shape.white) {
                (Ink::White, white) => {
                    if white {
                        Ink::Black
                    } else {
                        Ink::White
                    }
                }
                _ if self.has_colour() && !is_plain(shape.colour) => Ink::Colour(shape.colour),
                (_, true) => Ink::White,
                (ink, false) => ink,
            };
            let outline = Outline {
                segments: Arc::clone(&shape.segments),
                offset: rect.origin(),
                scale,
                rule: shape.rule,
                ink,
                stance: Stance::UPRIGHT,
                rect,
                part_of: OutlineUse::Picture,
            };
            self.mark(place.id, MarkKind::Outline(outline));
        }
    }
}

/// Whether a colour is black or white, and no more.
fn is_plain(colour: Rgb) -> bool {
    colour == Rgb::BLACK || colour == Rgb::WHITE
}

/// Finds the box of a picture in its room.
fn find_spot(
    bound: &Bound<'_>,
    file: &str,
    natural: Size,
    fit: Scaling,
    room: Rect,
) -> Result<PictureSpot, Finding> {
    let (across, down) = (room.width / natural.width, room.height / natural.height);
    let scale = match fit {
        Scaling::Contain => across.min(down),
        Scaling::Cover => across.max(down),
        Scaling::Actual => 1.0,
    };
    if !(scale.is_finite() && across.min(down) > 0.0) {
        let message = format!("there is no room for the picture `{file}`");
        let hint = "give the block a `height` or `width`";
        return Err(Finding::new(&rules::OVERFLOW, message).hint(hint));
    }
    let size = Size::new(natural.width * scale, natural.height * scale);
    if fit == Scaling::Actual
        && (size.width.exceeds(room.width) || size.height.exceeds(room.height))
    {
        let message = format!(
            "the picture `{file}` is {} × {} and its block {} × {}",
            size.width, size.height, room.width, room.height
        );
        let hint = "make the block larger, or let the picture shrink with `fit: contain`";
        return Err(Finding::new(&rules::OVERFLOW, message).hint(hint));
    }
    let x = room.x + slack(bound.block.align, room.width - size.width);
    let y = room.y + shift(bound.block.sit, room.height - size.height);
    let all = Rect::at(Point::new(x, y), size);
    let shown = if fit == Scaling::Cover { room } else { all };
    Ok(PictureSpot { scale, all, shown })
}

/// The pixels of a picture that show at least in part.
fn shown_pixels(image: &GrayImage, spot: &PictureSpot) -> PixelBox {
    let along = |from: Mm, length: Mm, all: Mm, pixels: u32| {
        let pixel = all.0 / f64::from(pixels);
        // What is off by a thousandth of a pixel is rounding.
        let first = (from.0 / pixel + 0.001).floor().max(0.0) as u32;
        let end = ((from + length).0 / pixel - 0.001).ceil() as u32;
        let first = first.min(pixels - 1);
        (first, end.clamp(first + 1, pixels) - first)
    };
    let (all, shown) = (spot.all, spot.shown);
    let (left, width) = along(shown.x - all.x, shown.width, all.width, image.width);
    let (top, height) = along(shown.y - all.y, shown.height, all.height, image.height);
    PixelBox { left, top, width, height }
}

/// The bytes that a raster's pixels take.
fn raster_bytes(raster: &Raster) -> usize {
    match raster {
        Raster::Gray(image) => image.pixels.len(),
        Raster::Colour(image) => image.pixels.len(),
        Raster::Bits(image) => image.rows.len(),
    }
}

/// The size a picture has of its own.
fn natural_size(picture: &Picture) -> Size {
    match picture {
        Picture::Raster(image) => {
            let mm = |pixels: u32| Mm(f64::from(pixels) * MM_PER_INCH / USUAL_DPI);
            Size::new(mm(image.width), mm(image.height))
        }
        Picture::Drawing(drawing) => Size::new(Mm(drawing.width), Mm(drawing.height)),
    }
}
