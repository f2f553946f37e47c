//! Reasons against a choice, each made again from its figures: raised where they pass the limit and nowhere else.

use super::Set;
use super::at::{At, Judge, Windings};

/// Whether the choice has an objection of that kind.
fn raised<'a>(c: &At<'a>, kind: &str) -> Option<At<'a>> {
    c.list("objections").into_iter().find(|o| o.text("kind") == kind)
}

/// Raised exactly where it must be.
fn due(judge: &mut Judge, c: &At, kind: &str, due: bool) {
    let told = format!("{}{kind}", if due { "" } else { "no " });
    judge.tell("objection", c, "objections", raised(c, kind).is_some() == due, told);
}

pub fn choice(judge: &mut Judge, c: &At, set: &Set) {
    standing(judge, c, set);
    if !c.has("day") {
        return;
    }
    let id = c.text("id");
    due(judge, c, "bench-only", matches!(id, "variac" | "lamp"));
    due(judge, c, "rough-figures", id == "thermistor");
    let unsuited = c.at("fuse").is_there() && !c.at("fuse").has("rating_a");
    due(judge, c, "no-fuse", unsuited && !matches!(id, "variac" | "lamp"));
    heaters(judge, c, set);
    gain(judge, c, set);
    heat(judge, c);
    faults(judge, c);
    transformer(judge, c, set);
    for o in c.list("objections").iter().filter(|o| o.text("kind") == "limit-passed") {
        let value = o.num("value");
        let least = o.text("what").ends_with("at least");
        judge.tell("objection", o, "value", least == (value < o.num("limit")), "beyond the limit");
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-6 * b.abs().max(1.0);
        let day = c.at("day");
        let mut rows = Vec::new();
        for r in ["low", "usual", "high"].map(|key| day.at(key)) {
            rows.extend(r.list("limits"));
        }
        let start = c.at("cold_start").list("capacitors");
        let ok = rows.iter().any(|l| near(l.num("value"), value))
            || start.iter().any(|k| near(k.num("peak_v"), value));
        judge.tell("objection", o, "value", ok, "a figure of its day or its switch-on");
    }
}

fn standing(judge: &mut Judge, c: &At, set: &Set) {
    let objects = !c.list("objections").is_empty();
    let advised = set.root.at("advice").text("choice") == c.text("id");
    let fitted = c.path.starts_with("fitted");
    let expected = match (c.has("not_applicable"), advised && !fitted, objects) {
        (true, _, _) => "not-applicable",
        (_, true, _) => "advised",
        (_, _, true) => "refused",
        _ => "serves",
    };
    if !fitted {
        judge.tell("standing", c, "standing", c.text("standing") == expected, expected);
    }
    for key in ["day", "band", "fuse", "cold_start"] {
        if c.has("not_applicable") {
            judge.null("standing", c, key, true);
        }
    }
}

/// Heaters on the usual line and through the day.
fn heaters(judge: &mut Judge, c: &At, set: &Set) {
    // a set may be left as low as twice that, lower still where the outlet is not far off, and as high as it may come out to
    // be where one reading decides; another tap costs nothing
    let bare = c.text("id") == "as-is";
    let near = set.outlet.num("usual_v") >= 0.90 * set.design_v;
    let least = match c.text("id") {
        "as-is" if near => f64::NEG_INFINITY,
        "as-is" | "tap" => -2.0,
        _ => -1.0,
    };
    let asks = bare && set.root.at("advice").text("verdict") == "leave-and-measure";
    if !set.by_heaters {
        let (made, runs) = (set.root.at("set").opt("frequency_hz"), set.outlet.opt("frequency_hz"));
        // on another frequency it is neither the target nor the rating alone that counts
        if made == runs {
            let sev = c.num("target_miss") / 0.05;
            due(judge, c, "misses-target", (sev > 1.0 || sev < least) && !asks);
        }
        // whatever is asked for, no part leaves heaters further above their rating than they bear
        let all = c.at("day").at("usual").list("heaters");
        let over = |h: &At| h.num("volts_v") / h.num("rated_v") - 1.0;
        let fed: Vec<&At> =
            all.iter().filter(|h| h.flag("feeds_tubes") && h.num("rated_v") > 0.0).collect();
        let beside = fed.iter().filter(|h| h.has("side_by_side")).map(|h| over(h));
        // the first, or of some side by side the one that gets most
        let excess = beside.fold(fed.first().map_or(0.0, |h| over(h)), f64::max);
        // of a string the current counts, by the exponent of its heaters
        let most = if set.string { 1.06_f64.powf(1.0 / 0.58) - 1.0 } else { 0.10 };
        if !bare && excess > most + 1e-4 {
            due(judge, c, "heaters-at-usual", true);
        }
        return;
    }
    let excess = c.num("target_miss");
    let sev = set.severity(excess);
    due(judge, c, "heaters-at-usual", (sev > 1.0 || sev < least) && !asks);
    if let Some(o) = raised(c, "heaters-at-usual") {
        judge.equal("objection", &o, "excess", excess);
    }
    if let Some(o) = raised(c, "heaters-through-the-day") {
        let ok = o.num("excess").abs() > 0.12;
        judge.tell("objection", &o, "excess", ok, "more than 12 % off");
    }
    let band = c.at("band");
    if c.text("id") != "as-is" && band.is_there() {
        let uncertain = band.num("part_heater_v") / band.num("heater_rated_v");
        if let Some(o) = raised(c, "band") {
            judge.equal("objection", &o, "uncertain", uncertain);
            let ok = o.num("excess").abs() > 0.10;
            judge.tell("objection", &o, "excess", ok, "more than 10 % off");
        } else {
            // what the part adds to a miss that is bearable by itself
            let off = excess.abs() + uncertain;
            let told = raised(c, "heaters-at-usual").is_some();
            judge.tell("objection", c, "objections", off <= 0.10 || told, "band");
        }
    }
}

/// What a part brings the heaters nearer to their rating.
fn gain(judge: &mut Judge, c: &At, set: &Set) {
    let Some(bare) = set.choice("as-is") else {
        return;
    };
    if let Some(o) = raised(c, "little-gain") {
        let most = if c.text("id") == "tap" { 0.01 } else { 0.03 };
        judge.at_most("objection", &o, "gain", most);
        // each point is solved to 2e-5 of its volts (docs/model.md, section 13): twice that, as current of a string
        let off = |miss: f64| 0.05 * set.severity(miss).abs();
        let gain = off(bare.num("target_miss")) - off(c.num("target_miss"));
        // at a high line that was read it may be more
        let rise = |c: &At| -> f64 {
            let volts = |key: &str| {
                let all = c.at("day").at(key).list("heaters");
                all.iter().find(|h| h.flag("feeds_tubes")).map_or(f64::NAN, |h| h.num("volts_v"))
            };
            volts("high") / volts("usual")
        };
        let at_high = |c: &At| off((1.0 + c.num("target_miss")) * rise(c) - 1.0);
        let high = at_high(&bare) - at_high(c);
        let near = |gain: f64| (o.num("gain") - gain).abs() < 4e-5;
        let ok = !set.by_heaters || near(gain) || high > gain && near(high);
        judge.tell("objection", &o, "gain", ok, gain);
    }
}

/// A resistor without a place, and one whose heaters fall with the signal.
fn heat(judge: &mut Judge, c: &At) {
    let rating = c.at("rating");
    let nowhere = |rating: &At| {
        rating.is_there() && !rating.list("places").iter().any(|p| p.flag("acceptable"))
    };
    // at full output it may be more than any place bears, and is told with its tolerance as well
    let (loud, full) =
        (c.at("signal").flag("resistor_overloaded"), c.at("signal").num("resistor_w_full"));
    if loud {
        let cool = rating.list("places").iter().any(|p| p.num("derated_w") >= 2.1 * full);
        judge.tell(
            "objection",
            &c.at("signal"),
            "resistor_overloaded",
            !cool,
            "false: a place bears it",
        );
    }
    let due_at = nowhere(&rating) || nowhere(&c.at("with").at("rating")) || loud;
    due(judge, c, "no-place", due_at);
    if let Some(o) = raised(c, "no-place").filter(|_| loud) {
        judge.equal("objection", &o, "watts_w", 1.05 * full);
    }
    if let Some(o) = raised(c, "no-place").filter(|_| nowhere(&rating)) {
        judge.equal("objection", &o, "watts_w", rating.num("worst_w"));
        judge.equal("objection", &o, "rated_w", rating.num("rated_w"));
    }
    let falls = c.at("signal").opt("heater_fall_share");
    let sags = c.text("id") == "series-resistor" && falls.is_some_and(|fall| fall > 0.03);
    due(judge, c, "sags-with-signal", sags);
    if let Some(o) = raised(c, "sags-with-signal") {
        judge.equal("objection", &o, "fall", falls.unwrap_or(f64::NAN));
    }
}

/// What burns, or has no solution, speaks against the part.
fn faults(judge: &mut Judge, c: &At) {
    let own = c.list("faults");
    let against: Vec<At> = c.list("objections");
    let told = |kind: &str, fault: &str| {
        against.iter().any(|o| o.text("kind") == kind && o.text("fault") == fault)
    };
    for f in own.iter().filter(|f| f.flag("burns")) {
        let ok = told("fault-burns", f.text("fault"));
        judge.tell("burns-objects", f, "burns", ok, "an objection against the part");
        let advised = c.text("standing") == "advised";
        judge.tell("burns-objects", f, "burns", !advised, "false: the part is advised");
    }
    for f in own.iter().filter(|f| f.has("unsolved") && c.text("id") != "as-is") {
        let ok = told("fault-unsolved", f.text("fault"));
        judge.tell("burns-objects", f, "unsolved", ok, "an objection against the part");
    }
    for o in against.iter().filter(|o| o.text("kind") == "fault-burns") {
        judge.at_least("burns-objects", o, "watts_w", o.num("allowed_w"));
        let known = own.iter().any(|f| f.text("fault") == o.text("fault"));
        judge.tell("burns-objects", o, "fault", known, "a fault of the choice");
    }
}

/// Volts across its own primary, and how large a step transformer is.
fn transformer(judge: &mut Judge, c: &At, set: &Set) {
    let high = c.at("day").at("high");
    let parts = high.list("lead_parts");
    let of = |end: &str| parts.iter().find(|p| p.text("name").ends_with(end));
    if let (true, Some(p)) = (set.is_small(c), of("primary")) {
        let over = p.num("volts_v") > 1.1 * c.num("part_primary_v");
        due(judge, c, "primary-volts", over);
    }
    let step = matches!(c.text("id"), "step-down" | "step-up");
    let set_w = high.num("line_w") - high.num("lead_w");
    if let (true, Some(w)) = (step, Windings::read(c.text("part").split(';').next().unwrap_or("")))
    {
        due(judge, c, "too-small", w.va() < 2.0 * set_w);
    }
    let raises = matches!(c.text("id"), "boost-outlet" | "boost-set");
    // the high line of a standard decides nothing
    if raises && set.reads_high() {
        due(judge, c, "raised-too-far", high.num("set_v") > 1.05 * set.design_v);
    }
    if let Some(o) = raised(c, "raised-too-far") {
        judge.tell("objection", &o, "set_v", o.num("set_v") > o.num("most_v"), "above most_v");
    }
}
