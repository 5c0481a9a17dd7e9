//! x
mod address;
mod batch;
mod bind;
mod cli;
mod codes;
mod compose;
mod diag;
mod export;
mod fields;
mod fonts;
mod geom;
mod images;
mod layout;
mod orders;
mod pipeline;
mod preflight;
mod record;
mod scene;
mod shipped;
mod shop;
mod source;
mod stock;
mod tree;
pub use address::{
    Formatted, Line as AddressLine, Part, Parts, Problem, ProblemCode, ProblemSeverity, Role,
    Sender, check_sender, country_codes, country_languages, country_name, example_postcodes,
    format_address,
};
pub use cli::run_command;
pub use codes::{
    CODE128_QUIET_ZONE, CheckDigitError, Code128, Code128Error, Data, Ecc, Element, ElementStrings,
    Gs1Error, Gs1Key, MAX_GS1_CHARACTERS, QR_QUIET_ZONE, Qr, QrError, QrOptions, S10, S10Error,
    gs1_check_digit, s10_check_digit, verify_gtin, verify_mod10, verify_sscc,
};
pub use diag::{
    Diagnostic, Severity, Style as DiagnosticStyle, Subject, has_errors,
    render as render_diagnostic,
};
pub use fonts::*;
pub use geom::*;
pub use layout::layout_schema;
pub use layout::read_layout;
pub use source::*;
