//! The arguments of `preview`.

use std::path::PathBuf;

use clap::Args;

use super::batch::BatchArguments;
use super::server::PageServerArguments;

/// The arguments of `preview`.
#[derive(Debug, Args)]
pub(crate) struct PreviewArguments {
    /// The layout: a name from `slipwright layouts`, or a file
    pub(crate) layout: PathBuf,

    /// The orders as JSON, a file [default: a few made-up ones]
    pub(crate) orders: Option<PathBuf>,

    /// The shop file [default: shop.yaml beside the orders, or beside the layout when none are given]
    #[arg(long, value_name = "FILE")]
    pub(crate) shop: Option<PathBuf>,

    /// How the batch is put together.
    #[command(flatten)]
    pub(crate) batch: BatchArguments,

    /// A folder of further fonts (.ttf, .otf), used for what the built-in ones lack
    #[arg(long, value_name = "DIR")]
    pub(crate) fonts: Option<PathBuf>,

    /// The printer, by its name in the shop file [default: the first that suits the paper]
    #[arg(long, value_name = "NAME")]
    pub(crate) printer: Option<String>,

    /// The printer's dots in an inch [default: the shop file's, or what the stock is printed with]
    #[arg(long, value_name = "DPI")]
    pub(crate) dpi: Option<f64>,

    /// How its page is served.
    #[command(flatten)]
    pub(crate) server: PageServerArguments,
}
