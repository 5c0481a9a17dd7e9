//! Each rule of a batch: a batch that breaks it, with the whole wording, and the good one.

use proptest::prelude::*;

use super::*;
use crate::findings::Subject;
use crate::pairs::{PairCode, assign_codes};
use crate::preflight::sample::line;

/// Facts of a page, with all that they borrow.
#[derive(Clone, Debug)]
struct OwnedPage {
    /// `label` or `bench card`.
    document: &'static str,
    /// The parcel.
    subject: Subject,
    /// Which page of the parcel's it is.
    number: PageNumber,
    /// What the page says its parcel is called.
    tag: String,
    /// The pair code's payload.
    pair: String,
}

/// The text in the code of a side: it says the pair code of one parcel and the place of another.
fn pair_text(side: &str, owner: usize, position: usize) -> String {
    format!("SW/{side}/{}/{position}-99/2222", code_of(owner))
}

/// The pair code of a parcel.
fn code_of(position: usize) -> PairCode {
    let ids: Vec<String> = (1..=position).map(|position| format!("TH-{position}")).collect();
    let parcels: Vec<Vec<&str>> = ids.iter().map(|id| vec![id.as_str()]).collect();
    assign_codes("evening", &parcels)[position - 1]
}

/// A line in which pair codes are called by their parcels: `CODE2`.
fn name_codes(line: String) -> String {
    (1..=9).fold(line, |line, owner| line.replace(code_of(owner).as_str(), &format!("CODE{owner}")))
}

/// One document of a batch of `count` parcels.
fn document(name: &'static str, count: usize) -> Vec<OwnedPage> {
    let side = if name == "label" { "L" } else { "C" };
    (1..=count)
        .map(|position| OwnedPage {
            document: name,
            subject: Subject { order: format!("TH-{position}"), position: Some(position) },
            number: PageNumber { page: 1, pages: 1 },
            tag: format!("tag {position}"),
            pair: pair_text(side, position, position),
        })
        .collect()
}

/// What is found on pages of a batch of `count` parcels.
fn found(pages: &[OwnedPage], count: usize) -> Vec<String> {
    let facts = pages.iter().map(|page| PageFacts {
        document: page.document,
        subject: Some(page.subject.clone()),
        number: page.number,
        tag: Some(page.tag.clone()),
        payloads: vec!["https://tern-hollow.example".to_owned(), page.pair.clone()],
    });
    inspect_batch(facts, 1..=count).iter().map(|finding| name_codes(line(finding))).collect()
}

#[test]
fn a_good_batch_of_labels_and_cards_has_no_findings() {
    let pages = [document("label", 5), document("bench card", 5)].concat();
    assert_eq!(found(&pages, 5), [""; 0]);
    assert_eq!(found(&document("label", 5), 5), [""; 0]);
    assert_eq!(found(&[], 0), [""; 0]);
}

#[test]
fn pages_of_both_documents_may_come_in_turn() {
    let (labels, cards) = (document("label", 3), document("bench card", 3));
    let pages: Vec<_> = labels.into_iter().zip(cards).flat_map(|(one, two)| [one, two]).collect();
    assert_eq!(found(&pages, 3), [""; 0]);
}

#[test]
fn a_label_left_out_is_missed() {
    let mut pages = document("label", 9);
    pages.remove(3);
    let hint = "put nothing on a parcel before the document is made again as a whole";
    assert_eq!(found(&pages, 9), [format!("error[missing-page]: parcel 4 has no label => {hint}")]);
    pages.drain(5..7);
    assert_eq!(
        found(&pages, 9),
        [format!("error[missing-page]: 3 of 9 parcels have no label: 4, 7-8 => {hint}")]
    );
}

#[test]
fn a_label_that_comes_again_is_reported() {
    let mut pages = document("label", 4);
    pages.push(pages[1].clone());
    assert_eq!(
        found(&pages, 4),
        ["error[duplicate-page]: the label of parcel 2 comes again, after the one of parcel 4 \
          => take one of the two out"]
    );
    let mut pages = document("label", 4);
    pages.insert(1, pages[1].clone());
    assert_eq!(
        found(&pages, 4),
        ["error[duplicate-page]: page 1 of 1 of this label comes again => take one of the two out"]
    );
}

#[test]
fn labels_out_of_turn_are_reported() {
    let mut pages = document("label", 4);
    pages.swap(1, 2);
    assert_eq!(
        found(&pages, 4),
        ["error[page-order]: the label of parcel 2 comes after the one of parcel 3, out of bench \
          order => put it behind the one of parcel 1"]
    );
    pages = document("label", 3);
    pages.rotate_left(1);
    assert_eq!(
        found(&pages, 3),
        ["error[page-order]: the label of parcel 1 comes after the one of parcel 3, out of bench \
          order => put it first"]
    );
}

#[test]
fn the_order_of_the_pages_is_the_callers() {
    let mut pages = document("label", 3);
    pages.reverse();
    let facts = |page: &OwnedPage| page.subject.clone();
    let subjects: Vec<Subject> = pages.iter().map(facts).collect();
    let facts = subjects.iter().map(|subject| PageFacts {
        document: "label",
        subject: Some(subject.clone()),
        number: PageNumber { page: 1, pages: 1 },
        tag: None,
        payloads: Vec::new(),
    });
    assert_eq!(inspect_batch(facts, [3, 2, 1]), []);
}

#[test]
fn a_label_for_nobody_is_reported() {
    assert_eq!(
        found(&document("label", 4), 3),
        ["error[stray-page]: this label is for parcel 4, which is not to come \
          => 3 parcels are to come; leave it out"]
    );
}

#[test]
fn pages_of_one_parcel_come_in_their_order() {
    let mut pages = document("slip", 2);
    let slips = |pages: &[OwnedPage], numbers: &[usize]| {
        let first = numbers.iter().map(|number| OwnedPage {
            number: PageNumber { page: *number, pages: 3 },
            ..pages[0].clone()
        });
        first.chain([pages[1].clone()]).collect::<Vec<_>>()
    };
    pages.truncate(2);
    assert_eq!(found(&slips(&pages, &[1, 2, 3]), 2), [""; 0]);
    assert_eq!(
        found(&slips(&pages, &[1, 3]), 2),
        ["error[missing-page]: page 2 of 3 of this slip is missing => put it before page 3"]
    );
    assert_eq!(
        found(&slips(&pages, &[3]), 2),
        ["error[missing-page]: pages 1 to 2 of 3 of this slip are missing \
          => put them before page 3"]
    );
    assert_eq!(
        found(&slips(&pages, &[1, 2]), 2),
        ["error[missing-page]: the slip of parcel 1 ends with page 2 of 3 \
          => put nothing on a parcel before the document is made again as a whole"]
    );
    assert_eq!(
        found(&slips(&pages, &[1, 2])[..2], 1),
        ["error[missing-page]: the slip of parcel 1 ends with page 2 of 3 \
          => put nothing on a parcel before the document is made again as a whole"]
    );
    assert_eq!(
        found(&slips(&pages, &[1, 2, 2, 3]), 2),
        ["error[duplicate-page]: page 2 of 3 of this slip comes again => take one of the two out"]
    );
}

#[test]
fn equal_tags_are_reported() {
    let mut pages = document("label", 4);
    pages[3].tag = "tag 2".into();
    assert_eq!(
        found(&pages, 4),
        ["error[duplicate-tag]: the tag `tag 2` is on the label of parcel 2 too \
          => give one of the two orders another `tag`"]
    );
}

#[test]
fn an_order_on_two_parcels_is_reported() {
    let mut pages = document("label", 4);
    pages[3].subject.order = "TH-4 + TH-2".into();
    assert_eq!(
        found(&pages, 4),
        ["error[duplicate-order]: the order `TH-2` is on the label of parcel 2 too \
          => leave it in one of the two"]
    );
}

#[test]
fn equal_pair_codes_are_reported() {
    let mut pages = document("label", 4);
    pages[3].pair = pair_text("L", 2, 4);
    assert_eq!(
        found(&pages, 4),
        ["error[duplicate-pair]: the pair code `CODE2` is that of parcel 2 too \
          => leave one of the parcels 2 and 4 for the next batch"]
    );
    let mut pages = [document("label", 3), document("bench card", 3)].concat();
    pages[5].pair = pair_text("C", 2, 3);
    let rules: Vec<String> = found(&pages, 3);
    assert!(rules[0].starts_with("error[duplicate-pair]: the pair code `CODE2`"), "{rules:?}");
}

#[test]
fn swapped_pair_codes_are_reported() {
    let mut pages = document("label", 4);
    let other = std::mem::take(&mut pages[1].pair);
    pages[1].pair = std::mem::replace(&mut pages[3].pair, other);
    assert_eq!(
        found(&pages, 4),
        [
            "error[wrong-pair]: the pair code `CODE4` on this label says parcel 4, the page is \
             for parcel 2 => let a label say `{{ pair.label }}` and a bench card \
             `{{ pair.card }}`: they are the page's own",
            "error[wrong-pair]: the pair code `CODE2` on this label says parcel 2, the page is \
             for parcel 4 => let a label say `{{ pair.label }}` and a bench card \
             `{{ pair.card }}`: they are the page's own",
        ]
    );
}

#[test]
fn a_label_with_the_code_of_a_card_is_reported() {
    let mut pages = document("label", 2);
    pages[1].pair = pair_text("C", 2, 2);
    assert_eq!(
        found(&pages, 2)[0],
        "error[wrong-pair]: this label carries the pair code of a bench card => let a label say \
         `{{ pair.label }}` and a bench card `{{ pair.card }}`: they are the page's own"
    );
}

#[test]
fn a_label_without_its_card_is_reported() {
    let mut pages = [document("label", 4), document("bench card", 4)].concat();
    pages[6].pair = "no pair code".into();
    assert_eq!(
        found(&pages, 4),
        ["error[unmatched-pair]: no bench card carries the pair code of the label of parcel 3 \
          => make labels and bench cards in one run, from the same orders"]
    );
    pages[6].pair = pair_text("C", 3, 3);
    pages[0].pair = String::new();
    pages[1].pair = String::new();
    assert_eq!(
        found(&pages, 4),
        ["error[unmatched-pair]: no label carries the pair code of the bench card of parcels 1-2 \
          => make labels and bench cards in one run, from the same orders"]
    );
}

#[test]
fn absurd_places_do_no_harm() {
    let mut pages = document("label", 2);
    pages[1].subject.position = Some(usize::MAX);
    pages[1].number = PageNumber { page: usize::MAX, pages: 0 };
    let lines = found(&pages, 2);
    assert!(lines.iter().any(|line| line.contains("[stray-page]")), "{lines:?}");
    let mut pages = document("label", 1);
    pages.push(OwnedPage {
        number: PageNumber { page: usize::MAX, pages: usize::MAX },
        ..pages[0].clone()
    });
    assert!(!found(&pages, 1).is_empty());
}

/// A fault in a batch: its name, what it does to the pages given two different numbers of parcels,
/// and the rules of which one must speak.
type BatchFault = (&'static str, fn(&mut Vec<OwnedPage>, usize, usize), &'static [&'static str]);

/// Faults across the pages of a batch of labels and, after them, bench cards.
const CLASSES: &[BatchFault] = &[
    ("a page is dropped", |pages, one, _| drop(pages.remove(one)), &["missing-page"]),
    (
        "a page comes twice",
        |pages, one, other| pages.insert(other, pages[one].clone()),
        &["duplicate-page"],
    ),
    ("two pages are swapped", |pages, one, other| pages.swap(one, other), &["page-order"]),
    (
        "a page is for nobody",
        |pages, one, _| pages[one].subject.position = Some(999),
        &["stray-page"],
    ),
    (
        "two pair codes are swapped",
        |pages, one, other| {
            let pair = pages[one].pair.clone();
            pages[one].pair = std::mem::replace(&mut pages[other].pair, pair);
        },
        &["wrong-pair"],
    ),
    (
        "a pair code is on two labels",
        |pages, one, other| {
            pages[one].pair =
                pages[other].pair.replace(&format!("/{}-", other + 1), &format!("/{}-", one + 1));
        },
        &["duplicate-pair"],
    ),
    (
        "a bench card loses its pair code",
        |pages, one, _| {
            let half = pages.len() / 2;
            pages[half + one].pair.clear();
        },
        &["unmatched-pair"],
    ),
    (
        "two tags are equal",
        |pages, one, other| pages[one].tag = pages[other].tag.clone(),
        &["duplicate-tag"],
    ),
    (
        "an order is on two labels",
        |pages, one, other| pages[one].subject.order = pages[other].subject.order.clone(),
        &["duplicate-order"],
    ),
];

/// Puts each class of faults into a good batch of `count` parcels: its name, the rules that found
/// it, and everything that was found.
pub(in crate::preflight) fn seed(
    count: usize,
    one: usize,
    other: usize,
) -> Vec<(&'static str, Vec<&'static str>, Vec<String>)> {
    let good = [document("label", count), document("bench card", count)].concat();
    assert_eq!(found(&good, count), [""; 0]);
    let seed = |(name, inject, rules): &BatchFault| {
        let mut pages = good.clone();
        inject(&mut pages, one, other);
        let lines = found(&pages, count);
        let spoke =
            |rule: &&&str| lines.iter().any(|line| line.starts_with(&format!("error[{rule}]")));
        (*name, rules.iter().filter(spoke).copied().collect(), lines)
    };
    CLASSES.iter().map(seed).collect()
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 100,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// Each class is tried in every case; without a fault nothing is found.
    #[test]
    fn every_fault_of_a_batch_is_found(count in 2..40_usize, one in 0.0..1.0, shift in 0.0..1.0) {
        let one = (one * count as f64) as usize;
        let other = (one + 1 + (shift * (count - 1) as f64) as usize) % count;
        for (name, spoke, lines) in seed(count, one, other) {
            prop_assert!(!spoke.is_empty(), "{name}: {lines:#?}");
        }
    }
}
