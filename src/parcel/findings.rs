//! What is wrong with a parcel, or worth knowing, in words for the seller.
//!
//! In: what the computation came to. Out: one [`Diagnostic`] each. Not here: the computation
//! (`weigh`), and which batch a parcel belongs to: its caller adds the subject.

use super::packing::{ItemBox, Load, Pack, PackTrial, PackVerdict, weigh_items};
use super::quote::{Quotes, find_limits};
use super::weigh::{Candidate, ParcelFacts, ParcelRules, Weighing};
use crate::diag::{Diagnostic, Severity, did_you_mean};

/// The complaint about a pack that does not exist.
pub(super) fn unknown_pack(name: &str, packs: &[Pack]) -> Diagnostic {
    let names: Vec<&str> = packs.iter().map(|pack| &*pack.name).collect();
    Diagnostic::warning("unknown-pack", format!("there is no pack `{name}`"))
        .hint_if(did_you_mean(name, &names))
}

/// What is wrong with a pack that was chosen by hand. The weight is a fact and stops the parcel;
/// that items do not fit is only a warning, because the seller has them at hand.
pub(super) fn judge_chosen_pack(trial: &PackTrial, pack: &Pack) -> Option<Diagnostic> {
    let message = format!("`{}`: {}", trial.pack, trial.reason);
    match trial.verdict {
        PackVerdict::TooWeak => {
            let finding = Diagnostic::error("over-pack-limit", message)
                .hint("take a stronger pack, or split the parcel");
            Some(match pack.span {
                Some(span) => finding.related(span, "the pack is listed here"),
                None => finding,
            })
        }
        PackVerdict::TooSmall | PackVerdict::NoneFound => Some(
            Diagnostic::warning("pack-too-small", message)
                .hint("take a larger pack, or correct the sizes of the items"),
        ),
        PackVerdict::UsedUp => Some(
            Diagnostic::warning("pack-used-up", message)
                .hint(format!("raise `left` of `{}`, or take another pack", pack.name)),
        ),
        PackVerdict::Takes { .. } | PackVerdict::Unknown => None,
    }
}

/// The complaint that no pack takes the items, with the reason for each: an error when one is only
/// too weak, because whoever packs it all the same breaks its limit.
pub(super) fn no_pack_fits(trials: &[PackTrial], items: &[ItemBox]) -> Diagnostic {
    let unknown = items.iter().find(|item| item.size.is_none());
    if let Some(item) = unknown
        && trials.iter().any(|trial| trial.verdict == PackVerdict::Unknown)
    {
        return Diagnostic::note(
            "missing-size",
            format!("no pack can be chosen, the size of `{}` is not known", item.name),
        )
        .hint(format!("give the size of `{}` in the shop file, or name the pack", item.name));
    }
    let too_heavy = trials.iter().any(|trial| trial.verdict == PackVerdict::TooWeak);
    let (severity, rule) = match too_heavy {
        true => (Severity::Error, "over-pack-limit"),
        false => (Severity::Warning, "no-pack-fits"),
    };
    let tried = match trials.len() {
        1 => "the one pack does not take".to_owned(),
        count => format!("none of the {count} packs takes"),
    };
    let mut finding = Diagnostic::new(severity, rule, format!("{tried} the items"));
    for trial in trials {
        finding = finding.hint(format!("`{}`: {}", trial.pack, trial.reason));
    }
    finding.hint("split the order, or list a pack that takes it")
}

/// Remarks that a larger pack would be cheaper to send.
pub(super) fn note_cheaper_pack(
    chosen: &Candidate<'_>,
    candidates: &[Candidate<'_>],
    findings: &mut Vec<Diagnostic>,
) {
    let best = |candidate: &Candidate<'_>| {
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
        findings.push(Diagnostic::note("cheaper-pack", message).hint(hint));
    }
}

/// Reports what the weight brings with it, and weights that are missing or cannot be.
pub(super) fn find_weight_faults(
    facts: &ParcelFacts,
    load: &Load<'_>,
    weighing: &Weighing,
    findings: &mut Vec<Diagnostic>,
) {
    let units = load.units;
    if let Err(item) = weigh_items(&facts.items)
        && weighing.weight.is_none()
    {
        let message = format!("the parcel's weight is not known, `{item}` has none");
        let hint = format!("weigh the parcel, or give the weight of `{item}`");
        findings.push(Diagnostic::warning("missing-weight", message).hint(hint));
    }
    if let (Some(measured), Some(items)) = (facts.weight, &weighing.items)
        && measured < items.value
    {
        let (measured, items) = (units.mass(measured), units.mass(items.value));
        let message = format!("the parcel weighs {measured}, its items alone {items}");
        findings.push(
            Diagnostic::warning("lighter-than-items", message)
                .hint("look whether an item is missing, or correct the items' weights"),
        );
    }
    if let Some(caution) = &weighing.caution {
        let rule = caution.level.word();
        findings
            .push(Diagnostic::warning(rule, caution.short.clone()).hint(caution.advice.clone()));
    }
}

/// Reports that nothing carries the parcel, or that something could not be checked.
pub(super) fn find_price_faults(
    facts: &ParcelFacts,
    rules: &ParcelRules,
    weighing: &Weighing,
    findings: &mut Vec<Diagnostic>,
) {
    let services = rules.rates.as_ref().map(|table| &table.services[..]).unwrap_or_default();
    if let Some(wanted) = &facts.wishes.service
        && !services.iter().any(|service| service.name == *wanted)
    {
        if rules.rates.is_some() {
            let names: Vec<&str> = services.iter().map(|service| &*service.name).collect();
            let message = format!("there is no service `{wanted}` in the rates");
            findings.push(
                Diagnostic::warning("unknown-service", message)
                    .hint_if(did_you_mean(wanted, &names)),
            );
        }
        find_limit_faults(wanted, rules, weighing, findings);
        return;
    }
    let Some(quotes) = &weighing.quotes else { return };
    let Some(best) = quotes.offers.first() else {
        findings.push(no_service(facts, quotes));
        return;
    };
    findings.extend(unchecked_limits(&best.service, &best.unchecked));
}

/// Reports the limits that a service without prices breaks: those of the service's own name.
fn find_limit_faults(
    service: &str,
    rules: &ParcelRules,
    weighing: &Weighing,
    findings: &mut Vec<Diagnostic>,
) {
    let Some(limits) = find_limits(&rules.limits, service) else { return };
    let size = weighing.size.as_ref().map(|size| size.value);
    let weight = weighing.weight.as_ref().map(|weight| weight.value);
    let found = limits.check(size, weight, weighing.units);
    if !found.breaches.is_empty() {
        let message = format!("`{service}`: {}", found.breaches.join("; "));
        let finding = Diagnostic::error("over-limit", message).hint("choose another service");
        findings.push(match limits.span {
            Some(span) => finding.related(span, "the limits are set here"),
            None => finding,
        });
    }
    findings.extend(unchecked_limits(service, &found.unchecked));
}

/// The remark that limits could not be checked, when some could not.
fn unchecked_limits(service: &str, unchecked: &[&str]) -> Option<Diagnostic> {
    let missing = unchecked.join(" and ");
    (!missing.is_empty()).then(|| {
        let message = format!("the limits of `{service}` are not checked, no {missing} is known");
        let hint = format!("give the parcel's {missing}");
        Diagnostic::warning("unchecked-limits", message).hint(hint)
    })
}

/// The complaint that nothing carries the parcel, with the reason of each service.
fn no_service(facts: &ParcelFacts, quotes: &Quotes) -> Diagnostic {
    let over_limit =
        !quotes.refused.is_empty() && quotes.refused.iter().all(|refused| refused.over_limit);
    let rule = if over_limit { "over-limit" } else { "no-service" };
    if let ([only], Some(_)) = (&quotes.refused[..], &facts.wishes.service) {
        let message = format!("`{}` {}", only.service, only.reasons.join("; "));
        return Diagnostic::error(rule, message).hint("name another service, or none");
    }
    let message = format!("no service carries it to `{}` as it is asked", facts.country);
    let finding = quotes.refused.iter().fold(Diagnostic::error(rule, message), |it, refused| {
        it.hint(format!("`{}`: {}", refused.service, refused.reasons.join("; ")))
    });
    finding.hint("ask for less, split the parcel, or list a service that carries it")
}
