//! Sets of glyphs of one face.

/// A set of glyph numbers: one bit each, as far as the highest.
#[derive(Clone, Debug, Default)]
pub(super) struct GlyphSet {
    /// Glyph n is bit n % 64 of word n / 64.
    words: Vec<u64>,
}

impl GlyphSet {
    /// Adds a glyph.
    pub(super) fn insert(&mut self, glyph: u16) {
        let word = usize::from(glyph / 64);
        if self.words.len() <= word {
            self.words.resize(word + 1, 0);
        }
        self.words[word] |= 1 << (glyph % 64);
    }

    /// The glyphs in ascending order.
    pub(super) fn iter(&self) -> impl Iterator<Item = u16> {
        (0..=u16::MAX).step_by(64).zip(&self.words).flat_map(|(first, &word)| {
            let mut rest = word;
            std::iter::from_fn(move || {
                let bit = rest.trailing_zeros();
                rest &= rest.checked_sub(1)?;
                Some(first + bit as u16)
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gives_back_what_went_in_in_order() {
        let mut set = GlyphSet::default();
        for glyph in [65_535, 0, 64, 63, 64, 300] {
            set.insert(glyph);
        }
        assert_eq!(set.iter().collect::<Vec<_>>(), [0, 63, 64, 300, 65_535]);
        assert_eq!(GlyphSet::default().iter().count(), 0);
    }
}
