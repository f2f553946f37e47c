//! The sums of a power-up as one does them on paper, beside what the circuit gives.

use super::{lamp::LampTrial, stage::Stage};
use crate::{
    adaptation::Stands,
    receiver::thermal::copper_ohms,
    study::{
        Working,
        working::{number, ohms, volts, watts},
    },
};

/// Rise of a winding over the room by its resistance that is borne, K (65 K of old American practice for class A
/// insulation †).
pub const MOST_RISE_K: f64 = 65.0;
/// Warm copper over 1 °C of rise from a cold winding of `room_c`: 1/(234.5 + room), the hand form of IEC 60028's law.
const COPPER_C: f64 = 234.5;

/// Copper of `cold` ohms at `room_c` at the most rise, Ω.
pub fn hot_ohms(cold: f64, room_c: f64) -> f64 {
    cold * copper_ohms(1.0, room_c + MOST_RISE_K) / copper_ohms(1.0, room_c)
}

/// Heaters and B+ of the stage below the last, from those of the last.
pub fn proportions(stages: &[Stage]) -> Vec<Working> {
    // behind a part in the lead the set's own volts count; on another tap or with a dropper it is another set
    let same = |s: &&Stage| s.through.is_none_or(|m| m.facts().stands == Stands::InLead);
    // the last stage below the target that has its rectifier in and one figure for B+
    let below = |s: &&Stage| !s.two_sided && s.b_plus_v.is_some();
    let Some((target, stage)) =
        stages.last().filter(same).zip(stages.iter().rev().skip(1).find(below))
    else {
        return Vec::new();
    };
    let proportion = |what, (at_target, solved): (f64, f64)| {
        let sum = volts(at_target) * volts(stage.set_v.most) / volts(target.set_v.most);
        Working::new(what, sum, "V")
            .beside(solved, "heaters fall in resistance as they cool, and bias follows the current")
    };
    let heaters = [target, stage].map(|s| s.heaters.first().map(|h| h.volts_v));
    let b_plus = [target, stage].map(|s| s.b_plus_v.map(|v| v.most));
    let sums =
        [("heaters one stage below the last", heaters), ("B+ one stage below the last", b_plus)];
    sums.into_iter()
        .filter_map(|(what, [hot, cool])| Some(proportion(what, hot.zip(cool)?)))
        .collect()
}

/// The lamp and a set of `set_w` as resistors, on a bench fed with `feed_v`.
pub fn lamp(lamp: &LampTrial, design_v: f64, set_w: f64, feed_v: f64) -> [Working; 3] {
    let set = volts(design_v) * volts(design_v) / watts(set_w);
    let lit = volts(feed_v) / (ohms(set.value) + ohms(lamp.rated_v * lamp.rated_v / lamp.rated_w));
    let shorted = watts(lamp.rated_w) / volts(lamp.rated_v);
    [
        Working::new("the set as a resistor", set, "Ω"),
        Working::new("current with the lamp in, its filament as hot as rated", lit, "A").beside(
            lamp.amps,
            "the lamp gets less than its voltage, is cooler, and has less resistance; and the set is no resistor",
        ),
        Working::new("current with the primary shorted, the lamp at its rated voltage", shorted, "A")
            .beside(lamp.shorted_a, "the outlet is not at the lamp's rated voltage"),
    ]
}

/// Copper of the primary, cold and at the most rise.
pub fn copper(cold: f64, hot: f64, room_c: f64) -> Working {
    let room = number(COPPER_C) + number(room_c);
    let sum = ohms(cold) * (room.clone() + number(MOST_RISE_K)) / room;
    Working::new("primary copper at the most rise", sum, "Ω").beside(hot, "")
}
