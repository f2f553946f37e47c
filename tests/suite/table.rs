//! Rows of the verification table: what a figure should be, by whom, and what the program gives.

use std::fmt::Write as _;

/// How far `got` may be from `expected`.
#[derive(Clone, Copy)]
pub enum Allowed {
    /// A share of the expected figure (0.001 is 0.1 %).
    Share(f64),
    /// An amount in the figure's own unit.
    Amount(f64),
    /// The figure is an error and only has a ceiling, which stands in `expected`.
    Ceiling,
    /// Shown but not judged: the source itself does not bear it.
    NotJudged,
}

/// One figure against its source.
pub struct Row {
    pub check: String,
    pub source: String,
    pub unit: &'static str,
    pub expected: f64,
    pub got: f64,
    pub allowed: Allowed,
}

impl Row {
    pub fn new(
        check: impl Into<String>,
        source: impl Into<String>,
        unit: &'static str,
        expected: f64,
        got: f64,
        allowed: Allowed,
    ) -> Row {
        Row { check: check.into(), source: source.into(), unit, expected, got, allowed }
    }

    /// The largest relative difference among `pairs` of expected and got, in per cent, against a ceiling.
    /// A pair that is not a number counts as an infinite difference.
    pub fn worst_of(
        check: impl Into<String>,
        source: impl Into<String>,
        ceiling: f64,
        pairs: impl IntoIterator<Item = (f64, f64)>,
    ) -> Row {
        let worst = pairs
            .into_iter()
            .map(|(expected, got)| 100.0 * (got / expected - 1.0).abs())
            .map(|miss| if miss.is_nan() { f64::INFINITY } else { miss })
            .reduce(f64::max)
            .unwrap_or(f64::INFINITY);
        Row::new(check, source, "%", ceiling, worst, Allowed::Ceiling)
    }

    pub fn holds(&self) -> bool {
        let miss = (self.got - self.expected).abs();
        match self.allowed {
            Allowed::Share(share) => miss <= share * self.expected.abs(),
            Allowed::Amount(amount) => miss <= amount,
            Allowed::Ceiling => self.got <= self.expected,
            Allowed::NotJudged => self.got.is_finite(),
        }
    }

    fn cells(&self) -> [String; 6] {
        let unit = |text: String| {
            if self.unit.is_empty() { text } else { format!("{text} {}", self.unit) }
        };
        let share = || percent(100.0 * (self.got / self.expected - 1.0));
        let (expected, got, difference, allowed) = match self.allowed {
            Allowed::Ceiling => {
                // far below the ceiling the digits are rounding noise, which differs between machines
                let got = if self.got < 1e-2 * self.expected {
                    format!("below {}", digits(1e-2 * self.expected))
                } else {
                    rounded(self.got, 2)
                };
                (
                    unit(format!("at most {}", digits(self.expected))),
                    unit(got),
                    String::new(),
                    String::new(),
                )
            }
            Allowed::Share(limit) => (
                unit(digits(self.expected)),
                unit(digits(self.got)),
                share(),
                format!("{} %", digits(100.0 * limit)),
            ),
            Allowed::Amount(limit) => (
                unit(digits(self.expected)),
                unit(digits(self.got)),
                unit(fixed(self.got - self.expected, limit)),
                unit(digits(limit)),
            ),
            Allowed::NotJudged => (
                unit(digits(self.expected)),
                unit(digits(self.got)),
                share(),
                "not judged".to_owned(),
            ),
        };
        [self.check.clone(), self.source.clone(), expected, got, difference, allowed]
    }
}

/// Checks of one kind.
pub struct Group {
    pub title: &'static str,
    pub about: &'static str,
    pub rows: Vec<Row>,
}

impl Group {
    /// Fails with every row that does not hold.
    pub fn assert(&self) {
        assert!(!self.rows.is_empty(), "{}: nothing was checked", self.title);
        let bad: Vec<String> = self
            .rows
            .iter()
            .filter(|row| !row.holds())
            .map(|row| {
                let [check, source, expected, got, difference, allowed] = row.cells();
                format!("{check}: {expected} by {source}, got {got}, off by {difference}, allowed {allowed}")
            })
            .collect();
        assert!(bad.is_empty(), "{}:\n{}", self.title, bad.join("\n"));
    }

    /// The group as a Markdown section.
    pub fn markdown(&self) -> String {
        let mut text = format!("## {}\n\n{}\n\n", self.title, self.about);
        text.push_str("| check | source | expected | got | difference | allowed |\n");
        text.push_str("|---|---|---:|---:|---:|---:|\n");
        for row in &self.rows {
            let _ = writeln!(text, "| {} |", row.cells().join(" | "));
        }
        text
    }
}

/// Five significant digits, trailing zeros kept off.
pub fn digits(value: f64) -> String {
    rounded(value, 5)
}

fn rounded(value: f64, significant: i32) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let magnitude = value.abs().log10().floor() as i32;
    if !(-4..=7).contains(&magnitude) {
        return format!("{value:.0e}");
    }
    let places = usize::try_from((significant - 1 - magnitude).max(0)).unwrap_or(0);
    let text = format!("{value:.places$}");
    if text.contains('.') {
        let text = text.trim_end_matches('0').trim_end_matches('.');
        return text.to_owned();
    }
    text
}

/// A difference in per cent with three places, signed.
fn percent(value: f64) -> String {
    let text = format!("{value:+.3}");
    if text.trim_start_matches(['+', '-']) == "0.000" {
        return "0.000 %".to_owned();
    }
    format!("{text} %")
}

/// A difference to a hundredth of what is allowed, signed; less is noise.
fn fixed(value: f64, limit: f64) -> String {
    let places = if limit > 0.0 {
        usize::try_from((2.0 - limit.log10().floor()).max(0.0) as i64).unwrap_or(0)
    } else {
        0
    };
    let text = format!("{value:+.places$}");
    if text.chars().all(|c| !('1'..='9').contains(&c)) {
        return "0".to_owned();
    }
    text
}

#[test]
fn a_row_holds_only_within_what_is_allowed() {
    let row = |got, allowed| Row::new("", "", "V", 100.0, got, allowed).holds();
    assert!(row(100.9, Allowed::Share(0.01)) && !row(101.1, Allowed::Share(0.01)));
    assert!(row(99.1, Allowed::Amount(1.0)) && !row(98.9, Allowed::Amount(1.0)));
    assert!(row(99.0, Allowed::Ceiling) && !row(101.0, Allowed::Ceiling));
    for allowed in
        [Allowed::Share(0.01), Allowed::Amount(1.0), Allowed::Ceiling, Allowed::NotJudged]
    {
        assert!(!row(f64::NAN, allowed), "a figure that is not a number never holds");
    }
}

#[test]
fn five_digits_are_shown() {
    let cases = [
        (270.0561, "270.06"),
        (0.2410999, "0.2411"),
        (-81.016_74, "-81.017"),
        (1160.0, "1160"),
        (0.00393, "0.00393"),
        (123_456.0, "123456"),
    ];
    for (value, text) in cases {
        assert_eq!(digits(value), text);
    }
}
