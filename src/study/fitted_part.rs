//! The part that a profile says is fitted, as it stands in the circuit.

use crate::{
    adaptation::{
        Across, AnyPart, BuckingPart, Build, Dropper, Joined, Method, StepPart, StringPart, Tap,
    },
    profile::{Fitted, FittedKind, SizedResistor, SmallTransformer},
    quantity::Quantity,
    receiver::{Inside, Model},
};

/// The method and the part of what a profile says is fitted in the set of `model`.
pub fn part(fitted: &Fitted, model: &Model) -> Option<(Method, AnyPart)> {
    let resistor = |(ohms, size): &SizedResistor| Dropper {
        ohms: ohms.si(),
        build: Some(Build { size: size.clone(), joined: Joined::Single, own: true }),
    };
    let small = |across, boosts| {
        let (primary, secondary, amps) = volts_and_amps(fitted.transformer?);
        let part = BuckingPart {
            across,
            boosts,
            primary,
            secondary,
            amps,
            stock: true,
            own: true,
            reversed: false,
            regulation_factor: 1.0,
            open: false,
            primary_open: false,
        };
        Some(Box::new(part) as AnyPart)
    };
    let step = || {
        let (primary, secondary, amps) = volts_and_amps(fitted.transformer?);
        let part = StepPart {
            primary,
            secondary,
            va: secondary * amps,
            own: true,
            regulation_factor: 1.0,
            open: false,
        };
        Some(Box::new(part) as AnyPart)
    };
    Some(match fitted.kind {
        FittedKind::Tap => {
            let tap = Tap { volts: fitted.tap?.si(), now: model.design_line };
            (Method::Tap, Box::new(tap))
        }
        FittedKind::SeriesResistor => {
            (Method::SeriesResistor, Box::new(resistor(fitted.resistor.as_ref()?)))
        }
        FittedKind::HeaterDropper => {
            let surge = fitted.surge_resistor.as_ref().map(resistor);
            let dropper = resistor(fitted.resistor.as_ref()?);
            let part = StringPart { dropper, surge, replaces: Inside::default() };
            (Method::HeaterDropper, Box::new(part))
        }
        FittedKind::BuckingOutlet => (Method::BuckingOutlet, small(Across::Outlet, false)?),
        FittedKind::BuckingSet => (Method::BuckingSet, small(Across::Set, false)?),
        FittedKind::BoostOutlet => (Method::BoostOutlet, small(Across::Outlet, true)?),
        FittedKind::BoostSet => (Method::BoostSet, small(Across::Set, true)?),
        FittedKind::StepDown => (Method::StepDown, step()?),
        FittedKind::StepUp => (Method::StepUp, step()?),
    })
}

fn volts_and_amps((primary, secondary, amps): SmallTransformer) -> (f64, f64, f64) {
    (primary.si(), secondary.si(), amps.si())
}

/// Unit of what its value is.
pub fn unit(kind: FittedKind) -> &'static str {
    match kind {
        FittedKind::HeaterDropper | FittedKind::SeriesResistor => "Ω",
        FittedKind::Tap
        | FittedKind::BuckingOutlet
        | FittedKind::BuckingSet
        | FittedKind::BoostOutlet
        | FittedKind::BoostSet
        | FittedKind::StepDown
        | FittedKind::StepUp => "V",
    }
}
