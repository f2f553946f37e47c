//! A capacitor in the place of a heater string's dropper.

use super::{DropperCaveat, DropperSubstitute, NoSubstitute, SubstituteKind, Trial, section};
use crate::{
    preferred::{Series, below},
    profile::{DropperKind, StringDropper},
    quantity::{Capacitance, Quantity, Resistance, Voltage, by, show_plain},
    receiver::SectionKind,
    study::{OutletVolts, Result},
};
use std::f64::consts::{PI, SQRT_2};

/// Film capacitors for alternating current, µF: motor-run values of the trade (common practice, no source).
const FILM_UF: [f64; 14] =
    [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0];
/// A single capacitor within this share of what is wanted is taken before two in parallel.
const SINGLE: f64 = 0.03;
/// AC volts such capacitors are sold for, and the highest line each is taken for: a heater that opens leaves the whole line
/// on it (250 V on 120 V, 440 V on 230 V; reasoned).
const FILM_V: [(f64, f64); 2] = [(250.0, 150.0), (440.0, 264.0)];
/// How far such a capacitor may be off, as a share.
const FILM_OFF: f64 = 0.05;
/// Resistor ahead of it, Ω, up to and above a string current, A: 22 to 47 Ω bring the current of the first moment down
/// (common practice, no source).
const AHEAD: (f64, f64, f64) = (47.0, 0.2, 22.0);
/// Volts that may be left on the pins of a plug, and after how long, V and s (IEC 60335-1 †).
pub const PINS: (f64, f64) = (34.0, 1.0);

/// AC volts that such a capacitor is to be rated for on a line of `high_v`; none where none is sold.
pub fn film_v(high_v: f64) -> Option<f64> {
    FILM_V.into_iter().find(|(_, line)| high_v <= *line).map(|(rated_v, _)| rated_v)
}

/// The most ohms across `farads` that empty them in that time from the crest of `high_v`: t = R·C·ln(V0/Vt).
pub fn most_across(farads: f64, high_v: f64) -> f64 {
    PINS.1 / (farads * (SQRT_2 * high_v / PINS.0).ln())
}

impl Trial<'_> {
    pub(super) fn capacitor(&self) -> Result<DropperSubstitute> {
        let nothing = DropperSubstitute::of(SubstituteKind::Capacitor);
        let OutletVolts { usual_v, high_v, .. } = self.outlet;
        let (hertz, amps) = (self.receiver.model().frequency, self.line.amps);
        let ahead = if amps <= AHEAD.1 { AHEAD.0 } else { AHEAD.2 };
        let part = |farads, bleeder| {
            section(SectionKind::Capacitor { farads, bleeder, rated: None }, ahead)
        };
        let resistive = self.heaters_v + ahead * amps;
        if let Some(why) = self.no_room(self.heaters_v).or(self.no_room(resistive)) {
            return Ok(nothing.refused_for(why));
        }
        let reactance = (usual_v * usual_v - resistive * resistive).sqrt() / amps;
        let guess = 1.0 / (2.0 * PI * hertz * reactance);
        let exact = self.exact(guess, true, |farads| part(farads, None))?;
        let Some((exact, (stock, made_of))) = exact.and_then(|exact| Some((exact, film(exact)?)))
        else {
            return Ok(nothing.refused_for(NoSubstitute::NoValue));
        };
        let Some(rated_v) = film_v(high_v) else {
            return Ok(nothing.refused_for(NoSubstitute::NoRating { high_v }));
        };
        let crest_v = SQRT_2 * high_v;
        let most = most_across(stock, high_v);
        let bleeder = below(Series::E12, most).unwrap_or(most);
        let fitted = |farads| part(farads, Some(bleeder));
        let day = self.day(&fitted(stock))?;
        let off = |factor| self.excess(&fitted(stock * factor));
        let other_hz = if hertz > 55.0 { 50.0 } else { 60.0 };
        let kind = DropperKind::Capacitor {
            value: Capacitance::from_si(stock),
            rated: Some(Voltage::from_si(rated_v)),
            bleeder: Some(Resistance::from_si(bleeder)),
            surge: Some(Resistance::from_si(ahead)),
        };
        let caveats = vec![
            DropperCaveat::HeatersOnly,
            DropperCaveat::SeriesUse,
            DropperCaveat::Bleeder {
                with_ohms: bleeder,
                heat_w: day.volts_v * day.volts_v / bleeder,
                left_v: PINS.0,
            },
            DropperCaveat::Ahead {
                with_ohms: ahead,
                heat_w: day.heat_w[2],
                first_a: crest_v / (self.cold_ohms() + ahead),
                without_a: crest_v / self.cold_ohms(),
            },
            // the reactance goes with both, and nothing else of the leg does
            DropperCaveat::Frequency { hertz, other_hz, excess: off(other_hz / hertz)? },
            DropperCaveat::Tolerance {
                share: FILM_OFF,
                low: off(1.0 - FILM_OFF)?,
                high: off(1.0 + FILM_OFF)?,
            },
            DropperCaveat::NotSteadier { excess: day.heaters[2], high_v },
            // nothing is left in series then
            DropperCaveat::Shorted { excess: self.excess(&section(SectionKind::Resistor, 0.0))? },
        ];
        Ok(DropperSubstitute {
            refused: day.too_high(),
            exact: Some(exact),
            ware: format!("{made_of}, film for AC, {rated_v} V AC or more"),
            written: Some(StringDropper { kind, rated: None }),
            day: Some(day),
            caveats,
            ..nothing
        })
    }
}

/// The nearest film capacitor to `farads`, or two in parallel, with its words.
pub fn film(farads: f64) -> Option<(f64, String)> {
    let wanted = farads * 1e6;
    let off = |uf: f64| (uf / wanted - 1.0).abs();
    let micro = |uf| show_plain(Capacitance::from_si(uf * 1e-6));
    let single = FILM_UF.into_iter().min_by(by(|uf: &f64| off(*uf)))?;
    if off(single) <= SINGLE {
        return Some((single * 1e-6, micro(single)));
    }
    let pairs = FILM_UF.iter().flat_map(|a| FILM_UF.map(|b| (*a, b))).filter(|(a, b)| a >= b);
    let (a, b) = pairs.min_by(by(|(a, b): &(f64, f64)| off(a + b)))?;
    let words = || format!("{} and {} in parallel", micro(a), micro(b));
    (off(a + b) <= 2.0 * SINGLE).then(|| ((a + b) * 1e-6, words()))
}
