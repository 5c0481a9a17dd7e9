//! Cuts a line of text into stretches that one face can shape in one go.
//!
//! Comes in: a section of text and the faces to try. Goes out: [`TextItem`]s, in
//! reading order, each of one face, one script and one bidi level (UAX #9,
//! UAX #24), and a list of the characters that no face has. Shaping them is
//! not its job.

use std::borrow::Cow;
use std::cell::OnceCell;
use std::fmt::Write as _;
use std::ops::Range;

use harfrust::{Script, Tag, unicode};
use read_fonts::model::charmap::Charmap;
use unicode_bidi::{Level, ParagraphBidiInfo};
use unicode_segmentation::UnicodeSegmentation as _;

use super::book::{FontBook, FontId};
use super::cut::Cut;
use super::style::{BaseDirection, MissingList};

/// The minus sign of the CLDR's Swedish, Norwegian, Finnish and others, which Noto Sans 2.004 does not have.
pub(super) const MINUS: char = '\u{2212}';

/// The figure dash, as wide as a figure, which is drawn where a face has no minus.
pub(super) const MINUS_LIKE: char = '\u{2012}';

/// A stretch of text for one call of the shaper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct TextItem {
    /// First byte in the paragraph's text.
    pub(super) start: usize,
    /// Byte after the last.
    pub(super) end: usize,
    /// Face to shape with.
    pub(super) font: FontId,
    /// Script to shape by.
    pub(super) script: Script,
    /// Bidi level; odd levels run right to left.
    pub(super) level: u8,
}

impl TextItem {
    /// Says whether the stretch runs right to left.
    pub(super) fn is_rtl(&self) -> bool {
        self.level % 2 == 1
    }

    /// Says whether the letters of its script join, so that spacing would tear
    /// them apart (the cursive scripts of CSS Text 3, appendix D).
    pub(super) fn joins_letters(&self) -> bool {
        let tag = self.script.tag();
        [
            b"Adlm", b"Arab", b"Chrs", b"Mand", b"Mani", b"Mong", b"Nkoo", b"Ougr", b"Phag",
            b"Phlp", b"Rohg", b"Sogd", b"Syrc",
        ]
        .iter()
        .any(|joined| Tag::new(joined) == tag)
    }
}

/// The faces to try for a style, and what the first of them surely has.
pub(super) struct Chain {
    /// Faces in order; never empty.
    pub(super) fonts: Vec<FontId>,
    /// Bit n is set if the first face has the ASCII character n.
    ascii: u128,
}

impl Chain {
    /// Prepares a list of faces, which must not be empty.
    pub(super) fn new(book: &FontBook, fonts: Vec<FontId>) -> Self {
        let first = book.get(fonts[0]).font.charmap();
        let ascii = (0x20..0x7f_u8)
            .filter(|byte| first.map_unicode(*byte).is_some())
            .fold(0, |set, byte| set | 1 << byte);
        Self { fonts, ascii }
    }

    /// Says whether the first face has all of `text` and the text is plain ASCII.
    fn has_plain(&self, text: &str) -> bool {
        text.bytes().all(|byte| byte < 0x80 && self.ascii & (1 << byte) != 0)
    }
}

/// The items of a section, and whether its base direction is right to left.
pub(super) struct Itemised {
    /// Items in reading order.
    pub(super) items: Vec<TextItem>,
    /// Whether the line as a whole runs right to left.
    pub(super) rtl: bool,
}

/// Cuts the section `range` of `text` into items.
///
/// Characters without a glyph go to `missing`; the items are then of no use.
pub(super) fn itemise(
    book: &FontBook,
    chain: &Chain,
    text: &str,
    range: &Range<usize>,
    direction: BaseDirection,
    missing: &mut MissingList,
) -> Itemised {
    let section = &text[range.clone()];
    let plain = chain.has_plain(section);
    if plain && direction != BaseDirection::RightToLeft {
        let item = TextItem {
            start: range.start,
            end: range.end,
            font: chain.fonts[0],
            script: Script::LATIN,
            level: 0,
        };
        let items = if section.is_empty() { vec![] } else { vec![item] };
        return Itemised { items, rtl: false };
    }
    let fonts = assign_fonts(book, chain, section, range.start, missing);
    let scripts = assign_scripts(section);
    let (rtl, levels) = assign_levels(section, direction);
    let items = merge_spans(range.start, &fonts, &scripts, &levels);
    Itemised { items, rtl }
}

/// A value that holds up to a byte offset, exclusive.
type UntilByte<T> = (usize, T);

/// Adds `value` up to `end`, lengthening the last span where it is the same.
fn extend<T: PartialEq>(spans: &mut Vec<UntilByte<T>>, end: usize, value: T) {
    match spans.last_mut() {
        Some(last) if last.1 == value => last.0 = end,
        _ => spans.push((end, value)),
    }
}

/// Cuts wherever font, script or level changes.
fn merge_spans(
    base: usize,
    fonts: &[UntilByte<FontId>],
    scripts: &[UntilByte<Script>],
    levels: &[UntilByte<u8>],
) -> Vec<TextItem> {
    let mut items = Vec::new();
    let (mut f, mut s, mut l) = (0, 0, 0);
    let mut start = 0;
    while let (Some(font), Some(script), Some(level)) =
        (fonts.get(f), scripts.get(s), levels.get(l))
    {
        let end = font.0.min(script.0).min(level.0);
        items.push(TextItem {
            start: base + start,
            end: base + end,
            font: font.1,
            script: script.1,
            level: level.1,
        });
        f += usize::from(font.0 == end);
        s += usize::from(script.0 == end);
        l += usize::from(level.0 == end);
        start = end;
    }
    items
}

/// What characters some faces have, each looked at when it is asked for: most texts need only the first
/// few, and the emoji are unpacked only for who has them.
struct CharacterMaps<'b> {
    /// Where the faces are.
    book: &'b FontBook,
    /// The faces.
    fonts: &'b [FontId],
    /// Their maps.
    maps: Vec<OnceCell<Charmap<'b>>>,
}

impl<'b> CharacterMaps<'b> {
    /// Those of some faces of a book.
    fn new(book: &'b FontBook, fonts: &'b [FontId]) -> CharacterMaps<'b> {
        let maps = fonts.iter().map(|_| OnceCell::new()).collect();
        CharacterMaps { book, fonts, maps }
    }

    /// The map of one of the faces.
    fn get(&self, index: usize) -> &Charmap<'b> {
        self.maps[index].get_or_init(|| self.book.get(self.fonts[index]).font.charmap())
    }

    /// All maps in order.
    fn iter(&self) -> impl Iterator<Item = &Charmap<'b>> {
        (0..self.fonts.len()).map(|index| self.get(index))
    }
}

/// Chooses a face for every character, noting those that none has.
fn assign_fonts(
    book: &FontBook,
    chain: &Chain,
    section: &str,
    base: usize,
    missing: &mut MissingList,
) -> Vec<UntilByte<FontId>> {
    let first = book.get(chain.fonts[0]).font.charmap();
    let covered = |c: char| match u32::from(c) {
        code @ 0..0x80 => chain.ascii & (1 << code) != 0,
        _ => has_glyph(&first, c),
    };
    if section.chars().all(covered) {
        return vec![(section.len(), chain.fonts[0])];
    }
    let maps = CharacterMaps::new(book, &chain.fonts);
    let mut spans: Vec<UntilByte<usize>> = Vec::new();
    for (start, cluster) in section.grapheme_indices(true) {
        if let Some(font) = find_whole(&maps, cluster) {
            extend(&mut spans, start + cluster.len(), font);
            continue;
        }
        let mut start = start;
        for part in part_tones(cluster) {
            let font = find_whole(&maps, part).unwrap_or_else(|| {
                note_missing(&maps, part, base + start, missing);
                0
            });
            start += part.len();
            extend(&mut spans, start, font);
        }
    }
    join_spaces(section, &maps, spans)
        .into_iter()
        .map(|(end, font)| (end, chain.fonts[font]))
        .collect()
}

/// The first of the faces that has a whole cluster.
fn find_whole(maps: &CharacterMaps<'_>, cluster: &str) -> Option<usize> {
    maps.iter().position(|map| cluster.chars().all(|c| has_glyph(map, c)))
}

/// Parts a cluster before each tone of skin (UTS #51, Emoji_Modifier): a face of letters has none, and
/// whoever writes one behind a letter or space does not lose the letter by it.
fn part_tones(cluster: &str) -> impl Iterator<Item = &str> {
    let mut rest = cluster;
    std::iter::from_fn(move || {
        let is_tone = |c: char| matches!(c, '\u{1F3FB}'..='\u{1F3FF}');
        let tone = rest.char_indices().skip(1).find(|(_, c)| is_tone(*c));
        let (part, after) = rest.split_at(tone.map_or(rest.len(), |(at, _)| at));
        rest = after;
        (!part.is_empty()).then_some(part)
    })
}

/// Notes what is missing from a cluster that no face has as a whole: the
/// characters that no face has, else those that the best face lacks.
fn note_missing(maps: &CharacterMaps<'_>, cluster: &str, at: usize, missing: &mut MissingList) {
    let nowhere = |c: char| !maps.iter().any(|map| has_glyph(map, c));
    let best = maps.iter().find(|map| cluster.chars().next().is_some_and(|c| has_glyph(map, c)));
    let any_nowhere = cluster.chars().any(nowhere);
    for (offset, c) in cluster.char_indices() {
        let lacking =
            if any_nowhere { nowhere(c) } else { best.is_none_or(|map| !has_glyph(map, c)) };
        if lacking {
            missing.note(c, at + offset);
        }
    }
}

/// Gives spaces between two stretches of one fallback face to that face, so
/// that the stretches are shaped as one.
fn join_spaces(
    section: &str,
    maps: &CharacterMaps<'_>,
    spans: Vec<UntilByte<usize>>,
) -> Vec<UntilByte<usize>> {
    let mut joined: Vec<UntilByte<usize>> = Vec::with_capacity(spans.len());
    let mut start = 0;
    for (nth, &(end, font)) in spans.iter().enumerate() {
        let blank = section[start..end].chars().all(|c| c == ' ');
        let around = joined.last().map(|before| before.1);
        let after = spans.get(nth + 1).map(|after| after.1);
        let font = match around {
            Some(around) if blank && Some(around) == after && has_glyph(maps.get(around), ' ') => {
                around
            }
            _ => font,
        };
        extend(&mut joined, end, font);
        start = end;
    }
    joined
}

/// A text in which letters that no face of a book can show are written by their numbers: `U+5907`.
#[must_use]
pub fn spell_missing<'t>(book: &FontBook, text: &'t str) -> Cow<'t, str> {
    if text.bytes().all(|byte| matches!(byte, b' '..=b'~')) {
        return Cow::Borrowed(text);
    }
    let fonts = book.fallbacks(None, Cut::Regular);
    let maps = CharacterMaps::new(book, &fonts);
    let mut spelt = String::new();
    for cluster in text.graphemes(true) {
        if find_whole(&maps, cluster).is_some() {
            spelt.push_str(cluster);
            continue;
        }
        for part in part_tones(cluster) {
            match find_whole(&maps, part) {
                Some(_) => spelt.push_str(part),
                // Writing to a string cannot fail.
                None => part.chars().for_each(|c| {
                    let _ = write!(spelt, "U+{:04X}", u32::from(c));
                }),
            }
        }
    }
    Cow::Owned(spelt)
}

/// Says whether a face can show a character, by itself or in another form.
///
/// The other forms are those that shaping falls back on: canonical parts,
/// the plain hyphen for the no-break one, and the word space for other spaces;
/// and the dash that stands in for a minus.
fn has_glyph(map: &Charmap<'_>, c: char) -> bool {
    if c.is_control() {
        return false;
    }
    if is_ignorable(c) || map.map_unicode(c).is_some() {
        return true;
    }
    match c {
        '\u{2011}' => map.map_unicode('\u{2010}').is_some(),
        MINUS => map.map_unicode(MINUS_LIKE).is_some(),
        '\u{a0}' | '\u{2000}'..='\u{200a}' | '\u{202f}' | '\u{205f}' | '\u{3000}' => {
            map.map_unicode(' ').is_some()
        }
        _ => has_parts(map, u32::from(c)),
    }
}

/// Says whether a face has all canonical parts of a character.
fn has_parts(map: &Charmap<'_>, code: u32) -> bool {
    let has = |code| map.map_unicode(code).is_some() || has_parts(map, code);
    match unicode::decompose(code) {
        Some(unicode::Decomposed::Pair(first, second)) => has(first) && has(second),
        Some(unicode::Decomposed::Singleton(other)) => has(other),
        None => false,
    }
}

/// Says whether a character needs no glyph: Unicode's Default_Ignorable_Code_Point
/// (DerivedCoreProperties.txt) without the Hangul fillers, which shaping does not hide.
fn is_ignorable(c: char) -> bool {
    matches!(
        c,
        '\u{ad}'
            | '\u{34f}'
            | '\u{61c}'
            | '\u{17b4}'..='\u{17b5}'
            | '\u{180b}'..='\u{180f}'
            | '\u{200b}'..='\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{fe00}'..='\u{fe0f}'
            | '\u{feff}'
            | '\u{fff0}'..='\u{fff8}'
            | '\u{1d173}'..='\u{1d17a}'
            | '\u{e0000}'..='\u{e0fff}'
    )
}

/// Gives every character a script: shared ones (UAX #24 Common and Inherited)
/// take the one before, else the one after, else Latin.
fn assign_scripts(section: &str) -> Vec<UntilByte<Script>> {
    let mut spans: Vec<UntilByte<Script>> = Vec::new();
    for (at, c) in section.char_indices() {
        let end = at + c.len_utf8();
        let script =
            if c.is_ascii_alphabetic() { Script::LATIN } else { unicode::script(u32::from(c)) };
        let shared = [Script::COMMON, Script::INHERITED, Script::UNKNOWN].contains(&script);
        match spans.last_mut() {
            Some(last) if shared => last.0 = end,
            Some(last) if last.1 == Script::COMMON => *last = (end, script),
            None if shared => spans.push((end, Script::COMMON)),
            _ => extend(&mut spans, end, script),
        }
    }
    if let Some(only) = spans.last_mut()
        && only.1 == Script::COMMON
    {
        only.1 = Script::LATIN;
    }
    spans
}

/// Gives every byte its bidi level, and says whether the base runs right to left.
fn assign_levels(section: &str, direction: BaseDirection) -> (bool, Vec<UntilByte<u8>>) {
    let base = match direction {
        BaseDirection::Auto => None,
        BaseDirection::LeftToRight => Some(Level::ltr()),
        BaseDirection::RightToLeft => Some(Level::rtl()),
    };
    if direction != BaseDirection::RightToLeft && !section.chars().any(may_turn) {
        return (false, vec![(section.len(), 0)]);
    }
    let bidi = ParagraphBidiInfo::new(section, base);
    let mut spans = Vec::new();
    for (at, level) in bidi.levels.iter().enumerate() {
        extend(&mut spans, at + 1, level.number());
    }
    (bidi.paragraph_level.is_rtl(), spans)
}

/// Says whether a character may belong to right-to-left text or control it:
/// the blocks that UAX #9 and DerivedBidiClass.txt give to R, AL and AN, and
/// the formatting characters.
fn may_turn(c: char) -> bool {
    matches!(
        c,
        '\u{590}'..='\u{8ff}'
            | '\u{200e}'..='\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2066}'..='\u{2069}'
            | '\u{fb1d}'..='\u{fdff}'
            | '\u{fe70}'..='\u{feff}'
            | '\u{10800}'..='\u{10fff}'
            | '\u{1e800}'..='\u{1efff}'
    )
}
