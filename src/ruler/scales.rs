//! The frames at whole millimetres from the edges of the paper, and the scales inside them.

use super::pen::Pen;
use crate::fonts::{Cut, TextError};
use crate::geom::{Mm, Point};
use crate::scene::Ink;

/// How far both scales lie from the edges of the paper that they run along.
pub(super) const AXIS: Mm = Mm(10.0);

/// The innermost frame's distance from the edges, in millimetres.
const FRAMES: i32 = 5;

/// Between the numbers of two frames, along a side.
const NUMBER_STEP: Mm = Mm(5.0);

/// Half the gap that a frame leaves for its number.
const HALF_GAP: Mm = Mm(1.1);

/// What the scales leave free before the far edge of the paper.
const END: Mm = Mm(7.0);

/// Type of the frames' numbers: as high as lines one millimetre apart allow.
const FRAME_TYPE: f64 = 6.0;

/// Type of the scales' numbers.
const SCALE_TYPE: f64 = 7.5;

/// Draws a frame at each of the first millimetres from the edges, its number in each of its sides.
pub(super) fn draw_frames(pen: &mut Pen<'_>) -> Result<(), TextError> {
    let corner = pen.corner();
    let half_capital = pen.capitals(FRAME_TYPE) / 2.0;
    for number in 1..=FRAMES {
        let away = Mm(f64::from(number));
        let step = NUMBER_STEP * f64::from(number - 3);
        // The numbers stand beside the middle, which is where printers print best.
        let (across, down) = (corner.x / 2.0 + step, corner.y / 2.0 + step);
        let (near, line) = (pen.dot(away), pen.line());
        let (right, low) = (pen.dot(corner.x - away), pen.dot(corner.y - away));
        let gap = |middle: Mm| (pen.dot(middle - HALF_GAP), pen.dot(middle + HALF_GAP));
        let ((x1, x2), (y1, y2)) = (gap(across), gap(down));
        for y in [near, low - line] {
            pen.fill([near, y, x1 - near, line], Ink::Black);
            pen.fill([x2, y, right - x2, line], Ink::Black);
        }
        for x in [near, right - line] {
            pen.fill([x, near, line, y1 - near], Ink::Black);
            pen.fill([x, y2, line, low - y2], Ink::Black);
        }
        let half_line = pen.grid().length(line as f64 / 2.0);
        let digit = number.to_string();
        let edge = away + half_line;
        for (x, y) in
            [(across, edge), (across, corner.y - edge), (edge, down), (corner.x - edge, down)]
        {
            pen.centred(Point::new(x, y + half_capital), FRAME_TYPE, Cut::Regular, &digit)?;
        }
    }
    Ok(())
}

/// Draws both scales: a line, and across it a tick at every whole millimetre of the paper, longer
/// at every fifth, longest and with its number at every tenth.
pub(super) fn draw_scales(pen: &mut Pen<'_>) -> Result<(), TextError> {
    let corner = pen.corner();
    draw_scale(pen, corner.x - END, ScaleWay::Across)?;
    draw_scale(pen, corner.y - END, ScaleWay::Down)
}

/// Which way a scale runs on the paper.
#[derive(Clone, Copy, PartialEq, Eq)]
enum ScaleWay {
    /// From left to right.
    Across,
    /// From top to bottom.
    Down,
}

/// Draws one scale, as far as `end`.
fn draw_scale(pen: &mut Pen<'_>, end: Mm, way: ScaleWay) -> Result<(), TextError> {
    let (line, axis) = (pen.line(), pen.dot(AXIS));
    let fill = |pen: &mut Pen<'_>, [along, across, length, thick]: [i64; 4]| {
        let dots = match way {
            ScaleWay::Across => [along, across, length, thick],
            ScaleWay::Down => [across, along, thick, length],
        };
        pen.fill(dots, Ink::Black);
    };
    let last = end.0.floor() as i32;
    let half = line / 2;
    let length = pen.dot(Mm(f64::from(last))) - axis + line;
    fill(pen, [axis - half, axis - half, length, line]);
    for at in AXIS.0 as i32..=last {
        let reach = match at {
            at if at % 10 == 0 => Mm(2.8),
            at if at % 5 == 0 => Mm(1.9),
            _ => Mm(1.1),
        };
        let (place, reach) = (Mm(f64::from(at)), pen.dot(reach));
        // The middle of a tick is the dot line nearest to its millimetre.
        let dot = pen.dot(place);
        fill(pen, [dot - half, axis - half - reach, line, reach]);
        if at % 10 == 0 {
            draw_number(pen, at, way)?;
        }
    }
    Ok(())
}

/// Draws the number of a long tick, on the inner side of its scale.
fn draw_number(pen: &mut Pen<'_>, at: i32, way: ScaleWay) -> Result<(), TextError> {
    let (place, text) = (Mm(f64::from(at)), at.to_string());
    let capitals = pen.capitals(SCALE_TYPE);
    let inner = AXIS + Mm(0.9);
    match way {
        // Both scales begin at 10; one number in their corner is enough.
        ScaleWay::Down if place == AXIS => Ok(()),
        ScaleWay::Down => {
            pen.text(Point::new(inner, place + capitals / 2.0), SCALE_TYPE, Cut::Regular, &text)
        }
        ScaleWay::Across if place == AXIS => {
            pen.text(Point::new(inner, inner + capitals), SCALE_TYPE, Cut::Regular, &text)
        }
        ScaleWay::Across => {
            pen.centred(Point::new(place, inner + capitals), SCALE_TYPE, Cut::Regular, &text)
        }
    }
}
