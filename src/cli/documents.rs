//! One document of a batch, made but not there yet.
//!
//! In: what was read, a batch, and a [`DocumentJob`]. Out: files that are complete under temporary
//! names, with what was found on their pages. Not here: which documents there are, and when they appear.

mod beside;

use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use super::arguments::Format;
use super::disk::Disk;
use super::files::{Pending, Settled, number_path};
use super::halt::Halt;
use super::inputs::Inputs;
use super::open_layout::OpenLayout;
use super::output::{ProgressBar, cannot_write, open_output, show_path, to_io};
use super::setup::PrintSetup;
use crate::batch::Batch;
use crate::bind::KitContents;
use crate::compose::PictureStore;
use crate::draft::WORD as DRAFT;
use crate::export::{
    EncodedPage, PWG_START, PdfEncoder, PdfWriter, PwgOptions, SvgOptions, encode_pwg_page,
    render_png, render_svg,
};
use crate::findings::{Finding, rules};
use crate::job::{name_fields, pdf_options};
use crate::pipeline::{
    BatchCheck, Document, Outcome, ParcelDigest, Run, Selection, watch_selection,
};
use crate::scene::Page;
#[cfg(feature = "desk")]
use crate::source::Env;
use crate::words::counted;

pub(super) use beside::dots_of;
use beside::{DotsBeside, draw_page};

/// A document to be made.
pub(super) struct DocumentJob {
    /// What its pages are made in.
    pub(super) open: OpenLayout,
    /// Where it goes.
    pub(super) path: PathBuf,
    /// The format that it is written in, by option or by its name's ending.
    pub(super) format: Format,
    /// What it is called, where that is more than what its layout makes.
    pub(super) title: Option<&'static str>,
    /// Whether digests of its parcels' pages are made.
    pub(super) makes_digests: bool,
    /// Whether it is a draft: printed whatever is wrong, and struck.
    pub(super) is_draft: bool,
    /// Whether its dots are kept beside a PDF where its printer's queue wants them.
    pub(super) keeps_dots: bool,
}

/// A document that is made but not there yet.
pub(super) struct MadeDocument {
    /// Its files; none when something on its pages is wrong.
    files: Vec<Settled>,
    /// What was found.
    pub(super) outcome: Outcome,
    /// The place that is next on its sheet, counted from 1, if it has one.
    pub(super) next_place: Option<usize>,
    /// Pages of an earlier print that lie among its own, for it has fewer.
    older: Vec<PathBuf>,
}

impl MadeDocument {
    /// Its files, which only have to appear.
    pub(super) fn take_files(&mut self) -> Vec<Settled> {
        std::mem::take(&mut self.files)
    }

    /// How many pages it has and where, in words.
    pub(super) fn describe(&self) -> Option<String> {
        let first = self.files.first()?.said();
        let pages = counted(self.outcome.pages, "page");
        let more = if self.files.len() > 1 { " and on" } else { "" };
        let older = match &self.older[..] {
            [] => String::new(),
            [only] => format!("; {} is of an earlier print", show_path(only)),
            [first, rest @ ..] => {
                format!("; {} and {} more are of an earlier print", show_path(first), rest.len())
            }
        };
        Some(format!("{pages} in {}{more}{older}", show_path(first)))
    }
}

/// A document to be looked at.
#[cfg(feature = "desk")]
pub(super) struct DraftedDocument {
    /// Its pages, whatever is wrong with them.
    pub(super) pages: Vec<Page>,
    /// What was found.
    pub(super) findings: Vec<Finding>,
}

/// What documents are made of.
pub(super) struct Material<'a> {
    /// What was read.
    pub(super) inputs: &'a Inputs,
    /// What pages are made with.
    pub(super) setup: &'a PrintSetup,
    /// The parcels.
    pub(super) batch: &'a Batch,
    /// Which of them are printed, and in what order.
    pub(super) selection: &'a Selection,
    /// What else is in the kit.
    pub(super) kit: &'a KitContents,
}

/// What the pages of a document come to.
pub(super) struct DigestedDocument {
    /// A digest for each parcel whose pages can be made.
    pub(super) digests: Vec<ParcelDigest>,
    /// What keeps pages from being printed.
    pub(super) errors: Vec<Finding>,
}

impl Material<'_> {
    /// Composes and checks a document without writing it.
    ///
    /// # Errors
    /// When the layout itself cannot be used.
    pub(super) fn dry_run(
        &self,
        open: &OpenLayout,
        watch: &mut BatchCheck,
    ) -> Result<MadeDocument, Halt> {
        let disk = self.disk(open);
        let pictures = self.pictures(open, &disk);
        let document = self.document(open, &pictures);
        let run = self.start(&document, open)?.with_advice();
        let outcome = run.make(watch, |_| (), |()| Ok(()), |_| {});
        let mut outcome = outcome.map_err(|error| Halt::unwritten("nothing", &error))?;
        self.name_fields(&mut outcome);
        Ok(MadeDocument {
            files: Vec::new(),
            outcome,
            next_place: run.next_place(),
            older: Vec::new(),
        })
    }

    /// Composes a document only to tell whether its pages print as they did, and what keeps them from
    /// being printed; whatever else is found on them is found again then.
    ///
    /// # Errors
    /// When the layout itself cannot be used.
    pub(super) fn digest(&self, open: &OpenLayout) -> Result<DigestedDocument, Halt> {
        let disk = self.disk(open);
        let pictures = self.pictures(open, &disk);
        let document = Document { proof: None, ..self.document(open, &pictures) };
        let run = self.start(&document, open)?.with_digests();
        let mut unwatched = watch_selection(self.batch, self.selection);
        let outcome = run.make(&mut unwatched, |_| (), |()| Ok(()), |_| {});
        let mut outcome = outcome.map_err(|error| Halt::unwritten("nothing", &error))?;
        self.name_fields(&mut outcome);
        let errors = outcome.findings.into_iter().filter(Finding::is_error).collect();
        Ok(DigestedDocument { digests: outcome.digests, errors })
    }

    /// Makes a document.
    ///
    /// # Errors
    /// When the layout itself cannot be used or the output cannot be written.
    pub(super) fn make(
        &self,
        job: &DocumentJob,
        watch: &mut BatchCheck,
    ) -> Result<MadeDocument, Halt> {
        let open = &job.open;
        let disk = self.disk(open);
        let pictures = self.pictures(open, &disk);
        let pictures = match job.format {
            Format::Pdf => pictures,
            Format::Svg | Format::Png => pictures.for_dots(),
            Format::Pwg => {
                self.refuse_colour(open)?;
                pictures.for_dots().in_black()
            }
        };
        let document = self.document(open, &pictures);
        let run = self.start(&document, open)?;
        let run = if job.makes_digests { run.with_digests() } else { run };
        let run = if job.is_draft { run.striking() } else { run };
        let bar = ProgressBar::new(run.step_count());
        let progress = |done: usize| bar.show(done);
        let book = &self.setup.book;
        let mut made = match job.format {
            Format::Pdf => self.make_pdf(&run, watch, job, progress),
            Format::Svg => {
                let finish =
                    |page: &Page| Ok(render_svg(page, book, &SvgOptions::default()).into_bytes());
                make_files(&run, watch, &job.path, finish, progress)
            }
            Format::Png => {
                let finish = |page: &Page| render_png(page, book);
                make_files(&run, watch, &job.path, finish, progress)
            }
            Format::Pwg => self.make_pwg(&run, watch, job, progress),
        }?;
        drop(bar);
        self.name_fields(&mut made.outcome);
        Ok(made)
    }

    /// Refuses to write a layout in colour as dots of one bit.
    fn refuse_colour(&self, open: &OpenLayout) -> Result<(), Halt> {
        let Some(first) = open.layout.colours.first() else { return Ok(()) };
        let message = format!("a PWG file has black alone: `{}` would be black", first.name);
        let finding = Finding::new(&rules::COLOUR_LOST, message)
            .at(first.span)
            .hint("write a PDF, or take `ink` and `ground` out");
        Err(Halt::unusable(vec![finding], &self.inputs.sources))
    }

    /// Composes a document to be looked at: pages with errors too, and all advice.
    ///
    /// # Errors
    /// When the layout itself cannot be used.
    #[cfg(feature = "desk")]
    pub(super) fn draft(
        &self,
        open: &OpenLayout,
        files: &dyn Env,
        watch: &mut BatchCheck,
    ) -> Result<DraftedDocument, Halt> {
        let pictures = PictureStore::new(files, open.folder.clone());
        let pictures = pictures.with_orders_in(&self.inputs.folder).for_dots();
        let document = self.document(open, &pictures);
        let run = self.start(&document, open)?.with_advice().drafting();
        let mut pages = Vec::new();
        let take = |page: Page| {
            pages.push(page);
            Ok(())
        };
        let outcome = run.make(watch, Page::clone, take, |_| {});
        let mut outcome = outcome.map_err(|error| Halt::unwritten("nothing", &error))?;
        self.name_fields(&mut outcome);
        Ok(DraftedDocument { pages, findings: outcome.findings })
    }

    /// Names the fields of orders that findings of pages are about, where that can be told.
    fn name_fields(&self, outcome: &mut Outcome) {
        let (book, sources) = (&self.setup.book, &self.inputs.sources);
        name_fields(&mut outcome.findings, self.batch, book, sources);
    }

    /// The files that a layout and the orders may name.
    pub(super) fn disk(&self, open: &OpenLayout) -> Disk {
        Disk::within([&*open.folder, &self.inputs.folder])
    }

    /// The pictures that a layout and the orders name.
    fn pictures<'d>(&self, open: &OpenLayout, disk: &'d Disk) -> PictureStore<'d> {
        PictureStore::new(disk, open.folder.clone()).with_orders_in(&self.inputs.folder)
    }

    /// What a document is made from.
    fn document<'a>(
        &'a self,
        open: &'a OpenLayout,
        pictures: &'a PictureStore<'a>,
    ) -> Document<'a> {
        Document {
            batch: self.batch,
            shop: open.shop.as_ref().or(self.inputs.shop.as_ref()),
            layout: &open.layout,
            book: &self.setup.book,
            pictures,
            grid: self.setup.grid,
            threads: self.setup.threads,
            proof: self.setup.proof,
            selection: self.selection.clone(),
            kit: self.kit.clone(),
            date: self.setup.date,
        }
    }

    /// Prepares a run.
    fn start<'a>(&self, document: &'a Document<'a>, open: &OpenLayout) -> Result<Run<'a>, Halt> {
        let run = Run::new(document).and_then(|run| match open.first_place {
            Some(place) => run.starting_at(place),
            None => Ok(run),
        });
        run.map_err(|fault| Halt::unusable(vec![fault], &self.inputs.sources))
    }

    /// Makes a PDF, streamed to its temporary file.
    fn make_pdf(
        &self,
        run: &Run<'_>,
        watch: &mut BatchCheck,
        job: &DocumentJob,
        progress: impl Fn(usize),
    ) -> Result<MadeDocument, Halt> {
        let wrong = |error: io::Error| cannot_write(&job.path, &error);
        let pending = open_output(&job.path)?;
        let kind = job.title.unwrap_or(job.open.layout.makes.word());
        let mut options = pdf_options(run, self.inputs.shop.as_ref(), kind);
        if job.is_draft {
            options.title = options.title.map(|title| format!("{DRAFT}: {title}"));
        }
        let book = &self.setup.book;
        let mut writer = PdfWriter::new(pending, book, &options).map_err(|it| wrong(to_io(it)))?;
        let encoder = PdfEncoder::new(book, &options);
        let wants_dots = job.keeps_dots && run.printer().wants_dots();
        let mut dots = match wants_dots {
            true => Some(DotsBeside::begin(&job.path).map_err(wrong)?),
            false => None,
        };
        let turn = PwgOptions { turn: run.turn_edge() };
        let finish = |page: &Page| {
            let drawn = wants_dots.then(|| draw_page(page, book, &turn));
            (encoder.encode_page(page), drawn)
        };
        let take = |(page, drawn): (EncodedPage, Option<io::Result<Option<Vec<u8>>>>)| {
            if let (Some(dots), Some(drawn)) = (&mut dots, drawn) {
                dots.push(drawn?)?;
            }
            writer.push(page).map_err(to_io)
        };
        let outcome = run.make(watch, finish, take, progress).map_err(wrong)?;
        // A document that is not good is thrown away; it may not even have a page.
        if is_thrown_away(&outcome, job) {
            return Ok(MadeDocument {
                files: Vec::new(),
                outcome,
                next_place: None,
                older: Vec::new(),
            });
        }
        let pending = writer.finish().map_err(to_io).and_then(Pending::settle);
        let mut files = vec![pending.map_err(wrong)?];
        if let Some(dots) = dots {
            files.extend(dots.settle().map_err(wrong)?);
        }
        Ok(MadeDocument { files, outcome, next_place: run.next_place(), older: Vec::new() })
    }

    /// Makes a PWG Raster file, streamed like a PDF.
    fn make_pwg(
        &self,
        run: &Run<'_>,
        watch: &mut BatchCheck,
        job: &DocumentJob,
        progress: impl Fn(usize),
    ) -> Result<MadeDocument, Halt> {
        let wrong = |error: io::Error| cannot_write(&job.path, &error);
        let mut pending = open_output(&job.path)?;
        pending.write_all(&PWG_START).map_err(wrong)?;
        let (book, options) = (&self.setup.book, PwgOptions { turn: run.turn_edge() });
        let finish = |page: &Page| encode_pwg_page(page, book, &options);
        let take = |page: io::Result<Vec<u8>>| pending.write_all(&page?);
        let outcome = run.make(watch, finish, take, progress).map_err(wrong)?;
        if is_thrown_away(&outcome, job) {
            return Ok(MadeDocument {
                files: Vec::new(),
                outcome,
                next_place: None,
                older: Vec::new(),
            });
        }
        let files = vec![pending.settle().map_err(wrong)?];
        Ok(MadeDocument { files, outcome, next_place: run.next_place(), older: Vec::new() })
    }
}

/// Whether a document is not to be used: it is not good, and no draft with pages.
fn is_thrown_away(outcome: &Outcome, job: &DocumentJob) -> bool {
    outcome.failed && (!job.is_draft || outcome.pages == 0)
}

/// Writes each page into a file of its own; to standard output goes only one.
fn make_files(
    run: &Run<'_>,
    watch: &mut BatchCheck,
    path: &Path,
    finish: impl Fn(&Page) -> io::Result<Vec<u8>> + Sync,
    progress: impl Fn(usize),
) -> Result<MadeDocument, Halt> {
    let wrong = |error: io::Error| cannot_write(path, &error);
    let mut made: Vec<Settled> = Vec::new();
    let take = |bytes: io::Result<Vec<u8>>| {
        let mut pending = Pending::create(path)?;
        pending.write_all(&bytes?)?;
        made.push(pending.settle()?);
        Ok(())
    };
    let outcome = run.make(watch, finish, take, progress).map_err(wrong)?;
    let count = made.len();
    if count > 1 && path == Path::new("-") {
        let message = format!("{count} pages cannot go to standard output as one file each");
        return Err(Halt::usage(message).hint("name a file with `-o`, or make a PDF"));
    }
    for (index, file) in made.iter_mut().enumerate() {
        file.rename(number_path(path, index + 1, count));
    }
    let older = find_older(path, &made);
    Ok(MadeDocument { files: made, outcome, next_place: run.next_place(), older })
}

/// Files named like pages of a document that are none of these, in the order of their names.
fn find_older(path: &Path, made: &[Settled]) -> Vec<PathBuf> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let Ok(beside) = fs::read_dir(folder.unwrap_or(Path::new("."))) else { return Vec::new() };
    let names = beside.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path.extension().map(|ending| format!(".{}", ending.to_string_lossy()));
    let is_page = |name: &str| {
        let inner =
            name.strip_prefix(&*stem)?.strip_suffix(ending.as_deref().unwrap_or_default())?;
        let number = inner.strip_prefix('-').filter(|number| !number.is_empty())?;
        Some(number.bytes().all(|c| c.is_ascii_digit()))
    };
    let pages =
        names.filter(|name| is_page(name) == Some(true)).map(|name| path.with_file_name(name));
    let mut older: Vec<PathBuf> =
        pages.filter(|page| made.iter().all(|file| file.said() != page)).collect();
    older.sort();
    older
}
