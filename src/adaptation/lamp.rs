//! An incandescent lamp in series: a bench tool, shown for what it would do.

use super::{
    Bought, Dropper,
    part::{Adaptation, AnyPart, Duty, Part, any},
};
use crate::{
    catalogue::{Catalogue, LampKind, LampType},
    circuit::{CircuitError, Network, Node},
    quantity::Quantity,
    receiver::{Inserted, Inside, LAMP_EXPONENT, MainsLead},
};

/// Lit tungsten has about fifteen times its cold resistance (100 W 120 V: 144 Ω against 9.5 Ω; Wikipedia, Incandescent
/// light bulb).
const HOT_OVER_COLD: f64 = 15.0;

/// The series lamp as an adaptation.
#[derive(Debug, Clone, Copy)]
pub struct SeriesLamp {
    /// Usual outlet volts: 120 V lamps below 150 V, 230 V lamps above.
    pub outlet: f64,
}

/// A lamp settled at a resistance.
#[derive(Debug, Clone)]
pub struct LitLamp {
    /// Name.
    pub name: String,
    /// Rated volts.
    pub volts: f64,
    /// Rated amperes.
    pub amps: f64,
    /// Resistance as lit, Ω.
    pub ohms: f64,
}

impl LitLamp {
    fn new(kind: &LampType) -> LitLamp {
        let (volts, amps) = (kind.volts.si(), kind.amps.si());
        LitLamp { name: kind.name.clone(), volts, amps, ohms: 0.5 * volts / amps }
    }

    /// Rated watts.
    pub fn watts(&self) -> f64 {
        self.volts * self.amps
    }
}

impl SeriesLamp {
    /// The household lamps sold for this outlet.
    pub fn lamps(&self) -> Vec<LitLamp> {
        let rated = if self.outlet < 150.0 { 120.0 } else { 230.0 };
        let all = Catalogue::built_in().lamps().iter();
        all.filter(|l| l.kind == LampKind::ALamp && (l.volts.si() - rated).abs() < 1.0)
            .map(LitLamp::new)
            .collect()
    }
}

impl MainsLead for LitLamp {
    fn insert(
        &self,
        net: &mut Network,
        outlet: Node,
        neutral: Node,
    ) -> Result<Inserted, CircuitError> {
        Dropper::bare(self.ohms).insert(net, outlet, neutral)
    }
    fn inside(&self) -> Inside {
        Inside::AS_FOUND
    }
}

impl Part for LitLamp {
    fn bought(&self) -> Bought {
        Bought::ware(format!("lamp {}", self.name))
    }
    fn value(&self) -> f64 {
        self.ohms
    }
    /// `I = I0 (V/V0)^0.54`, so `R = V/I` at the volts across it; never less than cold.
    fn hot_ohms(&self, _: f64, volts: f64) -> Option<f64> {
        let share = (volts / self.volts).max(0.0);
        let lit = self.volts / self.amps;
        Some((lit * share.powf(1.0 - LAMP_EXPONENT)).max(lit / HOT_OVER_COLD))
    }
    fn cold(&self) -> Option<AnyPart> {
        self.with_ohms(self.volts / self.amps / HOT_OVER_COLD)
    }
    fn with_ohms(&self, ohms: f64) -> Option<AnyPart> {
        Some(Box::new(LitLamp { ohms, ..self.clone() }))
    }
}

impl Adaptation for SeriesLamp {
    fn value_unit(&self) -> Option<&'static str> {
        Some("Ω")
    }
    fn caveat(&self) -> Option<&'static str> {
        Some(
            "its resistance follows the load, so it hides a fault, and another lamp is another set: never left in",
        )
    }
    fn exact(&self, _: f64, _: &Duty) -> AnyPart {
        Box::new(Dropper::bare(0.0))
    }
    fn stock(&self, _: f64, _: &Duty) -> Vec<AnyPart> {
        any(self.lamps())
    }
}
