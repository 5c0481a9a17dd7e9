//! A sitting's line as a batch: numbers, tags and pair codes are given, and none of them changes.
//!
//! In: a [`LineUp`], and the shop. Out: a [`Batch`] whose parcels stand as they lie on the bench under
//! the numbers they were given; numbers whose parcels do not go are kept beside them. What was measured
//! at the bench goes before what orders say and before what is computed. Not here: what happened in
//! the line, and when (`ledger`).

use std::collections::HashMap;

use super::names::SharedNames;
use super::{
    Batch, BatchKey, PairCode, Parcel, Tag, fill_parcel, hazards, numbers, report_parcel, stamping,
    start_parcel, tally, weighing,
};
use crate::fields::NO_HAZARD;
use crate::findings::{Finding, rules};
use crate::geom::Mm;
use crate::orders::{Order, OrderParts};
use crate::parcel::ParcelFigures;
use crate::shop::Shop;
use crate::words::join_and;

/// A line that a batch is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct LineUp {
    /// The sitting's name.
    pub name: Box<str>,
    /// Its key, part of every code that is printed in it.
    pub key: BatchKey,
    /// Every pair code that it ever gave, by number from 1; those of parcels that are gone too.
    pub codes: Vec<PairCode>,
    /// The parcels as they lie on the bench.
    pub places: Vec<LinePlace>,
    /// Orders that are in no parcel.
    pub waiting: Vec<WaitingOrder>,
}

/// One parcel of a line.
#[derive(Clone, Debug, PartialEq)]
pub struct LinePlace {
    /// Where it lies on the bench, from 1; never given to another parcel.
    pub number: usize,
    /// Its orders; one that does not go may have none.
    pub orders: Vec<Order>,
    /// What it was lined up under, whatever its orders say since.
    pub tag: Box<str>,
    /// What its label and card share; it stays with the number.
    pub pair: PairCode,
    /// How many parcels its papers say that there are; none when it has no papers, and then it is the
    /// highest number of the line.
    pub count: Option<usize>,
    /// What was measured or decided of it at the bench.
    pub measured: Measured,
    /// Its tracking number; empty when it is its orders'.
    pub tracking: Box<str>,
    /// Why it does not go; none when it goes.
    pub out: Option<Absence>,
}

/// Why a parcel of a line does not go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Absence {
    /// What was done with it, or not yet.
    pub state: AbsenceState,
    /// The seller's reason, in the seller's words, or empty.
    pub reason: Box<str>,
}

/// What was done with a parcel that does not go, or not yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AbsenceState {
    /// It was taken off, and its orders go no more.
    TakenOff,
    /// It was set aside, and its orders wait.
    SetAside,
    /// Its label and its bench card were not matched yet.
    Unmatched,
}

/// What was measured or decided of a parcel at the bench; what is none is as its orders say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Measured {
    /// The weight on the scale, in grams.
    pub weight_g: Option<u32>,
    /// Length, width and height.
    pub size: Option<[Mm; 3]>,
    /// The packaging's name.
    pub pack: Option<Box<str>>,
    /// The service that carries it.
    pub service: Option<Box<str>>,
    /// The service's extras.
    pub extras: Option<Vec<Box<str>>>,
    /// What was declared of hazards: `none`, or what it is.
    pub hazard: Option<Box<str>>,
}

/// A number of a line whose parcel does not go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Vacancy {
    /// The number.
    pub position: usize,
    /// The tag, which may be on a bag.
    pub tag: Box<str>,
    /// Why; none when nothing but its orders is missing.
    pub why: Option<Absence>,
    /// How many parcels that go lie before it.
    pub before: usize,
}

/// An order that is in no parcel.
#[derive(Clone, Debug, PartialEq)]
pub struct WaitingOrder {
    /// What it holds, as it came in last.
    pub order: Order,
    /// The day since which it waits, such as `2026-11-25`, or empty.
    pub since: Box<str>,
}

impl Measured {
    /// Whether nothing was measured or decided.
    fn is_empty(&self) -> bool {
        *self == Measured::default()
    }

    /// Puts it in the place of what an order says.
    fn put<'a>(&'a self, order: &mut OrderParts<'a>) {
        order.weight_g = self.weight_g.or(order.weight_g);
        order.size = self.size.or(order.size);
        let given = [
            (&self.pack, &mut order.pack),
            (&self.service, &mut order.service),
            (&self.hazard, &mut order.hazard),
        ];
        for (measured, said) in given {
            if let Some(measured) = measured {
                *said = measured;
            }
        }
        if let Some(extras) = &self.extras {
            order.extras = extras.iter().map(|extra| &**extra).collect();
        }
    }
}

impl Batch {
    /// Makes the batch of a line; what there is to say of the parcels that go is added to `out`.
    ///
    /// Packs of which the shop has so many are given out by number, and a parcel that does not go keeps
    /// its own: it may be packed, and no other parcel changes because it is gone.
    #[must_use]
    pub fn of_line(line: LineUp, shop: Option<&Shop>, out: &mut Vec<Finding>) -> Batch {
        let LineUp { name, key, codes, places, waiting } = line;
        let (tallies, _) = tally::assign_tallies(&codes);
        let tally_of: HashMap<PairCode, tally::Tally> =
            codes.iter().copied().zip(tallies).collect();
        let last = places.iter().map(|place| place.number).max().unwrap_or_default();
        let last = last.max(codes.len());
        let (mut lying, mut names) = (Vec::with_capacity(places.len()), SharedNames::default());
        for place in places {
            let count = place.count.unwrap_or(last);
            let tag = Tag { text: place.tag.clone(), made: false };
            // Every code of a parcel is among those that were given.
            let Some(&tally) = tally_of.get(&place.pair) else { continue };
            let parcel = start_parcel(place.number, count, tag, place.pair, tally);
            lying.push(Lying::new(parcel, place, shop, &mut names));
        }
        let weighed = weigh_lying(&mut lying, shop);
        let told = lying.iter().filter(|it| it.out.is_none());
        for it in told.clone() {
            out.extend(report_parcel(&it.parcel));
            out.extend(it.report_changes());
            out.extend(it.report_denial());
        }
        out.extend(weighed);
        let mut batch = Batch { name, key, parcels: Vec::new(), vacant: Vec::new(), waiting };
        lying.into_iter().for_each(|it| it.lay(&mut batch));
        out.extend(numbers::report_numbers(&batch.parcels, |parcel| {
            format!("give it its own: `slipwright ledger track {} NUMBER`", parcel.position)
        }));
        out.extend(hazards::report_undeclared(&batch.parcels, shop));
        batch
    }
}

/// A parcel on its way into a batch.
struct Lying {
    /// What is made of the orders, with what was measured put in.
    parcel: Parcel,
    /// The parcel as it would be without what was measured; none when nothing was.
    computed: Option<Box<Parcel>>,
    /// What was noted of it at the bench, which goes before its orders.
    measured: Measured,
    /// Why it does not go.
    out: Option<Absence>,
}

impl Lying {
    /// Puts orders and what was measured into a parcel.
    fn new(empty: Parcel, place: LinePlace, shop: Option<&Shop>, names: &mut SharedNames) -> Lying {
        let LinePlace { mut orders, measured, tracking, out, .. } = place;
        let mut fill = |orders: Vec<Order>| {
            let mut parcel = Parcel { orders: orders.into(), ..empty.clone() };
            fill_parcel(&mut parcel, shop, names);
            parcel
        };
        let computed = (!measured.is_empty()).then(|| Box::new(fill(orders.clone())));
        if !measured.is_empty() {
            orders.iter_mut().for_each(|order| *order = order.changed(|it| measured.put(it)));
        }
        let mut parcel = fill(orders);
        if !tracking.is_empty() {
            parcel.tracking = tracking;
        }
        Lying { parcel, computed, measured, out }
    }

    /// Tells what became another pack, service or price than it would be without what was measured.
    fn report_changes(&self) -> Option<Finding> {
        let Lying { parcel, computed: Some(computed), measured, .. } = self else { return None };
        let (mut names, mut lines) = (Vec::new(), Vec::new());
        let mut compare = |what: &'static str, was: &str, is: &str, is_decided: bool| {
            // What the seller named herself is no news to her.
            if was != is && !was.is_empty() && !is_decided {
                let is = if is.is_empty() { "none".to_owned() } else { format!("`{is}`") };
                lines.push(format!("{what}: was `{was}`, is {is}"));
                names.push(what);
            }
        };
        let price = |parcel: &Parcel| {
            parcel.figures.as_deref().and_then(ParcelFigures::show_price).unwrap_or_default()
        };
        compare("pack", &computed.pack, &parcel.pack, measured.pack.is_some());
        compare("service", &computed.service, &parcel.service, measured.service.is_some());
        compare("price", &price(computed), &price(parcel), false);
        if lines.is_empty() {
            return None;
        }
        let message = format!("what was measured asks for another {}", join_and(&names));
        let finding = Finding::new(&rules::MEASURED_CHANGES, message)
            .at(parcel.orders.first().map(|order| order.span()))
            .subject(parcel.subject())
            .details(lines)
            .hint("look that the bag and the postage are those that are printed now");
        Some(finding)
    }

    /// Tells that an order declares what is denied at the bench. What the seller says there stands, and
    /// nobody may find out by the papers alone that the order said otherwise.
    fn report_denial(&self) -> Option<Finding> {
        let Lying { parcel, computed: Some(computed), .. } = self else { return None };
        let declared = computed.declared();
        if declared.is_empty() || *parcel.hazard != *NO_HAZARD {
            return None;
        }
        let ids = parcel.order_ids();
        let message = format!("order `{ids}` declares `{declared}`, and `{NO_HAZARD}` is noted");
        let finding = Finding::new(&rules::DENIED_HAZARD, message)
            .at(parcel.orders.first().map(|order| order.span()))
            .subject(parcel.subject())
            .hint("look whether it is inside; if it is, note what the order says");
        Some(finding)
    }

    /// Puts it into a batch: as a parcel, or as a number that stays empty.
    fn lay(self, batch: &mut Batch) {
        let Lying { parcel, out, .. } = self;
        // Without its orders nothing of it can be printed.
        if out.is_none() && !parcel.orders.is_empty() {
            return batch.parcels.push(parcel);
        }
        let before = batch.parcels.len();
        let (position, tag) = (parcel.position, parcel.tag.text);
        batch.vacant.push(Vacancy { position, tag, why: out, before });
    }
}

/// Weighs the parcels of a line by their numbers, and once more without what was measured of them.
fn weigh_lying(lying: &mut [Lying], shop: Option<&Shop>) -> Vec<Finding> {
    let mut by_number: Vec<&mut Lying> =
        lying.iter_mut().filter(|it| !it.parcel.orders.is_empty()).collect();
    by_number.sort_by_key(|it| it.parcel.position);
    let out: Vec<usize> =
        by_number.iter().filter(|it| it.out.is_some()).map(|it| it.parcel.position).collect();
    let mut plain: Vec<Parcel> =
        by_number.iter().map(|it| it.computed.as_deref().unwrap_or(&it.parcel).clone()).collect();
    if by_number.iter().any(|it| it.computed.is_some()) {
        let _ =
            weighing::weigh_parcels(&mut plain, shop, weighing::WeighReasons::Forgotten, |_| false);
    }
    for (it, plain) in by_number.iter_mut().zip(plain) {
        it.computed = it.computed.take().map(|_| Box::new(plain));
    }
    let is_told = |parcel: &Parcel| !out.contains(&parcel.position);
    let parcels = by_number.iter_mut().map(|it| &mut it.parcel);
    let mut found =
        weighing::weigh_parcels(parcels, shop, weighing::WeighReasons::Forgotten, is_told);
    let parcels = by_number.iter_mut().map(|it| &mut it.parcel);
    found.extend(stamping::stamp_parcels(parcels, shop));
    found
}
