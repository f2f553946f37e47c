//! The staged power-up as a page: what to measure first, the lamp, the stages, when to stop, when to go on.

use super::{
    build::{listed, once},
    caution,
    drawing::{self, Bench},
    figures::{amps, nameplate_volts, ohms, or_dash, point_volts, slow, volts, watts},
    fitted_to, made_for, name_and_year,
    note_readings::filter_resistors,
    origin::{foot, made_by},
    outlet_words,
    page::{
        BLANK, Block, Line, Page, blocks, careful, checks, entry, field, fine, form, items, line,
        lines, notes, plain, row, section, strong, table, text, title, with_dagger,
    },
    plan_limits::with_spread,
    plan_tables::as_is,
    power_up_stage::{self as stage, look},
    rated, readings, switch_on, verdict,
    words::{at_part, sentence},
};
use crate::study::{
    CapacitorTest, Caution, ColdCheck, ColdKind, HeaterReading, LampTrial, Origin, PowerUp, Step,
};

/// Lays out a power-up.
pub fn page(power_up: &PowerUp, origin: &Origin) -> Page {
    let plan = &power_up.plan;
    // this sheet is what it asks for
    let list: Vec<Caution> =
        power_up.cautions.iter().filter(|c| **c != Caution::FirstPowerUp).cloned().collect();
    let list = &list;
    let repairs = checks(plan.advice.repairs.iter().map(|repair| sentence(repair)));
    let page = with_dagger((
        caution::alarms(list),
        head(power_up),
        readings::head(&plan.readings),
        caution::care(list),
        caution::ahead_of(list, Step::FirstPower),
        section("0. Repair first", repairs.if_any()),
        resistances(power_up),
        capacitors(power_up),
        lamps(power_up),
        stage::sections(power_up),
        first_minute(power_up),
        assumed(power_up),
    ));
    let foot = foot(&name_and_year(&plan.set), origin);
    blocks((foot, page, caution::last(list), made_by(plan, origin)))
}

fn head(power_up: &PowerUp) -> Page {
    let plan = &power_up.plan;
    // behind a transformer the bench has another current than the line
    let set = plan.fuse.as_ref().filter(|_| power_up.through.is_none());
    let fuse = set.and_then(|set| {
        let advised = plan.advised().map_or(String::new(), |c| format!(" for {}", c.title));
        let slow = slow(rated(&set.fuse)?);
        Some(format!(" The fuse is the plan's{advised}: {slow}."))
    });
    let drawn = Bench {
        through: power_up.through.map(|m| m.facts().noun),
        fuse: plan.fuse.as_ref().filter(|_| power_up.through.is_none()).and_then(|set| {
            let (rating, _) = rated(&set.fuse)?;
            Some(format!("{rating} A slow"))
        }),
        lamp: power_up.lamp.and_then(|i| power_up.lamps.get(i)).map(|l| l.name.clone()),
    };
    let through = power_up.through.map(|m| m.facts().title.to_lowercase() + ", ");
    let bound = plan.advice.do_not_plug_in || plan.advice.not_without_part;
    let bound = bound.then(|| (" (never above ", point_volts(power_up.target_v), " at the set)"));
    blocks((
        title(("Power-up: ", name_and_year(&plan.set))),
        entry("ADVICE", verdict::lines(plan)),
        form((
            field(
                "Set made for",
                format!("{}; draws {} as calculated", made_for(&plan.set), watts(power_up.set_w)),
            ),
            field("Outlet here", outlet_words(&plan.outlet)),
            field("Rectifier", format!("{}, {}", power_up.rectifier, rectifier(power_up))),
        )),
        lines(["Done by", "Date"].map(|label| field(label, None))),
        text((
            ("The order at the bench: wall, ", through, "isolation transformer, variac", bound),
            ", fuse, ammeter (true RMS), lamp, set.",
            fuse,
            fitted_to(plan.readings_used).map(|words| (" The figures are ", words, ".")),
        )),
        Block::Figure(drawing::bench(&drawn)),
    ))
}

fn rectifier(power_up: &PowerUp) -> &'static str {
    match (power_up.mercury, power_up.heated_directly) {
        _ if power_up.dry => "dry",
        (true, _) => "mercury vapor",
        (false, true) => "its filament is the cathode",
        (false, false) => "heater and cathode",
    }
}

fn resistances(power_up: &PowerUp) -> Page {
    let (all, on_the_line) = (&power_up.checks, power_up.on_the_line);
    let renew = match power_up.cautions.contains(&Caution::LineCord) {
        true => {
            "Renew capacitors from line to chassis, and the capacitor to the output tube's grid, first. Never replace the resistance line cord with plain cord alone."
        }
        false => {
            "Renew the line cord, capacitors from line to chassis, and the capacitor to the output tube's grid first."
        }
    };
    let mark = all
        .iter()
        .any(|c| c.assumed)
        .then_some("* stands on a value that the profile does not state (listed at the end). ");
    let beside = |h: &HeaterReading| h.branch.is_some() || h.feeds_tubes && h.shunted;
    let beside = power_up.plan.as_designed.heaters.iter().any(beside);
    let kinds = once(all.iter().map(|check| check.kind));
    let off = kinds.into_iter().map(|kind| off(kind, on_the_line));
    let off = off.chain(beside.then_some(BESIDE));
    let day = as_is(&power_up.plan);
    let resistor = day.is_some_and(|day| day.usual.mains_resistor().is_some());
    section(
        "1. Ohmmeter: plug out, tubes in, all cold",
        (
            checks((
                "Empty the filter capacitors through a resistor, then measure that they are empty.",
                renew,
                resistor.then_some("The resistor in the line cord goes into the new one too."),
                "Red lead to the more positive of the two points; wait while capacitors charge from the meter.",
            )),
            table(
                (["between", "expect", "a sound set"], on_the_line.then_some("at work"), "read"),
                all.iter().map(|c| check(c, on_the_line)),
            ),
            fine((
                mark,
                "A sound set: copper and coils within 5 %, resistors 10 %, leads and meter 0.3 Ω and 1 % (customary). Old carbon resistors drift upward.",
            )),
            day.and_then(|day| filter_resistors(&day.high)).map(fine),
            notes(off.map(|(name, words)| line((strong((name, ": ")), words)))),
        ),
    )
}

fn check(c: &ColdCheck, on_the_line: bool) -> Line {
    let (expect, sound) = match (c.expected_ohms, c.kind) {
        (None, ColdKind::Insulation) if on_the_line => ("one pin only".to_owned(), "see below"),
        (None, ColdKind::Insulation) => ("no path".to_owned(), "over 1 MΩ"),
        (None, _) => ("no path".to_owned(), "over 100 kΩ"),
        (Some(r), _) if r < 1.0 => (format!("{r:.2} Ω"), "below 1 Ω"),
        (Some(r), _) => (ohms(r), ""),
    };
    let range = sound.is_empty().then(|| [c.least_ohms, c.most_ohms].map(ohms).join(" to "));
    let mark = c.assumed.then_some(" *");
    let out = c.tubes_out_ohms.map(|out| format!("; tubes out {}", ohms(out)));
    let at_work = on_the_line.then(|| or_dash(c.at_work_ohms, ohms));
    row((plain((&c.between, out)), strong((expect, mark)), plain((sound, range)), at_work, BLANK))
}

/// What a heater reads that has another or a resistor beside it.
const BESIDE: (&str, &str) = (
    "Heaters side by side",
    "higher, not open: a burnt heater reads what lies beside it, and the plug only a little more. Find it before any power: the heaters beside it would burn out.",
);

/// What is read, and what a reading that is off means.
fn off(kind: ColdKind, on_the_line: bool) -> (&'static str, &'static str) {
    match kind {
        ColdKind::Primary if on_the_line => (
            "Plug",
            "open: switch, fuse, cord, or one heater of the string. Lower: a heater shorted, or a part in series with it.",
        ),
        ColdKind::Dropper => (
            "Droppers",
            "the same with tubes in or out, unless the table says so; open or higher: burnt out or drifted, and what it feeds is dark or low. Lower: a part of it is bridged.",
        ),
        ColdKind::Ballast => (
            "Ballast",
            "voltage over current gives its ohms at work; cold its wire reads 5 to 10 % less†. Open: burnt out.",
        ),
        ColdKind::Insulation if on_the_line => (
            "Plug to chassis",
            "one pin may be the chassis, or joined to it by a capacitor or resistor: the other way round it is live.",
        ),
        ColdKind::Heaters if on_the_line => (
            "Heaters",
            "open: a burnt heater; the whole string is dark. Cold, heater, lamp and barretter read a small part of what they have at work: that is no short. Tubes out of their sockets read without what lies beside them.",
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
            "open in one half: hum, low B+. Halves differ by some percent: the outer turns are longer.",
        ),
        ColdKind::Heaters => (
            "Heaters",
            "take off what the meter's leads read. Ohms: a bad socket, or the winding open.",
        ),
        ColdKind::Filter => {
            ("Filter", "open: no B+ after it. Lower: shorted turns, or a wrong part.")
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
    }
}

fn capacitors(power_up: &PowerUp) -> Page {
    section(
        "2. Filter capacitors: leakage, each with one end off",
        (
            text(
                "From a bench supply through 100 kΩ (10 kΩ up to 75 V), slowly up to the marked voltage, milliammeter in the lead. Good: cold, and at rest, after hours, no more than this passes.",
            ),
            table(
                ["capacitor", "works at", "marked", "plain foil", "etched foil", "read"],
                power_up.capacitors.iter().map(capacitor),
            ),
            fine(
                "Printed figures differ: 1 mA (Cornell-Dubilier, October 1993†) or 5 to 10 mA (common practice) while reforming; at rest 0.15 and 0.5 µA per µF and volt, plain and etched foil (common practice, no source: the table). Most guides replace old ones; one that warms is finished.",
            ),
        ),
    )
}

fn capacitor(c: &CapacitorTest) -> Line {
    let milliamps = |a: f64| format!("{:.1} mA", 1e3 * a);
    row((
        at_part(&c.name, Some(&c.part)),
        point_volts(c.works_at_v),
        c.rated_v.map_or("not stated".to_owned(), nameplate_volts),
        strong(milliamps(c.plain_a)),
        milliamps(c.etched_a),
        BLANK,
    ))
}

fn lamps(power_up: &PowerUp) -> Page {
    let shorted = if power_up.on_the_line { "line shorted" } else { "primary shorted" };
    let taken = match power_up.lamp.and_then(|i| power_up.lamps.get(i)) {
        Some(lamp) => text((
            strong(format!("Take {:.0} W: ", lamp.rated_w)),
            format!(
                "1 to 2 times the set's {} (common practice, no source; larger ones hide a fault). Filament lamps only.",
                watts(power_up.set_w)
            ),
        )),
        None => text(
            "No household lamp has a solution with this set: use the variac and the ammeter, with the fuse.",
        ),
    };
    section(
        "3. Lamp in series",
        (
            taken,
            table(
                ["lamp", "at the set", "at the lamp", "it looks", "current", shorted],
                power_up.lamps.iter().map(trial),
            ),
            fine(format!(
                "Whole set, warm, on {}; looks by share of volts (common practice). It flashes at switch-on; bright and staying so is a short.",
                volts(power_up.feed_v)
            )),
        ),
    )
}

fn trial(t: &LampTrial) -> Line {
    row((
        &t.name,
        [t.set_v, t.lamp_v].map(point_volts),
        look(t.glow),
        [t.amps, t.shorted_a].map(amps),
    ))
}

/// The last stage from cold.
fn first_minute(power_up: &PowerUp) -> Option<Page> {
    let start = power_up.start.as_ref()?;
    let figure = switch_on::figure(start).ok().map(Block::Figure);
    Some(section("The first minute of the last stage", (text(switch_on::words(start)), figure)))
}

/// What was filled in, in a paragraph, and what the reader of the profile found odd.
fn assumed(power_up: &PowerUp) -> Page {
    let (list, odd) = (&power_up.plan.assumptions, &power_up.plan.warnings);
    let each = listed(list.iter().map(with_spread), "; ");
    let each = each.map(|each| fine((each, ". `mainsfit plan` gives the rule of each.")));
    let odd = items(odd.iter().map(|w| line(careful(w)))).if_any();
    section("Assumed, or odd in the profile", (each, odd))
}
