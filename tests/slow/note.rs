//! The modification note: which choices get one, the same figures as the plan, hostile text, whole files.

use super::harness::{mainsfit, printed, shipped, stem};
use serde_json::Value;

/// Every choice that can be named.
const CHOICES: [&str; 11] = [
    "as-is",
    "heater-dropper",
    "step-down",
    "step-up",
    "variac",
    "series-resistor",
    "bucking-outlet",
    "bucking-set",
    "tap",
    "thermistor",
    "lamp",
];

pub fn plan(path: &str) -> Value {
    serde_json::from_str(&printed(&["plan", path, "--format", "json"])).unwrap()
}

/// Each shipped set with each choice that its plan stands behind, and bench tools with nothing else against them.
pub fn every_note() -> Vec<(String, String)> {
    let mut list = Vec::new();
    for path in shipped() {
        let plan = plan(&path);
        let verdict = &plan["advice"]["verdict"];
        for choice in plan["choices"].as_array().unwrap() {
            let against = choice["objections"].as_array().unwrap();
            // who names a choice may have what is worth little
            let bench_only =
                against.iter().all(|o| o["kind"] == "bench-only" || o["kind"] == "little-gain");
            // what the verdict lets stay gets its note, whatever speaks for a part
            let optional = plan["advice"]["strength"] == "optional"
                || verdict == "leave"
                || verdict == "leave-and-measure";
            let stays = optional && choice["id"] == "as-is";
            // before repairs only the tools that find them
            let may = verdict != "repair-first" || !against.is_empty();
            if choice["not_applicable"].is_null() && may && (bench_only || stays) {
                list.push((path.clone(), choice["id"].as_str().unwrap().to_owned()));
            }
        }
    }
    assert!(list.len() >= 8, "{list:?}");
    list
}

#[test]
fn a_note_is_written_for_what_the_plan_stands_behind_and_refused_for_the_rest() {
    let written = every_note();
    for path in shipped() {
        for choice in CHOICES {
            let outcome = mainsfit(&["note", &path, "--with", choice]);
            let expected = written.contains(&(path.clone(), choice.to_owned()));
            if expected {
                assert_eq!(outcome.code, 0, "{path} {choice}: {}", outcome.err);
                continue;
            }
            assert_ne!(outcome.code, 0, "{path} {choice}");
            assert!(outcome.out.is_empty(), "{path} {choice}: a refused note was printed");
            // the reason of the plan stands in the refusal
            let plan = plan(&path);
            let found = plan["choices"].as_array().unwrap().iter().find(|c| c["id"] == choice);
            match found {
                None => assert_eq!(outcome.code, 2, "{path} {choice}"),
                Some(_) => {
                    assert_eq!(outcome.code, 1, "{path} {choice}");
                    assert!(outcome.err.contains("no note is written"), "{}", outcome.err);
                }
            }
        }
    }
}

#[test]
fn without_a_choice_the_advised_one_is_written() {
    for path in shipped() {
        let advice = plan(&path)["advice"].clone();
        if advice["verdict"] == "repair-first" || advice["verdict"] == "cannot-say" {
            assert_eq!(mainsfit(&["note", &path]).code, 1, "{path}");
            continue;
        }
        let advised = advice["choice"].as_str().unwrap().to_owned();
        let own = printed(&["note", &path]);
        assert_eq!(own, printed(&["note", &path, "--with", &advised]), "{path}");
        // one page has no room for that
        let again = own.contains(&format!("--with {advised}"));
        assert_eq!(again, advised != "as-is", "{path}: how to make it again");
    }
}

/// Text of a note without the signs of Markdown.
fn bare(markdown: &str) -> String {
    let text = markdown.replace(['\\', '*'], "");
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
}

/// Takes a figure out of a reading.
type Pick = Box<dyn Fn(&Value) -> f64>;

/// A point of a note as it is printed.
#[derive(Debug)]
struct Row {
    label: String,
    unit: String,
    /// Straight on the outlet, and on the lowest line; the first page does not say.
    before: Option<[String; 2]>,
    usual: String,
    high: Option<String>,
    band: String,
}

/// The rows of the table of readings.
fn table(markdown: &str) -> Vec<Row> {
    let note = bare(markdown);
    let lines = note.lines().skip_while(|l| !l.starts_with("| point"));
    let rows = lines.take_while(|l| l.starts_with('|')).skip(2);
    rows.map(|row| {
        let cells: Vec<&str> = row.trim_start_matches("| ").split(" | ").map(str::trim).collect();
        let (label, unit) = cells[0].rsplit_once(", ").unwrap();
        Row {
            label: label.to_owned(),
            unit: unit.to_owned(),
            before: Some([cells[1].to_owned(), cells[2].to_owned()]),
            usual: cells[3].to_owned(),
            high: Some(cells[4].to_owned()),
            band: cells[5].to_owned(),
        }
    })
    .collect()
}

/// The readings of the first page: "- Heater winding main: 6.34 V (6.17 to 6.51 V)", and a line to write on.
fn first_page(markdown: &str) -> Vec<Row> {
    let note = bare(markdown);
    let lines = note.lines().skip_while(|l| !l.starts_with("## Readings at "));
    let rows = lines.skip(2).take_while(|l| l.starts_with("- "));
    rows.map(|row| {
        let (label, rest) = row[2..].split_once(": ").unwrap();
        let (figure, rest) = rest.split_once(" (").unwrap();
        let (usual, unit) = figure.split_once(['\u{a0}', ' ']).unwrap();
        let (band, line) = rest.split_once(") ").unwrap();
        // a line to write on, or what was read when the work was done
        assert!(line == "_".repeat(8) || line.ends_with(unit), "{row}");
        let band = band.strip_suffix(unit).unwrap().trim_end();
        let mut letters = label.chars();
        let first = letters.next().unwrap();
        let names = ["B+", "B2+", "V"].iter().any(|name| label.starts_with(name));
        let first = if names { first.to_string() } else { first.to_lowercase().to_string() };
        Row {
            label: first + letters.as_str(),
            unit: unit.to_owned(),
            before: None,
            usual: usual.to_owned(),
            high: None,
            band: band.to_owned(),
        }
    })
    .collect()
}

/// The ends of a range.
fn figures(band: &str) -> Vec<f64> {
    band.split(" to ").map(|end| end.replace('−', "-").parse().unwrap()).collect()
}

/// Every point that a note tells: where nothing is fitted there is the first page only.
fn readings(markdown: &str, id: &str) -> Vec<Row> {
    let first = first_page(markdown);
    assert!((5..=8).contains(&first.len()), "{id}: {first:?}");
    if id == "as-is" {
        return first;
    }
    let all = table(markdown);
    for row in first {
        let same = all.iter().find(|other| other.label == row.label);
        let same = same.unwrap_or_else(|| panic!("{id}: {row:?} is not in {all:?}"));
        // the table gives every figure of a row as many places, the first page three digits
        let close = |(a, b): (f64, f64)| (a - b).abs() <= 0.006 * b.abs();
        let both = figures(&same.band).into_iter().zip(figures(&row.band));
        assert!(same.usual == row.usual && both.into_iter().all(close), "{id}: {same:?} {row:?}");
    }
    all
}

/// What counts as settled: plan and note each solve the set, from other starts.
const SETTLED: f64 = 2e-5;

/// Asserts that a printed cell is `value` (SI), rounded to the digits that are printed.
fn assert_rounded(name: &str, cell: &str, unit: &str, value: f64) {
    let scale = if unit.starts_with("mA") { 1e3 } else { 1.0 };
    let printed: f64 =
        cell.replace('−', "-").parse().unwrap_or_else(|_| panic!("{name}: {cell:?}"));
    let decimals = cell.split_once('.').map_or(0, |(_, d)| d.len() as i32);
    let half = 0.5 * 10f64.powi(-decimals) * (1.0 + 1e-6) + SETTLED * (value * scale).abs();
    assert!((printed - value * scale).abs() <= half, "{name}: {cell} {unit}, plan {value}");
    // and no fewer than three digits of it; beside 102 V a row may say 99 V
    let digits = cell.chars().filter(char::is_ascii_digit).count();
    let beside = (95.0..100.0).contains(&value.abs());
    assert!(digits >= 3 || beside || value * scale < 0.1 || cell.len() >= 4, "{name}: {cell}");
}

#[test]
fn the_figures_of_a_note_are_those_of_the_plan() {
    for (path, id) in every_note() {
        let plan = plan(&path);
        let choices = plan["choices"].as_array().unwrap();
        let choice = choices.iter().find(|c| c["id"] == id.as_str()).unwrap();
        let before = &choices[0]["day"]["usual"];
        let markdown = printed(&["note", &path, "--with", &id]);
        let (note, rows) = (bare(&markdown), readings(&markdown, &id));
        let name = format!("{path} {id}");
        let mut wanted: Vec<(String, Pick)> = Vec::new();
        let list = |key: &str| choice["day"]["usual"][key].as_array().unwrap().clone();
        let line = list("heaters").iter().any(|h| h["in_string"] == true);
        let (set, current) = match line {
            true => ("at the set", "current of the set, true RMS"),
            false if list("droppers").iter().any(|d| d["name"] == "mains resistor") => {
                ("at the set's line cord", "primary current, true RMS")
            }
            false => ("at the set's primary", "primary current, true RMS"),
        };
        for (label, key) in [
            (set, "set_v"),
            ("B+", "b_plus_v"),
            (current, "primary_a"),
            ("watts from the outlet", "line_w"),
        ] {
            wanted.push((label.to_owned(), Box::new(move |r| r[key].as_f64().unwrap())));
        }
        // a small transformer takes or gives a part of the set's current
        let [own, drawn] =
            ["primary_a", "line_a"].map(|key| choice["day"]["usual"][key].as_f64().unwrap());
        if (own - drawn).abs() > 0.01 * own {
            let drawn = |r: &Value| r["line_a"].as_f64().unwrap();
            wanted.push(("current from the outlet, true RMS".to_owned(), Box::new(drawn)));
        }
        for (i, heater) in list("heaters").iter().enumerate() {
            let name = heater["winding"].as_str().unwrap();
            let label = match (line, name.strip_suffix("-tap")) {
                (false, _) => format!("heater winding {name}"),
                (true, Some(tube)) => format!("heater {tube}, tapped part"),
                (true, None) if name.starts_with("barretter") => "across the barretter".to_owned(),
                (true, None) if name.starts_with('#') => format!("dial lamp {name}"),
                (true, None)
                    if list("heaters").iter().any(|h| h["winding"] == format!("{name}-tap")) =>
                {
                    format!("heater {name}, tap to the far end")
                }
                (true, None) => format!("heater {name}"),
            };
            wanted.push((label, Box::new(move |r| r["heaters"][i]["volts_v"].as_f64().unwrap())));
        }
        for (i, tap) in list("taps").iter().enumerate() {
            let label = format!("tap {}", tap["name"].as_str().unwrap());
            wanted.push((label, Box::new(move |r| r["taps"][i]["volts_v"].as_f64().unwrap())));
        }
        for (i, coil) in list("coils").iter().enumerate() {
            let name = coil["name"].as_str().unwrap();
            let alike = list("coils").iter().filter(|c| c["name"] == name).count();
            assert_eq!(alike, 1, "two coils of a name are numbered");
            let label = format!("across the {name} (L{})", i + 1);
            wanted.push((label, Box::new(move |r| r["coils"][i]["drop_v"].as_f64().unwrap())));
        }
        let mut found = 0;
        for (label, value) in wanted {
            let Some(row) = rows.iter().find(|r| r.label == label) else {
                // the first page has those that matter most
                assert_eq!(id, "as-is", "{name}: no row {label:?} in {rows:?}");
                continue;
            };
            found += 1;
            let usual = &choice["day"]["usual"];
            let high = &choice["day"]["high"];
            let low = &choice["day"]["low"];
            let mut cells = vec![(&row.usual, usual)];
            cells.extend(row.high.as_ref().map(|cell| (cell, high)));
            let before = row.before.as_ref().map(|[bare, lowest]| [(bare, before), (lowest, low)]);
            cells.extend(before.into_iter().flatten());
            for (cell, reading) in cells {
                assert_rounded(&format!("{name}, {label}"), cell, &row.unit, value(reading));
            }
        }
        assert!(found >= 4, "{name}: {found} points");
        if let Some(part) = choice["part"].as_str() {
            assert!(note.contains(part), "{name}: {part}");
        }
        let fitted = !choice["part"].is_null();
        if let Some(rating) = choice["fuse"]["rating_a"].as_f64() {
            let standard = choice["fuse"]["standard"].as_str().unwrap();
            let fuse = format!("{rating} A slow ({standard})");
            assert!(note.contains(&fuse), "{name}: {fuse}");
        }
        // the one page of a set that is left has those only which the fuse may hold
        for fault in choice["faults"].as_array().unwrap().iter().filter(|_| fitted) {
            let fault = fault["fault"].as_str().unwrap();
            assert!(note.contains(&fault[1..]), "{name}: {fault}");
        }
    }
}

/// A chassis on the mains is said before anything else, in the largest type there is, and again in the cautions.
#[test]
fn a_live_chassis_stands_first() {
    let mut live = 0;
    for (path, id) in every_note() {
        let note = printed(&["note", &path, "--with", &id]);
        let plan = plan(&path);
        let cautions = plan["cautions"].as_array().unwrap();
        let is_live = cautions.iter().any(|c| c["kind"] == "live-chassis");
        let said = note.matches("LIVE CHASSIS").count();
        // once, and above everything
        assert_eq!(said, usize::from(is_live), "{path} {id}");
        if !is_live {
            continue;
        }
        live += 1;
        assert!(note.starts_with("**LIVE CHASSIS"), "{path} {id}");
        // nothing that only a transformer has
        for word in
            ["primary current", "set's primary", "heater winding", "center tap", "winding voltage"]
        {
            assert!(!note.contains(word), "{path} {id}: {word}");
        }
    }
    assert!(live >= 4, "{live}");
}

#[test]
fn every_reading_lies_in_its_band() {
    for (path, id) in every_note() {
        let rows = readings(&printed(&["note", &path, "--with", &id]), &id);
        for row in rows {
            let number = |cell: &str| -> f64 {
                cell.replace('−', "-").parse().unwrap_or_else(|_| panic!("{row:?}"))
            };
            let expected = number(&row.usual);
            let (a, b) = row.band.split_once(" to ").unwrap();
            let (a, b) = (number(a), number(b));
            let (least, most) = (a.min(b), a.max(b));
            assert!(least < expected && expected < most, "{path} {id}: {row:?}");
            assert!(a.abs() <= b.abs(), "smaller size first: {row:?}");
            // a set that is stated whole is known better than to within a third of a reading (widest: the plate of a
            // stage behind 220 kΩ, where a tube and a resistor that are off move what is left of B+); one of which
            // little is known has a choke and plate loads whose resistance is a guess
            // and so has a tube whose bias is what its own grid current leaves: that is known to half of it
            let leak = path.contains("string-branches") && row.label.ends_with("plate");
            let width = if path.contains("little") || leak { 1.3 } else { 0.65 };
            assert!(most - least < width * expected.abs(), "{path} {id}: {row:?}");
        }
    }
}

#[test]
fn notes_of_shipped_sets() {
    for path in shipped() {
        snap!(format!("note_{}", stem(&path)), printed(&["note", &path]));
    }
}
