//! The lower line of a bodice shortened by its band, on the open bodice.

use super::band::SideAt;
use super::darts::{Closed, FAIRING, MOST_FAIRED, Mouth, Waist};
use crate::geometry::line::{crossings, faired, part};
use crate::geometry::ring::{distance, unit};
use crate::geometry::symmetry::reflected;
use crate::geometry::{Point, ring_area};
use crate::units::Mm;

/// The new line on the open bodice, and what is left of each dart there.
pub(super) struct Opened {
    pub(super) line: Vec<Point>,
    /// The ends of the legs and the point between them; none where the dart is used up.
    pub(super) mouths: Vec<Option<[Point; 3]>>,
}

/// The shortened bodice's lower line. Across a dart it runs as the folded dart lies along it once pressed to the centre.
pub(super) fn new_line(closed: &Closed, waist: &Waist, side_at: SideAt) -> (Opened, Mm) {
    let parts = closed.opened_parts();
    let mut line = parts[0].clone();
    let (mut mouths, mut redrawn) = (Vec::new(), 0.0);
    for (i, mouth) in waist.mouths.iter().enumerate() {
        let next = &parts[i + 1];
        let legs = [parts[i][parts[i].len() - 1], next[0]];
        if mouth.is_lengthened {
            mouths.push(None);
        } else {
            let middle = cap(mouth.apex, legs, (&parts[i], next), side_at);
            line.push(middle);
            mouths.push(Some([legs[0], middle, legs[1]]));
        }
        line.extend(next);
    }
    line.dedup_by(|b, a| distance(*a, *b) < 1e-7);
    for mouth in waist.mouths.iter().filter(|mouth| mouth.is_lengthened) {
        let (smooth, length) = faired(&line, mouth.apex, FAIRING, MOST_FAIRED);
        line = smooth;
        redrawn += length;
    }
    (Opened { line, mouths }, redrawn)
}

/// The point in the middle of a dart's mouth where the cloth folded away ends on the line beside the dart: that line
/// mirrored in the leg next to the centre, up to the fold.
fn cap(apex: Point, legs: [Point; 2], (before, after): (&[Point], &[Point]), side_at: SideAt) -> Point {
    let (leg, beyond) = match side_at {
        SideAt::End => (legs[0], before.iter().rev().nth(1)),
        SideAt::Start => (legs[1], after.get(1)),
    };
    let half = (legs[0] + legs[1]) / 2.0;
    let straight = unit(half - apex).map_or(half, |down| apex + down * distance(apex, leg));
    let Some(direction) = beyond.and_then(|&p| unit(reflected(p, apex, leg) - leg)) else {
        return straight;
    };
    let width = distance(legs[0], legs[1]);
    let mirrored = [leg, leg + direction * (2.0 * width)];
    let fold = [apex, apex + (half - apex) * 2.0];
    crossings(&mirrored, &fold).first().map_or(straight, |found| found.2)
}

/// The area between the legs of a dart from the waist up to the new line.
pub(super) fn wedge(waist: &Waist, mouth: &Mouth, left: Option<&[Point; 3]>) -> f64 {
    let mut ring = part(&waist.line, mouth.at[0], mouth.at[1]);
    ring[0] = mouth.legs[0];
    let last = ring.len() - 1;
    ring[last] = mouth.legs[1];
    match left {
        None => ring.push(mouth.apex),
        Some(points) => ring.extend(points.iter().rev()),
    }
    ring.push(ring[0]);
    ring_area(&ring).abs()
}
