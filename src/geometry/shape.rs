//! Shapes: an outline with holes.

use super::{Point, Pose};

/// A polygon: the outline counter-clockwise, holes clockwise, first point not repeated at the end.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shape {
    /// The outer ring, counter-clockwise.
    pub outline: Vec<Point>,
    /// Rings cut out of it, clockwise.
    pub holes: Vec<Vec<Point>>,
}

/// The smallest upright rectangle about a set of points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Lower left corner.
    pub min: Point,
    /// Upper right corner.
    pub max: Point,
}

impl Bounds {
    /// Extent along x.
    pub fn length(&self) -> f64 {
        self.max.x - self.min.x
    }

    /// Extent along y.
    pub fn width(&self) -> f64 {
        self.max.y - self.min.y
    }
}

impl Shape {
    /// A shape from rings wound either way; each is turned the way it should run.
    pub fn new(mut outline: Vec<Point>, mut holes: Vec<Vec<Point>>) -> Self {
        if ring_area(&outline) < 0.0 {
            outline.reverse();
        }
        for hole in &mut holes {
            if ring_area(hole) > 0.0 {
                hole.reverse();
            }
        }
        Self { outline, holes }
    }

    /// Area in square millimetres, holes taken off.
    pub fn area(&self) -> f64 {
        ring_area(&self.outline) + self.holes.iter().map(|hole| ring_area(hole)).sum::<f64>()
    }

    /// The bounds of the outline.
    pub fn bounds(&self) -> Bounds {
        ring_bounds(&self.outline)
    }

    /// The shape as it lies after `pose`, moved by `shift`; rings keep their direction even when mirrored.
    pub fn placed(&self, pose: Pose, shift: Point) -> Self {
        let motion = pose.motion(shift);
        let place = |ring: &Vec<Point>| {
            let mut points: Vec<Point> = ring.iter().map(|&p| motion.apply(p)).collect();
            if pose.mirrored {
                points.reverse();
            }
            points
        };
        Self {
            outline: place(&self.outline),
            holes: self.holes.iter().map(place).collect(),
        }
    }
}

/// Signed area of a ring in square millimetres, positive when counter-clockwise.
pub fn ring_area(ring: &[Point]) -> f64 {
    let Some(&origin) = ring.first() else {
        return 0.0;
    };
    // Taken about the ring's own first point, so that a shape far from the origin loses no digits.
    let mut twice = 0.0;
    for pair in ring.windows(2) {
        let (a, b) = (pair[0] - origin, pair[1] - origin);
        twice += a.x * b.y - a.y * b.x;
    }
    twice / 2.0
}

/// The bounds of a ring; inverted infinities where it has no points.
pub fn ring_bounds(ring: &[Point]) -> Bounds {
    let mut bounds = Bounds {
        min: Point {
            x: f64::INFINITY,
            y: f64::INFINITY,
        },
        max: Point {
            x: f64::NEG_INFINITY,
            y: f64::NEG_INFINITY,
        },
    };
    for p in ring {
        bounds.min.x = bounds.min.x.min(p.x);
        bounds.min.y = bounds.min.y.min(p.y);
        bounds.max.x = bounds.max.x.max(p.x);
        bounds.max.y = bounds.max.y.max(p.y);
    }
    bounds
}
