//! Drawings of the mains side: well-formed, nothing on top of anything else, and wired as the circuit is.

use crate::drawing_geometry::{Read, read};
use crate::drawing_supply::console;
use crate::harness::{shipped, stem};
use mainsfit::adaptation::{Bought, Method};
use mainsfit::profile::{self, Document, Profile};
use mainsfit::quantity::{Current, Quantity, Voltage, show};
use mainsfit::report::drawing::{Drawing, mains_side, supply};
use mainsfit::study::{Choice, Plan, Request, SupplyElement, plan};
use std::sync::OnceLock;

fn profile_of(path: &str) -> Profile {
    let document = Document::parse(path, &std::fs::read(path).unwrap()).unwrap();
    profile::read(&document).unwrap().0
}

/// Plans of the shipped profiles by name, made once.
pub fn plans() -> &'static [(String, Plan)] {
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

pub fn with_day(plan: &Plan) -> impl Iterator<Item = &Choice> {
    plan.choices.iter().filter(|c| c.day.is_some())
}

/// Leaves the drawing under the build folder, for the eye.
fn keep(name: &str, drawing: &Drawing) {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("drawings");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(format!("{name}.svg")), &drawing.svg).unwrap();
}

/// What holds for every drawing.
pub fn checked(name: &str, drawing: &Drawing) -> Read {
    keep(name, drawing);
    let document = roxmltree::Document::parse(&drawing.svg).unwrap();
    let root = document.root_element();
    assert!(root.has_tag_name(("http://www.w3.org/2000/svg", "svg")));
    assert_eq!(root.attribute("role"), Some("img"));
    let mut ids: Vec<&str> = document.descendants().filter_map(|n| n.attribute("id")).collect();
    let labelled: Vec<&str> = root.attribute("aria-labelledby").unwrap().split(' ').collect();
    assert_eq!(ids, labelled, "{name}");
    ids.dedup();
    assert_eq!(ids.len(), 2);
    for tag in ["title", "desc"] {
        let node = root.children().find(|n| n.tag_name().name() == tag).unwrap();
        assert!(node.text().is_some_and(|t| t.len() > 5), "{name}: {tag}");
    }
    let read = read(&drawing.svg);
    // with nothing in the part's place the drawing is narrower
    assert!([648.0, 416.0].contains(&read.view.0) && read.view.1 > 100.0);
    let problems: Vec<String> = [read.clashes(), read.wiring_faults()].concat();
    assert!(problems.is_empty(), "{name}:\n{}", problems.join("\n"));
    read
}

pub fn assert_says(name: &str, read: &Read, wanted: &[String]) {
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
            let name = format!("mains-{set}-{}", choice.method);
            let drawing = mains_side(plan, choice, &name);
            let read = checked(&name, &drawing);
            let usual = &choice.day.as_ref().unwrap().usual;
            let mut wanted = vec![v(usual.outlet_v), v(usual.set_v)];
            wanted.push(show(Current::from_si(usual.line_a)));
            wanted.extend(usual.lead_parts.iter().map(|p| v(p.volts_v)));
            let amps = match choice.method {
                Method::AsIs => plan.set.fuse_a,
                _ => choice.fuse.as_ref().unwrap().rating_a,
            };
            wanted.extend(amps.map(|a| format!("{a} A")));
            assert_says(&name, &read, &wanted);
            assert!(drawing.description.contains(&v(usual.set_v)), "{name}");
            let part = choice.part.as_ref().map_or(String::new(), ToString::to_string);
            let whole = read.outline.join(" ");
            assert!(whole.contains(&part), "{name}: cut short in {whole}");
            outlines.push_str(&format!("# {}\n{}\n\n", choice.method, read.outline.join("\n")));
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
            let found = plan.set.fuse_a;
            assert_eq!(fuse.is_some(), choice.method != Method::AsIs || found.is_some(), "{set}");
            let ahead = fuse.map_or("live", |fuse| {
                assert_eq!(read.net_at(fuse.pins[0]), "live");
                read.net_at(fuse.pins[1])
            });
            let switches = read.symbols.iter().filter(|s| s.name == "switch");
            // no profile states one: as found there is none
            assert_eq!(switches.count(), usize::from(choice.method != Method::AsIs), "{set}");
            if choice.method != Method::AsIs {
                let switch = read.symbol("switch", 0);
                assert_eq!(read.net_at(switch.pins[0]), ahead);
                assert_eq!(read.net_at(switch.pins[1]), "switched live");
            }
            assert_eq!(read.net_at(read.symbol("plug pin", 0).pins[0]), "live");
            if on_the_line(plan) {
                let heaters = read
                    .symbols
                    .iter()
                    .rfind(|s| s.name == "heater branch" || s.name == "heater string");
                assert_eq!(read.net_at(heaters.unwrap().pins[1]), "neutral");
            } else {
                let primary = read.symbol("primary", 0);
                assert_eq!(read.net_at(primary.pins[1]), "neutral");
            }
        }
    }
}

pub fn on_the_line(plan: &Plan) -> bool {
    plan.as_designed.heaters.iter().any(|h| h.in_string)
}

/// The node behind fuse and switch, as far as they are drawn.
fn fed(read: &Read) -> usize {
    let has = |name: &str| read.symbols.iter().any(|s| s.name == name);
    match (has("switch"), has("fuse")) {
        (true, _) => nodes(read, "switch", 0)[1],
        (false, true) => nodes(read, "fuse", 0)[1],
        (false, false) => nodes(read, "plug pin", 0)[0],
    }
}

/// Nodes of a symbol's pins, from touching wires alone.
pub fn nodes(read: &Read, name: &str, nth: usize) -> Vec<usize> {
    let pins = read.symbol(name, nth).pins;
    pins.iter().map(|p| read.node_at(*p)).collect()
}

/// Without a transformer the heaters with their dropper lie across the line, and so does the supply, of which the
/// chassis is a part.
#[test]
fn heater_string_and_supply_lie_across_the_line() {
    let mut seen = 0;
    for (set, plan) in plans().iter().filter(|(_, plan)| on_the_line(plan)) {
        for choice in with_day(plan) {
            seen += 1;
            let name = format!("string-{set}-{}", choice.method);
            let drawing = mains_side(plan, choice, "x");
            let read = checked(&name, &drawing);
            assert!(read.symbols.iter().all(|s| s.name != "primary"), "{name}");
            let usual = &choice.day.as_ref().unwrap().usual;
            let neutral = nodes(&read, "plug pin", 1)[0];
            let has = |part: &str| usual.droppers.iter().any(|d| d.name.starts_with(part));
            let tapped = usual.heaters[0].winding.ends_with("-tap");
            let live = match choice.method.facts().id {
                "as-is" | "heater-dropper" => fed(&read),
                "series-resistor" => nodes(&read, "resistor", 0)[1],
                "lamp" => nodes(&read, "lamp", 0)[1],
                "thermistor" => nodes(&read, "thermistor", 0)[1],
                "variac" => *nodes(&read, "autotransformer", 0).last().unwrap(),
                _ => nodes(&read, "bucking secondary", 0)[1],
            };
            // from the hot wire: the tapped part, the dropper, the heaters
            let mut at = live;
            let mut link = |symbol: &str, nth: usize| {
                let ends = nodes(&read, symbol, nth);
                assert_eq!(ends[0], at, "{name}: {symbol}");
                at = ends[1];
                at
            };
            let lamps = read.symbols.iter().filter(|s| s.name == "lamp").count();
            let lamp = || nodes(&read, "lamp", lamps - 1);
            let feed = if tapped { link("heater string", 0) } else { live };
            if tapped {
                assert_eq!(lamp(), nodes(&read, "heater string", 0), "{name}");
            }
            let surge = has("surge resistor");
            let own = usize::from(choice.method == Method::SeriesResistor);
            let mut resistors = own + usize::from(surge);
            for dropper in &usual.droppers {
                match dropper.name.split(' ').next().unwrap() {
                    "surge" => {}
                    word @ ("ballast" | "barretter") => _ = link(word, 0),
                    _ => {
                        link("resistor", resistors);
                        resistors += 1;
                    }
                }
            }
            // the section of the ballast that a lamp lies across
            if has("ballast") && usual.heaters.iter().any(|h| h.winding.starts_with('#')) {
                link("resistor", resistors);
                assert_eq!(lamp(), nodes(&read, "resistor", resistors), "{name}");
            }
            let end = link("heater string", usize::from(tapped));
            let branches = usual.heaters.iter().filter_map(|h| h.branch.as_deref());
            let branches = branches.collect::<std::collections::BTreeSet<_>>();
            for nth in 0..branches.len() {
                assert_eq!(nodes(&read, "heater branch", nth), [end, neutral], "{name}");
            }
            assert_eq!(end == neutral, branches.is_empty(), "{name}");
            let supply = nodes(&read, "supply", 0);
            let fed = if surge {
                let ends = nodes(&read, "resistor", own);
                assert_eq!(ends[0], feed, "{name}");
                ends[1]
            } else {
                feed
            };
            assert_eq!(supply[..2], [fed, neutral], "{name}");
            assert_eq!(nodes(&read, "chassis", 0)[0], supply[2], "{name}");
            assert!(![fed, neutral, live].contains(&supply[2]), "{name}");
            assert_says(&name, &read, &["chassis LIVE".to_owned()]);
            assert!(read.symbols.iter().any(|s| s.name == "warning"), "{name}");
            let said = &drawing.description;
            assert!(said.contains("it is live") && !said.contains("primary of"), "{name}");
            // one current, all but resistive: the volts written along the string are those at the set, but for the
            // tapped part, which carries the plate current as well
            // of heaters side by side those of the first branch, which has no resistor of its own
            let first = branches.first().copied();
            let in_series = |h: &&mainsfit::study::HeaterReading| h.branch.is_none();
            let of_first =
                usual.heaters.iter().filter(|h| first.is_some() && h.branch.as_deref() == first);
            let branch: f64 = of_first.map(|h| h.volts_v).sum();
            let heaters: f64 = usual.heaters.iter().filter(in_series).map(|h| h.volts_v).sum();
            let barretter = |name: &str| name.starts_with("barretter");
            // a barretter stands among both
            let dropper = usual
                .droppers
                .iter()
                .filter(|d| !d.name.starts_with("surge") && !barretter(&d.name));
            let sum = heaters + branch + dropper.map(|d| d.volts_v).sum::<f64>();
            assert!((sum / usual.set_v - 1.0).abs() < 0.01, "{name}: {sum}");
            let beside = has("ballast");
            let apart = |h: &&mainsfit::study::HeaterReading| {
                let lamp = beside && h.winding.starts_with('#');
                h.winding.ends_with("-tap") || barretter(&h.winding) || lamp
            };
            let block =
                heaters - usual.heaters.iter().filter(apart).map(|h| h.volts_v).sum::<f64>();
            assert_says(&name, &read, &[show(Voltage::from_si(block))]);
            if first.is_some() {
                assert_says(&name, &read, &["branches".to_owned(), show(Voltage::from_si(branch))]);
            }
        }
    }
    assert!(seen >= 8, "{seen}");
}

/// The plan of a set with an autotransformer.
pub fn of_autotransformer() -> Plan {
    let path = "profiles/table-1948.yaml";
    let text = std::fs::read_to_string(path).unwrap();
    let text = text.replacen("transformer:", "transformer:\n  kind: autotransformer", 1);
    let document = Document::parse(path, text.as_bytes()).unwrap();
    let profile = profile::read(&document).unwrap().0;
    plan(&profile, &Request::default(), Vec::new()).unwrap()
}

#[test]
fn an_autotransformer_is_one_winding_with_the_chassis_on_its_common_end() {
    let plan = of_autotransformer();
    for choice in with_day(&plan) {
        let name = format!("auto-{}", choice.method);
        let read = checked(&name, &mains_side(&plan, choice, "x"));
        let winding = nodes(&read, "tapped winding", 0);
        let neutral = nodes(&read, "plug pin", 1)[0];
        assert_eq!(winding[1], neutral, "{name}");
        assert_eq!(nodes(&read, "chassis", 0)[0], neutral, "{name}");
        if choice.method == Method::AsIs {
            assert_eq!(winding[2], fed(&read), "{name}");
        }
        let mut apart = winding.clone();
        apart.sort_unstable();
        apart.dedup();
        assert_eq!(apart.len(), 4, "{name}");
        assert_says(&name, &read, &["chassis LIVE".to_owned()]);
    }
}

/// Two windings: one between the switched hot wire and neutral, one with the set alone on it, and no wire from side to side.
#[test]
fn a_step_transformer_stands_between_outlet_and_set() {
    let (_, plan) = &plans()[0];
    let template = plan.choices.iter().find(|c| c.method == Method::AsIs).unwrap();
    for (method, part) in
        [(Method::StepDown, "230 V to 115 V, 100 VA"), (Method::StepUp, "115 V to 230 V, 100 VA")]
    {
        let id = method.facts().id;
        let choice =
            Choice { method, part: Some(Bought::ware(part.to_owned())), ..template.clone() };
        let read = checked(&format!("form-{id}"), &mains_side(plan, &choice, "x"));
        let (first, second) = (nodes(&read, "step primary", 0), nodes(&read, "step secondary", 0));
        let outlet = [nodes(&read, "switch", 0)[1], nodes(&read, "plug pin", 1)[0]];
        assert_eq!(first[..2], outlet, "{id}");
        assert_eq!(second[..2], nodes(&read, "primary", 0)[..2], "{id}");
        assert!(second.iter().all(|node| !first.contains(node)), "{id}");
        assert_says(id, &read, &[part.to_owned(), "primary".to_owned(), "secondary".to_owned()]);
        assert!(read.symbols.iter().filter(|s| s.name == "core").count() > 1, "{id}");
    }
}

#[test]
fn a_part_lies_between_switch_and_set() {
    let cases = [
        (Method::SeriesResistor, "resistor"),
        (Method::Lamp, "lamp"),
        (Method::Thermistor, "thermistor"),
    ];
    let (_, plan) = &plans()[0];
    let template = plan.choices.iter().find(|c| c.method == Method::AsIs).unwrap();
    for (id, name) in cases {
        let choice = Choice { method: id, ..template.clone() };
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
    let template = plan.choices.iter().find(|c| c.method == Method::AsIs).unwrap();
    let design = plan.set.design_line_v;
    for (wanted, pin, free) in [(design + 10.0, 0, 2), (design - 10.0, 2, 0)] {
        let choice = Choice {
            method: Method::Tap,
            part: Some(Bought::ware(format!("move the primary to its {wanted} V tap"))),
            part_value: Some(wanted),
            ..template.clone()
        };
        let read = checked(&format!("form-tap-{wanted}"), &mains_side(plan, &choice, "x"));
        let pins = read.symbol("primary", 0).pins;
        assert_eq!(read.net_at(pins[pin]), "switched live");
        assert_eq!(read.net_at(pins[1]), "neutral");
        let end = read.symbol("terminal", 0).pins[0];
        let loose = end == pins[free] || read.net_at(end) == "free tap";
        assert!(loose, "the other tap stays free");
        assert_says(
            "tap",
            &read,
            &[format!("{wanted} V tap"), format!("{design} V tap, left free")],
        );
    }
}

#[test]
fn a_variac_that_raises_is_fed_below_its_slider() {
    let (_, plan) = &plans()[0];
    let template = plan.choices.iter().find(|c| c.method == Method::Variac).unwrap();
    for raises in [false, true] {
        let mut choice = template.clone();
        let usual = &mut choice.day.as_mut().unwrap().usual;
        usual.set_v = usual.outlet_v * if raises { 1.1 } else { 0.9 };
        let read = checked(&format!("form-variac-{raises}"), &mains_side(plan, &choice, "x"));
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
/// 60617 and every textbook). So the set's volts follow from the drawing alone, and must be `1 - n` and `1/(1 + n)`;
/// aiding, `1 + n` and `1/(1 - n)`.
#[test]
fn bucking_windings_oppose_and_boosting_ones_aid() {
    const N: f64 = 0.05;
    let (_, plan) = &plans()[0];
    let cases = [
        (Method::BuckingOutlet, "bucking", 1.0 - N),
        (Method::BuckingSet, "bucking", 1.0 / (1.0 + N)),
        (Method::BoostOutlet, "boosting", 1.0 + N),
        (Method::BoostSet, "boosting", 1.0 / (1.0 - N)),
    ];
    for (id, kind, expected) in cases {
        let template = plan.choices.iter().find(|c| c.method == Method::AsIs).unwrap();
        let found = plan.choices.iter().find(|c| c.method == id).unwrap_or(template);
        let choice = Choice { method: id, ..found.clone() };
        let read = read(&mains_side(plan, &choice, "x").svg);
        let (from, to) = read.dotted(&format!("{kind} secondary"));
        let (start, end) = read.dotted(&format!("{kind} primary"));
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
            choice.part = Some(Bought::ware(name.clone()));
            checked(&format!("hostile-{i}-{}", choice.method), &mains_side(&plan, choice, name));
        }
        let mut sketch = console();
        sketch.rectifier = name.clone();
        for d in &mut sketch.dividers {
            d.name = name.clone();
            d.from = name.clone();
            d.to = name.clone();
            for p in &mut d.points {
                (p.tap, p.own) = (Some(name.clone()), Some(name.clone()));
            }
        }
        if let Some(SupplyElement::Coil { name: coil, .. }) = sketch.elements.get_mut(1) {
            *coil = name.clone();
        }
        checked(&format!("hostile-{i}-supply"), &supply(&sketch, "x"));
    }
}
