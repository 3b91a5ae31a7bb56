//! Which plies go onto which lengths.

use super::Hand;
use super::pack::{Counts, FOR_ALL, FOR_ONE_PLY, Packer};
use crate::error::Problem;
use crate::plan::stages::Worked;
use crate::project::Grain;
use crate::units::Mm;

/// Sets of lengths that are tried, of those with area enough.
const MOST_SETS: usize = 48;

/// One ply: its cut, and whether it is mirrored.
type Unit = (usize, bool);

/// What lies on which length, and what lies on none.
#[derive(Debug, Clone)]
pub(super) struct Filled {
    /// By length, in the order of the project.
    pub(super) on: Vec<Counts>,
    /// How it was found to fit, by length; none where nothing lies there.
    pub(super) worked: Vec<Option<Worked>>,
    pub(super) left: Counts,
}

/// In which order plies are given their places.
#[derive(Debug, Clone, Copy)]
enum First {
    /// What matters most, then what is largest.
    Priority,
    /// What is largest.
    Area,
    /// What reaches furthest along the cloth.
    Reach,
}

/// Everything on the fewest and smallest lengths that take it; none where all of them together do not.
pub(super) fn whole(packer: &Packer) -> Result<Option<Filled>, Problem> {
    let hand = packer.hand;
    let all = hand.area(&hand.asked());
    let count = hand.strips.len();
    let area = |set: &Vec<usize>| set.iter().map(|&strip| hand.strips[strip].area()).sum::<f64>();
    let mut sets: Vec<Vec<usize>> = (1_usize..1 << count)
        .map(|bits| (0..count).filter(|strip| bits >> strip & 1 == 1).collect())
        .filter(|set| area(set) >= all)
        .collect();
    sets.sort_by(|a, b| a.len().cmp(&b.len()).then(area(a).total_cmp(&area(b))));
    let last = sets.last().cloned();
    sets.truncate(MOST_SETS);
    sets.extend(last);
    sets.dedup();
    for mut set in sets {
        set.sort_by(|&a, &b| hand.strips[a].area().total_cmp(&hand.strips[b].area()).then(a.cmp(&b)));
        if let Some(filled) = on_set(packer, &set)? {
            return Ok(Some(filled));
        }
    }
    Ok(None)
}

/// Everything on these lengths, the smallest first.
fn on_set(packer: &Packer, set: &[usize]) -> Result<Option<Filled>, Problem> {
    if let [only] = *set {
        let asked = packer.hand.asked();
        let Some(worked) = packer.searched(only, &asked, FOR_ALL)? else { return Ok(None) };
        let mut filled = Filled::none(packer.hand);
        (filled.on[only], filled.worked[only]) = (asked, Some(worked));
        filled.left = packer.hand.nothing();
        return Ok(Some(filled));
    }
    let mut nearest: Option<Filled> = None;
    let backwards: Vec<usize> = set.iter().rev().copied().collect();
    for first in [First::Area, First::Reach] {
        for strips in [set, &backwards] {
            let filled = filled(packer, strips, first)?;
            if filled.is_whole() {
                return Ok(Some(filled));
            }
            let area = |filled: &Filled| packer.hand.area(&filled.left);
            if nearest.as_ref().is_none_or(|other| area(&filled) < area(other)) {
                nearest = Some(filled);
            }
        }
    }
    let Some(mut nearest) = nearest else { return Ok(None) };
    // Not worth a search where much is left over.
    if packer.hand.area(&nearest.left) <= 0.15 * packer.hand.area(&packer.hand.asked()) {
        squeeze(packer, &mut nearest, set)?;
    }
    Ok(nearest.is_whole().then_some(nearest))
}

/// As much as goes onto all lengths, what matters most first.
pub(super) fn by_priority(packer: &Packer) -> Result<Filled, Problem> {
    let set = by_area(packer.hand);
    let mut filled = filled(packer, &set, First::Priority)?;
    squeeze(packer, &mut filled, &set)?;
    Ok(filled)
}

/// All lengths used so that what is left over takes the least to buy; none where that cannot be bought.
pub(super) fn for_least_extra(packer: &Packer, by_priority: &Filled) -> Result<Option<Filled>, Problem> {
    let set = by_area(packer.hand);
    let backwards: Vec<usize> = set.iter().rev().copied().collect();
    let mut all = vec![by_priority.clone()];
    for first in [First::Area, First::Reach] {
        all.push(filled(packer, &set, first)?);
        all.push(filled(packer, &backwards, first)?);
    }
    let mut best: Option<(Mm, Filled)> = None;
    for filled in all {
        let Some(length) = packer.length_bought(&filled.left)? else { continue };
        if best.as_ref().is_none_or(|(least, _)| length < *least) {
            best = Some((length, filled));
        }
    }
    Ok(best.map(|(_, filled)| filled))
}

/// All lengths, the smallest first.
fn by_area(hand: &Hand) -> Vec<usize> {
    let mut set: Vec<usize> = (0..hand.strips.len()).collect();
    set.sort_by(|&a, &b| hand.strips[a].area().total_cmp(&hand.strips[b].area()).then(a.cmp(&b)));
    set
}

/// Fills one length after the other.
fn filled(packer: &Packer, strips: &[usize], first: First) -> Result<Filled, Problem> {
    let mut filled = Filled::none(packer.hand);
    let mut rest = units(packer.hand, first);
    for &strip in strips {
        rest = fill(packer, strip, rest, &mut filled)?;
    }
    filled.left = packer.hand.nothing();
    for unit in rest {
        add(&mut filled.left, &[unit]);
    }
    Ok(filled)
}

/// Puts onto a length as many plies as go, in their order, and returns the others.
fn fill(packer: &Packer, strip: usize, units: Vec<Unit>, filled: &mut Filled) -> Result<Vec<Unit>, Problem> {
    let mut rest = units;
    let mut left = Vec::new();
    while !rest.is_empty() {
        // The longest run that goes on together: first all, then ever more from the first on, then halved to the last.
        let (mut fits, mut too_many) = (0, rest.len() + 1);
        let mut next = rest.len();
        while too_many - fits > 1 {
            let mut counts = filled.on[strip].clone();
            add(&mut counts, &rest[..next]);
            match packer.roughly(strip, &counts)? {
                Some(worked) => {
                    fits = next;
                    filled.worked[strip] = Some(worked);
                }
                None => too_many = next,
            }
            next = if too_many > 2 * fits + 1 { 2 * fits + 1 } else { usize::midpoint(fits, too_many) };
        }
        add(&mut filled.on[strip], &rest[..fits]);
        if fits == rest.len() {
            break;
        }
        // What does not go on does not go on a second time either.
        let refused = rest[fits];
        let (alike, others): (Vec<Unit>, Vec<Unit>) = rest[fits..].iter().partition(|unit| **unit == refused);
        left.extend(alike);
        rest = others;
    }
    Ok(left)
}

/// Searches for room for what is left over, in the order in which it matters.
fn squeeze(packer: &Packer, filled: &mut Filled, strips: &[usize]) -> Result<(), Problem> {
    let units = units(packer.hand, First::Priority);
    for unit in units {
        if !has(&filled.left, unit) {
            continue;
        }
        for &strip in strips {
            let mut counts = filled.on[strip].clone();
            add(&mut counts, &[unit]);
            if let Some(worked) = packer.searched(strip, &counts, FOR_ONE_PLY)? {
                filled.on[strip] = counts;
                filled.worked[strip] = Some(worked);
                filled.left[unit.0][usize::from(unit.1)] -= 1;
                break;
            }
        }
    }
    Ok(())
}

impl Filled {
    fn none(hand: &Hand) -> Self {
        let count = hand.strips.len();
        Self { on: vec![hand.nothing(); count], worked: vec![None; count], left: hand.asked() }
    }

    pub(super) fn is_whole(&self) -> bool {
        self.left.iter().flatten().all(|&plies| plies == 0)
    }
}

fn add(counts: &mut Counts, units: &[Unit]) {
    for &(cut, mirrored) in units {
        counts[cut][usize::from(mirrored)] += 1;
    }
}

fn has(counts: &Counts, (cut, mirrored): Unit) -> bool {
    counts[cut][usize::from(mirrored)] > 0
}

/// Every ply, in an order; within a cut mirrored ones follow their partners.
fn units(hand: &Hand, first: First) -> Vec<Unit> {
    let mut cuts: Vec<usize> = (0..hand.cuts.len()).collect();
    let rank = |cut: usize| -> (u8, f64) {
        match first {
            First::Priority => (hand.cuts[cut].priority, hand.ply_area(cut)),
            First::Area => (0, hand.ply_area(cut)),
            First::Reach => (0, reach(hand, cut)),
        }
    };
    cuts.sort_by(|&a, &b| {
        let ((p, size), (q, other)) = (rank(a), rank(b));
        q.cmp(&p).then(other.total_cmp(&size)).then(a.cmp(&b))
    });
    let mut units = Vec::new();
    for cut in cuts {
        let entry = &hand.cuts[cut];
        for number in 0..entry.plain.max(entry.mirrored) {
            units.extend((number < entry.plain).then_some((cut, false)));
            units.extend((number < entry.mirrored).then_some((cut, true)));
        }
    }
    units
}

/// How far a ply reaches along the cloth.
fn reach(hand: &Hand, cut: usize) -> Mm {
    let entry = &hand.cuts[cut];
    let Some(piece) = hand.pieces.get(&entry.piece) else { return 0.0 };
    let bounds = piece.shape.bounds();
    match entry.grain {
        Grain::Lengthwise => bounds.length(),
        Grain::Crosswise => bounds.width(),
        Grain::Bias | Grain::Any => bounds.length().min(bounds.width()),
    }
}
