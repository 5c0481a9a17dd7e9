//! Samples of files as shades of grey, or as colours.
//!
//! In: samples as files store them. Out: one byte from 0 (black) to 255 (white), or three of red, green and
//! blue, by integer arithmetic alone. The stored, gamma-coded values are weighed and blended as they are, as
//! browsers do. Not here: colour profiles; they are not applied.

use crate::colour::{LUMA_WEIGHTS, Rgb};

/// The grey of an 8-bit colour.
pub(super) fn gray_of_rgb(red: u8, green: u8, blue: u8) -> u8 {
    Rgb { red, green, blue }.luma()
}

/// The grey of a 16-bit colour, still in 16 bits.
fn wide_gray(red: u16, green: u16, blue: u16) -> u16 {
    let [r, g, b] = LUMA_WEIGHTS.map(u64::from);
    let sum = r * u64::from(red) + g * u64::from(green) + b * u64::from(blue);
    ((sum + 0x8000) >> 16) as u16
}

/// The byte nearest to a grey of 16 bits.
fn narrow(gray: u16) -> u8 {
    ((u32::from(gray) * 255 + 32_767) / 65_535) as u8
}

/// A grey laid over white paper, by its opacity.
fn over_white(gray: u8, alpha: u8) -> u8 {
    let (gray, alpha) = (u32::from(gray), u32::from(alpha));
    ((gray * alpha + 255 * (255 - alpha) + 127) / 255) as u8
}

/// A grey of 16 bits laid over white paper.
fn wide_over_white(gray: u16, alpha: u16) -> u16 {
    let (gray, alpha) = (u64::from(gray), u64::from(alpha));
    ((gray * alpha + 65_535 * (65_535 - alpha) + 32_767) / 65_535) as u16
}

/// The samples of one pixel, as PNG rows hold them after palettes are resolved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Samples {
    /// Grey.
    Gray,
    /// Grey and opacity.
    GrayAlpha,
    /// Red, green, blue.
    Rgb,
    /// Red, green, blue and opacity.
    Rgba,
}

impl Samples {
    /// How many there are.
    fn count(self) -> usize {
        match self {
            Samples::Gray => 1,
            Samples::GrayAlpha => 2,
            Samples::Rgb => 3,
            Samples::Rgba => 4,
        }
    }

    /// Appends the greys of a row of 8-bit samples.
    pub(super) fn push_row(self, row: &[u8], greys: &mut Vec<u8>) {
        let pixels = row.chunks_exact(self.count());
        greys.extend(pixels.map(|pixel| match *pixel {
            [gray, alpha] => over_white(gray, alpha),
            [red, green, blue] => gray_of_rgb(red, green, blue),
            [red, green, blue, alpha] => over_white(gray_of_rgb(red, green, blue), alpha),
            _ => pixel[0],
        }));
    }

    /// Whether they may be more than grey.
    pub(super) fn has_colour(self) -> bool {
        matches!(self, Samples::Rgb | Samples::Rgba)
    }

    /// Appends the colours of a row of 8-bit samples that have colour.
    pub(super) fn push_colour_row(self, row: &[u8], colours: &mut Vec<u8>) {
        let pixels = row.chunks_exact(self.count());
        colours.extend(pixels.flat_map(|pixel| match *pixel {
            [red, green, blue, alpha] => [red, green, blue].map(|it| over_white(it, alpha)),
            [red, green, blue] => [red, green, blue],
            _ => [pixel[0]; 3],
        }));
    }

    /// Appends the colours of a row of 16-bit samples that have colour, high byte first.
    pub(super) fn push_wide_colour_row(self, row: &[u8], colours: &mut Vec<u8>) {
        let pixels = row.chunks_exact(self.count() * 2);
        colours.extend(pixels.flat_map(|pixel| {
            let at = |index: usize| u16::from_be_bytes([pixel[2 * index], pixel[2 * index + 1]]);
            [0, 1, 2].map(|channel| match self {
                Samples::Rgba => narrow(wide_over_white(at(channel), at(3))),
                Samples::Rgb => narrow(at(channel)),
                Samples::Gray | Samples::GrayAlpha => narrow(at(0)),
            })
        }));
    }

    /// Appends the greys of a row of 16-bit samples, high byte first.
    pub(super) fn push_wide_row(self, row: &[u8], greys: &mut Vec<u8>) {
        let pixels = row.chunks_exact(self.count() * 2);
        greys.extend(pixels.map(|pixel| {
            let at = |index: usize| u16::from_be_bytes([pixel[2 * index], pixel[2 * index + 1]]);
            narrow(match self {
                Samples::Gray => at(0),
                Samples::GrayAlpha => wide_over_white(at(0), at(1)),
                Samples::Rgb => wide_gray(at(0), at(1), at(2)),
                Samples::Rgba => wide_over_white(wide_gray(at(0), at(1), at(2)), at(3)),
            })
        }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_make_one_and_greys_stay_themselves() {
        assert_eq!(LUMA_WEIGHTS.iter().sum::<u32>(), 1 << 16);
        for value in 0..=255 {
            assert_eq!(gray_of_rgb(value, value, value), value);
            assert_eq!(narrow(u16::from(value) * 257), value);
            assert_eq!(over_white(value, 255), value);
            assert_eq!(over_white(value, 0), 255);
        }
        assert_eq!(gray_of_rgb(255, 0, 0), 54);
        assert_eq!(gray_of_rgb(0, 255, 0), 182);
        assert_eq!(gray_of_rgb(0, 0, 255), 18);
    }
}
