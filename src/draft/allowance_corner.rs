//! Corners of hems: the end of a wide allowance mirrored or square, in place of cut lines that run on until they meet.

use super::allowance::{Corner, Sewn, outward};
use crate::geometry::Point;
use crate::geometry::line::shares;
use crate::geometry::ring::{CORNER_COSINE, distance, dot};
use crate::geometry::symmetry::reflected;

/// A cut line walked away from a corner: first its straight continuation beyond the corner, then its points, each with
/// the point of the stitching line it belongs to.
struct Walk {
    line: Vec<Point>,
    owners: Vec<usize>,
}

/// Finishes the corner at point `i` for the allowance of the segment after it (`forwards`) or before it. Gives the new
/// corner of the cut line, or none where the cut lines are too short for it: then they are left as they are.
pub(super) fn finish(sewn: &Sewn, points: &mut [Vec<Point>], i: usize, forwards: bool, style: Corner) -> Option<Point> {
    let before = sewn.before(i);
    let far = 10.0 * (sewn.widths[before] + sewn.widths[i]);
    let hem = walk(sewn, points, i, forwards, far);
    let side = walk(sewn, points, i, !forwards, far);
    if style == Corner::Extended {
        let (at, corner) = first_crossing(&side.line, &hem.line)?;
        let (passed, _) = first_crossing(&hem.line, &side.line[at..at + 2])?;
        clear(points, &side.owners[1..=at], !forwards);
        clear(points, &hem.owners[1..=passed], forwards);
        points[i] = vec![corner];
        return Some(corner);
    }
    let p = sewn.points[i];
    let (segment, past) = if forwards { (i, -1.0) } else { (before, 1.0) };
    let along = sewn.directions[segment] * past;
    // Where the neighbour's cut line crosses the line that the allowance is turned up along.
    let (at, start) = first_crossing(&side.line, &[p, p + along * far])?;
    let end: Vec<Point> = if style == Corner::Mitred {
        let mirrored = side.line[at + 1..].iter().map(|&q| reflected(q, p, p + along));
        let mut end: Vec<Point> = std::iter::once(start).chain(mirrored).collect();
        if let [.., a, b] = end[..] {
            end.push(b + (b - a) * (far / distance(a, b).max(1e-9)));
        }
        end
    } else {
        vec![start, start + outward(sewn.directions[segment]) * far]
    };
    let (last, corner) = first_crossing(&end, &hem.line)?;
    let (passed, _) = first_crossing(&hem.line, &[end[last], end[last + 1]])?;
    clear(points, &side.owners[1..=at], !forwards);
    clear(points, &hem.owners[1..=passed], forwards);
    let mut finished = end[..=last].to_vec();
    finished.push(corner);
    if !forwards {
        finished.reverse();
    }
    points[i] = finished;
    Some(corner)
}

/// Walks the cut line of the edge after (or before) a corner as far as `far`, but not past the edge's other end.
fn walk(sewn: &Sewn, points: &[Vec<Point>], i: usize, forwards: bool, far: f64) -> Walk {
    let segment_at = |point: usize| if forwards { point } else { sewn.before(point) };
    let first = segment_at(i);
    let onwards = sewn.directions[first] * if forwards { 1.0 } else { -1.0 };
    let mut walk = Walk { line: vec![sewn.foot(first, i) - onwards * far], owners: vec![i] };
    let mut point = i;
    let mut walked = 0.0;
    for _ in 1..sewn.points.len() {
        let segment = segment_at(point);
        let next = if forwards { (point + 1) % sewn.points.len() } else { segment };
        let beyond = segment_at(next);
        let is_end = dot(sewn.directions[segment], sewn.directions[beyond]) < CORNER_COSINE
            || sewn.widths[segment] != sewn.widths[beyond];
        if is_end {
            walk.line.push(sewn.foot(segment, next));
            walk.owners.push(next);
            break;
        }
        let mut here = points[next].clone();
        if !forwards {
            here.reverse();
        }
        walked += distance(sewn.points[point], sewn.points[next]);
        walk.owners.extend(here.iter().map(|_| next));
        walk.line.extend(here);
        if walked > far {
            break;
        }
        point = next;
    }
    walk
}

/// The first place along `line` where it crosses `other`: the number of its segment, and the point.
fn first_crossing(line: &[Point], other: &[Point]) -> Option<(usize, Point)> {
    line.windows(2).enumerate().find_map(|(number, pair)| {
        let (a, b) = (pair[0], pair[1]);
        let found = other.windows(2).filter_map(|across| shares(pair, across)).map(|(share, _)| share);
        found.min_by(f64::total_cmp).map(|share| (number, a + (b - a) * share))
    })
}

/// Takes away the points that a finished corner has cut off, nearest the corner first.
fn clear(points: &mut [Vec<Point>], owners: &[usize], forwards: bool) {
    for &owner in owners {
        if forwards && !points[owner].is_empty() {
            points[owner].remove(0);
        } else {
            points[owner].pop();
        }
    }
}
