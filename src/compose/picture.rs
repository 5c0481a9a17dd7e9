//! Pictures: read once, brought to the printer's dots once a size, placed as often as wanted.

use std::sync::Arc;

use super::load::DotSize;
use super::picture_store::PixelBox;
use super::stack::{shift, slack};
use super::{Job, Place};
use crate::bind::Bound;
use crate::colour::Rgb;
use crate::findings::{Finding, rules};
use crate::geom::{MM_PER_INCH, Mm, Point, Rect, Size, Stance};
use crate::images::{Drawing, GrayImage, Picture};
use crate::layout::Scaling;
use crate::scene::{Ink, MarkKind, Outline, OutlineUse, PictureMark};

/// Dots in an inch of a raster picture that says nothing about its size.
const USUAL_DPI: f64 = 300.0;

/// The fewest pixels an inch of a picture in greys that do not show.
const COARSEST_GREY: f64 = 100.0;

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
