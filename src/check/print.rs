//! Whether matched points lie where they must in the repeat of the print.

use super::MATCH_TOLERANCE;
use super::cloth::Read;
use super::shapes::{piece_shape, ply_shape, points};
use crate::geometry::{Motion, Point, Pose, Shape, symmetry};
use crate::layout::{ClothPlan, MatchPlan, PlanDocument, Ply, PrintPlan};
use crate::units::Mm;

/// A direction of the cloth.
#[derive(Clone, Copy)]
struct Axis {
    across: bool,
    every: Mm,
    middle: Mm,
}

impl Axis {
    fn of(self, p: Point) -> Mm {
        if self.across { p.y } else { p.x }
    }

    /// How far a phase is off another, at most half a repeat.
    fn off(self, a: Mm, b: Mm) -> Mm {
        let apart = (a - b).rem_euclid(self.every);
        apart.min(self.every - apart)
    }
}

/// A matched point of a ply on the flat cloth.
struct Spot {
    /// The ply, in words.
    name: String,
    /// Where it lies in the repeat, from the middle of a motif in the piece's own direction; not a number where the piece lies
    /// askew to the print.
    phase: Mm,
}

pub(super) fn check(document: &PlanDocument, cloth: &ClothPlan, plies: &[Read], faults: &mut Vec<String>) {
    let Some(print) = &cloth.print else { return };
    if let Some(without) = &print.without
        && !(without.length <= cloth.length && without.buy <= cloth.buy.length)
    {
        faults.push("without the match more would be needed than with it".to_owned());
    }
    for found in &print.matches {
        for across in [false, true] {
            if let Some(hold) = if across { &found.across } else { &found.along } {
                match axis(print, across) {
                    Some(axis) => check_match((document, cloth), plies, found, hold, axis, faults),
                    // On a length in hand that none of them lies on, the motif may be anywhere.
                    None if !lies_on(plies, found) => {}
                    None => {
                        faults.push(format!("\"{}\" is matched on a print that does not repeat that way", found.name));
                    }
                }
            }
        }
    }
}

fn lies_on(plies: &[Read], found: &MatchPlan) -> bool {
    plies.iter().any(|read| found.points.iter().any(|point| point.cut == read.ply.cut))
}

fn axis(print: &PrintPlan, across: bool) -> Option<Axis> {
    let (every, middle) =
        if across { (print.repeat_width?, print.middle_across) } else { (print.repeat_length?, print.middle_along?) };
    (every > 0.0 && every.is_finite() && middle.is_finite()).then_some(Axis { across, every, middle })
}

fn check_match(
    (document, cloth): (&PlanDocument, &ClothPlan),
    plies: &[Read],
    found: &MatchPlan,
    hold: &str,
    axis: Axis,
    faults: &mut Vec<String>,
) {
    let mut spots = Vec::new();
    for point in &found.points {
        let at = Point { x: point.at[0], y: point.at[1] };
        let of_cut: Vec<&Read> = plies.iter().filter(|read| read.ply.cut == point.cut).collect();
        // Of cloth in hand it may be on another length, or left over.
        if of_cut.is_empty() && !is_in_hand(document, cloth) {
            faults.push(format!("\"{}\" matches \"{}\", which is not on the cloth", found.name, point.cut));
        }
        spots.extend(of_cut.into_iter().flat_map(|read| spots_of(document, read.ply, &read.shape, at, axis)));
    }
    let wanted = match hold {
        "middle" => 0.0,
        "between" => axis.every / 2.0,
        "alike" => first_phase(document, cloth, found, axis.across).unwrap_or(f64::NAN),
        other => {
            faults.push(format!("\"{}\" is to lie \"{other}\" in the repeat", found.name));
            return;
        }
    };
    for spot in spots {
        let off = axis.off(spot.phase, wanted);
        if off.is_nan() || off > MATCH_TOLERANCE {
            let way = if axis.across { "across" } else { "along" };
            faults.push(format!("\"{}\": {} is off by {off} mm {way} the cloth", found.name, spot.name));
        }
    }
}

/// Every part of the plan for the same cloth: each length in hand, and what is bought.
fn parts<'a>(document: &'a PlanDocument, cloth: &'a ClothPlan) -> impl Iterator<Item = &'a ClothPlan> {
    document.cloths.iter().filter(|other| other.cloth == cloth.cloth)
}

fn is_in_hand(document: &PlanDocument, cloth: &ClothPlan) -> bool {
    parts(document, cloth).any(|part| part.in_hand.is_some())
}

/// Where in the repeat the first matched point lies, on whichever length that is.
fn first_phase(document: &PlanDocument, cloth: &ClothPlan, found: &MatchPlan, across: bool) -> Option<Mm> {
    found.points.iter().find_map(|point| {
        parts(document, cloth).find_map(|part| {
            let ply = part.plies.iter().find(|ply| ply.cut == point.cut)?;
            let axis = axis(part.print.as_ref()?, across)?;
            let at = Point { x: point.at[0], y: point.at[1] };
            spots_of(document, ply, &ply_shape(ply)?, at, axis).first().map(|spot| spot.phase)
        })
    })
}

/// A point of a ply, and of one that is cut across a fold its reflection too.
fn spots_of(document: &PlanDocument, ply: &Ply, shape: &Shape, at: Point, axis: Axis) -> Vec<Spot> {
    let Some((piece, half)) = document.pieces.get(&ply.piece).and_then(|piece| Some((piece, piece_shape(piece)?)))
    else {
        return Vec::new(); // told elsewhere
    };
    let ends = piece.fold.filter(|_| ply.across_fold).map(|fold| points(&fold));
    let original = ends.as_ref().map_or(half.clone(), |ends| symmetry::unfolded(&half, ends[0], ends[1]));
    let pose = Pose { mirrored: ply.mirrored, turn: ply.turn };
    let corner = original.placed(pose, Point::default()).bounds().min;
    let motion = pose.motion(shape.bounds().min - corner);
    let phase = |p: Point, way: f64| sign(motion, axis) * way * (axis.of(motion.apply(p)) - axis.middle);
    let spot = |phase| Spot { name: format!("\"{}\" ply {}", ply.cut, ply.number), phase };
    let mut spots = vec![spot(phase(at, 1.0))];
    if let Some(ends) = ends {
        let other = symmetry::reflected(at, ends[0], ends[1]);
        // The other side of the fold is the piece mirrored: across the fold its own direction runs the other way.
        spots.push(spot(phase(other, if axis.across { -1.0 } else { 1.0 })));
    }
    spots
}

/// Whether the piece's own direction runs with the cloth's (1) or against it (-1); not a number where it does neither.
fn sign(motion: Motion, axis: Axis) -> f64 {
    let step = if axis.across { Point { x: 0.0, y: 1.0 } } else { Point { x: 1.0, y: 0.0 } };
    let way = axis.of(motion.apply(step) - motion.apply(Point::default()));
    if (way.abs() - 1.0).abs() < 1e-9 { way.signum() } else { f64::NAN }
}
