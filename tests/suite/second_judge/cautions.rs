//! Cautions: alarms first, in the order of the work, with the figures of the plan.

use super::Set;
use super::at::{At, Judge};

/// The steps, in the order of the work.
const STEPS: [&str; 6] = ["plug-in", "open", "first-power", "measure", "fit", "use"];
/// What every set has.
const ALWAYS: [&str; 6] =
    ["pull-the-plug", "lethal", "drain", "isolation", "local-codes", "not-examined"];

pub fn cautions(judge: &mut Judge, set: &Set) {
    let (root, list) = (&set.root, set.root.list("cautions"));
    let step = |c: &At| STEPS.iter().position(|s| *s == c.text("before"));
    for c in &list {
        judge.tell("cautions", c, "before", step(c).is_some(), "a step of the work");
        judge.tell("cautions", c, "text", !c.text("text").is_empty(), "a sentence");
        judge.tell("cautions", c, "source", !c.text("source").is_empty(), "a source");
    }
    for pair in list.windows(2) {
        let ok = step(&pair[0]) <= step(&pair[1]);
        judge.tell("cautions", &pair[1], "before", ok, format!("after {}", pair[0].text("before")));
    }
    let of = |kind: &str| list.iter().find(|c| c.text("kind") == kind);
    for kind in ALWAYS {
        judge.tell("cautions", root, "cautions", of(kind).is_some(), kind);
    }
    let advice = root.at("advice");
    let live = set.string || !root.at("as_designed").has("transformer");
    for (kind, due) in [
        ("do-not-plug-in", advice.flag("do_not_plug_in")),
        ("not-without-part", advice.flag("not_without_part")),
    ] {
        judge.tell("alarms", root, "cautions", of(kind).is_some() == due, format!("{kind}: {due}"));
    }
    let fitted = root.at("fitted");
    let stays = !fitted.is_there() || fitted.text("ruling") == "leave";
    let told = of("not-as-fitted").is_some();
    judge.tell("alarms", root, "cautions", !(stays && told), "not-as-fitted: it stays");
    let burns = fitted.at("choice").list("faults").iter().any(|f| f.flag("burns"));
    judge.tell("alarms", root, "cautions", stays || told || !burns, "not-as-fitted: it burns");
    if live {
        judge.tell("alarms", root, "cautions", of("live-chassis").is_some(), "live-chassis");
    }
    for kind in ["do-not-plug-in", "not-without-part"] {
        if let Some(c) = of(kind) {
            judge.tell("alarms", c, "kind", c.path == "cautions[0]", "the first of all");
            judge.equal("alarms", c, "outlet_v", expected_outlet(set, c));
            judge.at_least("alarms", c, "ratio", 1.10);
        }
    }
    figures(judge, set, &of);
}

/// The voltage that asked for it, usual or high.
fn expected_outlet(set: &Set, c: &At) -> f64 {
    let (usual, high) = (set.outlet.num("usual_v"), set.outlet.num("high_v"));
    if (c.num("outlet_v") - high).abs() < 1e-6 { high } else { usual }
}

/// Figures of a caution are those of the plan.
fn figures<'a>(judge: &mut Judge, set: &Set, of: &dyn Fn(&str) -> Option<&'a At<'a>>) {
    let root = &set.root;
    let fuse = root.at("fuse");
    if let (Some(c), true) = (of("fuse"), fuse.is_there()) {
        for key in ["rating_a", "running_a", "standard"] {
            let ok = c.value.get(key) == fuse.value.get(key);
            judge.tell("caution-figures", c, key, ok, format!("{:?}", fuse.value.get(key)));
        }
    }
    if let Some(c) = of("lethal") {
        let highest = c.num("highest_v");
        let bare = set.choice("as-is");
        let advised = set.choice(root.at("advice").text("choice"));
        for c in [bare, advised].into_iter().flatten() {
            for k in c.at("cold_start").list("capacitors") {
                let ok = k.num("running_v") <= 1.02 * highest;
                judge.tell("caution-figures", &k, "running_v", ok, format!("at most {highest}"));
            }
        }
        if let Some(back) = of("comes-back") {
            judge.equal("caution-figures", back, "volts_v", 0.15 * highest);
        }
        if let Some(meter) = of("meter-category") {
            let mark = if highest > 600.0 { 1000.0 } else { 600.0 };
            judge.equal("caution-figures", meter, "rated_v", mark);
        }
        if let Some(drain) = of("drain") {
            judge.equal("caution-figures", drain, "ohms", 10_000.0);
            judge.at_least("caution-figures", drain, "seconds", 10.0);
            let steps = drain.num("seconds") / 5.0;
            let ok = (steps - steps.round()).abs() < 1e-9;
            judge.tell("caution-figures", drain, "seconds", ok, "whole fives");
        }
    }
    let sized: Vec<At> = root
        .list("choices")
        .iter()
        .flat_map(|c| [c.at("rating"), c.at("with").at("rating")])
        .filter(At::is_there)
        .collect();
    if let Some(c) = of("hot-resistor") {
        let ok = sized.iter().any(|r| (r.num("worst_w") - c.num("watts_w")).abs() < 1e-6);
        judge.tell("caution-figures", c, "watts_w", ok, "the worst heat of a resistor");
    } else {
        judge.tell("caution-figures", root, "cautions", sized.is_empty(), "hot-resistor");
    }
    if let Some(c) = of("bucking-reversed") {
        let mut seen = Vec::new();
        for choice in root.list("choices") {
            for f in choice.list("faults") {
                if f.text("fault") == "bucking winding reversed" {
                    seen.extend(f.opt("set_v"));
                }
            }
        }
        let ok = seen.iter().any(|v| (v - c.num("set_v")).abs() < 1e-6);
        judge.tell("caution-figures", c, "set_v", ok, format!("one of {seen:?}"));
    }
}
