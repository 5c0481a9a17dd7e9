//! Printer profiles: what one printer does to a page, as read off the ruler page.
//!
//! In: what the shop file says of each printer. Out: a [`Printer`], and which of several suits a
//! paper. Not here: reading the shop file (`shop`), moving marks (`correct`).

use super::{Press, Stock};
use crate::geom::{DotGrid, Mm, Point, Size};
use crate::words::did_you_mean;

/// A printer; what is not given is decided by the stock, or is nothing to correct.
#[derive(Clone, Debug, PartialEq)]
pub struct Printer {
    /// Its name in the shop file; empty for the only one.
    pub name: Box<str>,
    /// The papers that lie in it; none: labels of any size.
    pub stocks: Vec<Stock>,
    /// Its dots an inch across and down; those that its paper is usually printed with when not given.
    pub grid: Option<DotGrid>,
    /// The edge of a label that it cannot print on.
    pub clear_edge: Option<Mm>,
    /// What it can print of a page, from the top left corner; no limit when not given.
    pub area: Option<Size>,
    /// How far everything is moved to the right and down before it is printed.
    pub offset: Point,
    /// How long a length of 1 comes out, across and down; both 1 unless measured.
    pub scale: (f64, f64),
    /// Dots by which black grows on the paper, less than 0 where it shrinks. Used by proofs only.
    pub gain: i32,
    /// Whole dots taken off every bar and dark module of codes.
    pub bar_reduction: u32,
    /// Whether it has more inks than black.
    pub colour: bool,
    /// The print queue that reaches it, by its name or its address; none when documents are printed by
    /// hand.
    pub queue: Option<Box<str>>,
    /// What the queue is sent.
    pub sends: QueueFormat,
}

/// What a print queue is sent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum QueueFormat {
    /// The very dots that were proven, where the printer takes them.
    #[default]
    Dots,
    /// A PDF, which the queue's filters draw on whole dots an inch.
    Pdf,
}

impl Default for Printer {
    fn default() -> Printer {
        Printer {
            name: "".into(),
            stocks: Vec::new(),
            grid: None,
            clear_edge: None,
            area: None,
            offset: Point::default(),
            scale: (1.0, 1.0),
            gain: 0,
            bar_reduction: 0,
            queue: None,
            sends: QueueFormat::Dots,
            colour: false,
        }
    }
}

impl Printer {
    /// Whether documents for it are kept as its dots too, beside the PDF.
    #[must_use]
    pub fn wants_dots(&self) -> bool {
        self.queue.is_some() && self.sends == QueueFormat::Dots
    }

    /// Whether pages leave it as they were composed, so that nothing is to be corrected.
    #[must_use]
    pub fn is_true(&self) -> bool {
        self.offset == Point::default() && self.scale == (1.0, 1.0) && self.bar_reduction == 0
    }

    /// The same printer with nothing to correct: what it does by itself.
    #[must_use]
    pub fn uncorrected(&self) -> Printer {
        let Printer { offset, scale, bar_reduction, .. } = Printer::default();
        Printer { offset, scale, bar_reduction, ..self.clone() }
    }
}

/// The printers of a shop, in the order of its file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Printers {
    /// All of them.
    list: Vec<Printer>,
    /// The one that was asked for by name.
    chosen: Option<usize>,
}

impl Printers {
    /// Printers in the order of the file.
    #[must_use]
    pub fn new(list: Vec<Printer>) -> Printers {
        Printers { list, chosen: None }
    }

    /// All of them.
    #[must_use]
    pub fn list(&self) -> &[Printer] {
        &self.list
    }

    /// Makes every paper go to the printer of this name.
    ///
    /// # Errors
    /// A message, and a hint where there is one, when there is none of this name.
    pub fn choose(&mut self, name: &str) -> Result<(), (String, Option<String>)> {
        self.chosen = self.list.iter().position(|printer| &*printer.name == name);
        if self.chosen.is_some() {
            return Ok(());
        }
        let names: Vec<&str> = self
            .list
            .iter()
            .map(|printer| &*printer.name)
            .filter(|name| !name.is_empty())
            .collect();
        let hint = match names.is_empty() {
            true => Some(format!("name it in the shop file: `printers: {{{name}: {{dpi: 203}}}}`")),
            false => did_you_mean(name, &names),
        };
        Err((format!("there is no printer `{name}`"), hint))
    }

    /// The printer that a paper goes to: the one asked for by name; else the first that lists the
    /// paper; else, for labels, the first that lists no papers at all.
    #[must_use]
    pub fn suiting(&self, stock: &Stock) -> Option<&Printer> {
        if let Some(chosen) = self.chosen {
            return self.list.get(chosen);
        }
        let lists = |printer: &&Printer| printer.stocks.iter().any(|own| own.size == stock.size);
        let any = |printer: &&Printer| printer.stocks.is_empty() && stock.press == Press::Thermal;
        self.list.iter().find(lists).or_else(|| self.list.iter().find(any))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A printer of a name with papers.
    fn printer(name: &str, stocks: &[&str]) -> Printer {
        let stocks = stocks.iter().map(|name| Stock::find(name).unwrap()).collect();
        Printer { name: name.into(), stocks, ..Printer::default() }
    }

    /// The name of the printer that a paper goes to.
    fn suiting<'p>(printers: &'p Printers, stock: &str) -> Option<&'p str> {
        printers.suiting(&Stock::find(stock).unwrap()).map(|printer| &*printer.name)
    }

    #[test]
    fn papers_go_where_they_lie() {
        let list =
            vec![printer("office", &["a4"]), printer("bench", &[]), printer("old", &["4x6in"])];
        let mut printers = Printers::new(list);
        assert_eq!(suiting(&printers, "a4"), Some("office"));
        assert_eq!(suiting(&printers, "210x297mm"), Some("office"));
        assert_eq!(suiting(&printers, "100x50mm"), Some("bench"));
        assert_eq!(suiting(&printers, "4x6in"), Some("old"));
        // A printer of labels is no printer of sheets unless it says so.
        assert_eq!(suiting(&printers, "letter"), None);
        printers.choose("bench").unwrap();
        assert_eq!(suiting(&printers, "letter"), Some("bench"));
    }

    #[test]
    fn unknown_names_get_a_way_out() {
        let mut printers = Printers::new(vec![printer("bench", &[]), printer("office", &["a4"])]);
        let (message, hint) = printers.choose("bensh").unwrap_err();
        assert_eq!(message, "there is no printer `bensh`");
        assert_eq!(hint.unwrap(), "did you mean `bench`?");
        let (_, hint) = printers.choose("kitchen").unwrap_err();
        assert_eq!(hint.unwrap(), "known here: `bench`, `office`");
        let (_, hint) = Printers::default().choose("bench").unwrap_err();
        assert_eq!(hint.unwrap(), "name it in the shop file: `printers: {bench: {dpi: 203}}`");
    }
}
