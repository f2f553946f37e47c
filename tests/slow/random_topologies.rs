//! Profiles of plausible sets of every topology: heater strings, windings without a center tap, doublers, dry rectifiers.
//! `random_sets.rs` writes those of a transformer with a tube on a center tap.

use crate::random_sets::{profiles, rated, usual};
use proptest::collection::vec;
use proptest::prelude::*;

/// Types with the voltage of their heaters.
type Heaters = &'static [(&'static str, f64)];

/// Shares a set is written from.
const SHARES: usize = 24;

/// A draw of shares, taken one by one.
struct Shares(std::vec::IntoIter<f64>);

impl Shares {
    fn next(&mut self) -> f64 {
        self.0.next().unwrap()
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }

    fn one_of<T: Copy>(&mut self, list: &[T]) -> T {
        list[((self.next() * list.len() as f64) as usize).min(list.len() - 1)]
    }

    /// Set and outlet, the outlet from 0.85 to 1.30 of the design line, 250 V at most.
    fn head(&mut self, line: f64) -> String {
        let usual = usual(line, self.next());
        let (low, high) = (usual * self.between(0.95, 1.0), usual * self.between(1.0, 1.05));
        let hertz = if line > 150.0 { 50 } else { 60 };
        format!(
            "set: {{ name: random set, design_line: {line:.0} V, frequency: {hertz} Hz }}\n\
             outlet: {{ low: {low:.1} V, usual: {usual:.1} V, high: {high:.1} V }}\n"
        )
    }

    fn capacitor(&mut self, micro: (f64, f64), volts: f64) -> String {
        let rated = rated(self.one_of(&[1.0, 1.1, 1.25]) * volts);
        format!("{{ value: {:.0} µF, rated: {rated:.0} V }}", self.between(micro.0, micro.1))
    }

    /// What stands between the filter capacitors.
    fn series(&mut self) -> String {
        let ohms = self.between(0.3, 1.0);
        match self.one_of(&["resistor", "choke", "field", "negative field", "across"]) {
            "resistor" => format!("resistor: {{ lead: positive, value: {:.0} Ω }}", 1500.0 * ohms),
            "choke" => {
                format!("choke: {{ lead: positive, cold: {:.0} Ω, inductance: 8 H }}", 400.0 * ohms)
            }
            "field" => format!("field_coil: {{ lead: positive, cold: {:.0} Ω }}", 900.0 * ohms),
            "across" => format!(
                "field_coil: {{ lead: across, cold: {:.0} Ω }}\n  - resistor: {{ lead: positive, value: 800 Ω }}",
                6000.0 * ohms
            ),
            _ => format!("field_coil: {{ lead: negative, cold: {:.0} Ω }}", 700.0 * ohms),
        }
    }

    /// A heater string on the line.
    fn string(mut self) -> String {
        let (amps, tubes, output): (f64, Heaters, Heaters) = self.one_of(&[
            (
                0.15,
                &[("12SQ7", 12.6), ("12SA7", 12.6), ("12SK7", 12.6)],
                &[("50L6GT", 50.0), ("35L6GT", 35.0)],
            ),
            (
                0.1,
                &[("UF41", 12.6), ("UAF42", 12.6), ("UBC41", 14.0)],
                &[("UL41", 45.0), ("UL84", 45.0)],
            ),
            (0.3, &[("75", 6.3), ("6A7", 6.3), ("6D6", 6.3)], &[("43", 25.0), ("25L6", 25.0)]),
        ]);
        let output = self.one_of(output);
        let rectifiers: &[(&str, f64, &str)] = if amps < 0.12 {
            &[
                ("UY41", 31.0, "half-wave"),
                ("UY85", 38.0, "half-wave"),
                ("silicon", 0.0, "half-wave"),
            ]
        } else if amps < 0.2 {
            &[
                ("35Z5GT", 35.0, "half-wave"),
                ("35W4", 35.0, "half-wave"),
                ("35Z4GT", 35.0, "half-wave"),
                ("50Y6GT", 50.0, "full-wave-doubler"),
                ("selenium", 0.0, "half-wave"),
                ("silicon", 0.0, "half-wave-doubler"),
                ("silicon", 0.0, "bridge"),
            ]
        } else {
            &[
                ("25Z5", 25.0, "half-wave"),
                ("25Z6GT", 25.0, "half-wave-doubler"),
                ("25Z5", 25.0, "full-wave-doubler"),
                ("silicon", 0.0, "half-wave"),
            ]
        };
        let (rectifier, heater, circuit) = self.one_of(rectifiers);
        let heaters = tubes.iter().map(|(_, v)| v).sum::<f64>() + output.1 + heater;
        // those of 100 mA are of lands with 220 V and more
        let nominal = self.one_of(if amps < 0.12 { &[220.0, 230.0] } else { &[110.0, 117.0] });
        let drop = f64::max(nominal - heaters, 0.0);
        let (line, dropper) = match self.one_of(&["resistor", "line-cord", "ballast", "barretter"])
        {
            _ if drop < 15.0 => (heaters, "none".to_owned()),
            "ballast" => {
                (nominal, format!("{{ kind: ballast, volts: {drop:.0} V, current: {amps} A }}"))
            }
            "barretter" => {
                let (from, to) = (0.65 * drop, 1.5 * drop);
                let range = format!("{{ from: {from:.0} V, to: {to:.0} V }}");
                (nominal, format!("{{ kind: barretter, current: {amps} A, holds: {range} }}"))
            }
            kind => (nominal, format!("{{ kind: {kind}, resistance: {:.0} Ω }}", drop / amps)),
        };
        let doubled = if circuit.contains("doubler") { 2.0 } else { 1.0 };
        let crest = doubled * 1.45 * line;
        let mut text = self.head(line);
        text += &format!("heater_string: {{ dropper: {dropper} }}\n");
        let surge = self.between(20.0, 100.0);
        let own = if doubled > 1.0 {
            let first = self.capacitor((16.0, 40.0), crest / doubled);
            let second = self.capacitor((16.0, 40.0), crest);
            format!(", capacitors: [{first}, {second}]")
        } else {
            String::new()
        };
        let rectifier_v = match rectifier {
            "selenium" => ", drop: 7 V, drop_at: 100 mA",
            "UY41" | "UY85" => ", drop: 20 V, drop_at: 150 mA",
            _ => "",
        };
        text += &format!(
            "rectifier: {{ type: \"{rectifier}\", circuit: {circuit}, surge_resistor: {surge:.0} Ω{own}{rectifier_v} }}\nfilter:\n"
        );
        if doubled == 1.0 {
            text += &format!("  - capacitor: {}\n", self.capacitor((16.0, 50.0), crest));
        }
        text += &format!("  - {}\n", self.series());
        text += &format!("  - capacitor: {}\ntubes:\n", self.capacitor((16.0, 50.0), crest));
        for (kind, _) in tubes {
            text += &format!("  - \"{kind}\"\n");
        }
        // an output tube on far more volts than its 117 V hangs on a divider's place: a large feed
        let enough = if amps < 0.12 { 190.0 } else { 130.0 };
        let through = (crest - enough).max(5.0) / 0.06 * 0.9 + 150.0;
        text += &format!(
            "  - {{ type: {}, duty: output, plate: {{ from: B+, through: {through:.0} Ω }}, screen: {{ from: B+, through: {:.0} Ω, bypass: 1 µF }}, cathode: {{ resistor: 200 Ω, bypass: 20 µF }} }}\n",
            if output.0 == "43" { "\"43\"" } else { output.0 },
            10.0 * through
        );
        if matches!(rectifier, "35Z5GT" | "35W4") && self.next() > 0.3 {
            text += "lamps: [{ type: \"#47\", across: tap }]\n";
        }
        text
    }

    /// A transformer with something else than a tube on a center tap.
    fn winding(mut self) -> String {
        let (rectifier, high) = self.one_of(&[
            ("type: selenium, circuit: bridge, drop: 12 V, drop_at: 150 mA", "volts: 245 V"),
            ("type: selenium, circuit: half-wave, drop: 10 V, drop_at: 100 mA", "volts: 230 V"),
            ("type: silicon, circuit: bridge, surge_resistor: 33 Ω", "volts: 240 V"),
            ("type: 6X4, circuit: half-wave", "volts: 250 V"),
            ("type: silicon, circuit: full-wave-doubler, surge_resistor: 15 Ω, capacitors: [47 µF, 47 µF]", "volts: 120 V"),
            ("type: silicon, circuit: half-wave-doubler, surge_resistor: 15 Ω, capacitors: [47 µF, 47 µF]", "volts: 120 V"),
            ("type: silicon, replaces: 5Y3GT", "per_half: 280 V"),
            ("type: silicon, replaces: { tube: 5Y3GT, resistor: 360 Ω }", "per_half: 280 V"),
            ("type: silicon, replaces: { tube: \"80\", resistor: 390 Ω }", "per_half: 320 V"),
        ]);
        let volts: f64 = high.trim_matches(|c: char| !c.is_ascii_digit()).parse().unwrap();
        let doubled = if rectifier.contains("doubler") { 2.0 } else { 1.0 };
        // before the tubes draw
        let crest = 1.06 * 2f64.sqrt() * volts * doubled;
        let line = self.one_of(&[110.0, 117.0, 127.0, 220.0, 240.0]);
        let mut text = self.head(line);
        let auto = !rectifier.contains("replaces") && self.next() > 0.8;
        let kind = if auto { "  kind: autotransformer\n" } else { "" };
        let fed = if rectifier.contains("replaces") {
            "    rectifier: { volts: 5 V, measured: loaded }\n"
        } else {
            ""
        };
        text += &format!(
            "transformer:\n{kind}  high_voltage: {{ {high}, measured: loaded }}\n  heater_windings:\n    main: {{ volts: 6.3 V, measured: loaded }}\n{fed}rectifier: {{ {rectifier} }}\nfilter:\n"
        );
        if !rectifier.contains("doubler") {
            text += &format!("  - capacitor: {}\n", self.capacitor((8.0, 50.0), crest));
        }
        text += &format!("  - {}\n", self.series());
        text += &format!("  - capacitor: {}\n", self.capacitor((8.0, 50.0), crest));
        let output = self.one_of(&["6V6GT", "6K6GT", "6AQ5"]);
        text += &format!(
            "tubes: [6SA7, 6SK7, 6SQ7, {{ type: {output}, duty: output, plate: {{ from: B+, through: 300 Ω }}, screen: B+, cathode: {{ resistor: {:.0} Ω, bypass: 25 µF }} }}]\nlamps: [{{ type: \"#47\", fed_by: main }}]\n",
            self.between(240.0, 450.0)
        );
        text
    }
}

/// Random profiles of every topology.
pub fn every_topology() -> impl Strategy<Value = String> {
    let others = (0..3u8, vec(0.0..1.0f64, SHARES)).prop_map(|(kind, shares)| {
        let shares = Shares(shares.into_iter());
        if kind < 2 { shares.string() } else { shares.winding() }
    });
    prop_oneof![profiles(), others.clone(), others]
}
