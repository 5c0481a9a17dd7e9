//! The arguments of `slipwright ledger`, as clap reads them.

mod common;
mod first;
mod second;

use clap::{Args, Subcommand};

use super::super::examples::ledger as examples;
pub(crate) use common::{ActOptions, LedgerOptions, ShopOption};
pub(crate) use first::{
    AgainArguments, FactOptions, JoinArguments, LineUpArguments, ListArguments, ListOf, ListWhat,
    MoveArguments, NoteArguments, PartArguments, PrintArguments, SeenArguments, SetAsideArguments,
    TakeInArguments, TakeOffArguments, UndoArguments,
};
pub(crate) use second::{
    BackupArguments, CloseArguments, CopyInArguments, CopyOutArguments, ForgetArguments,
    HandOverArguments, HistoryArguments, MatchArguments, TellShopArguments, TrackArguments,
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
    /// Put away what exports say of orders that are here: cancelled, or changed
    #[command(after_help = examples::SEEN)]
    Seen(SeenArguments),
    /// Take back what was done last in the line
    #[command(after_help = examples::UNDO)]
    Undo(UndoArguments),
    /// Print what is not yet printed or out of date: first the whole kit, then only the difference
    #[command(after_help = examples::PRINT)]
    Print(PrintArguments),
    /// Match bench cards and labels: two codes, or scans on standard input, a verdict a line
    #[command(after_help = examples::MATCH)]
    Match(MatchArguments),
    /// Give parcels their tracking numbers, one by one or from the carrier's table
    #[command(after_help = examples::TRACK)]
    Track(TrackArguments),
    /// Hand parcels over to whoever carries them
    #[command(after_help = examples::HAND_OVER)]
    HandOver(HandOverArguments),
    /// Close the sitting
    #[command(after_help = examples::CLOSE)]
    Close(CloseArguments),
    /// Tell the shop what went: a CSV with its own columns, by a map; each order once
    #[command(after_help = examples::TELL_SHOP)]
    TellShop(TellShopArguments),
    /// Remove what old orders and kits say of people; ids, tags and dates stay
    #[command(after_help = examples::FORGET)]
    Forget(ForgetArguments),
    /// Tell what happened in a sitting, to an order or to a parcel, oldest first
    #[command(after_help = examples::HISTORY)]
    History(HistoryArguments),
    /// Make a copy of the ledger that is whole even while others write
    #[command(after_help = examples::BACKUP)]
    Backup(BackupArguments),
    /// Say whether the ledger is sound, and what can be saved where it is not
    #[command(after_help = examples::CHECK)]
    Check,
    /// Write everything out as lines of JSON; of a damaged ledger what can be read
    #[command(after_help = examples::COPY_OUT)]
    CopyOut(CopyOutArguments),
    /// Fill a new ledger from such lines, entry for entry
    #[command(after_help = examples::COPY_IN)]
    CopyIn(CopyInArguments),
    /// Make what holds now again, from the entries alone
    #[command(after_help = examples::REBUILD)]
    Rebuild,
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
            LedgerVerb::Seen(arguments) => Some(&arguments.act),
            LedgerVerb::Undo(arguments) => Some(&arguments.act),
            LedgerVerb::Print(arguments) => Some(&arguments.act),
            LedgerVerb::Match(arguments) => Some(&arguments.act),
            LedgerVerb::Track(arguments) => Some(&arguments.act),
            LedgerVerb::HandOver(arguments) => Some(&arguments.act),
            LedgerVerb::Close(arguments) => Some(&arguments.act),
            LedgerVerb::TellShop(arguments) => Some(&arguments.act),
            LedgerVerb::Forget(arguments) => Some(&arguments.act),
            LedgerVerb::List(_)
            | LedgerVerb::History(_)
            | LedgerVerb::Backup(_)
            | LedgerVerb::Check
            | LedgerVerb::CopyOut(_)
            | LedgerVerb::CopyIn(_)
            | LedgerVerb::Rebuild => None,
        }
    }

    /// Whether it repeats its files and folders by itself when a request is given again.
    pub(crate) fn repeats_itself(&self) -> bool {
        matches!(self, LedgerVerb::TellShop(_) | LedgerVerb::Forget(_))
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
            LedgerVerb::Seen(_) => "seen",
            LedgerVerb::Undo(_) => "undo",
            LedgerVerb::Print(_) => "print",
            LedgerVerb::List(_) => "list",
            LedgerVerb::Match(_) => "match",
            LedgerVerb::Track(_) => "track",
            LedgerVerb::HandOver(_) => "hand-over",
            LedgerVerb::Close(_) => "close",
            LedgerVerb::TellShop(_) => "tell-shop",
            LedgerVerb::Forget(_) => "forget",
            LedgerVerb::History(_) => "history",
            LedgerVerb::Backup(_) => "backup",
            LedgerVerb::Check => "check",
            LedgerVerb::CopyOut(_) => "copy-out",
            LedgerVerb::CopyIn(_) => "copy-in",
            LedgerVerb::Rebuild => "rebuild",
        }
    }
}
