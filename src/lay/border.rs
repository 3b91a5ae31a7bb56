//! Borders: pieces whose edge lies on a selvedge, where the cloth's border print runs.

use super::fold::{Fold, Under, Zone};
use super::section::{Looked, Ways};
use super::{Gives, Order};
use crate::geometry::{Point, Pose, Shape};
use crate::nest::{Band, Way};
use crate::piece::BORDER_TOLERANCE;
use crate::project::BorderAt;
use crate::units::Mm;

/// Room that rounding may take, in mm.
const ROUNDING: Mm = 1e-6;

/// A selvedge with a border, as a strip has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Selvedge {
    y: Mm,
    /// Pieces lie on it with growing y.
    upward: bool,
}

/// The selvedges with a border on which what is cut in a zone of a strip lies with all its plies.
pub(super) fn selvedges(order: &Order, fold: Fold, zone: &Zone) -> Vec<Selvedge> {
    let both = order.cloth.border == BorderAt::Both;
    // The other ply of a pair comes to lie on the other selvedge, but for cloth that is folded across.
    match zone.under {
        Under::Turned if !both => return Vec::new(),
        Under::AlongFold(_) if !(both && fold == Fold::Lengthwise) => return Vec::new(),
        Under::Nothing | Under::AcrossFold | Under::Turned | Under::AlongFold(_) => {}
    }
    let (first, second) = (-fold.offset(), order.cloth.usable_width() - fold.offset());
    let mut found = Vec::new();
    if (zone.from - first).abs() <= ROUNDING {
        found.push(Selvedge { y: first, upward: true });
    }
    if both && (zone.to - second).abs() <= ROUNDING {
        found.push(Selvedge { y: second, upward: false });
    }
    found
}

/// The ways of a shape in which the cut's border edge lies on one of the selvedges: one way per pose and selvedge.
pub(super) fn ways(
    cut: &Looked,
    (number, shape): (usize, &Shape),
    poses: &[Pose],
    selvedges: &[Selvedge],
    gives: Gives,
) -> Ways {
    let Some(edge) = cut.border() else { return Ways::new() };
    let mut found = Ways::new();
    for &pose in poses {
        for selvedge in selvedges {
            if let Some(anchor) = anchor(shape, edge, pose, selvedge.upward) {
                let band = Band::Pinned { anchor, y: selvedge.y };
                found.push((Way::new(number, vec![pose], band), gives));
            }
        }
    }
    found
}

/// The outermost corner of a shape where its edge lies along the cloth on that side.
fn anchor(shape: &Shape, edge: &[Point], pose: Pose, lowest: bool) -> Option<Point> {
    let motion = pose.motion(Point::default());
    let out = |p: Point| if lowest { motion.apply(p).y } else { -motion.apply(p).y };
    let outermost = shape.outline.iter().copied().min_by(|a, b| out(*a).total_cmp(&out(*b)))?;
    edge.iter().all(|&p| out(p) - out(outermost) <= BORDER_TOLERANCE).then_some(outermost)
}
