//! Fills in what a profile does not state, by rules that are written down and listed in every report.
//!
//! Rules marked "common practice, no source" restate the ranges of the trade; the spread says how far
//! such a value may be off, and the plan shows how much the answer then moves.

use super::{
    Assumption, Coil, Divider, HeaterLine, HeaterWinding, HighVoltage, Lead, Load, MainsResistor,
    Model, Number, Primary, Rectifier, Result, Section, Signal, Spot, Tube, TurnsFrom,
    error::flaw,
    feeds, heaters,
    iron_and_copper::{copper, primary, turns_from},
    ledger::Ledger,
    names, published_amps, rectifier, second, shown,
    stated::Stated,
    string,
    thermal::COIL_RISE,
};
use crate::{
    profile::{self, FilterPart, Profile, TransformerKind},
    quantity::{Quantity, Resistance, Temperature, show},
};

/// Room temperature, °C, where none is stated.
const ROOM_C: f64 = 22.0;
/// 0 °C, K.
const CELSIUS: f64 = 273.15;
/// Least DC of a set, A, by which its transformer is sized.
const LEAST_AMPS: f64 = 5e-3;

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
/// A value no rule can supply, with the place in the profile and how to give it.
pub fn fill_in(profile: &Profile) -> Result<(Model, Vec<Assumption>)> {
    let design_line = profile.set.design_line.si();
    let ledger = &mut Ledger { profile, line: design_line, list: vec![] };
    let frequency = frequency(ledger);
    let room = profile.room.unwrap_or_else(|| {
        let usual = Temperature::from_si(ROOM_C + CELSIUS);
        ledger.add("air around the set", show(usual), 0.0, None, "a heated room");
        usual
    });
    let room_c = room.si() - CELSIUS;
    let Heated { mut windings, string, rectifier, replaced, second } = heated(ledger)?;
    names::note(ledger);
    let mut filters = Filters::default();
    filters.add("filter", &profile.filter, ledger);
    let tubes = feeds::tubes(ledger)?;
    let second = second::complete(second, filters.sections.len(), &tubes, ledger);
    if let Some(supply) = &profile.second_supply {
        filters.add("second_supply.filter", &supply.filter, ledger);
    }
    let (primary, high_voltage) = match string {
        Some(_) => NO_TRANSFORMER,
        None => transformer(frequency, &mut windings, &tubes, ledger)?,
    };
    let model = Model {
        design_frequency: frequency,
        string,
        mains_resistor: profile.mains_resistor.map(|r| MainsResistor {
            ohms: r.value.si(),
            rated: r.rated.si(),
            by_maker: r.by_maker,
            takes: 0.0,
        }),
        auto: profile.transformer.kind == Some(TransformerKind::Autotransformer),
        copper: copper(room_c, ledger),
        bias: rectifier::bias_supply(ledger),
        second,
        replaced,
        name: profile.set.name.clone(),
        frequency,
        design_line,
        room_c,
        primary,
        high_voltage,
        windings,
        rectifier,
        filter: filters.sections,
        stated_parts: filters.stated,
        coils: filters.coils,
        dividers: profile.dividers.iter().map(divider).collect(),
        loads: profile.loads.iter().map(load).collect(),
        tubes,
        signal: Signal::Rest,
        flat_top: 0.0,
        starting: false,
        known: vec![],
    };
    Ok((model, std::mem::take(&mut ledger.list)))
}

/// Hz of the mains.
fn frequency(ledger: &mut Ledger) -> f64 {
    // a primary with taps on both sides was made for Europe
    let taps = &ledger.profile.transformer.primary.taps;
    let highest = taps.iter().map(|v| v.si()).fold(ledger.line, f64::max);
    let hertz = if highest < 150.0 { 60.0 } else { 50.0 };
    ledger.or(
        ledger.profile.set.frequency,
        Number::Frequency,
        "mains frequency",
        hertz,
        1.0 / 6.0,
        "60 Hz below 150 V, 50 Hz above, by the highest tap",
    )
}

/// What is heated, and by what.
struct Heated {
    windings: Vec<HeaterWinding>,
    string: Option<HeaterLine>,
    rectifier: Rectifier,
    replaced: Option<Rectifier>,
    second: Option<Rectifier>,
}

fn heated(ledger: &mut Ledger) -> Result<Heated> {
    let profile = ledger.profile;
    if let Some(string) = &profile.heater_string {
        let done = string::complete(profile, string)?;
        let rectifier = rectifier::rectifier(done.rectifier, ledger);
        let second = second::rectifier(&rectifier, done.second, ledger)?;
        let (windings, string) = (done.links, Some(done.line));
        return Ok(Heated { windings, string, rectifier, replaced: None, second });
    }
    let mut windings = heaters::windings(ledger);
    let replaced = rectifier::replaced(profile, &mut windings)?;
    let winding = rectifier::hang(&profile.rectifier, rectifier::FED_BY, &mut windings)?;
    let rectifier = rectifier::rectifier(winding, ledger);
    let winding = match &profile.second_supply {
        Some(own) if !own.shared => rectifier::hang(&own.rectifier, second::FED_BY, &mut windings)?,
        _ => None,
    };
    let second = second::rectifier(&rectifier, winding, ledger)?;
    heaters::hang_filaments(profile, &mut windings)?;
    heaters::rate(&mut windings);
    Ok(Heated { windings, string: None, rectifier, replaced, second })
}

/// Iron and copper of the transformer, by the size of the set where they are not stated.
fn transformer(
    frequency: f64,
    windings: &mut [HeaterWinding],
    tubes: &[Tube],
    ledger: &mut Ledger,
) -> Result<(Primary, HighVoltage)> {
    // what the published points of the tubes add up to: the measure of the supply's size
    let heaters = windings.iter().flat_map(|w| &w.filaments);
    let heater_watts: f64 = heaters.map(|f| f.volts * f.amps).sum();
    let all_amps = tubes.iter().map(published_amps).sum::<f64>().max(LEAST_AMPS);
    let watts = ledger.profile.set.nameplate_power.map_or_else(
        || {
            let watts = (heater_watts + all_amps * 350.0) / 0.85;
            let rule = "heater watts and published tube currents at 350 V, over 0.85; the primary's copper and the no-load current follow from it";
            ledger.add("size of the set", shown(watts, "W"), 0.3, None, rule);
            watts
        },
        Quantity::si,
    );
    let primary = primary(frequency, watts, ledger)?;
    let on_main = tubes.iter().filter(|t| !second::POINTS.contains(&t.plate.from.as_str()));
    let amps = on_main.map(published_amps).sum::<f64>().max(LEAST_AMPS);
    let high_voltage = high_voltage(amps, ledger)?;
    heaters::copper(windings, ledger);
    Ok((primary, high_voltage))
}

/// The filters of a set while they are completed.
#[derive(Default)]
struct Filters {
    sections: Vec<Section>,
    coils: Vec<Coil>,
    /// Where each section is stated in the profile; nothing for one that a rule put in.
    stated: Vec<String>,
}

impl Filters {
    /// Puts the `parts` of the filter called `of` behind those of the filters before it.
    fn add(&mut self, of: &str, parts: &[FilterPart], ledger: &mut Ledger) {
        let mut after_capacitor = false;
        for (place, part) in parts.iter().enumerate() {
            let is_capacitor = matches!(part, FilterPart::Capacitor(_));
            if after_capacitor && is_capacitor {
                let between = self.between_capacitors(ledger);
                self.push(between, String::new());
            }
            let (section, key) = match part {
                FilterPart::Capacitor(c) => {
                    (Section::Capacitor(c.value.si(), c.marked()), "capacitor")
                }
                FilterPart::FieldCoil(coil) => (self.coil(coil, true, ledger), "field_coil"),
                FilterPart::Choke(coil) => (self.coil(coil, false, ledger), "choke"),
                FilterPart::Resistor(r) => {
                    (Section::Resistor(r.lead, r.value.si(), r.rated.si()), "resistor")
                }
            };
            self.push(section, format!("{of}[{place}].{key}"));
            after_capacitor = is_capacitor;
        }
    }

    fn push(&mut self, section: Section, stated: String) {
        self.sections.push(section);
        self.stated.push(stated);
    }

    /// What stands between two capacitors in a row: in every set with a transformer a coil.
    fn between_capacitors(&mut self, ledger: &mut Ledger) -> Section {
        if ledger.profile.heater_string.is_some() {
            let ohms = ledger.take(
                Number::FilterResistor.of(self.sections.len()),
                "resistor between the filter capacitors",
                1000.0,
                0.3,
                "what sets without a transformer have there (common practice, no source)",
            );
            return Section::Resistor(Lead::Positive, ohms, None);
        }
        let cold = ledger.take(
            Number::CoilResistance.of(self.coils.len()),
            "field coil or choke between the filter capacitors, cold",
            1000.0,
            0.5,
            "the middle of the usual 450 to 2500 Ω, taken in the positive lead (common practice, no source)",
        );
        let cold = Some(Resistance::from_si(cold));
        let coil = profile::Coil { lead: Lead::Positive, cold, hot: None, inductance: None };
        self.coil(&coil, false, ledger)
    }

    fn coil(&mut self, coil: &profile::Coil, is_field: bool, ledger: &mut Ledger) -> Section {
        let index = self.coils.len();
        let name = if is_field { "field coil" } else { "choke" };
        let rule = "15 % between cold and hot (10 to 25 %† is usual)";
        let (cold, hot) = match (coil.cold.si(), coil.hot.si()) {
            (Some(cold), Some(hot)) => (cold, hot),
            (Some(cold), None) => {
                let what = format_args!("{name} resistance at work");
                let number = Number::CoilRise.of(index);
                (cold, ledger.take(number, what, COIL_RISE * cold, 0.08, rule))
            }
            (None, Some(hot)) => {
                let cold = hot / COIL_RISE;
                let what = format_args!("{name} resistance cold");
                ledger.add(what, shown(cold, "Ω"), 0.0, None, rule);
                (cold, hot)
            }
            // the profile reader asks for one of the two
            (None, None) => (1000.0, 1150.0),
        };
        let inductance = ledger.or(
            coil.inductance,
            Number::CoilInductance.of(index),
            format_args!("{name} inductance"),
            10.0,
            0.5,
            "the middle of the usual 5 to 20 H†",
        );
        let name = name.to_owned();
        self.coils.push(Coil { name, is_field, lead: coil.lead, cold, hot, inductance });
        Section::Coil(index)
    }
}

/// The high-voltage winding of a set that draws about `amps` from it.
fn high_voltage(amps: f64, ledger: &mut Ledger) -> Result<HighVoltage> {
    let stated = &ledger.profile.transformer;
    let (turns_from, by_b_plus) = match (&stated.high_voltage, &ledger.profile.sheet_b_plus) {
        (Some(winding), _) => {
            let what = "high-voltage winding's voltage";
            (turns_from(&winding.volts, what, Number::HighVoltage, ledger), false)
        }
        (None, Some(sheet)) => {
            let at_line = sheet.at_line.si_or(ledger.line);
            (TurnsFrom { volts: sheet.volts.si(), open: false, at_line }, true)
        }
        (None, None) => {
            return Err(flaw(
                "the high-voltage winding's volts is not known",
                "transformer",
                "give `high_voltage: { per_half: 340 V }` under `transformer:`, or the service sheet's B+ as `service_sheet: { B+: 250 V }`",
            ));
        }
    };
    let reference = if by_b_plus { 1.3 * turns_from.volts } else { turns_from.volts };
    let half = if ledger.profile.single_winding() { "" } else { "each half of " };
    let resistance_per_half = ledger.or(
        stated.high_voltage.and_then(|winding| winding.resistance),
        Number::HighVoltageResistance,
        format_args!("copper of {half}the high-voltage winding"),
        0.035 * reference / amps,
        0.4,
        "3.5 % of volts per half over DC amperes (170 Ω at 340 V 70 mA; common practice, no source)",
    );
    if by_b_plus {
        let rule = "turns found so that the service sheet's B+ comes out at its line";
        ledger.add("high-voltage winding", "solved", 0.0, None, rule);
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
    let (ohms, amps) = (l.resistance.si(), l.current.si_or(0.0));
    Load { name: l.name.clone(), from: Spot::Supply(l.from.clone()), ohms, amps }
}
