//! The questions, in their order.

use super::{
    answers::{
        UNKNOWN, as_listed, by_the_tubes, choices, circuits, in_ohms, in_volts, in_watts,
        leaves_over, ohms, on_line, rectifiers, tubes, with,
    },
    names,
    questions::{About, Question, choice, text},
};
use crate::{
    api::{
        Catalogue,
        draft::{Between, BiasFrom, Bulb, Feed, Lead, NewDropper, NewSet},
        typed::outlet_ranges,
        units::{Capacitance, Power, Quantity, Voltage},
    },
    cli::args::{high_voltage, mains, name, positive},
};

/// The questions.
pub const QUESTIONS: &[Question] = &[
    text(
        "What is the set called?",
        "any words: they head the plan and the note",
        |set| set.name.is_none(),
        |set, text| name(text).map(|name| set.name = Some(name)),
    ),
    text(
        "In what year was it made?",
        "or about: it tells what capacitors were usual",
        |set| set.year.is_none(),
        |set, text| match text.parse::<i32>() {
            Ok(year) if (1900..=2100).contains(&year) => {
                set.year = Some(year);
                Ok(())
            }
            _ => Err("write a year, such as 1936".to_owned()),
        },
    ),
    text(
        "For how many volts was it made?",
        "on its plate; the tap in use; of 105-125 V the middle",
        |set| set.design_line.si() == 0.0,
        |set, text| mains(&with(text, "V")).map(|volts| set.design_line = volts),
    )
    .suggest(in_volts)
    .needed(),
    text(
        "How many watts are printed on it?",
        "beside the voltage",
        |set| set.nameplate.is_none(),
        |set, text| positive::<Power>(&with(text, "W")).map(|watts| set.nameplate = Some(watts)),
    )
    .suggest(in_watts),
    choice(
        "Where will it be plugged in?",
        "the country gives the range of its outlets",
        |set| set.outlet.range.is_none() && set.outlet.log.is_none(),
        |_| {
            let titles: Vec<&str> = outlet_ranges().iter().map(|r| r.title.as_str()).collect();
            choices(&titles)
        },
        |set, at| set.outlet.range = at.checked_sub(1).and_then(|at| outlet_ranges().get(at)),
    )
    .about(About::Outlet),
    text(
        "What did your meter show in the outlet?",
        "AC volts, as they usually are",
        |set| set.outlet.usual.is_none() && set.outlet.log.is_none(),
        |set, text| mains(&with(text, "V")).map(|volts| set.outlet.usual = Some(volts)),
    )
    .suggest(in_volts)
    .about(About::Outlet),
    text(
        "Which tubes are in it?",
        "numbers on the glass, with the rectifier; Tab completes",
        |set| set.tubes.is_empty(),
        tubes,
    )
    .suggest(names::tubes)
    .shown(as_listed)
    .needed(),
    text(
        "Which rectifier is in it?",
        "none of the tubes is one; selenium and silicon are too",
        |set| rectifiers(set) == 0,
        |set, text| {
            Catalogue::built_in()
                .rectifier(text)
                .map(|_| set.rectifiers = vec![text.to_owned()])
                .map_err(|e| e.to_string())
        },
    )
    .suggest(names::tubes)
    .needed(),
    choice(
        "Is there a power transformer?",
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
        "The heaters leave {rest} V over. What drops them?",
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
    )
    .about(About::Feed),
    text(
        "How many ohms has it?",
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
    )
    .suggest(in_ohms)
    .about(About::Feed),
    text(
        "What is printed on the bulb?",
        "its type; of a ballast the voltage across it is enough",
        |set| matches!(set.dropper, Some(NewDropper::Ballast(None) | NewDropper::Barretter(None))),
        |set, text| {
            let volts = positive::<Voltage>(text).ok().map(Bulb::Volts);
            set.dropper = Some(match set.dropper {
                Some(NewDropper::Barretter(_)) => NewDropper::Barretter(Some(text.to_owned())),
                _ => NewDropper::Ballast(volts.or(Some(Bulb::Type(text.to_owned())))),
            });
            Ok(())
        },
    )
    .about(About::Feed),
    choice(
        "How is the rectifier connected?",
        "I don't know: as is customary for it",
        |set| set.circuit.is_none() && circuits(set).len() > 1,
        |set| {
            let words: Vec<&str> = circuits(set).iter().map(|c| c.word()).collect();
            choices(&words)
        },
        |set, at| set.circuit = at.checked_sub(1).and_then(|at| circuits(set).get(at).copied()),
    ),
    text(
        "Which dial lamps has it?",
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
    )
    .suggest(names::lamps)
    .about(About::Lamps),
    choice(
        "What comes first behind the rectifier?",
        "a capacitor in nearly all sets; I don't know: a capacitor",
        |set| !on_line(set) && !set.choke_input,
        |_| choices(&["a filter capacitor", "a choke"]),
        |set, at| set.choke_input = at == 2,
    ),
    choice(
        "What stands between the filter capacitors?",
        "positive: rectifier to B+; negative: chassis to the supply's other end",
        |set| set.between.is_none(),
        |_| BETWEEN.iter().map(|(words, _)| (*words).to_owned()).collect(),
        |set, at| set.between = BETWEEN.get(at).and_then(|(_, what)| *what),
    ),
    choice(
        "Has the loudspeaker a field coil across the supply?",
        "an electromagnet fed beside the tubes; I don't know: none",
        |set| !set.field_across && !matches!(set.between, Some((Between::FieldCoil, _))),
        |_| choices(&["no", "yes"]),
        |set, at| set.field_across = at == 2,
    ),
    text(
        "How many ohms has this coil or resistor?",
        "plug out, capacitors drained, below 10 V by meter",
        |set| set.between.is_some() && set.coil.is_none(),
        |set, text| ohms(text).map(|ohms| set.coil = Some(ohms)),
    )
    .suggest(in_ohms),
    text(
        "What is printed on the filter capacitors?",
        "from the rectifier on, such as 8 µF, 16 µF",
        |set| set.capacitors.is_empty(),
        |set, text| {
            let values = text.split(',').map(|v| positive::<Capacitance>(&with(v.trim(), "µF")));
            set.capacitors = values.collect::<Result<_, _>>()?;
            Ok(())
        },
    ),
    choice(
        "Where does the output tube get its bias?",
        "I don't know: a resistor at its cathode",
        |set| set.bias == BiasFrom::Cathodes,
        |set| biases(set).into_iter().map(|(words, _)| words.to_owned()).collect(),
        |set, at| set.bias = biases(set)[at].1,
    ),
    text(
        "What is its B+?",
        "DC volts at the last capacitor, by its sheet",
        |set| !on_line(set) && set.b_plus.is_none() && set.winding.is_none(),
        |set, text| high_voltage(&with(text, "V")).map(|volts| set.b_plus = Some(volts)),
    )
    .suggest(in_volts),
    text(
        "How many ohms has the primary?",
        "ohmmeter at the plug's pins, plug out, switch on",
        |set| !on_line(set) && set.primary.is_none(),
        |set, text| ohms(text).map(|ohms| set.primary = Some(ohms)),
    )
    .suggest(in_ohms),
];

/// Where the output tube of `set` may get its bias.
fn biases(set: &NewSet) -> Vec<(&'static str, BiasFrom)> {
    let taps = set.between == Some((Between::FieldCoil, Lead::Negative));
    let mut list = vec![
        (true, UNKNOWN, BiasFrom::Cathodes),
        (taps, "taps across the field coil", BiasFrom::FieldCoil),
        (true, "a resistor at its cathode", BiasFrom::Cathodes),
        (true, "a resistor in the negative lead", BiasFrom::Resistor),
        (!on_line(set), "a supply of its own: a winding with a rectifier", BiasFrom::Supply),
    ];
    list.retain(|(possible, ..)| *possible);
    list.into_iter().map(|(_, words, bias)| (words, bias)).collect()
}

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
