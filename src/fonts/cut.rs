//! The cuts of a family, and which stands in for which.

/// The cuts that a layout can ask for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Cut {
    /// Normal weight and width.
    #[default]
    Regular,
    /// Bold, normal width.
    Bold,
    /// Bold and narrow.
    CondensedBold,
    /// Normal weight and width, slanted.
    Italic,
    /// Bold, normal width, slanted.
    BoldItalic,
}

impl Cut {
    /// All cuts, in the order of the slots of a family.
    pub const ALL: [Self; 5] =
        [Self::Regular, Self::Bold, Self::CondensedBold, Self::Italic, Self::BoldItalic];

    /// The cuts that the built-in family has.
    pub const UPRIGHT: [Self; 3] = [Self::Regular, Self::Bold, Self::CondensedBold];

    /// The cuts to try for this one, the nearest first.
    pub(super) fn nearest(self) -> [Self; 5] {
        use Cut::{Bold, BoldItalic, CondensedBold, Italic, Regular};
        match self {
            Regular => [Regular, Bold, CondensedBold, Italic, BoldItalic],
            Bold => [Bold, CondensedBold, Regular, BoldItalic, Italic],
            CondensedBold => [CondensedBold, Bold, Regular, BoldItalic, Italic],
            Italic => [Italic, BoldItalic, Regular, Bold, CondensedBold],
            BoldItalic => [BoldItalic, Italic, Bold, CondensedBold, Regular],
        }
    }

    /// Slot of the cut in its family.
    pub(super) fn slot(self) -> usize {
        self as usize
    }

    /// The cut in words, as messages give it.
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Regular => "regular",
            Self::Bold => "bold",
            Self::CondensedBold => "condensed bold",
            Self::Italic => "italic",
            Self::BoldItalic => "bold italic",
        }
    }
}
