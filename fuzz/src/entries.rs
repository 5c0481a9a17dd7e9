//! The doors through which foreign bytes come in, each as a function that takes any bytes.
//!
//! In: bytes. Out: nothing; what counts is that there is an end, soon, and no panic on the way.
//! Only the library's public names are used. `tests/it/fuzz_corpus.rs` takes this file in too, and
//! sends the corpus through it without a fuzzer. Not here: what the right answer is; but where a
//! law holds for all inputs, it is asserted. Long, as each door has its function here.

use std::path::Path;
use std::sync::LazyLock;

use slipwright::batch::inspect_addresses;
use slipwright::codes::{
    Code128, Data, DataMatrix, Ean, Ecc, ElementStrings, Qr, QrOptions, S10, verify_gtin,
    verify_sscc,
};
use slipwright::export::{PwgBacks, PwgFile, PwgLay, PwgPixels, PwgSending};
use slipwright::images::{self, PageCut, PdfFile, Picture, SharedObjects, dither, resample};
use slipwright::intake::{IntakeOutput, propose_map, read_intake_map, take_in_with};
use slipwright::kit::{KitRecord, ParcelList, read_files, reprint_to_json};
use slipwright::orders::{AsideOrder, write_aside};
use slipwright::pairs::{PairCode, PairScan};
use slipwright::workings::{show_ipp_answer, skeleton};
use slipwright::{
    Batch, BatchOptions, Document, Env, Finding, FontBook, Layout, PdfEncoder, PdfOptions,
    PdfWriter, PictureStore, Run, Shop, Sources, SvgOptions, find_shipped, findings, has_errors,
    read_layout, read_orders, render_svg, watch_batch,
};

/// An entry point with its name, which is also its corpus's.
pub type Entry = (&'static str, fn(&[u8]));

/// Every entry point.
pub const ENTRIES: &[Entry] = &[
    ("orders", orders),
    ("batch", batch),
    ("layout", layout),
    ("shop", shop),
    ("code128", code128),
    ("qr", qr),
    ("intake", intake),
    ("pattern", pattern),
    ("sheet", sheet),
    ("pdf", pdf),
    ("picture", picture),
    ("drawing", drawing),
    ("kit", kit),
    ("reprint", reprint),
    ("parcels", parcels),
    ("ipp", ipp),
    ("pwg", pwg),
];

/// The fonts, read once.
static BOOK: LazyLock<FontBook> = LazyLock::new(FontBook::builtin);

/// A shop to print with.
static SHOP: LazyLock<Shop> = LazyLock::new(|| {
    let mut sources = Sources::new();
    let file = sources.add("shop.yaml", include_str!("../../samples/shop.yaml"));
    Shop::read(sources.get(file).text(), file, &mut Vec::new()).expect("the sample is good")
});

/// The label that foreign orders are put on.
static LABEL: LazyLock<Layout> = LazyLock::new(|| shipped("label-4x6in"));

/// A layout that runs on over pages, for foreign orders.
static SLIP: LazyLock<Layout> = LazyLock::new(|| shipped("slip-a4"));

/// Two parcels that foreign layouts are filled with.
static PARCELS: LazyLock<Batch> = LazyLock::new(|| {
    let mut sources = Sources::new();
    let file = sources.add("orders.json", include_str!("../../samples/evening.json"));
    let mut read = read_orders(sources.get(file).text(), file);
    read.orders.truncate(2);
    Batch::assemble(Some("evening"), read.orders, Some(&SHOP), options(), &mut Vec::new())
});

/// A shipped layout by its name.
fn shipped(name: &str) -> Layout {
    let mut sources = Sources::new();
    let file = sources.add("layout.yaml", find_shipped(name).expect("it is shipped").text);
    read_layout(&mut sources, file, &Pictures, Path::new("")).0.expect("a shipped layout is good")
}

/// How foreign orders are put together.
fn options() -> BatchOptions {
    BatchOptions { combine: true, ..BatchOptions::default() }
}

/// The files beside a foreign layout: a picture of each kind, a PDF, and a layout to include.
struct Pictures;

impl Env for Pictures {
    fn read(&self, path: &Path) -> std::io::Result<Vec<u8>> {
        let bytes: &[u8] = match path.file_name().and_then(|name| name.to_str()) {
            Some("a.png") => include_bytes!("../../tests/images/colour.png"),
            Some("a.jpg") => include_bytes!("../../tests/images/gray.jpg"),
            Some("a.pdf") => include_bytes!("../../tests/fuzz-corpus/pdf/marks.pdf"),
            Some("a.svg") => {
                b"<svg xmlns='http://www.w3.org/2000/svg' width='9mm' height='5mm'><circle r='3'/></svg>"
            }
            Some("a.yaml") => b"let: {word: x}\nbody: {down: [{text: \"{{ word }}\"}, {include: a.yaml}]}\nfoot: {text: \"{{ word }}\"}\n",
            _ => return Err(std::io::ErrorKind::NotFound.into()),
        };
        Ok(bytes.to_vec())
    }
}

/// Shows everything that was found, as the command would.
fn show(found: &[Finding], sources: &Sources) {
    for finding in found {
        for style in [findings::Style::Full, findings::Style::Short] {
            let shown = findings::render(finding, sources, style);
            assert!(!shown.is_empty());
            let obeyed = shown.chars().find(|&c| is_obeyed(c) && c != '\n');
            assert!(obeyed.is_none(), "{obeyed:?} reaches the terminal: {shown:?}");
        }
        let _ = finding.to_json(sources).to_string();
    }
}

/// Whether a terminal obeys a character: C0, C1, separators of lines, and what steers directions.
fn is_obeyed(c: char) -> bool {
    let steers = matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2066}'..='\u{2069}');
    c.is_control() || steers || matches!(c, '\u{2028}'..='\u{202e}')
}

/// What of one thing and another a run looks at: one, so that runs are quick, chosen by all bytes of
/// its input, so that nearly every change of it chooses anew.
fn choose<T: Copy>(data: &[u8], of: &[T]) -> T {
    let sum = data.iter().fold(0_usize, |sum, byte| sum + usize::from(*byte));
    of[sum % of.len()]
}

/// How a page is written.
#[derive(Clone, Copy)]
enum Written {
    /// As PDF, with its fonts.
    Pdf,
    /// As SVG.
    Svg,
}

/// Composes, checks and writes a batch.
fn print(batch: &Batch, layout: &Layout, sources: &Sources, written: Written) {
    let pictures = PictureStore::new(&Pictures, ".");
    let document = Document {
        shop: Some(&SHOP),
        threads: Some(std::num::NonZeroUsize::MIN),
        ..Document::new(batch, layout, &BOOK, &pictures)
    };
    if batch.parcels.is_empty() {
        return;
    }
    let run = match Run::new(&document) {
        Ok(run) => run,
        Err(fault) => return show(&[fault], sources),
    };
    let options = PdfOptions::default();
    let encoder = PdfEncoder::new(&BOOK, &options);
    let mut writer = PdfWriter::new(Vec::new(), &BOOK, &options).expect("memory takes all");
    let mut watch = watch_batch(batch);
    let finish = |page: &slipwright::Page| match written {
        Written::Pdf => Some(encoder.encode_page(page)),
        Written::Svg => {
            assert!(!render_svg(page, &BOOK, &SvgOptions::default()).is_empty());
            None
        }
    };
    let take = |page: Option<_>| match page {
        Some(page) => writer.push(page).map_err(std::io::Error::other),
        None => Ok(()),
    };
    let outcome = run.make(&mut watch, finish, take, |_| {}).expect("memory takes all");
    show(&outcome.findings, sources);
    show(&watch.finish(), sources);
    if matches!(written, Written::Pdf) && !has_errors(&outcome.findings) {
        let written = writer.finish().expect("what has no errors can be written");
        assert!(written.starts_with(b"%PDF-"));
    }
}

/// The text in some bytes; none when they are not UTF-8, which the command refuses by itself.
fn text_of(data: &[u8]) -> Option<&str> {
    std::str::from_utf8(data).ok()
}

/// A batch of foreign orders, and what was said about them.
fn batch_of(text: &str) -> (Batch, Sources, Vec<Finding>) {
    let mut sources = Sources::new();
    let file = sources.add("orders.json", text);
    let text = sources.get(file).shared_text();
    let read = read_orders(&text, file);
    let silent = read.orders.is_empty() && read.findings.is_empty();
    assert!(!silent, "nothing was read and nothing was said");
    let bad = read.bad.iter().map(|bad| AsideOrder::refused(bad, &read.findings));
    let bad: Vec<_> = bad.collect();
    let aside = write_aside(read.batch_name.as_deref(), &bad, &sources);
    let again = read_orders(&aside, file);
    assert_eq!(again.orders.len() + again.bad.len(), bad.len(), "an order set aside is lost");
    let mut found = read.findings;
    let name = read.batch_name;
    let batch = Batch::assemble(name.as_deref(), read.orders, Some(&SHOP), options(), &mut found);
    (batch, sources, found)
}

/// Orders: read, put together, their addresses written and looked at.
pub fn orders(data: &[u8]) {
    let Some(text) = text_of(data) else { return };
    let (batch, sources, mut found) = batch_of(text);
    found.extend(inspect_addresses(&batch));
    show(&found, &sources);
    for parcel in &batch.parcels {
        let scan = PairScan::parse(&batch.label_payload(parcel)).expect("our own code");
        assert_eq!(scan.code, parcel.pair);
        let _ = skeleton(&parcel.tag.text);
    }
}

/// Orders, down to printed labels or slips.
pub fn batch(data: &[u8]) {
    let Some(text) = text_of(data) else { return };
    let (batch, sources, _) = batch_of(text);
    let (layout, written) = choose(
        data,
        &[
            (&LABEL, Written::Pdf),
            (&LABEL, Written::Svg),
            (&SLIP, Written::Pdf),
            (&SLIP, Written::Svg),
        ],
    );
    print(&batch, layout, &sources, written);
}

/// A layout: read, and printed when it is good.
pub fn layout(data: &[u8]) {
    let Some(text) = text_of(data) else { return };
    let mut sources = Sources::new();
    let file = sources.add("layout.yaml", text);
    let (layout, found) = read_layout(&mut sources, file, &Pictures, Path::new(""));
    assert_eq!(layout.is_none(), has_errors(&found), "a layout or an error: {found:?}");
    show(&found, &sources);
    if let Some(layout) = layout {
        print(&PARCELS, &layout, &sources, choose(data, &[Written::Pdf, Written::Svg]));
    }
}

/// A shop file.
pub fn shop(data: &[u8]) {
    let Some(text) = text_of(data) else { return };
    let mut sources = Sources::new();
    let file = sources.add("shop.yaml", text);
    let mut found = Vec::new();
    let shop = Shop::read(sources.get(file).text(), file, &mut found);
    assert_eq!(shop.is_none(), has_errors(&found), "a shop or an error: {found:?}");
    show(&found, &sources);
}

/// What parts a map from its export in the input of [`intake`].
const PARTING: &[u8] = b"\n%%%\n";

/// An export, with a map before [`PARTING`] or with the one that is proposed for it.
pub fn intake(data: &[u8]) {
    let parting = data.windows(PARTING.len()).position(|window| window == PARTING);
    match parting {
        None => take_export(None, data),
        Some(at) => {
            let Some(map) = text_of(&data[..at]) else { return };
            take_export(Some(map), &data[at + PARTING.len()..]);
        }
    }
}

/// A pattern of a map before [`PARTING`], and a cell that it takes apart.
pub fn pattern(data: &[u8]) {
    let Some((pattern, cell)) = text_of(data).and_then(|text| text.split_once("\n%%%\n")) else {
        return;
    };
    let fields = match pattern.contains("country}") {
        true => "{id: I}",
        false => "{id: I, ship_to.country: {always: NL}}",
    };
    let quoted = serde_text(pattern);
    let map = format!("patterns: [{{column: A, pattern: {quoted}}}]\nfields: {fields}\n");
    let export = format!("I,A\n1,\"{}\"\n", cell.replace('"', "\"\""));
    take_export(Some(&map), export.as_bytes());
}

/// A text in the double quotes of YAML.
fn serde_text(text: &str) -> String {
    let mut quoted = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => quoted.extend(['\\', c]),
            c if c.is_control() => quoted.push_str(&format!("\\u{:04x}", u32::from(c))),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}

/// A spreadsheet: a whole file, or the sheet, styles and texts of one, parted by [`PARTING`].
pub fn sheet(data: &[u8]) {
    if data.starts_with(b"PK") {
        return take_export(None, data);
    }
    let Some(text) = text_of(data) else { return };
    let mut parts = text.split("\n%%%\n");
    let first = parts.next().unwrap_or_default();
    if first.contains("<table:") {
        let kind = "application/vnd.oasis.opendocument.spreadsheet";
        return take_export(None, &store_zip(&[("mimetype", kind), ("content.xml", first)]));
    }
    let workbook = "<workbook><sheets><sheet name='A' sheetId='1' r:id='r1'/></sheets></workbook>";
    let relations =
        "<Relationships><Relationship Id='r1' Target='worksheets/sheet1.xml'/></Relationships>";
    let mut files = vec![
        ("xl/workbook.xml", workbook),
        ("xl/_rels/workbook.xml.rels", relations),
        ("xl/worksheets/sheet1.xml", first),
    ];
    let names = ["xl/styles.xml", "xl/sharedStrings.xml"];
    files.extend(names.into_iter().zip(parts).filter(|(_, text)| !text.is_empty()));
    take_export(None, &store_zip(&files));
}

/// A zip file whose parts are stored as they are.
fn store_zip(files: &[(&str, &str)]) -> Vec<u8> {
    let mut zip = Vec::new();
    let mut directory = Vec::new();
    for (name, text) in files {
        let offset = zip.len() as u32;
        let mut head = [0_u8; 26];
        head[10..14].copy_from_slice(&checksum(text.as_bytes()).to_le_bytes());
        head[14..18].copy_from_slice(&(text.len() as u32).to_le_bytes());
        head[18..22].copy_from_slice(&(text.len() as u32).to_le_bytes());
        head[22..24].copy_from_slice(&(name.len() as u16).to_le_bytes());
        zip.extend_from_slice(b"PK\x03\x04");
        zip.extend_from_slice(&head);
        zip.extend_from_slice(name.as_bytes());
        zip.extend_from_slice(text.as_bytes());
        directory.extend_from_slice(b"PK\x01\x02\0\0");
        directory.extend_from_slice(&head);
        directory.extend_from_slice(&[0; 10]);
        directory.extend_from_slice(&offset.to_le_bytes());
        directory.extend_from_slice(name.as_bytes());
    }
    let mut end = [0_u8; 18];
    end[6..8].copy_from_slice(&(files.len() as u16).to_le_bytes());
    end[8..12].copy_from_slice(&(directory.len() as u32).to_le_bytes());
    end[12..16].copy_from_slice(&(zip.len() as u32).to_le_bytes());
    zip.extend(directory);
    zip.extend_from_slice(b"PK\x05\x06");
    zip.extend_from_slice(&end);
    zip
}

/// The CRC-32 of some bytes.
fn checksum(bytes: &[u8]) -> u32 {
    let step = |crc: u32, byte: &u8| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| (crc >> 1) ^ (0xedb8_8320 * (crc & 1)))
    };
    !bytes.iter().fold(!0, step)
}

/// Takes an export in, with a map or the one that is proposed for it.
fn take_export(map: Option<&str>, export: &[u8]) {
    let open = || -> std::io::Result<Box<dyn std::io::Read>> {
        Ok(Box::new(std::io::Cursor::new(export.to_vec())))
    };
    let mut sources = Sources::new();
    let map = match map {
        Some(map) => map.to_owned(),
        None => {
            let proposal = propose_map(&open, "export.csv", &mut sources);
            let (map, found) = proposal.expect("memory can be read");
            show(&found.findings, &sources);
            map
        }
    };
    let file = sources.add("map.yaml", map.as_str());
    let mut found = Vec::new();
    let map = read_intake_map(&map, file, &mut found);
    assert_eq!(map.is_none(), has_errors(&found), "a map or an error: {found:?}");
    show(&found, &sources);
    let Some(map) = map else { return };
    let (mut out, mut rest) = (Vec::new(), Vec::new());
    let output = IntakeOutput { orders: &mut out, aside: Some(&mut rest) };
    let taken = take_in_with(&map, &open, "export.csv", output, &mut sources);
    let taken = taken.expect("memory can be read and written");
    show(&taken.findings, &sources);
    assert!(taken.stopped || rest.is_empty() == (taken.set_aside == 0));
    if !taken.stopped && taken.orders > 0 {
        let text = String::from_utf8(out).expect("orders are text");
        let file = sources.add("orders.json", text.as_str());
        let read = read_orders(&text, file);
        assert!(!has_errors(&read.findings), "{:?}", read.findings);
        assert_eq!(read.orders.len(), taken.orders);
    }
}

/// What a Code 128 and its relatives say: any payload, element strings, identifiers.
pub fn code128(data: &[u8]) {
    let bytes: Vec<Data> =
        data.iter().map(|&byte| if byte == 0xff { Data::Fnc1 } else { Data::Char(byte) }).collect();
    let symbols = [
        Code128::encode(&bytes).ok(),
        text_of(data).and_then(|text| Code128::encode_text(text).ok()),
        text_of(data)
            .and_then(|text| ElementStrings::parse(text).ok())
            .and_then(|strings| strings.to_code128().ok()),
    ];
    for code in symbols.into_iter().flatten() {
        // ISO/IEC 15417: 11 modules a character, 13 for the stop.
        let row = code.row();
        assert_eq!(row.modules(), 11 * code.codewords().len() + 2);
        assert_eq!(row.to_modules().len(), row.modules());
        assert_eq!(row.widths().map(usize::from).sum::<usize>(), row.modules());
        let _ = code.text();
    }
    let Some(text) = text_of(data) else { return };
    if let Ok(strings) = ElementStrings::parse(text) {
        let _ = strings.to_digital_link("example.com");
    }
    if let Ok(code) = Ean::encode(text) {
        assert_eq!(code.number(), text);
        assert_eq!(code.row().modules(), code.kind().modules());
    }
    let _ = (verify_gtin(text), verify_sscc(text), S10::verify(text));
    let _ = (PairCode::parse(text), PairScan::parse(text));
}

/// What a QR code or Data Matrix says; the first byte chooses the level, the second the largest version,
/// or a Data Matrix from 128 on.
pub fn qr(data: &[u8]) {
    let [level, largest, text @ ..] = data else { return };
    let Some(text) = text_of(text) else { return };
    if *largest >= 128 {
        return match DataMatrix::encode_text(text) {
            Ok(code) => assert_eq!(code.grid().size(), code.size()),
            Err(error) => assert!(!error.to_string().is_empty()),
        };
    }
    let ecc = Ecc::ALL[usize::from(level % 4)];
    let boost = level & 4 == 0;
    let mask = (level & 8 != 0).then_some(level >> 4);
    let options = QrOptions { ecc, boost, largest: *largest, mask, ..QrOptions::default() };
    let code = match Qr::encode(text, &options) {
        Ok(code) => code,
        Err(error) => return assert!(!error.to_string().is_empty()),
    };
    assert!(code.version() <= *largest && code.ecc() >= ecc);
    let grid = code.grid();
    assert_eq!(grid.rows().len(), code.size());
    for y in 0..code.size() {
        let dark: usize = grid.runs(y).map(|(_, length)| length).sum();
        assert_eq!(dark, (0..code.size()).filter(|&x| grid.get(x, y)).count());
    }
}

/// A PDF whose pages are placed on ours.
pub fn pdf(data: &[u8]) {
    let file = match PdfFile::open(data.to_vec()) {
        Ok(file) => file,
        Err(error) => return assert!(!error.finding("a.pdf").message.is_empty()),
    };
    for number in 1..=file.page_count().min(3) {
        let page = match file.page(number) {
            Ok(page) => page,
            Err(error) => {
                assert!(!error.finding("a.pdf").message.is_empty());
                continue;
            }
        };
        assert!(page.size().width.0.is_finite() && page.size().height.0.is_finite());
        assert!(page.placement(1.0, 2.0, 30.0, 40.0).iter().all(|number| number.is_finite()));
        let mut next = 0;
        let mut length = 0;
        let allocate = || {
            next += 1;
            next
        };
        let put = |_, bytes: &[u8]| {
            length += bytes.len();
            Ok::<(), std::convert::Infallible>(())
        };
        let Ok(written) = page.write_objects(&mut SharedObjects::new(), allocate, put);
        assert!(written.form > 0 && length > 0);
    }
}

/// A page of a PDF that is drawn as dots, if the build can: a whole file, or the page's content, its
/// resources and one stream that these may name as `9 0 R`, parted by [`PARTING`].
pub fn drawing(data: &[u8]) {
    let file = match data.starts_with(b"%PDF-") {
        true => data.to_vec(),
        false => write_page(data),
    };
    let Ok(file) = PdfFile::open(file) else { return };
    let Ok(page) = file.page(1) else { return };
    match page.draw(&PageCut::whole(page.size()), 60, 40) {
        Ok(drawn) => assert_eq!(drawn.pixels.len(), 60 * 40),
        Err(error) => assert!(!error.to_string().is_empty()),
    }
}

/// A PDF of one page made of the parts of some bytes.
fn write_page(data: &[u8]) -> Vec<u8> {
    let mut parts = Vec::new();
    let mut rest = data;
    while let Some(at) = rest.windows(PARTING.len()).position(|window| window == PARTING) {
        parts.push(&rest[..at]);
        rest = &rest[at + PARTING.len()..];
    }
    parts.push(rest);
    let part = |number: usize| parts.get(number).copied().unwrap_or_default();
    let stream = |entries: &[u8], plain: &[u8]| {
        let length = format!("<</Length {}", plain.len());
        [length.as_bytes(), entries, b">>stream\n", plain, b"\nendstream"].concat()
    };
    let head = b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 60 40]/Contents 4 0 R/Resources<<".to_vec();
    let objects = [
        (1, b"<</Type/Catalog/Pages 2 0 R>>".to_vec()),
        (2, b"<</Type/Pages/Kids[3 0 R]/Count 1>>".to_vec()),
        (3, [&head, part(1), b">>>>"].concat()),
        (4, stream(b"", part(0))),
        (9, stream(part(2), part(3))),
    ];
    let mut file = b"%PDF-1.7\n".to_vec();
    let mut rows = vec![String::from("0000000000 65535 f \n"); 10];
    for (number, body) in objects {
        rows[number] = format!("{:010} 00000 n \n", file.len());
        file.extend_from_slice(format!("{number} 0 obj\n").as_bytes());
        file.extend_from_slice(&body);
        file.extend_from_slice(b"\nendobj\n");
    }
    let start = file.len();
    let tail = "trailer\n<</Size 10/Root 1 0 R>>\nstartxref\n";
    file.extend_from_slice(
        format!("xref\n0 10\n{}{tail}{start}\n%%EOF\n", rows.concat()).as_bytes(),
    );
    file
}

/// A picture: read, and brought to printer dots.
pub fn picture(data: &[u8]) {
    match images::decode(data) {
        Ok(Picture::Raster(image)) => {
            assert_eq!(image.pixels.len(), image.width as usize * image.height as usize);
            let dots =
                resample(&image, image.width.clamp(1, 200), image.height.div_ceil(3).min(200));
            let _ = dither(&dots);
        }
        Ok(Picture::Drawing(drawing)) => {
            assert!(drawing.width > 0.0 && drawing.height > 0.0);
        }
        Err(error) => assert!(!error.hint().is_empty() && !error.to_string().is_empty()),
    }
}

/// The record of a kit; one that can be read says the same when it is written again.
pub fn kit(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    if let Ok(record) = KitRecord::read(text) {
        assert_eq!(KitRecord::read(&record.to_json()).as_ref(), Ok(&record));
        let _ = record.differs(&PARCELS, 0);
    }
}

/// The record of parcels printed once more: the files of their folder.
pub fn reprint(bytes: &[u8]) {
    let Some(text) = text_of(bytes) else { return };
    match read_files(text) {
        Ok(files) => {
            let again = reprint_to_json(&[1, 3], &files);
            assert_eq!(read_files(&again).as_ref(), Ok(&files));
        }
        Err(fault) => assert!(!fault.is_empty()),
    }
}

/// Whether a number with a fraction, or one too large to be whole, may stand in a JSON text.
fn has_fraction(text: &str) -> bool {
    let digits = |byte: u8| byte.is_ascii_digit();
    let bytes = text.as_bytes();
    let is_long =
        bytes.chunk_by(|a, b| digits(*a) == digits(*b)).any(|run| digits(run[0]) && run.len() > 18);
    is_long || bytes.windows(2).any(|pair| digits(pair[0]) && matches!(pair[1], b'.' | b'e' | b'E'))
}

/// The list of a kit's parcels; one that can be read says the same when it is written again.
pub fn parcels(bytes: &[u8]) {
    let Some(text) = text_of(bytes) else { return };
    match ParcelList::read(text) {
        Ok(list) => {
            let again = ParcelList::read(&list.to_json()).expect("what was written can be read");
            for place in 0..3 {
                let lines = list.differences(&PARCELS, place);
                let lines_again = again.differences(&PARCELS, place);
                // A number with a fraction may lose its last digit whenever it is read; a kit writes none.
                assert!(
                    lines_again == lines || has_fraction(text),
                    "{lines_again:?}, were {lines:?}"
                );
                assert!(lines.iter().all(|line| !line.is_empty()));
            }
        }
        Err(fault) => assert!(!fault.is_empty()),
    }
}

/// What comes back from a printer.
pub fn ipp(bytes: &[u8]) {
    match show_ipp_answer(bytes) {
        Ok(shown) => assert!(!shown.is_empty()),
        Err(fault) => assert!(!fault.is_empty() && fault.is_ascii(), "{fault}"),
    }
}

/// A file of dots that somebody prints: what comes of it is one again, with as many pages.
pub fn pwg(bytes: &[u8]) {
    let Ok(file) = PwgFile::read(bytes.to_vec()) else { return };
    let pages: Vec<usize> = (0..file.pages().len().min(3)).collect();
    let lay = choose(bytes, &[PwgLay::Upright, PwgLay::Turned]);
    let backs = choose(bytes, &[PwgBacks::AsSeen, PwgBacks::HeadDown]);
    let sending = PwgSending { pixels: PwgPixels::Bits, lay, backs };
    let again = PwgFile::read(file.write(&pages, sending));
    assert_eq!(again.map(|it| it.pages().len()), Ok(pages.len()));
    assert!(!file.write(&pages, PwgSending { pixels: PwgPixels::Gray, ..sending }).is_empty());
}
