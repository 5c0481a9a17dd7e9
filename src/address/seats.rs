//! Formats read into rows of seats, with a seat for every part that was given.
//!
//! Comes in: a format such as `%N%n%O%n%A%nCH-%Z %C`, the cleaned parts and the
//! country line. Goes out: rows from top to bottom. Not its job: capitals and
//! the final text (`format`).
//!
//! Where the format has no seat for a part, one is made where a courier looks:
//! who takes it in and the telephone under the name and firm, a district
//! between street and town, a town beside the street on the side of the
//! locality, a region behind its town, a postcode at the end of the locality.

use super::text::fold;
use super::{CleanParts, Part};

/// One part's place in a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Seat {
    /// The part set here.
    pub(super) part: Part,
    /// The text between it and the seat before.
    pub(super) gap: String,
    /// What belongs in front of it, such as `CH-` in front of a postcode.
    pub(super) prefix: String,
}

impl Seat {
    /// A seat behind another, parted by `gap`.
    fn after(gap: &str, part: Part) -> Seat {
        Seat { part, gap: String::from(gap), prefix: String::new() }
    }
}

/// What stands on one line of a country's form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum FormatRow {
    /// A text that is the same in every address, such as `GUERNSEY`.
    Fixed(String),
    /// Parts beside one another.
    Seats(Vec<Seat>),
}

impl FormatRow {
    /// A line that has one part alone, with nothing before it.
    fn of(part: Part) -> FormatRow {
        FormatRow::Seats(vec![Seat::after("", part)])
    }

    /// The row's seats; none in a fixed row.
    pub(super) fn seats(&self) -> &[Seat] {
        match self {
            FormatRow::Fixed(_) => &[],
            FormatRow::Seats(seats) => seats,
        }
    }
}

/// Reads a format and gives every part of `values` a seat. `prefix` is the
/// country's postcode prefix. Parts that would print the same text twice are
/// taken out of `values`.
pub(super) fn seat_parts(
    format: &str,
    prefix: &str,
    values: &mut CleanParts,
    country_line: Option<&str>,
) -> Vec<FormatRow> {
    let mut seats = Seats { rows: read_format(format, prefix) };
    seats.drop_fixed(values, country_line);
    seats.seat_persons(values);
    for (part, seat) in [
        (Part::City, Seats::seat_city as fn(&mut Seats)),
        (Part::Region, Seats::seat_region),
        (Part::Postcode, Seats::seat_postcode),
        (Part::District, Seats::seat_district),
    ] {
        if values.has(part) && seats.row_of(part).is_none() {
            if seats.is_covered(values, part, country_line) {
                values.hide(part);
            } else {
                seat(&mut seats);
            }
        }
    }
    seats.join_lone_postcode(values);
    seats.hide_repeats(values);
    seats.rows
}

/// Reads a format: `%n` ends a row, `%` and a letter is a seat, all else is
/// text. Sorting codes (`%X`) have no part of ours and fall away.
fn read_format(format: &str, prefix: &str) -> Vec<FormatRow> {
    format.split("%n").filter_map(|row| read_row(row, prefix)).collect()
}

/// Reads one row; none if it is empty.
fn read_row(row: &str, prefix: &str) -> Option<FormatRow> {
    let mut seats: Vec<Seat> = Vec::new();
    let mut text = String::new();
    let mut chars = row.chars();
    while let Some(c) = chars.next() {
        if c != '%' {
            text.push(c);
            continue;
        }
        let Some(part) = chars.next().and_then(part_of) else {
            continue;
        };
        let found = std::mem::take(&mut text);
        let (gap, own) = split_gap(&found, seats.is_empty(), part, prefix);
        seats.push(Seat { part, gap: String::from(gap), prefix: String::from(own) });
    }
    match (seats.is_empty(), text.trim()) {
        (false, _) => Some(FormatRow::Seats(seats)),
        (true, "") => None,
        (true, fixed) => Some(FormatRow::Fixed(String::from(fixed))),
    }
}

/// Splits the text in front of a seat into the gap and what belongs to the
/// seat: all of it at the start of a row, the country's prefix at a postcode.
fn split_gap<'a>(
    found: &'a str,
    starts_row: bool,
    part: Part,
    prefix: &'a str,
) -> (&'a str, &'a str) {
    if starts_row {
        return ("", found.trim_start());
    }
    let gap = found.strip_suffix(prefix);
    match gap.filter(|_| part == Part::Postcode) {
        Some(gap) => (gap, prefix),
        None => (found, ""),
    }
}

/// The part of a letter in a format.
fn part_of(letter: char) -> Option<Part> {
    match letter {
        'N' => Some(Part::Name),
        'O' => Some(Part::Company),
        'A' => Some(Part::Street),
        'D' => Some(Part::District),
        'C' => Some(Part::City),
        'S' => Some(Part::Region),
        'Z' => Some(Part::Postcode),
        _ => None,
    }
}

/// The rows of one address while seats are being added.
struct Seats {
    /// From top to bottom.
    rows: Vec<FormatRow>,
}

impl Seats {
    /// Which row a part is seated in, from 0; none when the format has no seat for it.
    fn row_of(&self, part: Part) -> Option<usize> {
        let seated = |row: &FormatRow| row.seats().iter().any(|seat| seat.part == part);
        self.rows.iter().position(seated)
    }

    /// The row of the street; every format has one.
    fn street(&self) -> usize {
        self.row_of(Part::Street).unwrap_or(self.rows.len())
    }

    /// The first and last row of name and firm.
    fn persons(&self) -> (usize, usize) {
        let rows = [Part::Name, Part::Company].map(|part| self.row_of(part).unwrap_or(0));
        (rows[0].min(rows[1]), rows[0].max(rows[1]))
    }

    /// Whether the person comes last, as where addresses go from large to small.
    fn person_is_last(&self) -> bool {
        self.persons().0 > self.street()
    }

    /// Where a row for the locality goes: beside the street, on the side where
    /// the rest of the locality is.
    fn locality(&self) -> usize {
        let street = self.street();
        let places = [Part::City, Part::Region, Part::Postcode, Part::District];
        let before = places.into_iter().filter_map(|part| self.row_of(part));
        if self.person_is_last() || before.min().is_some_and(|row| row < street) {
            street
        } else {
            street + 1
        }
    }

    /// Leaves a fixed row out when the country line says the same, unless the
    /// address itself gives it as a place.
    fn drop_fixed(&mut self, values: &CleanParts, country_line: Option<&str>) {
        let line = country_line.map(fold).unwrap_or_default();
        self.rows.retain(|row| match row {
            FormatRow::Fixed(text) => !line.contains(&fold(text)) || is_place(values, text),
            FormatRow::Seats(_) => true,
        });
    }

    /// Seats who takes it in and the telephone beside name and firm.
    fn seat_persons(&mut self, values: &CleanParts) {
        let (first, last) = self.persons();
        let care_of = if self.person_is_last() { first } else { last + 1 };
        if values.has(Part::CareOf) {
            self.rows.insert(care_of, FormatRow::of(Part::CareOf));
        }
        if values.has(Part::Phone) {
            let below = usize::from(values.has(Part::CareOf));
            self.rows.insert(last + 1 + below, FormatRow::of(Part::Phone));
        }
    }

    /// A town goes beside the street.
    fn seat_city(&mut self) {
        self.rows.insert(self.locality(), FormatRow::of(Part::City));
    }

    /// A region goes behind its town: below it if the town has its row to
    /// itself, else in the same row.
    fn seat_region(&mut self) {
        let Some(at) = self.row_of(Part::City) else {
            self.rows.insert(self.locality(), FormatRow::of(Part::Region));
            return;
        };
        if self.rows[at].seats().len() == 1 {
            let at = if self.person_is_last() { at } else { at + 1 };
            self.rows.insert(at, FormatRow::of(Part::Region));
        } else {
            self.insert_after(Part::City, Seat::after(", ", Part::Region));
        }
    }

    /// A postcode ends the locality, or heads the address where that goes from
    /// large to small.
    fn seat_postcode(&mut self) {
        if self.person_is_last() {
            self.rows.insert(0, FormatRow::of(Part::Postcode));
            return;
        }
        let places = [Part::City, Part::Region].map(|part| self.row_of(part));
        let last = places.into_iter().flatten().max();
        match last.and_then(|last| self.rows.get_mut(last)) {
            Some(FormatRow::Seats(seats)) => seats.push(Seat::after(" ", Part::Postcode)),
            _ => self.rows.insert(self.locality(), FormatRow::of(Part::Postcode)),
        }
    }

    /// A postcode that shares its row with the region alone would stand by itself where no region is
    /// given: then it goes to the town, in front of it or behind, as it stands to the region. The
    /// post of the Philippines writes `2000 Pampanga`, but `1008 Manila` (Wikipedia, "Postal addresses
    /// in the Philippines", after PhilPost).
    fn join_lone_postcode(&mut self, values: &CleanParts) {
        let given = values.has(Part::City) && values.has(Part::Postcode);
        let (Some(own), Some(town)) = (self.row_of(Part::Postcode), self.row_of(Part::City)) else {
            return;
        };
        let parts: Vec<Part> = self.rows[own].seats().iter().map(|seat| seat.part).collect();
        let leads = parts == [Part::Postcode, Part::Region];
        let alone = leads || parts == [Part::Region, Part::Postcode];
        if !alone || !given || values.has(Part::Region) {
            return;
        }
        let town = if own < town { town - 1 } else { town };
        if let FormatRow::Seats(mut seats) = self.rows.remove(own) {
            seats.retain(|seat| seat.part == Part::Postcode);
            self.seat_beside_town(town, seats, leads);
        }
    }

    /// Seats a postcode in the row of the town, in front of it or at its end. What stands in front of
    /// the town there, such as a district, keeps a row of its own.
    fn seat_beside_town(&mut self, town: usize, mut postcode: Vec<Seat>, leads: bool) {
        let Some(FormatRow::Seats(row)) = self.rows.get_mut(town) else { return };
        if !leads {
            postcode.iter_mut().for_each(|seat| seat.gap = String::from(" "));
            return row.append(&mut postcode);
        }
        let at = row.iter().position(|seat| seat.part == Part::City).unwrap_or(0);
        let mut behind = row.split_off(at);
        if let Some(city) = behind.first_mut() {
            city.gap = String::from(" ");
        }
        postcode.append(&mut behind);
        if row.is_empty() {
            *row = postcode;
        } else {
            self.rows.insert(town + 1, FormatRow::Seats(postcode));
        }
    }

    /// A district goes between street and town.
    fn seat_district(&mut self) {
        let street = self.street();
        if self.rows.get(street).is_some_and(|row| row.seats().len() > 1) {
            self.insert_after(Part::Street, Seat::after(", ", Part::District));
        } else {
            self.rows.insert(self.locality(), FormatRow::of(Part::District));
        }
    }

    /// Puts a seat behind another in its row.
    fn insert_after(&mut self, part: Part, seat: Seat) {
        for row in &mut self.rows {
            if let FormatRow::Seats(seats) = row
                && let Some(at) = seats.iter().position(|seat| seat.part == part)
            {
                seats.insert(at + 1, seat);
                return;
            }
        }
    }

    /// Whether a part without a seat is printed all the same, word for word, by
    /// another place, a fixed text or, unless it is the town, the country line.
    fn is_covered(&self, values: &CleanParts, part: Part, country_line: Option<&str>) -> bool {
        let places = [Part::City, Part::Region, Part::District];
        let by_place = places
            .into_iter()
            .any(|other| other != part && self.row_of(other).is_some() && values.same(part, other));
        let text = fold(values.get(part));
        let by_country = part != Part::City && country_line.is_some_and(|line| fold(line) == text);
        let fixed = self.rows.iter().flat_map(|row| match row {
            FormatRow::Fixed(fixed) => vec![fixed.as_str()],
            FormatRow::Seats(seats) => seats
                .iter()
                .filter(|seat| values.has(seat.part))
                .map(|seat| seat.prefix.trim())
                .collect(),
        });
        by_place || by_country || fixed.into_iter().any(|fixed| fold(fixed) == text)
    }

    /// Takes a part out that would stand right behind the same text: a firm
    /// called as its owner, a town called as its region. Where a comma or
    /// another part stands between, the two are read as a pair and both stay.
    fn hide_repeats(&self, values: &mut CleanParts) {
        let pairs = [
            (Part::Name, Part::Company),
            (Part::District, Part::City),
            (Part::District, Part::Region),
            (Part::City, Part::Region),
        ];
        for (one, other) in pairs {
            if values.same(one, other)
                && let Some(second) = self.second_of(values, one, other)
            {
                values.hide(second);
            }
        }
    }

    /// The later of two parts with nothing but space or a line end between.
    fn second_of(&self, values: &CleanParts, one: Part, other: Part) -> Option<Part> {
        let seats = self.rows.iter().enumerate();
        let seats: Vec<(usize, &Seat)> =
            seats.flat_map(|(at, row)| row.seats().iter().map(move |seat| (at, seat))).collect();
        let find = |part| seats.iter().position(|(_, seat)| seat.part == part);
        let (a, b) = (find(one)?, find(other)?);
        let (first, second) = (a.min(b), a.max(b));
        let empty_between = seats[first + 1..second].iter().all(|(_, seat)| !values.has(seat.part));
        let row = seats[second].0;
        let same_row = seats[first].0 == row;
        let parted = seats[first + 1..=second]
            .iter()
            .any(|(at, seat)| *at == row && !seat.gap.trim().is_empty());
        (empty_between && !(same_row && parted)).then(|| seats[second].1.part)
    }
}

/// Whether the address gives the text as a town, district or region.
fn is_place(values: &CleanParts, text: &str) -> bool {
    let places = [Part::City, Part::District, Part::Region];
    let text = fold(text);
    places.into_iter().any(|part| fold(values.get(part)) == text)
}

#[cfg(test)]
mod tests {
    use super::super::Part;
    use super::{FormatRow, read_format};

    /// The rows as text: `gap[prefix]part` for each seat.
    fn show(format: &str, prefix: &str) -> Vec<String> {
        let rows = read_format(format, prefix);
        rows.iter()
            .map(|row| match row {
                FormatRow::Fixed(text) => format!("={text}"),
                FormatRow::Seats(seats) => seats
                    .iter()
                    .map(|seat| format!("{}[{}]{}", seat.gap, seat.prefix, seat.part))
                    .collect(),
            })
            .collect()
    }

    #[test]
    fn prefixes_belong_to_the_seat_behind_them() {
        assert_eq!(show("%A%nCH-%Z %C", "CH-"), ["[]lines", "[CH-]postcode []city"]);
        assert_eq!(show("%C PR %Z", "PR "), ["[]city [PR ]postcode"]);
        assert_eq!(show("SINGAPORE %Z", ""), ["[SINGAPORE ]postcode"]);
        assert_eq!(show("%n%C%nJERSEY%n%Z", ""), ["[]city", "=JERSEY", "[]postcode"]);
        assert_eq!(show("%X %A %C %X", ""), ["[]lines []city"]);
        assert_eq!(Part::Street.to_string(), "lines");
    }
}
