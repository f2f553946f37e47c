//! C1, L1, R1: the drawing of a supply, the table of readings and that of limits call a part alike, and of what no profile
//! states the drawing says that it is assumed.

use crate::harness::{printed, shipped, stem};
use mainsfit::profile::{self, Document};
use mainsfit::report::drawing::supply;
use mainsfit::study::{Request, SupplyElement, SupplySketch, solve};

/// Every element, those of a doubler first, those of a second supply last.
fn elements(sketch: &SupplySketch) -> Vec<&SupplyElement> {
    let second = sketch.second.iter().flat_map(|s| &s.supply.elements);
    sketch.doubler.iter().chain(&sketch.elements).chain(second).collect()
}

#[test]
fn a_part_has_one_name() {
    for path in shipped() {
        let set = stem(&path);
        let document = Document::parse(&path, &std::fs::read(&path).unwrap()).unwrap();
        let profile = profile::read(&document).unwrap().0;
        let solved = solve(&profile, &Request::default(), Vec::new()).unwrap();
        let with = solved.with_part(0).unwrap();
        let usual = &solved.plan.choices[0].day.as_ref().unwrap().usual;
        let (mut c, mut l, mut r) = (0, 0, 0);
        let mut names: Vec<String> = with.supply.surge_parts.clone();
        let mut by_rule = 0;
        for element in elements(&with.supply) {
            let (part, assumed) = match element {
                SupplyElement::Capacitor { part, positive_v, negative_v, .. } => {
                    let read = &usual.capacitors[c];
                    assert_eq!(part, &read.part, "{set}");
                    assert!((positive_v - negative_v - read.volts_v).abs() < 0.5, "{set}: {part}");
                    c += 1;
                    assert_eq!(part, &format!("C{c}"), "{set}");
                    (part, false)
                }
                SupplyElement::Coil { part, assumed, drop_v, .. } => {
                    let read = &usual.coils[l];
                    assert_eq!(part, &read.part, "{set}");
                    assert!((drop_v - read.drop_v).abs() < 0.5, "{set}: {part}");
                    l += 1;
                    assert_eq!(part, &format!("L{l}"), "{set}");
                    (part, *assumed)
                }
                SupplyElement::Resistor { part, assumed, drop_v, .. } => {
                    let read = &usual.filter_resistors[r];
                    assert_eq!(part, &read.part, "{set}");
                    assert!((drop_v - read.drop_v).abs() < 0.5, "{set}: {part}");
                    r += 1;
                    (part, *assumed)
                }
            };
            by_rule += usize::from(assumed);
            names.push(part.clone());
        }
        let own = profile.filter.len();
        let second = profile.second_supply.as_ref().map_or(0, |s| s.filter.len());
        let doubler = with.supply.doubler.len();
        assert_eq!(names.len() - with.supply.surge_parts.len() - by_rule, own + second + doubler);
        // those in plate leads are among the drawing's already
        let droppers = usual.droppers.iter().filter(|d| !d.name.starts_with("surge"));
        names.extend(droppers.filter_map(|d| d.part.clone()));
        let mut sorted = names.clone();
        sorted.sort();
        sorted.dedup();
        assert_eq!(sorted.len(), names.len(), "{set}: {names:?}");
        let drawn = supply(&with.supply, "x");
        let all = (1..=c).map(|i| format!("C{i}")).chain((1..=l).map(|i| format!("L{i}")));
        for part in all {
            assert!(
                drawn.svg.contains(&part) && drawn.description.contains(&part),
                "{set}: {part}"
            );
        }
        assert_eq!(drawn.svg.contains(", assumed"), by_rule > 0, "{set}");
        // what is measured at a part carries its name
        for point in &with.checkpoints {
            let at = ["filter capacitor", "coil", "choke", "filter resistor"];
            let named = at.iter().any(|word| point.label.contains(word));
            assert!(!named || point.part.is_some(), "{set}: {}", point.label);
        }
        for limit in &usual.limits {
            let capacitor = limit.name.contains("capacitor") && limit.name.contains("at work");
            assert!(!capacitor || limit.part.as_ref().is_some_and(|p| p.starts_with('C')), "{set}");
        }
    }
}

/// Behind a doubler no one capacitor stands from the filter's beginning to chassis: that point has the doubler's name, and C1 is
/// what lies across its first capacitor.
#[test]
fn behind_a_doubler_the_filter_begins_at_its_output() {
    for set in ["doubler-full-wave", "doubler-half-wave"] {
        let path = format!("tests/data/verdicts/{set}.yaml");
        let sheet = printed(&["power-up", &path]);
        for words in [
            "voltage doubler's output to chassis ",
            "across the first filter capacitor (C1) ",
            "filter resistor (R2), part 1 of the filter ",
            "HV winding (T1), end to end ",
        ] {
            assert!(sheet.contains(words), "{set}: no {words:?} in {sheet}");
        }
        let plan = printed(&["plan", &path, "--full"]);
        assert!(plan.contains("voltage doubler, output "), "{set}: {plan}");
        for text in [sheet, plan] {
            assert!(!text.contains("+ side") && !text.contains("capacitor's +"), "{set}: {text}");
        }
    }
    // without one the capacitor's + side is the point
    let sheet = printed(&["power-up", "profiles/console-1936.yaml"]);
    for words in [
        "across the field coil (L1); HV center tap to chassis ",
        "B+, the first filter capacitor's + (C1), to chassis ",
        "HV winding (T1), plate to plate ",
    ] {
        assert!(sheet.contains(words), "no {words:?} in {sheet}");
    }
}
