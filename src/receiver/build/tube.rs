//! A tube in the network: feeds, cathode, grid average, and its currents linearised at the average volts.

use super::{points::TubeNodes, wiring::Wiring};
use crate::{
    circuit::{Node, REFERENCE},
    receiver::{Feed, Grid, Result, Tube},
};

/// Grids hang on their tap through this, so that they see its average and load it with nothing: a time
/// constant of 10 s against a cycle of 1/60 s leaves less than 1e-3 of the ripple.
const AVERAGER_OHMS: f64 = 1e8;
/// The averager's capacitor.
const AVERAGER_FARADS: f64 = 1e-7;
/// The same while the set starts: a tenth of a second, about what a grid's own filter has (common practice, no source).
const STARTING_FARADS: f64 = 1e-9;

impl Wiring<'_> {
    /// The electrode that `feed` feeds, with the ends of the resistor between.
    fn feed(&mut self, feed: &Feed, name: &str) -> Result<(Node, Option<(Node, Node)>)> {
        let from = self.at.named(&feed.from);
        if feed.ohms <= 0.0 {
            return Ok((from, None));
        }
        let node = self.node(name);
        self.net.resistor(format_args!("feed of {name}"), from, node, feed.ohms)?;
        if feed.bypass > 0.0 {
            self.net.capacitor(format_args!("bypass of {name}"), node, REFERENCE, feed.bypass)?;
        }
        Ok((node, Some((from, node))))
    }

    /// The cathode of a tube with its resistor and bypass.
    fn cathode(&mut self, tube: &Tube, label: &str) -> Result<Node> {
        if tube.cathode_ohms <= 0.0 {
            return Ok(REFERENCE);
        }
        let node = self.node(format_args!("cathode of {label}"));
        let name = format_args!("cathode resistor of {label}");
        self.net.resistor(name, node, REFERENCE, tube.cathode_ohms)?;
        if tube.cathode_bypass > 0.0 {
            let name = format_args!("cathode bypass of {label}");
            self.net.capacitor(name, node, REFERENCE, tube.cathode_bypass)?;
        }
        Ok(node)
    }

    /// The node whose average is the volts of a grid on the tap of that name: grids on one tap share it.
    fn average(&mut self, tap: &str) -> Result<Node> {
        let at = self.at.named(tap);
        let mut earlier = self.model.tubes.iter().zip(&self.at.tubes);
        let shared = earlier.find(|(t, _)| matches!(&t.grid, Grid::Tap(name) if name == tap));
        if let Some(node) = shared.and_then(|(_, nodes)| nodes.grid) {
            return Ok(node);
        }
        let average = format!("average of {tap}");
        let node = self.node(&average);
        self.net.resistor(&average, at, node, AVERAGER_OHMS)?;
        let farads = if self.model.starting { STARTING_FARADS } else { AVERAGER_FARADS };
        self.net.capacitor(&average, node, REFERENCE, farads)?;
        Ok(node)
    }

    /// Adds tube `index` with its feeds, its cathode and its currents linearised at its average volts.
    ///
    /// # Errors
    /// A value the core refuses.
    pub fn tube(&mut self, index: usize) -> Result<TubeNodes> {
        let model = self.model;
        let tube = &model.tubes[index];
        let label = format!("{} {}", index + 1, tube.type_name);
        let (plate, plate_feed) = self.feed(&tube.plate, &format!("plate of {label}"))?;
        let supply = self.at.named(&tube.plate.from);
        let screen_name = format!("screen of {label}");
        let screen = tube.screen.as_ref().map(|feed| self.feed(feed, &screen_name)).transpose()?;
        let (screen, screen_feed) = screen.map_or((None, None), |(node, ends)| (Some(node), ends));
        let cathode = self.cathode(tube, &label)?;
        let (grid, fixed_grid) = match &tube.grid {
            Grid::Fixed(volts) | Grid::Leak(volts) => (None, *volts),
            Grid::Tap(name) => (Some(self.average(name)?), 0.0),
        };

        // the law linearised at the average volts: i = i0 + Σ slope·(v − v0)
        let [g, s, p, _] = self.slow.tube_volts[index];
        let now = tube.currents(model.signal, [g, s, p]);
        let scale = tube.count * tube.current_factor;
        let mut controlled = |name: &str, value: f64, slopes: [f64; 3], from: Node| {
            let [dg, ds, dp] = slopes.map(|d| d * scale);
            let constant = scale * value - dg * g - ds * s - dp * p + dg * fixed_grid;
            let mut control: Vec<(Node, f64)> =
                [grid.zip(Some(dg)), screen.zip(Some(ds))].into_iter().flatten().collect();
            // a triode's slope in screen volts is nothing, and so are those volts
            control.extend([(plate, dp), (cathode, -(dg + ds + dp))]);
            let leaves = vec![(from, 1.0), (cathode, -1.0)];
            let name = format_args!("{name} current of {label}");
            self.net.controlled(name, constant, control, leaves)
        };
        let [of_plate, of_screen, of_extra] = now.slopes;
        let plate_current = controlled("plate", now.plate, of_plate, plate)?;
        let screen_current = controlled("screen", now.screen, of_screen, screen.unwrap_or(supply))?;
        controlled("extra", now.extra, of_extra, supply)?;
        Ok(TubeNodes {
            plate,
            screen,
            cathode,
            plate_feed,
            screen_feed,
            grid,
            fixed_grid,
            plate_current,
            screen_current,
        })
    }
}
