//! What is declared of hazards: `none`, or what it is in the seller's words.
//!
//! In: the field of an order. Out: its check and its text, with `none` written one way, whatever the
//! language that it is said in. A bare yes does not say what it is, and a bare no would be printed as if
//! it were the name of one; both are refused. Not here: the warning about orders that declare nothing (`batch`).

use super::text::{accept_line, expect_text};
use crate::record::{Refusal, Scalar};
use crate::tree::Value;

/// What stands for a parcel in which nothing is hazardous.
pub(crate) const NO_HAZARD: &str = "none";

/// What to write in place of a bare no.
const SAY_NONE: &str = "write `none` if nothing in the parcel is hazardous";

/// What to write in place of a bare yes.
const SAY_WHAT: &str = "say what it is, such as `perfume, 1 bottle of 30 ml`";

/// What is declared of hazards, on one line of at most 500 characters.
pub(crate) static HAZARD: Scalar = Scalar {
    expected: "`none` or what it is",
    accepts: |value| {
        if let Value::Bool(answer) = value {
            let hint = if *answer { SAY_WHAT } else { SAY_NONE };
            return Err(Refusal::hint(hint));
        }
        accept_line::<500>(value)?;
        refuse_bare_answer(expect_text(value)?)
    },
    schema: r#"{"type": "string", "maxLength": 500}"#,
};

/// Refuses a bare yes or no.
///
/// # Errors
/// When the text is one.
pub(crate) fn refuse_bare_answer(text: &str) -> Result<(), Refusal> {
    let hint = match answer_of(text.trim()) {
        None if is_unsure(text) => {
            "write `none` if nothing in the parcel is hazardous, or what it is"
        }
        Some(Answer::No) => SAY_NONE,
        Some(Answer::Yes) => SAY_WHAT,
        None => return Ok(()),
    };
    Err(Refusal::new(format!("expected `none` or what it is, found `{text}`"), hint))
}

/// What is declared, without the white space around it; `none` in any case and language is `none`.
pub(crate) fn tidy_hazard(text: &str) -> &str {
    let text = text.trim();
    if NONE.contains(&text.to_lowercase().trim_end_matches('.')) { NO_HAZARD } else { text }
}

/// Words for none and nothing, in the languages of the address data. What they say of goods that are
/// declared cannot be taken for anything else.
const NONE: &[&str] = &[
    NO_HAZARD,
    "nothing",
    "kein",
    "keine",
    "keiner",
    "keines",
    "keins",
    "nichts",
    "aucun",
    "aucune",
    "rien",
    "néant",
    "neant",
    "nessun",
    "nessuno",
    "nessuna",
    "niente",
    "nulla",
    "geen",
    "niets",
    "ingen",
    "inga",
    "inget",
    "intet",
    "ingenting",
    "ninguno",
    "ninguna",
    "ningún",
    "ningun",
    "nada",
    "nenhum",
    "nenhuma",
    "brak",
    "żaden",
    "żadna",
    "żadne",
    "nic",
    "žádný",
    "žádná",
    "žádné",
    "nincs",
    "semmi",
    "niciun",
    "niciunul",
    "niciuna",
    "nimic",
    "ei mitään",
    "κανένα",
    "καμία",
    "n/a",
    "not applicable",
    "entfällt",
    "nicht zutreffend",
    "trifft nicht zu",
    "s/o",
    "sans objet",
    "non applicable",
    "sin",
    "no aplica",
    "no procede",
    "non applicabile",
    "não aplicável",
    "nao aplicavel",
    "não se aplica",
    "n.v.t",
    "nvt",
    "niet van toepassing",
    "nie dotyczy",
    "ej tillämpligt",
    "ikke relevant",
    "なし",
    "無し",
    "無",
    "該当なし",
];

/// Short words that stand for not applicable here and for not told there: German `k. A.` is
/// `keine Angabe`, `n. a.` may be `not available` or `nicht angegeben`, Polish `nd.` and French `n.d.` differ.
const UNSURE: &[&str] = &["k.a", "k. a", "n.a", "n. a", "na", "nd", "n.d", "n. d", "n/d"];

/// Whether a text may say that nothing is hazardous as well as that nobody said.
pub(crate) fn is_unsure(text: &str) -> bool {
    UNSURE.contains(&text.trim().to_lowercase().trim_end_matches('.'))
}

/// A bare answer, where more was to be said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Answer {
    /// It says that there is something, and not what.
    Yes,
    /// It says that there is nothing, but not by our word.
    No,
}

/// Words for yes, in the languages of the address data.
const YES: &[&str] = &[
    "yes", "y", "true", "t", "1", "x", "✓", "✔", "on", "ja", "j", "wahr", "oui", "o", "vrai", "si",
    "sí", "sì", "s", "sim", "tak", "ano", "igen", "da", "kyllä",
];

/// Words for no, in the languages of the address data.
const NO: &[&str] = &[
    "no", "n", "false", "f", "0", "-", "–", "—", "−", "off", "nein", "falsch", "non", "faux",
    "não", "nao", "nee", "nej", "nei", "nie", "ne", "nem", "nu", "ei",
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn none_is_none_in_every_language() {
        for text in
            ["none", " None ", "NONE.", "keine", "Keine", "kein", "aucun", "Nessuno", "geen"]
        {
            assert_eq!(tidy_hazard(text), NO_HAZARD, "{text}");
        }
        for text in ["brak", "ŻADNE", "nada", "Ingen", "nichts", "ei mitään", "nincs", "NÉANT"]
        {
            assert_eq!(tidy_hazard(text), NO_HAZARD, "{text}");
        }
        for text in ["n.v.t.", "NVT", "n/a", "Entfällt", "s/o", "sin", "nie dotyczy", "なし"] {
            assert_eq!(tidy_hazard(text), NO_HAZARD, "{text}");
        }
        for text in ["k.A.", "k. A.", "nd", "n.a."] {
            assert_eq!(tidy_hazard(text), text);
            assert!(refuse_bare_answer(text).is_err(), "{text}");
        }
        for text in ["Tinte, keine Säure", "nonenal", "50 ml ink"] {
            assert_eq!(tidy_hazard(text), text);
        }
        for text in ["-", "–", "—", "0", "nein", "Non"] {
            assert_eq!(answer_of(text), Some(Answer::No), "{text}");
        }
    }
}
