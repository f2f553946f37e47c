//! What stands in a set for the outlet's sake already: as a part, judged, and whether it is left, changed or taken out.

pub mod danger;

use super::{
    Advice, Choice, Day, DryRectifier, Objection, PlaceReport, Reading, ReadingsReport, Result,
    Serialize, Turn, Verdict,
    fitted_part::{part, unit},
    fuse,
    judge::{Judged, Trial},
    objection::high_or_low,
    read,
    sentences::{off, sentences, volts, watts},
    settle,
    verdict::{LIMIT, RIGHT, Repairs, Setting, turn_in_words},
};
use crate::{
    adaptation::{AnyPart, Bought, Method, Part, RATING_MARGIN},
    catalogue::stock::FuseStandard,
    profile::{Fitted, FittedPlace, Profile},
    receiver::{Operation, Straight},
};

/// What becomes of what is fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Ruling {
    /// It stays.
    Leave,
    /// Something else takes its place.
    Change,
    /// It comes out, and nothing takes its place.
    Remove,
}

/// What is fitted, judged.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(not(feature = "inside"), non_exhaustive)]
pub struct FittedReport {
    /// The part, as one asks for it.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub part: Bought,
    /// Day on which it was fitted, such as `2026-11-20`; null where that is not told.
    pub date: Option<String>,
    /// What becomes of it.
    pub ruling: Ruling,
    /// What it gives on the day, its heat, fuse and faults, as of any choice.
    pub choice: Choice,
    /// The place that the profile names, judged; null where it names none, or for a part that makes no heat.
    pub place: Option<PlaceReport>,
    /// What speaks against leaving it; empty where it stays.
    pub against: Vec<Against>,
    /// Where it stands, where that is told.
    #[serde(skip)]
    #[cfg_attr(feature = "schema", schemars(skip))]
    pub stands: Option<FittedPlace>,
}

sentences! {
    /// What speaks against leaving what is fitted.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Against {
        /// Heaters further off than is borne.
        Heaters {
            /// Share above their rating.
            excess: f64 as off,
            /// Outlet volts, RMS.
            outlet_v: f64 as volts,
        } => "with it the heaters run {excess} on {outlet_v}",
        /// The set was right without it.
        NotNeeded {
            /// Share above their rating.
            excess: f64 as off,
            /// The same without it.
            without: f64 as off,
        } => "with it the heaters run {excess}, without it {without}",
        /// What counts against the part or the set.
        Objection {
            /// Which.
            objection: Objection,
        } => "{objection}",
        /// The place it stands in is too hot for it, or it for the place.
        Place {
            /// Heat at high line and worst tolerance.
            worst_w: f64 as watts,
            /// What it may lose there.
            derated_w: f64 as watts,
            /// Why not.
            rule: &'static str,
        } => "{worst_w} where it stands, of {derated_w} that are left of its rating: {rule}",
    }
}

/// What is fitted in the set of `profile`, judged, and its part; `advice` and the choices become those of the set as it stands, with
/// the repairs that the set asks for with it in, by what is `known` of it. Nothing is said on readings that contradict each other.
///
/// # Errors
/// The set has no solution with it.
pub fn settle(
    trial: &Trial,
    profile: &Profile,
    known: (&ReadingsReport, Option<&DryRectifier>),
    advice: &mut Advice,
    choices: Choices,
) -> Result<(Option<FittedReport>, Option<AnyPart>)> {
    let mut repairs = Repairs::of(known);
    let contradicted = known.0.contradiction.is_some() && repairs.is_empty();
    let Some(fitted) = profile.fitted.as_ref().filter(|_| !contradicted) else {
        return Ok((None, None));
    };
    let mut found = judge(trial, fitted)?;
    if let Some((report, part)) = &mut found {
        repairs.add_of(&report.choice, &trial.set, false);
        rule(&trial.set, (report, part), (advice, repairs), choices, &trial.today.usual);
    }
    Ok(found.unzip())
}

/// Judges what is fitted; the part as it settles comes with it.
///
/// # Errors
/// The set has no solution with it.
fn judge(trial: &Trial, fitted: &Fitted) -> Result<Option<(FittedReport, AnyPart)>> {
    let model = trial.set.receiver.model();
    let Some((method, part)) = part(fitted, model) else { return Ok(None) };
    let judged = |standard| {
        Trial { standard, ..*trial }.judge_fitted(method, unit(fitted.kind), part.copied())
    };
    let burns = |(choice, _): &Judged| choice.faults.iter().any(|f| f.burns);
    let mut first = judged(trial.standard)?;
    // another fuse is less than another part
    if trial.standard != FuseStandard::Iec && burns(&first) {
        let second = judged(FuseStandard::Iec)?;
        first = if burns(&second) { first } else { second };
    }
    let (choice, settled) = first;
    let places = choice.rating.iter().flat_map(|rating| &rating.places);
    let place = fitted.place.and_then(|wanted| places.clone().find(|p| p.stands == wanted));
    let mut report = FittedReport {
        part: part.bought(),
        date: fitted.date.map(|date| date.to_string()),
        ruling: Ruling::Leave,
        place: place.cloned(),
        against: Vec::new(),
        stands: fitted.place,
        choice,
    };
    report.against = against(&trial.set, &report, trial.straight);
    Ok(Some((report, settled.unwrap_or(part))))
}

/// What speaks against leaving it: heaters further off than is borne, or off where they were right; its heat, its fuse, its
/// faults; limits that it makes worse. What it gains, or how well its value is known, asks for no other part.
fn against(set: &Setting, report: &FittedReport, straight: &Day) -> Vec<Against> {
    let Some(day) = &report.choice.day else { return Vec::new() };
    let of_heaters = of_heaters(set, [&day.usual, &day.high], &straight.usual);
    let mut list: Vec<Against> = of_heaters.into_iter().collect();
    let counts = |o: &&Objection| match o {
        // said above
        Objection::HeatersAtUsual { .. }
        | Objection::HeatersThroughTheDay { .. }
        | Objection::MissesTarget { .. }
        | Objection::LittleGain { .. }
        | Objection::Band { .. }
        | Objection::LineCord
        | Objection::RoughFigures
        | Objection::BenchOnly
        | Objection::Straight { .. } => false,
        // of a place that is named, that place is told
        Objection::NoPlace { .. } => report.place.is_none(),
        Objection::LimitPassed { .. }
        | Objection::NoSize { .. }
        | Objection::SagsWithSignal { .. }
        | Objection::RaisedTooFar { .. }
        | Objection::OutsideLaw { .. }
        | Objection::HeldAbovePart { .. }
        | Objection::FaultBurns { .. }
        | Objection::FaultUnsolved { .. }
        | Objection::NoFuse { .. }
        | Objection::PrimaryVolts { .. }
        | Objection::TooSmall { .. } => true,
    };
    let objections = report.choice.objections.iter().filter(counts).cloned();
    list.extend(objections.map(|objection| Against::Objection { objection }));
    let rating = report.choice.rating.as_ref();
    // where another place would do it is moved; that is told with what remains to be done
    let nowhere = rating.is_some_and(|rating| !rating.has_place());
    let hot = report.place.as_ref().filter(|place| !place.acceptable && nowhere);
    list.extend(hot.zip(rating).map(|(place, rating)| Against::Place {
        worst_w: rating.worst_w,
        derated_w: place.derated_w,
        rule: place.rule,
    }));
    list
}

/// What the heaters of a set that reads so on its usual and its high line ask for, `bare` without the part.
fn of_heaters(set: &Setting, [usual, high]: [&Reading; 2], bare: &Reading) -> Option<Against> {
    let (yard, excess) = (set.yard, usual.heater_excess());
    let (with, without) = (yard.severity(usual), yard.severity(bare));
    if with.abs() > LIMIT {
        return Some(Against::Heaters { excess, outlet_v: usual.outlet_v });
    }
    if set.outlet.high_read && yard.is_high_at_high(yard.severity(high)) {
        return Some(Against::Heaters { excess: high.heater_excess(), outlet_v: high.outlet_v });
    }
    let better = with.abs() > RIGHT && without.abs() < with.abs();
    better.then(|| Against::NotNeeded { excess, without: bare.heater_excess() })
}

/// Choices, and the part of each.
pub type Choices<'a> = (&'a mut Vec<Choice>, &'a mut Vec<Option<AnyPart>>);

/// Says of what is fitted whether it stays, and turns `advice`, which is that of the set without it, into that of the set as it
/// stands. What stays takes the place of what would be bought of its kind.
fn rule(
    set: &Setting,
    (report, part): (&mut FittedReport, &AnyPart),
    (advice, own): (&mut Advice, Repairs),
    (choices, parts): Choices,
    near: &Operation,
) {
    let bare = advice.choice == Some(Method::AsIs);
    report.ruling = match report.against.is_empty() {
        true => Ruling::Leave,
        false if bare => Ruling::Remove,
        false => Ruling::Change,
    };
    let verdict = match report.ruling {
        Ruling::Leave => Verdict::LeaveFitted,
        Ruling::Remove => Verdict::RemoveFitted,
        Ruling::Change if advice.choice.is_some() => Verdict::ChangeFitted,
        Ruling::Change => Verdict::CannotSay,
    };
    // with it in, the set asks for its own repairs
    if report.ruling == Ruling::Leave {
        advice.repairs = own.0;
    }
    let repairs = !advice.repairs.is_empty();
    advice.verdict = if repairs { Verdict::RepairFirst } else { verdict };
    advice.reasons = reasons(report, choices.first().and_then(|c| c.day.as_ref()));
    advice.strength = None;
    advice.measure = None;
    advice.would_change.clear();
    advice.changes_at.clear();
    if report.ruling != Ruling::Leave {
        return;
    }
    let method = report.choice.method;
    advice.choice = Some(method);
    advice.runner_up = None;
    advice.changes_at = if repairs { Vec::new() } else { turns(set, report, &**part, near) };
    advice.would_change = advice.changes_at.iter().map(turn_in_words).collect();
    let stays = (report.choice.clone(), Some(part.clone()));
    match choices.iter().position(|c| c.method == method) {
        Some(place) => (choices[place], parts[place]) = stays,
        None => {
            choices.push(stays.0);
            parts.push(stays.1);
        }
    }
    let kept = choices.iter_mut().find(|c| c.method == method);
    // what speaks against a part one would buy does not speak against one that is there and does its work
    kept.into_iter().for_each(|c| c.objections.clear());
}

/// What speaks against leaving it that the reasons have room for.
const MOST_TOLD: usize = 2;

/// Why: what it does for the heaters and B+, its heat, and what speaks against it.
fn reasons(report: &FittedReport, straight: Option<&Day>) -> Vec<String> {
    let (Some(day), Some(straight)) = (&report.choice.day, straight) else { return Vec::new() };
    let state = |day: &Day| {
        let heater = day.usual.tube_heater();
        let (volts, rated) = heater.map_or((0.0, 0.0), |h| (h.volts_v, h.rated_v));
        let share = high_or_low(day.usual.heater_excess());
        format!("{volts:.2} V of {rated} V ({share}), B+ {:.0} V", day.usual.b_plus_v)
    };
    let does = format!(
        "With it the heaters get {} on {:.0} V; without it {}.",
        state(day),
        day.usual.outlet_v,
        state(straight)
    );
    let heat = report.choice.rating.as_ref().map(|rating| {
        format!(
            "It makes {} at most, on {:.0} V; printed rating {}.",
            watts(rating.worst_w),
            day.high.outlet_v,
            watts(rating.rated_w)
        )
    });
    let more = match report.against.len().saturating_sub(MOST_TOLD) {
        0 => String::new(),
        more => format!("; {more} more: --show fitted"),
    };
    let told: Vec<String> =
        report.against.iter().take(MOST_TOLD).map(ToString::to_string).collect();
    let against =
        (!told.is_empty()).then(|| format!("Against leaving it: {}{more}.", told.join("; ")));
    [Some(does), heat, against].into_iter().flatten().collect()
}

/// An edge is looked for in such steps, this far from the usual line, and found to this, as shares of it.
const STEP: f64 = 0.02;
const FARTHEST: f64 = 0.25;
const FOUND: f64 = 8e-4;

/// Whether the part bears its heat, and what its fuse holds, where the set reads `high` at a high line that is `share` of today's.
fn bears(report: &FittedReport, part: &dyn Part, high: &Reading, share: f64) -> bool {
    let choice = &report.choice;
    let (Some(day), Some(fuse)) = (&choice.day, &choice.fuse) else { return true };
    let iec = fuse.standard == FuseStandard::Iec.name();
    let standard = if iec { FuseStandard::Iec } else { FuseStandard::Ul };
    let rating = fuse::rating(standard, high.line_a, share * fuse.inrush_a);
    let held = rating.map(|rating| standard.held_for_an_hour() * rating);
    let most = part.current_range().map_or(f64::MAX, |(_, most)| most);
    let cool = choice.rating.as_ref().is_none_or(|rating| {
        let derated_w = report.place.as_ref().map_or(rating.derated_w(), |p| p.derated_w);
        RATING_MARGIN * rating.worst_w * high.fitted_w[0] <= derated_w * day.high.fitted_w[0]
    });
    cool && held.is_some_and(|held| held <= most)
}

/// The usual outlet volts beyond which heaters, limits, heat or fuse ask for something else, the day moving in proportion; faults
/// are not looked at again.
fn turns(set: &Setting, report: &FittedReport, part: &dyn Part, near: &Operation) -> Vec<Turn> {
    let at = |share: f64| -> Option<(Reading, bool)> {
        let outlet = set.outlet.scaled(share);
        let set = Setting { outlet, ..*set };
        let run = |line: f64, part: &dyn Part| {
            let solve = |part: &dyn Part, at: &Operation| set.receiver.run_coarse(line, part, at);
            Some(read(set.receiver, &settle::by(part, near, solve).ok()?.operation))
        };
        let day = |part: &dyn Part| -> Option<Day> {
            let (usual, high) = (run(outlet.usual_v, part)?, run(outlet.high_v, part)?);
            Some(Day { low: usual.clone(), usual, high })
        };
        let (with, bare) = (day(part)?, day(&Straight)?);
        let limits = set.findings(&with).iter().any(|f| f.counts() && !f.improves(&bare));
        let heaters = of_heaters(&set, [&with.usual, &with.high], &bare.usual);
        let weak = !bears(report, part, &with.high, share);
        Some((bare.usual, limits || weak || heaters.is_some()))
    };
    let edge = |up: bool| {
        let sign = if up { 1.0 } else { -1.0 };
        let (mut inside, mut outside, mut beyond) = (1.0, None, None);
        while outside.is_none() {
            let next = inside + sign * STEP;
            if (next - 1.0).abs() > FARTHEST {
                return None;
            }
            match at(next)? {
                (bare, true) => (outside, beyond) = (Some(next), Some(bare)),
                (_, false) => inside = next,
            }
        }
        let (mut outside, mut bare) = (outside?, beyond?);
        while (outside - inside).abs() > FOUND {
            let middle = 0.5 * (inside + outside);
            match at(middle)? {
                (there, true) => (outside, bare) = (middle, there),
                (_, false) => inside = middle,
            }
        }
        // a set that is right without it loses it
        let right = (-LIMIT..=RIGHT).contains(&set.yard.severity(&bare));
        let verdict = if right { Verdict::RemoveFitted } else { Verdict::ChangeFitted };
        Some(Turn { voltage: 0.5 * (inside + outside) * set.outlet.usual_v, above: up, verdict })
    };
    [false, true].into_iter().filter_map(edge).collect()
}

impl FittedReport {
    /// Where the part is to be moved, because the place it stands in will not do and another will.
    pub fn better_place(&self) -> Option<(&PlaceReport, &PlaceReport)> {
        let now = self.place.as_ref().filter(|place| !place.acceptable)?;
        let places = &self.choice.rating.as_ref()?.places;
        Some((now, places.iter().find(|place| place.acceptable)?))
    }
}

impl Trial<'_> {
    /// Judges what stands in the set as it is: nothing is sought, and no larger size is taken.
    fn judge_fitted(
        &self,
        method: Method,
        unit: &'static str,
        part: Box<dyn Part>,
    ) -> Result<Judged> {
        let (receiver, usual) = (self.set.receiver, &self.today.usual);
        let settled = settle::run(receiver, &*part, self.set.outlet.usual_v, Some(usual))?;
        let blank = Choice { unit: Some(unit), ..Trial::blank(method, None) };
        self.try_part(self.standard, &blank, settled.part.unwrap_or(part), &settled.operation)
    }
}
