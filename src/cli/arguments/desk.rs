//! The arguments of `desk`.

use std::path::PathBuf;

use clap::Args;

use super::server::PageServerArguments;

/// The arguments of `desk`.
#[derive(Debug, Args)]
pub(crate) struct DeskArguments {
    /// The folder of the shop file, the ledger and what is printed [default: the one you are in if it has
    /// a ledger or a shop file, or else Slipwright in your home, which is made]
    pub(crate) folder: Option<PathBuf>,

    /// How its pages are served.
    #[command(flatten)]
    pub(crate) server: PageServerArguments,
}
