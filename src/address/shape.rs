//! Whether a postcode has the shape that the open data say.
//!
//! In: a pattern as `formats.tsv` has it: characters, `\d`, `[…]`, `(…)`, `|`, `?`, `{n}`, `{n,m}`, `^`,
//! `$` and `\b`, as regular expressions have them; and texts. Out: whether a whole text is one of
//! its texts. A pattern is read once and followed through all places of a text at once, because a postcode
//! is short: no crate for expressions comes near that. Not here: which postcode was meant (`postcode`).

/// The longest text that is looked at: one bit for each place in it, and one for its end.
const LONGEST: usize = 31;

/// Places in a text, the first one the lowest bit.
type Places = u32;

/// All characters of ASCII, each a bit.
const ANY: u128 = u128::MAX;

/// A pattern that was read.
#[derive(Debug)]
pub(super) struct PostcodeShape {
    /// The ways that a text may go.
    ways: Vec<PatternWay>,
}

/// Steps one after the other.
#[derive(Debug)]
struct PatternWay {
    /// The characters that it can begin with, each a bit; all of them where nothing is known.
    first: u128,
    /// What stands one after the other, from left to right.
    steps: Vec<Step>,
}

/// A piece of a pattern that may stand several times.
#[derive(Debug)]
struct Step {
    /// What stands that often.
    piece: PatternPiece,
    /// How often it stands at least.
    least: u32,
    /// How often it stands at most.
    most: u32,
}

/// The smallest part of a pattern.
#[derive(Debug)]
enum PatternPiece {
    /// One of some characters of ASCII, each a bit.
    Character(u128),
    /// One of several ways.
    Group(Vec<PatternWay>),
    /// The text's beginning.
    Start,
    /// The text's end.
    End,
    /// Where a word begins or ends.
    Border,
}

impl PostcodeShape {
    /// Reads a pattern.
    pub(super) fn read(pattern: &str) -> PostcodeShape {
        PostcodeShape { ways: ShapeReader { pattern: pattern.as_bytes(), at: 0 }.read_ways() }
    }

    /// Whether the whole text is one that the pattern describes.
    pub(super) fn takes(&self, text: &str) -> bool {
        if !text.is_ascii() || text.len() > LONGEST {
            return false;
        }
        let text = ShapedText::new(text.as_bytes());
        text.follow_ways(&self.ways, 1) & text.end != 0
    }
}

/// A text that a pattern is followed through.
struct ShapedText<'t> {
    /// Its characters.
    text: &'t [u8],
    /// The place behind its last character, as a bit.
    end: Places,
    /// Where a word of it begins or ends.
    borders: Places,
}

impl<'t> ShapedText<'t> {
    /// A text of ASCII characters only.
    fn new(text: &'t [u8]) -> ShapedText<'t> {
        let is_of_word = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'_';
        let words = (0..).zip(text).map(|(at, &byte)| Places::from(is_of_word(byte)) << at);
        let words: Places = words.fold(0, |all, place| all | place);
        ShapedText { text, end: 1 << text.len(), borders: words ^ (words << 1) }
    }

    /// Where one of several ways leads that begin at `from`.
    fn follow_ways(&self, ways: &[PatternWay], from: Places) -> Places {
        // Of the hundred ways that a British postcode can begin, few begin with its first letter.
        let next = match ways {
            [_] => ANY,
            _ => self.characters_at(from),
        };
        let open = ways.iter().filter(|way| way.first & next != 0);
        open.fold(0, |reached, way| reached | self.follow_way(&way.steps, from))
    }

    /// The characters at some places, each a bit; all where one of the places is the text's end.
    fn characters_at(&self, places: Places) -> u128 {
        let (mut rest, mut characters) = (places, 0);
        while rest != 0 {
            let at = rest.trailing_zeros();
            rest &= rest - 1;
            characters |= self.text.get(at as usize).map_or(ANY, |byte| 1 << (byte & 0x7f));
        }
        characters
    }

    /// Where step after step leads.
    fn follow_way(&self, steps: &[Step], from: Places) -> Places {
        let mut reached = from;
        for step in steps {
            reached = self.follow_step(step, reached);
            if reached == 0 {
                break;
            }
        }
        reached
    }

    /// Where a piece leads that may stand several times.
    fn follow_step(&self, step: &Step, from: Places) -> Places {
        let mut now = from;
        let mut reached = if step.least == 0 { from } else { 0 };
        for time in 1..=step.most {
            now = self.follow_piece(&step.piece, now);
            if now == 0 {
                break;
            }
            if time >= step.least {
                reached |= now;
            }
        }
        reached
    }

    /// Where a piece leads.
    fn follow_piece(&self, piece: &PatternPiece, from: Places) -> Places {
        match piece {
            PatternPiece::Character(set) => self.step_over(*set, from),
            PatternPiece::Group(ways) => self.follow_ways(ways, from),
            PatternPiece::Start => from & 1,
            PatternPiece::End => from & self.end,
            PatternPiece::Border => from & self.borders,
        }
    }

    /// Behind those places where a character of a set stands.
    fn step_over(&self, set: u128, from: Places) -> Places {
        let (mut rest, mut reached) = (from, 0);
        while rest != 0 {
            let at = rest.trailing_zeros();
            rest &= rest - 1;
            if self.text.get(at as usize).is_some_and(|&byte| set >> (byte & 0x7f) & 1 == 1) {
                reached |= 2 << at;
            }
        }
        reached
    }
}

/// Reads a pattern.
struct ShapeReader<'a> {
    /// The regular expression, as the open data has it.
    pattern: &'a [u8],
    /// How far it has been read.
    at: usize,
}

impl ShapeReader<'_> {
    /// The next byte of the pattern.
    fn peek(&self) -> Option<u8> {
        self.pattern.get(self.at).copied()
    }

    /// Takes the next byte of the pattern if it is this one.
    fn take(&mut self, byte: u8) -> bool {
        let is_next = self.peek() == Some(byte);
        self.at += usize::from(is_next);
        is_next
    }

    /// Reads ways up to the pattern's or group's end.
    fn read_ways(&mut self) -> Vec<PatternWay> {
        let mut ways = vec![self.read_way()];
        while self.take(b'|') {
            ways.push(self.read_way());
        }
        ways
    }

    /// Reads step after step.
    fn read_way(&mut self) -> PatternWay {
        let mut steps = Vec::new();
        while self.peek().is_some_and(|byte| byte != b'|' && byte != b')') {
            let piece = self.read_piece();
            let (least, most) = self.read_times();
            steps.push(Step { piece, least, most });
        }
        let first = match steps.first() {
            Some(Step { piece: PatternPiece::Character(set), least: 1.., .. }) => *set,
            _ => ANY,
        };
        PatternWay { first, steps }
    }

    /// How often the piece before may stand, at least and at most.
    fn read_times(&mut self) -> (u32, u32) {
        if self.take(b'?') {
            return (0, 1);
        }
        if !self.take(b'{') {
            return (1, 1);
        }
        let least = self.read_number();
        let most = if self.take(b',') { self.read_number() } else { least };
        self.take(b'}');
        (least, most)
    }

    /// A number, which no pattern has above 99.
    fn read_number(&mut self) -> u32 {
        let mut number = 0;
        while let Some(digit) = self.peek().filter(u8::is_ascii_digit) {
            number = (number * 10 + u32::from(digit - b'0')).min(99);
            self.at += 1;
        }
        number
    }

    /// Reads a character, a set of them or a group.
    fn read_piece(&mut self) -> PatternPiece {
        let Some(byte) = self.peek() else { return PatternPiece::End };
        self.at += 1;
        match byte {
            b'(' => {
                if self.take(b'?') {
                    self.take(b':');
                }
                let ways = self.read_ways();
                self.take(b')');
                PatternPiece::Group(ways)
            }
            b'[' => PatternPiece::Character(self.read_set()),
            b'^' => PatternPiece::Start,
            b'$' => PatternPiece::End,
            b'\\' if self.take(b'b') => PatternPiece::Border,
            b'\\' => PatternPiece::Character(self.read_escaped()),
            _ => PatternPiece::Character(between(byte, byte)),
        }
    }

    /// The characters of a set; the pattern stands behind its bracket.
    fn read_set(&mut self) -> u128 {
        let mut set = 0;
        while let Some(byte) = self.peek() {
            self.at += 1;
            set |= match byte {
                b']' => break,
                b'\\' => self.read_escaped(),
                _ if self.take(b'-') => {
                    let last = self.peek().unwrap_or(byte);
                    self.at += 1;
                    between(byte, last)
                }
                _ => between(byte, byte),
            };
        }
        set
    }

    /// What stands behind a backslash: digits, or the character itself.
    fn read_escaped(&mut self) -> u128 {
        let Some(byte) = self.peek() else { return 0 };
        self.at += 1;
        match byte {
            b'd' => between(b'0', b'9'),
            _ => between(byte, byte),
        }
    }
}

/// The characters of ASCII from one to another, each a bit.
fn between(first: u8, last: u8) -> u128 {
    (first..=last).filter(u8::is_ascii).fold(0, |set, byte| set | 1 << byte)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use regex_lite::Regex;

    use super::super::country::all;
    use super::PostcodeShape;

    /// Whether a text has the shape that a pattern says.
    fn has_shape(text: &str, pattern: &str) -> bool {
        PostcodeShape::read(pattern).takes(text)
    }

    /// What regex-lite says.
    fn is_match(pattern: &str, text: &str) -> bool {
        let expression = Regex::new(&format!("^(?:{pattern})$")).expect("the data are sound");
        expression.is_match(text)
    }

    proptest! {
        /// Texts near the examples of each country, and near those of others.
        #[test]
        fn shapes_are_what_regular_expressions_say(
            country in 0_usize..252,
            other in 0_usize..252,
            nth in 0_usize..8,
            at in 0_usize..12,
            put in "[0-9A-Z \\-é]{0,2}",
            cut in 0_usize..3,
        ) {
            let countries: Vec<_> = all().collect();
            let pattern = countries[country].postcode_pattern();
            for of in [country, other] {
                let examples: Vec<&str> = countries[of].examples().collect();
                let example = examples.get(nth % examples.len().max(1)).copied().unwrap_or("");
                let at = at.min(example.len());
                let end = (at + cut).min(example.len());
                let text = format!("{}{put}{}", &example[..at], &example[end..]);
                prop_assert_eq!(has_shape(&text, pattern), is_match(pattern, &text), "{} {}", pattern, text);
            }
        }
    }

    #[test]
    fn every_kind_of_piece_is_understood() {
        for (pattern, text) in [
            ("", ""),
            ("", "1"),
            ("(?:^|\\b)1\\d{2}(?:$|\\b)", "123"),
            ("a|b", "ab"),
            ("[\\dA-C]{2,3}(x)?", "1Cx"),
            ("[\\dA-C]{2,3}(x)?", "1CD"),
            ("\\d{2}[ \\-]\\d", "12-3"),
            ("(?:A(?:B|C)?){2}", "ABAC"),
            ("\\bA\\b-\\bB", "A-B"),
            ("A\\bB", "AB"),
        ] {
            assert_eq!(has_shape(text, pattern), is_match(pattern, text), "{pattern} {text}");
        }
        assert!(!has_shape(&"1".repeat(32), "\\d{32}"), "longer than any postcode");
    }

    #[test]
    fn a_broken_pattern_ends() {
        for pattern in ["(", "[A", "\\", "a{", "a{2", "a{9", "[A-", ")", "(?"] {
            has_shape("A", pattern);
        }
    }
}
