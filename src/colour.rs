//! Colours as people write them and as paper shows them: sRGB (IEC 61966-2-1), a byte a channel.
//!
//! In: `#rrggbb`. Out: an [`Rgb`], and how well two of them stand out from each other. Not here: colour
//! profiles; who writes colours says that they are sRGB.

/// Weights of red, green and blue in 65536ths: Rec. ITU-R BT.709's 0.2126, 0.7152 and 0.0722.
pub(crate) const LUMA_WEIGHTS: [u32; 3] = [13_933, 46_871, 4_732];

/// A colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Rgb {
    /// How much red.
    pub red: u8,
    /// How much green.
    pub green: u8,
    /// How much blue.
    pub blue: u8,
}

impl Rgb {
    /// What is printed nowhere.
    pub const WHITE: Rgb = Rgb::grey(255);

    /// The darkest.
    pub const BLACK: Rgb = Rgb::grey(0);

    /// A colour of three equal channels.
    #[must_use]
    pub const fn grey(value: u8) -> Rgb {
        Rgb { red: value, green: value, blue: value }
    }

    /// The colour that a text such as `#0b6e6e` means; the sign in front may be left out.
    #[must_use]
    pub fn parse(text: &str) -> Option<Rgb> {
        let digits = text.strip_prefix('#').unwrap_or(text);
        if digits.len() != 6 || !digits.bytes().all(|byte| byte.is_ascii_hexdigit()) {
            return None;
        }
        let [_, red, green, blue] = u32::from_str_radix(digits, 16).ok()?.to_be_bytes();
        Some(Rgb { red, green, blue })
    }

    /// Red, green and blue, 0 to 255.
    #[must_use]
    pub const fn channels(self) -> [u8; 3] {
        [self.red, self.green, self.blue]
    }

    /// How light it is, by the stored values, from 0 to 255.
    #[must_use]
    pub fn luma(self) -> u8 {
        let sum: u32 =
            LUMA_WEIGHTS.iter().zip(self.channels()).map(|(by, it)| by * u32::from(it)).sum();
        ((sum + 0x8000) >> 16) as u8
    }

    /// Whether it is black rather than white where there are no other inks.
    #[must_use]
    pub fn is_dark(self) -> bool {
        self.luma() < 128
    }

    /// How much light it throws back, from 0 to 1. The curve of sRGB is taken for a square, which no
    /// machine computes otherwise than another.
    fn luminance(self) -> f64 {
        let square = |value: u8| {
            let share = f64::from(value) / 255.0;
            share * share
        };
        let channels = LUMA_WEIGHTS.iter().zip(self.channels());
        channels.map(|(by, it)| f64::from(*by) / 65_536.0 * square(it)).sum()
    }

    /// The ratio of contrast to another colour, from 1 to 21 (WCAG 2.2, "contrast ratio").
    #[must_use]
    pub fn contrast(self, other: Rgb) -> f64 {
        let (one, two) = (self.luminance(), other.luminance());
        (one.max(two) + 0.05) / (one.min(two) + 0.05)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_are_read_as_the_web_writes_them() {
        let teal = Rgb { red: 0x0B, green: 0x6E, blue: 0x6E };
        assert_eq!(Rgb::parse("#0b6e6e"), Some(teal));
        assert_eq!(Rgb::parse("0B6E6E"), Some(teal));
        for wrong in ["", "#fff", "#0b6e6", "#0b6e6ex", "teal", "#+12345"] {
            assert_eq!(Rgb::parse(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn contrast_goes_from_1_to_21() {
        assert!((Rgb::BLACK.contrast(Rgb::WHITE) - 21.0).abs() < 1e-3);
        assert!((Rgb::grey(99).contrast(Rgb::grey(99)) - 1.0).abs() < 1e-9);
        let yellow = Rgb::parse("#ffe000").unwrap();
        assert!(yellow.contrast(Rgb::WHITE) < 1.5 && yellow.contrast(Rgb::BLACK) > 14.0);
        assert!(Rgb::parse("#0b6e6e").unwrap().contrast(Rgb::WHITE) > 4.5);
    }
}
