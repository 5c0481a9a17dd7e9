//! The pages of one parcel or list, each with its back.
//!
//! In: what one document is made from. Out: its leaves, with all that was found on
//! either side. A back is bound and composed like a body of its own; it is the same behind every
//! page of a document that flows. Where a layout prints both sides every page has a back, a white
//! one if need be, or everything after it would print on the wrong side.

use std::cell::{Cell, RefCell};
use std::sync::Arc;

use super::turns::PageTurn;
use super::{MadePages, PagesFor, ParcelDigest, Run, Worker, least};
use crate::bind::{BoundBody, Context, Furniture, Occasion};
use crate::compose::{Composed, Flow, PageLabel, SheetPlan, SheetSide};
use crate::digest::digest_pages;
use crate::draft::strike_page;
use crate::findings::{Finding, has_errors, rules};
use crate::layout::Block;
use crate::preflight::{PageFacts, PageNumber, inspect_composed};
use crate::scene::Page;
use crate::sides::LeafSide;

/// A page and what is printed behind it.
#[derive(Clone)]
pub(super) struct Leaf {
    /// What is on its front.
    pub(super) front: Page,
    /// Its back, if the layout has one.
    pub(super) back: Option<Arc<Page>>,
}

impl Leaf {
    /// What is printed of it, in order.
    pub(super) fn sides(&self) -> impl Iterator<Item = &Page> {
        std::iter::once(&self.front).chain(self.back.as_deref())
    }
}

impl Run<'_> {
    /// Makes the pages of one parcel, or of a part of it.
    pub(super) fn compose_turn<T>(
        &self,
        worker: &mut Worker<'_>,
        turn: PageTurn,
        made: &mut MadePages<T>,
    ) -> Vec<Leaf> {
        let parcel = &self.document.batch.parcels[turn.selected.place];
        let mut context = worker.maker.make_on(parcel, turn.selected.occasion);
        if let Some(part) = &turn.part {
            context = worker.maker.make_part(parcel, part, context);
        }
        let title = format!("{} · {}", parcel.position, parcel.tag.text);
        let language = context.language.clone();
        let label = PageLabel { title, subject: Some(parcel.subject()), language };
        let leaves = self.compose_leaves(worker, &context, &label, made);
        if self.makes_digests {
            self.digest_turn(worker, turn, &label, &leaves, made);
        }
        // The pages of a parcel's first part stand for those of all: what the check looks for is theirs.
        if turn.part.is_some_and(|part| part.number > 0) {
            return leaves;
        }
        let word = self.document.layout.makes.word();
        let pages = leaves.len();
        made.facts.extend(leaves.iter().zip(1..).map(|(leaf, page)| {
            let facts = PageFacts::of(&leaf.front, word, PageNumber { page, pages });
            match &leaf.back {
                Some(back) => facts.with_back(back),
                None => facts,
            }
        }));
        leaves
    }

    /// Makes the digest of a parcel's pages, or of its part's, as they are without the words of their
    /// occasion and the day; none where they cannot be made.
    fn digest_turn<T>(
        &self,
        worker: &mut Worker<'_>,
        turn: PageTurn,
        label: &PageLabel,
        leaves: &[Leaf],
        made: &mut MadePages<T>,
    ) {
        let PageTurn { selected, part } = turn;
        let parcel = &self.document.batch.parcels[selected.place];
        let plain: Vec<Leaf>;
        let is_plain = selected.occasion == Occasion::First && !worker.maker.is_dated();
        let leaves = if is_plain {
            leaves
        } else {
            // What is found on them is found on those that are printed.
            let mut unseen = MadePages::default();
            let mut context = worker.maker.make_undated(parcel);
            if let Some(part) = &part {
                context = worker.maker.make_part(parcel, part, context);
            }
            plain = self.compose_leaves::<T>(worker, &context, label, &mut unseen);
            &plain
        };
        if !leaves.is_empty() {
            let digest = digest_pages(leaves.iter().flat_map(Leaf::sides));
            let digest = part.map_or(digest, |part| digest.of_part(part.number));
            made.digests.push(ParcelDigest { position: parcel.position, digest });
        }
    }

    /// Makes the pages of a list. What is on them names every parcel, so they are no parcel's own
    /// and the check of the batch does not count them.
    pub(super) fn compose_list<T>(
        &self,
        worker: &mut Worker<'_>,
        made: &mut MadePages<T>,
    ) -> Vec<Leaf> {
        let context = worker.maker.make_list();
        let word = self.document.layout.makes.word();
        let name = &self.document.batch.name;
        let title = if name.is_empty() { word.to_owned() } else { format!("{name} · {word}") };
        let language = context.language.clone();
        let label = PageLabel { title, subject: None, language };
        let mut leaves = self.compose_leaves(worker, &context, &label, made);
        let pages = leaves.len();
        for _ in 1..self.document.layout.copies {
            leaves.extend_from_within(..pages);
        }
        leaves
    }

    /// Binds, composes and checks the pages of one document.
    fn compose_leaves<T>(
        &self,
        worker: &mut Worker<'_>,
        context: &Context,
        label: &PageLabel,
        made: &mut MadePages<T>,
    ) -> Vec<Leaf> {
        let mut found = context.notes.clone();
        let fronts = self.compose_fronts(worker, context, label, &mut found);
        let back = self.compose_back(worker, context, label, &mut found);
        let unmade = made.findings.len();
        made.findings.extend(found.into_iter().map(|fault| match &label.subject {
            Some(subject) => fault.subject(subject.clone()),
            None => fault,
        }));
        let notes = match self.purpose {
            PagesFor::Draft => made.findings[unmade..].to_vec(),
            PagesFor::Use | PagesFor::Look => Vec::new(),
        };
        let mut finish = |composed: Composed, number: usize, side: LeafSide| {
            let before = made.findings.len();
            let rules = self.page_rules(&composed.page);
            let found =
                inspect_composed(&composed.page, self.document.book, &rules, &composed.findings);
            made.findings.extend(composed.findings);
            made.findings.extend(found);
            // What is wrong with a code already has been said by the place it stands in.
            if !has_errors(&made.findings[before..]) {
                self.prove(&composed.page, number, side, made);
            }
            made.tag_capitals = least(made.tag_capitals, composed.tag_capitals);
            match self.purpose {
                PagesFor::Draft => {
                    let found = notes.iter().chain(&made.findings[before..]);
                    strike_page(&composed.page, found, self.document.book)
                }
                PagesFor::Use | PagesFor::Look => composed.page,
            }
        };
        let numbered = fronts.into_iter().zip(1..);
        let fronts: Vec<Page> =
            numbered.map(|(front, number)| finish(front, number, LeafSide::Front)).collect();
        let back = match back {
            Back::Printed(composed) => Some(finish(composed, 1, LeafSide::Back)),
            Back::White(page) => Some(page),
            Back::None => None,
        };
        // One back serves all pages: a document of many would hold it as many times.
        let back = back.map(Arc::new);
        fronts.into_iter().map(|front| Leaf { front, back: back.clone() }).collect()
    }

    /// Binds and composes the fronts of one document's pages; none when something is wrong.
    fn compose_fronts(
        &self,
        worker: &mut Worker<'_>,
        context: &Context,
        label: &PageLabel,
        found: &mut Vec<Finding>,
    ) -> Vec<Composed> {
        let Some(bound) = collect(worker.binder.bind(context), found) else { return Vec::new() };
        found.extend(bound.notes);
        let Some(body) = bound.body else {
            found.push(explain_empty(&self.document.layout.body));
            return Vec::new();
        };
        let binder = &worker.binder;
        let (notes, taken) = (RefCell::new(Vec::new()), Cell::new(0));
        let flow = if self.document.layout.flow { Flow::ManyPages } else { Flow::OnePage };
        let composed =
            worker.composer.compose_document(&body, flow, &self.frame, label, |page, pages| {
                let mut furniture = binder.bind_furniture(context, page, pages, &taken)?;
                // Every page's head is cut alike; the first one's says it.
                if pages == 1 {
                    notes.borrow_mut().append(&mut furniture.notes);
                }
                Ok(furniture)
            });
        found.extend(notes.into_inner());
        collect(composed, found).unwrap_or_default()
    }

    /// Binds and composes the back of one document's pages.
    fn compose_back(
        &self,
        worker: &mut Worker<'_>,
        context: &Context,
        label: &PageLabel,
        found: &mut Vec<Finding>,
    ) -> Back {
        let Some(Some(bound)) = collect(worker.binder.bind_back(context), found) else {
            return Back::None;
        };
        let BoundBody { body, notes } = bound;
        found.extend(notes);
        let Some(body) = body else {
            // Left out for this parcel: its back stays white, but it is still a side of the paper.
            return Back::White(worker.composer.blank_page(&self.frame, label));
        };
        let furniture = |_, _| Ok(Furniture::default());
        let composed =
            worker.composer.compose_document(&body, Flow::OnePage, &self.frame, label, furniture);
        let first = collect(composed, found).and_then(|pages| pages.into_iter().next());
        first.map_or(Back::None, Back::Printed)
    }
}

/// Why nothing is on a page: its outermost block is left out, or is a text that says nothing.
fn explain_empty(body: &Block) -> Finding {
    let (message, hint) = match body.when.is_empty() {
        true => (
            "nothing is on this page: its only text is empty",
            "say what stands in its place, as in `{{ own.ribbon | first_of('no ribbon') }}`, or put \
             more on the page with `down`",
        ),
        false => ("`when` leaves the whole page out", "take `when` off the outermost block"),
    };
    Finding::new(&rules::EMPTY_PAGE, message).at(body.span).hint(hint)
}

/// What is behind a page.
enum Back {
    /// Nothing: the layout prints on one side, or something is wrong.
    None,
    /// A side that is left white for this parcel.
    White(Page),
    /// A printed side.
    Printed(Composed),
}

/// What was made, or nothing and the faults added to those found.
fn collect<T>(made: Result<T, Vec<Finding>>, found: &mut Vec<Finding>) -> Option<T> {
    made.map_err(|faults| found.extend(faults)).ok()
}

/// Puts pages on a sheet, and their backs on the sheet behind it.
pub(super) fn impose_leaves(plan: &SheetPlan, leaves: Vec<Leaf>, first: usize) -> Vec<Page> {
    let (fronts, backs): (Vec<Page>, Vec<Option<Arc<Page>>>) =
        leaves.into_iter().map(|leaf| (leaf.front, leaf.back)).unzip();
    let backs = backs.into_iter().map(|back| back.map(Arc::unwrap_or_clone));
    let backs: Option<Vec<Page>> = backs.collect();
    let mut sheets = vec![plan.impose(fronts, first, SheetSide::Front)];
    sheets.extend(backs.map(|backs| plan.impose(backs, first, SheetSide::Back)));
    sheets
}
