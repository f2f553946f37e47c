//! The droppers of a set without a transformer: what its heater string takes, and the surge resistor that brings B+
//! back to what it was designed for.

use super::{OutletVolts, Result, target::secant};
use crate::{
    adaptation::{Dropper, StringDropper, StringPart, Surge},
    catalogue::stock::ResistorSize,
    circuit::Probe,
    receiver::{HeaterLine, Inside, Operation, Receiver},
};

/// B+ above that of the design line by less than this share is left as it is.
const LEFT_ALONE: f64 = 0.01;
/// B+ counts as met within this share.
const MET: f64 = 1e-4;
/// Most ohms looked at.
const MOST_OHMS: f64 = 2000.0;

/// The dropper that suits the string of `receiver` on `outlet` volts, with the owner's resistors `own`, Ω and size; `None`
/// for a set with a transformer.
///
/// # Errors
/// A point that could not be solved.
pub fn string_dropper(
    own: &[(f64, ResistorSize)],
    receiver: &Receiver,
    outlet: &OutletVolts,
) -> Result<Option<StringDropper>> {
    let model = receiver.model();
    let Some(string) = &model.string else {
        return Ok(None);
    };
    Ok(Some(StringDropper {
        present: string.plain_ohms(),
        amps: string.amps,
        surge: surge(receiver, string, outlet)?,
        own: own.to_vec(),
    }))
}

/// The surge resistor that makes B+ on the usual line what it is on the design line, with what it carries at high line.
fn surge(receiver: &Receiver, string: &HeaterLine, outlet: &OutletVolts) -> Result<Option<Surge>> {
    let wanted = receiver.at_design().b_plus();
    let present = receiver.model().rectifier.surge_ohms;
    let part = |ohms: f64| StringPart {
        dropper: Dropper::bare(string.plain_ohms()),
        surge: Some(Dropper::bare(ohms)),
        replaces: Inside::default(),
    };
    let mut near = receiver.run(outlet.usual_v, &part(present), None)?;
    let (over, amps) = (near.b_plus() / wanted - 1.0, plate_amps(&near));
    if over <= LEFT_ALONE || amps <= 0.0 {
        return Ok(None);
    }
    let guess = present + 0.5 * over * wanted / amps;
    let miss = |ohms: f64| {
        near = receiver.run(outlet.usual_v, &part(ohms), Some(&near))?;
        Ok(near.b_plus() / wanted - 1.0)
    };
    let within = |ohms: f64| ohms.clamp(0.0, MOST_OHMS);
    let Some(ohms) = secant(miss, (present, over), guess, MET, false, within)? else {
        return Ok(None);
    };
    let high = receiver.run(outlet.high_v, &part(ohms), Some(&near))?;
    Ok(Some(Surge { present, ohms, amps: plate_amps(&high) }))
}

/// What a plate lead carries, A RMS: the resistor in it, not the tube, which a fault may bridge.
pub fn plate_amps(operation: &Operation) -> f64 {
    let at = &operation.at;
    let lead = at.surge.first().copied().or(at.plates.first().map(|plate| plate.id));
    lead.map_or(0.0, |id| operation.state.rms(Probe::Amps(id)))
}
