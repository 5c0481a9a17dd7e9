//! The command `slipwright`.

use std::process::ExitCode;

use slipwright::{Exit, run_command};

fn main() -> ExitCode {
    let exit: Exit = run_command(std::env::args_os());
    exit.into()
}
