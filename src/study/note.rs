//! The modification note: what one choice does to a set, point by point, for the sheet in its cabinet.

use super::{
    Checkpoint, Choice, Item, Measure, Plan, Result, Serialize, Start, StartCase, StudyError,
    SupplySketch, Verdict, What, buy, read, settle,
    solve::{Offered, Solved},
    start::from_cold_or_hot,
    with_part::WithPart,
    working,
};
use crate::{
    adaptation::{Method, Part, With},
    profile::{Profile, Record},
    receiver::{Operation, Receiver, Straight},
};

/// Points of a curve.
const CURVE_POINTS: usize = 17;

/// Readings that a first page has room for, and that of a set on the line, which has more to be careful of, or of two parts, which
/// have more to be wired.
const MOST_FIRST: usize = 8;
const MOST_CROWDED: usize = 6;
/// What matters most of a set, and of how many of its kind, until there is no more room: what the part gives, whether it is right
/// for the heaters, whether the supply is (common practice, no source).
const FIRST: [(What, usize); 14] = [
    (What::Set, 1),
    (What::Heater, 2),
    (What::BPlus, 1),
    (What::PrimaryCurrent, 1),
    (What::Reservoir, 1),
    (What::Capacitor, 1),
    (What::SecondBPlus, 1),
    (What::CoilDrop, 1),
    (What::MainsResistor, 1),
    (What::Tap, 1),
    (What::Cathode, 1),
    (What::ResistorDrop, 1),
    (What::Screen, 1),
    (What::Plate, 1),
];

/// Places of so many points that matter most, in the order of all.
fn first(points: &[Checkpoint], most: usize) -> Vec<usize> {
    let of = |(what, of_a_kind): (What, usize)| {
        let all = points.iter().enumerate().filter(move |(_, p)| p.measure.what == what);
        all.map(|(place, _)| place).take(of_a_kind)
    };
    let mut places: Vec<usize> = FIRST.into_iter().flat_map(of).take(most).collect();
    places.sort_unstable();
    places
}

/// A note.
#[derive(Debug, Clone, Serialize)]
pub struct Note {
    /// The plan it follows from, its cautions and assumptions those of the choice below.
    pub plan: Plan,
    /// Place of the choice in the plan.
    pub choice: usize,
    /// Who, when and what else the profile says.
    pub record: Record,
    /// The supply with the part fitted, on the usual line.
    pub supply: SupplySketch,
    /// What a meter should read.
    pub checkpoints: Vec<Checkpoint>,
    /// Places of those that matter most.
    pub first: Vec<usize>,
    /// By what their ranges must be widened to hold all points of a sound set nine times in ten.
    pub together: f64,
    /// Heaters and B+ against the line.
    pub curve: LineCurve,
    /// The choice from cold at high line, then hot.
    pub starts: Vec<Start>,
    /// What to buy for it.
    pub to_buy: Vec<Item>,
}

/// Heater volts and B+ against line volts, before and after.
#[derive(Debug, Clone, Default, Serialize)]
pub struct LineCurve {
    /// Line, V RMS.
    pub line_v: Vec<f64>,
    /// Heaters straight on it, V RMS.
    pub heater_before_v: Vec<f64>,
    /// Heaters behind the part.
    pub heater_after_v: Vec<f64>,
    /// B+ straight on it, V DC.
    pub b_plus_before_v: Vec<f64>,
    /// B+ behind the part.
    pub b_plus_after_v: Vec<f64>,
    /// Rated heater volts.
    pub heater_rated_v: f64,
    /// How far the heaters of a sound set may be off, as a share.
    pub heater_spread: f64,
    /// How far its B+ may be off, as a share.
    pub b_plus_spread: f64,
}

impl Note {
    /// The choice the note is about.
    pub fn fitted(&self) -> &Choice {
        &self.plan.choices[self.choice]
    }

    /// The set as it was, straight on the outlet.
    pub fn before(&self) -> &Choice {
        &self.plan.choices[0]
    }
}

/// Solves a note for the choice named `with`, or for the advised one.
///
/// # Errors
/// As [`super::plan()`]; [`StudyError::NoChoice`] for a name the plan does not have, [`StudyError::NotStoodBehind`] where
/// the choice has something against it, or the verdict leaves no set that one may use: then there is no note.
pub fn note(mut solved: Solved, profile: &Profile, with: Option<With>) -> Result<Note> {
    let plan = &solved.plan;
    let bench =
        |with: With| plan.choices.iter().any(|c| with.means(c.method) && c.method.facts().on_bench);
    // what the repairs would change is not fitted before them; a bench tool finds them
    if plan.advice.verdict == Verdict::RepairFirst && !with.is_some_and(bench) {
        return Err(missing(plan, REFUSAL));
    }
    let choice = pick(plan, with, REFUSAL)?;
    solved.settle_on(Some(solved.plan.choices[choice].method), Offered::Fitted);
    let WithPart { supply, checkpoints, together } = solved.with_part(choice)?;
    let to_buy = buy::items(&solved, profile, Some(choice))?;
    let Solved { mut plan, receiver, parts, .. } = solved;
    let (fitted, part) = (&plan.choices[choice], parts[choice].as_deref().unwrap_or(&Straight));
    let curve = curve(&receiver, part, &plan, &checkpoints)?;
    let working = working::of(&plan, fitted, &supply, receiver.model());
    // as it stands on the shelf: it settles by itself
    let bound = fitted.cold_start.as_ref();
    let start = |case| from_cold_or_hot(&receiver, part, plan.outlet.high_v, case, bound);
    // a sheet is worth having without them
    let cases = [StartCase::Cold, StartCase::HotRestart];
    let starts = cases.into_iter().map_while(|case| start(case).ok()).collect();
    let record = profile.record.clone();
    plan.working = working;
    let two = fitted.behind.as_ref().is_some_and(|behind| behind.part.is_some());
    let crowded = two || receiver.model().string.is_some();
    let first = first(&checkpoints, if crowded { MOST_CROWDED } else { MOST_FIRST });
    Ok(Note { starts, to_buy, choice, record, supply, checkpoints, first, together, curve, plan })
}

/// The choice that is asked for, or the advised one; of both bucking connections the better. `refusal` says
/// what is not done for a choice with something against it.
///
/// # Errors
/// [`StudyError::NoChoice`], [`StudyError::NotStoodBehind`].
pub fn pick(plan: &Plan, with: Option<With>, refusal: &str) -> Result<usize> {
    if let Some(reason) = plan.readings.reason() {
        return Err(StudyError::Contradicted(reason));
    }
    let Some(asked) = with else {
        let method = match plan.advice.verdict {
            Verdict::Leave | Verdict::LeaveAndMeasure | Verdict::RemoveFitted => Some(Method::AsIs),
            verdict => plan.advice.choice.filter(|_| verdict.leaves_usable()),
        };
        return plan.place(method).ok_or_else(|| missing(plan, refusal));
    };
    let place = named(plan, asked)?;
    let choice = &plan.choices[place];
    let reasons = match &choice.not_applicable {
        Some(reason) => vec![reason.clone()],
        None => {
            let against = choice.objections.iter().filter(|o| !o.leaves_the_choice());
            against.map(ToString::to_string).collect()
        }
    };
    if reasons.is_empty() || choice.method == Method::AsIs && plan.advice.may_be_left() {
        return Ok(place);
    }
    Err(StudyError::NotStoodBehind {
        alarms: plan.cautions.clone(),
        title: format!("{refusal} for \"{}\"", choice.title),
        reasons,
        next: "look at the choices with `mainsfit plan`; take one with nothing against it"
            .to_owned(),
    })
}

/// The choice of that name, whatever speaks against it: the best of several connections.
///
/// # Errors
/// [`StudyError::NoChoice`].
pub fn named(plan: &Plan, asked: With) -> Result<usize> {
    let found = plan.choices.iter().enumerate().filter(|(_, c)| asked.means(c.method));
    let best = found.min_by_key(|(_, c)| c.standing).map(|(place, _)| place);
    let known = || plan.choices.iter().map(|c| c.method).collect();
    best.ok_or_else(|| StudyError::NoChoice { asked, known: known() })
}

/// What is not done for a choice with something against it.
const REFUSAL: &str = "no note is written";

/// What is missing before a note can be written, or what else `refusal` says is not done.
fn missing(plan: &Plan, refusal: &str) -> StudyError {
    let advice = &plan.advice;
    let repairs = advice.verdict == Verdict::RepairFirst;
    let (title, reasons) = if repairs {
        (format!("{refusal} before the repairs"), &advice.repairs)
    } else {
        (format!("no choice is safe to recommend, and {refusal}"), &advice.reasons)
    };
    let next = match (&advice.measure, advice.would_change.first()) {
        _ if repairs => "put that right, write it into the profile, and ask again".to_owned(),
        (Some(m), _) => format!(
            "read {} again, {}, at {:.0} V, and write it into the profile",
            m.point, m.range, m.at_line_v
        ),
        (None, Some(first)) => first.clone(),
        (None, None) => "look at the choices with `mainsfit plan`".to_owned(),
    };
    StudyError::NotStoodBehind {
        alarms: plan.cautions.clone(),
        title,
        reasons: reasons.clone(),
        next,
    }
}

fn curve(
    receiver: &Receiver,
    part: &dyn Part,
    plan: &Plan,
    checkpoints: &[Checkpoint],
) -> Result<LineCurve> {
    let outlet = plan.outlet;
    let round = |v: f64| 5.0 * (v / 5.0).round();
    let from = round(0.95 * outlet.low_v.min(plan.set.design_line_v));
    let to = round(1.03 * outlet.high_v).max(from + 5.0);
    let mut curve = LineCurve::default();
    let mut near: Option<[Operation; 2]> = None;
    for point in 0..CURVE_POINTS {
        let line = from + (to - from) * point as f64 / (CURVE_POINTS - 1) as f64;
        let before = receiver.run(line, &Straight, near.as_ref().map(|n| &n[0]))?;
        let after = settle::run(receiver, part, line, near.as_ref().map(|n| &n[1]))?.operation;
        let both = [before, after];
        let [(heater, b_plus), after] =
            both.each_ref().map(|o| read(receiver, o).heater_and_b_plus());
        curve.line_v.push(line);
        curve.heater_before_v.push(heater);
        curve.b_plus_before_v.push(b_plus);
        curve.heater_after_v.push(after.0);
        curve.b_plus_after_v.push(after.1);
        near = Some(both);
    }
    if let Some(heater) = plan.as_designed.tube_heater() {
        curve.heater_rated_v = heater.rated_v;
        let place = plan.as_designed.tube_heater_place();
        curve.heater_spread = spread(checkpoints, What::Heater.of(place));
    }
    curve.b_plus_spread = spread(checkpoints, What::BPlus.of(0));
    Ok(curve)
}

fn spread(checkpoints: &[Checkpoint], measure: Measure) -> f64 {
    let point = checkpoints.iter().find(|c| c.measure == measure);
    let off = |c: &Checkpoint, end: f64| (end / c.expected - 1.0).abs();
    point.map_or(0.0, |c| off(c, c.most).max(off(c, c.least)))
}
