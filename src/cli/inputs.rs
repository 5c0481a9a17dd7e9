//! Reading what a run needs: orders, shop file, layouts, fonts.

use std::io::Read as _;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

use super::arguments::{BatchArguments, Diagnostics, InputArguments, OrderChoice, PageArguments};
use super::disk::Disk;
use super::steady::read_steadily;
use super::{Exit, report};
use crate::batch::check_split;
use crate::findings::{Finding, did_you_mean, has_errors};
use crate::fonts::{FontBook, read_face_labels};
use crate::geom::DotGrid;
use crate::layout::{Layout, read_layout};
use crate::orders::{Orders, read_orders};
use crate::shipped::{SHIPPED, USUAL_LABEL, find_shipped};
use crate::shop::{PageOrder, Shop};
use crate::source::{Env as _, Sources};
use crate::verify::Proofing;

/// Everything a run reads but its layouts.
pub(super) struct Inputs {
    /// All texts, for messages.
    pub(super) sources: Sources,
    /// The orders.
    pub(super) orders: Orders,
    /// The folder that files named in orders lie in or below.
    pub(super) folder: PathBuf,
    /// The shop file, if there is one.
    pub(super) shop: Option<Shop>,
    /// The folder that files named in the shop file lie in or below.
    pub(super) shop_folder: PathBuf,
    /// The fonts.
    pub(super) book: FontBook,
    /// The printer's dots, if the user says them.
    pub(super) grid: Option<DotGrid>,
    /// The threads, if the user says them.
    pub(super) threads: Option<NonZeroUsize>,
    /// How pages are proven; none when they are not.
    pub(super) proof: Option<Proofing>,
    /// What was found in orders and shop file.
    pub(super) findings: Vec<Finding>,
}

/// What a batch is made from.
pub(super) struct Bench {
    /// All texts, for messages.
    pub(super) sources: Sources,
    /// The orders.
    pub(super) orders: Orders,
    /// The shop file, if there is one.
    pub(super) shop: Option<Shop>,
    /// What was found in both.
    pub(super) findings: Vec<Finding>,
}

/// A layout with the folder its pictures are in.
pub(super) struct OpenLayout {
    /// The layout.
    pub(super) layout: Layout,
    /// Its folder.
    pub(super) folder: PathBuf,
    /// The first free place on its sheet, counted from 1, if the user says it.
    pub(super) first_place: Option<usize>,
    /// What the user calls it.
    name: String,
}

impl OpenLayout {
    /// What the user calls it: the name of a shipped one, or a file.
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// The same layout on a part-used sheet whose first free place the user gives with `option`.
    ///
    /// # Errors
    /// The exit code, once it has been said that the layout has no sheet, or none so large.
    pub(super) fn starting_at(
        mut self,
        place: Option<u32>,
        option: &str,
    ) -> Result<OpenLayout, Exit> {
        let Some(place) = place else { return Ok(self) };
        let name = &self.name;
        let Some(sheet) = &self.layout.sheet else {
            return Err(report::usage(
                &format!("`{option}` is for layouts with a `sheet`, `{name}` has none"),
                Some(format!("leave `{option} {place}` out")),
            ));
        };
        let place = usize::try_from(place).unwrap_or(usize::MAX);
        let places = sheet.places();
        if place > places {
            let hint = match places {
                1 => format!("leave `{option} {place}` out"),
                _ => format!("give `{option}` a number from 1 to {places}"),
            };
            let places = report::counted(places, "place");
            let message = format!("there is no place {place}: the sheet of `{name}` has {places}");
            return Err(report::usage(&message, Some(hint)));
        }
        self.first_place = Some(place);
        Ok(self)
    }
}

impl Inputs {
    /// Sends everything to the printer that the user names, with the dots that the user says.
    ///
    /// # Errors
    /// The exit code, once it has been said that there is no such printer, or that none has such
    /// dots.
    pub(super) fn send_to(&mut self, page: &PageArguments) -> Result<(), Exit> {
        self.grid = read_grid(page.dpi)?;
        choose_printer(self.shop.as_mut(), page.printer.as_deref())
    }

    /// Opens the layout of one document: what the user names, or the shop file, or a shipped one.
    ///
    /// # Errors
    /// The exit code, once what is wrong has been said.
    pub(super) fn open_document(
        &mut self,
        page: &PageArguments,
        diagnostics: Diagnostics,
    ) -> Result<OpenLayout, Exit> {
        let usual = self.usual_label();
        let name = page.layout.as_deref().unwrap_or(&usual);
        open_layout(name, &mut self.sources, diagnostics)?.starting_at(page.start, "--start")
    }

    /// The label's layout, where the user names none.
    pub(super) fn usual_label(&self) -> String {
        let named = self.shop.as_ref().map_or("", |shop| &shop.defaults.layout);
        match named {
            "" => USUAL_LABEL.to_owned(),
            named => self.locate_layout(named),
        }
    }

    /// A layout that the shop file names, as the command finds it: a shipped one by its name, a
    /// file from the shop file's folder.
    pub(super) fn locate_layout(&self, name: &str) -> String {
        let path = self.shop_folder.join(name);
        match find_shipped(name) {
            None if path.is_file() => path.display().to_string(),
            _ => name.to_owned(),
        }
    }

    /// The order that pages come in: what the user says, or the shop file.
    pub(super) fn page_order(&self, said: Option<OrderChoice>) -> PageOrder {
        let usual = || self.shop.as_ref().map_or(PageOrder::Bench, |shop| shop.kit.order);
        said.map_or_else(usual, PageOrder::from)
    }
}

/// Reads orders, shop file and fonts.
///
/// # Errors
/// The exit code, once what is wrong has been said. Faulty orders are no error here: the caller
/// decides whether they stop it.
pub(super) fn read_inputs(
    arguments: &InputArguments,
    proof: Option<Proofing>,
) -> Result<Inputs, Exit> {
    let (path, how) = (arguments.shop.as_deref(), arguments.diagnostics);
    let Bench { sources, orders, shop, findings } =
        read_bench(&arguments.orders, path, &arguments.batch, how)?;
    let beside = shop_beside(&arguments.orders);
    let book = read_fonts(arguments.fonts.as_deref())?;
    let threads = arguments.threads.and_then(|count| NonZeroUsize::new(usize::from(count)));
    let folder = match arguments.orders.as_str() {
        "-" => PathBuf::new(),
        orders => Path::new(orders).parent().map(Path::to_owned).unwrap_or_default(),
    };
    let shop_folder = path.unwrap_or(&beside).parent().map(Path::to_owned).unwrap_or_default();
    Ok(Inputs {
        sources,
        orders,
        folder,
        shop,
        shop_folder,
        book,
        grid: None,
        threads,
        proof,
        findings,
    })
}

/// Reads orders and the shop file, which is all that a batch is made from.
///
/// # Errors
/// As [`read_inputs`].
pub(super) fn read_bench(
    orders: &str,
    shop: Option<&Path>,
    batch: &BatchArguments,
    how: Diagnostics,
) -> Result<Bench, Exit> {
    let mut sources = Sources::new();
    let (name, text) = read_orders_text(orders)?;
    let file = sources.add(name, text);
    let text = sources.get(file).shared_text();
    let beside = shop_beside(orders);
    let orders = read_orders(&text, file);
    let mut findings = orders.findings.clone();
    let shop = read_shop((shop, &beside), &mut sources, &mut findings, how)?;
    refuse_split((batch, how), &orders, shop.as_ref(), &sources)?;
    Ok(Bench { sources, orders, shop, findings })
}

/// Where the shop file is when nobody names it.
fn shop_beside(orders: &str) -> PathBuf {
    match orders {
        "-" => PathBuf::from("shop.yaml"),
        orders => Path::new(orders).with_file_name("shop.yaml"),
    }
}

/// Refuses to split off what shares no parcel. Broken orders are told first: what is split off may
/// be among those that cannot be read.
fn refuse_split(
    (batch, how): (&BatchArguments, Diagnostics),
    orders: &Orders,
    shop: Option<&Shop>,
    sources: &Sources,
) -> Result<(), Exit> {
    let faults = check_split(orders, shop, &batch.to_options().split);
    if faults.is_empty() || orders.is_broken() {
        return Ok(());
    }
    let context = |fault: Finding| {
        let message = format!("`--split`: {}", fault.message);
        Finding { message, ..fault }
    };
    let faults: Vec<Finding> = faults.into_iter().map(context).collect();
    report::show(&faults, sources, how);
    Err(Exit::Usage)
}

/// The orders' text and the name it has in messages.
fn read_orders_text(orders: &str) -> Result<(String, String), Exit> {
    let (name, bytes) = if orders == "-" {
        let mut bytes = Vec::new();
        let read = std::io::stdin().lock().read_to_end(&mut bytes);
        read.map_err(|error| report::cannot_read("standard input", &error))?;
        ("standard input".to_owned(), bytes)
    } else {
        let bytes = read_steadily(Path::new(orders));
        let bytes = bytes.map_err(|error| report::cannot_read(&format!("`{orders}`"), &error))?;
        (orders.to_owned(), bytes)
    };
    let text = String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        report::usage(
            &format!("`{name}` is not UTF-8 text: the byte at {at} belongs to no character"),
            Some("save the orders as UTF-8".into()),
        )
    })?;
    Ok((name, text))
}

/// The dots that the user says, if any.
///
/// # Errors
/// The exit code, once it has been said that no printer has such dots.
pub(super) fn read_grid(dpi: Option<f64>) -> Result<Option<DotGrid>, Exit> {
    let Some(dpi) = dpi else { return Ok(None) };
    DotGrid::from_dpi(dpi).map(Some).ok_or_else(|| {
        report::usage(
            &format!("expected from 50 to 2400 dpi, found {dpi}"),
            Some("common heads have 203, 300 or 600".into()),
        )
    })
}

/// Sends everything to the printer that was asked for by name.
///
/// # Errors
/// The exit code, once it has been said that the shop file has none of this name.
pub(super) fn choose_printer(shop: Option<&mut Shop>, name: Option<&str>) -> Result<(), Exit> {
    let Some(name) = name else { return Ok(()) };
    let Some(shop) = shop else {
        return Err(report::usage(
            &format!("there is no shop file that could have a printer `{name}`"),
            Some("name it with `--shop`, or put `shop.yaml` beside the orders".into()),
        ));
    };
    shop.printers.choose(name).map_err(|(message, hint)| report::usage(&message, hint))
}

/// The shop file that was named, or the one `beside` the orders, or none.
///
/// # Errors
/// The exit code, once what is wrong has been said.
pub(super) fn read_shop(
    (named, beside): (Option<&Path>, &Path),
    sources: &mut Sources,
    findings: &mut Vec<Finding>,
    how: Diagnostics,
) -> Result<Option<Shop>, Exit> {
    let path = match named {
        Some(path) => path.to_owned(),
        None if beside.is_file() => beside.to_owned(),
        None => return Ok(None),
    };
    let text = read_text(&path)?;
    let file = sources.add(path.display().to_string(), text);
    let mut faults = Vec::new();
    let shop = Shop::read(sources.get(file).text(), file, &mut faults);
    let stop = has_errors(&faults);
    findings.extend(faults);
    match shop {
        Some(shop) if !stop => Ok(Some(shop)),
        _ => {
            report::show(findings, sources, how);
            Err(Exit::Usage)
        }
    }
}

/// Opens a shipped layout or a layout file.
///
/// # Errors
/// The exit code, once what is wrong has been said.
pub(super) fn open_layout(
    name: &str,
    sources: &mut Sources,
    diagnostics: Diagnostics,
) -> Result<OpenLayout, Exit> {
    let path = Path::new(name);
    let (file, folder) = if let Some(shipped) = find_shipped(name) {
        (sources.add(format!("{name}.yaml"), shipped.text), PathBuf::from("."))
    } else if path.is_file() || path.components().count() > 1 || path.extension().is_some() {
        let text = read_text(path)?;
        let folder = path.parent().map(Path::to_owned).unwrap_or_default();
        (sources.add(name, text), folder)
    } else {
        let names: Vec<_> = SHIPPED.iter().map(|shipped| shipped.name).collect();
        return Err(report::usage(
            &format!("there is no layout `{name}`"),
            did_you_mean(name, &names),
        ));
    };
    let (layout, faults) = read_layout(sources, file, &Disk, &folder);
    report::show(&faults, sources, diagnostics);
    match layout {
        Some(layout) => Ok(OpenLayout { layout, folder, first_place: None, name: name.to_owned() }),
        None => Err(Exit::Usage),
    }
}

/// A file's text.
fn read_text(path: &Path) -> Result<String, Exit> {
    let name = path.display();
    let bytes =
        Disk.read(path).map_err(|error| report::cannot_read(&format!("`{name}`"), &error))?;
    String::from_utf8(bytes)
        .map_err(|_| report::usage(&format!("`{name}` is not UTF-8 text"), None))
}

/// The built-in fonts and those of a folder, in the order of their file names.
fn read_fonts(folder: Option<&Path>) -> Result<FontBook, Exit> {
    let mut book = FontBook::builtin();
    let Some(folder) = folder else { return Ok(book) };
    let name = format!("`{}`", folder.display());
    let listed = std::fs::read_dir(folder).map_err(|error| report::cannot_read(&name, &error))?;
    let mut files: Vec<PathBuf> = listed.flatten().map(|entry| entry.path()).collect();
    files.retain(|file| {
        let ending = file.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
        matches!(ending.to_lowercase().as_str(), "ttf" | "otf" | "ttc" | "otc")
    });
    files.sort();
    if files.is_empty() {
        return Err(report::usage(&format!("there are no fonts in {name}"), None));
    }
    for file in files {
        add_font(&mut book, &file)?;
    }
    Ok(book)
}

/// Adds the faces of a font file that serve as one of our cuts.
fn add_font(book: &mut FontBook, file: &Path) -> Result<(), Exit> {
    let name = format!("`{}`", file.display());
    let data = Disk.read(file).map_err(|error| report::cannot_read(&name, &error))?;
    let refuse = |error: crate::fonts::FontError| {
        report::usage(&format!("the font {name} cannot be used: {error}"), error.hint())
    };
    for label in read_face_labels(&data).map_err(refuse)? {
        if let Some(cut) = label.cut
            && !label.variable
            && book.family(&label.family).and_then(|family| book.face(family, cut)).is_none()
        {
            book.add_face(&label.family, cut, data.clone(), label.index).map_err(refuse)?;
        }
    }
    Ok(())
}
