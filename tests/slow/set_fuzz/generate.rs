//! Values made from the schema alone, and types of the catalogue.

use super::{
    Dice,
    schema::{Form, Schema},
};
use crate::harness::printed;
use serde_json::Value as Json;
use serde_yaml::{Mapping, Value};
use std::collections::BTreeMap;

/// Words where the schema takes any: names of windings, branches and parts that other keys refer to, and others.
const WORDS: [&str; 12] = [
    "main",
    "rectifier",
    "a",
    "b",
    "output",
    "screens",
    "bias",
    "B+",
    "6 ft",
    "µΩ °C −±",
    "<b>&amp;",
    "| * _ ` #",
];
/// Keys that blocks with keys of one's own are given.
const NAMES: [&str; 6] = ["main", "rectifier", "bias", "bleeder", "own type", "B+"];
/// Where neither words nor examples say what to write, by the name of the definition.
const SAID: [(&str, &[&str]); 5] = [
    ("Knee", &["0 %", "40 %", "95 %", "96 %"]),
    ("Share", &["1 %", "0.1 %", "20 %", "21 %"]),
    ("TolerableShare", &["5 %", "0.05", "0 %", "50 %", "51 %"]),
    ("Plain", &["1.1", "0.9", "0", "1e9"]),
    ("Whole", &["1", "2", "4", "8", "40"]),
];
/// Deeper than this only what is required is made.
const DEEP: usize = 3;

/// Makes values.
pub struct Maker {
    /// What may be made.
    pub schema: Schema,
    /// Types of the catalogue.
    pub types: Vec<String>,
}

impl Maker {
    /// With the program's schema and catalogue.
    pub fn new() -> Maker {
        // the first word of a row of the tables; titles and rules end in other letters or have one word
        let row = |line: &str| {
            let words: Vec<&str> = line.split_whitespace().collect();
            let is_row = words.len() > 2 && line.contains(|c: char| c.is_ascii_digit());
            (is_row && !line.contains(',')).then(|| words[0].to_owned())
        };
        let types: Vec<String> = printed(&["tubes"]).lines().filter_map(row).collect();
        assert!(types.len() > 300, "{} types", types.len());
        Maker { schema: Schema::of_profiles(), types }
    }

    /// Another type: most often one whose name begins with the same figure, as of the same heater volts.
    pub fn other_type(&self, than: &str, dice: &mut Dice) -> String {
        let figures =
            |name: &str| -> String { name.chars().take_while(char::is_ascii_digit).collect() };
        let like: Vec<&String> =
            self.types.iter().filter(|t| figures(t) == figures(than)).collect();
        match dice.once_in(4) || like.is_empty() {
            true => dice.of(&self.types).clone(),
            false => (*dice.of(&like)).clone(),
        }
    }

    /// A value that `node` may be.
    pub fn value(&self, node: &Json, dice: &mut Dice, depth: usize) -> Value {
        let forms = self.schema.forms(node);
        let form = *dice.of(&forms);
        self.of_form(form, dice, depth)
    }

    fn of_form(&self, form: Form, dice: &mut Dice, depth: usize) -> Value {
        let Form { name, node } = form;
        if let Some(word) = node.get("const").or_else(|| {
            let words = node.get("enum")?.as_array()?;
            Some(dice.of(words))
        }) {
            return serde_yaml::to_value(word).unwrap();
        }
        if name == "TypeName" {
            return dice.of(&self.types).as_str().into();
        }
        if let Some((_, words)) = SAID.iter().find(|(of, _)| *of == name) {
            return (*dice.of(words)).into();
        }
        if let Some(examples) = node.get("examples").and_then(Json::as_array) {
            return serde_yaml::to_value(dice.of(examples)).unwrap();
        }
        if node.get("items").is_some() {
            return self.list(node, dice, depth);
        }
        if node["type"] == "object" {
            return self.block(node, dice, depth);
        }
        match such_as(node) {
            Some(figure) => super::figures::near(figure, dice).unwrap_or(figure.to_owned()).into(),
            None => (*dice.of(&WORDS)).into(),
        }
    }

    fn list(&self, node: &Json, dice: &mut Dice, depth: usize) -> Value {
        let count = |key: &str| node.get(key).and_then(Json::as_u64).map(|n| n as usize);
        let least = count("minItems").unwrap_or(0);
        let many = (least + dice.below(3)).min(count("maxItems").unwrap_or(usize::MAX));
        Value::Sequence((0..many).map(|_| self.value(&node["items"], dice, depth + 1)).collect())
    }

    fn block(&self, node: &Json, dice: &mut Dice, depth: usize) -> Value {
        let mut wanted = required(node);
        // one of the ways in which a block may be complete
        let ways = ["anyOf", "oneOf"].iter().find_map(|key| node.get(*key)?.as_array());
        if let Some(ways) = ways {
            wanted.extend(required(dice.of(ways)));
        }
        let mut block = Mapping::new();
        let properties: BTreeMap<&str, &Json> = node
            .get("properties")
            .and_then(Json::as_object)
            .map_or_else(BTreeMap::new, |p| p.iter().map(|(k, v)| (k.as_str(), v)).collect());
        for (key, inner) in properties {
            if wanted.contains(&key) || depth < DEEP && dice.once_in(4) {
                block.insert(key.into(), self.value(inner, dice, depth + 1));
            }
        }
        if let Some(other) = node.get("additionalProperties").filter(|n| n.is_object()) {
            for _ in 0..=dice.below(2) {
                let key = (*dice.of(&NAMES)).into();
                block.insert(key, self.value(other, dice, depth + 1));
            }
        }
        Value::Mapping(block)
    }
}

fn required(node: &Json) -> Vec<&str> {
    let list = node.get("required").and_then(Json::as_array);
    list.map_or_else(Vec::new, |keys| keys.iter().filter_map(Json::as_str).collect())
}

/// The figure that the schema gives as an example: "…, such as 122 V; above zero".
pub fn such_as(node: &Json) -> Option<&str> {
    let words = node.get("description")?.as_str()?;
    let (_, example) = words.split_once(" with its unit, such as ")?;
    example.split(';').next()
}

/// Every definition can be made: a new kind of value without words, examples or figure is asked for here.
#[test]
fn every_definition_is_made_with_something() {
    let maker = Maker::new();
    let mut dice = Dice::drawn(7);
    let mut made = 0;
    for form in maker.schema.definitions() {
        for one in maker.schema.forms(form.node) {
            let node = one.node;
            let said =
                ["const", "enum", "examples", "items"].iter().any(|k| node.get(*k).is_some());
            let named = one.name == "TypeName" || SAID.iter().any(|(name, _)| *name == form.name);
            let text = form.name == "Text" || node["type"] == "object" || node["type"] == "array";
            let figure = such_as(node).is_some();
            assert!(said || named || text || figure, "{}: say in SAID what to write", form.name);
            if let Some(figure) = such_as(node) {
                let unit = super::figures::Figure::of(figure).unwrap().unit;
                let known = super::figures::rewritten(figure, &mut dice);
                assert!(known.is_some(), "{}: a unit without a family: {unit}", form.name);
            }
        }
        made += usize::from(!self::Maker::value(&maker, form.node, &mut dice, 0).is_null());
    }
    assert!(made > 80, "{made} definitions");
}
