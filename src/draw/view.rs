//! Where a row of cloth lies on paper.

use super::canvas::at;
use super::page::Row;
use super::polygon::{Axis, clip};
use super::table::{Strip, Table};
use crate::geometry::{Point, Shape, ring_area};

/// A row of cloth on paper: x to the right along the length, y up across the width.
#[derive(Debug, Clone, Copy)]
pub(super) struct View {
    pub(super) row: Row,
    pub(super) scale: f64,
    /// Paper x of the row's beginning.
    pub(super) left: f64,
    /// Paper y of the edge y = 0 of the cloth.
    pub(super) base: f64,
}

impl View {
    /// A point of the cloth on paper.
    pub(super) fn point(&self, p: Point) -> Point {
        at(self.x(p.x), self.y(p.y))
    }

    pub(super) fn x(&self, x: f64) -> f64 {
        self.left + (x - self.row.from) / self.scale
    }

    pub(super) fn y(&self, y: f64) -> f64 {
        self.base - y / self.scale
    }

    pub(super) fn right(&self) -> f64 {
        self.x(self.row.to)
    }

    /// The upper edge of the widest strip.
    pub(super) fn top(&self) -> f64 {
        self.y(self.row.height)
    }

    /// The strips that this row shows, cut off at its ends.
    pub(super) fn strips<'a>(&'a self, table: &'a Table) -> impl Iterator<Item = Strip> + 'a {
        table.strips.iter().filter(|s| s.from < self.row.to && s.to > self.row.from).map(|s| Strip {
            from: s.from.max(self.row.from),
            to: s.to.min(self.row.to),
            ..s.clone()
        })
    }

    /// The part of a shape that this row shows, on paper; none where nothing of it is left.
    pub(super) fn shape(&self, table: &Table, shape: &Shape) -> Option<Shape> {
        let ring = |ring: &Vec<Point>| {
            let ring = clip(ring, Axis::X, self.row.from, 1.0);
            let ring = clip(&ring, Axis::X, self.row.to, -1.0);
            let ring = clip(&ring, Axis::Y, 0.0, 1.0);
            let ring = clip(&ring, Axis::Y, table.width, -1.0);
            ring.iter().map(|&p| self.point(p)).collect::<Vec<_>>()
        };
        let outline = ring(&shape.outline);
        let holes = shape.holes.iter().map(ring).filter(|hole| hole.len() >= 3).collect();
        (outline.len() >= 3 && ring_area(&outline).abs() > 1e-9).then(|| Shape::new(outline, holes))
    }
}
