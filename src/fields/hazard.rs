//! What is declared of hazards: `none`, or what it is in the seller's words.
//!
//! In: the field of an order. Out: its check and its text, with `none` written one way. A bare yes
//! does not say what it is, and a bare no would be printed as if it were the name of one; both are
//! refused. Not here: the warning about orders that declare nothing (`batch`).

use super::text::{accept_line, expect_text};
use crate::record::{Refusal, Scalar};

/// What stands for a parcel in which nothing is hazardous.
pub(crate) const NO_HAZARD: &str = "none";

/// What is declared of hazards, on one line of at most 500 characters.
pub(crate) static HAZARD: Scalar = Scalar {
    expected: "`none` or what it is",
    accepts: |value| {
        accept_line::<500>(value)?;
        let text = expect_text(value)?;
        match answer_of(text) {
            Some(Answer::No) => Err(Refusal::new(
                format!("expected `none` or what it is, found `{text}`"),
                "write `none` if nothing in the parcel is hazardous",
            )),
            Some(Answer::Yes) => Err(Refusal::new(
                format!("expected `none` or what it is, found `{text}`"),
                "say what it is, such as `perfume, 1 bottle of 30 ml`",
            )),
            None => Ok(()),
        }
    },
    schema: r#"{"type": "string", "maxLength": 500}"#,
};

/// What is declared, without the white space around it; `none` in any case is `none`.
pub(crate) fn tidy_hazard(text: &str) -> &str {
    let text = text.trim();
    if text.eq_ignore_ascii_case(NO_HAZARD) { NO_HAZARD } else { text }
}

/// A bare answer, where more was to be said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Answer {
    /// Yes.
    Yes,
    /// No.
    No,
}

/// Words for yes, in the languages of the address data.
const YES: &[&str] = &[
    "yes", "y", "true", "t", "1", "x", "✓", "✔", "on", "ja", "j", "wahr", "oui", "o", "vrai", "si",
    "sí", "sì", "s", "sim", "tak", "ano", "igen", "da", "kyllä",
];

/// Words for no, in the languages of the address data.
const NO: &[&str] = &[
    "no", "n", "false", "f", "0", "-", "off", "nein", "falsch", "non", "faux", "não", "nao", "nee",
    "nej", "nei", "nie", "ne", "nem", "nu", "ei",
];

/// Whether text is a bare yes or no, in any case.
pub(crate) fn answer_of(text: &str) -> Option<Answer> {
    let word = text.to_lowercase();
    let among = |words: &[&str]| words.contains(&word.as_str());
    match () {
        () if among(NO) => Some(Answer::No),
        () if among(YES) => Some(Answer::Yes),
        () => None,
    }
}
