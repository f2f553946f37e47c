//! What the signal does to a set: its readings at rest, at full output, and with a strong station.

use super::{Limit, Rating, Reading, Serialize, limit::Limited, rating, read, settle};
use crate::{
    adaptation::Part,
    receiver::{Operation, Receiver, Signal, Swing, Tube},
};

/// AVC volts of a strong station beside none, V (customary, 5 to 20 V, no source).
pub const STRONG_AVC_V: f64 = 10.0;

/// A set on the usual line with and without a signal. Full output is a steady tone; the currents of speech and music lie
/// between rest and that.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
    /// Limits that hold at any line, coil temperatures apart, passed at full output and not at rest.
    pub exceeds: Vec<Limit>,
    /// Why there is no solution with the signal.
    pub unsolved: Option<String>,
}

/// What changes with the signal.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
pub struct Signals<'a> {
    receiver: &'a Receiver,
    full: Option<Receiver>,
    strong: Option<Receiver>,
}

impl<'a> Signals<'a> {
    pub fn of(receiver: &'a Receiver) -> Signals<'a> {
        let with = |signal: Signal, moved: fn(&Swing) -> bool| {
            let set = || receiver.clone().with_parts(|model| model.signal = signal);
            receiver.model().tubes.iter().any(|t| moved(&t.swing)).then(set)
        };
        Signals {
            full: with(Signal::FullOutput, |s| matches!(s, Swing::PushPull { .. })),
            strong: with(Signal::Avc(STRONG_AVC_V), controlled),
            receiver,
        }
    }

    /// What they do behind `part`, where the set at rest reads `usual` and `high`; `near` is a solved neighbour. `None`
    /// where nothing moves.
    pub fn report(
        &self,
        part: &dyn Part,
        (usual, high): (&Reading, &Reading),
        near: &Operation,
    ) -> Option<SignalReport> {
        if self.full.is_none() && self.strong.is_none() {
            return None;
        }
        let mut unsolved = None;
        let mut solve = |set: Option<&Receiver>, line: f64| {
            let set = set?;
            let solved = settle::run(set, part, line, Some(near));
            let read = solved.map(|s| read(set, &s.operation));
            read.map_err(|error| unsolved = Some(error.to_string())).ok()
        };
        let held = self.strong.as_ref().map(|set| at_rest(set, usual));
        let strong = solve(held.as_ref(), usual.outlet_v);
        let full = solve(self.full.as_ref(), usual.outlet_v);
        let fitted = part.resistors().first().and_then(|resistor| {
            let watts = solve(self.full.as_ref(), high.outlet_v)?.fitted_w[0];
            let circuit =
                if part.stands_in_lead() { rating::Circuit::Cord } else { rating::Circuit::String };
            let bears = |w| rating::rate(resistor, w, circuit).is_none_or(|r| r.has_place());
            Some((watts, !bears(watts) && bears(high.fitted_w[0])))
        });
        let point = |r: &Reading| SignalPoint::of(r, &self.receiver.model().tubes);
        let rest = point(usual);
        let now = full.as_ref().map(point);
        // no music heats a coil through as a steady tone does
        let held = |l: &Limit| l.rating == Rating::Ceiling && l.what != Limited::Coil;
        let new = |l: &&Limit| held(l) && !usual.beyond().any(|r| r.is(l));
        Some(SignalReport {
            sag_share: now.as_ref().map(|now| now.b_plus_v / rest.b_plus_v - 1.0),
            heater_fall_share: now.as_ref().map(|now| rest.heater_excess - now.heater_excess),
            resistor_w_full: fitted.map(|(watts, _)| watts),
            resistor_overloaded: fitted.is_some_and(|(_, overloaded)| overloaded),
            exceeds: full.iter().flat_map(Reading::beyond).filter(new).cloned().collect(),
            strong_station: strong.as_ref().map(point),
            full: now,
            rest,
            unsolved,
        })
    }
}

fn controlled(swing: &Swing) -> bool {
    matches!(swing, Swing::Controlled { .. })
}

/// `set` with what its controlled tubes' screens read at rest.
fn at_rest(set: &Receiver, rest: &Reading) -> Receiver {
    set.clone().with_parts(|model| {
        for (tube, read) in model.tubes.iter_mut().zip(&rest.tubes) {
            if let Swing::Controlled { rest_screen } = &mut tube.swing {
                *rest_screen = read.screen_v.map_or(0.0, |v| v - read.cathode_v);
            }
        }
    })
}

impl SignalPoint {
    fn of(r: &Reading, tubes: &[Tube]) -> SignalPoint {
        let controlled = r.tubes.iter().zip(tubes).filter(|(_, t)| controlled(&t.swing));
        let screens = controlled.filter_map(|(r, _)| r.screen_v);
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
            // a sum of nothing would be a zero with a minus
            output_a: outputs().map(|t| t.count * t.plate_a).fold(0.0, |sum, a| sum + a),
        }
    }
}
