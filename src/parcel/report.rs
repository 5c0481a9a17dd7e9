//! A weighing as a person reads it, and as a program does.
//!
//! In: a [`Weighing`]. Out: a table of plain text, or JSON. Not here: any arithmetic, and the
//! findings, which are shown as all others are.

use serde_json::{Value, json};

use super::packing::{PackTrial, PackVerdict};
use super::quote::{Quote, Quotes, Refused};
use super::units::{Extent, Figure, Mass, Size3};
use super::weighing::Weighing;
use crate::words::escape_obeyed;

/// The widest that the first two columns of a table become.
const WIDEST: usize = 28;

/// The narrowest that the last column of a table becomes.
const NARROWEST: usize = 24;

/// One line of a table: what it is, the figure, the reason.
#[derive(Debug)]
struct ReportRow {
    /// What the figure is of.
    name: String,
    /// What it comes to, with its unit.
    figure: String,
    /// Where it comes from.
    reason: String,
}

impl ReportRow {
    /// A line; what a terminal would obey is shown as an escape.
    fn new(
        name: impl Into<String>,
        figure: impl Into<String>,
        reason: impl Into<String>,
    ) -> ReportRow {
        let shown = |text: String| escape_obeyed(&text).into_owned();
        ReportRow {
            name: shown(name.into()),
            figure: shown(figure.into()),
            reason: shown(reason.into()),
        }
    }
}

impl Weighing {
    /// The figures as a table of lines with at most so many characters, where words allow it.
    #[must_use]
    pub fn to_table(&self, width: usize) -> String {
        let mut rows = self.figure_rows();
        rows.extend(self.price_rows());
        let others: Vec<&PackTrial> =
            self.trials.iter().filter(|trial| !self.is_chosen(trial)).collect();
        if !others.is_empty() {
            rows.push(ReportRow::new(
                if self.pack.is_some() { "other packs" } else { "packs" },
                "",
                "",
            ));
        }
        rows.extend(others.into_iter().map(|trial| {
            ReportRow::new(
                format!("  {}", trial.pack),
                verdict_words(&trial.verdict),
                &trial.reason,
            )
        }));
        lay_out(&rows, width)
    }

    /// Whether it is of the pack that is used.
    fn is_chosen(&self, trial: &PackTrial) -> bool {
        self.pack.as_ref().is_some_and(|pack| pack.value == trial.pack)
    }

    /// The lines about the parcel itself.
    fn figure_rows(&self) -> Vec<ReportRow> {
        let units = self.units;
        let mass = |name: &str, figure: &Option<Figure<Mass>>| {
            figure.as_ref().map(|it| ReportRow::new(name, units.mass(it.value), &it.reason))
        };
        let pack = self.pack.as_ref().map(|it| ReportRow::new("pack", &*it.value, &it.reason));
        let size =
            self.size.as_ref().map(|it| ReportRow::new("size", units.sides(&it.value), &it.reason));
        let around = self
            .length_and_girth
            .as_ref()
            .map(|it| ReportRow::new("length and girth", units.length(it.value), &it.reason));
        let caution =
            self.caution.as_ref().map(|it| ReportRow::new("caution", it.short.clone(), &it.advice));
        let rows = [
            mass("items", &self.items),
            pack,
            mass("weight", &self.weight),
            size,
            around,
            mass("size as weight", &self.billing.dimensional),
            self.billable()
                .map(|it| ReportRow::new("charged weight", units.mass(it.value), &it.reason)),
            caution,
        ];
        rows.into_iter().flatten().collect()
    }

    /// The lines about prices.
    fn price_rows(&self) -> Vec<ReportRow> {
        let Some(quotes) = &self.quotes else { return Vec::new() };
        let mut rows = Vec::new();
        let mut others = quotes.offers.iter();
        if let Some(best) = others.next() {
            let reason = explain_choice(best, quotes);
            rows.push(ReportRow::new("service", &*best.service, reason));
            rows.push(ReportRow::new("price", quotes.show(best.price.value), &best.price.reason));
            rows.extend(best.extras.iter().map(|extra| {
                let price = quotes.show(extra.price.value);
                ReportRow::new(format!("  {}", extra.name), price, &extra.price.reason)
            }));
            rows.push(ReportRow::new("total", quotes.show(best.total), ""));
        }
        if quotes.offers.len() > 1 || !quotes.refused.is_empty() {
            let title = if quotes.offers.is_empty() { "services" } else { "other services" };
            rows.push(ReportRow::new(title, "", ""));
        }
        rows.extend(others.map(|offer| {
            let name = format!("  {}", offer.service);
            ReportRow::new(name, quotes.show(offer.total), explain_offer(offer))
        }));
        rows.extend(quotes.refused.iter().map(|refused| {
            ReportRow::new(format!("  {}", refused.service), "refused", refused.reasons.join("; "))
        }));
        rows
    }

    /// The figures for a program: weights in grams, lengths in millimetres, money as text.
    #[must_use]
    pub fn to_json(&self) -> Value {
        let mass = |figure: &Option<Figure<Mass>>| figure.as_ref().map(mass_json);
        let pack = self.pack.as_ref().map(|it| json!({"name": it.value, "reason": it.reason}));
        let size = self
            .size
            .as_ref()
            .map(|it| json!({"mm": it.value.map(millimetres), "reason": it.reason}));
        let around = self
            .length_and_girth
            .as_ref()
            .map(|it| json!({"mm": millimetres(it.value), "reason": it.reason}));
        let caution = self
            .caution
            .as_ref()
            .map(|it| json!({"level": it.level.word(), "text": it.short, "advice": it.advice}));
        let packs: Vec<Value> = self.trials.iter().map(trial_json).collect();
        let figures = [
            ("items", mass(&self.items)),
            ("pack", pack),
            ("packs", Some(packs.into())),
            ("weight", mass(&self.weight)),
            ("size", size),
            ("length_and_girth", around),
            ("size_as_weight", mass(&self.billing.dimensional)),
            ("charged_weight", mass(&self.billing.billable)),
            ("caution", caution),
        ];
        let prices = self.quotes.as_ref().map(quotes_json).into_iter().flatten();
        let known = figures.into_iter().filter_map(|(key, value)| Some((key, value?)));
        known.chain(prices).map(|(key, value)| (key.to_owned(), value)).collect()
    }
}

/// Why the first offer is the one to take.
fn explain_choice(offer: &Quote, quotes: &Quotes) -> String {
    let choice = match quotes.offers.len() {
        _ if !quotes.asked && !offer.unchecked.is_empty() => {
            let missing = offer.unchecked.join(" and ");
            format!("the cheapest, if it takes it: no {missing} is known")
        }
        _ if quotes.asked => "the one that was asked for".to_owned(),
        1 => "the one that can carry it".to_owned(),
        count => format!("the cheapest of {count}"),
    };
    match offer.days {
        Some(1) => format!("{choice}; one day"),
        Some(days) => format!("{choice}; {days} days"),
        None => choice,
    }
}

/// What an offer's price is made of.
fn explain_offer(offer: &Quote) -> String {
    let extras: Vec<&str> = offer.extras.iter().map(|extra| &*extra.name).collect();
    match extras[..] {
        [] => offer.price.reason.clone(),
        _ => format!("{}, with {}", offer.price.reason, extras.join(" and ")),
    }
}

/// A verdict in a word or two.
fn verdict_words(verdict: &PackVerdict) -> &'static str {
    match verdict {
        PackVerdict::Takes { .. } => "would do",
        PackVerdict::TooSmall => "too small",
        PackVerdict::NoneFound => "not found to fit",
        PackVerdict::TooWeak => "too weak",
        PackVerdict::UsedUp => "used up",
        PackVerdict::Unknown => "not tried",
    }
}

/// Lines in three columns, the last of which is broken between words.
fn lay_out(rows: &[ReportRow], width: usize) -> String {
    let widest = |text: fn(&ReportRow) -> &str| {
        let lengths = rows.iter().map(|row| text(row).chars().count());
        lengths.max().unwrap_or(0).min(WIDEST)
    };
    let (names, figures) = (widest(|row| &row.name), widest(|row| &row.figure));
    let indent = names + figures + 4;
    let room = width.saturating_sub(indent).max(NARROWEST);
    let mut text = String::new();
    for row in rows {
        let mut line = format!("{:names$}  {:figures$}", row.name, row.figure);
        for (index, part) in break_words(&row.reason, room).into_iter().enumerate() {
            if index > 0 {
                text.push_str(line.trim_end());
                text.push('\n');
                line = " ".repeat(indent - 2);
            }
            line.push_str("  ");
            line.push_str(&part);
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// A sentence in lines of at most so many characters; a longer word has a line to itself.
fn break_words(text: &str, room: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let last = lines.last_mut().filter(|line| {
            line.is_empty() || line.chars().count() + 1 + word.chars().count() <= room
        });
        match last {
            Some(line) => {
                if !line.is_empty() {
                    line.push(' ');
                }
                line.push_str(word);
            }
            None => lines.push(word.to_owned()),
        }
    }
    lines
}

/// A number without needless decimals.
#[must_use]
pub(crate) fn plain_number(value: f64) -> Value {
    // Every whole number below 2^53 is exact in both types.
    if value.fract() == 0.0 && value < 9e15 { json!(value as u64) } else { json!(value) }
}

/// A weight in grams with its reason.
fn mass_json(figure: &Figure<Mass>) -> Value {
    json!({"g": plain_number(figure.value.to_grams()), "reason": figure.reason})
}

/// How JSON has a length.
fn millimetres(length: Extent) -> Value {
    plain_number(length.micrometres() as f64 / 1_000.0)
}

/// What came of trying one pack.
fn trial_json(trial: &PackTrial) -> Value {
    let mut entry = json!({
        "name": trial.pack,
        "verdict": trial.verdict.word(),
        "reason": trial.reason,
    });
    if let PackVerdict::Takes { places, void_permille } = &trial.verdict {
        let sides = |size: Size3| size.map(millimetres);
        entry["void_percent"] = plain_number(f64::from(*void_permille) / 10.0);
        entry["places"] = places
            .iter()
            .map(|place| {
                json!({
                    "item": place.item,
                    "corner_mm": sides(place.corner),
                    "size_mm": sides(place.size),
                })
            })
            .collect();
    }
    entry
}

/// The currency, what is offered and what is refused.
fn quotes_json(quotes: &Quotes) -> [(&'static str, Value); 3] {
    let offers: Vec<Value> = quotes.offers.iter().map(|offer| offer_json(offer, quotes)).collect();
    let refused: Vec<Value> = quotes.refused.iter().map(refused_json).collect();
    [
        ("currency", quotes.currency.as_str().into()),
        ("offers", offers.into()),
        ("refused", refused.into()),
    ]
}

/// The price of one service.
fn offer_json(offer: &Quote, quotes: &Quotes) -> Value {
    let extras: Vec<Value> = offer
        .extras
        .iter()
        .map(|extra| {
            let price = quotes.digits(extra.price.value);
            json!({"name": extra.name, "price": price, "reason": extra.price.reason})
        })
        .collect();
    json!({
        "service": offer.service,
        "zone": offer.zone,
        "charged_weight": offer.billable.as_ref().map(mass_json),
        "price": quotes.digits(offer.price.value),
        "reason": offer.price.reason,
        "extras": extras,
        "total": quotes.digits(offer.total),
        "days": offer.days,
        "unchecked": offer.unchecked,
    })
}

/// Why one service cannot carry it.
fn refused_json(refused: &Refused) -> Value {
    json!({"service": refused.service, "reasons": refused.reasons})
}
