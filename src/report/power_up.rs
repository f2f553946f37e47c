//! The staged power-up as a page: what to measure first, the lamp, the stages, when to stop, when to go on.

use super::figures::{amps, nameplate_volts, ohms, point_volts, volts, watts};
use super::note::{Origin, care, made_by, with_spread};
use super::note_readings::filter_resistors;
use super::page::{
    Block, Page, Span, careful, dagger, entry, fine, form, heading, items, notes, plain, strong,
    table, text,
};
use super::plan_tables;
use super::power_up_stage as stage;
use super::words::sentence;
use super::{caution, made_for, name_and_year, outlet_words, verdict};
use crate::study::{
    CapacitorTest, Caution, ColdCheck, ColdKind, Glow, HeaterReading, LampTrial, PowerUp, Step,
};

/// Lays out a power-up.
pub fn page(power_up: &PowerUp, origin: &Origin) -> Page {
    let list = &power_up.cautions;
    let mut page = caution::alarms(list);
    page.extend(head(power_up));
    page.extend(super::readings::head(&power_up.plan.readings));
    page.extend([heading("Before you open the back"), notes(care(list))]);
    page.extend(caution::ahead_of(list, Step::FirstPower));
    let repairs = &power_up.plan.advice.repairs;
    if !repairs.is_empty() {
        page.push(heading("0. Repair first"));
        page.push(items(repairs.iter().map(|r| vec![plain(sentence(r))])));
    }
    page.extend(resistances(power_up));
    page.extend(capacitors(power_up));
    page.extend(lamps(power_up));
    page.extend(stage::sections(power_up));
    page.extend(first_minute(power_up));
    page.extend(assumed(power_up));
    page.extend(dagger(&page));
    page.extend(caution::last(list));
    page.push(made_by(power_up.plan.version, origin));
    page
}

fn head(power_up: &PowerUp) -> Page {
    let plan = &power_up.plan;
    let fitted = super::fitted_to(plan.readings_used)
        .map(|words| format!(" The figures are {words}."))
        .unwrap_or_default();
    // behind a transformer the bench has another current than the line
    let set = plan.fuse.as_ref().filter(|_| power_up.through.is_none());
    let fuse = set.and_then(|f| Some((f, f.fuse.rating_a?)));
    let fuse = fuse.map(|(set, rating)| {
        let advised = plan.advised().map_or(String::new(), |c| format!(" for {}", c.title));
        format!(" The fuse is the plan's{advised}: {rating} A slow ({}).", set.fuse.standard)
    });
    let fuse = fuse.unwrap_or_default();
    vec![
        Block::Title(format!("Power-up: {}", name_and_year(&plan.set))),
        entry("ADVICE", verdict::lines(plan)),
        form([
            ("Set made for", Some(format!("{}, {}", made_for(&plan.set), watts(power_up.set_w)))),
            ("Outlet here", Some(outlet_words(&plan.outlet))),
            ("Rectifier", Some(rectifier(power_up))),
            ("Done by, date", None),
        ]),
        text(format!(
            "The order at the bench: wall, {}isolation transformer, variac{}, fuse, ammeter (true RMS), lamp, set.{fuse}{fitted}",
            power_up
                .through
                .map(|m| format!("{}, ", m.facts().title.to_lowercase()))
                .unwrap_or_default(),
            match plan.advice.do_not_plug_in || plan.advice.not_without_part {
                false => String::new(),
                true => format!(" (never above {} at the set)", point_volts(power_up.target_v)),
            }
        )),
    ]
}

fn rectifier(power_up: &PowerUp) -> String {
    if power_up.dry {
        return format!("{}, dry", power_up.rectifier);
    }
    let kind = match (power_up.mercury, power_up.heated_directly) {
        (true, _) => "mercury vapour",
        (false, true) => "its filament is the cathode",
        (false, false) => "heater and cathode",
    };
    format!("{}, {kind}", power_up.rectifier)
}

fn resistances(power_up: &PowerUp) -> Page {
    let doubtful = power_up.checks.iter().any(|c| c.assumed);
    let renew = match power_up.cautions.contains(&Caution::LineCord) {
        true => {
            "Renew capacitors from line to chassis, and the capacitor to the output tube's grid, first. Never replace the resistance line cord with plain cord alone."
        }
        false => {
            "Renew the line cord, capacitors from line to chassis, and the capacitor to the output tube's grid first."
        }
    };
    let mut page = vec![
        heading("1. Ohmmeter: plug out, tubes in, all cold"),
        items([
                "Empty the filter capacitors through a resistor, then measure that they are empty.",
                renew,
                "Red lead to the more positive point (chassis, against the centre tap); wait while capacitors charge from the meter.",
            ]
            .map(|t| vec![plain(t)])),
        table(["between", "expect", "a sound set", "read"], power_up
                .checks
                .iter()
                .map(|c| check(c, power_up.on_the_line))),
    ];
    let mark = if doubtful {
        "* stands on a value that the profile does not state (listed at the end). "
    } else {
        ""
    };
    page.push(fine(format!(
        "{mark}A sound set: copper and coils within 5 %, resistors 10 %, leads and meter 0.3 Ω and 1 % (customary). Old carbon drifts upwards."
    )));
    let day = plan_tables::as_is(&power_up.plan);
    page.extend(day.and_then(|day| filter_resistors(&day.high)).map(fine));
    let mut words: Vec<ColdKind> = Vec::new();
    for check in &power_up.checks {
        if !words.contains(&check.kind) {
            words.push(check.kind);
        }
    }
    let mut off: Vec<_> = words.into_iter().map(|k| off(k, power_up.on_the_line)).collect();
    let beside = |h: &HeaterReading| h.branch.is_some() || h.feeds_tubes && h.shunted;
    if power_up.plan.as_designed.heaters.iter().any(beside) {
        off.push(vec![strong("Heaters side by side: "), plain(BESIDE)]);
    }
    page.push(notes(off));
    page
}

fn check(c: &ColdCheck, on_the_line: bool) -> Vec<Span> {
    let mark = if c.assumed { " *" } else { "" };
    let (expect, sound) = match (c.expected_ohms, c.kind) {
        (None, ColdKind::Insulation) if on_the_line => {
            ("one pin only".to_owned(), "see below".to_owned())
        }
        (None, ColdKind::Insulation) => ("no path".to_owned(), "over 1 MΩ".to_owned()),
        (None, _) => ("no path".to_owned(), "over 100 kΩ".to_owned()),
        (Some(r), _) if r < 1.0 => (format!("{r:.2} Ω"), "below 1 Ω".to_owned()),
        (Some(r), _) => (ohms(r), format!("{} to {}", ohms(c.least_ohms), ohms(c.most_ohms))),
    };
    vec![plain(&c.between), strong(format!("{expect}{mark}")), plain(sound), Span::blank()]
}

/// What a heater reads that has another or a resistor beside it.
const BESIDE: &str = "higher, not open: a burnt heater reads what lies beside it, and the plug only a little more. Find it before any power: the heaters beside it would burn out.";

/// What a reading that is off means.
fn off(kind: ColdKind, on_the_line: bool) -> Vec<Span> {
    let (name, words) = match kind {
        ColdKind::Primary if on_the_line => (
            "Plug",
            "open: switch, fuse, cord, or one heater of the string. Lower: a heater or the dropper shorted.",
        ),
        ColdKind::Insulation if on_the_line => (
            "Plug to chassis",
            "one pin may be the chassis, or joined to it by a capacitor or resistor: the other way round it is live.",
        ),
        ColdKind::Heaters if on_the_line => (
            "Heaters",
            "open: a burnt heater; the whole string is dark. Tubes out of their sockets read without what lies beside them.",
        ),
        ColdKind::Primary => (
            "Primary",
            "open: switch, fuse, cord or winding. Lower: the wrong tap or a short; shorted turns show in stage 1 only.",
        ),
        ColdKind::Insulation => (
            "Plug to chassis",
            "lower: a line capacitor, a burnt winding, a chafed cord. Find it before any power.",
        ),
        ColdKind::HighVoltage => (
            "HV winding",
            "open in one half: hum, low B+. Halves differ by some per cent: the outer turns are longer.",
        ),
        ColdKind::Heaters => (
            "Heaters",
            "take off what the meter's leads read. Ohms: a bad socket, or the winding open.",
        ),
        ColdKind::Filter => {
            ("Field coil, choke", "open: no B+ after it. Lower: shorted turns, or a wrong part.")
        }
        ColdKind::Supply => (
            "B+ and filter",
            "lower: a leaking capacitor or a short; below 20 kΩ where far more is due: no power. Higher: divider or coil open.",
        ),
        ColdKind::Divider => (
            "Dividers",
            "read in circuit. Higher: drifted or open. Lower: a leaking bypass capacitor.",
        ),
        ColdKind::Cathode => {
            ("Cathode", "higher: drifted or open. Lower: its bypass leaks, and the tube runs hot.")
        }
        ColdKind::Feed => (
            "Plate and screen feeds",
            "open: output transformer or resistor. A burnt screen resistor points to its bypass.",
        ),
    };
    vec![strong(format!("{name}: ")), plain(words)]
}

fn capacitors(power_up: &PowerUp) -> Page {
    vec![
        heading("2. Filter capacitors: leakage, each with one end off"),
        text(
            "From a bench supply through 100 kΩ (10 kΩ up to 75 V), slowly up to the marked volts, milliammeter in the lead. Good: cold, and at rest, after hours, no more than this passes.",
        ),
        table(
            ["capacitor", "works at", "marked", "plain foil", "etched foil", "read"],
            power_up.capacitors.iter().map(capacitor),
        ),
        fine(
            "Figures in print differ widely: 1 mA (Cornell-Dubilier, October 1993†) or 5 to 10 mA (common practice) while reforming; at rest 0.15 and 0.5 µA per µF and volt, plain and etched foil (common practice, no source: the table). Most guides replace old ones; one that warms is finished.",
        ),
    ]
}

fn capacitor(c: &CapacitorTest) -> Vec<Span> {
    let marked = c.rated_v.map_or("not stated".to_owned(), nameplate_volts);
    vec![
        plain(&c.name),
        plain(point_volts(c.works_at_v)),
        plain(marked),
        strong(milliamps(c.plain_a)),
        plain(milliamps(c.etched_a)),
        Span::blank(),
    ]
}

/// A leakage, in milliamperes.
fn milliamps(a: f64) -> String {
    format!("{:.1} mA", 1e3 * a)
}

fn lamps(power_up: &PowerUp) -> Page {
    let mut page = vec![heading("3. Lamp in series")];
    match power_up.lamp.and_then(|i| power_up.lamps.get(i)) {
        Some(lamp) => page.push(Block::Text(vec![
            strong(format!("Take {:.0} W: ", lamp.rated_w)),
            plain(format!(
                "1 to 2 times the set's {} (common practice, no source; larger ones hide a fault). Filament lamps only.",
                watts(power_up.set_w)
            )),
        ])),
        None => page.push(text(
            "No household lamp has a solution with this set: use the variac and the ammeter, with the fuse.",
        )),
    }
    page.push(table(
        [
            "lamp",
            "set gets",
            "lamp gets",
            "it looks",
            "current",
            if power_up.on_the_line { "line shorted" } else { "primary shorted" },
        ],
        power_up.lamps.iter().map(trial),
    ));
    page.push(fine(format!(
        "Whole set, warm, on {}; looks by share of volts (common practice). It flashes at switch-on; bright and staying so is a short.",
        volts(power_up.feed_v)
    )));
    page
}

fn trial(t: &LampTrial) -> Vec<Span> {
    vec![
        plain(&t.name),
        plain(point_volts(t.set_v)),
        plain(point_volts(t.lamp_v)),
        plain(look(t.glow)),
        plain(amps(t.amps)),
        plain(amps(t.shorted_a)),
    ]
}

/// How a lamp looks.
pub(super) fn look(glow: Glow) -> &'static str {
    match glow {
        Glow::Dark => "dark",
        Glow::DullRed => "dull red",
        Glow::Orange => "orange",
        Glow::Yellowish => "yellowish",
        Glow::Full => "full",
    }
}

/// The last stage from cold.
fn first_minute(power_up: &PowerUp) -> Page {
    let Some(start) = &power_up.start else {
        return Page::new();
    };
    let mut page =
        vec![heading("The first minute of the last stage"), text(super::switch_on::words(start))];
    page.extend(super::switch_on::figure(start).ok().map(Block::Figure));
    page
}

/// What was filled in, in a paragraph, and what the reader of the profile found odd.
fn assumed(power_up: &PowerUp) -> Page {
    let (list, odd) = (&power_up.plan.assumptions, &power_up.plan.warnings);
    let mut page = Vec::new();
    if !list.is_empty() {
        let each: Vec<String> = list.iter().map(with_spread).collect();
        page.push(fine(format!("{}. `mainsfit plan` gives the rule of each.", each.join("; "))));
    }
    if !odd.is_empty() {
        page.push(items(odd.iter().map(|w| vec![careful(w)])));
    }
    if !page.is_empty() {
        page.insert(0, heading("Assumed, or odd in the profile"));
    }
    page
}
