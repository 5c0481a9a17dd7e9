//! Tables of plain text for a terminal.
//!
//! In: rows of cells. Out: columns as wide as their widest cell; a column in which no row has
//! anything is left out. Not here: the contents of the cells.

use crate::words::escape_obeyed;

/// Where the cells of a column stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CellAlign {
    /// At the left, as words do.
    Left,
    /// At the right, as numbers do.
    Right,
}

/// A table of some columns.
pub(super) struct Grid<const N: usize> {
    /// Their heads and where cells stand.
    columns: [(&'static str, CellAlign); N],
    /// What stands below the heads, in order.
    rows: Vec<[String; N]>,
    /// The last row, of sums.
    total: [String; N],
}

impl<const N: usize> Grid<N> {
    /// A table without rows.
    pub(super) fn new(columns: &[(&'static str, CellAlign); N]) -> Grid<N> {
        Grid { columns: *columns, rows: Vec::new(), total: std::array::from_fn(|_| String::new()) }
    }

    /// Adds a row; what a terminal would obey is shown as an escape.
    pub(super) fn row(&mut self, cells: [String; N]) {
        self.rows.push(cells.map(|cell| escape_obeyed(&cell).into_owned()));
    }

    /// Sets the row of sums, which is left out when all its cells are empty.
    pub(super) fn total(&mut self, cells: [String; N]) {
        self.total = cells;
    }

    /// The table as text; a cell that is empty in a column that is not is shown as `unknown`.
    pub(super) fn to_text(&self, unknown: &str) -> String {
        let used: Vec<usize> =
            (0..N).filter(|at| self.rows.iter().any(|row| !row[*at].is_empty())).collect();
        let count = |text: &str| text.chars().count();
        let width = |at: usize| {
            let cells = self.rows.iter().chain([&self.total]).map(|row| count(&row[at]));
            cells.chain([count(self.columns[at].0), count(unknown)]).max().unwrap_or(0)
        };
        let widths: Vec<usize> = used.iter().map(|at| width(*at)).collect();
        let line = |cell: &dyn Fn(usize) -> String| {
            let cells = used.iter().zip(&widths).map(|(at, width)| match self.columns[*at].1 {
                CellAlign::Left => format!("{:<width$}", cell(*at)),
                CellAlign::Right => format!("{:>width$}", cell(*at)),
            });
            let line = cells.collect::<Vec<_>>().join("  ");
            format!("{}\n", line.trim_end())
        };
        let mut text = line(&|at| self.columns[at].0.to_owned());
        for row in &self.rows {
            text += &line(&|at| match row[at].is_empty() {
                true => unknown.to_owned(),
                false => row[at].clone(),
            });
        }
        if self.total.iter().any(|cell| !cell.is_empty()) {
            text += &line(&|at| self.total[at].clone());
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_as_wide_as_they_must_be_and_empty_ones_are_left_out() {
        let mut grid =
            Grid::new(&[("", CellAlign::Right), ("tag", CellAlign::Left), ("g", CellAlign::Right)]);
        grid.row(["9".into(), "Θαλασσινού".into(), String::new()]);
        grid.row(["10".into(), String::new(), String::new()]);
        assert_eq!(grid.to_text("-"), "    tag\n 9  Θαλασσινού\n10  -\n");
        grid.row(["11".into(), "Fell".into(), "4025".into()]);
        grid.total([String::new(), String::new(), "4025".into()]);
        let text = grid.to_text("-");
        assert_eq!(text.lines().nth(1), Some(" 9  Θαλασσινού     -"));
        assert_eq!(text.lines().last(), Some("                4025"));
    }
}
