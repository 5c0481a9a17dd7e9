//! PNG files of every colour type and depth, straight and interlaced.
//!
//! Most files are written here by a few lines of our own (stored deflate blocks, no filters),
//! which share nothing with the engine's decoder; the expected grey is reckoned from the samples
//! in whole numbers of 64 bits. One file with compression and filters comes from the `png`
//! encoder, one from Pillow.

use slipwright::images::GrayImage;

use crate::images_support::{difference, file, pgm, raster};

/// A PNG colour type.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Colour {
    /// Type 0.
    Gray,
    /// Type 2.
    Rgb,
    /// Type 3.
    Palette,
    /// Type 4.
    GrayAlpha,
    /// Type 6.
    Rgba,
}

impl Colour {
    /// The number of the type in the header.
    fn code(self) -> u8 {
        [0, 2, 3, 4, 6][self as usize]
    }

    /// Samples a pixel.
    fn samples(self) -> usize {
        [1, 3, 1, 2, 4][self as usize]
    }
}

/// The CRC of a chunk (PNG specification, annex D).
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0_u32, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| (crc >> 1) ^ (0xedb8_8320 * (crc & 1)))
    })
}

/// Appends a chunk.
fn chunk(file: &mut Vec<u8>, kind: &[u8; 4], body: &[u8]) {
    let tagged = [kind.as_slice(), body].concat();
    file.extend((body.len() as u32).to_be_bytes());
    file.extend(&tagged);
    file.extend(crc(&tagged).to_be_bytes());
}

/// A zlib stream of one stored block (RFC 1950, RFC 1951 section 3.2.4).
fn stored(data: &[u8]) -> Vec<u8> {
    let length = u16::try_from(data.len()).unwrap();
    let mut stream = vec![0x78, 0x01, 0x01];
    stream.extend(length.to_le_bytes());
    stream.extend((!length).to_le_bytes());
    stream.extend(data);
    let (a, b) = data.iter().fold((1_u32, 0_u32), |(a, b), byte| {
        let a = (a + u32::from(*byte)) % 65_521;
        (a, (b + a) % 65_521)
    });
    stream.extend((b << 16 | a).to_be_bytes());
    stream
}

/// A picture to be written.
struct Sheet {
    width: usize,
    height: usize,
    colour: Colour,
    depth: u8,
    interlaced: bool,
    /// Samples of all pixels in reading order.
    samples: Vec<u16>,
    /// Palette colours.
    palette: Vec<[u8; 3]>,
    /// The body of the `tRNS` chunk, if any.
    transparency: Option<Vec<u8>>,
}

impl Sheet {
    /// A sheet with samples of no pattern (a linear congruential generator).
    fn new(colour: Colour, depth: u8, interlaced: bool) -> Sheet {
        let (width, height) = (13, 9);
        let mut state = 20_251_124_u32 + u32::from(depth) + 100 * u32::from(colour.code());
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            state >> 8
        };
        let most = (1_u32 << depth) - 1;
        let count = width * height * colour.samples();
        let samples = (0..count).map(|_| (next() % (most + 1)) as u16).collect();
        let palette = match colour {
            Colour::Palette => {
                (0..=most).map(|_| [next() as u8, next() as u8, next() as u8]).collect()
            }
            _ => Vec::new(),
        };
        let transparency = None;
        Sheet { width, height, colour, depth, interlaced, samples, palette, transparency }
    }

    /// The samples of a pixel.
    fn pixel(&self, x: usize, y: usize) -> &[u16] {
        let count = self.colour.samples();
        &self.samples[(y * self.width + x) * count..][..count]
    }

    /// One pass over the picture: every `dx`th pixel of every `dy`th row from `x0`, `y0`.
    fn pass(&self, [x0, y0, dx, dy]: [usize; 4], data: &mut Vec<u8>) {
        for y in (y0..self.height).step_by(dy).filter(|_| x0 < self.width) {
            data.push(0);
            let (mut bits, mut held) = (0_u32, 0);
            for x in (x0..self.width).step_by(dx) {
                for sample in self.pixel(x, y) {
                    bits = bits << self.depth | u32::from(*sample);
                    held += self.depth;
                    while held >= 8 {
                        held -= 8;
                        data.push((bits >> held) as u8);
                        bits &= (1 << held) - 1;
                    }
                }
            }
            if held > 0 {
                data.push((bits << (8 - held)) as u8);
            }
        }
    }

    /// The file.
    fn write(&self) -> Vec<u8> {
        let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
        let mut header = (self.width as u32).to_be_bytes().to_vec();
        header.extend((self.height as u32).to_be_bytes());
        header.extend([self.depth, self.colour.code(), 0, 0, u8::from(self.interlaced)]);
        chunk(&mut file, b"IHDR", &header);
        if !self.palette.is_empty() {
            chunk(&mut file, b"PLTE", self.palette.as_flattened());
        }
        if let Some(body) = &self.transparency {
            chunk(&mut file, b"tRNS", body);
        }
        let mut data = Vec::new();
        // PNG specification, section 8.2.
        let passes = [
            [0, 0, 8, 8],
            [4, 0, 8, 8],
            [0, 4, 4, 8],
            [2, 0, 4, 4],
            [0, 2, 2, 4],
            [1, 0, 2, 2],
            [0, 1, 1, 2],
        ];
        match self.interlaced {
            true => passes.iter().for_each(|pass| self.pass(*pass, &mut data)),
            false => self.pass([0, 0, 1, 1], &mut data),
        }
        chunk(&mut file, b"IDAT", &stored(&data));
        chunk(&mut file, b"IEND", b"");
        file
    }

    /// Red, green, blue and opacity of a pixel, and the value that stands for full.
    fn colours(&self, x: usize, y: usize) -> ([u64; 4], u64) {
        let most = (1_u64 << self.depth) - 1;
        let pixel: Vec<u64> = self.pixel(x, y).iter().map(|sample| u64::from(*sample)).collect();
        let key: Option<Vec<u64>> = self.transparency.as_ref().map(|body| {
            body.chunks(2)
                .map(|pair| pair.iter().fold(0, |sum, b| sum << 8 | u64::from(*b)))
                .collect()
        });
        let opaque = if key.as_ref() == Some(&pixel) { 0 } else { most };
        match (self.colour, pixel.as_slice()) {
            (Colour::Palette, &[index]) => {
                let [r, g, b] = self.palette[index as usize].map(u64::from);
                let alpha = self.transparency.as_ref().and_then(|all| all.get(index as usize));
                ([r, g, b, alpha.map_or(255, |alpha| u64::from(*alpha))], 255)
            }
            (_, &[gray]) => ([gray, gray, gray, opaque], most),
            (_, &[gray, alpha]) => ([gray, gray, gray, alpha], most),
            (_, &[r, g, b]) => ([r, g, b, opaque], most),
            (_, &[r, g, b, alpha]) => ([r, g, b, alpha], most),
            _ => unreachable!(),
        }
    }

    /// The grey pixels, each rounded once: Rec. 709 weights in ten thousandths, over white.
    fn expected(&self) -> GrayImage {
        let mut pixels = Vec::new();
        for y in 0..self.height {
            for x in 0..self.width {
                let ([r, g, b, alpha], most) = self.colours(x, y);
                let gray = 2126 * r + 7152 * g + 722 * b;
                let shown = gray * alpha + 10_000 * most * (most - alpha);
                let whole = 10_000 * most * most;
                pixels.push(((255 * shown + whole / 2) / whole) as u8);
            }
        }
        GrayImage { width: self.width as u32, height: self.height as u32, pixels }
    }

    /// Decodes the file and compares; steps rounded one after another may differ by one grey.
    fn check(&self, what: &str) {
        let label = format!("{:?} {} {} {what}", self.colour, self.depth, self.interlaced);
        let image = raster(&self.write()).unwrap_or_else(|error| panic!("{label}: {error}"));
        let off = difference(&image, &self.expected());
        assert!(off <= 1, "{label}: {off} greys off");
    }
}

#[test]
fn every_colour_type_and_depth_straight_and_interlaced() {
    let kinds: [(Colour, &[u8]); 5] = [
        (Colour::Gray, &[1, 2, 4, 8, 16]),
        (Colour::Rgb, &[8, 16]),
        (Colour::Palette, &[1, 2, 4, 8]),
        (Colour::GrayAlpha, &[8, 16]),
        (Colour::Rgba, &[8, 16]),
    ];
    for (colour, depths) in kinds {
        for depth in depths {
            for interlaced in [false, true] {
                Sheet::new(colour, *depth, interlaced).check("opaque or with alpha");
            }
        }
    }
}

#[test]
fn one_colour_or_palette_entry_declared_transparent() {
    for interlaced in [false, true] {
        for (colour, depth) in [
            (Colour::Gray, 2),
            (Colour::Gray, 8),
            (Colour::Gray, 16),
            (Colour::Rgb, 8),
            (Colour::Rgb, 16),
        ] {
            let mut sheet = Sheet::new(colour, depth, interlaced);
            let key = sheet.pixel(3, 2).iter().flat_map(|sample| sample.to_be_bytes()).collect();
            sheet.transparency = Some(key);
            sheet.check("with a transparent colour");
        }
        let mut sheet = Sheet::new(Colour::Palette, 4, interlaced);
        sheet.transparency = Some(vec![0, 40, 200, 255, 128]);
        sheet.check("with transparent palette entries");
    }
}

#[test]
fn greys_of_one_byte_come_out_unchanged() {
    let sheet = Sheet::new(Colour::Gray, 8, false);
    let image = raster(&sheet.write()).unwrap();
    assert!(image.pixels.iter().zip(&sheet.samples).all(|(a, b)| u16::from(*a) == *b));
}

#[test]
fn compressed_and_filtered_files() {
    let sheet = Sheet::new(Colour::Rgba, 8, false);
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, 13, 9);
    encoder.set_color(png::ColorType::Rgba);
    encoder.set_compression(png::Compression::High);
    encoder.set_filter(png::Filter::Paeth);
    let data: Vec<u8> = sheet.samples.iter().map(|sample| *sample as u8).collect();
    encoder.write_header().unwrap().write_image_data(&data).unwrap();
    assert!(difference(&raster(&bytes).unwrap(), &sheet.expected()) <= 1);

    let image = raster(&file("colour.png")).unwrap();
    assert!(difference(&image, &pgm("colour-png.pgm")) <= 1);
}

#[test]
fn an_exif_chunk_turns_the_picture() {
    let sheet = Sheet::new(Colour::Gray, 8, false);
    let plain = sheet.write();
    let mut exif = b"MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0".to_vec();
    exif.truncate(26);
    let mut turned = plain[..33].to_vec();
    chunk(&mut turned, b"eXIf", &exif);
    turned.extend(&plain[33..]);
    let image = raster(&turned).unwrap();
    assert_eq!((image.width, image.height), (9, 13));
    // Orientation 6: the stored bottom left corner is the upright top left one.
    assert_eq!(u16::from(image.pixels[0]), sheet.pixel(0, 8)[0]);
    assert_eq!(u16::from(image.pixels[8]), sheet.pixel(0, 0)[0]);
}
