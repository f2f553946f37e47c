//! The minute after switch-on: cold heaters, a rectifier that is ready before the loads, capacitors at the crest.

use super::{Result, Serialize};
use crate::{
    adaptation::Part,
    catalogue::stock::capacitor_for,
    circuit::Probe,
    receiver::{
        Marked, Operation, Placed, Receiver, Rectifier,
        warmup::{FedBy, warm_up_seconds},
    },
};

/// A filter capacitor at high line: at work, and at switch-on.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CapacitorAtStart {
    /// First, second, ...
    pub name: String,
    /// Highest volts at switch-on, V: before the tubes draw, or at work with a rectifier that warms with them.
    pub peak_v: f64,
    /// Highest volts if a rectifier that warms with the tubes is ready before them, V; null for any other.
    pub early_v: Option<f64>,
    /// Highest volts at work, ripple counted, V.
    pub running_v: f64,
    /// Working volts, where known.
    pub rated_v: Option<f64>,
    /// Volts it bears at switch-on, where known.
    pub surge_v: Option<f64>,
    /// True where those follow from the working volts by the standard's rule.
    pub surge_by_rule: bool,
    /// True if `running_v` exceeds `rated_v`.
    pub running_exceeds: bool,
    /// True if `peak_v` exceeds `surge_v`.
    pub switch_on_exceeds: bool,
    /// Where it exceeds either, the lowest rated voltage of the trade that stands both; null where none do.
    pub fit_v: Option<f64>,
}

impl CapacitorAtStart {
    fn new(
        name: String,
        marked: Marked,
        running_v: f64,
        (peak_v, early_v): (f64, Option<f64>),
    ) -> CapacitorAtStart {
        let (surge_v, by_rule) = marked.bears().unzip();
        let running_exceeds = marked.rated.is_some_and(|rated| running_v > rated);
        let switch_on_exceeds = surge_v.is_some_and(|surge| peak_v > surge);
        let exceeds = running_exceeds || switch_on_exceeds;
        CapacitorAtStart {
            name,
            peak_v,
            early_v,
            running_v,
            rated_v: marked.rated,
            surge_v,
            surge_by_rule: by_rule.unwrap_or(false),
            running_exceeds,
            switch_on_exceeds,
            fit_v: exceeds.then(|| capacitor_for(running_v, peak_v)).flatten(),
        }
    }

    /// True if it gets more than it bears, at work or at switch-on.
    pub fn exceeds(&self) -> bool {
        self.running_exceeds || self.switch_on_exceeds
    }
}

/// When a rectifier is ready after switch-on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Ready {
    /// Dry: from the first half cycle.
    AtOnce,
    /// Its filament is the cathode: within seconds, before the tubes.
    WithinSeconds,
    /// It warms as slowly as the tubes do.
    WithTheTubes,
}

/// Switch-on at high line.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ColdStart {
    /// Current in the first cycles, heaters cold and rectifier not yet ready, A RMS. Iron that saturates on the
    /// wrong half cycle adds a spike of a cycle or two that is not modelled.
    pub inrush_a: f64,
    /// That over the running current.
    pub inrush_over_running: f64,
    /// True if the rectifier is ready seconds before the tubes draw.
    pub rectifier_first: bool,
    /// When the rectifier is ready.
    pub ready: Ready,
    /// Filter capacitors before the tubes draw (of a directly heated rectifier), or at work (indirectly heated, which
    /// warms with the tubes).
    pub capacitors: Vec<CapacitorAtStart>,
    /// Seconds for the heaters to come to 90 % of their final temperature.
    pub warm_up_s: f64,
}

/// Solves the start behind `part` at high line, `sound` being its operating point there.
///
/// # Errors
/// A point that could not be solved.
pub fn start(receiver: &Receiver, part: &dyn Part, sound: &Operation) -> Result<ColdStart> {
    let line = sound.line;
    let cold_part = part.cold();
    let first = cold_part.as_deref().unwrap_or(part);
    let cold = receiver.run_changed(line, first, sound, |model| {
        // in the first minute its copper is that of the room
        model.copper.rise = 0.0;
        model.just_switched_on();
    })?;
    let inrush_a = cold.state.rms(Probe::Amps(cold.at.line));
    let running_a = sound.state.rms(Probe::Amps(sound.at.line));
    let ready_of = |rectifier: &Rectifier| match rectifier.heated_directly {
        _ if rectifier.kind.is_dry() => Ready::AtOnce,
        true => Ready::WithinSeconds,
        false => Ready::WithTheTubes,
    };
    let ready = ready_of(&receiver.model().rectifier);
    let own = receiver.model().second.as_ref().map(|second| ready_of(&second.rectifier));
    let unloaded = unloaded(receiver, part, sound)?;
    let capacitors = sound.at.capacitors.iter().zip(&unloaded.at.capacitors).enumerate();
    let capacitors = capacitors
        .map(|(i, (at_work, before))| {
            let peak =
                |o: &Operation, c: &Placed| o.state.peak(Probe::Volts(c.positive, c.negative));
            let (running_v, crest_v) = (peak(sound, at_work), peak(&unloaded, before));
            let of_second = sound.at.second.as_ref().is_some_and(|s| i >= s.capacitors_from);
            let first = own.filter(|_| of_second).unwrap_or(ready) != Ready::WithTheTubes;
            let at_start = if first { (crest_v, None) } else { (running_v, Some(crest_v)) };
            CapacitorAtStart::new(sound.at.capacitor_name(i), at_work.marked, running_v, at_start)
        })
        .collect();
    Ok(ColdStart {
        inrush_a,
        inrush_over_running: if running_a > 0.0 { inrush_a / running_a } else { 0.0 },
        rectifier_first: ready != Ready::WithTheTubes,
        ready,
        capacitors,
        warm_up_s: warm_up(receiver, sound, &cold),
    })
}

/// The set behind `part` before its tubes draw, from its operating point `sound`.
///
/// # Errors
/// A point that could not be solved.
pub fn unloaded(receiver: &Receiver, part: &dyn Part, sound: &Operation) -> Result<Operation> {
    let unloaded = receiver.run_changed(sound.line, part, sound, |model| {
        model.copper.rise = 0.0;
        model.still_tubes();
        // a load of a stated current is tubes that draw, and those are cold
        for load in model.loads.iter_mut().filter(|l| l.ohms.is_none()) {
            load.amps = 0.0;
        }
    })?;
    Ok(unloaded)
}

/// The tubes' winding behind everything as a source with a resistance, from its hot and its cold point.
fn warm_up(receiver: &Receiver, hot: &Operation, cold: &Operation) -> f64 {
    let Some(index) = receiver.model().windings.iter().position(|w| w.feeds_tubes) else {
        return 0.0;
    };
    let volts = |o: &Operation| o.heater_volts(index);
    let (vh, vc) = (volts(hot), volts(cold));
    let (ih, ic) = (vh / hot.slow.heater_ohms[index], vc / cold.slow.heater_ohms[index]);
    // E = V + r·I at both points
    let series = if ic > ih { ((vh - vc) / (ic - ih)).max(0.0) } else { 0.0 };
    warm_up_seconds(FedBy::Source { series_share: series / hot.slow.heater_ohms[index] })
}
