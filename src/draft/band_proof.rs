//! What must be true of a band and its shortened bodice, measured on the finished pieces.

use super::band::{BandOptions, BandPart, Taken};
use super::darts::FAIRING;
use super::net::{Net, stitched_area};
use super::proof::Proof;
use crate::geometry::Point;
use crate::geometry::ring::{along_polyline, dot, polyline_length, unit};
use crate::piece::{Piece, seam_length};
use crate::units::Mm;

/// A straight band of a knit is eased to the bodice by no more than this share of its length (common practice, no source).
const MOST_EASE: f64 = 0.1;

/// Stitching lines are found again from the cut line to this, in mm: half of what curves are flattened to.
const FOUND_AGAIN: Mm = 0.05;

/// Every proof of one band.
pub(super) fn proofs(part: &BandPart, taken: &Taken, options: &BandOptions) -> Vec<Proof> {
    let (band, bodice) = (&taken.band, &taken.bodice);
    let sewn = |piece: &Piece, edge: &str| seam_length(piece, edge).map_or(f64::NAN, |length| length.sewn());
    let lower = sewn(band, "lower");
    let upper = sewn(band, "upper");
    let new_line = sewn(bodice, part.waist);
    let mut proofs = Vec::new();
    if options.is_knit {
        proofs.push(Proof {
            tolerance: MOST_EASE * upper,
            ..Proof::length(format!("{}: upper edge, eased to {}", part.band, part.bodice), new_line, upper)
        });
    } else {
        proofs.push(areas(part, taken));
        let what = format!("{}: upper edge = lower line of {} less its darts", part.band, part.bodice);
        proofs.push(Proof::length(what, new_line, upper));
        let whole = sewn(part.piece, part.side);
        let what = format!("{}: side seam of {} and band together", part.band, part.bodice);
        proofs.push(Proof::length(what, whole, sewn(band, part.side) + sewn(bodice, part.side)));
    }
    let before = polyline_length(&taken.waist.line) - taken.waist.intake();
    let what = format!("{}: lower edge = waist of {} less its darts", part.band, part.piece.name);
    proofs.push(Proof::length(what, before, lower));
    proofs.extend(grain(part, taken));
    if let (Ok(band), Ok(bodice)) = (Net::of(band), Net::of(bodice)) {
        proofs.extend(notches(part, taken, options, (&band, &bodice)));
    }
    proofs
}

/// Bodice = shortened bodice + band + wedges closed.
fn areas(part: &BandPart, taken: &Taken) -> Proof {
    let found = stitched_area(&taken.bodice) + stitched_area(&taken.band) + taken.wedges.iter().sum::<f64>();
    let round: Mm = [&taken.bodice, &taken.band].map(|piece| polyline_length(&piece.shape.outline)).iter().sum();
    let lengthened = taken.waist.mouths.iter().filter(|mouth| mouth.is_lengthened).count();
    let note = if lengthened > 0 {
        format!(" ({lengthened} darts lengthened to the band's upper line)")
    } else {
        String::new()
    };
    let what = format!("{} = {} + {} + darts closed{note}", part.piece.name, part.bodice, part.band);
    Proof::area(what, taken.before.area(), found, FAIRING * taken.redrawn + FOUND_AGAIN * round)
}

/// The band's grain lies to its centre edge as the bodice's does.
fn grain(part: &BandPart, taken: &Taken) -> Option<Proof> {
    let names = taken.before.edges.get(part.waist)?;
    let from = names.first()?;
    let is_centre = |name: &&String, list: &Vec<String>| list.last() == Some(from) && name.as_str() != part.side;
    let (edge, _) = taken.before.edges.iter().find(|(name, list)| is_centre(name, list))?;
    let off_grain = |piece: &Piece| -> Option<f64> {
        let line = Net::of(piece).ok()?;
        let line = line.line(line.span(edge)?);
        let direction = unit(*line.last()? - line[line.len().checked_sub(2)?])?;
        Some(libm::acos(dot(direction, Point { x: -1.0, y: 0.0 }).clamp(-1.0, 1.0)).to_degrees())
    };
    let what = format!("{}: grain lengthwise, off the edge \"{edge}\" as in {}", part.band, part.piece.name);
    Some(Proof::angle(what, off_grain(part.piece)?, off_grain(&taken.band)?))
}

/// Every notch of the waist is on the band's lower edge, and the new seam's notches match on both sides of it.
fn notches(part: &BandPart, taken: &Taken, options: &BandOptions, (band, bodice): (&Net, &Net)) -> Vec<Proof> {
    let on = |net: &Net, edge: &str| -> Vec<Mm> {
        let Some(span) = net.span(edge) else { return Vec::new() };
        let line = net.line(span);
        let mut found: Vec<Mm> = net
            .notches
            .iter()
            .map(|&p| along_polyline(&line, p))
            .filter(|place| place.1 < 0.5)
            .map(|(along, _)| along - taken_in(net, &line, along))
            .collect();
        found.sort_by(f64::total_cmp);
        found
    };
    let waist = taken.before.notches.iter().filter(|&&p| along_polyline(&taken.waist.line, p).1 < 0.01).count();
    let (lower, upper, above) = (on(band, "lower"), on(band, "upper"), on(bodice, part.waist));
    let mut proofs = vec![
        Proof::count(format!("{}: notches of the waist on its lower edge", part.band), waist, lower.len()),
        Proof::count(format!("{}: notches on the new seam", part.bodice), taken.matched, above.len()),
        Proof::count(format!("{}: notches on the new seam", part.band), taken.matched, upper.len()),
    ];
    if !options.is_knit {
        let whole = band.span("upper").map_or(0.0, |span| polyline_length(&band.line(span)));
        // The band's upper edge runs the other way.
        let pairs = above.iter().zip(upper.iter().rev().map(|along| whole - along));
        let what = format!("{}: notch on the upper edge to that of {}", part.band, part.bodice);
        proofs.extend(pairs.map(|(&a, b)| Proof::length(what.clone(), a, b)));
    }
    proofs
}

/// What the darts before a place of a line take in.
fn taken_in(net: &Net, line: &[Point], along: Mm) -> Mm {
    let mouths = net.darts.iter().filter_map(|dart| {
        let places = dart.legs.map(|leg| along_polyline(line, leg));
        places.iter().all(|place| place.1 <= super::net::LEG_TOLERANCE).then(|| places.map(|place| place.0))
    });
    mouths.filter(|at| at[0].max(at[1]) <= along).map(|at| (at[0] - at[1]).abs()).sum()
}
