//! Dates and times as they are written beside a reading.

use crate::profile::problem::quoted;
use jiff::civil::DateTime;

/// What to write.
const WRITE: &str = "write year, month, day and time, such as 2026-11-03 07:40";

/// A time as it is written by ISO 8601, and whether it is Universal Time; a shift behind it is that of the clock and moves
/// nothing.
///
/// # Errors
/// What was found and what to write.
pub fn time(text: &str) -> Result<(DateTime, bool), (String, String)> {
    let text = text.trim();
    let refused = |why: &str| (format!("{} {why}", quoted(text)), WRITE.to_owned());
    // 11/03/2026 may be of March or of November
    if text.contains('/') || text.split('.').count() > 2 {
        return Err(refused("does not say in order which is the month and which the day"));
    }
    if !text.contains([' ', 'T', 't']) {
        return Err(refused("is not a date with a time"));
    }
    let local = text.strip_suffix(['Z', 'z']);
    let at = local.unwrap_or(text).parse::<DateTime>();
    Ok((at.map_err(|_| refused("is not a date with a time"))?, local.is_some()))
}

#[cfg(test)]
mod tests {
    use super::time;

    // ISO 8601 as RFC 3339 (Klyne and Newman, Date and Time on the Internet, 2002) has it, seconds and shift left out or not
    #[test]
    fn times_are_read_by_the_clock() {
        for text in [
            "2026-11-03 07:40",
            " 2026-11-03T07:40 ",
            "2026-11-03t07:40:00",
            "2026-11-03 07:40:00.000",
            "2026-11-03T07:40+01:00",
            "2026-11-03T07:40:00-05:00",
            "20261103T0740",
        ] {
            let (at, universal) = time(text).unwrap_or_else(|(found, _)| panic!("{found}"));
            assert_eq!(
                (at.to_string().as_str(), universal),
                ("2026-11-03T07:40:00", false),
                "{text}"
            );
        }
        assert_eq!(time("2026-11-03T07:40Z").map(|(_, universal)| universal), Ok(true));
        // 2028 is a leap year
        assert!(time("2028-02-29 12:00").is_ok());
    }

    #[test]
    fn what_is_no_time_is_refused() {
        for text in [
            "",
            "07:40",
            "2026-11-03",
            "11/03/2026 07:40",
            "03.11.2026 07:40",
            "2026-02-29 12:00",
            "2026-13-01 12:00",
            "2026-11-03 25:00",
            "2026-11-03 07:61",
            "yesterday at noon",
            "2026-11-03 07:40 p.m.",
        ] {
            let (found, advice) = time(text).unwrap_err();
            assert!(found.contains(text.trim()) && advice.contains("2026-11-03 07:40"), "{text}");
        }
    }
}
