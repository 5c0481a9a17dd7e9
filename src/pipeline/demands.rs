//! What a layout asks of the fonts and the printer at hand, before the first page is made.

use crate::findings::{Finding, rules};
use crate::fonts::FontBook;
use crate::layout::{FamilyUse, Layout, Slant};
use crate::stock::Printer;
use crate::words::{list_words, nearest};

/// Reports a family of the layout's type styles that no font has, or that has no slanted face where one is
/// asked for.
pub(super) fn check_families(layout: &Layout, book: &FontBook) -> Result<(), Finding> {
    for used in &layout.families {
        let family = match &used.name {
            Some(name) => Some(book.family(name).ok_or_else(|| unknown_family(name, used, book))?),
            None => book.families().next().map(|(family, _)| family),
        };
        let Some(family) = family else { continue };
        if used.slant == Slant::Italic && !book.has_italic(family) {
            let message = format!("the family `{}` has no italic", book.family_name(family));
            let hint = "put its italic font file into a folder of fonts (`fonts` of the shop file, or \
                        `--fonts DIR`), name a `family` that has one, or take `slant` out";
            return Err(Finding::new(&rules::UNKNOWN_FAMILY, message).at(used.span).hint(hint));
        }
    }
    Ok(())
}

/// The complaint about a family that no font has.
fn unknown_family(name: &str, missing: &FamilyUse, book: &FontBook) -> Finding {
    let known: Vec<&str> = book.families().map(|(_, name)| name).collect();
    let message = format!("there is no font family `{name}`");
    let hint = match nearest(name, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => {
            "name a folder that has it with `fonts` in the shop file, or `--fonts DIR`".to_owned()
        }
    };
    Finding::new(&rules::UNKNOWN_FAMILY, message).at(missing.span).hint(hint)
}

/// Reports colours of the layout that its printer does not have.
pub(super) fn check_colours(layout: &Layout, printer: &Printer) -> Result<(), Finding> {
    let Some(first) = layout.colours.first().filter(|_| !printer.colour) else { return Ok(()) };
    let mut names: Vec<&str> = layout.colours.iter().map(|used| &*used.name).collect();
    names.sort_unstable();
    names.dedup();
    let message = format!(
        "this layout prints in colour, and the printer of its paper has black alone: {} would be black",
        list_words(names.iter().copied())
    );
    let hint = match &*printer.name {
        "" => {
            "if the printer has colour, say so in the shop file: `printers: {desk: {stocks: [a4], \
               colour: true}}`"
                .to_owned()
        }
        name => format!(
            "if it has colour, say `colour: true` under `{name}` in the shop file; else take `ink` and \
             `ground` out"
        ),
    };
    Err(Finding::new(&rules::COLOUR_LOST, message).at(first.span).hint(hint))
}
