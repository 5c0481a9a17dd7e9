//! The pages of one document in the order of the bench.

use super::facts::{PageFacts, PageNumber, shorten};
use super::rules::{DUPLICATE_PAGE, MISSING_PAGE, PAGE_ORDER, STRAY_PAGE, finding};
use crate::findings::{Finding, Rule};
use crate::words::list_ranges;

/// Where a document stands in the order of the bench.
pub(super) struct Sequence {
    /// For each expected parcel in order, whether its pages have come.
    seen: Vec<bool>,
    /// Expected parcels by their place on the bench: the place, and where it stands in the order.
    ranks: Vec<(u32, u32)>,
    /// The first expected parcel after the furthest that has come.
    next: usize,
    /// The last page that came.
    last: Option<LastPage>,
}

/// The last page that came.
#[derive(Clone, Copy)]
struct LastPage {
    /// Its parcel's place on the bench.
    parcel: usize,
    /// Which of the parcel's pages it is.
    number: PageNumber,
}

impl LastPage {
    /// Whether the parcel has pages behind it.
    fn is_cut_short(self) -> bool {
        self.number.page < self.number.pages
    }
}

impl Sequence {
    /// A document without pages.
    pub(super) fn new(expected: &[u32]) -> Sequence {
        let mut ranks: Vec<(u32, u32)> = expected.iter().copied().zip(0..).collect();
        ranks.sort_unstable();
        Sequence { seen: vec![false; expected.len()], ranks, next: 0, last: None }
    }

    /// Knows that parcels have no page.
    pub(super) fn expect_none(&mut self, places: &[usize]) {
        for &place in places {
            if let Some(rank) = self.rank(place) {
                self.seen[rank] = true;
            }
        }
    }

    /// Where a place on the bench stands in the order; none when no page of its parcel is to come.
    fn rank(&self, position: usize) -> Option<usize> {
        let at = self.ranks.binary_search_by_key(&shorten(position), |(place, _)| *place).ok()?;
        Some(self.ranks[at].1 as usize)
    }

    /// Takes in a page of a parcel.
    pub(super) fn take(
        &mut self,
        expected: &[u32],
        facts: &PageFacts,
        position: usize,
        found: &mut Vec<Finding>,
    ) {
        let before = self.last.replace(LastPage { parcel: position, number: facts.number });
        match before {
            Some(last) if last.parcel == position => check_step(facts, last.number.page, found),
            _ => {
                let cut_short = before.filter(|last| last.is_cut_short());
                found.extend(cut_short.map(|last| missing_rest(facts, last)));
                self.start_parcel(expected, facts, position, before, found);
            }
        }
    }

    /// Takes in the first page of a parcel.
    fn start_parcel(
        &mut self,
        expected: &[u32],
        facts: &PageFacts,
        position: usize,
        before: Option<LastPage>,
        found: &mut Vec<Finding>,
    ) {
        let document = facts.document;
        let Some(rank) = self.rank(position) else {
            let message = format!("this {document} is for parcel {position}, which is not to come");
            let hint = format!("{} parcels are to come; leave it out", expected.len());
            return found.push(finding(&STRAY_PAGE, facts, message).hint(hint));
        };
        let after = before.map(|last| format!("after the one of parcel {}", last.parcel));
        let after = after.unwrap_or_else(|| "first".to_owned());
        if self.seen[rank] {
            let message = format!("the {document} of parcel {position} comes again, {after}");
            found.push(finding(&DUPLICATE_PAGE, facts, message).hint("take one of the two out"));
            return;
        }
        check_step(facts, 0, found);
        self.seen[rank] = true;
        if rank < self.next {
            let message =
                format!("the {document} of parcel {position} comes {after}, out of bench order");
            let hint = match rank.checked_sub(1).map(|before| expected[before]) {
                Some(parcel) => format!("put it behind the one of parcel {parcel}"),
                None => "put it first".to_owned(),
            };
            found.push(finding(&PAGE_ORDER, facts, message).hint(hint));
        }
        self.next = self.next.max(rank + 1);
    }

    /// Reports the parcels whose pages have not come.
    pub(super) fn finish(&self, expected: &[u32], document: &str, found: &mut Vec<Finding>) {
        let cut_short = self.last.filter(|last| last.is_cut_short());
        found.extend(cut_short.map(|last| whole(&MISSING_PAGE, rest_message(document, last))));
        let unseen = expected.iter().zip(&self.seen).filter(|(_, seen)| !**seen);
        let mut missing: Vec<usize> = unseen.map(|(position, _)| *position as usize).collect();
        missing.sort_unstable();
        if missing.is_empty() {
            return;
        }
        let list = list_ranges(&missing);
        let (count, all) = (missing.len(), expected.len());
        let message = match count {
            1 => format!("parcel {list} has no {document}"),
            _ => format!("{count} of {all} parcels have no {document}: {list}"),
        };
        found.push(whole(&MISSING_PAGE, message));
    }
}

/// A finding about the whole batch.
fn whole(rule: &'static Rule, message: String) -> Finding {
    Finding::new(rule, message)
        .hint("put nothing on a parcel before the document is made again as a whole")
}

/// Compares the number of a page with that of the parcel's page before it, 0 for none.
fn check_step(facts: &PageFacts, before: usize, found: &mut Vec<Finding>) {
    let PageNumber { page, pages } = facts.number;
    let document = facts.document;
    if page <= before {
        let message = format!("page {page} of {pages} of this {document} comes again");
        found.push(finding(&DUPLICATE_PAGE, facts, message).hint("take one of the two out"));
    } else if page > before + 1 {
        let first = before + 1;
        let message = match page - first {
            1 => format!("page {first} of {pages} of this {document} is missing"),
            _ => format!("pages {first} to {} of {pages} of this {document} are missing", page - 1),
        };
        let hint =
            format!("put {} before page {page}", if page - first == 1 { "it" } else { "them" });
        found.push(finding(&MISSING_PAGE, facts, message).hint(hint));
    }
}

/// Reports that the parcel before ended too early.
fn missing_rest(facts: &PageFacts, last: LastPage) -> Finding {
    // The finding is about the parcel before, whose order is not known any more.
    whole(&MISSING_PAGE, rest_message(facts.document, last))
}

/// Says that a parcel's document ended too early.
fn rest_message(document: &str, last: LastPage) -> String {
    let LastPage { parcel, number: PageNumber { page, pages } } = last;
    format!("the {document} of parcel {parcel} ends with page {page} of {pages}")
}
