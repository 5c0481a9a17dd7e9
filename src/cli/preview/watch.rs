//! Noticing that a file was saved.
//!
//! In: the files that a look read or looked for. Out: that one of them, or what is in their folders, is
//! no longer as it was. Files are asked one by one, some tens of them every few milliseconds: that takes
//! no crate, works on disks of other machines too, where the system tells of no changes, and sees a file
//! that an editor puts into the place of the old one. Not here: reading them.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, Instant};

use super::super::steady::{FileState, look_at};

/// How often files are asked while a page shows them. Ours: a look at thirty takes a tenth of a
/// millisecond.
const PAUSE: Duration = Duration::from_millis(12);

/// How often they are asked while nobody looks.
const LONG_PAUSE: Duration = Duration::from_millis(250);

/// How long a file may be gone that is being saved: some editors take the old one away first.
const ABSENCE: Duration = Duration::from_millis(200);

/// The files that are watched, as they were when they were looked at.
#[derive(Debug, Default)]
pub(super) struct Watch {
    /// Each with its state; none for what is not there.
    known: BTreeMap<PathBuf, Option<FileState>>,
}

impl Watch {
    /// Notes how all files are before they are read again.
    pub(super) fn note(&mut self) {
        for (path, state) in &mut self.known {
            *state = look_at(path);
        }
    }

    /// Watches these files and the folders that they are in, and no others. Those that were noted before
    /// they were read keep what was noted.
    pub(super) fn set(&mut self, files: impl IntoIterator<Item = PathBuf>) {
        let with_folders = files.into_iter().flat_map(|file| {
            let folder = match file.parent() {
                Some(folder) if folder != Path::new("") => folder.to_owned(),
                _ => PathBuf::from("."),
            };
            [folder, file]
        });
        let mut known = std::mem::take(&mut self.known);
        for path in with_folders {
            let state = known.remove(&path).unwrap_or_else(|| look_at(&path));
            self.known.insert(path, state);
        }
    }

    /// Waits until something is changed or `wished` for.
    pub(super) fn wait(&self, is_heard: bool, wished: impl Fn() -> bool) {
        let pause = if is_heard { PAUSE } else { LONG_PAUSE };
        while !self.is_changed() && !wished() {
            thread::sleep(pause);
        }
        let until = Instant::now() + ABSENCE;
        while self.is_one_gone() && Instant::now() < until {
            thread::sleep(PAUSE);
        }
    }

    /// Whether anything is not as it was.
    fn is_changed(&self) -> bool {
        self.known.iter().any(|(path, state)| look_at(path) != *state)
    }

    /// Whether a file is gone that was there.
    fn is_one_gone(&self) -> bool {
        self.known.iter().any(|(path, state)| state.is_some() && look_at(path).is_none())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn a_save_in_place_and_one_by_renaming_are_both_seen() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("layout.yaml");
        fs::write(&file, "one").unwrap();
        let mut watch = Watch::default();
        watch.set([file.clone()]);
        assert!(!watch.is_changed());
        fs::write(&file, "other").unwrap();
        assert!(watch.is_changed());
        watch.note();
        assert!(!watch.is_changed());
        let new = folder.path().join("new");
        fs::write(&new, "other").unwrap();
        fs::rename(new, &file).unwrap();
        assert!(watch.is_changed());
        watch.note();
        fs::remove_file(&file).unwrap();
        assert!(watch.is_one_gone() && watch.is_changed());
    }
}
