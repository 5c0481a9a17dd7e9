//! A folder that appears whole or not at all.
//!
//! It is made in a hidden folder beside its place (`scratch`), readable by its owner only, and takes its
//! place when everything in it has reached the disk. A kit that is replaced is exchanged for the new one
//! in a single step where the system can, so that there is always one; what is in it is looked at
//! before, and once more behind. Not here: what is in a kit, and what proves that it is one (`old`).

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use super::old::{AGAIN, OldKit, list_names, read_record};
use super::place::resolve;
use super::proof::{list_files, seal};
use crate::cli::disk::read_text;
use crate::cli::files::parent_of;
use crate::cli::halt::Halt;
use crate::cli::journal::sync_folder;
use crate::cli::output::{cannot_write, show_path};
use crate::cli::scratch::{OLD, Scratch, sweep, undisturbed};
use crate::kit::{KitFile, ParcelList};
use crate::words::counted;

/// The name of the file of what was found.
pub(super) const FINDINGS: &str = "findings.json";
/// The name of the list of parcels, with all that is known of them.
pub(super) const PARCELS: &str = "parcels.json";
/// The name of the orders that a kit was made from.
pub(super) const ORDERS: &str = "orders.json";
/// The name of the shop file that a kit was made with.
pub(super) const SHOP: &str = "shop.yaml";

/// A folder that is not there yet.
pub(super) struct KitFolder {
    /// Where the files are for now, under the name that the folder will have.
    made: PathBuf,
    /// Where they are to be.
    place: PathBuf,
    /// What the user calls the place.
    said: PathBuf,
    /// The kit that is there already and is replaced.
    old: Option<OldKit>,
    /// Whether another number is taken when its place is.
    is_numbered: bool,
    /// The hidden folder; it goes last.
    scratch: Scratch,
}

/// What becomes of a kit that stands where another is to appear.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum OldKitFate {
    /// It stays, and nothing is made there.
    Kept,
    /// It stays, and the command has no way to replace it: it is not of this sitting.
    Foreign,
    /// The new one takes its place.
    Replaced,
}

impl KitFolder {
    /// A kit's folder.
    ///
    /// # Errors
    /// When something else is there already, or nothing can be made there.
    pub(super) fn open(said: &Path, fate: OldKitFate) -> Result<KitFolder, Halt> {
        let place = resolve(said)?;
        sweep(parent_of(&place));
        sweep(&place);
        let old = refuse_others(&place, said, fate)?;
        KitFolder::beside(place, said.to_owned(), old)
    }

    /// A folder within a kit that is there, for parcels printed once more: `reprint-1`, or the next
    /// number.
    ///
    /// # Errors
    /// When nothing can be made there.
    pub(super) fn within(kit: &Path) -> Result<KitFolder, Halt> {
        // A run that was killed while it replaced the kit may have it still.
        sweep(parent_of(kit));
        if !kit.is_dir() {
            let message = format!("there is no kit in {} to print from again", show_path(kit));
            let hint = "look at the folder's name, or leave `--only` out to make the kit";
            return Err(Halt::usage(message).hint(hint));
        }
        let place = next_reprint(kit);
        let folder = KitFolder::beside(place.clone(), place, None)?;
        Ok(KitFolder { is_numbered: true, ..folder })
    }

    /// A folder that is made beside its place.
    fn beside(place: PathBuf, said: PathBuf, old: Option<OldKit>) -> Result<KitFolder, Halt> {
        let wrong = |error: io::Error| cannot_write(&said, &error);
        let scratch = Scratch::new(parent_of(&place)).map_err(wrong)?;
        let made = scratch.path().join(place.file_name().unwrap_or_default());
        fs::create_dir(&made).map_err(wrong)?;
        Ok(KitFolder { made, place, said, old, is_numbered: false, scratch })
    }

    /// The kit that is replaced, if there is one.
    pub(super) fn old(&self) -> Option<&OldKit> {
        self.old.as_ref()
    }

    /// Where the files are to be made.
    pub(super) fn making(&self) -> &Path {
        &self.made
    }

    /// Writes a file that is all text.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(super) fn write(&self, name: &str, text: &str) -> Result<(), Halt> {
        let written = File::create_new(self.made.join(name)).and_then(|mut file| {
            io::Write::write_all(&mut file, text.as_bytes())?;
            file.sync_all()
        });
        written.map_err(|error| cannot_write(&self.said.join(name), &error))
    }

    /// Writes the record of the folder, sealed; it lists all files that are there, and comes last.
    ///
    /// # Errors
    /// When the files cannot be read, or the record not be written.
    pub(super) fn write_record(
        &self,
        name: &str,
        record: impl FnOnce(Vec<KitFile>) -> String,
    ) -> Result<(), Halt> {
        let files = list_files(&self.made, name);
        let files = files.map_err(|error| cannot_write(&self.said.join(name), &error))?;
        self.write(name, &seal(&record(files)))
    }

    /// Lets the folder appear, and says where.
    ///
    /// # Errors
    /// When it cannot be put there; what was there before is untouched then.
    pub(super) fn commit(mut self) -> Result<PathBuf, Halt> {
        self.finish().map_err(|error| cannot_write(&self.said, &error))?;
        undisturbed(|| match self.old.take() {
            Some(old) => self.replace(&old),
            None if self.is_numbered => self.take_number(),
            None => self.put(),
        })?;
        let _ = sync_folder(parent_of(&self.place));
        Ok(self.said)
    }

    /// Gives every file the mode it is to have, and sees that all names have reached the disk.
    fn finish(&self) -> io::Result<()> {
        for name in list_names(&self.made) {
            keep_private(&self.made.join(&name), self.place.join(&name).metadata().ok(), 0o600)?;
        }
        keep_private(&self.made, self.place.metadata().ok(), 0o700)?;
        sync_folder(&self.made)
    }

    /// Puts it where nothing is, or an empty folder made by hand.
    fn put(&self) -> Result<(), Halt> {
        let _ = fs::remove_dir(&self.place);
        fs::rename(&self.made, &self.place).map_err(|error| match error.kind() {
            io::ErrorKind::ResourceBusy => {
                cannot_write(&self.said, &error).hint("name a folder in it")
            }
            _ if self.place.exists() => changed_meanwhile(&self.said),
            _ => cannot_write(&self.said, &error),
        })
    }

    /// Puts it under the next number that is free: another run may have taken one meanwhile.
    fn take_number(&mut self) -> Result<(), Halt> {
        loop {
            let Err(error) = fs::rename(&self.made, &self.place) else { return Ok(()) };
            let kit = parent_of(&self.place).to_owned();
            if fs::symlink_metadata(&self.place).is_err() {
                return Err(match kit.is_dir() {
                    true => cannot_write(&self.said, &error),
                    false => changed_meanwhile(&kit),
                });
            }
            self.place = next_reprint(&kit);
            self.said.clone_from(&self.place);
        }
    }

    /// Exchanges it for the old kit, if that is still as it was when the work began.
    fn replace(&self, old: &OldKit) -> Result<(), Halt> {
        let is_as_it_was = |folder: &Path| {
            let now = OldKit::examine(folder, &self.said)?;
            if now == *old { Ok(()) } else { Err(changed_meanwhile(&self.said)) }
        };
        is_as_it_was(&self.place)?;
        let wrong = |error: io::Error| cannot_write(&self.said, &error);
        let aside = exchange(&self.made, &self.place, &self.scratch).map_err(wrong)?;
        // Nobody reaches it under its name any more; what came in until then has to come back.
        is_as_it_was(&aside).inspect_err(|_| {
            let _ = take_back(&aside, &self.made, &self.place);
        })
    }
}

/// The first folder for parcels printed once more that is not there.
fn next_reprint(kit: &Path) -> PathBuf {
    let places = (1_u64..).map(|number| kit.join(format!("{AGAIN}{number}")));
    let mut free = places.filter(|place| fs::symlink_metadata(place).is_err());
    free.next().unwrap_or_else(|| kit.join(AGAIN))
}

/// What stops a folder in whose place something has come meanwhile.
fn changed_meanwhile(said: &Path) -> Halt {
    Halt::usage(format!("{} was changed by someone else while the kit was made", show_path(said)))
        .hint("look at what is in it, and start again")
}

/// Puts `made` in the place of a kit, and gives where that is now.
fn exchange(made: &Path, place: &Path, scratch: &Scratch) -> io::Result<PathBuf> {
    match exchange_at_once(made, place) {
        Ok(()) => Ok(made.to_owned()),
        Err(_) => exchange_in_two_steps(made, place, scratch),
    }
}

/// Exchanges two folders in one step.
#[cfg(any(target_os = "linux", target_os = "macos"))]
fn exchange_at_once(one: &Path, other: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE)?)
}

/// Exchanges two folders in one step, which this system cannot.
#[cfg(not(any(target_os = "linux", target_os = "macos")))]
fn exchange_at_once(_one: &Path, _other: &Path) -> io::Result<()> {
    Err(io::Error::from(io::ErrorKind::Unsupported))
}

/// Lets the old kit step aside, and puts `made` in its place. A run that is killed in between leaves
/// the old one where the next run finds it by its name.
fn exchange_in_two_steps(made: &Path, place: &Path, scratch: &Scratch) -> io::Result<PathBuf> {
    let folder = scratch.path().join(OLD);
    fs::create_dir(&folder)?;
    let aside = folder.join(place.file_name().unwrap_or_default());
    fs::rename(place, &aside)?;
    if let Err(error) = fs::rename(made, place) {
        fs::rename(&aside, place)?;
        return Err(error);
    }
    Ok(aside)
}

/// Puts the old kit back, and the new one where it was made.
fn take_back(aside: &Path, made: &Path, place: &Path) -> io::Result<()> {
    if exchange_at_once(aside, place).is_ok() {
        return Ok(());
    }
    if aside != made {
        fs::rename(place, made)?;
    }
    fs::rename(aside, place)
}

/// Gives something the mode of what it replaces, or one that lets nobody but its owner in; the owner can
/// always write there, else no later print could be put beside it.
#[cfg(unix)]
fn keep_private(path: &Path, before: Option<fs::Metadata>, mode: u32) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt as _;
    let kept = before.map_or(mode, |known| known.permissions().mode() | mode);
    fs::set_permissions(path, fs::Permissions::from_mode(kept))
}

/// Gives something the mode of what it replaces, which this system inherits from the folder.
#[cfg(not(unix))]
fn keep_private(_path: &Path, _before: Option<fs::Metadata>, _mode: u32) -> io::Result<()> {
    Ok(())
}

/// The kit that is there and to be replaced; refuses everything else that is there.
fn refuse_others(place: &Path, said: &Path, fate: OldKitFate) -> Result<Option<OldKit>, Halt> {
    let Ok(known) = fs::metadata(place) else { return Ok(None) };
    let shown = show_path(said);
    if !known.is_dir() {
        let hint = "name a folder that is yet to be made";
        return Err(Halt::usage(format!("{shown} is no folder")).hint(hint));
    }
    let mut entries = fs::read_dir(place).map_err(|error| Halt::unreadable(&shown, &error))?;
    if entries.next().is_none() {
        return Ok(None);
    }
    if fate == OldKitFate::Replaced {
        return OldKit::examine(place, said).map(Some);
    }
    let parcels = counted(read_record(place, said)?.parcels.len(), "parcel");
    let there = Halt::usage(format!("there is a kit of {parcels} in {shown} already"));
    Err(match fate {
        OldKitFate::Foreign => there
            .hint("it is not of this sitting: move that folder elsewhere")
            .hint("or name another folder: `--to FOLDER`"),
        _ => there.hint("name another folder, or replace it with `--replace`"),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn where_folders_cannot_be_exchanged_the_old_one_steps_aside_under_its_name() {
        let folder = tempfile::tempdir().unwrap();
        let (place, made) = (folder.path().join("tonight"), folder.path().join("new"));
        let put = |folder: &Path, text: &str| {
            fs::create_dir(folder).unwrap();
            fs::write(folder.join("labels.pdf"), text).unwrap();
        };
        let read = |folder: &Path| fs::read_to_string(folder.join("labels.pdf")).unwrap();
        put(&place, "old");
        let failed = Scratch::new(folder.path()).unwrap();
        exchange_in_two_steps(&made, &place, &failed).unwrap_err();
        assert_eq!(read(&place), "old", "the new one was not there");
        put(&made, "new");
        let scratch = Scratch::new(folder.path()).unwrap();
        let aside = exchange_in_two_steps(&made, &place, &scratch).unwrap();
        assert_eq!((read(&place), read(&aside)), ("new".into(), "old".into()));
        assert!(aside.ends_with("old/tonight"));
        take_back(&aside, &made, &place).unwrap();
        assert_eq!(read(&place), "old");
    }
}
