//! Tubes in their sockets, and dial lamps.

use super::{
    cursor::Cursor,
    declare::{MOST, Read, Sound, Tried, choice, form, keys},
    node::{Kind, Node},
    supply::{HeatedBy, SupplyPoint, no_point},
    types::{TubeName, cited},
    values::{Amps, Count, Farads, Of, Ohms, Signed, StatedOhms, Text, TypeName, Volts},
};
use crate::{
    catalogue::{Catalogue, LampKind, LampType, Matched, TubeType},
    quantity::{Capacitance, Current, Resistance, Sign, Voltage, pattern},
};

keys! {
    /// Where an electrode is fed from
    pub struct Feed {
        /// Supply point
        from: SupplyPoint,
        /// Series resistance; none if absent
        through: Option<StatedOhms>,
        /// Capacitor from the electrode to chassis; counts only with `through`
        bypass: Option<Farads>,
    }
}

form! {
    /// Where an electrode is fed from: a supply point, or a block of keys
    FeedForm -> Feed: SupplyPoint | Feed,
    |at| match at.kind() {
        Kind::Text => Some(Feed { from: SupplyPoint::read(at)?, through: None, bypass: None }),
        _ => Feed::read(at),
    }
}

/// What the control grid stands at.
#[derive(Debug, Clone)]
pub enum Grid {
    /// A divider tap (its average).
    Tap(String),
    /// A fixed voltage against chassis.
    Fixed(Voltage),
    /// Chassis, through the grid resistor.
    Chassis,
    /// Chassis, through a resistor of this value.
    Leak(Resistance),
}

form! {
    /// What a control grid stands at, or the resistor from it to chassis
    GridForm -> Grid: GridAt | GridLeak,
    |at| match at.kind() {
        Kind::Map => GridLeak::read(at),
        _ => GridAt::read(at),
    }
}

form! {
    /// A tap (its average), a supply point such as `chassis`, a voltage against chassis
    // what begins as a number is volts, or a tap, which has a point
    GridAt -> Grid = {
        "type": "string",
        "examples": ["chassis", "-3 V"],
        "pattern": format!(r"{}|^\s*[^-+\u2212.0-9\s]|\.", pattern::<Voltage>(Sign::Any))
    },
    |at| match at.text()?.trim() {
        "chassis" => Some(Grid::Chassis),
        point if at.said().has_point(point) => Some(Grid::Tap(point.to_owned())),
        volts if volts.starts_with(|c: char| c.is_ascii_digit() || "-−+.".contains(c)) => {
            Of::<Voltage, Signed>::read(at).map(Grid::Fixed)
        }
        other => no_point(at, other),
    }
}

keys! {
    /// A grid with no bias but what its own current leaves
    pub struct GridLeak {
        /// Resistance from the grid to chassis; where nothing is written and grid and cathode are at chassis, 10 MΩ, but for
        /// output tubes
        leak: Ohms,
    }
    => Grid: |keys, _| Some(Grid::Leak(keys.leak));
}

/// How the cathode returns to chassis.
#[derive(Debug, Clone, Copy)]
pub enum Cathode {
    /// Directly.
    Chassis,
    /// Through a resistor.
    Resistor {
        /// Its value.
        value: Resistance,
        /// Bypass capacitor.
        bypass: Option<Capacitance>,
    },
}

form! {
    /// How a cathode returns to chassis: `chassis`, a resistance, or a block of keys
    CathodeForm -> Cathode: Chassis | Ohms | CathodeKeys,
    |at| match at.node() {
        Node::Scalar(text) if text == "chassis" => Some(Cathode::Chassis),
        Node::Scalar(_) => {
            Some(Cathode::Resistor { value: Ohms::read(at)?, bypass: None })
        }
        _ => CathodeKeys::read(at),
    }
}

choice! {
    /// The chassis
    Chassis -> () {
        /// Straight to chassis
        "chassis" => (),
    }
    "is not chassis"
}

keys! {
    /// A cathode resistor
    pub struct CathodeKeys as "Cathode" {
        /// Its resistance
        resistor: StatedOhms,
        /// Its bypass capacitor; none if absent
        bypass: Option<Farads>,
    }
    => Cathode: |keys, _| Some(Cathode::Resistor { value: keys.resistor, bypass: keys.bypass });
}

/// A tube in its socket.
#[derive(Debug, Clone)]
pub struct TubeUse {
    /// Name on reports: type and, when given, its duty.
    pub label: String,
    /// The type's data.
    pub kind: TubeType,
    /// How the type name was found; `None` for a type defined in the profile.
    pub matched: Option<Matched>,
    /// How many such tubes share the connections.
    pub count: u32,
    /// Plate feed.
    pub plate: Option<Feed>,
    /// Screen feed.
    pub screen: Option<Feed>,
    /// Grid.
    pub grid: Option<Grid>,
    /// Cathode.
    pub cathode: Option<Cathode>,
    /// Heater winding, or branch of a heater string, if stated.
    pub heater: Option<String>,
    /// Resistor beside the heater, in a heater string.
    pub heater_shunt: Option<Resistance>,
    /// Whether it works in push-pull, if stated.
    pub push_pull: Option<bool>,
    /// Load of a push-pull stage from plate to plate, if stated.
    pub load: Option<Resistance>,
}

form! {
    /// The tubes of a set, the rectifier excepted
    Tubes -> Vec<TubeUse>: inline [TubeForm] { "minItems": 1, "maxItems": 40 },
    |at| {
        let list = at.list()?;
        if list.is_empty() || list.len() > MOST {
            return at.refuse(
                "a set has 1 to 40 tubes",
                "list them without the rectifier, such as `- { type: 6F6, plate: B+ }`",
            );
        }
        let uses: Vec<_> = list.iter().map(TubeForm::read).collect();
        without_partner(&list, &uses);
        Some(uses.into_iter().flatten().collect())
    }
}

form! {
    /// A tube: its type alone, or a block of keys that says how it is connected
    TubeForm -> TubeUse: TypeName | Tube,
    |at| match at.kind() {
        Kind::Text => {
            let kind = Some(TubeName::read(at)?);
            tube(Tube { kind, count: 1, ..Tube::default() }, at)
        }
        _ => Tube::read(at),
    }
}

keys! {
    /// A tube in its socket
    pub struct Tube [Default] {
        /// Type of the catalogue or of `types`
        kind "type": Tried<TubeName>,
        /// What it does, shown beside the type; absent: the type alone
        duty: Option<Text>,
        /// 1 to 8 tubes that share all connections, the cathode resistor too; 1 if absent
        count: Count<8>,
        /// Resistance between the plate's supply point and the plate; needs `plate`; none if absent
        through: Option<StatedOhms>,
        /// Where the plate is fed from; absent: B+, of an output tube of a `heater_string` set without a coil in its filter the
        /// reservoir; an output tube through 300 Ω, a triode through 250 kΩ (mu of 50 and more) or 50 kΩ
        plate: Option<FeedForm>,
        /// Where the screen is fed from; absent: B+, through what gives the published screen volts if they are below 90 % of the
        /// published plate volts, or of the line where a `heater_string` set has no more
        screen: Option<FeedForm>,
        /// What the control grid stands at, a voltage against chassis such as `-3 V`, or `{ leak: 10 MΩ }`: chassis through that
        /// resistor; absent: chassis if the cathode is given, otherwise self-bias
        grid: Option<GridForm>,
        /// How the cathode returns to chassis; absent: `chassis` if the grid is given, otherwise the resistor that gives
        /// the published bias
        cathode: Option<CathodeForm>,
        /// Heater winding; absent: the winding whose volts fit within 12 %. In a heater string its branch; absent: in series
        /// with all
        heater: Option<HeatedBy>,
        /// Resistor beside the heater of each, in a heater string; none if absent
        heater_shunt: Option<StatedOhms>,
        /// How the tubes share their work; absent: two output tubes of a type, in one row or two, are in push-pull; all others
        /// are not
        stage: Sound<Stage>,
        /// Load of a push-pull stage from plate to plate; absent: pentodes 1.5 times published plate volts over plate amperes of
        /// one tube, triodes 4 times the plate resistance
        load: Sound<Ohms>,
    }
    wanted &["type", "plate", "screen", "grid", "cathode"];
    => TubeUse: tube;
}

choice! {
    /// How the tubes of a stage share their work
    Stage -> bool {
        /// Each the whole signal, several in parallel
        "single-ended" => false,
        /// In opposition
        "push-pull" => true,
    }
    "is no kind of stage", "write `push-pull` or `single-ended`"
}

fn tube(keys: Tube, at: &Cursor<'_>) -> Option<TubeUse> {
    if let (Some(through), None) = (at.get("through"), at.get("plate")) {
        through.fail_key("`through` needs a `plate:`", "add `plate: B+`");
    }
    if let (Some(shunt), false) = (at.get("heater_shunt"), at.said().on_the_line) {
        shunt.fail_key(
            "only a heater of a `heater_string` has a resistor beside it",
            "leave it out: heaters on a winding get its voltage whatever they take",
        );
    }
    if let (Some(load), Some(false)) = (at.get("load"), keys.stage) {
        load.fail_key(
            "`load` is that of a push-pull stage, from plate to plate",
            "leave it out, or write `stage: push-pull`",
        );
    }
    let (kind, matched) = keys.kind?;
    let duty = keys.duty.map_or_else(String::new, |duty| format!(" {duty}"));
    let through = keys.through;
    Some(TubeUse {
        label: format!("{}{duty}", kind.name),
        kind,
        matched,
        count: keys.count,
        plate: keys.plate.map(|feed| Feed { through: through.or(feed.through), ..feed }),
        screen: keys.screen,
        grid: keys.grid,
        cathode: keys.cathode,
        heater: keys.heater,
        heater_shunt: keys.heater_shunt,
        push_pull: keys.stage,
        load: keys.load,
    })
}

/// Refuses what belongs to a push-pull stage where a tube has no partner: neither beside it nor in another row.
fn without_partner(list: &[Cursor<'_>], uses: &[Option<TubeUse>]) {
    let odd = |u: &&TubeUse| u.count * u32::from(u.kind.sections) % 2 == 1;
    for (item, one) in list.iter().zip(uses) {
        let Some(one) = one else { continue };
        let same = uses.iter().flatten().filter(|u| u.kind.points == one.kind.points);
        let told = one.load.is_some() || one.push_pull == Some(true);
        if told && odd(&one) && same.filter(odd).count() != 2 {
            item.fail(
                "a push-pull stage needs two tubes",
                "write `count: 2`, or leave out `stage` and `load`",
            );
        }
    }
}

choice! {
    /// Places of a lamp in a heater string
    pub enum LampPlace {
        /// Across the tapped part of the rectifier's heater
        Tap = "tap",
        /// In series with the heaters
        String = "string",
        /// Across a section of the ballast
        Ballast = "ballast",
        /// Across a part of the resistance cord
        Cord = "cord",
        /// Across a section of the dropper's resistor
        Dropper = "dropper",
    }
    "is no place for a lamp",
    "write `tap` (across the tapped part of the rectifier's heater), `string` (in series with the heaters), `ballast`, `cord` or `dropper` (across a section of that)"
}

/// Dial lamps of one type.
#[derive(Debug, Clone)]
pub struct LampUse {
    /// Place in a heater string.
    pub across: Option<LampPlace>,
    /// Resistor beside it.
    pub shunt: Option<Resistance>,
    /// The type's data.
    pub kind: LampType,
    /// How many in parallel.
    pub count: u32,
    /// Winding that feeds them, or their branch of a heater string, if stated.
    pub fed_by: Option<String>,
}

keys! {
    /// Dial lamps of one type
    pub struct Lamp {
        /// Lamp of the catalogue, in quotes if it begins with `#`; any name once `volts` and `current` are given
        kind "type": TypeName,
        /// 1 to 20 in parallel; 1 if absent
        count: Count<20>,
        /// Volts, instead of the catalogue's
        volts: Option<Volts>,
        /// Current at those volts, instead of the catalogue's
        current: Option<Amps>,
        /// Heater winding that feeds them, or their branch of a heater string; absent: the first winding, not named `rectifier`,
        /// within 25 % of the lamp's volts; in a string as `across` says
        fed_by: Option<HeatedBy>,
        /// Where they are connected in a set with a `heater_string`; `string` if absent
        across: Sound<LampPlace>,
        /// Resistor beside them, none if absent; of `ballast`, `cord` and `dropper` the section they lie across, the lamp's volts
        /// over the current it leaves if absent
        shunt: Option<Ohms>,
    }
    wanted &["type", "count", "fed_by"];
    => LampUse: lamp;
}

fn lamp(keys: Lamp, at: &Cursor<'_>) -> Option<LampUse> {
    let on_the_line = at.said().on_the_line;
    if let (Some(across), false) = (at.get("across"), on_the_line) {
        across.fail_key(
            "only the lamp of a set with a `heater_string` is wired across something",
            "name its winding with `fed_by:`",
        );
    }
    if keys.across.is_some_and(|place| place != LampPlace::String) && at.find("fed_by").is_some() {
        at.below("across").fail_key(
            "a lamp lies across something, or in series with the heaters of a branch",
            "leave out `across` or `fed_by`",
        );
    }
    // a lamp of any name will do once both its figures are given
    let own_figures = at.find("volts").is_some() && at.find("current").is_some();
    let (volts, amps) = (keys.volts, keys.current);
    let kind = match Catalogue::built_in().lamp(&keys.kind) {
        Ok(found) => LampType {
            volts: volts.unwrap_or(found.item.volts),
            amps: amps.unwrap_or(found.item.amps),
            ..found.item.clone()
        },
        Err(_) if own_figures => own_lamp(Text::read(&at.below("type"))?, volts?, amps?),
        Err(error) => return at.below("type").refuse(error.found(), error.advice()),
    };
    Some(LampUse {
        across: keys.across.or(on_the_line.then_some(LampPlace::String)),
        shunt: keys.shunt,
        kind,
        count: keys.count,
        fed_by: keys.fed_by,
    })
}

/// A lamp that the profile gives the figures of.
fn own_lamp(name: String, volts: Voltage, amps: Current) -> LampType {
    LampType {
        kind: LampKind::Dial,
        name,
        volts,
        amps,
        watts: volts * amps,
        citation: cited(None),
        ..LampType::default()
    }
}
