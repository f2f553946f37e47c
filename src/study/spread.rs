//! The numbers of a set that may be off, and what each does to every quantity: the one list behind every ±.
//!
//! Each number is moved to its limits by itself, in a coarse solution (64 steps a cycle) that starts from the set as it
//! is. Between the limits its effect is taken as a parabola, the number as rectangular, all as independent. What is
//! printed is twice the standard uncertainty about the middle (JCGM 100:2008, 4.3.7 and 6.3): 95 of 100 sound sets.

use super::{Limit, Measure, Reading, Result, What, latin_hypercube, read, settle, share};
use crate::{
    adaptation::Part,
    profile::Profile,
    receiver::{
        Assumption, Model, Operation, Parameter, Receiver, ReceiverError, Uncertain,
        stated_tolerances, uncertain,
    },
};

/// Two standard uncertainties over the limit of a rectangular distribution: 2/√3 (JCGM 100:2008, 4.3.7).
pub const TWO_U: f64 = 2.0 / 1.732_050_807_568_877_2;
/// A number that is off by no more is moved one way, and the other follows by the same power of it.
const ONE_WAY: f64 = 0.15;
/// Draws of the linear sums by which a range is found that holds all points of a set, their seed, and the share it holds.
const TOGETHER: (usize, u64, f64) = (2000, 1, 0.9);

/// Where a quantity of sound sets lies beside what is expected.
#[derive(Debug, Clone, Copy, Default)]
pub struct Off {
    /// Middle of its range less what is expected: not zero where something can be off one way only.
    pub shift: f64,
    /// Two standard uncertainties.
    pub two_u: f64,
}

impl Off {
    /// With something independent of it beside.
    pub fn beside(self, two_u: f64) -> Off {
        Off { two_u: self.two_u.hypot(two_u), ..self }
    }

    pub fn least(self) -> f64 {
        self.shift - self.two_u
    }

    pub fn most(self) -> f64 {
        self.shift + self.two_u
    }

    /// One ± that holds both ends.
    pub fn both(self) -> f64 {
        self.shift.abs() + self.two_u
    }
}

/// Effect `[a, b, c]` of a number at `t`, −1 and 1 at its limits: a + b·t + c·t².
type Effect = [f64; 3];

/// The parabola through both limits and through nothing at `stated`, the place of the stated value.
fn effect(low: f64, high: f64, stated: f64) -> Effect {
    let (slope, mean) = (0.5 * (high - low), 0.5 * (high + low));
    let curve = match 1.0 - stated * stated {
        // the stated value is a limit itself
        near if near < 1e-6 => 0.0,
        inside => (mean + slope * stated) / inside,
    };
    [mean - curve, slope, curve]
}

/// Change of `value` where a number is `to` times what is stated, from its `change` where it is `from` times that: value and
/// number go by a power of each other. None where the stated value is a limit itself.
fn mirrored(value: f64, change: f64, from: f64, to: f64) -> f64 {
    let grown = 1.0 + change / value;
    if grown > 0.0 && grown.is_finite() {
        value * (grown.powf(to.ln() / from.ln()) - 1.0)
    } else {
        -change * (to - 1.0) / (from - 1.0)
    }
}

/// What is off.
struct Row {
    /// A number of the set; `None` for one of the part.
    number: Option<Uncertain>,
    /// Its effect on each measure, then on each limit.
    effects: Vec<Effect>,
}

/// What every number does to every quantity, on one line and behind one part.
pub struct Spread {
    measures: Vec<Measure>,
    limits: Vec<Limit>,
    /// Value of each measure, then of each limit.
    values: Vec<f64>,
    rows: Vec<Row>,
}

/// Numbers of `model` that may be off: a tolerance that the profile states goes before the spread of an assumption, that
/// before the customary one; a number that is known stands still.
///
/// # Errors
/// A tolerance on a number that the set does not have.
pub fn numbers(
    profile: &Profile,
    model: &Model,
    assumed: &[Assumption],
) -> Result<Vec<Uncertain>, ReceiverError> {
    let mut list = uncertain(model, assumed);
    for (parameter, spread) in stated_tolerances(profile, model)? {
        let stated = Uncertain { parameter, spread, middle: 0.0, assumed: false, held: true };
        match list.iter_mut().find(|u| u.parameter == parameter) {
            Some(known) => *known = Uncertain { assumed: known.assumed, ..stated },
            None => list.push(stated),
        }
    }
    list.retain(|u| u.spread > 0.0 && u.parameter.value(model).is_some_and(|(v, _)| v != 0.0));
    Ok(list)
}

/// A set with a number of it at a limit.
struct Case {
    number: usize,
    /// True at the upper one.
    up: bool,
    receiver: Receiver,
}

/// A set with each of its numbers off by itself.
pub struct Moved {
    numbers: Vec<Uncertain>,
    base: Receiver,
    cases: Vec<Case>,
}

impl Moved {
    /// `receiver` with each of `numbers` at its limits; one that has no solution there is left out.
    pub fn of(receiver: &Receiver, numbers: Vec<Uncertain>) -> Moved {
        let coarse = Receiver::coarse(receiver.model().clone(), receiver);
        let base = coarse.unwrap_or_else(|_| receiver.clone());
        let mut ways = Vec::new();
        for (i, number) in numbers.iter().enumerate() {
            let (low, high) = number.limits();
            let lower = number.spread > ONE_WAY || high == 1.0;
            ways.extend((high != 1.0).then_some((i, true)));
            ways.extend((lower && low != 1.0).then_some((i, false)));
        }
        let case = |&(number, up): &(usize, bool)| {
            let n: &Uncertain = &numbers[number];
            let (low, high) = n.limits();
            let model = base.model().scaled(n.parameter, if up { high } else { low });
            let receiver = if n.has_turns_fitted() {
                Receiver::coarse(model, &base).ok()?
            } else {
                base.clone().with_parts(|m| *m = model)
            };
            Some(Case { number, up, receiver })
        };
        let cases = share::each(&ways, case).into_iter().flatten().collect();
        Moved { numbers, base, cases }
    }

    pub fn numbers(&self) -> &[Uncertain] {
        &self.numbers
    }

    /// The set as it is, solved as coarsely as the others.
    pub fn base(&self) -> &Receiver {
        &self.base
    }

    /// Numbers, the factor on each at a limit of it, and the set with it there.
    pub fn cases(&self) -> impl Iterator<Item = (&Uncertain, f64, &Receiver)> {
        self.cases.iter().map(|case| {
            let number = &self.numbers[case.number];
            let (low, high) = number.limits();
            (number, if case.up { high } else { low }, &case.receiver)
        })
    }

    /// What they do on `line` volts behind `part`, which stands as `near` does.
    ///
    /// # Errors
    /// The set has no solution there.
    pub fn spread(&self, part: &dyn Part, line: f64, near: &Operation) -> Result<Spread> {
        let solve = |receiver: &Receiver, part: &dyn Part, near: &Operation| {
            settle::by(part, near, |part, at| receiver.run_coarse(line, part, at))
        };
        let settled = solve(&self.base, part, near)?;
        let (usual, warm) = (settled.operation, settled.part);
        let part = warm.as_deref().unwrap_or(part);
        let here = read(&self.base, &usual);
        let mut spread = Spread {
            measures: Measure::all(&here),
            limits: here.limits.clone(),
            values: Vec::new(),
            rows: Vec::new(),
        };
        spread.values = spread.figures(&here).map(|value| value.unwrap_or(f64::NAN)).collect();
        let read = |receiver: &Receiver, part: &dyn Part| {
            let there = solve(receiver, part, &usual).ok()?.operation;
            Some(spread.changes(&read(receiver, &there)))
        };
        let moved = share::each(&self.cases, |case| read(&case.receiver, part));
        let own = part.tolerances();
        let ways: Vec<(usize, f64)> =
            (0..own.len()).flat_map(|i| [1.0, -1.0].map(|sign| (i, sign))).collect();
        let own_moved = share::each(&ways, |(i, sign)| {
            read(&self.base, &*part.varied(*i, 1.0 + sign * own[*i].spread))
        });
        let of_set = self.numbers.iter().enumerate().map(|(i, number)| {
            let at = |up: bool| {
                let place = self.cases.iter().position(|c| c.number == i && c.up == up)?;
                moved[place].as_deref()
            };
            spread.row(Some(*number), at(true), at(false))
        });
        let of_part = own_moved
            .chunks(2)
            .map(|ends| spread.row(None, ends[0].as_deref(), ends[1].as_deref()));
        let rows = of_set.chain(of_part).flatten().collect();
        Ok(Spread { rows, ..spread })
    }
}

impl Spread {
    /// Each measure at `reading`, then each limit; none of what it does not have.
    fn figures(&self, reading: &Reading) -> impl Iterator<Item = Option<f64>> {
        self.measures
            .iter()
            .map(|m| m.get(reading))
            .chain(self.limits.iter().map(|l| reading.limit(l).map(|other| other.value)))
    }

    /// Change of each to `reading`; none of what that does not have.
    fn changes(&self, reading: &Reading) -> Vec<f64> {
        let both = self.figures(reading).zip(&self.values);
        both.map(|(there, here)| there.map_or(0.0, |there| there - here)).collect()
    }

    /// Effects of a number by the changes at its upper and its lower limit, as far as these have a solution.
    fn row(
        &self,
        number: Option<Uncertain>,
        up: Option<&[f64]>,
        down: Option<&[f64]>,
    ) -> Option<Row> {
        let stated = number.map_or(0.0, |n| -n.middle / n.spread);
        let (low, high) = number.map_or((0.9, 1.1), |n| n.limits());
        let effects = self.values.iter().enumerate().map(|(q, value)| {
            let (up, down) = (up.map(|v| v[q]), down.map(|v| v[q]));
            let low_end = down.or_else(|| Some(mirrored(*value, up?, high, low)))?;
            let high_end = up.or_else(|| Some(mirrored(*value, down?, low, high)))?;
            Some(effect(low_end, high_end, stated))
        });
        Some(Row { number, effects: effects.collect::<Option<_>>()? })
    }

    fn off(&self, quantity: usize, counts: impl Fn(&Row) -> bool) -> Off {
        let (mut shift, mut square) = (0.0, 0.0);
        for row in self.rows.iter().filter(|r| counts(r)) {
            // mean and variance of a + b·t + c·t² over −1 to 1
            let [a, b, c] = row.effects[quantity];
            shift += a + c / 3.0;
            square += b * b / 3.0 + 4.0 * c * c / 45.0;
        }
        Off { shift, two_u: 2.0 * square.sqrt() }
    }

    fn place(&self, measure: Measure) -> Option<usize> {
        self.measures.iter().position(|m| *m == measure)
    }

    /// Where `measure` lies in sound sets.
    pub fn of(&self, measure: Measure) -> Off {
        self.place(measure).map_or(Off::default(), |q| self.off(q, |_| true))
    }

    /// The same from what a rule filled in, or readings left, alone.
    pub fn of_assumed(&self, measure: Measure) -> Off {
        self.place(measure).map_or(Off::default(), |q| self.off(q, Row::is_assumed))
    }

    /// Where `what` lies in sound sets, as a share of what is expected; `meter` is the limit of what it is read with.
    pub fn share(&self, what: What, meter: f64) -> Off {
        let value = self.place(what.of(0)).map_or(1.0, |q| self.values[q]);
        let Off { shift, two_u } = self.of(what.of(0));
        Off { shift: shift / value, two_u: two_u / value }.beside(TWO_U * meter)
    }

    /// Each limit, and two standard uncertainties of its value from what is assumed of the set.
    pub fn limits(&self) -> Vec<(Limit, f64)> {
        let all = self.limits.iter().enumerate();
        all.map(|(i, l)| (l.clone(), self.off(self.measures.len() + i, Row::is_assumed).both()))
            .collect()
    }

    /// Whether `parameter` is a number that a rule filled in.
    pub fn assumes(&self, parameter: Parameter) -> bool {
        let mut own = self.rows.iter().filter_map(|row| row.number);
        own.any(|n| n.assumed && n.parameter == parameter)
    }

    /// Value of `measure` where the assumed `parameter` is at its lower and at its upper limit.
    pub fn at_limits(&self, parameter: Parameter, measure: Measure) -> Option<[f64; 2]> {
        let own = |r: &&Row| r.number.is_some_and(|n| n.assumed && n.parameter == parameter);
        let place = self.place(measure)?;
        let [a, b, c] = self.rows.iter().find(own)?.effects[place];
        Some([-b, b].map(|b| self.values[place] + a + b + c))
    }

    /// Its larger change between these.
    pub fn change(&self, parameter: Parameter, measure: Measure) -> Option<f64> {
        let value = self.values[self.place(measure)?];
        let [low, high] = self.at_limits(parameter, measure)?.map(|there| (there - value).abs());
        Some(low.max(high))
    }

    /// Numbers of the set that by themselves would make these changes, each with its standard uncertainty: the number, the factor
    /// on it, and the squares left, in uncertainties. By least squares on the slope of its effects, so that a large factor is a
    /// rough one.
    pub fn explained(&self, changes: &[(Measure, f64, f64)]) -> Vec<(Uncertain, f64, f64)> {
        let of = |row: &Row| {
            let number = row.number?;
            let (mut both, mut effects, mut all) = (0.0, 0.0, 0.0);
            for (measure, change, u) in changes {
                let (slope, change) = (row.effects[self.place(*measure)?][1] / u, change / u);
                both += slope * change;
                effects += slope * slope;
                all += change * change;
            }
            let far = both / effects;
            let left = all - both * far;
            (effects > 0.0).then_some((number, 1.0 + number.spread * far, left))
        };
        self.rows.iter().filter_map(of).collect()
    }

    /// By what the ranges of `points`, each with two standard uncertainties of its meter, must be widened so that all
    /// points of a sound set lie in theirs nine times in ten: by draws of the parabolas, so that what moves together
    /// counts once.
    pub fn together(&self, points: &[(Measure, f64)]) -> f64 {
        let (draws, seed, share) = TOGETHER;
        let places = points.iter().filter_map(|(m, meter)| {
            let q = self.place(*m)?;
            let off = self.of(*m).beside(*meter);
            (off.two_u > 0.0).then_some((q, meter / TWO_U, off))
        });
        let places: Vec<(usize, f64, Off)> = places.collect();
        let count = self.rows.len();
        let farthest = |draw: &Vec<f64>| {
            let t = |i: usize| 2.0 * draw[i] - 1.0;
            let all = places.iter().enumerate().map(|(i, (q, meter, off))| {
                let sum = self.rows.iter().enumerate().map(|(j, row)| {
                    let ([a, b, c], t) = (row.effects[*q], t(j));
                    a + t * (b + t * c)
                });
                (sum.sum::<f64>() + meter * t(count + i) - off.shift).abs() / off.two_u
            });
            all.fold(0.0, f64::max)
        };
        let points = latin_hypercube(draws, count + places.len(), seed);
        let mut all: Vec<f64> = points.iter().map(farthest).collect();
        all.sort_by(f64::total_cmp);
        all[(share * draws as f64) as usize].max(1.0)
    }
}

impl Row {
    fn is_assumed(&self) -> bool {
        self.number.is_some_and(|n| n.assumed)
    }
}

#[cfg(test)]
mod tests {
    use super::effect;
    use approx::assert_relative_eq;

    /// Through both ends, and through nothing at the stated value.
    #[test]
    fn an_effect_meets_its_three_points() {
        for (low, high, stated) in [(-2.0, 1.5, 0.0), (-1.0, 0.0, 1.0), (-3.0, 4.0, -0.4)] {
            let [a, b, c] = effect(low, high, stated);
            let at = |t: f64| a + t * (b + t * c);
            assert_relative_eq!(at(-1.0), low, epsilon = 1e-12);
            assert_relative_eq!(at(1.0), high, epsilon = 1e-12);
            assert_relative_eq!(at(stated), 0.0, epsilon = 1e-12);
        }
    }
}
