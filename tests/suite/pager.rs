//! Long text on a terminal goes through the reader's pager, and only there.

use super::harness::{program, without_shop};
use rexpect::session::spawn_command;
use std::process::Command;

/// Longest time for a page, ms: a busy machine may take long, and nothing waits for it to pass.
const LONGEST_MS: u64 = 120_000;

/// What a terminal of 24 lines shows of the standard output of a run, `PAGER` being what is given: a pager that marks each line it passes on.
fn shown(pager: &str, args: &str) -> String {
    let program = env!("CARGO_BIN_EXE_mainsfit");
    let mut command = without_shop(Command::new("sh"));
    command.args(["-c", &format!("stty rows 24 cols 80; exec {program} {args} 2>/dev/null")]);
    command.env("PAGER", pager).env("TERM", "xterm").env_remove("NO_COLOR");
    let mut session = spawn_command(command, Some(LONGEST_MS)).unwrap();
    session.exp_eof().unwrap()
}

/// Where there is no terminal to ask, `COLUMNS` says how wide the text is.
#[test]
fn columns_count_in_a_pipe() {
    let widest = |columns: Option<&str>| {
        let mut command = program();
        command.args(["plan", "profiles/table-1948.yaml", "--full"]).env_remove("COLUMNS");
        command.envs(columns.map(|columns| ("COLUMNS", columns)));
        let text = String::from_utf8(command.output().unwrap().stdout).unwrap();
        text.lines().map(|line| line.chars().count()).max().unwrap()
    };
    assert!((50..=60).contains(&widest(Some("60"))), "{}", widest(Some("60")));
    for unusable in [None, Some("0"), Some("wide")] {
        assert!((80..=96).contains(&widest(unusable)), "{unusable:?}");
    }
}

#[test]
fn long_text_goes_through_the_pager() {
    const PLAN: &str = "plan profiles/table-1948.yaml";
    let paged = shown("sed s/^/passed_on:/", PLAN);
    assert!(paged.lines().count() > 24 && paged.lines().all(|l| l.starts_with("passed_on:")));
    // what was painted for a terminal stays painted
    assert!(paged.contains("\u{1b}[1m"), "{paged}");
    for (pager, args) in [
        // an empty name is none, a pager that does not start loses nothing, and short text needs none
        ("", PLAN.to_owned()),
        ("no-such-pager-here", PLAN.to_owned()),
        ("sed s/^/passed_on:/", format!("{PLAN} --no-pager")),
        ("sed s/^/passed_on:/", "check profiles/table-1948.yaml".to_owned()),
    ] {
        let whole = shown(pager, &args);
        assert!(!whole.contains("passed_on:"), "{pager} {args}: {whole}");
        let last = if args.starts_with("plan") { "mainsfit note" } else { "no errors" };
        assert!(whole.contains(last), "{pager} {args}: {whole}");
    }
}
