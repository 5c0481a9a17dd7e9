//! The shop's table of what went: its map, and the files that were made.
//!
//! `GET /shop-map` is the map, or the one that is proposed; `POST /tell-shop` makes the table by
//! `slipwright ledger tell-shop`, and keeps a map that comes along; `GET /tables/FILE.csv` is a table that
//! was made. Not here: the columns (`dispatch`).

use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use serde_json::{Value, json};

use super::super::clock;
use super::super::scratch::Scratch;
use super::acts::run_command;
use super::files::{SHOP_MAP as MAP, cannot_keep, maps_in};
use super::forms::start_words;
use crate::desk::HttpAnswer;
use crate::dispatch::propose_dispatch_map;

/// What tables are called, before the day.
const TABLE: &str = "shop-";

/// The tables of a desk's folder.
pub(super) struct Tables {
    /// The folder that the desk is open in.
    folder: PathBuf,
    /// Held while one is made, so that no two get one name.
    making: Mutex<()>,
}

impl Tables {
    /// Begins with no table made.
    pub(super) fn of(folder: &Path) -> Tables {
        Tables { folder: folder.to_owned(), making: Mutex::default() }
    }

    /// The map, and whether it is kept already.
    pub(super) fn map(&self) -> Value {
        match fs::read_to_string(self.folder.join(MAP)) {
            Ok(map) => json!({"map": map, "kept": true}),
            Err(_) => json!({"map": self.propose(), "kept": false}),
        }
    }

    /// A map to begin with, after the shop's export that was known last.
    fn propose(&self) -> String {
        let export = maps_in(&self.folder).pop().and_then(|map| fs::read_to_string(map).ok());
        propose_dispatch_map(export.as_deref())
    }

    /// Makes a table; a map that comes along is kept if the table could be made with it.
    pub(super) fn tell_shop(&self, body: &[u8]) -> HttpAnswer {
        let given: Value = serde_json::from_slice(body).unwrap_or_default();
        let _alone = self.making.lock().unwrap_or_else(PoisonError::into_inner);
        self.make(&given).unwrap_or_else(|error| cannot_keep(&error))
    }

    /// Makes a table of what a page asks for.
    fn make(&self, given: &Value) -> io::Result<HttpAnswer> {
        let scratch = Scratch::new(&self.folder)?;
        let (mut map, new) = (self.folder.join(MAP), given["map"].as_str());
        if let Some(text) = new {
            map = scratch.path().join(MAP);
            fs::write(&map, text)?;
        }
        let name = self.free_name();
        let mut words = start_words(&self.folder, "tell-shop");
        words.push(format!("--map={}", map.display()).into());
        words.push(format!("--output={}", self.folder.join(&name).display()).into());
        if given["again"] == true {
            words.push("--again".into());
        }
        words.extend(given["sitting"].as_u64().map(|it| format!("--sitting={it}").into()));
        if given["dry-run"] == true {
            words.push("--dry-run".into());
        }
        let hidden = format!("{}/", scratch.path().display());
        let Some(outcome) = run_command(&words) else {
            return Ok(HttpAnswer::words(500, "the program failed at this table"));
        };
        let mut told = outcome.without(&hidden).to_json();
        if let Some(text) = new.filter(|_| told["exit"] == 0 && given["dry-run"] != true) {
            keep_map(&self.folder, text)?;
        }
        told["table"] = json!(self.folder.join(&name).is_file().then_some(name));
        Ok(HttpAnswer::json(&told))
    }

    /// A name that no table of today has.
    fn free_name(&self) -> String {
        let day = clock::now().date();
        let named = |number: u32| match number {
            1 => format!("{TABLE}{day}.csv"),
            _ => format!("{TABLE}{day}-{number}.csv"),
        };
        let free = |name: &String| !self.folder.join(name).exists();
        (1..).map(named).find(free).unwrap_or_else(|| named(1))
    }

    /// A table that was made, by its name. Only names that a table has lead anywhere.
    pub(super) fn open(&self, name: &str) -> Option<HttpAnswer> {
        let inner = name.strip_prefix(TABLE)?.strip_suffix(".csv")?;
        if !inner.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-') {
            return None;
        }
        let path = self.folder.join(name);
        let is_file = fs::symlink_metadata(&path).is_ok_and(|known| known.is_file());
        let bytes = is_file.then(|| fs::read(&path).ok())??;
        Some(HttpAnswer::of("text/csv", bytes))
    }
}

/// Keeps a map; the one that was there steps aside for it in one go.
fn keep_map(folder: &Path, text: &str) -> io::Result<()> {
    let scratch = Scratch::new(folder)?;
    let new = scratch.new_name();
    let mut file = fs::File::create_new(&new)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()?;
    fs::rename(new, folder.join(MAP))
}
