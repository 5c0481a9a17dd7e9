//! The table of application identifiers is sound.

use super::ai_table::{Set, TABLE, ValueCheck, find_ai};

/// Every identifier that a row stands for, as digits.
fn identifiers_of(row: &super::Ai) -> Vec<String> {
    let width = usize::from(row.digits);
    (row.first..=row.last)
        .filter(|number| number % 10 <= row.last_digit)
        .map(|number| format!("{number:0width$}"))
        .collect()
}

#[test]
fn no_identifier_stands_in_two_rows() {
    for (place, row) in TABLE.iter().enumerate() {
        for ai in identifiers_of(row) {
            let found = find_ai(&ai).unwrap();
            assert!(std::ptr::eq(found, &TABLE[place]), "({ai}) stands in two rows");
        }
    }
}

#[test]
fn rows_stand_in_the_order_of_their_digits() {
    let firsts: Vec<String> =
        TABLE.iter().map(|row| identifiers_of(row).first().unwrap().clone()).collect();
    assert!(firsts.is_sorted(), "{firsts:?}");
}

/// A scanner takes the length of an identifier from its first two digits, so no identifier may
/// begin with another one (GS1 General Specifications §7.8).
#[test]
fn no_identifier_begins_with_another() {
    let all: Vec<String> = TABLE.iter().flat_map(identifiers_of).collect();
    for ai in &all {
        for other in all.iter().filter(|other| *other != ai) {
            assert!(!other.starts_with(ai.as_str()), "({other}) begins with ({ai})");
        }
    }
}

/// GS1 General Specifications R18 Fig. 7.8.4-2: the first two digits of an identifier decide
/// whether its length is predefined, and how long it then is together with its value.
#[test]
fn predefined_lengths_follow_the_figure() {
    let predefined = |prefix: &str| match prefix {
        "00" => Some(20),
        "01" | "02" | "03" | "04" => Some(16),
        "11" | "12" | "13" | "14" | "15" | "16" | "17" | "18" | "19" => Some(8),
        "20" => Some(4),
        "31" | "32" | "33" | "34" | "35" | "36" => Some(10),
        "41" => Some(16),
        _ => None,
    };
    for row in TABLE {
        for ai in identifiers_of(row) {
            let length: usize = row.parts.iter().map(|part| part.max).sum();
            let expected = predefined(&ai[..2]);
            assert_eq!(row.predefined, expected.is_some(), "({ai})");
            if let Some(expected) = expected {
                assert_eq!(ai.len() + length, expected, "({ai})");
            }
        }
    }
}

#[test]
fn only_the_last_part_varies_and_nothing_needed_follows_a_choice() {
    for row in TABLE {
        let (last, before) = row.parts.split_last().unwrap();
        assert!(before.iter().all(|part| part.min == part.max), "({})", row.first);
        assert!(last.min <= last.max && last.min > 0, "({})", row.first);
        let optional: Vec<bool> = row.parts.iter().map(|part| part.optional).collect();
        assert!(optional.is_sorted(), "({})", row.first);
    }
}

#[test]
fn checks_fit_the_parts_they_stand_in() {
    for part in TABLE.iter().flat_map(|row| row.parts) {
        let fits = match part.check {
            ValueCheck::Nothing => true,
            ValueCheck::Mod10 => part.set == Set::Digits && part.min == part.max,
            ValueCheck::Pair => part.set == Set::Cset82,
            ValueCheck::Day | ValueCheck::DayOrMonth => part.min == 6 && part.max == 6,
            ValueCheck::LongDay => part.min == 8 && part.max == 8,
            ValueCheck::OneOf(allowed) => part.max == 1 && !allowed.is_empty(),
        };
        assert!(fits, "{part:?}");
    }
}

/// GS1 Barcode Syntax Dictionary (January 2026): the identifiers without the flag `?`.
#[test]
fn only_qualifiers_and_a_few_others_are_no_attributes_of_a_digital_link() {
    let refused: Vec<String> =
        TABLE.iter().filter(|row| !row.attribute).flat_map(identifiers_of).collect();
    let expected = [
        "03", "21", "22", "235", "254", "7040", "7041", "8011", "8014", "8019", "8020", "8040",
        "8041", "8042", "8043", "8200",
    ];
    assert_eq!(refused, expected);
}
