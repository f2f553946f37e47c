//! Which caution stands on the sheets of which set: those that apply, each before the step it protects, and no other. The
//! facts of a set are read from its profile here, without the program's own reader.

use super::harness::{flat, mainsfit, shipped, stem, yaml_files};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::LazyLock;

/// What decides, by a look at the profile and at what the plan offers.
struct Set {
    name: String,
    plan: Value,
    /// A power-up's: the set is as it is, and offered is what its last stage goes through alone.
    bare: bool,
    through: Option<String>,
    live: bool,
    string: bool,
    branches: bool,
    barretter: bool,
    cord: bool,
    capacitor: bool,
    diode: bool,
    turnable: bool,
    center_tap: bool,
    selenium: bool,
    made_with_resistor: bool,
    /// Ohms and rating of the one in its line cord.
    resistor: (Option<f64>, Option<f64>),
    replaced: bool,
    other_frequency: bool,
}

/// The number that a value with a unit begins with.
fn number(value: &serde_yaml::Value) -> Option<f64> {
    value.as_str()?.split(' ').next()?.parse().ok()
}

impl Set {
    fn read(path: &str, options: &[&str]) -> Set {
        Set::of("plan", path, options)
    }

    fn of(command: &str, path: &str, options: &[&str]) -> Set {
        let text = std::fs::read_to_string(path).unwrap();
        let profile: serde_yaml::Value = serde_yaml::from_str(&text).unwrap();
        let args: Vec<&str> =
            [command, path, "--format", "json"].iter().chain(options).copied().collect();
        let outcome = mainsfit(&args);
        assert_eq!(outcome.code, 0, "{path}: {}", outcome.err);
        let found: Value = serde_json::from_str(&outcome.out).unwrap();
        let bare = command == "power-up";
        let last = found["stages"].as_array().and_then(|stages| stages.last());
        let through = last.and_then(|stage| stage["through"].as_str()).map(str::to_owned);
        let plan = if bare { found["plan"].clone() } else { found };
        let string = profile.get("heater_string").is_some();
        let has = |words: &str| text.contains(words);
        let circuit =
            profile["rectifier"].get("circuit").and_then(|c| c.as_str()).unwrap_or("full-wave");
        let cord = string && has("kind: line-cord");
        Set {
            name: stem(path) + &options.concat() + if bare { " (power-up)" } else { "" },
            bare,
            through,
            live: string || has("kind: autotransformer"),
            string,
            branches: string && has("branches:"),
            barretter: has("kind: barretter"),
            cord,
            capacitor: has("kind: capacitor"),
            diode: has("kind: diode"),
            turnable: plan["outlet"]["usual_v"].as_f64().unwrap() > 150.0,
            center_tap: !string && circuit == "full-wave",
            selenium: has("type: selenium"),
            made_with_resistor: has("fitted_by: maker"),
            resistor: ["resistance", "rated"]
                .map(|key| number(&profile["mains_resistor"][key]))
                .into(),
            replaced: has("replaces:"),
            other_frequency: plan["outlet"]["frequency_hz"]
                .as_f64()
                .is_some_and(|hz| hz != plan["set"]["frequency_hz"].as_f64().unwrap()),
            plan,
        }
    }

    fn offers(&self, id: &str) -> bool {
        let choices = self.plan["choices"].as_array().unwrap();
        let may = !self.bare || self.through.as_deref() == Some(id);
        may && choices.iter().any(|c| c["id"] == id && !c["part"].is_null())
    }

    /// By itself, behind a step transformer, or beside a tap.
    fn fits(&self, id: &str) -> bool {
        let choices = self.plan["choices"].as_array().unwrap();
        let second = |c: &Value| c["behind"]["method"].as_str().is_some_and(|m| m == id);
        self.offers(id) || !self.bare && choices.iter().any(second)
    }

    /// The outlet is of the country the set was made for.
    fn nearly_made_for(&self) -> bool {
        let volts = |of: &Value| of.as_f64().unwrap();
        let outlet = volts(&self.plan["outlet"]["usual_v"]);
        outlet / volts(&self.plan["set"]["design_line_v"]) >= 0.72
    }

    fn boosts(&self) -> bool {
        self.fits("boost-outlet") || self.fits("boost-set")
    }

    fn advised(&self) -> &str {
        let advised = self.plan["advice"]["choice"].as_str().filter(|_| !self.bare);
        advised.unwrap_or("as-is")
    }

    /// The fuse of what is advised, or of the set as it is.
    fn fuse(&self) -> &Value {
        let choices = self.plan["choices"].as_array().unwrap();
        let fitted = choices.iter().find(|c| c["id"] == self.advised()).unwrap();
        &fitted["fuse"]
    }

    fn number(&self, kind: &str, key: &str) -> f64 {
        let list = self.plan["cautions"].as_array().unwrap();
        list.iter().find(|c| c["kind"] == kind).map_or(0.0, |c| c[key].as_f64().unwrap())
    }

    fn flag(&self, name: &str) -> bool {
        self.plan["advice"][name] == true
    }
}

/// A caution and the sets it is for.
type Due = (&'static str, fn(&Set) -> bool);

const HEATS: [&str; 2] = ["series-resistor", "heater-dropper"];

/// When each is due.
const DUE: &[Due] = &[
    ("do-not-plug-in", |s| s.flag("do_not_plug_in")),
    ("not-without-part", |s| s.flag("not_without_part")),
    ("not-as-fitted", dangerous_as_fitted),
    ("live-chassis", |s| s.live),
    ("turned-plug", |s| s.live && s.turnable),
    ("knobs-on", |s| s.live),
    ("pull-the-plug", |_| true),
    ("deadly-b-plus", |_| true),
    ("lethal", |_| true),
    ("drain", |_| true),
    ("comes-back", |_| true),
    ("below-ten", |_| true),
    ("no-screwdriver", |_| true),
    ("isolation", |_| true),
    ("isolation-alone", |s| s.live),
    ("ground-fault", |_| true),
    ("ground-fault-blind", |_| true),
    ("heat-pad", |s| s.string),
    ("local-codes", |_| true),
    ("other-frequency", |s| s.other_frequency && !s.string),
    ("dry-rectifier", |s| s.replaced),
    ("line-capacitors", |s| !s.live),
    ("line-capacitors-live", |s| s.live),
    ("first-power-up", |_| true),
    ("insulation-test", |s| !s.live),
    ("insulation-limit", |s| !s.live),
    ("insulation-charge", |s| !s.live),
    ("drain-after-forming", |_| true),
    ("selenium-smell", |s| s.selenium),
    ("selenium-burnt", |s| s.selenium),
    ("branch-open", |s| s.branches),
    ("barretter-burns", |s| s.barretter),
    ("feel-nothing", |_| true),
    ("meter-category", |_| true),
    ("not-alone", |_| true),
    ("one-hand", |_| true),
    ("clip-on", |_| true),
    ("half-winding", |s| s.center_tap),
    ("line-current", |_| true),
    ("grounded-instrument", |s| s.live),
    ("never-lift-ground", |s| s.live),
    ("no-signal", |_| true),
    ("fuse", |s| !s.fuse().is_null()),
    ("fuse-breaks-ul", |s| {
        s.fuse()["rating_a"].is_number() && s.fuse()["standard"].as_str().unwrap().starts_with("UL")
    }),
    ("fuse-breaks-iec", |s| {
        s.fuse()["rating_a"].is_number()
            && s.fuse()["standard"].as_str().unwrap().starts_with("IEC")
    }),
    ("hot-wire", |_| true),
    ("fuse-first", |s| s.live),
    ("double-pole", |s| s.live && s.turnable),
    ("no-ground-wire", |s| s.live),
    ("polarized-plug", |s| s.live && !s.turnable),
    ("line-cord", |s| s.cord),
    ("cord-asbestos", |s| s.cord),
    ("cord-whole", |s| s.cord && s.advised() != "heater-dropper"),
    ("series-use", |s| s.capacitor),
    ("capacitor-shorts", |s| s.capacitor),
    ("diode-direct", |s| s.diode),
    ("hot-resistor", |s| HEATS.iter().any(|id| s.fits(id))),
    ("box-grounded", |s| s.fits("series-resistor")),
    ("box-through", |s| s.fits("series-resistor")),
    ("wood-cool", |s| s.number("hot-resistor", "surface_c") > 75.0),
    ("thermal-fuse", |s| s.number("hot-resistor", "surface_c") > 75.0),
    ("thermal-crimp", |s| s.number("hot-resistor", "surface_c") > 75.0),
    ("not-unattended", |s| s.number("hot-resistor", "surface_c") > 75.0),
    ("old-resistor", |s| {
        let repaired = s.plan["set"]["mains_resistor_ohms"].is_number();
        s.made_with_resistor || repaired && ["as-is", "variac", "lamp"].contains(&s.advised())
    }),
    ("mains-resistor-burns", burns_in_a_fault),
    ("box-hot", |s| s.fits("series-resistor") && s.number("hot-resistor", "surface_c") > 100.0),
    ("bucking-reversed", |s| s.fits("bucking-outlet") || s.fits("bucking-set")),
    ("boost-joins", Set::boosts),
    ("boost-output", Set::boosts),
    ("boost-left-in", |s| s.boosts() || s.offers("step-up") && s.nearly_made_for()),
    ("thermistor-clear", |s| s.offers("thermistor")),
    ("thermistor-rest", |s| s.offers("thermistor")),
    ("step-down-only", steps_down),
    ("no-autotransformer", steps_down),
    ("no-converter", steps_down),
    ("step-down-output", steps_down),
    ("ground-chassis", |s| !s.live),
    ("first-hour", |_| true),
    ("leakage", |s| !s.live),
    ("no-connections", |s| s.live),
    ("not-examined", |_| true),
    ("capacitor-at-switch-on", |s| !excess(s).is_empty()),
];

/// What is fitted leaves a resistor in the lead that a fault heats above its rating, by the current told and its ohms, for
/// longer than a short overload.
fn burns_in_a_fault(s: &Set) -> bool {
    let (Some(ohms), Some(rated)) = s.resistor else { return false };
    let choices = s.plan["choices"].as_array().unwrap();
    let fitted = choices.iter().find(|c| c["id"] == s.advised()).unwrap();
    let stays = s.made_with_resistor || ["as-is", "variac", "lamp"].contains(&s.advised());
    stays
        && fitted["faults"].as_array().unwrap().iter().any(|f| {
            let (amps, lasts) = (f["line_a"].as_f64(), f["fuse"]["opens_within_s"].as_f64());
            let bears = rated * (1.0 + lasts.map_or(0.0, |s| 5.0 / s));
            amps.is_some_and(|amps| amps * amps * ohms > bears)
        })
}

/// What is fitted does not stay, and more than the state of the heaters speaks against it.
fn dangerous_as_fitted(s: &Set) -> bool {
    const DANGERS: [&str; 10] = [
        "no-size",
        "no-place",
        "outside-law",
        "held-above-part",
        "fault-burns",
        "fault-unsolved",
        "primary-volts",
        "too-small",
        "limit-passed",
        "raised-too-far",
    ];
    let fitted = &s.plan["fitted"];
    let objections = fitted["choice"]["objections"].as_array().into_iter().flatten();
    let kinds = |o: &Value| DANGERS.contains(&o["kind"].as_str().unwrap());
    !fitted.is_null() && fitted["ruling"] != "leave" && objections.clone().any(kinds)
}

fn steps_down(s: &Set) -> bool {
    s.offers("step-down") || s.flag("do_not_plug_in") && s.advised() == "as-is"
}

/// Capacitors above their rated voltage at switch-on, in what is advised.
fn excess(s: &Set) -> Vec<&Value> {
    let choices = s.plan["choices"].as_array().unwrap();
    let fitted = choices.iter().find(|c| c["id"] == s.advised()).unwrap();
    let all = fitted["cold_start"]["capacitors"].as_array();
    let above = |c: &&Value| c["running_exceeds"] == true || c["switch_on_exceeds"] == true;
    all.into_iter().flatten().filter(above).collect()
}

/// Sets that between them bring every caution: all shipped ones, those of the tests, and some of them elsewhere.
static SETS: LazyLock<Vec<Set>> = LazyLock::new(|| {
    let mut sets: Vec<Set> = shipped().iter().map(|path| Set::read(path, &[])).collect();
    sets.extend(yaml_files("tests/data/every_key").iter().map(|path| Set::read(path, &[])));
    for (path, line) in [
        ("profiles/mantel-1938.yaml", "--line=130V"),
        ("profiles/mantel-1938.yaml", "--line=230V"),
        ("profiles/universal-1947.yaml", "--line=230V"),
        ("profiles/console-1936.yaml", "--line=230V"),
        // iron for 60 Hz on 50 Hz
        ("profiles/console-1936.yaml", "--range=japan-east"),
    ] {
        sets.push(Set::read(path, &[line]));
    }
    // an outlet low all day
    sets.push(Set::read("tests/data/verdicts/us-low-all-day.yaml", &[]));
    // a capacitor above what it bears at switch-on
    sets.push(Set::read("tests/data/verdicts/capacitor-switch-on.yaml", &[]));
    sets.push(Set::read("tests/data/diode_dropper.yaml", &[]));
    // fitted too small for its heat
    sets.push(Set::read("tests/data/fitted_too_small.yaml", &[]));
    sets.push(Set::of("power-up", "profiles/line-cord-1936.yaml", &[]));
    sets
});

fn cautions(plan: &Value) -> Vec<&Value> {
    plan["cautions"].as_array().unwrap().iter().collect()
}

#[test]
fn each_set_has_the_cautions_that_apply_to_it_and_no_other() {
    for set in SETS.iter() {
        let mut due: Vec<&str> =
            DUE.iter().filter(|(_, when)| when(set)).map(|(kind, _)| *kind).collect();
        let mut has: Vec<&str> =
            cautions(&set.plan).iter().map(|c| c["kind"].as_str().unwrap()).collect();
        due.sort_unstable();
        has.sort_unstable();
        has.dedup();
        assert_eq!(has, due, "{}", set.name);
    }
}

/// Every caution there is applies to one of the sets, so that the test above has seen it.
#[test]
fn every_caution_is_seen_on_some_set() {
    let schema: Value = serde_json::from_str(&mainsfit(&["schema", "plan"]).out).unwrap();
    let text = schema["$defs"].to_string();
    for (kind, when) in DUE {
        assert!(text.contains(&format!("\"{kind}\"")), "{kind} is no caution");
        assert!(SETS.iter().any(when), "{kind} is on no set");
    }
    let mut kinds: Vec<String> = Vec::new();
    for set in SETS.iter() {
        kinds.extend(cautions(&set.plan).iter().map(|c| c["kind"].as_str().unwrap().to_owned()));
    }
    kinds.sort();
    kinds.dedup();
    assert_eq!(kinds.len(), DUE.len());
}

/// One plain sentence for each step of the work, in order, with a source.
#[test]
fn cautions_are_short_sentences_in_the_order_of_the_work() {
    const STEPS: [&str; 6] = ["plug-in", "open", "first-power", "measure", "fit", "use"];
    for set in SETS.iter() {
        let mut last = 0;
        for caution in cautions(&set.plan) {
            let text = caution["text"].as_str().unwrap();
            let words =
                text.split_whitespace().filter(|w| w.chars().any(char::is_alphabetic)).count();
            assert!(words <= 32 && text.ends_with('.'), "{words}: {text}");
            assert!(!caution["source"].as_str().unwrap().is_empty(), "{text}");
            let place = STEPS.iter().position(|s| caution["before"] == *s).unwrap();
            assert!(place >= last, "{text}");
            last = place;
        }
    }
}

/// On the sheets each stands above the step that it protects.
#[test]
fn on_the_sheets_a_caution_stands_before_its_step() {
    for path in shipped() {
        let note = mainsfit(&["note", &path]);
        let power_up = mainsfit(&["power-up", &path, "--format", "json"]);
        let power_up: Value = serde_json::from_str(&power_up.out).unwrap();
        let schedule = flat(&mainsfit(&["power-up", &path]).out);
        // the heading under which each step is taken
        let steps = [
            ("plug-in", "1. Ohmmeter"),
            ("open", "1. Ohmmeter"),
            ("first-power", "1. Ohmmeter"),
            ("measure", "Above \"stop above\": variac to zero"),
        ];
        for caution in cautions(&power_up) {
            // the schedule is what this one asks for
            if caution["kind"] != "first-power-up" {
                before(&path, &schedule, caution, &steps);
            }
        }
        if note.code != 0 {
            continue;
        }
        let note = flat(&note.out.replace("**", "").replace('\\', ""));
        // a set that is left is not opened but to be measured; of one with a part the first page tells how to fit it
        let left = !note.contains("# File copy: ");
        let steps = match left {
            true => [
                ("plug-in", "## Readings at"),
                ("open", "## Readings at"),
                ("measure", "## Readings at"),
            ],
            false => [
                ("plug-in", "## Why"),
                ("open", "## Why"),
                ("measure", "Against chassis unless it says otherwise"),
            ],
        };
        // a part that is wired, and a fuse that is named, is to be fitted
        let fuse = note.contains("- Line fuse: ");
        let fit = if fuse { "- Line fuse: " } else { "Hot wire, in order: " };
        let fit = (fuse || !left).then_some(("fit", fit));
        let steps: Vec<(&str, &str)> = steps.into_iter().chain(fit).collect();
        for caution in cautions(&Set::read(&path, &[]).plan) {
            let parts = [
                "hot-resistor",
                "bucking-reversed",
                "boost",
                "thermistor",
                "box",
                "wood",
                "thermal",
                "not-unattended",
                "cord-whole",
            ];
            // those of parts that are not fitted are not on the note
            let of_part = parts.iter().any(|p| caution["kind"].as_str().unwrap().starts_with(p));
            // box and place are told in the file copy
            let of_place = ["box-", "wood", "thermal-", "thermistor-clear"];
            let of_place =
                of_place.iter().any(|p| caution["kind"].as_str().unwrap().starts_with(p));
            let (_, sheet) = match of_place {
                true => note.split_once("# File copy: ").unwrap_or_default(),
                false => ("", note.as_str()),
            };
            // on one page a fuse is fitted, and nothing else
            let kind = caution["kind"].as_str().unwrap();
            let of_fuse = kind.starts_with("fuse") || kind == "hot-wire";
            let elsewhere = left && caution["before"] == "fit" && !of_fuse;
            let told = !of_part || sheet.contains(caution["text"].as_str().unwrap());
            if told && !elsewhere && of_place {
                // the fuse stands on the first page, and the box is made behind it
                before(&path, sheet, caution, &[("fit", "Hot wire, in order: ")]);
            } else if told && !elsewhere {
                before(&path, sheet, caution, &steps);
            }
        }
    }
}

fn before(path: &str, sheet: &str, caution: &Value, steps: &[(&str, &str)]) {
    let text = flat(caution["text"].as_str().unwrap()).replace('`', "");
    let Some((_, step)) = steps.iter().find(|(before, _)| caution["before"] == *before) else {
        return;
    };
    let sheet = sheet.replace('`', "");
    let at = sheet.find(&text).unwrap_or_else(|| panic!("{path}: not on the sheet: {text}"));
    let taken = sheet.find(step).unwrap_or_else(|| panic!("{path}: no {step}"));
    assert!(at < taken, "{path}: after {step}: {text}");
}

/// The table of `docs/verification.md`.
pub fn markdown() -> String {
    let mut rows: BTreeMap<usize, (String, Vec<&str>)> = BTreeMap::new();
    for set in SETS.iter() {
        for caution in cautions(&set.plan) {
            let kind = caution["kind"].as_str().unwrap();
            let place = DUE.iter().position(|(k, _)| *k == kind).unwrap();
            let row = rows.entry(place).or_insert_with(|| {
                let cell = |key: &str| caution[key].as_str().unwrap().replace('|', "/");
                (
                    format!(
                        "`{kind}` | {} | {} | {}",
                        cell("before"),
                        cell("text"),
                        cell("source")
                    ),
                    Vec::new(),
                )
            });
            row.1.push(&set.name);
        }
    }
    let mut text = "## Cautions\n\nEach with the step it must be read before, its sentence with the figures of the first set that has it, its source, and \
the sets on whose sheets it is found; `tests/suite/cautions_table.rs` holds that those and no others have it.\n\n\
| caution | before | sentence | source | sets |\n|---|---|---|---|---|\n"
        .to_owned();
    for (row, sets) in rows.values() {
        let on = if sets.len() == SETS.len() { "all".to_owned() } else { sets.join(", ") };
        let _ = writeln!(text, "| {row} | {on} |");
    }
    text
}
