//! What the signal does to a set: its readings at rest, at full output, and with a strong station.

use super::outlet::OutletVolts;
use super::plan::Choice;
use super::rating;
use super::reading::{self, Limit, Rating, Reading};
use super::settle;
use super::share;
use crate::adaptation::Part;
use crate::receiver::{Operation, Receiver, Signal, Straight, Swing};
use schemars::JsonSchema;
use serde::Serialize;

/// AVC volts of a strong station beside none, V (customary, 5 to 20 V, no source).
pub const STRONG_AVC_V: f64 = 10.0;

/// A set on the usual line with and without a signal. Full output is a steady tone; the currents of speech and music lie
/// between rest and that.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SignalReport {
    /// At rest: no station, no sound.
    pub rest: SignalPoint,
    /// At full output, where tubes work in push-pull.
    pub full: Option<SignalPoint>,
    /// With a strong station, where tubes are under automatic volume control.
    pub strong_station: Option<SignalPoint>,
    /// B+ at full output over B+ at rest, minus one; negative.
    pub sag_share: Option<f64>,
    /// Heater volts that go from rest to full output, over rated volts: 0.03 is three points.
    pub heater_fall_share: Option<f64>,
    /// Heat of the added resistor at full output on the high line, W.
    pub resistor_w_full: Option<f64>,
    /// True where no place bears that heat, though one bears it at rest.
    pub resistor_overloaded: bool,
    /// Limits that hold at any line, passed at full output and not at rest.
    pub exceeds: Vec<Limit>,
    /// Why there is no solution with the signal.
    pub unsolved: Option<String>,
}

/// What changes with the signal.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SignalPoint {
    /// B+ against chassis, V DC.
    pub b_plus_v: f64,
    /// Highest screen among the tubes under automatic volume control, against chassis, V DC.
    pub screen_v: Option<f64>,
    /// Heaters, V RMS.
    pub heater_v: f64,
    /// The same over rated, minus one.
    pub heater_excess: f64,
    /// Current from the outlet, A true RMS.
    pub line_a: f64,
    /// Power from the outlet, W.
    pub line_w: f64,
    /// Heat in the part, W.
    pub lead_w: f64,
    /// Plate dissipation of one output tube, of the one that has most, W.
    pub plate_w: Option<f64>,
    /// Its limit, W, where known.
    pub plate_limit_w: Option<f64>,
    /// Plate current of all output tubes, A.
    pub output_a: f64,
}

/// A set under each signal that moves it.
struct Signals {
    full: Option<Receiver>,
    strong: Option<Receiver>,
}

/// Fills in what the signal does to each choice that could be advised. `near` is the set as it is.
pub(super) fn fill(
    receiver: &Receiver,
    outlet: &OutletVolts,
    near: &Operation,
    choices: &mut [Choice],
    parts: &[Option<Box<dyn Part>>],
) {
    let tubes = &receiver.model().tubes;
    let with = |signal: Signal, moved: fn(&Swing) -> bool| {
        let set = || receiver.clone().with_parts(|model| model.signal = signal);
        tubes.iter().any(|t| moved(&t.swing)).then(set)
    };
    let signals = Signals {
        full: with(Signal::FullOutput, |s| matches!(s, Swing::PushPull { .. })),
        strong: with(Signal::Avc(STRONG_AVC_V), |s| *s == Swing::Controlled),
    };
    if signals.full.is_none() && signals.strong.is_none() {
        return;
    }
    let reports = share::each(&(0..choices.len()).collect::<Vec<_>>(), |&i| {
        let part: &dyn Part = parts.get(i)?.as_deref().unwrap_or(&Straight);
        signals.report(receiver, outlet, near, &choices[i], part)
    });
    for (choice, report) in choices.iter_mut().zip(reports) {
        choice.signal = report;
    }
}

impl Signals {
    /// `None` for what stays on the bench or could not be solved.
    fn report(
        &self,
        receiver: &Receiver,
        outlet: &OutletVolts,
        near: &Operation,
        choice: &Choice,
        part: &dyn Part,
    ) -> Option<SignalReport> {
        let facts = choice.method.facts();
        let day = choice.day.as_ref().filter(|_| !facts.on_bench && !facts.rough)?;
        let model = receiver.model();
        let point = |r: &Reading| SignalPoint::of(r, |i| model.tubes[i].swing);
        let mut report = SignalReport {
            rest: point(&day.usual),
            full: None,
            strong_station: None,
            sag_share: None,
            heater_fall_share: None,
            resistor_w_full: None,
            resistor_overloaded: false,
            exceeds: Vec::new(),
            unsolved: None,
        };
        let mut solve = |set: &Receiver, line: f64| {
            let solved = settle::run(set, part, line, Some(near));
            let read = solved.map(|s| reading::read(set, &s.operation));
            read.map_err(|error| report.unsolved = Some(error.to_string())).ok()
        };
        let strong = self.strong.as_ref().and_then(|set| solve(set, outlet.usual_v));
        let full = self.full.as_ref().and_then(|set| solve(set, outlet.usual_v));
        let resistors = part.resistors();
        let hot = self.full.as_ref().filter(|_| !resistors.is_empty());
        let hot = hot.and_then(|set| solve(set, outlet.high_v));
        report.strong_station = strong.as_ref().map(point);
        if let Some(full) = full {
            let (rest, now) = (&report.rest, point(&full));
            report.sag_share = Some(now.b_plus_v / rest.b_plus_v - 1.0);
            report.heater_fall_share = Some(rest.heater_excess - now.heater_excess);
            let ceilings = full.beyond().filter(|l| l.rating == Rating::Ceiling);
            let new = |l: &&Limit| !day.usual.beyond().any(|r| r.is(l));
            report.exceeds = ceilings.filter(new).cloned().collect();
            report.full = Some(now);
        }
        if let (Some(resistor), Some(high)) = (resistors.first(), hot) {
            let watts = high.fitted_w[0];
            let circuit = match part.stands_in_lead() {
                true => rating::Circuit::Cord,
                false => rating::Circuit::String,
            };
            let bears = |w| rating::rate(resistor, w, circuit).is_none_or(|r| r.has_place());
            report.resistor_w_full = Some(watts);
            report.resistor_overloaded = !bears(watts) && bears(day.high.fitted_w[0]);
        }
        Some(report)
    }
}

impl SignalPoint {
    fn of(r: &Reading, swing: impl Fn(usize) -> Swing) -> SignalPoint {
        let controlled = r.tubes.iter().enumerate().filter(|(i, _)| swing(*i) == Swing::Controlled);
        let screens = controlled.filter_map(|(_, t)| t.screen_v);
        let outputs = || r.tubes.iter().filter(|t| t.output);
        let hottest = outputs().max_by(|a, b| a.plate_w.total_cmp(&b.plate_w));
        SignalPoint {
            b_plus_v: r.b_plus_v,
            screen_v: screens.reduce(f64::max),
            heater_v: r.tube_heater_v(),
            heater_excess: r.heater_excess(),
            line_a: r.line_a,
            line_w: r.line_w,
            lead_w: r.lead_w,
            plate_w: hottest.map(|t| t.plate_w),
            plate_limit_w: hottest.and_then(|t| t.plate_limit_w),
            output_a: outputs().map(|t| t.count * t.plate_a).sum(),
        }
    }
}
