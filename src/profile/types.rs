//! Types of tubes and rectifiers: those of the catalogue by name, and those that a profile defines.

use super::{
    cursor::Cursor,
    declare::{Sound, choice, form, keys, one_word, reads},
    node::Kind,
    problem::quoted,
    values::{Amps, Farads, Of, Plain, Signed, Text, TypeName, Volts, Watts},
};
use crate::{
    catalogue::{
        Catalogue, Citation, Confidence, DropBasis, Heating, Matched, Named, OperatingPoint,
        RectifierDrop, RectifierKind, RectifierType, TableKind, TubeClass, TubeType, Wave,
    },
    quantity::{Current, Transconductance, Voltage},
};

/// A type, and how the catalogue knew its name; `None` for a type of the profile's own.
pub type Typed<T> = (T, Option<Matched>);

form! {
    /// Name of a rectifier
    RectifierName -> Typed<RectifierType> as TypeName,
    |at| {
        let (text, said) = (at.text()?, at.said());
        if let Some(own) = said.rectifiers.iter().find(|own| own.name == text) {
            return Some((own.clone(), None));
        }
        if said.tubes.iter().any(|own| own.name == text) {
            return at.refuse(
                format!("{text} is a tube under `types:`, not a rectifier"),
                "add `wave: full` (or `half`, `two-half`) there for a rectifier",
            );
        }
        said.no_own_type(text)?;
        of_catalogue(at, text)
    }
}

/// A rectifier of the catalogue.
fn of_catalogue(at: &Cursor<'_>, text: &str) -> Option<Typed<RectifierType>> {
    match Catalogue::built_in().rectifier(text) {
        Ok(found) => Some((found.named(), Some(found.matched))),
        Err(error) => at.refuse(error.found(), error.advice()),
    }
}

form! {
    /// Name of a tube
    TubeName -> Typed<TubeType> as TypeName,
    |at| {
        let (text, said) = (at.text()?, at.said());
        let leave_out = |name: &str| {
            format!("leave it out here and write `rectifier: {{ type: {} }}`", quoted(name))
        };
        if let Some(own) = said.tubes.iter().find(|own| own.name == text) {
            return Some((own.clone(), None));
        }
        if said.rectifiers.iter().any(|own| own.name == text) {
            return at.refuse(format!("{} is a rectifier", quoted(text)), leave_out(text));
        }
        said.no_own_type(text)?;
        let error = match Catalogue::built_in().tube(text) {
            Ok(found) => return Some((found.named(), Some(found.matched))),
            Err(error) => error,
        };
        let rectifier = error.elsewhere.iter().find(|(kind, _)| *kind == TableKind::Rectifier);
        let advice = match rectifier {
            Some((_, name)) => format!("{name} is a rectifier: {}", leave_out(name)),
            None => error.advice(),
        };
        at.refuse(error.found(), advice)
    }
}

/// A drop as written: its volts, and their current.
pub type WrittenDrop = (Option<Voltage>, Option<Current>);

/// Whether `drop` and `drop_at` stand together in a mapping; else that is reported.
pub fn is_whole(at: &Cursor<'_>) -> Option<()> {
    match (at.get("drop_at"), at.find("drop")) {
        (Some(current), None) => {
            current.refuse("a current alone is no drop", "add `drop: 50 V` beside it")
        }
        _ => Some(()),
    }
}

/// A type with the drop that is written, if one is.
pub fn with_drop(
    mut kind: RectifierType,
    (drop, at_current): WrittenDrop,
    at: &Cursor<'_>,
) -> Option<RectifierType> {
    let Some(volts) = drop else {
        return Some(kind);
    };
    if at_current.is_none() && kind.drop.is_none() {
        return at.refuse(
            "a drop needs the current it was read at",
            "add `drop_at: 125 mA` (per plate)",
        );
    }
    // a stack of more plates drops more, and bears more
    if kind.kind == RectifierKind::Selenium
        && let Some(one) = &kind.drop
    {
        let plates = volts / one.volts;
        for most in [&mut kind.max_peak_inverse, &mut kind.max_ac_volts_capacitor_input] {
            *most = most.map(|v| v * plates);
        }
    }
    let before = kind.drop.as_ref().and_then(|d| d.at_current_per_plate);
    let at_current_per_plate = at_current.or(before);
    kind.drop =
        Some(RectifierDrop { volts, at_current_per_plate, bounds: None, basis: DropBasis::Stated });
    Some(kind)
}

/// A type of the profile's own, by its name.
pub struct OwnType;

reads!(OwnType => String, "OwnType", |at| {
    if at.kind() == Kind::Map && is_rectifier(at) {
        let own = OwnRectifier::read(at)?;
        at.say(|said| said.rectifiers.push(own));
    } else {
        let own = OwnTube::read(at)?;
        at.say(|said| said.tubes.push(own));
    }
    Some(at.key()?.to_owned())
}, |defs| {
    let mut schema = OwnTube::shape(defs);
    for (key, value) in OwnRectifier::shape(defs)["properties"].as_object().into_iter().flatten() {
        schema["properties"][key] = value.clone();
    }
    schema["description"] = "A tube or rectifier type of your own; a rectifier if `based_on` is one, or if a key that only rectifiers have is there".into();
    schema
});

/// A type is a rectifier if it says what only rectifiers have, or is based on one that is no tube as well.
fn is_rectifier(at: &Cursor<'_>) -> bool {
    let based_on = at.find("based_on").filter(|at| at.kind() == Kind::Text);
    let all = Catalogue::built_in();
    let mut only = OwnRectifier::KEYS.iter().filter(|key| !OwnTube::KEYS.contains(key));
    only.any(|key| at.find(key).is_some())
        || based_on
            .and_then(|at| at.text())
            .is_some_and(|name| all.tube(name).is_err() && all.rectifier(name).is_ok())
}

/// Where the figures of a type of one's own come from.
pub fn cited(source: Option<String>) -> Citation {
    let source = source.unwrap_or_else(|| "the profile".to_owned());
    Citation { source, confidence: Confidence::Own }
}

/// Puts what is given in the place of what was there.
fn over<T: Copy, const N: usize>(given: [(&mut Option<T>, Option<T>); N]) {
    for (there, given) in given {
        *there = given.or(*there);
    }
}

keys! {
    /// A tube type of your own
    pub struct OwnTube {
        /// Type of the catalogue whose figures hold where none is given; absent: a type of its own
        based_on: Sound<BasedOn>,
        /// Class of tube, such as `pentode`, `triode`, `beam`, `pentagrid`; `twin-triode` with the figures of each half, `triode`
        /// with those of both together. Absent: that of `based_on`, else `pentode` with a screen, `triode` without
        class: Option<ClassName>,
        /// Rated heater volts; absent: those of `based_on`; required without it
        heater_volts: Option<Volts>,
        /// Rated heater current; absent: that of `based_on`; required without it
        heater_current: Option<Amps>,
        /// Plate voltage at the published point; absent: that of `based_on`
        plate: Option<Volts>,
        /// Screen voltage at the published point; absent: that of `based_on`
        screen: Option<Volts>,
        /// Grid voltage at the published point, negative; absent: that of `based_on`
        grid: Option<Of<Voltage, Signed>>,
        /// Plate current of the published point; absent: that of `based_on`
        plate_current: Option<Amps>,
        /// Screen current of the published point; absent: that of `based_on`
        screen_current: Option<Amps>,
        /// Transconductance, grid to plate; absent: that of `based_on`
        transconductance: Option<Of<Transconductance>>,
        /// Amplification factor, 0.5 to 5000; needed for triodes; absent: that of `based_on`
        mu: Option<Mu>,
        /// Highest plate dissipation; absent: that of `based_on`, else not judged
        max_plate_power: Option<Watts>,
        /// Highest plate volts; absent: that of `based_on`, else not judged
        max_plate: Option<Volts>,
        /// Highest screen volts; absent: that of `based_on`, else not judged
        max_screen: Option<Volts>,
        /// Highest screen dissipation; absent: that of `based_on`, else not judged
        max_screen_power: Option<Watts>,
        /// Where the figures come from; absent: "the profile"
        source: Option<Text>,
    }
    wanted &["based_on", "heater_volts", "heater_current", "plate"];
    => TubeType: own_tube;
}

fn own_tube(own: OwnTube, at: &Cursor<'_>) -> Option<TubeType> {
    let (title, citation) = (at.key()?, cited(own.source));
    let mut kind = match (own.based_on, own.heater_volts.zip(own.heater_current)) {
        (Some(kind), _) => kind,
        (None, Some(heater)) => {
            let usual = if own.screen.is_some() { TubeClass::Pentode } else { TubeClass::Triode };
            TubeType::bare(title, heater, own.class.unwrap_or(usual), citation.clone())
        }
        (None, None) => {
            return at.refuse(
                "a type of its own needs its heater",
                "add `heater_volts: 6.3 V` and `heater_current: 300 mA`, or `based_on: 6K7`",
            );
        }
    };
    kind = kind.called(title);
    kind.citation = citation.clone();
    kind.heater_volts = own.heater_volts.unwrap_or(kind.heater_volts);
    kind.heater_amps = own.heater_current.unwrap_or(kind.heater_amps);
    if let Some(class) = own.class.filter(|class| *class != kind.class) {
        (kind.class, kind.sections) = (class, class.sections());
    }
    let first = kind.points.first().cloned();
    let mut point = first.unwrap_or_else(|| OperatingPoint::blank(citation.clone()));
    over([
        (&mut kind.max_plate_watts, own.max_plate_power),
        (&mut kind.max_screen_watts, own.max_screen_power),
    ]);
    over([
        (&mut kind.max_plate_volts, own.max_plate),
        (&mut kind.max_screen_volts, own.max_screen),
        (&mut point.plate, own.plate),
        (&mut point.screen, own.screen),
        (&mut point.grid, own.grid),
    ]);
    over([
        (&mut point.plate_current, own.plate_current),
        (&mut point.screen_current, own.screen_current),
    ]);
    over([(&mut point.transconductance, own.transconductance)]);
    over([(&mut point.mu, own.mu)]);
    point.citation = citation;
    kind.points = vec![point];
    Some(kind)
}

form! {
    /// A tube of the catalogue
    BasedOn -> TubeType as TypeName,
    |at| match Catalogue::built_in().tube(at.text()?) {
        Ok(found) => Some(found.item.clone()),
        Err(error) => at.refuse(error.found(), error.advice()),
    }
}

form! {
    /// A class of tubes, in the catalogue's words
    ClassName -> TubeClass = {
        "enum": TubeClass::ALL.iter().map(|(_, word)| *word).collect::<Vec<_>>()
    },
    |at| {
        let words = TubeClass::ALL.iter().map(|(class, word)| (*word, &[] as _, *class));
        let words: Vec<_> = words.collect();
        one_word(at, &words, "is not a class of tube", None)
    }
}

form! {
    /// An amplification factor
    Mu -> f64 as Plain,
    |at| at.parsed(
        |text| text.parse().ok().filter(|mu| *mu > 0.5 && *mu < 5000.0),
        "is not an amplification factor",
        "write a plain number, such as 20",
    )
}

choice! {
    /// Diodes in the bulb
    OwnWave -> Wave {
        /// Two plates, one cathode
        "full" => Wave::Full,
        /// One plate, one cathode
        "half" => Wave::Half,
        /// Two plates, each with its cathode
        "two-half" => Wave::TwoHalf,
    }
    "is not a make of rectifier"
}

choice! {
    /// How it is heated
    OwnHeating -> Heating {
        /// The filament is the cathode
        "direct" => Heating::Direct,
        /// A heater warms a cathode
        "indirect" => Heating::Indirect,
    }
    "is not a way of heating"
}

keys! {
    /// A rectifier type of your own
    pub struct OwnRectifier {
        /// Type of the catalogue whose figures hold where none is given; absent: a type of its own
        based_on: Sound<BasedOnRectifier>,
        /// Rated heater volts; absent: those of `based_on`; required without it
        heater_volts: Option<Volts>,
        /// Rated heater current; absent: that of `based_on`; required without it
        heater_current: Option<Amps>,
        /// What a rectifier's cathode is; absent: that of `based_on`; required without it
        heating: Sound<OwnHeating>,
        /// Diodes of a rectifier; absent: those of `based_on`; required without it
        wave: Sound<OwnWave>,
        /// Volts across one plate of a rectifier; absent: that of `based_on`, else by heater watts, half to twice, listed as assumed
        drop: Option<Volts>,
        /// Current per plate of a rectifier at that drop; needed with `drop` where `based_on` has none; absent: that
        /// of `based_on`
        drop_at: Option<Amps>,
        /// Voltage of the tapped part of a rectifier's heater that feeds a dial lamp; absent: that of `based_on`, else no tap
        lamp_tap: Option<Volts>,
        /// Highest peak inverse volts of a rectifier; absent: that of `based_on`, else not judged
        max_peak_inverse: Option<Volts>,
        /// Highest RMS volts per plate of a rectifier with a capacitor first; absent: that of `based_on`, else not judged
        max_ac_capacitor_input: Option<Volts>,
        /// Highest peak current of one plate of a rectifier; absent: that of `based_on`, else not judged
        max_peak_plate_current: Option<Amps>,
        /// Highest DC output of a rectifier, of all plates; absent: that of `based_on`, else not judged
        max_dc_current: Option<Amps>,
        /// Largest first filter capacitor of a rectifier; absent: that of `based_on`, else not judged
        max_first_capacitor: Option<Farads>,
        /// Where the figures come from; absent: "the profile"
        source: Option<Text>,
    }
    wanted &["based_on", "heater_volts", "heater_current", "heating", "wave"];
    => RectifierType: own_rectifier;
}

form! {
    /// A rectifier of the catalogue
    BasedOnRectifier -> RectifierType as TypeName,
    |at| Some(of_catalogue(at, at.text()?)?.0)
}

fn own_rectifier(own: OwnRectifier, at: &Cursor<'_>) -> Option<RectifierType> {
    let (title, citation) = (at.key()?, cited(own.source));
    let whole = is_whole(at);
    let mut kind = match (own.based_on, own.heater_volts, own.heater_current, own.heating, own.wave)
    {
        (Some(kind), ..) => kind,
        (None, Some(volts), Some(amps), Some(heating), Some(wave)) => {
            RectifierType::bare(title, (volts, amps), heating, wave, citation.clone())
        }
        _ => {
            return at.refuse(
                "a rectifier of its own needs its heater and its make",
                "add `heater_volts: 4 V`, `heater_current: 1 A`, `heating: direct` (or `indirect`) and `wave: full` (or `half`, `two-half`), or `based_on: 5Y3GT`",
            );
        }
    };
    if kind.kind.is_dry()
        && let Some(make) = at.get("heating").or_else(|| at.get("wave"))
    {
        make.fail_key(
            "a dry rectifier has no heater, and as many diodes as its circuit asks for",
            "leave the line out",
        );
        return None;
    }
    whole?;
    kind = with_drop(kind.called(title), (own.drop, own.drop_at), at)?;
    kind.filament_volts = own.heater_volts.unwrap_or(kind.filament_volts);
    kind.filament_amps = own.heater_current.unwrap_or(kind.filament_amps);
    kind.heating = own.heating.unwrap_or(kind.heating);
    kind.wave = own.wave.unwrap_or(kind.wave);
    over([
        (&mut kind.lamp_tap, own.lamp_tap),
        (&mut kind.max_peak_inverse, own.max_peak_inverse),
        (&mut kind.max_ac_volts_capacitor_input, own.max_ac_capacitor_input),
    ]);
    over([
        (&mut kind.max_peak_plate_current, own.max_peak_plate_current),
        (&mut kind.max_dc_current, own.max_dc_current),
    ]);
    over([(&mut kind.max_input_capacitor, own.max_first_capacitor)]);
    kind.citation = citation;
    Some(kind)
}
