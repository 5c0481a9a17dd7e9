//! The SVG writer, judged by an XML parser (roxmltree) and another renderer (resvg).

use crate::export_support;

use std::collections::BTreeSet;

use export_support::PageBuilder;
use export_support::label::label;
use export_support::ladder::ladder;
use resvg::{tiny_skia, usvg};
use slipwright::export::rasterise;
use slipwright::fonts::{Cut, Shaper};
use slipwright::{DotGrid, FontBook, Page, SvgOptions, render_svg};

/// A label and a ladder.
fn pages() -> Vec<Page> {
    let mut shaper = Shaper::new(&FontBook::builtin());
    vec![label(&mut shaper, 1), ladder(&mut shaper, (101.6, 152.4), DotGrid::DPI_203)]
}

/// A page as SVG.
fn svg(page: &Page) -> String {
    render_svg(page, &FontBook::builtin(), &SvgOptions::default())
}

#[test]
fn it_is_xml_of_the_papers_size_that_says_what_it_shows() {
    for page in pages() {
        let text = svg(&page);
        let xml = roxmltree::Document::parse(&text).unwrap();
        let root = xml.root_element();
        assert_eq!(root.attribute("width"), Some("101.6mm"));
        assert_eq!(root.attribute("height"), Some("152.4mm"));
        assert_eq!(root.attribute("viewBox"), Some("0 0 101.6 152.4"));
        let named =
            |id: &str| xml.descendants().find(|node| node.attribute("id") == Some(id)).unwrap();
        let labels: Vec<&str> = root.attribute("aria-labelledby").unwrap().split(' ').collect();
        assert_eq!(named(labels[0]).text(), Some(&page.title[..]));
        let description = named(labels[1]).text().unwrap();
        for wanted in export_support::texts(&page) {
            assert!(description.contains(wanted), "{wanted}");
        }
    }
}

#[test]
fn every_glyph_is_defined_once_and_every_use_has_its_definition() {
    let text = svg(&pages()[0]);
    let xml = roxmltree::Document::parse(&text).unwrap();
    let ids: Vec<&str> = xml.descendants().filter_map(|node| node.attribute("id")).collect();
    let known: BTreeSet<&str> = ids.iter().copied().collect();
    assert_eq!(ids.len(), known.len());
    let uses = xml.descendants().filter(|node| node.has_tag_name("use")).collect::<Vec<_>>();
    assert!(uses.len() > 100);
    for node in uses {
        assert!(known.contains(node.attribute("href").unwrap().strip_prefix('#').unwrap()));
    }
}

#[test]
fn names_can_be_told_apart_from_those_of_other_pages() {
    let options = SvgOptions { prefix: "p\"2 x".into() };
    let text = render_svg(&pages()[0], &FontBook::builtin(), &options);
    let xml = roxmltree::Document::parse(&text).unwrap();
    assert!(
        xml.descendants().filter_map(|node| node.attribute("id")).all(|id| id.starts_with("p2x-"))
    );
}

#[test]
fn hostile_text_stays_text() {
    let mut shaper = Shaper::new(&FontBook::builtin());
    let title = "</title><script>alert(1)</script>\u{1D}&";
    let mut page = PageBuilder::new(&mut shaper, (50.0, 25.0), DotGrid::DPI_203, title);
    page.text((5.0, 5.0), 9.0, Cut::Regular, "<b> & \"quotes\" ]]>");
    let text = svg(&page.finish());
    let xml = roxmltree::Document::parse(&text).unwrap();
    assert!(!xml.descendants().any(|node| node.has_tag_name("script") || node.has_tag_name("b")));
}

#[test]
fn the_same_text_every_time() {
    let page = &pages()[1];
    assert_eq!(svg(page), svg(page));
}

#[test]
fn another_renderer_draws_the_same_dots() {
    for page in pages() {
        let tree = usvg::Tree::from_str(&svg(&page), &usvg::Options::default()).unwrap();
        let ours = rasterise(&page, &FontBook::builtin());
        let mut pixmap = tiny_skia::Pixmap::new(ours.width(), ours.height()).unwrap();
        // One pixel a dot: the tree's own unit is 1/96 in.
        let scale = (page.grid.dpi() / 96.0) as f32;
        resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut pixmap.as_mut());
        let is_black = |x: u32, y: u32| pixmap.pixel(x, y).unwrap().red() < 128;
        let (mut ink, mut differ) = (0, 0);
        for (x, y) in (0..ours.height()).flat_map(|y| (0..ours.width()).map(move |x| (x, y))) {
            ink += usize::from(ours.get(x, y));
            differ += usize::from(ours.get(x, y) != is_black(x, y));
        }
        println!("{}: {differ} of {ink} black dots differ", page.title);
        assert!(differ * 100 < ink, "{}: {differ} of {ink}", page.title);
        // Codes have crisp edges, so there no dot may differ.
        for mark in &page.marks {
            let slipwright::scene::MarkKind::Code(code) = &mark.kind else { continue };
            let dots = code.dots;
            for (x, y) in (0..dots.height).flat_map(|y| (0..dots.width).map(move |x| (x, y))) {
                let (x, y) = (dots.x + x, dots.y + y);
                assert_eq!(is_black(x, y), ours.get(x, y), "{} {x} {y}", code.payload);
            }
        }
    }
}
