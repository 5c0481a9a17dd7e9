//! A print queue or printer: asked, given documents, watched.
//!
//! In: requests and documents. Out: what it says, in our words where it refuses or is gone. A job is
//! printed when it is completed and nothing else: gone, cancelled, given up, stopped and unknown are told
//! apart. Not here: what is sent (`shipment`).

use std::time::{Duration, Instant};

use super::address::QueueAddress;
use super::connection::{CallFault, CallPatience, call};
use crate::cli::exit::Exit;
use crate::cli::halt::Halt;
use crate::ipp::{
    IppMessage, JobFacts, JobState, JobTicket, PrinterFacts, ReasonWeight, Remark, ask_job,
    ask_printer, ask_queues, cancel_job, describe_status, is_done, is_missing, is_partly_ignored,
    read_message,
};
use crate::words::{counted, join_and, list_words, shorten};

/// How long between two looks at a job. Ours: a page of the quickest printers takes as long.
const LOOKS: Duration = Duration::from_millis(500);

/// The status of a printer that takes one job after the other: `server-error-busy`.
const BUSY: u16 = 0x0507;

/// How long at least, when patience ends before.
const SHORTEST_LOOK: Duration = Duration::from_millis(20);

/// How often in a row a printer may be silent while a job is watched: it may be busy.
const SILENCES: u32 = 3;

/// What jobs are sent to: a queue of CUPS, or a printer itself.
#[derive(Clone, Debug)]
pub(crate) struct PrintQueue {
    /// What messages call it: a name in backticks, or words.
    pub(super) called: String,
    /// How it is reached.
    pub(super) address: QueueAddress,
    /// How long it is waited for.
    pub(super) patience: CallPatience,
    /// Who asks.
    user: String,
}

/// Who prints, as the system names them.
fn current_user() -> String {
    let named = ["USER", "LOGNAME"].iter().find_map(|name| std::env::var(name).ok());
    named.filter(|name| !name.is_empty()).unwrap_or_else(|| "slipwright".to_owned())
}

impl PrintQueue {
    /// A queue with the name by which the user knows it.
    pub(crate) fn new(name: &str, address: QueueAddress) -> PrintQueue {
        let (called, patience) = (format!("`{name}`"), CallPatience::default());
        PrintQueue { called, address, patience, user: current_user() }
    }

    /// The print system of this machine.
    pub(crate) fn system() -> PrintQueue {
        let called = "the print system of this machine".to_owned();
        PrintQueue { called, ..PrintQueue::new("", QueueAddress::of_system()) }
    }

    /// Who asks.
    pub(super) fn user(&self) -> &str {
        &self.user
    }

    /// Sends a request, with a document behind it.
    fn ask(&self, request: &[u8], document: &[u8]) -> Result<IppMessage, Halt> {
        let answer = call(&self.address, &self.patience, request, document);
        let answer = answer.map_err(|fault| self.tell_fault(&fault, !document.is_empty()))?;
        read_message(&answer).map_err(|fault| {
            let name = &self.called;
            Halt::lost_printer(format!("{name} does not answer as printers do: {fault}"))
                .hint(format!("is {} the address of a printer?", self.address.uri()))
        })
    }

    /// What stops a request that got no answer.
    fn tell_fault(&self, fault: &CallFault, had_document: bool) -> Halt {
        let (name, place) = (&self.called, self.address.authority());
        let lost = |what: String| match had_document {
            true => Halt::lost_printer(format!(
                "{what} while the document was sent: it may be printed, in part or not at all"
            ))
            .hint("look at the printer and its queue before you print it once more"),
            false => Halt::lost_printer(what)
                .hint("look whether it is switched on and connected, and try again"),
        };
        match fault {
            CallFault::NoMachine => Halt::lost_printer(format!(
                "{name} cannot be reached: there is no machine `{}`",
                self.address.host
            ))
            .hint("look at the address in the shop file"),
            CallFault::NobodyThere => {
                Halt::lost_printer(format!("{name} cannot be reached: nothing answers at {place}"))
                    .hint("look whether the printer, or this machine's print system (CUPS), is on")
            }
            CallFault::Silent => lost(format!("{name} did not answer in time")),
            CallFault::BrokeOff => lost(format!("the connection to {name} broke off")),
            CallFault::Refused(401 | 403) => Halt::unprinted(format!(
                "{name} does not let us print: it wants a user with a password"
            ))
            .hint("allow printing from this machine in its settings"),
            CallFault::Refused(426) => Halt::unprinted(format!(
                "{name} wants an encrypted connection"
            ))
            .hint("set up a queue of this machine for it, and write its name: `queue: NAME`"),
            CallFault::Refused(404) => self.missing(),
            CallFault::Refused(status) => Halt::lost_printer(format!(
                "{name} does not answer as printers do: HTTP status {status}"
            ))
            .hint(format!("is {} the address of a printer?", self.address.uri())),
            CallFault::Garbled(what) => {
                Halt::lost_printer(format!("{name} does not answer as printers do: {what}"))
                    .hint(format!("is {} the address of a printer?", self.address.uri()))
            }
        }
    }

    /// What stops a command whose printer is not there.
    fn missing(&self) -> Halt {
        let (name, place) = (&self.called, self.address.authority());
        Halt::usage(format!("there is no print queue {name} at {place}"))
            .hint("`slipwright print --list` tells the queues that there are")
    }

    /// What stops a request that was answered with a failure.
    fn refusal(&self, answer: &IppMessage) -> Halt {
        let (name, said) = (&self.called, answer.status_message());
        let unsupported = answer.unsupported();
        let halt = Halt::unprinted(match unsupported.is_empty() {
            true => format!("{name} {}", describe_status(answer.code)),
            false => format!("{name} does not take these settings: {}", list_words(unsupported)),
        });
        if answer.code == BUSY {
            return halt.hint("try again when it has done that");
        }
        // What the printer says is in its own words, which often name the very thing.
        match said.is_empty() {
            true => halt.hint("look at the printer's own page or display for more"),
            false => halt.hint(format!("it says: `{}`", shorten(said))),
        }
    }

    /// Asks, and takes nothing but success.
    fn ask_well(&self, request: &[u8], document: &[u8]) -> Result<IppMessage, Halt> {
        let answer = self.ask(request, document)?;
        if is_done(answer.code) { Ok(answer) } else { Err(self.refusal(&answer)) }
    }

    /// How it is, and what it takes.
    ///
    /// # Errors
    /// When it is not there or says nothing.
    pub(crate) fn look(&self) -> Result<PrinterFacts, Halt> {
        let answer = self.ask(&ask_printer(&self.address.uri()), &[])?;
        match answer.code {
            code if is_missing(code) => Err(self.missing()),
            code if is_done(code) => Ok(PrinterFacts::read(&answer)),
            _ => Err(self.refusal(&answer)),
        }
    }

    /// How all queues of a print system are; none at all where it has none.
    ///
    /// # Errors
    /// When it is not there or says nothing.
    pub(crate) fn look_at_all(&self) -> Result<Vec<PrinterFacts>, Halt> {
        let answer = self.ask(&ask_queues(), &[])?;
        match answer.code {
            code if is_missing(code) => Ok(Vec::new()),
            code if is_done(code) => Ok(PrinterFacts::read_all(&answer)),
            _ => Err(self.refusal(&answer)),
        }
    }

    /// Asks whether a document would be printed as it is wanted.
    ///
    /// # Errors
    /// When it would not, or not quite.
    pub(super) fn validate(&self, ticket: &JobTicket) -> Result<(), Halt> {
        let answer = self.ask_well(&ticket.validate_job(&self.address.uri()), &[])?;
        let ignored = answer.unsupported();
        match is_partly_ignored(answer.code) && !ignored.is_empty() {
            true => Err(self.refusal(&answer)),
            false => Ok(()),
        }
    }

    /// Sends a document: its job's number, and what is known of it.
    ///
    /// # Errors
    /// When it is not taken.
    pub(super) fn send(
        &self,
        ticket: &JobTicket,
        document: &[u8],
    ) -> Result<(i32, JobFacts), Halt> {
        let request = ticket.print_job(&self.address.uri());
        let job = JobFacts::read(&self.ask_well(&request, document)?);
        let name = &self.called;
        let nameless = || {
            Halt::lost_printer(format!(
                "{name} took the document and gives its job no number: whether it is printed, nobody can say"
            ))
            .hint("look at the printer before you print it once more")
        };
        Ok((job.id.ok_or_else(nameless)?, job))
    }

    /// How a job is.
    ///
    /// # Errors
    /// When it is not known there, or nothing is said.
    pub(crate) fn look_at_job(&self, job: i32) -> Result<JobFacts, Halt> {
        let answer = self.ask(&ask_job(&self.address.uri(), job, &self.user), &[])?;
        match answer.code {
            code if is_missing(code) => Err(self.forgotten(job)),
            code if is_done(code) => Ok(JobFacts::read(&answer)),
            _ => Err(self.refusal(&answer)),
        }
    }

    /// What stops a watch over a job that is not known.
    fn forgotten(&self, job: i32) -> Halt {
        let name = &self.called;
        Halt::unprinted(format!(
            "{name} knows no job {job}: whether it was printed, nobody can say"
        ))
        .hint("look at the printer before you print it once more")
        .ending_in(Exit::Usage)
    }

    /// Cancels a job.
    ///
    /// # Errors
    /// When it is not known there, or over.
    pub(crate) fn cancel(&self, job: i32) -> Result<(), Halt> {
        let answer = self.ask(&cancel_job(&self.address.uri(), job, &self.user), &[])?;
        match answer.code {
            code if is_missing(code) => Err(self.forgotten(job)),
            code if is_done(code) => Ok(()),
            0x0404 => Err(Halt::unprinted(format!(
                "job {job} cannot be cancelled any more: {} has done with it",
                &self.called
            ))
            .hint(format!(
                "`slipwright print --job {job}` with the same printer tells how it ended"
            ))),
            _ => Err(self.refusal(&answer)),
        }
    }

    /// Waits until a job is over, and tells on the way what the printer waits for.
    ///
    /// # Errors
    /// When it is not printed in the end, or not yet when patience is over.
    pub(crate) fn watch(
        &self,
        job: i32,
        patience: Duration,
        mut tell: impl FnMut(&str),
    ) -> Result<JobFacts, Halt> {
        let begun = Instant::now();
        let (mut told, mut silences): (Vec<String>, u32) = (Vec::new(), 0);
        loop {
            match self.look_at_job(job) {
                Ok(facts) if facts.state.is_over() => return self.judge(job, facts),
                // A queue whose filter failed keeps the job, and does nothing more with it.
                Ok(facts) if facts.state == JobState::Stopped && facts.has_errors => {
                    let way_out = format!("`--cancel {job}` takes it out of the queue");
                    return self.judge(job, facts).map_err(|halt| halt.hint(way_out));
                }
                Ok(facts) => {
                    silences = 0;
                    let mut waits = self.list_waits(job, &facts);
                    waits.retain(|sentence| !told.contains(sentence));
                    waits.iter().for_each(|sentence| tell(sentence));
                    told.extend(waits);
                    if begun.elapsed() >= patience {
                        return Err(self.late(job, patience, &told, &facts.said));
                    }
                }
                // It was there a moment ago, so this is no reason to give up at once.
                Err(halt) if halt.exit == Exit::Output && silences < SILENCES => silences += 1,
                Err(halt) => return Err(stop_watch(job, halt)),
            }
            let left = patience.saturating_sub(begun.elapsed());
            std::thread::sleep(LOOKS.min(left).max(SHORTEST_LOOK));
        }
    }

    /// What a job waits for, a sentence each.
    fn list_waits(&self, job: i32, facts: &JobFacts) -> Vec<String> {
        let name = &self.called;
        let mut waits: Vec<String> = Vec::new();
        if facts.state == JobState::Held {
            waits.push(format!("job {job} is held in the queue of {name}"));
        }
        waits.extend(facts.why.iter().map(|why| format!("job {job}: {why}")));
        waits.extend(self.list_printer_waits());
        waits
    }

    /// What the printer itself waits for, a sentence each; nothing when it cannot be asked now, because it
    /// is asked again soon.
    pub(super) fn list_printer_waits(&self) -> Vec<String> {
        let Ok(printer) = self.look() else { return Vec::new() };
        let is_reason = |it: &Remark| it.weight.max(it.usual) == ReasonWeight::Waits;
        let remarks = printer.remarks().into_iter().filter(is_reason);
        remarks.map(|remark| format!("{} {}", self.called, remark.words)).collect()
    }

    /// What stops a wait that was too long.
    fn late(&self, job: i32, patience: Duration, told: &[String], said: &str) -> Halt {
        let seconds = counted(patience.as_secs(), "second");
        let said = Some(format!("`{}`", shorten(said))).filter(|_| !said.is_empty());
        let about = format!("job {job}: ");
        let last = told.last().map(|last| last.strip_prefix(&about).unwrap_or(last).to_owned());
        let why = last.or(said).map(|why| format!(": {why}")).unwrap_or_default();
        Halt::unprinted(format!("job {job} is not printed after {seconds}{why}")).hint(format!(
            "it goes on by itself; `--job {job}` tells how it is, `--cancel {job}` takes it back"
        ))
    }

    /// Takes a job that is over for printed only if the printer says that it is.
    fn judge(&self, job: i32, facts: JobFacts) -> Result<JobFacts, Halt> {
        let name = &self.called;
        let ended = match facts.state {
            _ if facts.is_printed() => return Ok(facts),
            JobState::Completed => "ended with errors",
            JobState::Stopped => "stopped with errors",
            JobState::Cancelled => "was cancelled",
            _ => "was given up",
        };
        let why = join_and(&facts.why);
        let why = if why.is_empty() { String::new() } else { format!(": {why}") };
        let halt = Halt::unprinted(format!("job {job} {ended} at {name}{why}"));
        Err(match facts.said.is_empty() {
            true => halt.hint("look at the printer; what came out may be part of it"),
            false => halt.hint(format!("it says: `{}`", shorten(&facts.said))),
        })
    }
}

/// What stops a watch over a job of which nothing can be found out any more.
fn stop_watch(job: i32, halt: Halt) -> Halt {
    match halt.exit {
        Exit::Output => halt.saying(format!("whether job {job} was printed is not known")),
        // Its number was given out a moment ago: nobody has mistyped it.
        _ => halt.ending_in(Exit::Findings),
    }
}
