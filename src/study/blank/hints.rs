//! What a plan would take where a new profile is silent: the set is solved as any other.

use super::{
    guess::{LOW_MAINS_V, part},
    told::Types,
};
use crate::{
    catalogue::{Catalogue, LampKind, LampType, OutletRange, Trade, outlet_range},
    profile::Profile,
    receiver::Receiver,
    study::{OutletVolts, read},
};

/// Ratings of the trade's line fuses, A.
const FUSES: [f64; 9] = [0.25, 0.4, 0.5, 0.8, 1.0, 1.5, 2.0, 3.0, 5.0];
/// A set's own fuse over what it draws, at least (common practice, no source).
const FUSE_ROOM: f64 = 2.0;

/// What a plan takes for the connections of a tube.
#[derive(Clone, Copy)]
pub struct Feeds {
    /// Ω from B+ to the plate.
    pub plate_ohms: f64,
    /// Ω from B+ to the screen; none without a screen.
    pub screen_ohms: Option<f64>,
    /// Cathode resistor, Ω; none where the cathode is at chassis.
    pub cathode_ohms: Option<f64>,
}

/// What a plan would take; noughts while that is found out.
#[derive(Default)]
pub struct Hints {
    pub frequency_hz: f64,
    pub watts_w: f64,
    pub outlet: OutletVolts,
    pub primary_ohms: f64,
    pub no_load_a: f64,
    pub no_load_w: f64,
    pub half_ohms: f64,
    pub half_v: f64,
    pub windings: Vec<(String, f64)>,
    pub b_plus_v: f64,
    /// Working volts that bear the crest of the supply.
    pub rated_v: f64,
    /// Of each socket; none where nothing is drawn from B+.
    pub feeds: Vec<Option<Feeds>>,
    /// A dial lamp for the set.
    pub lamp: Option<String>,
    fuse_a: f64,
}

/// A value to two digits, for what is only usual.
pub fn two(si: f64) -> f64 {
    format!("{si:.1e}").parse().unwrap_or(si)
}

impl Hints {
    pub fn of(
        receiver: &Receiver,
        profile: &Profile,
        types: &Types<'_>,
        outlet: OutletVolts,
    ) -> Hints {
        let model = receiver.model();
        let reading = read(receiver, receiver.at_design());
        let line_a = reading.line_w / model.design_line;
        // the next of the trade's steps of 50 V above the crest at the day's highest line
        let crest = receiver.crest_volts(outlet.high_v.max(model.design_line));
        let feeds = (0..profile.tubes.len()).map(|socket| {
            model.tubes.iter().find(|t| t.socket == socket).map(|t| Feeds {
                plate_ohms: part(t.plate.ohms),
                screen_ohms: t.screen.as_ref().map(|s| part(s.ohms)),
                cathode_ohms: (t.cathode_ohms > 0.0).then(|| part(t.cathode_ohms)),
            })
        });
        let half_v = if types.on_line() {
            model.design_line
        } else {
            model.design_line * receiver.core().no_load_ratio * receiver.turns().high_voltage
        };
        Hints {
            frequency_hz: model.frequency,
            watts_w: two(reading.line_w),
            primary_ohms: two(model.primary.resistance),
            no_load_a: two(model.primary.no_load_amps),
            no_load_w: two(model.primary.no_load_watts),
            half_ohms: two(model.high_voltage.resistance_per_half),
            half_v,
            windings: model.windings.iter().map(|w| (w.name.clone(), w.rated)).collect(),
            b_plus_v: reading.b_plus_v,
            rated_v: (crest / 50.0).ceil() * 50.0,
            feeds: feeds.collect(),
            lamp: lamp(types, &outlet),
            fuse_a: FUSES.into_iter().find(|a| *a >= FUSE_ROOM * line_a).unwrap_or(FUSES[8]),
            outlet,
        }
    }

    /// A fuse as it may stand in such a set.
    pub fn fuse(&self) -> String {
        let standard = if self.outlet.usual_v < LOW_MAINS_V { "UL" } else { "IEC" };
        format!("{{ rating: {} A, standard: {standard} }}", self.fuse_a)
    }
}

/// A dial lamp of that country for the tubes' winding, or for the string.
fn lamp(types: &Types<'_>, outlet: &OutletVolts) -> Option<String> {
    let range = outlet.range.and_then(|name| outlet_range(name).ok());
    let low = outlet.usual_v < LOW_MAINS_V;
    let trade = range.map_or(if low { Trade::America } else { Trade::Europe }, OutletRange::trade);
    let volts = types.tubes.first().map_or(6.3, |t| t.heater_volts.value);
    // in a string the current must fit, across a tap or on a winding the volts
    let amps = types.heaters().amps_a.filter(|_| types.on_line());
    let off = |lamp: &LampType| {
        let (v, a) = (lamp.volts.value, lamp.amps.value);
        match (amps, types.rectifier.lamp_tap) {
            (Some(amps), None) => (a / amps - 1.0).abs(),
            (Some(amps), _) => (v / 6.3 - 1.0).abs() + (a / amps - 1.0).abs(),
            _ => (v / volts - 1.0).abs(),
        }
    };
    let found = Catalogue::built_in().lamps().iter();
    let found = found.filter(|l| l.kind == LampKind::Dial && off(l) < 0.1);
    let abroad = |l: &LampType| l.trade() != trade;
    let best = found.min_by(|a, b| abroad(a).cmp(&abroad(b)).then(off(a).total_cmp(&off(b))));
    best.map(|l| l.name.clone())
}
