//! What was made from a text, kept for when the text comes again.
//!
//! Comes in: texts and what was made from each, with its weight. Goes out: the
//! same by its text. There are two generations: when the recent one has grown
//! to its limit it becomes the older one, and what that held is let go unless
//! it was asked for again. So the room taken is bounded, and what is in use
//! stays.

use std::collections::HashMap;
use std::mem;
use std::sync::Arc;

use foldhash::fast::FixedState;

/// Things by their text; only looked up, never walked.
type ByText<T> = HashMap<Box<str>, (Arc<T>, usize), FixedState>;

/// Things made from texts.
pub(super) struct Kept<T> {
    /// Kept lately.
    recent: ByText<T>,
    /// Kept before those.
    older: ByText<T>,
    /// The weight of what is in `recent`.
    weight: usize,
    /// The weight that one generation may have.
    limit: usize,
}

impl<T> Kept<T> {
    /// Nothing yet; up to `limit` of weight a generation.
    pub(super) fn new(limit: usize) -> Self {
        Self { recent: ByText::default(), older: ByText::default(), weight: 0, limit }
    }

    /// Looks a text up, and keeps what it finds for longer.
    pub(super) fn recall(&mut self, text: &str) -> Option<Arc<T>> {
        if let Some((known, _)) = self.recent.get(text) {
            return Some(Arc::clone(known));
        }
        let (known, weight) = self.older.remove(text)?;
        self.keep(text, &known, weight);
        Some(known)
    }

    /// Keeps what was made from a text, unless it weighs as much as several others.
    pub(super) fn keep(&mut self, text: &str, made: &Arc<T>, weight: usize) {
        if weight > self.limit / 8 {
            return;
        }
        if self.weight + weight > self.limit {
            self.older = mem::take(&mut self.recent);
            self.weight = 0;
        }
        self.weight += weight;
        self.recent.insert(text.into(), (Arc::clone(made), weight));
    }

    /// The weight of everything kept.
    #[cfg(test)]
    pub(super) fn weight(&self) -> usize {
        let weigh = |made: &ByText<T>| made.values().map(|(_, weight)| weight).sum::<usize>();
        weigh(&self.recent) + weigh(&self.older)
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::Kept;

    #[test]
    fn what_is_in_use_stays_and_the_rest_is_let_go() {
        let mut kept = Kept::new(32);
        kept.keep("tag", &Arc::new(1), 4);
        for number in 0..100 {
            kept.keep(&format!("word {number}"), &Arc::new(number), 4);
            assert!(kept.recall("tag").is_some_and(|known| *known == 1), "{number}");
            assert!(kept.weight() <= 64, "{number}: {}", kept.weight());
        }
        assert!(kept.recall("word 99").is_some_and(|known| *known == 99));
        assert_eq!(kept.recall("word 1"), None);
        kept.keep("heavy", &Arc::new(7), 5);
        assert_eq!(kept.recall("heavy"), None);
    }
}
