//! The arguments that verbs of `slipwright ledger` have in common.

use std::cell::Cell;
use std::fmt;
use std::path::PathBuf;

use clap::Args;

use super::super::super::clock::parse_time;
use crate::hash::StableHash;
use crate::ledger::Moment;

/// Which ledger, and how it answers; common to all verbs.
#[derive(Debug, Args)]
pub(crate) struct LedgerOptions {
    /// The ledger's file; the first `take-in` makes it
    #[arg(long, global = true, value_name = "FILE", default_value = "slipwright.ledger")]
    pub(crate) ledger: PathBuf,

    /// The answer as JSON, as `slipwright schema ledger` describes it; failures too
    #[arg(long, global = true)]
    pub(crate) json: bool,
}

/// How something is entered; common to all verbs that change what the ledger knows.
#[derive(Args)]
pub(crate) struct ActOptions {
    /// When it happened, if not now: 2026-11-27T19:42, by this machine's clock or with an offset
    #[arg(long, value_name = "TIME", value_parser = parse_time)]
    pub(crate) at: Option<Moment>,

    /// What a script calls this request: given again, it is not done again
    #[arg(long, value_name = "ID")]
    pub(crate) request: Option<String>,

    /// Say what would be done, and leave everything as it is
    #[arg(long, conflicts_with = "request")]
    pub(crate) dry_run: bool,

    /// A digest of what is asked, which a request that is given again is compared by; none until it is known.
    #[arg(skip)]
    pub(crate) asks: Cell<Option<StableHash>>,
}

impl ActOptions {
    /// Counts in what a request asks: the words of its verb, or what it reads.
    pub(crate) fn ask(&self, what: &[u8]) {
        let known = self.asks.get().unwrap_or_else(StableHash::new);
        self.asks.set(Some(known.bytes(what).number(u64::MAX)));
    }
}

impl fmt::Debug for ActOptions {
    /// What is asked is told by all arguments but these: a request given again is at another time.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("ActOptions")
    }
}

/// Where the shop file is.
#[derive(Debug, Args)]
pub(crate) struct ShopOption {
    /// The shop file [default: shop.yaml beside the ledger, if there is one]
    #[arg(long, value_name = "FILE")]
    pub(crate) shop: Option<PathBuf>,
}
