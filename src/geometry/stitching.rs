//! The stitching line: an edge of the cut outline set in by its allowance, ending where it meets its neighbours'.

use super::Point;
use super::line::{carried_on, crossings, part};
use super::offset::{CONTINUATION, STRAIGHT_ON_COSINE, moved_line};
use super::ring::{CORNER_COSINE, RingPlace, distance, dot, is_on_stretch, stretch, unit};

/// A stretch of a ring with an allowance of its own. Places are given as index + share along the segment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inset {
    /// Where it begins.
    pub from: f64,
    /// Where it ends; before `from` when the stretch runs over the ring's first point.
    pub to: f64,
    /// The allowance, in mm.
    pub by: f64,
}

/// The allowances of a whole outline: those of some stretches, and that of the rest.
#[derive(Debug, Clone, PartialEq)]
pub struct Insets {
    /// Stretches that differ from the rest; the first that holds a place counts.
    pub stretches: Vec<Inset>,
    /// Everywhere else, in mm.
    pub rest: f64,
}

impl Insets {
    fn at(&self, place: f64) -> f64 {
        self.stretches.iter().find(|s| is_on_stretch(place, s.from, s.to)).map_or(self.rest, |s| s.by)
    }
}

/// The stitching line of the stretch of a counter-clockwise ring from one place to another.
///
/// Each end lies where it crosses the neighbour's stitching line; a neighbour that runs straight on has no crossing, and
/// the line then ends square to the cut edge.
pub fn stitching_line(ring: &[Point], insets: &Insets, own: f64, from: RingPlace, to: RingPlace) -> Vec<Point> {
    let edge = stretch(ring, from, to);
    let line = moved_line(&edge, own);
    let after = insets.at(just_after(to));
    let before = insets.at(just_before(ring, from));
    let reach = |by: f64| 20.0 + 4.0 * (own + by);
    let next_run = run(ring, to, reach(after), true);
    let next = moved_line(&next_run, after);
    let mut previous_run = run(ring, from, reach(before), false);
    previous_run.reverse();
    let mut previous = moved_line(&previous_run, before);
    previous.reverse();

    let line = if runs_on(&edge, &next_run) { line } else { trimmed(line, &next, to.point) };
    let backwards = |points: Vec<Point>| -> Vec<Point> { points.into_iter().rev().collect() };
    previous_run.reverse();
    if runs_on(&backwards(edge), &previous_run) {
        return line;
    }
    backwards(trimmed(backwards(line), &previous, from.point))
}

/// Whether a neighbour, which begins where the edge ends, goes straight on from it.
fn runs_on(edge: &[Point], neighbour: &[Point]) -> bool {
    let ([.., a, b], [c, d, ..]) = (edge, neighbour) else {
        return true;
    };
    unit(*b - *a).zip(unit(*d - *c)).is_some_and(|(before, after)| dot(before, after) > STRAIGHT_ON_COSINE)
}

/// How far along a polyline the line from `apex` through `leg` first crosses it, in mm.
pub fn crossing_along(line: &[Point], apex: Point, leg: Point) -> Option<f64> {
    let beyond = apex + (leg - apex) * 1.5;
    crossings(line, &[apex, beyond]).first().map(|found| found.0)
}

/// The ring from a place onwards (or backwards) for about `reach` mm, but not round a corner: what lies beyond one is
/// another edge.
fn run(ring: &[Point], from: RingPlace, reach: f64, forwards: bool) -> Vec<Point> {
    let count = ring.len();
    let mut points = vec![from.point];
    let mut index = match (forwards, from.along > 0.0) {
        (true, _) => (from.index + 1) % count,
        (false, true) => from.index,
        (false, false) => (from.index + count - 1) % count,
    };
    let mut walked = 0.0;
    for _ in 0..count {
        let next = ring[index];
        let last = points[points.len() - 1];
        let is_corner = match points[..] {
            [.., before, _] => {
                unit(last - before).zip(unit(next - last)).is_some_and(|(a, b)| dot(a, b) < CORNER_COSINE)
            }
            _ => false,
        };
        if is_corner || walked >= reach {
            break;
        }
        if next != last {
            walked += distance(last, next);
            points.push(next);
        }
        index = if forwards { (index + 1) % count } else { (index + count - 1) % count };
    }
    points
}

fn just_after(place: RingPlace) -> f64 {
    place.position() + (1.0 - place.along) / 2.0
}

fn just_before(ring: &[Point], place: RingPlace) -> f64 {
    if place.along > 0.0 {
        place.index as f64 + place.along / 2.0
    } else {
        ((place.index + ring.len() - 1) % ring.len()) as f64 + 0.5
    }
}

/// `line` with its end moved to where it, or its straight continuation, crosses `neighbour` (which begins at the shared
/// corner, and is carried straight on at both ends); of several crossings the one nearest the corner.
fn trimmed(line: Vec<Point>, neighbour: &[Point], corner: Point) -> Vec<Point> {
    let own = carried_on(&line, 0.0, CONTINUATION);
    let other = carried_on(neighbour, CONTINUATION, CONTINUATION);
    let away = |crossing: &(f64, f64, Point)| distance(crossing.2, corner);
    let nearest = crossings(&own, &other).into_iter().min_by(|a, b| away(a).total_cmp(&away(b)));
    nearest.map_or(line, |(end, ..)| part(&own, 0.0, end))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::ring::{nearest_place, polyline_length};
    use geo::coord;

    fn line_of(ring: &[Point], insets: &Insets, own: f64, from: Point, to: Point) -> Vec<Point> {
        let place = |p| nearest_place(ring, p).unwrap();
        stitching_line(ring, insets, own, place(from), place(to))
    }

    #[test]
    fn a_rectangle_loses_its_neighbours_allowances() {
        let ring = [
            coord! {x: 0.0, y: 0.0},
            coord! {x: 300.0, y: 0.0},
            coord! {x: 300.0, y: 200.0},
            coord! {x: 0.0, y: 200.0},
        ];
        // Bottom edge 15 mm, right side 40 mm (a hem), the rest 10 mm: 300 - 40 - 10 (arithmetic).
        let insets = Insets {
            stretches: vec![Inset { from: 0.0, to: 1.0, by: 15.0 }, Inset { from: 1.0, to: 2.0, by: 40.0 }],
            rest: 10.0,
        };
        let line = line_of(&ring, &insets, 15.0, ring[0], ring[1]);
        assert!((polyline_length(&line) - 250.0).abs() < 1e-9);
        assert!(line.iter().all(|p| (p.y - 15.0).abs() < 1e-9));
    }

    #[test]
    fn an_edge_that_goes_straight_on_ends_square() {
        let path = kurbo::BezPath::from_svg("M 0 0 H 100 C 150 0 200 -10 250 -30 V 200 H 0 Z").unwrap();
        let ring = crate::geometry::curve::closed_ring(&path).unwrap();
        let insets = Insets { stretches: vec![], rest: 10.0 };
        let line = line_of(&ring, &insets, 10.0, coord! {x: 0.0, y: 0.0}, coord! {x: 100.0, y: 0.0});
        assert!((polyline_length(&line) - 90.0).abs() < 0.2, "{line:?}");
    }

    #[test]
    fn an_inner_corner_lengthens_the_line() {
        // An L: at its inner corner (100, 100) both stitching lines run on by the allowance.
        let ring = [
            coord! {x: 0.0, y: 0.0},
            coord! {x: 200.0, y: 0.0},
            coord! {x: 200.0, y: 100.0},
            coord! {x: 100.0, y: 100.0},
            coord! {x: 100.0, y: 200.0},
            coord! {x: 0.0, y: 200.0},
        ];
        let insets = Insets { stretches: vec![], rest: 10.0 };
        let line = line_of(&ring, &insets, 10.0, ring[2], ring[3]);
        // 100 less 10 at the outer corner, and 10 less at the inner: the line ends at x = 90.
        assert!((polyline_length(&line) - 100.0).abs() < 1e-9, "{line:?}");
        assert!((line[line.len() - 1].x - 90.0).abs() < 1e-9);
    }

    #[test]
    fn a_ring_sector_keeps_the_exact_lengths_of_its_stitching_lines() {
        // Radii 300 and 360, a quarter turn, 10 mm all round: the inner stitching line has radius 310 and ends where it
        // meets lines 10 mm inside the straight ends: it turns pi/2 - 2 asin(10/310) (arithmetic).
        let path = kurbo::BezPath::from_svg("M 360 0 A 360 360 0 0 1 0 360 L 0 300 A 300 300 0 0 0 300 0 Z").unwrap();
        let ring = crate::geometry::curve::closed_ring(&path).unwrap();
        let insets = Insets { stretches: vec![], rest: 10.0 };
        let line = line_of(&ring, &insets, 10.0, coord! {x: 0.0, y: 300.0}, coord! {x: 300.0, y: 0.0});
        let exact = 310.0 * (std::f64::consts::FRAC_PI_2 - 2.0 * libm::asin(10.0 / 310.0));
        assert!((polyline_length(&line) - exact).abs() < 0.3, "{} {exact}", polyline_length(&line));
    }
}
