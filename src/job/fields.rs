//! Which field of an order a letter stands in that no font has.
//!
//! In: what was found on pages, where only blocks of the layout are known. Out: the same, with the
//! field of the order that has to be changed. Not here: finding such letters (`compose`).

use crate::batch::Batch;
use crate::findings::{Finding, rules};
use crate::fonts::{FontBook, spell_missing};
use crate::orders::find_text;
use crate::source::Sources;

/// Names the field in each finding about a letter that no font has, where it stands in an order.
pub(crate) fn name_fields(
    findings: &mut [Finding],
    batch: &Batch,
    book: &FontBook,
    sources: &Sources,
) {
    for finding in findings.iter_mut().filter(|finding| finding.is(&rules::MISSING_GLYPH)) {
        let place = finding.position().and_then(|position| position.checked_sub(1));
        let parcel = place.and_then(|place| batch.parcels.get(place));
        let message = finding.message.clone();
        // The message shows the letter; another field may lack another one.
        let is_it = |text: &str| {
            let shown = |letter: &char| !letter.is_ascii() && message.contains(*letter);
            let mut letters = text.chars().filter(shown);
            letters.any(|letter| spell_missing(book, letter.encode_utf8(&mut [0; 4])).len() > 4)
        };
        let orders = parcel.iter().flat_map(|parcel| &parcel.orders);
        let found = orders
            .filter_map(|order| Some((order, find_text(sources, order.span, &is_it)?)))
            .next();
        if let Some((order, field)) = found {
            finding.related.push((field.span, format!("it stands in order `{}` here", order.id)));
            finding.path = Some(field.path);
        }
    }
}
