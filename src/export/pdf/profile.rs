//! Colour profiles: what the grey or the colours of a document mean.
//!
//! In: nothing. Out: ICC profiles, always the same bytes. Not here: where a document says that it has one
//! (`metadata`).

/// What a document's pages are painted in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum PageColours {
    /// Black, white and greys.
    #[default]
    Grey,
    /// Colours too.
    Srgb,
}

/// A grey ICC profile (ICC.1:2001-04, version 2.1): gamma 2.2 under D50. It is written here number
/// by number, so it carries nobody's licence.
pub(super) fn make_grey_profile() -> Vec<u8> {
    let tags = [
        (*b"desc", describe("Grey, gamma 2.2")),
        (*b"cprt", [b"text\0\0\0\0", &b"No copyright, use freely\0"[..]].concat()),
        // The D50 white of the profile connection space, in 1/65536.
        (*b"wtpt", [&b"XYZ \0\0\0\0"[..], &words(&[0xF6D6, 0x1_0000, 0xD32D])].concat()),
        // A curve of one number is a gamma, here 2.2 in 1/256.
        (*b"kTRC", [&b"curv\0\0\0\0"[..], &words(&[1]), &0x0233_u16.to_be_bytes()].concat()),
    ];
    put_together(&tags, 0x0210_0000, *b"GRAY")
}

/// The colours of sRGB in a profile (ICC.1:2004-10, version 4.2; ISO 32000-1 §8.6.5.5 takes it), written
/// here number by number: the primaries and the white of IEC 61966-2-1 brought to D50 by the Bradford
/// matrix (ICC.1:2004-10, annex E), and the curve as the formula that it is.
pub(super) fn make_srgb_profile() -> Vec<u8> {
    let xyz = |values: [u32; 3]| [&b"XYZ \0\0\0\0"[..], &words(&values)].concat();
    let adaption = [&b"sf32\0\0\0\0"[..], &words(&ADAPTION)].concat();
    // Formula 3 of a parametric curve: the power of a linear part, and a line below.
    let curve = [&b"para\0\0\0\0\0\x03\0\0"[..], &words(&CURVE)].concat();
    let tags = [
        (*b"desc", localise("sRGB")),
        (*b"cprt", localise("No copyright, use freely")),
        (*b"wtpt", xyz([0xF6D6, 0x1_0000, 0xD32D])),
        (*b"chad", adaption),
        (*b"rXYZ", xyz(PRIMARIES[0])),
        (*b"gXYZ", xyz(PRIMARIES[1])),
        (*b"bXYZ", xyz(PRIMARIES[2])),
        (*b"rTRC", curve.clone()),
        (*b"gTRC", curve.clone()),
        (*b"bTRC", curve),
    ];
    put_together(&tags, 0x0420_0000, *b"RGB ")
}

/// Red, green and blue under D50, in 1/65536.
const PRIMARIES: [[u32; 3]; 3] =
    [[0x6FA0, 0x38F5, 0x0390], [0x6297, 0xB787, 0x18DA], [0x249F, 0x0F84, 0xB6C3]];

/// What brings a colour under the white of sRGB to D50, row by row, in 1/65536; less than 0 is counted
/// down from 2³².
const ADAPTION: [u32; 9] =
    [0x1_0C42, 0x05DE, 0xFFFF_F325, 0x0793, 0xFD90, 0xFFFF_FBA1, 0xFFFF_FDA2, 0x03DC, 0xC06E];

/// The exponent 2.4, the factors 1/1.055 and 0.055/1.055, the slope 1/12.92 and where the line ends, 0.04045.
const CURVE: [u32; 5] = [0x2_6666, 0xF2A7, 0x0D59, 0x13D0, 0x0A5B];

/// Puts a profile together from its tags; equal ones are stored once.
fn put_together(tags: &[([u8; 4], Vec<u8>)], version: u32, space: [u8; 4]) -> Vec<u8> {
    let mut table = words(&[tags.len() as u32]);
    let mut body = Vec::new();
    let start = 128 + 4 + 12 * tags.len();
    let mut places: Vec<usize> = Vec::with_capacity(tags.len());
    for (index, (name, data)) in tags.iter().enumerate() {
        let known = tags[..index].iter().position(|(_, other)| other == data);
        let place = known.map_or(body.len(), |index| places[index]);
        places.push(place);
        table.extend_from_slice(name);
        table.extend(words(&[(start + place) as u32, data.len() as u32]));
        if known.is_none() {
            body.extend_from_slice(data);
            body.resize(body.len().next_multiple_of(4), 0);
        }
    }
    let mut profile = profile_header((start + body.len()) as u32, version, space);
    profile.extend(table);
    profile.extend(body);
    profile
}

/// The 128 bytes that begin a profile of a display.
fn profile_header(size: u32, version: u32, space: [u8; 4]) -> Vec<u8> {
    let mut header = words(&[size, 0, version]);
    header.extend_from_slice(b"mntr");
    header.extend_from_slice(&space);
    header.extend_from_slice(b"XYZ ");
    // A fixed date, 1 January 2000: the profile never changes.
    header.extend([2000_u16, 1, 1, 0, 0, 0].iter().flat_map(|part| part.to_be_bytes()));
    header.extend_from_slice(b"acsp");
    // No platform, flags, device, attributes; perceptual intent; then the D50 illuminant.
    header.resize(68, 0);
    header.extend(words(&[0xF6D6, 0x1_0000, 0xD32D]));
    header.resize(128, 0);
    header
}

/// A textual description: ASCII, no Unicode part and an empty Macintosh part of 67 bytes.
fn describe(text: &str) -> Vec<u8> {
    let mut tag = b"desc\0\0\0\0".to_vec();
    tag.extend(words(&[text.len() as u32 + 1]));
    tag.extend_from_slice(text.as_bytes());
    tag.push(0);
    tag.resize(tag.len() + 8 + 3 + 67, 0);
    tag
}

/// A text in one language, English, as version 4 has it: UTF-16, highest byte first.
fn localise(text: &str) -> Vec<u8> {
    let units: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let mut tag = b"mluc\0\0\0\0".to_vec();
    tag.extend(words(&[1, 12]));
    tag.extend_from_slice(b"enUS");
    tag.extend(words(&[units.len() as u32, 28]));
    tag.extend(units);
    tag
}

/// Numbers as 32 bits each, highest byte first.
fn words(values: &[u32]) -> Vec<u8> {
    values.iter().flat_map(|value| value.to_be_bytes()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_profile_is_as_long_as_it_says_and_its_tags_lie_inside() {
        for (profile, space) in [(make_grey_profile(), b"GRAY"), (make_srgb_profile(), b"RGB ")] {
            let word =
                |at: usize| u32::from_be_bytes(profile[at..at + 4].try_into().unwrap()) as usize;
            assert_eq!(word(0), profile.len());
            assert_eq!(&profile[12..16], b"mntr");
            assert_eq!(&profile[16..20], space);
            assert_eq!(&profile[36..40], b"acsp");
            for tag in 0..word(128) {
                let (start, len) = (word(136 + 12 * tag), word(140 + 12 * tag));
                let first = 128 + 4 + 12 * word(128);
                assert!(start >= first && start % 4 == 0 && start + len <= profile.len());
            }
        }
    }

    /// The product of two matrices.
    fn times(one: [[f64; 3]; 3], other: [[f64; 3]; 3]) -> [[f64; 3]; 3] {
        let cell =
            |row: usize, column: usize| (0..3).map(|at| one[row][at] * other[at][column]).sum();
        [0, 1, 2].map(|row| [0, 1, 2].map(|column| cell(row, column)))
    }

    /// The inverse of a matrix, by cofactors.
    fn inverse(m: [[f64; 3]; 3]) -> [[f64; 3]; 3] {
        let minor = |r: usize, c: usize| {
            let (r1, r2, c1, c2) = ((r + 1) % 3, (r + 2) % 3, (c + 1) % 3, (c + 2) % 3);
            m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1]
        };
        let whole: f64 = (0..3).map(|c| m[0][c] * minor(0, c)).sum();
        [0, 1, 2].map(|r| [0, 1, 2].map(|c| minor(c, r) / whole))
    }

    /// A number of a profile.
    fn fixed(value: u32) -> f64 {
        f64::from(value as i32) / 65_536.0
    }

    /// The numbers of the profile, worked out from those of IEC 61966-2-1.
    #[test]
    fn the_numbers_of_srgb_follow_from_its_standard() {
        let white = |x: f64, y: f64| [x / y, 1.0, (1.0 - x - y) / y];
        let (d65, d50) = (white(0.3127, 0.3290), [0.9642, 1.0, 0.8249]);
        let bradford =
            [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];
        let cone = |xyz: [f64; 3]| bradford.map(|row| (0..3).map(|at| row[at] * xyz[at]).sum());
        let (from, to): ([f64; 3], [f64; 3]) = (cone(d65), cone(d50));
        let mut scale = [[0.0; 3]; 3];
        (0..3).for_each(|at| scale[at][at] = to[at] / from[at]);
        let adaption = times(inverse(bradford), times(scale, bradford));
        for (cell, value) in adaption.iter().flatten().zip(ADAPTION) {
            assert!((cell - fixed(value)).abs() < 2e-4, "{cell} {}", fixed(value));
        }
        let columns = [white(0.64, 0.33), white(0.30, 0.60), white(0.15, 0.06)];
        let plain = [0, 1, 2].map(|row| columns.map(|column| column[row]));
        let weights = inverse(plain).map(|row| (0..3).map(|at| row[at] * d65[at]).sum::<f64>());
        let weighed = plain.map(|row| [0, 1, 2].map(|at| row[at] * weights[at]));
        let primaries = times(adaption, weighed);
        for (index, column) in PRIMARIES.iter().enumerate() {
            for (row, value) in column.iter().enumerate() {
                let (found, expected) = (fixed(*value), primaries[row][index]);
                assert!((found - expected).abs() < 3e-4, "{index} {row}: {found} {expected}");
            }
        }
        let curve = [2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045];
        for (value, number) in CURVE.iter().zip(curve) {
            assert!((fixed(*value) - number).abs() < 1e-5, "{number}");
        }
        // Together the three inks make the white of the paper.
        for row in 0..3 {
            let sum: f64 = PRIMARIES.iter().map(|column| fixed(column[row])).sum();
            assert!((sum - d50[row]).abs() < 2e-4, "{row}: {sum}");
        }
    }
}
