//! The fold edge: straight, outermost, parallel to the grain.

use indexmap::IndexMap;

use super::marks::{POINT_TOLERANCE, both};
use super::{FoldEdge, PieceSource};
use crate::error::Problem;
use crate::geometry::ring::{self, cross, distance, nearest_place, stretch, unit, vertex_or_place};
use crate::geometry::{Point, Shape};
use crate::units::Mm;

/// A fold edge may stray this far from the straight line between its ends, in mm.
const FOLD_TOLERANCE: Mm = 0.5;

/// Grain and fold edge count as parallel when they part by no more than this over the arrow's length, in mm: 1/8 in, from
/// memory.
const GRAIN_TOLERANCE: Mm = 3.175;

/// And never when they part by more than 2 degrees, however short the arrow: the sine of that.
const MOST_SLANT: f64 = 0.0349;

/// How far fold edge and grain may part, as the sine of the angle between them.
fn slant_allowed(source: &PieceSource) -> f64 {
    let arrow = source.grain.map_or(0.0, |[from, to]| distance(from, to));
    (GRAIN_TOLERANCE / arrow).min(MOST_SLANT)
}

/// From one end of the fold edge to the other, as given.
pub(super) fn fold_direction(source: &PieceSource, outline: &[Point]) -> Option<Point> {
    let names = source.edges.get(source.fold.as_ref()?)?;
    let at = |name: &String| nearest_place(outline, *source.points.get(name)?);
    Some(at(names.last()?)?.point - at(names.first()?)?.point)
}

/// The grain's direction, moved by a hair where that makes it exactly parallel or square to the fold edge.
pub(super) fn straightened(source: &PieceSource, grain: Point, fold: Point) -> Point {
    let Some(direction) = unit(fold) else {
        return grain;
    };
    let allowed = slant_allowed(source);
    let quarter = Point { x: -direction.y, y: direction.x };
    [direction, quarter, direction * -1.0, quarter * -1.0]
        .into_iter()
        .find(|d| ring::dot(*d, grain) > 0.0 && cross(*d, grain).abs() <= allowed)
        .unwrap_or(grain)
}

/// A fold edge lies along the grain, across it, or on the bias: anything else is a slip of the drawing.
pub(super) fn fold_meets_grain(source: &PieceSource, outline: &[Point], grain: Point) -> Result<(), Problem> {
    let Some(fold) = fold_direction(source, outline) else {
        return Ok(());
    };
    let degrees = (libm::atan2(cross(grain, fold), ring::dot(grain, fold)).to_degrees()).rem_euclid(45.0);
    let off = degrees.min(45.0 - degrees);
    if libm::sin(off.to_radians()) <= slant_allowed(source) {
        return Ok(());
    }
    let cause = format!("The fold edge runs {off:.1} degrees off the grain line.");
    let hint =
        "a fold edge is parallel to the grain (across it or on the bias for a piece cut so): turn one or the other";
    Err(Problem::at("grain", cause, hint))
}

/// The shape with its fold edge made exactly straight, and that edge.
pub(super) fn fold_edge(
    shape: &Shape,
    points: &IndexMap<String, Point>,
    name: &str,
    names: &[String],
) -> Result<(Shape, FoldEdge), Problem> {
    let key = format!("edges.{name}");
    let at_corner = |&p: &Point| vertex_or_place(&shape.outline, p, POINT_TOLERANCE);
    let place = |at: Option<&String>| at.and_then(|n| points.get(n)).and_then(at_corner);
    let (Some(from), Some(to)) = (place(names.first()), place(names.last())) else {
        return Err(Problem::at(key, "The fold edge has no ends.", "name its first and last point"));
    };
    let line = stretch(&shape.outline, from, to);
    let (a, mut b) = (from.point, to.point);
    // Exactly along or across the grain, when it is so but for rounding.
    if (b.y - a.y).abs() <= (b.x - a.x).abs() * 1e-6 {
        b.y = a.y;
    }
    if (b.x - a.x).abs() <= (b.y - a.y).abs() * 1e-6 {
        b.x = a.x;
    }
    let Some(direction) = unit(b - a) else {
        return Err(Problem::at(key, "The fold edge has no length.", "name two different points"));
    };
    let bow = line.iter().map(|&p| cross(direction, p - a).abs()).fold(0.0, f64::max);
    if bow > FOLD_TOLERANCE {
        let cause = format!("The fold edge is not straight: it bows by {}.", both(bow));
        let hint =
            "a fold is a straight line: draw the edge straight, or name its points counter-clockwise along the outline";
        return Err(Problem::at(key, cause, hint));
    }
    let rest = stretch(&shape.outline, to, from);
    let over = rest.iter().map(|&p| -cross(direction, p - a)).fold(0.0, f64::max);
    if over > FOLD_TOLERANCE {
        let cause = format!("The piece reaches {} over its own fold edge.", both(over));
        return Err(Problem::at(key, cause, "the fold edge is the piece's outermost line on that side"));
    }
    let mut outline = vec![a, b];
    let inner = &rest[1..rest.len().saturating_sub(1).max(1)];
    let is_clear = |p: Point| cross(direction, p - a) > 1e-6;
    let beyond =
        inner.iter().filter(|&&p| !is_clear(p)).map(|&p| distance(p, a).min(distance(p, b))).fold(0.0, f64::max);
    if beyond > POINT_TOLERANCE {
        let cause = format!("The outline lies on the fold line again {} beyond the fold edge.", both(beyond));
        let hint = "name the whole of that straight line as the fold edge; where it is to open (a slit, a placket), draw \
                    it at least 1 mm inside the line";
        return Err(Problem::at(key, cause, hint));
    }
    // A point within a hair of the fold line, beside an end of the fold edge, would make a sliver when unfolded.
    outline.extend(inner.iter().copied().filter(|&p| is_clear(p)));
    let folded = Shape { outline: ring::without_repeats(outline, 1e-9), holes: shape.holes.clone() };
    Ok((folded, FoldEdge { from: a, to: b }))
}
