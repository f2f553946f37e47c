//! A choice: its part, day, band, heat and places, and what its windings make of the volts.

use super::Set;
use super::at::{At, Judge, Resistor, Windings, resistor};

pub fn choice(judge: &mut Judge, c: &At, set: &Set) {
    if c.has("day") {
        day(judge, c, set);
        lead(judge, c);
        band(judge, c);
        target(judge, c, set);
        signal(judge, c);
    }
    part(judge, c, set);
    turns(judge, c);
    connect(judge, c, set);
}

/// Low, usual and high are those of the outlet, and what the line drives rises with it.
fn day(judge: &mut Judge, c: &At, set: &Set) {
    let day = c.at("day");
    let at = ["low", "usual", "high"].map(|key| day.at(key));
    for (reading, key) in at.iter().zip(["low_v", "usual_v", "high_v"]) {
        judge.equal("day", reading, "outlet_v", set.outlet.num(key));
    }
    let straight = matches!(c.text("id"), "as-is" | "tap" | "take-out" | "heater-dropper");
    for pair in at.windows(2) {
        for key in ["set_v", "b_plus_v", "reservoir_v", "line_w"] {
            judge.at_least("day", &pair[1], key, pair[0].num(key) * (1.0 - 1e-4));
        }
        for (low, high) in pair[0].list("heaters").iter().zip(pair[1].list("heaters")) {
            judge.at_least("day", &high, "volts_v", low.num("volts_v") * (1.0 - 1e-4));
        }
    }
    for r in at.iter().filter(|r| straight && r.list("lead_parts").is_empty()) {
        let mains: f64 = r.list("droppers").iter().map(mains_drop).sum();
        if mains == 0.0 {
            judge.equal("day", r, "set_v", r.num("outlet_v"));
        }
    }
}

/// Volts across a resistor that stands in the line cord.
fn mains_drop(dropper: &At) -> f64 {
    if dropper.text("name") == "mains resistor" { dropper.num("volts_v") } else { 0.0 }
}

/// What the parts in the lead take off, or add, lies between line and set: RMS volts obey the triangle inequality.
fn lead(judge: &mut Judge, c: &At) {
    for r in ["low", "usual", "high"].map(|key| c.at("day").at(key)) {
        let parts = r.list("lead_parts");
        let of = |end: &str| parts.iter().find(|p| p.text("name").ends_with(end));
        let in_step = parts.iter().any(|p| p.text("name").starts_with("transformer"));
        let drop = of("series resistor").or(of("bucking secondary")).or(of("boosting secondary"));
        if let (Some(drop), false) = (drop, in_step) {
            let volts =
                drop.num("volts_v") + r.list("droppers").iter().map(mains_drop).sum::<f64>();
            judge.at_least("lead", &r, "set_v", r.num("outlet_v") - volts);
            judge.at_most("lead", &r, "set_v", r.num("outlet_v") + volts);
            let way = drop.text("name").starts_with("boosting");
            judge.tell("lead", &r, "set_v", way == (r.num("set_v") > r.num("outlet_v")), {
                if way { "above the outlet" } else { "below the outlet" }
            });
        }
        if let (Some(last), false) = (of("transformer secondary"), c.at("behind").has("part")) {
            judge.equal("lead", &r, "set_v", last.num("volts_v"));
        }
        let heat: f64 = parts.iter().map(|p| p.num("power_w")).sum();
        judge.at_least("lead", &r, "lead_w", heat * (1.0 - 1e-6));
        if let (Some(p), "series-resistor" | "thermistor" | "lamp") = (parts.first(), c.text("id"))
        {
            judge.equal("lead", &r, "lead_w", p.num("power_w"));
            judge.equal("ohm", p, "current_a", r.num("line_a"));
        }
        if let (Some(p), "series-resistor") = (parts.first(), c.text("id")) {
            judge.equal("ohm", p, "volts_v", p.num("current_a") * c.num("part_value"));
        }
    }
}

/// The heaters by which the target is judged: those that JSON's `target_miss` is of.
fn band(judge: &mut Judge, c: &At) {
    let (band, day) = (c.at("band"), c.at("day"));
    if !band.is_there() {
        judge.null("band", c, "band", false);
        return;
    }
    let rated = band.num("heater_rated_v");
    let volts = |key: &str, off: f64| -> Vec<f64> {
        let all = day.at(key).list("heaters");
        let of = all.iter().filter(|h| (h.num("rated_v") - rated).abs() < 1e-6);
        of.map(|h| h.num("volts_v") + off).collect()
    };
    // what is off one way only moves both ends: the ± holds the farther one, the other lies within it
    let off = band.num("heater_uncertain_v");
    let (low, high) = (band.num("heater_low_v"), band.num("heater_high_v"));
    let within = |(l, h): (f64, f64)| {
        let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
        low >= l - 1e-6 && high <= h + 1e-6 && (near(low, l) || near(high, h))
    };
    let ok = volts("low", -off).into_iter().zip(volts("high", off)).any(within);
    judge.tell("band", &band, "heater_low_v", ok, "the day's volts, less and plus the ±");
    let off = band.num("b_plus_uncertain_v");
    let least = day.at("low").num("b_plus_v") - off;
    let most = day.at("high").num("b_plus_v") + off;
    judge.at_least("band", &band, "b_plus_low_v", least);
    judge.at_most("band", &band, "b_plus_high_v", most);
    let one = (band.num("b_plus_low_v") - least).abs() < 1e-6 * least.abs()
        || (band.num("b_plus_high_v") - most).abs() < 1e-6 * most;
    judge.tell("band", &band, "b_plus_low_v", one, format!("{least}, or {most} at the other end"));
    for (share, all) in
        [("part_heater_v", "heater_uncertain_v"), ("part_b_plus_v", "b_plus_uncertain_v")]
    {
        judge.at_least("band", &band, share, 0.0);
        judge.at_most("band", &band, share, band.num(all));
    }
}

/// How far the target is missed, from the heaters' own volts; the exact value meets it.
fn target(judge: &mut Judge, c: &At, set: &Set) {
    let misses = |reading: &At| -> Vec<f64> {
        let all = reading.list("heaters");
        let fed = all.iter().filter(|h| h.flag("feeds_tubes") && h.num("rated_v") > 0.0);
        fed.map(|h| h.num("volts_v") / (h.num("rated_v") * set.goal) - 1.0).collect()
    };
    if !set.root.text("target").starts_with("heaters") {
        return;
    }
    // a goal that is not the rating is told with two decimals
    let near = if set.goal == 1.0 { 1e-4 } else { set.goal_within };
    let (miss, seen) = (c.num("target_miss"), misses(&c.at("day").at("usual")));
    let ok = seen.iter().any(|s| (s - miss).abs() < near);
    judge.tell("target", c, "target_miss", ok, format!("one of {seen:?}"));
    if c.has("exact_reading") {
        let met = misses(&c.at("exact_reading"));
        let ok = met.iter().any(|m| m.abs() < near);
        judge.tell("target", c, "exact", ok, format!("rated heaters, but {met:?}"));
    }
    // more ohms, fewer volts
    if let ("series-resistor" | "heater-dropper", Some(exact)) = (c.text("id"), c.opt("exact")) {
        let value = c.num("part_value");
        let ok = miss.abs() < 2e-4 || (value > exact) == (miss < 0.0);
        judge.tell(
            "target",
            c,
            "part_value",
            ok,
            format!("more than {exact} as it misses by {miss}"),
        );
    }
}

/// Value, rating and words of the part are one thing, and so is its heat.
fn part(judge: &mut Judge, c: &At, set: &Set) {
    let sized = matches!(c.text("id"), "series-resistor" | "heater-dropper");
    if let (true, true) = (sized, c.has("part")) {
        let against = c.list("objections");
        if against.iter().any(|o| o.text("kind") == "no-size") {
            judge.null("part", c, "part_rated_w", true);
            return;
        }
        let Some(known) = resistor(c.text("part")) else {
            judge.tell("part", c, "part", false, "a resistor's ohms, watts and family");
            return;
        };
        judge.equal("part", c, "part_value", known.ohms);
        judge.same("part", c, "part_rated_w", known.rated_w, 1e-6);
        let rating = c.at("rating");
        judge.same("part", &rating, "rated_w", known.rated_w, 1e-6);
        let high = c.at("day").at("high");
        let heat: f64 = match c.text("id") {
            "series-resistor" => high.num("lead_w"),
            _ => high.list("droppers").iter().filter(is_dropper).map(|d| d.num("power_w")).sum(),
        };
        // 5 % of tolerance
        judge.equal("worst-heat", &rating, "worst_w", 1.05 * heat);
        places(judge, c, &rating, &known, sized_by(c));
    }
    if let (true, Some(windings)) = (set.is_small(c), Windings::read(c.text("part"))) {
        judge.equal("part", c, "part_value", windings.secondary_v);
        judge.equal("part", c, "part_primary_v", windings.primary_v);
    }
    let with = c.at("with");
    if with.is_there() {
        let Some(known) = resistor(with.text("part")) else {
            judge.tell("part", &with, "part", false, "a resistor's ohms, watts and family");
            return;
        };
        judge.equal("part", &with, "value", known.ohms);
        judge.equal("part", &with.at("rating"), "rated_w", known.rated_w);
        let surge = c.at("day").at("high").list("droppers");
        let surge: Vec<f64> = surge
            .iter()
            .filter(|d| d.text("name").starts_with("surge resistor"))
            .map(|d| 1.05 * d.num("power_w"))
            .collect();
        let worst = with.at("rating").num("worst_w");
        let ok = surge.iter().any(|w| (w - worst).abs() <= 1e-6 * worst);
        judge.tell("worst-heat", &with.at("rating"), "worst_w", ok, format!("one of {surge:?}"));
        places(judge, c, &with.at("rating"), &known, 0.0);
    }
}

fn is_dropper(d: &&At) -> bool {
    d.text("name").starts_with("heater dropper")
}

/// The most that it gets in a fault that the fuse may hold, W.
fn sized_by(c: &At) -> f64 {
    let held = c.list("faults");
    let held = held.iter().filter(|f| {
        f.has("fuse") && f.at("fuse").opt("opens_within_s").is_none_or(|t| t >= 3600.0)
    });
    held.filter_map(|f| f.opt("part_w")).fold(0.0, f64::max)
}

/// Surface of the part in such air with such heat, °C (docs/model.md, section 17).
fn surface(part: &Resistor, air_c: f64, watts: f64) -> f64 {
    let one = watts * part.share;
    match part.family.plate {
        Some(kelvin) => air_c + plate_kelvin(kelvin, part.each_w) * one,
        None => air_c + 300.0 * (one / (part.each_w * part.family.left)).powf(0.65),
    }
}

/// Kelvin a watt of a housed part: makers' figures at 10, 15, 25 and 50 W, others inversely from the nearest.
fn plate_kelvin(ten: f64, rated_w: f64) -> f64 {
    let sheet = [(10.0, ten), (15.0, 10.0), (25.0, 6.0), (50.0, 3.5)];
    let near = |row: &(f64, f64)| (row.0 / rated_w).ln().abs();
    let row = sheet.iter().min_by(|a, b| near(a).total_cmp(&near(b)));
    row.map_or(f64::NAN, |(watts, kelvin)| kelvin * watts / rated_w)
}

/// Each place: derated rating, load, surface, and whether it is suitable by them.
fn places(judge: &mut Judge, c: &At, rating: &At, part: &Resistor, held_w: f64) {
    let worst = rating.num("worst_w");
    for (i, place) in rating.list("places").iter().enumerate() {
        let air = place.num("ambient_c");
        let derated = part.family.derated(part.rated_w, air);
        judge.equal("derating", place, "derated_w", derated);
        judge.equal("derating", place, "load", worst / derated);
        judge.same("derating", place, "surface_c", surface(part, air, worst), 1e-4);
        let name = place.text("place");
        let Some((_, known_air, limit)) = PLACES.iter().find(|p| p.0 == name) else {
            judge.tell("place", place, "place", false, "a place of docs/model.md, section 18");
            continue;
        };
        judge.equal("place", place, "ambient_c", *known_air);
        let held = i > 0 && (held_w > derated || surface(part, air, held_w) > 150.0);
        let suits = worst / derated <= 0.5
            && place.num("surface_c") <= *limit
            && !(held && limit.is_finite());
        judge.flag("place", place, "acceptable", suits);
    }
    if c.text("standing") == "advised" {
        let list = rating.list("places");
        let ok = list.iter().any(|p| p.flag("acceptable"));
        judge.tell("place", rating, "places", ok, "a suitable place of an advised part");
    }
}

/// Place, air and highest surface, °C (docs/model.md, section 18).
const PLACES: [(&str, f64, f64); 6] = [
    ("grounded metal box in the line cord, ventilated", 40.0, f64::INFINITY),
    ("on the chassis, 25 mm clear", 60.0, 90.0),
    ("inside a wooden cabinet", 50.0, 90.0),
    ("grounded metal box outside, its own three-wire cable", 40.0, f64::INFINITY),
    ("on metal inside, above the chassis, ventilated", 60.0, 90.0),
    ("on a terminal strip under the metal chassis", 60.0, f64::INFINITY),
];

/// Windings by their turns: what a secondary gives is n times the primary's volts but for the drops in both coppers, and
/// ampere-turns balance but for the core's current.
fn turns(judge: &mut Judge, c: &At) {
    let words: Vec<&str> = c.text("part").split("; ").collect();
    for r in ["low", "usual", "high"].map(|key| c.at("day").at(key)) {
        let parts = r.list("lead_parts");
        for (first, second) in [
            ("bucking primary", "bucking secondary"),
            ("boosting primary", "boosting secondary"),
            ("transformer primary", "transformer secondary"),
        ] {
            let of = |name: &str| parts.iter().find(|p| p.text("name") == name);
            let (Some(p), Some(s)) = (of(first), of(second)) else {
                continue;
            };
            let step = first.starts_with("transformer");
            let own = if step { words.first() } else { words.last() };
            let Some(w) = own.and_then(|text| Windings::read(text)) else {
                judge.tell("turns", c, "part", false, "volts and amperes of a transformer");
                continue;
            };
            let (n, (rs, rp)) = (w.ratio(), w.copper());
            let (ip, is) = (p.num("current_a"), s.num("current_a"));
            let wanted = n * p.num("volts_v");
            let drops = n * rp * ip + rs * is;
            judge.at_least("turns", s, "volts_v", wanted - drops);
            judge.at_most("turns", s, "volts_v", wanted + drops);
            judge.equal("winding-heat", s, "power_w", is * is * rs);
            judge.equal("winding-heat", p, "power_w", ip * ip * rp);
            // its iron may be past its knee, up to 1.1 times its volts and more at a line that is not judged
            let over = (p.num("volts_v") / w.primary_v).max(1.0);
            let core = 1.2 * w.core_a() * over.powi(9).min(40.0);
            judge.at_most("turns", p, "current_a", n * is + core);
            judge.at_least("turns", p, "current_a", n * is - core);
            if c.text("standing") == "advised" && !step {
                judge.at_most("winding-bears", s, "current_a", w.secondary_a);
            }
        }
    }
}

/// What to measure before the set is connected: by turns, without a load.
fn connect(judge: &mut Judge, c: &At, set: &Set) {
    let connect = c.at("connect");
    if !connect.is_there() {
        return;
    }
    if c.text("id") == "series-resistor" {
        for key in ["usual_v", "high_v"] {
            judge.equal("connect", &connect, key, set.outlet.num(key));
        }
        for row in connect.list("ohms") {
            judge.equal("connect", &row, "ohms", c.num("part_value"));
        }
    }
    let sign = match c.text("id") {
        "bucking-outlet" | "bucking-set" => -1.0,
        "boost-outlet" | "boost-set" => 1.0,
        _ => return,
    };
    let Some(w) = Windings::read(c.text("part")) else {
        return;
    };
    let n = w.ratio();
    let across = |outlet: bool, sign: f64| {
        if outlet { 1.0 + sign * n } else { 1.0 / (1.0 - sign * n) }
    };
    let outlet = c.text("id").ends_with("outlet");
    // the core's current in the primary's copper takes a thousandth or so; far beyond its rated volts the iron asks for more,
    // and what is induced is less: the output comes nearer to the line
    let mut told = |at: &At, key: &str, (outlet, sign): (bool, f64)| {
        let line = set.outlet.num(key);
        let ideal = line * across(outlet, sign);
        let primary = if outlet { line } else { ideal };
        if primary <= 1.1 * w.primary_v {
            judge.same("connect", at, key, ideal, 0.005);
        } else {
            judge.at_most("connect", at, key, ideal.max(line) * 1.001);
            judge.at_least("connect", at, key, ideal.min(line) * 0.999);
        }
    };
    for key in ["usual_v", "high_v"] {
        told(&connect, key, (outlet, sign));
        for wrong in connect.list("wrong") {
            match wrong.text("how") {
                "secondary-swapped" => told(&wrong, key, (outlet, -sign)),
                "primary-on-other-side" => told(&wrong, key, (!outlet, sign)),
                "both" => told(&wrong, key, (!outlet, -sign)),
                _ => {}
            }
        }
    }
    for wrong in connect.list("wrong").iter().filter(|w| w.text("how") == "windings-swapped") {
        judge.null("connect", wrong, "usual_v", true);
    }
    for row in connect.list("ohms") {
        let (secondary, primary) = w.copper();
        let ohms = if row.text("of").ends_with("secondary") { secondary } else { primary };
        judge.equal("connect", &row, "ohms", ohms);
    }
}

/// At rest the signal's figures are those of the usual line; shares are of the figures beside them.
fn signal(judge: &mut Judge, c: &At) {
    let (signal, usual) = (c.at("signal"), c.at("day").at("usual"));
    if !signal.is_there() {
        return;
    }
    let (rest, full) = (signal.at("rest"), signal.at("full"));
    for key in ["b_plus_v", "line_a", "line_w", "lead_w"] {
        judge.same("signal", &rest, key, usual.num(key), 1e-6);
    }
    if full.is_there() {
        let sag = full.num("b_plus_v") / rest.num("b_plus_v") - 1.0;
        judge.equal("signal", &signal, "sag_share", sag);
        let fall = rest.num("heater_excess") - full.num("heater_excess");
        judge.equal("signal", &signal, "heater_fall_share", fall);
    } else {
        judge.null("signal", &signal, "sag_share", true);
    }
}
