//! Forgetting a kit: what its papers and lists say of people goes, what it was stays.
//!
//! In: the folder of a kit, proven to be one down to its last byte (`old`). Out: the same folder with
//! its record alone, in which nobody is named any more: numbers, tags, pair codes and ids stay. Not
//! here: which kits are old enough.

use std::fs;
use std::path::Path;
use std::time::SystemTime;

use super::folder::{KitFolder, OldKitFate};
use super::old::{OldKit, list_names, read_record};
use crate::cli::halt::Halt;
use crate::kit::{KitRecord, RECORD};

/// What is, or would be, forgotten of a kit.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct KitForgetting {
    /// The names of the files and folders that go.
    pub(crate) gone: Vec<String>,
    /// How many parcels stay known by number, tag, pair code and ids.
    pub(crate) parcels: usize,
}

/// Whether a kit is forgotten, or only looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ForgetHow {
    /// What would go is told.
    Rehearsed,
    /// It goes.
    Done,
}

/// Forgets a kit. One that names nobody any more is left as it is.
///
/// # Errors
/// When the folder holds anything that is not proven to be the kit's own, or cannot be written.
pub(crate) fn forget_kit(folder: &Path, how: ForgetHow) -> Result<KitForgetting, Halt> {
    let kit = OldKit::examine(folder, folder)?;
    let gone: Vec<String> = list_names(folder).into_iter().filter(|name| name != RECORD).collect();
    let named = kit.record.parcels.iter().any(|parcel| !parcel.to.is_empty());
    let forgetting = KitForgetting { gone, parcels: kit.record.parcels.len() };
    if how == ForgetHow::Done && (named || !forgetting.gone.is_empty()) {
        let mut record: KitRecord = kit.record;
        record.parcels.iter_mut().for_each(|parcel| parcel.to.clear());
        let made = KitFolder::open(folder, OldKitFate::Replaced)?;
        made.write_record(RECORD, |files| {
            record.files = files;
            record.to_json()
        })?;
        made.commit()?;
    }
    Ok(forgetting)
}

/// The key that all codes of a kit have; none where no kit is.
pub(crate) fn kit_key(folder: &Path) -> Option<String> {
    read_record(folder, folder).ok().map(|record| record.key)
}

/// When a kit was made, as its record's file has it; none where the system does not say.
pub(crate) fn made_at(folder: &Path) -> Option<SystemTime> {
    fs::metadata(folder.join(RECORD)).and_then(|known| known.modified()).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A kit of one parcel in a folder, as it is sealed.
    fn make(folder: &Path) {
        let record = r#"{"kit": 1, "batch": "Friday", "key": "ABCD", "combine": false, "split": [],
            "fix_tags": false, "documents": [], "parcels": [{"position": 1, "tag": "Marlow",
            "pair": "K7Q4", "label": "L", "card": "C", "orders": ["TH-1"], "to": "Ines Marlow, 1 Quay"}],
            "files": []}"#;
        let mut record = KitRecord::read(record).unwrap();
        let made = KitFolder::open(folder, OldKitFate::Kept).unwrap();
        made.write("labels.pdf", "Ines Marlow").unwrap();
        made.write_record(RECORD, |files| {
            record.files = files;
            record.to_json()
        })
        .unwrap();
        made.commit().unwrap();
    }

    #[test]
    fn a_kit_is_forgotten_but_for_what_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let place = folder.path().join("friday");
        make(&place);
        let whole = |place: &Path| fs::read_to_string(place.join(RECORD)).unwrap();
        assert_eq!(
            forget_kit(&place, ForgetHow::Rehearsed).unwrap(),
            KitForgetting { gone: vec!["labels.pdf".into()], parcels: 1 }
        );
        assert!(place.join("labels.pdf").exists() && whole(&place).contains("Ines"));
        forget_kit(&place, ForgetHow::Done).unwrap();
        assert_eq!(list_names(&place), [RECORD]);
        let kept = whole(&place);
        assert!(
            !kept.contains("Ines") && kept.contains("Marlow") && kept.contains("TH-1"),
            "{kept}"
        );
        // Once more changes nothing, and it is still a kit of ours.
        assert_eq!(forget_kit(&place, ForgetHow::Done).unwrap().gone, [""; 0]);
        assert_eq!(whole(&place), kept);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "nothing hidden is left");
    }

    #[test]
    fn a_folder_with_anything_else_in_it_stays() {
        let folder = tempfile::tempdir().unwrap();
        let place = folder.path().join("friday");
        make(&place);
        fs::write(place.join("notes.txt"), "mine").unwrap();
        let halt = forget_kit(&place, ForgetHow::Done).unwrap_err();
        assert!(halt.findings[0].message.contains("`notes.txt`"), "{:?}", halt.findings);
        assert!(place.join("labels.pdf").exists());
    }
}
