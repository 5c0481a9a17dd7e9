//! What to read off a ruler page, in words, and what the page was printed for.

use super::Ruler;
use super::parts::Space;
use super::pen::{LEADING, Pass, Pen, TypeIn};
use crate::fonts::{Cut, TextError};
use crate::geom::{Mm, Point, Rect};
use crate::words::trim_decimals;

/// A setting of the shop file and how it is read off.
struct SettingReading {
    /// What the shop file calls it.
    setting: &'static str,
    /// How it is read off.
    text: String,
}

/// The last tenth millimetre that a scale reaches and a seller can measure to.
fn last_ten(side: Mm) -> i32 {
    ((side.0 - 7.0) / 10.0).floor() as i32 * 10
}

/// What to do before anything is read off.
const FIRST: &str = "Print at 100 %, never fitted to the page. Then write in the shop file, under \
                     this printer:";

/// All readings of a page.
fn list_readings(ruler: &Ruler<'_>) -> Vec<SettingReading> {
    let (across, down) = (last_ten(ruler.stock.size.width), last_ten(ruler.stock.size.height));
    let (wide, high) = (across - 10, down - 10);
    let reading = |setting, text: &str| SettingReading { setting, text: text.to_owned() };
    vec![
        reading("clear_edge", "the outermost frame that is whole on all four sides"),
        reading(
            "offset",
            "measure from the paper's left and top edge to the corner of the scales: [10 - left, \
             10 - top]",
        ),
        SettingReading {
            setting: "scale",
            text: format!(
                "measure from 10 to {across} across and to {down} down: [across / {wide}, down / \
                 {high}]"
            ),
        },
        reading("area", "only if a scale breaks off early: [last mm across, last mm down]"),
        reading(
            "gain",
            "the widest line pair whose white has closed, 0 if none has; write it as \
             bar_reduction too, if codes it spoils (scan A, B, Q) are needed",
        ),
    ]
}

/// What the page was printed for: paper and dots, dots in an inch, and what is corrected.
pub(super) fn list_facts(ruler: &Ruler<'_>) -> [String; 3] {
    let (size, printer) = (ruler.stock.size, ruler.printer);
    let per_mm = trim_decimals(ruler.grid.per_mm(), 3);
    let dpi = trim_decimals(ruler.grid.dpi(), 1);
    let paper = format!("{} × {}", size.width.to_string().trim_end_matches(" mm"), size.height);
    let what = match &*printer.name {
        "" => format!("{paper}, {per_mm} dots/mm"),
        name => format!("{name}: {paper}, {per_mm} dots/mm"),
    };
    let corrected = if printer.is_true() {
        "Nothing is corrected: what you measure is what to write.".to_owned()
    } else {
        let (x, y) = (printer.offset.x.0, printer.offset.y.0);
        format!(
            "Corrected: offset [{x}, {y}], scale [{}, {}], bar_reduction {}.",
            printer.scale.0, printer.scale.1, printer.bar_reduction
        )
    };
    [what, format!("{dpi} dpi"), corrected]
}

/// What to read off a ruler page, for a terminal.
#[must_use]
pub fn ruler_guide(ruler: &Ruler<'_>) -> String {
    let mut guide = format!("{FIRST}\n");
    for reading in list_readings(ruler) {
        guide.push_str(&format!("  {:<14} {}\n", reading.setting, reading.text));
    }
    guide
}

/// Sets the readings, or only measures them; tells how high they are.
///
/// # Errors
/// When a character has no glyph.
pub(super) fn draw(
    pen: &mut Pen<'_>,
    ruler: &Ruler<'_>,
    room: Rect,
    space: Space,
    pass: Pass,
) -> Result<Mm, TextError> {
    let points = if space == Space::Wide { 9.0 } else { 7.0 };
    let size = Mm::from_pt(points);
    let column = size * 5.8;
    let mut y = room.y + pen.capitals(points);
    let most = |width: Mm| TypeIn { points, most_em: width / size };
    let lines = pen.lines(Point::new(room.x, y), most(room.width), Cut::Regular, FIRST, pass)?;
    y += size * LEADING * lines as f64 + Mm(0.8);
    for SettingReading { setting, text } in list_readings(ruler) {
        if pass == Pass::Paint {
            pen.text(Point::new(room.x, y), points, Cut::Bold, setting)?;
        }
        let place = Point::new(room.x + column, y);
        let lines = pen.lines(place, most(room.width - column), Cut::Regular, &text, pass)?;
        y += size * LEADING * lines as f64 + Mm(0.6);
    }
    Ok(y - size - room.y)
}
