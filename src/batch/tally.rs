//! The tally: a row of 24 black and white cells along a label's edge that goes on along its bench
//! card's edge, for eyes to match.
//!
//! In: the pair codes of a batch. Out: a row for each. The first and last cell are always black,
//! so that the ends of both rows can be laid against one another; the 22 between are a word of
//! the binary Golay code with one place left out, any two words of which differ in six cells at
//! least. Not here: how large a cell is.
//!
//! A row turned upside down must not look like another row. Four of the code's 4,096 words, all
//! white and all black among them, read as a word of the code when they are turned; they are not
//! used. Of the 4,092 that are left, those come first whose turned row differs from every word of
//! the code in three cells, which is as far as a row can be from this code, and that have no run
//! of more than six equal cells, which eyes miscount.

use std::sync::LazyLock;

use crate::hash::StableHash;
use crate::pairs::PairCode;

/// How many cells a tally has.
pub const TALLY_CELLS: usize = 24;

/// How many of them carry the word.
const WORD_CELLS: u32 = 22;

/// The longest run of equal cells in a word that is handed out first, fixed cells included.
const LONGEST_RUN: u32 = 6;

/// The generator polynomial of the binary Golay code of 23 places,
/// x¹¹ + x¹⁰ + x⁶ + x⁵ + x⁴ + x² + 1 (errorcorrectionzoo.org, "Binary Golay code"); the tests measure
/// the distances it gives.
const GENERATOR: u32 = 0b1100_0111_0101;

/// A row of cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Tally {
    /// The 22 cells between the fixed ones, the first in the highest bit; 1 is black.
    word: u32,
}

impl Tally {
    /// The cells from left to right on a label, and on its card above or below; true is black.
    #[must_use]
    pub fn cells(self) -> [bool; TALLY_CELLS] {
        let mut cells = [true; TALLY_CELLS];
        for (cell, place) in cells[1..=WORD_CELLS as usize].iter_mut().zip((0..WORD_CELLS).rev()) {
            *cell = self.word >> place & 1 == 1;
        }
        cells
    }

    /// In how many cells two rows differ.
    #[must_use]
    pub fn distance(self, other: Tally) -> u32 {
        (self.word ^ other.word).count_ones()
    }

    /// The row turned upside down.
    #[must_use]
    pub fn turned(self) -> Tally {
        Tally { word: turn(self.word) }
    }
}

/// A word turned upside down.
fn turn(word: u32) -> u32 {
    word.reverse_bits() >> (u32::BITS - WORD_CELLS)
}

/// The ten check bits that belong to twelve data bits: eleven by division by the generator, the
/// last left out.
fn check_bits(data: u32) -> u32 {
    let mut rest = data << 11;
    for place in (11..23).rev() {
        if rest >> place & 1 == 1 {
            rest ^= GENERATOR << (place - 11);
        }
    }
    rest >> 1
}

/// The code's word for twelve data bits.
fn code_word(data: u32) -> u32 {
    data << 10 | check_bits(data)
}

/// The words, sorted once.
static WORDS: LazyLock<Words> = LazyLock::new(Words::new);

/// The words to use, best first, and how many of them are best.
struct Words {
    /// All of them.
    words: Vec<u32>,
    /// How many at the front are better than the rest.
    best: usize,
}

impl Words {
    /// Sorts the code's words into best, second and unused.
    fn new() -> Words {
        let near = near_syndromes();
        let (mut best, mut second) = (Vec::new(), Vec::new());
        for word in (0..1 << 12).map(code_word) {
            let turned = syndrome(turn(word));
            let few = word.count_ones().min(WORD_CELLS - word.count_ones());
            if few < 6 || turned == 0 {
                continue;
            }
            if near[turned as usize] || longest_run(word) > LONGEST_RUN {
                second.push(word);
            } else {
                best.push(word);
            }
        }
        let count = best.len();
        best.append(&mut second);
        Words { words: best, best: count }
    }
}

/// What keeps a row from being a word of the code: zero for a word, and otherwise the same for all
/// rows that differ from a word in the same way.
fn syndrome(row: u32) -> u32 {
    check_bits(row >> 10) ^ (row & 0x3ff)
}

/// For each syndrome, whether its rows differ from a word in two cells or fewer.
fn near_syndromes() -> [bool; 1 << 10] {
    let mut near = [false; 1 << 10];
    near[0] = true;
    for first in 0..WORD_CELLS {
        for second in 0..=first {
            // Twice the same cell is that cell alone.
            near[syndrome(1 << first | 1 << second) as usize] = true;
        }
    }
    near
}

/// The longest run of equal cells, the fixed ones at the ends included.
fn longest_run(word: u32) -> u32 {
    let row = 1 << (WORD_CELLS + 1) | word << 1 | 1;
    let (mut longest, mut run) = (1, 1);
    for place in 1..WORD_CELLS + 2 {
        run = if (row >> place ^ row >> (place - 1)) & 1 == 0 { run + 1 } else { 1 };
        longest = longest.max(run);
    }
    longest
}

/// A tally for each pair code, and how many had to repeat another's.
///
/// Words are used once each, the best first; a batch with more parcels than words starts again.
pub(super) fn assign_tallies(codes: &[PairCode]) -> (Vec<Tally>, usize) {
    let Words { words, best } = &*WORDS;
    let mut tallies = Vec::with_capacity(codes.len());
    for round in codes.chunks(words.len()) {
        let mut used = vec![false; words.len()];
        for (index, code) in round.iter().enumerate() {
            let hash = StableHash::new().field(code.as_str()).finish() as usize;
            let pool = if index < *best { 0..*best } else { *best..words.len() };
            let mut at = pool.start + hash % pool.len();
            while used[at] {
                at = if at + 1 == pool.end { pool.start } else { at + 1 };
            }
            used[at] = true;
            tallies.push(Tally { word: words[at] });
        }
    }
    (tallies, codes.len().saturating_sub(words.len()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pairs::assign_codes;

    /// Every pair of the code's 4,096 words: six cells at least, and six is reached.
    #[test]
    fn any_two_words_differ_in_six_cells() {
        let words: Vec<u32> = (0..1 << 12).map(code_word).collect();
        let mut least = u32::MAX;
        for (index, word) in words.iter().enumerate() {
            for other in &words[..index] {
                least = least.min((word ^ other).count_ones());
            }
        }
        assert_eq!(least, 6);
    }

    #[test]
    fn the_words_in_use_are_counted() {
        let Words { words, best } = Words::new();
        assert_eq!((words.len(), best), (4_092, 2_614));
        assert!(words.iter().all(|word| (6..=16).contains(&word.count_ones())));
    }

    /// Turned upside down no word in use is one in use, and the best are three cells from all.
    #[test]
    fn a_turned_row_is_no_other_row() {
        let Words { words, best } = Words::new();
        for (index, &word) in words.iter().enumerate() {
            let turned = turn(word);
            let nearest = words.iter().map(|&other| (turned ^ other).count_ones()).min();
            assert!(nearest >= Some(if index < best { 3 } else { 1 }));
        }
        let row = Tally { word: words[0] };
        assert_eq!(row.turned().turned(), row);
        let mut backwards = row.cells();
        backwards.reverse();
        assert_eq!(row.turned().cells(), backwards);
    }

    #[test]
    fn rows_start_and_end_black() {
        let cells = Tally { word: 0b10_0000_0000_0000_0000_0001 }.cells();
        let black: Vec<_> = (0..TALLY_CELLS).filter(|&cell| cells[cell]).collect();
        assert_eq!(black, [0, 1, 22, 23]);
    }

    #[test]
    fn tallies_repeat_only_when_they_run_out() {
        let ids: Vec<String> = (0..5_000).map(|id| id.to_string()).collect();
        let parcels: Vec<Vec<&str>> = ids.iter().map(|id| vec![id.as_str()]).collect();
        let (tallies, repeats) = assign_tallies(&assign_codes("b", &parcels));
        assert_eq!(repeats, 5_000 - 4_092);
        let distinct =
            |tallies: &[Tally]| tallies.iter().collect::<std::collections::HashSet<_>>().len();
        assert_eq!(distinct(&tallies[..4_092]), 4_092);
        assert_eq!(distinct(&tallies[4_092..]), repeats);
        let (few, none) = assign_tallies(&assign_codes("b", &parcels[..100]));
        assert_eq!(none, 0);
        for (index, tally) in few.iter().enumerate() {
            assert!(few[..index].iter().all(|other| tally.distance(*other) >= 6));
            assert!(few.iter().all(|other| tally.turned().distance(*other) >= 3));
        }
    }
}
