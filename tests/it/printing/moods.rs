//! What printers answer: recorded answers, and printers of several moods.

use std::path::Path;

use super::stand_in::{Answer, Asked, Reply};

/// Operations, by the numbers of RFC 8011 §5.4.15.
pub(crate) const PRINT: u16 = 0x0002;
/// Whether it would be printed.
pub(crate) const VALIDATE: u16 = 0x0004;
/// A job is taken back.
pub(crate) const CANCEL: u16 = 0x0008;
/// How a job is.
pub(crate) const JOB: u16 = 0x0009;
/// How a printer is.
pub(crate) const LOOK: u16 = 0x000b;

/// An answer that was recorded.
pub(crate) fn recorded(name: &str) -> Vec<u8> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    std::fs::read(root.join("tests/fuzz-corpus/ipp").join(name)).unwrap()
}

/// A printer for labels: its state, its reasons.
pub(crate) fn label_printer(state: i32, reasons: &[&str]) -> Answer {
    let answer = Answer::of(0).group(4).put(0x42, "printer-name", b"bench");
    let answer = answer.state("printer-state", state).words("printer-state-reasons", reasons);
    answer.put(0x22, "printer-is-accepting-jobs", &[1])
}

/// What it takes: dots of 203 an inch in some pixels, on 4×6 in and a roll of 62 mm.
pub(crate) fn takes_dots(answer: Answer, pixels: &[&str]) -> Answer {
    let answer = answer.put(0x49, "document-format-supported", b"image/pwg-raster");
    let answer = answer.dpi("pwg-raster-document-resolution-supported", 203);
    let answer = answer.words("pwg-raster-document-type-supported", pixels);
    let names = ["na_index-4x6_4x6in", "custom_min_62x20mm", "custom_max_62x1000mm"];
    answer.words("media-supported", &names).words("sides-supported", &["one-sided"])
}

/// A label printer that waits for jobs.
pub(crate) fn ready() -> Vec<u8> {
    takes_dots(label_printer(3, &["none"]), &["black_1"]).end()
}

/// A job's state with its reasons.
pub(crate) fn job(state: i32, reasons: &[&str]) -> Vec<u8> {
    let answer = Answer::of(0).group(2).put(0x21, "job-id", &12_i32.to_be_bytes());
    answer.state("job-state", state).words("job-state-reasons", reasons).end()
}

/// A printer that is looked at, takes a job, and then says of it what it is told.
pub(crate) fn prints(
    look: Vec<u8>,
    ends: Vec<u8>,
) -> impl Fn(&Asked, usize) -> Reply + Send + 'static {
    move |asked, _| {
        Reply::Ipp(match asked.operation {
            LOOK => look.clone(),
            VALIDATE => Answer::of(0).end(),
            PRINT => job(3, &["none"]),
            _ => ends.clone(),
        })
    }
}

/// A printer that is looked at and then does something else.
pub(crate) fn then(
    look: Vec<u8>,
    reply: Reply,
) -> impl Fn(&Asked, usize) -> Reply + Send + 'static {
    move |asked, _| if asked.operation == LOOK { Reply::Ipp(look.clone()) } else { reply.clone() }
}
