//! A full disk, a run that is killed, an output that takes nothing: no file is half written, nothing panics.

#![cfg(target_os = "linux")]

use super::harness::{program, without_shop};
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;

const PROGRAM: &str = env!("CARGO_BIN_EXE_mainsfit");
const SET: &str = "profiles/table-1948.yaml";

fn shell(script: &str, folder: &Path) -> Output {
    without_shop(Command::new("sh"))
        .args(["-c", script])
        .env("PROGRAM", PROGRAM)
        .env("FOLDER", folder)
        .env("SET", SET)
        .output()
        .unwrap()
}

/// What every command that writes a file is asked to write, with the name of the file.
const WRITERS: [(&str, &str); 6] = [
    ("note $SET -o $FOLDER/note.html", "note.html"),
    ("parts $SET -o $FOLDER/parts.html", "parts.html"),
    ("power-up $SET -o $FOLDER/power-up.html", "power-up.html"),
    ("sweep $SET --svg $FOLDER/sweep.svg", "sweep.svg"),
    (
        "new --name X --design-line 115V --tubes 6A8,6K7,6Q7,6F6 --rectifier 5Y3GT -o $FOLDER/new.yaml",
        "new.yaml",
    ),
    ("fit $FOLDER/set.yaml --write $FOLDER/fitted.yaml", "fitted.yaml"),
];

/// A disk of 64 KiB that is filled up to its last block, in a name space of its own: no right is needed where the system
/// lets users have one.
#[test]
fn a_full_disk_leaves_no_half_written_file() {
    let folder = tempfile::tempdir().unwrap();
    let can = shell("unshare -rm mount -t tmpfs -o size=64k none $FOLDER", folder.path());
    if !can.status.success() {
        assert!(
            std::env::var_os("MAINSFIT_DISK_REQUIRED").is_none(),
            "no disk of its own can be mounted here: {}",
            String::from_utf8_lossy(&can.stderr)
        );
        eprintln!("not run: no disk of its own can be mounted here");
        return;
    }
    for (command, name) in WRITERS.into_iter().take(4) {
        for (before, force) in [(false, ""), (true, " --force")] {
            let there =
                if before { format!("printf as-it-was > $FOLDER/{name};") } else { String::new() };
            let script = format!(
                "unshare -rm sh -c 'mount -t tmpfs -o size=64k none $FOLDER && {there} \
                 cat /dev/zero > $FOLDER/full 2>/dev/null; \
                 $PROGRAM {command}{force} >/dev/null; echo code $?; ls -A $FOLDER; cat $FOLDER/{name} 2>/dev/null'"
            );
            let done = shell(&script, folder.path());
            let (out, err) =
                (String::from_utf8(done.stdout).unwrap(), String::from_utf8(done.stderr).unwrap());
            let expected = if before {
                // ls sorts, the old file is whole
                let mut names = ["full", name];
                names.sort_unstable();
                format!("code 2\n{}\n{}\nas-it-was", names[0], names[1])
            } else {
                "code 2\nfull\n".to_owned()
            };
            assert_eq!(out, expected, "{command}{force}: {err}");
            assert!(err.contains(name) && err.contains("cannot be written"), "{command}: {err}");
            assert!(err.contains("fix: "), "{err}");
            // the name of the file that was to become it is nobody's concern
            assert!(!err.contains("panicked") && !err.contains(".mainsfit-"), "{err}");
        }
    }
}

/// Killed at any moment, a run leaves the file whole or not there at all.
#[test]
fn a_killed_run_leaves_the_file_whole_or_not_there() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("note.html");
    let start = || {
        program()
            .args(["note", SET, "--force", "-o"])
            .arg(&path)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap()
    };
    let begun = std::time::Instant::now();
    assert!(start().wait().unwrap().success());
    let whole = begun.elapsed();
    let good = std::fs::read_to_string(&path).unwrap();
    assert!(good.trim_end().ends_with("</html>"));
    std::fs::remove_file(&path).unwrap();
    let mut there = 0;
    const KILLS: u32 = 12;
    for i in 1..=KILLS {
        let mut run = start();
        std::thread::sleep(whole * i / KILLS + Duration::from_millis(u64::from(i)));
        // SIGKILL: nothing can be tidied up
        let _ = run.kill();
        run.wait().unwrap();
        if let Ok(text) = std::fs::read_to_string(&path) {
            assert!(text.trim_end().ends_with("</html>"), "{} bytes", text.len());
            there += 1;
            std::fs::remove_file(&path).unwrap();
        }
    }
    println!("{there} of {KILLS} were through before they were killed");
}

/// A file may not grow beyond half a KiB: the write fails in its middle.
#[test]
fn a_write_that_fails_in_its_middle_leaves_the_old_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("sweep.svg");
    std::fs::write(&path, "as it was").unwrap();
    let script = "trap '' XFSZ; ulimit -f 1; $PROGRAM sweep $SET --force --svg $FOLDER/sweep.svg";
    let done = shell(script, folder.path());
    let err = String::from_utf8(done.stderr).unwrap();
    assert_eq!(done.status.code(), Some(2), "{err}");
    assert!(err.contains("cannot be written"), "{err}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "as it was");
    let names: Vec<_> = std::fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(names.len(), 1, "{names:?}");
}

#[test]
fn an_output_that_takes_nothing_is_an_error_and_no_panic() {
    for command in [
        "plan $SET",
        "plan $SET --format json",
        "check $SET",
        "tubes",
        "note $SET",
        "schema plan",
        "man",
        "--help",
        "--version",
        "help plan",
        "plan --help",
    ] {
        let done = shell(&format!("$PROGRAM {command} > /dev/full"), Path::new("."));
        let err = String::from_utf8(done.stderr).unwrap();
        assert_eq!(done.status.code(), Some(2), "{command}");
        assert!(err.contains("the output cannot be written"), "{command}: {err}");
        assert!(!err.contains("panicked"), "{command}: {err}");
        // a reader that goes away, as `head` does, is no fault at all
        let done = shell(&format!("$PROGRAM {command} | head -c 1"), Path::new("."));
        let err = String::from_utf8(done.stderr).unwrap();
        assert!(done.status.success() && err.is_empty(), "{command}: {err}");
    }
}
