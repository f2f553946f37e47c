//! A set with every number present, in SI units, ready to be turned into circuits.
//!
//! Made by [`super::complete`]; the only mutable thing about it is [`Model::scaled`], which answers
//! "what if this assumed value were off".

use super::{
    BiasSupply, Coil, Copper, Divider, Filament, HeaterLine, HeaterWinding, HighVoltage, Load,
    Parameter, Primary, Rectifier, RectifierKind, SecondSupply, Section, Signal, Tube,
};

/// A blocked rectifier: a drop no winding reaches, V.
pub const BLOCKED_V: f64 = 1e6;

/// What the peak flux of the mains iron goes with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flux {
    /// RMS volts at the primary over the mains frequency.
    pub volts_per_hertz: f64,
    /// The same on the design line, at the frequency the iron was made for.
    pub designed: f64,
}

impl Flux {
    /// Over that on the design line.
    pub fn relative(self) -> f64 {
        self.volts_per_hertz / self.designed
    }
}

/// A resistor that the set has in its line cord.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MainsResistor {
    /// Ω.
    pub ohms: f64,
    /// Watts it is rated for, where known.
    pub rated: Option<f64>,
    /// True if the set was designed with it.
    pub by_maker: bool,
    /// Of one that came later, the share of the design line that it takes there; 0 until that is solved.
    pub takes: f64,
}

/// The complete set.
#[derive(Debug, Clone)]
pub struct Model {
    /// Name of the set.
    pub name: String,
    /// Hz of the mains it runs on.
    pub frequency: f64,
    /// Hz it was made for: what the no-load figures hold for.
    pub design_frequency: f64,
    /// Design line, V RMS.
    pub design_line: f64,
    /// Air temperature, °C.
    pub room_c: f64,
    /// Copper of the power transformer; of no meaning in a set without one.
    pub copper: Copper,
    /// Primary.
    pub primary: Primary,
    /// High voltage.
    pub high_voltage: HighVoltage,
    /// Heater windings.
    pub windings: Vec<HeaterWinding>,
    /// The heater string of a set without a transformer; its links are the windings above. Primary and high voltage
    /// mean nothing then.
    pub string: Option<HeaterLine>,
    /// Resistor in its line cord.
    pub mains_resistor: Option<MainsResistor>,
    /// True for an autotransformer.
    pub auto: bool,
    /// Rectifier.
    pub rectifier: Rectifier,
    /// Bias supply of its own.
    pub bias: Option<BiasSupply>,
    /// Second supply beside B+.
    pub second: Option<SecondSupply>,
    /// The tube that the rectifier was put in the place of: the set was made with it.
    pub replaced: Option<Rectifier>,
    /// Filter, from the rectifier on; behind it that of a second supply.
    pub filter: Vec<Section>,
    /// Where each of them is stated in the profile, such as `filter[1].choke`; nothing for one that a rule put in.
    pub stated_parts: Vec<String>,
    /// Coils of the filters, in the order of their parts.
    pub coils: Vec<Coil>,
    /// Dividers.
    pub dividers: Vec<Divider>,
    /// Loads.
    pub loads: Vec<Load>,
    /// Tubes.
    pub tubes: Vec<Tube>,
    /// What the set receives.
    pub signal: Signal,
    /// Share of its crest by which the top of the line's wave is clipped; 0 or less for a sine.
    pub flat_top: f64,
    /// True while it is marched through its start: averages at grids then follow within a tenth of a second.
    pub starting: bool,
    /// Numbers that were measured, and within what share.
    pub known: Vec<(Parameter, f64)>,
}

impl Model {
    /// The rectifier's filament or heater: it is hung on its winding before the tubes and the lamps.
    pub fn rectifier_filament(&self) -> Option<&Filament> {
        let winding = self.windings.get(self.rectifier.winding?)?;
        winding.filaments.iter().find(|f| f.socket.is_none())
    }

    /// Flux of the iron with `volts` at the primary (V = 4.44·f·N·A·B, textbook), where there is iron in the mains.
    pub fn flux(&self, volts: f64) -> Option<Flux> {
        self.string.is_none().then(|| Flux {
            volts_per_hertz: volts / self.frequency,
            designed: self.design_line / self.design_frequency,
        })
    }

    /// That of a set that runs on another frequency than it was made for.
    pub fn flux_elsewhere(&self, volts: f64) -> Option<Flux> {
        self.flux(volts).filter(|_| self.frequency != self.design_frequency)
    }

    /// The line on which it gets what it was designed for, V RMS: above the design line where a resistor came into its lead
    /// later.
    pub fn line_as_found(&self) -> f64 {
        self.design_line / (1.0 - self.mains_resistor.map_or(0.0, |r| r.takes))
    }

    /// True if the chassis is joined to the mains.
    pub fn is_live(&self) -> bool {
        self.auto || self.string.is_some()
    }

    /// As it is in the first cycles after it is switched on: heaters at their cold resistance, nothing drawn from B+.
    pub fn just_switched_on(&mut self) {
        for filament in self.windings.iter_mut().flat_map(|w| &mut w.filaments) {
            *filament = filament.frozen();
        }
        self.still_tubes();
        self.block_rectifier();
    }

    /// Keeps the rectifiers from conducting.
    pub fn block_rectifier(&mut self) {
        for rectifier in self.rectifiers_mut() {
            rectifier.kind = RectifierKind::Mercury;
            rectifier.drop_amps = None;
            rectifier.drop_volts = BLOCKED_V;
        }
    }

    /// Takes the rectifiers out of their sockets.
    pub fn pull_rectifier(&mut self) {
        self.block_rectifier();
        // that of a second supply first: on one winding it hangs behind the main one
        if let Some((winding, place)) = self.second_filament()
            && let Some(hung) = self.windings.get_mut(winding).map(|w| &mut w.filaments)
            && place < hung.len()
        {
            hung.remove(place);
        }
        self.unhang_rectifier(self.rectifier.winding);
    }

    /// Takes a main rectifier's filament off its winding: it is hung there before the tubes and the lamps.
    pub(super) fn unhang_rectifier(&mut self, winding: Option<usize>) -> Option<Filament> {
        let hung = &mut self.windings.get_mut(winding?)?.filaments;
        let place = hung.iter().position(|f| f.socket.is_none())?;
        Some(hung.remove(place))
    }

    /// Takes every tube but the rectifier out of its socket; dial lamps stay.
    pub fn pull_tubes(&mut self) {
        self.still_tubes();
        for winding in &mut self.windings {
            winding.filaments.retain(|f| f.socket.is_none());
        }
    }

    /// Whether a link of its heater string is a dial lamp.
    pub fn is_dial_lamp(&self, link: usize) -> bool {
        self.string.as_ref().is_some_and(|s| {
            let second = self.second.as_ref().and_then(|second| second.rectifier.winding);
            let others = [s.barretter, s.tap, self.rectifier.winding, second];
            !self.windings[link].feeds_tubes && !others.contains(&Some(link))
        })
    }

    /// Leaves the tubes in, but lets none of them draw: cold cathodes.
    pub fn still_tubes(&mut self) {
        for tube in &mut self.tubes {
            tube.current_factor = 0.0;
        }
    }
}
