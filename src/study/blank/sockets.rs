//! The tubes and lamps of a new profile.

use super::fill::{Source, ohms};
use super::guess::part;
use super::set::{BiasFrom, Feed};
use super::sheet::{Entry, scalar};
use super::told::smaller;
use crate::catalogue::TubeType;
use crate::profile::LampPlace;
use crate::quantity::Quantity;

/// How far a resistor beside a heater may be off, %: as other resistors of its time (own judgement).
const SHUNT: u32 = 10;

impl Source<'_> {
    pub fn tubes(&self) -> Vec<Vec<Entry>> {
        let tubes = self.types.tubes.iter().zip(&self.types.named).enumerate();
        let rows = tubes.map(|(socket, (kind, named))| {
            let class = kind.class.word();
            let mut list = vec![Entry::said("type", scalar(named)).called(class)];
            list.extend(self.left("duty", |_| class.replace('-', " ")));
            list.extend(self.heater_shunt(kind));
            let feeds = self.hints.and_then(|h| h.feeds.get(socket).copied().flatten());
            if let Some(feeds) = feeds {
                let from = |si: f64| match si {
                    0.0 => "B+".to_owned(),
                    si => format!("{{ from: B+, through: {} }}", ohms(si)),
                };
                list.push(Entry::left("plate", from(feeds.plate_ohms)));
                list.extend(feeds.screen_ohms.map(|si| Entry::left("screen", from(si))));
            }
            match (self.guesses.biased.iter().find(|(s, _)| *s == socket), feeds) {
                (Some((_, tap)), _) => {
                    let point = match self.set.bias {
                        BiasFrom::Supply => "C-".to_owned(),
                        BiasFrom::Resistor => "B-".to_owned(),
                        _ => format!("bias.{tap}"),
                    };
                    list.push(Entry::told("grid", point));
                }
                (None, Some(feeds)) => {
                    let cathode = feeds.cathode_ohms.map_or("chassis".to_owned(), ohms);
                    list.push(Entry::left("cathode", cathode));
                }
                _ => {}
            }
            list
        });
        rows.collect()
    }

    /// What stands beside a heater that takes less than the string.
    fn heater_shunt(&self, tube: &TubeType) -> Option<Entry> {
        let line = self.types.feed(self.set) == Feed::Line;
        let amps = self.types.heaters().amps_a.filter(|_| line)?;
        let (volts, own) = smaller(tube, amps)?;
        let said = format!("{volts} V / ({:.0} mA - {:.0} mA)", 1e3 * amps, 1e3 * own);
        Some(Entry::guess("heater_shunt", ohms(part(volts / (amps - own))), SHUNT).called(&said))
    }

    pub fn lamps(&self) -> Option<Entry> {
        let line = self.types.feed(self.set) == Feed::Line;
        let place = line.then(|| match self.types.rectifier.lamp_tap {
            _ if self.set.lamp_on_ballast() => "ballast",
            Some(_) => LampPlace::Tap.word(),
            None => LampPlace::String.word(),
        });
        if self.types.lamps.is_empty() {
            let lamp = self.hints.and_then(|h| h.lamp.clone())?;
            let place = place.map_or(String::new(), |place| format!(", across: {place}"));
            let text = format!("[{{ type: {}, count: 1{place} }}]", scalar(&lamp));
            return Some(Entry::left("lamps", text));
        }
        let items = self.types.lamps.iter().map(|(lamp, count)| {
            let mut list = vec![Entry::said("type", scalar(&lamp.name))];
            list.push(Entry::said("count", count));
            if let Some(place) = place {
                list.push(Entry::told("across", place));
                list.extend(self.shunt(lamp.volts.si(), lamp.amps.si() * f64::from(*count)));
            }
            list
        });
        Some(Entry::list("lamps", items.collect()))
    }

    /// What stands beside a lamp that takes less than the string: it carries the rest.
    fn shunt(&self, volts: f64, amps: f64) -> Option<Entry> {
        let string = self.types.heaters().amps_a?;
        let rest = string - amps;
        let tapped = self.types.rectifier.lamp_tap.is_some() || self.set.lamp_on_ballast();
        let needed = !tapped && rest > 0.06 * string;
        needed.then(|| Entry::told("shunt", ohms(part(volts / rest))))
    }
}
