//! The batch: orders become parcels, numbered as they lie on the bench, each with a tag, a pair
//! code and a tally that no other parcel has.
//!
//! In: the good orders of a file, in bench order, and the shop. Out: a [`Batch`] and remarks for
//! the seller. Nothing of an order is lost: parcels hold their orders whole, so that a combined
//! parcel can be taken apart again. Not here: the arithmetic of weights, packaging and rates
//! (`parcel`), and how a tally or a code is drawn.

mod amounts;
mod combine;
mod discord;
mod goods;
mod hazards;
mod likeness;
mod line;
mod measures;
mod names;
mod numbers;
mod parcel_orders;
mod propose;
mod remarks;
pub(crate) mod skeleton;
mod stamping;
mod tag_report;
mod tag_slot;
mod tags;
mod tally;
mod weighing;
mod words;

use std::sync::Arc;

use names::SharedNames;

use crate::fields::{Address, CurrencyCode, NO_HAZARD};
use crate::findings::{Finding, Subject};
use crate::geom::Mm;
use crate::orders::{CarrierLabel, Item, Order};
use crate::pairs::{BatchKey, PairCode, PairScan, assign_codes};
use crate::parcel::{ParcelFigures, StampChoice, Weighing};
use crate::shop::Shop;
use crate::sides::PairSide;
use crate::source::SharedText;

pub use combine::{Mates, check_split, find_mates};
pub use discord::{Discord, DiscordKind, find_discords};
pub use line::{Absence, AbsenceState, LinePlace, LineUp, Measured, Vacancy, WaitingOrder};
pub use parcel_orders::ParcelOrders;
pub use propose::{LinedTag, TagDoubt, judge_tag, propose_tag};
pub use remarks::{inspect_addresses, inspect_currencies};
pub use tally::{TALLY_CELLS, Tally};

/// How a batch is put together.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BatchOptions {
    /// Whether orders of one recipient share a parcel; default no, and then it is only remarked
    /// which could.
    pub combine: bool,
    /// The ids of orders that stay in a parcel of their own though they could be combined; those
    /// that no order has are ignored here ([`check_split`] tells them).
    pub split: Vec<Box<str>>,
    /// Whether a given tag that is equal to an earlier one, or confusable with it, is replaced by
    /// one that is made; default no, and then the finding proposes that one.
    pub fix_tags: bool,
    /// Whether every parcel is weighed, even by a shop without rules, and keeps its weighing with
    /// what was tried and refused; default no.
    pub reasons: bool,
}

/// The parcels of one sitting, in bench order.
#[derive(Clone, Debug, PartialEq)]
pub struct Batch {
    /// Its name; empty when the file gives none.
    pub name: Box<str>,
    /// Four characters that tell it from other batches; the same for the same name and parcels.
    pub key: BatchKey,
    /// The parcels as they lie on the bench. Those of a file are numbered from 1 without a gap; in a
    /// line ([`Batch::of_line`]) numbers are missing, and a parcel may lie before one of a lower number.
    pub parcels: Vec<Parcel>,
    /// The numbers of a line whose parcels do not go; they stay empty.
    pub vacant: Vec<Vacancy>,
    /// Orders that are in no parcel.
    pub waiting: Vec<WaitingOrder>,
}

/// A parcel's short name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tag {
    /// What is printed of it, as the seller wrote it or as it was made.
    pub text: Box<str>,
    /// Whether it was made here and not given by the seller.
    pub made: bool,
}

/// Which printing of a parcel's label and of its bench card is the last, each from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SidePrintings {
    /// The label's; raised when a label is printed again that says something else.
    pub label: u32,
    /// The bench card's.
    pub card: u32,
}

impl Default for SidePrintings {
    fn default() -> SidePrintings {
        SidePrintings { label: 1, card: 1 }
    }
}

/// What gets one label: one order, or several combined.
///
/// What its orders say of the parcel, with the shop's defaults put in, stands in its own fields.
#[derive(Clone, Debug, PartialEq)]
pub struct Parcel {
    /// Its number, from 1: its place on the bench when it was lined up.
    pub position: usize,
    /// How many parcels its papers say that there are.
    pub count: usize,
    /// Its orders, in bench order; never empty.
    pub orders: ParcelOrders,
    /// What the seller calls it by, told apart from every other tag of the batch.
    pub tag: Tag,
    /// Which printings the codes of its papers say that they are.
    pub printings: SidePrintings,
    /// The code that its label and bench card share.
    pub pair: PairCode,
    /// The cells along the edge of both.
    pub tally: Tally,
    /// The packaging: the one that its orders agree on, or else the smallest of the shop's that
    /// takes it, or the shop's default.
    pub pack: SharedText,
    /// The weight on the scale in grams: the one that its orders give, if they agree.
    pub weight_g: Option<u32>,
    /// Length, width and height: those that its orders give, if they agree.
    pub size: Option<Box<[Mm; 3]>>,
    /// The service that carries it: the one that its orders name, or the shop's default, or else
    /// the cheapest of the shop's rates.
    pub service: SharedText,
    /// The extras of all its orders, each once.
    pub extras: Box<[SharedText]>,
    /// The tracking number.
    pub tracking: Box<str>,
    /// What was declared of hazards; empty means that nobody said.
    pub hazard: SharedText,
    /// Whether an order in it is a gift, so that no price may be seen.
    pub gift: bool,
    /// The currency of its prices.
    pub currency: Option<CurrencyCode>,
    /// What it should weigh, measures and costs by the shop's rules; none without rules. Parcels that
    /// hold the same share it.
    pub figures: Option<Arc<ParcelFigures>>,
    /// The stamps to stick on it, where it goes without tracking and the shop has stamps.
    pub stamps: Option<Arc<StampChoice>>,
    /// The whole weighing, with every reason; only with [`BatchOptions::reasons`].
    pub weighing: Option<Arc<Weighing>>,
}

impl Parcel {
    /// What was declared hazardous in it; empty when it was declared that nothing is, and when
    /// nothing was declared.
    #[must_use]
    pub fn declared(&self) -> &str {
        if *self.hazard == *NO_HAZARD { "" } else { &self.hazard }
    }

    /// What its Code 128 carries: the id of its first order, which the shop knows. Unique in the
    /// batch, because ids are unique in a file and an order is in one parcel.
    #[must_use]
    pub fn id(&self) -> &str {
        self.orders.first().map(Order::id).unwrap_or_default()
    }

    /// Where it goes: the address of its first order.
    ///
    /// # Panics
    /// When it has no orders, which [`Batch::assemble`] never makes.
    #[must_use]
    pub fn recipient(&self) -> Address<'_> {
        self.orders[0].ship_to()
    }

    /// The carrier's own label for it: the first that its orders name. Orders of one parcel that
    /// name several are reported when the batch is put together.
    #[must_use]
    pub fn carrier_label(&self) -> Option<&CarrierLabel> {
        self.orders.iter().find_map(Order::carrier_label)
    }

    /// Everything in it, with the order that each item belongs to.
    pub fn items(&self) -> impl Iterator<Item = (&Order, Item<'_>)> {
        self.orders.iter().flat_map(|order| order.items().map(move |item| (order, item)))
    }

    /// The weight of its items in grams, without packaging; none when one of them has no weight.
    #[must_use]
    pub fn items_weight_g(&self) -> Option<u64> {
        self.items().map(|(_, item)| item.total_weight_g()).sum()
    }

    /// The ids of its orders, joined by ` + `.
    #[must_use]
    pub fn order_ids(&self) -> String {
        join_ids(self.orders.iter())
    }

    /// The parcel as findings name it.
    #[must_use]
    pub fn subject(&self) -> Subject {
        Subject { order: self.order_ids(), position: Some(self.position) }
    }
}

impl Batch {
    /// Puts a batch together from the good orders of a file, in bench order; what there is to say
    /// goes to `out`. Two equal tags are an error and still give a batch, so that all else can be
    /// checked too.
    #[must_use]
    pub fn assemble(
        name: Option<&str>,
        orders: Vec<Order>,
        shop: Option<&Shop>,
        options: BatchOptions,
        out: &mut Vec<Finding>,
    ) -> Batch {
        let name = name.unwrap_or_default();
        let usual = discord::Usual::of(shop);
        let wishes = combine::CombineWishes { combine: options.combine, split: &options.split };
        let grouping = combine::group_orders(&orders, wishes, usual);
        out.extend(remarks::describe_grouping(&orders, &grouping));

        let members = group_members(&orders, &grouping.parcel_of);
        let rules = tags::TagRules {
            shop_name: shop.map(|shop| &*shop.name).unwrap_or_default(),
            fix: options.fix_tags,
        };
        let (tags, tag_remarks) = tags::tag_parcels(&members, &grouping.parcel_of, rules);
        out.extend(tag_remarks);

        let ids: Vec<Vec<&str>> =
            members.iter().map(|orders| orders.iter().map(|order| order.id()).collect()).collect();
        let key = BatchKey::new(name, &ids);
        let codes = assign_codes(name, &ids);
        let (tallies, repeats) = tally::assign_tallies(&codes);
        out.extend(remarks::describe_size(&codes, repeats, &members));
        out.extend(remarks::report_currencies(&members, usual.currency));

        let count = members.len();
        // Two hundred thousand of them are better not held while the parcels grow.
        drop(ids);
        drop(members);
        let mut parcels: Vec<Parcel> = tags
            .into_iter()
            .zip(codes)
            .zip(tallies)
            .zip(1..)
            .map(|(((tag, pair), tally), position)| start_parcel(position, count, tag, pair, tally))
            .collect();
        hand_out(orders, &grouping.parcel_of, &mut parcels);
        let mut names = SharedNames::default();
        parcels.iter_mut().for_each(|parcel| fill_parcel(parcel, shop, &mut names));
        let reasons = match options.reasons {
            true => weighing::WeighReasons::Kept,
            false => weighing::WeighReasons::Forgotten,
        };
        let weighed = weighing::weigh_parcels(&mut parcels, shop, reasons, |_| true);
        let stamped = stamping::stamp_parcels(&mut parcels, shop);
        parcels.iter().for_each(|parcel| out.extend(report_parcel(parcel)));
        out.extend(weighed);
        out.extend(stamped);
        out.extend(numbers::report_numbers(&parcels, |_| {
            "give one of them another number; orders with one number go in one parcel".to_owned()
        }));
        out.extend(hazards::report_undeclared(&parcels, shop));
        Batch { name: name.into(), key, parcels, vacant: Vec::new(), waiting: Vec::new() }
    }

    /// The parcel of a number; none when no parcel has it.
    #[must_use]
    pub fn at(&self, position: usize) -> Option<&Parcel> {
        self.place_of(position).map(|place| &self.parcels[place])
    }

    /// Where the parcel of a number stands among the parcels, from 0.
    #[must_use]
    pub fn place_of(&self, position: usize) -> Option<usize> {
        let is_it = |parcel: &Parcel| parcel.position == position;
        // The parcels of a file are numbered as they stand; a line is small.
        let guess =
            position.checked_sub(1).filter(|&place| self.parcels.get(place).is_some_and(is_it));
        guess.or_else(|| self.parcels.iter().position(is_it))
    }

    /// What the QR code of a parcel's label says.
    #[must_use]
    pub fn label_payload(&self, parcel: &Parcel) -> String {
        self.scan(parcel, PairSide::Label).to_string()
    }

    /// What the QR code of a parcel's bench card says.
    #[must_use]
    pub fn card_payload(&self, parcel: &Parcel) -> String {
        self.scan(parcel, PairSide::Card).to_string()
    }

    /// What a scan of one side of a parcel gives.
    #[must_use]
    pub fn scan(&self, parcel: &Parcel, side: PairSide) -> PairScan {
        let number = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        PairScan {
            side,
            code: parcel.pair,
            position: number(parcel.position),
            count: number(parcel.count),
            key: self.key,
            printing: match side {
                PairSide::Label => parcel.printings.label,
                PairSide::Card => parcel.printings.card,
            },
        }
    }
}

/// The orders by parcel: `parcel_of` has the parcel of each order, counted from 0.
fn group_members<'a>(orders: &'a [Order], parcel_of: &[usize]) -> Vec<Vec<&'a Order>> {
    let count = parcel_of.iter().max().map_or(0, |last| last + 1);
    let mut members = vec![Vec::new(); count];
    for (order, &parcel) in orders.iter().zip(parcel_of) {
        if members[parcel].is_empty() {
            members[parcel].reserve_exact(1);
        }
        members[parcel].push(order);
    }
    members
}

/// The parcel that some orders make, as findings name it; `index` counts from 0.
fn subject_of(orders: &[&Order], index: usize) -> Subject {
    Subject { order: join_ids(orders.iter().copied()), position: Some(index + 1) }
}

/// The ids of orders, joined by ` + `.
fn join_ids<'a>(orders: impl Iterator<Item = &'a Order>) -> String {
    orders.map(|order| order.id()).collect::<Vec<_>>().join(" + ")
}

/// How many orders are handed out before the list that held them gives back their room.
const GIVE_BACK: usize = 4096;

/// Gives the orders to their parcels. They go from the last to the first, and their list shrinks
/// meanwhile, so that a hundred thousand orders are not held twice.
fn hand_out(mut orders: Vec<Order>, parcel_of: &[usize], parcels: &mut [Parcel]) {
    while let Some(order) = orders.pop() {
        parcels[parcel_of[orders.len()]].orders.push(order);
        if orders.len().is_multiple_of(GIVE_BACK) {
            orders.shrink_to_fit();
        }
    }
    parcels.iter_mut().for_each(|parcel| parcel.orders.reverse());
}

/// What there is to say of a parcel by itself, its weighing left out.
fn report_parcel(parcel: &Parcel) -> Vec<Finding> {
    let mut found: Vec<Finding> = remarks::report_packs(parcel).into_iter().collect();
    found.extend(remarks::report_languages(parcel));
    found.extend(measures::report_measures(parcel));
    found.extend(remarks::report_carrier_labels(parcel));
    found.extend(amounts::report_amounts(parcel));
    found
}

/// A parcel without its orders: the one of a number, among so many.
fn start_parcel(position: usize, count: usize, tag: Tag, pair: PairCode, tally: Tally) -> Parcel {
    Parcel {
        position,
        count,
        orders: ParcelOrders::default(),
        printings: SidePrintings::default(),
        tag,
        pair,
        tally,
        pack: SharedText::default(),
        weight_g: None,
        size: None,
        service: SharedText::default(),
        extras: Box::default(),
        tracking: Box::default(),
        hazard: SharedText::default(),
        gift: false,
        currency: None,
        figures: None,
        stamps: None,
        weighing: None,
    }
}

/// Puts together what a parcel's orders say of it, with the shop's defaults where they are silent.
fn fill_parcel(parcel: &mut Parcel, shop: Option<&Shop>, names: &mut SharedNames) {
    let Some(first) = parcel.orders.first() else { return };
    let defaults = shop.map(|shop| &shop.defaults);
    let packs = distinct(parcel.orders.iter().map(Order::pack));
    let pack = match (&packs[..], defaults) {
        ([], Some(defaults)) => &defaults.pack,
        ([pack], _) => *pack,
        _ => "",
    };
    parcel.pack = names.share(pack);
    parcel.weight_g = measures::settle_weight(&parcel.orders);
    parcel.size = measures::settle_size(&parcel.orders).map(Box::new);
    // Orders of a file that differ in these are never combined; in a line a seller may join them.
    parcel.service = names.share(match defaults {
        Some(defaults) if first.service().is_empty() => &defaults.service,
        _ => first.service(),
    });
    parcel.tracking = first.tracking().into();
    parcel.hazard = names.share(&hazards::settle_hazard(&parcel.orders));
    parcel.gift = parcel.orders.iter().any(|order| order.gift());
    parcel.currency = parcel
        .orders
        .iter()
        .find_map(|order| order.currency())
        .or(shop.and_then(|shop| shop.currency));
    let extras = parcel.orders.iter().flat_map(Order::extras);
    parcel.extras = distinct(extras).into_iter().map(|extra| names.share(extra)).collect();
}

/// Texts that say something, each once, in order.
fn distinct<'a>(texts: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut seen: Vec<&str> = Vec::new();
    for text in texts.filter(|text| !text.is_empty()) {
        if !seen.contains(&text) {
            seen.push(text);
        }
    }
    seen
}
