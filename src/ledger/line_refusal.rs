//! Why an event may not happen to a line.

use std::fmt;

use super::parcel_state::ParcelState;

/// Why something cannot happen to a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LineRefusal {
    /// The sitting has ended.
    Closed,
    /// No parcel of the line has this number.
    NoParcel(u32),
    /// A parcel would get this number, which is not the next.
    Number(u32),
    /// The parcel's state does not allow it.
    State {
        /// The parcel's number.
        number: u32,
        /// What the parcel is called.
        tag: Box<str>,
        /// How far it has come.
        state: ParcelState,
        /// What it would have to be.
        wanted: &'static str,
    },
    /// The order is not in the parcel.
    NoOrder {
        /// The parcel's number.
        number: u32,
        /// The order's id.
        order: Box<str>,
    },
    /// The order is the only one of its parcel.
    LastOrder {
        /// The parcel's number.
        number: u32,
    },
    /// A parcel without orders, or an order twice.
    Orders,
    /// A pair code that is none, or was given before.
    Code(Box<str>),
    /// Parcels that are neither handed over nor out.
    Open(Vec<u32>),
    /// There is nothing to take back, or what was done last cannot be.
    NothingToUndo(&'static str),
    /// The act that was to be taken back is not the last one of the line.
    NotTheLast(i64),
    /// The event does not happen to a line.
    NotOfALine,
}

impl std::error::Error for LineRefusal {}

impl fmt::Display for LineRefusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LineRefusal::Closed => f.write_str("this sitting is closed"),
            LineRefusal::NoParcel(number) => write!(f, "the line has no parcel {number}"),
            LineRefusal::Number(number) => write!(f, "{number} is not the next number of the line"),
            LineRefusal::State { number, tag, state, wanted } => {
                write!(f, "parcel {number} `{tag}` is {}, not {wanted}", state.word())
            }
            LineRefusal::NoOrder { number, order } => {
                write!(f, "parcel {number} has no order `{order}`")
            }
            LineRefusal::LastOrder { number } => {
                write!(f, "parcel {number} has no other order to keep")
            }
            LineRefusal::Orders => f.write_str("a parcel needs orders, each once"),
            LineRefusal::Code(code) => write!(f, "`{code}` is no new pair code of this sitting"),
            LineRefusal::Open(numbers) => {
                let numbers: Vec<String> = numbers.iter().map(u32::to_string).collect();
                write!(f, "not handed over yet: {}", numbers.join(", "))
            }
            LineRefusal::NothingToUndo(why) => f.write_str(why),
            LineRefusal::NotTheLast(_) => f.write_str(
                "something else was done last in the line by now; nothing is taken back",
            ),
            LineRefusal::NotOfALine => f.write_str("this does not happen in a line"),
        }
    }
}
