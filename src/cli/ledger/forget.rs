//! `slipwright ledger forget`: what old orders say of people goes, from the ledger and from kits.
//!
//! In: a day, and folders of kits that the ledger does not know. Out: what went and what stays, in
//! words. A kit is only touched when every byte in its folder is proven to be its own. Not here: how
//! texts leave the ledger's file, and papers a folder.

use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use serde_json::{Value, json};

use super::super::arguments::ledger::{ForgetArguments, LedgerOptions};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::kit::{ForgetHow, KitForgetting, forget_kit, kit_key, made_at};
use super::super::output::show_path;
use super::answer::LedgerAnswer;
use super::open::OpenLedger;
use crate::ledger::{Forgotten, Moment};
use crate::words::counted;

/// Removes what orders said of people, and what kits hold of them.
pub(super) fn run(options: &LedgerOptions, arguments: &ForgetArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let mut answer = LedgerAnswer::of_act("forget", options, &arguments.act);
    let did = open.act("forget", &arguments.act, |act| Ok(act.forget(arguments.before)?))?;
    let Some(forgotten) = answer.take(did) else {
        answer.show()?;
        return Ok(Exit::Done);
    };
    let how = if arguments.act.dry_run { ForgetHow::Rehearsed } else { ForgetHow::Done };
    if how == ForgetHow::Done {
        // Also when nothing was to be forgotten: the run before may have been killed just here.
        open.ledger.wipe()?;
    }
    tell_orders(&mut answer, &forgotten, how);
    let kits = forget_kits(&forgotten, arguments, how);
    let kept = kits.iter().filter(|kit| kit.kept.is_some()).count();
    tell_kits(&mut answer, &kits, how);
    answer.show()?;
    Ok(if kept == 0 { Exit::Done } else { Exit::Findings })
}

/// What became of a kit.
struct KitOutcome {
    /// Which kit it was.
    folder: PathBuf,
    /// What went.
    gone: Vec<String>,
    /// How many parcels stay known.
    parcels: usize,
    /// Why it was left as it is, if it was.
    kept: Option<String>,
}

/// Forgets the kits that the ledger knows, and those that were named.
fn forget_kits(
    forgotten: &Forgotten,
    arguments: &ForgetArguments,
    how: ForgetHow,
) -> Vec<KitOutcome> {
    let mut outcomes = Vec::new();
    for kit in &forgotten.kits {
        let folder = Path::new(&*kit.folder);
        // One that was taken away, or replaced by a later sitting's, holds nothing of this one.
        if kit_key(folder).is_some_and(|key| *key == *kit.key) {
            outcomes.push(outcome(folder, forget_kit(folder, how)));
        }
    }
    for folder in &arguments.kits {
        let done = match is_older(folder, arguments.before) {
            true => forget_kit(folder, how),
            false => Err(Halt::refused("it was not made before that day")),
        };
        outcomes.push(outcome(folder, done));
    }
    outcomes
}

/// Whether a kit was made before a day; one that is none is left to what proves it.
fn is_older(folder: &Path, before: Moment) -> bool {
    let Some(made) = made_at(folder) else { return true };
    let seconds = made.duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs());
    i64::try_from(seconds).is_ok_and(|seconds| seconds < before.seconds())
}

/// What became of a kit, from what was tried.
fn outcome(folder: &Path, done: Result<KitForgetting, Halt>) -> KitOutcome {
    let folder = folder.to_owned();
    match done {
        Ok(KitForgetting { gone, parcels }) => KitOutcome { folder, gone, parcels, kept: None },
        Err(halt) => {
            let why = halt.findings.first().map(|found| found.message.clone());
            KitOutcome { folder, gone: Vec::new(), parcels: 0, kept: Some(why.unwrap_or_default()) }
        }
    }
}

/// Tells what became of what orders say.
fn tell_orders(answer: &mut LedgerAnswer, forgotten: &Forgotten, how: ForgetHow) {
    let count = counted(forgotten.orders.len(), "order");
    answer.line(&match (forgotten.orders.len(), how) {
        (0, _) => "nothing is left to be forgotten from before that day".to_owned(),
        (_, ForgetHow::Rehearsed) => {
            format!("names, addresses, items and messages of {count} would go")
        }
        (_, ForgetHow::Done) => format!("names, addresses, items and messages of {count} are gone"),
    });
    answer.line("ids, tags, numbers, dates, reasons and tracking numbers stay");
    if forgotten.kept > 0 {
        answer.line(&format!(
            "{} kept whole: they wait, lie in a line, or went later",
            counted(forgotten.kept, "order")
        ));
    }
    answer
        .put("forgotten", forgotten.orders.iter().map(|id| Value::from(&**id)).collect::<Vec<_>>());
    answer.put("kept", forgotten.kept);
}

/// Tells what became of kits.
fn tell_kits(answer: &mut LedgerAnswer, kits: &[KitOutcome], how: ForgetHow) {
    for kit in kits {
        let shown = show_path(&kit.folder);
        let parcels = counted(kit.parcels, "parcel");
        answer.line(&match (&kit.kept, &kit.gone[..], how) {
            (Some(why), ..) => format!("the kit {shown} stays as it is: {why}"),
            (None, [], _) => format!("the kit {shown} names nobody any more"),
            (None, gone, ForgetHow::Rehearsed) => {
                format!("the kit {shown} would lose {}", gone.join(", "))
            }
            (None, gone, ForgetHow::Done) => format!(
                "the kit {shown} has lost {}; numbers, tags, pair codes and ids of {parcels} stay",
                gone.join(", ")
            ),
        });
    }
    let shown = kits.iter().map(|kit| {
        json!({
            "folder": kit.folder.display().to_string(),
            "gone": kit.gone,
            "kept_because": kit.kept,
        })
    });
    answer.put("kits", shown.collect::<Vec<_>>());
}
