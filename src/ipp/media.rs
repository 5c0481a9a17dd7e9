//! Papers as printers count them: hundredths of a millimetre.
//!
//! Not here: which paper a document wants.

use std::fmt;

use super::message::{IppValue, find};
use crate::geom::{MM_PER_INCH, Mm, Size};
use crate::words::trim_decimals;

/// By how much two papers may differ and be the same, in hundredths of a millimetre. Ours: a size in whole
/// points, as PWG Raster and many drivers count, is off by up to 18, and no two papers of one printer that
/// somebody could mean are as near as half a millimetre.
const SAME: i32 = 50;

/// A sheet or a stretch of a roll, as printers name it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct PaperSize {
    /// Across the feed, in hundredths of a millimetre.
    pub(crate) width: i32,
    /// Along the feed, in hundredths of a millimetre.
    pub(crate) length: i32,
}

/// Sizes that a printer takes: one, or all between two.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct SizeRange {
    /// The smallest.
    pub(crate) least: PaperSize,
    /// The largest; the same where there is one only.
    pub(crate) most: PaperSize,
}

impl PaperSize {
    /// The size of a page.
    pub(crate) fn of(size: Size) -> PaperSize {
        let hundredths = |length: Mm| (length.0 * 100.0).round() as i32;
        PaperSize { width: hundredths(size.width), length: hundredths(size.height) }
    }

    /// The same paper laid across the feed.
    pub(crate) fn across(self) -> PaperSize {
        PaperSize { width: self.length, length: self.width }
    }

    /// By how much both sides differ from another size's, in hundredths of a millimetre.
    pub(crate) fn distance(self, other: PaperSize) -> u32 {
        let (width, length) =
            (self.width.abs_diff(other.width), self.length.abs_diff(other.length));
        width.saturating_add(length)
    }

    /// Whether another size is meant to be this one.
    pub(crate) fn is_about(self, other: PaperSize) -> bool {
        SizeRange { least: self, most: self }.takes(other)
    }

    /// The size that a self-describing name ends in, such as `na_index-4x6_4x6in` (PWG 5101.1, "PWG Media
    /// Standardized Names", §5).
    pub(crate) fn of_name(name: &str) -> Option<PaperSize> {
        let size = name.rsplit('_').next()?;
        let (numbers, hundredths) = match (size.strip_suffix("mm"), size.strip_suffix("in")) {
            (Some(numbers), _) => (numbers, 100.0),
            (_, Some(numbers)) => (numbers, 100.0 * MM_PER_INCH),
            _ => return None,
        };
        let (width, length) = numbers.split_once('x')?;
        let side = |text: &str| {
            let number: f64 = text.parse().ok()?;
            let side = (number * hundredths).round();
            (0.0..=f64::from(i32::MAX)).contains(&side).then_some(side as i32)
        };
        Some(PaperSize { width: side(width)?, length: side(length)? })
    }

    /// Both sides in millimetres, as they are written.
    fn sides(self) -> [String; 2] {
        [self.width, self.length].map(|side| trim_decimals(f64::from(side) / 100.0, 2))
    }
}

impl fmt::Display for PaperSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [width, length] = self.sides();
        write!(f, "{width} × {length} mm")
    }
}

impl SizeRange {
    /// Whether a size is one of these, give or take [`SAME`].
    pub(crate) fn takes(self, size: PaperSize) -> bool {
        let within = |side: i32, least: i32, most: i32| {
            (least.saturating_sub(SAME)..=most.saturating_add(SAME)).contains(&side)
        };
        within(size.width, self.least.width, self.most.width)
            && within(size.length, self.least.length, self.most.length)
    }

    /// The size to ask for where a size is one of these: the printer's own figure where it has one.
    pub(crate) fn own(self, size: PaperSize) -> PaperSize {
        PaperSize {
            width: size.width.clamp(self.least.width, self.most.width.max(self.least.width)),
            length: size.length.clamp(self.least.length, self.most.length.max(self.least.length)),
        }
    }

    /// The sizes that a value of `media-size-supported` or a `media-size` says.
    pub(super) fn read(value: &IppValue) -> Option<SizeRange> {
        let IppValue::Collection(members) = value else { return None };
        let side = |name: &str| match find(members, name).first()? {
            IppValue::Number { number, .. } => Some((*number, *number)),
            IppValue::Range { least, most } => Some((*least, *most)),
            _ => None,
        };
        let (width, length) = (side("x-dimension")?, side("y-dimension")?);
        Some(SizeRange {
            least: PaperSize { width: width.0, length: length.0 },
            most: PaperSize { width: width.1, length: length.1 },
        })
    }
}

impl fmt::Display for SizeRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.least == self.most {
            true => write!(f, "{}", self.least),
            false => write!(f, "{} to {}", self.least, self.most),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_say_their_size() {
        let size = |name: &str| PaperSize::of_name(name).map(|size| (size.width, size.length));
        // The examples of PWG 5101.1 §5.
        assert_eq!(size("na_index-4x6_4x6in"), Some((10160, 15240)));
        assert_eq!(size("iso_a4_210x297mm"), Some((21000, 29700)));
        assert_eq!(size("na_number-10_4.125x9.5in"), Some((10478, 24130)));
        for name in ["", "letter", "a_4xin", "a_xmm", "a_1e30x2mm", "a_-1x2mm"] {
            assert_eq!(size(name), None, "{name}");
        }
        assert_eq!(size("custom_101.6x152.4mm_101.6x152.4mm"), Some((10160, 15240)));
    }

    #[test]
    fn papers_are_the_same_within_half_a_millimetre() {
        let own = SizeRange {
            least: PaperSize { width: 10160, length: 15240 },
            most: PaperSize { width: 10160, length: 15240 },
        };
        let points = PaperSize { width: 10142, length: 15258 };
        assert!(own.takes(points) && !own.takes(PaperSize { width: 10000, length: 15000 }));
        assert_eq!(own.own(points), own.least);
        let roll = SizeRange {
            least: PaperSize { width: 6200, length: 1000 },
            most: PaperSize { width: 6200, length: 100_000 },
        };
        let page = PaperSize { width: 10000, length: 6200 };
        assert!(!roll.takes(page) && roll.takes(page.across()));
        assert_eq!(roll.to_string(), "62 × 10 mm to 62 × 1000 mm");
    }
}
