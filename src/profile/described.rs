//! What the declarations say of each key, in words: for the tables of the documents, and for whoever asks for a key.

use super::{key::MOST, read::profile_schema};
use crate::text::plain;
use serde_json::Value;

/// More words than these are not listed in what is written for a key.
const MOST_WORDS: usize = 8;
/// How a value that may say how it is known begins in the schema, and what is said of it.
const KNOWN: (&str, &str) = ("known-", "with how it is known");
/// What is written of a name of one's own in the path of a key.
const NAME: &str = "NAME";

/// Whether a key must be there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Needed {
    /// It must.
    Always,
    /// It, or these in its place.
    OrElse(String),
    /// It may be left out.
    No,
}

/// What is said of a key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyRow {
    /// The key.
    pub key: String,
    /// Whether it must be there.
    pub needed: Needed,
    /// What is written as its value.
    pub written: String,
    /// What it means, and what is taken where it is absent.
    pub means: String,
}

/// A key with the places at which it may stand.
#[derive(Debug, Clone)]
pub struct KeyAt {
    /// What is said of it.
    pub row: KeyRow,
    /// Paths, such as `filter.capacitor.rated`.
    pub paths: Vec<String>,
    /// Words that its value may be, and what each means.
    pub words: Vec<(String, String)>,
    /// Keys below it.
    pub below: Vec<String>,
}

impl KeyAt {
    /// The same with only those of its places that end as `asked` does, if any do.
    pub fn ending(mut self, asked: &[String]) -> Option<KeyAt> {
        self.paths.retain(|path| ends(&path.split('.').collect::<Vec<_>>(), asked));
        (!self.paths.is_empty()).then_some(self)
    }
}

/// A path as it is typed, step by step; an item of a list goes by its list, as in `tubes[2].plate`.
pub fn steps(path: &str) -> Vec<String> {
    let pieces = path.split('[').map(|p| p.split_once(']').map_or(p, |(_, rest)| rest));
    pieces.collect::<String>().split('.').map(str::to_owned).collect()
}

/// Whether a path ends so; a name of one's own may be any, or be left out.
fn ends(path: &[&str], asked: &[String]) -> bool {
    match (path, asked) {
        (_, []) => true,
        ([], _) => false,
        ([path @ .., NAME], [first @ .., _]) => ends(path, first) || ends(path, asked),
        ([path @ .., key], [first @ .., last]) => plain(key) == plain(last) && ends(path, first),
    }
}

/// A JSON Schema as the declarations make it.
pub struct Schema(pub Value);

/// The items of a list; none of anything else.
fn items(value: &Value) -> impl Iterator<Item = &Value> + Clone {
    value.as_array().into_iter().flatten()
}

fn quoted(word: &str) -> String {
    format!("`{word}`")
}

/// "a, b or c", each once.
fn alternatives(mut all: Vec<String>) -> String {
    let mut seen = Vec::new();
    all.retain(|one| !seen.contains(one) && (seen.push(one.clone()), true).1);
    let last = all.pop().unwrap_or_default();
    if all.is_empty() { last } else { format!("{} or {last}", all.join(", ")) }
}

/// What a schema says of itself, in one line.
fn described(schema: &Value) -> String {
    schema["description"].as_str().unwrap_or_default().replace('\n', " ")
}

/// The name of what a schema refers to.
fn referred(schema: &Value) -> Option<String> {
    let name = schema["$ref"].as_str()?.trim_start_matches("#/$defs/");
    Some(name.replace("%20", " "))
}

/// Keys of a mapping with their schemas.
fn properties(schema: &Value) -> impl Iterator<Item = (&String, &Value)> {
    schema["properties"].as_object().into_iter().flatten()
}

/// Schema of values by names of one's own.
fn by_name(schema: &Value) -> Option<&Value> {
    let free = &schema["additionalProperties"];
    (free.is_object() && schema["properties"].is_null()).then_some(free)
}

/// Other schemas that a value may have instead.
fn instead(schema: &Value) -> impl Iterator<Item = &Value> + Clone {
    let all = Some(&schema["anyOf"]).filter(|_| schema["type"].is_null());
    all.into_iter().flat_map(items)
}

/// The words that a value may be, and what each means.
fn words(schema: &Value) -> Vec<(String, String)> {
    let choice = items(&schema["oneOf"]).map(|way| (&way["const"], described(way)));
    let plain = items(&schema["enum"]).map(|word| (word, String::new()));
    let text = |(word, means): (&Value, String)| Some((word.as_str()?.to_owned(), means));
    choice.chain(plain).filter_map(text).collect()
}

impl Schema {
    /// That of a profile.
    pub fn of_profile() -> Schema {
        Schema(profile_schema())
    }

    /// What has this name in it.
    pub fn named(&self, name: &str) -> &Value {
        if ["Profile", "Shop"].contains(&name) { &self.0 } else { &self.0["$defs"][name] }
    }

    /// Every key of it with all its places, those nearer to the top of a profile first.
    pub fn keys(&self) -> Vec<KeyAt> {
        let mut found = Vec::new();
        self.look("", &self.0, &mut Vec::new(), &mut found);
        found.sort_by_key(|key: &KeyAt| key.paths.iter().map(|p| p.matches('.').count()).min());
        found
    }

    /// Looks for keys in what may stand at `path`; those directly below it.
    fn look(
        &self,
        path: &str,
        schema: &Value,
        within: &mut Vec<String>,
        found: &mut Vec<KeyAt>,
    ) -> Vec<String> {
        if let Some(name) = referred(schema) {
            if within.contains(&name) {
                return Vec::new();
            }
            within.push(name.clone());
            let below = self.look(path, self.named(&name), within, found);
            within.pop();
            // of so many values that they would be said everywhere
            return if name.starts_with(KNOWN.0) { Vec::new() } else { below };
        }
        let mut keys = Vec::new();
        for (row, value) in self.rows(schema) {
            let path =
                if path.is_empty() { row.key.clone() } else { format!("{path}.{}", row.key) };
            keys.push(row.key.clone());
            let at = found.iter().position(|key| key.row == row).unwrap_or(found.len());
            if at == found.len() {
                let (words, below) = (self.words_of(value), Vec::new());
                found.push(KeyAt { row, paths: Vec::new(), words, below });
            }
            // one item stands for a list of them: the same keys twice
            if !found[at].paths.contains(&path) {
                found[at].paths.push(path.clone());
            }
            found[at].below = self.look(&path, value, within, found);
        }
        if let Some(value) = by_name(schema) {
            keys.extend(self.look(&format!("{path}.{NAME}"), value, within, found));
        }
        let items = Some(&schema["items"]).filter(|items| items.is_object());
        for other in instead(schema).chain(items) {
            keys.extend(self.look(path, other, within, found));
        }
        keys
    }

    /// The words that may stand as a value, where it is said what they mean.
    pub fn words_of(&self, schema: &Value) -> Vec<(String, String)> {
        let own = words(schema).into_iter().filter(|(_, means)| !means.is_empty());
        let named = referred(schema).map(|name| self.words_of(self.named(&name)));
        let others = instead(schema).flat_map(|other| self.words_of(other));
        own.chain(named.into_iter().flatten()).chain(others).collect()
    }

    /// The keys of a mapping, or of the parts that may be, each with the schema of its value; words that a value may be.
    pub fn rows<'s>(&self, schema: &'s Value) -> Vec<(KeyRow, &'s Value)> {
        let row = |(key, value): (&String, &'s Value), needed, means| {
            let (key, written) = (key.clone(), self.written(value));
            (KeyRow { key, needed, written, means }, value)
        };
        let own = properties(schema).map(|one| row(one, needed(schema, one.0), described(one.1)));
        let parts = items(&schema["oneOf"])
            .flat_map(|part| properties(part).map(move |one| (one, described(part))));
        own.chain(parts.map(|(one, means)| row(one, Needed::No, means))).collect()
    }

    /// What is written as a value.
    fn written(&self, schema: &Value) -> String {
        alternatives(self.ways(schema))
    }

    /// The ways in which a value is written.
    fn ways(&self, schema: &Value) -> Vec<String> {
        if let Some(name) = referred(schema) {
            return self.ways_by_name(&name);
        }
        if instead(schema).next().is_some() {
            return instead(schema).flat_map(|way| self.ways(way)).collect();
        }
        let words = words(schema);
        if (1..=MOST_WORDS).contains(&words.len()) {
            return words.iter().map(|(word, _)| quoted(word)).collect();
        }
        vec![self.one_way(schema)]
    }

    fn one_way(&self, schema: &Value) -> String {
        if schema["const"] == true {
            return quoted("true");
        }
        if schema["type"] == "array" {
            let most = schema["maxItems"].as_u64().filter(|most| *most != MOST as u64);
            let most = match (most, schema["minItems"].as_u64()) {
                (Some(most), Some(least)) if most == least => format!(" of {most}"),
                (Some(most), _) => format!(" of at most {most}"),
                _ => String::new(),
            };
            return format!("list{most}; each: {}", self.written(&schema["items"]));
        }
        if let Some(value) = by_name(schema) {
            return format!("block of names; each: {}", self.written(value));
        }
        if schema["type"] == "object" {
            return "block of keys".to_owned();
        }
        let whole = described(schema);
        let short = [": ", ", such as", ", at most"].iter().filter_map(|end| whole.find(end)).min();
        let short = &whole[..short.unwrap_or(whole.len())];
        let (first, rest) = short.split_at_checked(1).unwrap_or_default();
        first.to_lowercase() + rest
    }

    fn ways_by_name(&self, name: &str) -> Vec<String> {
        let schema = self.named(name);
        if name.starts_with(KNOWN.0) {
            return vec![KNOWN.1.to_owned()];
        }
        if schema["patternErrorMessage"].is_null() {
            return self.ways(schema);
        }
        vec![match (name.strip_prefix("signed-"), name.strip_suffix("-or-zero")) {
            (Some(name), _) => format!("{name} with its sign"),
            (_, Some(name)) => format!("{name} from 0"),
            _ => name.to_owned(),
        }]
    }
}

/// Whether a key must be there, or the others of which one must.
fn needed(schema: &Value, key: &str) -> Needed {
    if items(&schema["required"]).any(|must| must == key) {
        return Needed::Always;
    }
    let ways = items(&schema["anyOf"]).chain(items(&schema["oneOf"]));
    let alone = |way: &Value| match items(&way["required"]).collect::<Vec<_>>()[..] {
        [one] if way["properties"].is_null() => one.as_str().map(str::to_owned),
        _ => None,
    };
    let keys = ways.map(alone).collect::<Option<Vec<String>>>().unwrap_or_default();
    if !keys.iter().any(|one| one == key) {
        return Needed::No;
    }
    let others = keys.iter().filter(|other| *other != key).map(|other| quoted(other));
    Needed::OrElse(alternatives(others.collect()))
}
