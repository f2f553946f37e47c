//! Readings as a profile has them: a line each.

use super::{Aside, LogReading, MOST_LOGGED, OutletLog, time::time};
use crate::{
    profile::{
        cursor::Cursor,
        declare::form,
        reach::{CHECK, out_of_reach},
    },
    quantity::{Sign, Voltage, parse, pattern},
};
use std::sync::Arc;

/// What a line looks like.
const LINE: &str =
    "write time and voltage with a comma between, such as `- 2026-11-03 07:40, 121.8 V`";

form! {
    /// What a meter showed in the outlet, a line each: time, comma, voltage with its unit
    LogLines -> Arc<OutletLog>: named [LogLine] { "minItems": 5 },
    |at| {
        let places = at.list()?;
        if places.len() > MOST_LOGGED {
            return at.refuse("the log is too long", format!("keep it within {MOST_LOGGED} readings"));
        }
        let read: Vec<_> = places.iter().map(LogLine::read).collect();
        // one that is wrong is told by itself
        let readings = read.into_iter().collect::<Option<Vec<_>>>()?;
        match OutletLog::of(readings.clone(), None) {
            Err((place, found, advice)) => {
                place.and_then(|i| places.get(i)).unwrap_or(at).refuse(found, advice)
            }
            Ok(log) => {
                for (reading, why) in &log.aside {
                    let place = readings.iter().position(|r| r == reading);
                    let found = match why {
                        Aside::Off => "the mains were off, or the meter: this reading is not counted",
                        Aside::Far => "this reading is far from all others and is not counted",
                    };
                    place.and_then(|i| places.get(i)).unwrap_or(at).warn(found, "see what the meter did then");
                }
                Some(Arc::new(log))
            }
        }
    }
}

form! {
    /// A reading of the outlet: year-month-day hour:minute by the clock on the wall, a comma, and the voltage
    LogLine as "log-reading" -> LogReading = {
        "type": "string",
        "pattern": format!(
            r"^\s*[0-9]{{4}}-?[0-9]{{2}}-?[0-9]{{2}}[ Tt][^,]*,{}",
            pattern::<Voltage>(Sign::NonNegative).trim_start_matches('^')
        ),
        "examples": ["2026-11-03 07:40, 121.8 V"]
    },
    reading
}

fn reading(at: &Cursor<'_>) -> Option<LogReading> {
    let text = at.text()?;
    let Some((when, shown)) = text.split_once(',') else {
        return at.refuse("this is no reading of the outlet", LINE);
    };
    let when = time(when).map_err(|(found, advice)| at.fail(found, advice)).ok();
    let volts = at.parse_with(|_| parse::<Voltage>(shown, Sign::NonNegative));
    let (when, volts) = (when?, volts?);
    if let Some(found) = out_of_reach(shown, volts) {
        return at.refuse(found, CHECK);
    }
    Some(LogReading { at: when.0, universal: when.1, volts, line: None })
}
