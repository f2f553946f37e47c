//! What a profile may hold, from its own schema.

use crate::harness::printed;
use serde_json::Value as Json;
use serde_yaml::Value;

/// The schema of profiles.
pub struct Schema(Json);

/// One form that a value may have: a piece of schema without references and alternatives, with the name it is defined by.
#[derive(Clone, Copy)]
pub struct Form<'s> {
    /// Name among the definitions; empty where it has none.
    pub name: &'s str,
    /// What may stand there.
    pub node: &'s Json,
}

/// A step to a value in a tree.
#[derive(Debug, Clone, PartialEq)]
pub enum Step {
    /// A key of a block.
    Key(String),
    /// A place in a list.
    Item(usize),
}

/// A value in a tree, and what may stand there.
pub struct Site<'s> {
    /// The way to it.
    pub way: Vec<Step>,
    /// The key it stands under, also of the list it is in.
    pub key: String,
    /// What may stand there, with references.
    pub node: &'s Json,
}

impl Schema {
    /// As the program prints it.
    pub fn of_profiles() -> Schema {
        Schema(serde_json::from_str(&printed(&["schema", "profile"])).unwrap())
    }

    /// Of a whole profile.
    pub fn root(&self) -> &Json {
        &self.0
    }

    /// Names of all definitions with what they are.
    pub fn definitions(&self) -> impl Iterator<Item = Form<'_>> {
        let all = self.0["$defs"].as_object().unwrap();
        all.iter().map(|(name, node)| Form { name, node })
    }

    /// Every form that a value may have.
    pub fn forms<'s>(&'s self, node: &'s Json) -> Vec<Form<'s>> {
        let mut list = Vec::new();
        self.collect(Form { name: "", node }, &mut list);
        list
    }

    fn collect<'s>(&'s self, form: Form<'s>, list: &mut Vec<Form<'s>>) {
        if let Some(reference) = form.node.get("$ref").and_then(Json::as_str) {
            let name = reference.strip_prefix("#/$defs/").unwrap().replace("%20", " ");
            let all = self.0["$defs"].as_object().unwrap();
            let (name, node) = all.get_key_value(&name).unwrap_or_else(|| panic!("no {name}"));
            return self.collect(Form { name, node }, list);
        }
        let of = ["anyOf", "oneOf"].iter().find_map(|key| form.node.get(*key)?.as_array());
        match of {
            // conditions on keys of a block are no forms of it
            Some(forms) if form.node.get("properties").is_none() => {
                for node in forms {
                    self.collect(Form { node, ..form }, list);
                }
            }
            _ => list.push(form),
        }
    }

    /// What may stand under a key of a block of one of these forms.
    fn under<'s>(forms: &[Form<'s>], key: &str) -> Option<&'s Json> {
        forms.iter().find_map(|Form { node, .. }| {
            let plain = node.get("properties").and_then(|p| p.get(key));
            let pattern = || {
                let of = node.get("patternProperties")?.as_object()?;
                // these patterns are ends of keys
                of.iter().find(|(end, _)| key.ends_with(end.trim_end_matches('$'))).map(|(_, n)| n)
            };
            let other = || node.get("additionalProperties").filter(|n| n.is_object());
            plain.or_else(pattern).or_else(other)
        })
    }

    /// What may stand in a list.
    pub fn item<'s>(&'s self, node: &'s Json) -> Option<&'s Json> {
        self.forms(node).into_iter().find_map(|form| form.node.get("items"))
    }

    /// Every value of a tree that the schema knows, the tree itself first.
    pub fn sites<'s>(&'s self, tree: &Value) -> Vec<Site<'s>> {
        let mut list = Vec::new();
        self.walk(tree, Site { way: Vec::new(), key: String::new(), node: self.root() }, &mut list);
        list
    }

    fn walk<'s>(&'s self, value: &Value, site: Site<'s>, list: &mut Vec<Site<'s>>) {
        let step = |step: Step| {
            let mut way = site.way.clone();
            way.push(step);
            way
        };
        match value {
            Value::Mapping(entries) => {
                let forms = self.forms(site.node);
                for (key, inner) in entries {
                    let Some(key) = key.as_str() else { continue };
                    if let Some(node) = Schema::under(&forms, key) {
                        let way = step(Step::Key(key.to_owned()));
                        self.walk(inner, Site { way, key: key.to_owned(), node }, list);
                    }
                }
            }
            Value::Sequence(items) => {
                if let Some(node) = self.item(site.node) {
                    for (i, inner) in items.iter().enumerate() {
                        let (way, key) = (step(Step::Item(i)), site.key.clone());
                        self.walk(inner, Site { way, key, node }, list);
                    }
                }
            }
            _ => {}
        }
        // before what is in it
        list.push(site);
    }
}

/// The value at the end of a way.
pub fn at<'t>(tree: &'t mut Value, way: &[Step]) -> Option<&'t mut Value> {
    way.iter().try_fold(tree, |value, step| match step {
        Step::Key(key) => value.get_mut(key.as_str()),
        Step::Item(i) => value.get_mut(*i),
    })
}
