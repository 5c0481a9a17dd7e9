//! Pages proven: what reads back, what does not, and what is said of it.

use std::sync::Arc;

use slipwright::codes::{Code128, ElementStrings};
use slipwright::export::Bitmap;
use slipwright::fonts::Shaper;
use slipwright::geom::Stance;
use slipwright::scene::{Ink, MarkKind, Symbol};
use slipwright::shipped::SHIPPED;
use slipwright::verify::{Grade, Measure, Reading, find_codes, print_page, prove_page, read_codes};
use slipwright::{DotGrid, FontBook, Mm, Page};

use crate::export_support::PageBuilder;
use crate::export_support::ladder::ladder;
use crate::sample_pages::sample_pages;

/// Rules and messages of what a proof finds.
fn proven(page: &Page, gain: i32) -> Vec<String> {
    let (_, findings) = prove_page(page, &FontBook::builtin(), gain);
    let hint = |hints: &[String]| hints.join("; ");
    findings
        .iter()
        .map(|it| {
            format!("{}[{}]: {} => {}", it.severity.word(), it.rule, it.message, hint(&it.hints))
        })
        .collect()
}

/// A page of one Code 128 and one QR code at these dots a module.
fn both(bars: u32, square: u32) -> Page {
    let book = FontBook::builtin();
    let mut shaper = Shaper::new(&book);
    let mut page = PageBuilder::new(&mut shaper, (100.0, 60.0), DotGrid::DPI_203, "Both");
    page.code128((120, 40), bars, 120, Stance::UPRIGHT, "TH-1041");
    page.qr((120, 240), square, "SW/L/V57X/1-11/TVXF");
    page.finish()
}

/// Paints a box of dots over a page.
fn cover(page: &mut Page, [x, y, width, height]: [u32; 4], ink: Ink) {
    let rect = slipwright::scene::DotRect { x, y, width, height }.to_rect(page.grid);
    let block = page.marks[0].block;
    page.marks.push(slipwright::scene::Mark { block, kind: MarkKind::Fill(rect, ink) });
}

#[test]
fn every_code_of_every_shipped_layout_reads_back_with_full_marks() {
    let book = FontBook::builtin();
    for dpi in [203.2, 300.0] {
        for layout in SHIPPED {
            for page in sample_pages(layout.name, DotGrid::from_dpi(dpi).unwrap()) {
                let (codes, findings) = prove_page(&page, &book, 0);
                assert!(findings.is_empty(), "{}: {findings:?}", layout.name);
                for code in codes {
                    assert_eq!((code.reading, code.value), (Reading::Same, 1.0), "{}", layout.name);
                }
            }
        }
    }
}

/// Codes of 2 dots a module on, upright and turned, with text that is not ASCII.
#[test]
fn small_and_turned_codes_read_back() {
    let book = FontBook::builtin();
    let mut shaper = Shaper::new(&book);
    let page = ladder(&mut shaper, (101.6, 152.4), DotGrid::DPI_203);
    let printed = print_page(&page, &book, 0);
    let codes = read_codes(&page, &printed);
    assert_eq!(codes.len(), 10);
    for code in &codes {
        assert_eq!((&code.reading, code.grade()), (&Reading::Same, Grade::A), "{}", code.payload);
    }
    // A scanner that is not told where to look finds them too.
    assert!(find_codes(&page, &printed).iter().all(|found| *found));
}

/// Separators come back as group separators, and the first FNC1 as the symbology's identifier.
#[test]
fn gs1_symbols_read_back_and_plain_ones_are_not_taken_for_them() {
    let elements = ElementStrings::parse("(02)00614141000418(10)451214(37)20").unwrap();
    let mut page = both(3, 4);
    let MarkKind::Code(code) = &mut page.marks[0].kind else { panic!("no code") };
    let symbol = elements.to_code128().unwrap();
    let data = symbol.data().to_vec();
    code.dots.width = u32::try_from(symbol.row().modules()).unwrap() * 3;
    code.quiet.width = page.grid.length(f64::from(code.dots.width + 60));
    code.payload = "020061414100041810451214\u{1d}3720".to_owned();
    code.symbol = Symbol::Code128(Arc::new(symbol));
    assert_eq!(proven(&page, 0), Vec::<String>::new());

    let MarkKind::Code(code) = &mut page.marks[0].kind else { panic!("no code") };
    let plain = Code128::encode(&data[1..]).unwrap();
    code.dots.width = u32::try_from(plain.row().modules()).unwrap() * 3;
    let claimed = Symbol::Code128(Arc::new(plain));
    let printed = {
        let mut page = page.clone();
        let MarkKind::Code(code) = &mut page.marks[0].kind else { panic!("no code") };
        code.symbol = claimed;
        print_page(&page, &FontBook::builtin(), 0)
    };
    let reading = &read_codes(&page, &printed)[0].reading;
    assert!(matches!(reading, Reading::Other(_)), "the mark of GS1 is missing: {reading:?}");
}

#[test]
fn a_printer_that_is_too_dark_or_too_light_is_told_what_to_change() {
    for gain in [1, -1] {
        assert_eq!(proven(&both(3, 4), gain), Vec::<String>::new());
    }
    assert_eq!(
        proven(&both(2, 4), 1),
        [
            "error[unreadable-code]: this `code` cannot be read back from 2 dots a module with 1 dot of gain => set the printer lighter, or `bar_reduction: 1` for it in the shop file, or make the box of this `code` 45.38 mm wide, for 3 dots a module"
        ]
    );
    assert_eq!(
        proven(&both(2, 4), -1),
        [
            "error[unreadable-code]: this `code` cannot be read back from 2 dots a module with 1 dot of loss => set the printer darker, or make the box of this `code` 45.38 mm wide, for 3 dots a module"
        ]
    );
    // Between good and unreadable there is a remark: GS1 grades of decodability, 3 dots in 8.
    assert_eq!(
        proven(&both(5, 4), 2),
        [
            "warning[weak-code]: this `code` reads back from 5 dots a module with 2 dots of gain, but barely: its decodability is 0.31 (D), expected 0.37 (C) or more => set the printer lighter, or `bar_reduction: 2` for it in the shop file, or make the box of this `code` 90.75 mm wide, for 6 dots a module"
        ]
    );
}

#[test]
fn what_lies_over_a_code_is_found_out() {
    // The first bar is 8 dots wide.
    let mut page = both(4, 4);
    cover(&mut page, [123, 30, 2, 200], Ink::White);
    assert_eq!(
        proven(&page, 0),
        [
            "error[unreadable-code]: this `code` cannot be read back from 4 dots a module => take away what lies over this `code` or in the white around it"
        ]
    );
    // Over a part of their height it still reads, but not on every line.
    let mut page = both(4, 4);
    cover(&mut page, [123, 30, 2, 40], Ink::White);
    let told = proven(&page, 0);
    assert_eq!(told.len(), 1);
    assert!(told[0].starts_with("warning[weak-code]"), "{told:?}");
}

/// Version 1 at level Q, as the sample's pair codes are, corrects 6 of 26 codewords.
#[test]
fn squares_lose_correction_module_by_module() {
    let book = FontBook::builtin();
    let value = |dots: u32| {
        let mut page = both(4, 4);
        // The lower right corner, where the first codewords stand, two modules wide.
        cover(&mut page, [120 + 19 * 4, 240 + 21 * 4 - dots, 8, dots], Ink::Black);
        let printed = print_page(&page, &book, 0);
        let code = read_codes(&page, &printed).remove(1);
        assert_eq!(code.measure, Measure::UnusedCorrection);
        (code.reading, code.value)
    };
    assert_eq!(value(1), (Reading::Same, 1.0), "a dot at the edge of modules changes none");
    let (reading, some) = value(16);
    assert_eq!(reading, Reading::Same);
    assert!(some < 1.0 && some > 0.0, "{some}");
    let (_, less) = value(32);
    assert!(less < some, "{less} {some}");
}

#[test]
fn a_code_that_says_something_else_is_an_error() {
    let mut page = both(4, 4);
    let MarkKind::Code(code) = &mut page.marks[1].kind else { panic!("no code") };
    code.payload = "SW/L/V57X/2-11/TVXF".to_owned();
    let told = proven(&page, 0);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(
        told[0].starts_with("error[misread-code]: this `code` reads back as `SW/L/V57X/1-11/TVXF`"),
        "{told:?}"
    );
}

/// A decoder at work on noise may find nothing, or something; it must come to an end.
#[test]
fn noise_ends() {
    let page = both(4, 4);
    let mut state = 0x2545_F491_4F6C_DD1D_u64;
    let mut next = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state
    };
    for density in [2, 8, 32] {
        let (width, height) = (800, 480);
        let rows = (0..width / 8 * height).map(|_| match next() % density {
            0 => (next() >> 32) as u8,
            _ => 0,
        });
        let printed = Bitmap::from_rows(width, height, rows.collect()).unwrap();
        for code in read_codes(&page, &printed) {
            assert_ne!(code.reading, Reading::Same);
        }
        assert_eq!(find_codes(&page, &printed), [false, false]);
    }
    let nothing = Bitmap::new(0, 0);
    assert_eq!(read_codes(&page, &nothing).len(), 2);
    assert_eq!(page.size.width, Mm(100.0));
}
