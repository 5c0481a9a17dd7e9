//! One parcel from its items to its price: the whole computation in order.
//!
//! In: what is known of the parcel and the shop's rules. Out: a [`Weighing`] with every figure, its
//! reason, and what is wrong. Not here: each step (`packing`, `billing`, `limits`, `heavy`,
//! `quote`) and how the result is shown (`report`).

use super::billing::{Billing, BillingRules, bill};
use super::findings::{
    find_price_faults, find_weight_faults, judge_chosen_pack, no_pack_fits, note_cheaper_pack,
    unknown_pack,
};
use super::goods::Good;
use super::heavy::{HeavyCaution, HeavyRules, caution};
use super::limits::{Limits, length_and_girth, sort_sides};
use super::packing::{
    ItemBox, Load, Pack, PackTrial, Wrapping, order_packs, try_pack, weigh_items, weigh_packed,
};
use super::quote::{Cargo, Quotes, Tariff, quote};
use super::rates::{RateTable, Wishes};
use super::units::{Extent, Mass, Size3};
use super::{Figure, Units};
use crate::diag::Diagnostic;
use crate::fields::CountryCode;

/// How weights and sizes are found and shown; the `weights` section of the shop file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WeightRules {
    /// The units that figures are shown in.
    pub units: Units,
    /// How the weight to charge for is found.
    pub billing: BillingRules,
    /// From when a parcel is heavy.
    pub heavy: HeavyRules,
    /// What wrapping adds.
    pub wrapping: Wrapping,
}

/// What the shop file says of parcels.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ParcelRules {
    /// The packaging at hand, in the order of the file.
    pub packs: Vec<Pack>,
    /// How weights and sizes are found and shown.
    pub weights: WeightRules,
    /// The shop's own limits.
    pub limits: Vec<Limits>,
    /// The prices, when the shop has a table.
    pub rates: Option<RateTable>,
    /// What the shop sells, as boxes.
    pub goods: Vec<Good>,
}

impl ParcelRules {
    /// Takes one pack off those that are left, so that the next parcel finds one less; parcels
    /// are weighed in bench order for that.
    pub fn use_pack(&mut self, name: &str) {
        for pack in self.packs.iter_mut().filter(|pack| *pack.name == *name) {
            pack.left = pack.left.map(|left| left.saturating_sub(1));
        }
    }
}

/// What is known of a parcel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ParcelFacts {
    /// What is in it.
    pub items: Vec<ItemBox>,
    /// The pack that was chosen by hand; empty means that the smallest that will do is taken.
    pub pack: Box<str>,
    /// What the packed parcel weighs on the scale.
    pub weight: Option<Mass>,
    /// Its length, width and height.
    pub size: Option<Size3>,
    /// The country it goes to.
    pub country: CountryCode,
    /// What is asked of whatever carries it.
    pub wishes: Wishes,
}

/// What a parcel weighs, measures and costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighing {
    /// The units that figures are shown in.
    pub units: Units,
    /// What the items weigh by themselves.
    pub items: Option<Figure<Mass>>,
    /// The pack.
    pub pack: Option<Figure<Box<str>>>,
    /// Every pack that was tried, in the order it was tried in.
    pub trials: Vec<PackTrial>,
    /// What the packed parcel weighs.
    pub weight: Option<Figure<Mass>>,
    /// Its length, width and height.
    pub size: Option<Figure<Size3>>,
    /// Its longest side and the girth around the other two, added up.
    pub length_and_girth: Option<Figure<Extent>>,
    /// The weight to charge for, by the shop's rules.
    pub billing: Billing,
    /// The caution it asks for.
    pub caution: Option<HeavyCaution>,
    /// The prices; none without a table.
    pub quotes: Option<Quotes>,
    /// What is wrong, or worth knowing.
    pub findings: Vec<Diagnostic>,
}

/// A pack that may be used, with what the parcel comes to in it.
pub(super) struct Candidate<'a> {
    /// The pack; none when nothing is known of one.
    pub(super) pack: Option<&'a Pack>,
    /// What the packed parcel weighs.
    pub(super) weight: Option<Figure<Mass>>,
    /// Its size.
    pub(super) size: Option<Figure<Size3>>,
    /// The prices; none without a table.
    pub(super) quotes: Option<Quotes>,
}

/// Computes everything about one parcel.
#[must_use]
pub fn weigh(facts: &ParcelFacts, rules: &ParcelRules) -> Weighing {
    let mut findings = Vec::new();
    let load = Load {
        items: &facts.items,
        wrapping: rules.weights.wrapping,
        measured: facts.weight,
        units: rules.weights.units,
    };
    let trials = try_packs(facts, rules, &load, &mut findings);
    let candidates = find_candidates(facts, rules, &load, &trials);
    let (chosen, reason) = choose_candidate(facts, &candidates, &trials);
    note_cheaper_pack(chosen, &candidates, &mut findings);
    let weighing = describe(rules, &load, chosen, reason);
    let mut weighing = Weighing { trials, ..weighing };
    find_weight_faults(facts, &load, &weighing, &mut findings);
    find_price_faults(facts, rules, &weighing, &mut findings);
    weighing.findings = findings;
    weighing
}

/// Tries the pack that was chosen by hand, or all of them from the smallest on.
fn try_packs(
    facts: &ParcelFacts,
    rules: &ParcelRules,
    load: &Load<'_>,
    findings: &mut Vec<Diagnostic>,
) -> Vec<PackTrial> {
    if !facts.pack.is_empty() {
        let Some(pack) = rules.packs.iter().find(|pack| pack.name == facts.pack) else {
            if !rules.packs.is_empty() {
                findings.push(unknown_pack(&facts.pack, &rules.packs));
            }
            return Vec::new();
        };
        let trial = try_pack(pack, load);
        findings.extend(judge_chosen_pack(&trial, pack));
        return vec![trial];
    }
    if facts.items.is_empty() {
        return Vec::new();
    }
    let trials: Vec<PackTrial> =
        order_packs(&rules.packs).into_iter().map(|at| try_pack(&rules.packs[at], load)).collect();
    if !trials.is_empty() && !trials.iter().any(|trial| trial.verdict.takes()) {
        findings.push(no_pack_fits(&trials, &facts.items));
    }
    trials
}

/// The packs that may be used, with prices.
fn find_candidates<'a>(
    facts: &ParcelFacts,
    rules: &'a ParcelRules,
    load: &Load<'_>,
    trials: &[PackTrial],
) -> Vec<Candidate<'a>> {
    let by_hand = !facts.pack.is_empty();
    let usable = trials.iter().filter(|trial| by_hand || trial.verdict.takes());
    let packs: Vec<&Pack> = usable
        .filter_map(|trial| rules.packs.iter().find(|pack| pack.name == trial.pack))
        .collect();
    if packs.is_empty() {
        return vec![describe_candidate(facts, rules, load, None)];
    }
    packs.into_iter().map(|pack| describe_candidate(facts, rules, load, Some(pack))).collect()
}

/// What a parcel comes to in one pack.
fn describe_candidate<'a>(
    facts: &ParcelFacts,
    rules: &'a ParcelRules,
    load: &Load<'_>,
    pack: Option<&'a Pack>,
) -> Candidate<'a> {
    let weight = weigh_packed(load, pack);
    let size = match (facts.size, pack) {
        (Some(size), _) => Some(Figure::new(size, "as it was measured")),
        (None, Some(pack)) => {
            let side = if pack.outside.is_some() { "outside" } else { "inside" };
            Some(Figure::new(pack.outer(), format!("`{}` {side}", pack.name)))
        }
        (None, None) => None,
    };
    let flat: Vec<&str> = rules.packs.iter().filter_map(|pack| pack.flat_rate.as_deref()).collect();
    let quotes = rules.rates.as_ref().map(|table| {
        let cargo = Cargo {
            weight: weight.as_ref().map(|weight| weight.value),
            size: size.as_ref().map(|size| size.value),
            country: facts.country,
            wishes: &facts.wishes,
            flat_rate: pack.and_then(|pack| pack.flat_rate.as_deref()),
        };
        let tariff = Tariff {
            table,
            limits: &rules.limits,
            billing: &rules.weights.billing,
            flat_services: &flat,
            units: load.units,
        };
        quote(&cargo, &tariff)
    });
    Candidate { pack, weight, size, quotes }
}

/// The candidate to use, and why: the smallest pack that some service carries as it was asked, or
/// else the smallest pack.
fn choose_candidate<'a, 'b>(
    facts: &ParcelFacts,
    candidates: &'b [Candidate<'a>],
    trials: &[PackTrial],
) -> (&'b Candidate<'a>, String) {
    let has_offer = |candidate: &Candidate<'_>| {
        candidate.quotes.as_ref().is_none_or(|quotes| !quotes.offers.is_empty())
    };
    let chosen = candidates.iter().position(has_offer).unwrap_or(0);
    let candidate = &candidates[chosen];
    let trial = candidate
        .pack
        .and_then(|pack| trials.iter().find(|trial| trial.pack == pack.name))
        .map(|trial| trial.reason.clone())
        .unwrap_or_default();
    let reason = if !facts.pack.is_empty() {
        format!("chosen by hand; {trial}")
    } else if chosen > 0 {
        format!("the smallest that some service carries; {trial}")
    } else {
        format!("the smallest that will do; {trial}")
    };
    (candidate, reason)
}

/// The figures of the parcel as it is packed.
fn describe(
    rules: &ParcelRules,
    load: &Load<'_>,
    chosen: &Candidate<'_>,
    reason: String,
) -> Weighing {
    let units = load.units;
    let items = weigh_items(load.items).ok().filter(|_| !load.items.is_empty());
    let pieces: u64 = load.items.iter().map(|item| u64::from(item.count)).sum();
    let weight = chosen.weight.as_ref().map(|weight| weight.value);
    let size = chosen.size.as_ref().map(|size| size.value);
    Weighing {
        units,
        items: items.map(|items| {
            let pieces = if pieces == 1 { "1 piece".into() } else { format!("{pieces} pieces") };
            Figure::new(items, format!("{pieces} added up"))
        }),
        pack: chosen.pack.map(|pack| Figure::new(pack.name.clone(), reason)),
        trials: Vec::new(),
        weight: chosen.weight.clone(),
        size: chosen.size.clone(),
        length_and_girth: size.map(|size| {
            let [length, width, height] = sort_sides(size).map(|side| side.digits_in(units.length));
            let reason = format!("{length} + 2 × ({width} + {height})");
            Figure::new(length_and_girth(size), reason)
        }),
        billing: bill(weight, size, &rules.weights.billing, units),
        caution: weight.and_then(|weight| caution(weight, rules.weights.heavy, units)),
        quotes: chosen.quotes.clone(),
        findings: Vec::new(),
    }
}
