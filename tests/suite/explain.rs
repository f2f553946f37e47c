//! What a program without its sources tells of profiles: every key and term explained, every example printed.

use super::harness::{flat, mainsfit, printed, shipped, stem};
use std::collections::BTreeSet;

/// Keys of the tables in the reference of profiles, with what is said of each.
fn keys_of_the_reference() -> Vec<(String, String)> {
    let text = std::fs::read_to_string("docs/profile.md").unwrap();
    let tables = text.split("<!-- keys: ").skip(1);
    let tables = tables.map(|table| table.split("<!-- /keys -->").next().unwrap());
    let of_keys = tables.filter(|table| table.contains("| key | required |"));
    let rows = of_keys.flat_map(|table| table.lines().filter(|line| line.starts_with("| `")));
    let cells = rows.map(|row| {
        let (key, rest) = row.trim_start_matches("| `").split_once("` |").unwrap();
        let means = rest.trim_end_matches(" |").rsplit(" | ").next().unwrap();
        (key.to_owned(), means.trim().to_owned())
    });
    cells.collect()
}

/// Terms of the glossary.
fn terms() -> Vec<String> {
    let text = std::fs::read_to_string("docs/glossary.md").unwrap();
    let lines = text.lines().filter_map(|line| line.strip_prefix("- **"));
    lines.map(|rest| rest.split_once("**").unwrap().0.to_owned()).collect()
}

#[test]
fn every_key_of_the_reference_is_explained_as_there() {
    let keys = keys_of_the_reference();
    assert!(keys.len() > 150, "{}", keys.len());
    for (key, means) in keys {
        let told = flat(&printed(&["explain", &key]));
        let means = flat(&means).replace("\\|", "|");
        assert!(told.contains(&means), "{key}: {means}\n{told}");
    }
}

#[test]
fn every_term_is_explained_and_listed_in_its_order() {
    let (terms, list) = (terms(), flat(&printed(&["explain"])));
    assert!(terms.len() > 20);
    for term in &terms {
        assert!(list.contains(term.as_str()), "{term}");
        for typed in [term.clone(), term.to_uppercase(), term.replace(' ', "-")] {
            let told = printed(&["explain", &typed]);
            assert!(told.contains(&format!("{term}: ")), "{typed}: {told}");
        }
    }
    // by letters alone, as a dictionary has them
    let letters = |term: &String| term.to_lowercase().replace(|c: char| !c.is_alphanumeric(), "");
    let order: Vec<String> = terms.iter().map(letters).collect();
    assert!(order.is_sorted(), "{order:?}");
    for top in ["heater_string", "series-resistor"] {
        assert!(list.contains(top), "{top}");
    }
    assert!(!list.contains("design_line"), "only keys at the top are listed");
}

/// A path, the end of one, an item of a list, a name of one's own.
#[test]
fn a_key_is_found_by_its_path_and_by_the_end_of_it() {
    for (typed, wanted) in [
        ("filter.capacitor.rated", "filter.capacitor.rated"),
        ("filter[1].capacitor.rated", "filter.capacitor.rated"),
        ("capacitor.rated", "filter.capacitor.rated"),
        ("dividers.bias.from", "dividers.NAME.from"),
        ("dividers.from", "dividers.NAME.from"),
        ("tubes[2].plate", "tubes.plate"),
        ("Heater-String", "heater_string"),
        ("service_sheet.b+", "service_sheet.B+"),
    ] {
        let told = printed(&["explain", typed]);
        assert!(told.contains(wanted), "{typed}: {told}");
        assert!(!told.contains("mains_resistor"), "{typed}: {told}");
    }
    let rated = printed(&["explain", "rated"]);
    for section in ["filter.capacitor.rated", "mains_resistor.rated"] {
        assert!(rated.contains(section), "{section}: {rated}");
    }
}

#[test]
fn a_wrong_word_is_told_the_nearest() {
    for (typed, near) in [
        (vec!["explain", "bleeders"], "bleeder"),
        (vec!["explain", "filter.capacitor.raetd"], "rated"),
        (vec!["explain", "isolation"], "\"isolation transformer\""),
        (vec!["explain", "series-resister"], "series-resistor"),
        (vec!["explain", "qqqqqqqq"], "`mainsfit explain` lists all of them"),
        (vec!["explain", ""], "`mainsfit explain` lists all of them"),
        (vec!["example", "consol-1936"], "`mainsfit example console-1936`"),
        (vec!["example", "qqqqqqqq"], "`mainsfit example` lists them"),
    ] {
        let told = mainsfit(&typed);
        assert_eq!((told.code, told.out.as_str()), (2, ""), "{typed:?}");
        let (found, fix) = told.err.split_once("fix: ").expect("what to do");
        assert!(found.contains(&format!("{:?}", typed[1])), "{}", told.err);
        assert!(flat(fix).contains(near), "{typed:?}: {}", told.err);
    }
}

/// Every file of `profiles/` is held, listed and printed as it is; none beside them.
#[test]
fn every_shipped_profile_is_held_and_equal() {
    let (list, folder) = (printed(&["example"]), tempfile::tempdir().unwrap());
    let mut names = BTreeSet::new();
    for file in shipped() {
        let name = stem(&file);
        let text = std::fs::read_to_string(&file).unwrap();
        assert!(printed(&["example", &name]) == text, "{name}");
        assert!(printed(&["example", &format!("profiles/{name}.yaml")]) == text, "{name}");
        let tree: serde_yaml::Value = serde_yaml::from_str(&text).unwrap();
        let set = tree["set"]["name"].as_str().unwrap();
        let year = tree["set"]["year"].as_i64().map_or(String::new(), |year| format!(", {year}"));
        assert!(flat(&list).contains(&format!("{name}: {set}{year}")), "{name}: {list}");
        let path = folder.path().join(format!("{name}.yaml")).display().to_string();
        assert!(printed(&["example", &name, "-o", &path]).contains("mainsfit plan"));
        assert!(std::fs::read_to_string(&path).unwrap() == text, "{name}");
        let kept = mainsfit(&["example", &name, "-o", &path]);
        assert!(kept.code == 2 && kept.err.contains("--force"), "{}", kept.err);
        printed(&["example", &name, "-o", &path, "--force"]);
        names.insert(name);
    }
    assert_eq!(list.matches("• ").count(), names.len());
}

/// Whoever types what the help shows, without the sources, is told how to have the file.
#[test]
fn a_shipped_profile_that_is_not_there_can_be_written() {
    let told = mainsfit(&["plan", "elsewhere/console-1936.yaml"]);
    assert_eq!(told.code, 2);
    assert!(
        told.err
            .contains("fix: write it first: `mainsfit example console-1936 -o console-1936.yaml`"),
        "{}",
        told.err
    );
}
