//! How much memory a large batch takes for each order more: the text of its file, and less than that
//! once more.

#[cfg(target_os = "linux")]
use crate::command::Desk;

/// The most memory that the command held while it made a batch of so many varied orders with the sample
/// shop, and the size of their file, both in bytes; Linux tells it in KiB as `VmHWM`.
#[cfg(target_os = "linux")]
fn measure(count: usize) -> (usize, usize) {
    use std::process::{Command, Stdio};

    let desk = Desk::new();
    let orders = crate::varied::make_orders(count);
    desk.put("orders.json", &orders).sample("shop.yaml");
    // One page: what counts is the batch that stands behind it.
    let mut child = Command::new(env!("CARGO_BIN_EXE_slipwright"))
        .args(["render", "orders.json", "--threads", "1", "--only", "1", "-o", "label.pdf"])
        .current_dir(desk.path("."))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut peak = 0;
    let status = loop {
        let known = std::fs::read_to_string(format!("/proc/{}/status", child.id()));
        let line = known.unwrap_or_default();
        let line = line.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kib = line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<usize>().ok());
        peak = peak.max(kib.unwrap_or_default() * 1024);
        match child.try_wait().unwrap() {
            Some(status) => break status,
            None => std::thread::sleep(std::time::Duration::from_millis(1)),
        }
    };
    assert!(status.success(), "{status}");
    (peak, orders.len())
}

/// Between two sizes, so that what the command takes for itself plays no part. It was 3.7 times the text
/// as long as orders kept their texts beside it.
#[cfg(target_os = "linux")]
#[test]
fn an_order_more_takes_less_than_twice_its_text() {
    // What a command takes last may be missed where other work holds this test up: the most of two looks.
    let (few, few_bytes) = (0..2).map(|_| measure(4_000)).max().unwrap();
    let (many, many_bytes) = measure(30_000);
    let (more, more_bytes) = (many.saturating_sub(few), many_bytes - few_bytes);
    assert!(more < 2 * more_bytes, "{more} bytes more for {more_bytes} of text");
}
