//! What to know before a part is replaced.

use crate::study::sentences::{ohms, sentences, volts, watts};

sentences! {
    /// What to know before a part is replaced.
    #[derive(Debug, Clone, PartialEq)]
    pub enum ReplaceCaveat {
        /// A resistor in a field coil's place is hot for good.
        FieldHeat {
            /// Its heat at high line, W.
            heat_w: f64 as watts,
        } => "Mount the resistor clear of cloth, cone, and wax; it gives off {heat_w} at high line, as long as the set is on.",
        /// The ohms at work count, not those printed on the coil.
        WarmOhms {
            /// Cold, Ω.
            cold: f64 as ohms,
            /// At work, Ω.
            warm: f64 as ohms,
        } => "Replace the ohms of the warm coil, {warm}: what an ohmmeter reads on it cold, {cold}, leaves B+ too high.",
        /// What is bought differs, and bias with it.
        BiasMoves {
            /// Volts across it, V.
            drop_v: f64 as volts,
        } => "Bias comes from these {drop_v}: a resistor 5 % off puts it 5 % off. Measure bias before the set plays.",
        /// A choke has a resistance of its own.
        MeasureChoke {
            /// What the two have together, Ω.
            together: f64 as ohms,
        } => "Measure the choke with an ohmmeter, and take the resistor for the rest: {together} in all.",
        /// Without a coil B+ still stands at the crest until the tubes draw.
        StandsAtCrest {
            /// At high line, V.
            crest_v: f64 as volts,
        } => "Until the tubes draw, every filter capacitor gets up to {crest_v} at switch-on, as with the coil.",
        /// The new speaker itself.
        Speaker => "Join the new speaker's frame to chassis. Match the voice coil to the output transformer.",
        /// The same where the chassis is joined to the line.
        LiveSpeaker => "Insulate the new speaker's frame from chassis: this chassis is live. Match the voice coil to the output transformer.",
        /// Silicon gives the crest at every switch-on.
        CapacitorsBear {
            /// At high line, V.
            crest_v: f64 as volts,
        } => "With a silicon rectifier, every filter capacitor gets up to {crest_v} at each switch-on, for the seconds until the tubes draw; no resistor changes that.",
        /// A capacitor that does not.
        CapacitorTooLow {
            /// Which.
            name: String,
            /// What is marked on it, V.
            rated_v: f64 as volts,
            /// What to fit.
            fit: String,
        } => "Replace {name} first, by {fit}: rated {rated_v}, it does not bear that for seconds either.",
        /// Watts go by the square of RMS amperes.
        ByRms {
            /// In one resistor, W.
            heat_w: f64 as watts,
            /// What the average current would say, W.
            by_mean_w: f64 as watts,
        } => "Size the resistor by RMS amperes squared, {heat_w}: the average current gives {by_mean_w}.",
        /// Reverse volts of the diodes.
        Inverse {
            /// At high line, V.
            volts_v: f64 as volts,
        } => "One 1000 V diode in each place: it gets {volts_v} in reverse.",
        /// The same where one is not enough.
        InverseInARow {
            /// Diodes of 1000 V in a row in each place.
            in_a_row: u32,
            /// At high line, V.
            volts_v: f64 as volts,
        } => "{in_a_row} diodes of 1000 V in a row in each place: they get {volts_v} in reverse.",
        /// It is matched at one load.
        OneLoad => "B+ is matched at this load alone: with tubes out or weak it is a little higher than with the tube.",
        /// The tube's filament no longer loads the transformer.
        FilamentGone {
            /// W.
            heater_w: f64 as watts,
        } => "The tube no longer loads the transformer, {heater_w}: the heaters rise a little. A tube left lit in its socket keeps them.",
        /// Its heater left the string.
        HeaterGone {
            /// What takes its place, Ω.
            with_ohms: f64 as ohms,
            /// Its heat, W.
            heat_w: f64 as watts,
        } => "Put {with_ohms} in the place of its heater before power, {heat_w}: without it every other heater gets too much.",
        /// The lamp on its tap.
        LampLost => "The dial lamp lost its tap: feed it anew, or leave it out. It is left out of the changed profile.",
    }
}
