//! The verdict of one set along the voltage of its outlet, the day moving in proportion.

use mainsfit::profile::{Document, Profile, read};
use mainsfit::quantity::{Quantity, Voltage};
use mainsfit::study::{
    Advice, FaultCase, Objection, OutletChoice, OutletVolts, Plan, Request, Strength, Verdict, plan,
};
use std::fmt::Write as _;

/// Verdict at one voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    pub volts: f64,
    pub said: Said,
}

/// What is said there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Said {
    pub verdict: Verdict,
    pub strength: Option<Strength>,
    /// 0: it may be plugged in; 1: not without the part; 2: not at all.
    pub flag: u8,
}

impl Said {
    pub fn of(advice: &Advice) -> Said {
        Said {
            verdict: advice.verdict,
            strength: advice.strength,
            flag: match (advice.do_not_plug_in, advice.not_without_part) {
                (true, _) => 2,
                (false, known) => u8::from(known),
            },
        }
    }

    pub fn words(&self) -> String {
        let verdict = word(&self.verdict);
        self.strength.map_or(verdict.clone(), |s| format!("{verdict} ({})", word(&s)))
    }
}

/// As JSON has it.
pub fn word(value: &impl serde::Serialize) -> String {
    serde_json::to_value(value).unwrap().as_str().unwrap_or("null").to_owned()
}

pub fn profile(text: &str) -> Result<Profile, String> {
    let read = Document::parse("set.yaml", text.as_bytes()).and_then(|document| read(&document));
    read.map(|(profile, _)| profile).map_err(|problems| problems.render())
}

/// The plan on the profile's own outlet.
pub fn planned(profile: &Profile) -> Result<Plan, String> {
    plan(profile, &Request::default(), Vec::new()).map_err(|error| error.to_string())
}

/// The plan where the outlet usually gives `volts`, what was read of its `day` moved in proportion.
pub fn moved(profile: &Profile, day: &OutletVolts, volts: f64) -> Result<Plan, String> {
    let share = volts / day.usual_v;
    let outlet = OutletChoice {
        usual: Some(Voltage::from_si(volts)),
        low: day.low_read.then(|| Voltage::from_si((share * day.low_v).min(volts))),
        high: day.high_read.then(|| Voltage::from_si((share * day.high_v).max(volts))),
        range: None,
        log: None,
    };
    plan(profile, &Request { outlet, target: None }, Vec::new()).map_err(|error| error.to_string())
}

/// The verdict there.
pub fn point(profile: &Profile, day: &OutletVolts, volts: f64) -> Result<Point, String> {
    let plan = moved(profile, day, volts)?;
    Ok(Point { volts, said: Said::of(&plan.advice) })
}

/// How far a verdict intervenes: raising, leaving, lowering more and more; `None` for one that is not about the outlet.
/// Of a part that is in: exchanged for one that raises, taken out, left, exchanged for one that lowers more. Which of the
/// two exchanges it is stands in where it comes: `kept` says that lower on the curve it was left or taken out.
fn step(said: &Said, kept: bool) -> Option<i32> {
    match (said.verdict, said.strength) {
        (Verdict::Boost | Verdict::TakeOut, _) => Some(-1),
        (Verdict::Leave | Verdict::LeaveAndMeasure, _) => Some(0),
        (Verdict::Fit, Some(Strength::Optional)) => Some(1),
        (Verdict::Fit, _) => Some(2),
        (Verdict::StepDown, _) => Some(3),
        (Verdict::ChangeFitted, _) => Some(if kept { 3 } else { -1 }),
        (Verdict::RemoveFitted, _) => Some(0),
        (Verdict::LeaveFitted, _) => Some(1),
        (Verdict::ChangeTap | Verdict::RepairFirst | Verdict::CannotSay, _) => None,
    }
}

/// What of the curve of a set with one tap and nothing to repair is not as it must be. What is put right first stands on
/// another page: such points are passed over.
pub fn wrong(points: &[Point]) -> Vec<String> {
    let mut list = Vec::new();
    let here: Vec<&Point> =
        points.iter().filter(|p| p.said.verdict != Verdict::RepairFirst).collect();
    let mut tell = |what: &str, a: &Point, b: &Point| {
        list.push(format!(
            "{what}: {} at {:.1} V, {} at {:.1} V",
            a.said.words(),
            a.volts,
            b.said.words(),
            b.volts
        ));
    };
    for pair in points.windows(2) {
        if pair[1].said.flag < pair[0].said.flag {
            tell("a flag goes out", &pair[0], &pair[1]);
        }
    }
    // beyond what can be bought there may be nothing to say, above or below; between there is
    let said = |p: &&Point| p.said.verdict != Verdict::CannotSay;
    let inner = match (here.iter().position(said), here.iter().rposition(said)) {
        (Some(first), Some(last)) => &here[first..=last],
        _ => &[],
    };
    let of_part =
        |p: &&Point| [Verdict::RemoveFitted, Verdict::LeaveFitted].contains(&p.said.verdict);
    let kept_from = inner.iter().position(of_part).unwrap_or(inner.len());
    for (i, pair) in inner.windows(2).enumerate() {
        let (a, b) = (pair[0], pair[1]);
        match (step(&a.said, i > kept_from), step(&b.said, i + 1 > kept_from)) {
            (Some(before), Some(after)) if after < before => tell("it steps back", a, b),
            (None, _) | (_, None) => tell("a hole", a, b),
            _ => {}
        }
    }
    // it may ask for a reading at either edge of leaving and not within
    let left = |p: &&&Point| p.said.verdict == Verdict::Leave;
    let measure = |p: &&Point| p.said.verdict == Verdict::LeaveAndMeasure;
    if let (Some(first), Some(last)) = (inner.iter().find(left), inner.iter().rfind(left)) {
        let within = |p: &&&Point| p.volts > first.volts && p.volts < last.volts;
        for p in inner.iter().filter(within).copied().filter(measure) {
            tell("it asks within what is left", first, p);
        }
    }
    list
}

/// A stretch of the curve over which the same is said.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Stretch {
    pub profile: String,
    pub from_v: f64,
    pub to_v: f64,
    pub said: String,
    pub flag: u8,
}

pub fn stretches(profile: &str, points: &[Point]) -> Vec<Stretch> {
    let mut list: Vec<Stretch> = Vec::new();
    for point in points {
        let (said, flag) = (point.said.words(), point.said.flag);
        match list.last_mut().filter(|last| last.said == said && last.flag == flag) {
            Some(last) => last.to_v = point.volts,
            None => list.push(Stretch {
                profile: profile.to_owned(),
                from_v: point.volts,
                to_v: point.volts,
                said,
                flag,
            }),
        }
    }
    list
}

/// "leave to 120.5 V · fit (optional) 121–126 V · fit (needed) from 126.5 V, not without the part from 121 V".
pub fn words(list: &[Stretch]) -> String {
    // the flags are told behind: of what is said alone, neighbours that differ in a flag are one
    let mut bare: Vec<Stretch> = Vec::new();
    for stretch in list {
        match bare.last_mut().filter(|last| last.said == stretch.said) {
            Some(last) => last.to_v = stretch.to_v,
            None => bare.push(stretch.clone()),
        }
    }
    let v = |volts: f64| (10.0 * volts).round() / 10.0;
    let mut text = String::new();
    for (i, s) in bare.iter().enumerate() {
        let range = match (i, i + 1 == bare.len()) {
            (0, true) => "throughout".to_owned(),
            (0, false) => format!("to {} V", v(s.to_v)),
            (_, true) => format!("from {} V", v(s.from_v)),
            _ if s.from_v == s.to_v => format!("{} V", v(s.from_v)),
            _ => format!("{}–{} V", v(s.from_v), v(s.to_v)),
        };
        let _ = write!(text, "{}{} {range}", if i > 0 { " · " } else { "" }, s.said);
    }
    for (flag, said) in [(1, "not without the part"), (2, "do not plug in")] {
        if let Some(first) = list.iter().find(|s| s.flag == flag) {
            let _ = write!(text, ", {said} from {} V", v(first.from_v));
        }
    }
    text
}

/// What of `changes_at` is not so: on either side of each turn, within half a volt, the verdict is what it says.
pub fn wrong_turns(profile: &Profile, plan: &Plan) -> Vec<String> {
    let (advice, usual) = (&plan.advice, plan.outlet.usual_v);
    let mut list = Vec::new();
    for turn in &advice.changes_at {
        let sign = if turn.above { 1.0 } else { -1.0 };
        for (side, expected) in [(sign, turn.verdict), (-sign, advice.verdict)] {
            // half a volt off, or nearer: a stretch may be shorter, and today's may end before
            let mut seen = Vec::new();
            for volts in [0.5, 0.1].map(|off| turn.voltage + side * off) {
                if (volts - usual) * sign < 0.0 {
                    continue;
                }
                match point(profile, &plan.outlet, volts) {
                    // a capacitor that bears no more is told first, on either side
                    Ok(p) if [expected, Verdict::RepairFirst].contains(&p.said.verdict) => {
                        seen.clear();
                        break;
                    }
                    Ok(p) => seen.push(format!("{} at {volts:.2} V", p.said.words())),
                    Err(error) => seen.push(format!("{volts:.2} V: {error}")),
                }
            }
            if let Some(first) = seen.first() {
                let (at, expected) = (turn.voltage, word(&expected));
                list.push(format!("turns at {at:.2} V, {first} should be {expected}"));
            }
        }
    }
    list
}

/// The profile with every number that a rule filled in stated as just that, off by at most `times` its spread.
pub fn with_spreads(profile: &Profile, times: f64) -> Profile {
    let (model, assumed) = mainsfit::receiver::complete(profile).unwrap();
    let mut other = profile.clone();
    for a in assumed.iter().filter(|a| a.spread > 0.0) {
        if let Some(parameter) = a.parameter {
            let of = parameter.key(&model);
            let spread = (times * a.spread).min(1.0);
            other.calibration.push(mainsfit::profile::Calibration { of, factor: 1.0, spread });
        }
    }
    other
}

/// What knowing better, or less, of a set turned that it must not turn.
pub fn wrong_knowledge(profile: &Profile, plan: &Plan) -> Vec<String> {
    if !profile.readings.is_empty() || !profile.calibration.is_empty() {
        return Vec::new();
    }
    let now = plan.advice.verdict;
    let said = |times: f64| planned(&with_spreads(profile, times)).map(|p| Said::of(&p.advice));
    let mut list = Vec::new();
    match said(0.0) {
        Ok(known)
            if known.verdict == Verdict::Fit
                && matches!(now, Verdict::Leave | Verdict::ChangeTap) =>
        {
            list.push(format!(
                "{} becomes {} when all is known as assumed",
                word(&now),
                known.words()
            ));
        }
        Ok(_) => {}
        Err(error) => list.push(format!("all known as assumed: {error}")),
    }
    match said(1.5) {
        Ok(less) if less.verdict != now && less.verdict != Verdict::LeaveAndMeasure => {
            list.push(format!("{} becomes {} when less is known", word(&now), less.words()));
        }
        Ok(_) => {}
        Err(error) => list.push(format!("less known: {error}")),
    }
    list
}

/// What a reading on either side of where the verdict tips does not settle as promised. `text` is the profile.
pub fn wrong_reading(text: &str, plan: &Plan) -> Vec<String> {
    let Some(asked) = &plan.advice.measure else {
        return Vec::new();
    };
    let Some(tips) = asked.tips_at else {
        return Vec::new();
    };
    let mut list = Vec::new();
    // less than 1 % off is within a meter's own limit on AC, and what was assumed still weighs
    for (off, expected) in [(0.99, asked.below), (1.01, asked.above)] {
        let read = format!(
            "{text}\nreadings: [{{ at_line: {:.2} V, accuracy: 0.1 %, {}: {:.4} {} }}]\n",
            asked.at_line_v,
            asked.point,
            tips * off,
            asked.unit
        );
        match profile(&read).and_then(|p| planned(&p)) {
            Ok(p) if Some(p.advice.verdict) == expected => {}
            Ok(p) => list.push(format!(
                "{} read {off} times where it tips ({tips:.3} {}): {} should be {:?}",
                asked.point,
                asked.unit,
                Said::of(&p.advice).words(),
                expected.map(|v| word(&v))
            )),
            Err(error) => list.push(format!("{} read: {error}", asked.point)),
        }
    }
    list
}

/// Faults without a solution that do not speak against their part.
pub fn silent_faults(plan: &Plan) -> Vec<String> {
    let silent = plan.choices.iter().flat_map(|choice| {
        let told = |case: FaultCase| {
            let list = &choice.objections;
            list.iter().any(|o| matches!(o, Objection::FaultUnsolved { fault } if *fault == case))
        };
        let unsolved = choice.faults.iter().filter(|f| f.unsolved.is_some());
        unsolved.filter(move |f| !told(f.fault)).map(|f| format!("{}: {}", choice.method, f.fault))
    });
    silent.collect()
}

fn at(volts: f64, verdict: Verdict, strength: Option<Strength>, flag: u8) -> Point {
    Point { volts, said: Said { verdict, strength, flag } }
}

#[test]
fn a_curve_that_steps_back_is_found() {
    use Strength::{Needed, Optional};
    use Verdict::{Boost, CannotSay, Fit, Leave, LeaveAndMeasure, RepairFirst, StepDown};
    let right = [
        at(99.0, CannotSay, None, 0),
        at(100.0, Boost, Some(Needed), 0),
        at(103.0, LeaveAndMeasure, None, 0),
        at(105.0, Leave, None, 0),
        at(115.0, Leave, None, 0),
        at(117.0, LeaveAndMeasure, None, 0),
        at(118.0, RepairFirst, None, 0),
        at(120.0, Fit, Some(Optional), 0),
        at(123.0, Fit, Some(Needed), 1),
        at(132.0, StepDown, None, 2),
        at(140.0, CannotSay, None, 2),
    ];
    assert_eq!(wrong(&right), Vec::<String>::new());
    let words = words(&stretches("", &right[1..10]));
    let told = "boost (needed) to 100 V · leave-and-measure 103 V · leave 105–115 V · leave-and-measure 117 V · repair-first 118 V \
                · fit (optional) 120 V · fit (needed) 123 V · step-down from 132 V, not without the part from 123 V, do not plug in from 132 V";
    assert_eq!(words, told);
    for (place, other, what) in [
        (7, at(120.0, Leave, None, 0), "asks within"),
        (4, at(115.0, LeaveAndMeasure, None, 0), ""),
        (4, at(115.0, Boost, Some(Needed), 0), "steps back"),
        (7, at(120.0, CannotSay, None, 0), "a hole"),
        (8, at(123.0, Leave, None, 1), "steps back"),
        (9, at(132.0, StepDown, None, 0), "a flag goes out"),
        (7, at(120.0, Fit, Some(Needed), 2), "a flag goes out"),
    ] {
        let mut curve = right;
        curve[place] = other;
        let found = wrong(&curve).join("\n");
        assert_eq!(found.is_empty(), what.is_empty(), "{found}");
        assert!(found.contains(what), "{found}");
    }
}
