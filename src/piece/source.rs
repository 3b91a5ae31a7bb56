//! A piece as given, before it is turned so that its grain runs along +x.

use indexmap::IndexMap;
use kurbo::{Affine, BezPath};

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

impl PieceSource {
    /// The same piece `by` times as large in every direction, allowance and all: a pattern drawn at half scale has its
    /// allowance at half scale too (common practice).
    #[must_use]
    pub fn scaled(mut self, by: f64) -> Self {
        let scale = |p: &mut Point| *p = *p * by;
        for path in std::iter::once(&mut self.outline).chain(&mut self.holes) {
            path.apply_affine(Affine::scale(by));
        }
        self.points.values_mut().for_each(scale);
        self.grain.iter_mut().flatten().for_each(scale);
        self.notches.iter_mut().for_each(scale);
        for dart in &mut self.darts {
            scale(&mut dart.apex);
            dart.legs.iter_mut().for_each(scale);
        }
        self.allowance.included *= by;
        self.allowance.edges.values_mut().for_each(|width| *width *= by);
        self
    }
}

/// A dart as given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DartSource {
    /// Where it runs out.
    pub apex: Point,
    /// The ends of its legs at the edge.
    pub legs: [Point; 2],
}
