//! Ctrl-C while a list of files is worked through, and the bar that is shown meanwhile.

use super::harness::{program, without_shop};
use rexpect::session::spawn_command;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

const PROGRAM: &str = env!("CARGO_BIN_EXE_mainsfit");
/// Files of a list: enough for many seconds.
const FILES: usize = 400;

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for i in 0..FILES {
        std::fs::copy("profiles/table-1948.yaml", folder.path().join(format!("{i:03}.yaml")))
            .unwrap();
    }
    folder
}

/// A run that is sent this signal after a second, once or twice.
fn stopped(args: &[&str], signal: &str, times: usize) -> (Output, Duration) {
    let mut command = program();
    command.args(args).stdout(Stdio::piped()).stderr(Stdio::piped());
    let run = command.spawn().unwrap();
    let begun = Instant::now();
    std::thread::sleep(Duration::from_secs(1));
    for _ in 0..times {
        let pid = run.id().to_string();
        assert!(
            Command::new("kill").args([signal, &pid]).status().unwrap().success(),
            "it had ended"
        );
    }
    (run.wait_with_output().unwrap(), begun.elapsed())
}

#[test]
fn ctrl_c_prints_what_is_done() {
    let folder = folder();
    let path = folder.path().to_str().unwrap();
    for args in [vec!["plan", path], vec!["plan", path, "--format", "json"], vec!["check", path]] {
        let (done, _) = stopped(&args, "-INT", 1);
        let (out, err) =
            (String::from_utf8(done.stdout).unwrap(), String::from_utf8(done.stderr).unwrap());
        assert_eq!(done.status.code(), Some(130), "{args:?}: {err}");
        let told = err
            .strip_prefix("stopped: ")
            .and_then(|e| e.strip_suffix(&format!(" of {FILES} files are done\n")));
        let count: usize = told.unwrap_or_else(|| panic!("{args:?}: {err}")).parse().unwrap();
        assert!((1..FILES).contains(&count), "{count}");
        // each of them is whole
        let seen = match args.as_slice() {
            ["check", ..] => out.matches(": no errors;").count(),
            ["plan", _] => out.matches("000.yaml: ").count() * count,
            _ => {
                out.lines().filter(|l| serde_json::from_str::<serde_json::Value>(l).is_ok()).count()
            }
        };
        assert_eq!(seen, count, "{args:?}: {out}");
    }
}

/// Whether SIGINT, the second signal, is ignored by what is started from here.
fn ignored() -> bool {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).is_some_and(|m| m & 2 != 0)
}

#[test]
fn ctrl_c_twice_waits_for_nothing() {
    let folder = folder();
    let (done, _) = stopped(&["plan", folder.path().to_str().unwrap()], "-INT", 2);
    // the second may come after the last file at work was done
    assert_eq!(done.status.code(), Some(130));
    // of a single set it ends the program as it does any other
    let (done, _) =
        stopped(&["tolerance", "profiles/table-1948.yaml", "--draws", "100000"], "-INT", 1);
    let ended = done.status.code().is_none() && done.stdout.is_empty();
    // unless whoever started all this has Ctrl-C ignored, as a shell does for what runs in the background
    assert_eq!(ended, !ignored(), "{done:?}");
}

#[test]
fn a_list_shows_how_far_it_is() {
    let folder = tempfile::tempdir().unwrap();
    for i in 0..4 {
        std::fs::copy("profiles/table-1948.yaml", folder.path().join(format!("{i}.yaml"))).unwrap();
    }
    let line = |more: &str| {
        let mut command = without_shop(Command::new("sh"));
        command
            .args(["-c", &format!("{PROGRAM} --no-pager plan {} {more}", folder.path().display())]);
        command.env("TERM", "xterm").env_remove("NO_COLOR");
        let mut session = spawn_command(command, Some(120_000)).unwrap();
        session.exp_eof().unwrap()
    };
    let seen = line("");
    assert!(seen.contains("50 % of 4 files") && seen.contains("Plans"), "{seen}");
    // nothing of it where standard error is no terminal
    assert!(!line("2>/dev/null").contains("% of"));
}
