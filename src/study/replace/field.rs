//! A speaker's field coil replaced: in a lead by a choke and a resistor or a resistor alone, across the supply by a bleeder.

use super::caveat::ReplaceCaveat;
use super::filter_factor::{farads_for, filter_factor};
use super::set::{Found, ReplaceBy, Set, refused, to_buy};
use crate::preferred::{Series, above, below, nearest};
use crate::profile::{Change, FilterPart, Lead, Node, stands};
use crate::quantity::{Capacitance, Inductance, Power, Quantity, Resistance, show_plain};
use crate::receiver::{AsBuilt, Fault, Grid, RectifierCircuit};
use crate::study::StudyError;
use serde::Serialize;
use std::f64::consts::PI;

/// Copper of a small filter choke, Ω (common practice, no source).
const CHOKE_OHMS: f64 = 250.0;
/// A choke bears this much more than it carries (common practice, no source).
const CHOKE_MARGIN: f64 = 1.25;
/// Copper that a choke of that kind has at least, Ω (common practice, no source).
const LEAST_CHOKE_OHMS: f64 = 100.0;
/// One resistor within this share of what is wanted will do; else two in series.
const NEAR: f64 = 0.01;

/// A field coil and what may take its place.
#[derive(Debug, Clone, Serialize)]
pub struct FieldSubstitutes {
    /// Where it stands: `positive`, `negative`, or `across` the supply.
    pub lead: &'static str,
    /// Ω at room temperature.
    pub cold_ohms: f64,
    /// Ω at work on the design line: what is replaced.
    pub warm_ohms: f64,
    /// Henries.
    pub henries: f64,
    /// Volts across it on the design line, DC.
    pub drop_v: f64,
    /// Its current there, A DC.
    pub current_a: f64,
    /// Its heat there, W.
    pub heat_w: f64,
    /// Ripple of the rectifier, Hz.
    pub ripple_hz: f64,
    /// What may take its place.
    pub options: Vec<FieldOption>,
    /// Which of these the changed profile has.
    pub chosen: usize,
    /// Of a coil across the supply: B+ on the design line with nothing in its place, V.
    pub left_out_b_plus_v: Option<f64>,
}

/// Something in a field coil's place.
#[derive(Debug, Clone, Serialize)]
pub struct FieldOption {
    /// The choke, if it is one.
    pub choke: Option<NewChoke>,
    /// The resistor, Ω; none where the choke has all the ohms.
    pub resistor_ohms: Option<f64>,
    /// What it is made of: one of series E24, or two in series, Ω.
    pub made_of_ohms: Vec<f64>,
    /// Its heat at high line, W.
    pub heat_w: f64,
    /// Watts to buy, twice that at least; none where no single stock resistor has them.
    pub rated_w: Option<f64>,
    /// What is left of the ripple; none without a capacitor behind the coil, and across the supply.
    pub hum: Option<Hum>,
}

/// A choke to buy.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct NewChoke {
    /// Henries, at least.
    pub henries: f64,
    /// Its copper, Ω: to be measured.
    pub ohms: f64,
    /// Amperes it must bear, DC.
    pub bears_a: f64,
}

/// What a section of the filter leaves of the ripple.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Hum {
    /// Share left with the coil.
    pub coil: f64,
    /// Share left with this.
    pub this: f64,
    /// The capacitor behind it that brings it back, where one is needed.
    pub second: Option<SecondCapacitor>,
}

/// A second capacitor.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct SecondCapacitor {
    /// What stands there, F.
    pub present_f: f64,
    /// What leaves as little ripple as the coil did, F.
    pub exact_f: f64,
    /// The next value of series E6 above, F.
    pub stock_f: f64,
}

/// The field coil of `set` with what takes its place.
pub(super) fn field_coil(
    set: &Set,
    by: Option<ReplaceBy>,
) -> Result<(Found, FieldSubstitutes), StudyError> {
    let (profile, model) = (&set.profile, set.receiver.model());
    let mut fields =
        profile.filter.iter().enumerate().filter(|(_, p)| matches!(p, FilterPart::FieldCoil(_)));
    if let Some(second) = &profile.second_supply
        && second.filter.iter().any(|part| matches!(part, FilterPart::FieldCoil(_)))
    {
        return Err(refused(
            "the field coil stands in the second supply, and what takes its place there is not worked out",
            "describe the set without it: a resistor of its ohms under `loads:`, `from: B2+`, where it lies across, or in its place in that filter; and compare both with `mainsfit plan`",
        ));
    }
    let Some((place, _)) = fields.next() else {
        return Err(refused(
            "this set has no field coil",
            "it is described under `filter:`, as `- field_coil: { lead: positive, cold: 1000 Ω }`",
        ));
    };
    if fields.next().is_some() {
        return Err(refused(
            "this set has more than one field coil",
            "write them as one in the filter, with the ohms of both",
        ));
    }
    let Some((at, coil)) = model.coils.iter().enumerate().find(|(_, c)| c.is_field) else {
        return Err(refused("this set has no field coil", "see `mainsfit check`"));
    };
    if by == Some(ReplaceBy::Capacitor) {
        return Err(refused(
            "a capacitor does not take a field coil's place",
            "write --with choke or --with resistor",
        ));
    }
    let line_v = model.design_line;
    let now = set.read(line_v)?;
    let high = set.read(set.outlet.high_v.max(line_v))?;
    let (Some(now_coil), Some(high_coil)) = (now.coils.get(at), high.coils.get(at)) else {
        return Err(refused("this set has no field coil", "see `mainsfit check`"));
    };
    let high_a = high_coil.current_a.abs();
    let one_pulse = matches!(
        model.rectifier.circuit,
        RectifierCircuit::HalfWave | RectifierCircuit::HalfWaveDoubler
    );
    let ripple_hz = model.frequency * if one_pulse { 1.0 } else { 2.0 };
    let behind: Vec<(usize, f64)> = profile
        .filter
        .iter()
        .enumerate()
        .skip(place + 1)
        .map_while(|(i, p)| match p {
            FilterPart::Capacitor(c) => Some((i, c.value.si())),
            _ => None,
        })
        .collect();
    let farads: f64 = behind.iter().map(|(_, f)| f).sum();
    let radians = 2.0 * PI * ripple_hz;
    let warm = coil.hot;
    let option = |choke: Option<NewChoke>, made_of: Vec<f64>, across: bool| {
        let stock = (!made_of.is_empty()).then(|| made_of.iter().sum::<f64>());
        let heat_w = high_a * high_a * stock.unwrap_or(0.0);
        let left = |henries, ohms| filter_factor(henries, ohms, farads, radians);
        let hum = (farads > 0.0 && !across).then(|| {
            let with = left(coil.inductance, warm);
            let ohms = stock.unwrap_or(0.0) + choke.map_or(0.0, |c| c.ohms);
            let this = left(choke.map_or(0.0, |c| c.henries), ohms);
            let exact_f = farads_for(with, ohms, radians);
            let second = choke.is_none().then(|| SecondCapacitor {
                present_f: farads,
                exact_f,
                stock_f: above(Series::E6, exact_f).unwrap_or(exact_f),
            });
            Hum { coil: with, this, second: second.filter(|s| s.exact_f > farads) }
        });
        FieldOption {
            choke,
            resistor_ohms: stock,
            made_of_ohms: made_of,
            heat_w,
            rated_w: to_buy(heat_w),
            hum,
        }
    };
    let across = coil.lead == Lead::Across;
    let alone = made_of(warm);
    let options = if across {
        vec![option(None, alone, true)]
    } else {
        // the resistor is one that is sold, the choke has what is left
        let rest =
            nearest(Series::E24, warm - CHOKE_OHMS).ok().filter(|r| *r < warm - LEAST_CHOKE_OHMS);
        let choke = NewChoke {
            henries: coil.inductance,
            ohms: warm - rest.unwrap_or(0.0),
            bears_a: (100.0 * CHOKE_MARGIN * high_a).ceil() / 100.0,
        };
        vec![option(Some(choke), rest.into_iter().collect(), false), option(None, alone, false)]
    };
    let chosen = match (by, across) {
        (Some(ReplaceBy::Choke), true) => {
            return Err(refused(
                "the field coil lies across the supply, where a choke does nothing",
                "write --with resistor",
            ));
        }
        (Some(ReplaceBy::Resistor), false) => 1,
        _ => 0,
    };
    let left_out_b_plus_v = if across {
        let near = set.receiver.at_design();
        let out = set.receiver.run_fault(line_v, &AsBuilt, Fault::FieldCoilOpen, near)?;
        Some(out.b_plus())
    } else {
        None
    };
    let picked = &options[chosen];
    let changes = match across {
        true => bleeder(set, place, picked)?,
        false => in_lead(set, place, coil.lead, picked, &behind),
    };
    let at_centre = |point: &str| point == "B-";
    let with_taps = coil.lead == Lead::Negative
        && (model.dividers.iter().any(|d| at_centre(&d.from) || at_centre(&d.to))
            || model.tubes.iter().any(|t| matches!(&t.grid, Grid::Tap(tap) if at_centre(tap))));
    let mut before = vec![ReplaceCaveat::WarmOhms { cold: coil.cold, warm }];
    before.extend(picked.resistor_ohms.map(|_| ReplaceCaveat::FieldHeat { heat_w: picked.heat_w }));
    before.extend(picked.choke.map(|_| ReplaceCaveat::MeasureChoke { together: warm }));
    before.extend(with_taps.then_some(ReplaceCaveat::BiasMoves { drop_v: now_coil.drop_v }));
    before.push(ReplaceCaveat::StandsAtCrest { crest_v: set.receiver.crest_volts(high.outlet_v) });
    before.push(ReplaceCaveat::Speaker { live: model.is_live() });
    Ok((
        Found { goes: vec!["field coil".to_owned()], line_v, before, changes: Some(changes) },
        FieldSubstitutes {
            lead: word(coil.lead),
            cold_ohms: coil.cold,
            warm_ohms: warm,
            henries: coil.inductance,
            drop_v: now_coil.drop_v,
            current_a: now_coil.current_a.abs(),
            heat_w: now_coil.power_w,
            ripple_hz,
            options,
            chosen,
            left_out_b_plus_v,
        },
    ))
}

/// Resistors of series E24 that make `ohms`: one, or the next below with what is left.
fn made_of(ohms: f64) -> Vec<f64> {
    let one = nearest(Series::E24, ohms).unwrap_or(ohms);
    if (one / ohms - 1.0).abs() <= NEAR {
        return vec![one];
    }
    let first = below(Series::E24, ohms).unwrap_or(one);
    vec![first, nearest(Series::E24, ohms - first).unwrap_or(ohms - first)]
}

fn word(lead: Lead) -> &'static str {
    match lead {
        Lead::Positive => "positive",
        Lead::Negative => "negative",
        Lead::Across => "across",
    }
}

fn rated(watts: Option<f64>) -> String {
    watts.map_or(String::new(), |w| format!(", rated: {}", show_plain(Power::from_si(w))))
}

/// The coil's place in a lead given to a choke, a resistor or both.
fn in_lead(
    set: &Set,
    place: usize,
    lead: Lead,
    option: &FieldOption,
    behind: &[(usize, f64)],
) -> Vec<Change> {
    let lead = word(lead);
    let mut parts = Vec::new();
    parts.extend(option.choke.map(|c| {
        let (ohms, henries) = (Resistance::from_si(c.ohms.round()), Inductance::from_si(c.henries));
        // copper of so few watts stays as cold as it is
        let ohms = show_plain(ohms);
        format!(
            "choke: {{ lead: {lead}, cold: {ohms}, hot: {ohms}, inductance: {} }}",
            show_plain(henries)
        )
    }));
    parts.extend(option.resistor_ohms.map(|ohms| {
        let ohms = show_plain(Resistance::from_si(ohms));
        format!("resistor: {{ lead: {lead}, value: {ohms}{} }}", rated(option.rated_w))
    }));
    let mut changes = Vec::new();
    if let (Some(second), [(first, own), ..]) = (option.hum.and_then(|h| h.second), behind) {
        // what else stands beside it stays
        let farads = second.stock_f - (second.present_f - own);
        let value = show_plain(Capacitance::from_si(farads));
        changes.push(match stands(set.document.root(), &format!("filter[{first}].capacitor")) {
            Some(Node::Map(_)) => {
                Change::new(format!("filter[{first}].capacitor.value"), [format!("value: {value}")])
            }
            _ => Change::new(format!("filter[{first}].capacitor"), [format!("capacitor: {value}")]),
        });
    }
    changes.push(Change::new(format!("filter[{place}]"), parts));
    let across = |name: &str| {
        let key = format!("dividers.{name}.across");
        stands(set.document.root(), &key)
            .is_some()
            .then(|| Change::new(key, ["from: B-".to_owned()]))
    };
    changes.extend(set.profile.dividers.iter().filter_map(|d| across(&d.name)));
    changes
}

/// The coil across the supply given to a bleeder under `loads`.
fn bleeder(set: &Set, place: usize, option: &FieldOption) -> Result<Vec<Change>, StudyError> {
    let filter = &set.profile.filter;
    let positive = |parts: &[FilterPart]| parts.iter().any(|p| p.lead() == Some(Lead::Positive));
    let (before, after) = (&filter[..place], &filter[place..]);
    let point = if filter.iter().any(|p| p.is_in_negative_lead()) {
        None
    } else if !positive(after) {
        Some("B+")
    } else if !positive(before) {
        Some("reservoir")
    } else {
        None
    };
    let (Some(point), Some(ohms)) = (point, option.resistor_ohms) else {
        return Err(refused(
            "the field coil lies between points that a load cannot be joined to",
            "write the bleeder into the profile by hand: a load from B+ or from the reservoir to chassis",
        ));
    };
    let ohms = show_plain(Resistance::from_si(ohms));
    Ok(vec![
        Change::new(format!("filter[{place}]"), []),
        Change::new(
            "loads[]",
            [format!(
                "{{ name: bleeder in the field's place, from: {point}, resistance: {ohms} }}"
            )],
        ),
    ])
}
