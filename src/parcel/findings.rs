//! What is wrong with a parcel, or worth knowing, in words for the seller.
//!
//! In: the result of the computation. Out: one [`Finding`] each. Not here: the computation
//! (`weigh`), and which batch a parcel belongs to: its caller adds the subject.

use super::expected::{guess_missing, judge_scale};
use super::packing::{Load, Pack, PackTrial, PackVerdict, try_pack, weigh_items};
use super::quote::{Quote, Quotes, find_limits};
use super::rules::ParcelRules;
use super::weighing::{PackCandidate, ParcelFacts, Weighing};
use crate::findings::{Finding, rules};
use crate::words::did_you_mean;

/// The complaint about a pack that does not exist.
pub(super) fn unknown_pack(name: &str, packs: &[Pack]) -> Finding {
    let names: Vec<&str> = packs.iter().map(|pack| &*pack.name).collect();
    Finding::new(&rules::UNKNOWN_PACK, format!("there is no pack `{name}` in the shop file"))
        .hint_if(did_you_mean(name, &names))
}

/// What is wrong with a pack that was chosen by hand. The weight is a fact and stops the parcel;
/// that items do not fit is only a warning, because the seller has them at hand.
pub(super) fn judge_chosen_pack(trial: &PackTrial, pack: &Pack) -> Option<Finding> {
    let message = format!("`{}`: {}", trial.pack, trial.reason);
    match trial.verdict {
        PackVerdict::TooWeak => {
            let finding = Finding::new(&rules::OVER_PACK_LIMIT, message)
                .hint("name a pack that holds more, or split the parcel");
            Some(match pack.span {
                Some(span) => finding.related(span, "the pack is listed here"),
                None => finding,
            })
        }
        PackVerdict::TooSmall | PackVerdict::NoneFound => Some(
            Finding::new(&rules::PACK_TOO_SMALL, message)
                .hint("name a larger pack, or correct the sizes of the items in the shop file"),
        ),
        PackVerdict::UsedUp => Some(
            Finding::new(&rules::PACK_USED_UP, message)
                .hint(format!("raise `left` of `{}`, or name another pack", pack.name)),
        ),
        PackVerdict::Takes { .. } | PackVerdict::Unknown => None,
    }
}

/// The complaint that no pack takes the items, with the reason for each. It is an error when one
/// would take them but for its limit of weight, because whoever packs it all the same breaks that.
/// A size that is not known is remarked on only where the shop says the sizes of its goods and
/// nobody has measured the parcel.
pub(super) fn no_pack_fits(
    trials: &[PackTrial],
    facts: &ParcelFacts,
    rules: &ParcelRules,
    load: &Load<'_>,
) -> Option<Finding> {
    let tried = |verdict: PackVerdict| trials.iter().any(|trial| trial.verdict == verdict);
    if tried(PackVerdict::Unknown) {
        let item = facts.items.iter().find(|item| item.size.is_none())?;
        let message = format!("no pack can be chosen, the size of `{}` is not known", item.name);
        let hint = format!("give the size of `{}` under `goods`, or name the pack", item.name);
        let wanted = !rules.goods.is_empty() && facts.size.is_none();
        return wanted.then(|| Finding::new(&rules::MISSING_SIZE, message).hint(hint));
    }
    let too_weak = trials.iter().any(|trial| {
        let pack = rules.packs.iter().find(|pack| pack.name == trial.pack);
        trial.verdict == PackVerdict::TooWeak && pack.is_some_and(|pack| takes_by_size(pack, load))
    });
    let (rule, hint) = match too_weak || trials.iter().all(is_too_weak) {
        true => {
            (&rules::OVER_PACK_LIMIT, "split the parcel, or list a pack that holds more".to_owned())
        }
        false => (&rules::NO_PACK_FITS, advise_pack(trials)),
    };
    let message = match trials.len() {
        1 => "the one pack does not take the items".to_owned(),
        count => format!("none of the {count} packs takes the items"),
    };
    let reasons = trials.iter().map(|trial| format!("`{}`: {}", trial.pack, trial.reason));
    Some(Finding::new(rule, message).details(reasons).hint(hint))
}

/// Whether a pack was ruled out by its limit of weight.
fn is_too_weak(trial: &PackTrial) -> bool {
    trial.verdict == PackVerdict::TooWeak
}

/// Whether a pack would take a load that weighed nothing.
fn takes_by_size(pack: &Pack, load: &Load<'_>) -> bool {
    let strong = Pack { max_weight: None, ..pack.clone() };
    let verdict = try_pack(&strong, load).verdict;
    verdict.takes() || verdict == PackVerdict::Unknown
}

/// The way out when no pack takes some items: more of one that is used up, or a larger one.
fn advise_pack(trials: &[PackTrial]) -> String {
    match trials.iter().find(|trial| trial.verdict == PackVerdict::UsedUp) {
        Some(trial) => format!("raise `left` of `{}` in the shop file, or name a pack", trial.pack),
        None => "split the parcel, or list a larger pack".to_owned(),
    }
}

/// Remarks that a larger pack would be cheaper to send.
pub(super) fn note_cheaper_pack(
    chosen: &PackCandidate<'_>,
    candidates: &[PackCandidate<'_>],
    findings: &mut Vec<Finding>,
) {
    let best = |candidate: &PackCandidate<'_>| {
        let offer = candidate.quotes.as_ref()?.offers.first()?;
        Some((offer.total, offer.service.clone()))
    };
    let (Some(quotes), Some((total, _))) = (&chosen.quotes, best(chosen)) else { return };
    let others = candidates.iter().filter_map(|other| Some((best(other)?, other.pack?)));
    let Some(((less, service), pack)) = others.min_by_key(|((total, _), _)| *total) else { return };
    if less < total {
        let message = format!(
            "`{}` would be {} cheaper, by `{service}`",
            pack.name,
            quotes.show(total - less)
        );
        let hint = format!("give the parcel the pack `{}`", pack.name);
        findings.push(Finding::new(&rules::CHEAPER_PACK, message).hint(hint));
    }
}

/// Reports what the weight brings with it, and weights that are missing or cannot be.
///
/// A missing weight is reported only where something depends on it: a price, a limit, or the sum
/// of items of which others have one.
pub(super) fn find_weight_faults(
    facts: &ParcelFacts,
    load: &Load<'_>,
    weighing: &Weighing,
    findings: &mut Vec<Finding>,
) {
    let units = load.units;
    if weighing.weight.is_none() {
        findings.extend(missing_weight(facts, weighing));
    }
    let found_error = findings.iter().any(Finding::is_error);
    findings.extend(weight_without_pack(facts, weighing).filter(|_| !found_error));
    if let (Some(measured), Some(items)) = (facts.weight, &weighing.items)
        && measured < items.value
    {
        let (measured, items) = (units.mass(measured), units.mass(items.value));
        let guess = guess_missing(facts, weighing).map(|guess| format!(": {guess}"));
        let guess = guess.unwrap_or_default();
        let message = format!("the parcel weighs {measured}, its items alone {items}{guess}");
        findings.push(
            Finding::new(&rules::LIGHTER_THAN_ITEMS, message)
                .hint("look whether an item is missing, or correct the items' weights"),
        );
    }
    findings.extend(judge_scale(facts, weighing));
    if let Some(caution) = &weighing.caution {
        let rule = caution.level.rule();
        findings.push(Finding::new(rule, caution.short.clone()).hint(caution.advice.clone()));
    }
}

/// The complaint about a price that goes by a weight in which the packaging is missing.
fn weight_without_pack(facts: &ParcelFacts, weighing: &Weighing) -> Option<Finding> {
    let is_priced = weighing.quotes.as_ref().is_some_and(|quotes| !quotes.offers.is_empty());
    let is_reckoned = facts.weight.is_none() && weighing.weight.is_some();
    let has_packs = !weighing.trials.is_empty();
    (is_priced && is_reckoned && has_packs && weighing.pack.is_none()).then(|| {
        let message = "no pack could be chosen, so weight and price leave the packaging out";
        Finding::new(&rules::WEIGHT_WITHOUT_PACK, message)
            .hint("give its items' sizes under `goods`, name a `pack`, or weigh the packed parcel")
    })
}

/// The complaint about a weight that is not known though something depends on it.
fn missing_weight(facts: &ParcelFacts, weighing: &Weighing) -> Option<Finding> {
    let quotes = weighing.quotes.iter();
    let no_price = quotes.clone().any(|quotes| {
        quotes.offers.is_empty() && quotes.refused.iter().any(|refused| refused.unknown)
    });
    let unchecked = quotes
        .filter_map(|quotes| quotes.offers.first())
        .any(|offer| offer.unchecked.contains(&"weight"));
    let in_part = facts.items.iter().any(|item| item.weight.is_some());
    if !(no_price || unchecked || in_part) {
        return None;
    }
    let tail = if no_price { ", so its price cannot be told" } else { "" };
    let finding = match weigh_items(&facts.items) {
        Err(item) => {
            let message = format!("the parcel's weight is not known, `{item}` has none{tail}");
            let hint = format!("weigh the parcel, or give the weight of `{item}`");
            Finding::new(&rules::MISSING_WEIGHT, message).hint(hint)
        }
        Ok(_) => {
            let message = format!("the parcel's weight is not known{tail}");
            Finding::new(&rules::MISSING_WEIGHT, message).hint("weigh the parcel")
        }
    };
    Some(finding)
}

/// Reports that nothing carries the parcel, or that something could not be checked.
pub(super) fn find_price_faults(
    facts: &ParcelFacts,
    rules: &ParcelRules,
    weighing: &Weighing,
    findings: &mut Vec<Finding>,
) {
    let services = rules.rates.as_ref().map(|table| &table.services[..]).unwrap_or_default();
    if let Some(wanted) = &facts.wishes.service
        && !services.iter().any(|service| service.name == *wanted)
    {
        if rules.rates.is_some() && !rules.knows_service(wanted) {
            let names: Vec<&str> = services.iter().map(|service| &*service.name).collect();
            let message = format!("the rates have no service `{wanted}`");
            findings.push(
                Finding::new(&rules::UNKNOWN_SERVICE, message)
                    .hint_if(did_you_mean(wanted, &names)),
            );
        }
        find_limit_faults(wanted, rules, weighing, findings);
        return;
    }
    let Some(quotes) = &weighing.quotes else { return };
    match quotes.offers.first() {
        Some(best) if quotes.asked => {
            findings.extend(unchecked_limits(&best.service, &best.unchecked));
        }
        Some(best) => findings.extend(undecided_service(best)),
        None => findings.extend(no_service(facts, weighing, quotes)),
    }
}

/// Reports the limits that a service without prices breaks: those of the service's own name.
fn find_limit_faults(
    service: &str,
    rules: &ParcelRules,
    weighing: &Weighing,
    findings: &mut Vec<Finding>,
) {
    let Some(limits) = find_limits(&rules.limits, service) else { return };
    let size = weighing.size.as_ref().map(|size| size.value);
    let weight = weighing.weight.as_ref().map(|weight| weight.value);
    let found = limits.check(size, weight, weighing.units);
    if !found.breaches.is_empty() {
        let message = format!("over the limits of `{service}`: {}", found.breaches.join("; "));
        let finding = Finding::new(&rules::OVER_LIMIT, message).hint("name another service");
        findings.push(match limits.span {
            Some(span) => finding.related(span, "the limits are set here"),
            None => finding,
        });
    }
    findings.extend(unchecked_limits(service, &found.unchecked));
}

/// The remark that limits of size could not be checked, when some could not; a weight that is
/// missing has a finding to itself.
fn unchecked_limits(service: &str, unchecked: &[&str]) -> Option<Finding> {
    unchecked.contains(&"size").then(|| {
        let message = format!("the limits of `{service}` are not checked, no size is known");
        Finding::new(&rules::UNCHECKED_LIMITS, message)
            .hint("measure the parcel, or name a pack that the shop file lists")
    })
}

/// The remark that no service is chosen, because the cheapest has limits of size and no size is
/// known.
fn undecided_service(best: &Quote) -> Option<Finding> {
    best.unchecked.contains(&"size").then(|| {
        let message = format!(
            "no service is chosen, the cheapest, `{}`, has limits and no size is known",
            best.service
        );
        Finding::new(&rules::UNCHECKED_LIMITS, message)
            .hint("measure the parcel, or name its pack or its service")
    })
}

/// The complaint that nothing carries the parcel, with the reason of each service: an error when
/// every service that is a choice is kept from it by a limit.
fn no_service(facts: &ParcelFacts, weighing: &Weighing, quotes: &Quotes) -> Option<Finding> {
    let there = || quotes.refused.iter().filter(|refused| !refused.no_choice);
    let over_limit = there().next().is_some() && there().all(|refused| refused.over_limit);
    if weighing.weight.is_none() && there().any(|it| it.unknown && !it.over_limit) {
        // Told as a missing weight.
        return None;
    }
    let rule = if over_limit { &rules::OVER_LIMIT } else { &rules::NO_SERVICE };
    let hint = match (&weighing.instead, &facts.wishes.service) {
        (Some(offer), _) => format!(
            "name the service `{}`, which carries it for {}, or split the parcel",
            offer.service,
            quotes.show(offer.total)
        ),
        (None, Some(_)) if !over_limit => "ask for less, or name another service".to_owned(),
        _ if over_limit => "split the parcel, or list a service that carries it".to_owned(),
        _ => "ask for less, or list a service that carries it".to_owned(),
    };
    if let ([only], Some(_)) = (&quotes.refused[..], &facts.wishes.service) {
        let message = format!("`{}` does not carry it: {}", only.service, only.reasons.join("; "));
        return Some(Finding::new(rule, message).hint(hint));
    }
    let message = format!("no service carries it to `{}` as it is asked", facts.country);
    let reasons = quotes
        .refused
        .iter()
        .map(|refused| format!("`{}`: {}", refused.service, refused.reasons.join("; ")));
    Some(Finding::new(rule, message).details(reasons).hint(hint))
}
