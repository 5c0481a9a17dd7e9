//! A disk that is full: what is said of it, and what is left there.
//!
//! The disk is a small one in memory that only this test sees, in a mount namespace of its own; where the
//! system gives nobody such a namespace, there is nothing to look at.
#![cfg(target_os = "linux")]

use std::process::{Command, Output};

use crate::command::Desk;

/// Mounts the small disk, fills it behind a ledger and a document, and tells what each command says.
const SCRIPT: &str = r#"
mkdir full && mount -t tmpfs -o size=800k tmpfs full || exit 77
$SLIPWRIGHT ledger take-in evening.json
cd full
cp ../evening.json ../shop.yaml .
$SLIPWRIGHT ledger take-in evening.json
echo "made before" > a.pdf
dd if=/dev/zero of=fill bs=1k 2>/dev/null
tell() { echo "$ $*"; $SLIPWRIGHT "$@" 2>&1; echo "exit $?"; }
tell ledger list waiting
tell ledger line-up --all
tell ledger --ledger ../slipwright.ledger backup friday.ledger
tell render evening.json -o a.pdf
tell kit evening.json --to tonight
tell ledger --ledger ../slipwright.ledger copy-out -o copy.jsonl
tell ledger --ledger new.ledger take-in evening.json
ls -A | grep -v ^slipwright.ledger-
cat a.pdf
rm fill
tell ledger check
"#;

/// What each of them says.
const SAID: &str = "\
12 orders: 12 new
12 orders: 12 new
$ ledger list waiting
error: `slipwright.ledger`: the ledger's disk is full
  help: make room there and try again: nothing that was answered is lost, and nothing is half done
exit 3
$ ledger line-up --all
error: `slipwright.ledger`: the ledger's disk is full
  help: make room there and try again: nothing that was answered is lost, and nothing is half done
exit 3
$ ledger --ledger ../slipwright.ledger backup friday.ledger
error: `friday.ledger` could not be written: its disk is full
  help: make room there and start again: what was there before is as it was
exit 3
$ render evening.json -o a.pdf
error: `a.pdf` could not be written: its disk is full
  help: make room there and start again: what was there before is as it was
exit 3
$ kit evening.json --to tonight
error: `tonight/labels.pdf` could not be written: its disk is full
  help: make room there and start again: what was there before is as it was
exit 3
$ ledger --ledger ../slipwright.ledger copy-out -o copy.jsonl
error: `copy.jsonl` could not be written: its disk is full
  help: make room there and start again: what was there before is as it was
exit 3
$ ledger --ledger new.ledger take-in evening.json
error: `new.ledger`: the ledger's disk is full
  help: make room there and try again: nothing that was answered is lost, and nothing is half done
exit 3
a.pdf
evening.json
fill
shop.yaml
slipwright.ledger
made before
$ ledger check
the ledger is sound: 12 entries
exit 0
";

#[test]
fn a_full_disk_is_told_and_nothing_is_lost_or_left_half_done() {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml");
    let run = Command::new("unshare")
        .args(["--map-root-user", "--mount", "sh", "-c", SCRIPT])
        .env("SLIPWRIGHT", env!("CARGO_BIN_EXE_slipwright"))
        .current_dir(desk.path(""))
        .output();
    let Ok(Output { status, stdout, stderr }) = run else { return };
    let stderr = String::from_utf8_lossy(&stderr);
    // Neither a system without `unshare` nor one that mounts nothing for us can be asked.
    if status.code() == Some(77) || stderr.starts_with("unshare: ") {
        return;
    }
    let said = String::from_utf8_lossy(&stdout);
    assert_eq!(said, SAID, "{stderr}");
}
