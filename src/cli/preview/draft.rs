//! One look at the files: whatever pages can be made of them, and all that is wrong.
//!
//! In: what the seller named. Out: a look for the page, also when hardly anything is as it should be, and
//! the files that it depends on. Not here: waiting for changes (`watch`), showing (`desk`).

use std::collections::BTreeSet;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use super::super::arguments::{
    Diagnostics, InputArguments, OrdersArguments, PageArguments, preview::PreviewArguments,
};
use super::super::disk::Disk;
use super::super::documents::Material;
use super::super::halt::Halt;
use super::super::inputs::{Inputs, OrdersText};
use super::super::open_layout::OpenLayout;
use super::super::prepare::{PreparedBatch, prepare};
use super::super::setup::PrintSetup;
use super::super::steady::without_waiting;
use super::watch::Watch;
use crate::bind::KitContents;
use crate::desk::preview::PreviewLook;
use crate::findings::{Finding, rules};
use crate::fonts::FontBook;
use crate::job::drop_echoes;
use crate::pipeline::{Selection, watch_selection};
use crate::scene::Page;
use crate::shop::PageOrder;
use crate::source::{Env, Sources};
use crate::words::counted;

/// Parcels that are shown. Ours: so many labels are composed in some 30 ms; whoever mends a layout looks
/// at the odd ones, and `check` looks at all.
const SHOWN: usize = 120;

/// How often files that change while they are looked at are looked at before that is shown.
const ATTEMPTS: usize = 3;

/// Orders to look at a layout with, when the seller names none.
const MADE_UP: &str = include_str!("../../../samples/evening.json");

/// What these are called.
const MADE_UP_NAME: &str = "made-up orders";

/// What is looked at.
pub(super) struct Draft {
    /// The orders, the fonts and how a batch is put together.
    input: InputArguments,
    /// The layout and its printer.
    page: PageArguments,
}

/// Files of the disk, noting which were asked for.
struct NotedDisk {
    /// What they are read from.
    disk: Disk,
    /// What was asked for, there or not.
    asked: Mutex<BTreeSet<PathBuf>>,
}

impl Env for NotedDisk {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.asked.lock().unwrap_or_else(PoisonError::into_inner).insert(path.to_owned());
        self.disk.read(path)
    }
}

/// Pages with all that was found on the way to them.
struct Made {
    /// What pages of the preview show.
    look: PreviewLook,
    /// Files other than texts that it depends on.
    files: BTreeSet<PathBuf>,
}

impl Draft {
    /// Begins with what the seller named.
    ///
    /// # Errors
    /// When there is no such layout, no such file, or something else that no change of a file mends.
    pub(super) fn begin(arguments: &PreviewArguments) -> Result<Draft, Halt> {
        if arguments.orders.as_deref() == Some(Path::new("-")) {
            let message = "a preview reads its orders again and again: they must be a file";
            return Err(Halt::usage(message).hint("save them, and name the file"));
        }
        let draft = Draft::of(arguments);
        match draft.make() {
            Err(halt) if halt.findings.iter().any(is_usage) => Err(halt),
            _ => Ok(draft),
        }
    }

    /// What is looked at, in the words of the other commands.
    fn of(arguments: &PreviewArguments) -> Draft {
        let from = OrdersArguments {
            orders: arguments.orders.clone(),
            shop: arguments.shop.clone(),
            batch: arguments.batch.clone(),
        };
        Draft {
            input: InputArguments {
                from,
                fonts: arguments.fonts.clone(),
                date: None,
                threads: None,
                diagnostics: Diagnostics::Full,
            },
            page: PageArguments {
                layout: Some(arguments.layout.clone()),
                start: None,
                printer: arguments.printer.clone(),
                dpi: arguments.dpi,
            },
        }
    }

    /// Looks at the files, and watches them from now on. What changed meanwhile may be half a file, and is
    /// looked at again; but who writes without end must not keep the page waiting.
    pub(super) fn look(&self, watch: &mut Watch) -> PreviewLook {
        let mut look = self.look_once(watch);
        for _ in 1..ATTEMPTS {
            if !watch.is_changed() {
                break;
            }
            look = self.look_once(watch);
        }
        look
    }

    /// Looks at the files once; that they are written is the watch's business.
    fn look_once(&self, watch: &mut Watch) -> PreviewLook {
        watch.note();
        let made = without_waiting(|| self.make())
            .unwrap_or_else(|halt| Made { look: self.stopped(halt), files: BTreeSet::new() });
        let texts = made.look.sources.names().map(PathBuf::from);
        watch.set(self.named().chain(texts).chain(made.files));
        made.look
    }

    /// The files that the seller named.
    fn named(&self) -> impl Iterator<Item = PathBuf> {
        let from = &self.input.from;
        let beside = from.orders.as_deref().map(|orders| orders.with_file_name("shop.yaml"));
        let files = [self.page.layout.clone(), from.orders.clone(), from.shop.clone(), beside];
        files.into_iter().flatten()
    }

    /// A look that something stopped before there were pages.
    fn stopped(&self, halt: Halt) -> PreviewLook {
        self.tell(Vec::new(), FontBook::builtin(), halt.findings, halt.sources)
    }

    /// A look.
    fn tell(
        &self,
        pages: Vec<Page>,
        book: FontBook,
        findings: Vec<Finding>,
        sources: Sources,
    ) -> PreviewLook {
        let name = |path: &Option<PathBuf>| path.as_ref().map(|path| path.display().to_string());
        PreviewLook {
            layout: name(&self.page.layout).unwrap_or_default(),
            orders: name(&self.input.from.orders).unwrap_or_else(|| MADE_UP_NAME.to_owned()),
            pages,
            book: Arc::new(book),
            findings,
            sources,
            remark: None,
        }
    }

    /// Reads the orders: the seller's, or those made up.
    fn read(&self) -> Result<Inputs, Halt> {
        let from = &self.input.from;
        match from.orders {
            Some(_) => Inputs::read(from),
            None => {
                let made_up = OrdersText { name: MADE_UP_NAME, text: MADE_UP.into() };
                Inputs::read_given(made_up, from, self.page.layout.as_deref())
            }
        }
    }

    /// Makes the pages.
    fn make(&self) -> Result<Made, Halt> {
        let mut inputs = self.read()?;
        let mut setup = PrintSetup::read(&self.input, &inputs, None)?;
        let mut open = OpenLayout::of_page(&self.page, &mut inputs, &mut setup)?;
        let mut findings = std::mem::take(&mut inputs.findings);
        findings.append(&mut open.remarks);
        let orders = std::mem::take(&mut inputs.orders.orders);
        let how = self.input.from.batch.to_options();
        let PreparedBatch { batch, findings: found } = prepare(orders, &inputs, &how);
        findings.extend(found);
        let (selection, remark) = select(batch.parcels.len());
        let kit = &KitContents::default();
        let material =
            Material { inputs: &inputs, setup: &setup, batch: &batch, selection: &selection, kit };
        let noted = NotedDisk { disk: material.disk(&open), asked: Mutex::default() };
        let mut between = watch_selection(&batch, &selection);
        let drafted = material.draft(&open, &noted, &mut between)?;
        findings.extend(drafted.findings);
        findings.extend(between.finish());
        drop_echoes(&mut findings);
        let look = self.tell(drafted.pages, setup.book, findings, inputs.sources);
        let files = noted.asked.into_inner().unwrap_or_else(PoisonError::into_inner);
        Ok(Made { look: PreviewLook { remark, ..look }, files })
    }
}

/// The parcels that are shown, and what there is to say when these are not all.
fn select(all: usize) -> (Selection, Option<String>) {
    if all <= SHOWN {
        return (Selection::default(), None);
    }
    let remark = format!("the first {SHOWN} of {} are shown", counted(all, "parcel"));
    (Selection::only(0..SHOWN, PageOrder::Bench), Some(remark))
}

/// Whether a finding is about what the seller typed, not about what stands in a file.
fn is_usage(finding: &Finding) -> bool {
    finding.is(&rules::USAGE) || finding.is(&rules::UNREADABLE)
}
