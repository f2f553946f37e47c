//! Coils, divider taps, tubes, capacitors and what stands in the line cord, as a meter reads them.

use super::Serialize;
use crate::{
    circuit::{Probe, REFERENCE},
    receiver::{LeadPart, Model, Operation, PartKind, Receiver, capacitor_part, coil_part},
};

/// A field coil or choke.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CoilReading {
    /// Name.
    pub name: String,
    /// Its name in drawings and tables, such as L1.
    #[serde(skip)]
    pub part: String,
    /// Drop, V DC.
    pub drop_v: f64,
    /// Current, A DC.
    pub current_a: f64,
    /// Heat, W.
    pub power_w: f64,
    /// Winding temperature, °C.
    pub temperature_c: f64,
}

/// Reads them.
pub(super) fn coils(receiver: &Receiver, operation: &Operation) -> Vec<CoilReading> {
    let coils = receiver.model().coils.iter().zip(&operation.at.coils).enumerate();
    let read = coils.map(|(i, (coil, (from, to, copper)))| CoilReading {
        name: coil.name.clone(),
        part: coil_part(i),
        drop_v: operation.dc(*from, *to).abs(),
        current_a: operation.state.mean(Probe::Amps(*copper)),
        power_w: operation.state.rms(Probe::Amps(*copper)).powi(2) * operation.slow.coil_ohms[i],
        temperature_c: receiver.coil_celsius(operation, i),
    });
    read.collect()
}

/// A divider tap.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TapReading {
    /// `divider.tap`.
    pub name: String,
    /// Volts against chassis, DC.
    pub volts_v: f64,
}

/// Reads them.
pub(super) fn taps(operation: &Operation) -> Vec<TapReading> {
    let taps = operation.at.taps.iter().map(|(name, node)| TapReading {
        name: name.clone(),
        volts_v: operation.dc(*node, REFERENCE),
    });
    taps.collect()
}

/// A tube, or several alike that share their connections; currents and watts are those of one.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TubeReading {
    /// Type and duty.
    pub name: String,
    /// How many, sections of twin types counted.
    pub count: f64,
    /// Against chassis, V DC.
    pub plate_v: f64,
    /// Against chassis, V DC.
    pub screen_v: Option<f64>,
    /// Grid against cathode, V DC.
    pub bias_v: f64,
    /// Cathode against chassis, V DC.
    pub cathode_v: f64,
    /// Plate current, A.
    pub plate_a: f64,
    /// Screen current, A.
    pub screen_a: Option<f64>,
    /// Plate dissipation, W.
    pub plate_w: f64,
    /// Its limit, W, where known.
    pub plate_limit_w: Option<f64>,
    /// Screen dissipation, W.
    pub screen_w: Option<f64>,
    /// True for an output tube.
    #[serde(skip)]
    pub(super) output: bool,
}

/// Watts as they are told: nothing has no minus, whatever the sign of the volts that no current flows at.
fn heat(watts: f64) -> f64 {
    watts + 0.0
}

/// Reads them.
pub(super) fn tubes(model: &Model, operation: &Operation) -> Vec<TubeReading> {
    let volts = |node| operation.dc(node, REFERENCE);
    let tubes = model.tubes.iter().zip(&operation.at.tubes).zip(&operation.slow.tube_volts);
    let read = tubes.map(|((tube, nodes), &[g, s, p, _])| {
        let given_w = tube.output_watts(model.signal, [g, s, p]);
        // no law gives an electrode less than none: what is below is what a mean is off
        let amps = |id| (operation.state.mean(Probe::Amps(id)) / tube.count).max(0.0);
        let (cathode_v, plate_v) = (volts(nodes.cathode), volts(nodes.plate));
        let (plate_a, screen_v) = (amps(nodes.plate_current), nodes.screen.map(volts));
        let screen_a = screen_v.map(|_| amps(nodes.screen_current));
        TubeReading {
            name: tube.label.clone(),
            count: tube.count,
            plate_v,
            screen_v,
            bias_v: nodes.grid.map_or(nodes.fixed_grid, volts) - cathode_v,
            cathode_v,
            plate_a,
            screen_a,
            plate_w: heat(plate_a * (plate_v - cathode_v) - given_w),
            plate_limit_w: tube.max_plate_watts,
            screen_w: screen_v.zip(screen_a).map(|(v, i)| heat((v - cathode_v) * i)),
            output: tube.output,
        }
    });
    read.collect()
}

/// A filter capacitor.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CapacitorReading {
    /// First, second, ...
    pub name: String,
    /// Its name in drawings and tables, such as C1.
    #[serde(skip)]
    pub part: String,
    /// Average across it, V DC.
    pub volts_v: f64,
    /// Highest instantaneous volts at work.
    pub peak_v: f64,
    /// Ripple, V RMS.
    pub ripple_v: f64,
    /// Working volts, where known.
    pub rated_v: Option<f64>,
}

/// Reads them.
pub(super) fn capacitors(operation: &Operation) -> Vec<CapacitorReading> {
    let (state, at) = (&operation.state, &operation.at);
    let read = at.capacitors.iter().enumerate().map(|(i, c)| {
        let volts = Probe::Volts(c.positive, c.negative);
        CapacitorReading {
            name: at.capacitor_name(i),
            part: capacitor_part(i),
            volts_v: state.mean(volts),
            peak_v: state.peak(volts),
            ripple_v: state.ripple_rms(volts),
            rated_v: c.marked.rated,
        }
    });
    read.collect()
}

/// A part in the line cord.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LeadPartReading {
    /// Name.
    pub name: String,
    /// Its name in drawings and tables, such as R1; none for what an adaptation puts in, and for what goes by its type.
    #[serde(skip)]
    pub part: Option<String>,
    /// What it is.
    #[serde(skip)]
    pub(crate) kind: PartKind,
    /// Volts RMS across it.
    pub volts_v: f64,
    /// Amperes RMS through it.
    pub current_a: f64,
    /// Heat, W.
    pub power_w: f64,
}

/// Reads what drops volts in the lead or inside the set.
pub(super) fn dropping(
    model: &Model,
    parts: &[LeadPart],
    operation: &Operation,
) -> Vec<LeadPartReading> {
    let state = &operation.state;
    let read = parts.iter().map(|part| {
        let current_a = state.rms(part.amps);
        LeadPartReading {
            name: part.name.clone(),
            part: model.resistor_part(&part.name),
            kind: part.kind,
            volts_v: state.rms(part.volts),
            current_a,
            power_w: part.copper_ohms.map_or_else(
                // a capacitor's watts are nothing, and what the steps leave of them may be below that
                || state.mean_product(part.volts, part.amps).max(0.0),
                |ohms| current_a * current_a * ohms,
            ),
        }
    });
    read.collect()
}
