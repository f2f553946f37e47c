//! A tube in the network: feeds, cathode, grid average, and its currents linearised at the average volts.

use super::super::error::ReceiverError;
use super::super::model::{Feed, Grid, Model};
use super::{Points, Slow, TubeNodes};
use crate::circuit::{Network, Node, REFERENCE};

/// Grids hang on their tap through this, so that they see its average and load it with nothing: a time
/// constant of 10 s against a cycle of 1/60 s leaves less than 1e-3 of the ripple.
const AVERAGER_OHMS: f64 = 1e8;
/// The averager's capacitor.
const AVERAGER_FARADS: f64 = 1e-7;
/// The same while the set starts: a tenth of a second, about what a grid's own filter has (common practice, no source).
const STARTING_FARADS: f64 = 1e-9;

/// The electrode that `feed` feeds, with the ends of the resistor between.
fn feed(
    net: &mut Network,
    points: &Points,
    feed: &Feed,
    name: &str,
) -> Result<(Node, Option<(Node, Node)>), ReceiverError> {
    let from = points.named(&feed.from);
    if feed.ohms <= 0.0 {
        return Ok((from, None));
    }
    let node = net.node(name);
    net.resistor(format_args!("feed of {name}"), from, node, feed.ohms)?;
    if feed.bypass > 0.0 {
        net.capacitor(format_args!("bypass of {name}"), node, REFERENCE, feed.bypass)?;
    }
    Ok((node, Some((from, node))))
}

/// Adds tube `index` with its feeds, its cathode and its currents linearised at the average volts of `slow`.
///
/// # Errors
/// A value the core refuses.
pub(super) fn tube(
    model: &Model,
    slow: &Slow,
    index: usize,
    net: &mut Network,
    points: &Points,
) -> Result<TubeNodes, ReceiverError> {
    let tube = &model.tubes[index];
    let label = format!("{} {}", index + 1, tube.type_name);
    let (plate, plate_feed) = feed(net, points, &tube.plate, &format!("plate of {label}"))?;
    let supply = points.named(&tube.plate.from);
    let (screen, screen_feed) = match &tube.screen {
        Some(f) => {
            let (node, ends) = feed(net, points, f, &format!("screen of {label}"))?;
            (Some(node), ends)
        }
        None => (None, None),
    };
    let cathode = if tube.cathode_ohms > 0.0 {
        let node = net.node(&format!("cathode of {label}"));
        net.resistor(
            format_args!("cathode resistor of {label}"),
            node,
            REFERENCE,
            tube.cathode_ohms,
        )?;
        if tube.cathode_bypass > 0.0 {
            let name = format!("cathode bypass of {label}");
            net.capacitor(&name, node, REFERENCE, tube.cathode_bypass)?;
        }
        node
    } else {
        REFERENCE
    };
    let (grid, fixed_grid) = match &tube.grid {
        Grid::Fixed(volts) | Grid::Leak(volts) => (None, *volts),
        Grid::Tap(name) => {
            let tap = points.named(name);
            // grids on one tap share the average
            let mut earlier = model.tubes.iter().zip(&points.tubes);
            let shared = earlier.find(|(t, _)| matches!(&t.grid, Grid::Tap(tap) if tap == name));
            let node = match shared.and_then(|(_, nodes)| nodes.grid) {
                Some(node) => node,
                None => {
                    let average = format!("average of {name}");
                    let node = net.node(&average);
                    net.resistor(&average, tap, node, AVERAGER_OHMS)?;
                    let farads = if model.starting { STARTING_FARADS } else { AVERAGER_FARADS };
                    net.capacitor(&average, node, REFERENCE, farads)?;
                    node
                }
            };
            (Some(node), 0.0)
        }
    };

    // the law linearised at the average volts: i = i0 + Σ slope·(v − v0)
    let [g, s, p, _] = slow.tube_volts[index];
    let now = tube.currents(model.signal, [g, s, p]);
    let scale = tube.count * tube.current_factor;
    let mut controlled = |name: &str, value: f64, slopes: [f64; 3], from: Node| {
        let [dg, ds, dp] = slopes.map(|d| d * scale);
        let constant = scale * value - dg * g - ds * s - dp * p + dg * fixed_grid;
        let mut control = Vec::new();
        if let Some(node) = grid {
            control.push((node, dg));
        }
        if let Some(node) = screen {
            control.push((node, ds));
        }
        control.push((plate, dp));
        // a triode's slope in screen volts is nothing, and so are those volts
        control.push((cathode, -(dg + ds + dp)));
        net.controlled(
            format_args!("{name} current of {label}"),
            constant,
            control,
            vec![(from, 1.0), (cathode, -1.0)],
        )
    };
    let plate_current = controlled("plate", now.plate, now.slopes[0], plate)?;
    let screen_current = controlled("screen", now.screen, now.slopes[1], screen.unwrap_or(supply))?;
    controlled("extra", now.extra, now.slopes[2], supply)?;
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
