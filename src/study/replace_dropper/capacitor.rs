//! A capacitor in the place of a heater string's dropper.

use super::super::StudyError;
use super::super::outlet::OutletVolts;
use super::{
    Bench, DropperCaveat, DropperSubstitute, NoSubstitute, SubstituteKind, section, standing,
};
use crate::preferred::{Series, below};
use crate::profile::{DropperKind, StringDropper};
use crate::quantity::{Capacitance, Quantity, Resistance, Voltage, show_plain};
use crate::receiver::SectionKind;
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
const PINS: (f64, f64) = (34.0, 1.0);

impl Bench<'_> {
    pub(super) fn capacitor(&self) -> Result<DropperSubstitute, StudyError> {
        let kind = SubstituteKind::Capacitor;
        if let Some(why) = self.no_room() {
            return Ok(Self::none(kind, why));
        }
        let OutletVolts { usual_v, high_v, .. } = self.outlet;
        let hertz = self.receiver.model().frequency;
        let ahead = if self.amps <= AHEAD.1 { AHEAD.0 } else { AHEAD.2 };
        let part =
            |farads| section(SectionKind::Capacitor { farads, bleeder: None, rated: None }, ahead);
        let resistive = self.heaters_v + ahead * self.amps;
        if usual_v <= 1.01 * resistive {
            return Ok(Self::none(
                kind,
                NoSubstitute::NoRoom { line_v: usual_v, heaters_v: resistive },
            ));
        }
        let reactance = (usual_v * usual_v - resistive * resistive).sqrt() / self.amps;
        let guess = 1.0 / (2.0 * PI * hertz * reactance);
        let Some(exact) = self.exact(guess, true, part)? else {
            return Ok(Self::none(kind, NoSubstitute::NoValue));
        };
        let Some((stock, made_of)) = film(exact) else {
            return Ok(Self::none(kind, NoSubstitute::NoValue));
        };
        let Some((rated_v, _)) = FILM_V.into_iter().find(|(_, line)| high_v <= *line) else {
            return Ok(Self::none(kind, NoSubstitute::NoRating { high_v }));
        };
        let crest_v = SQRT_2 * high_v;
        // t = R·C·ln(V0/Vt)
        let most = PINS.1 / (stock * (crest_v / PINS.0).ln());
        let bleeder = below(Series::E12, most).unwrap_or(most);
        let fitted = |farads| {
            let kind = SectionKind::Capacitor { farads, bleeder: Some(bleeder), rated: None };
            section(kind, ahead)
        };
        let day = self.day(&fitted(stock))?;
        let refused: Vec<NoSubstitute> = Self::too_high(&day).into_iter().collect();
        let off = |factor: f64| self.excess_at(usual_v, &fitted(stock * factor));
        let other_hz = if hertz > 55.0 { 50.0 } else { 60.0 };
        // the reactance goes with both, and nothing else of the leg does
        let elsewhere = off(other_hz / hertz)?;
        Ok(DropperSubstitute {
            kind,
            standing: standing(&refused),
            refused,
            exact: Some(exact),
            ware: format!("{made_of}, film for AC, {rated_v} V AC or more"),
            written: Some(StringDropper {
                kind: DropperKind::Capacitor {
                    value: Capacitance::from_si(stock),
                    rated: Some(Voltage::from_si(rated_v)),
                    bleeder: Some(Resistance::from_si(bleeder)),
                    surge: Some(Resistance::from_si(ahead)),
                },
                rated: None,
            }),
            day: Some(day),
            rating: None,
            caveats: vec![
                DropperCaveat::HeatersOnly,
                DropperCaveat::SeriesUse,
                DropperCaveat::Bleeder {
                    ohms: bleeder,
                    heat_w: day.volts_v * day.volts_v / bleeder,
                    left_v: PINS.0,
                },
                DropperCaveat::Ahead {
                    ohms: ahead,
                    heat_w: day.heat_w[2],
                    first_a: crest_v / (self.cold_ohms() + ahead),
                    without_a: crest_v / self.cold_ohms(),
                },
                DropperCaveat::Frequency { hertz, other_hz, excess: elsewhere },
                DropperCaveat::Tolerance {
                    share: FILM_OFF,
                    low: off(1.0 - FILM_OFF)?,
                    high: off(1.0 + FILM_OFF)?,
                },
                DropperCaveat::NotSteadier { excess: day.heaters[2], high_v },
                DropperCaveat::Shorted { excess: self.shorted()? },
            ],
        })
    }
}

/// The nearest film capacitor to `farads`, or two in parallel, with its words.
fn film(farads: f64) -> Option<(f64, String)> {
    let wanted = farads * 1e6;
    let off = |uf: f64| (uf / wanted - 1.0).abs();
    let nearest = |list: &mut dyn Iterator<Item = (f64, String)>| {
        list.min_by(|a, b| off(a.0).total_cmp(&off(b.0)))
    };
    let micro = |uf: f64| show_plain(Capacitance::from_si(uf * 1e-6));
    let single = nearest(&mut FILM_UF.iter().map(|uf| (*uf, micro(*uf))))?;
    let pairs = FILM_UF.iter().flat_map(|a| FILM_UF.iter().map(move |b| (*a, *b)));
    let mut pairs = pairs
        .filter(|(a, b)| a >= b)
        .map(|(a, b)| (a + b, format!("{} and {} in parallel", micro(a), micro(b))));
    let best = if off(single.0) <= SINGLE { single } else { nearest(&mut pairs)? };
    (off(best.0) <= 2.0 * SINGLE).then_some((best.0 * 1e-6, best.1))
}
