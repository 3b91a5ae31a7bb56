//! Which items may be near a box: sets of bits, so that a look-up costs four words for 64 items.

use super::rounded_down;
use crate::geometry::{Bounds, Point};

/// Cells along each axis. More sort out no more boxes worth speaking of.
const CELLS: usize = 256;

/// The boxes of all items, sorted into columns and rows.
#[derive(Debug, Clone)]
pub(super) struct Nearby {
    words: usize,
    scale: Point,
    /// Per column (row) and word: the items that begin in it or before.
    begun: [Vec<u64>; 2],
    /// Per column (row) and word: the items that end in it or after.
    lasting: [Vec<u64>; 2],
    /// Per item: first and last column, first and last row, where it is sorted in.
    spans: Vec<Option<[(usize, usize); 2]>>,
}

impl Nearby {
    /// For so many items on a strip of about such a length and width; beyond it all fall into the last cell.
    pub(super) fn new(items: usize, length: f64, width: f64) -> Self {
        let words = items.div_ceil(64);
        let none = || vec![0_u64; CELLS * words];
        Self {
            words,
            scale: Point {
                x: CELLS as f64 / length.max(f64::MIN_POSITIVE),
                y: CELLS as f64 / width.max(f64::MIN_POSITIVE),
            },
            begun: [none(), none()],
            lasting: [none(), none()],
            spans: vec![None; items],
        }
    }

    /// Sorts in item `j` with its present box.
    pub(super) fn set(&mut self, j: usize, bounds: &Bounds) {
        let spans = self.spans_of(bounds);
        if self.spans[j] == Some(spans) {
            return;
        }
        let (word, bit) = (j / 64, 1_u64 << (j % 64));
        for (axis, &(first, last)) in spans.iter().enumerate() {
            // Only the cells between where it began (ended) and where it does now change; before, there were none.
            let (begun, lasting) = (&mut self.begun[axis], &mut self.lasting[axis]);
            let old = self.spans[j].map(|spans| spans[axis]);
            let (old_first, old_lasting) = old.map_or((CELLS, 0), |(first, last)| (first, last + 1));
            for cell in first..old_first {
                begun[cell * self.words + word] |= bit;
            }
            for cell in old_first..first {
                begun[cell * self.words + word] &= !bit;
            }
            for cell in old_lasting..=last {
                lasting[cell * self.words + word] |= bit;
            }
            for cell in last + 1..old_lasting {
                lasting[cell * self.words + word] &= !bit;
            }
        }
        self.spans[j] = Some(spans);
    }

    /// Where to look for a box.
    #[inline]
    pub(super) fn query(&self, bounds: &Bounds) -> Query {
        let [(x, xx), (y, yy)] = self.spans_of(bounds);
        Query { places: [xx * self.words, x * self.words, yy * self.words, y * self.words] }
    }

    /// How many words of 64 items there are.
    #[inline]
    pub(super) fn words(&self) -> usize {
        self.words
    }

    /// Of a word of 64 items, those that may touch the box of the query.
    #[inline]
    pub(super) fn candidates(&self, query: &Query, word: usize) -> u64 {
        let [x, xx, y, yy] = query.places;
        self.begun[0][x + word] & self.lasting[0][xx + word] & self.begun[1][y + word] & self.lasting[1][yy + word]
    }

    #[inline]
    fn spans_of(&self, bounds: &Bounds) -> [(usize, usize); 2] {
        // It holds negative numbers at 0, and rounding down never swaps two numbers: a touch is never missed.
        let cell = |v: f64, scale: f64| rounded_down(v * scale).min(CELLS - 1);
        [
            (cell(bounds.min.x, self.scale.x), cell(bounds.max.x, self.scale.x)),
            (cell(bounds.min.y, self.scale.y), cell(bounds.max.y, self.scale.y)),
        ]
    }
}

/// The cells of a box.
#[derive(Debug, Clone, Copy)]
pub(super) struct Query {
    places: [usize; 4],
}
