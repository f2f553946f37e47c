//! Fits to readings of sound sets: every number drawn within its limits, readings by a meter that is off within its own.
//!
//! Source of what is expected: the meaning of the figures themselves. A part is said to have drifted in one sound set of
//! twenty at most, and an uncertainty of two standard deviations holds what it should nineteen times in twenty.

use super::harness::yaml_files;
use super::long_run;
use mainsfit::profile::{Document, PointReading, Profile, ReadingSet, read};
use mainsfit::quantity::{Quantity, Voltage};
use mainsfit::receiver::{Model, Number, Operation, Receiver, Straight, complete, uncertain};
use mainsfit::study::{Measure, Meter, fit, read as reading_of};

/// Sets of a short run, and of a long one; `MAINSFIT_SETS` asks for another number.
const SETS: (usize, usize) = (12, 200);

/// The generator of Park and Miller (`fit.rs`), from 0 to 1.
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0 * 16807 % 2_147_483_647;
        self.0 as f64 / 2_147_483_647.0
    }

    /// A factor within ±`limit`, as likely anywhere.
    fn within(&mut self, limit: f64) -> f64 {
        1.0 + limit * (2.0 * self.next() - 1.0)
    }
}

/// A sound set of the kind, and its numbers by key with the factor each is off by.
fn drawn(model: &Model, profile: &Profile, random: &mut Random) -> (Receiver, Vec<(String, f64)>) {
    let (_, assumed) = complete(profile).unwrap();
    let nominal = Receiver::new(model.clone(), None).unwrap();
    let (mut before, mut after, mut factors) = (model.clone(), Vec::new(), Vec::new());
    for number in uncertain(model, &assumed) {
        if number.parameter.what == Number::Frequency {
            continue;
        }
        let factor = random.within(number.spread.min(0.9));
        factors.push((number.parameter.key(model), factor));
        if number.has_turns_fitted() {
            before = before.scaled(number.parameter, factor);
        } else {
            after.push((number.parameter, factor));
        }
    }
    let set = Receiver::new(before, Some(&nominal)).unwrap().with_parts(|model| {
        for (parameter, factor) in after {
            *model = model.scaled(parameter, factor);
        }
    });
    (set, factors)
}

/// What a handheld meter may be off by there (the limits of `docs/model.md`, section 28).
fn limit(measure: Measure) -> f64 {
    match (measure.meter(), measure.unit()) {
        (_, "W") => 0.03,
        (_, "A") => 0.02,
        (Meter::Ac, _) => 0.015,
        _ => 0.008,
    }
}

/// Points worth a reading: those that a person reaches with a meter, and not all of them.
fn points(set: &Receiver, o: &Operation, random: &mut Random) -> Vec<PointReading> {
    let r = reading_of(set, o);
    let wanted = ["heater", "B+", "coil1.drop", "primary_current"];
    let tube = ["plate", "screen", "cathode"];
    let taken = |m: &Measure, random: &mut Random| {
        let key = m.key(&r);
        let taps = r.taps.iter().any(|t| t.name == key);
        wanted.iter().any(|w| key.starts_with(w))
            || taps
            || key.starts_with('V')
                && tube.iter().any(|t| key.ends_with(t))
                && m.get(&r).unwrap_or(0.0).abs() > 1.0
                && random.next() < 0.6
    };
    let all = Measure::all(&r);
    let all: Vec<Measure> = all.into_iter().filter(|m| taken(m, random)).collect();
    all.into_iter()
        .map(|m| {
            let value = m.get(&r).unwrap_or(0.0) * random.within(limit(m));
            let digit = 10f64.powf((value.abs() / 2.0).log10().floor() - 2.0);
            let value = (value / digit).round() * digit;
            PointReading { key: m.key(&r), value, last_digit: digit }
        })
        .collect()
}

#[test]
fn sound_sets_are_called_sound() {
    let asked = std::env::var("MAINSFIT_SETS").ok().and_then(|n| n.parse().ok());
    let count: usize = asked.unwrap_or(if long_run() { SETS.1 } else { SETS.0 });
    let mut random = Random(20_261);
    let files = ["profiles", "tests/data/verdicts"].into_iter().flat_map(yaml_files);
    let kinds: Vec<(String, Profile)> = files
        .map(|path| {
            let bytes = std::fs::read(&path).unwrap();
            let (mut profile, _) = read(&Document::parse(&path, &bytes).unwrap()).unwrap();
            profile.readings.clear();
            profile.calibration.clear();
            (path, profile)
        })
        .collect();
    let (mut suspects, mut failed) = (Vec::new(), Vec::new());
    let mut held = std::collections::BTreeMap::<&str, (u32, u32)>::new();
    for i in 0..count {
        let (path, profile) = &kinds[i % kinds.len()];
        let mut profile = profile.clone();
        let (model, _) = complete(&profile).unwrap();
        let (set, factors) = drawn(&model, &profile, &mut random);
        let line = model.design_line * (1.0 + 0.06 * random.next());
        let Ok(o) = set.run(line, &Straight, None) else {
            // not a set that works
            continue;
        };
        let points = points(&set, &o, &mut random);
        let told = (line
            * random.within(limit(Measure::find(&reading_of(&set, &o), "set").unwrap()))
            * 10.0)
            .round()
            / 10.0;
        let at_line = Voltage::from_si(told);
        let n = points.len();
        profile.readings = vec![ReadingSet { at_line, meter: None, accuracy: None, points }];
        let (fit, _) = match fit(&profile) {
            Ok(fit) => fit,
            Err(error) => {
                failed.push(format!("{i} {path}: {error}"));
                continue;
            }
        };
        if let Some(s) = &fit.suspect {
            suspects.push(format!(
                "{i} {path}, {n} points: {} gain {:.1} misfit {:.1} of {:.1}",
                s.what, s.gain, fit.verdict.misfit, fit.verdict.chance
            ));
        } else if fit.verdict.contradiction.is_some() {
            suspects.push(format!(
                "{i} {path}: contradiction, misfit {:.1} of {:.1}",
                fit.verdict.misfit, fit.verdict.chance
            ));
        }
        if fit.verdict.contradiction.is_some() {
            continue;
        }
        // what the set does on the line that the answer is for
        let answer = &fit.answer;
        let there = reading_of(&set, &set.run(answer.line_v, &Straight, Some(&o)).unwrap());
        let heater = there.tube_heater().unwrap().volts_v;
        let mut count = |what, inside: bool| {
            let of = held.entry(what).or_default();
            *of = (of.0 + u32::from(inside), of.1 + 1);
        };
        let two_u = answer.uncertain();
        count("heaters", (heater - answer.heater_after_v).abs() <= two_u.0);
        count("B+", (there.b_plus_v - answer.b_plus_after_v).abs() <= two_u.1);
        for number in &fit.numbers {
            let Some((_, factor)) = factors.iter().find(|(key, _)| *key == number.key) else {
                continue;
            };
            let off = (number.after / number.before / factor).ln().abs();
            let inside = off <= 2.0 * number.spread_after / 3f64.sqrt();
            let told = number.spread_after < 0.7 * number.spread_before;
            count(if told { "numbers that readings tell of" } else { "other numbers" }, inside);
        }
    }
    for s in suspects.iter().chain(&failed) {
        eprintln!("{s}");
    }
    eprintln!("{count} sets, {} suspects, {} failed, held {held:?}", suspects.len(), failed.len());
    assert!(failed.is_empty(), "{failed:#?}");
    assert!(suspects.len() * 20 <= count.max(20), "{suspects:#?}");
    for (what, (inside, all)) in &held {
        let share = f64::from(*inside) / f64::from(*all);
        if count >= 100 && *what != "other numbers" {
            assert!((0.90..=0.98).contains(&share), "{what}: {inside} of {all}");
        }
        assert!(share >= 0.85, "{what}: {inside} of {all}");
    }
}
