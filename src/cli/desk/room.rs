//! The desk's own addresses.
//!
//! `GET /state` is all that pages show, as the ledger's verbs tell it; `POST /act/VERB` does a verb. Both
//! answer with what a program gets from `slipwright ledger VERB --json`: `answer`, `remarks` and `exit`.

use std::path::PathBuf;

use serde_json::{Map, Value, json};

use super::acts::{CommandOutcome, run_command};
use super::forms::{find_form, start_words};
use crate::desk::{DeskRoom, HttpAnswer, HttpRequest, Method};

/// Where verbs are done.
const ACTS: &str = "/act/";

/// The room of the evening.
pub(super) struct EveningRoom {
    /// The folder with its whole path.
    folder: PathBuf,
}

impl EveningRoom {
    /// The room of a folder.
    pub(super) fn of(folder: PathBuf) -> EveningRoom {
        EveningRoom { folder }
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

    /// What a verb says that only asks.
    fn ask(&self, verb: &str, more: &[&str]) -> Value {
        let mut words = start_words(&self.folder, verb);
        words.extend(more.iter().map(Into::into));
        run_command(&words).map_or(Value::Null, |outcome| outcome.to_json())
    }

    /// Everything that pages show.
    fn state(&self) -> Value {
        let folder = self.folder.file_name().map(|name| name.to_string_lossy());
        json!({
            "folder": folder,
            "line": self.ask("list", &["line"]),
            "waiting": self.ask("list", &["waiting"]),
            "held_back": self.ask("list", &["held-back"]),
        })
    }
}

impl DeskRoom for EveningRoom {
    fn front(&self) -> &'static str {
        "/desk"
    }

    fn answer(&self, request: &HttpRequest) -> Option<HttpAnswer> {
        match (request.method, &*request.path) {
            (Method::Get, "/state") => Some(HttpAnswer::json(&self.state())),
            (Method::Post, path) => Some(self.act(path.strip_prefix(ACTS)?, &request.body)),
            (Method::Get, _) => None,
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
