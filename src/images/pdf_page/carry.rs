//! Carrying objects over: a closed, ordered copy of all that a page draws with.
//!
//! In: references from a page. Out: [`CarriedObject`]s, whose values and packed data are the
//! source's own bytes; only references are left open, to be filled in with new numbers. Left
//! behind are entries that draw nothing and would drag the file along or act: actions, scripts,
//! attached files, metadata, structure, pages and annotations. Not here: what a page consists of
//! (`assemble`).

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::rc::Rc;

use super::error::{PdfImportError, Result, too_large};
use super::layers::Layers;
use super::lexer::is_regular;
use super::limits::{PAGE_BYTES, PAGE_OBJECTS};
use super::object::{Dict, Object, ObjectId, name_is};
use super::reader::{Loaded, ObjectReader};

/// Which object is meant, before it has a number in the new file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum ObjectKey {
    /// An object of the source, the same for each of its pages.
    Source(ObjectId),
    /// An object made for one page.
    Made {
        /// The page's number in its file.
        page: usize,
        /// Which of those made for that page, from 0.
        part: u32,
    },
    /// The form that draws nothing.
    Empty,
}

/// An object ready to be written.
#[derive(Clone, Debug)]
pub(super) struct CarriedObject {
    /// What others refer to it by.
    pub(super) key: ObjectKey,
    /// Everything between `obj` and `endobj`, references left out.
    pub(super) body: Vec<u8>,
    /// Where in `body` which references belong, in order.
    pub(super) references: Vec<(usize, ObjectKey)>,
}

/// Types of dictionaries that are never carried along: they lead out of the page, act, or
/// describe the file (ISO 32000-1 chapters 7, 12, 13 and 14).
const LEFT_BEHIND: [&str; 23] = [
    "Action",
    "Annot",
    "Bead",
    "Catalog",
    "Collection",
    "EmbeddedFile",
    "F",
    "Filespec",
    "MCR",
    "MediaClip",
    "Metadata",
    "OBJR",
    "ObjStm",
    "Outlines",
    "Page",
    "Pages",
    "Rendition",
    "Sig",
    "SigRef",
    "StructElem",
    "StructTreeRoot",
    "Thread",
    "XRef",
];

/// Kinds of actions (ISO 32000-1 table 198), for dictionaries that do not state their type.
const ACTIONS: [&str; 19] = [
    "GoTo",
    "GoToE",
    "GoToR",
    "GoTo3DView",
    "Hide",
    "ImportData",
    "JavaScript",
    "Launch",
    "Movie",
    "Named",
    "Rendition",
    "ResetForm",
    "RichMediaExecute",
    "SetOCGState",
    "Sound",
    "SubmitForm",
    "Thread",
    "Trans",
    "URI",
];

/// Entries of streams that draw nothing, or that stand for another drawing elsewhere.
const DROPPED: [&str; 12] = [
    "AF",
    "Alternates",
    "LastModified",
    "Length",
    "Measure",
    "Metadata",
    "OC",
    "OPI",
    "PieceInfo",
    "Ref",
    "StructParent",
    "StructParents",
];

/// What becomes of a reference.
enum ReferenceTarget {
    /// It stays, to this object.
    Kept(ObjectId),
    /// `null` stands in its place.
    Null,
    /// An empty dictionary stands in its place.
    EmptyDict,
    /// The form that draws nothing stands in its place.
    EmptyForm,
}

/// Collects the objects of one page.
pub(super) struct Carrier<'r, 'a> {
    /// Fetches the objects.
    pub(super) reader: &'r mut ObjectReader<'a>,
    /// Which layers are seen.
    pub(super) layers: &'r Layers,
    /// The objects made, then those carried, in the order in which they were first met.
    pub(super) objects: Vec<CarriedObject>,
    /// Source objects met, whether carried already or not.
    met: BTreeSet<ObjectId>,
    /// Source objects still to be carried.
    waiting: VecDeque<ObjectId>,
    /// Bytes collected.
    bytes: usize,
    /// Whether anything refers to the form that draws nothing.
    needs_empty: bool,
}

impl<'r, 'a> Carrier<'r, 'a> {
    /// A carrier with nothing in it.
    pub(super) fn new(reader: &'r mut ObjectReader<'a>, layers: &'r Layers) -> Carrier<'r, 'a> {
        Carrier {
            reader,
            layers,
            objects: Vec::new(),
            met: BTreeSet::new(),
            waiting: VecDeque::new(),
            bytes: 0,
            needs_empty: false,
        }
    }

    /// Carries everything that the objects so far refer to, and what those refer to.
    pub(super) fn carry_all(&mut self) -> Result<()> {
        while let Some(id) = self.waiting.pop_front() {
            let (_, loaded) = self.reader.follow(id)?;
            let mut body = Body::default();
            self.write_object(&mut body, &loaded)?;
            self.add(ObjectKey::Source(id), body)?;
        }
        if self.needs_empty {
            let mut body = Body::default();
            body.raw(b"<</Type/XObject/Subtype/Form/BBox[0 0 0 0]/Resources<<>>/Length 0>>");
            body.stream(b"");
            self.add(ObjectKey::Empty, body)?;
        }
        Ok(())
    }

    /// The source objects carried, in order.
    pub(super) fn sources(&self) -> Vec<ObjectId> {
        let source = |object: &CarriedObject| match object.key {
            ObjectKey::Source(id) => Some(id),
            ObjectKey::Made { .. } | ObjectKey::Empty => None,
        };
        self.objects.iter().filter_map(source).collect()
    }

    /// Adds an object within the limits.
    pub(super) fn add(&mut self, key: ObjectKey, body: Body) -> Result<()> {
        self.bytes += body.bytes.len();
        if self.bytes > PAGE_BYTES {
            return Err(too_large(format!("the page brings more than {} MB", PAGE_BYTES >> 20)));
        }
        if self.objects.len() >= PAGE_OBJECTS {
            return Err(too_large(format!("the page brings more than {PAGE_OBJECTS} objects")));
        }
        self.reader.fuel.spend(body.bytes.len())?;
        self.objects.push(CarriedObject { key, body: body.bytes, references: body.references });
        Ok(())
    }

    /// Writes a source object.
    fn write_object(&mut self, body: &mut Body, loaded: &Rc<Loaded>) -> Result<()> {
        let (Some(dict), Some(data)) = (loaded.dict(), &loaded.data) else {
            return self.write_value(body, &loaded.object);
        };
        if dict.get("F").is_some() {
            return Err(PdfImportError::OutsideData);
        }
        body.raw(b"<<");
        // Appearances of old files leave out what makes them forms.
        let kind = ["Subtype", "PatternType", "ShadingType", "FunctionType"];
        if dict.get("BBox").is_some() && kind.iter().all(|key| dict.get(key).is_none()) {
            body.raw(b"/Subtype/Form");
        }
        for (key, value) in &dict.entries {
            if !DROPPED.iter().any(|dropped| name_is(key, dropped.as_bytes())) {
                body.name(key);
                self.write_value(body, value)?;
            }
        }
        let data = self.reader.packed(data);
        body.name(b"Length");
        body.token(data.len().to_string().as_bytes());
        body.raw(b">>");
        body.stream(data);
        Ok(())
    }

    /// Writes a value as the source has it, with references to be filled in.
    pub(super) fn write_value(&mut self, body: &mut Body, value: &Object) -> Result<()> {
        match value {
            Object::Null => body.token(b"null"),
            Object::Bool(true) => body.token(b"true"),
            Object::Bool(false) => body.token(b"false"),
            Object::Number(token) | Object::Text(token) => body.token(token),
            Object::Name(token) => body.name(token),
            Object::Array(values) => {
                body.raw(b"[");
                values.iter().try_for_each(|value| self.write_value(body, value))?;
                body.raw(b"]");
            }
            Object::Dict(dict) if is_left_behind(dict) => body.token(b"null"),
            Object::Dict(dict) if is_layer(dict) => body.raw(b"<<>>"),
            Object::Dict(dict) => {
                body.raw(b"<<");
                for (key, value) in &dict.entries {
                    body.name(key);
                    self.write_value(body, value)?;
                }
                body.raw(b">>");
            }
            Object::Ref(id) => self.write_reference(body, *id)?,
        }
        Ok(())
    }

    /// Writes a reference, or what stands in its place.
    pub(super) fn write_reference(&mut self, body: &mut Body, id: ObjectId) -> Result<()> {
        match self.target(id)? {
            ReferenceTarget::Kept(id) => {
                if self.met.insert(id) {
                    self.waiting.push_back(id);
                }
                body.reference(ObjectKey::Source(id));
            }
            ReferenceTarget::Null => body.token(b"null"),
            ReferenceTarget::EmptyDict => body.raw(b"<<>>"),
            ReferenceTarget::EmptyForm => {
                self.needs_empty = true;
                body.reference(ObjectKey::Empty);
            }
        }
        Ok(())
    }

    /// What becomes of a reference to `id`.
    fn target(&mut self, id: ObjectId) -> Result<ReferenceTarget> {
        self.reader.fuel.spend(16)?;
        let (id, loaded) = self.reader.follow(id)?;
        let Some(dict) = loaded.dict() else {
            let kept = loaded.object != Object::Null;
            return Ok(if kept { ReferenceTarget::Kept(id) } else { ReferenceTarget::Null });
        };
        if is_left_behind(dict) {
            return Ok(ReferenceTarget::Null);
        }
        if loaded.data.is_none() {
            return Ok(if is_layer(dict) {
                ReferenceTarget::EmptyDict
            } else {
                ReferenceTarget::Kept(id)
            });
        }
        // Programs for PostScript printers, which no viewer draws (§8.8.2).
        if dict.has_name("Subtype", "PS") || dict.has_name("Subtype2", "PS") {
            return Ok(ReferenceTarget::EmptyForm);
        }
        match dict.get("OC") {
            Some(layer) if !self.layers.is_seen(self.reader, layer)? => {
                Ok(ReferenceTarget::EmptyForm)
            }
            _ => Ok(ReferenceTarget::Kept(id)),
        }
    }
}

/// Whether a dictionary leads out of the page or acts.
fn is_left_behind(dict: &Dict) -> bool {
    let is_one_of = |key: &str, words: &[&str]| {
        dict.get(key).is_some_and(|value| words.iter().any(|word| value.is_name(word)))
    };
    is_one_of("Type", &LEFT_BEHIND) || is_one_of("S", &ACTIONS)
}

/// Whether a dictionary is a layer or a rule about layers.
fn is_layer(dict: &Dict) -> bool {
    dict.has_name("Type", "OCG") || dict.has_name("Type", "OCMD")
}

/// The bytes of an object as they grow.
#[derive(Debug, Default)]
pub(super) struct Body {
    /// What is written so far.
    bytes: Vec<u8>,
    /// Where which references belong.
    references: Vec<(usize, ObjectKey)>,
    /// Whether a regular character must not follow without a space.
    open: bool,
}

impl Body {
    /// Writes brackets and whole entries.
    pub(super) fn raw(&mut self, bytes: &[u8]) {
        self.bytes.extend_from_slice(bytes);
        self.open = bytes.last().is_some_and(|byte| is_regular(*byte));
    }

    /// Writes one token that is no name, apart from the one before.
    pub(super) fn token(&mut self, token: &[u8]) {
        if self.open && token.first().is_some_and(|byte| is_regular(*byte)) {
            self.bytes.push(b' ');
        }
        self.raw(token);
    }

    /// Writes a name, given as written after its slash.
    pub(super) fn name(&mut self, token: &[u8]) {
        self.bytes.push(b'/');
        self.bytes.extend_from_slice(token);
        self.open = true;
    }

    /// Writes numbers in brackets.
    pub(super) fn numbers(&mut self, numbers: &[f64]) {
        self.raw(b"[");
        numbers.iter().for_each(|number| self.token(show_number(*number).as_bytes()));
        self.raw(b"]");
    }

    /// Leaves a gap for a reference.
    pub(super) fn reference(&mut self, key: ObjectKey) {
        if self.open {
            self.bytes.push(b' ');
        }
        self.references.push((self.bytes.len(), key));
        self.open = true;
    }

    /// Writes a stream's packed data behind its dictionary.
    pub(super) fn stream(&mut self, data: &[u8]) {
        self.raw(b"\nstream\n");
        self.raw(data);
        self.raw(b"\nendstream");
    }
}

/// A number in PDF's notation, which knows no exponents.
pub(super) fn show_number(number: f64) -> String {
    let text = number.to_string();
    if text == "-0" { "0".into() } else { text }
}

/// The object's bytes with the numbers of `numbers` filled in; an object without a number there
/// becomes null.
pub(super) fn fill_in(
    object: &CarriedObject,
    numbers: &BTreeMap<ObjectKey, i32>,
    out: &mut Vec<u8>,
) {
    out.clear();
    let mut from = 0;
    for (at, key) in &object.references {
        out.extend_from_slice(&object.body[from..*at]);
        match numbers.get(key) {
            Some(number) => out.extend_from_slice(format!("{number} 0 R").as_bytes()),
            None => out.extend_from_slice(b"null"),
        }
        from = *at;
    }
    out.extend_from_slice(&object.body[from..]);
}
