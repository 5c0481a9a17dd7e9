//! The guide (layouts/README.md, wishes.md, reference.md) is true: every snippet prints without a word, every picture is what its
//! snippet prints, the reference is what the tables say, every error reads as it is quoted.
//!
//! `SLIPWRIGHT_BLESS=1` writes the reference, the quoted errors and the pictures anew; look at them
//! before they are committed.

use std::fs;
use std::io;
use std::ops::Range;
use std::path::Path;

use slipwright::export::{rasterise, render_png};
use slipwright::fields::Day;
use slipwright::workings::{BLOCKS, LAYOUT};
use slipwright::{
    Batch, Document, DotGrid, Env, FontBook, Page, PictureStore, Run, Shop, watch_batch,
};

use crate::command::Desk;
use crate::guide_reference::write_part;
use crate::guide_text::{GuidePage, PAGES, Snippet, folder, generated, read_step, snippets};
use crate::sample_pages::{layout_beside, sample_batch};
use crate::support::is_drawable;

/// Whether files are written anew.
fn blessing() -> bool {
    std::env::var_os("SLIPWRIGHT_BLESS").is_some()
}

/// The samples, where the guide tells one to keep a first layout and its pictures.
struct SampleFiles;

impl Env for SampleFiles {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        let name = path.file_name().and_then(|name| name.to_str());
        match snippets().iter().find(|snippet| snippet.value("file") == name && name.is_some()) {
            Some(snippet) => Ok(snippet.text().as_bytes().to_vec()),
            None => fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)),
        }
    }
}

/// The pages of a snippet for the sample batch; there must be no error and no warning.
fn print(
    snippet: &Snippet,
    batch: &Batch,
    shop: &Shop,
    book: &FontBook,
) -> Result<Vec<Page>, String> {
    let place = format!("layouts/{}:{}", snippet.page.name, snippet.line);
    print_layout(&snippet.layout(), &place, (batch, shop), book)
}

/// The pages of a layout for the sample batch; there must be no error and no warning.
fn print_layout(
    text: &str,
    place: &str,
    (batch, shop): (&Batch, &Shop),
    book: &FontBook,
) -> Result<Vec<Page>, String> {
    let layout = layout_beside(text, &SampleFiles, Path::new("samples"));
    let pictures = PictureStore::new(&SampleFiles, "samples");
    let document = Document {
        shop: Some(shop),
        grid: Some(DotGrid::DPI_203),
        date: Day::parse("2026-11-27"),
        ..Document::new(batch, &layout, book, &pictures)
    };
    let run = Run::new(&document).unwrap_or_else(|fault| panic!("{place}: {fault:?}"));
    let mut pages = Vec::new();
    let take = |page| {
        pages.push(page);
        Ok(())
    };
    let outcome = run.make(&mut watch_batch(batch), Page::clone, take, |_| {}).unwrap();
    let said: Vec<_> = outcome
        .findings
        .iter()
        .filter(|finding| finding.severity != slipwright::Severity::Note)
        .map(|finding| format!("{}: {} ({:?})", finding.rule, finding.message, finding.hints))
        .collect();
    match said.is_empty() {
        true => Ok(pages),
        false => Err(format!("{place}:\n{}\n{text}", said.join("\n"))),
    }
}

/// The pages that a snippet's picture shows.
fn shown<'p>(snippet: &Snippet, pages: &'p [Page]) -> &'p [Page] {
    let parcel = snippet.number("parcel").unwrap_or(1);
    let of = |page: &Page| page.subject.as_ref().is_none_or(|of| of.position == Some(parcel));
    let first = pages.iter().position(of).unwrap_or_default();
    let last = (first + snippet.number("pages").unwrap_or(1)).min(pages.len());
    &pages[first..last]
}

/// Pages side by side, each with a thin frame for the edge of its paper, as a PNG of one bit; one in colour
/// as it is.
pub(crate) fn draw(pages: &[Page], book: &FontBook) -> Vec<u8> {
    const BETWEEN: usize = 24;
    if let [page] = pages {
        let file = render_png(page, book).unwrap();
        // The colour type of a PNG, 2 for red, green and blue.
        if file[25] == 2 {
            return file;
        }
    }
    let bitmaps: Vec<_> = pages.iter().map(|page| rasterise(page, book)).collect();
    let sizes: Vec<_> =
        bitmaps.iter().map(|map| (map.width() as usize + 2, map.height() as usize + 2)).collect();
    let width = sizes.iter().map(|size| size.0).sum::<usize>() + BETWEEN * (sizes.len() - 1);
    let height = sizes.iter().map(|size| size.1).max().unwrap();
    let stride = width.div_ceil(8);
    let mut rows = vec![0xff; stride * height];
    let mut left = 0;
    for (map, (across, down)) in bitmaps.iter().zip(sizes) {
        for y in 0..down {
            for x in 0..across {
                let edge = x == 0 || y == 0 || x + 1 == across || y + 1 == down;
                if edge || map.get(x as u32 - 1, y as u32 - 1) {
                    rows[y * stride + (left + x) / 8] &= !(0x80 >> ((left + x) % 8));
                }
            }
        }
        left += across + BETWEEN;
    }
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width as u32, height as u32);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::One);
    encoder.set_compression(png::Compression::High);
    encoder.write_header().unwrap().write_image_data(&rows).unwrap();
    bytes
}

#[test]
fn every_snippet_prints_and_every_picture_is_what_it_prints() {
    let (batch, shop) = sample_batch();
    let book = FontBook::builtin();
    let mut drawn = Vec::new();
    let mut stale = Vec::new();
    let all = snippets();
    let printed = all.iter().filter(|it| it.language == "yaml" && !it.says("wrong"));
    for snippet in printed.filter(|it| it.value("file").is_none()) {
        let pages = match print(snippet, &batch, &shop, &book) {
            Ok(pages) => pages,
            Err(said) => {
                stale.push(said);
                continue;
            }
        };
        let Some(picture) = &snippet.picture else { continue };
        let path = folder().join(picture);
        let pages = shown(snippet, &pages);
        if !pages.iter().all(is_drawable) {
            drawn.push(path);
            continue;
        }
        let bytes = draw(pages, &book);
        if blessing() {
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(&path, &bytes).unwrap();
        }
        if !fs::read(&path).is_ok_and(|kept| kept == bytes) {
            stale.push(format!("{picture} is stale: run SLIPWRIGHT_BLESS=1 cargo test"));
        }
        drawn.push(path);
    }
    assert!(stale.is_empty(), "{}", stale.join("\n"));
    assert!(drawn.len() >= 20, "the pictures are gone");
    for kept in fs::read_dir(folder().join("pictures")).unwrap() {
        let path = kept.unwrap().path();
        assert!(drawn.contains(&path), "{} is in no snippet", path.display());
    }
}

#[test]
fn the_reference_and_the_quoted_errors_are_true() {
    let mut parts: Vec<(&GuidePage, Range<usize>, String)> = Vec::new();
    for part in generated() {
        let name = part.name;
        let text = write_part(name).unwrap_or_else(|| panic!("nothing generates `{name}`"));
        parts.push((part.page, part.range, text));
    }
    for block in BLOCKS {
        let name = format!("block {}", block.name);
        let told = generated().iter().filter(|part| part.name == name).count();
        assert_eq!(told, 1, "layouts/reference.md wants one `<!-- generated: {name} -->`");
    }
    let all = snippets();
    for pair in all.windows(2).filter(|pair| pair[0].says("wrong")) {
        assert_eq!(pair[1].language, "text", "line {}: no words for the mistake", pair[1].line);
        parts.push((pair[1].page, pair[1].range.clone(), what_the_command_says(&pair[0])));
    }
    parts.sort_by_key(|(_, range, _)| range.start);
    for page in PAGES.iter() {
        let mut text = page.text.clone();
        let of_page = parts.iter().rev().filter(|(its, ..)| its.name == page.name);
        for (_, range, part) in of_page {
            text.replace_range(range.clone(), part);
        }
        let failure = crate::support::compare(&folder().join(page.name), &text);
        assert!(failure.is_none(), "run SLIPWRIGHT_BLESS=1 cargo test: {} is stale", page.name);
    }
}

/// What may be left out of a step: it was there before.
#[test]
fn a_step_shows_all_that_is_new_and_nothing_that_is_not_there() {
    let all = snippets();
    let steps: Vec<&Snippet> = all.iter().filter(|it| it.number("step").is_some()).collect();
    assert_eq!(steps.len(), 10);
    for (number, step) in (1..).zip(steps) {
        assert_eq!(step.number("step"), Some(number));
        let whole = read_step(number);
        let before = if number == 1 { String::new() } else { read_step(number - 1) };
        let mut old: Vec<&str> = before.lines().collect();
        let mut new: Vec<&str> = Vec::new();
        for line in whole.lines() {
            match old.iter().position(|known| *known == line) {
                Some(at) => drop(old.remove(at)),
                None => new.push(line),
            }
        }
        let shown: Vec<&str> = step.text().lines().filter(|it| it.trim() != "# …").collect();
        let mut lines = whole.lines();
        for line in &shown {
            assert!(lines.any(|known| known == *line), "step {number} has no line `{line}` there");
        }
        for line in new {
            assert!(shown.contains(&line), "step {number} does not show `{line}`");
        }
    }
}

/// A cell of `wishes.md`: what stands in its code, as a whole layout. Several pieces in one cell go
/// together; a setting is under a text.
fn layout_of_wish(pieces: &[String]) -> String {
    let (mut top, mut blocks, mut settings) = (Vec::new(), Vec::new(), Vec::new());
    for piece in pieces {
        let key = piece.trim_start_matches('{').split(':').next().unwrap_or_default();
        match () {
            () if LAYOUT.fields.iter().any(|field| field.name == key) => top.push(piece.clone()),
            () if piece.starts_with('{') => blocks.push(piece.clone()),
            () => settings.push(piece.clone()),
        }
    }
    if !settings.is_empty() {
        let settings: String = settings.iter().map(|it| format!("\n      {it}")).collect();
        blocks.push(format!("text: a{settings}"));
    }
    if !top.iter().any(|piece| piece.starts_with("page:")) {
        top.insert(0, "page: {stock: 80x60mm, inset: 4}".to_owned());
    }
    // What one parcel does not have is left out, and white pages are told.
    blocks.push("{text: b}".to_owned());
    let body: String = blocks.iter().map(|block| format!("    - {block}\n")).collect();
    format!("{}\nmakes: label\nbody:\n  down:\n{body}", top.join("\n"))
}

#[test]
fn every_wish_prints_or_says_that_it_cannot_be() {
    let (batch, shop) = sample_batch();
    let book = FontBook::builtin();
    let page = PAGES.iter().find(|page| page.name == "wishes.md").unwrap();
    let (mut wishes, mut impossible, mut wrong) = (0, 0, Vec::new());
    for (index, line) in page.text.lines().enumerate() {
        let Some(row) = line.strip_prefix("| ").filter(|row| !row.starts_with("I want")) else {
            continue;
        };
        let (_, answer) = row.replace("\\|", "\u{1}").split_once('|').map_or_else(
            || panic!("line {}: no answer", index + 1),
            |(wish, answer)| (wish.to_owned(), answer.replace('\u{1}', "|")),
        );
        wishes += 1;
        if answer.trim().starts_with("not possible") {
            impossible += 1;
            continue;
        }
        let code = answer.split('`').skip(1).step_by(2).map(str::to_owned);
        let is_layout = |piece: &String| piece.contains(": ") && !piece.contains("Your Font");
        let pieces: Vec<String> = code.filter(is_layout).collect();
        if pieces.is_empty() {
            continue;
        }
        let layout = layout_of_wish(&pieces);
        if let Err(said) =
            print_layout(&layout, &format!("wishes.md:{}", index + 1), (&batch, &shop), &book)
        {
            wrong.push(said);
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(wishes >= 40 && impossible >= 5, "{wishes} wishes, {impossible} impossible");
}

#[test]
fn the_guide_can_be_read_in_an_evening() {
    let lines = PAGES[0].text.lines().count();
    assert!(lines < 1200, "the guide has {lines} lines");
}

/// A desk with the samples where the guide has them.
fn desk() -> Desk {
    let desk = Desk::new();
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    fs::create_dir(desk.path("samples")).unwrap();
    for name in ["evening.json", "shop.yaml", "logo.svg"] {
        fs::copy(samples.join(name), desk.path("samples").join(name)).unwrap();
    }
    desk
}

/// What the command says about a layout with a mistake, in errors and warnings.
fn what_the_command_says(snippet: &Snippet) -> String {
    let desk = desk();
    desk.put("mine.yaml", snippet.text());
    let command = ["render", "samples/evening.json", "--layout", "mine.yaml", "-o", "a.pdf"];
    let output = desk.run(&command, b"");
    assert!(!output.status.success(), "line {}: there is no mistake", snippet.line);
    let said = String::from_utf8(output.stderr).unwrap();
    // Notes are about the sample's orders, not about the mistake.
    let told = said.trim_end().split("\n\n").filter(|part| !part.starts_with("note"));
    format!("{}\n", told.collect::<Vec<_>>().join("\n\n"))
}

#[test]
fn the_commands_do_what_they_say() {
    let desk = desk();
    let mut run = 0;
    for snippet in snippets().iter().filter(|snippet| snippet.language == "sh") {
        for line in snippet.text().lines() {
            let Some(arguments) = line.strip_prefix("slipwright ") else {
                panic!("line {}: `{line}` is no command of ours", snippet.line);
            };
            desk.done(&arguments.split_whitespace().collect::<Vec<_>>());
            run += 1;
        }
    }
    assert!(run >= 4, "{run} commands were run");
}
