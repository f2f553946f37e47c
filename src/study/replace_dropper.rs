//! What may take the place of a heater string's dropper, cord, ballast or barretter: a resistor, a capacitor, and why not a
//! diode. Each is solved in the set's own network for rated heaters on the usual line.

mod capacitor;
mod caveat;
mod found;

pub use caveat::{DropperCaveat, NoSubstitute};
pub use found::{
    BesideLamp, DropperSubstitute, DropperSubstitutes, SubstituteDay, SubstituteKind,
    SubstituteStanding,
};

use super::outlet::{self, OutletVolts};
use super::plan::Request;
use super::rating::{Circuit, RatingReport, rate};
use super::reading;
use super::target::secant;
use super::{PartKind, StudyError, fit};
use crate::adaptation::{Adaptation, Dropper, Duty, Joined, Part, StringDropper as StringResistor};
use crate::circuit::Probe;

use crate::profile::{DropperKind, Profile, StringDropper};
use crate::quantity::{Power, Quantity, Resistance, show_plain};
use crate::receiver::{
    AsBuilt, Filament, HeaterLine, Model, Operation, Receiver, SectionKind, StringSection,
};
use std::f64::consts::{PI, SQRT_2};

/// Heaters count as met within this share.
const MET: f64 = 1e-4;
/// Heaters at high line over rated beyond which nothing is fitted: no published tolerance exceeds it (as for any choice).
const MOST: f64 = reading::HEATER_LIMIT;
/// What may take the place of the dropper of `profile`'s heater string.
///
/// # Errors
/// A set without a heater string or with nothing in series with it; a set without a solution; an outlet that is not known.
pub fn replace_dropper(
    profile: &Profile,
    request: &Request,
) -> Result<DropperSubstitutes, StudyError> {
    let string = profile.heater_string.as_ref();
    if string.is_none_or(|s| s.droppers.is_empty()) {
        return Err(StudyError::NoDropper { string: string.is_some() });
    }
    let (outlet, _) = outlet::settle(profile, &request.outlet)?;
    let mut model = fit::settle(profile, Some(outlet.usual_v))?.model;
    outlet.feed(&mut model);
    let receiver = Receiver::new(model, None)?;
    let near = receiver.run(outlet.usual_v, &AsBuilt, None)?;
    let model = receiver.model();
    let Some(line) = &model.string else {
        return Err(StudyError::NoDropper { string: true });
    };
    let bench = Bench {
        receiver: &receiver,
        near: &near,
        line,
        outlet,
        amps: line.amps,
        heaters_v: model.heaters_in_series().iter().sum(),
    };
    let (resistor, capacitor, diode) = (bench.resistor()?, bench.capacitor()?, bench.diode()?);
    let mut list = vec![resistor, capacitor, diode];
    let first = list.iter_mut().find(|s| s.standing == SubstituteStanding::Serves);
    if let Some(first) = first {
        first.standing = SubstituteStanding::Advised;
    }
    Ok(DropperSubstitutes {
        present: bench.present(),
        in_cord: line.in_cord(),
        outlet,
        frequency_hz: model.frequency,
        heaters_v: bench.heaters_v,
        amps: bench.amps,
        beside_lamps: bench.beside_lamps(),
        list,
    })
}

/// What substitutes are solved with.
struct Bench<'a> {
    receiver: &'a Receiver,
    near: &'a Operation,
    line: &'a HeaterLine,
    outlet: OutletVolts,
    amps: f64,
    heaters_v: f64,
}

/// A part as the network knows it.
fn section(kind: SectionKind, ohms: f64) -> StringSection {
    StringSection { name: "substitute".to_owned(), kind, ohms, watts: None }
}

impl Bench<'_> {
    fn present(&self) -> Vec<String> {
        let mut names: Vec<String> = self.line.sections.iter().map(|s| s.name.clone()).collect();
        let barretter = self.line.barretter.and_then(|b| self.receiver.model().windings.get(b));
        names.extend(barretter.map(|b| b.name.replacen('-', " ", 1)));
        names
    }

    /// Lamps that lie across a section of what goes.
    fn beside_lamps(&self) -> Vec<BesideLamp> {
        let lamps =
            self.line.beside.iter().filter_map(|at| self.receiver.model().windings.get(*at));
        let beside = lamps.filter_map(|w| {
            let ohms = w.shunt_ohms?;
            Some(BesideLamp { lamp: w.name.clone(), ohms, heat_w: ohms * self.amps * self.amps })
        });
        beside.collect()
    }

    /// The string with `part` alone in series.
    fn change(&self, model: &mut Model, part: &StringSection) {
        if let Some(string) = &mut model.string {
            string.sections = vec![part.clone()];
        }
        // a barretter that goes leaves a piece of wire
        if let Some(barretter) = self.line.barretter.and_then(|b| model.windings.get_mut(b)) {
            for filament in &mut barretter.filaments {
                *filament =
                    Filament { volts: 1.0, amps: 1e3, exponent: 1.0, holds: None, ..*filament };
            }
        }
    }

    fn run(&self, line: f64, part: &StringSection) -> Result<Operation, StudyError> {
        let (part, near) = (part.clone(), self.near);
        Ok(self.receiver.run_changed(line, &AsBuilt, near, |m| self.change(m, &part))?)
    }

    /// The tubes' heaters over rated, less one.
    fn excess(&self, operation: &Operation) -> f64 {
        reading::read(self.receiver, operation).heater_excess()
    }

    fn excess_at(&self, line: f64, part: &StringSection) -> Result<f64, StudyError> {
        Ok(self.excess(&self.run(line, part)?))
    }

    /// The value with which the heaters are as rated on the usual line, looked for from `guess` on.
    fn exact(
        &self,
        guess: f64,
        rising: bool,
        part: impl Fn(f64) -> StringSection,
    ) -> Result<Option<f64>, StudyError> {
        let miss = |value: f64| self.excess_at(self.outlet.usual_v, &part(value));
        let first = 0.9 * guess;
        let at_first = miss(first)?;
        let within = |value: f64| value.clamp(0.2 * guess, 5.0 * guess);
        secant(miss, (first, at_first), guess, MET, rising, within)
    }

    fn day(&self, part: &StringSection) -> Result<SubstituteDay, StudyError> {
        let OutletVolts { low_v, usual_v, high_v, .. } = self.outlet;
        let at = [self.run(low_v, part)?, self.run(usual_v, part)?, self.run(high_v, part)?];
        let read = |o: &Operation| reading::read(self.receiver, o).droppers;
        // not what stays: resistors in plate leads, branches and the mains lead, a barretter
        let stays = |kind| {
            let in_a_lead = matches!(kind, PartKind::Surge | PartKind::SecondSurge);
            let ahead = matches!(kind, PartKind::MainsResistor | PartKind::Barretter);
            in_a_lead || ahead || matches!(kind, PartKind::InBranch(_))
        };
        let fitted = |d: &super::LeadPartReading| !stays(d.kind);
        let heat = |o: &Operation| -> f64 {
            read(o).iter().filter(|d| fitted(d)).map(|d| d.power_w).sum()
        };
        let last = read(&at[1]).into_iter().rfind(fitted);
        let cold = self.receiver.run_changed(high_v, &AsBuilt, self.near, |model| {
            self.change(model, part);
            for filament in model.windings.iter_mut().flat_map(|w| &mut w.filaments) {
                *filament = filament.frozen();
            }
            model.still_tubes();
            model.block_rectifier();
        })?;
        Ok(SubstituteDay {
            heaters: [self.excess(&at[0]), self.excess(&at[1]), self.excess(&at[2])],
            heat_w: [heat(&at[0]), heat(&at[1]), heat(&at[2])],
            volts_v: last.as_ref().map_or(0.0, |d| d.volts_v),
            amps: last.as_ref().map_or(0.0, |d| d.current_a),
            inrush_a: cold.state.rms(Probe::Amps(cold.at.line)),
        })
    }

    /// The string's resistance with its heaters cold, Ω.
    fn cold_ohms(&self) -> f64 {
        let windings = self.receiver.model().windings.iter().enumerate();
        let ohms: Vec<f64> = windings
            .map(|(place, w)| match self.line.barretter == Some(place) {
                true => 0.0,
                false => w.filaments.iter().map(|f| 1.0 / f.cold_ohms()).sum::<f64>().recip(),
            })
            .collect();
        let tap = self.line.tap.and_then(|place| ohms.get(place)).copied().unwrap_or(0.0);
        tap + self.line.ohms_below(&ohms)
    }

    /// The heaters with nothing in series, over rated, less one: what a short of the part does.
    fn shorted(&self) -> Result<f64, StudyError> {
        self.excess_at(self.outlet.usual_v, &section(SectionKind::Resistor, 0.0))
    }

    /// Nothing of `kind` that could be fitted, and why.
    fn none(kind: SubstituteKind, why: NoSubstitute) -> DropperSubstitute {
        DropperSubstitute {
            kind,
            standing: SubstituteStanding::Refused,
            refused: vec![why],
            exact: None,
            ware: String::new(),
            written: None,
            day: None,
            rating: None,
            caveats: Vec::new(),
        }
    }

    /// Nothing is left for a part where the heaters take the whole line.
    fn no_room(&self) -> Option<NoSubstitute> {
        let line_v = self.outlet.usual_v;
        (line_v <= self.heaters_v * 1.01)
            .then_some(NoSubstitute::NoRoom { line_v, heaters_v: self.heaters_v })
    }

    /// What speaks against it at high line.
    fn too_high(day: &SubstituteDay) -> Option<NoSubstitute> {
        let excess = day.heaters[2];
        (excess > MOST).then_some(NoSubstitute::HighLine { excess })
    }

    fn resistor(&self) -> Result<DropperSubstitute, StudyError> {
        let kind = SubstituteKind::Resistor;
        if let Some(why) = self.no_room() {
            return Ok(Self::none(kind, why));
        }
        let part = |ohms| section(SectionKind::Resistor, ohms);
        let guess = (self.outlet.usual_v - self.heaters_v) / self.amps;
        let Some(exact) = self.exact(guess, false, part)? else {
            return Ok(Self::none(kind, NoSubstitute::NoValue));
        };
        let offers = StringResistor {
            present: self.line.plain_ohms(),
            amps: self.amps,
            surge: None,
            own: Vec::new(),
        };
        let duty =
            Duty { outlet: self.outlet.usual_v, amps: self.amps, held_amps: None, watts: 0.0 };
        let mut stock = offers.stock(exact, &duty);
        stock.sort_by(|a, b| (a.value() - exact).abs().total_cmp(&(b.value() - exact).abs()));
        // the nearest that nothing speaks against, else the nearest
        let mut best: Option<DropperSubstitute> = None;
        for part in stock {
            let offered = self.fitted(part, exact)?;
            let serves = offered.refused.is_empty();
            if serves || best.is_none() {
                best = Some(offered);
            }
            if serves {
                break;
            }
        }
        Ok(best.unwrap_or_else(|| Self::none(kind, NoSubstitute::NoValue)))
    }

    /// A resistor of stock in the dropper's place, in a larger size where it has no place.
    fn fitted(
        &self,
        mut stock: Box<dyn Part>,
        exact: f64,
    ) -> Result<DropperSubstitute, StudyError> {
        let day = self.day(&section(SectionKind::Resistor, stock.value()))?;
        let rating = loop {
            let first = stock.resistors().first().copied();
            let rating = first.and_then(|r| rate(r, day.heat_w[2], Circuit::String));
            let has_place = rating.as_ref().is_some_and(RatingReport::has_place);
            match stock.larger(0).filter(|_| !has_place) {
                Some(larger) => stock = larger,
                None => break rating,
            }
        };
        let mut refused: Vec<NoSubstitute> = Self::too_high(&day).into_iter().collect();
        if !rating.as_ref().is_some_and(RatingReport::has_place) {
            refused.push(NoSubstitute::NoPlace { heat_w: day.heat_w[2] });
        }
        let first = stock.resistors().first().copied().cloned();
        let rated = first.as_ref().and_then(Dropper::rated_watts).map(Power::from_si);
        let mut caveats = vec![DropperCaveat::Ventilated { heat_w: day.heat_w[2] }];
        if first.and_then(|r| r.build).is_none_or(|build| build.joined == Joined::Single) {
            caveats.push(DropperCaveat::TwoHalves { heat_w: 0.5 * day.heat_w[2] });
        }
        Ok(DropperSubstitute {
            kind: SubstituteKind::Resistor,
            standing: standing(&refused),
            refused,
            exact: Some(exact),
            ware: stock.bought().ware,
            written: Some(StringDropper {
                kind: DropperKind::Resistor(Resistance::from_si(stock.value())),
                rated,
            }),
            caveats,
            day: Some(day),
            rating,
        })
    }

    fn diode(&self) -> Result<DropperSubstitute, StudyError> {
        let kind = SubstituteKind::Diode;
        let OutletVolts { usual_v, high_v, .. } = self.outlet;
        let half = usual_v / SQRT_2;
        let part = |ohms| section(SectionKind::Diode, ohms);
        let alone = self.excess_at(usual_v, &part(0.0))?;
        if half <= self.heaters_v {
            let why = NoSubstitute::DiodeTooLittle { rms_v: half, excess: alone };
            return Ok(Self::none(kind, why));
        }
        let guess = (half - self.heaters_v) / self.amps;
        let Some(exact) = self.exact(guess.max(1.0), false, part)? else {
            return Ok(Self::none(kind, NoSubstitute::NoValue));
        };
        let day = self.day(&part(exact))?;
        let resistor = section(SectionKind::Resistor, exact);
        // what a resistor would be by half the line: none where that is less than the heaters ask for
        let believed = (usual_v / 2.0 - self.heaters_v).max(0.0) / self.amps;
        Ok(DropperSubstitute {
            kind,
            standing: SubstituteStanding::Refused,
            refused: vec![NoSubstitute::Trap {
                shorted: self.excess_at(usual_v, &resistor)?,
                direct_a: 2.0 / PI * day.amps,
            }],
            exact: Some(exact),
            ware: format!(
                "silicon diode, 1 A, 1000 V, and {}",
                show_plain(Resistance::from_si(exact.round()))
            ),
            written: None,
            day: Some(day),
            rating: None,
            caveats: vec![
                DropperCaveat::NotHalf {
                    line_v: usual_v,
                    rms_v: half,
                    believed: self.excess_at(usual_v, &part(believed))?,
                },
                DropperCaveat::AveragingMeter { shows_v: usual_v / 2.0, rms_v: half },
                DropperCaveat::NoTransformer,
                DropperCaveat::Crest { crest_v: SQRT_2 * high_v },
            ],
        })
    }
}

fn standing(refused: &[NoSubstitute]) -> SubstituteStanding {
    match refused {
        [] => SubstituteStanding::Serves,
        _ => SubstituteStanding::Refused,
    }
}
