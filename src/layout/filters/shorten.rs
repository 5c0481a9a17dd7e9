//! Text cut to a length, and the record of every cut.
//!
//! In: text and the most characters it may have, as readers count them (extended grapheme clusters
//! of UAX #29). Out: the text, or its beginning with an ellipsis, and then a [`TextCut`] in the
//! [`CutLog`] that runs along with the parcel's variables. Without a log nothing is cut: a cut
//! without a note about it is an error. Not here: the wording of that note.

use std::sync::{Arc, Mutex, PoisonError};

use minijinja::value::Object;
use minijinja::{Error, State, Value};
use unicode_segmentation::UnicodeSegmentation as _;

use super::fault::{expect_text, refuse};
use crate::findings::{Finding, rules};
use crate::source::Span;
use crate::words::counted;

/// The variable that holds the log; no template can write a name with a space.
const LOG: &str = "cut log";

/// The sign that something is left out.
const ELLIPSIS: &str = "…";

/// A text that `shorten` cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct TextCut {
    /// The text as it was, for the warning that says what is not printed.
    pub whole: String,
    /// What is left of it, with the ellipsis.
    pub kept: String,
    /// How many characters it was allowed.
    pub most: usize,
}

impl TextCut {
    /// The note that tells of it, at the template that made it.
    #[must_use]
    pub(crate) fn explain(&self, span: Span) -> Finding {
        let TextCut { whole, kept, most } = self;
        let most = counted(*most, "character");
        let message = format!("shortened `{whole}` to {most}: `{kept}`");
        Finding::new(&rules::SHORTENED, message).at(span)
    }
}

/// The cuts as the template engine holds them.
#[derive(Debug, Default)]
struct CutRecord(Mutex<Vec<TextCut>>);

impl Object for CutRecord {}

/// What `shorten` cut while templates and expressions ran.
#[derive(Debug, Clone, Default)]
pub(crate) struct CutLog(Arc<CutRecord>);

impl CutLog {
    /// The variables with this log beside them.
    #[must_use]
    pub(crate) fn attach(&self, values: &Value) -> Value {
        let log = Value::from_dyn_object(Arc::clone(&self.0));
        let beside = Value::from_pairs([(LOG, log)]);
        minijinja::context! { ..beside, ..values.clone() }
    }

    /// The cuts since the last call, in the order they were made.
    #[must_use]
    pub(crate) fn take_cuts(&self) -> Vec<TextCut> {
        std::mem::take(&mut self.0.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

/// The filter `shorten`.
pub(super) fn shorten(state: &State<'_, '_>, value: &Value, most: &Value) -> Result<String, Error> {
    let whole = expect_text("shorten", value)?;
    let most = most.as_usize().filter(|most| *most > 0).ok_or_else(|| {
        let found = super::fault::describe_value(most);
        let message = format!("expected a whole number from 1 for `shorten`, found {found}");
        refuse(message, "write the most characters there is room for: `shorten(30)`".to_owned())
    })?;
    let Some(kept) = cut_text(&whole, most) else { return Ok(whole) };
    let log = state.lookup(LOG);
    let Some(CutRecord(cuts)) = log.as_ref().and_then(|log| log.downcast_object_ref()) else {
        return Err(refuse("a text cannot be shortened here, where no cut is noted", None));
    };
    let cut = TextCut { whole, kept: kept.clone(), most };
    cuts.lock().unwrap_or_else(PoisonError::into_inner).push(cut);
    Ok(kept)
}

/// A text cut to so many characters with the ellipsis; none when it needs no cut.
fn cut_text(text: &str, most: usize) -> Option<String> {
    // Bytes are never fewer than clusters, so most texts are done here.
    if text.len() <= most {
        return None;
    }
    let clusters = split_clusters(text);
    if clusters.len() <= most {
        return None;
    }
    let room = most - 1;
    let dangles = |c: char| c.is_whitespace() || matches!(c, ',' | ';' | ':' | '-' | '–' | '—');
    let ends_word = |at: &usize| clusters[*at].chars().all(dangles);
    // The last end of a word that keeps at least half of the room; a longer word is cut itself.
    let end = (room.div_ceil(2).max(1)..=room).rev().find(ends_word).unwrap_or(room);
    let kept = clusters[..end].concat();
    Some(kept.trim_end_matches(dangles).to_owned() + ELLIPSIS)
}

/// The characters of a text as a reader counts them.
pub(super) fn split_clusters(text: &str) -> Vec<&str> {
    text.graphemes(true).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_cut_at_words() {
        for (text, most, kept) in [
            ("Fountain pen, restored", 22, None),
            ("Fountain pen, restored", 21, Some("Fountain pen…")),
            ("Fountain pen, restored", 13, Some("Fountain pen…")),
            ("Fountain pen, restored", 12, Some("Fountain…")),
            ("Fountain pen, restored", 6, Some("Fount…")),
            ("A Federmappenfabrik", 12, Some("A Federmapp…")),
            ("Pen", 1, Some("…")),
            ("Pen", 2, Some("P…")),
            ("  spaced", 3, Some("…")),
            ("万年筆と青いインク", 5, Some("万年筆と…")),
            // A letter with a combining accent, and a flag, are one character each.
            ("e\u{301}toile", 6, None),
            ("e\u{301}toiles", 2, Some("e\u{301}…")),
            ("🇳🇴🇳🇴🇳🇴", 3, None),
            ("🇳🇴🇳🇴🇳🇴", 2, Some("🇳🇴…")),
        ] {
            assert_eq!(cut_text(text, most).as_deref(), kept, "{text} in {most}");
        }
    }
}
