//! The words that layouts print, a table for each language: ours, and what a seller corrects.
//!
//! In: a word's key and a language. Out: its [`Phrase`]. Not here: which table goes before which
//! (`bind`), and the filter that fills a phrase's gaps (`layout`).

use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::Locale;
use super::plural::{FORMS, PluralForm};
use crate::source::FileId;
use crate::tree::{Node, yaml};

/// A word as one language has it: a text, or one for each form of a count. What stands in braces is
/// a gap: `Dear {name},`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Phrase {
    /// The same for every count.
    Text(Box<str>),
    /// A text for each form; `other` is always among them.
    Counted(Vec<(PluralForm, Box<str>)>),
}

impl Phrase {
    /// What may be printed of it: one text, or one for each form of a count.
    pub(crate) fn texts(&self) -> impl Iterator<Item = &str> {
        let (text, counted) = match self {
            Phrase::Text(text) => (Some(&**text), &[][..]),
            Phrase::Counted(forms) => (None, &forms[..]),
        };
        text.into_iter().chain(counted.iter().map(|(_, text)| &**text))
    }

    /// The names of its gaps, each once.
    #[must_use]
    pub(crate) fn gaps(&self) -> Vec<&str> {
        let mut gaps: Vec<&str> =
            self.texts().flat_map(|text| pieces(text).map(|it| it.1)).collect();
        gaps.retain(|gap| !gap.is_empty());
        gaps.sort_unstable();
        gaps.dedup();
        gaps
    }

    /// The text for a form; that for all other counts where the form has none of its own.
    #[must_use]
    pub(crate) fn text_for(&self, form: PluralForm) -> &str {
        match self {
            Phrase::Text(text) => text,
            Phrase::Counted(forms) => {
                let find = |wanted| forms.iter().find(|(form, _)| *form == wanted);
                find(form).or_else(|| find(PluralForm::Other)).map_or("", |(_, text)| text)
            }
        }
    }
}

/// The pieces of a text, each with the name of the gap behind it; the last has none.
pub(crate) fn pieces(text: &str) -> impl Iterator<Item = (&str, &str)> {
    let mut rest = Some(text);
    std::iter::from_fn(move || {
        let text = rest?;
        let gap = text.find('{').and_then(|start| Some((start, start + text[start..].find('}')?)));
        match gap {
            Some((start, end)) => {
                rest = Some(&text[end + 1..]);
                Some((&text[..start], &text[start + 1..end]))
            }
            None => {
                rest = None;
                Some((text, ""))
            }
        }
    })
}

/// The words of one language by their keys.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct WordTable(pub(super) BTreeMap<Box<str>, Phrase>);

impl WordTable {
    /// What stands under a key; none when the language lacks the word.
    #[must_use]
    pub(crate) fn get(&self, key: &str) -> Option<&Phrase> {
        self.0.get(key)
    }

    /// All words, by their keys.
    #[cfg(test)]
    pub(crate) fn entries(&self) -> impl Iterator<Item = (&str, &Phrase)> {
        self.0.iter().map(|(key, phrase)| (&**key, phrase))
    }

    /// Our words in a language, with or without a country: those of `pt-PT` are few, because all
    /// others are as in `pt`.
    #[must_use]
    pub(crate) fn shipped(tag: &str) -> Option<&'static WordTable> {
        /// What is read of each language, when it is first asked for.
        static READ: [OnceLock<WordTable>; SHIPPED.len()] =
            [const { OnceLock::new() }; SHIPPED.len()];
        let place = SHIPPED.iter().position(|(known, _)| *known == tag)?;
        let (_, text) = SHIPPED[place];
        Some(READ[place].get_or_init(|| {
            let node = yaml::read_document(text, FileId::UNPLACED);
            node.map(|node| read_table(&node)).unwrap_or_default()
        }))
    }
}

/// One language's table.
pub(super) fn read_table(node: &Node) -> WordTable {
    let words = node.entries().iter();
    WordTable(
        words
            .filter_map(|(key, phrase)| Some((key.name.as_str().into(), read_phrase(phrase)?)))
            .collect(),
    )
}

/// One word.
pub(super) fn read_phrase(node: &Node) -> Option<Phrase> {
    if let Some(text) = node.literal() {
        return Some(Phrase::Text(text.into()));
    }
    let form = |(word, form): &(&str, PluralForm)| {
        Some((*form, node.get(word).and_then(Node::literal)?.into()))
    };
    let forms: Vec<(PluralForm, Box<str>)> = FORMS.iter().filter_map(form).collect();
    (!forms.is_empty()).then_some(Phrase::Counted(forms))
}

/// Words of several languages, as a shop file or a layout gives them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WordTables(pub(super) BTreeMap<Box<str>, WordTable>);

impl WordTables {
    /// The words of a language.
    #[must_use]
    pub(crate) fn get(&self, tag: &str) -> Option<&WordTable> {
        self.0.get(tag)
    }

    /// The keys of all words, in whatever language.
    pub(crate) fn keys(&self) -> impl Iterator<Item = &str> {
        self.0.values().flat_map(|table| table.0.keys()).map(|key| &**key)
    }

    /// Adds the words of other tables that these do not have.
    pub(crate) fn add(&mut self, others: WordTables) {
        for (tag, table) in others.0 {
            let known = self.0.entry(tag).or_default();
            for (key, phrase) in table.0 {
                known.0.entry(key).or_insert(phrase);
            }
        }
    }
}

/// The tables that come with us.
const SHIPPED: &[(&str, &str)] = &[
    ("da", include_str!("words/da.yaml")),
    ("de", include_str!("words/de.yaml")),
    ("en", include_str!("words/en.yaml")),
    ("es", include_str!("words/es.yaml")),
    ("fr", include_str!("words/fr.yaml")),
    ("it", include_str!("words/it.yaml")),
    ("ja", include_str!("words/ja.yaml")),
    ("nl", include_str!("words/nl.yaml")),
    ("pl", include_str!("words/pl.yaml")),
    ("pt", include_str!("words/pt.yaml")),
    ("pt-PT", include_str!("words/pt-PT.yaml")),
    ("sv", include_str!("words/sv.yaml")),
];

/// The tags of the languages that we have words in.
#[cfg(any(test, feature = "desk"))]
pub(crate) fn shipped_languages() -> impl Iterator<Item = &'static str> {
    SHIPPED.iter().map(|(tag, _)| *tag)
}

/// The keys of our words, those of English: every language has all of them.
pub(crate) fn shipped_keys() -> impl Iterator<Item = &'static str> {
    let english = WordTable::shipped(Locale::usual().tag);
    english.into_iter().flat_map(|table| table.0.keys()).map(|key| &**key)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    /// Every fault of one language's table against the English one.
    fn faults(tag: &str) -> Vec<String> {
        let (english, table) =
            (WordTable::shipped("en").unwrap(), WordTable::shipped(tag).unwrap());
        let locale = Locale::find(tag).unwrap();
        let mut faults = Vec::new();
        for (key, phrase) in table.entries() {
            let Some(meant) = english.get(key) else {
                faults.push(format!("{tag}: nobody asks for `{key}`"));
                continue;
            };
            let extra = phrase.gaps().into_iter().find(|gap| !meant.gaps().contains(gap));
            faults.extend(extra.map(|gap| format!("{tag}: `{key}` has a gap `{gap}` too many")));
            let lost = meant.gaps().into_iter().find(|gap| !phrase.gaps().contains(gap));
            faults.extend(lost.map(|gap| format!("{tag}: `{key}` has no gap `{gap}`")));
            if let Phrase::Counted(forms) = phrase {
                let given: BTreeSet<PluralForm> = forms.iter().map(|(form, _)| *form).collect();
                let mut wanted: BTreeSet<PluralForm> = locale.whole_forms().collect();
                wanted.insert(PluralForm::Other);
                if given != wanted {
                    faults.push(format!("{tag}: `{key}` has {given:?}, not {wanted:?}"));
                }
            }
            if phrase.texts().any(|text| text.trim().is_empty()) {
                faults.push(format!("{tag}: `{key}` is empty"));
            }
        }
        faults
    }

    #[test]
    fn every_language_has_every_word_with_its_gaps_and_the_forms_of_its_counts() {
        let keys: Vec<&str> = shipped_keys().collect();
        assert!(keys.len() > 80, "{}", keys.len());
        for tag in shipped_languages() {
            assert_eq!(faults(tag), Vec::<String>::new());
            let table = WordTable::shipped(tag).unwrap();
            if !tag.contains('-') {
                let missing: Vec<_> = keys.iter().filter(|key| table.get(key).is_none()).collect();
                assert!(missing.is_empty(), "{tag} lacks {missing:?}");
            }
        }
    }

    /// What stands in a narrow box of a bench card, which English fills, is nowhere longer; Japanese
    /// letters count twice.
    #[test]
    fn words_of_narrow_boxes_are_short() {
        let width =
            |text: &str| text.chars().map(|c| if c > '\u{2e80}' { 2 } else { 1 }).sum::<usize>();
        for key in ["declared", "declared_rules", "heavy", "lift_in_twos", "tracking", "weight_g"] {
            let widest = |tag| {
                let phrase = WordTable::shipped(tag).and_then(|table| table.get(key));
                phrase.into_iter().flat_map(Phrase::texts).map(width).max().unwrap_or_default()
            };
            // A heading may be a little longer than the English one.
            let most = widest("en").max(11);
            for tag in shipped_languages() {
                assert!(widest(tag) <= most, "{key} in {tag}: {} of {most}", widest(tag));
            }
        }
    }

    #[test]
    fn a_text_falls_apart_at_its_gaps() {
        let parts: Vec<_> = pieces("Dear {name}, {thanks}").collect();
        assert_eq!(parts, [("Dear ", "name"), (", ", "thanks"), ("", "")]);
        assert_eq!(pieces("a { b").collect::<Vec<_>>(), [("a { b", "")]);
    }

    /// The table of all words in the documentation is what the English table makes.
    #[test]
    fn the_documentation_lists_every_word() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/words.md");
        let page = std::fs::read_to_string(path).unwrap();
        let (start, end) = ("<!-- generated: words -->\n", "<!-- end -->");
        let (before, rest) = page.split_once(start).unwrap();
        let (_, after) = rest.split_once(end).unwrap();
        let mut made = format!("{before}{start}| key | in English |\n|---|---|\n");
        for (key, phrase) in WordTable::shipped("en").unwrap().entries() {
            let texts: Vec<String> = phrase.texts().map(|text| text.replace('\n', " / ")).collect();
            made.push_str(&format!("| `{key}` | {} |\n", texts.join("<br>")));
        }
        made.push_str(&format!("{end}{after}"));
        if std::env::var_os("SLIPWRIGHT_BLESS").is_some() {
            std::fs::write(path, &made).unwrap();
        } else {
            assert!(page == made, "docs/words.md: write it anew with SLIPWRIGHT_BLESS=1");
        }
    }
}
