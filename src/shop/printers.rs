//! The printers of a shop file: `printer:` for one, `printers:` for several by their names.
//!
//! In: the file's tree. Out: what is wrong with them, and their [`Printers`]. Not here: which
//! printer suits a paper (`stock`), and what is done with its numbers (`correct`).

use crate::findings::{Finding, rules};
use crate::geom::{DotGrid, MM_PER_INCH, Mm, Point, Size};
use crate::record::{FLAG, Kind, Record, Refusal, Scalar, optional, scalar};
use crate::stock::{Printer, Printers, QueueFormat, Stock};
use crate::tree::{Node, Value};

/// What is known of a printer: its queue, its dots and its faults.
pub(super) static PRINTER: Record = Record {
    name: "printer",
    doc: "A printer; `slipwright ruler` prints a page that shows most of these numbers.",
    fields: &[
        scalar(
            "queue",
            &QUEUE,
            "the print queue that reaches it, by its name, or its address: \
             `ipp://localhost:631/printers/bench`; for `slipwright print`",
        ),
        scalar(
            "sends",
            &SENDS,
            "what its queue gets: `dots`, the very dots that were proven, or `pdf`, which the queue's \
             filters draw on whole dots an inch; default: `dots`",
        ),
        optional(
            "stocks",
            Kind::List(&Kind::Scalar(&STOCK)),
            "the papers that lie in it; default: labels of any size",
        ),
        scalar("dpi", &DPI, "its dots in an inch, such as 203, 300 or 600"),
        scalar("dots_per_mm", &DOTS_PER_MM, "its dots in a millimetre, where `dpi` is not exact"),
        scalar("clear_edge", &EDGE, "the edge it cannot print on, in millimetres"),
        optional(
            "area",
            Kind::Row(2, &Kind::Scalar(&AREA_SIDE)),
            "width and height that it can print, from the top left corner of the page, in \
             millimetres",
        ),
        optional(
            "offset",
            Kind::Row(2, &Kind::Scalar(&OFFSET)),
            "how far everything is moved to the right and down, in millimetres; less than 0: to \
             the left and up",
        ),
        optional(
            "scale",
            Kind::Row(2, &Kind::Scalar(&SCALE)),
            "what a length of 1 measures on paper, across and down; 0.99 where 100 mm come out as \
             99",
        ),
        scalar(
            "colour",
            &FLAG,
            "`true` if it prints in colour, and not in black alone; default: `false`",
        ),
        scalar("gain", &GAIN, "dots by which black grows on paper, for `--proof`; default: 0"),
        scalar(
            "bar_reduction",
            &BAR_REDUCTION,
            "whole dots taken off every bar of codes, for a printer that bleeds; default: 0",
        ),
    ],
};

/// A print queue's name, or an address.
static QUEUE: Scalar = Scalar {
    expected: "the name of a print queue, or an address such as `ipp://localhost:631/printers/bench`",
    accepts: |value| match value {
        Value::Text(text) | Value::Bare(text) if is_queue(text) => Ok(()),
        Value::Text(text) | Value::Bare(text) if text.starts_with("ipps:") => Err(Refusal::hint(
            "encrypted printers are reached by a queue of this machine: set one up, and name it here",
        )),
        _ => Err(Refusal::hint(
            "name a queue of `slipwright print --list`, without spaces, `/` and `#`",
        )),
    },
    schema: r#"{"type": "string", "pattern": "^(ipp://[^\\s]+|[^\\s/#:]+)$", "maxLength": 500}"#,
};

/// Whether a text can be a queue's name (no space, `/` or `#`, as CUPS has it: lpadmin(8)), or is an
/// address. Names have no colon either, so that no address is taken for one.
fn is_queue(text: &str) -> bool {
    let is_plain = |text: &str| !text.contains(|c: char| c.is_whitespace() || c.is_control());
    let rest = text.strip_prefix("ipp://");
    let is_long_enough = !rest.unwrap_or(text).is_empty() && text.chars().count() <= 500;
    is_plain(text) && is_long_enough && (rest.is_some() || !text.contains(['/', '#', ':']))
}

/// What a queue gets.
static SENDS: Scalar = Scalar {
    expected: "`dots` or `pdf`",
    accepts: |value| match value {
        Value::Text(text) | Value::Bare(text) if matches!(&**text, "dots" | "pdf") => Ok(()),
        _ => Err(Refusal::hint("write `pdf` for a printer that does not take PWG Raster")),
    },
    schema: r#"{"enum": ["dots", "pdf"]}"#,
};

/// A paper.
static STOCK: Scalar = Scalar {
    expected: "a stock such as `4x6in`, or a size such as `80x120mm`",
    accepts: |value| match value {
        Value::Text(text) | Value::Bare(text) => match Stock::find(text) {
            Ok(_) => Ok(()),
            Err((message, hint)) => Err(Refusal::new(message, hint)),
        },
        _ => Err(Refusal::hint("name a stock of `slipwright stock`, or write a size: `80x120mm`")),
    },
    schema: r#"{"type": "string"}"#,
};

/// Dots in an inch.
static DPI: Scalar = Scalar {
    expected: "dots in an inch, from 50 to 2400",
    accepts: |value| match number(value) {
        Some(dpi) if DotGrid::from_dpi(dpi).is_some() => Ok(()),
        Some(dots) if (2.0..50.0).contains(&dots) => {
            Err(Refusal::hint(format!("dots in a millimetre are written `dots_per_mm: {dots}`")))
        }
        _ => Err(Refusal::hint("write what the printer's manual says, such as `203` or `300`")),
    },
    schema: r#"{"type": "number", "minimum": 50, "maximum": 2400}"#,
};

/// Dots in a millimetre.
static DOTS_PER_MM: Scalar = Scalar {
    expected: "dots in a millimetre, from 2 to 95",
    accepts: |value| match number(value) {
        Some(dots) if DotGrid::from_dots_per_mm(dots).is_some() => Ok(()),
        Some(dots) if (95.0..=2400.0).contains(&dots) => {
            Err(Refusal::hint(format!("dots in an inch are written `dpi: {dots}`")))
        }
        _ => Err(Refusal::hint("write what the printer's manual says, such as `8` or `11.8`")),
    },
    schema: r#"{"type": "number", "minimum": 2, "maximum": 95}"#,
};

/// The edge that a printer leaves white.
static EDGE: Scalar = Scalar {
    expected: "millimetres from 0 to 30",
    accepts: |value| match number(value) {
        Some(edge) if (0.0..=30.0).contains(&edge) => Ok(()),
        _ => Err(Refusal::hint("write a number of millimetres without a unit, such as `3`")),
    },
    schema: r#"{"type": "number", "minimum": 0, "maximum": 30}"#,
};

/// A side of what can be printed.
static AREA_SIDE: Scalar = Scalar {
    expected: "millimetres from 10 to 2000",
    accepts: |value| match number(value) {
        Some(side) if (10.0..=2000.0).contains(&side) => Ok(()),
        _ => Err(Refusal::hint("write width and height without a unit, such as `[104, 2000]`")),
    },
    schema: r#"{"type": "number", "minimum": 10, "maximum": 2000}"#,
};

/// How far everything is moved.
static OFFSET: Scalar = Scalar {
    expected: "millimetres from -20 to 20",
    accepts: |value| match number(value) {
        Some(by) if (-20.0..=20.0).contains(&by) => Ok(()),
        Some(_) => Err(Refusal::hint(
            "so far off, paper or driver are set to another size: set that right first",
        )),
        None => Err(Refusal::hint("write right and down without a unit, such as `[0.5, -1]`")),
    },
    schema: r#"{"type": "number", "minimum": -20, "maximum": 20}"#,
};

/// How lengths come out.
static SCALE: Scalar = Scalar {
    expected: "a scale from 0.95 to 1.05",
    accepts: |value| match number(value) {
        Some(scale) if (0.95..=1.05).contains(&scale) => Ok(()),
        Some(measured) if (95.0..=105.0).contains(&measured) => {
            Err(Refusal::hint(format!("for {measured} measured of 100 write {}", measured / 100.0)))
        }
        Some(_) => Err(Refusal::hint(
            "so far off, the driver fits pages to its paper: set it to 100 %, actual size",
        )),
        None => Err(Refusal::hint("write what a length of 1 measures, such as `[1, 0.995]`")),
    },
    schema: r#"{"type": "number", "minimum": 0.95, "maximum": 1.05}"#,
};

/// How much black grows.
static GAIN: Scalar = Scalar {
    expected: "whole dots from -2 to 4",
    accepts: |value| match whole(value) {
        Some(-2..=4) => Ok(()),
        _ => Err(Refusal::hint("read it off the line pairs of `slipwright ruler`: 0, 1 or 2")),
    },
    schema: r#"{"type": "integer", "minimum": -2, "maximum": 4}"#,
};

/// What bars lose.
static BAR_REDUCTION: Scalar = Scalar {
    expected: "whole dots from 0 to 4",
    accepts: |value| match whole(value) {
        Some(0..=4) => Ok(()),
        _ => Err(Refusal::hint("bars lose whole dots: write `1` for a printer that bleeds")),
    },
    schema: r#"{"type": "integer", "minimum": 0, "maximum": 4}"#,
};

/// A number written plainly, with a sign or without.
fn number(value: &Value) -> Option<f64> {
    let (Value::Number(text) | Value::Bare(text)) = value else { return None };
    match text.strip_prefix('-') {
        Some(rest) => parse_plain(rest).map(|number| -number),
        None => parse_plain(text),
    }
}

/// A number written plainly: digits, and one point at most.
fn parse_plain(text: &str) -> Option<f64> {
    let is_plain = text.len() <= 12 && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    if is_plain { text.parse().ok() } else { None }
}

/// A whole number written plainly, with a sign or without.
fn whole(value: &Value) -> Option<i32> {
    number(value).filter(|number| number.fract() == 0.0).map(|number| number as i32)
}

/// Reports what the fields of printers do not show one by one.
pub(super) fn check_printers(node: &Node, out: &mut Vec<Finding>) {
    let given = |name: &str| node.get(name).filter(|it| !it.is_null());
    if let (Some(one), Some(several)) = (given("printer"), given("printers")) {
        out.push(
            Finding::new(&rules::TWO_PRINTERS, "expected `printer` or `printers`, found both")
                .at(one.span)
                .related(several.span, "the others are here")
                .path("printer")
                .hint("give the one a name and put it under `printers`"),
        );
    }
    for (path, _, printer) in list_printers(node) {
        if let (Some(_), Some(dots)) = (printer.get("dpi"), printer.get("dots_per_mm")) {
            out.push(
                Finding::new(&rules::TWO_GRIDS, "expected `dpi` or `dots_per_mm`, found both")
                    .at(dots.span)
                    .path(format!("{path}.dots_per_mm"))
                    .hint("leave `dpi` out: dots in a millimetre are the more exact figure"),
            );
        }
        let sends = printer.get("sends").filter(|it| it.literal() == Some("pdf"));
        if let (Some(sends), None) = (sends, printer.get("dpi")) {
            let message = "with `sends: pdf` the queue's own dots an inch have to be known";
            out.push(
                Finding::new(&rules::QUEUE_DOTS, message)
                    .at(sends.span)
                    .path(format!("{path}.sends"))
                    .hint(
                        "write them beside it, as `slipwright print --list` tells them: `dpi: 203`",
                    ),
            );
        }
    }
}

/// Every printer of a file with its path and name.
fn list_printers(node: &Node) -> Vec<(String, &str, &Node)> {
    let one = node.get("printer").map(|it| ("printer".to_owned(), "", it));
    let several = node.get("printers").map(Node::entries).unwrap_or_default();
    let several =
        several.iter().map(|(key, it)| (format!("printers.{}", key.name), &*key.name, it));
    one.into_iter().chain(several).filter(|(.., it)| !it.is_null()).collect()
}

/// The printers' values, once the file has passed its check.
pub(super) fn build_printers(node: &Node) -> Printers {
    let printers = list_printers(node).into_iter();
    Printers::new(printers.map(|(_, name, node)| build_printer(name, node)).collect())
}

/// A printer's value.
fn build_printer(name: &str, node: &Node) -> Printer {
    let single = |name| node.get(name).and_then(|it| number(&it.value));
    let pair = |name| match node.get(name)?.items() {
        [first, second] => Some((number(&first.value)?, number(&second.value)?)),
        _ => None,
    };
    let stocks = node.get("stocks").map(Node::items).unwrap_or_default();
    let dots = |name| node.get(name).and_then(|it| whole(&it.value)).unwrap_or(0);
    let text = |name: &str| node.get(name).and_then(|it| it.literal());
    let sends = match text("sends") {
        Some("pdf") => QueueFormat::Pdf,
        _ => QueueFormat::Dots,
    };
    let grid = single("dpi").and_then(|dpi| match sends {
        QueueFormat::Dots => DotGrid::from_dpi(dpi),
        // Queues count whole dots an inch, 203 and not 203.2 (`export::pwg`).
        QueueFormat::Pdf => DotGrid::from_dots_per_mm(dpi.round() / MM_PER_INCH),
    });
    let (right, down) = pair("offset").unwrap_or_default();
    Printer {
        name: name.into(),
        stocks: stocks.iter().filter_map(|it| Stock::find(it.literal()?).ok()).collect(),
        grid: grid.or_else(|| single("dots_per_mm").and_then(DotGrid::from_dots_per_mm)),
        clear_edge: single("clear_edge").map(Mm),
        area: pair("area").map(|(width, height)| Size::new(Mm(width), Mm(height))),
        offset: Point::new(Mm(right), Mm(down)),
        scale: pair("scale").unwrap_or((1.0, 1.0)),
        gain: dots("gain"),
        bar_reduction: dots("bar_reduction").unsigned_abs(),
        queue: text("queue").map(Box::from),
        sends,
        colour: node.get("colour").and_then(Node::literal) == Some("true"),
    }
}
