//! A row of bars, whatever it says.
//!
//! In: the widths of bars and spaces in modules. Out: the same as bars, modules or widths. Not
//! here: what the widths mean.

/// Bars and spaces in turn, beginning and ending with a bar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BarRow {
    /// The widths in modules.
    widths: Vec<u8>,
    /// Their sum.
    modules: usize,
}

impl BarRow {
    /// A row of these widths.
    pub(super) fn new(widths: Vec<u8>) -> BarRow {
        let modules = widths.iter().copied().map(usize::from).sum();
        BarRow { widths, modules }
    }

    /// The row's width in modules, without quiet zones.
    #[must_use]
    pub fn modules(&self) -> usize {
        self.modules
    }

    /// The widths in modules of bars and spaces in turn, beginning and ending with a bar.
    pub fn widths(&self) -> impl Iterator<Item = u8> + '_ {
        self.widths.iter().copied()
    }

    /// The bars, each with its first module and its width in modules.
    pub fn bars(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let mut at = 0;
        self.widths().enumerate().filter_map(move |(place, width)| {
            let (start, width) = (at, usize::from(width));
            at += width;
            (place % 2 == 0).then_some((start, width))
        })
    }

    /// Every module from left to right without quiet zones, true for a dark one.
    #[must_use]
    pub fn to_modules(&self) -> Vec<bool> {
        let mut modules = Vec::with_capacity(self.modules);
        for (place, width) in self.widths().enumerate() {
            modules.extend(std::iter::repeat_n(place % 2 == 0, usize::from(width)));
        }
        modules
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_bars_and_modules_are_one_row() {
        let row = BarRow::new(vec![1, 2, 3, 1, 1]);
        assert_eq!(row.modules(), 8);
        assert_eq!(row.bars().collect::<Vec<_>>(), [(0, 1), (3, 3), (7, 1)]);
        let drawn: String =
            row.to_modules().iter().map(|dark| if *dark { '#' } else { '.' }).collect();
        assert_eq!(drawn, "#..###.#");
    }
}
