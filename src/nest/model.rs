//! The problem made ready: every shape in every pose it may take, and the no-fit polygons of all pairs.

use super::movable::{Choice, Movable, movables, number_of};
use super::nofit::NoFit;
use super::outline::{grown, posed, shrunk, simplified_outward};
use super::store::{PairKey, Store};
use super::{Failure, Problem};
use crate::geometry::ring::dot;
use crate::geometry::{Bounds, Point, Pose, Shape, convex_parts, normal_turn, ring_bounds};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// How far out a simplified outline may lie, as a share of the square root of its area.
const SIMPLER: f64 = 0.004;
/// How much the search's outlines are shrunk, as a share of their extent: it keeps open the slits of exact fits.
const HAIR: f64 = 1e-6;

/// Steps of a relative turn to the degree.
const STEPS: f64 = 1e7;

/// A problem ready for searching. Items come first, then the keep-outs as items that never move.
pub(super) struct Model {
    pub(super) width: f64,
    pub(super) gap: f64,
    pub(super) forms: Vec<Form>,
    pub(super) items: Vec<Movable>,
    /// The forms of the keep-outs, all at the origin.
    pub(super) fixed: Vec<usize>,
    /// What the weight of each pair of items and keep-outs begins with and fades to.
    pub(super) floors: Vec<f64>,
    nofits: Vec<NoFit>,
    table: Vec<Relation>,
}

/// A shape in a pose.
pub(super) struct Form {
    pub(super) pose: Pose,
    /// Bounds of the true outline.
    pub(super) bounds: Bounds,
    /// Bounds of the outline the search uses, half the gap laid on.
    pub(super) reach: Bounds,
    /// Convex parts of the true outline.
    pub(super) parts: Vec<Part>,
}

/// A convex part of an outline.
#[derive(Debug, Clone)]
pub(super) struct Part {
    pub(super) corners: Vec<Point>,
    /// Per side of any length where it begins, and the unit normal that points out.
    pub(super) sides: Vec<(Point, Point)>,
    pub(super) bounds: Bounds,
}

impl Part {
    /// With these corners, anticlockwise.
    pub(super) fn new(corners: Vec<Point>) -> Self {
        let n = corners.len();
        let side = |k: usize| {
            let (from, to) = (corners[k], corners[(k + 1) % n]);
            let d = to - from;
            let length = dot(d, d).sqrt();
            (length > 0.0).then(|| (from, Point { x: d.y, y: -d.x } / length))
        };
        Self { sides: (0..n).filter_map(side).collect(), bounds: ring_bounds(&corners), corners }
    }
}

/// How to look up a pair: the no-fit polygon and the linear map that takes "second minus first" into its frame.
#[derive(Debug, Clone, Copy)]
pub(super) struct Relation {
    pub(super) nofit: u32,
    xx: f64,
    xy: f64,
    yx: f64,
    yy: f64,
}

impl Relation {
    #[inline]
    pub(super) fn apply(&self, r: Point) -> Point {
        Point { x: self.xx * r.x + self.xy * r.y, y: self.yx * r.x + self.yy * r.y }
    }

    /// Back from the no-fit polygon's frame; the map only turns and mirrors, so its inverse is its transpose.
    #[inline]
    pub(super) fn back(&self, r: Point) -> Point {
        Point { x: self.xx * r.x + self.yx * r.y, y: self.xy * r.x + self.yy * r.y }
    }

    fn turns_over(&self) -> bool {
        self.xx * self.yy - self.xy * self.yx < 0.0
    }
}

impl Model {
    /// Prepares a problem that has passed [`check`](super::problem::check).
    pub(super) fn new(problem: &Problem, store: &Store) -> Result<Self, Failure> {
        let mut keys: Vec<(usize, Pose)> = Vec::new();
        let items = movables(problem, &mut keys)?;
        let mut shapes: Vec<&Shape> = problem.shapes.iter().collect();
        let fixed: Vec<usize> = problem
            .keep_out
            .iter()
            .map(|shape| {
                shapes.push(shape);
                number_of(&mut keys, &(shapes.len() - 1, Pose::AS_PRINTED))
            })
            .collect();
        let mut outlines: Vec<Option<(usize, Arc<Outline>)>> = vec![None; shapes.len()];
        for &(index, _) in &keys {
            if outlines[index].is_none() {
                let make = || Outline::new(index, shapes[index], problem.gap);
                outlines[index] = Some(store.outline(shapes[index], problem.gap, make)?);
            }
        }
        // The store's numbers depend on what else was laid out, and when: pairs are ordered by this problem alone.
        let mut ranks: Vec<usize> = Vec::new();
        let forms: Vec<Posed> = keys
            .iter()
            .filter_map(|&(index, pose)| {
                let (number, outline) = outlines[index].as_ref()?;
                Some(Posed { rank: number_of(&mut ranks, number), number: *number, outline, pose })
            })
            .collect();
        let (nofits, table) = relations(&forms, store);
        let forms: Vec<Form> = forms.iter().map(|form| form.outline.form(form.pose)).collect();
        let floors = floors(&items, fixed.len());
        Ok(Self { width: problem.width, gap: problem.gap, forms, items, fixed, floors, nofits, table })
    }

    /// Whether the finish may turn anything.
    pub(super) fn turns(&self) -> bool {
        self.items.iter().any(|item| item.options.iter().any(Choice::turns))
    }

    /// The pair of two forms.
    #[inline]
    pub(super) fn relation(&self, first: usize, second: usize) -> &Relation {
        &self.table[first * self.forms.len() + second]
    }

    #[inline]
    pub(super) fn nofit(&self, relation: &Relation) -> &NoFit {
        &self.nofits[relation.nofit as usize]
    }

    /// The sides of the no-fit polygon of two forms, as moves of the second relative to the first, inside to the left.
    pub(super) fn sides(&self, first: usize, second: usize) -> impl Iterator<Item = (Point, Point)> {
        let relation = *self.relation(first, second);
        self.nofit(&relation).sides().iter().map(move |side| {
            let (from, to) = (relation.back(side.from), relation.back(side.to()));
            if relation.turns_over() { (to, from) } else { (from, to) }
        })
    }
}

/// Large items count for more, and so find their places first; small ones fit in between.
fn floors(items: &[Movable], fixed: usize) -> Vec<f64> {
    /// Of the geometric mean of the two sizes; found by measuring.
    const POWER: f64 = 1.5;
    let total = items.len() + fixed;
    let size = |j: usize| items.get(j).map(|item| item.area.sqrt());
    let mean = items.iter().map(|item| item.area.sqrt()).sum::<f64>() / items.len().max(1) as f64;
    let mut floors = Vec::with_capacity(total * total);
    for i in 0..total {
        for j in 0..total {
            // A keep-out counts as much as what lies against it.
            let both = size(i).or(size(j)).unwrap_or(mean) * size(j).or(size(i)).unwrap_or(mean);
            floors.push(libm::pow((both.sqrt() / mean).max(1e-3), POWER));
        }
    }
    floors
}

/// The outlines of a shape, unposed.
#[derive(Debug)]
pub(super) struct Outline {
    true_ring: Vec<Point>,
    true_parts: Vec<Vec<Point>>,
    search_ring: Vec<Point>,
}

impl Outline {
    fn new(index: usize, shape: &Shape, gap: f64) -> Result<Self, Failure> {
        let bad = || Failure::NotSimple { shape: index };
        let true_ring = super::outline::open_ring(&shape.outline);
        let true_parts = convex_parts(&true_ring).ok_or_else(bad)?;
        let wide = if gap > 0.0 { grown(&true_ring, gap / 2.0).ok_or_else(bad)? } else { true_ring.clone() };
        let size = ring_bounds(&wide);
        let tolerance = SIMPLER * crate::geometry::ring_area(&wide).abs().sqrt();
        let hair = HAIR * size.length().max(size.width());
        let ready = shrunk(&simplified_outward(&wide, tolerance), hair);
        let search_ring = if convex_parts(&ready).is_some() { ready } else { wide };
        Ok(Self { true_ring, true_parts, search_ring })
    }

    fn form(&self, pose: Pose) -> Form {
        Form {
            pose,
            bounds: ring_bounds(&posed(&self.true_ring, pose)),
            reach: ring_bounds(&posed(&self.search_ring, pose)),
            parts: self.true_parts.iter().map(|part| Part::new(posed(part, pose))).collect(),
        }
    }
}

/// An outline in a pose.
struct Posed<'a> {
    /// Its place among the outlines of the problem, in the order they come up.
    rank: usize,
    /// Its number in the store.
    number: usize,
    outline: &'a Outline,
    pose: Pose,
}

fn relations(forms: &[Posed], store: &Store) -> (Vec<NoFit>, Vec<Relation>) {
    let mut wanted: BTreeMap<PairKey, u32> = BTreeMap::new();
    let mut pairs: Vec<(PairKey, &Outline, &Outline, Pose)> = Vec::new();
    let mut table = Vec::with_capacity(forms.len() * forms.len());
    for first in forms {
        for second in forms {
            let turned = first.rank > second.rank;
            let (a, b) = if turned { (second, first) } else { (first, second) };
            let relative = relative(a.pose, b.pose);
            let key = (a.number, b.number, relative.mirrored, (relative.turn * STEPS).round() as i64);
            let nofit = *wanted.entry(key).or_insert_with(|| {
                pairs.push((key, a.outline, b.outline, relative));
                pairs.len() as u32 - 1
            });
            table.push(into_frame(a.pose, turned, nofit));
        }
    }
    let nofits: Vec<NoFit> =
        pairs.par_iter().map(|(key, a, b, pose)| store.nofit(key).unwrap_or_else(|| nofit(a, b, *pose))).collect();
    store.keep(pairs.iter().zip(&nofits).map(|(pair, nofit)| (pair.0, nofit.clone())));
    (nofits, table)
}

fn nofit(a: &Outline, b: &Outline, pose: Pose) -> NoFit {
    NoFit::new(&a.search_ring, &posed(&b.search_ring, pose)).unwrap_or_else(|| {
        let parts = |outline: &Outline, pose: Pose| -> Vec<Vec<Point>> {
            let parts = convex_parts(&outline.search_ring).unwrap_or_default();
            parts.iter().map(|part| posed(part, pose)).collect()
        };
        NoFit::of_parts(&parts(a, Pose::AS_PRINTED), &parts(b, pose))
    })
}

/// The pose of `b` as seen from a frame that lies as `a` does.
///
/// Its turn is a whole number of steps: 90.7 seen from 90 is not quite 0.7, but whichever of the two comes first, the polygon
/// that is kept for both must be the same.
fn relative(a: Pose, b: Pose) -> Pose {
    let turn = b.turn - a.turn;
    let turn = normal_turn(if a.mirrored { -turn } else { turn });
    Pose { mirrored: a.mirrored != b.mirrored, turn: normal_turn((turn * STEPS).round() / STEPS) }
}

fn into_frame(pose: Pose, turned: bool, nofit: u32) -> Relation {
    let motion = pose.motion(Point { x: 0.0, y: 0.0 });
    let (ex, ey) = (motion.apply(Point { x: 1.0, y: 0.0 }), motion.apply(Point { x: 0.0, y: 1.0 }));
    let sign = if turned { -1.0 } else { 1.0 };
    // The inverse of a turn and a mirroring is its transpose.
    Relation { nofit, xx: sign * ex.x, xy: sign * ex.y, yx: sign * ey.x, yy: sign * ey.y }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_relative_turn_is_the_same_from_wherever_it_is_seen() {
        for turn in [0.7, 2.3, 33.3, 359.3] {
            for from in [0.0, 90.0, 180.0, 270.0] {
                for mirrored in [false, true] {
                    let a = Pose { mirrored, turn: from };
                    let b = Pose { mirrored, turn: normal_turn(if mirrored { from - turn } else { from + turn }) };
                    assert_eq!(relative(a, b), Pose { mirrored: false, turn }, "{turn} from {from}");
                }
            }
        }
    }
}
