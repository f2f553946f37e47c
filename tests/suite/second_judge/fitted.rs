//! What is fitted already, as left, later visits; a dry rectifier; assumptions.

use super::Set;
use super::at::{At, Judge};

const E24: [f64; 24] = [
    1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6,
    6.2, 6.8, 7.5, 8.2, 9.1,
];

pub fn fitted(judge: &mut Judge, set: &Set) {
    let (root, advice) = (&set.root, set.root.at("advice"));
    let fitted = root.at("fitted");
    if fitted.is_there() {
        let ruling = fitted.text("ruling");
        let verdict = advice.text("verdict");
        if verdict.ends_with("-fitted") {
            let expected = format!("{ruling}-fitted");
            judge.tell("fitted", &advice, "verdict", verdict == expected, expected);
        }
        let against = !fitted.list("against").is_empty() || has_texts(&fitted, "against");
        judge.tell("fitted", &fitted, "against", against == (ruling != "leave"), {
            if ruling == "leave" { "nothing" } else { "what speaks against it" }
        });
        if ruling == "leave" {
            for f in fitted.at("choice").list("faults") {
                judge.flag("fitted", &f, "burns", false);
            }
        }
    }
    points(judge, &root.at("as_left"));
    visits(judge, &root.at("visits"));
    dry(judge, &root.at("dry_rectifier"));
    for a in root.list("assumptions") {
        let bounds = a.value.get("bounds").and_then(|b| b.as_array());
        if let Some([low, high]) = bounds.map(Vec::as_slice) {
            let (low, high) = (low.as_f64().unwrap_or(f64::NAN), high.as_f64().unwrap_or(f64::NAN));
            judge.equal("assumed", &a, "spread", (high - low) / 2.0);
            judge.tell("assumed", &a, "bounds", low <= 1.0 && high >= 1.0, "about the value");
        }
        judge.at_least("assumed", &a, "spread", 0.0);
    }
}

fn has_texts(at: &At, key: &str) -> bool {
    at.value.get(key).and_then(|v| v.as_array()).is_some_and(|v| !v.is_empty())
}

/// A reading lies where it does.
fn points(judge: &mut Judge, left: &At) {
    for p in left.list("points") {
        let read = p.num("read");
        let lies = match () {
            () if read < p.num("least") => "below",
            () if read > p.num("most") => "above",
            () => "within",
        };
        judge.tell("as-left", &p, "lies", p.text("lies") == lies, lies);
        judge.null("as-left", &p, "means", lies == "within");
        judge.at_least("as-left", &p, "most", p.num("least"));
    }
    if left.flag("done") {
        judge.tell("as-left", left, "remains", !has_texts(left, "remains"), "nothing");
    }
}

fn visits(judge: &mut Judge, visits: &At) {
    for visit in visits.list("later") {
        for p in visit.list("points") {
            let change = p.num("read") / p.num("unchanged") - 1.0;
            judge.equal("visits", &p, "change", change);
            if change.abs() <= p.num("meters") {
                judge.null("visits", &p, "means", true);
            }
        }
    }
}

fn dry(judge: &mut Judge, dry: &At) {
    if !dry.is_there() {
        return;
    }
    let over = dry.num("now_v") / dry.num("with_tube_v") - 1.0;
    judge.flag("dry-rectifier", dry, "finished", over.abs() <= 0.02);
    let r = dry.at("resistor");
    if !r.is_there() {
        return;
    }
    // it takes the place of what is there: more ohms where B+ is high, fewer where it is low
    let exact = r.num("exact_ohms");
    let more = exact > dry.opt("fitted_ohms").unwrap_or(0.0);
    judge.tell("dry-rectifier", &r, "exact_ohms", more == (over > 0.0), "the other way");
    let decade = 10f64.powf(exact.log10().floor());
    let series = E24.iter().flat_map(|e| [e * decade, e * 10.0 * decade]);
    let near = |a: &f64| (a / exact).ln().abs();
    let stock = series.min_by(|a, b| near(a).total_cmp(&near(b))).unwrap_or(f64::NAN);
    judge.equal("dry-rectifier", &r, "stock_ohms", stock);
    if r.has("rated_w") {
        judge.at_least("dry-rectifier", &r, "rated_w", 2.0 * r.num("heat_w"));
    }
    let off = |volts: f64| (volts - dry.num("with_tube_v")).abs();
    let nearer = off(r.num("b_plus_v")) <= off(dry.num("now_v"));
    judge.tell("dry-rectifier", &r, "b_plus_v", nearer, "nearer to that with the tube");
}
