//! Real shells with the program's own files: what they offer behind a word that was begun.
//!
//! A shell that is not there is not asked, and the test says so, unless `MAINSFIT_SHELLS_REQUIRED=1`.

#![cfg(unix)]

use super::harness::program;
use std::path::Path;
use std::process::{Command, Stdio};

const PROGRAM: &str = env!("CARGO_BIN_EXE_mainsfit");

/// A line as it is begun, and some of what must be offered for its last word.
const ASKED: [(&str, &[&str]); 13] = [
    ("mainsfit pl", &["plan"]),
    ("mainsfit plan --wor", &["--working"]),
    ("mainsfit plan pro", &["profiles/"]),
    ("mainsfit plan profiles/table", &["profiles/table-1948.yaml"]),
    ("mainsfit note profiles/conso", &["profiles/console-1936.yaml"]),
    ("mainsfit tubes 6F", &["6F6", "6F5"]),
    ("mainsfit tubes 5Z", &["5Z3"]),
    ("mainsfit new --rectifier 5Z", &["5Z3"]),
    ("mainsfit plan profiles/table-1948.yaml --show wor", &["working"]),
    ("mainsfit plan profiles/table-1948.yaml --show heat,fau", &["heat,faults"]),
    ("mainsfit plan profiles/table-1948.yaml --range new", &["new-zealand"]),
    ("mainsfit example conso", &["console-1936"]),
    (
        "mainsfit sweep profiles/table-1948.yaml --show V1.plate_",
        &["V1.plate_current", "V1.plate_power"],
    ),
];

/// Whether the shell is there; whoever requires it hears that it is not.
#[allow(clippy::print_stderr, reason = "who reads the log is to know what was not tried")]
fn there(shell: &str) -> bool {
    let found = Command::new(shell).args(["-c", "exit"]).stdin(Stdio::null()).status().is_ok();
    let required = std::env::var_os("MAINSFIT_SHELLS_REQUIRED").is_some_and(|v| v == "1");
    assert!(found || !required, "{shell} is not there");
    if !found {
        eprintln!("not run: {shell} is not there");
    }
    found
}

/// What a shell prints for a script, with the program on its path and its file at `$FILE`; nothing of the reader's own is
/// read.
fn run(shell: &str, script: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    let file = program().args(["completions", shell]).output().unwrap();
    assert!(file.status.success(), "{shell}");
    // zsh looks for the file by the name of what it completes
    let path = folder.path().join("_mainsfit");
    std::fs::write(&path, file.stdout).unwrap();
    let first = Path::new(PROGRAM).parent().unwrap().to_path_buf();
    let others = std::env::var_os("PATH").unwrap();
    let all = std::iter::once(first).chain(std::env::split_paths(&others));
    let flags: &[&str] = match shell {
        "bash" => &["--norc", "--noprofile"],
        "zsh" => &["-f"],
        _ => &["--no-config"],
    };
    let done = Command::new(shell)
        .args(flags)
        .args(["-c", script])
        .env("PATH", std::env::join_paths(all).unwrap())
        .env("HOME", folder.path())
        .env("FILE", &path)
        .env("FOLDER", folder.path())
        .env("TERM", "xterm")
        .stdin(Stdio::null())
        .output()
        .unwrap();
    let (out, err) = (String::from_utf8_lossy(&done.stdout), String::from_utf8_lossy(&done.stderr));
    assert!(done.status.success(), "{shell}: {script}\n{out}\n{err}");
    out.into_owned()
}

/// What bash puts into `COMPREPLY`, as its own line would.
#[test]
fn bash_offers_what_the_program_knows() {
    if !there("bash") {
        return;
    }
    for (line, wanted) in ASKED {
        let words: Vec<&str> = line.split(' ').collect();
        let (last, before) = (words[words.len() - 1], words[words.len() - 2]);
        let script = format!(
            "source \"$FILE\"\n\
             name=$(complete -p mainsfit | sed 's/.*-F \\([^ ]*\\).*/\\1/')\n\
             COMP_WORDS=({line})\nCOMP_CWORD={}\nCOMP_TYPE=9\n\
             \"$name\" mainsfit '{last}' '{before}'\n\
             printf '%s\\n' \"${{COMPREPLY[@]}}\"",
            words.len() - 1
        );
        let offered = run("bash", &script);
        for one in wanted {
            assert!(offered.lines().any(|l| l.trim_end() == *one), "{line}: {one}\n{offered}");
        }
    }
}

#[test]
fn fish_offers_what_the_program_knows() {
    if !there("fish") {
        return;
    }
    for (line, wanted) in ASKED {
        let offered = run("fish", &format!("source $FILE; complete -C '{line}'"));
        for one in wanted {
            let said = |l: &str| l.split('\t').next() == Some(*one);
            assert!(offered.lines().any(said), "{line}: {one}\n{offered}");
        }
    }
}

/// zsh completes only where somebody types: a pseudo-terminal of its own, in which Tab is pressed.
#[test]
fn zsh_offers_what_the_program_knows() {
    if !there("zsh") {
        return;
    }
    for (line, wanted) in ASKED {
        // nothing is typed before the prompt is there;
        // what is alone is typed out, several are listed; what moves and paints is taken from between
        let script = format!(
            "zmodload zsh/zpty; setopt extendedglob\n\
             zpty -b inner 'zsh -f -i'\n\
             say() {{ zpty -w inner \"$1\" }}\n\
             until_seen() {{ local text piece; integer i; for ((i = 0; i < 600; i++)); do \
               while zpty -rt inner piece 2>/dev/null; do text+=$piece; done; \
               text=${{text//$'\\e'\\[[0-9;?]#[A-Za-z]/}}; text=${{text//[$'\\r\\b\\a']/}}; \
               [[ $text == *$1* ]] && break; sleep 0.1; done; print -r -- \"$text\" }}\n\
             say 'unsetopt zle_bracketed_paste 2>/dev/null; stty cols 200 rows 100'\n\
             say 'fpath=($FOLDER $fpath); autoload -Uz compinit; compinit -u -d $FOLDER/dump'\n\
             say 'setopt autolist noautomenu nolistbeep; LISTMAX=1000; zstyle \":completion:*\" verbose no'\n\
             say 'PS1=\"gi\"\"ven> \"'\n\
             until_seen 'given> ' >/dev/null\n\
             zpty -w -n inner $'{line}\\t'\n\
             until_seen '{}'\n\
             zpty -d inner",
            wanted.last().unwrap()
        );
        let seen = run("zsh", &script);
        for one in wanted {
            assert!(seen.contains(one), "{line}: {one}\n{seen}");
        }
    }
}
