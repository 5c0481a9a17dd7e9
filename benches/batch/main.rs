//! The whole command on generated orders: labels a second, peak memory, size.
//!
//! `cargo bench` runs it; figures after `--` choose other batch sizes: `cargo bench -- 100000`.

mod maker;

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// Who sends.
const SHOP: &str = "name: Tern Hollow Pens
address: {lines: [7 Saltings Lane], city: Ternmouth, postcode: TR77 4NH, country: GB}
";

/// One measured run.
struct Measured {
    /// From start to exit.
    seconds: f64,
    /// The most memory it held, in MB; 0 where the system does not tell.
    peak_mb: f64,
    /// The PDF's size, in bytes.
    size: u64,
}

fn main() {
    let given: Vec<usize> = std::env::args().filter_map(|word| word.parse().ok()).collect();
    let counts = if given.is_empty() { vec![1_000, 10_000] } else { given };
    let folder = tempfile::tempdir().expect("a temporary folder");
    fs::write(folder.path().join("shop.yaml"), SHOP).expect("the shop file is written");
    println!(
        "{:>8} {:>8} {:>9} {:>12} {:>9} {:>12}",
        "labels", "threads", "seconds", "labels/s", "peak MB", "bytes/label"
    );
    for count in counts {
        let orders = folder.path().join("orders.json");
        fs::write(&orders, maker::make_orders(count)).expect("orders are written");
        for threads in [1, 2] {
            let run = measure(&orders, threads);
            let labels = count as f64;
            println!(
                "{count:>8} {threads:>8} {:>9.3} {:>12.0} {:>9.1} {:>12.0}",
                run.seconds,
                labels / run.seconds,
                run.peak_mb,
                run.size as f64 / labels
            );
        }
    }
}

/// Runs the command once on some orders.
fn measure(orders: &Path, threads: usize) -> Measured {
    let output = orders.with_extension("pdf");
    let start = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_slipwright"))
        .args(["render", "--diagnostics", "short", "--threads", &threads.to_string(), "-o"])
        .args([&output, orders])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the command starts");
    let mut peak_mb: f64 = 0.0;
    let status = loop {
        if let Some(status) = child.try_wait().expect("the command is ours") {
            break status;
        }
        peak_mb = peak_mb.max(read_peak(child.id()));
        sleep(Duration::from_millis(1));
    };
    let seconds = start.elapsed().as_secs_f64();
    assert!(status.success(), "the command failed: {status}");
    let size = fs::metadata(&output).map_or(0, |file| file.len());
    Measured { seconds, peak_mb, size }
}

/// The most memory a process has held so far, in MB, as Linux tells it.
fn read_peak(process: u32) -> f64 {
    let status = fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes = line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<f64>().ok());
    kilobytes.unwrap_or(0.0) / 1000.0
}
