//! Check digits against published and recomputed numbers; each row names its source.

use slipwright::codes::{
    CheckDigitError, Gs1Key, S10, S10Error, gs1_check_digit, s10_check_digit, verify_gtin,
    verify_mod10, verify_sscc,
};

#[test]
fn gs1_digits_match_published_numbers() {
    let rows = [
        ("629104150021", 3, "gs1.org, How to calculate a check digit manually"),
        ("730001100001", 7, "gs1.se, Så beräknas kontrollsiffran"),
        ("37610425002123456", 9, "GS1 General Specifications 7.9.1, Table 7-9"),
        ("39512345123456789", 5, "GS1 General Specifications R18 Fig. 5.4.2-1"),
        ("00614141123456789", 0, "GS1 General Specifications R18 Fig. 6.6.5-1"),
    ];
    for (digits, check, source) in rows {
        assert_eq!(gs1_check_digit(digits), Ok(check), "{digits}: {source}");
        assert_eq!(verify_mod10(&format!("{digits}{check}")), Ok(()), "{digits}: {source}");
    }
}

#[test]
fn every_wrong_gs1_digit_is_refused_and_the_right_one_named() {
    for found in (0..=9).filter(|&digit| digit != 3) {
        let number = format!("629104150021{found}");
        let error = verify_gtin(&number).unwrap_err();
        assert_eq!(error, CheckDigitError::Wrong { number: number.clone(), expected: 3, found });
        assert_eq!(
            error.to_string(),
            format!("expected check digit 3 in `{number}`, found {found}")
        );
    }
}

/// The weights catch every single wrong digit, because 3 and 1 have no factor in common with 10.
#[test]
fn every_single_slip_in_a_gs1_number_is_caught() {
    let number = b"395123451234567895";
    for place in 0..number.len() {
        for digit in (b'0'..=b'9').filter(|&digit| digit != number[place]) {
            let mut slipped = *number;
            slipped[place] = digit;
            let slipped = String::from_utf8(slipped.to_vec()).unwrap();
            assert!(verify_sscc(&slipped).is_err(), "{slipped}");
        }
    }
}

#[test]
fn gtins_are_told_apart_by_length() {
    // The 13-digit number of the GS1 check-digit page, with zeros before it as GS1 writes a
    // shorter GTIN in 14 digits; zeros in front change no sum.
    assert_eq!(verify_gtin("6291041500213"), Ok(Gs1Key::Gtin13));
    assert_eq!(verify_gtin("06291041500213"), Ok(Gs1Key::Gtin14));
    // GS1 General Specifications R18 Fig. 6.6.5-4: 00614141000418 is a GTIN-12 with zeros.
    assert_eq!(verify_gtin("614141000418"), Ok(Gs1Key::Gtin12));
    // Recomputed: 3·(0+2+4+6) + (1+3+5) = 45, hence 5.
    assert_eq!(verify_gtin("01234565"), Ok(Gs1Key::Gtin8));
    assert_eq!(verify_sscc("395123451234567895"), Ok(Gs1Key::Sscc));
    assert_eq!(verify_sscc("006141411234567890"), Ok(Gs1Key::Sscc));
}

#[test]
fn numbers_of_the_wrong_shape_say_what_is_wrong() {
    let error = |result: Result<Gs1Key, CheckDigitError>| result.unwrap_err().to_string();
    assert_eq!(error(verify_gtin("123456")), "expected 8, 12, 13 or 14 digits, found 6");
    assert_eq!(error(verify_gtin("")), "expected 8, 12, 13 or 14 digits, found 0");
    assert_eq!(error(verify_gtin("6291O41500213")), "expected a digit, found `O` as character 5");
    // Arabic-Indic digits are digits to Unicode and none to GS1.
    assert_eq!(error(verify_gtin("٠١٢٣٤٥٦٧")), "expected a digit, found `٠` as character 1");
    assert_eq!(error(verify_sscc("39512345123456789")), "expected 18 digits, found 17");
    assert_eq!(verify_mod10("7").unwrap_err().to_string(), "expected two or more digits, found 1");
    assert_eq!(
        gs1_check_digit("").unwrap_err().to_string(),
        "expected one or more digits, found 0"
    );
}

#[test]
fn s10_digits_match_published_and_recomputed_numbers() {
    let rows = [
        ("47312482", 9, "worked example of Wikipedia's article on UPU S10"),
        ("87654321", 6, "UPU S10 Annex A example, recomputed"),
        ("12310000", 0, "recomputed: remainder 1 gives 10, written 0"),
        ("00000000", 5, "recomputed: remainder 0 gives 11, written 5"),
        ("47110815", 1, "recomputed"),
        ("76129403", 8, "recomputed"),
        ("96633102", 0, "recomputed"),
    ];
    for (digits, check, source) in rows {
        assert_eq!(s10_check_digit(digits), Ok(check), "{digits}: {source}");
        let number = format!("EE{digits}{check}CA");
        assert_eq!(S10::verify(&number).unwrap().number(), number, "{source}");
    }
}

#[test]
fn an_s10_number_falls_into_its_parts() {
    let s10 = S10::verify("EE876543216CA").unwrap();
    assert_eq!((s10.service(), s10.serial(), s10.country()), ("EE", "87654321", "CA"));
}

#[test]
fn a_wrong_s10_number_says_what_would_be_right() {
    let error = |number: &str| S10::verify(number).unwrap_err();
    let expected = S10Error::Wrong { number: "EE876543212CA".to_owned(), expected: 6, found: 2 };
    assert_eq!(error("EE876543212CA"), expected);
    assert_eq!(expected.to_string(), "expected check digit 6 in `EE876543212CA`, found 2");
    assert_eq!(
        error("EE87654321CA").to_string(),
        "expected 13 characters in an S10 number, found 12"
    );
    assert_eq!(
        error("Ee876543216CA").to_string(),
        "expected a capital letter as character 2 of an S10 number, found `e`"
    );
    assert_eq!(
        error("EE8765432I6CA").to_string(),
        "expected a digit as character 10 of an S10 number, found `I`"
    );
    assert_eq!(
        error("EÉ876543216CA").to_string(),
        "expected a capital letter as character 2 of an S10 number, found `É`"
    );
    assert_eq!(error("").to_string(), "expected 13 characters in an S10 number, found 0");
    assert!(s10_check_digit("1234567").is_err());
}
