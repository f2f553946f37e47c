//! Decisions, one after another.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng, SeedableRng};

/// Where decisions come from.
pub struct Dice(Source);

enum Source {
    /// Drawn from a seed, without end.
    Drawn(Box<Pcg64>),
    /// Read from bytes; behind their end every decision is the first one.
    Read { bytes: Vec<u8>, at: usize },
}

impl Dice {
    /// Drawn from a seed.
    pub fn drawn(seed: u64) -> Dice {
        Dice(Source::Drawn(Box::new(Pcg64::seed_from_u64(seed))))
    }

    /// Read from bytes, two for each decision between more than 256.
    #[allow(dead_code, reason = "for an engine that steers by bytes")]
    pub fn read(bytes: &[u8]) -> Dice {
        Dice(Source::Read { bytes: bytes.to_vec(), at: 0 })
    }

    /// A number below `n`; 0 where there is none.
    pub fn below(&mut self, n: usize) -> usize {
        let n = n.max(1);
        match &mut self.0 {
            Source::Drawn(pcg) => (pcg.next_u64() % n as u64) as usize,
            Source::Read { bytes, at } => {
                let mut next = || {
                    let byte = bytes.get(*at).copied().unwrap_or(0);
                    *at += 1;
                    usize::from(byte)
                };
                let low = next();
                let whole = if n > 256 { low + 256 * next() } else { low };
                whole % n
            }
        }
    }

    /// True once in so many.
    pub fn once_in(&mut self, many: usize) -> bool {
        // not the first one: what is left out of bytes stays as usual
        self.below(many) + 1 == many
    }

    /// One of a list that is not empty.
    pub fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }

    /// One of a list, where it has any.
    pub fn any<'a, T>(&mut self, list: &'a [T]) -> Option<&'a T> {
        list.get(self.below(list.len()))
    }

    /// From -1 to 1, most often near 0.
    pub fn turn(&mut self) -> f64 {
        let even = (self.below(2001) as f64 - 1000.0) / 1000.0;
        even.powi(3)
    }

    /// From `low` to `high`, evenly.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.below(1001) as f64 / 1000.0
    }
}
