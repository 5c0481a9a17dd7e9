//! What a ledger cannot do, as what stops the command.
//!
//! In: a [`LedgerError`]. Out: a [`Halt`] with the exit code and the command that helps. What is not
//! there is usage; what an order's or a parcel's state does not allow is a finding that stops it; a
//! file that cannot be written is output.

use std::path::Path;

use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::output::show_path;
use crate::ledger::{LedgerError, LineRefusal, OrderPlace};

/// What stops a command whose ledger cannot be opened.
pub(super) fn cannot_open(path: &Path, error: &LedgerError) -> Halt {
    let said = format!("{}: {error}", show_path(path));
    match exit_of(error) {
        Exit::Findings => Halt::refused(said),
        exit => Halt::usage(said).ending_in(exit),
    }
    .hint_if(hint_of(error))
}

impl From<LedgerError> for Halt {
    fn from(error: LedgerError) -> Halt {
        match exit_of(&error) {
            Exit::Findings => Halt::refused(error.to_string()),
            exit => Halt::usage(error.to_string()).ending_in(exit),
        }
        .hint_if(hint_of(&error))
    }
}

impl From<LineRefusal> for Halt {
    fn from(refused: LineRefusal) -> Halt {
        LedgerError::Refused(refused).into()
    }
}

/// How a run ends that this stops.
fn exit_of(error: &LedgerError) -> Exit {
    match error {
        LedgerError::Busy | LedgerError::ReadOnly | LedgerError::Full | LedgerError::Failing(_) => {
            Exit::Output
        }
        LedgerError::OrderIs { .. }
        | LedgerError::SittingOpen { .. }
        | LedgerError::TrackingUsed { .. }
        | LedgerError::NoTracking { .. } => Exit::Findings,
        LedgerError::Refused(LineRefusal::NoParcel(_) | LineRefusal::NoOrder { .. }) => Exit::Usage,
        LedgerError::Refused(_) => Exit::Findings,
        _ => Exit::Usage,
    }
}

/// What helps, as a command where there is one.
fn hint_of(error: &LedgerError) -> Option<String> {
    let hint = match error {
        LedgerError::Missing => {
            "take orders in first; that makes it: `slipwright ledger take-in orders.json`"
                .to_owned()
        }
        LedgerError::NoSitting(None) => {
            "line up an order; that begins one: `slipwright ledger line-up --all`".to_owned()
        }
        LedgerError::NoSitting(Some(_)) => {
            "see which there are: `slipwright ledger list sittings`".to_owned()
        }
        LedgerError::Refused(LineRefusal::NoParcel(_)) => {
            "see which there are: `slipwright ledger list line`".to_owned()
        }
        LedgerError::OrderIs { order, place } => return hint_of_place(order, place),
        LedgerError::Refused(LineRefusal::LastOrder { number }) => {
            format!("take the parcel off, or set it aside: `slipwright ledger set-aside {number}`")
        }
        LedgerError::Refused(LineRefusal::NotTheLast(_)) => {
            "see what it was: `slipwright ledger undo --dry-run`".to_owned()
        }
        LedgerError::SittingOpen { .. } => "close it first: `slipwright ledger close`".to_owned(),
        _ => return error.hint().map(str::to_owned),
    };
    Some(hint)
}

/// What helps with an order that is elsewhere.
fn hint_of_place(order: &str, place: &OrderPlace) -> Option<String> {
    match place {
        OrderPlace::Waiting => None,
        OrderPlace::InLine(_, number) => {
            Some(format!("take its parcel out first: `slipwright ledger set-aside {number}`"))
        }
        OrderPlace::Doubted(_) | OrderPlace::HandedOver(..) | OrderPlace::TakenOff(_) => {
            Some(format!(
                "if it is to go all the same: `slipwright ledger again {order} --because REASON`"
            ))
        }
    }
}
