//! Moving the sides of an outline in or out by an amount of their own, corners kept.
//!
//! One function goes both ways: from cut edges in to stitching lines, and from stitching lines out to cut edges.

use super::Point;
use super::line::{carried_on, crossings, part, shares};
use super::ring::{cross, distance, dot, polyline_length, unit};
use crate::units::Mm;

/// Sides that turn by less than 8 degrees into each other go straight on: the cosine of that.
pub(super) const STRAIGHT_ON_COSINE: f64 = 0.99;

/// How far a side is carried straight on to meet its neighbour, in mm.
pub(super) const CONTINUATION: Mm = 1000.0;

/// Points of a line closer than this are one, in mm.
const LEAST_STEP: Mm = 0.02;

/// A corner sharper than about 40 degrees is squared off rather than mitred: the mitre would be longer than this many
/// allowances.
const LONGEST_MITRE: f64 = 3.0;

/// Moves each side of a closed outline to its left by its own amount (to its right where that is negative) and joins
/// them again where they, or their straight continuations, cross.
///
/// Sides come one after another round the outline. A side that vanishes, since its neighbours meet before it, becomes the
/// one point where they do. Sides that run straight on into each other but move by different amounts leave a step.
pub(crate) fn moved(sides: &[(&[Point], Mm)]) -> Vec<Vec<Point>> {
    let raw: Vec<Vec<Point>> = sides.iter().map(|(line, by)| moved_line(line, *by)).collect();
    let mut alive: Vec<usize> = (0..sides.len()).filter(|&i| raw[i].len() >= 2).collect();
    loop {
        let joins: Vec<Join> = (0..alive.len())
            .map(|i| {
                let (a, b) = (alive[i], alive[(i + 1) % alive.len()]);
                join((&raw[a], sides[a]), (&raw[b], sides[b]))
            })
            .collect();
        let ends = |i: usize| (joins[(i + alive.len() - 1) % alive.len()].begin, joins[i].end);
        let shortest = (0..alive.len()).map(|i| (ends(i).1 - ends(i).0, i)).min_by(|a, b| a.0.total_cmp(&b.0));
        match shortest {
            Some((length, i)) if length < -1e-9 && alive.len() > 3 => {
                alive.remove(i);
            }
            _ => return drawn(&raw, &alive, &joins),
        }
    }
}

fn drawn(raw: &[Vec<Point>], alive: &[usize], joins: &[Join]) -> Vec<Vec<Point>> {
    let mut lines = vec![Vec::new(); raw.len()];
    for (i, &side) in alive.iter().enumerate() {
        let before = &joins[(i + alive.len() - 1) % alive.len()];
        let mut line = part(&raw[side], before.begin, joins[i].end);
        // Both sides of a corner end on the very same point.
        let last = line.len() - 1;
        if let Some(corner) = before.corner {
            line[0] = corner;
        }
        if let Some(corner) = joins[i].corner {
            line[last] = corner;
        }
        lines[side] = line;
    }
    for side in 0..lines.len() {
        if lines[side].is_empty() {
            let mut before = (1..=lines.len()).map(|back| (side + lines.len() - back) % lines.len());
            let corner = before.find_map(|i| lines[i].last().copied());
            lines[side] = vec![corner.unwrap_or_default()];
        }
    }
    lines
}

/// Where one side ends and the next begins, by distance along each as moved.
struct Join {
    end: Mm,
    begin: Mm,
    corner: Option<Point>,
}

fn join(
    (one, (line, by)): (&Vec<Point>, (&[Point], Mm)),
    (other, (next, next_by)): (&Vec<Point>, (&[Point], Mm)),
) -> Join {
    let length = polyline_length(one);
    let square = Join { end: length, begin: 0.0, corner: None };
    let (Some(&corner), Some(&beginning)) = (line.last(), next.first()) else {
        return square;
    };
    let corner = (corner + beginning) / 2.0;
    let turn = match (line, next) {
        ([.., a, b], [c, d, ..]) => unit(*b - *a).zip(unit(*d - *c)).map_or(1.0, |(before, after)| dot(before, after)),
        _ => 1.0,
    };
    let is_straight_on = turn > STRAIGHT_ON_COSINE;
    if is_straight_on && (by - next_by).abs() > 1e-9 {
        return square;
    }
    // Where a side is shorter than what its neighbours take from it, they meet beyond its other end.
    let nearest = [0.0, CONTINUATION].into_iter().find_map(|far| {
        let long = carried_on(one, far, CONTINUATION);
        let next_long = carried_on(other, CONTINUATION, far);
        crossings(&long, &next_long)
            .into_iter()
            .map(|(end, begin, point)| (distance(point, corner), end - far, begin - CONTINUATION, point))
            .min_by(|a, b| a.0.total_cmp(&b.0))
    });
    let most = by.abs().max(next_by.abs());
    match nearest {
        Some((away, end, begin, point)) => {
            let is_outside = end > length && begin < 0.0;
            if is_outside && away > LONGEST_MITRE * most {
                return Join { end: length + most, begin: -most, corner: None };
            }
            Join { end, begin, corner: Some(point) }
        }
        None if is_straight_on => {
            let middle = one.last().zip(other.first()).map(|(&a, &b)| (a + b) / 2.0);
            Join { corner: middle, ..square }
        }
        None => square,
    }
}

/// A polyline moved to its left, its own corners mitred, loops that this makes cut off.
pub(crate) fn moved_line(line: &[Point], by: Mm) -> Vec<Point> {
    let points = cleaned(line);
    if by == 0.0 || points.len() < 2 {
        return points;
    }
    let shift = |pair: &[Point]| {
        let normal = unit(pair[1] - pair[0]).map_or(Point::default(), |d| Point { x: -d.y, y: d.x });
        [pair[0] + normal * by, pair[1] + normal * by]
    };
    let mut steps: Vec<[Point; 2]> = points.windows(2).map(shift).collect();
    let ends = [steps[0][0], steps[steps.len() - 1][1]];
    let all = steps.len();
    loop {
        let moved = meeting(&steps, ends, by);
        // A step whose neighbours meet before it would run backwards: it is gone, and they meet each other.
        let backwards = (0..steps.len())
            .map(|i| (dot(moved[i + 1] - moved[i], steps[i][1] - steps[i][0]), i))
            .filter(|(along, _)| *along < 0.0)
            .min_by(|a, b| a.0.total_cmp(&b.0));
        match backwards {
            Some((_, i)) if steps.len() > 1 => {
                steps.remove(i);
            }
            _ if steps.len() == all => return moved,
            _ => return without_loops(&moved, 8.0 * by.abs()),
        }
    }
}

/// The points where steps, or their straight continuations, meet one after the other; the ends are those nearest to `ends`.
fn meeting(steps: &[[Point; 2]], ends: [Point; 2], by: Mm) -> Vec<Point> {
    let foot = |[a, b]: [Point; 2], p: Point| unit(b - a).map_or(a, |along| a + along * dot(p - a, along));
    let mut points = vec![foot(steps[0], ends[0])];
    for pair in steps.windows(2) {
        let ([a, b], [c, d]) = (pair[0], pair[1]);
        let between = (b + c) / 2.0;
        let slant = cross(b - a, d - c);
        let at = a + (b - a) * (cross(c - a, d - c) / slant);
        // Steps that hardly turn, or turn right back, meet nowhere near: half-way between them serves.
        let is_near = slant.abs() > 1e-9 * distance(a, b) * distance(c, d) && distance(at, between) <= 4.0 * by.abs();
        points.push(if is_near { at } else { between });
    }
    points.push(foot(steps[steps.len() - 1], ends[1]));
    points
}

/// The line without points so close to the one before that rounding would decide the direction between them.
pub(crate) fn cleaned(line: &[Point]) -> Vec<Point> {
    let mut points = line.to_vec();
    points.dedup_by(|b, a| distance(*a, *b) <= LEAST_STEP);
    if let (Some(end), Some(&last)) = (points.last_mut(), line.last()) {
        *end = last;
    }
    points
}

/// Cuts off loops no longer than `most`, and turns that run back on themselves at a tight curve.
fn without_loops(line: &[Point], most: Mm) -> Vec<Point> {
    let mut points: Vec<Point> = Vec::with_capacity(line.len());
    let mut index = 0;
    while index + 1 < line.len() {
        points.push(line[index]);
        let mut walked = 0.0;
        let mut exit = None;
        for other in index + 2..line.len() - 1 {
            walked += distance(line[other - 1], line[other]);
            if walked > most {
                break;
            }
            if let Some((share, _)) = shares(&line[index..index + 2], &line[other..other + 2]) {
                exit = Some((other, line[index] + (line[index + 1] - line[index]) * share));
            }
        }
        match exit {
            Some((other, point)) => {
                points.push(point);
                index = other + 1;
            }
            None => index += 1,
        }
    }
    points.extend(line.last());
    points
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::coord;

    #[test]
    fn a_rectangle_goes_in_and_out_again_with_an_allowance_of_its_own_on_each_side() {
        let ring = [(0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (0.0, 200.0)].map(|(x, y)| coord! {x: x, y: y});
        let sides: Vec<[Point; 2]> = (0..4).map(|i| [ring[i], ring[(i + 1) % 4]]).collect();
        let by = [15.0, 40.0, 10.0, 0.0];
        let inner = moved(&[0, 1, 2, 3].map(|i| (&sides[i][..], by[i])));
        assert_eq!(inner[0], [coord! {x: 0.0, y: 15.0}, coord! {x: 260.0, y: 15.0}]);
        assert_eq!(inner[2], [coord! {x: 260.0, y: 190.0}, coord! {x: 0.0, y: 190.0}]);
        let outer = moved(&[0, 1, 2, 3].map(|i| (&inner[i][..], -by[i])));
        for i in 0..4 {
            assert!(distance(outer[i][0], ring[i]) < 1e-9);
        }
    }

    #[test]
    fn a_chamfer_shorter_than_the_allowance_vanishes() {
        let ring =
            [(0.0, 0.0), (98.0, 0.0), (100.0, 2.0), (100.0, 80.0), (0.0, 80.0)].map(|(x, y)| coord! {x: x, y: y});
        let sides: Vec<[Point; 2]> = (0..5).map(|i| [ring[i], ring[(i + 1) % 5]]).collect();
        let inner = moved(&[0, 1, 2, 3, 4].map(|i| (&sides[i][..], 10.0)));
        assert_eq!(inner[1], [coord! {x: 90.0, y: 10.0}]);
        assert_eq!(inner[0][1], inner[2][0]);
    }

    #[test]
    fn a_sharp_corner_is_squared_off_and_comes_back_whole() {
        let ring = [(0.0, -20.0), (200.0, 0.0), (0.0, 20.0)].map(|(x, y)| coord! {x: x, y: y});
        let sides: Vec<[Point; 2]> = (0..3).map(|i| [ring[i], ring[(i + 1) % 3]]).collect();
        let outer = moved(&[0, 1, 2].map(|i| (&sides[i][..], -10.0)));
        let (a, b) = (outer[0][outer[0].len() - 1], outer[1][0]);
        assert!(a.x < 225.0 && distance(a, b) > 10.0, "{a:?} {b:?}");
        let cap = [a, b];
        let back = moved(&[(&outer[0], 10.0), (&cap, 10.0), (&outer[1], 10.0), (&outer[2], 10.0)]);
        assert!(distance(back[2][0], ring[1]) < 1e-6, "{back:?}");
    }
}
