//! A piece as given, before it is turned so that its grain runs along +x.

use indexmap::IndexMap;
use kurbo::BezPath;

use super::Allowance;
use crate::geometry::Point;

/// A piece in its file's own coordinates (x right, y up, printed side up), already in millimetres.
#[derive(Debug, Clone, Default)]
pub struct PieceSource {
    /// Its key in the project.
    pub name: String,
    /// The cut outline: one closed path, either way round.
    pub outline: BezPath,
    /// Closed paths cut out of it.
    pub holes: Vec<BezPath>,
    /// Named points.
    pub points: IndexMap<String, Point>,
    /// Named edges: the names of two or more points, counter-clockwise along the outline.
    pub edges: IndexMap<String, Vec<String>>,
    /// The grain line, pointing to the top of the garment.
    pub grain: Option<[Point; 2]>,
    /// The name of the edge that lies on a fold.
    pub fold: Option<String>,
    /// Marks at the cut edge.
    pub notches: Vec<Point>,
    /// Darts.
    pub darts: Vec<DartSource>,
    /// Allowance that the outline includes.
    pub allowance: Allowance,
}

/// A dart as given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DartSource {
    /// Where it runs out.
    pub apex: Point,
    /// The ends of its legs at the edge.
    pub legs: [Point; 2],
}
