//! All documents of a batch, all or nothing.
//!
//! In: what was read, and how the documents of a batch are made. Out: documents that only have to
//! appear, or the exit code once it has been said what stopped them. With `--set-aside` the parcels
//! that have errors are taken out, the rest is numbered anew and made once more, until nothing is
//! wrong with it. Not here: which documents there are.

use std::io;
use std::path::{Path, PathBuf};

use super::arguments::Diagnostics;
use super::aside::{STOPS_ALL, TakenOut};
use super::documents::MadeDocument;
use super::files::{Pending, Settled};
use super::inputs::Inputs;
use super::output::{cannot_write, open_output, show_path};
use super::{Exit, report};
use crate::batch::{Batch, BatchOptions, inspect_addresses};
use crate::findings::{Finding, has_errors, rules};
use crate::orders::{Order, locate_field};
use crate::preflight::DUPLICATE_TAG;
use crate::shop::Shop;
use crate::source::Sources;
use crate::verify::ProofTally;

/// A batch with what was found while it was made.
pub(super) struct Prepared {
    /// The batch.
    pub(super) batch: Batch,
    /// What was found.
    pub(super) findings: Vec<Finding>,
}

/// Makes the batch of some orders.
pub(super) fn prepare(
    name: Option<&str>,
    orders: Vec<Order>,
    inputs: &Inputs,
    how: &BatchOptions,
) -> Prepared {
    prepare_batch(name, orders, (inputs.shop.as_ref(), &inputs.sources), how)
}

/// Makes the batch of some orders, with the shop and the texts of both.
pub(super) fn prepare_batch(
    name: Option<&str>,
    orders: Vec<Order>,
    (shop, sources): (Option<&Shop>, &Sources),
    how: &BatchOptions,
) -> Prepared {
    let mut findings = Vec::new();
    let batch = Batch::assemble(name, orders, shop, how.clone(), &mut findings);
    findings.extend(inspect_addresses(&batch));
    for finding in &mut findings {
        let field = finding.span.zip(finding.path.as_deref());
        let place = field.and_then(|(order, path)| locate_field(sources, order, path));
        finding.span = place.or(finding.span);
        let doubtful = finding.is(&rules::EQUAL_TAGS) || finding.is(&rules::CONFUSABLE_TAGS);
        let option = match &finding.subject {
            _ if doubtful => "; `--fix-tags` does it".to_owned(),
            _ if finding.is(&rules::COULD_COMBINE) => "; `--combine` does the first".to_owned(),
            Some(subject) if finding.is(&rules::COMBINED) => {
                format!(", or give `--split {}`", subject.order)
            }
            _ => continue,
        };
        finding.hints.iter_mut().take(1).for_each(|hint| hint.push_str(&option));
    }
    Prepared { batch, findings }
}

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
    /// The batch.
    pub(super) batch: Batch,
    /// Its documents, as they were made.
    pub(super) documents: Vec<Option<MadeDocument>>,
    /// Everything that was found, set aside orders included.
    pub(super) findings: Vec<Finding>,
    /// What the proof came to.
    pub(super) proof: ProofTally,
    /// The orders that were taken out; none when that was not asked for.
    pub(super) aside: Option<Aside>,
}

/// Orders taken out of a batch, in a file that only has to appear.
pub(super) struct Aside {
    /// Where they go.
    path: PathBuf,
    /// The file.
    file: Settled,
    /// How many there are.
    count: usize,
}

impl Aside {
    /// Lets the file appear, even an empty one: an old file of that name would be packed again.
    ///
    /// # Errors
    /// The exit code, once it has been said that it could not be written.
    pub(super) fn commit(self) -> Result<Exit, Exit> {
        self.file.commit().map_err(|error| cannot_write(&self.path, &error))?;
        let count = self.count;
        let noun = if count == 1 { "order was" } else { "orders were" };
        report::say(&format!("{count} {noun} set aside in {}\n", show_path(&self.path)));
        Ok(if count > 0 { Exit::Findings } else { Exit::Done })
    }
}

/// Refuses to write over orders that were set aside before: they may be mended and not yet sent.
fn refuse_waiting_orders(path: &Path) -> Result<(), Exit> {
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
    Err(report::usage(&message, Some("send them first, or name another file".into())))
}

/// Makes all documents of the orders that were read. `make` makes them of one batch; it is called
/// again when parcels had to be taken out.
///
/// # Errors
/// The exit code, once it has been said what stopped it.
pub(super) fn make_sitting(
    inputs: &mut Inputs,
    how: &BatchOptions,
    aside: Option<&Path>,
    diagnostics: Diagnostics,
    mut make: impl FnMut(&Inputs, &Batch, &Before<'_>) -> Result<Attempt, Exit>,
) -> Result<Sitting, Exit> {
    let mut aside = match aside {
        Some(path) => {
            refuse_waiting_orders(path)?;
            Some((path.to_owned(), open_output(path)?))
        }
        None => None,
    };
    let mut orders = std::mem::take(&mut inputs.orders);
    let mut findings = std::mem::take(&mut inputs.findings);
    let mut taken = TakenOut::default();
    if has_errors(&findings) {
        if orders.is_broken() {
            stop(inputs, diagnostics, &findings, &ProofTally::default());
            say_stops_all(aside.is_some());
            return Err(Exit::Usage);
        }
        if aside.is_none() {
            return Err(stop(inputs, diagnostics, &findings, &ProofTally::default()));
        }
        taken = TakenOut::of_file(&mut orders, inputs, how, &mut findings);
    }
    let (batch, documents, proof) = loop {
        if let Some(aside) = aside.take_if(|_| orders.orders.is_empty()) {
            report::show(&findings, &inputs.sources, diagnostics);
            report::say("no order is left to be printed\n");
            let name = orders.batch_name.as_deref();
            return Err(settle_aside(aside, &taken, name, inputs)?.commit()?);
        }
        // They are needed again only to take the faulty ones out.
        let these = match aside {
            Some(_) => orders.orders.clone(),
            None => std::mem::take(&mut orders.orders),
        };
        let Prepared { batch, findings: mut new } =
            prepare(orders.batch_name.as_deref(), these, inputs, how);
        let earlier = findings.len();
        findings.append(&mut new);
        let before = Before { findings: &findings, set_aside: taken.len() };
        let Attempt { mut documents, findings: between } = make(inputs, &batch, &before)?;
        let mut proof = ProofTally::default();
        for document in documents.iter_mut().flatten() {
            proof.add(std::mem::take(&mut document.outcome.proof));
            findings.append(&mut document.outcome.findings);
        }
        findings.extend(between);
        let mut new = findings.split_off(earlier);
        drop_echoes(&mut new);
        if !has_errors(&new) {
            findings.append(&mut new);
            break (batch, documents, proof);
        }
        let faulty = documents.iter().flatten().flat_map(|made| made.outcome.faulty.iter());
        let is_less =
            aside.is_some() && taken.take(&mut orders.orders, &batch, faulty.copied(), &mut new);
        findings.append(&mut new);
        if !is_less {
            let exit = stop(inputs, diagnostics, &findings, &proof);
            say_stops_all(aside.is_some());
            return Err(exit);
        }
    };
    let name = orders.batch_name.as_deref();
    let aside = aside.map(|aside| settle_aside(aside, &taken, name, inputs)).transpose()?;
    Ok(Sitting { batch, documents, findings, proof, aside })
}

/// Shows what stopped it.
fn stop(
    inputs: &Inputs,
    diagnostics: Diagnostics,
    findings: &[Finding],
    proof: &ProofTally,
) -> Exit {
    report::show_proven(findings, proof, &inputs.sources, diagnostics);
    let counted = report::count_findings(findings);
    report::say(&format!("nothing was written: {counted}\n"));
    Exit::Findings
}

/// Says why nothing is set aside though that was asked for.
fn say_stops_all(is_wanted: bool) {
    if is_wanted {
        report::say(STOPS_ALL);
    }
}

/// Writes the orders that were taken out.
///
/// # Errors
/// The exit code, once it has been said that they could not be written.
fn settle_aside(
    (path, mut pending): (PathBuf, Pending),
    taken: &TakenOut,
    batch_name: Option<&str>,
    inputs: &Inputs,
) -> Result<Aside, Exit> {
    let text = taken.write(batch_name, &inputs.sources);
    let written = io::Write::write_all(&mut pending, text.as_bytes());
    let file = written.and_then(|()| pending.settle());
    let file = file.map_err(|error| cannot_write(&path, &error))?;
    Ok(Aside { path, file, count: taken.len() })
}

/// Leaves out what pages repeat of faults that the batch has already told with their place in the
/// orders.
pub(super) fn drop_echoes(findings: &mut Vec<Finding>) {
    if findings.iter().any(|finding| finding.is(&rules::EQUAL_TAGS)) {
        findings.retain(|finding| !finding.is(&DUPLICATE_TAG));
    }
}
