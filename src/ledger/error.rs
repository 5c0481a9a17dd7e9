//! What can go wrong with a ledger, as values.
//!
//! In: what SQLite says, or a rule of the line. Out: a [`LedgerError`] with a plain sentence and one
//! hint. Not here: how it is shown.

use std::fmt;

use rusqlite::ErrorCode;
/// What SQLite says when the file of its shared index beside the ledger cannot be written as long as it
/// must be: on a full disk that happens before anything else (`unixShmMap` in SQLite's `os_unix.c`).
use rusqlite::ffi::SQLITE_IOERR_SHMSIZE;

use super::line_refusal::LineRefusal;
use super::parcel_state::ParcelState;

/// Why a ledger could not do what it was asked.
#[derive(Debug)]
pub enum LedgerError {
    /// There is no file of this name.
    Missing,
    /// The file is there already.
    Exists,
    /// The file is empty: what it held is lost.
    Empty,
    /// The file is something else.
    NotALedger,
    /// The file was written by a newer program, with this version of its tables.
    Newer(i64),
    /// The file is damaged; what its check says.
    Damaged(String),
    /// Another program has held the ledger for longer than a command waits.
    Busy,
    /// The file or its folder cannot be written.
    ReadOnly,
    /// The disk that the ledger is on is full.
    Full,
    /// The disk does not read or write what it should; what SQLite says.
    Failing(String),
    /// Anything else that SQLite says.
    Sqlite(String),
    /// The file cannot be opened or made; what the system says.
    Io(std::io::Error),
    /// An entry contradicts those before it.
    Contradiction {
        /// The entry's number.
        seq: i64,
        /// What it contradicts.
        why: String,
    },
    /// The line does not allow it.
    Refused(LineRefusal),
    /// There is no sitting, or none of this number.
    NoSitting(Option<u32>),
    /// A sitting is open already.
    SittingOpen {
        /// Its number.
        sitting: u32,
        /// What the open sitting is called.
        name: Box<str>,
    },
    /// No order has this id.
    NoOrder(Box<str>),
    /// The order's state does not allow it.
    OrderIs {
        /// Its id.
        order: Box<str>,
        /// Where it is instead.
        place: OrderPlace,
    },
    /// A tracking number that another parcel has.
    TrackingUsed {
        /// The tracking number.
        tracking: Box<str>,
        /// The other parcel's sitting.
        sitting: u32,
        /// Its number there.
        number: u32,
        /// What that parcel is called.
        tag: Box<str>,
        /// How far it has come.
        state: ParcelState,
    },
    /// Something else than a tracking number stands where one should.
    NoTracking {
        /// What stands there.
        text: Box<str>,
        /// What it is, if that is known: `the postcode of …`; empty when it only has no form of one.
        what: Box<str>,
    },
    /// A line of a plain export that cannot be read back.
    BadLine {
        /// Its number, from 1.
        line: usize,
        /// What is wrong.
        why: String,
    },
    /// A plain export whose end is missing.
    CutCopy {
        /// How many entries of how many are there.
        entries: String,
        /// How many texts of orders of how many.
        texts: String,
    },
    /// Something would be read back into a ledger that holds entries already.
    NotEmpty,
    /// A program's own request number was used for something else before.
    RequestUsed(Box<str>),
}

/// What has become of an order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OrderPlace {
    /// In no line yet.
    Waiting,
    /// Held back: it may be another order once more; the other's id.
    Doubted(Box<str>),
    /// In a line: sitting and number.
    InLine(u32, u32),
    /// It went: sitting and number.
    HandedOver(u32, u32),
    /// It does not go; why.
    TakenOff(Box<str>),
}

impl OrderPlace {
    /// Its word in the ledger's file.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            OrderPlace::Waiting => "waiting",
            OrderPlace::Doubted(_) => "doubted",
            OrderPlace::InLine(..) => "in line",
            OrderPlace::HandedOver(..) => "handed over",
            OrderPlace::TakenOff(_) => "taken off",
        }
    }
}

impl fmt::Display for OrderPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            OrderPlace::Waiting => f.write_str("waiting"),
            OrderPlace::Doubted(other) => write!(f, "held back: it may be `{other}` once more"),
            OrderPlace::InLine(sitting, number) => {
                write!(f, "parcel {number} of sitting {sitting}")
            }
            OrderPlace::HandedOver(sitting, number) => {
                write!(f, "handed over as parcel {number} of sitting {sitting}")
            }
            OrderPlace::TakenOff(reason) if reason.is_empty() => f.write_str("taken off"),
            OrderPlace::TakenOff(reason) => write!(f, "taken off: {reason}"),
        }
    }
}

impl LedgerError {
    /// What helps; none where the message says it all.
    #[must_use]
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            LedgerError::Missing => Some("take orders in first; that makes it"),
            LedgerError::Empty | LedgerError::Damaged(_) => {
                Some("go on with the newest backup; `copy-out` saves what can still be read")
            }
            LedgerError::Newer(_) => Some("use the newer Slipwright, which reads this one's too"),
            LedgerError::Busy => Some("try again when the other command is done"),
            LedgerError::ReadOnly => Some("the folder has to be writable too, for the journal"),
            LedgerError::Full => Some(
                "make room there and try again: nothing that was answered is lost, and nothing is half \
                 done",
            ),
            LedgerError::Failing(_) => Some(
                "see whether the disk is full or fails, and make a backup on another: \
                 `slipwright ledger backup`",
            ),
            LedgerError::NoSitting(None) => Some("line up an order; that begins one"),
            LedgerError::SittingOpen { .. } => Some("close it first"),
            LedgerError::OrderIs { place: OrderPlace::Doubted(_), .. }
            | LedgerError::OrderIs { place: OrderPlace::HandedOver(..), .. }
            | LedgerError::OrderIs { place: OrderPlace::TakenOff(_), .. } => {
                Some("if it is to go all the same, say so with `again`")
            }
            LedgerError::Refused(LineRefusal::Open(_)) => {
                Some("hand them over, take them off, or close with `--leave REASON`")
            }
            LedgerError::NoTracking { .. } => {
                Some("scan the carrier's bars, or give what stands below them")
            }
            LedgerError::NotEmpty => Some("name a ledger that is not there yet"),
            _ => None,
        }
    }
}

impl std::error::Error for LedgerError {}

impl fmt::Display for LedgerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LedgerError::Missing => f.write_str("there is no ledger yet"),
            LedgerError::Exists => f.write_str("there is a file of this name already"),
            LedgerError::Empty => f.write_str("the ledger is empty: what it held is lost"),
            LedgerError::NotALedger => f.write_str("this file is no ledger"),
            LedgerError::Newer(version) => {
                write!(f, "the ledger is of version {version}, newer than this program's")
            }
            LedgerError::Damaged(what) => write!(f, "the ledger is damaged: {what}"),
            LedgerError::Busy => f.write_str("another command holds the ledger"),
            LedgerError::ReadOnly => f.write_str("the ledger cannot be written"),
            LedgerError::Full => f.write_str("the ledger's disk is full"),
            LedgerError::Failing(what) => {
                write!(f, "the ledger's disk does not read or write it: {what}")
            }
            LedgerError::Sqlite(what) => write!(f, "the ledger cannot be used: {what}"),
            LedgerError::Io(error) => write!(f, "the ledger cannot be opened: {error}"),
            LedgerError::Contradiction { seq, why } => {
                write!(f, "entry {seq} of the ledger contradicts those before it: {why}")
            }
            LedgerError::Refused(refused) => refused.fmt(f),
            LedgerError::NoSitting(None) => f.write_str("no sitting is open"),
            LedgerError::NoSitting(Some(sitting)) => write!(f, "there is no sitting {sitting}"),
            LedgerError::SittingOpen { sitting, name } => {
                write!(f, "sitting {sitting} `{name}` is open")
            }
            LedgerError::NoOrder(order) => write!(f, "the ledger has no order `{order}`"),
            LedgerError::OrderIs { order, place } => write!(f, "the order `{order}` is {place}"),
            LedgerError::TrackingUsed { tracking, sitting, number, tag, state } => write!(
                f,
                "the tracking number `{tracking}` is that of parcel {number} `{tag}` of sitting \
                 {sitting}, {}",
                state.word()
            ),
            LedgerError::NoTracking { text, what } if what.is_empty() => write!(
                f,
                "`{text}` is no tracking number: one has 6 characters or more, and a figure among them"
            ),
            LedgerError::NoTracking { text, what } => {
                write!(f, "`{text}` is {what}, and no tracking number")
            }
            LedgerError::BadLine { line, why } => write!(f, "line {line}: {why}"),
            LedgerError::CutCopy { entries, texts } => {
                write!(f, "the copy is cut short, its end is missing: {entries}, {texts} are there")
            }
            LedgerError::NotEmpty => f.write_str("this ledger holds entries already"),
            LedgerError::RequestUsed(request) => {
                write!(f, "the request `{request}` asked for something else before")
            }
        }
    }
}

impl From<LineRefusal> for LedgerError {
    fn from(refused: LineRefusal) -> LedgerError {
        LedgerError::Refused(refused)
    }
}

impl From<rusqlite::Error> for LedgerError {
    fn from(error: rusqlite::Error) -> LedgerError {
        let rusqlite::Error::SqliteFailure(code, _) = &error else {
            return LedgerError::Sqlite(error.to_string());
        };
        match code.code {
            ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked => LedgerError::Busy,
            // Extended code 1544: a journal that cannot be made beside the file.
            ErrorCode::ReadOnly | ErrorCode::PermissionDenied => LedgerError::ReadOnly,
            ErrorCode::DiskFull => LedgerError::Full,
            ErrorCode::SystemIoFailure if code.extended_code == SQLITE_IOERR_SHMSIZE => {
                LedgerError::Full
            }
            ErrorCode::SystemIoFailure => LedgerError::Failing(error.to_string()),
            ErrorCode::DatabaseCorrupt => LedgerError::Damaged(error.to_string()),
            ErrorCode::NotADatabase => LedgerError::NotALedger,
            _ => LedgerError::Sqlite(error.to_string()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rusqlite::ffi;

    #[test]
    fn a_full_disk_is_told_in_whatever_way_sqlite_meets_it() {
        let told = |code| {
            let error = rusqlite::Error::SqliteFailure(ffi::Error::new(code), None);
            LedgerError::from(error).to_string()
        };
        for code in [ffi::SQLITE_FULL, ffi::SQLITE_IOERR_SHMSIZE] {
            assert_eq!(told(code), "the ledger's disk is full");
        }
        let failing = told(ffi::SQLITE_IOERR_READ);
        assert!(failing.starts_with("the ledger's disk does not read or write it: "), "{failing}");
    }
}
