//! A divider: its resistors from wanted taps or its taps from resistors; what is made near them, what a meter shows,
//! what drift does.

mod design;
mod meter;
mod stand;
mod sums;

pub use design::{Buy, DividerSize};
pub use meter::{MeterReading, RANGES_V, Voltmeter};
pub use stand::TapLoad;

use super::alarms::of_set;
use super::caution::{self, Caution};
use super::outlet::{self, OutletChoice};
use super::working::Working;
use super::{StudyError, supply};
use crate::preferred::{self, Series};
use crate::profile::Profile;
use crate::receiver::{Receiver, Straight, complete};
use serde::Serialize;
use stand::{Bench, Clip, SetAtWork, Stand, at};

/// Stands with every divider.
const CAUTION: &str = "Lethal voltages where such dividers stand. Set off and capacitors measured empty before a resistor is touched; work on an isolation transformer; local electrical codes decide.";
/// Series that values are looked for in.
const SERIES: [(&str, Series); 4] =
    [("E6", Series::E6), ("E12", Series::E12), ("E24", Series::E24), ("E96", Series::E96)];
/// How far up carbon resistors drift, as shares: most stock is 7 to 22 % high, sets have worse (common practice, no
/// source).
pub const DRIFTS: [f64; 3] = [0.1, 0.2, 0.5];
/// Most resistors of a divider, as in a profile.
pub const MOST_ARMS: usize = 40;

/// What is known of a divider.
#[derive(Debug, Clone, PartialEq)]
pub enum DividerKnown {
    /// Its resistors from the source down, Ω.
    Resistors(Vec<f64>),
    /// Volts wanted at its taps against chassis, from the source down, and its size.
    Taps(Vec<f64>, DividerSize),
}

/// What is asked of a divider between a source and chassis.
#[derive(Debug, Clone, PartialEq)]
pub struct DividerRequest {
    /// Source against chassis, V DC; negative for a back bias.
    pub from_v: f64,
    /// Resistors or taps.
    pub known: DividerKnown,
    /// A load for each tap, or none at all.
    pub loads: Vec<TapLoad>,
    /// Meters to read it with.
    pub meters: Vec<Voltmeter>,
}

/// The set a divider belongs to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DividerPlace {
    /// Name of the set.
    pub set: String,
    /// Name of the divider.
    pub divider: String,
    /// Outlet, V RMS; the set stands straight on it.
    pub outlet_v: f64,
    /// Point of the upper end.
    pub from: String,
    /// Point of the lower end.
    pub to: String,
}

/// An arm at work.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Arm {
    /// Ω.
    pub ohms: f64,
    /// Across it, V, upper end against lower.
    pub volts_v: f64,
    /// Through it, A, downwards.
    pub current_a: f64,
    /// Heat, W.
    pub heat_w: f64,
    /// Heat with nothing on the taps, W.
    pub free_heat_w: f64,
    /// What to buy, for the larger of both.
    pub buy: Buy,
}

/// A joint of two arms.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Tap {
    /// Name.
    pub name: String,
    /// Against chassis, V.
    pub volts_v: f64,
    /// With nothing on any tap, V.
    pub free_v: f64,
    /// What it feeds, A; negative where it is fed.
    pub takes_a: f64,
    /// Resistance of the free divider as seen from the tap, both ends holding their volts, Ω.
    pub looks_like_ohms: f64,
}

/// The divider with other values.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rounded {
    /// Series of IEC 60063.
    pub series: &'static str,
    /// Nearest values, Ω.
    pub arms_ohms: Vec<f64>,
    /// Taps with them, V.
    pub taps_v: Vec<f64>,
}

/// A meter on each tap against chassis and across each arm, one place at a time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Metered {
    /// The meter.
    pub meter: Voltmeter,
    /// Taps.
    pub taps: Vec<MeterReading>,
    /// Arms.
    pub arms: Vec<MeterReading>,
}

/// The taps with an arm drifted up.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Drifted {
    /// Which arm from the upper end, counted from 0; `None` for all alike.
    pub arm: Option<usize>,
    /// By what share.
    pub by: f64,
    /// Taps, V.
    pub taps_v: Vec<f64>,
}

/// A divider with everything found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DividerStudy {
    /// Cautions of the set it belongs to, in the order of the work.
    #[serde(serialize_with = "caution::spoken")]
    pub cautions: Vec<Caution>,
    /// The set it belongs to, if it does.
    pub place: Option<DividerPlace>,
    /// How large it was to be, where its resistors were sought.
    pub wanted: Option<DividerSize>,
    /// Upper end against chassis, V.
    pub from_v: f64,
    /// Lower end against chassis, V.
    pub to_v: f64,
    /// All arms together, Ω.
    pub total_ohms: f64,
    /// Arms from the upper end.
    pub arms: Vec<Arm>,
    /// Joints from the upper end.
    pub taps: Vec<Tap>,
    /// With values that are made.
    pub rounded: Vec<Rounded>,
    /// With meters on it.
    pub metered: Vec<Metered>,
    /// With arms drifted up.
    pub drifted: Vec<Drifted>,
    /// The sums on paper.
    pub working: Vec<Working>,
    /// Stands with it.
    pub caution: &'static str,
}

/// Works out a divider between a source and chassis.
///
/// # Errors
/// [`StudyError::Divider`] for a request that cannot be met; loads that leave a tap without volts.
pub fn divider(request: &DividerRequest) -> Result<DividerStudy, StudyError> {
    let (ohms, wanted) = match &request.known {
        DividerKnown::Resistors(list) => (list.clone(), None),
        DividerKnown::Taps(taps, size) => {
            (design::arms(request.from_v, taps, &request.loads, *size)?, Some(*size))
        }
    };
    let bench = Bench { from_v: request.from_v, to_v: 0.0, loads: request.loads.clone() };
    let names = (1..ohms.len()).map(|n| format!("tap {n}")).collect();
    let found = study(&bench, &ohms, names, &request.meters)?;
    let short = found.taps.iter().find(|t| t.volts_v * request.from_v <= 0.0);
    if let Some(tap) = short {
        return Err(StudyError::Divider {
            found: format!("nothing is left at {}: the arms above it drop the whole source with these loads", tap.name),
            advice: "give smaller loads or resistors, or give the volts wanted (--taps 100V,80V --bleed 10mA) and let the resistors be found".to_owned(),
        });
    }
    let mut found = DividerStudy { wanted, ..found };
    found.working = sums::of(&found);
    Ok(found)
}

/// Works out a divider of a set at work, straight on its usual outlet; `name` may be left out where it has only one.
/// Meters and changed arms are answered by the whole set.
///
/// # Errors
/// A divider the set does not have; a set without a solution; an outlet that is not known.
pub fn divider_of(
    profile: &Profile,
    name: Option<&str>,
    line: &OutletChoice,
    meters: &[Voltmeter],
) -> Result<DividerStudy, StudyError> {
    let known: Vec<String> = profile.dividers.iter().map(|d| d.name.clone()).collect();
    let index = match (name, known.len()) {
        (None, 1) => Some(0),
        (Some(name), _) => known.iter().position(|d| d == name),
        (None, _) => None,
    };
    let none = || StudyError::NoDivider { asked: name.map(str::to_owned), known: known.clone() };
    let index = index.ok_or_else(none)?;
    let (mut model, _) = complete(profile)?;
    let (outlet, _) = outlet::settle(profile, line)?;
    outlet.feed(&mut model);
    let receiver = Receiver::new(model, None)?;
    let base = receiver.run(outlet.usual_v, &Straight, None)?;
    let sketch = supply::dividers(&receiver, &base).into_iter().nth(index).ok_or_else(none)?;
    let own = |tap: String| tap.split_once('.').map_or(tap.clone(), |(_, t)| t.to_owned());
    let joints = sketch.points.into_iter().enumerate();
    let names = joints.map(|(i, p)| p.tap.map_or(format!("joint {}", i + 1), own)).collect();
    let set = SetAtWork { receiver: &receiver, base, index };
    let mut found = study(&set, &sketch.resistors, names, meters)?;
    found.cautions = of_set(&receiver, Some(&outlet));
    found.place = Some(DividerPlace {
        set: receiver.model().name.clone(),
        divider: sketch.name,
        outlet_v: outlet.usual_v,
        from: sketch.from,
        to: sketch.to,
    });
    found.working = sums::of(&found);
    Ok(found)
}

/// Everything that is found in the same way for every divider.
fn study(
    stand: &dyn Stand,
    ohms: &[f64],
    names: Vec<String>,
    meters: &[Voltmeter],
) -> Result<DividerStudy, StudyError> {
    let points = stand.volts(ohms, None)?;
    let joints = |points: Vec<f64>| -> Vec<f64> {
        let inner = points.len().saturating_sub(2);
        points.into_iter().skip(1).take(inner).collect()
    };
    let last = ohms.len();
    let free = Bench { from_v: at(&points, 0), to_v: at(&points, last), loads: Vec::new() };
    let unloaded = free.volts(ohms, None)?;
    let arms: Vec<Arm> = ohms
        .iter()
        .enumerate()
        .map(|(i, ohms)| {
            let across = |points: &[f64]| at(points, i) - at(points, i + 1);
            let (volts, free) = (across(&points), across(&unloaded));
            let heat = |volts: f64| volts * volts / ohms;
            let most = f64::max(volts.abs(), free.abs());
            Arm {
                ohms: *ohms,
                volts_v: volts,
                current_a: volts / ohms,
                heat_w: heat(volts),
                free_heat_w: heat(free),
                buy: Buy::choose(heat(most), most),
            }
        })
        .collect();
    let forward = (at(&points, 0) - at(&points, last)).signum();
    let mut taps = Vec::new();
    for (i, (name, pair)) in names.into_iter().zip(arms.windows(2)).enumerate() {
        let [above, below] = pair else { continue };
        let takes_a = forward * (above.current_a - below.current_a);
        let smallest = f64::max(above.current_a.abs(), below.current_a.abs());
        taps.push(Tap {
            name,
            volts_v: at(&points, i + 1),
            free_v: at(&unloaded, i + 1),
            // what is left of two equal currents is rounding
            takes_a: if takes_a.abs() > 1e-6 * smallest { takes_a } else { 0.0 },
            looks_like_ohms: looks_like(ohms, i + 1)?,
        });
    }
    let mut rounded = Vec::new();
    for (series, kind) in SERIES {
        let arms_ohms: Option<Vec<f64>> =
            ohms.iter().map(|r| preferred::nearest(kind, *r)).collect();
        // resistors within reach of a receiver have a neighbour in every series
        let Some(arms_ohms) = arms_ohms else { continue };
        rounded.push(Rounded { taps_v: joints(stand.volts(&arms_ohms, None)?), series, arms_ohms });
    }
    let mut metered = Vec::new();
    for meter in meters {
        let read = |places, volts| meter::read(stand, ohms, places, *meter, volts);
        let on_taps = taps.iter().enumerate();
        let on_arms = arms.iter().enumerate();
        metered.push(Metered {
            meter: *meter,
            taps: on_taps
                .map(|(i, tap)| read((i + 1, None), tap.volts_v))
                .collect::<Result<_, _>>()?,
            arms: on_arms
                .map(|(i, arm)| read((i, Some(i + 1)), arm.volts_v))
                .collect::<Result<_, _>>()?,
        });
    }
    let mut drifted = Vec::new();
    let which = (0..last).map(Some).chain((last > 1).then_some(None));
    for arm in which {
        for by in DRIFTS {
            let grown = |(i, ohms): (usize, &f64)| match arm.is_none_or(|a| a == i) {
                true => ohms * (1.0 + by),
                false => *ohms,
            };
            let changed: Vec<f64> = ohms.iter().enumerate().map(grown).collect();
            let taps_v = joints(stand.volts(&changed, None)?);
            drifted.push(Drifted { arm, by, taps_v });
        }
    }
    Ok(DividerStudy {
        cautions: Vec::new(),
        place: None,
        wanted: None,
        from_v: at(&points, 0),
        to_v: at(&points, last),
        total_ohms: ohms.iter().sum(),
        arms,
        taps,
        rounded,
        metered,
        drifted,
        working: Vec::new(),
        caution: CAUTION,
    })
}

/// Resistance seen from a joint: one volt at the upper end alone, then halved by a resistance on the joint.
fn looks_like(ohms: &[f64], joint: usize) -> Result<f64, StudyError> {
    let bench = Bench { from_v: 1.0, to_v: 0.0, loads: Vec::new() };
    let load: f64 = ohms.iter().sum();
    let volts = |clip| Ok::<_, StudyError>(at(&bench.volts(ohms, clip)?, joint));
    let clip = Clip { upper: joint, lower: None, ohms: load };
    let (free, loaded) = (volts(None)?, volts(Some(clip))?);
    Ok(load * (free / loaded - 1.0))
}
