//! Figures with units as they are typed: changed in size, unit, sign and writing.

use super::Dice;

/// Units that a figure may be written in, each with what it is in the first; the words of `docs/profile.md`.
const FAMILIES: [&[(&str, f64)]; 13] = [
    &[("V", 1.0), ("mV", 1e-3), ("kV", 1e3), ("volts", 1.0), ("µV", 1e-6)],
    &[("A", 1.0), ("mA", 1e-3), ("µA", 1e-6), ("amps", 1.0)],
    &[("Ω", 1.0), ("kΩ", 1e3), ("MΩ", 1e6), ("mΩ", 1e-3), ("ohms", 1.0), ("k", 1e3), ("R", 1.0)],
    &[("F", 1.0), ("µF", 1e-6), ("nF", 1e-9), ("pF", 1e-12), ("mfd", 1e-6), ("mmfd", 1e-12)],
    &[("H", 1.0), ("mH", 1e-3), ("µH", 1e-6), ("henries", 1.0)],
    &[("W", 1.0), ("mW", 1e-3), ("kW", 1e3), ("watts", 1.0)],
    &[("Hz", 1.0), ("kHz", 1e3), ("cycles", 1.0)],
    &[("°C", 1.0), ("C", 1.0), ("°F", 1.0)],
    &[("K", 1.0), ("kelvin", 1.0)],
    &[("S", 1.0), ("mS", 1e-3), ("mA/V", 1e-3), ("µmho", 1e-6), ("µS", 1e-6)],
    &[("%", 1.0)],
    &[("ft", 1.0), ("m", 3.28)],
    &[("kΩ/V", 1.0), ("kohm/V", 1.0)],
];

/// Numbers at the ends of what is taken, and beyond.
const ENDS: [&str; 22] = [
    "0",
    "-0",
    "1e-308",
    "1e-12",
    "0.000001",
    "0.001",
    "0.01",
    "1",
    "-1",
    "19.9",
    "20",
    "100",
    "500",
    "501",
    "999.99",
    "1000",
    "10000",
    "1000000",
    "1e9",
    "1e12",
    "1e308",
    "99999999999999999999",
];

/// A figure taken apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure<'a> {
    /// Its number.
    pub number: f64,
    /// What stands behind it, without blanks before it.
    pub unit: &'a str,
}

impl Figure<'_> {
    /// Takes apart what begins with a number; `None` for words.
    pub fn of(text: &str) -> Option<Figure<'_>> {
        let text = text.trim();
        let mut before = ' ';
        let end = text.find(|c: char| {
            // an exponent, and its sign
            let power =
                c == 'e' && before.is_ascii_digit() || matches!(c, '-' | '+') && before == 'e';
            before = c;
            !(power || c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))
        });
        let (number, unit) = text.split_at(end.unwrap_or(text.len()));
        Some(Figure { number: number.parse().ok()?, unit: unit.trim() })
    }
}

/// A number as one writes it: few digits.
fn written(number: f64) -> String {
    match number.abs() {
        0.0 => "0".to_owned(),
        n if (1e-3..1e6).contains(&n) => {
            let places = (3 - n.log10().floor() as i32).clamp(0, 6) as usize;
            let text = format!("{number:.places$}");
            if text.contains('.') {
                text.trim_end_matches('0').trim_end_matches('.').to_owned()
            } else {
                text
            }
        }
        _ => format!("{number:.3e}"),
    }
}

fn family(unit: &str) -> Option<&'static [(&'static str, f64)]> {
    FAMILIES.into_iter().find(|f| f.iter().any(|(u, _)| *u == unit))
}

/// The figure some way off: from a quarter to four times, most often near.
pub fn near(text: &str, dice: &mut Dice) -> Option<String> {
    let Figure { number, unit } = Figure::of(text)?;
    let number = number * 4f64.powf(dice.turn());
    Some(format!("{} {unit}", written(number)).trim_end().to_owned())
}

/// Its number another one at the ends of what is taken.
pub fn extreme(text: &str, dice: &mut Dice) -> Option<String> {
    let Figure { unit, .. } = Figure::of(text)?;
    Some(format!("{} {unit}", dice.of(&ENDS)).trim_end().to_owned())
}

/// Its number as it is, its unit another one of its kind or of any.
pub fn unit_swapped(text: &str, dice: &mut Dice) -> Option<String> {
    let Figure { number, unit } = Figure::of(text)?;
    let own = family(unit).filter(|_| !dice.once_in(4));
    let units = own.unwrap_or_else(|| FAMILIES[dice.below(FAMILIES.len())]);
    Some(format!("{} {}", written(number), dice.of(units).0))
}

/// The same figure in another unit, or written in another way.
pub fn rewritten(text: &str, dice: &mut Dice) -> Option<String> {
    let Figure { number, unit } = Figure::of(text)?;
    let units = family(unit)?;
    let (_, own) = units.iter().find(|(u, _)| *u == unit)?;
    let (other, its) = dice.of(units);
    let plain = written(number);
    Some(match dice.below(6) {
        0 => format!("{plain}{unit}"),
        1 => format!("+{plain}  {unit}"),
        2 => format!("{:e} {unit}", number),
        3 => format!("{} {unit}", plain.replace('.', ",")),
        // the customary point of resistors and capacitors
        4 if unit == "kΩ" => plain.replacen('.', "k", 1),
        _ => format!("{} {other}", written(number * own / its)),
    })
}

/// Its sign turned.
pub fn negated(text: &str, dice: &mut Dice) -> Option<String> {
    let Figure { number, unit } = Figure::of(text)?;
    let minus = if dice.once_in(2) { "−" } else { "-" };
    let number = written(number);
    let bare = number.trim_start_matches('-');
    let sign = if number.starts_with('-') { "" } else { minus };
    Some(format!("{sign}{bare} {unit}").trim_end().to_owned())
}

#[test]
fn a_figure_is_taken_apart_and_changed() {
    assert_eq!(Figure::of("122 V"), Some(Figure { number: 122.0, unit: "V" }));
    assert_eq!(Figure::of("-16.5V"), Some(Figure { number: -16.5, unit: "V" }));
    assert_eq!(Figure::of("B+"), None);
    let mut dice = Dice::drawn(1);
    for _ in 0..50 {
        let near = near("100 Ω", &mut dice).unwrap();
        let figure = Figure::of(&near).unwrap();
        assert!((24.9..=400.1).contains(&figure.number) && figure.unit == "Ω", "{near}");
        assert!(extreme("100 Ω", &mut dice).unwrap().ends_with(" Ω"));
        assert!(
            Figure::of(&negated("3 V", &mut dice).unwrap().replace('−', "-")).unwrap().number < 0.0
        );
    }
    // the same figure, whatever its unit
    for _ in 0..50 {
        let text =
            rewritten("4.7 kΩ", &mut dice).unwrap().replace(',', ".").replace("4k7", "4.7 k");
        let Figure { number, unit } = Figure::of(text.trim().trim_start_matches('+')).unwrap();
        let units = family(unit).unwrap();
        let (_, factor) = units.iter().find(|(u, _)| *u == unit).unwrap();
        approx::assert_relative_eq!(number * factor, 4700.0, max_relative = 1e-3);
    }
}
