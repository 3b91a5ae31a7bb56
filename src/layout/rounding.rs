//! Lengths as the plan document has them.

use super::PlanPoint;
use crate::geometry::Point;
use crate::units::Mm;

/// A length rounded to 1e-6 mm, never -0.
pub fn rounded(mm: Mm) -> f64 {
    (mm * 1e6).round() / 1e6 + 0.0
}

/// Points rounded to 1e-6 mm.
pub fn plan_points(points: &[Point]) -> Vec<PlanPoint> {
    points.iter().map(|p| [rounded(p.x), rounded(p.y)]).collect()
}
