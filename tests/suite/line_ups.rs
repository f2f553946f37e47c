//! Line-ups of six countries, invented: what stands on the set and on its tubes, and no more.

use mainsfit::catalogue::outlet_range;

/// What is known of a set, as one says it.
#[derive(Clone, Copy)]
pub struct LineUp {
    /// Name, which is that of its file too.
    pub name: &'static str,
    /// Country and design volts.
    pub place: (&'static str, u32),
    /// Year, if it is printed.
    pub year: Option<u32>,
    /// Tubes with the rectifier.
    pub tubes: &'static str,
    /// What else was seen, as options.
    pub seen: &'static [(&'static str, &'static str)],
    /// True for a live chassis.
    pub live: bool,
}

const fn set(
    name: &'static str,
    place: (&'static str, u32),
    year: Option<u32>,
    tubes: &'static str,
    seen: &'static [(&'static str, &'static str)],
) -> LineUp {
    LineUp { name, place, year, tubes, seen, live: false }
}

const fn live(line_up: LineUp) -> LineUp {
    LineUp { live: true, ..line_up }
}

const US: &str = "north-america";
const EU: &str = "europe";

/// Transformers and none, each kind of rectifier, filter, dropper and bias.
#[rustfmt::skip]
pub const LINE_UPS: [LineUp; 25] = [
    // United States
    live(set("us-octal-string", (US, 117), Some(1947), "12SA7,12SK7,12SQ7,50L6GT,35Z5GT", &[("lamps", "47")])),
    live(set("us-miniature-string", (US, 117), None, "12BE6,12BA6,12AV6,50C5,35W4", &[("resistor", "positive")])),
    live(set("us-line-cord", (US, 115), Some(1936), "6A7,6D6,75,43,25Z5", &[("dropper", "line-cord"), ("choke", "positive")])),
    live(set("us-ballast", (US, 115), Some(1937), "6A7,6D6,75,43,25Z5", &[("dropper", "ballast=48V"), ("choke", "positive"), ("field-across", "")])),
    live(set("us-doubler", (US, 115), Some(1937), "6A7,6D6,75,43,25Z5", &[("circuit", "full-wave-doubler"), ("resistor", "positive")])),
    live(set("us-two-in-one", (US, 115), Some(1941), "12SA7,12SK7,70L7GT", &[])),
    set("us-back-bias", (US, 110), Some(1934), "58,2A7,58,2A6,47,80", &[("field-coil", "negative"), ("bias", "field-coil"), ("lamps", "41")]),
    set("us-table", (US, 117), Some(1948), "6BE6,6BA6,6AV6,6AQ5,6X4", &[("choke", "positive"), ("lamps", "47,47")]),
    set("us-choke-input", (US, 110), Some(1929), "26,26,27,71A,81", &[("choke-input", ""), ("choke", "positive"), ("b-plus", "180 V")]),
    set("us-bias-supply", (US, 115), Some(1933), "58,2A7,2A6,2A3,2A3,5Z3", &[("bias", "supply"), ("choke", "positive")]),
    // United Kingdom
    set("uk-octal", ("uk", 230), Some(1946), "6K8,6K7,6Q7,6V6GT,5Z4", &[("field-coil", "positive")]),
    live(set("uk-auto", ("uk", 240), Some(1957), "ECH81,EBF89,EABC80,EL84", &[("rectifier", "selenium"), ("supply", "autotransformer"), ("circuit", "half-wave"), ("resistor", "positive")])),
    live(set("uk-string", ("uk", 230), Some(1951), "UAF42,UF41,UBC41,UL41,UY41", &[("resistor", "positive")])),
    live(set("uk-resistor", ("uk", 230), Some(1938), "CF3,CF7,CBL1,CY1", &[("dropper", "resistor=700 Ω"), ("choke", "positive")])),
    // Germany
    set("de-four-volt", (EU, 220), Some(1937), "AF3,AF7,AB2,AL4,AZ1", &[("field-coil", "positive"), ("coil", "1.5 kΩ")]),
    set("de-bias-resistor", (EU, 220), Some(1940), "ECH4,EBF2,EL11,AZ11", &[("choke", "positive"), ("bias", "resistor")]),
    set("de-noval", (EU, 220), Some(1955), "ECH81,EF89,EABC80,EL84,EM80,EZ80", &[("resistor", "positive"), ("capacitors", "50 µF,50 µF")]),
    set("de-selenium-bridge", (EU, 220), Some(1951), "ECH42,EAF42,EAF42,EL41", &[("rectifier", "selenium"), ("circuit", "bridge"), ("resistor", "positive")]),
    // France
    set("fr-110", (EU, 110), Some(1936), "6A8,6K7,6Q7,6F6,5Y3GT", &[("field-coil", "positive")]),
    live(set("fr-string", (EU, 115), Some(1950), "UAF42,UF41,UBC41,UL41,UY41", &[])),
    // Australia
    set("au-octal", ("australia", 240), Some(1947), "6A8,6U7G,6B8,6V6GT,5Y3GT", &[("field-coil", "positive"), ("primary", "45 Ω")]),
    set("au-choke", ("australia", 240), None, "6A7,6D6,6B7,42,80", &[("choke", "negative"), ("nameplate", "60 W")]),
    // Japan
    set("jp-half-wave", ("japan-east", 100), Some(1938), "58,57,47,80", &[("circuit", "half-wave"), ("choke", "positive")]),
    live(set("jp-string", ("japan-west", 100), Some(1955), "12BE6,12BA6,12AV6,35C5,35W4", &[("resistor", "positive")])),
    set("jp-full-wave", ("japan-west", 100), None, "6D6,6C6,76,42,80", &[("field-coil", "positive")]),
];

impl LineUp {
    /// The options by which it is said.
    pub fn options(&self) -> Vec<String> {
        let mut list = vec![
            format!("--name={}", self.name),
            format!("--range={}", self.place.0),
            format!("--design-line={} V", self.place.1),
            format!("--tubes={}", self.tubes),
        ];
        list.extend(self.year.map(|year| format!("--year={year}")));
        list.extend(self.seen.iter().map(|(key, value)| match *value {
            "" => format!("--{key}"),
            value => format!("--{key}={value}"),
        }));
        list
    }

    /// What was seen of it.
    pub fn seen(&self, key: &str) -> Option<&'static str> {
        self.seen.iter().find(|(k, _)| *k == key).map(|(_, value)| *value)
    }

    /// The answer to a question that has this word in it; empty for "I don't know".
    pub fn answer(&self, word: &str) -> String {
        let seen = |key: &str| self.seen(key).unwrap_or("").to_owned();
        let lead = |what: &str, key: &str| self.seen(key).map(|lead| format!("{what}, {lead}"));
        match word {
            "set called" => self.name.to_owned(),
            "what year" => self.year.map_or(String::new(), |y| y.to_string()),
            "how many volts" => self.place.1.to_string(),
            "plugged in" => outlet_range(self.place.0).unwrap().title.clone(),
            "Which tubes" => self.tubes.to_owned(),
            "Which rectifier" => seen("rectifier"),
            "power transformer" => match self.seen("supply") {
                Some("autotransformer") => "yes, an auto".to_owned(),
                _ => String::new(),
            },
            "drops them" => match self.seen("dropper").map(|d| d.split('=').next().unwrap()) {
                Some("line-cord") => "line cord".to_owned(),
                Some(kind) => kind.to_owned(),
                None => String::new(),
            },
            "ohms has it" | "on the bulb" => {
                seen("dropper").split_once('=').map_or(String::new(), |(_, v)| v.to_owned())
            }
            "rectifier connected" => seen("circuit"),
            "dial lamps" => seen("lamps"),
            "comes first" => self.seen("choke-input").map_or("", |_| "choke").to_owned(),
            "stands between" => lead("field coil of the loudspeaker", "field-coil")
                .or(lead("choke", "choke"))
                .or(lead("resistor", "resistor"))
                .unwrap_or_default(),
            "across the supply" => self.seen("field-across").map_or("", |_| "yes").to_owned(),
            "this coil or resistor" => seen("coil"),
            "on the filter capacitors?" => seen("capacitors"),
            "many watts" => seen("nameplate"),
            "its bias" => match self.seen("bias") {
                Some("field-coil") => "taps".to_owned(),
                Some("resistor") => "negative lead".to_owned(),
                Some("supply") => "supply of its own".to_owned(),
                _ => String::new(),
            },
            "its B+" => seen("b-plus"),
            "the primary" => seen("primary"),
            _ => String::new(),
        }
    }
}

/// Words by which the questions are told apart.
pub const ASKED: [&str; 22] = [
    "set called",
    "what year",
    "how many volts",
    "many watts",
    "plugged in",
    "meter show",
    "Which tubes",
    "Which rectifier",
    "power transformer",
    "drops them",
    "ohms has it",
    "on the bulb",
    "rectifier connected",
    "dial lamps",
    "comes first",
    "stands between",
    "across the supply",
    "this coil or resistor",
    "on the filter capacitors?",
    "its bias",
    "its B+",
    "the primary",
];
