//! What follows an outer piece: its lining, its facings, its interfacing.

use indexmap::IndexMap;

use super::cut::{NewEdge, Parting, parted};
use super::net::{Net, stitched_area};
use super::proof::{Drafted, Proof};
use crate::error::{Problem, Problems};
use crate::geometry::Point;
use crate::geometry::line::{carried_on, crossings, holds, part, rounded};
use crate::geometry::offset::moved_line;
use crate::geometry::ring::{along_polyline, distance, polyline_length};
use crate::piece::{Piece, seam_length};
use crate::units::Mm;

/// How far a new line is carried straight on to meet the edges beside it, in mm.
const CONTINUATION: Mm = 500.0;

/// Areas are found again from the cut line to this times the outline, in mm: half of what curves are flattened to.
pub(super) const FOUND_AGAIN: Mm = 0.05;

/// A strip along edges that follow one another: their names with the width from each one's stitching line.
#[derive(Debug, Clone, Default)]
pub struct Strip {
    /// Edges and widths.
    pub along: IndexMap<String, Mm>,
    /// How far back from a corner of the strip's inner line it is rounded; 0 leaves it sharp.
    pub round: Mm,
    /// The allowance on the strip's inner edge; none: as on the first of its edges.
    pub allowance: Option<Mm>,
}

/// A lining.
#[derive(Debug, Clone, Default)]
pub struct Lining<'a> {
    /// The hem.
    pub hem: &'a str,
    /// By how much the lining is shorter there.
    pub shorter: Mm,
    /// The allowance at the lining's hem; none: as on the outer piece.
    pub hem_allowance: Option<Mm>,
    /// The facing that the lining is less.
    pub facing: Strip,
}

/// The lining of an outer piece: shorter at the hem, less its facing. Darts are kept at their places, to be laid in pleats:
/// the outline is the same (common practice; ease in linings, Kentucky CT-MMB.004).
///
/// # Errors
/// Where it cannot be drawn or a proof fails.
pub fn lining(outer: &Piece, lining: &Lining, name: &str) -> Result<Drafted, Problems> {
    let alone = |problem| vec![problem];
    let whole = Net::of(outer).map_err(alone)?;
    let mut net = whole.clone();
    let (mut taken, mut darts_taken, mut proofs) = (0.0, 0, Vec::new());
    if !lining.facing.along.is_empty() {
        let (rest, strip) = without_strip(&net, &lining.facing, outer, "facing").map_err(alone)?;
        taken += strip.area();
        darts_taken += strip.darts.len();
        net = rest;
    }
    if lining.shorter > 0.0 {
        let span = net.edge_span(lining.hem, &outer.name, "hem").map_err(alone)?;
        let old = net.line(span);
        let along = IndexMap::from([(lining.hem.to_owned(), lining.shorter)]);
        let line = inner_line(&net, &Strip { along, ..Strip::default() }, outer, "shorter").map_err(alone)?;
        let names = net.edges.get(lining.hem).cloned().unwrap_or_default();
        let corners = [names[0].clone(), names[names.len() - 1].clone()];
        let own = net.sides[span.0].allowance;
        let edge = NewEdge { name: lining.hem.to_owned(), corners, allowance: lining.hem_allowance.unwrap_or(own) };
        let (rest, hem) = parted(&net, &Parting { line, left: edge.clone(), right: edge }).map_err(alone)?;
        taken += hem.area();
        darts_taken += hem.darts.len();
        net = rest;
        let piece = net.built(name)?;
        let new = Net::of(&piece).map_err(alone)?;
        let farthest = new
            .span(lining.hem)
            .map_or(f64::NAN, |span| new.line(span).iter().map(|&p| along_polyline(&old, p).1).fold(0.0, f64::max));
        proofs.push(Proof::length(format!("{name}: shorter at the hem"), lining.shorter, farthest));
    }
    let piece = net.built(name)?;
    let what = format!("{} = {name} + facing and hem taken off", outer.name);
    proofs.push(whole_area(what, &whole, &[&piece], taken));
    proofs.extend(kept_edges(outer, &piece));
    proofs.push(Proof::count(
        format!("{name}: darts, to be laid in pleats"),
        outer.darts.len() - darts_taken,
        piece.darts.len(),
    ));
    proofs.push(grain(&piece, outer));
    Drafted { pieces: vec![piece], proofs }.proved()
}

/// A facing: the strip of an outer piece along some of its edges. Its inner edge is named "inner".
///
/// # Errors
/// Where it cannot be drawn or a proof fails.
pub fn facing(outer: &Piece, strip: &Strip, name: &str) -> Result<Drafted, Problems> {
    let alone = |problem| vec![problem];
    let whole = Net::of(outer).map_err(alone)?;
    let (rest, net) = without_strip(&whole, strip, outer, "along").map_err(alone)?;
    let piece = net.built(name)?;
    let what = format!("{} = {name} + the rest", outer.name);
    let mut proofs = vec![whole_area(what, &whole, &[&piece], rest.area()), grain(&piece, outer)];
    proofs.extend(kept_edges(outer, &piece));
    Drafted { pieces: vec![piece], proofs }.proved()
}

/// Interfacing: a whole piece, or the strip along some of its edges, trimmed to the stitching lines and then given
/// `allowance` all round. It follows the piece's grain (ASDP standards).
///
/// # Errors
/// Where it cannot be drawn or a proof fails.
pub fn interfacing(outer: &Piece, strip: &Strip, name: &str) -> Result<Drafted, Problems> {
    let alone = |problem| vec![problem];
    let whole = Net::of(outer).map_err(alone)?;
    let mut net = whole.clone();
    if !strip.along.is_empty() {
        (_, net) = without_strip(&whole, strip, outer, "along").map_err(alone)?;
    }
    let own = strip.allowance.unwrap_or(0.0);
    let fold = net.fold.as_ref().and_then(|fold| net.span(fold));
    let count = net.sides.len();
    let on_fold = |i: usize| fold.is_some_and(|(first, length)| (i + count - first) % count < length);
    for i in 0..count {
        net.sides[i].allowance = if on_fold(i) { 0.0 } else { own };
    }
    net.rest = own;
    let area = net.area();
    let piece = net.built(name)?;
    let around = polyline_length(&piece.shape.outline);
    let what = format!("{name}: the area within the stitching lines of {}", outer.name);
    let proofs = vec![Proof::area(what, area, stitched_area(&piece), FOUND_AGAIN * around), grain(&piece, outer)];
    Drafted { pieces: vec![piece], proofs }.proved()
}

/// The piece less a strip, and the strip.
fn without_strip(net: &Net, strip: &Strip, outer: &Piece, key: &str) -> Result<(Net, Net), Problem> {
    let line = inner_line(net, strip, outer, key)?;
    let (chain, spans) = chain(net, strip, outer, key)?;
    let first = &net.edges[&chain[0]];
    let last = &net.edges[&chain[chain.len() - 1]];
    let beside = |meets: &dyn Fn(&Vec<String>) -> bool, otherwise: &str| {
        let edge = net.edges.iter().find(|(name, list)| !chain.contains(name) && meets(list));
        net.free_name(&format!("{}-inner", edge.map_or(otherwise, |(name, _)| name)))
    };
    let corners =
        [beside(&|list| list.last() == first.first(), "begin"), beside(&|list| list.first() == last.last(), "end")];
    let allowance = strip.allowance.unwrap_or(net.sides[spans[0].0].allowance);
    let edge = NewEdge { name: "inner".to_owned(), corners, allowance };
    parted(net, &Parting { line, left: edge.clone(), right: edge })
}

/// Edges in order round the piece: their names, and the first side and number of sides of each.
type Chain = (Vec<String>, Vec<(usize, usize)>);

/// The edges of a strip in order round the piece.
fn chain(net: &Net, strip: &Strip, outer: &Piece, key: &str) -> Result<Chain, Problem> {
    let count = net.sides.len();
    let mut edges = Vec::new();
    for name in strip.along.keys() {
        edges.push((name.clone(), net.edge_span(name, &outer.name, &format!("{key}.{name}"))?));
    }
    let end = |span: (usize, usize)| (span.0 + span.1) % count;
    let is_first = |span: (usize, usize)| edges.iter().all(|(_, other)| end(*other) != span.0);
    let gap = || {
        let cause = "The edges do not follow one another without a gap, or go all the way round.";
        Problem::at(key, cause, "name edges that meet in their end points, and leave at least one edge out")
    };
    let mut next = edges.iter().find(|(_, span)| is_first(*span)).ok_or_else(gap)?;
    let (mut names, mut spans) = (vec![next.0.clone()], vec![next.1]);
    while names.len() < edges.len() {
        next = edges.iter().find(|(_, span)| span.0 == end(next.1)).ok_or_else(gap)?;
        names.push(next.0.clone());
        spans.push(next.1);
    }
    Ok((names, spans))
}

/// The line inside some edges, each at its own width, from the edge before the first to the edge after the last.
fn inner_line(net: &Net, strip: &Strip, outer: &Piece, key: &str) -> Result<Vec<Point>, Problem> {
    let (names, spans) = chain(net, strip, outer, key)?;
    let mut line: Vec<Point> = Vec::new();
    let mut corners = Vec::new();
    for (name, &span) in names.iter().zip(&spans) {
        let next = moved_line(&net.line(span), strip.along[name]);
        if line.is_empty() {
            line = next;
            continue;
        }
        let corner = net.sides[span.0].line.first().copied().unwrap_or_default();
        let (one, other) = (carried_on(&line, 0.0, CONTINUATION), carried_on(&next, CONTINUATION, 0.0));
        let nearest =
            crossings(&one, &other).into_iter().min_by(|a, b| distance(a.2, corner).total_cmp(&distance(b.2, corner)));
        let Some((end, begin, p)) = nearest else {
            let cause = "The strip's inner lines do not meet.";
            return Err(Problem::at(key, cause, "give less width, or one and the same width for both edges"));
        };
        line = part(&one, 0.0, end);
        line.extend_from_slice(&part(&other, begin, polyline_length(&other))[1..]);
        corners.push(p);
    }
    for corner in corners {
        let (place, _) = along_polyline(&line, corner);
        let whole = polyline_length(&line);
        let reach = strip.round.min(0.45 * place).min(0.45 * (whole - place));
        if let Some(curve) = rounded(&line, place, reach) {
            let rest = part(&line, place + reach, whole);
            line = part(&line, 0.0, place - reach);
            line.extend_from_slice(&curve[1..]);
            line.extend_from_slice(&rest[1..]);
        }
    }
    let long = carried_on(&line, CONTINUATION, CONTINUATION);
    let (first, last) = (spans[0], spans[spans.len() - 1]);
    let after = net.run_on(last.0 + last.1, true);
    let before = net.run_on(first.0 + net.sides.len() - 1, false);
    let meets = |neighbour: &[Point]| crossings(neighbour, &long).into_iter().next();
    match (meets(&before), meets(&after)) {
        (Some((_, from, start)), Some((_, to, end))) if from < to => {
            let mut line = part(&long, from, to);
            let last = line.len() - 1;
            (line[0], line[last]) = (start, end);
            Ok(line)
        }
        _ => {
            let cause = "The strip's inner line does not reach the edges beside it.";
            Err(Problem::at(key, cause, "give less width"))
        }
    }
}

/// A piece's area is that of the finished pieces and what was taken off.
pub(super) fn whole_area(what: String, whole: &Net, pieces: &[&Piece], taken: f64) -> Proof {
    let found: f64 = pieces.iter().map(|piece| stitched_area(piece)).sum();
    let around: Mm = pieces.iter().map(|piece| polyline_length(&piece.shape.outline)).sum();
    Proof::area(what, whole.area(), found + taken, FOUND_AGAIN * around)
}

/// Edges that run between the same two points as before are as long as before.
pub(super) fn kept_edges(before: &Piece, after: &Piece) -> Vec<Proof> {
    let (Ok(old), Ok(new)) = (Net::of(before), Net::of(after)) else {
        return Vec::new();
    };
    let ends = |net: &Net, edge: &str| {
        let line = net.span(edge).map(|span| net.line(span))?;
        Some((*line.first()?, *line.last()?))
    };
    let is_kept = |edge: &&String| {
        let same = |(a, b): (Point, Point), (c, d): (Point, Point)| distance(a, c) < 0.05 && distance(b, d) < 0.05;
        ends(&old, edge).zip(ends(&new, edge)).is_some_and(|(one, other)| same(one, other))
    };
    let sewn = |piece: &Piece, edge: &str| seam_length(piece, edge).map_or(f64::NAN, |length| length.sewn());
    let proof = |edge: &String| {
        let what = format!("{}: edge \"{edge}\" as on {}", after.name, before.name);
        Proof::length(what, sewn(before, edge), sewn(after, edge))
    };
    old.edges.keys().filter(is_kept).map(proof).collect()
}

/// A part of a piece keeps its grain: unturned, it lies within the piece it came from.
pub(super) fn grain(after: &Piece, before: &Piece) -> Proof {
    let ring = Net::of(before).map(|net| net.ring()).unwrap_or_default();
    let closed: Vec<Point> = ring.iter().chain(ring.first()).copied().collect();
    let is_out = |p: &Point| along_polyline(&closed, *p).1 > 0.1 && !holds(&ring, *p);
    let outside = Net::of(after).map_or(usize::MAX, |net| net.ring().iter().filter(|p| is_out(p)).count());
    let what = format!("{}: grain lengthwise, lies as in {}; points of it beyond that", after.name, before.name);
    Proof::count(what, 0, outside)
}
