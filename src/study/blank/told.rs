//! What the types of a set tell of it: which is the rectifier, and whether the heaters stand in series on the line.

use super::set::{BlankError, Feed, MOST, NewSet, Winding};
use crate::{
    catalogue::{Catalogue, Heating, LampType, NoSuchType, RectifierType, TubeType, Wave},
    profile::RectifierCircuit,
    quantity::Quantity,
};

/// Heaters of one current that add to more are a string, V (a set with a transformer has no half-wave rectifier whose
/// heater is of the tubes' current).
const STRING_V: f64 = 40.0;
/// Heaters above this are made for a string, V: the highest for a winding are 12.6 V.
const MADE_FOR_V: f64 = 14.0;
/// Heaters are of one current within this share.
const SAME_CURRENT: f64 = 0.06;
/// Least share of a string's current that a heater takes for a resistor to stand beside it (150 mA in 300 mA is usual).
const LEAST_SHARE: f64 = 0.45;
/// A dial lamp hangs on a winding of its volts within this share, as the receiver takes it.
const LAMP_FIT: f64 = 0.25;

/// The types of a set.
pub struct Types<'s> {
    pub set: &'s NewSet,
    pub tubes: Vec<&'static TubeType>,
    /// Names of the tubes as they were said.
    pub named: Vec<&'s str>,
    pub rectifier: &'static RectifierType,
    pub rectifiers: usize,
    pub lamps: Vec<(&'static LampType, u32)>,
}

/// The heaters of a set as a string.
#[derive(Debug, Clone)]
pub struct Heaters {
    /// Their current, A, if they are of one.
    pub amps_a: Option<f64>,
    /// The current of most of them, A.
    pub string_a: f64,
    /// What they would add to in series, V RMS, without lamps.
    pub volts_v: f64,
    /// True if types and sum tell of a string straight on the line.
    pub on_the_line: bool,
    /// A heater of another current than the rest: type and A.
    pub odd: Option<(String, f64)>,
}

/// What the types say of the heaters.
///
/// # Errors
/// As [`super::blank`] for types.
pub fn heaters(set: &NewSet) -> Result<Heaters, BlankError> {
    Ok(types(set)?.heaters())
}

/// Looks all types up. Where no rectifier is named, one among the tubes is it.
pub fn types(set: &NewSet) -> Result<Types<'_>, BlankError> {
    let catalogue = Catalogue::built_in();
    let most = set.tubes.len().max(set.lamps.len());
    if most > MOST {
        return Err(BlankError::TooMany(most));
    }
    let mut rectifiers = Vec::new();
    for name in &set.rectifiers {
        rectifiers.push(catalogue.rectifier(name)?.item);
    }
    let (mut tubes, mut named) = (Vec::new(), Vec::new());
    let mut both = None;
    for name in &set.tubes {
        match (catalogue.tube(name), catalogue.rectifier(name)) {
            (Ok(tube), rectifier) => {
                both = both.or(rectifier.ok().map(|r| r.item));
                tubes.push(tube.item);
                named.push(name.trim());
            }
            (Err(_), Ok(rectifier)) if set.rectifiers.is_empty() => rectifiers.push(rectifier.item),
            (Err(error), _) => return Err(error.into()),
        }
    }
    // a tube with the rectifier in its own bulb
    if rectifiers.is_empty() {
        rectifiers.extend(both);
    }
    let Some(rectifier) = rectifiers.first().copied() else {
        return Err(BlankError::NoRectifier);
    };
    if let Some(other) = rectifiers.iter().find(|r| r.name != rectifier.name) {
        return Err(BlankError::TwoRectifiers(rectifier.name.clone(), other.name.clone()));
    }
    Ok(Types { set, tubes, named, rectifier, rectifiers: rectifiers.len(), lamps: lamps(set)? })
}

fn lamps(set: &NewSet) -> Result<Vec<(&'static LampType, u32)>, NoSuchType> {
    let mut lamps: Vec<(&LampType, u32)> = Vec::new();
    for name in &set.lamps {
        let found = Catalogue::built_in().lamp(name)?.item;
        match lamps.iter_mut().find(|(l, _)| l.name == found.name) {
            Some((_, count)) => *count += 1,
            None => lamps.push((found, 1)),
        }
    }
    Ok(lamps)
}

/// Volts and amperes of a heater, in one of the ways it may be joined.
type Way = (f64, f64);

fn ways(tube: &TubeType) -> impl Iterator<Item = Way> {
    tube.heater_ways().map(|(v, i)| (v.si(), i.si()))
}

/// Volts and amperes of a tube's heater that takes less than a string of `amps`: a resistor beside it carries the rest.
pub fn smaller(tube: &TubeType, amps: f64) -> Option<Way> {
    let same = ways(tube).any(|(_, i)| (i / amps - 1.0).abs() <= SAME_CURRENT);
    let own = (tube.heater_volts.si(), tube.heater_amps.si());
    (!same && own.1 < amps).then_some(own)
}

impl Types<'_> {
    /// True if the rectifier has a heater of its own in the string.
    fn heats_its_own(&self) -> bool {
        let name = &self.rectifier.name;
        !self.rectifier.kind.is_dry() && self.tubes.iter().all(|t| t.name != *name)
    }

    pub fn heaters(&self) -> Heaters {
        let own = self.heats_its_own().then_some(self.rectifier);
        // each heater: its type and the ways it may be joined
        let mut all: Vec<(&str, Vec<Way>)> = Vec::new();
        if let Some(r) = own {
            let volts = r.filament_volts.si() * self.rectifiers as f64;
            all.push((&r.name, vec![(volts, r.filament_amps.si())]));
        }
        for tube in &self.tubes {
            all.push((&tube.name, ways(tube).collect()));
        }
        let way = |ways: &[Way], amps: f64| {
            ways.iter().copied().find(|(_, i)| (i / amps - 1.0).abs() <= SAME_CURRENT)
        };
        // the current of most of them; max_by_key takes the last of several, so the rectifier comes last
        let currents = all.iter().rev().flat_map(|(_, ways)| ways.iter().map(|(_, i)| *i));
        let of = |amps| all.iter().filter(|(_, ways)| way(ways, amps).is_some()).count();
        let amps = currents.max_by_key(|amps| of(*amps)).unwrap_or(1.0);
        // a tube that takes about half of another has a resistor beside it, and the string carries what the other takes; the
        // rectifier, which stands first, has none
        let least = |ways: &[Way]| ways.iter().map(|(_, i)| *i).fold(f64::INFINITY, f64::min);
        let most = all.iter().map(|(_, ways)| least(ways)).fold(0.0, f64::max);
        let shunts = of(amps) < all.len()
            && all.iter().enumerate().all(|(place, (_, ways))| {
                let may_be = own.is_none() || place > 0;
                way(ways, most).is_some() || may_be && least(ways) > LEAST_SHARE * most
            });
        let amps = if shunts { most } else { amps };
        let odd = all.iter().find(|(_, ways)| way(ways, amps).is_none()).filter(|_| !shunts);
        let volts = all.iter().filter_map(|(_, ways)| way(ways, amps).or(ways.first().copied()));
        let volts_v = volts.map(|(v, _)| v).sum();
        let made_for = own.is_some_and(|r| r.filament_volts.si() > MADE_FOR_V)
            || self.tubes.iter().any(|t| t.heater_volts.si() > MADE_FOR_V);
        // a full-wave rectifier, or a filament, wants a winding
        let needs_winding =
            own.is_some_and(|r| r.wave == Wave::Full || r.heating == Heating::Direct);
        let alike = odd.is_none() && !shunts && volts_v > STRING_V && !needs_winding;
        Heaters {
            amps_a: odd.is_none().then_some(amps),
            string_a: amps,
            volts_v,
            on_the_line: made_for || alike,
            odd: odd.map(|(name, ways)| ((*name).to_owned(), ways[0].1)),
        }
    }

    /// A dial lamp that fits no winding of the tubes.
    pub fn stray_lamp(&self) -> Option<&'static LampType> {
        let fits = |lamp: &LampType| {
            let mut volts = self.tubes.iter().map(|t| t.heater_volts / lamp.volts);
            volts.any(|ratio| (ratio.si() - 1.0).abs() <= LAMP_FIT)
        };
        self.lamps.iter().map(|(lamp, _)| *lamp).find(|lamp| !fits(lamp))
    }

    /// What feeds the set: as said, else as its heaters tell.
    pub fn feed(&self) -> Feed {
        let told = if self.heaters().on_the_line { Feed::Line } else { Feed::Transformer };
        self.set.feed.unwrap_or(told)
    }

    pub fn on_line(&self) -> bool {
        self.feed() == Feed::Line
    }

    /// How the diodes are joined: as said, else as the reader of profiles takes it.
    pub fn circuit(&self) -> RectifierCircuit {
        let pair = self.rectifier.wave != Wave::Half
            || self.rectifiers > 1
            || self.rectifier.kind.is_dry();
        let whole = matches!(self.set.winding, Some(Winding::Whole(_)));
        self.set.circuit.unwrap_or(if pair && !whole && !self.on_line() {
            RectifierCircuit::FullWave
        } else {
            RectifierCircuit::HalfWave
        })
    }
}
