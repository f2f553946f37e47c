//! What declarations refuse by themselves, on mappings that no section has.

use super::declare::{
    Defs, Expected, Key, Lax, List, Named, OrUsual, Part, Read, Sound, Tried, choice, form, keys,
    part, read_part, reads, shape_of,
};
use crate::{
    profile::{
        Document, Reader,
        values::{Count, Volts},
    },
    quantity::{Quantity, Voltage},
};
use serde_json::json;

/// What becomes of a text, and what is said of it: path, what was found, what to write.
fn read<T: Read>(text: &str) -> (Option<T::Value>, Vec<String>) {
    let document = Document::parse("x.yaml", text.as_bytes()).expect("it is YAML");
    let reader = Reader::new(&document);
    let value = T::read(&reader.root());
    let told = match reader.into_result(Some(())) {
        Ok((_, warnings)) => warnings,
        Err(problems) => problems,
    };
    let say = |problem: &crate::profile::Problem| {
        let advice = problem.advice.clone().unwrap_or_default();
        format!("{} | {} | {advice}", problem.path, problem.found)
    };
    (value, told.items().iter().map(say).collect())
}

/// That nothing becomes of a text, for one reason.
fn refuses<T: Read>(text: &str, why: &str) {
    let (value, told) = read::<T>(text);
    assert!(value.is_none(), "{text}: taken");
    assert_eq!(told, [why], "{text}");
}

choice! {
    /// A colour
    pub enum Colour {
        /// Like blood
        Red = "red",
        /// Like grass
        Green = "green",
    }
    "is no colour"
}

choice! {
    /// A side
    Side -> bool {
        /// The left one
        "left" => true,
        /// The right one
        "right" => false,
    }
    "is no side", "write `left` or `right`, as seen from the front"
}

keys! {
    /// A lamp
    pub struct Bulb {
        /// Its volts
        volts: Volts,
        /// How many
        count: Count<3>,
        /// Its colour
        tint "colour": Option<Colour>,
    }
}

keys! {
    /// A lamp of which the advice names one key
    pub struct Brief {
        /// Its volts
        volts: Volts,
        /// Its colour
        colour: Option<Colour>,
    }
    wanted &["volts"];
    => Voltage: |keys, at| {
        if keys.colour == Some(Colour::Red) {
            return at.refuse("no red ones", "paint it");
        }
        Some(keys.volts)
    };
}

keys! {
    /// One that the advice has an example of
    pub struct Wound {
        /// Its volts
        volts: Volts,
    }
    example "{ volts: 6.3 V }";
    => Voltage: |keys, _| Some(keys.volts);
}

keys! {
    /// One that needs no key
    pub struct Free [Default] {
        /// Its side
        side: Option<Side>,
    }
    wanted &[];
}

/// A mapping with a rule about two keys of three.
macro_rules! ruled {
    ($name:ident $word:literal) => {
        keys! {
            /// Something with a rule
            pub struct $name {
                /// The first
                first: Option<Volts>,
                /// The second
                second: Option<Volts>,
                /// Not of the rule
                third: Option<Side>,
            }
            rule ($word, &["first", "second"], "that is not how many there are", "write them");
            => usize: |keys, _| {
                let volts = [keys.first, keys.second];
                let sides = usize::from(keys.third.is_some());
                Some(volts.iter().flatten().count() + 10 * sides)
            };
        }
    };
}
ruled!(AnyOf "anyOf");
ruled!(OneOf "oneOf");
ruled!(All "required");

#[test]
fn what_is_right_is_taken() {
    let (bulb, told) = read::<Bulb>("{ volts: 6.3 V, count: 2, colour: green }");
    let bulb = bulb.expect("it is right");
    assert_eq!((bulb.volts.si(), bulb.count, bulb.tint), (6.3, 2, Some(Colour::Green)));
    assert!(told.is_empty(), "{told:?}");
    assert_eq!(Bulb::KEYS, ["volts", "count", "colour"]);
    let (volts, _) = read::<Brief>("{ volts: 6.3 V, colour: green }");
    assert_eq!(volts.map(Quantity::si), Some(6.3));
    let (free, _) = read::<Free>("{ side: left }");
    assert_eq!(free.expect("it is right").side, Some(true));
}

#[test]
fn what_is_no_mapping_is_told_the_keys() {
    let all = "write \"key: value\" lines with keys of: volts, count, colour";
    refuses::<Bulb>("[6.3 V]", &format!(" | a block of keys is wanted here; found a list | {all}"));
    refuses::<Bulb>(
        "6.3 V",
        &format!(" | a block of keys is wanted here; found \"6.3 V\" | {all}"),
    );
    refuses::<Brief>(
        "6.3 V",
        " | a block of keys is wanted here; found \"6.3 V\" | write \"key: value\" lines with keys of: volts",
    );
    refuses::<Wound>(
        "6.3 V",
        " | a block of keys is wanted here; found \"6.3 V\" | write `{ volts: 6.3 V }`, with its own figures",
    );
    refuses::<Free>(
        "[]",
        " | a block of keys is wanted here; found a list | write \"key: value\" lines, indented below the key",
    );
}

#[test]
fn a_key_that_must_be_there() {
    refuses::<Bulb>(
        "{ count: 2 }",
        " | the key \"volts\" is missing here | add \"volts:\" with its value, such as 122 V",
    );
    refuses::<Bulb>("{ volts: }", "volts | \"volts\" is empty | write its value");
    let (value, told) = read::<Bulb>("{ volts: 6 }");
    assert!(value.is_none());
    assert!(told.len() == 1 && told[0].starts_with("volts | \"6\" has no unit"), "{told:?}");
}

/// A key that may be missing is reported where it is empty or wrong, and the rest is read.
#[test]
fn a_key_that_may_be_missing() {
    for (colour, why) in [
        ("", "colour | \"colour\" is empty | give a value or remove the line"),
        ("blue", "colour | \"blue\" is no colour | write one of: red, green"),
    ] {
        let (bulb, told) = read::<Bulb>(&format!("{{ volts: 6 V, colour: {colour} }}"));
        assert_eq!(bulb.expect("the rest is right").tint, None);
        assert_eq!(told, [why]);
    }
}

/// An unknown key is reported once all others were asked for, with the nearest.
#[test]
fn a_key_that_is_unknown() {
    let (bulb, told) = read::<Bulb>("{ volts: 6 V, color: red, make: old }");
    assert!(bulb.is_some());
    assert_eq!(
        told,
        [
            "color | unknown key \"color\" | the nearest known key is \"colour\"",
            "make | unknown key \"make\" | use one of the known keys: volts, count, colour",
        ]
    );
    // one that is the missing one misspelt is one slip, and told once; what else is wrong is told as well
    let (bulb, told) = read::<Bulb>("{ vots: 6 V, count: 9, color: red }");
    assert!(bulb.is_none());
    assert_eq!(told.len(), 3, "{told:?}");
    assert_eq!(
        told[0],
        "vots | \"vots\" is not a key here, and \"volts\" is missing | did you mean \"volts\"? write that"
    );
    assert!(told[1].starts_with("count | ") && told[2].starts_with("color | "), "{told:?}");
    let (_, told) = read::<AnyOf>("{ secnd: 5 V }");
    assert_eq!(
        told,
        [
            "secnd | \"secnd\" is not a key here, and \"second\" is missing | did you mean \"second\"? write that"
        ]
    );
    // where the mapping is given up as well
    let (bulb, told) = read::<Bulb>("{ make: old }");
    assert!(bulb.is_none());
    assert_eq!(told.len(), 2, "{told:?}");
}

#[test]
fn a_word_that_is_none_of_those() {
    refuses::<Colour>("blue", " | \"blue\" is no colour | write one of: red, green");
    refuses::<Colour>("Red", " | \"Red\" is no colour | write one of: red, green");
    refuses::<Side>(
        "top",
        " | \"top\" is no side | write `left` or `right`, as seen from the front",
    );
    refuses::<Side>(
        "[left]",
        " | a single value is wanted here; found a list | write one value here",
    );
    assert_eq!(read::<Side>("right"), (Some(false), Vec::new()));
    assert_eq!(Colour::ALL.map(Colour::word), ["red", "green"]);
}

#[test]
fn what_keys_ask_of_each_other() {
    let (none, one, both) =
        ("{ third: left }", "{ second: 5 V, third: left }", "{ first: 4 V, second: 5 V }");
    let why = " | that is not how many there are | write them";
    refuses::<AnyOf>(none, why);
    refuses::<OneOf>(none, why);
    refuses::<OneOf>(both, why);
    refuses::<All>(none, why);
    refuses::<All>(one, why);
    assert_eq!(read::<AnyOf>(one), (Some(11), Vec::new()));
    assert_eq!(read::<AnyOf>(both), (Some(2), Vec::new()));
    assert_eq!(read::<OneOf>(one), (Some(11), Vec::new()));
    assert_eq!(read::<All>(both), (Some(2), Vec::new()));
    // a key that is there and wrong is its own fault, and not a missing one
    let (value, told) = read::<AnyOf>("{ first: 4 }");
    assert_eq!(value, Some(0));
    assert!(told.len() == 1 && told[0].starts_with("first | "), "{told:?}");
}

/// The schema refuses what the reader refuses.
#[test]
fn the_schema_says_the_rules() {
    let shape = |shape: fn(&mut Defs) -> serde_json::Value| shape(&mut Defs::new());
    let one = json!([{ "required": ["first"] }, { "required": ["second"] }]);
    assert_eq!(shape(AnyOf::shape)["anyOf"], one);
    assert_eq!(shape(OneOf::shape)["oneOf"], one);
    assert_eq!(shape(All::shape)["required"], json!(["first", "second"]));
    let bulb = shape(Bulb::shape);
    assert_eq!(bulb["required"], json!(["volts"]));
    assert_eq!(bulb["additionalProperties"], false);
    assert_eq!(bulb["properties"]["colour"]["description"], "Its colour");
    let side = json!({ "const": "left", "description": "The left one", "type": "string" });
    assert_eq!(shape(Side::shape)["oneOf"][0], side);
    assert_eq!(shape(Free::shape)["required"], json!(null));
}

/// What becomes of a mapping is refused where it stands.
#[test]
fn what_the_values_decide() {
    refuses::<Brief>("{ volts: 6 V, colour: red }", " | no red ones | paint it");
}

form! {
    /// A pair of sides
    Pair -> usize: inline [Side] { "minItems": 2 },
    |at| {
        let items = at.list()?;
        let sides: Option<Vec<bool>> = items.iter().map(Side::read).collect();
        match sides?.len() {
            2 => Some(2),
            _ => at.refuse("no pair", "write two"),
        }
    }
}

form! {
    /// A side, or a mapping
    Either -> (): Side | Free,
    |at| Side::read(at).map(|_| ())
}

#[test]
fn a_form_refuses_by_its_reader() {
    refuses::<Pair>(
        "left",
        " | a list is wanted here; found \"left\" | write each item on its own line after \"- \"",
    );
    refuses::<Pair>("[left]", " | no pair | write two");
    refuses::<Pair>(
        "[left, top]",
        "[1] | \"top\" is no side | write `left` or `right`, as seen from the front",
    );
    assert_eq!(read::<Pair>("[left, right]"), (Some(2), Vec::new()));
    let mut defs = Defs::new();
    let ways = Either::shape(&mut defs);
    assert_eq!(ways["anyOf"], json!([{ "$ref": "#/$defs/Side" }, { "$ref": "#/$defs/Free" }]));
    assert_eq!((Pair::name().as_str(), Pair::shape(&mut defs)["minItems"].as_u64()), ("", Some(2)));
}

/// A list of parts.
struct Piece;

reads!(Piece => f64, "Piece", |at| read_part(at, &pieces(), "is no piece", "write `- cell: 2 V`"),
    |defs| shape_of(&["A piece"], &pieces(), defs));

fn pieces() -> [Part<f64>; 2] {
    [
        part::<Volts, _>("cell", "A cell", |volts, at| match volts.si() {
            high if high > 3.0 => at.refuse("no cell has that", "write `- cell: 2 V`"),
            volts => Some(volts),
        }),
        part::<Side, _>("link", "A link", |_, _| Some(0.0)),
    ]
}

#[test]
fn a_part_is_one_key_of_those() {
    let one = " | each entry of the filter is one part | write `- cell: 2 V`";
    refuses::<Piece>("{ cell: 2 V, link: left }", one);
    refuses::<Piece>("{}", one);
    refuses::<Piece>("{ coil: 2 V }", "coil | \"coil\" is no piece | write `- cell: 2 V`");
    refuses::<Piece>(
        "cell",
        " | a block of keys is wanted here; found \"cell\" | write \"name: value\" lines below the key",
    );
    refuses::<Piece>(
        "{ link: top }",
        "link | \"top\" is no side | write `left` or `right`, as seen from the front",
    );
    refuses::<Piece>("{ cell: 4 V }", " | no cell has that | write `- cell: 2 V`");
    assert_eq!(read::<Piece>("{ cell: 2 V }"), (Some(2.0), Vec::new()));
    let shape = Piece::shape(&mut Defs::new());
    assert_eq!(shape["oneOf"][1]["required"], json!(["link"]));
}

/// What a wrong value does to its mapping, by the way in which its key is asked for.
#[test]
fn ways_of_asking_for_a_key() {
    fn taken<K: Key>(text: &str) -> (Option<K::Value>, usize) {
        let document = Document::parse("x.yaml", text.as_bytes()).expect("it is YAML");
        let reader = Reader::new(&document);
        let fields = reader.root().map().expect("a mapping");
        let value = K::take(&fields, "key");
        fields.finish();
        (value, reader.errors())
    }
    let (absent, right, wrong) = ("{}", "{ key: left }", "{ key: top }");
    assert_eq!(taken::<Side>(absent), (None, 1));
    assert_eq!(taken::<Side>(right), (Some(true), 0));
    assert_eq!(taken::<Side>(wrong), (None, 1));
    assert_eq!(taken::<Option<Side>>(absent), (Some(None), 0));
    assert_eq!(taken::<Option<Side>>(wrong), (Some(None), 1));
    assert_eq!(taken::<Tried<Side>>(absent), (Some(None), 1));
    assert_eq!(taken::<Tried<Side>>(wrong), (Some(None), 1));
    assert_eq!(taken::<Expected<Side>>(absent), (Some(false), 1));
    assert_eq!(taken::<Expected<Side>>(wrong), (Some(false), 1));
    assert_eq!(taken::<Sound<Side>>(absent), (Some(None), 0));
    assert_eq!(taken::<Sound<Side>>(right), (Some(Some(true)), 0));
    assert_eq!(taken::<Sound<Side>>(wrong), (None, 1));
    assert_eq!(taken::<OrUsual<Side>>(absent), (Some(false), 0));
    assert_eq!(taken::<OrUsual<Side>>(wrong), (None, 1));
    assert_eq!(taken::<Lax<Side>>(absent), (Some(false), 0));
    assert_eq!(taken::<Lax<Side>>(wrong), (Some(false), 1));
    assert_eq!(taken::<List<Side>>(absent), (Some(Vec::new()), 0));
    assert_eq!(taken::<List<Side>>("{ key: [left, top, right] }"), (Some(vec![true, false]), 1));
    assert_eq!(taken::<List<Side>>("{ key: left }"), (Some(Vec::new()), 1));
    assert_eq!(taken::<List<Side, 1>>("{ key: [left, right] }"), (Some(vec![true]), 0));
    assert_eq!(taken::<Named<Side>>("{ key: { a: left, b: top } }"), (Some(vec![true]), 1));
    assert_eq!(taken::<Named<Side>>("{ key: [left] }"), (Some(Vec::new()), 1));
    assert_eq!(taken::<Count<3>>(absent), (Some(1), 0));
    assert_eq!(taken::<Count<3>>("{ key: 3 }"), (Some(3), 0));
    assert_eq!(taken::<Count<3>>("{ key: 4 }"), (None, 1));
}
