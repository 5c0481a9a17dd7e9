//! A camera in front of printed papers, made of arithmetic.
//!
//! In: papers as their printers print them, and where they are held. Out: the grey picture that a camera
//! gives of them: in perspective, in uneven light, blurred, with noise, and a bench behind them.

use slipwright::export::Bitmap;
use slipwright::images::GrayImage;

/// Pixels across and down of the camera's picture.
const PICTURE: [u32; 2] = [1280, 720];

/// The picture's width by the distance that it is taken from: a field of 60° across, as laptops' cameras
/// have about.
const FOCUS: f64 = 1280.0 / 2.0 / 0.577_350_269;

/// Places across and down of a pixel at which light is gathered.
const RAYS: u32 = 2;

/// A paper in front of the camera.
#[derive(Clone, Copy)]
pub(crate) struct HeldPaper<'p> {
    /// Its dots.
    pub(crate) dots: &'p Bitmap,
    /// Its dots a millimetre.
    pub(crate) per_mm: f64,
    /// Where the middle of the paper is, in millimetres from the middle of the picture.
    pub(crate) middle: [f64; 2],
    /// How far away it is, in millimetres.
    pub(crate) distance: f64,
    /// How far it is turned in its plane, in degrees.
    pub(crate) turn: f64,
    /// How far it is tilted back, in degrees.
    pub(crate) tilt: f64,
    /// How far it is turned away to the side, in degrees.
    pub(crate) aside: f64,
}

/// How a picture is taken.
#[derive(Clone, Copy)]
pub(crate) struct Exposure {
    /// How much of the light of a point goes to either side, against what stays: 0.25 spreads it by a standard
    /// deviation of 0.8 pixels, 0.5 of 1.
    pub(crate) blur: f64,
    /// How much of the light is lost from the left edge to the right one, from 0 to 1.
    pub(crate) shade: f64,
    /// The most that noise adds or takes.
    pub(crate) noise: u32,
}

/// A paper's plane as the camera sees it: what makes of a ray's direction the place where it hits the
/// paper, in millimetres from the paper's middle, all three to be divided by the last.
struct SeenPlane {
    /// Across.
    across: [f64; 3],
    /// Down.
    down: [f64; 3],
    /// By what both are divided.
    depth: [f64; 3],
}

impl SeenPlane {
    /// Where a paper is held.
    fn of(paper: &HeldPaper<'_>) -> SeenPlane {
        let (turn, tilt, aside) =
            (paper.turn.to_radians(), paper.tilt.to_radians(), paper.aside.to_radians());
        let stand = |[x, y]: [f64; 2]| {
            let (x, y) = (x * turn.cos() - y * turn.sin(), x * turn.sin() + y * turn.cos());
            let (y, z) = (y * tilt.cos(), y * tilt.sin());
            [x * aside.cos() + z * aside.sin(), y, z * aside.cos() - x * aside.sin()]
        };
        let (u, v) = (stand([1.0, 0.0]), stand([0.0, 1.0]));
        let middle = [paper.middle[0], paper.middle[1], paper.distance];
        // The plane is middle + a u + b v; the ray r hits it at t r, t = (n middle) / (n r).
        let n = cross(u, v);
        let far = dot(n, middle);
        let along = |d: [f64; 3]| {
            let offset = dot(d, middle);
            std::array::from_fn(|axis| far * d[axis] - offset * n[axis])
        };
        SeenPlane { across: along(u), down: along(v), depth: n }
    }

    /// The place on the paper that the ray through a place of the picture hits.
    fn hit(&self, x: f64, y: f64) -> [f64; 2] {
        let through = |row: &[f64; 3]| row[0] * x + row[1] * y + row[2];
        let depth = through(&self.depth);
        [through(&self.across) / depth, through(&self.down) / depth]
    }
}

/// The product of two directions that stands upright on both.
fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// The product of two directions that says how far one goes along the other.
fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Takes a picture of papers; later ones are held before earlier ones.
pub(crate) fn take_picture(papers: &[HeldPaper<'_>], exposure: Exposure) -> GrayImage {
    let planes: Vec<_> = papers.iter().map(|paper| (paper, SeenPlane::of(paper))).collect();
    let mut light = Vec::with_capacity((PICTURE[0] * PICTURE[1]) as usize);
    for y in 0..PICTURE[1] {
        for x in 0..PICTURE[0] {
            let mut sum = 0.0;
            for ray in 0..RAYS * RAYS {
                let part = |pixel: u32, ray: u32| {
                    f64::from(pixel) + (f64::from(ray) + 0.5) / f64::from(RAYS)
                };
                let (x, y) = (part(x, ray % RAYS), part(y, ray / RAYS));
                let half = |axis: usize| f64::from(PICTURE[axis]) / 2.0;
                let (ray_x, ray_y) = ((x - half(0)) / FOCUS, (y - half(1)) / FOCUS);
                let hit = |(paper, plane): &(&HeldPaper<'_>, SeenPlane)| {
                    look(paper, plane.hit(ray_x, ray_y))
                };
                let seen = planes.iter().rev().find_map(hit);
                sum += seen.unwrap_or_else(|| bench(x, y));
            }
            light.push(sum / f64::from(RAYS * RAYS));
        }
    }
    expose(spread(&light, exposure.blur), exposure)
}

/// The light that comes back from a place of a paper; none where there is no paper.
fn look(paper: &HeldPaper<'_>, [u, v]: [f64; 2]) -> Option<f64> {
    let place = |along: f64, dots: u32| {
        let dot = (along * paper.per_mm + f64::from(dots) / 2.0).floor();
        (0.0..f64::from(dots)).contains(&dot).then_some(dot as u32)
    };
    let (x, y) = (place(u, paper.dots.width())?, place(v, paper.dots.height())?);
    // Paper is not quite white, and ink not quite black.
    Some(if paper.dots.get(x, y) { 40.0 } else { 215.0 })
}

/// The light of a wooden bench behind the papers.
fn bench(x: f64, y: f64) -> f64 {
    let grain = ((y / 7.0 + (x / 90.0).sin() * 2.0).sin() * 18.0).abs();
    95.0 + grain
}

/// Light that spreads to both sides, first along rows and then along columns, twice: about as a lens that
/// is a little out of focus spreads it.
fn spread(light: &[f64], blur: f64) -> Vec<f64> {
    let mut light = light.to_vec();
    let (width, height) = (PICTURE[0] as usize, PICTURE[1] as usize);
    for _ in 0..2 {
        for (step, count, lines, line_step) in
            [(1, width, height, width), (width, height, width, 1)]
        {
            let before = light.clone();
            for line in 0..lines {
                let at = |place: isize| {
                    before[line * line_step + place.clamp(0, count as isize - 1) as usize * step]
                };
                for place in 0..count {
                    let here = place as isize;
                    let sides = at(here - 1) + at(here + 1);
                    let share = blur / (1.0 + 2.0 * blur);
                    light[line * line_step + place * step] =
                        at(here) * (1.0 - 2.0 * share) + sides * share;
                }
            }
        }
    }
    light
}

/// Light as pixels.
fn expose(light: Vec<f64>, exposure: Exposure) -> GrayImage {
    let mut seed = 0x2545_f491_4f6c_dd1d_u64;
    let mut noise = || {
        // xorshift: any noise will do, as long as it is the same every time.
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        (seed % u64::from(2 * exposure.noise + 1)) as f64 - f64::from(exposure.noise)
    };
    let pixel = |(place, light): (usize, f64)| {
        let across = (place % PICTURE[0] as usize) as f64 / f64::from(PICTURE[0]);
        (light * (1.0 - exposure.shade * across) + noise()).clamp(0.0, 255.0) as u8
    };
    let pixels = light.into_iter().enumerate().map(pixel).collect();
    GrayImage { width: PICTURE[0], height: PICTURE[1], pixels }
}
