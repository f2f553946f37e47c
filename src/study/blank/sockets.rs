//! The tubes and lamps of a new profile.

use super::{
    fill::Source,
    guess::part,
    set::BiasFrom,
    sheet::{Entry, guess, left, list, said, scalar, told},
    told::smaller,
};
use crate::{
    catalogue::TubeType, profile::LampPlace, quantity::Quantity,
    study::sentences::plain_ohms as ohms,
};

/// How far a resistor beside a heater may be off, %: as other resistors of its time (own judgement).
const SHUNT: u32 = 10;

impl Source<'_> {
    pub fn tubes(&self) -> Vec<Vec<Entry>> {
        let tubes = self.types.tubes.iter().zip(&self.types.named).enumerate();
        let rows = tubes.map(|(socket, (kind, named))| {
            let class = kind.class.word();
            let duty = left("duty", class.replace('-', " "));
            let mut list = vec![said("type", scalar(named)).called(class), duty];
            list.extend(self.heater_shunt(kind));
            let feeds = self.hints.feeds.get(socket).copied().flatten();
            if let Some(feeds) = feeds {
                let from = |si| match si {
                    0.0 => "B+".to_owned(),
                    si => format!("{{ from: B+, through: {} }}", ohms(si)),
                };
                list.push(left("plate", from(feeds.plate_ohms)));
                list.extend(feeds.screen_ohms.map(|si| left("screen", from(si))));
            }
            list.extend(match (self.guesses.biased.iter().find(|(s, _)| *s == socket), feeds) {
                (Some((_, tap)), _) => Some(told(
                    "grid",
                    match self.types.set.bias {
                        BiasFrom::Supply => "C-".to_owned(),
                        BiasFrom::Resistor => "B-".to_owned(),
                        _ => format!("bias.{tap}"),
                    },
                )),
                (None, feeds) => feeds.map(|feeds| {
                    left("cathode", feeds.cathode_ohms.map_or("chassis".to_owned(), ohms))
                }),
            });
            list
        });
        rows.collect()
    }

    /// What stands beside a heater that takes less than the string.
    fn heater_shunt(&self, tube: &TubeType) -> Option<Entry> {
        let amps = self.types.heaters().amps_a.filter(|_| self.types.on_line())?;
        let (volts, own) = smaller(tube, amps)?;
        let said = format!("{volts} V / ({:.0} mA - {:.0} mA)", 1e3 * amps, 1e3 * own);
        Some(guess("heater_shunt", ohms(part(volts / (amps - own))), SHUNT).called(&said))
    }

    pub fn lamps(&self) -> Option<Entry> {
        let types = self.types;
        let place = types.on_line().then(|| match types.rectifier.lamp_tap {
            _ if types.set.lamp_on_ballast() => "ballast",
            Some(_) => LampPlace::Tap.word(),
            None => LampPlace::String.word(),
        });
        if types.lamps.is_empty() {
            let lamp = scalar(self.hints.lamp.as_ref()?);
            let place = place.map_or(String::new(), |place| format!(", across: {place}"));
            return Some(left("lamps", format!("[{{ type: {lamp}, count: 1{place} }}]")));
        }
        let items = types.lamps.iter().map(|(lamp, count)| {
            let mut list = vec![said("type", scalar(&lamp.name)), said("count", count)];
            if let Some(place) = place {
                list.push(told("across", place));
                list.extend(self.shunt(lamp.volts.si(), lamp.amps.si() * f64::from(*count)));
            }
            list
        });
        Some(list("lamps", items.collect()))
    }

    /// What stands beside a lamp that takes less than the string: it carries the rest.
    fn shunt(&self, volts: f64, amps: f64) -> Option<Entry> {
        let types = self.types;
        let string = types.heaters().amps_a?;
        let rest = string - amps;
        let tapped = types.rectifier.lamp_tap.is_some() || types.set.lamp_on_ballast();
        (!tapped && rest > 0.06 * string).then(|| told("shunt", ohms(part(volts / rest))))
    }
}
