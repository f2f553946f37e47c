//! A dropper as a profile writes it.

use super::model::{DropperKind, StringDropper};
use crate::quantity::show_plain;
use std::fmt;

impl fmt::Display for StringDropper {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut keys: Vec<(&str, String)> = Vec::new();
        let word = match &self.kind {
            DropperKind::Resistor(ohms) => {
                keys.push(("resistance", show_plain(*ohms)));
                "resistor"
            }
            DropperKind::LineCord { ohms, metres } => {
                keys.push(("resistance", show_plain(*ohms)));
                keys.extend(metres.map(|m| ("length", format!("{m} m"))));
                "line-cord"
            }
            DropperKind::Ballast { name: Some(name), .. } => {
                keys.push(("type", format!("{name:?}")));
                "ballast"
            }
            DropperKind::Ballast { name: None, volts, current, .. } => {
                keys.push(("volts", show_plain(*volts)));
                keys.push(("current", show_plain(*current)));
                "ballast"
            }
            DropperKind::Barretter { name, current, holds: (from, to), within } => {
                match name {
                    Some(name) => keys.push(("type", format!("{name:?}"))),
                    None => {
                        keys.push(("current", show_plain(*current)));
                        let (from, to) = (show_plain(*from), show_plain(*to));
                        keys.push(("holds", format!("{{ from: {from}, to: {to} }}")));
                    }
                }
                keys.extend(within.map(|w| ("within", format!("{w}"))));
                "barretter"
            }
            DropperKind::Capacitor { value, rated, bleeder, surge } => {
                keys.push(("capacitance", show_plain(*value)));
                keys.extend(rated.map(|v| ("rated", show_plain(v))));
                keys.extend(bleeder.map(|r| ("bleeder", show_plain(r))));
                keys.extend(surge.map(|r| ("surge_resistor", show_plain(r))));
                "capacitor"
            }
            DropperKind::Diode { resistance } => {
                keys.extend(resistance.map(|r| ("resistance", show_plain(r))));
                "diode"
            }
        };
        keys.extend(self.rated.map(|w| ("rated", show_plain(w))));
        write!(f, "{{ kind: {word}")?;
        keys.iter().try_for_each(|(key, value)| write!(f, ", {key}: {value}"))?;
        f.write_str(" }")
    }
}
