//! What a signal does to the average currents of tubes: output stages in push-pull at full output, tubes that the
//! automatic volume control holds down. Equations and checks: `docs/model.md`, section "At rest and at full output".

use super::{Currents, TubeLaw};

/// What the set receives.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub enum Signal {
    /// No station, no sound: every tube at rest.
    #[default]
    Rest,
    /// A steady tone at full output: the grids of a push-pull stage swing by a sine between twice their bias and zero
    /// volts against the cathode (class AB1; published typical operation is stated so †).
    FullOutput,
    /// A strong station: so many volts of AVC more on the grids of controlled tubes.
    Avc(f64),
}

/// What a signal can do to a tube.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub enum Swing {
    /// Nothing that its average current shows: class A.
    #[default]
    Steady,
    /// One of a push-pull stage.
    PushPull {
        /// Load that one tube works into while its partner is cut off: a quarter of the load from plate to plate, times
        /// the tubes that share a side, Ω.
        ohms: f64,
    },
    /// Its grid lies on the AVC.
    Controlled {
        /// Its screen volts at rest, against the cathode: the plate of an oscillator in the same envelope goes on drawing
        /// what it draws then. 0 where there is none to be held.
        rest_screen: f64,
    },
}

/// Volts of AVC that let the current of a remote-cutoff tube fall to 1/e, over its screen volts. The conductance of these
/// tubes is made to fall by equal shares for equal volts; from it at the published bias to the bias of the published
/// remote point: 6K7, 78 and 6SK7 0.06, 6BA6 0.04, 58 and 6D6 0.07, 35/51 0.10 (RCA receiving tube manuals †). It goes
/// with the screen volts as every voltage of the law does.
const REMOTE: f64 = 0.06;

/// Instants looked at in half a cycle: doubling them moves the averages by less than 0.3 %.
const INSTANTS: u32 = 16;

impl Swing {
    /// Average currents of one tube of `law` at average grid, screen and plate volts against its cathode, with their
    /// slopes, before `factor` multiplies them; and the watts that it gives to its load and does not burn in its plate.
    pub fn currents(
        self,
        law: &TubeLaw,
        factor: f64,
        signal: Signal,
        [grid, screen, plate]: [f64; 3],
    ) -> (Currents, f64) {
        match (signal, self) {
            (Signal::FullOutput, Swing::PushPull { ohms }) if grid < 0.0 => {
                let (currents, watts) = driven(law, ohms * factor, grid, screen, plate);
                (currents, factor * watts)
            }
            (Signal::Avc(volts), Swing::Controlled { rest_screen }) => {
                (held_down(law.currents(grid, screen, plate), volts, screen, rest_screen), 0.0)
            }
            _ => (law.currents(grid, screen, plate), 0.0),
        }
    }
}

/// Average currents of each of two tubes driven in opposition from `grid` to zero, and the watts that each gives to the
/// load: their plates move by ∓`ohms` times the difference of their currents.
fn driven(law: &TubeLaw, ohms: f64, grid: f64, screen: f64, plate: f64) -> (Currents, f64) {
    let mut sum = Currents::default();
    let mut watts = 0.0;
    for k in 0..INSTANTS {
        let sine = (std::f64::consts::PI * (f64::from(k) + 0.5) / f64::from(INSTANTS)).sin();
        let weights = [1.0 - sine, 1.0 + sine];
        let at = |d: f64| {
            let up = law.currents(grid * weights[0], screen, plate - ohms * d);
            (up, law.currents(grid * weights[1], screen, plate + ohms * d))
        };
        let d = difference(ohms, &at);
        let (a, b) = at(d);
        // the difference follows the volts: d = i1 − i2, each at its plate volts
        let own = 1.0 + ohms * (a.slopes[0][2] + b.slopes[0][2]);
        let follow = |x: usize| {
            let [wa, wb] = if x == 0 { weights } else { [1.0; 2] };
            (a.slopes[0][x] * wa - b.slopes[0][x] * wb) / own
        };
        let follows: [f64; 3] = std::array::from_fn(follow);
        let share = 0.5 / f64::from(INSTANTS);
        for (side, sign, weight) in [(&a, -ohms, weights[0]), (&b, ohms, weights[1])] {
            sum.plate += share * side.plate;
            sum.screen += share * side.screen;
            sum.extra += share * side.extra;
            for (row, of) in sum.slopes.iter_mut().zip(&side.slopes) {
                for (x, slope) in row.iter_mut().enumerate() {
                    let direct = of[x] * if x == 0 { weight } else { 1.0 };
                    *slope += share * (direct + of[2] * sign * follows[x]);
                }
            }
        }
        watts += share * ohms * d * d;
    }
    (sum, watts)
}

/// The difference d of two plate currents that meets d = i1(d) − i2(d), A: the right side falls with d, so that it lies
/// between none and what flows without a load.
fn difference(ohms: f64, at: &impl Fn(f64) -> (Currents, Currents)) -> f64 {
    let fall = |a: &Currents, b: &Currents| 1.0 + ohms * (a.slopes[0][2] + b.slopes[0][2]);
    let (a, b) = at(0.0);
    let (mut low, mut high) = (0.0, (a.plate - b.plate).max(0.0));
    let mut d = high / fall(&a, &b);
    for _ in 0..60 {
        let (a, b) = at(d);
        let miss = a.plate - b.plate - d;
        if miss.abs() <= 1e-12 {
            break;
        }
        *if miss > 0.0 { &mut low } else { &mut high } = d;
        d += miss / fall(&a, &b);
        // below its knee a plate takes next to nothing, and a tangent from there leads from one end to the other
        if d <= low || d >= high {
            d = 0.5 * (low + high);
        }
    }
    d
}

/// What `volts` of AVC leave of plate and screen current. An oscillator's plate is not under its control, and its current, in
/// the law a share of what the screen draws, does not rise with a screen that is let go.
fn held_down(mut now: Currents, volts: f64, screen: f64, rest_screen: f64) -> Currents {
    if screen <= 0.0 {
        return now;
    }
    let left = (-volts / (REMOTE * screen)).exp();
    let by_screen = volts / (REMOTE * screen * screen);
    if rest_screen > 0.0 {
        now.extra *= (rest_screen / screen).powf(1.5);
        now.slopes[2] = [0.0; 3];
    }
    for (row, amps) in [(0, &mut now.plate), (1, &mut now.screen)] {
        now.slopes[row] = now.slopes[row].map(|slope| left * slope);
        *amps *= left;
        now.slopes[row][1] += *amps * by_screen;
    }
    now
}
