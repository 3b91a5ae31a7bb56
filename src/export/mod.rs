//! Pieces written back as drawings at full scale: SVG to print and to edit, DXF for other pattern programs, PDF for paper.
//!
//! `import` reads the first two again to the same pieces: SVG keeps curves, named points and edges; DXF has many short lines, within
//! 0.004 mm of the curve, and no names of points and edges.

mod dxf;
mod paper;
mod svg;

use kurbo::{BezPath, PathEl};

use crate::geometry::Point;
use crate::geometry::ring::{cross, distance, unit};
use crate::piece::{FoldEdge, Piece};
use crate::units::Mm;

pub use dxf::dxf;
pub use paper::{one_page, tiled};
pub use svg::svg;

/// A piece and what is to be written on it.
#[derive(Debug, Clone)]
pub struct Sheet<'p> {
    /// The piece.
    pub piece: &'p Piece,
    /// What to cut of it, a line for each cut, such as "Cut 2, main".
    pub cuts: Vec<String>,
    /// How many plies are cut of it in all.
    pub quantity: usize,
}

/// Straight lines stray no further than this from a curve that has to be written as such, in mm.
const FLATTENING: Mm = 0.004;

/// A level line inside a piece to show its grain along, and the middle of it for lettering: from left to right through a
/// place well inside.
fn level_line(piece: &Piece) -> [Point; 2] {
    let ring = &piece.shape.outline;
    let bounds = piece.shape.bounds();
    let mut best: Option<[Point; 2]> = None;
    // Of several heights, the one that leaves the longest line.
    for share in [0.5, 0.35, 0.65, 0.2, 0.8, 0.43] {
        let y = bounds.min.y + share * bounds.width();
        let mut crossings: Vec<Mm> = (0..ring.len())
            .map(|i| (ring[i], ring[(i + 1) % ring.len()]))
            .filter(|(a, b)| (a.y > y) != (b.y > y))
            .map(|(a, b)| a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y))
            .collect();
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            let line = [Point { x: pair[0], y }, Point { x: pair[1], y }];
            // A line barely longer is not worth a place further from the middle.
            if best.is_none_or(|so_far| line[1].x - line[0].x > 1.1 * (so_far[1].x - so_far[0].x)) {
                best = Some(line);
            }
        }
    }
    let [from, to] = best.unwrap_or([bounds.min, Point { x: bounds.max.x, y: bounds.min.y }]);
    let along = to - from;
    [from + along * 0.2, to - along * 0.2]
}

/// The outline as a polygon, first point not repeated; exactly straight along the fold edge.
fn polygon(piece: &Piece) -> Vec<Point> {
    let mut points: Vec<Point> = Vec::new();
    kurbo::flatten(piece.curve.iter(), FLATTENING, |element| match element {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => points.push(Point { x: p.x, y: p.y }),
        _ => {}
    });
    points = crate::geometry::ring::without_repeats(points, 1e-6);
    match piece.fold {
        Some(fold) => straight_along(points, fold),
        None => points,
    }
}

/// The polygon with its fold edge as one line from end to end.
fn straight_along(points: Vec<Point>, FoldEdge { from, to }: FoldEdge) -> Vec<Point> {
    let Some(along) = unit(to - from) else { return points };
    let length = distance(from, to);
    let is_on_fold = |p: Point| {
        let at = crate::geometry::ring::dot(along, p - from);
        cross(along, p - from).abs() <= 0.5 && at >= -0.1 && at <= length + 0.1
    };
    let Some(start) = (0..points.len()).find(|&i| !is_on_fold(points[i])) else { return points };
    let mut out = Vec::with_capacity(points.len());
    let mut fold_is_drawn = false;
    for i in 0..points.len() {
        let p = points[(start + i) % points.len()];
        if !is_on_fold(p) {
            out.push(p);
        } else if !fold_is_drawn {
            out.extend([from, to]);
            fold_is_drawn = true;
        }
    }
    out
}

/// The name of the edge that lies on the fold.
fn fold_name(piece: &Piece) -> Option<&String> {
    let fold = piece.fold?;
    let is_fold = |edge: &crate::piece::Edge| {
        distance(edge.from.point, fold.from) < 1e-3 && distance(edge.to.point, fold.to) < 1e-3
    };
    piece.edges.iter().find(|(_, edge)| is_fold(edge)).map(|(name, _)| name)
}

/// The curve of a flattened hole.
fn ring_path(ring: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    for (i, p) in ring.iter().enumerate() {
        if i == 0 { path.move_to((p.x, p.y)) } else { path.line_to((p.x, p.y)) }
    }
    path.close_path();
    path
}

/// A number to so many digits after the point, needless noughts left out.
fn number(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
