//! How a scheme that writes units in groups goes on over the data.
//!
//! In: the data and a scheme. Out: for each place the best places for a segment to begin that ends
//! there. Not here: which scheme is best, and how a symbol ends.
//!
//! Of two beginnings whose groups are full at the same places, one is the cheaper wherever the segment
//! ends. So one for each remainder of a group is kept, and the time grows with the length of the data
//! and not with its square.

use super::sets::{TripleSet, edifact_value};
use crate::codes::code128::Data;

/// Codewords behind the last whole group of EDIFACT for so many characters more, with the six bits that
/// lead back, up to the end of their codeword.
pub(super) const EDIFACT_BACK: [usize; 4] = [1, 2, 3, 3];

/// How a segment is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Scheme {
    /// Characters and pairs of digits.
    Ascii,
    /// Three values in two codewords.
    Triples(TripleSet),
    /// Four characters in three codewords.
    Edifact,
}

/// The cheapest way to a place in ASCII.
#[derive(Clone, Copy, Debug)]
pub(super) struct Way {
    /// Codewords from the start.
    pub(super) codewords: usize,
    /// Where its last segment begins.
    pub(super) from: usize,
    /// How that is written.
    pub(super) scheme: Scheme,
}

/// One scheme on its way over the data.
pub(super) struct SchemeCourse {
    /// What it writes in; never ASCII.
    pub(super) scheme: Scheme,
    /// For each place, where the units behind it end that the scheme can write.
    pub(super) ends: Vec<usize>,
    /// Values in front of each place, if all before it is in the scheme.
    values: Vec<usize>,
    /// Values of a full group.
    group: usize,
    /// Codewords of a full group.
    codewords: usize,
    /// For each remainder of the values in front of a place, the cheapest of the places that have it;
    /// none where the scheme cannot go on from any.
    best: [Option<usize>; 4],
}

impl SchemeCourse {
    /// That of three values a pair of codewords.
    pub(super) fn triples(data: &[Data], set: TripleSet) -> SchemeCourse {
        // In front of all data FNC1 says what they are, as a codeword of its own alone.
        let values = |at, datum| match (at, datum) {
            (0, Data::Fnc1) => None,
            _ => set.values(datum).map(|values| values.len()),
        };
        SchemeCourse::new(data, Scheme::Triples(set), values)
    }

    /// That of four characters in three codewords.
    pub(super) fn edifact(data: &[Data]) -> SchemeCourse {
        SchemeCourse::new(data, Scheme::Edifact, |_, datum| edifact_value(datum).map(|_| 1))
    }

    /// That of a scheme that writes a unit at a place in so many values, if it can.
    fn new(
        data: &[Data],
        scheme: Scheme,
        values: impl Fn(usize, Data) -> Option<usize>,
    ) -> SchemeCourse {
        let counts: Vec<Option<usize>> =
            data.iter().enumerate().map(|(at, datum)| values(at, *datum)).collect();
        let mut ends = vec![data.len(); data.len() + 1];
        for at in (0..data.len()).rev() {
            ends[at] = counts[at].map_or(at, |_| ends[at + 1]);
        }
        let mut sum = 0;
        let mut values = vec![0];
        values.extend(counts.into_iter().map(|count| {
            sum += count.unwrap_or(0);
            sum
        }));
        let (group, codewords) = if scheme == Scheme::Edifact { (4, 3) } else { (3, 2) };
        SchemeCourse { scheme, ends, values, group, codewords, best: [None; 4] }
    }

    /// Values from one place to another.
    pub(super) fn count(&self, from: usize, to: usize) -> usize {
        self.values[to] - self.values[from]
    }

    /// Looks at a place as the beginning of a segment; `ways` lead as far as there.
    pub(super) fn begin(&mut self, place: usize, ways: &[Way]) {
        if self.ends[place] == place {
            self.best = [None; 4];
            return;
        }
        // What is ahead costs both the same, so what was saved by beginning later is what counts.
        let cost =
            |at: usize| self.group * ways[at].codewords + self.codewords * self.count(at, place);
        let kept = &self.best[self.values[place] % self.group];
        if kept.is_none_or(|kept| cost(place) < cost(kept)) {
            self.best[self.values[place] % self.group] = Some(place);
        }
    }

    /// The cheapest ways to a place by a segment that ends there and leads back to ASCII, one for each
    /// remainder with which it can.
    pub(super) fn ways<'a>(&'a self, to: usize, ways: &'a [Way]) -> impl Iterator<Item = Way> + 'a {
        let is_edifact = self.scheme == Scheme::Edifact;
        let behind = (self.ends.len() - 1 - to).div_ceil(2);
        self.best.iter().flatten().filter_map(move |&from| {
            let count = self.count(from, to);
            let rest = count % self.group;
            let back = match is_edifact {
                true => EDIFACT_BACK[rest],
                false if rest == 0 => 1,
                false => return None,
            };
            // Where at most two codewords are left at the beginning of a group of EDIFACT, those are
            // ASCII: then nothing leads back.
            if is_edifact && back + behind < 3 {
                return None;
            }
            // One codeword leads into the scheme.
            let codewords = ways[from].codewords + 1 + count / self.group * self.codewords + back;
            Some(Way { codewords, from, scheme: self.scheme })
        })
    }
}
