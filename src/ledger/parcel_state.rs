//! The states of a parcel, and which of them still want something done.

/// How far a parcel is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ParcelState {
    /// It lies on the bench.
    LinedUp,
    /// Its papers are printed.
    Printed,
    /// Its label and bench card were found to belong together.
    Matched,
    /// It went to whoever carries it.
    HandedOver,
    /// It does not go.
    TakenOff,
    /// It does not go tonight.
    SetAside,
}

impl ParcelState {
    /// All states, in the order of an evening.
    pub const ALL: [ParcelState; 6] = [
        ParcelState::LinedUp,
        ParcelState::Printed,
        ParcelState::Matched,
        ParcelState::HandedOver,
        ParcelState::TakenOff,
        ParcelState::SetAside,
    ];

    /// As lists and messages say it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            ParcelState::LinedUp => "lined up",
            ParcelState::Printed => "printed",
            ParcelState::Matched => "matched",
            ParcelState::HandedOver => "handed over",
            ParcelState::TakenOff => "taken off",
            ParcelState::SetAside => "set aside",
        }
    }

    /// The state of that name; `-` may stand for the space.
    #[must_use]
    pub fn parse(text: &str) -> Option<ParcelState> {
        let text = text.replace('-', " ");
        ParcelState::ALL.into_iter().find(|state| state.word() == text)
    }

    /// Whether the parcel is still to go.
    #[must_use]
    pub fn is_open(self) -> bool {
        matches!(self, ParcelState::LinedUp | ParcelState::Printed | ParcelState::Matched)
    }

    /// Whether the parcel left the line without going.
    #[must_use]
    pub fn is_out(self) -> bool {
        matches!(self, ParcelState::TakenOff | ParcelState::SetAside)
    }
}
