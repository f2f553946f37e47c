//! The stages of a power-up.

use super::{
    build::{Pieces, joined, list, listed, words},
    caution,
    figures::{amps, figure, half_volts, nameplate_volts, ohms, point_volts, watts},
    note_readings::rest_of_tapped,
    page::{
        BLANK, Block, Group, Line, Page, Span, blocks, checks, field, fine, group, heading, items,
        line, lines, notes, plain, row, strong, table,
    },
    verdict,
    words::{capital, from_to},
};
use crate::{
    adaptation::Stands,
    receiver::PartKind,
    study::{Choice, Glow, IdleReading, InSockets, PowerUp, Stage, StageFault, StageRange, Step},
};

/// A short ahead of everything: a current that only a fuse answers, A.
const FUSE_A: f64 = 20.0;

pub fn sections(power_up: &PowerUp) -> Page {
    let each = power_up.stages.iter().enumerate().map(|(place, stage)| {
        let fits = stage.through.is_some();
        (
            fits.then(|| caution::ahead_of(&power_up.cautions, Step::Fit)),
            one(power_up, place),
            idle(power_up).filter(|_| place == 0),
        )
    });
    blocks((
        heading("4. The stages"),
        caution::ahead_of(&power_up.cautions, Step::Measure),
        items([
            "Above \"stop above\": variac to zero, plug out, capacitors emptied. The same if the lamp stays brighter than stated.",
            "The fuse holds in many faults: switch off at the first hum, smell or silence.",
            "Limits hold with the tubes warm: from cold, current and B+ overshoot for some seconds.",
        ]),
        fine(of_the_rectifier(power_up)),
        each,
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

/// A stage, whole on its page: what to set, what to read, where to stop, when to go on.
fn one(power_up: &PowerUp, place: usize) -> Block {
    let stage = &power_up.stages[place];
    let stands = stage.through.map(|m| m.facts().stands);
    let what = match (stands, stage.sockets) {
        (Some(Stands::AtPrimary), _) => "other tap",
        (Some(Stands::Nowhere), _) => "resistor out",
        (Some(Stands::Inside | Stands::InLead), _) => "part in",
        (None, InSockets::Nothing) => "tubes out, lamp in",
        (None, InSockets::Tubes) => "tubes in, lamp in",
        (None, InSockets::All) if stage.lamp_in => "all in, lamp in",
        (None, InSockets::All) => "all in, lamp out",
    };
    let (from, to) = stage.minutes;
    let to = if from == to { String::new() } else { format!(" to {to}") };
    let rows = rows(power_up, stage).into_iter().map(|r| {
        let last = r.stop.map_or(plain("-"), strong);
        row((r.name, strong(r.expect), r.normal.unwrap_or_default(), last, BLANK))
    });
    group(
        Group::Whole,
        (
            heading((
                format!("Stage {} of {}: ", place + 1, power_up.stages.len()),
                (half_volts(stage.variac_v), ", ", what),
            )),
            checks((
                sockets(power_up, stage),
                format!(
                    "Variac to zero, plug in, variac up to {}. Started ________. Leave it on {from}{to} minutes.",
                    half_volts(stage.variac_v)
                ),
            )),
            table(["point", "expect", "normal", "stop above", "read"], rows),
            notes(advice(power_up, stage)),
            checks(line((strong("Continue if "), go_on(power_up, stage.step), " Ended ________."))),
        ),
    )
}

/// What goes into its socket and what comes out before a stage, with the plug out.
fn sockets(power_up: &PowerUp, stage: &Stage) -> Option<String> {
    let rectifier = match power_up.dry {
        true => "rectifier disconnected",
        false => "rectifier out of its socket",
    };
    let lamp = if power_up.lamp.is_some() { ", series lamp" } else { "" };
    if let Some(choice) = power_up.plan.choice(stage.through) {
        return Some(match choice.connect {
            Some(_) => "Plug out, capacitors emptied. Part fitted as the note says; its output, measured alone: ________ V.",
            None => "Plug out, capacitors emptied. What is fitted or moved, as the note says, is done.",
        }.to_owned());
    }
    Some(match (stage.step, stage.sockets) {
        (_, InSockets::Nothing) => {
            format!("Plug out. Tubes out, {rectifier}; dial lamps{lamp} in.")
        }
        (_, InSockets::Tubes) => {
            format!("Plug out, capacitors emptied. Tubes in; still {rectifier}.")
        }
        (3, InSockets::All) if power_up.on_the_line => format!("Plug out. All tubes{lamp} in."),
        (3, InSockets::All) => "Plug out, capacitors emptied. Rectifier in.".to_owned(),
        (4, InSockets::All) => "Plug out, capacitors emptied. Series lamp out.".to_owned(),
        _ => return None,
    })
}

/// The readings that would tell the knee of the iron.
fn idle(power_up: &PowerUp) -> Option<Page> {
    let each = |r: &IdleReading| format!("{} ({})", half_volts(r.at_v), range(r.primary_a, amps));
    listed(power_up.idle.iter().map(each), ", ").map(|volts| {
        blocks((
            notes([line((
                strong("Worth reading after stage 1: "),
                format!(
                    "how near its knee the iron works. Plug out; tubes and rectifier stay out, the series lamp and the dial lamps come out too. Bring the variac up to the first voltage, then step it down to the others: {volts}. Above these currents: variac to zero. Write them into the profile as `no_load`, under `transformer:` and `primary:`, and plan again."
                ),
            ))]),
            lines(power_up.idle.iter().map(|r| field(&half_volts(r.at_v), None))),
        ))
    })
}

/// A point to read at a stage.
struct Point {
    name: String,
    expect: String,
    /// Where sound sets lie about one figure.
    normal: Option<String>,
    stop: Option<String>,
}

impl Point {
    fn new(name: impl Into<String>, expect: impl Into<String>) -> Point {
        Point { name: name.into(), expect: expect.into(), normal: None, stop: None }
    }
}

/// What to read at a stage, with what to expect and where to stop.
fn rows(power_up: &PowerUp, stage: &Stage) -> Vec<Point> {
    let plan = &power_up.plan;
    // between two cases a stage says no more than these
    let sound = |range: Option<String>| range.filter(|_| !stage.two_sided);
    let plug = stage.lamp_in || stage.through.is_some();
    let winding = match power_up.centre_tap {
        true => "HV, plate to center tap, V AC",
        false => "HV winding, V AC",
    };
    let heaters = stage.heaters.iter().map(|h| {
        let link = plan.as_designed.heaters.iter().find(|link| link.winding == h.winding);
        let what = match link {
            Some(link) if link.is_barretter => "across the barretter".to_owned(),
            Some(link) if link.is_tap => format!("heater {}", link.said),
            Some(link) if link.in_string && rest_of_tapped(plan, &h.winding) => {
                format!("heater {}, tap to the far end", h.winding)
            }
            Some(link) if link.is_lamp => {
                format!("dial lamp {}", h.winding)
            }
            Some(link) if link.in_string => format!("heater {}", h.winding),
            _ => format!("heaters {}", h.winding),
        };
        Point::new(format!("{what}, V AC"), format!("{:.2} V", h.volts_v))
    });
    let b_plus = stage.b_plus_v.zip(stage.first_capacitor_v).map(|(b_plus, first)| {
        let stop = power_up.capacitors.first().and_then(|c| c.rated_v).map(nameplate_volts);
        let apart = (first.most - b_plus.most).abs() > 0.5;
        let first = Point { stop, ..Point::new("filter capacitor C1, V DC", wide(first)) };
        let b_plus = Point {
            normal: sound(stage.sound_b_plus_v.map(wide)),
            stop: stage.stop_b_plus_v.map(|v| format!("{v:.0} V")),
            ..Point::new("B+, V DC", wide(b_plus))
        };
        [apart.then_some(first), Some(b_plus)]
    });
    let most_a = StageRange { least: stage.sound_least_a, most: stage.sound_most_a };
    let ammeter = Point {
        normal: sound(Some(range(most_a, amps))),
        stop: Some(amps(stage.stop_a)),
        ..Point::new("ammeter, true RMS", range(stage.primary_a, amps))
    };
    let decides = verdict::deciding(plan).filter(|_| is_last(power_up, stage)).map(|measure| {
        let tips = measure.tips_at.map(|at| (" at ", figure(at, measure.unit)));
        let name = format!("{}, {}", verdict::point(plan, measure), measure.range);
        Point::new(name, words(("decides", tips)))
    });
    let lamp = stage.lamp_v.zip(stage.glow);
    let lamp = lamp.map(|(v, glow)| format!("{}, {}", look(glow), range(v, point_volts)));
    let plug = plug.then(|| Point::new("set's plug, V AC", range(stage.set_v, point_volts)));
    let half = stage.half_v.map(|half| Point::new(winding, point_volts(half)));
    let second = stage.second_v.map(|second| Point::new("B2+, V DC", wide(second)));
    let set = Point::new("watts of the set", range(stage.set_w, watts));
    let resistor = stage
        .mains_resistor_v
        .map(|r| Point::new("across the mains resistor, V AC", range(r, point_volts)));
    let ahead = plug.into_iter().chain(resistor).chain(heaters).chain(half);
    let supply = b_plus.into_iter().flatten().flatten().chain(second);
    let rest = lamp.map(|lamp| Point::new("lamp", lamp)).into_iter().chain(decides);
    ahead.chain(supply).chain([ammeter, set]).chain(rest).collect()
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

/// Words of a stage, with what they are about.
fn about(what: &str, words: impl Pieces<Span>) -> Line {
    line((strong(format!("{}: ", capital(what))), words))
}

/// What is to be known of a stage beside its readings.
fn advice(power_up: &PowerUp, stage: &Stage) -> Vec<Line> {
    let plan = &power_up.plan;
    // what is fitted for the last stage, and the reading that decides there
    let fitted = plan.choice(stage.through).and_then(|choice| {
        let (part, noun) = (choice.part.as_ref()?, capital(choice.method.facts().noun));
        Some(about("before it", format!("{noun}: {part}.")))
    });
    let decides = verdict::deciding(plan).filter(|_| is_last(power_up, stage));
    let emission = stage.emission.filter(|_| stage.two_sided).map(|e| {
        let words = format!(
            "heated at {:.0} % of its voltage it emits about {} of what it does hot",
            100.0 * e.heater,
            percent(e.share)
        );
        let worn = e.worn_a.map(|a| (", ", milliamps(a), " a plate if worn"));
        about("rectifier", (words, worn, "."))
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
            None => "B+ does not tell for certain: find it with the ohmmeter, before any power"
                .to_owned(),
        };
        Some(about("hidden from the ammeter", (each, ". ", how, ".")))
    });
    let told = listed(stage.faults.iter().filter(|f| f.told).map(fault), "; ");
    list((
        fitted,
        decides.map(|m| about("this decides", joined(verdict::reading(plan, m), " "))),
        (power_up.mercury && stage.two_sided).then(|| {
            let words = "mercury vapor: leave it out here, and pass this stage over (see above).";
            about("rectifier", words)
        }),
        emission,
        told.map(|told| about(&format!("above {}, suspect", amps(stage.stop_a)), (told, "."))),
        hidden,
        listed(&stage.unsolved, "; ").map(|all| about("no solution", (all, "."))),
        about("stop as well at", stop_words(power_up, stage)),
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

/// What stands in series on the line, by the first of it.
fn in_series(power_up: &PowerUp) -> &'static str {
    match power_up.plan.as_designed.droppers.first().map(|d| d.kind) {
        Some(PartKind::Cord(_)) => "cord",
        Some(PartKind::Ballast) => "ballast",
        Some(PartKind::Barretter) => "barretter",
        Some(PartKind::Surge | PartKind::SecondSurge | PartKind::MainsResistor) => "resistor",
        Some(_) => "dropper",
        None => "part",
    }
}

fn stop_words(power_up: &PowerUp, stage: &Stage) -> String {
    let words = match stage.step {
        1 => {
            "smell, loud hum, or a transformer that after some minutes, felt unplugged, is too hot for the hand: shorted turns."
        }
        2 => "a heater that stays dark, or a heater voltage more than 5 % off the one above.",
        3 | 4 if stage.b_plus_v.is_some_and(|b| b.least > 20.0) => {
            "a capacitor warm when felt unplugged and drained, current still rising after five minutes, B+ below 20 V after two minutes."
        }
        3 | 4 => {
            "a capacitor warm when felt unplugged and drained, current still rising after five minutes, B+ that falls again (below 20 V it may stay here, and that is no fault yet)."
        }
        5 => "a plate that glows, bias too small, B+ out of proportion.",
        _ if power_up.on_the_line => {
            return format!(
                "a plate that glows, smell, a {} that smokes or a heater far brighter than the rest.",
                in_series(power_up)
            );
        }
        _ => "a plate that glows, smell, a transformer hotter than its allowed rise.",
    };
    words.to_owned()
}

fn go_on(power_up: &PowerUp, number: usize) -> String {
    let in_lead = |c: &Choice| c.method.facts().stands == Stands::InLead;
    let plug = match power_up.plan.advised() {
        Some(c) if in_lead(c) => "Pull the set's own plug out of the part",
        _ => "Plug out",
    };
    let words = match number {
        1 if !power_up.centre_tap => {
            "the transformer is just warm and the HV winding reads as expected (lethal)."
        }
        1 => {
            "the transformer is just warm and the HV halves agree within a few percent (plate to center tap, lethal)."
        }
        2 => "all heaters glow and the current is steady.",
        3 => "B+ rises slowly or stands, and the capacitors are cold.",
        4 => "current and B+ are steady, capacitors cold.",
        5 => "B+ and bias are in proportion to the voltage.",
        _ => "nothing has moved for 15 minutes: done.",
    };
    match power_up.primary_ohms {
        // a part's own winding would lie across the primary
        Some((cold, hot)) if number > 5 => format!(
            "{words} {plug}, and at once the ohmmeter across the plug, switch on: {} cold, {} at most ({:.0} K† of rise, old American practice).",
            ohms(cold),
            ohms(hot),
            power_up.most_rise_k
        ),
        _ => words.to_owned(),
    }
}
