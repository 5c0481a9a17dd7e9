//! A picture looked at in other ways: larger, smaller, turned.
//!
//! In: a grey picture and a way to look at it. Out: other pixels, and where each lies in the picture. Not
//! here: what is read in them.

use std::borrow::Cow;

use crate::images::GrayImage;

/// What is taken for beyond the edge of a picture that is turned: paper and daylight are as bright.
const BEYOND: u8 = 255;

/// The ways a picture is looked at, the most likely first. Ours, measured with pictures of our own labels
/// and cards (`tests/it/camera.rs` holds some of them): as it is finds most; twice as large finds modules of
/// two pixels and less; turned by 45° what stands on a corner; half as large what is near and blurred. The
/// second and third are sharpened first: of eighteen pairs held 350 mm away and blurred by a pixel, three
/// were read without and fifteen with it.
pub(super) const VIEWS: [CameraView; 4] =
    [CameraView::AsIs, CameraView::Doubled, CameraView::Turned, CameraView::Halved];

/// A way to look at a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CameraView {
    /// With the pixels that the camera gave.
    AsIs,
    /// Twice as large.
    Doubled,
    /// Half as large, each pixel the mean of four.
    Halved,
    /// Turned by 45°, for what stands on a corner.
    Turned,
}

/// A picture looked at in one way.
pub(super) struct PictureView<'p> {
    /// Pixels across.
    width: u32,
    /// Pixels down.
    height: u32,
    /// How light each is, row by row, 0 for black.
    pixels: Cow<'p, [u8]>,
    /// How its places become places of the picture.
    way: PlaceMap,
}

/// How places of a view become places of a picture: the picture's place of the view's corner, of a step
/// across and of a step down.
#[derive(Clone, Copy, Debug)]
struct PlaceMap {
    /// Where the view's top left corner lies.
    corner: [f64; 2],
    /// What a pixel to the right is.
    across: [f64; 2],
    /// What a pixel down is.
    down: [f64; 2],
}

impl PlaceMap {
    /// A map that only scales.
    fn scaled(scale: f64) -> PlaceMap {
        PlaceMap { corner: [0.0, 0.0], across: [scale, 0.0], down: [0.0, scale] }
    }

    /// Where in the picture a place of the view is.
    fn map(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let one = |axis: usize| self.corner[axis] + x * self.across[axis] + y * self.down[axis];
        [one(0), one(1)]
    }
}

impl<'p> PictureView<'p> {
    /// A picture looked at in a way.
    pub(super) fn of(picture: &'p GrayImage, way: CameraView) -> PictureView<'p> {
        let (width, height) = (picture.width, picture.height);
        match way {
            CameraView::AsIs => PictureView {
                width,
                height,
                pixels: Cow::Borrowed(&picture.pixels),
                way: PlaceMap::scaled(1.0),
            },
            CameraView::Doubled => {
                sampled(&sharpened(picture), [2 * width, 2 * height], PlaceMap::scaled(0.5))
            }
            CameraView::Halved => halved(picture),
            CameraView::Turned => turned(&sharpened(picture)),
        }
    }

    /// Pixels across.
    pub(super) fn width(&self) -> u32 {
        self.width
    }

    /// Pixels down.
    pub(super) fn height(&self) -> u32 {
        self.height
    }

    /// Its pixels, row by row.
    pub(super) fn pixels(&self) -> &[u8] {
        &self.pixels
    }

    /// Where one of its places lies in the picture.
    pub(super) fn to_picture(&self, place: [f64; 2]) -> [f64; 2] {
        self.way.map(place)
    }
}

/// A picture in which every pixel differs twice as much from those around it; its edge stays as it is.
fn sharpened(picture: &GrayImage) -> GrayImage {
    let across = picture.width as usize;
    let mut sharp = picture.clone();
    for row in 1..(picture.height as usize).saturating_sub(1) {
        let rows = [row - 1, row, row + 1].map(|row| &picture.pixels[row * across..][..across]);
        for column in 1..across.saturating_sub(1) {
            // Its neighbours at the sides count twice as much as those at the corners.
            let sum = |row: usize, weights: [i32; 3]| -> i32 {
                let three = &rows[row][column - 1..=column + 1];
                three.iter().zip(weights).map(|(&light, weight)| i32::from(light) * weight).sum()
            };
            let around = (sum(0, [1, 2, 1]) + sum(1, [2, 0, 2]) + sum(2, [1, 2, 1])) / 12;
            let light = 2 * i32::from(rows[1][column]) - around;
            sharp.pixels[row * across + column] = light.clamp(0, 255) as u8;
        }
    }
    sharp
}

/// A view whose pixels are blended from the four that lie nearest in the picture.
fn sampled(picture: &GrayImage, [width, height]: [u32; 2], way: PlaceMap) -> PictureView<'static> {
    let mut pixels = Vec::with_capacity(width as usize * height as usize);
    for y in 0..height {
        for x in 0..width {
            pixels.push(blend(picture, way.map([f64::from(x) + 0.5, f64::from(y) + 0.5])));
        }
    }
    PictureView { width, height, pixels: Cow::Owned(pixels), way }
}

/// The light at a place of a picture, between its pixels; beyond its edge it is bright.
fn blend(picture: &GrayImage, [x, y]: [f64; 2]) -> u8 {
    let (width, height) = (f64::from(picture.width), f64::from(picture.height));
    if !(0.0..width).contains(&x) || !(0.0..height).contains(&y) {
        return BEYOND;
    }
    // In 256ths of a pixel: whole numbers are quicker, and the same everywhere.
    let fixed = |value: f64, most: f64| ((value - 0.5).clamp(0.0, most - 1.0) * 256.0) as usize;
    let (x, y) = (fixed(x, width), fixed(y, height));
    let (column, row) = (x / 256, y / 256);
    let across = picture.width as usize;
    let right = usize::from(column + 1 < across);
    let below = if row + 1 < picture.height as usize { across } else { 0 };
    let at = |offset: usize| {
        usize::from(picture.pixels.get(row * across + column + offset).copied().unwrap_or(BEYOND))
    };
    let mix = |one: usize, other: usize, part: usize| one * (256 - part) + other * part;
    let (part_x, part_y) = (x % 256, y % 256);
    let (above, under) = (mix(at(0), at(right), part_x), mix(at(below), at(below + right), part_x));
    (mix(above, under, part_y) >> 16) as u8
}

/// A picture half as large; an odd last row or column is left out.
fn halved(picture: &GrayImage) -> PictureView<'static> {
    let (width, height) = (picture.width / 2, picture.height / 2);
    let across = picture.width as usize;
    let mut pixels = Vec::with_capacity(width as usize * height as usize);
    for rows in picture.pixels.chunks_exact(2 * across) {
        let (upper, lower) = rows.split_at(across);
        let sums = upper.chunks_exact(2).zip(lower.chunks_exact(2));
        let sum = |pair: &[u8]| pair.iter().map(|&light| u16::from(light)).sum::<u16>();
        pixels.extend(sums.map(|(one, other)| ((sum(one) + sum(other)) / 4) as u8));
    }
    PictureView { width, height, pixels: Cow::Owned(pixels), way: PlaceMap::scaled(2.0) }
}

/// A picture turned by 45° about its middle, all of it.
fn turned(picture: &GrayImage) -> PictureView<'static> {
    let (width, height) = (f64::from(picture.width), f64::from(picture.height));
    let step = std::f64::consts::FRAC_1_SQRT_2;
    let side = ((width + height) * step).ceil();
    let corner = [width / 2.0 - side * step, height / 2.0];
    let way = PlaceMap { corner, across: [step, -step], down: [step, step] };
    sampled(picture, [side as u32, side as u32], way)
}
