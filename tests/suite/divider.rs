//! Dividers: bench readings, meter loading, hand formulas, and what must hold for any divider.

use super::harness::{printed, run_full};
use approx::assert_relative_eq;
use mainsfit::study::{
    DividerKnown, DividerRequest, DividerSize, DividerStudy, TapLoad, Voltmeter, divider,
};
use proptest::prelude::*;
use serde_json::Value;

const SET: &str = "profiles/console-1936.yaml";

fn json(args: &[&str]) -> Value {
    let mut all = vec!["divider"];
    all.extend(args);
    all.extend(["--format", "json"]);
    serde_json::from_str(&printed(&all)).unwrap()
}

/// What each meter of a result shows at one place, V.
fn shown(found: &Value, places: &str, place: usize) -> Vec<f64> {
    let list = found["metered"].as_array().unwrap();
    let one = |m: &Value| m[places][place]["shown_v"].as_f64().unwrap();
    list.iter().map(one).collect()
}

fn assert_close(got: &[f64], expected: &[f64], by: f64) {
    assert_eq!(got.len(), expected.len());
    for (g, e) in got.iter().zip(expected) {
        assert!((g - e).abs() <= by, "{got:?}, expected {expected:?}");
    }
}

/// Bench readings with a digital meter across each resistor in turn: common practice, no source. They stood
/// between 49 and 50 V, at 9.92 V and at 2.5 V; such a meter's own error is 0.5 % and a digit or two.
#[test]
fn bench_readings_across_each_arm() {
    let found = json(&["--from", "62.6V", "--resistors", "500k,100k,25k", "--meter", "10Mohm"]);
    let first = shown(&found, "arms", 0)[0];
    assert!((49.0..=50.0).contains(&first), "{first}");
    assert_close(&shown(&found, "arms", 1), &[9.92], 0.05);
    assert_close(&shown(&found, "arms", 2), &[2.5], 0.02);
    // Ohm's law without the meter
    let arms = found["arms"].as_array().unwrap();
    let volts: Vec<f64> = arms.iter().map(|a| a["volts_v"].as_f64().unwrap()).collect();
    assert_close(&volts, &[62.6 * 0.8, 62.6 * 0.16, 62.6 * 0.04], 1e-9);
    // and with it, by hand: the arm beside the meter in parallel
    let beside = 500e3 * 10e6 / 10.5e6;
    assert_close(&[first], &[62.6 * beside / (beside + 125e3)], 1e-9);
}

/// Meter loading by Ohm's law, worked out by hand.
#[test]
fn meter_loading_tables() {
    let meters = "1kohm/V,50kohm,20kohm/V,10Mohm";
    let found = json(&["--from", "250V", "--resistors", "100k,100k", "--meter", meters]);
    assert_close(&shown(&found, "taps", 0), &[104.2, 62.5, 123.8, 124.4], 0.05);
    let found =
        json(&["--from", "61V", "--resistors", "330k,115k", "--meter", "250kohm,5Mohm,10Mohm"]);
    let tap = found["taps"][0]["volts_v"].as_f64().unwrap();
    assert_close(&[tap], &[15.76], 0.005);
    assert_close(&shown(&found, "taps", 0), &[11.75, 15.50, 15.63], 0.005);
}

/// Ohms per volt times the range, by hand: 167 Ω/V on 1000 V is 167 kΩ, 1000 Ω/V on 250 V 250 kΩ, 20 000 Ω/V 5 MΩ.
#[test]
fn sensitivities_times_the_range() {
    let cases = [
        ("167ohm/V@1000V", 167e3),
        ("500ohm/V@1000V", 500e3),
        ("1000ohm/V", 250e3),
        ("20kohm/V", 5e6),
        ("11Mohm", 11e6),
    ];
    for (meter, expected) in cases {
        let found = json(&["--from", "250V", "--resistors", "100k,100k", "--meter", meter]);
        let load = found["metered"][0]["taps"][0]["load_ohms"].as_f64().unwrap();
        assert_relative_eq!(load, expected, max_relative = 1e-12);
    }
    // a tap of 250 V that is reckoned with binary numbers is still read on 250 V
    let found = json(&[
        "--from",
        "300V",
        "--taps",
        "250V,90V",
        "--bleed",
        "4mA",
        "--loads",
        "22mA,6.5mA",
        "--meter",
        "20kohm/V",
    ]);
    assert_eq!(found["metered"][0]["taps"][0]["range_v"], 250.0);
    // the range just above the volts, each end of each range
    for (volts, range) in
        [("2.5V", 2.5), ("2.6V", 10.0), ("50V", 50.0), ("51V", 250.0), ("900V", 1000.0)]
    {
        let from = format!("{}V", 2.0 * volts.trim_end_matches('V').parse::<f64>().unwrap());
        let found = json(&["--from", &from, "--resistors", "1k,1k", "--meter", "20kohm/V"]);
        assert_eq!(found["metered"][0]["taps"][0]["range_v"], range, "{volts}");
    }
    let found = json(&["--from", "250V", "--resistors", "1k,1k", "--meter", "1kohm/V@50V"]);
    assert!(found["metered"][0]["taps"][0]["shown_v"].is_null(), "the pointer is off its scale");
}

/// Ohm's law by hand: a heater string of 6.3 + 6.3 + 25 + 25 V at 0.3 A on 117 V drops 54.4 V in 181 Ω, 16.3 W; 40 Ω at
/// 0.5 A drops 20 V, 10 W; 220 Ω at 100 mA drops 22 V, 2.2 W.
#[test]
fn ohms_law_by_hand() {
    let cases = [
        ("117V", "181ohm", (6.3 + 6.3 + 25.0 + 25.0) / 0.3, 0.3, 54.4, 16.3, None),
        ("240V", "40ohm", 440.0, 0.5, 20.0, 10.0, None),
        ("220V", "220ohm", 1980.0, 0.1, 22.0, 2.2, Some(5.0)),
    ];
    for (from, drop, rest, amps, volts, watts, buy) in cases {
        let resistors = format!("{drop},{rest}ohm");
        let found = json(&["--from", from, "--resistors", &resistors]);
        let arm = &found["arms"][0];
        let figure = |key: &str| arm[key].as_f64().unwrap();
        assert_relative_eq!(figure("current_a"), amps, max_relative = 2e-3);
        assert_relative_eq!(figure("volts_v"), volts, max_relative = 2e-3);
        assert_relative_eq!(figure("heat_w"), watts, max_relative = 3e-3);
        assert_eq!(arm["buy"]["rating_w"].as_f64(), buy, "{from}");
    }
}

/// At least twice the heat, from the stock; the volts a small part stands are those of data sheets †.
#[test]
fn ratings() {
    for (from, resistors, rating) in [
        ("20V", "1k,1k", Some(0.25)),  // 0.1 W
        ("32V", "1k,1k", Some(1.0)),   // 0.256 W
        ("100V", "1k,1k", Some(5.0)),  // 2.5 W, exactly twice is 5 W
        ("101V", "1k,1k", Some(10.0)), // 2.55 W
        ("150V", "1k,1k", None),       // 5.6 W
        ("600V", "1M,1M", Some(0.5)),  // 0.09 W, but 300 V
        ("900V", "1M,1M", Some(1.0)),  // 0.2 W, but 450 V
    ] {
        let found = json(&["--from", from, "--resistors", resistors]);
        assert_eq!(found["arms"][0]["buy"]["rating_w"].as_f64(), rating, "{from}");
    }
    // 1170 V and 1.37 W: three in a row of 390 V and 0.46 W each
    let found = json(&["--from", "1200V", "--resistors", "1M,22k,4k7"]);
    let buy = &found["arms"][0]["buy"];
    assert_eq!((buy["pieces"].as_u64(), buy["rating_w"].as_f64()), (Some(3), Some(1.0)));
    // a tap that goes free heats the last arm more: 8 kΩ at 100 V, not at 80 V
    let found =
        json(&["--from", "250V", "--taps", "100V,80V", "--bleed", "10mA", "--loads", "5mA,0"]);
    let arm = &found["arms"][2];
    assert_relative_eq!(arm["free_heat_w"].as_f64().unwrap(), 1.25, max_relative = 1e-9);
    assert_eq!(arm["buy"]["rating_w"], 5.0);
}

/// By hand: bleed 10 mA, 5 mA at the upper tap.
#[test]
fn resistors_from_taps_by_hand() {
    let found =
        json(&["--from", "250V", "--taps", "100V,80V", "--bleed", "10mA", "--loads", "5mA,0"]);
    let arms = found["arms"].as_array().unwrap();
    let ohms: Vec<f64> = arms.iter().map(|a| a["ohms"].as_f64().unwrap()).collect();
    assert_close(&ohms, &[150.0 / 0.015, 20.0 / 0.010, 80.0 / 0.010], 1e-6);
    // one arm up by a fifth: (250 − V)/12 kΩ = 5 mA + V/10 kΩ gives V = 1900/22
    let drifted = found["drifted"].as_array().unwrap();
    let one = drifted.iter().find(|d| d["arm"] == 0 && d["by"] == 0.2).unwrap();
    assert_close(&[one["taps_v"][0].as_f64().unwrap()], &[1900.0 / 22.0], 1e-9);
}

/// A set's taps are those that the sweep shows, and a meter is a load as a profile would state it.
#[test]
fn a_set_as_solved() {
    let found = json(&[SET, "--of", "bias", "--meter", "50kohm"]);
    let table = printed(&[
        "sweep",
        SET,
        "--from",
        "123V",
        "--to",
        "124V",
        "--points",
        "2",
        "--format",
        "csv",
        "--show",
        "bias.output,bias.rf",
    ]);
    // the last column is the caution
    let row: Vec<f64> =
        table.lines().nth(1).unwrap().split(',').map_while(|c| c.parse().ok()).collect();
    for (place, volts) in row[1..].iter().enumerate() {
        let tap = found["taps"][place]["volts_v"].as_f64().unwrap();
        assert_relative_eq!(tap, *volts, max_relative = 2e-4);
    }
    // the output tube answers, so the bias falls less than across a source that holds its volts
    let still = row[1] * 50e3 / (50e3 + 270e3 * 88e3 / 358e3);
    let got = shown(&found, "taps", 0)[0];
    assert!(got < 1.1 * still && got > row[1], "{got}, held still {still}");
    // the same as a load of the profile; with coil and copper that do not warm, since their heat is fitted on the design line
    // with that load on
    let cold = std::fs::read_to_string(SET)
        .unwrap()
        .replace("cold: 1050 Ω, hot: 1180 Ω", "cold: 1179 Ω, hot: 1180 Ω")
        .replace("\ntransformer:\n", "\ntransformer:\n  copper: warm\n");
    let loaded = cold.replace(
        "\nlamps:",
        "\nloads: [{ name: meter, from: bias.output, resistance: 50 kΩ }]\n\nlamps:",
    );
    assert!(cold != loaded && cold.contains("1179"));
    let folder = tempfile::tempdir().unwrap();
    let [plain, with_meter] =
        [("plain.yaml", &cold), ("meter.yaml", &loaded)].map(|(name, text)| {
            let path = folder.path().join(name);
            std::fs::write(&path, text).unwrap();
            path.to_str().unwrap().to_owned()
        });
    let found = json(&[&plain, "--of", "bias", "--meter", "50kohm"]);
    let got = shown(&found, "taps", 0)[0];
    let table = printed(&[
        "sweep",
        &with_meter,
        "--from",
        "123V",
        "--to",
        "124V",
        "--points",
        "2",
        "--format",
        "csv",
        "--show",
        "bias.output",
    ]);
    let row = table.lines().nth(1).unwrap();
    let volts: f64 = row.split(',').nth(1).unwrap().parse().unwrap();
    assert_relative_eq!(got, volts, max_relative = 1e-3);
}

/// Every text carries its caution, with and without a set, and no option takes it away.
#[test]
fn the_caution_stands() {
    let bare = ["divider", "--from", "75V", "--resistors", "390k,82k"];
    let of = ["divider", SET, "--of", "bleeder"];
    for args in [&bare[..], &of[..]] {
        for more in [&[][..], &["--working"], &["--format", "json"]] {
            let mut all = args.to_vec();
            all.extend(more);
            let text = super::harness::flat(&printed(&all));
            for word in ["Lethal voltages", "isolation transformer", "codes"] {
                assert!(text.contains(word), "{all:?}: {word}");
            }
        }
    }
}

/// Whatever options stand together, there is a result or a sentence that says what to write.
#[test]
fn every_combination_of_options() {
    let options: [&[&str]; 10] = [
        &[SET],
        &["--of", "bias"],
        &["--line", "120V"],
        &["--from=-250V"],
        &["--resistors", "100k,47k,4k7"],
        &["--taps=-100V,-80V"],
        &["--total", "100k"],
        &["--bleed", "2mA"],
        &["--loads", "0,1M"],
        &["--working"],
    ];
    let mut results = 0;
    for chosen in 0..1_u32 << options.len() {
        let mut args = vec!["divider".to_owned()];
        for (bit, option) in options.iter().enumerate() {
            if chosen >> bit & 1 == 1 {
                args.extend(option.iter().map(|o| (*o).to_owned()));
            }
        }
        let name = args.join(" ");
        let outcome = run_full(args);
        match outcome.code {
            0 => {
                results += 1;
                assert!(outcome.err.is_empty() && outcome.out.contains("ARMS"), "{name}");
            }
            2 => assert!(
                (outcome.out.is_empty() || name.contains("json"))
                    && outcome.err.contains("\n    fix: "),
                "{name}: {}",
                outcome.err
            ),
            code => panic!("{name}: exit code {code}: {}", outcome.err),
        }
    }
    // a set with --of, --line or not; resistors or taps with total or bleed, loads or not; each with --working or not
    assert_eq!(results, 2 * (2 + 2 * (1 + 2)));
}

fn loads(count: usize) -> impl Strategy<Value = Vec<TapLoad>> {
    let one = prop_oneof![
        Just(TapLoad::Nothing),
        (1e-4..2e-2).prop_map(TapLoad::Amps),
        (1e3..1e7).prop_map(TapLoad::Ohms),
    ];
    proptest::collection::vec(one, count)
}

/// Volts, shares of them for the taps, loads, bleed.
fn wanted() -> impl Strategy<Value = (f64, Vec<f64>, Vec<TapLoad>, f64)> {
    (1_usize..6).prop_flat_map(|taps| {
        let shares = proptest::collection::vec(0.02..1.0f64, taps + 1);
        let volts = prop_oneof![-400.0..-1.0f64, 1.0..1000.0f64];
        (volts, shares, loads(taps), 1e-5..5e-2f64)
    })
}

fn laws(d: &DividerStudy) {
    let tiny = 1e-7;
    let mut above = d.from_v;
    for (i, arm) in d.arms.iter().enumerate() {
        let below = d.taps.get(i).map_or(d.to_v, |t| t.volts_v);
        assert!(above.abs() > below.abs() && above * d.from_v > 0.0, "volts between the ends");
        assert_relative_eq!(arm.volts_v, above - below, max_relative = tiny);
        assert_relative_eq!(arm.current_a * arm.ohms, arm.volts_v, max_relative = tiny);
        above = below;
    }
    for (pair, tap) in d.arms.windows(2).zip(&d.taps) {
        let takes = (pair[0].current_a - pair[1].current_a) * d.from_v.signum();
        assert!((takes - tap.takes_a).abs() <= 2e-6 * pair[0].current_a.abs());
    }
    let given = d.from_v * d.arms[0].current_a;
    let heat: f64 = d.arms.iter().map(|a| a.heat_w).sum();
    let fed: f64 = d.taps.iter().map(|t| t.volts_v.abs() * t.takes_a).sum();
    assert_relative_eq!(given, heat + fed, max_relative = 1e-5);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    /// What is designed stands where it was wanted; Kirchhoff's sums and the power balance hold; a meter on a tap
    /// and one arm's drift agree with the hand formula where nothing loads the taps.
    #[test]
    fn any_divider((from_v, shares, loads, bleed) in wanted()) {
        let all: f64 = shares.iter().sum();
        let mut at = from_v;
        let taps: Vec<f64> = shares[1..].iter().map(|s| { at -= from_v * s / all; at }).collect();
        let request = |known, loads: &[TapLoad]| DividerRequest {
            from_v,
            known,
            loads: loads.to_vec(),
            meters: Voltmeter::USUAL.to_vec(),
        };
        let wanted = DividerKnown::Taps(taps.clone(), DividerSize::Bleed(bleed));
        let designed = divider(&request(wanted, &loads)).unwrap();
        laws(&designed);
        for (tap, v) in designed.taps.iter().zip(&taps) {
            assert_relative_eq!(tap.volts_v, *v, max_relative = 1e-7);
        }
        assert_relative_eq!(designed.arms.last().unwrap().current_a.abs(), bleed, max_relative = 1e-6);
        // a total leads back to the same resistors
        let total = DividerSize::Total(designed.total_ohms);
        let again = divider(&request(DividerKnown::Taps(taps, total), &loads)).unwrap();
        for (a, b) in again.arms.iter().zip(&designed.arms) {
            assert_relative_eq!(a.ohms, b.ohms, max_relative = 1e-6);
        }
        let ohms: Vec<f64> = designed.arms.iter().map(|a| a.ohms).collect();
        let free = divider(&request(DividerKnown::Resistors(ohms.clone()), &[])).unwrap();
        laws(&free);
        let sum: f64 = ohms.iter().sum();
        for (i, tap) in free.taps.iter().enumerate() {
            let above: f64 = ohms[..=i].iter().sum();
            assert_relative_eq!(tap.volts_v, from_v * (sum - above) / sum, max_relative = 1e-7);
            let seen = above * (sum - above) / sum;
            assert_relative_eq!(tap.looks_like_ohms, seen, max_relative = 1e-5);
            for metered in &free.metered {
                let reading = &metered.taps[i];
                let hand = tap.volts_v * reading.load_ohms / (reading.load_ohms + seen);
                assert_relative_eq!(reading.shown_v.unwrap(), hand, max_relative = 1e-6);
            }
            for drifted in free.drifted.iter().filter(|d| d.arm == Some(0)) {
                let hand = from_v * (sum - above) / (sum + drifted.by * ohms[0]);
                assert_relative_eq!(drifted.taps_v[i], hand, max_relative = 1e-7);
            }
        }
    }
}
