//! What the writer must know of a face to place its glyphs and to say what they mean.
//!
//! In: a font file. Out: a [`FaceTable`] with the advance of every glyph and the one character that
//! it stands for without further words. Not here: outlines and subsetting (`fontfile`).

use read_fonts::{FontRef, TableProvider};

use crate::fonts::{FontBook, FontId};

/// Steps of an advance in a thousandth of an em.
pub(super) const WIDTH_STEPS: f64 = 100.0;

/// Advances and meanings of a face's glyphs.
#[derive(Debug, Default)]
pub(super) struct FaceTable {
    /// The advance of each glyph in hundredths of a thousandth of an em.
    widths: Vec<i32>,
    /// The character of each glyph; `None` where the character map names none, as for ligatures.
    characters: Vec<Option<char>>,
    /// The glyph that stands for a space, if any does.
    space: Option<u16>,
}

impl FaceTable {
    /// Reads a face of a book. What a face lacks counts as a width of 0 or no character.
    pub(super) fn read(book: &FontBook, font: FontId) -> FaceTable {
        FontRef::from_index(book.data(font), book.collection_index(font))
            .ok()
            .and_then(|face| read_table(&face))
            .unwrap_or_default()
    }

    /// How many glyphs the face has.
    pub(super) fn len(&self) -> u16 {
        u16::try_from(self.widths.len()).unwrap_or(u16::MAX)
    }

    /// How far a glyph moves the pen by itself, in thousandths of an em.
    pub(super) fn width(&self, glyph: u16) -> f64 {
        f64::from(self.width_steps(glyph)) / WIDTH_STEPS
    }

    /// The same in hundredths of a thousandth of an em.
    pub(super) fn width_steps(&self, glyph: u16) -> i32 {
        self.widths.get(usize::from(glyph)).copied().unwrap_or(0)
    }

    /// The glyph of a space.
    pub(super) fn space(&self) -> Option<u16> {
        self.space
    }

    /// The character that a glyph stands for on its own.
    pub(super) fn character(&self, glyph: u16) -> Option<char> {
        self.characters.get(usize::from(glyph)).copied().flatten()
    }
}

/// Reads advances and characters, or `None` when the tables for them are missing.
fn read_table(face: &FontRef<'_>) -> Option<FaceTable> {
    let em = f64::from(face.head().ok()?.units_per_em()).max(1.0);
    let count = face.maxp().ok()?.num_glyphs();
    let metrics = face.hmtx().ok()?;
    let width = |glyph: u16| {
        let units = f64::from(metrics.advance(glyph.into()).unwrap_or(0));
        (units / em * 1000.0 * WIDTH_STEPS).round() as i32
    };
    let mut characters = vec![None; usize::from(count)];
    if let Some((_, _, map)) = face.cmap().ok()?.best_subtable() {
        for (code, glyph) in map.iter() {
            let slot = usize::try_from(glyph.to_u32()).ok().and_then(|at| characters.get_mut(at));
            let found = char::from_u32(code).filter(|found| !is_presentation_form(*found));
            if let (Some(slot), Some(found)) = (slot, found) {
                *slot = Some(slot.map_or(found, |known| prefer(known, found)));
            }
        }
    }
    let space = characters.iter().position(|it| *it == Some(' '));
    let space = space.and_then(|glyph| u16::try_from(glyph).ok());
    Some(FaceTable { widths: (0..count).map(width).collect(), characters, space })
}

/// Whether a character is only another shape of others (Unicode's alphabetic presentation forms and
/// Arabic presentation forms A and B). Ligatures have their glyphs from there; what such a glyph
/// stands for is the letters in the text.
fn is_presentation_form(character: char) -> bool {
    matches!(character, '\u{FB00}'..='\u{FDFF}' | '\u{FE70}'..='\u{FEFF}')
}

/// Which of two characters with the same glyph it is taken for: the one with the lower number, which
/// is the plain one of most pairs (space and no-break space, omega and ohm). The micro sign and the
/// CJK radicals have lower numbers than the letters they look like, and stand back.
fn prefer(one: char, other: char) -> char {
    let rank = |it: char| (matches!(it, '\u{B5}' | '\u{2E80}'..='\u{2FDF}'), it);
    if rank(one) < rank(other) { one } else { other }
}
