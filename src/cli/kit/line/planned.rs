//! What is to be printed of a line's parcels, and why.
//!
//! Not here: how that is found out (`compare`), and how it is printed (`make`).

use crate::batch::Batch;
use crate::bind::Occasion;
use crate::cli::line::to_position;
use crate::ledger::{BenchLine, Paper, PrintedParcel};

/// A parcel of which something would be printed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct PlannedParcel {
    /// Its number in the sitting, from 1.
    pub(crate) number: u32,
    /// What is on its bag.
    pub(crate) tag: Box<str>,
    /// Why its papers are printed now.
    pub(crate) why: PrintReason,
    /// What is printed.
    pub(crate) documents: Vec<PlannedPaper>,
    /// Papers that it no longer has: they are to be thrown away.
    pub(crate) withdrawn: Vec<Box<str>>,
    /// All its papers once that is printed.
    pub(super) papers: Vec<Paper>,
}

/// Which papers of a line are wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum WantedPapers {
    /// Those that are not printed yet or out of date.
    Due,
    /// All, as a whole kit.
    All,
}

/// A document that is printed of a parcel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct PlannedPaper {
    /// The document: `labels`, `bench-cards` …
    pub(crate) document: &'static str,
    /// What its pages say of it.
    pub(crate) occasion: Occasion,
}

/// Why something is printed of a parcel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PrintReason {
    /// Nothing of the line was printed before.
    First,
    /// It joined when others were printed already.
    Late,
    /// What was printed of it is not what would be printed now.
    OutOfDate,
}

impl PrintReason {
    /// As lists and messages say it.
    pub(crate) fn word(self) -> &'static str {
        match self {
            PrintReason::First => "new",
            PrintReason::Late => "late",
            PrintReason::OutOfDate => "out of date",
        }
    }
}

impl PlannedParcel {
    /// What the ledger is to remember once it is printed; nothing when it was printed as it is.
    pub(super) fn remember(&self, line: &BenchLine, batch: &Batch) -> Option<PrintedParcel> {
        let known = line.parcel(self.number)?;
        if known.printed.is_some() && known.papers == self.papers {
            return None;
        }
        let parcel = batch.at(to_position(self.number))?;
        let count = u32::try_from(parcel.count).unwrap_or(u32::MAX);
        Some(PrintedParcel { number: self.number, count, papers: self.papers.clone() })
    }
}

/// Whether nothing of a line was printed yet.
pub(super) fn is_first(line: &BenchLine) -> bool {
    line.parcels().all(|parcel| parcel.printed.is_none())
}
