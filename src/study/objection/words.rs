//! What speaks against a choice, in words: figure and limit of each.

use crate::{
    study::{HEATER_AT_HIGH, HEATER_GOOD, HEATER_LIMIT, Objection},
    text::{figure, high_or_low},
};
use std::fmt;

impl fmt::Display for Objection {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&words(self))
    }
}

fn words(objection: &Objection) -> String {
    let whole = |share: f64| format!("{:.0} %", 100.0 * share);
    let tenths = |share: f64| format!("{:.1} %", 100.0 * share);
    match objection {
        Objection::Straight { excess } => format!(
            "the outlet is {} above what the set was made for, too much to plug it in bare",
            tenths(*excess)
        ),
        Objection::HeatersAtUsual { excess } => {
            let (off, most) = (high_or_low(*excess), whole(HEATER_GOOD));
            format!("heaters {off} on the usual line, more than {most}")
        }
        Objection::HeatersThroughTheDay { outlet_v, excess } => {
            let (off, most) = (high_or_low(*excess), whole(HEATER_AT_HIGH));
            format!("heaters {off} at {outlet_v:.0} V, more than {most}")
        }
        Objection::LimitPassed { what, value, limit, unit, outlet_v } => {
            let [value, limit] = [value, limit].map(|v| figure(*v, unit));
            format!("{what} {value} at {outlet_v:.0} V, limit {limit}")
        }
        Objection::NoSize { watts_w } => format!(
            "it loses {watts_w:.0} W, and no stock resistor bears that with a margin together with what the fuse may let pass for an hour"
        ),
        Objection::LittleGain { gain } if *gain < 0.0 => {
            format!("it takes the heaters {} farther from their rating", tenths(-gain))
        }
        Objection::LittleGain { gain } => format!(
            "it brings the heaters {} nearer to their rating, too little for a part",
            tenths(*gain)
        ),
        Objection::SagsWithSignal { fall } => {
            let fall = tenths(*fall);
            format!("at full output the set draws more, and its heaters fall by {fall}")
        }
        Objection::RaisedTooFar { set_v, most_v, outlet_v } => format!(
            "the set would get {set_v:.0} V when the outlet stands at {outlet_v:.0} V, more than {most_v:.0} V"
        ),
        Objection::Band { excess, uncertain } => {
            let (off, own, most) = (high_or_low(*excess), tenths(*uncertain), whole(HEATER_LIMIT));
            format!("heaters may be {off}, ±{own} of it the part's own: outside ±{most}")
        }
        Objection::NoPlace { watts_w, rated_w } => format!(
            "{watts_w:.1} W at worst in a {rated_w:.0} W part: less than twice that is left of its rating in any place"
        ),
        Objection::OutsideLaw { amps, low, high } => format!(
            "the set's {amps:.2} A lies outside the {low:.2} to {high:.2} A the part is known for"
        ),
        Objection::HeldAbovePart { held_a, part_a } => {
            format!("the fuse may hold {held_a:.2} A for an hour, the part bears {part_a:.1} A")
        }
        Objection::FaultBurns { fault, fuse_a, line_a, watts_w, allowed_w } => format!(
            "{fault}: {line_a:.2} A through a {fuse_a} A fuse puts {watts_w:.0} W into a part that bears {allowed_w:.0} W; take a larger rating, a smaller fuse or a bucking transformer"
        ),
        Objection::FaultUnsolved { fault } => format!(
            "{fault}: the calculation did not converge, and counts as a fault the part does not survive"
        ),
        Objection::NoFuse { running_a } => format!("no standard small fuse suits {running_a:.2} A"),
        Objection::PrimaryVolts { primary_v, outlet_v } => format!(
            "its own {primary_v:.0} V primary gets more than 10 % too much on {outlet_v:.0} V"
        ),
        Objection::TooSmall { va, watts_w } => format!(
            "the transformer is of {va:.0} VA, and the set takes {watts_w:.0} W: take twice that at the least"
        ),
        Objection::MissesTarget { share } => {
            format!("it misses the target: {} of it", high_or_low(*share))
        }
        Objection::RoughFigures => {
            "its law is rough: look at its maker's sheet, and measure, before one is fitted"
                .to_owned()
        }
        Objection::LineCord => {
            "it leaves the old resistance wire of the line cord in use".to_owned()
        }
        Objection::BenchOnly => "a tool for the bench, not to be left in".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::Objection;
    use crate::study::FaultCase;

    /// A test for each: what it says is what a reader gets in a plan and in its JSON.
    #[test]
    fn every_objection_is_told() {
        let fault = FaultCase::Partial;
        let limit = Objection::LimitPassed {
            what: "B+".to_owned(),
            value: 320.0,
            limit: 300.0,
            unit: "V",
            outlet_v: 123.0,
        };
        let told = [
            (Objection::Straight { excess: 0.3 }, "the outlet is 30.0 % above"),
            (
                Objection::HeatersAtUsual { excess: 0.071 },
                "heaters 7.1 % high on the usual line, more than 5 %",
            ),
            (
                Objection::HeatersThroughTheDay { outlet_v: 127.0, excess: 0.13 },
                "heaters 13.0 % high at 127 V, more than 12 %",
            ),
            (limit, "B+ 320 V at 123 V, limit 300 V"),
            (Objection::NoSize { watts_w: 40.0 }, "it loses 40 W"),
            (Objection::LittleGain { gain: -0.01 }, "it takes the heaters 1.0 % farther"),
            (Objection::LittleGain { gain: 0.01 }, "it brings the heaters 1.0 % nearer"),
            (
                Objection::SagsWithSignal { fall: 0.02 },
                "at full output the set draws more, and its heaters fall by 2.0 %",
            ),
            (
                Objection::RaisedTooFar { set_v: 130.0, most_v: 127.0, outlet_v: 127.0 },
                "the set would get 130 V",
            ),
            (
                Objection::Band { excess: -0.12, uncertain: 0.03 },
                "heaters may be 12.0 % low, ±3.0 % of it the part's own: outside ±10 %",
            ),
            (Objection::NoPlace { watts_w: 12.0, rated_w: 25.0 }, "12.0 W at worst in a 25 W part"),
            (
                Objection::OutsideLaw { amps: 0.5, low: 0.6, high: 1.0 },
                "the set's 0.50 A lies outside the 0.60 to 1.00 A",
            ),
            (
                Objection::HeldAbovePart { held_a: 1.2, part_a: 1.0 },
                "the fuse may hold 1.20 A for an hour, the part bears 1.0 A",
            ),
            (
                Objection::FaultBurns {
                    fault,
                    fuse_a: 1.6,
                    line_a: 3.0,
                    watts_w: 90.0,
                    allowed_w: 50.0,
                },
                "sustained overload: 3.00 A through a 1.6 A fuse",
            ),
            (Objection::FaultUnsolved { fault }, "sustained overload: the calculation"),
            (Objection::NoFuse { running_a: 12.0 }, "no standard small fuse suits 12.00 A"),
            (
                Objection::PrimaryVolts { primary_v: 115.0, outlet_v: 130.0 },
                "its own 115 V primary",
            ),
            (Objection::TooSmall { va: 50.0, watts_w: 60.0 }, "the transformer is of 50 VA"),
            (Objection::MissesTarget { share: 0.0 }, "it misses the target: as rated of it"),
            (Objection::RoughFigures, "its law is rough"),
            (Objection::LineCord, "it leaves the old resistance wire"),
            (Objection::BenchOnly, "a tool for the bench"),
        ];
        for (objection, words) in told {
            assert!(objection.to_string().starts_with(words), "{objection}");
        }
    }
}
