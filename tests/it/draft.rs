//! Drafts: pages that are printed whatever is wrong with them, and that nobody can use.

use std::path::Path;

use slipwright::scene::{CodeMark, Mark, MarkKind};
use slipwright::verify::print_page;
use slipwright::{Batch, Document, FontBook, Layout, Page, PictureStore, Run, Shop, watch_batch};

use crate::damage_support::Print;
use crate::export_support::texts;
use crate::sample_pages::{Samples, layout_beside, layout_of, print_batch, sample_batch};

/// The pages of the first parcels as a draft, and the rules that found something.
fn draft(layout: &Layout) -> (Vec<Page>, Vec<&'static str>) {
    let (mut batch, shop) = sample_batch();
    batch.parcels.truncate(2);
    draft_of((&batch, &shop), layout)
}

/// The pages of a batch as a draft, and the rules that found something.
fn draft_of((batch, shop): (&Batch, &Shop), layout: &Layout) -> (Vec<Page>, Vec<&'static str>) {
    let book = FontBook::builtin();
    let pictures = PictureStore::new(&Samples, "");
    let document = Document { shop: Some(shop), ..Document::new(batch, layout, &book, &pictures) };
    let mut pages = Vec::new();
    let take = |page| {
        pages.push(page);
        Ok(())
    };
    let run = Run::new(&document).unwrap().striking();
    let outcome = run.make(&mut watch_batch(batch), Page::clone, take, |_| {}).unwrap();
    (pages, outcome.findings.iter().map(|found| found.rule.name).collect())
}

/// The only code of a page, cut out of its printed dots, as rxing reads it.
fn read_code(page: &Page) -> Option<String> {
    let mut codes = page.marks.iter().filter_map(|mark| match &mark.kind {
        MarkKind::Code(code) => Some(code),
        _ => None,
    });
    let code: &CodeMark = codes.next().unwrap();
    assert!(codes.next().is_none());
    let dots = print_page(page, &FontBook::builtin(), 0);
    Print::cut(&dots, code, page.grid).read(&code.symbol)
}

/// How often a page says the word.
fn words(page: &Page) -> usize {
    texts(page).filter(|text| *text == "DRAFT").count()
}

#[test]
fn no_code_of_a_draft_is_read_whichever_way_it_stands() {
    let kinds = [
        "code128: \"{{ parcel.id }}\"",
        "code128: \"1234567890\"",
        "ean: \"4512345678906\"",
        "qr: \"{{ pair.label }}\"\n      correction: high",
        "qr: \"https://ternhollow.example/care\"",
        "data_matrix: \"PEN-0007\"",
        "data_matrix: \"{{ pair.label }}\"",
    ];
    for (kind, turn) in kinds
        .iter()
        .flat_map(|kind| ["none", "quarter", "half", "three-quarter"].map(|turn| (kind, turn)))
    {
        let layout = layout_of(&format!(
            "page: {{stock: 4x6in, inset: 8}}\nmakes: label\nbody:\n  down:\n    - {}\n      \
             turn: {turn}\n      height: 80\n",
            kind
        ));
        let (mut batch, shop) = sample_batch();
        batch.parcels.truncate(1);
        let real = print_batch((&batch, Some(&shop)), &layout, None, 1);
        assert!(read_code(&real.pages[0]).is_some(), "{kind} {turn}");
        let (pages, found) = draft_of((&batch, &shop), &layout);
        assert_eq!(found, [""; 0], "{kind} {turn}");
        assert_eq!(read_code(&pages[0]), None, "{kind} {turn}");
    }
}

#[test]
fn a_draft_says_so_on_all_sides_and_frames_what_is_wrong() {
    let layout = layout_of(
        "page: {stock: 4x6in, inset: 4}\nmakes: label\nbody:\n  down:\n    - text: too small\n      \
         size: 5pt\n    - text: all right\n",
    );
    let (pages, found) = draft(&layout);
    assert_eq!(found, ["small-type"]);
    assert_eq!(pages.len(), 2);
    for page in &pages {
        // One word on each short side, two on each long one.
        assert_eq!(words(page), 6);
        assert_eq!(texts(page).filter(|text| *text == "small-type").count(), 1);
    }
}

#[test]
fn each_page_of_a_sheet_says_so() {
    let layout = layout_of(
        "page: {stock: 90x60mm, inset: 6}\nsheet: {stock: a4, columns: 2, rows: 4}\nmakes: insert\n\
         body:\n  text: Thank you\n",
    );
    let (pages, found) = draft(&layout);
    assert_eq!(found, [""; 0]);
    assert_eq!((pages.len(), words(&pages[0])), (1, 8));
}

#[test]
fn the_page_of_another_pdf_is_not_in_a_draft() {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let layout = layout_beside(
        "page: {stock: 4x6in, inset: 4}\nmakes: label\nbody:\n  page_of: carrier-label.pdf\n  from: \
         layout\n",
        &Samples,
        &samples,
    );
    let (pages, _) = draft(&layout);
    let is_foreign = |mark: &Mark| matches!(mark.kind, MarkKind::Foreign(_));
    assert!(!pages[0].marks.iter().any(is_foreign));
    assert_eq!(words(&pages[0]), 6);
}
