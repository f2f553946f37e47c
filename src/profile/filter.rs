//! The filter, from the rectifier on.

use super::{
    cursor::Cursor,
    declare::{MOST, Part, Read, choice, form, keys, part, read_part, reads, shape_of},
    node::Kind,
    values::{Farads, Stated, StatedOhms, Volts, Watts},
};
use crate::{
    catalogue::stock::surge_by_rule,
    quantity::{Capacitance, Inductance, Quantity},
};

choice! {
    /// A lead of the supply
    pub enum Lead {
        /// From the rectifier to B+
        Positive = "positive",
        /// From chassis to the center tap, or to the other end of what feeds the rectifier
        Negative = "negative",
        /// From one rail to the other, as a bleeder; field coils only
        Across = "across",
    }
    "is not a lead of the supply",
    "write `positive` (rectifier to B+), `negative` (chassis to center tap), or for a field coil `across` (from one to the other, as a bleeder)"
}

keys! {
    /// A filter capacitor
    pub struct Capacitor [Copy] {
        /// Its capacitance
        value: Stated<Capacitance>,
        /// Its working volts; not judged if absent
        rated: Option<Volts>,
        /// Its surge volts, for the seconds of a switch-on, not below `rated`; absent: 1.15 times the working volts up to 315 V,
        /// 1.10 times above† (IEC 60384-4)
        surge: Option<Volts>,
    }
    wanted &["value", "rated"];
    => Capacitor: surge_above_rated;
}

fn surge_above_rated(capacitor: Capacitor, at: &Cursor<'_>) -> Option<Capacitor> {
    if capacitor.surge.zip(capacitor.rated).is_some_and(|(surge, rated)| surge < rated) {
        return at.below("surge").refuse(
            "the surge voltage is below the rated one",
            "swap the two: `rated` is for good, `surge` for the seconds of a switch-on",
        );
    }
    Some(capacitor)
}

form! {
    /// A capacitance, or a block of keys
    CapacitorForm -> Capacitor: Farads | Capacitor,
    |at| match at.kind() {
        Kind::Text => {
            Some(Capacitor { value: Farads::read(at)?, rated: None, surge: None })
        }
        _ => Capacitor::read(at),
    }
}

/// What is marked on a filter capacitor beside its value, V.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Marked {
    /// Working volts.
    pub rated: Option<f64>,
    /// Surge volts: what it bears for the seconds of a switch-on.
    pub surge: Option<f64>,
}

impl Capacitor {
    /// What is marked on it.
    pub fn marked(&self) -> Marked {
        Marked { rated: self.rated.map(Quantity::si), surge: self.surge.map(Quantity::si) }
    }
}

impl Marked {
    /// Surge volts: as marked, or by rule from the rated ones, and whether by rule.
    pub fn bears(self) -> Option<(f64, bool)> {
        let by_rule = self.rated.map(|v| (surge_by_rule(v), true));
        self.surge.map(|v| (v, false)).or(by_rule)
    }
}

keys! {
    /// A field coil or choke
    pub struct Coil [Copy] {
        /// Lead of the supply it stands in
        lead: Lead,
        /// Resistance at the temperature of the `room`; this or `hot`. Absent: hot over 1.15
        cold: Option<StatedOhms>,
        /// Resistance after an hour on the design line, not below `cold`; this or `cold`. Absent: 1.15 times cold
        hot: Option<StatedOhms>,
        /// Inductance at working current; 10 H if absent
        inductance: Option<Stated<Inductance>>,
    }
    example "{ lead: positive, cold: 1000 Ω }";
    rule (
        "anyOf",
        &["cold", "hot"],
        "the coil's resistance is missing",
        "add `cold: 1000 Ω` (at room temperature), `hot: 1150 Ω` (after an hour), or both",
    );
    => Coil: warmer_than_cold;
}

fn warmer_than_cold(coil: Coil, at: &Cursor<'_>) -> Option<Coil> {
    if coil.hot.zip(coil.cold).is_some_and(|(hot, cold)| hot < cold) {
        return at.below("hot").refuse(
            "the hot resistance is below the cold one",
            "copper rises when it warms: swap the two, or leave one out",
        );
    }
    Some(coil)
}

keys! {
    /// A resistor of the filter
    pub struct FilterResistor [Copy] {
        /// Its resistance
        value: StatedOhms,
        /// Lead of the supply it stands in
        lead: Lead,
        /// Watts it is rated for; not judged if absent: the plan shows its heat, fit twice that
        rated: Option<Watts>,
    }
    example "{ value: 1.2 kΩ, lead: positive }";
}

/// A part of the filter, in order from the rectifier.
#[derive(Debug, Clone)]
pub enum FilterPart {
    /// A filter capacitor across the supply at this place.
    Capacitor(Capacitor),
    /// A speaker's field coil.
    FieldCoil(Coil),
    /// A filter choke.
    Choke(Coil),
    /// A resistor.
    Resistor(FilterResistor),
}

impl FilterPart {
    /// The lead it stands in; `None` for a capacitor.
    pub fn lead(&self) -> Option<Lead> {
        match self {
            FilterPart::Capacitor(_) => None,
            FilterPart::FieldCoil(coil) | FilterPart::Choke(coil) => Some(coil.lead),
            FilterPart::Resistor(resistor) => Some(resistor.lead),
        }
    }

    /// True for a part in the negative lead.
    pub fn is_in_negative_lead(&self) -> bool {
        self.lead() == Some(Lead::Negative)
    }
}

reads!(FilterPart => FilterPart, "FilterPart", |at| {
    read_part(at, &filter_parts(), "is not a filter part",
        "write `- capacitor: { … }`, `- field_coil: { … }`, `- choke: { … }` or `- resistor: { … }`")
}, |defs| shape_of(&["One part of the filter"], &filter_parts(), defs));

fn filter_parts() -> [Part<FilterPart>; 4] {
    [
        part::<CapacitorForm, _>(
            "capacitor",
            "A filter capacitor across the supply, at this place: a capacitance, or a block of keys; at least one in the filter",
            |capacitor, _| Some(FilterPart::Capacitor(capacitor)),
        ),
        part::<Coil, _>("field_coil", "The loudspeaker's field coil", |coil, _| {
            Some(FilterPart::FieldCoil(coil))
        }),
        part::<Coil, _>("choke", "A filter choke", |coil, at| {
            match coil.lead {
            Lead::Across => at.refuse(
                "a choke stands in a lead, not across the supply",
                "write `lead: positive` or `lead: negative`; a speaker's field across the supply is a `field_coil`",
            ),
            _ => Some(FilterPart::Choke(coil)),
        }
        }),
        part::<FilterResistor, _>("resistor", "A resistor", |resistor, at| match resistor.lead {
            Lead::Across => at.refuse(
                "a resistor across the supply is no part of the filter",
                "write it under `loads:`, such as `{ name: bleeder, from: B+, resistance: 20 kΩ }`",
            ),
            _ => Some(FilterPart::Resistor(resistor)),
        }),
    ]
}

form! {
    /// Parts from a rectifier on, in order
    Filter -> Vec<FilterPart>: inline [FilterPart] {
        "maxItems": 40, "contains": { "required": ["capacitor"] }
    },
    filter
}

fn filter(at: &Cursor<'_>) -> Option<Vec<FilterPart>> {
    let list = at.list()?;
    if list.len() > MOST {
        return at.refuse("the filter has too many parts", "write at most 40");
    }
    let parts: Vec<_> = list.iter().filter_map(FilterPart::read).collect();
    let sound = parts.len() == list.len();
    if sound && !parts.iter().any(|p| matches!(p, FilterPart::Capacitor(_))) {
        return at.refuse(
            "the filter has no capacitor",
            "list the parts from the rectifier on, such as `- capacitor: { value: 8 µF, rated: 450 V }`",
        );
    }
    sound.then_some(parts)
}

form! {
    /// Parts from the rectifier to B+, in order
    MainFilter -> Vec<FilterPart> as Filter,
    |at| {
        let parts = Filter::read(at)?;
        let negative: Vec<_> = parts.iter().filter(|part| part.is_in_negative_lead()).collect();
        let coil = negative.iter().any(|part| matches!(part, FilterPart::FieldCoil(_)));
        at.say(|said| {
            said.negative_coil = coil.then_some(negative.len() == 1);
            said.points.retain(|point| point != "B-" || !negative.is_empty());
        });
        Some(parts)
    }
}
