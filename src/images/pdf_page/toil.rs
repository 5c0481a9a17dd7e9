//! What drawing a page would take, counted before it is drawn.
//!
//! In: the small PDF that the renderer is given. Out: a refusal, if a form drawn again and again, a
//! dash as short as a speck of dust, or a picture as wide as a field would keep the renderer busy for
//! ever or fill the memory. Content is read by the renderer's own reader: what we took for something
//! else than it does, we would not count. Steps are counted as often as they are drawn, but looked at
//! once for each pen they are drawn with. Not here: drawing (`render`), what the pen is (`pen_state`),
//! and what a page may cost that is only carried over (`limits`).

use std::collections::BTreeMap;

use hayro::hayro_syntax::Pdf;
use hayro::hayro_syntax::content::TypedIter;
use hayro::hayro_syntax::content::ops::TypedInstruction;
use hayro::hayro_syntax::object::{Object as DrawnObject, ObjectIdentifier, Stream};

use super::draw_error::{DrawnToil, PageDrawError};
use super::error::Result;
use super::fuel::Fuel;
use super::object::{Object, ObjectId, name_is};
use super::path_length::PathLength;
use super::pen_state::{DashRound, PenState, ResourceNames};
use super::reader::ObjectReader;
use super::swell::{picture_pixels, plain_bytes};
use super::xref::read_table;
use crate::limits::{DRAWN_BYTES, DRAWN_DASHES, DRAWN_DEPTH, DRAWN_PIXELS, DRAWN_STEPS};

/// Steps that a group takes beside what is in it: a layer as large as the page is made and laid over
/// what is there. Ours, of the order of what a layer takes in time.
const GROUP_STEPS: u64 = 200;

/// Graphics states saved in one another that are remembered; what is saved deeper goes on as it is.
const SAVED: usize = 1_000;

/// What drawing something takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Toil {
    /// Operators, letters, and bytes of shadings.
    steps: u64,
    /// Dashes of lines.
    dashes: u64,
    /// Pixels of pictures.
    pixels: u64,
    /// Bytes that streams are unpacked to.
    bytes: u64,
}

impl Toil {
    /// So many steps.
    fn of_steps(steps: usize) -> Toil {
        Toil { steps: steps as u64, ..Toil::default() }
    }

    /// Both, one after the other.
    fn and(self, other: Toil) -> Toil {
        Toil {
            steps: self.steps.saturating_add(other.steps),
            dashes: self.dashes.saturating_add(other.dashes),
            pixels: self.pixels.saturating_add(other.pixels),
            bytes: self.bytes.saturating_add(other.bytes),
        }
    }

    /// The same so many times.
    fn times(self, count: u64) -> Toil {
        Toil {
            steps: self.steps.saturating_mul(count),
            dashes: self.dashes.saturating_mul(count),
            pixels: self.pixels.saturating_mul(count),
            bytes: self.bytes.saturating_mul(count),
        }
    }

    /// What of it there is too much of.
    fn excess(self) -> Option<DrawnToil> {
        match self {
            _ if self.steps > DRAWN_STEPS => Some(DrawnToil::Steps),
            _ if self.dashes > DRAWN_DASHES => Some(DrawnToil::Dashes),
            _ if self.pixels > DRAWN_PIXELS => Some(DrawnToil::Pixels),
            _ if self.bytes > DRAWN_BYTES => Some(DrawnToil::Bytes),
            _ => None,
        }
    }
}

/// Refuses the file of a page whose drawing takes more than a page of print ever does.
///
/// # Errors
/// What of it there is too much of, or that it cannot be read.
pub(super) fn refuse_toil(file: &[u8], drawn: &Pdf) -> std::result::Result<(), PageDrawError> {
    // Whatever is unpacked is unpacked at least once.
    let mut unpacked = Toil::default();
    for object in drawn.objects() {
        if let DrawnObject::Stream(stream) = object {
            unpacked.bytes = unpacked.bytes.saturating_add(plain_bytes(&stream));
        }
        if let Some(excess) = unpacked.excess() {
            return Err(PageDrawError::Toil(excess));
        }
    }
    let counted = count(file, drawn).map_err(|_| PageDrawError::Unreadable)?;
    let excess = match counted {
        Ok(toil) => toil.and(unpacked).excess(),
        Err(refused) => Some(refused),
    };
    excess.map_or(Ok(()), |excess| Err(PageDrawError::Toil(excess)))
}

/// Counts what the first page of a file takes, or says what it must not ask for at all.
fn count(file: &[u8], drawn: &Pdf) -> Result<std::result::Result<Toil, DrawnToil>> {
    let table = read_table(file, &mut Fuel::new())?;
    let mut reader = ObjectReader::new(file, &table);
    let page = reader.follow(ObjectId { number: 3, generation: 0 })?.1;
    let content = reader.follow(ObjectId { number: 4, generation: 0 })?.1;
    let plain = reader.unpack(&content)?;
    let names = match page.dict() {
        Some(page) => reader.dict(page, "Resources")?,
        None => None,
    };
    let mut counter = ToilCounter {
        reader,
        drawn,
        known: BTreeMap::new(),
        pictures: BTreeMap::new(),
        depth: 0,
        refused: None,
    };
    let names = ResourceNames { owner: None, names };
    let toil = counter.content(&plain, &names, PenState::default())?.toil;
    Ok(counter.refused.map_or(Ok(toil), Err))
}

/// What drawing a form takes, and what it leaves behind.
#[derive(Clone, Copy, Debug, Default)]
struct FormToil {
    /// What it takes.
    toil: Toil,
    /// The path that it began and did not paint: whoever drew it may.
    left: PathLength,
}

/// What a form takes for each pen that draws it.
type ToilByPen = Vec<(PenState, FormToil)>;

/// A walk through content and the forms it draws.
struct ToilCounter<'a> {
    /// Fetches the objects.
    reader: ObjectReader<'a>,
    /// The same file as the renderer has it.
    drawn: &'a Pdf,
    /// What forms take, by themselves and whose names they use.
    known: BTreeMap<(ObjectId, Option<ObjectId>), ToilByPen>,
    /// What pictures take that have a number.
    pictures: BTreeMap<ObjectId, Toil>,
    /// How many forms stand around the one that is looked at.
    depth: usize,
    /// What ends the count: too much of something, or a picture that is not to be unpacked.
    refused: Option<DrawnToil>,
}

impl ToilCounter<'_> {
    /// What a form, a pattern's cell or a letter takes, drawn once with a pen.
    fn form(&mut self, id: ObjectId, around: &ResourceNames, pen: &PenState) -> Result<FormToil> {
        let (id, loaded) = self.reader.follow(id)?;
        let Some(dict) = loaded.dict().filter(|_| loaded.data.is_some()) else {
            return Ok(FormToil::default());
        };
        let own = self.reader.dict(dict, "Resources")?;
        let names = match own {
            Some(names) => ResourceNames { owner: Some(id), names: Some(names) },
            None => around.clone(),
        };
        let known = self.known.entry((id, names.owner)).or_default();
        if let Some((_, known)) = known.iter().find(|(with, _)| with == pen) {
            return Ok(*known);
        }
        if self.depth == DRAWN_DEPTH {
            self.refused = Some(DrawnToil::Depth);
            return Ok(FormToil::default());
        }
        // What cannot be unpacked is not drawn either.
        let plain = self.reader.unpack(&loaded).unwrap_or_default();
        let is_group = dict.get("Group").is_some();
        self.depth += 1;
        let counted = self.content(&plain, &names, pen.clone());
        self.depth -= 1;
        let group = Toil { steps: if is_group { GROUP_STEPS } else { 0 }, ..Toil::default() };
        let mut counted = counted?;
        counted.toil = counted.toil.and(group);
        self.known.entry((id, names.owner)).or_default().push((pen.clone(), counted));
        Ok(counted)
    }

    /// What content takes that is drawn with a pen.
    fn content(&mut self, plain: &[u8], names: &ResourceNames, pen: PenState) -> Result<FormToil> {
        self.reader.fuel.spend(plain.len())?;
        let mut walk = ContentWalk { pen, ..ContentWalk::default() };
        walk.toil.bytes = plain.len() as u64;
        let mut instructions = TypedIter::new(plain);
        while let Some(instruction) = instructions.next()
            && self.refused.is_none()
        {
            walk.toil = walk.toil.and(Toil::of_steps(1));
            if !walk.path.follow(&instruction) && !walk.pen.follow(&instruction, names) {
                self.operator(&instruction, &mut walk, names)?;
            }
            // What is too much already need not be counted to its end.
            self.refused = self.refused.or(walk.toil.excess());
        }
        Ok(FormToil { toil: walk.toil, left: walk.path })
    }

    /// What an operator takes that is none of the path or the pen alone.
    fn operator(
        &mut self,
        instruction: &TypedInstruction<'_, '_>,
        walk: &mut ContentWalk,
        names: &ResourceNames,
    ) -> Result<()> {
        use TypedInstruction as Is;
        match instruction {
            Is::SaveState(_) if walk.saved.len() < SAVED => walk.saved.push(walk.pen.clone()),
            Is::RestoreState(_) => walk.pen = walk.saved.pop().unwrap_or(walk.pen.clone()),
            Is::CloseAndStrokePath(_)
            | Is::CloseFillAndStrokeNonZero(_)
            | Is::CloseFillAndStrokeEvenOdd(_) => {
                walk.path.close();
                self.paint(walk, PathUse::Stroked)?;
            }
            Is::StrokePath(_) | Is::FillAndStrokeNonZero(_) | Is::FillAndStrokeEvenOdd(_) => {
                self.paint(walk, PathUse::Stroked)?;
            }
            Is::FillPathNonZero(_)
            | Is::FillPathNonZeroCompatibility(_)
            | Is::FillPathEvenOdd(_) => self.paint(walk, PathUse::Filled)?,
            Is::EndPath(_) => walk.path = PathLength::default(),
            Is::ShowText(text) => self.letters(walk, text.0.len())?,
            Is::NextLineAndShowText(text) => self.letters(walk, text.0.len())?,
            Is::ShowTextWithParameters(text) => self.letters(walk, text.2.len())?,
            Is::ShowTexts(texts) => {
                let texts = texts.0.iter::<DrawnObject<'_>>().map(|text| match text {
                    DrawnObject::String(text) => text.as_bytes().len(),
                    _ => 0,
                });
                self.letters(walk, texts.sum())?;
            }
            Is::XObject(name) => {
                // A form begins with no path of those around it.
                walk.path = PathLength::default();
                let found = self.find(name.0.as_ref(), "XObject", names)?;
                for object in found {
                    let counted = self.external(&object, names, &walk.pen)?;
                    walk.toil = walk.toil.and(counted.toil);
                    walk.path = walk.path.and(counted.left);
                }
            }
            Is::InlineImage(picture) => {
                let toil = self.picture(picture.0);
                walk.toil = walk.toil.and(toil);
            }
            Is::Shading(name) => {
                for object in self.find(name.0.as_ref(), "Shading", names)? {
                    walk.toil = walk.toil.and(self.shading(&object)?);
                }
            }
            Is::SetGraphicsState(name) => self.graphics_state(name.0.as_ref(), walk, names)?,
            _ => {}
        }
        Ok(())
    }

    /// Counts what painting the path takes, by how it is painted.
    fn paint(&mut self, walk: &mut ContentWalk, path_use: PathUse) -> Result<()> {
        if let (PathUse::Stroked, Some(round)) = (path_use, walk.pen.dashes) {
            let dashes = round.dashes_of(walk.path.length());
            walk.toil.dashes = walk.toil.dashes.saturating_add(dashes);
        }
        walk.toil = walk.toil.and(self.patterns(&walk.pen)?);
        walk.path = PathLength::default();
        Ok(())
    }

    /// Shows letters, one a byte.
    fn letters(&mut self, walk: &mut ContentWalk, count: usize) -> Result<()> {
        let mut letter = Toil::of_steps(1);
        if let Some(font) = walk.pen.font.clone() {
            for object in self.find(&font.name, "Font", &font.names)? {
                letter = letter.and(self.letter(&object, &font.names, &walk.pen)?);
            }
        }
        letter.dashes = letter.dashes.saturating_add(walk.pen.dashes_of_letter());
        let patterns = self.patterns(&walk.pen)?;
        walk.toil = walk.toil.and(letter.times(count as u64)).and(patterns);
        Ok(())
    }

    /// What painting takes with the patterns that the pen has.
    fn patterns(&mut self, pen: &PenState) -> Result<Toil> {
        let mut toil = Toil::default();
        for pattern in pen.patterns.iter().flatten() {
            for object in self.find(&pattern.name, "Pattern", &pattern.names)? {
                toil = toil.and(self.pattern(&object, &pattern.names)?);
            }
        }
        Ok(toil)
    }

    /// The resources of a name and kind: more than one where a name stands twice, since it is the
    /// renderer's to choose.
    fn find(&mut self, name: &[u8], kind: &str, names: &ResourceNames) -> Result<Vec<Object>> {
        let Some(resources) = names.names.as_ref().and_then(|names| names.dict()) else {
            return Ok(Vec::new());
        };
        let of_kind = resources.entries.iter().filter(|(key, _)| name_is(key, kind.as_bytes()));
        let mut found = Vec::new();
        for (_, kinds) in of_kind {
            let kinds = self.reader.resolve(kinds)?;
            let entries = kinds.dict().map_or(&[][..], |kinds| &kinds.entries);
            let of_name = entries.iter().filter(|(key, _)| name_is(key, name));
            found.extend(of_name.map(|(_, value)| value.clone()));
        }
        Ok(found)
    }

    /// What a picture or form takes.
    fn external(
        &mut self,
        object: &Object,
        names: &ResourceNames,
        pen: &PenState,
    ) -> Result<FormToil> {
        let Object::Ref(id) = object else { return Ok(FormToil::default()) };
        let loaded = self.reader.follow(*id)?.1;
        match loaded.dict() {
            Some(dict) if dict.has_name("Subtype", "Image") => {
                let mut toil = self.picture_at(*id);
                for key in ["SMask", "Mask"] {
                    if let Some(Object::Ref(mask)) = dict.get(key) {
                        toil = toil.and(self.picture_at(*mask));
                    }
                }
                Ok(FormToil { toil, ..FormToil::default() })
            }
            _ => self.form(*id, names, pen),
        }
    }

    /// What the picture of a number takes.
    fn picture_at(&mut self, id: ObjectId) -> Toil {
        if let Some(known) = self.pictures.get(&id) {
            return *known;
        }
        let place = ObjectIdentifier::new(id.number, id.generation.into());
        let picture = self.drawn.xref().get::<Stream<'_>>(place);
        let toil = picture.map_or_else(Toil::default, |picture| self.picture(&picture));
        self.pictures.insert(id, toil);
        toil
    }

    /// What a picture takes that is unpacked and drawn once.
    fn picture(&mut self, picture: &Stream<'_>) -> Toil {
        match picture_pixels(picture) {
            Ok(pixels) => Toil { pixels, bytes: plain_bytes(picture), ..Toil::default() },
            Err(refused) => {
                self.refused = Some(refused);
                Toil::default()
            }
        }
    }

    /// What a shading takes: its triangles are counted by the bytes that say them.
    fn shading(&mut self, object: &Object) -> Result<Toil> {
        let loaded = self.reader.resolve(object)?;
        let plain = match loaded.data {
            Some(_) => self.reader.unpack(&loaded).unwrap_or_default(),
            None => Vec::new(),
        };
        Ok(Toil::of_steps(plain.len()))
    }

    /// What painting with a pattern takes: as many cells as overlap in one place, or its shading.
    fn pattern(&mut self, object: &Object, names: &ResourceNames) -> Result<Toil> {
        let loaded = self.reader.resolve(object)?;
        let Some(dict) = loaded.dict() else { return Ok(Toil::default()) };
        if let Some(shading) = dict.get("Shading") {
            return self.shading(shading);
        }
        let Object::Ref(id) = object else { return Ok(Toil::default()) };
        let cell: Vec<f64> =
            self.reader.list(dict, "BBox")?.iter().filter_map(Object::number).collect();
        let mut copies = 1_u64;
        for (key, side) in [("XStep", 0), ("YStep", 1)] {
            let step = self.reader.get(dict, key)?.and_then(|value| value.object.number());
            let length = match (cell.get(side), cell.get(side + 2)) {
                (Some(from), Some(to)) => (to - from).abs(),
                _ => 0.0,
            };
            let step = step.map_or(length, f64::abs);
            copies = copies.saturating_mul((length / step).ceil().max(1.0) as u64);
        }
        // A cell is drawn with a pen of its own.
        Ok(self.form(*id, names, &PenState::default())?.toil.times(copies))
    }

    /// What a letter of a font takes that draws its letters by forms: as much as its costliest.
    fn letter(&mut self, object: &Object, names: &ResourceNames, pen: &PenState) -> Result<Toil> {
        let loaded = self.reader.resolve(object)?;
        let Some(font) = loaded.dict().filter(|font| font.has_name("Subtype", "Type3")) else {
            return Ok(Toil::default());
        };
        let names = match (self.reader.dict(font, "Resources")?, object) {
            (Some(own), Object::Ref(id)) => ResourceNames { owner: Some(*id), names: Some(own) },
            _ => names.clone(),
        };
        let Some(glyphs) = self.reader.dict(font, "CharProcs")? else {
            return Ok(Toil::default());
        };
        let mut most = Toil::default();
        for (_, glyph) in glyphs.dict().map_or(&[][..], |glyphs| &glyphs.entries) {
            let Object::Ref(id) = glyph else { continue };
            let Toil { steps, dashes, pixels, bytes } = self.form(*id, &names, pen)?.toil;
            most = Toil {
                steps: most.steps.max(steps),
                dashes: most.dashes.max(dashes),
                pixels: most.pixels.max(pixels),
                bytes: most.bytes.max(bytes),
            };
        }
        Ok(most)
    }

    /// Takes over the dashes and the font of a graphics state, and counts its mask.
    fn graphics_state(
        &mut self,
        name: &[u8],
        walk: &mut ContentWalk,
        names: &ResourceNames,
    ) -> Result<()> {
        for state in self.find(name, "ExtGState", names)? {
            let state = self.reader.resolve(&state)?;
            let Some(state) = state.dict() else { continue };
            if state.get("D").is_some() {
                let dashes = self.reader.list(state, "D")?;
                let Some(lengths) = dashes.first() else { continue };
                let lengths = self.reader.resolve(lengths)?;
                // What is no list is no setting, and the dashes stay as they were.
                if let Some(lengths) = lengths.object.array() {
                    let mut round = DashRound::default();
                    for length in lengths {
                        let length = self.reader.resolve(length)?;
                        round.add(length.object.number().unwrap_or(f64::NAN));
                    }
                    walk.pen.dashes = round.if_any();
                }
            }
            if let Some(mask) = self.reader.dict(state, "SMask")?
                && let Some(Object::Ref(group)) = mask.dict().and_then(|mask| mask.get("G"))
            {
                let toil = self.form(*group, names, &walk.pen)?.toil;
                walk.toil = walk.toil.and(toil);
            }
        }
        Ok(())
    }
}

/// How a path is painted; one that is filled and stroked counts as stroked.
#[derive(Clone, Copy, PartialEq, Eq)]
enum PathUse {
    /// Inside.
    Filled,
    /// Along its line, dash by dash.
    Stroked,
}

/// The way through one content stream.
#[derive(Default)]
struct ContentWalk {
    /// What it took so far.
    toil: Toil,
    /// What of the graphics state matters.
    pen: PenState,
    /// Those that `q` put away and no `Q` has fetched yet.
    saved: Vec<PenState>,
    /// The path so far.
    path: PathLength,
}
