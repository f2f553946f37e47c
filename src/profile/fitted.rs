//! What was fitted for the outlet's sake, how the set was left with it, and what later visits read.

use super::{
    cursor::Cursor,
    declare::{List, Sound, choice, form, keys},
    parts::{OwnResistor, OwnTransformer, PresentFuse},
    readings::ReadingSet,
    values::MainsVolts,
};
use crate::{
    catalogue::stock::ResistorSize,
    quantity::{Current, Resistance, Voltage},
};
use jiff::civil::Date;

/// Visits that a profile may have.
pub const MOST_VISITS: usize = 40;

keys! {
    /// What was fitted for the outlet voltage and stands in the set or its line cord now; the other sections describe the set
    /// without it
    pub struct Fitted {
        /// What it is, by the name that a plan gives the choice
        kind "choice": FittedKind,
        /// The resistor, in the line cord or in the heater string: as it is marked, or as it was measured
        resistor: Sound<OwnResistor>,
        /// The surge resistor that went in with a dropper in the heater string; absent: the set's own stayed
        surge_resistor: Sound<OwnResistor>,
        /// The transformer: its `current` is that of its secondary
        transformer: Sound<OwnTransformer>,
        /// The tap of the primary that is connected now; `set: design_line:` stays the tap that was connected before
        tap: Sound<MainsVolts>,
        /// Where it stands; absent: nothing is said of its place
        place: Sound<FittedPlace>,
        /// The line fuse that is in now; absent: that of `fuse:`
        fuse: Sound<PresentFuse>,
        /// Day on which it was fitted, and on which `as_left` was read; absent: not told
        date: Sound<Day>,
    }
    wanted &["choice"];
    example "{ choice: series-resistor, resistor: { value: 22 Ω, rating: 50 W }, date: 2026-11-20 }";
    => Fitted: complete;
}

/// A resistor: ohms, size.
pub type SizedResistor = (Resistance, ResistorSize);

/// A small transformer: primary volts, secondary volts, its amperes.
pub type SmallTransformer = (Voltage, Voltage, Current);

choice! {
    /// What was fitted
    pub enum FittedKind {
        /// Another tap of its own primary
        Tap = "tap",
        /// A resistor in the heater string
        HeaterDropper = "heater-dropper",
        /// A power resistor in the line cord
        SeriesResistor = "series-resistor",
        /// A bucking transformer, its primary on the outlet
        BuckingOutlet = "bucking-outlet",
        /// A bucking transformer, its primary on the set
        BuckingSet = "bucking-set",
        /// A boosting transformer, its primary on the outlet
        BoostOutlet = "boost-outlet",
        /// A boosting transformer, its primary on the set
        BoostSet = "boost-set",
        /// A step-down transformer
        StepDown = "step-down",
        /// A step-up transformer
        StepUp = "step-up",
    }
    "is nothing that stays in a set"
}

impl FittedKind {
    /// The key that says which part it is.
    fn part(self) -> &'static str {
        match self {
            FittedKind::Tap => "tap",
            FittedKind::HeaterDropper | FittedKind::SeriesResistor => "resistor",
            FittedKind::BuckingOutlet
            | FittedKind::BuckingSet
            | FittedKind::BoostOutlet
            | FittedKind::BoostSet
            | FittedKind::StepDown
            | FittedKind::StepUp => "transformer",
        }
    }
}

choice! {
    /// Where a part stands
    pub enum FittedPlace {
        /// In a grounded metal box outside the cabinet
        Box = "box",
        /// On the chassis, or on metal above it
        Chassis = "chassis",
        /// On the wood of the cabinet, inside
        Cabinet = "cabinet",
    }
    "is no place for a part"
}

form! {
    /// A day: year, month, day
    Day as "Date" -> Date = { "type": "string", "pattern": r"^\s*[0-9]{4}-[0-9]{2}-[0-9]{2}\s*$", "examples": ["2026-11-20"] },
    |at| at.parsed(
        |text| text.trim().parse().ok().filter(|_| text.trim().len() == "2026-11-20".len()),
        "is not a date",
        "write year, month and day, such as 2026-11-20",
    )
}

keys! {
    /// A later visit to the set
    pub struct Visit {
        /// Day
        date: Day,
        /// What a meter showed, one item for each setting of the line, as under `as_left`
        readings: List<ReadingSet>,
    }
    example "{ date: 2029-03-02, readings: [{ at_line: 121.4 V, B+: 241 V }] }";
}

/// Exactly the part that the choice asks for.
fn complete(fitted: Fitted, at: &Cursor<'_>) -> Option<Fitted> {
    let wanted = fitted.kind.part();
    let parts = [
        ("resistor", fitted.resistor.is_some()),
        ("transformer", fitted.transformer.is_some()),
        ("tap", fitted.tap.is_some()),
    ];
    if !parts.iter().any(|(key, there)| *key == wanted && *there) {
        let write = match wanted {
            "resistor" => "add `resistor: { value: 22 Ω, rating: 50 W }`",
            "tap" => "add the tap that is connected now, such as `tap: 125 V`",
            _ => "add `transformer: { primary: 120 V, secondary: 12.6 V, current: 2 A }`",
        };
        return at.refuse(format!("which {wanted} is fitted is not said"), write);
    }
    let other = parts.iter().find(|(key, there)| *key != wanted && *there);
    if let Some((key, _)) = other {
        at.below(key).fail_key(
            format!("this choice fits no {key}"),
            format!("leave `{key}:` out, or name the choice that fits it"),
        );
        return None;
    }
    if fitted.surge_resistor.is_some() && fitted.kind != FittedKind::HeaterDropper {
        at.below("surge_resistor").fail_key(
            "a surge resistor goes in with a dropper in the heater string",
            "write it under `rectifier:`, or leave it out",
        );
        return None;
    }
    if fitted.place == Some(FittedPlace::Cabinet) && fitted.kind == FittedKind::HeaterDropper {
        return at.below("place").refuse(
            "a dropper of a heater string stands in a box outside or on metal inside",
            "write `box` or `chassis`",
        );
    }
    Some(fitted)
}
