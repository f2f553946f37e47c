//! Plans with one thing changed, and the rule that must name it.

use serde_json::{Value, json};

/// One thing changed in the plan of a set.
pub struct Tampering {
    pub set: &'static str,
    /// Keys with points between; an entry of a list by its number, or by its id, fault, name, place, key or kind.
    pub path: &'static str,
    pub change: Change,
    pub rule: &'static str,
}

pub enum Change {
    Times(f64),
    To(f64),
    Word(&'static str),
    Flag(bool),
    Null,
    /// Takes the entry out of its list.
    Out,
    /// An empty list.
    Empty,
    /// The first entry of a list after the last.
    LastFirst,
}

use Change::{Empty, Flag, LastFirst, Null, Out, Times, To, Word};

const fn t(rule: &'static str, set: &'static str, path: &'static str, change: Change) -> Tampering {
    Tampering { set, path, change, rule }
}

/// A transformer set, advised: a bucking transformer.
const SET: &str = "profiles/console-1936.yaml";
/// Heaters in series, advised: another dropper.
const STRING: &str = "profiles/string-dropper-1949.yaml";
/// Its part is fitted.
const DONE: &str = "profiles/mantel-1938-done.yaml";
/// Must not be plugged in.
const FAR: &str = "tests/data/verdicts/us-115-on-230.yaml";
/// Left as it is.
const LEFT: &str = "profiles/universal-1947.yaml";
/// A low outlet.
const LOW: &str = "tests/data/verdicts/us-low-all-day.yaml";
const SILICON: &str = "tests/data/verdicts/silicon-bare.yaml";
/// A fault burns its series resistor.
const BURNS: &str = "profiles/table-1948.yaml";
const BOUNDS: &str = "tests/data/verdicts/doubler-half-wave.yaml";

pub const TAMPERINGS: [Tampering; 100] = [
    t("figures", SET, "choices[series-resistor].day.usual.line_w", Null),
    t("figures", SET, "choices[series-resistor].rating.worst_w", Times(-1.0)),
    t("words", SET, "advice.verdict", Word("wait")),
    t("words", SET, "choices[bucking-set].id", Word("bucking-both")),
    t("words", SET, "choices[as-is].objections[0].kind", Word("dislike")),
    t("words", SET, "fuse.standard", Word("UL 248")),
    t("day", SET, "outlet.low_v", Times(1.1)),
    t("day", SET, "choices[bucking-set].day.high.outlet_v", Times(1.01)),
    t("day", SET, "choices[bucking-set].day.low.b_plus_v", Times(1.2)),
    t("power", SET, "choices[as-is].day.usual.power_factor", Times(1.05)),
    t("power", SET, "choices[as-is].day.usual.line_w", Times(1.02)),
    t("ohm", SET, "choices[series-resistor].day.high.lead_parts[0].current_a", Times(1.01)),
    t("ohm", SET, "choices[as-is].day.usual.coils[0].power_w", Times(0.9)),
    t("tube", SET, "choices[as-is].day.usual.tubes[6F6 output].plate_w", Times(1.001)),
    t("volts-add-up", SET, "choices[as-is].day.usual.coils[0].drop_v", Times(1.01)),
    t("string-adds-up", STRING, "choices[as-is].day.usual.heaters[1].volts_v", Times(0.9)),
    t("heat-balance", SET, "choices[as-is].day.usual.transformer.loss_w", Times(5.0)),
    t("transformer", SET, "choices[as-is].day.usual.transformer.flux", Times(1.01)),
    t("transformer", SET, "choices[as-is].day.usual.transformer.iron_w", Times(1.1)),
    t("limit-value", SET, "choices[as-is].day.usual.limits[main heaters].value", Times(0.95)),
    t("limit-value", SET, "choices[as-is].day.usual.limits[filter capacitor 1, at work]", Out),
    t("limit-standing", SET, "choices[as-is].day.usual.limits[0].standing", Word("beyond")),
    t("lead", SET, "choices[series-resistor].day.usual.set_v", Times(0.95)),
    t("lead", SET, "choices[series-resistor].day.usual.lead_w", Times(1.02)),
    t(
        "turns",
        SET,
        "choices[bucking-outlet].day.usual.lead_parts[bucking secondary].volts_v",
        Times(1.1),
    ),
    t(
        "turns",
        SET,
        "choices[bucking-outlet].day.usual.lead_parts[bucking primary].current_a",
        Times(3.0),
    ),
    t(
        "winding-heat",
        SET,
        "choices[bucking-set].day.high.lead_parts[bucking primary].power_w",
        Times(1.05),
    ),
    t("winding-bears", SET, "choices[bucking-set].part", Word("120 V to 6.3 V, 0.3 A")),
    t("connect", SET, "choices[bucking-outlet].connect.usual_v", Times(1.05)),
    t("connect", SET, "choices[bucking-outlet].connect.wrong[0].high_v", Times(0.9)),
    t("connect", SET, "choices[series-resistor].connect.ohms[0].ohms", Times(1.5)),
    t("part", SET, "choices[series-resistor].part_value", Times(1.2)),
    t("part", SET, "choices[series-resistor].part_rated_w", Times(2.0)),
    t("part", SET, "choices[bucking-set].part_primary_v", Times(2.0)),
    t("target", SET, "choices[series-resistor].target_miss", Times(2.0)),
    t("target", SET, "choices[bucking-set].exact_reading.heaters[0].volts_v", Times(1.01)),
    t("worst-heat", SET, "choices[series-resistor].rating.worst_w", Times(0.9)),
    t("derating", SET, "choices[series-resistor].rating.places[0].derated_w", Times(1.02)),
    t("derating", SET, "choices[series-resistor].rating.places[0].surface_c", Times(0.9)),
    t("place", SET, "choices[series-resistor].rating.places[1].acceptable", Flag(true)),
    t("place", STRING, "choices[heater-dropper].rating.places[0].acceptable", Flag(false)),
    t("band", SET, "choices[bucking-set].band.heater_uncertain_v", Times(0.5)),
    t("band", SET, "choices[bucking-set].band.part_b_plus_v", Times(100.0)),
    t("signal", SET, "choices[series-resistor].signal.rest.line_a", Times(1.01)),
    t("fuse-size", SET, "choices[bucking-set].fuse.rating_a", To(0.75)),
    t("fuse-size", SET, "choices[bucking-set].fuse.rating_a", To(2.0)),
    t("fuse-size", SET, "choices[bucking-set].fuse.held_a", To(1.5)),
    t("fuse-size", SET, "choices[bucking-set].fuse.running_a", Times(0.8)),
    t("fuse-change", SET, "choices[bucking-set].fuse.must_change", Flag(false)),
    t("fuse-instead", SET, "choices[series-resistor].instead_of.heat_w", Times(0.1)),
    t("one-fuse", SET, "fuse.choice", Word("series-resistor")),
    t("one-fuse", SET, "fuse.running_a", Times(1.01)),
    t("fault-table", SET, "choices[bucking-set].faults[primary shorted]", Out),
    t("fault-table", SET, "choices[bucking-set].faults", Empty),
    t(
        "fault-fuse",
        SET,
        "choices[bucking-set].faults[rectifier shorted].fuse.opens_within_s",
        Null,
    ),
    t(
        "fault-fuse",
        SET,
        "choices[bucking-set].faults[rectifier shorted].fuse.multiple",
        Times(0.5),
    ),
    t("fault-fuse", SET, "choices[bucking-set].faults[sustained overload].line_a", Times(0.9)),
    t("fault-heat", SET, "choices[series-resistor].faults[primary shorted].part_w", Times(0.9)),
    t(
        "fault-bears",
        SET,
        "choices[series-resistor].faults[primary shorted].part_allowed_w",
        Times(0.9),
    ),
    t("fault-volts", SET, "choices[bucking-set].faults[bucking winding reversed].set_v", To(118.0)),
    t("fault-volts", SET, "choices[series-resistor].faults[resistor open].heater_excess", To(0.0)),
    t(
        "fault-unsolved",
        SET,
        "choices[bucking-set].faults[primary shorted].unsolved",
        Word("no solution"),
    ),
    t("burns", BURNS, "choices[series-resistor].faults[primary shorted].burns", Flag(false)),
    t("burns", SET, "choices[series-resistor].faults[primary shorted].part_w", Times(100.0)),
    t("burns-objects", BURNS, "choices[series-resistor].objections", Empty),
    t("burns-objects", STRING, "choices[heater-dropper].faults[0].burns", Flag(true)),
    t(
        "burns-objects",
        SET,
        "choices[bucking-set].faults[primary shorted].unsolved",
        Word("no solution"),
    ),
    t("switch-on", SET, "choices[bucking-set].cold_start.capacitors[0].surge_v", Times(1.1)),
    t(
        "switch-on",
        SET,
        "choices[bucking-set].cold_start.capacitors[0].switch_on_exceeds",
        Flag(true),
    ),
    t("switch-on", SET, "choices[bucking-set].cold_start.inrush_over_running", Times(0.9)),
    t("objection", SET, "choices[as-is].objections", Empty),
    t("objection", SET, "choices[as-is].objections[0].excess", Times(2.0)),
    t("objection", SET, "choices[lamp].objections[bench-only]", Out),
    t("objection", FAR, "choices[as-is].objections[limit-passed].value", Times(0.1)),
    t("standing", SET, "choices[bucking-outlet].standing", Word("refused")),
    t("flags", SET, "advice.not_without_part", Flag(true)),
    t("flags", FAR, "advice.do_not_plug_in", Flag(false)),
    t("flags", FAR, "advice.verdict", Word("leave")),
    t("verdict-choice", SET, "advice.choice", Word("as-is")),
    t("verdict-choice", SET, "advice.strength", Null),
    t("advised-bears", SET, "choices[bucking-set].target_miss", To(0.2)),
    t("severity", SET, "advice.strength", Word("needed")),
    t("severity", SET, "advice.verdict", Word("leave")),
    t("severity", LEFT, "advice.verdict", Word("boost")),
    t("least", STRING, "advice.choice", Word("bucking-set")),
    t("changes-at", SET, "advice.changes_at[0].above", Flag(true)),
    t("changes-at", SET, "advice.changes_at[0].voltage", Times(0.9)),
    t("said", SET, "advice.reasons", Empty),
    t("cautions", SET, "cautions", LastFirst),
    t("cautions", SET, "cautions[lethal]", Out),
    t("alarms", FAR, "cautions[do-not-plug-in]", Out),
    t("alarms", LEFT, "cautions[live-chassis]", Out),
    t("caution-figures", SET, "cautions[fuse].rating_a", To(3.0)),
    t("caution-figures", SET, "cautions[comes-back].volts_v", Times(0.5)),
    t("fitted", DONE, "fitted.ruling", Word("change")),
    t("as-left", DONE, "as_left.points[0].lies", Word("above")),
    t("visits", DONE, "visits.later[0].points[0].change", Times(1.5)),
    t("dry-rectifier", SILICON, "dry_rectifier.resistor.stock_ohms", To(470.0)),
    t("assumed", BOUNDS, "assumptions[1].spread", Times(0.5)),
    t("severity", LOW, "advice.verdict", Word("fit")),
];

/// Keys by which an entry of a list may be named.
const NAMES: [&str; 7] = ["id", "fault", "what", "name", "place", "kind", "key"];

fn entry(list: &[Value], name: &str) -> usize {
    let is = |value: &Value| NAMES.iter().any(|key| value[*key] == name);
    name.parse().ok().or_else(|| list.iter().position(is)).unwrap_or_else(|| panic!("no {name}"))
}

/// Steps of a path: "choices[as-is].day" is choices, as-is, day.
fn steps(path: &str) -> Vec<String> {
    let mut list = vec![String::new()];
    let mut within = false;
    for c in path.chars() {
        match c {
            '[' => list.push(String::new()),
            '.' if !within => list.push(String::new()),
            ']' => {}
            c => list.last_mut().unwrap().push(c),
        }
        within = (within || c == '[') && c != ']';
    }
    list.retain(|step| !step.is_empty());
    list
}

/// The plan with that changed, and what stood there.
pub fn tampered(plan: &Value, tampering: &Tampering) -> (Value, Value) {
    let mut plan = plan.clone();
    let mut steps = steps(tampering.path);
    let last = steps.pop().unwrap();
    let mut at = &mut plan;
    for step in steps {
        at = match at {
            Value::Array(list) => {
                let place = entry(list, &step);
                &mut list[place]
            }
            _ => &mut at[&step],
        };
    }
    if let (Out, Value::Array(list)) = (&tampering.change, &mut *at) {
        let place = entry(list, &last);
        let was = list.remove(place);
        return (plan, was);
    }
    let slot = match at {
        Value::Array(list) => {
            let place = entry(list, &last);
            &mut list[place]
        }
        _ => &mut at[&last],
    };
    let was = slot.clone();
    *slot = match tampering.change {
        Times(factor) => json!(was.as_f64().unwrap() * factor),
        To(value) => json!(value),
        Word(word) => json!(word),
        Flag(flag) => json!(flag),
        Null => Value::Null,
        Empty => json!([]),
        LastFirst => {
            let mut list = was.as_array().unwrap().clone();
            list.rotate_left(1);
            Value::Array(list)
        }
        Out => panic!("{} is no entry of a list", tampering.path),
    };
    assert_ne!(*slot, was, "{}: nothing is changed", tampering.path);
    (plan, was)
}
