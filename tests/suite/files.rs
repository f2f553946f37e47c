//! Files as they are named on the command line: pipes, folders, endings, outputs that are read as well.

use super::harness::{flat, mainsfit, printed, run_full};
use mainsfit::cli::Outcome;
use std::fs::{copy, read_to_string, write};
use std::path::{Path, PathBuf};

const SET: &str = "profiles/table-1948.yaml";

/// A folder with the set in it as `set.yaml`.
fn with_set() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let set = folder.path().join("set.yaml");
    copy(SET, &set).unwrap();
    (folder, set)
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// Bad input, told with what to do about it.
fn refused(outcome: &Outcome, found: &str) {
    assert_eq!(outcome.code, 2, "{}{}", outcome.out, outcome.err);
    let err = flat(&outcome.err);
    assert!(err.contains(found) && err.contains("fix: "), "{found}: {err}");
}

#[cfg(unix)]
mod pipes {
    use super::*;
    use crate::harness::without_shop;
    use std::process::Command;
    use std::time::{Duration, Instant};

    const PROGRAM: &str = env!("CARGO_BIN_EXE_mainsfit");

    fn pipe(folder: &Path, name: &str) -> PathBuf {
        let path = folder.join(name);
        assert!(Command::new("mkfifo").arg(&path).status().unwrap().success());
        path
    }

    #[test]
    fn a_silent_pipe_is_told_in_the_end() {
        let folder = tempfile::tempdir().unwrap();
        let pipe = pipe(folder.path(), "pipe.yaml");
        let commands: [&[&str]; 3] = [
            &["check", text(&pipe)],
            &["plan", SET, "--outlet-log", text(&pipe)],
            &["plan", SET, text(&pipe)],
        ];
        let begun = Instant::now();
        std::thread::scope(|scope| {
            for command in commands {
                scope.spawn(move || {
                    let outcome = mainsfit(command);
                    refused(&outcome, "pipe.yaml: cannot be read: nothing comes out of it");
                    // the others of a list are answered
                    assert_eq!(outcome.out.is_empty(), command.len() != 3, "{command:?}");
                });
            }
        });
        assert!(begun.elapsed() < Duration::from_secs(60));
    }

    #[test]
    fn a_folder_does_not_wait_for_its_pipes() {
        let (folder, _) = with_set();
        let pipe = pipe(folder.path(), "pipe.yml");
        let begun = Instant::now();
        for command in ["plan", "check"] {
            let outcome = mainsfit(&[command, text(folder.path())]);
            refused(&outcome, "pipe.yml: it is a pipe or a device");
            assert!(outcome.out.contains("set.yaml"), "{}", outcome.out);
        }
        assert!(begun.elapsed() < Duration::from_secs(8), "it waited");
        // it can still be written into
        assert!(pipe.exists());
    }

    #[test]
    fn what_a_shell_writes_into_a_pipe_is_read() {
        let script = format!(
            "'{PROGRAM}' check <(cat {SET}) && '{PROGRAM}' plan <(sleep 1; cat {SET}) {SET}"
        );
        let done = without_shop(Command::new("bash")).args(["-c", &script]).output().unwrap();
        let (out, err) =
            (String::from_utf8_lossy(&done.stdout), String::from_utf8_lossy(&done.stderr));
        assert!(done.status.success(), "{err}");
        assert!(out.contains(": no errors;") && out.contains("2 files; heaters"), "{out}");
    }

    #[test]
    fn devices_end() {
        refused(&mainsfit(&["check", "/dev/null"]), "the file is empty");
        refused(&mainsfit(&["check", "/dev/zero"]), "the file is longer than 65536 bytes");
    }

    #[test]
    fn a_name_has_no_say_over_the_terminal() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a\u{1b}[31m\n\u{202e}b.yaml");
        copy(SET, &path).unwrap();
        let path = text(&path);
        let fitted = path.replace("b.yaml", "c.yaml");
        for args in [
            vec!["check", path],
            vec!["check", path, SET],
            vec!["plan", path],
            vec!["plan", path, SET],
            vec!["plan", path, SET, "--format", "json"],
            vec!["plan", path, "--low", "1V", "--high", "2V"],
            vec!["note", path, "-o", path],
            vec!["note", path, "-o", &format!("{path}.html")],
            vec!["note", path, "-o", &format!("{path}.html")],
            vec!["power-up", path, "-o", &format!("{path}.md")],
            vec!["sweep", path, "--svg", &format!("{path}.svg")],
            vec!["example", "table-1948", "-o", &fitted],
            vec!["example", "table-1948", "-o", &fitted],
            vec![
                "new",
                "--design-line",
                "115V",
                "--tubes",
                "6A8",
                "--rectifier",
                "5Y3GT",
                "-o",
                path,
            ],
            vec!["replace", path, "rectifier", "-o", &fitted],
            vec!["plan", &format!("{path}/none.yaml")],
            vec!["plan", SET, "--outlet-log", path],
        ] {
            let outcome = mainsfit(&args);
            for said in [&outcome.out, &outcome.err] {
                let bad = said.chars().find(|c| (c.is_control() && *c != '\n') || *c == '\u{202e}');
                assert_eq!(bad, None, "{args:?}: {said}");
            }
            assert!(!outcome.err.contains("\n\u{202e}") && !outcome.err.contains("31m\n"));
        }
    }
}

#[test]
fn check_takes_many() {
    let (folder, set) = with_set();
    copy(SET, folder.path().join("LOUD.YAML")).unwrap();
    copy(SET, folder.path().join("other.txt")).unwrap();
    let all = printed(&["check", text(folder.path())]);
    assert!(all.contains("LOUD.YAML: no errors") && all.contains("set.yaml: no errors"), "{all}");
    assert!(all.ends_with("2 files: no errors\n") && !all.contains("other.txt"), "{all}");
    // named by itself a file may be called anything
    assert!(printed(&["check", text(&folder.path().join("other.txt"))]).contains("no errors"));
    write(folder.path().join("bad.yml"), "set: {}\n").unwrap();
    let some = mainsfit(&["check", text(folder.path()), SET, text(&set)]);
    refused(&some, "bad.yml:1:1: error");
    assert!(some.out.ends_with("5 files: 1 with errors\n"), "{}", some.out);
    assert!(printed(&["plan", text(&set), SET]).contains("2 files;"));
    refused(&mainsfit(&["check", "-", "-"]), "standard input can be read once only");
}

#[test]
fn a_folder_is_not_one_set() {
    for command in ["note", "parts", "fit", "power-up", "sweep", "switch-on", "tolerance"] {
        refused(&mainsfit(&[command, "profiles"]), "profiles: cannot be read: it is a folder");
    }
    refused(&mainsfit(&["plan", SET, "--outlet-log", "profiles"]), "it is a folder");
}

#[test]
fn a_missing_file_is_told_with_the_nearest() {
    let (folder, _) = with_set();
    let missing = mainsfit(&["plan", text(&folder.path().join("sett.yaml"))]);
    refused(&missing, "sett.yaml: cannot be read: there is no such file");
    assert!(missing.err.contains("the nearest name there is set.yaml"), "{}", missing.err);
    // what the help names is shipped
    let shipped = mainsfit(&["plan", "nowhere/console-1936.yaml"]);
    assert!(shipped.err.contains("mainsfit example console-1936"), "{}", shipped.err);
}

/// Every command that writes a file, with what it writes as its last word.
const WRITERS: [(&[&str], &str); 7] = [
    (&["note", "SET", "-o"], "html"),
    (&["parts", "SET", "-o"], "html"),
    (&["power-up", "SET", "-o"], "md"),
    (&["sweep", "SET", "--svg"], "svg"),
    (&["switch-on", "SET", "--svg"], "svg"),
    (&["replace", "SET", "rectifier", "-o"], "yaml"),
    (&["new", "--design-line", "115V", "--tubes", "6A8,6K7", "--rectifier", "5Y3GT", "-o"], "yaml"),
];

#[test]
fn what_is_read_is_never_written_over() {
    let (folder, set) = with_set();
    let log = folder.path().join("day.svg");
    copy("profiles/outlet-log.csv", &log).unwrap();
    for (args, ending) in WRITERS {
        let reads = args.contains(&"SET");
        // by its name, by another way to it, and as the log of the outlet
        let round =
            folder.path().join("..").join(folder.path().file_name().unwrap()).join("set.yaml");
        for output in [&set, &round, &log].into_iter().filter(|_| reads) {
            let mut line: Vec<String> =
                args.iter().map(|a| if *a == "SET" { text(&set) } else { a }.to_owned()).collect();
            line.extend([text(output).to_owned(), "--force".to_owned()]);
            line.extend(["--outlet-log".to_owned(), text(&log).to_owned()]);
            refused(&run_full(line), "it is read for this, and is kept");
        }
        // an ending of something else
        let mut line: Vec<String> =
            args.iter().map(|a| if *a == "SET" { text(&set) } else { a }.to_owned()).collect();
        let wrong = folder.path().join(if ending == "yaml" { "x.html" } else { "x.yaml" });
        line.push(text(&wrong).to_owned());
        refused(&run_full(line.clone()), "the ending does not say what to write");
        assert!(!wrong.exists());
        // and what is right
        *line.last_mut().unwrap() =
            text(&folder.path().join(format!("x-{}.{ending}", args[0]))).to_owned();
        let done = run_full(line.clone());
        assert!(done.code < 2, "{line:?}: {}", done.err);
    }
    assert_eq!(read_to_string(&set).unwrap(), read_to_string(SET).unwrap());
    assert_eq!(read_to_string(&log).unwrap(), read_to_string("profiles/outlet-log.csv").unwrap());
}

/// An answer that was found is printed though its file is not written.
#[test]
fn an_answer_stands_beside_a_file_that_is_refused() {
    let (folder, set) = with_set();
    let with = read_to_string(SET).unwrap()
        + "\nreadings:\n  - { at_line: 120 V, B+: 262 V, heater.main: 6.6 V }\n";
    write(&set, with).unwrap();
    let there = folder.path().join("set-fitted.yaml");
    write(&there, "mine").unwrap();
    let fit = mainsfit(&["fit", text(&set), "--write"]);
    refused(&fit, "set-fitted.yaml: there is a file of that name, and it is kept");
    assert_eq!(fit.out, mainsfit(&["fit", text(&set)]).out);
    assert!(fit.out.len() > 200, "{}", fit.out);
    assert_eq!(read_to_string(&there).unwrap(), "mine");
    let svg = folder.path().join("x.svg");
    write(&svg, "mine").unwrap();
    let sweep = mainsfit(&["sweep", SET, "--svg", text(&svg)]);
    refused(&sweep, "x.svg: there is a file of that name");
    assert_eq!(sweep.out, printed(&["sweep", SET]));
}

/// A write-protected file is kept on every system.
#[test]
fn a_protected_file_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("x.svg");
    write(&path, "mine").unwrap();
    let mut rights = std::fs::metadata(&path).unwrap().permissions();
    rights.set_readonly(true);
    std::fs::set_permissions(&path, rights).unwrap();
    let sweep = mainsfit(&["sweep", SET, "--force", "--svg", text(&path)]);
    refused(&sweep, "x.svg: it is write-protected, and it is kept");
    assert_eq!(read_to_string(&path).unwrap(), "mine");
}

/// The mark that ends a document, where it is right and where it is not.
#[test]
fn three_dots_end_a_profile() {
    let (folder, set) = with_set();
    let plain = read_to_string(SET).unwrap();
    for end in ["...", "...\n", "... # the end\n", "...\n...\n\n"] {
        write(&set, format!("{plain}{end}")).unwrap();
        assert!(printed(&["check", text(&set)]).contains("no errors"), "{end:?}");
    }
    for (body, found) in [
        (format!("{plain}... more\n"), "three dots end a profile"),
        (format!("{plain}   ...\n"), "three dots end a profile"),
        ("...\n".to_owned(), "three dots end a profile"),
        (format!("{plain}...\na: b\n"), "a second document starts here"),
        ("tubes: [a\n...\n".to_owned(), "opened at line 1, column 8 is not closed"),
        ("set:\n  name: \"a\n...\n".to_owned(), "the quoted text that opens here is not closed"),
    ] {
        write(&set, &body).unwrap();
        refused(&mainsfit(&["check", text(&set)]), found);
    }
    drop(folder);
}
