//! What the status of an answer means (RFC 8011, Appendix B), in words.
//!
//! Not here: what a command makes of it.

/// Whether a request was done: the class of 0x0000 to 0x00ff.
pub(crate) fn is_done(code: u16) -> bool {
    code < 0x0100
}

/// Whether it was done, but something of it left out: `successful-ok-ignored-or-substituted-attributes`
/// and `successful-ok-conflicting-attributes`.
pub(crate) fn is_partly_ignored(code: u16) -> bool {
    matches!(code, 0x0001 | 0x0002)
}

/// Whether what was asked for is not there: `client-error-not-found` and `client-error-gone`.
pub(crate) fn is_missing(code: u16) -> bool {
    matches!(code, 0x0406 | 0x0407)
}

/// What a status says: the end of a sentence about a printer.
pub(crate) fn describe_status(code: u16) -> String {
    let words = match code {
        0x0401..=0x0403 => "does not let us print: it wants a user with a password",
        0x0404 => "says that this cannot be done to such a job any more",
        0x0405 => "gave up because it took too long",
        0x0406 => "says that it knows no such printer or job",
        0x0407 => "says that it is gone",
        0x0408 => "says that the document is too large",
        0x040a => "does not take such documents",
        0x040b => "does not take these settings",
        0x040e => "says that these settings contradict each other",
        0x040f | 0x0410 => "could not unpack the document",
        0x0411 => "could not read the document",
        0x0412 => "could not fetch the document",
        0x0501 => "cannot do what it was asked for",
        0x0502 => "is not to be had at the moment",
        0x0503 => "does not speak our version of the protocol",
        0x0504 => "reports a fault of its device",
        0x0505 => "reports a fault that may pass",
        0x0506 => "takes no jobs",
        0x0507 => "is busy with something else",
        0x0508 => "cancelled the job by itself",
        _ => return format!("answers with the status 0x{code:04x}"),
    };
    words.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_are_told_apart() {
        assert!(is_done(0) && is_done(0x00ff) && !is_done(0x0100));
        assert!(is_partly_ignored(1) && !is_partly_ignored(0));
        assert!(is_missing(0x0406) && !is_missing(0x0506));
        assert_eq!(describe_status(0x0506), "takes no jobs");
        assert_eq!(describe_status(0x04ff), "answers with the status 0x04ff");
    }
}
