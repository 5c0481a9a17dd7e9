//! Finished pages into one bit a printer dot, and into PNG files of that.
//!
//! In: a [`Page`] of a scene and its fonts. Out: a [`Bitmap`], which verify and the tests look at,
//! or a PNG whose pixels are the printer's dots. Not here: dithering (`images`), judging the
//! result (`verify`).

mod bitmap;
mod raster;
mod scan;

use std::io;

use super::marks::pack_rows;
use crate::fonts::FontBook;
use crate::geom::DotGrid;
use crate::images::Raster;
use crate::scene::Page;

pub use bitmap::Bitmap;
pub use raster::rasterise;

/// Draws a page as a PNG of one bit a printer dot.
///
/// # Errors
/// When the page is smaller than a dot.
pub fn render_png(page: &Page, book: &FontBook) -> io::Result<Vec<u8>> {
    encode_page(&rasterise(page, book), page.grid)
}

/// A page of dots as a PNG that states how many of its pixels make a metre.
///
/// # Errors
/// When the page has no dots at all.
fn encode_page(page: &Bitmap, grid: DotGrid) -> io::Result<Vec<u8>> {
    let per_metre = (grid.per_mm() * 1000.0).round() as u32;
    // In a PNG 0 is black.
    let data: Vec<u8> = page.rows().iter().map(|byte| !byte).collect();
    encode(page.width(), page.height(), png::BitDepth::One, &data, Some(per_metre))
}

/// A picture as a PNG.
///
/// # Errors
/// When the picture has no pixels or not as many as it says.
pub(crate) fn encode_picture(raster: &Raster) -> io::Result<Vec<u8>> {
    match raster {
        Raster::Gray(image) => {
            encode(image.width, image.height, png::BitDepth::Eight, &image.pixels, None)
        }
        Raster::Bits(image) => {
            let data: Vec<u8> = pack_rows(image).into_iter().map(|byte| !byte).collect();
            encode(image.width, image.height, png::BitDepth::One, &data, None)
        }
    }
}

/// Grey pixels as a PNG.
fn encode(
    width: u32,
    height: u32,
    depth: png::BitDepth,
    data: &[u8],
    per_metre: Option<u32>,
) -> io::Result<Vec<u8>> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, width, height);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(depth);
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
