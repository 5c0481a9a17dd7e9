//! The whole command on generated orders, and the same work stage by stage: on orders that are
//! alike, and on orders that vary as a shop's do.
//!
//! `cargo bench` runs it; figures after `--` choose other batch sizes: `cargo bench -- 500`.

mod clock;
mod maker;
mod stages;
mod varied;

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use clock::children_seconds;
use mimalloc::MiMalloc;
use stages::{Stages, measure_stages};

/// The command's allocator, so that the stages take the time that they take there.
#[global_allocator]
static ALLOCATOR: MiMalloc = MiMalloc;

/// A kind of orders, and the shop that sends them.
struct Bench {
    /// What the tables call it.
    name: &'static str,
    /// Makes so many orders as JSON.
    make_orders: fn(usize) -> String,
    /// The shop file.
    shop: &'static str,
}

/// Both kinds of orders.
const BENCHES: [Bench; 2] = [
    Bench {
        name: "alike",
        make_orders: maker::make_orders,
        shop: "name: Tern Hollow Pens
address: {lines: [7 Saltings Lane], city: Ternmouth, postcode: TR77 4NH, country: GB}
",
    },
    Bench {
        name: "varied",
        make_orders: varied::make_orders,
        shop: include_str!("../../samples/shop.yaml"),
    },
];

/// The batch sizes.
const COUNTS: &[usize] = &[1, 1_000, 10_000, 100_000];

/// One measured run.
struct Measured {
    /// From start to exit.
    seconds: f64,
    /// CPU time of all threads, to a hundredth of a second.
    cpu: f64,
    /// The most memory it held, in MB; 0 where the system does not tell.
    peak_mb: f64,
    /// The PDF's size, in bytes.
    size: u64,
}

fn main() {
    let given: Vec<usize> = std::env::args().filter_map(|word| word.parse().ok()).collect();
    let counts = if given.is_empty() { COUNTS } else { &given };
    let folder = tempfile::tempdir().expect("a temporary folder");
    let orders = folder.path().join("orders.json");
    println!("the whole command, JSON to PDF\n");
    println!(
        "{:>7} {:>8} {:>8} {:>9} {:>8} {:>10} {:>9} {:>12}",
        "orders", "labels", "threads", "seconds", "CPU s", "labels/s", "peak MB", "bytes/label"
    );
    let mut taken_apart = Vec::new();
    for bench in &BENCHES {
        fs::write(folder.path().join("shop.yaml"), bench.shop).expect("the shop file is written");
        for &count in counts {
            fs::write(&orders, (bench.make_orders)(count)).expect("orders are written");
            for threads in [1, 2] {
                show_run(bench.name, count, threads, &measure(&orders, threads));
            }
            if count > 1 {
                let stages = measure_stages(&orders, bench.shop, folder.path());
                taken_apart.push((bench.name, count, stages));
            }
        }
    }
    taken_apart.iter().for_each(|(name, count, stages)| show_stages(name, *count, stages));
}

/// Prints a row of the table of runs.
fn show_run(name: &str, count: usize, threads: usize, run: &Measured) {
    let labels = count as f64;
    println!(
        "{name:>7} {count:>8} {threads:>8} {:>9.3} {:>8.2} {:>10.0} {:>9.1} {:>12.0}",
        run.seconds,
        run.cpu,
        labels / run.seconds,
        run.peak_mb,
        run.size as f64 / labels
    );
}

/// Prints the table of stages.
fn show_stages(name: &str, count: usize, stages: &Stages) {
    let total: f64 = stages.times.iter().map(|(_, time)| time).sum();
    println!("\n{count} {name} labels on one thread, CPU time by stage\n");
    let row = |name: &str, time: f64| {
        let (each, share) = (time / count as f64 * 1e6, time / total * 100.0);
        println!("{name:>12} {time:>8.3} s {each:>7.1} µs a label {share:>5.1} %");
    };
    stages.times.iter().for_each(|(name, time)| row(name, *time));
    row("all", total);
    row("floor", stages.floor);
    println!(
        "\n{:.1} times the floor, which is to compress and write the page streams",
        total / stages.floor
    );
}

/// Runs the command once on some orders.
fn measure(orders: &Path, threads: usize) -> Measured {
    let output = orders.with_extension("pdf");
    let before = children_seconds();
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
    Measured { seconds, cpu: children_seconds() - before, peak_mb, size }
}

/// The most memory a process has held so far, in MB, as Linux tells it.
fn read_peak(process: u32) -> f64 {
    let status = fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes = line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<f64>().ok());
    kilobytes.unwrap_or(0.0) / 1000.0
}
