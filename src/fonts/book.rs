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

use super::cut::Cut;
use super::emoji::unpack_emoji;
use super::error::FontError;
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
