//! A dry rectifier in the place of a tube: what B+ becomes, and the resistor that brings it back.

use super::StudyError;
use super::caution::Caution;
use crate::adaptation::Part;
use crate::receiver::{Receiver, Straight};

/// B+ counts as met within this share.
const MET: f64 = 1e-4;
/// Searches allowed.
const ROUNDS: usize = 30;

/// The caution for a set whose tube rectifier gave way to a dry one; `None` for any other set.
///
/// # Errors
/// A point that could not be solved.
pub(super) fn replaced(
    receiver: &Receiver,
    (usual, high): (f64, f64),
) -> Result<Option<Caution>, StudyError> {
    let made = receiver.as_made();
    if receiver.model().replaced.is_none() {
        return Ok(None);
    }
    let with_tube = made.run(usual, &Straight, None)?;
    let now = receiver.run(usual, &Straight, None)?;
    let wanted = with_tube.b_plus();
    let at = |ohms: f64| -> Option<f64> {
        let changed = receiver.run_changed(usual, &Straight as &dyn Part, &now, |model| {
            model.rectifier.surge_ohms += ohms;
        });
        Some(changed.ok()?.b_plus() / wanted - 1.0)
    };
    Ok(Some(Caution::DryRectifier {
        tube: made.model().rectifier.name.clone(),
        with_tube_v: wanted,
        now_v: now.b_plus(),
        crest_v: receiver.crest_volts(high),
        resistor_ohms: resistor(at),
    }))
}

/// Where `over` comes to nothing: secant steps from no resistor on.
fn resistor(over: impl Fn(f64) -> Option<f64>) -> Option<f64> {
    let (mut a, mut over_a) = (0.0, over(0.0)?);
    if over_a <= 0.0 {
        return None;
    }
    let mut b = 100.0;
    for _ in 0..ROUNDS {
        let over_b = over(b)?;
        if over_b.abs() <= MET {
            return Some(b);
        }
        let slope = (over_b - over_a) / (b - a);
        if slope >= 0.0 {
            return None;
        }
        (a, over_a) = (b, over_b);
        b = (b - over_b / slope).max(1.0);
    }
    None
}
