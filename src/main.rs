//! The command `slipwright`.

use std::process::ExitCode;

use mimalloc::MiMalloc;
use slipwright::{Exit, run_command};

/// What memory is taken from: an order is a few dozen small pieces, which the system's own allocator
/// takes a fifth of the time for.
#[global_allocator]
static ALLOCATOR: MiMalloc = MiMalloc;

fn main() -> ExitCode {
    let exit: Exit = run_command(std::env::args_os());
    exit.into()
}
