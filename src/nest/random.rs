//! The random stream of one start.

use rand::{Rng, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

/// One reproducible stream per start.
#[derive(Debug, Clone)]
pub(super) struct Random(Xoshiro256PlusPlus);

impl Random {
    /// The stream of a start under a seed.
    pub(super) fn new(seed: u64, start: usize) -> Self {
        let mixed = seed ^ (start as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        Self(Xoshiro256PlusPlus::seed_from_u64(mixed))
    }

    /// Evenly from 0 up to, not including, 1.
    pub(super) fn share(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Evenly between two numbers.
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// Evenly from `0..n`; 0 where n is 0.
    pub(super) fn below(&mut self, n: usize) -> usize {
        // The upper half of the product: evenly but for 1 in 2^64 / n.
        ((u128::from(self.0.next_u64()) * n as u128) >> 64) as usize
    }

    /// Puts a list into random order.
    pub(super) fn shuffle<T>(&mut self, list: &mut [T]) {
        for k in (1..list.len()).rev() {
            list.swap(k, self.below(k + 1));
        }
    }
}
