//! The floors of the program: a module uses only what lies below it.

mod circles;
mod texts;

use mainsfit::adaptation::Method;
use std::path::{Path, PathBuf};

/// Each module and the modules it may use. Every file in `src` belongs to one of them.
const FLOORS: [(&str, &[&str]); 11] = [
    ("text", &[]),
    ("quantity", &["text"]),
    ("preferred", &["text"]),
    ("circuit", &[]),
    ("catalogue", &["text", "quantity", "preferred"]),
    ("profile", &["text", "quantity", "preferred", "catalogue"]),
    ("receiver", &["text", "quantity", "preferred", "catalogue", "profile", "circuit"]),
    (
        "adaptation",
        &["text", "quantity", "preferred", "catalogue", "profile", "circuit", "receiver"],
    ),
    (
        "study",
        &[
            "text",
            "quantity",
            "preferred",
            "catalogue",
            "profile",
            "circuit",
            "receiver",
            "adaptation",
        ],
    ),
    (
        "report",
        &[
            "text",
            "quantity",
            "preferred",
            "catalogue",
            "profile",
            "circuit",
            "receiver",
            "adaptation",
            "study",
        ],
    ),
    (
        "cli",
        &[
            "text",
            "quantity",
            "preferred",
            "catalogue",
            "profile",
            "circuit",
            "receiver",
            "adaptation",
            "study",
            "report",
        ],
    ),
];
/// Longest source file, in lines.
const LONGEST: usize = 520;

fn sources(folder: &Path, list: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, list);
        } else if path.extension().is_some_and(|e| e == "rs") {
            list.push(path);
        }
    }
}

fn all() -> Vec<(PathBuf, String)> {
    let mut list = Vec::new();
    sources(Path::new("src"), &mut list);
    list.sort();
    assert!(list.len() > 50);
    list.into_iter()
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            (path, text)
        })
        .collect()
}

/// The module a file belongs to: `src/report/plan.rs` to `report`, `src/preferred.rs` to `preferred`.
fn module(path: &Path) -> String {
    let first = path.components().nth(1).unwrap();
    let name = first.as_os_str().to_str().unwrap();
    name.trim_end_matches(".rs").to_owned()
}

/// The text without comments and without what stands in quotes.
fn code(text: &str) -> String {
    let mut out = String::new();
    for line in text.lines() {
        let line = line.split("//").next().unwrap_or_default();
        for (number, piece) in line.replace("\\\"", "").split('"').enumerate() {
            if number % 2 == 0 {
                out.push_str(piece);
            }
        }
        out.push('\n');
    }
    out
}

/// Modules of the crate that a file names after `crate::`, in `use` lines with braces as well.
fn used(code: &str) -> Vec<String> {
    let mut list = Vec::new();
    for (at, _) in code.match_indices("crate::") {
        // `$crate::` and names that only end in crate are none of ours
        if code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_') {
            continue;
        }
        let rest = code[at + "crate::".len()..].trim_start();
        let word = |text: &str| -> String {
            text.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
        };
        match rest.strip_prefix('{') {
            None => list.push(word(rest)),
            Some(braces) => {
                let (mut depth, mut start) = (0, 0);
                for (i, c) in braces.char_indices() {
                    match c {
                        '{' => depth += 1,
                        '}' if depth == 0 => {
                            list.push(word(&braces[start..i]));
                            break;
                        }
                        '}' => depth -= 1,
                        ',' if depth == 0 => {
                            list.push(word(&braces[start..i]));
                            start = i + 1;
                        }
                        _ => {}
                    }
                }
            }
        }
    }
    list.retain(|w| !w.is_empty());
    list
}

#[test]
fn the_way_of_looking_finds_what_it_should() {
    let text =
        "use crate::{a::{b, c}, d};\nlet x = crate::e::f();\n// crate::g\nlet y = \"crate::h\";\n";
    assert_eq!(used(&code(text)), ["a", "d", "e"]);
    assert_eq!(module(Path::new("src/report/plan.rs")), "report");
    assert_eq!(module(Path::new("src/preferred.rs")), "preferred");
}

#[test]
fn no_module_uses_one_above_it() {
    let mut seen = std::collections::BTreeSet::new();
    for (path, text) in all() {
        let own = module(&path);
        if own == "main" || own == "lib" {
            continue;
        }
        let (_, below) = FLOORS
            .iter()
            .find(|(name, _)| *name == own)
            .unwrap_or_else(|| panic!("{} belongs to no floor", path.display()));
        for name in used(&code(&text)) {
            if name == own {
                continue;
            }
            assert!(below.contains(&name.as_str()), "{}: {own} may not use {name}", path.display());
            seen.insert((own.clone(), name));
        }
    }
    // the look through the files did find the edges that are sure to be there
    for (above, below) in [("cli", "report"), ("study", "receiver"), ("receiver", "circuit")] {
        assert!(seen.contains(&(above.to_owned(), below.to_owned())), "{above} {below}");
    }
}

/// A way around `crate::`: more `super::` than the file is deep.
#[test]
fn no_module_climbs_out_of_itself() {
    for (path, text) in all() {
        let depth = path.components().count() - 2;
        let folder = path.file_name().is_some_and(|n| n == "mod.rs");
        // src/a/b.rs stands two deep: one super is a, two are the crate
        let most = if folder { depth - 1 } else { depth };
        for (number, line) in code(&text).lines().enumerate() {
            let climbs = line.matches("super::").count();
            // a test module inside the file is one deeper
            let allowed = if text.contains("mod tests {") { most + 1 } else { most };
            if line.contains("super::super::") {
                assert!(climbs <= allowed, "{}:{}", path.display(), number + 1);
            }
        }
    }
}

#[test]
fn only_main_writes_to_the_terminal() {
    for (path, text) in all() {
        if module(&path) == "main" {
            continue;
        }
        let code = code(&text);
        for word in ["println!", "print!", "eprintln!", "eprint!", "stdout().write", "dbg!"] {
            assert!(!code.contains(word), "{}: {word}", path.display());
        }
    }
}

#[test]
fn only_the_command_line_touches_files_and_the_environment() {
    for (path, text) in all() {
        if ["cli", "main"].contains(&module(&path).as_str()) {
            continue;
        }
        let code = code(&text);
        for word in ["std::fs", "File::open", "std::env::", "stdin()", "stdout()", "process::exit"]
        {
            assert!(!code.contains(word), "{}: {word}", path.display());
        }
    }
}

/// A note of the catalogue is prose: only reports show it, and nothing is decided by it. A method of that name is another thing.
#[test]
fn only_the_catalogue_and_reports_know_a_note() {
    for (path, text) in all() {
        let own = module(&path);
        if ["catalogue", "report"].contains(&own.as_str()) {
            continue;
        }
        let code = code(&text);
        for (at, word) in code.match_indices(".note") {
            let next = code[at + word.len()..].chars().next();
            assert!(
                next.is_some_and(|c| c == '(' || c == '_' || c.is_alphanumeric()),
                "{}: a note is read",
                path.display()
            );
        }
    }
}

#[test]
fn no_file_is_too_long() {
    for (path, text) in all() {
        let lines = text.lines().count();
        assert!(lines <= LONGEST, "{}: {lines} lines", path.display());
    }
}

/// A method is known by its row: no other file has its id as a text. An id of one word may be another thing's name in a
/// profile, a catalogue, a network or a drawing, so there it is looked for only where choices are judged and named.
#[test]
fn no_method_is_known_by_its_text() {
    let table = Path::new("src/adaptation/methods.rs");
    for (path, text) in all() {
        for method in Method::ALL.iter().filter(|_| path != table) {
            let one_word = !method.facts().id.contains('-');
            if one_word && !["study", "cli"].contains(&module(&path).as_str()) {
                continue;
            }
            assert!(!text.contains(&format!("\"{method}\"")), "{}: {method}", path.display());
        }
    }
    assert!(std::fs::read_to_string(table).unwrap().contains("\"as-is\""));
}
