//! How pages are served to a browser, common to all commands that do so.

use clap::Args;

/// How pages are served to a browser on this machine.
#[derive(Debug, Args)]
pub(crate) struct PageServerArguments {
    /// The port of its address on this machine [default: one that is free]
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    pub(crate) port: u16,

    /// Only print the address, and open no browser
    #[arg(long)]
    pub(crate) no_open: bool,
}
