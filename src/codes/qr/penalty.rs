//! The penalty of a finished QR Code matrix, by whole rows.
//!
//! In: rows of modules as words. Out: the score that mask selection compares (7.8.3.1, Table 11).
//! Not here: drawing the masks, choosing among them.
//!
//! A row is W words; bit x is column x, set when dark, and zero beyond the symbol. Every rule
//! becomes a word with a bit for each place where it strikes, and a count of those bits. Runs
//! down a column are found in all columns at once, from words of different rows. What works on one
//! row is inlined even where the crate is made small: it is a few instructions, thousands of times a
//! symbol.

/// Points for five equal modules in a line; each further one adds a point (N1).
const RUN_POINTS: u32 = 3;
/// Points for each 2 × 2 block of equal modules (N2).
const BLOCK_POINTS: u32 = 3;
/// Points for each pattern that looks like a finder's (N3).
const FINDER_POINTS: u32 = 40;
/// Points for each full 5 % by which the dark modules differ from half (N4).
const BALANCE_POINTS: u32 = 10;

/// A row of modules, or a set of columns.
type ModuleBits<const W: usize> = [u64; W];

/// Every column moved `count` to the left, so that bit x says what stood in column x + `count`.
#[inline(always)]
fn left<const W: usize>(bits: ModuleBits<W>, count: u32) -> ModuleBits<W> {
    let mut moved = [0; W];
    for word in 0..W {
        let carry = if word + 1 < W { bits[word + 1] << (64 - count) } else { 0 };
        moved[word] = bits[word] >> count | carry;
    }
    moved
}

/// Every column moved `count` to the right.
#[inline(always)]
fn right<const W: usize>(bits: ModuleBits<W>, count: u32) -> ModuleBits<W> {
    let mut moved = [0; W];
    for word in 0..W {
        let carry = if word > 0 { bits[word - 1] >> (64 - count) } else { 0 };
        moved[word] = bits[word] << count | carry;
    }
    moved
}

/// Combines two rows word by word.
#[inline(always)]
fn join<const W: usize>(
    a: ModuleBits<W>,
    b: ModuleBits<W>,
    f: impl Fn(u64, u64) -> u64,
) -> ModuleBits<W> {
    let mut joined = [0; W];
    for word in 0..W {
        joined[word] = f(a[word], b[word]);
    }
    joined
}

/// How many columns are set; mostly few or none, which needs no counting.
#[inline(always)]
fn count<const W: usize>(bits: ModuleBits<W>) -> u32 {
    let mut all = 0;
    for word in bits {
        if word != 0 {
            all += word.count_ones();
        }
    }
    all
}

/// The columns up to `width`.
fn columns<const W: usize>(width: usize) -> ModuleBits<W> {
    let mut set = [0; W];
    for (word, bits) in set.iter_mut().enumerate() {
        *bits = match width.saturating_sub(64 * word) {
            0 => 0,
            rest if rest >= 64 => u64::MAX,
            rest => (1 << rest) - 1,
        };
    }
    set
}

/// Light rows above and below the symbol, so that patterns at its edge see the quiet zone.
pub(super) const MARGIN: usize = 10;

/// The penalty of a matrix. `rows` has [`MARGIN`] light rows before and after the symbol's own.
pub(super) fn score<const W: usize>(rows: &[ModuleBits<W>]) -> u32 {
    let size = rows.len() - 2 * MARGIN;
    let symbol = &rows[MARGIN..MARGIN + size];
    score_runs_and_blocks(symbol) + score_finders(rows) + score_balance(symbol)
}

/// Rules 1 and 2: runs of five or more in rows and columns, and 2 × 2 blocks.
///
/// A run of n ≥ 5 holds n - 4 windows of five equal modules, and its n - 2 points are one for
/// each window and two more for the window that begins it. A block of m × n equal modules holds
/// (m - 1)(n - 1) squares of 2 × 2.
fn score_runs_and_blocks<const W: usize>(symbol: &[ModuleBits<W>]) -> u32 {
    let size = symbol.len();
    let (all, inner) = (columns::<W>(size), columns::<W>(size - 1));
    let (mut windows, mut runs, mut blocks) = (0, 0, 0);
    // Columns equal to the next row's, for the last three rows, and windows of the last row.
    let mut equal_above = [[0; W]; 3];
    let mut windows_above = [0; W];
    for (y, &row) in symbol.iter().enumerate() {
        let across = join(join(row, left(row, 1), |a, b| !(a ^ b)), inner, |a, b| a & b);
        let pairs = join(across, left(across, 1), |a, b| a & b);
        let fives = join(pairs, left(pairs, 2), |a, b| a & b);
        windows += count(fives);
        runs += count(join(fives, right(fives, 1), |a, b| a & !b));
        let Some(&below) = symbol.get(y + 1) else { break };
        let down = join(join(row, below, |a, b| !(a ^ b)), all, |a, b| a & b);
        let sides = join(down, left(down, 1), |a, b| a & b);
        blocks += count(join(across, sides, |a, b| a & b));
        let recent = join(equal_above[1], equal_above[2], |a, b| a & b);
        let fives = join(join(equal_above[0], down, |a, b| a & b), recent, |a, b| a & b);
        windows += count(fives);
        runs += count(join(fives, windows_above, |a, b| a & !b));
        equal_above = [equal_above[1], equal_above[2], down];
        windows_above = fives;
    }
    windows + (RUN_POINTS - 1) * runs + BLOCK_POINTS * blocks
}

/// Rule 3: dark and light as 1:1:3:1:1 with four light modules before or behind, in rows and
/// columns. The quiet zone is light; a pattern with light on both sides counts once.
fn score_finders<const W: usize>(rows: &[ModuleBits<W>]) -> u32 {
    let size = rows.len() - 2 * MARGIN;
    let mut patterns = 0;
    // Four modules before a pattern, its seven, and four behind it.
    let stretches = rows.array_windows::<15>().skip(MARGIN - 4).take(size);
    for lines in stretches {
        let row = lines[4];
        let ahead = [1, 2, 3, 4, 5, 6].map(|step| left(row, step));
        let [second, third, fourth, fifth, sixth, seventh] = ahead;
        let found = find_finder(&[row, second, third, fourth, fifth, sixth, seventh]);
        if found != [0; W] {
            let before = [1, 2, 3, 4].map(|step| right(row, step));
            let behind = [7, 8, 9, 10].map(|step| left(row, step));
            patterns += count(keep_bordered(found, &before, &behind));
        }
        let [before @ .., _, _, _, _, _, _, _, _, _, _, _] = lines;
        let [_, _, _, _, steps @ .., _, _, _, _] = lines;
        let [_, _, _, _, _, _, _, _, _, _, _, behind @ ..] = lines;
        let found = find_finder(steps);
        if found != [0; W] {
            patterns += count(keep_bordered(found, before, behind));
        }
    }
    FINDER_POINTS * patterns
}

/// The places where seven modules look like a finder, which are few.
#[inline(always)]
fn find_finder<const W: usize>(line: &[ModuleBits<W>; 7]) -> ModuleBits<W> {
    let [a, b, c, d, e, f, g] = line;
    let mut found = [0; W];
    for word in 0..W {
        found[word] = a[word] & !b[word] & c[word] & d[word] & e[word] & !f[word] & g[word];
    }
    found
}

/// Those of the places that have four light modules on one side.
#[inline(always)]
fn keep_bordered<const W: usize>(
    found: ModuleBits<W>,
    before: &[ModuleBits<W>; 4],
    behind: &[ModuleBits<W>; 4],
) -> ModuleBits<W> {
    let mut kept = [0; W];
    for word in 0..W {
        let is_dark = |side: &[ModuleBits<W>; 4]| side.iter().fold(0, |dark, it| dark | it[word]);
        kept[word] = found[word] & !(is_dark(before) & is_dark(behind));
    }
    kept
}

/// Rule 4: how many full steps of 5 % the share of dark modules is away from 50 %.
fn score_balance<const W: usize>(symbol: &[ModuleBits<W>]) -> u32 {
    let dark: u32 = symbol.iter().map(|&row| count(row)).sum();
    let total = (symbol.len() * symbol.len()) as u32;
    // |dark / total - 1/2| / (1/20), without fractions.
    BALANCE_POINTS * ((20 * dark).abs_diff(10 * total) / total)
}
