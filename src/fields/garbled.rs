//! Text that was spoiled on its way: letters lost or read in a wrong encoding, signs written as in
//! a web page. Nobody writes so, and it would be printed as it stands.

use encoding_rs::WINDOWS_1252;

use crate::findings::{Finding, rules};
use crate::tree::{Node, Value};
use crate::words::shorten;

/// How often a text may have been read in the wrong encoding, one time after the other.
const MOST_READINGS: usize = 3;

/// Bytes of the longest name between `&` and `;` that is looked up, and of the longest number.
const LONGEST_NAME: usize = 8;

/// The names of U+00C0 to U+00FF in order: HTML 4.01, section 24.2.1.
const LATIN_LETTERS: &str = "Agrave Aacute Acirc Atilde Auml Aring AElig Ccedil Egrave Eacute \
    Ecirc Euml Igrave Iacute Icirc Iuml ETH Ntilde Ograve Oacute Ocirc Otilde Ouml times Oslash \
    Ugrave Uacute Ucirc Uuml Yacute THORN szlig agrave aacute acirc atilde auml aring aelig ccedil \
    egrave eacute ecirc euml igrave iacute icirc iuml eth ntilde ograve oacute ocirc otilde ouml \
    divide oslash ugrave uacute ucirc uuml yacute thorn yuml";

/// Other names that exports have: HTML 4.01, sections 24.2.1 and 24.4.1; `apos` is of XML 1.0,
/// section 4.6.
const OTHER_NAMES: &[(&str, char)] = &[
    ("amp", '&'),
    ("lt", '<'),
    ("gt", '>'),
    ("quot", '"'),
    ("apos", '\''),
    ("nbsp", ' '),
    ("euro", '€'),
    ("ndash", '–'),
    ("mdash", '—'),
    ("lsquo", '‘'),
    ("rsquo", '’'),
    ("ldquo", '“'),
    ("rdquo", '”'),
];

/// Reports the spoiled texts of a value and of all inside it; `path` is the path to it.
pub(crate) fn check_garbled(node: &Node, path: &str, out: &mut Vec<Finding>) {
    match &node.value {
        Value::Map(entries) => {
            for (key, value) in entries {
                check_inside(value, &|| crate::record::join(path, &key.name), out);
            }
        }
        Value::List(items) => {
            for (index, item) in items.iter().enumerate() {
                check_inside(item, &|| format!("{path}[{index}]"), out);
            }
        }
        Value::Text(text) => out.extend(find_garbled(text).map(|it| it.at(node.span).path(path))),
        _ => {}
    }
}

/// Reports what is inside a map or list, whose path is only made where it is asked for.
fn check_inside(node: &Node, path: &dyn Fn() -> String, out: &mut Vec<Finding>) {
    let plain = match &node.value {
        Value::Text(text) => may_be_plain(text),
        Value::Map(_) | Value::List(_) => false,
        _ => true,
    };
    if !plain {
        check_garbled(node, &path(), out);
    }
}

/// Whether a text has nothing that could be spoiled, as most have.
fn may_be_plain(text: &str) -> bool {
    text.bytes().all(|byte| byte.is_ascii() && byte != b'&')
}

/// What is spoiled in a text, if anything is.
fn find_garbled(text: &str) -> Option<Finding> {
    let shown = shorten(text.trim());
    let (message, hint) = if text.contains('\u{fffd}') {
        let message = format!("`{shown}` has lost letters: U+FFFD stands in their place");
        (message, "write what stood there; it was lost before this file was made".to_owned())
    } else if let Some(meant) = read_again(text) {
        let message = format!("`{shown}` was read in a wrong encoding");
        (message, format!("write `{}`, or make the file again as UTF-8", shorten(meant.trim())))
    } else {
        let (name, meant) = replace_references(text)?;
        let message = format!("`{shown}` has a sign written as in a web page: `{name}`");
        (message, format!("write `{}`", shorten(meant.trim())))
    };
    Some(Finding::new(&rules::GARBLED_TEXT, message).hint(hint))
}

/// The text that was meant when UTF-8 was read as Windows-1252: the bytes it was read from are
/// UTF-8 from end to end, which letters and signs that belong together never are.
fn read_again(text: &str) -> Option<String> {
    let mut meant: Option<String> = None;
    for _ in 0..MOST_READINGS {
        let now = meant.as_deref().unwrap_or(text);
        if now.is_ascii() {
            break;
        }
        let (bytes, _, replaced) = WINDOWS_1252.encode(now);
        let Ok(before) = std::str::from_utf8(&bytes) else { break };
        if replaced || !is_certain(before) {
            break;
        }
        meant = Some(before.to_owned());
    }
    meant
}

/// Whether a text that was read again is surely what was meant: letters with accents and signs of
/// the languages that Windows-1252 is for, or three characters at least of another script. `ß€` and
/// `Ü–` read again are one letter of a script that such texts do not have.
fn is_certain(before: &str) -> bool {
    let usual = |c: char| matches!(c, '\u{a0}'..='\u{17f}' | '\u{2010}'..='\u{2026}' | '€' | '™');
    let foreign = before.chars().filter(|c| !c.is_ascii());
    let others = foreign.clone().filter(|&c| !usual(c));
    let controls = foreign.clone().any(char::is_control);
    !controls && (others.count() == 0 || foreign.count() >= 3)
}

/// The first character reference of a text as it is written, and the text with all of them
/// replaced; `None` when there is none.
fn replace_references(text: &str) -> Option<(&str, String)> {
    let mut first = None;
    let mut meant = String::new();
    let mut rest = text;
    while let Some(at) = rest.find('&') {
        let found = rest[at..].find(';').and_then(|length| {
            let letter = look_up(&rest[at + 1..at + length])?;
            Some((&rest[at..=at + length], letter))
        });
        let end = match found {
            Some((written, letter)) => {
                meant.push_str(&rest[..at]);
                meant.push(letter);
                first = first.or(Some(written));
                at + written.len()
            }
            None => {
                meant.push_str(&rest[..=at]);
                at + 1
            }
        };
        rest = &rest[end..];
    }
    meant.push_str(rest);
    Some((first?, meant))
}

/// The character that a name or a number between `&` and `;` stands for.
fn look_up(name: &str) -> Option<char> {
    if name.len() > LONGEST_NAME {
        return None;
    }
    if let Some(number) = name.strip_prefix('#') {
        let code = match number.strip_prefix(['x', 'X']) {
            Some(digits) => u32::from_str_radix(digits, 16).ok()?,
            None => number.parse().ok()?,
        };
        return char::from_u32(code).filter(|letter| !letter.is_control());
    }
    if let Some(&(_, letter)) = OTHER_NAMES.iter().find(|(known, _)| *known == name) {
        return Some(letter);
    }
    let (_, letter) = LATIN_LETTERS.split_whitespace().zip('À'..='ÿ').find(|it| it.0 == name)?;
    Some(letter)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn utf_8_that_was_read_as_windows_1252_is_told_from_letters() {
        assert_eq!(read_again("MÃ¶wenstein").as_deref(), Some("Möwenstein"));
        assert_eq!(read_again("MÃƒÂ¶wenstein").as_deref(), Some("Möwenstein"), "twice");
        assert_eq!(read_again("Dâ€™Arcy").as_deref(), Some("D’Arcy"));
        assert_eq!(read_again("Ð˜Ð²Ð°Ð½").as_deref(), Some("Иван"));
        for right in ["hß€F", "MENÜ–KARTE"] {
            assert_eq!(read_again(right), None, "{right}");
        }
        for right in ["Möwenstein", "SÃO PAULO", "Ångström", "Å", "Łódź", "東京", "“Ã”", "Â £5"]
        {
            assert_eq!(read_again(right), None, "{right}");
        }
    }

    #[test]
    fn signs_of_web_pages_are_known_by_name_and_number() {
        let meant = |text| replace_references(text).map(|(_, meant)| meant);
        assert_eq!(meant("Ink &amp; Paper").as_deref(), Some("Ink & Paper"));
        assert_eq!(meant("M&ouml;we &#39;n&#x27; &Yuml;").as_deref(), Some("Möwe 'n' &Yuml;"));
        assert_eq!(meant("&yuml;&Agrave;").as_deref(), Some("ÿÀ"));
        for right in ["R&D; more", "A & B; C", "&", "&;", "&#;", "&#7;", "&#xD800;", "S&P"] {
            assert_eq!(meant(right), None, "{right}");
        }
        assert_eq!(LATIN_LETTERS.split_whitespace().count(), 64);
    }
}
