//! The heater string of a set without a transformer.

use super::{
    cursor::Cursor,
    declare::{OrUsual, Read, form, keys},
    dropper::{DropperForm, DropperKind},
    node::{Kind, Node},
    problem::quoted,
    values::{Count, Text},
};

/// Most branches of a string.
pub const MOST_BRANCHES: usize = 8;

keys! {
    /// Series heaters straight on the line
    pub struct HeaterString [Default] {
        /// What stands in series with the heaters, one dropper or a list in order from the line on; none if absent
        droppers "dropper": OrUsual<DropperForm>,
        /// Heaters side by side: tubes name their branch with `heater`, the rectifier and lamps with `fed_by`
        branches: OrUsual<Branches>,
    }
    example "{ dropper: { kind: resistor, resistance: 160 Ω } }";
}

/// Names of the branches that a `heater_string:` lists, right or wrong.
pub(super) fn branch_names(string: &Cursor<'_>) -> Vec<String> {
    let branches = string.find("branches").filter(|at| at.kind() == Kind::List);
    let items = branches.and_then(|at| at.list()).unwrap_or_default();
    let name = |item: &Cursor<'_>| match item.find("name")?.node() {
        Node::Scalar(text) => Some(text.trim().to_owned()),
        _ => None,
    };
    items.iter().filter_map(name).collect()
}

form! {
    /// Branches of a heater string
    Branches -> Vec<HeaterBranch>: inline [HeaterBranch] { "maxItems": 8 },
    branches
}

fn branches(at: &Cursor<'_>) -> Option<Vec<HeaterBranch>> {
    let items = at.list()?;
    if items.len() > MOST_BRANCHES {
        return at.refuse(format!("more than {MOST_BRANCHES} branches"), "");
    }
    let mut list: Vec<HeaterBranch> = Vec::new();
    for item in &items {
        let branch = HeaterBranch::read(item)?;
        if list.iter().any(|other| other.name == branch.name) {
            return item.refuse(
                format!("there are two branches {}", quoted(&branch.name)),
                "give each a name of its own",
            );
        }
        list.push(branch);
    }
    Some(list)
}

keys! {
    /// Heaters in series, side by side with those of the other branches of their group
    pub struct HeaterBranch [PartialEq] {
        /// Its name
        name: Text,
        /// Branches of one group lie across each other, groups are in series, 1 to 8; 1 if absent
        group: Count<8>,
        /// Resistors in series with the heaters of the branch, of `kind: resistor` only; none if absent
        droppers "dropper": OrUsual<DropperForm>,
    }
    => HeaterBranch: plain_branch;
}

fn plain_branch(branch: HeaterBranch, at: &Cursor<'_>) -> Option<HeaterBranch> {
    if !branch.droppers.iter().all(|d| matches!(d.kind, DropperKind::Resistor(_))) {
        return at.below("dropper").refuse(
            "a branch has resistors of its own, and nothing else",
            "write `kind: resistor`; a cord, ballast, barretter or capacitor goes under `heater_string: dropper:`, in series with all",
        );
    }
    Some(branch)
}
