//! What of a rectangle is left free by shapes that lie on it.

use super::{Bounds, Point, Shape};

/// Cells along the longer side when looking for the largest free rectangle.
const CELLS: usize = 400;

/// The largest upright rectangle within `room` that no shape reaches into; none where nothing is free.
///
/// Looked for on a grid of 400 cells along the longer side, then grown as far as it goes: it may miss the largest by about
/// two cells each way, but is always wholly free.
pub fn free_rectangle(room: &Bounds, shapes: &[Shape]) -> Option<Bounds> {
    let cell = room.length().max(room.width()) / CELLS as f64;
    if !(cell > 0.0 && cell.is_finite()) {
        return None;
    }
    let count = |extent: f64| ((extent / cell).floor() as usize).max(1);
    let (columns, rows) = (count(room.length()), count(room.width()));
    let step = Point { x: room.length() / columns as f64, y: room.width() / rows as f64 };
    // Per row: how many columns up to this one are free without a break.
    let mut run = vec![0_usize; rows];
    let mut best: (f64, Option<Bounds>) = (0.0, None);
    for column in 0..columns {
        let (from, to) = (room.min.x + column as f64 * step.x, room.min.x + (column + 1) as f64 * step.x);
        let taken = covered(shapes, from, to);
        for (row, run) in run.iter_mut().enumerate() {
            let (low, high) = (room.min.y + row as f64 * step.y, room.min.y + (row + 1) as f64 * step.y);
            *run = if taken.iter().any(|&(a, b)| a < high && b > low) { 0 } else { *run + 1 };
        }
        let (cells, first, last, length) = largest_in(&run);
        if cells as f64 > best.0 {
            let min = Point { x: to - length as f64 * step.x, y: room.min.y + first as f64 * step.y };
            let max = Point { x: to, y: room.min.y + last as f64 * step.y };
            best = (cells as f64, Some(Bounds { min, max }));
        }
    }
    best.1.map(|found| grown(found, room, shapes))
}

/// How much of `room` is free over its whole width at one of its ends along x, the longer of the two.
pub fn free_end(room: &Bounds, shapes: &[Shape]) -> f64 {
    let bounds = shapes.iter().map(Shape::bounds).filter(|b| b.max.y > room.min.y && b.min.y < room.max.y);
    let (first, last) =
        bounds.fold((f64::INFINITY, f64::NEG_INFINITY), |(first, last), b| (b.min.x.min(first), b.max.x.max(last)));
    if first > last {
        return room.length();
    }
    (first - room.min.x).max(room.max.x - last).clamp(0.0, room.length())
}

/// The largest rectangle under a histogram: its area in cells, the rows it runs from and to, how long it is.
fn largest_in(runs: &[usize]) -> (usize, usize, usize, usize) {
    let mut best = (0, 0, 0, 0);
    // Rows at which a rectangle begins that may still go on, with the length it has, ever longer.
    let mut open: Vec<(usize, usize)> = Vec::new();
    for (row, &run) in runs.iter().chain(std::iter::once(&0)).enumerate() {
        let mut begins = row;
        while let Some(&(first, length)) = open.last().filter(|(_, length)| *length > run) {
            open.pop();
            begins = first;
            if (row - first) * length > best.0 {
                best = ((row - first) * length, first, row, length);
            }
        }
        if open.last().is_none_or(|(_, length)| *length < run) {
            open.push((begins, run));
        }
    }
    best
}

/// Grown across, then along, then across again, as far as no shape is in the way.
fn grown(found: Bounds, room: &Bounds, shapes: &[Shape]) -> Bounds {
    let turned: Vec<Shape> = shapes.iter().map(swapped).collect();
    let mut found = found;
    for turn in 0..3 {
        let Bounds { mut min, mut max } = found;
        if turn % 2 == 0 {
            (min.y, max.y) = gap(&covered(shapes, min.x, max.x), (min.y, max.y), (room.min.y, room.max.y));
        } else {
            (min.x, max.x) = gap(&covered(&turned, min.y, max.y), (min.x, max.x), (room.min.x, room.max.x));
        }
        found = Bounds { min, max };
    }
    found
}

/// The free stretch about `inner`, within `outer`.
fn gap(taken: &[(f64, f64)], inner: (f64, f64), outer: (f64, f64)) -> (f64, f64) {
    let middle = f64::midpoint(inner.0, inner.1);
    let low = taken.iter().filter(|t| t.1 <= middle).map(|t| t.1).fold(outer.0, f64::max);
    let high = taken.iter().filter(|t| t.0 >= middle).map(|t| t.0).fold(outer.1, f64::min);
    (low.min(inner.0), high.max(inner.1))
}

fn swapped(shape: &Shape) -> Shape {
    Shape { outline: shape.outline.iter().map(|p| Point { x: p.y, y: p.x }).collect(), holes: Vec::new() }
}

/// The stretches of y that shapes reach into somewhere between two x; holes count as solid.
fn covered(shapes: &[Shape], from: f64, to: f64) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    for shape in shapes {
        let bounds = shape.bounds();
        if bounds.min.x >= to || bounds.max.x <= from {
            continue;
        }
        // What is inside at an x between stays inside up to `from`, or the outline comes between: so the slices at both
        // ends and the reach of every side between them are all there is.
        for x in [from, to] {
            let mut ys: Vec<f64> = sides(shape)
                .filter(|(a, b)| (a.x <= x) != (b.x <= x))
                .map(|(a, b)| a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x))
                .collect();
            ys.sort_by(f64::total_cmp);
            found.extend(ys.chunks_exact(2).map(|pair| (pair[0], pair[1])));
        }
        for (a, b) in sides(shape).filter(|(a, b)| a.x.min(b.x) < to && a.x.max(b.x) > from) {
            let y =
                |x: f64| if a.x == b.x { a.y } else { a.y + (b.y - a.y) * ((x - a.x) / (b.x - a.x)).clamp(0.0, 1.0) };
            let (p, q) = if a.x == b.x { (a.y, b.y) } else { (y(a.x.max(from).min(to)), y(b.x.max(from).min(to))) };
            found.push((p.min(q), p.max(q)));
        }
    }
    found
}

fn sides(shape: &Shape) -> impl Iterator<Item = (Point, Point)> {
    let ring = &shape.outline;
    (0..ring.len()).map(|k| (ring[k], ring[(k + 1) % ring.len()]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Area, BooleanOps, LineString, Polygon};
    use proptest::prelude::*;

    fn rectangle(x: f64, y: f64, length: f64, width: f64) -> Shape {
        let p = |x, y| Point { x, y };
        Shape::new(vec![p(x, y), p(x + length, y), p(x + length, y + width), p(x, y + width)], vec![])
    }

    fn room(length: f64, width: f64) -> Bounds {
        Bounds { min: Point::default(), max: Point { x: length, y: width } }
    }

    #[test]
    fn beside_one_piece_the_larger_side_is_free() {
        // 100 x 60, a piece of 40 x 50 in the corner: 60 x 60 beside it, 100 x 10 above it.
        let found = free_rectangle(&room(100.0, 60.0), &[rectangle(0.0, 0.0, 40.0, 50.0)]).unwrap();
        assert_eq!((found.min, found.max), (Point { x: 40.0, y: 0.0 }, Point { x: 100.0, y: 60.0 }));
        assert_eq!(free_end(&room(100.0, 60.0), &[rectangle(0.0, 0.0, 40.0, 50.0)]), 60.0);
    }

    #[test]
    fn a_hole_in_the_middle_leaves_the_longer_side_and_an_end() {
        let hole = [rectangle(30.0, 20.0, 10.0, 10.0)];
        let found = free_rectangle(&room(100.0, 60.0), &hole).unwrap();
        // Behind it: 60 x 60 = 3600; above it: 100 x 30.
        assert_eq!((found.length(), found.width()), (60.0, 60.0));
        assert_eq!(free_end(&room(100.0, 60.0), &hole), 60.0);
    }

    #[test]
    fn nothing_is_free_where_all_is_covered() {
        assert_eq!(free_rectangle(&room(100.0, 60.0), &[rectangle(-1.0, -1.0, 102.0, 62.0)]), None);
        assert_eq!(free_rectangle(&room(0.0, 0.0), &[]), None);
        assert_eq!(free_end(&room(100.0, 60.0), &[]), 100.0);
    }

    proptest! {
        /// Free, by the `geo` crate's boolean operations; and no smaller than the best of all rectangles between the edges of
        /// upright boxes, tried one by one, less two cells each way.
        #[test]
        fn it_is_free_and_large(
            boxes in prop::collection::vec((0.0..90.0_f64, 0.0..50.0_f64, 1.0..40.0_f64, 1.0..30.0_f64), 0..6),
        ) {
            let all = room(100.0, 60.0);
            let shapes: Vec<Shape> = boxes.iter().map(|&(x, y, l, w)| rectangle(x, y, l, w)).collect();
            let found = free_rectangle(&all, &shapes);
            let edges = |low: f64, high: f64, of: &dyn Fn(&Bounds) -> [f64; 2]| {
                let mut edges = vec![low, high];
                edges.extend(shapes.iter().flat_map(|s| of(&s.bounds())).filter(|v| (low..=high).contains(v)));
                edges
            };
            let (xs, ys) = (edges(0.0, 100.0, &|b| [b.min.x, b.max.x]), edges(0.0, 60.0, &|b| [b.min.y, b.max.y]));
            let mut best = 0.0_f64;
            for &a in &xs { for &b in &xs { for &c in &ys { for &d in &ys {
                let clear = |s: &Shape| {
                    let t = s.bounds();
                    t.min.x >= b || t.max.x <= a || t.min.y >= d || t.max.y <= c
                };
                if b > a && d > c && shapes.iter().all(clear) {
                    best = best.max((b - a - 0.5).max(0.0) * (d - c - 0.5).max(0.0));
                }
            }}}}
            let area = found.map_or(0.0, |f| f.length() * f.width());
            prop_assert!(area >= best, "{area} {best}");
            if let Some(f) = found {
                prop_assert!(f.min.x >= 0.0 && f.max.x <= 100.0 && f.min.y >= 0.0 && f.max.y <= 60.0);
            }
        }

        #[test]
        fn slanted_shapes_stay_outside(
            points in prop::collection::vec((0.0..100.0_f64, 0.0..60.0_f64, 0.0..100.0_f64, 0.0..60.0_f64, 0.0..100.0_f64, 0.0..60.0_f64), 1..6),
        ) {
            let p = |x, y| Point { x, y };
            let shapes: Vec<Shape> =
                points.iter().map(|&(a, b, c, d, e, f)| Shape::new(vec![p(a, b), p(c, d), p(e, f)], vec![])).collect();
            if let Some(f) = free_rectangle(&room(100.0, 60.0), &shapes) {
                let free = Polygon::new(LineString::new(rectangle(f.min.x, f.min.y, f.length(), f.width()).outline), vec![]);
                for shape in &shapes {
                    let shared = free.intersection(&Polygon::new(LineString::new(shape.outline.clone()), vec![]));
                    prop_assert!(shared.unsigned_area() < 1e-6);
                }
            }
        }
    }
}
