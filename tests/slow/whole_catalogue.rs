//! Every rectifier and every tube of the catalogue in a set that plans, nothing said of it but its type.

use super::harness::mainsfit;
use mainsfit::catalogue::{Catalogue, RectifierType, TubeType, Wave};
use std::fmt::Write as _;
use uom::si::{electric_current::ampere, electric_potential::volt};

/// From so many volts on a heater was made for a string on the line.
const STRING_V: f64 = 19.0;

/// Heater volts and amperes.
type Heater = (f64, f64);

fn of_tube(t: &TubeType) -> Heater {
    (t.heater_volts.get::<volt>(), t.heater_amps.get::<ampere>())
}

fn of_rectifier(r: &RectifierType) -> Heater {
    (r.filament_volts.get::<volt>(), r.filament_amps.get::<ampere>())
}

/// A tube that takes something from B+, so that a set of diodes alone has a load.
fn draws(tube: &TubeType) -> bool {
    tube.class.draws_from_b_plus()
}

/// Takes tubes for a string of `amps` out of `left`, up to `volts` in all.
fn for_string(
    left: &mut Vec<&'static TubeType>,
    amps: f64,
    mut volts: f64,
) -> Vec<&'static TubeType> {
    let (taken, kept) = std::mem::take(left).into_iter().partition(|t| {
        let (v, i) = of_tube(t);
        let fits = (i / amps - 1.0).abs() < 0.05 && v <= volts;
        volts -= if fits { v } else { 0.0 };
        fits
    });
    *left = kept;
    taken
}

fn names(tubes: &[&TubeType]) -> String {
    let list: Vec<String> = tubes.iter().map(|t| format!("\"{}\"", t.name)).collect();
    list.join(", ")
}

/// First filter capacitor, µF, within what the type bears.
fn capacitor(rectifier: &RectifierType) -> f64 {
    rectifier.max_input_capacitor.map_or(8.0, |c| (c.value * 1e6).min(16.0)).max(4.0)
}

/// A set on the line, its heaters in series.
fn live(rectifier: &RectifierType, tubes: &[&TubeType], line: f64) -> String {
    let (own, amps) = of_rectifier(rectifier);
    let in_a_tube = tubes.iter().any(|t| t.name == rectifier.name);
    let heaters: f64 = tubes.iter().map(|t| of_tube(t).0).sum();
    let sum = heaters + if in_a_tube { 0.0 } else { own };
    let dropper = match line - sum {
        rest if rest < 3.0 => String::new(),
        rest => format!("dropper: {{ kind: resistor, resistance: {:.0} Ω }}", rest / amps),
    };
    format!(
        "set: {{ name: Invented, design_line: {line} V }}\noutlet: {{ usual: {line} V }}\nheater_string: {{ {dropper} }}\n\
         rectifier: {{ type: \"{}\", surge_resistor: 100 Ω }}\n\
         filter: [capacitor: {} µF, resistor: {{ lead: positive, value: 1 kΩ }}, capacitor: 30 µF]\n\
         tubes: [{}]\n",
        rectifier.name,
        capacitor(rectifier),
        names(tubes)
    )
}

/// A set with a transformer: windings for every heater, and for the rectifier.
fn isolated(rectifier: &RectifierType, tubes: &[&TubeType]) -> String {
    let most = rectifier.max_ac_volts_capacitor_input.map_or(300.0, |v| v.get::<volt>());
    let volts = most.min(300.0);
    let single = rectifier.wave == Wave::Half && !rectifier.kind.is_dry();
    let key = if single { "volts" } else { "per_half" };
    let mut text = format!(
        "set: {{ name: Invented, design_line: 230 V }}\noutlet: {{ usual: 235 V }}\n\
         transformer: {{ high_voltage: {{ {key}: {volts} V }} }}\n\
         rectifier: {{ type: \"{}\" }}\n",
        rectifier.name
    );
    let _ = write!(
        text,
        "filter: [capacitor: {} µF, choke: {{ lead: positive, cold: 300 Ω, inductance: 10 H }}, capacitor: 16 µF]\n\
         tubes: [{}]\n",
        capacitor(rectifier),
        names(tubes)
    );
    text
}

/// A set for each rectifier, and for what tubes are left: which they have, and their profiles.
fn sets() -> Vec<(String, String)> {
    let all = Catalogue::built_in();
    let mut left: Vec<&'static TubeType> = all.tubes().iter().collect();
    // a load for a set that only diodes or nothing is left for
    let triode = all.tube("6J5").unwrap().item;
    let mut sets = Vec::new();
    let on_line = |r: &RectifierType| of_rectifier(r).0 >= STRING_V;
    let mut strings: Vec<&RectifierType> = all.rectifiers().iter().filter(|r| on_line(r)).collect();
    // those in a bulb with a tube are in the set of that tube
    for rectifier in all.rectifiers() {
        if let Some(place) = left.iter().position(|t| t.name == rectifier.name) {
            let tube = left.remove(place);
            let line = if of_tube(tube).0 > 30.0 { 117.0 } else { 110.0 };
            strings.retain(|r| r.name != rectifier.name);
            sets.push((rectifier.name.clone(), live(rectifier, &[tube], line)));
        }
    }
    for rectifier in &strings {
        let (own, amps) = of_rectifier(rectifier);
        let bears = rectifier.max_ac_volts_capacitor_input.map_or(250.0, |v| v.get::<volt>());
        let line = if bears < 130.0 || (amps - 0.15).abs() < 0.01 { 117.0 } else { 220.0 };
        let tubes = for_string(&mut left, amps, line - own - 1.0);
        let text = if tubes.iter().any(|t| draws(t)) {
            live(rectifier, &tubes, line)
        } else {
            left.extend(tubes);
            isolated(rectifier, &[triode])
        };
        sets.push((rectifier.name.clone(), text));
    }
    let rest: Vec<&RectifierType> =
        all.rectifiers().iter().filter(|r| sets.iter().all(|(name, _)| *name != r.name)).collect();
    // a diode draws nothing: the tubes of a set are spread over the list
    let each = left.len().div_ceil(rest.len());
    for (i, rectifier) in rest.iter().enumerate() {
        let mut tubes: Vec<&TubeType> = left.iter().skip(i).step_by(rest.len()).copied().collect();
        assert!(tubes.len() <= each);
        if !tubes.iter().any(|t| draws(t)) {
            tubes.push(triode);
        }
        sets.push((rectifier.name.clone(), isolated(rectifier, &tubes)));
    }
    sets
}

#[test]
fn every_rectifier_and_every_tube_plans() {
    let all = Catalogue::built_in();
    let sets = sets();
    for r in all.rectifiers() {
        assert_eq!(sets.iter().filter(|(name, _)| *name == r.name).count(), 1, "{}", r.name);
    }
    for t in all.tubes() {
        let name = format!("\"{}\"", t.name);
        let used = |text: &str| text.split("tubes: ").nth(1).is_some_and(|t| t.contains(&name));
        assert!(sets.iter().any(|(_, text)| used(text)), "{}", t.name);
    }
    let folder = std::env::temp_dir().join(format!("mainsfit-catalogue-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join("set.yaml");
    let mut wrong = Vec::new();
    for (name, text) in &sets {
        std::fs::write(&path, text).unwrap();
        let outcome = mainsfit(&["plan", path.to_str().unwrap()]);
        if outcome.code != 0 || !outcome.out.contains("B+") {
            wrong.push(format!("{name}\n{text}{}", outcome.err));
        }
    }
    std::fs::remove_dir_all(&folder).unwrap();
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), sets.len(), wrong.join("\n"));
}
