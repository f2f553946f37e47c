//! Ranges of outlet volts by name: figures of the standards, and what profiles and options make of them.

use super::harness::{flat, mainsfit, printed};
use mainsfit::catalogue::{outlet_range, outlet_ranges};
use serde_json::Value;
use std::path::PathBuf;

const SET: &str = "profiles/little-known.yaml";

/// The smallest shipped profile with its design line and its outlet as wanted.
struct Changed(tempfile::TempDir);

impl Changed {
    fn new(set: &str, outlet: &str) -> Changed {
        let text = std::fs::read_to_string(SET).unwrap();
        let (line, usual) = ("  design_line: 110 V\n", "outlet: { usual: 121 V }\n");
        assert!(text.contains(line) && text.contains(usual));
        let text = text.replace(line, &format!("  {set}\n")).replace(usual, &format!("{outlet}\n"));
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("set.yaml"), text).unwrap();
        Changed(folder)
    }

    fn path(&self) -> PathBuf {
        self.0.path().join("set.yaml")
    }

    fn run(&self, command: &str, options: &[&str]) -> mainsfit::cli::Outcome {
        let path = self.path();
        mainsfit(&[&[command, path.to_str().unwrap()], options].concat())
    }

    fn plan(&self, options: &[&str]) -> Value {
        let outcome = self.run("plan", &[options, &["--format", "json"]].concat());
        assert_eq!(outcome.code, 0, "{}", outcome.err);
        serde_json::from_str(&outcome.out).unwrap()
    }
}

fn volts(plan: &Value) -> [f64; 3] {
    ["low_v", "usual_v", "high_v"].map(|key| plan["outlet"][key].as_f64().unwrap())
}

/// What is listed as assumed of the outlet.
fn assumed(plan: &Value) -> Vec<(String, String)> {
    let list = plan["assumptions"].as_array().unwrap().iter();
    let text = |a: &Value, key: &str| a[key].as_str().unwrap_or_default().to_owned();
    list.filter(|a| text(a, "what").contains("outlet voltage"))
        .map(|a| (text(a, "what"), text(a, "rule")))
        .collect()
}

#[test]
fn limits_follow_from_the_standards() {
    // nominal volts, share below, share above
    for (name, nominal, below, above) in [
        // ANSI C84.1, service voltage, range A: ±5 %
        ("north-america", 120.0, 0.05, 0.05),
        // IEC 60038: 230 V ±10 %
        ("europe", 230.0, 0.10, 0.10),
        // national standards of the European mainland until 1987: 220 V ±10 %
        ("europe-220", 220.0, 0.10, 0.10),
        // UK until 1994: 240 V ±6 %, 225.6 to 254.4 V (wiring regulations, as quoted)
        ("uk-240", 240.0, 0.06, 0.06),
        // UK from 1995: 230 V −6 +10 %, 216.2 to 253.0 V (the same)
        ("uk", 230.0, 0.06, 0.10),
        // AS 60038: 230 V −6 +10 %
        ("australia", 230.0, 0.06, 0.10),
        // Australia before: 240 V ±6 % †
        ("australia-240", 240.0, 0.06, 0.06),
        // papers on voltage standards of Australia and New Zealand: 230 V ±6 %
        ("new-zealand", 230.0, 0.06, 0.06),
    ] {
        let range = outlet_range(name).unwrap();
        assert_eq!(range.nominal_v, nominal, "{name}");
        assert!((range.low_v - nominal * (1.0 - below)).abs() < 1e-9, "{name}");
        assert!((range.high_v - nominal * (1.0 + above)).abs() < 1e-9, "{name}");
    }
    // enforcement rule of the Japanese Electricity Business Act: 101 ± 6 V; frequencies of the two halves
    for (name, hertz) in [("japan-east", 50.0), ("japan-west", 60.0)] {
        let range = outlet_range(name).unwrap();
        let found = (range.low_v, range.usual_v, range.high_v, range.frequency_hz);
        assert_eq!(found, (95.0, 101.0, 107.0, Some(hertz)), "{name}");
    }
    // ANSI C84.1 range B at the service, as shares of nominal in network studies: 0.917 and 1.058, in whole volts
    let range = outlet_range("north-america-b").unwrap();
    assert_eq!(
        (range.low_v, range.high_v),
        ((0.917f64 * 120.0).round(), (1.058f64 * 120.0).round())
    );
}

/// Where the number changed and the volts did not, the usual volts are the old ones: both ranges hold them.
#[test]
fn usual_volts_lie_in_the_old_and_in_the_new_range() {
    for (new, old) in [("uk", "uk-240"), ("australia", "australia-240")] {
        let (new, old) = (outlet_range(new).unwrap(), outlet_range(old).unwrap());
        assert_eq!(new.usual_v, old.nominal_v);
        assert!((new.low_v..=new.high_v).contains(&old.usual_v));
    }
}

#[test]
fn a_range_is_stated_and_its_usual_volts_are_listed() {
    let short = Changed::new("design_line: 220 V", "outlet: uk").plan(&[]);
    assert_eq!(volts(&short), [216.2, 240.0, 253.0]);
    assert_eq!(short["outlet"]["range"], "uk");
    assert_eq!(short["outlet"]["frequency_hz"], 50.0);
    let list = assumed(&short);
    assert_eq!(list.len(), 1, "{list:?}");
    assert_eq!(list[0].0, "usual outlet voltage");
    for words in ["range uk", "the voltage did not", "230 V -6 % +10 %"] {
        assert!(list[0].1.contains(words), "{list:?}");
    }
    let long = Changed::new("design_line: 220 V", "outlet: { range: uk }").plan(&[]);
    assert_eq!(long["outlet"], short["outlet"]);
    assert_eq!(long["assumptions"], short["assumptions"]);
}

#[test]
fn what_is_written_comes_before_the_range() {
    let outlet = "outlet: { range: europe, usual: 236 V, high: 245 V, frequency: 50.2 Hz }";
    let plan = Changed::new("design_line: 220 V", outlet).plan(&[]);
    assert_eq!(volts(&plan), [207.0, 236.0, 245.0]);
    assert_eq!(plan["outlet"]["frequency_hz"], 50.2);
    assert_eq!(assumed(&plan), []);
}

#[test]
fn the_option_replaces_the_profiles_outlet() {
    let set = Changed::new(
        "design_line: 110 V",
        "outlet: { low: 116 V, usual: 121 V, high: 125 V, frequency: 50 Hz }",
    );
    let plan = set.plan(&["--range", "north-america"]);
    assert_eq!(volts(&plan), [114.0, 122.0, 126.0]);
    assert_eq!(plan["outlet"]["frequency_hz"], 60.0);
    // single volts on top of it
    let plan = set.plan(&["--range", "north-america", "--line", "124V", "--high", "127V"]);
    assert_eq!(volts(&plan), [114.0, 124.0, 127.0]);
    assert_eq!(assumed(&plan), []);
    // a profile's range, on the other hand, is the profile's: its limits do not follow the line
    let ranged = Changed::new("design_line: 110 V", "outlet: north-america");
    let plan = ranged.plan(&["--line", "100V"]);
    assert_eq!(volts(&plan), [96.0, 100.0, 103.0]);
    let console = "profiles/console-1936.yaml";
    for command in ["note", "power-up", "sweep"] {
        printed(&[command, console, "--range", "north-america"]);
    }
    // a note can be made again from what it says
    let note = printed(&["note", console, "--range", "north-america"]);
    assert!(note.contains(" --range north-america"), "{note}");
    let text = set.run("plan", &["--range", "north-america"]).out;
    assert!(
        text.contains("outlet: 122 V usual, 114 V low, 126 V high (range north-america)"),
        "{text}"
    );
}

#[test]
fn a_wrong_name_is_placed_and_the_nearest_named() {
    for (outlet, at, near) in [
        ("outlet: north-amerika", ":7:9: ", "north-america"),
        ("outlet: { range: eurpoe }", ":7:18: ", "europe"),
    ] {
        let outcome = Changed::new("design_line: 110 V", outlet).run("check", &[]);
        assert_eq!(outcome.code, 2);
        let text = flat(&outcome.err);
        assert!(text.contains(at), "{text}");
        let advice = format!("the nearest is {near}; `mainsfit explain outlet.range` lists them");
        assert!(text.contains(&advice), "{text}");
    }
    let volts = Changed::new("design_line: 110 V", "outlet: 122 V").run("check", &[]);
    assert!(volts.err.contains("write `outlet: { usual: 122 V }`"), "{}", volts.err);
    let outside =
        Changed::new("design_line: 220 V", "outlet: { range: uk, usual: 260 V }").run("check", &[]);
    let text = flat(&outside.err);
    assert!(text.contains("out of order"), "{text}");
    assert!(text.contains("216.2 V low, 253 V high"), "{text}");
    let option = mainsfit(&["plan", SET, "--range", "europ"]);
    assert_eq!(option.code, 2);
    let text = flat(&option.err);
    let advice = "the nearest is europe; `mainsfit explain outlet.range` lists them";
    assert!(text.contains(advice), "{text}");
}

/// 110, 125 and 127 V are taps of European sets as well: nothing is guessed for a set of 50 Hz.
#[test]
fn a_set_of_50_hz_at_110_to_130_v_could_be_of_anywhere() {
    let here = "outlet: { range: europe }";
    for (set, known) in [
        ("{ name: A, design_line: 127 V, frequency: 50 Hz }", false),
        ("{ name: A, design_line: 110 V, frequency: 42 Hz }", false),
        ("{ name: A, design_line: 110 V, frequency: 60 Hz }", true),
        ("{ name: A, design_line: 110 V, frequency: 25 Hz }", true),
        ("{ name: A, design_line: 110 V }", true),
        ("{ name: A, design_line: 220 V, frequency: 50 Hz }", true),
        ("{ name: A, design_line: 100 V, frequency: 50 Hz }", true),
    ] {
        let text = std::fs::read_to_string(SET).unwrap();
        let (_, rest) = text.split_once("service_sheet").unwrap();
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("set.yaml");
        std::fs::write(&path, format!("set: {set}\nservice_sheet{rest}")).unwrap();
        let file = path.to_str().unwrap();
        let outcome = mainsfit(&["plan", file, "--format", "json"]);
        if known {
            assert_eq!(outcome.code, 0, "{set}: {}", outcome.err);
            continue;
        }
        assert_eq!(outcome.code, 2, "{set}");
        let said = flat(&outcome.err);
        assert!(said.contains("the outlet voltage is not known"), "{said}");
        assert!(said.contains(here), "{said}");
        assert!(said.contains("outlet: { range: north-america }"), "{said}");
        let placed = mainsfit(&["plan", file, "--range", "europe", "--format", "json"]);
        assert_eq!(placed.code, 0, "{set}: {}", placed.err);
    }
}

#[test]
fn a_new_profile_keeps_the_range() {
    let args = [
        "new",
        "--design-line",
        "220V",
        "--tubes",
        "6K7,6F6",
        "--rectifier",
        "5Y3-GT",
        "--range",
        "uk",
    ];
    let text = printed(&args);
    assert!(text.contains("\n  range: uk "), "{text}");
    assert!(text.contains("\n  #usual: 240 V"), "{text}");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new.yaml");
    std::fs::write(&path, text).unwrap();
    let plan = printed(&["plan", path.to_str().unwrap(), "--format", "json"]);
    let plan: Value = serde_json::from_str(&plan).unwrap();
    assert_eq!(volts(&plan), [216.2, 240.0, 253.0]);
}

/// One answer and one table of the documents list the ranges, each with its figures; what takes one says where.
#[test]
fn every_range_is_listed_once_with_its_figures() {
    let document = std::fs::read_to_string("docs/profile.md").unwrap();
    let list = flat(&printed(&["explain", "outlet.range"]));
    for range in outlet_ranges() {
        let hertz = range.frequency_hz.map_or("-".to_owned(), |f| f.to_string());
        let row = format!(
            "| `{}` | {} | {} | {} | {} | {hertz} | {} |",
            range.name, range.title, range.usual_v, range.low_v, range.high_v, range.standard
        );
        assert!(document.contains(&row), "docs/profile.md lacks\n{row}");
        let (usual, low, high) = (range.usual_v, range.low_v, range.high_v);
        let line = format!("{}: {}: {usual} V, {low} to {high} V", range.name, range.title);
        assert!(list.contains(&line), "{line}: {list}");
    }
    let mut seen = 0;
    for command in
        ["plan", "note", "power-up", "sweep", "switch-on", "tolerance", "replace", "divider", "new"]
    {
        let help = flat(&printed(&[command, "--help"]));
        assert!(help.contains("`mainsfit explain outlet.range` lists them"), "{command}: {help}");
        seen += usize::from(help.contains("new-zealand"));
    }
    seen += usize::from(printed(&["man"]).replace("\\-", "-").contains("new-zealand"));
    for path in std::fs::read_dir("docs").unwrap().map(|entry| entry.unwrap().path()) {
        if path.extension().is_some_and(|e| e == "md") {
            let text = std::fs::read_to_string(&path).unwrap();
            seen += text.matches("| `new-zealand` |").count();
        }
    }
    assert_eq!(seen, 1, "the list stands in docs/profile.md alone");
}
