//! The table of methods: what is known of each way to adapt a set, whatever the set. What a row does not name is usual.

use super::{
    Across, Adaptation, AsIs, Bucking, InrushThermistor, SeriesLamp, SeriesResistor, Shelf, Step,
    Taps, Variac, far_off,
};
use serde::{Serialize, Serializer};
use std::fmt;
use std::sync::LazyLock;

/// What is known of a method.
#[derive(Debug)]
pub struct Facts {
    /// Short name in commands and JSON.
    pub id: &'static str,
    /// Title on reports.
    pub title: &'static str,
    /// Title of a row or a drawing.
    pub name: &'static str,
    /// Title of a narrow column.
    pub column: &'static str,
    /// What the part is called in a sentence.
    pub noun: &'static str,
    /// What is fitted, for who has to name it.
    pub words: &'static str,
    /// Place in the order in which sound choices are advised: the least intervention first.
    pub rank: u8,
    /// Where its part stands.
    pub stands: Stands,
    /// True for the two connections of one small transformer.
    pub bucks: bool,
    /// True for what belongs on the bench and not in a set.
    pub on_bench: bool,
    /// True where the part's own figures are too weak to advise it.
    pub rough: bool,
    /// True for resistors, which make heat and have a rating in watts.
    pub makes_heat: bool,
    /// True if it takes the place of resistance wire in the line cord.
    pub replaces_cord: bool,
    /// The adaptation for a set; `None` where there is nothing of the kind.
    pub offer: fn(&Shelf) -> Option<Offer>,
}

/// Where a method's part stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// There is none.
    Nowhere,
    /// It is the set's own primary.
    AtPrimary,
    /// Inside the set.
    Inside,
    /// Between outlet and set.
    InLead,
}

/// A method for a set.
pub enum Offer {
    /// To be looked at.
    Here(Box<dyn Adaptation>),
    /// Not looked at, and why.
    RuledOut(&'static str),
}

/// Why nothing but a transformer is put between a set and a line it was not made for.
const FAR_OFF_WHY: &str = "the set was made for quite another line: what a resistor or a lamp turned into heat would be as much as the set takes, and a fault would put the whole outlet on the set; it needs a step-down or step-up transformer";

fn here(adaptation: impl Adaptation + 'static) -> Option<Offer> {
    Some(Offer::Here(Box::new(adaptation)))
}

/// Ruled out where outlet and set are far apart.
fn near(shelf: &Shelf, adaptation: impl Adaptation + 'static) -> Option<Offer> {
    if far_off(shelf.outlet, shelf.design_line) {
        return Some(Offer::RuledOut(FAR_OFF_WHY));
    }
    here(adaptation)
}

fn step(shelf: &Shelf, down: bool) -> Option<Offer> {
    let &Shelf { outlet, design_line, .. } = shelf;
    let wanted = far_off(outlet, design_line) && down == (outlet > design_line);
    wanted.then(|| here(Step { outlet, design_line }))?
}

const USUAL: Facts = Facts {
    id: "",
    title: "",
    name: "",
    column: "",
    noun: "part",
    words: "",
    rank: 4,
    stands: Stands::InLead,
    bucks: false,
    on_bench: false,
    rough: false,
    makes_heat: false,
    replaces_cord: false,
    offer: |_| None,
};

/// Makes the enumeration, its list and its facts of one table.
macro_rules! methods {
    ($($(#[$doc:meta])* $method:ident => $facts:expr,)*) => {
        /// A way to adapt a set, in the order of the reports.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Method { $($(#[$doc])* $method,)* }

        impl Method {
            /// All of them, in the order of the reports.
            pub const ALL: &'static [Method] = &[$(Method::$method),*];

            /// What is known of it.
            pub fn facts(self) -> &'static Facts {
                match self { $(Method::$method => const { &$facts },)* }
            }
        }
    };
}

methods! {
    /// The set is left alone.
    AsIs => Facts {
        id: "as-is",
        title: "As it is",
        name: "As it is",
        column: "as it is",
        words: "Nothing: the set left as it is",
        rank: 0,
        stands: Stands::Nowhere,
        offer: |_| here(AsIs),
        ..USUAL
    },
    /// Another tap of its primary: it costs nothing.
    Tap => Facts {
        id: "tap",
        title: "Another primary tap",
        name: "Another primary tap",
        column: "tap",
        noun: "tap",
        words: "Another tap of its own primary",
        rank: 1,
        stands: Stands::AtPrimary,
        offer: |s| {
            let several = s.taps.len() > 1;
            several.then(|| here(Taps { taps: s.taps.clone(), now: s.design_line }))?
        },
        ..USUAL
    },
    /// A transformer to a lower line.
    StepDown => Facts {
        id: "step-down",
        title: "Step-down transformer",
        name: "Step-down transformer",
        column: "step-down",
        noun: "transformer",
        words: "A step-down transformer, for a set made for about half the outlet's volts",
        rank: 2,
        offer: |s| step(s, true),
        ..USUAL
    },
    /// A transformer to a higher line.
    StepUp => Facts {
        id: "step-up",
        title: "Step-up transformer",
        name: "Step-up transformer",
        column: "step-up",
        noun: "transformer",
        words: "A step-up transformer, for a set made for about twice the outlet's volts",
        rank: 2,
        offer: |s| step(s, false),
        ..USUAL
    },
    /// A variac.
    Variac => Facts {
        id: "variac",
        title: "Variac (on the bench)",
        name: "Variac",
        column: "variac",
        noun: "variac",
        words: "A variac, on the bench",
        on_bench: true,
        offer: |_| here(Variac),
        ..USUAL
    },
    /// A resistor in the heater string, and the surge resistor that goes with it.
    HeaterDropper => Facts {
        id: "heater-dropper",
        title: "Dropper in the heater string",
        name: "Dropper in the heater string",
        column: "dropper",
        noun: "dropper",
        words: "A resistor in the heater string of a set without a transformer",
        rank: 2,
        stands: Stands::Inside,
        makes_heat: true,
        replaces_cord: true,
        offer: |s| here(s.string.clone().filter(|_| !far_off(s.outlet, s.design_line))?),
        ..USUAL
    },
    /// A power resistor in the lead.
    SeriesResistor => Facts {
        id: "series-resistor",
        title: "Series resistor",
        name: "Series resistor",
        column: "resistor",
        noun: "resistor",
        words: "A power resistor in the lead",
        makes_heat: true,
        offer: |s| near(s, SeriesResistor { own: s.resistors.clone() }),
        ..USUAL
    },
    /// A small transformer that bucks, its primary across the outlet: little heat, and a fuse can blow.
    BuckingOutlet => Facts {
        id: "bucking-outlet",
        title: "Bucking, primary on the outlet",
        name: "Bucking on outlet",
        column: "buck/outlet",
        noun: "bucking transformer",
        words: "A bucking transformer with its primary on the outlet",
        rank: 3,
        bucks: true,
        offer: |s| near(s, Bucking::new(Across::Outlet, s)),
        ..USUAL
    },
    /// The same, its primary across the set.
    BuckingSet => Facts {
        id: "bucking-set",
        title: "Bucking, primary on the set",
        name: "Bucking on set",
        column: "buck/set",
        noun: "bucking transformer",
        words: "A bucking transformer with its primary on the set",
        rank: 3,
        bucks: true,
        offer: |s| near(s, Bucking::new(Across::Set, s)),
        ..USUAL
    },
    /// An inrush thermistor.
    Thermistor => Facts {
        id: "thermistor",
        title: "Inrush thermistor",
        name: "Inrush thermistor",
        column: "thermistor",
        words: "An inrush thermistor",
        rough: true,
        offer: |s| near(s, InrushThermistor),
        ..USUAL
    },
    /// A lamp in series.
    Lamp => Facts {
        id: "lamp",
        title: "Series lamp (on the bench)",
        name: "Series lamp",
        column: "lamp",
        words: "A lamp in series, on the bench",
        on_bench: true,
        offer: |s| near(s, SeriesLamp { outlet: s.outlet }),
        ..USUAL
    },
}

impl fmt::Display for Method {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.facts().id)
    }
}

/// As its short name.
impl Serialize for Method {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

/// What is there for a set, in the order of the reports.
pub fn offers(shelf: &Shelf) -> Vec<(Method, Offer)> {
    let offer = |method: &Method| Some((*method, (method.facts().offer)(shelf)?));
    Method::ALL.iter().filter_map(offer).collect()
}

/// What may be named as fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum With {
    /// A method.
    One(Method),
    /// The better of both bucking connections.
    Bucking,
}

impl With {
    /// All that may be named, and how.
    pub fn all() -> &'static [With] {
        static ALL: LazyLock<Vec<With>> = LazyLock::new(|| {
            let one = |method: &Method| {
                let family = (*method == Method::BuckingOutlet).then_some(With::Bucking);
                family.into_iter().chain([With::One(*method)])
            };
            Method::ALL.iter().flat_map(one).collect()
        });
        &ALL
    }

    /// Short name, and what is fitted.
    pub fn names(self) -> (&'static str, &'static str) {
        match self {
            With::One(method) => (method.facts().id, method.facts().words),
            With::Bucking => ("bucking", "A bucking transformer, the better of both connections"),
        }
    }

    /// Whether `method` is meant.
    pub fn means(self, method: Method) -> bool {
        match self {
            With::One(one) => one == method,
            With::Bucking => method.facts().bucks,
        }
    }
}

impl fmt::Display for With {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.names().0)
    }
}
