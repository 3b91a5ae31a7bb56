//! Two sizes blended into one piece; a half piece mirrored out.

use super::net::{Net, stitched_area};
use super::proof::{Drafted, Proof};
use super::strip::{FOUND_AGAIN, kept_edges};
use crate::error::{Problem, Problems};
use crate::geometry::symmetry::reflected;
use crate::geometry::{Point, ring::polyline_length};
use crate::piece::{Dart, Piece, seam_length};
use crate::units::Mm;

/// Steps along each side of a blended outline.
const BLEND_STEPS: usize = 48;

/// Blends two sizes of one piece: one above a height, the other below, faired between two named points.
///
/// Both sizes have the same named points and edges and are drawn from one origin. Between the heights of the two points
/// (along the grain, in the upper size) the outline goes over from one size to the other in a smooth curve.
///
/// # Errors
/// Where the sizes are not alike in their points, or the blend is no sound piece.
pub fn blend(upper: &Piece, lower: &Piece, between: [&str; 2], name: &str) -> Result<Drafted, Problems> {
    let alone = |problem| vec![problem];
    let (above, below) = (Net::of(upper).map_err(alone)?, Net::of(lower).map_err(alone)?);
    let names = |net: &Net| -> Vec<Vec<String>> { net.sides.iter().map(|side| side.names.clone()).collect() };
    let alike = above.edges == below.edges && above.fold == below.fold && above.darts.len() == below.darts.len();
    // The outlines may begin at different corners.
    let first = |net: &Net| net.sides.iter().position(|side| !side.names.is_empty());
    let shift = first(&above).and_then(|i| {
        let at = below.begins_at(above.sides[i].names.first()?)?;
        Some((at + below.sides.len() - i) % below.sides.len().max(1))
    });
    let Some(shift) = shift.filter(|_| alike && above.sides.len() == below.sides.len()) else {
        let cause = format!("\"{}\" and \"{}\" are not two sizes of one piece.", upper.name, lower.name);
        let hint = "both need the same named points, edges, corners, fold and darts";
        return Err(vec![Problem::at("lower", cause, hint)]);
    };
    let count = above.sides.len();
    if (0..count).any(|i| names(&above)[i] != names(&below)[(i + shift) % count]) {
        let cause = format!("The points of \"{}\" and \"{}\" come in different orders.", upper.name, lower.name);
        return Err(vec![Problem::at("lower", cause, "name both sizes' points alike")]);
    }
    let mut heights = [0.0; 2];
    for (i, point) in between.iter().enumerate() {
        heights[i] = upper.points.get(*point).map(|p| p.x).ok_or_else(|| {
            let cause = format!("The piece \"{}\" has no point named \"{point}\".", upper.name);
            vec![Problem::at(format!("between[{i}]"), cause, "name two of its points")]
        })?;
    }
    heights.sort_by(f64::total_cmp);
    let mix = |a: Point, b: Point| {
        let share = upper_share(a.x, heights);
        a * share + b * (1.0 - share)
    };
    let mut net = above.clone();
    for (i, side) in net.sides.iter_mut().enumerate() {
        let other = &below.sides[(i + shift) % count];
        let (line, beside) = (side.line.clone(), &other.line);
        let (whole, whole_beside) = (polyline_length(&line), polyline_length(beside));
        let at = |line: &[Point], whole: Mm, step: usize| {
            crate::geometry::line::point_at(line, whole * step as f64 / BLEND_STEPS as f64)
        };
        side.line = (0..=BLEND_STEPS).map(|step| mix(at(&line, whole, step), at(beside, whole_beside, step))).collect();
    }
    if above.notches.len() == below.notches.len() {
        net.notches = above.notches.iter().zip(&below.notches).map(|(&a, &b)| mix(a, b)).collect();
    }
    let darts = above.darts.iter().zip(&below.darts);
    net.darts = darts
        .map(|(a, b)| Dart { apex: mix(a.apex, b.apex), legs: [mix(a.legs[0], b.legs[0]), mix(a.legs[1], b.legs[1])] })
        .collect();
    let piece = net.built(name)?;
    let mut proofs = kept(upper, &piece, |x| x >= heights[1]);
    proofs.extend(kept(lower, &piece, |x| x <= heights[0]));
    let (a, b) = (above.area(), below.area());
    let what = format!("{name}: area between those of its two sizes");
    proofs.push(Proof::area(
        what,
        f64::midpoint(a, b),
        stitched_area(&piece),
        (a - b).abs() / 2.0 + FOUND_AGAIN * polyline_length(&piece.shape.outline),
    ));
    proofs.push(Proof::count(format!("{name}: notches of {}", upper.name), upper.notches.len(), piece.notches.len()));
    Drafted { pieces: vec![piece], proofs }.proved()
}

/// How much of the upper size there is at a height: 1 above both, 0 below both, smooth between.
fn upper_share(x: Mm, [low, high]: [Mm; 2]) -> f64 {
    if x >= high {
        return 1.0;
    }
    if x <= low {
        return 0.0;
    }
    let t = (x - low) / (high - low);
    t * t * (3.0 - 2.0 * t)
}

/// Edges wholly in one size's part are as long as in that size.
fn kept(size: &Piece, blended: &Piece, is_within: impl Fn(Mm) -> bool) -> Vec<Proof> {
    let edges = size.edges.iter().filter(|(_, edge)| edge.points.iter().all(|p| is_within(p.x)));
    let sewn = |piece: &Piece, edge: &str| seam_length(piece, edge).map_or(f64::NAN, |length| length.sewn());
    edges
        .map(|(edge, _)| {
            let what = format!("{}: edge \"{edge}\" as on {}", blended.name, size.name);
            Proof::length(what, sewn(size, edge), sewn(blended, edge))
        })
        .collect()
}

/// A half piece mirrored out across its fold edge: the whole, without a fold. What was mirrored is named "other ...".
///
/// # Errors
/// Where the piece has no fold edge or a proof fails.
pub fn mirror(half: &Piece, name: &str) -> Result<Drafted, Problems> {
    let alone = |problem| vec![problem];
    let net = Net::of(half).map_err(alone)?;
    let span = net.fold.as_ref().and_then(|fold| net.span(fold));
    let (Some(span), Some(fold)) = (span, half.fold) else {
        let cause = format!("\"{}\" has no fold edge to be mirrored across.", half.name);
        return Err(vec![Problem::at("of", cause, "only a piece given as half, with \"fold\", can be mirrored out")]);
    };
    let count = net.sides.len();
    let over = |p: Point| reflected(p, fold.from, fold.to);
    let own: Vec<usize> = (span.0 + span.1..span.0 + count).map(|i| i % count).collect();
    let other = |names: &[String]| -> Vec<String> { names.iter().map(|n| format!("other {n}")).collect() };
    let mut sides: Vec<_> = own.iter().map(|&i| net.sides[i].clone()).collect();
    // Backwards round the mirror image: each side begins where the next one began.
    for &i in own.iter().rev() {
        let mut side = net.sides[i].clone();
        side.line = side.line.iter().rev().map(|&p| over(p)).collect();
        side.names = other(&net.sides[(i + 1) % count].names);
        sides.push(side);
    }
    // Points on the fold are one and the same on both halves.
    let (begin, middle) = (net.sides[(span.0 + span.1) % count].names.clone(), net.sides[span.0].names.clone());
    sides[0].names.extend(other(&begin));
    sides[own.len()].names.extend(middle);
    let mut whole = Net { sides, fold: None, ..net.clone() };
    let fold_name = net.fold.clone().unwrap_or_default();
    whole.edges.shift_remove(&fold_name);
    for (edge, names) in net.edges.iter().filter(|(edge, _)| **edge != fold_name) {
        whole.edges.insert(format!("other {edge}"), other(&names.iter().rev().cloned().collect::<Vec<_>>()));
    }
    whole.notches.extend(net.notches.iter().map(|&p| over(p)));
    whole.darts.extend(net.darts.iter().map(|dart| Dart { apex: over(dart.apex), legs: dart.legs.map(over) }));
    whole.points.extend(net.points.iter().map(|(n, &p)| (format!("other {n}"), over(p))));
    whole.tidy();
    let piece = whole.built(name)?;
    let around = polyline_length(&piece.shape.outline);
    let what = format!("{name} = twice {}", half.name);
    // Made exactly its own mirror image, an outline may move by twice the flattening tolerance.
    let mut proofs = vec![Proof::area(what, 2.0 * net.area(), stitched_area(&piece), 0.1 * around)];
    proofs.extend(kept_edges(half, &piece));
    proofs.push(Proof::count(
        format!("{name}: notches, twice those of {}", half.name),
        2 * half.notches.len(),
        piece.notches.len(),
    ));
    Drafted { pieces: vec![piece], proofs }.proved()
}
