//! What a code is drawn from.

use std::sync::Arc;

use crate::codes::{
    BarRow, CODE128_QUIET_ZONE, Code128, DATA_MATRIX_QUIET_ZONE, DataMatrix, Ean, ModuleGrid,
    QR_QUIET_ZONE, Qr, QuietZone,
};

/// What a code is drawn from.
#[derive(Clone, Debug)]
pub enum Symbol {
    /// Bars of a text, or of element strings of GS1.
    Code128(Arc<Code128>),
    /// An EAN-13, EAN-8 or UPC-A.
    Ean(Arc<Ean>),
    /// A QR Code.
    Qr(Arc<Qr>),
    /// A square of dots, with or without element strings of GS1.
    DataMatrix(Arc<DataMatrix>),
}

/// What all symbols of a kind look like.
#[derive(Clone, Copy, Debug)]
pub enum SymbolForm<'s> {
    /// A row of bars.
    Bars(&'s BarRow),
    /// A square of modules.
    Square(&'s ModuleGrid),
}

impl Symbol {
    /// What it looks like when it stands upright.
    #[must_use]
    pub fn shape(&self) -> SymbolForm<'_> {
        match self {
            Symbol::Code128(symbol) => SymbolForm::Bars(symbol.row()),
            Symbol::Ean(symbol) => SymbolForm::Bars(symbol.row()),
            Symbol::Qr(symbol) => SymbolForm::Square(symbol.grid()),
            Symbol::DataMatrix(symbol) => SymbolForm::Square(symbol.grid()),
        }
    }

    /// What its kind is called.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Symbol::Code128(_) => "Code 128",
            Symbol::Ean(symbol) => symbol.kind().name(),
            Symbol::Qr(_) => "QR Code",
            Symbol::DataMatrix(_) => "Data Matrix",
        }
    }

    /// The white that it needs.
    #[must_use]
    pub fn quiet_zone(&self) -> QuietZone {
        match self {
            Symbol::Code128(_) => CODE128_QUIET_ZONE,
            Symbol::Ean(symbol) => symbol.kind().quiet_zone(),
            Symbol::Qr(_) => QR_QUIET_ZONE,
            Symbol::DataMatrix(_) => DATA_MATRIX_QUIET_ZONE,
        }
    }

    /// Modules from end to end, without quiet zone.
    #[must_use]
    pub fn modules(&self) -> usize {
        match self.shape() {
            SymbolForm::Bars(row) => row.modules(),
            SymbolForm::Square(grid) => grid.size(),
        }
    }

    /// Whether it is a row of bars.
    #[must_use]
    pub fn is_bars(&self) -> bool {
        matches!(self.shape(), SymbolForm::Bars(_))
    }
}
