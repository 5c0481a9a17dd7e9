//! A shop's export that is read more than once, from a file or a pipe.

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use super::halt::Halt;
use super::output::show_path;
use super::scratch::Scratch;
use super::steady::Steady;

/// What came through a pipe.
pub(super) struct Spool {
    /// The file that keeps it.
    path: PathBuf,
    /// The hidden folder of that file, which goes with it.
    _scratch: Scratch,
}

/// An export that can be read more than once.
pub(super) enum Export {
    /// A file of the user's, and how it was when it was opened.
    File(PathBuf, Steady),
    /// What came through a pipe, kept in a file of a hidden folder of our own.
    Spooled(Spool),
}

impl Export {
    /// Opens an export; a pipe is read to its end.
    ///
    /// # Errors
    /// When it cannot be read.
    pub(super) fn open(name: &Path) -> Result<Export, Halt> {
        let quoted = show_path(name);
        let wrong = |error: io::Error| Halt::unreadable(&quoted, &error);
        if name == Path::new("-") {
            return Export::spool(&mut io::stdin().lock())
                .map_err(|error| Halt::unreadable("standard input", &error));
        }
        let mut file = File::open(name).map_err(wrong)?;
        let known = file.metadata().map_err(wrong)?;
        if known.is_dir() {
            return Err(wrong(io::Error::from(io::ErrorKind::IsADirectory)));
        }
        if known.is_file() {
            let steady = Steady::look(name).map_err(wrong)?;
            return Ok(Export::File(name.to_owned(), steady));
        }
        Export::spool(&mut file).map_err(wrong)
    }

    /// Keeps what a pipe gives.
    fn spool(input: &mut dyn Read) -> io::Result<Export> {
        let scratch = Scratch::new(&std::env::temp_dir())?;
        let path = scratch.new_name();
        io::copy(input, &mut File::create_new(&path)?)?;
        Ok(Export::Spooled(Spool { path, _scratch: scratch }))
    }

    /// Sees that it is as it was when it was opened.
    ///
    /// # Errors
    /// When it is not.
    pub(super) fn settle(&self) -> io::Result<()> {
        match self {
            Export::File(_, steady) => steady.settle(),
            Export::Spooled(_) => Ok(()),
        }
    }

    /// Opens it from its start.
    ///
    /// # Errors
    /// When it cannot be opened.
    pub(super) fn reopen(&self) -> io::Result<Box<dyn Read>> {
        match self {
            Export::File(path, _) | Export::Spooled(Spool { path, .. }) => {
                Ok(Box::new(File::open(path)?))
            }
        }
    }
}
