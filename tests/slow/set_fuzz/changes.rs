//! One change to a set, by its structure.

use super::{
    Dice, Seeds, figures,
    generate::Maker,
    readings::setting,
    schema::{Form, Site, Step, at},
};
use serde_json::Value as Json;
use serde_yaml::{Mapping, Value};

/// Changes sets.
pub struct Changes<'a> {
    /// What may be written.
    pub maker: &'a Maker,
    /// What others wrote.
    pub seeds: &'a Seeds,
    /// A file for a set that is solved on the way, for readings that fit it; without it they are another set's.
    pub scratch: Option<&'a str>,
}

/// A kind of change; whether it found something to change.
type Change = fn(&Changes, &mut Value, &mut Dice) -> bool;

/// Every kind of change, and how often it is tried among the others.
const KINDS: [(usize, Change); 18] = [
    (7, |c, t, d| c.figure(t, d, figures::near)),
    (2, |c, t, d| c.figure(t, d, figures::extreme)),
    (1, |c, t, d| c.figure(t, d, figures::unit_swapped)),
    (2, |c, t, d| c.figure(t, d, figures::rewritten)),
    (1, |c, t, d| c.figure(t, d, figures::negated)),
    (3, |c, t, d| c.word(t, d)),
    (3, |c, t, d| c.tube(t, d)),
    (4, |c, t, d| c.as_elsewhere(t, d)),
    (2, |c, t, d| c.anew(t, d)),
    (5, |c, t, d| c.key_added(t, d)),
    (2, |c, t, d| c.removed(t, d)),
    (2, |c, t, d| c.doubled(t, d)),
    (1, |c, t, d| c.moved(t, d)),
    (3, |c, t, d| c.block_copied(t, d)),
    (1, |c, t, d| c.exchanged(t, d)),
    (3, |c, t, d| c.read(t, d)),
    (2, |c, t, d| c.fitted(t, d)),
    (1, |c, t, d| c.forgotten(t, d)),
];

impl Changes<'_> {
    /// One change of any kind.
    pub fn change(&self, tree: &mut Value, dice: &mut Dice) {
        let all: usize = KINDS.iter().map(|(often, _)| often).sum();
        // some kinds find nothing to change in some sets
        for _ in 0..8 {
            let mut ticket = dice.below(all);
            let drawn = KINDS.iter().find(|(often, _)| {
                let here = ticket < *often;
                ticket = ticket.saturating_sub(*often);
                here
            });
            if drawn.is_some_and(|(_, change)| change(self, tree, dice)) {
                return;
            }
        }
    }

    /// Settings of the line added for a fit, one to three.
    pub fn read_for_a_fit(&self, tree: &mut Value, dice: &mut Dice) {
        for _ in 0..=dice.below(3) {
            if let Some(found) = self.found(tree, dice) {
                add(tree, "readings", found);
            }
        }
    }

    /// A place in the tree that `fits` its value and what may stand there.
    fn place(
        &self,
        tree: &mut Value,
        dice: &mut Dice,
        fits: impl Fn(&Site, &[Form], &Value) -> bool,
    ) -> Option<Site<'_>> {
        let mut sites = self.maker.schema.sites(tree);
        // most fit soon: not all of them need be looked at
        while !sites.is_empty() {
            let site = sites.swap_remove(dice.below(sites.len()));
            let forms = self.maker.schema.forms(site.node);
            if at(tree, &site.way).is_some_and(|value| fits(&site, &forms, value)) {
                return Some(site);
            }
        }
        None
    }

    /// A figure in another size, unit, sign or writing.
    fn figure(
        &self,
        tree: &mut Value,
        dice: &mut Dice,
        how: fn(&str, &mut Dice) -> Option<String>,
    ) -> bool {
        let text = |value: &Value| match value {
            Value::String(text) => Some(text.clone()),
            Value::Number(number) => Some(number.to_string()),
            _ => None,
        };
        let site = self.place(tree, dice, |_, forms, value| {
            let name = forms.iter().any(|f| matches!(f.name, "TypeName" | "Text" | "Date"));
            !name && text(value).is_some_and(|t| figures::Figure::of(&t).is_some())
        });
        let Some(value) = site.and_then(|site| at(tree, &site.way)) else { return false };
        match text(value).and_then(|text| how(&text, dice)) {
            Some(new) => *value = new.into(),
            None => return false,
        }
        true
    }

    /// A word of a list of words, another one of them.
    fn word(&self, tree: &mut Value, dice: &mut Dice) -> bool {
        let words = |forms: &[Form]| -> Vec<Json> {
            let of = forms.iter().flat_map(|f| {
                let list = f.node.get("enum").and_then(Json::as_array).cloned();
                list.unwrap_or_default().into_iter().chain(f.node.get("const").cloned())
            });
            of.collect()
        };
        let site =
            self.place(tree, dice, |_, forms, value| !value.is_mapping() && words(forms).len() > 1);
        let Some(site) = site else { return false };
        let words = words(&self.maker.schema.forms(site.node));
        *at(tree, &site.way).unwrap() = serde_yaml::to_value(dice.of(&words)).unwrap();
        true
    }

    /// A type, another one.
    fn tube(&self, tree: &mut Value, dice: &mut Dice) -> bool {
        let site = self.place(tree, dice, |_, forms, value| {
            !value.is_mapping() && forms.iter().any(|f| f.name == "TypeName")
        });
        let Some(value) = site.and_then(|site| at(tree, &site.way)) else { return false };
        let than = value.as_str().unwrap_or_default().to_owned();
        *value = self.maker.other_type(&than, dice).into();
        true
    }

    /// What stands under the same key in another set.
    fn as_elsewhere(&self, tree: &mut Value, dice: &mut Dice) -> bool {
        let site = self.place(tree, dice, |site, _, _| !site.way.is_empty());
        let Some(site) = site else { return false };
        let item = matches!(site.way.last(), Some(Step::Item(_)));
        let key = if item { format!("{}[]", site.key) } else { site.key };
        let Some(other) = self.seeds.of_key(&key, dice) else { return false };
        *at(tree, &site.way).unwrap() = other;
        true
    }

    /// A value made from the schema alone.
    fn anew(&self, tree: &mut Value, dice: &mut Dice) -> bool {
        let site = self.place(tree, dice, |site, _, _| !site.way.is_empty());
        let Some(site) = site else { return false };
        *at(tree, &site.way).unwrap() = self.maker.value(site.node, dice, site.way.len());
        true
    }

    /// A key that a block has not, as in another set or made.
    fn key_added(&self, tree: &mut Value, dice: &mut Dice) -> bool {
        let Some(site) = self.place(tree, dice, |_, _, value| value.is_mapping()) else {
            return false;
        };
        let block = at(tree, &site.way).and_then(Value::as_mapping_mut).unwrap();
        let forms = self.maker.schema.forms(site.node);
        let known = forms.iter().filter_map(|f| f.node.get("properties")?.as_object()).flatten();
        let missing: Vec<(&String, &Json)> =
            known.filter(|(key, _)| !block.contains_key(key.as_str())).collect();
        let Some((key, node)) = dice.any(&missing) else { return false };
        let other = if dice.once_in(3) { None } else { self.seeds.of_key(key, dice) };
        let value = other.unwrap_or_else(|| self.maker.value(node, dice, site.way.len() + 1));
        block.insert(key.as_str().into(), value);
        true
    }

    /// A key or an item left out.
    fn removed(&self, tree: &mut Value, dice: &mut Dice) -> bool {
        let site = self.place(tree, dice, |site, _, _| !site.way.is_empty());
        let Some(mut site) = site else { return false };
        let last = site.way.pop().unwrap();
        match (at(tree, &site.way).unwrap(), last) {
            (Value::Mapping(block), Step::Key(key)) => drop(block.remove(key.as_str())),
            (Value::Sequence(list), Step::Item(i)) => drop(list.remove(i)),
            _ => return false,
        }
        true
    }

    /// An item twice.
    fn doubled(&self, tree: &mut Value, dice: &mut Dice) -> bool {
        self.in_a_list(tree, dice, |list, from, to| list.insert(to, list[from].clone()))
    }

    /// An item in another place.
    fn moved(&self, tree: &mut Value, dice: &mut Dice) -> bool {
        self.in_a_list(tree, dice, |list, from, to| {
            let item = list.remove(from);
            list.insert(to.min(list.len()), item);
        })
    }

    fn in_a_list(
        &self,
        tree: &mut Value,
        dice: &mut Dice,
        change: fn(&mut Vec<Value>, usize, usize),
    ) -> bool {
        let filled = |value: &Value| value.as_sequence().is_some_and(|list| !list.is_empty());
        let site = self.place(tree, dice, |_, _, value| filled(value));
        let Some(site) = site else { return false };
        let list = at(tree, &site.way).and_then(Value::as_sequence_mut).unwrap();
        let (from, to) = (dice.below(list.len()), dice.below(list.len() + 1));
        change(list, from, to);
        true
    }

    /// A whole section of another set, in place of its own or added.
    fn block_copied(&self, tree: &mut Value, dice: &mut Dice) -> bool {
        let other = self.seeds.first(dice).as_mapping().cloned().unwrap_or_default();
        let sections: Vec<(&Value, &Value)> = other.iter().collect();
        let (Some((key, section)), Some(own)) = (dice.any(&sections), tree.as_mapping_mut()) else {
            return false;
        };
        own.insert((*key).clone(), (*section).clone());
        true
    }

    /// Two values of one kind exchanged.
    fn exchanged(&self, tree: &mut Value, dice: &mut Dice) -> bool {
        let Some(one) = self.place(tree, dice, |site, _, _| !site.way.is_empty()) else {
            return false;
        };
        let apart = |a: &[Step], b: &[Step]| !a.starts_with(b) && !b.starts_with(a);
        let kind = |forms: &[Form]| forms.first().map(|f| f.name.to_owned());
        let its = kind(&self.maker.schema.forms(one.node));
        let other = self
            .place(tree, dice, |site, forms, _| kind(forms) == its && apart(&site.way, &one.way));
        let Some(other) = other else { return false };
        let first = at(tree, &one.way).unwrap().clone();
        let second = std::mem::replace(at(tree, &other.way).unwrap(), first);
        *at(tree, &one.way).unwrap() = second;
        true
    }

    /// A setting of the line with what a meter shows there.
    fn found(&self, tree: &Value, dice: &mut Dice) -> Option<Value> {
        match self.scratch {
            None => self.seeds.of_key("readings[]", dice),
            Some(path) => {
                std::fs::write(path, serde_yaml::to_string(tree).unwrap()).unwrap();
                setting(path, super::commands::line_of(tree), dice)
            }
        }
    }

    /// A setting of the line that was read: for the fit, after the work, or on a later visit.
    fn read(&self, tree: &mut Value, dice: &mut Dice) -> bool {
        let Some(found) = self.found(tree, dice) else { return false };
        match dice.below(6) {
            5 => {
                let day = format!("20{}-{:02}-14", 27 + dice.below(3), 1 + dice.below(12));
                let mut visit = Mapping::new();
                visit.insert("date".into(), day.into());
                visit.insert("readings".into(), Value::Sequence(vec![found]));
                add(tree, "visits", Value::Mapping(visit))
            }
            4 => add(tree, "as_left", found),
            _ => add(tree, "readings", found),
        }
    }

    /// A part that is in, of a kind and size that might be.
    fn fitted(&self, tree: &mut Value, dice: &mut Dice) -> bool {
        let line_v = super::commands::line_of(tree);
        let volts = dice.between(5.0, 30.0);
        let part = match dice.below(4) {
            0 => format!(
                "{{ choice: series-resistor, resistor: {{ value: {:.0} Ω, rating: {:.0} W }} }}",
                dice.between(3.0, 90.0),
                dice.between(5.0, 100.0)
            ),
            1 => format!(
                "{{ choice: {}, transformer: {{ primary: {line_v:.0} V, secondary: {volts:.1} V, current: {:.2} A }} }}",
                dice.of(&["bucking-set", "bucking-outlet", "boost-set", "boost-outlet"]),
                dice.between(0.3, 4.0)
            ),
            2 => format!("{{ choice: tap, tap: {:.0} V }}", line_v + dice.between(-20.0, 20.0)),
            _ => format!(
                "{{ choice: heater-dropper, resistor: {{ value: {:.0} Ω, rating: {:.0} W }} }}",
                dice.between(5.0, 300.0),
                dice.between(2.0, 50.0)
            ),
        };
        let Some(set) = tree.as_mapping_mut() else { return false };
        set.insert("fitted".into(), serde_yaml::from_str(&part).unwrap());
        true
    }

    /// Much of it not known: keys left out here and there.
    fn forgotten(&self, tree: &mut Value, dice: &mut Dice) -> bool {
        let sites = self.maker.schema.sites(tree);
        let mut some = false;
        for site in &sites {
            let Some((Step::Key(key), above)) = site.way.split_last() else { continue };
            if !dice.once_in(5) || above.is_empty() {
                continue;
            }
            // a block may have gone before
            if let Some(Value::Mapping(block)) = at(tree, above) {
                some |= block.remove(key.as_str()).is_some();
            }
        }
        some
    }
}

/// Adds an item to a list of the set.
fn add(tree: &mut Value, key: &str, item: Value) -> bool {
    let Some(set) = tree.as_mapping_mut() else { return false };
    let list = set.entry(key.into()).or_insert_with(|| Value::Sequence(Vec::new()));
    list.as_sequence_mut().map(|list| list.push(item)).is_some()
}
