//! The world as the engine sees it from the command: files on the disk.

use std::io;
use std::path::{Path, PathBuf};

use super::halt::Halt;
use super::steady::read_steadily;
use crate::limits::FILE_BYTES;
use crate::source::Env;

/// Files on the disk.
#[derive(Clone, Debug)]
pub(super) struct Disk {
    /// The folders that files must lie in or below, also when they are links; none when the user names
    /// the files.
    homes: Vec<PathBuf>,
}

impl Disk {
    /// All files: for those that the user names.
    pub(super) fn anywhere() -> Disk {
        Disk { homes: Vec::new() }
    }

    /// The files in and below folders: for those that orders, layouts and shop files name, which may
    /// come from anyone. A path that starts with one of the folders must not lead out of it.
    pub(super) fn within<'a>(folders: impl IntoIterator<Item = &'a Path>) -> Disk {
        Disk { homes: folders.into_iter().map(Path::to_owned).collect() }
    }

    /// Whether a file lies where it may.
    ///
    /// # Errors
    /// When it is not there, or a link leads out of its folder.
    pub(super) fn refuse_outside(&self, path: &Path) -> io::Result<()> {
        if self.homes.is_empty() {
            return Ok(());
        }
        let whole = std::fs::canonicalize(path)?;
        let is_home = |home: &PathBuf| {
            let home = if home.as_os_str().is_empty() { Path::new(".") } else { home };
            std::fs::canonicalize(home).is_ok_and(|home| whole.starts_with(home))
        };
        match self.homes.iter().filter(|home| path.starts_with(home)).any(is_home) {
            true => Ok(()),
            false => Err(io::Error::other("it is a link that leads out of its folder")),
        }
    }
}

impl Env for Disk {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.refuse_outside(path)?;
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
    let bytes = Disk::anywhere().read(path).map_err(|error| Halt::unreadable(&name, &error))?;
    String::from_utf8(bytes)
        .map_err(|_| Halt::usage(format!("{name} is not UTF-8 text")).hint("save it as UTF-8"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(unix)]
    #[test]
    fn links_lead_out_of_no_folder() {
        use std::fs;
        use std::os::unix::fs::symlink;
        let folder = tempfile::tempdir().unwrap();
        let place = |name: &str| folder.path().join(name);
        fs::create_dir(place("shop")).unwrap();
        fs::write(place("secret.txt"), "secret").unwrap();
        fs::write(place("shop/logo.svg"), "logo").unwrap();
        symlink("logo.svg", place("shop/same.svg")).unwrap();
        symlink(place("secret.txt"), place("shop/out.svg")).unwrap();
        symlink(folder.path(), place("shop/up")).unwrap();
        let home = place("shop");
        let disk = Disk::within([&*home]);
        for name in ["logo.svg", "same.svg", "up/shop/logo.svg"] {
            assert_eq!(disk.read(&home.join(name)).unwrap(), b"logo", "{name}");
        }
        for name in ["out.svg", "up/secret.txt"] {
            let error = disk.read(&home.join(name)).unwrap_err();
            assert_eq!(error.to_string(), "it is a link that leads out of its folder", "{name}");
        }
        // What the user names may be a link to anywhere.
        assert_eq!(Disk::anywhere().read(&place("shop/out.svg")).unwrap(), b"secret");
    }
}
