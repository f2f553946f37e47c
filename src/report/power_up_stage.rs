//! The stages of a power-up.

use super::figures::{amps, nameplate_volts, ohms, point_volts, watts};
use super::page::{Block, Page, Span, fine, heading, notes, plain, strong, table, text};
use super::plan_limits::figure;
use super::power_up::look;
use super::words::capital;
use super::{caution, verdict};
use crate::adaptation::Stands;
use crate::study::{IdleReading, InSockets, PowerUp, Stage, StageFault, StageRange, Step};

/// A short ahead of everything: a current that only a fuse answers, A.
const FUSE_A: f64 = 20.0;

pub(super) fn sections(power_up: &PowerUp) -> Page {
    let mut page = vec![heading("4. The stages")];
    page.extend(caution::ahead_of(&power_up.cautions, Step::Measure));
    page.push(
        text(
            "Variac to the volts named. Above \"stop\": variac to zero, plug out, capacitors emptied; so too if the lamp stays brighter than stated. The fuse holds in many faults: switch off at the first hum, smell or silence. Limits hold with the tubes warm: from cold, current and B+ overshoot for some seconds.",
        ),
    );
    page.extend(of_the_rectifier(power_up));
    let first = if power_up.on_the_line { 2 } else { 0 };
    for (i, pair) in power_up.stages.chunks(2).enumerate() {
        page.extend(section(power_up, pair, 2 * i + 1, 2 * i + 1 + first));
        page.extend(idle(power_up).into_iter().filter(|_| i == 0));
    }
    page
}

/// What the stages can say of B+ while the rectifier is cool.
fn of_the_rectifier(power_up: &PowerUp) -> Page {
    const TWO_FIGURES: &str = "Below rated volts it emits little and the tubes draw less than their law says: then B+ is two figures, the lower with tubes drawing by law and a worn rectifier (rated peak current, cut to the emission left), the higher with no tube drawing and an ample one. Emission by Richardson and Dushman†.";
    let words = if power_up.dry {
        "Dry rectifier: B+ is there from the first volt on, before a tube draws. Below rated heater volts the tubes draw less than their law says: then B+ is two figures, the lower with tubes drawing by law, the higher with none drawing.".to_owned()
    } else if power_up.mercury {
        "The rectifier is filled with mercury vapour. With its filament below rating its drop rises and the ions strip the filament: keep it out of the stages below full volts. Bring the filter up from a bench supply, or with a vacuum type that socket and winding can bear; put the mercury tube in for the last stage only, its filament hot for half a minute before its plates see volts (common practice, no source). The model takes its drop as constant and knows no limit of emission.".to_owned()
    } else if power_up.heated_directly {
        format!("Filament rectifier: B+ is there before the tubes draw. {TWO_FIGURES}")
    } else {
        format!(
            "Heated rectifier: B+ comes with the tubes, after ten seconds or more. {TWO_FIGURES}"
        )
    };
    vec![fine(words)]
}

/// Two stages side by side, the first of them numbered `first`.
fn section(power_up: &PowerUp, pair: &[Stage], first: usize, step: usize) -> Page {
    let sockets = match step {
        1 if power_up.dry => "rectifier disconnected, dial lamps and series lamp in",
        1 => "rectifier out, dial lamps and series lamp in",
        3 if power_up.on_the_line => "low volts",
        5 if power_up.on_the_line => "full volts",
        3 => "rectifier in, low volts",
        _ => "rectifier in, full volts",
    };
    let mut head = vec!["point".to_owned()];
    let mut names: Vec<String> = Vec::new();
    let mut columns = Vec::new();
    for (i, stage) in pair.iter().enumerate() {
        let stands = stage.through.map(|m| m.facts().stands);
        let what = match (stands, stage.sockets) {
            (Some(Stands::AtPrimary), _) => ", other tap",
            (Some(Stands::Nowhere), _) => ", resistor out",
            (Some(Stands::Inside | Stands::InLead), _) => ", part in",
            (None, InSockets::Nothing) => ", tubes out",
            (None, InSockets::Tubes) => ", tubes in",
            (None, InSockets::All) if stage.lamp_in => ", lamp in",
            (None, InSockets::All) => ", lamp out",
        };
        head.push(format!("stage {}: {}{what}", first + i, dial(stage.variac_v)));
        head.push("read".to_owned());
        let column = rows(power_up, stage);
        for (name, _) in &column {
            if !names.contains(name) {
                names.push(name.clone());
            }
        }
        columns.push(column);
    }
    let row = |name: &String| {
        let mut row = vec![plain(name)];
        for column in &columns {
            match column.iter().find(|(n, _)| n == name) {
                Some((_, expect)) => row.extend([strong(expect), Span::blank()]),
                None => row.extend([plain("-"), plain("")]),
            }
        }
        row
    };
    let mut all = Vec::new();
    for (i, stage) in pair.iter().enumerate() {
        all.extend(advice(power_up, stage, first + i));
    }
    let mut page = vec![heading(format!("Stages {first} and {}: {sockets}", first + 1))];
    if pair.iter().any(|s| s.through.is_some()) {
        page.extend(caution::ahead_of(&power_up.cautions, Step::Fit));
    }
    page.extend([table(head, names.iter().map(row)), notes(all)]);
    page
}

/// The readings that would tell the knee of the iron.
fn idle(power_up: &PowerUp) -> Page {
    if power_up.idle.is_empty() {
        return Page::new();
    }
    let expected = |r: &IdleReading| format!("{} ({})", dial(r.at_v), range(r.primary_a, amps));
    let volts: Vec<String> = power_up.idle.iter().map(expected).collect();
    vec![
        notes([vec![
            strong("Worth reading after stage 1: "),
            plain(format!(
                "how near its knee the iron works. Plug out; tubes and rectifier stay out, the series lamp and the dial lamps come out too. Bring the variac up to the first voltage, then step it down to the others: {}. Above these amperes: variac to zero. Write them into the profile as `no_load`, and plan again.",
                volts.join(", ")
            )),
        ]]),
        Block::Form(power_up.idle.iter().map(|r| (dial(r.at_v), None)).collect()),
    ]
}

/// What is fitted for the last stage, and the reading that decides there.
fn at_the_end(power_up: &PowerUp, stage: &Stage, add: &mut impl FnMut(&str, String)) {
    let plan = &power_up.plan;
    let fitted = plan.choices.iter().find(|c| Some(c.method) == stage.through);
    if let Some(part) = fitted.and_then(|c| c.part.as_ref()) {
        let words =
            "Fit it unplugged, and check it before the set is connected, as `mainsfit note` says.";
        let what = fitted.map_or("", |c| c.method.facts().noun);
        add("before it", format!("{}: {part}. {words}", capital(what)));
    }
    let last = power_up.stages.last().is_some_and(|s| s.step == stage.step);
    if let Some(measure) = verdict::deciding(plan).filter(|_| last) {
        add("this decides", verdict::reading(plan, measure).join(" "));
    }
}

/// What to read at a stage, with what to expect and where to stop.
fn rows(power_up: &PowerUp, stage: &Stage) -> Vec<(String, String)> {
    let mut list = Vec::new();
    let mut add = |name: &str, expect: String| list.push((name.to_owned(), expect));
    if stage.lamp_in || stage.through.is_some() {
        add("set's plug, V AC", range(stage.set_v, point_volts));
    }
    for h in &stage.heaters {
        let mut all = power_up.plan.as_designed.heaters.iter();
        let what = match all.any(|link| link.is_barretter && link.winding == h.winding) {
            true => "across",
            false => "heaters",
        };
        add(&format!("{what} {}, V AC", h.winding), format!("{:.2} V", h.volts_v));
    }
    if let Some(half) = stage.half_v {
        let tapped = power_up.centre_tap;
        let name = if tapped { "HV, plate to centre tap, V AC" } else { "HV winding, V AC" };
        add(name, point_volts(half));
    }
    let stop = |v: Option<String>| v.map(|v| format!("; stop {v}")).unwrap_or_default();
    if let (Some(b_plus), Some(first)) = (stage.b_plus_v, stage.first_capacitor_v) {
        if (first.most - b_plus.most).abs() > 0.5 {
            let marked = power_up.capacitors.first().and_then(|c| c.rated_v);
            add("filter capacitor 1, V DC", wide(first) + &stop(marked.map(nameplate_volts)));
        }
        let most = stage.stop_b_plus_v.map(|v| format!("{v:.0} V"));
        let sound = sound(stage, stage.sound_b_plus_v.map(wide));
        add("B+, V DC", wide(b_plus) + &sound + &stop(most));
    }
    if let Some(second) = stage.second_v {
        add("B2+, V DC", wide(second));
    }
    let most_a = StageRange { least: stage.sound_least_a, most: stage.sound_most_a };
    add(
        "ammeter, true RMS",
        range(stage.primary_a, amps)
            + &sound(stage, Some(range(most_a, amps)))
            + &stop(Some(amps(stage.stop_a))),
    );
    add("watts of the set", range(stage.set_w, watts));
    if let (Some(v), Some(glow)) = (stage.lamp_v, stage.glow) {
        add("lamp", format!("{}, {}", look(glow), range(v, point_volts)));
    }
    let last = power_up.stages.last().is_some_and(|s| s.step == stage.step);
    if let Some(measure) = verdict::deciding(&power_up.plan).filter(|_| last) {
        let tips = measure.tips_at.map(|at| format!("decides at {}", figure(at, measure.unit)));
        let name = format!("{}, {}", verdict::point(&power_up.plan, measure), measure.range);
        add(&name, tips.unwrap_or_else(|| "decides".to_owned()));
    }
    list
}

/// Where sound sets lie about one figure; between two cases a stage says no more than these.
fn sound(stage: &Stage, range: Option<String>) -> String {
    range.filter(|_| !stage.two_sided).map_or(String::new(), |r| format!(" (normal {r})"))
}

/// Volts as a variac's dial shows them: whole ones, or a half.
fn dial(v: f64) -> String {
    if v.fract() == 0.0 { format!("{v:.0} V") } else { format!("{v:.1} V") }
}

/// DC between two figures that stand far apart, in whole volts.
fn wide(r: StageRange) -> String {
    if r.most - r.least < 0.05 * r.most {
        range(r, point_volts)
    } else {
        format!("{:.0} to {:.0} V", r.least.max(0.0), r.most)
    }
}

/// One figure, or both ends.
fn range(r: StageRange, show: fn(f64) -> String) -> String {
    let (a, b) = (show(r.least.max(0.0)), show(r.most));
    if a == b {
        return b;
    }
    // one unit for both where it is the same
    let unit = |t: &str| t.split_once(' ').map(|(_, unit)| unit.to_owned());
    match a.split_once(' ') {
        Some((figure, u)) if unit(&b).as_deref() == Some(u) => format!("{figure} to {b}"),
        _ => format!("{a} to {b}"),
    }
}

fn advice(power_up: &PowerUp, stage: &Stage, number: usize) -> Vec<Vec<Span>> {
    let mut list = Vec::new();
    let mut add = |what: &str, words: String| {
        list.push(vec![strong(format!("{number}, {what}: ")), plain(words)]);
    };
    at_the_end(power_up, stage, &mut add);
    if power_up.mercury && stage.two_sided {
        add(
            "rectifier",
            "mercury vapour: leave it out here, and pass this stage over (see above).".to_owned(),
        );
    }
    if let Some(e) = stage.emission.filter(|_| stage.two_sided) {
        let worn =
            e.worn_a.map(|a| format!(", {} a plate if worn", milliamps(a))).unwrap_or_default();
        add(
            "rectifier",
            format!(
                "heated at {:.0} % of its volts it emits about {} of what it does hot{worn}.",
                100.0 * e.heater,
                percent(e.share)
            ),
        );
    }
    let told: Vec<String> = stage.faults.iter().filter(|f| f.told).map(fault).collect();
    if !told.is_empty() {
        let what = format!("above {} may be", amps(stage.stop_a));
        add(&what, format!("{}.", told.join("; ")));
    }
    // what hides from the ammeter, by what tells it
    let least = |range: Option<StageRange>| 0.8 * range.map_or(0.0, |range| range.least);
    let (sound, second) = (least(stage.b_plus_v), least(stage.second_v));
    let teller = |f: &StageFault| match f.second_v {
        _ if f.b_plus_v < sound => Some("B+"),
        Some(volts) if volts < second => Some("B2+"),
        _ => None,
    };
    for told_by in [Some("B+"), Some("B2+"), None] {
        let hidden: Vec<&StageFault> =
            stage.faults.iter().filter(|f| !f.told && teller(f) == told_by).collect();
        if hidden.is_empty() {
            continue;
        }
        let each: Vec<String> = hidden.iter().map(|f| fault(f)).collect();
        let volts = |f: &&StageFault| match (told_by, f.second_v) {
            (Some("B2+"), Some(volts)) => volts,
            _ => f.b_plus_v,
        };
        let most = hidden.iter().map(volts).fold(1.0, f64::max);
        let how = match told_by {
            Some(point) => format!("{point} tells: it stays below {:.0} V", most.ceil()),
            None => "B+ does not tell for certain: the ohmmeter must have, before".to_owned(),
        };
        add("hidden from the ammeter", format!("{}. {how}.", each.join("; ")));
    }
    if !stage.unsolved.is_empty() {
        add("no solution", format!("{}.", stage.unsolved.join("; ")));
    }
    add("stop as well at", stop_words(power_up, stage).to_owned());
    let (from, to) = stage.minutes;
    let minutes = if from == to {
        format!("go on after {from} minutes when")
    } else {
        format!("go on after {from} to {to} minutes when")
    };
    add(&minutes, go_on(power_up, stage.step));
    list
}

/// Milliamperes of which only the order is known.
fn milliamps(a: f64) -> String {
    let digits = usize::from(a < 0.01);
    format!("{:.digits$} mA", 1e3 * a)
}

fn percent(share: f64) -> String {
    let p = 100.0 * share;
    if p < 10.0 { format!("{p:.1} %") } else { format!("{p:.0} %") }
}

fn fault(f: &StageFault) -> String {
    if f.amps.least > FUSE_A {
        return format!("{} (the fuse blows)", f.fault);
    }
    let glow = f.glow.map(|g| format!(", lamp {}", look(g))).unwrap_or_default();
    format!("{} ({}{glow})", f.fault, range(f.amps, amps))
}

fn stop_words(power_up: &PowerUp, stage: &Stage) -> &'static str {
    match stage.step {
        1 => {
            "smell, loud hum, or a transformer that after some minutes, felt unplugged, is too hot for the hand: shorted turns."
        }
        2 => "a heater that stays dark, or heater volts more than 5 % off.",
        3 | 4 if stage.b_plus_v.is_some_and(|b| b.least > 20.0) => {
            "a capacitor warm when felt unplugged and drained, current still rising after five minutes, B+ below 20 V after two minutes."
        }
        3 | 4 => {
            "a capacitor warm when felt unplugged and drained, current still rising after five minutes, B+ that falls again (below 20 V it may stay here, and that is no fault yet)."
        }
        5 => "a plate that glows, bias too small, B+ out of proportion.",
        _ if power_up.on_the_line => {
            "a plate that glows, smell, a dropper that smokes or a heater far brighter than the rest."
        }
        _ => "a plate that glows, smell, a transformer above its rise.",
    }
}

fn go_on(power_up: &PowerUp, number: usize) -> String {
    let words = match number {
        1 if !power_up.centre_tap => {
            "the transformer is just warm and the HV winding reads as expected (lethal)."
        }
        1 => {
            "the transformer is just warm and the HV halves agree within a few per cent (plate to centre tap, lethal)."
        }
        2 => "all heaters glow and the current has settled.",
        3 => "B+ rises slowly or stands, and the capacitors are cold.",
        4 => "current and B+ have settled, capacitors cold.",
        5 => "B+ and bias are in proportion to the volts.",
        _ => "nothing moves for a quarter of an hour: done.",
    };
    match power_up.primary_ohms {
        Some((cold, hot)) if number > 5 => format!(
            "{words} Plug out, and at once the ohmmeter on it, switch on: {} cold, {} at most ({:.0} K† of rise, old American practice).",
            ohms(cold),
            ohms(hot),
            power_up.most_rise_k
        ),
        _ => words.to_owned(),
    }
}
