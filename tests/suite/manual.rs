//! What the program says of itself: completions for shells, the manual page, an example for each command.

use super::harness::{flat, mainsfit, printed, program, shipped};
use super::readme::arguments;
use clap::{CommandFactory, Parser};
use clap_complete::engine::complete;
use mainsfit::Catalogue;
use mainsfit::catalogue::outlet_ranges;
use mainsfit::cli::Cli;
use mainsfit::profile::SHIPPED;
use mainsfit::report::PlanPart;
use std::ffi::OsString;
use std::process::{Command, Stdio};

fn commands() -> Vec<clap::Command> {
    let mut cli = Cli::command();
    cli.build();
    let list: Vec<_> = cli.get_subcommands().filter(|c| c.get_name() != "help").cloned().collect();
    assert!(list.len() >= 8);
    list
}

/// Long names of a command's options.
fn options(command: &clap::Command) -> Vec<String> {
    command.get_arguments().filter_map(|a| a.get_long()).map(str::to_owned).collect()
}

/// What is offered for the last word of a line.
fn offered(line: &str) -> Vec<String> {
    let words: Vec<OsString> = line.split(' ').map(OsString::from).collect();
    let last = words.len() - 1;
    let here = std::env::current_dir().unwrap();
    let found = complete(&mut Cli::command(), words, last, Some(&here)).unwrap();
    found.iter().map(|one| one.get_value().to_string_lossy().into_owned()).collect()
}

#[test]
fn every_command_and_option_is_offered() {
    let first = offered("mainsfit ");
    for command in commands() {
        let name = command.get_name();
        assert!(first.iter().any(|one| one == name), "{name}");
        let list = offered(&format!("mainsfit {name} --"));
        for option in options(&command) {
            assert!(list.contains(&format!("--{option}")), "{name}: {option}");
        }
    }
}

/// All that the program knows by name: files, types, parts, ranges, examples, words.
#[test]
fn values_are_offered() {
    let whole = |path: &str| path.rsplit_once('/').map_or(path, |(_, name)| name).to_owned();
    for command in [
        "plan",
        "note",
        "parts",
        "power-up",
        "sweep",
        "fit",
        "check",
        "switch-on",
        "tolerance",
        "replace",
        "divider",
    ] {
        let list = offered(&format!("mainsfit {command} profiles/"));
        let names: Vec<String> = list.iter().map(|path| whole(path)).collect();
        for set in shipped() {
            assert!(names.contains(&whole(&set)), "{command}: {set}: {names:?}");
        }
    }
    let catalogue = Catalogue::built_in();
    let tubes = catalogue.tubes().iter().map(|tube| tube.name.clone());
    let rectifiers = catalogue.rectifiers().iter().map(|tube| tube.name.clone());
    for (line, wanted) in [
        ("mainsfit tubes ", tubes.clone().chain(rectifiers.clone()).collect::<Vec<_>>()),
        ("mainsfit new --tubes ", tubes.collect()),
        ("mainsfit new --rectifier ", rectifiers.collect()),
        ("mainsfit plan x.yaml --show ", PlanPart::ALL.map(|part| part.key.to_owned()).to_vec()),
        ("mainsfit example ", SHIPPED.iter().map(|(name, _)| (*name).to_owned()).collect()),
    ] {
        let list = offered(line);
        for name in wanted {
            assert!(list.contains(&name), "{line}: {name}");
        }
    }
    for command in [
        "plan",
        "note",
        "parts",
        "power-up",
        "sweep",
        "switch-on",
        "tolerance",
        "replace",
        "divider",
        "new",
    ] {
        let list = offered(&format!("mainsfit {command} --range "));
        for range in outlet_ranges() {
            assert!(list.contains(&range.name), "{command}: {}", range.name);
        }
    }
    // behind a comma the next one
    assert_eq!(offered("mainsfit plan x.yaml --show heat,fa"), ["heat,faults"]);
    assert_eq!(offered("mainsfit new --tubes 6K7,6SQ"), ["6K7,6SQ7"]);
    let mut words = offered("mainsfit explain ");
    words.retain(|word| !word.starts_with('-'));
    assert!(words.len() > 200, "{}", words.len());
    for word in words {
        printed(&["explain", &word]);
    }
    // a remark to a shell, in whatever list
    assert!(offered("mainsfit tubes ").iter().all(|name| !name.starts_with('#')));
}

/// Each shell's file asks the program by its bare name; nobody else's variable is in it.
#[test]
fn every_shell_asks_the_program() {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let text = printed(&["completions", shell]);
        assert!(text.contains("MAINSFIT_COMPLETE") && text.contains("mainsfit"), "{shell}: {text}");
        let bare = text.replace("MAINSFIT_COMPLETE", "").replace("_CLAP_COMPLETE", "");
        assert!(!bare.contains("COMPLETE=") && !text.contains("target/"), "{shell}: {text}");
    }
    assert_eq!(mainsfit(&["completions", "sh"]).code, 2);
}

/// A page without the marks of roff.
fn plain(page: &str) -> String {
    page.replace("\\-", "-").replace("\\fB", "").replace("\\fI", "").replace("\\fR", "")
}

#[test]
fn the_manual_page_names_every_command_and_option() {
    let whole = printed(&["man"]);
    assert!(whole.starts_with(".TH mainsfit 1 "), "{}", &whole[..40]);
    let text = plain(&whole);
    assert!(text.contains("no option removes them"), "the cautions are spoken of");
    for command in commands() {
        let name = command.get_name();
        let title = format!("\n.SH {}\n", name.to_uppercase());
        let (_, section) = text.split_once(&title).unwrap_or_else(|| panic!("{name}"));
        let section = section.split("\n.SH ").next().unwrap();
        let alone = printed(&["man", "--command", name]);
        assert!(alone.starts_with(&format!(".TH mainsfit-{name} 1 ")), "{name}: {}", &alone[..40]);
        let alone = plain(&alone);
        for option in options(&command) {
            for (page, place) in [(section, "whole"), (alone.as_str(), "alone")] {
                assert!(page.contains(&format!("--{option}")), "{name} {place}: {option}");
            }
        }
        assert!(section.contains("Example:") && alone.contains("Example:"), "{name}");
    }
    for page in [whole, printed(&["man", "--command", "new"])] {
        // only requests of the man macros and of roff's own few that the page needs
        for line in page.lines().filter(|l| l.starts_with('.')) {
            let request = line.split(' ').next().unwrap();
            let known = [
                ".TH", ".SH", ".SS", ".TP", ".PP", ".RS", ".RE", ".IP", ".br", ".sp", ".ie", ".el",
            ];
            assert!(known.contains(&request), "{line}");
        }
        assert_eq!(page.matches(".TH ").count(), 1);
    }
    let wrong = mainsfit(&["man", "--command", "plans"]);
    assert_eq!(wrong.code, 2);
    assert!(wrong.err.contains("plan, new"), "{}", wrong.err);
}

#[test]
fn every_command_has_an_example_that_parses() {
    for command in commands() {
        let name = command.get_name();
        let help =
            command.get_after_help().unwrap_or_else(|| panic!("{name}: no words")).to_string();
        let (_, after) =
            help.split_once("Example:\n").unwrap_or_else(|| panic!("{name}: no example"));
        let line = after.lines().next().unwrap().trim();
        let words = arguments(line).expect("it is ours").expect("no shell is needed");
        assert_eq!(words.first().map(String::as_str), Some(name));
        let typed = std::iter::once("mainsfit".to_owned()).chain(words);
        if let Err(error) = Cli::try_parse_from(typed) {
            panic!("{line}: {error}");
        }
        assert!(printed(&[name, "--help"]).contains("Example:"));
    }
}

/// A section of the page, without the marks of roff and with every run of blanks made one.
fn section(page: &str, title: &str) -> String {
    let head = if title.contains(' ') {
        format!("\n.SH \"{title}\"\n")
    } else {
        format!("\n.SH {title}\n")
    };
    let (_, rest) = page.split_once(&head).unwrap_or_else(|| panic!("no section {title}"));
    let text = plain(rest.split("\n.SH ").next().unwrap());
    flat(&text.replace(".TP\n", "").replace(".PP\n", "").replace("\\*(Aq", "'"))
}

/// Rows of the table below a heading of docs/commands.md, without the marks of code.
fn documented(heading: &str) -> Vec<Vec<String>> {
    let text = std::fs::read_to_string("docs/commands.md").unwrap();
    let (_, rest) = text.split_once(&format!("\n## {heading}\n")).unwrap();
    let table = rest.lines().skip_while(|l| !l.starts_with("|--")).skip(1);
    let cells = |line: &str| {
        line.trim_matches('|').split(" | ").map(|c| c.trim().replace('`', "")).collect()
    };
    table.take_while(|l| l.starts_with('|')).map(cells).collect()
}

/// What the page says of exit codes and of the environment is what the document says, and all of it.
#[test]
fn the_manual_page_ends_as_one_expects() {
    let page = printed(&["man"]);
    for (heading, title) in [("Exit codes", "EXIT STATUS"), ("Environment", "ENVIRONMENT")] {
        let told = section(&page, title);
        let rows = documented(heading);
        assert!(rows.len() >= 3, "{heading}");
        let all: Vec<String> = rows.iter().map(|row| row.join(" ")).collect();
        assert!(told.starts_with(&all.join(" ")), "{title}: {told}\ndocs/commands.md: {all:?}");
    }
    let told = section(&page, "EXIT STATUS");
    let document = flat(&std::fs::read_to_string("docs/commands.md").unwrap());
    assert!(document.contains("A list of files ends with the highest code among them."));
    assert!(told.ends_with("A list of files ends with the highest code among them."), "{told}");
    let files = section(&page, "FILES");
    for name in ["mainsfit example", "NAME-fitted.yaml", "-o FILE", "--force", "no network"] {
        assert!(files.contains(name), "{name}: {files}");
    }
    // and of one command alone its exit codes
    assert_eq!(section(&printed(&["man", "--command", "plan"]), "EXIT STATUS"), told);
    let order = ["EXIT STATUS", "ENVIRONMENT", "FILES", "EXAMPLES", "VERSION"];
    let titles: Vec<&str> =
        page.lines().filter_map(|l| l.strip_prefix(".SH ")).map(|t| t.trim_matches('"')).collect();
    assert!(titles.ends_with(&order), "{titles:?}");
}

/// No source reads a variable that the page does not name.
#[test]
fn every_variable_that_is_read_is_named() {
    let mut look = vec![std::path::PathBuf::from("src")];
    while let Some(path) = look.pop() {
        if path.is_dir() {
            look.extend(std::fs::read_dir(&path).unwrap().map(|entry| entry.unwrap().path()));
            continue;
        }
        for line in std::fs::read_to_string(&path).unwrap().lines() {
            let reads = line.contains("env::var(") || line.contains("env::var_os(");
            assert!(!reads || line.contains(".name)"), "{}: {line}", path.display());
        }
    }
}

/// The examples at the end of the page, one after the other in an empty folder.
#[test]
fn the_examples_of_the_manual_page_work() {
    let page = printed(&["man"]);
    let (_, examples) = page.split_once("\n.SH EXAMPLES\n").unwrap();
    let folder = tempfile::tempdir().unwrap();
    let mut run = 0;
    for line in plain(examples).lines().filter(|l| l.starts_with("mainsfit ")) {
        let words = arguments(line).unwrap().unwrap();
        let done = program().args(&words).current_dir(folder.path()).output().unwrap();
        assert!(done.status.success(), "{line}: {}", String::from_utf8_lossy(&done.stderr));
        run += 1;
    }
    assert!(run >= 5, "{run}");
}

/// What a checker of manual pages says of each: nothing that warns.
#[test]
fn manual_pages_are_clean() {
    if Command::new("mandoc").arg("-T").arg("lint").stdin(Stdio::null()).output().is_err() {
        let required = std::env::var_os("MAINSFIT_SHELLS_REQUIRED").is_some_and(|v| v == "1");
        assert!(!required, "mandoc is not there");
        eprintln!("not run: mandoc is not there");
        return;
    }
    let mut pages = vec![printed(&["man"])];
    pages.extend(commands().iter().map(|c| printed(&["man", "--command", c.get_name()])));
    for page in pages {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("page.1");
        std::fs::write(&path, &page).unwrap();
        let done = Command::new("mandoc")
            .args(["-T", "lint", "-W", "warning"])
            .arg(&path)
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&done.stdout).into_owned()
            + &String::from_utf8_lossy(&done.stderr);
        assert_eq!(said, "", "{}", page.lines().next().unwrap());
    }
}
