//! A speaker's field coil replaced: in a lead by a choke and a resistor or a resistor alone, across the supply by a bleeder.

use super::{
    caveat::ReplaceCaveat,
    set::{Found, ReplaceBy, Set, refused},
};
use crate::{
    preferred::{Series, above, below, nearest},
    profile::{Change, FilterPart, Lead, Node},
    quantity::{Capacitance, Inductance, Power, Quantity, show_plain},
    receiver::{AsBuilt, Coil, Fault, Grid, Model},
    study::{Result, Serialize, dry::to_buy, sentences::plain_ohms},
};
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
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SecondCapacitor {
    /// What stands there, F.
    pub present_f: f64,
    /// What leaves as little ripple as the coil did, F.
    pub exact_f: f64,
    /// The next value of series E6 above, F.
    pub stock_f: f64,
}

/// Where the field coil stands in the filter of the profile, and its place among the model's coils.
fn the_coil(set: &Set, by: Option<ReplaceBy>) -> Result<(usize, usize)> {
    let fields = |parts: &[FilterPart]| -> Vec<usize> {
        let is_field = |(_, part): &(usize, &FilterPart)| matches!(part, FilterPart::FieldCoil(_));
        parts.iter().enumerate().filter(is_field).map(|(place, _)| place).collect()
    };
    let second = set.profile.second_supply.as_ref();
    if second.is_some_and(|second| !fields(&second.filter).is_empty()) {
        return refused(
            "the field coil stands in the second supply, and what takes its place there is not worked out",
            "describe the set without it: a resistor of its ohms under `loads:`, `from: B2+`, where it lies across, or in its place in that filter; and compare both with `mainsfit plan`",
        );
    }
    let coil = set.receiver.model().coils.iter().position(|c| c.is_field);
    match (fields(&set.profile.filter).as_slice(), coil) {
        ([_], Some(_)) if by == Some(ReplaceBy::Capacitor) => refused(
            "a capacitor does not take a field coil's place",
            "write --with choke or --with resistor",
        ),
        ([place], Some(coil)) => Ok((*place, coil)),
        ([_, _, ..], _) => refused(
            "this set has more than one field coil",
            "write them as one in the filter, with the ohms of both",
        ),
        _ => refused(
            "this set has no field coil",
            "it is described under `filter:`, as `- field_coil: { lead: positive, cold: 1000 Ω }`",
        ),
    }
}

/// The field coil of `set` with what takes its place.
pub fn field_coil(set: &Set, by: Option<ReplaceBy>) -> Result<(Found, FieldSubstitutes)> {
    let (place, at) = the_coil(set, by)?;
    let model = set.receiver.model();
    let coil = &model.coils[at];
    let (line_v, warm, across) = (model.design_line, coil.hot, coil.lead == Lead::Across);
    let (now, high) = (set.read(line_v)?, set.read(set.outlet.high_v.max(line_v))?);
    let ripple_hz = model.frequency * f64::from(model.rectifier.circuit.facts().pulses);
    let parts = set.profile.filter.iter().enumerate().skip(place + 1);
    let behind: Vec<_> = parts
        .map_while(|(i, p)| match p {
            FilterPart::Capacitor(c) => Some((i, c.value.si())),
            _ => None,
        })
        .collect();
    let section = Replacing {
        coil,
        high_a: high.coils[at].current_a.abs(),
        farads: behind.iter().map(|(_, f)| f).sum(),
        radians: 2.0 * PI * ripple_hz,
    };
    let chosen = match (by, across) {
        (Some(ReplaceBy::Choke), true) => {
            return refused(
                "the field coil lies across the supply, where a choke does nothing",
                "write --with resistor",
            );
        }
        (Some(ReplaceBy::Resistor), false) => 1,
        _ => 0,
    };
    let options = section.options();
    let picked = &options[chosen];
    let (left_out_b_plus_v, changes) = match across {
        true => {
            let near = set.receiver.at_design();
            let out = set.receiver.run_fault(line_v, &AsBuilt, Fault::FieldCoilOpen, near)?;
            (Some(out.b_plus()), bleeder(set, place, picked)?)
        }
        false => (None, in_lead(set, place, coil.lead, picked, &behind)),
    };
    let now = &now.coils[at];
    let mut before = vec![ReplaceCaveat::WarmOhms { cold: coil.cold, warm }];
    before.extend(picked.resistor_ohms.map(|_| ReplaceCaveat::FieldHeat { heat_w: picked.heat_w }));
    before.extend(picked.choke.map(|_| ReplaceCaveat::MeasureChoke { together: warm }));
    let biases = coil.lead == Lead::Negative && has_taps_at_centre(model);
    before.extend(biases.then_some(ReplaceCaveat::BiasMoves { drop_v: now.drop_v }));
    before.push(ReplaceCaveat::StandsAtCrest { crest_v: set.receiver.crest_volts(high.outlet_v) });
    before.push(if model.is_live() { ReplaceCaveat::LiveSpeaker } else { ReplaceCaveat::Speaker });
    let substitutes = FieldSubstitutes {
        lead: coil.lead.word(),
        cold_ohms: coil.cold,
        warm_ohms: warm,
        henries: coil.inductance,
        drop_v: now.drop_v,
        current_a: now.current_a.abs(),
        heat_w: now.power_w,
        ripple_hz,
        options,
        chosen,
        left_out_b_plus_v,
    };
    let goes = vec!["field coil".to_owned()];
    Ok((Found { goes, line_v, before, changes: Some(changes) }, substitutes))
}

/// Whether dividers or grids hang on the center tap, and so on the coil in the negative lead.
fn has_taps_at_centre(model: &Model) -> bool {
    let at_centre = |point| point == "B-";
    model.dividers.iter().any(|d| at_centre(&d.from) || at_centre(&d.to))
        || model.tubes.iter().any(|t| matches!(&t.grid, Grid::Tap(tap) if at_centre(tap)))
}

/// A field coil and what its place asks for.
struct Replacing<'a> {
    coil: &'a Coil,
    /// Its current at high line, A.
    high_a: f64,
    /// Capacitors behind it, F.
    farads: f64,
    /// Ripple, radians a second.
    radians: f64,
}

impl Replacing<'_> {
    /// What may take its place.
    fn options(&self) -> Vec<FieldOption> {
        let warm = self.coil.hot;
        let alone = self.option(None, made_of(warm));
        if self.coil.lead == Lead::Across {
            return vec![alone];
        }
        // the resistor is one that is sold, the choke has what is left
        let rest = nearest(Series::E24, warm - CHOKE_OHMS).filter(|r| *r < warm - LEAST_CHOKE_OHMS);
        let choke = NewChoke {
            henries: self.coil.inductance,
            ohms: warm - rest.unwrap_or(0.0),
            bears_a: (100.0 * CHOKE_MARGIN * self.high_a).ceil() / 100.0,
        };
        vec![self.option(Some(choke), rest.into_iter().collect()), alone]
    }

    fn option(&self, choke: Option<NewChoke>, made_of_ohms: Vec<f64>) -> FieldOption {
        let stock = (!made_of_ohms.is_empty()).then(|| made_of_ohms.iter().sum::<f64>());
        let heat_w = self.high_a * self.high_a * stock.unwrap_or(0.0);
        let hum = self.farads > 0.0 && self.coil.lead != Lead::Across;
        FieldOption {
            choke,
            resistor_ohms: stock,
            made_of_ohms,
            heat_w,
            rated_w: to_buy(heat_w),
            hum: hum.then(|| self.hum(choke, stock.unwrap_or(0.0))),
        }
    }

    fn hum(&self, choke: Option<NewChoke>, resistor: f64) -> Hum {
        let left = |henries, ohms| filter_factor(henries, ohms, self.farads, self.radians);
        let coil = left(self.coil.inductance, self.coil.hot);
        let ohms = resistor + choke.map_or(0.0, |c| c.ohms);
        let exact_f = farads_for(coil, ohms, self.radians);
        let second = SecondCapacitor {
            present_f: self.farads,
            exact_f,
            stock_f: above(Series::E6, exact_f).unwrap_or(exact_f),
        };
        let this = left(choke.map_or(0.0, |c| c.henries), ohms);
        Hum { coil, this, second: (choke.is_none() && exact_f > self.farads).then_some(second) }
    }
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

/// The coil's place in a lead given to a choke, a resistor or both.
fn in_lead(
    set: &Set,
    place: usize,
    lead: Lead,
    option: &FieldOption,
    behind: &[(usize, f64)],
) -> Vec<Change> {
    let lead = lead.word();
    let choke = option.choke.map(|c| {
        let ohms = plain_ohms(c.ohms.round());
        let henries = show_plain(Inductance::from_si(c.henries));
        // copper of so few watts stays as cold as it is
        format!("choke: {{ lead: {lead}, cold: {ohms}, hot: {ohms}, inductance: {henries} }}")
    });
    let resistor = option.resistor_ohms.map(|ohms| {
        let rated = option.rated_w.map(|w| format!(", rated: {}", show_plain(Power::from_si(w))));
        let ohms = plain_ohms(ohms);
        format!("resistor: {{ lead: {lead}, value: {ohms}{} }}", rated.unwrap_or_default())
    });
    let mut changes = Vec::new();
    if let (Some(second), [(first, own), ..]) = (option.hum.and_then(|h| h.second), behind) {
        // what else stands beside it stays
        let value = show_plain(Capacitance::from_si(second.stock_f - (second.present_f - own)));
        let path = format!("filter[{first}].capacitor");
        changes.push(match set.stands(&path) {
            Some(Node::Map(_)) => Change::new(format!("{path}.value"), [format!("value: {value}")]),
            _ => Change::new(path, [format!("capacitor: {value}")]),
        });
    }
    let parts = choke.into_iter().chain(resistor);
    changes.push(Change::new(format!("filter[{place}]"), parts));
    let across = set.profile.dividers.iter().map(|d| format!("dividers.{}.across", d.name));
    let across = across.filter(|path| set.stands(path).is_some());
    changes.extend(across.map(|path| Change::new(path, ["from: B-".to_owned()])));
    changes
}

/// The coil across the supply given to a bleeder under `loads`.
fn bleeder(set: &Set, place: usize, option: &FieldOption) -> Result<Vec<Change>> {
    let any = |parts: &[FilterPart], lead: Lead| parts.iter().any(|p| p.lead() == Some(lead));
    let (before, after) = set.profile.filter.split_at(place);
    let point = match () {
        () if any(&set.profile.filter, Lead::Negative) => None,
        () if !any(after, Lead::Positive) => Some("B+"),
        () if !any(before, Lead::Positive) => Some("reservoir"),
        () => None,
    };
    let Some((point, ohms)) = point.zip(option.resistor_ohms) else {
        return refused(
            "the field coil lies between points that a load cannot be joined to",
            "write the bleeder into the profile by hand: a load from B+ or from the reservoir to chassis",
        );
    };
    let ohms = plain_ohms(ohms);
    let load =
        format!("{{ name: bleeder in the field's place, from: {point}, resistance: {ohms} }}");
    Ok(vec![Change::new(format!("filter[{place}]"), []), Change::new("loads[]", [load])])
}

/// Share of the ripple at `radians` a second that a lead of `ohms` and `henries` leaves across `farads` behind it, the load
/// left out: 1/|1 − ω²LC + jωRC| (voltage divider of two impedances, textbooks of alternating current).
pub fn filter_factor(henries: f64, ohms: f64, farads: f64, radians: f64) -> f64 {
    let real = 1.0 - radians * radians * henries * farads;
    real.hypot(radians * ohms * farads).recip()
}

/// Farads behind `ohms` alone that leave no more than `factor`.
fn farads_for(factor: f64, ohms: f64, radians: f64) -> f64 {
    (factor.powi(-2) - 1.0).max(0.0).sqrt() / (radians * ohms)
}
