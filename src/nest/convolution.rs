//! The convolution of two outlines: closed curves that wind about the Minkowski sum, and about nothing else.
//!
//! Every side of one outline is carried along the corners of the other that face its way; about hollow corners it runs
//! backwards. The curves wind about a point as often as the one outline and the other, turned about that point, have parts in
//! common (Guibas, Ramshaw & Stolfi 1983), so the sum of simple outlines is where the winding is not 0. That is far less to
//! untangle than the sums of all pairs of convex parts.

use crate::geometry::Point;
use std::f64::consts::{PI, TAU};

/// The closed curves for `a` and `b` turned by half a turn, that is for all moves of `b` that make it overlap `a`.
///
/// Both counter-clockwise, no point twice in a row. None where the curves do not close, which no simple outline does.
pub(super) fn convolution(a: &[Point], b: &[Point]) -> Option<Vec<Vec<Point>>> {
    let b: Vec<Point> = b.iter().map(|&p| -p).collect();
    let (turns_a, turns_b) = (directions(a), directions(&b));
    let (n, m) = (a.len(), b.len());
    // From the meeting of corner i and corner j, the meetings that follow it.
    let mut next: Vec<Vec<usize>> = vec![Vec::new(); n * m];
    for (i, &side) in turns_a.iter().enumerate() {
        for j in 0..m {
            let ends = (i * m + j, (i + 1) % n * m + j);
            join(&mut next, ends, facing(&turns_b, j, side, Alike::Past));
        }
    }
    for (j, &side) in turns_b.iter().enumerate() {
        for i in 0..n {
            let ends = (i * m + j, i * m + (j + 1) % m);
            join(&mut next, ends, facing(&turns_a, i, side, Alike::Short));
        }
    }
    let mut curves = Vec::new();
    for first in 0..n * m {
        while let Some(second) = next[first].pop() {
            let mut curve = vec![a[first / m] + b[first % m]];
            let mut now = second;
            while now != first {
                curve.push(a[now / m] + b[now % m]);
                now = next[now].pop()?;
            }
            curves.push(curve);
        }
    }
    Some(curves)
}

fn join(next: &mut [Vec<usize>], (from, to): (usize, usize), times: i8) {
    if times > 0 {
        next[from].push(to);
    } else if times < 0 {
        next[to].push(from);
    }
}

/// The direction of each side, from its first corner.
fn directions(ring: &[Point]) -> Vec<f64> {
    (0..ring.len())
        .map(|k| {
            let d = ring[(k + 1) % ring.len()] - ring[k];
            libm::atan2(d.y, d.x)
        })
        .collect()
}

/// How a direction compares with that of a side of the other outline that runs alike: as if the second outline were turned
/// back by less than any difference there is. Without it curves would not close where sides of both run alike.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Alike {
    Past,
    Short,
}

/// Whether the outline, turning at a corner, turns past a direction: 1 to the left, -1 to the right, 0 not.
fn facing(directions: &[f64], corner: usize, direction: f64, alike: Alike) -> i8 {
    let before = directions[(corner + directions.len() - 1) % directions.len()];
    let after = directions[corner];
    let mut turn = after - before;
    if turn > PI {
        turn -= TAU;
    } else if turn < -PI {
        turn += TAU;
    }
    // Plain comparisons of the same numbers everywhere: whatever the rounding, curves close.
    let within = |from: f64, to: f64| {
        let (begun, ended) = match alike {
            Alike::Past => (from <= direction, to <= direction),
            Alike::Short => (from < direction, to < direction),
        };
        if from <= to { begun && !ended } else { begun || !ended }
    };
    if turn > 0.0 && within(before, after) {
        1
    } else if turn < 0.0 && within(after, before) {
        -1
    } else {
        0
    }
}
