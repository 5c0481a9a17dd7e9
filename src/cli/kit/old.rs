//! The kit that is there already, and is to be replaced.
//!
//! In: its folder. Out: its record and the names of its reprints, if all that is in the folder was
//! written by this program and nobody has changed it since; else what stops the new kit. Not here: the
//! exchange of the two.

use std::fs;
use std::path::Path;

use super::proof::{Unproven, check_file, is_sealed};
use crate::cli::halt::Halt;
use crate::cli::output::show_path;
use crate::cli::scratch::is_scratch;
use crate::kit::{KitFile, KitRecord, RECORD, read_files};

/// The name of the file that says what is in a folder with parcels printed once more.
pub(super) const REPRINT: &str = "reprint.json";
/// What the folders begin with that hold parcels printed once more.
pub(super) const AGAIN: &str = "reprint-";

/// A kit that is there already, with nothing in it that is not its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct OldKit {
    /// What its folder says of itself, with the digest of each file.
    pub(super) record: KitRecord,
    /// The names of the folders with parcels printed once more.
    pub(super) reprints: Vec<String>,
}

impl OldKit {
    /// Looks at all that is in a kit's folder; `said` is what the user calls the folder.
    ///
    /// # Errors
    /// When something in it would be lost.
    pub(super) fn examine(folder: &Path, said: &Path) -> Result<OldKit, Halt> {
        let record = read_record(folder, said)?;
        if !is_sealed_file(&folder.join(RECORD)) {
            let shown = show_path(&said.join(RECORD));
            let message =
                format!("{shown} was changed since the kit was made, or is of an older version");
            return Err(
                Halt::usage(message).hint("name another folder, or take the old kit away yourself")
            );
        }
        let mut reprints = Vec::new();
        for name in list_names(folder) {
            if name == RECORD {
                continue;
            }
            let is_folder = fs::symlink_metadata(folder.join(&name)).is_ok_and(|it| it.is_dir());
            if is_folder && is_scratch(name.as_ref()) {
                let message = format!(
                    "parcels of the kit in {} are just being printed again",
                    show_path(said)
                );
                return Err(Halt::usage(message).hint("wait until that is done, and start again"));
            }
            let number = name.strip_prefix(AGAIN).and_then(|rest| rest.parse::<u64>().ok());
            if is_folder && number.is_some() {
                check_reprint(folder, &name, said)?;
                reprints.push(name);
                continue;
            }
            check_file(folder, &name, &record.files).map_err(|it| refuse(it, None, said))?;
        }
        Ok(OldKit { record, reprints })
    }
}

/// Whether the record of the folder that two files lie in proves that both are as they were made together.
pub(crate) fn belong_together(one: &Path, other: &Path) -> bool {
    let (Some(folder), Some(first), Some(second)) =
        (one.parent(), one.file_name(), other.file_name())
    else {
        return false;
    };
    let texts = [RECORD, REPRINT].into_iter().filter_map(|record| {
        let path = folder.join(record);
        let is_file = fs::symlink_metadata(&path).is_ok_and(|known| known.is_file());
        fs::read_to_string(path).ok().filter(|text| is_file && is_sealed(text))
    });
    let lists: Vec<Vec<KitFile>> = texts.filter_map(|text| read_files(&text).ok()).collect();
    let is_as_made = |name: &std::ffi::OsStr| {
        let name = name.to_string_lossy();
        lists.iter().any(|files| check_file(folder, &name, files).is_ok())
    };
    is_as_made(first) && is_as_made(second)
}

/// Sees that all that is in a folder with parcels printed once more was written by this program.
fn check_reprint(kit: &Path, reprint: &str, said: &Path) -> Result<(), Halt> {
    let folder = kit.join(reprint);
    let path = folder.join(REPRINT);
    let text = fs::read_to_string(&path).unwrap_or_default();
    let files: Vec<KitFile> = match is_sealed(&text) {
        true => read_files(&text).unwrap_or_default(),
        false => Vec::new(),
    };
    let names = list_names(&folder);
    // An empty one proves nothing, and holds nothing that could be lost.
    for name in names {
        if name == REPRINT && is_sealed_file(&path) {
            continue;
        }
        check_file(&folder, &name, &files).map_err(|it| refuse(it, Some(reprint), said))?;
    }
    Ok(())
}

/// Whether a file, and no link to one, is a sealed record.
fn is_sealed_file(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok_and(|known| known.is_file())
        && fs::read_to_string(path).is_ok_and(|text| is_sealed(&text))
}

/// The names of all that is in a folder, in order.
pub(super) fn list_names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut names: Vec<String> =
        entries.map(|entry| entry.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// What stops a kit that would take something with it.
fn refuse(unproven: Unproven, within: Option<&str>, said: &Path) -> Halt {
    let whole = |name: &str| match within {
        Some(folder) => format!("{folder}/{name}"),
        None => name.to_owned(),
    };
    let shown = show_path(said);
    let message = match unproven {
        Unproven::Other(name) => {
            format!("`{}` in {shown} belongs to no kit and would be lost", whole(&name))
        }
        Unproven::Changed(name) => {
            format!(
                "`{}` in {shown} was changed since the kit was made and would be lost",
                whole(&name)
            )
        }
    };
    Halt::usage(message).hint("move it to another folder first")
}

/// The record of the kit in a folder that the user calls `said`.
///
/// # Errors
/// When there is none, or none that can be read.
pub(super) fn read_record(folder: &Path, said: &Path) -> Result<KitRecord, Halt> {
    let path = folder.join(RECORD);
    if !path.is_file() {
        return Err(Halt::usage(format!(
            "there is no kit in {}, but other files",
            show_path(said)
        ))
        .hint("name a folder that is yet to be made, or an empty one"));
    }
    let shown = show_path(&said.join(RECORD));
    let text = fs::read_to_string(&path);
    let text = text.map_err(|error| Halt::unreadable(&shown, &error))?;
    KitRecord::read(&text)
        .map_err(|fault| Halt::usage(format!("{shown} is no record of a kit: {fault}")))
}
