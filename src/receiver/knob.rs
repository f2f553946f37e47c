//! The numbers of a model by name: what they are called, what they are now.

use super::model::{Knob, Model, RectifierCircuit, Section};

impl Knob {
    /// Short name that stands in profiles, such as `bias.resistors[0]`.
    pub fn key(self, model: &Model) -> String {
        let winding = |i: usize| model.windings.get(i).map_or("?", |w| w.name.as_str());
        let tube = |i: usize| i + 1;
        match self {
            Knob::PrimaryResistance => "primary.resistance".to_owned(),
            Knob::NoLoadCurrent => "primary.no_load_current".to_owned(),
            Knob::NoLoadPower => "primary.no_load_power".to_owned(),
            Knob::HighVoltage => "high_voltage.volts".to_owned(),
            Knob::HighVoltageResistance => "high_voltage.resistance".to_owned(),
            Knob::WindingVolts(i) => format!("{}.volts", winding(i)),
            Knob::WindingResistance(i) => format!("{}.resistance", winding(i)),
            Knob::CoilResistance(i) => format!("coil{}.resistance", i + 1),
            Knob::CoilRise(i) => format!("coil{}.rise", i + 1),
            Knob::CoilInductance(i) => format!("coil{}.inductance", i + 1),
            Knob::PlateFeed(i) => format!("V{}.plate_feed", tube(i)),
            Knob::ScreenFeed(i) => format!("V{}.screen_feed", tube(i)),
            Knob::CathodeResistor(i) => format!("V{}.cathode_resistor", tube(i)),
            Knob::TubeCurrent(i) => format!("V{}.current", tube(i)),
            Knob::Frequency => "frequency".to_owned(),
            Knob::DividerResistor(d, i) => {
                let name = model.dividers.get(d).map_or("?", |d| d.name.as_str());
                format!("{name}.resistors[{i}]")
            }
            Knob::Load(i) => format!("loads[{i}]"),
            Knob::FilterResistor(i) => format!("filter[{i}].resistor"),
            Knob::Surge => "rectifier.surge_resistor".to_owned(),
            Knob::StringDropper => "heater_string.dropper".to_owned(),
            Knob::Heater(i) => format!("{}.current", winding(i)),
            Knob::RectifierDrop => "rectifier.drop".to_owned(),
            Knob::BiasVolts => "bias.volts".to_owned(),
            Knob::BiasResistance => "bias.resistance".to_owned(),
        }
    }

    /// What it is, in words.
    pub fn words(self, model: &Model) -> String {
        let winding = |i: usize| model.windings.get(i).map_or("?", |w| w.name.as_str());
        let coil = |i: usize| model.coils.get(i).map_or("?", |c| c.name.as_str());
        let tube = |i: usize| {
            let label = model.tubes.get(i).map_or("?", |t| t.label.as_str());
            format!("V{} {label}", i + 1)
        };
        match self {
            Knob::PrimaryResistance => "primary copper".to_owned(),
            Knob::NoLoadCurrent => "no-load current".to_owned(),
            Knob::NoLoadPower => "no-load watts".to_owned(),
            Knob::HighVoltage => "high-voltage winding, volts".to_owned(),
            Knob::HighVoltageResistance
                if model.rectifier.circuit == RectifierCircuit::FullWave =>
            {
                "copper of each half of the high-voltage winding".to_owned()
            }
            Knob::HighVoltageResistance => "copper of the high-voltage winding".to_owned(),
            Knob::WindingVolts(i) => format!("{} winding, volts", winding(i)),
            Knob::WindingResistance(i) => format!("copper of the {} winding", winding(i)),
            Knob::CoilResistance(i) => format!("resistance of the {}", coil(i)),
            Knob::CoilRise(i) => format!("warm resistance of the {}", coil(i)),
            Knob::CoilInductance(i) => format!("inductance of the {}", coil(i)),
            Knob::PlateFeed(i) => format!("plate feed of {}", tube(i)),
            Knob::ScreenFeed(i) => format!("screen feed of {}", tube(i)),
            Knob::CathodeResistor(i) => format!("cathode resistor of {}", tube(i)),
            Knob::TubeCurrent(i) => format!("current of {} against its type", tube(i)),
            Knob::Frequency => "mains frequency".to_owned(),
            Knob::DividerResistor(d, i) => {
                let name = model.dividers.get(d).map_or("?", |d| d.name.as_str());
                format!("arm {} of the divider {name}", i + 1)
            }
            Knob::Load(i) => {
                let name = model.loads.get(i).map_or("?", |l| l.name.as_str());
                format!("load {name}")
            }
            Knob::FilterResistor(_) => "filter resistor".to_owned(),
            Knob::Surge => "surge resistor of the rectifier".to_owned(),
            Knob::StringDropper => "dropper of the heater string".to_owned(),
            Knob::Heater(i) => format!("current of the {} heater against its type", winding(i)),
            Knob::RectifierDrop => "drop of the rectifier".to_owned(),
            Knob::BiasVolts => "winding of the bias supply, volts".to_owned(),
            Knob::BiasResistance => "copper of the bias supply's winding".to_owned(),
        }
    }

    /// Its value in `model` with its unit; `None` where the model does not have it.
    pub fn value(self, model: &Model) -> Option<(f64, &'static str)> {
        let tube = |i: usize| model.tubes.get(i);
        if model.string.is_some() && self.is_of_transformer() {
            return None;
        }
        Some(match self {
            Knob::PrimaryResistance => (model.primary.resistance, "Ω"),
            Knob::NoLoadCurrent => (model.primary.no_load_amps, "A"),
            Knob::NoLoadPower => (model.primary.no_load_watts, "W"),
            Knob::HighVoltage => {
                match (&model.high_voltage.turns_from, model.high_voltage.from_b_plus) {
                    (Some(turns), _) => (turns.volts, "V"),
                    // found from the sheet's B+, which then stands for it
                    (None, Some((volts, _))) => (volts, "V"),
                    (None, None) => return None,
                }
            }
            Knob::HighVoltageResistance => (model.high_voltage.resistance_per_half, "Ω"),
            Knob::WindingVolts(i) => (model.windings.get(i)?.turns_from.volts, "V"),
            Knob::WindingResistance(i) => (model.windings.get(i)?.resistance, "Ω"),
            Knob::CoilResistance(i) => (model.coils.get(i)?.cold, "Ω"),
            Knob::CoilRise(i) => (model.coils.get(i)?.hot, "Ω"),
            Knob::CoilInductance(i) => (model.coils.get(i)?.inductance, "H"),
            Knob::PlateFeed(i) => (tube(i)?.plate.ohms, "Ω"),
            Knob::ScreenFeed(i) => (tube(i)?.screen.as_ref()?.ohms, "Ω"),
            Knob::CathodeResistor(i) => (tube(i)?.cathode_ohms, "Ω"),
            Knob::TubeCurrent(i) => (tube(i)?.current_factor, "×"),
            Knob::Frequency => (model.frequency, "Hz"),
            Knob::DividerResistor(d, i) => (*model.dividers.get(d)?.resistors.get(i)?, "Ω"),
            Knob::Load(i) => {
                let load = model.loads.get(i)?;
                match load.ohms {
                    Some(ohms) => (ohms, "Ω"),
                    None => (load.amps, "A"),
                }
            }
            Knob::Surge => (model.rectifier.surge_ohms, "Ω"),
            Knob::StringDropper => (model.string.as_ref()?.dropper_ohms, "Ω"),
            Knob::Heater(i) => {
                model.string.as_ref()?;
                let filaments = &model.windings.get(i)?.filaments;
                (filaments.iter().map(|f| f.amps).sum(), "A")
            }
            Knob::RectifierDrop => (model.rectifier.drop_volts, "V"),
            Knob::BiasVolts => (model.bias.as_ref()?.turns_from.volts, "V"),
            Knob::BiasResistance => (model.bias.as_ref()?.resistance, "Ω"),
            Knob::FilterResistor(i) => match model.filter.get(i)? {
                Section::Resistor(_, ohms) => (*ohms, "Ω"),
                _ => return None,
            },
        })
    }

    /// True for a number that only a set with a mains transformer has.
    pub fn is_of_transformer(self) -> bool {
        matches!(
            self,
            Knob::PrimaryResistance
                | Knob::NoLoadCurrent
                | Knob::NoLoadPower
                | Knob::HighVoltage
                | Knob::HighVoltageResistance
                | Knob::WindingVolts(_)
                | Knob::WindingResistance(_)
                | Knob::BiasVolts
                | Knob::BiasResistance
        )
    }

    /// Every number that `model` has.
    pub fn all(model: &Model) -> Vec<Knob> {
        let mut list = vec![
            Knob::PrimaryResistance,
            Knob::NoLoadCurrent,
            Knob::NoLoadPower,
            Knob::HighVoltage,
            Knob::HighVoltageResistance,
            Knob::Frequency,
            Knob::Surge,
            Knob::RectifierDrop,
            Knob::StringDropper,
            Knob::BiasVolts,
            Knob::BiasResistance,
        ];
        for i in 0..model.windings.len() {
            list.extend([Knob::WindingVolts(i), Knob::WindingResistance(i), Knob::Heater(i)]);
        }
        for i in 0..model.coils.len() {
            list.extend([Knob::CoilResistance(i), Knob::CoilRise(i), Knob::CoilInductance(i)]);
        }
        for (d, divider) in model.dividers.iter().enumerate() {
            list.extend((0..divider.resistors.len()).map(|i| Knob::DividerResistor(d, i)));
        }
        list.extend((0..model.loads.len()).map(Knob::Load));
        list.extend((0..model.filter.len()).map(Knob::FilterResistor));
        for i in 0..model.tubes.len() {
            list.extend([
                Knob::PlateFeed(i),
                Knob::ScreenFeed(i),
                Knob::CathodeResistor(i),
                Knob::TubeCurrent(i),
            ]);
        }
        list.retain(|k| k.value(model).is_some_and(|(v, _)| v > 0.0));
        list
    }
}

impl Model {
    /// A copy with one number multiplied by `factor`.
    pub fn scaled(&self, knob: Knob, factor: f64) -> Model {
        let mut model = self.clone();
        match knob {
            Knob::PrimaryResistance => model.primary.resistance *= factor,
            Knob::NoLoadCurrent => model.primary.no_load_amps *= factor,
            Knob::NoLoadPower => model.primary.no_load_watts *= factor,
            Knob::HighVoltage => {
                let high_voltage = &mut model.high_voltage;
                match (&mut high_voltage.turns_from, &mut high_voltage.from_b_plus) {
                    (Some(turns), _) => turns.volts *= factor,
                    // the winding follows from the sheet's B+, which then stands for it
                    (None, Some((volts, _))) => *volts *= factor,
                    (None, None) => {}
                }
            }
            Knob::HighVoltageResistance => model.high_voltage.resistance_per_half *= factor,
            Knob::WindingVolts(i) => model.windings[i].turns_from.volts *= factor,
            Knob::WindingResistance(i) => model.windings[i].resistance *= factor,
            Knob::CoilResistance(i) => {
                model.coils[i].cold *= factor;
                model.coils[i].hot *= factor;
            }
            Knob::CoilRise(i) => model.coils[i].hot *= factor,
            Knob::CoilInductance(i) => model.coils[i].inductance *= factor,
            Knob::PlateFeed(i) => model.tubes[i].plate.ohms *= factor,
            Knob::ScreenFeed(i) => {
                if let Some(feed) = &mut model.tubes[i].screen {
                    feed.ohms *= factor;
                }
            }
            Knob::CathodeResistor(i) => model.tubes[i].cathode_ohms *= factor,
            Knob::TubeCurrent(i) => model.tubes[i].current_factor *= factor,
            Knob::Frequency => {
                model.frequency *= factor;
                model.design_frequency *= factor;
            }
            Knob::Surge => model.rectifier.surge_ohms *= factor,
            Knob::StringDropper => {
                if let Some(string) = &mut model.string {
                    string.dropper_ohms *= factor;
                }
            }
            Knob::Heater(i) => {
                for filament in &mut model.windings[i].filaments {
                    filament.amps *= factor;
                }
            }
            Knob::RectifierDrop => model.rectifier.drop_volts *= factor,
            Knob::BiasVolts => {
                if let Some(bias) = &mut model.bias {
                    bias.turns_from.volts *= factor;
                }
            }
            Knob::BiasResistance => {
                if let Some(bias) = &mut model.bias {
                    bias.resistance *= factor;
                }
            }
            Knob::DividerResistor(d, i) => model.dividers[d].resistors[i] *= factor,
            Knob::Load(i) => {
                let load = &mut model.loads[i];
                load.amps *= factor;
                load.ohms = load.ohms.map(|ohms| ohms / factor);
            }
            Knob::FilterResistor(i) => {
                if let Section::Resistor(_, ohms) = &mut model.filter[i] {
                    *ohms *= factor;
                }
            }
        }
        model
    }
}
