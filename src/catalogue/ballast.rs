//! Ballast tubes by the trade's numbering, barretters, resistance cords.
//!
//! A ballast tube is resistance wire in a can or bulb; its number says what it drops. Only iron wire in hydrogen, a
//! barretter, holds its current, and only within its range.

use super::{
    CatalogueError, Citation, Confidence,
    cells::{Row, Tabled, rows},
};
use std::sync::LazyLock;

const BALLASTS_CSV: &str = include_str!("data/ballasts.csv");
const COLUMNS: &[&str] = &[
    "kind",
    "designation",
    "amps",
    "volts",
    "volts_most",
    "ohm",
    "watts",
    "source",
    "confidence",
    "note",
];

/// Current by which ballasts are numbered, A (restorers' pages on the industry code, three of which agree).
pub const BALLAST_AMPS: f64 = 0.3;
/// Volts that a ballast's number may state: those on sale were of 20 to some 100 V, to others it is another type's.
const CODED_V: std::ops::RangeInclusive<u32> = 10..=130;

/// What drops volts in a heater string, as printed on it.
#[derive(Debug, Clone, PartialEq)]
pub enum BallastKind {
    /// Resistance wire in a can or bulb.
    Wire {
        /// Volts it drops at [`BALLAST_AMPS`], its lamp section with the lamp included.
        volts: f64,
        /// The lamp that one section of it is made for.
        lamp: Option<BallastLamp>,
    },
    /// Iron wire in hydrogen: it holds its current from the first to the second of these volts.
    Barretter {
        /// RMS volts between which it holds.
        holds: (f64, f64),
    },
    /// Resistance wire in a line cord.
    Cord {
        /// Its resistance, Ω.
        ohms: f64,
    },
}

/// The lamp of a ballast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BallastLamp {
    /// Letter of the code.
    pub letter: char,
    /// Voltage of the lamp.
    pub volts: f64,
    /// Current of the lamp, A.
    pub amps: f64,
}

impl BallastLamp {
    /// Resistance of the section beside the lamp, Ω: the volts of the lamp over what it leaves of the current.
    pub fn section_ohms(self) -> f64 {
        self.volts / (BALLAST_AMPS - self.amps)
    }
}

/// A ballast tube, barretter or resistance cord.
#[derive(Debug, Clone, PartialEq)]
pub struct BallastType {
    /// Name.
    pub name: String,
    /// What it is, with its figures.
    pub kind: BallastKind,
    /// Current it is made for, A.
    pub amps: f64,
    /// Source of the figures.
    pub citation: Citation,
    /// Remark; empty when there is none.
    pub note: String,
}

impl BallastType {
    /// Its resistance with the lamp lit, Ω; `None` for a barretter.
    pub fn ohms(&self) -> Option<f64> {
        match self.kind {
            BallastKind::Wire { volts, .. } => Some(volts / self.amps),
            BallastKind::Barretter { .. } => None,
            BallastKind::Cord { ohms } => Some(ohms),
        }
    }
}

/// A row of the table: a lamp of the code, or a type.
enum Printed {
    Lamp(BallastLamp),
    Type(BallastType),
}

fn printed(row: &Row<'_>) -> Result<Printed, CatalogueError> {
    let (name, amps): (String, f64) = (row.get("designation")?, row.get("amps")?);
    let bad = |wanted| row.bad("designation", wanted);
    let kind = match row.text("kind")? {
        "lamp" => {
            let letter = name.chars().next().ok_or_else(|| bad("a letter"))?;
            return Ok(Printed::Lamp(BallastLamp { letter, volts: row.get("volts")?, amps }));
        }
        "ballast" => {
            let volts = name.parse().map_err(|_| bad("the voltage it drops"))?;
            BallastKind::Wire { volts, lamp: None }
        }
        "barretter" => {
            BallastKind::Barretter { holds: (row.get("volts")?, row.get("volts_most")?) }
        }
        "cord" => BallastKind::Cord { ohms: row.get("ohm")? },
        _ => return Err(row.bad("kind", "lamp, ballast, barretter or cord")),
    };
    let (citation, note) = (Citation::read(row)?, row.text("note")?.to_owned());
    Ok(Printed::Type(BallastType { name, kind, amps, citation, note }))
}

static TABLE: LazyLock<(Vec<BallastType>, Vec<BallastLamp>)> = LazyLock::new(|| {
    let (mut types, mut lamps) = (Vec::new(), Vec::new());
    rows("ballasts.csv", BALLASTS_CSV, COLUMNS, |row| {
        match printed(row)? {
            Printed::Lamp(lamp) => lamps.push(lamp),
            Printed::Type(one) => types.push(one),
        }
        Ok(())
    })
    .expect("a test proves that the built-in tables load");
    (types, lamps)
});

/// Common ballasts without a lamp, barretters, cords, in the order of the table.
pub fn ballasts() -> &'static [BallastType] {
    &TABLE.0
}

/// Lamps of the code.
pub fn ballast_lamps() -> &'static [BallastLamp] {
    &TABLE.1
}

fn plain(name: &str) -> String {
    let kept = name.chars().filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_'));
    kept.flat_map(char::to_uppercase).collect()
}

/// The barretter of that name.
pub fn barretter(asked: &str) -> Option<&'static BallastType> {
    let is = |t: &&BallastType| matches!(t.kind, BallastKind::Barretter { .. });
    ballasts().iter().filter(is).find(|t| plain(&t.name) == plain(asked))
}

/// The ballast tube that a printed code means: `K49`, `BK55B`, `L49C`, `KX42D`.
///
/// In order: a B that is often left out, the letter of the lamp (none: no lamp), an X for four pins that may be left out,
/// the whole volts dropped at 0.3 A with the lamp, and letters for the wiring of the base.
pub fn ballast_by_code(asked: &str) -> Option<BallastType> {
    let key = plain(asked);
    let rest = key.strip_prefix('B').unwrap_or(&key);
    let lamp = ballast_lamps().iter().find(|lamp| rest.starts_with(lamp.letter));
    let rest = if lamp.is_some() { &rest[1..] } else { rest };
    let rest = rest.strip_prefix('X').unwrap_or(rest);
    let digits = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
    let (number, wiring) = rest.split_at(digits);
    let volts = number.parse::<u32>().ok().filter(|v| CODED_V.contains(v))?;
    // A to H and J tell the wiring, a second J or figure a jumper, G a glass bulb
    let wired = |c: char| matches!(c, 'A'..='H' | 'J');
    let known = match wiring.chars().next() {
        None => true,
        Some(first) => wired(first) && wiring.len() <= 3 && wiring.is_ascii(),
    };
    known.then(|| BallastType {
        name: asked.trim().to_owned(),
        kind: BallastKind::Wire { volts: f64::from(volts), lamp: lamp.copied() },
        amps: BALLAST_AMPS,
        citation: Citation {
            source: "restorers' pages on the industry code, three of which agree".to_owned(),
            confidence: Confidence::High,
        },
        note: "the letter behind the number tells the wiring of the base: read it off the set's circuit, or measure".to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read() {
        assert_eq!(ballasts().len() + ballast_lamps().len(), BALLASTS_CSV.lines().count() - 1);
        for row in ballasts() {
            assert!(!row.citation.source.is_empty() && row.amps > 0.0, "{row:?}");
            if let BallastKind::Barretter { holds: (from, to) } = row.kind {
                assert!(from < to && to < 4.0 * from, "{row:?}");
            }
        }
    }

    /// Ohms as restorers' pages on the code print them: 55 V 183.3 Ω, 49 V 163.3 Ω, 42 V 140 Ω; the section beside a lamp of
    /// 6.3 V and 0.15 A takes the other 0.15 A: 42 Ω, and by hand 126 Ω beside 0.25 A, 63 Ω beside 0.2 A.
    #[test]
    fn a_code_tells_volts_and_lamp() {
        for (code, ohms, section) in [
            ("K49", 163.3, Some(42.0)),
            ("BK55B", 183.3, Some(42.0)),
            ("L49C", 163.3, Some(126.0)),
            ("BM-42-D", 140.0, Some(63.0)),
            ("KX55BG", 183.3, Some(42.0)),
            ("49", 163.3, None),
            ("55a", 183.3, None),
        ] {
            let found = ballast_by_code(code).unwrap();
            assert!((found.ohms().unwrap() - ohms).abs() < 0.05, "{code}");
            let BallastKind::Wire { lamp, .. } = found.kind else { panic!("{code}") };
            let got = lamp.map(BallastLamp::section_ohms);
            assert_eq!(got.is_some(), section.is_some(), "{code}");
            assert!((got.unwrap_or(0.0) - section.unwrap_or(0.0)).abs() < 0.05, "{code}");
        }
        for code in ["", "K", "KL49", "K5", "6K7", "K490", "49Z", "304", "KT66", "B"] {
            assert!(ballast_by_code(code).is_none(), "{code}");
        }
        assert_eq!(
            barretter(" c1 ").unwrap().kind,
            BallastKind::Barretter { holds: (80.0, 200.0) }
        );
        assert!(barretter("K49").is_none());
    }
}
