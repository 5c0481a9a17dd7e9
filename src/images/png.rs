//! PNG files to grey pixels.
//!
//! In: the bytes of a PNG file of any colour type and depth. Out: grey pixels, transparent parts
//! over white. Rows are turned grey as they are read, so that only one byte a pixel is held.
//! Of an animation the still picture is taken. Not here: gamma and colour profile chunks.

use std::io::Cursor;

use ::png::{
    BitDepth, ColorType, Decoder, DecodingError, InterlaceInfo, Limits, Reader, Transformations,
    expand_interlaced_row,
};

use super::error::{ImageError, ImageFormat};
use super::jpeg::Orientation;
use super::luma::Samples;
use super::picture::{GrayImage, check_pixels};

/// The most memory the decoder may take for rows and side data, in bytes: a 16-bit colour row of
/// the widest picture several times over.
const MAX_DECODER_BYTES: usize = 1 << 30;

/// Reads a PNG file.
pub(super) fn decode_png(bytes: &[u8]) -> Result<GrayImage, ImageError> {
    let limits = Limits { bytes: MAX_DECODER_BYTES };
    let mut decoder = Decoder::new_with_limits(Cursor::new(bytes), limits);
    decoder.set_ignore_text_chunk(true);
    decoder.set_ignore_iccp_chunk(true);
    decoder.set_transformations(Transformations::EXPAND);
    let (width, height) = decoder.read_header_info().map_err(explain)?.size();
    check_pixels(ImageFormat::Png, width, height)?;
    let mut reader = decoder.read_info().map_err(explain)?;
    let pixels = read_pixels(&mut reader, width, height)?;
    // What follows the pixels is read too: it proves that the file is whole.
    reader.finish().map_err(explain)?;
    let exif = reader.info().exif_metadata.as_deref();
    let orientation = exif.map_or(Orientation::UPRIGHT, Orientation::from_exif);
    Ok(orientation.apply(GrayImage { width, height, pixels }))
}

/// Reads all rows as grey pixels.
fn read_pixels(
    reader: &mut Reader<Cursor<&[u8]>>,
    width: u32,
    height: u32,
) -> Result<Vec<u8>, ImageError> {
    let (color, depth) = reader.output_color_type();
    let samples = match color {
        ColorType::Grayscale => Samples::Gray,
        ColorType::GrayscaleAlpha => Samples::GrayAlpha,
        ColorType::Rgba => Samples::Rgba,
        // Palettes are resolved by the decoder.
        ColorType::Rgb | ColorType::Indexed => Samples::Rgb,
    };
    let columns = width as usize;
    let size = columns * height as usize;
    let mut pixels = Vec::with_capacity(size);
    let mut greys = Vec::new();
    while let Some(row) = reader.next_interlaced_row().map_err(explain)? {
        greys.clear();
        match depth {
            BitDepth::Sixteen => samples.push_wide_row(row.data(), &mut greys),
            _ => samples.push_row(row.data(), &mut greys),
        }
        match row.interlace() {
            InterlaceInfo::Null(_) => pixels.extend_from_slice(&greys),
            InterlaceInfo::Adam7(pass) => {
                pixels.resize(size, 255);
                expand_interlaced_row(&mut pixels, columns, &greys, pass, 8);
            }
        }
    }
    match pixels.len() == size {
        true => Ok(pixels),
        false => Err(ImageError::CutShort { format: ImageFormat::Png }),
    }
}

/// The decoder's complaint in our words.
fn explain(error: DecodingError) -> ImageError {
    let format = ImageFormat::Png;
    match error {
        DecodingError::IoError(cause) if cause.kind() == std::io::ErrorKind::UnexpectedEof => {
            ImageError::CutShort { format }
        }
        other => {
            let detail = other.to_string();
            let detail = detail.trim_end_matches('.').to_owned();
            ImageError::Damaged { format, detail }
        }
    }
}
