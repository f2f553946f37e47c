//! Reads types defined in the profile.

use super::cursor::Cursor;
use super::document::Kind;
use super::fields::Fields;
use super::problem::quoted;
use super::read::{maybe, name};
use super::read_rectifier;
use super::read_supply::{MOST, keys_of};
use crate::catalogue::{
    Catalogue, CathodeKind, Citation, Confidence, Heating, OperatingPoint, RectifierKind,
    RectifierType, TubeClass, TubeType, Wave,
};
use crate::quantity::{Current, Sign, Voltage};

/// Types defined in the profile.
#[derive(Debug, Default)]
pub(super) struct OwnTypes {
    /// Sound tubes.
    pub tubes: Vec<TubeType>,
    /// Sound rectifiers.
    pub rectifiers: Vec<RectifierType>,
    /// Every name under `types:`, those with a fault included.
    named: Vec<String>,
}

impl OwnTypes {
    /// Whether a type of that name is defined, well or not.
    pub fn is_named(&self, name: &str) -> bool {
        self.named.iter().any(|own| own == name)
    }
}

/// Types defined under `types:`.
pub(super) fn types(cursor: &Cursor<'_>) -> OwnTypes {
    let mut own = OwnTypes { named: keys_of(cursor.node()), ..OwnTypes::default() };
    for (title, entry) in cursor.entries().unwrap_or_default().into_iter().take(MOST) {
        if entry.kind() == Kind::Map && is_rectifier(&entry) {
            own.rectifiers.extend(rectifier(&title, &entry));
        } else {
            own.tubes.extend(tube(&title, &entry));
        }
    }
    own
}

/// Keys that only a rectifier has.
const OF_RECTIFIERS: [&str; 10] = [
    "wave",
    "heating",
    "lamp_tap",
    "drop",
    "drop_at",
    "max_peak_inverse",
    "max_peak_plate_current",
    "max_dc_current",
    "max_ac_capacitor_input",
    "max_first_capacitor",
];

/// A type is a rectifier if it says what only rectifiers have, or is based on one that is no tube as well.
fn is_rectifier(entry: &Cursor<'_>) -> bool {
    let keys = entry.entries().unwrap_or_default();
    let based_on = keys.iter().find(|(key, at)| key == "based_on" && at.kind() == Kind::Text);
    let all = Catalogue::built_in();
    keys.iter().any(|(key, _)| OF_RECTIFIERS.contains(&key.as_str()))
        || based_on
            .and_then(|(_, at)| at.text())
            .is_some_and(|name| all.tube(name).is_err() && all.rectifier(name).is_ok())
}

fn source(fields: &Fields<'_>) -> Citation {
    let source = fields.optional("source").and_then(|c| name(&c));
    Citation {
        source: source.unwrap_or_else(|| "the profile".to_owned()),
        confidence: Confidence::Own,
    }
}

/// One of a few words.
fn word<T: Copy>(cursor: &Cursor<'_>, what: &str, words: &[(T, &str)]) -> Option<T> {
    let text = cursor.text()?;
    let found = words.iter().find(|(_, word)| *word == text).map(|(value, _)| *value);
    if found.is_none() {
        let list: Vec<&str> = words.iter().map(|(_, word)| *word).collect();
        cursor.fail(
            &format!("{} is not {what}", quoted(text)),
            Some(&format!("write one of: {}", list.join(", "))),
        );
    }
    found
}

fn tube(title: &str, entry: &Cursor<'_>) -> Option<TubeType> {
    let fields = entry.map_with(&["based_on", "heater_volts", "heater_current", "plate"])?;
    let based_at = fields.optional("based_on");
    let based = based_at.as_ref().and_then(|c| {
        let text = c.text()?;
        match Catalogue::built_in().tube(text) {
            Ok(found) => Some(found.item.clone()),
            Err(error) => {
                c.fail(&error.found(), Some(&error.advice()));
                None
            }
        }
    });
    let fresh = based_at.is_none();
    let class_at = fields.optional("class");
    let class = class_at.as_ref().and_then(|c| word(c, "a class of tube", &TubeClass::ALL));
    let heater_volts = maybe(&fields, "heater_volts", Sign::Positive);
    let heater_amps = maybe(&fields, "heater_current", Sign::Positive);
    let plate = maybe::<Voltage>(&fields, "plate", Sign::Positive);
    let screen = maybe::<Voltage>(&fields, "screen", Sign::Positive);
    let grid = maybe::<Voltage>(&fields, "grid", Sign::Any);
    let plate_current = maybe(&fields, "plate_current", Sign::Positive);
    let screen_current = maybe(&fields, "screen_current", Sign::Positive);
    let transconductance = maybe(&fields, "transconductance", Sign::Positive);
    let mu = fields.optional("mu").and_then(|c| factor(&c));
    let max_plate_watts = maybe(&fields, "max_plate_power", Sign::Positive);
    let max_plate_volts = maybe(&fields, "max_plate", Sign::Positive);
    let max_screen_volts = maybe(&fields, "max_screen", Sign::Positive);
    let max_screen_watts = maybe(&fields, "max_screen_power", Sign::Positive);
    let citation = source(&fields);
    fields.finish();
    if !fresh && based.is_none() {
        return None;
    }
    let mut kind = match based {
        Some(kind) => kind,
        None => {
            let (Some(heater_volts), Some(heater_amps)) = (heater_volts, heater_amps) else {
                entry.fail(
                    "a type of its own needs its heater",
                    Some("add `heater_volts: 6.3 V` and `heater_current: 300 mA`, or `based_on: 6K7`"),
                );
                return None;
            };
            let class = class.unwrap_or(match screen {
                Some(_) => TubeClass::Pentode,
                None => TubeClass::Triode,
            });
            TubeType {
                name: title.to_owned(),
                aliases: Vec::new(),
                heater_volts,
                heater_amps,
                cathode: CathodeKind::Heater,
                heater_tapped: false,
                class,
                sections: class.sections(),
                points: vec![blank_point(&citation)],
                max_plate_volts: None,
                max_screen_volts: None,
                max_plate_watts: None,
                max_screen_watts: None,
                max_heater_cathode_volts: None,
                triode_mu: None,
                note: String::new(),
                citation: citation.clone(),
            }
        }
    };
    kind = kind.called(title);
    kind.citation = citation.clone();
    kind.heater_volts = heater_volts.unwrap_or(kind.heater_volts);
    kind.heater_amps = heater_amps.unwrap_or(kind.heater_amps);
    if let Some(class) = class.filter(|class| *class != kind.class) {
        (kind.class, kind.sections) = (class, class.sections());
    }
    kind.max_plate_watts = max_plate_watts.or(kind.max_plate_watts);
    kind.max_plate_volts = max_plate_volts.or(kind.max_plate_volts);
    kind.max_screen_volts = max_screen_volts.or(kind.max_screen_volts);
    kind.max_screen_watts = max_screen_watts.or(kind.max_screen_watts);
    let mut point = kind.points.first().cloned().unwrap_or_else(|| blank_point(&citation));
    point.plate = plate.or(point.plate);
    point.screen = screen.or(point.screen);
    point.grid = grid.or(point.grid);
    point.plate_current = plate_current.or(point.plate_current);
    point.screen_current = screen_current.or(point.screen_current);
    point.transconductance = transconductance.or(point.transconductance);
    point.mu = mu.or(point.mu);
    point.citation = citation;
    kind.points = vec![point];
    Some(kind)
}

fn blank_point(citation: &Citation) -> OperatingPoint {
    OperatingPoint {
        plate: None,
        screen: None,
        grid: None,
        plate_current: None,
        screen_current: None,
        extra_current: None,
        transconductance: None,
        mu: None,
        plate_resistance: None,
        triode_mu: None,
        derived_mu12: None,
        derived_offset: None,
        citation: citation.clone(),
        note: String::new(),
    }
}

fn factor(cursor: &Cursor<'_>) -> Option<f64> {
    let text = cursor.text()?;
    let value = text.parse::<f64>().ok().filter(|v| v.is_finite() && *v > 0.5 && *v < 5000.0);
    if value.is_none() {
        cursor.fail(
            &format!("{} is not an amplification factor", quoted(text)),
            Some("write a plain number, such as 20"),
        );
    }
    value
}

/// A rectifier: a type of the catalogue with other figures, or one of its own.
fn rectifier(title: &str, entry: &Cursor<'_>) -> Option<RectifierType> {
    const WAVES: [(Wave, &str); 3] =
        [(Wave::Full, "full"), (Wave::Half, "half"), (Wave::TwoHalf, "two-half")];
    const HEATINGS: [(Heating, &str); 2] =
        [(Heating::Direct, "direct"), (Heating::Indirect, "indirect")];
    let fields =
        entry.map_with(&["based_on", "heater_volts", "heater_current", "heating", "wave"])?;
    let based_at = fields.optional("based_on");
    let based =
        based_at.as_ref().map(|c| Some(read_rectifier::type_of(c, &OwnTypes::default())?.0));
    let heater_volts = maybe(&fields, "heater_volts", Sign::Positive);
    let heater_amps = maybe(&fields, "heater_current", Sign::Positive);
    let heating_at = fields.optional("heating");
    let heating = heating_at.as_ref().map(|c| word(c, "a way of heating", &HEATINGS));
    let wave_at = fields.optional("wave");
    let wave = wave_at.as_ref().map(|c| word(c, "a make of rectifier", &WAVES));
    let drop = read_rectifier::drop(&fields);
    let volts = |key| maybe::<Voltage>(&fields, key, Sign::Positive);
    let lamp_tap = volts("lamp_tap");
    let max_peak_inverse = volts("max_peak_inverse");
    let max_ac = volts("max_ac_capacitor_input");
    let max_peak = maybe::<Current>(&fields, "max_peak_plate_current", Sign::Positive);
    let max_dc = maybe::<Current>(&fields, "max_dc_current", Sign::Positive);
    let max_capacitor = maybe(&fields, "max_first_capacitor", Sign::Positive);
    let citation = source(&fields);
    fields.finish();
    let mut kind = match based {
        Some(kind) => kind?,
        None => {
            let (Some(filament_volts), Some(filament_amps), Some(heating), Some(wave)) =
                (heater_volts, heater_amps, heating, wave)
            else {
                entry.fail(
                    "a rectifier of its own needs its heater and its make",
                    Some("add `heater_volts: 4 V`, `heater_current: 1 A`, `heating: direct` (or `indirect`) and `wave: full` (or `half`, `two-half`), or `based_on: 5Y3GT`"),
                );
                return None;
            };
            RectifierType {
                name: title.to_owned(),
                aliases: Vec::new(),
                filament_volts,
                filament_amps,
                heating: heating?,
                lamp_tap: None,
                wave: wave?,
                drop: None,
                kind: RectifierKind::Vacuum,
                max_peak_inverse: None,
                max_peak_plate_current: None,
                max_dc_current: None,
                max_ac_volts_capacitor_input: None,
                max_ac_volts_choke_input: None,
                min_supply_resistance: None,
                min_choke: None,
                max_input_capacitor: None,
                max_heater_cathode_volts: None,
                note: String::new(),
                citation: citation.clone(),
            }
        }
    };
    if kind.kind.is_dry()
        && let Some(at) = heating_at.or(wave_at)
    {
        at.fail_key(
            "a dry rectifier has no heater, and as many diodes as its circuit asks for",
            Some("leave the line out"),
        );
        return None;
    }
    kind = read_rectifier::with_drop(kind.called(title), drop?, entry)?;
    kind.filament_volts = heater_volts.unwrap_or(kind.filament_volts);
    kind.filament_amps = heater_amps.unwrap_or(kind.filament_amps);
    kind.heating = heating.map_or(Some(kind.heating), |h| h)?;
    kind.wave = wave.map_or(Some(kind.wave), |w| w)?;
    kind.lamp_tap = lamp_tap.or(kind.lamp_tap);
    kind.max_peak_inverse = max_peak_inverse.or(kind.max_peak_inverse);
    kind.max_peak_plate_current = max_peak.or(kind.max_peak_plate_current);
    kind.max_dc_current = max_dc.or(kind.max_dc_current);
    kind.max_ac_volts_capacitor_input = max_ac.or(kind.max_ac_volts_capacitor_input);
    kind.max_input_capacitor = max_capacitor.or(kind.max_input_capacitor);
    kind.citation = citation;
    Some(kind)
}
