//! Noticing that the ledger or the shop file is not what it was, whoever changed it.
//!
//! In: a folder. Out: that there is something new. The ledger is asked by its own means, which see what
//! any other connection entered, in this process or another. Not here: what is new.

use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;

use super::super::steady::{FileState, look_at};
use super::files::{ledger_in, shop_in};
use crate::ledger::Ledger;

/// How often is asked. Ours: pages must not be a second behind; asking takes 17 µs (the mean of
/// 10,000 times on a busy machine), so that a desk left alone for a day spends seven seconds of a processor.
const PAUSE: Duration = Duration::from_millis(200);

/// What was seen last.
pub(super) struct LedgerWatch {
    /// The ledger's file.
    path: PathBuf,
    /// How its file was, whatever it is; another one may be put into its place.
    state: Option<FileState>,
    /// The ledger, as long as there is one.
    open: Option<OpenToWatch>,
    /// The shop file.
    shop: PathBuf,
    /// How that file was; none while there is none.
    shop_state: Option<FileState>,
}

/// A ledger that is asked whether it has changed.
struct OpenToWatch {
    /// What is asked again and again.
    ledger: Ledger,
    /// The number that it answered last.
    mark: i64,
}

impl LedgerWatch {
    /// Begins to watch what is in a folder.
    pub(super) fn of(folder: &Path) -> LedgerWatch {
        let (path, shop) = (ledger_in(folder), shop_in(folder));
        let shop_state = look_at(&shop);
        let mut watch = LedgerWatch { path, state: None, open: None, shop, shop_state };
        watch.look();
        watch
    }

    /// Waits until something is not as it was.
    pub(super) fn wait(&mut self) {
        while !self.look() {
            thread::sleep(PAUSE);
        }
    }

    /// Looks whether something is not as it was when this was asked last.
    fn look(&mut self) -> bool {
        let shop = look_at(&self.shop);
        let is_new = shop != self.shop_state;
        self.shop_state = shop;
        self.look_at_ledger() || is_new
    }

    /// The same of the ledger alone.
    fn look_at_ledger(&mut self) -> bool {
        let state = look_at(&self.path);
        if let Some(open) = &mut self.open
            && self.state == state
            && let Ok(mark) = open.ledger.change_mark()
        {
            return std::mem::replace(&mut open.mark, mark) != mark;
        }
        let was_open = self.open.is_some();
        self.open = state.is_some().then(|| open_to_watch(&self.path)).flatten();
        // What is no ledger is news too, once.
        let is_other = std::mem::replace(&mut self.state, state.clone()) != state;
        is_other || was_open || self.open.is_some()
    }
}

/// Opens a ledger; one that cannot be opened yet is tried again at the next look.
fn open_to_watch(path: &Path) -> Option<OpenToWatch> {
    let ledger = Ledger::open(path).ok()?;
    let mark = ledger.change_mark().ok()?;
    Some(OpenToWatch { ledger, mark })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ledger::{ActStamp, Arrival, Moment};

    #[test]
    fn what_others_enter_is_noticed_once() {
        let folder = tempfile::tempdir().unwrap();
        let mut watch = LedgerWatch::of(folder.path());
        assert!(!watch.look(), "there is nothing");
        let path = ledger_in(folder.path());
        let mut other = Ledger::create(&path).unwrap();
        assert!(watch.look(), "a ledger appears");
        while watch.look() {}
        let stamp = ActStamp {
            at: Moment::parse("2026-11-27T19:00Z").unwrap(),
            by: "test".into(),
            request: None,
        };
        let order = Arrival { id: "TH-1", json: "{\"id\": \"TH-1\"}" };
        other.act(&stamp, |act| act.take_in(&[order])).unwrap();
        assert!(watch.look(), "somebody entered something");
        while watch.look() {}
        assert!(!watch.look());
        std::fs::write(shop_in(folder.path()), "shop: {name: A}").unwrap();
        assert!(watch.look() && !watch.look());
        drop(other);
        std::fs::remove_file(&path).unwrap();
        assert!(watch.look(), "the ledger is gone");
        assert!(!watch.look());
        std::fs::write(&path, "this is no ledger").unwrap();
        assert!(watch.look(), "something else is in its place");
        assert!(!watch.look(), "and stays there");
    }

    /// What a look costs, for the figure at `PAUSE`.
    #[test]
    #[ignore = "prints a figure"]
    fn what_a_look_costs() {
        let folder = tempfile::tempdir().unwrap();
        let _ledger = Ledger::create(&ledger_in(folder.path())).unwrap();
        let mut watch = LedgerWatch::of(folder.path());
        let began = std::time::Instant::now();
        (0..10_000).for_each(|_| assert!(!watch.look()));
        println!("a look takes {:?}", began.elapsed() / 10_000);
    }
}
