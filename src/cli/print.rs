//! `slipwright print`: documents to a printer, by its queue.
//!
//! In: a document, and which printer. Out: a job at the printer, and whether it is printed, which is what
//! the printer says and nothing else. The page in the browser calls [`send`], [`list`] and the
//! [`PrintQueue`] of a [`PrintTarget`]. Not here: making documents.

mod address;
mod answer;
mod connection;
mod document;
mod pages;
mod queue;
mod shipment;
mod target;
#[cfg(test)]
mod tests;

use std::path::Path;
use std::time::Duration;

use super::arguments::Diagnostics;
use super::arguments::print::{PrinterChoice, SendArguments};
use super::exit::Exit;
use super::halt::Halt;
use super::output::show_path;
use super::positions::PositionList;
use super::terminal;
use crate::findings::{Finding, rules};
use crate::ipp::PrinterFacts;
use crate::source::Sources;
use crate::stock::Printers;
use crate::words::counted;

pub(super) use answer::{PrintAnswer, SCHEMA};
pub(super) use queue::PrintQueue;
pub(super) use target::PrintTarget;

use answer::{ToldPrinter, form_words};
use document::PrintDocument;
use pages::{ChosenPages, choose_pages};
use shipment::{Packing, Shipment, ShipmentWish};
use target::read_printers;

/// How long is waited for a job, and how much longer for each page. Ours: label printers take two seconds
/// a page and office printers five, and a cold one half a minute before its first.
const PATIENCE: (u64, u64) = (60, 10);

/// Prints a document, or tells of printers and jobs.
pub(super) fn run(arguments: &SendArguments) -> Result<Exit, Halt> {
    let how = if arguments.json { Diagnostics::Json } else { Diagnostics::Full };
    let path = arguments.document.as_deref();
    let printers = match arguments.to.queue {
        Some(_) => Printers::default(),
        None => read_printers(&arguments.to, path, how)?,
    };
    let answer = match (path, arguments.job, arguments.cancel) {
        (Some(path), ..) => print_document(arguments, path, &printers, how)?,
        (_, Some(job), _) => {
            let queue = PrintTarget::choose(&arguments.to, &printers, None)?.queue;
            tell_job(&queue, job, arguments.wait)?
        }
        (_, _, Some(job)) => {
            let queue = PrintTarget::choose(&arguments.to, &printers, None)?.queue;
            queue.cancel(job)?;
            let mut answer = PrintAnswer::new("cancel");
            answer.put("job", job);
            answer
                .line(format!("job {job} is cancelled; a page that was begun may still come out"));
            answer
        }
        _ => list(&printers),
    };
    answer.show(arguments.json)?;
    Ok(Exit::Done)
}

/// Prints a document as the arguments want it.
fn print_document(
    arguments: &SendArguments,
    path: &Path,
    printers: &Printers,
    how: Diagnostics,
) -> Result<PrintAnswer, Halt> {
    let wish = PrintWish {
        pages: arguments.pages.as_ref(),
        copies: arguments.copies,
        is_rehearsal: arguments.dry_run,
    };
    let sent = send(&arguments.to, printers, path, &wish)?;
    show_remarks(&sent.remarks, how);
    let mut answer = sent.answer;
    let Some(job) = sent.job else { return Ok(answer) };
    if arguments.no_wait {
        answer.line(format!("sent as job {job}; `--job {job}` tells when it is printed"));
        return Ok(answer);
    }
    terminal::say(&format!("job {job} is at {}; waiting until it is printed", sent.queue.called));
    let pages = u64::try_from(sent.pages).unwrap_or(u64::MAX);
    let usual = PATIENCE.0.saturating_add(PATIENCE.1.saturating_mul(pages));
    let patience = Duration::from_secs(arguments.wait.map_or(usual, u64::from));
    let ended = sent.queue.watch(job, patience, terminal::say)?;
    answer.put("state", ended.state.word());
    answer.put("printed", true);
    answer.line(format!("job {job} is printed: the printer says so"));
    Ok(answer)
}

/// What is wanted of a document.
#[derive(Clone, Copy, Debug)]
pub(super) struct PrintWish<'a> {
    /// The pages; none for all.
    pub(super) pages: Option<&'a PositionList>,
    /// How often.
    pub(super) copies: u32,
    /// Whether nothing is sent, and only told what would be.
    pub(super) is_rehearsal: bool,
}

/// A document that was sent, or looked at.
#[derive(Debug)]
pub(super) struct SentDocument {
    /// Where it was sent, and where its job can be watched.
    pub(super) queue: PrintQueue,
    /// The job's number; none when nothing was sent.
    pub(super) job: Option<i32>,
    /// How many pages come out, all copies together.
    pub(super) pages: usize,
    /// What is worth a warning, a sentence each.
    pub(super) remarks: Vec<String>,
    /// What is told of it.
    pub(super) answer: PrintAnswer,
}

/// Sends the document in a file to the printer that is chosen, or that suits its paper.
///
/// # Errors
/// When it cannot be read, there is no such printer, or it does not print it as it is.
pub(super) fn send(
    choice: &PrinterChoice,
    printers: &Printers,
    path: &Path,
    wish: &PrintWish<'_>,
) -> Result<SentDocument, Halt> {
    let document = PrintDocument::read(path)?;
    let target = PrintTarget::choose(choice, printers, Some(document.paper))?;
    send_document(&target, &document, wish)
}

/// Sends a document that was read.
fn send_document(
    target: &PrintTarget,
    document: &PrintDocument,
    wish: &PrintWish<'_>,
) -> Result<SentDocument, Halt> {
    let queue = &target.queue;
    let ChosenPages { places: pages, remark } = choose_pages(document, wish.pages, wish.copies)?;
    let facts = queue.look()?;
    refuse_stopped(queue, &facts)?;
    let wanted = ShipmentWish {
        pages: &pages,
        copies: wish.copies,
        user: queue.user(),
        printer: &queue.called,
        profile: target.profile.as_ref(),
    };
    let shipment = Packing { document, facts: &facts, wish: &wanted }.pack()?;
    queue.validate(&shipment.ticket)?;
    let mut remarks: Vec<String> = remark.into_iter().chain(shipment.remarks.clone()).collect();
    let told = facts.remarks();
    remarks.extend(told.iter().map(|remark| format!("{} {}", queue.called, remark.words)));
    let mut answer = tell_sent(target, document, &pages, wish, &shipment);
    answer.put("remarks", remarks.clone());
    let count = pages.len() * wish.copies as usize;
    let mut sent = SentDocument { queue: queue.clone(), job: None, pages: count, remarks, answer };
    if !wish.is_rehearsal {
        let (id, job) = queue.send(&shipment.ticket, &shipment.bytes)?;
        sent.answer.put("job", id);
        sent.answer.put("state", job.state.word());
        sent.answer.put("printed", job.is_printed());
        sent.job = Some(id);
    }
    Ok(sent)
}

/// Tells what is sent where.
fn tell_sent(
    target: &PrintTarget,
    document: &PrintDocument,
    pages: &[usize],
    wish: &PrintWish<'_>,
    shipment: &Shipment,
) -> PrintAnswer {
    let mut answer = PrintAnswer::new("print");
    let queue = &target.queue;
    answer.put("printer", target.profile.as_ref().map(|it| it.name.to_string()));
    answer.put("queue", queue.address.uri());
    answer.put("document", document.path.display().to_string());
    answer.put("pages", pages.iter().map(|page| page + 1).collect::<Vec<_>>());
    answer.put("copies", wish.copies);
    answer.put("dry_run", wish.is_rehearsal);
    answer.put("printed", false);
    answer.tell_shipment(shipment);
    let times = if wish.copies == 1 { String::new() } else { format!(", {} times", wish.copies) };
    let (count, shown) = (counted(pages.len(), "page"), show_path(&document.path));
    let to = if wish.is_rehearsal { "would go to" } else { "to" };
    answer.line(format!(
        "{count} of {shown}{times} {to} {} {}, on paper of {}",
        queue.called,
        form_words(shipment),
        shipment.ticket.media
    ));
    answer
}

/// Refuses a printer that would not print now what it is sent. What else it says of itself is a warning: a
/// queue repeats what its printer said when it was last used.
fn refuse_stopped(queue: &PrintQueue, facts: &PrinterFacts) -> Result<(), Halt> {
    let called = &queue.called;
    if facts.refuses {
        return Err(Halt::unprinted(format!("{called} takes no jobs")).hint(
            "let it take them again in the system's printer settings, or with `cupsaccept`",
        ));
    }
    if facts.is_paused() {
        return Err(Halt::unprinted(format!("{called} is paused"))
            .hint("start it again in the system's printer settings, or with `cupsenable`"));
    }
    Ok(())
}

/// Shows warnings.
fn show_remarks(remarks: &[String], how: Diagnostics) {
    let found = remarks.iter().map(|it| Finding::new(&rules::PRINTER_REMARK, it.as_str()));
    terminal::show(&found.collect::<Vec<_>>(), &Sources::new(), how);
}

/// Tells how a job is, at once or when it is over.
fn tell_job(queue: &PrintQueue, job: i32, wait: Option<u32>) -> Result<PrintAnswer, Halt> {
    let facts = match wait {
        Some(seconds) => {
            let patience = Duration::from_secs(u64::from(seconds));
            queue.watch(job, patience, terminal::say)?
        }
        None => queue.look_at_job(job)?,
    };
    let is_printed = facts.is_printed();
    let mut answer = PrintAnswer::new("job");
    answer.put("job", job);
    answer.put("state", facts.state.word());
    answer.put("printed", is_printed);
    let mut remarks: Vec<String> = facts.why.iter().map(|why| (*why).to_owned()).collect();
    if !facts.state.is_over() {
        remarks.extend(queue.list_printer_waits());
    }
    let why: String = remarks.iter().map(|why| format!("; {why}")).collect();
    answer.put("remarks", remarks);
    answer.line(match is_printed {
        true => format!("job {job} is printed: the printer says so"),
        false => format!("job {job} is {}{why}", facts.state.word()),
    });
    Ok(answer)
}

/// Tells the printers that have a queue, and the queues of this machine that are in no shop file.
pub(super) fn list(printers: &Printers) -> PrintAnswer {
    let known: Vec<_> = printers.list().iter().filter(|printer| printer.queue.is_some()).collect();
    let mut told: Vec<ToldPrinter<'_>> = Vec::new();
    for printer in &known {
        let looked = PrintTarget::of_printer(printer).and_then(|target| target.queue.look());
        told.push(ToldPrinter {
            printer: Some(&printer.name),
            queue: printer.queue.as_deref().unwrap_or_default(),
            looked: looked.map_err(|halt| first_message(&halt)),
        });
    }
    let system = PrintQueue::system().look_at_all();
    let (queues, silent) = match system {
        Ok(queues) => (queues, None),
        Err(halt) => (Vec::new(), Some(first_message(&halt))),
    };
    let is_new =
        |facts: &&PrinterFacts| known.iter().all(|it| it.queue.as_deref() != Some(&facts.name));
    for facts in queues.iter().filter(is_new) {
        told.push(ToldPrinter { printer: None, queue: &facts.name, looked: Ok(facts.clone()) });
    }
    let mut answer = PrintAnswer::new("list");
    told.iter().flat_map(ToldPrinter::lines).for_each(|line| answer.line(line));
    if let Some(silent) = &silent {
        answer.line(silent.clone());
    } else if told.is_empty() {
        answer.line(
            "there are no print queues: set one up in the system's printer settings".to_owned(),
        );
    }
    answer.put("printers", told.iter().map(ToldPrinter::json).collect::<Vec<_>>());
    answer.put("system", silent);
    answer
}

/// What stopped something, in a sentence.
fn first_message(halt: &Halt) -> String {
    halt.findings.first().map(|finding| finding.message.clone()).unwrap_or_default()
}
