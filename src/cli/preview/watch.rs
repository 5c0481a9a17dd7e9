//! Noticing that a file was saved.
//!
//! In: the files that a look read or looked for. Out: that one of them is no longer as it was. The system
//! says at once when something was written in their folders (`notices`), and then the files themselves are
//! asked; now and then they are asked untold, because it says nothing of disks of other machines. A file that
//! an editor puts into the place of the old one is seen too. Not here: reading them.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, Instant};

use super::super::steady::{FileState, QUIET, look_at};
use super::notices::Notices;

/// How often files are asked where the system tells of saves. Ours: a look at thirty takes a tenth of a
/// millisecond, so that a page left open costs nothing worth counting.
const SLOW: Duration = Duration::from_millis(250);

/// How often they are asked where it tells nothing. Ours: a page is to follow within a tenth of a second.
const FAST: Duration = Duration::from_millis(20);

/// How often wishes are asked for, which are no files. Ours: nobody notices it.
const WISHES: Duration = Duration::from_millis(100);

/// How long a file may be gone that is being saved: some editors take the old one away first.
const ABSENCE: Duration = Duration::from_millis(200);

/// The files that are watched, as they were when they were looked at.
#[derive(Debug, Default)]
pub(super) struct Watch {
    /// Each with its state; none for what is not there.
    known: BTreeMap<PathBuf, Option<FileState>>,
    /// What the system says of their folders.
    notices: Notices,
}

impl Watch {
    /// Notes how all files are before they are read again.
    pub(super) fn note(&mut self) {
        for (path, state) in &mut self.known {
            *state = look_at(path);
        }
    }

    /// Watches these files, and no others. Those that were noted before they were read keep what was noted.
    pub(super) fn set(&mut self, files: impl IntoIterator<Item = PathBuf>) {
        let mut known = std::mem::take(&mut self.known);
        for path in files {
            let state = known.remove(&path).unwrap_or_else(|| look_at(&path));
            self.known.insert(path, state);
        }
        self.notices.listen(self.known.keys().map(|file| folder_of(file)).collect());
    }

    /// Waits until something is changed, and written as far as can be told, or `wished` for.
    pub(super) fn wait(&self, wished: impl Fn() -> bool) {
        let pause = if self.notices.hear() { SLOW } else { FAST };
        let mut asked = None;
        while !wished() {
            let is_told = self.notices.wait(WISHES.min(pause));
            let is_due = asked.is_none_or(|asked: Instant| asked.elapsed() >= pause);
            if !is_told && !is_due {
                continue;
            }
            asked = Some(Instant::now());
            if self.is_changed() {
                if !is_told {
                    // Nobody said that it is written.
                    thread::sleep(QUIET);
                }
                break;
            }
        }
        let until = Instant::now() + ABSENCE;
        while self.is_one_gone() && Instant::now() < until {
            self.notices.wait(FAST);
        }
    }

    /// Whether anything is not as it was.
    pub(super) fn is_changed(&self) -> bool {
        self.known.iter().any(|(path, state)| look_at(path) != *state)
    }

    /// Whether a file is gone that was there.
    fn is_one_gone(&self) -> bool {
        self.known.iter().any(|(path, state)| state.is_some() && look_at(path).is_none())
    }
}

/// The folder that a file lies in; the one that is open when it has none.
fn folder_of(file: &Path) -> PathBuf {
    match file.parent() {
        Some(folder) if folder != Path::new("") => folder.to_owned(),
        _ => PathBuf::from("."),
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

    #[test]
    fn a_save_wakes_who_waits_and_a_wish_too() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("layout.yaml");
        fs::write(&file, "one").unwrap();
        let mut watch = Watch::default();
        watch.set([file.clone()]);
        watch.wait(|| true);
        assert!(!watch.is_changed());
        thread::scope(|scope| {
            let waiting = scope.spawn(|| watch.wait(|| false));
            // Beside it something else is written, which is no save of this file.
            fs::write(folder.path().join("other.yaml"), "other").unwrap();
            thread::sleep(Duration::from_millis(30));
            assert!(!waiting.is_finished());
            fs::write(&file, "other").unwrap();
            waiting.join().unwrap();
        });
        assert!(watch.is_changed());
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn the_system_tells_of_a_save_when_the_file_is_closed() {
        use std::io::Write as _;
        let folder = tempfile::tempdir().unwrap();
        let mut notices = Notices::default();
        notices.listen([folder.path().to_owned()].into());
        assert!(notices.hear());
        let mut file = fs::File::create(folder.path().join("layout.yaml")).unwrap();
        file.write_all(b"half").unwrap();
        assert!(!notices.wait(Duration::ZERO), "it is still open");
        drop(file);
        assert!(notices.wait(Duration::from_secs(60)));
        // A folder that is gone tells nothing, and the same again once it is back.
        fs::remove_dir_all(folder.path()).unwrap();
        fs::create_dir(folder.path()).unwrap();
        notices.listen([folder.path().to_owned()].into());
        while notices.wait(Duration::ZERO) {}
        fs::write(folder.path().join("layout.yaml"), "whole").unwrap();
        assert!(notices.wait(Duration::from_secs(60)));
        notices.listen([PathBuf::from("/nowhere/at/all")].into());
        assert!(!notices.hear());
        fs::remove_dir_all(folder.path()).unwrap();
    }
}
