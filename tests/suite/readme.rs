//! Commands and their output in README.md and docs/*.md are real: each ```console block is run.
//!
//! A line that begins with `$ ` is a command, what follows is its output. A line of `…` alone ends an output
//! that goes on. A command without output is run and must succeed. Commands of other programs are left out.

use super::harness::run_full;
use std::path::PathBuf;

/// How a command line of this program may begin.
const BEGINNINGS: [&str; 2] = ["mainsfit", "cargo run --release --"];

/// A command and the output shown below it.
#[derive(Debug, PartialEq)]
struct Shown {
    command: String,
    output: Vec<String>,
}

/// The commands in the ```console blocks of a text.
fn commands(text: &str) -> Vec<Shown> {
    let mut list: Vec<Shown> = Vec::new();
    let mut inside = false;
    for line in text.lines() {
        if line.trim_start().starts_with("```") {
            inside = !inside && line.trim() == "```console";
            continue;
        }
        if !inside {
            continue;
        }
        if let Some(command) = line.strip_prefix("$ ") {
            list.push(Shown { command: command.trim().to_owned(), output: Vec::new() });
        } else if let Some(last) = list.last_mut() {
            last.output.push(line.trim_end().to_owned());
        }
    }
    list
}

/// The arguments of a command of this program; `None` for another program.
pub fn arguments(command: &str) -> Option<Result<Vec<String>, String>> {
    let rest = BEGINNINGS.iter().find_map(|b| {
        let rest = command.strip_prefix(b)?;
        (rest.is_empty() || rest.starts_with(' ')).then_some(rest)
    })?;
    let mut list = Vec::new();
    let mut word: Option<String> = None;
    let mut quote = None;
    for c in rest.chars() {
        match quote {
            Some(q) if c == q => quote = None,
            Some(_) => word.get_or_insert_default().push(c),
            None if c == '"' || c == '\'' => {
                quote = Some(c);
                word.get_or_insert_default();
            }
            None if c == ' ' => list.extend(word.take()),
            None if "|<>;&$`\\*".contains(c) => {
                return Some(Err(format!("{command}: {c:?} needs a shell; leave it out")));
            }
            None => word.get_or_insert_default().push(c),
        }
    }
    list.extend(word);
    Some(Ok(list))
}

/// Runs what is shown and says what is wrong with it; `Ok(false)` for another program.
fn compare(shown: &Shown) -> Result<bool, String> {
    let Some(arguments) = arguments(&shown.command) else {
        return Ok(false);
    };
    let outcome = run_full(arguments?);
    let real = format!("{}{}", outcome.out, outcome.err);
    let mut wanted: &[String] = &shown.output;
    while let [before @ .., last] = wanted
        && last.is_empty()
    {
        wanted = before;
    }
    if wanted.is_empty() {
        return match outcome.code {
            0 => Ok(true),
            code => Err(format!("{}: exit code {code}: {real}", shown.command)),
        };
    }
    let (wanted, goes_on) = match wanted {
        [before @ .., last] if last.trim() == "…" => (before, true),
        all => (all, false),
    };
    let real: Vec<&str> = real.trim_end().lines().map(str::trim_end).collect();
    for (i, line) in wanted.iter().enumerate() {
        match real.get(i) {
            Some(r) if r == line => {}
            found => {
                return Err(format!(
                    "{}\nline {} of the output shown: {line:?}\nreal: {found:?}",
                    shown.command,
                    i + 1
                ));
            }
        }
    }
    if !goes_on && real.len() > wanted.len() {
        return Err(format!(
            "{}\nthe output goes on after what is shown; end it with a line of … alone\nreal: {:?}",
            shown.command,
            real[wanted.len()]
        ));
    }
    Ok(true)
}

fn documents() -> Vec<PathBuf> {
    let mut list = vec![PathBuf::from("README.md")];
    if let Ok(folder) = std::fs::read_dir("docs") {
        list.extend(folder.map(|e| e.unwrap().path()));
    }
    list.retain(|p| p.extension().is_some_and(|e| e == "md"));
    list.sort();
    list
}

#[test]
fn what_the_documents_show_is_what_the_program_prints() {
    let mut wrong = Vec::new();
    for path in documents() {
        let text =
            std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        for shown in commands(&text) {
            if let Err(error) = compare(&shown) {
                wrong.push(format!("{}: {error}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn the_readme_shows_a_plan_with_its_output() {
    let text = std::fs::read_to_string("README.md").expect("README.md is there");
    let plan = commands(&text)
        .into_iter()
        .find(|s| {
            arguments(&s.command)
                .and_then(Result::ok)
                .is_some_and(|a| a.first().is_some_and(|a| a == "plan"))
        })
        .expect("README.md has a console block with a plan");
    assert!(plan.output.len() >= 10, "its output is too short to tell anything");
    assert_eq!(compare(&plan), Ok(true));
}

#[test]
fn a_wrong_output_is_noticed() {
    let block = |output: &str| {
        let text = format!("text\n```console\n$ mainsfit tubes \"#46\"\n{output}\n```\n");
        let mut list = commands(&text);
        assert_eq!(list.len(), 1);
        compare(&list.remove(0))
    };
    let real = run_full(["tubes".to_owned(), "#46".to_owned()]).out;
    assert_eq!(block(&real), Ok(true));
    let first: Vec<&str> = real.lines().take(3).collect();
    assert!(block(&first.join("\n")).is_err(), "cut short without …");
    assert_eq!(block(&format!("{}\n…", first.join("\n"))), Ok(true));
    assert!(block(&real.replace("250 mA", "251 mA")).is_err());
    assert!(block(&format!("{real}and more")).is_err());
    // other programs, other fences
    assert_eq!(commands("```text\n$ mainsfit tubes\n```\n"), []);
    assert!(arguments("cargo build --release").is_none());
    assert!(arguments("mainsfitting").is_none());
    assert!(arguments("mainsfit plan a.yaml | head").is_some_and(|a| a.is_err()));
}
