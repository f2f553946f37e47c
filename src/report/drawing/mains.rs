//! The mains side: from the plug to the set's transformer or heater string, with a choice's part in the live lead.

use super::Drawing;
use super::mains_part::{self, Words};
use super::mains_set::Set;
use super::pen::Anchor::{End, Middle, Start};
use super::pen::{BOLD, PLAIN, Pen, SIZE, solid};
use super::symbol;
use super::text::{clean, wrap};
use crate::adaptation::{Method, Stands, Station};
use crate::report::figures::{amps, volts};
use crate::study::{Choice, FuseReport, Plan, Reading};

/// Height of the drawing.
pub(super) const HEIGHT: f64 = 296.0;
/// Live lead.
pub(super) const LIVE: f64 = 130.0;
/// Neutral lead.
pub(super) const NEUTRAL: f64 = 266.0;
/// Where the part's place begins, ends, and its middle.
pub(super) const PART_FROM: f64 = 280.0;
pub(super) const PART_TO: f64 = 460.0;
pub(super) const PART_MID: f64 = 385.0;
/// The set's primary.
pub(super) const PRIMARY: f64 = 590.0;
/// What a drawing is narrower by where nothing stands in the part's place.
pub(super) const NOTHING: f64 = 250.0;
/// What it is wider by for a part behind a step transformer, or ahead of taps.
pub(super) const BEHIND: f64 = 190.0;
/// Length of a resistor that the set has in its lead.
const RESISTOR: f64 = 36.0;
/// Where the windings of a step transformer stand.
pub(super) const STEP_PRIMARY: f64 = PART_MID - 30.0;
pub(super) const STEP_SECONDARY: f64 = PART_MID - 2.0;

/// The mains side of a set with a choice in its live lead, on the usual line. `prefix` makes the drawing's ids unique
/// in a page.
///
/// A choice without readings (`day`) is drawn without the figures they would give.
pub fn mains_side(plan: &Plan, choice: &Choice, prefix: &str) -> Drawing {
    let usual = choice.day.as_ref().map(|d| &d.usual);
    let mut pen = Pen::default();
    // nothing stands in the lead of a set as it is, or of one with its part inside
    let facts = choice.method.facts();
    let bare = matches!(facts.stands, Stands::Nowhere | Stands::Inside);
    let second = choice.behind.as_ref().and_then(|b| b.method).filter(|_| facts.steps);
    let both = choice.method == Method::TapAndPart && choice.behind.is_some();
    let narrower = match second {
        Some(_) => -BEHIND,
        None if both => -BEHIND,
        None if bare => NOTHING,
        None => 0.0,
    };
    let at_primary = matches!(choice.method, Method::Tap | Method::TapAndPart);
    let resistor = usual.and_then(Reading::mains_resistor).filter(|_| !at_primary);
    pen.width -= narrower;
    // separate windings: neutral ends at the transformer
    plug(&mut pen, plan, if facts.steps { STEP_PRIMARY } else { PRIMARY - narrower });
    let fuse = fuse(&mut pen, plan.set.fuse_a, choice);
    symbol::switch(&mut pen, (165.0, LIVE), (215.0, LIVE));
    pen.text((190.0, 105.0), Middle, PLAIN, "switch");
    if let Some(usual) = usual {
        let y = LIVE;
        pen.mark(solid(&[(248.0, y), (237.0, y - 4.0), (237.0, y + 4.0)]));
        let at = (242.0, y - 12.0);
        pen.text(at, Middle, BOLD, &amps(usual.line_a));
        pen.text((242.0, y + 20.0), Middle, PLAIN, "line current");
    }
    if !bare {
        pen.wire("switched live", &[(215.0, LIVE), (PART_FROM, LIVE)]);
    }
    let set = Set::of(plan);
    let short = resistor.map_or(0.0, |_| RESISTOR);
    let words = mains_part::draw(&mut pen, plan, choice, (set, short));
    let net = if facts.stands == Stands::InLead { "set live" } else { "switched live" };
    let (back, wire) = match facts.steps {
        true => ("set return", "The other wire of the secondary"),
        false => ("neutral", "Neutral"),
    };
    let x = PRIMARY - narrower;
    let mut net = net;
    if let Some(resistor) = resistor {
        symbol::small_resistor(&mut pen, (x - RESISTOR, LIVE), (x, LIVE));
        let words = [(PLAIN, "mains"), (PLAIN, "resistor"), (BOLD, &volts(resistor.volts_v))];
        pen.lines((x - 0.5 * RESISTOR, LIVE - 41.0), Middle, &words);
        net = "behind the resistor";
    }
    set.draw(&mut pen, usual, (net, back, x, words.tapped));
    let at = match (words.tapped, second) {
        (true, _) if both => 570.0,
        (true, None) => 390.0,
        (true, Some(_)) => 390.0 - narrower,
        (false, _) => 546.0 - narrower - 0.2 * short,
    };
    at_set(&mut pen, usual, at);
    part_text(&mut pen, choice, &words);
    let said = (fuse.as_str(), &words, set.describe(usual, wire));
    let description = describe(plan, usual, choice.hot_wire, (said.0, said.1, &said.2));
    let word = match choice.method {
        Method::AsIs => "as found".to_owned(),
        other => other.facts().title.to_lowercase(),
    };
    let title = format!("Mains side, {word} (RMS, usual line)");
    pen.finish(prefix, words.foot, title, description)
}

/// The plug with the outlet's volts between its pins.
fn plug(pen: &mut Pen, plan: &Plan, primary: f64) {
    let x = 42.0;
    for (y, net) in [(LIVE, "live"), (NEUTRAL, "neutral")] {
        symbol::plug_pin(pen, (x, y));
        let below = if net == "live" { -12.0 } else { 20.0 };
        pen.text((20.0, y + below), Start, PLAIN, net);
    }
    pen.wire("live", &[(x, LIVE), (80.0, LIVE)]);
    pen.wire("neutral", &[(x, NEUTRAL), (primary, NEUTRAL)]);
    pen.span(33.0, LIVE + 12.0, NEUTRAL - 12.0);
    let (usual, hertz) = (volts(plan.outlet.usual_v), format!("{} Hz", plan.set.frequency_hz));
    pen.lines((43.0, 192.0), Start, &[(PLAIN, "outlet"), (BOLD, &usual), (PLAIN, &hertz)]);
}

/// The fuse, or the place where none is; what it is, in words.
fn fuse(pen: &mut Pen, in_set: Option<f64>, choice: &Choice) -> String {
    let (from, to) = ((80.0, LIVE), (150.0, LIVE));
    let report = choice.fuse.as_ref();
    let found = choice.method == Method::AsIs;
    let (first, second, said) = match (found.then_some(in_set), report) {
        (Some(Some(a)), _) => {
            (format!("{a} A"), "as found", format!("the fuse found in the set, {a} A"))
        }
        (Some(None), _) => ("no fuse".into(), "stated", "no fuse, for none is stated".into()),
        (None, Some(FuseReport { rating_a: Some(a), standard, .. })) => {
            (format!("{a} A slow"), *standard, format!("a fuse of {a} A, slow, {standard}"))
        }
        (None, _) => (
            "no standard".into(),
            "size suits",
            "a fuse that must be sized, since no standard small one suits".into(),
        ),
    };
    if found && in_set.is_none() {
        pen.wire("live", &[from, (165.0, LIVE)]);
    } else {
        pen.wire("fused live", &[to, (165.0, LIVE)]);
        symbol::fuse(pen, from, to);
        pen.text((115.0, 105.0), Middle, PLAIN, "fuse");
    }
    pen.lines((115.0, LIVE + 24.0), Middle, &[(PLAIN, first.as_str()), (PLAIN, second)]);
    said
}

/// What reaches the set. Where the primary's taps take the place beside it, the figures stand further left.
fn at_set(pen: &mut Pen, usual: Option<&Reading>, x: f64) {
    let Some(usual) = usual else { return };
    pen.span(x, LIVE + 12.0, NEUTRAL - 12.0);
    let (across, through) = (volts(usual.set_v), amps(usual.primary_a));
    pen.lines((x - 9.0, 192.0), End, &[(PLAIN, "at the set"), (BOLD, &across), (PLAIN, &through)]);
}

/// The part in words above it.
fn part_text(pen: &mut Pen, choice: &Choice, words: &Words) {
    let Some(part) = choice.part.as_ref().filter(|_| !words.worded) else {
        return;
    };
    const ROOM: f64 = 260.0;
    let lines = wrap(&clean(&part.to_string()), ROOM, SIZE, 4);
    let last = words.above;
    let first = last - 15.0 * (lines.len().saturating_sub(1)) as f64;
    for (i, text) in lines.iter().enumerate() {
        let y = first + 15.0 * i as f64;
        pen.user((PART_MID, y), Middle, PLAIN, ROOM, text);
    }
}

fn describe(
    plan: &Plan,
    usual: Option<&Reading>,
    stations: &[Station],
    (fuse, words, set): (&str, &Words, &str),
) -> String {
    let order = stations.iter().filter_map(|station| match station {
        Station::Plug | Station::Part => None,
        Station::Fuse => Some(fuse),
        Station::Switch => Some("the switch"),
        // with what stands ahead of it
        Station::Set => Some(words.said.as_str()),
    });
    let mut text = format!(
        "{}. The plug brings live and neutral from an outlet of {}, {} Hz. In the live lead stand, in this order: {}. {}",
        clean(&plan.set.name),
        volts(plan.outlet.usual_v),
        plan.set.frequency_hz,
        order.collect::<Vec<_>>().join("; "),
        set,
    );
    if let Some(resistor) = usual.and_then(Reading::mains_resistor) {
        let across = volts(resistor.volts_v);
        text.push_str(&format!(" A mains resistor with {across} across it stands ahead of that."));
    }
    if let Some(usual) = usual {
        text.push_str(&format!(
            " The set gets {} and takes {}; the outlet gives {}.",
            volts(usual.set_v),
            amps(usual.primary_a),
            amps(usual.line_a)
        ));
    }
    text
}
