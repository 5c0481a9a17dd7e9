//! The preview as a page of the desk: of which layout, with which orders.
//!
//! In: a layout that a page chooses from a listing: a shipped one, or a file in the folder. Out: the preview
//! follows it, with the orders of the last kit, or made-up ones. Not here: looking at files (`preview`).

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;

use clap::Parser as _;
use serde_json::{Value, json};

use super::super::arguments::{Arguments, Command};
use super::super::preview::follow;
use super::files::{is_map, shop_in};
use super::papers::newest_kit;
use crate::desk::preview::PreviewRoom;
use crate::desk::{Bulletin, DeskRoom as _, HttpAnswer, HttpRequest, Method};
use crate::shipped::{SHIPPED, USUAL_LABEL};

/// The layouts of a desk.
pub(super) struct Layouts {
    /// The folder that the desk is open in, where own layouts lie.
    folder: PathBuf,
    /// What shows pages of the layout that is followed.
    room: Arc<PreviewRoom>,
    /// The layout that is followed, with what ends that; none before a page wants to see one.
    followed: Mutex<Option<(String, Arc<AtomicBool>)>>,
}

impl Layouts {
    /// Begins with no layout followed.
    pub(super) fn of(folder: &Path, bulletin: Arc<Bulletin>) -> Layouts {
        let room = Arc::new(PreviewRoom::new(bulletin));
        Layouts { folder: folder.to_owned(), room, followed: Mutex::default() }
    }

    /// The answer to a request of the preview's page; none when it is not one.
    pub(super) fn answer(&self, request: &HttpRequest) -> Option<HttpAnswer> {
        match (request.method, &*request.path) {
            (Method::Get, "/preview/look") => Some(HttpAnswer::json(&self.look())),
            (Method::Post, "/preview/open") => Some(self.open(&request.body)),
            _ => self.room.answer(request),
        }
    }

    /// The layout that is followed now; a thread that panicked does not keep others from it.
    fn followed(&self) -> MutexGuard<'_, Option<(String, Arc<AtomicBool>)>> {
        self.followed.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What the preview shows, and what else it could show. The first who looks sees the usual label.
    fn look(&self) -> Value {
        let mut followed = self.followed();
        let name = match &*followed {
            Some((name, _)) => name.clone(),
            None => self.follow(&mut followed, USUAL_LABEL),
        };
        drop(followed);
        let mut told = self.room.told();
        if told.is_null() {
            told = json!({"look": 0, "layout": name, "orders": "", "remark": null, "pages": [],
                "findings": [], "sources": {}});
        }
        told["layouts"] = json!({"open": name, "names": self.names()});
        told
    }

    /// The layouts that can be shown: the folder's own, then those that come with the engine.
    fn names(&self) -> Vec<String> {
        let listed = std::fs::read_dir(&self.folder).into_iter().flatten().flatten();
        let files = listed.filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_file()));
        let is_layout = |name: &String| {
            name.ends_with(".yaml") && !is_map(name) && !shop_in(Path::new("")).ends_with(name)
        };
        let mut own: Vec<String> =
            files.filter_map(|it| it.file_name().into_string().ok()).filter(is_layout).collect();
        own.sort();
        own.extend(SHIPPED.iter().map(|layout| layout.name.to_owned()));
        own
    }

    /// Shows another layout.
    fn open(&self, body: &[u8]) -> HttpAnswer {
        let given: Value = serde_json::from_slice(body).unwrap_or_default();
        let wanted = given["layout"].as_str().unwrap_or_default();
        if !self.names().iter().any(|name| name == wanted) {
            return HttpAnswer::nothing_there();
        }
        self.follow(&mut self.followed(), wanted);
        HttpAnswer::json(&json!({}))
    }

    /// Follows a layout from now on, and no longer the one before.
    fn follow(&self, followed: &mut Option<(String, Arc<AtomicBool>)>, name: &str) -> String {
        let is_over = Arc::new(AtomicBool::new(false));
        if let Some((_, before)) = followed.replace((name.to_owned(), Arc::clone(&is_over))) {
            before.store(true, Ordering::Relaxed);
        }
        let words = self.words(name);
        let room = Arc::clone(&self.room);
        let run = move || {
            let parsed = Arguments::try_parse_from(words).map(|arguments| arguments.command);
            if let Ok(Command::Preview(arguments)) = parsed {
                // What cannot even begin shows nothing; a listing names what is there.
                let _ = follow(&arguments, &room, || is_over.load(Ordering::Relaxed));
            }
        };
        // Without a thread the page stays as it is, and the next choice tries again.
        let _ = thread::Builder::new().stack_size(8 << 20).spawn(run);
        name.to_owned()
    }

    /// The words of the command that shows a layout.
    fn words(&self, name: &str) -> Vec<PathBuf> {
        let own = self.folder.join(name);
        let layout = if own.is_file() { own } else { PathBuf::from(name) };
        let mut words = vec!["slipwright".into(), "preview".into(), layout];
        let orders = newest_kit(&self.folder).map(|kit| kit.join("orders.json"));
        words.extend(orders.filter(|orders| orders.is_file()));
        let shop = shop_in(&self.folder);
        if shop.is_file() {
            words.extend(["--shop".into(), shop]);
        }
        words
    }
}

impl Drop for Layouts {
    /// Nothing is followed any longer.
    fn drop(&mut self) {
        if let Some((_, is_over)) = &*self.followed() {
            is_over.store(true, Ordering::Relaxed);
        }
    }
}
