//! The white around a symbol.

/// Light modules that a symbol needs around it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct QuietZone {
    /// Before its first bar or column.
    pub before: usize,
    /// Behind its last one.
    pub behind: usize,
    /// Above and below; bars need none.
    pub beside: usize,
}

impl QuietZone {
    /// The same white at both ends of a row of bars.
    #[must_use]
    pub const fn at_ends(modules: usize) -> QuietZone {
        QuietZone { before: modules, behind: modules, beside: 0 }
    }

    /// The same white all round.
    #[must_use]
    pub const fn around(modules: usize) -> QuietZone {
        QuietZone { before: modules, behind: modules, beside: modules }
    }

    /// The white at both ends together.
    #[must_use]
    pub const fn ends(self) -> usize {
        self.before + self.behind
    }
}
