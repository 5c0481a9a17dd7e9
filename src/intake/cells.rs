//! The cells of an export: bytes to rows of them, and what a cell says, whatever field it is for.
//!
//! In: a reader of bytes. Out: records of cells with their places, and the numbers, dates, units and
//! signs of money that stand in one cell. Not here: which field a cell fills (`map`), and what that
//! field takes (`values`).

mod dates;
mod decode;
mod money;
mod number;
mod records;
mod units;

pub(crate) use dates::DateForm;
pub(super) use dates::{other_form, parse_date};
pub(super) use decode::{Decoded, Detected, detect_encoding, find_encoding};
pub(super) use money::{Money, read_money};
pub(crate) use number::DecimalMark;
pub(super) use number::{NumberFault, is_zero, parse_number, split_around};
pub(crate) use records::ExportRecord;
pub(super) use records::{
    Cell, RecordEnd, RecordFault, Records, TextTail, cut_record, declared_separator,
    detect_separator,
};
pub(super) use units::Unit;
