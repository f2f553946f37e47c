//! What it means where a meter shows something else than a sound set gives, point by point and taken together. By Ohm's law,
//! and by what in a set usually gives way (common practice, no source).

use super::{Measure, What, sentences::sentences};
use crate::adaptation::Method;

/// A point that is off, and by what share.
pub type Shift = (Measure, f64);

sentences! {
    /// What is most likely behind readings that are off.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
    pub enum Meaning {
        /// The set stands on the wrong side of the outlet's voltage.
        Reversed => "the small transformer works the other way: its secondary is reversed; switch off, swap its two wires, and test it again before you connect the set",
        /// All have moved alike.
        LineMisread => "all readings have moved by the same share: the line was not what was written; read it again",
        /// As much as belongs there, below zero.
        ProbesTurned => "as far below zero as it should stand above: the probes were the other way round, or the minus is a slip; read it again",
        /// Ten times what belongs there, or a tenth.
        PointMoved => "ten times what belongs there, or a tenth: see where the point stands on the meter and in the profile, and read it again",
        /// A cathode is near chassis.
        CathodeDead => "a cathode stands near chassis: its bypass capacitor is shorted, or its tube is dead; switch off, and measure across its resistor with the set unplugged",
        /// A heater of a string is near nothing.
        HeaterShorted => "a heater, or what lies across it, is shorted, and the others of the string get more than they bear: switch off",
        /// The set gets more volts.
        LessLost => "less is lost on the way to the set: see whether the part is the one that is marked, and whether anything bridges it",
        /// It gets fewer.
        MoreLost => "more is lost on the way to the set: measure the part, its joints, the switch and the fuse holder",
        /// Heaters alone are high.
        HeaterUnloaded => "the winding carries less than was described: a tube or a lamp out, or a lamp of another type",
        /// Heaters alone are low.
        HeaterLoaded => "a joint, a socket pin or a lamp: measure at the tube's own pins, and see what hangs on the winding",
        /// A heater of a string is high.
        StringHigh => "more than its share of the string: another heater or the dropper is shorted or of too few ohms, or this heater is not of its type",
        /// A heater of a string is low.
        StringLow => "less than its share of the string: the dropper or the cord is of too many ohms, or this heater is not of its type",
        /// B+ is low and less flows.
        SupplyWeak => "the supply gives less and less is drawn from it: a tired rectifier, or a first filter capacitor that has lost its value",
        /// B+ is low and more flows.
        DrawsMore => "more is drawn: a leaking filter or coupling capacitor, a drifted bias resistor, or a gassy output tube; do not leave it running",
        /// B+ is high and less flows.
        DrawsLess => "less is drawn: a tired output tube, or an open screen resistor",
        /// B+ is low, and nothing else was read that tells why.
        SupplyLow => "the supply gives less or more is drawn from it: read the drop across the coil or the filter resistor to tell which",
        /// B+ is high, and nothing else.
        SupplyHigh => "less is drawn: read the cathodes to find which tube",
        /// More current in a cathode.
        TubeMore => "this tube draws more: a leaking coupling capacitor at its grid, a drifted resistor, or gas",
        /// Less.
        TubeLess => "this tube draws less: its emission falls, or its screen gets less",
        /// More drop with the same B+.
        DropMore => "more current flows there, or its ohms have grown",
        /// Less drop.
        DropLess => "less current flows there, or its ohms have fallen",
        /// A tap or an electrode is high.
        TapHigh => "a resistor of this chain or feed has drifted, or less is drawn at the tap",
        /// A tap or an electrode is low.
        TapLow => "a resistor of this chain or feed has drifted, or a bypass capacitor leaks",
        /// More current from the line.
        LineMore => "the set takes more from the line: what leaks or is shorted gets warm; switch off if it goes on rising",
        /// Less.
        LineLess => "the set takes less from the line: a tube that does not draw",
    }
}

/// Of what readings mean `together`, else of what `each` means, that for which the set must not be left on.
pub fn stop(together: Option<Meaning>, mut each: impl Iterator<Item = Meaning>) -> Option<Meaning> {
    match together {
        Some(meaning) => Some(meaning).filter(|meaning| meaning.stops()),
        None => each.find(|meaning| meaning.stops()),
    }
}

/// Share below which what is left of a reading is next to nothing (own judgement).
const COLLAPSED: f64 = -0.7;
/// A reading so far beyond nothing is one with the wrong sign (own judgement).
const TURNED: f64 = -1.3;
/// Shares by which a point one place off moves a reading, and how near to them it must be.
const TENFOLD: [f64; 2] = [9.0, -0.9];
const NEAR_TENFOLD: f64 = 0.05;
/// Readings that have all moved lie within this of each other where the line alone was misread, and beyond this of nothing.
const ALIKE: f64 = 0.015;
const MOVED: f64 = 0.01;
/// Readings from which that is told.
const MANY: usize = 3;

impl Meaning {
    /// Whether the set must not be left on.
    fn stops(self) -> bool {
        matches!(
            self,
            Meaning::Reversed
                | Meaning::DrawsMore
                | Meaning::CathodeDead
                | Meaning::HeaterShorted
                | Meaning::TubeMore
        )
    }
}

/// Whether one of them is next to nothing, so that no small change of a part explains it.
pub fn collapsed(shifts: &[Shift]) -> bool {
    shifts.iter().any(|(_, share)| *share < COLLAPSED)
}

/// Whether a small transformer of `method` stands the wrong way round where `set_v` was read behind it on `line_v`.
pub fn reversed(method: Method, set_v: f64, line_v: f64) -> bool {
    let facts = method.facts();
    facts.bucks && set_v > line_v * (1.0 + MOVED) || facts.boosts && set_v < line_v * (1.0 - MOVED)
}

/// Whether all of so many have moved alike.
pub fn alike(all: &[Shift]) -> bool {
    let shares = || all.iter().map(|(_, share)| *share);
    let (low, high) = (shares().fold(f64::MAX, f64::min), shares().fold(f64::MIN, f64::max));
    all.len() >= MANY && high - low < ALIKE && (low > MOVED || high < -MOVED)
}

/// What one point says by itself; `string` where it is read at a heater of a string.
pub fn of_point((measure, share): Shift, string: bool) -> Option<Meaning> {
    let tenfold = |moved: &f64| ((1.0 + share) / (1.0 + moved) - 1.0).abs() < NEAR_TENFOLD;
    let (up, down) = match measure.what {
        _ if share < TURNED => return Some(Meaning::ProbesTurned),
        What::Cathode if share < COLLAPSED => return Some(Meaning::CathodeDead),
        What::Heater if string && share < COLLAPSED => return Some(Meaning::HeaterShorted),
        _ if TENFOLD.iter().any(tenfold) => return Some(Meaning::PointMoved),
        What::Set => (Meaning::LessLost, Meaning::MoreLost),
        What::Heater if string => (Meaning::StringHigh, Meaning::StringLow),
        What::Heater => (Meaning::HeaterUnloaded, Meaning::HeaterLoaded),
        What::BPlus
        | What::Reservoir
        | What::SecondBPlus
        | What::SecondReservoir
        | What::Capacitor => (Meaning::SupplyHigh, Meaning::SupplyLow),
        What::CoilDrop | What::ResistorDrop | What::MainsResistor => {
            (Meaning::DropMore, Meaning::DropLess)
        }
        What::Cathode => (Meaning::TubeMore, Meaning::TubeLess),
        What::Tap | What::Plate | What::Screen => (Meaning::TapHigh, Meaning::TapLow),
        What::PrimaryCurrent | What::LineCurrent | What::LinePower => {
            (Meaning::LineMore, Meaning::LineLess)
        }
        // no meter is put to these, or none in a profile
        What::Ripple
        | What::SecondRipple
        | What::CoilTemperature
        | What::ResistorHeat
        | What::TransformerLoss
        | What::TransformerTemperature
        | What::Magnetizing
        | What::LeadPower
        | What::CrestFactor
        | What::DcCurrent
        | What::SecondDcCurrent
        | What::Bias
        | What::PlateCurrent
        | What::PlatePower => return None,
    };
    Some(if share > 0.0 { up } else { down })
}

/// What the points that are off say together; nothing where they are no more than each by itself.
pub fn together(shifts: &[Shift]) -> Option<Meaning> {
    let dead = |(m, share): &Shift| m.what == What::Cathode && (TURNED..COLLAPSED).contains(share);
    if shifts.iter().any(dead) {
        return Some(Meaning::CathodeDead);
    }
    if collapsed(shifts) {
        return None;
    }
    let moved = |whats: &[What]| {
        let found = shifts.iter().find(|(m, _)| whats.contains(&m.what));
        found.map(|(_, share)| *share > 0.0)
    };
    let set = moved(&[What::Set]);
    let heater = moved(&[What::Heater]);
    let supply = moved(&[What::BPlus, What::Reservoir, What::Capacitor]);
    let drawn = moved(&[What::CoilDrop, What::ResistorDrop, What::Cathode]);
    match (set.or(heater.filter(|up| supply == Some(*up))), supply, drawn) {
        // all goes with the volts at the set
        (Some(true), ..) => Some(Meaning::LessLost),
        (Some(false), ..) => Some(Meaning::MoreLost),
        (None, Some(false), Some(false)) => Some(Meaning::SupplyWeak),
        (None, Some(false), Some(true)) => Some(Meaning::DrawsMore),
        (None, Some(true), Some(false)) => Some(Meaning::DrawsLess),
        (None, Some(true), Some(true)) | (None, Some(_), None) | (None, None, _) => None,
    }
}
