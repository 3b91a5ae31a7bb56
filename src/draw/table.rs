//! The cloth as it lies on the table: where it is doubled only one layer is seen, and each placement once.

use crate::geometry::{Point, Pose, Shape, normal_turn};
use crate::layout::{ClothPlan, PlanDocument, PlanPoint, Ply, Section};

/// Distances on the cloth, in mm, below which two places are the same; the plan is rounded far finer.
const SAME: f64 = 0.1;

/// A cloth on the table. Coordinates as on the flat cloth, seen from above: x along the length, y across, upwards.
pub(super) struct Table {
    pub(super) length: f64,
    pub(super) width: f64,
    pub(super) strips: Vec<Strip>,
    pub(super) placements: Vec<OnTable>,
}

/// A stretch of the cloth that lies one way.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Strip {
    pub(super) from: f64,
    pub(super) to: f64,
    /// What is seen of the width.
    pub(super) height: f64,
    /// The cloth is doubled, its fold at y = `height`, its selvedges at y = 0.
    pub(super) doubled: bool,
    /// Other folds, drawn on the flat cloth: the word of the plan and the lines.
    pub(super) other_folds: Option<(String, Vec<f64>)>,
}

/// What one placement gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Layers {
    /// One ply from open cloth.
    Open,
    /// Two plies from doubled cloth.
    Both,
    /// One ply across the fold of doubled cloth.
    OnFold,
    /// One ply from one of two layers.
    OneOfTwo,
}

/// A placement on the table.
pub(super) struct OnTable {
    pub(super) cut: String,
    pub(super) numbers: Vec<usize>,
    pub(super) layers: Layers,
    pub(super) mirrored: bool,
    /// Degrees counter-clockwise of the top of the garment.
    pub(super) turn: f64,
    pub(super) shape: Shape,
    /// Where its edge lies on the fold: stretches of x.
    pub(super) on_fold: Vec<[f64; 2]>,
    /// The line about which a half pattern is turned over to cut this ply whole.
    pub(super) turned_over: Option<[Point; 2]>,
}

/// Lays the flat cloth of a plan on the table.
pub(super) fn lay_out(document: &PlanDocument, cloth: &ClothPlan) -> Table {
    let width = positive(cloth.usable_width, 1.0);
    let mut strips: Vec<Strip> =
        cloth.sections.iter().enumerate().filter_map(|(i, s)| strip(cloth, i, s, width)).collect();
    strips.sort_by(|a, b| a.from.total_cmp(&b.from));
    let length = positive(cloth.length, strips.last().map_or(1.0, |s| s.to));
    if strips.is_empty() {
        strips.push(Strip { from: 0.0, to: length, height: width, doubled: false, other_folds: None });
    }
    let length = strips.iter().map(|s| s.to).fold(length, f64::max);
    let mut taken = vec![false; cloth.plies.len()];
    let mut placements = Vec::new();
    for (i, ply) in cloth.plies.iter().enumerate() {
        if taken[i] || ply.outline.len() < 3 || !ply.outline.iter().flatten().all(|v| v.is_finite()) {
            continue;
        }
        let twin = fold_of(cloth, ply).and_then(|fold| twin(cloth, &taken, i, fold));
        taken[i] = true;
        if let Some(j) = twin {
            taken[j] = true;
        }
        placements.push(on_table(document, cloth, ply, twin.map(|j| &cloth.plies[j])));
    }
    Table { length, width, strips, placements }
}

fn positive(value: f64, otherwise: f64) -> f64 {
    if value.is_finite() && value > 0.0 { value } else { otherwise }
}

fn strip(cloth: &ClothPlan, index: usize, section: &Section, width: f64) -> Option<Strip> {
    let (from, to) = (section.from, section.to);
    if !(from.is_finite() && to.is_finite() && to > from && from >= 0.0) {
        return None;
    }
    let fold = doubling(cloth, index);
    let is_open = section.fold == "none" || section.fold == "open" || section.fold_lines.is_empty();
    Some(Strip {
        from,
        to,
        height: fold.unwrap_or(width),
        doubled: fold.is_some(),
        other_folds: (fold.is_none() && !is_open).then(|| (section.fold.clone(), section.fold_lines.clone())),
    })
}

/// The fold line of a section that is drawn doubled: folded along its middle, and every ply there on one side or across.
fn doubling(cloth: &ClothPlan, index: usize) -> Option<f64> {
    let section = cloth.sections.get(index)?;
    let &[fold] = section.fold_lines.as_slice() else {
        return None;
    };
    let halves = section.fold == "lengthwise" && (2.0 * fold - cloth.usable_width).abs() < 1.0 && fold > 0.0;
    let sided = cloth.plies.iter().filter(|ply| ply.section == index && !ply.across_fold).all(|ply| {
        let [low, high] = span(ply, 1);
        high <= fold + SAME || low >= fold - SAME
    });
    (halves && sided).then_some(fold)
}

fn fold_of(cloth: &ClothPlan, ply: &Ply) -> Option<f64> {
    doubling(cloth, ply.section)
}

fn span(ply: &Ply, axis: usize) -> [f64; 2] {
    let along = || ply.outline.iter().map(move |p| p[axis]);
    [along().fold(f64::INFINITY, f64::min), along().fold(f64::NEG_INFINITY, f64::max)]
}

/// The ply that is the reflection of ply `i` across the fold: the other of its pair.
fn twin(cloth: &ClothPlan, taken: &[bool], i: usize, fold: f64) -> Option<usize> {
    let ply = &cloth.plies[i];
    if ply.across_fold {
        return None;
    }
    let [low, high] = span(ply, 1);
    let wanted = [span(ply, 0), [2.0 * fold - high, 2.0 * fold - low]];
    let matches = |other: &Ply| {
        other.piece == ply.piece
            && other.section == ply.section
            && !other.across_fold
            && other.outline.len() == ply.outline.len()
            && (0..2).all(|axis| (0..2).all(|end| (span(other, axis)[end] - wanted[axis][end]).abs() < SAME))
    };
    // A pair of the same cut first; two cuts of one piece may also share a placement.
    let free = || (0..cloth.plies.len()).filter(|&j| j != i && !taken[j] && matches(&cloth.plies[j]));
    free().find(|&j| cloth.plies[j].cut == ply.cut).or_else(|| free().next())
}

fn on_table(document: &PlanDocument, cloth: &ClothPlan, ply: &Ply, twin: Option<&Ply>) -> OnTable {
    let fold = fold_of(cloth, ply);
    // The lower layer is the one that is drawn; of a pair it may be either ply.
    let above = |ply: &Ply| fold.is_some_and(|fold| !ply.across_fold && span(ply, 1)[0] >= fold - SAME);
    let (seen, reflected) = match twin {
        Some(twin) if above(ply) => (twin, false),
        _ => (ply, above(ply)),
    };
    let mut shape = ply_shape(seen);
    let mut pose =
        Pose { mirrored: seen.mirrored, turn: normal_turn(if seen.turn.is_finite() { seen.turn } else { 0.0 }) };
    if let (true, Some(fold)) = (reflected, fold) {
        shape = reflect(&shape, fold);
        pose = pose.across_lengthwise_fold();
    }
    let mut on_fold = Vec::new();
    let mut turned_over = None;
    let mut layers = match (fold, twin) {
        (None, _) => Layers::Open,
        (Some(_), Some(_)) => Layers::Both,
        (Some(_), None) => Layers::OneOfTwo,
    };
    match fold {
        Some(fold) if ply.across_fold => {
            layers = Layers::OnFold;
            shape = half(&shape, fold);
            on_fold = along_fold(&shape, fold);
        }
        None if ply.across_fold => turned_over = half_line(document, ply),
        _ => {}
    }
    let mut numbers: Vec<usize> = std::iter::once(ply).chain(twin).map(|p| p.number).collect();
    numbers.sort_unstable();
    let cut = match twin {
        Some(twin) if twin.cut != ply.cut => format!("{} / {}", ply.cut, twin.cut),
        _ => ply.cut.clone(),
    };
    OnTable { cut, numbers, layers, mirrored: pose.mirrored, turn: pose.turn, shape, on_fold, turned_over }
}

fn points(ring: &[PlanPoint]) -> Vec<Point> {
    ring.iter().map(|&[x, y]| Point { x, y }).collect()
}

fn ply_shape(ply: &Ply) -> Shape {
    let holes = ply.holes.iter().filter(|hole| hole.len() >= 3 && hole.iter().flatten().all(|v| v.is_finite()));
    Shape::new(points(&ply.outline), holes.map(|hole| points(hole)).collect())
}

fn reflect(shape: &Shape, fold: f64) -> Shape {
    let ring = |ring: &Vec<Point>| ring.iter().map(|p| Point { x: p.x, y: 2.0 * fold - p.y }).collect();
    Shape::new(ring(&shape.outline), shape.holes.iter().map(ring).collect())
}

/// The part of a shape below the fold.
fn half(shape: &Shape, fold: f64) -> Shape {
    use super::polygon::{Axis, clip};
    let below = |ring: &Vec<Point>| clip(ring, Axis::Y, fold, -1.0);
    Shape {
        outline: below(&shape.outline),
        holes: shape.holes.iter().map(below).filter(|hole| hole.len() >= 3).collect(),
    }
}

/// The stretches of x where the outline runs along the fold.
fn along_fold(shape: &Shape, fold: f64) -> Vec<[f64; 2]> {
    super::polygon::ring_edges(&shape.outline)
        .filter(|(a, b)| (a.y - fold).abs() < SAME && (b.y - fold).abs() < SAME && (a.x - b.x).abs() > SAME)
        .map(|(a, b)| [a.x.min(b.x), a.x.max(b.x)])
        .collect()
}

/// Where the fold edge of a half pattern lies on a ply that is cut whole.
fn half_line(document: &PlanDocument, ply: &Ply) -> Option<[Point; 2]> {
    let piece = document.pieces.get(&ply.piece)?;
    let fold = points(&piece.fold?);
    let (a, d) = (fold[0], fold[1] - fold[0]);
    let square = d.x * d.x + d.y * d.y;
    if square.is_nan() || square <= 0.0 {
        return None;
    }
    // The other half is the pattern reflected about its fold edge.
    let across = |p: &Point| {
        let t = ((p.x - a.x) * d.x + (p.y - a.y) * d.y) / square;
        (a + d * t) * 2.0 - *p
    };
    let mut whole = points(&piece.outline);
    whole.extend(whole.clone().iter().map(across));
    let pose = Pose { mirrored: ply.mirrored, turn: normal_turn(ply.turn) };
    let motion = pose.motion(Point { x: 0.0, y: 0.0 });
    let low = |points: &[Point]| {
        points
            .iter()
            .fold(Point { x: f64::INFINITY, y: f64::INFINITY }, |m, p| Point { x: m.x.min(p.x), y: m.y.min(p.y) })
    };
    let turned: Vec<Point> = whole.iter().map(|&p| motion.apply(p)).collect();
    let shift = low(&points(&ply.outline)) - low(&turned);
    let line = [motion.apply(fold[0]) + shift, motion.apply(fold[1]) + shift];
    line.iter().all(|p| p.x.is_finite() && p.y.is_finite()).then_some(line)
}
