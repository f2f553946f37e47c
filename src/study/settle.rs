//! Runs a set behind a part, letting parts that warm up settle.

use super::StudyError;
use crate::adaptation::Part;
use crate::circuit::Probe;
use crate::receiver::{Operation, Receiver, ReceiverError};

/// Rounds allowed for a part to settle.
const ROUNDS: usize = 60;
/// Settled when the resistance moves by less than this share.
const SETTLED: f64 = 1e-4;

/// A part as it settles, with the operating point it settles at.
pub(super) struct Settled {
    /// The settled part where it warmed up; `None` where the given part stands.
    pub part: Option<Box<dyn Part>>,
    /// The operating point.
    pub operation: Operation,
}

/// Solves `receiver` on `line` volts behind `part`.
///
/// # Errors
/// The set has no solution, or the part does not settle.
pub(super) fn run(
    receiver: &Receiver,
    part: &dyn Part,
    line: f64,
    near: Option<&Operation>,
) -> Result<Settled, StudyError> {
    let mut operation = receiver.run(line, part, near)?;
    let mut settled: Option<Box<dyn Part>> = None;
    let mut ohms = part.value();
    for _ in 0..ROUNDS {
        let now: &dyn Part = settled.as_deref().unwrap_or(part);
        let Some(lead) = operation.at.inserted.parts.first() else {
            return Ok(Settled {
                part: settled,
                operation,
            });
        };
        let amps = operation.state.rms(lead.amps);
        let volts = operation.state.rms(lead.volts);
        let Some(wanted) = now.hot_ohms(amps, volts) else {
            return Ok(Settled {
                part: settled,
                operation,
            });
        };
        if (wanted / ohms - 1.0).abs() <= SETTLED {
            return Ok(Settled {
                part: settled,
                operation,
            });
        }
        // a thermistor swings about its point: half steps in the logarithm settle it
        ohms = (ohms * wanted).sqrt();
        let next = now.with_ohms(ohms).unwrap_or_else(|| now.varied(0, 1.0));
        operation = receiver.run(line, &*next, Some(&operation))?;
        settled = Some(next);
    }
    Err(StudyError::Receiver(ReceiverError::NotSettled {
        rounds: ROUNDS,
        quantity: part.describe(),
        change: (operation.state.rms(Probe::Amps(operation.at.line)) - 1.0).abs(),
    }))
}
