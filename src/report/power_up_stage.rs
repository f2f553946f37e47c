//! The stages of a power-up.

use super::figures::{amps, nameplate_volts, ohms, point_volts, watts};
use super::note::{heading, text, titles};
use super::page::{Block, Page, Span, Table, Tone};
use super::power_up::look;
use crate::study::{InSockets, PowerUp, Stage, StageFault, StageRange};

/// A short ahead of everything: a current that only a fuse answers, A.
const FUSE_A: f64 = 20.0;

pub(super) fn sections(power_up: &PowerUp) -> Page {
    let mut page = vec![
        heading("4. The stages"),
        text(
            "Expected figures are those of a sound set at the volts named. Limits hold once the tubes are warm: from cold, current and B+ overshoot for some seconds. Stop means: variac to zero, plug out, capacitors emptied.",
        ),
    ];
    page.extend(of_the_rectifier(power_up));
    for (i, stage) in power_up.stages.iter().enumerate() {
        page.extend(section(power_up, stage, i + 1));
    }
    page
}

/// What the stages can say of B+ while the rectifier is cool.
fn of_the_rectifier(power_up: &PowerUp) -> Page {
    let words = if power_up.mercury {
        "The rectifier is filled with mercury vapour. With its filament below rating its drop rises and the ions strip the filament: keep it out of the stages below full volts. Bring the filter up from a bench supply, or with a vacuum type that socket and winding can bear; put the mercury tube in for the last stage only, its filament hot for half a minute before its plates see volts (common practice, no source). The model takes its drop as constant and knows no limit of emission."
    } else if power_up.heated_directly {
        "A filament rectifier at less than its rated volts emits little, and the tubes draw less than their law says. Where that is so, B+ stands as two figures: the lower with tubes drawing by law and a worn rectifier (its rated peak current, cut to the emission left), the higher with no tube drawing and an ample one. Emission by Richardson and Dushman, its constants from memory; what a rectifier still has in it nobody knows."
    } else {
        "The rectifier has a heater of its own: B+ comes up with the tubes, after some ten seconds or more. At less than its rated volts it emits little, and the tubes draw less than their law says. Where that is so, B+ stands as two figures: the lower with tubes drawing by law and a worn rectifier (its rated peak current, cut to the emission left), the higher with no tube drawing and an ample one."
    };
    vec![text(words)]
}

fn section(power_up: &PowerUp, stage: &Stage, number: usize) -> Page {
    let sockets = match stage.sockets {
        InSockets::Nothing => "tubes and rectifier out",
        InSockets::Tubes => "tubes in, rectifier out",
        InSockets::All => "rectifier in",
    };
    let lamp = if stage.lamp_in { "lamp in" } else { "lamp out" };
    let (from, to) = stage.minutes;
    let minutes = if from == to {
        format!("{from} minutes")
    } else {
        format!("{from} to {to} minutes")
    };
    vec![
        heading(&format!(
            "Stage {number}: {sockets}, {lamp}; variac to {}, {minutes}",
            dial(stage.variac_v)
        )),
        Block::Table(Table {
            titles: titles(["point", "expect", "stop", "read"]),
            rows: rows(power_up, stage),
        }),
        Block::Notes(items(power_up, stage, number)),
    ]
}

fn rows(power_up: &PowerUp, stage: &Stage) -> Vec<Vec<Span>> {
    let mut list = Vec::new();
    let mut add = |name: String, expect: String, stop: String| {
        list.push(vec![
            Span::plain(name),
            Span::new(expect, Tone::Strong),
            Span::plain(stop),
            Span::blank(),
        ]);
    };
    let none = String::new;
    if stage.lamp_in {
        add(
            "set's plug, V AC".to_owned(),
            range(stage.set_v, point_volts),
            none(),
        );
    }
    for h in &stage.heaters {
        add(
            format!("heaters {}, V AC", h.winding),
            format!("{:.2} V", h.volts_v),
            none(),
        );
    }
    if let Some(half) = stage.half_v {
        add(
            "HV, each plate to centre tap, V AC".to_owned(),
            point_volts(half),
            none(),
        );
    }
    if let (Some(b_plus), Some(first)) = (stage.b_plus_v, stage.first_capacitor_v) {
        if (first.most - b_plus.most).abs() > 0.5 {
            let marked = power_up.capacitors.first().and_then(|c| c.rated_v);
            add(
                "across filter capacitor 1, V DC".to_owned(),
                wide(first),
                marked.map_or(none(), |v| format!("above its {}", nameplate_volts(v))),
            );
        }
        let stop = stage
            .stop_b_plus_v
            .map_or(none(), |v| format!("above {v:.0} V"));
        add("B+, V DC".to_owned(), wide(b_plus), stop);
    }
    add(
        "primary current, true RMS (watts of the set)".to_owned(),
        format!(
            "{} ({})",
            range(stage.primary_a, amps),
            range(stage.set_w, watts)
        ),
        format!("above {}", amps(stage.stop_a)),
    );
    if let (Some(v), Some(glow)) = (stage.lamp_v, stage.glow) {
        add(
            "lamp".to_owned(),
            format!("{}, {}", look(glow), range(v, point_volts)),
            "brighter, and staying so".to_owned(),
        );
    }
    list
}

/// Volts as a variac's dial shows them: whole ones, or a half.
fn dial(v: f64) -> String {
    if v.fract() == 0.0 {
        format!("{v:.0} V")
    } else {
        format!("{v:.1} V")
    }
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

fn items(power_up: &PowerUp, stage: &Stage, number: usize) -> Vec<Vec<Span>> {
    let mut list = Vec::new();
    let mut add = |margin: &str, words: String| {
        list.push(vec![
            Span::new(format!("{margin}: "), Tone::Strong),
            Span::plain(words),
        ]);
    };
    if power_up.mercury && stage.two_sided {
        add(
            "Rectifier",
            "mercury vapour: leave it out here, and pass this stage over (see above).".to_owned(),
        );
    }
    if let Some(e) = stage.emission.filter(|_| stage.two_sided) {
        let worn = e.worn_a.map_or(String::new(), |a| {
            format!(", {} a plate if worn", milliamps(a))
        });
        add(
            "Rectifier",
            format!(
                "heated at {:.0} % of its volts it emits about {} of what it does hot{worn}.",
                100.0 * e.heater,
                percent(e.share)
            ),
        );
    }
    let (told, hidden): (Vec<_>, Vec<_>) = stage.faults.iter().partition(|f| f.told);
    if !told.is_empty() {
        let each: Vec<String> = told.iter().map(|f| fault(f)).collect();
        add("The ammeter tells", format!("{}.", each.join("; ")));
    }
    for f in hidden {
        let b_plus = match stage.b_plus_v {
            Some(sound) if f.b_plus_v < 0.8 * sound.least => {
                format!(
                    "B+ does: it stays below {:.0} V.",
                    f.b_plus_v.ceil().max(1.0)
                )
            }
            Some(_) => "nor does B+ for certain: the ohmmeter must have, before.".to_owned(),
            None => "nose and hand must.".to_owned(),
        };
        add(
            "The ammeter does not tell",
            format!("{}; {b_plus}", fault(f)),
        );
    }
    if !stage.unsolved.is_empty() {
        add("No solution", format!("{}.", stage.unsolved.join("; ")));
    }
    add("Stop as well", stop_words(stage, number).to_owned());
    add("Go on", go_on(power_up, number));
    list
}

/// Milliamperes of which only the order is known.
fn milliamps(a: f64) -> String {
    let digits = usize::from(a < 0.01);
    format!("{:.digits$} mA", 1e3 * a)
}

fn percent(share: f64) -> String {
    let p = 100.0 * share;
    if p < 10.0 {
        format!("{p:.1} %")
    } else {
        format!("{p:.0} %")
    }
}

fn fault(f: &StageFault) -> String {
    if f.amps.least > FUSE_A {
        return format!("{} (the fuse blows)", f.fault);
    }
    let glow = f
        .glow
        .map_or(String::new(), |g| format!(", lamp {}", look(g)));
    format!("{} ({}{glow})", f.fault, range(f.amps, amps))
}

fn stop_words(stage: &Stage, number: usize) -> String {
    match number {
        1 => "smell, loud hum, or a transformer too hot for the hand after some minutes: shorted turns.".to_owned(),
        2 => "a heater that stays dark, or heater volts more than 5 % off.".to_owned(),
        3 | 4 => {
            let low = match stage.b_plus_v {
                Some(b) if b.least > 20.0 => "B+ below 20 V after two minutes",
                _ => "B+ that falls again (below 20 V it may stay here, and that is no fault yet)",
            };
            format!("a warm capacitor, current still rising after five minutes, {low}.")
        }
        5 => "a plate that glows, bias too small, B+ out of proportion.".to_owned(),
        _ => "a plate that glows, smell, a transformer above its rise.".to_owned(),
    }
}

fn go_on(power_up: &PowerUp, number: usize) -> String {
    match number {
        1 => "the transformer is just warm and the HV halves agree within a few per cent (plate to centre tap, lethal).".to_owned(),
        2 => "all heaters glow and the current has settled.".to_owned(),
        3 => "B+ rises slowly or stands, and the capacitors are cold.".to_owned(),
        4 => "current and B+ have settled, capacitors cold.".to_owned(),
        5 => "B+ and bias are in proportion to the volts.".to_owned(),
        _ => {
            let (cold, hot) = power_up.primary_ohms;
            format!(
                "done when nothing moves for a quarter of an hour. Plug out at once, and ohmmeter on the plug, switch on: {} cold, {} at most ({:.0} K of rise, old American practice, from memory).",
                ohms(cold),
                ohms(hot),
                power_up.most_rise_k
            )
        }
    }
}
