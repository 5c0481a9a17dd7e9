//! What one call of the importer may still look at, make and hold.
//!
//! Work is counted in bytes looked at or made, whatever they are for, so that no detour through a
//! file's structure escapes the count.

use super::error::{Result, too_large};

/// The most bytes looked at and made in opening a file or fetching a page.
const WORK: usize = 256 << 20;

/// The most bytes of unpacked object streams held at once.
const HELD_BYTES: usize = 64 << 20;

/// The most tokens held at once as parsed objects; each takes some 60 bytes.
const TOKENS: usize = 2_000_000;

/// What is left of the work one call may cause.
#[derive(Debug)]
pub(super) struct Fuel {
    /// Bytes that may still be looked at or made.
    work: usize,
    /// Tokens that may still be held.
    tokens: usize,
    /// Unpacked bytes that may still be held.
    bytes: usize,
}

impl Fuel {
    /// The fuel of one call.
    pub(super) fn new() -> Fuel {
        Fuel { work: WORK, tokens: TOKENS, bytes: HELD_BYTES }
    }

    /// Pays for `bytes` looked at or made.
    pub(super) fn spend(&mut self, bytes: usize) -> Result<()> {
        self.work = self.work.checked_sub(bytes).ok_or_else(|| {
            too_large("reading it takes more work than a page of print ever does")
        })?;
        Ok(())
    }

    /// Pays for one token held.
    pub(super) fn hold_token(&mut self) -> Result<()> {
        self.tokens = self
            .tokens
            .checked_sub(1)
            .ok_or_else(|| too_large(format!("more than {TOKENS} values to look at")))?;
        Ok(())
    }

    /// Pays for unpacked bytes held.
    pub(super) fn hold_bytes(&mut self, bytes: usize) -> Result<()> {
        let most = HELD_BYTES >> 20;
        self.bytes = self.bytes.checked_sub(bytes).ok_or_else(|| {
            too_large(format!("its object streams unpack to more than {most} MB"))
        })?;
        Ok(())
    }
}
