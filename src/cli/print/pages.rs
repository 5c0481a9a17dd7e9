//! Which pages of a document are printed: whole sheets where sheets have backs.
//!
//! In: a document, and the pages and copies that somebody wants. Out: the pages that come out. A front that
//! came out without its back would have the next page's front there instead. Not here: how a printer is asked
//! for them (`shipment`).

use std::collections::BTreeSet;

use super::document::PrintDocument;
use crate::cli::halt::Halt;
use crate::cli::output::show_path;
use crate::cli::positions::PositionList;
use crate::words::{counted, list_ranges};

/// The pages that are printed.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct ChosenPages {
    /// The pages, counted from 0, in order.
    pub(super) places: Vec<usize>,
    /// What is to be said of pages that nobody named.
    pub(super) remark: Option<String>,
}

/// The pages that are wanted, and the other sides of their sheets.
///
/// # Errors
/// When there is no such page, or copies of a document with backs would share a sheet.
pub(super) fn choose_pages(
    document: &PrintDocument,
    list: Option<&PositionList>,
    copies: u32,
) -> Result<ChosenPages, Halt> {
    let wanted = match list {
        None => (0..document.pages).collect(),
        Some(list) => list.places_of(document.pages).map_err(|missing| {
            let (shown, pages) = (show_path(&document.path), counted(document.pages, "page"));
            Halt::usage(format!("there is no page {missing}: {shown} has {pages}"))
                .hint(format!("choose pages from 1 to {}", document.pages))
        })?,
    };
    if document.turn.is_none() {
        return Ok(ChosenPages { places: wanted, remark: None });
    }
    let chosen = complete_sheets(&wanted, document.pages);
    if copies > 1 && !chosen.places.len().is_multiple_of(2) {
        let shown = show_path(&document.path);
        let message = format!(
            "the last sheet of {shown} has no back, and the next copy would be printed there"
        );
        return Err(
            Halt::usage(message).hint("print it once, and then once more, without `--copies`")
        );
    }
    Ok(chosen)
}

/// Pages with the other sides of their sheets, of a document of so many.
fn complete_sheets(wanted: &[usize], count: usize) -> ChosenPages {
    let both_sides = |place: usize| [place & !1, place | 1];
    let sheets: BTreeSet<usize> = wanted.iter().copied().flat_map(both_sides).collect();
    let places: Vec<usize> = sheets.into_iter().filter(|place| *place < count).collect();
    let more = places.iter().filter(|place| !wanted.contains(place));
    let more: Vec<usize> = more.map(|place| place + 1).collect();
    let are = if more.len() == 1 { "page {} is" } else { "pages {} are" };
    let remark = (!more.is_empty()).then(|| {
        let named = are.replace("{}", &list_ranges(&more));
        format!("{named} printed too: a sheet comes out with both its sides")
    });
    ChosenPages { places, remark }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheets_come_out_whole() {
        let told = |wanted: &[usize], count| {
            let chosen = complete_sheets(wanted, count);
            (chosen.places, chosen.remark.unwrap_or_default())
        };
        let too =
            |which: &str| format!("{which} printed too: a sheet comes out with both its sides");
        assert_eq!(told(&[0, 1, 4, 5], 8), (vec![0, 1, 4, 5], String::new()));
        assert_eq!(told(&[1], 8), (vec![0, 1], too("page 1 is")));
        assert_eq!(told(&[1, 2, 6], 8), (vec![0, 1, 2, 3, 6, 7], too("pages 1, 4, 8 are")));
        assert_eq!(told(&[4], 5), (vec![4], String::new()), "its sheet has no back");
    }
}
