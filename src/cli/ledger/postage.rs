//! What goes, by service: parcels, weight and postage, so that it can be counted at the counter.
//!
//! In: a line and what the rules make of its parcels. Out: a row a service of those that are matched or
//! went, and a sum of each currency. Not here: prices (`parcel`).

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde_json::{Value, json};

use super::super::table::{CellAlign, Grid};
use super::computed::Computed;
use crate::batch::Parcel;
use crate::ledger::{BenchLine, ParcelState};
use crate::parcel::Price;

/// What goes of a line.
pub(super) struct Postage {
    /// What each service is given, by its name.
    services: BTreeMap<String, PostageSum>,
    /// Altogether.
    all: PostageSum,
}

/// Some parcels together.
#[derive(Default)]
struct PostageSum {
    /// How many.
    parcels: usize,
    /// What those weigh whose weight is known, in grams.
    weight_g: u64,
    /// How many have no weight.
    unweighed: usize,
    /// What those cost whose price is known, by currency.
    prices: BTreeMap<String, Price>,
    /// How many have no price.
    unpriced: usize,
}

impl PostageSum {
    /// Counts a parcel, with its weight and price where they are known.
    fn add(&mut self, parcel: &Parcel) {
        self.parcels += 1;
        match parcel.weight_g {
            Some(grams) => self.weight_g += u64::from(grams),
            None => self.unweighed += 1,
        }
        match parcel.figures.as_deref().and_then(|figures| figures.price.as_deref()) {
            Some(price) => {
                let nothing = Price { amount: Decimal::ZERO, ..*price };
                let sum = self.prices.entry(price.currency.to_string()).or_insert(nothing);
                sum.amount += price.amount;
            }
            None => self.unpriced += 1,
        }
    }

    /// The prices in words: `12.15 GBP`.
    fn show_prices(&self) -> String {
        let shown =
            self.prices.iter().map(|(currency, sum)| format!("{} {currency}", sum.digits()));
        shown.collect::<Vec<_>>().join(" + ")
    }

    /// It for a program.
    fn to_json(&self, service: Option<&str>) -> Value {
        json!({
            "service": service,
            "parcels": self.parcels,
            "weight_g": self.weight_g,
            "unweighed": self.unweighed,
            "price": (!self.prices.is_empty()).then(|| self.show_prices()),
            "unpriced": self.unpriced,
        })
    }

    /// Its cells in a table.
    fn cells(&self, service: &str) -> [String; 4] {
        let known = |known: String, missing: usize, what: &str| match (known.as_str(), missing) {
            (_, 0) => known,
            ("", _) => format!("{missing} {what}"),
            _ => format!("{known}, {missing} {what}"),
        };
        let weight =
            if self.weight_g == 0 { String::new() } else { format!("{} g", self.weight_g) };
        [
            service.to_owned(),
            self.parcels.to_string(),
            known(weight, self.unweighed, "not weighed"),
            known(self.show_prices(), self.unpriced, "without a price"),
        ]
    }
}

impl Postage {
    /// What goes of a line: what is matched, and what went.
    pub(super) fn of(computed: &Computed, line: &BenchLine) -> Postage {
        let mut postage = Postage { services: BTreeMap::new(), all: PostageSum::default() };
        let goes = [ParcelState::Matched, ParcelState::HandedOver];
        for (number, parcel) in computed.parcels() {
            if line.parcel(*number).is_some_and(|it| goes.contains(&it.state)) {
                postage.services.entry(parcel.service.to_string()).or_default().add(parcel);
                postage.all.add(parcel);
            }
        }
        postage
    }

    /// The rows, the sum last, for a program.
    pub(super) fn to_json(&self) -> Value {
        let services = self.services.iter().map(|(service, sum)| sum.to_json(Some(service)));
        services.chain([self.all.to_json(None)]).collect::<Vec<_>>().into()
    }

    /// The rows as a table; nothing when nothing goes.
    pub(super) fn to_table(&self) -> String {
        if self.all.parcels == 0 {
            return String::new();
        }
        let mut grid = Grid::new(&COLUMNS);
        for (service, sum) in &self.services {
            grid.row(sum.cells(service));
        }
        grid.total(self.all.cells(""));
        grid.to_text("")
    }
}

/// The columns of its table.
const COLUMNS: [(&str, CellAlign); 4] = [
    ("matched or gone by", CellAlign::Left),
    ("parcels", CellAlign::Right),
    ("weigh", CellAlign::Right),
    ("postage", CellAlign::Right),
];
