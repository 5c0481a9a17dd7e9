//! One parcel from its items to its price: the whole computation in order.
//!
//! In: what is known of the parcel and the shop's rules. Out: a [`Weighing`] with every figure, its
//! reason, and what is wrong. Not here: each step (`packing`, `billing`, `limits`, `heavy`,
//! `quote`) and how the result is shown (`report`).

use super::billing::bill_telling;
use super::findings::{
    find_price_faults, find_weight_faults, judge_chosen_pack, no_pack_fits, note_cheaper_pack,
    unknown_pack,
};
use super::heavy::caution;
use super::limits::{length_and_girth, sort_sides};
use super::packing::{
    Load, Pack, PackTrial, PackVerdict, order_packs, try_pack, weigh_items, weigh_packed,
};
use super::placement::PlacementMemo;
use super::quote::{Cargo, Quote, Quotes, Tariff, quote};
use super::rates::Wishes;
use super::rules::ParcelRules;
use super::units::{Figure, Mass, Telling};
use super::weighing::{PackCandidate, ParcelFacts, Weighing};
use crate::fields::CountryCode;
use crate::findings::{Finding, rules};
use crate::words::counted;

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
    match weighing.findings.is_empty() {
        true => weighing,
        false => weigh_telling(facts, rules, Telling::InWords, Some(memo)),
    }
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
    /// What the shop file should have it under.
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
