//! How a set was left: what a meter showed with the part in, beside what was predicted, and what remains to be done.

use super::{
    Choice, FittedReport, FuseReport, HEATER_AT_HIGH, HEATER_LIMIT, Lies, Meter, Reading, Result,
    Ruling, Serialize, What,
    held::{Bench, Held},
    sentences::{off, sentences, watts},
    shift::{Meaning, of_point, reversed, stop, together},
};
use crate::{
    adaptation::{Part, RATING_MARGIN, Stands},
    profile::{FittedPlace, ReadingSet},
};

/// A reading beside what was predicted.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(not(feature = "inside"), non_exhaustive)]
pub struct LeftPoint {
    /// Point, by its key.
    pub key: String,
    /// In words.
    pub label: String,
    /// Unit.
    pub unit: &'static str,
    /// How it is measured.
    #[serde(skip)]
    #[cfg_attr(feature = "schema", schemars(skip))]
    pub meter: Meter,
    /// Line it was read on, V RMS.
    pub at_line_v: f64,
    /// What the meter showed.
    pub read: f64,
    /// What was predicted for that line, the meter's load counted.
    pub expected: f64,
    /// Normal range there: 95 of 100 sound sets, with meter and line voltage as they may be off.
    pub least: f64,
    /// Its other end.
    pub most: f64,
    /// Where the reading lies.
    pub lies: Lies,
    /// What a reading outside would mean; null within.
    pub means: Option<Meaning>,
}

/// Heaters as measured.
#[derive(Debug, Clone, Copy, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HeatersLeft {
    /// What the meter comes to on the usual line, V RMS.
    pub usual_v: f64,
    /// Share above their rating there.
    pub excess: f64,
    /// The same on high line.
    pub high_excess: f64,
    /// Whether that is borne.
    pub right: bool,
}

/// Heat of the part as measured.
#[derive(Debug, Clone, Copy, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HeatLeft {
    /// Current that was read, A RMS.
    pub current_a: f64,
    /// Heat with it, W: its ohms as marked.
    pub read_w: f64,
    /// What that comes to on high line and at worst tolerance, W.
    pub worst_w: f64,
    /// What is left of its rating where it stands, or in its best place, W.
    pub derated_w: f64,
    /// Whether it is loaded to half of that at the most.
    pub right: bool,
}

sentences! {
    /// What remains to be done.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Remains {
        /// The set's own repairs.
        Repairs => "put right first what the advice names",
        /// Something else is to take its place.
        Change => "change what is fitted",
        /// It is to come out.
        Remove => "unplug it and take out what is fitted: give the set a line cord without a joint, and its fuse a holder in the set",
        /// The same of a dropper in a heater string.
        RemoveInside => "take out what is fitted: join the heater string where the dropper was, and put the old surge resistor back where it was changed",
        /// The same of a tap.
        MoveBack => "move the primary back to the tap that it was on, and insulate the one that is left free",
        /// Its place.
        Move {
            /// Where it stands.
            from: &'static str,
            /// Where it may stand.
            to: &'static str,
        } => "move the part ({from}) to another place: {to}",
        /// A transformer that stands free.
        Box => "put the part into a grounded metal box in the line cord",
        /// Its place is not told.
        Place => "write where the part stands, under `fitted: place:`",
        /// Another fuse.
        Fuse {
            /// That which is in, A.
            present_a: f64,
            /// That which is to be, A.
            rating_a: f64,
            /// Its standard.
            standard: &'static str,
        } => "put a {rating_a} A slow-blow fuse ({standard}) in place of the {present_a} A one",
        /// A fuse is not named.
        NoFuse {
            /// That which is to be, A.
            rating_a: f64,
            /// Its standard.
            standard: &'static str,
        } => "fit a {rating_a} A slow-blow fuse ({standard}), or write the one that is in under `fitted: fuse:`",
        /// Heaters off as measured.
        Heaters {
            /// On high line or the usual one, V RMS.
            excess: f64 as off,
        } => "the heaters as measured come to {excess}: beyond what is borne",
        /// Heat as measured.
        Heat {
            /// At worst, W.
            worst_w: f64 as watts,
            /// Left of its rating, W.
            derated_w: f64 as watts,
        } => "the part as measured makes up to {worst_w}, more than half of the {derated_w} left of its rating",
        /// Readings outside their normal range.
        Outside {
            /// How many.
            count: String,
        } => "find out why {count} outside the normal range",
        /// Nothing was read.
        NoReadings => "read the set with the part in, and write it under `as_left:`",
        /// The heaters were not read.
        NoHeaters => "read the heaters with the part in, and write it under `as_left:`",
    }
}

/// How a set was left.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(not(feature = "inside"), non_exhaustive)]
pub struct AsLeft {
    /// Day it was read; null where that is not told.
    pub date: Option<String>,
    /// Readings, in the order of the profile.
    pub points: Vec<LeftPoint>,
    /// What those that lie outside mean together; null where that is no more than each by itself.
    pub together: Option<Meaning>,
    /// Heaters as measured; null where they were not read.
    pub heaters: Option<HeatersLeft>,
    /// Heat of a resistor as measured; null for other parts, and where its current was not read.
    pub heat: Option<HeatLeft>,
    /// True where it is done as planned.
    pub done: bool,
    /// What remains to be done; empty where it is done.
    pub remains: Vec<Remains>,
}

/// How a set was left, by its readings and by what was planned; `straight` is the set without a part, `repairs` whether its own come first.
///
/// # Errors
/// As [`Bench::hold`].
pub fn as_left(
    bench: &Bench,
    sets: &[ReadingSet],
    (straight, fitted): (Option<&Choice>, Option<&FittedReport>),
    repairs: bool,
) -> Result<AsLeft> {
    let held = bench.hold(sets, "as_left")?;
    let outside: Vec<_> = held
        .iter()
        .filter(|h| h.lies() != Lies::Within)
        .map(|h| (h.point.measure, h.share()))
        .collect();
    let choice = fitted.map_or(straight, |f| Some(&f.choice));
    let day = choice.and_then(|c| c.day.as_ref());
    let heaters = day.and_then(|day| {
        let measure = What::Heater.of(day.usual.tube_heater_place());
        // the heaters of a string go in step
        let in_step = |h: &&Held| h.is_in_string() && h.point.measure.rated_v(&h.reading).is_some();
        let first = held.iter().find(|h| h.point.measure == measure);
        let own = first.or_else(|| held.iter().find(in_step))?;
        let measure = own.point.measure;
        let (rated, value) = (measure.rated_v(&own.reading)?, own.point.measured / own.expected);
        let excess = |r: &Reading| measure.value(r) * value / rated - 1.0;
        let (usual, high) = (excess(&day.usual), excess(&day.high));
        Some(HeatersLeft {
            usual_v: rated * (1.0 + usual),
            excess: usual,
            high_excess: high,
            right: usual.abs() <= HEATER_LIMIT && high <= HEATER_AT_HIGH,
        })
    });
    let heat = fitted.and_then(|fitted| heat(bench.part, fitted, &held));
    let points: Vec<LeftPoint> = held
        .iter()
        .map(|h| LeftPoint {
            key: h.point.key.clone(),
            label: h.point.label.clone(),
            unit: h.point.measure.unit(),
            meter: h.point.measure.meter(),
            at_line_v: h.point.line,
            read: h.point.measured,
            expected: h.expected,
            least: h.least,
            most: h.most,
            lies: h.lies(),
            means: (h.lies() != Lies::Within)
                .then(|| of_point((h.point.measure, h.share()), h.is_in_string()))
                .flatten(),
        })
        .collect();
    let mut left = AsLeft {
        date: fitted.and_then(|f| f.date.clone()),
        points,
        together: match fitted.is_some_and(|f| is_reversed(f, &held)) {
            true => Some(Meaning::Reversed),
            false => together(&outside),
        },
        heaters,
        heat,
        done: false,
        remains: Vec::new(),
    };
    left.remains.extend(repairs.then_some(Remains::Repairs));
    let others = remains(&left, choice, fitted);
    left.remains.extend(others);
    left.done = left.remains.is_empty();
    Ok(left)
}

/// Whether a small transformer stands the wrong way round, by the volts at the set.
fn is_reversed(fitted: &FittedReport, held: &[Held]) -> bool {
    let mut at_set = held.iter().filter(|h| h.point.measure.what == What::Set);
    at_set.any(|h| reversed(fitted.choice.method, h.point.measured, h.point.line))
}

impl AsLeft {
    /// What must be put right before the set is used.
    pub fn stop(&self) -> Option<Meaning> {
        stop(self.together, self.points.iter().filter_map(|p| p.means))
    }
}

/// Heat of a resistor in the lead by the current that was read.
fn heat(part: &dyn Part, fitted: &FittedReport, held: &[Held]) -> Option<HeatLeft> {
    let [resistor] = part.resistors()[..] else { return None };
    if !part.stands_in_lead() {
        return None;
    }
    let own = held.iter().find(|h| h.point.measure.what == What::PrimaryCurrent)?;
    let (current_a, ratio) = (own.point.measured, own.point.measured / own.expected);
    let rating = fitted.choice.rating.as_ref()?;
    let worst_w = rating.worst_w * ratio * ratio;
    let derated_w = fitted.place.as_ref().map_or(rating.derated_w(), |place| place.derated_w);
    Some(HeatLeft {
        current_a,
        read_w: current_a * current_a * resistor.ohms,
        worst_w,
        derated_w,
        right: RATING_MARGIN * worst_w <= derated_w,
    })
}

fn remains(left: &AsLeft, choice: Option<&Choice>, fitted: Option<&FittedReport>) -> Vec<Remains> {
    let mut list = Vec::new();
    list.extend(fitted.and_then(|f| match f.ruling {
        Ruling::Leave => None,
        Ruling::Change => Some(Remains::Change),
        Ruling::Remove => Some(match f.choice.method.facts().stands {
            Stands::Inside => Remains::RemoveInside,
            Stands::AtPrimary => Remains::MoveBack,
            Stands::InLead | Stands::Nowhere => Remains::Remove,
        }),
    }));
    // what is read with a part that does not stay closes nothing
    if !list.is_empty() {
        return list;
    }
    if let Some((now, better)) = fitted.and_then(FittedReport::better_place) {
        list.push(Remains::Move { from: now.place, to: better.place });
    }
    list.extend(fitted.and_then(place));
    list.extend(choice.and_then(|c| fuse(c.fuse.as_ref()?)));
    let readings = left.points.len();
    if readings == 0 {
        list.push(Remains::NoReadings);
    } else if left.heaters.is_none() {
        list.push(Remains::NoHeaters);
    }
    let heaters = left.heaters.filter(|h| !h.right);
    list.extend(heaters.map(|h| {
        let most = if h.excess.abs() > HEATER_LIMIT { h.excess } else { h.high_excess };
        Remains::Heaters { excess: most }
    }));
    let heat = left.heat.filter(|h| !h.right);
    list.extend(heat.map(|h| Remains::Heat { worst_w: h.worst_w, derated_w: h.derated_w }));
    match left.points.iter().filter(|p| p.lies != Lies::Within).count() {
        0 => {}
        1 => list.push(Remains::Outside { count: "one reading lies".to_owned() }),
        many => list.push(Remains::Outside { count: format!("{many} readings lie") }),
    }
    list
}

/// What is to be done about its place, where no heat of its own decides that.
fn place(fitted: &FittedReport) -> Option<Remains> {
    let (stands, heat) = (fitted.choice.method.facts().stands, fitted.choice.rating.is_some());
    match (stands, fitted.stands) {
        (Stands::InLead | Stands::Inside, None) => Some(Remains::Place),
        (Stands::InLead, Some(FittedPlace::Chassis | FittedPlace::Cabinet)) if !heat => {
            Some(Remains::Box)
        }
        (Stands::InLead | Stands::Inside | Stands::Nowhere | Stands::AtPrimary, _) => None,
    }
}

/// The fuse that is to go in.
fn fuse(fuse: &FuseReport) -> Option<Remains> {
    let (rating_a, standard) = (fuse.rating_a?, fuse.standard);
    match fuse.present_a {
        Some(present_a) if fuse.must_change => {
            Some(Remains::Fuse { present_a, rating_a, standard })
        }
        Some(_) => None,
        None => Some(Remains::NoFuse { rating_a, standard }),
    }
}
