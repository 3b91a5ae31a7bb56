//! Whether a piece lies on a selvedge where its border has to.

use super::PLACE_TOLERANCE;
use super::shapes::{piece_shape, ply_shape, points};
use crate::geometry::{Point, Pose, symmetry};
use crate::layout::{ClothPlan, PlanDocument, Ply};
use crate::units::Mm;

/// A border edge lies on a selvedge where none of it is further off, in mm: as straight as a fold edge has to be.
const OFF: Mm = 0.5 + PLACE_TOLERANCE;

/// Whether a line of the ply's piece lies on a selvedge with a border; of the whole of a half, one of the line's two images.
pub(super) fn lies_on_selvedge(
    document: &PlanDocument,
    cloth: &ClothPlan,
    ply: &Ply,
    line: &[Point],
    on_both: bool,
) -> bool {
    let Some(piece) = document.pieces.get(&ply.piece) else { return false };
    let (Some(given), Some(shape)) = (piece_shape(piece), ply_shape(ply)) else { return false };
    let fold = piece.fold.filter(|_| ply.across_fold).map(|fold| points(&fold));
    let original = match &fold {
        Some(ends) => symmetry::unfolded(&given, ends[0], ends[1]),
        None => given,
    };
    let mut lines = vec![line.to_vec()];
    if let Some(ends) = fold {
        lines.push(line.iter().map(|&p| reflected(p, ends[0], ends[1])).collect());
    }
    let pose = Pose { mirrored: ply.mirrored, turn: ply.turn };
    let shift = shape.bounds().min - original.placed(pose, Point::default()).bounds().min;
    let motion = pose.motion(shift);
    let bounds = shape.bounds();
    let first = bounds.min.y.abs() <= PLACE_TOLERANCE;
    let second = on_both && (bounds.max.y - cloth.usable_width).abs() <= PLACE_TOLERANCE;
    lines.iter().any(|line| {
        let all_near = |y: Mm| line.iter().all(|&p| (motion.apply(p).y - y).abs() <= OFF);
        (first && all_near(0.0)) || (second && all_near(cloth.usable_width))
    })
}

fn reflected(p: Point, a: Point, b: Point) -> Point {
    let d = b - a;
    let square = d.x * d.x + d.y * d.y;
    let along = ((p.x - a.x) * d.x + (p.y - a.y) * d.y) / square;
    let foot = a + d * along;
    foot * 2.0 - p
}
