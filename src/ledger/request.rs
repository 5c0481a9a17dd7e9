//! A request that a script names, so that it can be given again without harm.
//!
//! In: its name, and a digest of what it asks. Out: whether a request of this name asked the same before. Not
//! here: what the digest is made of.

use rusqlite::{Connection, OptionalExtension as _};

use super::error::LedgerError;

/// A request, as a script names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Request {
    /// What the script calls it; no two have one name.
    pub name: Box<str>,
    /// A digest of what it asks; none where nobody compares it.
    pub asks: Option<Box<str>>,
}

impl From<&str> for Request {
    /// A request by its name alone.
    fn from(name: &str) -> Request {
        Request { name: name.into(), asks: None }
    }
}

impl Request {
    /// Refuses it when one of its name asked something else before.
    pub(super) fn expect_same(&self, db: &Connection) -> Result<(), LedgerError> {
        let mut query = db.prepare_cached("SELECT asks FROM entry WHERE request = ?1")?;
        let before: Option<String> =
            query.query_row([&self.name], |row| row.get(0)).optional()?.flatten();
        match (before, &self.asks) {
            (Some(before), Some(asks)) if *before != **asks => {
                Err(LedgerError::RequestUsed(self.name.clone()))
            }
            _ => Ok(()),
        }
    }
}
