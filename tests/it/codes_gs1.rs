//! GS1 element strings: verified, read back from a GS1-128, and written as a Digital Link.
//! Known values name their source.

use crate::codes_support;

use codes_support::read_gs1_128;
use proptest::prelude::*;
use slipwright::codes::{Data, ElementStrings, Gs1Error};

/// The message of the fault in an element string.
fn fault(text: &str) -> String {
    ElementStrings::parse(text).unwrap_err().to_string()
}

/// Data written with `␝` for FNC1.
fn written(data: &[Data]) -> String {
    let unit = |datum: &Data| match datum {
        Data::Char(value) => char::from(*value),
        Data::Fnc1 => '␝',
    };
    data.iter().map(unit).collect()
}

#[test]
fn separators_stand_behind_values_without_predefined_length_only() {
    let rows = [
        // GS1 General Specifications R18 Fig. 6.6.5-4: (10) needs one, (37) is last.
        (
            "(02)00614141000418(15)210228(10)451214(37)20",
            "␝02006141410004181521022810451214␝3720".to_owned(),
        ),
        // Fig. 7.8.5.2-2: (8005) needs one although its length is fixed.
        ("(8005)000365(10)123456", "␝8005000365␝10123456".to_owned()),
        ("(10)ABC(01)09501101530003", "␝10ABC␝0109501101530003".to_owned()),
        ("(01)09501101530003(10)ABC", "␝010950110153000310ABC".to_owned()),
        ("(420)45458", "␝42045458".to_owned()),
    ];
    for (text, expected) in rows {
        assert_eq!(written(&ElementStrings::parse(text).unwrap().to_data()), expected, "{text}");
    }
}

#[test]
fn gs1_128_is_read_back_by_rxing_as_gs1() {
    let rows = [
        ("(00)395123451234567895", "]C100395123451234567895"),
        ("(01)09501101530003", "]C10109501101530003"),
        ("(420)45458", "]C142045458"),
        (
            "(02)00614141000418(15)210228(10)451214(37)20",
            "]C102006141410004181521022810451214\u{1d}3720",
        ),
        ("(8005)000365(10)123456", "]C18005000365\u{1d}10123456"),
        ("(01)09501101530003(10)aB-c(21)x/1", "]C1010950110153000310aB-c\u{1d}21x/1"),
    ];
    for (text, expected) in rows {
        let symbol = ElementStrings::parse(text).unwrap().to_code128().unwrap();
        assert_eq!(read_gs1_128(&symbol), expected, "{text}");
    }
}

#[test]
fn the_text_for_people_is_the_text_given() {
    for text in ["(01)09501101530003(10)ABC", "(8003)09501101530003SER-1"] {
        let elements = ElementStrings::parse(text).unwrap();
        assert_eq!(elements.to_string(), text);
    }
    let elements = ElementStrings::parse("(10)A\\(B)C(37)2").unwrap();
    assert_eq!(elements.to_string(), "(10)A(B)C(37)2");
    assert_eq!(elements.elements()[0].value(), "A(B)C");
    assert_eq!(elements.elements()[1].ai(), "37");
}

#[test]
fn wrong_check_digits_show_the_right_one() {
    assert_eq!(
        fault("(01)09501101530004"),
        "expected check digit 3 in `09501101530004` behind `(01)`, found 4"
    );
    assert_eq!(
        fault("(00)395123451234567890"),
        "expected check digit 5 in `395123451234567890` behind `(00)`, found 0"
    );
    // GTIN within a longer value: (8006) has four digits more, (253) a serial number.
    assert_eq!(
        fault("(8006)095011015300010102"),
        "expected check digit 3 in `09501101530001` behind `(8006)`, found 1"
    );
    assert_eq!(
        fault("(253)9501101530001DOC7"),
        "expected check digit 3 in `9501101530001` behind `(253)`, found 1"
    );
}

#[test]
fn check_pairs_are_checked() {
    // The example of GS1 General Specifications §7.9.5, also in GS1's own code for check characters.
    assert!(ElementStrings::parse("(8013)1987654Ad4X4bL5ttr2310c2K").is_ok());
    assert_eq!(
        fault("(8013)1987654Ad4X4bL5ttr2310c2J"),
        "expected check characters `2K` behind `(8013)`, found `1987654Ad4X4bL5ttr2310c2J`"
    );
    assert_eq!(fault("(8013)19"), "expected 3 to 25 characters behind `(8013)`, found 2");
}

#[test]
fn lengths_are_checked_and_named() {
    assert_eq!(fault("(01)9501101530003"), "expected 14 digits behind `(01)`, found 13");
    assert_eq!(fault("(10)"), "expected 1 to 20 characters behind `(10)`, found 0");
    assert_eq!(
        fault("(10)ABCDEFGHIJKLMNOPQRSTU"),
        "expected 1 to 20 characters behind `(10)`, found 21"
    );
    assert_eq!(fault("(423)0360"), "expected 3, 6, 9, 12 or 15 digits behind `(423)`, found 4");
    assert!(ElementStrings::parse("(423)036040").is_ok());
    assert_eq!(fault("(253)950110153000"), "expected 13 to 30 characters behind `(253)`, found 12");
    assert_eq!(fault("(8008)26013109301"), "expected 8, 10 or 12 digits behind `(8008)`, found 11");
    assert_eq!(fault("(4321)"), "expected 1 digit behind `(4321)`, found 0");
}

#[test]
fn characters_are_checked_and_named() {
    assert_eq!(
        fault("(01)0950110153OOO3"),
        "expected a digit as character 11 behind `(01)`, found `O`"
    );
    assert_eq!(
        fault("(10)A B"),
        "expected a character of GS1 set 82 as character 2 behind `(10)`, found ` `"
    );
    assert_eq!(
        fault("(10)AÉ"),
        "expected a character of GS1 set 82 as character 2 behind `(10)`, found `É`"
    );
    assert_eq!(
        fault("(8010)ab"),
        "expected a digit, capital letter, `#`, `-` or `/` as character 1 behind `(8010)`, found `a`"
    );
    assert_eq!(
        fault("(8003)19501101530003"),
        "expected `0` as character 1 behind `(8003)`, found `1`"
    );
    assert_eq!(fault("(7258)1-3"), "expected `/` as character 2 behind `(7258)`, found `-`");
    assert_eq!(fault("(4322)2"), "expected `0` or `1` as character 1 behind `(4322)`, found `2`");
    // All of set 82 passes (GS1 General Specifications §7.11).
    let all =
        "!\"%&'\\()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz";
    assert!(ElementStrings::parse(&format!("(91){all}")).is_ok());
    for foreign in "#$@[\\]^`{|}~".chars() {
        assert!(ElementStrings::parse(&format!("(10)A{foreign}")).is_err(), "{foreign}");
    }
}

#[test]
fn dates_are_checked() {
    for good in ["(17)260228", "(17)240229", "(15)261200", "(4326)261231", "(7250)20000229"] {
        assert!(ElementStrings::parse(good).is_ok(), "{good}");
    }
    assert_eq!(fault("(17)260229"), "expected a date YYMMDD behind `(17)`, found `260229`");
    assert_eq!(fault("(15)261300"), "expected a date YYMMDD behind `(15)`, found `261300`");
    assert_eq!(fault("(4326)261200"), "expected a date YYMMDD behind `(4326)`, found `261200`");
    assert_eq!(
        fault("(7250)19000229"),
        "expected a date YYYYMMDD behind `(7250)`, found `19000229`"
    );
}

#[test]
fn broken_brackets_and_unknown_identifiers_are_named() {
    let start = "expected an application identifier in brackets such as `(01)` at the start";
    assert_eq!(fault(""), start);
    assert_eq!(fault("0109501101530003"), start);
    assert_eq!(
        fault("(01"),
        "expected `)` behind an application identifier, found `(01`; a bracket inside a value is written `\\(`"
    );
    for unknown in ["18", "1", "010", "", "3106", "9x", "+1", "٠١", "04"] {
        assert_eq!(
            fault(&format!("({unknown})1")),
            format!(
                "expected a GS1 application identifier, found `({unknown})`; a bracket inside a value is written `\\(`"
            )
        );
    }
    assert_eq!(
        fault("(10)A(37)2(10)B"),
        "expected each application identifier once, found `(10)` again"
    );
}

#[test]
fn a_gs1_128_holds_at_most_48_characters() {
    // 16 with (01), 22 with a full (10), then 10 more: 48 in all.
    let full = "(01)09501101530003(10)ABCDEFGHIJKLMNOPQRST";
    let fitting = ElementStrings::parse(&format!("{full}(90)1234567")).unwrap();
    assert_eq!(fitting.to_data().len() - 1, 48, "one separator counted");
    assert!(fitting.to_code128().is_ok());
    let over = ElementStrings::parse(&format!("{full}(90)12345678")).unwrap();
    assert_eq!(over.to_code128(), Err(Gs1Error::TooLong { found: 49 }));
    assert_eq!(
        over.to_code128().unwrap_err().to_string(),
        "expected at most 48 characters in a GS1-128, found 49, identifiers and separators counted"
    );
}

/// The Digital Link of element strings at a demo domain.
fn link(text: &str) -> Result<String, Gs1Error> {
    ElementStrings::parse(text).unwrap().to_digital_link("id.example.org")
}

#[test]
fn digital_links_put_qualifiers_in_the_path_and_the_rest_behind_it() {
    let rows = [
        // The shape that the standard's URI syntax asks for, as the wiki of BWIPP explains it ("GS1
        // Digital Link URIs"): qualifiers in the path in their order, the rest in the query.
        (
            "(01)09506000134352(17)261231(10)ABC(21)123456",
            "https://id.example.org/01/09506000134352/10/ABC/21/123456?17=261231",
        ),
        ("(01)09501101530003", "https://id.example.org/01/09501101530003"),
        (
            "(01)09501101530003(3103)000189(15)261200(22)2A",
            "https://id.example.org/01/09501101530003/22/2A?3103=000189&15=261200",
        ),
        (
            "(00)395123451234567895(02)00614141000418(37)20",
            "https://id.example.org/00/395123451234567895?02=00614141000418&37=20",
        ),
        // (10) is allowed as an attribute, (235) is not, and the two lists are never mixed.
        (
            "(01)09501101530003(10)A(235)TPX",
            "https://id.example.org/01/09501101530003/235/TPX?10=A",
        ),
        ("(01)09501101530003(90)X", "https://id.example.org/01/09501101530003?90=X"),
        ("(8004)9501101ASSET", "https://id.example.org/8004/9501101ASSET"),
        ("(414)9501101530003(254)32a", "https://id.example.org/414/9501101530003/254/32a"),
    ];
    for (text, expected) in rows {
        assert_eq!(link(text).as_deref(), Ok(expected), "{text}");
    }
}

#[test]
fn digital_links_escape_what_a_uri_cannot_hold() {
    assert_eq!(
        link("(01)09501101530003(10)A/B%C?D&E+F_G.H-I").as_deref(),
        Ok("https://id.example.org/01/09501101530003/10/A%2FB%25C%3FD%26E%2BF_G.H-I")
    );
}

#[test]
fn digital_links_refuse_what_has_no_place_in_them() {
    assert_eq!(link("(10)ABC"), Err(Gs1Error::NoLinkKey));
    // (21) and (235) belong to different lists, and neither is allowed as an attribute.
    assert_eq!(
        link("(01)09501101530003(235)TPX(21)7").unwrap_err().to_string(),
        "expected no `(235)` in a GS1 Digital Link that begins with `(01)`"
    );
    assert_eq!(
        link("(01)09501101530003(8200)X"),
        Err(Gs1Error::NotInLink { ai: "8200".to_owned(), key: "01".to_owned() })
    );
}

#[test]
fn domains_are_checked() {
    let elements = ElementStrings::parse("(01)09501101530003").unwrap();
    for domain in ["example.com", "https://example.com/", "pens.example.com:8080/go", "a.b/c/d~e"] {
        assert!(elements.to_digital_link(domain).is_ok(), "{domain}");
    }
    for domain in [
        "",
        "example",
        "http://example.com",
        "exa mple.com",
        "example.com?x",
        "example.com/ü",
        "-a.com",
        "a..com",
        "example.com:",
        "example.com:8x",
        "https:///x.y",
        "a.b//c",
        "a@b.c",
    ] {
        assert_eq!(
            elements.to_digital_link(domain),
            Err(Gs1Error::Domain { domain: domain.to_owned() })
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1024, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever stands in brackets, it is read as it was written or refused; nothing panics.
    #[test]
    fn any_text_is_read_as_written_or_refused(
        parts in prop::collection::vec(
            prop_oneof![
                prop::sample::select(vec![
                    "(01)09501101530003", "(00)", "(10)", "(17)", "(8013)", "(423)", "(253)", "(8008)",
                    "(4330)", "(", ")", "\\(", "\\", "000000", "é",
                ]).prop_map(str::to_owned),
                "[ -~]{0,12}",
                "[0-9]{0,20}",
            ],
            0..6,
        ),
        domain in ".{0,20}",
    ) {
        let text = parts.concat();
        if let Ok(elements) = ElementStrings::parse(&text) {
            prop_assert_eq!(elements.to_string(), text.replace("\\(", "("));
            let _ = elements.to_code128();
            let _ = elements.to_digital_link(&domain);
            let _ = elements.to_digital_link("example.com");
        }
    }

    /// A lot of any allowed characters comes back from the symbol as it went in.
    #[test]
    fn any_lot_is_read_back_by_rxing(lot in "[!\"%&')*+,./0-9:;<=>?A-Z_a-z-]{1,20}") {
        let text = format!("(10){lot}(01)09501101530003");
        let symbol = ElementStrings::parse(&text).unwrap().to_code128().unwrap();
        prop_assert_eq!(read_gs1_128(&symbol), format!("]C110{lot}\u{1d}0109501101530003"));
    }
}
