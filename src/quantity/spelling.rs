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

pub const PICO: Prefix = prefix(&["p"], &["pico"], -12);
pub const NANO: Prefix = prefix(&["n"], &["nano"], -9);
pub const MICRO: Prefix = prefix(&["µ", "u"], &["micro"], -6);
pub const MILLI: Prefix = prefix(&["m"], &["milli"], -3);
// Capital K cannot be anything but kilo in front of a unit, so it is let pass.
pub const KILO: Prefix = prefix(&["k", "K"], &["kilo"], 3);
pub const MEGA: Prefix = prefix(&["M"], &["mega", "meg"], 6);
pub const GIGA: Prefix = prefix(&["G"], &["giga"], 9);

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

/// Ways of writing one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spelling {
    /// Symbols, without prefix, whose case matters.
    pub symbols: &'static [&'static str],
    /// Words, without prefix, read in any case, with a plural "s" and a full stop if there is one.
    pub words: &'static [&'static str],
    /// Prefixes they may carry.
    pub prefixes: &'static [Prefix],
    /// Its size.
    pub scale: Scale,
}

/// A unit of that size, by its prefixes, its symbols and its words.
pub const fn spelled(
    scale: Scale,
    prefixes: &'static [Prefix],
    symbols: &'static [&'static str],
    words: &'static [&'static str],
) -> Spelling {
    Spelling { symbols, words, prefixes, scale }
}

impl Spelling {
    /// Every symbol and word, and whether it is a word.
    pub fn texts(&self) -> impl Iterator<Item = (&'static str, bool)> + use<> {
        let symbols = self.symbols.iter().map(|text| (*text, false));
        symbols.chain(self.words.iter().map(|text| (*text, true)))
    }

    /// The scale of `unit` if it is spelled so, with or without a prefix.
    fn read(&self, unit: &str) -> Option<Scale> {
        self.texts().find_map(|(text, is_word)| {
            if is(text, is_word, unit) {
                return Some(self.scale);
            }
            let Scale::Ten(own) = self.scale else { return None };
            let carried = |prefix: &&Prefix| {
                let by_symbol = prefix.symbols.iter().filter_map(|s| unit.strip_prefix(s));
                let by_word = prefix.words.iter().filter_map(|w| strip_any_case(unit, w));
                by_symbol.chain(by_word.filter(|_| is_word)).any(|rest| is(text, is_word, rest))
            };
            self.prefixes.iter().find(carried).map(|prefix| Scale::Ten(own + prefix.power))
        })
    }
}

/// Whether `unit` is that symbol or that word.
fn is(text: &str, is_word: bool, unit: &str) -> bool {
    if !is_word {
        return unit == text;
    }
    let unit = unit.strip_suffix('.').unwrap_or(unit);
    let singular = unit.strip_suffix(['s', 'S']);
    singular.into_iter().chain([unit]).any(|unit| unit.eq_ignore_ascii_case(text))
}

fn strip_any_case<'a>(text: &'a str, start: &str) -> Option<&'a str> {
    let (head, rest) = text.split_at_checked(start.len())?;
    head.eq_ignore_ascii_case(start).then_some(rest)
}

/// Finds `unit` among `spellings`.
pub fn look_up(spellings: &[Spelling], unit: &str) -> Option<Scale> {
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
pub fn same_but_for_case(spellings: &[Spelling], unit: &str) -> Option<String> {
    let wanted = close_up(unit).to_lowercase();
    let mut forms = spellings.iter().flat_map(|spelling| {
        let symbols = spelling.prefixes.iter().filter_map(|prefix| prefix.symbols.first());
        let prefixes = std::iter::once(&"").chain(symbols);
        let texts = spelling.texts();
        texts.flat_map(move |(text, _)| prefixes.clone().map(move |p| format!("{p}{text}")))
    });
    forms.find(|right| right.to_lowercase() == wanted)
}
