//! Reading what a batch is made from: the orders and the shop file.
//!
//! Not here: layouts (`open_layout`), and what pages are made with (`setup`).

use std::io::Read as _;
use std::path::{Path, PathBuf};

use super::arguments::{OrderChoice, OrdersArguments};
use super::disk::{Disk, read_text};
use super::exit::Exit;
use super::halt::Halt;
use super::output::show_path;
use super::steady::read_steadily;
use super::without::leave_out;
use crate::batch::check_split;
use crate::findings::{Finding, has_errors};
use crate::kit::KitOrigin;
use crate::orders::{Orders, read_orders};
use crate::shipped::{USUAL_LABEL, find_shipped};
use crate::shop::{PageOrder, Shop};
use crate::source::{FileId, SharedText, Sources, confine};

/// What a batch is made from.
pub(super) struct Inputs {
    /// All texts, for messages.
    pub(super) sources: Sources,
    /// The text of the orders among the sources.
    pub(super) orders_file: FileId,
    /// Those without errors, and what is known of the others.
    pub(super) orders: Orders,
    /// The folder that files named in orders lie in or below.
    pub(super) folder: PathBuf,
    /// The text of the shop file among the sources, if there is one.
    pub(super) shop_file: Option<FileId>,
    /// The shop file, if there is one.
    pub(super) shop: Option<Shop>,
    /// The folder that files named in the shop file lie in or below.
    pub(super) shop_folder: PathBuf,
    /// What was found in both.
    pub(super) findings: Vec<Finding>,
}

impl Inputs {
    /// Reads orders and the shop file.
    ///
    /// # Errors
    /// When one of them cannot be read. Faulty orders are no error here: the caller decides whether
    /// they stop it.
    pub(super) fn read(from: &OrdersArguments) -> Result<Inputs, Halt> {
        let orders = from.orders();
        let beside = shop_beside(orders);
        let place = ShopPlace { named: from.shop.as_deref(), beside: &beside };
        let mut inputs = Inputs::read_files(orders, place, &from.batch.without)?;
        if orders != Path::new("-") {
            inputs.folder = folder_of(orders);
        }
        inputs.shop_folder = folder_of(from.shop.as_deref().unwrap_or(&beside));
        inputs.refuse_split(&from.batch.to_options().split)?;
        Ok(inputs)
    }

    /// Reads orders, `without` some of them, and a shop file; files that they name are looked for in
    /// the working folder.
    ///
    /// # Errors
    /// As [`Inputs::read`].
    pub(super) fn read_files(
        orders: &Path,
        place: ShopPlace<'_>,
        without: &[String],
    ) -> Result<Inputs, Halt> {
        let (name, text) = read_orders_text(orders)?;
        Inputs::read_text(OrdersText { name: &name, text: text.into() }, place, without)
    }

    /// Reads orders that are in no file, with the shop file that the user names or that lies beside the
    /// `layout`, if it is one.
    ///
    /// # Errors
    /// As [`Inputs::read`].
    #[cfg(feature = "desk")]
    pub(super) fn read_given(
        orders: OrdersText<'_>,
        from: &OrdersArguments,
        layout: Option<&Path>,
    ) -> Result<Inputs, Halt> {
        let beside = layout.unwrap_or(Path::new("")).with_file_name("shop.yaml");
        let place = ShopPlace { named: from.shop.as_deref(), beside: &beside };
        let mut inputs = Inputs::read_text(orders, place, &from.batch.without)?;
        inputs.shop_folder = folder_of(from.shop.as_deref().unwrap_or(&beside));
        inputs.refuse_split(&from.batch.to_options().split)?;
        Ok(inputs)
    }

    /// Reads the text of orders, `without` some of them, and a shop file.
    fn read_text(
        given: OrdersText<'_>,
        place: ShopPlace<'_>,
        without: &[String],
    ) -> Result<Inputs, Halt> {
        let mut sources = Sources::new();
        let orders_file = sources.add(given.name, given.text);
        let text = sources.get(orders_file).shared_text();
        let mut orders = read_orders(&text, orders_file);
        let left_out = leave_out(without, &mut orders)?;
        let mut findings = orders.findings.clone();
        findings.extend(left_out);
        let (folder, shop_folder) = (PathBuf::new(), PathBuf::new());
        let read = read_shop(place, &mut sources, &mut findings)?;
        let (shop_file, shop) = read.map(|read| (read.file, read.shop)).unzip();
        Ok(Inputs { sources, orders_file, orders, folder, shop_file, shop, shop_folder, findings })
    }

    /// Refuses to split off what shares no parcel. Broken orders are told first: what is split off
    /// may be among those that cannot be read.
    fn refuse_split(&self, split: &[Box<str>]) -> Result<(), Halt> {
        let faults = check_split(&self.orders, self.shop.as_ref(), split);
        if faults.is_empty() || self.orders.is_broken() {
            return Ok(());
        }
        let context = |fault: Finding| {
            let message = format!("`--split`: {}", fault.message);
            Finding { message, ..fault }
        };
        Err(Halt::unusable(faults.into_iter().map(context).collect(), &self.sources))
    }

    /// Where they came from, as a kit remembers it.
    pub(super) fn origin(&self) -> KitOrigin {
        let shop_folder = self.shop_file.map(|_| self.shop_folder.display().to_string());
        KitOrigin { orders_folder: self.folder.display().to_string(), shop_folder }
    }

    /// How a run ends that only looks at these orders, and has found this.
    pub(super) fn exit_after(&self, findings: &[Finding]) -> Exit {
        match has_errors(findings) {
            true if self.orders.is_broken() => Exit::Usage,
            true => Exit::Findings,
            false => Exit::Done,
        }
    }

    /// The label's layout, where the user names none.
    ///
    /// # Errors
    /// As [`Inputs::locate_layout`].
    pub(super) fn usual_label(&self) -> Result<PathBuf, Halt> {
        let named = self.shop.as_ref().map_or("", |shop| &shop.defaults.layout);
        match named {
            "" => Ok(USUAL_LABEL.into()),
            named => self.locate_layout(named),
        }
    }

    /// A layout that the shop file names, as the command finds it: a shipped one by its name, a
    /// file in the shop file's folder or below.
    ///
    /// # Errors
    /// When it lies outside that folder.
    pub(super) fn locate_layout(&self, name: &str) -> Result<PathBuf, Halt> {
        if find_shipped(name).is_some() {
            return Ok(name.into());
        }
        let outside = |message: String| Halt::usage(message).hint("put it beside the shop file");
        let Some(path) = confine(&self.shop_folder, name) else {
            let message = format!("the layout `{name}` lies outside the shop file's folder");
            return Err(outside(message));
        };
        if !path.is_file() {
            return Ok(name.into());
        }
        match Disk::within([&*self.shop_folder]).refuse_outside(&path) {
            Ok(()) => Ok(path),
            Err(_) => Err(outside(format!(
                "the layout `{name}` is a link that leads out of the shop file's folder"
            ))),
        }
    }

    /// The order that pages come in: what the user says, or the shop file.
    pub(super) fn page_order(&self, said: Option<OrderChoice>) -> PageOrder {
        let usual = || self.shop.as_ref().map_or(PageOrder::Bench, |shop| shop.kit.order);
        said.map_or_else(usual, PageOrder::from)
    }
}

/// An orders file that has been read, with what messages call it.
pub(super) struct OrdersText<'a> {
    /// What messages call them.
    pub(super) name: &'a str,
    /// What is read; shared, because orders are places in it.
    pub(super) text: SharedText,
}

/// The folder that a file lies in; empty for the one that is open.
pub(super) fn folder_of(file: &Path) -> PathBuf {
    file.parent().map(Path::to_owned).unwrap_or_default()
}

/// Where the shop file is when nobody names it.
fn shop_beside(orders: &Path) -> PathBuf {
    match orders.to_str() {
        Some("-") => PathBuf::from("shop.yaml"),
        _ => orders.with_file_name("shop.yaml"),
    }
}

/// The orders' text and the name it has in messages.
///
/// # Errors
/// When it cannot be read or is no text.
pub(super) fn read_orders_text(orders: &Path) -> Result<(String, String), Halt> {
    let (name, bytes) = if orders == Path::new("-") {
        let mut bytes = Vec::new();
        let read = std::io::stdin().lock().read_to_end(&mut bytes);
        read.map_err(|error| Halt::unreadable("standard input", &error))?;
        ("standard input".to_owned(), bytes)
    } else {
        let bytes = read_steadily(orders);
        let bytes = bytes.map_err(|error| Halt::unreadable(&show_path(orders), &error))?;
        (orders.display().to_string(), bytes)
    };
    let text = String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let message =
            format!("`{name}` is not UTF-8 text: the byte at {at} belongs to no character");
        Halt::usage(message).hint("save the orders as UTF-8")
    })?;
    Ok((name, text))
}

/// Where a shop file is looked for.
#[derive(Clone, Copy)]
pub(super) struct ShopPlace<'a> {
    /// The file that the user names; it has to be there.
    pub(super) named: Option<&'a Path>,
    /// The file that is read when it is there and none is named.
    pub(super) beside: &'a Path,
}

/// A shop file that was read.
pub(super) struct ReadShop {
    /// Its text among the sources.
    pub(super) file: FileId,
    /// What it says.
    pub(super) shop: Shop,
}

/// Reads the shop file; what is found in it joins the `findings`.
///
/// # Errors
/// When it cannot be read or has errors.
pub(super) fn read_shop(
    place: ShopPlace<'_>,
    sources: &mut Sources,
    findings: &mut Vec<Finding>,
) -> Result<Option<ReadShop>, Halt> {
    let path = match place.named {
        Some(path) => path,
        None if place.beside.is_file() => {
            refuse_link(place.beside)?;
            place.beside
        }
        None => return Ok(None),
    };
    let text = read_text(path)?;
    let file = sources.add(path.display().to_string(), text);
    let mut faults = Vec::new();
    let shop = Shop::read(sources.get(file).text(), file, &mut faults);
    let is_faulty = has_errors(&faults);
    findings.extend(faults);
    match shop {
        Some(shop) if !is_faulty => Ok(Some(ReadShop { file, shop })),
        _ => Err(Halt::unusable(std::mem::take(findings), sources)),
    }
}

/// Refuses a shop file that nobody named and that lies elsewhere: it may have come with the orders.
fn refuse_link(beside: &Path) -> Result<(), Halt> {
    let outside = Disk::within([&*folder_of(beside)]).refuse_outside(beside);
    outside.map_err(|_| {
        let shown = format!("`{}`", beside.display());
        Halt::usage(format!("{shown} is a link that leads out of the folder of the orders"))
            .hint(format!("name it: `--shop {}`", beside.display()))
    })
}

/// Sends everything to the printer that was asked for by name.
///
/// # Errors
/// When the shop file has none of this name.
pub(super) fn choose_printer(shop: Option<&mut Shop>, name: Option<&str>) -> Result<(), Halt> {
    let Some(name) = name else { return Ok(()) };
    let Some(shop) = shop else {
        let message = format!("there is no shop file that could have a printer `{name}`");
        let hint = "name it with `--shop`, or put `shop.yaml` beside the orders";
        return Err(Halt::usage(message).hint(hint));
    };
    shop.printers.choose(name).map_err(|(message, hint)| Halt::usage(message).hint_if(hint))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::arguments::BatchArguments;

    /// Reads orders and a shop file from texts.
    fn read(orders: &str, shop: Option<&str>, split: &[&str]) -> Result<Inputs, Halt> {
        let folder = tempfile::tempdir().unwrap();
        let place = |name: &str| folder.path().join(name);
        std::fs::write(place("orders.json"), orders).unwrap();
        if let Some(shop) = shop {
            std::fs::write(place("shop.yaml"), shop).unwrap();
        }
        let split = split.iter().map(|&id| id.to_owned()).collect();
        Inputs::read(&OrdersArguments {
            orders: Some(place("orders.json")),
            shop: None,
            batch: BatchArguments { combine: true, split, without: Vec::new(), fix_tags: false },
        })
    }

    /// An order that has nothing wrong with it.
    const ORDER: &str = r#"[{"id": "TH-1", "items": [{"title": "Nib"}],
        "ship_to": {"name": "Ada Marlow", "lines": ["1 Quay"], "city": "Ellenport",
                    "postcode": "EP1 2AB", "country": "GB"}}]"#;

    #[test]
    fn a_faulty_shop_file_halts_with_all_that_was_found_before() {
        let halt = read(r#"[{"id": 7.5}]"#, Some("printerz: []"), &[]).err().unwrap();
        assert_eq!(halt.exit, Exit::Usage);
        let rules: Vec<_> = halt.findings.iter().map(|found| found.rule.name).collect();
        assert!(rules.contains(&"wrong-value") && rules.contains(&"unknown-field"), "{rules:?}");
        // It can be shown: the texts go with it.
        let last = halt.findings.last().unwrap();
        assert_eq!(halt.sources.position(last.span.unwrap()).line, 1);
    }

    #[test]
    fn what_shares_no_parcel_cannot_be_split_off() {
        let halt = read(ORDER, None, &["TH-1"]).err();
        let said = halt.map(|halt| halt.findings[0].message.clone()).unwrap_or_default();
        assert!(said.starts_with("`--split`: "), "{said}");
    }

    #[test]
    fn orders_that_are_not_there_are_usage() {
        let from = OrdersArguments {
            orders: Some("no/such/orders.json".into()),
            shop: None,
            batch: BatchArguments {
                combine: false,
                split: Vec::new(),
                without: Vec::new(),
                fix_tags: false,
            },
        };
        let halt = Inputs::read(&from).err().unwrap();
        assert_eq!(halt.exit, Exit::Usage);
        assert!(halt.findings[0].message.starts_with("`no/such/orders.json` could not be read: "));
    }
}
