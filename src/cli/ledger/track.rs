//! `slipwright ledger track`: tracking numbers, one by one or from a carrier's table.
//!
//! In: a parcel and its number, or a table. Out: an entry for each, all or none; what is wrong with a
//! table is told with its lines. Not here: reading the table (`dispatch`).

use std::io::{self, Read as _};
use std::path::Path;

use serde_json::{Value, json};

use super::super::arguments::ledger::{LedgerOptions, TrackArguments};
use super::super::disk::Disk;
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::output::show_path;
use super::super::terminal;
use super::answer::{LedgerAnswer, how_shown};
use super::open::OpenLedger;
use super::shown::parcel_told;
use super::typed::read_words;
use super::what::{find_parcel, refuse_two_meanings};
use crate::dispatch::{CarrierNumber, NumberColumns, read_carrier_numbers};
use crate::fields::refuse_cut_short;
use crate::findings::{Finding, rules};
use crate::ledger::{Act, BenchLine, LedgerError, LineParcel, OrderPlace, Scan, Sent};
use crate::limits::FILE_BYTES;
use crate::pairs::PairCode;
use crate::record::Refusal;
use crate::source::{Env as _, Sources, Span};
use crate::verify::ProofTally;
use crate::words::counted;

/// Enters tracking numbers.
pub(super) fn run(options: &LedgerOptions, arguments: &TrackArguments) -> Result<Exit, Halt> {
    let mut sources = Sources::new();
    let numbers = match (&arguments.from, &arguments.order, &arguments.what[..]) {
        (Some(table), ..) => Numbers::Table(read_table(table, options, arguments, &mut sources)?),
        (None, Some(order), [tracking]) => Numbers::One(Naming::Order(order), tracking),
        (None, None, [parcel, tracking]) => Numbers::One(Naming::Typed(parcel), tracking),
        (None, ..) => {
            return Err(Halt::usage("expected a parcel and its tracking number")
                .hint("name both: `slipwright ledger track 3 RR473124829GB`"));
        }
    };
    let mut open = OpenLedger::open(options)?;
    let mut answer = LedgerAnswer::of_act("track", options, &arguments.act);
    let sitting = open.sitting_or_newest(arguments.sitting)?;
    let did = open.act("track", &arguments.act, |act| match &numbers {
        Numbers::One(naming, tracking) => {
            let placed = place_number(act, sitting, naming, tracking)?;
            Ok(vec![placed.enter(act)?])
        }
        Numbers::Table(numbers) => enter_all(act, sitting, numbers, &sources),
    })?;
    if let Some(tracked) = answer.take(did) {
        let replaced: Vec<Finding> = tracked.iter().filter_map(Tracked::tell_replaced).collect();
        terminal::show(&replaced, &sources, how_shown(options));
        match &tracked[..] {
            [one] => answer.line(&one.tell()),
            all => {
                answer.line(&counted(all.len(), "tracking number"));
                all.iter().for_each(|one| answer.line(&format!("  {}", one.tell())));
            }
        }
        answer.put("tracked", tracked.iter().map(Tracked::to_json).collect::<Vec<_>>());
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// What is to be entered.
enum Numbers<'a> {
    /// What names a parcel, and its number, as they were typed.
    One(Naming<'a>, &'a str),
    /// A carrier's table.
    Table(Vec<CarrierNumber>),
}

/// A parcel that has got its tracking number.
struct Tracked {
    /// In which sitting it lies.
    sitting: u32,
    /// Its number there.
    number: u32,
    /// What is on its bag.
    tag: Box<str>,
    /// It in words.
    named: String,
    /// The tracking number.
    tracking: Box<str>,
    /// The number that it had before; empty when it had none.
    was: Box<str>,
    /// Where it stands in the table; none where it was typed.
    span: Option<Span>,
}

impl Tracked {
    /// It in a sentence.
    fn tell(&self) -> String {
        format!("{} has {}", self.named, self.tracking)
    }

    /// That it had another number before, if it had.
    fn tell_replaced(&self) -> Option<Finding> {
        let Tracked { number, tag, tracking, was, span, .. } = self;
        if was.is_empty() || was == tracking {
            return None;
        }
        let message = format!("parcel {number} `{tag}` had another tracking number");
        let finding = Finding::new(&rules::TRACKING_REPLACED, message)
            .at(*span)
            .details([format!("was `{was}`, is `{tracking}`")])
            .hint("look which of the two stands on the parcel");
        Some(finding)
    }

    /// It for a program.
    fn to_json(&self) -> Value {
        let mut value = json!({
            "sitting": self.sitting,
            "number": self.number,
            "tag": self.tag,
            "tracking": self.tracking,
        });
        if !self.was.is_empty() && self.was != self.tracking {
            value["was"] = json!(self.was);
        }
        value
    }
}

/// Reads a carrier's table; what there is to say of it is shown.
fn read_table(
    table: &Path,
    options: &LedgerOptions,
    arguments: &TrackArguments,
    sources: &mut Sources,
) -> Result<Vec<CarrierNumber>, Halt> {
    let is_input = table == Path::new("-");
    let shown = if is_input { "standard input".to_owned() } else { show_path(table) };
    let wrong = |error: io::Error| Halt::unreadable(&shown, &error);
    let bytes = match is_input {
        true => {
            let mut bytes = Vec::new();
            let most = u64::try_from(FILE_BYTES).unwrap_or(u64::MAX);
            io::stdin().lock().take(most).read_to_end(&mut bytes).map_err(wrong)?;
            arguments.act.ask(&bytes);
            bytes
        }
        false => Disk::anywhere().read(table).map_err(wrong)?,
    };
    let name = if is_input { "standard input".into() } else { table.to_string_lossy() };
    let columns = NumberColumns {
        of: arguments.of.as_deref().map(Into::into),
        tracking: arguments.number.as_deref().map(Into::into),
    };
    match read_carrier_numbers(&bytes, &name, &columns, sources) {
        Ok((numbers, remarks)) => {
            terminal::show(&remarks, sources, how_shown(options));
            Ok(numbers)
        }
        Err(found) => {
            let found = found.into_iter().map(|it| match it.is(&rules::TWO_COLUMNS) {
                true => it.hint(
                    "say which holds: `--of COLUMN` for ids or pair codes, `--number COLUMN` for tracking \
                     numbers",
                ),
                false => it,
            });
            let halt = Halt::found(found.collect(), ProofTally::default(), sources);
            Err(halt.saying("nothing was entered"))
        }
    }
}

/// Enters a whole table, or says what is wrong with each of its rows.
fn enter_all(
    act: &mut Act<'_>,
    sitting: Option<u32>,
    numbers: &[CarrierNumber],
    sources: &Sources,
) -> Result<Vec<Tracked>, Halt> {
    // All are looked at before the first is entered: a number that one row frees is not free for another.
    let placed: Vec<Result<PlacedNumber, Halt>> = numbers
        .iter()
        .map(|CarrierNumber { of, tracking, .. }| {
            place_number(act, sitting, &Naming::InTable(of), tracking)
        })
        .collect();
    let mut tracked = Vec::new();
    let mut found: Vec<Finding> = Vec::new();
    for (CarrierNumber { span, .. }, placed) in numbers.iter().zip(placed) {
        match placed.and_then(|placed| placed.enter(act)) {
            Ok(one) => tracked.push(Tracked { span: Some(*span), ..one }),
            Err(halt) if halt.exit == Exit::Output => return Err(halt),
            Err(halt) => found.extend(halt.findings.into_iter().map(|it| it.at(*span))),
        }
    }
    match found.is_empty() {
        true => Ok(tracked),
        false => {
            Err(Halt::found(found, ProofTally::default(), sources).saying("nothing was entered"))
        }
    }
}

/// A tracking number and the parcel that gets it.
struct PlacedNumber {
    /// Where the parcel lies.
    place: ParcelPlace,
    /// What the carrier calls it by.
    tracking: Box<str>,
}

/// The parcel that gets a number, if no other one has it.
fn place_number(
    act: &Act<'_>,
    sitting: Option<u32>,
    of: &Naming<'_>,
    tracking: &str,
) -> Result<PlacedNumber, Halt> {
    let tracking = read_number(tracking)?;
    let place = find_place(act, sitting, of)?;
    act.refuse_another_s(place.sitting, place.number, &tracking)?;
    Ok(PlacedNumber { place, tracking })
}

impl PlacedNumber {
    /// Appends that the parcel got it, in place of a number that it had.
    fn enter(&self, act: &mut Act<'_>) -> Result<Tracked, Halt> {
        let ParcelPlace { sitting, number } = self.place;
        let number_of = |line: &BenchLine| {
            line.parcel(number).map(|parcel| parcel.tracking.clone()).unwrap_or_default()
        };
        let was = number_of(&act.line(sitting)?);
        let line = act.track(sitting, number, &self.tracking)?;
        let tag = line.parcel(number).map(|parcel| parcel.tag.clone()).unwrap_or_default();
        let named = line.parcel(number).map(parcel_told).unwrap_or_default();
        Ok(Tracked { sitting, number, tag, named, tracking: number_of(&line), was, span: None })
    }
}

/// A tracking number as scanners give it, so that it is known again however it was typed.
fn read_number(text: &str) -> Result<Box<str>, Halt> {
    if let Err(Refusal { message, hint }) = refuse_cut_short(text) {
        return Err(Halt::usage(message.unwrap_or_default()).hint_if(hint));
    }
    match Scan::read(text) {
        Scan::Tracking(tracking) if tracking.is_right => Ok(tracking.number),
        Scan::Tracking(tracking) => {
            let message =
                format!("the check digit of the tracking number `{}` is wrong", tracking.number);
            Err(Halt::refused(message).hint("compare all its digits with the carrier's"))
        }
        Scan::Ours(_) | Scan::Misread(_) => {
            Err(Halt::usage(format!("`{text}` is a code of ours and no tracking number"))
                .hint("scan the carrier's bars"))
        }
        Scan::Foreign if text.trim().is_empty() => Err(Halt::usage("the tracking number is empty")
            .hint("scan the carrier's bars, or type what stands below them")),
        Scan::OtherKeyboard | Scan::Foreign => Ok(read_words("the tracking number", text)?.into()),
    }
}

/// Where a parcel lies.
struct ParcelPlace {
    /// In which sitting.
    sitting: u32,
    /// Its number there.
    number: u32,
}

/// How a parcel is named.
#[derive(Clone, Copy)]
enum Naming<'a> {
    /// By whoever looks at the line: by its number, its pair code or an order's id.
    Typed(&'a str),
    /// In a table, where a number is an order's id, or the carrier's own: by a pair code or an order's id.
    InTable(&'a str),
    /// By an order's id, which could be taken for a number.
    Order(&'a str),
}

impl<'a> Naming<'a> {
    /// The name.
    fn text(self) -> &'a str {
        let (Naming::Typed(of) | Naming::InTable(of) | Naming::Order(of)) = self;
        of.trim()
    }

    /// The parcel of a line that it names, if it does.
    fn find(self, line: &BenchLine) -> Option<&LineParcel> {
        match self {
            Naming::Typed(of) => find_parcel(line, of.trim()),
            Naming::InTable(of) => line.parcel_of_pair(PairCode::parse(of.trim()).ok()?),
            Naming::Order(_) => None,
        }
    }

    /// What stops it when nothing is called so.
    fn refuse(self) -> Halt {
        let halt = Halt::usage(format!("no order or parcel is called `{}`", self.text()));
        halt.hint(match self {
            Naming::Typed(_) => {
                "name it by its number in the line, its pair code or an order's id: `slipwright ledger \
                 list`"
            }
            Naming::Order(_) => "see which there are: `slipwright ledger list`",
            Naming::InTable(_) => {
                "name it by an order's id or its pair code, not by its number in the line; if another \
                 column has the ids, name that with `--of`"
            }
        })
    }
}

/// The parcel that a number, a pair code or an order's id names.
fn find_place(
    act: &Act<'_>,
    sitting: Option<u32>,
    naming: &Naming<'_>,
) -> Result<ParcelPlace, Halt> {
    let of = naming.text();
    let order = act.order(of)?;
    let line = sitting.map(|sitting| act.line(sitting)).transpose()?;
    let parcel = line.as_ref().and_then(|line| Some((line.sitting, naming.find(line)?)));
    // An order that lies nowhere has no number to get.
    let lies =
        |place: &OrderPlace| matches!(place, OrderPlace::InLine(..) | OrderPlace::HandedOver(..));
    match (order, parcel) {
        (order, Some((sitting, parcel))) => {
            let order = order.filter(|order| lies(&order.place));
            refuse_two_meanings(of, sitting, parcel, order.as_ref())?;
            Ok(ParcelPlace { sitting, number: parcel.number })
        }
        (Some(order), None) => match order.place {
            OrderPlace::InLine(sitting, number) | OrderPlace::HandedOver(sitting, number) => {
                Ok(ParcelPlace { sitting, number })
            }
            // What went and is to go again has its carrier's number where it went.
            place => match act.went_untold(of)? {
                Some(Sent { sitting, number, .. }) => Ok(ParcelPlace { sitting, number }),
                None => Err(LedgerError::OrderIs { order: of.into(), place }.into()),
            },
        },
        (None, None) => Err(naming.refuse()),
    }
}
