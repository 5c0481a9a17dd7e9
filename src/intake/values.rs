//! Cells to the values that orders take: numbers, dates, countries, yes and no.
//!
//! In: the cells of one field in one row, and the map. Out: a [`Node`] as an orders file would have
//! it, or a [`ValueFault`] with a way out. Text, postcodes and ids stay as they are written. Not here:
//! what an order makes of a value (`orders` checks the whole).

mod answers;

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::cells::{
    DecimalMark, Money, NumberFault, Unit, is_zero, other_form, parse_date, parse_number,
    read_money, split_around,
};
use super::map::{Assignment, IntakeMap, Takes, quote};
use super::street::join_numbers;
use crate::fields::{CountryCode, type_own};
use crate::findings::{Rule, rules};
use crate::parcel::{LengthUnit, MassUnit};
use crate::source::{FileId, Span};
use crate::tree::{Node, Value};
use crate::words::{is_cut_short, is_digits, shorten};
pub(super) use answers::words_for_no;
use answers::{find_country, read_currency, read_flag, read_hazard};

/// The longest text, in characters, whose country is looked for by likeness: twice the longest name
/// in the data. A cell of a megabyte was compared with every name for a minute and a half.
const LONGEST_COUNTRY: usize = 120;

/// Country names that are kept once they have been looked up.
const MOST_COUNTRIES: usize = 2_000;

/// The cells of one field in one row, or its constant.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Given {
    /// The texts with their places, in the order of the columns; empty ones are there too.
    pub(super) parts: Vec<(String, Span)>,
}

impl Given {
    /// The parts that say something.
    fn texts(&self) -> impl Iterator<Item = &(String, Span)> {
        self.parts.iter().filter(|(text, _)| !text.is_empty())
    }

    /// Whether it says nothing.
    pub(super) fn is_empty(&self) -> bool {
        self.texts().next().is_none()
    }

    /// Whether it says the same as another.
    pub(super) fn says_same(&self, other: &Given) -> bool {
        self.parts.iter().map(|(text, _)| text).eq(other.parts.iter().map(|(text, _)| text))
    }

    /// Its texts as one, with `between` where two meet.
    pub(super) fn join(&self, between: &str) -> String {
        self.texts().map(|(text, _)| text.as_str()).collect::<Vec<_>>().join(between)
    }

    /// Where it starts.
    pub(super) fn span(&self) -> Option<Span> {
        self.texts().next().or(self.parts.first()).map(|(_, span)| *span)
    }
}

/// Why cells cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ValueFault {
    /// What kind of fault it is.
    pub(super) rule: &'static Rule,
    /// The cell.
    pub(super) span: Span,
    /// What is the matter.
    pub(super) message: String,
    /// A way out.
    pub(super) hint: String,
}

/// What was noticed beside a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum CellRemark {
    /// A weight or size of nothing is taken as not known.
    Zero(Span),
    /// A price had this sign beside it.
    Money(Money, Span),
}

/// Reads what cells hold as the field that they are for wants it.
pub(super) struct ValueReader<'a> {
    /// What says how cells are to be read.
    map: &'a IntakeMap,
    /// The decimal mark of the field that is read.
    mark: Option<DecimalMark>,
    /// Country names and what they mean, or the way out; a file has few of them.
    countries: BTreeMap<String, Result<CountryCode, String>>,
}

impl<'a> ValueReader<'a> {
    /// Begins with the decimal mark of the map, which a field may have otherwise.
    pub(super) fn new(map: &'a IntakeMap) -> ValueReader<'a> {
        ValueReader { map, mark: map.decimal, countries: BTreeMap::new() }
    }

    /// The decimal mark of the map.
    pub(super) fn mark(&self) -> Option<DecimalMark> {
        self.map.decimal
    }

    /// The value of a field; none when the cells say nothing.
    ///
    /// # Errors
    /// What is wrong with the cells.
    pub(super) fn read(
        &mut self,
        assignment: &Assignment,
        given: &Given,
        remarks: &mut Vec<CellRemark>,
    ) -> Result<Option<Node>, ValueFault> {
        let Some(span) = given.span().filter(|_| !given.is_empty()) else { return Ok(None) };
        refuse_spreadsheet_error(given)?;
        self.mark = assignment.decimal.or(self.map.decimal);
        let cell = CellText { text: &given.join(assignment.join.as_deref().unwrap_or(" ")), span };
        let value = match assignment.target.takes {
            Takes::Text => Value::Text(cell.text.into()),
            Takes::Kept => Value::Text(keep_number(&cell)?),
            Takes::Tariff => Value::Text(read_tariff(&cell)?),
            Takes::Hazard => Value::Text(read_hazard(&cell, assignment)?),
            Takes::Paragraph => Value::Text(given.join("\n")),
            Takes::Own => type_own(cell.text),
            Takes::List if assignment.target.name == "ship_to.lines" => {
                list_nodes(join_numbers(list_texts(given, assignment.split.as_deref()).into_iter()))
            }
            Takes::List => list_nodes(list_texts(given, assignment.split.as_deref())),
            Takes::Date => Value::Text(self.read_date(&cell)?),
            Takes::Country => Value::Text(self.read_country(&cell)?.as_str().into()),
            Takes::Currency => Value::Text(read_currency(&cell)?.into()),
            Takes::Flag => Value::Bool(read_flag(&cell, assignment)?),
            Takes::Count => Value::Number(self.read_count(&cell)?),
            Takes::Price => Value::Text(self.read_price(&cell, remarks)?),
            Takes::Discount => {
                let text = &cell.text.replace(['-', '−'], "");
                Value::Text(self.read_price(&CellText { text, span }, remarks)?)
            }
            Takes::Rate => {
                let number = cell.text.trim_end_matches('%').trim_end();
                Value::Text(self.read_number(&cell, number, "a rate in per cent such as `19`")?)
            }
            Takes::Weight => match self.read_weight(&cell, assignment)? {
                Some(grams) => Value::Number(grams),
                None => {
                    remarks.push(CellRemark::Zero(span));
                    return Ok(None);
                }
            },
            Takes::Size => match self.read_size(given, assignment.unit)? {
                Some(sides) => Value::List(sides),
                None => {
                    remarks.push(CellRemark::Zero(span));
                    return Ok(None);
                }
            },
        };
        Ok(Some(Node { span, value }))
    }

    /// A day as an orders file has it; the cell may have a time behind it.
    fn read_date(&self, cell: &CellText<'_>) -> Result<String, ValueFault> {
        let form = self.map.dates;
        parse_date(cell.text, form).ok_or_else(|| {
            let expected = format!("a date such as `{}`", form.example());
            match other_form(cell.text, form) {
                Some(other) => cell
                    .expected(&expected, format!("put `dates: {}` into the map", other.word()))
                    .rule(&rules::OTHER_DATE_FORM),
                None => cell.expected(
                    &expected,
                    "mend it, or leave `placed` out of the map: nothing depends on it".into(),
                ),
            }
        })
    }

    /// The country that a text names, if it names one.
    pub(super) fn country_of(&mut self, text: &str) -> Option<CountryCode> {
        let span = Span::new(FileId::UNPLACED, 0, 0);
        self.read_country(&CellText { text, span }).ok()
    }

    /// A country by its letters or its name.
    fn read_country(&mut self, cell: &CellText<'_>) -> Result<CountryCode, ValueFault> {
        if let Some(code) = CountryCode::parse(cell.text) {
            return Ok(code);
        }
        if cell.text.chars().nth(LONGEST_COUNTRY).is_some() {
            let hint = "write the country's two letters".into();
            return Err(cell.expected("a country's two letters or its name", hint));
        }
        let known = match self.countries.get(cell.text) {
            Some(known) => known.clone(),
            None => {
                let known = find_country(cell.text);
                if self.countries.len() < MOST_COUNTRIES {
                    self.countries.insert(cell.text.to_owned(), known.clone());
                }
                known
            }
        };
        known.map_err(|hint| cell.expected("a country's two letters or its name", hint))
    }

    /// Plain digits of a number that stands alone.
    fn read_number(
        &self,
        cell: &CellText<'_>,
        text: &str,
        expected: &str,
    ) -> Result<String, ValueFault> {
        let digits = parse_number(text, self.mark).map_err(|fault| match fault {
            NumberFault::NoNumber => cell.expected(expected, "correct it in the export".into()),
            NumberFault::Negative => cell
                .expected(expected, "correct it in the export; nothing here is below zero".into())
                .rule(&rules::NEGATIVE_NUMBER),
            NumberFault::OtherMark(mark) => {
                let word = mark.word();
                let hint = format!(
                    "if the file has decimals after a {word}, put `decimal: {word}` into the map"
                );
                cell.expected(expected, hint).rule(&rules::OTHER_DECIMAL_MARK)
            }
            NumberFault::Ambiguous(point, comma) => ValueFault {
                rule: &rules::AMBIGUOUS_NUMBER,
                span: cell.span,
                message: format!("`{text}` can be read as {point} or as {comma}"),
                hint: "say which in the map: `decimal: point` or `decimal: comma`".into(),
            },
        })?;
        // JSON numbers have no zeros in front.
        let plain = digits.trim_start_matches('0');
        Ok(if plain.is_empty() || plain.starts_with('.') {
            format!("0{plain}")
        } else {
            plain.into()
        })
    }

    /// A whole number.
    fn read_count(&self, cell: &CellText<'_>) -> Result<String, ValueFault> {
        let expected = "a whole number such as `2`";
        let digits = self.read_number(cell, cell.text, expected)?;
        match digits.split_once('.') {
            None => Ok(digits),
            Some((whole, decimals)) if is_zero(decimals) => Ok(whole.to_owned()),
            Some(_) => Err(cell.expected(expected, "correct it in the export".into())),
        }
    }

    /// A price, without the sign of money beside it.
    fn read_price(
        &self,
        cell: &CellText<'_>,
        remarks: &mut Vec<CellRemark>,
    ) -> Result<String, ValueFault> {
        let expected = "a price such as `12.50`";
        let (before, number, after) = split_around(cell.text);
        let (minus, before) = match before.strip_prefix(['-', '−']) {
            Some(rest) => ("-", rest),
            None => ("", before),
        };
        for sign in [before, after].into_iter().filter(|sign| !sign.is_empty()) {
            let Some(money) = read_money(sign).filter(|_| !number.is_empty()) else {
                return Err(cell.expected(expected, "leave only the price in the cell".into()));
            };
            remarks.push(CellRemark::Money(money, cell.span));
        }
        self.read_number(cell, &format!("{minus}{number}"), expected)
    }

    /// A number with its unit: the one beside it, else the map's.
    fn read_measure(
        &self,
        cell: &CellText<'_>,
        text: &str,
        unit: Unit,
        expected: &str,
    ) -> Result<(Decimal, Unit), ValueFault> {
        let (before, number, after) = split_around(text);
        let unit = if after.is_empty() { Some(unit) } else { Unit::parse(after) };
        let Some(unit) = unit.filter(|_| before.is_empty()) else {
            return Err(cell.expected(expected, "leave only number and unit in the cell".into()));
        };
        let digits = self.read_number(cell, number, expected)?;
        let exact = Decimal::from_str_exact(&digits).ok();
        let number =
            exact.ok_or_else(|| cell.expected(expected, "correct it in the export".into()))?;
        Ok((number, unit))
    }

    /// A weight in whole grams, rounded up; none when it is zero.
    fn read_weight(
        &self,
        cell: &CellText<'_>,
        assignment: &Assignment,
    ) -> Result<Option<String>, ValueFault> {
        let expected = "a weight such as `120`, or with its unit, `0.12 kg`";
        let unit = assignment.unit.unwrap_or(Unit::Mass(MassUnit::Gram));
        let (number, unit) = self.read_measure(cell, cell.text, unit, expected)?;
        let Unit::Mass(unit) = unit else {
            let hint = format!("`{}` is a length; give the weight's unit", unit.symbol());
            return Err(cell.expected(expected, hint));
        };
        if unit == MassUnit::Gram && !number.is_zero() {
            refuse_parts_of_grams(cell, number, assignment)?;
        }
        let grams = number
            .checked_mul(Decimal::from(unit.nanograms()))
            .map(|nanograms| (nanograms / Decimal::from(1_000_000_000)).ceil())
            .filter(|grams| *grams <= Decimal::from(1_000_000))
            .ok_or_else(|| cell.expected(expected, "a parcel weighs a tonne at most".into()))?;
        Ok((!grams.is_zero()).then(|| grams.normalize().to_string()))
    }

    /// Length, width and height in millimetres, from one cell or three; none when all are zero.
    fn read_size(
        &self,
        given: &Given,
        unit: Option<Unit>,
    ) -> Result<Option<Vec<Node>>, ValueFault> {
        let parts: Vec<(&str, Span)> = match &*given.parts {
            [(text, span)] => {
                text.split(['x', 'X', '×', '*']).map(|side| (side.trim(), *span)).collect()
            }
            parts => parts.iter().map(|(text, span)| (text.as_str(), *span)).collect(),
        };
        let whole = given.join(" × ");
        let first = given.span().unwrap_or(parts[0].1);
        let all = CellText { text: &whole, span: first };
        let expected = "length, width and height such as `22 x 11 x 4`";
        let is_nothing = |text: &str| text.is_empty() || is_zero(split_around(text).1);
        if parts.iter().all(|(text, _)| is_nothing(text)) && whole.contains('0') {
            return Ok(None);
        }
        if parts.len() != 3 || parts.iter().any(|(text, _)| is_nothing(text)) {
            return Err(all.expected(expected, "give all three, or none".into()));
        }
        // A unit after the last side is that of all, as in `22 x 11 x 4 cm`.
        let last = Unit::parse(split_around(parts[2].0).2);
        let unit = last.or(unit).unwrap_or(Unit::Length(LengthUnit::Millimetre));
        let mut sides = Vec::new();
        for (text, span) in parts {
            let cell = CellText { text, span };
            let (number, Unit::Length(unit)) = self.read_measure(&cell, text, unit, expected)?
            else {
                return Err(all.expected(expected, "give lengths: mm, cm, m or in".into()));
            };
            let side = number
                .checked_mul(Decimal::from(unit.micrometres()))
                .map(|micrometres| (micrometres / Decimal::from(1_000)).normalize().to_string())
                .filter(|side| side.len() <= 12)
                .ok_or_else(|| all.expected(expected, "correct it in the export".into()))?;
            sides.push(Node { span, value: Value::Number(side) });
        }
        Ok(Some(sides))
    }
}

/// Refuses grams that are likely kilograms, or thousands: those with decimals where the cell itself does
/// not say that they are grams, and those with three decimals.
fn refuse_parts_of_grams(
    cell: &CellText<'_>,
    grams: Decimal,
    assignment: &Assignment,
) -> Result<(), ValueFault> {
    let text = shorten(cell.text);
    let says_grams = !split_around(cell.text).2.is_empty();
    let is_whole = grams.fract().is_zero();
    let may_be_thousands =
        grams.scale() == 3 && grams >= Decimal::ONE && grams < Decimal::ONE_THOUSAND;
    if !may_be_thousands && (is_whole || says_grams) {
        return Ok(());
    }
    let column = assignment.columns.first().map_or_else(|| "…".into(), |(name, _)| quote(name));
    let name = assignment.target.name;
    let taken = match (says_grams, assignment.unit) {
        (true, _) => "may be grams or thousands of them",
        (false, Some(_)) => "is no whole number of grams without a mark",
        (false, None) => "names no unit and is no whole number of grams without a mark",
    };
    Err(ValueFault {
        rule: &rules::WHICH_UNIT,
        span: cell.span,
        message: format!("`{text}` {taken}"),
        hint: match says_grams {
            true => format!("write `{} g` if the mark parts thousands", grams.mantissa()),
            false => format!(
                "if it is kilograms, say so in the map: `{name}: {{column: {column}, unit: kg}}`; \
                 else write whole grams"
            ),
        },
    })
}

/// One text and its place.
struct CellText<'a> {
    /// What stands in the cell.
    text: &'a str,
    /// Its place.
    span: Span,
}

impl CellText<'_> {
    /// The complaint about a value of another kind.
    fn expected(&self, expected: &str, hint: String) -> ValueFault {
        ValueFault {
            rule: &rules::WRONG_VALUE,
            span: self.span,
            message: format!("expected {expected}, found `{}`", shorten(self.text)),
            hint,
        }
    }
}

impl ValueFault {
    /// The fault under a rule of its own.
    fn rule(self, rule: &'static Rule) -> ValueFault {
        ValueFault { rule, ..self }
    }
}

/// What spreadsheet programs show where a formula has no value; collected by us.
const SPREADSHEET_ERRORS: &[&str] =
    &["#N/A", "#REF!", "#VALUE!", "#NAME?", "#DIV/0!", "#NUM!", "#NULL!", "#SPILL!", "#CALC!"];

/// Refuses cells that a spreadsheet could not compute: they would be printed as they stand.
fn refuse_spreadsheet_error(given: &Given) -> Result<(), ValueFault> {
    let found = given.texts().find(|(text, _)| SPREADSHEET_ERRORS.contains(&text.as_str()));
    let Some((text, span)) = found else { return Ok(()) };
    Err(ValueFault {
        rule: &rules::SPREADSHEET_ERROR,
        span: *span,
        message: format!("`{text}` is a spreadsheet's error and no value"),
        hint: "mend its formula in the spreadsheet, or leave the cell empty".into(),
    })
}

/// A number of someone else's making, as it is written; a spreadsheet's apostrophe before it, which
/// keeps zeros in front, is not part of it.
fn keep_number(cell: &CellText<'_>) -> Result<String, ValueFault> {
    let text = match cell.text.strip_prefix('\'') {
        Some(rest) if rest.starts_with(|c: char| c.is_ascii_digit() || c == '+') => rest,
        _ => cell.text,
    };
    if is_cut_short(text) {
        return Err(ValueFault {
            rule: &rules::NUMBER_CUT_SHORT,
            span: cell.span,
            message: format!("a spreadsheet has cut this number short: `{text}`"),
            hint: "take the export as the shop made it, without saving it from a spreadsheet"
                .into(),
        });
    }
    Ok(text.to_owned())
}

/// A Harmonized System number; points and spaces part it in print only.
fn read_tariff(cell: &CellText<'_>) -> Result<String, ValueFault> {
    let digits = keep_number(cell)?.replace(['.', ' '], "");
    if is_digits(&digits) && (4..=10).contains(&digits.len()) {
        return Ok(digits);
    }
    let hint = "look the number up in the customs tariff, or leave the cell empty";
    Err(cell.expected("4 to 10 digits such as `960830`", hint.into()))
}

/// The texts of a list, each with its place.
fn list_texts(given: &Given, split: Option<&str>) -> Vec<(String, Span)> {
    let mut listed = Vec::new();
    for (text, span) in given.texts() {
        let texts: Vec<&str> = match split {
            Some(mark) => text.split(mark).collect(),
            None => vec![text],
        };
        let texts = texts.into_iter().map(str::trim).filter(|text| !text.is_empty());
        listed.extend(texts.map(|text| (text.to_owned(), *span)));
    }
    listed
}

/// Texts as the list of an orders file, each at its own cell.
fn list_nodes(texts: Vec<(String, Span)>) -> Value {
    let node = |(text, span): (String, Span)| Node { span, value: Value::Text(text) };
    Value::List(texts.into_iter().map(node).collect())
}
