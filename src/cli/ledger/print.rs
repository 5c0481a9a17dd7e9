//! `slipwright ledger print`: what is not yet printed or out of date, and lists about the line.
//!
//! In: the open line. Out: the first time a whole kit, afterwards only the difference, in a folder that
//! appears before the ledger calls anything printed: a run that ends in between is given again, and
//! nothing passes for printed that is not. Not here: how papers are made and compared (`kit::line`).

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::super::arguments::ledger::{LedgerOptions, ListOf, PrintArguments};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::kit::{
    LineList, LinePrinted, ListKind, PlannedParcel, PrintPlan, WantedPapers, make_line, make_list,
    plan_line,
};
use super::super::line::{LineInputs, TornParcel};
use super::super::output::show_path;
use super::super::setup::PrintSetup;
use super::answer::{LedgerAnswer, show_found};
use super::news::{lies_in, tell_news};
use super::open::OpenLedger;
use super::shop_file::{place_of, shop_beside};
use super::shown::{line_json, sitting_json};
use crate::fields::Day;
use crate::findings::{Finding, has_errors, rules};
use crate::kit::RECORD;
use crate::ledger::{BenchLine, Event, PrintedParcel};
use crate::source::Sources;
use crate::verify::{ProofTally, Proofing};
use crate::words::counted;

/// Prints the line, or a list about it.
pub(super) fn run(options: &LedgerOptions, arguments: &PrintArguments) -> Result<Exit, Halt> {
    if arguments.draft {
        return Err(Halt::no_drafts("ledger print"));
    }
    let mut open = OpenLedger::open(options)?;
    let line = open.expect_line()?;
    let beside = shop_beside(options);
    let mut source = LineInputs::read(&open.ledger, line, place_of(&arguments.shop, &beside))?;
    let proof = (!arguments.no_proof).then_some(Proofing { gain: None, every_code: true });
    let mut setup = PrintSetup::with(arguments.fonts.as_deref(), &source.inputs, None, proof)?;
    // What is entered as of another time is printed as of that day.
    setup.date = arguments.act.at.and_then(|at| Day::parse(&at.date())).or(setup.date);
    let mut answer = LedgerAnswer::of_act("print", options, &arguments.act);
    let wanted = if arguments.anew { WantedPapers::All } else { WantedPapers::Due };
    let mut exit = Exit::Done;
    match (arguments.list, arguments.act.dry_run) {
        (Some(list), _) => {
            let made = make_one_list(arguments, list, &mut source, &setup)?;
            show_found(&made.findings, &source.inputs.sources, options);
            tell_list(&made, &mut answer);
        }
        (None, true) => {
            choose_folder(&open, &source.line, options, arguments)?;
            let plan = plan_line(&mut source, &setup, wanted)?;
            show_found(&plan.findings, &source.inputs.sources, options);
            tell_plan(&source.line, &plan, &mut answer);
            tell_news_of(&open, &source.line, &mut answer)?;
            // Nothing would be printed then either.
            exit = match has_errors(&plan.findings) || !plan.torn.is_empty() {
                true => Exit::Findings,
                false => Exit::Done,
            };
        }
        (None, false) => {
            let to = choose_folder(&open, &source.line, options, arguments)?;
            let plan = plan_line(&mut source, &setup, wanted)?;
            let printed = make_line(&mut source, &setup, &to, wanted)?;
            show_found(&printed.findings, &source.inputs.sources, options);
            tell_plan(&source.line, &plan, &mut answer);
            tell_news_of(&open, &source.line, &mut answer)?;
            record(&mut open, arguments, &to, printed, &mut answer)?;
            if !plan.torn.is_empty() {
                exit = Exit::Findings;
            }
        }
    }
    answer.show()?;
    Ok(exit)
}

/// Tells what is printed of which parcel, and why.
fn tell_plan(line: &BenchLine, plan: &PrintPlan, answer: &mut LedgerAnswer) {
    let printed = plan.parcels.iter().filter(|parcel| !parcel.documents.is_empty());
    if plan.is_first && (!plan.parcels.is_empty() || plan.torn.is_empty()) {
        answer.line(&format!("the whole kit: {}", counted(printed.count(), "parcel")));
    } else {
        printed.for_each(|parcel| answer.line(&parcel_sentence(parcel)));
    }
    for parcel in plan.parcels.iter().filter(|parcel| !parcel.withdrawn.is_empty()) {
        let (number, tag, papers) = (parcel.number, &parcel.tag, parcel.withdrawn.join(", "));
        answer.line(&format!("{number} `{tag}`: throw away its {papers}"));
    }
    match (plan.parcels.is_empty(), plan.torn.is_empty()) {
        (true, true) => answer.line("everything is printed and up to date"),
        (true, false) => answer.line("nothing else is to be printed"),
        (false, _) => {}
    }
    if !plan.torn.is_empty() {
        answer.put("disagree", plan.torn.iter().map(TornParcel::to_json).collect::<Vec<_>>());
    }
    answer.put("first", plan.is_first);
    answer.put("prints", plan.parcels.iter().map(planned_json).collect::<Vec<_>>());
    answer.put("sitting", sitting_json(line));
}

/// Tells which orders of a line exports call cancelled; what changed is in the plan as far as papers show it.
fn tell_news_of(
    open: &OpenLedger,
    line: &BenchLine,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    let numbers: Vec<u32> = line.present().map(|parcel| parcel.number).collect();
    tell_news(open, answer, |news| {
        news.called_off.is_some() && lies_in(news, line.sitting, &numbers)
    })
}

/// What is printed of a parcel, in a sentence.
fn parcel_sentence(parcel: &PlannedParcel) -> String {
    let documents: Vec<&str> = parcel.documents.iter().map(|paper| paper.document).collect();
    format!("{} `{}`, {}: {}", parcel.number, parcel.tag, parcel.why.word(), documents.join(", "))
}

/// What is printed of a parcel, for a program.
fn planned_json(parcel: &PlannedParcel) -> Value {
    let documents: Vec<&str> = parcel.documents.iter().map(|paper| paper.document).collect();
    json!({
        "number": parcel.number,
        "tag": parcel.tag,
        "why": parcel.why.word(),
        "documents": documents,
        "withdrawn": parcel.withdrawn,
    })
}

/// Enters what was printed; a parcel that went out of the line at this moment is left out.
fn record(
    open: &mut OpenLedger,
    arguments: &PrintArguments,
    to: &Path,
    printed: LinePrinted,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    let LinePrinted { folder, parcels, lines, .. } = printed;
    if let Some(folder) = &folder {
        answer.line(&format!("in {}:", show_path(folder)));
        lines.iter().for_each(|line| answer.line(&format!("  {}", line.trim())));
        answer.put("folder", folder.display().to_string());
        answer.put("made", lines.iter().map(|line| line.trim().into()).collect::<Vec<Value>>());
    }
    if parcels.is_empty() {
        return Ok(());
    }
    // The folder is found again from wherever a later command is given.
    let kit = std::fs::canonicalize(to).unwrap_or_else(|_| to.to_owned());
    let kit = kit.to_string_lossy();
    let done = open.act("print", &arguments.act, |act| {
        let sitting = act.expect_sitting()?;
        let line = act.line(sitting)?;
        let is_there = |parcel: &PrintedParcel| {
            line.parcel(parcel.number).is_some_and(|it| it.state.is_open())
        };
        let parcels: Vec<PrintedParcel> = parcels.into_iter().filter(is_there).collect();
        let numbers: Vec<u32> = parcels.iter().map(|parcel| parcel.number).collect();
        Ok((act.printed(sitting, parcels, Some(&kit))?, numbers))
    })?;
    let Some((after, numbers)) = answer.take(done) else { return Ok(()) };
    answer.put("parcels", line_json(&after, |parcel| numbers.contains(&parcel.number)));
    Ok(())
}

/// The folder of the sitting's kit: the one that is named, or where it was printed before, or one
/// beside the ledger that is named after the sitting's number.
///
/// # Errors
/// When all that was printed was there and it is gone, and the whole kit is not wanted anew; or when it
/// is wanted anew and is there.
fn choose_folder(
    open: &OpenLedger,
    line: &BenchLine,
    options: &LedgerOptions,
    arguments: &PrintArguments,
) -> Result<PathBuf, Halt> {
    if let Some(to) = &arguments.to {
        return Ok(to.clone());
    }
    let story = open.ledger.story(line.sitting)?;
    let known = story.iter().find_map(|entry| match &entry.event {
        Event::Printed { kit: Some(kit), .. } => Some(seen_from_here(Path::new(&**kit))),
        _ => None,
    });
    let Some(known) = known else {
        return Ok(options.ledger.with_file_name(format!("sitting-{}", line.sitting)));
    };
    // The ledger may have moved to another place together with its kits.
    let moved = known.file_name().map(|name| options.ledger.with_file_name(name));
    let has_kit = |folder: &PathBuf| folder.join(RECORD).is_file();
    match (Some(known.clone()).into_iter().chain(moved).find(has_kit), arguments.anew) {
        (Some(kit), false) => Ok(kit),
        (None, true) => Ok(known),
        (None, false) => Err(refuse_gone(&known)),
        (Some(kit), true) => {
            let message = format!("the kit of this sitting is there: {}", show_path(&kit));
            Err(Halt::refused(message)
                .hint("print its documents; without `--anew` comes what is late or out of date"))
        }
    }
}

/// That the papers of a sitting are not where they were made, and nobody knows whether they are printed.
fn refuse_gone(kit: &Path) -> Halt {
    let message = format!("the kit of this sitting is gone: {}", show_path(kit));
    let gone = vec![Finding::new(&rules::KIT_GONE, message)];
    Halt::found(gone, ProofTally::default(), &Sources::new())
        .hint("put the folder back, or make all its papers again: `slipwright ledger print --anew`")
        .hint("what is late or out of date alone goes into another folder: `--to FOLDER`")
}

/// A path as it is from the working folder, where that is shorter.
fn seen_from_here(path: &Path) -> PathBuf {
    let here = std::env::current_dir().and_then(std::fs::canonicalize).ok();
    here.and_then(|here| path.strip_prefix(here).ok().map(Path::to_owned))
        .unwrap_or_else(|| path.to_owned())
}

/// Prints one list about the line.
fn make_one_list(
    arguments: &PrintArguments,
    list: ListOf,
    source: &mut LineInputs,
    setup: &PrintSetup,
) -> Result<LineList, Halt> {
    let kind = match list {
        ListOf::Picking => ListKind::Picking,
        ListOf::HandOver => ListKind::Handover,
        ListOf::Waiting => ListKind::Waiting,
    };
    if arguments.act.dry_run {
        return Err(Halt::usage("a list changes nothing: print it without `--dry-run`"));
    }
    let to = arguments.to.clone().unwrap_or_default();
    make_list(source, setup, kind, &to)
}

/// Puts the list's file and pages into the answer.
fn tell_list(list: &LineList, answer: &mut LedgerAnswer) {
    answer.line(&format!("{}: {}", show_path(&list.file), counted(list.pages, "page")));
    answer.put("file", list.file.display().to_string());
    answer.put("pages", list.pages);
}
