//! What is asked of a command: options by its own definition, values by what each option means.

use super::{
    Dice,
    commands::{Desk, Subject},
    readings::quantities,
};
use clap::{Arg, ArgAction, Command};

/// Tubes of new sets with a rectifier that goes with them.
const TUBES: [(&str, &str); 9] = [
    ("6A8,6K7,6Q7,6F6", "5Y3-GT"),
    ("12SA7,12SK7,12SQ7,50L6GT", "35Z5GT"),
    ("UCH42,UF41,UBC41,UL41", "UY41"),
    ("6A7,6D6,75,43", "25Z5"),
    ("58,2A7,2A6,2A5", "80"),
    ("24A,27,45,45", "80"),
    ("6BE6,6BA6,6AV6,6AQ5", "6X4"),
    ("6F6", "silicon"),
    ("6H6", "selenium"),
];

/// What is asked of a divider however it is given.
const OF_ANY_DIVIDER: [&str; 5] = ["meter", "working", "format", "colour", "no_pager"];

/// Draws what is asked.
pub struct Options<'a> {
    /// Where files go.
    pub desk: &'a Desk,
    /// The set that is asked about.
    pub subject: Option<&'a Subject>,
    /// The command as it is defined.
    pub command: &'a Command,
}

impl Options<'_> {
    /// Arguments behind the name of the command.
    pub fn draw(&self, dice: &mut Dice) -> Vec<String> {
        let mut args: Vec<String> = Vec::new();
        let bare = self.command.get_name() == "divider" && self.subject.is_none();
        // most often put together by itself
        let composed = bare && !dice.once_in(8);
        if composed {
            args.extend(bare_divider(dice));
        }
        for arg in self.command.get_arguments() {
            let id = arg.get_id().as_str();
            let known =
                matches!(id, "help" | "version") || composed && !OF_ANY_DIVIDER.contains(&id);
            if known || !self.wanted(arg, &args, dice) {
                continue;
            }
            let Some(long) = arg.get_long() else {
                args.extend(self.value(id, arg, &args, dice).split('\n').map(str::to_owned));
                continue;
            };
            match arg.get_action() {
                ArgAction::Set | ArgAction::Append => {
                    args.push(format!("--{long}={}", self.value(id, arg, &args, dice)));
                }
                _ => args.push(format!("--{long}")),
            }
        }
        args
    }

    /// Whether the option is given this time.
    fn wanted(&self, arg: &Arg, before: &[String], dice: &mut Dice) -> bool {
        let given = |option: &str| before.iter().any(|arg| arg.starts_with(option));
        let often = match (self.command.get_name(), arg.get_id().as_str()) {
            _ if arg.is_required_set() => return true,
            // these do not end by themselves without them, or take long
            ("new", "design_line" | "tubes") | ("tolerance", "draws") => return true,
            ("divider", "file") => return self.subject.is_some(),
            ("divider", "from" | "resistors" | "taps" | "total" | "bleed" | "loads") => 20,
            ("divider", "of") => return self.subject.is_some() && !dice.once_in(4),
            // nothing in its place asks for little in most sets
            // a new set has no outlet of its own that they could go with
            ("new", "low" | "high") if !given("--line=") => 40,
            (_, "low" | "high" | "range") => 9,
            // each needs or forbids another
            (
                "new",
                "supply" | "dropper" | "coil" | "b_plus" | "per_half" | "winding" | "primary",
            ) => 10,
            // with a file to write over
            (_, "force") if !given("--output=") && !given("--svg=") && !given("--write") => 40,
            ("new", "rectifier") => return !dice.once_in(8),
            (_, "format" | "points" | "name" | "word" | "meter") => 2,
            (_, "colour" | "no_pager" | "shop" | "no_shop") => 12,
            _ => 5,
        };
        // the last one of its numbers, as everywhere: what is not decided is left out
        dice.once_in(often)
    }

    /// What is written for it; for a list of words behind one another, lines.
    fn value(&self, id: &str, arg: &Arg, before: &[String], dice: &mut Dice) -> String {
        let possible = arg.get_possible_values();
        if id == "part" && !dice.once_in(4) {
            // what such a set may have
            let string = self.subject.is_some_and(|s| s.string);
            let parts: &[&str] = if string {
                &["dropper", "ballast", "rectifier"]
            } else {
                &["field-coil", "rectifier"]
            };
            return (*dice.of(parts)).to_owned();
        }
        if !possible.is_empty() {
            let many = if arg.get_value_delimiter().is_some() { 1 + dice.below(3) } else { 1 };
            let words = (0..many).map(|_| dice.of(&possible).get_name().to_owned());
            return words.collect::<Vec<_>>().join(",");
        }
        let line = self.subject.map_or(117.0, |s| s.line_v);
        match (self.command.get_name(), id) {
            (_, "file") => self.subject.unwrap().path.clone(),
            (_, "files") if dice.once_in(6) => {
                format!("{}\nprofiles/table-1948.yaml", self.subject.unwrap().path)
            }
            (_, "files") => self.subject.unwrap().path.clone(),
            (_, "range") => dice.of(&self.desk.ranges).clone(),
            (_, "line") => volts(line, 0.75, 1.35, dice),
            (_, "low") => volts(line, 0.7, 1.05, dice),
            (_, "high") => volts(line, 1.0, 1.4, dice),
            (_, "outlet_log") => self.log(line, dice),
            (_, "target") => match dice.below(3) {
                0 => "heaters".to_owned(),
                1 => format!("B+={}", volts(line, 0.5, 3.0, dice)),
                _ => format!("line={}", volts(line, 0.8, 1.1, dice)),
            },
            (command, "output") => {
                let endings: &[&str] = match command {
                    "note" | "parts" | "power-up" => &["html", "md", "htm", "markdown", "txt"],
                    "page" => &["html", "htm", "md"],
                    _ => &["yaml"],
                };
                self.desk.file(&format!("written.{}", dice.of(endings)))
            }
            (_, "shop") => "profiles/shop/shop.yaml".to_owned(),
            (_, "svg") if dice.once_in(2) => "-".to_owned(),
            (_, "svg") => self.desk.file("drawn.svg"),
            ("sweep", "from" | "to") if !before.iter().any(|arg| arg == "--over=resistor") => {
                let (from, to) = if id == "from" { (0.6, 1.0) } else { (1.05, 1.4) };
                volts(line, from, to, dice)
            }
            ("sweep", _) => self.of_sweep(id, dice),
            ("divider", _) => self.of_divider(id, dice),
            ("new", _) => self.of_new(id, before, dice),
            (_, "draws") => (10 + dice.below(8)).to_string(),
            (_, "seed") => dice.below(1000).to_string(),
            ("tubes", "name") => dice.of(&self.desk.types).clone(),
            ("explain", "word") => dice.of(&self.desk.words).clone(),
            ("example", "name") => dice.of(&self.desk.examples).clone(),
            ("man", "command") => dice.of(&self.desk.commands).clone(),
            (command, id) => panic!("{command}: {id} is new: say here what to try with it"),
        }
    }

    fn of_sweep(&self, id: &str, dice: &mut Dice) -> String {
        match id {
            "points" => (2 + dice.below(8)).to_string(),
            "from" => (*dice.of(&["0", "1ohm", "12.5Ω"])).to_owned(),
            "to" => (*dice.of(&["40ohm", "200Ω", "1kohm"])).to_owned(),
            "show" => {
                let mut keys = self.subject.map_or(Vec::new(), |s| quantities(&s.path));
                keys.push("B+".to_owned());
                let shown: Vec<String> =
                    (0..=dice.below(6)).map(|_| dice.of(&keys).clone()).collect();
                shown.join(",")
            }
            id => panic!("sweep: {id} is new: say here what to try with it"),
        }
    }

    fn of_divider(&self, id: &str, dice: &mut Dice) -> String {
        let words: &[&str] = match id {
            "of" => {
                let names = self.subject.map_or(Vec::new(), |s| s.dividers.clone());
                return dice.any(&names).cloned().unwrap_or_else(|| "bias".to_owned());
            }
            "from" => &["75V", "250V", "-60V", "20kV", "1mV", "300 V"],
            "resistors" => &["390k,82k,18k", "10k", "1ohm,10Mohm", "47k,47k,47k,47k", "4k7,1M"],
            "taps" => &["100V,80V", "-20V,-3V", "250V", "1V", "60V,40V,20V", "-0.5V"],
            "total" => &["25kohm", "1Mohm", "10ohm"],
            "bleed" => &["10mA", "1uA", "1A"],
            "loads" => &["5mA,0", "0", "47kohm", "1mA,47kohm", "none,none", "5mA,5mA,5mA"],
            "meter" => &["10Mohm", "20kohm/V", "1kohm/V@250V", "10Mohm,20kohm/V,1kohm/V@50V"],
            id => panic!("divider: {id} is new: say here what to try with it"),
        };
        (*dice.of(words)).to_owned()
    }

    fn of_new(&self, id: &str, before: &[String], dice: &mut Dice) -> String {
        let words: &[&str] = match id {
            "tubes" if dice.once_in(4) => {
                let some: Vec<String> =
                    (0..=dice.below(6)).map(|_| dice.of(&self.desk.types).clone()).collect();
                return some.join(",");
            }
            "tubes" => return dice.of(&TUBES).0.to_owned(),
            "rectifier" if !dice.once_in(4) => {
                let with =
                    |(tubes, _): &&(&str, &str)| before.contains(&format!("--tubes={tubes}"));
                return TUBES.iter().find(with).map_or("80", |(_, own)| own).to_owned();
            }
            "rectifier" => &[
                "5Y3-GT", "35Z5GT", "80", "25Z5", "UY41", "6X4", "selenium", "silicon", "83,83",
                "5Z3",
            ],
            "lamps" => &["47", "47,47", "46", "40"],
            "name" => &["A set", "Sechsröhrengerät µΩ", "<i>&amp;</i> | * _", "x: y # z"],
            "year" => &["1936", "1900", "2100"],
            "design_line" => &["117V", "115V", "220V", "240V", "110V", "20V", "500V", "0.117kV"],
            "frequency" => &["60Hz", "50Hz", "25Hz", "10Hz", "1kHz"],
            "nameplate" => &["70W", "25W", "1mW", "100kW"],
            "dropper" => &[
                "none",
                "resistor",
                "resistor=180ohm",
                "line-cord",
                "line-cord=160ohm",
                "ballast",
                "ballast=48V",
                "ballast=K49B",
                "barretter",
                "barretter=C1",
            ],
            "coil" => &["1200ohm", "300ohm", "1ohm", "1Mohm"],
            "capacitors" => &["8uF,16uF", "40uF", "20uF,20uF,20uF", "1pF", "8mfd,8mfd"],
            "b_plus" => &["250V", "90V", "2kV", "20V"],
            "per_half" | "winding" => &["300V", "350V", "20V", "2kV"],
            "primary" => &["5ohm", "0.1ohm", "1kohm"],
            id => panic!("new: {id} is new: say here what to try with it"),
        };
        (*dice.of(words)).to_owned()
    }

    /// A log of the outlet: the shipped one or one of a few lines.
    fn log(&self, line: f64, dice: &mut Dice) -> String {
        if dice.once_in(2) {
            return "profiles/outlet-log.csv".to_owned();
        }
        let path = self.desk.kept("log.csv");
        let lines: String = (0..4 + dice.below(60))
            .map(|i| {
                let volts = line * (1.05 + 0.08 * dice.turn());
                let minute = dice.below(60);
                format!("2026-11-{:02} {:02}:{minute:02},{volts:.1}\n", 1 + i / 12, 7 + i % 12)
            })
            .collect();
        std::fs::write(&path, lines).unwrap();
        path
    }
}

/// A source with resistors, or with what is wanted of them, and a load for each tap.
fn bare_divider(dice: &mut Dice) -> Vec<String> {
    let source = dice.between(-100.0, 400.0);
    let taps = 1 + dice.below(4);
    let list = |item: &mut dyn FnMut(usize) -> String| {
        (0..taps).map(item).collect::<Vec<String>>().join(",")
    };
    let mut args = vec![format!("--from={source:.1}V")];
    if dice.once_in(2) {
        let chain = list(&mut |_| format!("{:.0}ohm", 10f64.powf(dice.between(1.0, 6.0))));
        args.push(format!("--resistors={chain},{:.0}kohm", dice.between(1.0, 500.0)));
    } else {
        let left = |i: usize| source * (taps - i) as f64 / (taps + 1) as f64;
        args.push(format!("--taps={}", list(&mut |i| format!("{:.1}V", left(i)))));
        match dice.below(2) {
            0 => args.push(format!("--bleed={:.2}mA", dice.between(0.1, 40.0))),
            _ => args.push(format!("--total={:.0}kohm", dice.between(1.0, 900.0))),
        }
    }
    if dice.once_in(2) {
        let loads =
            list(&mut |_| (*dice.of(&["0", "1mA", "5mA", "47kohm", "1Mohm", "none"])).to_owned());
        args.push(format!("--loads={loads}"));
    }
    args
}

/// Volts between two shares of the set's line; once in a while the ends of what is taken.
fn volts(line: f64, from: f64, to: f64, dice: &mut Dice) -> String {
    if dice.once_in(12) {
        return (*dice.of(&["20V", "500V", "19V", "0.12kV", "501V"])).to_owned();
    }
    format!("{:.1}V", line * dice.between(from, to))
}
