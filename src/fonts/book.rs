//! The fonts that a job may print with, and the order in which they stand in
//! for one another.
//!
//! Comes in: font files with the family and cut they are to serve as. Goes
//! out: a [`FontBook`] that names faces by [`FontId`], answers for their
//! measures and outlines, and lists which face to try after which. Reading
//! folders and shaping text are not its job.

use std::fmt;
use std::sync::{Arc, OnceLock};

use read_fonts::model::Blob;

use super::emoji::unpack_emoji;
use super::face::{Embedding, Face, FaceMetrics, GlyphBox};
use crate::geom::Segment;

/// Family name of the fonts that are compiled in.
const BUILTIN_FAMILY: &str = "Noto Sans";

/// The compiled-in files; `fonts/README.md` says where they are from.
const BUILTIN_FACES: [(Cut, &[u8]); 3] = [
    (
        Cut::Regular,
        include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/fonts/NotoSans-Regular.ttf")),
    ),
    (Cut::Bold, include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/fonts/NotoSans-Bold.ttf"))),
    (
        Cut::CondensedBold,
        include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/fonts/NotoSans-CondensedBold.ttf")),
    ),
];

/// Names a face of the book that handed it out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FontId(u16);

impl FontId {
    /// Position of the face in its book, from 0.
    #[must_use]
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

/// Names a family of the book that handed it out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FamilyId(u16);

impl FamilyId {
    /// Position of the family in its book, from 0; the built-in family is 0.
    #[must_use]
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

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
    fn nearest(self) -> [Self; 5] {
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
    fn slot(self) -> usize {
        self as usize
    }

    /// The cut in words, as messages give it.
    fn name(self) -> &'static str {
        match self {
            Self::Regular => "regular",
            Self::Bold => "bold",
            Self::CondensedBold => "condensed bold",
            Self::Italic => "italic",
            Self::BoldItalic => "bold italic",
        }
    }
}

/// Why a font file cannot be used, or a glyph of it cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum FontError {
    /// The data is no TrueType or OpenType font.
    NotAFont {
        /// What it seems to be.
        found: &'static str,
    },
    /// The file has fewer faces than asked for.
    NoSuchFace {
        /// The face asked for, from 0.
        index: u32,
        /// Faces in the file.
        count: u32,
    },
    /// The face has no outlines that can be printed.
    NoOutlines {
        /// What it has instead.
        found: &'static str,
    },
    /// The face does not say which glyph belongs to which character.
    NoCharacterMap,
    /// The family has a face for this cut already.
    CutTaken {
        /// Name of the family.
        family: String,
        /// The cut.
        cut: Cut,
    },
    /// The family name is empty.
    NoFamilyName,
    /// The book holds as many faces or families as it can name.
    BookFull,
    /// A glyph's outline is missing or damaged.
    UnreadableGlyph {
        /// Number of the glyph.
        glyph: u16,
    },
}

impl FontError {
    /// The change that would help, if there is one to name.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::NotAFont { found: "a WOFF web font" } => {
                Some("convert it to a `.ttf` or `.otf` file first".to_owned())
            }
            Self::NoOutlines { found: "variable CFF2 outlines" } => {
                Some("use the static files of the family instead".to_owned())
            }
            Self::CutTaken { family, .. } => Some(format!(
                "add it under another family name than `{family}`, or leave one of the two out"
            )),
            _ => None,
        }
    }
}

impl fmt::Display for FontError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAFont { found } => {
                write!(f, "expected a TrueType or OpenType font, found {found}")
            }
            Self::NoSuchFace { index, count } => {
                write!(f, "expected a face number under {count}, found `{index}`")
            }
            Self::NoOutlines { found } => {
                write!(f, "expected TrueType or CFF outlines, found {found}")
            }
            Self::NoCharacterMap => {
                f.write_str("expected a font with a Unicode character map, found none")
            }
            Self::CutTaken { family, cut } => {
                write!(f, "family `{family}` has a {} face already", cut.name())
            }
            Self::NoFamilyName => f.write_str("expected a family name, found an empty one"),
            Self::BookFull => f.write_str("too many fonts, at most 65,535 can be used"),
            Self::UnreadableGlyph { glyph } => {
                write!(f, "the outline of glyph {glyph} is missing or damaged")
            }
        }
    }
}

impl std::error::Error for FontError {}

/// A family and the faces it has for the cuts.
#[derive(Clone)]
struct Family {
    /// Name as first given.
    name: String,
    /// Faces in the order of [`Cut::ALL`].
    faces: [Option<FontId>; Cut::ALL.len()],
}

/// A face of a book.
#[derive(Clone)]
enum ShelfFace {
    /// Checked and read.
    Read(Box<Face>),
    /// The emoji, read when they are first asked for.
    Emoji(OnceLock<Box<Face>>),
}

/// What the copies of a book share.
#[derive(Clone, Default)]
struct FaceShelf {
    /// All faces, in the order they were added.
    faces: Vec<ShelfFace>,
    /// The face that stands in when no other can.
    emoji: Option<FontId>,
    /// All families, in the order they were added.
    families: Vec<Family>,
}

/// The faces a job may use; copying it is cheap and threads may share it.
#[derive(Clone)]
pub struct FontBook {
    /// Shared contents; adding to a copy leaves the others as they were.
    shelf: Arc<FaceShelf>,
}

impl FontBook {
    /// The book with the compiled-in faces, three cuts and emoji, and nothing else.
    #[must_use]
    pub fn builtin() -> Self {
        static BUILTIN: OnceLock<FontBook> = OnceLock::new();
        BUILTIN.get_or_init(read_builtin).clone()
    }

    /// Adds a font file as the face of `family` for `cut`.
    ///
    /// A family named for the first time goes to the end of the fallback
    /// list. Names are compared without regard to case.
    ///
    /// # Errors
    /// [`FontError`] when the file cannot be used or the cut is taken.
    pub fn add_family(
        &mut self,
        family: &str,
        cut: Cut,
        data: Vec<u8>,
    ) -> Result<FontId, FontError> {
        self.add_face(family, cut, data, 0)
    }

    /// Adds face number `index` of a collection, as [`FontBook::add_family`] does.
    ///
    /// # Errors
    /// As for [`FontBook::add_family`].
    pub fn add_face(
        &mut self,
        family: &str,
        cut: Cut,
        data: Vec<u8>,
        index: u32,
    ) -> Result<FontId, FontError> {
        self.insert(family, cut, Blob::from(data), index)
    }

    /// Checks and files a face.
    fn insert(
        &mut self,
        family: &str,
        cut: Cut,
        data: Blob,
        index: u32,
    ) -> Result<FontId, FontError> {
        let name = family.trim();
        if name.is_empty() {
            return Err(FontError::NoFamilyName);
        }
        let known = self.family(name);
        if let Some(known) = known
            && self.face(known, cut).is_some()
        {
            return Err(FontError::CutTaken { family: self.family_name(known).to_owned(), cut });
        }
        let id = u16::try_from(self.shelf.faces.len()).map_err(|_| FontError::BookFull)?;
        let face = Face::new(data, index, known.map_or(name, |id| self.family_name(id)))?;
        let shelf = Arc::make_mut(&mut self.shelf);
        let at = known.map_or(shelf.families.len(), FamilyId::index);
        if known.is_none() {
            shelf.families.push(Family { name: name.to_owned(), faces: [None; Cut::ALL.len()] });
        }
        shelf.faces.push(ShelfFace::Read(Box::new(face)));
        shelf.families[at].faces[cut.slot()] = Some(FontId(id));
        Ok(FontId(id))
    }

    /// Finds a family by name, without regard to case.
    #[must_use]
    pub fn family(&self, name: &str) -> Option<FamilyId> {
        let wanted = name.trim().to_lowercase();
        let at =
            self.shelf.families.iter().position(|family| family.name.to_lowercase() == wanted)?;
        u16::try_from(at).ok().map(FamilyId)
    }

    /// Name of a family as it was first given.
    #[must_use]
    pub fn family_name(&self, family: FamilyId) -> &str {
        &self.shelf.families[family.index()].name
    }

    /// All families in the order they were added, the built-in one first.
    pub fn families(&self) -> impl Iterator<Item = (FamilyId, &str)> {
        (0..).zip(&self.shelf.families).map(|(at, family)| (FamilyId(at), family.name.as_str()))
    }

    /// All faces in the order they were added.
    pub fn fonts(&self) -> impl Iterator<Item = FontId> {
        (0..).zip(&self.shelf.faces).map(|(at, _)| FontId(at))
    }

    /// The face that a family has for exactly this cut.
    #[must_use]
    pub fn face(&self, family: FamilyId, cut: Cut) -> Option<FontId> {
        self.shelf.families[family.index()].faces[cut.slot()]
    }

    /// Whether a family has a slanted face.
    #[must_use]
    pub fn has_italic(&self, family: FamilyId) -> bool {
        [Cut::Italic, Cut::BoldItalic].iter().any(|&cut| self.face(family, cut).is_some())
    }

    /// The faces to try for a style, in order; never empty.
    ///
    /// The chosen family comes first, then the others as they were added, then the emoji that are
    /// compiled in; within a family the wanted cut comes before its nearest relatives.
    #[must_use]
    pub fn fallbacks(&self, family: Option<FamilyId>, cut: Cut) -> Vec<FontId> {
        self.candidates(family, cut).collect()
    }

    /// The first of [`FontBook::fallbacks`].
    #[must_use]
    pub fn first_choice(&self, family: Option<FamilyId>, cut: Cut) -> Option<FontId> {
        self.candidates(family, cut).next()
    }

    /// [`FontBook::fallbacks`], one by one.
    fn candidates(&self, family: Option<FamilyId>, cut: Cut) -> impl Iterator<Item = FontId> {
        let families = &self.shelf.families;
        let chosen = family.and_then(|id| families.get(id.index()));
        let rest = families
            .iter()
            .enumerate()
            .filter(move |(at, _)| Some(*at) != family.map(FamilyId::index))
            .map(|(_, family)| family);
        chosen
            .into_iter()
            .chain(rest)
            .flat_map(move |family| cut.nearest().map(|cut| family.faces[cut.slot()]))
            .flatten()
            .chain(self.shelf.emoji)
    }

    /// The font file that holds a face, whole.
    #[must_use]
    pub fn data(&self, font: FontId) -> &[u8] {
        &self.get(font).data
    }

    /// Position of a face in its file; above 0 only in collections.
    #[must_use]
    pub fn collection_index(&self, font: FontId) -> u32 {
        self.get(font).index
    }

    /// Measures of a face.
    #[must_use]
    pub fn metrics(&self, font: FontId) -> &FaceMetrics {
        &self.get(font).metrics
    }

    /// Outline of a glyph in em, y upwards; no segments for a blank one.
    ///
    /// # Errors
    /// [`FontError::UnreadableGlyph`] when the font has no such glyph or its data is damaged.
    pub fn outline(&self, font: FontId, glyph: u16) -> Result<Vec<Segment>, FontError> {
        self.get(font).outline(glyph)
    }

    /// Box round a glyph's outline, control points included; none for a blank one.
    #[must_use]
    pub fn glyph_bounds(&self, font: FontId, glyph: u16) -> Option<GlyphBox> {
        self.get(font).glyph_bounds(glyph)
    }

    /// What the licence bits of a face allow a document to carry.
    #[must_use]
    pub fn embedding(&self, font: FontId) -> Embedding {
        self.get(font).embedding
    }

    /// Says whether a document may carry the face, whole or in part.
    #[must_use]
    pub fn embedding_allowed(&self, font: FontId) -> bool {
        self.embedding(font) != Embedding::Forbidden
    }

    /// The face behind a name; only this book hands such names out.
    pub(super) fn get(&self, font: FontId) -> &Face {
        match &self.shelf.faces[font.index()] {
            ShelfFace::Read(face) => face,
            ShelfFace::Emoji(face) => face.get_or_init(|| Box::new(unpack_emoji())),
        }
    }

    /// Says whether two books are the same shelf, not merely alike.
    pub(super) fn is_same(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.shelf, &other.shelf)
    }
}

impl fmt::Debug for FontBook {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_list().entries(self.families().map(|(_, name)| name)).finish()
    }
}

/// Reads the compiled-in files.
fn read_builtin() -> FontBook {
    let mut book = FontBook { shelf: Arc::default() };
    for (cut, data) in BUILTIN_FACES {
        book.insert(BUILTIN_FAMILY, cut, Blob::Static(data), 0)
            .expect("the compiled-in fonts are tested");
    }
    let shelf = Arc::make_mut(&mut book.shelf);
    shelf.emoji = u16::try_from(shelf.faces.len()).ok().map(FontId);
    shelf.faces.push(ShelfFace::Emoji(OnceLock::new()));
    book
}
