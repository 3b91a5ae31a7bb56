//! The finish for items that may be turned by any small angle: the programmes of [`compact`](super::compact), with a turn for
//! each such item.
//!
//! A parting line along a side turns with the item whose side it is. To first order a small turn moves a point square to its
//! arm, so that the programme stays linear; what the second order leaves of overlap is parted by further programmes before a
//! layout counts. Every body is turned from its true outline anew each time: nothing drifts.

use super::board::Layout;
use super::compact::{AIM, EXACT, shortest};
use super::model::{Model, Part};
use super::parting::{Along, Parting, facing, near_parts};
use super::simplex::Row;
use crate::geometry::ring::dot;
use crate::geometry::{Bounds, Motion, Point, Pose, ring_bounds};
use std::sync::Arc;

/// Off the strip or the band by this much is still on it, in millimetres: rounding.
const OFF: f64 = 1e-9;
/// Most layouts to go through.
const ROUNDS: usize = 40;
/// Most programmes to part what a turn made overlap.
const REPAIRS: usize = 3;
/// A layout is shorter if it is so by more than this share.
pub(super) const GAIN: f64 = 1e-6;

/// A layout in which items are turned beyond their poses.
#[derive(Debug, Clone)]
pub(super) struct Turned {
    pub(super) layout: Layout,
    /// By item: degrees beyond its pose.
    pub(super) turns: Vec<f64>,
    pub(super) length: f64,
}

impl Turned {
    /// A layout with nothing turned.
    pub(super) fn plain(layout: &Layout, length: f64) -> Self {
        Self { layout: layout.clone(), turns: vec![0.0; layout.at.len()], length }
    }
}

/// The items of a layout that may be turned where they lie.
pub(super) fn turning(model: &Model, layout: &Layout) -> Vec<usize> {
    (0..layout.at.len()).filter(|&i| model.items[i].options[layout.option[i]].turns()).collect()
}

/// Shortens a layout that holds by small moves and turns of all items, where any may be turned; the work done stands beside it.
pub(super) fn turned(model: &Model, from: Turned, stop: &dyn Fn(u64) -> bool) -> (Turned, u64) {
    if turning(model, &from.layout).is_empty() {
        return (from, 0);
    }
    let mut work = Work { done: 0, stop };
    let mut now = Table::new(model, &from);
    let found = match now.shorten(from.length, &mut work) {
        Some(length) => now.turned(&from.layout, length),
        None => from,
    };
    (found, work.done)
}

/// A turn about the origin, in degrees.
fn about_origin(turn: f64) -> Motion {
    Pose { mirrored: false, turn }.motion(Point { x: 0.0, y: 0.0 })
}

/// Work done, and whether to do more.
pub(super) struct Work<'a> {
    pub(super) done: u64,
    pub(super) stop: &'a dyn Fn(u64) -> bool,
}

impl Work<'_> {
    pub(super) fn over(&self) -> bool {
        (self.stop)(self.done)
    }
}

/// An item, turned about the middle of its box, or a keep-out.
#[derive(Clone)]
pub(super) struct Body {
    pub(super) middle: Point,
    /// Degrees beyond the pose.
    pub(super) turn: f64,
    /// The least and greatest of these.
    pub(super) leeway: (f64, f64),
    /// Where it may lie across the strip.
    pub(super) band: (f64, f64),
    /// Whether it may be moved along and across.
    pub(super) slides: (bool, bool),
    /// The middle as the form has it.
    pub(super) centre: Point,
    form: usize,
    /// As turned, about the middle; shared by all tables until it turns again.
    parts: Arc<[Part]>,
    pub(super) bounds: Bounds,
    /// Furthest corner from the middle.
    radius: f64,
}

/// Items on the strip, then keep-outs.
#[derive(Clone)]
pub(super) struct Table<'a> {
    pub(super) model: &'a Model,
    pub(super) bodies: Vec<Body>,
    pub(super) items: usize,
}

/// Two parts that lie near each other, each with its item, and the second's place as the first sees it.
struct Pair<'a> {
    first: (usize, &'a Part),
    second: (usize, &'a Part),
    r: Point,
}

impl Pair<'_> {
    /// The same as the second sees it.
    fn seen_back(&self) -> Self {
        Self { first: self.second, second: self.first, r: -self.r }
    }
}

impl Body {
    pub(super) fn turns(&self) -> bool {
        self.leeway.1 > self.leeway.0
    }

    /// Takes the parts from the form, turned as they are now.
    pub(super) fn place(&mut self, model: &Model) {
        let motion = about_origin(self.turn);
        let mut all = Vec::new();
        self.parts = model.forms[self.form]
            .parts
            .iter()
            .map(|part| {
                let corners: Vec<Point> = part.corners.iter().map(|&p| motion.apply(p - self.centre)).collect();
                all.extend_from_slice(&corners);
                Part::new(corners)
            })
            .collect();
        self.bounds = ring_bounds(&all);
        self.radius = all.iter().map(|&p| dot(p, p)).fold(0.0, f64::max).sqrt();
    }

    fn corners(&self) -> impl Iterator<Item = Point> {
        self.parts.iter().flat_map(|part| part.corners.iter().copied())
    }

    /// How a point moves when the body turns so that its furthest corner moves by 1.
    fn arm(&self, p: Point) -> Point {
        Point { x: -p.y, y: p.x } / self.radius.max(f64::MIN_POSITIVE)
    }
}

impl<'a> Table<'a> {
    pub(super) fn new(model: &'a Model, from: &Turned) -> Self {
        let layout = &from.layout;
        let mut bodies = Vec::with_capacity(layout.at.len() + model.fixed.len());
        let body = |form: usize, at: Point, turn: f64| {
            let bounds = &model.forms[form].bounds;
            let centre = (bounds.min + bounds.max) / 2.0;
            let mut body = Body {
                middle: at + about_origin(turn).apply(centre),
                turn,
                leeway: (0.0, 0.0),
                band: (0.0, 0.0),
                slides: (false, false),
                centre,
                form,
                parts: Arc::default(),
                bounds: *bounds,
                radius: 0.0,
            };
            body.place(model);
            body
        };
        for (i, (&at, &turn)) in layout.at.iter().zip(&from.turns).enumerate() {
            let choice = model.items[i].options[layout.option[i]];
            let bounds = &model.forms[choice.form].bounds;
            bodies.push(Body {
                leeway: if choice.turns() { choice.leeway } else { (0.0, 0.0) },
                band: (choice.low + bounds.min.y, choice.high + bounds.max.y),
                slides: (choice.slides_along(), choice.slides_across()),
                ..body(choice.form, at, turn)
            });
        }
        bodies.extend(model.fixed.iter().map(|&form| body(form, Point { x: 0.0, y: 0.0 }, 0.0)));
        Self { model, bodies, items: layout.at.len() }
    }

    /// Shortens the layout by small moves and turns; the new length where it got shorter than one.
    pub(super) fn shorten(&mut self, than: f64, work: &mut Work) -> Option<f64> {
        let (mut length, mut gained) = (than, false);
        let most = self.model.width * 0.02;
        let mut reach = most;
        for _ in 0..ROUNDS {
            if work.over() || reach < most / 1000.0 {
                break;
            }
            let (mut next, mut depth) = (self.clone(), 0.0);
            for _ in 0..=REPAIRS {
                work.done += next.step(reach, depth);
                depth = next.deepest();
                if depth <= EXACT {
                    break;
                }
            }
            let shorter = next.length();
            if depth <= EXACT && shorter < length * (1.0 - GAIN) {
                (*self, length, gained) = (next, shorter, true);
            } else {
                reach /= 3.0;
            }
        }
        gained.then_some(length)
    }

    pub(super) fn length(&self) -> f64 {
        self.bodies[..self.items].iter().map(|b| b.middle.x + b.bounds.max.x).fold(0.0, f64::max)
    }

    /// How deep the deepest overlap is, how much of the gap is missing, or how far an item lies off the strip or its band.
    pub(super) fn deepest(&self) -> f64 {
        let mut deepest = 0.0_f64;
        self.for_pairs(0.0, |_, line| deepest = deepest.max(self.model.gap - line.apart));
        for body in self.bodies[..self.items].iter().filter(|body| body.turns()) {
            let off = (-(body.middle.x + body.bounds.min.x))
                .max(body.band.0 - (body.middle.y + body.bounds.min.y))
                .max(body.middle.y + body.bounds.max.y - body.band.1);
            if off > OFF {
                deepest = deepest.max(off).max(2.0 * EXACT);
            }
        }
        deepest
    }

    /// Calls `visit` with all parts of different items nearer than the gap and `margin`, and the line between them.
    fn for_pairs(&self, margin: f64, mut visit: impl FnMut(&Pair, Parting)) {
        let near = self.model.gap + margin;
        for i in 0..self.items {
            for j in i + 1..self.bodies.len() {
                let (first, second) = (&self.bodies[i], &self.bodies[j]);
                let r = second.middle - first.middle;
                let (a, b) = ((&first.bounds, &first.parts[..]), (&second.bounds, &second.parts[..]));
                near_parts(a, b, r, near, self.model.gap > 0.0, |a, b, line| {
                    visit(&Pair { first: (i, a), second: (j, b), r }, line);
                });
            }
        }
    }

    /// The best small move and turn of all items at once, done; the work of it.
    pub(super) fn step(&mut self, reach: f64, deepest: f64) -> u64 {
        let (length, slack) = (3 * self.items, 3 * self.items + 1);
        let end = self.length();
        let mut rows = Vec::new();
        let mut visits = 0;
        for i in 0..self.items {
            self.limit(i, reach, length, slack, &mut rows);
        }
        self.for_pairs(4.0 * reach, |pair, line| {
            visits += 1;
            match line.along {
                Along::First => self.along_side(pair, line.normal, slack, reach, &mut rows),
                Along::Second => self.along_side(&pair.seen_back(), -line.normal, slack, reach, &mut rows),
                Along::Corners => self.between_corners(pair, line.normal, slack, reach, &mut rows),
            }
        });
        let (z, work) = shortest(&mut rows, 3 * self.items, end, deepest, 60 * self.items + 200);
        if let Some(z) = z {
            let model = self.model;
            for (i, body) in self.bodies[..self.items].iter_mut().enumerate() {
                body.middle = body.middle + Point { x: z[3 * i], y: z[3 * i + 1] };
                if body.turns() && z[3 * i + 2] != 0.0 {
                    let turn = body.turn + (z[3 * i + 2] / body.radius).to_degrees();
                    body.turn = turn.clamp(body.leeway.0, body.leeway.1);
                    body.place(model);
                }
            }
        }
        work + visits
    }

    /// The rows that keep an item on the strip, in its band, within reach and within its leeway.
    fn limit(&self, i: usize, reach: f64, length: usize, slack: usize, rows: &mut Vec<Row>) {
        let body = &self.bodies[i];
        let (x, y, s) = (3 * i, 3 * i + 1, 3 * i + 2);
        let hair = 2.0 * reach;
        for (variable, slides) in [(x, body.slides.0), (y, body.slides.1)] {
            if slides {
                rows.push(Row::new(&[(variable, 1.0)], -reach));
                rows.push(Row::new(&[(variable, -1.0)], -reach));
            }
        }
        if body.turns() {
            let room = |degrees: f64| (degrees - body.turn).to_radians() * body.radius;
            rows.push(Row::new(&[(s, 1.0)], room(body.leeway.0).clamp(-reach, 0.0)));
            rows.push(Row::new(&[(s, -1.0)], -room(body.leeway.1).clamp(0.0, reach)));
        }
        let row = |variable: usize, slides: bool, sign: f64, arm: f64, least: f64| {
            let mut row = Row::new(&[], least);
            if slides {
                row.add(variable, sign);
            }
            if body.turns() {
                row.add(s, sign * arm);
                row.add(slack, 1.0);
            }
            row
        };
        for p in body.corners() {
            let (arm, at) = (body.arm(p), body.middle + p);
            if p.x <= body.bounds.min.x + hair && body.slides.0 {
                rows.push(row(x, true, 1.0, arm.x, AIM - at.x));
            }
            if p.x >= body.bounds.max.x - hair {
                let mut row = row(x, body.slides.0, -1.0, arm.x, at.x);
                row.add(length, 1.0);
                rows.push(row);
            }
            if p.y <= body.bounds.min.y + hair && body.slides.1 {
                rows.push(row(y, true, 1.0, arm.y, AIM + body.band.0 - at.y));
            }
            if p.y >= body.bounds.max.y - hair && body.slides.1 {
                rows.push(row(y, true, -1.0, arm.y, AIM + at.y - body.band.1));
            }
        }
    }

    /// Rows for a line along a side of the first: it turns with the first.
    fn along_side(&self, pair: &Pair, normal: Point, slack: usize, reach: f64, rows: &mut Vec<Row>) {
        let &Pair { first: (i, a), second: (j, b), r } = pair;
        let (far, near) = facing(a, b, r, normal);
        for &q in &b.corners {
            let apart = dot(normal, q + r);
            if apart <= near + 4.0 * reach {
                rows.push(self.apart((i, q + r), (j, q), normal, slack, apart - far));
            }
        }
    }

    /// Rows for a line between two corners, its direction held.
    fn between_corners(&self, pair: &Pair, normal: Point, slack: usize, reach: f64, rows: &mut Vec<Row>) {
        let &Pair { first: (i, a), second: (j, b), r } = pair;
        let (far, near) = facing(a, b, r, normal);
        for &p in a.corners.iter().filter(|&&p| dot(normal, p) >= far - 2.0 * reach) {
            for &q in b.corners.iter().filter(|&&q| dot(normal, q + r) <= near + 2.0 * reach) {
                rows.push(self.apart((i, p), (j, q), normal, slack, dot(normal, q + r - p)));
            }
        }
    }

    /// The row that keeps two bodies apart along a normal, as far apart as they are now; each turns about its middle, at an arm
    /// to its point.
    fn apart(&self, (i, p): (usize, Point), (j, q): (usize, Point), normal: Point, slack: usize, now: f64) -> Row {
        let mut row = Row::new(&[(slack, 1.0)], self.model.gap + AIM - now);
        self.moves(i, -normal, -dot(normal, self.bodies[i].arm(p)), &mut row);
        self.moves(j, normal, dot(normal, self.bodies[j].arm(q)), &mut row);
        row
    }

    /// Adds the entries of a body that moves along `way` and whose turn counts `arm`.
    fn moves(&self, i: usize, way: Point, arm: f64, row: &mut Row) {
        let Some(body) = self.bodies[..self.items].get(i) else { return };
        if body.slides.0 {
            row.add(3 * i, way.x);
        }
        if body.slides.1 {
            row.add(3 * i + 1, way.y);
        }
        if body.turns() {
            row.add(3 * i + 2, arm);
        }
    }

    /// Back to origins: a form turned about its own origin, then moved.
    pub(super) fn turned(&self, layout: &Layout, length: f64) -> Turned {
        let mut layout = layout.clone();
        let bodies = &self.bodies[..self.items];
        for (at, body) in layout.at.iter_mut().zip(bodies) {
            *at = body.middle - about_origin(body.turn).apply(body.centre);
        }
        Turned { layout, turns: bodies.iter().map(|body| body.turn).collect(), length }
    }
}
