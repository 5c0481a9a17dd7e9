//! What the check of a batch needs to know of a page.

use crate::findings::Subject;
use crate::scene::{MarkKind, Page};

/// Joins the order ids of a combined parcel, see [`Subject::order`].
const ORDER_JOINT: &str = " + ";

/// What the check of a batch needs to know of a page, which may itself be gone by then.
#[derive(Clone, Debug, PartialEq)]
pub struct PageFacts {
    /// The document it belongs to, as a noun. A `label` and a `bench-card` are expected to carry
    /// the pair codes of their own side; others may carry any.
    pub document: &'static str,
    /// The parcel it is for; pages about the whole batch have none and are not judged.
    pub subject: Option<Subject>,
    /// Which of the parcel's pages in this document it is.
    pub number: PageNumber,
    /// What its `tag` block says, if it has one.
    pub tag: Option<String>,
    /// What its codes say.
    pub payloads: Vec<String>,
}

/// Which page of a parcel's document a page is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PageNumber {
    /// Which it is, from 1.
    pub page: usize,
    /// How many there are.
    pub pages: usize,
}

impl PageFacts {
    /// What of a page outlives it until all pages are there.
    #[must_use]
    pub fn of(page: &Page, document: &'static str, number: PageNumber) -> PageFacts {
        let mut payloads = Vec::new();
        let mut tag: Option<String> = None;
        for mark in &page.marks {
            match &mark.kind {
                MarkKind::Code(code) => payloads.push(code.payload.as_str().to_owned()),
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
        PageFacts { document, subject: page.subject.clone(), number, tag, payloads }
    }

    /// The same with the contents of the page's back. A back does not count as a page: it neither
    /// comes again nor out of turn, but what its codes say is held against the parcel like the
    /// front's.
    #[must_use]
    pub fn with_back(mut self, back: &Page) -> PageFacts {
        let back = PageFacts::of(back, self.document, self.number);
        self.payloads.extend(back.payloads);
        self.tag = self.tag.or(back.tag);
        self
    }

    /// The parcel's place on the bench.
    #[must_use]
    pub fn position(&self) -> Option<usize> {
        self.subject.as_ref().and_then(|subject| subject.position)
    }

    /// The ids of the parcel's orders, as its subject has them: an id with ` + ` in it looks like
    /// two.
    pub fn order_ids(&self) -> impl Iterator<Item = &str> {
        self.subject.iter().flat_map(|subject| subject.order.split(ORDER_JOINT))
    }
}

/// A place on the bench in the room of four bytes: no batch has so many parcels.
pub(super) fn shorten(position: usize) -> u32 {
    u32::try_from(position).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::preflight::sample::{good_page, text_of};

    /// The number of a parcel's only page.
    const ONLY: PageNumber = PageNumber { page: 1, pages: 1 };

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
        let facts = PageFacts::of(&page, "label", ONLY);
        assert_eq!(facts.tag.as_deref(), Some("Marlow blue"));
        assert_eq!(facts.payloads, ["SW/L/7K3F/3-12/K4D9", "ORDER-000123"]);
        assert_eq!(facts.position(), Some(3));
        assert!(facts.order_ids().eq(["ORDER-000123"]));
    }

    /// A pair code on the back is the parcel's like one on the front; the tag is the front's.
    #[test]
    fn a_back_adds_its_codes_and_is_no_page_of_its_own() {
        let (mut front, mut back) = (good_page(), good_page());
        text_of(&mut back, "tag", 0).text = "Heron".into();
        let both = PageFacts::of(&front, "label", ONLY).with_back(&back);
        assert_eq!((both.number, both.payloads.len()), (ONLY, 4));
        assert_eq!(both.tag.as_deref(), Some("Marlow"));
        front.marks.clear();
        let both = PageFacts::of(&front, "label", ONLY).with_back(&back);
        assert_eq!(both.tag.as_deref(), Some("Heron"));
        assert_eq!(both.payloads, ["SW/L/7K3F/3-12/K4D9", "ORDER-000123"]);
    }

    #[test]
    fn a_combined_parcel_has_several_orders() {
        let subject = Subject { order: "TH-1 + TH-4".into(), position: Some(1) };
        let mut page = good_page();
        page.subject = Some(subject);
        let facts = PageFacts::of(&page, "label", ONLY);
        assert!(facts.order_ids().eq(["TH-1", "TH-4"]));
    }
}
