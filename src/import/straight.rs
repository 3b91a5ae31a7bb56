//! Straight lines, and where rings run straight.

use kurbo::{BezPath, PathEl};

use crate::geometry::Point;
use crate::geometry::ring::{cross, distance, dot, nearest_place, unit};
use crate::units::Mm;

/// A line is straight when no part of it strays further than this from the chord, in mm.
const STRAIGHT: Mm = 0.2;

/// Corners of the outline this close to straight belong to one run: the sine of 0.2 degrees.
const RUN_SINE: f64 = 0.0035;

/// A line's points, curves flattened.
pub(super) fn polyline(path: &BezPath) -> Vec<Point> {
    let mut points = Vec::new();
    kurbo::flatten(path.iter(), 0.05, |element| match element {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => points.push(Point { x: p.x, y: p.y }),
        _ => {}
    });
    points
}

/// The corners of an open line once points on the way are left out: 2 for a straight line, 3 for two straight parts.
/// None where it takes more than `most`.
pub(super) fn corners(points: &[Point], most: usize) -> Option<Vec<Point>> {
    // A line of very many points is straight or none of these.
    if points.len() > 400 {
        return is_straight(points).then(|| vec![points[0], points[points.len() - 1]]);
    }
    let mut found = vec![*points.first()?];
    let mut at = 0;
    while at + 1 < points.len() {
        // As far as the line stays straight.
        let reach = (at + 1..points.len()).take_while(|&end| is_straight(&points[at..=end])).last()?;
        found.push(points[reach]);
        if found.len() > most {
            return None;
        }
        at = reach;
    }
    Some(found)
}

fn is_straight(points: &[Point]) -> bool {
    let (Some(&a), Some(&b)) = (points.first(), points.last()) else { return false };
    let Some(along) = unit(b - a) else { return points.len() < 3 };
    points.iter().all(|&p| cross(along, p - a).abs() <= STRAIGHT)
}

/// Whether a point lies inside a ring.
pub(super) fn is_inside(ring: &[Point], p: Point) -> bool {
    let mut inside = false;
    for (i, &a) in ring.iter().enumerate() {
        let b = ring[(i + 1) % ring.len()];
        if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y) {
            inside = !inside;
        }
    }
    inside
}

/// How far a point lies from a ring.
pub(super) fn distance_to(ring: &[Point], p: Point) -> Mm {
    nearest_place(ring, p).map_or(f64::INFINITY, |place| place.distance)
}

/// Whether a straight line lies wholly inside a ring, its ends clear of it.
pub(super) fn lies_inside(ring: &[Point], a: Point, b: Point) -> bool {
    let clear = |p: Point| is_inside(ring, p) && distance_to(ring, p) > 0.5;
    clear(a) && clear(b) && (1..16).all(|i| is_inside(ring, a + (b - a) * (f64::from(i) / 16.0)))
}

/// The straight runs of a counter-clockwise ring, each from its first corner to its last.
pub(super) fn runs(ring: &[Point]) -> Vec<[Point; 2]> {
    let count = ring.len();
    let turns = |i: usize| {
        let (a, b, c) = (ring[(i + count - 1) % count], ring[i], ring[(i + 1) % count]);
        match (unit(b - a), unit(c - b)) {
            (Some(u), Some(v)) => cross(u, v).abs() > RUN_SINE || dot(u, v) < 0.0,
            _ => false,
        }
    };
    let corners: Vec<usize> = (0..count).filter(|&i| turns(i)).collect();
    let next = |k: usize| ring[corners[(k + 1) % corners.len()]];
    (0..corners.len()).map(|k| [ring[corners[k]], next(k)]).filter(|[a, b]| distance(*a, *b) > 0.0).collect()
}

/// The straight run that lies beside a line: parallel within a degree, no further off than `reach`, and running along all of
/// the line but a little. `towards` is the side on which it has to lie; none for either.
pub(super) fn run_beside(ring: &[Point], [a, b]: [Point; 2], reach: Mm, towards: Option<Point>) -> Option<[Point; 2]> {
    let along = unit(b - a)?;
    let slack = 0.1 * distance(a, b) + 2.0;
    let fits = |[from, to]: [Point; 2]| -> Option<(Mm, [Point; 2])> {
        let direction = unit(to - from)?;
        let off = cross(direction, a - from).abs().max(cross(direction, b - from).abs());
        let is_parallel = cross(along, direction).abs() < 0.01746;
        let length = distance(from, to);
        let covers = [a, b].iter().all(|&p| {
            let at = dot(direction, p - from);
            at >= -slack && at <= length + slack
        });
        let middle = (from + to) / 2.0 - (a + b) / 2.0;
        let is_on_side = towards.is_none_or(|side| dot(side, middle) > 0.0);
        (is_parallel && covers && off <= reach && is_on_side).then_some((off, [from, to]))
    };
    let found = runs(ring).into_iter().filter_map(fits);
    found.min_by(|(one, _), (other, _)| one.total_cmp(other)).map(|(_, run)| run)
}
