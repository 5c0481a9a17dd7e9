//! EAN-13, EAN-8 and UPC-A against two independent libraries: barcoders draws the same bars, rxing
//! reads the same number.

use barcoders::sym::ean8::EAN8;
use barcoders::sym::ean13::EAN13;
use proptest::prelude::*;
use slipwright::codes::{Ean, EanError, EanKind, gs1_check_digit};

use crate::codes_support::read_image;

/// A number of so many digits with its check digit.
fn complete(digits: &str) -> String {
    format!("{digits}{}", gs1_check_digit(digits).unwrap())
}

/// The modules that barcoders draws.
fn draw_with_peer(number: &str) -> Vec<bool> {
    let modules = match number.len() {
        8 => EAN8::new(number).unwrap().encode(),
        // It knows a UPC-A as the EAN-13 that it is.
        12 => EAN13::new(format!("0{number}")).unwrap().encode(),
        _ => EAN13::new(number).unwrap().encode(),
    };
    modules.into_iter().map(|module| module == 1).collect()
}

/// What rxing reads of a symbol in an image, its quiet zone around it.
fn read(ean: &Ean) -> String {
    let quiet = ean.kind().quiet_zone();
    let white = |modules| std::iter::repeat_n(false, modules);
    let row = ean.row().to_modules();
    let line = white(quiet.before).chain(row).chain(white(quiet.behind)).collect();
    read_image(&[line], 3, 0, 20).getText().to_owned()
}

#[test]
fn every_first_digit_is_drawn_as_barcoders_draws_it_and_read_by_rxing() {
    for first in 0..10 {
        let number = complete(&format!("{first}71234567890"));
        let ean = Ean::encode(&number).unwrap();
        assert_eq!(ean.kind(), EanKind::Ean13);
        assert_eq!(ean.row().to_modules(), draw_with_peer(&number), "{number}");
        // One that begins with 0 is a UPC-A to a reader that knows both.
        let expected = number.strip_prefix('0').unwrap_or(&number);
        assert_eq!(read(&ean), expected);
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 60,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn any_number_is_drawn_as_barcoders_draws_it_and_read_by_rxing(
        digits in prop_oneof!["[0-9]{7}", "[0-9]{11}", "[1-9][0-9]{11}"],
    ) {
        let number = complete(&digits);
        let ean = Ean::encode(&number).unwrap();
        prop_assert_eq!(ean.row().to_modules(), draw_with_peer(&number));
        prop_assert_eq!(read(&ean), number);
    }

    #[test]
    fn hostile_text_is_refused_and_never_mended(text in "\\PC{0,20}") {
        match Ean::encode(&text) {
            Ok(ean) => prop_assert_eq!(ean.number(), text),
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }
}

#[test]
fn one_digit_typed_wrong_is_always_found() {
    let number = "9501101531000";
    for place in 0..number.len() {
        for digit in '0'..='9' {
            let mut typed: Vec<char> = number.chars().collect();
            if typed[place] == digit {
                continue;
            }
            typed[place] = digit;
            let typed: String = typed.into_iter().collect();
            assert!(matches!(Ean::encode(&typed), Err(EanError::Number(_))), "{typed}");
        }
    }
}
