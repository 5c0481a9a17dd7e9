//! `slipwright render`: orders to one document, and to the matching bench cards.
//!
//! A batch is all or nothing. With `--set-aside` the parcels that have errors are taken out, the
//! rest is numbered anew and printed, and the orders taken out are written as they came.

use std::collections::HashSet;
use std::io;
use std::path::{Path, PathBuf};

use super::arguments::{BatchArguments, Format, RenderArguments};
use super::disk::Disk;
use super::files::{Pending, Settled, number_path};
use super::inputs::{Inputs, OpenLayout, open_layout, read_inputs};
use super::output::{
    cannot_write, choose_format, format_of, is_same_file, open_output, progress_bar,
    reading_distance, show_path, to_io,
};
use super::{Exit, report};
use crate::batch::{Batch, inspect_addresses};
use crate::compose::PictureStore;
use crate::diag::{Diagnostic, has_errors};
use crate::export::{
    Duplex, PdfEncoder, PdfOptions, PdfWriter, SvgOptions, render_png, render_svg,
};
use crate::layout::TurnEdge;
use crate::orders::{Order, locate_field, write_aside};
use crate::pipeline::{BatchWatch, Document, Outcome, Run, watch_batch};
use crate::scene::Page;
use crate::source::Span;
use crate::verify::ProofTally;

/// Renders orders.
pub(super) fn run(arguments: &RenderArguments) -> Exit {
    match Rendering::new(arguments).and_then(|mut rendering| rendering.render()) {
        Ok(exit) | Err(exit) => exit,
    }
}

/// A batch with what was found while it was made.
pub(super) struct Prepared {
    /// The batch.
    pub(super) batch: Batch,
    /// What was found.
    pub(super) findings: Vec<Diagnostic>,
}

/// Makes the batch of some orders.
pub(super) fn prepare(
    name: Option<&str>,
    orders: Vec<Order>,
    inputs: &Inputs,
    how: &BatchArguments,
) -> Prepared {
    let mut findings = Vec::new();
    let shop = inputs.shop.as_ref();
    let batch = Batch::assemble(name, orders, shop, how.to_options(), &mut findings);
    for finding in &mut findings {
        let is_fixable = ["equal-tags", "confusable-tags"].contains(&finding.rule);
        if let Some(hint) = finding.hints.first_mut().filter(|_| is_fixable) {
            hint.push_str("; `--fix-tags` does it");
        }
    }
    for finding in inspect_addresses(&batch) {
        let field = finding.span.zip(finding.path.as_deref());
        let place = field.and_then(|(order, path)| locate_field(&inputs.sources, order, path));
        findings.push(Diagnostic { span: place.or(finding.span), ..finding });
    }
    Prepared { batch, findings }
}

/// Composes and checks a document without writing it; also tells the place that is next on its
/// sheet, if it has one.
///
/// # Errors
/// The exit code, when the layout itself cannot be used.
pub(super) fn dry_run(
    inputs: &Inputs,
    batch: &Batch,
    open: &OpenLayout,
) -> Result<(Outcome, Option<usize>), Exit> {
    let pictures = PictureStore::new(&Disk, open.folder.clone()).with_orders_in(&inputs.folder);
    let document = document(inputs, batch, open, &pictures);
    let run = start(&document, inputs, open)?;
    let mut watch = watch_batch(batch);
    let outcome = run.make(&mut watch, |_| (), |()| Ok(()), |_| {});
    let outcome = outcome.map_err(|error| report::cannot_write("nothing", &error))?;
    Ok((outcome, run.next_place()))
}

/// What a document is made from.
fn document<'a>(
    inputs: &'a Inputs,
    batch: &'a Batch,
    open: &'a OpenLayout,
    pictures: &'a PictureStore<'a>,
) -> Document<'a> {
    Document {
        batch,
        shop: inputs.shop.as_ref(),
        layout: &open.layout,
        book: &inputs.book,
        pictures,
        grid: inputs.grid,
        threads: inputs.threads,
        proof: inputs.proof,
    }
}

/// Prepares a run, or says why the layout cannot be used.
fn start<'a>(
    document: &'a Document<'a>,
    inputs: &Inputs,
    open: &OpenLayout,
) -> Result<Run<'a>, Exit> {
    let run = Run::new(document).and_then(|run| match open.first_place {
        Some(place) => run.starting_at(place),
        None => Ok(run),
    });
    run.map_err(|fault| {
        let style = crate::diag::Style::Full;
        report::say(&crate::diag::render(&fault, &inputs.sources, style));
        Exit::Usage
    })
}

/// One run of the command.
struct Rendering<'a> {
    /// What the user asked for.
    arguments: &'a RenderArguments,
    /// What was read.
    inputs: Inputs,
    /// The layout of the document.
    main: OpenLayout,
    /// The layout of the cards.
    cards: Option<OpenLayout>,
    /// The document's format.
    format: Format,
}

/// Outputs that are made but not there yet.
#[derive(Default)]
struct Outputs {
    /// The files.
    pending: Vec<(PathBuf, Settled)>,
}

/// One document that is made but not there yet.
struct MadeDocument {
    /// Its files.
    outputs: Outputs,
    /// What was found.
    outcome: Outcome,
    /// The place that is next on its sheet, counted from 1, if it has one.
    next_place: Option<usize>,
}

impl<'a> Rendering<'a> {
    /// Reads everything.
    fn new(arguments: &'a RenderArguments) -> Result<Rendering<'a>, Exit> {
        let format = choose_format(arguments.format, &arguments.output)?;
        refuse_shared_files(arguments)?;
        let mut inputs = read_inputs(&arguments.input)?;
        let how = arguments.input.diagnostics;
        let main = open_layout(&arguments.input.layout, &mut inputs.sources, how)?
            .starting_at(arguments.input.start, "--start")?;
        let cards = match arguments.cards {
            Some(_) => Some(
                open_layout(&arguments.card_layout, &mut inputs.sources, how)?
                    .starting_at(arguments.card_start, "--card-start")?,
            ),
            None => None,
        };
        Ok(Rendering { arguments, inputs, main, cards, format })
    }

    /// Makes everything and lets it appear, or says why not.
    fn render(&mut self) -> Result<Exit, Exit> {
        let aside = match &self.arguments.set_aside {
            Some(path) => Some((path.clone(), open_output(path)?)),
            None => None,
        };
        let mut orders = std::mem::take(&mut self.inputs.orders);
        let mut findings = std::mem::take(&mut self.inputs.findings);
        let mut set_aside: Vec<Span> = Vec::new();
        if has_errors(&findings) {
            if orders.is_broken() {
                self.stop(&findings, &ProofTally::default());
                return Ok(Exit::Usage);
            }
            if aside.is_none() || orders.orders.is_empty() {
                return Ok(self.stop(&findings, &ProofTally::default()));
            }
            set_aside.extend(orders.bad.iter().map(|bad| bad.span));
        }
        let (made, proof) = loop {
            // They are needed again only to take the faulty ones out.
            let these = match aside {
                Some(_) => orders.orders.clone(),
                None => std::mem::take(&mut orders.orders),
            };
            let name = orders.batch_name.as_deref();
            let prepared = prepare(name, these, &self.inputs, &self.arguments.input.batch);
            let (mut made, mut cards) = self.make(&prepared.batch)?;
            let mut proof = std::mem::take(&mut made.outcome.proof);
            if let Some(cards) = &mut cards {
                proof.add(std::mem::take(&mut cards.outcome.proof));
            }
            let mut new = prepared.findings;
            new.extend(made.outcome.findings.iter().cloned());
            new.extend(cards.iter().flat_map(|cards| cards.outcome.findings.iter().cloned()));
            drop_echoes(&mut new);
            let faulty = faulty_orders(&prepared.batch, &made, cards.as_ref(), &new);
            let stop = has_errors(&new);
            findings.extend(new);
            if !stop {
                break ((made, cards, prepared.batch.parcels.len()), proof);
            }
            if aside.is_none() || faulty.is_empty() {
                return Ok(self.stop(&findings, &proof));
            }
            let (bad, good): (Vec<Order>, Vec<Order>) =
                orders.orders.drain(..).partition(|order| faulty.contains(&order.span));
            set_aside.extend(bad.iter().map(|order| order.span));
            orders.orders = good;
            if orders.orders.is_empty() {
                return Ok(self.stop(&findings, &proof));
            }
        };
        let (main, cards, parcels) = made;
        let how = self.arguments.input.diagnostics;
        report::show_proven(&findings, &proof, &self.inputs.sources, how);
        // Set aside in the order they came, whatever it was that stopped them.
        set_aside.sort_by_key(|span| span.start);
        let aside = aside.map(|(path, pending)| {
            let text = self.orders_text(&set_aside);
            (path, pending, write_aside(orders.batch_name.as_deref(), &set_aside, &text))
        });
        let proof = self.inputs.proof.is_some().then(|| proof.summary());
        self.commit(main, cards, (parcels, proof), aside, set_aside.len())
    }

    /// Shows what stopped it.
    fn stop(&self, findings: &[Diagnostic], proof: &ProofTally) -> Exit {
        let how = self.arguments.input.diagnostics;
        report::show_proven(findings, proof, &self.inputs.sources, how);
        let counted = report::count_findings(findings);
        report::say(&format!("nothing was written: {counted}\n"));
        Exit::Findings
    }

    /// Makes the document and the cards of a batch.
    fn make(&self, batch: &Batch) -> Result<(MadeDocument, Option<MadeDocument>), Exit> {
        let arguments = self.arguments;
        let mut watch = watch_batch(batch);
        let mut main =
            self.make_document(batch, &mut watch, &self.main, (&arguments.output, self.format))?;
        let cards = match (&self.cards, &arguments.cards) {
            (Some(layout), Some(path)) => {
                let format = format_of(path).unwrap_or(Format::Pdf);
                Some(self.make_document(batch, &mut watch, layout, (path, format))?)
            }
            _ => None,
        };
        main.outcome.findings.extend(watch.finish());
        Ok((main, cards))
    }

    /// Makes one document.
    fn make_document(
        &self,
        batch: &Batch,
        watch: &mut BatchWatch,
        open: &OpenLayout,
        (path, format): (&Path, Format),
    ) -> Result<MadeDocument, Exit> {
        let pictures = PictureStore::new(&Disk, open.folder.clone());
        let pictures = pictures.with_orders_in(&self.inputs.folder);
        let pictures = if format == Format::Pdf { pictures } else { pictures.for_dots() };
        let document = document(&self.inputs, batch, open, &pictures);
        let run = start(&document, &self.inputs, open)?;
        let bar = progress_bar(run.step_count());
        let progress = |done: usize| bar.set_position(done as u64);
        let made = match format {
            Format::Pdf => self.make_pdf((&run, watch), path, open, progress)?,
            Format::Svg => {
                let finish = |page: &Page| {
                    Ok(render_svg(page, &self.inputs.book, &SvgOptions::default()).into_bytes())
                };
                make_files((&run, watch), path, finish, progress)?
            }
            Format::Png => {
                let finish = |page: &Page| render_png(page, &self.inputs.book);
                make_files((&run, watch), path, finish, progress)?
            }
        };
        bar.finish_and_clear();
        Ok(made)
    }

    /// Makes a PDF, streamed to its temporary file.
    fn make_pdf(
        &self,
        (run, watch): (&Run<'_>, &mut BatchWatch),
        path: &Path,
        open: &OpenLayout,
        progress: impl Fn(usize),
    ) -> Result<MadeDocument, Exit> {
        let wrong = |error: io::Error| cannot_write(path, &error);
        let pending = open_output(path)?;
        let options = PdfOptions {
            title: Some(self.document_title(open)),
            author: self.inputs.shop.as_ref().map(|shop| shop.name.to_string()),
            language: open.layout.language.clone(),
            // A printer left at both sides would put one parcel's page behind another's.
            duplex: Some(match run.turn_edge() {
                None => Duplex::OneSided,
                Some(TurnEdge::Long) => Duplex::LongEdge,
                Some(TurnEdge::Short) => Duplex::ShortEdge,
            }),
            ..PdfOptions::default()
        };
        let book = &self.inputs.book;
        let mut writer = PdfWriter::new(pending, book, &options).map_err(|it| wrong(to_io(it)))?;
        let encoder = PdfEncoder::new(book, &options);
        let finish = |page: &Page| encoder.encode_page(page);
        let take = |page| writer.push(page).map_err(to_io);
        let outcome = run.make(watch, finish, take, progress).map_err(wrong)?;
        // A document that is not good is thrown away; it may not even have a page.
        if outcome.failed {
            return Ok(MadeDocument { outputs: Outputs::default(), outcome, next_place: None });
        }
        let pending = writer.finish().map_err(to_io).and_then(Pending::settle);
        let outputs = Outputs { pending: vec![(path.to_owned(), pending.map_err(wrong)?)] };
        Ok(MadeDocument { outputs, outcome, next_place: run.next_place() })
    }

    /// The text of the file that some places lie in.
    fn orders_text(&self, spans: &[Span]) -> String {
        let file = spans.first().map(|span| span.file);
        file.map_or_else(String::new, |file| self.inputs.sources.get(file).text().to_owned())
    }

    /// What a document is called in a viewer's title bar.
    fn document_title(&self, open: &OpenLayout) -> String {
        let kind = open.layout.makes.word();
        match &self.inputs.shop {
            Some(shop) => format!("{}: {kind}", shop.name),
            None => kind.to_owned(),
        }
    }

    /// Lets everything appear.
    fn commit(
        &self,
        main: MadeDocument,
        cards: Option<MadeDocument>,
        (parcels, proof): (usize, Option<String>),
        aside: Option<(PathBuf, Pending, String)>,
        set_aside: usize,
    ) -> Result<Exit, Exit> {
        let reach = main.outcome.tag_capitals;
        let next = [
            (main.next_place, "sheet"),
            (cards.as_ref().and_then(|cards| cards.next_place), "card sheet"),
        ];
        let mut written = Vec::new();
        for made in [Some(main), cards].into_iter().flatten() {
            let files = made.outputs.pending.len();
            let first = made.outputs.pending.first().map(|(path, _)| path.clone());
            for (path, pending) in made.outputs.pending {
                pending.commit().map_err(|error| cannot_write(&path, &error))?;
            }
            if let Some(first) = first {
                let pages = made.outcome.pages;
                let noun = if pages == 1 { "page" } else { "pages" };
                let more = if files > 1 { " and on" } else { "" };
                written.push(format!("{pages} {noun} in {}{more}", show_path(&first)));
            }
        }
        let noun = if parcels == 1 { "parcel" } else { "parcels" };
        report::say(&format!("{parcels} {noun}: {}\n", written.join(", ")));
        for (next, sheet) in next {
            report::say_next_place(next, sheet);
        }
        if let Some(capitals) = reach {
            report::say(&format!(
                "every tag can be read from {:.1} m\n",
                reading_distance(capitals)
            ));
        }
        if let Some(proof) = proof {
            report::say(&format!("{proof}\n"));
        }
        match aside {
            // Written even when it is empty: an old file of that name would be packed again.
            Some((path, mut pending, text)) => {
                let written = io::Write::write_all(&mut pending, text.as_bytes());
                let written = written.and_then(|()| pending.settle()).and_then(Settled::commit);
                written.map_err(|error| cannot_write(&path, &error))?;
                let noun = if set_aside == 1 { "order was" } else { "orders were" };
                report::say(&format!("{set_aside} {noun} set aside in {}\n", show_path(&path)));
                Ok(if set_aside > 0 { Exit::Findings } else { Exit::Done })
            }
            None => Ok(Exit::Done),
        }
    }
}

/// Leaves out what pages repeat of faults that the batch has already told with their place in the
/// orders.
pub(super) fn drop_echoes(findings: &mut Vec<Diagnostic>) {
    if findings.iter().any(|finding| finding.rule == "equal-tags") {
        findings.retain(|finding| finding.rule != "duplicate-tag");
    }
}

/// The places of the orders in parcels that have errors.
fn faulty_orders(
    batch: &Batch,
    main: &MadeDocument,
    cards: Option<&MadeDocument>,
    findings: &[Diagnostic],
) -> HashSet<Span> {
    let of_cards = cards.iter().flat_map(|cards| cards.outcome.faulty.iter());
    let mut parcels: HashSet<usize> = main.outcome.faulty.iter().chain(of_cards).copied().collect();
    // What the batch itself found names its parcels by their orders.
    let named: HashSet<&str> = findings
        .iter()
        .filter(|finding| finding.is_error())
        .filter_map(|finding| Some(finding.subject.as_ref()?.order.as_str()))
        .collect();
    for (index, parcel) in batch.parcels.iter().enumerate() {
        if named.contains(parcel.order_ids().as_str()) {
            parcels.insert(index);
        }
    }
    let parcels = batch.parcels.iter().enumerate().filter(|(index, _)| parcels.contains(index));
    parcels.flat_map(|(_, parcel)| parcel.orders.iter().map(|order| order.span)).collect()
}

/// Refuses outputs that would replace an input or each other: one of the two would be lost.
fn refuse_shared_files(arguments: &RenderArguments) -> Result<(), Exit> {
    let input = &arguments.input;
    let mut files: Vec<(&str, PathBuf)> = vec![("the orders", PathBuf::from(&input.orders))];
    files.extend(input.shop.iter().map(|path| ("the shop file", path.clone())));
    files.push(("the layout", PathBuf::from(&input.layout)));
    files.push(("the layout of the cards", PathBuf::from(&arguments.card_layout)));
    let outputs = [
        Some(("`-o`", &arguments.output)),
        arguments.cards.as_ref().map(|path| ("`--cards`", path)),
        arguments.set_aside.as_ref().map(|path| ("`--set-aside`", path)),
    ];
    for (name, path) in outputs.into_iter().flatten() {
        let same = files.iter().find(|(_, other)| is_same_file(path, other));
        if let Some((other, _)) = same {
            let message = format!("{name} names the same file as {other}: {}", show_path(path));
            return Err(report::usage(&message, Some("name another file".into())));
        }
        files.push((name, path.clone()));
    }
    Ok(())
}

/// Makes one file a page.
fn make_files(
    (run, watch): (&Run<'_>, &mut BatchWatch),
    path: &Path,
    finish: impl Fn(&Page) -> io::Result<Vec<u8>> + Sync,
    progress: impl Fn(usize),
) -> Result<MadeDocument, Exit> {
    let wrong = |error: io::Error| cannot_write(path, &error);
    let mut made: Vec<Settled> = Vec::new();
    let take = |bytes: io::Result<Vec<u8>>| {
        let mut pending = Pending::create(path)?;
        io::Write::write_all(&mut pending, &bytes?)?;
        made.push(pending.settle()?);
        Ok(())
    };
    let outcome = run.make(watch, finish, take, progress).map_err(wrong)?;
    let count = made.len();
    if count > 1 && path == Path::new("-") {
        return Err(report::usage(
            &format!("{count} pages cannot go to standard output as one file each"),
            Some("name a file with `-o`, or make a PDF".into()),
        ));
    }
    let mut outputs = Outputs::default();
    for (index, mut pending) in made.into_iter().enumerate() {
        let path = number_path(path, index + 1, count);
        pending.rename(path.clone());
        outputs.pending.push((path, pending));
    }
    Ok(MadeDocument { outputs, outcome, next_place: run.next_place() })
}
