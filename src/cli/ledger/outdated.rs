//! Parcels of the line whose label or bench card is no longer true, or whose orders no longer agree.
//!
//! In: a line. Out: what has changed of which of its parcels, told to people and to programs at once. Not
//! here: how papers are compared (`kit::line`), and when orders agree (`batch`).

use std::collections::BTreeMap;

use serde_json::json;

use super::super::arguments::ledger::LedgerOptions;
use super::super::halt::Halt;
use super::super::inputs::ShopPlace;
use super::super::kit::list_outdated;
use super::super::line::{LineInputs, TornParcel, is_as_printed};
use super::super::setup::PrintSetup;
use super::answer::LedgerAnswer;
use super::open::OpenLedger;
use super::shop_file::shop_beside;
use super::shown::parcel_words;
use crate::ledger::BenchLine;

/// What keeps parcels from going as they are.
#[derive(Default)]
pub(super) struct LineTrouble {
    /// What has changed since they were printed of those whose label or bench card is no longer true, by
    /// number.
    pub(super) outdated: BTreeMap<u32, Vec<String>>,
    /// Those whose orders no longer agree.
    pub(super) torn: Vec<TornParcel>,
}

impl LineTrouble {
    /// That the orders of a parcel no longer agree, if so.
    pub(super) fn torn(&self, number: u32) -> Option<&TornParcel> {
        self.torn.iter().find(|parcel| parcel.number == number)
    }
}

/// What is the matter with one parcel. Of a parcel that is what it was when it was printed, nothing else is
/// read: at the bench a hundred pairs are matched one after another.
pub(super) fn find_trouble_of(
    open: &OpenLedger,
    line: &BenchLine,
    number: u32,
    options: &LedgerOptions,
) -> LineTrouble {
    match is_as_printed(&open.ledger, line, number) {
        Ok(true) => LineTrouble::default(),
        _ => find_trouble(open, line, options),
    }
}

/// Tells which parcels of some numbers have papers that are out of date.
pub(super) fn tell_outdated(
    outdated: &BTreeMap<u32, Vec<String>>,
    line: &BenchLine,
    answer: &mut LedgerAnswer,
    is_wanted: impl Fn(u32) -> bool,
) {
    let mut told = Vec::new();
    for (&number, changes) in outdated.iter().filter(|(number, _)| is_wanted(**number)) {
        let parcel = line.parcel(number).map(parcel_words).unwrap_or_default();
        let changes_in_words = changes.join("; ");
        answer.line(&format!("the papers of {parcel} are out of date: {changes_in_words}"));
        told.push(json!({"number": number, "changes": changes}));
    }
    if !told.is_empty() {
        answer.line("`slipwright ledger print` prints anew what is out of date");
    }
    answer.put("out_of_date", told);
}

/// What is the matter with a line's parcels. With the shop file beside the ledger; where that cannot be used
/// nothing is told here, and `print` says what is wrong with it.
pub(super) fn find_trouble(
    open: &OpenLedger,
    line: &BenchLine,
    options: &LedgerOptions,
) -> LineTrouble {
    // What went is no more a trouble.
    if line.parcels().all(|parcel| !parcel.state.is_open()) {
        return LineTrouble::default();
    }
    let Ok(mut source) = read_line(open, line, options) else { return LineTrouble::default() };
    let torn = source.find_torn();
    LineTrouble { outdated: list(&mut source).unwrap_or_default(), torn }
}

/// The parcels of a line whose orders no longer agree; nothing is read where no parcel has several.
pub(super) fn find_torn(
    open: &OpenLedger,
    line: &BenchLine,
    options: &LedgerOptions,
) -> Vec<TornParcel> {
    if line.parcels().all(|parcel| parcel.orders.len() < 2) {
        return Vec::new();
    }
    read_line(open, line, options).map(|source| source.find_torn()).unwrap_or_default()
}

/// Tells which parcels do not go because their orders no longer agree.
pub(super) fn tell_torn(torn: &[TornParcel], answer: &mut LedgerAnswer) {
    for parcel in torn {
        let (number, tag) = (parcel.number, &parcel.tag);
        let says = parcel.says();
        answer.line(&format!("the orders of {number} `{tag}` no longer agree ({says}):"));
        parcel.ways_out().iter().for_each(|way| answer.line(&format!("  {way}")));
    }
    if !torn.is_empty() {
        answer.put("disagree", torn.iter().map(TornParcel::to_json).collect::<Vec<_>>());
    }
}

/// Tells it of those parcels of the open line that `are_meant`.
///
/// # Errors
/// Those of the ledger.
pub(super) fn tell_torn_of(
    open: &OpenLedger,
    options: &LedgerOptions,
    are_meant: impl Fn(u32) -> bool,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    let Some(line) = open.open_line()? else { return Ok(()) };
    let mut torn = find_torn(open, &line, options);
    torn.retain(|torn| are_meant(torn.number));
    tell_torn(&torn, answer);
    Ok(())
}

/// A line with all that its parcels are made of.
fn read_line(
    open: &OpenLedger,
    line: &BenchLine,
    options: &LedgerOptions,
) -> Result<LineInputs, Halt> {
    let beside = shop_beside(options);
    let place = ShopPlace { named: None, beside: &beside };
    LineInputs::read(&open.ledger, line.clone(), place)
}

/// What has changed of the parcels whose papers are no longer true, by number.
fn list(source: &mut LineInputs) -> Result<BTreeMap<u32, Vec<String>>, Halt> {
    if !source.has_changed() {
        return Ok(BTreeMap::new());
    }
    let setup = PrintSetup::with(None, &source.inputs, None, None)?;
    let outdated = list_outdated(source, &setup)?;
    Ok(outdated.into_iter().map(|parcel| (parcel.number, parcel.changes)).collect())
}
