//! Outputs that appear together, whole or not at all.
//!
//! A file is written in a hidden folder beside its place (`scratch`) and renamed when it is complete. A
//! pipe or device cannot be renamed into, so what goes there is first made whole in a temporary
//! file and then copied. Outputs that belong together appear in one go ([`appear`]); when one of them
//! cannot, those before it are taken back.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::scratch::{Scratch, undisturbed};

/// How long is waited for somebody to read from a pipe. Ours: what a shell starts beside the command
/// has opened the pipe by then, and nobody sits before a command for longer without a word.
#[cfg(unix)]
const PIPE_WAIT: std::time::Duration = std::time::Duration::from_secs(3);

/// An output that is not there yet.
pub(super) struct Pending {
    /// Where the bytes are for now.
    file: BufWriter<File>,
    /// The name of that.
    part: PartFile,
    /// Where they are to go.
    target: OutputTarget,
    /// What the user calls it.
    said: PathBuf,
}

/// Where output goes.
enum OutputTarget {
    /// To a file that is made or replaced.
    Path(PathBuf),
    /// Into something that exists and is no plain file, and is open: a device or a named pipe.
    Device(File),
    /// To standard output.
    Stdout,
}

/// A file in a hidden folder, removed with it or before.
struct PartFile {
    /// Where it is.
    path: PathBuf,
    /// The folder, which is there as long as one of its files.
    scratch: Arc<Scratch>,
}

impl PartFile {
    /// A new file of an output that is to appear in `folder`.
    fn create(folder: &Path) -> io::Result<(PartFile, File)> {
        let scratch = Scratch::shared(folder)?;
        let path = scratch.new_name();
        // Its mode is that of any file made by hand: it is its folder that nobody else can enter.
        let file = File::create_new(&path)?;
        Ok((PartFile { path, scratch }, file))
    }
}

impl Drop for PartFile {
    fn drop(&mut self) {
        // One that has appeared is here no more.
        let _ = fs::remove_file(&self.path);
    }
}

impl Pending {
    /// Opens an output; finds out at once whether it can be written.
    ///
    /// # Errors
    /// When its folder or device cannot be written.
    pub(super) fn create(said: &Path) -> io::Result<Pending> {
        let (target, folder) = find_target(said)?;
        let (part, file) = PartFile::create(&folder)?;
        Ok(Pending { file: BufWriter::new(file), part, target, said: said.to_owned() })
    }

    /// Ends the writing; what could go wrong with the bytes has gone wrong by now.
    ///
    /// The file is closed meanwhile: a long batch has more pages than a process may hold open.
    ///
    /// # Errors
    /// When the last bytes cannot be written.
    pub(super) fn settle(self) -> io::Result<Settled> {
        let file = self.file.into_inner().map_err(io::IntoInnerError::into_error)?;
        if matches!(self.target, OutputTarget::Path(_)) {
            file.sync_all()?;
        }
        Ok(Settled { part: self.part, target: self.target, said: self.said })
    }
}

/// Where an output goes, and the folder in which it is made.
fn find_target(said: &Path) -> io::Result<(OutputTarget, PathBuf)> {
    if said == Path::new("-") {
        return Ok((OutputTarget::Stdout, std::env::temp_dir()));
    }
    // A link keeps pointing where it points: the file behind it is replaced.
    let path = fs::canonicalize(said).unwrap_or_else(|_| said.to_owned());
    match fs::metadata(&path) {
        Ok(known) if known.is_dir() => Err(io::Error::from(io::ErrorKind::IsADirectory)),
        Ok(known) if !known.is_file() => {
            Ok((OutputTarget::Device(open_device(&path, &known)?), std::env::temp_dir()))
        }
        _ => {
            let folder = parent_of(&path).to_owned();
            Ok((OutputTarget::Path(path), folder))
        }
    }
}

/// The folder that a file is in.
pub(super) fn parent_of(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// Opens a device or a named pipe. It stays open: who reads from a pipe is done when it is closed.
#[cfg(unix)]
fn open_device(path: &Path, known: &fs::Metadata) -> io::Result<File> {
    use std::os::unix::fs::{FileTypeExt as _, OpenOptionsExt as _};
    use std::time::Instant;

    use rustix::fs::{OFlags, fcntl_setfl};
    if !known.file_type().is_fifo() {
        return File::options().write(true).open(path);
    }
    let flags = i32::try_from(OFlags::NONBLOCK.bits()).unwrap_or_default();
    let started = Instant::now();
    loop {
        // Opened in the usual way it would wait for a reader for ever (open(2), ENXIO).
        match File::options().write(true).custom_flags(flags).open(path) {
            Ok(pipe) => {
                fcntl_setfl(&pipe, OFlags::empty())?;
                return Ok(pipe);
            }
            Err(error) if error.raw_os_error() == Some(rustix::io::Errno::NXIO.raw_os_error()) => {
                if started.elapsed() > PIPE_WAIT {
                    let message = "it is a pipe that nobody reads from: start what reads it first";
                    return Err(io::Error::other(message));
                }
                std::thread::sleep(PIPE_WAIT / 100);
            }
            Err(error) => return Err(error),
        }
    }
}

/// Opens a device.
#[cfg(not(unix))]
fn open_device(path: &Path, _known: &fs::Metadata) -> io::Result<File> {
    File::options().write(true).open(path)
}

/// An output that is complete and only has to appear.
pub(super) struct Settled {
    /// Where the bytes are for now.
    part: PartFile,
    /// Where they are to go.
    target: OutputTarget,
    /// What the user calls it.
    said: PathBuf,
}

impl Settled {
    /// What the user calls it.
    pub(super) fn said(&self) -> &Path {
        &self.said
    }

    /// Makes the output appear by itself.
    ///
    /// # Errors
    /// When it cannot be written; what was there before is untouched unless it is a device.
    pub(super) fn commit(self) -> io::Result<()> {
        appear(vec![self]).map(drop).map_err(|failure| failure.error)
    }

    /// Lets a file appear under another name in the folder it was opened for.
    pub(super) fn rename(&mut self, path: PathBuf) {
        // Under the same name it stays behind the link that the user may have named.
        if let OutputTarget::Path(target) = &mut self.target
            && path != self.said
        {
            target.clone_from(&path);
        }
        self.said = path;
    }
}

/// An output that cannot appear, for which reason no other does.
#[derive(Debug)]
pub(super) struct NotWritten {
    /// What the user calls it.
    pub(super) said: PathBuf,
    /// What kept it.
    pub(super) error: io::Error,
}

/// Outputs that have appeared, and can be taken back as long as something else that belongs to them
/// has not.
#[derive(Default)]
pub(super) struct Appeared {
    /// What to do to take them back, in the order they came.
    steps: Vec<UndoStep>,
}

/// How one file is taken back.
struct UndoStep {
    /// Where it is now.
    path: PathBuf,
    /// Where the file is kept that was there before, if there was one.
    before: Option<PathBuf>,
    /// The hidden folder that holds it.
    _scratch: Arc<Scratch>,
}

impl Appeared {
    /// Takes everything back: what was there before is there again.
    pub(super) fn take_back(self) {
        for UndoStep { path, before, .. } in self.steps.into_iter().rev() {
            // What cannot be undone is a disk that is gone, and the user is told of the failure anyway.
            let _ = match before {
                Some(before) => fs::rename(before, path),
                None => fs::remove_file(path),
            };
        }
    }

    /// Lets one more file appear.
    fn add(&mut self, part: PartFile, path: PathBuf) -> io::Result<()> {
        let known = fs::metadata(&path).ok().filter(fs::Metadata::is_file);
        let before = match &known {
            Some(known) => {
                fs::set_permissions(&part.path, known.permissions())?;
                let kept = part.scratch.new_name();
                // Where a file cannot have two names, it is copied.
                fs::hard_link(&path, &kept).or_else(|_| fs::copy(&path, &kept).map(|_| ()))?;
                Some(kept)
            }
            None => None,
        };
        fs::rename(&part.path, &path)?;
        self.steps.push(UndoStep { path, before, _scratch: Arc::clone(&part.scratch) });
        Ok(())
    }
}

/// Lets outputs appear, all of them or none: what was there before is untouched then, unless it is a
/// device. Files come first, because what went into a pipe cannot be taken back.
///
/// # Errors
/// When one of them cannot be written.
pub(super) fn appear(outputs: Vec<Settled>) -> Result<Appeared, NotWritten> {
    let (files, pipes): (Vec<_>, Vec<_>) =
        outputs.into_iter().partition(|made| matches!(made.target, OutputTarget::Path(_)));
    let mut appeared = Appeared::default();
    let mut all = undisturbed(|| files.into_iter().try_for_each(|made| made.put(&mut appeared)));
    if all.is_ok() {
        all = pipes.into_iter().try_for_each(|made| made.put(&mut appeared));
    }
    match all {
        Ok(()) => Ok(appeared),
        Err(failure) => {
            undisturbed(|| appeared.take_back());
            Err(failure)
        }
    }
}

impl Settled {
    /// Puts it where it belongs.
    fn put(self, appeared: &mut Appeared) -> Result<(), NotWritten> {
        let Settled { part, target, said } = self;
        let done = match target {
            OutputTarget::Path(path) => appeared.add(part, path),
            OutputTarget::Device(mut device) => copy_to(&part.path, &mut device),
            OutputTarget::Stdout => copy_to(&part.path, &mut io::stdout().lock()),
        };
        done.map_err(|error| NotWritten { said, error })
    }
}

/// Copies a finished file into something that is open.
fn copy_to(path: &Path, out: &mut impl Write) -> io::Result<()> {
    io::copy(&mut File::open(path)?, out)?;
    out.flush()
}

impl Write for Pending {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

/// The name of one page's file among `count`: the name itself for a single page, else with the
/// page's number before the ending, `labels-07.png`.
pub(super) fn number_path(path: &Path, page: usize, count: usize) -> PathBuf {
    if count == 1 {
        return path.to_owned();
    }
    let digits = count.to_string().len();
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let name = match path.extension() {
        Some(ending) => format!("{stem}-{page:0digits$}.{}", ending.to_string_lossy()),
        None => format!("{stem}-{page:0digits$}"),
    };
    path.with_file_name(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_are_numbered_in_their_names() {
        assert_eq!(number_path(Path::new("a/b.png"), 1, 1), Path::new("a/b.png"));
        assert_eq!(number_path(Path::new("a/b.png"), 7, 12), Path::new("a/b-07.png"));
        assert_eq!(number_path(Path::new("b"), 7, 9), Path::new("b-7"));
    }

    /// An output whose bytes are all written.
    fn settled(path: &Path, text: &str) -> Settled {
        let mut pending = Pending::create(path).unwrap();
        pending.write_all(text.as_bytes()).unwrap();
        pending.settle().unwrap()
    }

    #[test]
    fn nothing_appears_before_the_commit_and_nothing_stays_without_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("out.pdf");
        fs::write(&path, "before").unwrap();
        drop(settled(&path, "after"));
        assert_eq!(fs::read_to_string(&path).unwrap(), "before");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
        appear(vec![settled(&path, "after")]).unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "after");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn outputs_appear_together_or_not_at_all() {
        let folder = tempfile::tempdir().unwrap();
        let place = |name: &str| folder.path().join(name);
        fs::write(place("old.json"), "before").unwrap();
        let names = ["old.json", "new.pdf", "cards.pdf", "more.pdf"];
        let outputs = names.map(|name| settled(&place(name), "after"));
        // Something comes in the way of the third after all were opened.
        fs::create_dir(place("cards.pdf")).unwrap();
        let failure = appear(Vec::from(outputs)).err().unwrap();
        assert_eq!(failure.said, place("cards.pdf"));
        assert_eq!(fs::read_to_string(place("old.json")).unwrap(), "before");
        assert!(!place("new.pdf").exists() && !place("more.pdf").exists());
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2, "nothing hidden is left");
    }

    #[test]
    fn what_has_appeared_can_be_taken_back() {
        let folder = tempfile::tempdir().unwrap();
        let place = |name: &str| folder.path().join(name);
        fs::write(place("old.json"), "before").unwrap();
        let outputs = vec![settled(&place("old.json"), "x"), settled(&place("new.json"), "y")];
        appear(outputs).unwrap().take_back();
        assert_eq!(fs::read_to_string(place("old.json")).unwrap(), "before");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[cfg(unix)]
    #[test]
    fn an_output_that_is_there_keeps_its_mode() {
        use std::os::unix::fs::PermissionsExt as _;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("out.pdf");
        fs::write(&path, "before").unwrap();
        for mode in [0o600, 0o664] {
            fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
            appear(vec![settled(&path, "after")]).unwrap();
            assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, mode);
        }
    }
}
