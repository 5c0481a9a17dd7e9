//! Pictures: read once, brought to the printer's dots once a size, placed as often as wanted.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};

use super::stack::{shift, slack};
use super::{Job, Place};
use crate::bind::Bound;
use crate::diag::Diagnostic;
use crate::geom::{MM_PER_INCH, Mm, Point, Rect, Size};
use crate::images::{self, Drawing, Picture, Raster};
use crate::scene::{Ink, MarkKind, Outline, PictureMark};
use crate::source::{Env, confine};

/// Dots in an inch of a raster picture that says nothing about its size.
const USUAL_DPI: f64 = 300.0;

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

/// The pictures of one layout.
pub struct PictureStore<'e> {
    /// Where files come from.
    env: &'e dyn Env,
    /// The folder that file names start from.
    folder: PathBuf,
    /// Pictures by file name, with the reason when one cannot be used.
    read: Mutex<BTreeMap<String, Result<Arc<Picture>, Unusable>>>,
    /// Rasters by file name and dots across and down.
    scaled: Mutex<BTreeMap<(String, u32, u32), Arc<Raster>>>,
}

impl<'e> PictureStore<'e> {
    /// A store of pictures in and below a folder.
    #[must_use]
    pub fn new(env: &'e dyn Env, folder: impl Into<PathBuf>) -> PictureStore<'e> {
        let (read, scaled) = (Mutex::default(), Mutex::default());
        PictureStore { env, folder: folder.into(), read, scaled }
    }

    /// A picture, read when first asked for.
    fn get(&self, file: &str) -> Result<Arc<Picture>, Unusable> {
        let mut read = self.read.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = read.get(file) {
            return known.clone();
        }
        let found = self.load(file).map(Arc::new);
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
            // The system's words without its number.
            let words = error.to_string().to_lowercase();
            let words = words.split(" (os error").next().unwrap_or_default();
            Unusable::file(format!("the picture `{file}` cannot be read: {words}"))
        })?;
        images::decode(&bytes).map_err(|error| Unusable {
            message: format!("the picture `{file}` cannot be used: {error}"),
            hint: error.hint(),
        })
    }

    /// A raster at the printer's dots.
    fn scale(&self, file: &str, image: &images::GrayImage, dots: (u32, u32)) -> Arc<Raster> {
        let mut scaled = self.scaled.lock().unwrap_or_else(PoisonError::into_inner);
        let key = (file.to_owned(), dots.0, dots.1);
        let made = scaled.entry(key).or_insert_with(|| {
            let resampled = images::resample(image, dots.0, dots.1);
            Arc::new(Raster::Bits(images::dither(&resampled)))
        });
        Arc::clone(made)
    }
}

impl Job<'_, '_> {
    /// The height of a picture that is `width` wide, if it can be read.
    pub(super) fn picture_height(&self, file: &str, width: Mm) -> Mm {
        match self.composer.pictures.get(file) {
            Ok(picture) => {
                let size = natural_size(&picture);
                size.height * (width.min(size.width) / size.width)
            }
            Err(_) => Mm::ZERO,
        }
    }

    /// The width of a picture that is `height` high, if it can be read.
    pub(super) fn picture_width(
        &mut self,
        bound: &Bound<'_>,
        file: &str,
        height: Option<Mm>,
        most: Mm,
    ) -> Mm {
        let height = bound.block.height.map(|own| self.length(own)).or(height);
        match self.composer.pictures.get(file) {
            Ok(picture) => {
                let size = natural_size(&picture);
                let height = height.unwrap_or(size.height);
                (size.width * (height / size.height)).min(most)
            }
            Err(_) => Mm::ZERO,
        }
    }

    /// Paints a picture, as large as its box allows without distorting it.
    pub(super) fn place_picture(&mut self, bound: &Bound<'_>, file: &str, place: Place) {
        let picture = match self.composer.pictures.get(file) {
            Ok(picture) => picture,
            Err(why) => {
                let finding = Diagnostic::error("picture", why.message);
                return self.find(bound, finding.hint(why.hint));
            }
        };
        let natural = natural_size(&picture);
        let room = place.rect;
        let scale = (room.width / natural.width).min(room.height / natural.height);
        if !(scale.is_finite() && scale > 0.0) {
            let message = format!("there is no room for the picture `{file}`");
            let hint = "give the block a `height` or `width`";
            return self.find(bound, Diagnostic::error("overflow", message).hint(hint));
        }
        let size = Size::new(natural.width * scale, natural.height * scale);
        let x = room.x + slack(bound.block.align, room.width - size.width);
        let y = room.y + shift(bound.block.sit, room.height - size.height);
        match &*picture {
            Picture::Raster(image) => {
                let grid = self.frame.grid;
                let at = Point::new(grid.snap(x), grid.snap(y));
                let dots = (
                    grid.whole_dots_within(size.width).max(1),
                    grid.whole_dots_within(size.height).max(1),
                );
                let rect = Rect::new(
                    at.x,
                    at.y,
                    grid.length(f64::from(dots.0)),
                    grid.length(f64::from(dots.1)),
                );
                let raster = match self.frame.one_bit {
                    true => self.composer.pictures.scale(file, image, dots),
                    false => Arc::new(Raster::Gray(image.clone())),
                };
                self.mark(place.id, MarkKind::Picture(PictureMark { raster, rect }));
            }
            Picture::Drawing(drawing) => {
                self.paint_drawing(drawing, Rect::at(Point::new(x, y), size), scale, place);
            }
        }
    }

    /// Paints a drawing's shapes.
    fn paint_drawing(&mut self, drawing: &Drawing, rect: Rect, scale: f64, place: Place) {
        for shape in &drawing.shapes {
            let white = shape.white != (place.ink == Ink::White);
            let outline = Outline {
                segments: Arc::clone(&shape.segments),
                offset: rect.origin(),
                scale,
                rule: shape.rule,
                ink: if white { Ink::White } else { Ink::Black },
                rect,
            };
            self.mark(place.id, MarkKind::Outline(outline));
        }
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
