//! Cutting a piece in two along a line, with what belongs to each part.

use indexmap::IndexMap;

use super::net::{Net, Side};
use crate::error::Problem;
use crate::geometry::Point;
use crate::geometry::ring::along_polyline;
use crate::units::Mm;

/// How a new line parts a piece.
pub(super) struct Parting {
    /// The line, from a place on the stitching lines to another.
    pub(super) line: Vec<Point>,
    /// The part on its left.
    pub(super) left: NewEdge,
    /// The part on its right.
    pub(super) right: NewEdge,
}

/// The edge that a part gets along the new line.
#[derive(Clone)]
pub(super) struct NewEdge {
    /// Its name.
    pub(super) name: String,
    /// The names of its corners where the line begins and where it ends.
    pub(super) corners: [String; 2],
    /// The allowance beyond it.
    pub(super) allowance: Mm,
}

const TEMPORARY: [&str; 2] = ["\u{1}from", "\u{1}to"];

/// The two parts, that on the left of the line first. Edges that the line cuts go on in each part under their own name.
///
/// # Errors
/// Where the line's ends are not on the outline apart from each other, or it cuts through the mouth of a dart.
pub(super) fn parted(net: &Net, parting: &Parting) -> Result<(Net, Net), Problem> {
    let mut whole = net.clone();
    let (Some(&from), Some(&to)) = (parting.line.first(), parting.line.last()) else {
        return Err(Problem::at("", "The line to cut along has no points.", "give two points"));
    };
    let made = whole.with_corner(from, TEMPORARY[0]).and(whole.with_corner(to, TEMPORARY[1]));
    let (Some(_), Some(p), Some(q)) = (made, whole.begins_at(TEMPORARY[0]), whole.begins_at(TEMPORARY[1])) else {
        return Err(Problem::at("", "The line does not meet the piece.", "give a line across the piece"));
    };
    if p == q {
        let hint = "give a line from one side of the piece to another";
        return Err(Problem::at("", "The line begins and ends in the same place.", hint));
    }
    let mut left = side_of(&whole, q, p, (&parting.left, false), parting.line.clone());
    let mut right = side_of(&whole, p, q, (&parting.right, true), parting.line.iter().rev().copied().collect());
    share_marks(net, &mut left, &mut right)?;
    Ok((left, right))
}

/// The sides from one to another, closed by the line.
fn side_of(whole: &Net, first: usize, end: usize, (edge, backwards): (&NewEdge, bool), line: Vec<Point>) -> Net {
    let count = whole.sides.len();
    let length = (end + count - first) % count;
    let range: Vec<usize> = (first..first + length).map(|i| i % count).collect();
    // The new line runs from `end` back to `first`.
    let [begin, finish] =
        if backwards { [&edge.corners[1], &edge.corners[0]] } else { [&edge.corners[0], &edge.corners[1]] };
    let kept = |index: usize, new: &String| -> Vec<String> {
        let old = whole.sides[index].names.iter().filter(|n| !TEMPORARY.contains(&n.as_str()) && *n != new);
        old.cloned().chain([new.clone()]).collect()
    };
    let mut sides = vec![Side { names: kept(end, begin), line, allowance: edge.allowance }];
    for (number, &i) in range.iter().enumerate() {
        let mut side = whole.sides[i].clone();
        if number == 0 {
            side.names = kept(first, finish);
        }
        sides.push(side);
    }
    let mut edges = IndexMap::new();
    edges.insert(edge.name.clone(), vec![begin.clone(), finish.clone()]);
    for (name, names) in &whole.edges {
        for (number, run) in runs(whole, name, &range).into_iter().enumerate() {
            let begins = if run[0] == range[0] { finish.clone() } else { first_name(whole, run[0], names) };
            let after = (run[run.len() - 1] + 1) % count;
            let ends = if after == end { begin.clone() } else { first_name(whole, after, names) };
            let inner = run[1..].iter().map(|&i| first_name(whole, i, names)).filter(|n| names.contains(n));
            let list: Vec<String> = std::iter::once(begins).chain(inner).chain([ends]).collect();
            let is_new = list[0] != *begin || list[list.len() - 1] != *finish;
            if list.iter().all(|n| !n.is_empty()) && is_new {
                let numbered = if number == 0 { name.clone() } else { format!("{name}-{}", number + 1) };
                edges.entry(numbered).or_insert(list);
            }
        }
    }
    let mut net = Net { sides, edges, fold: whole.fold.clone(), rest: whole.rest, ..Net::default() };
    net.tidy();
    net
}

/// The name among `names` of the point a side begins at; empty where it has none of them.
fn first_name(whole: &Net, index: usize, names: &[String]) -> String {
    whole.sides[index].names.iter().find(|n| names.contains(n)).cloned().unwrap_or_default()
}

/// The stretches of an edge that lie within a range of sides.
fn runs(whole: &Net, edge: &str, range: &[usize]) -> Vec<Vec<usize>> {
    let Some((first, length)) = whole.span(edge) else {
        return Vec::new();
    };
    let count = whole.sides.len();
    let mut runs: Vec<Vec<usize>> = Vec::new();
    let mut is_open = false;
    for i in (first..first + length).map(|i| i % count) {
        if !range.contains(&i) {
            is_open = false;
            continue;
        }
        // A stretch that leaves the range at its end and enters it again at its beginning is two.
        let goes_on = is_open && i != range[0];
        match runs.last_mut() {
            Some(run) if goes_on => run.push(i),
            _ => runs.push(vec![i]),
        }
        is_open = true;
    }
    runs
}

/// Gives notches, darts and loose points to the part they are on.
fn share_marks(net: &Net, left: &mut Net, right: &mut Net) -> Result<(), Problem> {
    // The first side of each part is the new line.
    let away = |part: &Net, p: Point| {
        part.sides[1..].iter().map(|side| along_polyline(&side.line, p).1).fold(f64::INFINITY, f64::min)
    };
    for &notch in &net.notches {
        if away(left, notch) <= away(right, notch) { left.notches.push(notch) } else { right.notches.push(notch) }
    }
    for dart in &net.darts {
        let on_left = dart.legs.map(|leg| away(left, leg) <= away(right, leg));
        match on_left {
            [true, true] => left.darts.push(*dart),
            [false, false] => right.darts.push(*dart),
            _ => {
                let cause = "The line cuts through the mouth of a dart.";
                return Err(Problem::at("", cause, "move the line, or move the dart first"));
            }
        }
    }
    for (name, &p) in &net.points {
        if left.holds(p) {
            left.points.insert(name.clone(), p)
        } else {
            right.points.insert(name.clone(), p)
        };
    }
    Ok(())
}
