//! One term for each thing: no text that the program prints has a word of which the project says what to write instead
//! (tests/data/words.csv).

use super::harness::{flat, mainsfit, shipped, yaml_files};
use super::note::every_note;
use regex::Regex;
use std::collections::BTreeMap;

/// A word that is not to be found, what to write instead, and what is left out of the search.
struct Row {
    pattern: Regex,
    instead: String,
    allowed: Option<Regex>,
}

fn rows() -> Vec<Row> {
    let mut reader = csv::Reader::from_path("tests/data/words.csv").unwrap();
    let rows = reader.records().map(|record| {
        let record = record.unwrap();
        Row {
            pattern: Regex::new(&format!("(?i){}", &record[0])).unwrap(),
            instead: record[1].to_owned(),
            allowed: Some(&record[2]).filter(|a| !a.is_empty()).map(|a| Regex::new(a).unwrap()),
        }
    });
    rows.collect()
}

/// What of a text is found, with the words around it and what printed it.
fn found(rows: &[Row], of: &str, text: &str) -> Vec<(String, String)> {
    let text = flat(text);
    let mut list = Vec::new();
    for row in rows {
        let text = row.allowed.as_ref().map_or(text.clone().into(), |a| a.replace_all(&text, ""));
        for hit in row.pattern.find_iter(&text) {
            let start = text[..hit.start()].char_indices().rev().nth(40).map_or(0, |(at, _)| at);
            let end = text[hit.end()..].char_indices().nth(30);
            let end = end.map_or(text.len(), |(at, _)| hit.end() + at);
            let words = &text[start..end];
            let told = format!("{:?} ({}): …{words}…", hit.as_str(), row.instead);
            list.push((told, of.to_owned()));
        }
    }
    list
}

/// The commands on every shipped set as text or Markdown, and as JSON and CSV where the sentences differ; every bad profile, the help
/// pages, and the manual.
fn runs() -> Vec<Vec<String>> {
    let mut runs: Vec<String> = Vec::new();
    for path in shipped() {
        runs.push(format!("plan {path} --full"));
        runs.push(format!("plan {path} --format json"));
        runs.push(format!("plan {path} --full --line 105V"));
        runs.push(format!("plan {path} --full --line 130V"));
        runs.push(format!("note {path}"));
        runs.push(format!("note {path} --label"));
        runs.push(format!("parts {path}"));
        runs.push(format!("parts {path} --format csv"));
        runs.push(format!("parts {path} --format json"));
        runs.push(format!("power-up {path} --working"));
        runs.push(format!("power-up {path} --format json"));
        runs.push(format!("check {path}"));
        runs.push(format!("fit {path} --working"));
        runs.push(format!("sweep {path} --points 3"));
        runs.push(format!("sweep {path} --points 3 --format csv"));
        runs.push(format!("sweep {path} --points 3 --format json"));
        runs.push(format!("switch-on {path}"));
        runs.push(format!("switch-on {path} --format json"));
        runs.push(format!("tolerance {path} --draws 20 --format json"));
        runs.push(format!("tolerance {path} --draws 20"));
        runs.push(format!("replace {path} rectifier"));
        runs.push(format!("replace {path} field-coil"));
        runs.push(format!("replace {path} ballast"));
        runs.push(format!("divider {path} --working"));
    }
    runs.extend(every_note().iter().map(|(path, id)| format!("note {path} --with {id}")));
    runs.push("plan profiles --format text".to_owned());
    runs.extend(yaml_files("tests/bad_profiles").iter().map(|path| format!("check {path}")));
    for command in [
        "",
        "plan",
        "note",
        "parts",
        "new",
        "check",
        "divider",
        "sweep",
        "tolerance",
        "page",
        "tubes",
        "fit",
        "replace",
        "power-up",
        "switch-on",
        "schema",
        "completions",
        "man",
        "example",
        "explain",
    ] {
        runs.push(format!("{command} --help").trim().to_owned());
    }
    for other in [
        "man",
        "tubes",
        "tubes 6F6",
        "tubes 80",
        "tubes silicon",
        "tubes C1",
        "schema profile",
        "schema plan",
        "schema parts",
        "schema power-up",
        "schema fit",
        "schema sweep",
        "schema switch-on",
        "schema tolerance",
        "schema replace",
        "schema divider",
        "schema error",
        "explain",
        "explain outlet.range",
        "explain bucking transformer",
        "example",
        "new --design-line 115V --tubes 6A8,6K7,6Q7,6F6 --rectifier 80",
        "new --design-line 117V --tubes 12SA7,12SK7,12SQ7,50L6GT,35Z5GT --lamps 47",
    ] {
        runs.push(other.to_owned());
    }
    runs.iter().map(|run| run.split(' ').map(str::to_owned).collect()).collect()
}

#[test]
fn no_text_has_a_word_for_which_there_is_another() {
    let rows = rows();
    let mut all = BTreeMap::new();
    let mut printed = 0;
    for run in runs() {
        let args: Vec<&str> = run.iter().map(String::as_str).collect();
        let outcome = mainsfit(&args);
        let text = outcome.out + &outcome.err;
        printed += text.len();
        all.extend(found(&rows, &run.join(" "), &text));
    }
    // on paper there are drawings as well
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("sheet.html");
    let tags = Regex::new("(?s)<style>.*?</style>|<[^>]*>").unwrap();
    for path in shipped() {
        for command in ["note", "power-up"] {
            let args = [command, &path, "--force", "-o", file.to_str().unwrap()];
            if mainsfit(&args).code == 0 {
                let html = std::fs::read_to_string(&file).unwrap();
                all.extend(found(&rows, &args.join(" "), &tags.replace_all(&html, " ")));
            }
        }
    }
    assert!(printed > 1_000_000, "{printed} bytes");
    let some: Vec<_> = all.iter().take(60).collect();
    assert!(all.is_empty(), "{} found: {some:#?}", all.len());
}

#[test]
fn a_word_is_found() {
    let rows = rows();
    assert_eq!(found(&rows, "x", "the volts\nof\nit").len(), 1);
    assert_eq!(found(&rows, "x", "heaters -0.0 % and +10.0 %").len(), 1);
    assert!(found(&rows, "x", "\"standing\": \"serves\", 12.0 % low").is_empty());
}
