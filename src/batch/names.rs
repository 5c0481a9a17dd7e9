//! Texts that parcels have in common, each held once: packs, services, extras and hazards.

use std::collections::HashSet;

use foldhash::fast::RandomState;

use crate::source::SharedText;

/// Texts that are held once. The seed is another one each run, so that no file can be made that fills
/// one place.
#[derive(Default)]
pub(super) struct SharedNames(HashSet<SharedText, RandomState>);

impl SharedNames {
    /// The one copy of a text.
    pub(super) fn share(&mut self, text: &str) -> SharedText {
        if let Some(known) = self.0.get(text) {
            return known.clone();
        }
        let text: SharedText = text.into();
        self.0.insert(text.clone());
        text
    }
}
