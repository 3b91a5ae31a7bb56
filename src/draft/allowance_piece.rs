//! Allowance added to a whole piece: its outline, and everything marked on it, carried out to the cut line.

use indexmap::IndexMap;
use kurbo::BezPath;

use super::allowance::{Corner, CutOutline, EdgeAllowance, cut_outline};
use crate::error::{Problem, Problems};
use crate::geometry::Point;
use crate::geometry::ring::nearest_place;
use crate::geometry::stitching::crossing;
use crate::piece::{self, Allowance, Dart, DartSource, Edge, Piece, PieceSource, Stitching};
use crate::units::Mm;

/// A named point belongs to the stitching line when it lies this close to it, in mm.
const POINT_TOLERANCE: Mm = 1.0;

/// Allowance to be added to a piece that is given by its stitching line.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Added {
    /// On every edge not named below.
    pub rest: Mm,
    /// On these edges; a fold edge gets none whatever is written here.
    pub edges: IndexMap<String, Mm>,
    /// How the corners at the ends of these edges are finished; those of others are extended.
    pub corners: IndexMap<String, Corner>,
}

impl Added {
    /// All of it `by` times as wide.
    #[must_use]
    pub fn scaled(mut self, by: f64) -> Self {
        self.rest *= by;
        self.edges.values_mut().for_each(|width| *width *= by);
        self
    }
}

/// The piece to be cut, from a piece whose outline is its stitching line.
///
/// Named points and notches go out to the cut line, darts' legs run on to it, a fold edge stays where it is. Cut-outs
/// (holes) get no allowance. The stitching line is kept beside the cut line ([`Piece::stitching`]).
///
/// # Errors
/// Names that are no edges of the piece, and allowances that leave no cut line; keys are relative to the piece.
pub fn add_allowance(sewn: &Piece, added: &Added) -> Result<Piece, Problems> {
    let problems = unknown_edges(sewn, added);
    if !problems.is_empty() {
        return Err(problems);
    }
    let cut = cut_outline(&sewn.shape.outline, &stretches(sewn, added), added.rest).map_err(|cause| {
        vec![Problem::at("allowance.add", cause, "make the allowance narrower there, or the opening wider")]
    })?;
    let dart = |dart: &Dart| DartSource { apex: dart.apex, legs: dart.legs.map(|leg| leg_end(&cut, dart.apex, leg)) };
    let source = PieceSource {
        name: sewn.name.clone(),
        outline: path(&cut.ring),
        holes: sewn.shape.holes.iter().map(|hole| path(hole)).collect(),
        points: carried_points(sewn, &cut),
        edges: sewn.edges.iter().map(|(name, edge)| (name.clone(), edge.names.clone())).collect(),
        grain: Some([Point { x: 0.0, y: 0.0 }, Point { x: 1.0, y: 0.0 }]),
        fold: fold_name(sewn).cloned(),
        notches: sewn.notches.iter().map(|&notch| cut.carried(notch)).collect(),
        darts: sewn.darts.iter().map(dart).collect(),
        allowance: Allowance { included: added.rest, edges: added.edges.clone() },
    };
    let mut piece = piece::build(&source)?;
    piece.stitching = Some(Stitching { outline: sewn.shape.outline.clone(), edges: sewn.edges.clone() });
    Ok(piece)
}

fn unknown_edges(sewn: &Piece, added: &Added) -> Problems {
    let unknown = |key: &str, name: &String| {
        let cause = format!("An allowance names the edge \"{name}\", which this piece does not have.");
        Problem::at(format!("allowance.{key}.{name}"), cause, "add it to \"edges\"")
    };
    let edges = added.edges.keys().map(|name| ("edges", name));
    let corners = added.corners.keys().map(|name| ("corners", name));
    edges
        .chain(corners)
        .filter(|(_, name)| !sewn.edges.contains_key(*name))
        .map(|(key, name)| unknown(key, name))
        .collect()
}

/// The allowances by stretch of the outline; the fold, which has none, goes before all others.
fn stretches(sewn: &Piece, added: &Added) -> Vec<EdgeAllowance> {
    let ring = &sewn.shape.outline;
    let fold = sewn.fold.and_then(|fold| {
        let (from, to) = (nearest_place(ring, fold.from)?, nearest_place(ring, fold.to)?);
        Some(EdgeAllowance { from, to, by: 0.0, corner: Corner::Extended })
    });
    let named = |(name, edge): (&String, &Edge)| {
        let (by, corner) = (added.edges.get(name), added.corners.get(name));
        (by.is_some() || corner.is_some()).then(|| EdgeAllowance {
            from: edge.from,
            to: edge.to,
            by: by.copied().unwrap_or(added.rest),
            corner: corner.copied().unwrap_or_default(),
        })
    };
    fold.into_iter().chain(sewn.edges.iter().filter_map(named)).collect()
}

fn fold_name(sewn: &Piece) -> Option<&String> {
    let fold = sewn.fold?;
    let is_fold = |edge: &Edge| edge.from.point == fold.from && edge.to.point == fold.to;
    sewn.edges.iter().find(|(_, edge)| is_fold(edge)).map(|(name, _)| name)
}

/// Points on the stitching line go out to the cut line; points inside the piece stay.
fn carried_points(sewn: &Piece, cut: &CutOutline) -> IndexMap<String, Point> {
    let on_outline =
        |p: Point| nearest_place(&sewn.shape.outline, p).is_some_and(|place| place.distance <= POINT_TOLERANCE);
    sewn.points.iter().map(|(name, &p)| (name.clone(), if on_outline(p) { cut.carried(p) } else { p })).collect()
}

/// Where a dart's leg, run on from its apex over its end on the stitching line, meets the cut line.
fn leg_end(cut: &CutOutline, apex: Point, leg: Point) -> Point {
    let beyond = leg + (leg - apex) * 10.0;
    let count = cut.ring.len();
    let sides = (0..count).map(|i| (cut.ring[i], cut.ring[(i + 1) % count]));
    let shares = sides.filter_map(|(a, b)| crossing(leg, beyond, a, b));
    shares.min_by(f64::total_cmp).map_or_else(|| cut.carried(leg), |share| leg + (beyond - leg) * share)
}

fn path(ring: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    for (number, p) in ring.iter().enumerate() {
        if number == 0 {
            path.move_to((p.x, p.y));
        } else {
            path.line_to((p.x, p.y));
        }
    }
    path.close_path();
    path
}
