//! Fills in what a profile does not state, by rules that are written down and listed in every report.
//!
//! Rules marked "common practice, no source" restate the ranges of the trade; the spread says how far
//! such a value may be off, and the plan shows how much the answer then moves.

use super::error::ReceiverError;
use super::feeds;
use super::iron_and_copper::{copper, primary, turns_from};
use super::ledger::Ledger;
use super::model::*;
use super::parameters::{Assumption, Number};
use super::rectifier::{self, HeatedBy};
use super::second;
use super::signal::Signal;
use super::string;
use super::thermal::COIL_RISE;
use crate::profile::{self, FilterPart, Profile, TransformerKind};
use crate::quantity::{Frequency, Inductance, Power, Quantity, Resistance};
use crate::quantity::{Temperature, Voltage};

/// Room temperature, °C, where none is stated.
const ROOM_C: f64 = 22.0;

/// What stands for transformer values in a set that has none; never read.
const NO_TRANSFORMER: (Primary, HighVoltage) = (
    Primary { resistance: 1.0, no_load_amps: 1.0, no_load_watts: 0.5, knee: 0.0, exponent: 9 },
    HighVoltage {
        turns_from: TurnsFrom { volts: 1.0, open: true, at_line: 1.0 },
        by_b_plus: false,
        resistance_per_half: 1.0,
    },
);

/// Fills in what a profile does not state.
///
/// # Errors
/// [`ReceiverError::Missing`] for a value no rule can supply, with the place in the profile and how to give it.
pub(super) fn fill_in(profile: &Profile) -> Result<(Model, Vec<Assumption>), ReceiverError> {
    let mut ledger = Ledger { list: Vec::new() };
    let design_line = profile.set.design_line.si();
    let frequency = match profile.set.frequency {
        Some(f) => f.si(),
        None => {
            // a primary with taps on both sides was made for Europe
            let taps = &profile.transformer.primary.taps;
            let highest = taps.iter().map(|v| v.si()).fold(design_line, f64::max);
            let hertz = if highest < 150.0 { 60.0 } else { 50.0 };
            ledger.take::<Frequency>(
                "mains frequency",
                hertz,
                "60 Hz below 150 V, 50 Hz above, by the highest tap",
                1.0 / 6.0,
                Some(Number::Frequency.of_set()),
            )
        }
    };
    let room_c = match profile.room {
        Some(t) => t.si() - 273.15,
        None => {
            ledger.take::<Temperature>(
                "air around the set",
                ROOM_C + 273.15,
                "a heated room",
                0.0,
                None,
            ) - 273.15
        }
    };

    let (mut windings, line, rectifier, replaced, second) = match &profile.heater_string {
        None => {
            let mut windings = heater_windings(profile, design_line, &mut ledger)?;
            let replaced = rectifier::replaced(profile, &mut windings)?;
            let heated = HeatedBy::Windings(&mut windings);
            let rectifier = rectifier::rectifier(profile, heated, &mut ledger)?;
            let heated = HeatedBy::Windings(&mut windings);
            let second = second::rectifier(profile, &rectifier, heated, &mut ledger)?;
            feeds::hang_filaments(profile, &mut windings)?;
            feeds::rate_windings(&mut windings);
            (windings, None, rectifier, replaced, second)
        }
        Some(string) => {
            let done = string::complete(profile, string)?;
            let heated = HeatedBy::Link(done.rectifier, done.plate_on_tap);
            let rectifier = rectifier::rectifier(profile, heated, &mut ledger)?;
            let heated = HeatedBy::Link(done.second, false);
            let second = second::rectifier(profile, &rectifier, heated, &mut ledger)?;
            (done.links, Some(done.line), rectifier, None, second)
        }
    };
    feeds::note_names(profile, &mut ledger);
    let (mut sections, mut coils) = (Vec::new(), Vec::new());
    let on_line = line.is_some();
    filter(&profile.filter, on_line, (&mut sections, &mut coils), &mut ledger);
    let tubes = feeds::tubes(profile, &mut ledger)?;
    let from = sections.len();
    let second = second::complete(profile, second, from, (design_line, &tubes), &mut ledger);
    if let Some(supply) = &profile.second_supply {
        filter(&supply.filter, on_line, (&mut sections, &mut coils), &mut ledger);
    }

    // what the published points of the tubes add up to: the measure of the supply's size
    let on_main = tubes.iter().filter(|t| !second::POINTS.contains(&t.plate.from.as_str()));
    let published_amps = on_main.map(feeds::published_amps).sum::<f64>().max(5e-3);
    let heater_watts: f64 =
        windings.iter().flat_map(|w| &w.filaments).map(|f| f.volts * f.amps).sum();
    let all_amps = tubes.iter().map(feeds::published_amps).sum::<f64>().max(5e-3);
    let estimated = (heater_watts + all_amps * 350.0) / 0.85;
    let nameplate_watts = profile.set.nameplate_power.map(Quantity::si);
    let (primary, high_voltage) = if line.is_some() {
        NO_TRANSFORMER
    } else {
        let watts = nameplate_watts.unwrap_or_else(|| {
            ledger.take::<Power>(
                "size of the set",
                estimated,
                "heater watts and published tube currents at 350 V, over 0.85; the primary's copper and the no-load current follow from it",
                0.3,
                None,
            )
        });
        let primary = primary(profile, (design_line, frequency), watts, &mut ledger)?;
        let high = high_voltage(profile, design_line, published_amps, &mut ledger)?;
        winding_copper(profile, &mut windings, &mut ledger);
        (primary, high)
    };
    let copper = copper(profile, room_c, &mut ledger);
    let bias = rectifier::bias_supply(profile, design_line, &mut ledger);
    let model = Model {
        design_frequency: frequency,
        string: line,
        mains_resistor: profile.mains_resistor.map(|r| MainsResistor {
            ohms: r.value.si(),
            rated: r.rated.map(Quantity::si),
            by_maker: r.by_maker,
            takes: 0.0,
        }),
        auto: profile.transformer.kind == Some(TransformerKind::Autotransformer),
        bias,
        second,
        replaced,
        name: profile.set.name.clone(),
        frequency,
        design_line,
        room_c,
        copper,
        primary,
        high_voltage,
        windings,
        rectifier,
        filter: sections,
        coils,
        dividers: profile.dividers.iter().map(divider).collect(),
        loads: profile.loads.iter().map(load).collect(),
        tubes,
        signal: Signal::Rest,
        flat_top: 0.0,
        starting: false,
        known: Vec::new(),
    };
    Ok((model, ledger.list))
}

fn heater_windings(
    profile: &Profile,
    design_line: f64,
    ledger: &mut Ledger,
) -> Result<Vec<HeaterWinding>, ReceiverError> {
    let mut windings = Vec::new();
    for (index, winding) in profile.transformer.heater_windings.iter().enumerate() {
        windings.push(HeaterWinding {
            name: winding.name.clone(),
            // what the winding gives on the design line tells what belongs on it
            rated: winding.volts.volts.si() * design_line
                / winding.volts.at_line.map_or(design_line, Quantity::si),
            turns_from: turns_from(
                &winding.volts,
                design_line,
                &format!("{} winding's voltage", winding.name),
                Number::WindingVolts.of(index),
                ledger,
            ),
            resistance: winding.resistance.map_or(0.0, Quantity::si),
            shunt_ohms: None,
            filaments: Vec::new(),
            feeds_tubes: false,
        });
    }
    if windings.is_empty() {
        for (name, volts) in feeds::needed_windings(profile) {
            let index = windings.len();
            let volts = ledger.take::<Voltage>(
                &format!("{name} winding, loaded"),
                volts,
                "the rated volts of what hangs on it, at the design line",
                0.05,
                Some(Number::WindingVolts.of(index)),
            );
            windings.push(HeaterWinding {
                name,
                rated: volts,
                turns_from: TurnsFrom { volts, open: false, at_line: design_line },
                resistance: 0.0,
                shunt_ohms: None,
                filaments: Vec::new(),
                feeds_tubes: false,
            });
        }
    }
    Ok(windings)
}

fn winding_copper(profile: &Profile, windings: &mut [HeaterWinding], ledger: &mut Ledger) {
    for (index, winding) in windings.iter_mut().enumerate() {
        let stated = profile.transformer.heater_windings.get(index).and_then(|w| w.resistance);
        let amps: f64 = winding.filaments.iter().map(|f| f.amps).sum();
        winding.resistance = match stated {
            Some(r) => r.si(),
            None if amps > 0.0 => ledger.take::<Resistance>(
                &format!("copper of the {} winding", winding.name),
                0.04 * winding.rated / amps,
                "4 % of the winding's load resistance (0.1 Ω at 6.3 V 2.5 A; common practice, no source)",
                0.5,
                Some(Number::WindingResistance.of(index)),
            ),
            None => 0.1,
        };
    }
}

/// Puts the parts of a filter behind those of the filters before it.
fn filter(
    parts: &[FilterPart],
    on_line: bool,
    (sections, coils): (&mut Vec<Section>, &mut Vec<Coil>),
    ledger: &mut Ledger,
) {
    let mut after_capacitor = false;
    for part in parts {
        match part {
            FilterPart::Capacitor(capacitor) => {
                if after_capacitor && on_line {
                    let ohms = ledger.take::<Resistance>(
                        "resistor between the filter capacitors",
                        1000.0,
                        "what sets without a transformer have there (common practice, no source)",
                        0.3,
                        Some(Number::FilterResistor.of(sections.len())),
                    );
                    sections.push(Section::Resistor(Lead::Positive, ohms, None));
                } else if after_capacitor {
                    // two capacitors in a row: a coil stands between them in every set of this kind
                    let index = coils.len();
                    let cold = ledger.take::<Resistance>(
                        "field coil or choke between the filter capacitors, cold",
                        1000.0,
                        "the middle of the usual 450 to 2500 Ω, taken in the positive lead (common practice, no source)",
                        0.5,
                        Some(Number::CoilResistance.of(index)),
                    );
                    let coil = profile::Coil {
                        lead: Lead::Positive,
                        cold: Some(Resistance::from_si(cold)),
                        hot: None,
                        inductance: None,
                    };
                    coils.push(complete_coil(&coil, index, false, ledger));
                    sections.push(Section::Coil(index));
                }
                sections.push(Section::Capacitor(capacitor.value.si(), capacitor.marked()));
                after_capacitor = true;
            }
            FilterPart::FieldCoil(coil) | FilterPart::Choke(coil) => {
                let index = coils.len();
                let is_field = matches!(part, FilterPart::FieldCoil(_));
                coils.push(complete_coil(coil, index, is_field, ledger));
                sections.push(Section::Coil(index));
                after_capacitor = false;
            }
            FilterPart::Resistor(resistor) => {
                let rated_w = resistor.rated.map(Quantity::si);
                sections.push(Section::Resistor(resistor.lead, resistor.value.si(), rated_w));
                after_capacitor = false;
            }
        }
    }
}

fn complete_coil(coil: &profile::Coil, index: usize, is_field: bool, ledger: &mut Ledger) -> Coil {
    let name = if is_field { "field coil" } else { "choke" };
    let rise_rule = "15 % between cold and hot (10 to 25 %† is usual)";
    let (cold, hot) = match (coil.cold.map(Quantity::si), coil.hot.map(Quantity::si)) {
        (Some(cold), Some(hot)) => (cold, hot),
        (Some(cold), None) => {
            let what = format!("{name} resistance at work");
            let parameter = Some(Number::CoilRise.of(index));
            (cold, ledger.take::<Resistance>(&what, COIL_RISE * cold, rise_rule, 0.08, parameter))
        }
        (None, Some(hot)) => {
            let what = format!("{name} resistance cold");
            (ledger.take::<Resistance>(&what, hot / COIL_RISE, rise_rule, 0.0, None), hot)
        }
        // the profile reader asks for one of the two
        (None, None) => (1000.0, 1150.0),
    };
    let inductance = match coil.inductance {
        Some(l) => l.si(),
        None => ledger.take::<Inductance>(
            &format!("{name} inductance"),
            10.0,
            "the middle of the usual 5 to 20 H†",
            0.5,
            Some(Number::CoilInductance.of(index)),
        ),
    };
    Coil { name: name.to_owned(), is_field, lead: coil.lead, cold, hot, inductance }
}

fn high_voltage(
    profile: &Profile,
    line: f64,
    amps: f64,
    ledger: &mut Ledger,
) -> Result<HighVoltage, ReceiverError> {
    let stated = &profile.transformer;
    let (turns_from, by_b_plus) = match (&stated.high_voltage, &profile.sheet_b_plus) {
        (Some(winding), _) => {
            let what = "high-voltage winding's voltage";
            (turns_from(&winding.volts, line, what, Number::HighVoltage.of_set(), ledger), false)
        }
        (None, Some(sheet)) => {
            let at_line = sheet.at_line.map_or(line, Quantity::si);
            (TurnsFrom { volts: sheet.volts.si(), open: false, at_line }, true)
        }
        (None, None) => {
            return Err(ReceiverError::Missing {
                what: "the high-voltage winding's volts".to_owned(),
                key: "transformer".to_owned(),
                advice: "give `high_voltage: { per_half: 340 V }` under `transformer:`, or the service sheet's B+ as `service_sheet: { B+: 250 V }`".to_owned(),
            });
        }
    };
    let reference = if by_b_plus { 1.3 * turns_from.volts } else { turns_from.volts };
    let what = if profile.single_winding() {
        "copper of the high-voltage winding"
    } else {
        "copper of each half of the high-voltage winding"
    };
    let resistance_per_half = match stated.high_voltage.and_then(|winding| winding.resistance) {
        Some(r) => r.si(),
        None => ledger.take::<Resistance>(
            what,
            0.035 * reference / amps,
            "3.5 % of volts per half over DC amperes (170 Ω at 340 V 70 mA; common practice, no source)",
            0.4,
            Some(Number::HighVoltageResistance.of_set()),
        ),
    };
    if by_b_plus {
        ledger.note(
            "high-voltage winding",
            "solved",
            "turns found so that the service sheet's B+ comes out at its line",
        );
    }
    Ok(HighVoltage { turns_from, by_b_plus, resistance_per_half })
}

fn divider(d: &profile::Divider) -> Divider {
    Divider {
        name: d.name.clone(),
        from: d.from.clone(),
        to: d.to.clone(),
        resistors: d.resistors.iter().map(|r| r.si()).collect(),
        taps: d.taps.clone(),
        bypass: d.bypass.iter().map(|(n, c)| (n.clone(), c.si())).collect(),
    }
}

fn load(l: &profile::Load) -> Load {
    let (ohms, amps) = (l.resistance.map(Quantity::si), l.current.map_or(0.0, Quantity::si));
    Load { name: l.name.clone(), from: Spot::Supply(l.from.clone()), ohms, amps }
}
