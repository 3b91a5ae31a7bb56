//! Joining open lines: an outline is often drawn as several lines that meet end to end.

use std::collections::BTreeMap;

use kurbo::{BezPath, PathEl, Point};

use super::drawing::{Drawing, JOIN, Line, Role, ends, is_closed, tidy};

/// A place where more ends than this meet is a crossroads; they are not even counted.
const CROWD: usize = 8;

/// What lines must have in common to be parts of one: block, layers, colour, role.
type Kin<'d> = (usize, &'d [String], Option<&'d str>, Option<Role>);

/// Joins open lines of the same layer and colour where exactly two of their ends meet.
pub(super) fn join(drawing: &mut Drawing) {
    let may_join = |line: &Line| {
        let is_whole =
            matches!(drawing.element_of(line).role, Some(Role::Grain | Role::Fold | Role::Notch | Role::Other))
                || (drawing.element_of(line).role == Some(Role::Dart) && line.path.elements().len() > 2);
        !is_whole && !is_closed(&line.path)
    };
    let open: Vec<usize> = (0..drawing.lines.len()).filter(|&i| may_join(&drawing.lines[i])).collect();
    let places: Vec<[Point; 2]> = open.iter().filter_map(|&i| ends(&drawing.lines[i].path)).collect();
    if places.len() != open.len() {
        return;
    }
    let partner = partners(drawing, &open, &places);
    let chains = chains(&partner, open.len());
    let mut joined: BTreeMap<usize, Line> = BTreeMap::new();
    let mut gone = vec![false; drawing.lines.len()];
    for chain in chains.into_iter().filter(|chain| chain.len() > 1) {
        let parts: Vec<BezPath> = chain
            .iter()
            .map(|&(line, backwards)| {
                let path = &drawing.lines[open[line]].path;
                if backwards { path.reverse_subpaths() } else { path.clone() }
            })
            .collect();
        for &(line, _) in &chain {
            gone[open[line]] = true;
        }
        // The chain stands where its first line in the order of the file stood.
        let first = chain.iter().map(|&(line, _)| open[line]).min().unwrap_or_default();
        if let Some(path) = tidy(&end_to_end(&parts)) {
            joined.insert(first, Line { path, element: drawing.lines[first].element });
        }
    }
    let lines = std::mem::take(&mut drawing.lines);
    drawing.lines = lines
        .into_iter()
        .enumerate()
        .filter_map(|(i, line)| if gone[i] { joined.remove(&i) } else { Some(line) })
        .collect();
}

/// For each end (2 i for the beginning of line i, 2 i + 1 for its end) the one other end that meets it.
fn partners(drawing: &Drawing, open: &[usize], places: &[[Point; 2]]) -> Vec<Option<usize>> {
    let kin = |line: usize| -> Kin {
        let element = drawing.element_of(&drawing.lines[open[line]]);
        (element.block, &element.layers, element.stroke.as_deref(), element.role)
    };
    let cell = |p: Point| ((p.x / JOIN).floor() as i64, (p.y / JOIN).floor() as i64);
    let mut cells: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (line, two) in places.iter().enumerate() {
        for (side, &p) in two.iter().enumerate() {
            cells.entry(cell(p)).or_default().push(2 * line + side);
        }
    }
    let place = |end: usize| places[end / 2][end % 2];
    let meeting = |end: usize| -> Option<usize> {
        let (column, row) = cell(place(end));
        let mut only = None;
        for (dx, dy) in (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (dx, dy))) {
            let Some(near) = cells.get(&(column.saturating_add(dx), row.saturating_add(dy))) else { continue };
            if near.len() > CROWD {
                return None;
            }
            for &other in near {
                let meets = other != end && place(other).distance(place(end)) <= JOIN && kin(other / 2) == kin(end / 2);
                if meets && only.replace(other).is_some() {
                    return None;
                }
            }
        }
        only
    };
    let only: Vec<Option<usize>> = (0..2 * places.len()).map(meeting).collect();
    (0..only.len()).map(|end| only[end].filter(|&other| only[other] == Some(end))).collect()
}

/// The lines in the order they follow each other, and whether each is walked backwards.
fn chains(partner: &[Option<usize>], count: usize) -> Vec<Vec<(usize, bool)>> {
    let mut used = vec![false; count];
    let mut found = Vec::new();
    let mut walk = |start: usize, used: &mut Vec<bool>| {
        let mut chain = Vec::new();
        let mut enter = start;
        while !used[enter / 2] {
            used[enter / 2] = true;
            chain.push((enter / 2, enter % 2 == 1));
            let Some(next) = partner[enter ^ 1] else { break };
            enter = next;
        }
        found.push(chain);
    };
    // Chains with loose ends first, from one of them; what is left are rings.
    for end in 0..2 * count {
        if partner[end].is_none() && !used[end / 2] {
            walk(end, &mut used);
        }
    }
    for line in 0..count {
        if !used[line] {
            walk(2 * line, &mut used);
        }
    }
    found
}

fn end_to_end(parts: &[BezPath]) -> BezPath {
    let mut whole = BezPath::new();
    for part in parts {
        for &element in part.elements() {
            match element {
                PathEl::MoveTo(_) if !whole.elements().is_empty() => {}
                _ => whole.push(element),
            }
        }
    }
    whole
}
