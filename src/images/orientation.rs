//! Turning a picture the way its camera says.
//!
//! In: an Exif block and pixels. Out: the pixels upright. Not here: any other camera data.

use super::GrayImage;

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
        let Orientation(kind) = self;
        if kind == 1 {
            return image;
        }
        let (w, h) = (image.width as usize, image.height as usize);
        let (width, height) = if kind < 5 { (w, h) } else { (h, w) };
        let mut pixels = Vec::with_capacity(image.pixels.len());
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
                pixels.push(image.pixels[row * w + column]);
            }
        }
        GrayImage { width: width as u32, height: height as u32, pixels }
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
