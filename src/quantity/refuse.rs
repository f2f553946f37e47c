//! Finding out what is wrong with a text that is not the quantity wanted.

use super::QuantityError;
use super::kinds::{ALL, Kind};
use super::letter_code;
use super::number::{Written, take_digits};
use super::parse::Reading;
use super::spelling::{look_up, same_but_for_case};

/// Words that say more than the unit does.
const QUALIFIERS: &[&str] =
    &["a.c.", "d.c.", "r.m.s.", "rms", "peak", "p-p", "ac", "dc", "pk", "pp", "~", "="];

impl Reading<'_> {
    pub(super) fn refuse_letter(&self, number: &Written<'_>, mark: char) -> QuantityError {
        let name = self.kind.name;
        let example = self.kind.example;
        let found = self.found.to_owned();
        // Small m is a capacitor's letter, but beside a resistor it is a slip
        // for M or for milliohms, and nobody can tell which.
        let slip = self.kind.is_resistance() && mark == 'm';
        let other = ALL.iter().find(|kind| letter_code::power(kind.letters, mark).is_some());
        match other {
            Some(other) if !self.kind.letters.is_empty() && !slip => {
                QuantityError::WrongQuantity { found, is: other.name, name, example, hint: None }
            }
            _ if slip => QuantityError::UnknownUnit {
                found,
                unit: mark.to_string(),
                name,
                example,
                hint: Some(format!("{}M{}", number.whole, number.fraction)),
            },
            _ => QuantityError::LetterCode { found, letter: mark, name, example },
        }
    }

    pub(super) fn refuse_separators(
        &self,
        number: &Written<'_>,
        rest: &str,
    ) -> Result<(), QuantityError> {
        let Some(mark) = rest.chars().next() else {
            return Ok(());
        };
        let after = rest.get(mark.len_utf8()..).unwrap_or("");
        let (digits, _) = take_digits(after);
        if digits.is_empty() {
            return Ok(());
        }
        let found = self.found.to_owned();
        let may_be_thousands =
            digits.len() == 3 && number.is_whole() && !number.whole.starts_with('0');
        match mark {
            '.' => Err(self.two_points()),
            ',' if !may_be_thousands => Err(QuantityError::DecimalComma {
                instead: self.if_readable(self.found.replace(',', ".")),
                found,
            }),
            ',' | '\'' | '’' | '_' => Err(self.separator(mark)),
            ' ' if may_be_thousands => Err(self.separator(mark)),
            ' ' => Err(self.two_numbers()),
            _ => Ok(()),
        }
    }

    fn separator(&self, mark: char) -> QuantityError {
        let chars: Vec<char> = self.found.chars().collect();
        let digit_at = |index: usize| chars.get(index).is_some_and(char::is_ascii_digit);
        let closed: String = chars
            .iter()
            .enumerate()
            .filter(|&(at, &found)| {
                let between = at > 0 && digit_at(at - 1) && digit_at(at + 1);
                found != mark || !between
            })
            .map(|(_, &found)| found)
            .collect();
        QuantityError::Separator { found: self.found.to_owned(), instead: self.if_readable(closed) }
    }

    /// `text` if it would be read, and the stock example if not: a hint that is
    /// itself refused helps nobody.
    fn if_readable(&self, text: String) -> String {
        let again = Reading { found: &text, kind: self.kind };
        // Neither rewriting leaves the mark it was called for, so this ends.
        if again.value().is_ok() { text } else { self.kind.example.to_owned() }
    }

    /// Says why `unit`, with spaces in front of it as in `rest`, is not right.
    pub(super) fn refuse_unit(&self, rest: &str, unit: &str) -> QuantityError {
        let (name, example) = (self.kind.name, self.kind.example);
        let found = self.found.to_owned();
        let number = self.before(rest);
        let hint = self.meant(unit).map(|right| format!("{number} {right}"));
        let lower = unit.trim_end_matches('.').to_lowercase();
        if self.kind.is_capacitance() && (lower == "mf" || lower == "m") {
            return QuantityError::OldFarad {
                found,
                unit: unit.to_owned(),
                microfarad: format!("{number} µF"),
                mfd: format!("{number} mfd"),
            };
        }
        if self.kind.is_power() && lower == "va" {
            return QuantityError::ApparentPower { found, example };
        }
        if let Some(other) = other_kind(unit) {
            return QuantityError::WrongQuantity { found, is: other.name, name, example, hint };
        }
        if let Some((plain, extra)) = split_qualifier(unit) {
            if look_up(self.kind.spellings, plain).is_some() {
                return QuantityError::Qualified {
                    found,
                    extra: extra.to_owned(),
                    plain: format!("{number} {plain}"),
                };
            }
            if let Some(other) = other_kind(plain) {
                return QuantityError::WrongQuantity {
                    found,
                    is: other.name,
                    name,
                    example,
                    hint: None,
                };
            }
        }
        if unit.bytes().any(|byte| byte.is_ascii_digit()) {
            return self.two_numbers();
        }
        if let Some((good, extra)) = self.split_trailing(unit) {
            return QuantityError::Trailing {
                found,
                extra: extra.to_owned(),
                instead: format!("{number} {good}"),
            };
        }
        QuantityError::UnknownUnit { found, unit: unit.to_owned(), name, example, hint }
    }

    /// The unit probably meant by `unit`.
    fn meant(&self, unit: &str) -> Option<String> {
        let misread = self.kind.misread.iter().find(|(wrong, _)| *wrong == unit);
        if let Some((_, right)) = misread {
            return Some((*right).to_owned());
        }
        // A prefix with nothing behind it: "330k" for a voltage.
        let main = self.kind.spellings.first()?;
        let whole = format!("{unit}{}", main.text);
        if !unit.is_empty() && look_up(&[*main], &whole).is_some() {
            return Some(whole);
        }
        same_but_for_case(self.kind.spellings, unit)
    }

    /// Splits `unit` after the longest part that is a unit of this kind, if
    /// what follows does not run on as the same word.
    fn split_trailing<'u>(&self, unit: &'u str) -> Option<(&'u str, &'u str)> {
        unit.char_indices()
            .rev()
            .filter(|(_, next)| !next.is_alphanumeric())
            .map(|(at, _)| unit.split_at(at))
            .find(|(good, _)| look_up(self.kind.spellings, good).is_some())
            .map(|(good, extra)| (good, extra.trim()))
    }

    /// What was found, less its ending `rest`.
    pub(super) fn before(&self, rest: &str) -> String {
        let head = self.found.strip_suffix(rest).unwrap_or(self.found);
        head.trim().to_owned()
    }

    pub(super) fn two_points(&self) -> QuantityError {
        QuantityError::TwoPoints {
            found: self.found.to_owned(),
            name: self.kind.name,
            example: self.kind.example,
        }
    }

    fn two_numbers(&self) -> QuantityError {
        QuantityError::TwoNumbers {
            found: self.found.to_owned(),
            name: self.kind.name,
            example: self.kind.example,
        }
    }
}

fn other_kind(unit: &str) -> Option<&'static Kind> {
    ALL.iter().find(|kind| look_up(kind.spellings, unit).is_some())
}

/// Splits "V ac" into "V" and "ac".
fn split_qualifier(unit: &str) -> Option<(&str, &str)> {
    QUALIFIERS.iter().find_map(|qualifier| {
        let at = unit.len().checked_sub(qualifier.len())?;
        let (plain, extra) = (unit.get(..at)?, unit.get(at..)?);
        extra.eq_ignore_ascii_case(qualifier).then_some((plain.trim(), extra))
    })
}
