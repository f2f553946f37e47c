//! The questions, in their order. Each says when it is put and where its answer goes.

use super::names;
use crate::catalogue::{Catalogue, Wave, outlet_ranges};
use crate::cli::args::{high_voltage, mains, name, positive};
use crate::profile::{Lead, RectifierCircuit};
use crate::quantity::{Capacitance, Current, Power, Quantity, Resistance, Voltage, show_plain};
use crate::study::{
    Between, BiasFrom, BlankError, Bulb, Feed, Heaters, NewDropper, NewSet, StudyError, heaters,
};

/// A question.
pub(super) struct Question {
    /// What is asked, by what is known.
    pub ask: fn(&NewSet) -> String,
    /// One line that explains it.
    pub help: &'static str,
    /// True where a plan cannot do without the answer.
    pub needed: bool,
    /// Whether it is put, by what is known.
    pub when: fn(&NewSet) -> bool,
    /// How it is answered.
    pub kind: Kind,
    /// What may turn out wrong with it once all is known.
    pub about: About,
}

/// What a question is about, as far as an error of the whole set may lead back to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum About {
    /// The outlet.
    Outlet,
    /// What feeds the set, and so its heaters.
    Feed,
    /// Its dial lamps.
    Lamps,
    /// Anything else.
    Set,
}

impl About {
    /// Where an error of the whole set can be put right.
    pub fn of(error: &BlankError) -> About {
        match error {
            BlankError::Study(StudyError::NoOutlet | StudyError::OutletOrder { .. }) => {
                About::Outlet
            }
            BlankError::OtherCurrent { .. }
            | BlankError::StringTooLong { .. }
            | BlankError::DropperMissing { .. } => About::Feed,
            BlankError::LampWithoutWinding { .. } => About::Lamps,
            _ => About::Set,
        }
    }
}

/// What is wrong with an answer, if anything.
type Put = fn(&mut NewSet, &str) -> Result<(), String>;

/// How a question is answered.
pub(super) enum Kind {
    /// By a line of text.
    Text {
        /// Takes the answer in, or says what is wrong with it.
        put: Put,
        /// What is offered while it is typed.
        suggest: fn(&str) -> Vec<String>,
        /// The answer as it was understood.
        shown: fn(&str) -> String,
    },
    /// By one of several; the first is "I don't know".
    Choice {
        /// What there is to choose from.
        options: fn(&NewSet) -> Vec<String>,
        /// Takes the place of the chosen one in.
        put: fn(&mut NewSet, usize),
    },
}

/// The first of every choice.
const UNKNOWN: &str = "I don't know";

fn choices(list: &[&str]) -> Vec<String> {
    std::iter::once(UNKNOWN).chain(list.iter().copied()).map(str::to_owned).collect()
}

const fn text(
    ask: fn(&NewSet) -> String,
    help: &'static str,
    when: fn(&NewSet) -> bool,
    put: Put,
    suggest: fn(&str) -> Vec<String>,
) -> Question {
    let kind = Kind::Text { put, suggest, shown: str::to_owned };
    Question { ask, help, needed: false, when, kind, about: About::Set }
}

const fn choice(
    ask: fn(&NewSet) -> String,
    help: &'static str,
    when: fn(&NewSet) -> bool,
    options: fn(&NewSet) -> Vec<String>,
    put: fn(&mut NewSet, usize),
) -> Question {
    let kind = Kind::Choice { options, put };
    Question { ask, help, needed: false, when, kind, about: About::Set }
}

impl Question {
    const fn needed(self) -> Question {
        Question { needed: true, ..self }
    }

    const fn about(self, about: About) -> Question {
        Question { about, ..self }
    }
}

/// A number without unit gets the one that is asked for.
fn with(text: &str, unit: &str) -> String {
    if text.parse::<f64>().is_ok() { format!("{text} {unit}") } else { text.to_owned() }
}

/// What a bare number is taken for.
fn offers(text: &str, unit: &str) -> Vec<String> {
    text.trim().parse::<f64>().ok().map(|_| with(text.trim(), unit)).into_iter().collect()
}

fn nothing(_: &str) -> Vec<String> {
    Vec::new()
}

fn in_volts(text: &str) -> Vec<String> {
    offers(text, "V")
}

fn in_ohms(text: &str) -> Vec<String> {
    offers(text, "Ω")
}

fn in_watts(text: &str) -> Vec<String> {
    offers(text, "W")
}

fn ohms(text: &str) -> Result<Resistance, String> {
    positive(&with(text, "ohm"))
}

/// The heaters of the set, once its types are known.
fn told(set: &NewSet) -> Option<Heaters> {
    heaters(set).ok()
}

/// What feeds the set, as said or told.
fn feed(set: &NewSet) -> Feed {
    let line = told(set).is_some_and(|h| h.on_the_line);
    set.feed.unwrap_or(if line { Feed::Line } else { Feed::Transformer })
}

fn on_line(set: &NewSet) -> bool {
    feed(set) == Feed::Line
}

/// Types of the rectifier that were said, among the tubes or by themselves.
fn rectifiers(set: &NewSet) -> usize {
    let catalogue = Catalogue::built_in();
    let is = |name: &&String| catalogue.rectifier(name).is_ok();
    set.rectifiers.len() + set.tubes.iter().filter(is).count()
}

/// Whether what the heaters leave over is more than a rounding.
fn leaves_over(set: &NewSet) -> bool {
    let line = set.design_line.si();
    told(set).is_some_and(|h| h.volts_v < 0.93 * line)
}

/// The questions.
pub(super) const QUESTIONS: &[Question] = &[
    text(
        |_| "What is the set called?".to_owned(),
        "any words: they head the plan and the note",
        |set| set.name.is_none(),
        |set, text| name(text).map(|name| set.name = Some(name)),
        nothing,
    ),
    text(
        |_| "In what year was it made?".to_owned(),
        "or about: it tells what capacitors were usual",
        |set| set.year.is_none(),
        |set, text| match text.parse::<i32>() {
            Ok(year) if (1900..=2100).contains(&year) => {
                set.year = Some(year);
                Ok(())
            }
            _ => Err("write a year, such as 1936".to_owned()),
        },
        nothing,
    ),
    text(
        |_| "For how many volts was it made?".to_owned(),
        "on its plate; the tap in use; of 105-125 V the middle",
        |set| set.design_line.si() == 0.0,
        |set, text| mains(&with(text, "V")).map(|volts| set.design_line = volts),
        in_volts,
    )
    .needed(),
    text(
        |_| "How many watts are printed on it?".to_owned(),
        "beside the volts",
        |set| set.nameplate.is_none(),
        |set, text| positive::<Power>(&with(text, "W")).map(|watts| set.nameplate = Some(watts)),
        in_watts,
    ),
    choice(
        |_| "Where will it be plugged in?".to_owned(),
        "the country gives the range of its outlets",
        |set| set.outlet.range.is_none(),
        |_| {
            let titles: Vec<&str> = outlet_ranges().iter().map(|r| r.title.as_str()).collect();
            choices(&titles)
        },
        |set, at| set.outlet.range = at.checked_sub(1).and_then(|at| outlet_ranges().get(at)),
    )
    .about(About::Outlet),
    text(
        |_| "What did your meter show in the outlet?".to_owned(),
        "AC volts, as they usually are",
        |set| set.outlet.usual.is_none(),
        |set, text| mains(&with(text, "V")).map(|volts| set.outlet.usual = Some(volts)),
        in_volts,
    ),
    Question {
        ask: |_| "Which tubes are in it?".to_owned(),
        help: "numbers on the glass, with the rectifier; Tab completes",
        needed: true,
        when: |set| set.tubes.is_empty(),
        kind: Kind::Text { put: tubes, suggest: names::tubes, shown: as_listed },
        about: About::Set,
    },
    text(
        |_| "Which rectifier is in it?".to_owned(),
        "none of the tubes is one; selenium and silicon are too",
        |set| rectifiers(set) == 0,
        |set, text| {
            let found = Catalogue::built_in().rectifier(text);
            found.map(|_| set.rectifiers = vec![text.to_owned()]).map_err(|e| e.to_string())
        },
        names::tubes,
    )
    .needed(),
    choice(
        |_| "Is there a power transformer?".to_owned(),
        "a heavy block of iron with several windings",
        |set| set.feed.is_none(),
        |set| {
            let mut list = choices(&[
                "no: the heaters are in series on the line",
                "yes",
                "yes, an autotransformer: one winding with taps",
            ]);
            list[0] = by_the_tubes(set);
            list
        },
        |set, at| {
            set.feed = match at {
                1 => Some(Feed::Line),
                2 => Some(Feed::Transformer),
                3 => Some(Feed::Autotransformer),
                _ => None,
            }
        },
    )
    .about(About::Feed),
    choice(
        |set| {
            let volts = told(set).map_or(0.0, |h| h.volts_v);
            let rest = (set.design_line.si() - volts).max(0.0);
            format!("The heaters leave {rest:.0} V over. What drops them?")
        },
        "a cord that runs warm is a resistance cord: never shorten it",
        |set| on_line(set) && leaves_over(set) && set.dropper.is_none(),
        |_| {
            choices(&[
                "a resistor in the set",
                "the line cord",
                "a ballast: resistance wire in a bulb",
                "a barretter: a bulb that holds its current",
            ])
        },
        |set, at| {
            set.dropper = match at {
                1 => Some(NewDropper::Resistor(None)),
                2 => Some(NewDropper::LineCord(None)),
                3 => Some(NewDropper::Ballast(None)),
                4 => Some(NewDropper::Barretter(None)),
                _ => None,
            }
        },
    ),
    text(
        |_| "How many ohms has it?".to_owned(),
        "by ohmmeter, plug out; else worked out",
        |set| matches!(set.dropper, Some(NewDropper::Resistor(None) | NewDropper::LineCord(None))),
        |set, text| {
            let said = Some(ohms(text)?);
            set.dropper = Some(match set.dropper {
                Some(NewDropper::LineCord(_)) => NewDropper::LineCord(said),
                _ => NewDropper::Resistor(said),
            });
            Ok(())
        },
        in_ohms,
    ),
    text(
        |_| "What is printed on the bulb?".to_owned(),
        "its type; of a ballast the volts across it will do",
        |set| matches!(set.dropper, Some(NewDropper::Ballast(None) | NewDropper::Barretter(None))),
        |set, text| {
            let volts = positive::<Voltage>(text).ok().map(Bulb::Volts);
            set.dropper = Some(match set.dropper {
                Some(NewDropper::Barretter(_)) => NewDropper::Barretter(Some(text.to_owned())),
                _ => NewDropper::Ballast(volts.or(Some(Bulb::Type(text.to_owned())))),
            });
            Ok(())
        },
        nothing,
    ),
    choice(
        |_| "How is the rectifier connected?".to_owned(),
        "I don't know: as is customary for it",
        |set| set.circuit.is_none() && circuits(set).len() > 1,
        |set| {
            let words: Vec<&str> = circuits(set).iter().map(|c| c.word()).collect();
            choices(&words)
        },
        |set, at| set.circuit = at.checked_sub(1).and_then(|at| circuits(set).get(at).copied()),
    ),
    text(
        |_| "Which dial lamps has it?".to_owned(),
        "number on the base, once for each lamp",
        |set| set.lamps.is_empty(),
        |set, text| {
            // European lamps have blanks in their names
            let list: Vec<String> = text.split(',').map(|n| n.trim().to_owned()).collect();
            for name in &list {
                Catalogue::built_in().lamp(name).map_err(|e| e.to_string())?;
            }
            set.lamps = list;
            Ok(())
        },
        names::lamps,
    )
    .about(About::Lamps),
    choice(
        |_| "What comes first behind the rectifier?".to_owned(),
        "a capacitor in nearly all sets; I don't know: a capacitor",
        |set| !on_line(set) && !set.choke_input,
        |_| choices(&["a filter capacitor", "a choke"]),
        |set, at| set.choke_input = at == 2,
    ),
    choice(
        |_| "What stands between the filter capacitors?".to_owned(),
        "positive: rectifier to B+; negative: chassis to the supply's other end",
        |set| set.between.is_none(),
        |_| BETWEEN.iter().map(|(words, _)| (*words).to_owned()).collect(),
        |set, at| set.between = BETWEEN.get(at).and_then(|(_, what)| *what),
    ),
    choice(
        |_| "Has the loudspeaker a field coil across the supply?".to_owned(),
        "an electromagnet fed beside the tubes; I don't know: none",
        |set| !set.field_across && !matches!(set.between, Some((Between::FieldCoil, _))),
        |_| choices(&["no", "yes"]),
        |set, at| set.field_across = at == 2,
    ),
    text(
        |_| "How many ohms has this coil or resistor?".to_owned(),
        "plug out, capacitors drained, below 10 V by meter",
        |set| set.between.is_some() && set.coil.is_none(),
        |set, text| ohms(text).map(|ohms| set.coil = Some(ohms)),
        in_ohms,
    ),
    text(
        |_| "What is printed on the filter capacitors?".to_owned(),
        "from the rectifier on, such as 8 µF, 16 µF",
        |set| set.capacitors.is_empty(),
        |set, text| {
            let values = text.split(',').map(|v| positive::<Capacitance>(&with(v.trim(), "µF")));
            set.capacitors = values.collect::<Result<_, _>>()?;
            Ok(())
        },
        nothing,
    ),
    choice(
        |_| "Where does the output tube get its bias?".to_owned(),
        "I don't know: a resistor at its cathode",
        |set| set.bias == BiasFrom::Cathodes,
        |set| {
            let mut list =
                choices(&["a resistor at its cathode", "a resistor in the negative lead"]);
            if !on_line(set) {
                list.push("a supply of its own: a winding with a rectifier".to_owned());
            }
            if set.between == Some((Between::FieldCoil, Lead::Negative)) {
                list.insert(1, TAPS.to_owned());
            }
            list
        },
        |set, at| {
            let taps = set.between == Some((Between::FieldCoil, Lead::Negative));
            set.bias = match (at, taps) {
                (1, true) => BiasFrom::FieldCoil,
                (3, true) | (2, false) => BiasFrom::Resistor,
                (4, true) | (3, false) => BiasFrom::Supply,
                _ => BiasFrom::Cathodes,
            }
        },
    ),
    text(
        |_| "What is its B+?".to_owned(),
        "DC volts at the last capacitor, by its sheet",
        |set| !on_line(set) && set.b_plus.is_none() && set.winding.is_none(),
        |set, text| high_voltage(&with(text, "V")).map(|volts| set.b_plus = Some(volts)),
        in_volts,
    ),
    text(
        |_| "How many ohms has the primary?".to_owned(),
        "ohmmeter at the plug's pins, plug out, switch on",
        |set| !on_line(set) && set.primary.is_none(),
        |set, text| ohms(text).map(|ohms| set.primary = Some(ohms)),
        in_ohms,
    ),
];

/// What the tubes tell of a transformer, which holds until more is known.
fn by_the_tubes(set: &NewSet) -> String {
    let told = match told(set).filter(|h| h.on_the_line) {
        Some(Heaters { amps_a: Some(amps), volts_v, .. }) => format!(
            "heaters in series, {volts_v:.0} V at {}: LIVE CHASSIS",
            show_plain(Current::from_si(amps))
        ),
        Some(_) => "heaters made for a string: LIVE CHASSIS".to_owned(),
        None => "there is one".to_owned(),
    };
    format!("{UNKNOWN}; the tubes tell: {told}")
}

const TAPS: &str = "taps across the field coil";

/// What may stand between the capacitors.
const BETWEEN: [(&str, Option<(Between, Lead)>); 7] = [
    (UNKNOWN, None),
    ("field coil of the loudspeaker, positive lead", Some((Between::FieldCoil, Lead::Positive))),
    ("field coil of the loudspeaker, negative lead", Some((Between::FieldCoil, Lead::Negative))),
    ("choke, positive lead", Some((Between::Choke, Lead::Positive))),
    ("choke, negative lead", Some((Between::Choke, Lead::Negative))),
    ("resistor, positive lead", Some((Between::Resistor, Lead::Positive))),
    ("resistor, negative lead", Some((Between::Resistor, Lead::Negative))),
];

/// How the rectifier can be joined in this set.
fn circuits(set: &NewSet) -> Vec<RectifierCircuit> {
    let catalogue = Catalogue::built_in();
    let mut names = set.rectifiers.iter().chain(&set.tubes);
    let Some(kind) = names.find_map(|name| catalogue.rectifier(name).ok()) else {
        return Vec::new();
    };
    let kind = kind.item;
    let tubes = rectifiers(set) as u32;
    let diodes = if kind.wave == Wave::Half { tubes } else { 2 * tubes };
    let all = RectifierCircuit::ALL.into_iter();
    let fits = all.filter(|c| match c {
        RectifierCircuit::FullWave if on_line(set) => false,
        _ if kind.kind.is_dry() => true,
        c => c.diodes() <= diodes && !(c.separate_cathodes() && kind.wave == Wave::Full),
    });
    fits.collect()
}

/// The names of the tubes as the catalogue has them, or what is wrong with one.
fn tubes(set: &mut NewSet, text: &str) -> Result<(), String> {
    let catalogue = Catalogue::built_in();
    let list = names::list(text);
    for name in &list {
        if let (Err(error), Err(_)) = (catalogue.tube(name), catalogue.rectifier(name)) {
            return Err(error.to_string());
        }
    }
    set.tubes = list;
    Ok(())
}

fn as_listed(text: &str) -> String {
    names::list(text).join(", ")
}
