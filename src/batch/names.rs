//! Texts that parcels have in common, each held once: packs, services, extras and hazards.

use std::collections::HashSet;
use std::sync::Arc;

use foldhash::fast::RandomState;

/// Texts that are held once. The seed is another one each run, so that no file can be made that fills
/// one place.
#[derive(Default)]
pub(super) struct SharedNames(HashSet<Arc<str>, RandomState>);

impl SharedNames {
    /// The one copy of a text.
    pub(super) fn share(&mut self, text: &str) -> Arc<str> {
        if let Some(known) = self.0.get(text) {
            return Arc::clone(known);
        }
        let text: Arc<str> = text.into();
        self.0.insert(Arc::clone(&text));
        text
    }
}
