//! The second judge on the shipped profiles, on every set of `tests/data`, and on plans that were tampered with: each
//! rule must name what was changed for it. `tests/slow` has it look at random sets.

use crate::harness::{printed, shipped, yaml_files};
use crate::second_judge::{RULES, judge, judged};
use crate::second_judge_tampered::{TAMPERINGS, tampered};
use crate::verdict_curve::{planned, profile};
use mainsfit::study::{Plan, cores, shared_out};
use serde_json::{Value, to_value};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::LazyLock;

/// Folders of sets; in the last two each set is there for one thing that others do not have.
const FOLDERS: [&str; 4] =
    ["profiles", "tests/data/verdicts", "tests/data", "tests/data/every_key"];

struct Set {
    path: String,
    /// None where there is no plan.
    plan: Option<Value>,
}

static SETS: LazyLock<Vec<Set>> = LazyLock::new(|| {
    let paths: Vec<String> = FOLDERS.iter().flat_map(|folder| yaml_files(folder)).collect();
    let one = |i: usize| {
        let path = paths[i].clone();
        let text = std::fs::read_to_string(&path).unwrap();
        let plan: Result<Plan, String> = profile(&text).and_then(|p| planned(&p));
        Set { path, plan: plan.ok().map(|plan| to_value(plan).unwrap()) }
    };
    shared_out(paths.len(), cores(), &one, &|_| ())
});

pub fn plan_of(path: &str) -> Value {
    SETS.iter().find(|set| set.path == path).and_then(|set| set.plan.clone()).unwrap()
}

#[test]
fn plans_follow_from_their_figures() {
    let mut bad = Vec::new();
    let mut without = 0;
    for set in SETS.iter() {
        match &set.plan {
            Some(plan) => {
                bad.extend(judge(plan).into_iter().map(|w| format!("{}: {w}", set.path)));
            }
            None => without += 1,
        }
    }
    assert!(bad.is_empty(), "{}\n{}", bad.len(), bad.join("\n"));
    assert!(without * 10 < SETS.len(), "{without} of {} sets have no plan", SETS.len());
}

/// A reader meets what is dangerous before what is advised.
#[test]
fn cautions_are_printed_before_all_else() {
    for path in shipped() {
        let text = printed(&["plan", &path, "--format", "json"]);
        let close: String = text.split_whitespace().take(3).collect();
        assert_eq!(close, "{\"cautions\":[", "{path}");
        let plan: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(judge(&plan), Vec::<String>::new(), "{path}, as printed");
    }
}

#[test]
fn every_rule_can_fail() {
    let mut missed = Vec::new();
    for (number, tampering) in TAMPERINGS.iter().enumerate() {
        let whole = plan_of(tampering.set);
        let (plan, was) = tampered(&whole, tampering);
        let found = judge(&plan);
        let rule = format!("{}: ", tampering.rule);
        if !found.iter().any(|f| f.starts_with(&rule)) {
            missed.push(format!(
                "{number}: {} {} from {was}: {} does not name it, found {found:?}",
                tampering.set, tampering.path, tampering.rule
            ));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
    let untested: Vec<&str> = RULES
        .iter()
        .map(|rule| rule.0)
        .filter(|rule| TAMPERINGS.iter().all(|t| t.rule != *rule))
        .collect();
    assert!(untested.is_empty(), "no tampering for {untested:?}");
}

/// Rules that had something to judge, with the number of plans; none that is used is missing from the table.
fn plans_by_rule() -> BTreeMap<&'static str, usize> {
    let mut plans: BTreeMap<&'static str, usize> = BTreeMap::new();
    for plan in SETS.iter().filter_map(|set| set.plan.as_ref()) {
        for rule in judged(plan).1.keys() {
            *plans.entry(rule).or_default() += 1;
        }
    }
    plans
}

#[test]
fn the_table_of_rules_is_whole() {
    let plans = plans_by_rule();
    let unknown: Vec<_> = plans.keys().filter(|r| RULES.iter().all(|k| k.0 != **r)).collect();
    assert!(unknown.is_empty(), "{unknown:?} are not in the table");
    // no set has a fault without a solution today
    let idle: Vec<_> = RULES.iter().filter(|r| !plans.contains_key(r.0)).map(|r| r.0).collect();
    assert_eq!(idle, ["fault-unsolved"]);
}

/// The section of `docs/verification.md`.
pub fn markdown() -> String {
    let plans = plans_by_rule();
    let count = SETS.iter().filter(|set| set.plan.is_some()).count();
    let mut text = format!(
        "## A second judge\n\nEvery plan is held once more against plain arithmetic by a checker that was written apart from the program: it reads the JSON alone, uses no type of the crate, \
and was made from these documents and textbooks (`tests/suite/second_judge`). It judges the {count} plans of the shipped profiles and of the sets in `tests/data` here, and each random set \
of `tests/slow`, on every outlet on which it is planned there. {} plans with one thing changed show that each rule can fail (`tests/suite/second_judge_tampered.rs`). What the JSON does not have it cannot judge: \
the heaters' amperes, a drop of the heater string's dropper in a fault, whether a part is the owner's, and whether the low and the high line were read.\n\n\
| rule | what it holds | source | plans |\n|---|---|---|---:|\n",
        TAMPERINGS.len()
    );
    for (rule, what, source) in RULES {
        let plans = plans.get(rule).copied().unwrap_or_default();
        let _ = writeln!(text, "| `{rule}` | {what} | {source} | {plans} |");
    }
    text
}
