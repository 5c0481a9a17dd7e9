//! Numbered objects on their way into the file, and the table that finds them again.
//!
//! In: objects made with pdf-writer, each complete, in any order of numbers. Out: a file whose
//! memory here is 8 bytes an object, and nearly nothing for those that come in runs. In the compact form small objects are gathered into
//! compressed object streams (ISO 32000-1 §7.5.7) and the table is a stream (§7.5.8); in the
//! readable form everything is written plainly. Not here: what the objects say.

use std::io::{self, Write};

use pdf_writer::{Chunk, Dict, Filter, Name, Ref, Settings, Str};

use super::super::decimal::push_fixed;
use super::deflate::{deflate, deflate_pieces, deflate_quickly};

/// Objects gathered into one object stream: more compress hardly better and are slower to reach.
const OBJECTS_A_STREAM: u16 = 100;

/// Objects in a run: there are many of them, small and alike.
const OBJECTS_A_RUN: u16 = 200;

/// What the table at the file's end says of an object.
#[derive(Clone, Copy, Debug)]
enum ObjectPlace {
    /// It has not been written.
    Nowhere,
    /// At a byte of the file.
    At(u64),
    /// In an object stream.
    In {
        /// The stream's number.
        stream: u32,
        /// How many objects stand before it in the stream.
        index: u16,
    },
}

/// Where an object is, in eight bytes: a page has three objects, and all are kept until the table of
/// them is written.
#[derive(Clone, Copy, Debug)]
struct KeptPlace(u64);

impl KeptPlace {
    /// Keeps a place.
    fn keep(place: ObjectPlace) -> KeptPlace {
        KeptPlace(match place {
            ObjectPlace::Nowhere => 0,
            ObjectPlace::At(at) => at << 2 | 1,
            ObjectPlace::In { stream, index } => {
                (u64::from(stream) << 16 | u64::from(index)) << 2 | 2
            }
        })
    }

    /// What was kept.
    fn place(self) -> ObjectPlace {
        let rest = self.0 >> 2;
        match self.0 & 3 {
            0 => ObjectPlace::Nowhere,
            1 => ObjectPlace::At(rest),
            _ => ObjectPlace::In { stream: (rest >> 16) as u32, index: rest as u16 },
        }
    }
}

/// An object stream being filled.
struct Gathering {
    /// The stream's number.
    id: Ref,
    /// Number and offset of each object, as text.
    index: Vec<u8>,
    /// The objects.
    body: Vec<u8>,
    /// How many there are.
    count: u16,
}

impl Gathering {
    /// An empty one with room for what usually comes.
    fn new(id: Ref) -> Gathering {
        let (index, body) = (Vec::with_capacity(4 << 10), Vec::with_capacity(24 << 10));
        Gathering { id, index, body, count: 0 }
    }

    /// Adds an object.
    fn add(&mut self, id: Ref, body: &[u8]) {
        push_fixed(&mut self.index, i64::from(id.get()), 0);
        self.index.push(b' ');
        push_fixed(&mut self.index, self.body.len() as i64, 0);
        self.index.push(b' ');
        self.body.extend_from_slice(body);
        self.body.push(b'\n');
        self.count += 1;
    }
}

/// The file being written.
pub(super) struct Objects<W> {
    /// Where it goes.
    out: W,
    /// Bytes written.
    position: u64,
    /// Whether the compact form is written.
    compress: bool,
    /// Where each object is that is in no run, in ascending order of numbers; 0 is never used.
    places: Vec<KeptPlace>,
    /// Small objects not written yet.
    gathering: Option<Gathering>,
    /// The number of each run's object stream; those of its objects follow it.
    runs: Vec<u32>,
    /// Numbers given out of the last run.
    used: u16,
    /// Objects of a run not written yet.
    running: Option<Gathering>,
}

impl<W: Write> Objects<W> {
    /// Starts a file.
    pub(super) fn new(out: W, compress: bool) -> io::Result<Objects<W>> {
        let places = vec![KeptPlace::keep(ObjectPlace::Nowhere)];
        let mut objects = Objects {
            out,
            position: 0,
            compress,
            places,
            gathering: None,
            runs: Vec::new(),
            used: OBJECTS_A_RUN,
            running: None,
        };
        // The second line tells transfer programs that the file is binary (§7.5.2).
        objects.write(b"%PDF-1.7\n%\xE2\xE3\xCF\xD3\n")?;
        Ok(objects)
    }

    /// A number for an object that is written later.
    pub(super) fn reserve(&mut self) -> Ref {
        let number = i32::try_from(self.count()).unwrap_or(i32::MAX);
        self.places.push(KeptPlace::keep(ObjectPlace::Nowhere));
        Ref::new(number)
    }

    /// Numbers so far, 0 included.
    fn count(&self) -> usize {
        self.places.len() + self.runs.len() * usize::from(OBJECTS_A_RUN)
    }

    /// A number for an object that is written by [`Objects::put_next`], in the order of the numbers.
    pub(super) fn reserve_next(&mut self) -> Ref {
        if !self.compress {
            return self.reserve();
        }
        if self.used == OBJECTS_A_RUN {
            let stream = self.reserve();
            self.runs.push(stream.get() as u32);
            self.used = 0;
        }
        self.used += 1;
        let stream = self.runs.last().map_or(0, |stream| *stream as i32);
        Ref::new(stream + i32::from(self.used))
    }

    /// An empty chunk for one object.
    pub(super) fn chunk(&self) -> Chunk {
        Chunk::with_settings(Settings { pretty: !self.compress })
    }

    /// Compresses a stream's body in the compact form.
    pub(super) fn pack(&self, data: Vec<u8>) -> Vec<u8> {
        if self.compress { deflate(&data) } else { data }
    }

    /// Marks a stream's dictionary as [packed](Objects::pack) in the compact form.
    pub(super) fn mark_packed(&self, stream: &mut pdf_writer::Stream<'_>) {
        if self.compress {
            stream.filter(Filter::FlateDecode);
        }
    }

    /// Writes an object that stands by itself, and notes where; nothing else is in its chunk.
    pub(super) fn put(&mut self, chunk: &Chunk) -> io::Result<()> {
        for id in chunk.refs() {
            self.set_place(id, ObjectPlace::At(self.position));
        }
        self.write(chunk.as_bytes())
    }

    /// Writes an object given as the bytes between `obj` and `endobj`.
    pub(super) fn put_raw(&mut self, id: Ref, body: &[u8]) -> io::Result<()> {
        self.set_place(id, ObjectPlace::At(self.position));
        self.write(format!("{} 0 obj\n", id.get()).as_bytes())?;
        self.write(body)?;
        self.write(b"\nendobj\n\n")
    }

    /// Writes the one object of a chunk, no stream, together with others like it.
    pub(super) fn put_small(&mut self, chunk: &Chunk) -> io::Result<()> {
        let Some(id) = chunk.refs().next().filter(|_| self.compress) else {
            return self.put(chunk);
        };
        let mut gathering = match self.gathering.take() {
            Some(gathering) => gathering,
            None => Gathering::new(self.reserve()),
        };
        let place = ObjectPlace::In { stream: gathering.id.get() as u32, index: gathering.count };
        self.set_place(id, place);
        gathering.add(id, object_body(chunk.as_bytes()));
        let is_full = gathering.count == OBJECTS_A_STREAM;
        self.gathering = Some(gathering);
        if is_full { self.put_gathered() } else { Ok(()) }
    }

    /// Writes an object numbered by [`Objects::reserve_next`], given as the bytes between `obj` and
    /// `endobj`.
    pub(super) fn put_next(&mut self, id: Ref, body: &[u8]) -> io::Result<()> {
        if !self.compress {
            return self.put_raw(id, body);
        }
        let running = self.running.get_or_insert_with(|| Gathering::new(Ref::new(id.get() - 1)));
        running.add(id, body);
        if running.count < OBJECTS_A_RUN { Ok(()) } else { self.put_run() }
    }

    /// Writes the run that is being filled.
    fn put_run(&mut self) -> io::Result<()> {
        let Some(running) = self.running.take() else { return Ok(()) };
        self.put_stream(running)
    }

    /// Writes the object stream that is being filled.
    fn put_gathered(&mut self) -> io::Result<()> {
        let Some(gathering) = self.gathering.take() else { return Ok(()) };
        self.put_stream(gathering)
    }

    /// Writes objects packed together, and notes where each is.
    fn put_stream(&mut self, Gathering { id, index, body, count }: Gathering) -> io::Result<()> {
        let first = index.len() as i32;
        let data = deflate_quickly(&[index, body].concat());
        let mut chunk = self.chunk();
        let mut stream = chunk.stream(id, &data);
        stream.pair(Name(b"Type"), Name(b"ObjStm"));
        stream.pair(Name(b"N"), i32::from(count));
        stream.pair(Name(b"First"), first);
        self.mark_packed(&mut stream);
        drop(stream);
        self.put(&chunk)
    }

    /// Ends the file with the table of objects, and gives back where it went.
    pub(super) fn finish(mut self, root: Ref, info: Ref, name: [u8; 16]) -> io::Result<W> {
        self.put_gathered()?;
        let last = self.running.as_ref().map_or(OBJECTS_A_RUN, |running| running.count);
        self.put_run()?;
        let start = if self.compress {
            self.put_table_stream(root, info, name, last)?
        } else {
            self.put_table(root, info, name)?
        };
        self.write(format!("startxref\n{start}\n%%EOF\n").as_bytes())?;
        self.out.flush()?;
        Ok(self.out)
    }

    /// Writes the table as a stream and tells where.
    ///
    /// `last` is how many objects the last run has.
    fn put_table_stream(
        &mut self,
        root: Ref,
        info: Ref,
        name: [u8; 16],
        last: u16,
    ) -> io::Result<u64> {
        let id = self.reserve();
        let start = self.position;
        self.set_place(id, ObjectPlace::At(start));
        let size = self.count() as i32;
        let data = deflate_pieces(encode_table(&self.places, &self.runs, last));
        let mut chunk = self.chunk();
        let mut stream = chunk.stream(id, &data);
        stream.pair(Name(b"Type"), Name(b"XRef"));
        write_trailer(&mut stream, size, root, info, name);
        stream.insert(Name(b"W")).array().items([1, COLUMN as i32 - 3, 2]);
        stream.filter(Filter::FlateDecode);
        let mut parameters = stream.insert(Name(b"DecodeParms")).dict();
        parameters.pair(Name(b"Predictor"), 12);
        parameters.pair(Name(b"Columns"), COLUMN as i32);
        drop(parameters);
        drop(stream);
        self.write(chunk.as_bytes())?;
        Ok(start)
    }

    /// Writes the table as lines and tells where.
    fn put_table(&mut self, root: Ref, info: Ref, name: [u8; 16]) -> io::Result<u64> {
        let start = self.position;
        let size = self.places.len();
        self.write(format!("xref\n0 {size}\n0000000000 65535 f\r\n").as_bytes())?;
        for number in 1..size {
            let line = match self.places[number].place() {
                ObjectPlace::At(at) => format!("{at:010} 00000 n\r\n"),
                ObjectPlace::Nowhere | ObjectPlace::In { .. } => {
                    "0000000000 65535 f\r\n".to_owned()
                }
            };
            self.write(line.as_bytes())?;
        }
        let mut chunk = self.chunk();
        let mut trailer = chunk.indirect(Ref::new(1)).dict();
        write_trailer(&mut trailer, size as i32, root, info, name);
        drop(trailer);
        self.write(b"trailer\n")?;
        self.write(object_body(chunk.as_bytes()))?;
        self.write(b"\n")?;
        Ok(start)
    }

    /// Notes where an object is.
    fn set_place(&mut self, id: Ref, place: ObjectPlace) {
        let number = u32::try_from(id.get()).unwrap_or(0);
        let before = self.runs.partition_point(|stream| *stream < number);
        let at = (number as usize).checked_sub(before * usize::from(OBJECTS_A_RUN));
        let slot = at.and_then(|at| self.places.get_mut(at));
        if let Some(slot) = slot {
            *slot = KeptPlace::keep(place);
        }
    }

    /// Passes bytes on, and counts them for the table.
    fn write(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.position += bytes.len() as u64;
        self.out.write_all(bytes)
    }
}

/// An object without the lines that give its number and end it.
fn object_body(object: &[u8]) -> &[u8] {
    let start = object.iter().position(|&byte| byte == b'\n').map_or(0, |at| at + 1);
    object[start..].trim_ascii_end().strip_suffix(b"\nendobj").unwrap_or(&object[start..])
}

/// The entries that say where the file begins to be read.
fn write_trailer(dict: &mut Dict<'_>, size: i32, root: Ref, info: Ref, name: [u8; 16]) {
    dict.pair(Name(b"Size"), size);
    dict.pair(Name(b"Root"), root);
    dict.pair(Name(b"Info"), info);
    dict.insert(Name(b"ID")).array().items([Str(&name), Str(&name)]);
}

/// Bytes in a row of the table: kind, 5 bytes of offset (1 TB), 2 bytes of index.
const COLUMN: usize = 8;

/// Rows of the table that are compressed in one go.
const ROWS: usize = 2048;

/// The table piece by piece, each row as the difference to the one above (PNG predictor `up`), which
/// nearly halves it. A run's objects stand behind its stream; the last run has only `last`.
fn encode_table(places: &[KeptPlace], runs: &[u32], last: u16) -> impl Iterator<Item = Vec<u8>> {
    let mut streams = runs.iter().copied().peekable();
    let mut number = 0;
    let rows = places.iter().flat_map(move |place| {
        let run = streams.next_if_eq(&number);
        let count = if run.is_some() { OBJECTS_A_RUN } else { 0 };
        let full = if streams.peek().is_some() { count } else { last.min(count) };
        number += 1 + u32::from(count);
        let inside = (0..count).map(move |index| match run {
            Some(stream) if index < full => ObjectPlace::In { stream, index },
            _ => ObjectPlace::Nowhere,
        });
        std::iter::once(place.place()).chain(inside)
    });
    let mut rows = rows.peekable();
    let mut above = [0; COLUMN];
    std::iter::from_fn(move || {
        rows.peek()?;
        let mut piece = Vec::with_capacity(ROWS * (COLUMN + 1));
        for place in rows.by_ref().take(ROWS) {
            let row = encode_row(place);
            piece.push(2);
            let pairs = row.iter().zip(above);
            piece.extend(pairs.map(|(byte, above): (&u8, u8)| byte.wrapping_sub(above)));
            above = row;
        }
        Some(piece)
    })
}

/// A row of the table.
fn encode_row(place: ObjectPlace) -> [u8; COLUMN] {
    let (kind, large, small) = match place {
        ObjectPlace::Nowhere => (0, 0, u16::MAX),
        ObjectPlace::At(at) => (1, at, 0),
        ObjectPlace::In { stream, index } => (2, u64::from(stream), index),
    };
    let mut row = [0; COLUMN];
    row[..6].copy_from_slice(&large.to_be_bytes()[2..]);
    row[0] = kind;
    row[6..].copy_from_slice(&small.to_be_bytes());
    row
}
