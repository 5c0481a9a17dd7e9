//! Dates, counts, lists, links and cuts, case by case.

use super::{engine, fail, sample, say};
use crate::layout::filters::shorten::{CutLog, TextCut};
use crate::source::{FileId, Sources, Span};

#[test]
fn days_are_written_in_six_languages() {
    // The names of the Unicode CLDR.
    for (language, long, short, numeric) in [
        ("en", "5 March 2026", "5 Mar 2026", "05/03/2026"),
        ("de", "5. März 2026", "5. März 2026", "05.03.2026"),
        ("fr", "5 mars 2026", "5 mars 2026", "05/03/2026"),
        ("es", "5 de marzo de 2026", "5 mar 2026", "05/03/2026"),
        ("it", "5 marzo 2026", "5 mar 2026", "05/03/2026"),
        ("nl", "5 maart 2026", "5 mrt 2026", "05-03-2026"),
    ] {
        for (form, said) in [("long", long), ("short", short), ("numeric", numeric)] {
            assert_eq!(say(&format!("'2026-03-05' | day('{form}', '{language}')")), said);
        }
    }
    for (expression, said) in [
        ("placed | day", "25 November 2026"),
        ("placed | day('short')", "25 Nov 2026"),
        ("placed | day('iso')", "2026-11-25"),
        ("'2026-11-25 18:30' | day('numeric')", "25/11/2026"),
        ("'2026-09-01' | day(language='fr')", "1er septembre 2026"),
        ("'2024-02-29' | day", "29 February 2024"),
        ("'2000-02-29' | day", "29 February 2000"),
        ("empty | day", ""),
    ] {
        assert_eq!(say(expression), said);
    }
}

#[test]
fn faults_of_dates() {
    for (expression, said) in [
        (
            "'2023-02-29' | day",
            "there is no day `2023-02-29` / the last day of that month is `2023-02-28`",
        ),
        (
            "'1900-02-29' | day",
            "there is no day `1900-02-29` / the last day of that month is `1900-02-28`",
        ),
        (
            "'2026-04-00' | day",
            "there is no day `2026-04-00` / the last day of that month is `2026-04-30`",
        ),
        ("'2026-13-01' | day", "there is no day `2026-13-01` / months go from `01` to `12`"),
        (
            "'25.11.2026' | day",
            "expected a date for `day`, found `25.11.2026` / \
             write year, month and day: `2026-11-25`",
        ),
        (
            "'é026-11-2' | day",
            "expected a date for `day`, found `é026-11-2` / \
             write year, month and day: `2026-11-25`",
        ),
        (
            "'2026-11-25' | day('shrot')",
            "there is no form of dates `shrot` / did you mean `short`?",
        ),
        ("items | day", "expected text for `day`, found a list"),
    ] {
        assert_eq!(fail(expression), said);
    }
}

#[test]
fn words_are_counted_chosen_and_joined() {
    for (expression, said) in [
        ("count | plural('parcel', 'parcels')", "12 parcels"),
        ("1 | plural('parcel', 'parcels')", "1 parcel"),
        ("'1' | plural('parcel', 'parcels')", "1 parcel"),
        ("0 | plural('parcel', 'parcels')", "0 parcels"),
        ("'1.0' | plural('metre', 'metres')", "1.0 metres"),
        ("empty | plural('parcel', 'parcels')", ""),
        ("empty | first_of(' ', 'third')", "third"),
        ("'first' | first_of('second')", "first"),
        ("0 | first_of('second')", "0"),
        ("[] | first_of(empty)", ""),
        ("(items | first_of([])) | length", "3"),
        ("'Ada Marie Løvdal' | initials", "AML"),
        ("'Jean-Luc (Jo) d’Arbre' | initials", "JLJd"),
        ("'  ' | initials", ""),
        ("'e\u{301}mile & zoé' | initials", "e\u{301}z"),
        ("'Άννα Ωρίωνος' | initials", "ΆΩ"),
        ("'ada' | initials | upper", "A"),
        ("extras | join_given", "tracked, signed for"),
        ("extras | join_given(' + ')", "tracked + signed for"),
        ("[] | join_given", ""),
        ("[1, '', 2] | join_given('-')", "1-2"),
    ] {
        assert_eq!(say(expression), said, "{expression}");
    }
    for (expression, said) in [
        (
            "'a' | first_of",
            "`first_of` has nothing to choose from / \
             name what may stand in its place: `first_of(ship_to.company, 'none')`",
        ),
        (
            "items | join_given",
            "expected a list of texts for `join_given`, found a group of fields in it / \
             choose a field first: `items | map(attribute='title') | join_given`",
        ),
        (
            "'tracked' | join_given",
            "expected a list for `join_given`, found `tracked` / \
             put a list before it, as in `items | join_given(…)`",
        ),
        (
            "'many' | plural('parcel', 'parcels')",
            "expected a number for `plural`, found `many` / \
             write digits with a point before the decimals: `12.50`",
        ),
    ] {
        assert_eq!(fail(expression), said);
    }
}

#[test]
fn element_strings_become_links() {
    // GTIN 09501101530003: GS1 General Specifications R18, figure 5.1-3.
    assert_eq!(
        say("'(01)09501101530003(10)AB/12(17)261125' | gs1_link('https://example.org/g/')"),
        "https://example.org/g/01/09501101530003/10/AB%2F12?17=261125"
    );
    assert_eq!(say("empty | gs1_link('example.org')"), "");
    let said = fail("'(01)09501101530004' | gs1_link('example.org')");
    assert!(said.starts_with("`(01)09501101530004` makes no GS1 link: "), "{said}");
    let said = fail("'(01)09501101530003' | gs1_link('no domain')");
    assert!(said.contains("`no domain`"), "{said}");
}

#[test]
fn every_cut_is_told_wherever_it_is_made() {
    let env = engine();
    let log = CutLog::default();
    let values = log.attach(&sample());
    let cut =
        |whole: &str, kept: &str, most| TextCut { whole: whole.into(), kept: kept.into(), most };
    let said = env.render_str("{{ 'Restored pen' | shorten(40) }}", values.clone()).unwrap();
    assert_eq!((said.as_str(), log.take_cuts()), ("Restored pen", vec![]));
    let template = "{% for item in items %}{{ item.title | shorten(9) }} {% endfor %}";
    let said = env.render_str(template, values.clone()).unwrap();
    assert_eq!(said, "Restored… Ink… Blotter ");
    let cuts = [cut("Restored pen", "Restored…", 9), cut("Ink, kelp green", "Ink, kelp…", 10)];
    assert_eq!(log.take_cuts(), [cuts[0].clone(), cut("Ink, kelp green", "Ink…", 9)]);
    assert_eq!(log.take_cuts(), []);
    let list = env.compile_expression("items | map(attribute='title') | map('shorten', 10)");
    let list = list.unwrap().eval(values).unwrap();
    assert_eq!(list.to_string(), "['Restored…', 'Ink, kelp…', 'Blotter']");
    assert_eq!(log.take_cuts(), [cut("Restored pen", "Restored…", 10), cuts[1].clone()]);
    let error = env.render_str("{{ 'Restored pen' | shorten(4) }}", sample()).unwrap_err();
    assert_eq!(error.detail(), Some("a text cannot be shortened here, where no cut is noted"));
    assert_eq!(
        fail("'Pen' | shorten(0)"),
        "expected a whole number from 1 for `shorten`, found `0` / \
         write the most characters there is room for: `shorten(30)`"
    );
    let mut sources = Sources::default();
    let file: FileId = sources.add("a.yaml", String::from("text"));
    let note = cuts[0].explain(Span::new(file, 0, 4));
    assert_eq!(note.message, "shortened `Restored pen` to 9 characters: `Restored…`");
    assert!(!note.is_error());
}
