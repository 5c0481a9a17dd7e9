//! What proves that a file is a kit's: its bytes.
//!
//! In: a folder, and the files that its record lists. Out: that everything in it is as it was written,
//! or the first thing that is not. A record is sealed: its last line is the digest of all lines before,
//! so that one that was changed by hand proves nothing. Not here: what is done with the folder.

use std::fs::{self, File};
use std::io;
use std::path::Path;

use hmac_sha256::Hash;

use crate::kit::KitFile;

/// What stands before a seal.
const SEAL: &str = ",\n  \"seal\": \"";
/// What stands behind it.
const SEAL_END: &str = "\"\n}\n";

/// What is in a folder that its record does not prove.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Unproven {
    /// A name that the record does not list; a link or folder in a file's place counts too.
    Other(String),
    /// A file that is not as it was written.
    Changed(String),
}

/// A record's text with its seal.
pub(super) fn seal(text: &str) -> String {
    let body = text.trim_end().trim_end_matches('}').trim_end();
    format!("{body}{SEAL}{}{SEAL_END}", write_digest(Hash::hash(body.as_bytes())))
}

/// Whether a record's text is as it was sealed.
pub(super) fn is_sealed(text: &str) -> bool {
    text.rfind(SEAL).is_some_and(|end| seal(&text[..end]) == text)
}

/// The files of a folder with their digests, sorted by name; `record` is left out, which is yet to be
/// written or sealed by itself.
pub(super) fn list_files(folder: &Path, record: &str) -> io::Result<Vec<KitFile>> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder)? {
        let name = entry?.file_name().to_string_lossy().into_owned();
        if name != record {
            let sha256 = digest_file(&folder.join(&name))?;
            files.push(KitFile { name, sha256 });
        }
    }
    files.sort_by(|one, other| one.name.cmp(&other.name));
    Ok(files)
}

/// Compares one entry of a folder with what its record lists. Names in a record only ever meet names
/// that are in the folder, so that they lead nowhere else.
pub(super) fn check_file(folder: &Path, name: &str, files: &[KitFile]) -> Result<(), Unproven> {
    let path = folder.join(name);
    let is_file = fs::symlink_metadata(&path).is_ok_and(|known| known.is_file());
    match files.iter().find(|file| file.name == name) {
        Some(known) if is_file => match digest_file(&path) {
            Ok(digest) if digest == known.sha256 => Ok(()),
            _ => Err(Unproven::Changed(name.to_owned())),
        },
        _ => Err(Unproven::Other(name.to_owned())),
    }
}

/// The SHA-256 of a file's bytes (FIPS 180-4), in hexadecimal digits.
fn digest_file(path: &Path) -> io::Result<String> {
    let mut hash = Hash::new();
    let mut file = File::open(path)?;
    let mut bytes = vec![0; 1 << 16];
    loop {
        match io::Read::read(&mut file, &mut bytes)? {
            0 => return Ok(write_digest(hash.finalize())),
            count => hash.update(&bytes[..count]),
        }
    }
}

/// A digest in hexadecimal digits.
fn write_digest(bytes: [u8; 32]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sealed_record_that_was_changed_is_known() {
        let text = seal("{\n  \"kit\": 1,\n  \"files\": []\n}\n");
        assert!(text.starts_with("{\n  \"kit\": 1,\n  \"files\": [],\n  \"seal\": \""), "{text}");
        assert!(is_sealed(&text));
        assert!(serde_json::from_str::<serde_json::Value>(&text).is_ok());
        for changed in [text.replace("[]", "[ ]"), format!("{text} "), "{}".into(), String::new()] {
            assert!(!is_sealed(&changed), "{changed}");
        }
    }

    #[test]
    fn a_file_is_known_by_its_bytes() {
        let folder = tempfile::tempdir().unwrap();
        let folder = folder.path();
        fs::write(folder.join("a.pdf"), "abc").unwrap();
        fs::write(folder.join("batch.json"), "{}").unwrap();
        let files = list_files(folder, "batch.json").unwrap();
        // The digest of "abc": FIPS 180-4's example, as NIST's "SHA-256" example file has it.
        let digest = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(files, [KitFile { name: "a.pdf".into(), sha256: digest.into() }]);
        assert_eq!(check_file(folder, "a.pdf", &files), Ok(()));
        let other = Err(Unproven::Other("b.pdf".into()));
        assert_eq!(check_file(folder, "b.pdf", &files), other);
        fs::write(folder.join("a.pdf"), "abd").unwrap();
        assert_eq!(check_file(folder, "a.pdf", &files), Err(Unproven::Changed("a.pdf".into())));
    }
}
