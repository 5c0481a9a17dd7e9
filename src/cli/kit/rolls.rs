//! Documents of one kit that go to one label printer on different papers.
//!
//! In: the documents that are made, with their papers and printers. Out: a note that says between which
//! files the roll is to be changed, because a label printer takes one at a time.

use std::collections::BTreeMap;

use super::plan::Planned;
use crate::cli::inputs::Inputs;
use crate::findings::{Finding, rules};
use crate::stock::{Press, Stock};
use crate::words::join_and;

/// The files of one printer, each with its paper.
type PrinterFiles<'p> = Vec<(String, &'p Stock)>;

/// Tells of every label printer that a kit asks for more than one paper of.
pub(super) fn report_rolls<'p>(
    inputs: &Inputs,
    made: impl Iterator<Item = &'p Planned>,
) -> Vec<Finding> {
    let mut printers: BTreeMap<String, PrinterFiles<'p>> = BTreeMap::new();
    for Planned { job, .. } in made {
        let layout = &job.open.layout;
        let stock = layout.sheet.as_ref().map_or(&layout.page.stock, |sheet| &sheet.stock);
        if stock.press != Press::Thermal {
            continue;
        }
        let shop = job.open.shop.as_ref().or(inputs.shop.as_ref());
        let printer = shop.and_then(|shop| shop.printers.suiting(stock));
        let name = printer.map(|printer| printer.name.to_string()).unwrap_or_default();
        let file = job.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        printers.entry(name).or_default().push((file, stock));
    }
    printers.into_iter().filter_map(|(name, files)| report_printer(&name, &files)).collect()
}

/// What there is to say of one printer's papers.
fn report_printer(name: &str, files: &[(String, &Stock)]) -> Option<Finding> {
    let (_, first) = files.first()?;
    if files.iter().all(|(_, stock)| stock.name == first.name) {
        return None;
    }
    let each: Vec<String> =
        files.iter().map(|(file, stock)| format!("`{file}` on {}", stock.name)).collect();
    let each = join_and(&each.iter().map(String::as_str).collect::<Vec<_>>());
    let printer = if name.is_empty() { "the label printer" } else { &format!("printer `{name}`") };
    let message = format!("{printer} prints {each}: its paper is to be changed in between");
    let hint = "print what is on one paper together, or choose layouts for one paper: \
                `slipwright layouts`";
    Some(Finding::new(&rules::ROLL_CHANGES, message).hint(hint))
}
