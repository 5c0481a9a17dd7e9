//! What the system says of the files in folders.
//!
//! In: folders. Out: that a file in one of them was written and closed, or put there. Linux tells it by
//! inotify(7), through a crate that is there anyway; of what other machines do on a shared disk it tells
//! nothing, and other systems are not asked: there only time passes. Not here: what became of the files
//! (`watch`).

use std::collections::{BTreeMap, BTreeSet};
#[cfg(target_os = "linux")]
use std::mem::MaybeUninit;
#[cfg(target_os = "linux")]
use std::os::fd::OwnedFd;
use std::path::PathBuf;
use std::thread;
use std::time::Duration;

#[cfg(target_os = "linux")]
use rustix::event::{PollFd, PollFlags, Timespec, poll};
#[cfg(target_os = "linux")]
use rustix::fs::inotify::{CreateFlags, Reader, WatchFlags, add_watch, init, remove_watch};

/// What ends a save. That a file is begun, grows or is taken away may only be half of one.
#[cfg(target_os = "linux")]
const SAVES: WatchFlags = WatchFlags::CLOSE_WRITE.union(WatchFlags::MOVED_TO);

/// The folders that the system tells of.
#[derive(Debug, Default)]
pub(super) struct Notices {
    /// Where it tells; none as long as it was not asked, or when it refuses.
    #[cfg(target_os = "linux")]
    told: Option<OwnedFd>,
    /// The folders with its numbers for them.
    folders: BTreeMap<PathBuf, i32>,
}

impl Notices {
    /// Nothing is listened for.
    #[cfg(not(target_os = "linux"))]
    pub(super) fn listen(&mut self, _folders: BTreeSet<PathBuf>) {}

    /// Listens for these folders, and for no others any more. Those that are gone and back again have
    /// another number, so all are named anew.
    #[cfg(target_os = "linux")]
    pub(super) fn listen(&mut self, folders: BTreeSet<PathBuf>) {
        let flags = CreateFlags::CLOEXEC | CreateFlags::NONBLOCK;
        let Some(told) = self.told.take().or_else(|| init(flags).ok()) else { return };
        let number = |folder: PathBuf| {
            let number = add_watch(&told, &folder, SAVES).ok()?;
            Some((folder, number))
        };
        let new: BTreeMap<PathBuf, i32> = folders.into_iter().filter_map(number).collect();
        let is_old = |number: &&i32| new.values().all(|known| known != *number);
        for number in self.folders.values().filter(is_old) {
            // The number of a folder that is gone is none any more.
            let _ = remove_watch(&told, *number);
        }
        self.folders = new;
        self.told = Some(told);
    }

    /// Whether anything would be heard.
    pub(super) fn hear(&self) -> bool {
        !self.folders.is_empty()
    }

    /// Lets time pass; no notice comes.
    #[cfg(not(target_os = "linux"))]
    pub(super) fn wait(&self, at_most: Duration) -> bool {
        thread::sleep(at_most);
        false
    }

    /// Waits for the next notice; whether one came in time.
    #[cfg(target_os = "linux")]
    pub(super) fn wait(&self, at_most: Duration) -> bool {
        let Some(told) = self.told.as_ref().filter(|_| self.hear()) else {
            thread::sleep(at_most);
            return false;
        };
        let time = Timespec::try_from(at_most).ok();
        let came = poll(&mut [PollFd::new(told, PollFlags::IN)], time.as_ref());
        if came != Ok(0) {
            // Which file it was is seen by looking at them.
            let mut bytes = [MaybeUninit::uninit(); 4096];
            let mut notices = Reader::new(told, &mut bytes);
            while notices.next().is_ok() {}
        }
        came.is_ok_and(|count| count > 0)
    }
}
