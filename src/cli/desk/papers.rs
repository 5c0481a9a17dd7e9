//! The papers of a line: as they would be printed now, and those that are made.
//!
//! `GET /print` is what `slipwright ledger print --dry-run` says, with the pages it would make;
//! `GET /print/DRAWING/DOCUMENT/PAGE.svg` is one of them. `GET /papers/FOLDER/FILE.pdf` is a document that
//! was made; `POST /counter-list` makes the list of what goes to the counter. Not here: making them (`ledger`).

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use serde_json::{Value, json};

use super::super::halt::Halt;
use super::super::kit::DrawnDocument;
use super::super::ledger::{DrawnPapers, draw_papers};
use super::acts::{on_own_thread, run_command};
use super::files::{cannot_keep, ledger_in};
use super::forms::start_words;
use crate::desk::HttpAnswer;
use crate::export::{SvgOptions, render_svg};
use crate::findings::{Finding, Severity};
use crate::scene::Page;

/// What kits of sittings are called, before their numbers.
const KIT: &str = "sitting-";

/// The folder of lists that are made as things are then; a kit's folder holds what it was made with.
const LISTS: &str = "lists";

/// What later prints of a sitting are called, within its kit.
const REPRINT: &str = "reprint-";

/// The papers of a desk's folder.
pub(super) struct Papers {
    /// The folder that the desk is open in.
    folder: PathBuf,
    /// What was drawn last, with its number.
    drawn: Mutex<Option<(u64, Arc<DrawnPapers>)>>,
    /// How often was drawn.
    count: AtomicU64,
}

impl Papers {
    /// Begins with nothing printed and nothing drawn.
    pub(super) fn of(folder: &Path) -> Papers {
        Papers { folder: folder.to_owned(), drawn: Mutex::default(), count: AtomicU64::new(0) }
    }

    /// What would be printed, drawn, and what is made.
    pub(super) fn tell(&self) -> Value {
        let mut words = start_words(&self.folder, "print");
        words.push("--dry-run".into());
        let plan = run_command(&words).map(|outcome| outcome.to_json());
        let ledger = ledger_in(&self.folder);
        let drawn = on_own_thread(|| draw_papers(&ledger));
        // What keeps them from being drawn keeps them from being printed, and the plan says it.
        let drawn = drawn.and_then(Result::<_, Halt>::ok).map(Arc::new);
        let number = self.count.fetch_add(1, Ordering::Relaxed) + 1;
        let told = drawn.as_ref().map(|drawn| tell_drawn(drawn));
        *self.drawn.lock().unwrap_or_else(PoisonError::into_inner) = drawn.map(|it| (number, it));
        // Another sitting's labels beside this one's would be printed for them.
        let sitting = plan.as_ref().and_then(|plan| plan["answer"]["sitting"]["number"].as_u64());
        let made = sitting.map(|number| self.list_made(&format!("{KIT}{number}")));
        let made = made.unwrap_or_default();
        json!({"plan": plan, "drawing": number, "drawn": told, "made": made})
    }

    /// A page as it would be printed, by its address below `/print/`.
    pub(super) fn draw(&self, name: &str) -> Option<HttpAnswer> {
        let mut parts = name.strip_suffix(".svg")?.splitn(3, '/').map(|part| part.parse::<u64>());
        let mut next = || parts.next()?.ok();
        let (number, document, page) = (next()?, next()?, next()?);
        let last = self.drawn.lock().unwrap_or_else(PoisonError::into_inner).clone();
        let drawn = last.filter(|(known, _)| *known == number)?.1;
        let document = drawn.line.documents.get(usize::try_from(document).ok()?)?;
        let page = document.pages.get(usize::try_from(page).ok()?)?;
        let svg = render_svg(page, &drawn.book, &SvgOptions::default());
        Some(HttpAnswer::of("image/svg+xml", svg.into_bytes()))
    }

    /// Makes the list of what goes to the counter, as it is now.
    pub(super) fn list_counter(&self) -> HttpAnswer {
        let folder = self.folder.join(LISTS);
        if let Err(error) = std::fs::create_dir_all(&folder) {
            return cannot_keep(&error);
        }
        let mut words = start_words(&self.folder, "print");
        let mut to = OsString::from("--to=");
        to.push(&folder);
        words.extend(["--list=hand-over".into(), to]);
        let Some(outcome) = run_command(&words) else {
            return HttpAnswer::words(500, "the program failed at this list");
        };
        let mut told = outcome.to_json();
        let file = told["answer"]["file"].as_str().map(Path::new).and_then(Path::file_name);
        told["document"] = json!(file.map(|file| format!("{LISTS}/{}", file.to_string_lossy())));
        HttpAnswer::json(&told)
    }

    /// The documents that were made of a sitting, by folder, those of its newest print first.
    fn list_made(&self, kit: &str) -> Vec<Value> {
        let mut folders = numbered_in(&self.folder.join(kit), REPRINT);
        folders.reverse();
        let within = folders.iter().map(|name| format!("{kit}/{name}"));
        let told = within.chain([kit.to_owned()]).map(|folder| {
            let files = list_pdfs(&self.folder.join(&folder));
            json!({"folder": folder, "files": files})
        });
        told.filter(|told| told["files"] != json!([])).collect()
    }

    /// The file of a document that was made, by its folder and name. Only names that a listing has lead
    /// anywhere.
    pub(super) fn find(&self, name: &str) -> Option<PathBuf> {
        let (folder, file) = name.rsplit_once('/')?;
        if folder == LISTS {
            let lists = self.folder.join(LISTS);
            // A link may lead out of the folder.
            let is_own = std::fs::symlink_metadata(&lists).is_ok_and(|known| known.is_dir());
            let is_listed = is_own && list_pdfs(&lists).iter().any(|known| known == file);
            return is_listed.then(|| lists.join(file));
        }
        let kits = numbered_in(&self.folder, KIT);
        let is_listed = kits.iter().flat_map(|kit| self.list_made(kit)).any(|made| {
            let files = made["files"].as_array();
            made["folder"] == *folder && files.is_some_and(|files| files.contains(&json!(file)))
        });
        is_listed.then(|| self.folder.join(folder).join(file))
    }

    /// A document that was made, by its address below `/papers/`.
    pub(super) fn open(&self, name: &str) -> Option<HttpAnswer> {
        let bytes = std::fs::read(self.find(name)?).ok()?;
        Some(HttpAnswer::of("application/pdf", bytes))
    }
}

/// What was drawn, without its pages' marks.
fn tell_drawn(drawn: &DrawnPapers) -> Value {
    let tell_page = |page: &Page| {
        let (width, height) = (page.size.width.0, page.size.height.0);
        json!({"title": page.title, "width": width, "height": height})
    };
    let tell = |document: &DrawnDocument| {
        let pages: Vec<Value> = document.pages.iter().map(tell_page).collect();
        json!({"file": document.file, "stock": document.stock, "pages": pages})
    };
    let documents: Vec<Value> = drawn.line.documents.iter().map(tell).collect();
    let heavy = |found: &&Finding| found.severity != Severity::Note;
    let found = drawn.line.findings.iter().filter(heavy);
    let found: Vec<Value> = found.map(|found| found.to_json(&drawn.sources)).collect();
    json!({"documents": documents, "findings": found})
}

/// The kit of the newest sitting that has one.
pub(super) fn newest_kit(folder: &Path) -> Option<PathBuf> {
    numbered_in(folder, KIT).last().map(|name| folder.join(name))
}

/// The folders in one whose names are a word and a number, by their numbers.
fn numbered_in(folder: &Path, word: &str) -> Vec<String> {
    let listed = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let numbered = listed.filter_map(|entry| {
        let name = entry.file_name().into_string().ok()?;
        let number: u32 = name.strip_prefix(word)?.parse().ok()?;
        // A link may lead out of the folder.
        entry.file_type().ok().filter(std::fs::FileType::is_dir)?;
        Some((number, name))
    });
    let mut numbered: Vec<(u32, String)> = numbered.collect();
    numbered.sort();
    numbered.into_iter().map(|(_, name)| name).collect()
}

/// The documents in a folder, in the order in which they are printed: labels first.
fn list_pdfs(folder: &Path) -> Vec<String> {
    let listed = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let files = listed.filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_file()));
    let names = files.filter_map(|entry| entry.file_name().into_string().ok());
    let plain = |name: &String| {
        name.ends_with(".pdf")
            && name.bytes().all(|b| b.is_ascii_alphanumeric() || b"-._".contains(&b))
    };
    let mut names: Vec<String> = names.filter(plain).collect();
    names.sort_by_key(|name| (name != "labels.pdf", name.clone()));
    names
}
