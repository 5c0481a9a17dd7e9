//! SVG drawings: areas of the traced outlines against areas reckoned by hand, and the whole text
//! of errors.

use std::f64::consts::PI;

use slipwright::geom::{FillRule, Segment};
use slipwright::images::{self, Drawing, ImageError, Picture, Shape};

/// Millimetres in a CSS pixel.
const PX: f64 = 25.4 / 96.0;

/// An SVG file around some elements, 100 by 100 pixels.
fn svg(inner: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" \
         xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"100\" height=\"100\">\n{inner}\n</svg>"
    )
}

/// Reads a drawing.
fn draw(text: &str) -> Drawing {
    match images::decode(text.as_bytes()) {
        Ok(Picture::Drawing(drawing)) => drawing,
        other => panic!("{text}\n{other:?}"),
    }
}

/// Reads a drawing's only shape.
fn only(inner: &str) -> Shape {
    let mut shapes = draw(&svg(inner)).shapes;
    assert_eq!(shapes.len(), 1, "{inner}");
    shapes.remove(0)
}

/// The straight edges of a shape, curves in 64 chords each.
fn edges(shape: &Shape) -> Vec<[(f64, f64); 2]> {
    let mut edges = Vec::new();
    let (mut start, mut at) = ((0.0, 0.0), (0.0, 0.0));
    for segment in shape.segments.iter() {
        let from = at;
        let mut line = |to| {
            edges.push([at, to]);
            at = to;
        };
        match *segment {
            Segment::MoveTo(x, y) => {
                start = (x, y);
                at = start;
            }
            Segment::LineTo(x, y) => line((x, y)),
            Segment::QuadTo(x1, y1, x, y) => (1..=64).for_each(|step| {
                let t = f64::from(step) / 64.0;
                let mix = |a: f64, b: f64, c: f64| {
                    (1.0 - t) * (1.0 - t) * a + 2.0 * t * (1.0 - t) * b + t * t * c
                };
                line((mix(from.0, x1, x), mix(from.1, y1, y)));
            }),
            Segment::CubicTo(x1, y1, x2, y2, x, y) => (1..=64).for_each(|step| {
                let t = f64::from(step) / 64.0;
                let s = 1.0 - t;
                let mix = |a: f64, b: f64, c: f64, d: f64| {
                    s * s * s * a + 3.0 * s * s * t * b + 3.0 * s * t * t * c + t * t * t * d
                };
                line((mix(from.0, x1, x2, x), mix(from.1, y1, y2, y)));
            }),
            Segment::Close => line(start),
        }
    }
    edges
}

/// The filled area of a shape in square CSS pixels, by 4,000 scan lines over the drawing.
fn area(shape: &Shape) -> f64 {
    let edges = edges(shape);
    let lines = 4000;
    let height = 100.0 * PX;
    let mut area = 0.0;
    for line in 0..lines {
        let y = height * (f64::from(line) + 0.5) / f64::from(lines);
        let mut crossings: Vec<(f64, i32)> = edges
            .iter()
            .filter(|[a, b]| (a.1 <= y) != (b.1 <= y))
            .map(|[a, b]| {
                let x = a.0 + (b.0 - a.0) * (y - a.1) / (b.1 - a.1);
                (x, if b.1 > a.1 { 1 } else { -1 })
            })
            .collect();
        crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut winding = 0;
        for pair in crossings.windows(2) {
            winding += pair[0].1;
            let inside = match shape.rule {
                FillRule::NonZero => winding != 0,
                FillRule::EvenOdd => winding % 2 != 0,
            };
            if inside {
                area += (pair[1].0 - pair[0].0) * height / f64::from(lines);
            }
        }
    }
    area / (PX * PX)
}

/// Checks the area of a drawing's only shape, to a thousandth.
fn check_area(inner: &str, expected: f64) {
    let found = area(&only(inner));
    assert!((found - expected).abs() <= expected * 0.001, "{inner}: {found}, not {expected}");
}

/// The message and the way out of a drawing that must be refused.
fn refusal(text: &str) -> String {
    match images::decode(text.as_bytes()) {
        Err(error) => format!("{error} / {}", error.hint()),
        Ok(picture) => panic!("{text}\n{picture:?}"),
    }
}

#[test]
fn sizes_in_millimetres() {
    let drawing = draw(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="2cm" viewBox="0 0 3 2">
        <rect x="1" y="1" width="1" height="1"/></svg>"#,
    );
    assert!((drawing.width - 30.0).abs() < 1e-5 && (drawing.height - 20.0).abs() < 1e-5);
    let corners: Vec<(f64, f64)> = edges(&drawing.shapes[0]).iter().map(|edge| edge[0]).collect();
    for (corner, wanted) in corners.iter().zip([(10.0, 10.0), (20.0, 10.0), (20.0, 20.0)]) {
        assert!((corner.0 - wanted.0).abs() < 1e-3 && (corner.1 - wanted.1).abs() < 1e-3);
    }
    let plain = draw(&svg(r#"<rect width="96" height="48"/>"#));
    assert!((plain.width - 100.0 * PX).abs() < 1e-6);
    let boxed = draw(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 48 24"><path d="M0 0h9v9z"/></svg>"#,
    );
    assert!((boxed.width - 48.0 * PX).abs() < 1e-6 && (boxed.height - 24.0 * PX).abs() < 1e-6);
}

#[test]
fn fills() {
    check_area(r#"<rect x="10" y="20" width="30" height="40"/>"#, 1200.0);
    check_area(r#"<circle cx="50" cy="50" r="40"/>"#, PI * 1600.0);
    check_area(r#"<ellipse cx="50" cy="50" rx="40" ry="10"/>"#, PI * 400.0);
    check_area(r#"<polygon points="10,10 90,10 10,90"/>"#, 3200.0);
    check_area(r#"<path d="M10 10 H90 V90"/>"#, 3200.0);
    check_area(r#"<path d="M50 10 A40 40 0 0 1 50 90 z"/>"#, PI * 800.0);
    // A parabola: two thirds of its box.
    check_area(r#"<path d="M10 10 Q50 90 90 10 z"/>"#, 80.0 * 40.0 * 2.0 / 3.0);
}

#[test]
fn fill_rules() {
    let square = "M10 10 H90 V90 H10 z M30 30 H70 V70 H30 z";
    check_area(&format!(r#"<path d="{square}"/>"#), 6400.0);
    check_area(&format!(r#"<path fill-rule="evenodd" d="{square}"/>"#), 4800.0);
}

#[test]
fn strokes_become_fills() {
    let line =
        |more: &str| format!(r#"<line x1="20" y1="50" x2="80" y2="50" stroke="black" {more}/>"#);
    // The fill of a line has no area and is no shape.
    check_area(&line(r#"stroke-width="10""#), 600.0);
    check_area(&line(r#"stroke-width="10" stroke-linecap="square""#), 700.0);
    check_area(&line(r#"stroke-width="10" stroke-linecap="round""#), 600.0 + PI * 25.0);
    check_area(&line(r#"stroke-width="10" stroke-dasharray="10 5""#), 400.0);
    // A ring between radius 25 and 35.
    check_area(
        r#"<circle cx="50" cy="50" r="30" fill="none" stroke="black" stroke-width="10"/>"#,
        PI * (35.0 * 35.0 - 25.0 * 25.0),
    );
    let corner = |join: &str| {
        format!(
            r#"<path d="M20 80 V20 H80" fill="none" stroke="black" stroke-width="10"
            stroke-linejoin="{join}"/>"#
        )
    };
    // Two arms of 60 by 10 share a quarter of the joint; outside it lies a square of 5 by 5.
    check_area(&corner("miter"), 1200.0 - 25.0 + 25.0);
    check_area(&corner("bevel"), 1200.0 - 25.0 + 12.5);
    check_area(&corner("round"), 1200.0 - 25.0 + PI * 25.0 / 4.0);
    // A stroke is scaled with what it goes round, unevenly too.
    check_area(
        r#"<line x1="2" y1="25" x2="8" y2="25" transform="scale(10 2)" stroke="black" stroke-width="5"/>"#,
        600.0,
    );
}

#[test]
fn transforms_and_repetitions() {
    check_area(
        r#"<g transform="rotate(30 50 50)"><rect x="40" y="40" width="20" height="20"/></g>"#,
        400.0,
    );
    check_area(r#"<rect width="10" height="10" transform="matrix(2 1 0 3 5 5)"/>"#, 600.0);
    let used = draw(&svg(r##"<defs><rect id="r" width="10" height="10"/></defs>
        <use href="#r" x="10" y="10"/><use xlink:href="#r" x="50" y="50" transform="scale(1.5)"/>"##));
    let areas: Vec<f64> = used.shapes.iter().map(area).collect();
    assert!((areas[0] - 100.0).abs() < 0.1 && (areas[1] - 225.0).abs() < 0.3, "{areas:?}");
    check_area(
        r##"<symbol id="s" viewBox="0 0 2 2"><rect width="1" height="2"/></symbol>
        <use href="#s" x="20" y="20" width="40" height="40"/>"##,
        800.0,
    );
}

#[test]
fn what_lies_outside_is_cut_off() {
    check_area(r#"<circle cx="0" cy="50" r="40"/>"#, PI * 800.0);
    check_area(r#"<circle cx="100" cy="100" r="40"/>"#, PI * 400.0);
    check_area(r#"<rect x="-50" y="-50" width="500" height="500"/>"#, 10_000.0);
    // A ring cut in half keeps its hole.
    check_area(
        r#"<path fill-rule="evenodd" d="M-40 10 H40 V90 H-40 z M-20 30 H20 V70 H-20 z"/>"#,
        40.0 * 80.0 - 20.0 * 40.0,
    );
    assert!(draw(&svg(r#"<rect x="200" width="10" height="10"/>"#)).shapes.is_empty());
}

#[test]
fn rectangular_clip_paths() {
    check_area(
        r#"<clipPath id="c"><rect x="10" y="10" width="40" height="80"/></clipPath>
        <circle cx="50" cy="50" r="40" clip-path="url(#c)"/>"#,
        PI * 800.0,
    );
    // Turned by 45° the clip is a square standing on its corner.
    check_area(
        r#"<clipPath id="c"><rect x="-20" y="-20" width="40" height="40"
        transform="translate(50 50) rotate(45)"/></clipPath>
        <rect width="100" height="100" clip-path="url(#c)"/>"#,
        1600.0,
    );
    check_area(
        r#"<clipPath id="a"><rect width="50" height="100"/></clipPath>
        <clipPath id="b" clip-path="url(#a)"><path d="M0 0H100V50H0z"/></clipPath>
        <g clip-path="url(#b)"><rect width="100" height="100"/></g>"#,
        2500.0,
    );
}

#[test]
fn black_or_white_by_luminance() {
    let white =
        |colour: &str| only(&format!(r#"<rect width="9" height="9" fill="{colour}"/>"#)).white;
    assert!(!white("black") && !white("#7f7f7f") && !white("blue") && !white("red"));
    assert!(white("white") && white("#808080") && white("yellow") && white("rgb(0 255 0)"));
    let drawing = draw(&svg(r#"<style>.a { fill: #123 } .b { fill: #fff }</style>
        <rect class="a" width="50" height="50"/><rect class="b" width="20" height="20"/>
        <g style="fill:none;stroke:currentColor" color="silver"><path d="M1 1H40"/></g>"#));
    let whites: Vec<bool> = drawing.shapes.iter().map(|shape| shape.white).collect();
    assert_eq!(whites, [false, true, true]);
}

#[test]
fn paint_order() {
    let order = |order: &str| {
        let text = format!(
            r#"<rect x="9" y="9" width="50" height="50" fill="white" stroke="black"
            stroke-width="4" paint-order="{order}"/>"#
        );
        draw(&svg(&text)).shapes.iter().map(|shape| shape.white).collect::<Vec<_>>()
    };
    assert_eq!(order("normal"), [true, false]);
    assert_eq!(order("stroke"), [false, true]);
}

#[test]
fn invisible_parts_are_left_out() {
    for inner in [
        r#"<rect width="9" height="9" fill="none"/>"#,
        r#"<rect width="9" height="9" fill-opacity="0"/>"#,
        r#"<g opacity="0"><rect width="9" height="9"/></g>"#,
        r#"<rect width="9" height="9" visibility="hidden"/>"#,
        r#"<g display="none"><text>draft</text></g>"#,
        r#"<g style="display:none"><image href="draft.png"/></g>"#,
        r#"<defs><linearGradient id="g"><stop/></linearGradient><filter id="f"/></defs>"#,
        "<metadata><text>about</text></metadata><text> </text>",
        r#"<x:note xmlns:x="urn:x"><text>note</text></x:note>"#,
    ] {
        assert!(draw(&svg(inner)).shapes.is_empty(), "{inner}");
    }
}

#[test]
fn what_cannot_be_shown_is_named() {
    let refused = [
        (
            r#"<text id="name">Tern Hollow Pens</text>"#,
            "line 2 of the SVG file: the element `text` named `name` is text / \
             turn its text into paths in the drawing program",
        ),
        (
            r#"<image href="data:image/png;base64,AAAA"/>"#,
            "line 2 of the SVG file: the element `image` is a picture inside the drawing / \
             trace the picture into paths, or save the whole as PNG",
        ),
        (
            r#"<linearGradient id="g"><stop stop-color="red"/><stop offset="1"/></linearGradient>
            <rect id="r" width="9" height="9" fill="url(#g)"/>"#,
            "line 3 of the SVG file: the element `rect` named `r` has a fill that is a gradient / \
             give it one plain colour, dark for black or light for white",
        ),
        (
            r#"<pattern id="p" width="2" height="2" patternUnits="userSpaceOnUse"><path d="M0 0h1v1z"/></pattern>
            <rect width="9" height="9" stroke="url(#p)"/>"#,
            "line 3 of the SVG file: the element `rect` is filled with a pattern / \
             give it one plain colour, dark for black or light for white",
        ),
        (
            r#"<filter id="f"><feGaussianBlur stdDeviation="2"/></filter>
            <rect width="9" height="9" filter="url(#f)"/>"#,
            "line 3 of the SVG file: the element `rect` has a `filter` / \
             expand it into plain paths in the drawing program",
        ),
        (
            r#"<mask id="m"/><rect width="9" height="9" style="fill:red; mask:url(#m)"/>"#,
            "line 2 of the SVG file: the element `rect` has a `mask` / \
             expand it into plain paths in the drawing program",
        ),
        (
            r#"<g id="ghost" opacity=".5"><rect width="9" height="9"/></g>"#,
            "line 2 of the SVG file: the element `g` named `ghost` is partly transparent / \
             make it opaque, or expand it into plain paths in the drawing program",
        ),
        (
            r##"<rect id="r" width="9" height="9" fill="#0008"/>"##,
            "line 2 of the SVG file: the element `rect` named `r` has a fill that is partly \
             transparent / make it opaque",
        ),
        (
            r#"<g id="b" style="mix-blend-mode:multiply"><rect width="9" height="9"/></g>"#,
            "line 2 of the SVG file: the element `g` named `b` is blended with what lies below / \
             make it opaque, or expand it into plain paths in the drawing program",
        ),
        (
            r#"<clipPath id="c"><circle r="9"/></clipPath><rect width="9" height="9" clip-path="url(#c)"/>"#,
            "line 2 of the SVG file: the element `clipPath` named `c` is not a single rectangle / \
             cut the paths themselves along the clip in the drawing program, or save the whole as \
             PNG",
        ),
        (
            r#"<path d="M0 0H9" stroke="black" marker-end="url(#m)"/><marker id="m"/>"#,
            "line 2 of the SVG file: the element `path` has a `marker-end` / \
             expand it into plain paths in the drawing program",
        ),
        (
            r#"<rect width="9" height="9"><animate attributeName="x"/></rect>"#,
            "line 2 of the SVG file: the element `animate` is an animation / \
             remove it in the drawing program",
        ),
        (
            r#"<meshgradient/>"#,
            "line 2 of the SVG file: the element `meshgradient` is of an unknown kind / \
             remove it in the drawing program",
        ),
    ];
    for (inner, expected) in refused {
        assert_eq!(refusal(&svg(inner)), expected, "{inner}");
    }
}

#[test]
fn what_the_resolver_would_pass_over_is_refused() {
    for inner in [
        r#"<path d="M0 0 L9 9 oops L3 3"/>"#,
        r#"<polygon points="1,1 2,2 3"/>"#,
        r#"<rect width="wide" height="9"/>"#,
        r#"<rect width="9" height="9" transform="rotate(45deg)"/>"#,
        r#"<rect width="9" height="9" style="transform:rotate(45deg)"/>"#,
        r#"<rect width="9" height="9" fill="blackish"/>"#,
        r#"<rect width="9" height="9" style="fill:var(--ink)"/>"#,
        r#"<rect style="width:9px;height:9px"/>"#,
        r#"<rect width="9" height="9" fill="url(#gone)"/>"#,
        r#"<rect width="9" height="9" clip-path="circle(4px)"/>"#,
        r##"<use href="#gone"/>"##,
        r#"<use href="other.svg#part"/>"#,
        r#"<use/>"#,
        r#"<style>@media print { rect { fill: white } }</style><rect width="9" height="9"/>"#,
        r#"<style>rect:nth-child(2) { fill: white }</style><rect width="9" height="9"/>"#,
        r#"<style>rect { fill: url(#gone) }</style><rect width="9" height="9"/>"#,
        r#"<style>rect { filter: blur(2px) }</style><rect width="9" height="9"/>"#,
        r#"<style>rect { transform: scale(2) }</style><rect width="9" height="9"/>"#,
        r#"<style>rect { fill: white</style><rect width="9" height="9"/>"#,
        r#"<path d="M0 0H9" stroke="black" vector-effect="non-scaling-stroke"/>"#,
        r#"<foreignObject width="9" height="9"><p xmlns="http://www.w3.org/1999/xhtml">hi</p></foreignObject>"#,
    ] {
        let said = refusal(&svg(inner));
        assert!(said.starts_with("line "), "{inner}: {said}");
    }
}

#[test]
fn files_as_drawing_programs_write_them() {
    let text = r##"<?xml version="1.0" encoding="utf-8"?>
<!-- Generator: a drawing program -->
<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd" [
  <!ENTITY ns_svg "http://www.w3.org/2000/svg">
]>
<svg version="1.1" xmlns="&ns_svg;" xmlns:ed="urn:editor" x="0px" y="0px" width="40px"
  height="40px" viewBox="0 0 40 40" style="enable-background:new 0 0 40 40;" xml:space="preserve">
<style type="text/css"><![CDATA[
  /* classes */
  @font-face { font-family: "Fell"; src: url(data:font/woff;base64,AAAA); }
  .st0{fill:#231F20;}
  .st1{fill:none;stroke:#000000;stroke-width:2;stroke-linecap:round;}
]]></style>
<ed:view zoom="2"/>
<switch>
  <foreignObject requiredExtensions="urn:editor" width="1" height="1"><ed:blob/></foreignObject>
  <g><path class="st0" d="M4,4h10v10H4V4z"/><path class="st1" d="M20,20c5-5,10,5,15,0"/></g>
</switch>
</svg>"##;
    assert_eq!(draw(text).shapes.len(), 2);
    let marked = format!("\u{feff}{text}");
    assert_eq!(draw(&marked).shapes.len(), 2);
}

#[test]
fn other_kinds_of_files_are_named() {
    let said = |bytes: &[u8]| match images::decode(bytes) {
        Err(error) => error.to_string(),
        Ok(_) => panic!(),
    };
    assert_eq!(said(b""), "the file is empty");
    assert_eq!(said(b"GIF89a"), "expected a PNG, JPEG or SVG file, found a GIF file");
    assert_eq!(
        said(b"RIFF\0\0\0\0WEBPVP8 "),
        "expected a PNG, JPEG or SVG file, found a WebP file"
    );
    assert_eq!(said(b"hello"), "expected a PNG, JPEG or SVG file, found something else");
    assert_eq!(
        said(b"<html></html>"),
        "the SVG file is damaged: expected the root element `svg`, found `html`"
    );
    assert_eq!(
        said(b"<svg xmlns='http://www.w3.org/2000/svg'>\xe9</svg>"),
        "the SVG file is not in UTF-8, which is not read"
    );
    assert!(matches!(
        images::decode(b"<svg xmlns='http://www.w3.org/2000/svg' width='0' height='4'/>"),
        Err(ImageError::NotOutlines { line: None, .. })
    ));
}

#[test]
fn coordinates_are_on_a_grid_of_a_power_of_two() {
    let drawing = draw(&svg(r#"<circle cx="50" cy="50" r="33" transform="rotate(7)"/>"#));
    // 26.458 mm / 2^18 is a little more than 2^-14 mm.
    let step = 2.0_f64.powi(-14);
    for [from, _] in edges(&drawing.shapes[0]).iter().step_by(64) {
        assert_eq!((from.0 / step).fract(), 0.0);
        assert_eq!((from.1 / step).fract(), 0.0);
    }
}
