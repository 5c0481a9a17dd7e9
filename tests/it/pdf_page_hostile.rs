//! Files that are damaged, cut short or made to do harm end in an error, soon.

use std::sync::LazyLock;
use std::time::{Duration, Instant};

use proptest::prelude::*;
use slipwright::images::{PdfFile, PdfImportError};

use super::pdf_page_support::{
    Draft, deflate, fonts, import, layered, marks, patterns, samples, shapes, with_object_streams,
};

/// No hostile file may keep the importer busy longer, even in a debug build on a busy machine.
const PATIENCE: Duration = Duration::from_secs(20);

/// The error on opening a file and fetching its first page.
fn refusal(file: Vec<u8>) -> PdfImportError {
    let start = Instant::now();
    let error = PdfFile::open(file).and_then(|file| file.page(1)).expect_err("refused");
    assert!(start.elapsed() < PATIENCE, "took {:?}", start.elapsed());
    error
}

/// The message on opening a file and fetching its first page.
fn message(file: Vec<u8>) -> String {
    refusal(file).to_string()
}

/// Opens a file and fetches all its pages, whatever comes of it.
fn swallow(file: Vec<u8>) {
    let start = Instant::now();
    if let Ok(file) = PdfFile::open(file) {
        for number in 1..=file.page_count().min(4) {
            if let Ok(page) = file.page(number) {
                assert!(page.size().width.0.is_finite() && page.size().height.0.is_finite());
            }
        }
    }
    assert!(start.elapsed() < PATIENCE, "took {:?}", start.elapsed());
}

#[test]
fn other_files_and_other_numbers_are_refused() {
    assert_eq!(refusal(Vec::new()), PdfImportError::NotAPdf);
    assert_eq!(refusal(b"\x89PNG\r\n\x1a\n".to_vec()), PdfImportError::NotAPdf);
    assert_eq!(
        message(b"%PDF-1.7\n".to_vec()),
        "the PDF is broken: its end is missing: it was cut short"
    );
    let file = PdfFile::open(marks()).expect("a file");
    for asked in [0, 2, usize::MAX] {
        let error = file.page(asked).expect_err("refused");
        assert_eq!(error, PdfImportError::NoSuchPage { asked, pages: 1 });
    }
}

#[test]
fn encrypted_files_are_refused_with_or_without_a_password() {
    for user_password in ["", "secret"] {
        let mut document = lopdf::Document::load_mem(&marks()).expect("a readable file");
        let id = lopdf::Object::string_literal("0123456789abcdef");
        document.trailer.set("ID", vec![id.clone(), id]);
        let state = lopdf::EncryptionState::try_from(lopdf::EncryptionVersion::V2 {
            document: &document,
            owner_password: "owner",
            user_password,
            key_length: 128,
            permissions: lopdf::Permissions::all(),
        })
        .expect("a state");
        document.encrypt(&state).expect("encrypted");
        let mut saved = Vec::new();
        document.save_to(&mut saved).expect("saved");
        let finding = refusal(saved).finding("label.pdf");
        assert_eq!(finding.message, "the PDF `label.pdf` is protected with a password");
        assert!(finding.hints[0].starts_with("save an unprotected copy"));
    }
}

#[test]
fn a_file_cut_anywhere_before_its_last_figure_is_refused() {
    for file in [marks(), with_object_streams(&marks()), layered(false)] {
        let text = String::from_utf8_lossy(&file);
        let tail = text[text.rfind("startxref").expect("a start")..].len();
        let whole = file.len() - tail + "startxref\n".len();
        for length in (0..whole).step_by(3) {
            refusal(file[..length].to_vec());
        }
        // From there on only the end mark is missing, or digits that lead nowhere.
        for length in whole..file.len() {
            swallow(file[..length].to_vec());
        }
    }
}

#[test]
fn circles_are_found() {
    let tree =
        Draft::of_page("/MediaBox[0 0 99 99]").with(2, "<</Type/Pages/Kids[2 0 R]/Count 1>>");
    assert_eq!(message(tree.to_file()), "the PDF is broken: its page tree leads in a circle");
    let tree = Draft::of_page("/MediaBox[0 0 99 99]").with(2, "2 0 R");
    assert_eq!(message(tree.to_file()), "the PDF is broken: object 2 leads in a circle");
    // Each node names its child many times: few objects, endless pages.
    let mut wide = Draft::of_page("/MediaBox[0 0 99 99]");
    for number in 10..30 {
        let kid = if number == 29 { 3 } else { number + 1 };
        wide = wide.with(number, &format!("<</Kids[{}]>>", format!("{kid} 0 R ").repeat(9)));
    }
    let wide = wide.with(2, "<</Type/Pages/Kids[10 0 R]>>");
    assert_eq!(message(wide.to_file()), "the PDF is too large: more than 50000 pages");

    // Resources may refer to each other in circles, as fonts and forms do; each is taken once.
    let resources = Draft::of_page("/MediaBox[0 0 99 99]/Resources 4 0 R")
        .with(4, "<</XObject<</A 5 0 R>>/Font<</Self 4 0 R>>>>")
        .with_stream(5, "/Subtype/Form/BBox[0 0 9 9]/Resources 4 0 R", b"/A Do");
    swallow(resources.to_file());
    let page = PdfFile::open(resources.to_file()).and_then(|file| file.page(1)).expect("a page");
    assert!(page.byte_count() < 1000);

    let table =
        Draft { trailer: "/Prev 9".into(), ..Draft::of_page("/MediaBox[0 0 99 99]") }.to_file();
    let start = table.windows(5).rposition(|window| window == b"xref\n").expect("a table") - 5;
    let at = table[..start].windows(5).rposition(|window| window == b"xref\n").expect("a table");
    let table = Draft { trailer: format!("/Prev {at}"), ..Draft::of_page("/MediaBox[0 0 99 99]") };
    assert_eq!(
        message(table.to_file()),
        "the PDF is broken: the sections of its object table lead in a circle"
    );
}

#[test]
fn lengths_that_lead_from_stream_to_stream_do_no_harm() {
    // 5,000 links overflow the stack of readers that follow them.
    let mut chain = Draft::of_page("/MediaBox[0 0 99 99]/Contents 10 0 R");
    for number in 10..20_000 {
        let body = format!("<</Length {} 0 R>>stream\nendstream", number + 1);
        chain.objects.push((number, body.into_bytes()));
    }
    swallow(chain.with(20_000, "5").to_file());
}

/// A file with its table in a stream: objects, and objects within object streams as number,
/// stream and place.
fn with_stream_table(objects: &[(u32, String)], within: &[(u32, u32, u8)]) -> Vec<u8> {
    let mut file = b"%PDF-1.7\n".to_vec();
    let mut rows = vec![[0u8; 6]; 64];
    for (number, body) in objects {
        rows[*number as usize][0] = 1;
        rows[*number as usize][1..5].copy_from_slice(&(file.len() as u32).to_be_bytes());
        file.extend_from_slice(format!("{number} 0 obj\n{body}\nendobj\n").as_bytes());
    }
    for (number, stream, place) in within {
        rows[*number as usize][0] = 2;
        rows[*number as usize][1..5].copy_from_slice(&stream.to_be_bytes());
        rows[*number as usize][5] = *place;
    }
    let (start, rows) = (file.len(), rows.concat());
    let entries = format!("/Type/XRef/Size 64/W[1 4 1]/Root 1 0 R/Length {}", rows.len());
    file.extend_from_slice(format!("63 0 obj\n<<{entries}>>stream\n").as_bytes());
    file.extend_from_slice(&rows);
    file.extend_from_slice(format!("\nendstream\nendobj\nstartxref\n{start}\n%%EOF").as_bytes());
    file
}

#[test]
fn object_streams_that_need_each_other_do_no_harm() {
    let page = [(2, "<</Kids[3 0 R]>>".to_string()), (3, "<</MediaBox[0 0 99 99]>>".to_string())];
    let packed = |number: u32, entries: &str, content: &str| {
        (number, format!("<</Type/ObjStm{entries}>>stream\n{content}\nendstream"))
    };
    let catalog = "1 0 <</Pages 2 0 R>>";
    let good = packed(10, "/N 1/First 4/Length 20", catalog);
    let file = with_stream_table(&[&page[..], &[good]].concat(), &[(1, 10, 0)]);
    assert!(PdfFile::open(file).and_then(|file| file.page(1)).is_ok());
    // A length or a count that lies within the stream itself is never known.
    let length = packed(10, "/N 1/First 4/Length 1 0 R", catalog);
    let file = with_stream_table(&[&page[..], &[length]].concat(), &[(1, 10, 0)]);
    assert_eq!(message(file), "the PDF is broken: its object streams lead in a circle");
    let count = packed(10, "/N 1 0 R/First 4/Length 20", catalog);
    let file = with_stream_table(&[&page[..], &[count]].concat(), &[(1, 10, 0)]);
    assert_eq!(message(file), "the PDF is broken: its object streams lead in a circle");
    // Each stream's count lies in the next.
    let mut objects = page.to_vec();
    let mut within = vec![(1, 10, 0)];
    for number in 10..50 {
        let content = if number == 10 { catalog.into() } else { format!("{number} 0 1") };
        objects.push(packed(number, &format!("/N {} 0 R/First 4", number + 1), &content));
        within.push((number + 1, number + 1, 0));
    }
    swallow(with_stream_table(&objects, &within));
}

#[test]
fn one_large_object_under_many_numbers_does_no_harm() {
    // The table in a stream names the same megabyte under 200,000 numbers; packed, that is small.
    let mut file = Draft::of_page("/MediaBox[0 0 99 99]/Contents[4 0 R 5 0 R 6 0 R]").to_file();
    let offsets: Vec<usize> = (1..=3)
        .map(|number| {
            let head = format!("{number} 0 obj");
            file.windows(head.len()).position(|window| window == head.as_bytes()).expect("there")
        })
        .collect();
    let large = file.len();
    file.extend_from_slice(b"4 0 obj\n<</Length 1000000>>stream\n");
    file.extend(std::iter::repeat_n(b' ', 1_000_000));
    file.extend_from_slice(b"\nendstream\nendobj\n");
    let start = file.len();
    let mut rows = vec![0; 5];
    for offset in offsets.into_iter().chain(std::iter::repeat_n(large, 200_000)) {
        rows.push(1);
        rows.extend_from_slice(&(offset as u32).to_be_bytes());
    }
    let rows = deflate(&rows);
    let head = format!(
        "4 0 obj\n<</Type/XRef/Size 200004/W[1 4 0]/Root 1 0 R/Filter/FlateDecode/Length {}>>stream\n",
        rows.len()
    );
    file.extend_from_slice(head.as_bytes());
    file.extend_from_slice(&rows);
    file.extend_from_slice(format!("\nendstream\nendobj\nstartxref\n{start}\n%%EOF").as_bytes());
    assert_eq!(message(file), "the PDF is broken: object 5 is not where its table says");
}

#[test]
fn too_much_of_anything_is_refused() {
    let zeros = deflate(&vec![b' '; 65 << 20]);
    let bomb = Draft::of_page("/MediaBox[0 0 99 99]/Contents 4 0 R").with_stream(
        4,
        "/Filter/FlateDecode",
        &zeros,
    );
    assert_eq!(
        message(bomb.to_file()),
        "the PDF is too large: a stream unpacks to more than 64 MB"
    );
    let twice = Draft::of_page("/MediaBox[0 0 99 99]/Contents 4 0 R").with_stream(
        4,
        "/Filter[/FlateDecode/FlateDecode]",
        &deflate(&zeros),
    );
    assert_eq!(
        message(twice.to_file()),
        "the PDF is too large: a stream unpacks to more than 64 MB"
    );
    let half = deflate(&vec![b' '; 40 << 20]);
    let parts = Draft::of_page("/MediaBox[0 0 99 99]/Contents[4 0 R 4 0 R 4 0 R 4 0 R]")
        .with_stream(4, "/Filter/FlateDecode", &half);
    assert_eq!(
        message(parts.to_file()),
        "the PDF is too large: the page's content takes more than 64 MB"
    );

    let values = Draft::of_page("/MediaBox[0 0 99 99]/Resources 4 0 R")
        .with(4, &format!("[{}]", "0 ".repeat(2_100_000)));
    assert_eq!(
        message(values.to_file()),
        "the PDF is too large: more than 2000000 values to look at"
    );
    let deep = Draft::of_page("/MediaBox[0 0 99 99]/Resources 4 0 R").with(4, &"[".repeat(100_000));
    assert_eq!(message(deep.to_file()), "the PDF is broken: values are nested more than 64 deep");
    let rows = Draft::of_page("/MediaBox[0 0 99 99]").to_file();
    let text = String::from_utf8_lossy(&rows).replace("xref\n0 4\n", "xref\n0 4000000000\n");
    assert!(PdfFile::open(text.into_bytes()).is_err());

    // One row of the table a thousand times a thousand times.
    let rows = deflate(&vec![0u8; 4 << 20]);
    let index = "0 1000 ".repeat(4000);
    let entries =
        format!("/Type/XRef/Size 9/W[1 0 0]/Index[{index}]/Root 1 0 R/Filter/FlateDecode");
    let mut file = b"%PDF-1.7\n".to_vec();
    file.extend_from_slice(
        format!("1 0 obj\n<<{entries}/Length {}>>stream\n", rows.len()).as_bytes(),
    );
    file.extend_from_slice(&rows);
    file.extend_from_slice(b"\nendstream\nendobj\nstartxref\n9\n%%EOF");
    assert_eq!(message(file), "the PDF is too large: more than 1000000 objects");

    let mut many = Draft::of_page("/MediaBox[0 0 99 99]/Resources 4 0 R");
    let list: String = (10..60_100).map(|number| format!("{number} 0 R ")).collect();
    many.objects.extend((10..60_100).map(|number| (number, b"(x)".to_vec())));
    let many = many.with(4, &format!("<</Font[{list}]>>"));
    assert_eq!(
        message(many.to_file()),
        "the PDF is too large: the page brings more than 50000 objects"
    );
}

#[test]
fn impossible_pages_are_refused() {
    let page = |entries: &str| message(Draft::of_page(entries).to_file());
    assert_eq!(page(""), "the PDF is broken: the page has no size (`MediaBox`)");
    assert_eq!(page("/MediaBox[0 0 9]"), "the PDF is broken: expected four numbers for `MediaBox`");
    assert_eq!(
        page("/MediaBox[0 0 1e9 9]"),
        "the PDF is broken: expected four numbers for `MediaBox`"
    );
    let size = "the page of the PDF cannot be paper: expected sides from 1 mm to 5080 mm, found ";
    assert_eq!(page("/MediaBox[0 0 0 100]"), format!("{size}0 mm × 35.28 mm"));
    assert_eq!(page("/MediaBox[0 0 100 99999]"), format!("{size}35.28 mm × 35277 mm"));
    assert_eq!(page("/MediaBox[0 0 100 100]/UserUnit 500"), format!("{size}17639 mm × 17639 mm"));
    assert_eq!(
        page("/MediaBox[0 0 100 100]/Rotate 45"),
        "the PDF is broken: the page is turned by something else than quarters (`Rotate`)"
    );
    assert_eq!(
        page("/MediaBox[0 0 100 100]/Contents 9 0 R"),
        "the PDF is broken: a part of the page's content is missing"
    );
    let outside =
        Draft::of_page("/MediaBox[0 0 99 99]/Contents 4 0 R").with_stream(4, "/F(a.bin)", b"");
    assert_eq!(refusal(outside.to_file()), PdfImportError::OutsideData);
    let form = Draft::of_page("/MediaBox[0 0 99 99]")
        .with(1, "<</Pages 2 0 R/NeedsRendering true/AcroForm<</XFA 9 0 R>>>>");
    assert_eq!(refusal(form.to_file()), PdfImportError::DynamicForm);
    let tree = Draft::of_page("/MediaBox[0 0 99 99]").with(1, "<</Type/Catalog>>");
    assert_eq!(message(tree.to_file()), "the PDF is broken: it has no page tree");
    let tree = Draft::of_page("/MediaBox[0 0 99 99]").with(2, "<</Type/Pages/Kids[3 0 R 8 0 R]>>");
    assert_eq!(message(tree.to_file()), "the PDF is broken: a part of its page tree is missing");
}

#[test]
fn harmless_slips_of_producers_are_forgiven() {
    let good = marks();
    let junk = [b"\0\0mail header\r\n".to_vec(), good.clone()].concat();
    assert!(PdfFile::open(junk).and_then(|file| file.page(1)).is_ok(), "data before the header");
    let text = |change: &dyn Fn(String) -> String| {
        let latin: String = good.iter().map(|byte| char::from(*byte)).collect();
        change(latin).chars().map(|sign| sign as u8).collect::<Vec<u8>>()
    };
    let slips: [(&str, Vec<u8>); 4] = [
        ("a table numbered from 1", text(&|file| file.replace("xref\n0 21\n", "xref\n1 21\n"))),
        ("short line ends", text(&|file| file.replace("00000 n \n", "00000 n\n"))),
        ("a wrong length", text(&|file| file.replace("/Length 42", "/Length 99"))),
        ("no end mark", text(&|file| file.replace("%%EOF\n", ""))),
    ];
    for (slip, file) in slips {
        assert!(file != good, "{slip} changes nothing");
        let bytes = PdfFile::open(file).and_then(|file| file.page(1)).map(|page| page.byte_count());
        assert_eq!(bytes, Ok(import(good.clone(), 1).byte_count()), "{slip}");
    }
}

/// The samples that are small enough to be bent many times, plain and with object streams.
static SMALL_SAMPLES: LazyLock<Vec<Vec<u8>>> = LazyLock::new(|| {
    let mut small: Vec<Vec<u8>> =
        samples().into_iter().map(|(_, file, _)| file).filter(|file| file.len() < 20_000).collect();
    small.extend([marks(), patterns(), layered(false)].map(|file| with_object_streams(&file)));
    small
});

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    /// A few bytes anywhere replaced by others, with a liking for those that mean something.
    #[test]
    fn bent_bytes_end_in_a_page_or_an_error(
        which in 0usize..64,
        changes in prop::collection::vec((any::<prop::sample::Index>(), prop_oneof![
            any::<u8>(), prop::sample::select(b"<>[]()/% 0123456789R\n".to_vec())
        ]), 1..12),
    ) {
        let mut file = SMALL_SAMPLES[which % SMALL_SAMPLES.len()].clone();
        for (place, byte) in changes {
            let at = place.index(file.len());
            file[at] = byte;
        }
        swallow(file);
    }

    /// A stretch of a file taken out, doubled or put in from elsewhere.
    #[test]
    fn moved_stretches_end_in_a_page_or_an_error(
        which in 0usize..64,
        from in any::<prop::sample::Index>(),
        length in 1usize..200,
        to in any::<prop::sample::Index>(),
        drop in any::<bool>(),
    ) {
        let mut file = SMALL_SAMPLES[which % SMALL_SAMPLES.len()].clone();
        let from = from.index(file.len());
        let stretch: Vec<u8> = file[from..(from + length).min(file.len())].to_vec();
        if drop {
            file.drain(from..from + stretch.len());
        } else {
            let to = to.index(file.len());
            file.splice(to..to, stretch);
        }
        swallow(file);
    }

    /// Any operators at all in a page's content.
    #[test]
    fn any_content_ends_in_a_page(content in prop::collection::vec(any::<u8>(), 0..400)) {
        let content = [shapes(0., 0.).into_bytes(), content].concat();
        let file = Draft::of_page("/MediaBox[0 0 99 99]/Contents 4 0 R/Resources<<>>")
            .with_packed(4, "", &content)
            .to_file();
        let page = PdfFile::open(file).and_then(|file| file.page(1));
        prop_assert!(page.is_ok());
    }
}

#[test]
fn fonts_sample_is_not_lost_among_the_small_ones() {
    // The one sample too large to be bent often is bent a little.
    let file = fonts();
    for at in (0..file.len()).step_by(file.len() / 40) {
        let mut bent = file.clone();
        bent[at] ^= 0x15;
        swallow(bent);
    }
}
