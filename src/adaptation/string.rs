//! A set without a transformer: the resistor in its heater string, and the surge resistor in its plate lead.

use super::{
    Bought, Dropper, OPEN_OHMS, Place,
    part::{
        Adaptation, AnyPart, Copied, Duty, Failed, Failure, Part, Sought, Tolerance, Unknown, any,
    },
    resistor::{fusible, near, two},
};
use crate::{
    catalogue::stock::{ResistorSize, resistors_near},
    quantity::{Quantity, Resistance, show_plain},
    receiver::{Inside, MainsLead},
};

/// The heater string's dropper as an adaptation: it takes the place of the set's own plain dropper, if there is one.
#[derive(Debug, Clone)]
pub struct StringDropper {
    /// The set's own dropper, ohms; 0 for none.
    pub present: f64,
    /// RMS amperes of the string.
    pub amps: f64,
    /// The surge resistor that brings B+ back to what it was designed for on the usual line; `None` where B+ needs no
    /// help.
    pub surge: Option<Surge>,
    /// The owner's resistors: Ω, size. Empty: the stock of the trade.
    pub own: Vec<(f64, ResistorSize)>,
}

/// A surge resistor as solved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surge {
    /// The set's own surge resistor, ohms; 0 for none.
    pub present: f64,
    /// Exact value, ohms.
    pub ohms: f64,
    /// RMS amperes through it at work at high line.
    pub amps: f64,
}

/// A dropper for the heater string, and the surge resistor that goes with it.
#[derive(Debug, Clone, PartialEq)]
pub struct StringPart {
    /// The resistor in the string.
    pub dropper: Dropper,
    /// The resistor in the plate lead, where one is changed.
    pub surge: Option<Dropper>,
    /// The set's own resistors that come out for them.
    pub replaces: Inside,
}

impl MainsLead for StringPart {
    fn inside(&self) -> Inside {
        Inside {
            string_ohms: Some(self.dropper.ohms),
            surge_ohms: self.surge.as_ref().map(|s| s.ohms),
            ..Inside::default()
        }
    }
}

impl StringPart {
    fn with(&self, dropper: Dropper) -> StringPart {
        StringPart { dropper, ..self.clone() }
    }
}

impl Part for StringPart {
    fn bought(&self) -> Bought {
        let surge = self.surge.as_ref().map(|surge| Bought {
            place: Place::PlateLead,
            in_place_of: self.replaces.surge_ohms,
            ..surge.bought()
        });
        Bought {
            place: Place::HeaterString,
            in_place_of: self.replaces.string_ohms,
            with: surge.map(Box::new),
            ..self.dropper.bought()
        }
    }
    fn value(&self) -> f64 {
        self.dropper.ohms
    }
    fn stands_in_lead(&self) -> bool {
        false
    }
    fn resistors(&self) -> Vec<&Dropper> {
        std::iter::once(&self.dropper).chain(&self.surge).collect()
    }
    fn larger(&self, which: usize) -> Option<AnyPart> {
        let mut larger = self.clone();
        let part = if which == 0 { &mut larger.dropper } else { larger.surge.as_mut()? };
        *part = part.next_size()?;
        Some(Box::new(larger))
    }
    fn failed(&self, how: Failure) -> Option<Failed> {
        let open = || self.with(Dropper::bare(OPEN_OHMS));
        (how == Failure::Open).then(|| ("resistor open", open().copied()))
    }
    fn tolerances(&self) -> Vec<Tolerance> {
        let value = show_plain(Resistance::from_si(self.dropper.ohms));
        let mut list = self.dropper.tolerances();
        if let Some(first) = list.first_mut() {
            first.value = value;
        }
        list
    }
    fn varied(&self, _: usize, factor: f64) -> AnyPart {
        Box::new(self.with(Dropper { ohms: self.dropper.ohms * factor, ..self.dropper.clone() }))
    }
}

impl StringDropper {
    /// The string's own current; what the fuse holds flows through the rectifier as well.
    fn duty(&self, set: &Duty) -> Duty {
        Duty { amps: self.amps, held_amps: None, ..*set }
    }

    fn part(&self, dropper: Dropper) -> StringPart {
        let surge = self.surge.and_then(|surge| {
            let near = resistors_near(surge.ohms.max(1.0));
            // none of that size: B+ then stays as it is
            fusible(surge.amps, near.first().copied().unwrap_or(surge.ohms))
        });
        let some = |ohms: f64| (ohms > 0.0).then_some(ohms);
        let replaces = Inside {
            string_ohms: some(self.present),
            surge_ohms: self.surge.and_then(|surge| some(surge.present)),
            ..Inside::default()
        };
        StringPart { dropper, surge, replaces }
    }
}

impl Adaptation for StringDropper {
    fn unknown(&self) -> Option<Unknown> {
        Some(Unknown { what: Sought::Dropper, unit: "Ω", low: 0.0, high: 5000.0 })
    }
    fn guess(&self, excess_v: f64) -> Option<f64> {
        Some(self.present + excess_v / self.amps)
    }
    fn goes_both_ways(&self) -> bool {
        self.present > 0.0
    }
    fn exact(&self, value: f64, _: &Duty) -> AnyPart {
        let part = self.part(Dropper::bare(value));
        // the exact value stands beside the exact surge resistor
        let exact = self.surge.filter(|_| part.surge.is_some());
        Box::new(StringPart { surge: exact.map(|surge| Dropper::bare(surge.ohms)), ..part })
    }
    fn stock(&self, value: f64, duty: &Duty) -> Vec<AnyPart> {
        any(near(&self.own, &self.duty(duty), value).into_iter().map(|dropper| self.part(dropper)))
    }
    fn in_two(&self, value: f64, duty: &Duty) -> Option<AnyPart> {
        let two = two(&self.duty(duty), value).filter(|_| self.own.is_empty())?;
        Some(Box::new(self.part(two)))
    }
}
