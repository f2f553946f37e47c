//! The floors of the program: a module uses only what lies below it.

mod circles;
mod texts;
mod wildcards;

use mainsfit::adaptation::Method;
use std::path::{Path, PathBuf};

/// The floors from the ground up: a module uses only what stands before it, but for `PARTITIONS`.
const FLOORS: [&str; 12] = [
    "text",
    "quantity",
    "preferred",
    "circuit",
    "catalogue",
    "profile",
    "receiver",
    "adaptation",
    "study",
    "report",
    "api",
    "cli",
];
/// Floors beside each other: the first may not use the second, though it stands above.
const PARTITIONS: [(&str, &str); 8] = [
    // units know no letters but their own, and the circuit knows no radio
    ("quantity", "text"),
    ("preferred", "text"),
    ("preferred", "quantity"),
    ("circuit", "text"),
    ("circuit", "quantity"),
    ("circuit", "preferred"),
    ("catalogue", "circuit"),
    ("profile", "circuit"),
];
/// Longest source file and longest function, in lines.
const LONGEST: usize = 400;
const LONGEST_FUNCTION: usize = 80;
/// Files that are longer, and why.
const LONGER: &[(&str, &str)] = &[(
    "src/study/caution/table.rs",
    "one table: a row a caution, with its sentence and where that comes from",
)];

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
        let place = |name: &str| FLOORS.iter().position(|floor| *floor == name);
        let own_place = place(&own).unwrap_or_else(|| panic!("{} is on no floor", path.display()));
        for name in used(&code(&text)) {
            if name == own {
                continue;
            }
            let below = place(&name).is_some_and(|place| place < own_place);
            let beside = PARTITIONS.contains(&(own.as_str(), name.as_str()));
            assert!(below && !beside, "{}: {own} may not use {name}", path.display());
            seen.insert((own.clone(), name));
        }
    }
    // the look through the files did find the edges that are sure to be there
    for (above, below) in [("cli", "api"), ("study", "receiver"), ("receiver", "circuit")] {
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
        // a set and an outlet's log are loaded by the public names, whoever asks
        let loads = path == Path::new("src/api/file.rs");
        if ["cli", "main"].contains(&module(&path).as_str()) || loads {
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
fn no_file_is_too_long_without_a_reason() {
    for (path, text) in all() {
        let lines = text.lines().count();
        let reason = LONGER.iter().find(|(longer, _)| path == Path::new(longer));
        assert!(
            (lines <= LONGEST) == reason.is_none_or(|(_, why)| why.is_empty()),
            "{}: {lines} lines; more than {LONGEST} need a reason, fewer none",
            path.display()
        );
    }
}

/// First line and length of each function, by its closing brace: the formatter sets it below the first word.
fn functions(text: &str) -> Vec<(usize, usize)> {
    let lines: Vec<&str> = text.lines().collect();
    let is_function = |line: &str| {
        let words = line.trim_start().split(' ');
        let mut words = words.skip_while(|w| w.starts_with("pub") || *w == "const");
        words.next() == Some("fn")
    };
    let length = |at: usize| {
        let indent = lines[at].len() - lines[at].trim_start().len();
        let end = format!("{}}}", &lines[at][..indent]);
        // a declaration has no braces of its own
        let declared = lines[at..].iter().find(|line| line.ends_with(';') || line.contains('{'));
        declared.filter(|line| line.contains('{'))?;
        lines[at..].iter().position(|line| *line == end).map(|n| n + 1)
    };
    let found = (0..lines.len()).filter(|at| is_function(lines[*at]));
    found.filter_map(|at| Some((at + 1, length(at)?))).collect()
}

#[test]
fn no_function_is_too_long() {
    let mut seen = 0;
    // a table of cases in a test is as long as its cases
    let test = |path: &Path| path.ends_with("tests.rs") || path.iter().any(|f| f == "tests");
    for (path, text) in all().into_iter().filter(|(path, _)| !test(path)) {
        for (line, length) in functions(&crate::size::without_tests(&text)) {
            seen += 1;
            assert!(length <= LONGEST_FUNCTION, "{}:{line}: {length} lines", path.display());
        }
    }
    assert!(seen > 1000, "the functions were not found");
    let long =
        format!("impl A {{\n    pub fn f(\n    ) {{\n{}    }}\n}}\n", "        x;\n".repeat(90));
    assert_eq!(functions(&long), [(2, 93)]);
}

/// The command line has no door of its own.
#[test]
fn the_command_line_uses_the_public_names_alone() {
    let files = all();
    let own = files.iter().filter(|(path, _)| module(path) == "cli" && !path.ends_with("tests.rs"));
    for (path, text) in own {
        for name in used(&code(text)) {
            assert!(["api", "cli"].contains(&name.as_str()), "{}: {name}", path.display());
        }
    }
}

/// A method is known by its row: no other file has its id as a text. An id of one word may be another thing's name in a
/// profile, a catalogue, a network or a drawing, so there it is looked for only where choices are judged and named.
#[test]
fn no_method_is_known_by_its_text() {
    let table = Path::new("src/adaptation/methods.rs");
    // what a profile may name as fitted is a word of its own, which the table takes from there
    let words = Path::new("src/profile/fitted.rs");
    for (path, text) in all() {
        for method in Method::ALL.iter().filter(|_| path != table && path != words) {
            let one_word = !method.facts().id.contains('-');
            if one_word && !["study", "cli"].contains(&module(&path).as_str()) {
                continue;
            }
            assert!(!text.contains(&format!("\"{method}\"")), "{}: {method}", path.display());
        }
    }
    assert!(std::fs::read_to_string(table).unwrap().contains("\"as-is\""));
}
