//! A rectifier tube replaced by silicon.

use super::caveat::ReplaceCaveat;
use super::set::{Found, ReplaceBy, Set, refused, to_buy};
use crate::catalogue::{
    Named,
    stock::{capacitor_for, surge_by_rule},
};
use crate::circuit::Probe;
use crate::preferred::{Series, nearest};
use crate::profile::{Change, DropperKind, LampPlace, StringDropper, stands};
use crate::quantity::{Power, Quantity, Resistance, show_plain};
use crate::receiver::{AsBuilt, Operation, RectifierCircuit};
use crate::study::StudyError;
use crate::study::dry::{self, PlateResistor};
use crate::study::reading;
use crate::study::target::secant;
use serde::Serialize;

/// Reverse volts of the diodes in use, V, and the share of them that is used at most (reasoned).
const DIODE_V: f64 = 1000.0;
const DIODE_USED: f64 = 1.0 / 1.2;
/// Heaters count as they were within this share.
const MET: f64 = 1e-4;

/// Silicon in the place of a tube.
#[derive(Debug, Clone, Serialize)]
pub struct RectifierSubstitute {
    /// The tube.
    pub tube: String,
    /// Diodes of the circuit.
    pub diodes: u32,
    /// B+ on the design line with the tube, V.
    pub with_tube_v: f64,
    /// B+ there with silicon and nothing else, V.
    pub bare_v: f64,
    /// B+ there with the resistor, V.
    pub then_v: f64,
    /// What each filter capacitor gets at every switch-on at high line, V.
    pub crest_v: f64,
    /// Reverse volts of one place of the circuit at high line, V.
    pub inverse_v: f64,
    /// Diodes of 1000 V in a row in each.
    pub in_a_row: u32,
    /// The resistor in each plate lead that brings B+ back; none where none is needed.
    pub resistor: Option<PlateResistor>,
    /// What the average current of one plate would give for its heat, W.
    pub by_mean_w: Option<f64>,
    /// Watts of the tube's filament that no longer load the transformer; none in a heater string.
    pub heater_w: Option<f64>,
    /// What takes its heater's place in a string.
    pub heater: Option<HeaterResistor>,
    /// Capacitors that do not bear the crest.
    pub capacitors: Vec<ShortCapacitor>,
}

/// A resistor in the place of a heater in a string.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct HeaterResistor {
    /// Its rated volts over its current, Ω.
    pub rated_ohms: f64,
    /// What leaves the other heaters as they were on the design line, Ω: less where a lamp stood beside part of it.
    pub exact_ohms: f64,
    /// The nearest value of series E24, Ω.
    pub stock_ohms: f64,
    /// Its heat at the rated current, W.
    pub heat_w: f64,
    /// Watts to buy, twice that at least; none where no single stock resistor has them.
    pub rated_w: Option<f64>,
}

/// A filter capacitor that does not bear the crest.
#[derive(Debug, Clone, Serialize)]
pub struct ShortCapacitor {
    /// Name.
    pub name: String,
    /// What is marked on it, V.
    pub rated_v: f64,
    /// What to fit, V; none where nothing of the trade bears that.
    pub fit_v: Option<f64>,
}

/// The rectifier tube of `set` with the silicon that takes its place.
pub(super) fn rectifier(
    set: &Set,
    by: Option<ReplaceBy>,
) -> Result<(Found, RectifierSubstitute), StudyError> {
    let (profile, model) = (&set.profile, set.receiver.model());
    let used = &profile.rectifier;
    if by.is_some() {
        return Err(refused("a rectifier is replaced by silicon alone", "leave out --with"));
    }
    if used.kind.kind.is_dry() {
        return Err(refused(
            "the rectifier is a dry one already",
            "`mainsfit plan` says what it needs where the profile names the tube under `replaces:`",
        ));
    }
    let shared = profile.tubes.iter().any(|t| t.kind.shares_a_name(&used.kind));
    if shared {
        return Err(refused(
            "the rectifier shares its bulb with a tube that stays",
            "leave its heater as it is: write `type: silicon` for the rectifier and keep the tube",
        ));
    }
    if profile.second_supply.as_ref().is_some_and(|second| second.shared) {
        return Err(refused(
            "the rectifier feeds a second supply with one of its diodes, and what takes its place there is not worked out",
            "write `type: silicon` for the rectifier and for that of the `second_supply:`, each with its `surge_resistor:`, and compare both profiles with `mainsfit plan`",
        ));
    }
    let string = profile.heater_string.is_some();
    if let Some(branch) = used.fed_by.as_ref().filter(|_| string) {
        return Err(refused(
            format!(
                "the rectifier's heater lies in the branch {branch} of the string, and a resistor there is not worked out"
            ),
            format!(
                "change the profile by hand: `type: silicon`, and in that branch a resistor of the heater's volts over its current, `dropper: {{ kind: resistor, resistance: {} }}`",
                ohms(
                    (f64::from(used.count)
                        * (used.kind.filament_volts / used.kind.filament_amps).si())
                    .round()
                )
            ),
        ));
    }
    let branches = profile.heater_string.as_ref().is_some_and(|s| !s.branches.is_empty());
    if branches && stands(set.document.root(), "heater_string.dropper").is_none() {
        return Err(refused(
            "nothing is written that is in series with all heaters, and the rectifier's resistor would be",
            "write `dropper: none` under `heater_string:` first",
        ));
    }
    if !string && stands(set.document.root(), "rectifier.drop").is_some() {
        return Err(refused(
            "the drop beside the rectifier's type would be taken for that of the silicon",
            "write it under `types:`, as `types: { my-5Y3: { based_on: 5Y3GT, drop: 60 V, drop_at: 125 mA } }`, and `type: my-5Y3`",
        ));
    }
    let line_v = model.design_line;
    let high_v = set.outlet.high_v.max(line_v);
    let kept = kept_heaters(set, line_v)?;
    let (heater, string_changes) = in_string(set, kept);
    let bare = [string_changes.clone(), vec![typed(set, None)]].concat();
    let silicon = set.with(&bare)?;
    let wanted = set.read(line_v)?.b_plus_v;
    let now = silicon.receiver.run(line_v, &AsBuilt, None)?;
    let own = used.surge.map_or(0.0, Quantity::si);
    let resistor = dry::resistor(&silicon.receiver, (line_v, high_v), &now, wanted, (own, 0.0))?;
    let with = resistor.as_ref().map(|r| r.stock_ohms);
    let changes = [string_changes, vec![typed(set, with)]].concat();
    let crest_v = silicon.receiver.crest_volts(high_v);
    // a doubler's crest is that of both halves together
    let inverse_v = match used.circuit {
        RectifierCircuit::FullWave | RectifierCircuit::HalfWave => 2.0 * crest_v,
        _ => crest_v,
    };
    let in_a_row = (inverse_v / (DIODE_USED * DIODE_V)).ceil() as u32;
    let high = set.read(high_v)?;
    // those of a second supply stand behind another rectifier
    let second = silicon.receiver.at_design().at.second.as_ref();
    let own = second.map_or(high.capacitors.len(), |second| second.capacitors_from);
    let capacitors: Vec<ShortCapacitor> = high
        .capacitors
        .iter()
        .take(own)
        .filter(|_| !used.circuit.doubles())
        .filter_map(|c| {
            let rated_v = c.rated_v.filter(|rated| surge_by_rule(*rated) < crest_v)?;
            Some(ShortCapacitor {
                name: c.name.clone(),
                rated_v,
                fit_v: capacitor_for(c.peak_v, crest_v),
            })
        })
        .collect();
    let by_mean_w = resistor.as_ref().map(|r| mean_amps(&now).powi(2) * r.stock_ohms);
    let heater_w = (!string).then(|| model.rectifier_filament().map_or(0.0, |f| f.volts * f.amps));
    let lost = profile.lamps.iter().any(|l| l.across == Some(LampPlace::Tap));
    let mut before = vec![ReplaceCaveat::CapacitorsBear { crest_v }];
    before.extend(capacitors.iter().map(|c| ReplaceCaveat::CapacitorTooLow {
        name: c.name.clone(),
        rated_v: c.rated_v,
        fit_v: c.fit_v,
    }));
    before
        .extend(heater.map(|h| ReplaceCaveat::HeaterGone { ohms: h.stock_ohms, heat_w: h.heat_w }));
    before.extend((lost && string).then_some(ReplaceCaveat::LampLost));
    before.push(ReplaceCaveat::Inverse { volts_v: inverse_v, in_a_row });
    if let (Some(r), Some(by_mean_w)) = (&resistor, by_mean_w) {
        before.push(ReplaceCaveat::ByRms { heat_w: r.heat_w, by_mean_w });
        before.push(ReplaceCaveat::OneLoad);
    }
    before.extend(heater_w.map(|heater_w| ReplaceCaveat::FilamentGone { heater_w }));
    Ok((
        Found { goes: vec![used.kind.name.clone()], line_v, before, changes: Some(changes) },
        RectifierSubstitute {
            tube: used.kind.name.clone(),
            diodes: used.circuit.diodes(),
            with_tube_v: wanted,
            bare_v: now.b_plus(),
            then_v: resistor.as_ref().map_or(now.b_plus(), |r| r.b_plus_v),
            crest_v,
            inverse_v,
            in_a_row,
            resistor,
            by_mean_w,
            heater_w,
            heater,
            capacitors,
        },
    ))
}

/// Average current of one plate, A.
fn mean_amps(operation: &Operation) -> f64 {
    let plate = operation.at.plates.first();
    plate.map_or(0.0, |p| operation.state.mean(Probe::Amps(p.id)).abs())
}

fn ohms(value: f64) -> String {
    show_plain(Resistance::from_si(value))
}

/// The rectifier's type written anew, with the resistor that came with it.
fn typed(set: &Set, resistor: Option<f64>) -> Change {
    let tube = &set.profile.rectifier.kind.name;
    let mut with = vec!["type: silicon".to_owned()];
    match (set.profile.heater_string.is_some(), resistor) {
        (false, None) => with.push(format!("replaces: {{ tube: {tube:?} }}")),
        (false, Some(fitted)) => {
            with.push(format!("replaces: {{ tube: {tube:?}, resistor: {} }}", ohms(fitted)));
        }
        (true, fitted) => {
            // one resistor, or two in series: the profile knows their sum
            let own = set.profile.rectifier.surge.map_or(0.0, Quantity::si);
            let all = own + fitted.unwrap_or(0.0);
            with.extend((all > 0.0).then(|| format!("surge_resistor: {}", ohms(all))));
        }
    }
    Change::new("rectifier.type", with)
}

/// The resistor in the place of the rectifier's heater that leaves the others as they are on `line`, Ω; none without a string
/// or where there is none.
fn kept_heaters(set: &Set, line: f64) -> Result<Option<f64>, StudyError> {
    if set.profile.heater_string.is_none() {
        return Ok(None);
    }
    let wanted = set.read(line)?.heater_excess();
    let (Some(first), changes) = in_string(set, None) else {
        return Ok(None);
    };
    let new = set.with(&[changes, vec![typed(set, None)]].concat())?;
    let near = new.receiver.run(line, &AsBuilt, None)?;
    let miss = |ohms: f64| {
        let at = new.receiver.run_changed(line, &AsBuilt, &near, |model| {
            if let Some(last) = model.string.as_mut().and_then(|s| s.sections.last_mut()) {
                last.ohms = ohms;
            }
        })?;
        Ok(reading::read(&new.receiver, &at).heater_excess() - wanted)
    };
    let (a, b) = (first.stock_ohms, 0.95 * first.stock_ohms);
    let at_a = miss(a)?;
    secant(miss, (a, at_a), b, MET, false, |ohms| ohms.max(1.0))
}

/// What leaves a heater string with its rectifier tube, and the resistor that takes the heater's place.
fn in_string(set: &Set, kept: Option<f64>) -> (Option<HeaterResistor>, Vec<Change>) {
    let (profile, root) = (&set.profile, set.document.root());
    let Some(string) = &profile.heater_string else {
        return (None, Vec::new());
    };
    let (kind, count) = (&profile.rectifier.kind, f64::from(profile.rectifier.count));
    let (volts, amps) = (count * kind.filament_volts.si(), kind.filament_amps.si());
    let rated_ohms = volts / amps;
    let exact_ohms = kept.unwrap_or(rated_ohms);
    let stock_ohms = nearest(Series::E24, exact_ohms).unwrap_or(exact_ohms);
    let heat_w = amps * amps * stock_ohms;
    let heater =
        HeaterResistor { rated_ohms, exact_ohms, stock_ohms, heat_w, rated_w: to_buy(heat_w) };
    let new = StringDropper {
        kind: DropperKind::Resistor(Resistance::from_si(stock_ohms)),
        rated: heater.rated_w.map(Power::from_si),
    };
    let all: Vec<String> = string.droppers.iter().chain([&new]).map(ToString::to_string).collect();
    let written = match all.as_slice() {
        [one] => format!("dropper: {one}"),
        more => format!("dropper: [{}]", more.join(", ")),
    };
    let mut changes = vec![match stands(root, "heater_string.dropper") {
        Some(_) => Change::new("heater_string.dropper", [written]),
        None => Change::new("heater_string", [format!("heater_string: {{ {written} }}")]),
    }];
    let on_tap = |i: &usize| profile.lamps[*i].across == Some(LampPlace::Tap);
    let lost: Vec<usize> = (0..profile.lamps.len()).filter(on_tap).collect();
    if lost.len() == profile.lamps.len() && !lost.is_empty() {
        changes.push(Change::new("lamps", []));
    } else {
        // from the last on, so that places before stay what they are
        changes.extend(lost.iter().rev().map(|i| Change::new(format!("lamps[{i}]"), [])));
    }
    for key in ["surge_resistor", "drop", "drop_at"] {
        let path = format!("rectifier.{key}");
        if stands(root, &path).is_some() {
            changes.push(Change::new(path, []));
        }
    }
    (Some(heater), changes)
}
