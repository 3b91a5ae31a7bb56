//! Walking a ring: places on it, stretches of it, distances to it.

use geo::Simplify;

use super::Point;

/// An outline that turns by more than 30 degrees turns a corner: the cosine of that.
pub(crate) const CORNER_COSINE: f64 = 0.866;

/// A place on a ring: on the segment that begins at point `index`, at share `along` of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingPlace {
    /// The segment, by the index of its first point.
    pub index: usize,
    /// 0 at the segment's beginning, below 1.
    pub along: f64,
    /// The point itself.
    pub point: Point,
    /// How far the point asked for lay from the ring, in mm.
    pub distance: f64,
}

impl RingPlace {
    /// Its segment's number and share as one number, which grows round the ring.
    pub fn position(self) -> f64 {
        self.index as f64 + self.along
    }
}

/// Whether a place of a ring lies on the stretch from one place to another, which may run over the ring's first point;
/// each as its [`RingPlace::position`].
pub fn is_on_stretch(place: f64, from: f64, to: f64) -> bool {
    if from < to { from <= place && place <= to } else { place >= from || place <= to }
}

/// Distance between two points, in mm.
pub fn distance(a: Point, b: Point) -> f64 {
    libm::hypot(a.x - b.x, a.y - b.y)
}

/// Cross product of two vectors.
pub fn cross(a: Point, b: Point) -> f64 {
    a.x * b.y - a.y * b.x
}

/// Dot product of two vectors.
pub fn dot(a: Point, b: Point) -> f64 {
    a.x * b.x + a.y * b.y
}

/// The vector scaled to length 1; none where it has no direction.
pub fn unit(v: Point) -> Option<Point> {
    let length = libm::hypot(v.x, v.y);
    (length > 0.0 && length.is_finite()).then(|| v / length)
}

/// Length of a polyline, in mm.
pub fn polyline_length(points: &[Point]) -> f64 {
    points.windows(2).map(|pair| distance(pair[0], pair[1])).sum()
}

/// The share of segment `a`-`b`, 0 to 1, that lies nearest to `p`.
fn nearest_share(a: Point, b: Point, p: Point) -> f64 {
    let along = b - a;
    let square = dot(along, along);
    if square == 0.0 {
        return 0.0;
    }
    (dot(p - a, along) / square).clamp(0.0, 1.0)
}

/// How far along a polyline its point nearest to `p` lies, and how far `p` is from it, in mm.
pub fn along_polyline(points: &[Point], p: Point) -> (f64, f64) {
    let mut best = (0.0, f64::INFINITY);
    let mut walked = 0.0;
    for pair in points.windows(2) {
        let share = nearest_share(pair[0], pair[1], p);
        let length = distance(pair[0], pair[1]);
        let away = distance(pair[0] + (pair[1] - pair[0]) * share, p);
        if away < best.1 {
            best = (walked + share * length, away);
        }
        walked += length;
    }
    best
}

/// The corner of the ring within `tolerance` of `p`, or else the place nearest to it.
pub fn vertex_or_place(ring: &[Point], p: Point, tolerance: f64) -> Option<RingPlace> {
    let corner = ring
        .iter()
        .enumerate()
        .map(|(index, &point)| RingPlace { index, along: 0.0, point, distance: distance(point, p) })
        .min_by(|a, b| a.distance.total_cmp(&b.distance));
    corner.filter(|place| place.distance <= tolerance).or_else(|| nearest_place(ring, p))
}

/// The place on the ring nearest to `p`; none for a ring without points.
pub fn nearest_place(ring: &[Point], p: Point) -> Option<RingPlace> {
    let mut best: Option<RingPlace> = None;
    for (index, &a) in ring.iter().enumerate() {
        let b = ring[(index + 1) % ring.len()];
        let along = nearest_share(a, b, p);
        let point = a + (b - a) * along;
        let found = RingPlace { index, along, point, distance: distance(point, p) };
        if best.is_none_or(|so_far| found.distance < so_far.distance) {
            best = Some(found);
        }
    }
    best.map(|place| {
        if place.along >= 1.0 {
            RingPlace { index: (place.index + 1) % ring.len(), along: 0.0, ..place }
        } else {
            place
        }
    })
}

/// The stretch of a ring that runs forwards from one place to another, both ends included.
///
/// Where both are the same place it goes once round.
pub fn stretch(ring: &[Point], from: RingPlace, to: RingPlace) -> Vec<Point> {
    let mut points = vec![from.point];
    let straight_on = from.index == to.index && from.along < to.along;
    if !straight_on {
        let mut index = from.index;
        loop {
            index = (index + 1) % ring.len();
            points.push(ring[index]);
            if index == to.index {
                break;
            }
        }
    }
    points.push(to.point);
    points.dedup();
    points
}

/// Drops points that repeat the one before, and a last point that repeats the first.
pub fn without_repeats(mut ring: Vec<Point>, tolerance: f64) -> Vec<Point> {
    ring.dedup_by(|b, a| distance(*a, *b) <= tolerance);
    while ring.len() > 1 && distance(ring[0], ring[ring.len() - 1]) <= tolerance {
        ring.pop();
    }
    ring
}

/// The ring with fewer points, none of those left out further than `tolerance` from it; points that `keeps` says to keep
/// stay. The Ramer-Douglas-Peucker method, between points that stay.
pub fn simplified(ring: &[Point], tolerance: f64, keeps: impl Fn(usize) -> bool) -> Vec<Point> {
    let kept: Vec<usize> = (0..ring.len()).filter(|&i| keeps(i)).collect();
    let Some(&first) = kept.first() else {
        return ring.to_vec();
    };
    let mut points = Vec::new();
    for (number, &from) in kept.iter().enumerate() {
        let to = kept.get(number + 1).copied().unwrap_or(first + ring.len());
        let between: Vec<Point> = (from..=to).map(|i| ring[i % ring.len()]).collect();
        let fewer = geo::LineString::new(between).simplify(tolerance);
        points.extend(&fewer.0[..fewer.0.len() - 1]);
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::coord;

    fn square() -> Vec<Point> {
        vec![coord! {x: 0.0, y: 0.0}, coord! {x: 10.0, y: 0.0}, coord! {x: 10.0, y: 10.0}, coord! {x: 0.0, y: 10.0}]
    }

    #[test]
    fn a_stretch_runs_forwards_over_the_seam_of_the_ring() {
        let ring = square();
        let from = nearest_place(&ring, coord! {x: 0.0, y: 5.0}).unwrap();
        let to = nearest_place(&ring, coord! {x: 5.0, y: -1.0}).unwrap();
        assert_eq!(to.distance, 1.0);
        let short = stretch(&ring, from, to);
        assert_eq!(short, vec![coord! {x: 0.0, y: 5.0}, coord! {x: 0.0, y: 0.0}, coord! {x: 5.0, y: 0.0}]);
        assert_eq!(polyline_length(&stretch(&ring, to, from)), 30.0);
        assert_eq!(polyline_length(&stretch(&ring, from, from)), 40.0);
    }

    #[test]
    fn a_corner_belongs_to_the_segment_it_begins() {
        let ring = square();
        let place = nearest_place(&ring, coord! {x: 10.0, y: 0.0}).unwrap();
        assert_eq!((place.index, place.along), (1, 0.0));
    }

    #[test]
    fn points_that_hardly_bend_the_line_go() {
        let mut ring = square();
        ring.insert(1, coord! {x: 5.0, y: 0.01});
        ring.insert(2, coord! {x: 8.0, y: 0.02});
        assert_eq!(simplified(&ring, 0.05, |i| i != 1 && i != 2), square());
        assert_eq!(simplified(&ring, 0.001, |i| i != 1 && i != 2), ring);
        assert_eq!(simplified(&ring, 0.05, |i| i != 1).len(), 5);
        assert_eq!(simplified(&ring, 0.05, |_| false), ring);
    }

    #[test]
    fn repeats_go() {
        let mut ring = square();
        ring.insert(1, ring[0]);
        ring.push(ring[0]);
        assert_eq!(without_repeats(ring, 1e-9), square());
    }
}
