//! The part of a note that says what to be careful of: heat, faults, switching on and off.

use super::{
    build::joined,
    figures::{amps, signed_percent, slow, volts, watts, whole_volts},
    page::{Line, Page, blocks, heading, line, notes, plain, section, strong, text},
    plan_safety::{fuse_words, places, seconds, tap_words, what_to_do},
    rated, switch_on,
    words::capital,
};
use crate::study::{FaultReport, Note, Ready};

pub fn sections(note: &Note) -> Page {
    blocks((heat(note), faults(note), switch_on(note)))
}

fn heat(note: &Note) -> Option<Page> {
    let choice = note.fitted();
    let rating = choice.rating.as_ref()?;
    // what goes with it has a line at the head: a third page must do, and the plan has its table
    let of = choice.with.as_ref().map(|_| (" of the ", choice.method.facts().noun));
    Some(section(("Heat", of), places(rating, &strong("yes"), &plain("no"))))
}

fn faults(note: &Note) -> Option<Page> {
    let (plan, choice) = (&note.plan, note.fitted());
    let fuse = choice.fuse.as_ref();
    let other = plan.fuse.as_ref().filter(|set| set.choice != choice.method);
    let advised = other.and_then(|set| {
        let set_fuse = rated(&set.fuse).filter(|_| fuse.and_then(rated) != rated(&set.fuse))?;
        Some(format!(
            " The plan's fuse, {}, is for what it advises: {}.",
            slow(set_fuse),
            plan.choice(Some(set.choice)).map_or("", |c| c.title)
        ))
    });
    let words = (
        ("At ", volts(plan.outlet.high_v)),
        "; a dead short is 0.5 Ω, currents through a shorted rectifier are upper bounds.",
        fuse_words(plan, choice).map(|why| (" ", why)),
        advised,
        choice.faults.iter().any(|f| f.mains_resistor_burns).then_some(LEAD_RESISTOR_MEANS),
    );
    let reservoir = match plan.as_designed.rectifier.doubles {
        true => "voltage doubler's output",
        false => "first filter capacitor",
    };
    let part = choice.method.facts().noun;
    let each = notes(choice.faults.iter().map(|f| fault(f, part, reservoir)));
    Some(section("If something fails", (text(words), each.if_any()?)))
}

/// Times its rating from which any fuse opens in a fraction of a second, whatever its standard promises (makers' curves †).
const DEAD_SHORT: f64 = 10.0;
/// A time that a standard promises and no fuse needs at a dead short, s.
const LAX_S: f64 = 60.0;

/// Heaters this far below rated, as a share, do not glow.
const DEAD: f64 = -0.9;

/// Ahead of the watts of a resistor that burns, and what it means: once for all faults, for a sheet of two pages.
const LEAD_RESISTOR: &str = " Lead resistor ";
const LEAD_RESISTOR_MEANS: &str =
    " Lead resistor: the one in the line cord, where it can burn before the fuse opens.";

/// A fault in a sentence or two.
fn fault(f: &FaultReport, part: &str, reservoir: &str) -> Line {
    let name = strong((capital(&f.fault.to_string()), ": "));
    if let Some(reason) = &f.unsolved {
        return line((name, "the model has no answer (", reason, ")."));
    }
    let dead = f.heater_excess.is_some_and(|excess| excess < DEAD);
    if dead && f.fuse.is_none_or(|fuse| fuse.multiple < 1.0) {
        return line((name, "the set is dead, and nothing heats."));
    }
    let current = amps(f.line_a.unwrap_or(0.0));
    let times = f.fuse.map_or(0.0, |fuse| fuse.multiple);
    let opens = f.fuse.and_then(|fuse| fuse.opens_within_s);
    let within = |s| seconds(s, "an hour", "minutes");
    let fuse = match opens {
        None if f.fuse.is_none() => ".".to_owned(),
        Some(s) if s >= LAX_S && times >= DEAD_SHORT => format!(
            ", a dead short: the fuse opens at once†, though its standard promises {} only.",
            within(s)
        ),
        Some(s) => format!(", {times:.1} times the fuse, which must open within {}.", within(s)),
        None if times > 1.0 => format!(", which the fuse may hold: {}", what_to_do(f.fault)),
        None => format!(": the fuse holds: {}", what_to_do(f.fault)),
    };
    let heat = f.part_w.zip(f.part_allowed_w).map(|(w, allowed)| {
        format!(" {} in the {part}, which bears {} so long.", watts(w), watts(allowed))
    });
    let lives = f.heater_excess.zip(f.b_plus_v).filter(|_| opens.is_none());
    let lives = lives.map(|(excess, b_plus)| {
        (
            (" Heaters ", signed_percent(excess), ", B+ ", whole_volts(b_plus)),
            f.reservoir_v.map(|v| format!(", the {reservoir} {v:.0} V")),
            ".",
        )
    });
    line((
        name,
        current,
        fuse,
        heat,
        lives,
        f.fusible_opens.then_some(
            " The fusible resistor opens and ends it: find the fault before you fit a new one.",
        ),
        f.capacitor_passed.as_ref().map(|name| (" The ", name, " exceeds its rated voltage.")),
        f.tap_v.map(|v| (" ", capital(&tap_words(v)))),
        f.mains_resistor_w
            .filter(|_| f.mains_resistor_burns)
            .map(|w| (LEAD_RESISTOR, watts(w), ".")),
    ))
}

fn switch_on(note: &Note) -> Page {
    let cold = note.fitted().cold_start.as_ref().map(|cold| {
        let each = cold.capacitors.iter().map(|c| {
            let dagger = if c.surge_by_rule { "†" } else { "" };
            let bears = c.surge_v.map(|v| format!(" (bears {v:.0} V{dagger})"));
            format!("{:.0} V{}", c.peak_v, bears.unwrap_or_default())
        });
        let ready = match cold.ready {
            Ready::AtOnce => {
                "The rectifier is dry and passes current at once: until the tubes draw the filter capacitors see "
            }
            Ready::WithinSeconds => {
                "The rectifier is ready seconds before the tubes draw, and until then the filter capacitors see "
            }
            Ready::WithTheTubes => {
                "The rectifier warms with the tubes, and the filter capacitors see "
            }
        };
        let words = format!(
            "At switch-on {} flow while the heaters are cold, {:.1} times the running current (at {}); they are warm in about {:.0} s. {ready}{}.",
            amps(cold.inrush_a),
            cold.inrush_over_running,
            volts(note.plan.outlet.high_v),
            cold.warm_up_s,
            joined(each, " and ")
        );
        text(words)
    });
    let starts = joined(note.starts.iter().map(switch_on::words), " ");
    blocks((heading("Switching on"), cold, text(starts).if_any()))
}
