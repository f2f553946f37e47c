//! `plan` on several files or a folder.

use super::harness::{flat, mainsfit, printed, shipped};
use serde_json::Value;
use std::path::Path;

/// A folder with two good profiles and two bad ones, and what is no profile.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let good = std::fs::read_to_string("profiles/little-known.yaml").unwrap();
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    write("b-good.yaml", &good);
    write("d-good.yml", &std::fs::read_to_string("profiles/table-1948.yaml").unwrap());
    // line 5 of the file
    write("a-bad.yaml", &good.replace("design_line: 110 V", "design_line: 110 X"));
    write("c-twice-bad.yaml", &good.replace("121 V", "121").replace("235 V", "235 A"));
    write("notes.txt", "no profile");
    std::fs::create_dir(folder.path().join("inner.yaml")).unwrap();
    std::fs::write(folder.path().join("inner.yaml/e.yaml"), &good).unwrap();
    folder
}

fn path(folder: &Path, name: &str) -> String {
    folder.join(name).to_str().unwrap().to_owned()
}

#[test]
fn one_bad_file_does_not_stop_the_others() {
    let folder = folder();
    let outcome = mainsfit(&["plan", folder.path().to_str().unwrap()]);
    assert_eq!(outcome.code, 2, "{}", outcome.err);
    // errors where they always are, with file, line and column
    let bad = path(folder.path(), "a-bad.yaml");
    assert!(outcome.err.contains(&format!("{bad}:5:16:")), "{}", outcome.err);
    assert!(outcome.err.contains("c-twice-bad.yaml"), "{}", outcome.err);
    assert!(!outcome.err.contains("good"), "{}", outcome.err);
    let text = &outcome.out;
    let rows: Vec<&str> = text
        .lines()
        .skip_while(|l| !l.starts_with('─'))
        .skip(1)
        .take_while(|l| !l.is_empty())
        .collect();
    let names: Vec<&str> = rows.iter().filter_map(|r| r.split_whitespace().next()).collect();
    assert_eq!(names, ["a-bad.yaml", "b-good.yaml", "c-twice-bad.yaml", "d-good.yml"]);
    // the figures of each set's own plan
    let alone: Value = serde_json::from_str(&printed(&[
        "plan",
        &path(folder.path(), "b-good.yaml"),
        "--format",
        "json",
    ]))
    .unwrap();
    let usual = &alone["choices"][0]["day"]["usual"];
    let heater = usual["heaters"][0]["volts_v"].as_f64().unwrap();
    assert!(rows[1].contains(&format!("{heater:.2} V")), "{}", rows[1]);
    let b_plus = usual["b_plus_v"].as_f64().unwrap();
    assert!(rows[1].contains(&format!("{b_plus:.0} V")), "{}", rows[1]);
    // the verdict in a word there, and below with its part
    assert_eq!(
        (&alone["advice"]["verdict"], &alone["advice"]["strength"]),
        (&"fit".into(), &"needed".into())
    );
    assert!(rows[1].trim_end().ends_with("add"), "{}", rows[1]);
    let choices = alone["choices"].as_array().unwrap();
    let advised = choices.iter().find(|c| c["id"] == alone["advice"]["choice"]).unwrap();
    let part = flat(advised["part"].as_str().unwrap());
    assert!(flat(text).contains(&format!(": {part}. Needed: do not leave the set")), "{text}");
    assert!(rows[0].contains("no plan"));
    let words = flat(text);
    assert!(words.contains("4 files; 2 files without a plan"), "{words}");
    assert!(words.contains("line 5, column 16:"), "{words}");
    assert!(!words.contains("e.yaml") && !words.contains("notes.txt"));
}

#[test]
fn the_order_is_that_of_the_command_line() {
    let mut files = shipped();
    files.reverse();
    let mut args = vec!["plan"];
    args.extend(files.iter().map(String::as_str));
    args.extend(["--format", "json"]);
    let text = printed(&args);
    let lines: Vec<Value> = text.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    assert_eq!(lines.len(), files.len());
    for (line, file) in lines.into_iter().zip(&files) {
        assert_eq!(line["file"], **file);
        // the same plan as alone, and nothing more than its file
        let mut alone: Value =
            serde_json::from_str(&printed(&["plan", file, "--format", "json"])).unwrap();
        alone["file"] = Value::String(file.clone());
        assert_eq!(line, alone, "{file}");
    }
}

#[test]
fn a_bad_file_is_an_error_object_in_its_place() {
    let folder = folder();
    let outcome = mainsfit(&["plan", folder.path().to_str().unwrap(), "--format", "json"]);
    assert_eq!(outcome.code, 2);
    let lines: Vec<Value> = outcome.out.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    let schemas: Vec<&str> = lines.iter().map(|l| l["schema"].as_str().unwrap()).collect();
    let (bad, good) = ("mainsfit.error/1", "mainsfit.plan/1");
    assert_eq!(schemas, [bad, good, bad, good]);
    let error = &lines[0]["errors"][0];
    assert_eq!((error["line"].as_u64(), error["column"].as_u64()), (Some(5), Some(16)));
    assert_eq!(error["path"], "set.design_line");
    assert_eq!(lines[2]["errors"].as_array().unwrap().len(), 2);
    assert!(!lines[1]["cautions"].as_array().unwrap().is_empty());
    // every key is documented
    let document = std::fs::read_to_string("docs/plan-json.md").unwrap();
    let error = lines[0].as_object().unwrap();
    let of_one = error["errors"][0].as_object().unwrap().keys();
    let documented = error.keys().filter(|k| *k != "errors").cloned();
    for key in documented.chain(of_one.map(|k| format!("errors[].{k}"))) {
        assert!(document.contains(&format!("`{key}`")), "{key}");
    }
}

#[test]
fn cautions_do_not_vanish_in_a_list() {
    let folder = folder();
    let name = folder.path().to_str().unwrap();
    for options in [
        &[][..],
        &["--line", "124V", "--low", "118V", "--high", "128V"],
        &["--target", "heaters"],
        &["--colour", "never"],
    ] {
        let mut args = vec!["plan", name];
        args.extend(options);
        let outcome = mainsfit(&args);
        let text = flat(&outcome.out);
        let (_, cautions) = text.split_once(" CAUTIONS ").unwrap();
        for words in [
            "Lethal voltages inside, up to ",
            "drain them, then measure",
            "from an isolation transformer; a variac",
            "its fuse, what its part does",
            "with safety-rated ones before first power",
            "set that has not run for years in stages",
            "without signal",
            "are in none of these figures",
            "Follow local electrical codes",
            "Each set's own plan has more",
        ] {
            assert!(cautions.contains(words), "{args:?}: lost: {words}");
        }
    }
    // of the sets' highest volts the highest
    let highest = |file: &str| {
        let plan: Value =
            serde_json::from_str(&printed(&["plan", file, "--format", "json"])).unwrap();
        let list = plan["cautions"].as_array().unwrap();
        let lethal = list.iter().find(|c| c["kind"] == "lethal").unwrap();
        lethal["highest_v"].as_f64().unwrap()
    };
    let both = highest("profiles/little-known.yaml").max(highest("profiles/table-1948.yaml"));
    let text = mainsfit(&["plan", name]).out;
    assert!(flat(&text).contains(&format!("up to {both:.0} V DC")));
}

#[test]
fn what_makes_no_sense_for_many_is_refused() {
    let empty = tempfile::tempdir().unwrap();
    let name = empty.path().to_str().unwrap();
    let outcome = mainsfit(&["plan", name]);
    assert_eq!((outcome.code, outcome.out.as_str()), (2, ""));
    let err = flat(&outcome.err);
    assert!(
        err.contains("no profile stands in this folder") && err.contains(".yaml or .yml"),
        "{err}"
    );
    // beside a good file the empty folder is one error, and the plan stands
    let outcome = mainsfit(&["plan", "profiles/table-1948.yaml", name]);
    assert_eq!(outcome.code, 2);
    assert!(outcome.out.contains("table-1948.yaml"));
    let outcome = mainsfit(&["plan", "profiles", "--working"]);
    assert_eq!((outcome.code, outcome.out.as_str()), (2, ""));
    assert!(outcome.err.contains("--working"), "{}", outcome.err);
    let outcome = mainsfit(&["plan", "-", "-"]);
    assert_eq!((outcome.code, outcome.out.as_str()), (2, ""));
    let outcome =
        mainsfit(&["plan", "no-such.yaml", "profiles/table-1948.yaml", "--format", "json"]);
    assert_eq!(outcome.code, 2);
    let first: Value = serde_json::from_str(outcome.out.lines().next().unwrap()).unwrap();
    assert!(first["errors"][0]["found"].as_str().unwrap().starts_with("cannot be read"));
    assert!(outcome.err.contains("no-such.yaml: cannot be read"));
    assert_eq!(mainsfit(&["plan"]).code, 2);
}
