//! One way to adapt a set, judged.

use super::{
    Band, Behind, ColdStart, Connect, Day, FaultReport, FuseReport, Objection, OtherFuse,
    RatingReport, Reading, Serialize, SignalReport,
};
use crate::adaptation::{Bought, Method, Station};

// in this order: the best first
/// How a choice came out.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// This one.
    Advised,
    /// Would do as well.
    #[default]
    Serves,
    /// There is a reason against it.
    Refused,
    /// It cannot reach the target.
    NotApplicable,
}

/// One way to adapt the set.
#[derive(Debug, Clone, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
// this crate's own tests make some by hand
#[cfg_attr(not(feature = "inside"), non_exhaustive)]
pub struct Choice {
    /// Short name.
    #[serde(rename = "id")]
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub method: Method,
    /// Title.
    pub title: &'static str,
    /// How it came out.
    pub standing: Standing,
    /// Name of the number solved for.
    pub unknown: Option<&'static str>,
    /// Its unit.
    pub unit: Option<&'static str>,
    /// The exact value that meets the target on the usual line.
    pub exact: Option<f64>,
    /// What the exact value gives there.
    pub exact_reading: Option<Reading>,
    /// The part to buy.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub part: Option<Bought>,
    /// Value of that part.
    pub part_value: Option<f64>,
    /// Watts it is rated for.
    pub part_rated_w: Option<f64>,
    /// Rated volts of its own primary, for a small transformer.
    pub part_primary_v: Option<f64>,
    /// How far the target is missed with it on the usual line, as a share; positive above.
    pub target_miss: Option<f64>,
    /// Readings with that part.
    pub day: Option<Day>,
    /// Where heaters and B+ will fall, all uncertainties taken together.
    pub band: Option<Band>,
    /// Heat, places, surface.
    pub rating: Option<RatingReport>,
    /// The part that goes with it.
    pub with: Option<WithPart>,
    /// Fuse for the line lead.
    pub fuse: Option<FuseReport>,
    /// The fuse of the outlet's country that it takes the place of, where that one would let a fault burn the part.
    pub instead_of: Option<OtherFuse>,
    /// Switch-on at high line.
    pub cold_start: Option<ColdStart>,
    /// Faults at high line.
    pub faults: Vec<FaultReport>,
    /// What to know about it whatever the figures say.
    pub caveat: Option<&'static str>,
    /// Reasons against it.
    pub objections: Vec<Objection>,
    /// Why it does not apply.
    pub not_applicable: Option<String>,
    /// For a step transformer or a tap with a part: what it gives by itself, and what remains to be fitted behind it.
    pub behind: Option<Behind>,
    /// What the hot wire meets, from the plug on.
    pub hot_wire: &'static [Station],
    /// What to measure before the set is connected to a part in the line cord.
    pub connect: Option<Connect>,
    /// At rest, at full output and with a strong station; `None` where nothing swings.
    pub signal: Option<SignalReport>,
}

/// A part that goes with another: the resistor in the rectifier's plate lead beside the dropper of a heater string.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct WithPart {
    /// The part to buy, and where it goes.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub part: Bought,
    /// Its value, Ω.
    pub value: f64,
    /// Ohms of the set's own part that comes out for it.
    pub in_place_of: Option<f64>,
    /// Heat, places, surface.
    pub rating: Option<RatingReport>,
}

impl Choice {
    /// Gives nothing that a connection straight to the outlet would need, and says why, `ratio` being what the outlet
    /// is over what the set was made for.
    pub(super) fn withhold(&mut self, ratio: f64) {
        self.objections.insert(0, Objection::Straight { excess: ratio - 1.0 });
        self.standing = Standing::Refused;
        (self.fuse, self.cold_start) = (None, None);
        self.faults.clear();
    }

    /// Whether it is solved and nothing speaks against it.
    pub(super) fn serves(&self) -> bool {
        self.day.is_some() && self.objections.is_empty()
    }

    /// Whether all that speaks against it is that it brings the heaters little nearer to their rating.
    pub fn only_gains_little(&self) -> bool {
        let little = |o: &Objection| matches!(o, Objection::LittleGain { gain } if *gain >= 0.0);
        !self.objections.is_empty() && self.objections.iter().all(little)
    }

    /// Why it does not apply, or the first reason against it.
    pub(super) fn first_reason(&self) -> Option<String> {
        self.not_applicable.clone().or(self.objections.first().map(ToString::to_string))
    }

    /// Each part that is rated in watts, with its rating.
    pub fn ratings(&self) -> impl Iterator<Item = (&Bought, &RatingReport)> {
        let with = self.with.as_ref().and_then(|w| Some((&w.part, w.rating.as_ref()?)));
        let behind = self.behind.as_ref().and_then(|b| b.part.as_ref());
        behind.or(self.part.as_ref()).zip(self.rating.as_ref()).into_iter().chain(with)
    }
}
