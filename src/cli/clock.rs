//! The command's own clock, and the times that people type.
//!
//! In: the system's clock and time zone. Out: a [`Moment`] with the offset that the zone has then. Not
//! here: what is done with it; the engine and the ledger read no clock.

use chrono::{DateTime, Local, NaiveDateTime, Offset as _, TimeZone as _};

use crate::ledger::Moment;

/// What a time looks like, for messages.
const SHAPE: &str =
    "`2026-11-27T19:42`, with its offset (`+01:00`, `Z`) or by this machine's clock";

/// The time that it is now, as this machine's clock shows it.
pub(super) fn now() -> Moment {
    to_moment(&Local::now())
}

/// Reads a time as a person types it; without an offset it is by this machine's clock.
///
/// # Errors
/// When it is no time, or one that this machine's clock leaps over.
pub(super) fn parse_time(text: &str) -> Result<Moment, String> {
    let text = text.trim();
    let clock = text.split_once(['T', ' ']).map_or("", |(_, clock)| clock);
    if clock.ends_with('Z') || clock.contains(['+', '-']) {
        return Moment::parse(text).ok_or_else(|| format!("expected {SHAPE}"));
    }
    // Read with any offset, it says whether it is a time at all.
    let typed = Moment::parse(text).ok_or_else(|| format!("expected {SHAPE}"))?;
    let naive = DateTime::from_timestamp(typed.seconds(), 0).map(|time| time.naive_utc());
    let local = naive.and_then(find_local);
    local.ok_or_else(|| format!("clocks here leap over `{text}`; write its offset behind it"))
}

/// Reads a day as a person types it: its first second by this machine's clock. A time is taken as it is.
///
/// # Errors
/// When it is no day.
pub(super) fn parse_day(text: &str) -> Result<Moment, String> {
    let text = text.trim();
    let whole = if text.contains(['T', ' ']) { text.to_owned() } else { format!("{text}T00:00") };
    parse_time(&whole).map_err(|_| format!("expected a day such as `2026-06-01`, found `{text}`"))
}

/// The first moment at which clocks here show a time; none when they leap over it.
fn find_local(shown: NaiveDateTime) -> Option<Moment> {
    Local.from_local_datetime(&shown).earliest().map(|time| to_moment(&time))
}

/// A time of the system as a moment.
fn to_moment(time: &DateTime<Local>) -> Moment {
    let ahead = time.offset().fix().local_minus_utc() / 60;
    Moment::of_clock(time.timestamp(), i16::try_from(ahead).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_as_people_type_them() {
        let typed = parse_time("2026-11-27T19:42:05+01:00").unwrap();
        assert_eq!(typed.to_string(), "2026-11-27T19:42:05+01:00");
        assert_eq!(parse_time("2026-11-27 18:42:05Z"), Ok(typed));
        // Without an offset the clock on the wall is meant, wherever that is.
        let here = parse_time(" 2026-11-27 19:42 ").unwrap();
        assert!(here.to_string().starts_with("2026-11-27T19:42:00"), "{here}");
        for text in ["", "tonight", "19:42", "2026-02-30T10:00", "2026-11-27T25:00"] {
            assert!(parse_time(text).unwrap_err().starts_with("expected `2026-"), "{text}");
        }
    }

    #[test]
    fn now_is_after_this_was_written() {
        assert!(now() > Moment::parse("2026-01-01").unwrap());
    }
}
