//! How a choice is wired, in words: the order in the hot wire, its steps, its box, and what to measure before the set is connected.

use super::figures::{ohms, volts};
use super::page::{Block, Span, notes, plain, strong};
use crate::adaptation::{Facts, Method, Miswired, Stands, Station};
use crate::study::{Choice, Connect, OutletVolts, Plan};

/// What the hot wire meets, in order: "plug, line fuse, switch, resistor, set".
pub(super) fn hot_wire(choice: &Choice) -> String {
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
    choice.hot_wire.iter().map(name).collect::<Vec<_>>().join(", ")
}

/// What is known of the second of two parts.
fn second(choice: &Choice) -> Option<&'static Facts> {
    choice.behind.as_ref().and_then(|b| b.method).map(Method::facts)
}

/// How `choice` is wired, and what to measure on it before the set is connected; `live` is true where the chassis belongs to
/// the line.
pub(super) fn fitting(plan: &Plan, choice: &Choice, live: bool) -> Block {
    let mut list = vec![steps(plan, choice, live)];
    list.extend(choice.connect.iter().flat_map(|connect| before_the_set(connect, &plan.outlet)));
    notes(list)
}

/// The steps of fitting `choice`, its box last.
fn steps(plan: &Plan, choice: &Choice, live: bool) -> Vec<Span> {
    let facts = choice.method.facts();
    let out = plan.set.mains_resistor_ohms.filter(|_| choice.method.replaces_mains_resistor());
    let out = out.map(|now| format!("Take the {} out of the mains lead.", ohms(now)));
    let mut list: Vec<String> = out.into_iter().collect();
    list.extend(facts.wired.iter().map(|step| (*step).to_owned()));
    if let Some(second) = second(choice) {
        if facts.steps {
            list.push(format!(
                "Fit the {} behind it: its two output wires stand for hot wire and neutral.",
                second.noun
            ));
        }
        list.extend(second.wired.iter().map(|step| (*step).to_owned()));
    }
    if facts.stands == Stands::InLead && !facts.on_bench {
        list.push("Use a grounded metal box with line fuse and switch in it.".to_owned());
        list.push("Clamp its three-wire cord at both ends.".to_owned());
        list.push("Bond the ground wire to the box, and carry it straight through.".to_owned());
        if live {
            list.push("End the ground wire there: never join it to this chassis.".to_owned());
        }
        list.push("Leave the set's own switch on.".to_owned());
    }
    vec![strong("Hot wire, in order: "), plain(format!("{}. {}", hot_wire(choice), list.join(" ")))]
}

/// What to measure on the part before the set is connected to it.
fn before_the_set(connect: &Connect, outlet: &OutletVolts) -> Vec<Vec<Span>> {
    let mut list = Vec::new();
    let windings = connect.ohms.iter().map(|o| match o.ohms < 1.0 {
        true => format!("{} below 1 Ω", o.of),
        false => format!("{} about {}", o.of, ohms(o.ohms)),
    });
    let ohms = windings.collect::<Vec<_>>().join(", ");
    if !ohms.is_empty() {
        list.push(vec![
            strong("First, unplugged: "),
            plain(format!("read with an ohmmeter, before you wire it: {ohms}.")),
        ]);
    }
    let (usual, high) = (volts(outlet.usual_v), volts(outlet.high_v));
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
        let told = if near { ", which a meter hardly tells from right" } else { "" };
        format!(" {} ({} at {high}){told}: {how}.", volts(at_usual), volts(at_high))
    });
    list.push(vec![
        strong("Before you connect the set: "),
        plain(format!(
            "plug in the box alone, and switch it on. A meter on AC across the two contacts for the set must read {} on an outlet of {usual}, {} at {high}. Connect the set only then.{}",
            volts(connect.usual_v),
            volts(connect.high_v),
            wrong.collect::<String>()
        )),
    ]);
    list
}

/// Volts this close, as a share, read alike.
const A_METER: f64 = 0.01;
