//! PWG Raster read back, to print some of its pages, in other pixels or turned.
//!
//! In: a file of one bit a dot, as `pwg` writes it. Out: [`PwgFile`], its pages taken apart, and a file
//! of what is to be printed. The dots stay the same dots: nothing is scaled. Not here: files of other
//! programs in colours or grey.

use super::{AT, BLACK, HEADER_BYTES, HEADER_WORD, PWG_START, SGRAY, pack_rows};
use crate::export::png::Bitmap;
use crate::geom::{MM_PER_INCH, Mm, Size};
use crate::sides::TurnEdge;

/// The most dots of a side. Ours: a metre at 600 dots an inch has 23,622.
const MOST_DOTS: u32 = 30_000;

/// The most dots of a page. Ours: A3 at 600 dots an inch has 70 million.
const MOST_PAGE_DOTS: u64 = 80_000_000;

/// The most bytes of all pages unpacked. Ours: a quarter of a gigabyte are 2,600 labels of 4×6 in at
/// 203 dots an inch, or 240 sheets of A4 at 300; more goes in several jobs.
const MOST_UNPACKED: usize = 256 << 20;

/// A file of pages in dots.
#[derive(Clone, Debug)]
pub struct PwgFile {
    /// The whole file, its first word included.
    bytes: Vec<u8>,
    /// Its pages in order; at least one.
    pages: Vec<PwgPage>,
}

/// A page of a file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PwgPage {
    /// Where its header begins.
    start: usize,
    /// Where its rows end.
    end: usize,
    /// Dots across.
    width: u32,
    /// Dots down.
    height: u32,
    /// Dots an inch.
    pub dpi: u32,
    /// How large the paper is, as its header says in points.
    pub paper: Size,
    /// The edge that paper is turned over for the second of two pages.
    pub turn: Option<TurnEdge>,
}

/// The pixels that a printer takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PwgPixels {
    /// One bit a dot, `black_1`: as they are.
    Bits,
    /// A byte a dot, `sgray_8`: all black or all white.
    Gray,
}

/// Which way pages lie on the paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PwgLay {
    /// As they are.
    Upright,
    /// Turned to the right, so that what was across lies along the feed.
    Turned,
}

/// Which ways the backs of sheets are turned round, because a printer feeds them otherwise than fronts
/// (PWG 5102.4, `PwgRasterDocumentSheetBack` and Table 9).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PwgBacks {
    /// Neither: they are sent as they are seen.
    AsSeen,
    /// Across the feed.
    Across,
    /// Along the feed.
    Along,
    /// Both: they stand on their heads.
    HeadDown,
}

/// How pages are sent to a printer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PwgSending {
    /// Their pixels.
    pub pixels: PwgPixels,
    /// How they lie.
    pub lay: PwgLay,
    /// How their backs lie.
    pub backs: PwgBacks,
}

impl PwgFile {
    /// Reads a file.
    ///
    /// # Errors
    /// When it is none, or not of one bit a dot, with what is wrong: lower case, no full stop.
    pub fn read(bytes: Vec<u8>) -> Result<PwgFile, String> {
        if !bytes.starts_with(&PWG_START) {
            return Err("it is no PWG Raster file".into());
        }
        let (mut pages, mut at, mut unpacked) = (Vec::new(), PWG_START.len(), 0_usize);
        while at < bytes.len() {
            let mut page = read_header(&bytes, at)?;
            unpacked = unpacked.saturating_add(page.stride() * page.height as usize);
            if unpacked > MOST_UNPACKED {
                return Err(format!(
                    "its pages take more than {} MB unpacked",
                    MOST_UNPACKED >> 20
                ));
            }
            page.end = find_end(&bytes, &page)
                .ok_or_else(|| format!("page {} is cut off or damaged", pages.len() + 1))?;
            at = page.end;
            pages.push(page);
        }
        match pages.is_empty() {
            true => Err("it has no pages".into()),
            false => Ok(PwgFile { bytes, pages }),
        }
    }

    /// Its pages in order; at least one.
    #[must_use]
    pub fn pages(&self) -> &[PwgPage] {
        &self.pages
    }

    /// A page's dots; none when there is no such page.
    #[must_use]
    pub fn dots(&self, index: usize) -> Option<Bitmap> {
        let page = self.pages.get(index)?;
        let mut rows = Vec::with_capacity(page.stride() * page.height as usize);
        unpack(&self.bytes[page.start + HEADER_BYTES..page.end], page, &mut |row, count| {
            (0..count).for_each(|_| rows.extend_from_slice(row));
        })?;
        Bitmap::from_rows(page.width, page.height, rows)
    }

    /// A file of some of its pages, counted from 0, in the order in which they are named. Where paper is
    /// turned over, every second of them is a back.
    #[must_use]
    pub fn write(&self, pages: &[usize], sending: PwgSending) -> Vec<u8> {
        let mut out = PWG_START.to_vec();
        for (place, &index) in pages.iter().enumerate() {
            let Some(page) = self.pages.get(index) else { continue };
            let is_back = page.turn.is_some() && place % 2 == 1;
            let backs = if is_back { sending.backs } else { PwgBacks::AsSeen };
            match (sending.pixels, sending.lay, backs) {
                (PwgPixels::Bits, PwgLay::Upright, PwgBacks::AsSeen) => {
                    out.extend(&self.bytes[page.start..page.end]);
                }
                _ => self.write_otherwise(index, PwgSending { backs, ..sending }, &mut out),
            }
        }
        out
    }

    /// Adds a page in other pixels, or turned.
    fn write_otherwise(&self, index: usize, sending: PwgSending, out: &mut Vec<u8>) {
        let (Some(page), Some(dots)) = (self.pages.get(index), self.dots(index)) else { return };
        let PwgSending { pixels, lay, backs } = sending;
        let turned = match lay {
            PwgLay::Upright => dots,
            PwgLay::Turned => turn_right(&dots),
        };
        let turned = turn_round(turned, backs);
        let mut header = self.bytes[page.start..page.start + HEADER_BYTES].to_vec();
        let field = |header: &[u8], at: usize| read_u32(header, at).unwrap_or_default();
        let mut put = |at: usize, value: u32| {
            header[at..at + 4].copy_from_slice(&value.to_be_bytes());
        };
        put(AT.width, turned.width());
        put(AT.height, turned.height());
        put(AT.cross_feed, direction(matches!(backs, PwgBacks::Across | PwgBacks::HeadDown)));
        put(AT.feed, direction(matches!(backs, PwgBacks::Along | PwgBacks::HeadDown)));
        if lay == PwgLay::Turned {
            let old = &self.bytes[page.start..];
            put(AT.paper, field(old, AT.paper + 4));
            put(AT.paper + 4, field(old, AT.paper));
            // Turned paper is turned over the other edge to be the same.
            put(AT.tumble, u32::from(page.turn == Some(TurnEdge::Long)));
        }
        let (rows, stride) = match pixels {
            PwgPixels::Bits => (turned.rows().to_vec(), turned.stride()),
            PwgPixels::Gray => (to_gray(&turned), turned.width() as usize),
        };
        if pixels == PwgPixels::Gray {
            put(AT.bits_per_color, 8);
            put(AT.bits_per_pixel, 8);
            put(AT.color_space, SGRAY);
        }
        put(AT.stride, u32::try_from(stride).unwrap_or(u32::MAX));
        out.extend(header);
        pack_rows(&rows, stride, out);
    }
}

impl PwgPage {
    /// Bytes of a row.
    fn stride(&self) -> usize {
        self.width.div_ceil(8) as usize
    }
}

/// The page whose header begins at a place; its end is not known yet.
fn read_header(bytes: &[u8], start: usize) -> Result<PwgPage, String> {
    let header = start.checked_add(HEADER_BYTES).and_then(|end| bytes.get(start..end));
    let header = header.ok_or("it ends in the header of a page")?;
    if !header.starts_with(HEADER_WORD) {
        return Err("the header of a page is missing".into());
    }
    let field = |at: usize| read_u32(header, at).unwrap_or_default();
    if (field(AT.bits_per_pixel), field(AT.color_space)) != (1, BLACK) {
        return Err("its pages are not of one bit a dot, black".into());
    }
    let (width, height) = (field(AT.width), field(AT.height));
    let possible = |side: u32| (1..=MOST_DOTS).contains(&side);
    let is_page = possible(width) && possible(height);
    let dots = u64::from(width) * u64::from(height);
    if !is_page || dots > MOST_PAGE_DOTS || field(AT.stride) != width.div_ceil(8) {
        return Err(format!("a page of {width} by {height} dots is absurd"));
    }
    let dpi = field(AT.resolution);
    if !(50..=2400).contains(&dpi) || dpi != field(AT.resolution + 4) {
        return Err(format!("{dpi} dots an inch are absurd"));
    }
    let side = |at: usize, dots: u32| {
        let points = Mm::from_pt(f64::from(field(at)));
        // Whole points are all that it says; none where it says nothing.
        if field(at) == 0 { Mm(f64::from(dots) / f64::from(dpi) * MM_PER_INCH) } else { points }
    };
    let paper = Size::new(side(AT.paper, width), side(AT.paper + 4, height));
    let turn = match (field(AT.duplex), field(AT.tumble)) {
        (0, _) => None,
        (_, 0) => Some(TurnEdge::Long),
        _ => Some(TurnEdge::Short),
    };
    Ok(PwgPage { start, end: start, width, height, dpi, paper, turn })
}

/// Where a page's rows end; none when they do not.
fn find_end(bytes: &[u8], page: &PwgPage) -> Option<usize> {
    let from = page.start + HEADER_BYTES;
    unpack(bytes.get(from..)?, page, &mut |_, _| {}).map(|used| from + used)
}

/// Unpacks a page's rows and hands each over with how often it comes; says how many bytes they took.
fn unpack(bytes: &[u8], page: &PwgPage, take: &mut dyn FnMut(&[u8], usize)) -> Option<usize> {
    let (stride, height) = (page.stride(), page.height as usize);
    let (mut at, mut done, mut row) = (0, 0, Vec::with_capacity(stride));
    while done < height {
        let count = usize::from(*bytes.get(at)?) + 1;
        at += 1;
        row.clear();
        while row.len() < stride {
            let code = usize::from(*bytes.get(at)?);
            match code {
                0..=127 => {
                    let byte = *bytes.get(at + 1)?;
                    row.resize(row.len() + code + 1, byte);
                    at += 2;
                }
                128 => return None,
                _ => {
                    let group = bytes.get(at + 1..at + 258 - code)?;
                    row.extend_from_slice(group);
                    at += 258 - code;
                }
            }
        }
        if row.len() > stride || done + count > height {
            return None;
        }
        take(&row, count);
        done += count;
    }
    Some(at)
}

/// A number of a header.
fn read_u32(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?))
}

/// The same dots turned to the right.
fn turn_right(dots: &Bitmap) -> Bitmap {
    let (width, height) = (dots.height(), dots.width());
    let stride = width.div_ceil(8) as usize;
    let mut rows = vec![0; stride * height as usize];
    for (y, row) in dots.rows().chunks(dots.stride()).enumerate() {
        let across = width as usize - 1 - y;
        // Most of a page is white, eight dots at once.
        for (at, byte) in row.iter().enumerate().filter(|(_, byte)| **byte != 0) {
            for bit in (0..8).filter(|bit| byte & (0x80 >> bit) != 0) {
                if let Some(dot) = rows.get_mut((at * 8 + bit) * stride + across / 8) {
                    *dot |= 0x80 >> (across % 8);
                }
            }
        }
    }
    Bitmap::from_rows(width, height, rows).unwrap_or_else(|| Bitmap::new(width, height))
}

/// A direction as headers have it: 1, or -1 when it is turned round.
fn direction(is_turned: bool) -> u32 {
    if is_turned { u32::MAX } else { 1 }
}

/// The same dots turned round.
fn turn_round(dots: Bitmap, backs: PwgBacks) -> Bitmap {
    let (width, height) = (dots.width(), dots.height());
    let rows = dots.rows().chunks(dots.stride());
    let mirror = |row: &[u8]| mirror_row(row, width);
    let rows: Vec<u8> = match backs {
        PwgBacks::AsSeen => return dots,
        PwgBacks::Across => rows.flat_map(mirror).collect(),
        PwgBacks::Along => rows.rev().flatten().copied().collect(),
        PwgBacks::HeadDown => rows.rev().flat_map(mirror).collect(),
    };
    Bitmap::from_rows(width, height, rows).unwrap_or_else(|| Bitmap::new(width, height))
}

/// A row from right to left.
fn mirror_row(row: &[u8], width: u32) -> Vec<u8> {
    let mut mirrored = vec![0; row.len()];
    let last = width.saturating_sub(1) as usize;
    for (at, byte) in row.iter().enumerate().filter(|(_, byte)| **byte != 0) {
        for bit in (0..8).filter(|bit| byte & (0x80 >> bit) != 0) {
            let x = last.saturating_sub(at * 8 + bit);
            mirrored[x / 8] |= 0x80 >> (x % 8);
        }
    }
    mirrored
}

/// The same dots a byte each: 0 is black, as in sRGB's grey.
fn to_gray(dots: &Bitmap) -> Vec<u8> {
    let mut rows = Vec::with_capacity(dots.width() as usize * dots.height() as usize);
    for row in dots.rows().chunks(dots.stride()) {
        let bit = |x: u32| row[(x / 8) as usize] & (0x80 >> (x % 8)) != 0;
        rows.extend((0..dots.width()).map(|x| if bit(x) { 0 } else { 0xff }));
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::super::{PwgOptions, write_header};
    use super::*;
    use crate::geom::DotGrid;
    use proptest::prelude::*;

    /// Pages as they are.
    const AS_THEY_ARE: PwgSending =
        PwgSending { pixels: PwgPixels::Bits, lay: PwgLay::Upright, backs: PwgBacks::AsSeen };

    /// A file of pages with a dot each at a place.
    fn file(places: &[(i32, i32)]) -> Vec<u8> {
        file_turned(places, None)
    }

    /// The same on paper that is turned over an edge.
    fn file_turned(places: &[(i32, i32)], turn: Option<TurnEdge>) -> Vec<u8> {
        let mut out = PWG_START.to_vec();
        for &(x, y) in places {
            let mut dots = Bitmap::new(20, 30);
            dots.fill_run(y, x, x + 1, true);
            let size = Size::new(Mm(2.5), Mm(3.75));
            out.extend(write_header(&dots, size, DotGrid::DPI_203, &PwgOptions { turn }));
            pack_rows(dots.rows(), dots.stride(), &mut out);
        }
        out
    }

    #[test]
    fn pages_are_taken_out_as_they_are() {
        let whole = PwgFile::read(file(&[(0, 0), (19, 29), (3, 4)])).unwrap();
        assert_eq!(whole.pages().len(), 3);
        let some = whole.write(&[2, 0], AS_THEY_ARE);
        assert_eq!(some, file(&[(3, 4), (0, 0)]));
        assert!(whole.dots(1).unwrap().get(19, 29));
        assert_eq!(whole.pages()[0].dpi, 203);
    }

    #[test]
    fn a_turned_page_has_the_same_dots_turned() {
        let whole = PwgFile::read(file(&[(3, 4)])).unwrap();
        let turned =
            PwgFile::read(whole.write(&[0], PwgSending { lay: PwgLay::Turned, ..AS_THEY_ARE }))
                .unwrap();
        let dots = turned.dots(0).unwrap();
        assert_eq!((dots.width(), dots.height()), (30, 20));
        let black = |(x, y): &(u32, u32)| dots.get(*x, *y);
        let all = (0..30).flat_map(|x| (0..20).map(move |y| (x, y)));
        assert_eq!(all.filter(black).collect::<Vec<_>>(), [(25, 3)]);
        let paper = |file: &PwgFile| file.pages()[0].paper;
        assert_eq!(paper(&turned).width, paper(&whole).height);
    }

    #[test]
    fn backs_lie_as_the_printer_feeds_them_and_fronts_as_they_are() {
        let places = [(3, 4), (3, 4), (0, 0), (0, 0)];
        let whole = PwgFile::read(file_turned(&places, Some(TurnEdge::Long))).unwrap();
        let dot_of = |dots: Bitmap| {
            let all = (0..20).flat_map(|x| (0..30).map(move |y| (x, y)));
            all.filter(|(x, y)| dots.get(*x, *y)).collect::<Vec<_>>()
        };
        let sent = |backs: PwgBacks| {
            let bytes = whole.write(&[0, 1, 2, 3], PwgSending { backs, ..AS_THEY_ARE });
            let file = PwgFile::read(bytes.clone()).unwrap();
            let start = file.pages()[1].start;
            let ways = [AT.cross_feed, AT.feed].map(|at| read_u32(&bytes[start..], at).unwrap());
            (ways.map(u32::cast_signed), [0, 1, 2, 3].map(|page| dot_of(file.dots(page).unwrap())))
        };
        let fronts = [vec![(3, 4)], vec![(0, 0)]];
        for (backs, ways, one, other) in [
            (PwgBacks::AsSeen, [1, 1], (3, 4), (0, 0)),
            (PwgBacks::Across, [-1, 1], (16, 4), (19, 0)),
            (PwgBacks::Along, [1, -1], (3, 25), (0, 29)),
            (PwgBacks::HeadDown, [-1, -1], (16, 25), (19, 29)),
        ] {
            let [front, back] = fronts.clone();
            assert_eq!(sent(backs), (ways, [front, vec![one], back, vec![other]]), "{backs:?}");
        }
        // Without backs every page is a front.
        let single = PwgFile::read(file(&places)).unwrap();
        let sending = PwgSending { backs: PwgBacks::HeadDown, ..AS_THEY_ARE };
        assert_eq!(single.write(&[0, 1, 2, 3], sending), file(&places));
    }

    #[test]
    fn grey_is_a_byte_a_dot() {
        let whole = PwgFile::read(file(&[(3, 0)])).unwrap();
        let gray = whole.write(&[0], PwgSending { pixels: PwgPixels::Gray, ..AS_THEY_ARE });
        let header = &gray[4..];
        let said = [AT.bits_per_pixel, AT.bits_per_color, AT.stride, AT.color_space];
        assert_eq!(said.map(|at| read_u32(header, at)), [8, 8, 20, SGRAY].map(Some));
        // The row with the dot: 3 white, 1 black, 16 white; then 29 white rows.
        assert_eq!(gray[4 + HEADER_BYTES..], [0, 2, 0xff, 0, 0, 15, 0xff, 28, 19, 0xff]);
    }

    proptest! {
        #[test]
        fn a_damaged_file_is_refused_or_has_pages(
            places in proptest::collection::vec((any::<usize>(), any::<u8>()), 0..6),
            length in any::<usize>()
        ) {
            let mut bytes = file(&[(0, 0), (19, 29)]);
            for (place, byte) in places {
                let place = place % bytes.len();
                bytes[place] = byte;
            }
            bytes.truncate(length % (2 * bytes.len()));
            if let Ok(file) = PwgFile::read(bytes) {
                prop_assert!(file.dots(0).is_some() && file.dots(2).is_none());
            }
        }
    }

    #[test]
    fn what_is_no_file_of_dots_says_why() {
        let told = |bytes: Vec<u8>| PwgFile::read(bytes).unwrap_err();
        let good = file(&[(3, 4)]);
        assert_eq!(told(b"%PDF-1.7".to_vec()), "it is no PWG Raster file");
        assert_eq!(told(PWG_START.to_vec()), "it has no pages");
        assert_eq!(told(good[..900].to_vec()), "it ends in the header of a page");
        assert_eq!(told(good[..good.len() - 1].to_vec()), "page 1 is cut off or damaged");
        let with = |at: usize, value: u32| {
            let mut bytes = good.clone();
            bytes[4 + at..8 + at].copy_from_slice(&value.to_be_bytes());
            bytes
        };
        assert_eq!(told(with(AT.bits_per_pixel, 8)), "its pages are not of one bit a dot, black");
        assert_eq!(told(with(AT.height, 0)), "a page of 20 by 0 dots is absurd");
        assert_eq!(told(with(AT.width, 99)), "a page of 99 by 30 dots is absurd");
        assert_eq!(told(with(AT.resolution, 7)), "7 dots an inch are absurd");
        assert_eq!(told([&good[..], b"rest"].concat()), "it ends in the header of a page");
    }
}
