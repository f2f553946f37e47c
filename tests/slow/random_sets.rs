//! Profiles of plausible sets, written from a row of random shares. All shares at zero give a plain set, so that
//! what a property test shrinks to is easy to read.

use proptest::collection::vec;
use proptest::prelude::*;
use std::fmt::Write as _;

/// Shares a set is written from; what is left over is not looked at.
const SHARES: usize = 72;

/// Usual rated volts of filter capacitors, V.
const RATED_V: [f64; 14] = [
    150.0, 160.0, 200.0, 250.0, 300.0, 350.0, 385.0, 400.0, 450.0, 475.0, 500.0, 525.0, 600.0,
    800.0,
];

/// The usual rating that `volts` call for.
pub fn rated(volts: f64) -> f64 {
    RATED_V.into_iter().find(|rated| *rated >= volts).unwrap_or(1000.0)
}

/// What an outlet usually gives beside a set of `line`, by a share from 0.85 to 1.30 of it: no mains
/// usually give more than 250 V.
pub fn usual(line: f64, share: f64) -> f64 {
    (line * (0.85 + 0.45 * share)).min(250.0)
}

/// Random profiles.
pub fn profiles() -> impl Strategy<Value = String> {
    vec(0.0..1.0f64, SHARES).prop_map(|shares| Shares::new(&shares).profile())
}

/// What kind of line-up a set has.
struct Family {
    heater: f64,
    /// Highest volts of a half of its winding.
    most_v: f64,
    /// The rectifier hangs on the tubes' winding.
    shared: bool,
    rectifiers: &'static [&'static str],
    radio: &'static [&'static str],
    converters: &'static [&'static str],
    audio: &'static [&'static str],
    outputs: &'static [&'static str],
}

const FAMILIES: [Family; 4] = [
    Family {
        heater: 6.3,
        most_v: 350.0,
        shared: false,
        rectifiers: &["5Y3GT", "80", "5V4G", "5Z4", "5W4", "83V", "5U4G", "83"],
        radio: &["6K7", "6SK7", "6J7"],
        converters: &["6A8", "6SA7", "6A7"],
        audio: &["6Q7", "6SQ7", "75", "6C5"],
        outputs: &["6F6", "6V6GT", "6K6GT", "42", "41"],
    },
    Family {
        heater: 6.3,
        most_v: 300.0,
        shared: true,
        rectifiers: &["6X5GT", "84/6Z4", "7Y4"],
        radio: &["6SK7", "78", "6K7"],
        converters: &["6SA7", "6A7"],
        audio: &["6SQ7", "75"],
        outputs: &["6K6GT", "41", "42", "6V6GT"],
    },
    Family {
        heater: 2.5,
        most_v: 350.0,
        shared: false,
        rectifiers: &["80", "5Z3", "82"],
        radio: &["58", "57"],
        converters: &["2A7"],
        audio: &["2A6", "56", "55"],
        outputs: &["2A5", "47", "45", "59"],
    },
    Family {
        heater: 6.3,
        most_v: 300.0,
        shared: true,
        rectifiers: &["6X4"],
        radio: &["6BA6", "6AU6"],
        converters: &["6BE6"],
        audio: &["6AV6"],
        outputs: &["6AQ5"],
    },
];

struct Shares<'a> {
    left: std::slice::Iter<'a, f64>,
}

impl<'a> Shares<'a> {
    fn new(shares: &'a [f64]) -> Shares<'a> {
        Shares { left: shares.iter() }
    }

    fn next(&mut self) -> f64 {
        *self.left.next().unwrap()
    }

    /// Between `low` and `high`; a share of zero gives `low`.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }

    fn one_of<'t, T>(&mut self, list: &'t [T]) -> &'t T {
        let place = (self.next() * list.len() as f64) as usize;
        &list[place.min(list.len() - 1)]
    }

    /// True with this probability; false at a share of zero.
    fn chance(&mut self, probability: f64) -> bool {
        self.next() > 1.0 - probability
    }

    fn profile(mut self) -> String {
        let family = self.one_of(&FAMILIES);
        let mut text = String::new();
        let (line, taps) = self.line();
        self.set(&mut text, line);
        let rectifier = *self.one_of(family.rectifiers);
        // volts of the winding, or B+ of a service sheet
        let sheet = self.chance(0.15);
        let volts =
            if sheet { self.between(200.0, 260.0) } else { self.between(240.0, family.most_v) };
        // what the filter gets before the tubes draw
        let crest = if sheet { 1.4 * (volts + 70.0) } else { 1.06 * 2f64.sqrt() * volts };
        self.transformer(&mut text, family, line, &taps, (!sheet).then_some(volts));
        if !family.shared {
            let volts = if rectifier == "82" { 2.5 } else { 5.0 };
            let _ = writeln!(text, "    rectifier: {{ volts: {volts} V, measured: loaded }}");
        }
        let fed_by = if family.shared { "main" } else { "rectifier" };
        let _ = writeln!(text, "rectifier: {{ type: \"{rectifier}\", fed_by: {fed_by} }}");
        let bias = self.filter(&mut text, crest);
        self.tubes(&mut text, family, bias);
        self.rest(&mut text, family, line);
        if sheet {
            let _ = writeln!(text, "service_sheet: {{ B+: {volts:.0} V }}");
        }
        if self.chance(0.15) {
            let _ = match sheet {
                true => writeln!(text, "target: {{ B+: {volts:.0} V }}"),
                false => {
                    writeln!(text, "target: {{ line: {:.0} V }}", line * self.between(0.97, 1.03))
                }
            };
        }
        text
    }

    /// Design line and taps.
    fn line(&mut self) -> (f64, Vec<f64>) {
        let european = self.chance(0.3);
        let tapped = self.chance(0.4);
        if european {
            let taps = vec![200.0, 220.0, 240.0];
            let on = *self.one_of(&taps);
            if tapped {
                return (on, taps);
            }
            return (self.between(200.0, 240.0).round(), Vec::new());
        }
        let line = self.between(105.0, 120.0).round();
        if tapped {
            return (line, vec![line, line + 10.0]);
        }
        (line, Vec::new())
    }

    fn set(&mut self, text: &mut String, line: f64) {
        let usual = usual(line, self.next());
        let low = usual * (1.0 - self.between(0.0, 0.06));
        let high = usual * (1.0 + self.between(0.0, 0.06));
        let watts = self.between(55.0, 120.0);
        let stated = self.chance(0.5);
        let nameplate =
            if stated { format!(", nameplate_power: {watts:.0} W") } else { String::new() };
        let hertz = if line > 150.0 || self.chance(0.1) { 50 } else { 60 };
        let _ = writeln!(
            text,
            "set: {{ name: random set, design_line: {line} V, frequency: {hertz} Hz{nameplate} }}\n\
             outlet: {{ low: {low:.1} V, usual: {usual:.1} V, high: {high:.1} V }}"
        );
    }

    fn transformer(
        &mut self,
        text: &mut String,
        family: &Family,
        line: f64,
        taps: &[f64],
        high_voltage: Option<f64>,
    ) {
        text.push_str("transformer:\n");
        let mut primary = Vec::new();
        if self.chance(0.5) {
            let ohms = line * line / 80.0 * self.between(0.02, 0.05);
            let watts = self.between(4.0, 9.0);
            let amps = watts / line / self.between(0.3, 0.5);
            primary.push(format!(
                "resistance: {ohms:.2} Ω, no_load_current: {amps:.4} A, no_load_power: {watts:.2} W"
            ));
        }
        if !taps.is_empty() {
            let list: Vec<String> = taps.iter().map(|t| format!("{t} V")).collect();
            primary.push(format!("taps: [{}]", list.join(", ")));
        }
        if !primary.is_empty() {
            let _ = writeln!(text, "  primary: {{ {} }}", primary.join(", "));
        }
        if let Some(volts) = high_voltage {
            let measured = *self.one_of(&["loaded", "open-circuit"]);
            let ohms = volts * self.between(0.35, 0.8);
            let known = self.chance(0.5);
            let copper =
                if known { format!(", resistance_per_half: {ohms:.0} Ω") } else { String::new() };
            let _ = writeln!(
                text,
                "  high_voltage: {{ per_half: {volts:.0} V, measured: {measured}{copper} }}"
            );
        }
        // a winding read without its tubes shows some 6 % more than with them
        let (open, above) =
            if self.chance(0.15) { ("open-circuit", 1.06) } else { ("loaded", 1.0) };
        let _ = writeln!(
            text,
            "  heater_windings:\n    main: {{ volts: {:.2} V, measured: {open} }}",
            family.heater * above
        );
    }

    /// Writes the filter and says whether a negative coil gives bias.
    fn filter(&mut self, text: &mut String, crest: f64) -> bool {
        text.push_str("filter:\n");
        let capacitor = |text: &mut String, micro: f64, rated: Option<f64>| {
            let rated = rated.map_or(String::new(), |v| format!(", rated: {v} V"));
            let _ = writeln!(text, "  - capacitor: {{ value: {micro:.1} µF{rated} }}");
        };
        let ratings =
            [None, Some(rated(crest)), Some(rated(1.1 * crest)), Some(rated(1.25 * crest))];
        let choke_input = self.chance(0.08);
        if !choke_input {
            let (micro, rated) = (self.between(4.0, 20.0), *self.one_of(&ratings));
            capacitor(text, micro, rated);
        }
        let kind = *self.one_of(&["field", "choke", "resistor", "negative field"]);
        let cold = self.between(500.0, 1500.0);
        let hot = cold * self.between(1.08, 1.18);
        match kind {
            "choke" => {
                let _ = writeln!(
                    text,
                    "  - choke: {{ lead: positive, cold: {:.0} Ω, inductance: 10 H }}",
                    cold / 3.0
                );
            }
            "resistor" if !choke_input => {
                let _ = writeln!(text, "  - resistor: {{ lead: positive, value: {:.0} Ω }}", cold);
            }
            "negative field" => {
                let _ = writeln!(
                    text,
                    "  - field_coil: {{ lead: negative, cold: {cold:.0} Ω, hot: {hot:.0} Ω, inductance: 12 H }}"
                );
            }
            _ => {
                let _ = writeln!(
                    text,
                    "  - field_coil: {{ lead: positive, cold: {cold:.0} Ω, hot: {hot:.0} Ω }}"
                );
            }
        }
        let (micro, rated) = (self.between(8.0, 40.0), *self.one_of(&ratings));
        capacitor(text, micro, rated);
        let bias = kind == "negative field" && self.chance(0.6);
        let bleeder = self.chance(0.4);
        if bias || bleeder {
            text.push_str("dividers:\n");
        }
        if bias {
            // 17 V of about 75 V for the output tube, 3 V for the others
            let output = self.between(60.0, 110.0);
            let _ = writeln!(
                text,
                "  bias: {{ across: field_coil, resistors: [270 kΩ, {output:.0} kΩ, 13 kΩ], taps: [output, rf] }}"
            );
        }
        if bleeder {
            let _ = writeln!(
                text,
                "  bleeder: {{ from: B+, resistors: [{:.0} kΩ, 22 kΩ], taps: [screens] }}",
                self.between(18.0, 60.0)
            );
        }
        bias
    }

    fn tubes(&mut self, text: &mut String, family: &Family, bias: bool) {
        text.push_str("tubes:\n");
        let grid = |tap: &str| {
            if bias { format!(", plate: B+, grid: bias.{tap}") } else { String::new() }
        };
        for stage in ["RF amplifier", "IF amplifier"] {
            let kind = *self.one_of(family.radio);
            if stage == "IF amplifier" || self.chance(0.5) {
                let _ =
                    writeln!(text, "  - {{ type: {}, duty: {stage}{} }}", quoted(kind), grid("rf"));
            }
        }
        let converter = *self.one_of(family.converters);
        let _ =
            writeln!(text, "  - {{ type: {}, duty: converter{} }}", quoted(converter), grid("rf"));
        let audio = *self.one_of(family.audio);
        let _ = writeln!(text, "  - {{ type: {}, duty: first audio }}", quoted(audio));
        let output = *self.one_of(family.outputs);
        let count = if self.chance(0.15) { ", count: 2" } else { "" };
        // a triode output wants more bias than such a divider gives
        let tap = if matches!(output, "45" | "59") { String::new() } else { grid("output") };
        let through = if tap.is_empty() { "" } else { ", through: 300 Ω, screen: B+" };
        let _ =
            writeln!(text, "  - {{ type: {}, duty: output{count}{tap}{through} }}", quoted(output));
    }

    fn rest(&mut self, text: &mut String, family: &Family, line: f64) {
        let lamps = (self.next() * 3.0) as usize;
        if lamps > 0 && family.heater > 6.0 {
            let _ = writeln!(text, "lamps: [{{ type: \"#47\", count: {lamps}, fed_by: main }}]");
        }
        if self.chance(0.3) {
            let rating = self.one_of(&[3.0, 2.0, 1.0, 0.5]);
            let standard = self.one_of(&["", ", standard: UL", ", standard: IEC"]);
            let _ = writeln!(text, "fuse: {{ rating: {rating} A{standard} }}");
        }
        let resistors = (self.next() * 6.0) as usize;
        let transformers = (self.next() * 6.0) as usize;
        if (1..=3).contains(&resistors) || transformers == 1 {
            text.push_str("parts:\n");
        }
        if (1..=3).contains(&resistors) {
            text.push_str("  resistors:\n");
            for _ in 0..resistors {
                let (ohms, watts) = (self.between(5.0, 60.0), self.between(5.0, 60.0));
                let family = self.one_of(&[
                    "ceramic-cased",
                    "tubular vitreous",
                    "aluminium-housed on its plate",
                    "aluminium-housed without plate",
                ]);
                let _ = writeln!(
                    text,
                    "    - {{ value: {ohms:.0} Ω, rating: {watts:.0} W, family: {family} }}"
                );
            }
        }
        if transformers == 1 {
            let primary = if line > 150.0 { 230 } else { 115 };
            let (secondary, amps) = (self.between(5.0, 25.0), self.between(0.3, 3.0));
            let _ = writeln!(
                text,
                "  transformers: [{{ primary: {primary} V, secondary: {secondary:.1} V, current: {amps:.1} A }}]"
            );
        }
    }
}

/// A type number as a text, not a number.
fn quoted(name: &str) -> String {
    format!("\"{name}\"")
}
