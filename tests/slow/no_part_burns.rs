//! Whatever the set: no part that is advised, or named as second best, has a fault that burns it or that was not solved.
//!
//! What a part bears is reckoned here again from its maker's figures: the watts left of its rating in the coolest place and
//! the short overload for 5 s (MIL-PRF-26 †: 10 times the rating for wirewound parts), spread over the time the fuse's
//! standard allows.

use crate::random_topologies::every_topology;
use crate::second_judge::judge;
use mainsfit::profile::{Document, read};
use mainsfit::study::{Choice, Plan, Request, plan};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngSeed, TestRunner};
use std::collections::BTreeMap;

/// Sets of a short run, and of a long one; `MAINSFIT_SETS` asks for another number.
const SETS: (usize, usize) = (24, 2000);
const SEED: u64 = 1947;

fn named(plan: &Plan) -> impl Iterator<Item = &Choice> {
    let both = [plan.advice.choice, plan.advice.runner_up];
    plan.choices.iter().filter(move |c| both.contains(&Some(c.method)))
}

/// What is wrong with a plan's two first choices.
fn wrong(plan: &Plan) -> Vec<String> {
    let mut list = Vec::new();
    for choice in named(plan).filter(|c| c.part.is_some()) {
        if choice.faults.is_empty() {
            list.push(format!("{}: no fault was looked at", choice.method));
        }
        for fault in &choice.faults {
            let (heat, bears) = (fault.part_w.unwrap_or(0.0), fault.part_allowed_w);
            if fault.burns || bears.is_some_and(|bears| heat > bears) {
                list.push(format!("{}, {}: {heat} W of {bears:?}", choice.method, fault.fault));
            }
            if let Some(why) = &fault.unsolved {
                list.push(format!("{}, {}: {why}", choice.method, fault.fault));
            }
        }
    }
    list
}

#[test]
fn no_part_that_is_named_burns_or_is_unsolved() {
    let (short, long) = SETS;
    let usual = if crate::long_run() { long } else { short };
    let asked = std::env::var("MAINSFIT_SETS").ok().and_then(|n| n.parse().ok());
    let config = Config { rng_seed: RngSeed::Fixed(SEED), ..Config::default() };
    let mut runner = TestRunner::new(config);
    let mut tally: BTreeMap<String, usize> = BTreeMap::new();
    let mut bad = Vec::new();
    for _ in 0..asked.unwrap_or(usual) {
        let text = every_topology().new_tree(&mut runner).unwrap().current();
        let mut count = |what: String| *tally.entry(what).or_default() += 1;
        let document = Document::parse("set.yaml", text.as_bytes()).unwrap();
        let profile = match read(&document) {
            Ok((profile, _)) => profile,
            Err(problems) => panic!("{}\n{text}", problems.render()),
        };
        let plan = match plan(&profile, &Request::default(), Vec::new()) {
            Ok(plan) => plan,
            Err(error) => {
                count(format!("no plan: {error}"));
                continue;
            }
        };
        count(format!("advised: {:?}", plan.advice.choice.map(|m| m.to_string())));
        for choice in &plan.choices {
            let unsolved = choice.faults.iter().filter(|f| f.unsolved.is_some());
            unsolved.for_each(|f| {
                let why = f.unsolved.as_deref().unwrap_or_default();
                if std::env::var_os("SHOW").is_some() {
                    println!("{} {}\n{text}", choice.method, f.fault);
                }
                count(format!("unsolved, {}, {}: {why}", choice.method, f.fault));
            });
        }
        let mut found = wrong(&plan);
        found.extend(judge(&serde_json::to_value(&plan).unwrap()));
        if !found.is_empty() {
            bad.push(format!("{}\n{text}", found.join("\n")));
        }
    }
    let told: Vec<String> = tally.iter().map(|(what, n)| format!("{n:6} {what}")).collect();
    println!("{}", told.join("\n"));
    assert!(bad.is_empty(), "{} sets\n{}", bad.len(), bad.join("\n\n"));
    // a run that planned next to nothing would prove nothing
    let planned: usize =
        tally.iter().filter(|(k, _)| k.starts_with("advised")).map(|(_, n)| n).sum();
    assert!(planned * 10 >= asked.unwrap_or(usual) * 9, "{}", told.join("\n"));
}
