//! Where the sides of a piece begin and end, and the allowance of each.

use indexmap::IndexMap;

use super::net::CORNER_TOLERANCE;
use crate::geometry::Point;
use crate::geometry::ring::{
    CORNER_COSINE, RingPlace, distance, dot, is_on_stretch, nearest_place, unit, vertex_or_place,
};
use crate::piece::{Edge, Piece};
use crate::units::Mm;

/// A point that a side of a piece begins at.
pub(super) struct Node {
    pub(super) place: RingPlace,
    /// None at a corner without a name.
    pub(super) names: Vec<String>,
}

/// The named points of edges and the corners of a ring (cut line or stitching line) of a piece, in order round it.
pub(super) fn nodes(piece: &Piece, ring: &[Point], edges: &IndexMap<String, Edge>) -> Vec<Node> {
    let mut nodes: Vec<Node> = Vec::new();
    let mut add = |place: RingPlace, name: Option<&String>| {
        let near = |node: &&mut Node| distance(node.place.point, place.point) <= CORNER_TOLERANCE;
        match nodes.iter_mut().find(near) {
            Some(node) => node.names.extend(name.filter(|n| !node.names.contains(n)).cloned()),
            None => nodes.push(Node { place, names: name.cloned().into_iter().collect() }),
        }
    };
    for edge in edges.values() {
        let last = edge.names.len().saturating_sub(1);
        for (number, name) in edge.names.iter().enumerate() {
            let between = || piece.points.get(name).and_then(|&p| vertex_or_place(ring, p, CORNER_TOLERANCE));
            let place = match number {
                0 => Some(edge.from),
                _ if number == last => Some(edge.to),
                _ => between(),
            };
            if let Some(place) = place {
                add(place, Some(name));
            }
        }
    }
    for (index, &point) in ring.iter().enumerate() {
        let before = ring[(index + ring.len() - 1) % ring.len()];
        let after = ring[(index + 1) % ring.len()];
        if is_corner(&[before, point], &[point, after]) {
            add(RingPlace { index, along: 0.0, point, distance: 0.0 }, None);
        }
    }
    if nodes.is_empty() {
        nodes.extend(ring.first().and_then(|&p| nearest_place(ring, p)).map(|place| Node { place, names: Vec::new() }));
    }
    nodes.sort_by(|a, b| a.place.position().total_cmp(&b.place.position()));
    nodes
}

pub(super) fn is_corner(before: &[Point], after: &[Point]) -> bool {
    let ([.., a, b], [c, d, ..]) = (before, after) else {
        return false;
    };
    unit(*b - *a).zip(unit(*d - *c)).is_some_and(|(u, v)| dot(u, v) < CORNER_COSINE)
}

/// The name of the edge on the fold.
pub(super) fn fold_name(piece: &Piece) -> Option<String> {
    let fold = piece.fold?;
    let is_it = |edge: &Edge| edge.from.point == fold.from && edge.to.point == fold.to;
    piece.edges.iter().find(|(_, edge)| is_it(edge)).map(|(name, _)| name.clone())
}

/// The allowance at a place of the outline: that of the first edge there with one of its own, else the rest's.
pub(super) fn allowance_at(piece: &Piece, edges: &IndexMap<String, Edge>, at: f64) -> Mm {
    let on = |edge: &Edge| is_on_stretch(at, edge.from.position(), edge.to.position());
    let fold = fold_name(piece);
    let own = |name: &String| {
        if fold.as_ref() == Some(name) { Some(0.0) } else { piece.allowance.edges.get(name).copied() }
    };
    let here = edges.iter().filter(|(_, edge)| on(edge)).filter_map(|(name, _)| own(name));
    here.filter(|&by| by != piece.allowance.included).chain([piece.allowance.included]).next().unwrap_or(0.0)
}
