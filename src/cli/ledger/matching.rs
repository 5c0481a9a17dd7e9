//! `slipwright ledger match`: cards and labels that belong together, scanned or looked at.
//!
//! In: two codes, or a stream of scans, a line each, as a scanner sends them. Out: a verdict for each,
//! at once, and an entry for every pair that is right; what a verdict says is on the disk by then. Not
//! here: what a scan is (`ledger::Matcher`).

use std::io::{self, BufRead, Read as _};

use serde_json::{Value, json};

use super::super::arguments::ledger::{LedgerOptions, MatchArguments};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::line::TornParcel;
use super::super::terminal;
use super::answer::LedgerAnswer;
use super::changed::put_parcels;
use super::news::{lies_in, tell_news};
use super::open::{Did, OpenLedger};
use super::outdated::{find_torn, find_trouble, find_trouble_of, tell_outdated};
use super::shown::{line_json, parcel_words, sitting_json};
use crate::fields::tracking_key;
use crate::ledger::{
    BenchLine, Event, LineParcel, MatchVerdict, Matcher, Matching, Named, ParcelState,
};
use crate::sides::PairSide;
use crate::words::counted;

/// The most bytes of a line that are looked at: a scanner sends a few dozen.
const SCAN_BYTES: u64 = 4 << 10;
/// The line of a stream that asks who is not matched yet.
const FINISH: &str = "finish";
/// The line of a stream that takes the last match back.
const UNDO: &str = "undo";

/// Takes scans, from arguments or one a line, and says what each comes to.
pub(super) fn run(options: &LedgerOptions, arguments: &MatchArguments) -> Result<Exit, Halt> {
    let open = OpenLedger::open(options)?;
    if arguments.finish {
        return finish(&open, options);
    }
    if !arguments.by_eye.is_empty() {
        return match_by_eye(open, options, arguments);
    }
    if let Some(text) = &arguments.scan {
        return match_scan(Bench::at(open, options, arguments)?, options, text);
    }
    if arguments.codes.is_empty() {
        if arguments.act.request.is_some() {
            let message =
                "a stream of scans has no `--request`: a pair that was matched is told so";
            return Err(Halt::usage(message).hint("leave `--request` out, or name two codes"));
        }
        let input = io::stdin().lock();
        return match_stream(Bench::at(open, options, arguments)?, options, input);
    }
    match_codes(open, options, arguments)
}

/// What a scan came to, once it is entered.
struct Told {
    /// A word for programs.
    word: &'static str,
    /// Whether all is well.
    is_good: bool,
    /// The parcel it is about, if it is about one.
    parcel: Option<Named>,
    /// Two parcels that it is about, each with the side that was scanned.
    two: Vec<(PairSide, Named)>,
    /// The sentence for people.
    says: String,
}

impl Told {
    /// What is told of a verdict, in the form that scripts read.
    fn of(verdict: &MatchVerdict) -> Told {
        let named = match verdict {
            MatchVerdict::Right { parcel }
            | MatchVerdict::Half { parcel, .. }
            | MatchVerdict::Tracking { parcel, .. }
            | MatchVerdict::Already { parcel, .. }
            | MatchVerdict::Out { parcel, .. }
            | MatchVerdict::OtherPrinting { parcel, .. }
            | MatchVerdict::NotPrinted { parcel }
            | MatchVerdict::OrderCode { parcel } => Some(parcel.clone()),
            _ => None,
        };
        let two = match verdict {
            MatchVerdict::Wrong { label, card } => {
                vec![(PairSide::Label, label.clone()), (PairSide::Card, card.clone())]
            }
            MatchVerdict::SameSide { side, first, second } => {
                vec![(*side, first.clone()), (*side, second.clone())]
            }
            _ => Vec::new(),
        };
        Told {
            word: verdict.word(),
            is_good: verdict.is_good(),
            parcel: named,
            two,
            says: verdict.to_string(),
        }
    }

    /// It with the tracking number that a new one replaces, if there was one before it.
    fn replacing(self, line: &BenchLine, verdict: &MatchVerdict) -> Told {
        let MatchVerdict::Tracking { parcel, tracking } = verdict else { return self };
        let was = line.parcel(parcel.number).map(|parcel| &*parcel.tracking).unwrap_or_default();
        if was.is_empty() || tracking_key(was) == tracking_key(&tracking.number) {
            return self;
        }
        let says = format!("{}; it had {was} before: look which of the two is on it", self.says);
        Told { word: "tracking-replaced", says, ..self }
    }

    /// It for a program.
    fn to_json(&self) -> Value {
        let mut value = json!({"verdict": self.word, "good": self.is_good, "says": self.says});
        if let Some(parcel) = &self.parcel {
            value["number"] = parcel.number.into();
            value["tag"] = (&*parcel.tag).into();
        }
        if !self.two.is_empty() {
            let tell = |(side, parcel): &(PairSide, Named)| json!({"side": side_word(*side), "number": parcel.number, "tag": &*parcel.tag});
            value["two"] = self.two.iter().map(tell).collect();
        }
        value
    }
}

/// What a program is told of a side.
fn side_word(side: PairSide) -> &'static str {
    match side {
        PairSide::Label => "label",
        PairSide::Card => "card",
    }
}

/// A bench at which is matched: the ledger, and what was scanned there last.
struct Bench<'a> {
    /// What is written to; read anew for each scan.
    open: OpenLedger,
    /// Where the ledger is, and the shop file beside it.
    options: &'a LedgerOptions,
    /// Which sitting, and how answers are given.
    arguments: &'a MatchArguments,
    /// What was scanned last.
    matcher: Matcher,
}

impl<'a> Bench<'a> {
    /// A bench where nothing was scanned yet, or what the arguments say.
    fn at(
        open: OpenLedger,
        options: &'a LedgerOptions,
        arguments: &'a MatchArguments,
    ) -> Result<Bench<'a>, Halt> {
        open.expect_line()?;
        let matcher = Matcher::resume(arguments.held.as_deref(), arguments.after);
        Ok(Bench { open, options, arguments, matcher })
    }

    /// Takes a line of a scanner: a scan, or one of the words.
    fn hear(&mut self, text: &str) -> Result<Told, Halt> {
        match text {
            FINISH => {
                let line = self.open.expect_line()?;
                let left = unmatched(&line);
                Ok(Told {
                    word: if left.is_empty() { "complete" } else { "incomplete" },
                    is_good: left.is_empty(),
                    parcel: None,
                    two: Vec::new(),
                    says: tell_unmatched(&left),
                })
            }
            UNDO => self.undo(),
            text => self.take(text),
        }
    }

    /// Takes a scan, and enters what is right.
    fn take(&mut self, text: &str) -> Result<Told, Halt> {
        // Another station may have matched or taken off something since the last scan.
        let line = self.open.expect_line()?;
        let verdict = self.matcher.scan(&line, text);
        if let Some(told) = self.refuse_outdated(&line, &verdict) {
            return Ok(told);
        }
        match self.enter(&line, &verdict) {
            Ok(()) => {
                let told = Told::of(&verdict).replacing(&line, &verdict);
                self.tell_called_off(line.sitting, told)
            }
            Err(halt) if halt.exit == Exit::Findings => {
                // Whatever comes next is not of a parcel that was not matched; a number that was
                // refused was not the parcel's, and the right one may follow.
                if !matches!(verdict, MatchVerdict::Tracking { .. }) {
                    self.matcher = Matcher::default();
                }
                let says = halt.findings.first().map(|found| found.message.clone());
                let told = Told::of(&verdict);
                Ok(Told { word: "refused", is_good: false, says: says.unwrap_or_default(), ..told })
            }
            Err(halt) => Err(halt),
        }
    }

    /// Says of a pair that is right that the shop no longer sends what is in it, if that is so: the
    /// papers belong together all the same.
    fn tell_called_off(&self, sitting: u32, told: Told) -> Result<Told, Halt> {
        let Some(parcel) = told.parcel.as_ref().filter(|_| told.word == "right") else {
            return Ok(told);
        };
        let news = self.open.ledger.news()?;
        let ids: Vec<&str> = news
            .iter()
            .filter(|it| it.called_off.is_some() && lies_in(it, sitting, &[parcel.number]))
            .map(|news| &*news.order.id)
            .collect();
        if ids.is_empty() {
            return Ok(told);
        }
        let says = format!(
            "{}, but the shop's export calls {} cancelled or leaves it out: take it off",
            told.says,
            ids.join(" and ")
        );
        Ok(Told { says, ..told })
    }

    /// What is said of a pair that belongs together and is no longer true: its address or weight may
    /// be another by now. None of any other.
    fn refuse_outdated(&mut self, line: &BenchLine, verdict: &MatchVerdict) -> Option<Told> {
        let MatchVerdict::Right { parcel } = verdict else { return None };
        let trouble = find_trouble_of(&self.open, line, parcel.number, self.options);
        let says = match (trouble.torn(parcel.number), trouble.outdated.get(&parcel.number)) {
            (Some(torn), _) => torn_words(torn),
            (None, Some(changes)) => format!(
                "the papers of {parcel} are out of date ({}): print them again first",
                changes.join("; ")
            ),
            (None, None) => return None,
        };
        self.matcher = Matcher::default();
        Some(Told { word: "out-of-date", is_good: false, says, ..Told::of(verdict) })
    }

    /// Enters a pair that is right, or its tracking number.
    fn enter(&mut self, line: &BenchLine, verdict: &MatchVerdict) -> Result<(), Halt> {
        let sitting = line.sitting;
        match verdict {
            MatchVerdict::Right { parcel } => {
                self.open.act("match", &self.arguments.act, |act| {
                    Ok(act.matched(sitting, parcel.number, Matching::Scan)?)
                })?;
            }
            MatchVerdict::Tracking { parcel, tracking } => {
                self.open.act("match", &self.arguments.act, |act| {
                    Ok(act.track(sitting, parcel.number, &tracking.number)?)
                })?;
            }
            _ => {}
        }
        Ok(())
    }

    /// Takes back what was matched last.
    fn undo(&mut self) -> Result<Told, Halt> {
        self.matcher = Matcher::default();
        let sitting = self.open.expect_line()?.sitting;
        let undone = self.open.act("match", &self.arguments.act, |act| {
            let (taken, line) = act.undo(sitting)?;
            let is_match =
                |event: &Event| matches!(event, Event::Matched { .. } | Event::Tracked { .. });
            match taken.iter().all(|entry| is_match(&entry.event)) {
                true => Ok((taken, line)),
                false => Err(Halt::refused(
                    "what was done last is no match: `ledger undo` takes it \
                                            back",
                )),
            }
        });
        let told =
            |is_good, word, parcel, says| Told { word, is_good, parcel, two: Vec::new(), says };
        match undone {
            Ok(did) => {
                let done = match did {
                    Did::Now(done) | Did::Rehearsed(done) => Some(done),
                    Did::Before(_) => None,
                };
                let parcel = done.and_then(|(taken, line)| {
                    let number = taken.first()?.event.number()?;
                    Some(Named { number, tag: line.parcel(number)?.tag.clone() })
                });
                let named = parcel.as_ref().map(|parcel| format!(": {parcel}"));
                Ok(told(true, "undone", parcel, format!("taken back{}", named.unwrap_or_default())))
            }
            Err(halt) if halt.exit == Exit::Findings => {
                let says = halt.findings.first().map(|found| found.message.clone());
                Ok(told(false, "refused", None, says.unwrap_or_default()))
            }
            Err(halt) => Err(halt),
        }
    }
}

/// That the orders of a parcel no longer agree, and the first way out.
fn torn_words(torn: &TornParcel) -> String {
    let (number, tag, says) = (torn.number, &torn.tag, torn.says());
    let way = torn.ways_out().into_iter().next().unwrap_or_default();
    format!("the orders of {number} {tag} no longer agree ({says}): {way}")
}

/// Matches two codes, and takes the tracking number that may follow.
fn match_codes(
    open: OpenLedger,
    options: &LedgerOptions,
    arguments: &MatchArguments,
) -> Result<Exit, Halt> {
    let mut answer = LedgerAnswer::of_act("match", options, &arguments.act);
    let mut bench = Bench::at(open, options, arguments)?;
    let mut all = Vec::new();
    for code in &arguments.codes {
        let told = bench.take(code)?;
        let goes_on = told.is_good;
        all.push(told);
        if !goes_on {
            break;
        }
    }
    // Two halves that never met are no match either.
    let is_good = all.iter().all(|told| told.is_good) && all.iter().any(|it| it.word == "right");
    if let Some(last) = all.last() {
        answer.line(&last.says);
    }
    answer.put("good", is_good);
    answer.put("verdicts", all.iter().map(Told::to_json).collect::<Vec<_>>());
    answer.show()?;
    Ok(if is_good { Exit::Done } else { Exit::Findings })
}

/// Takes one scan, and says what it leaves open for the next.
fn match_scan(mut bench: Bench<'_>, options: &LedgerOptions, text: &str) -> Result<Exit, Halt> {
    let mut answer = LedgerAnswer::of_act("match", options, &bench.arguments.act);
    let told = bench.hear(text.trim())?;
    answer.line(&told.says);
    answer.put("good", told.is_good);
    answer.put("verdicts", vec![told.to_json()]);
    answer.put("held", bench.matcher.held().map(|held| held.to_string()));
    answer.put("after", bench.matcher.last());
    answer.show()?;
    Ok(if told.is_good { Exit::Done } else { Exit::Findings })
}

/// Matches scans as they come; ends with its input.
fn match_stream(
    mut bench: Bench<'_>,
    options: &LedgerOptions,
    mut input: impl BufRead,
) -> Result<Exit, Halt> {
    let mut exit = Exit::Done;
    while let Some(text) = read_scan(&mut input)? {
        if text.is_empty() {
            continue;
        }
        let told = bench.hear(&text)?;
        if text == FINISH {
            exit = if told.is_good { Exit::Done } else { Exit::Findings };
        }
        match options.json {
            true => terminal::print_json(&format!("{}\n", told.to_json()))?,
            false => terminal::print(&format!("{}\n", told.says))?,
        }
    }
    Ok(exit)
}

/// The next line of a stream without its end; none where it ends. Of a line that is too long for a scan
/// its beginning alone is looked at, which is no code of ours.
fn read_scan(input: &mut impl BufRead) -> Result<Option<String>, Halt> {
    let wrong = |error: io::Error| Halt::unreadable("standard input", &error);
    let mut bytes = Vec::new();
    input.take(SCAN_BYTES).read_until(b'\n', &mut bytes).map_err(wrong)?;
    if bytes.is_empty() {
        return Ok(None);
    }
    while bytes.last() != Some(&b'\n') {
        let mut rest = Vec::new();
        let count = input.take(SCAN_BYTES).read_until(b'\n', &mut rest).map_err(wrong)?;
        if count == 0 || rest.last() == Some(&b'\n') {
            break;
        }
    }
    Ok(Some(String::from_utf8_lossy(&bytes).trim().to_owned()))
}

/// Enters parcels whose card and label somebody laid together.
fn match_by_eye(
    mut open: OpenLedger,
    options: &LedgerOptions,
    arguments: &MatchArguments,
) -> Result<Exit, Halt> {
    let mut answer = LedgerAnswer::of_act("match", options, &arguments.act);
    let before = open.expect_line()?;
    let sitting = before.sitting;
    let torn = find_torn(&open, &before, options);
    let did = open.act("match", &arguments.act, |act| {
        let mut line = act.line(sitting)?;
        for &number in &arguments.by_eye {
            if let Some(torn) = torn.iter().find(|torn| torn.number == number) {
                let (tag, says) = (&torn.tag, torn.says());
                let message =
                    format!("the orders of parcel {number} `{tag}` no longer agree ({says})");
                let halt = Halt::refused(message);
                return Err(torn.ways_out().into_iter().fold(halt, |halt, way| halt.hint(way)));
            }
            line = act.matched(sitting, number, Matching::Eye)?;
        }
        Ok(line)
    })?;
    if let Some(line) = answer.take(did) {
        let named = arguments.by_eye.iter().filter_map(|&number| line.parcel(number));
        let named: Vec<String> = named.map(parcel_words).collect();
        answer.line(&format!("matched by eye: {}", named.join(", ")));
        put_parcels(&mut answer, &line, &arguments.by_eye);
        let by_eye = &arguments.by_eye;
        let trouble = find_trouble(&open, &line, options);
        tell_outdated(&trouble.outdated, &line, &mut answer, |number| by_eye.contains(&number));
        tell_news(&open, &mut answer, |news| lies_in(news, sitting, by_eye))?;
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// Says which parcels are not matched yet.
fn finish(open: &OpenLedger, options: &LedgerOptions) -> Result<Exit, Halt> {
    let line = open.expect_line()?;
    let left = unmatched(&line);
    let mut answer = LedgerAnswer::new("match", options);
    answer.line(&tell_unmatched(&left));
    answer.put("complete", left.is_empty());
    answer.put("sitting", sitting_json(&line));
    answer.put("unmatched", line_json(&line, is_unmatched));
    let trouble = find_trouble(open, &line, options);
    tell_outdated(&trouble.outdated, &line, &mut answer, |_| true);
    let here: Vec<u32> = line.present().map(|parcel| parcel.number).collect();
    tell_news(open, &mut answer, |news| lies_in(news, line.sitting, &here))?;
    answer.show()?;
    Ok(if left.is_empty() { Exit::Done } else { Exit::Findings })
}

/// The parcels of a line that are still to be matched.
fn unmatched(line: &BenchLine) -> Vec<&LineParcel> {
    line.parcels().filter(|parcel| is_unmatched(parcel)).collect()
}

/// Whether a parcel is still to be matched.
fn is_unmatched(parcel: &LineParcel) -> bool {
    matches!(parcel.state, ParcelState::LinedUp | ParcelState::Printed)
}

/// Which parcels are still to be matched, in a sentence.
fn tell_unmatched(left: &[&LineParcel]) -> String {
    if left.is_empty() {
        return "every parcel is matched".to_owned();
    }
    let named: Vec<String> = left.iter().map(|parcel| parcel_words(parcel)).collect();
    let verb = if left.len() == 1 { "is" } else { "are" };
    format!(
        "{} {verb} not matched: {}; match them, or take them off",
        counted(left.len(), "parcel"),
        named.join(", ")
    )
}
