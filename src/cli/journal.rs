//! What a run was about to rename, so that the next one can end it.
//!
//! In: files that are complete in hidden folders, and the places where they belong together. Out: a
//! note in one of these folders, on the disk before the first of them is renamed. A run that is killed
//! between two renames leaves the note behind, and the next run in that place goes on where it
//! stopped, or takes back what has appeared before a folder that never did. Whatever somebody has
//! changed since then is left alone. Not here: hidden folders, and whether their run lives
//! (`scratch`).

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

/// The name of the note.
const NOTE: &str = "journal";
/// The name of the note while it is written.
const UNWRITTEN: &str = "journal.new";
/// The name of the file that says in which other hidden folder the note is.
const POINTER: &str = "journal.at";

/// What tells a file from another that came into its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct FileStamp {
    /// Its number on the disk; 0 where there are none.
    number: u64,
    /// Its bytes; 0 for folders.
    bytes: u64,
    /// When it was last written, in nanoseconds of Unix time.
    written: u128,
}

/// A file that is to take its place.
#[derive(Clone, Debug, PartialEq, Eq)]
struct PlannedRename {
    /// Its hidden name, where it is complete.
    made: PathBuf,
    /// Where it belongs.
    place: PathBuf,
    /// Where the file is kept that was there before, if there was one.
    kept: Option<PathBuf>,
    /// What it is known by.
    stamp: FileStamp,
    /// What was there before; none where the name is new.
    before: Option<FileStamp>,
}

/// Renames that belong together.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Journal {
    /// The files.
    moves: Vec<PlannedRename>,
    /// The folder that appears after them: as long as it is where it was made, they are taken back.
    folder: Option<(PathBuf, FileStamp)>,
}

impl Journal {
    /// Renames after which a folder appears, if one does.
    ///
    /// # Errors
    /// When the folder cannot be looked at.
    pub(super) fn before(folder: Option<&Path>) -> io::Result<Journal> {
        let folder = match folder {
            Some(folder) => Some((fs::canonicalize(folder)?, FileStamp::of(folder)?)),
            None => None,
        };
        Ok(Journal { moves: Vec::new(), folder })
    }

    /// Adds a file that is to take its place, and where what was there before is kept.
    ///
    /// # Errors
    /// When it cannot be looked at.
    pub(super) fn add(&mut self, made: &Path, place: &Path, kept: Option<&Path>) -> io::Result<()> {
        let place = match (place.parent(), place.file_name()) {
            (Some(folder), Some(name)) if !folder.as_os_str().is_empty() => {
                fs::canonicalize(folder)?.join(name)
            }
            (_, Some(name)) => fs::canonicalize(".")?.join(name),
            _ => return Err(io::Error::from(io::ErrorKind::InvalidFilename)),
        };
        self.moves.push(PlannedRename {
            made: fs::canonicalize(made)?,
            kept: kept.map(fs::canonicalize).transpose()?,
            stamp: FileStamp::of(made)?,
            before: FileStamp::of(&place).ok(),
            place,
        });
        Ok(())
    }

    /// Whether a kill between two of its renames would leave half of what belongs together.
    pub(super) fn is_needed(&self) -> bool {
        self.moves.len() > 1 || (self.folder.is_some() && !self.moves.is_empty())
    }

    /// Puts the note into a hidden folder, and a pointer to it into the others.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(super) fn write(&self, scratch: &Path, others: &[&Path]) -> io::Result<()> {
        let decider = fs::canonicalize(scratch)?;
        for other in others {
            write_whole(&other.join(POINTER), &format!("{}\n", spell(&decider)))?;
        }
        write_whole(&scratch.join(UNWRITTEN), &self.to_text())?;
        fs::rename(scratch.join(UNWRITTEN), scratch.join(NOTE))?;
        sync_folder(scratch)
    }

    /// The note as text.
    fn to_text(&self) -> String {
        let mut text = String::new();
        if let Some((folder, stamp)) = &self.folder {
            text += &format!("folder {} {}\n", spell(folder), stamp.spell());
        }
        for PlannedRename { made, place, kept, stamp, before } in &self.moves {
            let kept = kept.as_deref().map_or_else(|| "-".to_owned(), spell);
            let before = before.map_or_else(|| "-".to_owned(), FileStamp::spell);
            let (made, place, stamp) = (spell(made), spell(place), stamp.spell());
            text += &format!("file {made} {place} {kept} {stamp} {before}\n");
        }
        text + "end\n"
    }

    /// The journal that a note says; none when it is cut short, or leads out of hidden folders and
    /// the folders these are in.
    fn read(text: &str, is_scratch: fn(&Path) -> bool) -> Option<Journal> {
        let mut journal = Journal::default();
        let inside = |path: &Path| path.parent().is_some_and(is_scratch);
        for line in text.strip_suffix("end\n")?.lines() {
            let words: Vec<&str> = line.split(' ').collect();
            match words[..] {
                ["folder", folder, stamp] => {
                    let folder = read_path(folder).filter(|folder| inside(folder))?;
                    journal.folder = Some((folder, FileStamp::read(stamp)?));
                }
                ["file", made, place, kept, stamp, before] => {
                    let made = read_path(made).filter(|made| inside(made))?;
                    let kept = if kept == "-" { None } else { Some(read_path(kept)?) };
                    let before = if before == "-" { None } else { Some(FileStamp::read(before)?) };
                    let place = read_path(place)?;
                    // A hidden folder lies where its files are to appear, and nowhere else.
                    if place.parent() != made.parent()?.parent()
                        || kept.as_ref().is_some_and(|kept| kept.parent() != made.parent())
                    {
                        return None;
                    }
                    journal.moves.push(PlannedRename {
                        made,
                        place,
                        kept,
                        stamp: FileStamp::read(stamp)?,
                        before,
                    });
                }
                _ => return None,
            }
        }
        Some(journal)
    }

    /// Ends what a killed run had begun.
    fn end(&self) {
        match &self.folder {
            Some((folder, stamp)) if FileStamp::of(folder).ok() == Some(*stamp) => self.take_back(),
            // The folder has appeared, and so had all before it.
            Some(_) => {}
            None => self.go_on(),
        }
    }

    /// Renames what is left, unless nothing has appeared yet, or somebody has changed things since.
    fn go_on(&self) {
        let has_appeared = |it: &&PlannedRename| FileStamp::of(&it.place).ok() == Some(it.stamp);
        let is_waiting = |it: &&PlannedRename| {
            FileStamp::of(&it.made).ok() == Some(it.stamp)
                && FileStamp::of(&it.place).ok() == it.before
        };
        let waiting: Vec<&PlannedRename> = self.moves.iter().filter(is_waiting).collect();
        let appeared = self.moves.iter().filter(has_appeared).count();
        if appeared > 0 && appeared + waiting.len() == self.moves.len() {
            for it in waiting {
                let _ = fs::rename(&it.made, &it.place);
            }
        }
    }

    /// Takes back what has appeared, unless somebody has changed it since.
    fn take_back(&self) {
        for it in self.moves.iter().rev() {
            if FileStamp::of(&it.place).ok() != Some(it.stamp) {
                continue;
            }
            let _ = match &it.kept {
                Some(kept) => fs::rename(kept, &it.place),
                None => fs::remove_file(&it.place),
            };
        }
    }
}

/// Takes the note away: all has appeared.
pub(super) fn close(scratch: &Path) {
    let _ = fs::remove_file(scratch.join(NOTE));
}

/// Ends what the note in a dead run's hidden folder says, if there is one.
pub(super) fn end_note(scratch: &Path, is_scratch: fn(&Path) -> bool) {
    let note = fs::read_to_string(scratch.join(NOTE)).ok();
    if let Some(journal) = note.and_then(|text| Journal::read(&text, is_scratch)) {
        journal.end();
    }
}

/// The hidden folder in which the note about the files of another one is.
pub(super) fn find_decider(scratch: &Path) -> Option<PathBuf> {
    read_path(fs::read_to_string(scratch.join(POINTER)).ok()?.trim_end())
}

impl FileStamp {
    /// What a file or folder is known by.
    fn of(path: &Path) -> io::Result<FileStamp> {
        let known = fs::symlink_metadata(path)?;
        let since = known.modified()?.duration_since(UNIX_EPOCH).unwrap_or_default();
        let bytes = if known.is_file() { known.len() } else { 0 };
        Ok(FileStamp { number: number_of(&known), bytes, written: since.as_nanos() })
    }

    /// It as a word.
    fn spell(self) -> String {
        format!("{}.{}.{}", self.number, self.bytes, self.written)
    }

    /// What a word says.
    fn read(word: &str) -> Option<FileStamp> {
        let mut parts = word.split('.');
        let number = parts.next()?.parse().ok()?;
        let (bytes, written) = (parts.next()?.parse().ok()?, parts.next()?.parse().ok()?);
        Some(FileStamp { number, bytes, written })
    }
}

/// The number of a file on its disk.
#[cfg(unix)]
fn number_of(known: &fs::Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::ino(known)
}

/// The number of a file on its disk, which this system does not tell.
#[cfg(not(unix))]
fn number_of(_known: &fs::Metadata) -> u64 {
    0
}

/// Writes a file whole, down to the disk.
fn write_whole(path: &Path, text: &str) -> io::Result<()> {
    let mut file = File::create(path)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()
}

/// Sees that the names in a folder have reached the disk.
#[cfg(unix)]
pub(super) fn sync_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

/// Sees that the names in a folder have reached the disk, which is this system's own business.
#[cfg(not(unix))]
pub(super) fn sync_folder(_folder: &Path) -> io::Result<()> {
    Ok(())
}

/// A path as a word: what is no plain sign as `%` and its number, since names may hold any bytes.
fn spell(path: &Path) -> String {
    let mut word = String::new();
    for &byte in path.as_os_str().as_encoded_bytes() {
        match byte {
            b'%' | 0..=b' ' | 0x7f.. => word += &format!("%{byte:02x}"),
            _ => word.push(char::from(byte)),
        }
    }
    word
}

/// The path that a word spells, from the root on.
fn read_path(word: &str) -> Option<PathBuf> {
    let mut bytes = Vec::new();
    let mut rest = word.as_bytes();
    while let [first, after @ ..] = rest {
        rest = after;
        if *first != b'%' {
            bytes.push(*first);
            continue;
        }
        let digits = std::str::from_utf8(rest.get(..2)?).ok()?;
        bytes.push(u8::from_str_radix(digits, 16).ok()?);
        rest = &rest[2..];
    }
    let path = path_of(bytes)?;
    path.is_absolute().then_some(path)
}

/// The path of some bytes.
#[cfg(unix)]
fn path_of(bytes: Vec<u8>) -> Option<PathBuf> {
    use std::os::unix::ffi::OsStringExt as _;
    Some(PathBuf::from(std::ffi::OsString::from_vec(bytes)))
}

/// The path of some bytes, which are text on this system.
#[cfg(not(unix))]
fn path_of(bytes: Vec<u8>) -> Option<PathBuf> {
    String::from_utf8(bytes).ok().map(PathBuf::from)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whether a path is a hidden folder of these tests.
    fn is_hidden(path: &Path) -> bool {
        path.file_name().is_some_and(|name| name.to_string_lossy().starts_with(".part"))
    }

    #[test]
    fn a_note_says_what_it_was_told_and_leads_nowhere_else() {
        let stamp = FileStamp { number: 7, bytes: 8, written: 9 };
        let it = PlannedRename {
            made: "/desk/.part/1".into(),
            place: "/desk/my labels 100 %.pdf".into(),
            kept: Some("/desk/.part/2".into()),
            stamp,
            before: Some(stamp),
        };
        let other =
            PlannedRename { place: "/desk/b".into(), kept: None, before: None, ..it.clone() };
        let folder = Some((PathBuf::from("/desk/.part/tonight"), stamp));
        let journal = Journal { moves: vec![it.clone(), other], folder };
        let text = journal.to_text();
        assert_eq!(Journal::read(&text, is_hidden), Some(journal.clone()));
        // Cut short it says nothing.
        assert!((0..text.len()).all(|end| Journal::read(&text[..end], is_hidden).is_none()));
        let forged = [
            PlannedRename { place: "/home/.profile".into(), ..it.clone() },
            PlannedRename { made: "/home/notes".into(), ..it.clone() },
            PlannedRename { kept: Some("/home/notes".into()), ..it.clone() },
            PlannedRename { place: "/desk/.part/../../home/.profile".into(), ..it },
        ];
        for forged in forged {
            let text = Journal { moves: vec![forged], folder: None }.to_text();
            assert_eq!(Journal::read(&text, is_hidden), None, "{text}");
        }
    }
}
