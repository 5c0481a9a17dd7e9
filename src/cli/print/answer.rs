//! What `print` answers: sentences for people, or one JSON object for programs.
//!
//! Its shape stands in `answer.schema.json`. Not here: failures, which are findings as ever.

use serde_json::{Map, Value, json};

use super::shipment::Shipment;
use crate::cli::halt::Halt;
use crate::cli::terminal;
use crate::ipp::{DeviceState, PrinterFacts, ReasonWeight};
use crate::stock::QueueFormat;
use crate::words::escape_obeyed;

/// What scripts may count on in an answer.
pub(crate) const SCHEMA: &str = include_str!("answer.schema.json");

/// An answer that is being put together.
#[derive(Debug)]
pub(crate) struct PrintAnswer {
    /// What is told to people.
    lines: Vec<String>,
    /// What is told to programs.
    values: Map<String, Value>,
}

impl PrintAnswer {
    /// The answer to what was done.
    pub(super) fn new(did: &str) -> PrintAnswer {
        let mut values = Map::new();
        values.insert("did".into(), did.into());
        PrintAnswer { lines: Vec::new(), values }
    }

    /// Tells people a line.
    pub(super) fn line(&mut self, line: String) {
        self.lines.push(line);
    }

    /// Tells programs a value.
    pub(super) fn put(&mut self, name: &str, value: impl Into<Value>) {
        self.values.insert(name.into(), value.into());
    }

    /// The object for programs.
    pub(crate) fn into_json(self) -> Value {
        Value::Object(self.values)
    }

    /// Shows it.
    ///
    /// # Errors
    /// When standard output cannot be written.
    pub(super) fn show(self, as_json: bool) -> Result<(), Halt> {
        if as_json {
            return terminal::print_json(&format!("{:#}\n", self.into_json()));
        }
        let lines = self.lines.iter().map(|line| escape_obeyed(line).into_owned() + "\n");
        terminal::print(&lines.collect::<String>())
    }

    /// Tells what is sent.
    pub(super) fn tell_shipment(&mut self, shipment: &Shipment) {
        let ticket = &shipment.ticket;
        self.put("sends", form_word(shipment.form));
        self.put("format", ticket.format);
        self.put("dpi", shipment.dpi);
        let millimetres = |hundredths: i32| f64::from(hundredths) / 100.0;
        let (width, length) = (millimetres(ticket.media.width), millimetres(ticket.media.length));
        self.put("paper", json!({"width_mm": width, "length_mm": length}));
        self.put("sides", ticket.sides.unwrap_or("one-sided"));
        self.put("bytes", shipment.bytes.len());
        self.put("remarks", shipment.remarks.clone());
    }
}

/// What is sent, for programs.
fn form_word(form: QueueFormat) -> &'static str {
    match form {
        QueueFormat::Dots => "dots",
        QueueFormat::Pdf => "pdf",
    }
}

/// What is sent, for people.
pub(super) fn form_words(shipment: &Shipment) -> String {
    match (shipment.form, shipment.dpi) {
        (QueueFormat::Dots, Some(dpi)) => format!("as its own dots, {dpi} an inch"),
        _ => "as a PDF".to_owned(),
    }
}

/// What `print --list` tells of a printer.
pub(super) struct ToldPrinter<'a> {
    /// Its name in the shop file; none of a queue that is in none.
    pub(super) printer: Option<&'a str>,
    /// Its queue's name or address.
    pub(super) queue: &'a str,
    /// What it says of itself, or why nothing is known.
    pub(super) looked: Result<PrinterFacts, String>,
}

impl ToldPrinter<'_> {
    /// For people: a line, and what to know below it.
    pub(super) fn lines(&self) -> Vec<String> {
        let name = match self.printer {
            Some("") => format!("printer (queue {})", self.queue),
            Some(printer) => format!("{printer} (queue {})", self.queue),
            None => format!("{} (in no shop file)", self.queue),
        };
        let facts = match &self.looked {
            Ok(facts) => facts,
            Err(why) => return vec![format!("{name}: {why}")],
        };
        let mut lines = vec![format!("{name}: {}", state_words(facts))];
        let takes = takes_words(facts);
        if !takes.is_empty() {
            lines.push(format!("  takes {takes}"));
        }
        if !facts.ready.is_empty() {
            let ready: Vec<String> = facts.ready.iter().map(ToString::to_string).collect();
            lines.push(format!("  has paper of {}", ready.join(", ")));
        }
        lines
    }

    /// For programs.
    pub(super) fn json(&self) -> Value {
        let mut value = json!({"printer": self.printer, "queue": self.queue});
        let more = match &self.looked {
            Err(why) => json!({"ready": false, "state": "unknown", "told": [why]}),
            Ok(facts) => json!({
                "ready": is_ready(facts),
                "state": facts.state.word(),
                "told": told(facts),
                "info": facts.info,
                "dots": takes_dots(facts),
                "pdf": facts.takes("application/pdf"),
                "dpi": own_dpi(facts),
                "loaded": facts.ready.iter().map(ToString::to_string).collect::<Vec<_>>(),
            }),
        };
        if let (Value::Object(value), Value::Object(more)) = (&mut value, more) {
            value.extend(more);
        }
        value
    }
}

/// What it says of itself, and that it takes no jobs, as ends of sentences.
fn told(facts: &PrinterFacts) -> Vec<String> {
    let refuses = facts.refuses.then(|| "takes no jobs".to_owned());
    refuses.into_iter().chain(facts.remarks().into_iter().map(|it| it.words)).collect()
}

/// Whether a document sent now would be printed now.
fn is_ready(facts: &PrinterFacts) -> bool {
    let waits = facts.remarks().iter().any(|remark| remark.weight == ReasonWeight::Waits);
    !facts.refuses && !waits && facts.state != DeviceState::Stopped
}

/// What it does and lacks, as a person is told.
fn state_words(facts: &PrinterFacts) -> String {
    let told = told(facts);
    match (told.is_empty(), facts.state) {
        (false, _) => told.join(", "),
        (true, DeviceState::Printing) => "is printing".to_owned(),
        (true, _) => "is ready".to_owned(),
    }
}

/// Whether it takes dots as they are.
fn takes_dots(facts: &PrinterFacts) -> bool {
    facts.formats.iter().any(|format| &**format == "image/pwg-raster")
}

/// The dots an inch that it can be given.
fn own_dpi(facts: &PrinterFacts) -> &[u32] {
    if facts.raster_dpi.is_empty() { &facts.dpi } else { &facts.raster_dpi }
}

/// What formats and papers it takes, as a person is told.
fn takes_words(facts: &PrinterFacts) -> String {
    let dpi: Vec<String> = own_dpi(facts).iter().map(u32::to_string).collect();
    let dpi =
        if dpi.is_empty() { String::new() } else { format!(", {} an inch", dpi.join(" or ")) };
    match (takes_dots(facts), facts.takes("application/pdf")) {
        (true, true) => format!("its dots and PDF{dpi}"),
        (true, false) => format!("its dots alone{dpi}"),
        (false, true) => format!("PDF{dpi}: write `sends: pdf` for it"),
        (false, false) => String::new(),
    }
}
