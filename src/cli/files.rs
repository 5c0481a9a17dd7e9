//! Outputs that appear together, whole or not at all.
//!
//! A file is written in a hidden folder beside its place (`scratch`) and renamed when it is complete. A
//! pipe or device cannot be renamed into, so what goes there is first made whole in a temporary
//! file and then copied. Outputs that belong together appear in one go ([`appear`]); when one of them
//! cannot, those before it are taken back, and `journal` says what to do when the run is killed.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::journal::{self, Journal};
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
    scratch: Arc<Scratch>,
}

impl Appeared {
    /// Notes that all that belongs together is there.
    fn close(&self) {
        if let Some(first) = self.steps.first() {
            journal::close(first.scratch.path());
        }
    }

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
    fn add(&mut self, ready: ReadyFile) -> io::Result<()> {
        #[cfg(test)]
        tests::die_if_told(self.steps.len());
        let ReadyFile { part, path, before } = ready;
        fs::rename(&part.path, &path)?;
        self.steps.push(UndoStep { path, before, scratch: Arc::clone(&part.scratch) });
        Ok(())
    }
}

/// A file that only has to be renamed.
struct ReadyFile {
    /// Where it is for now.
    part: PartFile,
    /// Where it is to go.
    path: PathBuf,
    /// Where the file is kept that was there before, if there was one.
    before: Option<PathBuf>,
}

impl ReadyFile {
    /// Gives a file the mode of what it replaces, and keeps that.
    fn prepare(part: PartFile, path: PathBuf) -> io::Result<ReadyFile> {
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
        Ok(ReadyFile { part, path, before })
    }
}

/// Lets outputs appear, all of them or none: what was there before is untouched then, unless it is a
/// device. Files come first, because what went into a pipe cannot be taken back. When this run is
/// killed in between, the next one goes on.
///
/// # Errors
/// When one of them cannot be written.
pub(super) fn appear(outputs: Vec<Settled>) -> Result<Appeared, NotWritten> {
    let appeared = appear_before(outputs, None)?;
    appeared.close();
    Ok(appeared)
}

/// The same before a folder appears that belongs to them, and that is in a hidden folder still. When
/// this run is killed before it does, the next one takes them back.
///
/// # Errors
/// When one of them cannot be written.
pub(super) fn appear_before(
    outputs: Vec<Settled>,
    folder: Option<&Path>,
) -> Result<Appeared, NotWritten> {
    let (files, pipes): (Vec<_>, Vec<_>) =
        outputs.into_iter().partition(|made| matches!(made.target, OutputTarget::Path(_)));
    let mut appeared = Appeared::default();
    let mut all = undisturbed(|| put_files(files, folder, &mut appeared));
    if all.is_ok() {
        all = pipes.into_iter().try_for_each(Settled::pour);
    }
    match all {
        Ok(()) => Ok(appeared),
        Err(failure) => {
            appeared.close();
            undisturbed(|| appeared.take_back());
            Err(failure)
        }
    }
}

/// Puts files where they belong, one after the other, once it is noted which.
fn put_files(
    files: Vec<Settled>,
    folder: Option<&Path>,
    appeared: &mut Appeared,
) -> Result<(), NotWritten> {
    let mut ready = Vec::with_capacity(files.len());
    for Settled { part, target, said } in files {
        let OutputTarget::Path(path) = target else { continue };
        match ReadyFile::prepare(part, path) {
            Ok(file) => ready.push((file, said)),
            Err(error) => return Err(NotWritten { said, error }),
        }
    }
    if let (Err(error), Some((_, said))) = (note(&ready, folder), ready.first()) {
        return Err(NotWritten { said: said.clone(), error });
    }
    ready
        .into_iter()
        .try_for_each(|(file, said)| appeared.add(file).map_err(|error| NotWritten { said, error }))
}

/// Notes which files are about to be renamed, in the hidden folder of the first of them.
fn note(ready: &[(ReadyFile, PathBuf)], folder: Option<&Path>) -> io::Result<()> {
    let mut journal = Journal::before(folder)?;
    let mut hidden: Vec<&Path> = Vec::new();
    for (file, _) in ready {
        journal.add(&file.part.path, &file.path, file.before.as_deref())?;
        hidden.push(file.part.scratch.path());
    }
    hidden.extend(folder.and_then(Path::parent));
    hidden.sort_unstable();
    hidden.dedup();
    let Some(((first, _), true)) = ready.first().map(|first| (first, journal.is_needed())) else {
        return Ok(());
    };
    let decider = first.part.scratch.path();
    hidden.retain(|path| *path != decider);
    journal.write(decider, &hidden)
}

impl Settled {
    /// Copies it into the pipe or device it goes to.
    fn pour(self) -> Result<(), NotWritten> {
        let Settled { part, target, said } = self;
        let done = match target {
            OutputTarget::Path(_) => Ok(()),
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

    /// The desk of a process that is to die, and how far it comes.
    const DESK: &str = "SLIPWRIGHT_DIES_IN";
    /// Before which rename it dies.
    const AT: &str = "SLIPWRIGHT_DIES_AT";

    /// Ends this process as a kill would, before the rename of a number, if it was told to.
    pub(super) fn die_if_told(number: usize) {
        if std::env::var(AT).is_ok_and(|at| at == number.to_string()) {
            std::process::abort();
        }
    }

    /// What a process does that dies meanwhile: three outputs in two folders, and a kit behind the last.
    #[test]
    #[ignore = "it dies; others run it for that"]
    fn dies_between_renames() {
        let Some(desk) = std::env::var_os(DESK).map(PathBuf::from) else { return };
        let outputs = ["one", "two", "cards/three"].map(|name| settled(&desk.join(name), "after"));
        match std::env::var(AT).unwrap().strip_prefix("kit") {
            None => drop(appear(Vec::from(outputs))),
            Some(is_moved) => {
                let scratch = Scratch::new(&desk.join("kits")).unwrap();
                let made = scratch.path().join("tonight");
                fs::create_dir(&made).unwrap();
                let [aside, ..] = outputs;
                let _appeared = appear_before(vec![aside], Some(&made)).unwrap();
                if is_moved == "-moved" {
                    fs::rename(&made, desk.join("kits/tonight")).unwrap();
                }
                std::process::abort();
            }
        }
    }

    /// A desk on which a process has died before a rename; `one` was there before.
    fn desk_of_the_dead(at: &str) -> tempfile::TempDir {
        let desk = tempfile::tempdir().unwrap();
        for folder in ["cards", "kits"] {
            fs::create_dir(desk.path().join(folder)).unwrap();
        }
        fs::write(desk.path().join("one"), "before").unwrap();
        let name = "cli::files::tests::dies_between_renames";
        let mut process = std::process::Command::new(std::env::current_exe().unwrap());
        process.args([name, "--exact", "--ignored"]).env(DESK, desk.path()).env(AT, at);
        assert!(!process.output().unwrap().status.success());
        desk
    }

    /// What stands on a desk, once the folders were swept in some order.
    fn swept(desk: &Path, folders: &[&str]) -> Vec<String> {
        for folder in folders {
            crate::cli::scratch::sweep(&desk.join(folder));
        }
        let mut all = Vec::new();
        for folder in ["", "cards", "kits"] {
            for entry in fs::read_dir(desk.join(folder)).unwrap().map(Result::unwrap) {
                let name = entry.path().strip_prefix(desk).unwrap().display().to_string();
                match fs::read_to_string(entry.path()) {
                    Ok(text) => all.push(format!("{name} {text}")),
                    Err(_) if ["cards", "kits"].contains(&name.as_str()) => {}
                    Err(_) => all.push(name),
                }
            }
        }
        all.sort();
        all
    }

    #[test]
    fn what_a_run_killed_between_two_renames_had_begun_is_ended_by_the_next() {
        for order in [["", "cards"], ["cards", ""]] {
            let desk = desk_of_the_dead("0");
            assert_eq!(swept(desk.path(), &order), ["one before"], "nothing had appeared");
            for at in ["1", "2"] {
                let desk = desk_of_the_dead(at);
                let wanted = ["cards/three after", "one after", "two after"];
                assert_eq!(swept(desk.path(), &order), wanted, "{at} {order:?}");
            }
        }
    }

    #[test]
    fn what_somebody_has_changed_since_a_run_was_killed_stays() {
        let desk = desk_of_the_dead("1");
        fs::write(desk.path().join("two"), "mine").unwrap();
        assert_eq!(swept(desk.path(), &["cards", ""]), ["one after", "two mine"]);
        let desk = desk_of_the_dead("2");
        fs::write(desk.path().join("one"), "mine").unwrap();
        assert_eq!(swept(desk.path(), &["", "cards"]), ["one mine", "two after"]);
    }

    #[test]
    fn orders_set_aside_are_taken_back_when_their_kit_never_appeared() {
        for order in [["", "kits", "cards"], ["kits", "", "cards"]] {
            let desk = desk_of_the_dead("kit");
            assert_eq!(swept(desk.path(), &order), ["one before"], "{order:?}");
            let desk = desk_of_the_dead("kit-moved");
            assert_eq!(swept(desk.path(), &order), ["kits/tonight", "one after"], "{order:?}");
        }
    }
}
