//! Whether the plies of one cloth lie as they must.

use std::collections::BTreeMap;

use geo::Polygon;

use super::shapes::{piece_shape, ply_shape, points, polygon, same_ring, shared_area};
use super::{Fault, OVERLAP_TOLERANCE, PLACE_TOLERANCE, hand, layers, print};
use crate::geometry::{Bounds, Point, Pose, Shape, symmetry};
use crate::layout::{ClothPlan, PlanDocument, Ply, Section};

/// A ply read back.
pub(super) struct Read<'a> {
    pub(super) ply: &'a Ply,
    pub(super) shape: Shape,
    pub(super) bounds: Bounds,
    pub(super) polygon: Polygon<f64>,
}

impl Read<'_> {
    pub(super) fn name(&self) -> String {
        name(self.ply)
    }
}

fn name(ply: &Ply) -> String {
    format!("\"{}\" ply {}", ply.cut, ply.number)
}

pub(super) fn check(document: &PlanDocument, cloth: &ClothPlan, faults: &mut Vec<String>) {
    let mut plies = Vec::new();
    for ply in &cloth.plies {
        match ply_shape(ply) {
            Some(shape) => {
                plies.push(Read { ply, bounds: shape.bounds(), polygon: polygon(&shape), shape });
            }
            None => faults.push(format!("{} has no proper outline", name(ply))),
        }
    }
    if cloth.plies.is_empty() {
        faults.push("there is nothing on the cloth".to_owned());
    }
    for read in &plies {
        if let Some(what) = not_a_copy(document, read.ply, &read.shape) {
            faults.push(format!("{} {what}", read.name()));
        }
        check_inside(cloth, read, faults);
    }
    check_overlaps(&plies, faults);
    print::check(document, cloth, &plies, faults);
    for (index, section) in cloth.sections.iter().enumerate() {
        layers::check(index, section, cloth.usable_width, &plies, faults);
    }
    hand::check(cloth, &plies, faults);
}

/// Plies of a cut are numbered 1, 2, 3 and so on, over all lengths of its cloth.
pub(super) fn check_numbers(document: &PlanDocument, faults: &mut Vec<Fault>) {
    let mut numbers: BTreeMap<(&str, &str), Vec<usize>> = BTreeMap::new();
    for cloth in &document.cloths {
        for ply in &cloth.plies {
            numbers.entry((&cloth.cloth, &ply.cut)).or_default().push(ply.number);
        }
    }
    for ((cloth, cut), mut numbers) in numbers {
        numbers.sort_unstable();
        if !numbers.iter().copied().eq(1..=numbers.len()) {
            let what = format!("the plies of \"{cut}\" are not numbered from 1 on");
            faults.push(Fault { cloth: cloth.to_owned(), what });
        }
    }
}

/// What keeps a ply from being a rigid copy of its piece in the pose that the plan gives.
fn not_a_copy(document: &PlanDocument, ply: &Ply, shape: &Shape) -> Option<String> {
    let Some(piece) = document.pieces.get(&ply.piece) else {
        return Some(format!("is cut from the piece \"{}\", which the plan does not have", ply.piece));
    };
    let Some(given) = piece_shape(piece) else {
        return Some(format!("is cut from the piece \"{}\", which has no proper outline", ply.piece));
    };
    let original = match (ply.across_fold, piece.fold) {
        (false, _) => given,
        (true, Some(fold)) => {
            let ends = points(&fold);
            if !given.outline.contains(&ends[0]) || !given.outline.contains(&ends[1]) {
                return Some("is cut across a fold whose ends are not corners of its piece".to_owned());
            }
            symmetry::unfolded(&given, ends[0], ends[1])
        }
        (true, None) => return Some("is cut across a fold, but its piece has none".to_owned()),
    };
    if !(0.0..360.0).contains(&ply.turn) {
        return Some(format!("is turned by {} degrees", ply.turn));
    }
    let posed = original.placed(Pose { mirrored: ply.mirrored, turn: ply.turn }, Point::default());
    let shift = shape.bounds().min - posed.bounds().min;
    let moved = |ring: &Vec<Point>| -> Vec<Point> { ring.iter().map(|&p| p + shift).collect() };
    let same = same_ring(&shape.outline, &moved(&posed.outline))
        && shape.holes.len() == posed.holes.len()
        && posed.holes.iter().all(|hole| shape.holes.iter().any(|other| same_ring(&moved(hole), other)));
    (!same).then(|| format!("is not a copy of \"{}\" as the plan says it lies", ply.piece))
}

fn check_inside(cloth: &ClothPlan, read: &Read, faults: &mut Vec<String>) {
    let Bounds { min, max } = read.bounds;
    if min.y < -PLACE_TOLERANCE || max.y > cloth.usable_width + PLACE_TOLERANCE {
        let to = max.y;
        faults.push(format!(
            "{} lies from {} to {to} mm across the cloth, which ends at {} mm",
            read.name(),
            min.y,
            cloth.usable_width
        ));
    }
    match cloth.sections.get(read.ply.section) {
        Some(Section { from, to, .. }) if min.x >= from - PLACE_TOLERANCE && max.x <= to + PLACE_TOLERANCE => {}
        Some(_) => faults.push(format!("{} reaches out of its section along the cloth", read.name())),
        None => faults.push(format!("{} lies in section {}, which there is not", read.name(), read.ply.section)),
    }
}

fn check_overlaps(plies: &[Read], faults: &mut Vec<String>) {
    for (i, a) in plies.iter().enumerate() {
        for b in &plies[i + 1..] {
            let apart = a.bounds.max.x <= b.bounds.min.x
                || b.bounds.max.x <= a.bounds.min.x
                || a.bounds.max.y <= b.bounds.min.y
                || b.bounds.max.y <= a.bounds.min.y;
            if apart {
                continue;
            }
            let area = shared_area(&a.polygon, &b.polygon);
            if area.is_nan() || area > OVERLAP_TOLERANCE {
                faults.push(format!("{} and {} overlap by {area} square mm", a.name(), b.name()));
            }
        }
    }
}
