//! A sitting's line with all that its parcels are made of: what the ledger remembers of their orders,
//! and the shop file.
//!
//! In: a ledger, one of its lines, and where the shop file is. Out: the line as a batch, and tags for the
//! parcel that is lined up next. Not here: what happens in a line (`ledger`), and its papers
//! (`kit::line`).

mod agreed;
mod printed;
mod went;

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::halt::Halt;
use super::inputs::{Inputs, ShopPlace, folder_of, read_shop};
use super::prepare::PreparedBatch;
pub(super) use agreed::{TornParcel, discords_in};
pub(super) use printed::is_as_printed;
use printed::{PrintedParcelState, read_printed};
use went::put_carried;

use crate::batch::{
    Absence, AbsenceState, Batch, LinePlace, LineUp, LinedTag, Measured, TagDoubt, WaitingOrder,
    judge_tag, propose_tag,
};
use crate::fields::tracking_key;
use crate::findings::has_errors;
use crate::geom::Mm;
use crate::job::assemble_line;
use crate::ledger::{BenchLine, Facts, Ledger, LedgerError, LineParcel, OrderPlace, ParcelState};
use crate::orders::{Order, read_orders};
use crate::source::Sources;

/// What messages call the orders that a ledger remembers.
pub(super) const LINE_NAME: &str = "orders of the line";
/// What messages call the orders that a ledger remembers and that are in no line.
pub(super) const WAITING_NAME: &str = "waiting orders";

/// A line with all that its parcels are made of.
pub(super) struct LineInputs {
    /// What holds of each parcel, from the ledger.
    pub(super) line: BenchLine,
    /// The shop file, all texts, and what was found in them; the orders are those of the line.
    pub(super) inputs: Inputs,
    /// The orders that wait.
    waiting: Vec<WaitingOrder>,
    /// Parcels that are not what they were when they were printed, by number.
    printed: BTreeMap<u32, PrintedParcelState>,
}

/// Which parcels of a line are parcels of its batch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LineView {
    /// All that lie on the bench or went.
    Bench,
    /// Those that are matched or went; all others are not on their way to the counter.
    Counter,
}

impl LineInputs {
    /// Reads what the ledger remembers of a line's orders and of those that wait, and the shop file.
    ///
    /// # Errors
    /// When the ledger or the shop file cannot be read.
    pub(super) fn read(
        ledger: &Ledger,
        line: BenchLine,
        shop: ShopPlace<'_>,
    ) -> Result<LineInputs, Halt> {
        let mut sources = Sources::new();
        let ids: BTreeSet<&str> =
            line.parcels().flat_map(|parcel| &parcel.orders).map(|id| &**id).collect();
        let text = gather_texts(ledger, &line.name, ids)?;
        let orders_file = sources.add(LINE_NAME, text);
        let orders = read_orders(sources.get(orders_file).shared_text(), orders_file);
        let mut findings = orders.findings.clone();
        let waiting = read_waiting(ledger, &mut sources)?;
        let printed = read_printed(ledger, &line, &mut sources);
        let printed = printed.map_err(|error| refuse(&error))?;
        let read = read_shop(shop, &mut sources, &mut findings)?;
        let (shop_file, shop_read) = read.map(|read| (read.file, read.shop)).unzip();
        let inputs = Inputs {
            sources,
            orders_file,
            orders,
            folder: Default::default(),
            shop_file,
            shop: shop_read,
            shop_folder: folder_of(shop.named.unwrap_or(shop.beside)),
            findings,
        };
        Ok(LineInputs { line, inputs, waiting, printed })
    }

    /// Refuses to print a line of which an order cannot be read: its parcel would lie on the bench
    /// without a label, or with half of what is in it.
    ///
    /// # Errors
    /// When there is one.
    pub(super) fn refuse_unread(&self) -> Result<(), Halt> {
        let known = self.orders_by_id();
        let mut open = self.line.parcels().filter(|parcel| parcel.state.is_open());
        let lacks =
            |parcel: &&LineParcel| parcel.orders.iter().any(|id| !known.contains_key(&**id));
        let Some(parcel) = open.find(lacks) else { return Ok(()) };
        let mut ids = parcel.orders.iter().map(|id| &**id);
        let id = ids.find(|id| !known.contains_key(id)).unwrap_or_default();
        if has_errors(&self.inputs.findings) {
            let findings = self.inputs.findings.clone();
            return Err(Halt::unusable(findings, &self.inputs.sources));
        }
        let (number, tag) = (parcel.number, &parcel.tag);
        let message = format!("what order `{id}` of parcel {number} `{tag}` says was forgotten");
        Err(Halt::usage(message).hint("take the parcel off, or take the order in once more"))
    }

    /// What the line's parcels print, as far as a view takes them in.
    pub(super) fn batch(&self, view: LineView) -> PreparedBatch {
        let (line, shop) = (self.line_up(view), self.inputs.shop.as_ref());
        let (mut batch, findings) = assemble_line(line, shop, &self.inputs.sources);
        for parcel in &mut batch.parcels {
            let number = u32::try_from(parcel.position).ok();
            let of_line = number.and_then(|number| self.line.parcel(number));
            if let Some(carried) = of_line.and_then(|parcel| parcel.carried.as_deref()) {
                put_carried(parcel, carried);
            }
        }
        PreparedBatch { batch, findings }
    }

    /// The parcels that are still to go and whose orders no longer agree, as they lie.
    pub(super) fn find_torn(&self) -> Vec<TornParcel> {
        let all = self.orders_by_id();
        agreed::find_torn(&self.line, |parcel| find_orders(&all, parcel), self.inputs.shop.as_ref())
    }

    /// Whether a parcel that is printed and still to go is another than it was then.
    pub(super) fn has_changed(&self) -> bool {
        !self.printed.is_empty()
    }

    /// The line as a batch in which every parcel that is printed and still to go is what it was when it
    /// was printed; with the shop file of now.
    pub(super) fn batch_as_printed(&self) -> Batch {
        let mut line = self.line_up(LineView::Bench);
        for place in &mut line.places {
            let number = u32::try_from(place.number).unwrap_or(u32::MAX);
            if let Some(PrintedParcelState { parcel, orders }) = self.printed.get(&number) {
                place.orders.clone_from(orders);
                place.tag = parcel.tag.clone();
                place.measured = measure(&parcel.facts);
                place.tracking = write_tracking(&parcel.tracking, orders);
            }
        }
        assemble_line(line, self.inputs.shop.as_ref(), &self.inputs.sources).0
    }

    /// A tag for the parcel that these orders would be.
    pub(super) fn propose_tag(&self, orders: &[Box<str>]) -> Box<str> {
        let all = self.orders_by_id();
        let next: Vec<Order> =
            orders.iter().filter_map(|id| all.get(&**id).copied()).cloned().collect();
        let shop_name = self.inputs.shop.as_ref().map(|shop| &*shop.name).unwrap_or_default();
        let of_parcels = self.orders_of_parcels();
        propose_tag(&self.lined_tags(&of_parcels), &next, shop_name)
    }

    /// What speaks against a tag for the parcel that is lined up next, or for one that is renamed;
    /// `but` is a number that does not count.
    pub(super) fn judge_tag(&self, tag: &str, but: Option<u32>) -> Option<TagDoubt> {
        let mut lined = self.lined_tags(&[]);
        lined.retain(|lined| but.is_none_or(|but| lined.number != to_position(but)));
        judge_tag(&lined, tag)
    }

    /// The tags that the line has given, by number, each with the orders of its parcel.
    fn lined_tags<'a>(&'a self, orders: &'a [Vec<Order>]) -> Vec<LinedTag<'a>> {
        let mut lined: Vec<LinedTag<'a>> = self
            .line
            .parcels()
            .enumerate()
            .map(|(index, parcel)| LinedTag {
                number: to_position(parcel.number),
                tag: &parcel.tag,
                orders: orders.get(index).map_or(&[], |orders| orders),
            })
            .collect();
        lined.sort_by_key(|lined| lined.number);
        lined
    }

    /// The orders of each parcel, as the parcels lie.
    fn orders_of_parcels(&self) -> Vec<Vec<Order>> {
        let all = self.orders_by_id();
        self.line.parcels().map(|parcel| find_orders(&all, parcel)).collect()
    }

    /// The orders of the line by their ids, and those that wait: they may be lined up next.
    fn orders_by_id(&self) -> HashMap<&str, &Order> {
        let waiting = self.waiting.iter().map(|waiting| &waiting.order);
        let all = waiting.chain(&self.inputs.orders.orders);
        all.map(|order| (order.id(), order)).collect()
    }

    /// The line as the engine wants it.
    fn line_up(&self, view: LineView) -> LineUp {
        let all = self.orders_by_id();
        let places = self.line.parcels().map(|parcel| {
            let orders = find_orders(&all, parcel);
            LinePlace {
                number: to_position(parcel.number),
                tag: parcel.tag.clone(),
                pair: parcel.pair,
                count: (parcel.count > 0).then(|| to_position(parcel.count)),
                measured: measure(&parcel.facts),
                tracking: write_tracking(&parcel.tracking, &orders),
                out: explain_absence(parcel, view),
                orders,
            }
        });
        LineUp {
            name: self.line.name.clone(),
            key: self.line.key,
            codes: self.line.given_codes(),
            places: places.collect(),
            waiting: self.waiting.clone(),
        }
    }
}

/// A parcel's tracking number as its papers have it: where an order of it says the same number in another form,
/// such as an SSCC with its identifier, that stays, and no paper is out of date for it.
fn write_tracking(tracking: &str, orders: &[Order]) -> Box<str> {
    let key = tracking_key(tracking);
    let same = orders.iter().find(|order| tracking_key(order.tracking()) == key);
    same.filter(|_| !tracking.is_empty()).map_or(tracking, |order| order.tracking()).into()
}

/// A number of a line as the engine counts.
pub(super) fn to_position(number: u32) -> usize {
    usize::try_from(number).unwrap_or(usize::MAX)
}

/// The orders of a parcel, as far as they can be read.
fn find_orders(all: &HashMap<&str, &Order>, parcel: &LineParcel) -> Vec<Order> {
    let known = parcel.orders.iter().filter_map(|id| all.get(&**id).copied());
    known.cloned().collect()
}

/// Why a parcel does not go; none when it does.
fn explain_absence(parcel: &LineParcel, view: LineView) -> Option<Absence> {
    let because = |state| Some(Absence { state, reason: parcel.reason.clone() });
    match parcel.state {
        ParcelState::TakenOff => because(AbsenceState::TakenOff),
        ParcelState::SetAside => because(AbsenceState::SetAside),
        ParcelState::LinedUp | ParcelState::Printed if view == LineView::Counter => {
            Some(Absence { state: AbsenceState::Unmatched, reason: Box::default() })
        }
        _ => None,
    }
}

/// What was noted of a parcel as the engine measures.
fn measure(facts: &Facts) -> Measured {
    let Facts { weight_g, size_mm, pack, service, extras, hazard, tag: _ } = facts;
    Measured {
        weight_g: *weight_g,
        size: size_mm.map(|sides| sides.map(|side| Mm(side.into()))),
        pack: pack.clone(),
        service: service.clone(),
        extras: extras.clone(),
        hazard: hazard.clone(),
    }
}

/// The orders file that the texts of some orders make, an order after the other; those that were
/// forgotten are left out.
fn gather_texts<'a>(
    ledger: &Ledger,
    name: &str,
    ids: impl IntoIterator<Item = &'a str>,
) -> Result<String, Halt> {
    let mut texts = Vec::new();
    for id in ids {
        texts.extend(ledger.order_json(id).map_err(|error| refuse(&error))?);
    }
    let name = serde_json::Value::from(name);
    Ok(format!("{{\"batch\": {name}, \"orders\": [\n{}\n]}}\n", texts.join(",\n")))
}

/// Reads the orders that wait; what is wrong with one of them is told when it is lined up.
fn read_waiting(ledger: &Ledger, sources: &mut Sources) -> Result<Vec<WaitingOrder>, Halt> {
    let word = OrderPlace::Waiting.word();
    let known = ledger.orders_in(word).map_err(|error| refuse(&error))?;
    if known.is_empty() {
        return Ok(Vec::new());
    }
    let since: HashMap<&str, String> =
        known.iter().map(|order| (&*order.id, order.since.date())).collect();
    let text = gather_texts(ledger, "", known.iter().map(|order| &*order.id))?;
    let file = sources.add(WAITING_NAME, text);
    let orders = read_orders(sources.get(file).shared_text(), file).orders;
    let waiting = orders.into_iter().map(|order| {
        let since = since.get(order.id()).map(|day| &**day).unwrap_or_default();
        WaitingOrder { since: since.into(), order }
    });
    Ok(waiting.collect())
}

/// What stops a command that cannot ask its ledger.
fn refuse(error: &LedgerError) -> Halt {
    Halt::usage(error.to_string()).hint_if(error.hint().map(str::to_owned))
}
