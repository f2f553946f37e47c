//! The stages of a power-up.

use super::{
    build::{Pieces, joined, list, listed, once, words},
    caution,
    figures::{amps, figure, half_volts, nameplate_volts, ohms, point_volts, watts},
    page::{
        BLANK, Field, Line, Page, Span, blocks, field, fine, form, heading, line, notes, plain,
        row, section, strong, table, text,
    },
    verdict,
    words::{capital, from_to},
};
use crate::{
    adaptation::Stands,
    study::{Glow, IdleReading, InSockets, PowerUp, Stage, StageFault, StageRange, Step},
};

/// A short ahead of everything: a current that only a fuse answers, A.
const FUSE_A: f64 = 20.0;

pub fn sections(power_up: &PowerUp) -> Page {
    let first = if power_up.on_the_line { 2 } else { 0 };
    let pairs = power_up.stages.chunks(2).enumerate().map(|(i, pair)| {
        let idle = idle(power_up).filter(|_| i == 0);
        (pair_of(power_up, pair, 2 * i + 1, 2 * i + 1 + first), idle)
    });
    blocks((
        heading("4. The stages"),
        caution::ahead_of(&power_up.cautions, Step::Measure),
        text(
            "Variac to the voltage named. Above \"stop\": variac to zero, plug out, capacitors emptied; so too if the lamp stays brighter than stated. The fuse holds in many faults: switch off at the first hum, smell or silence. Limits hold with the tubes warm: from cold, current and B+ overshoot for some seconds.",
        ),
        fine(of_the_rectifier(power_up)),
        pairs,
    ))
}

/// What the stages can say of B+ while the rectifier is cool.
fn of_the_rectifier(power_up: &PowerUp) -> (&'static str, Option<&'static str>) {
    const TWO_FIGURES: &str = " Below rated voltage it emits little and the tubes draw less than their law says: then B+ is two figures, the lower with tubes drawing by law and a worn rectifier (rated peak current, cut to the emission left), the higher with no tube drawing and an ample one. Emission by Richardson and Dushman†.";
    let words = match (power_up.mercury, power_up.heated_directly) {
        _ if power_up.dry => {
            "Dry rectifier: B+ is there from the first volt on, before a tube draws. Below rated heater voltage the tubes draw less than their law says: then B+ is two figures, the lower with tubes drawing by law, the higher with none drawing."
        }
        (true, _) => {
            "The rectifier is filled with mercury vapor. With its filament below rating its drop rises and the ions strip the filament: keep it out of the stages below full voltage. Bring the filter up from a bench supply, or with a vacuum type that socket and winding can bear; put the mercury tube in for the last stage only, its filament hot for half a minute before its plates see volts (common practice, no source). The model takes its drop as constant and knows no limit of emission."
        }
        (false, true) => "Filament rectifier: B+ is there before the tubes draw.",
        (false, false) => "Heated rectifier: B+ comes with the tubes, after ten seconds or more.",
    };
    (words, (!power_up.dry && !power_up.mercury).then_some(TWO_FIGURES))
}

/// Two stages side by side, the first of them numbered `first`.
fn pair_of(power_up: &PowerUp, pair: &[Stage], first: usize, step: usize) -> Page {
    let sockets = match step {
        1 if power_up.dry => "rectifier disconnected, dial lamps and series lamp in",
        1 => "rectifier out, dial lamps and series lamp in",
        3 if power_up.on_the_line => "low voltage",
        5 if power_up.on_the_line => "full voltage",
        3 => "rectifier in, low voltage",
        _ => "rectifier in, full voltage",
    };
    let titles = pair.iter().enumerate().map(|(i, stage)| {
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
        (format!("stage {}: {}{what}", first + i, half_volts(stage.variac_v)), "read")
    });
    let columns: Vec<_> = pair.iter().map(|stage| rows(power_up, stage)).collect();
    let names = once(columns.iter().flatten().map(|(name, _)| name));
    let rows = names.into_iter().map(|name| {
        let cells = columns.iter().map(|column| match column.iter().find(|(n, _)| n == name) {
            Some((_, expect)) => [strong(expect.as_ref()), BLANK],
            None => [plain("-"), plain("")],
        });
        row((name, cells))
    });
    let through = pair.iter().any(|s| s.through.is_some());
    let advice = pair.iter().enumerate().map(|(i, stage)| advice(power_up, stage, first + i));
    section(
        format!("Stages {first} and {}: {sockets}", first + 1),
        (
            through.then(|| caution::ahead_of(&power_up.cautions, Step::Fit)),
            table(("point", titles), rows),
            notes(advice),
        ),
    )
}

/// The readings that would tell the knee of the iron.
fn idle(power_up: &PowerUp) -> Option<Page> {
    let each = |r: &IdleReading| format!("{} ({})", half_volts(r.at_v), range(r.primary_a, amps));
    listed(power_up.idle.iter().map(each), ", ").map(|volts| {
        blocks((
            notes([line((
                strong("Worth reading after stage 1: "),
                format!(
                    "how near its knee the iron works. Plug out; tubes and rectifier stay out, the series lamp and the dial lamps come out too. Bring the variac up to the first voltage, then step it down to the others: {volts}. Above these amperes: variac to zero. Write them into the profile as `no_load`, and plan again."
                ),
            ))]),
            form(power_up.idle.iter().map(|r| field(&half_volts(r.at_v), None))),
        ))
    })
}

/// What to read at a stage, with what to expect and where to stop.
fn rows(power_up: &PowerUp, stage: &Stage) -> Vec<Field> {
    let plan = &power_up.plan;
    let stop = |v: Option<String>| v.map(|v| ("; stop ", v));
    // where sound sets lie about one figure; between two cases a stage says no more than these
    let sound = |range: Option<String>| {
        range.filter(|_| !stage.two_sided).map(|range| (" (normal ", range, ")"))
    };
    let plug = stage.lamp_in || stage.through.is_some();
    let winding = match power_up.centre_tap {
        true => "HV, plate to center tap, V AC",
        false => "HV winding, V AC",
    };
    let heaters = stage.heaters.iter().map(|h| {
        let mut all = plan.as_designed.heaters.iter();
        let across = all.any(|link| link.is_barretter && link.winding == h.winding);
        let what = if across { "across" } else { "heaters" };
        field(&format!("{what} {}, V AC", h.winding), format!("{:.2} V", h.volts_v))
    });
    let b_plus = stage.b_plus_v.zip(stage.first_capacitor_v).map(|(b_plus, first)| {
        let marked = power_up.capacitors.first().and_then(|c| c.rated_v).map(nameplate_volts);
        let first = ((first.most - b_plus.most).abs() > 0.5)
            .then(|| field("filter capacitor C1, V DC", words((wide(first), stop(marked)))));
        let most = stage.stop_b_plus_v.map(|v| format!("{v:.0} V"));
        let sound = sound(stage.sound_b_plus_v.map(wide));
        (first, field("B+, V DC", words((wide(b_plus), sound, stop(most)))))
    });
    let most_a = StageRange { least: stage.sound_least_a, most: stage.sound_most_a };
    let current = words((
        range(stage.primary_a, amps),
        sound(Some(range(most_a, amps))),
        stop(Some(amps(stage.stop_a))),
    ));
    let decides = verdict::deciding(plan).filter(|_| is_last(power_up, stage)).map(|measure| {
        let tips = measure.tips_at.map(|at| (" at ", figure(at, measure.unit)));
        let name = format!("{}, {}", verdict::point(plan, measure), measure.range);
        field(&name, words(("decides", tips)))
    });
    list((
        plug.then(|| field("set's plug, V AC", range(stage.set_v, point_volts))),
        heaters,
        stage.half_v.map(|half| field(winding, point_volts(half))),
        b_plus,
        stage.second_v.map(|second| field("B2+, V DC", wide(second))),
        field("ammeter, true RMS", current),
        field("watts of the set", range(stage.set_w, watts)),
        stage
            .lamp_v
            .zip(stage.glow)
            .map(|(v, glow)| field("lamp", format!("{}, {}", look(glow), range(v, point_volts)))),
        decides,
    ))
}

fn is_last(power_up: &PowerUp, stage: &Stage) -> bool {
    power_up.stages.last().is_some_and(|s| s.step == stage.step)
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
    from_to(&show(r.least.max(0.0)), &show(r.most))
}

/// Words of a stage, by its number, below what they are about.
fn about(number: usize, what: &str, words: impl Pieces<Span>) -> Line {
    line((strong(format!("{number}, {what}: ")), words))
}

/// What is to be known of a stage beside its readings.
fn advice(power_up: &PowerUp, stage: &Stage, n: usize) -> Vec<Line> {
    let plan = &power_up.plan;
    // what is fitted for the last stage, and the reading that decides there
    let fitted = plan.choice(stage.through).and_then(|choice| {
        let (part, noun) = (choice.part.as_ref()?, capital(choice.method.facts().noun));
        let words =
            "Fit it unplugged, and check it before the set is connected, as `mainsfit note` says.";
        Some(about(n, "before it", format!("{noun}: {part}. {words}")))
    });
    let decides = verdict::deciding(plan).filter(|_| is_last(power_up, stage));
    let emission = stage.emission.filter(|_| stage.two_sided).map(|e| {
        let words = format!(
            "heated at {:.0} % of its voltage it emits about {} of what it does hot",
            100.0 * e.heater,
            percent(e.share)
        );
        let worn = e.worn_a.map(|a| (", ", milliamps(a), " a plate if worn"));
        about(n, "rectifier", (words, worn, "."))
    });
    // what hides from the ammeter, by what tells it
    let least = |range: Option<StageRange>| 0.8 * range.map_or(0.0, |range| range.least);
    let teller = |f: &StageFault| match f.second_v {
        _ if f.b_plus_v < least(stage.b_plus_v) => Some(("B+", f.b_plus_v)),
        Some(volts) if volts < least(stage.second_v) => Some(("B2+", volts)),
        _ => None,
    };
    let hidden = [Some("B+"), Some("B2+"), None].into_iter().filter_map(|told_by| {
        let hidden = stage.faults.iter().filter(|f| !f.told && teller(f).map(|t| t.0) == told_by);
        let each = listed(hidden.clone().map(fault), "; ")?;
        let most = hidden.filter_map(teller).map(|(_, volts)| volts).fold(1.0, f64::max);
        let how = match told_by {
            Some(point) => format!("{point} tells: it stays below {:.0} V", most.ceil()),
            None => "B+ does not tell for certain: the ohmmeter must have, before".to_owned(),
        };
        Some(about(n, "hidden from the ammeter", (each, ". ", how, ".")))
    });
    let told = listed(stage.faults.iter().filter(|f| f.told).map(fault), "; ");
    let (from, to) = stage.minutes;
    let to = if from == to { String::new() } else { format!(" to {to}") };
    list((
        fitted,
        decides.map(|m| about(n, "this decides", joined(verdict::reading(plan, m), " "))),
        (power_up.mercury && stage.two_sided).then(|| {
            let words = "mercury vapor: leave it out here, and pass this stage over (see above).";
            about(n, "rectifier", words)
        }),
        emission,
        told.map(|told| about(n, &format!("above {}, suspect", amps(stage.stop_a)), (told, "."))),
        hidden,
        listed(&stage.unsolved, "; ").map(|all| about(n, "no solution", (all, "."))),
        about(n, "stop as well at", stop_words(power_up, stage)),
        about(n, &format!("go on after {from}{to} minutes when"), go_on(power_up, stage.step)),
    ))
}

/// How a lamp looks.
pub fn look(glow: Glow) -> &'static str {
    match glow {
        Glow::Dark => "dark",
        Glow::DullRed => "dull red",
        Glow::Orange => "orange",
        Glow::Yellowish => "yellowish",
        Glow::Full => "full",
    }
}

/// Milliamperes of which only the order is known.
fn milliamps(a: f64) -> String {
    let digits = usize::from(a < 0.01);
    format!("{:.digits$} mA", 1e3 * a)
}

fn percent(share: f64) -> String {
    let digits = usize::from(share < 0.1);
    format!("{:.digits$} %", 100.0 * share)
}

fn fault(f: &StageFault) -> String {
    if f.amps.least > FUSE_A {
        return format!("{} (the fuse blows)", f.fault);
    }
    let glow = f.glow.map_or(String::new(), |g| format!(", lamp {}", look(g)));
    format!("{} ({}{glow})", f.fault, range(f.amps, amps))
}

fn stop_words(power_up: &PowerUp, stage: &Stage) -> &'static str {
    match stage.step {
        1 => {
            "smell, loud hum, or a transformer that after some minutes, felt unplugged, is too hot for the hand: shorted turns."
        }
        2 => "a heater that stays dark, or heater voltage more than 5 % off.",
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
            "the transformer is just warm and the HV halves agree within a few per cent (plate to center tap, lethal)."
        }
        2 => "all heaters glow and the current is steady.",
        3 => "B+ rises slowly or stands, and the capacitors are cold.",
        4 => "current and B+ are steady, capacitors cold.",
        5 => "B+ and bias are in proportion to the voltage.",
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
