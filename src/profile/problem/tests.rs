mod unreadable;

use crate::profile::{Cursor, Document, Problems, Reader, quoted};

fn rendered(text: &str, read: impl FnOnce(&Cursor<'_>)) -> String {
    let document = match Document::parse("profiles/x.yaml", text.as_bytes()) {
        Ok(document) => document,
        Err(problems) => panic!("{problems}"),
    };
    let reader = Reader::new(&document);
    read(&reader.root());
    let problems: Problems = match reader.into_result(Some(())) {
        Ok((_, warnings)) => warnings,
        Err(problems) => problems,
    };
    assert_eq!(problems.to_string(), problems.render());
    problems.render()
}

#[test]
fn problems_of_a_profile() {
    let text = "\
name: Kitchen set
transformer:
  secondaries:
    - per_half: 122 A   # für beide Hälften
      amps: 60 mA
tubes: []
";
    let shown = rendered(text, |root| {
        let fields = root.map().expect("a mapping");
        fields.required("name");
        fields.required("mains");
        let tubes = fields.required("tubes").expect("is there");
        tubes.warn("no tube is listed", "list the tubes, or leave the key out");
        let secondaries = fields
            .required("transformer")
            .and_then(|c| c.map()?.required("secondaries"))
            .and_then(|c| c.list())
            .expect("a list");
        let winding = secondaries[0].map().expect("a mapping");
        winding.required("per_half").expect("is there").fail(
            "\"122 A\" is a current; a voltage is wanted here",
            "write a voltage with its unit, such as \"122 V\"",
        );
        winding.optional("current");
        winding.finish();
        fields.finish();
    });
    insta::assert_snapshot!(shown, @r##"
    profiles/x.yaml:1:1: error
         1 > name: Kitchen set
             ^
        the key "mains" is missing here
        fix: add "mains:" with its value

    profiles/x.yaml:4:17: error in transformer.secondaries[0].per_half
         4 >     - per_half: 122 A   # für beide Hälften
                             ^
        "122 A" is a current; a voltage is wanted here
        fix: write a voltage with its unit, such as "122 V"

    profiles/x.yaml:5:7: error in transformer.secondaries[0].amps
         5 >       amps: 60 mA
                   ^
        unknown key "amps"
        fix: use one of the known keys: per_half, current

    profiles/x.yaml:6:8: warning in tubes
         6 > tubes: []
                    ^
        no tube is listed
        fix: list the tubes, or leave the key out

    3 errors, 1 warning in profiles/x.yaml
    "##);
}

#[test]
fn long_lines_and_odd_characters() {
    let long = "x".repeat(150);
    let wide = "Ω µF ".repeat(30);
    let text = format!("a: {{\tk: [{long}, \"é\\e[31m\", {long}]}}\nb: \"{wide}\"\n{long}: [1]\n");
    let shown = rendered(&text, |root| {
        let entries = root.entries().expect("a mapping");
        let list = entries[0].1.entries().expect("a mapping")[0].1.list().expect("a list");
        for item in &list {
            item.fail(format!("{} is no node", quoted(item.text().expect("a text"))), "");
        }
        list[1].warn(list[1].text().expect("a text"), "");
        entries[1].1.fail(entries[1].1.text().expect("a text"), &long);
        entries[2].1.text();
    });
    insta::assert_snapshot!(shown, @r##"
    profiles/x.yaml:1:10: error in a.k[0]
         1 > a: { k: [xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…
                      ^
        "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…" is no node

    profiles/x.yaml:1:162: error in a.k[1]
         1 > …xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx, "é\e[31m", xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…
                                                          ^
        "é\u{1b}[31m" is no node

    profiles/x.yaml:1:162: warning in a.k[1]
         1 > …xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx, "é\e[31m", xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…
                                                          ^
        é\u{1b}[31m

    profiles/x.yaml:1:173: error in a.k[2]
         1 > …xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx, "é\e[31m", xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…
                                                          ^
        "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…" is no node

    profiles/x.yaml:2:4: error in b
         2 > b: "Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF …
                ^
        Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω
            µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF Ω µF
        fix:
            xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx
            xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx

    profiles/x.yaml:3:153: error in "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…"
         3 > …xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx: [1]
                                                                                                    ^
        a single value is wanted here; found a list
        fix: write one value here

    5 errors, 1 warning in profiles/x.yaml
    "##);
    for line in shown.lines() {
        assert!(line.chars().count() <= 100, "{line}");
        assert!(!line.chars().any(char::is_control), "{line:?}");
    }
    // the caret stands below the value it means
    let lines: Vec<&str> = shown.lines().collect();
    let caret = lines.iter().position(|line| line.trim() == "^").expect("a caret");
    let column = lines[caret].chars().count() - 1;
    assert_eq!(lines[caret - 1].chars().nth(column), Some('x'));
    assert_eq!(lines[caret - 1].chars().nth(column - 1), Some('['));
}

#[test]
fn quoted_values_are_cut_and_made_harmless() {
    assert_eq!(quoted("110 V"), "\"110 V\"");
    assert_eq!(quoted("a\nb\u{1b}[0m\u{202e}"), "\"a\\nb\\u{1b}[0m\\u{202e}\"");
    assert_eq!(quoted(&"µ".repeat(40)), format!("\"{}\"", "µ".repeat(40)));
    assert_eq!(quoted(&"µ".repeat(41)), format!("\"{}…\"", "µ".repeat(40)));
}
