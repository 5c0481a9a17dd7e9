//! What the check of a batch needs to know of a page.

use crate::diag::Subject;
use crate::scene::{MarkKind, Page};

/// Joins the order ids of a combined parcel, see [`Subject::order`].
const ORDER_JOINT: &str = " + ";

/// What the check of a batch needs to know of a page.
#[derive(Clone, Debug, PartialEq)]
pub struct PageFacts<'a> {
    /// The document it belongs to, as a noun. A `label` and a `bench-card` are expected to carry
    /// the pair codes of their own side; others may carry any.
    pub document: &'a str,
    /// The parcel it is for; pages about the whole batch have none and are not judged.
    pub subject: Option<&'a Subject>,
    /// Which of the parcel's pages in this document it is, from 1.
    pub page: usize,
    /// How many pages the parcel has in this document.
    pub pages: usize,
    /// The ids of the parcel's orders. [`PageFacts::of`] takes them from the subject, where an id
    /// that has ` + ` in it looks like two.
    pub orders: Vec<&'a str>,
    /// What its `tag` block says, if it has one.
    pub tag: Option<String>,
    /// What its codes say.
    pub payloads: Vec<&'a str>,
}

/// Which of the two a pair code is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PairSide {
    /// A label.
    Label,
    /// A bench card.
    Card,
}

/// A code that ties a label and a bench card together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PairMark {
    /// The side that it says it is on.
    pub side: PairSide,
    /// What both sides share.
    pub code: String,
    /// The parcel that it says it is for, by its place on the bench from 1.
    pub position: usize,
}

impl<'a> PageFacts<'a> {
    /// The facts of a page: the `page`th of `pages` that its parcel has in a document.
    #[must_use]
    pub fn of(page: &'a Page, document: &'a str, (number, pages): (usize, usize)) -> PageFacts<'a> {
        let mut payloads = Vec::new();
        let mut tag: Option<String> = None;
        for mark in &page.marks {
            match &mark.kind {
                MarkKind::Code(code) => payloads.push(code.payload.as_str()),
                MarkKind::Text(run) => {
                    let block = page.blocks.get(mark.block.0 as usize);
                    if block.is_some_and(|block| block.name == "tag") {
                        // A tag on two lines is two runs; the blank between them is on neither.
                        let words = tag.get_or_insert_default();
                        let gap = if words.is_empty() { "" } else { " " };
                        *words += &format!("{gap}{}", run.text.trim());
                    }
                }
                _ => {}
            }
        }
        let subject = page.subject.as_ref();
        let orders = subject.into_iter().flat_map(|it| it.order.split(ORDER_JOINT)).collect();
        PageFacts { document, subject, page: number, pages, orders, tag, payloads }
    }

    /// The same with what stands on the page's back, which is no page of its own: it neither comes
    /// again nor out of turn, but what its codes say is held against the parcel like the front's.
    #[must_use]
    pub fn with_back(mut self, back: &'a Page) -> PageFacts<'a> {
        let back = PageFacts::of(back, self.document, (self.page, self.pages));
        self.payloads.extend(back.payloads);
        self.tag = self.tag.or(back.tag);
        self
    }

    /// The parcel's place on the bench.
    pub(super) fn position(&self) -> Option<usize> {
        self.subject.and_then(|subject| subject.position)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::preflight::sample::{good_page, text_of};

    #[test]
    fn a_page_tells_its_tag_and_codes() {
        let mut page = good_page();
        let again = page
            .marks
            .iter()
            .find(|mark| matches!(&mark.kind, MarkKind::Text(run) if run.text == "Marlow"));
        let again = again.cloned();
        page.marks.extend(again);
        text_of(&mut page, "tag", 1).text = "blue".into();
        let facts = PageFacts::of(&page, "label", (1, 1));
        assert_eq!(facts.tag.as_deref(), Some("Marlow blue"));
        assert_eq!(facts.payloads, ["SW/L/7K3F/3-12/K4D9", "ORDER-000123"]);
        assert_eq!(facts.position(), Some(3));
        assert_eq!(facts.orders, ["ORDER-000123"]);
    }

    /// A pair code on the back is the parcel's like one on the front; the tag is the front's.
    #[test]
    fn a_back_adds_its_codes_and_is_no_page_of_its_own() {
        let (mut front, mut back) = (good_page(), good_page());
        text_of(&mut back, "tag", 0).text = "Heron".into();
        let both = PageFacts::of(&front, "label", (1, 1)).with_back(&back);
        assert_eq!((both.page, both.pages, both.payloads.len()), (1, 1, 4));
        assert_eq!(both.tag.as_deref(), Some("Marlow"));
        front.marks.clear();
        let both = PageFacts::of(&front, "label", (1, 1)).with_back(&back);
        assert_eq!(both.tag.as_deref(), Some("Heron"));
        assert_eq!(both.payloads, ["SW/L/7K3F/3-12/K4D9", "ORDER-000123"]);
    }

    #[test]
    fn a_combined_parcel_has_several_orders() {
        let subject = Subject { order: "TH-1 + TH-4".into(), position: Some(1) };
        let mut page = good_page();
        page.subject = Some(subject);
        let facts = PageFacts::of(&page, "label", (1, 1));
        assert_eq!(facts.orders, ["TH-1", "TH-4"]);
    }
}
