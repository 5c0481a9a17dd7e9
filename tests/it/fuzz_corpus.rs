//! The fuzzers' corpus, sent through the same doors without a fuzzer: what once broke an entry
//! point, and what leads furthest into it. What takes long is in a folder of its own, from which the
//! fuzzers make no other inputs.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

#[expect(unreachable_pub, reason = "the fuzz package takes the same file as a public module")]
#[path = "../../fuzz/src/entries.rs"]
mod entries;

/// The longest that one input may take.
const MOST_TIME: Duration = Duration::from_secs(10);

/// The most memory that a process holds in which every input was looked at, in kibibytes.
const MOST_MEMORY: u64 = 256 << 10;

/// What this thread has computed so far: other work on a machine lengthens every other clock.
pub(crate) fn processor_time() -> Duration {
    let time = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
    Duration::new(time.tv_sec.unsigned_abs(), u32::try_from(time.tv_nsec).unwrap())
}

/// Set in the process that is started to be measured.
const MEASURED: &str = "SLIPWRIGHT_MEASURED";

/// The most memory that this process has held so far, in kibibytes; from proc_pid_status(5).
fn find_peak() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().trim_end_matches(" kB").parse().ok()
}

/// The inputs of a door in one of the folders of tests; none when it has no such folder.
fn list_inputs(folder: &str, door: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join(folder).join(door);
    let files = fs::read_dir(&folder).into_iter().flatten();
    let mut files: Vec<_> = files.map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files
}

/// Sends the corpus through the doors in a process of its own, whose peak is that of the hungriest input.
fn measure_the_corpus() {
    let tests = std::env::current_exe().unwrap();
    let name = "fuzz_corpus::the_corpus_passes_every_entry_point";
    let output = Command::new(tests).args([name, "--exact"]).env(MEASURED, "1").output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stdout));
}

#[test]
fn the_corpus_passes_every_entry_point() {
    // Only there a process can say how much it held.
    let is_linux = cfg!(target_os = "linux");
    if is_linux && std::env::var_os(MEASURED).is_none() {
        return measure_the_corpus();
    }
    let mut total = 0;
    for (name, enter) in entries::ENTRIES {
        let seeds = list_inputs("fuzz-corpus", name);
        assert!(seeds.len() >= 5, "the corpus of `{name}` is gone");
        for file in seeds.into_iter().chain(list_inputs("fuzz-heavy", name)) {
            let bytes = fs::read(&file).unwrap();
            total += bytes.len();
            // The name of the file that a panic is about.
            println!("{}", file.display());
            let begun = processor_time();
            enter(&bytes);
            let taken = processor_time().saturating_sub(begun);
            assert!(taken < MOST_TIME, "{} takes {taken:?}", file.display());
        }
    }
    let peak = find_peak();
    let is_little = peak.is_some_and(|peak| peak < MOST_MEMORY);
    assert!(is_little || !is_linux, "the corpus takes {peak:?} KiB");
    assert!(total < 300_000, "the corpus has grown to {total} bytes: minimise it");
}
