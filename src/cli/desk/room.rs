//! The desk's own addresses.
//!
//! `GET /state` is all that pages show, as the ledger's verbs tell it; `POST /act/VERB` does a verb. Both
//! answer with what a program gets from `slipwright ledger VERB --json`: `answer`, `remarks` and `exit`.
//! `POST /match/frame` reads the codes in a camera's picture.

use std::path::PathBuf;
use std::sync::Arc;

use serde_json::{Map, Value, json};

use super::acts::{CommandOutcome, refuse, run_command};
use super::camera::{BenchCamera, FRAME, FRAME_BYTES};
use super::choices::tell_choices;
use super::drops::{Drops, MOST_BYTES};
use super::first::{has_shop, make_shop, tell_countries};
use super::forms::{find_form, start_words};
use super::layouts::Layouts;
use super::lost::LedgerPlace;
use super::papers::Papers;
use super::queues;
use super::tables::Tables;
use crate::desk::{Bulletin, DeskRoom, HttpAnswer, HttpRequest, Method};

/// Where verbs are done.
const ACTS: &str = "/act/";

/// Where files are dropped.
const DROP: &str = "/drop";

/// What answers pages of an evening, each kind of address by a part of it.
pub(super) struct EveningRoom {
    /// The folder with its whole path.
    folder: PathBuf,
    /// What is dropped on pages.
    drops: Drops,
    /// What is printed.
    papers: Papers,
    /// What the shop is told.
    tables: Tables,
    /// What looks at the camera's pictures.
    camera: BenchCamera,
    /// What draws layouts on pages.
    layouts: Layouts,
    /// Where the ledger is, or was before it went missing.
    place: LedgerPlace,
}

impl EveningRoom {
    /// The room of a folder; what is new on its layouts is told on a board.
    pub(super) fn of(folder: PathBuf, bulletin: Arc<Bulletin>) -> EveningRoom {
        EveningRoom {
            drops: Drops::into(&folder),
            papers: Papers::of(&folder),
            tables: Tables::of(&folder),
            camera: BenchCamera::default(),
            layouts: Layouts::of(&folder, bulletin),
            place: LedgerPlace::of(folder.clone()),
            folder,
        }
    }

    /// Does a verb.
    fn act(&self, verb: &str, body: &[u8]) -> HttpAnswer {
        let Some(form) = find_form(verb) else { return HttpAnswer::nothing_there() };
        let Ok(given) = serde_json::from_slice::<Map<String, Value>>(body) else {
            return HttpAnswer::words(400, "an act is a JSON object of its arguments");
        };
        match form.fill(&self.folder, &given) {
            Ok(words) => tell(run_command(&words)),
            Err(why) => HttpAnswer::words(400, &why),
        }
    }

    /// A picture or a document.
    fn open(&self, path: &str) -> Option<HttpAnswer> {
        if let Some(name) = path.strip_prefix("/print/") {
            return self.papers.draw(name);
        }
        match path.strip_prefix("/papers/") {
            Some(name) => self.papers.open(name),
            None => self.tables.open(path.strip_prefix("/tables/")?),
        }
    }

    /// What a verb says that only asks.
    fn ask(&self, verb: &str, more: &[&str]) -> Value {
        let mut words = start_words(&self.folder, verb);
        words.extend(more.iter().map(Into::into));
        run_command(&words).map_or(Value::Null, |outcome| outcome.to_json())
    }

    /// Everything that pages show.
    fn state(&self) -> Value {
        let folder = self.folder.file_name().map(|name| name.to_string_lossy());
        let waiting = self.ask("list", &["waiting"]);
        json!({
            "folder": folder,
            "trouble": self.trouble(&waiting),
            "has_shop": has_shop(&self.folder),
            "shop": tell_choices(&self.folder),
            "line": self.line(&["line"]),
            "waiting": waiting,
            "held_back": self.ask("list", &["held-back"]),
            "news": self.ask("list", &["news"]),
            "newest": self.newest(),
        })
    }

    /// Why the ledger cannot be used: it is gone, or cannot be read; null when all is well, and before
    /// there is one.
    fn trouble(&self, waiting: &Value) -> Value {
        match self.place.loss() {
            Some(lost) => refuse(&lost).to_json(),
            None if waiting["answer"].is_null() && self.place.is_there() => waiting.clone(),
            None => Value::Null,
        }
    }

    /// The answer to an act while the ledger is gone: nothing is begun in its place.
    fn refuse_lost(&self, request: &HttpRequest) -> Option<HttpAnswer> {
        let told = match (request.method, &*request.path) {
            (Method::Get, _) | (_, FRAME) => return None,
            (Method::Post, DROP) => json!({"taken": refuse(&self.place.loss()?).to_json()}),
            (Method::Post, _) => refuse(&self.place.loss()?).to_json(),
        };
        Some(HttpAnswer::json(&told))
    }

    /// A line with all that is known of its parcels. One whose shop file cannot be used is shown without
    /// what that says, with what is wrong with it.
    fn line(&self, which: &[&str]) -> Value {
        let full = self.ask("list", &[which, &["--full"]].concat());
        if !full["answer"].is_null() {
            return full;
        }
        let mut line = self.ask("list", which);
        line["remarks"] = full["remarks"].clone();
        line
    }

    /// The line of the newest sitting when none is open: there may be more to do for it than line up.
    fn newest(&self) -> Value {
        let sittings = self.ask("list", &["sittings"]);
        match sittings["answer"]["sittings"].as_array().and_then(|all| all.first()) {
            Some(newest) if !newest["closed"].is_null() => {
                self.line(&[&format!("--sitting={}", newest["number"])])
            }
            _ => Value::Null,
        }
    }
}

impl DeskRoom for EveningRoom {
    fn front(&self) -> &'static str {
        "/desk"
    }

    fn answer(&self, request: &HttpRequest) -> Option<HttpAnswer> {
        if request.path.starts_with("/preview/") {
            return self.layouts.answer(request);
        }
        if let Some(refused) = self.refuse_lost(request) {
            return Some(refused);
        }
        match (request.method, &*request.path) {
            (Method::Post, FRAME) => Some(self.camera.look(request)),
            (Method::Get, "/state") => Some(HttpAnswer::json(&self.state())),
            (Method::Post, DROP) => {
                let name = request.query("name").map(decode_name).unwrap_or_default();
                Some(self.drops.take(&name, &request.body))
            }
            (Method::Post, "/drop/try") => Some(self.drops.try_map(&request.body)),
            (Method::Post, "/drop/take-in") => Some(self.drops.take_in_with(&request.body)),
            (Method::Post, "/drop/same") => Some(self.drops.take_same(&request.body)),
            (Method::Post, "/drop/rest") => Some(self.drops.take_rest(&request.body)),
            (Method::Post, "/send") => {
                Some(queues::send(&self.folder, &self.papers, &request.body))
            }
            (Method::Post, "/job") => Some(queues::tell_job(&self.folder, &request.body)),
            (Method::Post, "/first/shop") => Some(make_shop(&self.folder, &request.body)),
            (Method::Get, "/first/countries") => Some(HttpAnswer::json(&tell_countries())),
            (Method::Post, "/counter-list") => Some(self.papers.list_counter()),
            (Method::Post, "/tell-shop") => Some(self.tables.tell_shop(&request.body)),
            (Method::Post, path) => Some(self.act(path.strip_prefix(ACTS)?, &request.body)),
            (Method::Get, "/print") => Some(HttpAnswer::json(&self.papers.tell())),
            (Method::Get, "/shop-map") => Some(HttpAnswer::json(&self.tables.map())),
            (Method::Get, path) => self.open(path),
        }
    }

    fn most_bytes(&self, request: &HttpRequest) -> Option<usize> {
        match &*request.path {
            DROP => Some(MOST_BYTES),
            FRAME => Some(FRAME_BYTES),
            _ => None,
        }
    }
}

/// What a page is told of a command.
fn tell(outcome: Option<CommandOutcome>) -> HttpAnswer {
    match outcome {
        Some(outcome) => HttpAnswer::json(&outcome.to_json()),
        None => HttpAnswer::words(500, "the program failed at this; look what the ledger says now"),
    }
}

/// A name of the query as it was before the browser encoded it (URL Standard, percent-decode); what is no
/// UTF-8 is shown as such.
fn decode_name(encoded: &str) -> String {
    let mut bytes = Vec::with_capacity(encoded.len());
    let mut rest = encoded.as_bytes();
    while let [first, tail @ ..] = rest {
        let digits = tail.get(..2).and_then(|digits| std::str::from_utf8(digits).ok());
        match digits.and_then(|digits| u8::from_str_radix(digits, 16).ok()) {
            Some(byte) if *first == b'%' => {
                bytes.push(byte);
                rest = &tail[2..];
            }
            _ => {
                bytes.push(*first);
                rest = tail;
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_as_the_seller_sees_them() {
        assert_eq!(decode_name("t%C3%A4glich%20%281%29.csv"), "täglich (1).csv");
        assert_eq!(decode_name("50%.csv%"), "50%.csv%");
    }
}
