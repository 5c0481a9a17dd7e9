//! Which columns of an export a first map gives to which field: by their names, and by what their cells hold.
//!
//! In: the columns' names and the first rows. Out: the fields that were recognised, each with its columns.
//! What a name says and the cells do not bear out is left open. Not here: what names say (`map`), the
//! map's text (`propose`).

use std::collections::{BTreeMap, BTreeSet};

use super::cells::{
    DateForm, ExportRecord, NumberFault, parse_date, parse_number, read_money, split_around,
};
use super::map::{
    Guess, NamePart, Standing, TARGETS, Takes, Target, adds_to_address, guess, name_part,
};

/// The columns of a field, each with what its name says.
pub(super) type FieldColumns = (&'static Target, Vec<(usize, Guess)>);

/// The highest rate of a tax in per cent that is told from an amount, ours: above the highest of Europe, Hungary's
/// 27 (VAT Calc, "Hungary raises VAT to 27% January 2012").
const HIGHEST_RATE: u32 = 30;

/// The most different rates that the taxes of one shop have: more are amounts.
const MOST_RATES: usize = 4;

/// The cells of a column that say something.
pub(super) fn cells_of(rows: &[ExportRecord], index: usize) -> impl Iterator<Item = String> {
    let cells = rows.iter().filter_map(move |row| row.cell(index));
    cells.map(|cell| cell.trim().to_owned()).filter(|cell| !cell.is_empty())
}

/// The first column of a field, if it was recognised.
pub(super) fn first_column(fields: &[FieldColumns], name: &str) -> Option<usize> {
    let (_, columns) = fields.iter().find(|(target, _)| target.name == name)?;
    columns.first().map(|(index, _)| *index)
}

/// The fields that are recognised, in the order in which they are written.
pub(super) fn choose_columns(names: &[String], rows: &[ExportRecord]) -> Vec<FieldColumns> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for name in names {
        *counts.entry(name).or_default() += 1;
    }
    // A map cannot name one of two columns of the same name.
    let once = names.iter().enumerate().filter(|(_, name)| counts[name.as_str()] == 1);
    let guessed: Vec<(usize, Guess)> = once
        .filter_map(|(index, name)| Some((index, guess(name)?)))
        .filter(|(index, guess)| fits(guess.target, &collect_cells(rows, *index)))
        .collect();
    let mut fields = Vec::new();
    for target in TARGETS {
        let of_field = guessed.iter().filter(|(_, guess)| guess.target == target.name);
        let mut columns: Vec<(usize, Guess)> = of_field.copied().collect();
        if target.name == "ship_to.name" {
            columns = choose_names(columns, names, rows);
        } else {
            let most = columns.iter().map(|(_, guess)| guess.standing).max();
            let best = |(_, guess): &(usize, Guess)| Some(guess.standing) == most;
            let mut kept: Vec<(usize, Guess)> = columns.iter().copied().filter(best).collect();
            if target.name == "ship_to.lines" {
                keep_additions(&columns, &mut kept, names);
            }
            keep_what_fits(target, &mut kept);
            columns = kept;
        }
        if !columns.is_empty() {
            fields.push((target, columns));
        }
    }
    fields
}

/// The cells of a column that say something, all of them.
fn collect_cells(rows: &[ExportRecord], index: usize) -> Vec<String> {
    cells_of(rows, index).collect()
}

/// Keeps columns that only add to an address where they stand right behind a column that is kept: `Complément` says
/// of nothing whose it is.
fn keep_additions(all: &[(usize, Guess)], kept: &mut Vec<(usize, Guess)>, names: &[String]) {
    for column in all.iter().filter(|(index, _)| adds_to_address(&names[*index])) {
        if kept.contains(column) {
            continue;
        }
        if let Some(at) = kept.iter().position(|(index, _)| index + 1 == column.0) {
            kept.insert(at + 1, *column);
        }
    }
}

/// Leaves a field the columns that it can take: all for lines, three or one for a size, else the first.
fn keep_what_fits(target: &Target, columns: &mut Vec<(usize, Guess)>) {
    match (target.takes, target.name) {
        (Takes::List, "ship_to.lines") | (Takes::Paragraph, _) => {}
        (Takes::Size, _) if columns.len() >= 3 => columns.truncate(3),
        _ => columns.truncate(1),
    }
}

/// Whether most of a column's cells are what its field takes; a column without any may be.
fn fits(target: &str, cells: &[String]) -> bool {
    let Some(takes) = TARGETS.iter().find(|known| known.name == target).map(|it| it.takes) else {
        return false;
    };
    match takes {
        _ if target == "tax.amount" => most(cells, is_amount) && !are_rates(cells),
        _ if target == "ship_to.name" => {
            most(cells, |cell| !is_amount(cell) && !cell.contains('@'))
        }
        Takes::Price | Takes::Discount => most(cells, |cell| is_amount(cell) || is_free(cell)),
        Takes::Count => most(cells, |cell| cell.bytes().any(|byte| byte.is_ascii_digit())),
        Takes::Date => most(cells, is_date),
        _ => true,
    }
}

/// Whether at least half of the cells are something.
fn most(cells: &[String], is: impl Fn(&str) -> bool) -> bool {
    cells.iter().filter(|cell| is(cell)).count() * 2 >= cells.len()
}

/// Whether a cell is a number with nothing but money around it.
fn is_amount(cell: &str) -> bool {
    // What is taken off is written below zero.
    let (before, number, after) = split_around(cell.trim_start_matches(['-', '−']));
    let is_number = match parse_number(number, None) {
        Ok(_) => true,
        Err(fault) => fault != NumberFault::NoNumber,
    };
    is_number
        && [before, after].iter().all(|around| around.is_empty() || read_money(around).is_some())
}

/// Words for what costs nothing, in small letters.
const FREE: &[&str] = &[
    "free",
    "free shipping",
    "gratis",
    "kostenlos",
    "kostenfrei",
    "frei",
    "versandkostenfrei",
    "gratuit",
    "gratuite",
    "offert",
    "offerte",
    "gratuito",
    "gratuita",
    "grátis",
    "fri",
    "darmowa",
    "za darmo",
];

/// Whether a cell says in words that something costs nothing.
pub(super) fn is_free(cell: &str) -> bool {
    FREE.contains(&cell.to_lowercase().as_str())
}

/// Whether a cell is a date in some form.
fn is_date(cell: &str) -> bool {
    DateForm::ALL.into_iter().any(|form| parse_date(cell, form).is_some())
}

/// Whether cells of a tax are its rate and no amounts: the same few whole numbers again and again.
fn are_rates(cells: &[String]) -> bool {
    let different: BTreeSet<&str> = cells.iter().map(String::as_str).collect();
    let is_rate = |cell: &&str| cell.parse().is_ok_and(|rate: u32| rate <= HIGHEST_RATE);
    let repeats = different.len() <= MOST_RATES && different.len() * 2 <= cells.len();
    repeats && different.iter().all(is_rate) && different.iter().any(|cell| *cell != "0")
}

/// The columns that are the person's name: the parts of it in the order in which they are written, or the one
/// that holds it whole. Two columns that both hold a whole name are two people.
fn choose_names(
    columns: Vec<(usize, Guess)>,
    names: &[String],
    rows: &[ExportRecord],
) -> Vec<(usize, Guess)> {
    let part_of = |index: usize| name_part(&names[index]);
    let (mut whole, mut parts): (Vec<_>, Vec<_>) =
        columns.into_iter().partition(|(index, _)| part_of(*index) == NamePart::Whole);
    let best = parts.iter().map(|(_, guess)| guess.standing).max();
    parts.retain(|(_, guess)| Some(guess.standing) == best);
    parts.sort_by_key(|(index, _)| part_of(*index));
    // `Name` beside `Vorname` is the family's.
    let holds_whole = |(index, _): &(usize, Guess)| {
        most(&collect_cells(rows, *index), |cell| cell.contains(char::is_whitespace))
    };
    let is_complete = [NamePart::Given, NamePart::Family]
        .iter()
        .all(|part| parts.iter().any(|(index, _)| part_of(*index) == *part));
    // Sorted by who it is of; a column before another of the same standing stays there.
    whole.sort_by_key(|column| (!holds_whole(column), std::cmp::Reverse(column.1.standing)));
    let Some(first) = whole.first().copied() else { return parts };
    let is_better = first.1.standing > best.unwrap_or(Standing::Doubtful);
    match holds_whole(&first) {
        _ if parts.is_empty() => vec![first],
        true if !is_complete || is_better => vec![first],
        false if !is_complete => join_parts(first, parts, part_of),
        _ => parts,
    }
}

/// A column that holds what is missing of a name, before or behind the parts that there are.
fn join_parts(
    other: (usize, Guess),
    mut parts: Vec<(usize, Guess)>,
    part_of: impl Fn(usize) -> NamePart,
) -> Vec<(usize, Guess)> {
    let has_given = parts.iter().any(|(index, _)| part_of(*index) == NamePart::Given);
    parts.insert(if has_given { parts.len() } else { 0 }, other);
    parts
}
