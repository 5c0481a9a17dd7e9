//! Text into the shortest sequence of QR Code segments, and their bits.
//!
//! In: UTF-8 text and the class of versions, because the class decides how long a segment's head
//! is. Out: segments, their length in bits, and the padded data codewords. Not here: choosing a
//! version, error correction.
//!
//! Modes are numeric, alphanumeric and byte. Byte mode holds UTF-8, and a text with characters
//! outside ASCII begins with the ECI designator that says so; kanji mode would leave the meaning
//! of its bytes to the decoder's guess and is never used.

/// The ECI designator of UTF-8 (AIM ECI register).
const ECI_UTF8: u32 = 26;

/// Bits of the ECI head: mode indicator and a designator of one byte (7.4.2).
const ECI_BITS: u64 = 4 + 8;

/// Bits of a mode indicator (7.4.1, Table 2).
const MODE_BITS: u64 = 4;

/// The pad codewords, in turn (7.4.10).
const PADS: [u8; 2] = [0xEC, 0x11];

/// How characters are turned into bits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mode {
    /// Digits, three in ten bits (7.4.3).
    Numeric,
    /// Digits, capitals and nine signs, two in eleven bits (7.4.4).
    Alphanumeric,
    /// Any bytes, eight bits each (7.4.5).
    Byte,
}

/// All modes, in the order of tables of costs.
const MODES: [Mode; 3] = [Mode::Numeric, Mode::Alphanumeric, Mode::Byte];

/// A stretch of text in one mode.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct QrSegment {
    /// How its characters become bits.
    pub(super) mode: Mode,
    /// The first byte of the text.
    pub(super) start: usize,
    /// One past the last byte of the text.
    pub(super) end: usize,
}

/// The shortest segments of a text for one class of versions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Segmentation {
    /// The class of versions, 0 to 2.
    class: usize,
    /// Whether the ECI head for UTF-8 comes first.
    eci: bool,
    /// The segments in order.
    pub(super) segments: Vec<QrSegment>,
    /// Bits of everything, without terminator.
    pub(super) bits: u64,
}

/// Least costs of a text up to some place, one for each mode in which its last byte may stand.
/// They are counted in sixths of a bit, so that ten bits for three digits, eleven for two
/// characters and eight for a byte are all whole (20, 33 and 48); a segment's end rounds up.
type Costs = [u64; 3];

/// Sixths in a bit.
const SIXTHS: u64 = 6;

/// Larger than any real cost, and safe to add to.
const NEVER: u64 = u64::MAX / 4;

impl Mode {
    /// The mode indicator (7.4.1, Table 2).
    fn indicator(self) -> u32 {
        match self {
            Mode::Numeric => 0b0001,
            Mode::Alphanumeric => 0b0010,
            Mode::Byte => 0b0100,
        }
    }

    /// Bits of the character count in a class of versions (7.4.1, Table 3).
    fn count_bits(self, class: usize) -> u64 {
        match self {
            Mode::Numeric => [10, 12, 14][class],
            Mode::Alphanumeric => [9, 11, 13][class],
            Mode::Byte => [8, 16, 16][class],
        }
    }

    /// What one byte of text costs in sixths of a bit; `None` where the mode cannot hold it.
    fn cost(self, byte: u8) -> Option<u64> {
        match self {
            Mode::Numeric => byte.is_ascii_digit().then_some(20),
            Mode::Alphanumeric => alphanumeric_value(byte).is_some().then_some(33),
            Mode::Byte => Some(48),
        }
    }
}

/// The value of a character in alphanumeric mode (7.4.4, Table 5).
fn alphanumeric_value(byte: u8) -> Option<u32> {
    let value = match byte {
        b'0'..=b'9' => byte - b'0',
        b'A'..=b'Z' => byte - b'A' + 10,
        b' ' => 36,
        b'$' => 37,
        b'%' => 38,
        b'*' => 39,
        b'+' => 40,
        b'-' => 41,
        b'.' => 42,
        b'/' => 43,
        b':' => 44,
        _ => return None,
    };
    Some(u32::from(value))
}

/// What a byte costs in each mode, [`NEVER`] where the mode cannot hold it.
fn byte_costs(byte: u8) -> Costs {
    MODES.map(|mode| mode.cost(byte).unwrap_or(NEVER))
}

/// What opening a segment costs in each mode, in sixths of a bit.
fn head_costs(class: usize) -> Costs {
    MODES.map(|mode| (MODE_BITS + mode.count_bits(class)) * SIXTHS)
}

/// Sixths rounded up to whole bits.
fn round_up(sixths: u64) -> u64 {
    sixths.next_multiple_of(SIXTHS)
}

/// Whole bits of the cheapest of these costs.
fn least_bits(costs: Costs) -> u64 {
    costs.into_iter().min().unwrap_or(0).div_ceil(SIXTHS)
}

/// The costs one byte later, and for each mode the mode of the byte before; `None` is the start
/// of the text. Among equals a segment is continued rather than a new one opened.
fn advance(costs: Option<Costs>, heads: Costs, byte: u8) -> (Costs, [u8; 3]) {
    let own = byte_costs(byte);
    let Some(costs) = costs else {
        // The first byte opens its segment in whatever mode it is.
        return ([0, 1, 2].map(|mode: usize| (heads[mode] + own[mode]).min(NEVER)), [0, 1, 2]);
    };
    // The cheapest mode to come from is the same for every mode that opens here.
    let ended = costs.map(round_up);
    let cheapest = cheapest_mode(ended);
    let mut next = [NEVER; 3];
    let mut from = [0; 3];
    for mode in 0..3 {
        let opened = ended[cheapest] + heads[mode];
        let (cost, source) =
            if costs[mode] <= opened { (costs[mode], mode) } else { (opened, cheapest) };
        next[mode] = (cost + own[mode]).min(NEVER);
        from[mode] = source as u8;
    }
    (next, from)
}

/// The mode with the least cost, the first among equals.
fn cheapest_mode(costs: Costs) -> usize {
    (0..3).min_by_key(|&mode| costs[mode]).unwrap_or(0)
}

/// Finds the segments of a text that need the fewest bits in a class of versions.
pub(super) fn segment_text(text: &str, class: usize) -> Segmentation {
    let heads = head_costs(class);
    let mut costs = None;
    let mut trace = Vec::with_capacity(text.len());
    for byte in text.bytes() {
        let (next, from) = advance(costs, heads, byte);
        costs = Some(next);
        trace.push(from);
    }
    let eci = !text.is_ascii();
    let bits = costs.map_or(0, least_bits) + if eci { ECI_BITS } else { 0 };
    let mode = costs.map_or(0, cheapest_mode);
    Segmentation { class, eci, segments: trace_segments(mode, &trace), bits }
}

/// Follows the cheapest way back from the mode of the last byte, and joins bytes of one mode.
fn trace_segments(last: usize, trace: &[[u8; 3]]) -> Vec<QrSegment> {
    let mut mode = last;
    let mut segments: Vec<QrSegment> = Vec::new();
    for (at, from) in trace.iter().enumerate().rev() {
        match segments.last_mut() {
            Some(last) if last.mode == MODES[mode] => last.start = at,
            _ => segments.push(QrSegment { mode: MODES[mode], start: at, end: at + 1 }),
        }
        mode = usize::from(from[mode]);
    }
    segments.reverse();
    segments
}

/// The bits of a whole text in a class of versions, and how many of its characters fit into
/// `capacity` bits, counted from the front. Needs no memory however long the text is.
pub(super) fn measure_text(text: &str, class: usize, capacity: u64) -> (u64, usize) {
    let heads = head_costs(class);
    let mut costs = None;
    let (mut bits, mut eci, mut fitting) = (0, 0, 0);
    for (index, character) in text.chars().enumerate() {
        if !character.is_ascii() {
            eci = ECI_BITS;
        }
        for &byte in character.encode_utf8(&mut [0; 4]).as_bytes() {
            costs = Some(advance(costs, heads, byte).0);
        }
        bits = costs.map_or(0, least_bits) + eci;
        if bits <= capacity {
            fitting = index + 1;
        }
    }
    (bits, fitting)
}

/// Collects bits into codewords.
struct BitWriter {
    /// The finished codewords.
    codewords: Vec<u8>,
    /// Bits that do not fill a codeword yet, the latest lowest.
    pending: u64,
    /// How many those are, at most 7 between two calls.
    count: u32,
}

impl BitWriter {
    /// Appends the lowest `count` bits of a value, the highest of them first; at most 32.
    fn push(&mut self, value: u32, count: u32) {
        self.pending = self.pending << count | u64::from(value);
        self.count += count;
        while self.count >= 8 {
            self.count -= 8;
            self.codewords.push((self.pending >> self.count) as u8);
        }
    }

    /// Ends the stream: the terminator as far as there is room, zero bits up to a codeword, pad
    /// codewords up to `codewords` (7.4.9, 7.4.10).
    fn finish(mut self, codewords: usize) -> Vec<u8> {
        let room = 8 * (codewords - self.codewords.len()) - self.count as usize;
        self.push(0, room.min(4) as u32);
        if self.count > 0 {
            self.push(0, 8 - self.count);
        }
        let pads = codewords - self.codewords.len();
        self.codewords.extend(PADS.iter().cycle().take(pads));
        self.codewords
    }
}

/// The data codewords of a segmented text; its bits must fit into `codewords`.
pub(super) fn write_codewords(text: &str, plan: &Segmentation, codewords: usize) -> Vec<u8> {
    let mut out = BitWriter { codewords: Vec::with_capacity(codewords), pending: 0, count: 0 };
    if plan.eci {
        out.push(0b0111, 4);
        out.push(ECI_UTF8, 8);
    }
    for segment in &plan.segments {
        let bytes = &text.as_bytes()[segment.start..segment.end];
        out.push(segment.mode.indicator(), MODE_BITS as u32);
        out.push(bytes.len() as u32, segment.mode.count_bits(plan.class) as u32);
        write_characters(segment.mode, bytes, &mut out);
    }
    out.finish(codewords)
}

/// Writes the characters of one segment.
fn write_characters(mode: Mode, bytes: &[u8], out: &mut BitWriter) {
    match mode {
        Mode::Numeric => {
            for group in bytes.chunks(3) {
                let value = group.iter().fold(0, |sum, byte| sum * 10 + u32::from(byte - b'0'));
                out.push(value, [0, 4, 7, 10][group.len()]);
            }
        }
        Mode::Alphanumeric => {
            let value = |byte: &u8| alphanumeric_value(*byte).unwrap_or(0);
            for group in bytes.chunks(2) {
                let joined = group.iter().fold(0, |sum, byte| sum * 45 + value(byte));
                out.push(joined, [0, 6, 11][group.len()]);
            }
        }
        Mode::Byte => bytes.iter().for_each(|&byte| out.push(u32::from(byte), 8)),
    }
}
