//! The Internet Printing Protocol: what is asked of a printer or a print queue, and what it says.
//!
//! In: a [`JobTicket`] and the like; bytes that came back. Out: a request's bytes, and what an answer
//! says: of a printer ([`PrinterFacts`]), of a job ([`JobFacts`]). Encoding is RFC 8010, operations,
//! attributes and states are RFC 8011; a reader that believes nothing and is bounded in all. Not here:
//! connections (`cli::print`), which document goes out and how (`cli::print` too).

mod ask;
mod facts;
mod job;
mod media;
mod message;
mod read;
mod reasons;
mod status;
mod write;

pub(crate) use ask::{JobTicket, ask_job, ask_printer, ask_queues, cancel_job};
pub(crate) use facts::{DeviceState, PrinterFacts};
pub(crate) use job::{JobFacts, JobState};
pub(crate) use media::{PaperSize, SizeRange};
pub(crate) use message::IppMessage;
pub(crate) use read::read_message;
pub(crate) use reasons::{ReasonWeight, Remark};
pub(crate) use status::{describe_status, is_done, is_missing, is_partly_ignored};

/// What a foreign answer comes to, shown: for the fuzz target of that door.
///
/// # Errors
/// When it is no answer, with what is wrong.
pub fn show_ipp_answer(bytes: &[u8]) -> Result<String, String> {
    let message = read_message(bytes)?;
    let (printer, job) = (PrinterFacts::read(&message), JobFacts::read(&message));
    Ok(format!("{message:?}\n{printer:?}\n{:?}\n{job:?}", printer.remarks()))
}
