//! The table of the numbers: a row each.

use super::{
    super::{
        Grid, Model, Section, SectionKind,
        customary::{
            COPPER, ELECTROLYTIC, FILM, FLAT_TOP, HEATER, IRON, NONE, RECTIFIER, RESISTOR, VOLTS,
        },
    },
    Number::{self, *},
};
use Only::*;
use Owner::*;

/// Whose number it is; in the order in which those of a set are told.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Owner {
    Set,
    Windings,
    Branches,
    Coils,
    Dividers,
    Loads,
    Filter,
    Doubler,
    Tubes,
}

/// Which sets have it.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Only {
    Any,
    /// It belongs to the mains transformer, whose turns are fitted to it.
    Transformer,
    HeaterString,
}

/// Reads a number and multiplies it, for the owner in a place and the place there; `None` where the model does not have it.
pub struct Place {
    pub unit: &'static str,
    pub read: fn(&Model, usize, usize) -> Option<f64>,
    pub scale: fn(&mut Model, usize, usize, f64) -> Option<()>,
}

pub struct Row {
    pub what: Number,
    pub owner: Owner,
    pub only: Only,
    /// How far the number of a sound set may be off from what its profile states, as a share.
    pub sound: f64,
    /// Name in profiles. Calibrations carry it: it stays what it is.
    pub key: &'static str,
    pub words: &'static str,
    /// Places in a profile where it may be stated, a blank between.
    pub stated: &'static str,
    pub place: Place,
}

/// The place of a number: its unit, and the way to it from the model. In that `[i]` is the part of the owner in place i,
/// `[at]` the place there, `?` a part that a set may have, `*` a list whose numbers are summed; `& also` names a second
/// field that is multiplied with the first, `as Variant(x) => x` what a part of one kind holds; in
/// braces both are written out.
macro_rules! place {
    (@ $set:tt $r:expr, $w:expr; ? $($way:tt)*) => {
        place!(@ $set $r.as_ref()?, $w.as_mut()?; $($way)*)
    };
    (@ ($m:ident $i:ident $at:ident) $r:expr, $w:expr; [i] $($way:tt)*) => {
        place!(@ ($m $i $at) $r.get($i)?, $w.get_mut($i)?; $($way)*)
    };
    (@ ($m:ident $i:ident $at:ident) $r:expr, $w:expr; [at]) => {
        place!(@ ($m $i $at) *$r.get($at)?, *$w.get_mut($at)?;)
    };
    (@ $set:tt $r:expr, $w:expr; * . $each:ident) => {
        place!(= $set Some($r.iter().map(|part| part.$each).sum()),
            by Some($w.iter_mut().for_each(|part| part.$each *= by)))
    };
    (@ $set:tt $r:expr, $w:expr; as $kind:pat => $x:ident) => {
        place!(= $set match &$r { $kind => Some(*$x), _ => None },
            by match &mut $w { $kind => { *$x *= by; Some(()) } _ => None })
    };
    (@ $set:tt $r:expr, $w:expr; . $first:ident & $also:ident) => {
        place!(= $set Some($r.$first), by { $w.$first *= by; $w.$also *= by; Some(()) })
    };
    (@ $set:tt $r:expr, $w:expr; . $field:tt $($way:tt)*) => {
        place!(@ $set $r.$field, $w.$field; $($way)*)
    };
    (@ $set:tt $r:expr, $w:expr;) => {
        place!(= $set Some($r), by { $w *= by; Some(()) })
    };
    (= ($m:ident $i:ident $at:ident) $read:expr, $by:ident $scale:expr) => {
        Place { unit: "", read: |$m, $i, $at| $read, scale: |$m, $i, $at, $by| $scale }
    };
    ($unit:literal, { $($place:tt)+ }) => { Place { unit: $unit, $($place)+ } };
    ($unit:literal, $($way:tt)+) => {
        Place { unit: $unit, ..place!(@ (m _i _at) m, m; . $($way)+) }
    };
}

/// A row: which number, whose, in which sets, how far it may be off in a sound one; its name in profiles and in words, where
/// it is stated; its unit and place.
macro_rules! row {
    ($what:ident, $owner:ident, $only:ident, $sound:expr,
     $key:literal, $words:literal, $stated:literal, $unit:literal $($way:tt)+) => {
        Row {
            what: $what,
            owner: $owner,
            only: $only,
            sound: $sound,
            key: $key,
            words: $words,
            stated: $stated,
            place: place!($unit, $($way)+),
        }
    };
}

/// In the order in which uncertain numbers are listed: sums and draws go by it. In names `{name}` is the owner's name,
/// `{i}` its place from 0, `{n}` from 1; `{at}` and `{arm}` are the place at the owner; where it is stated `{socket}` is the
/// place of its tube there, `{part}` that of its part of a filter, `{section}` a section of a dropper or nothing.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    row!(PrimaryResistance, Set, Transformer, COPPER,
        "primary.resistance", "primary copper", "transformer.primary.resistance",
        "Ω" primary.resistance),
    row!(CopperRise, Set, Transformer, NONE,
        "transformer.rise", "rise of the power transformer's windings", "", "K" copper.rise),
    row!(NoLoadCurrent, Set, Transformer, IRON,
        "primary.no_load_current", "no-load current", "transformer.primary.no_load_current",
        "A" primary.no_load_amps),
    row!(NoLoadPower, Set, Transformer, NONE,
        "primary.no_load_power", "no-load watts", "transformer.primary.no_load_power",
        "W" primary.no_load_watts),
    row!(KneeShare, Set, Transformer, NONE,
        "primary.knee", "knee of the iron", "", "" primary.knee),
    row!(HighVoltageResistance, Set, Transformer, COPPER,
        "high_voltage.resistance", "copper of {half}the high-voltage winding",
        "transformer.high_voltage.resistance_per_half transformer.high_voltage.resistance",
        "Ω" high_voltage.resistance_per_half),
    row!(HighVoltage, Set, Transformer, VOLTS,
        "high_voltage.volts", "high-voltage winding, volts",
        "transformer.high_voltage.per_half transformer.high_voltage.volts service_sheet.B+",
        "V" high_voltage.turns_from.volts),
    row!(Frequency, Set, Any, NONE,
        "frequency", "mains frequency", "set.frequency", "Hz" frequency & design_frequency),
    row!(WindingVolts, Windings, Transformer, VOLTS,
        "{name}.volts", "{name} winding, volts", "transformer.heater_windings.{name}.volts",
        "V" windings[i].turns_from.volts),
    row!(WindingResistance, Windings, Transformer, COPPER,
        "{name}.resistance", "copper of the {name} winding",
        "transformer.heater_windings.{name}.resistance",
        "Ω" windings[i].resistance),
    row!(Heater, Windings, Any, HEATER,
        "{name}.current", "current of the {name} heater against its type", "",
        "A" windings[i].filaments*.amps),
    row!(StringDropper, Set, HeaterString, RESISTOR,
        "heater_string.dropper", "dropper of the heater string",
        "heater_string.dropper{section}.resistance",
        "Ω" string?.sections*.ohms),
    row!(StringCapacitance, Set, HeaterString, FILM,
        "heater_string.capacitance", "capacitor in the heater string", "", "F" {
            read: |m, _, _| {
                m.string.as_ref()?.sections.iter().find_map(|s| match s.kind {
                    SectionKind::Capacitor { farads, .. } => Some(farads),
                    _ => None,
                })
            },
            scale: |m, _, _, by| {
                for section in &mut m.string.as_mut()?.sections {
                    if let SectionKind::Capacitor { farads, .. } = &mut section.kind {
                        *farads *= by;
                    }
                }
                Some(())
            },
        }),
    row!(HeaterShunt, Windings, HeaterString, RESISTOR,
        "{name}.shunt", "resistor beside the {name} heater", "tubes[{socket}].heater_shunt",
        "Ω" {
            read: |m, i, _| m.windings.get(i).filter(|w| w.feeds_tubes)?.shunt_ohms,
            scale: |m, i, _, by| m.windings.get_mut(i)?.shunt_ohms.as_mut().map(|ohms| *ohms *= by),
        }),
    row!(BranchDropper, Branches, HeaterString, RESISTOR,
        "heater_string.branches[{i}].dropper", "dropper of the heater branch {name}",
        "heater_string.branches[{i}].dropper{section}.resistance",
        "Ω" string?.branches[i].sections*.ohms),
    row!(FlatTop, Set, Any, FLAT_TOP.0,
        "outlet.crest", "crest of the outlet voltage against a sine's", "", "×" {
            read: |m, _, _| Some(1.0 - m.flat_top),
            scale: |m, _, _, by| {
                m.flat_top = 1.0 - by * (1.0 - m.flat_top);
                Some(())
            },
        }),
    row!(MainsResistor, Set, Any, RESISTOR,
        "mains_resistor", "resistor in the line cord", "mains_resistor.resistance",
        "Ω" mains_resistor?.ohms),
    row!(Surge, Set, Any, RESISTOR,
        "rectifier.surge_resistor", "surge resistor of the rectifier", "rectifier.surge_resistor",
        "Ω" rectifier.surge_ohms),
    row!(RectifierDrop, Set, Any, RECTIFIER,
        "rectifier.drop", "drop of the rectifier", "rectifier.drop", "V" rectifier.drop_volts),
    row!(SecondSurge, Set, Any, RESISTOR,
        "second_supply.surge_resistor", "surge resistor of the second supply",
        "second_supply.rectifier.surge_resistor",
        "Ω" second?.rectifier.surge_ohms),
    row!(SecondDrop, Set, Any, RECTIFIER,
        "second_supply.drop", "drop of the second supply's rectifier",
        "second_supply.rectifier.drop",
        "V" second?.rectifier.drop_volts),
    row!(SecondVolts, Set, Transformer, VOLTS,
        "second_supply.volts", "winding of the second supply, volts",
        "second_supply.winding.per_half second_supply.winding.volts",
        "V" second?.winding?.turns_from.volts),
    row!(SecondResistance, Set, Transformer, COPPER,
        "second_supply.resistance", "copper of the second supply's winding",
        "second_supply.winding.resistance_per_half second_supply.winding.resistance",
        "Ω" second?.winding?.resistance_per_half),
    row!(BiasVolts, Set, Transformer, VOLTS,
        "bias.volts", "winding of the bias supply, volts", "transformer.bias.volts",
        "V" bias?.turns_from.volts),
    row!(BiasResistance, Set, Transformer, COPPER,
        "bias.resistance", "copper of the bias supply's winding", "transformer.bias.resistance",
        "Ω" bias?.resistance),
    row!(CoilResistance, Coils, Any, COPPER,
        "coil{n}.resistance", "resistance of the {name}", "{part}.cold {part}.hot",
        "Ω" coils[i].cold & hot),
    row!(CoilRise, Coils, Any, NONE,
        "coil{n}.rise", "warm resistance of the {name}", "", "Ω" coils[i].hot),
    row!(CoilInductance, Coils, Any, IRON,
        "coil{n}.inductance", "inductance of the {name}", "{part}.inductance",
        "H" coils[i].inductance),
    row!(DividerResistor, Dividers, Any, RESISTOR,
        "{name}.resistors[{at}]", "arm {arm} of the divider {name}",
        "dividers.{name}.resistors[{at}]",
        "Ω" dividers[i].resistors[at]),
    // of a load of a stated current its amperes
    row!(Load, Loads, Any, RESISTOR,
        "loads[{i}]", "load {name}", "loads[{i}].resistance loads[{i}].current", "Ω" {
            read: |m, i, _| m.loads.get(i).map(|load| load.ohms.unwrap_or(load.amps)),
            scale: |m, i, _, by| {
                let load = m.loads.get_mut(i)?;
                load.amps *= by;
                load.ohms = load.ohms.map(|ohms| ohms / by);
                Some(())
            },
        }),
    row!(FilterResistor, Filter, Any, RESISTOR,
        "{name}[{i}].resistor", "filter resistor", "{part}.value",
        "Ω" filter[i] as Section::Resistor(_, ohms, _) => ohms),
    row!(Capacitance, Filter, Any, ELECTROLYTIC.0,
        "{name}[{i}].capacitor", "filter capacitor", "{part}.value",
        "F" filter[i] as Section::Capacitor(farads, _) => farads),
    row!(DoublerCapacitance, Doubler, Any, ELECTROLYTIC.0,
        "rectifier.capacitors[{i}]", "capacitor {n} of the doubler",
        "rectifier.capacitors[{i}].value",
        "F" rectifier.doubler[i].0),
    row!(TubeCurrent, Tubes, Any, NONE,
        "V{n}.current", "current of V{n} {name} against its type", "",
        "×" tubes[i].current_factor),
    row!(ScreenShare, Tubes, Any, NONE,
        "V{n}.screen_share", "screen's share of the current of V{n} {name}", "", "×" {
            read: |m, i, _| {
                let law = &m.tubes.get(i)?.law;
                (law.screen > 0.0).then_some(1.0 - law.plate_share - law.extra_share)
            },
            scale: |m, i, _, by| {
                let law = &mut m.tubes.get_mut(i)?.law;
                law.plate_share -= (by - 1.0) * (1.0 - law.plate_share - law.extra_share);
                Some(())
            },
        }),
    row!(PlateFeed, Tubes, Any, RESISTOR,
        "V{n}.plate_feed", "plate feed of V{n} {name}", "tubes[{socket}].plate.through",
        "Ω" tubes[i].plate.ohms),
    row!(ScreenFeed, Tubes, Any, RESISTOR,
        "V{n}.screen_feed", "screen feed of V{n} {name}", "tubes[{socket}].screen.through",
        "Ω" tubes[i].screen?.ohms),
    row!(CathodeResistor, Tubes, Any, RESISTOR,
        "V{n}.cathode_resistor", "cathode resistor of V{n} {name}",
        "tubes[{socket}].cathode tubes[{socket}].cathode.resistor",
        "Ω" tubes[i].cathode_ohms),
    row!(GridBias, Tubes, Any, NONE,
        "V{n}.grid_bias", "grid bias of V{n} {name} by its own current", "", "V" {
            // the volts below the cathode
            read: |m, i, _| match m.tubes.get(i)?.grid {
                Grid::Leak(volts) => Some(-volts),
                _ => None,
            },
            ..place!("V", tubes[i].grid as Grid::Leak(volts) => volts)
        }),
];

/// Place of each number's row; a number without one does not compile.
pub const ROW_OF: [usize; ROWS.len()] = {
    let mut places = [usize::MAX; ROWS.len()];
    let mut i = 0;
    while i < ROWS.len() {
        assert!(places[ROWS[i].what as usize] == usize::MAX, "a number has two rows");
        places[ROWS[i].what as usize] = i;
        i += 1;
    }
    places
};
