//! Sets to begin with, and those that grew from them and were accepted.

use super::{
    Dice,
    schema::{Schema, Step, at},
};
use crate::harness::yaml_files;
use crate::random_topologies::every_topology;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngSeed, TestRunner};
use serde_yaml::Value;
use std::collections::BTreeMap;

/// Random sets among those to begin with.
const RANDOM: usize = 24;
/// Most sets that grew; then a new one takes the place of another.
const MOST: usize = 300;
/// Most rounds of changes from a set to begin with: from there on sets become odder, not other.
const ROUNDS: usize = 5;
/// Longest text of a set that goes on, bytes.
const LONGEST: usize = 12_000;

/// A set and how often it was changed.
#[derive(Clone)]
struct Grown {
    tree: Value,
    rounds: usize,
}

/// Sets to begin with and those that grew, and every value that stands under a key in the former.
pub struct Seeds {
    /// The shipped ones, those with every key, and random ones.
    first: Vec<Value>,
    grown: Vec<Grown>,
    /// Values by key, items of a list by its key with `[]` behind.
    pool: BTreeMap<String, Vec<Value>>,
}

impl Seeds {
    /// All there are; random ones drawn from `seed`.
    pub fn new(schema: &Schema, seed: u64) -> Seeds {
        let folders = ["profiles", "tests/data/every_key", "tests/data/verdicts", "tests/data"];
        let read = |path: &String| std::fs::read_to_string(path).unwrap();
        let mut texts: Vec<String> =
            folders.iter().flat_map(|f| yaml_files(f)).map(|path| read(&path)).collect();
        let config = Config { rng_seed: RngSeed::Fixed(seed), ..Config::default() };
        let mut runner = TestRunner::new(config);
        texts
            .extend((0..RANDOM).map(|_| every_topology().new_tree(&mut runner).unwrap().current()));
        let first: Vec<Value> =
            texts.iter().filter_map(|text| serde_yaml::from_str(text).ok()).collect();
        assert!(first.len() + 5 > texts.len(), "{} of {} are YAML", first.len(), texts.len());
        let mut pool: BTreeMap<String, Vec<Value>> = BTreeMap::new();
        for tree in &first {
            let mut tree = tree.clone();
            for site in schema.sites(&tree.clone()) {
                let item = matches!(site.way.last(), Some(Step::Item(_)));
                let key = if item { format!("{}[]", site.key) } else { site.key };
                let value = at(&mut tree, &site.way).unwrap().clone();
                let list = pool.entry(key).or_default();
                if !list.contains(&value) {
                    list.push(value);
                }
            }
        }
        Seeds { first, grown: Vec::new(), pool }
    }

    /// Another value that somebody wrote under this key.
    pub fn of_key(&self, key: &str, dice: &mut Dice) -> Option<Value> {
        dice.any(self.pool.get(key)?).cloned()
    }

    /// A set to begin with.
    pub fn first(&self, dice: &mut Dice) -> &Value {
        dice.of(&self.first)
    }

    /// A set to change, with the rounds it has behind it: one to begin with, or one that grew.
    pub fn one(&self, dice: &mut Dice) -> (Value, usize) {
        match self.grown.is_empty() || dice.once_in(2) {
            true => (self.first(dice).clone(), 0),
            false => {
                let Grown { tree, rounds } = dice.of(&self.grown);
                (tree.clone(), *rounds)
            }
        }
    }

    /// Keeps a set that was accepted, to go on from it.
    pub fn keep(&mut self, tree: Value, text: &str, rounds: usize, dice: &mut Dice) {
        if rounds >= ROUNDS || text.len() > LONGEST {
            return;
        }
        let grown = Grown { tree, rounds };
        if self.grown.len() < MOST {
            self.grown.push(grown);
        } else {
            let place = dice.below(MOST);
            self.grown[place] = grown;
        }
    }
}
