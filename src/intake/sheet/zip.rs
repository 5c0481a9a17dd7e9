//! The parts of a zip file, which is what spreadsheets are stored as.
//!
//! In: the whole file. Out: a part by its name, unpacked and compared with its checksum, all parts
//! together within [`SHEET_UNPACKED`]. What a spreadsheet never is (encrypted, spread over several files,
//! larger than 4 GiB) is refused. The layout of the records is that of PKWARE's APPNOTE.TXT.
//! Not here: what the parts say.

use std::io::Read as _;

use super::fault::SheetFault;
use crate::limits::{SHEET_PARTS, SHEET_UNPACKED};

/// The signature of the record at the end of the file (APPNOTE: end of central directory), and its length.
const END: (&[u8], usize) = (b"PK\x05\x06", 22);

/// The signature of a part's entry in the directory (APPNOTE: central directory structure), and its length without names.
const ENTRY: (&[u8], usize) = (b"PK\x01\x02", 46);

/// The length of the header before a part's bytes, without names (APPNOTE: local file header).
const LOCAL: usize = 30;

/// A zip file and the directory of its parts.
pub(super) struct Archive {
    /// The whole file.
    bytes: Vec<u8>,
    /// What the directory at its end lists.
    parts: Vec<ZipPart>,
    /// How many bytes may still be unpacked.
    left: usize,
}

/// One part, as the directory has it.
struct ZipPart {
    /// Its path in the archive, such as `xl/workbook.xml`.
    name: String,
    /// 0 for stored, 8 for deflated.
    method: u16,
    /// Whether it needs a password, and so cannot be read.
    encrypted: bool,
    /// The checksum of its plain bytes.
    crc: u32,
    /// Its length in the file.
    packed: usize,
    /// Its length when it is unpacked.
    size: usize,
    /// Where its own header starts.
    offset: usize,
}

/// A number of two bytes, the low one first.
fn short(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_le_bytes(bytes.get(at..at + 2)?.try_into().ok()?))
}

/// A number of four bytes, the low one first.
fn long(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_le_bytes(bytes.get(at..at.checked_add(4)?)?.try_into().ok()?))
}

/// A length or place of four bytes.
fn place(bytes: &[u8], at: usize) -> Option<usize> {
    usize::try_from(long(bytes, at)?).ok()
}

impl Archive {
    /// Reads the directory of a file.
    ///
    /// # Errors
    /// When it has none that can be read.
    pub(super) fn open(bytes: Vec<u8>) -> Result<Archive, SheetFault> {
        let parts = read_directory(&bytes)
            .ok_or(SheetFault::Broken("its directory of parts is damaged or cut off"))?;
        if parts.len() > SHEET_PARTS {
            return Err(SheetFault::TooLarge);
        }
        Ok(Archive { bytes, parts, left: SHEET_UNPACKED })
    }

    /// Whether it has a part of this name.
    pub(super) fn has(&self, name: &str) -> bool {
        self.parts.iter().any(|part| part.name == name)
    }

    /// A part as text; none when there is no part of this name.
    ///
    /// # Errors
    /// When the part is damaged, too large, or no UTF-8.
    pub(super) fn text(&mut self, name: &str) -> Result<Option<String>, SheetFault> {
        let Some(part) = self.parts.iter().find(|part| part.name == name) else { return Ok(None) };
        if part.encrypted {
            return Err(SheetFault::Locked);
        }
        let plain = unpack(&self.bytes, part, self.left)?;
        self.left -= plain.len();
        let text = String::from_utf8(plain);
        text.map(Some).map_err(|_| SheetFault::Broken("a part of it is no UTF-8 text"))
    }
}

/// The parts that the directory at the end of a file lists.
fn read_directory(bytes: &[u8]) -> Option<Vec<ZipPart>> {
    // A comment of up to 65,535 bytes may follow the last record.
    let earliest = bytes.len().saturating_sub(END.1 + usize::from(u16::MAX));
    let tail = &bytes[earliest..];
    let end = tail.windows(4).rposition(|four| four == END.0)? + earliest;
    let count = usize::from(short(bytes, end + 10)?);
    let mut at = place(bytes, end + 16)?;
    let mut parts = Vec::new();
    while parts.len() < count.min(SHEET_PARTS + 1) {
        if bytes.get(at..at.checked_add(4)?)? != ENTRY.0 {
            return None;
        }
        let lengths = [28, 30, 32].map(|field| short(bytes, at + field).map(usize::from));
        let [name, extra, comment] = [lengths[0]?, lengths[1]?, lengths[2]?];
        let start = at + ENTRY.1;
        parts.push(ZipPart {
            name: String::from_utf8_lossy(bytes.get(start..start + name)?).into_owned(),
            encrypted: short(bytes, at + 8)? & 1 != 0,
            method: short(bytes, at + 10)?,
            crc: long(bytes, at + 16)?,
            packed: place(bytes, at + 20)?,
            size: place(bytes, at + 24)?,
            offset: place(bytes, at + 42)?,
        });
        at = start + name + extra + comment;
    }
    Some(parts)
}

/// The plain bytes of a part, at most so many.
fn unpack(bytes: &[u8], part: &ZipPart, most: usize) -> Result<Vec<u8>, SheetFault> {
    let cut_off = SheetFault::Broken("a part of it is damaged or cut off");
    let packed = || {
        let name = usize::from(short(bytes, part.offset.checked_add(26)?)?);
        let extra = usize::from(short(bytes, part.offset + 28)?);
        let start = part.offset + LOCAL + name + extra;
        bytes.get(start..start.checked_add(part.packed)?)
    };
    let packed = packed().ok_or_else(|| cut_off.clone())?;
    if part.size > most {
        return Err(SheetFault::TooLarge);
    }
    // One byte more than there should be, to notice a part that says less than it holds.
    let mut plain = Vec::with_capacity(part.size + 1);
    let limit = u64::try_from(part.size + 1).unwrap_or(u64::MAX);
    let read = match part.method {
        0 => packed.take(limit).read_to_end(&mut plain),
        8 => flate2::read::DeflateDecoder::new(packed).take(limit).read_to_end(&mut plain),
        _ => return Err(SheetFault::Broken("it is packed in a way that spreadsheets do not use")),
    };
    read.map_err(|_| cut_off.clone())?;
    let mut crc = flate2::Crc::new();
    crc.update(&plain);
    if plain.len() != part.size || crc.sum() != part.crc {
        return Err(cut_off);
    }
    Ok(plain)
}
