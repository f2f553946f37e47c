use mainsfit::circuit::*;
use serde_json::Value;

#[test]
fn published_cases() {
    let v: Value = serde_json::from_str(include_str!("../data/steady_state.json")).unwrap();
    for steps in [64usize, 128, 256, 512, 1024, 4096] {
        println!("steps {steps}");
        for case in v["cases"].as_array().unwrap() {
            let line = case["line_V"].as_f64().unwrap();
            let drop = case["dropper_ohm"].as_f64().unwrap();
            let div = case["bias_divider_ohm"].as_f64();
            let mut rh = [6.3 / 2.5, 5.0 / 2.0];
            let mut near: Option<Vec<f64>> = None;
            let t = std::time::Instant::now();
            let mut total = 0;
            for _ in 0..8 {
                let mut n = Network::new(60.0, "chassis").unwrap();
                let (plug, prim, core, a, b, ct, k) = (
                    n.node("plug"),
                    n.node(if drop > 0.0 { "prim" } else { "plug" }),
                    n.node("core"),
                    n.node("a"),
                    n.node("b"),
                    n.node("ct"),
                    n.node("B+"),
                );
                let (ha, hb) = (n.node("ha"), n.node("hb"));
                let (h1, h2) = (n.node("h1"), n.node("h2"));
                let neutral = REFERENCE;
                let src = n
                    .voltage(
                        "line",
                        plug,
                        neutral,
                        Wave::Sine {
                            peak: line * 2f64.sqrt(),
                            phase: 0.0,
                        },
                    )
                    .unwrap();
                if drop > 0.0 {
                    n.resistor("dropper", plug, prim, drop).unwrap();
                    n.resistor("copper", prim, core, 6.0).unwrap();
                } else {
                    n.resistor("copper", plug, core, 6.0).unwrap();
                }
                n.resistor("core loss", core, neutral, 4000.0).unwrap();
                n.inductor("mag", core, neutral, 8.0).unwrap();
                n.transformer(
                    "T",
                    vec![
                        Winding {
                            start: core,
                            end: neutral,
                            turns: 1.0,
                        },
                        Winding {
                            start: ha,
                            end: ct,
                            turns: 350.0 / 115.0,
                        },
                        Winding {
                            start: ct,
                            end: hb,
                            turns: 350.0 / 115.0,
                        },
                        Winding {
                            start: h1,
                            end: neutral,
                            turns: 6.3 / 115.0,
                        },
                        Winding {
                            start: h2,
                            end: neutral,
                            turns: 5.0 / 115.0,
                        },
                    ],
                )
                .unwrap();
                n.resistor("hva", ha, a, 150.0).unwrap();
                n.resistor("hvb", hb, b, 150.0).unwrap();
                let law = Law::ThreeHalves {
                    perveance: 0.125 / 60f64.powf(1.5),
                    offset: 0.0,
                };
                let d = n.rectifier("plate a", a, k, law).unwrap();
                n.rectifier("plate b", b, k, law).unwrap();
                n.resistor("heater 1", h1, neutral, rh[0]).unwrap();
                n.resistor("heater 2", h2, neutral, rh[1]).unwrap();
                n.capacitor("C1", k, ct, 8e-6).unwrap();
                let coil = n.node("coil");
                n.inductor("coil", ct, coil, 12.0).unwrap();
                n.resistor("coil copper", coil, neutral, 1200.0).unwrap();
                n.capacitor("C2", k, neutral, 8e-6).unwrap();
                n.resistor("load", k, neutral, 4000.0).unwrap();
                if let Some(r) = div {
                    n.resistor("div", ct, neutral, r).unwrap();
                }
                let s = steady_state(&n, &Settings::fixed(steps), near.as_deref()).unwrap();
                total += s.rounds();
                near = Some(s.start().to_vec());
                let v1 = s.rms(Probe::Volts(h1, neutral));
                let v2 = s.rms(Probe::Volts(h2, neutral));
                let new = [
                    6.3 / 2.5 * (v1 / 6.3f64).powf(0.45),
                    5.0 / 2.0 * (v2 / 5.0f64).powf(0.45),
                ];
                let e = &case["expect"];
                let done = (new[0] - rh[0]).abs() < 1e-7;
                rh = new;
                if done {
                    let pv = if drop > 0.0 {
                        Probe::Volts(prim, neutral)
                    } else {
                        Probe::Volts(plug, neutral)
                    };
                    let got = [
                        ("b_plus_V", s.mean(Probe::Volts(k, neutral))),
                        ("first_capacitor_V", s.mean(Probe::Volts(k, ct))),
                        ("field_coil_V", -s.mean(Probe::Volts(ct, neutral))),
                        ("primary_A_rms", s.rms(Probe::Amps(src))),
                        (
                            "line_W",
                            -s.mean_product(Probe::Amps(src), Probe::Volts(plug, neutral)),
                        ),
                        ("primary_V_rms", s.rms(pv)),
                        (
                            "crest_factor",
                            s.peak(Probe::Amps(src)) / s.rms(Probe::Amps(src)),
                        ),
                        ("plate_peak_A", s.peak(Probe::Amps(d))),
                        ("first_ripple_V_rms", s.ripple_rms(Probe::Volts(k, ct))),
                        (
                            "b_plus_ripple_V_rms",
                            s.ripple_rms(Probe::Volts(k, neutral)),
                        ),
                    ];
                    let w: Vec<String> = got
                        .iter()
                        .map(|(n, g)| {
                            let x = e[*n].as_f64().unwrap();
                            format!("{:+.4}", 100.0 * (g / x - 1.0))
                        })
                        .collect();
                    println!(
                        "{} {} h {:+.4}% rounds {total} {:?}",
                        case["name"],
                        w.join(" "),
                        100.0 * (v1 / e["heater_V_rms"][0].as_f64().unwrap() - 1.0),
                        t.elapsed()
                    );
                    break;
                }
            }
        }
    }
}
