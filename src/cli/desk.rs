//! `slipwright desk`: the evening on pages in the browser.
//!
//! In: the folder of the ledger and the shop file. Out: pages on this machine, and their address; the
//! command runs until it is stopped. What a page does is done by the verbs of `slipwright ledger`, in this
//! process. Not here: what pages show (`desk`), and rules of any kind.

mod acts;
mod camera;
mod choices;
mod drops;
mod files;
mod first;
mod forms;
mod layouts;
mod lost;
mod papers;
mod queues;
mod room;
mod tables;
mod usual_money;
mod watch;
mod ways;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::arguments::desk::DeskArguments;
use super::browser::{open_server, show_address};
use super::exit::Exit;
use super::halt::Halt;
use super::output::show_path;
use crate::desk::Bulletin;

use first::find_folder;
use room::EveningRoom;
use watch::LedgerWatch;

/// Serves the desk until the command is stopped.
pub(super) fn run(arguments: &DeskArguments) -> Result<Exit, Halt> {
    let folder = match &arguments.folder {
        Some(folder) => open_folder(folder)?,
        None => open_folder(&find_folder()?)?,
    };
    let server = open_server(&arguments.server, "the desk's pages")?;
    let bulletin = Arc::new(Bulletin::default());
    let mut watch = LedgerWatch::of(&folder);
    let address = server.address();
    server.start(Arc::new(EveningRoom::of(folder, Arc::clone(&bulletin))), Arc::clone(&bulletin));
    show_address(&arguments.server, "the desk", &address)?;
    loop {
        watch.wait();
        bulletin.tell();
    }
}

/// The folder with its whole path, so that messages name it wherever they are read.
fn open_folder(folder: &Path) -> Result<PathBuf, Halt> {
    let name = show_path(folder);
    match std::fs::canonicalize(folder) {
        Ok(found) if found.is_dir() => Ok(found),
        Ok(_) => Err(Halt::usage(format!("{name} is no folder")).hint("name the folder it is in")),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            Err(Halt::usage(format!("there is no folder {name}")).hint("make it first"))
        }
        Err(error) => Err(Halt::unreadable(&name.to_string(), &error)),
    }
}
