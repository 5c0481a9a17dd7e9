//! Whether a postcode has the shape that the open data say.
//!
//! In: a text, and a pattern as `formats.tsv` has it: characters, `\d`, `[…]`, `(…)`, `|`, `?`, `{n}`,
//! `{n,m}`, `^`, `$` and `\b`, as regular expressions have them. Out: whether the whole text is one of
//! its texts. Patterns are read anew for each text, all places of the text at once, because a postcode
//! is short: no crate for expressions comes near that. Not here: which postcode was meant (`postcode`).

/// The longest text that is looked at: one bit for each place in it, and one for its end.
const LONGEST: usize = 31;

/// How many characters ASCII has.
const ASCII: usize = 128;

/// Places in a text, the first one the lowest bit.
type Places = u32;

/// Whether the whole text is one that the pattern describes.
pub(super) fn has_shape(text: &str, pattern: &str) -> bool {
    if !text.is_ascii() || text.len() > LONGEST {
        return false;
    }
    let mut reader = ShapeReader::new(text.as_bytes(), pattern.as_bytes());
    reader.alternatives(1) & reader.end != 0
}

/// Reads a pattern and follows it through a text.
struct ShapeReader<'a> {
    /// The regular expression, as the open data has it.
    pattern: &'a [u8],
    /// How far it has been read.
    at: usize,
    /// Where each character stands in the text.
    places: [Places; ASCII],
    /// The text's end.
    end: Places,
    /// Where a word of the text begins or ends.
    borders: Places,
}

impl<'a> ShapeReader<'a> {
    /// A reader at a pattern's start; the text has ASCII characters only.
    fn new(text: &[u8], pattern: &'a [u8]) -> ShapeReader<'a> {
        let mut places = [0; ASCII];
        let mut words: Places = 0;
        for (at, byte) in text.iter().enumerate() {
            places[usize::from(*byte) % ASCII] |= 1 << at;
            words |= Places::from(byte.is_ascii_alphanumeric() || *byte == b'_') << at;
        }
        ShapeReader { pattern, at: 0, places, end: 1 << text.len(), borders: words ^ (words << 1) }
    }

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

    /// Where one of several ways leads that begin at `from`; up to the pattern's or group's end.
    fn alternatives(&mut self, from: Places) -> Places {
        let mut reached = self.sequence(from);
        while self.take(b'|') {
            reached |= self.sequence(from);
        }
        reached
    }

    /// Where piece after piece leads. Once it leads nowhere, the rest is skipped: of the hundred ways
    /// that a British postcode can begin, all but one end at their first letter.
    fn sequence(&mut self, from: Places) -> Places {
        let mut reached = from;
        while self.peek().is_some_and(|byte| byte != b'|' && byte != b')') {
            if reached == 0 {
                self.skip();
                return 0;
            }
            reached = self.repeated(reached);
        }
        reached
    }

    /// Passes what is left of a sequence.
    fn skip(&mut self) {
        let mut depth = 0;
        while let Some(byte) = self.peek() {
            match byte {
                b'|' | b')' if depth == 0 => return,
                b'(' => depth += 1,
                b')' => depth -= 1,
                b'\\' => self.at += 1,
                b'[' => {
                    while self.peek().is_some_and(|byte| byte != b']') {
                        self.at += 1;
                    }
                }
                _ => {}
            }
            self.at += 1;
        }
    }

    /// Where a piece leads that may stand several times.
    fn repeated(&mut self, from: Places) -> Places {
        let start = self.at;
        let mut now = self.piece(from);
        let times = self.times();
        let end = self.at;
        let mut reached = if times.contains(&0) { from } else { 0 };
        for time in 1..=*times.end() {
            if times.contains(&time) {
                reached |= now;
            }
            if time < *times.end() {
                self.at = start;
                now = self.piece(now);
            }
        }
        self.at = end;
        reached
    }

    /// How often the piece before may stand.
    fn times(&mut self) -> std::ops::RangeInclusive<u32> {
        if self.take(b'?') {
            return 0..=1;
        }
        if !self.take(b'{') {
            return 1..=1;
        }
        let least = self.number();
        let most = if self.take(b',') { self.number() } else { least };
        self.take(b'}');
        least..=most
    }

    /// A number, which no pattern has above 99.
    fn number(&mut self) -> u32 {
        let mut number = 0;
        while let Some(digit) = self.peek().filter(u8::is_ascii_digit) {
            number = (number * 10 + u32::from(digit - b'0')).min(99);
            self.at += 1;
        }
        number
    }

    /// Where a character, a set of them or a group leads.
    fn piece(&mut self, from: Places) -> Places {
        let Some(byte) = self.peek() else { return 0 };
        self.at += 1;
        match byte {
            b'(' => {
                if self.take(b'?') {
                    self.take(b':');
                }
                let reached = self.alternatives(from);
                self.take(b')');
                reached
            }
            b'[' => (from & self.set()) << 1,
            b'^' => from & 1,
            b'$' => from & self.end,
            b'\\' if self.take(b'b') => from & self.borders,
            b'\\' => (from & self.escaped()) << 1,
            _ => (from & self.between(byte, byte)) << 1,
        }
    }

    /// Where characters of a set stand; the pattern stands behind its bracket.
    fn set(&mut self) -> Places {
        let mut places = 0;
        while let Some(byte) = self.peek() {
            self.at += 1;
            places |= match byte {
                b']' => break,
                b'\\' => self.escaped(),
                _ if self.take(b'-') => {
                    let last = self.peek().unwrap_or(byte);
                    self.at += 1;
                    self.between(byte, last)
                }
                _ => self.between(byte, byte),
            };
        }
        places
    }

    /// Where what stands behind a backslash stands in the text: digits, or the character itself.
    fn escaped(&mut self) -> Places {
        let Some(byte) = self.peek() else { return 0 };
        self.at += 1;
        match byte {
            b'd' => self.between(b'0', b'9'),
            _ => self.between(byte, byte),
        }
    }

    /// Where the characters from one to another stand in the text.
    fn between(&self, first: u8, last: u8) -> Places {
        let places = self.places.get(usize::from(first)..=usize::from(last));
        places.into_iter().flatten().fold(0, |all, places| all | places)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use regex_lite::Regex;

    use super::super::country::all;
    use super::has_shape;

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
