//! A profile to fill in: YAML with a line of words to every value that can be measured.
//!
//! What was said stands as it is. What must be there and was not said is marked as a guess in the profile itself. The rest
//! is commented out, each line right as soon as its `#` is taken away.

use super::{
    build::joined,
    figures::nameplate_amps,
    page::{Page, blocks, entry},
};
use crate::{
    study::{Blank, Body, Entry, EntryFrom, Feed},
    text,
};

/// Column at which the words behind a value begin.
const WORDS_AT: usize = 40;
/// Widest line, unless its YAML alone is wider.
const WIDEST: usize = 100;

/// What stands at the head of every blank.
const HEAD: &str = "\
# A profile to fill in. `mainsfit check` says what is wrong in it, `mainsfit plan` what follows.
#
#   guess   not said: a plan lists it as assumed and counts it in every ±; write yours in its place
#   #key:   left out: take the # away and write your own; a plan lists what it takes instead
#   (!)     sharpens the answer most
#
# SAFETY  Lethal voltages inside, also after the plug is out. For ohms: plug out, rectifier out,
#         filter capacitors drained through a resistor and measured below 10 V. For volts: an
#         isolation transformer, the meter clipped on with the plug out, one hand in the pocket; a
#         variac does not isolate. Read line current on a plug-in power meter, never with an amp
#         range in series. A set silent for years is not switched on for a reading: its capacitors
#         and cord come first. Follow local electrical codes; they may reserve the work for a
#         licensed practitioner.
#       `mainsfit plan` lists every caution: read them before you begin.
";

/// Words behind a value, by its place in the profile.
const BESIDE: &[(&str, &str)] = &[
    ("set.name", "heads the plan and the note"),
    ("set.year", "from the service sheet"),
    ("set.design_line", "nameplate voltage, or the tap in use; of a range the middle"),
    ("set.frequency", "nameplate: what its iron was made for"),
    ("set.nameplate_power", "from the nameplate"),
    ("outlet", "(!) meter on AC volts in the outlet: at supper, at noon, late at night"),
    ("outlet.usual", "(!) of the range, till it is measured"),
    ("room", "air around the set while it was measured"),
    (
        "heater_string.dropper",
        "the heaters need all of the line; else `kind:` and ohms of what drops the rest",
    ),
    (
        "heater_string.dropper.kind",
        "`resistor`, `line-cord` (a cord that runs warm: never shorten it), or a bulb",
    ),
    ("heater_string.dropper.resistance", "(!) ohmmeter, plug out, heaters apart"),
    ("heater_string.dropper.rated", "watts printed on it"),
    ("transformer.kind", "one winding with taps: its chassis is live"),
    ("transformer.primary.taps", "every tap there is, the one in use among them"),
    ("transformer.primary.resistance", "(!) ohmmeter at the plug's pins, plug out, switch on"),
    (
        "transformer.primary.no_load_current",
        "AC milliammeter in the lead, every tube and lamp out, on the design line, power on",
    ),
    ("transformer.primary.no_load_power", "wattmeter, as above"),
    ("transformer.high_voltage.per_half", "AC volts, center tap to one plate of the rectifier"),
    ("transformer.high_voltage.volts", "AC volts, across the whole winding"),
    (
        "transformer.high_voltage.measured",
        "(!) `loaded`: set at work; `open-circuit`: every tube out",
    ),
    ("transformer.high_voltage.at_line", "outlet voltage while it was read"),
    (
        "transformer.high_voltage.resistance_per_half",
        "(!) ohmmeter, center tap to plate, plug and rectifier out",
    ),
    ("transformer.high_voltage.resistance", "(!) ohmmeter, plug and rectifier out"),
    ("transformer.bias.volts", "AC volts across the bias winding"),
    ("service_sheet.B+", "DC volts at the last capacitor, on the design line"),
    ("rectifier.capacitors.value", "write what is printed on yours"),
    (
        "rectifier.drop",
        "across one plate, from its data sheet; of selenium about 1 V a plate: count them",
    ),
    ("rectifier.surge_resistor", "in the lead of its plate; ohmmeter, plug out"),
    ("bias_supply.rectifier", "usual; what yours has"),
    ("bias_supply.filter", "usual, and hardly matters: nothing is drawn from it"),
    ("filter.capacitor.value", "write what is printed on yours"),
    ("filter.capacitor.rated", "working volts, printed beside it"),
    (
        "filter.field_coil.lead",
        "`positive`: rectifier to B+; `negative`: chassis to the supply's other end; or `across`",
    ),
    (
        "filter.choke.lead",
        "`positive`: rectifier to B+; `negative`: chassis to the supply's other end",
    ),
    (
        "filter.resistor.lead",
        "`positive`: rectifier to B+; `negative`: chassis to the supply's other end",
    ),
    ("filter.field_coil.cold", "(!) ohmmeter, plug out, set cold"),
    ("filter.choke.cold", "(!) ohmmeter, plug out, set cold"),
    ("filter.resistor.value", "(!) ohmmeter, plug out, set cold"),
    ("filter.field_coil.hot", "(!) again after an hour's play: plug out, capacitors measured"),
    ("filter.choke.hot", "(!) again after an hour's play: plug out, capacitors measured"),
    ("filter.field_coil.inductance", "from the service sheet"),
    ("filter.choke.inductance", "from the service sheet"),
    ("filter.field_coil", "usual; ohmmeter, plug out"),
    ("filter.choke", "usual; ohmmeter, plug out"),
    ("filter.resistor", "usual; ohmmeter, plug out"),
    ("dividers", "a chain from B+ to chassis; ohmmeter, one end off"),
    ("dividers.bleeder", "a chain from B+ to chassis; ohmmeter, one end off"),
    ("loads", "anything else fed from the supply"),
    ("tubes.grid", "through its grid leak; see your diagram"),
    (
        "tubes.heater_shunt",
        "(!) the resistor beside its heater, worked out: ohmmeter, plug and tube out. If there is none, heaters lie side by side: `branches:`",
    ),
    ("lamps", "dial lamps: number on the base, how many; none are counted without this line"),
    ("lamps.across", "`tap` of the rectifier's heater, or `string`: in series with the heaters"),
    (
        "lamps.shunt",
        "worked out: the resistor beside it, which carries what the lamp does not; ohmmeter",
    ),
    ("fuse", "the fuse now in the set, as printed; UL or IEC"),
    (
        "readings",
        "(!) what your meter showed once it plays, at the line it had then: the set is fitted to it",
    ),
    ("target", "or { B+: 250 V }, or { line: 112 V } as it ran on that line"),
    ("note", "for the modification note"),
];

/// Lines above a value, by its place.
const ABOVE: &[(&str, &[&str])] = &[
    ("outlet", &["Meter on AC volts in the outlet: at supper, at noon, late at night."]),
    (
        "heater_string",
        &["All heaters in series on the line, with what drops the voltage they leave over."],
    ),
    (
        "transformer.high_voltage",
        &[
            "(!) sharper than B+: AC volts from one plate of the rectifier to the center tap (without one, to",
            "the winding's other end), every tube out; its copper by ohmmeter, plug and rectifier out. Then",
            "take `service_sheet:` away.",
        ],
    ),
    (
        "transformer.heater_windings",
        &[
            "(!) AC volts at the heater pins, power on, set warm; { volts: 6.5 V, measured: loaded,",
            "at_line: 121 V } says how it was read and at what outlet voltage",
        ],
    ),
    ("filter", &["From the rectifier on, a line for each part in its order."]),
    (
        "dividers.bias",
        &[
            "The chain across the field coil, from the supply's negative end to chassis: guesses, chosen for the",
            "published bias of these tubes; (!) ohmmeter over each resistor with one end off, plug out.",
        ],
    ),
    (
        "tubes",
        &[
            "The rectifier is not among them. Power off, plug and tube out, ohmmeter at the socket:",
            "plate, screen: where they are fed from, and through what; cathode: its resistor to chassis, or",
            "{ resistor: 390 Ω, bypass: 25 µF }, or chassis. duty: what it does, for the tables.",
        ],
    ),
    ("parts", &["what you have at hand; a kind named here replaces the stock of the trade"]),
];

/// Above the parts that may stand between the capacitors.
const BETWEEN: [&str; 2] = [
    "What stands between them? Take one # away. Till then a coil in the positive lead is assumed (a",
    "resistor in a set without a transformer). Negative: chassis to the supply's other end.",
];

/// Lines of YAML with their words.
struct Sheet {
    text: String,
    /// The last value was one of the parts that may stand between the capacitors.
    alternatives: bool,
}

impl Sheet {
    /// A line of YAML; `words` follow it, or stand above it where the two are too long.
    fn line(&mut self, yaml: &str, words: &str) {
        let length = yaml.chars().count();
        if words.is_empty() {
            self.yaml(yaml);
        } else if length.max(WORDS_AT - 2) + 4 + words.chars().count() > WIDEST {
            self.say(yaml.chars().take_while(|c| *c == ' ').count(), words);
            self.yaml(yaml);
        } else {
            let pad = " ".repeat(WORDS_AT.saturating_sub(length).max(2));
            self.yaml(&format!("{yaml}{pad}# {words}"));
        }
    }

    /// A line of YAML alone.
    fn yaml(&mut self, yaml: &str) {
        self.text += yaml;
        self.text += "\n";
    }

    /// Words in as many lines as they need.
    fn say(&mut self, indent: usize, words: &str) {
        let room = (WIDEST - 2 - indent) as f64;
        let lines = text::wrap(words.split_whitespace(), room, &|line| line.chars().count() as f64);
        lines.iter().for_each(|line| self.say_line(indent, line));
    }

    /// A line of words as it stands.
    fn say_line(&mut self, indent: usize, line: &str) {
        self.yaml(&format!("{}# {line}", " ".repeat(indent)));
    }

    /// Entries at `path`; `dash` stands before the first of an item of a list.
    fn entries(&mut self, entries: &[Entry], path: &str, indent: usize, dash: bool) {
        for (i, entry) in entries.iter().enumerate() {
            let dot = if path.is_empty() { "" } else { "." };
            let place = format!("{path}{dot}{}", entry.key);
            let lead = if dash && i == 0 { "- " } else { "" };
            let at = indent - lead.len();
            self.above(&place, at, lead, entry);
            let key = |mark: &str| format!("{}{mark}{lead}{}:", " ".repeat(at), entry.key);
            match &entry.body {
                Body::Value(value, from) => {
                    let key = key(if *from == EntryFrom::Left { "#" } else { "" });
                    self.line(&format!("{key} {value}"), &words(&place, entry, *from));
                }
                Body::Map(inner) => {
                    self.yaml(&key(""));
                    // below a dash the keys of the part stand deeper than those beside it
                    self.entries(inner, &place, indent + 2, false);
                }
                Body::Lines(items) => {
                    self.yaml(&key(""));
                    let inner = " ".repeat(indent + 2);
                    items.iter().for_each(|item| self.yaml(&format!("{inner}- {item}")));
                }
                Body::List(items) => {
                    self.yaml(&key(""));
                    items.iter().for_each(|item| self.entries(item, &place, indent + 4, true));
                }
            }
            if path.is_empty() && entries.get(i + 1).is_some_and(|next| parted(entry, next)) {
                self.yaml("");
            }
        }
    }

    fn above(&mut self, place: &str, indent: usize, lead: &str, entry: &Entry) {
        let alternative = !lead.is_empty() && entry.from() == Some(EntryFrom::Left);
        let first = !std::mem::replace(&mut self.alternatives, alternative) && alternative;
        let between = BETWEEN.iter().filter(|_| first);
        // some lines are for a value left out, and some for keys of its own
        let told = match place {
            "transformer.high_voltage" => entry.from().is_some(),
            "outlet" => entry.from().is_none(),
            _ => true,
        };
        let above = ABOVE.iter().filter(|(at, _)| told && *at == place);
        let lines = between.chain(above.flat_map(|(_, lines)| *lines));
        lines.for_each(|line| self.say_line(indent, line));
    }
}

/// Whether a blank line stands between two entries of the profile itself.
fn parted(one: &Entry, next: &Entry) -> bool {
    one.from().is_none() || next.from().is_none()
}

fn words(place: &str, entry: &Entry, from: EntryFrom) -> String {
    // what the nameplate says needs no words; nor does what was read
    let plate = ["set.name", "set.year", "set.nameplate_power", "set.frequency", "outlet.usual"];
    let needless = from == EntryFrom::Said && plate.contains(&place);
    let beside = BESIDE.iter().filter(|(at, _)| !needless && *at == place).map(|row| row.1);
    let guess = (from == EntryFrom::Guess).then_some("guess");
    let called = Some(entry.called.as_str()).filter(|called| !called.is_empty());
    joined(guess.into_iter().chain(called).chain(beside.take(1)), "; ")
}

/// The text of a blank: a profile that reads and can be planned as it stands.
pub fn text(blank: &Blank) -> String {
    let mut sheet = Sheet { text: String::new(), alternatives: false };
    let alarms = blank.alarms.iter().map(ToString::to_string);
    for words in alarms.chain(told(blank)) {
        sheet.say(0, &words);
        sheet.yaml("#");
    }
    sheet.yaml(HEAD);
    sheet.entries(&blank.entries, "", 0, false);
    sheet.text
}

/// That a set was taken for one on the line, where its tubes alone tell it.
fn told(blank: &Blank) -> Option<String> {
    let amps = blank.heaters.amps_a?;
    (blank.told && blank.feed == Feed::Line).then(|| {
        format!(
            "Judged by its tubes: heaters in series straight on the line, {:.0} V at {}, and no transformer. If yours has one, write it again with `--supply transformer`.",
            blank.heaters.volts_v,
            nameplate_amps(amps)
        )
    })
}

/// The same as a page.
pub fn told_page(blank: &Blank) -> Page {
    blocks(told(blank).map(|text| entry("TOLD", text)))
}
