//! The line: the parcels of one sitting as its entries made them.
//!
//! In: the entries of a sitting, oldest first. Out: a [`BenchLine`], and whether a further event may
//! happen to it. Nothing here is kept: the same entries give the same line. Not here: what an order
//! says, and whether it waits (`store`).

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::sync::Arc;

use super::carried::Carried;
use super::entry::{Event, Facts, LedgerEntry, Matching, Paper};
use super::line_refusal::LineRefusal;
use super::moment::Moment;
use super::parcel_state::ParcelState;
use crate::pairs::{BatchKey, PairCode};

/// The parcels of a sitting.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchLine {
    /// The sitting's number.
    pub sitting: u32,
    /// The name that it was opened with.
    pub name: Box<str>,
    /// Its key, part of every code that is printed in it.
    pub key: BatchKey,
    /// When it began.
    pub opened: Moment,
    /// When it ended; none while it goes on.
    pub closed: Option<Moment>,
    /// The parcels by their numbers; a line before and after an event shares those that stayed.
    parcels: BTreeMap<u32, Arc<LineParcel>>,
    /// The numbers as the parcels lie on the bench.
    lie: Vec<u32>,
    /// The highest number that was ever given.
    last: u32,
    /// Every pair code that was ever given, with its number.
    codes: HashMap<PairCode, u32>,
}

/// What holds of a parcel after all events so far.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineParcel {
    /// Its number in the sitting, from 1; never given again, even when the parcel is taken off.
    pub number: u32,
    /// The ids of its orders.
    pub orders: Vec<Box<str>>,
    /// The tag on its bag, given when it was lined up or changed since.
    pub tag: Box<str>,
    /// Its pair code, which no other parcel of the sitting has.
    pub pair: PairCode,
    /// What was measured or decided at the bench.
    pub facts: Facts,
    /// What was noted of hazards before one of its orders declared something else, until it is noted
    /// anew; none when nothing was.
    pub hazard_before: Option<Box<str>>,
    /// What the scale said before one of its orders held something else, until it is weighed anew; none
    /// when it was not weighed.
    pub weight_before: Option<u32>,
    /// Those of its orders that may go to another address than the parcel: the seller said so.
    pub elsewhere: Vec<Box<str>>,
    /// How far it is this evening.
    pub state: ParcelState,
    /// When it came into that state.
    pub since: Moment,
    /// Why it is out; empty for parcels that are not.
    pub reason: Box<str>,
    /// What was printed for it last; empty when nothing was.
    pub papers: Vec<Paper>,
    /// How often each document was printed and said something else than before, by its name.
    pub printings: BTreeMap<Box<str>, u32>,
    /// How many parcels the line had when its papers were printed; 0 when none were.
    pub count: u32,
    /// When its papers were printed first.
    pub printed: Option<Moment>,
    /// How it was matched; none before it was.
    pub matched: Option<Matching>,
    /// Its tracking number; empty when it has none.
    pub tracking: Box<str>,
    /// How it went; none before it was handed over, and none by older entries.
    pub carried: Option<Box<Carried>>,
}

impl BenchLine {
    /// The line of a sitting that begins.
    #[must_use]
    pub fn open(sitting: u32, name: &str, key: BatchKey, at: Moment) -> BenchLine {
        BenchLine {
            sitting,
            name: name.into(),
            key,
            opened: at,
            closed: None,
            parcels: BTreeMap::new(),
            lie: Vec::new(),
            last: 0,
            codes: HashMap::new(),
        }
    }

    /// The line that the entries of a sitting made, oldest first; acts that were taken back leave
    /// nothing but the numbers and codes they gave.
    ///
    /// # Errors
    /// When an entry contradicts those before it, which no ledger of ours holds; its number and why.
    pub fn replay(entries: &[LedgerEntry]) -> Result<BenchLine, (i64, LineRefusal)> {
        let undone: BTreeSet<i64> = entries
            .iter()
            .filter_map(|entry| match entry.event {
                Event::Undone { undoes } => Some(undoes),
                _ => None,
            })
            .collect();
        let Some((first, rest)) = entries.split_first() else {
            return Err((0, LineRefusal::NotOfALine));
        };
        let (Some(sitting), Event::Opened { name, key }) = (first.sitting, &first.event) else {
            return Err((first.seq, LineRefusal::NotOfALine));
        };
        let key = BatchKey::parse(key).ok_or((first.seq, LineRefusal::Code(key.clone())))?;
        let mut line = BenchLine::open(sitting, name, key, first.at);
        for entry in rest {
            if undone.contains(&entry.act) {
                line.keep_given(&entry.event);
            } else {
                line.apply(&entry.event, entry.at).map_err(|refused| (entry.seq, refused))?;
            }
        }
        Ok(line)
    }

    /// The parcels as they lie on the bench; those that are out keep their place.
    pub fn parcels(&self) -> impl Iterator<Item = &LineParcel> {
        self.lie.iter().filter_map(|number| self.parcel(*number))
    }

    /// The parcels that are neither taken off nor set aside, as they lie on the bench.
    pub fn present(&self) -> impl Iterator<Item = &LineParcel> {
        self.parcels().filter(|parcel| !parcel.state.is_out())
    }

    /// The one that was lined up under a number, whether it goes or not; none when none was.
    #[must_use]
    pub fn parcel(&self, number: u32) -> Option<&LineParcel> {
        self.parcels.get(&number).map(|parcel| &**parcel)
    }

    /// The one whose papers have a pair code; none when the code was never given in this line.
    #[must_use]
    pub fn parcel_of_pair(&self, pair: PairCode) -> Option<&LineParcel> {
        self.parcel(*self.codes.get(&pair)?)
    }

    /// The number that the next parcel gets.
    #[must_use]
    pub fn next_number(&self) -> u32 {
        self.last + 1
    }

    /// The pair code that the next parcel gets: of the sitting's key and the parcel's number.
    #[must_use]
    pub fn next_pair(&self) -> PairCode {
        let is_used = |code: &PairCode| self.codes.contains_key(code);
        PairCode::of_place(self.key, self.next_number(), self.codes.len(), is_used)
    }

    /// Every pair code that was ever given, by number from 1; those of acts that were taken back too.
    #[must_use]
    pub fn given_codes(&self) -> Vec<PairCode> {
        let mut codes: Vec<(u32, PairCode)> =
            self.codes.iter().map(|(code, number)| (*number, *code)).collect();
        codes.sort_unstable();
        codes.into_iter().map(|(_, code)| code).collect()
    }

    /// Whether an event may happen now.
    ///
    /// # Errors
    /// When it may not, with the reason.
    pub fn check(&self, event: &Event) -> Result<(), LineRefusal> {
        // Lines are small, and one rule that is written once cannot say two things.
        self.clone().apply(event, self.opened)
    }

    /// Lets an event happen.
    ///
    /// # Errors
    /// When it may not happen now; the line is as it was.
    pub fn apply(&mut self, event: &Event, at: Moment) -> Result<(), LineRefusal> {
        // A carrier's numbers may come the morning after.
        let may_follow =
            matches!(event, Event::Undone { .. } | Event::Exported { .. } | Event::Tracked { .. });
        if self.closed.is_some() && !may_follow {
            return Err(LineRefusal::Closed);
        }
        match event {
            Event::LinedUp { number, orders, tag, pair } => {
                self.line_up(*number, orders, tag, pair, at)
            }
            Event::Moved { number, before } => self.move_parcel(*number, *before),
            Event::Closed {} => self.close(at),
            // What was undone is left out when entries are replayed.
            Event::Undone { .. } | Event::Exported { .. } => Ok(()),
            Event::Came { .. }
            | Event::Changed { .. }
            | Event::Again { .. }
            | Event::Cancelled { .. }
            | Event::CalledOff { .. }
            | Event::Seen { .. }
            | Event::Opened { .. }
            | Event::Forgot { .. } => Err(LineRefusal::NotOfALine),
            // The lining up may have been taken back, and the order waits again.
            Event::Redeclared { number, .. }
            | Event::Refilled { number, .. }
            | Event::Numbered { number, .. }
                if !self.parcels.contains_key(number) =>
            {
                Ok(())
            }
            _ => {
                let number = event.number().ok_or(LineRefusal::NotOfALine)?;
                let parcel = self.parcels.get_mut(&number).ok_or(LineRefusal::NoParcel(number))?;
                // Its other holders keep it as it was.
                Arc::make_mut(parcel).apply(event, at)
            }
        }
    }

    /// Lines up a parcel at the end.
    fn line_up(
        &mut self,
        number: u32,
        orders: &[Box<str>],
        tag: &str,
        pair: &str,
        at: Moment,
    ) -> Result<(), LineRefusal> {
        if number != self.next_number() {
            return Err(LineRefusal::Number(number));
        }
        let distinct: HashSet<&str> = orders.iter().map(|id| &**id).collect();
        // What went may go again, when the seller says so.
        let held = self.parcels.values().filter(|parcel| parcel.state.is_open());
        let mut held = held.flat_map(|parcel| &parcel.orders);
        if orders.is_empty()
            || distinct.len() < orders.len()
            || held.any(|id| distinct.contains(&**id))
        {
            return Err(LineRefusal::Orders);
        }
        let code = PairCode::parse(pair).ok().filter(|code| !self.codes.contains_key(code));
        let code = code.ok_or_else(|| LineRefusal::Code(pair.into()))?;
        self.last = number;
        self.codes.insert(code, number);
        self.lie.push(number);
        let parcel = LineParcel {
            number,
            orders: orders.to_vec(),
            tag: tag.into(),
            pair: code,
            facts: Facts::default(),
            hazard_before: None,
            weight_before: None,
            elsewhere: Vec::new(),
            state: ParcelState::LinedUp,
            since: at,
            reason: Box::default(),
            papers: Vec::new(),
            printings: BTreeMap::new(),
            count: 0,
            printed: None,
            matched: None,
            tracking: Box::default(),
            carried: None,
        };
        self.parcels.insert(number, Arc::new(parcel));
        Ok(())
    }

    /// Puts a parcel before another, or at the end.
    fn move_parcel(&mut self, number: u32, before: Option<u32>) -> Result<(), LineRefusal> {
        let place_of = |lie: &[u32], number: u32| {
            lie.iter().position(|&it| it == number).ok_or(LineRefusal::NoParcel(number))
        };
        let from = place_of(&self.lie, number)?;
        let mut lie = self.lie.clone();
        lie.remove(from);
        let to = match before {
            Some(before) if before == number => from,
            Some(before) => place_of(&lie, before)?,
            None => lie.len(),
        };
        lie.insert(to, number);
        self.lie = lie;
        Ok(())
    }

    /// Ends the sitting.
    fn close(&mut self, at: Moment) -> Result<(), LineRefusal> {
        let open = self.parcels().filter(|parcel| parcel.state.is_open());
        let open: Vec<u32> = open.map(|parcel| parcel.number).collect();
        if !open.is_empty() {
            return Err(LineRefusal::Open(open));
        }
        self.closed = Some(at);
        Ok(())
    }

    /// Keeps a number and a code from being given again, though what gave them was taken back.
    fn keep_given(&mut self, event: &Event) {
        if let Event::LinedUp { number, pair, .. } = event {
            self.last = self.last.max(*number);
            self.codes.extend(PairCode::parse(pair).ok().map(|code| (code, *number)));
        }
    }
}

impl LineParcel {
    /// Which printing of its document a paper is, or would be, from 1: another than the one before when it
    /// says something else.
    #[must_use]
    pub fn printing_of(&self, paper: &Paper) -> u32 {
        match self.printings.get(&paper.document) {
            None => 1,
            Some(&printing) if self.papers.contains(paper) => printing,
            Some(&printing) => printing.saturating_add(1),
        }
    }

    /// Lets an event happen to the parcel.
    fn apply(&mut self, event: &Event, at: Moment) -> Result<(), LineRefusal> {
        match event {
            Event::Noted { facts, .. } => {
                self.expect("still on the bench", ParcelState::is_open)?;
                self.facts.take(facts);
                if let Some(tag) = &facts.tag {
                    self.tag.clone_from(tag);
                }
                if facts.hazard.is_some() {
                    self.hazard_before = None;
                }
                if facts.weight_g.is_some() {
                    self.weight_before = None;
                }
            }
            Event::Joined { order, elsewhere, .. } => {
                self.expect("still on the bench", ParcelState::is_open)?;
                if self.orders.contains(order) {
                    return Err(LineRefusal::Orders);
                }
                self.orders.push(order.clone());
                if *elsewhere {
                    self.elsewhere.push(order.clone());
                }
                self.forget_contents();
            }
            Event::Parted { order, .. } => {
                self.part(order)?;
                self.forget_contents();
            }
            Event::Redeclared { .. } => {
                // Where the noting was taken back since, there is nothing that no longer holds.
                let noted = self.facts.hazard.take();
                self.hazard_before = noted.or(self.hazard_before.take());
            }
            Event::Refilled { .. } => {
                let weighed = self.facts.weight_g.take();
                self.weight_before = weighed.or(self.weight_before.take());
                self.facts.size_mm = None;
            }
            Event::Printed { papers, count, .. } => {
                self.expect("still on the bench", ParcelState::is_open)?;
                for paper in papers {
                    let printing = self.printing_of(paper);
                    self.printings.insert(paper.document.clone(), printing);
                }
                self.papers.clone_from(papers);
                self.count = *count;
                self.printed.get_or_insert(at);
                // New papers have to be matched anew.
                self.matched = None;
                self.enter(ParcelState::Printed, at);
            }
            Event::Matched { how, .. } => {
                self.expect("printed", |state| state == ParcelState::Printed)?;
                self.matched = Some(*how);
                self.enter(ParcelState::Matched, at);
            }
            Event::Tracked { tracking, .. } | Event::Numbered { tracking, .. } => {
                self.expect("on its way", |state| !state.is_out())?;
                self.tracking.clone_from(tracking);
            }
            Event::HandedOver { carried, .. } => {
                self.expect("matched", |state| state == ParcelState::Matched)?;
                self.carried.clone_from(carried);
                self.enter(ParcelState::HandedOver, at);
            }
            Event::TakenOff { reason, .. } | Event::SetAside { reason, .. } => {
                self.expect("still on the bench", ParcelState::is_open)?;
                self.reason.clone_from(reason);
                let is_off = matches!(event, Event::TakenOff { .. });
                self.enter(if is_off { ParcelState::TakenOff } else { ParcelState::SetAside }, at);
            }
            _ => return Err(LineRefusal::NotOfALine),
        }
        Ok(())
    }

    /// Lets an order go.
    fn part(&mut self, order: &str) -> Result<(), LineRefusal> {
        self.expect("still on the bench", ParcelState::is_open)?;
        let place = self.orders.iter().position(|id| **id == *order);
        let number = self.number;
        let place = place.ok_or_else(|| LineRefusal::NoOrder { number, order: order.into() })?;
        if self.orders.len() == 1 {
            return Err(LineRefusal::LastOrder { number });
        }
        self.orders.remove(place);
        self.elsewhere.retain(|id| **id != *order);
        Ok(())
    }

    /// Lets go of what was measured and declared of other contents. What was decided stays.
    fn forget_contents(&mut self) {
        self.facts.weight_g = None;
        self.facts.size_mm = None;
        self.facts.hazard = None;
        self.hazard_before = None;
        self.weight_before = None;
    }

    /// Refuses a state that does not fit.
    fn expect(
        &self,
        wanted: &'static str,
        fits: impl FnOnce(ParcelState) -> bool,
    ) -> Result<(), LineRefusal> {
        if fits(self.state) {
            return Ok(());
        }
        let (number, tag, state) = (self.number, self.tag.clone(), self.state);
        Err(LineRefusal::State { number, tag, state, wanted })
    }

    /// Brings the parcel into a state.
    fn enter(&mut self, state: ParcelState, at: Moment) {
        self.state = state;
        self.since = at;
    }
}
