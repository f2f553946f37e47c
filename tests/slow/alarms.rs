//! What may kill heads every screen, sheet and file of a set, in every form: a live chassis, and an outlet the set was
//! not made for.

use super::harness::{flat, mainsfit, run_full, shipped, stem, yaml_files};
use serde_yaml::Value;
use std::path::PathBuf;

const LIVE: &str = "LIVE CHASSIS: touch no metal on this set while it is plugged in";
const NEVER: &str = "DO NOT PLUG IN: this set is made for ";
const NOT_BARE: &str = "NOT WITHOUT THE PART: this set is made for ";

/// A set on disk, for commands that take a file.
struct Bench {
    folder: PathBuf,
    path: String,
    profile: Value,
}

impl Bench {
    /// A copy of a profile with one reading, so that `fit` has something to fit to, on `outlet` times its design voltage.
    fn new(path: &str, outlet: Option<f64>) -> Bench {
        let text = std::fs::read_to_string(path).unwrap();
        let mut profile: Value = serde_yaml::from_str(&text).unwrap();
        if let Some(times) = outlet {
            let usual = times * design_v(&profile);
            let day = format!(
                "{{ low: {:.1} V, usual: {usual:.1} V, high: {:.1} V }}",
                0.97 * usual,
                1.02 * usual
            );
            profile["outlet"] = serde_yaml::from_str(&day).unwrap();
        }
        let designed = plan(path)["as_designed"].clone();
        let reading = format!(
            "[{{ at_line: {} V, B+: {:.0} V }}]",
            design_v(&profile),
            designed["b_plus_v"].as_f64().unwrap()
        );
        profile["readings"] = serde_yaml::from_str(&reading).unwrap();
        profile.as_mapping_mut().unwrap().remove("calibration");
        let name = format!("mainsfit-alarms-{}-{}-{outlet:?}", std::process::id(), stem(path));
        let folder = std::env::temp_dir().join(name);
        std::fs::create_dir_all(&folder).unwrap();
        let file = folder.join("set.yaml");
        std::fs::write(&file, serde_yaml::to_string(&profile).unwrap()).unwrap();
        Bench { path: file.to_str().unwrap().to_owned(), folder, profile }
    }

    /// Every command on this set in every form it has; the words are those of the command line.
    fn runs(&self) -> Vec<String> {
        let set = &self.path;
        // each has a stem of its own, for Markdown's drawings are named after it
        let file = |name: &str| self.folder.join(name).display().to_string();
        let mut runs = vec![
            format!("plan {set}"),
            format!("plan {set} --working"),
            format!("plan {set} --format json"),
            format!("plan {set} {set}"),
            format!("plan {set} {set} --format json"),
            format!("check {set}"),
            format!("fit {set}"),
            format!("fit {set} --format json"),
            format!("note {set}"),
            format!("note {set} -o {}", file("note-sheet.html")),
            format!("note {set} -o {}", file("note-sheet.md")),
            format!("parts {set}"),
            format!("parts {set} --format csv"),
            format!("parts {set} --format json"),
            format!("parts {set} -o {}", file("parts-sheet.html")),
            format!("parts {set} -o {}", file("parts-sheet.md")),
            format!("power-up {set}"),
            format!("power-up {set} --format json"),
            format!("power-up {set} -o {}", file("steps-sheet.htm")),
            format!("power-up {set} -o {}", file("steps-sheet.markdown")),
            format!("sweep {set} --points 2"),
            format!("sweep {set} --points 2 --over resistor"),
            format!("sweep {set} --points 2 --format csv"),
            format!("sweep {set} --points 2 --format json"),
            format!("sweep {set} --points 2 --svg -"),
            format!("switch-on {set}"),
            format!("switch-on {set} --format json"),
            format!("switch-on {set} --svg -"),
            format!("tolerance {set} --draws 10"),
            format!("tolerance {set} --draws 10 --format json"),
        ];
        if let Some(Value::Mapping(dividers)) = self.profile.get("dividers") {
            for name in dividers.keys() {
                let of = format!("divider {set} --of {}", name.as_str().unwrap());
                runs.extend([format!("{of} --format json"), of]);
            }
        }
        runs
    }

    /// Runs them all; each must say `alarm` before anything else, in the way of its form.
    fn assert_heads(&self, alarm: &str) {
        for run in self.runs() {
            let args: Vec<&str> = run.split(' ').collect();
            let outcome = mainsfit(&args);
            if outcome.code == 1 && args[0] != "plan" {
                // refused: nothing is printed that could be taken for advice
                assert!(flat(&outcome.err).starts_with(alarm), "{run}: {}", outcome.err);
                match run.contains("json") {
                    true => assert_head(&run, &outcome.out, alarm),
                    false => assert!(outcome.out.is_empty(), "{run}: {}", outcome.out),
                }
                continue;
            }
            assert_eq!(outcome.code, 0, "{run}: {}", outcome.err);
            let file = args.iter().position(|a| *a == "-o").map(|i| args[i + 1]);
            let text = file.map_or(outcome.out, |f| std::fs::read_to_string(f).unwrap());
            assert_head(&run, &text, alarm);
        }
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

/// The line that gives the set what it was designed for: its design line, or a tenth above it for one with 18 Ω in its lead.
fn design_v(profile: &Value) -> f64 {
    let written = profile["set"]["design_line"].as_str().unwrap();
    let design: f64 = written.trim_end_matches('V').trim().parse().unwrap();
    let later = profile.get("mains_resistor").is_some_and(|r| r["fitted_by"] == "repairer");
    if later { 1.1 * design } else { design }
}

fn plan(path: &str) -> serde_json::Value {
    serde_json::from_str(&mainsfit(&["plan", path, "--format", "json"]).out).unwrap()
}

/// The alarm stands before everything else, in the way of each form.
fn assert_head(run: &str, text: &str, alarm: &str) {
    if run.contains(" --format json") {
        // a list has an object for each line
        let first = text.lines().next().unwrap();
        let object = if first == "{" { text } else { first };
        let value: serde_json::Value = serde_json::from_str(object).unwrap();
        let begins: String = object.chars().filter(|c| !c.is_whitespace()).take(12).collect();
        assert_eq!(begins, "{\"cautions\":", "{run}");
        assert!(value["cautions"][0]["text"].as_str().unwrap().starts_with(alarm), "{run}");
    } else if run.ends_with(" --format csv") {
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        assert_eq!(reader.headers().unwrap().iter().next_back(), Some("caution"), "{run}");
        for row in reader.records() {
            assert!(row.unwrap().iter().next_back().unwrap().starts_with(alarm), "{run}");
        }
    } else if run.ends_with(" --svg -") {
        let seen: String = text
            .split("<text")
            .skip(1)
            .map(|t| t.split_once('>').unwrap().1)
            .map(|t| t.split('<').next().unwrap().to_owned() + " ")
            .collect();
        assert!(flat(&seen).contains(alarm), "{run}: {seen}");
    } else if run.contains("sheet.htm") {
        let body = text.split_once("<body").unwrap().1;
        let (before, boxed) = body
            .split_once("<p class=\"alarm\"><strong>")
            .unwrap_or_else(|| panic!("{run}: no box"));
        assert!(!before.contains("<h1") && boxed.starts_with(alarm), "{run}: {before}");
    } else {
        let text = flat(&text.replace("**", ""));
        let listed = text
            .strip_prefix("set.yaml: ")
            .or(text.strip_prefix(&*format!("{}: ", run.split(' ').nth(1).unwrap())));
        assert!(
            listed.unwrap_or(&text).starts_with(alarm),
            "{run}: {}",
            &text[..200.min(text.len())]
        );
    }
}

/// The sets with a live chassis among those that come with the program and with its tests.
fn live() -> Vec<String> {
    let all = shipped().into_iter().chain(yaml_files("tests/data/every_key"));
    let is_live = |path: &String| {
        let text = std::fs::read_to_string(path).unwrap();
        text.contains("heater_string:") || text.contains("kind: autotransformer")
    };
    all.filter(is_live).collect()
}

#[test]
fn a_live_chassis_heads_every_command_in_every_form() {
    let sets = live();
    assert!(sets.len() >= 4, "{sets:?}");
    for path in sets {
        // near its own voltage, where nothing stands before it
        Bench::new(&path, Some(1.03)).assert_heads(LIVE);
    }
}

#[test]
fn an_outlet_of_twice_the_voltage_heads_every_command_in_every_form() {
    for path in shipped() {
        let bench = Bench::new(&path, Some(2.0));
        bench.assert_heads(NEVER);
        let plan = plan(&bench.path);
        let advice = &plan["advice"];
        assert_eq!(
            (&advice["do_not_plug_in"], &advice["not_without_part"]),
            (&true.into(), &false.into()),
            "{path}"
        );
        nothing_for_the_direct_connection(&bench.path);
    }
}

#[test]
fn an_outlet_of_a_seventh_more_is_not_used_without_the_part() {
    for path in shipped() {
        let bench = Bench::new(&path, Some(1.14));
        bench.assert_heads(NOT_BARE);
        nothing_for_the_direct_connection(&bench.path);
    }
}

/// While a set must not be plugged in, no fuse, no switch-on and no stage is given for the direct connection.
fn nothing_for_the_direct_connection(path: &str) {
    let plan = plan(path);
    let bare = &plan["choices"][0];
    assert!(bare["fuse"].is_null() && bare["cold_start"].is_null(), "{path}");
    assert_eq!(bare["faults"].as_array().unwrap().len(), 0, "{path}");
    assert_eq!(bare["standing"], "refused", "{path}");
    let power_up = mainsfit(&["power-up", path, "--format", "json"]);
    let power_up: serde_json::Value = serde_json::from_str(&power_up.out).unwrap();
    let target = power_up["target_v"].as_f64().unwrap();
    assert!(power_up["feed_v"].as_f64().unwrap() < 1.05 * target, "{path}");
    for stage in power_up["stages"].as_array().unwrap() {
        // the last stage may be fed through the part, or on the tap: its heaters are then within 5 %
        if stage["through"].is_null() {
            assert!(stage["variac_v"].as_f64().unwrap() <= target + 0.5, "{path}");
            continue;
        }
        let heaters = stage["heaters"].as_array().unwrap();
        let volts = |h: &serde_json::Value, key: &str| h[key].as_f64().unwrap();
        let tubes = heaters.iter().find(|h| volts(h, "rated_v") > 0.0).unwrap();
        assert!(volts(tubes, "volts_v") <= 1.051 * volts(tubes, "rated_v"), "{path}: {stage}");
    }
    let kinds: Vec<&str> = power_up["cautions"]
        .as_array()
        .unwrap()
        .iter()
        .map(|c| c["kind"].as_str().unwrap())
        .collect();
    // a fuse there is that of the part
    let part = !plan["advice"]["choice"].is_null() && power_up["through"].is_null();
    assert!(part || !kinds.contains(&"fuse"), "{path}");
}

/// The flags come on once as the outlet rises, and stay.
#[test]
fn the_flags_come_on_at_their_shares_and_stay() {
    let path = "profiles/mantel-1938.yaml";
    let mut last = 0;
    for half_volts in 240..=290 {
        let line = f64::from(half_volts) / 2.0;
        let given = |option: &str| format!("--{option}={line}V");
        let args = ["plan", path, "--format=json"].map(str::to_owned);
        let day = [given("low"), given("line"), given("high")];
        let outcome = run_full(args.into_iter().chain(day));
        let plan: serde_json::Value = serde_json::from_str(&outcome.out).unwrap();
        let flag = |name: &str| plan["advice"][name].as_bool().unwrap();
        let now = match (flag("not_without_part"), flag("do_not_plug_in")) {
            (false, false) => 0,
            (true, false) => 1,
            (false, true) => 2,
            both => panic!("{line} V: {both:?}"),
        };
        // 115 V: from 126.5 V, from 138 V
        let due = i32::from(line >= 126.5) + i32::from(line >= 138.0);
        assert_eq!(now, due, "{line} V");
        assert!(now >= last, "{line} V");
        last = now;
    }
    assert_eq!(last, 2);
}

/// `new` never writes a transformer for tubes that tell of a heater string unless it is told to, and says first what such
/// a set is.
#[test]
fn new_writes_no_transformer_for_a_heater_string() {
    let new = |tubes: &str, rectifier: &str, extra: &[&str]| {
        let args = ["new", "--design-line", "117V", "--tubes", tubes, "--rectifier", rectifier];
        mainsfit(&[&args[..], extra].concat())
    };
    for (tubes, rectifier) in [
        ("12SA7,12SK7,12SQ7,50L6", "35Z5"),
        ("6A7,6D6,75,43", "25Z5"),
        ("12SA7,12SK7,12SQ7,35L6", "35Z5"),
        ("6A8,6K7,6Q7,25L6", "25Z6"),
    ] {
        let outcome = new(tubes, rectifier, &[]);
        assert_eq!((outcome.code, outcome.err.as_str()), (0, ""), "{tubes} {rectifier}");
        assert!(outcome.out.starts_with("# LIVE CHASSIS: "), "{}", outcome.out);
        assert!(outcome.out.contains("\nheater_string:\n"), "{}", outcome.out);
        assert!(!outcome.out.contains("\ntransformer:\n"), "{}", outcome.out);
    }
    // one tube of a string is enough to stop at
    let outcome = new("6A8,6K7,6Q7,25L6", "5Y3GT", &[]);
    assert_eq!((outcome.code, outcome.out.as_str()), (2, ""));
    let text = flat(&outcome.err);
    assert!(text.starts_with("LIVE CHASSIS: ") && text.contains("--supply transformer"), "{text}");
    let text = new("6A8,6K7,6Q7,25L6", "5Y3GT", &["--supply", "transformer"]).out;
    assert!(text.contains("\ntransformer:\n") && !text.contains("LIVE CHASSIS"), "{text}");
}

/// `new` says it in the file and beside it.
#[test]
fn new_heads_a_set_of_half_the_outlet() {
    let args = [
        "new",
        "--design-line",
        "110V",
        "--tubes",
        "6A8,6K7,6Q7,6F6",
        "--rectifier",
        "5Y3GT",
        "--line",
        "230V",
    ];
    let text = mainsfit(&args).out;
    assert!(text.starts_with(&format!("# {NEVER}110 V, and this outlet gives 230 V.")), "{text}");
    let file = std::env::temp_dir().join(format!("mainsfit-new-{}.yaml", std::process::id()));
    let path = file.to_str().unwrap();
    let said = mainsfit(&[&args[..], &["-o", path, "--force"]].concat()).out;
    assert!(said.starts_with(NEVER), "{said}");
    assert!(flat(&mainsfit(&["check", path]).out).starts_with(NEVER));
    std::fs::remove_file(file).unwrap();
}
