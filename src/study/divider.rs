//! A divider: its resistors from wanted taps or its taps from resistors; what is made near them, what a meter shows,
//! what drift does.

mod design;
mod found;
mod meter;
mod stand;
mod sums;

pub use design::{Buy, DividerSize};
pub use found::{Arm, DRIFTS, DividerPlace, DividerStudy, Drifted, Metered, Rounded, Tap};
pub use meter::{MeterReading, RANGES_V, Voltmeter};
pub use stand::TapLoad;

use super::{OutletChoice, Result, StudyError, alarms::of_set, outlet, supply};
use crate::{
    preferred::{Series, nearest},
    profile::Profile,
    receiver::{Receiver, ReceiverError, Straight, complete},
};
use stand::{Alone, Clip, SetAtWork, Stand};

/// Stands with every divider.
const CAUTION: &str = "Lethal voltages where such dividers stand. Set off and capacitors measured empty before a resistor is touched; work on an isolation transformer; local electrical codes decide.";
/// Series that values are looked for in.
const SERIES: [(&str, Series); 4] =
    [("E6", Series::E6), ("E12", Series::E12), ("E24", Series::E24), ("E96", Series::E96)];
/// Most resistors of a divider, as in a profile.
pub const MOST_ARMS: usize = 40;

/// What is known of a divider.
#[derive(Debug, Clone)]
pub enum DividerKnown {
    /// Its resistors from the source down, Ω.
    Resistors(Vec<f64>),
    /// Volts wanted at its taps against chassis, from the source down, and its size.
    Taps(Vec<f64>, DividerSize),
}

/// What is asked of a divider between a source and chassis.
#[derive(Debug, Clone)]
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

/// Works out a divider between a source and chassis.
///
/// # Errors
/// [`StudyError::Divider`] for a request that cannot be met; loads that leave a tap without volts.
pub fn divider(request: &DividerRequest) -> Result<DividerStudy> {
    let (ohms, wanted) = match &request.known {
        DividerKnown::Resistors(list) => (list.clone(), None),
        DividerKnown::Taps(taps, size) => {
            (design::arms(request.from_v, taps, &request.loads, *size)?, Some(*size))
        }
    };
    let bench = Alone { from_v: request.from_v, to_v: 0.0, loads: request.loads.clone() };
    let names = (1..ohms.len()).map(|n| format!("tap {n}")).collect();
    let mut found = study(&bench, &ohms, names, &request.meters)?;
    if let Some(tap) = found.taps.iter().find(|t| t.volts_v * request.from_v <= 0.0) {
        return Err(StudyError::Divider {
            found: format!("nothing is left at {}: the arms above it drop the whole source with these loads", tap.name),
            advice: "give smaller loads or resistors, or give the voltage wanted (--taps 100V,80V --bleed 10mA) and let the resistors be found".to_owned(),
        });
    }
    found.wanted = wanted;
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
) -> Result<DividerStudy> {
    let known: Vec<String> = profile.dividers.iter().map(|d| d.name.clone()).collect();
    let index = match name {
        Some(name) => known.iter().position(|d| d == name),
        None => (known.len() == 1).then_some(0),
    };
    let none = || StudyError::NoDivider { asked: name.map(str::to_owned), known: known.clone() };
    let index = index.ok_or_else(none)?;
    let (mut model, _) = complete(profile)?;
    let (outlet, _) = outlet::settle(profile, line)?;
    outlet.feed(&mut model);
    let receiver = Receiver::new(model, None)?;
    let base = receiver.run(outlet.usual_v, &Straight, None)?;
    let sketch = supply::dividers(&receiver, &base).into_iter().nth(index).ok_or_else(none)?;
    let joints = sketch.points.into_iter().enumerate();
    let names = joints.map(|(i, p)| p.own.unwrap_or_else(|| format!("joint {}", i + 1))).collect();
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
) -> Result<DividerStudy> {
    let points = stand.volts(ohms, None)?;
    let (from_v, to_v) = (points[0], points[ohms.len()]);
    let free = Alone { from_v, to_v, loads: Vec::new() }.volts(ohms, None)?;
    let arms = arms(ohms, &points, &free);
    let mut taps = Vec::new();
    for (i, name) in names.into_iter().enumerate() {
        let [above, below] = [&arms[i], &arms[i + 1]].map(|arm| arm.current_a);
        let takes_a = (from_v - to_v).signum() * (above - below);
        taps.push(Tap {
            name,
            volts_v: points[i + 1],
            free_v: free[i + 1],
            // what is left of two equal currents is rounding
            takes_a: if takes_a.abs() > 1e-6 * f64::max(above.abs(), below.abs()) {
                takes_a
            } else {
                0.0
            },
            looks_like_ohms: looks_like(ohms, i + 1)?,
        });
    }
    let taps_with = |ohms: &[f64]| -> Result<Vec<f64>, ReceiverError> {
        Ok(stand.volts(ohms, None)?.get(1..ohms.len()).unwrap_or_default().to_vec())
    };
    let mut rounded = Vec::new();
    for (series, kind) in SERIES {
        let nearest: Option<Vec<f64>> = ohms.iter().map(|r| nearest(kind, *r)).collect();
        // resistors within reach of a receiver have a neighbour in every series
        let Some(arms_ohms) = nearest else { continue };
        rounded.push(Rounded { taps_v: taps_with(&arms_ohms)?, series, arms_ohms });
    }
    let metered = meters.iter().map(|&meter| {
        let read = |upper, lower, volts| meter::read(stand, ohms, (upper, lower), meter, volts);
        let on_taps = taps.iter().enumerate().map(|(i, tap)| read(i + 1, None, tap.volts_v));
        let on_arms = arms.iter().enumerate().map(|(i, arm)| read(i, Some(i + 1), arm.volts_v));
        let (taps, arms) = (on_taps.collect::<Result<_, _>>()?, on_arms.collect::<Result<_, _>>()?);
        Ok(Metered { meter, taps, arms })
    });
    let metered = metered.collect::<Result<_, ReceiverError>>()?;
    let mut drifted = Vec::new();
    let which = (0..ohms.len()).map(Some).chain((ohms.len() > 1).then_some(None));
    for (arm, by) in which.flat_map(|arm| DRIFTS.map(|by| (arm, by))) {
        let grown = |(i, ohms): (usize, &f64)| {
            if arm.is_none_or(|a| a == i) { ohms * (1.0 + by) } else { *ohms }
        };
        let changed: Vec<f64> = ohms.iter().enumerate().map(grown).collect();
        drifted.push(Drifted { arm, by, taps_v: taps_with(&changed)? });
    }
    Ok(DividerStudy {
        cautions: Vec::new(),
        place: None,
        wanted: None,
        from_v,
        to_v,
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

/// The arms at work with `points` along them, and with nothing on the taps.
fn arms(ohms: &[f64], points: &[f64], free: &[f64]) -> Vec<Arm> {
    let arm = |(i, &ohms): (usize, &f64)| {
        let [volts, free] = [points, free].map(|points| points[i] - points[i + 1]);
        let heat = |volts| volts * volts / ohms;
        let most = f64::max(volts.abs(), free.abs());
        Arm {
            ohms,
            volts_v: volts,
            current_a: volts / ohms,
            heat_w: heat(volts),
            free_heat_w: heat(free),
            buy: Buy::choose(heat(most), most),
        }
    };
    ohms.iter().enumerate().map(arm).collect()
}

/// Resistance seen from a joint: one volt at the upper end alone, then halved by a resistance on the joint.
fn looks_like(ohms: &[f64], joint: usize) -> Result<f64, ReceiverError> {
    let bench = Alone { from_v: 1.0, to_v: 0.0, loads: Vec::new() };
    let load: f64 = ohms.iter().sum();
    let free = bench.volts(ohms, None)?[joint];
    let loaded = bench.volts(ohms, Some(Clip { upper: joint, lower: None, ohms: load }))?[joint];
    Ok(load * (free / loaded - 1.0))
}
