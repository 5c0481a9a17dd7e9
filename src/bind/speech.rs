//! The language that a page is in, and the words it has there.
//!
//! In: who reads the page, and what orders, layout and shop file say of languages and words. Out: a
//! [`Speech`]: the locale, and every word that the layout asks for. Words are looked for in the
//! layout, then in the shop file, then in our tables; where one is missing the whole page is in the
//! next language that has all of them, and a finding says so. Not here: what is done with a word.

use std::collections::BTreeSet;
use std::sync::Arc;

use minijinja::Value;

use crate::address::{country_languages, country_name};
use crate::batch::{Batch, Parcel};
use crate::findings::{Finding, rules};
use crate::language::{Locale, Phrase, WordTable, WordTables, country_in, shipped_keys};
use crate::layout::{Layout, Reader, phrase_value};
use crate::shop::Shop;
use crate::words::list_words;

/// Words that a finding names; the rest are counted.
const NAMED_WORDS: usize = 3;

/// The words of a heavy parcel's caution.
const CAUTION_WORDS: [&str; 2] = ["heavy", "lift_in_twos"];

/// The words of why stamps are those that are stuck: what fewer would be worth, what is over, and that
/// nothing is.
const STAMP_WORDS: [&str; 3] = ["stamps_fewer", "stamps_over", "stamps_exact"];

/// The words of why a parcel of a line does not go: three states, and a state with its reason.
const ABSENCE_WORDS: [&str; 4] = ["taken_off", "put_aside", "unmatched", "because"];

/// What a page says in the language that it is in.
#[derive(Clone, Debug)]
pub(super) struct Speech {
    /// How the language writes.
    pub(super) locale: &'static Locale,
    /// The words by their keys.
    pub(super) words: Value,
    /// The tag of the language.
    pub(super) tag: Value,
    /// The same, for pages.
    pub(super) name: Arc<str>,
    /// A heavy parcel's caution, and that of one to be lifted by two.
    pub(super) cautions: [Value; 2],
    /// Why stamps are those that are stuck: what fewer would be worth, what is over, and that nothing is.
    pub(super) stamping: [Value; 3],
    /// Why a parcel of a line does not go: three states, and a state with its reason.
    pub(super) absences: [Value; 4],
    /// That the page is in another language than its reader's.
    pub(super) finding: Option<Finding>,
}

/// What a document asks of languages.
#[derive(Clone, Debug)]
pub(super) struct Speaker<'a> {
    /// The layout's own words, if there is a layout.
    layout: Option<&'a Layout>,
    /// The shop, if there is a shop file.
    shop: Option<&'a Shop>,
    /// The words that are asked for; `None`: any may be.
    used: Option<BTreeSet<String>>,
    /// Whether the layout names countries, so that a language without their names is told.
    names_countries: bool,
}

impl<'a> Speaker<'a> {
    /// A document of which nothing is known but the shop.
    pub(super) fn new(shop: Option<&'a Shop>) -> Speaker<'a> {
        Speaker { layout: None, shop, used: None, names_countries: false }
    }

    /// The same for a layout that asks for these variables, such as `words.dear`.
    pub(super) fn in_layout(self, layout: &'a Layout, wanted: &BTreeSet<String>) -> Speaker<'a> {
        let part_of = |name: &str, part: &str| name.rsplit('.').next() == Some(part);
        let about_all = wanted.contains("parcels");
        let mut used: BTreeSet<String> = BTreeSet::new();
        for name in wanted {
            used.extend(name.strip_prefix("words.").map(str::to_owned));
            if name == "words" {
                used.extend(shipped_keys().map(str::to_owned));
                used.extend(layout.words.keys().map(str::to_owned));
            }
        }
        let asks = |part: &str| wanted.iter().any(|it| part_of(it, part));
        let cautions = about_all && layout.speaks || asks("caution");
        used.extend(CAUTION_WORDS.iter().filter(|_| cautions).map(|word| (*word).to_owned()));
        let stamps = asks("stamps_reason");
        used.extend(STAMP_WORDS.iter().filter(|_| stamps).map(|word| (*word).to_owned()));
        let absences = wanted.contains("places") && layout.speaks;
        used.extend(ABSENCE_WORDS.iter().filter(|_| absences).map(|word| (*word).to_owned()));
        let names_countries = wanted.iter().any(|name| part_of(name, "country_name"));
        Speaker { layout: Some(layout), used: Some(used), names_countries, ..self }
    }

    /// Whether the buyer's language goes before all others.
    pub(super) fn heeds_buyer(&self) -> bool {
        self.layout.is_some_and(|layout| layout.reader == Reader::Buyer)
    }

    /// Whether pages say anything in a language.
    pub(super) fn is_heard(&self) -> bool {
        self.layout.is_some_and(|layout| layout.speaks || layout.language.is_some())
    }

    /// The speech of a page whose buyer reads a language; empty when nobody says which.
    pub(super) fn speak(&self, buyers: &str) -> Speech {
        let layouts = self.layout.and_then(|layout| layout.language.as_deref()).unwrap_or_default();
        let shops = self.shop.map_or("", |shop| &shop.language);
        let wishes = [if self.heeds_buyer() { buyers } else { "" }, layouts, shops];
        let usual = Locale::usual().tag;
        let mut tags: Vec<&str> = wishes.into_iter().filter(|tag| !tag.is_empty()).collect();
        tags.push(usual);
        let wanted = tags[0];
        let found = tags.iter().find_map(|tag| {
            let locale = Locale::find(tag).filter(|locale| self.missing(tag, locale).is_none())?;
            Some((*tag, locale))
        });
        // A language without all words is still better than another one that lacks them too.
        let (tag, locale) =
            found.unwrap_or_else(|| (wanted, Locale::find(wanted).unwrap_or_else(Locale::usual)));
        let finding = if tag == wanted { None } else { self.explain(wanted, tag) };
        let word = |key| {
            let phrase = self.find(key, tag, locale).or_else(|| self.find(key, usual, locale));
            phrase.map_or_else(|| Value::from(""), phrase_value)
        };
        Speech {
            locale,
            words: self.words_in(tag, locale),
            tag: Value::from(tag),
            name: tag.into(),
            cautions: CAUTION_WORDS.map(word),
            stamping: STAMP_WORDS.map(word),
            absences: ABSENCE_WORDS.map(word),
            finding,
        }
    }

    /// A word in a language.
    fn find(&self, key: &str, tag: &str, locale: &Locale) -> Option<&'a Phrase> {
        let tags = [tag, locale.tag, tag.split('-').next().unwrap_or(tag)];
        let given = [self.layout.map(|it| &it.words), self.shop.map(|it| &it.words)];
        let in_tables = |tables: &'a WordTables| {
            tags.iter().find_map(|tag| tables.get(tag).and_then(|table| table.get(key)))
        };
        let ours = || tags.iter().find_map(|tag| WordTable::shipped(tag)?.get(key));
        given.into_iter().flatten().find_map(in_tables).or_else(ours)
    }

    /// What a language lacks of what is asked for, in words.
    fn missing(&self, tag: &str, locale: &Locale) -> Option<String> {
        let used = self.used.iter().flatten();
        let missing: Vec<&str> =
            used.map(String::as_str).filter(|key| self.find(key, tag, locale).is_none()).collect();
        if !missing.is_empty() {
            let more = missing.len().saturating_sub(NAMED_WORDS);
            let named = list_words(missing.into_iter().take(NAMED_WORDS));
            return Some(match more {
                0 => format!("there are no words for {named} in `{tag}`"),
                more => format!("there are no words for {named} and {more} more in `{tag}`"),
            });
        }
        let is_nameless = self.names_countries && country_name_in("DE", locale).is_none();
        is_nameless.then(|| format!("there are no names of countries in `{tag}`"))
    }

    /// What is said of a page that is in another language than wanted; nothing of one on which that
    /// cannot be seen.
    fn explain(&self, wanted: &str, tag: &str) -> Option<Finding> {
        if !self.layout.is_some_and(|layout| layout.speaks) {
            return None;
        }
        let locale = Locale::find(wanted);
        let lack = match locale {
            Some(locale) => self.missing(wanted, locale)?,
            None => format!("nothing is known of the language `{wanted}`"),
        };
        let first = locale.and_then(|locale| {
            self.used.iter().flatten().find(|key| self.find(key, wanted, locale).is_none())
        });
        let hint = match (locale, first) {
            (None, _) => "write a language such as `de` or `pt-PT`".to_owned(),
            (_, Some(key)) => {
                let ours = shipped_keys().any(|known| known == key);
                let file = if ours { "shop file" } else { "layout" };
                format!("write the words in the {file}: `words: {{{wanted}: {{{key}: …}}}}`")
            }
            (_, None) => format!("print `ship_to.country`, or say `language: {tag}`"),
        };
        let finding =
            Finding::new(&rules::MISSING_WORDS, format!("{lack}: the whole page is in `{tag}`"));
        Some(finding.hint(hint))
    }

    /// The words that are asked for, as a variable.
    fn words_in(&self, tag: &str, locale: &Locale) -> Value {
        let all;
        let keys = match &self.used {
            Some(used) => used,
            None => {
                all = shipped_keys().map(str::to_owned).collect();
                &all
            }
        };
        let found = keys
            .iter()
            .filter_map(|key| Some((key.clone(), phrase_value(self.find(key, tag, locale)?))));
        Value::from_pairs(found)
    }
}

/// A country's name in the language of a locale.
pub(super) fn country_name_in(code: &str, locale: &Locale) -> Option<&'static str> {
    let language = locale.language();
    let ours = || country_languages().any(|known| known == language);
    country_in(language, code).or_else(|| country_name(code, language).filter(|_| ours()))
}

/// The language of a document as a whole: that of its buyers when they all read one, else the
/// layout's or the shop's. A layout that names none and says nothing of ours has none.
#[must_use]
pub(crate) fn page_language(layout: &Layout, batch: &Batch, shop: Option<&Shop>) -> Option<String> {
    let own = layout.language.as_deref();
    let sellers = own.or_else(|| {
        let said = shop.map_or(Locale::usual().tag, |shop| &shop.language);
        layout.speaks.then_some(said)
    });
    let mut buyers = batch.parcels.iter().map(|parcel| buyers_language(parcel).or(sellers));
    let first = buyers.next().flatten();
    let common = first.filter(|first| buyers.all(|other| other == Some(*first)));
    let found = if layout.reader == Reader::Buyer { common.or(sellers) } else { sellers };
    found.map(str::to_owned)
}

/// The language that a parcel's buyer reads, if an order says it.
pub(super) fn buyers_language(parcel: &Parcel) -> Option<&str> {
    parcel.orders.iter().map(|order| order.language_text()).find(|tag| !tag.is_empty())
}
