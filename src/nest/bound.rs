//! Lengths that no layout can beat, proved.
//!
//! At any x the items' slices lie one above the other, so for every dual feasible function u (sums of at most 1 have images
//! that sum to at most 1) the sum over items of the integral of u(slice / width) is at most the length. Every item is free to
//! take the pose in which its integral is least. u(x) = x gives area / width. Sources: Fekete & Schepers 2001 for the
//! functions; the slices are the continuous form of their use for rectangles.

use super::problem::check;
use super::store::{SliceKey, Store};
use super::{Band, Failure, Item, Problem, Way};
use crate::geometry::{Bounds, Point, Pose, Shape, sine_cosine};
use std::sync::Arc;

/// Taken off every bound, as a share of it: rounding.
const ROUNDING: f64 = 1e-9;

/// The greatest proved lower bound on the length; keep-outs are left out of account.
///
/// # Errors
/// Where the problem is no problem at all: see [`Failure`].
pub fn least_possible(problem: &Problem) -> Result<f64, Failure> {
    least_possible_with(&Store::new(), problem)
}

/// The same, with a store that keeps what several problems have in common.
///
/// # Errors
/// As for [`least_possible`].
pub fn least_possible_with(store: &Store, problem: &Problem) -> Result<f64, Failure> {
    check(problem)?;
    Ok(bound(problem, store))
}

/// The same for a problem that was checked.
pub(super) fn bound(problem: &Problem, store: &Store) -> f64 {
    let kinds = kinds(problem);
    let numbers = store.numbers(&problem.shapes);
    let mut best = longest_item(problem, &kinds).max(pinned_in_line(problem));
    for (from, to) in bands(problem) {
        let inside: Vec<(&Item, f64)> = kinds
            .iter()
            .filter(|(item, _)| item.ways.iter().all(|way| within(way.band, problem.width, (from, to))))
            .copied()
            .collect();
        if to > from {
            best = best.max(by_slices(problem, &inside, to - from, (store, &numbers)));
        }
    }
    best * (1.0 - ROUNDING)
}

/// The items that differ, and how many there are of each.
fn kinds(problem: &Problem) -> Vec<(&Item, f64)> {
    let mut kinds: Vec<(&Item, f64)> = Vec::new();
    for item in &problem.items {
        match kinds.iter_mut().find(|(known, _)| *known == item) {
            Some((_, count)) => *count += 1.0,
            None => kinds.push((item, 1.0)),
        }
    }
    kinds
}

/// A stretch of x over which an item's slice changes evenly.
#[derive(Debug, Clone, Copy)]
struct Slab {
    length: f64,
    begin: f64,
    end: f64,
}

/// What a pose tells of the slices.
enum Slices {
    /// All of them.
    Along(Vec<Slab>),
    /// Only their sum: it may be turned.
    Area(f64),
}

impl Slices {
    /// Of a shape that may be turned by so many degrees.
    fn new(shape: &Shape, leeway: f64) -> Self {
        if leeway > 0.0 { Self::Area(shape.area()) } else { Self::Along(slabs(shape)) }
    }

    fn integral(&self, dual: Dual, width: f64, gap: f64) -> f64 {
        match (self, dual) {
            (Self::Along(slabs), _) => slabs.iter().map(|slab| dual.integral(slab, width, gap)).sum(),
            (Self::Area(area), Dual::Plain) => area / (width + gap),
            (Self::Area(_), _) => 0.0,
        }
    }
}

/// Every pose of an item, with the degrees that it may be turned beyond it.
fn each_pose(item: &Item) -> impl Iterator<Item = (usize, Pose, f64)> {
    item.ways.iter().flat_map(|way| {
        let leeway = way.leeway.iter().map(|&(least, most)| most.max(-least));
        way.poses.iter().zip(leeway).map(|(&pose, leeway)| (way.shape, pose, leeway))
    })
}

fn posed(shape: &Shape, pose: Pose) -> Shape {
    shape.placed(pose, Point { x: 0.0, y: 0.0 })
}

/// The least extent along the strip of a shape that may be turned by so many degrees: of two corners as far apart as the
/// shape is long, that is what is left at worst.
fn least_length(shape: &Shape, leeway: f64) -> f64 {
    let bounds = shape.bounds();
    let (sine, cosine) = sine_cosine(leeway.min(90.0));
    (bounds.length() * cosine - bounds.width() * sine).max(0.0)
}

fn longest_item(problem: &Problem, kinds: &[(&Item, f64)]) -> f64 {
    let length = |(shape, pose, leeway): (usize, Pose, f64)| least_length(&posed(&problem.shapes[shape], pose), leeway);
    kinds.iter().map(|(item, _)| each_pose(item).map(length).fold(f64::INFINITY, f64::min)).fold(0.0, f64::max)
}

/// Bands that may be a problem of their own: the strip and every band an item must keep within.
fn bands(problem: &Problem) -> Vec<(f64, f64)> {
    let mut bands = vec![(0.0, problem.width)];
    for way in problem.items.iter().flat_map(|item| &item.ways) {
        if let Band::Within { from, to } = way.band {
            let band = (from.max(0.0), to.min(problem.width));
            if !bands.contains(&band) {
                bands.push(band);
            }
        }
    }
    bands
}

fn within(band: Band, width: f64, (from, to): (f64, f64)) -> bool {
    match band {
        Band::Within { from: f, to: t } => f.max(0.0) >= from && t.min(width) <= to,
        Band::Free | Band::Pinned { .. } => from <= 0.0 && to >= width,
    }
}

/// The greatest sum of least integrals over a band so wide, for every dual feasible function; each shape's number in the store
/// stands beside it.
fn by_slices(problem: &Problem, kinds: &[(&Item, f64)], width: f64, (store, numbers): (&Store, &[usize])) -> f64 {
    let mut sums = vec![0.0; DUALS];
    for (item, count) in kinds {
        let mut least = vec![f64::INFINITY; DUALS];
        for (shape, pose, leeway) in each_pose(item) {
            let key = SliceKey::new(numbers[shape], pose, leeway > 0.0, width, problem.gap);
            let integrals = store.integrals(key, || {
                let slices = Slices::new(&posed(&problem.shapes[shape], pose), leeway);
                duals().map(|dual| slices.integral(dual, width, problem.gap)).collect()
            });
            for (least, &integral) in least.iter_mut().zip(integrals.iter()) {
                *least = least.min(integral);
            }
        }
        for (sum, least) in sums.iter_mut().zip(&least) {
            *sum += count * least;
        }
    }
    sums.into_iter().fold(0.0, f64::max)
}

/// What an item's slices come to, by dual feasible function.
pub(super) type Integrals = Arc<[f64]>;

const THRESHOLDS: u32 = 50;
const STEPS: u32 = 5;
const DUALS: usize = (1 + THRESHOLDS + STEPS) as usize;

/// All functions that are tried.
fn duals() -> impl Iterator<Item = Dual> {
    std::iter::once(Dual::Plain)
        .chain((1..=THRESHOLDS).map(|k| Dual::Threshold(f64::from(k) / 100.0)))
        .chain((1..=STEPS).map(|k| Dual::Steps(f64::from(k))))
}

/// Dual feasible functions.
#[derive(Debug, Clone, Copy)]
enum Dual {
    /// u(x) = x.
    Plain,
    /// Nothing below the threshold, all above 1 - threshold, x between.
    Threshold(f64),
    /// floor((k + 1) x) / k, where (k + 1) x is not whole.
    Steps(f64),
}

impl Dual {
    /// The integral of u over a slab whose slices are widened by the gap, as is the strip.
    fn integral(self, slab: &Slab, width: f64, gap: f64) -> f64 {
        let share = |h: f64| ((h + gap) / (width + gap) * (1.0 - ROUNDING)).clamp(0.0, 1.0);
        let (low, high) = {
            let (a, b) = (share(slab.begin), share(slab.end));
            (a.min(b), a.max(b))
        };
        // The share of the slab where x lies between two values, x running evenly from low to high.
        let part = |from: f64, to: f64| {
            if high > low {
                ((to.min(high) - from.max(low)) / (high - low)).max(0.0)
            } else if low > from && low <= to {
                1.0
            } else {
                0.0
            }
        };
        let mean = match self {
            Self::Plain => f64::midpoint(low, high),
            Self::Threshold(t) => {
                let (from, to) = (low.max(t), high.min(1.0 - t));
                let middle = if high > low {
                    (to - from).max(0.0) / (high - low) * f64::midpoint(from, to)
                } else if low >= t && low <= 1.0 - t {
                    low
                } else {
                    0.0
                };
                middle + part(1.0 - t, 2.0)
            }
            Self::Steps(k) => {
                let steps = k as usize + 1;
                (1..=steps).map(|m| part(m as f64 / (k + 1.0), 2.0) / k).sum::<f64>().min(1.0)
            }
        };
        mean * slab.length
    }
}

/// The slices of a shape along x: between two neighbouring corners the length of the slice changes evenly.
fn slabs(shape: &Shape) -> Vec<Slab> {
    let rings: Vec<&Vec<Point>> = std::iter::once(&shape.outline).chain(&shape.holes).collect();
    let mut xs: Vec<f64> = rings.iter().flat_map(|ring| ring.iter().map(|p| p.x)).collect();
    xs.sort_by(f64::total_cmp);
    xs.dedup();
    xs.windows(2)
        .map(|pair| {
            let (begin, end) = (pair[0], pair[1]);
            let (mut at_begin, mut at_end) = (0.0, 0.0);
            for (a, b) in rings.iter().flat_map(|ring| sides(ring)) {
                // Upper sides run backwards and count for, lower sides forwards and count against.
                if a.x.min(b.x) <= begin && a.x.max(b.x) >= end {
                    let sign = if a.x > b.x { 1.0 } else { -1.0 };
                    let y = |x: f64| a.y + (b.y - a.y) * ((x - a.x) / (b.x - a.x));
                    at_begin += sign * y(begin);
                    at_end += sign * y(end);
                }
            }
            Slab { length: end - begin, begin: at_begin.max(0.0), end: at_end.max(0.0) }
        })
        .collect()
}

fn sides(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    (0..ring.len()).map(|k| (ring[k], ring[(k + 1) % ring.len()]))
}

/// Pinned items have no choice of y, so at any y their slices along the strip lie one after another.
fn pinned_in_line(problem: &Problem) -> f64 {
    const LEVELS: usize = 64;
    let pinned: Vec<Vec<Shape>> = problem
        .items
        .iter()
        .filter_map(|item| {
            // Every way must be pinned, though not all to one line.
            let ways: Option<Vec<Vec<Shape>>> = item.ways.iter().map(|way| pinned_shapes(problem, way)).collect();
            let shapes = ways?.concat();
            (!shapes.is_empty()).then_some(shapes)
        })
        .collect();
    (0..LEVELS)
        .map(|level| {
            // Off any round number, where a level would run along a side.
            let y = problem.width * ((level as f64 + 0.5) / LEVELS as f64 + 1e-7 * std::f64::consts::E);
            let slices: Vec<f64> = pinned
                .iter()
                .map(|poses| poses.iter().map(|shape| slice_at(shape, y)).fold(f64::INFINITY, f64::min))
                .filter(|&slice| slice > 0.0)
                .collect();
            slices.iter().sum::<f64>() + problem.gap * slices.len().saturating_sub(1) as f64
        })
        .fold(0.0, f64::max)
}

/// Where a pinned way may lie across the strip; none where it is not pinned.
fn pinned_shapes(problem: &Problem, way: &Way) -> Option<Vec<Shape>> {
    let Band::Pinned { anchor, y } = way.band else {
        return None;
    };
    let shapes = way.poses.iter().map(|&pose: &Pose| {
        let at = y - pose.motion(Point { x: 0.0, y: 0.0 }).apply(anchor).y;
        let placed = problem.shapes[way.shape].placed(pose, Point { x: 0.0, y: at });
        (placed.bounds(), placed)
    });
    // A pose that does not fit is no choice.
    let fits = |b: &Bounds| b.min.y >= -1e-6 && b.max.y <= problem.width + 1e-6;
    Some(shapes.filter(|(b, _)| fits(b)).map(|(_, s)| s).collect())
}

fn slice_at(shape: &Shape, y: f64) -> f64 {
    let rings = std::iter::once(&shape.outline).chain(&shape.holes);
    let sum: f64 = rings
        .flat_map(|ring| sides(ring))
        .filter(|(a, b)| (a.y <= y) != (b.y <= y))
        .map(|(a, b)| {
            let x = a.x + (b.x - a.x) * ((y - a.y) / (b.y - a.y));
            if b.y > a.y { x } else { -x }
        })
        .sum();
    sum.max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rectangle(length: f64, width: f64) -> Shape {
        let p = |x, y| Point { x, y };
        Shape::new(vec![p(0.0, 0.0), p(length, 0.0), p(length, width), p(0.0, width)], vec![])
    }

    fn problem(width: f64, gap: f64, shapes: &[(f64, f64, usize)]) -> Problem {
        let mut items = Vec::new();
        for (shape, &(_, _, count)) in shapes.iter().enumerate() {
            for _ in 0..count {
                items.push(Way::new(shape, vec![Pose::AS_PRINTED], Band::Free).into());
            }
        }
        Problem {
            width,
            gap,
            shapes: shapes.iter().map(|&(l, w, _)| rectangle(l, w)).collect(),
            items,
            keep_out: vec![],
        }
    }

    #[test]
    fn rectangles_just_over_half_the_width_lie_end_to_end() {
        let least = least_possible(&problem(100.0, 0.0, &[(30.0, 51.0, 4)])).unwrap();
        assert!((least - 120.0).abs() < 1e-6, "{least}");
    }

    #[test]
    fn rectangles_just_over_a_third_go_two_abreast() {
        let least = least_possible(&problem(100.0, 0.0, &[(30.0, 34.0, 4)])).unwrap();
        assert!((least - 60.0).abs() < 1e-6, "{least}");
    }

    #[test]
    fn a_half_exactly_goes_two_abreast() {
        let least = least_possible(&problem(100.0, 0.0, &[(30.0, 50.0, 4)])).unwrap();
        assert!((least - 60.0).abs() < 1e-6, "{least}");
    }

    #[test]
    fn the_gap_counts() {
        let least = least_possible(&problem(100.0, 10.0, &[(30.0, 46.0, 4)])).unwrap();
        assert!((least - 120.0).abs() < 1e-6, "{least}");
    }

    #[test]
    fn the_area_counts() {
        let least = least_possible(&problem(100.0, 0.0, &[(10.0, 10.0, 100)])).unwrap();
        assert!((least - 100.0).abs() < 1e-6, "{least}");
    }
}
