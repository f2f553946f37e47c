//! Why a text is not the quantity wanted, and what to write instead.

use std::fmt;

/// Refusal of a written quantity. Every message says what was found and what
/// would be right.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct QuantityError {
    /// The text, tidied; of a text that is too long how it begins.
    pub found: String,
    /// What was wanted.
    pub name: &'static str,
    /// A good value of what was wanted.
    pub example: &'static str,
    /// What is wrong with it.
    pub why: Refusal,
}

/// What is wrong with a written quantity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// Nothing but spaces.
    Empty,
    /// More text than any quantity needs.
    TooLong {
        /// Its length in characters.
        length: usize,
        /// The most that is read.
        limit: usize,
    },
    /// No number at the start.
    NoNumber,
    /// A number with two points, or with both a point and a code letter.
    TwoPoints,
    /// "nan", "inf" and the like.
    NotFinite,
    /// Larger or smaller than can be reckoned with.
    OutOfRange,
    /// A comma for the decimal point.
    DecimalComma {
        /// What to write.
        instead: String,
    },
    /// A thousands separator or a gap inside the number.
    Separator {
        /// What to write.
        instead: String,
    },
    /// More than one number.
    TwoNumbers,
    /// A number and nothing after it.
    NoUnit,
    /// A unit of something else.
    WrongQuantity {
        /// What its unit belongs to.
        is: &'static str,
        /// What was probably meant.
        hint: Option<String>,
    },
    /// A unit nobody knows, or one known in another case.
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// What was probably meant.
        hint: Option<String>,
    },
    /// "MF" or "mF", which an old sheet and a new one read differently.
    OldFarad {
        /// The number as written.
        number: String,
        /// The unit as written.
        unit: String,
    },
    /// A unit with "ac", "dc", "rms" or the like hung on it.
    Qualified {
        /// What was added.
        extra: String,
        /// The value without it.
        plain: String,
    },
    /// Volt-amperes where watts are wanted.
    ApparentPower,
    /// A letter in place of the decimal point where the code does not apply.
    LetterCode(char),
    /// Something after a good unit.
    Trailing {
        /// What was added.
        extra: String,
        /// What to write.
        instead: String,
    },
    /// Below zero where that has no meaning.
    Negative,
    /// Zero where that has no meaning.
    Zero,
    /// A temperature that cannot exist.
    BelowAbsoluteZero,
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let QuantityError { found, name, example, why } = self;
        let (a_name, like) = (a(name), format!("write it like {example:?}"));
        let is_like = format!("{a_name} is written like {example:?}");
        let meant = |hint: &Option<String>| match hint {
            Some(hint) => format!("if {hint:?} is meant, write that"),
            None => like.clone(),
        };
        match why {
            Refusal::Empty => write!(f, "nothing was written where {a_name} is wanted; {like}"),
            Refusal::TooLong { length, limit } => write!(
                f,
                "{found:?} and so on is {length} characters long; {a_name} is written in at most {limit}, like {example:?}"
            ),
            Refusal::NoNumber => write!(f, "{found:?} does not begin with a number; {is_like}"),
            Refusal::TwoPoints => {
                write!(f, "the number in {found:?} has more than one decimal mark; {is_like}")
            }
            Refusal::NotFinite => write!(f, "{found:?} is not a finite number; {is_like}"),
            Refusal::OutOfRange => {
                write!(f, "{found:?} is too large or too small to reckon with; {is_like}")
            }
            Refusal::DecimalComma { instead } => write!(
                f,
                "{found:?} has a comma in the number; write a decimal point, as in {instead:?}"
            ),
            Refusal::Separator { instead } => write!(
                f,
                "{found:?} has a gap or a separator inside the number; write one number without it, as in {instead:?}, and a decimal point where a fraction is meant"
            ),
            Refusal::TwoNumbers => write!(
                f,
                "{found:?} holds more than one number; write one {name} at a time, like {example:?}"
            ),
            Refusal::NoUnit => write!(f, "{found:?} has no unit; {is_like}"),
            Refusal::WrongQuantity { is, hint } => {
                write!(f, "{found:?} is {}, but {a_name} is wanted; {}", a(is), meant(hint))
            }
            Refusal::UnknownUnit { unit, hint } => {
                write!(f, "{unit:?} in {found:?} is not a unit of {name}; {}", meant(hint))
            }
            Refusal::OldFarad { number, unit } => write!(
                f,
                "{unit:?} in {found:?} may be read two ways: on old sheets it means microfarad; write \"{number} µF\" or \"{number} mfd\" (a true millifarad is 1000 µF)"
            ),
            Refusal::Qualified { extra, plain } => write!(
                f,
                "{found:?} adds {extra:?} to the unit; write plain {plain:?}, for the place it is written in already says which kind"
            ),
            Refusal::ApparentPower => write!(
                f,
                "{found:?} is an apparent power; write the power in watts, like {example:?}"
            ),
            Refusal::LetterCode(letter) => write!(
                f,
                "{found:?} has a letter in place of the decimal point, and {letter:?} there has no meaning for {a_name}; {like}"
            ),
            Refusal::Trailing { extra, instead } => write!(
                f,
                "{extra:?} after the unit in {found:?} is not understood; write only {instead:?}"
            ),
            Refusal::Negative => write!(
                f,
                "{found:?} is negative, but this {name} cannot be below zero; write it without the minus sign, like {example:?}"
            ),
            Refusal::Zero => {
                write!(f, "{found:?} is zero, but this {name} must be greater than zero; {like}")
            }
            Refusal::BelowAbsoluteZero => write!(
                f,
                "{found:?} is below absolute zero, which is -273.15 °C; a temperature is written like {example:?}"
            ),
        }
    }
}

/// The name with its indefinite article.
pub fn a(name: &str) -> String {
    let article = if name.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {name}")
}
