//! `slipwright ledger tell-shop`: what went, as a CSV with the shop's own columns.
//!
//! In: the map of its columns. Out: the file, and an entry that the shop was told. The file is there
//! before the entry is: a run that is killed between the two tells the shop twice and never not at all.
//! Not here: columns, encodings and marks (`dispatch`).

use std::cell::Cell;
use std::collections::BTreeSet;
use std::collections::btree_map::{BTreeMap, Entry};
use std::io::Write as _;
use std::path::Path;

use serde_json::json;

use super::super::arguments::ledger::{ActOptions, LedgerOptions, TellShopArguments};
use super::super::disk::read_text;
use super::super::exit::Exit;
use super::super::files::Settled;
use super::super::halt::Halt;
use super::super::inputs::ShopPlace;
use super::super::output::{cannot_write, let_appear, open_output, refuse_same_files, show_path};
use super::super::terminal;
use super::answer::{LedgerAnswer, how_shown};
use super::carrying::read_carried;
use super::news::{news_json, news_words};
use super::open::{Did, OpenLedger};
use super::shop_file::shop_beside;
use crate::dispatch::{DispatchMap, Dispatched, read_dispatch_map, write_dispatches};
use crate::ledger::{Act, BenchLine, Carried, LedgerEntry, OrderNews, Sent, SentOrders};
use crate::source::Sources;
use crate::verify::ProofTally;
use crate::words::counted;

/// Writes the table that the shop's import reads, and enters that it was told.
pub(super) fn run(options: &LedgerOptions, arguments: &TellShopArguments) -> Result<Exit, Halt> {
    let inputs = [("the map", &*arguments.map), ("the ledger", &*options.ledger)];
    refuse_same_files(Vec::from(inputs), [("`-o`", &*arguments.output)])?;
    let mut sources = Sources::new();
    let map = read_map(&arguments.map, options, &mut sources)?;
    let mut open = OpenLedger::open(options)?;
    let which = choose(&open, arguments)?;
    let carried = read_all_carried(&open, options, arguments, &which)?;
    let telling = ShopTelling { map, sources, output: &arguments.output };
    let mut appeared = None;
    let did = open.act("tell-shop", &arguments.act, |act| {
        let rows = read_rows(act, &which, &carried)?;
        if rows.is_empty() {
            return Ok(rows);
        }
        let file = telling.write(&rows)?;
        act.exported(rows.iter().map(|row| row.order.clone()).collect())?;
        if !arguments.act.dry_run {
            appeared = Some(let_appear(vec![file])?);
        }
        Ok(rows)
    });
    let did = did.inspect_err(|_| {
        // What could not be entered was not told.
        if let Some(appeared) = appeared.take() {
            appeared.take_back();
        }
    })?;
    let rows = match did {
        Did::Now(rows) | Did::Rehearsed(rows) => rows,
        Did::Before(entries) => telling.repeat(&mut open, options, arguments, &entries)?,
    };
    answer(&open, options, arguments, &telling.map, &rows)
}

/// What is to be told, and where to.
struct ShopTelling<'a> {
    /// What columns the shop's import has.
    map: DispatchMap,
    /// Its text.
    sources: Sources,
    /// Where the file goes.
    output: &'a Path,
}

impl ShopTelling<'_> {
    /// Makes the file, which is yet to appear.
    fn write(&self, rows: &[Dispatched]) -> Result<Settled, Halt> {
        let mut found = Vec::new();
        let Some(bytes) = write_dispatches(&self.map, rows, &mut found) else {
            let halt = Halt::found(found, ProofTally::default(), &self.sources);
            return Err(halt.saying("nothing was written, and the shop counts as not told"));
        };
        self.refuse_to_replace(&bytes)?;
        let wrong = |error: std::io::Error| cannot_write(self.output, &error);
        let mut pending = open_output(self.output)?;
        pending.write_all(&bytes).map_err(wrong)?;
        pending.settle().map_err(wrong)
    }

    /// Refuses to write over a table that says something else: what stands in it counts as told, and the shop
    /// may not have read it yet.
    fn refuse_to_replace(&self, bytes: &[u8]) -> Result<(), Halt> {
        let path = self.output;
        let known = std::fs::metadata(path).ok().filter(|it| it.is_file() && it.len() > 0);
        if known.is_none()
            || path == Path::new("-")
            || std::fs::read(path).is_ok_and(|it| it == bytes)
        {
            return Ok(());
        }
        let halt = Halt::usage(format!("there is a table in {} already", show_path(path)))
            .hint("let the shop read it and move it away, or name another file");
        Err(halt.saying("nothing was written, and nothing is entered"))
    }

    /// Makes the file of a request once more that was done before.
    fn repeat(
        &self,
        open: &mut OpenLedger,
        options: &LedgerOptions,
        arguments: &TellShopArguments,
        entries: &[LedgerEntry],
    ) -> Result<Vec<Dispatched>, Halt> {
        let told: BTreeSet<Box<str>> =
            entries.iter().flat_map(|entry| entry.event.orders()).cloned().collect();
        let looking = ActOptions {
            at: arguments.act.at,
            request: None,
            dry_run: true,
            asks: Cell::default(),
        };
        let which = Which::Named(told);
        let carried = read_all_carried(open, options, arguments, &which)?;
        let did = open.act("tell-shop", &looking, |act| read_rows(act, &which, &carried))?;
        let (Did::Now(rows) | Did::Rehearsed(rows)) = did else { return Ok(Vec::new()) };
        if !rows.is_empty() {
            let_appear(vec![self.write(&rows)?])?;
        }
        Ok(rows)
    }
}

/// Reads the map; what there is to say of it is shown.
fn read_map(
    path: &Path,
    options: &LedgerOptions,
    sources: &mut Sources,
) -> Result<DispatchMap, Halt> {
    let file = sources.add(path.display().to_string(), read_text(path)?);
    let mut found = Vec::new();
    match read_dispatch_map(sources.get(file).text(), file, &mut found) {
        Some(map) => {
            terminal::show(&found, sources, how_shown(options));
            Ok(map)
        }
        None => Err(Halt::unusable(found, sources)),
    }
}

/// Which orders the shop is told of.
enum Which {
    /// Those that it was not told of.
    Untold,
    /// Those of a sitting that it was not told of.
    UntoldOf(u32),
    /// All of a sitting.
    AllOf(u32),
    /// Those of these ids.
    Named(BTreeSet<Box<str>>),
}

/// Which orders the arguments ask for.
fn choose(open: &OpenLedger, arguments: &TellShopArguments) -> Result<Which, Halt> {
    match (arguments.again, arguments.sitting) {
        (false, None) => Ok(Which::Untold),
        (false, Some(sitting)) => Ok(Which::UntoldOf(sitting)),
        (true, Some(sitting)) => Ok(Which::AllOf(sitting)),
        (true, None) => match open.ledger.sittings()?.first() {
            Some(newest) => Ok(Which::AllOf(newest.sitting)),
            None => Err(Halt::usage("there was no sitting yet of which the shop could be told")
                .hint("leave `--again` out")),
        },
    }
}

impl Which {
    /// The question to the ledger.
    fn question(&self) -> SentOrders {
        match self {
            Which::Untold => SentOrders::Untold,
            Which::UntoldOf(sitting) | Which::AllOf(sitting) => SentOrders::OfSitting(*sitting),
            Which::Named(_) => SentOrders::All,
        }
    }

    /// Leaves out what the ledger's answer has too much.
    fn choose_from(&self, sent: &mut Vec<Sent>) {
        match self {
            Which::UntoldOf(_) => sent.retain(|order| order.told.is_none()),
            Which::Named(ids) => sent.retain(|order| ids.contains(&order.order)),
            Which::Untold | Which::AllOf(_) => {}
        }
    }
}

/// What stands on the papers of the parcels that are told of, by sitting and number. Of orders that
/// were forgotten the entries alone can tell.
fn read_all_carried(
    open: &OpenLedger,
    options: &LedgerOptions,
    arguments: &TellShopArguments,
    which: &Which,
) -> Result<BTreeMap<(u32, u32), Carried>, Halt> {
    let mut sent = open.ledger.sent(which.question())?;
    which.choose_from(&mut sent);
    let sittings: BTreeSet<u32> = sent.iter().map(|order| order.sitting).collect();
    let beside = shop_beside(options);
    let mut carried = BTreeMap::new();
    for sitting in sittings {
        let shop = ShopPlace { named: arguments.shop.shop.as_deref(), beside: &beside };
        let of_line = read_carried(open, open.ledger.line(sitting)?, shop)?;
        carried.extend(of_line.into_iter().map(|(number, how)| ((sitting, number), how)));
    }
    Ok(carried)
}

/// What the shop is told of, a row an order.
fn read_rows(
    act: &Act<'_>,
    which: &Which,
    carried: &BTreeMap<(u32, u32), Carried>,
) -> Result<Vec<Dispatched>, Halt> {
    if let Which::UntoldOf(sitting) | Which::AllOf(sitting) = which {
        // A sitting that there is not is a slip, and not one without parcels.
        act.line(*sitting)?;
    }
    let mut sent = act.sent(which.question())?;
    which.choose_from(&mut sent);
    let mut lines: BTreeMap<u32, BenchLine> = BTreeMap::new();
    let mut rows = Vec::new();
    for order in &sent {
        let line = match lines.entry(order.sitting) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(free) => free.insert(act.line(order.sitting)?),
        };
        let on_paper = carried.get(&(order.sitting, order.number));
        rows.push(describe(order, line, on_paper));
    }
    Ok(rows)
}

/// An order that went, as the shop may be told of it: as it was handed over; where an older entry does not
/// say so, by its parcel's papers, or, where those cannot be made any more, by what was noted at the bench.
fn describe(sent: &Sent, line: &BenchLine, on_paper: Option<&Carried>) -> Dispatched {
    let parcel = line.parcel(sent.number);
    let facts = parcel.map(|parcel| parcel.facts.clone()).unwrap_or_default();
    let noted = Carried {
        service: facts.service.unwrap_or_default(),
        extras: facts.extras.unwrap_or_default(),
        pack: facts.pack.unwrap_or_default(),
        weight_g: facts.weight_g,
        postage: None,
    };
    let as_it_went = parcel.and_then(|parcel| parcel.carried.as_deref());
    let carried = as_it_went.or(on_paper).unwrap_or(&noted);
    Dispatched {
        order: sent.order.clone(),
        tracking: sent.tracking.clone(),
        service: carried.service.clone(),
        extras: carried.extras.clone(),
        pack: carried.pack.clone(),
        weight_g: carried.weight_g,
        date: sent.at.date().into(),
        time: sent.at.clock().into(),
        tag: parcel.map(|parcel| parcel.tag.clone()).unwrap_or_default(),
        sitting: line.name.clone(),
        number: sent.number,
    }
}

/// Says what the shop was told; beside a file that goes to standard output it is said on the other
/// channel.
fn answer(
    open: &OpenLedger,
    options: &LedgerOptions,
    arguments: &TellShopArguments,
    map: &DispatchMap,
    rows: &[Dispatched],
) -> Result<Exit, Halt> {
    let dry_run = arguments.act.dry_run;
    let mut lines = Vec::new();
    lines.push(match (rows.len(), dry_run) {
        (0, _) => "the shop knows of all that went".to_owned(),
        (count, true) => format!("the shop would be told of {}", counted(count, "order")),
        (count, false) => {
            let file = match arguments.output == Path::new("-") {
                true => String::new(),
                false => format!(", in {}", show_path(&arguments.output)),
            };
            format!("the shop is told of {}{file}", counted(count, "order"))
        }
    });
    let bare: Vec<&str> = rows
        .iter()
        .filter(|row| map.tells_tracking() && row.tracking.is_empty())
        .map(|row| &*row.order)
        .collect();
    if !bare.is_empty() {
        lines.push(format!("without a tracking number: {}", bare.join(", ")));
    }
    let told_wrongly: Vec<OrderNews> =
        open.ledger.news()?.into_iter().filter(|news| news.told.is_some()).collect();
    for news in &told_wrongly {
        lines.push(news_words(open, news)?);
    }
    if arguments.output == Path::new("-") && !dry_run && !rows.is_empty() {
        lines.iter().for_each(|line| terminal::say(line));
        return Ok(Exit::Done);
    }
    let mut answer = LedgerAnswer::of_act("tell-shop", options, &arguments.act);
    lines.iter().for_each(|line| answer.line(line));
    let orders = rows.iter().map(|row| json!({"id": row.order, "tracking": row.tracking}));
    answer.put("told", orders.collect::<Vec<_>>());
    answer.put("news", told_wrongly.iter().map(news_json).collect::<Vec<_>>());
    answer.show()?;
    Ok(Exit::Done)
}
