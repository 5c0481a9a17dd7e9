//! Where a stream's data lies, and how it is packed.
//!
//! In: a lexer behind a stream's dictionary; the dictionary. Out: the stretch of the file that
//! holds the data; the plain bytes. Not here: the unpacking itself (`filters`), and following
//! references (`reader`).

use std::ops::Range;

use super::error::{Result, broken};
use super::filters::{Predictor, StreamFilter, undo};
use super::fuel::Fuel;
use super::lexer::{Lexer, is_space};
use super::object::{Dict, Object};

/// The most filters that one stream may name.
const FILTERS: usize = 8;

/// The stretch of the data of a stream whose dictionary was just read; none when no stream
/// follows. Where `length` is missing or wrong, the word `endstream` ends the data, as it does
/// in viewers.
pub(super) fn stream_data(
    lexer: &mut Lexer<'_>,
    length: Option<usize>,
    fuel: &mut Fuel,
) -> Result<Option<Range<usize>>> {
    if !lexer.take_word("stream") {
        return Ok(None);
    }
    let rest = lexer.rest();
    let line_end = match rest {
        [b'\r', b'\n', ..] => 2,
        [b'\n' | b'\r', ..] => 1,
        _ => 0,
    };
    let start = lexer.at() + line_end;
    let word = b"endstream";
    if let Some(length) = length
        && let Some(after) = rest[line_end..].get(length..)
    {
        let space = after.iter().take(8).take_while(|byte| is_space(**byte)).count();
        if after[space..].starts_with(word) {
            fuel.spend(length)?;
            return Ok(Some(start..start + length));
        }
    }
    let data = &rest[line_end..];
    let found = data.windows(word.len()).position(|window| window == word);
    fuel.spend(found.unwrap_or(data.len()))?;
    let found = found.ok_or_else(|| broken("a stream has no end: the file was cut short"))?;
    let data = &data[..found];
    let data =
        data.strip_suffix(b"\n").map_or(data, |line| line.strip_suffix(b"\r").unwrap_or(line));
    Ok(Some(start..start + data.len()))
}

/// The filters of a stream whose dictionary holds no references.
fn direct_filters(dict: &Dict) -> Result<Vec<StreamFilter>> {
    let names = as_list(dict.get("Filter"));
    let settings = as_list(dict.get("DecodeParms"));
    filters(&names, &settings)
}

/// The value as a list: an array's values, one value alone, or nothing.
fn as_list(value: Option<&Object>) -> Vec<Object> {
    match value {
        None => Vec::new(),
        Some(Object::Array(values)) => values.clone(),
        Some(value) => vec![value.clone()],
    }
}

/// The filters by their names and settings, both free of references.
pub(super) fn filters(names: &[Object], settings: &[Object]) -> Result<Vec<StreamFilter>> {
    if names.len() > FILTERS {
        return Err(broken(format!("a stream is packed more than {FILTERS} times")));
    }
    let none = Dict::default();
    let pairs = names.iter().enumerate().map(|(index, name)| {
        let settings = settings.get(index).and_then(Object::dict).unwrap_or(&none);
        filter(&name.name().unwrap_or_default(), settings)
    });
    pairs.collect()
}

/// The filter called `name`.
fn filter(name: &[u8], settings: &Dict) -> Result<StreamFilter> {
    let number =
        |key: &str, default| settings.get(key).and_then(Object::integer).unwrap_or(default);
    let Predictor { kind, colours, bits, columns } = Predictor::NONE;
    let predictor = Predictor {
        kind: number("Predictor", kind),
        colours: number("Colors", colours),
        bits: number("BitsPerComponent", bits),
        columns: number("Columns", columns),
    };
    Ok(match name {
        b"FlateDecode" | b"Fl" => StreamFilter::Flate(predictor),
        b"LZWDecode" | b"LZW" => StreamFilter::Lzw(predictor, number("EarlyChange", 1) != 0),
        b"ASCII85Decode" | b"A85" => StreamFilter::Ascii85,
        b"ASCIIHexDecode" | b"AHx" => StreamFilter::AsciiHex,
        b"RunLengthDecode" | b"RL" => StreamFilter::RunLength,
        other => {
            let name = String::from_utf8_lossy(other);
            return Err(broken(format!("expected packed text, found the filter `{name}`")));
        }
    })
}

/// `data` with all filters undone.
pub(super) fn unpack(filters: &[StreamFilter], data: &[u8], fuel: &mut Fuel) -> Result<Vec<u8>> {
    let mut plain = None;
    for filter in filters {
        let made = undo(*filter, plain.as_deref().unwrap_or(data))?;
        fuel.spend(made.len())?;
        plain = Some(made);
    }
    match plain {
        Some(plain) => Ok(plain),
        None => {
            fuel.spend(data.len())?;
            Ok(data.to_vec())
        }
    }
}

/// The plain data of a stream whose dictionary holds no references.
pub(super) fn unpack_direct(dict: &Dict, data: &[u8], fuel: &mut Fuel) -> Result<Vec<u8>> {
    unpack(&direct_filters(dict)?, data, fuel)
}
