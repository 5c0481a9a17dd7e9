//! `slipwright ledger backup`, `check`, `copy-out`, `copy-in` and `rebuild`: the ledger's file.
//!
//! In: a ledger. Out: copies of it, whole or as far as it can be read, and whether it is sound. Not
//! here: what stands in it.

use std::fs::File;
use std::io::{self, BufRead, BufReader};
use std::path::Path;

use super::super::arguments::ledger::{
    BackupArguments, CopyInArguments, CopyOutArguments, LedgerOptions,
};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::output::{cannot_write, let_appear, open_output, refuse_same_files, show_path};
use super::super::terminal;
use super::answer::LedgerAnswer;
use super::open::{OpenLedger, make_ledger};
use super::refusal::cannot_open;
use crate::ledger::{Copied, CopyError, CutCopy, Ledger, LedgerError};
use crate::orders::read_orders;
use crate::source::Sources;
use crate::words::counted;

/// Makes a backup, whole even while others write.
pub(super) fn back_up(options: &LedgerOptions, arguments: &BackupArguments) -> Result<Exit, Halt> {
    let open = OpenLedger::open(options)?;
    let to = &arguments.to;
    let shown = show_path(to);
    open.ledger.back_up(to).map_err(|error| match error {
        LedgerError::Exists => Halt::usage(format!("there is a file {shown} already"))
            .hint("name a new file for every backup, such as one with the day in its name"),
        LedgerError::Io(error) => cannot_write(to, &error),
        // It may be on another disk than the ledger.
        LedgerError::Full => cannot_write(to, &io::ErrorKind::StorageFull.into()),
        other => Halt::usage(format!("{shown}: {other}")).ending_in(Exit::Output),
    })?;
    let entries = open.ledger.last_entry()?;
    let mut answer = LedgerAnswer::new("backup", options);
    answer.line(&format!("{} in {shown}", counted_entries(entries)));
    answer.put("file", to.display().to_string());
    answer.put("entry_count", entries);
    answer.show()?;
    Ok(Exit::Done)
}

/// Says whether the ledger is sound, and what can be saved where it is not.
pub(super) fn check(options: &LedgerOptions) -> Result<Exit, Halt> {
    let path = &options.ledger;
    let mut answer = LedgerAnswer::new("check", options);
    let faults = match Ledger::open(path) {
        Ok(mut ledger) => examine(&mut ledger)?,
        Err(LedgerError::Damaged(what)) => vec![what],
        Err(error) => return Err(cannot_open(path, &error)),
    };
    answer.put("sound", faults.is_empty());
    answer.put("faults", faults.clone());
    let saved = match faults.is_empty() {
        true => Copied::default(),
        false => save(path, &mut io::sink()).unwrap_or_default(),
    };
    if faults.is_empty() {
        let entries = Ledger::open(path)?.last_entry()?;
        answer.line(&format!("the ledger is sound: {}", counted_entries(entries)));
        answer.put("entry_count", entries);
    } else {
        answer.line("the ledger is damaged:");
        faults.iter().for_each(|fault| answer.line(&format!("  {fault}")));
        answer.line(&format!("what can be saved: {}", tell_copied(saved)));
        answer.line(
            "go on with the newest backup; or save it: `slipwright ledger copy-out -o saved.jsonl`, \
             then `slipwright ledger --ledger new.ledger copy-in saved.jsonl`",
        );
        answer.put("entry_count", saved.entries);
    }
    answer.show()?;
    Ok(if faults.is_empty() { Exit::Done } else { Exit::Findings })
}

/// Everything that is wrong with a ledger that opens: with its file, and with what is kept of it.
fn examine(ledger: &mut Ledger) -> Result<Vec<String>, Halt> {
    let mut faults = match ledger.check() {
        Ok(faults) => faults,
        Err(LedgerError::Damaged(what)) => vec![what],
        Err(error) => return Err(error.into()),
    };
    // What cannot be read contradicts nothing.
    if faults.is_empty() {
        faults = ledger.contradictions()?;
        faults.extend(list_unread(ledger)?);
    }
    Ok(faults)
}

/// The orders that are still to go and could not be printed as they are kept.
fn list_unread(ledger: &Ledger) -> Result<Vec<String>, Halt> {
    let mut faults = Vec::new();
    for state in ["waiting", "doubted", "in line"] {
        for order in ledger.orders_in(state)? {
            let Some(json) = ledger.order_json(&order.id)? else { continue };
            let mut sources = Sources::new();
            let file = sources.add("order", format!("[{json}]"));
            let read = read_orders(sources.get(file).shared_text(), file);
            let wrong = read.findings.iter().find(|found| found.is_error());
            faults.extend(wrong.map(|found| {
                let (id, why) = (&order.id, found.full_message());
                format!("order `{id}` cannot be printed as it is kept: {why}")
            }));
        }
    }
    Ok(faults)
}

/// Writes everything out as lines of JSON; of a damaged file what can be read.
pub(super) fn copy_out(
    options: &LedgerOptions,
    arguments: &CopyOutArguments,
) -> Result<Exit, Halt> {
    let path = &options.ledger;
    let output = &arguments.output;
    refuse_same_files(vec![("the ledger", &**path)], [("`-o`", &**output)])?;
    let wrong = |error: io::Error| cannot_write(output, &error);
    let mut pending = open_output(output)?;
    let copied = save(path, &mut pending).map_err(|error| match error {
        CopyError::Io(error) => wrong(error),
        CopyError::Ledger(error) => cannot_open(path, &error),
    })?;
    let_appear(vec![pending.settle().map_err(wrong)?])?;
    terminal::say(&format!("{} in {}", tell_copied(copied), show_path(output)));
    Ok(if copied.is_cut { Exit::Findings } else { Exit::Done })
}

/// Writes out what can be read of a ledger, which need not open as a whole one does.
fn save(path: &Path, out: &mut dyn io::Write) -> Result<Copied, CopyError> {
    match Ledger::open(path) {
        Ok(ledger) => ledger.copy_out(out),
        Err(LedgerError::Damaged(_) | LedgerError::ReadOnly) => {
            Ledger::open_to_save(path)?.copy_out(out)
        }
        Err(error) => Err(error.into()),
    }
}

/// Fills a ledger that is not there yet from a copy.
pub(super) fn copy_in(options: &LedgerOptions, arguments: &CopyInArguments) -> Result<Exit, Halt> {
    let path = &options.ledger;
    let from = &arguments.from;
    let is_input = from == Path::new("-");
    let shown = if is_input { "standard input".to_owned() } else { show_path(from) };
    let unread = |error: io::Error| Halt::unreadable(&shown, &error);
    let lines: Box<dyn BufRead> = match is_input {
        true => Box::new(io::stdin().lock()),
        false => Box::new(BufReader::new(File::open(from).map_err(unread)?)),
    };
    let refuse = |error: CopyError| match error {
        CopyError::Io(error) => unread(error),
        CopyError::Ledger(LedgerError::BadLine { line, why }) => {
            Halt::usage(format!("line {line} of {shown}: {why}"))
                .hint("give a copy that `slipwright ledger copy-out` made, as it is")
        }
        CopyError::Ledger(error @ LedgerError::CutCopy { .. }) => {
            Halt::usage(format!("{shown}: {error}"))
                .hint("give the whole copy, as `slipwright ledger copy-out` made it")
                .hint("where there is no other, `--cut` takes what is there")
        }
        CopyError::Ledger(error) => cannot_open(path, &error),
    };
    let cut = if arguments.cut { CutCopy::Taken } else { CutCopy::Refused };
    let copied = match path.exists() {
        true => {
            let ledger = Ledger::open(path).map_err(|error| cannot_open(path, &error));
            ledger?.copy_in(lines, cut).map_err(refuse)?
        }
        false => {
            let made = make_ledger(path, |ledger| ledger.copy_in(lines, cut).map_err(refuse))?;
            made.ok_or_else(|| cannot_open(path, &LedgerError::NotEmpty))?
        }
    };
    let mut answer = LedgerAnswer::new("copy-in", options);
    answer.line(&format!("{} in {}", tell_copied(copied), show_path(path)));
    if copied.has_no_end {
        answer.line(
            "the copy is of an older program and does not say whether it is whole: compare how many \
             orders there are",
        );
    }
    answer.put("whole", (!copied.has_no_end).then_some(!copied.is_cut));
    answer.put("entry_count", copied.entries);
    answer.put("text_count", copied.texts);
    answer.show()?;
    Ok(Exit::Done)
}

/// Makes the tables of what holds now again.
pub(super) fn rebuild(options: &LedgerOptions) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    open.ledger.rebuild()?;
    let entries = open.ledger.last_entry()?;
    let mut answer = LedgerAnswer::new("rebuild", options);
    answer.line(&format!("what holds now was made again from {}", counted_entries(entries)));
    answer.put("entry_count", entries);
    answer.show()?;
    Ok(Exit::Done)
}

/// How many entries, in words.
fn counted_entries(count: i64) -> String {
    if count == 1 { "1 entry".to_owned() } else { format!("{count} entries") }
}

/// What was copied, in words.
fn tell_copied(copied: Copied) -> String {
    let entries = counted_entries(i64::try_from(copied.entries).unwrap_or(i64::MAX));
    let texts = counted(copied.texts, "text");
    let cut = if copied.is_cut { "; the rest cannot be read" } else { "" };
    format!("{entries}, {texts} of orders{cut}")
}
