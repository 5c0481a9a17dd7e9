//! The arguments of what is done with a ledger up to the papers.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::common::{ActOptions, ShopOption};

/// The arguments of `ledger take-in`.
#[derive(Debug, Args)]
pub(crate) struct TakeInArguments {
    /// The orders as JSON, or with --map a shop's export: a file, or - for standard input
    #[arg(default_value = "-")]
    pub(crate) orders: PathBuf,

    /// The map of the export's columns, as for `slipwright intake`
    #[arg(short, long, value_name = "FILE")]
    pub(crate) map: Option<PathBuf>,

    /// An order that is the one of this id in the ledger, though its buyer and its address are others, or it
    /// says what it said before it changed; may be given more than once
    #[arg(long, value_name = "ID")]
    pub(crate) same: Vec<String>,

    /// Take the good orders of an export in, and write the rows of the others to this file
    #[arg(long, value_name = "FILE", requires = "map")]
    pub(crate) set_aside: Option<PathBuf>,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// What is listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum ListWhat {
    /// Orders that are in no line yet
    Waiting,
    /// Orders that may be others once more and are held back
    HeldBack,
    /// The parcels of the open sitting, as they lie
    Line,
    /// Orders that exports call cancelled or have changed, until `seen` puts that away
    News,
    /// Orders that were handed over
    Sent,
    /// Orders that were taken off
    TakenOff,
    /// All sittings
    Sittings,
}

/// The arguments of `ledger list`.
#[derive(Debug, Args)]
pub(crate) struct ListArguments {
    /// What [default: the line, and how many orders wait]
    #[arg(value_enum)]
    pub(crate) what: Option<ListWhat>,

    /// The line of this sitting, open or closed, by its number
    #[arg(long, value_name = "N", conflicts_with_all = ["what", "text"])]
    pub(crate) sitting: Option<u32>,

    /// Only what has these words in its id, tag, name, town, postcode or items
    #[arg(long, value_name = "WORDS")]
    pub(crate) text: Option<String>,

    /// Of a line also what is in each parcel, and what the shop file makes of it
    #[arg(long)]
    pub(crate) full: bool,

    /// Where the shop file is.
    #[command(flatten)]
    pub(crate) shop: ShopOption,
}

/// What is measured or decided of a parcel.
#[derive(Clone, Debug, Default, PartialEq, Eq, Args)]
pub(crate) struct FactOptions {
    /// The parcel's tag [default: one is proposed]
    #[arg(long)]
    pub(crate) tag: Option<String>,

    /// What the scale says: 372, 372g or 1.2kg
    #[arg(long)]
    pub(crate) weight: Option<String>,

    /// Length, width and height in millimetres: 220x110x40
    #[arg(long, value_name = "LxWxH")]
    pub(crate) size: Option<String>,

    /// The packaging, by its name in the shop file
    #[arg(long, value_name = "NAME")]
    pub(crate) pack: Option<String>,

    /// The service that carries it
    #[arg(long, value_name = "NAME")]
    pub(crate) service: Option<String>,

    /// An extra of the service, such as signature; may be given more than once; none for no extra
    #[arg(long, value_name = "NAME")]
    pub(crate) extra: Vec<String>,

    /// What you declare of hazardous goods in it: none, or what it is
    #[arg(long, value_name = "WORDS")]
    pub(crate) hazard: Option<String>,
}

/// The arguments of `ledger line-up`.
#[derive(Debug, Args)]
pub(crate) struct LineUpArguments {
    /// Waiting orders, by id, by the beginning of one, or by words that only one of them has
    #[arg(value_name = "ORDER", required_unless_present = "all")]
    pub(crate) orders: Vec<String>,

    /// Line up all orders that wait
    #[arg(long, conflicts_with = "orders")]
    pub(crate) all: bool,

    /// Put orders that go to the same person and address into one parcel
    #[arg(long)]
    pub(crate) combine: bool,

    /// The name of the sitting, which begins if none is open [default: the date]
    #[arg(long, value_name = "NAME")]
    pub(crate) sitting: Option<String>,

    /// What is known of the parcel.
    #[command(flatten)]
    pub(crate) facts: FactOptions,

    /// Where the shop file is.
    #[command(flatten)]
    pub(crate) shop: ShopOption,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger note`.
#[derive(Debug, Args)]
pub(crate) struct NoteArguments {
    /// The parcel's number
    #[arg(required_unless_present = "weights")]
    pub(crate) number: Option<u32>,

    /// What is known of it.
    #[command(flatten)]
    pub(crate) facts: FactOptions,

    /// The weights of many parcels, a line each, such as `12 372g`: a file, or - for standard input
    #[arg(long, value_name = "FILE|-")]
    #[arg(conflicts_with_all = ["number", "tag", "weight", "size", "pack", "service", "extra", "hazard"])]
    pub(crate) weights: Option<PathBuf>,

    /// Where the shop file is.
    #[command(flatten)]
    pub(crate) shop: ShopOption,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger move`.
#[derive(Debug, Args)]
pub(crate) struct MoveArguments {
    /// The parcel's number
    pub(crate) number: u32,

    /// The number of the parcel that it lies before then
    #[arg(long, value_name = "N", required_unless_present = "last")]
    pub(crate) before: Option<u32>,

    /// Put it at the end
    #[arg(long, conflicts_with = "before")]
    pub(crate) last: bool,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// Why something is done.
#[derive(Debug, Args)]
pub(crate) struct Because {
    /// Why, in your words; the lists show it
    #[arg(long, value_name = "REASON")]
    pub(crate) because: String,
}

/// The arguments of `ledger take-off`.
#[derive(Debug, Args)]
pub(crate) struct TakeOffArguments {
    /// Parcels by their numbers or pair codes, and waiting orders by their ids or words
    #[arg(value_name = "NUMBER|ORDER", required_unless_present = "order")]
    pub(crate) what: Vec<String>,

    /// An order that waits or is alone in its parcel, where its id could be a parcel's number; may be given
    /// more than once
    #[arg(long, value_name = "ID")]
    pub(crate) order: Vec<String>,

    /// Why.
    #[command(flatten)]
    pub(crate) why: Because,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger set-aside`.
#[derive(Debug, Args)]
pub(crate) struct SetAsideArguments {
    /// The parcels' numbers
    #[arg(value_name = "NUMBER", required = true)]
    pub(crate) numbers: Vec<u32>,

    /// Why.
    #[command(flatten)]
    pub(crate) why: Because,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger join`.
#[derive(Debug, Args)]
pub(crate) struct JoinArguments {
    /// The parcel's number
    pub(crate) number: u32,

    /// Waiting orders, by id, by the beginning of one, or by words that only one of them has
    #[arg(value_name = "ORDER", required = true)]
    pub(crate) orders: Vec<String>,

    /// Join them though they go to another address than the parcel
    #[arg(long)]
    pub(crate) elsewhere: bool,

    /// What is known of the parcel then.
    #[command(flatten)]
    pub(crate) facts: FactOptions,

    /// Where the shop file is.
    #[command(flatten)]
    pub(crate) shop: ShopOption,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger part`.
#[derive(Debug, Args)]
pub(crate) struct PartArguments {
    /// The parcel's number
    pub(crate) number: u32,

    /// The order's id
    #[arg(value_name = "ORDER")]
    pub(crate) order: String,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger again`.
#[derive(Debug, Args)]
pub(crate) struct AgainArguments {
    /// The order's id
    #[arg(value_name = "ORDER")]
    pub(crate) order: String,

    /// Why.
    #[command(flatten)]
    pub(crate) why: Because,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger seen`.
#[derive(Debug, Args)]
pub(crate) struct SeenArguments {
    /// The orders: ids, or words that one order has
    #[arg(value_name = "ORDER", required_unless_present = "all")]
    pub(crate) orders: Vec<String>,

    /// All of which exports say something
    #[arg(long, conflicts_with = "orders")]
    pub(crate) all: bool,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger undo`.
#[derive(Debug, Args)]
pub(crate) struct UndoArguments {
    /// Take back only this act, if it is the last one of the line: its number as `history --json` names it
    #[arg(long, value_name = "NUMBER")]
    pub(crate) only: Option<i64>,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The lists about a line that can be printed by themselves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum ListOf {
    /// What is to be fetched, shelf by shelf
    Picking,
    /// What goes to the counter: parcels that are matched or went
    HandOver,
    /// Orders that are in no parcel
    Waiting,
}

/// The arguments of `ledger print`.
#[derive(Debug, Args)]
pub(crate) struct PrintArguments {
    /// The folder of the sitting's kit; what is printed later goes into folders within it [default:
    /// where it was printed first, or sitting-N beside the ledger]
    #[arg(long, value_name = "FOLDER")]
    pub(crate) to: Option<PathBuf>,

    /// Print this list instead, as it is now, into the folder here
    #[arg(long, value_enum, value_name = "LIST")]
    pub(crate) list: Option<ListOf>,

    /// Make the whole kit once more, where its folder is gone
    #[arg(long, conflicts_with_all = ["to", "list"])]
    pub(crate) anew: bool,

    /// Do not read every code back at the printer's dots before anything is written
    #[arg(long)]
    pub(crate) no_proof: bool,

    /// A folder of further fonts (.ttf, .otf), used for what the built-in ones lack
    #[arg(long, value_name = "DIR")]
    pub(crate) fonts: Option<PathBuf>,

    /// Refused, with where drafts are made: what a line prints is packed with
    #[arg(long, hide = true)]
    pub(crate) draft: bool,

    /// Where the shop file is.
    #[command(flatten)]
    pub(crate) shop: ShopOption,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}
