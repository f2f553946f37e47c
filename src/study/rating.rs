//! What a part that makes heat may stand, and where.

use super::Serialize;
use crate::{
    adaptation::{COOLEST_PLACE_C, Dropper, Part, RATING_MARGIN, UNDER_CHASSIS_C},
    profile::FittedPlace,
};

/// Hottest surface that wood near it bears, at work and in a fault, °C (IEC †).
const WOOD_C: f64 = 90.0;
const WOOD_IN_A_FAULT_C: f64 = 150.0;

/// What a part stands in, which says where it can stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Circuit {
    /// The line cord's hot wire.
    Cord,
    /// The heater string: a box in the cord has no wire of it.
    String,
    /// The rectifier's plate lead.
    PlateLead,
}

/// A place a resistor may be put.
struct Place {
    circuit: Circuit,
    /// What a profile calls it.
    stands: FittedPlace,
    name: &'static str,
    /// Air there with the set at work, °C (common practice, no source).
    ambient_c: f64,
    /// What it asks for; `None` where wood is near, and what that bears decides.
    rule: Option<&'static str>,
}

const PLACES: [Place; 6] = [
    Place {
        circuit: Circuit::Cord,
        stands: FittedPlace::Box,
        name: "grounded metal box in the line cord, ventilated",
        ambient_c: COOLEST_PLACE_C,
        rule: Some(
            "three-wire cord clamped at both ends, its ground wire bonded to the box and carried straight through; keep 25 mm clear inside",
        ),
    },
    Place {
        circuit: Circuit::Cord,
        stands: FittedPlace::Chassis,
        name: "on the chassis, 25 mm clear",
        ambient_c: UNDER_CHASSIS_C,
        rule: None,
    },
    Place {
        circuit: Circuit::Cord,
        stands: FittedPlace::Cabinet,
        name: "inside a wooden cabinet",
        ambient_c: 50.0,
        rule: None,
    },
    Place {
        circuit: Circuit::String,
        stands: FittedPlace::Box,
        name: "grounded metal box outside, its own three-wire cable",
        ambient_c: COOLEST_PLACE_C,
        rule: Some(
            "two wires of the cable go into the heater string and stand at line voltage; the third is the ground of the box and ends there",
        ),
    },
    Place {
        circuit: Circuit::String,
        stands: FittedPlace::Chassis,
        name: "on metal inside, above the chassis, ventilated",
        ambient_c: UNDER_CHASSIS_C,
        rule: None,
    },
    Place {
        circuit: Circuit::PlateLead,
        stands: FittedPlace::Chassis,
        name: "on a terminal strip under the metal chassis",
        ambient_c: UNDER_CHASSIS_C,
        rule: Some("keep wires and wax clear: it glows before it opens"),
    },
];

/// A part in a place.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PlaceReport {
    /// What a profile calls it.
    #[serde(skip)]
    #[cfg_attr(feature = "schema", schemars(skip))]
    pub stands: FittedPlace,
    /// Place.
    pub place: &'static str,
    /// Air there, °C.
    pub ambient_c: f64,
    /// What is left of the rating there, W.
    pub derated_w: f64,
    /// Heat at high line and worst tolerance over that, share.
    pub load: f64,
    /// Surface at high line, °C.
    pub surface_c: f64,
    /// Whether the place is suitable.
    pub acceptable: bool,
    /// Why or why not.
    pub rule: &'static str,
}

/// A part's rating.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RatingReport {
    /// Heat at high line and worst tolerance, W.
    pub worst_w: f64,
    /// Printed rating, W.
    pub rated_w: f64,
    /// Places.
    pub places: Vec<PlaceReport>,
}

impl RatingReport {
    /// What is left of the rating in the best place that will do, W; in the coolest place if none will.
    pub fn derated_w(&self) -> f64 {
        let best = self.places.iter().find(|p| p.acceptable);
        best.or(self.places.first()).map_or(0.0, |p| p.derated_w)
    }

    /// Rules out the places in which `watts`, held by the fuse for an hour, are more than what is left of the rating.
    /// The first place is judged by the faults themselves. Places where the surface of `part` would then be more than
    /// wood bears in a fault are ruled out too.
    pub(super) fn rule_out(&mut self, part: &Dropper, watts: f64) {
        for report in self.places.iter_mut().skip(1).filter(|p| p.acceptable) {
            let place = PLACES.iter().find(|place| place.name == report.place);
            let surface = part.surface_c(watts, report.ambient_c);
            let hot = surface.is_some_and(|c| c > WOOD_IN_A_FAULT_C);
            let why = if watts > report.derated_w {
                "a fault that the fuse may hold for an hour would burn it there"
            } else if hot && place.is_some_and(|place| place.rule.is_none()) {
                "in a fault that the fuse may hold for an hour it would be hotter than the 150 °C wood bears"
            } else {
                continue;
            };
            (report.acceptable, report.rule) = (false, why);
        }
    }

    /// Whether any place will do.
    pub fn has_place(&self) -> bool {
        self.places.iter().any(|p| p.acceptable)
    }
}

/// Rates `part` for `watts` of heat at high line, in the places that a part of that circuit can have; `None` for a resistor
/// of no known size.
pub fn rate(part: &Dropper, watts: f64, circuit: Circuit) -> Option<RatingReport> {
    let rated_w = part.rated_watts()?;
    let worst_w = watts * (1.0 + part.tolerances().first().map_or(0.0, |t| t.spread));
    let rated = |place: &Place| {
        let Place { name, ambient_c, rule, stands, .. } = *place;
        let derated_w = part.derated_watts(ambient_c)?;
        let surface_c = part.surface_c(worst_w, ambient_c)?;
        let margin = RATING_MARGIN * worst_w <= derated_w * (1.0 + 1e-9);
        Some(PlaceReport {
            stands,
            place: name,
            ambient_c,
            derated_w,
            load: worst_w / derated_w,
            surface_c,
            acceptable: margin && (rule.is_some() || surface_c <= WOOD_C),
            rule: match rule {
                _ if !margin => {
                    "too hot there: a resistor is loaded to half of its derated watts at the most"
                }
                Some(rule) => rule,
                None => {
                    "its surface may reach 90 °C† near wood (IEC); the wood itself stays below 75 °C"
                }
            },
        })
    };
    let places = PLACES.iter().filter(|place| place.circuit == circuit).filter_map(rated).collect();
    Some(RatingReport { worst_w, rated_w, places })
}
