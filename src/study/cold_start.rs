//! The minute after switch-on: cold heaters, a rectifier that is ready before the loads, capacitors at the crest.

use super::StudyError;
use crate::adaptation::Part;
use crate::circuit::Probe;
use crate::receiver::warmup::{FedBy, HOT_OVER_COLD, warm_up_seconds};
use crate::receiver::{Model, Operation, Receiver};
use schemars::JsonSchema;
use serde::Serialize;

/// A filter capacitor at switch-on.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct CapacitorAtStart {
    /// First, second, ...
    pub name: String,
    /// Highest volts before the tubes draw, V.
    pub peak_v: f64,
    /// Working volts, where known.
    pub rated_v: Option<f64>,
}

/// Switch-on at high line.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ColdStart {
    /// Current in the first cycles, heaters cold and rectifier not yet ready, A RMS. Iron that saturates on the
    /// wrong half cycle adds a spike of a cycle or two that is not modelled.
    pub inrush_a: f64,
    /// That over the running current.
    pub inrush_over_running: f64,
    /// True if the rectifier is ready seconds before the tubes draw.
    pub rectifier_first: bool,
    /// Filter capacitors before the tubes draw (directly heated rectifier), or at work (indirectly heated, which
    /// warms with the tubes).
    pub capacitors: Vec<CapacitorAtStart>,
    /// Seconds for the heaters to come to 90 % of their final temperature.
    pub warm_up_s: f64,
}

/// Solves the start behind `part` at high line, `sound` being its operating point there.
///
/// # Errors
/// A point that could not be solved.
pub(super) fn start(
    receiver: &Receiver,
    part: &dyn Part,
    sound: &Operation,
) -> Result<ColdStart, StudyError> {
    let line = sound.line;
    let cold_part = part.cold();
    let first: &dyn Part = cold_part.as_deref().unwrap_or(part);
    let cold = receiver.run_changed(line, first, sound, |model| {
        for filament in model.windings.iter_mut().flat_map(|w| &mut w.filaments) {
            // a fixed resistance, the cold one
            filament.amps *= HOT_OVER_COLD;
            filament.exponent = 1.0;
        }
        model.still_tubes();
        model.block_rectifier();
    })?;
    let inrush_a = cold.state.rms(Probe::Amps(cold.at.line));
    let running_a = sound.state.rms(Probe::Amps(sound.at.line));
    let rectifier_first = receiver.model().rectifier.heated_directly;
    let unloaded = rectifier_first
        .then(|| receiver.run_changed(line, part, sound, Model::still_tubes))
        .transpose()?;
    let at = unloaded.as_ref().unwrap_or(sound);
    let capacitors = at
        .at
        .capacitors
        .iter()
        .enumerate()
        .map(|(i, c)| CapacitorAtStart {
            name: format!("filter capacitor {}", i + 1),
            peak_v: at.state.peak(Probe::Volts(c.positive, c.negative)),
            rated_v: c.rated,
        })
        .collect();
    Ok(ColdStart {
        inrush_a,
        inrush_over_running: if running_a > 0.0 { inrush_a / running_a } else { 0.0 },
        rectifier_first,
        capacitors,
        warm_up_s: warm_up(receiver, sound, &cold),
    })
}

/// The tubes' winding behind everything as a source with a resistance, from its hot and its cold point.
fn warm_up(receiver: &Receiver, hot: &Operation, cold: &Operation) -> f64 {
    let windings = &receiver.model().windings;
    let Some(index) = windings.iter().position(|w| w.feeds_tubes) else {
        return 0.0;
    };
    let volts = |o: &Operation| o.heater_volts(index);
    let (vh, vc) = (volts(hot), volts(cold));
    let (ih, ic) = (vh / hot.slow.heater_ohms[index], vc / cold.slow.heater_ohms[index]);
    // E = V + r·I at both points
    let series = if ic > ih { ((vh - vc) / (ic - ih)).max(0.0) } else { 0.0 };
    warm_up_seconds(FedBy::Source { series_share: series / hot.slow.heater_ohms[index] })
}
