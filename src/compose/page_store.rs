//! Pages of existing PDFs: each file opened once, each page fetched once, however often it is used.
//!
//! A batch may name a file for every parcel, so what is held is bounded: the files longest unused
//! are let go, and read again should they be asked for. A file read again keeps its identity, so
//! that an output file takes its pages for the same.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use foldhash::fast::FixedState;

use crate::findings::{Finding, rules};
use crate::images::{ImportedPage, PdfFile, PdfIdentity, PdfImportError};
use crate::layout::FileHome;
use crate::source::{Env, describe_failure};

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
    pub(super) fn explain(&self, file: &str, home: FileHome) -> Finding {
        let beside = match home {
            FileHome::Orders => "the orders",
            FileHome::Layout => "the layout",
        };
        match self {
            PageFault::Outside => Finding::new(
                &rules::PDF_PAGE_OUTSIDE,
                format!("the PDF `{file}` lies outside the folder of {beside}"),
            )
            .hint(format!("put the file beside {beside}, or into a folder there")),
            PageFault::Unreadable(words) => Finding::new(
                &rules::PDF_PAGE_UNREADABLE,
                format!("the PDF `{file}` cannot be read: {words}"),
            )
            .hint(format!("put the file beside {beside}, or mend its name")),
            PageFault::Changed => Finding::new(
                &rules::PDF_PAGE_CHANGED,
                format!("the PDF `{file}` was changed while it was being read"),
            )
            .hint("run it again"),
            PageFault::Refused(error) => error.finding(file),
        }
    }
}

/// A page, or why it cannot be had.
type FoundPage = Result<Arc<ImportedPage>, PageFault>;

/// The PDFs of one run.
#[derive(Default)]
pub(super) struct PageStore {
    /// What is open.
    shelf: Mutex<FileShelf>,
}

/// Open files and how much they hold.
#[derive(Default)]
struct FileShelf {
    /// The files by their paths; the longest unused go when too much is held.
    slots: BTreeMap<PathBuf, FileSlot>,
    /// The files by when they were last used.
    by_use: BTreeMap<u64, PathBuf>,
    /// Counts uses.
    clock: u64,
    /// Bytes held in all slots.
    held: usize,
}

/// A file's place on the shelf.
#[derive(Default)]
struct FileSlot {
    /// What is open of it; locked while a page is read.
    file: Arc<Mutex<OpenPdf>>,
    /// When it was last used.
    used: u64,
    /// The bytes it held then.
    held: usize,
}

/// A file that was asked for.
#[derive(Default)]
struct OpenPdf {
    /// Its identity and the hash of its bytes, from the first reading on.
    identity: Option<(PdfIdentity, u64)>,
    /// The file; none before it is read and after it is let go.
    file: Option<PdfFile>,
    /// Why there is no file.
    fault: Option<PageFault>,
    /// Its pages so far, by number.
    pages: BTreeMap<usize, FoundPage>,
    /// The bytes of these pages.
    page_bytes: usize,
}

/// Takes a lock whatever became of those who had it: what is inside is whole between two steps.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl PageStore {
    /// A page of a file, read when first asked for.
    pub(super) fn get(&self, env: &dyn Env, path: &Path, number: usize) -> FoundPage {
        let file = lock(&self.shelf).take(path);
        let mut open = lock(&file);
        let found = open.page(env, path, number);
        let held = open.held();
        drop(open);
        lock(&self.shelf).put_back(path, held);
        found
    }
}

impl FileShelf {
    /// The file of a path, used now.
    fn take(&mut self, path: &Path) -> Arc<Mutex<OpenPdf>> {
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

impl OpenPdf {
    /// A page of this file.
    fn page(&mut self, env: &dyn Env, path: &Path, number: usize) -> FoundPage {
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

    /// Reads it, again or for the first time; one that has other bytes than before is refused.
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
    use std::io;
    use std::sync::atomic::{AtomicUsize, Ordering};

    use super::*;
    use crate::images::SharedObjects;

    /// A world of one PDF, which counts how often it is read and may change with every reading.
    struct OneFile {
        /// How often it was read.
        reads: AtomicUsize,
        /// Whether it changes.
        changes: bool,
    }

    impl Env for OneFile {
        fn read(&self, _path: &Path) -> io::Result<Vec<u8>> {
            let count = self.reads.fetch_add(1, Ordering::Relaxed);
            Ok(small_pdf(if self.changes { count } else { 0 }))
        }
    }

    /// A PDF of one page with a line of some length.
    fn small_pdf(length: usize) -> Vec<u8> {
        let content = format!("0 0 m {length} 9 l S");
        let bodies = [
            "<</Type/Catalog/Pages 2 0 R>>".to_owned(),
            "<</Type/Pages/Kids[3 0 R]/Count 1>>".to_owned(),
            "<</Type/Page/Parent 2 0 R/MediaBox[0 0 99 99]/Contents 4 0 R/Resources<<>>>>"
                .to_owned(),
            format!("<</Length {}>>\nstream\n{content}\nendstream", content.len()),
        ];
        let (mut file, mut rows) = (String::from("%PDF-1.7\n"), String::new());
        for (number, body) in (1..).zip(bodies) {
            rows.push_str(&format!("{:010} 00000 n \n", file.len()));
            file.push_str(&format!("{number} 0 obj\n{body}\nendobj\n"));
        }
        let start = file.len();
        file.push_str(&format!("xref\n0 5\n0000000000 65535 f \n{rows}"));
        file.push_str(&format!("trailer\n<</Size 5/Root 1 0 R>>\nstartxref\n{start}\n%%EOF\n"));
        file.into_bytes()
    }

    /// A world, and a store that has used its file and let it go again.
    fn let_go(changes: bool) -> (OneFile, PageStore, Arc<ImportedPage>) {
        let env = OneFile { reads: AtomicUsize::new(0), changes };
        let store = PageStore::default();
        let page = store.get(&env, Path::new("a.pdf"), 1).unwrap();
        assert!(store.get(&env, Path::new("a.pdf"), 1).is_ok());
        assert_eq!(env.reads.load(Ordering::Relaxed), 1, "a file is read once");
        lock(&store.shelf).slots.values().for_each(|slot| lock(&slot.file).forget());
        (env, store, page)
    }

    #[test]
    fn a_file_read_again_is_the_same_file_to_an_output() {
        let (env, store, first) = let_go(false);
        let again = store.get(&env, Path::new("a.pdf"), 1).unwrap();
        assert_eq!(env.reads.load(Ordering::Relaxed), 2);
        let mut shared = SharedObjects::new();
        let mut written = Vec::new();
        for page in [first, again] {
            let mut next = 10 + written.len() as i32;
            let allocate = || {
                next += 1;
                next
            };
            let put = |number, _: &[u8]| {
                written.push(number);
                Ok::<(), io::Error>(())
            };
            page.write_objects(&mut shared, allocate, put).unwrap();
        }
        assert_eq!(written, [11], "its one form is written once");
    }

    #[test]
    fn a_file_that_changes_meanwhile_is_refused() {
        let (env, store, _) = let_go(true);
        let fault = store.get(&env, Path::new("a.pdf"), 1).unwrap_err();
        let said = fault.explain("a.pdf", FileHome::Orders).message;
        assert_eq!(said, "the PDF `a.pdf` was changed while it was being read");
    }

    #[test]
    fn files_longest_unused_are_let_go_first() {
        let mut shelf = FileShelf::default();
        for name in ["a", "b", "c"] {
            shelf.take(Path::new(name));
            shelf.put_back(Path::new(name), HELD_BYTES / 3);
        }
        shelf.take(Path::new("a"));
        shelf.put_back(Path::new("a"), HELD_BYTES / 2);
        let held = |name: &str| shelf.slots[Path::new(name)].held > 0;
        assert_eq!((held("a"), held("b"), held("c")), (true, false, true));
        assert_eq!(shelf.held, HELD_BYTES / 2 + HELD_BYTES / 3);
    }
}
