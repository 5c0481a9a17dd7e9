//! A message to bytes, as RFC 8010 §3 has them.
//!
//! Not here: which attributes a request has (`ask`).

use super::message::{END, IppAttribute, IppMessage, IppValue, tags};

/// The version that requests are in: 2.0, which all printers of the last decade speak and CUPS too, and
/// which names nothing that 1.1 does not have.
const VERSION: [u8; 2] = [2, 0];

/// A message's bytes; a document may follow them.
pub(crate) fn write_message(message: &IppMessage) -> Vec<u8> {
    let mut out = VERSION.to_vec();
    out.extend(message.code.to_be_bytes());
    out.extend(message.request.to_be_bytes());
    for group in &message.groups {
        out.push(group.about);
        group.attributes.iter().for_each(|attribute| write_attribute(&mut out, attribute));
    }
    out.push(END);
    out
}

/// An attribute: its first value with the name, the others without.
fn write_attribute(out: &mut Vec<u8>, attribute: &IppAttribute) {
    let names = std::iter::once(&*attribute.name).chain(std::iter::repeat(""));
    for (value, name) in attribute.values.iter().zip(names) {
        write_value(out, name, value);
    }
}

/// A value behind its name.
fn write_value(out: &mut Vec<u8>, name: &str, value: &IppValue) {
    let numbers = |numbers: &[i32]| -> Vec<u8> {
        numbers.iter().flat_map(|number| number.to_be_bytes()).collect()
    };
    match value {
        IppValue::Number { tag, number } => put(out, *tag, name, &numbers(&[*number])),
        IppValue::Truth(truth) => put(out, tags::BOOLEAN, name, &[u8::from(*truth)]),
        IppValue::Range { least, most } => put(out, tags::RANGE, name, &numbers(&[*least, *most])),
        IppValue::Dots { across, along, unit } => {
            let mut bytes = numbers(&[*across, *along]);
            bytes.push(*unit);
            put(out, tags::RESOLUTION, name, &bytes);
        }
        IppValue::Text { tag, text } => put(out, *tag, name, text.as_bytes()),
        IppValue::Collection(members) => {
            put(out, tags::COLLECTION, name, &[]);
            for member in members {
                put(out, tags::MEMBER_NAME, "", member.name.as_bytes());
                member.values.iter().for_each(|value| write_value(out, "", value));
            }
            put(out, tags::END_OF_COLLECTION, "", &[]);
        }
        IppValue::Other => {}
    }
}

/// One value with its tag, name and lengths. No name and no value of ours is longer than a length can
/// say: texts of users are shortened where a request is put together.
fn put(out: &mut Vec<u8>, tag: u8, name: &str, value: &[u8]) {
    let length = |bytes: &[u8]| u16::try_from(bytes.len()).unwrap_or(u16::MAX);
    out.push(tag);
    for bytes in [name.as_bytes(), value] {
        let length = length(bytes);
        out.extend(length.to_be_bytes());
        out.extend(&bytes[..usize::from(length)]);
    }
}
