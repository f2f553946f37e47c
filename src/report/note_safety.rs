//! The part of a note that says what to be careful of: heat, faults, switching on and off.

use super::figures::{amps, signed_percent, volts, watts};
use super::page::{Page, Span, heading, notes, plain, strong, text};
use super::plan_safety::places;
use crate::study::{FaultReport, Note};

pub(super) fn sections(note: &Note) -> Page {
    let mut page = heat(note);
    page.extend(faults(note));
    page.extend(switch_on(note));
    page
}

fn heat(note: &Note) -> Page {
    let choice = note.fitted();
    let Some(rating) = &choice.rating else {
        return Vec::new();
    };
    // what goes with it has a line at the head: a third page must do, and the plan has its table
    let heading = match choice.with {
        Some(_) => heading(format!("Heat of the {}", choice.method.facts().noun)),
        None => heading("Heat"),
    };
    vec![heading, places(rating, &strong("yes"), &plain("no"))]
}

fn faults(note: &Note) -> Page {
    let choice = note.fitted();
    if choice.faults.is_empty() {
        return Vec::new();
    }
    let line = volts(note.plan.outlet.high_v);
    vec![
        heading("If something fails"),
        text(format!(
            "At {line}; a dead short is 0.5 Ω, currents through a shorted rectifier are upper bounds."
        )),
        notes(choice.faults.iter().map(|f| fault(f, choice.method.facts().noun))),
    ]
}

/// Heaters this far below rated, as a share, do not glow.
const DEAD: f64 = -0.9;

/// A fault in a sentence or two.
fn fault(f: &FaultReport, part: &str) -> Vec<Span> {
    let mut name = f.fault.to_string();
    if let Some(first) = name.get(..1) {
        name = first.to_uppercase() + name.get(1..).unwrap_or_default();
    }
    let mut line = vec![strong(format!("{name}: "))];
    if let Some(reason) = &f.unsolved {
        line.push(plain(format!("the model has no answer ({reason}).")));
        return line;
    }
    let current = f.line_a.unwrap_or(0.0);
    let dead = f.heater_excess.is_some_and(|excess| excess < DEAD);
    if dead && f.fuse.is_none_or(|fuse| fuse.multiple < 1.0) {
        line.push(plain("the set is dead, and nothing heats."));
        return line;
    }
    let mut words = match f.fuse {
        None => format!("{}.", amps(current)),
        Some(fuse) => match fuse.opens_within_s {
            Some(s) => format!(
                "{}, {:.1} times the fuse, which must open within {}.",
                amps(current),
                fuse.multiple,
                seconds(s)
            ),
            None if fuse.multiple > 1.0 => format!(
                "{}, which the fuse may hold: switch off at the first hum, smell or silence.",
                amps(current)
            ),
            None => format!("{}: the fuse holds.", amps(current)),
        },
    };
    if let (Some(watts_w), Some(allowed)) = (f.part_w, f.part_allowed_w) {
        words +=
            &format!(" {} in the {part}, which bears {} so long.", watts(watts_w), watts(allowed));
    }
    let lives = f.fuse.is_none_or(|fuse| fuse.opens_within_s.is_none());
    if let (true, Some(excess), Some(b_plus)) = (lives, f.heater_excess, f.b_plus_v) {
        let first = f.reservoir_v.map(|v| format!(", the first filter capacitor {v:.0} V"));
        words += &format!(
            " Heaters {}, B+ {:.0} V{}.",
            signed_percent(excess),
            b_plus.max(0.0),
            first.unwrap_or_default()
        );
    }
    if f.fusible_opens {
        words +=
            " The fusible resistor opens and ends it: find the fault before you fit a new one.";
    }
    if let Some(capacitor) = &f.capacitor_passed {
        words += &format!(" The {capacitor} passes its working volts.");
    }
    line.push(plain(words));
    line
}

pub(super) fn seconds(s: f64) -> String {
    if s >= 3600.0 {
        "an hour".to_owned()
    } else if s >= 120.0 {
        format!("{:.0} minutes", s / 60.0)
    } else {
        format!("{s} s")
    }
}

fn switch_on(note: &Note) -> Page {
    let mut page = vec![heading("Switching on")];
    if let Some(cold) = &note.fitted().cold_start {
        let mut words = format!(
            "At switch-on {} flow while the heaters are cold, {:.1} times the running current (at {}); they are warm in about {:.0} s.",
            amps(cold.inrush_a),
            cold.inrush_over_running,
            volts(note.plan.outlet.high_v),
            cold.warm_up_s
        );
        words += if cold.rectifier_first {
            " The rectifier is ready seconds before the tubes draw, and until then the filter capacitors see "
        } else {
            " The rectifier warms with the tubes, and the filter capacitors see "
        };
        let each: Vec<String> = cold
            .capacitors
            .iter()
            .map(|c| {
                let rated = c.rated_v.map(|r| format!(" of their {r:.0} V")).unwrap_or_default();
                format!("{:.0} V{rated}", c.peak_v)
            })
            .collect();
        words += &format!("{}.", each.join(" and "));
        page.push(text(words));
    }

    page
}
