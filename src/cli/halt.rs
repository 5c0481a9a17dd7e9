//! What stops a command: usage that is wrong, findings, or output that cannot be written.
//!
//! In: what is the matter, said where it is found out. Out: a value that every layer of the command
//! hands up, with all that is needed to show it. It is shown once, at the very end
//! ([`terminal`](super::terminal)). Not here: what was found and stops nothing.

use std::io;

use super::exit::Exit;
use crate::findings::{Finding, rules};
use crate::source::{Sources, describe_failure, has_no_room};
use crate::verify::ProofTally;

/// What stops a command.
#[derive(Debug)]
pub(super) struct Halt {
    /// How the run ends.
    pub(super) exit: Exit,
    /// What is the matter, and what else was found until then.
    pub(super) findings: Vec<Finding>,
    /// What a proof came to, for scripts.
    pub(super) proof: ProofTally,
    /// The texts that the findings lie in.
    pub(super) sources: Sources,
    /// What is said below them, a line each, such as that nothing was written.
    pub(super) closing: Vec<String>,
}

/// What helps where a disk is full. Outputs appear when they are whole, and not before.
const NO_ROOM: &str = "make room there and start again: what was there before is as it was";

impl Halt {
    /// Arguments make no sense, or name what is not there.
    pub(super) fn usage(message: impl Into<String>) -> Halt {
        Halt::plain(Exit::Usage, Finding::new(&rules::USAGE, message))
    }

    /// An input cannot be read; `what` names it as messages do.
    pub(super) fn unreadable(what: &str, error: &io::Error) -> Halt {
        let message = format!("{what} could not be read: {}", describe_failure(error));
        Halt::plain(Exit::Usage, Finding::new(&rules::UNREADABLE, message))
    }

    /// An output cannot be written; `what` names it as messages do.
    pub(super) fn unwritten(what: &str, error: &io::Error) -> Halt {
        let message = format!("{what} could not be written: {}", describe_failure(error));
        let halt = Halt::plain(Exit::Output, Finding::new(&rules::UNWRITTEN, message));
        match error.kind() {
            io::ErrorKind::NotFound => halt.hint("its folder does not exist; make it first"),
            _ if has_no_room(error) => halt.hint(NO_ROOM),
            _ => halt,
        }
    }

    /// What the ledger knows does not allow it.
    pub(super) fn refused(message: impl Into<String>) -> Halt {
        Halt::plain(Exit::Findings, Finding::new(&rules::LEDGER_REFUSED, message))
    }

    /// A draft is asked of a command whose papers are packed with.
    pub(super) fn no_drafts(command: &str) -> Halt {
        let message = format!("`{command}` makes no drafts: what it prints is packed with");
        Halt::usage(message).hint("draw a draft of one document with `slipwright render --draft`")
    }

    /// A printer or its queue does not print what it was asked to.
    pub(super) fn unprinted(message: impl Into<String>) -> Halt {
        Halt::plain(Exit::Findings, Finding::new(&rules::PRINTER_REFUSED, message))
    }

    /// A printer or its queue cannot be reached, or says nothing that could be understood.
    pub(super) fn lost_printer(message: impl Into<String>) -> Halt {
        Halt::plain(Exit::Output, Finding::new(&rules::PRINTER_LOST, message))
    }

    /// Something was found in an input, so that it cannot be used.
    pub(super) fn unusable(findings: Vec<Finding>, sources: &Sources) -> Halt {
        let sources = sources.clone();
        let (proof, closing) = (ProofTally::default(), Vec::new());
        Halt { exit: Exit::Usage, findings, proof, sources, closing }
    }

    /// Something was found that keeps output from being written; `proof` is what a proof came to.
    pub(super) fn found(findings: Vec<Finding>, proof: ProofTally, sources: &Sources) -> Halt {
        Halt { exit: Exit::Findings, proof, ..Halt::unusable(findings, sources) }
    }

    /// One sentence, in no text that was read.
    fn plain(exit: Exit, finding: Finding) -> Halt {
        Halt { exit, ..Halt::unusable(vec![finding], &Sources::new()) }
    }

    /// Adds a way out of what is the matter.
    pub(super) fn hint(mut self, hint: impl Into<String>) -> Halt {
        if let Some(last) = self.findings.last_mut() {
            last.hints.push(hint.into());
        }
        self
    }

    /// Adds a way out if there is one.
    pub(super) fn hint_if(self, hint: Option<String>) -> Halt {
        match hint {
            Some(hint) => self.hint(hint),
            None => self,
        }
    }

    /// Ends the run otherwise.
    pub(super) fn ending_in(mut self, exit: Exit) -> Halt {
        self.exit = exit;
        self
    }

    /// Says a line below.
    pub(super) fn saying(mut self, line: impl Into<String>) -> Halt {
        self.closing.push(line.into());
        self
    }
}
