//! Curves: SVG path data to rings of points.

use geo::coord;
use kurbo::{BezPath, PathEl};

use super::{Point, path_data::MOST_EXTENT, ring::without_repeats};

/// Curves are flattened so that no chord strays further than this from them, in mm.
pub const FLATTENING: f64 = 0.1;

/// What keeps a path from being one closed outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CurveFault {
    /// Nothing is drawn.
    Empty,
    /// More than one stretch is drawn.
    Several,
    /// It does not end where it began, by so many mm, and is not closed.
    Open(f64),
    /// A coordinate is not a number or beyond all measure.
    NotFinite,
    /// It has more points than can be worked on.
    TooManyPoints(usize),
}

/// Most points an outline may have once flattened.
pub const MOST_POINTS: usize = 20_000;

/// The ring of points that one closed path makes, flattened to [`FLATTENING`], in the path's own direction.
///
/// # Errors
/// Where the path is not one closed outline.
pub fn closed_ring(path: &BezPath) -> Result<Vec<Point>, CurveFault> {
    closed_ring_within(path, FLATTENING)
}

/// The same, flattened so that no chord strays further than `tolerance` from the curve, in mm.
///
/// # Errors
/// Where the path is not one closed outline.
pub fn closed_ring_within(path: &BezPath, tolerance: f64) -> Result<Vec<Point>, CurveFault> {
    if path.elements().is_empty() {
        return Err(CurveFault::Empty);
    }
    let within = |p: kurbo::Point| p.x.abs() <= MOST_EXTENT && p.y.abs() <= MOST_EXTENT;
    let finite = path.elements().iter().all(|element| match *element {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => within(p),
        PathEl::QuadTo(a, p) => within(a) && within(p),
        PathEl::CurveTo(a, b, p) => within(a) && within(b) && within(p),
        PathEl::ClosePath => true,
    });
    if !finite {
        return Err(CurveFault::NotFinite);
    }
    let mut points = Vec::new();
    let mut count = 0_usize;
    let (mut stretches, mut closed, mut drawn_after_close) = (0, false, false);
    kurbo::flatten(path.iter(), tolerance, |element| match element {
        PathEl::MoveTo(p) => {
            stretches += 1;
            points.push(coord! {x: p.x, y: p.y});
        }
        PathEl::LineTo(p) => {
            drawn_after_close |= closed;
            count += 1;
            if count <= MOST_POINTS {
                points.push(coord! {x: p.x, y: p.y});
            }
        }
        PathEl::ClosePath => closed = true,
        PathEl::QuadTo(..) | PathEl::CurveTo(..) => {}
    });
    if count > MOST_POINTS {
        return Err(CurveFault::TooManyPoints(count));
    }
    if stretches > 1 || drawn_after_close {
        return Err(CurveFault::Several);
    }
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return Err(CurveFault::Empty);
    };
    let apart = super::ring::distance(*first, *last);
    if !closed && apart > FLATTENING {
        return Err(CurveFault::Open(apart));
    }
    Ok(without_repeats(points, 1e-6))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{path_data, ring_area};
    use kurbo::Shape as _;

    #[test]
    fn a_circle_of_arcs_keeps_its_area_within_the_tolerance() {
        // A = pi r^2 (arithmetic); chords within 0.1 mm lose at most 0.1 mm x the circumference.
        let path = path_data("M 100 0 A 100 100 0 0 1 -100 0 A 100 100 0 0 1 100 0 Z", 1.0).unwrap();
        let ring = closed_ring(&path).unwrap();
        let circle = std::f64::consts::PI * 100.0 * 100.0;
        let area = ring_area(&ring);
        assert!(area < circle && area > circle - 0.1 * 2.0 * std::f64::consts::PI * 100.0, "{area}");
        // kurbo integrates the curve itself: a second opinion.
        assert!((path.area().abs() - circle).abs() < 0.1);
    }

    #[test]
    fn faults_are_told_apart() {
        let fault = |data: &str| closed_ring(&BezPath::from_svg(data).unwrap()).unwrap_err();
        assert_eq!(fault("M 0 0 L 30 0 L 30 40"), CurveFault::Open(50.0));
        assert_eq!(fault("M 0 0 L 9 0 L 9 9 Z M 3 3 L 4 4 L 3 4 Z"), CurveFault::Several);
        assert_eq!(fault("M 0 0 L 1e300 0 L 9 9 Z"), CurveFault::NotFinite);
        assert_eq!(closed_ring(&BezPath::new()).unwrap_err(), CurveFault::Empty);
    }
}
