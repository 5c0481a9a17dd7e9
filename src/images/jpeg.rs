//! JPEG files to grey or coloured pixels.
//!
//! In: the bytes of a JPEG file, grey, colour or in printing inks. Out: grey pixels, upright.
//! Colour is decoded in full and then weighed, because the file's own luminance channel has
//! other weights (Rec. 601) than PNG pixels get here. The segments are read by our own hand first,
//! up to the end mark: decoders fill in what a cut-off file lacks, which would lose part of a
//! picture in silence. Segment and marker names after ITU-T T.81. Not here: colour profiles; a file
//! cut off and then given an end mark again is not found out unless most of it is gone.

use std::io::Cursor;

use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use super::error::{ImageError, ImageFormat};
use super::luma::Samples;
use super::picture::{ColourImage, GrayImage, check_pixels};

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

/// Reads a JPEG file in colour; none when it has greys alone.
pub(super) fn decode_colour_jpeg(bytes: &[u8]) -> Result<Option<ColourImage>, ImageError> {
    let frame = read_frame(bytes)?;
    if frame.channels == 1 {
        return Ok(None);
    }
    let pixels = decode_samples(bytes, frame, ColorSpace::RGB)?;
    let (width, height) = (frame.width, frame.height);
    if pixels.len() as u64 != u64::from(width) * u64::from(height) * 3 {
        return Err(ImageError::CutShort { format: ImageFormat::Jpeg });
    }
    Ok(Some(frame.orientation.apply_colour(ColourImage { width, height, pixels })))
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

/// What the segments of a JPEG file tell of it.
#[derive(Clone, Copy, Debug)]
struct JpegFrame {
    /// Pixels across.
    pub(super) width: u32,
    /// Pixels down.
    pub(super) height: u32,
    /// Channels: 1 grey, 3 colour, 4 inks.
    pub(super) channels: u8,
    /// Which way is up.
    pub(super) orientation: Orientation,
}

/// Reads the segments up to the end mark.
fn read_frame(bytes: &[u8]) -> Result<JpegFrame, ImageError> {
    let mut segments = Segments { bytes, at: 2 };
    let (mut found, mut coded) = (None, None);
    let mut orientation = Orientation::UPRIGHT;
    while let Some((marker, body)) = segments.next()? {
        match marker {
            0xc0..=0xcf if !matches!(marker, 0xc4 | 0xc8 | 0xcc) => {
                if found.is_some() {
                    return Err(damaged("it has two frames"));
                }
                found = Some(read_frame_header(marker, body)?);
            }
            0xcc => return Err(unsupported("in arithmetic coding")),
            0xe1 => {
                if let Some(exif) = body.strip_prefix(b"Exif\0\0") {
                    orientation = Orientation::from_exif(exif);
                }
            }
            0xda => {
                let frame = found.ok_or_else(|| damaged("its pixels come before its size"))?;
                coded.get_or_insert((frame, bytes.len() - segments.at));
            }
            _ => {}
        }
    }
    let ((width, height, channels), coded) = coded.ok_or_else(|| damaged("it has no pixels"))?;
    if (coded as u64) < least_coded_bytes(width, height) {
        return Err(CUT_SHORT);
    }
    Ok(JpegFrame { width, height, channels, orientation })
}

/// The fewest bytes in which pixels can be coded: every block of 8 by 8 takes a bit for its mean.
fn least_coded_bytes(width: u32, height: u32) -> u64 {
    u64::from(width.div_ceil(8)) * u64::from(height.div_ceil(8)) / 8
}

/// Reads a frame header: width, height and channels.
fn read_frame_header(marker: u8, body: &[u8]) -> Result<(u32, u32, u8), ImageError> {
    match marker {
        0xc0..=0xc2 => {}
        0xc3 | 0xc7 => return Err(unsupported("in lossless coding")),
        0xc5 | 0xc6 => return Err(unsupported("in hierarchical coding")),
        _ => return Err(unsupported("in arithmetic coding")),
    }
    let &[depth, y1, y0, x1, x0, channels, ..] = body else {
        return Err(damaged("its frame header is too short"));
    };
    if depth != 8 {
        return Err(unsupported("of more than 8 bits a sample"));
    }
    if !matches!(channels, 1 | 3 | 4) {
        return Err(damaged("it has neither one, three nor four channels"));
    }
    let short = |high, low| u32::from(u16::from_be_bytes([high, low]));
    match (short(x1, x0), short(y1, y0)) {
        (_, 0) => Err(unsupported("without its height in the header")),
        (width, height) => {
            check_pixels(ImageFormat::Jpeg, width, height)?;
            Ok((width, height, channels))
        }
    }
}

/// A reader of segments.
struct Segments<'b> {
    /// The whole file.
    bytes: &'b [u8],
    /// Where the next marker is looked for.
    at: usize,
}

impl<'b> Segments<'b> {
    /// The next segment's marker and body, or `None` at the end mark.
    ///
    /// Bytes that are no marker are passed over: after a scan header they are its coded pixels,
    /// in which `ff` is followed by `00` or a restart marker.
    fn next(&mut self) -> Result<Option<(u8, &'b [u8])>, ImageError> {
        loop {
            let marker = self.find_marker().ok_or(CUT_SHORT)?;
            match marker {
                0x00 | 0x01 | 0xd0..=0xd7 => {}
                0xd8 => return Err(damaged("it starts twice")),
                0xd9 => return Ok(None),
                _ => return self.read_body().map(|body| Some((marker, body))),
            }
        }
    }

    /// Goes past the next `ff` and its fill bytes, and past the byte after them.
    fn find_marker(&mut self) -> Option<u8> {
        let rest = self.bytes.get(self.at..)?;
        let start = rest.iter().position(|byte| *byte == 0xff)?;
        let fill = rest[start..].iter().position(|byte| *byte != 0xff)?;
        self.at += start + fill + 1;
        Some(rest[start + fill])
    }

    /// Goes past a segment's length and body.
    fn read_body(&mut self) -> Result<&'b [u8], ImageError> {
        let length = self.bytes.get(self.at..self.at + 2).ok_or(CUT_SHORT)?;
        let length = usize::from(u16::from_be_bytes([length[0], length[1]]));
        if length < 2 {
            return Err(damaged("a segment has no length"));
        }
        let body = self.bytes.get(self.at + 2..self.at + length).ok_or(CUT_SHORT)?;
        self.at += length;
        Ok(body)
    }
}

/// The file ends too early.
const CUT_SHORT: ImageError = ImageError::CutShort { format: ImageFormat::Jpeg };

/// The file breaks a rule.
fn damaged(detail: &str) -> ImageError {
    ImageError::Damaged { format: ImageFormat::Jpeg, detail: detail.to_owned() }
}

/// The file is of a rare variant.
fn unsupported(variant: &str) -> ImageError {
    ImageError::Unsupported {
        format: ImageFormat::Jpeg,
        variant: variant.to_owned(),
        hint: "open it in a picture editor and save it as an ordinary JPEG or as PNG",
    }
}

/// The Exif tag that says which way is up.
const ORIENTATION_TAG: u16 = 0x0112;

/// Which way the stored picture must be turned: 1 (not at all) to 8, as Exif counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Orientation(u8);

impl Orientation {
    /// As stored.
    pub(super) const UPRIGHT: Orientation = Orientation(1);

    /// The orientation an Exif block (a TIFF header and its first directory) tells; upright when
    /// it tells none or cannot be read, because a picture is worth more than its camera data.
    pub(super) fn from_exif(exif: &[u8]) -> Orientation {
        read_orientation(exif)
            .filter(|value| (1..=8).contains(value))
            .map_or(Orientation::UPRIGHT, |value| Orientation(value as u8))
    }

    /// The picture turned and mirrored to be upright.
    pub(super) fn apply(self, image: GrayImage) -> GrayImage {
        let GrayImage { width, height, pixels } = image;
        let ([width, height], pixels) = self.turn([width, height], pixels, 1);
        GrayImage { width, height, pixels }
    }

    /// As [`Orientation::apply`], for a picture in colour.
    pub(super) fn apply_colour(self, image: ColourImage) -> ColourImage {
        let ColourImage { width, height, pixels } = image;
        let ([width, height], pixels) = self.turn([width, height], pixels, 3);
        ColourImage { width, height, pixels }
    }

    /// Turns pixels of so many bytes each.
    fn turn(self, size: [u32; 2], stored: Vec<u8>, bytes: usize) -> ([u32; 2], Vec<u8>) {
        let Orientation(kind) = self;
        if kind == 1 {
            return (size, stored);
        }
        let [w, h] = size.map(|side| side as usize);
        let (width, height) = if kind < 5 { (w, h) } else { (h, w) };
        let mut pixels = Vec::with_capacity(stored.len());
        for y in 0..height {
            for x in 0..width {
                // Where the upright pixel x, y is stored: Exif 2.32, tag 0x0112.
                let (column, row) = match kind {
                    2 => (w - 1 - x, y),
                    3 => (w - 1 - x, h - 1 - y),
                    4 => (x, h - 1 - y),
                    5 => (y, x),
                    6 => (y, h - 1 - x),
                    7 => (w - 1 - y, h - 1 - x),
                    _ => (w - 1 - y, x),
                };
                let at = (row * w + column) * bytes;
                pixels.extend_from_slice(&stored[at..at + bytes]);
            }
        }
        ([width as u32, height as u32], pixels)
    }
}

/// The orientation's value in an Exif block, if it has one.
fn read_orientation(exif: &[u8]) -> Option<u16> {
    let big = match exif.get(..4)? {
        b"MM\0*" => true,
        b"II*\0" => false,
        _ => return None,
    };
    let short = |at: usize| {
        let bytes = exif.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(if big { u16::from_be_bytes(bytes) } else { u16::from_le_bytes(bytes) })
    };
    let long = |at: usize| {
        let bytes = exif.get(at..at.checked_add(4)?)?.try_into().ok()?;
        Some(if big { u32::from_be_bytes(bytes) } else { u32::from_le_bytes(bytes) })
    };
    let directory = usize::try_from(long(4)?).ok()?;
    let entries = usize::from(short(directory)?);
    (0..entries)
        .map_while(|entry| directory.checked_add(2 + 12 * entry))
        .map_while(|at| short(at).map(|tag| (at, tag)))
        .find(|(_, tag)| *tag == ORIENTATION_TAG)
        .and_then(|(at, _)| short(at.checked_add(8)?))
}
