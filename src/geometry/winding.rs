//! A line that crosses itself, taken as the outline of what it winds about.

use geo::algorithm::bool_ops::FillRule;
use geo::{BooleanOps, LineString, MultiPolygon, Polygon};

use super::{Point, Shape};

/// The shapes that a closed line winds about counter-clockwise once or more; loops that wind the other way enclose
/// nothing. Coordinates are rounded to about a billionth of the line's extent.
pub fn wound_about(ring: &[Point]) -> Vec<Shape> {
    let line = Polygon::new(LineString::new(ring.to_vec()), vec![]);
    let nothing = MultiPolygon::<f64>::new(vec![]);
    let open = |line: &LineString<f64>| line.0[..line.0.len().saturating_sub(1)].to_vec();
    line.union_with_fill_rule(&nothing, FillRule::Positive)
        .into_iter()
        .map(|found| Shape::new(open(found.exterior()), found.interiors().iter().map(open).collect()))
        .collect()
}
