//! What lists see beside the parcels: numbers that stay empty, what is to be fetched, what waits.
//!
//! In: a batch, and the variables of its parcels. Out: variables. Not here: the parcels themselves
//! (`context`).

use std::collections::HashMap;

use minijinja::Value;

use super::speech::Speech;
use super::values::{describe_item, describe_whole_address, map, text, with_value};
use crate::address::Sender;
use crate::batch::{Absence, AbsenceState, Batch, Parcel, Vacancy, WaitingOrder};
use crate::layout::variables::{VARIABLES, Variable};
use crate::layout::{compare_shelves, fill_plain};
use crate::orders::{Item, Order};

/// The parcels and the empty numbers as they lie on the bench.
pub(super) fn lay_places(batch: &Batch, parcels: &[Value], speech: &Speech) -> Value {
    let mut vacant = batch.vacant.iter().peekable();
    let mut places = Vec::with_capacity(parcels.len() + batch.vacant.len());
    for (index, parcel) in parcels.iter().enumerate() {
        while let Some(vacancy) = vacant.next_if(|vacancy| vacancy.before <= index) {
            places.push(describe_vacancy(vacancy, speech));
        }
        places.push(parcel.clone());
    }
    places.extend(vacant.map(|vacancy| describe_vacancy(vacancy, speech)));
    Value::from(places)
}

/// An empty number as variables: those of a parcel, with nothing in them but who it was and why it
/// does not go.
fn describe_vacancy(vacancy: &Vacancy, speech: &Speech) -> Value {
    let known = |name: &str| match name {
        "position" => Some(Value::from(vacancy.position)),
        "tag" => Some(text(&vacancy.tag)),
        "out" => vacancy.why.as_ref().map(|why| describe_absence(why, speech)),
        _ => None,
    };
    let values = VARIABLES.iter().map(|variable| {
        (variable.name, known(variable.name).unwrap_or_else(|| leave_empty(variable)))
    });
    Value::from_pairs(values)
}

/// Why a parcel does not go, in the page's language, with the seller's own words behind.
fn describe_absence(absence: &Absence, speech: &Speech) -> Value {
    let [taken_off, put_aside, unmatched, because] = &speech.absences;
    let state = match absence.state {
        AbsenceState::TakenOff => taken_off,
        AbsenceState::SetAside => put_aside,
        AbsenceState::Unmatched => unmatched,
    };
    if absence.reason.is_empty() {
        return state.clone();
    }
    let gap = |name: &str| match name {
        "state" => Some(state.clone()),
        _ => Some(text(&absence.reason)),
    };
    Value::from(fill_plain(because, Some(&speech.tag), gap).unwrap_or_default())
}

/// A variable of which nothing is known.
fn leave_empty(variable: &Variable) -> Value {
    match variable.fields {
        _ if variable.list => Value::from(Vec::<Value>::new()),
        [] => text(""),
        fields => Value::from_pairs(fields.iter().map(|it| (it.name, leave_empty(it)))),
    }
}

/// Everything in all parcels, in bench order, each with its parcel's number and tag.
pub(super) fn list_items(batch: &Batch) -> Value {
    let of_parcel = |parcel: &Parcel| -> Vec<Value> {
        let describe = |(order, item): (&Order, Item<'_>)| {
            let item = with_value("tag", text(&parcel.tag.text), &describe_item(&item, order));
            with_value("position", Value::from(parcel.position), &item)
        };
        parcel.items().map(describe).collect()
    };
    batch.parcels.iter().flat_map(of_parcel).collect()
}

/// What is to be fetched from one place on a shelf.
struct Fetch<'a> {
    /// The item, as the first order has it.
    item: Item<'a>,
    /// How many of it, all parcels together.
    count: u64,
    /// How many of it for which parcel: places in the batch.
    shares: Vec<Share>,
}

/// What one parcel needs of an item.
struct Share {
    /// The parcel's place in the batch.
    place: usize,
    /// How many.
    count: u64,
}

/// What is to be fetched, in the order of the shelves; what lies on no shelf comes last.
pub(super) fn list_to_fetch(batch: &Batch) -> Value {
    let mut fetches = list_fetches(batch);
    fetches.sort_by(|one, other| compare_shelves(one.item.shelf, other.item.shelf));
    let mut before: Option<&str> = None;
    let described = fetches.iter().map(|fetch| {
        let shelf = fetch.item.shelf;
        let opens = before.replace(shelf).is_none_or(|it| compare_shelves(it, shelf).is_ne());
        describe_fetch(batch, fetch, opens)
    });
    described.collect()
}

/// What is to be fetched, in the order of the parcels; items of one shelf, number and title are one.
fn list_fetches(batch: &Batch) -> Vec<Fetch<'_>> {
    let mut fetches: Vec<Fetch<'_>> = Vec::new();
    let mut known: HashMap<[&str; 3], usize> = HashMap::new();
    for (place, parcel) in batch.parcels.iter().enumerate() {
        for (_, item) in parcel.items() {
            let at = *known.entry([item.shelf, item.sku, item.title]).or_insert_with(|| {
                fetches.push(Fetch { item: item.clone(), count: 0, shares: Vec::new() });
                fetches.len() - 1
            });
            fetches[at].add(place, item.qty.into());
        }
    }
    fetches
}

impl Fetch<'_> {
    /// Adds so many for a parcel, no earlier than the last.
    fn add(&mut self, place: usize, count: u64) {
        self.count += count;
        match self.shares.last_mut().filter(|share| share.place == place) {
            Some(share) => share.count += count,
            None => self.shares.push(Share { place, count }),
        }
    }
}

/// What is to be fetched as variables; `opens` tells whether it is the first of its shelf.
fn describe_fetch(batch: &Batch, fetch: &Fetch<'_>, opens: bool) -> Value {
    let shares = fetch.shares.iter().map(|share| {
        let parcel = &batch.parcels[share.place];
        map([
            ("position", Value::from(parcel.position)),
            ("tag", text(&parcel.tag.text)),
            ("qty", Value::from(share.count)),
        ])
    });
    map([
        ("shelf", text(fetch.item.shelf)),
        ("opens_shelf", Value::from(opens)),
        ("title", text(fetch.item.label())),
        ("sku", text(fetch.item.sku)),
        ("qty", Value::from(fetch.count)),
        ("parcels", shares.collect()),
    ])
}

/// An order that is in no parcel as variables; `from` is who would send it.
pub(super) fn describe_waiting(waiting: &WaitingOrder, from: &Sender, speech: &Speech) -> Value {
    let order = &waiting.order;
    map([
        ("id", text(order.id())),
        ("placed", text(order.placed())),
        ("ship_to", describe_whole_address(&order.ship_to(), from, speech)),
        ("items", order.items().map(|item| describe_item(&item, order)).collect()),
        ("note", text(order.note())),
        ("since", text(&waiting.since)),
    ])
}
