//! The copper of the power transformer at its working temperature, in whole sets.

use super::as_read::every_model;
use mainsfit::circuit::{CircuitError, Network, Node, Probe, REFERENCE};
use mainsfit::receiver::{
    Inserted, Inside, MainsLead, Operation, PartKind, Receiver, Straight, resistor_part,
};
use mainsfit::study::read;

/// Sets with a power transformer, by what their copper is stated to be.
fn sets(warm: bool) -> impl Iterator<Item = (String, Receiver)> {
    let mut models = every_model();
    models.retain(|(_, model, _)| model.string.is_none());
    assert!(models.len() >= 6, "{}", models.len());
    models.into_iter().map(move |(path, mut model, _)| {
        model.copper.warm = warm;
        (path, Receiver::new(model, None).unwrap())
    })
}

/// Volts in, less what leaves by heaters, rectifier and bias supply: nothing of it knows of copper or iron.
fn lost(o: &Operation) -> f64 {
    let watts = |(a, b), id| o.state.mean_product(Probe::Volts(a, b), Probe::Amps(id));
    let at = &o.at;
    let taken = watts((at.as_built, at.neutral), at.primary);
    let heaters = at
        .windings
        .iter()
        .enumerate()
        .map(|(i, &(a, b))| o.state.rms(Probe::Volts(a, b)).powi(2) / o.slow.heater_ohms[i]);
    // every diode's own heat, and what its current carries from the plates on
    let rectified: f64 = at.plates.iter().map(|d| watts((d.plate, at.centre), d.id)).sum();
    let own = at.second.iter().flat_map(|second| &second.plates);
    let second: f64 = own.map(|d| watts((d.plate, REFERENCE), d.id)).sum();
    taken - heaters.sum::<f64>() - rectified - second
}

/// Energy: what goes in and does not come out is the heat of copper and iron, to a thousandth.
#[test]
fn the_losses_are_what_does_not_come_out() {
    let mut seen = 0;
    for (path, set) in sets(false) {
        let o = set.run(1.07 * set.model().design_line, &Straight, None).unwrap();
        let second = o.at.second.as_ref();
        let second = second.is_none_or(|s| s.returns.is_empty() && s.surge.is_none());
        let plain = o.at.returns.is_empty() && o.at.surge.is_empty() && second;
        if !plain || set.model().bias.is_some() || set.model().auto {
            continue;
        }
        let (told, lost) = (o.losses().total_w(), lost(&o));
        assert!((told / lost - 1.0).abs() < 1e-3, "{path}: {told} W told, {lost} W lost");
        seen += 1;
    }
    assert!(seen >= 4, "{seen}");
}

/// `R = R_cold·(234.5 + T)/(234.5 + T_room)`, `T − T_room = ΔT0·(P/P0)^0.8` (the trade's rise by resistance; textbook of
/// natural convection †), with P summed from currents and resistances here.
#[test]
fn copper_is_as_warm_as_its_losses_make_it() {
    for (path, set) in sets(false) {
        let model = set.model().clone();
        let watts = |o: &Operation| {
            let all = o.at.copper.iter().chain(&o.at.core_loss);
            all.map(|&(id, ohms)| ohms * o.state.rms(Probe::Amps(id)).powi(2)).sum::<f64>()
        };
        let made = set.as_made();
        let designed = watts(made.at_design());
        for share in [0.8, 1.0, 1.1] {
            let o = set.run(share * model.design_line, &Straight, None).unwrap();
            let rise = model.copper.rise * (watts(&o) / designed).powf(0.8);
            let factor = (234.5 + model.room_c + rise) / (234.5 + model.room_c);
            assert!((o.slow.copper / factor - 1.0).abs() < 1e-4, "{path}: {}", o.slow.copper);
            assert!((o.at.copper[0].1 / (factor * model.primary.resistance) - 1.0).abs() < 1e-4);
            let told = read(&set, &o).transformer.unwrap();
            assert!((told.temperature_c - model.room_c - rise).abs() < 0.05, "{path}: {told:?}");
            // ±1/3 of the rise where nothing is stated
            let spread = model.copper.spread;
            let high = model.room_c + (1.0 + spread) * rise;
            assert!((told.temperature_high_c - high).abs() < 0.05, "{path}: {told:?}");
        }
    }
}

/// Stated warm, copper has the ohms of the profile on every line.
#[test]
fn warm_copper_keeps_its_ohms() {
    for (path, set) in sets(true) {
        for share in [0.8, 1.1] {
            let o = set.run(share * set.model().design_line, &Straight, None).unwrap();
            let half = set.model().high_voltage.resistance_per_half;
            let ohms: Vec<f64> = o.at.copper.iter().map(|(_, ohms)| *ohms).collect();
            assert_eq!(ohms[..2], [set.model().primary.resistance, half], "{path}");
        }
    }
}

/// A plain resistor before the set.
#[derive(Debug)]
struct Ohms(f64);

impl MainsLead for Ohms {
    fn insert(&self, net: &mut Network, outlet: Node, _: Node) -> Result<Inserted, CircuitError> {
        let set = net.node("set");
        let id = net.resistor("ahead", outlet, set, self.0)?;
        Ok(Inserted::new(set, vec![resistor_part("ahead", PartKind::InLead, outlet, set, id)]))
    }
    fn inside(&self) -> Inside {
        Inside::AS_FOUND
    }
}

/// More line is never less heat or a cooler winding; a resistor ahead of the set never makes it hotter.
#[test]
fn more_line_is_never_cooler() {
    for (path, set) in sets(false) {
        let line = set.model().design_line;
        let mut last = (0.0, 0.0, 0.0, 0.0);
        for step in 0..9 {
            let volts = (0.8 + 0.05 * f64::from(step)) * line;
            let o = set.run(volts, &Straight, None).unwrap();
            let t = read(&set, &o).transformer.unwrap();
            let now = (t.copper_w, t.iron_w, t.loss_w, t.temperature_c);
            let above = now.0 > last.0 && now.1 > last.1 && now.2 > last.2 && now.3 > last.3;
            assert!(above, "{path}: {now:?} on {volts} V after {last:?}");
            let behind = set.run(volts, &Ohms(1e-3 * line), Some(&o)).unwrap();
            let behind = read(&set, &behind).transformer.unwrap();
            assert!(behind.temperature_c < t.temperature_c, "{path}: {behind:?}");
            last = now;
        }
    }
}
