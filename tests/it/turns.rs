//! Pages of parcels, orders, items and pieces: on rolls and sheets, in bench order and its reverse, in
//! copies, from a place of a part-used sheet on; and what a kit's digests make of them.

use std::sync::Arc;

use slipwright::pipeline::{ParcelDigest, Selection, watch_selection};
use slipwright::shop::PageOrder;
use slipwright::{
    Batch, BatchOptions, Document, FontBook, NoFiles, Page, PictureStore, Run, Sources, read_orders,
};

use crate::export_support::texts;
use crate::sample_pages::{layout_of, print_batch};

/// Two orders in one parcel, an order without items, and one of five pieces.
fn batch() -> Batch {
    let order = |id: &str, name: &str, items: &str| {
        format!(
            r#"{{"id": "{id}", "tag": "{name}", "hazard": "none", "ship_to": {{"name": "Ada {name}", "lines": ["1 Quay"], "city": "Ternmouth", "postcode": "TR77 4NH", "country": "GB"}}, "items": [{items}]}}"#
        )
    };
    let text = [
        order("A", "Marlow", r#"{"title": "pen", "qty": 2}, {"title": "ink"}"#),
        order("B", "Heron", ""),
        order("C", "Wren", r#"{"title": "nib", "qty": 5}"#),
        order("D", "Marlow", r#"{"title": "cap"}"#),
    ];
    let mut sources = Sources::new();
    let file = sources.add("orders.json", text.join("\n"));
    let orders = read_orders(sources.get(file).shared_text(), file).orders;
    assert_eq!(orders.len(), 4);
    let options = BatchOptions { combine: true, ..BatchOptions::default() };
    Batch::assemble(None, orders, None, options, &mut Vec::new())
}

/// The layout of a small label with a text, and what else stands at its top.
fn layout(top: &str, text: &str) -> slipwright::Layout {
    layout_of(&format!(
        "page: {{stock: 40x20mm, inset: 3}}\nmakes: insert\n{top}\nbody:\n  text: \"{text}\"\n"
    ))
}

/// What stands on each page.
fn words(pages: &[Page]) -> Vec<String> {
    pages.iter().map(|page| texts(page).collect::<Vec<_>>().join(" | ")).collect()
}

#[test]
fn there_is_a_page_of_each() {
    let batch = batch();
    let print = |top: &str, text: &str| {
        let printed = print_batch((&batch, None), &layout(top, text), None, 1);
        assert!(printed.findings.is_empty(), "{:?}", printed.findings);
        words(&printed.pages)
    };
    assert_eq!(print("per: parcel", "{{ position }}"), ["1", "2", "3"]);
    let orders = print("per: order", "{{ position }} {{ order.id }} of {{ orders | length }}");
    assert_eq!(orders, ["1 A of 2", "1 D of 2", "2 B of 1", "3 C of 1"]);
    let items = print("per: item", "{{ order.id }} {{ item.qty }} {{ item.title }}");
    assert_eq!(items, ["A 2 pen", "A 1 ink", "D 1 cap", "C 5 nib"]);
    let pieces = print("per: piece", "{{ tag }} {{ item.title }} {{ piece }}/{{ pieces }}");
    assert_eq!(
        pieces[..4],
        ["Marlow pen 1/2", "Marlow pen 2/2", "Marlow ink 1/1", "Marlow cap 1/1"]
    );
    assert_eq!((pieces.len(), &*pieces[8]), (9, "Wren nib 5/5"));
    let copies = print("copies: 2", "{{ tag }} {{ copy }}");
    assert_eq!(copies[..3], ["Marlow 1", "Marlow 2", "Heron 1"]);
    assert_eq!(print("per: item\ncopies: 3", "{{ item.title }}").len(), 12);
}

/// A sticker a piece on sheets of 24, from the fifth place of the first on; no parcel begins a sheet of
/// its own.
#[test]
fn stickers_fill_their_sheets_from_a_place_on() {
    let batch = batch();
    let text = "page: {stock: 60x33mm, inset: 3}\nmakes: insert\nper: piece\ncopies: 3\n\
                sheet: {stock: a4, columns: 3, rows: 8}\nbody:\n  text: \"{{ item.title }}\"\n";
    let printed = print_batch((&batch, None), &layout_of(text), None, 5);
    assert!(printed.findings.is_empty(), "{:?}", printed.findings);
    let on_sheet = |page: &Page| texts(page).map(str::to_owned).collect::<Vec<_>>();
    let sheets: Vec<Vec<String>> = printed.pages.iter().map(on_sheet).collect();
    assert_eq!((sheets.len(), sheets[0].len(), sheets[1].len()), (2, 20, 7));
    assert_eq!(sheets[0][..7], ["pen", "pen", "pen", "pen", "pen", "pen", "ink"]);
    assert!(sheets[1].iter().all(|it| it == "nib"));
    assert_eq!(printed.next, Some(8));
}

#[test]
fn a_list_is_printed_in_copies() {
    let batch = batch();
    let text = "page: {stock: a6, inset: 8}\nmakes: list\ncopies: 2\nbody:\n  each: parcels\n  show:\n    \
                text: \"{{ item.tag }}\"\n";
    let printed = print_batch((&batch, None), &layout_of(text), None, 1);
    assert_eq!(words(&printed.pages), ["Marlow | Heron | Wren", "Marlow | Heron | Wren"]);
}

/// The pages and digests of a document in an order.
fn run(
    batch: &Batch,
    layout: &slipwright::Layout,
    order: PageOrder,
) -> (Vec<Page>, Vec<ParcelDigest>) {
    let (book, pictures) = (FontBook::builtin(), PictureStore::new(&NoFiles, ""));
    let selection = Selection::all(batch, order);
    let document =
        Document { selection: selection.clone(), ..Document::new(batch, layout, &book, &pictures) };
    let mut watch = watch_selection(batch, &selection);
    let run = Run::new(&document).unwrap().with_digests();
    let mut pages = Vec::new();
    let keep = |page: Arc<Page>| {
        pages.push(Arc::unwrap_or_clone(page));
        Ok(())
    };
    let outcome = run.make(&mut watch, |page| Arc::new(page.clone()), keep, |_| ()).unwrap();
    assert!(outcome.findings.is_empty(), "{:?}", outcome.findings);
    assert!(watch.finish().is_empty(), "parcels without items miss no page");
    let mut digests = outcome.digests;
    digests.sort_by_key(|it| it.position);
    (pages, digests)
}

#[test]
fn the_reverse_is_the_reverse_and_prints_the_same() {
    let batch = batch();
    let layout = layout("per: piece", "{{ order.id }} {{ item.title }} {{ piece }}");
    let (pages, digests) = run(&batch, &layout, PageOrder::Bench);
    let (mut reversed, same) = run(&batch, &layout, PageOrder::Reversed);
    assert_eq!(words(&reversed)[0], "C nib 5");
    reversed.reverse();
    assert_eq!(words(&pages), words(&reversed));
    assert_eq!(digests.len(), 2, "one a parcel that has pages");
    assert_eq!(digests, same);
    let other = run(&batch, &self::layout("per: piece", "{{ piece }}"), PageOrder::Bench).1;
    assert_ne!(digests, other);
}
