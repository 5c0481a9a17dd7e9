//! The sides of things that come in two: a pair of label and bench card, a sheet of paper.
//!
//! Words that several stages share and none of them owns. Not here: the sides of boxes (`geom`).

/// Which of a pair a page, or a code on it, is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PairSide {
    /// The label that goes on the parcel.
    Label,
    /// The bench card that travels with the items.
    Card,
}

/// Which side of a leaf a page is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LeafSide {
    /// The side that is read first.
    Front,
    /// The side behind it.
    Back,
}

/// The edge that a printer turns paper over to print its back.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TurnEdge {
    /// The longer one: backs come as the next page of a book.
    #[default]
    Long,
    /// The shorter one: backs come as the next page of a calendar.
    Short,
}
