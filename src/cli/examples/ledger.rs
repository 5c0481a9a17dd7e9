//! Examples at the end of the help of `slipwright ledger` and its verbs.

/// Of `ledger take-in`.
pub(crate) const TAKE_IN: &str = "\
Examples:
  slipwright ledger take-in orders.json
  slipwright ledger take-in export.csv --map map.yaml

The same export may be taken in every evening: what is known stays as it is, and what went before does
not go again.";

/// Of `ledger list`.
pub(crate) const LIST: &str = "\
Examples:
  slipwright ledger list
  slipwright ledger list waiting --text nib
  slipwright ledger list sittings --json";

/// Of `ledger line-up`.
pub(crate) const LINE_UP: &str = "\
Examples:
  slipwright ledger line-up --all --combine --sitting Friday
  slipwright ledger line-up TH-1041 --tag Heron --weight 372 --pack \"small box\"";

/// Of `ledger note`.
pub(crate) const NOTE: &str = "\
Examples:
  slipwright ledger note 1 --weight 372
  slipwright ledger note 1 --weight 1.2kg --pack \"book mailer\" --hazard none";

/// Of `ledger move`.
pub(crate) const MOVE: &str = "\
Examples:
  slipwright ledger move 3 --before 1
  slipwright ledger move 1 --last";

/// Of `ledger take-off`.
pub(crate) const TAKE_OFF: &str = "\
Examples:
  slipwright ledger take-off 2 --because cancelled";

/// Of `ledger set-aside`.
pub(crate) const SET_ASIDE: &str = "\
Examples:
  slipwright ledger set-aside 2 3 --because \"out of boxes\"";

/// Of `ledger join`.
pub(crate) const JOIN: &str = "\
Examples:
  slipwright ledger join 1 TH-1048 --weight 360";

/// Of `ledger part`.
pub(crate) const PART: &str = "\
Examples:
  slipwright ledger part 2 TH-1048";

/// Of `ledger again`.
pub(crate) const AGAIN: &str = "\
Examples:
  slipwright ledger again TH-1041 --because \"lost in the post\"";

/// Of `ledger seen`.
pub(crate) const SEEN: &str = "\
Examples:
  slipwright ledger seen TH-1041
  slipwright ledger seen --all";

/// Of `ledger undo`.
pub(crate) const UNDO: &str = "\
Examples:
  slipwright ledger undo";

/// Of `ledger print`.
pub(crate) const PRINT: &str = "\
Examples:
  slipwright ledger print --dry-run
  slipwright ledger print --to friday
  slipwright ledger print --list picking

The first time everything is printed, afterwards only what came late or is out of date.";

/// Of `ledger match`.
pub(crate) const MATCH: &str = "\
Examples:
  slipwright ledger match --by-eye 1 2

Without codes it reads scans from standard input, a line each, and answers each at once: a bench card and
its label, either first, and a tracking number right behind them. The line `finish` asks which parcels
are not matched yet, as `--finish` does, and `undo` takes the last match back.";

/// Of `ledger track`.
pub(crate) const TRACK: &str = "\
Examples:
  slipwright ledger track 1 RR473124829GB
  slipwright ledger track --order TH-1041 RR473124829GB
  slipwright ledger track --from numbers.csv --of Order --number Barcode";

/// Of `ledger hand-over`.
pub(crate) const HAND_OVER: &str = "\
Examples:
  slipwright ledger hand-over --all-matched
  slipwright ledger hand-over 1 2
  slipwright ledger hand-over 2 --as-printed";

/// Of `ledger close`.
pub(crate) const CLOSE: &str = "\
Examples:
  slipwright ledger close --leave \"no time\"";

/// Of `ledger tell-shop`.
pub(crate) const TELL_SHOP: &str = "\
Examples:
  slipwright ledger tell-shop --map shop-map.yaml -o shipped.csv
  slipwright ledger tell-shop --map shop-map.yaml --again -o shipped.csv";

/// Of `ledger forget`.
pub(crate) const FORGET: &str = "\
Examples:
  slipwright ledger forget --before 2026-06-01 --dry-run
  slipwright ledger forget --before 2026-06-01";

/// Of `ledger history`.
pub(crate) const HISTORY: &str = "\
Examples:
  slipwright ledger history
  slipwright ledger history TH-1041";

/// Of `ledger backup`.
pub(crate) const BACKUP: &str = "\
Examples:
  slipwright ledger backup friday.ledger";

/// Of `ledger check`.
pub(crate) const CHECK: &str = "\
Examples:
  slipwright ledger check";

/// Of `ledger copy-out`.
pub(crate) const COPY_OUT: &str = "\
Examples:
  slipwright ledger copy-out -o ledger.jsonl";

/// Of `ledger copy-in`.
pub(crate) const COPY_IN: &str = "\
Examples:
  slipwright ledger --ledger new.ledger copy-in ledger.jsonl";

/// Of `ledger rebuild`.
pub(crate) const REBUILD: &str = "\
Examples:
  slipwright ledger rebuild";
