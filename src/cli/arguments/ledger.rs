//! The arguments of `slipwright ledger`, as clap reads them.

mod common;
mod first;

use clap::{Args, Subcommand};

use super::super::examples::ledger as examples;
pub(crate) use common::{ActOptions, LedgerOptions, ShopOption};
pub(crate) use first::{
    AgainArguments, FactOptions, JoinArguments, LineUpArguments, ListArguments, ListWhat,
    MoveArguments, NoteArguments, PartArguments, SetAsideArguments, TakeInArguments,
    TakeOffArguments, UndoArguments,
};

/// The arguments of `ledger`.
#[derive(Debug, Args)]
pub(crate) struct LedgerArguments {
    /// Which ledger, and how it answers.
    #[command(flatten)]
    pub(crate) options: LedgerOptions,

    /// What is done or asked.
    #[command(subcommand)]
    pub(crate) verb: LedgerVerb,
}

/// What can be done with a ledger, and asked of it.
#[derive(Debug, Subcommand)]
pub(crate) enum LedgerVerb {
    /// Take orders in, from JSON or a shop's export: says what is new, changed, known, gone before
    #[command(after_help = examples::TAKE_IN)]
    TakeIn(TakeInArguments),
    /// Show what waits, what lies in the line, what went
    #[command(after_help = examples::LIST)]
    List(ListArguments),
    /// Line up waiting orders as parcels, at the end of the line
    #[command(after_help = examples::LINE_UP)]
    LineUp(LineUpArguments),
    /// Note what the scale says of a parcel, or what was decided: pack, service, extras, hazards, tag
    #[command(after_help = examples::NOTE)]
    Note(NoteArguments),
    /// Put a parcel elsewhere in the line; its number stays
    #[command(after_help = examples::MOVE)]
    Move(MoveArguments),
    /// Take a parcel or a waiting order off: it does not go
    #[command(after_help = examples::TAKE_OFF)]
    TakeOff(TakeOffArguments),
    /// Set a parcel aside: it does not go tonight, its orders wait for the next sitting
    #[command(after_help = examples::SET_ASIDE)]
    SetAside(SetAsideArguments),
    /// Let a waiting order join a parcel of the line
    #[command(after_help = examples::JOIN)]
    Join(JoinArguments),
    /// Part an order from its parcel; it waits again
    #[command(after_help = examples::PART)]
    Part(PartArguments),
    /// Let an order that went, was taken off or is held back be lined up all the same
    #[command(after_help = examples::AGAIN)]
    Again(AgainArguments),
    /// Take back what was done last in the line
    #[command(after_help = examples::UNDO)]
    Undo(UndoArguments),
}

impl LedgerVerb {
    /// How it is entered; none of verbs that only ask.
    pub(crate) fn act(&self) -> Option<&ActOptions> {
        match self {
            LedgerVerb::TakeIn(arguments) => Some(&arguments.act),
            LedgerVerb::LineUp(arguments) => Some(&arguments.act),
            LedgerVerb::Note(arguments) => Some(&arguments.act),
            LedgerVerb::Move(arguments) => Some(&arguments.act),
            LedgerVerb::TakeOff(arguments) => Some(&arguments.act),
            LedgerVerb::SetAside(arguments) => Some(&arguments.act),
            LedgerVerb::Join(arguments) => Some(&arguments.act),
            LedgerVerb::Part(arguments) => Some(&arguments.act),
            LedgerVerb::Again(arguments) => Some(&arguments.act),
            LedgerVerb::Undo(arguments) => Some(&arguments.act),
            LedgerVerb::List(_) => None,
        }
    }

    /// Its name, as it is typed.
    pub(crate) fn name(&self) -> &'static str {
        match self {
            LedgerVerb::TakeIn(_) => "take-in",
            LedgerVerb::LineUp(_) => "line-up",
            LedgerVerb::Note(_) => "note",
            LedgerVerb::Move(_) => "move",
            LedgerVerb::TakeOff(_) => "take-off",
            LedgerVerb::SetAside(_) => "set-aside",
            LedgerVerb::Join(_) => "join",
            LedgerVerb::Part(_) => "part",
            LedgerVerb::Again(_) => "again",
            LedgerVerb::Undo(_) => "undo",
            LedgerVerb::List(_) => "list",
        }
    }
}
