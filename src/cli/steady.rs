//! Files that may be written by someone else while they are read.
//!
//! In: a path. Out: its bytes, if the file was the same before and after reading; else an error. A
//! shop's export that is just being written anew would otherwise give some of its orders and no word.
//! Length, time of change and identity are compared, and a file that was changed a moment ago is
//! looked at again when it has been left alone for [`QUIET`]. Who is told by the system when a file is
//! written need not wait for that ([`without_waiting`]). Not here: what the bytes mean.

use std::cell::Cell;
use std::fs::{File, Metadata};
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

/// How long a file must have been left alone. Ours: programs that write a file in pieces let far less
/// than this pass between two of them, and nobody notices it.
pub(super) const QUIET: Duration = Duration::from_millis(25);

thread_local! {
    /// Whether files that were changed a moment ago are taken for written on this thread.
    static WRITTEN: Cell<bool> = const { Cell::new(false) };
}

/// What of a file must not change while it is read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct FileState {
    /// Its length in bytes.
    length: u64,
    /// When it was changed, where the system tells.
    changed: Option<SystemTime>,
    /// Which file it is, where the system tells: a new one can be renamed into its place.
    identity: u64,
}

/// The world that a file lies in.
trait World {
    /// The file's state; none for what is no plain file, such as a pipe, which is never the same.
    fn state(&self, path: &Path) -> io::Result<Option<FileState>>;
    /// The file from its start.
    fn open(&self, path: &Path) -> io::Result<Box<dyn Read>>;
    /// How long ago a time was; none for one to come.
    fn age(&self, time: SystemTime) -> Option<Duration>;
    /// Lets time pass.
    fn wait(&self, time: Duration);
}

/// The disk.
struct RealWorld;

impl World for RealWorld {
    fn state(&self, path: &Path) -> io::Result<Option<FileState>> {
        let known = std::fs::metadata(path)?;
        Ok(known.is_file().then(|| FileState {
            length: known.len(),
            changed: known.modified().ok(),
            identity: identify(&known),
        }))
    }

    fn open(&self, path: &Path) -> io::Result<Box<dyn Read>> {
        Ok(Box::new(File::open(path)?))
    }

    fn age(&self, time: SystemTime) -> Option<Duration> {
        time.elapsed().ok()
    }

    fn wait(&self, time: Duration) {
        if !WRITTEN.get() {
            std::thread::sleep(time);
        }
    }
}

/// Does work whose files are written and closed, as the system said, so that nothing is waited for when
/// they are read on this thread. What changes all the same while it is read is refused as ever.
#[cfg(feature = "desk")]
pub(super) fn without_waiting<T>(work: impl FnOnce() -> T) -> T {
    let before = WRITTEN.replace(true);
    let done = work();
    WRITTEN.set(before);
    done
}

/// The number of a file on its disk.
#[cfg(unix)]
fn identify(known: &Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::ino(known)
}

/// The number of a file on its disk, which this system does not tell.
#[cfg(not(unix))]
fn identify(_known: &Metadata) -> u64 {
    0
}

/// The state of whatever is at a path, a folder too; none when nothing is.
#[cfg(feature = "desk")]
pub(super) fn look_at(path: &Path) -> Option<FileState> {
    let known = std::fs::metadata(path).ok()?;
    Some(FileState {
        length: known.len(),
        changed: known.modified().ok(),
        identity: identify(&known),
    })
}

/// A file that is read, as it was before.
pub(super) struct Steady {
    /// What is read.
    path: PathBuf,
    /// Its state; none for what is no plain file.
    before: Option<FileState>,
}

impl Steady {
    /// Looks at a file that is about to be read.
    ///
    /// # Errors
    /// When it is not there.
    pub(super) fn look(path: &Path) -> io::Result<Steady> {
        look_in(&RealWorld, path)
    }

    /// Sees that the file is as it was, now that it has been read.
    ///
    /// # Errors
    /// When it is not.
    pub(super) fn settle(&self) -> io::Result<()> {
        settle_in(&RealWorld, self)
    }
}

/// The bytes of a file.
///
/// # Errors
/// When it cannot be read, or changes meanwhile.
pub(super) fn read_steadily(path: &Path) -> io::Result<Vec<u8>> {
    read_in(&RealWorld, path)
}

/// [`Steady::look`] in any world.
fn look_in(world: &dyn World, path: &Path) -> io::Result<Steady> {
    Ok(Steady { path: path.to_owned(), before: world.state(path)? })
}

/// [`Steady::settle`] in any world.
fn settle_in(world: &dyn World, file: &Steady) -> io::Result<()> {
    let Some(before) = &file.before else { return Ok(()) };
    let age = before.changed.and_then(|changed| world.age(changed));
    if let Some(rest) = age.and_then(|age| QUIET.checked_sub(age)) {
        world.wait(rest);
    }
    if world.state(&file.path)?.as_ref() == Some(before) { Ok(()) } else { Err(changed()) }
}

/// [`read_steadily`] in any world.
fn read_in(world: &dyn World, path: &Path) -> io::Result<Vec<u8>> {
    let file = look_in(world, path)?;
    let length = file.before.as_ref().map_or(0, |before| before.length);
    let mut bytes = Vec::with_capacity(usize::try_from(length).unwrap_or(0));
    world.open(path)?.read_to_end(&mut bytes)?;
    if file.before.is_some() && bytes.len() as u64 != length {
        return Err(changed());
    }
    settle_in(world, &file)?;
    Ok(bytes)
}

/// The failure of a file that does not stay as it is.
fn changed() -> io::Error {
    io::Error::other("it was changed while it was read: wait until it is written, and start again")
}

#[cfg(test)]
mod tests {
    use std::cell::{Cell, RefCell};

    use super::*;

    /// A world of one file whose states follow each other, one a look.
    struct Scripted {
        states: RefCell<Vec<FileState>>,
        bytes: &'static [u8],
        age: Duration,
        waited: Cell<Duration>,
    }

    impl World for Scripted {
        fn state(&self, _path: &Path) -> io::Result<Option<FileState>> {
            let mut states = self.states.borrow_mut();
            Ok(Some(if states.len() > 1 { states.remove(0) } else { states[0].clone() }))
        }
        fn open(&self, _path: &Path) -> io::Result<Box<dyn Read>> {
            Ok(Box::new(self.bytes))
        }
        fn age(&self, _time: SystemTime) -> Option<Duration> {
            Some(self.age)
        }
        fn wait(&self, time: Duration) {
            self.waited.set(self.waited.get() + time);
        }
    }

    fn state(length: u64, seconds: u64, identity: u64) -> FileState {
        let changed = Some(SystemTime::UNIX_EPOCH + Duration::from_secs(seconds));
        FileState { length, changed, identity }
    }

    fn read(states: &[FileState], age: u64) -> (Result<Vec<u8>, String>, Duration) {
        let world = Scripted {
            states: RefCell::new(states.to_vec()),
            bytes: b"orders",
            age: Duration::from_millis(age),
            waited: Cell::default(),
        };
        let read = read_in(&world, Path::new("orders.json"));
        (read.map_err(|error| error.to_string()), world.waited.get())
    }

    #[test]
    fn a_file_that_stays_as_it_is_is_read() {
        assert_eq!(read(&[state(6, 1, 7)], 1_000), (Ok(b"orders".to_vec()), Duration::ZERO));
        // One that was just written is looked at again a moment later.
        assert_eq!(read(&[state(6, 1, 7)], 5), (Ok(b"orders".to_vec()), Duration::from_millis(20)));
    }

    #[test]
    fn who_knows_that_a_file_is_written_does_not_wait() {
        let began = std::time::Instant::now();
        without_waiting(|| RealWorld.wait(Duration::from_secs(3600)));
        assert!(began.elapsed() < Duration::from_secs(3600));
        assert!(!WRITTEN.get(), "others wait again");
    }

    #[test]
    fn a_file_that_changes_while_it_is_read_is_refused() {
        let said = changed().to_string();
        for later in [state(9, 1, 7), state(6, 2, 7), state(6, 1, 8)] {
            assert_eq!(read(&[state(6, 1, 7), later], 1_000).0, Err(said.clone()));
        }
        // Cut short, or grown, between the first look and reading.
        for length in [5, 7] {
            assert_eq!(read(&[state(length, 1, 7)], 1_000).0, Err(said.clone()));
        }
    }
}
