//! A whole profile: its sections, and what the set is as a whole.

use super::{
    cursor::Cursor,
    declare::{Expected, Lax, List, Named, OrUsual, Sound, choice, form, keys},
    filter::MainFilter,
    fitted::{Fitted, FittedKind, MOST_VISITS, Visit},
    known::StatedKnown,
    node::Kind,
    outlet::OutletForm,
    parts::{MainsResistor, OwnParts, PresentFuse},
    readings::{Calibration, ReadingSet, Tolerances},
    rectifier::{BiasKeys, Rectifier},
    second::SecondKeys,
    string::HeaterString,
    supply::{Chain, Load},
    transformer::MaybeTransformer,
    tubes::{Lamp, Tubes},
    types::OwnType,
    values::{High, MainsVolts, Of, Signed, Stated, Text, Watts, Whole},
};
use crate::quantity::{Frequency, Quantity, Temperature, Voltage};
use serde::Serialize;

keys! {
    /// The profile of a set: one old mains-powered tube receiver
    pub struct Profile {
        /// Identity and nameplate of the set
        set: SetInfo,
        /// Outlet voltage through the day, or the name of a range. Absent: 122 V for a design line of 105 to 130 V,
        /// 101 V for 95 to below 105 V, 230 V for 200 to 250 V
        outlet: Option<OutletForm>,
        /// Air round the set; 22 °C if absent
        room: Option<Of<Temperature, Signed>>,
        /// Mains transformer; required unless `service_sheet` or `heater_string` is given
        transformer: MaybeTransformer,
        /// Series heaters straight on the line: the set has no transformer then
        heater_string: Sound<HeaterString>,
        /// Tube and rectifier types of your own, or catalogue types with other figures, by name
        types: Named<OwnType>,
        /// Rectifier
        rectifier: Rectifier,
        /// Bias supply with a winding and a rectifier of its own
        bias_supply: Sound<BiasKeys>,
        /// Parts from the rectifier to B+, in order
        filter: MainFilter,
        /// Second supply beside B+, of a speaker's field or a tuner: the supply points `B2+` and `reservoir2`
        second_supply: Sound<SecondKeys>,
        /// Resistor chains with taps, by name
        dividers: Named<Chain>,
        /// Other loads on the supply
        loads: List<Load>,
        /// A resistor that stands in the line cord now, the whole current of the set through it
        mains_resistor: Option<MainsResistor>,
        /// The tubes, the rectifier excepted
        tubes: Expected<Tubes>,
        /// Dial lamps
        lamps: List<Lamp>,
        /// B+ as the service sheet gives it; required unless `transformer: high_voltage` is given
        sheet_b_plus "service_sheet": Option<SheetReading>,
        /// What the adaptation is to reach; `heaters` if absent
        target: OrUsual<TargetForm>,
        /// Fuse now in the set
        fuse: Option<PresentFuse>,
        /// Parts you have, instead of the stock of the trade
        parts: Lax<OwnParts>,
        /// What the modification note says of its own making: date, hand and place
        record "note": Lax<Record>,
        /// What a meter showed, one item for each setting of the line; the set is fitted to it
        readings: List<ReadingSet>,
        /// What was fitted for the outlet voltage, as it is now; absent: nothing
        fitted: Option<Fitted>,
        /// What a meter showed when the work was done, with what is fitted, one item for each setting of the line: it is
        /// compared with what was predicted, and nothing is fitted to it. `set` is the voltage behind the part
        as_left: List<ReadingSet>,
        /// Later visits, the first of them first; each is compared with the set as it was left
        visits: List<Visit, { MOST_VISITS }>,
        /// Factors that `mainsfit fit --write` found
        calibration: List<Calibration, { usize::MAX }>,
        /// How far numbers of the set may be off, for `mainsfit tolerance`, by the name `tolerance` gives them: `5 %` or 0.05
        tolerances: Tolerances,
        + /// How values are known, where that is said
        known: Vec<StatedKnown>,
    }
    wanted &["set", "transformer", "rectifier", "filter", "tubes"];
    also {
        "title": "Profile of a set, for mainsfit",
        "anyOf": [
            { "required": ["service_sheet"] },
            { "required": ["heater_string"] },
            {
                "required": ["transformer"],
                "properties": { "transformer": { "required": ["high_voltage"] } }
            },
        ]
    };
    => Profile: whole;
}

/// What its parts must have of each other.
fn whole(profile: Profile, at: &Cursor<'_>) -> Option<Profile> {
    if profile.bias_supply.is_some() && profile.transformer.bias.is_none() {
        at.below("bias_supply").fail_key(
            "the bias supply has no winding",
            "add it under `transformer:`, such as `bias: { volts: 45 V }`",
        );
        return None;
    }
    // the connected tap is the design line, so that must be one of the taps
    let taps = &profile.transformer.primary.taps;
    let design = profile.set.design_line;
    if !taps.is_empty() && !taps.iter().any(|t| (t.si() / design.si() - 1.0).abs() < 1e-6) {
        at.below("transformer.primary.taps").fail(
            "the design line is not one of the taps",
            "`set: design_line:` is the tap now connected: write that tap's volts there",
        );
    }
    suits(&profile, at)?;
    // the tubes looked their types up while they were read
    let _ = &profile.types;
    Some(Profile { known: at.sink().kept(), ..profile })
}

/// That what is fitted can be fitted in this set, and that visits stand in their order.
fn suits(profile: &Profile, at: &Cursor<'_>) -> Option<()> {
    let taps = &profile.transformer.primary.taps;
    if let Some(fitted) = &profile.fitted {
        let tap = fitted.tap.filter(|tap| !taps.contains(tap));
        if tap.is_some() {
            return at.below("fitted.tap").refuse(
                "this primary has no such tap",
                "list its taps under `transformer: primary: taps:`, and name one of them",
            );
        }
        if fitted.kind == FittedKind::HeaterDropper && profile.heater_string.is_none() {
            return at.below("fitted.choice").refuse(
                "this set has no heater string to fit a dropper in",
                "name what is fitted, such as `series-resistor`",
            );
        }
    }
    let first = profile.fitted.as_ref().and_then(|fitted| fitted.date);
    let days = first.into_iter().chain(profile.visits.iter().map(|visit| visit.date));
    if !days.is_sorted() {
        return at.below("visits").refuse(
            "the visits do not stand in the order of their days",
            "write the first visit first, each after the day on which the part was fitted",
        );
    }
    Some(())
}

impl Profile {
    /// The line fuse that is in now.
    pub fn present_fuse(&self) -> Option<PresentFuse> {
        self.fitted.as_ref().and_then(|fitted| fitted.fuse).or(self.fuse)
    }

    /// Whether the winding that the rectifier stands on has no center tap.
    pub fn single_winding(&self) -> bool {
        match &self.transformer.high_voltage {
            Some(winding) => winding.whole,
            // a winding of which only the sheet's B+ tells is what the circuit needs
            None => self.heater_string.is_none() && !self.rectifier.circuit.is_tapped(),
        }
    }
}

keys! {
    /// Identity and nameplate of the set
    pub struct SetInfo as "Set" {
        /// Heads the plan and the note
        name: Text,
        /// Year of make, 1900 to 2100; not shown if absent
        year: Option<Year>,
        /// Volts the transformer was wound for, or the tap in use, which is then one of the `taps`; the middle of a printed range
        design_line: MainsVolts,
        /// Mains frequency; absent: 60 Hz where the highest tap is below 150 V, 50 Hz from there on
        frequency: Option<Stated<Frequency>>,
        /// Watts of the nameplate; they only size copper and no-load current where those are not given. Absent: heater watts and
        /// published tube currents at 350 V, over 0.85
        nameplate_power: Option<Watts>,
    }
    wanted &["name", "design_line"];
}

form! {
    /// A year of make
    Year -> i32 as Whole,
    |at| at.parsed(
        |text| text.parse().ok().filter(|year| (1900..=2100).contains(year)),
        "is not a year",
        "write the year alone, such as 1936, or leave the line out",
    )
}

keys! {
    /// B+ as the service sheet gives it
    pub struct SheetReading as "ServiceSheet" [Copy] {
        /// DC volts
        volts "B+": Stated<Voltage, High>,
        /// Line at which they hold; absent: the design line
        at_line: Option<MainsVolts>,
    }
}

/// What the adaptation is to reach.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
#[non_exhaustive]
pub enum Target {
    /// Rated heater volts.
    #[default]
    Heaters,
    /// This B+.
    BPlus(Voltage),
    /// The set as it runs on this line without any part.
    AsOnLine(Voltage),
}

form! {
    /// What the adaptation is to reach
    TargetForm -> Target: Heaters | TargetKeys,
    |at| match at.kind() {
        Kind::Map => TargetKeys::read(at),
        _ => Heaters::read(at),
    }
}

choice! {
    /// The heaters
    Heaters -> Target {
        /// Rated volts at the winding that feeds the tubes, on the usual line
        "heaters" => Target::Heaters,
    }
    "is not a target", "write `heaters`, { B+: 250 V } or { line: 112 V }"
}

keys! {
    /// A target in volts: `B+` or `line`
    pub struct TargetKeys as "Target" {
        /// This B+ on the usual line
        b_plus "B+": Option<Of<Voltage, High>>,
        /// The heater volts that the set has on this line with nothing in the lead
        line: Option<MainsVolts>,
    }
    rule (
        "oneOf",
        &["B+", "line"],
        "a target is one thing",
        "write `heaters`, { B+: 250 V } or { line: 112 V }",
    );
    => Target: |keys, _| keys.b_plus.map(Target::BPlus).or(keys.line.map(Target::AsOnLine));
}

keys! {
    /// What the modification note says of its own making; nothing here enters a computation
    pub struct Record as "Note" [Default, PartialEq, Eq, Serialize] {
        /// Maker of the set; absent: a line to write on
        make: Option<Text>,
        /// Its model; absent: a line to write on
        model: Option<Text>,
        /// Its serial number; absent: a line to write on
        serial: Option<Text>,
        /// Whose it is; absent: a line to write on
        owner: Option<Text>,
        /// When; absent: a line to write on
        date: Option<Text>,
        /// By whom; absent: a line to write on
        by: Option<Text>,
        /// Where the part was fitted; absent: a line to write on
        place: Option<Text>,
        /// What else is to be known; nothing if absent
        remark: Option<Text>,
    }
    wanted &[];
}
