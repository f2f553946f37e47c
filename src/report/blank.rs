//! A profile to fill in: YAML with a line of words to every value that can be measured.
//!
//! What was said stands as it is. What must be there and was not said stands with the usual value and the word
//! "usual". The rest is commented out, each line right as soon as its `#` is taken away.

use super::figures::{
    nameplate_amps, nameplate_farads, nameplate_ohms, nameplate_volts, nameplate_watts,
};
use crate::profile::Lead;
use crate::quantity::{Frequency, Quantity, show_plain};
use crate::study::{Between, Blank, BlankTube};

/// Column at which the words behind a value begin.
const WORDS_AT: usize = 40;
/// Widest line, unless its YAML alone is wider.
const WIDEST: usize = 100;

/// What stands at the head of every blank.
const HEAD: &str = "\
# A profile to fill in. `mainsfit check` says what is wrong in it, `mainsfit plan` what follows.
#
#   usual   the usual value stands here because one must: write what yours says or measures
#   #key:   left out: take the # away and write your own; a plan lists what it takes instead
#   (!)     sharpens the answer most
#
# CARE  Lethal voltages inside, also after the plug is out. For ohms: plug out, rectifier out, filter
#       capacitors drained through a resistor and measured below 10 V. For volts: an isolation
#       transformer, the meter clipped on with the plug out, one hand in the pocket; a variac does
#       not isolate. Read line current on a plug-in power meter, never with an amp range in series.
#       A set silent for years is not switched on for a reading: its capacitors and cord come first.
#       Follow local electrical codes; they may reserve the work for a licensed practitioner.
#       `mainsfit plan` lists every caution: read them before you begin.
";

/// Lines of YAML with their words.
struct Sheet(String);

impl Sheet {
    /// A line of YAML; `words` follow it, or stand above it where the two are too long.
    fn line(&mut self, yaml: &str, words: &str) {
        let length = yaml.chars().count();
        if length.max(WORDS_AT - 2) + 4 + words.chars().count() > WIDEST {
            let indent = yaml.chars().take_while(|c| *c == ' ').count();
            self.say(indent, words);
            return self.yaml(yaml);
        }
        let pad = " ".repeat(WORDS_AT.saturating_sub(length).max(2));
        self.yaml(&format!("{yaml}{pad}# {words}"));
    }

    /// A line of YAML alone.
    fn yaml(&mut self, yaml: &str) {
        self.0.push_str(yaml);
        self.gap();
    }

    /// A line of words.
    fn say(&mut self, indent: usize, words: &str) {
        self.yaml(&format!("{}# {words}", " ".repeat(indent)));
    }

    fn gap(&mut self) {
        self.0.push('\n');
    }
}

/// The text of a blank: a profile that reads and can be planned as it stands.
pub fn text(blank: &Blank) -> String {
    let mut sheet = Sheet(String::new());
    for alarm in &blank.alarms {
        for line in wrap(&alarm.to_string(), WIDEST - 2) {
            sheet.say(0, &line);
        }
        sheet.yaml("#");
    }
    sheet.0.push_str(HEAD);
    sheet.gap();
    set(blank, &mut sheet);
    outlet(blank, &mut sheet);
    supply(blank, &mut sheet);
    filter(blank, &mut sheet);
    dividers(blank, &mut sheet);
    tubes(blank, &mut sheet);
    rest(blank, &mut sheet);
    sheet.0
}

fn set(blank: &Blank, sheet: &mut Sheet) {
    let said = &blank.set;
    sheet.yaml("set:");
    match &said.name {
        Some(name) => sheet.yaml(&format!("  name: {}", scalar(name))),
        None => sheet.line("  name: Set without a name", "heads the plan and the note"),
    }
    match said.year {
        Some(year) => sheet.yaml(&format!("  year: {year}")),
        None => sheet.line("  #year: 1936", "from the service sheet"),
    }
    sheet.line(
        &format!("  design_line: {}", show_plain(said.design_line)),
        "nameplate volts, or the tap in use; of a range the middle",
    );
    let hertz = show_plain(Frequency::from_si(blank.frequency_hz));
    sheet.line(&format!("  #frequency: {hertz}"), "nameplate: what its iron was made for");
    match said.nameplate {
        Some(watts) => sheet.yaml(&format!("  nameplate_power: {}", show_plain(watts))),
        None => sheet.line(
            &format!("  #nameplate_power: {}", nameplate_watts(two(blank.watts_w))),
            "from the nameplate",
        ),
    }
    sheet.gap();
}

fn outlet(blank: &Blank, sheet: &mut Sheet) {
    let words = "meter on AC volts in the outlet: at supper, at noon, late at night";
    let volts = &blank.outlet;
    let [low, usual, high] =
        [volts.low_v, volts.usual_v, volts.high_v].map(|v| nameplate_volts(v.round()));
    let choice = &blank.set.outlet;
    let (low, high) = (choice.low.map_or(low, show_plain), choice.high.map_or(high, show_plain));
    let said = choice.usual.map(show_plain);
    match (choice.range, said) {
        (None, None) => sheet.line(
            &format!("#outlet: {{ low: {low}, usual: {usual}, high: {high} }}"),
            &format!("(!) {words}"),
        ),
        (range, said) => {
            sheet.line("outlet:", words);
            if let Some(range) = range {
                sheet.line(&format!("  range: {}", range.name), &range.title);
            }
            match said {
                Some(usual) => sheet.yaml(&format!("  usual: {usual}")),
                None => sheet.line(&format!("  #usual: {usual}"), "(!) of the range"),
            }
            for (key, said, volts) in [("low", choice.low, low), ("high", choice.high, high)] {
                let mark = if said.is_some() { "" } else { "#" };
                sheet.yaml(&format!("  {mark}{key}: {volts}"));
            }
        }
    }
    sheet.line("#room: 22 °C", "air round the set while it was measured");
    sheet.gap();
}

fn supply(blank: &Blank, sheet: &mut Sheet) {
    sheet.yaml("transformer:");
    sheet.yaml("  primary:");
    sheet.line(
        &format!("    taps: [{}]", show_plain(blank.set.design_line)),
        "every tap there is, the one in use among them",
    );
    sheet.line(
        &format!("    #resistance: {}", nameplate_ohms(two(blank.primary_ohms))),
        "(!) ohmmeter at the plug's pins, plug out, switch on",
    );
    sheet.line(
        &format!("    #no_load_current: {}", nameplate_amps(two(blank.no_load_a))),
        "AC milliammeter in the lead, every tube and lamp out, on the design line, power on",
    );
    sheet.line(
        &format!("    #no_load_power: {}", nameplate_watts(two(blank.no_load_w))),
        "wattmeter, as above",
    );
    let half_ohms = nameplate_ohms(two(blank.half_ohms));
    match blank.set.per_half {
        Some(volts) => {
            sheet.yaml("  high_voltage:");
            sheet.line(
                &format!("    per_half: {}", show_plain(volts)),
                "AC volts, centre tap to one plate of the rectifier",
            );
            sheet.line(
                "    #measured: loaded",
                "(!) `loaded`: set at work; `open-circuit`: every tube out",
            );
            sheet.line(
                &format!("    #at_line: {}", show_plain(blank.set.design_line)),
                "outlet volts while it was read",
            );
            sheet.line(
                &format!("    #resistance_per_half: {half_ohms}"),
                "(!) ohmmeter, centre tap to plate, plug and rectifier out",
            );
        }
        None => {
            sheet.say(2, "(!) sharper than B+: AC volts from centre tap to one plate of the rectifier, every tube out;");
            sheet.say(
                2,
                "its copper by ohmmeter, plug and rectifier out. Then take `service_sheet:` away.",
            );
            sheet.yaml(&format!(
                    "  #high_voltage: {{ per_half: {}, measured: open-circuit, resistance_per_half: {half_ohms} }}",
                    nameplate_volts(blank.half_v.round())
                ));
        }
    }
    sheet.say(
        2,
        "(!) AC volts at the heater pins, power on, set warm; { volts: 6.5 V, measured: loaded,",
    );
    sheet.say(2, "at_line: 121 V } says how it was read and on what outlet volts");
    let windings: Vec<String> = blank
        .windings
        .iter()
        .map(|(name, volts)| format!("{name}: {{ volts: {} }}", nameplate_volts(*volts)))
        .collect();
    sheet.yaml(&format!("  #heater_windings: {{ {} }}", windings.join(", ")));
    sheet.gap();
    if blank.set.per_half.is_none() {
        let usual = match blank.set.b_plus {
            Some(_) => "",
            None => "usual; ",
        };
        sheet.line(
            &format!("service_sheet: {{ B+: {} }}", nameplate_volts(blank.b_plus_v)),
            &format!("{usual}DC volts at the last capacitor, on the design line"),
        );
        sheet.gap();
    }
    sheet.yaml("rectifier:");
    sheet.yaml(&format!("  type: {}", scalar(&blank.rectifier)));
    if let Some((volts, amps)) = blank.usual_drop {
        sheet.line(
            &format!("  drop: {}", nameplate_volts(volts)),
            "usual; from its data sheet, across one plate",
        );
        sheet.line(
            &format!("  drop_at: {}", nameplate_amps(amps)),
            "usual; the current of that plate",
        );
    }
    sheet.gap();
}

fn filter(blank: &Blank, sheet: &mut Sheet) {
    sheet.say(0, "From the rectifier on, a line for each part in its order.");
    sheet.yaml("filter:");
    let capacitor = |sheet: &mut Sheet| {
        sheet.yaml("  - capacitor:");
        sheet.line(
            &format!("      value: {}", nameplate_farads(blank.capacitor_f)),
            "usual; write what is printed on yours",
        );
        sheet.line(
            &format!("      #rated: {}", nameplate_volts(blank.rated_v)),
            "working volts, printed beside it",
        );
    };
    capacitor(sheet);
    let [field, choke, resistor] = blank.ohms.map(nameplate_ohms);
    match blank.set.between {
        None => {
            sheet.say(2, "What stands between them? Take one # away. Till then a coil in the positive lead is assumed.");
            sheet.say(
                2,
                "Negative lead: its ends go to chassis and to the transformer's centre tap.",
            );
            for (key, ohms) in [("field_coil", &field), ("choke", &choke)] {
                for lead in ["positive", "negative"] {
                    sheet.line(
                        &format!("  #- {key}: {{ lead: {lead}, cold: {ohms} }}"),
                        "usual; ohmmeter, plug out",
                    );
                }
            }
            for lead in ["positive", "negative"] {
                sheet.line(
                    &format!("  #- resistor: {{ lead: {lead}, value: {resistor} }}"),
                    "usual; ohmmeter, plug out",
                );
            }
        }
        Some((what, lead)) => {
            let lead = match lead {
                Lead::Positive => ("positive", "rectifier to B+"),
                Lead::Across => ("across", "from one lead to the other"),
                Lead::Negative => ("negative", "chassis to the transformer's centre tap"),
            };
            let (key, value, ohms) = match what {
                Between::FieldCoil => ("field_coil", "cold", &field),
                Between::Choke => ("choke", "cold", &choke),
                Between::Resistor => ("resistor", "value", &resistor),
            };
            sheet.yaml(&format!("  - {key}:"));
            sheet.line(&format!("      lead: {}", lead.0), lead.1);
            sheet
                .line(&format!("      {value}: {ohms}"), "usual; (!) ohmmeter, plug out, set cold");
            if what != Between::Resistor {
                let [field, choke] = blank.hot_ohms;
                let hot = if what == Between::Choke { choke } else { field };
                sheet.line(
                    &format!("      #hot: {}", nameplate_ohms(two(hot))),
                    "(!) again after an hour's play: plug out, capacitors measured",
                );
                sheet.line("      #inductance: 10 H", "from the service sheet");
            }
        }
    }
    capacitor(sheet);
    sheet.gap();
}

fn dividers(blank: &Blank, sheet: &mut Sheet) {
    const BLEEDER: &str = "bleeder: { from: B+, resistors: [15 kΩ, 18 kΩ], taps: [screens] }";
    const WORDS: &str = "a chain from B+ to chassis; ohmmeter, one end off";
    match blank.bias_chain {
        None => sheet.line(&format!("#dividers: {{ {BLEEDER} }}"), WORDS),
        Some(chain) => {
            let [upper, middle, lower] = chain.map(nameplate_ohms);
            sheet.yaml("dividers:");
            sheet.say(2, "The chain across the field coil, from centre tap to chassis: usual, chosen for the published");
            sheet.say(
                2,
                "bias of these tubes; (!) ohmmeter over each resistor with one end off, plug out.",
            );
            sheet.yaml(&format!("  bias: {{ across: field_coil, resistors: [{upper}, {middle}, {lower}], taps: [output, rf] }}"));
            sheet.line(&format!("  #{BLEEDER}"), WORDS);
        }
    }
    sheet.line(
        "#loads: [{ name: motor, from: B+, current: 5 mA }]",
        "anything else fed from the supply",
    );
    sheet.gap();
}

fn tubes(blank: &Blank, sheet: &mut Sheet) {
    sheet.say(
        0,
        "The rectifier is not among them. Power off, plug and tube out, ohmmeter at the socket:",
    );
    sheet.say(0, "plate, screen: where they are fed from, and through what; cathode: its resistor to chassis, or");
    sheet.say(
        0,
        "{ resistor: 390 Ω, bypass: 25 µF }, or chassis. duty: what it does, for the tables.",
    );
    sheet.yaml("tubes:");
    for tube in &blank.tubes {
        sheet.line(&format!("  - type: {}", scalar(&tube.name)), tube.class);
        feeds(tube, sheet);
    }
    sheet.gap();
}

fn feeds(tube: &BlankTube, sheet: &mut Sheet) {
    sheet.yaml(&format!("    #duty: {}", tube.class.replace('-', " ")));
    let Some(feeds) = &tube.feeds else {
        return;
    };
    let from = |ohms: f64| match ohms {
        0.0 => "B+".to_owned(),
        ohms => format!("{{ from: B+, through: {} }}", nameplate_ohms(ohms)),
    };
    sheet.yaml(&format!("    #plate: {}", from(feeds.plate_ohms)));
    if let Some(ohms) = feeds.screen_ohms {
        sheet.yaml(&format!("    #screen: {}", from(ohms)));
    }
    if let Some(tap) = feeds.tap {
        sheet.line(
            &format!("    grid: bias.{tap}"),
            "through its grid leak; `rf` or `output`, see your diagram",
        );
    } else if let Some(ohms) = feeds.cathode_ohms {
        let ohms = nameplate_ohms(ohms);
        sheet.yaml(&format!("    #cathode: {ohms}"));
    } else {
        sheet.yaml("    #cathode: chassis");
    }
}

fn rest(blank: &Blank, sheet: &mut Sheet) {
    if !blank.lamps.is_empty() {
        sheet.yaml("lamps:");
        for (name, count) in &blank.lamps {
            sheet.yaml(&format!("  - {{ type: {}, count: {count} }}", scalar(name)));
        }
    } else if let Some(name) = &blank.usual_lamp {
        sheet.line(
            &format!("#lamps: [{{ type: {}, count: 1 }}]", scalar(name)),
            "dial lamps: number on the base, how many; none are counted without this line",
        );
    }
    sheet.line(
        "#fuse: { rating: 2 A, standard: UL }",
        "the fuse now in the set, as printed; UL or IEC",
    );
    sheet.line(
        &format!(
            "#readings: [{{ at_line: {}, meter: 10 MΩ, B+: {} }}]",
            show_plain(blank.set.design_line),
            nameplate_volts(blank.b_plus_v.round())
        ),
        "(!) what your meter showed once it plays, at the line it had then: the set is fitted to it",
    );
    sheet.line("#target: heaters", "or { B+: 250 V }, or { line: 112 V } as it ran on that line");
    sheet.line("#note: { date: today, by: name }", "for the modification note");
    sheet.say(0, "what you have at hand; a kind named here replaces the stock of the trade");
    sheet.yaml("#parts: { resistors: [{ value: 15 Ω, rating: 50 W }] }");
}

/// A value to two digits, for what is only usual.
fn two(si: f64) -> f64 {
    format!("{si:.1e}").parse().unwrap_or(si)
}

/// A text as YAML: bare where that leaves no doubt, else in single quotes, in which only a quote is special.
fn scalar(text: &str) -> String {
    let word = text.starts_with(|c: char| c.is_ascii_alphabetic())
        && !["null", "true", "false", "yes", "no", "on", "off", "y", "n"]
            .contains(&text.to_lowercase().as_str());
    // a number followed by letters, such as 6K7; but 6E5 is a number to YAML, and so is 0x10
    let is_type = text.starts_with(|c: char| ('1'..='9').contains(&c))
        && text.contains(|c: char| c.is_ascii_alphabetic())
        && text.parse::<f64>().is_err();
    let safe = |c: char| c.is_ascii_alphanumeric() || " -".contains(c);
    if (word || is_type) && text.chars().all(safe) {
        text.to_owned()
    } else {
        format!("'{}'", text.replace('\'', "''"))
    }
}

/// Lines of at most `width` characters, broken between words.
fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                *line += " ";
                *line += word;
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}
