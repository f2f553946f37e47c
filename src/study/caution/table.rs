//! The cautions, a row each: the step it must be read before, when it applies, its sentence, where that comes from.
//!
//! One sentence each, imperative, of 25 words at most. A source with † was not looked up again for this table. One table, and
//! so longer than other files.

use super::{
    situation::Situation,
    step::Step::{self, *},
};
use crate::study::Serialize;
use std::borrow::Cow;

/// Makes the enumeration and what is known of each of one table.
macro_rules! cautions {
    (
        figures { $(
            $(#[$doc:meta])* $figure:ident { $($(#[$about:meta])* $field:ident: $type:ty,)* }
                => $at:ident, $first:literal, $words:expr, $from:literal;
        )* }
        rules($s:ident) {
            $($rule:ident => $step:ident, $when:expr, $text:literal, $source:literal;)*
        }
    ) => {
        /// A caution with its numbers.
        #[derive(Debug, Clone, PartialEq, Serialize)]
        #[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
        #[serde(tag = "kind", rename_all = "kebab-case")]
        #[non_exhaustive]
        pub enum Caution {
            $($(#[$doc])* $figure { $($(#[$about])* $field: $type,)* },)*
            $(#[doc = $text] $rule,)*
        }

        impl Caution {
            /// Those without numbers, each with the sets it is for.
            // many are for every set
            #[allow(unused_variables)]
            pub(crate) const RULES: &[(Caution, fn(&Situation) -> bool)] =
                &[$((Caution::$rule, |$s| $when)),*];

            /// The step it must be read before.
            pub fn step(&self) -> Step {
                match self {
                    $(Caution::$figure { .. } => $at,)*
                    $(Caution::$rule => $step,)*
                }
            }

            /// Whether it belongs to the head of a report.
            pub fn comes_first(&self) -> bool {
                match self {
                    $(Caution::$figure { .. } => $first,)*
                    _ => matches!(self, Caution::Isolation | Caution::LocalCodes | Caution::LineCord | Caution::BranchOpen),
                }
            }

            /// Whether it carries numbers, which are of one set.
            pub fn has_figures(&self) -> bool {
                !Self::RULES.iter().any(|(rule, _)| rule == self)
            }

            /// Where it comes from.
            pub fn source(&self) -> &'static str {
                match self {
                    $(Caution::$figure { .. } => $from,)*
                    $(Caution::$rule => $source,)*
                }
            }

            // a row need not say every number that it carries
            #[allow(unused_variables)]
            pub(super) fn words(&self) -> Cow<'static, str> {
                match self {
                    $(Caution::$figure { $($field),* } => $words.into(),)*
                    $(Caution::$rule => $text.into(),)*
                }
            }
        }
    };
}

cautions! {
    figures {
        /// The outlet is far above what the set was made for.
        DoNotPlugIn {
            /// Made for, V RMS.
            made_for_v: f64,
            /// Usual outlet voltage, V RMS.
            outlet_v: f64,
            /// Voltage on its iron, or voltage over frequency, over what it was made for.
            ratio: f64,
        } => PlugIn, true,
            over("DO NOT PLUG IN", *made_for_v, *outlet_v, *ratio),
            "heaters 20 % high are beyond every published tolerance (±10 % at the nominal line, German makers' notes on heating †)";
        /// The outlet is above what the set may be left on.
        NotWithoutPart {
            /// Made for, V RMS.
            made_for_v: f64,
            /// Usual outlet voltage, V RMS.
            outlet_v: f64,
            /// As above.
            ratio: f64,
        } => PlugIn, true,
            over("NOT WITHOUT THE PART", *made_for_v, *outlet_v, *ratio),
            "heaters 10 % high are at the limit of the published tolerance (German makers' notes on heating †)";
        /// What is fitted must not stay in use.
        NotAsFitted {
            /// What it does.
            why: &'static str,
        } => PlugIn, true,
            format!("DO NOT USE THE SET WITH WHAT IS FITTED: it {why}."),
            "a part beyond its rating, or that a fault burns before the fuse opens, or that leaves the set beyond its limits (computed)";
        /// The chassis is joined to the line.
        LiveChassis {
            /// True for an autotransformer.
            auto: bool,
            /// Outlet voltage it may stand at, V RMS.
            volts_v: f64,
        } => PlugIn, true,
            format!("LIVE CHASSIS: touch no metal on this set while it is plugged in; chassis, shafts, and screws can carry {volts_v:.0} V, switched off too."),
            "one-pole switches leave the chassis live through the cold heaters (repairers' practice, no one source)";
        /// Iron on mains of another frequency than it was made for.
        OtherFrequency {
            /// Made for, Hz.
            made_for_hz: f64,
            /// Runs on, Hz.
            runs_on_hz: f64,
            /// Flux at high line straight on the outlet over that on the design line.
            flux: f64,
        } => FirstPower, true,
            format!("Made for {made_for_hz:.0} Hz, on {runs_on_hz:.0} Hz: at high line the iron carries {:.0} % of its flux. Above some 110 % it overheats without a fault: measure its no-load current.", 100.0 * flux),
            "flux goes with voltage over frequency (closed form)";
        /// High voltage inside and how long the filter capacitors hold it.
        Lethal {
            /// Highest voltage in the set, DC.
            highest_v: f64,
            /// Seconds to fall below 60 V through what is across them, tubes out; none: nothing discharges them.
            hold_s: Option<f64>,
        } => Open, true,
            lethal(*highest_v, *hold_s),
            "crest of the supply; exp(−t/RC) through what lies across it (closed forms)";
        /// How to empty the filter capacitors.
        Drain {
            /// Resistor, Ω.
            ohms: f64,
            /// Its rating, W.
            rated_w: f64,
            /// How long, s.
            seconds: f64,
        } => Open, false,
            format!("After unplugging, drain each filter capacitor for {seconds:.0} seconds through a {:.0} kΩ, {rated_w:.0} W wirewound resistor on insulated clips.", ohms / 1e3),
            "t = RC ln(V/10 V) for the highest voltage and all capacitors together (closed form); 10 kΩ keeps the first watts within a wirewound part's short overload";
        /// The charge that comes back.
        ComesBack {
            /// V, at most.
            volts_v: f64,
        } => Open, false,
            format!("Leave the clip on while you work; an old capacitor can charge itself up again, here to some {volts_v:.0} V."),
            "dielectric absorption up to 15 % in electrolytics (general encyclopedia †)";
        /// A dry rectifier in the place of a tube.
        DryRectifier {
            /// The tube.
            tube: String,
            /// B+ on the usual line with the tube, V.
            with_tube_v: f64,
            /// B+ now, V.
            now_v: f64,
            /// Voltage of the supply at its crest at high line, which it gives within a cycle.
            crest_v: f64,
            /// Resistor in each plate lead that brings B+ back, Ω.
            resistor_ohms: Option<f64>,
        } => FirstPower, true,
dry(tube, *with_tube_v, *now_v, *crest_v),
            "the solved circuit; the crest of the open winding";
        /// Filter capacitors at switch-on.
        CapacitorAtSwitchOn {
            /// Which.
            name: String,
            /// Voltage it gets, V.
            peak_v: f64,
            /// At work, ripple counted, V.
            running_v: f64,
            /// Its rated voltage.
            rated_v: f64,
            /// The lowest rated voltage of the trade that bears both, V.
            fit_v: Option<f64>,
        } => Open, false,
            capacitor(name, (*peak_v, *running_v), *rated_v, *fit_v),
            "the solved circuit at high line; surge voltage by IEC 60384-4 † where none is stated";
        /// The meter and its leads.
        MeterCategory {
            /// The mark's voltage, V.
            rated_v: f64,
        } => Measure, false,
            format!("Use a meter and leads marked CAT II {rated_v:.0} V or higher, and never an unmarked meter."),
            "measurement categories of IEC 61010-031 †; 1000 V where the crest of B+ exceeds 600 V";
        /// Fuse for the hot wire.
        Fuse {
            /// Rating, A.
            rating_a: Option<f64>,
            /// Running current it is chosen for, A.
            running_a: f64,
            /// Standard its rating is in.
            standard: &'static str,
        } => Fit, true,
            fuse(*rating_a, *running_a, standard),
            "the solved current against the gates of the fuse's standard";
        /// A resistor in the hot wire is a heater.
        HotResistor {
            /// Watts at high line.
            watts_w: f64,
            /// Estimated surface temperature, °C.
            surface_c: f64,
        } => Fit, true,
            format!("A power resistor is a heater: {watts_w:.0} W at high line, surface about {surface_c:.0} °C; fix it by its body, never by its leads."),
            "the solved watts; the maker's rise per watt";
        /// A resistor that the set has in its line cord, in a fault that the fuse does not end in time.
        MainsResistorBurns {
            /// The one of these faults that puts most energy into it, in words.
            fault: String,
            /// Heat in it then, W.
            watts_w: f64,
            /// Watts it is rated for, where known.
            rated_w: Option<f64>,
            /// Longest time until the fuse must open, s; none: it need not open.
            opens_within_s: Option<f64>,
        } => Use, false,
            mains_resistor(fault, *watts_w, *rated_w, *opens_within_s),
            "the solved fault against its rating and the gates of the fuse's standard";
        /// The bucking winding reversed.
        BuckingReversed {
            /// What the set would then get, V RMS.
            set_v: f64,
        } => Fit, true,
            format!("Measure the small transformer's output before you connect the set: with its secondary reversed the set would get {set_v:.0} V at high line."),
            "the solved circuit, secondary reversed";
        /// The outlet back at its old volts with a boosting or step-up transformer still in.
        BoostLeftIn {
            /// Outlet volts that the set was made for, V RMS.
            outlet_v: f64,
            /// What the set would then get, V RMS.
            set_v: f64,
        } => Use, true,
            format!("Do not leave a boosting or step-up transformer in when the outlet recovers: at {outlet_v:.0} V the set would get {set_v:.0} V."),
            "the solved circuit, in proportion to the outlet";
        /// What an autotransformer would do.
        NoAutotransformer {
            /// Usual outlet voltage, V RMS.
            outlet_v: f64,
        } => Fit, true,
            format!("Do not use an autotransformer: set and antenna can then stand at the full {outlet_v:.0} V to ground."),
            "an autotransformer's common wire is one of the line's (closed form)";
    }
    rules(s) {
        // where plugs can be turned, nobody knows which pin is hot
        TurnedPlug => PlugIn, s.live && s.turnable,
            "Where plugs can be turned, measure chassis to ground after every plugging-in, and turn the plug if it is live.",
            "CEE 7 plugs turn round, and no rule says which hole is hot (plug and socket descriptions †)";
        KnobsOn => PlugIn, s.live,
            "Keep knobs, back, and bottom on, and cover set screws, before the plug goes in.",
            "receiver safety practice, no one source";
        PullThePlug => Open, true,
            "Pull the plug before you open the set or touch anything inside; its own switch leaves parts live.",
            "one-pole switch in one line wire (common practice, no source)";
        DeadlyBPlus => Open, true,
            "Treat B+ as deadly: no ground-fault outlet or isolation transformer protects you between B+ and the chassis.",
            "B+ current returns in the set and never unbalances the line (closed form)";
        BelowTen => Open, true,
            "Measure across the capacitor before you touch it, and go on only below 10 V.",
            "60 V is a touch limit and no proof of discharge (reasoned)";
        NoScrewdriver => Open, true,
            "Never short a charged capacitor with a screwdriver.",
            "common practice, no source";
        Isolation => Open, true,
            "Work on the open set from an isolation transformer; a variac, a bucking transformer, and an autotransformer do not isolate.",
            "an autotransformer's common wire is one of the line's (closed form)";
        BoostJoins => Open, s.boosts,
            "Treat everything behind a boosting transformer as connected to the line: it does not isolate.",
            "an autotransformer's common wire is one of the line's (closed form)";
        IsolationAlone => Open, s.live,
            "Plug this set alone into its isolation transformer.",
            "Safety in electrical testing at work (INDG354), UK safety regulator †";
        GroundFault => Open, true,
            "Plug the bench into a ground-fault outlet (RCD) and press its test button before each session.",
            "class A trips at 6 mA (UL 943 †), 30 mA elsewhere";
        GroundFaultBlind => Open, true,
            "Do not count on a ground-fault outlet behind an isolation transformer, or for a shock from hand to hand.",
            "no current to ground flows there (closed form)";
        HeatPad => Open, s.string,
            "Leave a sound heat pad alone: it may be asbestos; wet and seal a crumbling one, and never sand, brush, or blow it.",
            "collectors' and householders' guidance on asbestos pads †";
        LineCapacitors => FirstPower, !s.live,
            "Replace paper capacitors across the line (class X) or from line to chassis (class Y) with safety-rated ones before first power.",
            "IEC 60384-14 †";
        LineCapacitorsLive => FirstPower, s.live,
            "Replace paper capacitors from line to chassis with class X ones, and those of antenna and ground with class Y, before first power.",
            "IEC 60384-14 †; with the chassis on the line, line to chassis lies across the line";
        FirstPowerUp => FirstPower, true,
            "Bring up a set that has not run for years in stages, with `mainsfit power-up`, after its capacitors and line cord are dealt with.",
            "common practice, no source";
        InsulationTest => FirstPower, !s.live,
            "Before first power, pull tubes and rectifier, unhook line capacitors, and test primary to chassis with 500 V DC.",
            "insulation test of portable appliances, 500 V DC for about 5 s †";
        InsulationLimit => FirstPower, !s.live,
            "Below 1 MΩ do not plug it in; below 10 MΩ, dry it gently and test again.",
            "1 MΩ is the limit for grounded appliances †; 10 MΩ leaves a factor for a damp summer (reasoned)";
        InsulationCharge => FirstPower, !s.live,
            "Discharge the windings after the insulation test; they hold the test voltage.",
            "common practice, no source";
        DrainAfterForming => FirstPower, true,
            "Drain the capacitor again after every forming or leakage test.",
            "the test leaves its full voltage on the part (closed form)";
        SeleniumSmell => FirstPower, s.selenium,
            "Replace a selenium rectifier before first power, or watch it and unplug at the first garlic or horseradish smell.",
            "hydrogen selenide smells of decayed horseradish and is dangerous at 1 ppm (NIOSH, IDLH values †)";
        SeleniumBurnt => FirstPower, s.selenium,
            "If it burns, unplug, leave, and air the room; do not touch the residue with bare hands.",
            "selenium compounds, 0.2 mg/m³ (NIOSH, IDLH values †)";
        BarretterBurns => FirstPower, s.barretter,
            "Look for heaters shorted to cathode or chassis before the first power: behind such a short the barretter gets the line and burns out.",
            "common practice, no source";
        FeelNothing => FirstPower, true,
            "Feel no part for warmth while the plug is in: unplug and drain the capacitors first.",
            "common practice, no source";
        BranchOpen => Measure, s.branches,
            "Pull no tube with power on, and switch off if one stays dark: the heaters side by side with it get its current too, and burn out.",
            "two branches of 0.15 A in a string of 0.3 A: with one open the other carries up to twice its current (closed form)";
        NotAlone => Measure, true,
            "Never work on an open set with the plug in when you are alone, tired, or hurried.",
            "Safety in electrical testing at work (INDG354), UK safety regulator †";
        OneHand => Measure, true,
            "Keep one hand in your pocket while the other holds a probe near live parts.",
            "usual practice with test instruments (trade periodical, January 2021 †)";
        ClipOn => Measure, true,
            "Clip the meter on with the set unplugged, plug in, read, unplug, then move the clip.",
            "common practice, no source";
        HalfWinding => Measure, s.center_tap,
            "Measure each half of the high-voltage winding to its center tap, never from plate to plate.",
            "both halves together exceed a 600 V meter (closed form)";
        LineCurrent => Measure, true,
            "Read line current on a plug-in power meter, or wire the ammeter in with the plug out.",
            "an ammeter range that breaks open leaves the set live (reasoned)";
        GroundedInstrument => Measure, s.live,
            "Clip a grounded instrument to this chassis only when the set runs from its isolation transformer.",
            "Engineering Information Sheet 36, UK safety regulator †";
        NeverLiftGround => Measure, s.live,
            "Never lift an instrument's ground to measure a live chassis.",
            "Engineering Information Sheet 36, UK safety regulator †";
        HotWire => Fit, true,
            "Find the hot wire with a meter: it reads line voltage to ground, whichever way plug and switch stand.",
            "common practice, no source";
        FuseFirst => Fit, s.live,
            "Put fuse and switch in the hot wire, fuse first, and never in the wire to the chassis.",
            "a switch or fuse in the chassis wire leaves the chassis hot through the heaters (closed form)";
        DoublePole => Fit, s.live && s.turnable,
            "Fit a double-pole switch: turned round, a one-pole switch leaves the chassis hot when off.",
            "common practice, no source";
        NoGroundWire => Fit, s.live,
            "Never connect the green ground wire of a three-wire cord to this chassis.",
            "with chassis on neutral, ground and neutral are joined; on a reversed outlet it is a dead short (closed form)";
        PolarizedPlug => Fit, s.live && !s.turnable,
            "Fit a polarized plug with its wide blade to the chassis side, and check the outlet with a tester first.",
            "the wide blade is the neutral (NEMA 1-15 †)";
        // the fuse's own sentence, and only for the fuse advised
        FuseBreaksUl => Fit, s.fuse_ul == Some(true),
            "Use a UL-listed fuse rated for at least 125 V; it can break a dead short at a US outlet.",
            "UL 248-14: 10 kA at 125 V †";
        FuseBreaksIec => Fit, s.fuse_ul == Some(false),
            "Use a ceramic high-breaking fuse (H); a glass one can burst on a dead short.",
            "IEC 60127-2: 1500 A, glass 35 A or ten times its rating †";
        LineCord => Fit, s.cord,
            "Never replace a resistance line cord with plain cord alone; the tubes would get the full line voltage.",
            "a string of 68.9 V on 120 V runs 74 % high (closed form)";
        CordAsbestos => Fit, s.cord,
            "Treat the cord's lining as asbestos: cut the cord off whole, wet it, bag it, and do not strip it.",
            "three wires, one of resistance wire on asbestos (collectors' description †)";
        SeriesUse => Fit, s.capacitor,
            "Use a class X2 capacitor in the heater string only if its data sheet allows series use.",
            "class X2 is defined across the line (capacitor makers' notes †)";
        CapacitorShorts => Use, s.capacitor,
            "If the capacitor in the heater string shorts, the heaters get the full line and the fuse may hold: unplug at the first bright glow.",
            "68.9 V of heaters on 120 V: 74 % high at 0.42 A (closed form)";
        DiodeDirect => Fit, s.diode,
            "Feed a set with a diode in its heater string through no bucking transformer: its direct current saturates small iron.",
            "two thirds of the string's RMS current is direct (closed form: 2/π)";
        BoxGrounded => Fit, s.resistor_in_lead,
            "Mount the resistor on metal inside a ventilated metal box, and bond the box to the ground wire.",
            "resistor bodies short to their case (common practice, no source)";
        BoxThrough => Fit, s.resistor_in_lead,
            "Carry the ground wire straight through the box with three-wire cord, and clamp the cord at both ends.",
            "common practice, no source";
        WoodCool => Fit, s.hot,
            "Keep wood, cloth, paper, and wax where nothing passes 75 °C after an hour at full line.",
            "wood at 77 °C for years (Fire and Materials 31, 2007, pp. 125-135 †)";
        ThermalFuse => Fit, s.hot,
            "Put a thermal fuse in the hot wire, clamped where the heat would first reach wood.",
            "thermal fuses open at 72 to 240 °C, below a resistor's own surface (makers' steps †)";
        ThermalCrimp => Fit, s.hot,
            "Crimp the thermal fuse, and never solder close to its body.",
            "thermal-fuse makers' notes †";
        ThermistorClear => Fit, s.thermistor,
            "Keep wires and wax away from the thermistor; its body runs above 150 °C.",
            "makers' data sheets †";
        BoostOutput => Fit, s.boosts,
            "Measure the boosting transformer's output before you connect the set; if it is below the outlet, swap the two secondary wires.",
            "reversed, V(1 − n) or V/(1 + n) (closed form)";
        StepDownOnly => Fit, s.steps_down,
            "Use only a step-down transformer with separate windings, marked isolating, rated at least twice the set's watts.",
            "half-wave and capacitor-input loads need VA of 2 times the watts and more (winders' tables †)";
        NoConverter => Fit, s.steps_down,
            "Do not use a travel converter for heaters and hair dryers; it leaves the full crest of the line.",
            "230 V cut by phase to 115 V RMS still peaks at 325 V (closed form)";
        StepDownOutput => Fit, s.steps_down,
            "Measure the step-down output, and look at its frequency rating, before the set is plugged into it.",
            "common practice, no source";
        GroundChassis => Fit, !s.live,
            "Ground the chassis of a transformer set through a three-wire cord, or test its leakage before anyone uses it.",
            "common practice, no source";
        FirstHour => Use, true,
            "Stay in the room for the first hour, and unplug at the first hum, smell, or smoke.",
            "a fuse may carry 1.35 to 1.5 times its rating for an hour (UL 248-14, IEC 60127-2)";
        Leakage => Use, !s.live,
            "Do not use the set if more than 0.5 mA flows from bare metal to ground, either way round.",
            "UL 1711:2006, 39.1 †; 0.75 V across 1500 Ω beside 0.15 µF (service sheets)";
        NoConnections => Use, s.live,
            "Connect no ground, headphones, pickup, or computer to this set without an isolating transformer or capacitor.",
            "common practice, no source";
        CordWhole => Open, s.cord && !s.cord_goes,
            "Never shorten, coil, cover, or splice a resistance line cord; less wire means more heat and more heater voltage.",
            "a fifth less wire: 11 % more heater voltage, 13 % more watts in every foot (closed form)";
        OldResistor => Use, s.mains_resistor,
            "After the first hour, unplugged, look at the resistor in the line cord: it must be whole, fixed, and clear of wood, cloth, and wax.",
            "common practice, no source";
        BoxHot => Use, s.boiling,
            "Do not touch or cover the box in use; the resistor inside is hotter than boiling water.",
            "the maker's rise per watt";
        NotUnattended => Use, s.hot,
            "Do not let the set play unattended or overnight; unplug it when you leave.",
            "common practice, no source";
        ThermistorRest => Use, s.thermistor,
            "After switching off, wait one minute before switching on again; a hot thermistor gives no protection.",
            "time constants of 30 to 60 s (makers' data sheets †)";
        NoSignal => Measure, true,
            "Read every figure as that of a good set, warm and without signal; old tubes and drifted resistors read differently.",
            "what the model is";
        NotExamined => Use, true,
            "Worn tubes, leaking capacitors, and slowly failing windings are in none of these figures.",
            "what the model is";
        LocalCodes => Open, true,
            "Follow local electrical codes, and have a licensed practitioner do what they reserve: they decide what may be done to line wiring.",
            "local law";
    }
}

/// What a set that must not be plugged in straight is made for, and what the outlet gives.
fn over(what: &str, made_for_v: f64, outlet_v: f64, ratio: f64) -> String {
    let volts = outlet_v / made_for_v;
    let iron = if ratio > volts + 0.005 {
        format!("; at its frequency the iron carries {:.0} % of its flux", 100.0 * ratio)
    } else {
        String::new()
    };
    format!(
        "{what}: this set is made for {made_for_v:.0} V, and this outlet gives {outlet_v:.0} V{iron}."
    )
}

fn lethal(highest_v: f64, hold_s: Option<f64>) -> String {
    let hold = match hold_s {
        Some(s) if s >= 1.0 => {
            format!("with tubes out the filter capacitors take about {s:.0} s to fall below 60 V")
        }
        Some(_) => {
            "with tubes out the filter capacitors fall below 60 V in a second or so".to_owned()
        }
        None => "with tubes out or cold nothing empties the filter capacitors for hours".to_owned(),
    };
    format!("Lethal voltages inside, up to {highest_v:.0} V DC; {hold}: drain them, then measure.")
}

/// B+ within this share of the tube's is as with the tube.
const AS_WITH_THE_TUBE: f64 = 0.01;

fn dry(tube: &str, with_tube: f64, now: f64, crest: f64) -> String {
    let b_plus = if (now / with_tube - 1.0).abs() < AS_WITH_THE_TUBE {
        String::new()
    } else {
        format!("B+ is {now:.0} V, {with_tube:.0} V with the tube; ")
    };
    format!(
        "A dry rectifier is in place of the {tube}: {b_plus}every filter capacitor gets {crest:.0} V at each switch-on."
    )
}

fn capacitor(name: &str, (peak, running): (f64, f64), rated: f64, fit: Option<f64>) -> String {
    let with = fit.map_or("one that bears it".to_owned(), |v| format!("one rated {v:.0} V"));
    format!(
        "Replace {name} with {with}: it gets {peak:.0} V at switch-on and {running:.0} V at work, and is rated {rated:.0} V."
    )
}

fn mains_resistor(fault: &str, watts: f64, rated: Option<f64>, opens_s: Option<f64>) -> String {
    let rated = rated.map_or("no rating known".to_owned(), |w| format!("rated {w:.0} W"));
    let lasts = match opens_s {
        Some(s) if s >= 3600.0 => "for up to an hour".to_owned(),
        Some(s) if s >= 120.0 => format!("for up to {:.0} minutes", s / 60.0),
        Some(s) => format!("for up to {s:.0} s"),
        None => "without an end".to_owned(),
    };
    format!(
        "Stay with the set: a fault ({fault}) puts {watts:.0} W on the resistor in its line cord, {rated}, {lasts}."
    )
}

fn fuse(rating_a: Option<f64>, running_a: f64, standard: &str) -> String {
    match rating_a {
        Some(rating) => format!(
            "Put a {rating} A slow-blow fuse ({standard}) in the hot wire, ahead of everything else; {running_a:.2} A flows at high line."
        ),
        None => format!(
            "Have the fuse in the hot wire sized by a licensed practitioner: no standard small fuse suits {running_a:.2} A."
        ),
    }
}
