//! A pattern piece: the shape cut once, printed side up, with its named points and edges, grain, fold edge and darts.

mod border;
mod build;
mod fold;
mod marks;
mod seam;
mod source;

use indexmap::IndexMap;
use kurbo::BezPath;

use crate::geometry::ring::RingPlace;
use crate::geometry::{Point, Shape, symmetry};
use crate::units::Mm;

pub use border::{BORDER_TOLERANCE, border_fault};
pub use build::build;
pub use seam::{SeamLength, seam_length, stitching_lines, stitching_point};
pub use source::{DartSource, PieceSource};

/// A piece, ready to be cut and drafted from. Grain along +x, pointing to the top of the garment; millimetres.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Its key in the project.
    pub name: String,
    /// The cut outline as curves, counter-clockwise.
    pub curve: BezPath,
    /// The cut outline flattened, with its holes. Half the outline where there is a fold edge.
    pub shape: Shape,
    /// Named points.
    pub points: IndexMap<String, Point>,
    /// Named edges.
    pub edges: IndexMap<String, Edge>,
    /// The edge that lies on a fold, for a piece given as half.
    pub fold: Option<FoldEdge>,
    /// Marks at the cut edge that are matched in sewing.
    pub notches: Vec<Point>,
    /// Darts to be sewn.
    pub darts: Vec<Dart>,
    /// Seam allowance that the outline already includes.
    pub allowance: Allowance,
    /// The stitching line, where it is known exactly: where the piece was given by it and the allowance added.
    pub stitching: Option<Stitching>,
    /// Whether it is its own mirror image.
    pub own_mirror: OwnMirror,
}

/// How a piece is its own mirror image; one that is needs no mirroring.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct OwnMirror {
    /// About a line along the grain: reflecting it gives it back as it lies.
    pub along_grain: bool,
    /// About a line across the grain: reflecting it gives it back turned upside down.
    pub across_grain: bool,
}

/// A stretch of the cut outline, counter-clockwise from its first named point to its last.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// The names of the points along it, at least two.
    pub names: Vec<String>,
    /// The flattened stretch.
    pub points: Vec<Point>,
    /// Where on the outline it begins.
    pub from: RingPlace,
    /// Where on the outline it ends.
    pub to: RingPlace,
}

/// The line that is sewn, in the coordinates of its piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Stitching {
    /// The whole line, counter-clockwise, flattened.
    pub outline: Vec<Point>,
    /// The named edges on it, with places on this line.
    pub edges: IndexMap<String, Edge>,
}

impl Piece {
    /// The piece and its mirror image across the fold edge, in one; none for a piece without a fold edge.
    pub fn whole(&self) -> Option<Shape> {
        self.fold.map(|fold| symmetry::unfolded(&self.shape, fold.from, fold.to))
    }
}

/// The two ends of a straight fold edge, in counter-clockwise order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoldEdge {
    /// Where it begins.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
}

/// A dart: cloth between two legs taken in at an edge, running out at the apex.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dart {
    /// Where it runs out.
    pub apex: Point,
    /// The ends of its legs at the edge.
    pub legs: [Point; 2],
}

/// Seam allowance included in an outline.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Allowance {
    /// On every edge not named below.
    pub included: Mm,
    /// On these edges; a fold edge has none whatever is written here.
    pub edges: IndexMap<String, Mm>,
}
