//! Whatever language, terminal and standard streams the program finds, it says the same.

use super::harness::{program, without_shop};
use rexpect::session::spawn_command;
use std::process::{Command, Output};

const PLAN: [&str; 2] = ["plan", "profiles/console-1936.yaml"];
/// Longest time for a page, ms: a busy machine may take long, and nothing waits for it to pass.
const LONGEST_MS: u64 = 120_000;

fn run(change: &dyn Fn(&mut Command) -> &mut Command, args: &[&str]) -> Output {
    change(program().args(args)).output().unwrap()
}

/// Figures keep their point and dates their order in every language, time zone and with no surroundings at all.
#[test]
fn every_language_gets_the_same_bytes() {
    let commands: [&[&str]; 6] = [
        &PLAN,
        &["plan", "profiles/console-1936.yaml", "--format", "json"],
        &["sweep", "profiles/table-1948.yaml", "--format", "csv"],
        &["note", "profiles/mantel-1938-done.yaml"],
        &["power-up", "profiles/mantel-1938-done.yaml"],
        &["tubes", "6F6"],
    ];
    for args in commands {
        let usual = run(&|command| command, args);
        assert!(usual.status.success() && !usual.stdout.is_empty(), "{args:?}");
        for (name, value) in [
            ("LC_ALL", "C"),
            ("LC_ALL", "de_DE.UTF-8"),
            ("LC_ALL", "tr_TR.UTF-8"),
            ("LC_ALL", "ja_JP.eucJP"),
            ("LANG", "no-such-language"),
            ("LC_NUMERIC", "fr_FR"),
            ("TZ", "Pacific/Auckland"),
            ("TZ", "no-such-zone"),
        ] {
            let other = run(&|command| command.env(name, value), args);
            assert!(other == usual, "{name}={value}: {args:?}");
        }
        let bare = run(&|command| command.env_clear().env("MAINSFIT_SHOP", ""), args);
        assert!(bare == usual, "no surroundings: {args:?}");
    }
}

/// What a terminal shows of a run that `before` it was set so.
fn shown(before: &str, term: Option<&str>) -> String {
    let program = env!("CARGO_BIN_EXE_mainsfit");
    let mut command = without_shop(Command::new("sh"));
    command.args(["-c", &format!("{before}; exec {program} {} --no-pager", PLAN.join(" "))]);
    command.env_remove("NO_COLOR").env_remove("COLUMNS").env_remove("TERM");
    command.envs(term.map(|term| ("TERM", term)));
    spawn_command(command, Some(LONGEST_MS)).unwrap().exp_eof().unwrap()
}

#[test]
fn odd_terminals_get_the_whole_plan() {
    for (before, term, coloured) in [
        ("stty rows 24 cols 80", Some("xterm"), true),
        ("stty rows 24 cols 80", Some("vt52"), true),
        ("stty rows 24 cols 80", None, true),
        ("stty rows 24 cols 80", Some("dumb"), false),
        ("stty rows 0 cols 0", Some("dumb"), false),
        ("stty rows 1 cols 1", Some("dumb"), false),
        ("stty rows 60000 cols 60000", Some("dumb"), false),
    ] {
        let text = shown(before, term);
        assert_eq!(text.contains('\u{1b}'), coloured, "{before}, {term:?}: {text}");
        for said in ["ADVICE", "SAFETY", "Lethal voltages inside", "mainsfit note"] {
            assert!(text.contains(said), "{before}, {term:?}: no {said}\n{text}");
        }
    }
}

/// A stream that is shut is no reason to fall over: what can be said is said, and the exit code stays.
#[test]
fn shut_streams_are_borne() {
    let of = |line: &str| {
        let program = env!("CARGO_BIN_EXE_mainsfit");
        let mut command = without_shop(Command::new("sh"));
        command.args(["-c", &format!("{program} {line}")]).output().unwrap()
    };
    let good = PLAN.join(" ");
    for (streams, code) in
        [(">&-", 0), ("2>&-", 0), ("<&-", 0), (">&- 2>&- <&-", 0), ("| head -c 10", 0)]
    {
        let done = of(&format!("{good} {streams}"));
        let said = String::from_utf8_lossy(&done.stderr);
        assert_eq!((done.status.code(), &*said), (Some(code), ""), "{streams}");
    }
    let bad = of("plan tests/data/bad/no-such.yaml 2>&-");
    assert_eq!((bad.status.code(), bad.stdout.len()), (Some(2), 0));
    let both = of("check - <&-");
    assert_eq!(both.status.code(), Some(2), "{}", String::from_utf8_lossy(&both.stderr));
}
