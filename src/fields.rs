//! The single values that orders and the shop file share: what each may hold, and its type once
//! it is read.
//!
//! In: a value of a data file. Out: a `record::Scalar` that checks it and has
//! its JSON Schema, and the function that reads it afterwards. Postal addresses are here too,
//! because orders and the shop file both have one. Not here: which fields a file has (`orders`,
//! `shop`), and how an address is written out (`address`).

mod address;
mod country;
mod currency;
mod date;
mod garbled;
mod hazard;
mod identifier;
mod language;
mod number;
mod own;
mod text;

pub use address::Address;
pub use country::{COUNTRY_CODES, CountryCode};
pub use currency::{CURRENCY_CODES, CurrencyCode};
pub use date::Day;
pub use identifier::Gtin;
pub use own::{OwnFields, OwnValue};

pub(crate) use address::{ADDRESS_FIELDS, NameNeed, check_address, read_address};
pub(crate) use country::{ORIGIN, read_country};
pub(crate) use currency::{CURRENCY, read_currency};
pub(crate) use date::DATE;
pub(crate) use date::days_in;
pub(crate) use garbled::check_garbled;
#[cfg(feature = "command")]
pub(crate) use hazard::refuse_bare_answer;
pub(crate) use hazard::{Answer, HAZARD, NO_HAZARD, answer_of, is_unsure, tidy_hazard};
#[cfg(feature = "command")]
pub(crate) use identifier::refuse_cut_short;
pub(crate) use identifier::{GTIN, TRACKING, doubt_tracking, read_gtin, tracking_key};
pub use language::LanguageTag;
pub(crate) use language::{LANGUAGE, read_language};
pub(crate) use number::{
    GRAMS, HS_NUMBER, ID, PRICE, QUANTITY, RATE, SIDE, read_grams, read_price, read_quantity,
    read_rate, read_side,
};
pub(crate) use own::{OWN, check_own, check_own_names, is_name, read_own, type_own};
pub(crate) use text::{
    LINE, LONG_ID, LONG_LINE, PARAGRAPH, SHORT_LINE, read_paragraph, read_text, text_of,
};
