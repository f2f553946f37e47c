//! Why a text is not the quantity wanted, and what to write instead.

use thiserror::Error;

/// Refusal of a written quantity. Every message says what was found and what
/// would be right.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum QuantityError {
    /// Nothing but spaces.
    #[error("nothing was written where {} is wanted; write it like {example:?}", a(name))]
    Empty {
        /// What was wanted.
        name: &'static str,
        /// A good value of what was wanted.
        example: &'static str,
    },
    /// More text than any quantity needs.
    #[error(
        "{start:?} and so on is {length} characters long; {} is written in at most {limit}, like {example:?}",
        a(name)
    )]
    TooLong {
        /// How the text begins.
        start: String,
        /// Its length in characters.
        length: usize,
        /// The most that is read.
        limit: usize,
        /// What was wanted.
        name: &'static str,
        /// A good value of what was wanted.
        example: &'static str,
    },
    /// No number at the start.
    #[error("{found:?} does not begin with a number; {} is written like {example:?}", a(name))]
    NoNumber {
        /// The text, tidied.
        found: String,
        /// What was wanted.
        name: &'static str,
        /// A good value of what was wanted.
        example: &'static str,
    },
    /// A number with two points, or with both a point and a code letter.
    #[error(
        "the number in {found:?} has more than one decimal mark; {} is written like {example:?}",
        a(name)
    )]
    TwoPoints {
        /// The text, tidied.
        found: String,
        /// What was wanted.
        name: &'static str,
        /// A good value of what was wanted.
        example: &'static str,
    },
    /// "nan", "inf" and the like.
    #[error("{found:?} is not a finite number; {} is written like {example:?}", a(name))]
    NotFinite {
        /// The text, tidied.
        found: String,
        /// What was wanted.
        name: &'static str,
        /// A good value of what was wanted.
        example: &'static str,
    },
    /// Larger or smaller than can be reckoned with.
    #[error(
        "{found:?} is too large or too small to reckon with; {} is written like {example:?}",
        a(name)
    )]
    OutOfRange {
        /// The text, tidied.
        found: String,
        /// What was wanted.
        name: &'static str,
        /// A good value of what was wanted.
        example: &'static str,
    },
    /// A comma for the decimal point.
    #[error("{found:?} has a comma in the number; write a decimal point, as in {instead:?}")]
    DecimalComma {
        /// The text, tidied.
        found: String,
        /// What to write.
        instead: String,
    },
    /// A thousands separator or a gap inside the number.
    #[error(
        "{found:?} has a gap or a separator inside the number; write one number without it, as in {instead:?}, and a decimal point where a fraction is meant"
    )]
    Separator {
        /// The text, tidied.
        found: String,
        /// What to write.
        instead: String,
    },
    /// More than one number.
    #[error("{found:?} holds more than one number; write one {name} at a time, like {example:?}")]
    TwoNumbers {
        /// The text, tidied.
        found: String,
        /// What was wanted.
        name: &'static str,
        /// A good value of what was wanted.
        example: &'static str,
    },
    /// A number and nothing after it.
    #[error("{found:?} has no unit; {} is written like {example:?}", a(name))]
    NoUnit {
        /// The text, tidied.
        found: String,
        /// What was wanted.
        name: &'static str,
        /// A good value of what was wanted.
        example: &'static str,
    },
    /// A unit of something else.
    #[error("{found:?} is {}, but {} is wanted{}", a(is), a(name), meant_or_like(hint, example))]
    WrongQuantity {
        /// The text, tidied.
        found: String,
        /// What its unit belongs to.
        is: &'static str,
        /// What was wanted.
        name: &'static str,
        /// A good value of what was wanted.
        example: &'static str,
        /// What was probably meant.
        hint: Option<String>,
    },
    /// A unit nobody knows, or one known in another case.
    #[error("{unit:?} in {found:?} is not a unit of {name}{}", meant_or_like(hint, example))]
    UnknownUnit {
        /// The text, tidied.
        found: String,
        /// The unit as written.
        unit: String,
        /// What was wanted.
        name: &'static str,
        /// A good value of what was wanted.
        example: &'static str,
        /// What was probably meant.
        hint: Option<String>,
    },
    /// "MF" or "mF", which an old sheet and a new one read differently.
    #[error(
        "{unit:?} in {found:?} may be read two ways: on old sheets it means microfarad; write {microfarad:?} or {mfd:?} (a true millifarad is 1000 µF)"
    )]
    OldFarad {
        /// The text, tidied.
        found: String,
        /// The unit as written.
        unit: String,
        /// The value in today's spelling.
        microfarad: String,
        /// The value in the old spelling.
        mfd: String,
    },
    /// A unit with "ac", "dc", "rms" or the like hung on it.
    #[error(
        "{found:?} adds {extra:?} to the unit; write plain {plain:?}, for the place it is written in already says which kind"
    )]
    Qualified {
        /// The text, tidied.
        found: String,
        /// What was added.
        extra: String,
        /// The value without it.
        plain: String,
    },
    /// Volt-amperes where watts are wanted.
    #[error("{found:?} is an apparent power; write the power in watts, like {example:?}")]
    ApparentPower {
        /// The text, tidied.
        found: String,
        /// A good value of what was wanted.
        example: &'static str,
    },
    /// A letter in place of the decimal point where the code does not apply.
    #[error(
        "{found:?} has a letter in place of the decimal point, and {letter:?} there has no meaning for {}; write it like {example:?}",
        a(name)
    )]
    LetterCode {
        /// The text, tidied.
        found: String,
        /// The letter.
        letter: char,
        /// What was wanted.
        name: &'static str,
        /// A good value of what was wanted.
        example: &'static str,
    },
    /// Something after a good unit.
    #[error("{extra:?} after the unit in {found:?} is not understood; write only {instead:?}")]
    Trailing {
        /// The text, tidied.
        found: String,
        /// What was added.
        extra: String,
        /// What to write.
        instead: String,
    },
    /// Below zero where that has no meaning.
    #[error(
        "{found:?} is negative, but this {name} cannot be below zero; write it without the minus sign, like {example:?}"
    )]
    Negative {
        /// The text, tidied.
        found: String,
        /// What was wanted.
        name: &'static str,
        /// A good value of what was wanted.
        example: &'static str,
    },
    /// Zero where that has no meaning.
    #[error(
        "{found:?} is zero, but this {name} must be greater than zero; write it like {example:?}"
    )]
    Zero {
        /// The text, tidied.
        found: String,
        /// What was wanted.
        name: &'static str,
        /// A good value of what was wanted.
        example: &'static str,
    },
    /// A temperature that cannot exist.
    #[error(
        "{found:?} is below absolute zero, which is -273.15 °C; a temperature is written like {example:?}"
    )]
    BelowAbsoluteZero {
        /// The text, tidied.
        found: String,
        /// A good value of what was wanted.
        example: &'static str,
    },
}

/// The name with its indefinite article.
fn a(name: &str) -> String {
    let article = if name.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {name}")
}

fn meant_or_like(hint: &Option<String>, example: &str) -> String {
    match hint {
        Some(hint) => format!("; if {hint:?} is meant, write that"),
        None => format!("; write it like {example:?}"),
    }
}
