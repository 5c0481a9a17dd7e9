//! Pages of existing PDFs: each file opened once, each page fetched once, however often it is used.
//!
//! A batch may name a file for every parcel, so what is held is bounded: the files longest unused
//! are let go, and read again should they be asked for. A file read again keeps its identity, so
//! that an output file takes its pages for the same.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use foldhash::fast::FixedState;

use crate::diag::Diagnostic;
use crate::images::{ImportedPage, PdfFile, PdfIdentity, PdfImportError};
use crate::layout::FileHome;
use crate::source::Env;

/// How many bytes of files and pages are held before the oldest are let go.
const HELD_BYTES: usize = 96 << 20;

/// Why a page cannot be had.
#[derive(Clone, Debug)]
pub(super) enum PageFault {
    /// The file's name leads out of its folder.
    Outside,
    /// The file cannot be read, in the system's words.
    Unreadable(String),
    /// The file was written to while it was used.
    Changed,
    /// The file or the page is refused.
    Refused(PdfImportError),
}

impl PageFault {
    /// The fault as a person sees it.
    pub(super) fn explain(&self, file: &str, home: FileHome) -> Diagnostic {
        let beside = match home {
            FileHome::Orders => "the orders",
            FileHome::Layout => "the layout",
        };
        match self {
            PageFault::Outside => Diagnostic::error(
                "pdf-page-outside",
                format!("the PDF `{file}` lies outside the folder of {beside}"),
            )
            .hint(format!("put the file beside {beside}, or into a folder there")),
            PageFault::Unreadable(words) => Diagnostic::error(
                "pdf-page-unreadable",
                format!("the PDF `{file}` cannot be read: {words}"),
            )
            .hint(format!("put the file beside {beside}, or mend its name")),
            PageFault::Changed => Diagnostic::error(
                "pdf-page-changed",
                format!("the PDF `{file}` was changed while it was being read"),
            )
            .hint("run it again"),
            PageFault::Refused(error) => error.diagnostic(file),
        }
    }
}

/// A page, or why it cannot be had.
type Found = Result<Arc<ImportedPage>, PageFault>;

/// The PDFs of one run.
#[derive(Default)]
pub(super) struct PageStore {
    /// What is open.
    shelf: Mutex<Shelf>,
}

/// Open files and how much they hold.
#[derive(Default)]
struct Shelf {
    /// The files by their paths.
    slots: BTreeMap<PathBuf, Slot>,
    /// The files by when they were last used.
    by_use: BTreeMap<u64, PathBuf>,
    /// Counts uses.
    clock: u64,
    /// Bytes held in all slots.
    held: usize,
}

/// A file's place on the shelf.
#[derive(Default)]
struct Slot {
    /// The file.
    file: Arc<Mutex<OpenFile>>,
    /// When it was last used.
    used: u64,
    /// The bytes it held then.
    held: usize,
}

/// A file that was asked for.
#[derive(Default)]
struct OpenFile {
    /// Its identity and the hash of its bytes, from the first reading on.
    identity: Option<(PdfIdentity, u64)>,
    /// The file; none before it is read and after it is let go.
    file: Option<PdfFile>,
    /// Why there is no file.
    fault: Option<PageFault>,
    /// Its pages so far, by number.
    pages: BTreeMap<usize, Found>,
    /// The bytes of these pages.
    page_bytes: usize,
}

/// The system's words for a failure, without its number.
pub(super) fn describe_failure(error: &io::Error) -> String {
    let words = error.to_string().to_lowercase();
    words.split(" (os error").next().unwrap_or_default().to_owned()
}

/// Takes a lock whatever became of those who had it: what is inside is whole between two steps.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl PageStore {
    /// A page of a file, read when first asked for.
    pub(super) fn get(&self, env: &dyn Env, path: &Path, number: usize) -> Found {
        let file = lock(&self.shelf).take(path);
        let mut open = lock(&file);
        let found = open.page(env, path, number);
        let held = open.held();
        drop(open);
        lock(&self.shelf).put_back(path, held);
        found
    }
}

impl Shelf {
    /// The file of a path, used now.
    fn take(&mut self, path: &Path) -> Arc<Mutex<OpenFile>> {
        self.clock += 1;
        let slot = self.slots.entry(path.to_owned()).or_default();
        self.by_use.remove(&slot.used);
        slot.used = self.clock;
        self.by_use.insert(self.clock, path.to_owned());
        Arc::clone(&slot.file)
    }

    /// Notes how much a file holds, and lets others go when all hold too much.
    fn put_back(&mut self, path: &Path, held: usize) {
        if let Some(slot) = self.slots.get_mut(path) {
            self.held = self.held + held - slot.held;
            slot.held = held;
        }
        while self.held > HELD_BYTES {
            let Some((_, oldest)) = self.by_use.pop_first() else { return };
            if oldest == path {
                self.by_use.insert(self.slots.get(path).map_or(0, |slot| slot.used), oldest);
                return;
            }
            if let Some(slot) = self.slots.get_mut(&oldest) {
                // One that is just being used counts itself again when it is put back.
                if let Ok(mut open) = slot.file.try_lock() {
                    open.forget();
                }
                self.held -= slot.held;
                slot.held = 0;
            }
        }
    }
}

impl OpenFile {
    /// A page of this file.
    fn page(&mut self, env: &dyn Env, path: &Path, number: usize) -> Found {
        if let Some(known) = self.pages.get(&number) {
            return known.clone();
        }
        let found = match self.open(env, path) {
            Ok(file) => file.page(number).map(Arc::new).map_err(PageFault::Refused),
            Err(fault) => return Err(fault),
        };
        self.page_bytes += found.as_ref().map_or(0, |page| page.byte_count());
        self.pages.insert(number, found.clone());
        found
    }

    /// The file itself.
    fn open(&mut self, env: &dyn Env, path: &Path) -> Result<&PdfFile, PageFault> {
        if let Some(fault) = &self.fault {
            return Err(fault.clone());
        }
        let file = match self.file.take() {
            Some(file) => Ok(file),
            None => self.read(env, path),
        };
        match file {
            Ok(file) => Ok(self.file.insert(file)),
            Err(fault) => {
                self.fault = Some(fault.clone());
                Err(fault)
            }
        }
    }

    /// Reads the file.
    fn read(&mut self, env: &dyn Env, path: &Path) -> Result<PdfFile, PageFault> {
        let bytes =
            env.read(path).map_err(|error| PageFault::Unreadable(describe_failure(&error)))?;
        let hash = std::hash::BuildHasher::hash_one(&FixedState::default(), &bytes);
        if self.identity.as_ref().is_some_and(|(_, known)| *known != hash) {
            return Err(PageFault::Changed);
        }
        let file = PdfFile::open(bytes).map_err(PageFault::Refused)?;
        let (identity, _) = self.identity.get_or_insert_with(|| (file.identity(), hash));
        Ok(file.identified(identity.clone()))
    }

    /// The bytes it holds.
    fn held(&self) -> usize {
        let pages = self.pages.values().filter_map(|page| page.as_ref().ok());
        let drawn: usize = pages.map(|page| page.drawn_bytes()).sum();
        self.page_bytes + drawn + self.file.as_ref().map_or(0, PdfFile::byte_count)
    }

    /// Lets go what can be read again.
    fn forget(&mut self) {
        self.file = None;
        self.pages.clear();
        self.page_bytes = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
}
