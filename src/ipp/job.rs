//! What is said of a job.
//!
//! Not here: how long it is waited for.

use super::message::{IppMessage, JOB};
use super::reasons::describe_job_reason;

/// Where a job is (RFC 8011 §5.3.7).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum JobState {
    /// It has not begun.
    Pending,
    /// It waits until somebody releases it.
    Held,
    /// It is being printed.
    Processing,
    /// It was being printed and stands still.
    Stopped,
    /// Somebody cancelled it.
    Cancelled,
    /// The printer or its queue gave it up.
    Aborted,
    /// All of it is printed.
    Completed,
    /// Something that no standard knows.
    Unknown,
}

impl JobState {
    /// What a number stands for (RFC 8011 §5.3.7).
    fn of(number: i32) -> JobState {
        match number {
            3 => JobState::Pending,
            4 => JobState::Held,
            5 => JobState::Processing,
            6 => JobState::Stopped,
            7 => JobState::Cancelled,
            8 => JobState::Aborted,
            9 => JobState::Completed,
            _ => JobState::Unknown,
        }
    }

    /// Its name for programs.
    pub(crate) fn word(self) -> &'static str {
        match self {
            JobState::Pending => "pending",
            JobState::Held => "held",
            JobState::Processing => "processing",
            JobState::Stopped => "stopped",
            JobState::Cancelled => "cancelled",
            JobState::Aborted => "aborted",
            JobState::Completed => "completed",
            JobState::Unknown => "unknown",
        }
    }

    /// Whether nothing more will come of it.
    pub(crate) fn is_over(self) -> bool {
        matches!(self, JobState::Cancelled | JobState::Aborted | JobState::Completed)
    }
}

/// What is said of a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct JobFacts {
    /// Its number at the printer or queue; none when an answer names none.
    pub(crate) id: Option<i32>,
    /// How far it has come.
    pub(crate) state: JobState,
    /// Why, as far as there are words for it.
    pub(crate) why: Vec<&'static str>,
    /// Whether it is told to have errors although it is completed.
    pub(crate) has_errors: bool,
    /// What the printer says in words of its own; empty when it says nothing.
    pub(crate) said: Box<str>,
}

impl JobFacts {
    /// The attributes that are asked for.
    pub(super) const ASKED: [&'static str; 5] = [
        "job-id",
        "job-state",
        "job-state-reasons",
        "job-state-message",
        "job-printer-state-message",
    ];

    /// Whether all of it is printed, as the printer says.
    pub(crate) fn is_printed(&self) -> bool {
        self.state == JobState::Completed && !self.has_errors
    }

    /// What an answer says of the job it is about.
    pub(crate) fn read(answer: &IppMessage) -> JobFacts {
        let group = answer.groups_of(JOB).next();
        let reasons = group.map(|it| it.texts("job-state-reasons")).unwrap_or_default();
        let state = group.and_then(|it| it.number("job-state"));
        let told = ["job-printer-state-message", "job-state-message"];
        let told = told.iter().filter_map(|name| group?.text(name)).find(|it| !it.is_empty());
        JobFacts {
            id: group.and_then(|it| it.number("job-id")),
            state: state.map_or(JobState::Unknown, JobState::of),
            why: reasons.iter().filter_map(|reason| describe_job_reason(reason)).collect(),
            has_errors: reasons.contains(&"job-completed-with-errors"),
            said: told.unwrap_or_default().into(),
        }
    }
}
