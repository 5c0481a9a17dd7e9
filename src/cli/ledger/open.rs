//! The ledger that a command works on, and how it enters something.

use std::fs::{self, File};
use std::io;
use std::path::Path;

use super::super::arguments::ledger::{ActOptions, LedgerOptions};
use super::super::clock::now;
use super::super::files::parent_of;
use super::super::halt::Halt;
use super::super::output::cannot_write;
use super::super::scratch::{Scratch, sweep};
use super::refusal::cannot_open;
use crate::ledger::{
    Act, ActStamp, BenchLine, Done, Ledger, LedgerEntry, LedgerError, Moment, OrderNow, Request,
};

/// What a verb works on: a ledger of the disk, or one that is only imagined.
pub(super) struct OpenLedger {
    /// The file, open for reading and writing.
    pub(super) ledger: Ledger,
    /// The folder of a ledger that is only imagined, which goes with it.
    _imagined: Option<Scratch>,
}

/// What came of something that was to be entered.
pub(super) enum Did<T> {
    /// It was entered.
    Now(T),
    /// It was only looked at what would come of it.
    Rehearsed(T),
    /// The same request had been done before; its entries.
    Before(Vec<LedgerEntry>),
}

impl OpenLedger {
    /// Opens the ledger that there is.
    ///
    /// # Errors
    /// When there is none, or it cannot be used.
    pub(super) fn open(options: &LedgerOptions) -> Result<OpenLedger, Halt> {
        let path: &Path = &options.ledger;
        let ledger = Ledger::open(path).map_err(|error| cannot_open(path, &error))?;
        Ok(OpenLedger { ledger, _imagined: None })
    }

    /// Opens the ledger, or makes it where there is none.
    ///
    /// # Errors
    /// When it cannot be made or used.
    pub(super) fn open_or_create(options: &LedgerOptions) -> Result<OpenLedger, Halt> {
        if let Err(LedgerError::Missing) = Ledger::open(&options.ledger) {
            // Another station may be quicker, and then its ledger is the one.
            make_ledger(&options.ledger, |_| Ok(()))?;
        }
        OpenLedger::open(options)
    }

    /// Opens the ledger for a dry run; where there is none, an empty one that nobody keeps.
    ///
    /// # Errors
    /// When the ledger cannot be used.
    pub(super) fn open_or_imagine(options: &LedgerOptions) -> Result<OpenLedger, Halt> {
        if options.ledger.exists() {
            return OpenLedger::open(options);
        }
        let folder = Scratch::new(&std::env::temp_dir())
            .map_err(|error| Halt::unwritten("a temporary folder", &error))?;
        let path = folder.new_name();
        let ledger = Ledger::create(&path).map_err(|error| cannot_open(&path, &error))?;
        Ok(OpenLedger { ledger, _imagined: Some(folder) })
    }

    /// Enters something, wholly or not at all; a dry run only looks at what would come of it.
    ///
    /// # Errors
    /// What `what` says; and when the same request was something else before.
    pub(super) fn act<T>(
        &mut self,
        verb: &str,
        options: &ActOptions,
        what: impl FnOnce(&mut Act<'_>) -> Result<T, Halt>,
    ) -> Result<Did<T>, Halt> {
        let stamp = stamp_of(verb, options);
        if options.dry_run {
            return self.ledger.rehearse(&stamp, what).map(Did::Rehearsed);
        }
        match self.ledger.act(&stamp, what)? {
            Done::Now(done) => Ok(Did::Now(done)),
            Done::Before(entries) => {
                let is_same = entries.iter().all(|entry| entry.by == stamp.by);
                match (is_same, stamp.request) {
                    (false, Some(request)) => Err(LedgerError::RequestUsed(request.name).into()),
                    _ => Ok(Did::Before(entries)),
                }
            }
        }
    }

    /// The line of the open sitting; none when all are closed.
    ///
    /// # Errors
    /// Those of the ledger.
    pub(super) fn open_line(&self) -> Result<Option<BenchLine>, Halt> {
        match self.ledger.open_sitting()? {
            Some(sitting) => Ok(Some(self.ledger.line(sitting)?)),
            None => Ok(None),
        }
    }

    /// The line of the open sitting.
    ///
    /// # Errors
    /// When none is open.
    pub(super) fn expect_line(&self) -> Result<BenchLine, Halt> {
        self.open_line()?.ok_or_else(|| LedgerError::NoSitting(None).into())
    }

    /// The sitting that is asked for: the one that was named, else the open one, else the newest; none
    /// where there is none.
    ///
    /// # Errors
    /// Those of the ledger.
    pub(super) fn sitting_or_newest(&self, named: Option<u32>) -> Result<Option<u32>, Halt> {
        match named.or(self.ledger.open_sitting()?) {
            Some(sitting) => Ok(Some(sitting)),
            None => Ok(self.ledger.sittings()?.first().map(|newest| newest.sitting)),
        }
    }

    /// What an order says, as JSON; empty when it was forgotten.
    ///
    /// # Errors
    /// Those of the ledger.
    pub(super) fn text_of(&self, order: &OrderNow) -> Result<String, Halt> {
        Ok(self.ledger.order_json(&order.id)?.unwrap_or_default())
    }
}

/// Makes a ledger and fills it in a hidden folder, and lets it appear whole: one that is only begun would
/// look to another station like one whose contents are lost, and so would what a killed run leaves. Gives
/// nothing when there is a file by then.
///
/// # Errors
/// When it cannot be made, or not be filled.
pub(super) fn make_ledger<T>(
    path: &Path,
    fill: impl FnOnce(&mut Ledger) -> Result<T, Halt>,
) -> Result<Option<T>, Halt> {
    let wrong = |error: io::Error| cannot_write(path, &error);
    let folder = parent_of(path);
    sweep(folder);
    let scratch = Scratch::new(folder).map_err(wrong)?;
    let made = scratch.new_name();
    let mut ledger = Ledger::create(&made).map_err(|error| cannot_open(path, &error))?;
    let filled = fill(&mut ledger)?;
    // Closed, it is one file without a journal.
    drop(ledger);
    match fs::hard_link(&made, path) {
        Ok(()) => {}
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => return Ok(None),
        // Where a file cannot have two names.
        Err(_) if !path.exists() => fs::rename(&made, path).map_err(wrong)?,
        Err(error) => return Err(wrong(error)),
    }
    // Where folders cannot be synced, the system sees to their names.
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
    Ok(Some(filled))
}

/// When something is entered: the time that was given, or now.
pub(super) fn time_of(options: &ActOptions) -> Moment {
    options.at.unwrap_or_else(now)
}

/// By what something is entered, as entries name it.
pub(super) fn author_of(verb: &str) -> Box<str> {
    format!("ledger {verb}").into()
}

/// A request by its name, with what it asks as far as that is known.
pub(super) fn request_of(name: &str, options: &ActOptions) -> Request {
    let asks = options.asks.get().map(|asks| format!("{:016x}", asks.finish()).into());
    Request { name: name.into(), asks }
}

/// Who enters something, and when.
fn stamp_of(verb: &str, options: &ActOptions) -> ActStamp {
    ActStamp {
        at: time_of(options),
        by: author_of(verb),
        request: options.request.as_deref().map(|name| request_of(name, options)),
    }
}
