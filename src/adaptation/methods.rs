//! The table of methods: what is known of each way to adapt a set, whatever the set. What a row does not name is usual.

use super::{
    Shelf,
    bucking::Across,
    lamp::SeriesLamp,
    offer::{Offer, boosting, bucking, here, near, stepped},
    part::Only,
    resistor::SeriesResistor,
    step::far_off,
    tap::Taps,
    thermistor::InrushThermistor,
    variac::Variac,
};
use crate::{
    profile::FittedKind,
    receiver::{AsBuilt, Straight},
};
use serde::{Serialize, Serializer};
use std::fmt;

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
    /// What is added, behind "Add"; empty where nothing is.
    pub added: &'static str,
    /// Place in the order in which sound choices are advised: the least intervention first.
    pub rank: u8,
    /// Where its part stands.
    pub stands: Stands,
    /// How it is wired, a step a sentence; empty for what is wired in the set's own terms.
    pub wired: &'static [&'static str],
    /// True for the two connections of one small transformer that takes its volts off.
    pub bucks: bool,
    /// True for the two connections of one that adds them.
    pub boosts: bool,
    /// True for a transformer with separate windings: what stands behind it is not joined to the outlet.
    pub steps: bool,
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

const MOVE_TAP: &[&str] = &[
    "Unsolder the hot wire from the tap now in use, and solder it to the tap named here.",
    "Insulate the tap that is left free: it stands at line voltage or above.",
];
const IN_SERIES: &[&str] = &["Wire it in the hot wire, behind fuse and switch."];
const STEPPED: &[&str] = &[
    "Wire its primary between the switched hot wire and neutral.",
    "Connect the set to its secondary alone.",
    "Join no wire of the secondary to neutral or ground.",
];

const ON_OUTLET: &[&str] = &[
    "Wire the secondary in the hot wire, behind fuse and switch.",
    "Wire the primary from the switched hot wire, ahead of the secondary, to neutral.",
    "Put no fuse and no switch in the primary's own wires.",
];
const ON_SET: &[&str] = &[
    "Wire the secondary in the hot wire, behind fuse and switch.",
    "Wire the primary from the set's side of the secondary to neutral.",
    "Put no fuse and no switch in the primary's own wires.",
];

const USUAL: Facts = Facts {
    id: "",
    title: "",
    name: "",
    column: "",
    noun: "part",
    words: "",
    added: "",
    rank: 4,
    stands: Stands::InLead,
    wired: IN_SERIES,
    bucks: false,
    boosts: false,
    steps: false,
    on_bench: false,
    rough: false,
    makes_heat: false,
    replaces_cord: false,
    offer: |_| None,
};

/// Makes the enumeration, its list and its facts of one table; what a row does not name is usual.
macro_rules! methods {
    ($($(#[$doc:meta])* $method:ident { $($fact:ident: $value:expr,)* })*) => {
        /// A way to adapt a set, in the order of the reports.
        #[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
        #[non_exhaustive]
        pub enum Method { $($(#[$doc])* $method,)* }

        impl Method {
            /// All of them, in the order of the reports.
            pub const ALL: &'static [Method] = &[$(Method::$method),*];

            /// Whether a resistor that a repairer put into the line cord comes out for it.
            pub fn replaces_mains_resistor(self) -> bool {
                self != Method::AsIs && !self.facts().on_bench
            }

            /// What is known of it.
            pub fn facts(self) -> &'static Facts {
                match self {
                    $(Method::$method => const { &Facts { $($fact: $value,)* ..USUAL } },)*
                }
            }
        }
    };
}

methods! {
    /// The set is left alone.
    #[default]
    AsIs {
        id: "as-is",
        title: "As it is",
        name: "As it is",
        column: "as it is",
        words: "Nothing: the set left as it is",
        rank: 0,
        stands: Stands::Nowhere,
        wired: &[],
        offer: |_| here(Only(Straight)),
    }
    /// Another tap of its primary: it costs nothing.
    Tap {
        id: FittedKind::Tap.word(),
        title: "Another primary tap",
        name: "Another primary tap",
        column: "tap",
        noun: "tap",
        words: "Another tap of its own primary",
        rank: 1,
        stands: Stands::AtPrimary,
        wired: MOVE_TAP,
        offer: |s| {
            let several = s.taps.len() > 1;
            several.then(|| here(Taps { taps: s.taps.clone(), now: s.design_line }))?
        },
    }
    /// Another tap, and a part in the lead for what it leaves: looked at where no one step reaches.
    TapAndPart {
        id: "tap-and-part",
        title: "Another primary tap and a part in the lead",
        name: "Tap and part",
        column: "tap + part",
        words: "Another tap of its own primary, and a part in the lead for what that leaves",
        wired: MOVE_TAP,
    }
    /// Without the resistor that a repairer put into the line cord: it costs nothing.
    TakeOut {
        id: "take-out",
        title: "Mains resistor taken out",
        name: "Mains resistor taken out",
        column: "taken out",
        noun: "mains resistor",
        words: "The set without the resistor that a repairer put into its line cord",
        rank: 1,
        stands: Stands::Nowhere,
        wired: &["Join the hot wire where the resistor was, and insulate the joint."],
        offer: |s| s.mains_resistor.then(|| here(Only(AsBuilt)))?,
    }
    /// A transformer to a lower line.
    StepDown {
        id: FittedKind::StepDown.word(),
        title: "Step-down transformer",
        name: "Step-down transformer",
        column: "step-down",
        noun: "transformer",
        words: "A step-down transformer, for a set made for far lower volts",
        added: "a step-down transformer",
        rank: 5,
        steps: true,
        wired: STEPPED,
        offer: |s| stepped(s, true),
    }
    /// A transformer to a higher line.
    StepUp {
        id: FittedKind::StepUp.word(),
        title: "Step-up transformer",
        name: "Step-up transformer",
        column: "step-up",
        noun: "transformer",
        words: "A step-up transformer, for a set made for far higher volts",
        added: "a step-up transformer",
        rank: 5,
        steps: true,
        wired: STEPPED,
        offer: |s| stepped(s, false),
    }
    /// A variac.
    Variac {
        id: "variac",
        title: "Variac (on the bench)",
        name: "Variac",
        column: "variac",
        noun: "variac",
        words: "A variac, on the bench",
        wired: &["Turn it to zero first, and plug the set into it."],
        on_bench: true,
        offer: |_| here(Variac),
    }
    /// A resistor in the heater string, and the surge resistor that goes with it.
    HeaterDropper {
        id: FittedKind::HeaterDropper.word(),
        title: "Dropper in the heater string",
        name: "Dropper in the heater string",
        column: "dropper",
        noun: "dropper",
        words: "A resistor in the heater string of a set without a transformer",
        added: "a heater-string dropper",
        rank: 2,
        stands: Stands::Inside,
        wired: &[
            "Wire the dropper into the heater string, at the end toward the hot wire.",
            "Never put it into the line cord: rectifier current would flow through it as well.",
        ],
        makes_heat: true,
        replaces_cord: true,
        offer: |s| here(s.string.clone().filter(|_| !far_off(s.outlet, s.design_line))?),
    }
    /// A power resistor in the lead.
    SeriesResistor {
        id: FittedKind::SeriesResistor.word(),
        title: "Series resistor",
        name: "Series resistor",
        column: "resistor",
        noun: "resistor",
        words: "A power resistor in the lead",
        added: "a series resistor",
        makes_heat: true,
        offer: |s| near(s, SeriesResistor { own: s.resistors.clone() }),
    }
    /// A small transformer that bucks, its primary across the outlet: little heat, and a fuse can blow.
    BuckingOutlet {
        id: FittedKind::BuckingOutlet.word(),
        title: "Bucking, primary on the outlet",
        name: "Bucking on outlet",
        column: "buck/outlet",
        noun: "bucking transformer",
        words: "A bucking transformer with its primary on the outlet",
        added: "a bucking transformer, outlet side",
        rank: 3,
        bucks: true,
        wired: ON_OUTLET,
        offer: |s| bucking(s, Across::Outlet),
    }
    /// The same, its primary across the set.
    BuckingSet {
        id: FittedKind::BuckingSet.word(),
        title: "Bucking, primary on the set",
        name: "Bucking on set",
        column: "buck/set",
        noun: "bucking transformer",
        words: "A bucking transformer with its primary on the set",
        added: "a bucking transformer, set side",
        rank: 3,
        bucks: true,
        wired: ON_SET,
        offer: |s| bucking(s, Across::Set),
    }
    /// The small transformer aiding, its primary across the outlet: the lower of both voltages.
    BoostOutlet {
        id: FittedKind::BoostOutlet.word(),
        title: "Boosting, primary on the outlet",
        name: "Boosting on outlet",
        column: "boost/outlet",
        noun: "boosting transformer",
        words: "A boosting transformer with its primary on the outlet",
        added: "a boosting transformer, outlet side",
        rank: 3,
        boosts: true,
        wired: ON_OUTLET,
        offer: |s| boosting(s, Across::Outlet),
    }
    /// The same, its primary across the set, where it gets the raised volts.
    BoostSet {
        id: FittedKind::BoostSet.word(),
        title: "Boosting, primary on the set",
        name: "Boosting on set",
        column: "boost/set",
        noun: "boosting transformer",
        words: "A boosting transformer with its primary on the set",
        added: "a boosting transformer, set side",
        rank: 3,
        boosts: true,
        wired: ON_SET,
        offer: |s| boosting(s, Across::Set),
    }
    /// An inrush thermistor.
    Thermistor {
        id: "thermistor",
        title: "Inrush thermistor",
        name: "Inrush thermistor",
        column: "thermistor",
        words: "An inrush thermistor",
        added: "an inrush thermistor",
        rough: true,
        offer: |s| near(s, InrushThermistor),
    }
    /// A lamp in series.
    Lamp {
        id: "lamp",
        title: "Series lamp (on the bench)",
        name: "Series lamp",
        column: "lamp",
        words: "A lamp in series, on the bench",
        on_bench: true,
        offer: |s| near(s, SeriesLamp { outlet: s.outlet }),
    }
}

/// What the current meets in the hot wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Station {
    /// The plug's hot blade.
    Plug,
    /// The line fuse.
    Fuse,
    /// The switch.
    Switch,
    /// What is fitted between outlet and set, with all its wires.
    Part,
    /// The set.
    Set,
}

impl Method {
    /// The hot wire from the outlet on, in order: fuse and switch stand ahead of everything.
    pub fn hot_wire(self) -> &'static [Station] {
        use Station::{Fuse, Part, Plug, Set, Switch};
        match self.facts().stands {
            Stands::InLead => &[Plug, Fuse, Switch, Part, Set],
            _ => &[Plug, Fuse, Switch, Set],
        }
    }
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
