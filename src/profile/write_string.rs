//! A dropper as a profile writes it.

use super::dropper::{DropperKind, StringDropper};
use crate::quantity::{Quantity, show_plain};
use std::fmt;

/// A key with its value, if it has one.
fn key<Q: Quantity>(key: &str, value: Option<Q>) -> Option<String> {
    Some(format!("{key}: {}", show_plain(value?)))
}

impl fmt::Display for StringDropper {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let printed = |name: &String| Some(format!("type: {name:?}"));
        let (word, keys) = match &self.kind {
            DropperKind::Resistor(ohms) => ("resistor", vec![key("resistance", Some(*ohms))]),
            DropperKind::LineCord { ohms, metres } => (
                "line-cord",
                vec![key("resistance", Some(*ohms)), metres.map(|m| format!("length: {m} m"))],
            ),
            DropperKind::Ballast { name: Some(name), .. } => ("ballast", vec![printed(name)]),
            DropperKind::Ballast { volts, current, .. } => {
                ("ballast", vec![key("volts", Some(*volts)), key("current", Some(*current))])
            }
            DropperKind::Barretter { name, current, holds: (from, to), within } => {
                let within = within.map(|w| format!("within: {w}"));
                let (from, to) = (show_plain(*from), show_plain(*to));
                let holds = Some(format!("holds: {{ from: {from}, to: {to} }}"));
                let keys = match name {
                    Some(name) => vec![printed(name), within],
                    None => vec![key("current", Some(*current)), holds, within],
                };
                ("barretter", keys)
            }
            DropperKind::Capacitor { value, rated, bleeder, surge } => (
                "capacitor",
                vec![
                    key("capacitance", Some(*value)),
                    key("rated", *rated),
                    key("bleeder", *bleeder),
                    key("surge_resistor", *surge),
                ],
            ),
            DropperKind::Diode { resistance } => ("diode", vec![key("resistance", *resistance)]),
        };
        write!(f, "{{ kind: {word}")?;
        let mut keys = keys.into_iter().chain([key("rated", self.rated)]).flatten();
        keys.try_for_each(|key| write!(f, ", {key}"))?;
        f.write_str(" }")
    }
}
