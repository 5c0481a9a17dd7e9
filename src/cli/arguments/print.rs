//! The arguments of `print`.

use std::path::PathBuf;

use clap::{ArgGroup, Args};

use super::super::positions::PositionList;

/// The arguments of `print`.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("what").required(true).args(["document", "list", "job", "cancel"]))]
pub(crate) struct SendArguments {
    /// The document: a PDF, or its dots (.pwg) from `render` or a kit
    ///
    /// Of a kit's PDF the dots beside it are sent where the printer takes them.
    #[arg(value_name = "FILE")]
    pub(crate) document: Option<PathBuf>,

    /// Tell the printers of the shop file and the print queues of this machine, and how they are
    #[arg(long)]
    pub(crate) list: bool,

    /// Tell how a job is that was sent before, by its number
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(i32).range(1..))]
    pub(crate) job: Option<i32>,

    /// Cancel a job that was sent before, by its number
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(i32).range(1..))]
    pub(crate) cancel: Option<i32>,

    /// Where it goes.
    #[command(flatten)]
    pub(crate) to: PrinterChoice,

    /// Print only these pages, by their numbers: 3,7-9; a sheet that has a back comes out whole
    #[arg(long, value_name = "LIST", requires = "document")]
    pub(crate) pages: Option<PositionList>,

    /// How often, one whole document after the other
    #[arg(long, value_name = "N", default_value_t = 1, requires = "document")]
    #[arg(value_parser = clap::value_parser!(u32).range(1..=100))]
    pub(crate) copies: u32,

    /// How many seconds to wait until the printer says that it is printed [default: 60, and 10 a page]
    #[arg(long, value_name = "SECONDS", value_parser = clap::value_parser!(u32).range(1..=86_400))]
    pub(crate) wait: Option<u32>,

    /// Do not wait until it is printed
    #[arg(long, conflicts_with = "wait", requires = "document")]
    pub(crate) no_wait: bool,

    /// Say what would be sent, and send nothing
    #[arg(long, requires = "document")]
    pub(crate) dry_run: bool,

    /// The answer as JSON, as `slipwright schema print` describes it; failures too
    #[arg(long)]
    pub(crate) json: bool,
}

/// Which printer.
#[derive(Clone, Debug, Default, Args)]
pub(crate) struct PrinterChoice {
    /// The printer, by its name in the shop file [default: the first with a queue that suits the paper]
    #[arg(long, value_name = "NAME")]
    pub(crate) printer: Option<String>,

    /// A print queue by its name, or an address such as ipp://localhost:631/printers/bench, without a
    /// shop file
    #[arg(long, value_name = "NAME|ADDRESS", conflicts_with = "printer")]
    pub(crate) queue: Option<String>,

    /// The shop file [default: shop.yaml beside the document or above its folder, or here]
    #[arg(long, value_name = "FILE")]
    pub(crate) shop: Option<PathBuf>,
}
