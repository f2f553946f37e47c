//! The part of a plan that says whether it is safe to follow: band, heat, fuse, switch-on, faults.

use super::figures::{amps, celsius, ohms, or_dash, plus_or_minus, signed_percent, volts, watts};
use super::page::{
    Block, Page, Span, Tone, bad, careful, faint, fine, good, heading, items, plain, strong, table,
    text,
};
use super::wiring;
use crate::study::{
    Choice, ChoiceStanding, Fault, FaultCase, FaultReport, HEATER_LIMIT, PlaceReport, Plan,
    RatingReport, Ready,
};

/// All of it.
pub(super) fn sections(plan: &Plan) -> Page {
    let mut page = band(plan);
    page.extend(heat(plan));
    page.extend(switch_on(plan));
    page.extend(dry_rectifier(plan));
    page.extend(faults(plan));
    page
}

fn band(plan: &Plan) -> Page {
    let rows = plan.choices.iter().filter_map(|c| {
        let b = c.band.as_ref()?;
        let edge = |v: f64| {
            let share = v / b.heater_rated_v - 1.0;
            let tone = if share.abs() > HEATER_LIMIT { Tone::Bad } else { Tone::Plain };
            Span::new(signed_percent(share), tone)
        };
        Some(vec![
            plain(c.method.facts().name),
            edge(b.heater_low_v),
            edge(b.heater_high_v),
            plain(plus_or_minus(b.heater_uncertain_v)),
            plain(volts(b.b_plus_low_v)),
            plain(volts(b.b_plus_high_v)),
            plain(plus_or_minus(b.b_plus_uncertain_v)),
        ])
    });
    vec![
        heading("UNCERTAINTY BAND: 95 OF 100 SOUND SETS, FROM LOW TO HIGH LINE"),
        table(["", "heaters from", "to", "±", "B+ from", "to", "±"], rows),
        fine("± is twice the standard uncertainty of all that may be off in the set and the part."),
    ]
}

fn heat(plan: &Plan) -> Page {
    let mut page = Vec::new();
    let ratings =
        |choice| Choice::ratings(choice).map(move |(part, rating)| (choice, part, rating));
    for (choice, part, rating) in plan.choices.iter().flat_map(ratings) {
        // what comes out for it is told with the choice
        page.push(heading(format!("HEAT AND PLACE OF {}", part.named())));
        page.push(text(format!(
            "{} at high line and worst tolerance, printed rating {}. Hot wire, in order: {}.",
            watts(rating.worst_w),
            watts(rating.rated_w),
            wiring::hot_wire(choice)
        )));
        page.push(places(rating, &good("yes"), &bad("no")));
        let reason = |p: &PlaceReport| vec![faint(format!("{}: {}", p.place, p.rule))];
        page.push(items(rating.places.iter().map(reason)));
    }
    page
}

/// How a resistor stands in each place; the last cell is `yes` where it will do.
pub(super) fn places(rating: &RatingReport, yes: &Span, no: &Span) -> Block {
    let rows = rating.places.iter().map(|p| {
        vec![
            plain(p.place),
            plain(celsius(p.ambient_c)),
            plain(watts(p.derated_w)),
            plain(format!("{:.0} %", 100.0 * p.load)),
            plain(celsius(p.surface_c)),
            if p.acceptable { yes.clone() } else { no.clone() },
        ]
    });
    table(["place", "air", "rating left", "used", "surface", "will do"], rows)
}

fn switch_on(plan: &Plan) -> Page {
    let starts = || plan.choices.iter().filter_map(|c| c.cold_start.as_ref());
    let ready = starts().next().map_or(Ready::WithTheTubes, |c| c.ready);
    let count = starts().map(|c| c.capacitors.len()).max().unwrap_or(0);
    let head = ["", "inrush", "× running", "fuse", "heaters warm in"];
    let mut head = head.map(str::to_owned).to_vec();
    for i in 0..count {
        head.push(format!("C{} sees", i + 1));
        head.push("bears".to_owned());
    }
    let rows = plan.choices.iter().filter_map(|c| {
        let cold = c.cold_start.as_ref()?;
        let fuse = or_dash(c.fuse.as_ref(), |f| match f.rating_a {
            Some(rating) => format!("{rating} A {}", short_standard(f.standard)),
            None => "none suits".to_owned(),
        });
        let mut row = vec![
            plain(c.method.facts().name),
            plain(amps(cold.inrush_a)),
            plain(format!("{:.1}", cold.inrush_over_running)),
            plain(fuse),
            plain(format!("{:.1} s", cold.warm_up_s)),
        ];
        for capacitor in &cold.capacitors {
            let tone = if capacitor.exceeds() { Tone::Bad } else { Tone::Plain };
            row.push(Span::new(volts(capacitor.peak_v), tone));
            row.push(plain(or_dash(capacitor.surge_v, |v| surge(v, capacitor.surge_by_rule))));
        }
        Some(row)
    });
    let mut page = vec![
        heading(format!("SWITCH-ON AT {}", volts(plan.outlet.high_v))),
        table(head, rows),
        fine(match ready {
            Ready::AtOnce => "The rectifier is dry: it passes current at once, and the capacitors stand near the crest until the tubes draw.".to_owned(),
            Ready::WithinSeconds => "The rectifier is directly heated: it is ready seconds before the tubes draw, and the capacitors stand near the crest until then.".to_owned(),
            Ready::WithTheTubes => format!(
                "The rectifier is indirectly heated and warms with the tubes: the capacitors see little more than at work. If it is ready early, they see the crest: {}.",
                early(plan)
            ),
        }),
    ];
    for choice in &plan.choices {
        if let Some(fuse) = &choice.fuse
            && let (Some(present), Some(rating)) = (fuse.present_a, fuse.rating_a)
            && fuse.must_change
            && choice.standing == ChoiceStanding::Advised
        {
            page.push(text(careful(format!(
                    "The {present} A fuse now in the set must change to {rating} A slow ({}): the set then runs at {}.",
                    fuse.standard,
                    amps(fuse.running_a)
                ))));
        }
    }
    page.extend(plan.advised().and_then(|c| fuse_words(plan, c)).map(text));
    page
}

/// Why the fuse is not one of the outlet's country, and which choice does with one.
pub(super) fn fuse_words(plan: &Plan, choice: &Choice) -> Option<String> {
    let (other, fuse) = (choice.instead_of.as_ref()?, choice.fuse.as_ref()?);
    let set = plan.fuse.as_ref()?;
    let country = match set.choice == choice.method {
        true => set.country_choice,
        // what is advised does with one, or nothing does
        false => Some(set.choice).filter(|_| set.fuse.standard == other.standard),
    };
    let mut words = format!(
        "Why {}: behind {} A slow ({}) the fault \"{}\" puts {} into a part that bears {} until that fuse must open. Its standard promises two minutes at twice the rating, and nothing shorter. Take a holder for 5 × 20 mm and a fuse marked T.",
        fuse.standard,
        other.rating_a,
        other.standard,
        other.fault,
        watts(other.heat_w),
        watts(other.allowed_w)
    );
    let country = plan.choices.iter().find(|c| Some(c.method) == country);
    words += &match country.and_then(|c| Some((c, c.fuse.as_ref()?.rating_a?))) {
        Some((choice, rating)) => format!(
            " With another choice, {}, {rating} A slow ({}) is enough.",
            choice.title, other.standard
        ),
        None => format!(" No choice with nothing against it does with {}.", other.standard),
    };
    Some(words)
}

/// A dry rectifier in the place of a tube: the resistor, or that the repair is finished.
fn dry_rectifier(plan: &Plan) -> Page {
    let Some(dry) = &plan.dry_rectifier else {
        return Vec::new();
    };
    let (now, tube) = (volts(dry.now_v), volts(dry.with_tube_v));
    let usual = volts(plan.outlet.usual_v);
    let fitted = dry.fitted_ohms.map(ohms);
    let mut words = vec![format!("B+ is {now} at {usual}; with the {} it was {tube}.", dry.tube)];
    match (&dry.resistor, &fitted) {
        (Some(r), fitted) => {
            let each = if r.leads > 1 { " in each plate lead" } else { " in the plate lead" };
            let instead = fitted.as_ref().map(|f| format!(" in place of {f}")).unwrap_or_default();
            let rated = r.rated_w.map(|w| format!(", {w:.0} W wirewound")).unwrap_or_default();
            words.push(format!(
                "Fit {}{rated},{each}{instead} (exact {}): B+ is then {}.",
                ohms(r.stock_ohms),
                ohms(r.exact_ohms),
                volts(r.b_plus_v)
            ));
            words.push(format!(
                "It takes {}{} at {}, by RMS current squared; the average current gives a fraction of that.",
                watts(r.heat_w),
                if r.leads > 1 { " each" } else { "" },
                volts(plan.outlet.high_v)
            ));
            words.push(format!(
                "Then write `replaces: {{ tube: {}, resistor: {} }}` into the profile.",
                dry.tube,
                ohms(r.stock_ohms)
            ));
        }
        (None, Some(fitted)) if dry.finished => {
            words.push(format!("With its {fitted} the repair is finished: fit no other resistor."))
        }
        (None, _) if dry.finished => words.push("It needs no resistor.".to_owned()),
        (None, _) => words.push("No resistor raises it.".to_owned()),
    }
    if !dry.finished {
        words.push(format!("Or put the {} back.", dry.tube));
    }
    words.push(format!(
        "At each switch-on the supply reaches {} at {} before the tubes draw; no resistor changes that.",
        volts(dry.crest_v),
        volts(plan.outlet.high_v)
    ));
    if dry.heater_w > 0.0 {
        words.push(format!(
            "The tube's heater, {}, no longer loads the transformer: the figures here allow for that.",
            watts(dry.heater_w)
        ));
    }
    if dry.ages {
        words.push("Selenium ages: its drop grows and B+ falls (common practice, no source). Trust a reading of B+, not these figures, and replace an old stack.".to_owned());
    }
    let title = format!("{} IN PLACE OF THE {}", dry.kind.to_uppercase(), dry.tube);
    vec![heading(title), text(words.join(" "))]
}

/// What each capacitor gets in the set as it is if its rectifier is ready early.
fn early(plan: &Plan) -> String {
    let start = plan.choices.first().and_then(|c| c.cold_start.as_ref());
    let capacitors = start.iter().flat_map(|start| &start.capacitors).enumerate();
    let each = capacitors.filter_map(|(i, c)| Some(format!("C{} {}", i + 1, volts(c.early_v?))));
    each.collect::<Vec<_>>().join(", ")
}

/// Volts a capacitor bears at switch-on; by rule with a dagger.
fn surge(v: f64, by_rule: bool) -> String {
    volts(v) + if by_rule { "†" } else { "" }
}

fn short_standard(standard: &str) -> &str {
    standard.split(' ').next().unwrap_or(standard)
}

fn seconds(s: f64) -> String {
    if s >= 3600.0 {
        "1 h".to_owned()
    } else if s >= 120.0 {
        format!("{:.0} min", s / 60.0)
    } else {
        format!("{s} s")
    }
}

fn faults(plan: &Plan) -> Page {
    let apart = |f: &FaultReport| f.reservoir_v.is_some();
    let mut words = "Within what time the fuse must open by its standard, and what the part loses until then; \"holds\": it need not open. A dead short is taken as 0.5 Ω; currents through a shorted rectifier are upper bounds. The part is taken to be in the first place that will do. Each choice has its own fuse.".to_owned();
    if plan.choices.iter().any(|c| c.faults.iter().any(apart)) {
        words += " C1: the first filter capacitor's + side, where it stands above B+.";
    }
    let mut page = vec![heading(format!("FAULTS AT {}", volts(plan.outlet.high_v))), fine(words)];
    for choice in plan.choices.iter().filter(|c| !c.faults.is_empty()) {
        let fuse = choice.fuse.as_ref().and_then(|f| Some((f.rating_a?, f.standard)));
        let fuse = or_dash(fuse, |(rating, standard)| format!("{rating} A slow, {standard}"));
        let part = choice.part.as_ref().map(|p| format!(": {p}")).unwrap_or_default();
        page.push(Block::Gap);
        page.push(text(strong(format!("{}{part}, fuse {fuse}", choice.title))));
        let titles = ["", "line", "× fuse", "within", "part", "bears", "heaters", "B+", "C1"];
        // the last column only where it says anything
        let columns = if choice.faults.iter().any(apart) { 9 } else { 8 };
        let rows = choice.faults.iter().map(|f| fault_row(f).into_iter().take(columns).collect());
        page.push(table(titles.into_iter().take(columns), rows));
        let words = |f: &FaultReport| {
            let passed = f.capacitor_passed.as_ref();
            let passed = passed.map(|name| format!("{name} exceeds its rated voltage."));
            let found = passed.into_iter().chain(f.tap_v.map(tap_words));
            found.map(|words| format!("{}: {words}", f.fault)).collect::<Vec<String>>()
        };
        let passed: Vec<String> = choice.faults.iter().flat_map(words).collect();
        if !passed.is_empty() {
            page.push(text(careful(passed.join(" "))));
        }
        let burning = choice.faults.iter().filter(|f| f.mains_resistor_burns);
        let heat =
            burning.filter_map(|f| Some(format!("{} {}", f.fault, watts(f.mains_resistor_w?))));
        let heat: Vec<String> = heat.collect();
        if !heat.is_empty() {
            let words = "The resistor in the mains lead can burn before the fuse opens";
            page.push(text(careful(format!("{words}: {}.", heat.join("; ")))));
        }
    }
    let choice = plan.advised().or(plan.choices.first());
    page.extend(choice.and_then(|c| where_it_holds(&c.faults)).map(text));
    page
}

/// What to do where the fuse need not open.
fn where_it_holds(faults: &[FaultReport]) -> Option<Span> {
    let mut list: Vec<(&str, Vec<String>)> = Vec::new();
    for fault in faults.iter().filter(|f| f.fuse_holds()) {
        let what = what_to_do(fault.fault);
        match list.iter_mut().find(|(other, _)| *other == what) {
            Some((_, names)) => names.push(fault.fault.to_string()),
            None => list.push((what, vec![fault.fault.to_string()])),
        }
    }
    let each = list.iter().map(|(what, names)| format!("{}: {what}", names.join(", ")));
    let each: Vec<String> = each.collect();
    (!each.is_empty()).then(|| {
        careful(format!(
            "The fuse holds. {} A small fuse in the center tap of the HV winding, or in the B+ lead where there is none, catches shorts behind the rectifier.",
            each.join(" ")
        ))
    })
}

/// The tapped part of a heater with its lamp out. 15 V is what tube manuals allow while a 35Z5's lamp is out †.
pub(super) fn tap_words(v: f64) -> String {
    format!(
        "the tapped part of the heater gets {} (15 V† at most while the lamp is out).",
        volts(v)
    )
}

/// What to do about a fault that the fuse need not end.
pub(super) fn what_to_do(fault: FaultCase) -> &'static str {
    match fault {
        FaultCase::InSet(Fault::OutputTubeOut | Fault::LoadsOut) => "pull no tube with power on.",
        FaultCase::InSet(Fault::BranchOpen(_)) => {
            "switch off if a tube stays dark: those beside it can burn out."
        }
        FaultCase::InSet(Fault::FieldCoilOpen) => "connect the speaker before you switch on.",
        FaultCase::InSet(Fault::DialLampOpen) => "replace the lamp before the set plays on.",
        _ => "switch off at the first hum, smell or silence.",
    }
}

fn whole(v: f64) -> String {
    format!("{:.0} V", v.max(0.0))
}

fn fault_row(f: &FaultReport) -> Vec<Span> {
    if let Some(reason) = &f.unsolved {
        return vec![plain(f.fault.to_string()), careful(format!("no answer: {reason}"))];
    }
    let opens = or_dash(f.fuse, |fuse| fuse.opens_within_s.map_or("holds".to_owned(), seconds));
    let tone = if f.burns { Tone::Bad } else { Tone::Plain };
    vec![
        plain(f.fault.to_string()),
        plain(or_dash(f.line_a, amps)),
        plain(or_dash(f.fuse, |x| format!("{:.2}", x.multiple))),
        plain(opens),
        Span::new(
            or_dash(f.part_w, |w| {
                let burns = if f.burns { " BURNS" } else { "" };
                format!("{}{burns}", watts(w))
            }),
            tone,
        ),
        plain(or_dash(f.part_allowed_w, watts)),
        plain(or_dash(f.heater_excess, signed_percent)),
        plain(or_dash(f.b_plus_v, whole)),
        plain(or_dash(f.reservoir_v, whole)),
    ]
}
