//! Unpacking streams: the filters of ISO 32000-1 §7.4 that hold text and tables.
//!
//! In: packed bytes and their filters. Out: the plain bytes, within a limit. Not here: the
//! filters of pictures (DCT, JPX, JBIG2, CCITT), whose streams are carried along packed.

use flate2::{Decompress, FlushDecompress, Status};

use super::error::{Result, broken, too_large};
use super::lexer::is_space;
use super::limits::STREAM_BYTES;
use super::object::hex_digit;

/// One step of unpacking.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum StreamFilter {
    /// `FlateDecode`
    Flate(Predictor),
    /// `LZWDecode`; the flag is `EarlyChange`, true by default.
    Lzw(Predictor, bool),
    /// `ASCII85Decode`
    Ascii85,
    /// `ASCIIHexDecode`
    AsciiHex,
    /// `RunLengthDecode`
    RunLength,
}

/// How rows of a table were prepared for packing (ISO 32000-1 §7.4.4.4).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Predictor {
    /// 1 for none, 2 for TIFF, 10 and more for PNG.
    pub(super) kind: i64,
    /// Values in a sample; 1 by default.
    pub(super) colours: i64,
    /// Bits in a value; 8 by default.
    pub(super) bits: i64,
    /// Samples in a row; 1 by default.
    pub(super) columns: i64,
}

impl Predictor {
    /// No preparation.
    pub(super) const NONE: Predictor = Predictor { kind: 1, colours: 1, bits: 8, columns: 1 };
}

/// `data` with one filter undone.
pub(super) fn undo(filter: StreamFilter, data: &[u8]) -> Result<Vec<u8>> {
    match filter {
        StreamFilter::Flate(predictor) => undo_predictor(predictor, inflate(data)?),
        StreamFilter::Lzw(predictor, early) => undo_predictor(predictor, undo_lzw(data, early)?),
        StreamFilter::Ascii85 => undo_ascii85(data),
        StreamFilter::AsciiHex => Ok(undo_ascii_hex(data)),
        StreamFilter::RunLength => undo_run_length(data),
    }
}

/// The error for a stream that unpacks to too much.
fn bomb() -> super::error::PdfImportError {
    too_large(format!("a stream unpacks to more than {} MB", STREAM_BYTES >> 20))
}

/// Checks that `length` unpacked bytes are still within the limit.
fn check_length(length: usize) -> Result<()> {
    if length > STREAM_BYTES { Err(bomb()) } else { Ok(()) }
}

/// Undoes zlib packing. The checksum at the end is not asked for: some producers leave it out,
/// and the end of the packed data is told without it.
fn inflate(data: &[u8]) -> Result<Vec<u8>> {
    let damaged = || broken("packed data is damaged or cut short");
    let [method, flags, packed @ ..] = data else { return Err(damaged()) };
    if method & 15 != 8 || (u32::from(*method) << 8 | u32::from(*flags)) % 31 != 0 {
        return Err(damaged());
    }
    let mut inflater = Decompress::new(false);
    let mut plain = Vec::with_capacity(packed.len().saturating_mul(3).clamp(256, 1 << 20));
    loop {
        let (read, made) = (inflater.total_in(), plain.len());
        let rest = usize::try_from(read).ok().and_then(|at| packed.get(at..)).unwrap_or_default();
        let status = inflater
            .decompress_vec(rest, &mut plain, FlushDecompress::None)
            .map_err(|_| damaged())?;
        check_length(plain.len())?;
        if status == Status::StreamEnd {
            return Ok(plain);
        }
        if plain.len() == plain.capacity() {
            plain.reserve(plain.len().clamp(4096, 4 << 20));
        } else if inflater.total_in() == read && plain.len() == made {
            return Err(damaged());
        }
    }
}

/// Undoes LZW packing (ISO 32000-1 §7.4.4.2): codes of 9 to 12 bits, 256 clears, 257 ends.
fn undo_lzw(data: &[u8], early: bool) -> Result<Vec<u8>> {
    const CLEAR: usize = 256;
    const END: usize = 257;
    let mut plain: Vec<u8> = Vec::new();
    // Each code stands for a stretch of what is already unpacked.
    let mut table: Vec<(usize, usize)> = Vec::new();
    let mut previous: Option<(usize, usize)> = None;
    let mut bits = BitReader { data, at: 0 };
    loop {
        let width = match END + 1 + table.len() + usize::from(early) {
            0..=511 => 9,
            512..=1023 => 10,
            1024..=2047 => 11,
            _ => 12,
        };
        // Streams without the end mark are common; the data itself ends them.
        let code = match bits.take(width) {
            None | Some(END) => return Ok(plain),
            Some(code) => code,
        };
        let start = plain.len();
        match (code, previous) {
            (CLEAR, _) => {
                table.clear();
                previous = None;
                continue;
            }
            (0..CLEAR, _) => plain.push(code as u8),
            (_, Some((from, length))) if code - END - 1 == table.len() => {
                plain.extend_from_within(from..from + length);
                plain.extend_from_within(from..=from);
            }
            _ => {
                let stretch = table.get(code - END - 1);
                let (from, length) = *stretch.ok_or_else(|| broken("LZW data is damaged"))?;
                plain.extend_from_within(from..from + length);
            }
        }
        if let Some((from, length)) = previous
            && END + 1 + table.len() < 4096
        {
            table.push((from, length + 1));
        }
        previous = Some((start, plain.len() - start));
        check_length(plain.len())?;
    }
}

/// Bits read from the high end of each byte.
struct BitReader<'a> {
    /// The bytes.
    data: &'a [u8],
    /// How many bits are read.
    at: usize,
}

impl BitReader<'_> {
    /// The next `width` bits, at most 16; none when fewer are left.
    fn take(&mut self, width: usize) -> Option<usize> {
        let end = self.at + width;
        if end > self.data.len() * 8 {
            return None;
        }
        let bytes = &self.data[self.at / 8..end.div_ceil(8)];
        let window = bytes.iter().fold(0usize, |sum, byte| sum << 8 | usize::from(*byte));
        let after = bytes.len() * 8 - self.at % 8 - width;
        self.at = end;
        Some((window >> after) & ((1 << width) - 1))
    }
}

/// Undoes base-85 text (ISO 32000-1 §7.4.3).
fn undo_ascii85(data: &[u8]) -> Result<Vec<u8>> {
    let damaged = || broken("base-85 data is damaged");
    let data = data.strip_prefix(b"<~").unwrap_or(data);
    let mut plain = Vec::with_capacity(data.len() / 5 * 4);
    let mut group: Vec<u8> = Vec::with_capacity(5);
    for &byte in data {
        match byte {
            b'~' => break,
            b'z' if group.is_empty() => plain.extend_from_slice(&[0; 4]),
            b'!'..=b'u' => group.push(byte - b'!'),
            _ if is_space(byte) => {}
            _ => return Err(damaged()),
        }
        if group.len() == 5 {
            plain.extend_from_slice(&base85_value(&group).ok_or_else(damaged)?);
            group.clear();
        }
        check_length(plain.len())?;
    }
    if group.len() > 1 {
        let made = group.len() - 1;
        group.resize(5, 84);
        plain.extend_from_slice(&base85_value(&group).ok_or_else(damaged)?[..made]);
    }
    Ok(plain)
}

/// The four bytes that five base-85 digits stand for.
fn base85_value(digits: &[u8]) -> Option<[u8; 4]> {
    let value = digits.iter().fold(0u64, |sum, digit| sum * 85 + u64::from(*digit));
    u32::try_from(value).ok().map(u32::to_be_bytes)
}

/// Undoes hexadecimal text (ISO 32000-1 §7.4.2).
fn undo_ascii_hex(data: &[u8]) -> Vec<u8> {
    let digits = data.iter().copied().take_while(|byte| *byte != b'>');
    let digits: Vec<u8> = digits.filter(u8::is_ascii_hexdigit).map(hex_digit).collect();
    digits.chunks(2).map(|pair| pair[0] << 4 | pair.get(1).copied().unwrap_or(0)).collect()
}

/// Undoes run-length packing (ISO 32000-1 §7.4.5).
fn undo_run_length(data: &[u8]) -> Result<Vec<u8>> {
    let mut plain = Vec::new();
    let mut rest = data;
    while let [length, after @ ..] = rest {
        match usize::from(*length) {
            128 => break,
            length @ 0..128 => {
                let run =
                    after.get(..=length).ok_or_else(|| broken("run-length data is cut short"))?;
                plain.extend_from_slice(run);
                rest = &after[run.len()..];
            }
            length => {
                let [byte, after @ ..] = after else { break };
                plain.resize(plain.len() + 257 - length, *byte);
                rest = after;
            }
        }
        check_length(plain.len())?;
    }
    Ok(plain)
}

/// Undoes the preparation of rows.
fn undo_predictor(predictor: Predictor, data: Vec<u8>) -> Result<Vec<u8>> {
    if predictor.kind < 2 {
        return Ok(data);
    }
    let within = |value: i64, most: i64| {
        usize::try_from(value).ok().filter(|v| (1..=most).contains(&(*v as i64)))
    };
    let sizes = (
        within(predictor.colours, 32),
        within(predictor.bits, 16),
        within(predictor.columns, 1 << 24),
    );
    let (Some(colours), Some(bits), Some(columns)) = sizes else {
        return Err(broken("a stream's rows have no possible size"));
    };
    let sample = (colours * bits).div_ceil(8);
    let row = (colours * bits * columns).div_ceil(8);
    if predictor.kind == 2 {
        return if bits == 8 {
            Ok(undo_tiff(data, row, sample))
        } else {
            Err(broken("a stream's rows are prepared in an unknown way"))
        };
    }
    undo_png(&data, row, sample)
}

/// Undoes the TIFF preparation of rows of bytes: each byte is the difference to the one a sample
/// before.
fn undo_tiff(mut data: Vec<u8>, row: usize, sample: usize) -> Vec<u8> {
    for line in data.chunks_mut(row) {
        for at in sample..line.len() {
            line[at] = line[at].wrapping_add(line[at - sample]);
        }
    }
    data
}

/// Undoes the PNG preparation: each row starts with the number of the way it was prepared.
fn undo_png(data: &[u8], row: usize, sample: usize) -> Result<Vec<u8>> {
    let mut plain = Vec::with_capacity(data.len());
    let mut above = vec![0u8; row];
    for line in data.chunks(row + 1) {
        let [way, differences @ ..] = line else { break };
        let mut current = differences.to_vec();
        for at in 0..current.len() {
            let left = if at < sample { 0 } else { current[at - sample] };
            let corner = if at < sample { 0 } else { above[at - sample] };
            let guess = match way {
                0 => 0,
                1 => left,
                2 => above[at],
                3 => ((u16::from(left) + u16::from(above[at])) / 2) as u8,
                4 => paeth(left, above[at], corner),
                _ => return Err(broken("a stream's rows are prepared in an unknown way")),
            };
            current[at] = current[at].wrapping_add(guess);
        }
        plain.extend_from_slice(&current);
        above[..current.len()].copy_from_slice(&current);
    }
    Ok(plain)
}

/// Of three neighbours the one nearest to left + above − corner (PNG specification §9.4).
fn paeth(left: u8, above: u8, corner: u8) -> u8 {
    let (a, b, c) = (i16::from(left), i16::from(above), i16::from(corner));
    let distance = |value: i16| (a + b - c - value).abs();
    if distance(a) <= distance(b) && distance(a) <= distance(c) {
        left
    } else if distance(b) <= distance(c) {
        above
    } else {
        corner
    }
}

#[cfg(test)]
mod tests {
    use std::io::Write;

    use super::*;

    #[test]
    fn text_filters_give_back_their_example_data() {
        assert_eq!(undo(StreamFilter::AsciiHex, b"48 65 6C6c6F7>x").expect("hex"), b"Hellop");
        // The digits that Python's base64.a85encode gives for the word.
        assert_eq!(undo(StreamFilter::Ascii85, b"87cUR DZ~>").expect("base 85"), b"Hello");
        assert_eq!(undo(StreamFilter::Ascii85, b"z!!~>").expect("base 85"), [0; 5]);
        assert!(undo(StreamFilter::Ascii85, b"uuuuu~>").is_err());
        assert_eq!(undo(StreamFilter::RunLength, b"\x02abc\xfex\x80y").expect("runs"), b"abcxxx");
    }

    #[test]
    fn lzw_gives_back_the_standards_example() {
        // ISO 32000-1 §7.4.4.2, example 2.
        let packed = [0x80, 0x0B, 0x60, 0x50, 0x22, 0x0C, 0x0C, 0x85, 0x01];
        let plain = undo(StreamFilter::Lzw(Predictor::NONE, true), &packed).expect("LZW");
        assert_eq!(plain, [45, 45, 45, 45, 45, 65, 45, 45, 45, 66]);
    }

    #[test]
    fn lzw_gives_back_what_another_packer_packed() {
        use weezl::{BitOrder, encode::Encoder};

        // Long enough to fill the table of codes several times.
        let plain: Vec<u8> = (0..200_000u64).map(|at| (at * at / 7 % 41) as u8 * 5).collect();
        let early = Encoder::with_tiff_size_switch(BitOrder::Msb, 8).encode(&plain);
        let late = Encoder::new(BitOrder::Msb, 8).encode(&plain);
        for (packed, is_early) in [(early, true), (late, false)] {
            let packed = packed.expect("packed");
            let filter = StreamFilter::Lzw(Predictor::NONE, is_early);
            assert!(undo(filter, &packed).expect("LZW") == plain, "early change: {is_early}");
            // What another mode packed, or only a part, never ends in a panic.
            let _ = undo(StreamFilter::Lzw(Predictor::NONE, !is_early), &packed);
            let _ = undo(filter, &packed[1..packed.len() / 2]);
        }
    }

    #[test]
    fn png_rows_are_undone() {
        let rows = [0, 1, 2, 3, 1, 1, 1, 1, 2, 1, 1, 1, 3, 2, 2, 2, 4, 1, 1, 1];
        let plain = undo_png(&rows, 3, 1).expect("rows");
        assert_eq!(plain, [1, 2, 3, 1, 2, 3, 2, 3, 4, 3, 5, 6, 4, 6, 7]);
    }

    #[test]
    fn damaged_and_exploding_data_is_refused() {
        let mut packer = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
        let zeros = vec![0u8; 1 << 20];
        for _ in 0..=STREAM_BYTES >> 20 {
            packer.write_all(&zeros).expect("packed");
        }
        let bomb = packer.finish().expect("packed");
        let error = undo(StreamFilter::Flate(Predictor::NONE), &bomb).expect_err("too much");
        assert!(error.to_string().contains("unpacks to more than 64 MB"), "{error}");
        for cut in [0, 1, 2, 3, 100, bomb.len() - 200] {
            assert!(
                undo(StreamFilter::Flate(Predictor::NONE), &bomb[..cut]).is_err(),
                "cut at {cut}"
            );
        }
    }
}
