//! `slipwright ledger join` and `part`: orders that share a parcel.
//!
//! Whoever joins or parts changes what the parcel holds, so what the scale said of it and what was
//! declared of it hold no longer; both are told, and both can be said anew at once.

use super::super::arguments::ledger::{JoinArguments, LedgerOptions, PartArguments};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::line::discords_in;
use super::answer::LedgerAnswer;
use super::changed::{how_to_weigh, put_parcels, tell_papers, tell_weights};
use super::facts::read_facts;
use super::open::OpenLedger;
use super::proposing::read_texts;
use super::shop_file::read_shop_file;
use super::shown::parcel_words;
use super::what::find_waiting;
use crate::batch::{Discord, DiscordKind};
use crate::ledger::{BenchLine, Event, Facts, LineParcel, LineRefusal, OrderNow};
use crate::shop::Shop;
use crate::source::Sources;

/// Lets waiting orders join a parcel.
pub(super) fn run_join(options: &LedgerOptions, arguments: &JoinArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let shop = read_shop_file(options, &arguments.shop)?;
    let facts = read_facts(&arguments.facts, shop.as_ref())?;
    let orders = find_waiting(&open, &arguments.orders)?;
    let number = arguments.number;
    let line = open.expect_line()?;
    let parcel = line.parcel(number).ok_or(LineRefusal::NoParcel(number))?;
    let joining = Joining { parcel, facts: &facts, elsewhere: arguments.elsewhere };
    joining.refuse_strangers(&open, &orders, shop.as_ref())?;
    let done = open.act("join", &arguments.act, |act| {
        let sitting = act.expect_sitting()?;
        for order in &orders {
            match arguments.elsewhere {
                true => act.join_elsewhere(sitting, number, &order.id)?,
                false => act.join(sitting, number, &order.id)?,
            };
        }
        if facts != Facts::default() {
            act.happen(sitting, Event::Noted { number, facts: facts.clone() })?;
        }
        Ok(act.line(sitting)?)
    })?;
    let mut answer = LedgerAnswer::of_act("join", options, &arguments.act);
    if let Some(after) = answer.take(done) {
        let joined: Vec<&str> = orders.iter().map(|order| &*order.id).collect();
        let parcel = after.parcel(number).ok_or(LineRefusal::NoParcel(number))?;
        answer.line(&format!("{} has {} now", parcel_words(parcel), parcel.orders.join(" + ")));
        answer.put("joined", joined);
        tell_of_contents(&open, &line, &after, number, &mut answer)?;
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// Parts an order from its parcel.
pub(super) fn run_part(options: &LedgerOptions, arguments: &PartArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let (number, order) = (arguments.number, arguments.order.trim());
    let before = open.expect_line()?;
    let done = open.act("part", &arguments.act, |act| {
        let sitting = act.expect_sitting()?;
        Ok(act.happen(sitting, Event::Parted { number, order: order.into() })?)
    })?;
    let mut answer = LedgerAnswer::of_act("part", options, &arguments.act);
    if let Some(after) = answer.take(done) {
        let parcel = after.parcel(number).ok_or(LineRefusal::NoParcel(number))?;
        let left = parcel.orders.join(" + ");
        answer.line(&format!("{order} waits again; {} has {left}", parcel_words(parcel)));
        answer.put("parted", order);
        tell_of_contents(&open, &before, &after, number, &mut answer)?;
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// A parcel that orders are to join.
struct Joining<'a> {
    /// The parcel as it is.
    parcel: &'a LineParcel,
    /// What is noted of it as they join.
    facts: &'a Facts,
    /// Whether they may be for another address.
    elsewhere: bool,
}

impl Joining<'_> {
    /// Refuses orders that cannot share the parcel by the rules of combining.
    fn refuse_strangers(
        &self,
        open: &OpenLedger,
        orders: &[OrderNow],
        shop: Option<&Shop>,
    ) -> Result<(), Halt> {
        let Some(first) = self.parcel.orders.first() else { return Ok(()) };
        for order in orders {
            let text = |id: &str| -> Result<String, Halt> {
                Ok(open.ledger.order_json(id)?.unwrap_or_default())
            };
            let texts = [text(first)?, text(&order.id)?];
            let read = read_texts(&texts, &mut Sources::new())?;
            let [first, joins] = &read[..] else { continue };
            let discords = discords_in(&self.then(&order.id), first, joins, shop);
            if !discords.is_empty() {
                return Err(self.refuse(&order.id, &discords));
            }
        }
        Ok(())
    }

    /// The parcel as it is once an order has joined: what was declared of it holds no longer.
    fn then(&self, id: &str) -> LineParcel {
        let mut then = self.parcel.clone();
        then.facts.hazard.clone_from(&self.facts.hazard);
        if self.facts.service.is_some() {
            then.facts.service.clone_from(&self.facts.service);
        }
        if self.elsewhere {
            then.elsewhere.push(id.into());
        }
        then
    }

    /// Why an order cannot join, and what helps.
    fn refuse(&self, id: &str, discords: &[Discord]) -> Halt {
        let parcel = parcel_words(self.parcel);
        let says = discords.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ");
        let mut halt =
            Halt::refused(format!("the order `{id}` cannot share parcel {parcel}: {says}"));
        let has = |kind: DiscordKind| discords.iter().any(|it| it.kind == kind);
        if discords.iter().all(|discord| discord.kind.is_of_place()) {
            return halt.hint("if it is right all the same: `--elsewhere`");
        }
        if has(DiscordKind::Service) {
            halt = halt.hint("say what carries all of it: `--service NAME`");
        }
        if has(DiscordKind::Hazard) {
            halt = halt.hint("say what holds of all of it: `--hazard WORDS`");
        }
        if [DiscordKind::Gift, DiscordKind::Currency, DiscordKind::Tracking].into_iter().any(has) {
            halt = halt.hint("line it up as a parcel of its own: `slipwright ledger line-up`");
        }
        halt
    }
}

/// Tells what no longer holds of a parcel whose contents changed, and which weights its orders give.
fn tell_of_contents(
    open: &OpenLedger,
    before: &BenchLine,
    after: &BenchLine,
    number: u32,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    let (Some(old), Some(new)) = (before.parcel(number), after.parcel(number)) else {
        return Ok(());
    };
    let weigh = how_to_weigh(number);
    match (old.facts.weight_g, new.facts.weight_g) {
        (Some(was), None) => {
            answer.line(&format!("the {was} g were of other contents; weigh it again: {weigh}"));
        }
        (_, Some(_)) => {}
        (None, None) => tell_weights(open, new, answer)?,
    }
    if let (Some(was), None) = (&old.facts.hazard, &new.facts.hazard) {
        let note = format!("`slipwright ledger note {number} --hazard WORDS`");
        answer.line(&format!("`{was}` was declared of other contents; declare it again: {note}"));
    }
    tell_papers(answer, new);
    put_parcels(answer, after, &[number]);
    Ok(())
}
