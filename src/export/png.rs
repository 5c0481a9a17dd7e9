//! Finished pages into one bit a printer dot, and into PNG files of that.
//!
//! In: a [`Page`] of a scene and its fonts. Out: a [`Bitmap`], which verify and the tests look at,
//! or a PNG whose pixels are the printer's dots, in colour if the page has any. Not here: dithering (`images`), judging the
//! result (`verify`).

mod bitmap;
mod canvas;
mod raster;
mod scan;

use std::io;

use super::marks::{has_colour, pack_rows};
use crate::fonts::FontBook;
use crate::geom::DotGrid;
use crate::images::Raster;
use crate::scene::Page;

pub use bitmap::Bitmap;
pub use raster::rasterise;
use raster::rasterise_colour;

/// Draws a page as a PNG, a pixel a printer dot: of one bit, or in colour if the page has any.
///
/// # Errors
/// When the page is smaller than a dot.
pub fn render_png(page: &Page, book: &FontBook) -> io::Result<Vec<u8>> {
    if !has_colour(page) {
        return encode_page(&rasterise(page, book), page.grid);
    }
    let dots = rasterise_colour(page, book);
    let format = PixelFormat { colour: png::ColorType::Rgb, depth: png::BitDepth::Eight };
    encode([dots.width, dots.height], format, &dots.pixels, Some(dots_per_metre(page.grid)))
}

/// How many dots a metre has, rounded: PNG knows no other unit.
fn dots_per_metre(grid: DotGrid) -> u32 {
    (grid.per_mm() * 1000.0).round() as u32
}

/// What a pixel of a file is.
#[derive(Clone, Copy)]
struct PixelFormat {
    /// Grey or coloured.
    colour: png::ColorType,
    /// Bits of each channel.
    depth: png::BitDepth,
}

impl PixelFormat {
    /// Black or white.
    const BIT: PixelFormat =
        PixelFormat { colour: png::ColorType::Grayscale, depth: png::BitDepth::One };
}

/// A page of dots as a PNG that states how many of its pixels make a metre.
///
/// # Errors
/// When the page has no dots at all.
fn encode_page(page: &Bitmap, grid: DotGrid) -> io::Result<Vec<u8>> {
    // In a PNG 0 is black.
    let data: Vec<u8> = page.rows().iter().map(|byte| !byte).collect();
    encode([page.width(), page.height()], PixelFormat::BIT, &data, Some(dots_per_metre(grid)))
}

/// A picture as a PNG.
///
/// # Errors
/// When the picture has no pixels or not as many as it says.
pub(crate) fn encode_picture(raster: &Raster) -> io::Result<Vec<u8>> {
    match raster {
        Raster::Gray(image) => {
            let format = PixelFormat { depth: png::BitDepth::Eight, ..PixelFormat::BIT };
            encode([image.width, image.height], format, &image.pixels, None)
        }
        Raster::Colour(image) => {
            let format = PixelFormat { colour: png::ColorType::Rgb, depth: png::BitDepth::Eight };
            encode([image.width, image.height], format, &image.pixels, None)
        }
        Raster::Bits(image) => {
            let data: Vec<u8> = pack_rows(image).into_iter().map(|byte| !byte).collect();
            encode([image.width, image.height], PixelFormat::BIT, &data, None)
        }
    }
}

/// Pixels as a PNG.
fn encode(
    [width, height]: [u32; 2],
    format: PixelFormat,
    data: &[u8],
    per_metre: Option<u32>,
) -> io::Result<Vec<u8>> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, width, height);
    encoder.set_color(format.colour);
    encoder.set_depth(format.depth);
    encoder.set_compression(png::Compression::Balanced);
    encoder.set_filter(png::Filter::NoFilter);
    encoder.set_pixel_dims(per_metre.map(|count| png::PixelDimensions {
        xppu: count,
        yppu: count,
        unit: png::Unit::Meter,
    }));
    let mut writer = encoder.write_header().map_err(io::Error::from)?;
    writer.write_image_data(data).map_err(io::Error::from)?;
    writer.finish().map_err(io::Error::from)?;
    Ok(file)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_say_one_bit_and_the_resolution() {
        let mut page = Bitmap::new(10, 2);
        page.fill_run(0, 2, 5, true);
        let file = encode_page(&page, DotGrid::DPI_203).unwrap();
        let mut reader = png::Decoder::new(io::Cursor::new(file)).read_info().unwrap();
        let info = reader.info();
        assert_eq!((info.width, info.height), (10, 2));
        assert_eq!(
            (info.color_type, info.bit_depth),
            (png::ColorType::Grayscale, png::BitDepth::One)
        );
        assert_eq!(info.pixel_dims.map(|dims| (dims.xppu, dims.yppu)), Some((8000, 8000)));
        let mut data = vec![0; 4];
        reader.next_frame(&mut data).unwrap();
        assert_eq!(data[0], 0b1100_0111);
    }

    #[test]
    fn a_page_without_dots_is_refused() {
        assert!(encode_page(&Bitmap::new(0, 5), DotGrid::DPI_203).is_err());
    }
}
