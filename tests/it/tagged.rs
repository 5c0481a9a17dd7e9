//! What pages say in reading order (ISO 32000-1 §14.7 and §14.8), read back by lopdf: the tree, its
//! numbers, and the text of each element against the scene.

use std::collections::BTreeMap;

use lopdf::{Dictionary, Document, Object, ObjectId};
use slipwright::fonts::Shaper;
use slipwright::ruler::draw_ruler;
use slipwright::scene::{MarkKind, RunStart, Symbol};
use slipwright::shipped::SHIPPED;
use slipwright::stock::{Printer, Stock};
use slipwright::{DotGrid, FontBook, Page, PdfOptions, write_pdf};

use crate::command::Desk;
use crate::export_support::PageBuilder;
use crate::export_support::label::label;
use crate::export_support::ladder::ladder;
use crate::pdf_a::{Seen, follow_dict, has_name, see};
use crate::sample_pages::{batch_of, layout_of, pages_of, sample_pages};

/// An element of the tree as read.
#[derive(Debug)]
struct Element {
    /// Its number.
    id: ObjectId,
    /// What it is.
    role: String,
    /// The page of its content, and which pieces of it.
    pieces: Vec<(ObjectId, i64)>,
    /// What is said in its place.
    alternative: Option<String>,
    /// What its text says.
    actual: Option<String>,
}

/// A piece of a page's content as read: its text, `ActualText` first.
type Piece = String;

/// The name under a key.
fn name(dict: &Dictionary, key: &str) -> String {
    String::from_utf8(dict.get(key.as_bytes()).unwrap().as_name().unwrap().to_vec()).unwrap()
}

/// The text string under a key.
fn text(dict: &Dictionary, key: &[u8]) -> Option<String> {
    dict.get(key).ok().map(|it| lopdf::decode_text_string(it).unwrap())
}

/// The sections of a document's tree, each with its elements.
fn read_tree(document: &Document) -> Vec<Vec<Element>> {
    let catalog = document.catalog().unwrap();
    let marked = catalog.get(b"MarkInfo").unwrap().as_dict().unwrap();
    assert!(marked.get(b"Marked").unwrap().as_bool().unwrap());
    let root_id = catalog.get(b"StructTreeRoot").unwrap().as_reference().unwrap();
    let root = document.get_dictionary(root_id).unwrap();
    assert_eq!(name(root, "Type"), "StructTreeRoot");
    let top = root.get(b"K").unwrap().as_reference().unwrap();
    let whole = document.get_dictionary(top).unwrap();
    assert_eq!(name(whole, "S"), "Document");
    assert_eq!(whole.get(b"P").unwrap().as_reference().unwrap(), root_id);
    let sections = whole.get(b"K").unwrap().as_array().unwrap().iter();
    sections
        .map(|id| {
            let id = id.as_reference().unwrap();
            let section = document.get_dictionary(id).unwrap();
            assert_eq!(name(section, "S"), "Sect");
            assert_eq!(section.get(b"P").unwrap().as_reference().unwrap(), top);
            let elements = section.get(b"K").unwrap().as_array().unwrap().iter();
            elements.map(|it| read_element(document, it.as_reference().unwrap(), id)).collect()
        })
        .collect()
}

/// An element below a section.
fn read_element(document: &Document, id: ObjectId, section: ObjectId) -> Element {
    let dict = document.get_dictionary(id).unwrap();
    assert_eq!(dict.get(b"P").unwrap().as_reference().unwrap(), section);
    let page = dict.get(b"Pg").unwrap().as_reference().unwrap();
    let pieces = match dict.get(b"K").unwrap() {
        Object::Array(pieces) => pieces.iter().map(|it| (page, it.as_i64().unwrap())).collect(),
        piece => vec![(page, piece.as_i64().unwrap())],
    };
    let (alternative, actual) = (text(dict, b"Alt"), text(dict, b"ActualText"));
    Element { id, role: name(dict, "S"), pieces, alternative, actual }
}

/// The parent tree by its keys; limits must hold and keys must rise.
fn read_parents(document: &Document) -> BTreeMap<i64, Vec<Option<ObjectId>>> {
    let catalog = document.catalog().unwrap();
    let root = catalog.get(b"StructTreeRoot").unwrap().as_reference().unwrap();
    let root = document.get_dictionary(root).unwrap();
    let tree = document.get_dictionary(root.get(b"ParentTree").unwrap().as_reference().unwrap());
    let mut parents = BTreeMap::new();
    for leaf in tree.unwrap().get(b"Kids").unwrap().as_array().unwrap() {
        let leaf = document.get_dictionary(leaf.as_reference().unwrap()).unwrap();
        let limits = leaf.get(b"Limits").unwrap().as_array().unwrap();
        let entries = leaf.get(b"Nums").unwrap().as_array().unwrap();
        let keys: Vec<i64> = entries.iter().step_by(2).map(|it| it.as_i64().unwrap()).collect();
        assert!((1..=64).contains(&keys.len()));
        assert_eq!(limits[0].as_i64().unwrap(), keys[0]);
        assert_eq!(limits[1].as_i64().unwrap(), keys[keys.len() - 1]);
        for (key, list) in keys.into_iter().zip(entries.iter().skip(1).step_by(2)) {
            assert!(parents.keys().all(|known| *known < key));
            let list = list.as_array().unwrap().iter().map(|it| it.as_reference().ok());
            parents.insert(key, list.collect());
        }
    }
    assert_eq!(
        root.get(b"ParentTreeNextKey").unwrap().as_i64().unwrap(),
        parents.keys().last().map_or(0, |last| last + 1)
    );
    parents
}

/// The pieces of a page's content in their order. Tags must be nested as ISO 32000-1 §14.6.1 wants
/// it, and whatever paints must be inside of one.
fn read_pieces(seen: &Seen, page: &Dictionary) -> (i64, Vec<Piece>) {
    const PAINTERS: [&str; 4] = ["TJ", "f", "f*", "Do"];
    let resources = follow_dict(seen, page, "Resources").unwrap();
    let content = crate::pdf_a::follow_stream(seen, page, "Contents").unwrap();
    let mut pieces: Vec<Piece> = Vec::new();
    let mut first = None;
    // Whether a tag was begun inside a text object, and whether its text is said by the tag.
    let mut open: Option<(bool, bool)> = None;
    let (mut in_text, mut encoding) = (false, None);
    for operation in lopdf::content::Content::decode(&content).unwrap().operations {
        let operands = &operation.operands;
        match &operation.operator[..] {
            "BT" => in_text = true,
            "ET" => {
                assert!(open.is_none_or(|(inside, _)| !inside), "a tag leaves its text object");
                in_text = false;
            }
            "BMC" => {
                assert_eq!(operands[0].as_name().unwrap(), b"Artifact");
                assert!(open.replace((in_text, false)).is_none(), "a tag inside a tag");
            }
            "BDC" => {
                let dict = operands[1].as_dict().unwrap();
                let number = dict.get(b"MCID").unwrap().as_i64().unwrap();
                let first = *first.get_or_insert(number);
                assert_eq!(number, first + pieces.len() as i64, "pieces count up, each once");
                let said = text(dict, b"ActualText");
                assert!(open.replace((in_text, said.is_some())).is_none(), "a tag inside a tag");
                pieces.push(said.unwrap_or_default());
            }
            "EMC" => assert_eq!(open.take().unwrap().0, in_text),
            "Tf" => {
                let fonts = follow_dict(seen, resources, "Font").unwrap();
                let name = String::from_utf8(operands[0].as_name().unwrap().to_vec()).unwrap();
                let font = follow_dict(seen, fonts, &name).unwrap();
                encoding = Some(font.get_font_encoding(&seen.document).unwrap());
            }
            operator if PAINTERS.contains(&operator) => {
                let (_, said) = open.expect("everything painted is tagged");
                let (Some(piece), "TJ", false) = (pieces.last_mut(), operator, said) else {
                    continue;
                };
                for codes in operands[0].as_array().unwrap() {
                    if let Object::String(codes, _) = codes {
                        let encoding = encoding.as_ref().unwrap();
                        piece.push_str(&encoding.bytes_to_string(codes).unwrap());
                    }
                }
            }
            _ => {}
        }
    }
    assert!(open.is_none());
    (first.unwrap_or(0), pieces)
}

/// Reads a document whole and checks that its numbers agree; gives back its elements with their
/// texts, page by page.
fn read_sections(seen: &Seen) -> Vec<Vec<(Element, String)>> {
    let document = &seen.document;
    let (tree, parents) = (read_tree(document), read_parents(document));
    let mut sections = tree.into_iter();
    let mut keys = parents.into_iter();
    let mut read = Vec::new();
    for page_id in document.get_pages().into_values() {
        let page = document.get_dictionary(page_id).unwrap();
        let (first, pieces) = read_pieces(seen, page);
        let place = |piece: i64| usize::try_from(piece - first).unwrap();
        if pieces.is_empty() {
            assert!(!page.has(b"StructParents"));
            read.push(Vec::new());
            continue;
        }
        assert!(has_name(page, "Tabs", "S"));
        let (key, list) = keys.next().unwrap();
        assert_eq!(page.get(b"StructParents").unwrap().as_i64().unwrap(), key);
        let elements = sections.next().unwrap();
        let mut owners = vec![None; pieces.len()];
        for element in &elements {
            assert!(!element.pieces.is_empty());
            for (on, piece) in &element.pieces {
                assert_eq!(*on, page_id);
                let owner = owners.get_mut(place(*piece)).unwrap();
                assert!(owner.replace(element.id).is_none(), "a piece of two elements");
            }
        }
        assert!(owners.iter().all(Option::is_some));
        let missing = vec![None; usize::try_from(first).unwrap()];
        assert_eq!([missing, owners].concat(), list);
        let say = |element: &Element| {
            element.pieces.iter().map(|(_, piece)| &pieces[place(*piece)][..]).collect()
        };
        read.push(elements.into_iter().map(|it| (say(&it), it)).map(|(a, b)| (b, a)).collect());
    }
    assert!(sections.next().is_none() && keys.next().is_none());
    read
}

/// What a page's elements must be, from its marks: role and text, or what is said in its place.
fn expect(page: &Page) -> Vec<(String, String)> {
    let mut wanted: Vec<(String, String)> = Vec::new();
    let mut block = None;
    for mark in &page.marks {
        let figure = |said: String| ("Figure".to_owned(), said);
        match &mark.kind {
            MarkKind::Text(run) if run.glyphs.is_empty() => {}
            MarkKind::Text(run) => {
                let tag = page.blocks.get(mark.block.0 as usize).is_some_and(|it| it.name == "tag");
                let role = if tag { "H1" } else { "P" };
                let goes_on = block == Some((mark.block, false)) && run.begins != RunStart::Row;
                match wanted.last_mut().filter(|_| goes_on) {
                    Some((_, text)) => {
                        let parts = !matches!(run.begins, RunStart::Nothing | RunStart::BrokenLine);
                        text.push_str(if parts { " " } else { "" });
                        text.push_str(&run.text);
                    }
                    None => wanted.push((role.to_owned(), run.text.clone())),
                }
                block = Some((mark.block, false));
            }
            MarkKind::Code(code) => {
                let kind = match &code.symbol {
                    Symbol::Code128(_) => "Code 128",
                    Symbol::Qr(_) => "QR",
                    other => other.kind(),
                };
                wanted.push(figure(format!("{kind}: {}", code.payload.replace('\u{1d}', " "))));
                block = None;
            }
            MarkKind::Picture(_) | MarkKind::Outline(_) => {
                if block != Some((mark.block, true)) {
                    wanted.push(figure("picture".to_owned()));
                }
                block = Some((mark.block, true));
            }
            MarkKind::Foreign(_) => {
                wanted.push(figure("page of another PDF".to_owned()));
                block = None;
            }
            MarkKind::Fill(..) | MarkKind::Tally(_) => block = None,
        }
    }
    wanted
}

/// Writes pages, reads them, and holds them against their scenes.
fn check(pages: &[Page], what: &str) {
    for compress in [true, false] {
        let sections = read_sections(&see(pages, compress));
        assert_eq!(sections.len(), pages.len());
        for (page, elements) in pages.iter().zip(sections) {
            let found: Vec<(String, String)> = elements
                .into_iter()
                .map(|(element, text)| (element.role, element.alternative.unwrap_or(text)))
                .collect();
            assert_eq!(found, expect(page), "{what}, {}", page.title);
        }
    }
}

#[test]
fn every_page_says_what_it_holds_in_order() {
    let grid = DotGrid::DPI_203;
    let book = FontBook::builtin();
    for layout in SHIPPED {
        check(&sample_pages(layout.name, grid), layout.name);
    }
    check(&[ladder(&mut Shaper::new(&book), (100.0, 150.0), grid)], "ladder");
    let stock = Stock::find("4x6in").unwrap();
    let ruler = slipwright::ruler::Ruler { stock: &stock, printer: &Printer::default(), grid };
    check(&[draw_ruler(&ruler, &book).unwrap()], "ruler");
}

/// More pages than a leaf of the parent tree has, and elements than an object stream.
#[test]
fn many_pages_keep_their_numbers_and_blank_ones_have_none() {
    let mut shaper = Shaper::new(&FontBook::builtin());
    let mut pages: Vec<Page> = (0..150).map(|number| label(&mut shaper, number)).collect();
    let blank = PageBuilder::new(&mut shaper, (50.0, 25.0), DotGrid::DPI_203, "blank").finish();
    pages.insert(63, blank.clone());
    pages.insert(70, blank.clone());
    check(&pages, "labels");
    check(&pages[..64], "labels of one leaf");
    check(&[blank], "a blank page");
    let mut page = PageBuilder::new(&mut shaper, (200.0, 200.0), DotGrid::DPI_203, "codes");
    for number in 0..450 {
        page.code128(
            (20 + number % 10 * 40, number / 10 * 8),
            1,
            4,
            slipwright::geom::Stance::UPRIGHT,
            "1",
        );
    }
    let page = page.finish();
    check(&[page.clone(), page], "many elements on a page");
}

/// The sample of a carrier's label is a PDF of ours, whose pieces are tagged too.
#[test]
fn pages_of_other_pdfs_keep_their_numbers_to_themselves() {
    let pages = sample_pages("carrier-page-4x6in", DotGrid::DPI_203);
    let seen = see(&pages, true);
    for (page, id) in pages.iter().zip(seen.document.get_pages().into_values()) {
        let foreign = page.marks.iter().find_map(|mark| match &mark.kind {
            MarkKind::Foreign(foreign) => Some(foreign.page.piece_count()),
            _ => None,
        });
        assert!(foreign.unwrap() > 5);
        let (first, pieces) = read_pieces(&seen, seen.document.get_dictionary(id).unwrap());
        assert!(first == i64::from(foreign.unwrap()) && !pieces.is_empty());
    }
    let keys = |key: &[u8]| crate::pdf_a::dicts(&seen).iter().filter(|it| it.has(key)).count();
    assert_eq!((keys(b"StructParents"), keys(b"StructParent")), (pages.len(), 0));
}

/// The pages of two orders in a layout.
fn pages_in(layout: &str) -> Vec<Page> {
    let (batch, shop) = batch_of("evening.json");
    pages_of(&batch, &shop, &layout_of(layout), Some(DotGrid::DPI_203))
}

/// The roles and texts of a file's first page.
fn first_page(pages: &[Page]) -> Vec<(String, String)> {
    let elements = read_sections(&see(pages, true)).swap_remove(0).into_iter();
    elements.map(|(element, text)| (element.role, element.actual.unwrap_or(text))).collect()
}

#[test]
fn a_page_is_read_from_head_to_foot_and_a_table_row_by_row() {
    let pages = pages_in(
        "page: {stock: a6, inset: 8}\nmakes: slip\n\
         type:\n  plain: {size: 8pt}\n\
         head: {text: Head, type: plain}\nfoot: {text: Foot, type: plain}\n\
         body:\n  down:\n  - across:\n    - {text: left, type: plain, width: 30}\n    \
         - {text: right, type: plain}\n  \
         - table: items\n    line: 2dots\n    type: plain\n    columns:\n    \
         - {head: What, cell: 'row {{ item.qty }} and words that must be broken', width: 25}\n    \
         - {head: Sum, cell: '{{ item.qty }}.50', align: decimal}\n",
    );
    let said: Vec<String> = first_page(&pages).into_iter().map(|(_, text)| text).collect();
    assert_eq!(
        said,
        [
            "Head",
            "left",
            "right",
            "What Sum",
            "row 1 and words that must be broken 1.50",
            "row 2 and words that must be broken 2.50",
            "Foot"
        ]
    );
}

/// Letters in an order turned round by hand stand for scripts that the built-in fonts lack.
#[test]
fn what_runs_from_right_to_left_is_said_in_the_order_of_its_letters() {
    let words = "one \u{202E}two 12 three\u{202C} four";
    let pages = pages_in(&format!(
        "page: {{stock: a6, inset: 8}}\nmakes: slip\ntype:\n  plain: {{size: 8pt}}\n\
         body: {{text: \"{words}\", type: plain}}\n"
    ));
    let turned = pages[0].marks.iter().any(|mark| match &mark.kind {
        MarkKind::Text(run) => run.rtl,
        _ => false,
    });
    assert!(turned);
    let said = first_page(&pages).swap_remove(0).1;
    let seen: String = said.chars().filter(|it| !matches!(it, '\u{202A}'..='\u{202E}')).collect();
    assert_eq!(seen, "one two 12 three four");
}

/// Spaces at the ends of lines are not seen, and other readers' text is what it was.
#[test]
fn lines_that_are_read_on_end_with_a_space() {
    let pages = pages_in(
        "page: {stock: a6, inset: 8}\nmakes: slip\ntype:\n  plain: {size: 8pt}\n\
         body:\n  down:\n  - {address: ship_to, type: plain}\n  \
         - {text: 'one line', type: plain}\n",
    );
    let document = see(&pages, true).document;
    let found = document.extract_text(&[1]).unwrap();
    let lines: Vec<&str> = found.split_whitespace().collect();
    let texts: Vec<&str> = crate::export_support::texts(&pages[0]).collect();
    assert_eq!(lines.join(" "), texts.join(" "));
    let said = first_page(&pages);
    let (address, line) = (&said[0].1, &said[1].1);
    assert_eq!(*address, texts[..texts.len() - 1].join(" "));
    assert_eq!(line, "one line");
}

#[test]
fn the_language_is_said_when_the_layout_says_it() {
    for (line, wanted) in [("language: pt-BR\n", Some("pt-BR")), ("", None)] {
        let layout =
            format!("page: {{stock: a6, inset: 8}}\nmakes: slip\n{line}body: {{text: Olá}}\n");
        let desk = Desk::new();
        desk.sample("evening.json").put("mine.yaml", layout);
        desk.done(&["render", "evening.json", "--layout", "mine.yaml", "-o", "out.pdf"]);
        let document = Document::load(desk.path("out.pdf")).unwrap();
        assert_eq!(text(document.catalog().unwrap(), b"Lang").as_deref(), wanted);
    }
    // The shipped ones are in the language of whoever reads them.
    for layout in SHIPPED {
        assert_eq!(layout_of(layout.text).language, None, "{}", layout.name);
    }
    for (layout, shops, buyers, wanted) in [
        ("slip-a4", "de", "fr", "fr"),
        ("slip-a4", "de", "", "de"),
        ("label-4x6in", "de", "fr", "de"),
        ("handover-list-a4", "", "fr", "en"),
    ] {
        let desk = Desk::new();
        let shop = "name: Tern Hollow Pens\naddress: {lines: [a], city: b, postcode: TR77 4NH, country: GB}\n";
        desk.put(
            "shop.yaml",
            format!("{shop}language: {}\n", if shops.is_empty() { "en" } else { shops }),
        );
        let to = r#"{"name": "Ada Marlow", "lines": ["a"], "city": "b", "postcode": "TR77 4NH", "country": "GB"}"#;
        desk.put(
            "orders.json",
            format!(r#"[{{"id": "TH-1", "language": "{buyers}", "ship_to": {to}}}]"#),
        );
        desk.done(&["render", "orders.json", "--layout", layout, "-o", "out.pdf"]);
        let document = Document::load(desk.path("out.pdf")).unwrap();
        assert_eq!(text(document.catalog().unwrap(), b"Lang").as_deref(), Some(wanted), "{layout}");
    }
}

/// A document without tags is the same but for them.
#[test]
fn tags_can_be_left_out() {
    let mut shaper = Shaper::new(&FontBook::builtin());
    let pages = [label(&mut shaper, 1), ladder(&mut shaper, (100.0, 150.0), DotGrid::DPI_203)];
    let options = PdfOptions { tagged: false, ..PdfOptions::default() };
    let bytes = write_pdf(&pages, &FontBook::builtin(), &options, Vec::new()).unwrap();
    let document = Document::load_mem(&bytes).unwrap();
    let tagged = see(&pages, true).document;
    let catalog = document.catalog().unwrap();
    assert!(!catalog.has(b"MarkInfo") && !catalog.has(b"StructTreeRoot"));
    let words = |document: &Document, number| {
        let found = document.extract_text(&[number]).unwrap();
        found.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let operators = |document: &Document, id| {
        let content = lopdf::content::Content::decode(&document.get_page_content(id)).unwrap();
        let all = content.operations.into_iter().map(|it| it.operator);
        all.filter(|it| !["BMC", "BDC", "EMC"].contains(&&it[..])).collect::<Vec<_>>()
    };
    for (number, id) in document.get_pages() {
        assert!(!document.get_dictionary(id).unwrap().has(b"StructParents"));
        assert_eq!(words(&document, number), words(&tagged, number));
        let with = operators(&tagged, tagged.get_pages()[&number]);
        // Artifacts part paths that would be filled together.
        let shown = |all: Vec<String>| all.into_iter().filter(|it| it != "f").collect::<Vec<_>>();
        assert_eq!(shown(operators(&document, id)), shown(with));
    }
}
