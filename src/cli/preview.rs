//! `slipwright preview`: a layout's pages in the browser, drawn anew at every save.
//!
//! In: a layout and orders, or made-up ones. Out: a page on this machine, and its address; the command
//! runs until it is stopped. Not here: what the page shows (`desk`).

mod draft;
mod notices;
mod watch;

use std::sync::Arc;

use super::arguments::preview::PreviewArguments;
use super::browser::{open_server, show_address};
use super::exit::Exit;
use super::halt::Halt;
use crate::desk::Bulletin;
use crate::desk::preview::PreviewRoom;

use draft::Draft;
use watch::Watch;

/// Serves the preview until the command is stopped.
pub(super) fn run(arguments: &PreviewArguments) -> Result<Exit, Halt> {
    let mut watch = Watch::default();
    let draft = Draft::begin(arguments)?;
    let server = open_server(&arguments.server, "the preview's page")?;
    let bulletin = Arc::new(Bulletin::default());
    let room = Arc::new(PreviewRoom::new(Arc::clone(&bulletin)));
    room.show(draft.look(&mut watch));
    let address = server.address();
    server.start(Arc::clone(&room) as Arc<_>, Arc::clone(&bulletin));
    show_address(&arguments.server, "the preview", &address)?;
    loop {
        watch.wait(|| room.take_wish());
        room.show(draft.look(&mut watch));
    }
}

/// Shows a layout in a room of another server until that is over.
///
/// # Errors
/// As [`Draft::begin`].
pub(super) fn follow(
    arguments: &PreviewArguments,
    room: &PreviewRoom,
    is_over: impl Fn() -> bool,
) -> Result<(), Halt> {
    let mut watch = Watch::default();
    let draft = Draft::begin(arguments)?;
    while !is_over() {
        room.show(draft.look(&mut watch));
        watch.wait(|| room.take_wish() || is_over());
    }
    Ok(())
}
