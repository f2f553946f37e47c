//! What warms in a set that was switched on: heaters, filaments and lamps, with the cathodes around them.

use super::{
    Filament, HeaterWinding, Model, Operation,
    emission::emission_warm,
    warmup::{hot_over_cold_kelvin, lag_seconds, time_constant},
};

/// Exponent of resistance over temperature: tungsten (`warmup.rs`).
const TUNGSTEN: f64 = 1.2;
/// Exponent of radiated power over temperature.
const RADIATED: f64 = 4.0;

/// What does not change with what warms.
pub struct Body {
    pub winding: usize,
    /// Its place there.
    pub filament: usize,
    /// Place of its tube in the profile.
    pub socket: Option<usize>,
    /// What its cathode has in reserve over what is drawn of it.
    pub reserve: f64,
    /// Conductance when warm, S.
    pub siemens: f64,
    /// Time constant of the wire, s.
    tau: f64,
    /// Lag of the cathode, s; `None` where it is the wire.
    pub lag: Option<f64>,
    /// Temperature of the room over its final one.
    pub cold: f64,
    /// Resistance goes with this power of its temperature.
    pub exponent: f64,
}

impl Body {
    /// A filament in a place at `volts`, those of its warm point.
    fn new((winding, filament): (usize, usize), f: &Filament, volts: f64) -> Body {
        let share = volts / f.volts;
        let (amps, exponent) = (f.amps_at(volts), f.exponent_at(volts));
        // final over rated power, and the temperature that goes with it
        let power = share * amps / f.amps;
        let kelvin = power.powf(1.0 / RADIATED);
        let wire_s = f.warm_up.wire_s;
        Body {
            winding,
            filament,
            socket: f.socket,
            reserve: f.warm_up.reserve,
            siemens: amps / volts,
            tau: time_constant(wire_s) * kelvin / power,
            lag: lag_seconds(wire_s, f.warm_up.middle_s()),
            cold: 1.0 / (hot_over_cold_kelvin() * kelvin),
            // a barretter's wire holds its current: R ~ V^(1−e) and P ~ V^(1+e)
            exponent: match f.holds {
                Some(_) => RADIATED * (1.0 - exponent) / (1.0 + exponent),
                None => TUNGSTEN,
            },
        }
    }

    /// Change of its wire's temperature in a second; `drive` is the square of its volts over their final value.
    pub fn slope(&self, wire: f64, drive: f64) -> f64 {
        (drive * wire.powf(-self.exponent) - wire.powf(RADIATED)) / self.tau
    }

    /// The temperature that meets `wire = base + seconds·slope(wire)`.
    pub fn implicit(&self, base: f64, seconds: f64, drive: f64, guess: f64) -> f64 {
        let mut wire = guess.max(0.5 * self.cold);
        for _ in 0..20 {
            let fall = self.exponent * drive * wire.powf(-self.exponent - 1.0)
                + RADIATED * wire.powf(RADIATED - 1.0);
            let miss = base + seconds * self.slope(wire, drive) - wire;
            let step = miss / (1.0 + seconds * fall / self.tau);
            wire = (wire + step).max(0.5 * wire);
            if step.abs() < 1e-9 {
                break;
            }
        }
        wire
    }
}

/// All filaments of `model` at the volts of its warm point.
pub fn bodies(model: &Model, warm: &Operation) -> Vec<Body> {
    let each = |(winding, w): (usize, &HeaterWinding)| {
        let volts = warm.heater_volts(winding).max(1e-6);
        let filaments = w.filaments.iter().enumerate();
        let bodies = filaments.map(|(place, f)| Body::new((winding, place), f, volts));
        bodies.collect::<Vec<_>>()
    };
    model.windings.iter().enumerate().flat_map(each).collect()
}

/// What a cathode at `cathode` times its final temperature emits at most, in units of what it emits when warm, with
/// nothing left to say once it is: the laws of tubes are those of warm ones.
pub fn emits(cathode: f64) -> f64 {
    let share = emission_warm(cathode).min(1.0);
    share / (1.0 - share)
}
