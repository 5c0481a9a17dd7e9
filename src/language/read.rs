//! Tables of words as they stand in files: ours, and the `words` of shop files and layouts.
//!
//! In: the part of a file. Out: the tables, or what is wrong with them. A word of ours may be put
//! otherwise, but only with the gaps that it has: what layouts put in is fixed. Not here: reading
//! the file.

use super::locale::Locale;
use super::plural::PluralForm;
use super::table::{Phrase, WordTable, WordTables, read_phrase, read_table, shipped_keys};
use crate::findings::{Finding, rules};
use crate::record::{Kind, Record, Refusal, Scalar, scalar};
use crate::tree::{Key, Node, Value};
use crate::words::{list_words, nearest};

/// Words by language and key.
pub(crate) const WORDS: Kind =
    Kind::Named(&Kind::Named(&Kind::Either(&[Kind::Scalar(&PHRASE), Kind::Map(&COUNTED)])));

/// One text of a word.
static PHRASE: Scalar = Scalar {
    expected: "a word's text",
    accepts: |value| match value {
        Value::Text(text) | Value::Bare(text) if text.chars().count() > 500 => {
            Err(Refusal::hint("a word has at most 500 characters"))
        }
        Value::Text(_) | Value::Bare(_) => Ok(()),
        _ => Err(Refusal::hint("write it as `\"Dear {name},\"`")),
    },
    schema: r#"{"type": "string", "maxLength": 500}"#,
};

/// A word that counts.
static COUNTED: Record = Record {
    name: "word",
    doc: "A word's forms for counts, as the Unicode CLDR has them for the language.",
    fields: &[
        scalar("zero", &PHRASE, "for none, where the language has such a form"),
        scalar("one", &PHRASE, "for one, and in some languages for what goes like it"),
        scalar("two", &PHRASE, "for two, where the language has such a form"),
        scalar("few", &PHRASE, "for a few, where the language has such a form"),
        scalar("many", &PHRASE, "for many, where the language has such a form"),
        scalar("other", &PHRASE, "for all other counts"),
    ],
};

/// Whose words are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum WordsOf {
    /// The shop's: they stand in place of ours.
    Shop,
    /// A layout's: they may also have keys of their own.
    Layout,
}

/// Reports what the record of [`WORDS`] cannot say of tables of words.
pub(crate) fn check_words(node: &Node, whose: WordsOf, out: &mut Vec<Finding>) {
    for (tag, table) in node.entries() {
        if Locale::find(&tag.name).is_none() {
            let message = format!("nothing is known of a language `{}`", tag.name);
            let fault = Finding::new(&rules::WORD_LANGUAGE, message).at(tag.span);
            out.push(fault.hint(match nearest(&tag.name, Locale::tags()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "write its two letters, such as `de` or `pt-PT`".to_owned(),
            }));
            continue;
        }
        for (key, phrase) in table.entries() {
            check_key(key, whose, out);
            check_phrase(key, phrase, out);
        }
    }
}

/// Reports the key of a word that nobody asks for, or that no layout can ask for.
fn check_key(key: &Key, whose: WordsOf, out: &mut Vec<Finding>) {
    let name = key.name.as_str();
    let is_ours = shipped_keys().any(|known| known == name);
    let is_name = name.starts_with(|c: char| c.is_ascii_lowercase())
        && name.bytes().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == b'_');
    let fault = match whose {
        _ if is_ours => return,
        WordsOf::Shop => {
            let hint = match nearest(name, shipped_keys()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "words of a layout of your own go under `words` in the layout".to_owned(),
            };
            Finding::new(&rules::WORD_KEY, format!("no shipped layout has a word `{name}`"))
                .hint(hint)
        }
        WordsOf::Layout if is_name => return,
        WordsOf::Layout => {
            Finding::new(&rules::WORD_KEY, format!("`{name}` cannot be a word's key"))
                .hint("keys are small letters, digits and `_`, such as `see_you_soon`")
        }
    };
    out.push(fault.at(key.span));
}

/// Reports gaps that a word of ours does not have, and a count without the form for all others.
fn check_phrase(key: &Key, node: &Node, out: &mut Vec<Finding>) {
    let Some(phrase) = read_phrase(node) else { return };
    if let Phrase::Counted(forms) = &phrase
        && forms.iter().all(|(form, _)| *form != PluralForm::Other)
    {
        let message = format!("the word `{}` has no form `other`", key.name);
        let hint = "add `other`: it is used for every count that no other form is for";
        out.push(Finding::new(&rules::WORD_FORM, message).at(node.span).hint(hint));
    }
    let english = WordTable::shipped(Locale::usual().tag);
    let Some(meant) = english.and_then(|table| table.get(&key.name)) else { return };
    let known = meant.gaps();
    for gap in phrase.gaps().into_iter().filter(|gap| !known.contains(gap)) {
        let message = format!("nothing is put in the gap `{{{gap}}}` of the word `{}`", key.name);
        let hint = match known.is_empty() {
            true => "write it without braces: this word has no gaps".to_owned(),
            false => format!("its gaps are {}", list_words(known.iter().copied())),
        };
        out.push(Finding::new(&rules::WORD_GAP, message).at(node.span).hint(hint));
    }
}

/// Tables whose check was clean.
pub(crate) fn read_words(node: Option<&Node>) -> WordTables {
    let entries = node.map(Node::entries).unwrap_or_default();
    let tables = entries.iter().map(|(tag, table)| (tag.name.as_str().into(), read_table(table)));
    WordTables(tables.collect())
}
