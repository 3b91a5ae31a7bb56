//! The problem made ready: every shape in every pose it may take, and the no-fit polygons of all pairs.

use super::nofit::NoFit;
use super::outline::{grown, shrunk, simplified_outward};
use super::{Band, Failure, Problem};
use crate::geometry::{Bounds, Point, Pose, Shape, convex_parts, ring_bounds};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// How far out a simplified outline may lie, as a share of the square root of its area.
const SIMPLER: f64 = 0.004;
/// How much the search's outlines are shrunk, as a share of their extent: it keeps open the slits of exact fits.
const HAIR: f64 = 1e-6;
/// Off a strip or band by this much is still in it, in millimetres: rounding.
const ROUNDING: f64 = 1e-6;

/// A problem ready for searching. Items come first, then the keep-outs as items that never move.
pub(super) struct Model {
    pub(super) width: f64,
    pub(super) gap: f64,
    pub(super) forms: Vec<Form>,
    pub(super) items: Vec<Movable>,
    /// The forms of the keep-outs, all at the origin.
    pub(super) fixed: Vec<usize>,
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
pub(super) struct Part {
    pub(super) corners: Vec<Point>,
    pub(super) bounds: Bounds,
}

/// An item that may be moved.
pub(super) struct Movable {
    pub(super) options: Vec<Choice>,
    /// Items of one kind are interchangeable.
    pub(super) kind: usize,
    pub(super) pinned: bool,
    pub(super) area: f64,
}

/// A pose an item may take, with the y its origin may have.
#[derive(Debug, Clone, Copy)]
pub(super) struct Choice {
    pub(super) form: usize,
    pub(super) low: f64,
    pub(super) high: f64,
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
    pub(super) fn new(problem: &Problem) -> Result<Self, Failure> {
        let mut keys: Vec<(usize, Pose)> = Vec::new();
        let items = movables(problem, &mut keys)?;
        let mut shapes: Vec<&Shape> = problem.shapes.iter().collect();
        let fixed: Vec<usize> = problem
            .keep_out
            .iter()
            .map(|shape| {
                shapes.push(shape);
                form_of(&mut keys, shapes.len() - 1, Pose::AS_PRINTED)
            })
            .collect();
        let used: Vec<bool> = (0..shapes.len()).map(|s| keys.iter().any(|key| key.0 == s)).collect();
        let outlines: Vec<Outline> = shapes
            .par_iter()
            .zip(&used)
            .enumerate()
            .map(|(index, (shape, used))| Outline::new(index, shape, problem, *used))
            .collect::<Result<_, _>>()?;
        let forms: Vec<Form> = keys.iter().map(|&(s, pose)| outlines[s].form(pose)).collect();
        let (nofits, table) = relations(&outlines, &keys);
        Ok(Self { width: problem.width, gap: problem.gap, forms, items, fixed, nofits, table })
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

/// The outlines of a shape, unposed.
struct Outline {
    true_ring: Vec<Point>,
    true_parts: Vec<Vec<Point>>,
    search_ring: Vec<Point>,
}

impl Outline {
    fn new(index: usize, shape: &Shape, problem: &Problem, used: bool) -> Result<Self, Failure> {
        if !used {
            return Ok(Self { true_ring: Vec::new(), true_parts: Vec::new(), search_ring: Vec::new() });
        }
        let bad = || Failure::NotSimple { shape: index };
        let true_ring = super::outline::open_ring(&shape.outline);
        let true_parts = convex_parts(&true_ring).ok_or_else(bad)?;
        let wide =
            if problem.gap > 0.0 { grown(&true_ring, problem.gap / 2.0).ok_or_else(bad)? } else { true_ring.clone() };
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
            parts: self
                .true_parts
                .iter()
                .map(|part| {
                    let corners = posed(part, pose);
                    let bounds = ring_bounds(&corners);
                    Part { corners, bounds }
                })
                .collect(),
        }
    }
}

/// A ring in a pose, still counter-clockwise.
fn posed(ring: &[Point], pose: Pose) -> Vec<Point> {
    let motion = pose.motion(Point { x: 0.0, y: 0.0 });
    let mut points: Vec<Point> = ring.iter().map(|&p| motion.apply(p)).collect();
    if pose.mirrored {
        points.reverse();
    }
    points
}

fn form_of(keys: &mut Vec<(usize, Pose)>, shape: usize, pose: Pose) -> usize {
    keys.iter().position(|&key| key == (shape, pose)).unwrap_or_else(|| {
        keys.push((shape, pose));
        keys.len() - 1
    })
}

fn movables(problem: &Problem, keys: &mut Vec<(usize, Pose)>) -> Result<Vec<Movable>, Failure> {
    let mut kinds: Vec<usize> = Vec::new();
    let mut items = Vec::with_capacity(problem.items.len());
    for (index, item) in problem.items.iter().enumerate() {
        let shape = &problem.shapes[item.shape];
        let mut options = Vec::new();
        let mut least = f64::INFINITY;
        let mut room = problem.width;
        for &pose in &item.poses {
            let bounds = ring_bounds(&posed(&shape.outline, pose));
            let (range, needed, has) = y_range(item.band, pose, &bounds, problem.width);
            room = has;
            least = least.min(needed);
            if let Some((low, high)) = range {
                let form = form_of(keys, item.shape, pose);
                if !options.iter().any(|o: &Choice| o.form == form) {
                    options.push(Choice { form, low, high });
                }
            }
        }
        if options.is_empty() {
            return Err(Failure::DoesNotFit { item: index, least_width: least, room });
        }
        let kind = kinds.iter().position(|&k| problem.items[k] == *item).unwrap_or_else(|| {
            kinds.push(index);
            kinds.len() - 1
        });
        items.push(Movable {
            options,
            kind,
            pinned: matches!(item.band, Band::Pinned { .. }),
            area: crate::geometry::ring_area(&shape.outline).abs(),
        });
    }
    Ok(items)
}

/// The y the origin may have, if any; the width the pose needs and the room there is.
fn y_range(band: Band, pose: Pose, bounds: &Bounds, width: f64) -> (Option<(f64, f64)>, f64, f64) {
    match band {
        Band::Free | Band::Within { .. } => {
            let (from, to) = match band {
                Band::Within { from, to } => (from.max(0.0), to.min(width)),
                _ => (0.0, width),
            };
            let (low, high) = (from - bounds.min.y, to - bounds.max.y);
            let range = if high >= low { Some((low, high)) } else { (high >= low - ROUNDING).then_some((low, low)) };
            (range, bounds.width(), (to - from).max(0.0))
        }
        Band::Pinned { anchor, y } => {
            let at = y - pose.motion(Point { x: 0.0, y: 0.0 }).apply(anchor).y;
            let over = (-(at + bounds.min.y)).max(at + bounds.max.y - width).max(0.0);
            let range = (over <= ROUNDING).then_some((at, at));
            (range, bounds.width().max(width + over), width)
        }
    }
}

type PairKey = (usize, usize, bool, i64);

fn relations(outlines: &[Outline], keys: &[(usize, Pose)]) -> (Vec<NoFit>, Vec<Relation>) {
    let mut wanted: BTreeMap<PairKey, u32> = BTreeMap::new();
    let mut makers: Vec<(usize, usize, Pose)> = Vec::new();
    let mut table = Vec::with_capacity(keys.len() * keys.len());
    for &first in keys {
        for &second in keys {
            let turned = first.0 > second.0;
            let (a, b) = if turned { (second, first) } else { (first, second) };
            let relative = relative(a.1, b.1);
            let key = (a.0, b.0, relative.mirrored, (relative.turn * 1e7).round() as i64);
            let nofit = *wanted.entry(key).or_insert_with(|| {
                makers.push((a.0, b.0, relative));
                makers.len() as u32 - 1
            });
            table.push(into_frame(a.1, turned, nofit));
        }
    }
    let nofits = makers
        .par_iter()
        .map(|&(a, b, pose)| {
            let (first, second) = (&outlines[a], &outlines[b]);
            NoFit::new(&first.search_ring, &posed(&second.search_ring, pose)).unwrap_or_else(|| {
                let parts = |outline: &Outline, pose: Pose| -> Vec<Vec<Point>> {
                    let parts = convex_parts(&outline.search_ring).unwrap_or_default();
                    parts.iter().map(|part| posed(part, pose)).collect()
                };
                NoFit::of_parts(&parts(first, Pose::AS_PRINTED), &parts(second, pose))
            })
        })
        .collect();
    (nofits, table)
}

/// The pose of `b` as seen from a frame that lies as `a` does.
fn relative(a: Pose, b: Pose) -> Pose {
    let turn = b.turn - a.turn;
    Pose {
        mirrored: a.mirrored != b.mirrored,
        turn: crate::geometry::normal_turn(if a.mirrored { -turn } else { turn }),
    }
}

fn into_frame(pose: Pose, turned: bool, nofit: u32) -> Relation {
    let motion = pose.motion(Point { x: 0.0, y: 0.0 });
    let (ex, ey) = (motion.apply(Point { x: 1.0, y: 0.0 }), motion.apply(Point { x: 0.0, y: 1.0 }));
    let sign = if turned { -1.0 } else { 1.0 };
    // The inverse of a turn and a mirroring is its transpose.
    Relation { nofit, xx: sign * ex.x, xy: sign * ex.y, yx: sign * ey.x, yy: sign * ey.y }
}
