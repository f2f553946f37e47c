//! A place in the JSON with its path, and what is told of it.

use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt::Display;

static NULL: Value = Value::Null;

/// A value and where it stands. A key that is not there reads as null, a figure that is not there as NaN: every
/// comparison with it fails, so that nothing is passed over in silence.
#[derive(Clone)]
pub struct At<'a> {
    pub value: &'a Value,
    pub path: String,
}

impl<'a> At<'a> {
    pub fn root(value: &'a Value) -> At<'a> {
        At { value, path: String::new() }
    }

    pub fn at(&self, key: &str) -> At<'a> {
        At { value: self.value.get(key).unwrap_or(&NULL), path: self.place(key) }
    }

    /// The path of a key of it.
    pub fn place(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    /// The entries of a list, those with an `id` named by it.
    pub fn list(&self, key: &str) -> Vec<At<'a>> {
        let Some(list) = self.value.get(key).and_then(Value::as_array) else {
            return Vec::new();
        };
        let one = |(i, value): (usize, &'a Value)| {
            let name = value.get("id").and_then(Value::as_str);
            let name = name.map_or(i.to_string(), str::to_owned);
            At { value, path: self.place(&format!("{key}[{name}]")) }
        };
        list.iter().enumerate().map(one).collect()
    }

    pub fn opt(&self, key: &str) -> Option<f64> {
        self.value.get(key).and_then(Value::as_f64)
    }

    pub fn num(&self, key: &str) -> f64 {
        self.opt(key).unwrap_or(f64::NAN)
    }

    pub fn text(&self, key: &str) -> &'a str {
        self.value.get(key).and_then(Value::as_str).unwrap_or_default()
    }

    pub fn flag(&self, key: &str) -> bool {
        self.value.get(key).and_then(Value::as_bool).unwrap_or_default()
    }

    /// Whether the key has something other than null.
    pub fn has(&self, key: &str) -> bool {
        self.value.get(key).is_some_and(|v| !v.is_null())
    }

    pub fn is_there(&self) -> bool {
        !self.value.is_null()
    }
}

/// What was found, and how often each rule was put to the test.
#[derive(Default)]
pub struct Judge {
    pub found: Vec<String>,
    pub looked: BTreeMap<&'static str, usize>,
}

impl Judge {
    pub fn tell(
        &mut self,
        rule: &'static str,
        at: &At,
        key: &str,
        ok: bool,
        expected: impl Display,
    ) {
        *self.looked.entry(rule).or_default() += 1;
        if !ok {
            let got = at.value.get(key).unwrap_or(&NULL);
            self.found.push(format!("{rule}: {}: expected {expected}, got {got}", at.place(key)));
        }
    }

    /// The figure within `share` of what is expected.
    pub fn same(&mut self, rule: &'static str, at: &At, key: &str, expected: f64, share: f64) {
        let got = at.num(key);
        let ok = (got - expected).abs() <= share * expected.abs().max(got.abs()) + 1e-9;
        self.tell(rule, at, key, ok, expected);
    }

    /// The figure equal but for the rounding of a few operations.
    pub fn equal(&mut self, rule: &'static str, at: &At, key: &str, expected: f64) {
        self.same(rule, at, key, expected, 1e-6);
    }

    pub fn at_most(&mut self, rule: &'static str, at: &At, key: &str, most: f64) {
        let ok = at.num(key) <= most + 1e-6 * most.abs() + 1e-9;
        self.tell(rule, at, key, ok, format!("at most {most}"));
    }

    pub fn at_least(&mut self, rule: &'static str, at: &At, key: &str, least: f64) {
        let ok = at.num(key) >= least - 1e-6 * least.abs() - 1e-9;
        self.tell(rule, at, key, ok, format!("at least {least}"));
    }

    /// True or false as expected.
    pub fn flag(&mut self, rule: &'static str, at: &At, key: &str, expected: bool) {
        let ok = at.value.get(key).and_then(Value::as_bool) == Some(expected);
        self.tell(rule, at, key, ok, expected);
    }

    /// Null exactly where it must be.
    pub fn null(&mut self, rule: &'static str, at: &At, key: &str, expected: bool) {
        let expects = if expected { "null" } else { "not null" };
        self.tell(rule, at, key, at.has(key) != expected, expects);
    }
}

/// What a part is, as its words say it.
#[derive(Debug, Clone, PartialEq)]
pub struct Resistor {
    pub ohms: f64,
    /// Of all its parts together.
    pub rated_w: f64,
    /// Of one of them, the larger.
    pub each_w: f64,
    pub family: &'static Family,
    /// How much of the heat the larger has.
    pub share: f64,
}

/// A family of resistors (docs/model.md, section 17: makers' data sheets).
#[derive(Debug, PartialEq)]
pub struct Family {
    pub name: &'static str,
    /// Full rating up to this air, °C, and nothing left at that.
    pub full_c: f64,
    pub zero_c: f64,
    /// Times its rating, for 5 s.
    pub overload: f64,
    /// What of it is left as it is mounted: a sixth without its plate, as the table has it.
    pub left: f64,
    /// Kelvin a watt of a part of 10 W on its plate; inversely with the rating for others.
    pub plate: Option<f64>,
}

const fn family(name: &'static str, full_c: f64, zero_c: f64, overload: f64) -> Family {
    Family { name, full_c, zero_c, overload, left: 1.0, plate: None }
}

pub const FAMILIES: [Family; 5] = [
    family("ceramic-cased", 40.0, 275.0, 5.0),
    family("tubular vitreous", 25.0, 350.0, 10.0),
    Family { plate: Some(16.0), ..family("aluminium-housed on its plate", 25.0, 200.0, 5.0) },
    Family { left: 0.1667, ..family("aluminium-housed without plate", 25.0, 200.0, 5.0) },
    family("flameproof fusible", 70.0, 275.0, 5.0),
];

impl Family {
    /// What is left of `rated_w` in such air: a straight line between the two temperatures.
    pub fn derated(&self, rated_w: f64, air_c: f64) -> f64 {
        let share = (self.zero_c - air_c) / (self.zero_c - self.full_c);
        rated_w * share.clamp(0.0, 1.0) * self.left
    }
}

/// The figure before a unit: "each 560 Ω" has 560 before `Ω`.
pub fn before(text: &str, unit: &str) -> Vec<f64> {
    let words: Vec<&str> = text.split([' ', ',', ';']).filter(|w| !w.is_empty()).collect();
    let pairs = words.windows(2).filter(|w| w[1] == unit);
    pairs.filter_map(|w| w[0].parse().ok()).collect()
}

/// "15 Ω, 50 W, tubular vitreous", "two in series, each 560 Ω, 25 W, ceramic-cased", "two in series, 680 Ω and 470 Ω, each
/// 50 W, …", "two in parallel, …".
pub fn resistor(part: &str) -> Option<Resistor> {
    let own = part.split(" in the ").next()?.split(';').next()?;
    let family = FAMILIES.iter().find(|f| own.contains(f.name))?;
    let thousands: Vec<f64> = before(own, "kΩ").iter().map(|k| 1000.0 * k).collect();
    // of two the larger is named first
    let ohms = [thousands, before(own, "Ω")].concat();
    let watts = *before(own, "W").first()?;
    let both = |ohms: f64, share: f64, times: f64| {
        Some(Resistor { ohms, rated_w: watts * times, each_w: watts, family, share })
    };
    match (own.starts_with("two in series"), own.starts_with("two in parallel"), &ohms[..]) {
        (true, _, [one]) => both(2.0 * one, 0.5, 2.0),
        // the larger has most of the heat, and is at its rating when both together are at this
        (true, _, [a, b]) => both(a + b, a.max(*b) / (a + b), (a + b) / a.max(*b)),
        (_, true, [one]) => both(one / 2.0, 0.5, 2.0),
        (false, false, [one, ..]) => both(*one, 1.0, 1.0),
        _ => None,
    }
}

/// A small transformer, "120 V to 6.3 V, 2 A", or a step transformer, "230 V to 115 V, 150 VA".
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Windings {
    pub primary_v: f64,
    pub secondary_v: f64,
    pub secondary_a: f64,
}

impl Windings {
    pub fn read(part: &str) -> Option<Windings> {
        let volts = before(part, "V");
        let (&primary_v, &secondary_v) = (volts.first()?, volts.get(1)?);
        let amps = before(part, "A").first().copied();
        let amps = amps.or_else(|| Some(before(part, "VA").first()? / secondary_v));
        Some(Windings { primary_v, secondary_v, secondary_a: amps? })
    }

    pub fn va(&self) -> f64 {
        self.secondary_v * self.secondary_a
    }

    /// Rise of the secondary from rated load to none (docs/model.md, section 14).
    pub fn regulation(&self) -> f64 {
        (0.20 * (6.0 / self.va()).cbrt()).clamp(0.05, 0.25)
    }

    /// Secondary over primary turns.
    pub fn ratio(&self) -> f64 {
        self.secondary_v * (1.0 + self.regulation()) / self.primary_v
    }

    /// Copper of the secondary, and of the primary, Ω.
    pub fn copper(&self) -> (f64, f64) {
        let ohms = 0.5 * self.regulation() * self.secondary_v / self.secondary_a;
        (ohms, ohms / (self.ratio() * self.ratio()))
    }

    /// Current of its core at the rated volts, A.
    pub fn core_a(&self) -> f64 {
        let watts = 0.1 * self.va() * (20.0 / self.va()).cbrt().min(1.0);
        watts / (0.4 * self.primary_v)
    }
}
