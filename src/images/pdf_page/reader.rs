//! Objects by number, fetched when they are asked for.
//!
//! In: a file's bytes and its table. Out: objects with references followed, streams unpacked.
//! Nothing is read that is not asked for, each object is read once, and every byte looked at is
//! paid for, so neither a large file nor a hostile one costs more than the page needs. Not here:
//! what the objects mean.

use std::collections::BTreeMap;
use std::ops::Range;
use std::rc::Rc;

use super::error::{PdfImportError, Result, broken};
use super::fuel::Fuel;
use super::lexer::Lexer;
use super::object::{Dict, Object, ObjectId};
use super::parser::parse_object;
use super::stream::{filters, stream_data, unpack};
use super::xref::{XrefEntry, XrefTable, number_pairs, take_header};

/// How many references may lead on to a further reference.
const DETOURS: usize = 16;

/// How many object streams may be needed to read one another.
const CONTAINER_DETOURS: usize = 8;

/// An object as the file holds it.
#[derive(Debug)]
pub(super) struct Loaded {
    /// Its value; a stream's dictionary.
    pub(super) object: Object,
    /// Where a stream's packed data lies in the file; none for other objects.
    pub(super) data: Option<Range<usize>>,
}

impl Loaded {
    /// Its entries, if it is a dictionary or a stream.
    pub(super) fn dict(&self) -> Option<&Dict> {
        self.object.dict()
    }
}

/// The objects packed into one stream (ISO 32000-1 §7.5.7).
#[derive(Debug)]
struct Container {
    /// The unpacked stream.
    plain: Vec<u8>,
    /// Each object's number and where it starts in `plain`.
    starts: Vec<(u64, usize)>,
}

/// Fetches objects of one file; made anew for each call, so that each has its own fuel.
#[derive(Debug)]
pub(super) struct ObjectReader<'a> {
    /// The file from its header on.
    bytes: &'a [u8],
    /// Where each object stands in the file.
    table: &'a XrefTable,
    /// What this call may still cost.
    pub(super) fuel: Fuel,
    /// Objects fetched so far.
    loaded: BTreeMap<ObjectId, Rc<Loaded>>,
    /// Object streams unpacked so far.
    containers: BTreeMap<u32, Rc<Container>>,
    /// How many object streams are being read right now.
    containers_open: usize,
}

impl<'a> ObjectReader<'a> {
    /// A reader of `bytes`, which start with the header.
    pub(super) fn new(bytes: &'a [u8], table: &'a XrefTable) -> ObjectReader<'a> {
        ObjectReader {
            bytes,
            table,
            fuel: Fuel::new(),
            loaded: BTreeMap::new(),
            containers: BTreeMap::new(),
            containers_open: 0,
        }
    }

    /// The packed bytes of a stream.
    pub(super) fn packed(&self, data: &Range<usize>) -> &'a [u8] {
        self.bytes.get(data.clone()).unwrap_or_default()
    }

    /// The object that `id` leads to, with its own id; null when there is none.
    pub(super) fn follow(&mut self, id: ObjectId) -> Result<(ObjectId, Rc<Loaded>)> {
        let mut at = id;
        for _ in 0..DETOURS {
            let loaded = self.load(at)?;
            match loaded.object {
                Object::Ref(next) => at = next,
                _ => return Ok((at, loaded)),
            }
        }
        Err(broken(format!("object {} leads in a circle", id.number)))
    }

    /// The value itself, or the object it refers to.
    pub(super) fn resolve(&mut self, value: &Object) -> Result<Rc<Loaded>> {
        match value {
            Object::Ref(id) => Ok(self.follow(*id)?.1),
            direct => {
                self.fuel.spend(direct.weight())?;
                Ok(Rc::new(Loaded { object: direct.clone(), data: None }))
            }
        }
    }

    /// The value under `key` with a reference followed; none when it is missing or null.
    pub(super) fn get(&mut self, dict: &Dict, key: &str) -> Result<Option<Rc<Loaded>>> {
        let Some(value) = dict.get(key) else { return Ok(None) };
        let loaded = self.resolve(value)?;
        Ok((loaded.object != Object::Null).then_some(loaded))
    }

    /// The dictionary under `key`; none when it is missing or something else.
    pub(super) fn dict(&mut self, dict: &Dict, key: &str) -> Result<Option<Rc<Loaded>>> {
        Ok(self.get(dict, key)?.filter(|loaded| loaded.dict().is_some()))
    }

    /// The values of the array under `key`, references in it kept; a value alone counts as an
    /// array of one, nothing as an empty one.
    pub(super) fn list(&mut self, dict: &Dict, key: &str) -> Result<Vec<Object>> {
        let Some(value) = dict.get(key) else { return Ok(Vec::new()) };
        let loaded = self.resolve(value)?;
        self.fuel.spend(loaded.object.weight())?;
        Ok(match &loaded.object {
            Object::Null => Vec::new(),
            Object::Array(values) => values.clone(),
            // A stream or dictionary alone stays a reference, which tells its data.
            _ => vec![value.clone()],
        })
    }

    /// The plain data of a stream.
    pub(super) fn unpack(&mut self, loaded: &Loaded) -> Result<Vec<u8>> {
        let none = Dict::default();
        let dict = loaded.dict().unwrap_or(&none);
        if dict.get("F").is_some() {
            return Err(PdfImportError::OutsideData);
        }
        let names = self.resolved_list(dict, "Filter")?;
        let settings = self.resolved_list(dict, "DecodeParms")?;
        let filters = filters(&names, &settings)?;
        let packed = self.packed(loaded.data.as_ref().unwrap_or(&(0..0)));
        unpack(&filters, packed, &mut self.fuel)
    }

    /// A list whose values, and those of dictionaries in it, hold no references any more.
    fn resolved_list(&mut self, dict: &Dict, key: &str) -> Result<Vec<Object>> {
        let mut values = Vec::new();
        for value in self.list(dict, key)? {
            let mut value = self.resolved(&value)?;
            if let Object::Dict(dict) = &mut value {
                for (_, entry) in &mut dict.entries {
                    *entry = self.resolved(entry)?;
                }
            }
            values.push(value);
        }
        Ok(values)
    }

    /// A copy of the value, or of the object it refers to.
    fn resolved(&mut self, value: &Object) -> Result<Object> {
        let loaded = self.resolve(value)?;
        self.fuel.spend(loaded.object.weight())?;
        Ok(loaded.object.clone())
    }

    /// The object `id`, read once; null when the table has no such object.
    fn load(&mut self, id: ObjectId) -> Result<Rc<Loaded>> {
        if let Some(loaded) = self.loaded.get(&id) {
            return Ok(Rc::clone(loaded));
        }
        let loaded = Rc::new(match self.table.place(id) {
            XrefEntry::Free => Loaded { object: Object::Null, data: None },
            XrefEntry::At { offset, .. } => self.read_at(id, offset)?,
            XrefEntry::Within { container, index } => self.read_within(id, container, index)?,
        });
        self.loaded.insert(id, Rc::clone(&loaded));
        Ok(loaded)
    }

    /// Reads the object `id` at a place in the file.
    fn read_at(&mut self, id: ObjectId, offset: usize) -> Result<Loaded> {
        let bytes = self.bytes;
        let mut lexer = Lexer::new(bytes, offset);
        if offset >= bytes.len() || !take_header(&mut lexer, id) {
            return Err(broken(format!("object {} is not where its table says", id.number)));
        }
        let object = parse_object(&mut lexer, &mut self.fuel)?;
        let data = match &object {
            Object::Dict(dict) => {
                let length = match dict.get("Length") {
                    Some(Object::Ref(length)) => self.read_count(*length)?,
                    Some(direct) => direct.count(),
                    None => None,
                };
                stream_data(&mut lexer, length, &mut self.fuel)?
            }
            _ => None,
        };
        Ok(Loaded { object, data })
    }

    /// The whole number that object `id` is; none when it is anything else. A stream is not
    /// read for it, so that lengths cannot lead from stream to stream.
    fn read_count(&mut self, id: ObjectId) -> Result<Option<usize>> {
        match self.table.place(id) {
            XrefEntry::At { offset, .. } => {
                let mut lexer = Lexer::new(self.bytes, offset);
                self.fuel.spend(16)?;
                let found = take_header(&mut lexer, id);
                Ok(lexer.take_count().filter(|_| found).and_then(|count| count.try_into().ok()))
            }
            XrefEntry::Within { .. } => Ok(self.load(id)?.object.count()),
            XrefEntry::Free => Ok(None),
        }
    }

    /// Reads the object `id` from an object stream.
    fn read_within(&mut self, id: ObjectId, container: u32, index: usize) -> Result<Loaded> {
        let missing = || broken(format!("object {} is not where its table says", id.number));
        let container = self.container(container)?;
        let wanted = u64::from(id.number);
        let start = match container.starts.get(index) {
            Some((number, start)) if *number == wanted => *start,
            // The place in the stream is only a help (§7.5.8.3); the number decides.
            _ => {
                self.fuel.spend(container.starts.len())?;
                let found = container.starts.iter().find(|(number, _)| *number == wanted);
                found.ok_or_else(missing)?.1
            }
        };
        if start >= container.plain.len() {
            return Err(missing());
        }
        let mut lexer = Lexer::new(&container.plain, start);
        Ok(Loaded { object: parse_object(&mut lexer, &mut self.fuel)?, data: None })
    }

    /// The unpacked object stream `number`.
    fn container(&mut self, number: u32) -> Result<Rc<Container>> {
        if let Some(container) = self.containers.get(&number) {
            return Ok(Rc::clone(container));
        }
        if self.containers_open == CONTAINER_DETOURS {
            return Err(broken("its object streams lead in a circle"));
        }
        self.containers_open += 1;
        let container = self.read_container(number).map(Rc::new);
        self.containers_open -= 1;
        let container = container?;
        self.containers.insert(number, Rc::clone(&container));
        Ok(container)
    }

    /// Reads and unpacks the object stream `number`.
    fn read_container(&mut self, number: u32) -> Result<Container> {
        let damaged = || broken(format!("object stream {number} is damaged"));
        let id = ObjectId { number, generation: 0 };
        let XrefEntry::At { offset, .. } = self.table.place(id) else { return Err(damaged()) };
        let stream = self.read_at(id, offset)?;
        let dict = stream.dict().filter(|dict| dict.has_name("Type", "ObjStm"));
        let dict = dict.filter(|_| stream.data.is_some()).ok_or_else(damaged)?;
        let count = self.get(dict, "N")?.and_then(|value| value.object.count());
        let first = self.get(dict, "First")?.and_then(|value| value.object.count());
        let (count, first) = count.zip(first).ok_or_else(damaged)?;
        let plain = self.unpack(&stream)?;
        self.fuel.hold_bytes(plain.len())?;
        let pairs = number_pairs(&plain, count).ok_or_else(damaged)?;
        let place = |(number, start): (u64, u64)| {
            Some((number, first.checked_add(usize::try_from(start).ok()?)?))
        };
        let starts = pairs.into_iter().map(place).collect::<Option<_>>().ok_or_else(damaged)?;
        Ok(Container { plain, starts })
    }
}
