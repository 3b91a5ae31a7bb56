//! Where the matched cuts of a cloth lie in its repeat.
//!
//! The *phase* of a point is where it lies in the repeat, measured from the middle of a motif in the piece's own direction:
//! s (x - m), where m is the middle of a motif and s is 1 for a piece whose x runs with the cloth's and -1 for one that is
//! turned or mirrored against it. Two points at the same phase have the same print about them, also where one of the pieces
//! lies the other way about, since such a print is even. A piece whose origin has phase o has each point p at phase o + p: so
//! a match ties the origins of its cuts together, and cuts that are tied, through whatever matches, make a *family*.

use indexmap::IndexMap;

use super::CutEntry;
use crate::error::{Problem, Problems};
use crate::geometry::Point;
use crate::piece::Piece;
use crate::project::{Cloth, Hold, Match, Print, Project};
use crate::units::{Mm, Rounding, both};

/// Two matches of one cut may contradict each other by this much, in mm: half of what the checker lets pass.
const CONTRADICTION: Mm = 0.25;

/// The repeat of one cloth, and where in it the matched cuts lie.
#[derive(Debug, Clone, PartialEq)]
pub struct Matching {
    /// Along the cloth, where something is matched along it.
    pub along: Option<Axis>,
    /// Across the cloth, where something is matched across it.
    pub across: Option<Axis>,
    /// How the print repeats on the table.
    pub print: Print,
    /// What is matched, by its name in the project.
    pub matches: IndexMap<String, Match>,
}

/// The repeat in one direction.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// From one motif to the next.
    pub every: Mm,
    /// What each family is free to do.
    pub families: Vec<Family>,
    /// By cut of the cloth; none for those that are not matched in this direction.
    pub members: Vec<Option<Member>>,
}

impl Axis {
    /// The same with every family held as it stands.
    fn held(mut self) -> Self {
        self.families.fill(Family::Held);
        self
    }
}

/// What a family of tied cuts is free to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Family {
    /// It may lie anywhere in the repeat.
    Free,
    /// It lies as it stands, or half a repeat on: what is the same on both sides of its fold is so on either.
    Either,
    /// It lies as it stands.
    Held,
}

/// One cut in its family.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Member {
    /// Its family.
    pub family: usize,
    /// The phase of its piece's origin where the family lies as it stands.
    pub origin: Mm,
}

/// `v` less the nearest multiple of `every`.
pub fn off_lattice(v: Mm, every: Mm) -> Mm {
    v - (v / every).round() * every
}

/// The matching of a cloth; none where nothing is matched on it.
pub(super) fn matching(
    project: &Project,
    key: &str,
    cloth: &Cloth,
    cuts: &[CutEntry],
    problems: &mut Problems,
) -> Option<Matching> {
    let print = cloth.print_on_table()?;
    let matches: IndexMap<&String, &Match> = project.matches.iter().filter(|(_, found)| found.cloth == key).collect();
    let mut axis = |every: Option<Mm>, along: bool| {
        let solver = Solver::new(every?, along, cuts, &project.pieces, &matches);
        match solver.solve() {
            // Lengths in hand are laid out one by one: what matches on two of them lies alike on both.
            Ok(axis) if !cloth.have.is_empty() => axis.map(Axis::held),
            Ok(axis) => axis,
            Err(problem) => {
                problems.push(problem);
                None
            }
        }
    };
    let (along, across) = (axis(print.repeat_length, true), axis(print.repeat_width, false));
    (along.is_some() || across.is_some()).then(|| {
        let matches = matches.into_iter().map(|(name, found)| (name.clone(), found.clone())).collect();
        Matching { along, across, print, matches }
    })
}

/// A match in one direction.
struct Tie<'a> {
    name: &'a str,
    hold: Hold,
    /// Cuts by index, and where their points lie on the piece.
    points: Vec<(usize, Mm)>,
}

struct Solver<'a> {
    every: Mm,
    ties: Vec<Tie<'a>>,
    /// Across the cloth: where the fold edge of a cut that is cut whole lies on its piece.
    folds: Vec<Option<Mm>>,
}

impl<'a> Solver<'a> {
    fn new(
        every: Mm,
        along: bool,
        cuts: &[CutEntry],
        pieces: &IndexMap<String, Piece>,
        matches: &IndexMap<&'a String, &'a Match>,
    ) -> Self {
        let coordinate = |p: Point| if along { p.x } else { p.y };
        let tie = |(name, found): (&&'a String, &&'a Match)| {
            let hold = if along { found.along? } else { found.across? };
            let index = |cut: &str| cuts.iter().position(|entry| entry.cut == cut);
            let points = found.points.iter().filter_map(|point| Some((index(&point.cut)?, coordinate(point.at))));
            Some(Tie { name, hold, points: points.collect() })
        };
        let fold = |entry: &CutEntry| {
            let fold = pieces.get(&entry.piece)?.fold?;
            (entry.on_fold && !along).then_some(fold.from.y)
        };
        Self { every, ties: matches.iter().filter_map(tie).collect(), folds: cuts.iter().map(fold).collect() }
    }

    fn solve(&self) -> Result<Option<Axis>, Problem> {
        let mut members: Vec<Option<Member>> = vec![None; self.folds.len()];
        let mut families = Vec::new();
        while let Some(first) = self.next(&members) {
            let family = families.len();
            members[first] = Some(Member { family, origin: 0.0 });
            let ties = self.tied(family, &mut members)?;
            families.push(self.held(family, &ties, &mut members)?);
        }
        Ok((!families.is_empty()).then_some(Axis { every: self.every, families, members }))
    }

    /// A matched cut that is in no family yet.
    fn next(&self, members: &[Option<Member>]) -> Option<usize> {
        let cuts = self.ties.iter().flat_map(|tie| tie.points.iter().map(|(cut, _)| *cut));
        cuts.into_iter().find(|cut| members[*cut].is_none())
    }

    /// Takes every cut that is tied to a member of a family into it; gives the family's ties with their phases.
    fn tied(&self, family: usize, members: &mut [Option<Member>]) -> Result<Vec<(&Tie<'a>, Mm)>, Problem> {
        let mut ties: Vec<(&Tie, Mm)> = Vec::new();
        loop {
            let known = |(cut, at): &(usize, Mm)| members[*cut].filter(|m| m.family == family).map(|m| m.origin + at);
            let next = self
                .ties
                .iter()
                .filter(|tie| !ties.iter().any(|(taken, _)| std::ptr::eq(*taken, *tie)))
                .find_map(|tie| Some((tie, tie.points.iter().find_map(known)?)));
            let Some((tie, phase)) = next else { return Ok(ties) };
            for &(cut, at) in &tie.points {
                let member = members[cut].get_or_insert(Member { family, origin: phase - at });
                Self::agree(tie, member.origin + at - phase, self.every)?;
            }
            ties.push((tie, phase));
        }
    }

    /// Moves a family to where its ties and folds hold it; says what it is still free to do.
    fn held(&self, family: usize, ties: &[(&Tie, Mm)], members: &mut [Option<Member>]) -> Result<Family, Problem> {
        let wanted = |hold| match hold {
            Hold::Alike => None,
            Hold::Middle => Some(0.0),
            Hold::Between => Some(self.every / 2.0),
        };
        let mut holds = ties.iter().filter_map(|(tie, phase)| Some((*tie, wanted(tie.hold)? - phase)));
        let held = holds.clone().next();
        if let Some((_, by)) = held {
            holds.try_for_each(|(tie, other)| Self::agree(tie, other - by, self.every))?;
        }
        let on_folds = members.iter().zip(&self.folds).filter_map(|(member, fold)| {
            let member = member.filter(|member| member.family == family)?;
            Some(-(member.origin + (*fold)?))
        });
        let on_folds: Vec<Mm> = on_folds.collect();
        let by = held.map(|(_, by)| by).or(on_folds.first().copied());
        let Some(by) = by else { return Ok(Family::Free) };
        if let Some((tie, _)) = ties.first() {
            on_folds.iter().try_for_each(|other| Self::agree(tie, other - by, self.every / 2.0))?;
        }
        for member in members.iter_mut().flatten().filter(|member| member.family == family) {
            member.origin = off_lattice(member.origin + by, self.every);
        }
        Ok(if held.is_some() { Family::Held } else { Family::Either })
    }

    fn agree(tie: &Tie, by: Mm, every: Mm) -> Result<(), Problem> {
        let off = off_lattice(by, every).abs();
        if off <= CONTRADICTION {
            return Ok(());
        }
        let cause = format!(
            "\"{}\" contradicts the other matches of its cuts by {}; what lies on a fold must be alike on both sides of it.",
            tie.name,
            both(off, Rounding::Nearest)
        );
        let hint = "match the cuts at one level only, or make the pieces agree there";
        Err(Problem::at(format!("matches.{}", tie.name), cause, hint))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A match: its name, where it holds its points, and they by cut.
    type Given<'a> = (&'a str, Hold, &'a [(usize, Mm)]);

    fn solved(every: Mm, ties: &[Given], folds: &[Option<Mm>]) -> Result<Axis, Problem> {
        let ties = ties.iter().map(|&(name, hold, points)| Tie { name, hold, points: points.to_vec() }).collect();
        Solver { every, ties, folds: folds.to_vec() }.solve().map(|axis| axis.expect("something is matched"))
    }

    #[test]
    fn cuts_are_tied_through_each_other() {
        // 0 and 1 alike at 10 and 40, 1 and 2 at 0 and 5, 3 by itself on the middle at 7.
        let ties: &[Given] = &[
            ("a", Hold::Alike, &[(0, 10.0), (1, 40.0)]),
            ("b", Hold::Alike, &[(1, 0.0), (2, 5.0)]),
            ("c", Hold::Middle, &[(3, 7.0)]),
        ];
        let axis = solved(100.0, ties, &[None; 4]).unwrap();
        assert_eq!(axis.families, [Family::Free, Family::Held]);
        let origins: Vec<Mm> = axis.members.iter().map(|m| m.unwrap().origin).collect();
        assert_eq!(origins, [0.0, -30.0, -35.0, -7.0]);
    }

    #[test]
    fn a_fold_lies_on_the_middle_or_between() {
        let ties: &[Given] = &[("a", Hold::Alike, &[(0, 30.0), (1, 0.0)])];
        let axis = solved(100.0, ties, &[Some(0.0), None]).unwrap();
        assert_eq!(axis.families, [Family::Either]);
        assert_eq!(axis.members[1].unwrap().origin, 30.0);
        // Held with a point 30 off its fold on the middle, the fold would lie where the print is not even.
        let ties: &[Given] = &[("a", Hold::Middle, &[(0, 30.0)])];
        assert!(solved(100.0, ties, &[Some(0.0)]).is_err());
    }

    #[test]
    fn matches_that_contradict_each_other_are_refused() {
        // Level at the hem and at the waist: only where both seams are as long, give or take whole repeats.
        let level = |other: Mm| {
            let hem: Given = ("hem", Hold::Alike, &[(0, 0.0), (1, 0.0)]);
            let points = [(0, 250.0), (1, other)];
            solved(100.0, &[hem, ("waist", Hold::Alike, &points)], &[None; 2])
        };
        assert!(level(250.2).is_ok());
        assert!(level(150.0).is_ok());
        assert_eq!(level(255.0).unwrap_err().place.keys, "matches.waist");
    }
}
