//! Drawings of the supply, from sketches made by hand.

use crate::drawing::{assert_says, checked};
use crate::drawing_geometry::read;
use mainsfit::receiver::RectifierCircuit;
use mainsfit::report::drawing::supply;
use mainsfit::study::{DividerPoint, DividerSketch, SecondSketch, SupplyElement, SupplySketch};

pub fn capacitor(farads: f64, rated: f64, positive_v: f64, negative_v: f64) -> SupplyElement {
    let part = "C9".to_owned();
    SupplyElement::Capacitor { part, farads, rated_v: Some(rated), positive_v, negative_v }
}

pub fn coil(name: &str, in_negative_lead: bool, ohms: f64, drop_v: f64) -> SupplyElement {
    SupplyElement::Coil {
        name: name.to_owned(),
        part: "L9".to_owned(),
        assumed: false,
        is_field: name == "field coil",
        in_negative_lead,
        across: false,
        ohms,
        henries: 12.0,
        henries_assumed: false,
        drop_v,
        current_a: drop_v / ohms,
    }
}

pub fn resistor(ohms: f64, drop_v: f64) -> SupplyElement {
    let (part, assumed) = ("R9".to_owned(), false);
    SupplyElement::Resistor { part, assumed, in_negative_lead: false, ohms, drop_v }
}

fn divider(name: &str, from: (&str, f64), ohms: &[f64], taps: &[&str]) -> DividerSketch {
    let all: f64 = ohms.iter().sum();
    let mut above = 0.0;
    let points = ohms[..ohms.len() - 1]
        .iter()
        .enumerate()
        .map(|(i, r)| {
            above += r;
            let tap = taps.get(i).filter(|t| !t.is_empty()).map(|t| (*t).to_owned());
            DividerPoint { own: tap.clone(), tap, volts_v: from.1 * (1.0 - above / all) }
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
pub fn sketch(
    rectifier: &str,
    elements: Vec<SupplyElement>,
    dividers: Vec<DividerSketch>,
) -> SupplySketch {
    let below = |e: &SupplyElement| match e {
        SupplyElement::Coil { in_negative_lead: true, drop_v, .. } => -drop_v,
        _ => 0.0,
    };
    let in_positive = |e: &SupplyElement| match e {
        SupplyElement::Coil { in_negative_lead: false, drop_v, .. }
        | SupplyElement::Resistor { in_negative_lead: false, drop_v, .. } => *drop_v,
        _ => 0.0,
    };
    let b_plus_v = elements.iter().rev().find_map(|e| match e {
        SupplyElement::Capacitor { positive_v, .. } => Some(*positive_v),
        _ => None,
    });
    let b_plus_v = b_plus_v.unwrap();
    SupplySketch {
        outlet_v: 123.0,
        circuit: RectifierCircuit::FullWave,
        on_the_line: false,
        live_chassis: false,
        surge_ohms: 0.0,
        surge_parts: Vec::new(),
        doubler: Vec::new(),
        second: None,
        bias_v: None,
        half_v: 352.0,
        rectifier: rectifier.to_owned(),
        heated_directly: rectifier.starts_with(['8', '5', '1']),
        dc_a: 0.0686,
        cathode_v: b_plus_v + elements.iter().map(in_positive).sum::<f64>(),
        centre_v: elements.iter().map(below).sum(),
        b_plus_v,
        elements,
        dividers,
    }
}

pub fn console() -> SupplySketch {
    sketch(
        "80",
        vec![
            capacitor(8e-6, 525.0, 271.3, -80.7),
            coil("field coil", true, 1176.0, 80.7),
            capacitor(16e-6, 450.0, 271.3, 0.0),
        ],
        vec![
            divider("bias", ("field_coil", -80.7), &[270e3, 75e3, 13e3], &["output", "rf"]),
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
                    divider("d", ("a.two", 91.1), &[33e3, 47e3, 68e3], &["", "oscillator"]),
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
                vec![divider("bleeder", ("B+", 271.3), &[22e3, 22e3], &["screens"])],
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
                SupplyElement::Capacitor { positive_v, negative_v, .. } => {
                    wanted.extend([v(*positive_v), v(*negative_v)])
                }
                SupplyElement::Coil { ohms, drop_v, .. } => {
                    wanted.extend([format!("{ohms:.0} Ω, "), format!("{}, ", v(*drop_v))]);
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

/// Where the chassis is joined to the mains the supply says so at its chassis, with the sign that one knows from outside.
#[test]
fn a_live_chassis_is_marked() {
    for live_chassis in [false, true] {
        let drawing = supply(&SupplySketch { live_chassis, ..console() }, "x");
        let read = checked("supply-live", &drawing);
        assert_eq!(read.outline.iter().any(|line| line == "LIVE"), live_chassis);
        assert_eq!(read.symbols.iter().any(|s| s.name == "warning"), live_chassis);
        assert_eq!(drawing.description.contains("which is LIVE"), live_chassis);
    }
}

/// What no profile states is not drawn as if found: a part that the circuit needs says that it is assumed, and an assumed
/// inductance is left out.
#[test]
fn what_is_assumed_says_so() {
    let mut sketch = console();
    if let Some(SupplyElement::Coil { assumed, henries_assumed, .. }) = sketch.elements.get_mut(1) {
        (*assumed, *henries_assumed) = (true, true);
    }
    let drawing = supply(&sketch, "x");
    let read = checked("supply-assumed", &drawing);
    assert_says("assumed", &read, &["L9, assumed".to_owned()]);
    let all = read.outline.join("\n");
    assert!(!all.contains("L9 field coil") && !all.contains("12 H"), "{all}");
    assert!(drawing.description.contains("an assumed field coil"));
}

/// The second supply hangs on nothing of the first: its own wires, its own capacitor, its coil from B2+ to chassis.
#[test]
fn a_second_supply_is_drawn_beneath_on_wires_of_its_own() {
    let field = SupplyElement::Coil {
        name: "field coil".to_owned(),
        part: "L9".to_owned(),
        assumed: false,
        is_field: true,
        in_negative_lead: false,
        across: true,
        ohms: 3450.0,
        henries: 25.0,
        henries_assumed: false,
        drop_v: 118.9,
        current_a: 0.0345,
    };
    let own = sketch("25Z5", vec![capacitor(8e-6, 200.0, 118.9, 0.0), field], vec![]);
    let own = SupplySketch { circuit: RectifierCircuit::HalfWave, on_the_line: true, ..own };
    for shared in [true, false] {
        let second = Some(Box::new(SecondSketch { shared, supply: own.clone() }));
        let both = SupplySketch { second, ..console() };
        let read = checked("supply-second", &supply(&both, "second"));
        assert_says("second", &read, &["B2+".to_owned(), "119 V".to_owned()]);
        let heading = if shared { "behind the other diode" } else { "straight on the line" };
        assert!(read.outline.iter().any(|line| line.contains(heading)), "{:?}", read.outline);
        let last = read.symbol("capacitor", 2).pins;
        assert_eq!(read.net_at(last[0]), "second positive0");
        assert_eq!(read.net_at(last[1]), "second negative0");
        let coil = read.symbol("field coil", 1).pins;
        assert_eq!(read.net_at(coil[0]), "second positive0");
        assert_eq!(read.net_at(coil[1]), "second negative0");
        assert_eq!(read.net_at(read.symbol("capacitor", 0).pins[0]), "positive0");
    }
}
