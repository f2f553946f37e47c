//! Every limit of a set against what it gets.

use super::reading::{CLASS_A_C, HEATER_LIMIT, Limit, Rating, Reading, Standing};
use crate::receiver::Model;

/// Flux over that of the design line and frequency which a core still bears: old radio iron was run near the knee, and
/// mains swing 10 % (common practice, no source). Looked at only where the frequency is not the one it was made for: on
/// its own frequency the flux goes with the heaters.
const FLUX_LIMIT: f64 = 1.10;

/// The limits of `model` at `reading`.
pub(super) fn limits(model: &Model, reading: &Reading) -> Vec<Limit> {
    let mut list = Vec::new();
    for heater in reading.heaters.iter().filter(|h| h.rated_v > 0.0) {
        let (v, rated) = (heater.volts_v, heater.rated_v);
        let low = (1.0 - HEATER_LIMIT) * rated;
        let name = format!("{} heaters", heater.winding);
        if v < low {
            list.push(Limit {
                what: format!("{name}, at least"),
                value: v,
                limit: low,
                unit: "V",
                rating: Rating::Ceiling,
                standing: Standing::Beyond,
            });
        }
        list.push(Limit::upper(name, v, (1.0 + HEATER_LIMIT) * rated, "V"));
    }
    if let Some(flux) = model.flux(reading.set_v) {
        list.push(Limit::upper(
            "core flux, volts per hertz".to_owned(),
            flux.volts_per_hertz,
            FLUX_LIMIT * flux.designed,
            "V/Hz",
        ));
    }
    for (tube, r) in model.tubes.iter().zip(&reading.tubes) {
        let mut add = |what: &str, value: f64, limit: Option<f64>, unit: &'static str| {
            if let Some(limit) = limit {
                let what = format!("{}, {what}", r.name);
                list.push(Limit::of(what, value, limit, unit, Rating::DesignCentre));
            }
        };
        let over = |v: f64| v - r.cathode_v;
        add("plate dissipation", r.plate_w, tube.max_plate_watts, "W");
        add("plate", over(r.plate_v), tube.max_plate_volts, "V");
        if let (Some(v), Some(w)) = (r.screen_v, r.screen_w) {
            add("screen dissipation", w, tube.max_screen_watts, "W");
            add("screen", over(v), tube.max_screen_volts, "V");
        }
    }
    let (kind, r) = (&model.rectifier, &reading.rectifier);
    let mut add = |what: &str, value: f64, limit: Option<f64>, unit: &'static str, rating| {
        if let Some(limit) = limit {
            list.push(Limit::of(format!("{} {what}", r.name), value, limit, unit, rating));
        }
    };
    add("DC output", r.dc_a, kind.max_dc, "A", Rating::DesignCentre);
    add("peak plate current", r.peak_plate_a, kind.max_peak_plate, "A", Rating::Ceiling);
    add("peak inverse", r.peak_inverse_v, kind.max_peak_inverse, "V", Rating::Ceiling);
    for c in &reading.capacitors {
        if let Some(rated) = c.rated_v {
            list.push(Limit::upper(format!("{}, at work", c.name), c.peak_v, rated, "V"));
        }
    }
    for (coil, r) in model.coils.iter().zip(&reading.coils) {
        list.push(Limit::upper(
            format!("{} temperature", coil.name),
            r.temperature_c,
            CLASS_A_C,
            "°C",
        ));
    }
    list
}
