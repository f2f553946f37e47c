//! What docs/dependencies.md says of packages, held to what cargo knows of them.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

const DOCUMENT: &str = "docs/dependencies.md";
/// Licenses as permissive as MIT and Apache 2.0, by their names in SPDX.
const PERMISSIVE: [&str; 12] = [
    "MIT-0",
    "MIT",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "Unlicense",
    "Zlib",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "BSL-1.0",
    "Unicode-3.0",
    "0BSD",
];

/// What cargo knows, from the lock file alone; packages of other systems, which no build here needed, may have to be fetched.
fn metadata() -> Value {
    let asked = |more: &[&str]| {
        let mut command = std::process::Command::new(env!("CARGO"));
        command.args(["metadata", "--format-version", "1", "--locked"]).args(more);
        command.output().unwrap()
    };
    let here = asked(&["--offline"]);
    let output = if here.status.success() { here } else { asked(&[]) };
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// Packages by id, and what each depends on.
struct Packages {
    by_id: BTreeMap<String, Value>,
    needs: BTreeMap<String, Vec<String>>,
    own: String,
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap()
}

impl Packages {
    fn known() -> Packages {
        let found = metadata();
        let list = |value: &Value| value.as_array().unwrap().clone();
        let by_id: BTreeMap<String, Value> =
            list(&found["packages"]).into_iter().map(|p| (text(&p["id"]).to_owned(), p)).collect();
        let needs = list(&found["resolve"]["nodes"]).into_iter().map(|node| {
            let deps = list(&node["deps"]);
            // what is needed to run it, not to build or test it
            let normal = deps
                .iter()
                .filter(|dep| list(&dep["dep_kinds"]).iter().any(|k| k["kind"].is_null()));
            (text(&node["id"]).to_owned(), normal.map(|dep| text(&dep["pkg"]).to_owned()).collect())
        });
        let own = by_id.values().find(|p| p["name"] == "mainsfit").unwrap();
        Packages { own: text(&own["id"]).to_owned(), needs: needs.collect(), by_id }
    }

    /// What the crate names of one kind: `null` for the program, `dev` for tests.
    fn named(&self, kind: Option<&str>) -> BTreeSet<String> {
        let all = self.by_id[&self.own]["dependencies"].as_array().unwrap().iter();
        let these = all.filter(|d| d["kind"].as_str() == kind && d["name"] != "mainsfit");
        these.map(|d| text(&d["name"]).to_owned()).collect()
    }

    fn id(&self, name: &str) -> &str {
        let mut all = self.by_id.iter().filter(|(_, p)| p["name"] == name);
        all.next().unwrap_or_else(|| panic!("no package {name}")).0
    }

    /// All that a package brings with it.
    fn brought(&self, name: &str) -> BTreeSet<&str> {
        let (mut found, mut next) = (BTreeSet::new(), vec![self.id(name)]);
        while let Some(id) = next.pop() {
            for other in &self.needs[id] {
                if found.insert(text(&self.by_id[other]["name"])) {
                    next.push(other);
                }
            }
        }
        found
    }
}

/// Rows of the document's tables: what the program needs, and what tests need.
fn rows(document: &str) -> [BTreeMap<String, Vec<String>>; 2] {
    let (program, rest) = document.split_once("## In tests and benchmarks only").unwrap();
    let tests = rest.split_once("## Adding").unwrap().0;
    [program, tests].map(|part| {
        let lines = part.lines().filter(|l| l.starts_with("| ") && !l.starts_with("| package"));
        let cells = lines.map(|l| l.split('|').map(|c| c.trim().to_owned()).collect::<Vec<_>>());
        cells.map(|c| (c[1].clone(), c[2..c.len() - 1].to_vec())).collect()
    })
}

/// Licenses one may choose from, in SPDX.
fn choices(license: &str) -> BTreeSet<String> {
    license.replace('/', " OR ").split(" OR ").map(|l| l.trim().to_owned()).collect()
}

#[test]
fn every_package_has_its_row_and_its_license() {
    let packages = Packages::known();
    let document = std::fs::read_to_string(DOCUMENT).unwrap();
    for (rows, kind) in rows(&document).into_iter().zip([None, Some("dev")]) {
        let named: BTreeSet<String> = rows.keys().cloned().collect();
        assert_eq!(named, packages.named(kind), "{DOCUMENT}, {kind:?}");
        for (name, cells) in rows {
            let said =
                cells.last().unwrap().replace("Apache 2.0", "Apache-2.0").replace(" or ", " OR ");
            let license = text(&packages.by_id[packages.id(&name)]["license"]);
            assert_eq!(choices(&said), choices(license), "{DOCUMENT}: license of {name}");
            assert!(cells.iter().all(|c| !c.is_empty()), "{DOCUMENT}: {name} has an empty cell");
        }
    }
}

#[test]
fn what_may_be_left_out_is_listed_by_feature() {
    let packages = Packages::known();
    let document = std::fs::read_to_string(DOCUMENT).unwrap();
    let features = packages.by_id[&packages.own]["features"].as_object().unwrap();
    let mut listed = BTreeSet::new();
    for (feature, needs) in features {
        let needs = needs.as_array().unwrap().iter().map(text);
        let needs: Vec<&str> = needs.filter_map(|n| n.strip_prefix("dep:")).collect();
        if !needs.is_empty() {
            let line = format!("- `{feature}`: {}\n", needs.join(", "));
            assert!(document.contains(&line), "{DOCUMENT}: no line {line}");
            listed.extend(needs);
        }
    }
    let all = packages.by_id[&packages.own]["dependencies"].as_array().unwrap().iter();
    let optional = all.filter(|d| d["optional"] == true).map(|d| text(&d["name"]));
    assert_eq!(listed, optional.collect());
}

/// "brings `roff`": each name in backticks up to the end of the sentence is a package that comes with it.
#[test]
fn what_a_package_is_said_to_bring_comes_with_it() {
    let packages = Packages::known();
    let document = std::fs::read_to_string(DOCUMENT).unwrap();
    let mut said = 0;
    for (name, cells) in rows(&document).into_iter().flatten() {
        let words = cells[..cells.len() - 1].join(" ").to_lowercase();
        for sentence in words.split([';', '.']).filter_map(|s| s.split_once("brings ")) {
            let brought = packages.brought(&name);
            for other in sentence.1.split('`').skip(1).step_by(2) {
                assert!(
                    brought.contains(other),
                    "{DOCUMENT}: {name} does not bring {other}: {brought:?}"
                );
                said += 1;
            }
        }
    }
    assert!(said >= 6, "{said}");
}

#[test]
fn every_license_is_permissive() {
    let packages = Packages::known();
    for package in packages.by_id.values() {
        let license = package["license"]
            .as_str()
            .unwrap_or_else(|| panic!("{}: no license", package["name"]));
        // "(A OR B) AND C": of each part one choice
        for part in license.split(" AND ") {
            let part = part.trim_matches(['(', ')']);
            let allowed =
                choices(part).iter().any(|l| PERMISSIVE.contains(&l.trim_matches(['(', ')'])));
            assert!(allowed, "{}: {license}", package["name"]);
        }
    }
}

/// The notices that go with a binary: of each package its licenses as its makers wrote them. `MAINSFIT_NOTICES=FILE` writes
/// them.
#[test]
fn notices() {
    let packages = Packages::known();
    let (mut all, mut without) = (String::new(), Vec::new());
    for name in packages.brought("mainsfit") {
        let package = &packages.by_id[packages.id(name)];
        let folder = Path::new(text(&package["manifest_path"])).parent().unwrap();
        let mut files: Vec<_> =
            std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
        files.retain(|file| {
            let name = file.file_name().unwrap().to_string_lossy().to_uppercase();
            ["LICENSE", "LICENCE", "COPYING", "NOTICE", "UNLICENSE"]
                .iter()
                .any(|w| name.starts_with(w))
                && file.is_file()
        });
        files.sort();
        all += &format!(
            "==== {name} {} ({})\n\n",
            text(&package["version"]),
            text(&package["license"])
        );
        for file in &files {
            all += std::fs::read_to_string(file).unwrap().trim();
            all += "\n\n";
        }
        if files.is_empty() {
            without.push(name);
        }
    }
    // some packages leave the texts in their repository: the two common ones stand in this one
    println!("without a text of their own: {without:?}");
    for name in without {
        let license = text(&packages.by_id[packages.id(name)]["license"]);
        let common = choices(license).iter().any(|l| l == "MIT" || l == "Apache-2.0");
        assert!(common, "{name}: {license}");
    }
    assert!(all.matches("==== ").count() > 60, "{}", all.matches("==== ").count());
    if let Some(file) = std::env::var_os("MAINSFIT_NOTICES") {
        std::fs::write(file, all).unwrap();
    }
}

/// The YAML parser is no longer maintained: one file names it, so that another takes its place in one file.
#[test]
fn one_file_names_the_yaml_parser() {
    fn walk(folder: &std::path::Path, found: &mut Vec<String>) {
        for entry in std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()) {
            if entry.is_dir() {
                walk(&entry, found);
            } else if entry.extension().is_some_and(|e| e == "rs")
                && !entry.iter().any(|p| p == "tests")
            {
                let text = std::fs::read_to_string(&entry).unwrap();
                found.extend(text.contains("serde_yaml").then(|| entry.display().to_string()));
            }
        }
    }
    let mut found = Vec::new();
    walk("src".as_ref(), &mut found);
    assert_eq!(found, ["src/profile/yaml.rs"]);
    let document = std::fs::read_to_string(DOCUMENT).unwrap();
    assert!(document.contains("`src/profile/yaml.rs`"));
}
