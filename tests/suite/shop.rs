//! The defaults of a shop: they hold where the profile is silent, and the plan says where.

use super::harness::{flat, mainsfit, printed, program, without_shop};
use serde_json::{Value, json};
use std::fs::{read_to_string, write};
use std::path::{Path, PathBuf};
use std::process::Command;

const SHOP: &str = "profiles/shop/shop.yaml";
/// A set whose profile says no outlet, no parts, and no meter.
const SET: &str = "profiles/little-known.yaml";

struct Here(tempfile::TempDir);

impl Here {
    fn new() -> Here {
        Here(tempfile::tempdir().unwrap())
    }

    fn file(&self, name: &str, text: &str) -> String {
        let path: PathBuf = self.0.path().join(name);
        write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    }
}

fn json_of(args: &[&str]) -> Value {
    let args: Vec<&str> = args.iter().chain(&["--format", "json"]).copied().collect();
    serde_json::from_str(&printed(&args)).unwrap()
}

/// The profile of [`SET`] without the keys that a shop may give.
fn silent() -> String {
    let text = read_to_string(SET).unwrap();
    text.lines()
        .filter(|line| !line.starts_with("outlet:"))
        .map(|line| line.to_owned() + "\n")
        .collect()
}

/// What a shop gives is what a profile would have said.
#[test]
fn a_shop_is_as_good_as_a_profile() {
    let here = Here::new();
    let readings = "readings:\n  - { at_line: 118 V, V2.screen: 92 V }\n";
    let readings_with = "readings:\n  - { at_line: 118 V, meter: 20 kΩ/V, V2.screen: 92 V }\n";
    let text = silent();
    assert!(!text.contains("readings:") && !text.contains("parts:") && !text.contains("outlet:"));
    let shop = "outlet: { low: 118 V, usual: 126 V, high: 129 V }\nparts:\n  resistors:\n    - { value: 17 Ω, rating: 100 W }\n    - { value: 22 Ω, rating: 100 W }\nmeter: 20 kΩ/V\n";
    let spoken = shop.replace("meter: 20 kΩ/V\n", "");
    let whole = here.file("set.yaml", &format!("{text}{readings_with}{spoken}"));
    let bare = here.file("bare.yaml", &format!("{text}{readings}"));
    let shop = here.file("shop.yaml", shop);
    let (mut own, mut taken) =
        (json_of(&["plan", &whole]), json_of(&["plan", &bare, "--shop", &shop]));
    assert_eq!(own["shop"].take(), Value::Null);
    assert_eq!(
        taken["shop"].take(),
        json!({ "file": "shop.yaml", "used": ["outlet", "resistors", "meter"] })
    );
    assert_eq!(own, taken);
    // and each of them counts
    let without = json_of(&["plan", &bare]);
    assert_ne!(without["outlet"], own["outlet"]);
    let metered = here.file("metered.yaml", "meter: 20 kΩ/V\n");
    let mut metered = json_of(&["plan", &bare, "--shop", &metered]);
    assert_eq!(metered["shop"].take()["used"], json!(["meter"]));
    assert_ne!(metered, without);
    let resistor = |plan: &Value| {
        let all = plan["choices"].as_array().unwrap().iter();
        all.clone().find(|c| c["id"] == "series-resistor").unwrap()["part"].to_string()
    };
    assert!(resistor(&own).contains("17") || resistor(&own).contains("22"), "{}", resistor(&own));
    assert_ne!(resistor(&without), resistor(&own));
}

/// The command line comes first, then the profile, then the shop.
#[test]
fn who_is_nearer_says_it() {
    let here = Here::new();
    let bare = here.file("bare.yaml", &silent());
    let own = here.file("own.yaml", &format!("{}outlet: {{ usual: 119 V }}\n", silent()));
    let usual = |plan: &Value| plan["outlet"]["usual_v"].as_f64().unwrap();
    let used = |plan: &Value| {
        plan["shop"]["used"]
            .as_array()
            .map_or(0, |list| list.iter().filter(|u| **u == "outlet").count())
    };
    let with = |args: &[&str]| json_of(&[args, &["--shop", SHOP]].concat());
    for (plan, volts, outlet) in [
        (with(&["plan", &bare]), 121.0, 1),
        (with(&["plan", &own]), 119.0, 0),
        (with(&["plan", &bare, "--line", "124V"]), 124.0, 0),
        (with(&["plan", &bare, "--range", "japan-east"]), 101.0, 0),
        (json_of(&["plan", &bare, "--no-shop"]), 122.0, 0),
    ] {
        assert_eq!((usual(&plan), used(&plan)), (volts, outlet), "{}", plan["shop"]);
    }
}

/// Every page that goes on from a plan says it, and so does standard error of the others.
#[test]
fn it_is_said_where_it_counts() {
    let here = Here::new();
    let bare = here.file("bare.yaml", &silent());
    const SAID: &str = "From the shop's file shop.yaml: outlet, resistors in stock, paper.";
    assert!(printed(&["plan", &bare, "--shop", SHOP]).contains(SAID));
    assert!(!printed(&["plan", &bare]).contains("From the shop's file"));
    for (command, name) in
        [("note", "n.html"), ("parts", "p.html"), ("power-up", "u.html"), ("note", "n.md")]
    {
        let path = here.0.path().join(name);
        let path = path.to_str().unwrap();
        let done = mainsfit(&[command, &bare, "--shop", SHOP, "-o", path]);
        assert_eq!((done.code, done.err.as_str()), (0, ""));
        let text = flat(&read_to_string(path).unwrap()).replace("&#39;", "'");
        assert!(
            text.contains("From the shop's file") && text.contains("resistors in stock"),
            "{name}"
        );
        // the paper of the shop
        let sized = text.contains("@page{size:Letter;");
        assert_eq!(sized, name.ends_with("html"), "{name}");
        printed(&[command, &bare, "-o", path, "--force"]);
        assert!(!read_to_string(path).unwrap().contains("size:Letter"), "{name}");
    }
    for args in [
        vec!["sweep", &bare, "--over", "resistor", "--points", "2"],
        vec!["switch-on", &bare],
        vec!["check", &bare],
        vec!["plan", &bare, &bare],
    ] {
        let done = mainsfit(&[&args[..], &["--shop", SHOP]].concat());
        assert_eq!(done.code, 0, "{args:?}: {}", done.err);
        assert_eq!(
            done.err,
            format!("{SHOP}: what the profile does not say is taken from this shop's file\n")
        );
    }
    // a word that says nothing of a set reads no shop
    printed(&["tubes", "6F6", "--shop", "no-such.yaml"]);
}

#[test]
fn what_is_wrong_in_it_has_its_place() {
    let here = Here::new();
    for (text, place, words) in [
        ("paper: A5\n", ":1:8:", "A4, Letter"),
        ("outlet: { usual: 122 }\n", ":1:18:", "unit"),
        ("tubes: [6F6]\n", ":1:1:", "outlet, parts, meter, paper"),
        ("meter: ten\n", ":1:8:", "20 kΩ/V"),
    ] {
        let shop = here.file("shop.yaml", text);
        let done = mainsfit(&["plan", SET, "--shop", &shop]);
        assert_eq!((done.code, done.out.as_str()), (2, ""), "{text}");
        let err = flat(&done.err);
        assert!(err.contains(&format!("shop.yaml{place}")) && err.contains(words), "{text}: {err}");
    }
    let missing = mainsfit(&["plan", SET, "--shop", "no-such.yaml"]);
    assert!(missing.err.contains("no-such.yaml: cannot be read: there is no such file"));
    assert_eq!(missing.code, 2);
    // an empty one is none
    let empty = here.file("empty.yaml", "{}\n");
    assert_eq!(json_of(&["plan", SET, "--shop", &empty]), json_of(&["plan", SET]));
}

/// By itself the program looks in the place that the system has for such files, or where it is told.
#[cfg(target_os = "linux")]
#[test]
fn it_is_found_in_its_usual_place() {
    let here = Here::new();
    let bare = here.file("bare.yaml", &silent());
    let folder = here.0.path().join("mainsfit");
    std::fs::create_dir(&folder).unwrap();
    std::fs::copy(SHOP, folder.join("shop.yaml")).unwrap();
    let other = here.file("other.yaml", "outlet: { usual: 117 V }\n");
    let usual = |shop: Option<&str>, config: &Path, more: &[&str]| {
        let mut command = program();
        command.args(["plan", &bare]).args(more).env("XDG_CONFIG_HOME", config);
        command.env_remove("MAINSFIT_SHOP").envs(shop.map(|shop| ("MAINSFIT_SHOP", shop)));
        let text = String::from_utf8(command.output().unwrap().stdout).unwrap();
        text.lines().find_map(|l| l.split_once("Your outlet: ")).unwrap().1[..5].to_owned()
    };
    assert_eq!(usual(None, here.0.path(), &[]), "121 V");
    assert_eq!(usual(Some(""), here.0.path(), &[]), "122 V");
    assert_eq!(usual(None, here.0.path(), &["--no-shop"]), "122 V");
    assert_eq!(usual(Some(&other), here.0.path(), &[]), "117 V");
    assert_eq!(usual(None, "/nowhere".as_ref(), &[]), "122 V");
}

/// The tests run without the defaults of whoever runs them.
#[test]
fn no_test_reads_the_shop_of_its_machine() {
    let mut seen = 0;
    for folder in ["tests/suite", "tests/slow", "tests/bench"] {
        for entry in std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()) {
            let Ok(text) = read_to_string(&entry) else { continue };
            if text.contains(concat!("CARGO_BIN", "_EXE_mainsfit")) {
                seen += 1;
                let guarded = ["without_shop(", "program()", "MAINSFIT_SHOP"]
                    .iter()
                    .any(|w| text.contains(w));
                assert!(guarded, "{}: take `harness::program()`", entry.display());
            }
        }
    }
    assert!(seen > 3, "{seen}");
    let _ = without_shop(Command::new("true"));
}

/// What stands in the documents is the file that is shipped, and its schema takes it.
#[test]
fn its_document_shows_what_is_shipped() {
    let document = read_to_string("docs/shop.md").unwrap();
    let shown = document.split("```yaml\n").nth(1).unwrap().split("```").next().unwrap();
    assert_eq!(shown, read_to_string(SHOP).unwrap());
    let schema: Value = serde_json::from_str(&printed(&["schema", "shop"])).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let value: Value = serde_yaml::from_str(shown).unwrap();
    assert!(validator.is_valid(&value));
    assert!(
        !validator.is_valid(&json!({ "tubes": [] }))
            && !validator.is_valid(&json!({ "paper": "A5" }))
    );
    assert!(Path::new(SHOP).is_file());
}
