//! Lists of parcels as people write them: `3,7-9`.
//!
//! In: the text. Out: numbers from 1, each once, in order. Not here: whether there are such parcels.

use std::ops::RangeInclusive;
use std::str::FromStr;

use super::halt::Halt;
use crate::words::counted;

/// Some parcels, by their numbers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct PositionList {
    /// The numbers, in the order they were written; both ends belong to a range.
    ranges: Vec<RangeInclusive<usize>>,
}

impl FromStr for PositionList {
    type Err = String;

    fn from_str(text: &str) -> Result<PositionList, String> {
        let ranges = text.split(',').map(|part| read_range(part.trim()));
        Ok(PositionList { ranges: ranges.collect::<Result<_, _>>()? })
    }
}

/// One number, or two with everything between them.
fn read_range(part: &str) -> Result<RangeInclusive<usize>, String> {
    let expected = || format!("expected numbers and ranges such as `3,7-9`, found `{part}`");
    let read = |text: &str| {
        let number: usize = text.trim().parse().map_err(|_| expected())?;
        if number == 0 { Err("the first one is number 1".to_owned()) } else { Ok(number) }
    };
    let (first, last) = part.split_once('-').unwrap_or((part, part));
    let (first, last) = (read(first)?, read(last)?);
    if first > last {
        return Err(format!("the range `{part}` goes backwards; write `{last}-{first}`"));
    }
    Ok(first..=last)
}

impl PositionList {
    /// The places among `count` parcels of `whole`, a batch or a kit, counted from 0.
    ///
    /// # Errors
    /// When there is no such parcel.
    pub(super) fn places(&self, whole: &str, count: usize) -> Result<Vec<usize>, Halt> {
        if let Some(range) = self.ranges.iter().find(|range| *range.end() > count) {
            let missing = (*range.start()).max(count + 1);
            let parcels = counted(count, "parcel");
            let hint = match count {
                0 => None,
                1 => Some("leave `--only` out".to_owned()),
                _ => Some(format!("give `--only` numbers from 1 to {count}")),
            };
            let message = format!("there is no parcel {missing}: the {whole} has {parcels}");
            return Err(Halt::usage(message).hint_if(hint));
        }
        Ok(self.list())
    }

    /// The places among `count` pages, counted from 0.
    ///
    /// # Errors
    /// The first page that is not there.
    pub(super) fn places_of(&self, count: usize) -> Result<Vec<usize>, usize> {
        match self.ranges.iter().find(|range| *range.end() > count) {
            Some(range) => Err((*range.start()).max(count + 1)),
            None => Ok(self.list()),
        }
    }

    /// All of them, counted from 0, each once, in order.
    fn list(&self) -> Vec<usize> {
        let mut places: Vec<usize> =
            self.ranges.iter().flat_map(|range| range.clone()).map(|number| number - 1).collect();
        places.sort_unstable();
        places.dedup();
        places
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The places of a list in a batch of twelve.
    fn places(text: &str) -> Vec<usize> {
        text.parse::<PositionList>().unwrap().places("batch", 12).unwrap()
    }

    #[test]
    fn numbers_and_ranges_are_read() {
        assert_eq!(places("3,7-9"), [2, 6, 7, 8]);
        assert_eq!(places(" 9 - 12 , 10,1 "), [0, 8, 9, 10, 11]);
    }

    #[test]
    fn a_parcel_that_is_not_there_is_told_with_how_many_there_are() {
        let halt = "11-14".parse::<PositionList>().unwrap().places("kit", 12).unwrap_err();
        assert_eq!(halt.findings[0].message, "there is no parcel 13: the kit has 12 parcels");
        assert_eq!(halt.findings[0].hints, ["give `--only` numbers from 1 to 12"]);
    }

    #[test]
    fn what_is_no_list_is_told() {
        let fault = |text: &str| text.parse::<PositionList>().unwrap_err();
        assert_eq!(fault("3,"), "expected numbers and ranges such as `3,7-9`, found ``");
        assert_eq!(fault("a"), "expected numbers and ranges such as `3,7-9`, found `a`");
        assert_eq!(fault("0"), "the first one is number 1");
        assert_eq!(fault("9-7"), "the range `9-7` goes backwards; write `7-9`");
        assert!(fault("1-2-3").starts_with("expected numbers"));
    }
}
