//! The whole chain, page by page, on all cores, in order.
//!
//! In: a batch, a layout and what they are printed with. Out: for every page whatever the caller
//! makes of it (a PDF page, a PNG, nothing), handed over in bench order, and all findings.
//! Pages are made in rounds (`rounds`), handed over and forgotten, so memory does not grow with the
//! batch and the result does not depend on the number of threads.
//!
//! A [`PrintJob`](crate::PrintJob) is this chain in one call; by hand it writes pages while others
//! are made:
//!
//! ```
//! use std::path::Path;
//!
//! use slipwright::{
//!     Batch, BatchOptions, Document, Env, FontBook, Layout, NoFiles, Orders, PdfEncoder, PdfOptions,
//!     PdfWriter, PictureStore, Run, Shop, Sources, find_shipped, has_errors, read_layout,
//!     read_orders, watch_batch,
//! };
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let mut sources = Sources::new();
//! let mut found = Vec::new();
//! let file = sources.add("orders.json", std::fs::read_to_string("samples/evening.json")?);
//! let orders: Orders = read_orders(&sources.get(file).shared_text(), file);
//! let file = sources.add("shop.yaml", std::fs::read_to_string("samples/shop.yaml")?);
//! let shop = Shop::read(sources.get(file).text(), file, &mut found).ok_or("a shop with errors")?;
//! let file = sources.add("slip.yaml", find_shipped("slip-a4").ok_or("no such layout")?.text);
//! let files: &dyn Env = &NoFiles;
//! let layout: Option<Layout> = read_layout(&mut sources, file, files, Path::new("")).0;
//! let layout = layout.ok_or("a layout with errors")?;
//!
//! let how = BatchOptions { combine: true, ..BatchOptions::default() };
//! let batch = Batch::assemble(None, orders.orders, Some(&shop), how, &mut found);
//! let (book, pictures) = (FontBook::builtin(), PictureStore::new(files, ""));
//! let document = Document { shop: Some(&shop), ..Document::new(&batch, &layout, &book, &pictures) };
//!
//! let options = PdfOptions { title: Some("slips".to_owned()), ..PdfOptions::default() };
//! let encoder = PdfEncoder::new(&book, &options);
//! let mut writer = PdfWriter::new(Vec::new(), &book, &options)?;
//! let mut watch = watch_batch(&batch);
//! let run = Run::new(&document).map_err(|finding| finding.message)?;
//! let encode = |page: &slipwright::Page| encoder.encode_page(page);
//! let write = |page| writer.push(page).map_err(std::io::Error::other);
//! let outcome = run.make(&mut watch, encode, write, |done| println!("{done} slips"))?;
//! found.extend(outcome.findings);
//! found.extend(watch.finish());
//! assert!(!has_errors(&found), "{found:?}");
//! assert!(writer.finish()?.starts_with(b"%PDF"));
//! # Ok(())
//! # }
//! ```

mod demands;
mod document;
mod leaf;
mod made;
mod own_fields;
mod printing;
#[cfg(feature = "proof")]
mod proving;
mod rounds;
mod selection;
mod turns;

use std::io;

use crate::batch::Batch;
use crate::bind::{Binder, ContextMaker, page_language};
use crate::compose::{Composer, PageFrame, SheetPlan, plan_sheet};
use crate::findings::{Finding, drop_covered, fold_repeats, has_errors, rules};
use crate::geom::{Insets, Mm};
use crate::layout::Makes;
use crate::limits::DOCUMENT_MARKS;
use crate::preflight::{OUT_OF_BLOCK, Rules};
use crate::scene::Page;
use crate::sides::TurnEdge;
use crate::stock::Printer;

use demands::{check_colours, check_families};
use leaf::{Leaf, impose_leaves};
use made::MadePages;
use own_fields::find_absent_own;
use printing::{page_frame, printer_of};
use rounds::{count_threads, make_in_rounds};
use turns::PageTurns;

pub use crate::bind::{KitContents, KitDocument, Occasion};
pub use crate::compose::PictureStore;
pub use crate::preflight::BatchCheck;
pub use document::{Document, Outcome};
pub use made::ParcelDigest;
pub use selection::{SelectedPlace, Selection};

/// A document ready to be made: its page measured, its sheet planned.
pub struct Run<'a> {
    /// What it is made from.
    document: &'a Document<'a>,
    /// The page of one parcel.
    frame: PageFrame,
    /// The sheet that pages go on, if the layout asks for one.
    plan: Option<SheetPlan>,
    /// The place on the first sheet that the first page goes to, from 0.
    first_place: usize,
    /// What its pages are about.
    turns: PageTurns,
    /// The rules that pages are checked by.
    rules: Rules,
    /// The printer, with what is to be corrected for it.
    printer: Printer,
    /// Whether digests of the pages are made.
    makes_digests: bool,
    /// Whether pages with errors are handed over.
    purpose: PagesFor,
}

/// What becomes of pages with errors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum PagesFor {
    /// To be used: one with errors is not handed over.
    Use,
    /// To be looked at on a screen, whatever is wrong with them.
    Look,
    /// To be looked at on paper: struck, whatever is wrong with them.
    Draft,
}

/// What one thread keeps from page to page.
struct Worker<'a> {
    /// The layout's templates, compiled.
    binder: Binder<'a>,
    /// The variables that are the same for all parcels.
    maker: ContextMaker<'a>,
    /// Fonts, shapes and codes.
    composer: Composer<'a>,
}

/// A check of a batch that has seen no page yet.
#[must_use]
pub fn watch_batch(batch: &Batch) -> BatchCheck {
    watch_selection(batch, &Selection::default())
}

/// A check of documents that show these parcels of a batch, and no page yet.
#[must_use]
pub fn watch_selection(batch: &Batch, selection: &Selection) -> BatchCheck {
    let printed = (0..selection.count(batch)).map(|index| selection.place(index));
    BatchCheck::new(printed.map(|place| batch.parcels[place].position))
}

/// The ids of the orders of the parcel at a place on the bench.
fn order_ids(batch: &Batch, position: Option<usize>) -> impl Iterator<Item = &str> {
    let parcel = position.and_then(|position| batch.at(position));
    parcel.into_iter().flat_map(|parcel| &parcel.orders).map(|order| order.id())
}

impl<'a> Run<'a> {
    /// Prepares a document.
    ///
    /// # Errors
    /// When the layout names a family that is not there, or its pages do not fit on its sheet.
    pub fn new(document: &'a Document<'a>) -> Result<Run<'a>, Finding> {
        check_families(document.layout, document.book)?;
        let printer = printer_of(document);
        check_colours(document.layout, &printer)?;
        let mut frame = page_frame(document, &printer);
        let plan = plan_sheet(document.layout, &frame)?;
        let own_edge = document.layout.page.clear_edge;
        match (own_edge, &plan) {
            (Some(edge), _) => frame.clear_edge = Insets::all(edge.to_mm(frame.grid)),
            (None, Some(plan)) => frame.clear_edge = plan.page_edge,
            (None, None) => {}
        }
        let rules = Rules { one_bit: frame.one_bit, ..Rules::default() };
        let turns = PageTurns::list(document.batch, &document.selection, document.layout);
        Ok(Run {
            document,
            frame,
            plan,
            first_place: 0,
            turns,
            rules,
            printer,
            makes_digests: false,
            purpose: PagesFor::Use,
        })
    }

    /// The same run that also notes what could be better.
    #[must_use]
    pub fn with_advice(mut self) -> Run<'a> {
        self.rules.advice = true;
        self
    }

    /// The same run that also makes a digest of every parcel's pages.
    #[must_use]
    pub fn with_digests(mut self) -> Run<'a> {
        self.makes_digests = true;
        self
    }

    /// The same run that also hands over pages with errors, to be looked at and not printed.
    #[must_use]
    pub fn drafting(mut self) -> Run<'a> {
        self.purpose = PagesFor::Look;
        self
    }

    /// The same run that hands over pages with errors too, but struck: the word is on all four sides, what
    /// is wrong is framed, and no scanner takes their codes.
    #[must_use]
    pub fn striking(mut self) -> Run<'a> {
        self.purpose = PagesFor::Draft;
        self
    }

    /// The same run on a part-used sheet: the first page goes to the place `first`, counted from 1
    /// in the order the sheet is filled.
    ///
    /// # Errors
    /// When there is no such place, or no sheet.
    pub fn starting_at(mut self, first: usize) -> Result<Run<'a>, Finding> {
        let layout = self.document.layout;
        let span = layout.sheet.as_ref().map_or(layout.page.span, |sheet| sheet.span);
        let message = match (&self.plan, first.checked_sub(1)) {
            (None, _) => "this layout has no `sheet` that could be part-used".to_owned(),
            (Some(plan), Some(place)) if place < plan.capacity() => {
                self.first_place = place;
                return Ok(self);
            }
            (Some(plan), _) => match plan.capacity() {
                1 => format!("there is no place {first}: the sheet has one"),
                count => format!("there is no place {first}: the sheet has {count}"),
            },
        };
        Err(Finding::new(&rules::FIRST_PLACE, message).at(span))
    }

    /// The place after the last page, counted from 1; 1 when the last sheet is full. None when the
    /// layout has no sheet.
    #[must_use]
    pub fn next_place(&self) -> Option<usize> {
        let plan = self.plan.as_ref()?;
        Some((self.first_place + self.document_count()) % plan.capacity().max(1) + 1)
    }

    /// The edge that paper is turned over to print backs; none when there are none.
    ///
    /// Without a sheet a page turns like a leaf of a book, over the edge that stands upright: how
    /// it is printed then changes nothing about the pages.
    #[must_use]
    pub fn turn_edge(&self) -> Option<TurnEdge> {
        self.document.layout.back.as_ref()?;
        Some(match &self.document.layout.sheet {
            Some(sheet) => sheet.duplex,
            None if self.frame.size.width > self.frame.size.height => TurnEdge::Short,
            None => TurnEdge::Long,
        })
    }

    /// The language of its pages, where they have one in common or the seller's is that of most.
    #[must_use]
    pub fn language(&self) -> Option<String> {
        let Document { layout, batch, shop, .. } = self.document;
        page_language(layout, batch, *shop)
    }

    /// The page of one parcel.
    #[must_use]
    pub fn frame(&self) -> &PageFrame {
        &self.frame
    }

    /// How many steps it takes: one a parcel, or one a sheet, or one for a list.
    #[must_use]
    pub fn step_count(&self) -> usize {
        match self.document_count() {
            0 => 0,
            count => (self.first_place + count).div_ceil(self.capacity()),
        }
    }

    /// How many documents there are: one a parcel or part of one, or one list of all.
    fn document_count(&self) -> usize {
        match self.document.layout.makes {
            Makes::List => 1,
            _ => self.turns.count(&self.document.selection, self.document.batch),
        }
    }

    /// How many documents one page takes.
    fn capacity(&self) -> usize {
        self.plan.as_ref().map_or(1, SheetPlan::capacity).max(1)
    }

    /// Makes every page: `finish` runs on all cores, `take` gets its results in bench order, and
    /// `watch` sees all pages of all documents of the batch. Once an error is found, the rest is still checked but no longer handed over.
    ///
    /// # Errors
    /// Only those of `take`.
    pub fn make<T: Send>(
        &self,
        watch: &mut BatchCheck,
        finish: impl Fn(&Page) -> T + Sync,
        mut take: impl FnMut(T) -> io::Result<()>,
        progress: impl Fn(usize),
    ) -> io::Result<Outcome> {
        let workers: Vec<Worker<'_>> = (0..self.threads()).map(|_| self.worker()).collect();
        let mut outcome = Outcome::default();
        outcome.findings.extend(self.plan.iter().flat_map(|plan| plan.findings.clone()));
        outcome.findings.extend(find_absent_own(self.document));
        self.begin_turns(watch, &mut outcome);
        let make = |worker: &mut Worker<'_>, step| self.make_page(worker, step, &finish);
        let hand_over = |made: MadePages<T>| {
            outcome.findings.extend(made.findings);
            for facts in &made.facts {
                let orders = order_ids(self.document.batch, facts.position());
                outcome.findings.extend(watch.take(facts, orders));
            }
            outcome.faulty.extend(made.faulty);
            outcome.failed |= made.failed;
            outcome.tag_capitals = least(outcome.tag_capitals, made.tag_capitals);
            made.digests.into_iter().for_each(|digest| digest.join(&mut outcome.digests));
            #[cfg(feature = "proof")]
            proving::tally(&mut outcome.proof, made.proven, self.document.proof);
            for output in made.outputs {
                outcome.pages += 1;
                if self.purpose != PagesFor::Use || !outcome.failed {
                    take(output)?;
                }
            }
            Ok(())
        };
        make_in_rounds(workers, self.step_count(), make, hand_over, progress)?;
        // It is the same fault, and composing knows what the block needs.
        drop_covered(&mut outcome.findings, &OUT_OF_BLOCK, &rules::OVERFLOW);
        outcome.findings = fold_repeats(outcome.findings);
        Ok(outcome)
    }

    /// Tells the check of the batch which parcels have no page of their own, and says what stands in the
    /// way of pages.
    fn begin_turns(&self, watch: &mut BatchCheck, outcome: &mut Outcome) {
        let layout = self.document.layout;
        if layout.makes == Makes::List {
            return;
        }
        let refused = self
            .turns
            .refused
            .iter()
            .map(|(place, _)| self.document.batch.parcels[*place].position);
        let idle: Vec<usize> = self.turns.idle.iter().copied().chain(refused).collect();
        watch.expect_none(layout.makes.word(), &idle);
        for (place, finding) in &self.turns.refused {
            outcome.findings.push(finding.clone());
            outcome.faulty.push(*place);
            outcome.failed = true;
        }
        if self.document_count() == 0 && !self.turns.idle.is_empty() && !outcome.failed {
            let message =
                format!("there is nothing to print: no parcel has an {}", layout.per.word());
            let hint = "leave this layout out, or print a page a parcel: `per: parcel`";
            outcome.findings.push(
                Finding::new(&rules::NOTHING_TO_PRINT, message).at(layout.page.span).hint(hint),
            );
            outcome.failed = true;
        }
    }

    /// How many threads compose.
    fn threads(&self) -> usize {
        count_threads(self.document.threads).get().min(self.step_count().div_ceil(8)).max(1)
    }

    /// What one thread needs.
    fn worker(&self) -> Worker<'a> {
        let document = self.document;
        let binder = Binder::new(document.layout);
        let asked = binder.variables();
        let maker = ContextMaker::new(document.batch, document.shop)
            .in_layout(document.layout, &asked)
            .on_day(document.date)
            .only(asked)
            .in_kit(&document.kit);
        Worker { binder, maker, composer: Composer::new(document.book, document.pictures) }
    }

    /// Makes one step: the pages of one parcel or list, or a sheet of several.
    fn make_page<T>(
        &self,
        worker: &mut Worker<'_>,
        number: usize,
        finish: &impl Fn(&Page) -> T,
    ) -> MadePages<T> {
        let places = number * self.capacity()..(number + 1) * self.capacity();
        // The first sheet may begin late, the last may end early.
        let first = places.start.saturating_sub(self.first_place);
        let last = (places.end - self.first_place).min(self.document_count());
        let first_place = first + self.first_place - places.start;
        let mut made = MadePages::default();
        let mut leaves = Vec::with_capacity(last - first);
        if self.document.layout.makes == Makes::List {
            leaves = self.compose_list(worker, &mut made);
        } else {
            for index in first..last {
                let turn = self.turns.get(index, &self.document.selection);
                let before = made.findings.len();
                let composed = self.compose_turn(worker, turn, &mut made);
                self.gather(&mut leaves, composed, &mut made);
                if has_errors(&made.findings[before..]) {
                    made.faulty.push(turn.selected.place);
                }
            }
        }
        made.failed = has_errors(&made.findings);
        if made.failed && (self.purpose == PagesFor::Use || leaves.is_empty()) {
            return made;
        }
        let finish = |page: &Page| finish(&self.correct(page));
        let Some(plan) = &self.plan else {
            made.outputs = leaves.iter().flat_map(Leaf::sides).map(finish).collect();
            return made;
        };
        let sides = impose_leaves(plan, leaves, first_place);
        let found = self.inspect_sides(&sides);
        let is_off_sheet = has_errors(&found);
        made.findings.extend(found);
        made.failed |= is_off_sheet;
        if is_off_sheet && self.document.layout.makes != Makes::List {
            let turns = (first..last).map(|index| self.turns.get(index, &self.document.selection));
            made.faulty.extend(turns.map(|turn| turn.selected.place));
        }
        if self.purpose != PagesFor::Use || !made.failed {
            made.outputs = sides.iter().map(finish).collect();
        }
        made
    }

    /// Adds a parcel's pages to those of its sheet, as long as they can all be held.
    fn gather<T>(&self, leaves: &mut Vec<Leaf>, composed: Vec<Leaf>, made: &mut MadePages<T>) {
        leaves.extend(composed);
        let sides = leaves.iter().flat_map(Leaf::sides);
        let marks: usize = sides.map(|page| page.marks.len()).sum();
        if self.plan.is_none() || marks <= DOCUMENT_MARKS {
            return;
        }
        let subject = leaves.last().and_then(|leaf| leaf.front.subject.clone());
        let message = format!("the pages of one sheet have more than {DOCUMENT_MARKS} marks");
        let mut finding = Finding::new(&rules::LAYOUT_LIMIT, message)
            .at(self.document.layout.page.span)
            .hint("put fewer pages on a sheet, or less on each page");
        finding.subject = subject;
        made.findings.push(finding);
        // The sheet will not be printed: what follows is checked, but need not be held.
        leaves.clear();
    }
}

#[cfg(not(feature = "proof"))]
impl Run<'_> {
    /// Nothing is read back without the feature `proof`, and nothing can ask for it.
    fn prove<T>(
        &self,
        _page: &Page,
        _number: usize,
        _side: crate::sides::LeafSide,
        _made: &mut MadePages<T>,
    ) {
    }
}

/// The lower of two heights that may be missing.
fn least(one: Option<Mm>, other: Option<Mm>) -> Option<Mm> {
    match (one, other) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (one, other) => one.or(other),
    }
}
