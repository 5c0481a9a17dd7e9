//! Pages in the seller's browser: a server on this machine, its address, and the browser opened there.
//!
//! In: what the seller wants of it. Out: a server that listens, and its address told. Not here: what it
//! answers (`desk`).

use std::process::{Command, Stdio};

use super::arguments::PageServerArguments;
use super::exit::Exit;
use super::halt::Halt;
use super::terminal;
use crate::desk::DeskServer;

/// The programs that open an address, by system: theirs is the choice of the browser.
#[cfg(target_os = "macos")]
const OPENERS: [&[&str]; 1] = [&["open"]];

/// The programs that open an address, by system: theirs is the choice of the browser.
#[cfg(windows)]
const OPENERS: [&[&str]; 1] = [&["rundll32", "url.dll,FileProtocolHandler"]];

/// The programs that open an address, by system: theirs is the choice of the browser.
#[cfg(not(any(target_os = "macos", windows)))]
const OPENERS: [&[&str]; 2] = [&["xdg-open"], &["wslview"]];

/// Listens for a browser; `what` names what it is for.
///
/// # Errors
/// When the port is taken.
pub(super) fn open_server(arguments: &PageServerArguments, what: &str) -> Result<DeskServer, Halt> {
    DeskServer::open(arguments.port).map_err(|error| {
        let halt = Halt::unwritten(what, &error).ending_in(Exit::Output);
        match arguments.port {
            0 => halt,
            port => halt.hint(format!("something else may use port {port}; leave `--port` out")),
        }
    })
}

/// Tells an address, and opens it in the browser unless the seller does that; `what` names what is open.
///
/// # Errors
/// When standard output cannot be written.
pub(super) fn show_address(
    arguments: &PageServerArguments,
    what: &str,
    address: &str,
) -> Result<(), Halt> {
    terminal::say(&format!("{what} is open until you stop it here with Ctrl+C; its address:"));
    terminal::print(&format!("{address}\n"))?;
    if !arguments.no_open && !open(address) {
        terminal::say("no browser could be opened: open the address yourself");
    }
    Ok(())
}

/// Opens an address; whether a program was found that does so.
fn open(address: &str) -> bool {
    OPENERS.iter().any(|words| {
        let [program, options @ ..] = words else { return false };
        let mut command = Command::new(program);
        command.args(options).arg(address);
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        command.spawn().is_ok()
    })
}
