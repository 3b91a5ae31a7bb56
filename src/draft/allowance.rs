//! Allowance added to a stitching line: from the line that is sewn to the line that is cut.
//!
//! Every edge is set out by its own allowance, and the cut lines of neighbouring edges run on until they meet. Where one
//! edge has much more than its neighbour, as a hem has, that leaves a corner that does not fit its own piece once it is
//! turned up; [`Corner`] says how to finish it (both ways are common practice).

use super::allowance_corner::finish;
use crate::geometry::ring::{
    CORNER_COSINE, RingPlace, cross, distance, dot, is_on_stretch, nearest_place, unit, vertex_or_place,
    without_repeats,
};
use crate::geometry::{Point, ring_area, self_contact, wound_about};
use crate::units::Mm;

/// A corner sharper than this many times the allowance is cut off square, in allowances measured from the stitched corner.
const SHARPEST: f64 = 4.0;

/// A point this close to a corner of the stitching line means the corner, in mm.
const CORNER_TOLERANCE: Mm = 0.1;

/// Gaps that close with less area than this between cut lines are no holes but rounding, in square mm.
const LEAST_GAP: f64 = 0.01;

/// The allowance of one stretch of the stitching line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeAllowance {
    /// Where on the stitching line it begins.
    pub from: RingPlace,
    /// Where it ends, counter-clockwise from there; the whole ring where both are the same place.
    pub to: RingPlace,
    /// Its width; 0 on a fold.
    pub by: Mm,
    /// How the corners at its two ends are finished.
    pub corner: Corner,
}

/// How the corner between an edge and its neighbour is finished.
///
/// Where two edges ask for different corners the wider allowance decides. Beside an edge without allowance, as on a fold,
/// and at corners that point inward or are nearly straight, cut lines always run on until they meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Corner {
    /// Both cut lines run straight on until they meet.
    #[default]
    Extended,
    /// The end of the allowance is the neighbour's cut line mirrored about this edge's stitching line: turned up along it,
    /// the allowance lies flat on the piece, edge on edge. For hems of skirts that widen and of sleeves that narrow. A
    /// curved edge is mirrored about its direction at the corner.
    Mitred,
    /// The end of the allowance is square to this edge's stitching line, from where that meets the neighbour's cut line.
    Squared,
}

/// A cut line with the stitching line it came from.
#[derive(Debug, Clone, PartialEq)]
pub struct CutOutline {
    /// The cut line: counter-clockwise, simple, first point not repeated.
    pub ring: Vec<Point>,
    sewn: Sewn,
    /// Where the cut line has the corner of each point of the stitching line.
    corners: Vec<Point>,
}

impl CutOutline {
    /// Where a point of the stitching line goes on the cut line: a corner to the corner of the cut line, anything else (a
    /// notch, the end of a dart's leg) square to the stitching line out to the cut line.
    pub fn carried(&self, p: Point) -> Point {
        let Some(place) = vertex_or_place(&self.sewn.points, p, CORNER_TOLERANCE) else {
            return p;
        };
        let aim = if place.along == 0.0 {
            self.corners[place.index]
        } else {
            place.point + outward(self.sewn.directions[place.index]) * self.sewn.widths[place.index]
        };
        nearest_place(&self.ring, aim).map_or(aim, |found| found.point)
    }
}

/// From the stitching line (counter-clockwise ring, mm) to the cut line.
///
/// `edges` are the stretches that differ from the `rest`; the first that holds a place counts. Inside a curve tighter
/// than the allowance the cut line is trimmed to where its two sides meet. A corner sharper than about 30 degrees is cut
/// off square.
///
/// # Errors
/// In words, where an allowance is no length, the stitching line is no outline, or an opening in it is so narrow that
/// the allowances of its two sides close it.
pub fn cut_outline(stitching: &[Point], edges: &[EdgeAllowance], rest: Mm) -> Result<CutOutline, String> {
    let measured = |by: Mm| by.is_finite() && by >= 0.0;
    if !measured(rest) || edges.iter().any(|edge| !measured(edge.by)) {
        return Err("An allowance is not a length of 0 or more.".to_owned());
    }
    let area = ring_area(stitching);
    if stitching.len() < 3 || !area.is_finite() || area <= 0.0 || self_contact(stitching).is_some() {
        return Err("The stitching line is not an outline: it has to go round once, counter-clockwise.".to_owned());
    }
    let sewn = Sewn::new(stitching, edges, rest).ok_or("The stitching line has points that repeat.")?;
    let met: Vec<(Vec<Point>, Point)> = (0..sewn.points.len()).map(|i| sewn.meeting(i)).collect();
    let (mut points, mut corners): (Vec<Vec<Point>>, Vec<Point>) = met.into_iter().unzip();
    for (i, place) in corners.iter_mut().enumerate() {
        if let Some((forwards, style)) = sewn.finish_asked(i)
            && let Some(corner) = finish(&sewn, &mut points, i, forwards, style)
        {
            *place = corner;
        }
    }
    let ring = simple(points.concat(), area)?;
    Ok(CutOutline { ring, sewn, corners })
}

/// The stitching line with a point wherever the allowance changes. Segment i runs from point i to the next.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sewn {
    pub(super) points: Vec<Point>,
    /// The direction of each segment.
    pub(super) directions: Vec<Point>,
    /// The allowance of each segment.
    pub(super) widths: Vec<Mm>,
    lengths: Vec<Mm>,
    /// The edge that each segment belongs to, by number, and how its ends are finished.
    owners: Vec<Option<(usize, Corner)>>,
}

impl Sewn {
    fn new(ring: &[Point], edges: &[EdgeAllowance], rest: Mm) -> Option<Self> {
        let mut points = Vec::new();
        let (mut widths, mut owners) = (Vec::new(), Vec::new());
        for (index, &a) in ring.iter().enumerate() {
            let b = ring[(index + 1) % ring.len()];
            let mut cuts: Vec<f64> = edges
                .iter()
                .flat_map(|edge| [edge.from, edge.to])
                .filter(|place| place.index == index)
                .map(|place| place.along)
                .filter(|along| along.min(1.0 - along) * distance(a, b) > 1e-6)
                .collect();
            cuts.sort_by(f64::total_cmp);
            cuts.dedup_by(|later, earlier| (*later - *earlier) * distance(a, b) < 1e-6);
            cuts.insert(0, 0.0);
            for (number, &from) in cuts.iter().enumerate() {
                let to = cuts.get(number + 1).copied().unwrap_or(1.0);
                let middle = index as f64 + f64::midpoint(from, to);
                let owner =
                    edges.iter().position(|edge| is_on_stretch(middle, edge.from.position(), edge.to.position()));
                points.push(a + (b - a) * from);
                widths.push(owner.map_or(rest, |number| edges[number].by));
                owners.push(owner.map(|number| (number, edges[number].corner)));
            }
        }
        let next = |i: usize| points[(i + 1) % points.len()];
        let directions: Option<Vec<Point>> = (0..points.len()).map(|i| unit(next(i) - points[i])).collect();
        let lengths = (0..points.len()).map(|i| distance(points[i], next(i))).collect();
        Some(Self { directions: directions?, points, widths, lengths, owners })
    }

    /// The segment that ends at a point.
    pub(super) fn before(&self, i: usize) -> usize {
        (i + self.points.len() - 1) % self.points.len()
    }

    /// The foot on its cut line of an end of a segment.
    pub(super) fn foot(&self, segment: usize, end: usize) -> Point {
        self.points[end] + outward(self.directions[segment]) * self.widths[segment]
    }

    /// Whether a corner has to be finished: for the segment after it (true) or before it, and how.
    fn finish_asked(&self, i: usize) -> Option<(bool, Corner)> {
        let before = self.before(i);
        let (d0, d1) = (self.directions[before], self.directions[i]);
        let (sine, cosine) = (cross(d0, d1), dot(d0, d1));
        let (a0, a1) = (self.widths[before], self.widths[i]);
        if sine <= 0.0 || cosine > CORNER_COSINE || self.owners[before] == self.owners[i] {
            return None;
        }
        let style = |segment: usize| self.owners[segment].map_or(Corner::Extended, |(_, corner)| corner);
        let (wider, other) = if a1 > a0 { (i, before) } else { (before, i) };
        let asked = [wider, other].into_iter().find(|&segment| style(segment) != Corner::Extended);
        if let Some(segment) = asked.filter(|_| a0 > 0.0 && a1 > 0.0 && sine > 0.5) {
            return Some((segment == i, style(segment)));
        }
        // Cut lines that meet further back than their last segments reach have to be walked to be found.
        let back = (a0 * cosine - a1).max(a1 * cosine - a0) / sine;
        let is_far = back > self.lengths[before].min(self.lengths[i]) / 2.0;
        is_far.then_some((true, Corner::Extended))
    }

    /// How the cut lines of the two segments at a point meet: the points of the cut line there, and its corner.
    fn meeting(&self, i: usize) -> (Vec<Point>, Point) {
        let before = self.before(i);
        let p = self.points[i];
        let (d0, d1) = (self.directions[before], self.directions[i]);
        let (a0, a1) = (self.widths[before], self.widths[i]);
        let (f0, f1) = (self.foot(before, i), self.foot(i, i));
        let (sine, cosine) = (cross(d0, d1), dot(d0, d1));
        // Cut lines that hardly turn do not meet near the corner: the wider one steps square down to the other.
        if cosine > CORNER_COSINE && a0 < a1 * cosine {
            let step = p + outward(d1) * (a0 / cosine);
            return (vec![step, f1], f1);
        }
        if cosine > CORNER_COSINE && a1 < a0 * cosine {
            let step = p + outward(d0) * (a1 / cosine);
            return (vec![f0, step], f0);
        }
        if sine < 0.0 && cosine < -0.999_999 || sine == 0.0 && cosine < 0.0 {
            return (vec![f0, p, f1], p);
        }
        let meeting = if a0 == a1 {
            p + (outward(d0) + outward(d1)) * (a0 / (1.0 + cosine))
        } else {
            f0 + d0 * ((a1 - a0 * cosine) / sine)
        };
        if sine >= 0.0 {
            if distance(meeting, p) > SHARPEST * a0.max(a1) {
                blunt(p, (d0, a0), (d1, a1))
            } else {
                (vec![meeting], meeting)
            }
        } else if distance(meeting, f0) <= self.lengths[before] / 2.0 && distance(meeting, f1) <= self.lengths[i] / 2.0
        {
            (vec![meeting], meeting)
        } else {
            // An inner corner beside segments that end before their cut lines would meet: out to each foot and back
            // over the corner makes a loop that winds the wrong way and is trimmed with the rest.
            (vec![f0, p, f1], meeting)
        }
    }
}

/// To the right of a direction: away from a shape that lies to its left.
pub(super) fn outward(direction: Point) -> Point {
    Point { x: direction.y, y: -direction.x }
}

/// A sharp corner cut off square, as far out as the wider allowance.
fn blunt(p: Point, (d0, a0): (Point, Mm), (d1, a1): (Point, Mm)) -> (Vec<Point>, Point) {
    let (n0, n1) = (outward(d0), outward(d1));
    let out = unit(n0 + n1).filter(|out| dot(*out, d0) > 0.05).unwrap_or(d0);
    let far = a0.max(a1);
    let on_line = |d: Point, n: Point, by: Mm| {
        let along = dot(d, out);
        if along == 0.0 { p + n * by } else { p + n * by + d * ((far - by * dot(n, out)) / along) }
    };
    (vec![on_line(d0, n0, a0), on_line(d1, n1, a1)], p + out * far)
}

/// A ring made simple: what winds about nothing, or backwards, goes.
fn simple(raw: Vec<Point>, least_area: f64) -> Result<Vec<Point>, String> {
    let raw = without_repeats(raw, 1e-9);
    if self_contact(&raw).is_none() && ring_area(&raw) >= least_area {
        return Ok(raw);
    }
    let mut shapes = wound_about(&raw);
    shapes.retain(|shape| shape.area() > LEAST_GAP);
    let [shape] = &mut shapes[..] else {
        return Err("The allowances leave no single cut line.".to_owned());
    };
    if shape.holes.iter().any(|hole| ring_area(hole) < -LEAST_GAP) {
        return Err("The allowances on the two sides of an opening meet and close it.".to_owned());
    }
    let ring = without_repeats(std::mem::take(&mut shape.outline), 1e-6);
    if self_contact(&ring).is_some() {
        return Err("The cut line would touch itself.".to_owned());
    }
    Ok(ring)
}
