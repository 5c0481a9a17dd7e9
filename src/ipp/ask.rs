//! What is asked: requests of RFC 8011 §4, and two of CUPS.
//!
//! In: where it is asked, and what of. Out: a request's bytes. Not here: sending them.

use std::ops::RangeInclusive;

use super::facts::PrinterFacts;
use super::job::JobFacts;
use super::media::PaperSize;
use super::message::{IppAttribute, IppGroup, IppMessage, IppValue, JOB, OPERATION, tags};
use super::write::write_message;
use crate::words::shorten_to;

/// The number of every request; a connection has one only.
const REQUEST: u32 = 1;

/// The most characters of a job's name and a user's: 255 octets of RFC 8011 §5.1.3, whatever letters.
const NAME_CHARACTERS: usize = 60;

/// What is asked for (RFC 8011 §5.4.15; the last is CUPS's, "CUPS Implementation of IPP", cups.org).
#[derive(Clone, Copy)]
enum Operation {
    /// Print a document.
    PrintJob = 0x0002,
    /// Say whether it would be printed.
    ValidateJob = 0x0004,
    /// Take it back, if it is not printed yet.
    CancelJob = 0x0008,
    /// Say how a job is.
    GetJobAttributes = 0x0009,
    /// Say how the printer is.
    GetPrinterAttributes = 0x000b,
    /// Say how all queues of a system are.
    CupsGetPrinters = 0x4002,
}

/// How a document is printed.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct JobTicket {
    /// What the job is called.
    pub(crate) title: String,
    /// Who prints.
    pub(crate) user: String,
    /// The document's format.
    pub(crate) format: &'static str,
    /// What it is printed on.
    pub(crate) media: PaperSize,
    /// The sides; none to leave it to a printer that has one way only.
    pub(crate) sides: Option<&'static str>,
    /// The pages; none for all.
    pub(crate) pages: Vec<RangeInclusive<u32>>,
    /// How many copies the printer makes; none to leave it at one.
    pub(crate) copies: Option<u32>,
    /// Whether the printer is told to leave the scale alone.
    pub(crate) unscaled: bool,
}

impl JobTicket {
    /// The request to print; the document follows it.
    pub(crate) fn print_job(&self, printer: &str) -> Vec<u8> {
        self.request(Operation::PrintJob, printer)
    }

    /// The request to say whether it would be printed.
    pub(crate) fn validate_job(&self, printer: &str) -> Vec<u8> {
        self.request(Operation::ValidateJob, printer)
    }

    /// A request about a job that is not there yet.
    fn request(&self, operation: Operation, printer: &str) -> Vec<u8> {
        let title = shorten_to(&self.title, NAME_CHARACTERS);
        let about = [
            word("requesting-user-name", tags::NAME, &shorten_to(&self.user, NAME_CHARACTERS)),
            word("job-name", tags::NAME, &title),
            // What the printer cannot do it is to refuse, not to leave out.
            IppAttribute {
                name: "ipp-attribute-fidelity".into(),
                values: vec![IppValue::Truth(true)],
            },
            word("document-format", tags::MEDIA_TYPE, self.format),
        ];
        let mut request = begin(operation, printer, about);
        request.groups.push(IppGroup { about: JOB, attributes: self.template() });
        write_message(&request)
    }

    /// How it is printed (RFC 8011 §5.2; `media-col` is PWG 5100.7, `print-scaling` PWG 5100.13).
    fn template(&self) -> Vec<IppAttribute> {
        let PaperSize { width, length } = self.media;
        let size = [number("x-dimension", width), number("y-dimension", length)];
        let size = attribute("media-size", IppValue::Collection(size.into()));
        let mut template = vec![attribute("media-col", IppValue::Collection(vec![size]))];
        template.extend(self.sides.map(|sides| word("sides", tags::KEYWORD, sides)));
        if self.unscaled {
            template.push(word("print-scaling", tags::KEYWORD, "none"));
        }
        if !self.pages.is_empty() {
            let page = |number: &u32| i32::try_from(*number).unwrap_or(i32::MAX);
            let range = |range: &RangeInclusive<u32>| IppValue::Range {
                least: page(range.start()),
                most: page(range.end()),
            };
            let values = self.pages.iter().map(range).collect();
            template.push(IppAttribute { name: "page-ranges".into(), values });
        }
        let copies = self.copies.map(|copies| i32::try_from(copies).unwrap_or(i32::MAX));
        template.extend(copies.map(|copies| number("copies", copies)));
        template
    }
}

/// Asks how a printer is, and what it takes.
pub(crate) fn ask_printer(printer: &str) -> Vec<u8> {
    let asked = [words("requested-attributes", &PrinterFacts::ASKED)];
    write_message(&begin(Operation::GetPrinterAttributes, printer, asked))
}

/// Asks how all queues of a system are.
pub(crate) fn ask_queues() -> Vec<u8> {
    let mut request = IppMessage { code: Operation::CupsGetPrinters as u16, ..bare() };
    let asked = words("requested-attributes", &PrinterFacts::ASKED);
    if let Some(group) = request.groups.first_mut() {
        group.attributes.push(asked);
    }
    write_message(&request)
}

/// How a job is, and why it waits if it does.
pub(crate) fn ask_job(printer: &str, job: i32, user: &str) -> Vec<u8> {
    let asked = [
        number("job-id", job),
        word("requesting-user-name", tags::NAME, &shorten_to(user, NAME_CHARACTERS)),
        words("requested-attributes", &JobFacts::ASKED),
    ];
    write_message(&begin(Operation::GetJobAttributes, printer, asked))
}

/// Takes a job back, in the name of who sent it.
pub(crate) fn cancel_job(printer: &str, job: i32, user: &str) -> Vec<u8> {
    let asked = [
        number("job-id", job),
        word("requesting-user-name", tags::NAME, &shorten_to(user, NAME_CHARACTERS)),
    ];
    write_message(&begin(Operation::CancelJob, printer, asked))
}

/// A request with nothing but the charset and the language, which come first (RFC 8011 §4.1.4).
fn bare() -> IppMessage {
    let attributes = vec![
        word("attributes-charset", tags::CHARSET, "utf-8"),
        word("attributes-natural-language", tags::LANGUAGE, "en"),
    ];
    let groups = vec![IppGroup { about: OPERATION, attributes }];
    IppMessage { code: 0, request: REQUEST, groups }
}

/// A request to a printer, whose address comes next (RFC 8011 §4.1.5).
fn begin(
    operation: Operation,
    printer: &str,
    about: impl IntoIterator<Item = IppAttribute>,
) -> IppMessage {
    let mut request = IppMessage { code: operation as u16, ..bare() };
    if let Some(group) = request.groups.first_mut() {
        group.attributes.push(word("printer-uri", tags::URI, printer));
        group.attributes.extend(about);
    }
    request
}

/// A name with a value.
fn attribute(name: &str, value: IppValue) -> IppAttribute {
    IppAttribute { name: name.into(), values: vec![value] }
}

/// A name with a whole number.
fn number(name: &str, number: i32) -> IppAttribute {
    attribute(name, IppValue::Number { tag: tags::INTEGER, number })
}

/// A name with words, whose tag says what kind they are.
fn word(name: &str, tag: u8, text: &str) -> IppAttribute {
    attribute(name, IppValue::Text { tag, text: text.into() })
}

/// An attribute of several keywords.
fn words(name: &str, keywords: &[&str]) -> IppAttribute {
    let value = |text: &&str| IppValue::Text { tag: tags::KEYWORD, text: (*text).into() };
    IppAttribute { name: name.into(), values: keywords.iter().map(value).collect() }
}
