//! One parcel from its items to its price: the whole computation in order.
//!
//! In: what is known of the parcel and the shop's rules. Out: a [`Weighing`] with every figure, its
//! reason, and what is wrong. Not here: each step (`packing`, `billing`, `limits`, `heavy`,
//! `quote`) and how the result is shown (`report`).

use super::billing::{Billing, BillingRules, bill_telling};
use super::findings::{
    find_price_faults, find_weight_faults, judge_chosen_pack, no_pack_fits, note_cheaper_pack,
    unknown_pack,
};
use super::heavy::{HeavyCaution, HeavyRules, caution};
use super::limits::{Limits, length_and_girth, sort_sides};
use super::packing::Good;
use super::packing::{
    ItemBox, Load, Pack, PackTrial, PackVerdict, Wrapping, order_packs, try_pack, weigh_items,
    weigh_packed,
};
use super::placement::PlacementMemo;
use super::quote::{Cargo, Quote, Quotes, Tariff, find_limits, quote};
use super::rates::{RateTable, Wishes};
use super::stamps::PostageStamp;
use super::units::{Extent, Figure, Mass, Size3, Telling, Units};
use crate::fields::CountryCode;
use crate::findings::{Finding, rules};
use crate::words::counted;

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
    /// The stamps there are.
    pub stamps: Vec<PostageStamp>,
}

impl ParcelRules {
    /// Whether there are no rules at all, so that nothing about a parcel can be told by them.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        // Stamps tell nothing of a parcel whose price no rates tell.
        let ParcelRules { packs, weights, limits, rates, goods, stamps: _ } = self;
        let no_lists = packs.is_empty() && limits.is_empty() && goods.is_empty();
        no_lists && rates.is_none() && *weights == WeightRules::default()
    }

    /// Whether a service has prices or limits.
    #[must_use]
    pub fn knows_service(&self, name: &str) -> bool {
        let priced = self.rates.iter().flat_map(|table| &table.services);
        priced.map(|service| &*service.name).any(|service| service == name)
            || find_limits(&self.limits, name).is_some()
    }

    /// Takes one pack off those that are left, so that the next parcel finds one less; parcels
    /// are weighed in bench order for that. Gives how many are left when there was one to take.
    pub fn use_pack(&mut self, name: &str) -> Option<u32> {
        let mut packs = self.packs.iter_mut();
        let pack = packs.find(|pack| *pack.name == *name && pack.left != Some(0))?;
        pack.left = pack.left.map(|left| left - 1);
        pack.left
    }
}

/// What is known of a parcel.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct ParcelFacts {
    /// What is in it.
    pub items: Vec<ItemBox>,
    /// The pack that was chosen by hand; empty means that the smallest that will do is taken.
    pub pack: Box<str>,
    /// The pack that is taken where none can be chosen, because a size is not known; may be empty.
    pub usual_pack: Box<str>,
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
    /// What the packed parcel should weigh: its items, its pack and the wrapping, whatever a scale
    /// says; none where one of them is not known.
    pub expected_weight: Option<Mass>,
    /// What it should measure: its pack from outside.
    pub expected_size: Option<Size3>,
    /// Its longest side and the girth around the other two, added up.
    pub length_and_girth: Option<Figure<Extent>>,
    /// The weight to charge for, by the shop's rules.
    pub billing: Billing,
    /// The caution it asks for.
    pub caution: Option<Box<HeavyCaution>>,
    /// The prices; none without a table.
    pub quotes: Option<Quotes>,
    /// The cheapest offer of another service, where the one that was asked for cannot carry it.
    pub instead: Option<Box<Quote>>,
    /// What is wrong, or worth knowing.
    pub findings: Vec<Finding>,
}

impl Weighing {
    /// The service that carries it, with its price: the one that was asked for, or the cheapest;
    /// none without a table, and none where the cheapest has limits that could not be checked.
    #[must_use]
    pub fn offer(&self) -> Option<&Quote> {
        let quotes = self.quotes.as_ref()?;
        quotes.offers.first().filter(|offer| quotes.asked || offer.unchecked.is_empty())
    }

    /// The weight that is charged for: by the rules of the service that carries it, or else by the
    /// shop's.
    #[must_use]
    pub fn billable(&self) -> Option<&Figure<Mass>> {
        let of_service = self.offer().and_then(|offer| offer.billable.as_ref());
        of_service.or(self.billing.billable.as_ref())
    }

    /// The price of the service that carries it, with its extras and currency.
    #[must_use]
    pub fn show_price(&self) -> Option<String> {
        self.quotes.as_ref().zip(self.offer()).map(|(quotes, offer)| quotes.show(offer.total))
    }
}

/// A pack that may be used, with what the parcel comes to in it.
pub(super) struct PackCandidate<'a> {
    /// The pack; none when nothing is known of one.
    pub(super) pack: Option<&'a Pack>,
    /// What the packed parcel weighs.
    pub(super) weight: Option<Figure<Mass>>,
    /// Its size.
    pub(super) size: Option<Figure<Size3>>,
    /// The prices; none without a table.
    pub(super) quotes: Option<Quotes>,
}

/// Computes everything about one parcel, with the reason of each figure.
#[must_use]
pub fn weigh(facts: &ParcelFacts, rules: &ParcelRules) -> Weighing {
    weigh_telling(facts, rules, Telling::InWords, None)
}

/// Computes everything about one parcel. Figures have reasons only where there is something to say
/// of the parcel, for whatever is said says why; nor is it told where each item stands in its
/// pack. `memo` has what was placed before.
#[must_use]
pub fn weigh_silently(facts: &ParcelFacts, rules: &ParcelRules, memo: &PlacementMemo) -> Weighing {
    let weighing = weigh_telling(facts, rules, Telling::Silent, Some(memo));
    if weighing.findings.is_empty() { weighing } else { weigh(facts, rules) }
}

/// Computes everything about one parcel, with reasons or without.
fn weigh_telling(
    facts: &ParcelFacts,
    rules: &ParcelRules,
    telling: Telling,
    memo: Option<&PlacementMemo>,
) -> Weighing {
    let mut findings = Vec::new();
    let load = Load {
        items: &facts.items,
        wrapping: rules.weights.wrapping,
        measured: facts.weight,
        units: rules.weights.units,
        telling,
        memo,
    };
    let named = name_pack(facts, rules, &load);
    let trials = try_packs(facts, rules, &load, named, &mut findings);
    let candidates = find_candidates(facts, rules, &load, &trials, named);
    let (chosen, reason) = choose_candidate(&candidates, &trials, named, telling);
    note_cheaper_pack(chosen, &candidates, &mut findings);
    let weighing = describe(rules, &load, chosen, reason);
    let instead = find_instead(facts, rules, chosen, telling).map(Box::new);
    let mut weighing = Weighing { trials, instead, ..weighing };
    find_weight_faults(facts, &load, &weighing, &mut findings);
    find_price_faults(facts, rules, &weighing, &mut findings);
    // One missing size is one question.
    if findings.iter().any(|finding| finding.is(&rules::MISSING_SIZE)) {
        findings.retain(|finding| !finding.is(&rules::UNCHECKED_LIMITS));
    }
    weighing.findings = findings;
    weighing
}

/// A pack that is not chosen by trying all of them.
#[derive(Clone, Copy)]
struct NamedPack<'a> {
    /// Its name.
    name: &'a str,
    /// Who names it, as the beginning of a reason.
    why: &'static str,
}

/// The pack that was chosen by hand, or else the usual one where a size is missing: that one only
/// if nothing speaks against it.
fn name_pack<'a>(
    facts: &'a ParcelFacts,
    rules: &ParcelRules,
    load: &Load<'_>,
) -> Option<NamedPack<'a>> {
    if !facts.pack.is_empty() {
        return Some(NamedPack { name: &facts.pack, why: "chosen by hand" });
    }
    let sized = !load.items.is_empty() && load.items.iter().all(|item| item.size.is_some());
    let usual = rules.packs.iter().find(|pack| pack.name == facts.usual_pack);
    let usual = usual.filter(|_| !sized)?;
    (try_pack(usual, load).verdict == PackVerdict::Unknown)
        .then_some(NamedPack { name: &facts.usual_pack, why: "the shop's usual one" })
}

/// Tries the pack that is named, or all of them from the smallest on.
fn try_packs(
    facts: &ParcelFacts,
    rules: &ParcelRules,
    load: &Load<'_>,
    named: Option<NamedPack<'_>>,
    findings: &mut Vec<Finding>,
) -> Vec<PackTrial> {
    if let Some(named) = named {
        let Some(pack) = rules.packs.iter().find(|pack| *pack.name == *named.name) else {
            if !rules.packs.is_empty() {
                findings.push(unknown_pack(named.name, &rules.packs));
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
        findings.extend(no_pack_fits(&trials, facts, rules, load));
    }
    trials
}

/// The packs that may be used, with prices.
fn find_candidates<'a>(
    facts: &ParcelFacts,
    rules: &'a ParcelRules,
    load: &Load<'_>,
    trials: &[PackTrial],
    named: Option<NamedPack<'_>>,
) -> Vec<PackCandidate<'a>> {
    let usable = trials.iter().filter(|trial| named.is_some() || trial.verdict.takes());
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
) -> PackCandidate<'a> {
    let weight = weigh_packed(load, pack);
    let size = match (facts.size, pack) {
        (Some(size), _) => Some(load.telling.figure(size, || "as it was measured".to_owned())),
        (None, Some(pack)) => {
            let side = if pack.outside.is_some() { "outside" } else { "inside" };
            Some(load.telling.figure(pack.outer(), || format!("`{}` {side}", pack.name)))
        }
        (None, None) => None,
    };
    let mut candidate = PackCandidate { pack, weight, size, quotes: None };
    candidate.quotes =
        quote_candidate(&candidate, facts.country, &facts.wishes, rules, load.telling);
    candidate
}

/// The prices of a parcel as it is packed; none without a table.
fn quote_candidate(
    candidate: &PackCandidate<'_>,
    country: CountryCode,
    wishes: &Wishes,
    rules: &ParcelRules,
    telling: Telling,
) -> Option<Quotes> {
    let flat: Vec<&str> = rules.packs.iter().filter_map(|pack| pack.flat_rate.as_deref()).collect();
    let cargo = Cargo {
        weight: candidate.weight.as_ref().map(|weight| weight.value),
        size: candidate.size.as_ref().map(|size| size.value),
        country,
        wishes,
        flat_rate: candidate.pack.and_then(|pack| pack.flat_rate.as_deref()),
    };
    let tariff = Tariff {
        table: rules.rates.as_ref()?,
        limits: &rules.limits,
        billing: &rules.weights.billing,
        flat_services: &flat,
        units: rules.weights.units,
        telling,
    };
    Some(quote(&cargo, &tariff))
}

/// The cheapest offer of any service, where the one that was asked for cannot carry the parcel.
fn find_instead(
    facts: &ParcelFacts,
    rules: &ParcelRules,
    chosen: &PackCandidate<'_>,
    telling: Telling,
) -> Option<Quote> {
    let refused = chosen.quotes.as_ref()?.offers.is_empty();
    facts.wishes.service.as_ref().filter(|_| refused)?;
    let free = Wishes { service: None, ..facts.wishes.clone() };
    quote_candidate(chosen, facts.country, &free, rules, telling)?.offers.into_iter().next()
}

/// The candidate to use, and why: the smallest pack that some service carries as it was asked, or
/// else the smallest pack.
fn choose_candidate<'a, 'b>(
    candidates: &'b [PackCandidate<'a>],
    trials: &[PackTrial],
    named: Option<NamedPack<'_>>,
    telling: Telling,
) -> (&'b PackCandidate<'a>, String) {
    let has_offer = |candidate: &PackCandidate<'_>| {
        candidate.quotes.as_ref().is_none_or(|quotes| !quotes.offers.is_empty())
    };
    let chosen = candidates.iter().position(has_offer).unwrap_or(0);
    let candidate = &candidates[chosen];
    let reason = telling.say(|| {
        let of_pack = |pack: &Pack| trials.iter().find(|trial| trial.pack == pack.name);
        let trial = candidate.pack.and_then(of_pack).map_or("", |trial| &trial.reason);
        if let Some(named) = named {
            format!("{}; {trial}", named.why)
        } else if chosen > 0 {
            format!("the smallest that some service carries; {trial}")
        } else {
            format!("the smallest that will do; {trial}")
        }
    });
    (candidate, reason)
}

/// What a parcel should weigh, whatever it weighed: none where the weight of an item or of the pack
/// is not known.
fn expect_weight(load: &Load<'_>, pack: Option<&Pack>) -> Option<Mass> {
    pack?.own_weight?;
    weigh_packed(&Load { measured: None, ..*load }, pack).map(|weight| weight.value)
}

/// The figures of the parcel as it is packed.
fn describe(
    rules: &ParcelRules,
    load: &Load<'_>,
    chosen: &PackCandidate<'_>,
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
            load.telling.figure(items, || format!("{} added up", counted(pieces, "piece")))
        }),
        pack: chosen.pack.map(|pack| Figure::new(pack.name.clone(), reason)),
        trials: Vec::new(),
        weight: chosen.weight.clone(),
        size: chosen.size.clone(),
        expected_weight: expect_weight(load, chosen.pack),
        expected_size: chosen.pack.map(Pack::outer),
        length_and_girth: size.map(|size| {
            load.telling.figure(length_and_girth(size), || {
                let [length, width, height] =
                    sort_sides(size).map(|side| side.digits_in(units.length));
                format!("{length} + 2 × ({width} + {height})")
            })
        }),
        billing: bill_telling(weight, size, &rules.weights.billing, units, load.telling),
        caution: weight
            .and_then(|weight| caution(weight, rules.weights.heavy, units))
            .map(Box::new),
        quotes: chosen.quotes.clone(),
        instead: None,
        findings: Vec::new(),
    }
}
