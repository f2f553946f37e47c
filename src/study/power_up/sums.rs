//! The sums of a power-up as one does them on paper, beside what the circuit gives.

use super::super::working::Term::{Figure, Number, Sign};
use super::super::working::Working;
use super::{MOST_RISE_K, PowerUp};

/// Warm copper over 1 °C of rise from a cold winding of `room_c`: 1/(234.5 + room), the hand form of IEC 60028's law.
const COPPER_C: f64 = 234.5;

/// The sums.
pub(super) fn of(power_up: &PowerUp, design_v: f64, room_c: f64) -> Vec<Working> {
    let mut list = Vec::new();
    let target = power_up.stages.last();
    // the last stage below the target that has its rectifier in and one figure for B+
    let below = power_up.stages.iter().rev().skip(1).find(|s| !s.two_sided && s.b_plus_v.is_some());
    if let (Some(target), Some(stage)) = (target, below) {
        let proportion = |what: &str, at_target: f64, solved: f64| {
            let terms = vec![
                Figure(at_target, "V"),
                Sign("×"),
                Figure(stage.variac_v, "V"),
                Sign("÷"),
                Figure(target.variac_v, "V"),
            ];
            Working::new(what, terms, at_target * stage.variac_v / target.variac_v, "V").beside(
                solved,
                "heaters fall in resistance as they cool, and bias follows the current",
            )
        };
        if let (Some(hot), Some(cool)) = (target.heaters.first(), stage.heaters.first()) {
            list.push(proportion("heaters one stage below the target", hot.volts_v, cool.volts_v));
        }
        if let (Some(hot), Some(cool)) = (target.b_plus_v, stage.b_plus_v) {
            list.push(proportion("B+ one stage below the target", hot.most, cool.most));
        }
    }
    if let Some(lamp) = power_up.lamp.and_then(|i| power_up.lamps.get(i)) {
        let set_ohms = design_v * design_v / power_up.set_w;
        let terms = vec![
            Figure(design_v, "V"),
            Sign("×"),
            Figure(design_v, "V"),
            Sign("÷"),
            Figure(power_up.set_w, "W"),
        ];
        list.push(Working::new("the set as a resistor", terms, set_ohms, "Ω"));
        let lamp_ohms = lamp.rated_v * lamp.rated_v / lamp.rated_w;
        let outlet = power_up.plan.outlet.usual_v;
        let terms = vec![
            Figure(outlet, "V"),
            Sign("÷"),
            Sign("("),
            Figure(set_ohms, "Ω"),
            Sign("+"),
            Figure(lamp_ohms, "Ω"),
            Sign(")"),
        ];
        list.push(
            Working::new("current with the lamp in, its filament as hot as rated", terms, outlet / (set_ohms + lamp_ohms), "A")
                .beside(lamp.amps, "the lamp gets less than its volts, is cooler, and has less resistance; and the set is no resistor"),
        );
        let terms = vec![Figure(lamp.rated_w, "W"), Sign("÷"), Figure(lamp.rated_v, "V")];
        list.push(
            Working::new(
                "current with the primary shorted, the lamp at its rated volts",
                terms,
                lamp.rated_w / lamp.rated_v,
                "A",
            )
            .beside(lamp.shorted_a, "the outlet is not at the lamp's rated volts"),
        );
    }
    let Some((cold, hot)) = power_up.primary_ohms else {
        return list;
    };
    let terms = vec![
        Figure(cold, "Ω"),
        Sign("×"),
        Sign("("),
        Number(COPPER_C),
        Sign("+"),
        Number(room_c),
        Sign("+"),
        Number(MOST_RISE_K),
        Sign(")"),
        Sign("÷"),
        Sign("("),
        Number(COPPER_C),
        Sign("+"),
        Number(room_c),
        Sign(")"),
    ];
    let by_hand = cold * (COPPER_C + room_c + MOST_RISE_K) / (COPPER_C + room_c);
    list.push(Working::new("primary copper at the most rise", terms, by_hand, "Ω").beside(hot, ""));
    list
}
