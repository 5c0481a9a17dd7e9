//! `slipwright ledger note`: what the scale says of a parcel, or what was decided.

use std::path::Path;

use super::super::arguments::ledger::{ActOptions, FactOptions, LedgerOptions, NoteArguments};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::inputs::read_orders_text;
use super::super::line::LineInputs;
use super::answer::LedgerAnswer;
use super::changed::{put_parcels, tell_papers};
use super::computed::{AskedParcels, Computed};
use super::facts::{judge_typed, read_facts, read_weight};
use super::open::OpenLedger;
use super::shop_file::{place_of, shop_beside};
use super::shown::{fact_words, parcel_words};
use crate::ledger::{BenchLine, Event, Facts};
use crate::words::{counted, shorten};

/// Something noted of a parcel.
struct Noted {
    /// The parcel's number.
    number: u32,
    /// What was measured or decided; the others stay as they were.
    facts: Facts,
}

/// Notes what a seller says of a parcel, or the weights of many.
pub(super) fn run(options: &LedgerOptions, arguments: &NoteArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let mut answer = LedgerAnswer::of_act("note", options, &arguments.act);
    let noted = match (&arguments.weights, arguments.number) {
        (Some(path), _) => read_weights(path, &arguments.act)?,
        (None, Some(number)) => vec![read_noted(&open, options, arguments, number, &mut answer)?],
        (None, None) => Vec::new(),
    };
    let done = open.act("note", &arguments.act, |act| {
        let sitting = act.expect_sitting()?;
        for Noted { number, facts } in &noted {
            let event = Event::Noted { number: *number, facts: facts.clone() };
            act.happen(sitting, event)?;
        }
        Ok(act.line(sitting)?)
    })?;
    if let Some(after) = answer.take(done) {
        let numbers: Vec<u32> = noted.iter().map(|it| it.number).collect();
        let question = AskedParcels { open: &open, line: &after, numbers: &numbers };
        let computed = Computed::ask(&question, &arguments.shop, options)?;
        computed.show(options, &mut answer);
        tell(&noted, &after, &computed, &mut answer);
        put_parcels(&mut answer, &after, &numbers);
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// Reads what is noted of one parcel.
fn read_noted(
    open: &OpenLedger,
    options: &LedgerOptions,
    arguments: &NoteArguments,
    number: u32,
    answer: &mut LedgerAnswer,
) -> Result<Noted, Halt> {
    if arguments.facts == FactOptions::default() {
        return Err(Halt::usage("there is nothing to note")
            .hint(format!("say it: `slipwright ledger note {number} --weight 372`")));
    }
    let beside = shop_beside(options);
    let place = place_of(&arguments.shop, &beside);
    let source = LineInputs::read(&open.ledger, open.expect_line()?, place)?;
    let facts = read_facts(&arguments.facts, source.inputs.shop.as_ref())?;
    if let Some(tag) = &facts.tag {
        judge_typed(&source, tag, Some(number), answer)?;
    }
    Ok(Noted { number, facts })
}

/// Puts what was noted into the answer, with what it makes of the parcels.
fn tell(noted: &[Noted], after: &BenchLine, computed: &Computed, answer: &mut LedgerAnswer) {
    for Noted { number, facts } in noted {
        let Some(parcel) = after.parcel(*number) else { continue };
        let mut told = vec![fact_words(facts)];
        told.extend(facts.tag.iter().map(|tag| format!("its tag is `{tag}` now")));
        told.push(computed.words(*number));
        told.retain(|part| !part.is_empty());
        answer.line(&format!("{}: {}", parcel_words(parcel), told.join("; ")));
        if noted.len() == 1 {
            tell_papers(answer, parcel);
        }
    }
    if noted.len() > 1 {
        answer.line(&format!("{} noted", counted(noted.len(), "weight")));
    }
}

/// Reads a weight a line, behind the parcel's number.
fn read_weights(path: &Path, act: &ActOptions) -> Result<Vec<Noted>, Halt> {
    let (name, text) = read_orders_text(path)?;
    if path == Path::new("-") {
        act.ask(text.as_bytes());
    }
    let mut noted: Vec<Noted> = Vec::new();
    for (at, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let place = |halt: Halt| in_line(halt, &name, at + 1);
        let expected = || {
            Halt::usage(format!(
                "expected a parcel's number and its weight, found `{}`",
                shorten(line)
            ))
            .hint("write one parcel a line: `12 372g`")
        };
        let (number, weight) =
            line.split_once([' ', '\t', ',', ';']).ok_or_else(|| place(expected()))?;
        let number: u32 = number.trim().parse().map_err(|_| place(expected()))?;
        if noted.iter().any(|other| other.number == number) {
            let message = format!("parcel {number} is there twice");
            return Err(place(Halt::usage(message).hint("keep the line that the scale said last")));
        }
        let weight = weight.trim_matches([' ', '\t', ',', ';']);
        let weight_g = Some(read_weight(weight).map_err(place)?);
        noted.push(Noted { number, facts: Facts { weight_g, ..Facts::default() } });
    }
    match noted.is_empty() {
        true => Err(Halt::usage(format!("`{name}` has no weights"))),
        false => Ok(noted),
    }
}

/// Says in which line of a file it is.
fn in_line(mut halt: Halt, name: &str, line: usize) -> Halt {
    for finding in &mut halt.findings {
        finding.message = format!("line {line} of `{name}`: {}", finding.message);
    }
    halt
}
