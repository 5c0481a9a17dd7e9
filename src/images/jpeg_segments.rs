//! The frame of a JPEG file: its segments, up to the end mark.
//!
//! In: the bytes of a JPEG file. Out: its size, its channels, which way is up, and the certainty
//! that it ends with its end mark and could hold its pixels. Decoders fill in what a cut-off file
//! lacks, which would lose part of a picture in silence. Segment and marker names after ITU-T
//! T.81. Not here: the pixels; a file cut off and then given an end mark again is not found out
//! unless most of it is gone.

use super::orientation::Orientation;
use super::{ImageError, ImageFormat, check_pixels};

/// What the segments tell.
#[derive(Clone, Copy, Debug)]
pub(super) struct JpegFrame {
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
pub(super) fn read_frame(bytes: &[u8]) -> Result<JpegFrame, ImageError> {
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
