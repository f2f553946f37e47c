//! Every quantity of a reading by a key, for tables and curves that choose among them.

use super::reading::Reading;
use serde::Serialize;

/// What a meter must be set to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Meter {
    /// Alternating, RMS.
    Ac,
    /// Direct, average.
    Dc,
    /// Not for a meter.
    None,
}

/// A quantity of a reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Quantity {
    /// Key, such as `heater.main`.
    pub key: String,
    /// Unit.
    pub unit: &'static str,
    /// Name in words.
    #[serde(skip)]
    pub label: String,
    /// How it is measured.
    #[serde(skip)]
    pub meter: Meter,
}

/// Every quantity with its value. Tubes are numbered V1, V2, … as the profile lists those that draw B+ current.
pub(super) fn quantities(r: &Reading) -> Vec<(Quantity, f64)> {
    use Meter::{Ac, Dc};
    let mut list = Vec::new();
    let mut add = |key: String, unit: &'static str, meter: Meter, label: String, value: f64| {
        let quantity = Quantity { key, unit, label, meter };
        list.push((quantity, value));
    };
    let own = str::to_owned;
    add(own("set"), "V", Ac, own("at the set's primary"), r.set_v);
    for h in &r.heaters {
        let label = format!("heater winding {}", h.winding);
        add(format!("heater.{}", h.winding), "V", Ac, label, h.volts_v);
    }
    add(own("B+"), "V", Dc, own("B+"), r.b_plus_v);
    add(own("reservoir"), "V", Dc, own("filter capacitor 1, + side"), r.reservoir_v);
    for (i, c) in r.capacitors.iter().enumerate() {
        let label = format!("across {}", c.name);
        add(format!("capacitor{}", i + 1), "V", Dc, label, c.volts_v);
    }
    add(own("ripple"), "V", Ac, own("ripple on B+"), r.b_plus_ripple_v);
    for (i, c) in r.coils.iter().enumerate() {
        let n = i + 1;
        let alike = r.coils.iter().filter(|other| other.name == c.name).count();
        let name = if alike > 1 { format!("{} {n}", c.name) } else { c.name.clone() };
        add(format!("coil{n}.drop"), "V", Dc, format!("across the {name}"), c.drop_v);
        add(
            format!("coil{n}.temperature"),
            "°C",
            Meter::None,
            format!("{name}, temperature"),
            c.temperature_c,
        );
    }
    for t in &r.taps {
        add(t.name.clone(), "V", Dc, format!("tap {}", t.name), t.volts_v);
    }
    let current = own("primary current, true RMS");
    add(own("primary_current"), "A", Ac, current, r.primary_a);
    let current = own("current from the outlet, true RMS");
    add(own("line_current"), "A", Ac, current, r.line_a);
    let watts = own("watts from the outlet");
    add(own("line_power"), "W", Ac, watts, r.line_w);
    let lost = own("lost in the part");
    add(own("lead_power"), "W", Meter::None, lost, r.lead_w);
    let crest = own("crest factor of the primary current");
    add(own("crest_factor"), "", Meter::None, crest, r.crest_factor);
    let dc = own("rectifier output");
    add(own("dc_current"), "A", Dc, dc, r.rectifier.dc_a);
    for (i, t) in r.tubes.iter().enumerate() {
        let n = i + 1;
        let name = |what: &str| format!("V{n} {}, {what}", t.name);
        add(format!("V{n}.bias"), "V", Dc, name("bias"), t.bias_v);
        add(format!("V{n}.plate"), "V", Dc, name("plate"), t.plate_v);
        if let Some(v) = t.screen_v {
            add(format!("V{n}.screen"), "V", Dc, name("screen"), v);
        }
        let label = name("cathode");
        add(format!("V{n}.cathode"), "V", Dc, label, t.cathode_v);
        let label = name("plate current");
        add(format!("V{n}.plate_current"), "A", Dc, label, t.plate_a);
        let label = name("plate dissipation");
        add(format!("V{n}.plate_power"), "W", Meter::None, label, t.plate_w);
    }
    list
}
