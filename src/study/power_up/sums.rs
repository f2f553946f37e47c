//! The sums of a power-up as one does them on paper, beside what the circuit gives.

use super::{MOST_RISE_K, PowerUp, Stage};
use crate::{
    adaptation::Stands,
    study::{
        Working,
        working::{number, ohms, volts, watts},
    },
};

/// Warm copper over 1 °C of rise from a cold winding of `room_c`: 1/(234.5 + room), the hand form of IEC 60028's law.
const COPPER_C: f64 = 234.5;

/// The sums.
pub(super) fn of(power_up: &PowerUp, design_v: f64, room_c: f64) -> Vec<Working> {
    let mut list = Vec::new();
    // behind a part in the lead the set's own volts count; on another tap or with a dropper it is another set
    let same = |s: &&Stage| s.through.is_none_or(|m| m.facts().stands == Stands::InLead);
    let target = power_up.stages.last().filter(same);
    // the last stage below the target that has its rectifier in and one figure for B+
    let below = power_up.stages.iter().rev().skip(1).find(|s| !s.two_sided && s.b_plus_v.is_some());
    if let (Some(target), Some(stage)) = (target, below) {
        let proportion = |what: &str, at_target: f64, solved: f64| {
            let sum = volts(at_target) * volts(stage.set_v.most) / volts(target.set_v.most);
            Working::new(what, sum, "V").beside(
                solved,
                "heaters fall in resistance as they cool, and bias follows the current",
            )
        };
        if let (Some(hot), Some(cool)) = (target.heaters.first(), stage.heaters.first()) {
            list.push(proportion("heaters one stage below the last", hot.volts_v, cool.volts_v));
        }
        if let (Some(hot), Some(cool)) = (target.b_plus_v, stage.b_plus_v) {
            list.push(proportion("B+ one stage below the last", hot.most, cool.most));
        }
    }
    if let Some(lamp) = power_up.lamp.and_then(|i| power_up.lamps.get(i)) {
        let set = volts(design_v) * volts(design_v) / watts(power_up.set_w);
        let set_ohms = ohms(set.value);
        list.push(Working::new("the set as a resistor", set, "Ω"));
        let lamp_ohms = ohms(lamp.rated_v * lamp.rated_v / lamp.rated_w);
        let lit = volts(power_up.feed_v) / (set_ohms + lamp_ohms);
        list.push(Working::new("current with the lamp in, its filament as hot as rated", lit, "A").beside(
            lamp.amps,
            "the lamp gets less than its volts, is cooler, and has less resistance; and the set is no resistor",
        ));
        let what = "current with the primary shorted, the lamp at its rated volts";
        let shorted = Working::new(what, watts(lamp.rated_w) / volts(lamp.rated_v), "A");
        list.push(shorted.beside(lamp.shorted_a, "the outlet is not at the lamp's rated volts"));
    }
    let Some((cold, hot)) = power_up.primary_ohms else {
        return list;
    };
    let room = number(COPPER_C) + number(room_c);
    let in_lead = power_up.lead_ohms;
    let sum = ohms(cold - in_lead) * (room.clone() + number(MOST_RISE_K)) / room;
    let sum = Working::new("primary copper at the most rise", sum, "Ω");
    list.push(sum.beside(hot - in_lead, ""));
    list
}
