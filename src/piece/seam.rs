//! Walking a seam: how long an edge is where it is sewn.

use super::marks::POINT_TOLERANCE;
use super::{Edge, Piece};
use crate::geometry::Point;
use crate::geometry::ring::{along_polyline, distance, nearest_place, polyline_length, unit};
use crate::geometry::stitching::{Inset, Insets, crossing_along, stitching_line};
use crate::units::Mm;

/// A leg of a dart belongs to an edge when it ends this close to it, in mm.
const LEG_TOLERANCE: Mm = 1.0;

/// The lengths of one edge of a seam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeamLength {
    /// Along the cut edge.
    pub cut: Mm,
    /// Along the stitching line, between the neighbours' stitching lines.
    pub stitching: Mm,
    /// What the darts on this edge take in along the stitching line.
    pub darts: Mm,
}

impl SeamLength {
    /// What is left to be sewn once the darts are closed.
    pub fn sewn(&self) -> Mm {
        self.stitching - self.darts
    }
}

/// Walks a named edge of a piece along its stitching line, known or found from the allowance; none where the piece has no such edge.
///
/// Seams match at the stitching line, not at the cut edge (Goodheart-Willcox, Successful Sewing, 2013).
pub fn seam_length(piece: &Piece, edge: &str) -> Option<SeamLength> {
    let on = piece.edges.get(edge)?;
    let known = piece.stitching.as_ref().and_then(|stitching| stitching.edges.get(edge));
    let line = known.map_or_else(|| found_line(piece, edge, on), |edge| edge.points.clone());
    let darts = piece
        .darts
        .iter()
        .filter(|dart| dart.legs.iter().all(|&leg| along_polyline(&on.points, leg).1 <= LEG_TOLERANCE))
        .filter_map(|dart| {
            let at = |leg| crossing_along(&line, dart.apex, leg);
            Some((at(dart.legs[0])? - at(dart.legs[1])?).abs())
        })
        .sum();
    Some(SeamLength { cut: polyline_length(&on.points), stitching: polyline_length(&line), darts })
}

/// The stitching line as far as it is known: the whole of it where the piece was given by it, closed; else every named edge
/// that has an allowance, found from the cut line.
pub fn stitching_lines(piece: &Piece) -> Vec<Vec<Point>> {
    if let Some(stitching) = &piece.stitching {
        let mut ring = stitching.outline.clone();
        ring.extend(ring.first().copied());
        return vec![ring];
    }
    let has_allowance = |(name, edge): &(&String, &Edge)| allowance_on(piece, name, edge) > 0.0;
    piece.edges.iter().filter(has_allowance).map(|(name, edge)| found_line(piece, name, edge)).collect()
}

/// A named point taken in to the stitching line; none where the piece has no such point.
///
/// The end of an edge goes to the end of its stitching line, where that meets its neighbour's; a point along an edge, to the
/// nearest place of its stitching line; a point of the outline that is on no edge goes in square to it; one inside the piece
/// stays where it is.
pub fn stitching_point(piece: &Piece, name: &str) -> Option<Point> {
    let at = *piece.points.get(name)?;
    let line = |edge: &str, on: &Edge| {
        let known = piece.stitching.as_ref().and_then(|stitching| stitching.edges.get(edge));
        known.map_or_else(|| found_line(piece, edge, on), |edge| edge.points.clone())
    };
    for (edge, on) in &piece.edges {
        let is = |end: Option<&String>| end.is_some_and(|end| end == name);
        let line = || line(edge, on);
        if is(on.names.first()) {
            return line().first().copied();
        } else if is(on.names.last()) {
            return line().last().copied();
        }
    }
    let on = piece.edges.iter().find(|(_, on)| along_polyline(&on.points, at).1 <= POINT_TOLERANCE);
    if let Some((edge, on)) = on {
        return Some(nearest_on(&line(edge, on), at));
    }
    let ring = &piece.shape.outline;
    let place = nearest_place(ring, at).filter(|place| place.distance <= POINT_TOLERANCE);
    let Some(place) = place else { return Some(at) };
    let inward = unit(ring[(place.index + 1) % ring.len()] - ring[place.index]).map(|d| Point { x: -d.y, y: d.x });
    Some(inward.map_or(at, |inward| place.point + inward * piece.allowance.included))
}

/// The place of a polyline nearest to a point.
fn nearest_on(line: &[Point], p: Point) -> Point {
    let mut left = along_polyline(line, p).0;
    for pair in line.windows(2) {
        let length = distance(pair[0], pair[1]);
        if left <= length && length > 0.0 {
            return pair[0] + (pair[1] - pair[0]) * (left / length);
        }
        left -= length;
    }
    line.last().copied().unwrap_or(p)
}

/// The stitching line of an edge found from the cut line and its allowances.
fn found_line(piece: &Piece, name: &str, edge: &Edge) -> Vec<Point> {
    stitching_line(&piece.shape.outline, &insets(piece), allowance_on(piece, name, edge), edge.from, edge.to)
}

/// The allowance included along an edge; none along a fold.
fn allowance_on(piece: &Piece, name: &str, edge: &Edge) -> Mm {
    let is_at = |p, q| distance(p, q) <= POINT_TOLERANCE;
    let on_fold = piece.fold.is_some_and(|fold| is_at(edge.from.point, fold.from) && is_at(edge.to.point, fold.to));
    if on_fold { 0.0 } else { piece.allowance.edges.get(name).copied().unwrap_or(piece.allowance.included) }
}

fn insets(piece: &Piece) -> Insets {
    let stretches = piece
        .edges
        .iter()
        .map(|(name, edge)| (edge, allowance_on(piece, name, edge)))
        .filter(|(_, by)| *by != piece.allowance.included)
        .map(|(edge, by)| Inset { from: edge.from.position(), to: edge.to.position(), by })
        .collect();
    Insets { stretches, rest: piece.allowance.included }
}
