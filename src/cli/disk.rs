//! The world as the engine sees it from the command: files on the disk.

use std::io;
use std::path::Path;

use super::halt::Halt;
use super::steady::read_steadily;
use crate::limits::FILE_BYTES;
use crate::source::Env;

/// Files on the disk.
#[derive(Clone, Copy, Debug)]
pub(super) struct Disk;

impl Env for Disk {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        let known = std::fs::metadata(path)?;
        if !known.is_file() {
            return Err(io::Error::other("it is not a file"));
        }
        if known.len() > FILE_BYTES as u64 {
            return Err(io::Error::other(format!("it is larger than {} MiB", FILE_BYTES >> 20)));
        }
        read_steadily(path)
    }
}

/// The text of a file.
///
/// # Errors
/// When it cannot be read or is no text.
pub(super) fn read_text(path: &Path) -> Result<String, Halt> {
    let name = format!("`{}`", path.display());
    let bytes = Disk.read(path).map_err(|error| Halt::unreadable(&name, &error))?;
    String::from_utf8(bytes)
        .map_err(|_| Halt::usage(format!("{name} is not UTF-8 text")).hint("save it as UTF-8"))
}
