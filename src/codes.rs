//! Payloads into the modules of machine-readable codes, and the check digits inside payloads.
//!
//! In: text, typed data or GS1 element strings. Out: a [`Code128`], an [`Ean`], a [`Qr`] or a
//! [`DataMatrix`] that knows its payload or size and its [`BarRow`] or [`ModuleGrid`], counted in
//! modules and not in any length; or a typed error that names the character, digit or bit count at
//! fault. Not here: how large a module is printed, where the code stands, whether it scans (`compose`,
//! `preflight`, `verify`), and any number that only a carrier or GS1 can issue: numbers are checked,
//! never made up.

mod bars;
mod check_digit;
mod code128;
mod data_matrix;
mod ean;
mod grid;
mod gs1;
mod qr;
mod quiet;

pub use bars::BarRow;
pub use check_digit::{
    CheckDigitError, Gs1Key, S10, S10Error, gs1_check_digit, s10_check_digit, verify_gtin,
    verify_mod10, verify_sscc,
};
pub use code128::{Code128, Code128Error, Data, QUIET_ZONE as CODE128_QUIET_ZONE};
pub use data_matrix::{DataMatrix, DataMatrixError, QUIET_ZONE as DATA_MATRIX_QUIET_ZONE};
pub use ean::{DigitGroup, Ean, EanError, EanKind};
pub use grid::ModuleGrid;
pub use gs1::{Element, ElementStrings, Gs1Error, MAX_GS1_CHARACTERS};
pub use qr::{Ecc, QUIET_ZONE as QR_QUIET_ZONE, Qr, QrError, QrOptions};
pub use quiet::QuietZone;
