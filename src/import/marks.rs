//! What the lines inside a piece are: grain, fold, darts, notches.

use super::drawing::Role;
use super::straight::{corners, distance_to, is_inside, lies_inside, run_beside};
use crate::geometry::Point;
use crate::geometry::ring::{cross, distance, dot, nearest_place, unit};
use crate::piece::DartSource;
use crate::units::Mm;

/// A notch is no longer than this, in mm.
const LONGEST_NOTCH: Mm = 15.0;

/// A bracket or a line named "fold" lies no further from the fold edge than this, in mm.
const FOLD_REACH: Mm = 60.0;

/// The least length of a grain line, in mm.
const LEAST_GRAIN: Mm = 20.0;

/// An open line near a piece: its points, and what its name says it is.
pub(super) struct InnerLine {
    pub(super) points: Vec<Point>,
    pub(super) role: Option<Role>,
}

/// By which rule a grain line was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GrainRule {
    /// A line whose name or layer says so.
    Named,
    /// The longest straight line inside.
    LongestLine,
    /// None was found: along the fold.
    AlongFold,
    /// None was found, and there is no fold: up the paper.
    UpThePaper,
}

/// What was found on a piece.
#[derive(Debug, Clone)]
pub(super) struct Marks {
    pub(super) grain: [Point; 2],
    pub(super) grain_rule: GrainRule,
    /// The straight run of the outline on the fold, counter-clockwise.
    pub(super) fold: Option<[Point; 2]>,
    pub(super) darts: Vec<DartSource>,
    pub(super) notches: Vec<Point>,
}

/// Looks at the lines in and about a counter-clockwise ring. `known_fold` is the fold edge where the file says it itself.
pub(super) fn find(ring: &[Point], lines: &[InnerLine], points: &[Point], known_fold: Option<[Point; 2]>) -> Marks {
    let parts: Vec<(Vec<Point>, &InnerLine)> =
        lines.iter().filter_map(|line| Some((corners(&line.points, 8)?, line))).collect();
    let fold = known_fold.or_else(|| fold(ring, &parts));
    let (grain, grain_rule) = grain(ring, &parts, fold);
    let mut notches: Vec<Point> = parts.iter().filter_map(|(part, line)| notch(ring, part, line.role)).collect();
    notches.extend(points);
    let mut kept: Vec<Point> = Vec::new();
    for notch in notches {
        // Two strokes of one mark are one notch.
        if kept.len() < 1000 && kept.iter().all(|&other| distance(other, notch) > 1.0) {
            kept.push(notch);
        }
    }
    let darts = parts.iter().filter_map(|(part, line)| dart(ring, part, line.role)).take(1000).collect();
    Marks { grain, grain_rule, fold, darts, notches: kept }
}

fn grain(ring: &[Point], parts: &[(Vec<Point>, &InnerLine)], fold: Option<[Point; 2]>) -> ([Point; 2], GrainRule) {
    let length = |line: &[Point; 2]| distance(line[0], line[1]);
    let longest =
        |lines: &mut dyn Iterator<Item = [Point; 2]>| lines.max_by(|one, other| length(one).total_cmp(&length(other)));
    let straight = |part: &Vec<Point>| <[Point; 2]>::try_from(part.as_slice()).ok();
    // A named line may have its arrowhead drawn on to it: its longest straight part counts.
    let named = longest(&mut parts.iter().filter(|(_, line)| line.role == Some(Role::Grain)).flat_map(|(part, _)| {
        part.windows(2).map(|two| [two[0], two[1]]).filter(|line| is_inside(ring, (line[0] + line[1]) / 2.0))
    }));
    if let Some(line) = named {
        return (upwards(line), GrainRule::Named);
    }
    let bounds = crate::geometry::ring_bounds(ring);
    let least = LEAST_GRAIN.max(0.1 * bounds.length().max(bounds.width()));
    let unnamed = longest(&mut parts.iter().filter(|(_, line)| line.role.is_none()).filter_map(|(part, _)| {
        straight(part).filter(|line| length(line) >= least && lies_inside(ring, line[0], line[1]))
    }));
    if let Some(line) = unnamed {
        return (upwards(line), GrainRule::LongestLine);
    }
    if let Some(fold) = fold {
        return (upwards(fold), GrainRule::AlongFold);
    }
    let x = f64::midpoint(bounds.min.x, bounds.max.x);
    let at = |share: f64| Point { x, y: bounds.min.y + share * bounds.width() };
    ([at(0.2), at(0.8)], GrainRule::UpThePaper)
}

/// The line with its upper end last; of a line within a degree of level, the right-hand end.
fn upwards([a, b]: [Point; 2]) -> [Point; 2] {
    let (along, up) = (b.x - a.x, b.y - a.y);
    let is_level = up.abs() <= 0.01746 * along.abs();
    if (is_level && along < 0.0) || (!is_level && up < 0.0) { [b, a] } else { [a, b] }
}

fn fold(ring: &[Point], parts: &[(Vec<Point>, &InnerLine)]) -> Option<[Point; 2]> {
    let named = parts.iter().filter(|(_, line)| line.role == Some(Role::Fold)).find_map(|(part, _)| {
        let longest =
            part.windows(2).max_by(|one, other| distance(one[0], one[1]).total_cmp(&distance(other[0], other[1])))?;
        run_beside(ring, [longest[0], longest[1]], FOLD_REACH, None)
    });
    named.or_else(|| parts.iter().filter(|(_, line)| line.role.is_none()).find_map(|(part, _)| bracket(ring, part)))
}

/// The run that a bracket points to: a long part with two short ones at right angles to it, both on the same side.
fn bracket(ring: &[Point], part: &[Point]) -> Option<[Point; 2]> {
    let &[a, b, c, d] = part else { return None };
    let (first, middle, last) = (unit(a - b)?, unit(c - b)?, unit(d - c)?);
    let long = distance(b, c);
    let short = distance(a, b).max(distance(c, d));
    let is_square_on = dot(first, middle).abs() < 0.17 && dot(last, middle).abs() < 0.17 && dot(first, last) > 0.9;
    let is_inside = [b, c, (b + c) / 2.0].iter().all(|&p| is_inside(ring, p));
    if !is_square_on || !is_inside || short > 0.5 * long || long < LEAST_GRAIN {
        return None;
    }
    run_beside(ring, [b, c], FOLD_REACH, Some(first))
}

/// A dart: two straight legs that begin at the outline and meet inside.
fn dart(ring: &[Point], part: &[Point], role: Option<Role>) -> Option<DartSource> {
    let &[a, apex, b] = part else { return None };
    let is_called = match role {
        None => false,
        Some(Role::Dart) => true,
        Some(_) => return None,
    };
    let reach = if is_called { 2.0 } else { 1.0 };
    let meets_the_edge = [a, b].iter().all(|&leg| distance_to(ring, leg) <= reach);
    let opens = cross(unit(a - apex)?, unit(b - apex)?).abs() > 0.001 && distance(a, b) > 1.0;
    let runs_inside = is_called || (is_inside(ring, apex) && distance_to(ring, apex) > 5.0);
    (meets_the_edge && opens && runs_inside).then_some(DartSource { apex, legs: [a, b] })
}

/// Where a short straight line touches the outline.
fn notch(ring: &[Point], part: &[Point], role: Option<Role>) -> Option<Point> {
    let &[a, b] = part else { return None };
    if !matches!(role, None | Some(Role::Notch)) || distance(a, b) > LONGEST_NOTCH {
        return None;
    }
    let nearest = |p: Point| nearest_place(ring, p);
    let (at_a, at_b) = (nearest(a)?, nearest(b)?);
    if is_inside(ring, a) != is_inside(ring, b) && at_a.distance.min(at_b.distance) > 0.5 {
        // It crosses the outline somewhere between its ends.
        let (mut inner, mut outer) = if is_inside(ring, a) { (a, b) } else { (b, a) };
        for _ in 0..50 {
            let middle = (inner + outer) / 2.0;
            if is_inside(ring, middle) { inner = middle } else { outer = middle }
        }
        return Some(inner);
    }
    let (end, off) = if at_a.distance <= at_b.distance { (a, at_a.distance) } else { (b, at_b.distance) };
    let reach = if role == Some(Role::Notch) { 5.0 } else { 0.5 };
    (off <= reach).then_some(end)
}
