//! Bytes of any usual encoding to text, a piece at a time.
//!
//! In: a reader of bytes. Out: what encoding they are in ([`detect_encoding`], one pass over the
//! whole), and their text in pieces ([`Decoded`]), without a byte order mark. Bytes that belong to
//! no character are never replaced: they end the text. Not here: lines and cells (`records`).

use std::io::{self, Read};

use encoding_rs::{Decoder, DecoderResult, Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// Bytes read at a time.
const PIECE: usize = 64 << 10;

/// What the bytes of a file say of their encoding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Detected {
    /// This, without doubt.
    Known(&'static Encoding),
    /// Windows-1252, because it is nothing else.
    Guessed,
}

/// Finds out a file's encoding: by its byte order mark, by the zero bytes of UTF-16, by being good
/// UTF-8; else it is Windows-1252, unless most of its accents are UTF-8 and only some bytes are not:
/// those are found when it is read.
///
/// The zero bytes come before UTF-8, because ASCII in UTF-16 is good UTF-8 too.
///
/// # Errors
/// When the file cannot be read.
pub(crate) fn detect_encoding(mut input: impl Read) -> io::Result<Detected> {
    let mut evidence = Utf8Evidence::default();
    let mut bytes = vec![0; PIECE];
    let mut first = true;
    loop {
        let count = read_full(&mut input, &mut bytes)?;
        let piece = &bytes[..count];
        if first {
            if let Some((encoding, _)) = Encoding::for_bom(piece) {
                return Ok(Detected::Known(encoding));
            }
            if let Some(encoding) = find_zeros(piece) {
                return Ok(Detected::Known(encoding));
            }
            first = false;
        }
        evidence.take(piece, count < PIECE);
        if count < PIECE {
            break;
        }
    }
    Ok(evidence.decide())
}

/// UTF-16 by its zero bytes: those of ASCII stand all on odd or all on even places.
pub(super) fn find_zeros(piece: &[u8]) -> Option<&'static Encoding> {
    let zeros = |from: usize| piece.iter().skip(from).step_by(2).filter(|byte| **byte == 0).count();
    let (even, odd) = (zeros(0), zeros(1));
    let some = (piece.len() / 40).max(1);
    if odd >= some && even * 20 <= odd {
        Some(UTF_16LE)
    } else if even >= some && odd * 20 <= even {
        Some(UTF_16BE)
    } else {
        None
    }
}

/// How far a file is UTF-8.
#[derive(Debug, Default)]
struct Utf8Evidence {
    /// Characters of more than one byte.
    wide: usize,
    /// Bytes that belong to no character.
    bad: usize,
    /// The start of a character whose end is yet to come.
    rest: Vec<u8>,
}

impl Utf8Evidence {
    /// Takes the next bytes; `last` says that none follow.
    fn take(&mut self, piece: &[u8], last: bool) {
        let joined: Vec<u8>;
        let mut bytes = piece;
        if !self.rest.is_empty() {
            joined = [&*self.rest, piece].concat();
            bytes = &joined;
        }
        let mut rest = Vec::new();
        while !bytes.is_empty() {
            let (good, after) = match std::str::from_utf8(bytes) {
                Ok(good) => (good, &[][..]),
                Err(error) => {
                    let (good, after) = bytes.split_at(error.valid_up_to());
                    let skipped = match error.error_len() {
                        None if !last => {
                            rest = after.to_vec();
                            after.len()
                        }
                        length => length.unwrap_or(after.len()),
                    };
                    (std::str::from_utf8(good).unwrap_or_default(), &after[skipped..])
                }
            };
            self.wide += good.chars().filter(|c| !c.is_ascii()).count();
            if good.len() + after.len() < bytes.len() && rest.is_empty() {
                self.bad += 1;
            }
            bytes = after;
        }
        self.rest = rest;
    }

    /// What the evidence says.
    fn decide(&self) -> Detected {
        match self.bad {
            bad if bad == 0 || self.wide > bad => Detected::Known(UTF_8),
            _ => Detected::Guessed,
        }
    }
}

/// How many lines end in a text; a CR alone ends one too.
pub(super) fn count_lines(text: &str) -> usize {
    let bytes = text.as_bytes();
    let ends = bytes.iter().enumerate().filter(|(at, byte)| match byte {
        b'\n' => true,
        b'\r' => bytes.get(at + 1) != Some(&b'\n'),
        _ => false,
    });
    ends.count()
}

/// Reads until the buffer is full or the input ends.
fn read_full(input: &mut impl Read, bytes: &mut [u8]) -> io::Result<usize> {
    let mut count = 0;
    while count < bytes.len() {
        match input.read(&mut bytes[count..]) {
            Ok(0) => break,
            Ok(more) => count += more,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    Ok(count)
}

/// Text decoded a piece at a time.
pub(crate) struct Decoded<R> {
    /// Where the bytes come from.
    input: R,
    /// Turns bytes into text, and keeps a character that is cut between two pieces.
    decoder: Decoder,
    /// Room for bytes.
    bytes: Vec<u8>,
    /// Room for text.
    text: String,
    /// Whether the end was reached.
    ended: bool,
}

/// The result of reading a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum PieceEnd {
    /// More text was added.
    More,
    /// No more text.
    End,
    /// The bytes after the text so far belong to no character.
    Malformed,
}

impl<R: Read> Decoded<R> {
    /// Text in an encoding. A byte order mark is taken off; it says more surely what the encoding is
    /// than whoever names one.
    pub(crate) fn new(input: R, encoding: &'static Encoding) -> Decoded<R> {
        Decoded {
            input,
            decoder: encoding.new_decoder(),
            bytes: vec![0; PIECE],
            text: String::with_capacity(PIECE * 3 + 16),
            ended: false,
        }
    }

    /// Appends the next piece of text.
    ///
    /// # Errors
    /// When the input cannot be read.
    pub(super) fn read_piece(&mut self, into: &mut String) -> io::Result<PieceEnd> {
        if self.ended {
            return Ok(PieceEnd::End);
        }
        let count = read_full(&mut self.input, &mut self.bytes)?;
        self.ended = count < self.bytes.len();
        let mut bytes = &self.bytes[..count];
        loop {
            self.text.clear();
            let (result, read) = self.decoder.decode_to_string_without_replacement(
                bytes,
                &mut self.text,
                self.ended,
            );
            into.push_str(&self.text);
            bytes = &bytes[read..];
            match result {
                DecoderResult::InputEmpty => return Ok(PieceEnd::More),
                DecoderResult::OutputFull => {}
                DecoderResult::Malformed(..) => {
                    self.ended = true;
                    return Ok(PieceEnd::Malformed);
                }
            }
        }
    }
}

/// The encoding of a map's word.
pub(crate) fn find_encoding(name: &str) -> &'static Encoding {
    Encoding::for_label(name.as_bytes()).unwrap_or(WINDOWS_1252)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn detect(bytes: &[u8]) -> Detected {
        detect_encoding(bytes).unwrap()
    }
    fn utf16(text: &str, bytes: fn(u16) -> [u8; 2]) -> Vec<u8> {
        text.encode_utf16().flat_map(bytes).collect()
    }

    #[test]
    fn encodings_are_found_out() {
        let text = "Nr;Straße;Preis\r\n1;Königsweg 5;“2,50 €”\r\n";
        assert_eq!(detect(text.as_bytes()), Detected::Known(UTF_8));
        assert_eq!(detect(format!("\u{feff}{text}").as_bytes()), Detected::Known(UTF_8));
        assert_eq!(detect(&utf16(text, u16::to_le_bytes)), Detected::Known(UTF_16LE));
        assert_eq!(detect(&utf16(text, u16::to_be_bytes)), Detected::Known(UTF_16BE));
        let greek = "Αριθμός;Οδός\r\n1;Αλκυόνης 14\r\n";
        assert_eq!(detect(&utf16(greek, u16::to_le_bytes)), Detected::Known(UTF_16LE));
        let bom = utf16(&format!("\u{feff}{text}"), u16::to_be_bytes);
        assert_eq!(detect(&bom), Detected::Known(UTF_16BE));
        let (bytes, _, _) = WINDOWS_1252.encode(text);
        assert_eq!(detect(&bytes), Detected::Guessed);
        assert_eq!(detect(b""), Detected::Known(UTF_8));
        let broken = b"a\nb \xC3\xBC \xC3\xB6\n\xFF";
        assert_eq!(detect(broken), Detected::Known(UTF_8));
    }

    #[test]
    fn characters_across_pieces_are_one() {
        let text = "ü€𝄞".repeat(PIECE / 3);
        assert_eq!(detect(text.as_bytes()), Detected::Known(UTF_8));
        let mut decoded = Decoded::new(text.as_bytes(), UTF_8);
        let mut back = String::new();
        while decoded.read_piece(&mut back).unwrap() == PieceEnd::More {}
        assert!(back == text);
    }

    #[test]
    fn lines_end_at_each_kind_of_end() {
        assert_eq!(count_lines("a\nb\r\nc\rd"), 3);
        assert_eq!(count_lines("\r"), 1);
    }
}
