//! The part of a plan that says whether it is safe to follow: band, heat, fuse, switch-on, faults.

use super::{
    at_start,
    build::{joined, listed, once},
    figures::{
        amps, by_rule, celsius, ohms, or_dash, plus_or_minus, signed_percent, slow, volts, watts,
        whole_volts,
    },
    on_the_line,
    page::{
        Block, Line, Page, Span, Tone, bad, careful, faint, fine, good, items, line, row, section,
        strong, table, text,
    },
    rated, wiring,
    words::capital,
};
use crate::study::{
    Choice, Fault, FaultCase, FaultReport, HEATER_LIMIT, Plan, RatingReport, Ready,
};

pub fn band(plan: &Plan) -> Page {
    let rows = plan.choices.iter().filter_map(|c| {
        let b = c.band.as_ref()?;
        let edge = |v: f64| {
            let share = v / b.heater_rated_v - 1.0;
            Tone::bad_if(share.abs() > HEATER_LIMIT).of(signed_percent(share))
        };
        Some(row((
            c.method.facts().name,
            [b.heater_low_v, b.heater_high_v].map(edge),
            plus_or_minus(b.heater_uncertain_v),
            [b.b_plus_low_v, b.b_plus_high_v].map(volts),
            plus_or_minus(b.b_plus_uncertain_v),
        )))
    });
    section(
        "UNCERTAINTY BAND: 95 OF 100 SOUND SETS, FROM LOW TO HIGH LINE",
        (
            table(["", "heaters from", "to", "±", "B+ from", "to", "±"], rows),
            fine(
                "± is twice the standard uncertainty of all that may be off in the set and the part.",
            ),
        ),
    )
}

pub fn heat(plan: &Plan) -> Page {
    let each = |choice| {
        let sections = Choice::ratings(choice).map(move |(part, rating)| {
            let reasons = rating.places.iter().map(|p| line(faint((p.place, ": ", p.rule))));
            // what comes out for it is told with the choice
            let title = format!("HEAT AND PLACE OF {}", part.named());
            let words = format!(
                "{} at high line and worst tolerance, printed rating {}. Hot wire, in order: {}.",
                watts(rating.worst_w),
                watts(rating.rated_w),
                wiring::hot_wire(choice)
            );
            section(title, (text(words), places(rating, &good("yes"), &bad("no")), items(reasons)))
        });
        sections.flatten()
    };
    plan.choices.iter().flat_map(each).collect()
}

/// How a resistor stands in each place; the last cell is `yes` where it will do.
pub fn places(rating: &RatingReport, yes: &Span, no: &Span) -> Block {
    let rows = rating.places.iter().map(|p| {
        row((
            p.place,
            celsius(p.ambient_c),
            watts(p.derated_w),
            format!("{:.0} %", 100.0 * p.load),
            celsius(p.surface_c),
            if p.acceptable { yes.clone() } else { no.clone() },
        ))
    });
    table(["place", "air", "derated to", "load", "surface", "suitable"], rows)
}

/// The places that will do.
pub fn suiting(rating: &RatingReport) -> String {
    joined(rating.places.iter().filter(|p| p.acceptable).map(|p| p.place), ", or ")
}

pub fn switch_on(plan: &Plan) -> Page {
    let starts = || plan.choices.iter().filter_map(|c| Some((c, c.cold_start.as_ref()?)));
    let as_is = at_start(plan.choices.first());
    // the set as it is may have no start: it must not be plugged in
    let capacitors = starts().map(|(_, cold)| cold.capacitors.len()).max().unwrap_or(0);
    let each = (1..=capacitors).map(|i| (format!("C{i} sees"), "bears"));
    let early = as_is.iter().zip(1..);
    let early = early.filter_map(|(c, i)| Some(format!("C{i} {}", volts(c.early_v?))));
    let rows = starts().map(|(c, cold)| {
        let fuse = or_dash(c.fuse.as_ref(), |f| {
            f.rating_a.map_or("none suits".to_owned(), |rating| format!("{rating} A {}", f.short))
        });
        let capacitors = cold.capacitors.iter().map(|c| {
            let sees = Tone::bad_if(c.exceeds()).of(volts(c.peak_v));
            (sees, or_dash(c.surge_v, |v| by_rule(v, c.surge_by_rule)))
        });
        row((
            c.method.facts().name,
            amps(cold.inrush_a),
            format!("{:.1}", cold.inrush_over_running),
            fuse,
            format!("{:.1} s", cold.warm_up_s),
            capacitors,
        ))
    });
    let ready = starts().next().map_or(Ready::WithTheTubes, |(_, cold)| cold.ready);
    let ready = match ready {
        Ready::AtOnce => "The rectifier is dry: it passes current at once, and the capacitors stand near the crest until the tubes draw.".to_owned(),
        Ready::WithinSeconds => "The rectifier is directly heated: it is ready seconds before the tubes draw, and the capacitors stand near the crest until then.".to_owned(),
        Ready::WithTheTubes => format!(
            "The rectifier is indirectly heated and warms with the tubes: the capacitors see little more than at work. If it is ready early, they see the crest: {}.",
            joined(early, ", ")
        ),
    };
    let changed = plan.advised().and_then(|choice| {
        let fuse = choice.fuse.as_ref().filter(|fuse| fuse.must_change)?;
        Some(careful(format!(
            "The {} A fuse now in the set must change to {}: the set then runs at {}.",
            fuse.present_a?,
            slow(rated(fuse)?),
            amps(fuse.running_a)
        )))
    });
    section(
        ("SWITCH-ON AT ", volts(plan.outlet.high_v)),
        (
            table((["", "inrush", "× running", "fuse", "heaters warm in"], each), rows),
            fine(ready),
            changed.map(text),
            plan.advised().and_then(|c| fuse_words(plan, c)).map(text),
        ),
    )
}

/// Why the fuse is not one of the outlet's country, and which choice does with one.
pub fn fuse_words(plan: &Plan, choice: &Choice) -> Option<String> {
    let (other, fuse) = (choice.instead_of.as_ref()?, choice.fuse.as_ref()?);
    let set = plan.fuse.as_ref()?;
    let country = match set.choice == choice.method {
        true => set.country_choice,
        // what is advised does with one, or nothing does
        false => Some(set.choice).filter(|_| set.fuse.standard == other.standard),
    };
    let country = plan.choice(country).and_then(|c| Some((c.title, c.fuse.as_ref()?.rating_a?)));
    let country = match country {
        Some((title, rating)) => {
            let slow = slow((rating, other.standard));
            format!("With another choice, {title}, {slow} is enough.")
        }
        None => format!("No choice with nothing against it does with {}.", other.standard),
    };
    Some(format!(
        "Why {}: behind {} the fault \"{}\" puts {} into a part that bears {} until that fuse must open. Its standard promises two minutes at twice the rating, and nothing shorter. Take a holder for 5 × 20 mm and a fuse marked T. {country}",
        fuse.standard,
        slow((other.rating_a, other.standard)),
        other.fault,
        watts(other.heat_w),
        watts(other.allowed_w)
    ))
}

/// A dry rectifier in the place of a tube: the resistor, or that the repair is finished.
pub fn dry_rectifier(plan: &Plan) -> Option<Page> {
    let dry = plan.dry_rectifier.as_ref()?;
    let high = volts(plan.outlet.high_v);
    let fitted = dry.fitted_ohms.map(ohms);
    let fit = dry.resistor.as_ref().map(|r| {
        let (lead, each) = if r.leads > 1 { ("each", " each") } else { ("the", "") };
        let instead = fitted.as_ref().map(|f| format!(" in place of {f}")).unwrap_or_default();
        let rated = r.rated_w.map(|w| format!(", {w:.0} W wirewound")).unwrap_or_default();
        let stock = ohms(r.stock_ohms);
        format!(
            " Fit {stock}{rated}, in {lead} plate lead{instead} (exact {}): B+ is then {}. It takes {}{each} at {high}, by RMS current squared; the average current gives a fraction of that. Then write `replaces: {{ tube: {}, resistor: {stock} }}` into the profile.",
            ohms(r.exact_ohms),
            volts(r.b_plus_v),
            watts(r.heat_w),
            dry.tube
        )
    });
    let fit = fit.unwrap_or_else(|| match &fitted {
        Some(fitted) if dry.finished => {
            format!(" With its {fitted} the repair is finished: fit no other resistor.")
        }
        _ if dry.finished => " It needs no resistor.".to_owned(),
        _ => " No resistor raises it.".to_owned(),
    });
    Some(section(
        (dry.kind.to_uppercase(), " IN PLACE OF THE ", &dry.tube),
        text((
            format!(
                "B+ is {} at {}; with the {} it was {}.",
                volts(dry.now_v),
                volts(plan.outlet.usual_v),
                dry.tube,
                volts(dry.with_tube_v)
            ),
            fit,
            (!dry.finished).then_some((" Or put the ", &dry.tube, " back.")),
            format!(
                " At each switch-on the supply reaches {} at {high} before the tubes draw; no resistor changes that.",
                volts(dry.crest_v)
            ),
            (dry.heater_w > 0.0).then(|| {
                format!(
                    " The tube's heater, {}, no longer loads the transformer: the figures here allow for that.",
                    watts(dry.heater_w)
                )
            }),
            dry.ages.then_some(
                " Selenium ages: its drop grows and B+ falls (common practice, no source). Trust a reading of B+, not these figures, and replace an old stack.",
            ),
        )),
    ))
}

/// A time in a cell, or in a sentence.
pub fn seconds(s: f64, hour: &str, minutes: &str) -> String {
    match s {
        s if s >= 3600.0 => hour.to_owned(),
        s if s >= 120.0 => format!("{:.0} {minutes}", s / 60.0),
        s => format!("{s} s"),
    }
}

pub fn faults(plan: &Plan) -> Page {
    let apart = |c: &Choice| c.faults.iter().any(|f| f.reservoir_v.is_some());
    let (reservoir, is) = match plan.as_designed.rectifier.doubles {
        true => ("doubler", " Doubler: its output, where that stands above B+."),
        false => ("C1", " C1: the first filter capacitor's + side, where it stands above B+."),
    };
    let each = plan.choices.iter().filter(|c| !c.faults.is_empty()).map(|choice| {
        let fuse = choice.fuse.as_ref().and_then(rated);
        let fuse = or_dash(fuse, |(rating, standard)| format!("{rating} A slow, {standard}"));
        let part = choice.part.as_ref().map(|part| format!(": {part}"));
        let titles = ["", "line", "× fuse", "within", "part", "bears", "heaters", "B+"];
        // the last column only where it says anything
        let c1 = apart(choice);
        let passed = choice.faults.iter().flat_map(|f| {
            let passed = f.capacitor_passed.as_ref();
            let passed = passed.map(|name| format!("{name} exceeds its rated voltage."));
            let found = passed.into_iter().chain(f.tap_v.map(tap_words));
            found.map(|words| format!("{}: {words}", f.fault))
        });
        let burning = choice.faults.iter().filter(|f| f.mains_resistor_burns);
        let burning =
            burning.filter_map(|f| Some(format!("{} {}", f.fault, watts(f.mains_resistor_w?))));
        let burning = joined(burning, "; ");
        (
            Block::Gap,
            text(strong((choice.title, part, ", fuse ", fuse))),
            table(
                (titles, c1.then_some(reservoir)),
                choice.faults.iter().map(|f| fault_row(f, c1)),
            ),
            text(careful(joined(passed, " "))).if_any(),
            (!burning.is_empty()).then(|| {
                let words = "The resistor in the line cord can burn before the fuse opens: ";
                text(careful((words, burning, ".")))
            }),
        )
    });
    let choice = plan.advised().or(plan.choices.first());
    section(
        ("FAULTS AT ", volts(plan.outlet.high_v)),
        (
            fine((
                "Within what time the fuse must open by its standard, and what the part loses until then; \"holds\": it need not open. A dead short is taken as 0.5 Ω; currents through a shorted rectifier are upper bounds. The part is taken to be in the first suitable place. Each choice has its own fuse.",
                plan.choices.iter().any(apart).then_some(is),
            )),
            each,
            choice.and_then(|c| where_it_holds(&c.faults, on_the_line(plan))).map(text),
        ),
    )
}

/// What to do where the fuse need not open.
fn where_it_holds(faults: &[FaultReport], on_the_line: bool) -> Option<Span> {
    let place = match on_the_line {
        true => "in the B+ lead",
        false => "in the center tap of the HV winding, or in the B+ lead where there is none,",
    };
    may_hold(faults).map(|each| {
        careful(format!(
            "The fuse holds. {each} A small fuse {place} catches shorts behind the rectifier."
        ))
    })
}

/// Faults that the fuse need not end, and what to do about them.
pub fn may_hold(faults: &[FaultReport]) -> Option<String> {
    let holds = || faults.iter().filter(|f| f.fuse_holds()).map(|f| f.fault);
    let each = once(holds().map(what_to_do)).into_iter().map(|what| {
        let alike = holds().filter(|fault| what_to_do(*fault) == what);
        capital(&format!("{}: {what}", joined(alike, ", ")))
    });
    listed(each, " ")
}

/// What tube manuals allow across the tapped part of a 35Z5's heater while its lamp is out †, V.
const TAP_V: f64 = 15.0;

/// The tapped part of a heater with its lamp out.
pub fn tap_words(v: f64) -> String {
    let most = if v > TAP_V { "more than the" } else { "of the" };
    format!(
        "the tapped part of the heater gets {}, {most} {TAP_V:.0} V† that it bears while the lamp is out.",
        volts(v)
    )
}

/// What to do about a fault that the fuse need not end.
pub fn what_to_do(fault: FaultCase) -> &'static str {
    match fault {
        FaultCase::InSet(Fault::OutputTubeOut | Fault::LoadsOut) => "pull no tube with power on.",
        FaultCase::InSet(Fault::BranchOpen(_)) => {
            "switch off if a tube stays dark: those beside it can burn out."
        }
        FaultCase::InSet(Fault::FieldCoilOpen) => "connect the speaker before you switch on.",
        FaultCase::InSet(Fault::DialLampOpen) => "replace the lamp before the set plays on.",
        FaultCase::InSet(
            Fault::FirstCapacitorShorted
            | Fault::SecondCapacitorShorted
            | Fault::BPlusShorted
            | Fault::HalfWindingShorted
            | Fault::PlateToFilament
            | Fault::WindingShorted
            | Fault::PrimaryShorted
            | Fault::LineShorted
            | Fault::StringShorted(_)
            | Fault::DropperCapacitorShorted
            | Fault::ChokeOpen,
        )
        | FaultCase::Open(_)
        | FaultCase::Reversed(_)
        | FaultCase::Partial => "switch off at the first hum, smell or silence.",
    }
}

/// A fault in figures; `c1` where the first capacitor has a column.
fn fault_row(f: &FaultReport, c1: bool) -> Line {
    let name = f.fault.to_string();
    if let Some(reason) = &f.unsolved {
        return row((name, careful(("no answer: ", reason))));
    }
    let within = |s| seconds(s, "1 h", "min");
    let burns = f.burns.then_some(" BURNS");
    row((
        name,
        or_dash(f.line_a, amps),
        or_dash(f.fuse, |x| format!("{:.2}", x.multiple)),
        or_dash(f.fuse, |fuse| fuse.opens_within_s.map_or("holds".to_owned(), within)),
        Tone::bad_if(f.burns).of((or_dash(f.part_w, watts), burns.filter(|_| f.part_w.is_some()))),
        or_dash(f.part_allowed_w, watts),
        or_dash(f.heater_excess, signed_percent),
        or_dash(f.b_plus_v, whole_volts),
        c1.then(|| or_dash(f.reservoir_v, whole_volts)),
    ))
}
