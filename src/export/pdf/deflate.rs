//! Deflate streams (the PDF filter FlateDecode).
//!
//! In: bytes. Out: the same in the zlib format. The compressor's tables are kept a thread, because
//! making them costs more than compressing a page; they are reset each time and change no byte.

use std::cell::RefCell;

use flate2::{Compress, Compression, FlushCompress, Status};

/// The level at which pages stop getting notably smaller.
const LEVEL: u32 = 5;

/// The level for what says much the same over and over, such as object streams: 6 in 10 of the time,
/// and a tenth more bytes.
const QUICK_LEVEL: u32 = 2;

thread_local! {
    /// This thread's compressor.
    static DEFLATER: RefCell<Compress> =
        RefCell::new(Compress::new(Compression::new(LEVEL), true));

    /// This thread's quick compressor.
    static QUICK_DEFLATER: RefCell<Compress> =
        RefCell::new(Compress::new(Compression::new(QUICK_LEVEL), true));
}

/// Compresses data.
pub(super) fn deflate(data: &[u8]) -> Vec<u8> {
    DEFLATER.with_borrow_mut(|deflater| deflate_with(deflater, data))
}

/// Compresses data that says much the same over and over.
pub(super) fn deflate_quickly(data: &[u8]) -> Vec<u8> {
    QUICK_DEFLATER.with_borrow_mut(|deflater| deflate_with(deflater, data))
}

/// Compresses data by a compressor.
fn deflate_with(deflater: &mut Compress, data: &[u8]) -> Vec<u8> {
    deflater.reset();
    let mut out = Vec::with_capacity(data.len() / 2 + 64);
    add(deflater, data, FlushCompress::Finish, &mut out);
    out
}

/// Compresses data that comes in pieces and is never held whole.
pub(super) fn deflate_pieces(pieces: impl Iterator<Item = Vec<u8>>) -> Vec<u8> {
    DEFLATER.with_borrow_mut(|deflater| {
        deflater.reset();
        let mut out = Vec::new();
        pieces.for_each(|piece| add(deflater, &piece, FlushCompress::None, &mut out));
        add(deflater, &[], FlushCompress::Finish, &mut out);
        out
    })
}

/// Compresses data behind what went before.
fn add(deflater: &mut Compress, data: &[u8], flush: FlushCompress, out: &mut Vec<u8>) {
    let start = deflater.total_in();
    loop {
        let taken = ((deflater.total_in() - start) as usize).min(data.len());
        if flush == FlushCompress::None && taken == data.len() {
            return;
        }
        match deflater.compress_vec(&data[taken..], out, flush) {
            Ok(Status::StreamEnd) => return,
            // Out of room: deflate has no other way to fail on whole input.
            Ok(_) | Err(_) => out.reserve(out.len() + 1024),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Read;

    #[test]
    fn what_goes_in_comes_out_whatever_went_before() {
        let noise: Vec<u8> =
            (0..300_000u32).map(|n| (n.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
        for data in [&b""[..], b"x", b"label label label", &noise] {
            let once = deflate(data);
            let _ = deflate(&noise[..5000]);
            assert_eq!(once, deflate(data));
            let mut back = Vec::new();
            flate2::read::ZlibDecoder::new(&once[..]).read_to_end(&mut back).unwrap();
            assert_eq!(back, data);
            let mut back = Vec::new();
            let packed = deflate_quickly(data);
            flate2::read::ZlibDecoder::new(&packed[..]).read_to_end(&mut back).unwrap();
            assert_eq!(back, data);
            let pieces = data.chunks(777).map(<[u8]>::to_vec);
            let mut back = Vec::new();
            let packed = deflate_pieces(pieces);
            flate2::read::ZlibDecoder::new(&packed[..]).read_to_end(&mut back).unwrap();
            assert_eq!(back, data);
        }
    }
}
