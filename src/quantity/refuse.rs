//! Finding out what is wrong with a text that is not the quantity wanted.

use super::{
    Capacitance, Power, Resistance,
    error::{QuantityError, Refusal},
    kind::Kind,
    kinds::ALL,
    letter_code,
    number::{Written, take_digits},
    parse::Reading,
    spelling::{look_up, same_but_for_case},
};

/// Words that say more than the unit does.
const QUALIFIERS: &[&str] =
    &["a.c.", "d.c.", "r.m.s.", "rms", "peak", "p-p", "ac", "dc", "pk", "pp", "~", "="];

impl Reading<'_> {
    /// Refuses the text.
    pub fn refused(&self, why: Refusal) -> QuantityError {
        let Kind { name, example, .. } = *self.kind;
        QuantityError { found: self.found.to_owned(), name, example, why }
    }

    pub fn refuse_letter(&self, number: &Written<'_>, mark: char) -> QuantityError {
        // Small m is a capacitor's letter, but beside a resistor it is a slip
        // for M or for milliohms, and nobody can tell which.
        if self.kind.is::<Resistance>() && mark == 'm' {
            let hint = Some(format!("{}M{}", number.whole, number.fraction));
            return self.refused(Refusal::UnknownUnit { unit: mark.to_string(), hint });
        }
        let other = ALL.iter().find(|kind| letter_code::power(kind.letters, mark).is_some());
        self.refused(match other.filter(|_| !self.kind.letters.is_empty()) {
            Some(other) => Refusal::WrongQuantity { is: other.name, hint: None },
            None => Refusal::LetterCode(mark),
        })
    }

    pub fn refuse_separators(&self, number: &Written<'_>, rest: &str) -> Result<(), QuantityError> {
        let mut after = rest.chars();
        let Some(mark) = after.next() else { return Ok(()) };
        let digits = take_digits(after.as_str()).0.len();
        let may_be_thousands = digits == 3 && number.is_whole() && !number.whole.starts_with('0');
        let why = match mark {
            _ if digits == 0 => return Ok(()),
            '.' => Refusal::TwoPoints,
            ',' if !may_be_thousands => {
                Refusal::DecimalComma { instead: self.if_readable(self.found.replace(',', ".")) }
            }
            ',' | '\'' | '’' | '_' => self.separator(mark),
            ' ' if may_be_thousands => self.separator(mark),
            ' ' => Refusal::TwoNumbers,
            _ => return Ok(()),
        };
        Err(self.refused(why))
    }

    fn separator(&self, mark: char) -> Refusal {
        let digit = |c: char| c.is_ascii_digit();
        let pieces = self.found.split(mark).map(str::to_owned);
        let closed = pieces.reduce(|whole, piece| {
            let between = whole.ends_with(digit) && piece.starts_with(digit);
            if between { whole + &piece } else { format!("{whole}{mark}{piece}") }
        });
        Refusal::Separator { instead: self.if_readable(closed.unwrap_or_default()) }
    }

    /// `text` if it would be read, and the stock example if not: a hint that is
    /// itself refused helps nobody.
    fn if_readable(&self, text: String) -> String {
        let again = Reading { found: &text, kind: self.kind };
        // Neither rewriting leaves the mark it was called for, so this ends.
        if again.value().is_ok() { text } else { self.kind.example.to_owned() }
    }

    /// Says why `unit`, with spaces in front of it as in `rest`, is not right.
    pub fn refuse_unit(&self, rest: &str, unit: &str) -> QuantityError {
        let number = self.before(rest);
        let hint = self.meant(unit).map(|right| format!("{number} {right}"));
        let lower = unit.trim_end_matches('.').to_lowercase();
        let is_ours = |unit: &str| look_up(self.kind.spellings, unit).is_some();
        let unit_owned = unit.to_owned();
        self.refused(if self.kind.is::<Capacitance>() && (lower == "mf" || lower == "m") {
            Refusal::OldFarad { number, unit: unit_owned }
        } else if self.kind.is::<Power>() && lower == "va" {
            Refusal::ApparentPower
        } else if let Some(other) = other_kind(unit) {
            Refusal::WrongQuantity { is: other.name, hint }
        } else if let Some((plain, extra)) = split_qualifier(unit).filter(|(p, _)| is_ours(p)) {
            Refusal::Qualified { extra: extra.to_owned(), plain: format!("{number} {plain}") }
        } else if let Some(other) = split_qualifier(unit).and_then(|(p, _)| other_kind(p)) {
            Refusal::WrongQuantity { is: other.name, hint: None }
        } else if unit.bytes().any(|byte| byte.is_ascii_digit()) {
            Refusal::TwoNumbers
        } else if let Some((good, extra)) = self.split_trailing(unit) {
            let instead = format!("{number} {good}");
            Refusal::Trailing { extra: extra.to_owned(), instead }
        } else {
            Refusal::UnknownUnit { unit: unit_owned, hint }
        })
    }

    /// The unit probably meant by `unit`.
    fn meant(&self, unit: &str) -> Option<String> {
        if let Some((_, right)) = self.kind.misread.iter().find(|(wrong, _)| *wrong == unit) {
            return Some((*right).to_owned());
        }
        // A prefix with nothing behind it: "330k" for a voltage.
        let main = self.kind.spellings.first()?;
        let whole = format!("{unit}{}", main.symbols.first()?);
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
    pub fn before(&self, rest: &str) -> String {
        let head = self.found.strip_suffix(rest).unwrap_or(self.found);
        head.trim().to_owned()
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
