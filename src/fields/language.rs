//! Languages by their tags.

use std::num::NonZeroU8;

use crate::record::{Refusal, Scalar};
use crate::tree::{Node, Value};

/// The longest tag that [`LANGUAGE`] takes: `zho-Hant-HK`.
const LONGEST: usize = 11;

/// The tag of a language, with or without a script and a country. A hundred thousand orders have one
/// each, so it is held in twelve bytes.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct LanguageTag {
    /// How many bytes it has; never none, so that no tag takes no more room than one.
    length: NonZeroU8,
    /// Its bytes, zeros behind them.
    bytes: [u8; LONGEST],
}

impl LanguageTag {
    /// The tag that a text is, if it has the form of one.
    #[must_use]
    pub fn parse(text: &str) -> Option<LanguageTag> {
        let length = NonZeroU8::new(u8::try_from(text.len()).ok()?)?;
        let mut bytes = [0; LONGEST];
        bytes.get_mut(..text.len())?.copy_from_slice(text.as_bytes());
        is_language(text).then_some(LanguageTag { length, bytes })
    }

    /// The tag as it is written.
    #[must_use]
    pub fn as_str(&self) -> &str {
        let bytes = self.bytes.get(..usize::from(self.length.get())).unwrap_or_default();
        std::str::from_utf8(bytes).unwrap_or_default()
    }
}

impl std::fmt::Debug for LanguageTag {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.as_str())
    }
}

/// A language whose field has passed its check.
pub(crate) fn read_language(node: &Node, name: &str) -> Option<LanguageTag> {
    LanguageTag::parse(node.get(name)?.literal()?.trim())
}

/// A language, with or without a script and a country; empty text, as exports write it, is none.
pub(crate) static LANGUAGE: Scalar = Scalar {
    expected: "a language such as `en` or `de-CH`",
    accepts: |value| match value {
        Value::Text(text) | Value::Bare(text) if text.trim().is_empty() => Ok(()),
        Value::Text(text) | Value::Bare(text) if is_language(text.trim()) => Ok(()),
        _ => Err(Refusal::hint("write the two letters of ISO 639-1, such as `en`")),
    },
    schema: r#"{"type": "string", "pattern": "^([a-z]{2,3}(-[A-Z][a-z]{3})?(-[A-Z]{2})?)?$"}"#,
};

/// Whether a text has the form of a language tag that a person writes: `en`, `de-CH`, `sr-Latn`.
fn is_language(text: &str) -> bool {
    let mut parts = text.split('-').peekable();
    let are = |part: &str, is: fn(&u8) -> bool| part.bytes().all(|byte| is(&byte));
    let language = parts.next().unwrap_or_default();
    let is_script = |part: &&str| {
        let (first, rest) = part.split_at_checked(1).unwrap_or_default();
        part.len() == 4 && are(first, u8::is_ascii_uppercase) && are(rest, u8::is_ascii_lowercase)
    };
    parts.next_if(is_script);
    parts.next_if(|part| part.len() == 2 && are(part, u8::is_ascii_uppercase));
    (2..=3).contains(&language.len())
        && are(language, u8::is_ascii_lowercase)
        && parts.next().is_none()
}

#[cfg(test)]
mod tests {
    use super::{LanguageTag, is_language};

    #[test]
    fn a_language_has_small_letters_and_its_country_capitals() {
        for good in ["en", "de-CH", "sr-Latn", "zh-Hant-HK", "gsw"] {
            assert!(is_language(good), "{good}");
        }
        assert_eq!(LanguageTag::parse("zho-Hant-HK").unwrap().as_str(), "zho-Hant-HK");
        assert_eq!(LanguageTag::parse("zho-Hant-HKG"), None);
        for bad in ["", "EN", "de-ch", "english", "de-", "de_CH", "e", "de-419", "de-CH-Latn", "dé"]
        {
            assert!(!is_language(bad), "{bad}");
        }
    }
}
