//! The pages of the sample batch, as the command would make them.

use std::fs;
use std::path::Path;

use slipwright::batch::{Absence, AbsenceState, Vacancy, WaitingOrder};
use slipwright::{
    Batch, BatchOptions, Document, DotGrid, Env, Finding, FontBook, Layout, NoFiles, Page,
    PictureStore, Run, Shop, Sources, find_shipped, read_layout, read_orders, watch_batch,
};

/// The samples as the files that a layout can name.
pub(crate) struct Samples;

impl Env for Samples {
    fn read(&self, path: &Path) -> std::io::Result<Vec<u8>> {
        fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(path))
    }
}

/// A sample's text.
fn sample(name: &str) -> String {
    String::from_utf8(Samples.read(Path::new(name)).unwrap()).unwrap()
}

/// The sample batch, combined, and its shop.
pub(crate) fn sample_batch() -> (Batch, Shop) {
    batch_of("evening.json")
}

/// The batch of a sample of orders, combined, and its shop.
pub(crate) fn batch_of(orders: &str) -> (Batch, Shop) {
    let mut sources = Sources::new();
    let mut faults = Vec::new();
    let file = sources.add("shop.yaml", sample("shop.yaml"));
    let shop = Shop::read(sources.get(file).text(), file, &mut faults).unwrap();
    let file = sources.add(orders, sample(orders));
    let orders = read_orders(sources.get(file).text(), file);
    let options = BatchOptions { combine: true, ..BatchOptions::default() };
    let name = orders.batch_name.as_deref();
    let batch = Batch::assemble(name, orders.orders, Some(&shop), options, &mut faults);
    assert!(!slipwright::has_errors(&faults), "{faults:?}");
    (batch, shop)
}

/// The sample batch as a line in which one parcel was taken off and two were set aside, whose orders
/// wait.
fn batch_left_over() -> (Batch, Shop) {
    let (mut batch, shop) = sample_batch();
    let because = |state, reason: &str| Absence { state, reason: reason.into() };
    let set_aside = because(AbsenceState::SetAside, "the crate is not here yet");
    let taken_off = because(AbsenceState::TakenOff, "cancelled by the buyer");
    for (position, why) in [(4, taken_off), (9, set_aside.clone()), (11, set_aside)] {
        let before = batch.place_of(position).unwrap();
        let parcel = batch.parcels.remove(before);
        let tag = parcel.tag.text;
        batch.vacant.push(Vacancy { position, tag, why: Some(why), before });
        if position != 4 {
            let wait = |order| WaitingOrder { order, since: "2026-11-25".into() };
            batch.waiting.extend(parcel.orders.iter().cloned().map(wait));
        }
    }
    (batch, shop)
}

/// A layout from its text.
pub(crate) fn layout_of(text: &str) -> Layout {
    layout_beside(text, &NoFiles, Path::new(""))
}

/// A layout from its text, with what it includes from a folder.
pub(crate) fn layout_beside(text: &str, env: &dyn Env, folder: &Path) -> Layout {
    let mut sources = Sources::new();
    let file = sources.add("layout.yaml", text);
    let (layout, faults) = read_layout(&mut sources, file, env, folder);
    layout.unwrap_or_else(|| panic!("{faults:?}"))
}

/// The pages of the sample batch in a shipped layout, or of the sample whose orders have labels of
/// the carrier where the layout shows them; there must be nothing to find on them.
pub(crate) fn sample_pages(layout_name: &str, grid: DotGrid) -> Vec<Page> {
    let text = find_shipped(layout_name).unwrap().text;
    let layout = layout_of(text);
    let (batch, shop) = match layout_name {
        _ if text.contains("carrier_label") => batch_of("carrier.json"),
        "waiting-list-a4" => batch_left_over(),
        _ => sample_batch(),
    };
    pages_of(&batch, &shop, &layout, Some(grid))
}

/// The pages of a batch in a layout; there must be nothing to find on them.
pub(crate) fn pages_of(
    batch: &Batch,
    shop: &Shop,
    layout: &Layout,
    grid: Option<DotGrid>,
) -> Vec<Page> {
    let printed = print_batch((batch, Some(shop)), layout, grid, 1);
    assert!(printed.findings.is_empty(), "{:?}", printed.findings);
    assert_eq!(printed.next.is_some(), layout.sheet.is_some());
    printed.pages
}

/// What a whole run came to.
pub(crate) struct Printed {
    /// Its pages.
    pub(crate) pages: Vec<Page>,
    /// What was found.
    pub(crate) findings: Vec<Finding>,
    /// The next free place of its sheet.
    pub(crate) next: Option<usize>,
}

/// Prints a batch, from a place of the sheet on.
pub(crate) fn print_batch(
    (batch, shop): (&Batch, Option<&Shop>),
    layout: &Layout,
    grid: Option<DotGrid>,
    first: usize,
) -> Printed {
    let book = FontBook::builtin();
    let pictures = PictureStore::new(&Samples, "");
    let document = Document { shop, grid, ..Document::new(batch, layout, &book, &pictures) };
    let run = Run::new(&document).unwrap();
    let run = if first == 1 { run } else { run.starting_at(first).unwrap() };
    let mut pages = Vec::new();
    let take = |page| {
        pages.push(page);
        Ok(())
    };
    let outcome = run.make(&mut watch_batch(batch), Page::clone, take, |_| {}).unwrap();
    assert_eq!(outcome.pages, pages.len());
    Printed { pages, findings: outcome.findings, next: run.next_place() }
}
