//! `slipwright preview`: a layout's pages in the browser, drawn anew at every save.
//!
//! In: a layout and orders, or made-up ones. Out: a page on this machine, and its address; the command
//! runs until it is stopped. Not here: what the page shows (`desk`).

mod browser;
mod draft;
mod watch;

use std::sync::Arc;

use super::arguments::preview::PreviewArguments;
use super::exit::Exit;
use super::halt::Halt;
use super::terminal;
use crate::desk::preview::PreviewRoom;
use crate::desk::{Bulletin, DeskServer};

use draft::Draft;
use watch::Watch;

/// Serves the preview until the command is stopped.
pub(super) fn run(arguments: &PreviewArguments) -> Result<Exit, Halt> {
    let mut watch = Watch::default();
    let draft = Draft::begin(arguments)?;
    let server =
        DeskServer::open(arguments.port).map_err(|error| cannot_listen(arguments, &error))?;
    let bulletin = Arc::new(Bulletin::default());
    let room = Arc::new(PreviewRoom::new(Arc::clone(&bulletin)));
    room.show(draft.look(&mut watch));
    let address = server.address();
    server.start(Arc::clone(&room) as Arc<_>, Arc::clone(&bulletin));
    terminal::say("the preview is open until you stop it here with Ctrl+C; its address:");
    terminal::print(&format!("{address}\n"))?;
    if !arguments.no_open && !browser::open(&address) {
        terminal::say("no browser could be opened: open the address yourself");
    }
    loop {
        watch.wait(bulletin.is_heard(), || room.take_wish());
        room.show(draft.look(&mut watch));
    }
}

/// What stops a preview that has no place to listen at.
fn cannot_listen(arguments: &PreviewArguments, error: &std::io::Error) -> Halt {
    let halt = Halt::unwritten("the preview's page", error).ending_in(Exit::Output);
    match arguments.port {
        0 => halt,
        port => halt.hint(format!("something else may use port {port}; leave `--port` out")),
    }
}
