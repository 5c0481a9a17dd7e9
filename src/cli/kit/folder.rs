//! A folder that appears whole or not at all.
//!
//! It is made under a temporary name beside its place and renamed when everything is in it. A kit
//! that is replaced steps aside first and is removed last; files that no kit wrote are never
//! removed. Not here: what is in a kit.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use tempfile::{Builder, TempDir};

use crate::cli::disk::read_text;
use crate::cli::halt::Halt;
use crate::cli::output::{cannot_write, show_path};
use crate::kit::{KitRecord, ParcelList};
use crate::words::counted;

/// The name of the record of a kit.
pub(super) const RECORD: &str = "batch.json";
/// The name of the file of what was found.
pub(super) const FINDINGS: &str = "findings.json";
/// The name of the list of parcels, with all that is known of them.
pub(super) const PARCELS: &str = "parcels.json";
/// The name of the orders that a kit was made from.
pub(super) const ORDERS: &str = "orders.json";
/// The name of the shop file that a kit was made with.
pub(super) const SHOP: &str = "shop.yaml";
/// What the folders begin with that hold parcels printed once more.
const AGAIN: &str = "reprint-";

/// A folder that is not there yet.
pub(super) struct KitFolder {
    /// Where the files are for now.
    made: TempDir,
    /// Where they are to be.
    place: PathBuf,
    /// The record of the kit that is there already and is replaced.
    old: Option<KitRecord>,
}

impl KitFolder {
    /// A kit's folder.
    ///
    /// # Errors
    /// When something else is there already, or nothing can be made there.
    pub(super) fn open(place: &Path, replace: bool) -> Result<KitFolder, Halt> {
        let old = refuse_others(place, replace)?;
        KitFolder::beside(place.to_owned(), old)
    }

    /// A folder within a kit that is there, for parcels printed once more: `reprint-1`, or the next
    /// number.
    ///
    /// # Errors
    /// When nothing can be made there.
    pub(super) fn within(kit: &Path) -> Result<KitFolder, Halt> {
        let number = (1..).find(|number| !kit.join(format!("{AGAIN}{number}")).exists());
        let place = kit.join(format!("{AGAIN}{}", number.unwrap_or(1)));
        if !kit.is_dir() {
            let message = format!("there is no kit in {} to print from again", show_path(kit));
            let hint = "look at the folder's name, or leave `--only` out to make the kit";
            return Err(Halt::usage(message).hint(hint));
        }
        KitFolder::beside(place, None)
    }

    /// A folder that is made beside its place.
    fn beside(place: PathBuf, old: Option<KitRecord>) -> Result<KitFolder, Halt> {
        let parent = match place.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        let made = new_folder_in(parent).map_err(|error| cannot_write(&place, &error))?;
        Ok(KitFolder { made, place, old })
    }

    /// The record of the kit that is replaced, if there is one.
    pub(super) fn old(&self) -> Option<&KitRecord> {
        self.old.as_ref()
    }

    /// Where the files are to be made.
    pub(super) fn making(&self) -> &Path {
        self.made.path()
    }

    /// Writes a file that is all text.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(super) fn write(&self, name: &str, text: &str) -> Result<(), Halt> {
        let written = fs::write(self.made.path().join(name), text);
        written.map_err(|error| cannot_write(&self.place.join(name), &error))
    }

    /// Lets the folder appear, and says where.
    ///
    /// # Errors
    /// When it cannot be put there; what was there before is untouched then.
    pub(super) fn commit(self) -> Result<PathBuf, Halt> {
        let wrong = |error: io::Error| cannot_write(&self.place, &error);
        let old = match self.old {
            Some(_) => {
                let parent = self.made.path().parent().unwrap_or(Path::new("."));
                let aside = new_folder_in(parent).map_err(wrong)?;
                fs::rename(&self.place, aside.path().join("old")).map_err(wrong)?;
                Some(aside)
            }
            None => None,
        };
        // An empty folder made by hand may be there; it is no loss.
        let _ = fs::remove_dir(&self.place);
        if let Err(error) = fs::rename(self.made.path(), &self.place) {
            if let Some(old) = old {
                let back = fs::rename(old.path().join("old"), &self.place);
                // Better left under its temporary name than removed.
                back.unwrap_or_else(|_| drop(old.keep()));
            }
            return Err(wrong(error));
        }
        // Its files have moved, so there is nothing left to remove.
        let _ = self.made.keep();
        Ok(self.place)
    }
}

/// A folder under a temporary name, open to those whom a folder made by hand is open to.
fn new_folder_in(parent: &Path) -> io::Result<TempDir> {
    let mut builder = Builder::new();
    builder.prefix(".slipwright-").suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o777));
    }
    builder.tempdir_in(parent)
}

/// The record of the kit that is there and to be replaced; refuses everything else that is there.
fn refuse_others(place: &Path, replace: bool) -> Result<Option<KitRecord>, Halt> {
    let shown = show_path(place);
    let Ok(known) = fs::metadata(place) else { return Ok(None) };
    let names = match fs::read_dir(place) {
        Ok(entries) if known.is_dir() => {
            let names =
                entries.flatten().map(|entry| entry.file_name().to_string_lossy().into_owned());
            let mut names: Vec<String> = names.collect();
            names.sort();
            names
        }
        _ => {
            let hint = "name a folder that is yet to be made";
            return Err(Halt::usage(format!("{shown} is no folder")).hint(hint));
        }
    };
    if names.is_empty() {
        return Ok(None);
    }
    let record = read_record(place)?;
    if !replace {
        let parcels = counted(record.parcels.len(), "parcel");
        return Err(Halt::usage(format!("there is a kit of {parcels} in {shown} already"))
            .hint("name another folder, or replace it with `--replace`"));
    }
    let is_ours = |name: &str| {
        [RECORD, FINDINGS, PARCELS, ORDERS, SHOP].contains(&name)
            || record.documents.iter().any(|document| document.file == name)
            || name.strip_prefix(AGAIN).is_some_and(|rest| rest.parse::<usize>().is_ok())
    };
    match names.iter().find(|name| !is_ours(name)) {
        Some(other) => {
            let message = format!("`{other}` in {shown} belongs to no kit and would be lost");
            Err(Halt::usage(message).hint("move it to another folder first"))
        }
        None => Ok(Some(record)),
    }
}

/// The record of the kit in a folder.
///
/// # Errors
/// When there is none, or none that can be read.
pub(super) fn read_record(folder: &Path) -> Result<KitRecord, Halt> {
    let shown = show_path(folder);
    let path = folder.join(RECORD);
    if !path.is_file() {
        return Err(Halt::usage(format!("there is no kit in {shown}, but other files"))
            .hint("name a folder that is yet to be made, or an empty one"));
    }
    let text = fs::read_to_string(&path);
    let text = text.map_err(|error| Halt::unreadable(&show_path(&path), &error))?;
    KitRecord::read(&text).map_err(|fault| {
        Halt::usage(format!("{} is no record of a kit: {fault}", show_path(&path)))
    })
}

/// The list of parcels of the kit in a folder.
///
/// # Errors
/// When there is none, or none that can be read.
pub(super) fn read_parcels(folder: &Path) -> Result<ParcelList, Halt> {
    let path = folder.join(PARCELS);
    let text = read_text(&path)?;
    ParcelList::read(&text).map_err(|fault| {
        let message = format!("{} is no list of parcels: {fault}", show_path(&path));
        Halt::usage(message).hint("make the kit anew with `--replace`")
    })
}
