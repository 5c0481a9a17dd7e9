//! The ledger: every order that came in and everything that happened to it, oldest first.
//!
//! In: orders as JSON, what a seller does with them, and the time that the caller's clock shows.
//! Out: entries that are appended and never changed, and what holds now, which is made of them. What
//! people's orders say stands apart from the entries, so that it can be forgotten. Not here: clocks,
//! arguments, and everything that is printed.

mod acts;
mod alike;
mod arrivals;
mod carried;
mod copy;
mod entry;
mod entry_rows;
mod error;
mod examine;
mod forget;
mod line;
mod line_refusal;
mod matching;
mod moment;
mod news;
mod no_tracking;
mod now;
mod order_numbers;
mod parcel_state;
mod questions;
mod request;
mod sent;
mod store;
mod undo;
mod went_before;

pub use acts::PrintedParcel;
pub use alike::{Difference, compare_orders};
pub use arrivals::{Arrival, Arrived, News};
pub use carried::{Carried, CarriedPostage};
pub use copy::{Copied, CopyError, CutCopy};
pub use entry::{Event, Facts, LedgerEntry, Matching, Paper};
pub use error::{LedgerError, OrderPlace};
pub use forget::{Forgotten, PrintedKit};
pub use line::{BenchLine, LineParcel};
pub use line_refusal::LineRefusal;
pub use matching::{MatchVerdict, Matcher, Named, Scan, Tracking, TrackingKind};
pub use moment::Moment;
pub use news::OrderNews;
pub use now::OrderNow;
pub use parcel_state::ParcelState;
pub use questions::SittingNow;
pub use request::Request;
pub use sent::{Sent, SentOrders};
pub use store::{Act, ActStamp, Done, Ledger};
pub use undo::LastAct;
