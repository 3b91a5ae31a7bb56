//! Flaws of a length in hand: crossed out, with their names.

use super::canvas::{BLACK, Canvas, WHITE, closed, open};
use super::lie::{Lie, Over};
use super::polygon::{Axis, clip, hatch};
use super::table::{Strip, Table};
use super::text::clean;
use super::view::View;
use crate::geometry::{Point, Pose, Shape, ring_area};
use crate::layout::{ClothPlan, PlanFlaw};

/// A flaw as it lies on the table, of whichever layer.
pub(super) struct OnTable {
    pub(super) name: String,
    pub(super) shape: Shape,
}

/// The flaws of a cloth on its strips; on folded cloth those of the layer on top too.
pub(super) fn of(cloth: &ClothPlan, strips: &[Strip], width: f64) -> Vec<OnTable> {
    let flaws = cloth.in_hand.iter().flat_map(|hand| &hand.flaws);
    flaws.flat_map(|flaw| strips.iter().flat_map(|strip| on_strip(flaw, strip, width))).collect()
}

fn on_strip(flaw: &PlanFlaw, strip: &Strip, width: f64) -> Vec<OnTable> {
    if flaw.outline.len() < 3 || !flaw.outline.iter().flatten().all(|v| v.is_finite()) {
        return Vec::new();
    }
    let plain = Shape::new(flaw.outline.iter().map(|&[x, y]| Point { x, y }).collect(), Vec::new());
    let over = match strip.lie {
        Lie::Lengthwise { fold } => vec![fold],
        Lie::Partial { depth } => vec![depth],
        Lie::Double { first, second } => vec![first, width - second],
        Lie::Open | Lie::Crosswise { .. } | Lie::Turned { .. } | Lie::Other { .. } => Vec::new(),
    };
    let top: Vec<Shape> = over.into_iter().map(|line| Over::Along(line).shape(&plain, true)).collect();
    let on_table = |shape: &Shape| {
        let ring = shape.placed(Pose::AS_PRINTED, strip.shift).outline;
        let ring = clip(&clip(&ring, Axis::X, strip.from, 1.0), Axis::X, strip.to, -1.0);
        let ring = clip(&clip(&ring, Axis::Y, 0.0, 1.0), Axis::Y, strip.height, -1.0);
        (ring.len() >= 3 && ring_area(&ring).abs() > 1.0)
            .then(|| OnTable { name: clean(&flaw.name), shape: Shape::new(ring, Vec::new()) })
    };
    std::iter::once(&plain).chain(&top).filter_map(on_table).collect()
}

/// Draws the flaws that a row shows; gives where each lies on paper.
pub(super) fn draw(canvas: &mut Canvas, table: &Table, view: &View) -> Vec<(String, Point)> {
    let mut found = Vec::new();
    for flaw in &table.flaws {
        let Some(shape) = view.shape(table, &flaw.shape) else { continue };
        canvas.area(&shape, WHITE, None);
        cross_out(canvas, &shape);
        let bounds = shape.bounds();
        found.push((flaw.name.clone(), (bounds.min + bounds.max) / 2.0));
    }
    found
}

/// Crossed lines and a heavy edge.
pub(super) fn cross_out(canvas: &mut Canvas, shape: &Shape) {
    let lines = [45.0, -45.0].into_iter().flat_map(|turn| hatch(shape, turn, 1.3));
    canvas.lines(lines.map(|line| open(line.to_vec())).collect(), 0.2, BLACK, None);
    canvas.lines(vec![closed(shape.outline.clone())], 0.5, BLACK, None);
}
