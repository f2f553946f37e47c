//! Two parts in the lead: another tap or a step transformer, and what goes with it. As wide as any other drawing, and nothing
//! on top of anything else, whatever the set has at the end of its lead.

use crate::drawing::{
    assert_says, checked, nodes, of_autotransformer, on_the_line, plans, with_day,
};
use crate::drawing_geometry::Read;
use mainsfit::adaptation::{Bought, Method};
use mainsfit::report::drawing::mains_side;
use mainsfit::study::{Behind, Choice, Plan};

/// What may go with another part, and its symbol.
const SECOND: [(Method, &str); 5] = [
    (Method::BuckingOutlet, "bucking secondary"),
    (Method::BuckingSet, "bucking secondary"),
    (Method::BoostOutlet, "boosting secondary"),
    (Method::BoostSet, "boosting secondary"),
    (Method::SeriesResistor, "resistor"),
];

/// A choice of two parts, its readings those of a part whose figures are long.
fn two(plan: &Plan, first: (Method, f64), second: (Method, f64)) -> Choice {
    let small = with_day(plan).find(|c| c.method == Method::BuckingOutlet);
    let mut choice = small.or(with_day(plan).next()).unwrap().clone();
    let part = |(method, value): (Method, f64)| match method {
        Method::Tap | Method::TapAndPart => format!("move the primary to its {value} V tap"),
        Method::SeriesResistor => format!("{value} Ω, 10 W, wirewound"),
        Method::StepDown | Method::StepUp => format!("{value} V, 300 VA, separate windings"),
        other => format!("{}, 120 V to {value} V, 1.2 A", other.facts().noun),
    };
    let volts = choice.day.as_ref().unwrap().usual.set_v;
    choice.method = first.0;
    choice.part_value = Some(first.1);
    let with = Bought::ware(part(second));
    choice.part = Some(Bought { with: Some(Box::new(with.clone())), ..Bought::ware(part(first)) });
    choice.behind = Some(Behind {
        gives_low_v: volts,
        gives_usual_v: volts,
        gives_high_v: volts,
        enough: false,
        method: Some(second.0),
        part: Some(with),
        part_value: Some(second.1),
        refused: Vec::new(),
    });
    let usual = &mut choice.day.as_mut().unwrap().usual;
    if let Some(one) = usual.lead_parts.first().cloned() {
        let read = |volts_v, current_a| {
            let mut part = one.clone();
            (part.volts_v, part.current_a) = (volts_v, current_a);
            part
        };
        let own = [read(6.451, 0.6543), read(120.9, 0.0345)];
        let step = [read(115.2, 0.6543), read(230.4, 0.3272)];
        let of_step = if first.0.facts().steps { &step[..] } else { &[] };
        usual.lead_parts = [of_step, &own].concat();
    }
    choice
}

/// Sets of every kind that a part is drawn in front of.
fn all_plans() -> Vec<(String, Plan)> {
    let auto = ("autotransformer".to_owned(), of_autotransformer());
    plans().iter().cloned().chain([auto]).collect()
}

/// The nodes of the set's own ends of the lead, that of the hot wire where a winding begins there.
fn ends(read: &Read) -> (Option<usize>, usize) {
    let has = |name: &str| read.symbols.iter().any(|s| s.name == name);
    if has("supply") {
        return (None, nodes(read, "supply", 0)[1]);
    }
    match has("primary") {
        true => (Some(nodes(read, "primary", 0)[0]), nodes(read, "primary", 0)[1]),
        false => {
            let winding = nodes(read, "tapped winding", 0);
            (Some(winding[2]), winding[1])
        }
    }
}

/// Another tap with each part that goes with it: the part between switch and the tap in use, the old tap free.
#[test]
fn a_part_lies_between_switch_and_another_tap() {
    let mut seen = 0;
    for (set, plan) in all_plans().iter().filter(|(_, plan)| !on_the_line(plan)) {
        let design = plan.set.design_line_v;
        for (second, symbol) in SECOND {
            for (wanted, pin, free) in [(2.0 * design, 0, 2), (0.5 * design, 2, 0)] {
                seen += 1;
                let choice = two(plan, (Method::TapAndPart, wanted), (second, 6.3));
                let name = format!("tap-{set}-{wanted}-{second}");
                let read = checked(&name, &mains_side(plan, &choice, "x"));
                let (lead, pins) = (nodes(&read, symbol, 0), read.symbol("primary", 0).pins);
                assert_eq!(lead[0], nodes(&read, "switch", 0)[1], "{name}");
                assert_eq!(lead[1], read.node_at(pins[pin]), "{name}");
                let end = read.symbol("terminal", 0).pins[0];
                assert!(
                    end == pins[free] || read.net_at(end) == "free tap",
                    "{name}: the other tap stays free"
                );
                let taps = [format!("{wanted} V tap"), format!("{design} V tap, left free")];
                assert_says(&name, &read, &taps);
            }
        }
    }
    assert!(seen >= 100, "{seen}");
}

/// A part behind a step transformer: fed by its secondary alone, and no wire from there to the outlet.
#[test]
fn a_part_lies_behind_a_step_transformer() {
    let mut seen = 0;
    for (set, plan) in &all_plans() {
        for step in [Method::StepDown, Method::StepUp] {
            for (second, symbol) in SECOND.into_iter().chain([(Method::Tap, "primary")]) {
                if on_the_line(plan) && second == Method::Tap {
                    continue;
                }
                seen += 1;
                let design = plan.set.design_line_v;
                let value = if second == Method::Tap { design + 10.0 } else { 6.3 };
                let choice = two(plan, (step, 115.0), (second, value));
                let name = format!("behind-{set}-{step}-{second}");
                let read = checked(&name, &mains_side(plan, &choice, "x"));
                let both = ["primary", "secondary"].map(|w| nodes(&read, &format!("step {w}"), 0));
                let outlet = [nodes(&read, "switch", 0)[1], nodes(&read, "plug pin", 1)[0]];
                assert_eq!(both[0][..2], outlet, "{name}");
                assert!(both[1].iter().all(|node| !both[0].contains(node)), "{name}");
                assert_eq!(nodes(&read, symbol, 0)[0], both[1][0], "{name}");
                // the set's ends, and what its resistor in the lead is behind
                let (fed, back) = ends(&read);
                assert_eq!(back, both[1][1], "{name}");
                let fed = fed.filter(|_| second != Method::Tap);
                if let Some(fed) = fed.filter(|_| plan.set.mains_resistor_ohms.is_none()) {
                    assert_eq!(fed, nodes(&read, symbol, 0)[1], "{name}");
                }
            }
        }
    }
    assert!(seen >= 180, "{seen}");
}
