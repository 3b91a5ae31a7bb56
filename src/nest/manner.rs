//! How patiently and how widely the search goes about it, by how many items there are and whether the finish may turn them.

use super::model::Model;
use super::separate::{Patience, Places};

/// How much shorter the strip is made after a success while exploring; few items begin with more.
pub(super) const SHRINK: f64 = 0.002;

/// How descents go.
pub(super) struct Manner {
    /// The first cuts, halved at every failure until they are as usual.
    pub(super) first_cut: f64,
    /// A descent ends after so many failures, once it has gone without gain for so many times the work that it had taken.
    pub(super) failures: usize,
    pub(super) stall: u64,
    /// Exploring ends after so many descents on end that brought nothing.
    pub(super) descents: usize,
    /// How many places are tried for every move.
    pub(super) places: Places,
}

impl Manner {
    /// Few items have few neighbours to swap and few corners to lie at: what can be found from one layout is found soon, and
    /// to begin many descents is worth more than to go on with one, unless the end of each is turned.
    pub(super) fn of(model: &Model) -> Self {
        const FEW: usize = 16;
        let items = model.items.len();
        let square = items * items;
        if items <= FEW && !model.turns() {
            Self {
                first_cut: 0.02,
                failures: (3 * square).max(50),
                stall: 1,
                descents: (4 * square).max(40),
                places: Places { anywhere: 10, near: 5, corners: 20 },
            }
        } else {
            Self {
                first_cut: SHRINK,
                failures: (7 * square).clamp(50, 1000),
                stall: 2,
                descents: 40,
                places: Places { anywhere: 20, near: 10, corners: 40 },
            }
        }
    }
}

/// Few items have few pairs to learn the weights of: another try is worth more to them than a longer one.
pub(super) fn patience(items: usize, most_passes: usize, strikes: usize) -> Patience {
    Patience { passes: (items * items / 16).clamp(5, most_passes), strikes }
}
