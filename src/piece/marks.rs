//! What a piece as given must satisfy: rings, grain, named points, notches, darts.

use std::collections::BTreeSet;

use geo::Validation;
use kurbo::BezPath;

use super::PieceSource;
use crate::error::{Problem, Problems};
use crate::geometry::curve::{CurveFault, MOST_POINTS, closed_ring};
use crate::geometry::ring::{nearest_place, unit};
use crate::geometry::{Point, ring_area, ring_bounds, self_contact};
use crate::units::{Mm, Rounding, both as both_systems};

/// A named point belongs to the outline when it lies this close to it, in mm.
pub(super) const POINT_TOLERANCE: Mm = 1.0;

/// An outline with less area than this is no piece of cloth, in square mm.
const LEAST_AREA: f64 = 1.0;

/// The ring of one closed path, or a problem at `key`.
pub(super) fn ring_of(path: &BezPath, key: &str, problems: &mut Problems) -> Option<Vec<Point>> {
    let problem = match closed_ring(path) {
        Ok(ring) => match ring_problem(&ring) {
            None => return Some(ring),
            Some((cause, hint)) => Problem::at(key, cause, hint),
        },
        Err(fault) => {
            let (cause, hint) = curve_fault(fault);
            Problem::at(key, cause, hint)
        }
    };
    problems.push(problem);
    None
}

fn curve_fault(fault: CurveFault) -> (String, &'static str) {
    match fault {
        CurveFault::Empty => {
            ("There is no outline.".into(), "give the outline as SVG path data or as a list of points")
        }
        CurveFault::Several => (
            "The outline is more than one closed line.".into(),
            "give one closed line; put cut-outs under \"holes\" and other pieces under keys of their own",
        ),
        CurveFault::Open(apart) => (
            format!("The outline is open: it ends {} from where it began.", both(apart)),
            "end it where it began, or close it with Z",
        ),
        CurveFault::NotFinite => {
            ("The outline has a coordinate beyond all measure.".into(), "check its numbers and the project's units")
        }
        CurveFault::TooManyPoints(count) => (
            format!("The outline has {count} points; {MOST_POINTS} is the most that is worked on."),
            "draw it with fewer points or with curves",
        ),
    }
}

fn ring_problem(ring: &[Point]) -> Option<(String, String)> {
    let bounds = ring_bounds(ring);
    let is_flat = ring.len() < 3 || bounds.length() * bounds.width() < LEAST_AREA;
    if !is_flat && let Some(p) = self_contact(ring) {
        let cause = format!("The outline crosses or touches itself near {}.", spot(p));
        return Some((cause, "redraw it there as one line that never meets itself".into()));
    }
    if is_flat || ring_area(ring).abs() < LEAST_AREA {
        let hint = "an outline goes round the piece once; check its numbers and the project's units";
        return Some(("The outline encloses no cloth: its area is zero.".into(), hint.into()));
    }
    None
}

/// A place in the piece's own coordinates, for people.
fn spot(p: Point) -> String {
    format!("x = {}, y = {}", both(p.x), both(p.y))
}

/// Holes must lie inside the outline and apart.
pub(super) fn check_holes(outline: &[Point], holes: &[Vec<Point>], problems: &mut Problems) {
    if holes.is_empty() {
        return;
    }
    let closed = |points: &[Point]| geo::LineString::new(points.to_vec());
    let polygon = geo::Polygon::new(closed(outline), holes.iter().map(|hole| closed(hole)).collect());
    if !polygon.is_valid() {
        let cause = "A hole reaches out of the piece, or holes meet each other.";
        problems.push(Problem::at("holes", cause, "keep each hole inside the outline and apart from the others"));
    }
}

/// The grain line's direction, length 1.
pub(super) fn grain_direction(source: &PieceSource, problems: &mut Problems) -> Option<Point> {
    let Some([from, to]) = source.grain else {
        let hint = "give \"grain\" as two points, from and to, pointing to the top of the garment";
        problems.push(Problem::at("grain", "The piece has no grain line.", hint));
        return None;
    };
    let direction = unit(to - from);
    if direction.is_none() {
        problems.push(Problem::at("grain", "The grain line has no length.", "give two different points"));
    }
    direction
}

/// Named points that edges use, notches and dart legs must lie on the outline; names must exist.
pub(super) fn check_marks(source: &PieceSource, outline: &[Point], problems: &mut Problems) {
    let mut on_outline = |key: String, what: String, p: Point, allowed: Mm| {
        let away = nearest_place(outline, p).map_or(f64::INFINITY, |place| place.distance);
        if away > allowed || away.is_nan() {
            let cause = format!("{what} lies {} from the outline.", both(away));
            problems.push(Problem::at(key, cause, "move it onto the cut outline"));
        }
    };
    for name in source.edges.values().flatten().collect::<BTreeSet<_>>() {
        if let Some(&p) = source.points.get(name) {
            on_outline(format!("points.{name}"), format!("The point \"{name}\" of an edge"), p, POINT_TOLERANCE);
        }
    }
    for (i, &notch) in source.notches.iter().enumerate() {
        on_outline(format!("notches[{i}]"), "This notch".into(), notch, 5.0 * POINT_TOLERANCE);
    }
    for (i, dart) in source.darts.iter().enumerate() {
        for leg in dart.legs {
            on_outline(format!("darts[{i}].legs"), "The end of this dart leg".into(), leg, 2.0 * POINT_TOLERANCE);
        }
    }
    for (edge, names) in &source.edges {
        let key = format!("edges.{edge}");
        if names.len() < 2 {
            problems.push(Problem::at(
                &key,
                "An edge needs the names of two points or more.",
                "name its first and last point",
            ));
        }
        for name in names.iter().filter(|name| !source.points.contains_key(*name)) {
            problems.push(Problem::at(
                &key,
                format!("There is no point \"{name}\" in this piece."),
                "add it to \"points\"",
            ));
        }
    }
    let unknown = |name: &String| !source.edges.contains_key(name);
    if let Some(name) = source.fold.as_ref().filter(|name| unknown(name)) {
        let cause = format!("The fold names the edge \"{name}\", which this piece does not have.");
        problems.push(Problem::at("fold", cause, "add it to \"edges\""));
    }
    for name in source.allowance.edges.keys().filter(|name| unknown(name)) {
        let cause = format!("An allowance names the edge \"{name}\", which this piece does not have.");
        problems.push(Problem::at(format!("allowance.edges.{name}"), cause, "add it to \"edges\""));
    }
}

/// A length in words, both ways.
pub(super) fn both(mm: Mm) -> String {
    both_systems(mm, Rounding::Nearest)
}
