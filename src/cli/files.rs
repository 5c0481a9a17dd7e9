//! Outputs that are being written and are not there yet.
//!
//! A file is written in a hidden folder beside its place (`scratch`) and renamed when it is complete
//! (`appear`). A pipe or device cannot be renamed into, so what goes there is first made whole in a
//! temporary file and then copied.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::scratch::Scratch;

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
pub(super) enum OutputTarget {
    /// To a file that is made or replaced.
    Path(PathBuf),
    /// Into something that exists and is no plain file, and is open: a device or a named pipe.
    Device(File),
    /// To standard output.
    Stdout,
}

/// A file in a hidden folder, removed with it or before.
pub(super) struct PartFile {
    /// Under which name it is written, before it appears under its own.
    pub(super) path: PathBuf,
    /// The folder, which is there as long as one of its files.
    pub(super) scratch: Arc<Scratch>,
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

/// Opens what is no plain file, such as a pipe, for writing.
#[cfg(not(unix))]
fn open_device(path: &Path, _known: &fs::Metadata) -> io::Result<File> {
    File::options().write(true).open(path)
}

/// An output that is complete and only has to appear.
pub(super) struct Settled {
    /// Where the bytes are for now.
    pub(super) part: PartFile,
    /// Where they are to go.
    pub(super) target: OutputTarget,
    /// What the user calls it.
    pub(super) said: PathBuf,
}

impl Settled {
    /// What the user calls it.
    pub(super) fn said(&self) -> &Path {
        &self.said
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
}
