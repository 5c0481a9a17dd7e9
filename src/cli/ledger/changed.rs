//! What a verb answers that has changed parcels of the line.

use super::super::halt::Halt;
use super::answer::LedgerAnswer;
use super::open::OpenLedger;
use super::order_words::OrderWords;
use super::shown::{line_json, parcel_words, sitting_json};
use crate::ledger::{BenchLine, LineParcel, OrderPlace};
use crate::words::shorten;

/// Tells programs the parcels of these numbers as they are now.
pub(super) fn put_parcels(answer: &mut LedgerAnswer, line: &BenchLine, numbers: &[u32]) {
    answer.put("sitting", sitting_json(line));
    answer.put("parcels", line_json(line, |parcel| numbers.contains(&parcel.number)));
}

/// Tells people that a parcel's papers, if it has some, may no longer say what holds.
pub(super) fn tell_papers(answer: &mut LedgerAnswer, parcel: &LineParcel) {
    if !parcel.papers.is_empty() {
        let parcel = parcel_words(parcel);
        answer.line(&format!(
            "parcel {parcel} is printed already: `slipwright ledger print` prints what is out of date"
        ));
    }
}

/// The command that notes a parcel's weight.
pub(super) fn how_to_weigh(number: u32) -> String {
    format!("`slipwright ledger note {number} --weight GRAMS`")
}

/// That what was noted of hazards no longer holds, and what to do, behind what has changed.
pub(super) fn redeclare_words(noted: &str, place: &OrderPlace) -> String {
    let how = match place {
        OrderPlace::InLine(_, number) => {
            format!(": `slipwright ledger note {number} --hazard WORDS`")
        }
        _ => String::new(),
    };
    format!("; `{}`, which you noted, no longer holds: declare it again{how}", shorten(noted))
}

/// That what the scale said no longer holds, and what to do, behind what has changed.
pub(super) fn reweigh_words(grams: u32, place: &OrderPlace) -> String {
    let how = match place {
        OrderPlace::InLine(_, number) => format!(": {}", how_to_weigh(*number)),
        _ => String::new(),
    };
    format!("; the {grams} g were of other contents: weigh it again{how}")
}

/// Tells the weights that several orders of a parcel give: none of them is the parcel's, unless the
/// scale has said so.
///
/// # Errors
/// Those of the ledger.
pub(super) fn tell_weights(
    open: &OpenLedger,
    parcel: &LineParcel,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    if parcel.orders.len() < 2 || parcel.facts.weight_g.is_some() {
        return Ok(());
    }
    let mut weights = Vec::new();
    for id in &parcel.orders {
        let json = open.ledger.order_json(id)?.unwrap_or_default();
        weights.push((id, OrderWords::read(&json).weight_g));
    }
    // Orders that all say the same are of one parcel, and were weighed as one.
    if weights.windows(2).all(|pair| pair[0].1 == pair[1].1) {
        return Ok(());
    }
    let told = weights.iter().filter_map(|(id, grams)| Some(format!("{id} says {} g", (*grams)?)));
    let told: Vec<String> = told.collect();
    let (parcel, weigh) = (parcel_words(parcel), how_to_weigh(parcel.number));
    answer.line(&format!("{parcel} has one weight: {}; weigh it: {weigh}", told.join(", ")));
    Ok(())
}
