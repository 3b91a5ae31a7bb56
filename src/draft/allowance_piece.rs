//! Allowance added to a whole piece: its outline, and everything marked on it, carried out to the cut line.

use indexmap::IndexMap;
use kurbo::BezPath;

use super::allowance::{Corner, CutOutline, EdgeAllowance, cut_outline};
use crate::error::{Problem, Problems};
use crate::geometry::curve::{FLATTENING, closed_ring_within};
use crate::geometry::line::shares;
use crate::geometry::ring::{RingPlace, distance, dot, nearest_place, simplified, stretch, unit, vertex_or_place};
use crate::geometry::{Point, self_contact};
use crate::piece::{self, Allowance, Dart, DartSource, Edge, Piece, PieceSource, Stitching};
use crate::units::Mm;

/// A named point belongs to the stitching line when it lies this close to it, in mm.
const POINT_TOLERANCE: Mm = 1.0;

/// A place this close to a corner of the stitching line means the corner, in mm.
const CORNER: Mm = 0.1;

/// The stitching line is flattened so that no chord strays further than this from the curve, in mm: a twentieth of what
/// outlines are flattened to, for the directions of its chords.
const FINE_FLATTENING: Mm = FLATTENING / 20.0;

/// The cut line may stray by this when it is given fewer points, in mm: with the fine flattening less than outlines do.
const SIMPLIFYING: Mm = FLATTENING / 2.0;

/// A cut line that turns by more than 8 degrees has a corner: the cosine of that.
const CORNER_COSINE: f64 = 0.99;

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
    let stitching = fine_stitching(sewn);
    let ring = &stitching.outline;
    let cut = cut_outline(ring, &stretches(sewn, &stitching, added), added.rest).map_err(|cause| {
        vec![Problem::at("allowance.add", cause, "make the allowance narrower there, or the opening wider")]
    })?;
    let outline = with_fewer_points(sewn, &cut);
    let carried = |p: Point| nearest_place(&outline, cut.carried(p)).map_or(p, |place| place.point);
    let leg_end = |dart: &Dart, leg| run_on(&outline, dart.apex, leg).unwrap_or_else(|| carried(leg));
    let source = PieceSource {
        name: sewn.name.clone(),
        outline: path(&outline),
        holes: sewn.shape.holes.iter().map(|hole| path(hole)).collect(),
        points: carried_points(sewn, carried),
        edges: sewn.edges.iter().map(|(name, edge)| (name.clone(), edge.names.clone())).collect(),
        grain: Some([Point { x: 0.0, y: 0.0 }, Point { x: 1.0, y: 0.0 }]),
        fold: fold_name(sewn).cloned(),
        notches: sewn.notches.iter().map(|&notch| carried(notch)).collect(),
        darts: sewn
            .darts
            .iter()
            .map(|dart| DartSource { apex: dart.apex, legs: dart.legs.map(|leg| leg_end(dart, leg)) })
            .collect(),
        allowance: Allowance { included: added.rest, edges: added.edges.clone() },
    };
    let mut piece = piece::build(&source)?;
    piece.stitching = Some(stitching);
    Ok(piece)
}

/// The stitching line flattened so finely that its directions at corners, which decide where cut lines meet, are true.
fn fine_stitching(sewn: &Piece) -> Stitching {
    let known = || Stitching { outline: sewn.shape.outline.clone(), edges: sewn.edges.clone() };
    let Ok(outline) = closed_ring_within(&sewn.curve, FINE_FLATTENING) else {
        return known();
    };
    if self_contact(&outline).is_some() {
        return known();
    }
    let fine = |edge: &Edge| {
        let place = |place: RingPlace| vertex_or_place(&outline, place.point, CORNER);
        let (from, to) = (place(edge.from)?, place(edge.to)?);
        Some(Edge { names: edge.names.clone(), points: stretch(&outline, from, to), from, to })
    };
    let edges = sewn.edges.iter().map(|(name, edge)| Some((name.clone(), fine(edge)?))).collect::<Option<_>>();
    edges.map_or_else(known, |edges| Stitching { outline: outline.clone(), edges })
}

/// The cut line with no more points than its curves need; corners and marked points stay.
fn with_fewer_points(sewn: &Piece, cut: &CutOutline) -> Vec<Point> {
    let ring = &cut.ring;
    let count = ring.len();
    let marked: Vec<Point> = sewn.points.values().chain(&sewn.notches).map(|&p| cut.carried(p)).collect();
    let keeps = |i: usize| {
        let (before, p, after) = (ring[(i + count - 1) % count], ring[i], ring[(i + 1) % count]);
        let turns = unit(p - before).zip(unit(after - p)).is_none_or(|(a, b)| dot(a, b) < CORNER_COSINE);
        turns || marked.iter().any(|&mark| distance(mark, p) < CORNER)
    };
    let fewer = simplified(ring, SIMPLIFYING, keeps);
    if self_contact(&fewer).is_some() { ring.clone() } else { fewer }
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
fn stretches(sewn: &Piece, stitching: &Stitching, added: &Added) -> Vec<EdgeAllowance> {
    let ring = &stitching.outline;
    let fold = sewn.fold.and_then(|fold| {
        let (from, to) = (vertex_or_place(ring, fold.from, CORNER)?, vertex_or_place(ring, fold.to, CORNER)?);
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
    fold.into_iter().chain(stitching.edges.iter().filter_map(named)).collect()
}

fn fold_name(sewn: &Piece) -> Option<&String> {
    let fold = sewn.fold?;
    let is_fold = |edge: &Edge| edge.from.point == fold.from && edge.to.point == fold.to;
    sewn.edges.iter().find(|(_, edge)| is_fold(edge)).map(|(name, _)| name)
}

/// Points on the stitching line go out to the cut line; points inside the piece stay.
fn carried_points(sewn: &Piece, carried: impl Fn(Point) -> Point) -> IndexMap<String, Point> {
    let on_outline =
        |p: Point| nearest_place(&sewn.shape.outline, p).is_some_and(|place| place.distance <= POINT_TOLERANCE);
    sewn.points.iter().map(|(name, &p)| (name.clone(), if on_outline(p) { carried(p) } else { p })).collect()
}

/// Where a dart's leg, run on from its apex over its end on the stitching line, meets the cut line.
fn run_on(ring: &[Point], apex: Point, leg: Point) -> Option<Point> {
    let beyond = leg + (leg - apex) * 10.0;
    let sides = (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()]));
    let found = sides.filter_map(|(a, b)| shares(&[leg, beyond], &[a, b])).map(|(share, _)| share);
    found.min_by(f64::total_cmp).map(|share| leg + (beyond - leg) * share)
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
