//! The preview of a layout: its pages as they will print, and what was found, linked both ways.
//!
//! In: looks at the files, one after the other ([`PreviewLook`]), each with pages or without. Out: the
//! last pages that there are, as pictures and as data, with every finding at its line and at the spots
//! of the pages that it is about. A page that cannot be made stays as it was last made, and says so. Not
//! here: looking at files (`cli`), and what the browser makes of it (`pages/preview.js`).

mod odd;
mod told;

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde_json::{Value, json};

use super::answer::HttpAnswer;
use super::bulletin::Bulletin;
use super::request::{HttpRequest, Method};
use super::server::DeskRoom;
use crate::export::{SvgOptions, render_png, render_svg};
use crate::findings::Finding;
use crate::fonts::FontBook;
use crate::scene::Page;
use crate::source::Sources;

use told::{tell_findings, tell_pages, tell_sources};

/// What one look at the files found.
pub(crate) struct PreviewLook {
    /// What the layout is called.
    pub(crate) layout: String,
    /// What the orders are called.
    pub(crate) orders: String,
    /// The pages, also those on which something is wrong; none when the layout could not be used.
    pub(crate) pages: Vec<Page>,
    /// The fonts that they name.
    pub(crate) book: Arc<FontBook>,
    /// Everything that was found.
    pub(crate) findings: Vec<Finding>,
    /// The texts that it was found in.
    pub(crate) sources: Sources,
    /// What else there is to say, such as that not all parcels are shown.
    pub(crate) remark: Option<String>,
}

/// A page with the look that it was made in.
#[derive(Clone)]
struct ShownPage {
    /// What is drawn when it is asked for.
    page: Arc<Page>,
    /// What it is drawn with.
    book: Arc<FontBook>,
    /// The number of the look.
    look: u64,
    /// Its findings and measures, as data.
    told: Value,
}

impl ShownPage {
    /// Whether another page is of the same orders, or both are of none; numbers of parcels change when
    /// an order before them cannot be read.
    fn is_of(&self, other: &Page) -> bool {
        let order = |page: &Page| page.subject.as_ref().map(|subject| subject.order.clone());
        order(&self.page) == order(other)
    }
}

/// What is shown.
#[derive(Default)]
struct PreviewState {
    /// How many looks there were.
    look: u64,
    /// The pages of the last look, and those of earlier ones that it could not make anew.
    pages: Vec<ShownPage>,
    /// What the browser gets.
    told: Value,
}

/// The preview's part of the desk.
#[derive(Default)]
pub(crate) struct PreviewRoom {
    /// What is shown.
    state: Mutex<PreviewState>,
    /// Whether the seller asked for another look.
    asked: AtomicBool,
    /// Where a look is told.
    bulletin: Arc<Bulletin>,
}

impl PreviewRoom {
    /// A room that tells its looks on a board.
    pub(crate) fn new(bulletin: Arc<Bulletin>) -> PreviewRoom {
        PreviewRoom { bulletin, ..PreviewRoom::default() }
    }

    /// What is shown; half of it is better than nothing.
    fn lock(&self) -> MutexGuard<'_, PreviewState> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Shows what a look found.
    pub(crate) fn show(&self, look: PreviewLook) {
        // All that takes long comes before the lock: only this writes, others read meanwhile.
        let number = self.lock().look + 1;
        let told = tell_pages(&look);
        let (findings, sources) = (tell_findings(&look), tell_sources(&look.sources));
        let book = look.book.clone();
        let shown = |(page, told): (&Page, Value)| ShownPage {
            page: Arc::new(page.clone()),
            book: Arc::clone(&book),
            look: number,
            told,
        };
        let new: Vec<ShownPage> = look.pages.iter().zip(told).map(shown).collect();
        let mut state = self.lock();
        let pages = keep_missing(std::mem::take(&mut state.pages), new, has_missing(&look));
        let told: Vec<Value> = pages.iter().map(|page| tell_shown(page, number)).collect();
        state.told = json!({
            "look": number,
            "layout": look.layout,
            "orders": look.orders,
            "remark": look.remark,
            "pages": told,
            "findings": findings,
            "sources": sources,
        });
        state.pages = pages;
        state.look = number;
        drop(state);
        self.bulletin.tell();
    }

    /// What is told of the last look; null before there was one.
    pub(crate) fn told(&self) -> Value {
        self.lock().told.clone()
    }

    /// Whether the seller asked for another look since this was asked last.
    pub(crate) fn take_wish(&self) -> bool {
        self.asked.swap(false, Ordering::Relaxed)
    }

    /// A page as a picture, by its place in what is shown.
    fn draw(&self, name: &str) -> Option<HttpAnswer> {
        let (place, ending) = name.split_once('.')?;
        let shown = self.lock().pages.get(place.parse::<usize>().ok()?)?.clone();
        match ending {
            "svg" => {
                let svg = render_svg(&shown.page, &shown.book, &SvgOptions::default());
                Some(HttpAnswer::of("image/svg+xml", svg.into_bytes()))
            }
            "png" => {
                let dots = render_png(&shown.page, &shown.book).ok()?;
                Some(HttpAnswer::of("image/png", dots))
            }
            _ => None,
        }
    }
}

impl DeskRoom for PreviewRoom {
    fn front(&self) -> &'static str {
        "/preview"
    }

    fn answer(&self, request: &HttpRequest) -> Option<HttpAnswer> {
        match (request.method, &*request.path) {
            (Method::Get, "/preview/look") => Some(HttpAnswer::json(&self.lock().told)),
            (Method::Post, "/preview/again") if request.body.is_empty() => {
                self.asked.store(true, Ordering::Relaxed);
                Some(HttpAnswer::json(&json!({})))
            }
            (Method::Get, path) => self.draw(path.strip_prefix("/preview/pages/")?),
            (Method::Post, _) => None,
        }
    }
}

/// Whether a look may have left pages out: only errors do that.
fn has_missing(look: &PreviewLook) -> bool {
    look.findings.iter().any(Finding::is_error)
}

/// The new pages, and in their places the old ones of parcels that have none any more because of errors.
fn keep_missing(old: Vec<ShownPage>, new: Vec<ShownPage>, missing: bool) -> Vec<ShownPage> {
    if !missing {
        return new;
    }
    let is_made = |page: &ShownPage| new.iter().any(|made| page.is_of(&made.page));
    let missing: Vec<_> = old.into_iter().enumerate().filter(|(_, page)| !is_made(page)).collect();
    let mut pages = new;
    for (place, page) in missing {
        pages.insert(place.min(pages.len()), page);
    }
    pages
}

/// A page as it is told: what was said when it was made, and whether that is of an earlier look.
fn tell_shown(shown: &ShownPage, look: u64) -> Value {
    let mut told = shown.told.clone();
    told["look"] = json!(shown.look);
    told["old"] = json!(shown.look != look);
    if shown.look != look {
        // Their numbers are of findings that are no longer told.
        told["spots"] = json!([]);
    }
    told
}
