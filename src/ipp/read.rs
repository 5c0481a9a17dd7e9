//! Bytes to a message, as RFC 8010 §3 has them.
//!
//! In: bytes of anyone. Out: a message, or what is wrong with them. Memory is a small multiple of the
//! bytes, and collections nest no deeper than [`DEPTH`]. Not here: how many bytes come in.

use super::message::{END, IppAttribute, IppGroup, IppMessage, IppValue, tags};

/// How deeply collections may nest. Ours: `media-col-database` with its sizes and sources nests three
/// deep.
const DEPTH: usize = 8;

/// What is wrong with an answer, in words.
type Fault = String;

/// Bytes that are read from their beginning.
struct Rest<'a>(&'a [u8]);

impl<'a> Rest<'a> {
    /// So many bytes.
    fn take(&mut self, count: usize) -> Result<&'a [u8], Fault> {
        let (taken, rest) =
            self.0.split_at_checked(count).ok_or_else(|| "it ends in the middle".to_owned())?;
        self.0 = rest;
        Ok(taken)
    }

    /// What comes next; a fault at the end.
    fn byte(&mut self) -> Result<u8, Fault> {
        self.take(1).map(|taken| taken.first().copied().unwrap_or_default())
    }

    /// Two bytes as a length.
    fn length(&mut self) -> Result<usize, Fault> {
        Ok(usize::from(read_u16(self.take(2)?)))
    }

    /// Bytes with their length before them.
    fn sized(&mut self) -> Result<&'a [u8], Fault> {
        let length = self.length()?;
        self.take(length)
    }
}

/// One value with its name, as they stand in the bytes.
struct RawValue<'a> {
    /// What kind of value it is (RFC 8010 §3.5.2).
    tag: u8,
    /// The name; empty for one more value of the attribute before.
    name: &'a [u8],
    /// What it is, not yet read.
    bytes: &'a [u8],
}

/// A message; what stands behind its attributes is a document, and left alone.
///
/// # Errors
/// When it is none, with what is wrong: lower case, no full stop.
pub(crate) fn read_message(bytes: &[u8]) -> Result<IppMessage, Fault> {
    let mut rest = Rest(bytes);
    let version = rest.take(2)?;
    // Versions 1.0 to 2.2 are encoded alike (RFC 8010 §3.4.1; PWG 5100.12-2015).
    if !matches!(version.first(), Some(1 | 2)) {
        return Err("it is in no version of the protocol that there is".into());
    }
    let code = read_u16(rest.take(2)?);
    let request = rest.take(4)?;
    let request = request.iter().fold(0, |number, &byte| number << 8 | u32::from(byte));
    let mut groups: Vec<IppGroup> = Vec::new();
    loop {
        match rest.byte()? {
            END => return Ok(IppMessage { code, request, groups }),
            about @ 0..=0x0f => groups.push(IppGroup { about, attributes: Vec::new() }),
            tag => {
                let raw = RawValue { tag, name: rest.sized()?, bytes: rest.sized()? };
                let group = groups.last_mut().ok_or("an attribute stands in no group")?;
                let (is_more, name) = (raw.name.is_empty(), to_text(raw.name));
                let value = read_value(&mut rest, &raw, 0)?;
                match (is_more, group.attributes.last_mut()) {
                    (true, None) => return Err("a value belongs to no attribute".into()),
                    (true, Some(attribute)) => attribute.values.push(value),
                    (false, _) => group.attributes.push(IppAttribute { name, values: vec![value] }),
                }
            }
        }
    }
}

/// A value; of a collection all that follows until its end.
fn read_value(rest: &mut Rest<'_>, raw: &RawValue<'_>, depth: usize) -> Result<IppValue, Fault> {
    let bytes = raw.bytes;
    let number = |at: usize| read_i32(bytes, at).ok_or_else(|| "a number is cut short".to_owned());
    Ok(match raw.tag {
        tag @ (tags::INTEGER | tags::ENUM) => IppValue::Number { tag, number: number(0)? },
        tags::BOOLEAN => IppValue::Truth(bytes.first().is_some_and(|&byte| byte != 0)),
        tags::RANGE => IppValue::Range { least: number(0)?, most: number(4)? },
        tags::RESOLUTION => {
            let unit = bytes.get(8).copied().unwrap_or_default();
            IppValue::Dots { across: number(0)?, along: number(4)?, unit }
        }
        tags::COLLECTION if depth == DEPTH => {
            return Err("its collections nest too deeply".into());
        }
        tags::COLLECTION => IppValue::Collection(read_members(rest, depth + 1)?),
        tag @ (tags::TEXT_IN_LANGUAGE | tags::NAME_IN_LANGUAGE) => {
            let mut parts = Rest(bytes);
            parts.sized()?;
            IppValue::Text { tag, text: to_text(parts.sized()?) }
        }
        tag @ tags::FIRST_WORDS..0x60 => IppValue::Text { tag, text: to_text(bytes) },
        _ => IppValue::Other,
    })
}

/// The members of a collection, until its end (RFC 8010 §3.1.6).
fn read_members(rest: &mut Rest<'_>, depth: usize) -> Result<Vec<IppAttribute>, Fault> {
    let mut members: Vec<IppAttribute> = Vec::new();
    loop {
        let raw = RawValue { tag: rest.byte()?, name: rest.sized()?, bytes: rest.sized()? };
        match raw.tag {
            tags::END_OF_COLLECTION => return Ok(members),
            tags::MEMBER_NAME => {
                members.push(IppAttribute { name: to_text(raw.bytes), values: Vec::new() });
            }
            0..=0x0f => return Err("a collection has no end".into()),
            _ => {
                let value = read_value(rest, &raw, depth)?;
                let member = members.last_mut().ok_or("a member of a collection has no name")?;
                member.values.push(value);
            }
        }
    }
}

/// Two bytes as a number.
fn read_u16(bytes: &[u8]) -> u16 {
    bytes.iter().fold(0, |number, &byte| number << 8 | u16::from(byte))
}

/// Four bytes as a number with a sign.
fn read_i32(bytes: &[u8], at: usize) -> Option<i32> {
    let four = bytes.get(at..at + 4)?;
    Some(i32::from_be_bytes(four.try_into().ok()?))
}

/// Words; what is no UTF-8 is shown as such, since nothing is decided by it.
fn to_text(bytes: &[u8]) -> Box<str> {
    String::from_utf8_lossy(bytes).into()
}

#[cfg(test)]
mod tests {
    use super::super::message::{OPERATION, PRINTER};
    use super::super::write::write_message;
    use super::*;
    use proptest::prelude::*;

    /// What a message says under a name.
    fn attribute(name: &str, values: Vec<IppValue>) -> IppAttribute {
        IppAttribute { name: name.into(), values }
    }

    /// Words as a keyword.
    fn keyword(text: &str) -> IppValue {
        IppValue::Text { tag: tags::KEYWORD, text: text.into() }
    }

    /// After the example of an answer in RFC 2565 §9.2, which RFC 8010 has taken over: a job's number, place and
    /// state.
    #[test]
    fn the_example_of_the_standard_is_read() {
        let mut bytes = vec![1, 1, 0, 0, 0, 0, 0, 1, 1];
        let put = |bytes: &mut Vec<u8>, tag: u8, name: &str, value: &[u8]| {
            bytes.push(tag);
            bytes.extend((name.len() as u16).to_be_bytes());
            bytes.extend(name.as_bytes());
            bytes.extend((value.len() as u16).to_be_bytes());
            bytes.extend(value);
        };
        put(&mut bytes, 0x47, "attributes-charset", b"utf-8");
        put(&mut bytes, 0x48, "attributes-natural-language", b"en-us");
        put(&mut bytes, 0x41, "status-message", b"successful-ok");
        bytes.push(2);
        put(&mut bytes, 0x21, "job-id", &147_i32.to_be_bytes());
        put(&mut bytes, 0x45, "job-uri", b"ipp://printer.example.com/ipp/print/pinetree/147");
        put(&mut bytes, 0x23, "job-state", &3_i32.to_be_bytes());
        bytes.push(3);
        let message = read_message(&bytes).unwrap();
        assert_eq!((message.code, message.request), (0, 1));
        assert_eq!(message.status_message(), "successful-ok");
        assert_eq!(message.groups[1].number("job-id"), Some(147));
        assert_eq!(message.groups[1].number("job-state"), Some(3));
        // Cut off anywhere it is no message, and says so.
        for length in 0..bytes.len() {
            assert!(read_message(&bytes[..length]).is_err(), "{length}");
        }
    }

    #[test]
    fn collections_come_back_and_end() {
        let size = vec![
            attribute("x-dimension", vec![IppValue::Number { tag: tags::INTEGER, number: 10160 }]),
            attribute("y-dimension", vec![IppValue::Range { least: 1, most: 99 }]),
        ];
        let media = vec![
            attribute("media-size", vec![IppValue::Collection(size.clone())]),
            attribute("media-type", vec![keyword("labels"), keyword("other")]),
        ];
        let group = IppGroup {
            about: PRINTER,
            attributes: vec![attribute(
                "media-col",
                vec![IppValue::Collection(media), IppValue::Collection(size)],
            )],
        };
        let message = IppMessage { code: 0, request: 7, groups: vec![group] };
        assert_eq!(read_message(&write_message(&message)), Ok(message));
    }

    #[test]
    fn nesting_has_an_end() {
        let mut value = IppValue::Collection(Vec::new());
        for _ in 0..DEPTH {
            value = IppValue::Collection(vec![attribute("a", vec![value])]);
        }
        let attributes = vec![attribute("a", vec![value])];
        let groups = vec![IppGroup { about: OPERATION, attributes }];
        let bytes = write_message(&IppMessage { code: 0, request: 1, groups });
        assert_eq!(read_message(&bytes).unwrap_err(), "its collections nest too deeply");
    }

    #[test]
    fn what_is_no_message_says_why() {
        let told = |bytes: &[u8]| read_message(bytes).unwrap_err();
        assert_eq!(told(b"HTTP/1.1 200 OK"), "it is in no version of the protocol that there is");
        assert_eq!(told(&[1, 1, 0, 0]), "it ends in the middle");
        let head = [1, 1, 0, 0, 0, 0, 0, 1];
        assert_eq!(
            told(&[&head[..], &[0x21, 0, 1, b'a', 0, 0]].concat()),
            "an attribute stands in no group"
        );
        assert_eq!(
            told(&[&head[..], &[1, 0x44, 0, 0, 0, 0]].concat()),
            "a value belongs to no attribute"
        );
        assert_eq!(
            told(&[&head[..], &[1, 0x21, 0, 1, b'a', 0, 1, 9]].concat()),
            "a number is cut short"
        );
        let lone = [1, 0x34, 0, 1, b'a', 0, 0, 0x44, 0, 0, 0, 0];
        assert_eq!(told(&[&head[..], &lone].concat()), "a member of a collection has no name");
        let open = [1, 0x34, 0, 1, b'a', 0, 0, 3, 0, 0, 0, 0];
        assert_eq!(told(&[&head[..], &open].concat()), "a collection has no end");
    }

    proptest! {
        #[test]
        fn any_bytes_come_to_an_end(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
            let _ = crate::ipp::show_ipp_answer(&bytes);
        }

        #[test]
        fn what_printers_say_may_be_damaged_anywhere(
            places in proptest::collection::vec((any::<usize>(), any::<u8>()), 0..6),
            length in any::<usize>()
        ) {
            let said: [&[u8]; 2] = [
                include_bytes!("../../tests/fuzz-corpus/ipp/label-printer.ipp"),
                include_bytes!("../../tests/fuzz-corpus/ipp/cups-queues.ipp"),
            ];
            for whole in said {
                let mut bytes = whole.to_vec();
                for (place, byte) in &places {
                    let place = place % bytes.len();
                    bytes[place] = *byte;
                }
                let _ = crate::ipp::show_ipp_answer(&bytes);
                bytes.truncate(length % (whole.len() + 1));
                let _ = crate::ipp::show_ipp_answer(&bytes);
            }
        }

        #[test]
        fn any_tail_of_a_message_comes_to_an_end(
            tags in proptest::collection::vec((0x10_u8..0x50, "[a-z-]{0,5}", "[a-z]{0,9}"), 0..40)
        ) {
            let mut bytes = vec![2, 0, 0, 0, 0, 0, 0, 1, 4];
            for (tag, name, value) in tags {
                bytes.push(tag);
                bytes.extend((name.len() as u16).to_be_bytes());
                bytes.extend(name.as_bytes());
                bytes.extend((value.len() as u16).to_be_bytes());
                bytes.extend(value.as_bytes());
            }
            bytes.push(3);
            let _ = crate::ipp::show_ipp_answer(&bytes);
        }
    }
}
