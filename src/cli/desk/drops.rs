//! What is dropped on a page: orders, or a shop's export with the map that its columns need.
//!
//! In: a file's bytes. Out: its orders in the ledger; or for an export that no map of the folder fits a
//! map that is proposed, the first orders as they would become, and in the end the map kept beside the
//! shop file. All is done by `slipwright ledger take-in` and `slipwright intake` on a file in a hidden
//! folder that goes when the answer is there. Not here: what an export is (`intake`).

use std::ffi::OsString;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};

use serde_json::{Value, json};

use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::scratch::Scratch;
use super::acts::{CommandOutcome, refuse, run_command};
use super::files::{cannot_keep, free_aside_in, free_map_in, maps_in};
use super::forms::start_words;
use crate::desk::HttpAnswer;
use crate::intake::intake_schema;
use crate::limits::{DROPPED_LINES, SHEET_FILE_BYTES};

/// The most bytes of a file that is dropped: what a spreadsheet may have.
pub(super) const MOST_BYTES: usize = SHEET_FILE_BYTES;

/// How many orders are shown as they will become.
const SHOWN: usize = 5;

/// The longest name that is kept of a file, in characters.
const NAME: usize = 80;

/// What was dropped last, until its map is good.
pub(super) struct Drops {
    /// The desk's folder.
    folder: PathBuf,
    /// The last export.
    last: Mutex<Option<DroppedFile>>,
    /// How many there were.
    count: AtomicU64,
}

/// An export that a page was given, kept until it is taken in.
#[derive(Clone)]
struct DroppedFile {
    /// Its number: another tab may drop another one.
    number: u64,
    /// What the browser calls it, without a folder.
    name: String,
    /// What was dropped, unread.
    bytes: Vec<u8>,
}

/// A dropped file on the disk, with a map, as long as a command reads it.
struct LaidOut {
    /// The hidden folder.
    scratch: Scratch,
    /// Where the export lies meanwhile.
    file: PathBuf,
    /// Where its map lies.
    map: PathBuf,
}

impl Drops {
    /// What is dropped goes into the ledger of a folder.
    pub(super) fn into(folder: &Path) -> Drops {
        Drops { folder: folder.to_owned(), last: Mutex::default(), count: AtomicU64::new(0) }
    }

    /// Takes a file in, or proposes a map for it.
    pub(super) fn take(&self, name: &str, bytes: &[u8]) -> HttpAnswer {
        let number = self.count.fetch_add(1, Ordering::Relaxed) + 1;
        let file = DroppedFile { number, name: clean_name(name), bytes: bytes.to_vec() };
        self.sort(&file).unwrap_or_else(|error| cannot_keep(&error))
    }

    /// Takes it in if it is orders or a map of the folder fits; else proposes a map.
    fn sort(&self, file: &DroppedFile) -> io::Result<HttpAnswer> {
        if file.bytes.iter().filter(|byte| **byte == b'\n').count() > DROPPED_LINES {
            return Ok(HttpAnswer::json(&json!({"taken": refuse(&too_long()).to_json()})));
        }
        let laid = self.lay_out(file, "")?;
        let is_json = file.bytes.iter().find(|byte| !byte.is_ascii_whitespace());
        if matches!(is_json, Some(b'{' | b'[')) {
            return Ok(answer(
                self.take_in(&laid, None, &[]).map(|taken| self.told(file, taken, "")),
            ));
        }
        let mut tried = Value::Null;
        for map in maps_in(&self.folder) {
            // A map that does not fit takes nothing in.
            match self.take_in(&laid, Some(&map), &[]) {
                Some(taken) if taken["exit"] == 0 => {
                    let map = fs::read_to_string(&map)?;
                    return Ok(HttpAnswer::json(&self.told(file, taken, &map)));
                }
                outcome => tried = outcome.unwrap_or_default(),
            }
            if let Some(partly) = self.try_rest(&laid, &map) {
                let map = fs::read_to_string(&map)?;
                self.keep(file);
                return Ok(HttpAnswer::json(&json!({
                    "drop": file.number,
                    "name": file.name,
                    "map": map,
                    "partly": partly,
                })));
            }
        }
        let mut words = words_of("intake", &laid);
        words.extend(["--propose".into(), option("--output=", &laid.map)]);
        let Some(proposed) = laid.run(&words) else { return Ok(answer(None)) };
        if proposed.exit != Exit::Done {
            return Ok(HttpAnswer::json(&json!({"taken": proposed.to_json()})));
        }
        let map = fs::read_to_string(&laid.map)?;
        self.keep(file);
        Ok(HttpAnswer::json(&json!({
            "drop": file.number,
            "name": file.name,
            "map": map,
            "fields": list_fields(),
            "tried": tried,
        })))
    }

    /// What a page is told of a file that was taken in by a map, or without one. Where another order has the
    /// number of one of its orders, the file is kept: the seller may say that it is the same.
    fn told(&self, file: &DroppedFile, taken: Value, map: &str) -> Value {
        let namesakes = taken["answer"]["another"].as_array().map_or(0, Vec::len);
        if namesakes == 0 {
            return json!({"taken": taken});
        }
        self.keep(file);
        json!({"taken": taken, "drop": file.number, "map": map})
    }

    /// Keeps a file until its map is good, or it is said what becomes of its rows.
    fn keep(&self, file: &DroppedFile) {
        *self.last.lock().unwrap_or_else(PoisonError::into_inner) = Some(file.clone());
    }

    /// What would come of a file if rows that something is wrong with went aside; none where the map
    /// does not fit the file's columns.
    fn try_rest(&self, laid: &LaidOut, map: &Path) -> Option<Value> {
        let aside = option("--set-aside=", &laid.scratch.new_name());
        let mut outcome = self.take_in(laid, Some(map), &["--dry-run".into(), aside])?;
        // Where they would lie for a moment is nobody's business.
        outcome["answer"].get_mut("rows_aside")?["file"] = Value::Null;
        Some(outcome)
    }

    /// What the first orders of the file become by a map.
    pub(super) fn try_map(&self, body: &[u8]) -> HttpAnswer {
        let shown = |laid: &LaidOut| -> io::Result<HttpAnswer> {
            let (orders, aside) = (laid.scratch.new_name(), laid.scratch.new_name());
            let mut words = words_of("intake", laid);
            words.extend([option("--map=", &laid.map), option("--output=", &orders)]);
            words.push(option("--set-aside=", &aside));
            let Some(outcome) = laid.run(&words) else { return Ok(answer(None)) };
            let mut told = outcome.to_json();
            told["orders"] = read_first(&orders);
            Ok(HttpAnswer::json(&told))
        };
        self.with_map(body, shown)
    }

    /// Takes in the good orders of the file by a map, and keeps the rows of the others and the map.
    pub(super) fn take_rest(&self, body: &[u8]) -> HttpAnswer {
        let taken = |laid: &LaidOut| -> io::Result<HttpAnswer> {
            let aside = free_aside_in(&self.folder);
            let words = [option("--set-aside=", &aside)];
            let mut outcome = self.take_in(laid, Some(&laid.map), &words);
            if let Some(outcome) = &mut outcome
                && !outcome["answer"].is_null()
            {
                keep_map(&self.folder, &fs::read(&laid.map)?)?;
                if !outcome["answer"]["rows_aside"].is_null() {
                    let name = aside.file_name().unwrap_or_default().to_string_lossy();
                    outcome["answer"]["rows_aside"]["file"] = json!(name);
                }
            }
            Ok(answer(outcome))
        };
        self.with_map(body, taken)
    }

    /// Takes the file in once more, now that the seller says of orders whose numbers others have that they
    /// are the same ones. Rows that something is wrong with were set aside before, if they were.
    pub(super) fn take_same(&self, body: &[u8]) -> HttpAnswer {
        let given: Value = serde_json::from_slice(body).unwrap_or_default();
        let same = given["same"].as_array().into_iter().flatten().filter_map(Value::as_str);
        let mut words: Vec<OsString> = same.map(|id| format!("--same={id}").into()).collect();
        let taken = |laid: &LaidOut| -> io::Result<HttpAnswer> {
            let map = laid.map.exists().then_some(&*laid.map);
            if map.is_some() {
                words.push(option("--set-aside=", &laid.scratch.new_name()));
            }
            let mut outcome = self.take_in(laid, map, &words);
            let answered = outcome.as_mut().and_then(|told| told["answer"].as_object_mut());
            answered.and_then(|told| told.remove("rows_aside"));
            Ok(answer(outcome))
        };
        self.with_map(body, taken)
    }

    /// Takes the file in by a map, and keeps the map.
    pub(super) fn take_in_with(&self, body: &[u8]) -> HttpAnswer {
        let taken = |laid: &LaidOut| -> io::Result<HttpAnswer> {
            let outcome = self.take_in(laid, Some(&laid.map), &[]);
            if outcome.as_ref().is_some_and(|outcome| outcome["exit"] == 0) {
                keep_map(&self.folder, &fs::read(&laid.map)?)?;
            }
            Ok(answer(outcome))
        };
        self.with_map(body, taken)
    }

    /// Does something with the file that was dropped and the map that a page sends.
    fn with_map(
        &self,
        body: &[u8],
        what: impl FnOnce(&LaidOut) -> io::Result<HttpAnswer>,
    ) -> HttpAnswer {
        let given: Value = serde_json::from_slice(body).unwrap_or_default();
        let (Some(number), Some(map)) = (given["drop"].as_u64(), given["map"].as_str()) else {
            return HttpAnswer::words(400, "a map comes with the number of what was dropped");
        };
        let last = self.last.lock().unwrap_or_else(PoisonError::into_inner).clone();
        let Some(file) = last.filter(|file| file.number == number) else {
            return HttpAnswer::words(404, "this file is not here any more: drop it again");
        };
        let laid = self.lay_out(&file, map);
        laid.and_then(|laid| what(&laid)).unwrap_or_else(|error| cannot_keep(&error))
    }

    /// Puts a file and a map where commands can read them.
    fn lay_out(&self, file: &DroppedFile, map: &str) -> io::Result<LaidOut> {
        let scratch = Scratch::new(&self.folder)?;
        // The name is shown in messages, so it stays; in a folder of its own it is nobody else's.
        let inside = scratch.new_name();
        fs::create_dir(&inside)?;
        let path = inside.join(&file.name);
        fs::write(&path, &file.bytes)?;
        let place = scratch.new_name();
        if !map.is_empty() {
            fs::write(&place, map)?;
        }
        Ok(LaidOut { scratch, file: path, map: place })
    }

    /// Takes a file into the ledger; what the command says of it, none when it broke down.
    fn take_in(&self, laid: &LaidOut, map: Option<&Path>, more: &[OsString]) -> Option<Value> {
        let mut words = start_words(&self.folder, "take-in");
        words.extend(map.map(|map| option("--map=", map)));
        words.extend_from_slice(more);
        words.extend(["--".into(), laid.file.clone().into()]);
        laid.run(&words).map(|outcome| outcome.to_json())
    }
}

impl LaidOut {
    /// Runs a command; where the hidden folder is, is nobody's business.
    fn run(&self, words: &[OsString]) -> Option<CommandOutcome> {
        let folder = self.file.parent().unwrap_or(&self.file);
        let outcome = run_command(words)?;
        Some(outcome.without(&format!("{}/", folder.display())))
    }
}

/// The words of a command on a dropped file.
fn words_of(command: &str, laid: &LaidOut) -> Vec<OsString> {
    vec![
        "slipwright".into(),
        command.into(),
        "--diagnostics=json".into(),
        laid.file.clone().into_os_string(),
    ]
}

/// An option that names a file.
fn option(name: &str, path: &Path) -> OsString {
    let mut word = OsString::from(name);
    word.push(path);
    word
}

/// The first orders of a file.
fn read_first(path: &Path) -> Value {
    let text = fs::read_to_string(path).unwrap_or_default();
    let read: Value = serde_json::from_str(&text).unwrap_or_default();
    let orders = read["orders"].as_array().or(read.as_array());
    orders.into_iter().flatten().take(SHOWN).cloned().collect::<Vec<_>>().into()
}

/// The fields that a column can be.
fn list_fields() -> Vec<String> {
    let schema = intake_schema();
    let fields = schema["$defs"]["fields"]["properties"].as_object();
    fields.into_iter().flatten().map(|(name, _)| name.clone()).collect()
}

/// Keeps a map beside the shop file under the first name that is free, unless it is there already.
fn keep_map(folder: &Path, text: &[u8]) -> io::Result<()> {
    if maps_in(folder).iter().any(|map| fs::read(map).is_ok_and(|known| known == text)) {
        return Ok(());
    }
    let path = free_map_in(folder);
    let mut file = fs::File::create_new(path)?;
    io::Write::write_all(&mut file, text)?;
    file.sync_all()
}

/// A file's name without what could lead anywhere or stand for something else than a name.
fn clean_name(name: &str) -> String {
    let plain = |c: char| if c.is_control() || matches!(c, '/' | '\\' | ':') { '_' } else { c };
    let name: String = name.chars().map(plain).take(NAME).collect();
    match name.trim_start_matches(['.', '-']).trim() {
        "" => "orders".to_owned(),
        name => name.to_owned(),
    }
}

/// The refusal of a file that nobody would wait for.
fn too_long() -> Halt {
    let message =
        format!("expected at most {DROPPED_LINES} lines, found more: nothing is taken in");
    Halt::usage(message)
        .hint("export fewer days at a time: what was sent before need not come again")
}

/// What a page is told.
fn answer(told: Option<Value>) -> HttpAnswer {
    match told {
        Some(told) => HttpAnswer::json(&told),
        None => HttpAnswer::words(500, "the program failed at this file; nothing was taken in"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_lead_nowhere() {
        for (name, clean) in [
            ("export.csv", "export.csv"),
            ("../../etc/passwd", "_.._etc_passwd"),
            ("C:\\x\u{1b}y", "C__x_y"),
            ("--map", "map"),
            ("", "orders"),
            ("..", "orders"),
        ] {
            assert_eq!(clean_name(name), clean);
        }
        assert_eq!(clean_name(&"x".repeat(500)).len(), NAME);
    }

    #[test]
    fn every_field_of_an_order_can_be_a_columns() {
        let fields = list_fields();
        for name in ["id", "ship_to.lines", "items.title", "hazard"] {
            assert!(fields.iter().any(|field| field == name), "{name}: {fields:?}");
        }
    }
}
