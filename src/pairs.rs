//! What ties a label to its bench card: pair codes, the keys of batches, and what the codes printed on
//! both say.
//!
//! In: names and order ids, or what a scanner sent. Out: codes that are the same every time, and a
//! [`PairScan`]. Who makes parcels gives the codes out (`batch`); who looks at pages and scans only reads
//! them, and so they belong to neither.

mod code;
mod scan;

pub(crate) use code::assign_codes;
pub use code::{BatchKey, PAIR_ALPHABET, PairCode, PairFault};
pub use scan::{PairScan, ScanFault};
