//! The arguments of what is done with a ledger once papers are printed, and with its file.

use std::path::PathBuf;

use clap::Args;

use super::super::super::clock::parse_day;
use super::common::{ActOptions, ShopOption};
use crate::ledger::Moment;

/// The arguments of `ledger match`.
#[derive(Debug, Args)]
pub(crate) struct MatchArguments {
    /// A bench card's and a label's code, either first, and a tracking number if there is one
    /// [default: scans on standard input, a line each]
    #[arg(value_name = "CODE", num_args = 2..=3)]
    pub(crate) codes: Vec<String>,

    /// Parcels whose card and label were laid together and looked at, by their numbers
    #[arg(long, value_name = "N", num_args = 1.., conflicts_with = "codes")]
    pub(crate) by_eye: Vec<u32>,

    /// Say which parcels are not matched yet
    #[arg(long, conflicts_with_all = ["codes", "by_eye"])]
    pub(crate) finish: bool,

    /// One scan, for a program that scans one after another: a code, `undo` or `finish`; the answer says
    /// what is left open
    #[arg(long, value_name = "TEXT", conflicts_with_all = ["codes", "by_eye", "finish"])]
    pub(crate) scan: Option<String>,

    /// With --scan: the half of a pair that the answer before said is `held`
    #[arg(long, value_name = "CODE", requires = "scan")]
    pub(crate) held: Option<String>,

    /// With --scan: the parcel that the answer before said it is `after`, which gets a tracking number
    #[arg(long, value_name = "N", requires = "scan")]
    pub(crate) after: Option<u32>,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger track`.
#[derive(Debug, Args)]
pub(crate) struct TrackArguments {
    /// The parcel: its number, its pair code or the id of one of its orders; and its tracking number
    #[arg(value_names = ["PARCEL", "TRACKING"], num_args = 1..=2, required_unless_present = "from")]
    pub(crate) what: Vec<String>,

    /// The order whose parcel gets the number, where its id could be a parcel's number
    #[arg(long, value_name = "ID", conflicts_with = "from")]
    pub(crate) order: Option<String>,

    /// The carrier's table of ids or pair codes and tracking numbers: CSV, a spreadsheet or JSON; a
    /// file, or - for standard input
    #[arg(long, value_name = "FILE", conflicts_with = "what")]
    pub(crate) from: Option<PathBuf>,

    /// The table's column of ids or pair codes
    #[arg(long, value_name = "COLUMN", requires = "from")]
    pub(crate) of: Option<String>,

    /// The table's column of tracking numbers
    #[arg(long, value_name = "COLUMN", requires = "from")]
    pub(crate) number: Option<String>,

    /// The sitting that numbers and pair codes are of [default: the open one, or the newest]
    #[arg(long, value_name = "N")]
    pub(crate) sitting: Option<u32>,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger hand-over`.
#[derive(Debug, Args)]
pub(crate) struct HandOverArguments {
    /// The parcels, by their numbers
    #[arg(value_name = "N", required_unless_present = "all_matched")]
    pub(crate) numbers: Vec<u32>,

    /// All that are matched
    #[arg(long, conflicts_with = "numbers")]
    pub(crate) all_matched: bool,

    /// Hand over what is named as it is, though its papers are out of date or the shop's export calls its
    /// order cancelled
    #[arg(long, requires = "numbers")]
    pub(crate) as_printed: bool,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger close`.
#[derive(Debug, Args)]
pub(crate) struct CloseArguments {
    /// Set aside what has not gone, for this reason; its orders wait for the next sitting
    #[arg(long, value_name = "REASON")]
    pub(crate) leave: Option<String>,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger tell-shop`.
#[derive(Debug, Args)]
pub(crate) struct TellShopArguments {
    /// The map of the shop's columns (`slipwright schema dispatch`)
    #[arg(short, long, value_name = "FILE")]
    pub(crate) map: PathBuf,

    /// Where the CSV goes: a file, or - for standard output
    #[arg(short, long, value_name = "FILE", default_value = "-")]
    pub(crate) output: PathBuf,

    /// Only what went in this sitting, by its number
    #[arg(long, value_name = "N")]
    pub(crate) sitting: Option<u32>,

    /// Also what the shop was told before, of that sitting or the newest
    #[arg(long)]
    pub(crate) again: bool,

    /// Where services and packs are told that the shop's rules choose.
    #[command(flatten)]
    pub(crate) shop: ShopOption,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger forget`.
#[derive(Debug, Args)]
pub(crate) struct ForgetArguments {
    /// Forget what orders say that went, or were taken off, before this day: 2026-06-01
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub(crate) before: Moment,

    /// Forget the kits in these folders too, if they were made before that day
    #[arg(long, value_name = "DIR", num_args = 1..)]
    pub(crate) kits: Vec<PathBuf>,

    /// How it is entered.
    #[command(flatten)]
    pub(crate) act: ActOptions,
}

/// The arguments of `ledger history`.
#[derive(Debug, Args)]
pub(crate) struct HistoryArguments {
    /// An order, by its id or words, or a parcel, by its number or pair code [default: the whole sitting]
    #[arg(value_name = "ORDER|N")]
    pub(crate) what: Option<String>,

    /// An order, where its id could be a parcel's number
    #[arg(long, value_name = "ID", conflicts_with = "what")]
    pub(crate) order: Option<String>,

    /// The sitting, by its number [default: the open one, or the newest]
    #[arg(long, value_name = "N")]
    pub(crate) sitting: Option<u32>,
}

/// The arguments of `ledger backup`.
#[derive(Debug, Args)]
pub(crate) struct BackupArguments {
    /// The file to make
    pub(crate) to: PathBuf,
}

/// The arguments of `ledger copy-out`.
#[derive(Debug, Args)]
pub(crate) struct CopyOutArguments {
    /// Where the copy goes, a line of JSON an entry: a file, or - for standard output
    #[arg(short, long, value_name = "FILE", default_value = "-")]
    pub(crate) output: PathBuf,
}

/// The arguments of `ledger copy-in`.
#[derive(Debug, Args)]
pub(crate) struct CopyInArguments {
    /// A copy that `copy-out` made: a file, or - for standard input
    #[arg(default_value = "-")]
    pub(crate) from: PathBuf,

    /// Take what is there of a copy whose end is missing
    #[arg(long)]
    pub(crate) cut: bool,
}
