//! What of the graphics state matters to what drawing takes.
//!
//! In: the operators that set it, as the renderer reads them. Out: dashes, font and patterns. Not
//! here: states that are saved, named or inherited (`toil`).

use std::rc::Rc;

use hayro::hayro_syntax::content::ops::TypedInstruction;
use hayro::hayro_syntax::object::Name;

use super::object::ObjectId;
use super::reader::Loaded;

/// What a renderer makes of a dash of no length at all, in the units of the path: hayro's.
const LEAST_DASH: f64 = 0.01;

/// How long the outline of a letter is, in sizes of its font. Ours: of the letters of our fonts the
/// longest is under twenty.
const OUTLINE: f64 = 100.0;

/// The lengths of dashes and gaps, after which they begin anew.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct DashRound {
    /// How long the round is.
    length: f64,
    /// How many lengths are in it.
    count: u64,
    /// Whether a length in it is none, so that nobody says what a renderer makes of it.
    is_unclear: bool,
}

impl DashRound {
    /// Takes in a length.
    pub(super) fn add(&mut self, length: f64) {
        self.count += 1;
        // Lengths below nothing are forbidden: ISO 32000-1, 8.4.3.6.
        self.is_unclear |= length.is_nan() || length < 0.0;
        self.length += if length == 0.0 { LEAST_DASH } else { length };
    }

    /// The round, if there is a length in it.
    pub(super) fn if_any(self) -> Option<DashRound> {
        (self.count > 0).then_some(self)
    }

    /// The most dashes that a path of a length is drawn with.
    pub(super) fn dashes_of(self, path: f64) -> u64 {
        if self.is_unclear {
            return u64::MAX;
        }
        let rounds = (path / self.length).ceil().max(0.0) as u64;
        rounds.saturating_mul(self.count)
    }
}

/// The names that content uses, and the object they belong to.
#[derive(Clone)]
pub(super) struct ResourceNames {
    /// The form that has them; none for the page's own.
    pub(super) owner: Option<ObjectId>,
    /// The resources; none where content states none.
    pub(super) names: Option<Rc<Loaded>>,
}

/// A font or pattern by its name, where it was set: a form that goes on with it has other names.
#[derive(Clone)]
pub(super) struct NamedUse {
    /// What content calls it.
    pub(super) name: Box<[u8]>,
    /// The names among which it is.
    pub(super) names: ResourceNames,
}

impl PartialEq for NamedUse {
    fn eq(&self, other: &NamedUse) -> bool {
        self.name == other.name && self.names.owner == other.names.owner
    }
}

/// What of the graphics state matters to the count.
#[derive(Clone, Default, PartialEq)]
pub(super) struct PenState {
    /// The dashes of lines; none for whole lines.
    pub(super) dashes: Option<DashRound>,
    /// What letters are drawn with; none before one is set.
    pub(super) font: Option<NamedUse>,
    /// The patterns that areas and lines are painted with.
    pub(super) patterns: [Option<NamedUse>; 2],
    /// The size of letters, in the units of the path.
    size: f64,
    /// How many times larger the text's own matrix makes them.
    scale: Option<f64>,
    /// Whether the outlines of letters are drawn as lines.
    strokes_letters: bool,
}

impl PenState {
    /// Takes in an operator; whether it sets the pen and nothing else.
    pub(super) fn follow(
        &mut self,
        instruction: &TypedInstruction<'_, '_>,
        names: &ResourceNames,
    ) -> bool {
        use TypedInstruction as Is;
        let named =
            |name: &Name<'_>| Some(NamedUse { name: name.as_ref().into(), names: names.clone() });
        match instruction {
            Is::DashPattern(dashes) => {
                let mut round = DashRound::default();
                dashes.0.iter::<f32>().for_each(|length| round.add(f64::from(length)));
                self.dashes = round.if_any();
            }
            Is::TextFont(font) => {
                self.font = named(font.0);
                self.size = font.1.as_f64().abs();
            }
            Is::TextRenderingMode(mode) => {
                self.strokes_letters = !matches!(mode.0.as_f64() as i64, 0 | 3 | 4 | 7);
            }
            Is::BeginText(_) => self.scale = None,
            Is::SetTextMatrix(matrix) => {
                let sides = [&matrix.0, &matrix.1, &matrix.2, &matrix.3];
                self.scale = Some(sides.iter().map(|side| side.as_f64().abs()).sum());
            }
            Is::NonStrokeColorNamed(colour) => self.patterns[0] = colour.1.and_then(named),
            Is::StrokeColorNamed(colour) => self.patterns[1] = colour.1.and_then(named),
            Is::NonStrokeColorDeviceGray(_)
            | Is::NonStrokeColorDeviceRgb(_)
            | Is::NonStrokeColorCmyk(_) => self.patterns[0] = None,
            Is::StrokeColorDeviceGray(_) | Is::StrokeColorDeviceRgb(_) | Is::StrokeColorCmyk(_) => {
                self.patterns[1] = None;
            }
            _ => return false,
        }
        true
    }

    /// The most dashes that a letter is drawn with.
    pub(super) fn dashes_of_letter(&self) -> u64 {
        match self.dashes {
            Some(round) if self.strokes_letters => {
                round.dashes_of(OUTLINE * self.size * self.scale.unwrap_or(1.0))
            }
            _ => 0,
        }
    }
}
