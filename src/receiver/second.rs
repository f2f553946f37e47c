//! A second supply beside B+: what is filled in of it, and its share of a set's filters and filaments.

use super::error::ReceiverError;
use super::iron_and_copper::turns_from;
use super::ledger::Ledger;
use super::model::{HighVoltage, Model, Rectifier, SecondSupply, Section, Spot, Tube};
use super::parameters::Number;
use super::rectifier::{self, HeatedBy};
use super::thermal::COIL_RISE;
use crate::catalogue::Wave;
use crate::profile::{self, FilterPart, Lead, Profile};
use crate::quantity::{Quantity, Resistance};

/// Points that it feeds.
pub(super) const POINTS: [&str; 2] = ["B2+", "reservoir2"];
/// Current of a supply of which no load is known, A (common practice, no source).
const LITTLE: f64 = 5e-3;

impl Model {
    /// The main filter, and that of a second supply.
    pub fn filters(&self) -> (&[Section], &[Section]) {
        self.filter.split_at(self.second.as_ref().map_or(self.filter.len(), |s| s.from))
    }

    /// What each part of the filters stands in, by its name in profiles.
    pub(super) fn filter_names(&self) -> impl Iterator<Item = &'static str> {
        let (main, second) = self.filters();
        main.iter().map(|_| "filter").chain(second.iter().map(|_| "second_supply.filter"))
    }

    /// Place among the filaments of its winding at which a second supply's own rectifier hangs: behind the main one.
    pub fn second_filament(&self) -> Option<(usize, usize)> {
        let winding = self.second.as_ref().filter(|s| !s.shared)?.rectifier.winding?;
        Some((winding, usize::from(self.rectifier.winding == Some(winding))))
    }

    /// The main rectifier, and that of a second supply.
    pub fn rectifiers_mut(&mut self) -> impl Iterator<Item = &mut Rectifier> {
        [&mut self.rectifier].into_iter().chain(self.second.as_mut().map(|s| &mut s.rectifier))
    }
}

/// The rectifier of the second supply of `profile`: one diode of `main`, or its own.
///
/// # Errors
/// As [`rectifier::of_use`].
pub(super) fn rectifier(
    profile: &Profile,
    main: &Rectifier,
    heated: HeatedBy<'_>,
    ledger: &mut Ledger,
) -> Result<Option<Rectifier>, ReceiverError> {
    let Some(supply) = &profile.second_supply else {
        return Ok(None);
    };
    let used = &supply.rectifier;
    let mut made = if supply.shared {
        let mut diode = rectifier::of_type(&used.kind, None);
        // one tube has one drop: that of the main rectifier
        diode.drop_volts = 0.0;
        (diode.winding, diode.plate_on_tap) = (main.winding, main.plate_on_tap);
        diode
    } else {
        let key = ("second_supply.rectifier.fed_by", Number::SecondDrop);
        let own = rectifier::of_use(used, heated, key, ledger)?;
        let filament = |r: &Rectifier| r.winding.filter(|_| r.heated_directly);
        if filament(&own).is_some() && filament(&own) == filament(main) {
            return Err(ReceiverError::Contradiction {
                what: "both rectifiers' filaments hang on one winding, which would join B+ and B2+".to_owned(),
                key: key.0.to_owned(),
                advice: "name the winding that heats it, such as `fed_by: field rectifier`, and describe that under `transformer: heater_windings:`".to_owned(),
            });
        }
        own
    };
    let wave = if supply.shared { Wave::Half } else { used.kind.wave };
    rectifier::join(&mut made, used, wave, 0);
    Ok(Some(made))
}

/// The second supply of `profile`, its filter put behind the main one's parts from `from` on.
pub(super) fn complete(
    profile: &Profile,
    made: Option<Rectifier>,
    from: usize,
    (design_line, tubes): (f64, &[Tube]),
    ledger: &mut Ledger,
) -> Option<SecondSupply> {
    let (supply, rectifier) = profile.second_supply.as_ref().zip(made)?;
    let winding = supply.winding.as_ref().map(|own| {
        let what = "second supply's winding's voltage";
        let turns_from = turns_from(&own.volts, design_line, what, Number::SecondVolts.of_set(), ledger);
        let resistance_per_half = own.resistance.map_or_else(
            || {
                ledger.take::<Resistance>(
                    "copper of the second supply's winding",
                    0.035 * turns_from.volts / amps(profile, supply, turns_from.volts, tubes),
                    "3.5 % of its volts over DC amperes, as that of the high-voltage winding (common practice, no source)",
                    0.4,
                    Some(Number::SecondResistance.of_set()),
                )
            },
            Quantity::si,
        );
        HighVoltage { turns_from, by_b_plus: false, resistance_per_half }
    });
    Some(SecondSupply { shared: supply.shared, winding, rectifier, from })
}

/// About what it gives at `volts`: to coils across it, loads and tubes, A.
fn amps(profile: &Profile, supply: &profile::SecondSupply, volts: f64, tubes: &[Tube]) -> f64 {
    let fields = supply.filter.iter().filter_map(|part| match part {
        FilterPart::FieldCoil(coil) if coil.lead == Lead::Across => {
            let hot = coil.hot.map(Quantity::si).or(coil.cold.map(|ohms| COIL_RISE * ohms.si()));
            hot.map(|ohms| volts / ohms)
        }
        _ => None,
    });
    let on_it = |from: &str| POINTS.contains(&from);
    let loads = profile.loads.iter().filter(|l| on_it(&l.from)).filter_map(|load| {
        load.resistance.map(|ohms| volts / ohms.si()).or(load.current.map(Quantity::si))
    });
    let tubes = tubes.iter().filter(|t| on_it(&t.plate.from)).map(super::feeds::published_amps);
    fields.chain(loads).chain(tubes).sum::<f64>().max(LITTLE)
}

impl Model {
    /// Takes loads of a stated current for resistances that draw it at B+, or at `B2+` where they hang there: where next to no
    /// volts are left, no load draws a constant current.
    pub fn loads_as_ohms(&mut self, (b_plus, second): (f64, f64)) {
        for load in self.loads.iter_mut().filter(|l| l.ohms.is_none() && l.amps > 0.0) {
            let on_second =
                matches!(&load.from, Spot::Supply(name) if POINTS.contains(&name.as_str()));
            load.ohms = Some(if on_second { second } else { b_plus } / load.amps);
        }
    }
}
