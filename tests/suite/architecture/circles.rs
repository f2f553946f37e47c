//! Circles of files: within a floor, no file uses one that, by however many steps, uses it.
//!
//! A parent that declares its children or passes their names on (`pub use`) does not use them; one whose own items name
//! them does. Tests are left out.

use super::{all, module};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The circles as they stand, files by their path within `src`, a folder for its `mod.rs`. A circle may lose files or go;
/// none may come or grow.
const CIRCLES: &[&str] = &[];

/// A file's path within the crate, without ending: `cli/args/new`, `study` for `study/mod.rs`.
fn place(path: &Path) -> String {
    let text = path.strip_prefix("src").unwrap().with_extension("");
    let text = text.to_str().unwrap().replace('\\', "/");
    text.strip_suffix("/mod").unwrap_or(&text).to_owned()
}

/// A file as far as its imports go.
struct File {
    /// Names and the paths they stand for, with whether they are passed on; `*` for all names of a path.
    imports: Vec<(String, Vec<String>, bool)>,
    /// Paths written out in its items, single words among them.
    named: Vec<Vec<String>>,
    /// Names of the items defined here.
    items: BTreeSet<String>,
}

/// Words and marks of a source, `::` as one mark, without comments and what stands in quotes.
fn pieces(text: &str) -> Vec<String> {
    let word = |c: char| c.is_alphanumeric() || c == '_';
    let mut list: Vec<String> = Vec::new();
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let raw = rest.strip_prefix('r');
        let hashes = raw.map_or(0, |r| r.len() - r.trim_start_matches('#').len());
        let long = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if raw.is_some_and(|r| r[hashes..].starts_with('"')) {
            let open = 1 + hashes + 1;
            let close = format!("\"{}", "#".repeat(hashes));
            open + rest[open..].find(&close).unwrap() + close.len()
        } else if c == '"' {
            1 + quoted(&rest[1..], '"')
        } else if c == '\''
            && (rest[1..].starts_with('\\') || rest[1..].chars().nth(1) == Some('\''))
        {
            1 + quoted(&rest[1..], '\'')
        } else {
            let long = match c {
                _ if word(c) => rest.find(|c| !word(c)).unwrap_or(rest.len()),
                ':' if rest.starts_with("::") => 2,
                _ => c.len_utf8(),
            };
            if !c.is_whitespace() {
                list.push(rest[..long].to_owned());
            }
            long
        };
        rest = &rest[long..];
    }
    list
}

/// Bytes up to and with the quote that ends a text.
fn quoted(text: &str, quote: char) -> usize {
    let mut escaped = false;
    let end = text.char_indices().find(|(_, c)| {
        let ends = *c == quote && !escaped;
        escaped = *c == '\\' && !escaped;
        ends
    });
    end.unwrap().0 + 1
}

/// The code without items under `#[cfg(test)]`.
fn without_tests(pieces: &[String]) -> Vec<String> {
    let mark = ["#", "[", "cfg", "(", "test", ")", "]"];
    let mut kept = Vec::new();
    let mut at = 0;
    while at < pieces.len() {
        if !pieces[at..].iter().zip(mark).all(|(a, b)| a == b) || pieces.len() - at < mark.len() {
            kept.push(pieces[at].clone());
            at += 1;
            continue;
        }
        // to the end of the item: a semicolon, or the brace that closes its first one
        let mut depth = 0;
        while at < pieces.len() {
            match pieces[at].as_str() {
                "{" => depth += 1,
                "}" => depth -= 1,
                _ => {}
            }
            at += 1;
            if depth == 0 && ["}", ";"].contains(&pieces[at - 1].as_str()) {
                break;
            }
        }
    }
    kept
}

/// The paths of a `use` from `at`, each with the name it gives, and where the tree ends.
fn tree(
    pieces: &[String],
    mut at: usize,
    before: &[String],
    list: &mut Vec<(String, Vec<String>)>,
) -> usize {
    let mut path = before.to_vec();
    loop {
        match pieces[at].as_str() {
            "::" => at += 1,
            "{" => {
                at += 1;
                while pieces[at] != "}" {
                    assert_ne!(pieces[at], ";", "braces that do not close");
                    at = tree(pieces, at, &path, list);
                    if pieces[at] == "," {
                        at += 1;
                    }
                }
                return at + 1;
            }
            "," | ";" | "}" => break,
            "as" => {
                list.push((pieces[at + 1].clone(), path));
                return at + 2;
            }
            word => {
                path.push(word.to_owned());
                at += 1;
            }
        }
    }
    // `self` in braces is the path before them
    if path.len() > 1 && path.last().is_some_and(|l| l == "self") {
        path.pop();
    }
    list.push((path.last().unwrap().clone(), path));
    at
}

fn read(text: &str) -> File {
    let pieces = without_tests(&pieces(text));
    let (mut imports, mut named) = (Vec::new(), Vec::new());
    let mut at = 0;
    while at < pieces.len() {
        let word = |i: usize| {
            pieces.get(i).is_some_and(|p| p.starts_with(|c: char| c.is_alphabetic() || c == '_'))
        };
        // `use<..>` in a type is none
        if pieces[at] == "use" && word(at + 1) {
            let open = at > 0 && ["pub", ")"].contains(&pieces[at - 1].as_str());
            let mut list = Vec::new();
            at = tree(&pieces, at + 1, &[], &mut list);
            imports.extend(list.into_iter().map(|(name, path)| (name, path, open)));
        } else if pieces[at] == "mod" {
            at += 2;
        } else if word(at) {
            let start = at;
            let mut path = vec![pieces[at].clone()];
            while pieces.get(at + 1).is_some_and(|p| p == "::") && word(at + 2) {
                path.push(pieces[at + 2].clone());
                at += 2;
            }
            // a field or method is no name of this file's
            if start == 0 || pieces[start - 1] != "." {
                named.push(path);
            }
            at += 1;
        } else {
            at += 1;
        }
    }
    let words = ["struct", "enum", "trait", "fn", "const", "static", "type"];
    let items = pieces.windows(2).filter(|p| words.contains(&p[0].as_str()));
    File { imports, named, items: items.map(|p| p[1].clone()).collect() }
}

/// All files by their place.
struct House(BTreeMap<String, File>);

impl House {
    /// A path as `at` writes it, from the crate's root; `None` for names of other crates and of the file itself.
    fn whole(&self, at: &str, path: &[String]) -> Option<Vec<String>> {
        let mut base: Vec<String> = at.split('/').map(str::to_owned).collect();
        let (first, rest) = path.split_first()?;
        match first.as_str() {
            "crate" => return Some(rest.to_vec()),
            "self" => {}
            "super" => {
                base.pop();
                let above = path.iter().skip(1).take_while(|p| *p == "super").count();
                base.truncate(base.len() - above);
                base.extend_from_slice(&rest[above..]);
                return Some(base);
            }
            child if self.0.contains_key(&format!("{at}/{child}")) => base.push(first.clone()),
            name => {
                let import = self.0[at].imports.iter().find(|(n, p, _)| n == name && *p != path)?;
                base = self.whole(at, &import.1)?;
            }
        }
        base.extend_from_slice(rest);
        Some(base)
    }

    /// The file that a path from the root ends in, behind names that are passed on.
    fn file(&self, path: &[String]) -> Option<String> {
        let known = |n: &usize| self.0.contains_key(&path[..*n].join("/"));
        let depth = (1..=path.len()).rev().find(known)?;
        let at = path[..depth].join("/");
        let Some(name) = path.get(depth) else { return Some(at) };
        let passed = |glob: bool| {
            self.0[&at].imports.iter().filter(|(_, _, open)| *open).find_map(|(n, import, _)| {
                let mut import = self.whole(&at, import)?;
                match (glob, n == name, n == "*") {
                    (false, true, _) => self.file(&import),
                    (true, _, true) => {
                        import.pop();
                        // a glob passes on what stands in that very file; which names, is not looked up
                        let from = self.file(&import)?;
                        self.0[&from].items.contains(name).then_some(from)
                    }
                    _ => None,
                }
            })
        };
        passed(false).or_else(|| passed(true)).or(Some(at))
    }

    /// The files that `at` uses.
    fn uses(&self, at: &str) -> BTreeSet<String> {
        let file = &self.0[at];
        let below = |path: &[String]| path.join("/").starts_with(&format!("{at}/"));
        let needed = file.imports.iter().filter(|(name, path, open)| {
            let own = file.named.iter().any(|n| n[0] == *name);
            own || !open || self.whole(at, path).is_some_and(|path| !below(&path))
        });
        let paths = needed.map(|(_, path, _)| path);
        let written = file.named.iter().filter(|path| path.len() > 1);
        let found = paths.chain(written).filter_map(|path| self.file(&self.whole(at, path)?));
        let floor = at.split('/').next();
        found.filter(|to| to != at && to.split('/').next() == floor).collect()
    }

    /// Files that use one another, each circle as large as it is.
    fn circles(&self) -> Vec<BTreeSet<String>> {
        let uses: BTreeMap<&str, _> =
            self.0.keys().map(|at| (at.as_str(), self.uses(at))).collect();
        let reach = |from: &str| {
            let (mut seen, mut open) = (BTreeSet::new(), vec![from.to_owned()]);
            while let Some(at) = open.pop() {
                open.extend(
                    uses[at.as_str()].iter().filter(|to| seen.insert((*to).clone())).cloned(),
                );
            }
            seen
        };
        let reached: BTreeMap<&str, _> = uses.keys().map(|at| (*at, reach(at))).collect();
        let circle = |at: &&str| {
            reached[at].iter().filter(|to| reached[to.as_str()].contains(*at)).cloned().collect()
        };
        let all: BTreeSet<BTreeSet<String>> = uses.keys().map(circle).collect();
        all.into_iter().filter(|circle| !circle.is_empty()).collect()
    }
}

fn house<'a>(files: impl IntoIterator<Item = (&'a str, &'a str)>) -> House {
    House(files.into_iter().map(|(path, text)| (place(Path::new(path)), read(text))).collect())
}

#[test]
fn a_circle_is_found_where_there_is_one() {
    let circles = |files: &[(&str, &str)]| house(files.iter().copied()).circles();
    let set =
        |names: &[&str]| -> BTreeSet<String> { names.iter().map(|n| (*n).to_owned()).collect() };
    let tests = "#[cfg(test)]\nmod tests { use super::b::B; fn f() { crate::f::b::x() } }\n";
    // a parent that passes names on uses nothing; the child uses what stands in the parent
    let parent = ("src/f/mod.rs", "mod a;\nmod b;\npub use a::A;\npub use b::*;\npub struct P;\n");
    let a = ("src/f/a.rs", "use super::{P, b::B};\npub struct A(B, P);");
    let b = ("src/f/b.rs", tests);
    assert!(circles(&[parent, a, b]).is_empty());
    for back in ["use super::A;", "use crate::f::{c, A as C};", "fn x() { super::a::y() }"] {
        let b = ("src/f/b.rs", back);
        assert_eq!(circles(&[parent, a, b]), [set(&["f/a", "f/b"])], "{back}");
    }
    // its own item names a child that uses it
    let parent = ("src/f/mod.rs", "mod a;\npub use a::A;\npub struct P(A);\n");
    let a = ("src/f/a.rs", "use super::P;");
    assert_eq!(circles(&[parent, a]), [set(&["f", "f/a"])]);
    let parent = ("src/f/mod.rs", "mod a;\npub struct P;\nfn g() { a::h() }\n");
    assert_eq!(circles(&[parent, a]), [set(&["f", "f/a"])]);
    // three files, and a floor below that is none of it
    let three = [
        ("src/f/a.rs", "use super::b::{self, x};"),
        ("src/f/b.rs", "use crate::{f::c::y, g::z};"),
        ("src/f/c.rs", "fn f() { let a = super::a::w; }"),
        ("src/g/z.rs", "use crate::f::a::X;"),
    ];
    assert_eq!(circles(&three), [set(&["f/a", "f/b", "f/c"])]);
}

#[test]
fn no_circle_of_files_comes_or_grows() {
    let files = all();
    let tests = |path: &Path| {
        let path = path.to_str().unwrap();
        path.ends_with("tests.rs") || path.contains("/tests/")
    };
    let files = files
        .iter()
        .filter(|(path, _)| !tests(path) && !["main", "lib"].contains(&module(path).as_str()));
    let house = house(files.map(|(path, text)| (path.to_str().unwrap(), text.as_str())));
    assert!(
        house.uses("cli/sheet").contains("cli/save"),
        "the look through the files finds what is there"
    );
    let found = house.circles();
    let set = |line: &&str| line.split(' ').map(str::to_owned).collect::<BTreeSet<_>>();
    let known: Vec<_> = CIRCLES.iter().map(set).collect();
    let now: Vec<_> =
        found.iter().map(|c| c.iter().cloned().collect::<Vec<_>>().join(" ")).collect();
    for circle in &found {
        let allowed = known.iter().any(|k| circle.is_subset(k));
        assert!(allowed, "a circle that was not: {circle:?}; all of them:\n{now:#?}");
    }
    for circle in &known {
        let there = found.contains(circle);
        assert!(there, "a circle is smaller or gone, {circle:?}: make the list\n{now:#?}");
    }
}
