//! The same work taken apart: the CPU time of each stage on one thread, and beside it a floor, the
//! finished page streams compressed and written and nothing else.

use std::fs::File;
use std::io::{Read as _, Write as _};
use std::path::Path;

use flate2::bufread::ZlibDecoder;
use flate2::{Compress, Compression, FlushCompress};
use slipwright::batch::inspect_addresses;
use slipwright::preflight::{PageFacts, PageNumber, Rules, inspect};
use slipwright::workings::{Binder, Composer, ContextMaker, Flow, PageLabel};
use slipwright::{
    Batch, BatchOptions, Document, FontBook, NoFiles, Page, PdfEncoder, PdfOptions, PdfWriter,
    PictureStore, Run, Shop, Sources, find_shipped, read_layout, read_orders, watch_batch,
};

use crate::clock::time;

/// Pages that are in memory at a time.
const ROUND: usize = 64;

/// The writer's level of compression.
const LEVEL: u32 = 5;

/// The CPU time of each stage, in seconds.
#[derive(Default)]
pub(crate) struct Stages {
    /// Each stage's name and time.
    pub(crate) times: Vec<(&'static str, f64)>,
    /// The floor.
    pub(crate) floor: f64,
}

/// Takes the orders of a file to a PDF in `folder`, stage by stage; `shop` is the shop file's text.
pub(crate) fn measure_stages(orders: &Path, shop: &str, folder: &Path) -> Stages {
    let [mut read, mut assemble, mut bind, mut compose, mut check] = [0.0; 5];

    let mut sources = Sources::new();
    let (orders, shop) = time(&mut read, || {
        let text = std::fs::read_to_string(orders).expect("the orders are there");
        let file = sources.add("orders.json", text);
        let orders = read_orders(sources.get(file).shared_text(), file);
        let file = sources.add("shop.yaml", shop);
        (orders, Shop::read(shop, file, &mut Vec::new()))
    });
    let shop = shop.as_ref();
    let batch = time(&mut assemble, || {
        let (name, orders) = (orders.batch_name.as_deref(), orders.orders);
        let batch = Batch::assemble(name, orders, shop, BatchOptions::default(), &mut Vec::new());
        drop(inspect_addresses(&batch));
        batch
    });

    let label = find_shipped("label-4x6in").expect("it is shipped").text;
    let file = sources.add("label.yaml", label);
    let layout = read_layout(&mut sources, file, &NoFiles, Path::new("")).0;
    let layout = layout.expect("a shipped layout is good");
    let (book, pictures) = (FontBook::builtin(), PictureStore::new(&NoFiles, ""));
    let document = Document { shop, ..Document::new(&batch, &layout, &book, &pictures) };
    let frame = Run::new(&document).expect("it fits").frame().clone();
    let rules = Rules { one_bit: frame.one_bit, ..Rules::default() };
    let binder = Binder::new(&layout);
    let maker = ContextMaker::new(&batch, shop).only(binder.variables());
    let mut composer = Composer::new(&book, &pictures);
    let mut watch = watch_batch(&batch);
    let output = folder.join("stages.pdf");
    let mut tagged = Export::start(&book, &output, true);
    let mut plain = Export::start(&book, &folder.join("plain.pdf"), false);

    for (round, parcels) in batch.parcels.chunks(ROUND).enumerate() {
        let bodies: Vec<_> = time(&mut bind, || {
            let bind = |parcel| binder.bind(&maker.make(parcel)).expect("the orders are good");
            parcels.iter().map(bind).collect()
        });
        let pages: Vec<_> = time(&mut compose, || {
            let pages = parcels.iter().zip(&bodies).map(|(parcel, bound)| {
                let title = format!("{} · {}", parcel.position, parcel.tag.text);
                let label = PageLabel { title, subject: Some(parcel.subject()), language: None };
                let body = bound.body.as_ref().expect("the layout has a body");
                let furniture = |_, _| Ok(slipwright::workings::Furniture::default());
                let made =
                    composer.compose_document(body, Flow::OnePage, &frame, &label, furniture);
                made.expect("the orders are good").swap_remove(0).page
            });
            pages.collect()
        });
        time(&mut check, || {
            for page in &pages {
                drop(inspect(page, &book, &rules));
                let facts = PageFacts::of(page, "label", PageNumber { page: 1, pages: 1 });
                drop(watch.take(&facts, facts.order_ids()));
            }
        });
        // Whoever comes first finds the pages cold, so they take turns.
        if round % 2 == 0 {
            tagged.add(&pages);
        }
        plain.add(&pages);
        if round % 2 == 1 {
            tagged.add(&pages);
        }
        time(&mut compose, || drop((bodies, pages)));
    }
    let (with_tags, (encode, write)) = (tagged.finish(), plain.finish());

    let times = vec![
        ("read orders", read),
        ("batch", assemble),
        ("bind", bind),
        ("compose", compose),
        ("preflight", check),
        ("encode", encode),
        ("write", write),
        ("tags", with_tags.0 + with_tags.1 - encode - write),
    ];
    Stages { times, floor: measure_floor(&output, folder) }
}

/// One PDF of the pages, with what it takes.
struct Export {
    /// Encodes them.
    encoder: PdfEncoder,
    /// Writes them.
    writer: PdfWriter<File>,
    /// The CPU time of encoding, in seconds.
    encode: f64,
    /// The CPU time of writing, in seconds.
    write: f64,
}

impl Export {
    /// A PDF of no page, whose pages say what they hold or do not.
    fn start(book: &FontBook, output: &Path, tagged: bool) -> Export {
        let options = PdfOptions { tagged, ..PdfOptions::default() };
        let file = File::create(output).expect("a file can be made");
        let writer = PdfWriter::new(file, book, &options).expect("it can be written");
        Export { encoder: PdfEncoder::new(book, &options), writer, encode: 0.0, write: 0.0 }
    }

    /// Adds pages.
    fn add(&mut self, pages: &[Page]) {
        let Export { encoder, writer, encode, write } = self;
        let encoded: Vec<_> =
            time(encode, || pages.iter().map(|page| encoder.encode_page(page)).collect());
        time(write, || {
            encoded.into_iter().for_each(|page| writer.push(page).expect("it can be written"));
        });
    }

    /// Ends the file and tells the time of encoding and of writing.
    fn finish(mut self) -> (f64, f64) {
        time(&mut self.write, || drop(self.writer.finish().expect("it can be written")));
        (self.encode, self.write)
    }
}

/// The CPU time it takes to compress the page streams of a PDF again and write them.
fn measure_floor(pdf: &Path, folder: &Path) -> f64 {
    let pdf = std::fs::read(pdf).expect("it was written");
    let mut file = File::create(folder.join("floor")).expect("a file can be made");
    let mut deflater = Compress::new(Compression::new(LEVEL), true);
    let mut floor = 0.0;
    let mut out = Vec::new();
    for packed in list_streams(&pdf) {
        let plain = inflate(packed);
        out.clear();
        out.reserve(plain.len() + 64);
        time(&mut floor, || {
            deflater.reset();
            let done = deflater.compress_vec(&plain, &mut out, FlushCompress::Finish);
            done.expect("there is room");
            file.write_all(&out).expect("it can be written");
        });
        assert_eq!(out, packed, "the floor compresses as the writer does");
    }
    floor
}

/// The compressed streams of a PDF of ours that hold what pages show.
fn list_streams(pdf: &[u8]) -> Vec<&[u8]> {
    let find = |from: usize, word: &[u8]| {
        let found = pdf[from..].windows(word.len()).position(|here| here == word);
        found.map(|at| from + at)
    };
    let mut streams = Vec::new();
    let mut at = 0;
    while let Some(start) = find(at, b" obj\n") {
        let Some(end) = find(start, b"endobj") else { break };
        at = end;
        let Some(data) = find(start, b"stream\n").filter(|data| *data < end) else { continue };
        let head = String::from_utf8_lossy(&pdf[start..data]);
        let number = head.split("/Length ").nth(1);
        let number = number.and_then(|rest| rest.split(|c: char| !c.is_ascii_digit()).next());
        let Some(length) = number.and_then(|number| number.parse::<usize>().ok()) else { continue };
        let data = data + "stream\n".len();
        at = data + length;
        // Streams with a type are not pages, but what holds the file together.
        if head.contains("/FlateDecode") && !head.contains("/Type") && !head.contains("/Length1") {
            streams.push(&pdf[data..data + length]);
        }
    }
    streams
}

/// A compressed stream as it was.
fn inflate(packed: &[u8]) -> Vec<u8> {
    let mut plain = Vec::new();
    ZlibDecoder::new(packed).read_to_end(&mut plain).expect("we wrote it");
    plain
}
