//! What a printer or queue says of itself.
//!
//! In: the answer to Get-Printer-Attributes or CUPS-Get-Printers. Out: [`PrinterFacts`]; what is not
//! said is not known, and limits nothing. Not here: what is sent to it.

use super::media::{PaperSize, SizeRange};
use super::message::{IppGroup, IppMessage, IppValue, PRINTER, find};
use super::reasons::{ReasonWeight, Remark, describe_printer_reason};

/// What a device does (RFC 8011 §5.4.11).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum DeviceState {
    /// It waits for jobs.
    Idle,
    /// A job is on its way through it.
    Printing,
    /// It stands still.
    Stopped,
    /// It does not say.
    #[default]
    Unknown,
}

impl DeviceState {
    /// Its name for programs.
    pub(crate) fn word(self) -> &'static str {
        match self {
            DeviceState::Idle => "idle",
            DeviceState::Printing => "printing",
            DeviceState::Stopped => "stopped",
            DeviceState::Unknown => "unknown",
        }
    }
}

/// What a printer or queue says of itself.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct PrinterFacts {
    /// What it calls itself (`printer-name`).
    pub(crate) name: Box<str>,
    /// What it is, in words of whoever set it up.
    pub(crate) info: Box<str>,
    /// What it does; queues repeat what was true when they were last used.
    pub(crate) state: DeviceState,
    /// The keywords of why.
    pub(crate) reasons: Vec<Box<str>>,
    /// Whether it refuses jobs.
    pub(crate) refuses: bool,
    /// The formats of documents that it takes.
    pub(crate) formats: Vec<Box<str>>,
    /// The dots an inch that it takes PWG Raster in, both directions alike.
    pub(crate) raster_dpi: Vec<u32>,
    /// The kinds of pixels that it takes in PWG Raster, such as `black_1`.
    pub(crate) raster_types: Vec<Box<str>>,
    /// How it takes the backs of sheets in PWG Raster, such as `rotated`; empty when it does not say.
    pub(crate) sheet_back: Box<str>,
    /// The dots an inch that it prints, both directions alike.
    pub(crate) dpi: Vec<u32>,
    /// The sizes of paper that it takes.
    pub(crate) sizes: Vec<SizeRange>,
    /// The sizes that lie in it.
    pub(crate) ready: Vec<PaperSize>,
    /// The sides that it prints, such as `one-sided`.
    pub(crate) sides: Vec<Box<str>>,
    /// Whether it prints some pages of a document.
    pub(crate) takes_ranges: bool,
    /// The most copies that it makes by itself.
    pub(crate) most_copies: u32,
    /// Whether it can be told to leave the scale alone.
    pub(crate) keeps_scale: bool,
}

impl PrinterFacts {
    /// The attributes that are asked for.
    pub(super) const ASKED: [&'static str; 19] = [
        "printer-name",
        "printer-info",
        "printer-state",
        "printer-state-reasons",
        "printer-is-accepting-jobs",
        "document-format-supported",
        "pwg-raster-document-resolution-supported",
        "pwg-raster-document-type-supported",
        "pwg-raster-document-sheet-back",
        "printer-resolution-supported",
        "media-size-supported",
        "media-supported",
        "media-col-ready",
        "media-ready",
        "sides-supported",
        "page-ranges-supported",
        "copies-supported",
        "print-scaling-supported",
        "media-col-supported",
    ];

    /// What an answer says of the printer it is about.
    pub(crate) fn read(answer: &IppMessage) -> PrinterFacts {
        answer.groups_of(PRINTER).next().map(PrinterFacts::of_group).unwrap_or_default()
    }

    /// What an answer says of each of several printers.
    pub(crate) fn read_all(answer: &IppMessage) -> Vec<PrinterFacts> {
        answer.groups_of(PRINTER).map(PrinterFacts::of_group).collect()
    }

    /// What a group says.
    fn of_group(group: &IppGroup) -> PrinterFacts {
        let boxed = |name: &str| group.texts(name).into_iter().map(Box::from).collect();
        PrinterFacts {
            name: group.text("printer-name").unwrap_or_default().into(),
            info: group.text("printer-info").unwrap_or_default().into(),
            state: match group.number("printer-state") {
                Some(3) => DeviceState::Idle,
                Some(4) => DeviceState::Printing,
                Some(5) => DeviceState::Stopped,
                _ => DeviceState::Unknown,
            },
            reasons: boxed("printer-state-reasons"),
            refuses: group.truth("printer-is-accepting-jobs") == Some(false),
            formats: boxed("document-format-supported"),
            raster_dpi: list_dpi(group.values("pwg-raster-document-resolution-supported")),
            raster_types: boxed("pwg-raster-document-type-supported"),
            sheet_back: group.text("pwg-raster-document-sheet-back").unwrap_or_default().into(),
            dpi: list_dpi(group.values("printer-resolution-supported")),
            sizes: list_sizes(group),
            ready: list_ready(group),
            sides: boxed("sides-supported"),
            takes_ranges: group.truth("page-ranges-supported") == Some(true),
            most_copies: match group.values("copies-supported").first() {
                Some(IppValue::Range { most, .. }) => u32::try_from(*most).unwrap_or(1),
                _ => 1,
            },
            keeps_scale: group.texts("print-scaling-supported").contains(&"none"),
        }
    }

    /// Whether somebody has stopped it, so that it prints nothing until it is started again.
    pub(crate) fn is_paused(&self) -> bool {
        let paused = |reason: &str| reason == "paused" || reason == "moving-to-paused";
        self.reasons.iter().any(|reason| paused(reason))
    }

    /// Everything it says of itself, in words, what it waits for first.
    pub(crate) fn remarks(&self) -> Vec<Remark> {
        let told = self.reasons.iter().filter_map(|reason| describe_printer_reason(reason));
        let mut told: Vec<Remark> = told.collect();
        if self.state == DeviceState::Stopped && told.is_empty() {
            let (weight, usual) = (ReasonWeight::Waits, ReasonWeight::Waits);
            told.push(Remark { words: "has stopped".into(), weight, usual });
        }
        told.sort_by_key(|remark| std::cmp::Reverse(remark.weight));
        told.dedup();
        told
    }

    /// Whether it takes documents of a format; one that does not say takes all.
    pub(crate) fn takes(&self, format: &str) -> bool {
        self.formats.is_empty() || self.formats.iter().any(|it| **it == *format)
    }
}

/// Resolutions that are alike in both directions, as dots an inch (unit 3; RFC 8011 §5.1.16).
fn list_dpi(values: &[IppValue]) -> Vec<u32> {
    let dpi = values.iter().filter_map(|value| match value {
        IppValue::Dots { across, along, unit: 3 } if across == along => u32::try_from(*across).ok(),
        _ => None,
    });
    dpi.collect()
}

/// The sizes of paper that it takes, by their figures; by their names where it says no figures.
fn list_sizes(group: &IppGroup) -> Vec<SizeRange> {
    let figures = group.values("media-size-supported").iter().filter_map(SizeRange::read);
    let mut sizes: Vec<SizeRange> = figures.collect();
    let names = group.texts("media-supported");
    let (mut least, mut most) = (None, None);
    for name in names {
        let Some(size) = PaperSize::of_name(name) else { continue };
        // Two names stand for all sizes between them (PWG 5101.1 §5.1.1, `custom_min`, `custom_max`).
        match name {
            _ if name.starts_with("custom_min") => least = Some(size),
            _ if name.starts_with("custom_max") => most = Some(size),
            _ => sizes.push(SizeRange { least: size, most: size }),
        }
    }
    sizes.extend(least.zip(most).map(|(least, most)| SizeRange { least, most }));
    let mut known: Vec<SizeRange> = Vec::new();
    sizes.retain(|size| {
        let is_new = !known.contains(size);
        known.push(*size);
        is_new
    });
    sizes
}

/// The sizes that lie in it.
fn list_ready(group: &IppGroup) -> Vec<PaperSize> {
    let size = |value: &IppValue| {
        let IppValue::Collection(members) = value else { return None };
        SizeRange::read(find(members, "media-size").first()?).map(|range| range.least)
    };
    let figures: Vec<PaperSize> = group.values("media-col-ready").iter().filter_map(size).collect();
    if !figures.is_empty() {
        return figures;
    }
    group.texts("media-ready").into_iter().filter_map(PaperSize::of_name).collect()
}
