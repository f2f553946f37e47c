//! What the command line calls the values of enumerations that stand elsewhere.

use crate::api::{
    With,
    draft::{BiasFrom, Feed, Lead, RectifierCircuit},
    typed::{Over, ReplaceBy, Replaced},
};
use clap::{ValueEnum, builder::PossibleValue};

/// What can be named as fitted is what the table of methods has.
impl ValueEnum for With {
    fn value_variants<'a>() -> &'a [With] {
        With::all()
    }
    fn to_possible_value(&self) -> Option<PossibleValue> {
        let (id, words) = self.names();
        Some(PossibleValue::new(id).help(words))
    }
}

impl ValueEnum for RectifierCircuit {
    fn value_variants<'a>() -> &'a [RectifierCircuit] {
        &RectifierCircuit::ALL
    }
    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(PossibleValue::new(self.word()))
    }
}

/// The values that can be typed, each with its word and what the help says of it.
macro_rules! words {
    ($($of:ident { $($value:ident = $word:literal, $help:literal;)* })*) => { $(
        impl ValueEnum for $of {
            fn value_variants<'a>() -> &'a [$of] {
                &[$($of::$value),*]
            }
            fn to_possible_value(&self) -> Option<PossibleValue> {
                let mut all = [$(($of::$value, $word, $help)),*].into_iter();
                let (_, word, help) = all.find(|(value, ..)| value == self)?;
                Some(PossibleValue::new(word).help(help))
            }
        }
    )* };
}

words! {
    Over {
        Line = "line", "Line voltage, the set straight on the line";
        Resistor = "resistor", "A series resistor, on the usual outlet voltage";
    }
    Lead {
        Positive = "positive", "From the rectifier to B+";
        Negative = "negative", "From chassis to the supply's negative end: the transformer's center tap";
    }
    Feed {
        Transformer = "transformer", "A power transformer";
        Autotransformer = "autotransformer", "One winding with taps: the chassis is live";
        Line = "line", "The line itself, heaters in series: the chassis is live";
    }
    BiasFrom {
        Cathodes = "cathodes", "Resistors at the cathodes";
        FieldCoil = "field-coil", "Taps across the field coil in the negative lead";
        Resistor = "resistor", "A resistor in the negative lead";
        Supply = "supply", "A supply with a winding of its own";
    }
    Replaced {
        FieldCoil = "field-coil", "The speaker's field coil, by a choke and a resistor; across the supply by a bleeder";
        Rectifier = "rectifier", "A rectifier tube, by silicon and a resistor";
        Dropper = "dropper", "What stands in series with the heaters: a resistor, a line cord, a ballast";
        Ballast = "ballast", "A ballast tube or a barretter";
    }
    ReplaceBy {
        Choke = "choke", "For a field coil: a choke, with a resistor for the rest of its ohms";
        Resistor = "resistor", "A resistor; for a field coil with a larger second capacitor";
        Capacitor = "capacitor", "For a dropper: a capacitor";
    }
}
