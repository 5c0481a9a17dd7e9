//! What a seller says of a parcel, read and checked against the shop file.
//!
//! In: options as they were typed. Out: [`Facts`] for the ledger. Not here: whether a weight is likely,
//! and what a pack or a service costs.

use super::super::arguments::ledger::FactOptions;
use super::super::halt::Halt;
use super::super::line::LineInputs;
use super::answer::LedgerAnswer;
use super::typed::read_words;
use crate::batch::TagDoubt;
use crate::fields::{refuse_bare_answer, tidy_hazard};
use crate::ledger::Facts;
use crate::parcel::{Mass, parse_size};
use crate::record::Refusal;
use crate::shop::Shop;
use crate::words::{did_you_mean, is_digits, shorten};

/// The heaviest parcel that can be noted, in grams. Ours: no parcel that one person packs and carries
/// weighs 100 kg, and a typed `336kg` is 336 g.
const HEAVIEST_G: u32 = 100_000;

/// The word for no extra at all.
const NO_EXTRA: &str = "none";

/// Reads what was typed of a parcel.
///
/// # Errors
/// When a value cannot be read, or the shop file has no such pack or service.
pub(super) fn read_facts(typed: &FactOptions, shop: Option<&Shop>) -> Result<Facts, Halt> {
    let text = |what: &str, typed: &Option<String>| {
        typed.as_deref().map(|text| read_words(what, text).map(Into::into)).transpose()
    };
    let named = typed.extra.iter().filter(|extra| extra.trim() != NO_EXTRA);
    let extras: Vec<Box<str>> = named
        .map(|extra| read_words("the extra", extra).map(Into::into))
        .collect::<Result<_, _>>()?;
    let facts = Facts {
        weight_g: typed.weight.as_deref().map(read_weight).transpose()?,
        size_mm: typed.size.as_deref().map(read_size).transpose()?,
        pack: text("the packaging", &typed.pack)?,
        service: text("the service", &typed.service)?,
        extras: (!typed.extra.is_empty()).then_some(extras),
        hazard: typed.hazard.as_deref().map(read_hazard).transpose()?,
        tag: text("the tag", &typed.tag)?,
    };
    check_names(&facts, shop)?;
    Ok(facts)
}

/// Refuses names that the shop file does not have; without such names in it any will do.
fn check_names(facts: &Facts, shop: Option<&Shop>) -> Result<(), Halt> {
    let Some(shop) = shop else { return Ok(()) };
    let packs: Vec<&str> = shop.rules.packs.iter().map(|pack| &*pack.name).collect();
    let rates = shop.rules.rates.as_ref();
    let services: Vec<&str> = rates
        .map(|rates| rates.services.iter().map(|service| &*service.name).collect())
        .unwrap_or_default();
    for (what, named, known) in
        [("pack", &facts.pack, packs), ("service", &facts.service, services)]
    {
        let Some(named) = named else { continue };
        if !known.is_empty() && !known.contains(&&**named) {
            let list = known.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
            return Err(Halt::usage(format!("the shop file has no {what} `{}`", shorten(named)))
                .hint(did_you_mean(named, &known).unwrap_or_else(|| format!("it has {list}"))));
        }
    }
    Ok(())
}

/// Refuses a tag that another parcel of the line has, and tells one that is a poor choice; `but` is the
/// number of the parcel that gets it.
///
/// # Errors
/// When another parcel has it.
pub(super) fn judge_typed(
    source: &LineInputs,
    tag: &str,
    but: Option<u32>,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    match source.judge_tag(tag, but) {
        None => Ok(()),
        Some(doubt @ TagDoubt::Equal { .. }) => {
            Err(Halt::refused(format!("the tag `{tag}` is taken: {doubt}")).hint("give it another"))
        }
        Some(doubt) => {
            answer.line(&format!("the tag `{tag}` is a poor one: {doubt}"));
            answer.put("tag_doubt", doubt.to_string());
            Ok(())
        }
    }
}

/// Reads a weight in grams: a bare number, or one with its unit.
///
/// # Errors
/// When it is none, or no whole number of grams.
pub(super) fn read_weight(text: &str) -> Result<u32, Halt> {
    let text = text.trim();
    if let Some(number) = text.strip_suffix('g').map(str::trim_end)
        && let Some((whole, decimals)) = number.split_once('.')
        && decimals.len() == 3
        && is_digits(decimals)
        && is_digits(whole)
    {
        let message = format!("`{}` may be grams or thousands of them", shorten(text));
        return Err(Halt::usage(message)
            .hint(format!("write `{whole}{decimals}g`, `{whole}.{decimals}kg` or whole grams")));
    }
    let grams: Option<u32> = match is_digits(text) {
        true => text.parse().ok(),
        false => Mass::parse(text).and_then(|mass| {
            let grams = mass.to_grams();
            // Ounces are no whole grams; the scale's last digit is.
            (grams.round() >= 1.0).then_some(grams.round() as u32)
        }),
    };
    if grams.is_some_and(|grams| grams > HEAVIEST_G) {
        let message = format!("`{}` is heavier than 100 kg, the most that is noted", shorten(text));
        return Err(Halt::usage(message).hint("look at the scale and the unit: `336g`, `1.2kg`"));
    }
    grams.filter(|grams| *grams >= 1).ok_or_else(|| {
        Halt::usage(format!("`{}` is no weight", shorten(text)))
            .hint("write grams, or a unit behind it: `372`, `372g`, `1.2kg`, `13oz`")
    })
}

/// Reads what is declared of hazards.
///
/// # Errors
/// When it is a bare yes or no, or cannot be printed as it stands.
fn read_hazard(text: &str) -> Result<Box<str>, Halt> {
    let text = read_words("the declared goods", text)?;
    match refuse_bare_answer(text) {
        Ok(()) => Ok(tidy_hazard(text).into()),
        Err(Refusal { message, hint }) => {
            Err(Halt::usage(message.unwrap_or_default()).hint_if(hint))
        }
    }
}

/// Reads three sides in whole millimetres, each rounded up.
fn read_size(text: &str) -> Result<[u32; 3], Halt> {
    let sides = parse_size(text.trim())
        .map(|size| size.map(|side| (side.micrometres().div_ceil(1_000)).max(1) as u32));
    sides.ok_or_else(|| {
        Halt::usage(format!("`{}` is no size", shorten(text)))
            .hint("write three sides in millimetres, or with a unit: `220x110x40`, `22x11x4cm`")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_as_people_type_them() {
        for (text, grams) in [("372", 372), (" 372g", 372), ("1.2kg", 1200), ("0.41 kg", 410)] {
            assert_eq!(read_weight(text).ok(), Some(grams), "{text}");
        }
        for text in ["", "0", "heavy", "-3", "1,200,000", "1000001", "12 x", "1.050 g", "336kg"] {
            assert!(read_weight(text).is_err(), "{text}");
        }
        assert_eq!(read_size("220x110x40").ok(), Some([220, 110, 40]));
        assert_eq!(read_size("22 x 11 x 4 cm").ok(), Some([220, 110, 40]));
        assert!(read_size("220x110").is_err());
    }

    #[test]
    fn no_extra_is_said_in_a_word() {
        let typed = FactOptions { extra: vec!["none".into()], ..FactOptions::default() };
        assert_eq!(read_facts(&typed, None).ok().and_then(|facts| facts.extras), Some(Vec::new()));
        assert_eq!(read_facts(&FactOptions::default(), None).ok(), Some(Facts::default()));
    }
}
