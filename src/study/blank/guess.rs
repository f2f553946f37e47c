//! Values that must stand in a profile and were not said: what such sets usually have, never as if it were known.

use super::{
    set::{BiasFrom, BlankError, Bulb, NewDropper, NewSet},
    told::Types,
};
use crate::{
    catalogue::{RectifierKind, TubeType},
    preferred::{Series, nearest},
    profile::Profile,
    quantity::Quantity,
    receiver::{Model, published_amps},
};

/// B+ of a set whose output tube says nothing, V (common practice, no source).
const USUAL_B_PLUS: f64 = 250.0;
/// First filter capacitors of the trade, F: made until the year, on mains below or above 150 V, with a transformer and
/// without one (common practice, no source).
const CAPACITORS: [(i32, [[f64; 2]; 2]); 3] = [
    (1939, [[8e-6, 16e-6], [8e-6, 16e-6]]),
    (1948, [[16e-6, 20e-6], [16e-6, 32e-6]]),
    (i32::MAX, [[20e-6, 40e-6], [50e-6, 50e-6]]),
];
/// The year that is taken where it is not known, and the same by the current of a heater string, from A down: 300 and
/// 200 mA were of the thirties, 150 mA of the forties, 100 mA of the fifties (common practice, no source).
const USUAL_YEAR: i32 = 1938;
const STRING_YEARS: [(f64, i32); 2] = [(0.12, 1952), (0.16, 1946)];
/// Mains below are those of North America and Japan, V.
pub const LOW_MAINS_V: f64 = 150.0;
/// Cold ohms of a field coil, a choke and a filter resistor (common practice, no source).
const USUAL_OHMS: [f64; 3] = [1000.0, 400.0, 1000.0];
/// Heat of a field coil across the supply, W (3 kΩ at 110 V; common practice, no source).
const FIELD_W: f64 = 4.0;
/// Share of the line that a string may lack before a dropper is looked for: 117 V tubes on 120 V mains.
const NEAR: f64 = 0.07;
/// Share by which it may be above the line: 121 V of heaters on 110 V mains.
const ABOVE: f64 = 0.15;
/// Share of the line that no string leaves to nothing.
const MUST_DROP: f64 = 0.15;
/// Least share of the line that a dropper which is there can be for.
const LEAST_DROP: f64 = 0.02;
/// Hot over cold, as the receiver takes it.
pub const COIL_RISE: f64 = 1.15;
/// Bias of a radio-frequency stage, V: that of most published points.
const RF_BIAS: f64 = 3.0;
/// Bias of an output tube that publishes none, V.
const OUTPUT_BIAS: f64 = 16.5;
/// The whole of a bias chain across a field coil, Ω (common practice, no source).
const BIAS_CHAIN: f64 = 350e3;
/// A chain of taps needs more volts across the coil than the output tube's bias, by this factor.
const BIAS_ROOM: f64 = 1.5;
/// DC of an unloaded half-wave supply over the RMS volts of its winding, less the drop of an old rectifier.
const BIAS_PEAK: f64 = 1.3;

/// Values that were not said.
#[derive(Default)]
pub struct Guesses {
    pub b_plus_v: f64,
    pub capacitor_f: f64,
    /// Field coil, choke and resistor, cold, Ω.
    pub ohms: [f64; 3],
    pub field_across_ohms: f64,
    /// What stands in series with the heaters; worked out from their volts.
    pub dropper: Option<Dropper>,
    /// Of selenium, of as many plates as the volts need, V.
    pub drop: Option<f64>,
    /// From the center tap to chassis, Ω.
    pub chain: Option<[f64; 3]>,
    /// In the negative lead, Ω.
    pub bias_ohms: Option<f64>,
    /// Of the winding of a bias supply, V RMS.
    pub bias_v: Option<f64>,
    /// Sockets that take their bias from the supply, with the tap of a chain that each returns to.
    pub biased: Vec<(usize, &'static str)>,
}

/// What drops the rest of the line's volts.
pub struct Dropper {
    pub kind: &'static str,
    /// False where nothing was said of it, or a bulb of unknown type stands for it.
    pub said: bool,
    /// As said, or worked out.
    pub ohms: Option<(f64, bool)>,
    pub bulb: Option<Bulb>,
    pub amps: f64,
    pub volts: f64,
}

/// A value as parts come; nothing stays nothing.
pub fn part(ohms: f64) -> f64 {
    nearest(Series::E24, ohms).unwrap_or(ohms)
}

/// Volts below the cathode at which a type publishes its grid.
pub fn published_grid(tube: &TubeType) -> Option<f64> {
    tube.reference()?.grid.map(|v| -v.si())
}

/// The published plate volts of the output tube, which sets were built round.
fn usual_b_plus(tubes: &[&TubeType]) -> f64 {
    let points = tubes.iter().filter_map(|t| {
        let point = t.reference()?;
        Some((point.plate_current?.si(), point.plate?.si()))
    });
    let most = points.filter(|(amps, _)| *amps > 15e-3).max_by(|a, b| a.0.total_cmp(&b.0));
    most.map_or(USUAL_B_PLUS, |(_, volts)| volts)
}

impl Guesses {
    /// What follows from the types alone.
    pub fn of_types(types: &Types<'_>) -> Result<Guesses, BlankError> {
        let (set, rectifier, on_line) = (types.set, types.rectifier, types.on_line());
        let line = set.design_line.si();
        let b_plus_v = set.b_plus.map_or_else(|| usual_b_plus(&types.tubes), Quantity::si);
        let amps = types.heaters().amps_a.filter(|_| on_line).unwrap_or(1.0);
        let told = STRING_YEARS.iter().find(|(below, _)| amps < *below);
        let year = set.year.unwrap_or(told.map_or(USUAL_YEAR, |(_, year)| *year));
        let kinds = CAPACITORS.iter().find(|(until, _)| year <= *until);
        let high = usize::from(line >= LOW_MAINS_V);
        let usual = kinds.map_or(8e-6, |(_, farads)| farads[high][usize::from(on_line)]);
        let most = rectifier.max_input_capacitor.map_or(usual, Quantity::si);
        let supply_v = if on_line { line } else { b_plus_v };
        let selenium = rectifier.kind == RectifierKind::Selenium;
        let one = rectifier.drop.filter(|_| selenium).map(|one| one.volts.si());
        let plates = |one: f64| {
            let most = rectifier.max_ac_volts_capacitor_input.map_or(line, Quantity::si);
            let plates = one * (supply_v / most).max(1.0);
            (plates > one).then(|| plates.ceil())
        };
        Ok(Guesses {
            b_plus_v,
            capacitor_f: usual.min(most),
            ohms: USUAL_OHMS,
            field_across_ohms: part(supply_v * supply_v / FIELD_W),
            dropper: if on_line { dropper(types)? } else { None },
            drop: one.and_then(plates),
            ..Guesses::default()
        })
    }

    /// What follows from the currents of the tubes as well.
    pub fn of_currents(&mut self, set: &NewSet, profile: &Profile, model: &Model) {
        let amps: f64 = model.tubes.iter().map(published_amps).sum::<f64>().max(5e-3);
        let grid = |socket: usize| profile.tubes.get(socket).and_then(|t| published_grid(&t.kind));
        let outputs = model.tubes.iter().filter(|t| t.output);
        let output_v = outputs.filter_map(|t| grid(t.socket)).fold(0.0, f64::max);
        let output_v = if output_v > 0.0 { output_v } else { OUTPUT_BIAS };
        match set.bias {
            BiasFrom::Cathodes => return,
            BiasFrom::Resistor => self.bias_ohms = Some(part(output_v / amps)),
            BiasFrom::Supply => self.bias_v = Some((output_v / BIAS_PEAK).ceil()),
            BiasFrom::FieldCoil => {
                let coil_v = (self.ohms[0] * COIL_RISE * amps).max(BIAS_ROOM * output_v);
                self.ohms[0] = part(coil_v / amps / COIL_RISE);
                let rf_v = RF_BIAS.min(output_v / 3.0);
                let share = |v| part(BIAS_CHAIN * v / coil_v);
                self.chain = Some([share(coil_v - output_v), share(output_v - rf_v), share(rf_v)]);
            }
        }
        let chain = set.bias == BiasFrom::FieldCoil;
        self.biased = model
            .tubes
            .iter()
            .filter_map(|t| match (t.output, &t.screen) {
                (true, _) => Some((t.socket, "output")),
                (false, Some(_)) if chain && grid(t.socket) > Some(0.0) => Some((t.socket, "rf")),
                _ => None,
            })
            .collect();
    }
}

/// What drops the volts that the heaters leave: as said, else worked out.
fn dropper(types: &Types<'_>) -> Result<Option<Dropper>, BlankError> {
    let (set, heaters) = (types.set, types.heaters());
    let line_v = set.design_line.si();
    let (Some(amps), None) = (heaters.amps_a, &heaters.odd) else {
        let (tube, amps_a) = heaters.odd.unwrap_or_default();
        return Err(BlankError::OtherCurrent { tube, amps_a, string_a: heaters.string_a });
    };
    // a lamp across a tap or a section takes no volts of its own
    let in_string = types.rectifier.lamp_tap.is_none() && !set.lamp_on_ballast();
    let lamps = types.lamps.iter().filter(|_| in_string).map(|(l, _)| l.volts.si());
    let volts_v = heaters.volts_v + lamps.sum::<f64>();
    if volts_v > (1.0 + ABOVE) * line_v {
        return Err(BlankError::StringTooLong { volts_v, line_v });
    }
    let ohms = part((line_v - volts_v).max(LEAST_DROP * line_v) / amps);
    let lacks = 1.0 - volts_v / line_v;
    let (said, kind, of, bulb) = match &set.dropper {
        None if lacks <= NEAR => return Ok(None),
        Some(NewDropper::None) if lacks > MUST_DROP => {
            return Err(BlankError::DropperMissing { volts_v, line_v, ohms });
        }
        Some(NewDropper::None) => return Ok(None),
        // a bulb of which nothing is known drops what a resistor would
        None | Some(NewDropper::Ballast(None) | NewDropper::Barretter(None)) => {
            (false, "resistor", None, None)
        }
        Some(NewDropper::Resistor(of)) => (true, "resistor", *of, None),
        Some(NewDropper::LineCord(of)) => (true, "line-cord", *of, None),
        Some(NewDropper::Ballast(bulb)) => (true, "ballast", None, bulb.clone()),
        Some(NewDropper::Barretter(name)) => {
            (true, "barretter", None, name.clone().map(Bulb::Type))
        }
    };
    let ohms = bulb.is_none().then_some((of.map_or(ohms, Quantity::si), of.is_some()));
    Ok(Some(Dropper { kind, said, ohms, bulb, amps, volts: line_v - volts_v }))
}
