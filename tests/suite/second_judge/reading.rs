//! What must hold of every operating point: Ohm's and Kirchhoff's laws, watts, limits.

use super::at::{At, Judge};

/// What a reading is of.
pub struct Of {
    pub design_v: f64,
    pub made_for_hz: f64,
    pub runs_on_hz: Option<f64>,
    /// Rated volts of the tap in use there, where the choice is another tap; none where it is not known.
    pub own_tap: bool,
}

pub fn reading(judge: &mut Judge, r: &At, of: &Of) {
    power(judge, r);
    resistors(judge, r);
    tubes(judge, r);
    direct_volts(judge, r);
    heat(judge, r);
    string(judge, r);
    transformer(judge, r, of);
    limits(judge, r, of);
}

/// P = U·I·cos φ, and what no waveform can pass.
fn power(judge: &mut Judge, r: &At) {
    let (volts, amps, factor) = (r.num("outlet_v"), r.num("line_a"), r.num("power_factor"));
    judge.equal("power", r, "line_w", volts * amps * factor);
    judge.at_most("power", r, "power_factor", 1.0);
    judge.at_least("power", r, "crest_factor", 1.0);
    judge.at_least("power", r, "line_w", r.num("lead_w"));
    // what goes into the primary is less than its volt-amperes
    let left = r.num("set_v") * r.num("primary_a");
    judge.at_most("power", r, "line_w", left + r.num("lead_w"));
}

/// Whether what drops the line is a plain resistance within a cycle.
fn is_resistance(name: &str) -> bool {
    // of a diode dropper its resistor is told
    name != "capacitor dropper" && !name.contains("primary") && !name.contains("secondary")
}

/// U = I·R, P = U·I; of direct current with ripple the heat is that of RMS and not less than that of the mean.
fn resistors(judge: &mut Judge, r: &At) {
    // the means are taken nearer to the steady state than the RMS: no more than 2e-5 of it (docs/model.md, section 13)
    let steady = 1.0 - 4e-5;
    for f in r.list("filter_resistors") {
        judge.equal("ohm", &f, "drop_v", f.num("current_a") * f.num("ohms"));
        judge.at_least("ohm", &f, "power_w", f.num("drop_v") * f.num("current_a") * steady);
    }
    for c in r.list("coils") {
        let least = c.num("drop_v") * c.num("current_a") * steady;
        judge.at_least("ohm", &c, "power_w", least);
        judge.at_least("ohm", &c, "drop_v", 0.0);
    }
    for p in r.list("lead_parts").iter().chain(&r.list("droppers")) {
        let watts = p.num("volts_v") * p.num("current_a");
        if is_resistance(p.text("name")) {
            judge.equal("ohm", p, "power_w", watts);
        } else {
            judge.at_most("ohm", p, "power_w", watts);
        }
    }
}

/// Dissipation is the volts to the cathode times the current.
fn tubes(judge: &mut Judge, r: &At) {
    for t in r.list("tubes") {
        let cathode = t.num("cathode_v");
        judge.equal("tube", &t, "plate_w", (t.num("plate_v") - cathode) * t.num("plate_a"));
        if let Some(screen) = t.opt("screen_v") {
            judge.equal("tube", &t, "screen_w", (screen - cathode) * t.num("screen_a"));
        } else {
            judge.null("tube", &t, "screen_w", true);
        }
    }
}

/// Kirchhoff: what lies between reservoir and B+, and between first capacitor and B+, is a sum of drops of the filter.
fn direct_volts(judge: &mut Judge, r: &At) {
    let filter: Vec<At> = r.list("coils").into_iter().chain(r.list("filter_resistors")).collect();
    let drops: Vec<f64> = filter.iter().map(|f| f.num("drop_v")).collect();
    let mut sums = vec![0.0];
    for drop in drops {
        sums.extend(sums.clone().iter().map(|sum| sum + drop));
    }
    let b_plus = r.num("b_plus_v");
    let is_sum = |volts: f64| {
        sums.iter().any(|sum| (b_plus + sum - volts).abs() <= 1e-3 + 1e-5 * volts.abs())
    };
    let told = "B+ and drops of the filter";
    judge.tell("volts-add-up", r, "reservoir_v", is_sum(r.num("reservoir_v")), told);
    let stack: Vec<At> = r.list("capacitors");
    let own: Vec<f64> = stack
        .iter()
        .filter(|c| !c.text("name").contains("B2+"))
        .map(|c| c.num("volts_v"))
        .collect();
    for c in &stack {
        judge.at_least("volts-add-up", c, "peak_v", c.num("volts_v"));
    }
    if let [first, rest @ ..] = &own[..] {
        let second = rest.first().copied().unwrap_or(f64::NAN);
        // of a doubler each has about half, both on each other or the first in the lead
        let doubles = *first < b_plus;
        let ok = is_sum(*first) || doubles && (is_sum(first + second) || is_sum(second));
        judge.tell("volts-add-up", &stack[0], "volts_v", ok, told);
    }
}

/// No more heat than watts from the outlet. The heaters' watts and the rectifier's are not in the JSON.
fn heat(judge: &mut Judge, r: &At) {
    let of = |key: &str| -> f64 { r.list(key).iter().map(|p| p.num("power_w")).sum() };
    let tube = |t: &At| t.num("count") * (t.num("plate_w") + t.opt("screen_w").unwrap_or(0.0));
    let tubes: f64 = r.list("tubes").iter().map(tube).sum();
    let iron = r.at("transformer").opt("loss_w").unwrap_or(0.0);
    let known =
        of("coils") + of("filter_resistors") + of("lead_parts") + of("droppers") + tubes + iron;
    judge.at_least("heat-balance", r, "line_w", known);
}

/// Resistances in series carry one current, so that their volts add up to those across all.
fn string(judge: &mut Judge, r: &At) {
    let links = r.list("heaters");
    let links: Vec<&At> = links.iter().filter(|h| h.flag("in_string")).collect();
    let side_by_side = links.iter().any(|h| h.has("branch"));
    if links.is_empty() || side_by_side {
        return;
    }
    let droppers = r.list("droppers");
    let named = |start: &str| -> f64 {
        let of = droppers.iter().filter(|d| d.text("name").starts_with(start));
        of.map(|d| d.num("volts_v")).sum()
    };
    let sum = links.iter().map(|h| h.num("volts_v")).sum::<f64>()
        + named("heater dropper")
        + named("resistance cord")
        + named("ballast");
    if droppers.iter().any(|d| d.text("name") == "diode dropper") {
        // half of the sine alone, but for the diode's own drop
        let half = r.num("set_v") / 2f64.sqrt();
        // behind a resistance in the lead it is no sine
        let sine = r.list("lead_parts").is_empty();
        let ok = !sine || (sum + named("diode") - half).abs() <= 0.03 * half;
        judge.tell(
            "string-adds-up",
            r,
            "set_v",
            ok,
            format!("the root of 2 times {}", sum + named("diode")),
        );
        return;
    }
    if droppers.iter().any(|d| d.text("name") == "capacitor dropper") {
        // volts out of phase: the whole is less than their sum and not less than the largest
        let all = sum + named("capacitor") + named("resistor of the cap");
        judge.at_most("string-adds-up", r, "set_v", all);
        judge.at_least("string-adds-up", r, "set_v", sum);
        return;
    }
    judge.at_most("string-adds-up", r, "set_v", sum);
    // through a tapped rectifier heater flows B+ current as well, which is not in step with the line
    judge.at_least("string-adds-up", r, "set_v", 0.99 * sum);
}

fn transformer(judge: &mut Judge, r: &At, of: &Of) {
    let t = r.at("transformer");
    if !t.is_there() {
        return;
    }
    judge.equal("transformer", &t, "loss_w", t.num("copper_w") + t.num("iron_w"));
    judge.at_least("transformer", &t, "temperature_c", t.num("temperature_low_c"));
    judge.at_most("transformer", &t, "temperature_c", t.num("temperature_high_c"));
    if let (true, Some(hz)) = (of.own_tap, of.runs_on_hz) {
        let flux = |volts: f64| volts / of.design_v * of.made_for_hz / hz;
        let droppers = r.list("droppers");
        match droppers.iter().find(|d| d.text("name") == "mains resistor") {
            // RMS volts out of phase
            Some(d) => {
                judge.at_least("transformer", &t, "flux", flux(r.num("set_v") - d.num("volts_v")));
                judge.at_most("transformer", &t, "flux", flux(r.num("set_v")));
            }
            None => judge.same("transformer", &t, "flux", flux(r.num("set_v")), 1e-4),
        }
    }
    judge.at_least("transformer", r, "primary_a", t.num("magnetizing_dc_a").abs());
}

/// Figure and limit that a row of `limits` must repeat; no limit where the JSON has none to compare.
fn limited(r: &At, what: &str, of: &Of) -> Option<Vec<(f64, Option<f64>)>> {
    let ends = |end: &str| what.strip_suffix(end);
    let named = |key: &str, name: &str, by: &str| -> Vec<At> {
        r.list(key).into_iter().filter(|x| x.text(by) == name).collect()
    };
    let figures = |list: Vec<At>, one: &dyn Fn(&At) -> (f64, Option<f64>)| {
        Some(list.iter().map(one).collect::<Vec<_>>())
    };
    if let Some(name) = ends(" heaters, at least") {
        let list = named("heaters", name, "winding");
        return figures(list, &|h| (h.num("volts_v"), Some(0.9 * h.num("rated_v"))));
    }
    if let Some(name) = ends(" heaters") {
        let list = named("heaters", name, "winding");
        return figures(list, &|h| (h.num("volts_v"), Some(1.1 * h.num("rated_v"))));
    }
    let to_cathode = |t: &At, key: &str| t.num(key) - t.num("cathode_v");
    if let Some(name) = ends(", plate dissipation") {
        let list = named("tubes", name, "name");
        return figures(list, &|t| (t.num("plate_w"), t.opt("plate_limit_w")));
    }
    if let Some(name) = ends(", screen dissipation") {
        return figures(named("tubes", name, "name"), &|t| (t.num("screen_w"), None));
    }
    if let Some(name) = ends(", plate") {
        return figures(named("tubes", name, "name"), &|t| (to_cathode(t, "plate_v"), None));
    }
    if let Some(name) = ends(", screen") {
        return figures(named("tubes", name, "name"), &|t| (to_cathode(t, "screen_v"), None));
    }
    if let Some(name) = ends(", at work") {
        let list = named("capacitors", name, "name");
        return figures(list, &|c| (c.num("peak_v"), c.opt("rated_v")));
    }
    if let Some(name) = ends(" temperature") {
        return figures(named("coils", name, "name"), &|c| (c.num("temperature_c"), Some(100.0)));
    }
    if what == "filter resistor, heat" {
        let list = r.list("filter_resistors");
        return figures(list, &|f| (f.num("power_w"), f.opt("rated_w")));
    }
    if let Some(name) = ends(", heat") {
        return figures(named("droppers", name, "name"), &|d| (d.num("power_w"), None));
    }
    if let Some(name) = ends(", AC volts") {
        return figures(named("droppers", name, "name"), &|d| (d.num("volts_v"), None));
    }
    if let Some(name) = ends(", highest it bears").or(ends(", lowest it holds at")) {
        let name = name.replace('-', " ");
        return figures(named("droppers", &name, "name"), &|d| (d.num("volts_v"), None));
    }
    if what == "core flux, volts per hertz" {
        let per_hertz = of.design_v / of.made_for_hz;
        let got = r.at("transformer").num("flux") * per_hertz;
        return Some(vec![(got, Some(1.1 * per_hertz))]);
    }
    let rectifier =
        if what.contains("(B2+)") { r.at("second").at("rectifier") } else { r.at("rectifier") };
    let figure = |key: &str| Some(vec![(rectifier.num(key), None)]);
    if ends(" DC output").is_some() {
        // separate diodes share it
        let dc = rectifier.num("dc_a");
        return Some(vec![(dc, None), (dc / 2.0, None)]);
    }
    if ends(" peak plate current").is_some() {
        return figure("peak_plate_a");
    }
    ends(" peak inverse").and_then(|_| figure("peak_inverse_v"))
}

fn limits(judge: &mut Judge, r: &At, of: &Of) {
    let list = r.list("limits");
    for l in &list {
        let (what, value, limit) = (l.text("what"), l.num("value"), l.num("limit"));
        let Some(known) = limited(r, what, of) else {
            judge.tell("limit-value", l, "what", false, "a limit that this judge knows");
            continue;
        };
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-6 * b.abs().max(1.0);
        let ok = known.iter().any(|k| near(value, k.0) && k.1.is_none_or(|l| near(limit, l)));
        judge.tell("limit-value", l, "value", ok, format!("one of {known:?} (value, limit)"));
        let least = what.ends_with(", at least") || what.ends_with(", lowest it holds at");
        let left = if least { value - limit } else { limit - value };
        let standing = match () {
            () if left < 0.0 => "beyond",
            () if left < limit / 20.0 => "near",
            () => "within",
        };
        judge.tell("limit-standing", l, "standing", l.text("standing") == standing, standing);
    }
    let has = |what: String| list.iter().any(|l| l.text("what") == what);
    for c in r.list("capacitors").iter().filter(|c| c.has("rated_v")) {
        let ok = has(format!("{}, at work", c.text("name")));
        judge.tell("limit-value", c, "rated_v", ok, "a row of limits");
    }
    for t in r.list("tubes").iter().filter(|t| t.has("plate_limit_w")) {
        let ok = has(format!("{}, plate dissipation", t.text("name")));
        judge.tell("limit-value", t, "plate_limit_w", ok, "a row of limits");
    }
    for h in r.list("heaters").iter().filter(|h| h.flag("feeds_tubes") && h.num("rated_v") > 0.0) {
        let ok = has(format!("{} heaters", h.text("winding")));
        judge.tell("limit-value", h, "rated_v", ok, "a row of limits");
    }
}
