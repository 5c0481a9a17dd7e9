//! Opening the seller's browser.

use std::process::{Command, Stdio};

/// The programs that open an address, by system: theirs is the choice of the browser.
#[cfg(target_os = "macos")]
const OPENERS: [&[&str]; 1] = [&["open"]];

/// The programs that open an address, by system: theirs is the choice of the browser.
#[cfg(windows)]
const OPENERS: [&[&str]; 1] = [&["rundll32", "url.dll,FileProtocolHandler"]];

/// The programs that open an address, by system: theirs is the choice of the browser.
#[cfg(not(any(target_os = "macos", windows)))]
const OPENERS: [&[&str]; 2] = [&["xdg-open"], &["wslview"]];

/// Opens an address; whether a program was found that does so.
pub(super) fn open(address: &str) -> bool {
    OPENERS.iter().any(|words| {
        let [program, options @ ..] = words else { return false };
        let mut command = Command::new(program);
        command.args(options).arg(address);
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        command.spawn().is_ok()
    })
}
