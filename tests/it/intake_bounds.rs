//! A large export through the command: the rows are read and written one after another, and what is
//! kept of them is little.

#[cfg(target_os = "linux")]
use std::fmt::Write as _;

/// Rows of the export; three of them make an order.
#[cfg(target_os = "linux")]
const ROWS: usize = 100_000;

/// The most memory that a process had so far, in bytes; Linux tells it in KiB as `VmHWM`.
#[cfg(target_os = "linux")]
fn peak_memory(process: u32) -> usize {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).unwrap();
    let line = status.lines().find(|line| line.starts_with("VmHWM:")).unwrap();
    let kib: usize = line.split_whitespace().nth(1).unwrap().parse().unwrap();
    kib * 1024
}

/// The rows are 28 MB and the command takes 20, most of it for itself: what it keeps of them is the
/// orders' ids, which must not come again. The orders go into a pipe that nobody reads yet, so that
/// the command, done with all its work, waits there to be measured.
#[cfg(target_os = "linux")]
#[test]
fn a_hundred_thousand_rows_take_less_memory_than_their_file() {
    use std::io::Read as _;
    use std::process::{Command, Stdio};

    let desk = crate::command::Desk::new();
    let mut export =
        String::from("Order,Name,Street,Town,Zip,Country,Item,Quantity,Price,Remark\n");
    for row in 0..ROWS {
        let order = row / 3;
        let remark = "a remark that nobody needs, and that is long; ".repeat(6);
        writeln!(
            export,
            "TH-{order},Ada Marlow {order},{order} Mill Lane,Ternmouth,TR77 4NH,GB,\
             \"Nib, fine {row}\",2,12.50,\"{remark}\"",
        )
        .unwrap();
    }
    desk.put("export.csv", &export).put(
        "map.yaml",
        "fields:\n  id: Order\n  ship_to.name: Name\n  ship_to.lines: [Street]\n  \
         ship_to.city: Town\n  ship_to.postcode: Zip\n  ship_to.country: Country\n  \
         items.title: Item\n  items.qty: Quantity\n  items.price: Price\nignore: [Remark]\n",
    );
    let mut child = Command::new(env!("CARGO_BIN_EXE_slipwright"))
        .args(["intake", "export.csv", "--map", "map.yaml"])
        .current_dir(desk.path("."))
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut out = child.stdout.take().unwrap();
    let mut first = [0];
    out.read_exact(&mut first).unwrap();
    let memory = peak_memory(child.id());
    let mut rest = String::new();
    out.read_to_string(&mut rest).unwrap();
    assert!(child.wait().unwrap().success());
    let orders: serde_json::Value = serde_json::from_str(&format!("{{{rest}")).unwrap();
    assert_eq!(orders["orders"].as_array().unwrap().len(), ROWS.div_ceil(3));
    assert!(memory < export.len(), "{memory} bytes for a file of {}", export.len());
}
