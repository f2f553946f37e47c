//! The day of a set: the outlet at its lowest, usual and highest.

use super::{OutletVolts, Reading, Result, Serialize, read, settle};
use crate::{
    adaptation::Part,
    receiver::{Operation, Receiver},
};

/// Low, usual and high line.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Day {
    /// At the lowest outlet volts.
    pub low: Reading,
    /// At the usual.
    pub usual: Reading,
    /// At the highest.
    pub high: Reading,
}

impl Day {
    /// The readings of a solved day.
    pub(super) fn read(receiver: &Receiver, run: &DayRun) -> Day {
        let [low, usual, high] = [&run.low, &run.usual, &run.high].map(|o| read(receiver, o));
        Day { low, usual, high }
    }
}

/// The three operating points of a day, the part settled at each.
pub struct DayRun {
    pub low: Operation,
    pub usual: Operation,
    pub high: Operation,
    /// The part as it stands at high line, where it warmed up.
    pub high_part: Option<Box<dyn Part>>,
}

/// Solves the day of a part. `alike` may be another day of the set; it saves time only: the line moves both alike.
///
/// # Errors
/// A point that could not be solved.
pub fn run_day(
    receiver: &Receiver,
    outlet: &OutletVolts,
    part: &dyn Part,
    near: Option<&Operation>,
    alike: Option<&DayRun>,
) -> Result<DayRun> {
    let settled = settle::run(receiver, part, outlet.usual_v, near)?;
    let (usual, warm) = (settled.operation, settled.part);
    let part = warm.as_deref().unwrap_or(part);
    let at = |line: f64, there: fn(&DayRun) -> &Operation| {
        let begin = alike.map(|day| usual.gone(&day.usual, there(day)));
        settle::run(receiver, part, line, begin.as_ref().or(Some(&usual)))
    };
    let low = at(outlet.low_v, |day| &day.low)?.operation;
    let high = at(outlet.high_v, |day| &day.high)?;
    Ok(DayRun { low, high: high.operation, high_part: high.part.or(warm), usual })
}
