//! `slipwright ledger again`: an order goes once more, or goes though it was held back or taken off.

use super::super::arguments::ledger::{AgainArguments, LedgerOptions};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::answer::LedgerAnswer;
use super::open::OpenLedger;
use super::take_off::read_reason;
use super::what::find_one_order;
use crate::ledger::OrderPlace;

/// Lets an order wait again.
pub(super) fn run(options: &LedgerOptions, arguments: &AgainArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let reason = read_reason(&arguments.why.because)?;
    let order = find_one_order(&open, &arguments.order, |place| {
        !matches!(place, OrderPlace::Waiting | OrderPlace::InLine(..))
    })?;
    let done = open.act("again", &arguments.act, |act| Ok(act.again(&order.id, reason)?))?;
    let mut answer = LedgerAnswer::of_act("again", options, &arguments.act);
    if answer.take(done).is_some() {
        let (id, place) = (&order.id, &order.place);
        answer.line(&format!("{id} waits again: {reason} (it was {place})"));
        if matches!(place, OrderPlace::HandedOver(..) | OrderPlace::TakenOff(_)) {
            answer
                .line("it says what it said then; take the export in once more if it has changed");
        }
        answer.put("order", &**id);
        answer.put("was", place.word());
    }
    answer.show()?;
    Ok(Exit::Done)
}
