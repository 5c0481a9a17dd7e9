//! Hidden folders in which outputs are made until they are whole.
//!
//! In: the folder that an output is to appear in. Out: a folder in it that its owner alone can enter,
//! with a lock that is held as long as the run lives. What an interrupted run has made, it removes
//! itself (`interrupts`). What a killed one has left is known by its name and by a lock that nobody
//! holds; the next run in the same place ends what it had begun to rename (`journal`), puts back a kit
//! that had stepped aside, and removes it. Not here: what is made, and how it appears.

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};
use std::ffi::{OsStr, OsString};
use std::fs::{self, DirBuilder, File, TryLockError};
use std::hash::{BuildHasher as _, Hasher as _, RandomState};
use std::io;
use std::path::{Component, Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};

use super::journal;
use crate::kit::RECORD;

/// What the names of hidden folders begin with.
const PREFIX: &str = ".slipwright-";
/// What they end in.
const SUFFIX: &str = ".part";
/// The file in them whose lock says that the run lives.
const LOCK: &str = "lock";
/// The folder in them that holds a kit which has stepped aside, under its own name.
pub(super) const OLD: &str = "old";
/// How often another folder is made when a sweep was faster than the lock.
const ATTEMPTS: usize = 8;

/// A hidden folder, removed with all that is in it when it is no longer needed.
#[derive(Debug)]
pub(super) struct Scratch {
    /// Its whole path.
    path: PathBuf,
    /// The lock that says it is in use.
    _lock: File,
    /// How many files were named in it.
    named: AtomicUsize,
}

/// The hidden folders of this run.
struct Registry {
    /// All of them.
    all: BTreeSet<PathBuf>,
    /// Those that several outputs share, by the folder they are in.
    shared: BTreeMap<PathBuf, Weak<Scratch>>,
}

/// The hidden folders of this run; whoever makes or removes one holds it.
static REGISTRY: Mutex<Registry> =
    Mutex::new(Registry { all: BTreeSet::new(), shared: BTreeMap::new() });

/// Held while outputs appear, so that an interrupt waits until all of them are there.
static APPEARING: Mutex<()> = Mutex::new(());

impl Scratch {
    /// The folder that outputs share which are to appear in `parent`.
    ///
    /// # Errors
    /// When none can be made there.
    pub(super) fn shared(parent: &Path) -> io::Result<Arc<Scratch>> {
        let known = registry().shared.get(parent).and_then(Weak::upgrade);
        if let Some(known) = known {
            return Ok(known);
        }
        let made = Arc::new(Scratch::new(parent)?);
        registry().shared.insert(parent.to_owned(), Arc::downgrade(&made));
        Ok(made)
    }

    /// A folder of its own in `parent`, once what dead runs have left there is swept.
    ///
    /// # Errors
    /// When none can be made there.
    pub(super) fn new(parent: &Path) -> io::Result<Scratch> {
        sweep(parent);
        let mut last = io::Error::from(io::ErrorKind::ResourceBusy);
        for _ in 0..ATTEMPTS {
            let mut registry = registry();
            let path = new_folder(parent)?;
            match take_lock(&path) {
                Ok(lock) => {
                    registry.all.insert(path.clone());
                    return Ok(Scratch { path, _lock: lock, named: AtomicUsize::new(0) });
                }
                Err(error) => last = error,
            }
            let _ = fs::remove_dir_all(&path);
        }
        Err(last)
    }

    /// Its whole path, for files that are made in it.
    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// A name in it that no other file has.
    pub(super) fn new_name(&self) -> PathBuf {
        self.path.join(self.named.fetch_add(1, Ordering::Relaxed).to_string())
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let mut registry = registry();
        registry.all.remove(&self.path);
        let _ = remove_folder(&self.path);
    }
}

/// The hidden folders of this run.
fn registry() -> MutexGuard<'static, Registry> {
    REGISTRY.lock().unwrap_or_else(PoisonError::into_inner)
}

thread_local! {
    /// Whether this thread is at work that must not be interrupted.
    static IS_UNDISTURBED: Cell<bool> = const { Cell::new(false) };
}

/// Does what must not be interrupted half-way: an interrupt waits for it.
pub(super) fn undisturbed<T>(work: impl FnOnce() -> T) -> T {
    if IS_UNDISTURBED.get() {
        return work();
    }
    let _held = APPEARING.lock().unwrap_or_else(PoisonError::into_inner);
    IS_UNDISTURBED.set(true);
    let done = work();
    IS_UNDISTURBED.set(false);
    done
}

/// Removes all hidden folders of this run, and does `last` before any other can be made. Outputs that
/// are just appearing are waited for.
pub(super) fn remove_all(last: impl FnOnce()) {
    let _appeared = APPEARING.lock().unwrap_or_else(PoisonError::into_inner);
    let registry = registry();
    for path in &registry.all {
        // Pages may still be written into it.
        for _ in 0..ATTEMPTS {
            if remove_folder(path).is_ok() {
                break;
            }
        }
    }
    last();
}

/// A folder under a new name that its owner alone can enter.
fn new_folder(parent: &Path) -> io::Result<PathBuf> {
    #[cfg(unix)]
    let builder = {
        use std::os::unix::fs::DirBuilderExt as _;
        let mut builder = DirBuilder::new();
        builder.mode(0o700);
        builder
    };
    #[cfg(not(unix))]
    let builder = DirBuilder::new();
    loop {
        // Seeded anew each time by the standard library, so that two runs seldom try one name.
        let number = RandomState::new().build_hasher().finish();
        let path = parent.join(format!("{PREFIX}{number:016x}{SUFFIX}"));
        match builder.create(&path) {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            made => return made.map(|()| path),
        }
    }
}

/// Takes the lock of a new folder; fails when a sweep was faster.
fn take_lock(folder: &Path) -> io::Result<File> {
    let path = folder.join(LOCK);
    let lock = File::create_new(&path)?;
    // Where files cannot be locked nothing is swept either.
    if matches!(lock.try_lock(), Err(TryLockError::WouldBlock)) {
        return Err(io::Error::from(io::ErrorKind::ResourceBusy));
    }
    fs::metadata(&path).map(|_| lock)
}

/// Whether a name is one of a hidden folder.
pub(super) fn is_scratch(name: &OsStr) -> bool {
    let name = name.to_string_lossy();
    name.strip_prefix(PREFIX).is_some_and(|rest| rest.ends_with(SUFFIX))
}

/// Whether a path is one of a hidden folder.
fn is_scratch_path(path: &Path) -> bool {
    path.file_name().is_some_and(is_scratch)
}

/// A path as it will be when what is made has appeared: without hidden folders.
pub(super) fn without_scratch(path: &Path) -> PathBuf {
    let is_hidden =
        |part: &Component<'_>| matches!(part, Component::Normal(name) if is_scratch(name));
    if !path.components().any(|part| is_hidden(&part)) {
        return path.to_owned();
    }
    // The folder that one is in goes without saying.
    let parts = path.components().filter(|part| *part != Component::CurDir && !is_hidden(part));
    parts.collect()
}

/// Removes the hidden folders in `parent` that no living run holds, and puts kits back that had
/// stepped aside in them. What cannot be removed is left alone: it is in nobody's way.
pub(super) fn sweep(parent: &Path) {
    for entry in fs::read_dir(parent).into_iter().flatten().flatten() {
        let is_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
        if is_folder && is_scratch(&entry.file_name()) {
            sweep_one(parent, &entry.path());
        }
    }
}

/// Removes one hidden folder unless a living run holds it.
fn sweep_one(parent: &Path, path: &Path) {
    let Ok(lock) = File::open(path.join(LOCK)) else {
        // Killed before its first file, and empty; or not ours.
        let _ = fs::remove_dir(path);
        return;
    };
    if lock.try_lock().is_err() {
        return;
    }
    // The note about its files may be in another one, which must be ended while they are here.
    if let Some(decider) = journal::find_decider(path).filter(|decider| is_scratch_path(decider))
        && fs::canonicalize(path).is_ok_and(|own| own != decider)
        && decider.is_dir()
    {
        if let Some(parent) = decider.parent() {
            sweep_one(parent, &decider);
        }
        if decider.is_dir() {
            return;
        }
    }
    journal::end_note(path, is_scratch_path);
    if put_back(parent, &path.join(OLD)) {
        let _ = remove_folder(path);
    }
}

/// Removes a hidden folder, its lock last: without it the next run would not know it for ours, were
/// this one killed half-way.
fn remove_folder(path: &Path) -> io::Result<()> {
    for entry in fs::read_dir(path)? {
        let entry = entry?;
        if entry.file_type()?.is_dir() {
            fs::remove_dir_all(entry.path())?;
        } else if entry.file_name() != LOCK {
            fs::remove_file(entry.path())?;
        }
    }
    fs::remove_dir_all(path)
}

/// Puts a kit back that had stepped aside when its run was killed. Gives whether nothing is left
/// there that is needed: a kit stays where something else than a kit has taken its place.
fn put_back(parent: &Path, old: &Path) -> bool {
    let names: Vec<OsString> =
        fs::read_dir(old).into_iter().flatten().flatten().map(|entry| entry.file_name()).collect();
    names.iter().all(|name| {
        let place = parent.join(name);
        match fs::symlink_metadata(&place) {
            Ok(_) => place.join(RECORD).is_file(),
            Err(_) => fs::rename(old.join(name), place).is_ok(),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap();
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
    }

    #[test]
    fn what_a_dead_run_left_is_swept_and_what_a_living_one_holds_stays() {
        let folder = tempfile::tempdir().unwrap();
        let dead = folder.path().join(".slipwright-abc123.part");
        fs::create_dir(&dead).unwrap();
        fs::write(dead.join(LOCK), "").unwrap();
        fs::write(dead.join("labels.pdf"), "an address").unwrap();
        fs::create_dir(folder.path().join(".slipwright-def456.part")).unwrap();
        // Neither its name alone makes a folder ours, nor what lies in it.
        let other = folder.path().join(".slipwright-other.part");
        fs::create_dir(&other).unwrap();
        fs::write(other.join("letter.txt"), "hers").unwrap();
        let living = Scratch::new(folder.path()).unwrap();
        fs::write(living.new_name(), "a page").unwrap();
        sweep(folder.path());
        let hidden = living.path().file_name().unwrap().to_str().unwrap().to_owned();
        let mut left = names(folder.path());
        left.sort();
        let mut wanted = vec![hidden, ".slipwright-other.part".to_owned()];
        wanted.sort();
        assert_eq!(left, wanted);
        drop(living);
        assert_eq!(names(folder.path()), [".slipwright-other.part"]);
    }

    #[test]
    fn a_kit_that_had_stepped_aside_is_put_back() {
        let folder = tempfile::tempdir().unwrap();
        let dead = folder.path().join(".slipwright-abc123.part");
        fs::create_dir_all(dead.join("old/tonight")).unwrap();
        fs::write(dead.join(LOCK), "").unwrap();
        fs::write(dead.join("old/tonight/batch.json"), "{}").unwrap();
        sweep(folder.path());
        assert_eq!(names(folder.path()), ["tonight"]);
        assert_eq!(names(&folder.path().join("tonight")), ["batch.json"]);
    }

    #[test]
    fn its_owner_alone_can_enter_it_and_nobody_is_told_its_name() {
        let folder = tempfile::tempdir().unwrap();
        let scratch = Scratch::new(folder.path()).unwrap();
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            let mode = fs::metadata(scratch.path()).unwrap().permissions().mode();
            assert_eq!(mode & 0o777, 0o700);
        }
        let inside = scratch.path().join("tonight/labels.pdf");
        assert_eq!(without_scratch(&inside), folder.path().join("tonight/labels.pdf"));
        let here = Path::new("./.slipwright-abc123.part/tonight/labels.pdf");
        assert_eq!(without_scratch(here), Path::new("tonight/labels.pdf"));
        assert_eq!(without_scratch(Path::new("./out.pdf")).as_os_str(), "./out.pdf");
        let error = Scratch::new(&folder.path().join("no/such")).unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::NotFound);
        assert!(!error.to_string().contains("slipwright"), "{error}");
    }
}
