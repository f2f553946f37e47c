//! Verdict, strength, flags, and which choice is the least that brings the set right.

use super::Set;
use super::at::{At, Judge};
use super::fuse::{STANDARDS, standard};

/// Verdicts that a part follows, with the choices that may be meant.
const CHOICES: [(&str, &[&str]); 8] = [
    ("leave", &["as-is"]),
    ("leave-and-measure", &["as-is"]),
    ("change-tap", &["tap"]),
    ("take-out", &["take-out"]),
    (
        "fit",
        &["heater-dropper", "bucking-outlet", "bucking-set", "series-resistor", "tap-and-part"],
    ),
    // a smaller dropper raises as well
    ("boost", &["heater-dropper", "boost-outlet", "boost-set", "step-up", "tap-and-part"]),
    ("step-down", &["step-down"]),
    ("cannot-say", &[]),
];

/// How much is done to the set (docs/model.md, section 25).
fn rank(id: &str) -> Option<u8> {
    Some(match id {
        "as-is" => 0,
        "tap" | "take-out" => 1,
        "heater-dropper" => 2,
        "bucking-outlet" | "bucking-set" | "boost-outlet" | "boost-set" => 3,
        "series-resistor" | "tap-and-part" => 4,
        "step-down" | "step-up" => 5,
        _ => return None,
    })
}

pub fn advice(judge: &mut Judge, set: &Set) {
    let advice = set.root.at("advice");
    flags(judge, &advice, set);
    choice(judge, &advice, set);
    if set.by_heaters {
        strength(judge, &advice, set);
        least(judge, &advice, set);
    }
    changes(judge, &advice, set);
    texts(judge, &advice, set);
    set_fuse(judge, &advice, set);
}

/// How far the outlet is above what the set was made for: by volts, with iron by volts over frequency as well.
fn ratio(set: &Set, key: &str) -> f64 {
    let by_volts = set.outlet.num(&format!("{key}_v")) / set.design_v;
    let (made, runs) = (set.root.at("set").num("frequency_hz"), set.outlet.opt("frequency_hz"));
    let slower = runs.map_or(1.0, |runs| made / runs);
    // a resistor that a repairer put into the lead leaves less: the flux of the iron tells what
    let day = set.choice("as-is").map(|c| c.at("day").at(key).at("transformer"));
    let flux = day.and_then(|t| t.opt("flux"));
    match flux.filter(|_| set.root.at("set").has("mains_resistor_ohms")) {
        Some(flux) => flux.max(flux / slower),
        None if set.string => by_volts,
        None => by_volts.max(by_volts * slower),
    }
}

fn flags(judge: &mut Judge, advice: &At, set: &Set) {
    let (usual, high) = (ratio(set, "usual"), ratio(set, "high"));
    let named = set.outlet.has("range");
    let not_at_all = usual >= 1.20 || (!named && high >= 1.25);
    judge.flag("flags", advice, "do_not_plug_in", not_at_all);
    judge.flag("flags", advice, "not_without_part", !not_at_all && usual >= 1.10);
    let flagged = advice.flag("do_not_plug_in") || advice.flag("not_without_part");
    let Some(bare) = set.choice("as-is") else {
        judge.tell("flags", &set.root, "choices", false, "as-is among them");
        return;
    };
    judge.null("flags", &bare, "fuse", flagged);
    judge.null("flags", &bare, "cold_start", flagged);
    judge.tell("flags", &bare, "faults", !flagged || bare.list("faults").is_empty(), "none");
    let straight = bare.list("objections").iter().any(|o| o.text("kind") == "straight");
    judge.tell("flags", &bare, "objections", straight == flagged, format!("straight: {flagged}"));
    if flagged {
        let verdict = advice.text("verdict");
        let ok = !["leave", "leave-and-measure", "take-out", "boost", "remove-fitted"]
            .contains(&verdict);
        judge.tell("flags", advice, "verdict", ok, "a part, or nothing");
        judge.tell("flags", advice, "choice", advice.text("choice") != "as-is", "not as it is");
    }
}

/// Verdict and choice are one thing.
fn choice(judge: &mut Judge, advice: &At, set: &Set) {
    let (verdict, id) = (advice.text("verdict"), advice.text("choice"));
    if let Some((_, ids)) = CHOICES.iter().find(|c| c.0 == verdict) {
        let ok = if ids.is_empty() { id.is_empty() } else { ids.contains(&id) };
        judge.tell("verdict-choice", advice, "choice", ok, format!("one of {ids:?}"));
    }
    let told = ["change-tap", "take-out", "fit", "boost"].contains(&verdict);
    judge.null("verdict-choice", advice, "strength", !told);
    let advised: Vec<String> = set
        .root
        .list("choices")
        .iter()
        .filter(|c| c.text("standing") == "advised")
        .map(|c| c.text("id").to_owned())
        .collect();
    let ok = advised.iter().map(String::as_str).eq((!id.is_empty()).then_some(id));
    judge.tell("verdict-choice", advice, "choice", ok, format!("{advised:?}, which is advised"));
    if let Some(second) = set.choice(advice.text("runner_up")) {
        judge.tell("verdict-choice", advice, "runner_up", second.text("id") != id, "another");
        // where nothing serves, the two that come nearest are named
        let heaters = |o: &At| {
            let kind = o.text("kind");
            kind.starts_with("heaters-") || ["line-cord", "misses-target"].contains(&kind)
        };
        let nearly = set.choice(id).is_some_and(|c| !c.list("objections").is_empty());
        let ok = ["serves", "advised"].contains(&second.text("standing"))
            || second.text("id") == "as-is"
            || (nearly && second.list("objections").iter().all(heaters));
        judge.tell("verdict-choice", advice, "runner_up", ok, "one that serves");
        let pairs = [["bucking-outlet", "bucking-set"], ["boost-outlet", "boost-set"]];
        let kin = pairs.iter().any(|p| p.contains(&id) && p.contains(&second.text("id")));
        let others = set.root.list("choices").iter().any(|c| {
            c.text("standing") == "serves"
                && c.text("id") != second.text("id")
                && !pairs.iter().any(|p| p.contains(&id) && p.contains(&c.text("id")))
        });
        judge.tell("verdict-choice", advice, "runner_up", !kin || !others, "of another kind");
    }
    let Some(c) = set.choice(id) else {
        return;
    };
    // what is taken though something speaks against it: its heaters, or the old wire that it leaves
    for o in c.list("objections") {
        let ok = match o.text("kind") {
            "heaters-at-usual" => {
                c.text("id") == "as-is" || (-0.15..=0.10).contains(&o.num("excess"))
            }
            "heaters-through-the-day" | "line-cord" => true,
            "misses-target" => c.text("id") == "as-is" || o.num("share").abs() <= 0.10,
            _ => c.text("id") == "as-is",
        };
        judge.tell("advised-bears", &o, "kind", ok, "nothing worse than its heaters");
    }
    let bare = set.choice("as-is").map_or(f64::NAN, |c| c.num("target_miss").abs());
    if c.text("id") != "as-is" && !advice.text("verdict").ends_with("-fitted") {
        let ok = c.num("target_miss").abs() <= bare;
        judge.tell("advised-bears", &c, "target_miss", ok, format!("nearer than {bare} as it is"));
    }
}

/// From where a part is optional, from where needed; what is left is near enough to right.
fn strength(judge: &mut Judge, advice: &At, set: &Set) {
    let Some(bare) = set.choice("as-is") else {
        return;
    };
    let excess = bare.num("target_miss");
    let sev = set.severity(excess);
    let flagged = advice.flag("do_not_plug_in") || advice.flag("not_without_part");
    // each point is solved to 2e-5 of its volts
    let edge = 1e-3;
    match (advice.text("verdict"), advice.text("strength")) {
        ("leave", _) => {
            // a low set may be left; a high one only where nothing that could be done serves
            let done = set.root.list("choices").into_iter().any(|c| {
                c.text("standing") == "serves" && rank(c.text("id")).is_some_and(|r| r > 0)
            });
            let ok = sev <= 1.0 + edge || !done;
            judge.tell("severity", advice, "verdict", ok, format!("a part: {excess} over rated"));
        }
        ("fit" | "change-tap", "optional") => {
            judge.tell("severity", advice, "strength", !flagged, "needed: not without the part");
            let ok = sev >= 1.0 - edge && sev <= 2.0 + edge;
            judge.tell("severity", advice, "strength", ok, format!("not at {excess} over rated"));
        }
        ("fit" | "change-tap", _) => {
            // beyond what is optional, or something passes a limit that a part mends
            let high = bare.at("day").at("high");
            // an average tube's rating has the swing of the line in it; a coil's temperature is an estimate
            let counts = |l: &At| {
                let what = l.text("what");
                let over = l.num("value") / l.num("limit");
                let ceiling = l.text("rating") == "ceiling" && !what.ends_with("temperature");
                ceiling && over > 1.0 || what.ends_with("DC output") && over > 1.2
            };
            let heaters = |l: &At| l.text("what").ends_with(" heaters");
            let (usual, high_limits) =
                (bare.at("day").at("usual").list("limits"), high.list("limits"));
            let passed =
                usual.iter().any(counts) || high_limits.iter().any(|l| counts(l) && !heaters(l));
            // at high line 12 % are too much, and a string's current as much more
            let volts = |r: &At| -> f64 {
                let all = r.list("heaters");
                all.iter().find(|h| h.flag("feeds_tubes")).map_or(f64::NAN, |h| h.num("volts_v"))
            };
            let rise = volts(&high) / volts(&bare.at("day").at("usual"));
            let passed = passed || set.severity((1.0 + excess) * rise - 1.0) > 2.4 - edge;
            let start = bare.at("cold_start").list("capacitors");
            let passed = passed || start.iter().any(|k| k.flag("switch_on_exceeds"));
            let taps = advice.text("verdict") == "change-tap";
            let ok = sev > 2.0 - edge || taps && sev < -2.0 + edge || flagged || passed;
            judge.tell("severity", advice, "strength", ok, format!("optional at {excess}"));
        }
        ("boost", _) => {
            let usual = set.outlet.num("usual_v");
            judge.tell("severity", advice, "verdict", sev <= -2.0 + edge, "heaters over 10 % low");
            judge.tell("severity", advice, "verdict", usual < 0.90 * set.design_v, "a low outlet");
        }
        ("step-down", _) => {
            let ok = set.outlet.num("usual_v") > set.design_v;
            judge.tell("severity", advice, "verdict", ok, "an outlet above the design line");
        }
        _ => {}
    }
}

/// Nothing less intervenes that has no objection and brings the set right.
fn least(judge: &mut Judge, advice: &At, set: &Set) {
    let verdict = advice.text("verdict");
    let Some(c) = set.choice(advice.text("choice")) else {
        if verdict == "cannot-say" && !set.root.at("readings").has("contradiction") {
            let serves = set.root.list("choices").iter().any(|c| {
                c.text("standing") == "serves"
                    && rank(c.text("id")).is_some()
                    && set.severity(c.num("target_miss")).abs() <= 1.0
            });
            judge.tell("least", advice, "choice", !serves, "the choice that serves");
        }
        return;
    };
    let (Some(own), true) =
        (rank(c.text("id")), ["fit", "boost", "change-tap", "step-down"].contains(&verdict))
    else {
        return;
    };
    // in whole watts: less than one is no reason
    let heat = |c: &At| c.at("day").at("usual").num("lead_w").round();
    let miss = |c: &At| c.num("target_miss").abs();
    for other in set.root.list("choices") {
        let (Some(rank), "serves" | "advised") = (rank(other.text("id")), other.text("standing"))
        else {
            continue;
        };
        let sev = set.severity(other.num("target_miss"));
        if rank == 0 || sev.abs() > 1.0 {
            continue;
        }
        let nearer = heat(&other) == heat(&c) && miss(&other) < miss(&c) - 1e-9;
        let less = rank < own || (rank == own && (heat(&other) < heat(&c) || nearer));
        let told = format!("{}, which serves and is less", other.text("id"));
        judge.tell("least", advice, "choice", !less, told);
    }
}

/// Where the verdict changes lies on the side it names, and near where heaters in proportion say it.
fn changes(judge: &mut Judge, advice: &At, set: &Set) {
    let usual = set.outlet.num("usual_v");
    let verdict = advice.text("verdict");
    let bare = set.choice("as-is").map_or(f64::NAN, |c| c.num("target_miss"));
    for turn in advice.list("changes_at") {
        let volts = turn.num("voltage");
        judge.flag("changes-at", &turn, "above", volts > usual);
        let other = turn.text("verdict");
        judge.tell("changes-at", &turn, "verdict", other != verdict, "another verdict");
        let pair = (verdict == "leave" && other == "fit", other == "leave" && verdict == "fit");
        // where the iron decides, or a part that holds the current, it is not in proportion
        if let (true, Some(power)) = (pair.0 || pair.1, elasticity(set)) {
            judge.flag("changes-at", &turn, "above", pair.0);
            let sev = set.severity((1.0 + bare) * (volts / usual).powf(power) - 1.0);
            // from 1.10 of the design line on it is not left without the part, whatever its heaters
            let flag = (volts / (1.10 * set.design_v) - 1.0).abs() < 1e-3;
            let ok = (sev - 1.0).abs() <= 0.2 || (flag && sev < 1.0);
            let told = format!("where the severity is 1, but there it is {sev}");
            judge.tell("changes-at", &turn, "voltage", ok, told);
        }
    }
}

/// By what power of the line's the heaters' volts go: 1, behind resistance in series more, for heaters give way by
/// I = I0·(V/V0)^0.58. None where that does not tell.
fn elasticity(set: &Set) -> Option<f64> {
    if !set.by_heaters {
        return None;
    }
    let usual = set.choice("as-is")?.at("day").at("usual");
    let mut share = 0.0;
    for d in usual.list("droppers") {
        match d.text("name") {
            "capacitor dropper" | "diode dropper" => return None,
            name if name.starts_with("barretter") => return None,
            name if name.starts_with("heater dropper") || name.starts_with("ballast") => {
                share += d.num("volts_v") / usual.num("set_v");
            }
            _ => {}
        }
    }
    Some(1.0 / (1.0 - share + 0.58 * share))
}

/// What is said beside the verdict is there where it must be.
fn texts(judge: &mut Judge, advice: &At, set: &Set) {
    let verdict = advice.text("verdict");
    let count = |key: &str| advice.list(key).len();
    judge.tell("said", advice, "reasons", count("reasons") >= 1, "a reason");
    judge.tell(
        "said",
        advice,
        "repairs",
        verdict != "repair-first" || count("repairs") >= 1,
        "a repair",
    );
    let repaired = set.root.flag("put_right");
    judge.tell("said", advice, "repairs", !repaired || count("repairs") >= 1, "what is put right");
    if verdict == "leave-and-measure" {
        judge.null("said", advice, "measure", false);
    }
    let readings = set.root.at("readings");
    if readings.has("contradiction") {
        judge.tell("said", advice, "verdict", verdict == "cannot-say", "cannot-say");
    } else {
        let used = set.root.num("readings_used");
        judge.tell("said", &readings, "used", readings.num("used") == used, used);
    }
}

/// One set has one fuse: that of the advised choice, or as it is.
fn set_fuse(judge: &mut Judge, advice: &At, set: &Set) {
    let fuse = set.root.at("fuse");
    let id = if advice.has("choice") { advice.text("choice") } else { "as-is" };
    let Some(c) = set.choice(id) else {
        return;
    };
    let fitted = set.root.at("fitted");
    let fitted_stays = fitted.text("ruling") == "leave";
    judge.tell(
        "one-fuse",
        &set.root,
        "fuse",
        fuse.is_there() == c.has("fuse") || fitted_stays,
        "as its choice",
    );
    if !fuse.is_there() {
        return;
    }
    judge.tell("one-fuse", &fuse, "choice", fuse.text("choice") == id, id);
    super::fuse::fuse(judge, &fuse, set);
    let own = if fitted_stays { fitted.at("choice").at("fuse") } else { c.at("fuse") };
    for key in ["rating_a", "running_a", "inrush_a", "held_a", "standard", "must_change"] {
        let ok = fuse.value.get(key) == own.value.get(key);
        judge.tell("one-fuse", &fuse, key, ok, format!("that of {id}"));
    }
    if let Some(other) = set.choice(fuse.text("country_choice")) {
        let ok = other.list("objections").is_empty() && other.text("id") != id;
        judge.tell("one-fuse", &fuse, "country_choice", ok, "another with nothing against it");
        let named = other.at("fuse").text("standard");
        judge.tell(
            "one-fuse",
            &fuse,
            "country_choice",
            named == STANDARDS[0].name,
            STANDARDS[0].name,
        );
    }
    judge.tell(
        "one-fuse",
        &fuse,
        "standard",
        standard(fuse.text("standard")).is_some(),
        "UL or IEC",
    );
}
