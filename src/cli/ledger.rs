//! `slipwright ledger`: what happened to every order and parcel, entered and asked.
//!
//! In: verbs with what a seller says. Out: entries in the ledger's file, and answers as text or JSON. A
//! verb is done wholly or not at all, and what it says it did is safe on the disk. Not here: the rules
//! of a line (`ledger`), and how papers are made.

mod again;
mod answer;
mod carrying;
mod changed;
mod combining;
mod computed;
#[cfg(feature = "desk")]
mod drawn;
mod event_words;
mod facts;
mod forget;
mod hand_over;
mod history;
mod keep;
mod line_up;
mod list;
mod matching;
mod mates;
mod moving;
mod news;
mod note;
mod open;
mod order_words;
mod outdated;
mod postage;
mod print;
mod proposing;
mod refusal;
mod repeat;
mod seen;
mod shop_file;
mod shown;
mod take_in;
mod take_off;
mod tell_shop;
mod track;
mod typed;
mod undo;
mod what;

#[cfg(feature = "desk")]
pub(super) use drawn::{DrawnPapers, draw_papers};

use super::arguments::ledger::{LedgerArguments, LedgerVerb};
use super::exit::Exit;
use super::halt::Halt;

/// Does what a verb says.
pub(super) fn run(arguments: &LedgerArguments) -> Result<Exit, Halt> {
    let options = &arguments.options;
    if repeat::was_done_before(options, &arguments.verb)? {
        return Ok(Exit::Done);
    }
    match &arguments.verb {
        LedgerVerb::TakeIn(arguments) => take_in::run(options, arguments),
        LedgerVerb::List(arguments) => list::run(options, arguments),
        LedgerVerb::LineUp(arguments) => line_up::run(options, arguments),
        LedgerVerb::Note(arguments) => note::run(options, arguments),
        LedgerVerb::Move(arguments) => moving::run(options, arguments),
        LedgerVerb::TakeOff(arguments) => take_off::run_take_off(options, arguments),
        LedgerVerb::SetAside(arguments) => take_off::run_set_aside(options, arguments),
        LedgerVerb::Join(arguments) => combining::run_join(options, arguments),
        LedgerVerb::Part(arguments) => combining::run_part(options, arguments),
        LedgerVerb::Again(arguments) => again::run(options, arguments),
        LedgerVerb::Seen(arguments) => seen::run(options, arguments),
        LedgerVerb::Undo(arguments) => undo::run(options, arguments),
        LedgerVerb::Print(arguments) => print::run(options, arguments),
        LedgerVerb::Match(arguments) => matching::run(options, arguments),
        LedgerVerb::Track(arguments) => track::run(options, arguments),
        LedgerVerb::HandOver(arguments) => hand_over::run(options, arguments),
        LedgerVerb::Close(arguments) => hand_over::close(options, arguments),
        LedgerVerb::TellShop(arguments) => tell_shop::run(options, arguments),
        LedgerVerb::Forget(arguments) => forget::run(options, arguments),
        LedgerVerb::History(arguments) => history::run(options, arguments),
        LedgerVerb::Backup(arguments) => keep::back_up(options, arguments),
        LedgerVerb::Check => keep::check(options),
        LedgerVerb::CopyOut(arguments) => keep::copy_out(options, arguments),
        LedgerVerb::CopyIn(arguments) => keep::copy_in(options, arguments),
        LedgerVerb::Rebuild => keep::rebuild(options),
    }
}
