//! What a written quantity looks like, for schemas: as near to the reader as a pattern can be, which does not reckon.

use super::{
    Capacitance, Sign,
    kind::Quantity,
    spelling::{Prefix, Scale, Spelling},
};

/// Blanks, and the characters without width that the reader passes over.
const BLANK: &str = r"[\s\u200b\u2060]*";
/// Decimal points: that of today, and the raised one.
const POINT: &str = "[.\u{b7}]";
/// A power of ten behind the figures.
const POWER: &str = r"(?:[eE][-+\u2212]?[0-9]+)?";

/// A regular expression (ECMA-262) that matches every text [`super::parse`] takes for this quantity with this sign: a
/// number and one of the quantity's units with its prefixes, or a letter code.
///
/// It leaves out blanks within a word, which the reader passes over, and takes a few texts that the reader refuses: of
/// numbers that no `f64` holds, and of temperatures whose sign is another in °C than as written.
pub fn pattern<Q: Quantity>(sign: Sign) -> String {
    pattern_before::<Q>(sign, "")
}

/// Like [`pattern`], with an expression for what follows the quantity.
pub fn pattern_before<Q: Quantity>(sign: Sign, after: &str) -> String {
    let mut units: Vec<String> = Q::KIND.spellings.iter().flat_map(spelled).collect();
    units.dedup();
    let mut code = String::new();
    if !Q::KIND.letters.is_empty() {
        let marks = |left_out| {
            let letters = Q::KIND.letters.iter().map(|(letter, _)| *letter);
            any_of(letters.filter(|letter| Some(*letter) != left_out))
        };
        // a lone "m" is not taken for a millifarad
        units.push(marks(Q::KIND.is::<Capacitance>().then_some('m')));
        let coded = signed(sign, |figures| figures.around(&marks(None)));
        let own = Q::KIND.spellings.iter().filter(|spelling| spelling.scale == Scale::Ten(0));
        let own = own.flat_map(Spelling::texts).map(unit).collect::<Vec<_>>().join("|");
        code = format!("|{coded}(?:{BLANK}(?:{own}))?");
    }
    let number = signed(sign, |figures| format!("{}|{}", figures.whole(), figures.around(POINT)));
    let units = units.join("|");
    format!("^{BLANK}(?:{number}{POWER}{BLANK}(?:{units}){code}){BLANK}{after}$")
}

/// Which numbers some figures may stand for.
#[derive(Clone, Copy)]
enum Figures {
    Any,
    Zero,
    AboveZero,
}

impl Figures {
    /// Figures alone.
    fn whole(self) -> &'static str {
        match self {
            Figures::Any => "[0-9]+",
            Figures::Zero => "0+",
            Figures::AboveZero => "0*[1-9][0-9]*",
        }
    }

    /// Figures with a mark between them or before them.
    fn around(self, mark: &str) -> String {
        match self {
            Figures::Any => format!("[0-9]*{mark}[0-9]+"),
            Figures::Zero => format!("0*{mark}0+"),
            Figures::AboveZero => {
                format!("0*[1-9][0-9]*{mark}[0-9]+|[0-9]*{mark}0*[1-9][0-9]*")
            }
        }
    }
}

/// Figures with the signs that may stand before them: nothing is below zero with a minus.
fn signed(sign: Sign, written: impl Fn(Figures) -> String) -> String {
    match sign {
        Sign::Any => format!(r"[-+\u2212]?(?:{})", written(Figures::Any)),
        Sign::NonNegative => {
            let (any, zero) = (written(Figures::Any), written(Figures::Zero));
            format!(r"(?:\+?(?:{any})|[-\u2212](?:{zero}))")
        }
        Sign::Positive => format!(r"\+?(?:{})", written(Figures::AboveZero)),
    }
}

/// A unit in each of its spellings, with its prefixes.
fn spelled(spelling: &Spelling) -> impl Iterator<Item = String> + use<> {
    let prefixes = spelling.prefixes;
    spelling
        .texts()
        .map(move |(text, is_word)| prefixed(prefixes, is_word) + &unit((text, is_word)))
}

/// The prefixes that a symbol may carry, or a word.
fn prefixed(prefixes: &[Prefix], is_word: bool) -> String {
    let symbols = prefixes.iter().flat_map(|prefix| prefix.symbols);
    let symbols = any_of(symbols.flat_map(|symbol| symbol.chars()));
    let words = prefixes.iter().flat_map(|prefix| prefix.words).map(|word| in_any_case(word));
    let words = words.filter(|_| is_word).fold(String::new(), |all, word| all + "|" + &word);
    if prefixes.is_empty() { String::new() } else { format!(r"(?:{symbols}\s*{words})?") }
}

/// One of some characters.
fn any_of(characters: impl Iterator<Item = char>) -> String {
    let characters: String = characters.collect();
    format!("[{}]", characters.replace('µ', r"µ\u03bc"))
}

/// A symbol or a word as it may be written.
fn unit((text, is_word): (&str, bool)) -> String {
    if is_word { in_any_case(text) + r"[Ss]?\.?" } else { as_it_is(text) }
}

fn in_any_case(word: &str) -> String {
    let cases = |c: char| match c {
        c if c.is_ascii_alphabetic() => {
            format!("[{}{}]", c.to_ascii_uppercase(), c.to_ascii_lowercase())
        }
        c => as_it_is(c.encode_utf8(&mut [0; 4])),
    };
    word.chars().map(cases).collect()
}

/// A text with what looks like its characters.
fn as_it_is(text: &str) -> String {
    let alike = [
        ("Ω", r"[Ω\u2126]"),
        ("µ", r"[µ\u03bc]"),
        ("°C", r"(?:[°\u00ba]\s*C|\u2103)"),
        ("°F", r"(?:[°\u00ba]\s*F|\u2109)"),
        (" ", r"\s+"),
        ("/", r"\s*/\s*"),
    ];
    alike.iter().fold(text.to_owned(), |text, (plain, all)| text.replace(plain, all))
}
