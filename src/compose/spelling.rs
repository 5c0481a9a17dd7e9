//! Letters that no font has: spelt as numbers where the page allows it, refused everywhere else.

use std::borrow::Cow;

use super::{Job, Unprintable};
use crate::bind::Bound;
use crate::findings::{Finding, rules};
use crate::fonts::{TextError, spell_missing};
use crate::layout::{BlockKind, Template, TemplateText, TypeStyle, Who};
use crate::words::shorten_to;

impl Job<'_, '_> {
    /// A text as its style and its page spell it.
    pub(super) fn spell<'t>(&self, text: &'t str, style: &TypeStyle) -> Cow<'t, str> {
        let text = text.trim_end();
        let text = match style.capitals {
            true => Cow::Owned(text.to_uppercase()),
            false => Cow::Borrowed(text),
        };
        match self.frame.unprintable {
            Unprintable::Refused => text,
            Unprintable::Spelt => {
                // Line feeds are no letters, and no font has a glyph for them.
                let lines = text.split('\n').map(|line| spell_missing(self.composer.book, line));
                let spelt: Vec<Cow<'_, str>> = lines.collect();
                match spelt.iter().all(|line| matches!(line, Cow::Borrowed(_))) {
                    true => text,
                    false => Cow::Owned(spelt.join("\n")),
                }
            }
        }
    }

    /// Notes, once a page, that letters are printed as their numbers.
    pub(super) fn note_spelt(&mut self, bound: &Bound<'_>, text: &str) {
        if self.findings.iter().any(|finding| finding.is(&rules::SPELT_LETTER)) {
            return;
        }
        let book = self.composer.book;
        let missing = text.chars().filter(|letter| !letter.is_whitespace()).find_map(|letter| {
            let spelt = spell_missing(book, letter.encode_utf8(&mut [0; 4])).into_owned();
            spelt.starts_with("U+").then_some((letter, spelt))
        });
        let Some((letter, number)) = missing else { return };
        let message = format!("no font has a glyph for `{letter}`: it is printed as {number}");
        let hint =
            "add a font that has it to a folder (`fonts` in the shop file, or `--fonts DIR`)";
        self.find(bound, Finding::new(&rules::SPELT_LETTER, message).hint(hint));
    }

    /// Reports text that no font can print.
    pub(super) fn report_unprintable(&mut self, bound: &Bound<'_>, text: &str, error: &TextError) {
        let shown = shorten_to(&text.trim().replace('\n', " / "), 60);
        let (rule, hint) = match error {
            TextError::Missing(_) => (
                &rules::MISSING_GLYPH,
                format!(
                    "add a font that has it to a folder (`fonts` in the shop file, or `--fonts DIR`), or change {}",
                    name_origin(bound)
                ),
            ),
            TextError::Unshapable { .. } => {
                (&rules::UNSHAPABLE, "shorten the text, or use another font".to_owned())
            }
        };
        let message = format!("{error} in `{shown}`");
        self.find(bound, Finding::new(rule, message).hint(hint));
    }
}

/// Where the text of a block was written, as far as the block can tell.
fn name_origin(bound: &Bound<'_>) -> &'static str {
    let is_fixed = |template: &Template| matches!(template.text, TemplateText::Fixed(_));
    match &bound.block.kind {
        BlockKind::Address { who: Who::ShipTo, .. } | BlockKind::Tag { .. } => "the order's text",
        BlockKind::Address { who: Who::Seller, .. } => "the shop file's text",
        BlockKind::Text { text, .. } if is_fixed(text) => "the layout's text",
        _ => "the text where it is written: the order, the shop file or the layout",
    }
}
