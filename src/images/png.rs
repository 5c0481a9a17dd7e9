//! PNG files to grey or coloured pixels.
//!
//! In: the bytes of a PNG file of any colour type and depth. Out: grey pixels, transparent parts
//! over white; or colours, if it has any. Rows are turned grey as they are read, so that only one byte a
//! pixel is held.
//! Of an animation the still picture is taken. Not here: gamma and colour profile chunks.

use std::io::Cursor;

use ::png::{
    BitDepth, ColorType, Decoder, DecodingError, InterlaceInfo, Limits, Reader, Transformations,
    expand_interlaced_row,
};

use super::error::{ImageError, ImageFormat};
use super::jpeg::Orientation;
use super::luma::Samples;
use super::picture::{ColourImage, GrayImage, check_pixels};

/// The most memory the decoder may take for rows and side data, in bytes: a 16-bit colour row of
/// the widest picture several times over.
const MAX_DECODER_BYTES: usize = 1 << 30;

/// Reads a PNG file.
pub(super) fn decode_png(bytes: &[u8]) -> Result<GrayImage, ImageError> {
    let OpenPng { mut reader, width, height } = open_png(bytes)?;
    let pixels = read_pixels(&mut reader, width, height, Channels::Grey)?;
    let orientation = finish_png(&mut reader)?;
    Ok(orientation.apply(GrayImage { width, height, pixels }))
}

/// Reads a PNG file in colour; none when it has greys alone.
pub(super) fn decode_colour_png(bytes: &[u8]) -> Result<Option<ColourImage>, ImageError> {
    let OpenPng { mut reader, width, height } = open_png(bytes)?;
    if !samples_of(reader.output_color_type().0).has_colour() {
        return Ok(None);
    }
    let pixels = read_pixels(&mut reader, width, height, Channels::Colour)?;
    let orientation = finish_png(&mut reader)?;
    Ok(Some(orientation.apply_colour(ColourImage { width, height, pixels })))
}

/// What is read of each pixel.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Channels {
    /// How light it is.
    Grey,
    /// Red, green and blue.
    Colour,
}

/// A PNG file whose pixels come next.
struct OpenPng<'b> {
    /// What reads them.
    reader: Reader<Cursor<&'b [u8]>>,
    /// Pixels across.
    width: u32,
    /// Pixels down.
    height: u32,
}

/// Opens a PNG file and looks at its size.
fn open_png(bytes: &[u8]) -> Result<OpenPng<'_>, ImageError> {
    let limits = Limits { bytes: MAX_DECODER_BYTES };
    let mut decoder = Decoder::new_with_limits(Cursor::new(bytes), limits);
    decoder.set_ignore_text_chunk(true);
    decoder.set_ignore_iccp_chunk(true);
    decoder.set_transformations(Transformations::EXPAND);
    let (width, height) = decoder.read_header_info().map_err(explain)?.size();
    check_pixels(ImageFormat::Png, width, height)?;
    Ok(OpenPng { reader: decoder.read_info().map_err(explain)?, width, height })
}

/// Reads what follows the pixels, which proves that the file is whole, and tells which way is up.
fn finish_png(reader: &mut Reader<Cursor<&[u8]>>) -> Result<Orientation, ImageError> {
    reader.finish().map_err(explain)?;
    let exif = reader.info().exif_metadata.as_deref();
    Ok(exif.map_or(Orientation::UPRIGHT, Orientation::from_exif))
}

/// The samples of a pixel once it is expanded.
fn samples_of(color: ColorType) -> Samples {
    match color {
        ColorType::Grayscale => Samples::Gray,
        ColorType::GrayscaleAlpha => Samples::GrayAlpha,
        ColorType::Rgba => Samples::Rgba,
        // Palettes are resolved by the decoder.
        ColorType::Rgb | ColorType::Indexed => Samples::Rgb,
    }
}

/// Reads all rows as grey or coloured pixels.
fn read_pixels(
    reader: &mut Reader<Cursor<&[u8]>>,
    width: u32,
    height: u32,
    channels: Channels,
) -> Result<Vec<u8>, ImageError> {
    let (color, depth) = reader.output_color_type();
    let samples = samples_of(color);
    let columns = width as usize;
    let pixel_bytes: u8 = if channels == Channels::Colour { 3 } else { 1 };
    let size = columns * height as usize * usize::from(pixel_bytes);
    let mut pixels = Vec::with_capacity(size);
    let mut greys = Vec::new();
    while let Some(row) = reader.next_interlaced_row().map_err(explain)? {
        greys.clear();
        match (depth, channels) {
            (BitDepth::Sixteen, Channels::Grey) => samples.push_wide_row(row.data(), &mut greys),
            (_, Channels::Grey) => samples.push_row(row.data(), &mut greys),
            (BitDepth::Sixteen, Channels::Colour) => {
                samples.push_wide_colour_row(row.data(), &mut greys);
            }
            (_, Channels::Colour) => samples.push_colour_row(row.data(), &mut greys),
        }
        match row.interlace() {
            InterlaceInfo::Null(_) => pixels.extend_from_slice(&greys),
            InterlaceInfo::Adam7(pass) => {
                pixels.resize(size, 255);
                let stride = columns * usize::from(pixel_bytes);
                expand_interlaced_row(&mut pixels, stride, &greys, pass, 8 * pixel_bytes);
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
