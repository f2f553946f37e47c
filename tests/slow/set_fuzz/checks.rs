//! What every answer must hold to, whatever was asked of whatever set.

use crate::finite::assert_finite;
use crate::harness::{flat, printed};
use crate::html_valid;
use jsonschema::Validator;
use mainsfit::cli::{Outcome, Screen};
use regex::Regex;
use serde_json::Value as Json;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::Duration;

/// What heads everything: an outlet the set is not made for, or a chassis on the line.
const ALARMS: [&str; 3] = ["DO NOT PLUG IN: ", "NOT WITHOUT THE PART: ", LIVE];
/// The same by their kinds in JSON.
const KINDS: [&str; 3] = ["do-not-plug-in", "not-without-part", "live-chassis"];
const LIVE: &str = "LIVE CHASSIS: ";
/// What no page about a set may lack, by words of it.
const WORDS: [&str; 3] =
    ["Lethal voltages inside", "isolation transformer", "local electrical codes"];
/// The same by their kinds in JSON.
const ALWAYS: [&str; 3] = ["lethal", "isolation", "local-codes"];
/// Commands whose JSON has a schema.
const FORMS: [&str; 9] =
    ["plan", "parts", "power-up", "fit", "sweep", "switch-on", "tolerance", "replace", "divider"];

/// What a command was asked and what came of it.
pub struct Run {
    /// As typed, the command first.
    pub args: Vec<String>,
    /// Texts and exit code.
    pub outcome: Outcome,
    /// Files it wrote, by name.
    pub files: Vec<(String, String)>,
    /// Whether it was about a set.
    pub of_set: bool,
    /// Whether that set's chassis is on the line.
    pub live: bool,
    /// It ended in a panic.
    pub panicked: bool,
    /// What it was printed on.
    pub screen: Screen,
    /// How long it took.
    pub took: Duration,
}

impl Run {
    fn command(&self) -> &str {
        &self.args[0]
    }

    fn asked(&self, option: &str) -> bool {
        self.args.iter().any(|arg| arg == option)
    }
}

/// The checks, with what they look things up in.
pub struct Checks {
    validators: BTreeMap<String, Validator>,
    no_number: Regex,
    minus_zero: Regex,
    colour: Regex,
}

impl Checks {
    /// With the schemas the program prints.
    pub fn new() -> Checks {
        let validator = |form: &str| {
            let schema = serde_json::from_str(&printed(&["schema", form])).unwrap();
            (form.to_owned(), jsonschema::draft202012::new(&schema).unwrap())
        };
        let regex = |text: &str| Regex::new(text).unwrap();
        Checks {
            validators: FORMS.iter().chain(&["error"]).map(|form| validator(form)).collect(),
            no_number: regex(r"(?i)(^|[^\w<-])[-−+]?(nan|inf|infinity)($|[^\w>-])"),
            minus_zero: regex(r"(^|[\s(±,:])[-−]0(\.0*)?([\s%,;)\]]|$)"),
            colour: regex("\u{1b}\\[[0-9;]*m"),
        }
    }

    /// Everything that is wrong with a run.
    pub fn faults(&self, run: &Run) -> Vec<String> {
        if run.panicked {
            return vec!["it panicked".to_owned()];
        }
        let mut list = Vec::new();
        let Outcome { out, err, code } = &run.outcome;
        if *code > 2 {
            list.push(format!("exit code {code}"));
        }
        if *code == 0 && out.is_empty() || *code != 0 && err.is_empty() {
            list.push(format!("exit code {code} and nothing said"));
        }
        let plain = self.colour.replace_all(out, "");
        let files = run.files.iter().map(|(name, text)| (name.as_str(), text.as_str()));
        let texts =
            [("standard output", &*plain), ("standard error", err)].into_iter().chain(files);
        for (name, text) in texts {
            let of = |what: String| format!("{name}: {what}");
            let text = &*without_script(run, text);
            list.extend(self.of_any_text(run, text).into_iter().map(of));
            list.extend(self.of_form(run, name, text).into_iter().map(of));
        }
        if *code == 1 && run.live && !flat(err).contains(LIVE) {
            list.push("refused without saying that the chassis is live".to_owned());
        }
        list
    }

    /// What holds for every text.
    fn of_any_text(&self, run: &Run, text: &str) -> Vec<String> {
        let mut list = Vec::new();
        let shell = matches!(run.command(), "completions" | "man");
        let bad = |c: &char| {
            // a name is set apart by U+2068 and U+2069; the others turn what follows
            let turning =
                matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}' | '\u{2067}' | '\u{feff}');
            turning || c.is_control() && *c != '\n' && !(shell && *c == '\t')
        };
        if let Some(c) = text.chars().find(bad) {
            list.push(format!("a control character {c:?}"));
        }
        if run.outcome.code != 0 || !run.of_set && run.command() != "divider" {
            return list;
        }
        for (what, found) in [("no number", &self.no_number), ("minus zero", &self.minus_zero)] {
            if let Some(hit) = found.find(text) {
                let from = text[..hit.start()].rfind('\n').map_or(0, |i| i + 1);
                list.push(format!("{what}: {}", text[from..].lines().next().unwrap_or_default()));
            }
        }
        list
    }

    /// What holds for a text of its form.
    fn of_form(&self, run: &Run, name: &str, text: &str) -> Vec<String> {
        let (json, csv) = (run.asked("--format=json"), run.asked("--format=csv"));
        let printed = run.asked("--svg=-") && name == "standard output" && run.outcome.code == 0;
        let svg = name.ends_with(".svg") || printed;
        match name {
            "standard error" => Vec::new(),
            "standard output" if text.is_empty() => Vec::new(),
            _ if svg => of_svg(run, text),
            "standard output" if json => self.of_json(run, text),
            "standard output" if run.outcome.code != 0 => Vec::new(),
            "standard output" if csv => of_csv(run, text),
            _ if name.ends_with(".html") || name.ends_with(".htm") || starts_html(text) => {
                let mut list = html_valid::faults(text);
                list.extend(html_valid::links(text));
                list.extend(cautions(run, text));
                list
            }
            _ if name.ends_with(".yaml") => Vec::new(),
            // where a file is written it has the page
            "standard output" if !run.files.is_empty() && text.contains(" is written") => {
                Vec::new()
            }
            _ => self.of_page(run, text),
        }
    }

    fn of_page(&self, run: &Run, text: &str) -> Vec<String> {
        let mut list = cautions(run, text);
        let plain = flat(&text.replace("**", ""));
        // a list has the file's name before it
        let listed = plain.strip_prefix("set.yaml: ").unwrap_or(&plain);
        // a card has its title above where it is cut out
        let first = ALARMS.iter().any(|alarm| listed.starts_with(alarm)) || run.asked("--label");
        if run.live && !first {
            list.push("an alarm does not stand first".to_owned());
        }
        if run.command() == "plan"
            && !plain.contains("CAUTIONS")
            && !plain.contains(" SAFETY Lethal")
        {
            list.push("no head with what is lethal".to_owned());
        }
        list
    }

    fn of_json(&self, run: &Run, text: &str) -> Vec<String> {
        // a list of plans has an object for each line
        let objects: Vec<&str> =
            if text.starts_with("{\n") { vec![text] } else { text.lines().collect() };
        let mut list = Vec::new();
        let single = objects.len() == 1;
        for object in objects {
            let value: Json = match serde_json::from_str(object) {
                Ok(value) => value,
                Err(error) => {
                    list.push(format!("no JSON: {error}"));
                    continue;
                }
            };
            let error = value.get("errors").is_some();
            let form = if error { "error" } else { run.command() };
            // a plan of a list has its file beside it
            if let Some(validator) = self.validators.get(form).filter(|_| single) {
                let faults = validator.iter_errors(&value).take(3);
                list.extend(
                    faults.map(|e| format!("against its schema: {}: {e}", e.instance_path())),
                );
            }
            list.extend(minus_zeros(&value, String::new()).into_iter().take(3));
            if !error {
                list.extend(of_answer(run, &value));
            }
            if run.live && !error && object.starts_with(text.get(..1).unwrap_or_default()) {
                let first = value["cautions"][0]["kind"].as_str();
                let is_alarm = first.is_some_and(|kind| KINDS.contains(&kind));
                // the second set of a list is another one
                if single && !is_alarm {
                    list.push(format!("an alarm does not stand first in JSON: {first:?}"));
                }
            }
        }
        list
    }
}

/// Cautions of a page, a drawing or a table about a set.
fn cautions(run: &Run, text: &str) -> Vec<String> {
    if !run.of_set || run.command() == "check" {
        return Vec::new();
    }
    let text = flat(&text.replace(['\\', '*'], "").replace("&nbsp;", " "));
    let lost = WORDS.iter().filter(|words| !text.contains(*words));
    let mut list: Vec<String> = lost.map(|words| format!("lost: {words}")).collect();
    if run.live && !text.contains(LIVE) {
        list.push("lost: the live chassis".to_owned());
    }
    list
}

fn of_svg(run: &Run, text: &str) -> Vec<String> {
    match roxmltree::Document::parse(text) {
        Err(error) => vec![format!("no XML: {error}")],
        Ok(drawing) => {
            let written = drawing.descendants().filter(|n| n.is_text()).filter_map(|n| n.text());
            let text = flat(&written.collect::<Vec<_>>().join(" "));
            // a drawing beside a note has the note's
            let alone = run.args.iter().any(|arg| arg.starts_with("--svg"));
            match alone && run.live && !ALARMS.iter().any(|alarm| text.contains(alarm.trim_end())) {
                true => vec!["a drawing without the live chassis".to_owned()],
                false => Vec::new(),
            }
        }
    }
}

fn of_csv(run: &Run, text: &str) -> Vec<String> {
    // rows of another length are errors of the reader
    let rows: Vec<_> = csv::Reader::from_reader(text.as_bytes()).into_records().collect();
    let bad = rows.iter().find_map(|row| row.as_ref().err());
    let mut list: Vec<String> = bad.map(|error| format!("no table: {error}")).into_iter().collect();
    list.extend(cautions(run, text));
    list
}

/// Cautions, figures and advice of an answer in JSON.
fn of_answer(run: &Run, value: &Json) -> Vec<String> {
    let mut list = Vec::new();
    if run.of_set {
        let cautions = value["cautions"].as_array().map_or(&[][..], Vec::as_slice);
        let has = |kind: &str| cautions.iter().any(|c| c["kind"] == kind);
        list.extend(ALWAYS.iter().filter(|k| !has(k)).map(|kind| format!("lost: {kind}")));
    }
    let plan = match run.command() {
        "plan" => value,
        _ => &value["plan"],
    };
    if !plan["choices"].is_array() {
        return list;
    }
    list.extend(burning(plan));
    if run.command() == "plan" {
        let mut plan = plan.clone();
        plan.as_object_mut().unwrap().remove("file");
        let finite = catch_unwind(AssertUnwindSafe(|| assert_finite("", &plan, &mut 0)));
        if let Err(cause) = finite {
            list.push(format!("not finite: {:?}", cause.downcast_ref::<String>()));
        }
    }
    list
}

/// An advised part, or the second best, that a fault burns or that was not solved.
pub fn burning(plan: &Json) -> Vec<String> {
    let mut list = Vec::new();
    let named = [&plan["advice"]["choice"], &plan["advice"]["runner_up"]];
    for choice in plan["choices"].as_array().into_iter().flatten() {
        if choice["part"].is_null() || !named.contains(&&choice["id"]) {
            continue;
        }
        for fault in choice["faults"].as_array().into_iter().flatten() {
            let (heat, bears) = (fault["part_w"].as_f64(), fault["part_allowed_w"].as_f64());
            let hot = heat.zip(bears).is_some_and(|(heat, bears)| heat > bears);
            if fault["burns"] == true || hot || !fault["unsolved"].is_null() {
                list.push(format!("{} is named, and {} burns it", choice["id"], fault["fault"]));
            }
        }
    }
    list
}

/// Figures that are a zero with a minus.
fn minus_zeros(value: &Json, way: String) -> Vec<String> {
    match value {
        Json::Number(n) if n.as_f64().is_some_and(|f| f == 0.0 && f.is_sign_negative()) => {
            vec![format!("minus zero: {way}")]
        }
        Json::Array(items) => items
            .iter()
            .enumerate()
            .flat_map(|(i, v)| minus_zeros(v, format!("{way}/{i}")))
            .collect(),
        Json::Object(entries) => {
            entries.iter().flat_map(|(k, v)| minus_zeros(v, format!("{way}/{k}"))).collect()
        }
        _ => Vec::new(),
    }
}

/// Whether it is a page for a browser.
fn starts_html(text: &str) -> bool {
    text.starts_with("<!DOCTYPE html>")
}

/// A page without its script and data, which are the page's own and judged in a browser; other texts as they are.
fn without_script<'t>(run: &Run, text: &'t str) -> std::borrow::Cow<'t, str> {
    if run.command() != "page" || !starts_html(text) {
        return text.into();
    }
    let mut left = String::new();
    let mut rest = text;
    while let Some((before, script)) = rest.split_once("<script") {
        left += before;
        rest = script.split_once("</script>").map_or("", |(_, after)| after);
    }
    (left + rest).into()
}
