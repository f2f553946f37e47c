//! What a part that makes heat may stand, and where.

use crate::adaptation::{Dropper, Part, UNDER_CHASSIS_C};
use schemars::JsonSchema;
use serde::Serialize;

/// A place a resistor may be put.
struct Place {
    name: &'static str,
    /// Air there with the set at work, °C (common practice, no source).
    ambient_c: f64,
    /// True where wood is near.
    near_wood: bool,
    /// Why.
    rule: &'static str,
}

/// Hottest surface that wood near it bears, at work and in a fault, °C (IEC †).
const WOOD_C: f64 = 90.0;
const WOOD_IN_A_FAULT_C: f64 = 150.0;

/// What a part stands in, which says where it can stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Circuit {
    /// The line cord's hot wire.
    Cord,
    /// The heater string: a box in the cord has no wire of it.
    String,
    /// The rectifier's plate lead.
    PlateLead,
}

const WOOD_RULE: &str = "90 °C† is what wood nearby bears (IEC)";

const PLACES: [(Circuit, Place); 6] = [
    (
        Circuit::Cord,
        Place {
            name: "grounded metal box in the line cord, ventilated",
            ambient_c: crate::adaptation::COOLEST_PLACE_C,
            near_wood: false,
            rule: "three-wire cord clamped at both ends, its ground wire bonded to the box and carried straight through; keep 25 mm clear inside",
        },
    ),
    (
        Circuit::Cord,
        Place {
            name: "on the chassis, 25 mm clear",
            ambient_c: UNDER_CHASSIS_C,
            near_wood: true,
            rule: WOOD_RULE,
        },
    ),
    (
        Circuit::Cord,
        Place {
            name: "inside a wooden cabinet",
            ambient_c: 50.0,
            near_wood: true,
            rule: WOOD_RULE,
        },
    ),
    (
        Circuit::String,
        Place {
            name: "grounded metal box outside, its own three-wire cable",
            ambient_c: crate::adaptation::COOLEST_PLACE_C,
            near_wood: false,
            rule: "two wires of the cable go into the heater string and stand at line voltage; the third is the ground of the box and ends there",
        },
    ),
    (
        Circuit::String,
        Place {
            name: "on metal inside, above the chassis, ventilated",
            ambient_c: UNDER_CHASSIS_C,
            near_wood: true,
            rule: WOOD_RULE,
        },
    ),
    (
        Circuit::PlateLead,
        Place {
            name: "on a terminal strip under the metal chassis",
            ambient_c: UNDER_CHASSIS_C,
            near_wood: false,
            rule: "keep wires and wax clear: it glows before it opens",
        },
    ),
];

/// A part in a place.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PlaceReport {
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
    /// Whether the place will do.
    pub acceptable: bool,
    /// Why or why not.
    pub rule: &'static str,
}

/// A part's rating.
#[derive(Debug, Clone, Serialize, JsonSchema)]
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
            let near_wood = PLACES.iter().any(|(_, p)| p.name == report.place && p.near_wood);
            let surface = part.surface_c(watts, report.ambient_c);
            if watts > report.derated_w {
                report.acceptable = false;
                report.rule = "a fault that the fuse may hold for an hour would burn it there";
            } else if near_wood && surface.is_some_and(|c| c > WOOD_IN_A_FAULT_C) {
                report.acceptable = false;
                report.rule = "in a fault that the fuse may hold for an hour it would be hotter than the 150 °C wood bears";
            }
        }
    }

    /// Whether any place will do.
    pub fn has_place(&self) -> bool {
        self.places.iter().any(|p| p.acceptable)
    }
}

/// Rates `part` for `watts` of heat at high line, in the places that a part of that circuit can have; `None` for a resistor
/// of no known size.
pub(super) fn rate(part: &Dropper, watts: f64, circuit: Circuit) -> Option<RatingReport> {
    let rated_w = part.rated_watts()?;
    let tolerance = part.tolerances().first().map_or(0.0, |t| t.spread);
    let worst_w = watts * (1.0 + tolerance);
    let places = PLACES
        .iter()
        .filter(|(of, _)| *of == circuit)
        .filter_map(|(_, place)| {
            let derated_w = part.derated_watts(place.ambient_c)?;
            let surface_c = part.surface_c(worst_w, place.ambient_c)?;
            let load = worst_w / derated_w;
            let cool = !place.near_wood || surface_c <= WOOD_C;
            let margin = crate::adaptation::RATING_MARGIN * worst_w <= derated_w * (1.0 + 1e-9);
            Some(PlaceReport {
                place: place.name,
                ambient_c: place.ambient_c,
                derated_w,
                load,
                surface_c,
                acceptable: cool && margin,
                rule: if !margin {
                    "less than twice the watts at high line are left of its rating there"
                } else {
                    place.rule
                },
            })
        })
        .collect();
    Some(RatingReport { worst_w, rated_w, places })
}
