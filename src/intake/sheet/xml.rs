//! XML a piece at a time, as far as spreadsheets use it (XML 1.0, no document type).
//!
//! In: text. Out: one [`XmlPiece`] after the other; none is kept, so that memory does not grow with
//! the text. What could make a reader do more than read (entities of its own, a document type) is
//! refused, and so is a text that ends inside an element. Not here: what the elements mean.

use std::borrow::Cow;
use std::ops::Range;

use super::fault::SheetFault;
use crate::limits::SHEET_DEPTH;

/// A piece of a document.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum XmlPiece<'a> {
    /// The start of an element.
    Open(XmlTag<'a>),
    /// The end of an element, by its local name.
    Close(&'a str),
    /// Text as it is written, references included.
    Text(&'a str),
    /// Text without references.
    Plain(&'a str),
    /// The end of the document.
    End,
}

/// The start of an element.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct XmlTag<'a> {
    /// Its name without a prefix.
    pub(super) name: &'a str,
    /// Its attributes as they are written.
    attributes: &'a str,
}

/// What is said of any text that is no XML.
pub(super) const BROKEN: SheetFault = SheetFault::Broken("a part of it is no XML");

/// A place in XML from which elements and texts are read.
#[derive(Clone, Debug)]
pub(super) struct XmlReader {
    /// Where it reads on, in bytes.
    at: usize,
    /// How many elements are open.
    depth: usize,
    /// Where the name of the last tag stands when it was empty, so that its end is still to be told.
    closing: Option<Range<usize>>,
}

impl XmlReader {
    /// A reader at the start of a text.
    pub(super) fn new() -> XmlReader {
        XmlReader { at: 0, depth: 0, closing: None }
    }

    /// The next piece of the text, which must be the same at each call.
    ///
    /// # Errors
    /// When the text is no XML.
    pub(super) fn next<'a>(&mut self, text: &'a str) -> Result<XmlPiece<'a>, SheetFault> {
        loop {
            let rest = &text[self.at..];
            if let Some(name) = self.closing.take() {
                self.depth -= 1;
                return Ok(XmlPiece::Close(local(&text[name])));
            }
            if rest.is_empty() {
                return if self.depth == 0 { Ok(XmlPiece::End) } else { Err(BROKEN) };
            }
            if !rest.starts_with('<') {
                let end = rest.find('<').unwrap_or(rest.len());
                self.at += end;
                return Ok(XmlPiece::Text(&rest[..end]));
            }
            if let Some(inner) = rest.strip_prefix("<![CDATA[") {
                let end = inner.find("]]>").ok_or(BROKEN)?;
                self.at += "<![CDATA[".len() + end + "]]>".len();
                return Ok(XmlPiece::Plain(&inner[..end]));
            }
            if let Some(skipped) = length_of_aside(rest)? {
                self.at += skipped;
                continue;
            }
            return self.read_tag(rest);
        }
    }

    /// Reads a tag at the start of a text.
    fn read_tag<'a>(&mut self, rest: &'a str) -> Result<XmlPiece<'a>, SheetFault> {
        let end = end_of_tag(rest).ok_or(BROKEN)?;
        let inner = &rest[1..end];
        let start = self.at + 1;
        self.at += end + 1;
        if let Some(name) = inner.strip_prefix('/') {
            self.depth = self.depth.checked_sub(1).ok_or(BROKEN)?;
            return Ok(XmlPiece::Close(local(name.trim())));
        }
        let (inner, empty) = match inner.strip_suffix('/') {
            Some(inner) => (inner, true),
            None => (inner, false),
        };
        self.depth += 1;
        if self.depth > SHEET_DEPTH {
            return Err(BROKEN);
        }
        let name = inner.find(|c: char| c.is_ascii_whitespace()).unwrap_or(inner.len());
        self.closing = empty.then_some(start..start + name);
        let (name, attributes) = inner.split_at(name);
        Ok(XmlPiece::Open(XmlTag { name: local(name), attributes }))
    }

    /// Leaves out the rest of the element that was opened last.
    ///
    /// # Errors
    /// When the text is no XML.
    pub(super) fn skip(&mut self, text: &str) -> Result<(), SheetFault> {
        let depth = self.depth;
        while self.depth >= depth {
            if self.next(text)? == XmlPiece::End {
                return Err(BROKEN);
            }
        }
        Ok(())
    }
}

/// A name without its prefix.
fn local(name: &str) -> &str {
    name.rsplit(':').next().unwrap_or(name)
}

/// The length of a comment or an instruction at the start of a text, which say nothing; none when
/// there is neither.
fn length_of_aside(rest: &str) -> Result<Option<usize>, SheetFault> {
    for (start, end) in [("<!--", "-->"), ("<?", "?>")] {
        if let Some(inner) = rest.strip_prefix(start) {
            let long = inner.find(end).ok_or(BROKEN)?;
            return Ok(Some(start.len() + long + end.len()));
        }
    }
    if rest.starts_with("<!") { Err(BROKEN) } else { Ok(None) }
}

/// Where a tag ends; a `>` inside quotes does not end it.
fn end_of_tag(rest: &str) -> Option<usize> {
    let mut quote = None;
    for (at, byte) in rest.bytes().enumerate().skip(1) {
        match (quote, byte) {
            (None, b'>') => return Some(at),
            (None, b'"' | b'\'') => quote = Some(byte),
            (Some(open), _) if open == byte => quote = None,
            _ => {}
        }
    }
    None
}

impl<'a> XmlTag<'a> {
    /// The value of an attribute by its name as it is written, prefix included.
    pub(super) fn raw(&self, name: &str) -> Option<&'a str> {
        let mut rest = self.attributes.trim_start();
        while let Some((written, after)) = rest.split_once('=') {
            let after = after.trim_start();
            let quote = after.chars().next().filter(|c| matches!(c, '"' | '\''))?;
            let (value, next) = after[1..].split_once(quote)?;
            if written.trim() == name {
                return Some(value);
            }
            rest = next.trim_start();
        }
        None
    }

    /// The value of an attribute, its references resolved.
    ///
    /// # Errors
    /// When it holds a reference that XML does not know.
    pub(super) fn value(&self, name: &str) -> Result<Option<Cow<'a, str>>, SheetFault> {
        self.raw(name).map(resolve).transpose()
    }
}

/// A text with its references resolved; those of XML itself and of characters are all there are.
///
/// # Errors
/// When it holds another.
pub(super) fn resolve(text: &str) -> Result<Cow<'_, str>, SheetFault> {
    if !text.contains('&') {
        return Ok(Cow::Borrowed(text));
    }
    let mut plain = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('&') {
        let (name, next) = after.split_once(';').ok_or(BROKEN)?;
        plain.push_str(before);
        plain.push(match name {
            "amp" => '&',
            "lt" => '<',
            "gt" => '>',
            "quot" => '"',
            "apos" => '\'',
            _ => {
                let number = name.strip_prefix('#').ok_or(BROKEN)?;
                let code = match number.strip_prefix('x') {
                    Some(digits) => u32::from_str_radix(digits, 16),
                    None => number.parse(),
                };
                code.ok().and_then(char::from_u32).ok_or(BROKEN)?
            }
        });
        rest = next;
    }
    plain.push_str(rest);
    Ok(Cow::Owned(plain))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pieces(text: &str) -> Result<Vec<String>, SheetFault> {
        let mut reader = XmlReader::new();
        let mut all = Vec::new();
        loop {
            match reader.next(text)? {
                XmlPiece::End => return Ok(all),
                piece => all.push(format!("{piece:?}")),
            }
        }
    }

    #[test]
    fn elements_open_and_close_and_asides_are_left_out() {
        let text = "<?xml version=\"1.0\"?><x:a b='>'><!-- c --><d/>e&amp;<![CDATA[<f>]]></x:a>";
        let mut reader = XmlReader::new();
        let Ok(XmlPiece::Open(tag)) = reader.next(text) else { panic!("no tag") };
        assert_eq!((tag.name, tag.raw("b"), tag.raw("c")), ("a", Some(">"), None));
        let Ok(XmlPiece::Open(tag)) = reader.next(text) else { panic!("no tag") };
        assert_eq!(tag.name, "d");
        assert_eq!(reader.next(text), Ok(XmlPiece::Close("d")));
        assert_eq!(reader.next(text), Ok(XmlPiece::Text("e&amp;")));
        assert_eq!(reader.next(text), Ok(XmlPiece::Plain("<f>")));
        assert_eq!(reader.next(text), Ok(XmlPiece::Close("a")));
        assert_eq!(reader.next(text), Ok(XmlPiece::End));
        assert_eq!(reader.next(text), Ok(XmlPiece::End));
    }

    #[test]
    fn what_is_no_xml_is_refused() {
        for text in ["<a>", "</a>", "<a", "<!DOCTYPE a [<!ENTITY b 'c'>]><a/>", "<a><!--</a>"] {
            assert_eq!(pieces(text), Err(BROKEN), "{text}");
        }
        assert_eq!(pieces(&"<a>".repeat(300)), Err(BROKEN));
        assert_eq!(resolve("a &lt;&#228;&#xE4; b"), Ok(Cow::Borrowed("a <ää b")));
        for text in ["&b;", "&", "&#x110000;", "&#;"] {
            assert_eq!(resolve(text), Err(BROKEN), "{text}");
        }
    }
}
