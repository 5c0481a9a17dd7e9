//! All documents of a batch, all or nothing.
//!
//! In: what was read, and how the documents of a batch are made. Out: documents that only have to
//! appear, or what stopped them. With `--set-aside` the parcels that have errors are taken out, the
//! rest is numbered anew and made once more, until nothing is wrong with it. Not here: which
//! documents there are.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use super::aside::{OpenAside, STOPS_ALL, TakenOut};
use super::documents::MadeDocument;
use super::exit::Exit;
use super::files::Settled;
use super::halt::Halt;
use super::inputs::Inputs;
use super::output::{cannot_write, let_appear, open_output, show_path};
use super::prepare::{PreparedBatch, prepare};
use super::report::count_findings;
use super::terminal;
use crate::batch::{Batch, BatchOptions};
use crate::findings::{Finding, has_errors};
use crate::job::drop_echoes;
use crate::verify::ProofTally;

/// What was made of one batch.
pub(super) struct Attempt {
    /// The documents; those that have no page for any parcel are left out, but keep their place.
    pub(super) documents: Vec<Option<MadeDocument>>,
    /// What was found between them.
    pub(super) findings: Vec<Finding>,
}

/// How many orders were taken out of a batch before an attempt, and all that was found so far.
pub(super) struct Before<'a> {
    /// What was found in the files and the batch, and in attempts before this one.
    pub(super) findings: &'a [Finding],
    /// How many orders were set aside.
    pub(super) set_aside: usize,
}

/// A batch whose documents only have to appear.
pub(super) struct Sitting {
    /// The parcels, those that were set aside left out.
    pub(super) batch: Batch,
    /// Its documents, as they were made.
    pub(super) documents: Vec<Option<MadeDocument>>,
    /// Everything that was found, set aside orders included.
    pub(super) findings: Vec<Finding>,
    /// The result of the proof.
    pub(super) proof: ProofTally,
    /// The orders that were taken out; none when that was not asked for.
    pub(super) aside: Option<Aside>,
}

/// Orders taken out of a batch, in a file that only has to appear.
pub(super) struct Aside {
    /// Where they go.
    path: PathBuf,
    /// The file, until it has appeared.
    file: Option<Settled>,
    /// How many there are.
    count: usize,
}

impl Aside {
    /// The file, which has to appear together with the documents; even an empty one: an old file of
    /// that name would be packed again.
    pub(super) fn take_file(&mut self) -> Option<Settled> {
        self.file.take()
    }

    /// What there is to say of it.
    fn describe(&self) -> String {
        let noun = if self.count == 1 { "order was" } else { "orders were" };
        format!("{} {noun} set aside in {}", self.count, show_path(&self.path))
    }

    /// Says that it has appeared; orders that were set aside are no success.
    pub(super) fn tell(&self) -> Exit {
        terminal::say(&self.describe());
        if self.count > 0 { Exit::Findings } else { Exit::Done }
    }
}

/// Makes all documents of the orders that were read. `make` makes them of one batch; it is called
/// again when parcels had to be taken out.
///
/// # Errors
/// When something is wrong with them that cannot be set aside, or is not to be.
pub(super) fn make_sitting(
    inputs: &mut Inputs,
    how: &BatchOptions,
    aside: Option<&Path>,
    mut make: impl FnMut(&Inputs, &Batch, &Before<'_>) -> Result<Attempt, Halt>,
) -> Result<Sitting, Halt> {
    let mut course = Course::start(inputs, how, aside)?;
    loop {
        course.refuse_empty()?;
        let made = course.make_once(&mut make)?;
        if !has_errors(&made.findings) {
            return course.finish(made);
        }
        course.take_out(made)?;
    }
}

/// One batch made once.
struct MadeBatch {
    /// The parcels that it was tried with.
    batch: Batch,
    /// What was made of them; none where errors kept it from being made.
    documents: Vec<Option<MadeDocument>>,
    /// What was found in it and on its pages.
    findings: Vec<Finding>,
    /// What the proof came to.
    proof: ProofTally,
}

/// The way from orders to a batch that has nothing wrong with it.
struct Course<'a> {
    /// What was read.
    inputs: &'a mut Inputs,
    /// How orders become parcels.
    how: &'a BatchOptions,
    /// The file for orders that are taken out, if the user wants it.
    aside: Option<OpenAside>,
    /// The orders that were taken out.
    taken: TakenOut,
    /// What was found in the files, and what was the matter with orders taken out.
    findings: Vec<Finding>,
}

impl<'a> Course<'a> {
    /// Opens the file for orders that are taken out, and takes out those that cannot be read.
    fn start(
        inputs: &'a mut Inputs,
        how: &'a BatchOptions,
        aside: Option<&Path>,
    ) -> Result<Course<'a>, Halt> {
        if let Some(path) = aside {
            refuse_waiting_orders(path)?;
        }
        let open = |path: &Path| {
            Ok::<_, Halt>(OpenAside { path: path.to_owned(), pending: open_output(path)? })
        };
        let aside = aside.map(open).transpose()?;
        let findings = std::mem::take(&mut inputs.findings);
        let mut course = Course { inputs, how, aside, taken: TakenOut::default(), findings };
        if has_errors(&course.findings) {
            course.take_out_refused()?;
        }
        Ok(course)
    }

    /// Takes out the orders that cannot be read.
    fn take_out_refused(&mut self) -> Result<(), Halt> {
        if self.inputs.orders.is_broken() {
            return Err(self.stop(Vec::new(), ProofTally::default()).ending_in(Exit::Usage));
        }
        if self.aside.is_none() {
            return Err(self.stop(Vec::new(), ProofTally::default()));
        }
        let mut orders = std::mem::take(&mut self.inputs.orders);
        self.taken = TakenOut::of_file(&mut orders, self.inputs, self.how, &mut self.findings);
        self.inputs.orders = orders;
        Ok(())
    }

    /// Stops when every order was taken out; their file appears.
    fn refuse_empty(&mut self) -> Result<(), Halt> {
        let Some(aside) = self.aside.take_if(|_| self.inputs.orders.orders.is_empty()) else {
            return Ok(());
        };
        let mut aside = settle_aside(aside, &self.taken, self.inputs)?;
        let_appear(aside.take_file().into_iter().collect())?;
        let said = aside.describe();
        let findings = std::mem::take(&mut self.findings);
        let halt = Halt::found(findings, ProofTally::default(), &self.inputs.sources);
        Err(halt.saying("no order is left to be printed").saying(said))
    }

    /// Makes the batch of the orders that are left, and its documents.
    fn make_once(
        &mut self,
        make: &mut impl FnMut(&Inputs, &Batch, &Before<'_>) -> Result<Attempt, Halt>,
    ) -> Result<MadeBatch, Halt> {
        // They are needed again only to take the faulty ones out.
        let orders = match self.aside {
            Some(_) => self.inputs.orders.orders.clone(),
            None => std::mem::take(&mut self.inputs.orders.orders),
        };
        let PreparedBatch { batch, findings } = prepare(orders, self.inputs, self.how);
        let earlier = self.findings.len();
        join_findings(&mut self.findings, findings);
        let before = Before { findings: &self.findings, set_aside: self.taken.len() };
        let Attempt { mut documents, findings: between } = make(self.inputs, &batch, &before)?;
        let mut findings = self.findings.split_off(earlier);
        let mut proof = ProofTally::default();
        for document in documents.iter_mut().flatten() {
            proof.add(std::mem::take(&mut document.outcome.proof));
            findings.append(&mut document.outcome.findings);
        }
        findings.extend(between);
        drop_echoes(&mut findings);
        Ok(MadeBatch { batch, documents, findings, proof })
    }

    /// Takes the parcels that have errors out; stops when there are none, or none may be.
    fn take_out(&mut self, made: MadeBatch) -> Result<(), Halt> {
        let MadeBatch { batch, documents, mut findings, proof } = made;
        let faulty = documents.iter().flatten().flat_map(|made| &made.outcome.faulty).copied();
        let orders = &mut self.inputs.orders.orders;
        let is_less =
            self.aside.is_some() && self.taken.take(orders, &batch, faulty, &mut findings);
        if !is_less {
            return Err(self.stop(findings, proof));
        }
        self.findings.append(&mut findings);
        Ok(())
    }

    /// What stops all of it; `more` was found last.
    fn stop(&mut self, more: Vec<Finding>, proof: ProofTally) -> Halt {
        let mut findings = std::mem::take(&mut self.findings);
        join_findings(&mut findings, more);
        let counted = count_findings(&findings);
        let halt = Halt::found(findings, proof, &self.inputs.sources)
            .saying(format!("nothing was written: {counted}"));
        match self.aside {
            Some(_) => halt.saying(STOPS_ALL),
            None => halt,
        }
    }

    /// The sitting, once nothing is wrong with it.
    fn finish(self, made: MadeBatch) -> Result<Sitting, Halt> {
        let Course { inputs, aside, taken, mut findings, .. } = self;
        let aside = aside.map(|aside| settle_aside(aside, &taken, inputs)).transpose()?;
        let MadeBatch { batch, documents, findings: last, proof } = made;
        join_findings(&mut findings, last);
        Ok(Sitting { batch, documents, findings, proof, aside })
    }
}

/// Adds findings behind others. There may be tens of thousands, which are not moved when there are no
/// others.
fn join_findings(before: &mut Vec<Finding>, mut more: Vec<Finding>) {
    match before.is_empty() {
        true => *before = more,
        false => before.append(&mut more),
    }
}

/// Refuses to write over orders that were set aside before: they may be mended and not yet sent.
fn refuse_waiting_orders(path: &Path) -> Result<(), Halt> {
    let Some(bytes) = path.is_file().then(|| std::fs::read(path).ok()).flatten() else {
        return Ok(());
    };
    if bytes.trim_ascii().is_empty() {
        return Ok(());
    }
    // What is no JSON may be orders too, half mended.
    let value: serde_json::Value = serde_json::from_slice(&bytes).unwrap_or_default();
    let list = value.get("orders").unwrap_or(&value).as_array().map(Vec::len);
    let shown = show_path(path);
    let message = match list {
        Some(0) => return Ok(()),
        Some(1) => format!("{shown} holds an order already, which would be lost"),
        Some(count) => format!("{shown} holds {count} orders already, which would be lost"),
        None => format!("{shown} is there already and holds something else than orders"),
    };
    Err(Halt::usage(message).hint("send them first, or name another file"))
}

/// Writes the orders that were taken out.
fn settle_aside(
    OpenAside { path, mut pending }: OpenAside,
    taken: &TakenOut,
    inputs: &Inputs,
) -> Result<Aside, Halt> {
    let text = taken.write(inputs.orders.batch_name.as_deref(), &inputs.sources);
    let written = pending.write_all(text.as_bytes());
    let file = written.and_then(|()| pending.settle());
    let file = file.map_err(|error| cannot_write(&path, &error))?;
    Ok(Aside { path, file: Some(file), count: taken.len() })
}
