//! Sources of supplies as drawn: each rectifier circuit read back as a netlist from the drawing's coordinates.
//!
//! What must stand between which nodes is the textbook circuit of each (half-wave, bridge, full-wave or conventional
//! doubler, half-wave or cascade doubler; Radiotron Designer's Handbook, chapter 30 †).

use crate::drawing::{assert_says, checked};
use crate::drawing_geometry::{Read, Symbol};
use crate::drawing_supply::{capacitor, coil, resistor, sketch};
use mainsfit::receiver::RectifierCircuit::{self, *};
use mainsfit::report::drawing::supply;
use mainsfit::study::{SupplyElement, SupplySketch};

/// A supply of `circuit` with a filter of capacitor, resistor, capacitor.
fn of(
    circuit: RectifierCircuit,
    rectifier: &str,
    on_the_line: bool,
    surge_ohms: f64,
) -> SupplySketch {
    let filter = vec![
        capacitor(30e-6, 350.0, 240.0, 0.0),
        resistor(1.2e3, 30.0),
        capacitor(50e-6, 350.0, 210.0, 0.0),
    ];
    let doubler = match circuit {
        FullWaveDoubler => {
            vec![capacitor(40e-6, 150.0, 240.0, 119.0), capacitor(40e-6, 150.0, 119.0, 0.0)]
        }
        HalfWaveDoubler => {
            vec![capacitor(40e-6, 150.0, 131.0, 0.0), capacitor(40e-6, 350.0, 240.0, 0.0)]
        }
        _ => Vec::new(),
    };
    SupplySketch {
        circuit,
        on_the_line,
        surge_ohms,
        surge_parts: ["R1", "R2"].map(str::to_owned).to_vec(),
        doubler,
        half_v: 117.0,
        heated_directly: rectifier == "80" || rectifier == "81",
        ..sketch(rectifier, filter, Vec::new())
    }
}

fn every() -> Vec<SupplySketch> {
    let mut list = Vec::new();
    for circuit in RectifierCircuit::ALL {
        for on_the_line in [false, true] {
            if on_the_line && circuit == FullWave {
                continue;
            }
            for surge in [0.0, 33.0] {
                let mut types = vec!["silicon", "selenium"];
                types.extend(match circuit {
                    FullWave => &["80", "6X4"][..],
                    HalfWave => &["35Z5GT", "81", "6X4", "25Z5"][..],
                    _ => &["25Z5"][..],
                });
                let made = types.into_iter().map(|t| of(circuit, t, on_the_line, surge));
                list.extend(made);
            }
        }
    }
    list
}

fn name(s: &SupplySketch) -> String {
    let feed = if s.on_the_line { "line" } else { "winding" };
    format!("source-{}-{feed}-{}-{}", s.circuit.word(), s.rectifier, s.surge_ohms)
}

/// Node of the anode and of the cathode of every diode, plates of tubes singly.
fn diodes(read: &Read) -> Vec<(usize, usize)> {
    let mut list = Vec::new();
    for s in &read.symbols {
        let node = |i: usize| read.node_at(s.pins[i]);
        match s.name.as_str() {
            "diode" | "tube diode" => list.push((node(0), node(1))),
            "rectifier with cathode" => {
                let k = s.pins.len() - 1;
                list.extend((0..k).map(|plate| (node(plate), node(k))));
            }
            "rectifier with filament" => {
                let k = s.pins.len() - 2;
                list.extend((0..k).map(|plate| (node(plate), node(k))));
            }
            _ => {}
        }
    }
    list.sort_unstable();
    list
}

fn all<'a>(read: &'a Read, name: &'a str) -> impl Iterator<Item = &'a Symbol> {
    read.symbols.iter().filter(move |s| s.name == name)
}

/// Behind the surge resistor that hangs on `node`, if one does.
fn behind(read: &Read, node: usize) -> usize {
    let ends = all(read, "resistor").map(|r| (read.node_at(r.pins[0]), read.node_at(r.pins[1])));
    let found = ends.into_iter().find_map(|(a, b)| match node {
        n if n == a => Some(b),
        n if n == b => Some(a),
        _ => None,
    });
    found.unwrap_or(node)
}

#[test]
fn every_source_is_wired_as_its_circuit() {
    for sketch in every() {
        let name = name(&sketch);
        let read = checked(&name, &supply(&sketch, "x"));
        let own = sketch.doubler.len();
        let filter = read.symbol("capacitor", own);
        let (plus, minus) = (read.node_at(filter.pins[0]), read.node_at(filter.pins[1]));
        assert_ne!(plus, minus, "{name}");
        let chassis = read.symbol("chassis", 0);
        assert_eq!(read.node_at(chassis.pins[0]), minus, "{name}");
        let (a, b, tap) = if sketch.on_the_line {
            let ends: Vec<usize> =
                all(&read, "terminal").map(|t| read.node_at(t.pins[0])).collect();
            (ends[0], ends[1], None)
        } else {
            let pins = read.symbol("high-voltage winding", 0).pins;
            let tap = pins.get(2).map(|p| read.node_at(*p));
            (read.node_at(pins[0]), read.node_at(pins[1]), tap)
        };
        assert_ne!(a, b, "{name}");
        let fed = behind(&read, a);
        let resistors = all(&read, "resistor").count();
        let surges = match (sketch.surge_ohms > 0.0, sketch.circuit) {
            (false, _) => 0,
            (true, FullWave) => 2,
            (true, _) => 1,
        };
        // one more is the filter's
        assert_eq!(resistors, surges + 1, "{name}");
        assert_eq!(fed != a, surges > 0, "{name}");
        let mut wanted = match sketch.circuit {
            FullWave => {
                assert_eq!(tap, Some(minus), "{name}");
                vec![(fed, plus), (behind(&read, b), plus)]
            }
            HalfWave => {
                assert_eq!(b, minus, "{name}");
                let plates = if sketch.rectifier == "6X4" { 2 } else { 1 };
                vec![(fed, plus); plates]
            }
            Bridge => vec![(fed, plus), (minus, fed), (b, plus), (minus, b)],
            FullWaveDoubler => {
                let stacked: Vec<_> = all(&read, "capacitor").take(2).collect();
                let node = |i: usize, pin: usize| read.node_at(stacked[i].pins[pin]);
                assert_eq!((node(0, 0), node(0, 1)), (plus, b), "{name}");
                assert_eq!((node(1, 0), node(1, 1)), (b, minus), "{name}");
                vec![(fed, plus), (minus, fed)]
            }
            HalfWaveDoubler => {
                assert_eq!(b, minus, "{name}");
                let own: Vec<_> = all(&read, "capacitor").take(2).collect();
                let node = |i: usize, pin: usize| read.node_at(own[i].pins[pin]);
                let lifted = node(0, 0);
                assert_eq!(node(0, 1), fed, "{name}");
                assert_eq!((node(1, 0), node(1, 1)), (plus, minus), "{name}");
                assert!(![fed, plus, minus].contains(&lifted), "{name}");
                vec![(lifted, plus), (minus, lifted)]
            }
        };
        wanted.sort_unstable();
        assert_eq!(diodes(&read), wanted, "{name}");
    }
}

/// The triangle of a diode points to its cathode (IEC 60617-05-03-01); a tube's plate is the longer stroke, on the side
/// of its anode.
#[test]
fn symbols_of_diodes_point_to_their_cathodes() {
    let far = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).hypot(a.1 - b.1);
    let mut seen = [0, 0];
    for sketch in every() {
        let read = checked(&name(&sketch), &supply(&sketch, "x"));
        for s in all(&read, "diode") {
            seen[0] += 1;
            let triangle = s.marks.iter().find(|m| m.len() == 3).unwrap();
            // the corner that stands alone lies on the axis
            let (a, k) = (s.pins[0], s.pins[1]);
            let off = |p: &(f64, f64)| {
                ((p.1 - a.1) * (k.0 - a.0) - (p.0 - a.0) * (k.1 - a.1)).abs() / far(a, k)
            };
            let tip = triangle.iter().find(|p| off(p) < 0.2).unwrap();
            let base = triangle.iter().find(|p| off(p) > 5.0).unwrap();
            assert!(far(*tip, k) < far(*base, k), "{}", name(&sketch));
        }
        for s in all(&read, "tube diode") {
            seen[1] += 1;
            let length = |m: &&Vec<(f64, f64)>| if m.len() == 2 { far(m[0], m[1]) } else { 0.0 };
            let (a, k) = (s.pins[0], s.pins[1]);
            let across = |m: &&Vec<(f64, f64)>| !m.contains(&a) && !m.contains(&k);
            let plate = s.marks.iter().filter(across);
            let plate = plate.max_by(|p, q| length(p).total_cmp(&length(q))).unwrap();
            let mid = (0.5 * (plate[0].0 + plate[1].0), 0.5 * (plate[0].1 + plate[1].1));
            assert!(far(mid, a) < far(mid, k), "{}", name(&sketch));
        }
    }
    assert!(seen[0] > 50 && seen[1] > 15, "{seen:?}");
}

/// A heated cathode is a stroke with bent ends, and the hairpin of its heater stands behind it, joined to nothing; a filament
/// has two leads (IEC 60617 and ANSI Y32.2 †). A bare second plate would be a capacitor.
#[test]
fn a_heated_cathode_is_no_capacitor() {
    let mut seen = [0, 0];
    for sketch in every() {
        let name = name(&sketch);
        let read = checked(&name, &supply(&sketch, "x"));
        for s in read.symbols.iter().filter(|s| {
            ["tube diode", "rectifier with cathode", "rectifier with filament"]
                .contains(&s.name.as_str())
        }) {
            let wires = |p: &(f64, f64)| read.wires.iter().any(|(_, course)| course.contains(p));
            let hairpins = s.marks.iter().filter(|m| m.len() == 3 && !m.iter().any(wires));
            seen[usize::from(sketch.heated_directly)] += 1;
            if sketch.heated_directly {
                let filament = s.marks.iter().find(|m| m.len() > 4).expect(&name);
                assert!(s.pins.contains(filament.last().unwrap()), "{name}");
                assert_eq!(hairpins.count(), 0, "{name}");
                continue;
            }
            assert_eq!(hairpins.count(), 1, "{name}");
            let cathode = s.marks.iter().find(|m| m.len() > 3).expect(&name);
            assert_eq!(cathode.last(), s.pins.last(), "{name}");
            // the bent end stands back from the stroke, away from the plate
            let (k, a) = (cathode[1], s.pins[0]);
            let far = |p: (f64, f64)| (p.0 - a.0).hypot(p.1 - a.1);
            assert!(far(cathode[0]) > far(k), "{name}");
        }
    }
    assert!(seen[0] > 10 && seen[1] > 5, "{seen:?}");
}

#[test]
fn sources_say_what_they_are() {
    for sketch in every() {
        let name = name(&sketch);
        let drawing = supply(&sketch, "x");
        let read = checked(&name, &drawing);
        let mut wanted = vec![sketch.rectifier.clone(), "117 V".to_owned(), "240 V".to_owned()];
        if sketch.surge_ohms > 0.0 {
            wanted.push("R1 33 Ω".to_owned());
            wanted.extend((sketch.circuit == FullWave).then(|| "R2 33 Ω".to_owned()));
            assert!(drawing.description.contains("33 Ω"), "{name}");
        }
        if !sketch.doubler.is_empty() {
            wanted.extend(["40 µF".to_owned(), "150 V".to_owned()]);
            assert!(drawing.description.contains("40 µF"), "{name}");
            assert!(drawing.description.contains("doubler"), "{name}");
        }
        if sketch.on_the_line {
            wanted.extend(["line".to_owned(), "neutral".to_owned()]);
            assert!(drawing.description.contains("without a transformer"), "{name}");
        }
        assert_says(&name, &read, &wanted);
        let words = [
            (FullWave, "full-wave rectifier"),
            (HalfWave, "half-wave rectifier"),
            (Bridge, "bridge of four diodes"),
            (FullWaveDoubler, "a full-wave doubler"),
            (HalfWaveDoubler, "a half-wave doubler"),
        ];
        for (circuit, word) in words {
            let said = drawing.description.contains(word);
            assert_eq!(said, circuit == sketch.circuit, "{name}: {word}");
        }
        let centre = drawing.description.contains("center tap");
        assert_eq!(centre, sketch.circuit == FullWave, "{name}");
    }
}

#[test]
fn a_field_coil_across_the_supply_stands_between_the_rails() {
    let mut field = coil("field coil", false, 3000.0, 240.0);
    if let SupplyElement::Coil { across, .. } = &mut field {
        *across = true;
    }
    let filter = vec![
        capacitor(16e-6, 350.0, 240.0, 0.0),
        field,
        coil("choke", false, 300.0, 21.0),
        capacitor(16e-6, 350.0, 219.0, 0.0),
    ];
    let mut made = sketch("25Z5", filter, Vec::new());
    made.circuit = HalfWave;
    made.on_the_line = true;
    made.bias_v = Some(-23.4);
    let drawing = supply(&made, "x");
    let read = checked("source-across", &drawing);
    let first = read.symbol("capacitor", 0).pins;
    let field = read.symbol("field coil", 0).pins;
    assert_eq!(read.node_at(field[0]), read.node_at(first[0]));
    assert_eq!(read.node_at(field[1]), read.node_at(first[1]));
    let choke = read.symbol("choke", 0).pins;
    assert_eq!(read.node_at(choke[0]), read.node_at(first[0]));
    assert_ne!(read.node_at(choke[1]), read.node_at(first[0]));
    assert_says("across", &read, &["3000 Ω", "80.0 mA", "C−", "−23.4 V"].map(str::to_owned));
    assert!(drawing.description.contains("across the supply"));
    assert!(drawing.description.contains("−23.4 V"), "{}", drawing.description);
}
