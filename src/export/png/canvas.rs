//! What dots are put on: a page of one bit a dot, or of a colour a dot.

use super::bitmap::Bitmap;
use crate::colour::Rgb;
use crate::scene::Ink;

/// A page of dots in the making.
pub(super) trait DotCanvas {
    /// How wide it is.
    fn across(&self) -> u32;

    /// How high it is.
    fn down(&self) -> u32;

    /// Gives the dots of a row from `from` up to but not including `to` an ink; what lies outside the
    /// page is left out.
    fn ink_run(&mut self, y: i32, from: i32, to: i32, ink: Ink);
}

impl DotCanvas for Bitmap {
    fn across(&self) -> u32 {
        self.width()
    }

    fn down(&self) -> u32 {
        self.height()
    }

    fn ink_run(&mut self, y: i32, from: i32, to: i32, ink: Ink) {
        let black = match ink {
            Ink::Black => true,
            Ink::White => false,
            Ink::Colour(colour) => colour.is_dark(),
        };
        self.fill_run(y, from, to, black);
    }
}

/// A page of a colour a dot.
pub(super) struct ColourDots {
    /// Dots across.
    pub(super) width: u32,
    /// Dots down.
    pub(super) height: u32,
    /// Red, green and blue of each dot, row by row from the top.
    pub(super) pixels: Vec<u8>,
}

impl ColourDots {
    /// A white page.
    pub(super) fn new(width: u32, height: u32) -> ColourDots {
        let pixels = vec![Rgb::WHITE.red; width as usize * height as usize * 3];
        ColourDots { width, height, pixels }
    }
}

impl DotCanvas for ColourDots {
    fn across(&self) -> u32 {
        self.width
    }

    fn down(&self) -> u32 {
        self.height
    }

    fn ink_run(&mut self, y: i32, from: i32, to: i32, ink: Ink) {
        let from = from.max(0) as usize;
        let to = (to.max(0) as usize).min(self.width as usize);
        if y < 0 || y as u32 >= self.height || from >= to {
            return;
        }
        let row = y as usize * self.width as usize;
        let channels = ink.rgb().channels();
        for pixel in self.pixels[(row + from) * 3..(row + to) * 3].chunks_exact_mut(3) {
            pixel.copy_from_slice(&channels);
        }
    }
}
