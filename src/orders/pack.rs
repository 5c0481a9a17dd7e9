//! The bytes that an order is kept in: numbers of as few bytes as they need, and texts by their place in
//! the order's own text.
//!
//! In: numbers, places and texts, one after the other. Out: the same in the same order, without a copy of
//! any text that stands in the source. Not here: which of them an order has (`kept`).

use crate::source::{SharedText, Span};

/// Texts no longer than this stand among the bytes: their place would take as many.
const SHORT: usize = 2;

/// Writes the bytes of one order.
pub(super) struct Packer<'a> {
    /// The order's text.
    text: &'a str,
    /// Where the last text was found in it: the next is mostly behind it.
    at: usize,
    /// Where the order stands.
    span: Span,
    /// What has been written.
    bytes: Vec<u8>,
}

impl<'a> Packer<'a> {
    /// Nothing written yet of the order at a place of a text.
    pub(super) fn new(source: &'a SharedText, span: Span) -> Packer<'a> {
        let text = source.get(span.start as usize..span.end as usize).unwrap_or_default();
        Packer { text, at: 0, span, bytes: Vec::with_capacity(128) }
    }

    /// The bytes.
    pub(super) fn finish(self) -> Box<[u8]> {
        self.bytes.into()
    }

    /// Writes a number, seven bits a byte, the lowest first.
    pub(super) fn number(&mut self, mut number: u64) {
        while number > 0x7f {
            self.bytes.push(number as u8 | 0x80);
            number >>= 7;
        }
        self.bytes.push(number as u8);
    }

    /// Writes a number that may be missing.
    pub(super) fn count(&mut self, count: Option<u32>) {
        self.number(count.map_or(0, |count| u64::from(count) + 1));
    }

    /// Writes a place in the order's file.
    pub(super) fn place(&mut self, place: Span) {
        self.number(u64::from(place.end.saturating_sub(place.start)) + 1);
        self.number(u64::from(place.start.saturating_sub(self.span.start)));
    }

    /// Writes that there is no place.
    pub(super) fn no_place(&mut self) {
        self.number(0);
    }

    /// Writes a text: twice its length and how far it stands behind the one before, or one more and the
    /// text.
    pub(super) fn text(&mut self, text: &str) {
        let length = (text.len() as u64) << 1;
        let before = self.at;
        match self.find(text) {
            _ if text.is_empty() => self.number(0),
            Some(at) => {
                self.number(length);
                self.number(fold_sign(at as i64 - before as i64));
            }
            None => {
                self.number(length | 1);
                self.bytes.extend_from_slice(text.as_bytes());
            }
        }
    }

    /// Writes how many texts there are, and each.
    pub(super) fn texts(&mut self, texts: &[impl AsRef<str>]) {
        self.number(texts.len() as u64);
        texts.iter().for_each(|text| self.text(text.as_ref()));
    }

    /// Where a text stands in the order. Any place with the same letters will do.
    fn find(&mut self, text: &str) -> Option<usize> {
        if text.len() <= SHORT {
            return None;
        }
        let behind = find_text(&self.text[self.at..], text).map(|found| self.at + found);
        let at = behind.or_else(|| find_text(self.text, text))?;
        self.at = at + text.len();
        Some(at)
    }
}

/// Texts up to this long are looked for letter by letter, because they mostly stand a few letters on:
/// preparing a search that is quick in long texts would take longer than the search.
const EASILY_FOUND: usize = 64;

/// Where a text first stands in another; it is not empty.
fn find_text(whole: &str, text: &str) -> Option<usize> {
    if text.len() > EASILY_FOUND {
        return whole.find(text);
    }
    let (whole, text) = (whole.as_bytes(), text.as_bytes());
    let first = text.first()?;
    let mut at = 0;
    loop {
        at += whole[at..].iter().position(|byte| byte == first)?;
        if whole[at..].starts_with(text) {
            return Some(at);
        }
        at += 1;
    }
}

/// Reads the bytes of one order.
#[derive(Clone, Debug)]
pub(super) struct PackReader<'a> {
    /// The text of the order's file.
    source: &'a str,
    /// Where the order stands.
    span: Span,
    /// What is left to read.
    bytes: &'a [u8],
    /// Where the last text that stands in the order ends in it.
    at: usize,
}

impl<'a> PackReader<'a> {
    /// A reader of an order's bytes.
    pub(super) fn new(source: &'a str, span: Span, bytes: &'a [u8]) -> PackReader<'a> {
        PackReader { source, span, bytes, at: 0 }
    }

    /// A number as it was packed, seven bits a byte, the lowest first.
    pub(super) fn number(&mut self) -> u64 {
        let (mut number, mut shift) = (0, 0);
        while let Some((&byte, rest)) = self.bytes.split_first() {
            self.bytes = rest;
            number |= u64::from(byte & 0x7f) << shift;
            if byte < 0x80 {
                break;
            }
            shift += 7;
        }
        number
    }

    /// Reads a number that may be missing.
    pub(super) fn count(&mut self) -> Option<u32> {
        self.number().checked_sub(1).map(|count| count as u32)
    }

    /// Where something stands in the file; none when it stood nowhere.
    pub(super) fn place(&mut self) -> Option<Span> {
        let length = self.number().checked_sub(1)? as usize;
        let start = self.span.start as usize + self.number() as usize;
        Some(Span::new(self.span.file, start, start + length))
    }

    /// A text, be it kept here or left in the file.
    pub(super) fn text(&mut self) -> &'a str {
        let head = self.number();
        let length = (head >> 1) as usize;
        if head & 1 == 1 {
            let (text, rest) = self.bytes.split_at(length.min(self.bytes.len()));
            self.bytes = rest;
            return std::str::from_utf8(text).unwrap_or_default();
        }
        if length == 0 {
            return "";
        }
        let start = self.span.start as usize + self.pass(length);
        self.source.get(start..start + length).unwrap_or_default()
    }

    /// Reads where a text of this length stands in the order, and is behind it then.
    fn pass(&mut self, length: usize) -> usize {
        let start = self.at.wrapping_add_signed(unfold_sign(self.number()) as isize);
        self.at = start.wrapping_add(length);
        start
    }

    /// Reads as many texts as there are.
    pub(super) fn texts(&mut self) -> Vec<&'a str> {
        let count = self.number();
        (0..count).map(|_| self.text()).collect()
    }

    /// Passes a number by.
    pub(super) fn skip_number(&mut self) {
        self.number();
    }

    /// Passes a place by.
    pub(super) fn skip_place(&mut self) {
        if self.number() > 0 {
            self.skip_number();
        }
    }

    /// Passes a text by.
    pub(super) fn skip_text(&mut self) {
        let head = self.number();
        match (head & 1, (head >> 1) as usize) {
            (1, length) => self.bytes = self.bytes.get(length..).unwrap_or_default(),
            (_, 0) => {}
            (_, length) => {
                self.pass(length);
            }
        }
    }

    /// Passes several texts by.
    pub(super) fn skip_texts(&mut self) {
        let count = self.number();
        (0..count).for_each(|_| self.skip_text());
    }
}

/// A number with a sign as one without, small when it is near zero.
fn fold_sign(number: i64) -> u64 {
    (number << 1 ^ number >> (i64::BITS - 1)) as u64
}

/// What [`fold_sign`] was given.
fn unfold_sign(number: u64) -> i64 {
    (number >> 1) as i64 ^ -((number & 1) as i64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::Sources;

    /// What is read of texts that were written of an order with this text.
    fn round_trip(order: &str, texts: &[&str]) -> (usize, Vec<String>) {
        let source = SharedText::from(format!("[{order}]"));
        let span = Span::new(Sources::new().add("orders.json", ""), 1, 1 + order.len());
        let mut pack = Packer::new(&source, span);
        pack.texts(texts);
        pack.place(Span::new(span.file, 3, 9));
        pack.no_place();
        pack.count(Some(u32::MAX));
        let bytes = pack.finish();
        let mut skipping = PackReader::new(&source, span, &bytes);
        skipping.skip_texts();
        let mut reader = PackReader::new(&source, span, &bytes);
        let read = reader.texts().into_iter().map(str::to_owned).collect();
        for mut reader in [reader, skipping] {
            assert_eq!(reader.place(), Some(Span::new(span.file, 3, 9)));
            assert_eq!((reader.place(), reader.count()), (None, Some(u32::MAX)));
            assert!(reader.bytes.is_empty());
        }
        (bytes.len(), read)
    }

    #[test]
    fn texts_come_back_whether_they_stand_in_the_order_or_not() {
        let order = r#"{"name": "Ada Marlow, née Nyström", "city": "Ellenport"}"#;
        let texts = ["Ellenport", "", "née", "A", "a \"quoted\" word", "Ada Marlow, née Nyström"];
        let (_, read) = round_trip(order, &texts);
        assert_eq!(read, texts);
    }

    #[test]
    fn what_stands_in_the_order_takes_the_room_of_its_place() {
        let long = "x".repeat(1_000);
        let (with, _) = round_trip(&format!("{{\"note\": \"{long}\"}}"), &[&long]);
        let (without, _) = round_trip("{}", &[&long]);
        assert!(with < 32 && without > 1_000, "{with}, {without}");
    }
}
