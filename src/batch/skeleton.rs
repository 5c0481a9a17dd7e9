//! What is left of a tag when everything is taken away that a tired eye takes away: tags with one
//! skeleton are confusable, and so are those whose skeletons are one letter apart.

use std::collections::hash_map::Entry;
use std::collections::{BTreeSet, HashMap};
use std::ops::{Bound, ControlFlow};

use foldhash::fast::FixedState;
use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use super::likeness::{fold_case, is_one_edit};
use crate::hash::StableHash;

/// A tag's skeleton: without case, accents, spaces and punctuation, and with one letter for each
/// set of look-alikes: 0 and O; 1, I and l; 5 and S; 8 and B; 2 and Z; rn and m; and the letters of
/// Greek and Cyrillic that look like Latin ones.
#[must_use]
pub fn skeleton(tag: &str) -> String {
    let bones = if tag.is_ascii() {
        bare_bones(tag.chars().map(|c| c.to_ascii_lowercase()), tag.len())
    } else {
        bare_bones(tag.nfkd().flat_map(fold_case).nfkd(), tag.len())
    };
    // A tag of nothing but punctuation is known by that.
    if bones.is_empty() { tag.to_owned() } else { bones }
}

/// The skeleton of folded characters; `length` is about how many bytes they take.
fn bare_bones(folded: impl Iterator<Item = char>, length: usize) -> String {
    let mut bones = String::with_capacity(length);
    for c in folded {
        if is_combining_mark(c) || c.is_whitespace() || is_punctuation(c) {
            continue;
        }
        let c = find_look_alike(c);
        if c == 'n' && bones.ends_with('r') {
            bones.pop();
            bones.push('m');
        } else {
            bones.push(c);
        }
    }
    bones
}

/// Whether a character only separates.
fn is_punctuation(c: char) -> bool {
    c.is_ascii_punctuation()
        || matches!(
            c,
            '\u{a1}' | '\u{a7}' | '\u{ab}' | '\u{b4}' | '\u{b6}'..='\u{b8}' | '\u{bb}' | '\u{bf}'
        )
        || matches!(c, '\u{2000}'..='\u{206f}' | '\u{3000}'..='\u{303f}')
}

/// The letter that stands for a folded character and all that look like it, in either case.
fn find_look_alike(c: char) -> char {
    match c {
        '0' | 'ο' | 'о' | 'ø' | 'օ' => 'o',
        '1' | 'i' | 'ı' | 'ι' | 'і' | 'ł' | 'ӏ' => 'l',
        '5' | 'ѕ' => 's',
        '8' | 'β' | 'в' => 'b',
        '2' | 'ζ' => 'z',
        'α' | 'а' => 'a',
        'ε' | 'е' => 'e',
        'η' | 'н' | 'ħ' => 'h',
        'κ' | 'к' => 'k',
        'μ' | 'м' => 'm',
        'ν' => 'n',
        'ρ' | 'р' => 'p',
        'с' => 'c',
        'τ' | 'т' => 't',
        'υ' | 'у' => 'y',
        'χ' | 'х' => 'x',
        'ј' => 'j',
        'đ' => 'd',
        other => other,
    }
}

/// A tag's skeleton, as a whole and word by word.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct TagBones {
    /// Of the whole tag, without its spaces; and behind it of each word, divided by spaces, of which a
    /// skeleton has none, but for a tag of one.
    text: Box<str>,
    /// How long the whole is, in bytes.
    whole: u32,
}

impl TagBones {
    /// The skeleton of a tag.
    pub(super) fn of(tag: &str) -> TagBones {
        let words = tag.split(|c: char| c.is_whitespace() || is_punctuation(c));
        let mut words = words.filter(|word| !word.is_empty());
        let words = match (words.next(), words.next()) {
            (Some(first), Some(second)) => {
                let all = [first, second].into_iter().chain(words);
                all.map(skeleton).collect::<Vec<_>>().join(" ")
            }
            _ => String::new(),
        };
        TagBones::join(&skeleton(tag), &words)
    }

    /// The skeleton of a tag from that of the whole and those of its words.
    fn join(whole: &str, words: &str) -> TagBones {
        TagBones { text: [whole, words].concat().into(), whole: whole.len() as u32 }
    }

    /// Of the whole tag.
    fn whole(&self) -> &str {
        self.text.split_at(self.whole as usize).0
    }

    /// Of its words; nothing for a tag of one.
    fn words(&self) -> &str {
        self.text.split_at(self.whole as usize).1
    }

    /// The same as if it were one word, which is confusable with more.
    pub(super) fn as_one_word(&self) -> TagBones {
        TagBones::join(self.whole(), "")
    }

    /// Whether tags with these skeletons are confusable. The words that two tags share are no help
    /// and no harm: `HERON RNAT` and `HERON UMAT` are as like each other as `RNAT` and `UMAT`.
    pub(super) fn is_near(&self, other: &TagBones) -> bool {
        if !is_near(self.whole(), other.whole()) {
            return false;
        }
        let count = |bones: &TagBones| bones.words().matches(' ').count();
        let is_spelt_alike = self.whole() == other.whole() || count(self) != count(other);
        if is_spelt_alike || self.words().is_empty() || other.words().is_empty() {
            return true;
        }
        let pairs = self.words().split(' ').zip(other.words().split(' '));
        let (one, other): (String, String) = pairs.filter(|(one, other)| one != other).unzip();
        is_near(&one, &other)
    }
}

/// Skeletons of tags, to be asked for one that begins another or is begun by it: `Nebel` and
/// `Nebelhorn` are taken for one another as soon as the end of a tag is covered.
#[derive(Default)]
pub(super) struct BeginningIndex {
    /// The skeletons as wholes, sorted.
    wholes: BTreeSet<Box<str>>,
}

impl BeginningIndex {
    /// Files a tag.
    pub(super) fn add(&mut self, bones: &TagBones) {
        self.wholes.insert(bones.whole().into());
    }

    /// Whether a tag of the index begins like this one, or this one like it.
    pub(super) fn shares_beginning(&self, bones: &TagBones) -> bool {
        let whole = bones.whole();
        let from = (Bound::Included(whole), Bound::Unbounded);
        let next = self.wholes.range::<str, _>(from).next();
        next.is_some_and(|next| next.starts_with(whole)) || self.has_beginning_of(whole)
    }

    /// Whether a tag of the index begins this one and is shorter.
    fn has_beginning_of(&self, whole: &str) -> bool {
        // What begins a text sorts before it. The last tag that sorts before is it, or shares a
        // beginning with the text that whatever begins the text is no longer than.
        let mut end = whole.len();
        loop {
            let range = match end == whole.len() {
                true => (Bound::Unbounded, Bound::Excluded(whole)),
                false => (Bound::Unbounded, Bound::Included(&whole[..end])),
            };
            let Some(last) = self.wholes.range::<str, _>(range).next_back() else { return false };
            if whole.starts_with(&**last) {
                return !last.is_empty();
            }
            end = count_shared(whole, last);
            if end == 0 {
                return false;
            }
        }
    }
}

/// Skeletons of a set of tags, ready to be asked for those that a further tag is confusable with.
///
/// Two words are one letter apart only if leaving a letter out of one or both makes them equal, so
/// each word is filed under itself and under each of these shorter words: asking costs a few
/// look-ups, however many tags there are. What is found is compared again, so that short hashes
/// will do.
#[derive(Default)]
pub(super) struct SkeletonIndex {
    /// What was added so far, each with the parcel it belongs to.
    entries: Vec<(TagBones, u32)>,
    /// For each hash, the only entry filed under it, or with [`SEVERAL`] the last link of them.
    files: HashMap<u32, u32, FixedState>,
    /// An entry and the link before it; [`NO_LINK`] where there is no link.
    links: Vec<(u32, u32)>,
}

/// Marks a file of several entries. Most have one, and a link for each would take as much again.
const SEVERAL: u32 = 1 << 31;

/// Where a file ends.
const NO_LINK: u32 = SEVERAL - 1;

/// Skeletons of fewer letters than this are confusable only when they are equal.
const SHORTEST_NEAR: usize = 4;

impl SkeletonIndex {
    /// A tag, as its number given to [`add`](Self::add), that a skeleton is confusable with.
    pub(super) fn find(&self, bones: &TagBones) -> Option<usize> {
        self.visit_near(bones, ControlFlow::Break).break_value()
    }

    /// All tags that a skeleton is confusable with, each once, in the order they were added. Few
    /// when the tags in the index are confusable with none of one another.
    pub(super) fn list(&self, bones: &TagBones) -> Vec<usize> {
        let mut near = Vec::new();
        let _: ControlFlow<()> = self.visit_near(bones, |tag| {
            near.push(tag);
            ControlFlow::Continue(())
        });
        near.sort_unstable();
        near.dedup();
        near
    }

    /// Goes through the tags that a skeleton is confusable with, some of them more than once.
    fn visit_near<T>(
        &self,
        bones: &TagBones,
        mut visit: impl FnMut(usize) -> ControlFlow<T>,
    ) -> ControlFlow<T> {
        if self.entries.is_empty() {
            return ControlFlow::Continue(());
        }
        visit_files(bones.whole(), |hash| {
            let Some(&file) = self.files.get(&hash) else { return ControlFlow::Continue(()) };
            let mut look_at = |entry: u32| {
                let (other, tag) = &self.entries[entry as usize];
                if other.is_near(bones) { visit(*tag as usize) } else { ControlFlow::Continue(()) }
            };
            if file & SEVERAL == 0 {
                return look_at(file);
            }
            let mut link = file & !SEVERAL;
            while let Some(&(entry, before)) = self.links.get(link as usize) {
                look_at(entry)?;
                link = before;
            }
            ControlFlow::Continue(())
        })
    }

    /// Files a tag under its skeleton; `tag` is its number.
    pub(super) fn add(&mut self, bones: &TagBones, tag: usize) {
        let entry = self.entries.len() as u32;
        let _: ControlFlow<()> = visit_files(bones.whole(), |hash| {
            self.file(hash, entry);
            ControlFlow::Continue(())
        });
        self.entries.push((bones.clone(), tag as u32));
    }

    /// Files an entry under a hash.
    fn file(&mut self, hash: u32, entry: u32) {
        let file = match self.files.entry(hash) {
            Entry::Vacant(free) => {
                free.insert(entry);
                return;
            }
            Entry::Occupied(file) => file.into_mut(),
        };
        let before = if *file & SEVERAL == 0 {
            self.links.push((*file, NO_LINK));
            self.links.len() as u32 - 1
        } else {
            *file & !SEVERAL
        };
        *file = self.links.len() as u32 | SEVERAL;
        self.links.push((entry, before));
    }
}

/// How many bytes two texts have in common at their beginning, in whole letters.
fn count_shared(one: &str, other: &str) -> usize {
    let pairs = one.chars().zip(other.chars());
    pairs.take_while(|(one, other)| one == other).map(|(letter, _)| letter.len_utf8()).sum()
}

/// Whether tags of one word with these skeletons are confusable.
fn is_near(one: &str, other: &str) -> bool {
    one == other || (is_near_length(one) && is_near_length(other) && is_one_edit(one, other))
}

/// Whether a word is long enough for one letter's difference to be overlooked.
fn is_near_length(word: &str) -> bool {
    word.chars().nth(SHORTEST_NEAR - 1).is_some()
}

/// Goes through the hashes that a word is filed under: its own, and those of it with a letter left
/// out. Of equal letters in a row it does not matter which is left out.
fn visit_files<T>(word: &str, mut visit: impl FnMut(u32) -> ControlFlow<T>) -> ControlFlow<T> {
    let fold = |hash: StableHash| hash.finish() as u32;
    visit(fold(StableHash::new().bytes(word.as_bytes())))?;
    if !is_near_length(word) {
        return ControlFlow::Continue(());
    }
    let mut last = None;
    for (at, c) in word.char_indices() {
        if last != Some(c) {
            let (front, back) = (&word[..at], &word[at + c.len_utf8()..]);
            visit(fold(StableHash::new().bytes(front.as_bytes()).bytes(back.as_bytes())))?;
        }
        last = Some(c);
    }
    ControlFlow::Continue(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn look_alikes_share_a_skeleton() {
        for (first, second) in [
            ("MARLOW", "marlow"),
            ("Zoë", "zoe"),
            ("B0X", "BOX"),
            ("Ill", "111"),
            ("S5", "55"),
            ("Box 8", "Box B"),
            ("Zaz", "2a2"),
            ("Fern", "Fem"),
            ("Corner 2", "Comer-Z"),
            ("КОТ", "KOT"),
            ("ΑΚΗ", "AKH"),
            ("Łódka", "Iodka"),
            ("tern hollow", "TernHollow"),
        ] {
            assert_eq!(skeleton(first), skeleton(second), "{first} {second}");
        }
        for (first, second) in [("Heron", "Wren"), ("🦊", "🐻"), ("!", "?"), ("Π", "Λ")] {
            assert_ne!(skeleton(first), skeleton(second), "{first} {second}");
        }
    }

    #[test]
    fn words_that_two_tags_share_do_not_make_them_more_alike() {
        let is_near = |one: &str, other: &str| TagBones::of(one).is_near(&TagBones::of(other));
        for (one, other) in [("RNAT", "UMAT"), ("Tim", "Tom"), ("Tern", "Fern"), ("Rat", "Mat")] {
            let alone = is_near(one, other);
            for (front, back) in [("HERON ", ""), ("", " Heron"), ("blue ", " 7")] {
                let [one, other] = [one, other].map(|word| format!("{front}{word}{back}"));
                assert_eq!(is_near(&one, &other), alone, "{one} {other}");
            }
        }
        assert!(is_near("HERON RNAT", "heron-mat"));
        assert!(is_near("tern hollow", "TernHollov"));
        assert!(is_near("Corner 2", "Comer-Z"));
    }

    #[test]
    fn a_tag_that_begins_another_is_found_from_both_sides() {
        let mut index = BeginningIndex::default();
        for tag in ["Nebelhorn", "Ada", "Ärmel kurz"] {
            index.add(&TagBones::of(tag));
        }
        let shares = |tag: &str| index.shares_beginning(&TagBones::of(tag));
        for tag in ["Nebel", "nebelhorn", "Nebelhornklang", "Adamant", "Ärmel", "Armel"] {
            assert!(shares(tag), "{tag}");
        }
        for tag in ["Horn", "Nebula", "Ade", "Bada", ""] {
            assert_eq!(shares(tag), tag.is_empty(), "{tag}");
        }
    }

    #[test]
    fn the_index_finds_what_comparing_all_would_find() {
        let mut words = vec![String::new()];
        for length in 0..5 {
            let longer: Vec<String> = words
                .iter()
                .filter(|word| word.len() == length)
                .flat_map(|word| ["a", "c", "d"].map(|letter| format!("{word}{letter}")))
                .collect();
            words.extend(longer);
        }
        let (filed, asked): (Vec<_>, Vec<_>) =
            words.iter().enumerate().partition(|(index, _)| index % 3 == 0);
        let mut index = SkeletonIndex::default();
        for (tag, word) in &filed {
            index.add(&TagBones::of(word), *tag);
        }
        for (_, word) in asked {
            let is_near = |other: &str| {
                let distance = strsim::damerau_levenshtein(word, other);
                distance == 0 || (distance == 1 && word.len() > 3 && other.len() > 3)
            };
            let all: Vec<usize> =
                filed.iter().filter(|(_, it)| is_near(it)).map(|(tag, _)| *tag).collect();
            let bones = TagBones::of(word);
            assert_eq!(index.list(&bones), all, "{word}");
            match index.find(&bones) {
                Some(tag) => assert!(is_near(&words[tag]), "{word}"),
                None => assert!(!filed.iter().any(|(_, other)| is_near(other)), "{word}"),
            }
        }
    }
}
