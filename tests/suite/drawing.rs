//! Drawings: well-formed, nothing on top of anything else, and wired as the circuit is.

use crate::drawing_geometry::{Read, read};
use crate::harness::{shipped, stem};
use mainsfit::profile::{self, Document, Profile};
use mainsfit::quantity::{Current, Quantity, Voltage, show};
use mainsfit::report::drawing::{Drawing, mains_side, supply};
use mainsfit::study::{
    Choice, DividerPoint, DividerSketch, Plan, Request, SupplyElement, SupplySketch, plan,
};
use std::sync::OnceLock;

fn profile_of(path: &str) -> Profile {
    let document = Document::parse(path, &std::fs::read(path).unwrap()).unwrap();
    profile::read(&document).unwrap().0
}

/// Plans of the shipped profiles by name, made once.
fn plans() -> &'static [(String, Plan)] {
    static PLANS: OnceLock<Vec<(String, Plan)>> = OnceLock::new();
    PLANS.get_or_init(|| {
        shipped()
            .iter()
            .map(|path| {
                let plan = plan(&profile_of(path), &Request::default(), Vec::new()).unwrap();
                (stem(path), plan)
            })
            .collect()
    })
}

fn with_day(plan: &Plan) -> impl Iterator<Item = &Choice> {
    plan.choices.iter().filter(|c| c.day.is_some())
}

/// Leaves the drawing under the build folder, for the eye.
fn keep(name: &str, drawing: &Drawing) {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("drawings");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(format!("{name}.svg")), &drawing.svg).unwrap();
}

/// What holds for every drawing.
fn checked(name: &str, drawing: &Drawing) -> Read {
    keep(name, drawing);
    let document = roxmltree::Document::parse(&drawing.svg).unwrap();
    let root = document.root_element();
    assert!(root.has_tag_name(("http://www.w3.org/2000/svg", "svg")));
    assert_eq!(root.attribute("role"), Some("img"));
    let mut ids: Vec<&str> = document
        .descendants()
        .filter_map(|n| n.attribute("id"))
        .collect();
    let labelled: Vec<&str> = root
        .attribute("aria-labelledby")
        .unwrap()
        .split(' ')
        .collect();
    assert_eq!(ids, labelled, "{name}");
    ids.dedup();
    assert_eq!(ids.len(), 2);
    for tag in ["title", "desc"] {
        let node = root
            .children()
            .find(|n| n.tag_name().name() == tag)
            .unwrap();
        assert!(node.text().is_some_and(|t| t.len() > 5), "{name}: {tag}");
    }
    let read = read(&drawing.svg);
    assert!(read.view.0 == 720.0 && read.view.1 > 100.0);
    let problems: Vec<String> = [read.clashes(), read.wiring_faults()].concat();
    assert!(problems.is_empty(), "{name}:\n{}", problems.join("\n"));
    read
}

fn assert_says(name: &str, read: &Read, wanted: &[String]) {
    let all = read.outline.join("\n");
    for text in wanted {
        assert!(all.contains(text.as_str()), "{name} lacks {text:?}:\n{all}");
    }
}

#[test]
fn mains_drawings_show_their_values() {
    let v = |x: f64| show(Voltage::from_si(x));
    for (set, plan) in plans() {
        assert!(with_day(plan).count() >= 4, "{set}");
        let mut outlines = String::new();
        for choice in with_day(plan) {
            let name = format!("mains-{set}-{}", choice.id);
            let drawing = mains_side(plan, choice, &name);
            let read = checked(&name, &drawing);
            let usual = &choice.day.as_ref().unwrap().usual;
            let mut wanted = vec![v(usual.outlet_v), v(usual.set_v)];
            wanted.push(show(Current::from_si(usual.line_a)));
            wanted.extend(usual.lead_parts.iter().map(|p| v(p.volts_v)));
            let fuse = choice.fuse.as_ref().unwrap();
            let amps = if choice.id == "as-is" {
                fuse.present_a
            } else {
                fuse.rating_a
            };
            wanted.extend(amps.map(|a| format!("{a} A")));
            assert_says(&name, &read, &wanted);
            assert!(drawing.description.contains(&v(usual.set_v)), "{name}");
            outlines.push_str(&format!("# {}\n{}\n\n", choice.id, read.outline.join("\n")));
        }
        snap!(format!("drawing_mains_{set}"), outlines);
    }
}

#[test]
fn the_fuse_stands_first_in_the_live_lead() {
    for (set, plan) in plans() {
        for choice in with_day(plan) {
            let read = read(&mains_side(plan, choice, "x").svg);
            let fuse = read.symbols.iter().find(|s| s.name == "fuse");
            let switch = read.symbol("switch", 0);
            let found = choice.fuse.as_ref().unwrap().present_a;
            assert_eq!(
                fuse.is_some(),
                choice.id != "as-is" || found.is_some(),
                "{set}"
            );
            let ahead = fuse.map_or("live", |fuse| {
                assert_eq!(read.net_at(fuse.pins[0]), "live");
                read.net_at(fuse.pins[1])
            });
            assert_eq!(read.net_at(switch.pins[0]), ahead);
            assert_eq!(read.net_at(switch.pins[1]), "switched live");
            assert_eq!(read.net_at(read.symbol("plug pin", 0).pins[0]), "live");
            let primary = read.symbol("primary", 0);
            assert_eq!(read.net_at(primary.pins[1]), "neutral");
        }
    }
}

#[test]
fn a_part_lies_between_switch_and_set() {
    let cases = [
        ("series-resistor", "resistor"),
        ("lamp", "lamp"),
        ("thermistor", "thermistor"),
    ];
    let (_, plan) = &plans()[0];
    let template = plan.choices.iter().find(|c| c.id == "as-is").unwrap();
    for (id, name) in cases {
        let choice = Choice {
            id: id.to_owned(),
            ..template.clone()
        };
        let read = checked(&format!("form-{id}"), &mains_side(plan, &choice, "x"));
        let part = read.symbol(name, 0);
        let nets = (read.net_at(part.pins[0]), read.net_at(part.pins[1]));
        assert_eq!(nets, ("switched live", "set live"), "{id}");
        assert_eq!(read.net_at(read.symbol("primary", 0).pins[0]), "set live");
    }
}

#[test]
fn the_set_hangs_on_the_tap_that_is_named() {
    let (_, plan) = &plans()[0];
    let template = plan.choices.iter().find(|c| c.id == "as-is").unwrap();
    let design = plan.set.design_line_v;
    for (wanted, pin, free) in [(design + 10.0, 0, 2), (design - 10.0, 2, 0)] {
        let choice = Choice {
            id: "tap".to_owned(),
            title: "Another primary tap".to_owned(),
            part: Some(format!("move the primary to its {wanted} V tap")),
            part_value: Some(wanted),
            ..template.clone()
        };
        let read = checked(
            &format!("form-tap-{wanted}"),
            &mains_side(plan, &choice, "x"),
        );
        let pins = read.symbol("primary", 0).pins;
        assert_eq!(read.net_at(pins[pin]), "switched live");
        assert_eq!(read.net_at(pins[1]), "neutral");
        let end = read.symbol("terminal", 0).pins[0];
        let loose = end == pins[free] || read.net_at(end) == "free tap";
        assert!(loose, "the other tap stays free");
        assert_says(
            "tap",
            &read,
            &[
                format!("{wanted} V tap"),
                format!("{design} V tap, left free"),
            ],
        );
    }
}

#[test]
fn a_variac_that_raises_is_fed_below_its_slider() {
    let (_, plan) = &plans()[0];
    let template = plan.choices.iter().find(|c| c.id == "variac").unwrap();
    for raises in [false, true] {
        let mut choice = template.clone();
        let usual = &mut choice.day.as_mut().unwrap().usual;
        usual.set_v = usual.outlet_v * if raises { 1.1 } else { 0.9 };
        let read = checked(
            &format!("form-variac-{raises}"),
            &mains_side(plan, &choice, "x"),
        );
        let pins = read.symbol("autotransformer", 0).pins;
        let at = |net: &str| -> f64 {
            pins.iter()
                .filter(|p| p.1 < pins[1].1)
                .find(|p| read.wires.iter().any(|(n, c)| n == net && c.contains(p)))
                .unwrap()
                .1
        };
        // y grows downwards and neutral is at the foot
        assert_eq!(at("set live") < at("switched live"), raises);
    }
}

/// Volts of a net over those of the outlet, neutral being nought, with `set` for the set's.
fn potential(net: &str, set: f64) -> f64 {
    match net {
        "switched live" => 1.0,
        "set live" => set,
        "neutral" => 0.0,
        other => panic!("{other}"),
    }
}

/// Of an ideal transformer the volts from dotted to plain end stand in the ratio of the turns, with one sign (IEC
/// 60617 and every textbook). So the set's volts follow from the drawing alone, and must be `1 - n` and `1/(1 + n)`.
#[test]
fn bucking_windings_oppose() {
    const N: f64 = 0.05;
    let (_, plan) = &plans()[0];
    let cases = [
        ("bucking-outlet", 1.0 - N),
        ("bucking-set", 1.0 / (1.0 + N)),
    ];
    for (id, expected) in cases {
        let template = plan.choices.iter().find(|c| c.id == "as-is").unwrap();
        let found = plan.choices.iter().find(|c| c.id == id).unwrap_or(template);
        let choice = Choice {
            id: id.to_owned(),
            ..found.clone()
        };
        let read = read(&mains_side(plan, &choice, "x").svg);
        let (from, to) = read.dotted("bucking secondary");
        let (start, end) = read.dotted("bucking primary");
        // secondary = N primary, linear in the set's volts: its root by two values
        let miss = |set: f64| {
            let v = |net| potential(net, set);
            (v(from) - v(to)) - N * (v(start) - v(end))
        };
        let set = miss(0.0) / (miss(0.0) - miss(1.0));
        assert!((set - expected).abs() < 1e-12, "{id}: {set}");
        let primary = read.symbol("primary", 0);
        assert_eq!(read.net_at(primary.pins[0]), "set live", "{id}");
    }
}

fn capacitor(farads: f64, rated: f64, positive_v: f64, negative_v: f64) -> SupplyElement {
    SupplyElement::Capacitor {
        farads,
        rated_v: Some(rated),
        positive_v,
        negative_v,
    }
}

fn coil(name: &str, in_negative_lead: bool, ohms: f64, drop_v: f64) -> SupplyElement {
    SupplyElement::Coil {
        name: name.to_owned(),
        is_field: name == "field coil",
        in_negative_lead,
        ohms,
        henries: 12.0,
        drop_v,
        current_a: drop_v / ohms,
    }
}

fn resistor(ohms: f64, drop_v: f64) -> SupplyElement {
    SupplyElement::Resistor {
        in_negative_lead: false,
        ohms,
        drop_v,
    }
}

fn divider(name: &str, from: (&str, f64), ohms: &[f64], taps: &[&str]) -> DividerSketch {
    let all: f64 = ohms.iter().sum();
    let mut above = 0.0;
    let points = ohms[..ohms.len() - 1]
        .iter()
        .enumerate()
        .map(|(i, r)| {
            above += r;
            DividerPoint {
                tap: taps
                    .get(i)
                    .filter(|t| !t.is_empty())
                    .map(|t| (*t).to_owned()),
                volts_v: from.1 * (1.0 - above / all),
            }
        })
        .collect();
    DividerSketch {
        name: name.to_owned(),
        from: from.0.to_owned(),
        from_v: from.1,
        to: "chassis".to_owned(),
        to_v: 0.0,
        resistors: ohms.to_vec(),
        points,
    }
}

/// Figures are made up, about as in the shipped profiles.
fn sketch(
    rectifier: &str,
    elements: Vec<SupplyElement>,
    dividers: Vec<DividerSketch>,
) -> SupplySketch {
    let below = |e: &SupplyElement| match e {
        SupplyElement::Coil {
            in_negative_lead: true,
            drop_v,
            ..
        } => -drop_v,
        _ => 0.0,
    };
    let in_positive = |e: &SupplyElement| match e {
        SupplyElement::Coil {
            in_negative_lead: false,
            drop_v,
            ..
        }
        | SupplyElement::Resistor {
            in_negative_lead: false,
            drop_v,
            ..
        } => *drop_v,
        _ => 0.0,
    };
    let b_plus_v = elements.iter().rev().find_map(|e| match e {
        SupplyElement::Capacitor { positive_v, .. } => Some(*positive_v),
        _ => None,
    });
    let b_plus_v = b_plus_v.unwrap();
    SupplySketch {
        outlet_v: 123.0,
        half_v: 352.0,
        rectifier: rectifier.to_owned(),
        heated_directly: true,
        dc_a: 0.0686,
        cathode_v: b_plus_v + elements.iter().map(in_positive).sum::<f64>(),
        centre_v: elements.iter().map(below).sum(),
        b_plus_v,
        elements,
        dividers,
    }
}

fn console() -> SupplySketch {
    sketch(
        "80",
        vec![
            capacitor(8e-6, 525.0, 271.3, -80.7),
            coil("field coil", true, 1176.0, 80.7),
            capacitor(16e-6, 450.0, 271.3, 0.0),
        ],
        vec![
            divider(
                "bias",
                ("field_coil", -80.7),
                &[270e3, 75e3, 13e3],
                &["output", "rf"],
            ),
            divider("bleeder", ("B+", 271.3), &[15e3, 18e3], &["screens"]),
        ],
    )
}

fn supplies() -> Vec<(&'static str, SupplySketch)> {
    let long = [22e3, 15e3, 10e3, 6.8e3, 4.7e3, 3.3e3, 2.2e3, 1e3];
    vec![
        ("console", console()),
        (
            "choke",
            sketch(
                "6X4",
                vec![
                    capacitor(10e-6, 450.0, 301.2, 0.0),
                    coil("choke", false, 455.0, 29.9),
                    capacitor(20e-6, 400.0, 271.3, 0.0),
                ],
                vec![],
            ),
        ),
        (
            "two-chokes",
            sketch(
                "5U4-G",
                vec![
                    coil("first choke", false, 120.0, 8.2),
                    capacitor(4e-6, 600.0, 281.2, -61.0),
                    coil("choke", false, 210.0, 9.9),
                    capacitor(16e-6, 600.0, 271.3, -61.0),
                    coil("field coil", true, 890.0, 61.0),
                    capacitor(16e-6, 450.0, 271.3, 0.0),
                    resistor(1e3, 4.4),
                    capacitor(8e-6, 450.0, 266.9, 0.0),
                ],
                vec![
                    divider("a", ("B+", 266.9), &long, &["", "one", "", "two", "three"]),
                    divider("b", ("field_coil", -61.0), &[47e3, 220e3], &["output"]),
                    divider("c", ("reservoir", 281.2), &[1.2e6], &[]),
                    divider(
                        "d",
                        ("a.two", 91.1),
                        &[33e3, 47e3, 68e3],
                        &["", "oscillator"],
                    ),
                ],
            ),
        ),
        (
            "resistor",
            sketch(
                "5Y3-GT",
                vec![
                    capacitor(10e-6, 450.0, 301.0, 0.0),
                    resistor(1e3, 29.7),
                    capacitor(10e-6, 450.0, 271.3, 0.0),
                ],
                vec![divider(
                    "bleeder",
                    ("B+", 271.3),
                    &[22e3, 22e3],
                    &["screens"],
                )],
            ),
        ),
    ]
}

#[test]
fn supply_drawings_show_every_node() {
    for (name, sketch) in supplies() {
        let drawing = supply(&sketch, name);
        let read = checked(&format!("supply-{name}"), &drawing);
        let v = |x: f64| {
            let digits = if x.abs() < 10.0 { 2 } else { 1 };
            let text = if x == 0.0 {
                "0 V".to_owned()
            } else if x.abs() < 100.0 {
                format!("{x:.digits$} V")
            } else {
                format!("{x:.0} V")
            };
            text.replace('-', "−")
        };
        let mut wanted = vec![v(sketch.cathode_v), v(sketch.centre_v), v(sketch.b_plus_v)];
        for element in &sketch.elements {
            match element {
                SupplyElement::Capacitor {
                    positive_v,
                    negative_v,
                    ..
                } => wanted.extend([v(*positive_v), v(*negative_v)]),
                SupplyElement::Coil { ohms, drop_v, .. } => {
                    wanted.extend([format!("{ohms:.0} Ω"), format!("{} drop", v(*drop_v))]);
                }
                SupplyElement::Resistor { drop_v, .. } => {
                    wanted.push(format!("{} drop", v(*drop_v)))
                }
            }
        }
        for d in &sketch.dividers {
            wanted.push(v(d.from_v));
            wanted.extend(d.points.iter().map(|p| v(p.volts_v)));
            wanted.extend(d.points.iter().filter_map(|p| p.tap.clone()));
        }
        assert_says(name, &read, &wanted);
        snap!(format!("drawing_supply_{name}"), read.outline.join("\n"));
    }
}

#[test]
fn a_field_coil_in_the_negative_lead_puts_the_chassis_on_its_b_side() {
    let read = read(&supply(&console(), "x").svg);
    let coil = read.symbol("field coil", 0);
    assert_eq!(read.net_at(coil.pins[0]), "negative0");
    assert_eq!(read.net_at(coil.pins[1]), "negative1");
    let winding = read.symbol("high-voltage winding", 0);
    assert_eq!(read.net_at(winding.pins[2]), "negative0");
    assert_eq!(read.net_at(read.symbol("chassis", 0).pins[0]), "negative1");
    for (nth, net) in [(0, "negative0"), (1, "negative1")] {
        let pins = read.symbol("capacitor", nth).pins;
        assert_eq!(read.net_at(pins[0]), "positive0");
        assert_eq!(read.net_at(pins[1]), net);
    }
    let tube = read.symbol("rectifier with filament", 0);
    let nets: Vec<&str> = tube.pins.iter().map(|p| read.net_at(*p)).collect();
    assert_eq!(nets, ["plate 1", "plate 2", "positive0", "filament"]);
    assert_eq!(read.net_at(winding.pins[0]), "plate 1");
    assert_eq!(read.net_at(winding.pins[1]), "plate 2");
}

#[test]
fn hostile_names_stay_in_their_places() {
    let names = [
        "W".repeat(120),
        "📻".repeat(60),
        "</text><script>&\"'".repeat(6),
        "\u{202e}שלום עולם\u{0}\u{7} \u{2069}".repeat(6),
        "真空管ラジオ".repeat(20),
    ];
    let (_, plan) = &plans()[0];
    for (i, name) in names.iter().enumerate() {
        let mut plan = plan.clone();
        plan.set.name = name.clone();
        for choice in plan.choices.clone().iter_mut().filter(|c| c.day.is_some()) {
            choice.part = Some(name.clone());
            checked(
                &format!("hostile-{i}-{}", choice.id),
                &mains_side(&plan, choice, name),
            );
        }
        let mut sketch = console();
        sketch.rectifier = name.clone();
        for d in &mut sketch.dividers {
            d.name = name.clone();
            d.from = name.clone();
            d.to = name.clone();
            for p in &mut d.points {
                p.tap = Some(name.clone());
            }
        }
        if let Some(SupplyElement::Coil { name: coil, .. }) = sketch.elements.get_mut(1) {
            *coil = name.clone();
        }
        checked(&format!("hostile-{i}-supply"), &supply(&sketch, "x"));
    }
}
