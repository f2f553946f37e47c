//! How a choice is wired, in words: the order in the hot wire, its steps, its box, and what to measure before the set is connected.

use super::{
    build::{joined, list, listed},
    figures::{ohms, volts},
    page::{Block, Line, line, notes, strong},
};
use crate::{
    adaptation::{Facts, Method, Miswired, Stands, Station},
    study::{Choice, Connect, OutletVolts, Plan},
};

/// What the hot wire meets, in order: "plug, line fuse, switch, resistor, set".
pub fn hot_wire(choice: &Choice) -> String {
    let facts = choice.method.facts();
    // with a tap goes what stands in the lead; behind a transformer there is another hot wire
    let noun = if facts.steps { None } else { second(choice) }.unwrap_or(facts).noun;
    let name = |station: &Station| match station {
        Station::Plug => "plug",
        Station::Fuse => "line fuse",
        Station::Switch => "switch",
        Station::Part => noun,
        Station::Set => "set",
    };
    joined(choice.hot_wire.iter().map(name), ", ")
}

/// What is known of the second of two parts.
fn second(choice: &Choice) -> Option<&'static Facts> {
    choice.behind.as_ref().and_then(|b| b.method).map(Method::facts)
}

/// How `choice` is wired, and what to measure on it before the set is connected; `live` is true where the chassis belongs to
/// the line.
pub fn fitting(plan: &Plan, choice: &Choice, live: bool) -> Block {
    let connect = choice.connect.as_ref().map(|connect| before_the_set(connect, &plan.outlet));
    notes((steps(plan, choice, Some(live)), connect))
}

/// The same for a first page: the steps without the box, and the one reading that tells that the part is wired right.
pub fn in_short(plan: &Plan, choice: &Choice) -> Vec<Line> {
    let test = choice.connect.as_ref().map(|connect| {
        let wrong = connect.wrong.iter().find(|w| w.how == Miswired::SecondarySwapped);
        let wrong = wrong
            .and_then(|w| Some(format!(" {}: swap the two secondary wires.", volts(w.usual_v?))));
        let more = (connect.wrong.len() > 1).then_some(" Any other: see the file copy.");
        line((strong(BEFORE_THE_SET), right(connect, &plan.outlet), wrong, more))
    });
    list((line(steps(plan, choice, None)), test))
}

/// What heads the test of a part.
const BEFORE_THE_SET: &str = "Before you connect the set: ";

/// What the part must read, alone at the outlet.
fn right(connect: &Connect, outlet: &OutletVolts) -> String {
    format!(
        "plug in the box alone, and switch it on. A meter on AC across its two contacts for the set must read {} on an outlet of {}, {} at {}.",
        volts(connect.usual_v),
        volts(outlet.usual_v),
        volts(connect.high_v),
        volts(outlet.high_v)
    )
}

/// The steps of fitting `choice`, its box last where it is told whether the chassis belongs to the line.
fn steps(plan: &Plan, choice: &Choice, live: Option<bool>) -> Line {
    let facts = choice.method.facts();
    let out = plan.set.mains_resistor_ohms.filter(|_| choice.method.replaces_mains_resistor());
    let behind = second(choice).map(|second| {
        let noun = second.noun;
        let stands = facts.steps.then(|| {
            format!(
                "Fit the {noun} behind it: its two output wires stand for hot wire and neutral."
            )
        });
        (stands, second.wired.iter().copied().map(str::to_owned))
    });
    let live = live.filter(|_| facts.stands == Stands::InLead && !facts.on_bench);
    let boxed = live.map(|live| {
        (
            "Use a grounded metal box with line fuse and switch in it.",
            "Clamp its three-wire cord at both ends.",
            "Bond the ground wire to the box, and carry it straight through.",
            live.then_some("End the ground wire there: never join it to this chassis."),
            "Leave the set's own switch on.",
        )
    });
    let all: Vec<String> = list((
        out.map(|now| format!("Take the {} out of the line cord.", ohms(now))),
        (plan.set.resistance_cord && facts.replaces_cord)
            .then(|| "Cut the resistance cord off whole, and fit a plain one.".to_owned()),
        facts.wired.iter().map(|step| (*step).to_owned()),
        behind,
        boxed,
    ));
    line((strong("Hot wire, in order: "), hot_wire(choice), ". ", all.join(" ")))
}

/// What to measure on the part before the set is connected to it.
fn before_the_set(connect: &Connect, outlet: &OutletVolts) -> (Option<Line>, Line) {
    let windings = connect.ohms.iter().map(|o| match o.ohms < 1.0 {
        true => format!("{} below 1 Ω", o.of),
        false => format!("{} about {}", o.of, ohms(o.ohms)),
    });
    let ohms = listed(windings, ", ").map(|ohms| {
        let words = ("read with an ohmmeter, before you wire it: ", ohms, ".");
        line((strong("First, unplugged: "), words))
    });
    let high = volts(outlet.high_v);
    let wrong = connect.wrong.iter().map(|w| {
        let how = match w.how {
            Miswired::SecondarySwapped => "swap the two secondary wires",
            Miswired::PrimaryOnOtherSide => {
                "the primary is on the other side of the secondary; trace its wires"
            }
            Miswired::Both => "both at once",
            Miswired::WindingsSwapped => {
                "each winding is in the place of the other, and the line fuse opens; fit no larger one"
            }
        };
        let (Some(at_usual), Some(at_high)) = (w.usual_v, w.high_v) else {
            return format!(" No steady reading: {how}.");
        };
        let near = (at_usual / connect.usual_v - 1.0).abs() < A_METER;
        let told = if near { ", too close to the right reading for a meter to tell" } else { "" };
        format!(" {} ({} at {high}){told}: {how}.", volts(at_usual), volts(at_high))
    });
    (ohms, line((strong(BEFORE_THE_SET), right(connect, outlet), wrong)))
}

/// Volts this close, as a share, read alike.
const A_METER: f64 = 0.01;
