//! QR Code against two independent libraries: the qrcode crate draws the same matrix, rxing reads
//! the same text.

use crate::codes_support;

use codes_support::{read_image, read_qr};
use proptest::prelude::*;
use qrcode::bits::Bits;
use qrcode::canvas::{Canvas, MaskPattern};
use qrcode::ec::construct_codewords;
use qrcode::{EcLevel, Version};
use slipwright::codes::{Ecc, QR_QUIET_ZONE, Qr, QrError, QrOptions};

/// Options for exactly one version, level and mask.
fn exactly(version: u8, ecc: Ecc, mask: Option<u8>) -> QrOptions {
    QrOptions { ecc, boost: false, smallest: version, largest: version, mask }
}

/// The masks of the qrcode crate in the standard's order.
const PEER_MASKS: [MaskPattern; 8] = [
    MaskPattern::Checkerboard,
    MaskPattern::HorizontalLines,
    MaskPattern::VerticalLines,
    MaskPattern::DiagonalLines,
    MaskPattern::LargeCheckerboard,
    MaskPattern::Fields,
    MaskPattern::Diamonds,
    MaskPattern::Meadow,
];

/// A level of ours in the qrcode crate.
fn peer_level(ecc: Ecc) -> EcLevel {
    match ecc {
        Ecc::L => EcLevel::L,
        Ecc::M => EcLevel::M,
        Ecc::Q => EcLevel::Q,
        Ecc::H => EcLevel::H,
    }
}

/// The unmasked matrix that the qrcode crate draws for text in one segment of byte mode.
fn draw_with_peer(text: &str, version: u8, ecc: Ecc) -> Canvas {
    let (version, level) = (Version::Normal(i16::from(version)), peer_level(ecc));
    let mut bits = Bits::new(version);
    bits.push_byte_data(text.as_bytes()).unwrap();
    bits.push_terminator(level).unwrap();
    let (data, correction) = construct_codewords(&bits.into_bytes(), version, level).unwrap();
    let mut canvas = Canvas::new(version, level);
    canvas.draw_all_functional_patterns();
    canvas.draw_data(&data, &correction);
    canvas
}

/// The modules of a finished matrix of the qrcode crate, row by row.
fn modules_of(canvas: Canvas) -> Vec<bool> {
    canvas.into_colors().into_iter().map(|color| color == qrcode::Color::Dark).collect()
}

/// The modules of a symbol of ours, row by row.
fn modules(qr: &Qr) -> Vec<bool> {
    let size = qr.size();
    (0..size * size).map(|at| qr.grid().get(at % size, at / size)).collect()
}

/// Small letters as many as a version and level hold; they leave byte mode no rival.
fn fill(version: u8, ecc: Ecc) -> String {
    let letters = "tern hollow pens restores fountain pens ".chars().cycle();
    let fits = |length: usize| {
        let text: String = letters.clone().take(length).collect();
        Qr::encode(&text, &exactly(version, ecc, Some(0))).is_ok()
    };
    let (mut fitting, mut over) = (1_usize, 3_000);
    while over - fitting > 1 {
        let middle = fitting.midpoint(over);
        if fits(middle) { fitting = middle } else { over = middle }
    }
    letters.take(fitting).collect()
}

#[test]
fn every_version_level_and_mask_is_the_matrix_of_the_qrcode_crate() {
    for version in 1..=40 {
        for (place, ecc) in Ecc::ALL.into_iter().enumerate() {
            let text = fill(version, ecc);
            let canvas = draw_with_peer(&text, version, ecc);
            // All masks at one level of each version, two at the others: masks and levels meet in
            // format information only.
            let all = usize::from(version) % 4 == place;
            for mask in (0..8_u8).filter(|mask| all || usize::from(*mask) % 4 == place) {
                let mut masked = canvas.clone();
                masked.apply_mask(PEER_MASKS[usize::from(mask)]);
                let qr = Qr::encode(&text, &exactly(version, ecc, Some(mask))).unwrap();
                assert!(modules(&qr) == modules_of(masked), "{version}-{ecc} mask {mask}");
            }
        }
    }
}

#[test]
fn every_version_and_level_is_read_back_by_rxing() {
    for version in 1..=40 {
        for ecc in Ecc::ALL {
            let text = fill(version, ecc);
            let qr = Qr::encode(&text, &exactly(version, ecc, None)).unwrap();
            assert_eq!((qr.version(), qr.ecc()), (version, ecc));
            assert_eq!(qr.size(), 17 + 4 * usize::from(version));
            assert_eq!(read_qr(&qr), text, "{version}-{ecc}");
        }
    }
}

#[test]
fn symbols_are_found_in_an_image_by_rxing() {
    for text in ["7F3K-A", "https://example.com/p/7F3K?side=label", "Füllhalter für Ærøskøbing"]
    {
        let qr = Qr::encode(text, &QrOptions::default()).unwrap();
        let row = |y: usize| (0..qr.size()).map(|x| qr.grid().get(x, y)).collect();
        let rows: Vec<Vec<bool>> = (0..qr.size()).map(row).collect();
        assert_eq!(read_image(&rows, 4, QR_QUIET_ZONE.beside, 1).getText(), text);
    }
}

#[test]
fn the_smallest_version_is_taken_and_the_level_raised_for_nothing() {
    // 50 alphanumeric characters at M need version 3; at H it holds 35, at Q 47.
    let fifty = "TERN-HOLLOW-".repeat(5)[..50].to_owned();
    let qr = Qr::encode(&fifty, &QrOptions::default()).unwrap();
    assert_eq!((qr.version(), qr.ecc()), (3, Ecc::M));
    // Version 2 holds 38 alphanumeric characters at M, 29 at Q and 20 at H.
    for (length, ecc) in [(38, Ecc::M), (30, Ecc::M), (29, Ecc::Q), (26, Ecc::Q)] {
        let qr = Qr::encode(&fifty[..length], &QrOptions::default()).unwrap();
        assert_eq!((qr.version(), qr.ecc()), (2, ecc), "{length} characters");
    }
    let plain = QrOptions { boost: false, ..QrOptions::default() };
    assert_eq!(Qr::encode("7", &plain).unwrap().ecc(), Ecc::M);
    assert_eq!(Qr::encode("7", &QrOptions::default()).unwrap().ecc(), Ecc::H);
}

#[test]
fn text_that_is_too_long_says_by_how_much() {
    let error = Qr::encode(&"7".repeat(7_100), &QrOptions { ecc: Ecc::L, ..QrOptions::default() });
    // 4 + 14 + 7100 digits as 10 bits for three and 7 for the last two; 7089 fit.
    let expected = QrError::TooLong {
        ecc: Ecc::L,
        version: 40,
        capacity: 23_648,
        bits: 18 + 2_366 * 10 + 7,
        characters: 7_100,
        excess: 11,
    };
    assert_eq!(error, Err(expected.clone()));
    assert_eq!(
        expected.to_string(),
        "expected at most 23648 bits for a QR Code of version 40 at level L, found 7100 characters \
         that need 23685 bits: 11 characters too many"
    );
    let options = QrOptions { largest: 2, ..QrOptions::default() };
    let Err(QrError::TooLong { excess, .. }) = Qr::encode("Füllhalter aus Tern Hollow", &options)
    else {
        panic!("26 characters with ECI do not fit into 2-M");
    };
    // 28 codewords; 12 bits ECI, 12 bits head, 25 bytes left; `ü` takes two.
    assert_eq!(excess, 2);
}

#[test]
fn very_long_text_ends_in_an_error_at_once() {
    let text = "k".repeat(3_000_000);
    let Err(QrError::TooLong { excess, .. }) = Qr::encode(&text, &QrOptions::default()) else {
        panic!("three million characters fit nowhere");
    };
    // 2331 bytes fit into 40-M.
    assert_eq!(excess, 3_000_000 - 2_331);
}

#[test]
fn options_that_cannot_be_met_are_errors() {
    let with =
        |smallest, largest, mask| QrOptions { smallest, largest, mask, ..QrOptions::default() };
    for (smallest, largest) in [(0, 40), (1, 41), (8, 7)] {
        let error = Qr::encode("7", &with(smallest, largest, None)).unwrap_err();
        assert_eq!(error, QrError::Versions { smallest, largest });
    }
    assert_eq!(Qr::encode("7", &with(1, 40, Some(8))), Err(QrError::Mask { mask: 8 }));
    assert_eq!(Qr::encode("", &QrOptions::default()), Err(QrError::Empty));
    assert_eq!(Ecc::from_letter("Q"), Some(Ecc::Q));
    assert_eq!(Ecc::from_letter("q"), None);
}

#[test]
fn runs_are_the_dark_modules_of_each_row() {
    for version in [1, 11, 12, 28, 40] {
        let options = QrOptions { smallest: version, ..QrOptions::default() };
        let qr = Qr::encode("Tern Hollow", &options).unwrap();
        for y in 0..qr.size() {
            let mut drawn = vec![false; qr.size()];
            let mut end = 0;
            for (start, length) in qr.grid().runs(y) {
                assert!(length > 0 && (end == 0 || start > end), "runs do not touch");
                drawn[start..start + length].fill(true);
                end = start + length;
            }
            assert_eq!(drawn, (0..qr.size()).map(|x| qr.grid().get(x, y)).collect::<Vec<bool>>());
        }
        assert_eq!(qr.grid().runs(qr.size()).count(), 0);
        assert!(
            !qr.grid().get(qr.size(), 0)
                && !qr.grid().get(0, qr.size())
                && !qr.grid().get(1_000, 0)
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_printable_ascii_is_read_back_by_rxing(text in "[ -~]{1,120}") {
        let qr = Qr::encode(&text, &QrOptions::default()).unwrap();
        prop_assert_eq!(read_qr(&qr), text);
    }

    // The decoder drops a byte order mark from the front of UTF-8; as text it means nothing.
    #[test]
    fn any_text_is_read_back_by_rxing(text in "[^\u{FEFF}]{1,60}") {
        let qr = Qr::encode(&text, &QrOptions::default()).unwrap();
        prop_assert_eq!(read_qr(&qr), text);
    }

    #[test]
    fn text_of_changing_kinds_is_read_back_by_rxing(
        parts in prop::collection::vec(
            prop_oneof!["[0-9]{1,20}", "[0-9A-Z $%*+./:-]{1,20}", "[a-zà-ÿ]{1,8}", "[一-丿]{1,4}"],
            1..8,
        ),
    ) {
        let text = parts.concat();
        let qr = Qr::encode(&text, &QrOptions::default()).unwrap();
        prop_assert_eq!(read_qr(&qr), text);
    }
}
