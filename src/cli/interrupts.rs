//! Being interrupted: what is half made goes, and the run ends as the signal would have ended it.
//!
//! In: INT, TERM and HUP, unless whoever started the command had them ignored. Not here: what is
//! half made (`scratch`).

#[cfg(unix)]
use std::sync::Once;

#[cfg(unix)]
use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
#[cfg(unix)]
use signal_hook::iterator::Signals;
#[cfg(unix)]
use signal_hook::low_level::emulate_default_handler;

#[cfg(unix)]
use super::scratch;

/// Watches for interrupts from now on.
#[cfg(unix)]
pub(super) fn watch() {
    static STARTED: Once = Once::new();
    STARTED.call_once(|| {
        let ignored = find_ignored();
        let wanted = [SIGINT, SIGTERM, SIGHUP].into_iter();
        // Without them an interrupt leaves what the next run sweeps.
        let Ok(mut signals) = Signals::new(wanted.filter(|signal| !ignored.contains(signal)))
        else {
            return;
        };
        std::thread::spawn(move || {
            for signal in signals.forever() {
                scratch::remove_all(|| {
                    let _ = emulate_default_handler(signal);
                });
            }
        });
    });
}

/// Systems without these signals leave it to the next run.
#[cfg(not(unix))]
pub(super) fn watch() {}

/// The signals that whoever started the command had ignored, as `nohup` does with HUP; they stay so.
/// Linux tells them as a mask of bits in `/proc/self/status` (proc_pid_status(5), SigIgn).
#[cfg(unix)]
fn find_ignored() -> Vec<i32> {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    let mask = mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).unwrap_or(0);
    [SIGINT, SIGTERM, SIGHUP].into_iter().filter(|signal| mask >> (signal - 1) & 1 == 1).collect()
}
