//! Taking orders in: what is new, what has changed, what is known, and what went before.
//!
//! In: the orders of an export, as JSON. Out: for each what became of it; entries only for what is
//! new or has changed, so that the same export can be taken in again. Not here: reading the export.

use rusqlite::params;

use super::alike::{
    Difference, buyer_of, compare_orders, core_of, holds_the_same, is_another_order,
};
use super::entry::Event;
use super::entry_rows::read_entries;
use super::error::{LedgerError, OrderPlace};
use super::moment::Moment;
use super::now::{OrderNow, find_order, read_text};
use super::store::Act;

/// An order that arrives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Arrival<'a> {
    /// Its id, by which it is known again in the next export.
    pub id: &'a str,
    /// Its JSON, as it came.
    pub json: &'a str,
}

/// What became of an order that arrived.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Arrived {
    /// Its id in the orders.
    pub id: Box<str>,
    /// What it is to the ledger.
    pub news: News,
}

/// What an order that arrives is to the ledger.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum News {
    /// It had not come in before; it waits.
    New,
    /// It had not come in before, and looks like another that went or lies in a line; it is held
    /// back until the seller says `again`.
    Doubted {
        /// The other order's id.
        other: Box<str>,
        /// Where the other is.
        place: OrderPlace,
    },
    /// It waits, or lies in a line, and says what it said before.
    Known(OrderPlace),
    /// It waits, or lies in a line, and says something else now, which holds from now on.
    Changed {
        /// Whether it waits, or in which parcel it lies.
        place: OrderPlace,
        /// Which values are others than before.
        differences: Vec<Difference>,
        /// What was noted of hazards at the bench and no longer holds, because the order declares
        /// something else than it did then; none when nothing was.
        hazard_before: Option<Box<str>>,
        /// What the scale said of its parcel and no longer holds, in grams, because the order holds
        /// something else than it did then; none when it was not weighed.
        weight_before: Option<u32>,
    },
    /// Another order came in before under this id: buyer and address are others. What came first stays as it
    /// is, and this one is not taken in.
    Another {
        /// Where the other is.
        place: OrderPlace,
        /// What the other says, as JSON.
        was: Box<str>,
        /// What this one says, as JSON.
        is: Box<str>,
    },
    /// It waits, or lies in a line, and the export says what it said before it changed: the export is older
    /// than one that came before it, or the change was taken back. The order stays as it is.
    Older {
        /// Whether it waits, or in which parcel it lies.
        place: OrderPlace,
        /// When it came in as the export has it.
        as_of: Moment,
        /// When it changed, after which it was no longer so.
        changed: Moment,
        /// In what it says something else by now.
        differences: Vec<Difference>,
    },
    /// It went, or was taken off, and stays so.
    Gone {
        /// Where it was when it was done with.
        place: OrderPlace,
        /// Since when: its date.
        since: String,
        /// In what it says something else than then; what was forgotten cannot be compared.
        differences: Vec<Difference>,
    },
}

impl News {
    /// Whether it is of an order of a parcel that says something else now.
    #[must_use]
    pub fn changes(&self, number: u32) -> bool {
        match self {
            News::Changed { place: OrderPlace::InLine(_, at), .. } => *at == number,
            _ => false,
        }
    }
}

/// What an order of a parcel declares of hazards now.
struct Declared<'a> {
    /// The sitting of the parcel.
    sitting: u32,
    /// The parcel's number.
    number: u32,
    /// What is declared; empty when nothing is.
    hazard: &'a str,
}

impl Act<'_> {
    /// Takes orders in.
    ///
    /// # Errors
    /// Those of the database.
    pub fn take_in(&mut self, arrivals: &[Arrival<'_>]) -> Result<Vec<Arrived>, LedgerError> {
        self.take_in_knowing(arrivals, &[])
    }

    /// Takes orders in; those of the ids in `same` are the orders that came in under them before, however
    /// much of them is another.
    ///
    /// # Errors
    /// Those of the database.
    pub fn take_in_knowing(
        &mut self,
        arrivals: &[Arrival<'_>],
        same: &[String],
    ) -> Result<Vec<Arrived>, LedgerError> {
        arrivals
            .iter()
            .map(|arrival| {
                let news = match find_order(self.db(), arrival.id)? {
                    None => self.take_in_new(arrival)?,
                    Some(known) if same.iter().any(|id| *id == arrival.id) => {
                        self.take_in_known(arrival, &known)?
                    }
                    Some(known) => match self.find_namesake(arrival, &known)? {
                        Some(another) => another,
                        None => match self.find_older(arrival, &known)? {
                            Some(older) => older,
                            None => self.take_in_known(arrival, &known)?,
                        },
                    },
                };
                Ok(Arrived { id: arrival.id.into(), news })
            })
            .collect()
    }

    /// Takes in an order that has not come in before.
    fn take_in_new(&mut self, arrival: &Arrival<'_>) -> Result<News, LedgerError> {
        let other = self.find_other(arrival)?;
        let text = self.keep_text(arrival)?;
        let doubt = other.as_ref().map(|other| other.id.clone());
        self.order_event(&Event::Came { order: arrival.id.into(), text, doubt })?;
        Ok(match other {
            None => News::New,
            Some(OrderNow { id, place, .. }) => News::Doubted { other: id, place },
        })
    }

    /// What an order is to one of its id that is another; none when it is the same order, or nobody knows
    /// any more what that one said.
    fn find_namesake(
        &self,
        arrival: &Arrival<'_>,
        known: &OrderNow,
    ) -> Result<Option<News>, LedgerError> {
        let was = read_text(self.db(), known.text)?;
        let was = was.filter(|was| is_another_order(was, arrival.json));
        Ok(was.map(|was| News::Another {
            place: known.place.clone(),
            was: was.into(),
            is: arrival.json.into(),
        }))
    }

    /// What an order is that says what it said before it changed; none when it says something new, or what it
    /// said last, or has gone.
    fn find_older(
        &self,
        arrival: &Arrival<'_>,
        known: &OrderNow,
    ) -> Result<Option<News>, LedgerError> {
        let place = known.place.clone();
        if matches!(place, OrderPlace::HandedOver(..) | OrderPlace::TakenOff(_)) {
            return Ok(None);
        }
        let last = read_text(self.db(), known.text)?;
        let Some(last) = last.filter(|last| last != arrival.json) else { return Ok(None) };
        let differences = compare_orders(&last, arrival.json);
        if differences.is_empty() {
            return Ok(None);
        }
        let entries = read_entries(
            self.db(),
            "WHERE sitting IS NULL AND event ->> 'order' = ?1",
            [arrival.id],
        )?;
        let said = entries.iter().filter_map(|entry| match entry.event {
            Event::Came { text, .. } | Event::Changed { text, .. } => Some((text, entry.at)),
            _ => None,
        });
        let said: Vec<(i64, Moment)> = said.collect();
        for pair in said.windows(2).rev() {
            let [(text, as_of), (_, changed)] = [pair[0], pair[1]];
            let was = read_text(self.db(), text)?;
            if was.is_some_and(|was| compare_orders(&was, arrival.json).is_empty()) {
                return Ok(Some(News::Older { place, as_of, changed, differences }));
            }
        }
        Ok(None)
    }

    /// Takes in an order that has come in before.
    fn take_in_known(
        &mut self,
        arrival: &Arrival<'_>,
        known: &OrderNow,
    ) -> Result<News, LedgerError> {
        let was = read_text(self.db(), known.text)?;
        let differences = match &was {
            Some(was) if was == arrival.json => Vec::new(),
            Some(was) => compare_orders(was, arrival.json),
            None => Vec::new(),
        };
        let place = known.place.clone();
        if matches!(place, OrderPlace::HandedOver(..) | OrderPlace::TakenOff(_)) {
            return Ok(News::Gone { place, since: known.since.date(), differences });
        }
        if differences.is_empty() {
            return Ok(News::Known(place));
        }
        let lies_in = match place {
            OrderPlace::InLine(sitting, number) => Some((sitting, number)),
            _ => None,
        };
        let number_was =
            lies_in.map(|(sitting, number)| self.number_by_orders(sitting, number)).transpose()?;
        let text = self.keep_text(arrival)?;
        self.order_event(&Event::Changed { order: arrival.id.into(), text })?;
        let mut weight_before = None;
        if let Some((sitting, number)) = lies_in {
            self.follow_number(sitting, number, &number_was.unwrap_or_default())?;
            if !holds_the_same(&was.unwrap_or_default(), arrival.json) {
                weight_before = self.let_weight_go(arrival.id, sitting, number)?;
            }
        }
        let hazard_before = match place {
            OrderPlace::InLine(sitting, number) => {
                let declared = differences.iter().find(|it| it.path == "hazard");
                let declared = declared.map(|it| Declared { sitting, number, hazard: &it.is });
                declared.map_or(Ok(None), |it| self.let_hazard_go(arrival.id, &it))?
            }
            _ => None,
        };
        Ok(News::Changed { place, differences, hazard_before, weight_before })
    }

    /// The tracking number on which the orders of a parcel agree.
    fn number_by_orders(&self, sitting: u32, number: u32) -> Result<String, LedgerError> {
        let line = self.line(sitting)?;
        self.number_of_orders(line.parcel(number).map_or(&[], |parcel| &parcel.orders))
    }

    /// Lets go of what the scale said of a parcel when one of its orders holds something else now. Returns
    /// what it said.
    fn let_weight_go(
        &mut self,
        order: &str,
        sitting: u32,
        number: u32,
    ) -> Result<Option<u32>, LedgerError> {
        let line = self.line(sitting)?;
        let facts = line.parcel(number).map(|parcel| &parcel.facts);
        let Some(facts) = facts.filter(|it| it.weight_g.is_some() || it.size_mm.is_some()) else {
            return Ok(None);
        };
        self.happen(sitting, Event::Refilled { number, order: order.into() })?;
        Ok(facts.weight_g)
    }

    /// Lets go of what was noted of a parcel's hazards when one of its orders declares something else
    /// now: an answer stands only for what was asked. Returns what was noted.
    fn let_hazard_go(
        &mut self,
        order: &str,
        declared: &Declared<'_>,
    ) -> Result<Option<Box<str>>, LedgerError> {
        let Declared { sitting, number, hazard } = *declared;
        let line = self.line(sitting)?;
        let noted = line.parcel(number).and_then(|parcel| parcel.facts.hazard.clone());
        let Some(noted) = noted.filter(|noted| **noted != *hazard) else { return Ok(None) };
        self.happen(sitting, Event::Redeclared { number, order: order.into() })?;
        Ok(Some(noted))
    }

    /// An order of another id that went or lies in a line, whose id is the same but for letter case,
    /// prefix or a part, and which is for the same buyer.
    fn find_other(&self, arrival: &Arrival<'_>) -> Result<Option<OrderNow>, LedgerError> {
        let mut query =
            self.db().prepare_cached("SELECT id FROM order_now WHERE core = ?1 ORDER BY came")?;
        let ids: Vec<String> =
            query.query_map([core_of(arrival.id)], |row| row.get(0))?.collect::<Result<_, _>>()?;
        let buyer = buyer_of(arrival.json);
        for id in ids {
            let Some(other) = find_order(self.db(), &id)? else { continue };
            if matches!(other.place, OrderPlace::TakenOff(_)) {
                continue;
            }
            let same = match read_text(self.db(), other.text)? {
                Some(json) => buyer_of(&json) == buyer,
                // Nobody knows any more for whom it was.
                None => id.to_lowercase() == arrival.id.to_lowercase(),
            };
            if same {
                return Ok(Some(other));
            }
        }
        Ok(None)
    }

    /// Keeps what an order says; returns the number of the text.
    fn keep_text(&self, arrival: &Arrival<'_>) -> Result<i64, LedgerError> {
        self.db()
            .prepare_cached("INSERT INTO order_text (order_id, json) VALUES (?1, ?2)")?
            .execute(params![arrival.id, arrival.json])?;
        Ok(self.db().last_insert_rowid())
    }
}
