//! Whether what is cut from a length in hand lies within it, clear of its flaws, and leaves what the plan says.

use geo::Polygon;

use super::cloth::Read;
use super::figures::MOST_EXTENT;
use super::shapes::{points, polygon, shared_area};
use super::{OVERLAP_TOLERANCE, PLACE_TOLERANCE};
use crate::geometry::{Point, Shape, ring_area};
use crate::layout::{ClothPlan, InHand, PlanFlaw};

pub(super) fn check(cloth: &ClothPlan, plies: &[Read], faults: &mut Vec<String>) {
    let Some(hand) = &cloth.in_hand else { return };
    if hand.number == 0 {
        faults.push("lengths in hand are counted from 1".to_owned());
    }
    let sound = hand.length > 0.0 && hand.length < MOST_EXTENT;
    if !sound || cloth.length > hand.length + PLACE_TOLERANCE {
        faults.push(format!("{} mm are used of a length in hand of {} mm", cloth.length, hand.length));
    }
    if cloth.buy.length != 0.0 || cloth.buy.cost.is_some() {
        faults.push("something is to be bought of a length in hand".to_owned());
    }
    let mut flaws = Vec::new();
    for flaw in &hand.flaws {
        match shape(flaw) {
            Some(shape) => flaws.push((flaw, polygon(&shape))),
            None => faults.push(format!("the flaw \"{}\" has no proper outline", flaw.name)),
        }
    }
    for read in plies {
        for (flaw, taken) in &flaws {
            let area = shared_area(&read.polygon, taken);
            if area.is_nan() || area > OVERLAP_TOLERANCE {
                faults.push(format!("{} lies on the flaw \"{}\" with {area} square mm", read.name(), flaw.name));
            }
        }
    }
    check_remains(cloth, hand, plies, &flaws, faults);
}

pub(super) fn shape(flaw: &PlanFlaw) -> Option<Shape> {
    let ring = points(&flaw.outline);
    let measured = |p: &Point| p.x.abs() <= MOST_EXTENT && p.y.abs() <= MOST_EXTENT;
    let sound = ring.len() >= 3 && ring.iter().all(measured) && ring_area(&ring) > 0.0;
    sound.then(|| Shape { outline: ring, holes: Vec::new() })
}

/// What is said to be left is on the cloth, and neither cut from nor flawed.
fn check_remains(
    cloth: &ClothPlan,
    hand: &InHand,
    plies: &[Read],
    flaws: &[(&PlanFlaw, Polygon<f64>)],
    faults: &mut Vec<String>,
) {
    let taken: Vec<&Polygon<f64>> =
        plies.iter().map(|read| &read.polygon).chain(flaws.iter().map(|(_, polygon)| polygon)).collect();
    let is_free = |from: Point, to: Point| {
        let within = from.x >= -PLACE_TOLERANCE
            && from.y >= -PLACE_TOLERANCE
            && to.x <= hand.length + PLACE_TOLERANCE
            && to.y <= cloth.usable_width + PLACE_TOLERANCE
            && to.x > from.x
            && to.y > from.y;
        let ring = vec![from, Point { x: to.x, y: from.y }, to, Point { x: from.x, y: to.y }];
        let free = polygon(&Shape { outline: ring, holes: Vec::new() });
        within && taken.iter().all(|other| shared_area(&free, other) <= OVERLAP_TOLERANCE)
    };
    if let Some(corners) = &hand.remains.rectangle {
        let ends = points(corners);
        if !is_free(ends[0], ends[1]) {
            faults.push("the rectangle that is said to be left is not".to_owned());
        }
    }
    let end = hand.remains.full_width_end;
    if !(0.0..=hand.length + PLACE_TOLERANCE).contains(&end) {
        faults.push(format!("an end of {end} mm is said to be left of {} mm", hand.length));
    }
    // At one end or the other.
    let at = |x: f64| is_free(Point { x, y: 0.0 }, Point { x: x + end, y: cloth.usable_width });
    if end > PLACE_TOLERANCE && !at(0.0) && !at(hand.length - end) {
        faults.push("the end that is said to be left is not".to_owned());
    }
}
