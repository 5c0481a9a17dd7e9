//! Output that appears whole or not at all.
//!
//! A file is written under a temporary name in its own folder and renamed when it is complete. A
//! pipe or device cannot be renamed into, so what goes there is first made whole in a temporary
//! file and then copied.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use tempfile::{Builder, NamedTempFile, TempPath};

/// An output that is not there yet.
pub(super) struct Pending {
    /// Where the bytes are for now.
    file: BufWriter<NamedTempFile>,
    /// Where they are to go.
    target: OutputTarget,
}

/// Where output goes.
enum OutputTarget {
    /// To a file that is made or replaced.
    Path(PathBuf),
    /// Into something that exists and is no plain file: a device or a named pipe.
    Device(PathBuf),
    /// To standard output.
    Stdout,
}

impl Pending {
    /// Opens an output; finds out at once whether it can be written.
    ///
    /// # Errors
    /// When its folder or device cannot be written.
    pub(super) fn create(path: &Path) -> io::Result<Pending> {
        if path == Path::new("-") {
            let file = BufWriter::new(NamedTempFile::new()?);
            return Ok(Pending { file, target: OutputTarget::Stdout });
        }
        // A link keeps pointing where it points: the file behind it is replaced.
        let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        match fs::metadata(&path) {
            Ok(known) if known.is_dir() => Err(io::Error::from(io::ErrorKind::IsADirectory)),
            Ok(known) if !known.is_file() => {
                File::options().write(true).open(&path)?;
                let file = BufWriter::new(NamedTempFile::new()?);
                Ok(Pending { file, target: OutputTarget::Device(path) })
            }
            _ => {
                let folder = match path.parent() {
                    Some(parent) if !parent.as_os_str().is_empty() => parent,
                    _ => Path::new("."),
                };
                let file = new_file_in(folder)?;
                Ok(Pending { file: BufWriter::new(file), target: OutputTarget::Path(path) })
            }
        }
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
            file.as_file().sync_all()?;
        }
        Ok(Settled { made: file.into_temp_path(), target: self.target })
    }
}

/// An output that is complete and only has to appear.
pub(super) struct Settled {
    /// Where the bytes are for now.
    made: TempPath,
    /// Where they are to go.
    target: OutputTarget,
}

impl Settled {
    /// Lets a file appear under another name in the folder it was opened for.
    pub(super) fn rename(&mut self, path: PathBuf) {
        if let OutputTarget::Path(target) = &mut self.target {
            *target = path;
        }
    }

    /// Makes the output appear.
    ///
    /// # Errors
    /// When it cannot be written; what was there before is untouched unless it is a device.
    pub(super) fn commit(self) -> io::Result<()> {
        match self.target {
            OutputTarget::Path(path) => self.made.persist(path).map_err(|error| error.error),
            OutputTarget::Device(path) => {
                let mut device = File::options().write(true).open(path)?;
                io::copy(&mut File::open(&self.made)?, &mut device)?;
                device.flush()
            }
            OutputTarget::Stdout => {
                let mut out = io::stdout().lock();
                io::copy(&mut File::open(&self.made)?, &mut out)?;
                out.flush()
            }
        }
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

/// A temporary file with the permissions that a file made by hand would have.
fn new_file_in(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder.prefix(".slipwright-").suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
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

    #[test]
    fn nothing_appears_before_the_commit_and_nothing_stays_without_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("out.pdf");
        fs::write(&path, "before").unwrap();
        let mut pending = Pending::create(&path).unwrap();
        pending.write_all(b"after").unwrap();
        drop(pending);
        assert_eq!(fs::read_to_string(&path).unwrap(), "before");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
        let mut pending = Pending::create(&path).unwrap();
        pending.write_all(b"after").unwrap();
        pending.settle().unwrap().commit().unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "after");
    }
}
