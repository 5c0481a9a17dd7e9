//! Data into the fewest codewords.
//!
//! In: characters and FNC1. Out: an [`Encodation`], from which the codewords for a symbol of some
//! room are written, if it has room enough. Not here: error correction.
//!
//! A symbol begins in ASCII, and every other scheme leads back to it. So data are parted into
//! segments, and the fewest codewords up to each place in ASCII follow from those up to earlier places
//! ([`find_encodation`]), of which only a few have to be looked at (`course`). Only the end is another matter: several schemes may end without a word where
//! the symbol ends with them, so ends are kept as [`Ending`]s and looked at for each size.
//!
//! Base 256, the scheme for bytes, is not used: what a reader makes of them is not agreed on, and the
//! decoder of the proof gets text with them wrong (`decodeBase256Segment` of rxing 0.9.3 takes them for
//! Latin-1 and puts UTF-8 in their place). So letters outside ASCII take two codewords a byte.

use super::course::{EDIFACT_BACK, Scheme, SchemeCourse, Way};
use super::sets::{SHIFT_1, TripleSet, ascii_codewords, edifact_value};
use crate::codes::code128::Data;

/// From ASCII to EDIFACT.
const LATCH_EDIFACT: u8 = 240;

/// Back to ASCII from C40, Text and X12.
const UNLATCH: u8 = 254;

/// Back to ASCII from EDIFACT, in six bits.
const UNLATCH_EDIFACT: u8 = 31;

/// The next character is meant with its highest bit.
const UPPER_SHIFT: u8 = 235;

/// FNC1 in ASCII.
const FNC1: u8 = 232;

/// Fills what is left of a symbol.
const PAD: u8 = 129;

/// A way to end otherwise than in ASCII.
#[derive(Clone, Copy, Debug)]
struct Ending {
    /// Where the last scheme begins.
    from: usize,
    /// What the last segment is written in.
    scheme: Scheme,
    /// Where it ends; what is behind is in ASCII without a word of the change.
    to: usize,
    /// Codewords in front of the tail.
    codewords: usize,
    /// Codewords of the tail.
    tail: usize,
    /// What it asks of the room of a symbol.
    room: RoomNeed,
}

/// What an ending asks of the room of a symbol.
#[derive(Clone, Copy, Debug)]
enum RoomNeed {
    /// None is left behind it.
    Full,
    /// At most two codewords are left where the tail begins.
    Nearly,
    /// At least three codewords are left where its last group begins.
    Group,
}

/// Data with the cheapest ways through it.
pub(super) struct Encodation<'d> {
    /// Codewords that stand in front.
    front: &'d [u8],
    /// What is to be said, from its first character.
    data: &'d [Data],
    /// The cheapest way to every place.
    ways: Vec<Way>,
    /// Other ends.
    endings: Vec<Ending>,
}

/// Finds the cheapest ways through data behind codewords that say how they are to be read.
pub(super) fn find_encodation<'d>(front: &'d [u8], data: &'d [Data]) -> Encodation<'d> {
    let start = Way { codewords: front.len(), from: 0, scheme: Scheme::Ascii };
    let mut encodation = Encodation { front, data, ways: vec![start], endings: Vec::new() };
    let triples = TripleSet::ALL.map(|set| SchemeCourse::triples(data, set));
    let mut courses = triples.into_iter().chain([SchemeCourse::edifact(data)]).collect::<Vec<_>>();
    for to in 1..=data.len() {
        courses.iter_mut().for_each(|course| course.begin(to - 1, &encodation.ways));
        let way = encodation.find_way(to, &courses);
        encodation.ways.push(way);
    }
    for from in 0..data.len() {
        courses.iter().for_each(|course| match course.scheme {
            Scheme::Triples(set) => encodation.end_in_triples(from, set, course),
            _ => encodation.end_in_edifact(from, course),
        });
    }
    encodation
}

impl Encodation<'_> {
    /// Codewords needed at least, those in front included, when the symbol goes on behind it.
    pub(super) fn least_codewords(&self) -> usize {
        self.codewords_to(self.data.len())
    }

    /// Codewords up to a place.
    fn codewords_to(&self, place: usize) -> usize {
        self.ways[place].codewords
    }

    /// The cheapest way to a place; of those alike the one whose last segment is longest.
    fn find_way(&self, to: usize, courses: &[SchemeCourse]) -> Way {
        let ascii = |units: usize, codewords| {
            let from = to - units;
            Way { codewords: self.codewords_to(from) + codewords, from, scheme: Scheme::Ascii }
        };
        let unit = ascii(1, ascii_codewords(self.data[to - 1]));
        let pair = match self.data[..to] {
            [.., Data::Char(b'0'..=b'9'), Data::Char(b'0'..=b'9')] => Some(ascii(2, 1)),
            _ => None,
        };
        let grouped = courses.iter().flat_map(|course| course.ways(to, &self.ways));
        let others = pair.into_iter().chain(grouped);
        others.fold(unit, |best, way| {
            let is_better = (way.codewords, way.from) < (best.codewords, best.from);
            if is_better { way } else { best }
        })
    }

    /// Keeps the ends in three values a pair of codewords behind a place.
    fn end_in_triples(&mut self, from: usize, set: TripleSet, course: &SchemeCourse) {
        let end = self.data.len();
        if course.ends[from] != end {
            return;
        }
        let (scheme, room) = (course.scheme, RoomNeed::Full);
        let base = self.codewords_to(from) + 1;
        // The last unit may be in ASCII where one codeword is left for it.
        let (before, values) = (course.count(from, end - 1), course.count(from, end));
        let single = values == before + 1 && ascii_codewords(self.data[end - 1]) == 1;
        if before > 0 && before % 3 == 0 && single {
            let codewords = base + before / 3 * 2;
            self.endings.push(Ending { from, scheme, to: end - 1, codewords, tail: 1, room });
        }
        // Two values that are left get a third that says nothing, which X12 has not.
        let padded = values % 3 == 2 && set != TripleSet::X12;
        if values % 3 == 0 || padded {
            let codewords = base + values.div_ceil(3) * 2;
            self.endings.push(Ending { from, scheme, to: end, codewords, tail: 0, room });
        }
    }

    /// Keeps the ends in EDIFACT behind a place.
    fn end_in_edifact(&mut self, from: usize, course: &SchemeCourse) {
        let (base, end) = (self.codewords_to(from) + 1, self.data.len());
        let scheme = course.scheme;
        // Two codewords of ASCII are four digits at most.
        for to in (from + 1).max(end.saturating_sub(4))..=course.ends[from] {
            let count = to - from;
            let codewords = base + count / 4 * 3;
            let tail = self.tail_codewords(to);
            if count.is_multiple_of(4) && tail <= 2 {
                let room = RoomNeed::Nearly;
                self.endings.push(Ending { from, scheme, to, codewords, tail, room });
            }
            if to == end {
                let (tail, room) = (EDIFACT_BACK[count % 4], RoomNeed::Group);
                self.endings.push(Ending { from, scheme, to, codewords, tail, room });
            }
        }
    }

    /// Codewords of what is behind a place in ASCII; 3 for any more than two.
    fn tail_codewords(&self, from: usize) -> usize {
        let mut rest = &self.data[from..];
        let mut codewords = 0;
        while codewords < 3 && !rest.is_empty() {
            let pair = matches!(rest, [Data::Char(b'0'..=b'9'), Data::Char(b'0'..=b'9'), ..]);
            codewords += if pair { 1 } else { ascii_codewords(rest[0]) };
            rest = &rest[if pair { 2 } else { 1 }..];
        }
        codewords.min(3)
    }

    /// The codewords for a symbol of so much room; none when it is too small.
    pub(super) fn write(&self, room: usize) -> Option<Vec<u8>> {
        let end = self.data.len();
        if self.codewords_to(end) <= room {
            return Some(self.write_to(end));
        }
        let ending = self.endings.iter().find(|ending| ending.fits(room))?;
        let mut out = self.write_to(ending.from);
        let way_back = match ending.room {
            RoomNeed::Group => WayBack::Written,
            RoomNeed::Full | RoomNeed::Nearly => WayBack::Implied,
        };
        self.write_segment(ending.scheme, ending.from, ending.to, way_back, &mut out);
        write_ascii(&self.data[ending.to..], &mut out);
        Some(out)
    }

    /// The codewords up to a place, in ASCII there.
    fn write_to(&self, place: usize) -> Vec<u8> {
        let mut segments = Vec::new();
        let mut to = place;
        while to > 0 {
            let Way { from, scheme, .. } = self.ways[to];
            segments.push((scheme, from, to));
            to = from;
        }
        let mut out = self.front.to_vec();
        for (scheme, from, to) in segments.into_iter().rev() {
            self.write_segment(scheme, from, to, WayBack::Written, &mut out);
        }
        out
    }

    /// Appends the codewords of a stretch in one scheme, the change to it included.
    fn write_segment(
        &self,
        scheme: Scheme,
        from: usize,
        to: usize,
        way_back: WayBack,
        out: &mut Vec<u8>,
    ) {
        let data = &self.data[from..to];
        match scheme {
            Scheme::Ascii => write_ascii(data, out),
            Scheme::Triples(set) => {
                write_triples(data, set, out);
                out.extend((way_back == WayBack::Written).then_some(UNLATCH));
            }
            Scheme::Edifact => write_edifact(data, way_back, out),
        }
    }
}

impl Ending {
    /// Whether a symbol of so much room can end like this.
    fn fits(&self, room: usize) -> bool {
        let all = self.codewords + self.tail;
        match self.room {
            RoomNeed::Full => all == room,
            RoomNeed::Nearly => all <= room && room <= self.codewords + 2,
            RoomNeed::Group => self.codewords + 3 <= room,
        }
    }
}

/// How a segment ends.
#[derive(Clone, Copy, PartialEq, Eq)]
enum WayBack {
    /// With a codeword that leads back to ASCII.
    Written,
    /// With the symbol's room, which leads back by itself.
    Implied,
}

/// Writes units in ASCII, digits in pairs from the front.
fn write_ascii(data: &[Data], out: &mut Vec<u8>) {
    let mut rest = data;
    while let [first, behind @ ..] = rest {
        rest = behind;
        match (first, behind) {
            (Data::Char(tens @ b'0'..=b'9'), [Data::Char(ones @ b'0'..=b'9'), ..]) => {
                out.push(130 + (tens - b'0') * 10 + (ones - b'0'));
                rest = &behind[1..];
            }
            (Data::Char(byte @ 128..), _) => out.extend([UPPER_SHIFT, byte - 128 + 1]),
            (Data::Char(byte), _) => out.push(byte + 1),
            (Data::Fnc1, _) => out.push(FNC1),
        }
    }
}

/// Writes units in three values a pair of codewords, the last pair filled up with a shift that shifts
/// nothing.
fn write_triples(data: &[Data], set: TripleSet, out: &mut Vec<u8>) {
    out.push(set.latch());
    let values: Vec<u8> =
        data.iter().flat_map(|datum| set.values(*datum).unwrap_or_default()).collect();
    for triple in values.chunks(3) {
        let value = |at: usize| u32::from(triple.get(at).copied().unwrap_or(SHIFT_1));
        let packed = 1600 * value(0) + 40 * value(1) + value(2) + 1;
        out.extend([(packed / 256) as u8, (packed % 256) as u8]);
    }
}

/// Writes units in six bits each, and what leads back if that is wanted.
fn write_edifact(data: &[Data], way_back: WayBack, out: &mut Vec<u8>) {
    out.push(LATCH_EDIFACT);
    let values = data.iter().filter_map(|datum| edifact_value(*datum));
    let back = (way_back == WayBack::Written).then_some(UNLATCH_EDIFACT);
    let values: Vec<u8> = values.chain(back).collect();
    for group in values.chunks(4) {
        let value = |at: usize| u32::from(group.get(at).copied().unwrap_or(0));
        let packed = value(0) << 18 | value(1) << 12 | value(2) << 6 | value(3);
        let bytes = [(packed >> 16) as u8, (packed >> 8) as u8, packed as u8];
        out.extend(&bytes[..(6 * group.len()).div_ceil(8)]);
    }
}

/// Fills codewords up to the room of a symbol: a pad that says so, then pads that look random.
pub(super) fn pad(codewords: &mut Vec<u8>, room: usize) {
    if codewords.len() < room {
        codewords.push(PAD);
    }
    while codewords.len() < room {
        let place = codewords.len() + 1;
        let value = usize::from(PAD) + 149 * place % 253 + 1;
        codewords.push(if value > 254 { value - 254 } else { value } as u8);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The codewords for a symbol of so much room.
    fn written(text: &str, room: usize) -> Option<Vec<u8>> {
        let data: Vec<Data> = text.bytes().map(Data::Char).collect();
        find_encodation(&[], &data).write(room)
    }

    #[test]
    fn digits_stand_in_pairs_and_letters_alone() {
        assert_eq!(written("123456", 3), Some(vec![142, 164, 186]));
        assert_eq!(written("A1", 3), Some(vec![66, 50]));
        assert_eq!(written("123456", 2), None);
    }

    /// The codewords for a symbol of so much room as ZXing's encoder writes them
    /// (`datamatrix/encoder/high_level_encode_test_case.rs` of rxing 0.9.3).
    #[test]
    fn schemes_begin_and_end_as_the_standard_says() {
        let triples = |count: usize| [91, 11].repeat(count);
        let c40 = |count, end: &[u8]| Some([&[230], &triples(count)[..], end].concat());
        // The four ends of C40: nothing, a shift that shifts nothing, back to ASCII, one character.
        assert_eq!(written("AIMAIMAIMAIMAIMAIM", 13), c40(6, &[]));
        assert_eq!(written("AIMAIMAIMAIMAIMAI", 13), c40(5, &[90, 241]));
        // Which of the sixteen is in ASCII makes no difference.
        assert_eq!(written("AIMAIMAIMAIMAIMA", 13).map(|it| it.len()), Some(13));
        assert_eq!(written("AIMAIMAIMA", 8), c40(3, &[66]));
        assert_eq!(written("AIMAIMAIM", 8), c40(3, &[254]));
        let text = [&[239], &triples(3)[..], &[254]].concat();
        assert_eq!(written("aimaimaim", 8), Some(text));
        // EDIFACT: a tail in ASCII, and six bits that lead back.
        let edifact = |end: &[u8]| Some([&[240, 184, 27, 131, 198, 236, 238], end].concat());
        assert_eq!(written(".A.C1.3.X", 8), edifact(&[89]));
        assert_eq!(written(".A.C1.3.X.X", 10), edifact(&[98, 230, 31]));
    }

    /// A reader knows only from the room left that a scheme has ended, so each end needs its own.
    #[test]
    fn an_end_without_a_word_needs_the_symbol_to_end_there() {
        let data: Vec<Data> = "AIMAIM".bytes().map(Data::Char).collect();
        let encodation = find_encodation(&[], &data);
        assert_eq!(encodation.least_codewords(), 6);
        assert_eq!(encodation.write(6).map(|it| it.len()), Some(6));
    }

    #[test]
    fn padding_says_where_data_end() {
        let mut codewords = vec![66];
        pad(&mut codewords, 3);
        assert_eq!(codewords[1], PAD);
        // 129 + 149 · 3 mod 253 + 1 = 324, less 254.
        assert_eq!(codewords[2], 70);
        pad(&mut codewords, 3);
        assert_eq!(codewords.len(), 3);
    }
    /// The fewest codewords that lead back to ASCII behind all data, by every segment from every place.
    fn try_every_segment(data: &[Data]) -> usize {
        let mut least = vec![usize::MAX; data.len() + 1];
        least[0] = 0;
        for from in 0..data.len() {
            let mut reach =
                |to: usize, codewords| least[to] = least[to].min(least[from] + codewords);
            reach(from + 1, ascii_codewords(data[from]));
            if let [Data::Char(b'0'..=b'9'), Data::Char(b'0'..=b'9'), ..] = data[from..] {
                reach(from + 2, 1);
            }
            for set in TripleSet::ALL {
                let mut values = 0;
                for to in from + 1..=data.len() {
                    let Some(written) = set.values(data[to - 1]) else { break };
                    values += written.len();
                    if values % 3 == 0 {
                        reach(to, 2 + values / 3 * 2);
                    }
                }
            }
            let is_edifact = |datum: &&Data| edifact_value(**datum).is_some();
            for count in 1..=data[from..].iter().take_while(is_edifact).count() {
                let behind = (data.len() - from - count).div_ceil(2);
                if EDIFACT_BACK[count % 4] + behind >= 3 {
                    reach(from + count, 1 + count / 4 * 3 + EDIFACT_BACK[count % 4]);
                }
            }
        }
        least[data.len()]
    }

    proptest! {
        #[test]
        fn no_way_is_cheaper(text in "[A-C0-3a-c.*>^ \r\x01é]{1,60}") {
            let data: Vec<Data> =
                text.chars().filter_map(|c| u8::try_from(c).ok()).map(Data::Char).collect();
            let encodation = find_encodation(&[], &data);
            prop_assert_eq!(encodation.least_codewords(), try_every_segment(&data));
        }
    }
}
