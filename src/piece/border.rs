//! Edges that lie on a selvedge, where the cloth's border print runs.

use super::Piece;
use crate::geometry::ring::{cross, distance, unit};
use crate::geometry::{Point, Pose};
use crate::units::{Mm, Rounding, both};

/// An edge lies on a selvedge where none of it is further off than this, in mm: as straight as a fold edge has to be.
pub const BORDER_TOLERANCE: Mm = 0.5;

/// What keeps an edge of a piece, or of its whole where it is given as half, from lying along the cloth as the piece's
/// outermost line, in each of several turns; none where it does in one of them.
pub fn border_fault(piece: &Piece, edge: &str, whole: bool, turns: &[f64]) -> Option<String> {
    let nearest = |mm| both(mm, Rounding::Nearest);
    let line = &piece.edges.get(edge)?.points;
    let (first, last) = (*line.first()?, *line.last()?);
    let Some(direction) = unit(last - first) else {
        return Some(format!("the edge \"{edge}\" ends where it begins"));
    };
    let bow = line.iter().map(|&p| cross(direction, p - first).abs()).fold(0.0, f64::max);
    if bow > BORDER_TOLERANCE {
        return Some(format!("the edge \"{edge}\" is not straight: it bows by {}", nearest(bow)));
    }
    let shape = if whole { piece.whole() } else { None }.unwrap_or_else(|| piece.shape.clone());
    let mut least: Option<(Mm, Mm)> = None;
    for &turn in turns {
        let pose = Pose { mirrored: false, turn };
        let motion = pose.motion(Point::default());
        let ys: Vec<Mm> = line.iter().map(|&p| motion.apply(p).y).collect();
        let (low, high) = ys.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), y| (y.min(l), y.max(h)));
        let bounds = shape.placed(pose, Point::default()).bounds();
        let over = (low - bounds.min.y).min(bounds.max.y - high).max(0.0);
        let slant = high - low;
        if slant + over <= BORDER_TOLERANCE {
            return None;
        }
        if least.is_none_or(|(s, o)| (slant, over) < (s, o)) {
            least = Some((slant, over));
        }
    }
    let (slant, over) = least?;
    Some(if slant > BORDER_TOLERANCE {
        let length = nearest(distance(first, last));
        format!(
            "the edge \"{edge}\" does not lie along the cloth: over its length of {length} it runs {} off",
            nearest(slant)
        )
    } else {
        format!("the piece reaches {} beyond its edge \"{edge}\", so that edge cannot lie on a selvedge", nearest(over))
    })
}
