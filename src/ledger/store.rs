//! The ledger's file: one SQLite database that entries are appended to.
//!
//! In: a path, and what an act does. Out: entries that are safe once [`Ledger::act`] has returned,
//! and the tables of what holds now, kept beside them in the same transaction. Not here: what may
//! happen to a parcel (`line`), and how the tables follow (`now`).

use std::cell::RefCell;
use std::fs::OpenOptions;
use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, OpenFlags, OptionalExtension as _, Transaction};

use super::entry::{Event, LedgerEntry};
use super::entry_rows::{entries_of_request, insert_entry, read_line};
use super::error::LedgerError;
use super::line::BenchLine;
use super::moment::Moment;
use super::now::{make_tables_again, write_changes};
use super::request::Request;

/// `SLPW`, by which SQLite and others tell a ledger from other databases.
const APPLICATION_ID: i64 = 0x534c_5057;
/// What brings a file from one version to the next; a file has as many as its version says.
const MIGRATIONS: [&str; 3] =
    [include_str!("schema.sql"), include_str!("schema-2.sql"), include_str!("schema-3.sql")];
/// The version of the tables that this program writes.
const VERSION: i64 = MIGRATIONS.len() as i64;
/// How long a command waits for another one that writes.
const PATIENCE: Duration = Duration::from_secs(5);

/// A ledger that is open.
pub struct Ledger {
    /// The database.
    db: Connection,
}

/// Who does something, and when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ActStamp {
    /// When.
    pub at: Moment,
    /// By which command or screen.
    pub by: Box<str>,
    /// What a script calls its request, so that it can be given again without harm.
    pub request: Option<Request>,
}

/// What an act came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Done<T> {
    /// It was done now; what it came to.
    Now(T),
    /// The same request had been done before; its entries.
    Before(Vec<LedgerEntry>),
}

impl Ledger {
    /// Opens a ledger that is there.
    ///
    /// # Errors
    /// When there is none, or the file is empty, damaged, something else, or of a newer version.
    pub fn open(path: &Path) -> Result<Ledger, LedgerError> {
        let length = match std::fs::metadata(path) {
            Ok(metadata) => metadata.len(),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                return Err(LedgerError::Missing);
            }
            Err(error) => return Err(LedgerError::Io(error)),
        };
        // For SQLite a file without bytes is a good database without tables.
        if length == 0 {
            return Err(LedgerError::Empty);
        }
        let mut db = Connection::open_with_flags(path, flags())?;
        let version = check_identity(&db)?;
        prepare(&db)?;
        migrate(&mut db, version)?;
        Ok(Ledger { db })
    }

    /// Opens a file for whatever can still be read of it; nothing is written.
    ///
    /// # Errors
    /// When it is not there, or is no ledger at all.
    pub fn open_to_save(path: &Path) -> Result<Ledger, LedgerError> {
        if !path.is_file() {
            return Err(LedgerError::Missing);
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let db = Connection::open_with_flags(path, flags)?;
        db.busy_timeout(PATIENCE)?;
        check_identity(&db)?;
        Ok(Ledger { db })
    }

    /// Makes a ledger, readable by its owner alone.
    ///
    /// # Errors
    /// When the file is there already or cannot be made.
    pub fn create(path: &Path) -> Result<Ledger, LedgerError> {
        let mut options = OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        {
            use std::os::unix::fs::OpenOptionsExt as _;
            options.mode(0o600);
        }
        match options.open(path) {
            Ok(_) => {}
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
                return Err(LedgerError::Exists);
            }
            Err(error) => return Err(LedgerError::Io(error)),
        }
        let mut db = Connection::open_with_flags(path, flags())?;
        prepare(&db)?;
        migrate(&mut db, 0)?;
        Ok(Ledger { db })
    }

    /// Does something, wholly or not at all. What it appended is safe on the disk when this returns.
    ///
    /// A request that was done before is not done again; its entries come back instead.
    ///
    /// # Errors
    /// What `what` says, or the database; and when the request asked something else before.
    pub fn act<T, E: From<LedgerError>>(
        &mut self,
        stamp: &ActStamp,
        what: impl FnOnce(&mut Act<'_>) -> Result<T, E>,
    ) -> Result<Done<T>, E> {
        // A transaction that begins by reading would find itself behind another's entries.
        let begun = self.db.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate);
        let transaction = begun.map_err(LedgerError::from)?;
        if let Some(request) = &stamp.request {
            let before = entries_of_request(&transaction, &request.name)?;
            if !before.is_empty() {
                request.expect_same(&transaction)?;
                return Ok(Done::Before(before));
            }
        }
        let done = what(&mut Act::begin(&transaction, stamp)?)?;
        transaction.commit().map_err(LedgerError::from)?;
        Ok(Done::Now(done))
    }

    /// Refuses a request when one of its name asked something else before. What older programs entered does
    /// not say what it asked, and is taken for the same.
    ///
    /// # Errors
    /// When it asked something else.
    pub fn expect_same(&self, request: &Request) -> Result<(), LedgerError> {
        request.expect_same(&self.db)
    }

    /// Looks at what would come of something, and leaves everything as it was.
    ///
    /// # Errors
    /// What `what` says, or the database.
    pub fn rehearse<T, E: From<LedgerError>>(
        &mut self,
        stamp: &ActStamp,
        what: impl FnOnce(&mut Act<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        let begun = self.db.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate);
        let transaction = begun.map_err(LedgerError::from)?;
        let seen = what(&mut Act::begin(&transaction, stamp)?)?;
        transaction.rollback().map_err(LedgerError::from)?;
        Ok(seen)
    }

    /// A number that is another one whenever anybody but this very value has entered something since;
    /// asking costs next to nothing (SQLite's `PRAGMA data_version`).
    ///
    /// # Errors
    /// Those of the database.
    #[cfg(feature = "desk")]
    pub(crate) fn change_mark(&self) -> Result<i64, LedgerError> {
        Ok(self.db.query_row("PRAGMA data_version", [], |row| row.get(0))?)
    }

    /// The database, to be read.
    pub(super) fn db(&self) -> &Connection {
        &self.db
    }

    /// The database, to be written by those that append no entries.
    pub(super) fn db_mut(&mut self) -> &mut Connection {
        &mut self.db
    }

    /// Makes a copy that is whole even while others write: a backup.
    ///
    /// # Errors
    /// When the file is there already or cannot be written.
    pub fn back_up(&self, path: &Path) -> Result<(), LedgerError> {
        if path.exists() {
            return Err(LedgerError::Exists);
        }
        let name = path
            .to_str()
            .ok_or_else(|| LedgerError::Sqlite("the name of the backup is not UTF-8".to_owned()))?;
        let copied = self.db.execute("VACUUM INTO ?1", [name]).map_err(LedgerError::from);
        if let Err(error) = copied {
            // What was begun would pass for a backup; any other error begins nothing.
            if matches!(error, LedgerError::Full | LedgerError::Failing(_)) {
                let _ = std::fs::remove_file(path);
            }
            return Err(error);
        }
        restrict(path).map_err(LedgerError::Io)
    }

    /// Everything that SQLite finds wrong with the file; nothing when it is sound.
    ///
    /// # Errors
    /// When it cannot even be read.
    pub fn check(&self) -> Result<Vec<String>, LedgerError> {
        let mut query = self.db.prepare("PRAGMA integrity_check(20)")?;
        let said: Vec<String> = query.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
        Ok(said.into_iter().filter(|line| line != "ok").collect())
    }
}

impl Ledger {
    /// Makes the tables of what holds now again, from the entries alone.
    ///
    /// # Errors
    /// When an entry contradicts those before it; the tables are then as they were.
    pub fn rebuild(&mut self) -> Result<(), LedgerError> {
        let transaction =
            self.db.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        make_tables_again(&transaction)?;
        transaction.commit()?;
        Ok(())
    }
}

/// How the file is opened: never made by SQLite, which knows no modes.
fn flags() -> OpenFlags {
    OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX
}

/// Makes a file readable by its owner alone, where the system has such modes.
fn restrict(path: &Path) -> std::io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o600))?;
    }
    #[cfg(not(unix))]
    let _ = path;
    Ok(())
}

/// The version of a ledger's tables, before anything could write to it.
fn check_identity(db: &Connection) -> Result<i64, LedgerError> {
    let number = |pragma: &str| db.query_row(pragma, [], |row| row.get::<_, i64>(0));
    let application = number("PRAGMA application_id")?;
    let version = number("PRAGMA user_version")?;
    if application != APPLICATION_ID {
        return Err(LedgerError::NotALedger);
    }
    if version > VERSION {
        return Err(LedgerError::Newer(version));
    }
    Ok(version)
}

/// What holds for every connection.
fn prepare(db: &Connection) -> Result<(), LedgerError> {
    db.busy_timeout(PATIENCE)?;
    // Without recursive triggers `INSERT OR REPLACE` would pass those that keep entries.
    db.execute_batch(
        "PRAGMA recursive_triggers = 1; PRAGMA secure_delete = 1; PRAGMA trusted_schema = 0;",
    )?;
    let mode: String = db.query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))?;
    if mode != "wal" {
        return Err(LedgerError::Sqlite(format!("its journal is `{mode}`, not `wal`")));
    }
    db.execute_batch("PRAGMA synchronous = FULL;")?;
    Ok(())
}

/// Brings the tables to this program's version.
fn migrate(db: &mut Connection, version: i64) -> Result<(), LedgerError> {
    if version == VERSION {
        return Ok(());
    }
    let transaction = db.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    // Another command may have done it meanwhile.
    let version: i64 = transaction.query_row("PRAGMA user_version", [], |row| row.get(0))?;
    for migration in MIGRATIONS.iter().skip(usize::try_from(version).unwrap_or_default()) {
        transaction.execute_batch(migration)?;
    }
    // What an older program's tables do not hold, its entries do.
    if version > 0 {
        make_tables_again(&transaction)?;
    }
    transaction.execute_batch(&format!(
        "PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = {VERSION};"
    ))?;
    transaction.commit()?;
    Ok(())
}

/// An act that is being done.
pub struct Act<'a> {
    /// The transaction it is done in.
    db: &'a Transaction<'a>,
    /// Who does it, and when.
    stamp: &'a ActStamp,
    /// Its number.
    act: i64,
    /// Whether an entry was appended.
    has_begun: bool,
    /// The line that was read or changed last: nobody else can change it meanwhile, and reading it
    /// anew for each of a hundred parcels would cost more than all the rest.
    line: RefCell<Option<BenchLine>>,
}

impl<'a> Act<'a> {
    /// Gives an act its number, one above the last.
    fn begin(db: &'a Transaction<'a>, stamp: &'a ActStamp) -> Result<Act<'a>, LedgerError> {
        let last: Option<i64> = db
            .query_row("SELECT act FROM entry ORDER BY seq DESC LIMIT 1", [], |row| row.get(0))
            .optional()?;
        let act = last.unwrap_or_default() + 1;
        Ok(Act { db, stamp, act, has_begun: false, line: RefCell::default() })
    }

    /// The database, to be read and to have its tables of what holds now written.
    pub(super) fn db(&self) -> &Connection {
        self.db
    }

    /// When the act is done.
    #[must_use]
    pub fn at(&self) -> Moment {
        self.stamp.at
    }

    /// The line of a sitting.
    ///
    /// # Errors
    /// When there is no such sitting.
    pub fn line(&self, sitting: u32) -> Result<BenchLine, LedgerError> {
        let mut known = self.line.borrow_mut();
        if let Some(line) = known.as_ref().filter(|line| line.sitting == sitting) {
            return Ok(line.clone());
        }
        let line = read_line(self.db, sitting)?;
        *known = Some(line.clone());
        Ok(line)
    }

    /// Lets something happen in a sitting: checks it, appends it, and brings the tables up to date.
    /// Returns the line as it is then.
    ///
    /// # Errors
    /// When the line does not allow it.
    pub fn happen(&mut self, sitting: u32, event: Event) -> Result<BenchLine, LedgerError> {
        let before = self.line(sitting)?;
        let mut after = before.clone();
        after.apply(&event, self.stamp.at)?;
        self.append(Some(sitting), &event)?;
        write_changes(self.db, Some(&before), &after, self.stamp.at)?;
        self.line.replace(Some(after.clone()));
        Ok(after)
    }

    /// Appends an entry as it is.
    pub(super) fn append(
        &mut self,
        sitting: Option<u32>,
        event: &Event,
    ) -> Result<i64, LedgerError> {
        let request = if self.has_begun { None } else { self.stamp.request.as_ref() };
        self.has_begun = true;
        // Whoever appends by itself changes lines in a way of its own.
        self.line.replace(None);
        let entry = LedgerEntry {
            seq: 0,
            act: self.act,
            at: self.stamp.at,
            by: self.stamp.by.clone(),
            sitting,
            event: event.clone(),
        };
        insert_entry(self.db, None, &entry, request)
    }
}

/// An empty ledger in memory, to compare with.
pub(super) fn open_model() -> Result<Connection, LedgerError> {
    let mut db = Connection::open_in_memory()?;
    migrate(&mut db, 0)?;
    Ok(db)
}

/// How the database would answer a query of two values, in its own words: which tables and indexes it
/// goes through.
#[cfg(test)]
pub(super) fn tell_plan(query: &str) -> String {
    let db = open_model().unwrap();
    let mut explained = db.prepare(&format!("EXPLAIN QUERY PLAN {query}")).unwrap();
    let rows = explained.query_map([1, 2], |row| row.get::<_, String>(3)).unwrap();
    rows.map(|row| row.unwrap()).collect::<Vec<_>>().join("\n")
}
