//! The part of a note that says what to be careful of: heat, faults, switching on and off.

use super::figures::{amps, signed_percent, volts, watts};
use super::page::{Page, Span, heading, notes, plain, strong, text};
use super::plan_safety::{fuse_words, places, tap_words, what_to_do};
use super::switch_on;
use super::words::capital;
use crate::study::{FaultReport, FuseReport, Note, Ready};

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
    let mut words = format!(
        "At {line}; a dead short is 0.5 Ω, currents through a shorted rectifier are upper bounds."
    );
    let bare = |f: &&FuseReport| note.choice == 0 && f.present_a.is_none();
    if let Some((fuse, rating)) =
        choice.fuse.as_ref().filter(bare).and_then(|f| Some((f, f.rating_a?)))
    {
        words += &format!(" With a {rating} A slow fuse ({}), where one is fitted.", fuse.standard);
    }
    words.extend(fuse_words(&note.plan, choice).map(|why| format!(" {why}")));
    if let Some(set) = note.plan.fuse.as_ref().filter(|set| set.choice != choice.method) {
        let own = choice.fuse.as_ref().map(|f| (f.rating_a, f.standard));
        if let (true, Some(rating)) =
            (own != Some((set.fuse.rating_a, set.fuse.standard)), set.fuse.rating_a)
        {
            let advised = note.plan.choices.iter().find(|c| c.method == set.choice);
            words += &format!(
                " The plan's fuse, {rating} A slow ({}), is for what it advises: {}.",
                set.fuse.standard,
                advised.map_or("", |c| c.title)
            );
        }
    }
    vec![
        heading("If something fails"),
        text(words),
        notes(choice.faults.iter().map(|f| fault(f, choice.method.facts().noun))),
    ]
}

/// Times its rating from which any fuse opens in a fraction of a second, whatever its standard promises (makers' curves †).
const DEAD_SHORT: f64 = 10.0;
/// A time that a standard promises and no fuse needs at a dead short, s.
const LAX_S: f64 = 60.0;

/// Heaters this far below rated, as a share, do not glow.
const DEAD: f64 = -0.9;

/// A fault in a sentence or two.
fn fault(f: &FaultReport, part: &str) -> Vec<Span> {
    let mut line = vec![strong(format!("{}: ", capital(&f.fault.to_string())))];
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
            Some(s) if s >= LAX_S && fuse.multiple >= DEAD_SHORT => format!(
                "{}, a dead short: the fuse opens at once†, though its standard promises {} only.",
                amps(current),
                seconds(s)
            ),
            Some(s) => format!(
                "{}, {:.1} times the fuse, which must open within {}.",
                amps(current),
                fuse.multiple,
                seconds(s)
            ),
            None if fuse.multiple > 1.0 => {
                format!("{}, which the fuse may hold: {}", amps(current), what_to_do(f.fault))
            }
            None => format!("{}: the fuse holds: {}", amps(current), what_to_do(f.fault)),
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
        words += &format!(" The {capacitor} exceeds its rated voltage.");
    }
    if let Some(v) = f.tap_v {
        words += &format!(" {}", capital(&tap_words(v)));
    }
    if let Some(w) = f.mains_resistor_w.filter(|_| f.mains_resistor_burns) {
        words += &format!(
            " The resistor in the mains lead gets {}, and can burn before the fuse opens.",
            watts(w)
        );
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
        words += match cold.ready {
            Ready::AtOnce => {
                " The rectifier is dry and passes current at once: until the tubes draw the filter capacitors see "
            }
            Ready::WithinSeconds => {
                " The rectifier is ready seconds before the tubes draw, and until then the filter capacitors see "
            }
            Ready::WithTheTubes => {
                " The rectifier warms with the tubes, and the filter capacitors see "
            }
        };
        let each: Vec<String> = cold
            .capacitors
            .iter()
            .map(|c| {
                let dagger = if c.surge_by_rule { "†" } else { "" };
                let bears = c.surge_v.map(|v| format!(" (bears {v:.0} V{dagger})"));
                format!("{:.0} V{}", c.peak_v, bears.unwrap_or_default())
            })
            .collect();
        words += &format!("{}.", each.join(" and "));
        // where nothing is fitted two pages must do
        if let Some(cold) = note.starts.first().filter(|_| note.choice == 0) {
            words += &format!(" {}", switch_on::in_short(cold));
        }
        page.push(text(words));
    }
    if note.choice != 0 && !note.starts.is_empty() {
        let words: Vec<String> = note.starts.iter().map(switch_on::words).collect();
        page.push(text(words.join(" ")));
    }
    page
}
