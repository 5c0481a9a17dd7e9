//! Tables: columns as wide as they ask, rows as high as their highest cell.

use super::{Job, Place};
use crate::bind::{Bound, BoundTable};
use crate::findings::{Finding, rules};
use crate::geom::{Mm, Rect, Size};
use crate::layout::{Align, Column, ColumnAlign, Fit, Length, TypeStyle};
use crate::scene::{MarkKind, RunStart};

/// The thickness of the thin line after every few rows, in dots.
const THIN_DOTS: Length = Length::Dots(2.0);

/// Height without end: rows are measured before they are placed.
const ENDLESS: Mm = Mm(1.0e6);

/// A part of a table that is never broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TablePart {
    /// The head with the line under it.
    Head,
    /// A row, and the thin line that follows it, if one does.
    Row(usize),
    /// A row of totals, the first with the line above it.
    Total(usize),
}

/// A table's columns in some width.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    /// How wide each is, in the order of the layout.
    widths: Vec<Mm>,
    /// White between two.
    gap: Mm,
    /// The decimals of each; those of columns that are not decimal are never looked at.
    decimals: Vec<Decimals>,
}

/// The decimals of a column whose numbers stand under each other by their separators.
#[derive(Clone, Copy, Debug)]
struct Decimals {
    /// How they are separated from the whole.
    rule: DecimalRule,
    /// The width of the widest, separator included.
    width: Mm,
}

/// How the decimals of a column's numbers are separated from the whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum DecimalRule {
    /// The last point or comma.
    Last,
    /// A point: commas part groups of three.
    Point,
}

/// Where the first lines of a row's cells stand, below the row's top; `None` when they have one
/// type, and stand alike anyway.
#[derive(Clone, Copy)]
struct SharedBaseline(Option<Mm>);

impl SharedBaseline {
    /// How far a cell goes down to stand on it, given where its own first baseline is.
    fn lower(self, text: &str, own: impl FnOnce() -> Mm) -> Mm {
        match self.0.filter(|_| !text.is_empty()) {
            Some(baseline) => (baseline - own()).max(Mm::ZERO),
            None => Mm::ZERO,
        }
    }
}

/// How a cell is set.
#[derive(Clone, Copy)]
struct CellSetting<'t> {
    /// Where its text stands.
    align: ColumnAlign,
    /// The type that its column asks for, or the table's.
    style: &'t TypeStyle,
    /// The decimals of its column.
    decimals: Decimals,
    /// Whether reading starts at the right.
    from_right: bool,
}

impl Job<'_, '_> {
    /// The parts of a table from the top.
    pub(super) fn table_parts(table: &BoundTable<'_>) -> Vec<TablePart> {
        let head = (!table.head.is_empty()).then_some(TablePart::Head);
        let totals = (0..table.totals.len()).map(TablePart::Total);
        let rows = (0..table.rows.len()).map(TablePart::Row);
        head.into_iter().chain(rows).chain(totals).collect()
    }

    /// The height of a whole table.
    pub(super) fn table_height(&mut self, table: &BoundTable<'_>, width: Mm) -> Mm {
        let columns = self.plan_columns(table, width);
        let parts = Self::table_parts(table);
        let gaps = self.length(table.table.row_gap) * parts.len().saturating_sub(1) as f64;
        let heights = parts.iter().map(|part| self.part_height(table, &columns, *part));
        heights.sum::<Mm>() + gaps
    }

    /// Paints a whole table.
    pub(super) fn place_table(&mut self, bound: &Bound<'_>, table: &BoundTable<'_>, place: Place) {
        let columns = self.plan_columns(table, place.rect.width);
        self.check_columns(bound, &columns, place.rect.width);
        let gap = self.length(table.table.row_gap);
        let mut y = place.rect.y;
        let parts = Self::table_parts(table);
        for part in &parts {
            let height = self.part_height(table, &columns, *part);
            let rect = Rect::new(place.rect.x, y, place.rect.width, height);
            self.place_part(bound, table, &columns, *part, Place { rect, ..place });
            y += height + gap;
        }
        let used = y - place.rect.y - if parts.is_empty() { Mm::ZERO } else { gap };
        if used.exceeds(place.rect.height) {
            let message = format!(
                "this table needs {used} in height, its box has {}: {} too many",
                place.rect.height,
                used - place.rect.height
            );
            let hint = "give it more room, or set `flow: true` so that it runs on over pages";
            self.find(bound, Finding::new(&rules::OVERFLOW, message).hint(hint));
        }
    }

    /// How wide columns are: those that name a width have it, others that of their widest cell, and
    /// what is left goes to those that grow.
    pub(super) fn plan_columns(&mut self, table: &BoundTable<'_>, width: Mm) -> Columns {
        let gap = self.length(table.table.gap);
        let count = table.columns.len();
        let free = width - gap * count.saturating_sub(1) as f64;
        let none = Decimals { rule: DecimalRule::Last, width: Mm::ZERO };
        let mut decimals = vec![none; count];
        let mut asked: Vec<Option<Mm>> = Vec::with_capacity(count);
        for (index, column) in table.columns.iter().enumerate() {
            if column.align == ColumnAlign::Decimal {
                let rule = find_mark(cells(table, index, column).map(|(text, _)| text));
                let width = self.widest_fraction(table, index, column, rule);
                decimals[index] = Decimals { rule, width };
            }
            asked.push(match column.width {
                Some(width) => Some(self.length(width)),
                None if column.grow > 0.0 => None,
                None => Some(self.widest_cell(table, index, column, decimals[index])),
            });
        }
        let taken: Mm = asked.iter().flatten().copied().sum();
        let left = (free - taken).max(Mm::ZERO);
        let weights: f64 = table.columns.iter().map(|column| column.grow).sum();
        let columns = table.columns.iter().zip(asked);
        let widths = columns
            .map(|(column, asked)| asked.unwrap_or_else(|| left * (column.grow / weights)))
            .collect();
        Columns { widths, gap, decimals }
    }

    /// Reports columns that are wider than their table.
    pub(super) fn check_columns(&mut self, bound: &Bound<'_>, columns: &Columns, width: Mm) {
        let gaps = columns.gap * columns.widths.len().saturating_sub(1) as f64;
        let used = columns.widths.iter().copied().sum::<Mm>() + gaps;
        if used.exceeds(width) {
            let message = format!(
                "the columns of this table need {used} in width, there are {width}: {} too many",
                used - width
            );
            let hint = "give the widest column `grow: 1`, so that its text is broken into lines";
            self.find(bound, Finding::new(&rules::OVERFLOW, message).hint(hint));
        }
    }

    /// The width of a column's widest cell, unbroken.
    fn widest_cell(
        &mut self,
        table: &BoundTable<'_>,
        index: usize,
        column: &Column,
        decimals: Decimals,
    ) -> Mm {
        let mut widest = Mm::ZERO;
        for (text, style) in cells(table, index, column) {
            let width = match column.align {
                ColumnAlign::Decimal => {
                    let (whole, _) = split_decimal(text, decimals.rule);
                    match is_number(text) {
                        true => self.text_width(whole, style) + decimals.width,
                        false => self.text_width(text, style),
                    }
                }
                _ => self.text_width(text, style),
            };
            widest = widest.max(width);
        }
        widest
    }

    /// The width of a column's widest fraction, separator included.
    fn widest_fraction(
        &mut self,
        table: &BoundTable<'_>,
        index: usize,
        column: &Column,
        rule: DecimalRule,
    ) -> Mm {
        let mut widest = Mm::ZERO;
        for (text, style) in cells(table, index, column) {
            if is_number(text) {
                let (_, fraction) = split_decimal(text, rule);
                if !fraction.is_empty() {
                    widest = widest.max(self.text_width(fraction, style));
                }
            }
        }
        widest
    }

    /// How high a row is: that of its highest cell, and the white around it.
    pub(super) fn part_height(
        &mut self,
        table: &BoundTable<'_>,
        columns: &Columns,
        part: TablePart,
    ) -> Mm {
        let cells = part_cells(table, part);
        let baseline = self.shared_baseline(table, part);
        let mut height = Mm::ZERO;
        for ((text, column), width) in cells.iter().zip(&table.columns).zip(&columns.widths) {
            let style = part_style(table, column, part);
            let lowered = baseline.lower(text, || self.first_baseline(style));
            height = height.max(lowered + self.text_height(text, style, Fit::Wrap, *width));
        }
        height + self.line_room(table, part)
    }

    /// The baseline that the first lines of a part's cells stand on: that of the cell whose type
    /// has it lowest. Cells of one type are not asked.
    fn shared_baseline(&self, table: &BoundTable<'_>, part: TablePart) -> SharedBaseline {
        let style = |column| part_style(table, column, part);
        let mut columns = table.columns.iter();
        let first = columns.next().map(|column| style(column));
        if columns.all(|column| Some(style(column)) == first) {
            return SharedBaseline(None);
        }
        let given = part_cells(table, part).iter().zip(&table.columns);
        let given = given.filter(|(text, _)| !text.is_empty());
        let baselines = given.map(|(_, column)| self.first_baseline(style(column)));
        SharedBaseline(Some(baselines.fold(Mm::ZERO, Mm::max)))
    }

    /// What the lines of a part take.
    fn line_room(&self, table: &BoundTable<'_>, part: TablePart) -> Mm {
        let gap = self.length(table.table.row_gap);
        match part {
            TablePart::Head | TablePart::Total(0) => self.line_width(table.table.line) + gap,
            TablePart::Row(row) if has_line(table, row) => self.line_width(THIN_DOTS) + gap,
            TablePart::Row(_) | TablePart::Total(_) => Mm::ZERO,
        }
    }

    /// Paints a part.
    pub(super) fn place_part(
        &mut self,
        bound: &Bound<'_>,
        table: &BoundTable<'_>,
        columns: &Columns,
        part: TablePart,
        place: Place,
    ) {
        let room = place.rect;
        let rule = self.line_width(table.table.line);
        let level =
            |y: Mm, height: Mm| Place { rect: Rect::new(room.x, y, room.width, height), ..place };
        let mut top = room.y;
        match part {
            TablePart::Head => self.place_rule(table.table.line, level(room.bottom() - rule, rule)),
            TablePart::Total(0) => {
                self.place_rule(table.table.line, level(room.y, rule));
                top += self.line_room(table, part);
            }
            TablePart::Row(row) if has_line(table, row) => {
                let thin = self.line_width(THIN_DOTS);
                self.place_rule(THIN_DOTS, level(room.bottom() - thin, thin));
            }
            TablePart::Row(_) | TablePart::Total(_) => {}
        }
        let (mut x, from_right) = (room.x, table.reads_from_right);
        let baseline = self.shared_baseline(table, part);
        let cells = part_cells(table, part);
        let first = self.page.marks.len();
        for (index, column) in table.columns.iter().enumerate() {
            let width = columns.widths[index];
            let text = cells.get(index).map_or("", |cell| cell);
            let style = part_style(table, column, part);
            let lowered = baseline.lower(text, || self.first_baseline(style));
            // Where reading starts at the right, so do the columns.
            let left = if from_right { room.x + room.right() - x - width } else { x };
            let at = Rect::new(left, top + lowered, width, ENDLESS);
            let decimals = columns.decimals[index];
            let setting = CellSetting { align: column.align, style, decimals, from_right };
            self.place_cell(bound, text, setting, Place { rect: at, ..place });
            x += width + columns.gap;
        }
        let painted = self.page.marks[first..].iter_mut();
        let run = painted.filter_map(|mark| match &mut mark.kind {
            MarkKind::Text(run) => Some(run),
            _ => None,
        });
        run.take(1).for_each(|run| run.begins = RunStart::Row);
    }

    /// Paints a cell.
    fn place_cell(
        &mut self,
        bound: &Bound<'_>,
        text: &str,
        CellSetting { align, style, decimals, from_right }: CellSetting<'_>,
        place: Place,
    ) {
        if text.is_empty() {
            return;
        }
        let Some(paragraph) = self.shape_or_report(bound, text, style) else { return };
        let paragraphs = [paragraph];
        let room = Size::new(place.rect.width, ENDLESS);
        let style = &*self.with_room_for_others(&paragraphs, style);
        let Some(setting) = self.set(&paragraphs, style, Fit::Wrap, room) else {
            return self.report_overflow(bound, &paragraphs, style, Fit::Wrap, room);
        };
        let behind = match align {
            ColumnAlign::Decimal if is_number(text) => {
                let (_, own) = split_decimal(text, decimals.rule);
                let own = if own.is_empty() { Mm::ZERO } else { self.text_width(own, style) };
                (decimals.width - own).max(Mm::ZERO)
            }
            _ => Mm::ZERO,
        };
        let sits = match align {
            ColumnAlign::Start if from_right => Align::Right,
            ColumnAlign::Start => Align::Start,
            ColumnAlign::Left => Align::Left,
            ColumnAlign::Center => Align::Center,
            ColumnAlign::Right | ColumnAlign::Decimal => Align::Right,
        };
        let mut rect = place.rect;
        rect.width -= behind;
        self.paint_lines(&paragraphs, setting, style, sits, Place { rect, ..place });
    }
}

/// What the cells of a row say, one a column.
fn part_cells<'t, 'l>(
    table: &'t BoundTable<'l>,
    part: TablePart,
) -> &'t [std::borrow::Cow<'l, str>] {
    match part {
        TablePart::Head => &table.head,
        TablePart::Row(row) => table.rows.get(row).map_or(&[], Vec::as_slice),
        TablePart::Total(row) => table.totals.get(row).map_or(&[], Vec::as_slice),
    }
}

/// How the cells of a part are set: of several rows of totals the last stands out.
fn part_style<'c>(table: &BoundTable<'_>, column: &'c Column, part: TablePart) -> &'c TypeStyle {
    match part {
        TablePart::Head => &column.head_style,
        TablePart::Total(row) if row + 1 == table.totals.len() => &column.total_style,
        TablePart::Row(_) | TablePart::Total(_) => &column.style,
    }
}

/// A column's cells from head to total, each with its style.
fn cells<'t>(
    table: &'t BoundTable<'_>,
    index: usize,
    column: &'t Column,
) -> impl Iterator<Item = (&'t str, &'t TypeStyle)> {
    let head = table.head.get(index).map(|cell| (&**cell, &column.head_style));
    // The last total is the widest of its text, being set the boldest.
    let totals = table.totals.iter().filter_map(move |row| row.get(index));
    let totals = totals.map(|cell| (&**cell, &column.total_style));
    let ends = head.into_iter().chain(totals);
    let rows = table.rows.iter().filter_map(move |row| row.get(index));
    ends.chain(rows.map(|cell| (&**cell, &column.style)))
}

/// Whether a thin line follows a row; it parts rows, so none follows the last.
fn has_line(table: &BoundTable<'_>, row: usize) -> bool {
    let parts = row + 1 < table.rows.len();
    parts && table.table.every.is_some_and(|every| (row + 1).is_multiple_of(every as usize))
}

/// Whether a cell holds a number that decimal alignment can use.
fn is_number(text: &str) -> bool {
    text.bytes().any(|byte| byte.is_ascii_digit())
}

/// A number before and from its decimal separator on: the last point or comma that only digits,
/// signs or words follow without another digit group.
fn split_decimal(text: &str, rule: DecimalRule) -> (&str, &str) {
    let last_digit = text.rfind(|c: char| c.is_ascii_digit()).map_or(0, |at| at + 1);
    let separator = text[..last_digit].rfind(|c: char| !c.is_ascii_digit());
    let parts_decimals = |at: &usize| match text.as_bytes()[*at] {
        b'.' => true,
        b',' => rule == DecimalRule::Last,
        _ => false,
    };
    text.split_at(separator.filter(parts_decimals).unwrap_or(last_digit))
}

/// How the decimals of a column are separated. `24,800` may be either; it is whole, and its comma
/// parts groups, when every comma stands before three digits and another number of the column has
/// no decimals, or has them behind a point, or has two commas: decimals are as many in every
/// amount.
fn find_mark<'t>(texts: impl Iterator<Item = &'t str>) -> DecimalRule {
    let (mut commas, mut others) = (false, false);
    for text in texts.filter(|text| is_number(text)) {
        let (whole, fraction) = split_decimal(text, DecimalRule::Last);
        let is_comma = fraction.starts_with(',');
        let digits = fraction.bytes().filter(u8::is_ascii_digit).count();
        if is_comma && digits != 3 {
            return DecimalRule::Last;
        }
        commas |= is_comma;
        others |= !is_comma || whole.contains(',');
    }
    if commas && others { DecimalRule::Point } else { DecimalRule::Last }
}

#[cfg(test)]
mod tests {
    use super::{DecimalRule, find_mark, split_decimal};

    #[test]
    fn numbers_split_at_their_decimal_separator() {
        for (text, parts) in [
            ("12.50", ("12", ".50")),
            ("1.234,50 €", ("1.234", ",50 €")),
            ("12", ("12", "")),
            ("12 g", ("12", " g")),
            ("", ("", "")),
            ("£ 3", ("£ 3", "")),
        ] {
            assert_eq!(split_decimal(text, DecimalRule::Last), parts, "{text}");
        }
        assert_eq!(split_decimal("¥24,800", DecimalRule::Point), ("¥24,800", ""));
        assert_eq!(split_decimal("1,234.50", DecimalRule::Point), ("1,234", ".50"));
    }

    #[test]
    fn a_comma_before_three_digits_is_told_by_its_column() {
        let mark = |texts: &[&str]| find_mark(texts.iter().copied());
        assert_eq!(mark(&["¥24,800", "¥950", "Sum"]), DecimalRule::Point);
        assert_eq!(mark(&["1,234,567", "24,800"]), DecimalRule::Point);
        assert_eq!(mark(&["1,234.50", "12,345"]), DecimalRule::Point);
        assert_eq!(mark(&["12,345", "7,200"]), DecimalRule::Last);
        assert_eq!(mark(&["12,5", "7,200", "3"]), DecimalRule::Last);
        assert_eq!(mark(&["£1,450.00", "£9.50"]), DecimalRule::Last);
        assert_eq!(mark(&[]), DecimalRule::Last);
    }
}
