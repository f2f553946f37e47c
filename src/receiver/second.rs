//! A second supply beside B+: what is filled in of it, and its share of a set's filters and filaments.

use super::{
    HighVoltage, Model, Number, Rectifier, Result, SecondSupply, Section, Spot, Tube, error::flaw,
    iron_and_copper::turns_from, ledger::Ledger, published_amps, rectifier, stated::Stated,
    thermal::COIL_RISE,
};
use crate::{
    catalogue::Wave,
    profile::{self, FilterPart, Lead, Profile},
    quantity::Quantity,
};

/// Points that it feeds.
pub const POINTS: [&str; 2] = ["B2+", "reservoir2"];
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

/// Where the profile names the winding that heats its rectifier.
pub const FED_BY: &str = "second_supply.rectifier.fed_by";

/// The rectifier of the second supply of a profile: one diode of `main`, or its own on what heats that.
///
/// # Errors
/// Filaments that are cathodes of two supplies, on one winding.
pub fn rectifier(
    main: &Rectifier,
    winding: Option<usize>,
    ledger: &mut Ledger,
) -> Result<Option<Rectifier>> {
    let Some(supply) = &ledger.profile.second_supply else {
        return Ok(None);
    };
    let used = &supply.rectifier;
    if supply.shared {
        let diode = rectifier::joined(used, &used.kind, Wave::Half, 0, main.winding);
        // one tube has one drop: that of the main rectifier
        return Ok(Some(Rectifier { drop_volts: 0.0, ..diode }));
    }
    let own = rectifier::of_use(used, winding, Number::SecondDrop, 0, ledger);
    let filament = |r: &Rectifier| r.winding.filter(|_| r.heated_directly);
    if filament(&own).is_some() && filament(&own) == filament(main) {
        return Err(flaw(
            "both rectifiers' filaments share one winding, which would join B+ and B2+",
            FED_BY,
            "name the winding that heats it, such as `fed_by: field rectifier`, and describe that under `transformer: heater_windings:`",
        ));
    }
    Ok(Some(own))
}

/// The second supply of a profile, its filter put behind the main one's parts from `from` on.
pub fn complete(
    made: Option<Rectifier>,
    from: usize,
    tubes: &[Tube],
    ledger: &mut Ledger,
) -> Option<SecondSupply> {
    let profile = ledger.profile;
    let (supply, rectifier) = profile.second_supply.as_ref().zip(made)?;
    let winding = supply.winding.as_ref().map(|own| {
        let what = "second supply's winding's voltage";
        let turns_from = turns_from(&own.volts, what, Number::SecondVolts, ledger);
        let amps = amps(profile, supply, turns_from.volts, tubes);
        let resistance_per_half = ledger.or(
            own.resistance,
            Number::SecondResistance,
            "copper of the second supply's winding",
            0.035 * turns_from.volts / amps,
            0.4,
            "3.5 % of its voltage over DC amperes, as that of the high-voltage winding (common practice, no source)",
        );
        HighVoltage { turns_from, by_b_plus: false, resistance_per_half }
    });
    Some(SecondSupply { shared: supply.shared, winding, rectifier, from })
}

/// About what it gives at `volts`: to coils across it, loads and tubes, A.
fn amps(profile: &Profile, supply: &profile::SecondSupply, volts: f64, tubes: &[Tube]) -> f64 {
    let fields = supply.filter.iter().filter_map(|part| match part {
        FilterPart::FieldCoil(coil) if coil.lead == Lead::Across => {
            let hot = coil.hot.si().or(coil.cold.map(|ohms| COIL_RISE * ohms.si()));
            hot.map(|ohms| volts / ohms)
        }
        _ => None,
    });
    let on_it = |from: &str| POINTS.contains(&from);
    let loads = profile
        .loads
        .iter()
        .filter(|l| on_it(&l.from))
        .filter_map(|load| load.resistance.map(|ohms| volts / ohms.si()).or(load.current.si()));
    let tubes = tubes.iter().filter(|t| on_it(&t.plate.from)).map(published_amps);
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
