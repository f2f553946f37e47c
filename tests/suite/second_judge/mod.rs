//! A second judge of a plan. It reads the JSON alone and says where verdict, part, fuse and faults do not follow from the
//! figures beside them by plain arithmetic: Ohm's and Kirchhoff's laws, turns, ratings, gates, flags. It was written from
//! `docs/plan-json.md`, `docs/model.md`, `docs/reading-a-plan.md` and textbooks, without a look at the code that it judges,
//! and uses no type of the crate.

mod advice;
mod at;
mod cautions;
mod choice;
mod fitted;
mod fuse;
mod objections;
mod reading;
mod rules;
mod words;

use at::{At, Judge};
use serde_json::Value;
use std::collections::BTreeMap;

pub use rules::RULES;

/// What a set is, of what the JSON says.
pub struct Set<'a> {
    pub root: At<'a>,
    pub outlet: At<'a>,
    pub design_v: f64,
    /// Its heaters are in series on the line.
    pub string: bool,
    /// The target is rated heaters, on iron of its own frequency.
    pub by_heaters: bool,
    /// Share of rated volts that the heaters are to get, and within what share it is told: not all where the iron is on
    /// another frequency, or where the target is the set as it ran on another line.
    pub goal: f64,
    pub goal_within: f64,
}

impl<'a> Set<'a> {
    fn of(plan: &'a Value) -> Set<'a> {
        let root = At::root(plan);
        let design = root.at("as_designed");
        let string = design.list("heaters").iter().any(|h| h.flag("in_string"));
        let (goal, goal_within) = goal(&root);
        Set {
            outlet: root.at("outlet"),
            design_v: root.at("set").num("design_line_v"),
            string,
            by_heaters: root.text("target").starts_with("heaters")
                && goal == 1.0
                && !by_line(&root),
            goal,
            goal_within,
            root,
        }
    }

    /// Whether the choice is a small transformer in the lead, by itself.
    pub fn is_small(&self, c: &At) -> bool {
        matches!(c.text("id"), "bucking-outlet" | "bucking-set" | "boost-outlet" | "boost-set")
            && c.has("part")
    }

    pub fn choice(&self, id: &str) -> Option<At<'a>> {
        self.root.list("choices").into_iter().find(|c| c.text("id") == id)
    }

    /// How far from right: 1 where heaters in parallel are 5 % high, the current of a string 3 %.
    pub fn severity(&self, excess: f64) -> f64 {
        if self.string && self.by_heaters {
            ((1.0 + excess).powf(0.58) - 1.0) / 0.03
        } else {
            excess / 0.05
        }
    }

    /// Whether the high line was read, not taken from a range of a standard.
    pub fn reads_high(&self) -> bool {
        !self.outlet.has("range")
    }
}

/// The set as it ran on another line is told as heaters as well: where these come to their rating, what a choice misses tells.
fn by_line(root: &At) -> bool {
    let misses = |c: &At| c.list("objections").iter().any(|o| o.text("kind") == "misses-target");
    root.list("choices").iter().any(misses)
}

/// "heaters at 5.77 V on the usual line" beside rated heaters of 6.3 V: what share that is, and within what.
fn goal(root: &At) -> (f64, f64) {
    let words: Vec<&str> = root.text("target").split(' ').collect();
    let said = words.windows(2).find(|w| w[1] == "V").and_then(|w| w[0].parse::<f64>().ok());
    let usual =
        root.list("choices").first().map(|c| (c.at("day").at("usual"), c.num("target_miss")));
    let (Some(said), Some((usual, miss))) = (said, usual) else {
        return (1.0, 0.0);
    };
    let all = usual.list("heaters");
    let fed: Vec<&At> =
        all.iter().filter(|h| h.flag("feeds_tubes") && h.num("rated_v") > 0.0).collect();
    // a goal may round to the rating and not be it
    let is_rated = |h: &&&At| {
        let excess = h.num("volts_v") / h.num("rated_v") - 1.0;
        (h.num("rated_v") - said).abs() < 0.006 && (excess - miss).abs() < 1e-6
    };
    match (fed.iter().find(is_rated), fed.first()) {
        (Some(_), _) | (_, None) => (1.0, 0.0),
        (_, Some(h)) => (said / h.num("rated_v"), 0.006 / said),
    }
}

/// What of a plan does not follow from the figures beside it.
pub fn judge(plan: &Value) -> Vec<String> {
    judged(plan).0
}

/// The same, and how often each rule was put to the test.
pub fn judged(plan: &Value) -> (Vec<String>, BTreeMap<&'static str, usize>) {
    let set = Set::of(plan);
    let mut judge = Judge::default();
    words::all(&mut judge, &set.root);
    let outlet = &set.outlet;
    judge.at_most("day", outlet, "low_v", outlet.num("usual_v"));
    judge.at_least("day", outlet, "high_v", outlet.num("usual_v"));
    let of = reading::Of {
        design_v: set.design_v,
        made_for_hz: set.root.at("set").num("frequency_hz"),
        runs_on_hz: Some(set.root.at("set").num("frequency_hz")),
        own_tap: true,
    };
    let designed = set.root.at("as_designed");
    judge.equal("day", &designed, "outlet_v", set.design_v);
    reading::reading(&mut judge, &designed, &of);
    let fitted = set.root.at("fitted").at("choice");
    for c in set.root.list("choices").iter().chain(fitted.is_there().then_some(&fitted)) {
        let of = reading::Of {
            runs_on_hz: outlet.opt("frequency_hz").or(Some(of.made_for_hz)),
            own_tap: !matches!(c.text("id"), "tap" | "tap-and-part") && !c.has("behind"),
            ..of
        };
        let day = c.at("day");
        for r in [day.at("low"), day.at("usual"), day.at("high"), c.at("exact_reading")] {
            if r.is_there() {
                reading::reading(&mut judge, &r, &of);
            }
        }
        choice::choice(&mut judge, c, &set);
        fuse::choice(&mut judge, c, &set);
        objections::choice(&mut judge, c, &set);
    }
    advice::advice(&mut judge, &set);
    cautions::cautions(&mut judge, &set);
    fitted::fitted(&mut judge, &set);
    (judge.found, judge.looked)
}
