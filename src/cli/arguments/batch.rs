//! How orders become parcels.

use clap::Args;

use crate::batch::BatchOptions;

/// How orders become parcels, common to all that make a batch.
#[derive(Clone, Debug, Args)]
pub(crate) struct BatchArguments {
    /// Put orders that go to the same person and address into one parcel
    #[arg(long)]
    pub(crate) combine: bool,

    /// Take this order out of its combined parcel again; may be given more than once
    #[arg(long, value_name = "ID", requires = "combine")]
    pub(crate) split: Vec<String>,

    /// Leave this order out, by its id; may be given more than once
    #[arg(long, value_name = "ID")]
    pub(crate) without: Vec<String>,

    /// Replace tags that are equal to an earlier one, or easily taken for it
    #[arg(long)]
    pub(crate) fix_tags: bool,
}

impl BatchArguments {
    /// The same for the engine.
    pub(crate) fn to_options(&self) -> BatchOptions {
        BatchOptions {
            combine: self.combine,
            split: self.split.iter().map(|id| id.trim().into()).collect(),
            fix_tags: self.fix_tags,
            reasons: false,
        }
    }
}
