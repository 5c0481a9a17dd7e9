//! What drawing a page would take, counted before it is drawn.
//!
//! In: the small PDF that the renderer is given. Out: a refusal, if a form drawn again and again, a
//! dash as short as a speck of dust, or a picture as wide as a field would keep the renderer busy for
//! ever or fill the memory. Steps are counted as often as they are drawn, but looked at once. Not
//! here: drawing (`render`), and what a page may cost that is only carried over (`limits`).

use std::collections::BTreeMap;
use std::rc::Rc;

use super::error::Result;
use super::lexer::{Lexer, PdfToken};
use super::limits::Fuel;
use super::object::{Object, ObjectId, name_is};
use super::operands::{DashRound, Operands};
use super::path_length::PathLength;
use super::raster::{DrawnToil, PageDrawError};
use super::reader::{Loaded, ObjectReader};
use super::scan::picture_end;
use super::xref::read_table;
use crate::limits::{DRAWN_DASHES, DRAWN_DEPTH, DRAWN_PIXELS, DRAWN_STEPS};

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
        }
    }

    /// The same so many times.
    fn times(self, count: u64) -> Toil {
        Toil {
            steps: self.steps.saturating_mul(count),
            dashes: self.dashes.saturating_mul(count),
            pixels: self.pixels.saturating_mul(count),
        }
    }

    /// What of it there is too much of.
    fn excess(self) -> Option<DrawnToil> {
        match self {
            _ if self.steps > DRAWN_STEPS => Some(DrawnToil::Steps),
            _ if self.dashes > DRAWN_DASHES => Some(DrawnToil::Dashes),
            _ if self.pixels > DRAWN_PIXELS => Some(DrawnToil::Pixels),
            _ => None,
        }
    }
}

/// Refuses the file of a page whose drawing takes more than a page of print ever does.
///
/// # Errors
/// What of it there is too much of, or that it cannot be read.
pub(super) fn refuse_toil(file: &[u8]) -> std::result::Result<(), PageDrawError> {
    let counted = count(file).map_err(|_| PageDrawError::Unreadable)?;
    match counted {
        Ok(toil) => toil.excess().map_or(Ok(()), |excess| Err(PageDrawError::Toil(excess))),
        Err(TooDeep) => Err(PageDrawError::Toil(DrawnToil::Depth)),
    }
}

/// Forms stand in one another deeper than they are drawn.
struct TooDeep;

/// Counts what the first page of a file takes.
fn count(file: &[u8]) -> Result<std::result::Result<Toil, TooDeep>> {
    let table = read_table(file, &mut Fuel::new())?;
    let mut reader = ObjectReader::new(file, &table);
    let page = reader.follow(ObjectId { number: 3, generation: 0 })?.1;
    let (content, _) = (reader.follow(ObjectId { number: 4, generation: 0 })?.1, ());
    let plain = reader.unpack(&content)?;
    let names = match page.dict() {
        Some(page) => reader.dict(page, "Resources")?,
        None => None,
    };
    let mut counter = ToilCounter { reader, known: BTreeMap::new(), depth: 0, is_too_deep: false };
    let names = ResourceNames { owner: None, names };
    let toil = counter.content(&plain, &names)?;
    Ok(if counter.is_too_deep { Err(TooDeep) } else { Ok(toil) })
}

/// The names that content uses, and the object they belong to.
#[derive(Clone)]
struct ResourceNames {
    /// The form that has them; none for the page's own.
    owner: Option<ObjectId>,
    /// The resources.
    names: Option<Rc<Loaded>>,
}

/// What of the graphics state matters to the count.
#[derive(Clone, Copy, Debug, Default)]
struct PenState {
    /// The dashes of lines; none for whole lines.
    dashes: Option<DashRound>,
    /// What a letter of the font takes, if the font draws its letters by forms.
    letter: Toil,
    /// What each painting takes for the pattern it is painted with.
    pattern: Toil,
}

/// A walk through content and the forms it draws.
struct ToilCounter<'a> {
    /// Fetches the objects.
    reader: ObjectReader<'a>,
    /// What forms take, by themselves and whose names they use.
    known: BTreeMap<(ObjectId, Option<ObjectId>), Toil>,
    /// How many forms stand around the one that is looked at.
    depth: usize,
    /// Whether forms stand in one another too deep.
    is_too_deep: bool,
}

impl ToilCounter<'_> {
    /// What a form, a pattern's cell or a letter takes, drawn once.
    fn form(&mut self, id: ObjectId, around: &ResourceNames) -> Result<Toil> {
        let (id, loaded) = self.reader.follow(id)?;
        let Some(dict) = loaded.dict().filter(|_| loaded.data.is_some()) else {
            return Ok(Toil::default());
        };
        let own = self.reader.dict(dict, "Resources")?;
        let names = match own {
            Some(names) => ResourceNames { owner: Some(id), names: Some(names) },
            None => around.clone(),
        };
        if let Some(known) = self.known.get(&(id, names.owner)) {
            return Ok(*known);
        }
        if self.depth == DRAWN_DEPTH {
            self.is_too_deep = true;
            return Ok(Toil::default());
        }
        // What cannot be unpacked is not drawn either.
        let plain = self.reader.unpack(&loaded).unwrap_or_default();
        let is_group = dict.get("Group").is_some();
        self.depth += 1;
        let toil = self.content(&plain, &names);
        self.depth -= 1;
        let group = Toil { steps: if is_group { GROUP_STEPS } else { 0 }, ..Toil::default() };
        let toil = toil?.and(group);
        self.known.insert((id, names.owner), toil);
        Ok(toil)
    }

    /// What content takes.
    fn content(&mut self, plain: &[u8], names: &ResourceNames) -> Result<Toil> {
        self.reader.fuel.spend(plain.len())?;
        let mut lexer = Lexer::new(plain, 0);
        let mut walk = ContentWalk::default();
        while !self.is_too_deep {
            match lexer.next() {
                Ok(PdfToken::End) => break,
                Ok(PdfToken::Word(b"BI")) => walk.inline_picture(&mut lexer),
                Ok(PdfToken::Word(word)) => {
                    walk.toil = walk.toil.and(Toil::of_steps(1));
                    self.operator(word, &mut walk, names)?;
                    walk.operands = Operands::default();
                    walk.text = 0;
                }
                Ok(token) => walk.operand(token),
                Err(_) => lexer.go_to(lexer.at() + 1),
            }
        }
        Ok(walk.toil)
    }

    /// What an operator takes, with what stands before it.
    fn operator(
        &mut self,
        word: &[u8],
        walk: &mut ContentWalk,
        names: &ResourceNames,
    ) -> Result<()> {
        match word {
            b"q" if walk.saved.len() < SAVED => walk.saved.push(walk.pen),
            b"Q" => walk.pen = walk.saved.pop().unwrap_or(walk.pen),
            b"d" => walk.set_dashes(),
            b"S" | b"s" | b"B" | b"B*" | b"b" | b"b*" => walk.paint(true),
            b"f" | b"F" | b"f*" => walk.paint(false),
            b"n" => walk.path = PathLength::default(),
            b"Tj" | b"TJ" | b"'" | b"\"" => walk.letters(),
            b"g" | b"rg" | b"k" | b"G" | b"RG" | b"K" => walk.pen.pattern = Toil::default(),
            b"Do" => {
                let toil = self.named(&walk.name, "XObject", names, Self::external)?;
                walk.toil = walk.toil.and(toil);
            }
            b"sh" => {
                let toil = self.named(&walk.name, "Shading", names, Self::shading)?;
                walk.toil = walk.toil.and(toil);
            }
            b"scn" | b"SCN" => {
                let toil = self.named(&walk.name, "Pattern", names, Self::pattern)?;
                walk.pen.pattern = walk.pen.pattern.and(toil);
            }
            b"Tf" => walk.pen.letter = self.named(&walk.name, "Font", names, Self::letter)?,
            b"gs" => self.graphics_state(walk, names)?,
            _ => walk.path.follow(word, &walk.operands.numbers),
        }
        Ok(())
    }

    /// What the resource of a name and kind takes.
    fn named(
        &mut self,
        name: &[u8],
        kind: &str,
        names: &ResourceNames,
        count: fn(&mut Self, &Object, &ResourceNames) -> Result<Toil>,
    ) -> Result<Toil> {
        let found = self.find(name, kind, names)?;
        found.map_or(Ok(Toil::default()), |found| count(self, &found, names))
    }

    /// The resource of a name and kind.
    fn find(&mut self, name: &[u8], kind: &str, names: &ResourceNames) -> Result<Option<Object>> {
        let Some(resources) = names.names.as_ref().and_then(|names| names.dict()) else {
            return Ok(None);
        };
        let Some(kinds) = self.reader.dict(resources, kind)? else { return Ok(None) };
        let entries = kinds.dict().map_or(&[][..], |kinds| &kinds.entries);
        let wanted = super::object::name_value(name);
        Ok(entries.iter().find(|(key, _)| name_is(key, &wanted)).map(|(_, value)| value.clone()))
    }

    /// What a picture or form takes.
    fn external(&mut self, object: &Object, names: &ResourceNames) -> Result<Toil> {
        let Object::Ref(id) = object else { return Ok(Toil::default()) };
        let loaded = self.reader.follow(*id)?.1;
        match loaded.dict() {
            Some(dict) if dict.has_name("Subtype", "Image") => {
                let mut pixels = self.pixels(&loaded)?;
                for key in ["SMask", "Mask"] {
                    if let Some(mask) = self.reader.get(dict, key)?.filter(|it| it.data.is_some()) {
                        pixels = pixels.saturating_add(self.pixels(&mask)?);
                    }
                }
                Ok(Toil { pixels, ..Toil::default() })
            }
            _ => self.form(*id, names),
        }
    }

    /// How many pixels a picture says it has.
    fn pixels(&mut self, picture: &Loaded) -> Result<u64> {
        let Some(dict) = picture.dict() else { return Ok(0) };
        let mut side = |key: &str| -> Result<u64> {
            let length = self.reader.get(dict, key)?.and_then(|value| value.object.number());
            // A length that is no count is for the renderer to refuse.
            Ok(length.map_or(0, |length| length.max(0.0) as u64))
        };
        Ok(side("Width")?.saturating_mul(side("Height")?))
    }

    /// What a shading takes: its triangles are counted by the bytes that say them.
    fn shading(&mut self, object: &Object, _names: &ResourceNames) -> Result<Toil> {
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
            return self.shading(shading, names);
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
        Ok(self.form(*id, names)?.times(copies))
    }

    /// What a letter of a font takes that draws its letters by forms: as much as its costliest.
    fn letter(&mut self, object: &Object, names: &ResourceNames) -> Result<Toil> {
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
            let Toil { steps, dashes, pixels } = self.form(*id, &names)?;
            most = Toil {
                steps: most.steps.max(steps),
                dashes: most.dashes.max(dashes),
                pixels: most.pixels.max(pixels),
            };
        }
        Ok(most)
    }

    /// Takes over the dashes of a graphics state, and counts its mask.
    fn graphics_state(&mut self, walk: &mut ContentWalk, names: &ResourceNames) -> Result<()> {
        let Some(state) = self.find(&walk.name, "ExtGState", names)? else { return Ok(()) };
        let state = self.reader.resolve(&state)?;
        let Some(state) = state.dict() else { return Ok(()) };
        if state.get("D").is_some() {
            let dashes = self.reader.list(state, "D")?;
            let Some(lengths) = dashes.first() else { return Ok(()) };
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
            let toil = self.form(*group, names)?;
            walk.toil = walk.toil.and(toil);
        }
        Ok(())
    }
}

/// The way through one content stream.
#[derive(Default)]
struct ContentWalk {
    /// What it took so far.
    toil: Toil,
    /// The state of the pen.
    pen: PenState,
    /// The states saved.
    saved: Vec<PenState>,
    /// The path so far.
    path: PathLength,
    /// What stands before an operator.
    operands: Operands,
    /// The last name.
    name: Vec<u8>,
    /// The bytes of text before an operator.
    text: usize,
}

impl ContentWalk {
    /// Takes in an operand.
    fn operand(&mut self, token: PdfToken<'_>) {
        match token {
            PdfToken::Number(number) => {
                let number = std::str::from_utf8(number).ok().and_then(|it| it.parse().ok());
                // A renderer may make something of what is no number to us.
                self.operands.number(number.unwrap_or(f64::NAN));
            }
            PdfToken::ArrayStart => self.operands.open_array(),
            PdfToken::ArrayEnd => self.operands.close_array(),
            PdfToken::Name(name) => {
                self.name.clear();
                self.name.extend_from_slice(name);
                self.operands.other();
            }
            PdfToken::Text(text) => {
                self.text = self.text.saturating_add(text.len());
                self.operands.other();
            }
            _ => self.operands.other(),
        }
    }

    /// Takes over the dashes that stand before `d`; where they are not what it asks for, it sets
    /// nothing, and the dashes from before go on.
    fn set_dashes(&mut self) {
        if let (Some(round), [_]) = (self.operands.array, &self.operands.numbers[..]) {
            self.pen.dashes = round.if_any();
        }
    }

    /// Paints the path.
    fn paint(&mut self, is_stroked: bool) {
        if let (true, Some(round)) = (is_stroked, self.pen.dashes) {
            let dashes = round.dashes_of(self.path.length());
            self.toil.dashes = self.toil.dashes.saturating_add(dashes);
        }
        self.toil = self.toil.and(self.pen.pattern);
        self.path = PathLength::default();
    }

    /// Shows letters, one a byte.
    fn letters(&mut self) {
        let letters = self.pen.letter.times(self.text as u64);
        self.toil = self.toil.and(Toil::of_steps(self.text)).and(letters).and(self.pen.pattern);
    }

    /// Passes a picture in the stream, whose `BI` was just read.
    fn inline_picture(&mut self, lexer: &mut Lexer<'_>) {
        let mut sides = [0_u64; 2];
        let mut key: &[u8] = b"";
        loop {
            match lexer.next() {
                Ok(PdfToken::Word(b"ID")) => break,
                Ok(PdfToken::Name(name)) => {
                    key = name;
                    continue;
                }
                Ok(PdfToken::Number(number)) => {
                    let number = std::str::from_utf8(number).ok().and_then(|it| it.parse().ok());
                    match key {
                        b"W" | b"Width" => sides[0] = number.unwrap_or(0),
                        b"H" | b"Height" => sides[1] = number.unwrap_or(0),
                        _ => {}
                    }
                }
                Ok(PdfToken::End) | Err(_) => return,
                Ok(_) => {}
            }
            key = b"";
        }
        let pixels = sides[0].saturating_mul(sides[1]);
        self.toil = self.toil.and(Toil { steps: 1, dashes: 0, pixels });
        let data = lexer.rest();
        let end = picture_end(data).unwrap_or(data.len());
        lexer.go_to(lexer.at() + end);
    }
}
