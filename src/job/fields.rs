//! Which field of an order a letter stands in that no font has.
//!
//! In: what was found on pages, where only blocks of the layout are known. Out: the same, with the
//! field of the order that has to be changed, and each order told once. Not here: finding such
//! letters (`compose`).

use std::collections::{HashMap, HashSet};

use crate::batch::Batch;
use crate::findings::{Finding, rules};
use crate::fonts::{FontBook, spell_missing};
use crate::orders::find_text;
use crate::source::Sources;
use crate::words::counted;

/// Fields of an order that are shown with letters that no font has; the others are counted. Ours: a
/// name and an address.
const FIELDS_SHOWN: usize = 6;

/// Names the field in each finding about a letter that no font has, where it stands in an order.
pub(crate) fn name_fields(
    findings: &mut [Finding],
    batch: &Batch,
    book: &FontBook,
    sources: &Sources,
) {
    for finding in findings.iter_mut().filter(|finding| finding.is(&rules::MISSING_GLYPH)) {
        let parcel = finding.position().and_then(|position| batch.at(position));
        let message = finding.message.clone();
        // The message shows the letter; another field may lack another one.
        let is_it = |text: &str| {
            let shown = |letter: &char| !letter.is_ascii() && message.contains(*letter);
            let mut letters = text.chars().filter(shown);
            letters.any(|letter| spell_missing(book, letter.encode_utf8(&mut [0; 4])).len() > 4)
        };
        let orders = parcel.iter().flat_map(|parcel| &parcel.orders);
        let found = orders
            .filter_map(|order| Some((order, find_text(sources, order.span(), &is_it)?)))
            .next();
        if let Some((order, field)) = found {
            finding.related.push((field.span, format!("it stands in order `{}` here", order.id())));
            finding.path = Some(field.path);
        }
    }
}

/// Tells letters that no font has once for each order, with all the fields they stand in, and once
/// where they stand in no order: however many documents need them, one font mends them all. That a
/// list shows some as numbers is told once, and not at all beside an error of the same cause.
pub(super) fn fold_missing_letters(findings: &mut Vec<Finding>) {
    let is_missing = |finding: &Finding| finding.is(&rules::MISSING_GLYPH);
    let order = |finding: &Finding| finding.subject.as_ref().map(|subject| subject.order.clone());
    // What an address is written with, such as `〒`, stands in no field, but in the same block.
    let blocks: HashSet<_> = findings
        .iter()
        .filter(|finding| is_missing(finding) && finding.path.is_some())
        .map(|finding| (order(finding), finding.span))
        .collect();
    let mut is_spelt_told = findings.iter().any(is_missing);
    let mut told: HashMap<MissingCause, usize> = HashMap::new();
    let mut kept: Vec<Finding> = Vec::with_capacity(findings.len());
    for finding in findings.drain(..) {
        if finding.is(&rules::SPELT_LETTER) && std::mem::replace(&mut is_spelt_told, true) {
            continue;
        }
        if !is_missing(&finding) {
            kept.push(finding);
            continue;
        }
        let cause = match order(&finding) {
            Some(order) if finding.path.is_some() => MissingCause::Order(order),
            order if blocks.contains(&(order.clone(), finding.span)) => continue,
            _ => MissingCause::Text(finding.message.clone()),
        };
        match told.get(&cause) {
            Some(&first) => add_fields(&mut kept[first], finding),
            None => {
                told.insert(cause, kept.len());
                kept.push(finding);
            }
        }
    }
    kept.iter_mut().filter(|finding| is_missing(finding)).for_each(count_fields);
    *findings = kept;
}

/// What has to change, or needs a font, for letters to be printed.
#[derive(PartialEq, Eq, Hash)]
enum MissingCause {
    /// An order, by its id.
    Order(String),
    /// A text of the layout or the shop file, by what is said of it.
    Text(String),
}

/// Shows some of the fields, and says how many there are beside them.
fn count_fields(finding: &mut Finding) {
    let more = finding.related.len().saturating_sub(FIELDS_SHOWN);
    if more > 0 {
        finding.related.truncate(FIELDS_SHOWN);
        finding.details.push(format!("such letters stand in {}", counted(more, "more field")));
    }
}

/// Adds the fields that another finding of the same order shows.
fn add_fields(told: &mut Finding, other: Finding) {
    for (span, words) in other.related {
        if !told.related.iter().any(|(known, _)| *known == span) {
            told.related.push((span, words));
        }
    }
}
