//! Pictures in a layout, from the command to the paper.

use std::fs;
use std::path::Path;

use crate::command::Desk;

/// A drawing of ours: a nib, a filled outline with a hole.
const NIB: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="20mm" viewBox="0 0 40 20">
<path fill-rule="evenodd" d="M0 10 L30 0 L40 10 L30 20 Z M28 9 h4 v2 h-4 Z"/></svg>"#;

/// A layout with a picture of a name.
fn layout(name: &str) -> String {
    format!(
        "page: {{stock: 4x3in, inset: 4}}\nmakes: label\nbody:\n  down:\n    - image: {name}\n      \
         height: 20\n    - text: below\n"
    )
}

/// The black dots of the first page inside the picture's room, of all its dots.
fn black_share(name: &str, bytes: &[u8]) -> f64 {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml").put(name, bytes).put("p.yaml", layout(name));
    desk.done(&["render", "evening.json", "--layout", "p.yaml", "-o", "page.png"]);
    let file = fs::read(desk.path("page-01.png")).unwrap();
    let mut reader = png::Decoder::new(std::io::Cursor::new(file)).read_info().unwrap();
    let mut rows = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut rows).unwrap();
    // 20 mm from 4 mm on, at 8 dots/mm, in the 40 mm that a picture twice as wide as high takes.
    let dots = (32..192).flat_map(|y| (32..352).map(move |x| (x, y)));
    let black = dots.filter(|&(x, y)| rows[y * info.line_size + x / 8] >> (7 - x % 8) & 1 == 0);
    black.count() as f64 / (160.0 * 320.0)
}

#[test]
fn a_drawing_covers_the_area_of_its_outline() {
    // The kite has half the area of its box, 400 of 800, less the hole of 8.
    let share = black_share("nib.svg", NIB.as_bytes());
    assert!((share - 392.0 / 800.0).abs() < 0.005, "{share}");
}

#[test]
fn a_grey_picture_becomes_dots_of_its_own_darkness() {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, 40, 20);
    encoder.set_color(png::ColorType::Grayscale);
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(&[191; 800]).unwrap();
    writer.finish().unwrap();
    // 191 of 255 is a quarter black.
    let share = black_share("grey.png", &file);
    assert!((share - 0.25).abs() < 0.01, "{share}");
    let jpeg = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/images/colour-444.jpg");
    assert!(black_share("photo.jpg", &fs::read(jpeg).unwrap()) > 0.0);
}

#[test]
fn a_drawing_with_text_is_refused_with_a_way_out() {
    let desk = Desk::new();
    let text = NIB.replace("</svg>", "<text x=\"2\" y=\"9\">Tern</text></svg>");
    desk.sample("evening.json").sample("shop.yaml").put("t.svg", text);
    desk.put("p.yaml", layout("t.svg"));
    let run = desk.run(&["render", "evening.json", "--layout", "p.yaml", "-o", "p.pdf"], b"");
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert_eq!(run.status.code(), Some(1), "{said}");
    assert!(said.contains("error[picture]: the picture `t.svg` cannot be used"), "{said}");
    assert!(said.contains("help: "), "{said}");
    assert!(!desk.path("p.pdf").exists());
}

/// The first page of the sample with a picture in a box of 40 × 40 mm, as rows of black dots.
fn dots_of(name: &str, bytes: &[u8], settings: &str) -> Vec<Vec<bool>> {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml").put(name, bytes).put(
        "p.yaml",
        format!(
            "page: {{stock: 4x3in, inset: 4}}\nmakes: label\nbody:\n  over:\n    - image: {name}\n      \
             width: 40\n      height: 40\n{settings}"
        ),
    );
    desk.done(&["render", "evening.json", "--layout", "p.yaml", "-o", "page.png"]);
    let file = fs::read(desk.path("page-01.png")).unwrap();
    let mut reader = png::Decoder::new(std::io::Cursor::new(file)).read_info().unwrap();
    let mut rows = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut rows).unwrap();
    let black = |x: usize, y: usize| rows[y * info.line_size + x / 8] >> (7 - x % 8) & 1 == 0;
    (0..info.height as usize)
        .map(|y| (0..info.width as usize).map(|x| black(x, y)).collect())
        .collect()
}

/// The box around the black dots: left, top, right and bottom edge, in dots.
fn extent(rows: &[Vec<bool>]) -> [usize; 4] {
    let black = |y: &usize| rows[*y].contains(&true);
    let top = (0..rows.len()).find(black).unwrap();
    let bottom = (0..rows.len()).rfind(black).unwrap() + 1;
    let column = |x: &usize| rows.iter().any(|row| row[*x]);
    let left = (0..rows[0].len()).find(column).unwrap();
    let right = (0..rows[0].len()).rfind(column).unwrap() + 1;
    [left, top, right, bottom]
}

/// A PNG, twice as wide as high, whose left half is black and whose right half is a ring.
fn halves() -> Vec<u8> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, 800, 400);
    encoder.set_color(png::ColorType::Grayscale);
    let mut writer = encoder.write_header().unwrap();
    let pixel = |x: usize, y: usize| {
        let frame = !(20..380).contains(&y) || x >= 780;
        if x < 400 || frame { 0 } else { 255 }
    };
    let pixels: Vec<u8> = (0..320_000).map(|at| pixel(at % 800, at / 800)).collect();
    writer.write_image_data(&pixels).unwrap();
    writer.finish().unwrap();
    file
}

#[test]
fn a_picture_covers_its_box_and_keeps_the_side_that_is_asked_for() {
    // The box is 320 dots from 32 on, wherever the picture would reach.
    let whole = [32, 32, 352, 352];
    let left = dots_of("halves.png", &halves(), "      fit: cover\n");
    assert_eq!(extent(&left), whole);
    assert!(left[40][40..340].iter().all(|black| *black), "the black half fills the box");
    let right = dots_of("halves.png", &halves(), "      fit: cover\n      align: right\n");
    assert_eq!(extent(&right), whole);
    assert!(!right[192][60..300].contains(&true), "the middle of the ring is white");
    let all = dots_of("halves.png", &halves(), "");
    assert_eq!(extent(&all), [32, 32, 352, 192]);
}

#[test]
fn a_drawing_covers_its_box_too() {
    // The nib is 40 × 20 mm; twice as large, its left half shows: a triangle with its tip at the
    // left, three quarters of whose length is in the box.
    let left = dots_of("nib.svg", NIB.as_bytes(), "      fit: cover\n");
    let [x, y, right, bottom] = extent(&left);
    assert!(x >= 32 && right == 352 && y > 32 && bottom < 352, "{x} {y} {right} {bottom}");
    let column = |at: usize| left.iter().filter(|row| row[at]).count();
    // At 320 of 480 dots it is two thirds as high as at its widest, where it fills the box.
    assert!(column(351).abs_diff(213) <= 2, "{}", column(351));
    let whole = dots_of("nib.svg", NIB.as_bytes(), "      fit: actual\n");
    // Its tips at the sides are too sharp for their last dot.
    assert_eq!(extent(&whole), [33, 32, 351, 192]);
}
