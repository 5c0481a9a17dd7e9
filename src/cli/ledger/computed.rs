//! What the shop file's rules make of parcels: what each should weigh, its pack, service and price.
//!
//! In: the line as it is after something was entered. Out: a sentence a parcel, and what was found about
//! it: a weight that does not fit its contents, a pack that is too small, a service that does not carry
//! it. Not here: the rules (`batch`, `parcel`).

use serde_json::{Map, Value, json};

use super::super::arguments::ledger::{LedgerOptions, ShopOption};
use super::super::halt::Halt;
use super::super::inputs::Inputs;
use super::super::line::{LineInputs, LineView, to_position};
use super::super::prepare::PreparedBatch;
use super::super::table::{CellAlign, Grid};
use super::answer::{LedgerAnswer, show_found};
use super::open::OpenLedger;
use super::shop_file::{place_of, shop_beside};
use crate::batch::{Batch, BatchOptions, Parcel};
use crate::findings::{Finding, Rule, Severity, rules};
use crate::ledger::BenchLine;
use crate::shop::{Shop, Undeclared};

/// What the rules make of some parcels.
pub(super) struct Computed {
    /// The parcels as the rules see them, with their numbers.
    parcels: Vec<(u32, Parcel)>,
    /// What was found about them that the seller should look at now.
    found: Vec<Finding>,
    /// Those of them of which what was noted of hazards no longer holds.
    redeclared: Vec<u32>,
    /// All texts, and the shop file.
    inputs: Inputs,
}

/// What is asked of the rules, and where the shop file is.
pub(super) struct AskedParcels<'a> {
    /// What knows the texts of their orders.
    pub(super) open: &'a OpenLedger,
    /// What lies on the bench.
    pub(super) line: &'a BenchLine,
    /// Which parcels are asked about.
    pub(super) numbers: &'a [u32],
}

impl Computed {
    /// Asks the rules.
    ///
    /// # Errors
    /// When the ledger or the shop file cannot be read.
    pub(super) fn ask(
        question: &AskedParcels<'_>,
        shop: &ShopOption,
        options: &LedgerOptions,
    ) -> Result<Computed, Halt> {
        let beside = shop_beside(options);
        let AskedParcels { open, line, numbers } = question;
        let place = place_of(shop, &beside);
        let source = LineInputs::read(&open.ledger, (*line).clone(), place)?;
        let PreparedBatch { batch, findings } = source.batch(LineView::Bench);
        let parcels = numbers.iter().filter_map(|&told| {
            let parcel = batch.at(to_position(told))?;
            Some((told, parcel.clone()))
        });
        let is_about = |found: &Finding| {
            let is_one = |at: usize| numbers.iter().any(|&told| to_position(told) == at);
            found.severity != Severity::Note && found.position().is_some_and(is_one)
        };
        let found = findings.into_iter().filter(is_about).collect();
        let is_redeclared =
            |told: &u32| line.parcel(*told).is_some_and(|parcel| parcel.hazard_before.is_some());
        let redeclared = numbers.iter().copied().filter(is_redeclared).collect();
        Ok(Computed { parcels: parcels.collect(), found, redeclared, inputs: source.inputs })
    }

    /// The shop file.
    pub(super) fn shop(&self) -> Option<&Shop> {
        self.inputs.shop.as_ref()
    }

    /// Shows what was found, and tells programs the figures.
    pub(super) fn show(&self, options: &LedgerOptions, answer: &mut LedgerAnswer) {
        show_found(&self.found, &self.inputs.sources, options);
        let figures = self.parcels.iter();
        let figures: Map<String, Value> = figures
            .map(|(told, parcel)| (told.to_string(), self.computed_json(*told, parcel)))
            .collect();
        answer.put("computed", figures);
    }

    /// The parcels as the rules see them, with their numbers; those that do not go are not among them.
    pub(super) fn parcels(&self) -> &[(u32, Parcel)] {
        &self.parcels
    }

    /// What the rules make of a parcel, for a program.
    fn computed_json(&self, told: u32, parcel: &Parcel) -> Value {
        let figures = figures_of(parcel);
        let minds = self.shop().map(|shop| shop.hazards.undeclared).unwrap_or_default();
        let cells = parcel.tally.cells().into_iter().map(|black| if black { '1' } else { '0' });
        let mut value = json!({
            "expected_weight": figures.expected,
            "weight_g": parcel.weight_g,
            "pack": figures.pack,
            "service": figures.service,
            "price": (!figures.price.is_empty()).then_some(figures.price),
            "hazard": &*parcel.hazard,
            "hazard_open": self.redeclared.contains(&told)
                || parcel.hazard.is_empty() && minds != Undeclared::Allow,
            "tally": cells.collect::<String>(),
        });
        if let Some(doubt) = self.doubt(told, &[&rules::WEIGHT_DIFFERS, &rules::LIGHTER_THAN_ITEMS])
        {
            value["weight_doubt"] = doubt.into();
        }
        if let Some(doubt) = self.doubt(told, &[&rules::DENIED_HAZARD]) {
            value["hazard_doubt"] = doubt.into();
        }
        // Whoever looks at a whole line does not ask why; whoever packs one parcel does.
        if let ([_], Some(reason)) = (&self.parcels[..], self.pack_reason(parcel)) {
            value["pack_reason"] = reason.into();
        }
        value
    }

    /// What speaks by one of some rules against what was noted of a parcel, if anything does.
    fn doubt(&self, told: u32, by: &[&Rule]) -> Option<&str> {
        let is_doubt = |found: &&Finding| {
            found.position() == Some(to_position(told)) && by.iter().any(|rule| found.is(rule))
        };
        let doubt = self.found.iter().find(is_doubt)?;
        Some(&doubt.message)
    }

    /// Why a parcel has its pack; none when it has none.
    fn pack_reason(&self, parcel: &Parcel) -> Option<String> {
        let options = BatchOptions { combine: true, reasons: true, ..BatchOptions::default() };
        let orders = parcel.orders.to_vec();
        let weighed = Batch::assemble(None, orders, self.shop(), options, &mut Vec::new());
        let [parcel] = &weighed.parcels[..] else { return None };
        Some(parcel.weighing.as_ref()?.pack.as_ref()?.reason.clone())
    }

    /// What the rules make of a parcel, in words; nothing when there are none.
    pub(super) fn words(&self, number: u32) -> String {
        let Some((_, parcel)) = self.parcels.iter().find(|(told, _)| *told == number) else {
            return String::new();
        };
        let figures = figures_of(parcel);
        let mut words = Vec::new();
        words.extend(figures.expected.map(|expected| format!("should weigh {expected}")));
        words.push(figures.pack);
        words.push([figures.service, figures.price].join(", "));
        words.retain(|word| !word.is_empty() && word != ", ");
        words.join("; ").trim_end_matches(", ").to_owned()
    }

    /// The parcels as a table.
    pub(super) fn table(&self) -> String {
        let mut grid = Grid::new(&COLUMNS);
        for (told, parcel) in &self.parcels {
            let figures = figures_of(parcel);
            let to = parcel.recipient();
            let name = if to.name.is_empty() { &to.company } else { &to.name };
            let place = format!("{} {}", to.city, to.country.as_str());
            grid.row([
                told.to_string(),
                parcel.tag.text.to_string(),
                name.to_string(),
                place.trim().to_owned(),
                parcel.order_ids(),
                parcel.weight_g.map(|grams| format!("{grams} g")).unwrap_or_default(),
                figures.expected.unwrap_or_default(),
                figures.pack,
                figures.service,
                figures.price,
            ]);
        }
        grid.to_text("")
    }
}

/// The columns of a table of parcels.
const COLUMNS: [(&str, CellAlign); 10] = [
    ("", CellAlign::Right),
    ("tag", CellAlign::Left),
    ("for", CellAlign::Left),
    ("to", CellAlign::Left),
    ("orders", CellAlign::Left),
    ("weighs", CellAlign::Right),
    ("should", CellAlign::Right),
    ("pack", CellAlign::Left),
    ("service", CellAlign::Left),
    ("price", CellAlign::Right),
];

/// The figures of a parcel; what is not known is empty.
struct ToldFigures {
    /// What it should weigh.
    expected: Option<String>,
    /// Its packaging.
    pack: String,
    /// What carries it; empty when nothing is chosen.
    service: String,
    /// Its postage.
    price: String,
}

/// What the shop's rules make of a parcel, for pages and scripts.
fn figures_of(parcel: &Parcel) -> ToldFigures {
    let known = parcel.figures.as_deref();
    ToldFigures {
        expected: known.and_then(|it| it.show_expected_weight()),
        pack: parcel.pack.to_string(),
        service: parcel.service.to_string(),
        price: known.and_then(|it| it.show_price()).unwrap_or_default(),
    }
}
