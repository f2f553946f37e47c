//! What to know of a dropper's substitute, and why one is refused.

use crate::study::{
    FaultCase, FaultReport,
    sentences::{amps, off, ohms, percent, sentences, volts, watts},
};

sentences! {
    /// Why something is not to be fitted in the dropper's place.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum NoSubstitute {
        /// The heaters take the line, or more.
        NoRoom {
            /// The line, V.
            line_v: f64 as volts,
            /// What the heaters ask for, V.
            heaters_v: f64 as volts,
        } => "the heaters ask for {heaters_v} of the line's {line_v}: nothing is left to drop",
        /// No value gives rated heaters.
        NoValue => "no value of the trade gives rated heaters here",
        /// No capacitor of the trade bears that line.
        NoRating {
            /// High line, V.
            high_v: f64 as volts,
        } => "no capacitor of this kind is sold for a line of {high_v}",
        /// Too hot for every place in or on the set.
        NoPlace {
            /// Its heat at high line, W.
            heat_w: f64 as watts,
        } => "{heat_w} of heat has no place in or on this set: use a step-down transformer with separate windings",
        /// No fuse of the standard suits the set with it.
        NoFuse => "no small fuse suits the set with it, and without one a fault burns it",
        /// A fault burns it in every size.
        Burns {
            /// The fault.
            fault: FaultCase,
            /// What that puts into it, W.
            heat_w: f64 as watts,
            /// What it may lose until the fuse must open, W.
            allowed_w: f64 as watts,
        } => "{fault}: {heat_w} in it, and until the fuse must open it stands {allowed_w}",
        /// A fault has no solution.
        Unsolved {
            /// The fault.
            fault: FaultCase,
        } => "{fault}: what it meets then is not known",
        /// The heaters run too high at high line.
        HighLine {
            /// Over rated, less one.
            excess: f64 as off,
        } => "the heaters run {excess} at high line",
        /// Behind a diode the heaters get too little, whatever stands beside it.
        DiodeTooLittle {
            /// What a diode leaves of the line, V RMS.
            rms_v: f64 as volts,
            /// The heaters with the diode alone, over rated, less one.
            excess: f64 as off,
        } => "a diode leaves {rms_v} RMS, and the heaters run {excess} with nothing else in series",
        /// A series diode fails shorted, and loads the line with direct current.
        Trap {
            /// The heaters with the diode shorted, over rated, less one.
            shorted: f64 as off,
            /// Direct current from the line, A.
            direct_a: f64 as amps,
        } => "a diode fails shorted: the heaters then run {shorted} and no fuse opens; it draws {direct_a} of direct current from the line",
    }
}

impl NoSubstitute {
    /// That a fault burns a resistor, or cannot be told.
    pub(super) fn of_fault(report: &FaultReport) -> Option<NoSubstitute> {
        let FaultReport { fault, part_w, part_allowed_w, .. } = *report;
        if report.unsolved.is_some() {
            return Some(NoSubstitute::Unsolved { fault });
        }
        let (heat_w, allowed_w) = part_w.zip(part_allowed_w).filter(|_| report.burns)?;
        Some(NoSubstitute::Burns { fault, heat_w, allowed_w })
    }
}

sentences! {
    /// What to know of a substitute.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum DropperCaveat {
        /// Heat needs ventilated metal.
        Ventilated {
            /// At high line, W.
            heat_w: f64 as watts,
        } => "Mount it in ventilated metal, away from wood and wax: it gives off {heat_w} at high line.",
        /// Its watts are those of a fault, with the fuse that ends it.
        SizedForFault {
            /// The fault that puts most heat into it.
            fault: FaultCase,
            /// That heat, W.
            heat_w: f64 as watts,
            /// Rating of the fuse, A.
            fuse_a: f64,
            /// Its standard.
            standard: &'static str,
        } => "Fit a {fuse_a} A slow-blow line fuse ({standard}), and no fewer watts: {fault} puts {heat_w} into it while that fuse holds.",
        /// Two halves share the heat.
        TwoHalves {
            /// In each at high line, W.
            heat_w: f64 as watts,
        } => "Two in series of half the resistance, well apart, give off {heat_w} each.",
        /// It belongs into the heater leg and nowhere else.
        HeatersOnly => "Wire it into the heater leg alone: in the lead to the rectifier it blocks the direct current, and B+ collapses.",
        /// A class X capacitor is made for use across the line.
        SeriesUse => "Use a motor-run capacitor, or class X2 only if its data sheet allows series use.",
        /// The pins of the plug.
        Bleeder {
            /// Resistor across it, Ω.
            with_ohms: f64 as ohms,
            /// Its heat, W.
            heat_w: f64 as watts,
            /// Volts left after a second, V.
            left_v: f64 as volts,
        } => "Fit {with_ohms} across it, in two parts in series, {heat_w} in all: the pins of the pulled plug are below {left_v} after a second.",
        /// Plugged in at the crest of the line.
        Ahead {
            /// Resistor ahead of it, Ω.
            with_ohms: f64 as ohms,
            /// Its heat at high line, W.
            heat_w: f64 as watts,
            /// Current of the first moment, A.
            first_a: f64 as amps,
            /// The same without the resistor, A.
            without_a: f64 as amps,
        } => "Fit {with_ohms} wirewound ahead of it, {heat_w} at high line: plugged in at the crest the first moment takes {first_a} and not {without_a}.",
        /// Its reactance belongs to one frequency.
        Frequency {
            /// Of the outlet, Hz.
            hertz: f64,
            /// The other one, Hz.
            other_hz: f64,
            /// The heaters there, over rated, less one.
            excess: f64 as off,
        } => "It is for {hertz} Hz alone: on {other_hz} Hz the heaters run {excess}; never use it on an inverter or where the supply may be direct current.",
        /// What its tolerance does.
        Tolerance {
            /// The tolerance, as a share.
            share: f64 as percent,
            /// The heaters with a small one, over rated, less one.
            low: f64 as off,
            /// The same with a large one.
            high: f64 as off,
        } => "Measure it: ±{share} of its value leaves the heaters {low} to {high}.",
        /// It does not steady the heaters.
        NotSteadier {
            /// The heaters at high line, over rated, less one.
            excess: f64 as off,
            /// High line, V.
            high_v: f64 as volts,
        } => "It does not steady the heaters: at {high_v} they run {excess}.",
        /// What happens when it shorts.
        Shorted {
            /// The heaters then, over rated, less one.
            excess: f64 as off,
        } => "If it shorts, the heaters get the full line, {excess}, and the fuse may hold: unplug at the first bright glow.",
        /// A half wave is not half the volts.
        NotHalf {
            /// The line, V.
            line_v: f64 as volts,
            /// What the diode leaves, V RMS.
            rms_v: f64 as volts,
            /// The heaters if half the line is believed, over rated, less one.
            believed: f64 as off,
        } => "A diode leaves {rms_v} RMS of {line_v}, not half: sized by half the line, the heaters run {believed}.",
        /// An averaging meter shows half.
        AveragingMeter {
            /// What it shows, V.
            shows_v: f64 as volts,
            /// The RMS volts, V.
            rms_v: f64 as volts,
        } => "An averaging meter shows {shows_v} behind it where the heaters get {rms_v}.",
        /// Direct current saturates iron.
        NoTransformer => "Never behind a bucking or a small isolation transformer: direct current saturates its iron.",
        /// Heaters and cathodes see the crest.
        Crest {
            /// At high line, V.
            crest_v: f64 as volts,
        } => "Between heaters and cathodes stands up to {crest_v}: check their rating.",
    }
}
