//! A resistor that stands in the line cord: one that came later is kept, taken out or replaced; a maker's stays. Its volts by
//! hand are rows of `topologies_line.rs`; here the same circuit is built in two ways.

use crate::harness::mainsfit;
use mainsfit::adaptation::{Dropper, Method};
use mainsfit::profile::{Document, Profile, read};
use mainsfit::receiver::{AsBuilt, Operation, Receiver, Straight, complete};
use mainsfit::study::{Plan, Request, Strength, Verdict, plan};

const FOUND: &str = include_str!("../../profiles/lead-resistor-1935.yaml");
const KEY: &str = "mains_resistor: { resistance: 18 Ω, rated: 20 W, fitted_by: repairer }";

fn profile(text: &str) -> Profile {
    let document = Document::parse("test", text.as_bytes()).unwrap();
    read(&document).unwrap_or_else(|problems| panic!("{problems:?}")).0
}

fn receiver(text: &str) -> Receiver {
    Receiver::new(complete(&profile(text)).unwrap().0, None).unwrap()
}

fn planned(text: &str) -> Plan {
    plan(&profile(text), &Request::default(), Vec::new()).unwrap()
}

fn with(key: &str) -> String {
    assert!(FOUND.contains(KEY));
    FOUND.replace(KEY, key)
}

fn on(low: f64, usual: f64, high: f64, text: &str) -> String {
    let now = "outlet: { low: 117 V, usual: 121 V, high: 124 V }";
    assert!(text.contains(now));
    text.replace(now, &format!("outlet: {{ low: {low} V, usual: {usual} V, high: {high} V }}"))
}

fn same(one: &Operation, other: &Operation, what: &str) {
    for (a, b) in [
        (one.b_plus(), other.b_plus()),
        (one.heater_volts(0), other.heater_volts(0)),
        (one.heater_volts(1), other.heater_volts(1)),
    ] {
        assert!((a / b - 1.0).abs() < 5e-5, "{what}: {a} and {b}");
    }
}

#[test]
fn kept_it_is_a_resistor_in_the_lead_and_out_it_is_none() {
    let (found, bare) = (receiver(FOUND), receiver(&with("")));
    same(found.at_design(), bare.at_design(), "as designed");
    let kept = found.run(121.0, &Straight, None).unwrap();
    same(&kept, &bare.run(121.0, &Dropper::bare(18.0), None).unwrap(), "kept");
    let out = found.run(121.0, &AsBuilt, None).unwrap();
    same(&out, &bare.run(121.0, &Straight, None).unwrap(), "taken out");
    // whatever is fitted takes its place
    let other = Dropper::bare(25.0);
    let replaced = found.run(121.0, &other, None).unwrap();
    same(&replaced, &bare.run(121.0, &other, None).unwrap(), "replaced");
    // the iron sees what is behind it
    let behind = kept.line - 18.0 * kept.state.rms(kept.at.inserted.inner[0].amps);
    assert!((kept.volts_as_built() / behind - 1.0).abs() < 0.005);
}

#[test]
fn a_makers_resistor_belongs_to_the_design() {
    let made = receiver(&with(&KEY.replace("repairer", "maker")));
    let straight = made.run(110.0, &Straight, None).unwrap();
    same(&straight, made.at_design(), "as designed");
    same(&straight, &made.run(110.0, &AsBuilt, None).unwrap(), "it does not come out");
    assert!((straight.heater_volts(0) - 6.3).abs() < 0.001);
    let plan = planned(&with(&KEY.replace("repairer", "maker")));
    assert!(plan.choices.iter().all(|c| c.method != Method::TakeOut));
    assert!(plan.advice.not_without_part, "121 V are 1.10 times 110 V");
}

#[test]
fn it_is_kept_where_it_does_its_work_and_comes_out_where_it_takes_too_much() {
    let kept = planned(FOUND);
    assert_eq!((kept.advice.verdict, kept.advice.not_without_part), (Verdict::Leave, false));
    let why = kept.advice.reasons.join(" ");
    assert!(why.contains("The 18 Ω in the line cord take 9 V of that."), "{why}");
    let without = planned(&with(""));
    assert_eq!((without.advice.verdict, without.advice.not_without_part), (Verdict::Fit, true));

    // the town went back
    let low = planned(&on(106.0, 110.0, 113.0, FOUND));
    assert_eq!(low.advice.verdict, Verdict::TakeOut);
    assert_eq!(low.advice.strength, Some(Strength::Optional));
    assert_eq!(low.advice.choice, Some(Method::TakeOut));
    let day = low.advised().unwrap().day.as_ref().unwrap();
    assert!((day.usual.heaters[0].volts_v - 6.3).abs() < 0.001);

    // 40 Ω take far too much and none at all is a little too little: a smaller one takes their place
    let much = planned(&FOUND.replace("18 Ω", "40 Ω"));
    let right = much.choices.iter().find(|c| c.method == Method::SeriesResistor).unwrap();
    let exact = right.exact.unwrap();
    assert!((15.0..25.0).contains(&exact), "about as much as is right today: {exact}");
    // nearly the whole line is lost in it
    let all = planned(&on(106.0, 110.0, 113.0, &FOUND.replace("18 Ω", "2 kΩ")));
    assert_eq!(all.advice.verdict, Verdict::TakeOut, "{:?}", all.advice.reasons);

    // not enough: what is fitted takes its place, and the wiring says so
    let high = planned(&on(126.0, 131.0, 134.0, FOUND));
    assert_eq!(high.advice.verdict, Verdict::Fit);
    assert_eq!(high.set.mains_resistor_ohms, Some(18.0));
}

#[test]
fn its_heat_has_a_limit_and_its_fitter_a_name() {
    let weak = with(&KEY.replace("20 W", "4 W"));
    let plan = planned(&weak);
    let day = plan.choices[0].day.as_ref().unwrap();
    let beyond: Vec<&str> = day.usual.beyond().map(|l| l.name.as_str()).collect();
    assert!(beyond.contains(&"mains resistor, heat"), "{beyond:?}");

    let file = std::env::temp_dir().join("mainsfit-mains-resistor.yaml");
    std::fs::write(&file, with(&KEY.replace("repairer", "nobody"))).unwrap();
    let got = mainsfit(&["check", file.to_str().unwrap()]);
    assert_eq!(got.code, 2);
    assert!(got.err.contains(":12:61: error in mains_resistor.fitted_by"), "{}", got.err);
    assert!(got.err.contains("write `maker`"), "{}", got.err);
}

/// 68.9 V of heaters at 0.3 A and 180 Ω: 68.9 V + 54 V = 122.9 V, far from the 110 V named.
#[test]
fn a_string_and_its_dropper_tell_the_line_they_are_for() {
    let set = |line: u32| {
        format!(
            "set: {{ name: bench set, design_line: {line} V }}
heater_string: {{ dropper: {{ kind: line-cord, resistance: 180 Ω }} }}
rectifier: {{ type: 25Z6, circuit: half-wave }}
filter: [capacitor: 16 µF]
tubes: [6A8, 6K7, 6Q7, 25L6]
"
        )
    };
    assert_eq!(planned(&set(123)).warnings, [] as [&str; 0]);
    let odd = planned(&set(110)).warnings;
    assert!(matches!(&odd[..], [one] if one.contains("on its design line of 110 V")), "{odd:?}");
}
