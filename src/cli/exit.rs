//! What the command's exit code says.

use std::process::ExitCode;

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// Everything asked for was done.
    Done,
    /// Findings stopped it and nothing was written; or, with parcels set aside, they were not
    /// printed.
    Findings,
    /// The arguments are wrong, or an input file cannot be read.
    Usage,
    /// The output could not be written.
    Output,
}

impl Exit {
    /// The code as a number, as the documentation lists it.
    #[must_use]
    pub fn code(self) -> u8 {
        match self {
            Exit::Done => 0,
            Exit::Findings => 1,
            Exit::Usage => 2,
            Exit::Output => 3,
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(exit.code())
    }
}
