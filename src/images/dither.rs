//! Grey pixels to black and white ones.
//!
//! In: grey pixels, one a printer dot. Out: one bit a pixel: line art cut at half grey, anything
//! else by error diffusion after Floyd and Steinberg. Not here: the size.

use super::picture::{BitImage, GrayImage};

/// Greys below this become black.
const THRESHOLD: u8 = 128;

/// Greys up to this are near black, and from 255 less this on near white.
const NEAR: u8 = 48;

/// Line art may have one grey area pixel to so many of the rarer of black and white.
const LINE_ART_RATIO: usize = 20;

/// The picture in black and white.
///
/// Line art is cut at half grey, which keeps its edges sharp. Anything else is dithered.
///
/// Line art is a picture in which grey is found almost only where black meets white: leaving out
/// grey pixels that touch both, what is grey comes to at most a twentieth of what is black or of
/// what is white, whichever is less.
#[must_use]
pub fn dither(image: &GrayImage) -> BitImage {
    if is_line_art(image) { cut(image) } else { diffuse(image) }
}

/// Whether a picture is drawn in black and white.
///
/// A pixel is grey when it is neither near black nor near white (within [`NEAR`]). Grey pixels
/// that touch, corners included, both a near black and a near white one are smoothed edges. Of
/// the others line art has at most a twentieth of the rarer of two counts: pixels that are not
/// near white and pixels that are not near black. A share of the rarer and not of all pixels,
/// because a small photograph on a large white ground is still one.
fn is_line_art(image: &GrayImage) -> bool {
    let width = image.width as usize;
    let rows: Vec<&[u8]> = image.pixels.chunks_exact(width.max(1)).collect();
    let (mut dark, mut light, mut gray) = (0_usize, 0_usize, 0_usize);
    for (y, row) in rows.iter().enumerate() {
        for (x, value) in row.iter().enumerate() {
            match () {
                () if is_dark(*value) => dark += 1,
                () if is_light(*value) => light += 1,
                () => gray += usize::from(!is_edge(&rows, x, y)),
            }
        }
    }
    let total = rows.len() * width;
    let rarer = (total - light).min(total - dark);
    gray * LINE_ART_RATIO <= rarer
}

/// Whether a grey is near black.
fn is_dark(gray: u8) -> bool {
    gray <= NEAR
}

/// Whether a grey is near white.
fn is_light(gray: u8) -> bool {
    gray >= 255 - NEAR
}

/// Whether the pixel at `x`, `y` touches both a near black and a near white one.
fn is_edge(rows: &[&[u8]], x: usize, y: usize) -> bool {
    let around = rows[y.saturating_sub(1)..rows.len().min(y + 2)]
        .iter()
        .flat_map(|row| &row[x.saturating_sub(1)..row.len().min(x + 2)]);
    let (mut dark, mut light) = (false, false);
    for gray in around {
        dark |= is_dark(*gray);
        light |= is_light(*gray);
    }
    dark && light
}

/// The picture cut at half grey.
fn cut(image: &GrayImage) -> BitImage {
    let mut bits = BitImage::white(image.width, image.height);
    for (y, row) in image.pixels.chunks_exact((image.width as usize).max(1)).enumerate() {
        for (x, gray) in row.iter().enumerate() {
            if *gray < THRESHOLD {
                blacken(&mut bits, x, y);
            }
        }
    }
    bits
}

/// Makes the pixel at `x`, `y` black.
fn blacken(bits: &mut BitImage, x: usize, y: usize) {
    bits.rows[y * bits.stride + x / 8] |= 0x80 >> (x % 8);
}

/// The picture with each pixel's error handed to its neighbours: 7/16 onwards, 3/16, 5/16 and
/// 1/16 below, every second row from right to left so that no pattern leans one way.
///
/// Errors are counted in sixteenths of a grey, so that none is lost to rounding.
fn diffuse(image: &GrayImage) -> BitImage {
    let mut bits = BitImage::white(image.width, image.height);
    let width = image.width as usize;
    // One cell of margin on both sides takes the errors handed out of the picture.
    let (mut here, mut below) = (vec![0_i32; width + 2], vec![0_i32; width + 2]);
    for (y, row) in image.pixels.chunks_exact(width.max(1)).enumerate() {
        let leftwards = y % 2 == 1;
        for step in 0..width {
            let x = if leftwards { width - 1 - step } else { step };
            let cell = x + 1;
            let (ahead, behind) =
                if leftwards { (cell - 1, cell + 1) } else { (cell + 1, cell - 1) };
            let gray = i32::from(row[x]) * 16 + here[cell];
            let black = gray < i32::from(THRESHOLD) * 16;
            let error = if black { gray } else { gray - 255 * 16 };
            if black {
                blacken(&mut bits, x, y);
            }
            let (onwards, back, under) = (error * 7 / 16, error * 3 / 16, error * 5 / 16);
            here[ahead] += onwards;
            below[behind] += back;
            below[cell] += under;
            below[ahead] += error - onwards - back - under;
        }
        std::mem::swap(&mut here, &mut below);
        below.fill(0);
    }
    bits
}
