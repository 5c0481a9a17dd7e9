//! Every limit of the table, passed by one: an error with its number and a way out, and at the
//! limit itself none. Limits that a short file can pass have a case folder in `tests/cases`.

use std::path::Path;

use slipwright::{
    Batch, BatchOptions, Document, Env, Finding, FontBook, PictureStore, Run, Shop, Sources,
    limits, read_layout, read_orders, watch_batch,
};

/// The number of a limit.
fn most(name: &str) -> usize {
    let limit = limits::LIMITS.iter().find(|limit| limit.name == name);
    let limit = limit.unwrap_or_else(|| panic!("there is no limit `{name}`"));
    usize::try_from(limit.most).unwrap()
}

/// A layout's first lines.
const TOP: &str = "page: {stock: 4x6in, inset: 5}\nmakes: label\n";

/// Pictures of 16 by 16 grey pixels, whatever they are called.
struct Pictures;

impl Env for Pictures {
    fn read(&self, path: &Path) -> std::io::Result<Vec<u8>> {
        if path.extension().is_none_or(|ending| ending != "png") {
            return Err(std::io::ErrorKind::NotFound.into());
        }
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, 16, 16);
        encoder.set_color(png::ColorType::Grayscale);
        let mut writer = encoder.write_header()?;
        writer.write_image_data(&[128; 256])?;
        writer.finish()?;
        Ok(file)
    }
}

/// Everything that is found in a layout, and on the page of one parcel with it.
fn findings(layout: &str) -> Vec<Finding> {
    let mut sources = Sources::new();
    let file = sources.add("layout.yaml", layout);
    let (layout, found) = read_layout(&mut sources, file, &Pictures, Path::new(""));
    let Some(layout) = layout else { return found };
    let order = r#"[{"id": "1", "ship_to": {"name": "Ines Marlow", "lines": ["14 Quay Street"],
        "city": "Oakhaven", "postcode": "LS1 4AP", "country": "GB"}, "items": [{"title": "Nib"}]}]"#;
    let file = sources.add("orders.json", order);
    let orders = read_orders(sources.get(file).text(), file).orders;
    let options = BatchOptions::default();
    let batch = Batch::assemble(None, orders, None, options, &mut Vec::new());
    let book = FontBook::builtin();
    let pictures = PictureStore::new(&Pictures, "");
    let document = Document::new(&batch, &layout, &book, &pictures);
    let run = Run::new(&document).unwrap();
    let made = run.make(&mut watch_batch(&batch), |_| (), |()| Ok(()), |_| {});
    made.unwrap().findings
}

/// The errors about limits.
fn over(found: &[Finding]) -> Vec<&Finding> {
    let rules = ["layout-limit", "file-limit", "too-many", "too-deep"];
    found.iter().filter(|it| rules.contains(&it.rule.name)).collect()
}

/// Expects the layout that `make` gives for the number itself to pass, and the one for the next
/// number to be refused once, with the number and a way out.
fn check(name: &str, make: impl Fn(usize) -> String) {
    let most = most(name);
    let at = findings(&make(most));
    assert!(over(&at).is_empty(), "{name}: {:?}", over(&at));
    let beyond = findings(&make(most + 1));
    let refusals = over(&beyond);
    assert_eq!(refusals.len(), 1, "{name}: {refusals:?}");
    let words = &refusals[0].message;
    assert!(words.contains(&most.to_string()), "{name}: {words}");
    assert!(!refusals[0].hints.is_empty() && refusals[0].span.is_some(), "{name}");
}

#[test]
fn a_layout_has_so_many_blocks_and_levels() {
    check("blocks of a layout, with all that it includes", |count| {
        format!("{TOP}body:\n  over:\n{}", "    - rule: 1dots\n".repeat(count - 1))
    });
    check("levels of blocks in one another", |depth| {
        let opened: String = (0..depth).map(|_| "{down: [").collect();
        format!("{TOP}body: {opened}{{text: a}}{}\n", "]}".repeat(depth))
    });
}

#[test]
fn a_layout_is_printed_in_so_many_copies() {
    check("copies of a layout", |count| format!("{TOP}copies: {count}\nbody: {{text: a}}\n"));
}

#[test]
fn a_parcel_has_so_many_pages_by_its_pieces() {
    let layout = crate::sample_pages::layout_of(&format!("{TOP}per: piece\nbody: {{text: a}}\n"));
    let found = |count: usize| {
        let order =
            order(1, "").replace(r#""title":"a""#, &format!(r#""title":"a","qty":{count}"#));
        let mut sources = Sources::new();
        let file = sources.add("orders.json", order);
        let orders = read_orders(sources.get(file).shared_text(), file).orders;
        let batch = Batch::assemble(None, orders, None, BatchOptions::default(), &mut Vec::new());
        crate::sample_pages::print_batch((&batch, None), &layout, None, 1)
    };
    let name = "pages of one parcel by `per` and `copies`";
    let at = found(most(name));
    assert!((over(&at.findings).is_empty(), at.pages.len()) == (true, most(name)));
    let beyond = found(most(name) + 1);
    assert_eq!((over(&beyond.findings).len(), beyond.pages.len()), (1, 0));
}

#[test]
fn a_layout_has_so_many_names() {
    check("names under one `type`", |count| {
        let types: String = (0..count).map(|at| format!("  t{at}: {{size: 9pt}}\n")).collect();
        format!("{TOP}type:\n{types}body: {{text: a}}\n")
    });
    check("colours under one `inks`", |count| {
        let inks: String = (0..count).map(|at| format!("  i{at}: \"#00{at:04x}\"\n")).collect();
        format!("{TOP}inks:\n{inks}body: {{text: a}}\n")
    });
    check("names under one `let`", |count| {
        let first = "  t0: \"a\"\n".to_owned();
        let names = (1..count).map(|at| format!("  t{at}: \"{{{{ t{} }}}}\"\n", at - 1));
        let names: String = std::iter::once(first).chain(names).collect();
        format!("{TOP}let:\n{names}body: {{text: \"{{{{ t{} }}}}\"}}\n", count - 1)
    });
}

/// Styles that build on one another to the last are read without a deep stack.
#[test]
fn every_type_may_build_on_the_next() {
    let last = most("names under one `type`") - 1;
    let types: String = (0..last).map(|at| format!("  t{at}: {{like: t{}}}\n", at + 1)).collect();
    let found =
        findings(&format!("{TOP}type:\n{types}  t{last}: {{size: 8pt}}\nbody: {{text: a}}\n"));
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn a_layout_file_has_so_many_bytes() {
    check("bytes of a layout or shop file", |bytes| {
        let layout = format!("{TOP}body: {{text: a}}\n");
        format!("{layout}{}\n", "#".repeat(bytes - layout.len() - 1))
    });
    let mut found = Vec::new();
    let mut sources = Sources::new();
    let file = sources.add("shop.yaml", "#".repeat(most("bytes of a layout or shop file") + 1));
    assert!(Shop::read(sources.get(file).text(), file, &mut found).is_none());
    assert_eq!(over(&found).len(), 1);
}

#[test]
fn loops_repeat_so_many_times() {
    check("repeats of all loops and tables for one parcel", |count| {
        format!("{TOP}body: {{each: range({count}), show: {{rule: 1dots}}}}\n")
    });
    check("blocks and table cells of one document", |count| {
        // The loop is one, and each of its 10 columns is one.
        let rest = (count - 2) % 10;
        let columns = "{cell: a}, ".repeat(10);
        let table = format!("{{table: range({}), columns: [{columns}]}}", (count - 2) / 10);
        let rules = "{rule: 1dots}, ".repeat(rest);
        format!("{TOP}body: {{down: [{table}, {rules}]}}\n")
    });
}

#[test]
fn texts_are_so_long() {
    check("bytes that one template prints for one parcel", |bytes| {
        format!("{TOP}body: {{text: \"{{{{ 'a' * {bytes} }}}}\"}}\n")
    });
    check("bytes of text of one document", |bytes| {
        let each = "{each: range(100), show: {text: \"{{ 'a' * 9999 }}\"}}";
        let rest = bytes - 100 * 9999;
        format!("{TOP}body: {{down: [{each}, {{text: \"{{{{ 'a' * {rest} }}}}\"}}]}}\n")
    });
}

/// A filter says no before it makes a text of 20 gigabytes.
#[test]
fn joined_texts_are_measured_before_they_are_made() {
    let joined = "{{ range(20000) | join_given('x' * 1000000) }}";
    let found = findings(&format!("{TOP}body: {{text: \"{joined}\"}}\n"));
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].message.starts_with("`join_given` would make a text of 20000088890 bytes"));
}

/// Type that may shrink by thousands of steps is tried without setting what cannot fit, and what is
/// measured of a long text is not measured anew by every container around it.
#[test]
fn long_texts_shrink_and_nest_in_good_time() {
    let text = "{text: \"{{ 'word ' * 3900 }}\", type: vast, fit: shrink}";
    let vast = "type: {vast: {size: 2000, smallest: 0.01, leading: 0.01}}\n";
    let opened: String = (0..11).map(|_| "{down: [{across: [").collect();
    let texts = format!("{text}, ").repeat(10);
    let found = findings(&format!("{TOP}{vast}body: {opened}{texts}{}\n", "]}]}".repeat(11)));
    assert!(found.iter().any(Finding::is_error));
}

#[test]
fn documents_have_so_many_pages() {
    check("pages of one document", |pages| {
        let show = "{rule: 1dots, height: 100}";
        format!("{TOP}flow: true\nbody: {{each: range({pages}), show: {show}}}\n")
    });
}

#[test]
fn documents_have_so_many_marks() {
    check("marks of one document: runs of text, lines, shapes, codes, pictures", |marks| {
        // A frame is four marks, a rule one.
        let frames = "{box: 1dots}, ".repeat(24);
        let most = format!("{{each: range(1000), show: {{over: [{frames}]}}}}");
        let rest = "{rule: 1dots}, ".repeat(marks - 96_000 - 3_996);
        let some = "{each: range(999), show: {box: 1dots}}";
        format!("{TOP}body: {{over: [{most}, {some}, {rest}]}}\n")
    });
}

/// At 8 dots a millimetre; that the page is smaller is another finding.
#[test]
fn pictures_have_so_many_dots() {
    let layout = |sides: &[usize]| {
        let images = sides
            .iter()
            .map(|side| format!("{{image: a.png, width: {side}dots, height: {side}dots}}, "));
        format!("{TOP}body: {{over: [{}]}}\n", images.collect::<String>())
    };
    assert_eq!(most("pixels of a picture, and dots it is printed with"), 40_000_000);
    let beyond = findings(&layout(&[100, 6_325]));
    assert!(over(&beyond)[0].message.ends_with("6325 by 6325 dots, more than 40 million"));
}

#[test]
fn orders_have_so_many_items_and_extras() {
    for (name, field, value) in [
        ("items of an order", "items", r#"{"title":"a"}"#),
        ("extras of an order", "extras", r#""a""#),
        ("taxes of an order", "tax", r#"{"rate":"20"}"#),
    ] {
        let read = |count: usize| {
            let list = vec![value; count].join(",");
            let mut sources = Sources::new();
            let order = format!(
                r#"{{"id":"1","ship_to":{{"name":"A","lines":["x"],"city":"B","country":"GB"}},"{field}":[{list}]}}"#
            );
            let file = sources.add("orders.json", order);
            read_orders(sources.get(file).text(), file).findings
        };
        assert!(over(&read(most(name))).is_empty(), "{name}");
        let beyond = read(most(name) + 1);
        assert_eq!(over(&beyond).len(), 1, "{name}: {beyond:?}");
    }
}

#[test]
fn a_template_is_so_long() {
    check("bytes of a text with a template in it", |bytes| {
        // The text is printed in half of the characters that it is written in.
        let code = format!("{{{{ '' }}}}{{# {} #}}", "c".repeat(bytes / 2));
        format!("{TOP}body: {{text: \"{code}{}\"}}\n", "a".repeat(bytes - code.len()))
    });
    check("words, strings and signs in the braces of one template", |count| {
        format!("{TOP}body: {{text: \"{{{{ {} 1 }}}}\"}}\n", "-".repeat(count - 2))
    });
}

/// What the template engine goes into by calling itself: every form at the limit is read, and far
/// beyond it refused, on the two megabytes of stack that a test has.
#[test]
fn chains_in_templates_end_before_the_stack_does() {
    // What stands first, the link of the chain, what stands last, and the parts of a link.
    let forms = [
        ("", "not ", "1", 1),
        ("", "- ", "1", 1),
        ("1", " + 1", "", 2),
        ("1", " - 1", "", 2),
        ("1", " * 1", "", 2),
        ("1", " ** 1", "", 2),
        ("1", " ~ 1", "", 2),
        ("1", " and 1", "", 2),
        ("1", " or 1", "", 2),
        ("1", " == 1", "", 2),
        ("'a'", "|upper", "", 2),
        ("'a'", "[0]", "", 3),
        ("parcel", ".a", "", 2),
        ("1", " if 1", "", 2),
        ("1", " if 1 else 1", "", 4),
        ("1", " is odd", "", 2),
        ("1", " in [1]", "", 4),
        ("", "(", "1", 1),
        ("", "[", "1", 1),
    ];
    let most = most("words, strings and signs in the braces of one template");
    for (first, link, last, parts) in forms {
        for links in [most / parts - 4, 26 * most] {
            let code = format!("{first}{}{last}", link.repeat(links));
            for (text, when) in [(format!("{{{{ {code} }}}}"), "true"), ("a".into(), &*code)] {
                let found =
                    findings(&format!("{TOP}body: {{text: \"{text}\", when: \"{when}\"}}\n"));
                let refused = over(&found).len();
                assert!(refused == usize::from(links > most), "{link}: {found:?}");
            }
        }
    }
    let statement = "{% if 1 %}a{% else %}{% endif %}";
    for chain in ["{% if 1 %}".repeat(20_000), statement.repeat(20_000)] {
        let found = findings(&format!("{TOP}body: {{text: \"{chain}\"}}\n"));
        assert_eq!(over(&found).len(), 1, "{found:?}");
    }
}

/// A namespace would carry lists in lists from round to round of a loop, ten thousand levels deep:
/// what is shown and dropped calls itself too. So there is none.
#[test]
fn no_value_is_carried_from_round_to_round() {
    let code = "{% set n = namespace(x=1) %}{% for i in range(9999) %}{% set n.x = [n.x] %}\
                {% endfor %}{{ n.x }}";
    let found = findings(&format!("{TOP}body: {{text: \"{code}\"}}\n"));
    assert_eq!(found[0].message, "there is no variable `namespace`");
    assert!(found[0].hints[0].contains("`sum_of`"), "{found:?}");
}

/// An order with an id and, before its end, more fields.
fn order(id: usize, more: &str) -> String {
    format!(
        r#"{{"id":"{id}","ship_to":{{"name":"A","lines":["x"],"city":"B","country":"GB"}},"items":[{{"title":"a"}}]{more}}}"#
    )
}

/// How often an orders file is refused for having more than so many of something.
fn refused_orders(text: String, most: usize) -> usize {
    let mut sources = Sources::new();
    let file = sources.add("orders.json", text);
    let found = read_orders(sources.get(file).text(), file).findings;
    let number = most.to_string();
    let refusals: Vec<_> = found.iter().filter(|it| it.rule.name == "file-limit").collect();
    assert!(refusals.iter().all(|it| it.message.contains(&number) && !it.hints.is_empty()));
    assert!(refusals.iter().all(|it| it.span.is_some() && it.is_error()));
    refusals.len()
}

/// Expects a file that `make` gives for the number itself to pass, and that for `beyond` not.
fn check_orders(name: &str, beyond: usize, make: impl Fn(usize) -> String) {
    let most = most(name);
    assert_eq!(refused_orders(make(most), most), 0, "{name}");
    assert_eq!(refused_orders(make(most + beyond), most), 1, "{name}");
}

#[test]
fn an_order_is_so_large() {
    check_orders("bytes of an order", 1, |bytes| {
        let empty = order(1, r#","x":"""#).len();
        format!("[{}]", order(1, &format!(r#","x":"{}""#, "a".repeat(bytes - empty))))
    });
    // An id of 50 MB is not copied about.
    let text = order(1, "").replace("\"1\"", &format!("\"{}\"", "7".repeat(50 << 20)));
    assert_eq!(refused_orders(text, most("bytes of an order")), 1);
    check_orders("keys of one map in JSON", 1, |count| {
        let more: String = (3..count).map(|at| format!(r#","x{at}":0"#)).collect();
        format!("[{}]", order(1, &more))
    });
    check_orders("faults of one order, layout, shop file or map", 1, |count| {
        let list = vec!["1"; count].join(",");
        format!("[{}]", order(1, &format!(r#","extras":[{list}]"#)))
    });
}

/// What goes beyond is noticed at the next order, and nothing after it is read.
#[test]
fn a_file_of_orders_has_so_many_faults() {
    let errors = "errors of the orders of a file";
    check_orders(errors, 2, |count| format!("[{}1]", "1,".repeat(count - 1)));
    check_orders(errors, 2, |count| format!("{{}}\n{}", "{\n".repeat(count - 1)));
    check_orders("different unknown fields of the orders of a file", 1, |count| {
        let field = |at: usize| order(at, &format!(r#","field-{at}":0"#));
        let orders: Vec<_> = (0..count).map(field).chain([order(count, "")]).collect();
        format!("[{}]", orders.join(","))
    });
    let most = most("orders of a file");
    assert_eq!(refused_orders("1\n".repeat(most + 1), most), 1);
}

#[test]
fn drawings_have_so_many_declarations() {
    let decode = |style: &str, sheet: &str| {
        let file = format!(
            "<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'><style>{sheet}</style>\
             <rect width='9' height='9' style='{style}'/></svg>"
        );
        slipwright::images::decode(file.as_bytes()).err().map(|error| error.to_string())
    };
    let declared = |count: usize| "fill:red;".repeat(count);
    let own = most("declarations of one `style` of an SVG file");
    assert_eq!(decode(&declared(own), ""), None);
    for count in [own + 1, 40_000] {
        let said = decode(&declared(count), "").unwrap();
        assert!(said.contains("style declarations") && said.contains(&own.to_string()), "{said}");
    }
    let all = most("declarations of all style sheets of an SVG file");
    assert_eq!(decode("", &format!("a{{{}}}", declared(all))), None);
    let said = decode("", &format!("a{{{}}}", declared(all + 1))).unwrap();
    assert!(said.contains("style declarations") && said.contains(&all.to_string()), "{said}");
}
