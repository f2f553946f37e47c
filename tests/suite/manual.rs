//! What the program says of itself: completions for shells, the manual page, an example for each command.

use super::harness::{mainsfit, printed};
use super::readme::arguments;
use clap::{CommandFactory, Parser};
use mainsfit::cli::Cli;
use std::io::Write;
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

#[test]
fn every_shell_completes_every_command() {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let text = printed(&["completions", shell]);
        for command in commands() {
            assert!(text.contains(command.get_name()), "{shell}: {}", command.get_name());
            for option in options(&command) {
                assert!(text.contains(&option), "{shell}: {option}");
            }
        }
    }
    assert_eq!(mainsfit(&["completions", "sh"]).code, 2);
}

/// What bash itself says of its file: sound, and `pl` completes to `plan`.
#[test]
fn bash_takes_its_file() {
    let mut script = printed(&["completions", "bash"]);
    script += "\nCOMP_WORDS=(mainsfit pl)\nCOMP_CWORD=1\n_mainsfit mainsfit pl mainsfit\necho \"${COMPREPLY[@]}\"\n";
    for (flag, wanted) in [("-n", ""), ("-s", "plan\n")] {
        let mut bash = Command::new("bash")
            .args(["--norc", flag])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("bash is there");
        bash.stdin.take().unwrap().write_all(script.as_bytes()).unwrap();
        let done = bash.wait_with_output().unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        assert_eq!(String::from_utf8_lossy(&done.stdout), wanted);
    }
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
            let known =
                [".TH", ".SH", ".SS", ".TP", ".PP", ".RS", ".RE", ".IP", ".br", ".ie", ".el"];
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
