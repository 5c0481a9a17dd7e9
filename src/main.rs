//! The command `slipwright`.

use std::process::ExitCode;

fn main() -> ExitCode {
    slipwright::run_command(std::env::args_os()).into()
}
