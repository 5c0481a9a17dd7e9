//! The command: arguments in, files and exit codes out.
//!
//! Everything that touches the disk, the terminal or a pipe is here and below. Output goes to a
//! temporary file first and takes its name only when every page is good. Not here: anything a
//! program that uses the library would want too.

mod appear;
mod arguments;
mod aside;
#[cfg(feature = "desk")]
mod browser;
mod check;
mod clock;
mod copy;
#[cfg(feature = "desk")]
mod desk;
mod disk;
mod documents;
mod examples;
mod exit;
mod export_file;
mod files;
mod font_folder;
mod halt;
mod inputs;
mod intake;
mod interrupts;
mod journal;
mod kit;
mod ledger;
mod line;
mod lists;
mod open_layout;
mod output;
#[cfg(feature = "draw")]
mod panics;
mod positions;
mod prepare;
#[cfg(feature = "desk")]
mod preview;
mod print;
mod render;
mod report;
mod ruler;
mod scratch;
mod setup;
mod sitting;
mod steady;
mod table;
mod terminal;
mod voice;
mod weigh;
mod without;

use std::ffi::OsString;

use clap::{CommandFactory as _, Parser as _};
use clap_complete::Shell;

pub use exit::Exit;

use arguments::{Arguments, Command};
use halt::Halt;
use voice::Voice;

/// All commands and options with their help, from which completions and manual pages are made.
#[must_use]
pub fn command_line() -> clap::Command {
    Arguments::command()
}

/// Runs the command with the program's arguments, the first being its name.
///
/// What stops it is a value all the way up to here, and shown here once.
pub fn run_command(arguments: impl IntoIterator<Item = OsString>) -> Exit {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    let Arguments { command, color } = match Arguments::try_parse_from(&arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            Voice::guess(&arguments).set();
            return terminal::show_usage(&error);
        }
    };
    Voice::new(command.diagnostics(), color).set();
    interrupts::watch();
    #[cfg(feature = "draw")]
    panics::hush_drawing();
    match run(&command) {
        Ok(exit) => exit,
        Err(halt) => terminal::show_halt(&halt, command.diagnostics()),
    }
}

/// Does what the user wants.
fn run(command: &Command) -> Result<Exit, Halt> {
    match command {
        Command::Render(arguments) => render::run(arguments),
        Command::Kit(arguments) => kit::run(arguments),
        Command::Check(arguments) => check::run(arguments),
        Command::Weigh(arguments) => weigh::run(arguments),
        Command::Intake(arguments) => intake::run(arguments),
        #[cfg(feature = "desk")]
        Command::Desk(arguments) => desk::run(arguments),
        #[cfg(feature = "desk")]
        Command::Preview(arguments) => preview::run(arguments),
        Command::Layouts(arguments) => copy::run(arguments),
        Command::Ruler(arguments) => ruler::run(arguments),
        Command::Print(arguments) => print::run(arguments),
        Command::Ledger(arguments) => ledger::run(arguments),
        Command::Stock { json: true } => {
            terminal::print_json(&lists::stock_json()).map(|()| Exit::Done)
        }
        Command::Stock { json: false } => print(&lists::stock_table()),
        Command::Schema { of } => {
            terminal::print_json(&lists::schema_text(*of)).map(|()| Exit::Done)
        }
        Command::Completions { shell } => print(&complete(*shell)),
    }
}

/// Prints what was asked for.
fn print(text: &str) -> Result<Exit, Halt> {
    terminal::print(text).map(|()| Exit::Done)
}

/// The completion script for a shell.
fn complete(shell: Shell) -> String {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut command_line(), "slipwright", &mut script);
    String::from_utf8_lossy(&script).into_owned()
}
