//! What is to be repaired: parts that readings found drifted, and the resistor of a dry rectifier.

use super::{Ask, Item, ItemFor, Why, bench::Bench};
use crate::{
    circuit::{Node, Probe, REFERENCE},
    preferred::{Series, nearest},
    receiver::{HeaterLine, Number, OF_SECOND, Parameter, filter_resistor, shown, surge_resistor},
    study::{Buy, PartKind, Reading, Suspect, dry, read, surge::plate_amps},
};

pub fn items(bench: &Bench) -> Vec<Item> {
    let reading = read(bench.receiver, &bench.high);
    let drifted = bench.plan.readings.drifted.iter();
    let drifted = drifted.filter_map(|suspect| drifted_part(bench, &reading, suspect));
    drifted.chain(dry_resistor(bench)).collect()
}

/// The resistors that bring B+ back behind a dry rectifier.
fn dry_resistor(bench: &Bench) -> Option<Item> {
    let dry = bench.plan.dry_rectifier.as_ref()?;
    let resistor = dry.resistor.as_ref()?;
    let why = Why::Dry { now_v: dry.now_v, with_tube_v: dry.with_tube_v, heat_w: resistor.heat_w };
    let ask = Ask::Resistor { made_ohms: resistor.stock_ohms, rated_w: resistor.rated_w };
    let item = Item::new(ItemFor::Repair, "surge resistor", ask, why);
    Some(Item {
        quantity: Some(resistor.leads as u32),
        rated_w: resistor.rated_w,
        ..item.of_value(resistor.stock_ohms, "Ω")
    })
}

/// What a drifted number is a number of.
enum Drifted {
    /// A resistor, with its heat and the volts across it where they are solved.
    Resistor(Option<(f64, f64)>),
    /// A coil of the filter, a cord or a ballast, with its ohms.
    LikeTheOld(f64),
    /// A tube, by its type.
    Tube(String),
    /// A winding of the transformer.
    Winding,
    /// A capacitor, which is on the list as it is.
    Capacitor,
    /// Of no part.
    Nothing,
}

fn drifted_part(bench: &Bench, reading: &Reading, suspect: &Suspect) -> Option<Item> {
    let model = bench.receiver.model();
    let number = Parameter::all(model).into_iter().find(|p| p.key(model) == suspect.key)?;
    let (what, stated) = (suspect.what.clone(), suspect.stated);
    let others = match suspect.or.as_slice() {
        [] => String::new(),
        or => format!("; nearly as likely: {}", or.join(", ")),
    };
    let why = |heat_w| Why::Drifted {
        others: others.clone(),
        acts_like: shown(suspect.behaves_as, suspect.unit),
        stated: shown(stated, suspect.unit),
        heat_w,
    };
    let plain = |ask| Some(Item::new(ItemFor::Repair, what.clone(), ask, why(None)));
    match drifted(bench, reading, number) {
        Drifted::Resistor(load) => {
            let made_ohms = nearest(Series::E24, stated)?;
            let bought = load.map(|(watts, volts)| Buy::choose(watts, volts));
            let pieces = bought.map_or(1, |bought| bought.pieces);
            // several in a row share voltage and ohms
            let made_ohms = match pieces {
                1 => made_ohms,
                several => nearest(Series::E24, stated / f64::from(several))?,
            };
            let large = || load.and_then(|(watts, _)| dry::to_buy(watts));
            let rated_w = bought.and_then(|bought| bought.rating_w).or_else(large);
            let ask = Ask::Resistor { made_ohms, rated_w };
            let item = Item::new(ItemFor::Repair, what, ask, why(load.map(|(watts, _)| watts)));
            let part = resistor_name(bench, number);
            let quantity = Some(pieces);
            Some(Item { part, quantity, rated_w, ..item.of_value(made_ohms, "Ω") })
        }
        Drifted::LikeTheOld(ohms) => {
            plain(Ask::LikeTheOld { ohms }).map(|item| item.of_value(ohms, "Ω"))
        }
        Drifted::Tube(name) => plain(Ask::Tube { name }),
        Drifted::Winding => plain(Ask::Winding),
        Drifted::Capacitor | Drifted::Nothing => None,
    }
}

/// Its name in drawings and tables.
fn resistor_name(bench: &Bench, number: Parameter) -> Option<String> {
    let named = [
        (Number::FilterResistor, filter_resistor(number.of)),
        (Number::Surge, surge_resistor(1, "")),
        (Number::SecondSurge, surge_resistor(1, OF_SECOND)),
    ];
    let (_, called) = named.into_iter().find(|(what, _)| *what == number.what)?;
    bench.receiver.model().resistor_part(&called)
}

fn drifted(bench: &Bench, reading: &Reading, number: Parameter) -> Drifted {
    let (model, at, of) = (bench.receiver.model(), &bench.high.at, number.of);
    let ohms = number.value(model).map_or(0.0, |(value, _)| value);
    // V²/R, ripple counted
    let between = |from: Node, to: Node| {
        let volts = bench.high.state.rms(Probe::Volts(from, to));
        (ohms > 0.0).then(|| (volts * volts / ohms, volts))
    };
    let ends = |(from, to)| between(from, to);
    let carrying = |amps: f64| (amps * amps * ohms, amps * ohms);
    let dropper = |kind: PartKind| {
        let all = reading.droppers.iter().filter(|d| d.kind == kind);
        all.map(|d| (d.power_w, d.volts_v)).reduce(|a, b| (a.0 + b.0, a.1 + b.1))
    };
    Drifted::Resistor(match number.what {
        Number::MainsResistor => dropper(PartKind::MainsResistor),
        Number::Surge => Some(carrying(plate_amps(&bench.high))),
        Number::SecondSurge => {
            let own = at.second.as_ref().and_then(|second| second.surge);
            own.map(|id| carrying(bench.high.state.rms(Probe::Amps(id))))
        }
        Number::StringDropper => match dropper(PartKind::Resistor) {
            Some(load) if !model.string.as_ref().is_some_and(HeaterLine::in_cord) => Some(load),
            _ => return Drifted::LikeTheOld(ohms),
        },
        Number::BranchDropper => {
            let branch = model.string.as_ref().and_then(|string| string.branches.get(of));
            branch.map(|branch| carrying(branch.amps))
        }
        Number::HeaterShunt => at.windings.get(of).and_then(|(from, to)| between(*from, *to)),
        Number::DividerResistor => at
            .dividers
            .get(of)
            .and_then(|nodes| between(*nodes.get(number.at)?, *nodes.get(number.at + 1)?)),
        Number::Load => {
            let Some(load) = model.loads.get(of).filter(|load| load.ohms.is_some()) else {
                return Drifted::Nothing;
            };
            at.spot(&load.from).and_then(|node| between(node, REFERENCE))
        }
        Number::FilterResistor => at.filter.get(of).and_then(|(from, to)| between(*from, *to)),
        Number::PlateFeed => at.tubes.get(of).and_then(|t| t.plate_feed).and_then(ends),
        Number::ScreenFeed => at.tubes.get(of).and_then(|t| t.screen_feed).and_then(ends),
        Number::CathodeResistor => {
            at.tubes.get(of).and_then(|nodes| between(nodes.cathode, REFERENCE))
        }
        Number::CoilResistance | Number::CoilRise | Number::CoilInductance => {
            return Drifted::LikeTheOld(model.coils.get(of).map_or(0.0, |coil| coil.cold));
        }
        Number::TubeCurrent | Number::ScreenShare | Number::GridBias => {
            let tube = model.tubes.get(of);
            return tube.map_or(Drifted::Nothing, |t| Drifted::Tube(t.type_name.clone()));
        }
        Number::RectifierDrop if model.rectifier.kind.is_dry() => return Drifted::Nothing,
        Number::RectifierDrop => return Drifted::Tube(model.rectifier.name.clone()),
        Number::SecondDrop => {
            let own = model.second.as_ref();
            return own.map_or(Drifted::Nothing, |s| Drifted::Tube(s.rectifier.name.clone()));
        }
        Number::PrimaryResistance
        | Number::CopperRise
        | Number::NoLoadCurrent
        | Number::NoLoadPower
        | Number::KneeShare
        | Number::HighVoltage
        | Number::HighVoltageResistance
        | Number::BiasVolts
        | Number::BiasResistance
        | Number::WindingVolts
        | Number::WindingResistance
        | Number::SecondVolts
        | Number::SecondResistance => return Drifted::Winding,
        Number::Capacitance | Number::DoublerCapacitance | Number::StringCapacitance => {
            return Drifted::Capacitor;
        }
        Number::Heater | Number::Frequency | Number::FlatTop => return Drifted::Nothing,
    })
}
