//! What the shop wants done about hazards: how strict to be, and where to sign.
//!
//! In: the section `hazards` of the shop file. Out: [`HazardRules`]. There is no setting that
//! declares anything: what is in a parcel is said order by order.

use crate::record::{Kind, Record, optional};
use crate::tree::Node;

/// The section of the shop file.
pub(super) static HAZARDS: Record = Record {
    name: "hazards",
    doc: "What is done about hazards.",
    fields: &[
        optional(
            "undeclared",
            Kind::Word(&["warning", "error", "allow"]),
            "what an order is that says nothing of hazards; default: `warning`",
        ),
        optional(
            "signature",
            Kind::Word(&["none", "once", "each"]),
            "lines on the handover list for the sender to sign what is declared: `once` for all, or \
             `each` parcel; default: `none`",
        ),
    ],
};

/// What the shop wants done about hazards.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct HazardRules {
    /// What an order is that says nothing of hazards.
    pub undeclared: Undeclared,
    /// Where the sender signs what is declared.
    pub signature: HazardSignature,
}

/// What an order is that says nothing of hazards.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Undeclared {
    /// Nothing is said about it.
    Allow,
    /// Warned of, and printed.
    #[default]
    Warning,
    /// Not printed.
    Error,
}

/// Where the sender signs, by hand, what is declared.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum HazardSignature {
    /// Nowhere.
    #[default]
    None,
    /// Once for all declared parcels.
    Once,
    /// For each declared parcel.
    Each,
}

impl HazardSignature {
    /// The word that layouts see; empty for none.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            HazardSignature::None => "",
            HazardSignature::Once => "once",
            HazardSignature::Each => "each",
        }
    }
}

/// The section's value; what it does not say is as by default.
pub(super) fn read_hazards(shop: &Node) -> HazardRules {
    let word = |name| shop.get("hazards")?.get(name)?.literal();
    HazardRules {
        undeclared: match word("undeclared") {
            Some("allow") => Undeclared::Allow,
            Some("error") => Undeclared::Error,
            _ => Undeclared::Warning,
        },
        signature: match word("signature") {
            Some("once") => HazardSignature::Once,
            Some("each") => HazardSignature::Each,
            _ => HazardSignature::None,
        },
    }
}
