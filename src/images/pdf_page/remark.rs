//! What the importer has to say about a page that it took.
//!
//! In: nothing. Out: the types of remarks and archival problems, with words for a person. Not
//! here: finding them (`annotations`, `archive`).

use std::fmt;

/// Something on a page that may look different on paper than the user saw it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PageRemark {
    /// A note, field or other mark that viewers show on the screen but do not print; it is left
    /// out.
    ScreenOnly {
        /// The annotation's kind as the file calls it, such as `Widget`.
        kind: String,
    },
    /// A filled form field whose stored picture is placed although the file asks viewers to draw
    /// it anew.
    StaleField {
        /// What the form calls it.
        name: String,
    },
}

impl fmt::Display for PageRemark {
    /// The remark as the end of a message that names the file and page.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PageRemark::ScreenOnly { kind } => {
                write!(f, "a mark of the kind `{kind}` is shown on the screen only and left out")
            }
            PageRemark::StaleField { name } => write!(
                f,
                "the form field `{name}` is placed as last saved and may differ from its value"
            ),
        }
    }
}

/// Colours that depend on the device, and so need an output intent of their kind in PDF/A.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DeviceColour {
    /// `DeviceRGB`
    Rgb,
    /// `DeviceCMYK`
    Cmyk,
}

/// Why a document with the page in it is not PDF/A-2b (ISO 19005-2; the clauses beside each are
/// numbered as in krilla's notes on that standard).
///
/// The list names what is met in carried objects, used or not. An empty list is no proof:
/// neither the insides of fonts, pictures and profiles nor the number ranges are looked at.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ArchivalProblem {
    /// Colour without a profile; allowed only under an output intent of that kind (6.2.4.3).
    DeviceColour(DeviceColour),
    /// A font without its font file (6.2.11.4.1).
    UnembeddedFont {
        /// What the file calls it.
        name: String,
    },
    /// A stream packed with LZW, or in a way that the standard does not know (6.1.7).
    Filter {
        /// What the file calls it, such as `LZWDecode`.
        name: String,
    },
    /// A JPEG 2000 picture, allowed only within limits that are not looked at here (6.2.8.3).
    Jpeg2000,
    /// A picture that asks to be smoothed (6.2.8.1).
    Interpolation,
    /// A transfer function or a halftone's origin (6.2.5).
    TransferFunction,
    /// An operator that no standard knows, or content that is not well formed (6.2.2).
    UnknownOperator {
        /// The operator, or what stands in its place.
        operator: String,
    },
    /// A form that uses resources without stating them (6.2.2).
    MissingResources,
    /// Graphics states saved more than 28 deep (6.1.13).
    DeepNesting,
    /// Drawing that could not be unpacked and looked at.
    Unreadable,
}

impl fmt::Display for ArchivalProblem {
    /// The problem as the end of a message that names the file and page.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ArchivalProblem::DeviceColour(DeviceColour::Rgb) => {
                f.write_str("it has RGB colours without a profile")
            }
            ArchivalProblem::DeviceColour(DeviceColour::Cmyk) => {
                f.write_str("it has CMYK colours without a profile")
            }
            ArchivalProblem::UnembeddedFont { name } => {
                write!(f, "its font `{name}` is not embedded")
            }
            ArchivalProblem::Filter { name } => write!(f, "it has data packed with `{name}`"),
            ArchivalProblem::Jpeg2000 => f.write_str("it has a JPEG 2000 picture"),
            ArchivalProblem::Interpolation => f.write_str("it has a picture to be smoothed"),
            ArchivalProblem::TransferFunction => f.write_str("it changes the device's tones"),
            ArchivalProblem::UnknownOperator { operator } => {
                write!(f, "its content has the unknown operator `{operator}`")
            }
            ArchivalProblem::MissingResources => f.write_str("a form on it states no resources"),
            ArchivalProblem::DeepNesting => f.write_str("its graphics states are nested too deep"),
            ArchivalProblem::Unreadable => f.write_str("a part of it cannot be looked at"),
        }
    }
}
