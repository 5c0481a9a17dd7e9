//! The world as the engine sees it from the command: files on the disk.

use std::io;
use std::path::Path;

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
