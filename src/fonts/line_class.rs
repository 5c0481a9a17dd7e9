//! The classes of characters by which lines break.
//!
//! In: a character. Out: its [`LineClass`] after rule LB1 of UAX #14, and whether it is wide, from a
//! table of Unicode 17.0 that `tools/line-classes.mjs` makes. Not here: the rules (`line_rules`).

use std::sync::LazyLock;

/// A line breaking class of UAX #14, resolved as LB1 has it, with three classes split where a rule asks
/// for more than the class.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LineClass {
    /// A forced break.
    Bk,
    /// A carriage return.
    Cr,
    /// A line feed.
    Lf,
    /// A next line.
    Nl,
    /// A space.
    Sp,
    /// A zero width space, at which a line may end.
    Zw,
    /// A mark of what stands before it.
    Cm,
    /// A joiner of emoji and letters.
    Zwj,
    /// A word joiner.
    Wj,
    /// What is glued to both sides, such as a no-break space.
    Gl,
    /// An opening bracket.
    Op,
    /// A closing mark.
    Cl,
    /// A closing bracket.
    Cp,
    /// A quotation mark that may open or close.
    Qu,
    /// An opening quotation mark.
    Pi,
    /// A closing quotation mark.
    Pf,
    /// An exclamation or question mark.
    Ex,
    /// A comma, full stop or colon, also in numbers.
    Is,
    /// A solidus.
    Sy,
    /// What begins no line, such as small kana.
    Ns,
    /// A dash with a break on both sides.
    B2,
    /// What a line may end after, such as a tab.
    Ba,
    /// What a line may end before.
    Bb,
    /// The hyphen of a keyboard.
    Hy,
    /// A hyphen that is nothing else.
    Hh,
    /// An object that decides its breaks itself.
    Cb,
    /// A letter or symbol.
    Al,
    /// A Hebrew letter.
    Hl,
    /// The dotted circle, which stands for a letter.
    Dc,
    /// What counts as a letter, is not assigned yet and may become an emoji.
    Xp,
    /// A figure.
    Nu,
    /// What stands before a number, such as a currency sign.
    Pr,
    /// What stands behind a number, such as a per cent sign.
    Po,
    /// A leader.
    In,
    /// An ideograph.
    Id,
    /// What counts as an ideograph, is not assigned yet and may become an emoji.
    Ep,
    /// An emoji that takes a skin tone.
    Eb,
    /// A skin tone.
    Em,
    /// A half of a flag.
    Ri,
    /// A leading Korean letter.
    Jl,
    /// A Korean vowel.
    Jv,
    /// A trailing Korean letter.
    Jt,
    /// A Korean syllable that ends in a vowel.
    H2,
    /// A Korean syllable that ends in a consonant.
    H3,
    /// A Brahmic letter.
    Ak,
    /// A sign before a Brahmic letter.
    Ap,
    /// A Brahmic letter that begins a syllable.
    As,
    /// A sign that ends a Brahmic syllable.
    Vf,
    /// A sign that joins Brahmic letters.
    Vi,
}

/// A class as the table names it.
#[rustfmt::skip]
const NAMES: &[(&str, LineClass)] = {
    use LineClass::*;
    &[
        ("BK", Bk), ("CR", Cr), ("LF", Lf), ("NL", Nl), ("SP", Sp), ("ZW", Zw), ("CM", Cm),
        ("ZWJ", Zwj), ("WJ", Wj), ("GL", Gl), ("OP", Op), ("CL", Cl), ("CP", Cp), ("QU", Qu),
        ("PI", Pi), ("PF", Pf), ("EX", Ex), ("IS", Is), ("SY", Sy), ("NS", Ns), ("B2", B2),
        ("BA", Ba), ("BB", Bb), ("HY", Hy), ("HH", Hh), ("CB", Cb), ("AL", Al), ("HL", Hl),
        ("DC", Dc), ("XP", Xp), ("NU", Nu), ("PR", Pr), ("PO", Po), ("IN", In), ("ID", Id), ("EP", Ep),
        ("EB", Eb), ("EM", Em), ("RI", Ri), ("JL", Jl), ("JV", Jv), ("JT", Jt), ("H2", H2),
        ("H3", H3), ("AK", Ak), ("AP", Ap), ("AS", As), ("VF", Vf), ("VI", Vi),
    ]
};

/// Characters of one class, up to where the next stretch begins.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    /// The first of them.
    start: u32,
    /// Their class.
    class: LineClass,
    /// Whether they are full, half or double width (UAX #11).
    wide: bool,
}

/// All stretches, by their starts.
static TABLE: LazyLock<Vec<Stretch>> = LazyLock::new(|| {
    include_str!("data/line-classes.txt").lines().filter_map(read_stretch).collect()
});

/// Reads a line of the table.
fn read_stretch(line: &str) -> Option<Stretch> {
    let mut words = line.split(' ');
    let start = u32::from_str_radix(words.next()?, 16).ok()?;
    let name = words.next()?;
    let (_, class) = NAMES.iter().find(|(known, _)| *known == name)?;
    Some(Stretch { start, class: *class, wide: words.next() == Some("w") })
}

/// The first Hangul syllable, and how many share their first two letters (Unicode 17.0, section 3.12).
const HANGUL: (u32, u32) = (0xac00, 28);

/// A character's class, and whether it is wide.
pub(super) fn classify(c: char) -> (LineClass, bool) {
    let at = TABLE.partition_point(|stretch| stretch.start <= u32::from(c));
    let Some(stretch) = at.checked_sub(1).and_then(|at| TABLE.get(at)) else {
        return (LineClass::Al, false);
    };
    let (first, finals) = HANGUL;
    match stretch.class {
        LineClass::H3 if (u32::from(c) - first).is_multiple_of(finals) => (LineClass::H2, true),
        class => (class, stretch.wide),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_the_table_is_read() {
        let lines = include_str!("data/line-classes.txt").lines();
        assert_eq!(lines.count(), TABLE.len());
        assert!(TABLE.is_sorted_by_key(|stretch| stretch.start));
    }

    #[test]
    fn characters_have_the_classes_of_the_standard() {
        for (c, class, wide) in [
            ('A', LineClass::Al, false),
            ('7', LineClass::Nu, false),
            ('\u{2010}', LineClass::Hh, false),
            ('«', LineClass::Pi, false),
            ('」', LineClass::Cl, true),
            ('가', LineClass::H2, true),
            ('각', LineClass::H3, true),
            ('\u{e01}', LineClass::Al, false),
            ('\u{e31}', LineClass::Cm, false),
            ('\u{10ffff}', LineClass::Al, false),
        ] {
            assert_eq!(classify(c), (class, wide), "{c:?}");
        }
    }
}
