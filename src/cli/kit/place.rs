//! Where a kit's folder can be: links, the folder one is in, and disks.
//!
//! In: what the user calls it. Out: the folder itself, which can be renamed. Not here: what is in it.

use std::fs;
use std::path::{Path, PathBuf};

use crate::cli::files::parent_of;
use crate::cli::halt::Halt;
use crate::cli::output::show_path;

/// The folder behind what the user calls it.
///
/// # Errors
/// When no folder can be put in its place.
pub(super) fn resolve(said: &Path) -> Result<PathBuf, Halt> {
    let shown = show_path(said);
    let Ok(known) = fs::symlink_metadata(said) else { return Ok(said.to_owned()) };
    let Ok(whole) = fs::canonicalize(said) else {
        let message = format!("{shown} is a link that leads nowhere");
        return Err(Halt::usage(message).hint("name the folder itself"));
    };
    let within = format!("name a folder in it: `--to {}`", said.join("kit").display());
    if std::env::current_dir().is_ok_and(|here| here.starts_with(&whole)) {
        let message =
            format!("{shown} is the folder you are in, which a kit cannot take the place of");
        return Err(Halt::usage(message).hint(within));
    }
    if is_disk(&whole) {
        let message = format!("{shown} is a disk by itself, which a kit cannot take the place of");
        return Err(Halt::usage(message).hint(within));
    }
    // The folder behind a link is replaced, and the link stays; so is one that `..` leads to.
    let is_plain = !known.is_symlink() && said.file_name().is_some();
    Ok(if is_plain { said.to_owned() } else { whole })
}

/// Whether another disk begins in a folder.
#[cfg(unix)]
fn is_disk(folder: &Path) -> bool {
    use std::os::unix::fs::MetadataExt as _;
    let device = |path: &Path| fs::metadata(path).map(|known| known.dev()).ok();
    folder.parent().is_none() || device(folder) != device(parent_of(folder))
}

/// Whether another disk begins in a folder.
#[cfg(not(unix))]
fn is_disk(folder: &Path) -> bool {
    folder.parent().is_none() || parent_of(folder) == folder
}
