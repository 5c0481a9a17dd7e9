//! Noticing that the folder or the ledger of this run is gone, so that no other is begun in its place.
//!
//! In: a folder. Out: a refusal, once there was a ledger and none is there any more. Not here: a ledger
//! that is there and cannot be read, which its verbs say.

use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};

use super::super::halt::Halt;
use super::super::output::show_path;
use super::files::ledger_in;

/// The folder of this run, and whether its ledger was ever seen.
pub(super) struct LedgerPlace {
    /// The folder with its whole path.
    folder: PathBuf,
    /// Whether there was a ledger at some look.
    was_there: AtomicBool,
}

impl LedgerPlace {
    /// Notes whether a ledger is there as the desk opens, so that its loss is seen later.
    pub(super) fn of(folder: PathBuf) -> LedgerPlace {
        let was_there = AtomicBool::new(ledger_in(&folder).exists());
        LedgerPlace { folder, was_there }
    }

    /// Whether there is a ledger now.
    pub(super) fn is_there(&self) -> bool {
        let is_there = ledger_in(&self.folder).exists();
        self.was_there.fetch_or(is_there, Ordering::Relaxed);
        is_there
    }

    /// What is gone, if anything is.
    pub(super) fn loss(&self) -> Option<Halt> {
        let folder = show_path(&self.folder);
        if !self.folder.is_dir() {
            let lost = Halt::usage(format!("the folder {folder} is gone"));
            return Some(lost.hint("put it back where it was"));
        }
        if self.is_there() || !self.was_there.load(Ordering::Relaxed) {
            return None;
        }
        let lost = Halt::usage(format!("the ledger of this evening is gone from {folder}"));
        Some(lost.hint("put it back, or its newest backup, as `slipwright.ledger`"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ledger_is_gone_only_after_it_was_there() {
        let inside = tempfile::tempdir().unwrap();
        let folder = inside.path().join("evening");
        std::fs::create_dir(&folder).unwrap();
        let place = LedgerPlace::of(folder.clone());
        assert!(place.loss().is_none(), "the first evening begins without one");
        let ledger = ledger_in(&folder);
        std::fs::write(&ledger, "").unwrap();
        assert!(place.is_there() && place.loss().is_none());
        std::fs::remove_file(&ledger).unwrap();
        assert!(place.loss().is_some());
        std::fs::write(&ledger, "").unwrap();
        assert!(place.loss().is_none(), "it is back");
        std::fs::remove_dir_all(&folder).unwrap();
        assert!(place.loss().is_some());
    }
}
