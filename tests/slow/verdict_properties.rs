//! What must hold of a verdict whatever the right answer is: random sets of every topology, and each shipped profile
//! along its whole curve. `tests/suite/verdict_properties.rs` has the quick ones. Every plan of a random set, on each
//! outlet on which it is looked at, goes before the second judge as well.

use crate::harness::{shipped, stem};
use crate::random_topologies::every_topology;
use crate::second_judge::{RULES, judged};
use crate::verdict_curve::{
    Point, Said, moved, planned, point, profile, silent_faults, stretches, words, wrong,
    wrong_knowledge, wrong_reading, wrong_turns,
};
use mainsfit::profile::Profile;
use mainsfit::study::{OutletVolts, Plan, Verdict, cores, shared_out};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngSeed, TestRunner};
use serde_json::to_value;
use std::collections::BTreeMap;

/// Outlet volts over those of the design line between which a verdict is looked at.
const SHARES: (f64, f64) = (0.85, 1.30);

/// Sets of a short run, and of a long one; `MAINSFIT_SETS` asks for another number.
const SETS: (usize, usize) = (16, 2000);
const SEED: u64 = 1958;
/// Points of a random set's curve, in a short run and a long one.
const POINTS: (usize, usize) = (7, 13);
/// Most sets of a hundred that may be left without advice.
const MOST_WITHOUT: f64 = 3.0;

fn sets() -> usize {
    let usual = if crate::long_run() { SETS.1 } else { SETS.0 };
    let asked = std::env::var("MAINSFIT_SETS").ok().and_then(|n| n.parse().ok());
    asked.unwrap_or(usual)
}

/// Random profiles; those that go before stay the same if more are asked for.
fn texts(count: usize) -> Vec<String> {
    let mut runner =
        TestRunner::new(Config { rng_seed: RngSeed::Fixed(SEED), ..Config::default() });
    (0..count).map(|_| every_topology().new_tree(&mut runner).unwrap().current()).collect()
}

/// Voltages within [`SHARES`] of the design line, in steps of half a volt.
fn half_volts(design: f64) -> Vec<f64> {
    let first = (2.0 * SHARES.0 * design).ceil() as u32;
    let last = (2.0 * SHARES.1 * design).floor() as u32;
    (first..=last).map(|n| 0.5 * f64::from(n)).collect()
}

/// A few of them, evenly.
fn coarse(design: f64, points: usize) -> Vec<f64> {
    let step = (SHARES.1 - SHARES.0) / (points - 1) as f64;
    (0..points).map(|i| design * (SHARES.0 + step * i as f64)).collect()
}

/// Plans by rule of the second judge that had something to judge in them.
type Looked = BTreeMap<&'static str, usize>;

/// What the second judge finds in a plan.
fn second(plan: &Plan, looked: &mut Looked) -> Vec<String> {
    let (found, rules) = judged(&to_value(plan).unwrap());
    for rule in rules.keys() {
        *looked.entry(rule).or_default() += 1;
    }
    found
}

/// Verdicts at `volts`, and what could not be planned, or does not follow from its figures.
fn walk(
    profile: &Profile,
    day: &OutletVolts,
    volts: &[f64],
    looked: &mut Looked,
) -> (Vec<Point>, Vec<String>) {
    let (mut points, mut failed) = (Vec::new(), Vec::new());
    for &volts in volts {
        match moved(profile, day, volts) {
            Ok(plan) => {
                let found = second(&plan, looked);
                failed.extend(found.into_iter().map(|w| format!("{volts:.1} V: {w}")));
                points.push(Point { volts, said: Said::of(&plan.advice) });
            }
            Err(error) => failed.push(format!("{volts:.1} V: {error}")),
        }
    }
    (points, failed)
}

/// One tap, nothing to repair, no contradiction.
fn is_plain(profile: &Profile, plan: &Plan) -> bool {
    profile.transformer.primary.taps.len() <= 1
        && plan.readings.contradiction.is_none()
        && plan.readings.drifted.is_empty()
}

/// How a set came out.
struct Found {
    said: Said,
    /// Why nothing is advised.
    without: Option<String>,
    bad: Vec<String>,
    unsolved: usize,
    looked: Looked,
}

fn look(text: &str) -> Result<Found, String> {
    let profile = profile(text).unwrap();
    let plan = planned(&profile)?;
    let design = plan.set.design_line_v;
    let points = if crate::long_run() { POINTS.1 } else { POINTS.0 };
    let mut looked = Looked::new();
    let mut bad = second(&plan, &mut looked);
    // who takes only the parts at hand is told what serves of these, and a volt more may need one that is not there
    let buys = profile.parts.transformers.is_empty() && profile.parts.resistors.is_empty();
    if buys && is_plain(&profile, &plan) {
        let volts = coarse(design, points);
        let (points, failed) = walk(&profile, &plan.outlet, &volts, &mut looked);
        let found = wrong(&points);
        if !found.is_empty() {
            bad.extend(found);
            bad.push(words(&stretches("", &points)));
        }
        bad.extend(failed);
    }
    if buys {
        bad.extend(wrong_turns(&profile, &plan));
    }
    bad.extend(wrong_knowledge(&profile, &plan));
    bad.extend(wrong_reading(text, &plan));
    bad.extend(silent_faults(&plan));
    let without = (plan.advice.verdict == Verdict::CannotSay).then(|| reason(&plan));
    let faults = plan.choices.iter().flat_map(|c| &c.faults);
    let unsolved = faults.filter(|f| f.unsolved.is_some()).count();
    Ok(Found { said: Said::of(&plan.advice), without, bad, unsolved, looked })
}

/// A reason in a form that can be counted: figures are left out.
fn reason(plan: &Plan) -> String {
    let text = plan.advice.reasons.first().map_or("no reason is given", String::as_str);
    let words = text.split_whitespace().filter(|w| !w.chars().any(|c| c.is_ascii_digit()));
    let short: Vec<&str> = words.take(24).collect();
    short.join(" ")
}

#[test]
fn verdicts_of_random_sets() {
    let texts = texts(sets());
    let found = shared_out(texts.len(), cores(), &|i| look(&texts[i]), &|_| ());
    let mut tally: BTreeMap<String, usize> = BTreeMap::new();
    let mut count = |what: String| *tally.entry(what).or_default() += 1;
    let (mut bad, mut without, mut planned) = (Vec::new(), 0, 0);
    let mut looked = Looked::new();
    for (text, found) in texts.iter().zip(found) {
        let found = match found {
            Ok(found) => found,
            Err(error) => {
                count(format!("no plan: {error}"));
                continue;
            }
        };
        planned += 1;
        for (rule, plans) in &found.looked {
            *looked.entry(rule).or_default() += plans;
        }
        count(format!("verdict: {}", found.said.words()));
        if let Some(why) = found.without {
            without += 1;
            count(format!("without advice: {why}"));
            if std::env::var_os("SHOW").is_some() {
                println!("without advice: {why}\n{text}");
            }
        }
        for _ in 0..found.unsolved {
            count("faults without a solution".to_owned());
        }
        if !found.bad.is_empty() {
            bad.push(format!("{}\n{text}", found.bad.join("\n")));
        }
    }
    let told: Vec<String> = tally.iter().map(|(what, n)| format!("{n:6} {what}")).collect();
    println!("{}", told.join("\n"));
    // the rules of a set that is fitted already, or was rebuilt, have nothing to judge here
    let idle: Vec<&str> =
        RULES.iter().map(|rule| rule.0).filter(|rule| !looked.contains_key(rule)).collect();
    println!("{} plans before the second judge, without work for {idle:?}", looked["power"]);
    assert!(idle.len() * 4 < RULES.len(), "the second judge has no work: {idle:?}");
    let share = 100.0 * without as f64 / planned as f64;
    println!("{without} of {planned} without advice ({share:.2} %), {} wrong", bad.len());
    assert!(bad.is_empty(), "{} sets\n{}", bad.len(), bad.join("\n\n"));
    // a run that planned next to nothing would prove nothing
    assert!(planned * 10 >= texts.len() * 9, "{planned} of {} planned", texts.len());
    assert!(share < MOST_WITHOUT, "{without} of {planned} sets are without advice");
}

/// Verdicts at each of `volts`: every `each`th is looked at, then between those that differ until neighbours do. What lies
/// between two that say the same is taken to say so too.
fn refined(profile: &Profile, day: &OutletVolts, volts: &[f64], each: usize) -> Vec<Point> {
    let mut known: BTreeMap<usize, Said> = BTreeMap::new();
    let last = volts.len() - 1;
    let mut wanted: Vec<usize> = (0..last).step_by(each).chain([last]).collect();
    while !wanted.is_empty() {
        let look = |i: usize| point(profile, day, volts[wanted[i]]).unwrap().said;
        let found = shared_out(wanted.len(), cores(), &look, &|_| ());
        known.extend(wanted.into_iter().zip(found));
        let places: Vec<(usize, Said)> = known.iter().map(|(i, said)| (*i, *said)).collect();
        let apart = places.windows(2).filter(|w| w[0].1 != w[1].1 && w[1].0 - w[0].0 > 1);
        wanted = apart.map(|w| w[0].0.midpoint(w[1].0)).collect();
    }
    let said = |i: usize| *known.range(..=i).next_back().unwrap().1;
    volts.iter().enumerate().map(|(i, &volts)| Point { volts, said: said(i) }).collect()
}

/// A short run looks at every fourth volt and where the verdict changes between; the long one at each half volt.
#[test]
fn every_half_volt_of_the_shipped_profiles() {
    let each = if crate::long_run() { 1 } else { 8 };
    let mut bad = Vec::new();
    let mut record = csv::Writer::from_writer(Vec::new());
    for path in shipped() {
        let profile = profile(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let plan = planned(&profile).unwrap();
        let volts = half_volts(plan.set.design_line_v);
        let points = refined(&profile, &plan.outlet, &volts, each);
        let list = stretches(&stem(&path), &points);
        println!("{}: {}", stem(&path), words(&list));
        list.iter().for_each(|row| record.serialize(row).unwrap());
        if is_plain(&profile, &plan) {
            bad.extend(wrong(&points).into_iter().map(|w| format!("{path}: {w}")));
        }
    }
    let file = "tests/data/verification/curves.csv";
    let text = String::from_utf8(record.into_inner().unwrap()).unwrap();
    if std::env::var_os("MAINSFIT_WRITE_DOCS").is_some_and(|v| v == "1") {
        std::fs::write(file, &text).unwrap();
    }
    let kept = std::fs::read_to_string(file).unwrap().replace("\r\n", "\n");
    if text != kept {
        bad.push(format!("{file} is out of date, run with MAINSFIT_WRITE_DOCS=1; now\n{text}"));
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}
