//! Values of a PDF as the file writes them.
//!
//! In: tokens. Out: trees that keep each number, name and string in the file's own bytes, so that
//! a copy says exactly what the original said. Not here: following references (`reader`).

/// The number and generation of an indirect object.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct ObjectId {
    /// Its number, from 1.
    pub(super) number: u32,
    /// Its generation; 0 unless the number was used again.
    pub(super) generation: u16,
}

/// A name, number or string as the source has it.
pub(super) type TokenBytes = Box<[u8]>;

/// One value.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Object {
    /// Nothing; in a dictionary the same as a missing entry.
    Null,
    /// True or false.
    Bool(bool),
    /// A number, as written.
    Number(TokenBytes),
    /// A name, as written after its slash.
    Name(TokenBytes),
    /// A string, as written with its brackets.
    Text(TokenBytes),
    /// Values in a row.
    Array(Vec<Object>),
    /// Values by name.
    Dict(Dict),
    /// Another object.
    Ref(ObjectId),
}

impl Object {
    /// The number's value, if it is one.
    pub(super) fn number(&self) -> Option<f64> {
        match self {
            Object::Number(token) => number_value(token),
            _ => None,
        }
    }

    /// The value of a whole number, if it is one.
    pub(super) fn integer(&self) -> Option<i64> {
        match self {
            Object::Number(token) => std::str::from_utf8(token).ok()?.parse().ok(),
            _ => None,
        }
    }

    /// The whole number as a count or a place.
    pub(super) fn count(&self) -> Option<usize> {
        usize::try_from(self.integer()?).ok()
    }

    /// The name with its `#` escapes resolved, if it is one.
    pub(super) fn name(&self) -> Option<Vec<u8>> {
        match self {
            Object::Name(token) => Some(name_value(token)),
            _ => None,
        }
    }

    /// Whether it is a name, and this one; escapes in it are read.
    pub(super) fn is_name(&self, word: &str) -> bool {
        matches!(self, Object::Name(token) if name_is(token, word.as_bytes()))
    }

    /// Its values, if it is an array.
    pub(super) fn array(&self) -> Option<&[Object]> {
        match self {
            Object::Array(values) => Some(values),
            _ => None,
        }
    }

    /// Its entries, if it is a dictionary.
    pub(super) fn dict(&self) -> Option<&Dict> {
        match self {
            Object::Dict(dict) => Some(dict),
            _ => None,
        }
    }

    /// Roughly the bytes that a copy of it takes.
    pub(super) fn weight(&self) -> usize {
        32 + match self {
            Object::Number(token) | Object::Name(token) | Object::Text(token) => token.len(),
            Object::Array(values) => values.iter().map(Object::weight).sum(),
            Object::Dict(dict) => {
                dict.entries.iter().map(|(key, value)| 16 + key.len() + value.weight()).sum()
            }
            Object::Null | Object::Bool(_) | Object::Ref(_) => 0,
        }
    }
}

/// Values by name, in the file's order.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Dict {
    /// Each name as written after its slash, with its value.
    pub(super) entries: Vec<(TokenBytes, Object)>,
}

impl Dict {
    /// The value under `key`; none when it is missing or null. Of doubled keys the first counts.
    pub(super) fn get(&self, key: &str) -> Option<&Object> {
        self.find(key.as_bytes())
    }

    /// The value under a key given in bytes.
    pub(super) fn find(&self, key: &[u8]) -> Option<&Object> {
        let (_, value) = self.entries.iter().find(|(name, _)| name_is(name, key))?;
        (*value != Object::Null).then_some(value)
    }

    /// Whether the value under `key` is the name `word`.
    pub(super) fn has_name(&self, key: &str, word: &str) -> bool {
        self.get(key).is_some_and(|value| value.is_name(word))
    }
}

/// Whether a name as written means `word`.
pub(super) fn name_is(token: &[u8], word: &[u8]) -> bool {
    token == word || (token.contains(&b'#') && name_value(token) == word)
}

/// A name with its `#` escapes resolved; a `#` without two hexadecimal digits stands for itself.
pub(super) fn name_value(token: &[u8]) -> Vec<u8> {
    let mut value = Vec::with_capacity(token.len());
    let mut rest = token;
    while let [first, after @ ..] = rest {
        match (*first, after) {
            (b'#', [high, low, ..]) if high.is_ascii_hexdigit() && low.is_ascii_hexdigit() => {
                value.push((hex_digit(*high) << 4) | hex_digit(*low));
                rest = &after[2..];
            }
            (byte, _) => {
                value.push(byte);
                rest = after;
            }
        }
    }
    value
}

/// The value of a hexadecimal digit; 0 for any other byte.
pub(super) fn hex_digit(byte: u8) -> u8 {
    char::from(byte).to_digit(16).map_or(0, |digit| digit as u8)
}

/// The value of a number token; none unless it is sign, digits and at most one point
/// (ISO 32000-1 §7.3.3 knows no exponents).
fn number_value(token: &[u8]) -> Option<f64> {
    let plain = token.iter().all(|byte| matches!(byte, b'0'..=b'9' | b'+' | b'-' | b'.'));
    let value: f64 = std::str::from_utf8(token).ok().filter(|_| plain)?.parse().ok()?;
    value.is_finite().then_some(value)
}

/// The text of a string token, for messages: Latin letters kept, the rest replaced.
pub(super) fn text_value(token: &[u8]) -> String {
    let bytes = string_bytes(token);
    if let Some(wide) = bytes.strip_prefix(&[0xFE, 0xFF]) {
        let units: Vec<u16> =
            wide.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
        return String::from_utf16_lossy(&units);
    }
    let bytes = bytes.strip_prefix(&[0xEF, 0xBB, 0xBF]).unwrap_or(&bytes);
    String::from_utf8_lossy(bytes).into_owned()
}

/// The bytes that a string token stands for (ISO 32000-1 §7.3.4).
pub(super) fn string_bytes(token: &[u8]) -> Vec<u8> {
    let inner = token.get(1..token.len().saturating_sub(1)).unwrap_or_default();
    if token.first() == Some(&b'<') {
        let digits: Vec<u8> = inner.iter().copied().filter(u8::is_ascii_hexdigit).collect();
        return digits
            .chunks(2)
            .map(|pair| (hex_digit(pair[0]) << 4) | pair.get(1).map_or(0, |&low| hex_digit(low)))
            .collect();
    }
    let mut bytes = Vec::with_capacity(inner.len());
    let mut rest = inner;
    while let [first, after @ ..] = rest {
        rest = after;
        if *first == b'\\' { rest = unescape(after, &mut bytes) } else { bytes.push(*first) }
    }
    bytes
}

/// Puts what the escape at the start of `rest` (after its backslash) stands for and returns what
/// follows it.
fn unescape<'a>(rest: &'a [u8], bytes: &mut Vec<u8>) -> &'a [u8] {
    let [first, after @ ..] = rest else { return rest };
    match first {
        b'0'..=b'7' => {
            let digits = rest.iter().take(3).take_while(|byte| matches!(byte, b'0'..=b'7')).count();
            let value =
                rest[..digits].iter().fold(0u32, |sum, digit| sum * 8 + u32::from(digit - b'0'));
            bytes.push(value as u8);
            &rest[digits..]
        }
        b'\r' => after.strip_prefix(b"\n").unwrap_or(after),
        b'\n' => after,
        other => {
            bytes.push(match other {
                b'n' => b'\n',
                b'r' => b'\r',
                b't' => b'\t',
                b'b' => 8,
                b'f' => 12,
                plain => *plain,
            });
            after
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_numbers_and_strings_have_values() {
        assert!(name_is(b"A#42", b"AB") && name_is(b"A#4", b"A#4") && !name_is(b"A", b"B"));
        let number = |text: &str| Object::Number(text.as_bytes().into()).number();
        assert_eq!(number("-.5"), Some(-0.5));
        assert_eq!(number("+12."), Some(12.0));
        assert_eq!(
            (number("1e5"), number("0-4"), number("."), number("inf")),
            (None, None, None, None)
        );
        assert_eq!(string_bytes(b"(a\\(\\101\\\r\n\\n)"), b"a(A\n");
        assert_eq!(string_bytes(b"<41 4>"), b"A@");
        assert_eq!(text_value(b"<FEFF00C4>"), "Ä");
    }
}
