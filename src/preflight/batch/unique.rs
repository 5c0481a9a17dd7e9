//! Words that belong to one parcel each.

use std::collections::HashMap;

/// Which parcel each word belongs to.
#[derive(Default)]
pub(super) struct Unique {
    /// The parcel of each word; looked up only, so that no order comes out of it.
    owners: HashMap<Box<str>, usize>,
}

impl Unique {
    /// Claims a word for a parcel; gives the parcel that has it already, if that is another.
    pub(super) fn claim(&mut self, word: &str, position: usize) -> Option<usize> {
        match self.owners.get(word) {
            Some(&owner) => (owner != position).then_some(owner),
            None => {
                self.owners.insert(word.into(), position);
                None
            }
        }
    }
}
