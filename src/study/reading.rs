//! Reads a solved point as a meter would.

pub use super::{
    figures::{CapacitorReading, CoilReading, LeadPartReading, Reading, TapReading, TubeReading},
    heater_reading::HeaterReading,
    limit::{CLASS_A_C, HEATER_GOOD, HEATER_LIMIT, Limit, Rating, Standing},
};
use super::{
    filter_resistor::filter_resistors,
    heater_reading::{FORM_FACTOR, heaters},
    limits::limits,
    rectifier_reading::{rectifier, second},
    transformer,
};
use crate::{
    circuit::{Probe, REFERENCE},
    receiver::{LeadPart, Model, Operation, Receiver},
};

/// Reads an operating point of `receiver`.
pub fn read(receiver: &Receiver, operation: &Operation) -> Reading {
    let (model, state, at) = (receiver.model(), &operation.state, &operation.at);
    let (primary, line) = (Probe::Amps(at.primary), Probe::Amps(at.line));
    let (primary_a, line_a) = (state.rms(primary), state.rms(line));
    let line_w = -state.mean_product(Probe::Volts(at.outlet, at.neutral), line);
    let [lead_parts, droppers] =
        [&at.inserted.parts, &at.inserted.inner].map(|parts| dropping(parts, operation));
    let (lead_w, fitted_w) = lost(operation, line_w, &droppers);
    let mut reading = Reading {
        outlet_v: operation.line,
        set_v: operation.set_volts(),
        primary_turns: at.primary_turns,
        heaters: heaters(model, operation),
        b_plus_v: operation.b_plus(),
        reservoir_v: operation.dc(at.reservoir, REFERENCE),
        b_plus_ripple_v: state.ripple_rms(Probe::Volts(at.b_plus, REFERENCE)),
        coils: coils(receiver, operation),
        filter_resistors: filter_resistors(model, operation),
        taps: at
            .taps
            .iter()
            .map(|(name, node)| TapReading {
                name: name.clone(),
                volts_v: operation.dc(*node, REFERENCE),
            })
            .collect(),
        tubes: tubes(model, operation),
        rectifier: rectifier(model, operation),
        second: second(model, operation),
        capacitors: capacitors(operation),
        transformer: transformer::read(receiver, operation),
        primary_a,
        primary_averaged_a: FORM_FACTOR * state.mean_absolute(primary),
        crest_factor: ratio(state.peak(primary), primary_a),
        line_a,
        line_w,
        power_factor: ratio(line_w, operation.line * line_a),
        lead_parts,
        lead_w,
        fitted_w,
        droppers,
        limits: Vec::new(),
    };
    reading.limits = limits(model, &reading);
    reading
}

fn ratio(a: f64, b: f64) -> f64 {
    if b > 0.0 { a / b } else { 0.0 }
}

fn coils(receiver: &Receiver, operation: &Operation) -> Vec<CoilReading> {
    let coils = receiver.model().coils.iter().zip(&operation.at.coils).enumerate();
    let read = coils.map(|(i, (coil, (from, to, copper)))| CoilReading {
        name: coil.name.clone(),
        drop_v: operation.dc(*from, *to).abs(),
        current_a: operation.state.mean(Probe::Amps(*copper)),
        power_w: operation.state.rms(Probe::Amps(*copper)).powi(2) * operation.slow.coil_ohms[i],
        temperature_c: receiver.coil_celsius(operation, i),
    });
    read.collect()
}

fn capacitors(operation: &Operation) -> Vec<CapacitorReading> {
    let (state, at) = (&operation.state, &operation.at);
    let read = at.capacitors.iter().enumerate().map(|(i, c)| {
        let volts = Probe::Volts(c.positive, c.negative);
        CapacitorReading {
            name: at.capacitor_name(i),
            volts_v: state.mean(volts),
            peak_v: state.peak(volts),
            ripple_v: state.ripple_rms(volts),
            rated_v: c.marked.rated,
        }
    });
    read.collect()
}

/// What drops volts in the lead or inside the set.
fn dropping(parts: &[LeadPart], operation: &Operation) -> Vec<LeadPartReading> {
    let state = &operation.state;
    let read = parts.iter().map(|part| {
        let current_a = state.rms(part.amps);
        LeadPartReading {
            name: part.name.clone(),
            kind: part.kind,
            volts_v: state.rms(part.volts),
            current_a,
            power_w: part.copper_ohms.map_or_else(
                || state.mean_product(part.volts, part.amps),
                |ohms| current_a * current_a * ohms,
            ),
        }
    });
    read.collect()
}

/// Watts lost in what is fitted, of `line_w` from the outlet, and the same part by part.
fn lost(operation: &Operation, line_w: f64, droppers: &[LeadPartReading]) -> (f64, Vec<f64>) {
    let (state, at) = (&operation.state, &operation.at);
    let inserted = &at.inserted;
    if inserted.fitted_inside > 0 {
        let inside = droppers.iter().take(inserted.fitted_inside).map(|d| d.power_w);
        return (inside.clone().sum(), inside.collect());
    }
    // what the outlet gives and the set does not get: copper and core of whatever stands between
    let set = Probe::Volts(inserted.set, at.neutral);
    let between_w = (line_w - state.mean_product(set, Probe::Amps(at.primary))).max(0.0);
    // a resistor behind a transformer has its own heat
    let resistor = inserted.parts.iter().find(|part| part.copper_ohms.is_none());
    (between_w, vec![resistor.map_or(between_w, |r| state.mean_product(r.volts, r.amps))])
}

fn tubes(model: &Model, operation: &Operation) -> Vec<TubeReading> {
    let volts = |node| operation.dc(node, REFERENCE);
    let tubes = model.tubes.iter().zip(&operation.at.tubes).zip(&operation.slow.tube_volts);
    let read = tubes.map(|((tube, nodes), &[g, s, p, _])| {
        let given_w = tube.output_watts(model.signal, [g, s, p]);
        let amps = |id| operation.state.mean(Probe::Amps(id)) / tube.count;
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
            plate_w: plate_a * (plate_v - cathode_v) - given_w,
            plate_limit_w: tube.max_plate_watts,
            screen_w: screen_v.zip(screen_a).map(|(v, i)| (v - cathode_v) * i),
            output: tube.output,
        }
    });
    read.collect()
}
