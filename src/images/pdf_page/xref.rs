//! The table that says where each object of a PDF is, ISO 32000-1 §7.5.4 to §7.5.8.
//!
//! In: the bytes of a whole file. Out: a [`XrefTable`] and the trailer's entries. All sections of the
//! table are followed, newest first, be they text or streams. A file whose table cannot be read
//! is refused and never rebuilt by guessing: what a guess misses would be missing on the label.

use std::collections::{BTreeMap, BTreeSet};

use super::error::{PdfImportError, Result, broken, too_large};
use super::fuel::Fuel;
use super::lexer::{Lexer, PdfToken, digits_value};
use super::limits::TABLE_ENTRIES;
use super::object::{Dict, Object, ObjectId};
use super::parser::parse_object;
use super::stream::{stream_data, unpack_direct};

/// How far from the end of a file `startxref` is looked for, in bytes.
const TAIL: usize = 2048;

/// Where an object is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum XrefEntry {
    /// Nowhere: the number is not in use.
    Free,
    /// At a place in the file.
    At {
        /// Bytes from the start of the file.
        offset: usize,
        /// The generation in use.
        generation: u16,
    },
    /// In an object stream.
    Within {
        /// The stream's object number.
        container: u32,
        /// The object's place among the stream's objects.
        index: usize,
    },
}

/// Where all objects are.
#[derive(Debug, Default)]
pub(super) struct XrefTable {
    /// Each object number that any section mentions; the newest mention counts.
    places: BTreeMap<u32, XrefEntry>,
    /// How many mentions there were.
    mentions: usize,
    /// The newest trailer.
    pub(super) trailer: Dict,
}

impl XrefTable {
    /// Where the object is; free when the table does not know it.
    pub(super) fn place(&self, id: ObjectId) -> XrefEntry {
        match self.places.get(&id.number) {
            Some(XrefEntry::At { generation, .. }) if *generation != id.generation => {
                XrefEntry::Free
            }
            Some(XrefEntry::Within { .. }) if id.generation != 0 => XrefEntry::Free,
            Some(place) => *place,
            None => XrefEntry::Free,
        }
    }

    /// Notes a mention, unless a newer one is known.
    fn mention(&mut self, number: u64, place: XrefEntry) -> Result<()> {
        let number = u32::try_from(number).map_err(|_| broken("an object number is too high"))?;
        self.places.entry(number).or_insert(place);
        self.mentions += 1;
        if self.mentions > TABLE_ENTRIES {
            return Err(too_large(format!("more than {TABLE_ENTRIES} objects")));
        }
        Ok(())
    }
}

/// Reads the table of the file `bytes`, which starts with its header.
pub(super) fn read_table(bytes: &[u8], fuel: &mut Fuel) -> Result<XrefTable> {
    let mut table = XrefTable::default();
    let mut seen = BTreeSet::new();
    let mut next = Some(find_start(bytes)?);
    while let Some(offset) = next {
        if !seen.insert(offset) {
            return Err(broken("the sections of its object table lead in a circle"));
        }
        let first = seen.len() == 1;
        let section = read_section(bytes, offset, &mut table, fuel)?;
        // Every section is asked, so that an older, encrypted state is not taken for plain.
        if section.get("Encrypt").is_some() {
            return Err(PdfImportError::Encrypted);
        }
        next = match section.get("Prev") {
            None => None,
            Some(place) => Some(place.count().ok_or_else(|| broken("`Prev` is not a place"))?),
        };
        if first {
            table.trailer = section;
        }
    }
    Ok(table)
}

/// The place that the last `startxref` names.
fn find_start(bytes: &[u8]) -> Result<usize> {
    let missing = || broken("its end is missing: it was cut short");
    let from = bytes.len().saturating_sub(TAIL);
    let word = b"startxref";
    let at = bytes[from..].windows(word.len()).rposition(|window| window == word);
    let mut lexer = Lexer::new(bytes, from + at.ok_or_else(missing)? + word.len());
    let start = lexer.take_count().and_then(|place| usize::try_from(place).ok());
    // Without a byte after it, the figure itself may be cut short.
    start.filter(|_| !lexer.rest().is_empty()).ok_or_else(missing)
}

/// Reads one section and returns its trailer.
fn read_section(
    bytes: &[u8],
    offset: usize,
    table: &mut XrefTable,
    fuel: &mut Fuel,
) -> Result<Dict> {
    if offset >= bytes.len() {
        return Err(broken("its object table lies behind its end: it was cut short"));
    }
    let mut lexer = Lexer::new(bytes, offset);
    if !lexer.take_word("xref") {
        return read_stream_section(bytes, offset, table, fuel);
    }
    let mut entries = Vec::new();
    read_text_entries(&mut lexer, &mut entries)?;
    fuel.spend(lexer.at() - offset)?;
    let Object::Dict(trailer) = parse_object(&mut lexer, fuel)? else {
        return Err(broken("its trailer is not a dictionary"));
    };
    // In a hybrid file the stream's entries stand behind free ones of the text (§7.5.8.4).
    if let Some(stream) = trailer.get("XRefStm") {
        let offset = stream.count().ok_or_else(|| broken("`XRefStm` is not a place"))?;
        read_stream_section(bytes, offset, table, fuel)?;
    }
    for (number, place) in entries {
        table.mention(number, place)?;
    }
    Ok(trailer)
}

/// Reads the subsections of a text section up to and with the word `trailer`.
fn read_text_entries(lexer: &mut Lexer<'_>, entries: &mut Vec<(u64, XrefEntry)>) -> Result<()> {
    let damaged = || broken("its object table is damaged");
    while !lexer.take_word("trailer") {
        let (Some(mut start), Some(count)) = (lexer.take_count(), lexer.take_count()) else {
            return Err(damaged());
        };
        for index in 0..count {
            let (Some(offset), Some(generation)) = (lexer.take_count(), lexer.take_count()) else {
                return Err(damaged());
            };
            let in_use = match lexer.next()? {
                PdfToken::Word(b"n") => true,
                PdfToken::Word(b"f") => false,
                _ => return Err(damaged()),
            };
            // A common slip: the head of the list of free numbers is object 0, not 1.
            if index == 0 && start == 1 && !in_use && generation == 65535 {
                start = 0;
            }
            entries.push((start.saturating_add(index), text_place(offset, generation, in_use)?));
            if entries.len() > TABLE_ENTRIES {
                return Err(too_large(format!("more than {TABLE_ENTRIES} objects")));
            }
        }
    }
    Ok(())
}

/// The place that an entry of a text section names.
fn text_place(offset: u64, generation: u64, in_use: bool) -> Result<XrefEntry> {
    let damaged = |_| broken("its object table is damaged");
    // Some producers mark unused numbers as used at place 0, where the header is.
    if !in_use || offset == 0 {
        return Ok(XrefEntry::Free);
    }
    Ok(XrefEntry::At {
        offset: usize::try_from(offset).map_err(damaged)?,
        generation: u16::try_from(generation).map_err(damaged)?,
    })
}

/// Reads a section that is a stream and returns its dictionary, which is the trailer too.
fn read_stream_section(
    bytes: &[u8],
    offset: usize,
    table: &mut XrefTable,
    fuel: &mut Fuel,
) -> Result<Dict> {
    let damaged = || broken("its object table is not where its end says");
    let mut lexer = Lexer::new(bytes, offset);
    let head = (lexer.take_count(), lexer.take_count(), lexer.take_word("obj"));
    if !matches!(head, (Some(_), Some(_), true)) {
        return Err(damaged());
    }
    let Object::Dict(dict) = parse_object(&mut lexer, fuel)? else { return Err(damaged()) };
    if !dict.has_name("Type", "XRef") {
        return Err(damaged());
    }
    let length = dict.get("Length").and_then(Object::count);
    let data = stream_data(&mut lexer, length, fuel)?.ok_or_else(damaged)?;
    let rows = unpack_direct(&dict, &bytes[data], fuel)?;
    read_rows(&dict, &rows, table)?;
    Ok(dict)
}

/// Reads the rows of an unpacked stream section.
fn read_rows(dict: &Dict, rows: &[u8], table: &mut XrefTable) -> Result<()> {
    let damaged = || broken("its object table is damaged");
    let counts = |key: &str| -> Option<Vec<usize>> {
        dict.get(key)?.array()?.iter().map(Object::count).collect()
    };
    let widths = counts("W").filter(|widths| widths.len() >= 3).ok_or_else(damaged)?;
    let row = widths[..3].iter().try_fold(0usize, |sum, width| sum.checked_add(*width));
    let row = row.filter(|row| (1..=24).contains(row)).ok_or_else(damaged)?;
    let size = dict.get("Size").and_then(Object::count).ok_or_else(damaged)?;
    let ranges = counts("Index").unwrap_or_else(|| vec![0, size]);
    let mut rows = rows.chunks_exact(row);
    for range in ranges.chunks_exact(2) {
        // Fewer rows than promised are common and harmless; what they name is found missing
        // when it is wanted.
        for (index, fields) in (0u64..).zip(rows.by_ref().take(range[1])) {
            let number = (range[0] as u64).saturating_add(index);
            table.mention(number, row_place(fields, &widths)?)?;
        }
    }
    Ok(())
}

/// The place that a row names.
fn row_place(row: &[u8], widths: &[usize]) -> Result<XrefEntry> {
    let damaged = || broken("its object table is damaged");
    let (kind, rest) = row.split_at(widths[0]);
    let (second, third) = rest.split_at(widths[1]);
    let value = |field: &[u8]| {
        field
            .iter()
            .try_fold(0usize, |sum, byte| sum.checked_mul(256)?.checked_add(usize::from(*byte)))
    };
    let (Some(kind), Some(second), Some(third)) = (value(kind), value(second), value(third)) else {
        return Err(damaged());
    };
    Ok(match if widths[0] == 0 { 1 } else { kind } {
        1 => XrefEntry::At {
            offset: second,
            generation: u16::try_from(third).map_err(|_| damaged())?,
        },
        2 => XrefEntry::Within {
            container: u32::try_from(second).map_err(|_| damaged())?,
            index: third,
        },
        // Kinds of later versions stand for nothing (table 18).
        _ => XrefEntry::Free,
    })
}

/// Whether the object header `number generation obj` of `id` is at the lexer's place; passes it.
pub(super) fn take_header(lexer: &mut Lexer<'_>, id: ObjectId) -> bool {
    let head = (lexer.take_count(), lexer.take_count(), lexer.take_word("obj"));
    head == (Some(u64::from(id.number)), Some(u64::from(id.generation)), true)
}

/// The whole numbers that `bytes` starts with, at most `most` pairs of them.
pub(super) fn number_pairs(bytes: &[u8], most: usize) -> Option<Vec<(u64, u64)>> {
    let mut lexer = Lexer::new(bytes, 0);
    let mut pairs = Vec::new();
    while pairs.len() < most {
        match (lexer.next(), lexer.next()) {
            (Ok(PdfToken::Number(first)), Ok(PdfToken::Number(second))) => {
                pairs.push((digits_value(first)?, digits_value(second)?));
            }
            _ => return None,
        }
    }
    Some(pairs)
}
