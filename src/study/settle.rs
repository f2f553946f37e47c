//! Runs a set behind a part, letting parts that warm up settle.

use super::{Result, StudyError};
use crate::{
    adaptation::Part,
    receiver::{Operation, Receiver, ReceiverError},
};

/// Rounds allowed for a part to settle.
const ROUNDS: usize = 30;
/// Settled when the resistance moves by less than this share.
const SETTLED: f64 = 3e-4;

/// A part as it settles, with the operating point it settles at.
pub struct Settled {
    /// The settled part where it warmed up; `None` where the given part stands.
    pub part: Option<Box<dyn Part>>,
    /// The operating point.
    pub operation: Operation,
}

/// Solves `receiver` on `line` volts behind `part`.
///
/// # Errors
/// The set has no solution, or the part does not settle.
pub fn run(
    receiver: &Receiver,
    part: &dyn Part,
    line: f64,
    near: Option<&Operation>,
) -> Result<Settled> {
    let near = near.unwrap_or(receiver.at_design());
    if part.hot_ohms(1.0, 1.0).is_none() {
        return Ok(Settled { part: None, operation: receiver.run(line, part, Some(near))? });
    }
    // on the way few steps will do
    let found = by(part, near, |part, near| receiver.run_changed(line, part, near, |_| ()))?;
    let now = found.part.as_deref().unwrap_or(part);
    let operation = receiver.run(line, now, Some(&found.operation))?;
    Ok(Settled { part: found.part, operation })
}

/// Settles `part` in whatever `solve` solves, such as a set with a fault.
///
/// # Errors
/// As [`run`].
pub fn by(
    part: &dyn Part,
    near: &Operation,
    solve: impl Fn(&dyn Part, &Operation) -> Result<Operation, ReceiverError>,
) -> Result<Settled> {
    let mut operation = solve(part, near)?;
    let mut settled: Option<Box<dyn Part>> = None;
    // what the part asks for, as a logarithm against its own: zero when settled
    let mut x = part.value().ln();
    let mut before: Option<(f64, f64)> = None;
    for _ in 0..ROUNDS {
        let now: &dyn Part = settled.as_deref().unwrap_or(part);
        let wanted = operation.at.inserted.parts.first().and_then(|lead| {
            let amps = operation.state.rms(lead.amps);
            now.hot_ohms(amps, operation.state.rms(lead.volts))
        });
        let miss = wanted.map_or(0.0, |ohms| ohms.ln() - x);
        if miss.abs() <= SETTLED {
            return Ok(Settled { part: settled, operation });
        }
        // a secant step where two points stand, else half the way
        let step = match before {
            Some((x0, miss0)) if (miss - miss0).abs() > 1e-12 => {
                (-miss * (x - x0) / (miss - miss0)).clamp(-1.0, 1.0)
            }
            _ => 0.5 * miss,
        };
        before = Some((x, miss));
        x += step;
        let next = now.with_ohms(x.exp()).unwrap_or_else(|| now.varied(0, 1.0));
        operation = solve(&*next, &operation)?;
        settled = Some(next);
    }
    Err(StudyError::Receiver(ReceiverError::NotSettled {
        rounds: ROUNDS,
        quantity: part.bought().to_string(),
        change: before.map_or(1.0, |(_, miss)| miss.abs()),
    }))
}
