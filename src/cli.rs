//! The command: arguments in, files and exit codes out.
//!
//! Everything that touches the disk, the terminal or a pipe is here and below. Output goes to a
//! temporary file first and takes its name only when every page is good. Not here: anything a
//! program that uses the library would want too.

mod arguments;
mod aside;
mod check;
mod copy;
mod disk;
mod documents;
mod exit;
mod files;
mod inputs;
mod intake;
mod kit;
mod lists;
mod output;
mod positions;
mod render;
mod report;
mod ruler;
mod sitting;
mod steady;
mod table;
mod weigh;

use std::ffi::OsString;
use std::io::Write;

use clap::{CommandFactory as _, Parser as _};

pub use exit::Exit;

use arguments::{Arguments, Command};

/// Runs the command with the program's arguments, the first being its name.
pub fn run_command(arguments: impl IntoIterator<Item = OsString>) -> Exit {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            let printed = error.print();
            return match (error.use_stderr(), printed) {
                (true, _) => Exit::Usage,
                (false, Ok(())) => Exit::Done,
                (false, Err(_)) => Exit::Output,
            };
        }
    };
    match arguments.command {
        Command::Render(arguments) => render::run(&arguments),
        Command::Kit(arguments) => kit::run(&arguments),
        Command::Check(arguments) => check::run(&arguments),
        Command::Weigh(arguments) => weigh::run(&arguments),
        Command::Intake(arguments) => intake::run(&arguments),
        Command::Layouts(arguments) => copy::run(&arguments),
        Command::Ruler(arguments) => ruler::run(&arguments),
        Command::Stock => print(&lists::stock_table()),
        Command::Schema { of } => print(&lists::schema_text(of)),
        Command::Completions { shell } => {
            let mut script = Vec::new();
            let mut command = Arguments::command();
            clap_complete::generate(shell, &mut command, "slipwright", &mut script);
            print(&String::from_utf8_lossy(&script))
        }
    }
}

/// Prints to standard output.
fn print(text: &str) -> Exit {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => Exit::Done,
        Err(error) => report::cannot_write("standard output", &error),
    }
}
