//! Reading what a job is made from.
//!
//! In: a job's texts. Out: its batch and its layout, with what was found; or all that is wrong with
//! any of the texts. Not here: pages.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::{LayoutOf, PrintJob, Report};
#[cfg(feature = "command")]
use crate::batch::LineUp;
use crate::batch::{Batch, BatchOptions, inspect_addresses};
use crate::findings::{Finding, rules};
use crate::layout::{Layout, read_layout};
use crate::orders::{Order, locate_field, read_orders};
use crate::shipped::{USUAL_LABEL, find_shipped, nearest_shipped};
use crate::shop::Shop;
use crate::source::{Sources, describe_failure};

/// A job that has been read.
pub(super) struct Prepared {
    /// The parcels.
    pub(super) batch: Batch,
    /// Who sends, if that was said.
    pub(super) shop: Option<Shop>,
    /// What the parcels are printed in.
    pub(super) layout: Layout,
    /// The folder that files named in the layout lie in or below.
    pub(super) folder: PathBuf,
    /// What was found so far.
    pub(super) report: Report,
}

/// Reads a job.
///
/// # Errors
/// Everything that is wrong with its orders, its shop file and its layout.
pub(super) fn prepare(job: &PrintJob<'_>) -> Result<Prepared, Report> {
    let mut report = Report::default();
    let mut found = Vec::new();
    let file = report.sources.add("orders.json", job.orders.clone());
    let orders = read_orders(report.sources.get(file).shared_text(), file);
    found.extend(orders.findings);
    let shop = job.shop.as_ref().and_then(|text| {
        let file = report.sources.add("shop.yaml", text.clone());
        Shop::read(report.sources.get(file).text(), file, &mut found)
    });
    let layout = open_layout(job, shop.as_ref(), &mut report.sources, &mut found);
    report = report.with(found);
    let (Some((layout, folder)), false) = (layout, report.has_errors()) else {
        return Err(report);
    };
    let name = orders.batch_name.as_deref();
    let (batch, found) =
        assemble_batch(name, orders.orders, shop.as_ref(), &job.how, &report.sources);
    Ok(Prepared { batch, shop, layout, folder, report: report.with(found) })
}

/// Makes parcels of orders, and says all that there is to say of them; findings about a field of an
/// order get the place of that field.
pub(crate) fn assemble_batch(
    name: Option<&str>,
    orders: Vec<Order>,
    shop: Option<&Shop>,
    how: &BatchOptions,
    sources: &Sources,
) -> (Batch, Vec<Finding>) {
    let mut findings = Vec::new();
    let batch = Batch::assemble(name, orders, shop, how.clone(), &mut findings);
    finish_findings(&batch, &mut findings, sources);
    (batch, findings)
}

/// Makes a batch of a line, as [`assemble_batch`] does of orders.
#[cfg(feature = "command")]
pub(crate) fn assemble_line(
    line: LineUp,
    shop: Option<&Shop>,
    sources: &Sources,
) -> (Batch, Vec<Finding>) {
    let mut findings = Vec::new();
    let batch = Batch::of_line(line, shop, &mut findings);
    finish_findings(&batch, &mut findings, sources);
    (batch, findings)
}

/// Adds what there is to say of addresses, and gives findings the places of their fields.
fn finish_findings(batch: &Batch, findings: &mut Vec<Finding>, sources: &Sources) {
    findings.extend(inspect_addresses(batch));
    for finding in findings {
        let field = finding.span.zip(finding.path.as_deref());
        let place = field.and_then(|(order, path)| locate_field(sources, order, path));
        finding.span = place.or(finding.span);
    }
}

/// Reads the layout of a job, and says which folder its files lie in; what is wrong goes to `found`.
fn open_layout(
    job: &PrintJob<'_>,
    shop: Option<&Shop>,
    sources: &mut Sources,
    found: &mut Vec<Finding>,
) -> Option<(Layout, PathBuf)> {
    let named = shop.map(|shop| &*shop.defaults.layout).filter(|name| !name.is_empty());
    let name = match &job.layout {
        LayoutOf::Named(name) => name,
        LayoutOf::Usual => named.unwrap_or(USUAL_LABEL),
        LayoutOf::Text(_) => "layout.yaml",
    };
    let path = Path::new(name);
    let file = match (&job.layout, find_shipped(name)) {
        (LayoutOf::Text(text), _) => sources.add(name, text.clone()),
        (_, Some(shipped)) => sources.add(format!("{name}.yaml"), shipped.text),
        (_, None) => match read_text(job, path) {
            Ok(text) => sources.add(name, text),
            Err(fault) => {
                found.push(fault);
                return None;
            }
        },
    };
    let folder = path.parent().map(Path::to_owned).unwrap_or_default();
    let (layout, faults) = read_layout(sources, file, job.files, &folder);
    found.extend(faults);
    layout.map(|layout| (layout, folder))
}

/// The text of a layout that is no shipped one.
fn read_text(job: &PrintJob<'_>, path: &Path) -> Result<String, Finding> {
    let name = path.display();
    let bytes = job.files.read(path).map_err(|error| {
        let message = match error.kind() {
            ErrorKind::NotFound => format!("there is no layout `{name}`"),
            _ => format!("the layout `{name}` cannot be read: {}", describe_failure(&error)),
        };
        Finding::new(&rules::UNREADABLE, message).hint_if(nearest_shipped(&name.to_string()))
    })?;
    String::from_utf8(bytes)
        .map_err(|_| Finding::new(&rules::UNREADABLE, format!("`{name}` is not UTF-8 text")))
}
