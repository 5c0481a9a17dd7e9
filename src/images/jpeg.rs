//! JPEG files to grey pixels.
//!
//! In: the bytes of a JPEG file, grey, colour or in printing inks. Out: grey pixels, upright.
//! Colour is decoded in full and then weighed, because the file's own luminance channel has
//! other weights (Rec. 601) than PNG pixels get here. Not here: colour profiles.

use std::io::Cursor;

use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use super::jpeg_segments::{JpegFrame, read_frame};
use super::luma::Samples;
use super::{GrayImage, ImageError, ImageFormat};

/// The most passes over the picture; progressive files have about ten.
const MAX_SCANS: usize = 40;

/// Reads a JPEG file.
pub(super) fn decode_jpeg(bytes: &[u8]) -> Result<GrayImage, ImageError> {
    let frame = read_frame(bytes)?;
    // Inks are taken for stored as their opposites even where no Adobe segment says so; browsers
    // and most other programs do the same.
    let space = if frame.channels == 1 { ColorSpace::Luma } else { ColorSpace::RGB };
    let samples = decode_samples(bytes, frame, space)?;
    let pixels = match space {
        ColorSpace::Luma => samples,
        _ => {
            let mut pixels = Vec::with_capacity(samples.len() / 3);
            Samples::Rgb.push_row(&samples, &mut pixels);
            pixels
        }
    };
    let (width, height) = (frame.width, frame.height);
    if pixels.len() as u64 != u64::from(width) * u64::from(height) {
        return Err(ImageError::CutShort { format: ImageFormat::Jpeg });
    }
    Ok(frame.orientation.apply(GrayImage { width, height, pixels }))
}

/// The samples of all pixels in a colour space.
fn decode_samples(
    bytes: &[u8],
    frame: JpegFrame,
    space: ColorSpace,
) -> Result<Vec<u8>, ImageError> {
    // Without the vector units every machine computes the same bytes.
    let options = DecoderOptions::new_safe()
        .set_strict_mode(true)
        .set_max_width(frame.width as usize)
        .set_max_height(frame.height as usize)
        .jpeg_set_max_scans(MAX_SCANS)
        .jpeg_set_out_colorspace(space);
    let mut decoder = JpegDecoder::new_with_options(Cursor::new(bytes), options);
    decoder.decode().map_err(|error| ImageError::Damaged {
        format: ImageFormat::Jpeg,
        detail: error.to_string().trim_end_matches(['.', '\n', ' ']).to_owned(),
    })
}
