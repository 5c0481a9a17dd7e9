//! The command's arguments, as clap reads them.

mod batch;
mod choices;
#[cfg(feature = "desk")]
pub(super) mod desk;
pub(super) mod ledger;
#[cfg(feature = "desk")]
pub(super) mod preview;
pub(super) mod print;
#[cfg(feature = "desk")]
mod server;

use std::path::{Path, PathBuf};

use clap::{Args, Parser, Subcommand};
use clap_complete::Shell;

use super::examples;
use super::positions::PositionList;
pub(super) use batch::BatchArguments;
pub(super) use choices::{ColorChoice, Diagnostics, Format, OrderChoice, SchemaOf};
#[cfg(feature = "desk")]
use desk::DeskArguments;
use ledger::LedgerArguments;
#[cfg(feature = "desk")]
use preview::PreviewArguments;
use print::SendArguments;
#[cfg(feature = "desk")]
pub(super) use server::PageServerArguments;

use crate::fields::Day;
use crate::verify::Proofing;

/// Labels, bench cards and packing slips for people who pack their own parcels.
///
/// Exit codes: 0 done; 1 findings stopped it and nothing was written, or orders were set aside;
/// 2 the usage is wrong or an input cannot be read; 3 the output could not be written.
#[derive(Debug, Parser)]
#[command(name = "slipwright", version, about, long_about, propagate_version = true)]
pub(super) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(super) command: Command,

    /// When findings are coloured; `auto` asks the terminal, `NO_COLOR` and `TERM`
    #[arg(long, global = true, value_enum, value_name = "WHEN", default_value_t)]
    pub(super) color: ColorChoice,
}

/// What the command can do.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Print orders: one document for all parcels, in bench order
    #[command(after_help = examples::RENDER)]
    Render(RenderArguments),
    /// Make everything for one sitting: labels, cards, slips, inserts, lists, in one folder
    #[command(after_help = examples::KIT)]
    Kit(KitArguments),
    /// Say what is wrong with orders and a layout; writes nothing
    #[command(after_help = examples::CHECK)]
    Check(CheckArguments),
    /// Say what every parcel weighs, fits into and costs, with the reason of every figure
    #[command(after_help = examples::WEIGH)]
    Weigh(WeighArguments),
    /// Turn a shop's export (CSV) into orders, by a map of its columns
    #[command(after_help = examples::INTAKE)]
    Intake(IntakeArguments),
    /// Run the evening in the browser: line up, print, match, hand over
    #[cfg(feature = "desk")]
    #[command(after_help = examples::DESK)]
    Desk(DeskArguments),
    /// Show a layout in the browser and draw it anew whenever a file is saved
    #[cfg(feature = "desk")]
    #[command(after_help = examples::PREVIEW)]
    Preview(PreviewArguments),
    /// List the shipped layouts, or copy one to start your own
    #[command(after_help = examples::LAYOUTS)]
    Layouts(LayoutsArguments),
    /// Draw a page that shows what a printer really does, and what to write about it
    #[command(after_help = examples::RULER)]
    Ruler(RulerArguments),
    /// List the named stocks
    #[command(after_help = examples::STOCK)]
    Stock {
        /// As JSON, for programs
        #[arg(long)]
        json: bool,
    },
    /// Print a document at true size on a printer of the shop file, by its queue
    #[command(after_help = examples::PRINT)]
    Print(SendArguments),
    /// Keep the evening: what came in, what lies on the bench, what was printed, matched and sent
    #[command(after_help = examples::LEDGER)]
    Ledger(LedgerArguments),
    /// Print the JSON Schema of a file's format, for editors and other programs
    #[command(after_help = examples::SCHEMA)]
    Schema {
        /// Which format
        #[arg(value_enum)]
        of: SchemaOf,
    },
    /// Print a completion script for a shell
    #[command(after_help = examples::COMPLETIONS)]
    Completions {
        /// Which shell
        #[arg(value_enum)]
        shell: Shell,
    },
}

impl Command {
    /// How findings are shown.
    pub(super) fn diagnostics(&self) -> Diagnostics {
        match self {
            Command::Render(arguments) => arguments.input.diagnostics,
            Command::Kit(arguments) => arguments.input.diagnostics,
            Command::Check(arguments) => arguments.input.diagnostics,
            Command::Weigh(arguments) => arguments.diagnostics,
            Command::Intake(arguments) => arguments.diagnostics,
            Command::Ledger(arguments) if arguments.options.json => Diagnostics::Json,
            Command::Print(arguments) if arguments.json => Diagnostics::Json,
            #[cfg(feature = "desk")]
            Command::Desk(_) | Command::Preview(_) => Diagnostics::Full,
            Command::Ledger(_)
            | Command::Print(_)
            | Command::Layouts(_)
            | Command::Ruler(_)
            | Command::Stock { .. }
            | Command::Schema { .. }
            | Command::Completions { .. } => Diagnostics::Full,
        }
    }
}

/// What a batch is made from, common to all that read orders.
#[derive(Debug, Args)]
pub(super) struct OrdersArguments {
    /// The orders as JSON: a file, or - for standard input [default: -]
    pub(super) orders: Option<PathBuf>,

    /// The shop file [default: shop.yaml beside the orders, if there is one]
    #[arg(long, value_name = "FILE")]
    pub(super) shop: Option<PathBuf>,

    /// How the batch is put together.
    #[command(flatten)]
    pub(super) batch: BatchArguments,
}

impl OrdersArguments {
    /// Where the orders are; `-` for standard input.
    pub(super) fn orders(&self) -> &Path {
        self.orders.as_deref().unwrap_or(Path::new("-"))
    }
}

/// What a run reads and how its pages are made, common to all that make pages.
#[derive(Debug, Args)]
pub(super) struct InputArguments {
    /// What the batch is made from.
    #[command(flatten)]
    pub(super) from: OrdersArguments,

    /// A folder of further fonts (.ttf, .otf), used for what the built-in ones lack
    #[arg(long, value_name = "DIR")]
    pub(super) fonts: Option<PathBuf>,

    /// The day of printing, for layouts that print it, such as 2026-11-25 [default: today]
    #[arg(long, value_name = "DATE", value_parser = read_date)]
    pub(super) date: Option<Day>,

    /// How many threads compose pages [default: one a core]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub(super) threads: Option<u16>,

    /// How findings are shown
    #[arg(long, value_enum, default_value_t = Diagnostics::Full)]
    pub(super) diagnostics: Diagnostics,
}

/// Whether codes are read back, of commands that do so when they are asked.
#[derive(Debug, Args)]
pub(super) struct ProofArguments {
    /// Draw every page at the printer's dots and read every code back before anything is written
    #[arg(long)]
    pub(super) proof: bool,

    /// Dots that the printer adds to every bar, or takes away when negative [default: the shop file's]
    #[arg(long, value_name = "DOTS", requires = "proof")]
    #[arg(allow_negative_numbers = true, value_parser = clap::value_parser!(i32).range(-8..=8))]
    pub(super) gain: Option<i32>,
}

impl ProofArguments {
    /// The same for the engine; `every_code` says whether each code's grade is wanted.
    pub(super) fn to_proofing(&self, every_code: bool) -> Option<Proofing> {
        self.proof.then_some(Proofing { gain: self.gain, every_code })
    }
}

/// Whether codes are read back, for commands that do so by default.
#[derive(Debug, Args)]
pub(super) struct NoProofArguments {
    /// Do not read every code back at the printer's dots before anything is written
    #[arg(long)]
    pub(super) no_proof: bool,

    /// What is done anyway; scripts may go on saying so
    #[arg(long, hide = true, conflicts_with = "no_proof")]
    pub(super) proof: bool,

    /// Dots that the printer adds to every bar, or takes away when negative [default: the shop file's]
    #[arg(long, value_name = "DOTS", conflicts_with = "no_proof")]
    #[arg(allow_negative_numbers = true, value_parser = clap::value_parser!(i32).range(-8..=8))]
    pub(super) gain: Option<i32>,
}

impl NoProofArguments {
    /// The same for the engine; every code's grade is wanted.
    pub(super) fn to_proofing(&self) -> Option<Proofing> {
        let wanted = self.proof || !self.no_proof;
        wanted.then_some(Proofing { gain: self.gain, every_code: true })
    }
}

/// One document and what it is printed on.
#[derive(Debug, Args)]
pub(super) struct PageArguments {
    /// The layout: a name from `slipwright layouts`, or a file [default: the shop file's, or
    /// label-4x6in]
    #[arg(short, long, value_name = "NAME|FILE")]
    pub(super) layout: Option<PathBuf>,

    /// The first free place on a part-used sheet, counted as the layout fills it [default: 1]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    pub(super) start: Option<u32>,

    /// The printer, by its name in the shop file [default: the first that suits the paper]
    #[arg(long, value_name = "NAME")]
    pub(super) printer: Option<String>,

    /// The printer's dots in an inch [default: the shop file's, or what the stock is printed with]
    #[arg(long, value_name = "DPI")]
    pub(super) dpi: Option<f64>,
}

/// How parcels are printed, common to all that print them.
#[derive(Debug, Args)]
pub(super) struct PrintingArguments {
    /// The order of the pages [default: the shop file's, or as on the bench]
    #[arg(long, value_enum)]
    pub(super) order: Option<OrderChoice>,

    /// Print the good parcels and write the orders of the others, and why, to this file, to mend and
    /// send again
    #[arg(long, value_name = "FILE")]
    pub(super) set_aside: Option<PathBuf>,
}

/// The arguments of `render`.
#[derive(Debug, Args)]
pub(super) struct RenderArguments {
    /// What is read.
    #[command(flatten)]
    pub(super) input: InputArguments,

    /// Whether its codes are read back.
    #[command(flatten)]
    pub(super) proof: ProofArguments,

    /// What is made.
    #[command(flatten)]
    pub(super) page: PageArguments,

    /// Where the document goes: a file, or - for standard output
    #[arg(short, long, value_name = "FILE|-")]
    pub(super) output: PathBuf,

    /// Also write the matching bench cards to this file
    #[arg(long, value_name = "FILE")]
    pub(super) cards: Option<PathBuf>,

    /// The layout of the bench cards
    #[arg(long, value_name = "NAME|FILE", default_value = "bench-card", requires = "cards")]
    pub(super) card_layout: PathBuf,

    /// The first free place on a part-used sheet of cards, as `--start` for the document
    #[arg(
        long,
        value_name = "N",
        requires = "cards",
        value_parser = clap::value_parser!(u32).range(1..)
    )]
    pub(super) card_start: Option<u32>,

    /// The format; svg and png make one file a page, numbered [default: by the output's name]
    #[arg(long, value_enum)]
    pub(super) format: Option<Format>,

    /// Print only these parcels, by their numbers: 3,7-9
    #[arg(long, value_name = "LIST")]
    pub(super) only: Option<PositionList>,

    /// Print in spite of what is wrong, to look at: DRAFT stands on every side, what is wrong is framed,
    /// and no scanner takes the codes
    #[arg(long, conflicts_with = "set_aside")]
    pub(super) draft: bool,

    /// How it is printed.
    #[command(flatten)]
    pub(super) printing: PrintingArguments,
}

/// The arguments of `kit`.
#[derive(Debug, Args)]
pub(super) struct KitArguments {
    /// What is read.
    #[command(flatten)]
    pub(super) input: InputArguments,

    /// Whether its codes are read back.
    #[command(flatten)]
    pub(super) proof: NoProofArguments,

    /// The folder that the kit goes into; it is made, whole or not at all
    #[arg(short, long, value_name = "FOLDER")]
    pub(super) to: PathBuf,

    /// Replace a kit that is there already
    #[arg(long)]
    pub(super) replace: bool,

    /// Print these parcels of a kit that is there once more, by their numbers: 3,7-9
    ///
    /// They get the same tags and pair codes and a small mark, in a folder of their own within the
    /// kit. Without orders those that the kit was made from are taken, with their shop file: both
    /// are kept in it. What differs from what was printed is told.
    #[arg(long, value_name = "LIST")]
    #[arg(conflicts_with_all = ["replace", "combine", "split", "without", "fix_tags", "set_aside"])]
    pub(super) only: Option<PositionList>,

    /// Refused, with where drafts are made: what a kit has is packed with
    #[arg(long, hide = true)]
    pub(super) draft: bool,

    /// How it is printed.
    #[command(flatten)]
    pub(super) printing: PrintingArguments,
}

/// The arguments of `check`.
#[derive(Debug, Args)]
pub(super) struct CheckArguments {
    /// What is read.
    #[command(flatten)]
    pub(super) input: InputArguments,

    /// Whether its codes are read back.
    #[command(flatten)]
    pub(super) proof: ProofArguments,

    /// Check everything that `kit` would make, in place of one layout
    #[arg(long, conflicts_with_all = ["layout", "start", "printer", "dpi"])]
    pub(super) kit: bool,

    /// What would be made.
    #[command(flatten)]
    pub(super) page: PageArguments,
}

/// The arguments of `weigh`.
#[derive(Debug, Args)]
pub(super) struct WeighArguments {
    /// What the batch is made from.
    #[command(flatten)]
    pub(super) from: OrdersArguments,

    /// Only the table, without the reasons of its figures
    #[arg(long, conflicts_with = "json")]
    pub(super) brief: bool,

    /// Everything as JSON, as `slipwright schema weigh` describes it
    #[arg(long)]
    pub(super) json: bool,

    /// How findings are shown
    #[arg(long, value_enum, default_value_t = Diagnostics::Full)]
    pub(super) diagnostics: Diagnostics,
}

/// The arguments of `intake`.
#[derive(Debug, Args)]
pub(super) struct IntakeArguments {
    /// The shop's export, comma-separated values or a spreadsheet: a file, or - for standard input
    #[arg(default_value = "-")]
    pub(super) export: PathBuf,

    /// The map: which columns are which fields of an order
    #[arg(short, long, value_name = "FILE")]
    pub(super) map: Option<PathBuf>,

    /// Write a first map instead, guessed from the columns, to look through and mend
    #[arg(long, conflicts_with = "map")]
    pub(super) propose: bool,

    /// Where the orders or the map go: a file, or - for standard output
    #[arg(short, long, value_name = "FILE|-", default_value = "-")]
    pub(super) output: PathBuf,

    /// Take the good orders in and write the rows of the others, as they stand, to this file, to mend and
    /// take in again
    #[arg(long, value_name = "FILE", conflicts_with = "propose")]
    pub(super) set_aside: Option<PathBuf>,

    /// How findings are shown
    #[arg(long, value_enum, default_value_t = Diagnostics::Full)]
    pub(super) diagnostics: Diagnostics,
}

/// The arguments of `layouts`.
#[derive(Debug, Args)]
pub(super) struct LayoutsArguments {
    /// The list as JSON, for programs
    #[arg(long, conflicts_with = "copy")]
    pub(super) json: bool,

    /// Copy this layout
    #[arg(long, value_name = "NAME")]
    pub(super) copy: Option<String>,

    /// Where the copy goes: a file, or - for standard output [default: NAME.yaml here]
    #[arg(long, value_name = "FILE|-", requires = "copy")]
    pub(super) to: Option<PathBuf>,
}

/// The arguments of `ruler`.
#[derive(Debug, Args)]
pub(super) struct RulerArguments {
    /// The paper: a name from `slipwright stock`, or a size such as 80x120mm
    #[arg(long, value_name = "NAME|SIZE", default_value = "4x6in")]
    pub(super) stock: String,

    /// The printer, by its name in the shop file [default: the first that suits the paper]
    #[arg(long, value_name = "NAME")]
    pub(super) printer: Option<String>,

    /// Print it with the printer's offset, scale and bar reduction, to see whether they are right
    #[arg(long)]
    pub(super) corrected: bool,

    /// The shop file [default: shop.yaml, if there is one here]
    #[arg(long, value_name = "FILE")]
    pub(super) shop: Option<PathBuf>,

    /// The printer's dots in an inch [default: the shop file's, or what the stock is printed with]
    #[arg(long, value_name = "DPI")]
    pub(super) dpi: Option<f64>,

    /// Where the page goes: a file ending in .pdf, .svg, .png or .pwg, or - for standard output
    #[arg(short, long, value_name = "FILE|-")]
    pub(super) output: PathBuf,

    /// The format [default: by the output's name]
    #[arg(long, value_enum)]
    pub(super) format: Option<Format>,
}

/// A day such as `2026-11-25`.
fn read_date(text: &str) -> Result<Day, String> {
    Day::parse(text).ok_or_else(|| "expected a day such as 2026-11-25".to_owned())
}
