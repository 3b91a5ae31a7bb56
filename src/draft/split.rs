//! A piece split along a line, two pieces joined, a piece made longer or shorter at a line.

use super::cut::{NewEdge, Parting, parted};
use super::net::{Net, Side};
use super::proof::{Drafted, Proof, TRUING};
use super::strip::{FOUND_AGAIN, grain, kept_edges, whole_area};
use super::turn::Turn;
use crate::error::{Problem, Problems};
use crate::geometry::Point;
use crate::geometry::line::{carried_on, crossings, part, rounded};
use crate::geometry::ring::{along_polyline, distance, polyline_length};
use crate::piece::{Piece, seam_length};
use crate::units::{Mm, Rounding, both};

/// A trued seam leaves its old line this many times as far from the step as the step is wide.
const TRUED_PER_STEP: f64 = 15.0;

/// Splits a piece along a line through named points, the first and last of them on the outline. The part on the line's left
/// comes first; both get the edge "split" with its allowance (none: the piece's own).
///
/// # Errors
/// Where it cannot be drawn or a proof fails.
pub fn split(piece: &Piece, line: &[String], allowance: Option<Mm>, names: [&str; 2]) -> Result<Drafted, Problems> {
    let alone = |problem| vec![problem];
    let net = Net::of(piece).map_err(alone)?;
    let line = line_through(&net, piece, line, "line").map_err(alone)?;
    let edge = NewEdge {
        name: "split".to_owned(),
        corners: ["split-from".to_owned(), "split-to".to_owned()],
        allowance: allowance.unwrap_or(net.rest),
    };
    let (left, right) = parted(&net, &Parting { line, left: edge.clone(), right: edge }).map_err(alone)?;
    let pieces = vec![left.built(names[0])?, right.built(names[1])?];
    let what = format!("{} = {} + {}", piece.name, names[0], names[1]);
    let mut proofs = vec![whole_area(what, &net, &[&pieces[0], &pieces[1]], 0.0)];
    let sewn = |piece: &Piece| seam_length(piece, "split").map_or(f64::NAN, |length| length.sewn());
    let what = format!("the new seam of {} and {}", names[0], names[1]);
    proofs.push(Proof::length(what, sewn(&pieces[0]), sewn(&pieces[1])));
    for new in &pieces {
        proofs.push(grain(new, piece));
        proofs.extend(kept_edges(piece, new));
    }
    let notches = pieces.iter().map(|piece| piece.notches.len()).sum();
    proofs.push(Proof::count(format!("notches of {} on its parts", piece.name), piece.notches.len(), notches));
    Drafted { pieces, proofs }.proved()
}

/// The line through named points of a piece, its ends moved onto the stitching line.
fn line_through(net: &Net, piece: &Piece, names: &[String], key: &str) -> Result<Vec<Point>, Problem> {
    let mut line = Vec::new();
    for (number, name) in names.iter().enumerate() {
        let corner = net.begins_at(name).and_then(|side| net.sides[side].line.first().copied());
        let Some(p) = corner.or_else(|| net.points.get(name).copied()) else {
            let known: Vec<&str> = piece.points.keys().map(String::as_str).collect();
            let cause = format!("The piece \"{}\" has no point named \"{name}\".", piece.name);
            let hint = format!("name its points: {}", known.join(", "));
            return Err(Problem::at(format!("{key}[{number}]"), cause, hint));
        };
        line.push(p);
    }
    let last = line.len().saturating_sub(1);
    for end in [0, last] {
        let Some((side, along, _)) = line.get(end).and_then(|&p| net.nearest(p)) else { continue };
        line[end] = crate::geometry::line::point_at(&net.sides[side].line, along);
    }
    if line.len() < 2 || distance(line[0], line[last]) < 1.0 {
        return Err(Problem::at(key, "The line begins and ends in one place.", "name two different points"));
    }
    Ok(line)
}

/// Joins two pieces at a seam: the other is laid against the one, edge to edge, and the seam is gone.
///
/// # Errors
/// Where the edges are not of one length and shape, or a proof fails.
pub fn join((one, edge): (&Piece, &str), (other, beside): (&Piece, &str), name: &str) -> Result<Drafted, Problems> {
    let alone = |problem| vec![problem];
    let net = Net::of(one).map_err(alone)?;
    let mut added = Net::of(other).map_err(alone)?;
    let span = net.edge_span(edge, &one.name, "one").map_err(alone)?;
    let other_span = added.edge_span(beside, &other.name, "other").map_err(alone)?;
    let fault =
        |cause: String| vec![Problem::at("other", cause, "only edges of one length and shape can be joined flat")];
    if net.fold.is_some() && added.fold.is_some() {
        return Err(fault("Both pieces lie on a fold.".to_owned()));
    }
    let (line, mut back) = (net.line(span), added.line(other_span));
    back.reverse();
    let lengths = [polyline_length(&line), polyline_length(&back)];
    if (lengths[0] - lengths[1]).abs() > TRUING {
        let [a, b] = lengths.map(|length| both(length, Rounding::Nearest));
        return Err(fault(format!("The edges are {a} and {b} long.")));
    }
    let turn = Turn::laying([back[0], back[back.len() - 1]], [line[0], line[line.len() - 1]]);
    added = added.turned(turn);
    let laid = turn.line(&back);
    let apart = laid.iter().map(|&p| along_polyline(&line, p).1).fold(0.0, f64::max);
    if apart > TRUING {
        return Err(fault(format!("Laid together the edges part by {}.", both(apart, Rounding::Nearest))));
    }
    let before = [net.area(), added.area()];
    let joined = merged(&net, (edge, span), added, (beside, other_span));
    let piece = joined.built(name)?;
    let around = polyline_length(&piece.shape.outline);
    let direction = turn.apply(Point { x: 1.0, y: 0.0 }) - turn.apply(Point::default());
    let degrees = libm::atan2(direction.y, direction.x).to_degrees();
    let what = format!("{name} = {} + {} (which lies {degrees:.1} degrees off its own grain)", one.name, other.name);
    let tolerance = TRUING * lengths[0] + FOUND_AGAIN * around;
    let mut proofs = vec![Proof::area(what, before[0] + before[1], super::net::stitched_area(&piece), tolerance)];
    proofs.push(Proof::length(format!("{name}: the two edges that were joined"), lengths[0], lengths[1]));
    proofs.extend(kept_edges(one, &piece));
    Drafted { pieces: vec![piece], proofs }.proved()
}

/// Both nets in one, without the seam between them. Names of the second that the first has too get a number.
fn merged(
    net: &Net,
    (edge, span): (&str, (usize, usize)),
    mut added: Net,
    (beside, other): (&str, (usize, usize)),
) -> Net {
    let rename: Vec<(String, String)> = added
        .sides
        .iter()
        .flat_map(|side| side.names.iter())
        .chain(added.points.keys())
        .map(|name| (name.clone(), net.free_name(name)))
        .collect();
    let new_name = |name: &String| rename.iter().find(|(old, _)| old == name).map_or(name, |(_, new)| new).clone();
    for side in &mut added.sides {
        side.names = side.names.iter().map(new_name).collect();
    }
    let off_seam = |own: &Net, span: (usize, usize), notches: &[Point]| -> Vec<Point> {
        let line = own.line(span);
        notches.iter().copied().filter(|&p| along_polyline(&line, p).1 > 0.5).collect()
    };
    let mut result = Net { sides: Vec::new(), edges: net.edges.clone(), ..net.clone() };
    result.notches = off_seam(net, span, &net.notches);
    result.notches.extend(off_seam(&added, other, &added.notches));
    result.darts.extend(added.darts.iter().copied());
    result.points.extend(added.points.iter().map(|(name, &p)| (new_name(name), p)));
    let rest = |own: &Net, span: (usize, usize)| -> Vec<Side> {
        let count = own.sides.len();
        (span.0 + span.1..span.0 + count).map(|i| own.sides[i % count].clone()).collect()
    };
    let (mut first, mut second) = (rest(net, span), rest(&added, other));
    let names = |own: &Net, i: usize| own.sides[i % own.sides.len()].names.clone();
    if let (Some(one), Some(two)) = (first.first_mut(), second.first_mut()) {
        one.names.extend(names(&added, other.0));
        two.names.extend(names(net, span.0));
    }
    result.sides = first.into_iter().chain(second).collect();
    result.edges.shift_remove(edge);
    for (name, list) in &added.edges {
        if name == beside {
            continue;
        }
        let taken = |n: &String| result.edges.contains_key(n);
        let most = result.edges.len() + 2;
        let free = std::iter::once(name.clone()).chain((2..=most).map(|i| format!("{name}-{i}"))).find(|n| !taken(n));
        let free = free.unwrap_or_default();
        if added.fold.as_ref() == Some(name) {
            result.fold = Some(free.clone());
        }
        result.edges.insert(free, list.iter().map(new_name).collect());
    }
    result.tidy();
    result
}

/// Lengthens a piece along its grain at a line between two named points of its outline, or shortens it where `by` is
/// below 0; the seams the line crosses are trued.
///
/// # Errors
/// Where it cannot be drawn or a proof fails.
pub fn length(piece: &Piece, at: [&str; 2], by: Mm, name: &str) -> Result<Drafted, Problems> {
    let alone = |problem| vec![problem];
    let net = Net::of(piece).map_err(alone)?;
    let mut line = line_through(&net, piece, &at.map(str::to_owned), "at").map_err(alone)?;
    // The part above the line is on its left when the line runs towards -y.
    if line[0].y < line[1].y {
        line.reverse();
    }
    let (upper, lower, taken) = parts(&net, &line, by).map_err(alone)?;
    let lower = lower.turned(Turn::moving(Point { x: -by, y: 0.0 }));
    let whole = lengthened(&net, &upper, &lower, by);
    let result = whole.built(name)?;
    let added = if by > 0.0 { by * (line[0].y - line[line.len() - 1].y).abs() } else { -taken };
    let around = polyline_length(&result.shape.outline);
    // Truing moves the two seams by about half the step they would have had.
    let tolerance = FOUND_AGAIN * around + by.abs() * by.abs();
    let what = format!("{name} = {} {} the strip at the line", piece.name, if by > 0.0 { "+" } else { "less" });
    let found = super::net::stitched_area(&result);
    let mut proofs = vec![Proof::area(what, net.area() + added, found, tolerance)];
    let extent = |piece: &Piece| piece.shape.bounds().length();
    proofs.push(Proof::length(format!("{name}: length along the grain"), extent(piece) + by, extent(&result)));
    proofs.push(Proof::count(
        format!("{name}: notches kept"),
        upper.notches.len() + lower.notches.len(),
        result.notches.len(),
    ));
    Drafted { pieces: vec![result], proofs }.proved()
}

/// The parts above and below the line, the strip that shortening takes out gone, and the area of that strip.
fn parts(net: &Net, line: &[Point], by: Mm) -> Result<(Net, Net, f64), Problem> {
    let edge = |corners: [&str; 2]| NewEdge {
        name: "\u{1}line".to_owned(),
        corners: corners.map(str::to_owned),
        allowance: net.rest,
    };
    let own = edge(["\u{1}a", "\u{1}b"]);
    let cut = |net: &Net, line: Vec<Point>| parted(net, &Parting { line, left: own.clone(), right: own.clone() });
    let (upper, lower) = cut(net, line.to_vec())?;
    if by >= 0.0 {
        return Ok((upper, lower, 0.0));
    }
    let shifted = Turn::moving(Point { x: by, y: 0.0 }).line(line);
    let long = carried_on(&shifted, 500.0, 500.0);
    let ring: Vec<Point> = lower.sides[1..].iter().flat_map(|side| side.line.iter().copied()).collect();
    let found = crossings(&long, &ring);
    let (Some(first), Some(last)) = (found.first(), found.last()) else {
        let cause = "The piece does not reach that far below the line.";
        return Err(Problem::at("by", cause, "take out less, or draw the line higher"));
    };
    let (strip, rest) = cut(&lower, part(&long, first.0, last.0))?;
    Ok((upper, rest, strip.area()))
}

/// Both parts set together again, the two seams across the line trued.
fn lengthened(net: &Net, upper: &Net, lower: &Net, by: Mm) -> Net {
    let mut result =
        Net { sides: Vec::new(), notches: upper.notches.clone(), darts: upper.darts.clone(), ..net.clone() };
    result.notches.extend(&lower.notches);
    result.darts.extend(&lower.darts);
    result.points = upper.points.iter().chain(&lower.points).map(|(name, &p)| (name.clone(), p)).collect();
    // Both begin with the line itself.
    let mut sides: Vec<Side> = upper.sides[1..].iter().chain(&lower.sides[1..]).cloned().collect();
    for side in &mut sides {
        side.names.retain(|name| !name.starts_with('\u{1}'));
    }
    let middle = upper.sides.len() - 1;
    set_together(&mut sides, middle, by);
    set_together(&mut sides, 0, by);
    result.sides = sides;
    result.tidy();
    result
}

/// Joins a side to the one before it: in one, trued, unless a named point lies between them.
fn set_together(sides: &mut Vec<Side>, index: usize, by: Mm) {
    let before = (index + sides.len() - 1) % sides.len();
    if sides[index].names.is_empty() {
        sides[before].line = trued(&sides[before].line, &sides[index].line, by);
        sides.remove(index);
    } else if let Some(&begin) = sides[index].line.first() {
        sides[before].line.push(begin);
    }
}

/// One line from two, the step between them drawn out.
fn trued(one: &[Point], other: &[Point], by: Mm) -> Vec<Point> {
    let mut line = one.to_vec();
    line.extend_from_slice(other);
    line.dedup_by(|b, a| distance(*a, *b) < 1e-6);
    let (Some(&a), Some(&b)) = (one.last(), other.first()) else {
        return line;
    };
    let step = (a.y - b.y).abs().max(if by > 0.0 { by / TRUED_PER_STEP } else { 0.0 });
    let gap = distance(a, b);
    if step < 1e-6 {
        return line;
    }
    let (first, whole) = (polyline_length(one), polyline_length(&line));
    let place = first + gap / 2.0;
    let reach = (gap / 2.0 + TRUED_PER_STEP * step).min(0.9 * place).min(0.9 * (whole - place));
    let Some(curve) = rounded(&line, place, reach) else {
        return line;
    };
    let mut smooth = part(&line, 0.0, place - reach);
    smooth.extend_from_slice(&curve[1..]);
    smooth.extend_from_slice(&part(&line, place + reach, whole)[1..]);
    smooth
}
