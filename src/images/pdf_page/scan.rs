//! A look through the operators of a content stream.
//!
//! In: plain content. Out: a [`Sighting`] of what matters to layers and to archiving. Nothing is
//! drawn, and content that is not well formed is passed over as viewers do. Not here: judging it
//! (`archive`).

use std::collections::BTreeSet;

use super::lexer::{Lexer, PdfToken, is_space};
use super::object::name_value;
use super::remark::DeviceColour;

/// All operators of ISO 32000-1 table A.1.
const OPERATORS: [&str; 73] = [
    "\"", "'", "B", "B*", "BDC", "BI", "BMC", "BT", "BX", "CS", "DP", "Do", "EI", "EMC", "ET",
    "EX", "F", "G", "ID", "J", "K", "M", "MP", "Q", "RG", "S", "SC", "SCN", "T*", "TD", "TJ", "TL",
    "Tc", "Td", "Tf", "Tj", "Tm", "Tr", "Ts", "Tw", "Tz", "W", "W*", "b", "b*", "c", "cm", "cs",
    "d", "d0", "d1", "f", "f*", "g", "gs", "h", "i", "j", "k", "l", "m", "n", "q", "re", "rg",
    "ri", "s", "sc", "scn", "sh", "v", "w", "y",
];

/// How deep graphics states may be saved in PDF/A (ISO 19005-2 6.1.13).
const NESTING: usize = 28;

/// What a content stream does.
#[derive(Debug, Default)]
pub(super) struct Sighting {
    /// Device colours chosen by an operator, a name or a picture in the stream.
    pub(super) colours: BTreeSet<DeviceColour>,
    /// Names of property lists under which layers are entered.
    pub(super) layers: BTreeSet<Vec<u8>>,
    /// Names of resources used.
    pub(super) uses_names: bool,
    /// Operators that no standard knows, shortened.
    pub(super) unknown: BTreeSet<String>,
    /// Whether graphics states are saved too deep for PDF/A.
    pub(super) nests_deep: bool,
    /// One more than the highest number of a marked piece of content; 0 without any.
    pub(super) pieces: u32,
    /// Filters of pictures in the stream.
    pub(super) filters: BTreeSet<Vec<u8>>,
}

/// Numbers of pieces up to this are told apart from ours; nobody has more on a page.
const PIECES: u32 = 10_000;

/// How many pieces there are when one of them has a number, as long as it makes sense.
pub(super) fn count_pieces(number: u32) -> u32 {
    if number < PIECES { number + 1 } else { 0 }
}

/// Looks through `plain`.
pub(super) fn scan(plain: &[u8]) -> Sighting {
    let mut sighting = Sighting::default();
    let mut lexer = Lexer::new(plain, 0);
    let mut nesting = 0usize;
    // The last two names, which are all the operands that matter here.
    let mut names: [&[u8]; 2] = [b"", b""];
    loop {
        match lexer.next() {
            Ok(PdfToken::End) => return sighting,
            Ok(PdfToken::Name(name)) => names = [names[1], name],
            Ok(PdfToken::Word(word @ (b"BI" | b"Do" | b"gs" | b"sh" | b"Tf" | b"BDC" | b"DP"))) => {
                sighting.use_name(word, names, &mut lexer);
            }
            Ok(PdfToken::Word(b"q")) => {
                nesting += 1;
                sighting.nests_deep |= nesting > NESTING;
            }
            Ok(PdfToken::Word(b"Q")) => nesting = nesting.saturating_sub(1),
            Ok(PdfToken::Word(b"rg" | b"RG")) => sighting.colour(b"DeviceRGB"),
            Ok(PdfToken::Word(b"k" | b"K")) => sighting.colour(b"DeviceCMYK"),
            Ok(PdfToken::Word(b"cs" | b"CS")) => sighting.colour(&name_value(names[1])),
            Ok(PdfToken::Word(b"true" | b"false" | b"null")) => {}
            Ok(PdfToken::Number(number)) if names[1] == b"MCID" => {
                let number = std::str::from_utf8(number).ok().and_then(|it| it.parse().ok());
                sighting.pieces = sighting.pieces.max(number.map_or(0, count_pieces));
                names = [b"", b""];
            }
            Ok(PdfToken::Word(word)) => sighting.check_operator(word),
            Ok(_) => {}
            Err(_) => {
                sighting.check_operator(&lexer.rest()[..1]);
                lexer.go_to(lexer.at() + 1);
            }
        }
    }
}

impl Sighting {
    /// Notes an operator whose operand is the name of a resource.
    fn use_name(&mut self, word: &[u8], names: [&[u8]; 2], lexer: &mut Lexer<'_>) {
        match word {
            b"BI" => return self.inline_picture(lexer),
            b"BDC" | b"DP" if names[0] == b"OC" => {
                self.layers.insert(name_value(names[1]));
            }
            // Other property lists are written in place as a rule.
            b"BDC" | b"DP" => return,
            _ => {}
        }
        self.uses_names = true;
    }

    /// Notes a colour space given by name.
    fn colour(&mut self, name: &[u8]) {
        let colour = match name {
            b"DeviceRGB" | b"RGB" => DeviceColour::Rgb,
            b"DeviceCMYK" | b"CMYK" => DeviceColour::Cmyk,
            b"DeviceGray" | b"Pattern" => return,
            _ => {
                self.uses_names = true;
                return;
            }
        };
        self.colours.insert(colour);
    }

    /// Notes an operator that the standard does not know.
    fn check_operator(&mut self, word: &[u8]) {
        let known = std::str::from_utf8(word).is_ok_and(|word| OPERATORS.contains(&word));
        if !known && self.unknown.len() < 8 {
            self.unknown.insert(String::from_utf8_lossy(word).chars().take(16).collect());
        }
    }

    /// Passes a picture in the stream, whose `BI` was just read.
    fn inline_picture(&mut self, lexer: &mut Lexer<'_>) {
        let mut key: &[u8] = b"";
        loop {
            match lexer.next() {
                Ok(PdfToken::Word(b"ID")) => break,
                Ok(PdfToken::Name(name)) => match key {
                    b"CS" | b"ColorSpace" => match name {
                        b"G" | b"DeviceGray" | b"I" | b"Indexed" => {}
                        name => self.colour(&name_value(name)),
                    },
                    b"F" | b"Filter" => {
                        self.filters.insert(name_value(name));
                    }
                    _ => {
                        key = name;
                        continue;
                    }
                },
                Ok(PdfToken::ArrayStart) => continue,
                Ok(PdfToken::End) | Err(_) => return,
                Ok(_) => {}
            }
            // Names in an array belong to its key: `/CS[/Indexed/DeviceRGB …]`.
            if !lexer.rest().starts_with(b"/") {
                key = b"";
            }
        }
        let data = lexer.rest();
        let end = picture_end(data).unwrap_or(data.len());
        lexer.go_to(lexer.at() + end);
    }
}

/// Where a picture's data and its `EI` end: at `EI` between white space, with text after it.
pub(super) fn picture_end(data: &[u8]) -> Option<usize> {
    let is_text = |byte: &u8| is_space(*byte) && *byte != 0 || (32..127).contains(byte);
    (1..data.len().saturating_sub(1)).find_map(|at| {
        let after = &data[at + 2..];
        let found = data[at..].starts_with(b"EI")
            && is_space(data[at - 1])
            && after.first().is_none_or(|byte| is_space(*byte))
            && after.iter().take(12).all(is_text);
        found.then_some(at + 2)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn operators_are_told_from_operands_and_pictures() {
        let seen = scan(
            b"q 1 0 0 rg /OC /Mc0 BDC (k) Tj EMC BI /W 2 /H 1 /CS /CMYK /BPC 8 /F [/LZW] ID \
              k EIk)( EI Q /Cs1 cs nonsense /P <</MCID 7>> BDC 60 9 Td EMC /P <</MCID 99999>> BDC EMC",
        );
        assert_eq!(seen.pieces, 8);
        assert_eq!(seen.colours, BTreeSet::from([DeviceColour::Rgb, DeviceColour::Cmyk]));
        assert_eq!(seen.layers, BTreeSet::from([b"Mc0".to_vec()]));
        assert_eq!(seen.unknown, BTreeSet::from(["nonsense".to_string()]));
        assert_eq!(seen.filters, BTreeSet::from([b"LZW".to_vec()]));
        assert!(seen.uses_names && !seen.nests_deep);
    }

    #[test]
    fn broken_content_ends() {
        for text in [&b")))>>>"[..], b"(((", b"BI /W", b"BI ID", b"BI ID EI", b"<", b"<<<<"] {
            scan(text);
        }
        assert!(scan(&b"q ".repeat(29)).nests_deep);
        assert!(!scan(&b"q ".repeat(28)).nests_deep);
        assert!(OPERATORS.is_sorted());
    }
}
