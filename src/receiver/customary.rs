//! How far the parts of a sound set may be off from what its profile states.
//!
//! The shares are customary ones, restated from the trade (common practice, no source, unless said otherwise).

use super::model::{Knob, Model, Section};

/// Heater current of a sound tube about its type's.
const HEATER: f64 = 0.05;
/// Plate current of a sound tube about its type's published figure.
const TUBE: f64 = 0.15;
/// Carbon resistors of the time were sold to ±10 and ±20 %; a checked set holds the narrower figure.
const RESISTOR: f64 = 0.10;
/// Winding volts about what was measured or printed: turns do not drift, meters do.
const WINDING_VOLTS: f64 = 0.02;
/// Copper resistance about what was measured.
const COPPER: f64 = 0.05;
/// Inductance of coils and the no-load current of a transformer.
const IRON: f64 = 0.20;

/// A number of a model and how far it may be off, as a share.
pub type Spread = (Knob, f64);

/// Every number of `model` with its customary spread, without those in `assumed`: they have a spread of their own.
pub fn customary(model: &Model, assumed: &[Knob]) -> Vec<Spread> {
    let mut list: Vec<Spread> = vec![
        (Knob::PrimaryResistance, COPPER),
        (Knob::NoLoadCurrent, IRON),
        (Knob::HighVoltageResistance, COPPER),
        (Knob::HighVoltage, WINDING_VOLTS),
    ];
    for i in 0..model.windings.len() {
        list.extend([(Knob::WindingVolts(i), WINDING_VOLTS), (Knob::WindingResistance(i), COPPER)]);
    }
    if model.string.is_some() {
        // heaters of one type at one current took 5.60 to 6.25 V (gammaelectronics, audioXpress September 2004): ±5 %
        list.extend((0..model.windings.len()).map(|i| (Knob::Heater(i), HEATER)));
        list.push((Knob::StringDropper, RESISTOR));
    }
    if model.rectifier.surge_ohms > 0.0 {
        list.push((Knob::Surge, RESISTOR));
    }
    if model.bias.is_some() {
        list.extend([(Knob::BiasVolts, WINDING_VOLTS), (Knob::BiasResistance, COPPER)]);
    }
    for i in 0..model.coils.len() {
        list.extend([(Knob::CoilResistance(i), COPPER), (Knob::CoilInductance(i), IRON)]);
    }
    for (d, divider) in model.dividers.iter().enumerate() {
        list.extend((0..divider.resistors.len()).map(|i| (Knob::DividerResistor(d, i), RESISTOR)));
    }
    list.extend((0..model.loads.len()).map(|i| (Knob::Load(i), RESISTOR)));
    for (i, section) in model.filter.iter().enumerate() {
        if matches!(section, Section::Resistor(..)) {
            list.push((Knob::FilterResistor(i), RESISTOR));
        }
    }
    for (i, tube) in model.tubes.iter().enumerate() {
        list.push((Knob::TubeCurrent(i), TUBE));
        if tube.plate.ohms > 0.0 {
            list.push((Knob::PlateFeed(i), RESISTOR));
        }
        if tube.screen.as_ref().is_some_and(|s| s.ohms > 0.0) {
            list.push((Knob::ScreenFeed(i), RESISTOR));
        }
        if tube.cathode_ohms > 0.0 {
            list.push((Knob::CathodeResistor(i), RESISTOR));
        }
    }
    list.retain(|(knob, _)| {
        let absent = model.string.is_some() && knob.is_of_transformer();
        !assumed.contains(knob) && !absent
    });
    list
}
