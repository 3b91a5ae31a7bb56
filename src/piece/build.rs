//! From a piece as given to a piece that can be cut: checked, turned so that its grain runs along +x.

use indexmap::IndexMap;
use kurbo::{Affine, BezPath};

use super::fold::{fold_direction, fold_edge, fold_meets_grain, straightened};
use super::marks::{check_holes, check_marks, grain_direction, ring_of};
use super::{Dart, Edge, OwnMirror, Piece, PieceSource};
use crate::error::{Problem, Problems};
use crate::geometry::ring::{self, along_polyline, cross, stretch, vertex_or_place};
use crate::geometry::{Point, Shape, self_contact, symmetry};

/// A named point this close to a corner of the outline means the corner, in mm.
const CORNER_TOLERANCE: f64 = 0.1;

/// Checks a piece and makes it ready.
///
/// # Errors
/// Every problem found, with keys relative to the piece ("outline", "edges.waist").
pub fn build(source: &PieceSource) -> Result<Piece, Problems> {
    let mut problems = Problems::new();
    let outline = ring_of(&source.outline, "outline", &mut problems);
    let holes: Vec<Vec<Point>> = source
        .holes
        .iter()
        .enumerate()
        .filter_map(|(i, hole)| ring_of(hole, &format!("holes[{i}]"), &mut problems))
        .collect();
    let grain = grain_direction(source, &mut problems);
    if let Some(outline) = &outline {
        check_holes(outline, &holes, &mut problems);
        check_marks(source, outline, &mut problems);
    }
    let (Some(outline), Some(grain), true) = (outline, grain, problems.is_empty()) else {
        return Err(problems);
    };

    fold_meets_grain(source, &outline, grain).map_err(|problem| vec![problem])?;
    let along = fold_direction(source, &outline).map_or(grain, |fold| straightened(source, grain, fold));
    let turn = Turn { along };
    let place = |points: &[Point]| -> Vec<Point> { points.iter().map(|&p| turn.apply(p)).collect() };
    let mut shape = Shape::new(place(&outline), holes.iter().map(|hole| place(hole)).collect());
    let points: IndexMap<String, Point> =
        source.points.iter().map(|(name, &p)| (name.clone(), turn.apply(p))).collect();

    let mut fold = None;
    if let Some(name) = &source.fold {
        match fold_edge(&shape, &points, name, &source.edges[name]) {
            Ok((folded, edge)) => (shape, fold) = (folded, Some(edge)),
            Err(problem) => problems.push(problem),
        }
    }
    let own_mirror = if fold.is_none() { own_mirror(&mut shape) } else { OwnMirror::default() };
    let edges = edges(&shape, &points, &source.edges, &mut problems);
    if !problems.is_empty() {
        return Err(problems);
    }
    let dart =
        |dart: &super::DartSource| Dart { apex: turn.apply(dart.apex), legs: dart.legs.map(|leg| turn.apply(leg)) };
    Ok(Piece {
        name: source.name.clone(),
        curve: turned_curve(&source.outline, turn),
        shape,
        points,
        edges,
        fold,
        notches: place(&source.notches),
        darts: source.darts.iter().map(dart).collect(),
        allowance: source.allowance.clone(),
        stitching: None,
        own_mirror,
    })
}

/// The turn that brings a direction to +x.
#[derive(Clone, Copy)]
struct Turn {
    along: Point,
}

impl Turn {
    fn apply(self, p: Point) -> Point {
        // Adding 0 turns -0 into 0, so that equal places print alike.
        Point { x: ring::dot(self.along, p) + 0.0, y: cross(self.along, p) + 0.0 }
    }
}

fn turned_curve(curve: &BezPath, turn: Turn) -> BezPath {
    use kurbo::Shape as _;
    let Point { x, y } = turn.along;
    let turned = Affine::new([x, -y, y, x, 0.0, 0.0]) * curve.clone();
    if turned.area() < 0.0 { turned.reverse_subpaths() } else { turned }
}

fn edges(
    shape: &Shape,
    points: &IndexMap<String, Point>,
    sources: &IndexMap<String, Vec<String>>,
    problems: &mut Problems,
) -> IndexMap<String, Edge> {
    let ring = &shape.outline;
    let mut edges = IndexMap::new();
    for (name, names) in sources {
        let places: Vec<_> =
            names.iter().filter_map(|n| vertex_or_place(ring, *points.get(n)?, CORNER_TOLERANCE)).collect();
        let [from, between @ .., to] = &places[..] else {
            continue;
        };
        let line = stretch(ring, *from, *to);
        let mut walked = 0.0;
        for (place, point) in between.iter().zip(&names[1..]) {
            let (along, away) = along_polyline(&line, place.point);
            if along < walked || away > CORNER_TOLERANCE {
                let cause = format!("The point \"{point}\" does not come where the edge names it.");
                let hint = "an edge runs counter-clockwise along the outline from its first point to its last";
                problems.push(Problem::at(format!("edges.{name}"), cause, hint));
            }
            walked = along;
        }
        edges.insert(name.clone(), Edge { names: names.clone(), points: line, from: *from, to: *to });
    }
    edges
}

/// Finds whether the shape is its own mirror image, and makes it exactly so where it is.
fn own_mirror(shape: &mut Shape) -> OwnMirror {
    if !shape.holes.is_empty() {
        return OwnMirror::default();
    }
    let quarter = |ring: &[Point], sign: f64| -> Vec<Point> {
        ring.iter().map(|p| Point { x: -sign * p.y, y: sign * p.x }).collect()
    };
    let symmetric = |ring: Vec<Point>| -> Option<Vec<Point>> {
        let line = symmetry::mirror_line(&ring)?;
        symmetry::made_symmetric(&ring, line).filter(|exact| self_contact(exact).is_none())
    };
    let mut found = OwnMirror::default();
    if let Some(exact) = symmetric(shape.outline.clone()) {
        shape.outline = exact;
        found.along_grain = true;
    }
    if let Some(exact) = symmetric(quarter(&shape.outline, 1.0)) {
        shape.outline = quarter(&exact, -1.0);
        found.across_grain = true;
    }
    found
}
