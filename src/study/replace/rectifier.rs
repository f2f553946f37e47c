//! A rectifier tube replaced by silicon.

use super::{
    caveat::ReplaceCaveat,
    set::{Found, ReplaceBy, Set, refused},
};
use crate::{
    catalogue::{
        Named,
        stock::{capacitor_for, surge_by_rule},
    },
    circuit::Probe,
    preferred::{Series, nearest},
    profile::{Change, DropperKind, LampPlace, StringDropper},
    quantity::{Power, Quantity, Resistance},
    receiver::{AsBuilt, Operation, Receiver},
    study::{
        PlateResistor, Reading, Result, Serialize,
        dry::{self, to_buy},
        read,
        sentences::plain_ohms as ohms,
        surge::plate_amps,
        target::secant,
    },
};

/// Reverse volts of the diodes in use, V, and the share of them that is used at most (reasoned).
const DIODE_V: f64 = 1000.0;
const DIODE_USED: f64 = 1.0 / 1.2;
/// Heaters count as they were within this share.
const MET: f64 = 1e-4;

/// Silicon in the place of a tube.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
    /// The resistor that each plate lead has already, and that stays in series with it; none where there is none.
    pub stays: Option<StayingResistor>,
    /// What the average current of one plate would give for its heat, W.
    pub by_mean_w: Option<f64>,
    /// Watts of the tube's filament that no longer load the transformer; none in a heater string.
    pub heater_w: Option<f64>,
    /// What takes its heater's place in a string.
    pub heater: Option<HeaterResistor>,
    /// Capacitors that do not bear the crest.
    pub capacitors: Vec<ShortCapacitor>,
}

/// A resistor of the plate leads that stays.
#[derive(Debug, Clone, Copy, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct StayingResistor {
    /// Ω.
    pub ohms: f64,
    /// Its heat at high line with silicon, W.
    pub heat_w: f64,
    /// With what is fitted in series with it, Ω: what the changed profile has.
    pub together_ohms: f64,
}

/// A resistor in the place of a heater in a string.
#[derive(Debug, Clone, Copy, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ShortCapacitor {
    /// Name.
    pub name: String,
    /// What is marked on it, V.
    pub rated_v: f64,
    /// What to fit, V; none where nothing of the trade bears that.
    pub fit_v: Option<f64>,
}

/// Refuses what does not take its place, and sets in which that is not worked out.
fn replaceable(set: &Set, by: Option<ReplaceBy>) -> Result<()> {
    let (profile, used) = (&set.profile, &set.profile.rectifier);
    if by.is_some() {
        return refused("a rectifier is replaced by silicon alone", "leave out --with");
    }
    if used.kind.kind.is_dry() {
        return refused(
            "the rectifier is a dry one already",
            "`mainsfit plan` says what it needs where the profile names the tube under `replaces:`",
        );
    }
    if profile.tubes.iter().any(|t| t.kind.shares_a_name(&used.kind)) {
        return refused(
            "the rectifier shares its bulb with a tube that stays",
            "leave its heater as it is: write `type: silicon` for the rectifier and keep the tube",
        );
    }
    if profile.second_supply.as_ref().is_some_and(|second| second.shared) {
        return refused(
            "the rectifier feeds a second supply with one of its diodes, and what takes its place there is not worked out",
            "write `type: silicon` for the rectifier and for that of the `second_supply:`, each with its `surge_resistor:`, and compare both profiles with `mainsfit plan`",
        );
    }
    let Some(string) = &profile.heater_string else {
        if set.stands("rectifier.drop").is_some() {
            return refused(
                "the drop beside the rectifier's type would be taken for that of the silicon",
                "write it under `types:`, as `types: { my-5Y3: { based_on: 5Y3GT, drop: 60 V, drop_at: 125 mA } }`, and `type: my-5Y3`",
            );
        }
        return Ok(());
    };
    if let Some(branch) = &used.fed_by {
        let volts =
            f64::from(used.count) * (used.kind.filament_volts / used.kind.filament_amps).si();
        return refused(
            format!(
                "the rectifier's heater lies in the branch {branch} of the string, and a resistor there is not worked out"
            ),
            format!(
                "change the profile by hand: `type: silicon`, and in that branch a resistor of the heater's volts over its current, `dropper: {{ kind: resistor, resistance: {} }}`",
                ohms(volts.round())
            ),
        );
    }
    if !string.branches.is_empty() && set.stands("heater_string.dropper").is_none() {
        return refused(
            "nothing is written that is in series with all heaters, and the rectifier's resistor would be",
            "write `dropper: none` under `heater_string:` first",
        );
    }
    Ok(())
}

/// The rectifier tube of `set` with the silicon that takes its place.
pub fn rectifier(set: &Set, by: Option<ReplaceBy>) -> Result<(Found, RectifierSubstitute)> {
    replaceable(set, by)?;
    let (profile, model) = (&set.profile, set.receiver.model());
    let used = &profile.rectifier;
    let string = profile.heater_string.is_some();
    let line_v = model.design_line;
    let high_v = set.outlet.high_v.max(line_v);
    let kept = kept_heaters(set, line_v)?;
    let (heater, string_changes) = in_string(set, kept);
    let silicon = set.with(&[string_changes.clone(), vec![typed(set, None)]].concat())?.receiver;
    let with_tube_v = set.read(line_v)?.b_plus_v;
    let now = silicon.run(line_v, &AsBuilt, None)?;
    let own = used.surge.map_or(0.0, Quantity::si);
    let resistor = dry::resistor(&silicon, (line_v, high_v), &now, with_tube_v, (own, 0.0))?;
    let with = resistor.as_ref().map(|r| r.stock_ohms);
    let squared = match &resistor {
        Some(r) => r.heat_w / r.stock_ohms,
        None => plate_amps(&silicon.run(high_v, &AsBuilt, Some(&now))?).powi(2),
    };
    let stays = (own > 0.0).then_some(StayingResistor {
        ohms: own,
        heat_w: squared * own,
        together_ohms: own + with.unwrap_or(0.0),
    });
    let changes = [string_changes, vec![typed(set, with)]].concat();
    let crest_v = silicon.crest_volts(high_v);
    let inverse_v = used.circuit.facts().inverse_crests * crest_v;
    let heater_w = (!string).then(|| model.rectifier_filament().map_or(0.0, |f| f.volts * f.amps));
    let substitute = RectifierSubstitute {
        tube: used.kind.name.clone(),
        diodes: used.circuit.facts().diodes,
        with_tube_v,
        bare_v: now.b_plus(),
        then_v: resistor.as_ref().map_or(now.b_plus(), |r| r.b_plus_v),
        crest_v,
        inverse_v,
        in_a_row: (inverse_v / (DIODE_USED * DIODE_V)).ceil() as u32,
        stays,
        by_mean_w: with.map(|ohms| mean_amps(&now).powi(2) * ohms),
        resistor,
        heater_w,
        heater,
        capacitors: too_low(&silicon, &set.read(high_v)?, crest_v),
    };
    let lost = string && profile.lamps.iter().any(|l| l.across == Some(LampPlace::Tap));
    let before = substitute.before(lost);
    let goes = vec![used.kind.name.clone()];
    Ok((Found { goes, line_v, before, changes: Some(changes) }, substitute))
}

impl RectifierSubstitute {
    /// What to know before it is fitted; `lost` where a dial lamp loses its tap.
    fn before(&self, lost: bool) -> Vec<ReplaceCaveat> {
        let (crest_v, volts_v) = (self.crest_v, self.inverse_v);
        let mut list = vec![ReplaceCaveat::CapacitorsBear { crest_v }];
        list.extend(self.capacitors.iter().map(|c| ReplaceCaveat::CapacitorTooLow {
            name: c.name.clone(),
            rated_v: c.rated_v,
            fit: match c.fit_v {
                Some(v) => format!("one rated {v:.0} V"),
                None => "one that bears it".to_owned(),
            },
        }));
        list.extend(
            self.heater
                .map(|h| ReplaceCaveat::HeaterGone { with_ohms: h.stock_ohms, heat_w: h.heat_w }),
        );
        list.extend(lost.then_some(ReplaceCaveat::LampLost));
        list.push(match self.in_a_row {
            1 => ReplaceCaveat::Inverse { volts_v },
            in_a_row => ReplaceCaveat::InverseInARow { in_a_row, volts_v },
        });
        if let (Some(r), Some(by_mean_w)) = (&self.resistor, self.by_mean_w) {
            list.push(ReplaceCaveat::ByRms { heat_w: r.heat_w, by_mean_w });
            list.push(ReplaceCaveat::OneLoad);
        }
        list.extend(self.heater_w.map(|heater_w| ReplaceCaveat::FilamentGone { heater_w }));
        list
    }
}

/// Capacitors of the set as it was, at high line, that do not bear the crest of silicon.
fn too_low(silicon: &Receiver, high: &Reading, crest_v: f64) -> Vec<ShortCapacitor> {
    if silicon.model().rectifier.circuit.facts().doubles {
        return Vec::new();
    }
    // those of a second supply stand behind another rectifier
    let second = silicon.at_design().at.second.as_ref();
    let own = second.map_or(high.capacitors.len(), |second| second.capacitors_from);
    let short = high.capacitors.iter().take(own).filter_map(|c| {
        Some(ShortCapacitor {
            name: c.name.clone(),
            rated_v: c.rated_v.filter(|rated| surge_by_rule(*rated) < crest_v)?,
            fit_v: capacitor_for(c.peak_v, crest_v),
        })
    });
    short.collect()
}

/// Average current of one plate, A.
fn mean_amps(operation: &Operation) -> f64 {
    operation.at.plates.first().map_or(0.0, |p| operation.state.mean(Probe::Amps(p.id)).abs())
}

/// The rectifier's type written anew, with the resistor that came with it.
fn typed(set: &Set, fitted: Option<f64>) -> Change {
    let used = &set.profile.rectifier;
    let tube = &used.kind.name;
    // one resistor, or two in series: the profile knows their sum
    let all = used.surge.map_or(0.0, Quantity::si) + fitted.unwrap_or(0.0);
    let resistor = match (set.profile.heater_string.is_some(), fitted) {
        (false, None) => Some(format!("replaces: {{ tube: {tube:?} }}")),
        (false, Some(fitted)) => {
            Some(format!("replaces: {{ tube: {tube:?}, resistor: {} }}", ohms(fitted)))
        }
        (true, _) => (all > 0.0).then(|| format!("surge_resistor: {}", ohms(all))),
    };
    Change::new("rectifier.type", std::iter::once("type: silicon".to_owned()).chain(resistor))
}

/// The resistor in the place of the rectifier's heater that leaves the others as they are on `line`, Ω; none without a string
/// or where there is none.
fn kept_heaters(set: &Set, line: f64) -> Result<Option<f64>> {
    let (Some(first), changes) = in_string(set, None) else {
        return Ok(None);
    };
    let wanted = set.read(line)?.heater_excess();
    let new = set.with(&[changes, vec![typed(set, None)]].concat())?.receiver;
    let near = new.run(line, &AsBuilt, None)?;
    let miss = |ohms| {
        let at = new.run_changed(line, &AsBuilt, &near, |model| {
            if let Some(last) = model.string.as_mut().and_then(|s| s.sections.last_mut()) {
                last.ohms = ohms;
            }
        })?;
        Ok(read(&new, &at).heater_excess() - wanted)
    };
    let (a, b) = (first.stock_ohms, 0.95 * first.stock_ohms);
    let at_a = miss(a)?;
    secant(miss, (a, at_a), b, MET, false, |ohms| ohms.max(1.0))
}

/// What leaves a heater string with its rectifier tube, and the resistor that takes the heater's place.
fn in_string(set: &Set, kept: Option<f64>) -> (Option<HeaterResistor>, Vec<Change>) {
    let (profile, used) = (&set.profile, &set.profile.rectifier);
    let Some(string) = &profile.heater_string else {
        return (None, Vec::new());
    };
    let (volts, amps) = (used.kind.filament_volts.si(), used.kind.filament_amps.si());
    let rated_ohms = f64::from(used.count) * volts / amps;
    let exact_ohms = kept.unwrap_or(rated_ohms);
    let stock_ohms = nearest(Series::E24, exact_ohms).unwrap_or(exact_ohms);
    let heat_w = amps * amps * stock_ohms;
    let rated_w = to_buy(heat_w);
    let new = StringDropper {
        kind: DropperKind::Resistor(Resistance::from_si(stock_ohms)),
        rated: rated_w.map(Power::from_si),
    };
    let all: Vec<String> = string.droppers.iter().chain([&new]).map(ToString::to_string).collect();
    let written = match all.as_slice() {
        [one] => format!("dropper: {one}"),
        more => format!("dropper: [{}]", more.join(", ")),
    };
    let path = "heater_string.dropper";
    let mut changes = vec![match set.stands(path) {
        Some(_) => Change::new(path, [written]),
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
    let beside = ["surge_resistor", "drop", "drop_at"].map(|key| format!("rectifier.{key}"));
    let beside = beside.into_iter().filter(|path| set.stands(path).is_some());
    changes.extend(beside.map(|path| Change::new(path, [])));
    (Some(HeaterResistor { rated_ohms, exact_ohms, stock_ohms, heat_w, rated_w }), changes)
}
