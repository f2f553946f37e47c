//! A dry rectifier in the place of a tube: what B+ becomes, and the resistor that brings it back.

use super::StudyError;
use super::caution::Caution;
use super::target::secant;
use crate::adaptation::Part;
use crate::receiver::{Receiver, Straight};

/// B+ counts as met within this share.
const MET: f64 = 1e-4;

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
    let over = |ohms: f64| -> Result<f64, StudyError> {
        let changed = receiver.run_changed(usual, &Straight as &dyn Part, &now, |model| {
            model.rectifier.surge_ohms += ohms;
        });
        Ok(changed?.b_plus() / wanted - 1.0)
    };
    let resistor_ohms = match over(0.0) {
        Ok(start) if start > 0.0 => {
            secant(over, (0.0, start), 100.0, MET, false, |ohms| ohms.max(1.0)).unwrap_or(None)
        }
        _ => None,
    };
    Ok(Some(Caution::DryRectifier {
        tube: made.model().rectifier.name.clone(),
        with_tube_v: wanted,
        now_v: now.b_plus(),
        crest_v: receiver.crest_volts(high),
        resistor_ohms,
    }))
}
