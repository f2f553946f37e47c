//! A full-wave supply with its heaters and a coil in the negative lead, drawn from circuit elements by
//! hand. Shared by the tests and the bench; it stands apart from `receiver`, so that the two can be compared.

use mainsfit::circuit::{
    CircuitError, ElementId, Law, Network, Node, Probe, REFERENCE, SteadyState, Wave, Winding,
};
use std::f64::consts::SQRT_2;

/// A winding with one heater load: `I = amps · (V/volts)^0.55` at the heater's own volts.
#[derive(Debug, Clone, Copy)]
pub struct Heater {
    /// Turns per volt of primary EMF.
    pub turns: f64,
    /// Copper in ohms; 0 for none.
    pub copper: f64,
    pub volts: f64,
    pub amps: f64,
}

/// Current exponent of the heaters in the reference cases.
pub const EXPONENT: f64 = 0.55;

impl Heater {
    /// Resistance in ohms with `volts` RMS across it.
    pub fn ohms(&self, volts: f64) -> f64 {
        self.volts / self.amps * (volts / self.volts).powf(1.0 - EXPONENT)
    }
}

/// The supply; SI units throughout.
#[derive(Debug, Clone)]
pub struct Supply {
    pub line: f64,
    pub frequency: f64,
    /// Resistor in the line cord; 0 for none.
    pub dropper: f64,
    pub primary: f64,
    pub core_loss: f64,
    pub core_henries: f64,
    /// Turns per volt of primary EMF, each half.
    pub half_turns: f64,
    pub half_ohms: f64,
    pub plate: Law,
    pub heaters: Vec<Heater>,
    /// First capacitor, rectifier cathode to center tap.
    pub first: f64,
    pub coil_henries: f64,
    pub coil_ohms: f64,
    /// Second capacitor, rectifier cathode to chassis.
    pub second: f64,
}

/// Where to measure.
pub struct Points {
    pub line: ElementId,
    pub plug: Node,
    /// The set's own primary leads.
    pub set: Node,
    pub b_plus: Node,
    pub centre: Node,
    pub heaters: Vec<Node>,
    pub plates: [ElementId; 2],
    pub plate_nodes: [Node; 2],
    /// Every resistor with its ends.
    pub resistors: Vec<(ElementId, Node, Node)>,
}

impl Points {
    /// Adds a resistor and remembers it.
    pub fn resistor(
        &mut self,
        net: &mut Network,
        name: &str,
        a: Node,
        b: Node,
        ohms: f64,
    ) -> Result<ElementId, CircuitError> {
        let id = net.resistor(name, a, b, ohms)?;
        self.resistors.push((id, a, b));
        Ok(id)
    }
}

/// What hangs on the supply.
pub type Hang<'a> = &'a dyn Fn(&mut Network, &mut Points) -> Result<(), CircuitError>;

/// A way to the steady state of a network, from a start.
pub type Solver<'a> = &'a dyn Fn(&Network, Option<&[f64]>) -> Result<SteadyState, CircuitError>;

/// A solved supply.
pub struct Solved {
    pub at: Points,
    pub state: SteadyState,
    pub heater_ohms: Vec<f64>,
}

impl Solved {
    /// Average volts between two nodes.
    pub fn dc(&self, a: Node, b: Node) -> f64 {
        self.state.mean(Probe::Volts(a, b))
    }

    pub fn heater_volts(&self, index: usize) -> f64 {
        self.state.rms(Probe::Volts(self.at.heaters[index], REFERENCE))
    }

    pub fn line_amps(&self) -> f64 {
        self.state.rms(Probe::Amps(self.at.line))
    }

    /// Watts taken from the line.
    pub fn line_watts(&self) -> f64 {
        let volts = Probe::Volts(self.at.plug, REFERENCE);
        -self.state.mean_product(Probe::Amps(self.at.line), volts)
    }

    pub fn crest(&self) -> f64 {
        self.state.peak(Probe::Amps(self.at.line)) / self.line_amps()
    }

    pub fn set_volts(&self) -> f64 {
        self.state.rms(Probe::Volts(self.at.set, REFERENCE))
    }
}

impl Supply {
    /// The network with heaters of `heater_ohms` and `hang` on its output.
    pub fn build(
        &self,
        heater_ohms: &[f64],
        hang: Hang<'_>,
    ) -> Result<(Network, Points), CircuitError> {
        let mut net = Network::new(self.frequency, "chassis")?;
        let plug = net.node("plug");
        let wave = Wave::Sine { peak: self.line * SQRT_2, phase: 0.0 };
        let line = net.voltage("line", plug, REFERENCE, wave)?;
        let set = if self.dropper > 0.0 { net.node("set") } else { plug };
        let (emf, b_plus, centre) = (net.node("EMF"), net.node("B+"), net.node("center tap"));
        let plate_nodes = [net.node("plate 1"), net.node("plate 2")];
        let mut at = Points {
            line,
            plug,
            set,
            b_plus,
            centre,
            heaters: Vec::new(),
            plates: [
                net.rectifier("rectifier 1", plate_nodes[0], b_plus, self.plate)?,
                net.rectifier("rectifier 2", plate_nodes[1], b_plus, self.plate)?,
            ],
            plate_nodes,
            resistors: Vec::new(),
        };
        if self.dropper > 0.0 {
            at.resistor(&mut net, "dropper", plug, set, self.dropper)?;
        }
        at.resistor(&mut net, "primary copper", set, emf, self.primary)?;
        at.resistor(&mut net, "core loss", emf, REFERENCE, self.core_loss)?;
        net.inductor("magnetising current", emf, REFERENCE, self.core_henries)?;
        let halves = [net.node("half 1"), net.node("half 2")];
        let mut windings = vec![
            winding(emf, REFERENCE, 1.0),
            winding(halves[0], centre, self.half_turns),
            winding(centre, halves[1], self.half_turns),
        ];
        for (place, half) in halves.into_iter().enumerate() {
            let name = format!("copper of half {}", place + 1);
            at.resistor(&mut net, &name, half, plate_nodes[place], self.half_ohms)?;
        }
        for (place, (heater, ohms)) in self.heaters.iter().zip(heater_ohms).enumerate() {
            let start = net.node(&format!("winding {place}"));
            windings.push(winding(start, REFERENCE, heater.turns));
            let mut terminal = start;
            if heater.copper > 0.0 {
                terminal = net.node(&format!("heater {place}"));
                let name = format!("copper of winding {place}");
                at.resistor(&mut net, &name, start, terminal, heater.copper)?;
            }
            at.resistor(&mut net, &format!("heater {place}"), terminal, REFERENCE, *ohms)?;
            at.heaters.push(terminal);
        }
        net.transformer("transformer", windings)?;
        net.capacitor("first capacitor", b_plus, centre, self.first)?;
        let inside = net.node("inside the coil");
        net.inductor("field coil", REFERENCE, inside, self.coil_henries)?;
        at.resistor(&mut net, "field coil copper", inside, centre, self.coil_ohms)?;
        net.capacitor("second capacitor", b_plus, REFERENCE, self.second)?;
        hang(&mut net, &mut at)?;
        Ok((net, at))
    }

    /// Heater resistances at rated volts, to start from.
    pub fn rated_heater_ohms(&self) -> Vec<f64> {
        self.heaters.iter().map(|h| h.ohms(h.volts)).collect()
    }

    /// Solves with the heaters in balance with their own volts.
    pub fn settle(&self, solve: Solver<'_>, hang: Hang<'_>) -> Result<Solved, CircuitError> {
        let mut heater_ohms = self.rated_heater_ohms();
        let mut near: Option<Vec<f64>> = None;
        loop {
            let (net, at) = self.build(&heater_ohms, hang)?;
            let state = solve(&net, near.as_deref())?;
            let solved = Solved { at, state, heater_ohms: heater_ohms.clone() };
            let mut change: f64 = 0.0;
            for (place, heater) in self.heaters.iter().enumerate() {
                let ohms = heater.ohms(solved.heater_volts(place));
                change = change.max((ohms / heater_ohms[place] - 1.0).abs());
                heater_ohms[place] = ohms;
            }
            if change < 1e-9 {
                return Ok(solved);
            }
            near = Some(solved.state.start().to_vec());
        }
    }
}

fn winding(start: Node, end: Node, turns: f64) -> Winding {
    Winding { start, end, turns }
}

/// The supply of `tests/data/steady_state.json` ("circuit"), with its turns, which stand there in words.
pub fn reference_supply(line: f64, dropper: f64) -> Supply {
    Supply {
        line,
        frequency: 60.0,
        dropper,
        primary: 6.0,
        core_loss: 4000.0,
        core_henries: 8.0,
        half_turns: 350.0 / 115.0,
        half_ohms: 150.0,
        plate: Law::ThreeHalves { perveance: 0.125 / 60f64.powf(1.5), offset: 0.0 },
        heaters: vec![
            Heater { turns: 6.3 / 115.0, copper: 0.0, volts: 6.3, amps: 2.5 },
            Heater { turns: 5.0 / 115.0, copper: 0.0, volts: 5.0, amps: 2.0 },
        ],
        first: 8e-6,
        coil_henries: 12.0,
        coil_ohms: 1200.0,
        second: 8e-6,
    }
}

/// Load of the reference supply, ohms from B+ to chassis.
pub const REFERENCE_LOAD: f64 = 4000.0;

/// Hangs the reference load and, where given, a divider over the field coil.
pub fn hang_reference_load(
    net: &mut Network,
    at: &mut Points,
    divider: Option<f64>,
) -> Result<(), CircuitError> {
    at.resistor(net, "load", at.b_plus, REFERENCE, REFERENCE_LOAD)?;
    if let Some(ohms) = divider {
        at.resistor(net, "divider", at.centre, REFERENCE, ohms)?;
    }
    Ok(())
}
