//! Unit symbols, unit words and the prefixes they may carry.

/// A decimal prefix.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Prefix {
    /// Symbols; the first is the right one, the rest are read as if it stood there.
    pub symbols: &'static [&'static str],
    /// Spelled-out forms, read in any case, before a spelled-out unit only.
    pub words: &'static [&'static str],
    /// Power of ten.
    pub power: i32,
}

pub(super) const PICO: Prefix = prefix(&["p"], &["pico"], -12);
pub(super) const NANO: Prefix = prefix(&["n"], &["nano"], -9);
pub(super) const MICRO: Prefix = prefix(&["µ", "u"], &["micro"], -6);
pub(super) const MILLI: Prefix = prefix(&["m"], &["milli"], -3);
// Capital K cannot be anything but kilo in front of a unit, so it is let pass.
pub(super) const KILO: Prefix = prefix(&["k", "K"], &["kilo"], 3);
pub(super) const MEGA: Prefix = prefix(&["M"], &["mega", "meg"], 6);
pub(super) const GIGA: Prefix = prefix(&["G"], &["giga"], 9);

const fn prefix(
    symbols: &'static [&'static str],
    words: &'static [&'static str],
    power: i32,
) -> Prefix {
    Prefix { symbols, words, power }
}

/// Size of a written unit against the SI unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Scale {
    /// A power of ten. Applied to the decimal text, so it costs no rounding.
    Ten(i32),
    /// A plain factor, such as 60 for a minute.
    Times(f64),
    /// Degrees Celsius, as a point on the scale.
    Celsius,
    /// Degrees Fahrenheit, as a point on the scale.
    Fahrenheit,
}

/// One way of writing a unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spelling {
    /// The text, without prefix.
    pub text: &'static str,
    /// Whether it is a word (any case, optional plural "s" and full stop) and
    /// not a symbol, whose case matters.
    pub is_word: bool,
    /// Prefixes it may carry.
    pub prefixes: &'static [Prefix],
    /// Its size.
    pub scale: Scale,
}

/// A symbol, read exactly as written.
pub(super) const fn symbol(
    text: &'static str,
    scale: Scale,
    prefixes: &'static [Prefix],
) -> Spelling {
    Spelling { text, is_word: false, prefixes, scale }
}

/// A word, read in any case.
pub(super) const fn word(
    text: &'static str,
    scale: Scale,
    prefixes: &'static [Prefix],
) -> Spelling {
    Spelling { text, is_word: true, prefixes, scale }
}

impl Spelling {
    fn is(&self, text: &str) -> bool {
        if !self.is_word {
            return text == self.text;
        }
        let text = text.strip_suffix('.').unwrap_or(text);
        text.eq_ignore_ascii_case(self.text)
            || text
                .strip_suffix(['s', 'S'])
                .is_some_and(|singular| singular.eq_ignore_ascii_case(self.text))
    }

    /// The scale of `unit` if it is this spelling, with or without a prefix.
    fn read(&self, unit: &str) -> Option<Scale> {
        if self.is(unit) {
            return Some(self.scale);
        }
        let Scale::Ten(own) = self.scale else {
            return None;
        };
        self.prefixes
            .iter()
            .find(|prefix| self.is_with(prefix, unit))
            .map(|prefix| Scale::Ten(own + prefix.power))
    }

    fn is_with(&self, prefix: &Prefix, unit: &str) -> bool {
        let by_symbol = prefix
            .symbols
            .iter()
            .filter_map(|symbol| unit.strip_prefix(symbol))
            .any(|rest| self.is(rest));
        let by_word = self.is_word
            && prefix
                .words
                .iter()
                .filter_map(|word| strip_any_case(unit, word))
                .any(|rest| self.is(rest));
        by_symbol || by_word
    }
}

fn strip_any_case<'a>(text: &'a str, start: &str) -> Option<&'a str> {
    let head = text.get(..start.len())?;
    if head.eq_ignore_ascii_case(start) { text.get(start.len()..) } else { None }
}

/// Finds `unit` among `spellings`.
pub(super) fn look_up(spellings: &[Spelling], unit: &str) -> Option<Scale> {
    let unit = close_up(unit);
    spellings.iter().find_map(|spelling| spelling.read(&unit))
}

/// Drops the spaces that people put around a solidus, after a degree sign and
/// after a lone prefix ("k ohm"), none of which change the meaning.
fn close_up(unit: &str) -> String {
    let unit = unit.replace(" /", "/").replace("/ ", "/").replace("° ", "°");
    match unit.split_once(' ') {
        Some((first, rest)) if first.chars().count() == 1 => format!("{first}{rest}"),
        _ => unit,
    }
}

/// The right way to write `unit` if only its case is wrong.
pub(super) fn same_but_for_case(spellings: &[Spelling], unit: &str) -> Option<String> {
    let wanted = close_up(unit).to_lowercase();
    spellings
        .iter()
        .flat_map(|spelling| {
            let bare = std::iter::once(spelling.text.to_owned());
            let prefixed = spelling
                .prefixes
                .iter()
                .filter_map(|prefix| prefix.symbols.first())
                .map(|symbol| format!("{symbol}{}", spelling.text));
            bare.chain(prefixed)
        })
        .find(|right| right.to_lowercase() == wanted)
}
