//! A line of the list: what to ask for, how many, and why.

use super::words::{Made, at_most, dc, farads, found, heat, more_or_several, on_the_old, without};
use crate::{
    catalogue::stock::LineClass,
    study::{
        Serialize,
        sentences::{amps, plain_ohms, sentences, volts, watts},
    },
    text::high_or_low,
};

/// Which part of the list a line belongs to, in its order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ItemFor {
    /// Found drifted, or missing beside a dry rectifier.
    Repair,
    /// For the outlet voltage: the part of the choice and what goes with it.
    Outlet,
    /// The line fuse.
    Fuse,
    /// Capacitors that are renewed whatever is fitted.
    Capacitors,
    /// What the profile does not tell of: to be looked for in the set.
    Look,
    /// For the bench.
    Bench,
}

impl ItemFor {
    /// All of them, in the order of the list.
    pub const ALL: [ItemFor; 6] = [
        ItemFor::Repair,
        ItemFor::Outlet,
        ItemFor::Fuse,
        ItemFor::Capacitors,
        ItemFor::Look,
        ItemFor::Bench,
    ];
}

sentences! {
    /// What to ask for.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Ask {
        /// By the words of the choice.
        Ware {
            /// Such as "22 Ω, 30 W, tubular vitreous".
            ware: String,
        } => "{ware}",
        /// A line fuse.
        Fuse {
            /// Rating, A.
            rating_a: f64,
            /// Its standard.
            standard: &'static str,
        } => "{rating_a} A, slow-blow ({standard})",
        /// A fuse holder.
        Holder {
            /// Size of its fuse.
            size: &'static str,
        } => "for {size} fuses, insulated, 250 V AC",
        /// A box in the line cord.
        CordBox => "grounded metal, ventilated; switch, three-wire cord and plug, outlet for the set, two cord clamps",
        /// A place inside or at the set.
        Mount {
            /// Which.
            place: &'static str,
        } => "{place}",
        /// A plain line cord.
        PlainCord => "plain line cord with plug, in place of the resistance cord",
        /// An electrolytic capacitor.
        Electrolytic {
            /// Made values, F.
            made: Made as farads,
            /// Rated DC volts; none where no single one of the trade bears it.
            rated_v: Option<f64> as dc,
        } => "electrolytic, {made}, {rated_v}",
        /// A film capacitor.
        Film {
            /// Made values, F.
            made: Made as farads,
            /// Rated DC volts.
            rated_v: Option<f64> as dc,
        } => "film, {made}, {rated_v}",
        /// A film capacitor for alternating current, or two in parallel.
        ForAc {
            /// Which, such as "8 µF".
            made: String,
            /// Rated AC volts.
            rated_v: f64 as volts,
        } => "film for AC, motor-run, {made}, {rated_v} AC or more",
        /// A safety capacitor.
        Safety {
            /// Its class.
            class: LineClass,
            /// Rated AC volts.
            rated_v: f64 as volts,
        } => "class {class} (IEC 60384-14†), value as printed on the old one, {rated_v} AC or more",
        /// A resistor.
        Resistor {
            /// Made value, Ω.
            made_ohms: f64 as plain_ohms,
            /// Watts to buy; none beyond what is sold.
            rated_w: Option<f64> as more_or_several,
        } => "{made_ohms}, {rated_w}",
        /// A wirewound resistor for draining capacitors.
        Drain {
            /// Ω.
            ohms: f64 as plain_ohms,
            /// W.
            rated_w: f64,
        } => "wirewound resistor, {ohms}, {rated_w} W, on two insulated clips",
        /// A coil, a cord or a ballast, for which another kind of part may stand.
        LikeTheOld {
            /// Its ohms as stated.
            ohms: f64 as plain_ohms,
        } => "of {ohms} as stated, or what `mainsfit replace` sizes in its place",
        /// A tube by its type.
        Tube {
            /// Type.
            name: String,
        } => "{name}",
        /// What no counter sells.
        Winding => "nothing yet: measure it with an ohmmeter, the set unplugged, before you look for another transformer",
    }
}

sentences! {
    /// Why it is on the list, with its figures.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Why {
        /// It brings the heaters right.
        Heaters {
            /// Share above rated straight on the outlet, where the set may stand there.
            before: Option<f64> as without,
            /// Share above rated with it.
            after: f64 as high_or_low,
            /// Usual outlet, V.
            usual_v: f64 as volts,
        } => "with it the heaters are {after} at {usual_v}{before}",
        /// For the bench alone.
        OnBench => "for the bench only, never left in the set",
        /// It goes with the dropper.
        WithDropper => "goes with the dropper: it holds B+ where the set was designed",
        /// It stands behind the first part.
        BehindFirst {
            /// What that gives, V RMS.
            gives_v: f64 as volts,
        } => "for what the first part leaves: that gives {gives_v}",
        /// The box of the part.
        Boxed {
            /// Heat in it, W.
            heat_w: f64 as watts,
        } => "the part stands at line voltage and gives off {heat_w}",
        /// The cord goes with the old dropper.
        CordGoes => "the resistance cord comes off whole, never shortened",
        /// The line fuse.
        Running {
            /// Running current, A.
            running_a: f64 as amps,
            /// At so many V.
            high_v: f64 as volts,
            /// The fuse that comes out, A.
            out_a: Option<f64> as found,
        } => "{running_a} flows at {high_v}{out_a}",
        /// The holder.
        HotWire => "in the hot wire, ahead of everything else; if the set has none of that size",
        /// A filter capacitor.
        Filter {
            /// At work, ripple counted, V.
            running_v: f64 as volts,
            /// At switch-on, V.
            peak_v: f64 as volts,
            /// Line, V RMS.
            line_v: f64 as volts,
            /// What is printed on the old one, V.
            rated_v: Option<f64> as on_the_old,
            /// The most that the rectifier bears there, F.
            most_f: Option<f64> as at_most,
        } => "{running_v} at work, {peak_v} at switch-on, on a line of {line_v}{rated_v}{most_f}",
        /// A bypass capacitor.
        Bypass {
            /// At work, V.
            running_v: f64 as volts,
            /// With its tubes cold, V.
            cold_v: f64 as volts,
            /// Line, V RMS.
            line_v: f64 as volts,
        } => "{running_v} at work, {cold_v} with the tubes cold, on a line of {line_v}",
        /// Of a cathode.
        Cathode {
            /// At work, V.
            running_v: f64 as volts,
            /// Line, V RMS.
            line_v: f64 as volts,
        } => "{running_v} at work on a line of {line_v}, and half as much again with the signal",
        /// Of a bias supply.
        Bias {
            /// Crest of its winding, V.
            crest_v: f64 as volts,
            /// Line, V RMS.
            line_v: f64 as volts,
        } => "{crest_v} at the most, the crest of its winding, on a line of {line_v}",
        /// In the heater string.
        InString {
            /// High line, V RMS.
            line_v: f64 as volts,
        } => "in series with the heaters; a heater that opens leaves the whole line of {line_v} on it",
        /// Across that.
        Bleeder {
            /// Volts left on the plug, V.
            left_v: f64 as volts,
            /// After so many s.
            after_s: f64,
        } => "two in series across the capacitor in the heater string: the pins of the pulled plug are below {left_v} after {after_s} s",
        /// Found drifted.
        Drifted {
            /// What it acts like.
            acts_like: String,
            /// Its nominal value.
            stated: String,
            /// Its heat at high line, where it has any.
            heat_w: Option<f64> as heat,
            /// What else would explain the readings nearly as well, behind a semicolon.
            others: String,
        } => "by the readings it acts like {acts_like}, not {stated}{heat_w}{others}",
        /// Beside a dry rectifier.
        Dry {
            /// B+ now, V.
            now_v: f64 as volts,
            /// With the tube, V.
            with_tube_v: f64 as volts,
            /// Heat in each, W.
            heat_w: f64 as watts,
        } => "in each plate lead of the dry rectifier: B+ is {now_v} where the tube gave {with_tube_v}; {heat_w} of heat at high line",
        /// Safety capacitors across the line.
        AcrossLine {
            /// High line, V RMS.
            line_v: f64 as volts,
        } => "one that shorts must not start a fire; the line reaches {line_v}",
        /// The same of a live chassis.
        LineToChassis {
            /// High line, V RMS.
            line_v: f64 as volts,
        } => "the chassis is on the line, so that it stands across up to {line_v}",
        /// From line to what can be touched.
        ToChassis {
            /// High line, V RMS.
            line_v: f64 as volts,
        } => "one that shorts would put up to {line_v} on the chassis",
        /// The same of a live chassis.
        ToAntenna {
            /// High line, V RMS.
            line_v: f64 as volts,
        } => "one that shorts would put up to {line_v} on them",
        /// For draining the filter capacitors.
        Drains {
            /// For how long, s.
            seconds: f64,
            /// Highest voltage in the set, V.
            highest_v: f64 as volts,
        } => "drains a filter capacitor of up to {highest_v} within {seconds} s",
    }
}

/// A line of the list.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Item {
    /// Which part of the list it belongs to.
    #[serde(rename = "for")]
    pub of: ItemFor,
    /// Its name in drawings and tables, such as C1; null where it has none.
    pub part: Option<String>,
    /// What it is, in words.
    pub what: String,
    /// How many; null where they are to be counted in the set.
    pub quantity: Option<u32>,
    /// What to ask for, in words.
    pub ask: Ask,
    /// Value to ask for: F, Ω or A; null where there is none.
    pub value: Option<f64>,
    /// A made value on the other side, which does as well; null where there is none.
    pub or_value: Option<f64>,
    /// Unit of both; null without a value.
    pub unit: Option<&'static str>,
    /// Rated volts, at the least.
    pub rated_v: Option<f64>,
    /// True where these are volts of alternating current.
    pub rated_ac: bool,
    /// Rated watts, at the least.
    pub rated_w: Option<f64>,
    /// Safety class by IEC 60384-14; null where none is asked for.
    pub class: Option<&'static str>,
    /// Highest volts across it at work, on high line; null where these do not choose it.
    pub running_v: Option<f64>,
    /// Highest volts across it at switch-on or with the tubes cold, on high line.
    pub switch_on_v: Option<f64>,
    /// The line that they are on, V RMS; null where no line chooses it.
    pub at_line_v: Option<f64>,
    /// Why, in words.
    pub why: Why,
}

impl Item {
    /// One of `what`, with no figures of its own.
    pub fn new(of: ItemFor, what: impl Into<String>, ask: Ask, why: Why) -> Item {
        Item {
            of,
            part: None,
            what: what.into(),
            quantity: Some(1),
            ask,
            value: None,
            or_value: None,
            unit: None,
            rated_v: None,
            rated_ac: false,
            rated_w: None,
            class: None,
            running_v: None,
            switch_on_v: None,
            at_line_v: None,
            why,
        }
    }

    /// The same with a value to ask for.
    pub fn of_value(self, value: f64, unit: &'static str) -> Item {
        Item { value: Some(value), unit: Some(unit), ..self }
    }
}
