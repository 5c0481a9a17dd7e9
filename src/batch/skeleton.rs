//! What is left of a tag when everything is taken away that a tired eye takes away: tags with one
//! skeleton are confusable, and so are those whose skeletons are one letter apart.

use std::collections::HashMap;

use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use super::hash::StableHash;
use super::likeness::{fold_case, is_one_edit};

/// A tag's skeleton: without case, accents, spaces and punctuation, and with one letter for each
/// set of look-alikes: 0 and O; 1, I and l; 5 and S; 8 and B; 2 and Z; rn and m; and the letters of
/// Greek and Cyrillic that look like Latin ones.
#[must_use]
pub fn skeleton(tag: &str) -> String {
    let mut bones = String::with_capacity(tag.len());
    for c in tag.nfkd().flat_map(fold_case).nfkd() {
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
    // A tag of nothing but punctuation is known by that.
    if bones.is_empty() { tag.to_owned() } else { bones }
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

/// Skeletons of a set of tags, ready to be asked for those that a further tag is confusable with.
///
/// Two words are one letter apart only if leaving a letter out of one or both makes them equal, so
/// each word is filed under itself and under each of these shorter words: asking costs a few
/// look-ups, however many tags there are.
#[derive(Default)]
pub(super) struct SkeletonIndex {
    /// The skeletons, each once, with the tag that first had it.
    entries: Vec<(String, usize)>,
    /// Where in `entries` the skeletons are that are filed under a hash.
    files: HashMap<u64, Vec<u32>>,
}

/// Skeletons of fewer letters than this are confusable only when they are equal.
const SHORTEST_NEAR: usize = 4;

impl SkeletonIndex {
    /// The tag, as its number given to [`add`](Self::add), that a skeleton is confusable with:
    /// one of the same skeleton first, else the earliest.
    pub(super) fn find(&self, bones: &str) -> Option<usize> {
        let mut nearest: Option<(bool, usize)> = None;
        for hash in file_hashes(bones) {
            for &entry in self.files.get(&hash).into_iter().flatten() {
                let (other, tag) = &self.entries[entry as usize];
                let equal = other == bones;
                let near = equal
                    || (is_near_length(other)
                        && is_near_length(bones)
                        && is_one_edit(other, bones));
                if near && nearest.is_none_or(|best| (!equal, *tag) < best) {
                    nearest = Some((!equal, *tag));
                }
            }
        }
        nearest.map(|(_, tag)| tag)
    }

    /// Files a tag under its skeleton; `tag` is its number.
    pub(super) fn add(&mut self, bones: String, tag: usize) {
        let entry = self.entries.len() as u32;
        let hashes = file_hashes(&bones);
        let known = self.files.get(&hashes[0]).into_iter().flatten();
        if known.into_iter().any(|&entry| self.entries[entry as usize].0 == bones) {
            return;
        }
        for hash in hashes {
            self.files.entry(hash).or_default().push(entry);
        }
        self.entries.push((bones, tag));
    }
}

/// Whether a word is long enough for one letter's difference to be overlooked.
fn is_near_length(word: &str) -> bool {
    word.chars().nth(SHORTEST_NEAR - 1).is_some()
}

/// The hashes that a word is filed under: its own first, then those of it with a letter left out.
fn file_hashes(word: &str) -> Vec<u64> {
    let hash = |word: &str| StableHash::new().field(word).finish();
    let mut hashes = vec![hash(word)];
    if is_near_length(word) {
        for (at, c) in word.char_indices() {
            let shorter = hash(&[&word[..at], &word[at + c.len_utf8()..]].concat());
            if !hashes.contains(&shorter) {
                hashes.push(shorter);
            }
        }
    }
    hashes
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
            index.add((*word).clone(), *tag);
        }
        for (_, word) in asked {
            let all = filed.iter().filter(|(_, other)| {
                let distance = strsim::damerau_levenshtein(word, other);
                distance == 0 || (distance == 1 && word.len() > 3 && other.len() > 3)
            });
            assert_eq!(index.find(word), all.map(|(tag, _)| *tag).min(), "{word}");
        }
    }
}
