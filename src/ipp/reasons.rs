//! What printers and jobs give as reasons, in words for whoever stands before them.
//!
//! In: keywords of RFC 8011 §5.4.12 (`printer-state-reasons`) and §5.3.8 (`job-state-reasons`), and those
//! of CUPS. Out: a sentence's end, and how much it matters. Not here: what follows from it.

/// How much a reason matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum ReasonWeight {
    /// It prints all the same.
    Note,
    /// It does not print until somebody has done something.
    Waits,
}

/// What a printer is like: its keyword, what is told, and how much it matters when the keyword says
/// nothing of that.
type ReasonRow = (&'static str, &'static str, ReasonWeight);

/// Reasons of printers, the heavy ones first.
const PRINTER_REASONS: [ReasonRow; 33] = [
    ("paused", "is paused", ReasonWeight::Waits),
    ("moving-to-paused", "is being paused", ReasonWeight::Waits),
    ("media-empty", "is out of paper", ReasonWeight::Waits),
    ("media-needed", "waits for other paper to be put in", ReasonWeight::Waits),
    ("media-jam", "has jammed paper", ReasonWeight::Waits),
    ("cover-open", "has its cover open", ReasonWeight::Waits),
    ("door-open", "has a door open", ReasonWeight::Waits),
    ("interlock-open", "has a part open that has to be closed", ReasonWeight::Waits),
    ("input-tray-missing", "has no paper tray in it", ReasonWeight::Waits),
    ("output-tray-missing", "has no output tray", ReasonWeight::Waits),
    ("output-area-full", "has a full output tray", ReasonWeight::Waits),
    ("offline", "is switched off or not connected", ReasonWeight::Waits),
    ("shutdown", "is switched off or shutting down", ReasonWeight::Waits),
    ("connecting-to-device", "is being connected to", ReasonWeight::Note),
    ("timed-out", "does not answer its queue", ReasonWeight::Waits),
    ("cups-missing-filter", "lacks a program that its queue needs", ReasonWeight::Waits),
    (
        "cups-insecure-filter",
        "has a program in its queue that others could change",
        ReasonWeight::Waits,
    ),
    ("hold-new-jobs", "holds all new jobs", ReasonWeight::Waits),
    ("toner-empty", "is out of toner", ReasonWeight::Waits),
    ("marker-supply-empty", "is out of ink, ribbon or toner", ReasonWeight::Waits),
    ("marker-waste-full", "has a full waste container", ReasonWeight::Waits),
    ("developer-empty", "is out of developer", ReasonWeight::Waits),
    ("opc-life-over", "has a drum at the end of its life", ReasonWeight::Waits),
    ("fuser-over-temp", "is too hot", ReasonWeight::Waits),
    ("fuser-under-temp", "is warming up", ReasonWeight::Note),
    ("spool-area-full", "has no room for more jobs", ReasonWeight::Waits),
    (
        "interpreter-resource-unavailable",
        "lacks something that the document needs",
        ReasonWeight::Waits,
    ),
    ("media-low", "is low on paper", ReasonWeight::Note),
    ("toner-low", "is low on toner", ReasonWeight::Note),
    ("marker-supply-low", "is low on ink, ribbon or toner", ReasonWeight::Note),
    ("marker-waste-almost-full", "has an almost full waste container", ReasonWeight::Note),
    ("output-area-almost-full", "has an almost full output tray", ReasonWeight::Note),
    ("opc-near-eol", "has a drum near the end of its life", ReasonWeight::Note),
];

/// A reason in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Remark {
    /// What a printer or job does or is: the end of a sentence.
    pub(crate) words: String,
    /// How much it matters, as far as the printer says so.
    pub(crate) weight: ReasonWeight,
    /// How much such a thing matters otherwise: while a job does not go on, a warning may be the reason too.
    pub(crate) usual: ReasonWeight,
}

/// A printer's reason; none for `none`, and for what CUPS adds for programs.
///
/// `-error`, `-warning` and `-report` at its end say how much it matters (RFC 8011 §5.4.12).
pub(super) fn describe_printer_reason(keyword: &str) -> Option<Remark> {
    let said = [
        ("-error", ReasonWeight::Waits),
        ("-warning", ReasonWeight::Note),
        ("-report", ReasonWeight::Note),
    ];
    let found = said.iter().find_map(|(end, weight)| Some((keyword.strip_suffix(end)?, *weight)));
    let (bare, said) = found.map_or((keyword, None), |(bare, weight)| (bare, Some(weight)));
    if matches!(bare, "none" | "" | "cups-ipp-conformance-failure" | "cups-ipp-missing-job-history")
    {
        return None;
    }
    let row = PRINTER_REASONS.iter().find(|row| row.0 == bare);
    // What is unknown is told by its keyword: better an odd word than none.
    let words = row.map_or_else(|| format!("says `{bare}`"), |row| row.1.to_owned());
    let usual = row.map_or(ReasonWeight::Note, |row| row.2);
    // A queue goes on saying that its printer was off until the next job is through, as a report.
    let is_report = keyword.ends_with("-report");
    Some(Remark {
        words,
        weight: said.unwrap_or(usual),
        usual: if is_report { ReasonWeight::Note } else { usual },
    })
}

/// A job's reason; none for those that say nothing to act on.
pub(super) fn describe_job_reason(keyword: &str) -> Option<&'static str> {
    Some(match keyword {
        "job-canceled-by-user" => "somebody cancelled it",
        "job-canceled-by-operator" => "somebody cancelled it at the queue",
        "job-canceled-at-device" => "somebody cancelled it at the printer",
        "job-canceled-after-timeout" => "it took the printer too long",
        "aborted-by-system" => "the queue gave it up",
        "unsupported-document-format" => "the printer does not take such documents",
        "document-format-error" => "the printer cannot read the document",
        "unsupported-compression" | "compression-error" => "the printer cannot unpack the document",
        "unsupported-attributes-or-values" => {
            "the printer does not take this paper or these settings"
        }
        "document-access-error" => "the printer could not fetch the document",
        "submission-interrupted" => "the document did not arrive whole",
        "job-completed-with-errors" => "the printer tells of errors in it",
        "job-completed-with-warnings" => "the printer tells of warnings in it",
        "job-hold-until-specified" => "the queue holds it until somebody releases it",
        "job-password-wait" => "the printer waits for a password",
        "account-authorization-failed" | "account-closed" | "account-limit-reached" => {
            "the printer's accounting does not allow it"
        }
        "printer-stopped" | "printer-stopped-partly" => "the printer has stopped",
        "resources-are-not-ready" => {
            "the paper or something else that it needs is not in the printer"
        }
        "service-off-line" => "the printer is off line",
        "job-suspended" => "somebody suspended it",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reasons_are_told_with_their_weight() {
        let told = |keyword: &str| {
            describe_printer_reason(keyword).map(|it| (it.words, it.weight == ReasonWeight::Waits))
        };
        assert_eq!(told("media-empty"), Some(("is out of paper".into(), true)));
        assert_eq!(told("media-empty-warning"), Some(("is out of paper".into(), false)));
        assert_eq!(told("cover-open-error"), Some(("has its cover open".into(), true)));
        assert_eq!(
            told("offline-report"),
            Some(("is switched off or not connected".into(), false))
        );
        assert_eq!(told("moon-full-error"), Some(("says `moon-full`".into(), true)));
        assert_eq!(told("none"), None);
    }

    #[test]
    fn every_reason_stands_once() {
        let mut keywords: Vec<&str> = PRINTER_REASONS.iter().map(|row| row.0).collect();
        keywords.sort_unstable();
        keywords.dedup();
        assert_eq!(keywords.len(), PRINTER_REASONS.len());
    }
}
