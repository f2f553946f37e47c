//! Fuse, switch-on and faults of a choice.

use super::Set;
use super::at::{At, Judge, Resistor, resistor};

/// Ratings of slow fuses, A (UL by the trade; IEC 60127-2 in the R10 series), and what a standard lets pass.
pub struct Standard {
    pub name: &'static str,
    ratings: &'static [f64],
    /// Rating over running current at least.
    over: f64,
    /// Carried for up to an hour, over its rating.
    held: f64,
    /// From this multiple on it opens within so many seconds.
    gates: &'static [(f64, f64)],
}

pub const STANDARDS: [Standard; 2] = [
    Standard {
        name: "UL 248-14",
        ratings: &[0.125, 0.1875, 0.25, 0.375, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0],
        over: 1.5,
        held: 1.35,
        gates: &[(1.35, 3600.0), (2.0, 120.0)],
    },
    Standard {
        name: "IEC 60127-2",
        ratings: &[0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15],
        over: 1.2,
        held: 1.5,
        gates: &[(2.1, 120.0), (2.75, 10.0), (4.0, 3.0), (10.0, 0.3)],
    },
];

pub fn standard(name: &str) -> Option<&'static Standard> {
    STANDARDS.iter().find(|s| s.name == name)
}

impl Standard {
    /// The smallest that carries the running current, and a quarter of the first cycles'.
    fn smallest(&self, running: f64, inrush: f64) -> Option<f64> {
        let least = (self.over * running).max(inrush / 4.0);
        self.ratings.iter().copied().find(|r| *r >= least * (1.0 - 1e-9))
    }

    /// Longest time to open at such a multiple; none where it need not.
    fn opens(&self, multiple: f64) -> Option<f64> {
        let past = |gate: &&(f64, f64)| match multiple - gate.0 {
            // what it holds for an hour is not yet past the first gate
            over if gate.0 == self.held => over > 1e-9,
            over => over >= 0.0,
        };
        self.gates.iter().rev().find(past).map(|gate| gate.1)
    }
}

pub fn choice(judge: &mut Judge, c: &At, set: &Set) {
    if c.has("fuse") {
        fuse(judge, &c.at("fuse"), set);
        let high = c.at("day").at("high");
        judge.equal("fuse-size", &c.at("fuse"), "running_a", high.num("line_a"));
        judge.equal("fuse-size", &c.at("fuse"), "inrush_a", c.at("cold_start").num("inrush_a"));
        breaks(judge, &c.at("fuse"), set);
        instead(judge, c);
    }
    if c.has("cold_start") {
        cold_start(judge, c);
    }
    let own = c.has("part").then(|| resistor(c.text("part"))).flatten();
    for f in c.list("faults") {
        fault(judge, &f, c, set, own.as_ref());
    }
    complete(judge, c, set);
}

pub fn fuse(judge: &mut Judge, f: &At, set: &Set) {
    let Some(standard) = standard(f.text("standard")) else {
        judge.tell("fuse-size", f, "standard", false, "UL 248-14 or IEC 60127-2");
        return;
    };
    match standard.smallest(f.num("running_a"), f.num("inrush_a")) {
        Some(rating) => {
            judge.equal("fuse-size", f, "rating_a", rating);
            judge.equal("fuse-size", f, "held_a", rating * standard.held);
        }
        None => judge.null("fuse-size", f, "rating_a", true),
    }
    // where something is fitted already, its fuse is in the place of that
    let fitted = set.root.at("fitted").at("choice").at("fuse");
    let present =
        if fitted.is_there() { fitted.opt("present_a") } else { set.root.at("set").opt("fuse_a") };
    judge.tell(
        "fuse-change",
        f,
        "present_a",
        f.opt("present_a") == present,
        format!("{present:?}"),
    );
    match (present, f.opt("rating_a")) {
        (None, _) => judge.flag("fuse-change", f, "must_change", false),
        // of another standard it must change as well; the JSON does not have the present one's
        (Some(present), Some(rating)) if (present - rating).abs() > 1e-9 => {
            judge.flag("fuse-change", f, "must_change", true);
        }
        _ => {}
    }
}

/// What it breaks: UL 248-14 at 125 V and at 250 V, IEC 60127-2 glass.
fn breaks(judge: &mut Judge, f: &At, set: &Set) {
    let rating = f.num("rating_a");
    let most = match f.text("standard") {
        "IEC 60127-2" => (10.0 * rating).max(35.0),
        // marked 125 V, for outlets that reach 127 V (ANSI C84.1)
        _ if set.outlet.num("high_v") <= 127.5 => 10_000.0,
        _ if rating <= 1.0 => 35.0,
        _ => 100.0,
    };
    if f.has("breaks_a") {
        judge.equal("fuse-size", f, "breaks_a", most);
    }
}

/// A fuse of another country only where that of the country lets a fault burn the part.
fn instead(judge: &mut Judge, c: &At) {
    let other = c.at("instead_of");
    if !other.is_there() {
        return;
    }
    judge.tell(
        "fuse-instead",
        &other,
        "standard",
        other.text("standard") == "UL 248-14",
        "UL 248-14",
    );
    let ok = c.at("fuse").text("standard") == "IEC 60127-2";
    judge.tell("fuse-instead", &c.at("fuse"), "standard", ok, "IEC 60127-2");
    judge.at_least("fuse-instead", &other, "heat_w", other.num("allowed_w"));
    let known = c.list("faults").iter().any(|f| f.text("fault") == other.text("fault"));
    judge.tell("fuse-instead", &other, "fault", known, "a fault of the choice");
}

fn cold_start(judge: &mut Judge, c: &At) {
    let (start, high) = (c.at("cold_start"), c.at("day").at("high"));
    let over = start.num("inrush_a") / high.num("line_a");
    judge.equal("switch-on", &start, "inrush_over_running", over);
    let first = start.text("ready") != "with-the-tubes";
    judge.flag("switch-on", &start, "rectifier_first", first);
    judge.at_least("switch-on", &start, "warm_up_s", 6.7 * 0.98);
    let working = high.list("capacitors");
    for (k, w) in start.list("capacitors").iter().zip(&working) {
        judge.tell("switch-on", k, "name", k.text("name") == w.text("name"), w.text("name"));
        judge.equal("switch-on", k, "running_v", w.num("peak_v"));
        judge.tell("switch-on", k, "rated_v", k.opt("rated_v") == w.opt("rated_v"), "as at work");
        if !first {
            judge.equal("switch-on", k, "peak_v", k.num("running_v"));
        }
        // a second supply may have a rectifier of another kind
        if !k.text("name").contains("(B2+)") {
            judge.null("switch-on", k, "early_v", first);
        }
        let (Some(rated), surge) = (k.opt("rated_v"), k.num("surge_v")) else {
            judge.flag("switch-on", k, "running_exceeds", false);
            judge.flag("switch-on", k, "switch_on_exceeds", k.num("peak_v") > k.num("surge_v"));
            continue;
        };
        let by_rule = |rated: f64| rated * if rated <= 315.0 { 1.15 } else { 1.10 };
        if k.flag("surge_by_rule") {
            judge.equal("switch-on", k, "surge_v", by_rule(rated));
        }
        let (running, peak) = (k.num("running_v") > rated, k.num("peak_v") > surge);
        judge.flag("switch-on", k, "running_exceeds", running);
        judge.flag("switch-on", k, "switch_on_exceeds", peak);
        match k.opt("fit_v") {
            Some(fit) => {
                judge.tell("switch-on", k, "fit_v", running || peak, "null: nothing exceeds");
                judge.at_least("switch-on", k, "fit_v", k.num("running_v"));
                judge.tell(
                    "switch-on",
                    k,
                    "fit_v",
                    by_rule(fit) >= k.num("peak_v"),
                    "bears the peak",
                );
            }
            None => judge.tell(
                "switch-on",
                k,
                "fit_v",
                !(running || peak) || by_rule(600.0) < k.num("peak_v").max(k.num("running_v")),
                "a rating that bears it",
            ),
        }
    }
}

/// What its family bears for so long, of the watts left where it stands.
fn bears(part: &Resistor, derated_w: f64, opens: Option<f64>) -> f64 {
    derated_w + opens.map_or(0.0, |t| part.family.overload * 5.0 * part.rated_w / t)
}

fn fault(judge: &mut Judge, f: &At, c: &At, set: &Set, own: Option<&Resistor>) {
    if f.has("unsolved") {
        for key in ["line_a", "fuse", "part_w", "set_v", "heater_excess", "b_plus_v"] {
            judge.null("fault-unsolved", f, key, true);
        }
        judge.flag("burns", f, "burns", false);
        return;
    }
    let high = set.outlet.num("high_v");
    let amps = f.num("line_a");
    let fuse = c.at("fuse");
    if let (Some(standard), true) = (standard(fuse.text("standard")), f.has("fuse")) {
        let row = f.at("fuse");
        judge.equal("fault-fuse", &row, "multiple", amps / fuse.num("rating_a"));
        let opens = standard.opens(row.num("multiple"));
        let told = format!("{opens:?}");
        judge.tell("fault-fuse", &row, "opens_within_s", row.opt("opens_within_s") == opens, told);
    }
    let sustained = f.text("fault") == "sustained overload";
    if sustained {
        judge.equal("fault-fuse", f, "line_a", fuse.num("held_a"));
    }
    let (heat, allowed) = (f.opt("part_w"), f.opt("part_allowed_w"));
    if let (Some(part), Some(heat)) = (own, heat) {
        let in_lead = c.text("id") == "series-resistor";
        if in_lead || sustained {
            judge.equal("fault-heat", f, "part_w", amps * amps * part.ohms);
        }
        if !sustained {
            judge.at_most("fault-heat", f, "part_w", high * high / part.ohms);
        }
        let places = c.at("rating").list("places");
        let stands = places.iter().find(|p| p.flag("acceptable")).or(places.first());
        let derated = stands.map_or(f64::NAN, |p| p.num("derated_w"));
        let opens = f.at("fuse").opt("opens_within_s");
        judge.equal("fault-bears", f, "part_allowed_w", bears(part, derated, opens));
        // what lies on it is no more than the line: a short behind it lifts nothing
        if let (true, Some(set_v)) = (in_lead, f.opt("set_v")) {
            let drop = (heat * part.ohms).sqrt();
            judge.tell("fault-heat", f, "set_v", set_v >= high - drop - 0.01, high - drop);
        }
    }
    let burns = heat.zip(allowed).is_some_and(|(heat, allowed)| heat > allowed);
    judge.flag("burns", f, "burns", burns);
    if let Some(watts) = f.opt("mains_resistor_w") {
        let own = c.at("day").at("high").list("droppers");
        let own = own.iter().find(|d| d.text("name") == "mains resistor");
        let ohms = own.map_or(f64::NAN, |d| d.num("volts_v") / d.num("current_a"));
        // a variac's ratio stands between line and set
        let amps = if c.text("id") == "variac" {
            amps * set.outlet.num("usual_v") / c.num("part_value")
        } else {
            amps
        };
        judge.equal("fault-heat", f, "mains_resistor_w", amps * amps * ohms);
        mains_resistor(judge, f, c, watts);
    } else {
        judge.flag("burns", f, "mains_resistor_burns", false);
    }
    if f.has("heater_excess") {
        judge.at_least("fault-volts", f, "heater_excess", -1.0);
    }
    if let (Some(first), Some(b_plus)) = (f.opt("reservoir_v"), f.opt("b_plus_v")) {
        judge.tell(
            "fault-volts",
            f,
            "reservoir_v",
            first > b_plus + 1.0,
            "more than a volt over B+",
        );
    }
    if !c.has("behind") {
        volts(judge, f, high);
    }
}

/// A resistor that the set has in its line cord bears its rating, or twice its heat in the sound set.
fn mains_resistor(judge: &mut Judge, f: &At, c: &At, watts: f64) {
    let high = c.at("day").at("high");
    let limits = high.list("limits");
    let rated = limits.iter().find(|l| l.text("what") == "mains resistor, heat");
    let sound = high.list("droppers");
    let sound = sound.iter().find(|d| d.text("name") == "mains resistor");
    let own = rated.map(|l| l.num("limit")).or(sound.map(|d| 2.0 * d.num("power_w")));
    let own = own.unwrap_or(f64::NAN);
    let opens = f.at("fuse").opt("opens_within_s");
    let bears = own + opens.map_or(0.0, |t| own * 5.0 / t);
    judge.flag("burns", f, "mains_resistor_burns", watts > bears);
}

/// Volts of a fault by what is shorted or open.
fn volts(judge: &mut Judge, f: &At, high: f64) {
    match f.text("fault") {
        "resistor open" | "bucking secondary open" | "boosting secondary open" => {
            judge.at_most("fault-volts", f, "heater_excess", -0.5);
        }
        "B+ shorted after the filter" if f.has("b_plus_v") => {
            judge.at_most("fault-volts", f, "b_plus_v", 0.05 * high);
        }
        "bucking winding reversed" => judge.at_least("fault-volts", f, "set_v", high),
        "boosting winding reversed" => judge.at_most("fault-volts", f, "set_v", high),
        _ => {}
    }
}

/// A choice behind a fuse has its faults told; where no fuse suits, and one that must not be plugged in, has none.
fn complete(judge: &mut Judge, c: &At, set: &Set) {
    let faults = c.list("faults");
    let behind = c.at("fuse").has("rating_a");
    judge.tell("fault-table", c, "faults", faults.is_empty() != behind, {
        if behind { "faults behind the fuse" } else { "none without a fuse" }
    });
    if !behind {
        return;
    }
    let mut due = vec!["first filter capacitor shorted", "B+ shorted after the filter"];
    due.extend(["rectifier shorted", "output tube removed"]);
    due.push(if set.string { "line shorted inside the set" } else { "primary shorted" });
    if !matches!(c.text("id"), "as-is" | "tap" | "take-out" | "heater-dropper") {
        due.push("sustained overload");
    }
    match c.text("id") {
        "series-resistor" => due.push("resistor open"),
        "bucking-outlet" | "bucking-set" => {
            due.extend([
                "bucking secondary open",
                "bucking primary open",
                "bucking winding reversed",
            ]);
        }
        "boost-outlet" | "boost-set" => due.push("boosting winding reversed"),
        _ => {}
    }
    for name in due {
        let ok = faults.iter().any(|f| f.text("fault") == name);
        judge.tell("fault-table", c, "faults", ok, name);
    }
}
