//! Where matched cuts lie in the repeat of a print, on each kind of fold.
//!
//! Along the cloth the middle of a motif may lie anywhere, since the shop may cut anywhere; where more than one family of cuts
//! is matched, or one is held to the middle of a motif, that is a choice of the arrangement. Across the cloth the print lies as
//! it was woven. The layer that a fold turns over shows the print mirrored: it matches where the fold lies on a line about which
//! the print is its own mirror image, the middle of a motif or halfway between two.

use super::Order;
use super::fold::{Crease, Fold, Under};
use super::section::{Looked, ROUNDING, SectionJob, Strip};
use crate::cut_list::{Axis, Family, Member, off_lattice};
use crate::geometry::{Point, Pose, Shape};
use crate::nest::{Lines, Problem, Way};
use crate::piece::FoldEdge;
use crate::units::Mm;

/// A fold may lie so far off a line of the print, in mm: the layer under it is off by twice that.
const OFF_LINE: Mm = 0.1;
/// Places in the repeat that are nearer than this, in mm, are one.
const SAME: Mm = 0.01;

/// Where an arrangement lays its families of matched cuts.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Phases {
    /// The x of the middle of a motif: on the flat cloth or, where the first section is folded across, from its fold, 0 or half a
    /// repeat.
    pub(super) from: Mm,
    /// By how much each family lies further on than it stands, along the cloth.
    along: Vec<Mm>,
    /// The same across.
    across: Vec<Mm>,
}

/// The repeat along a section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeat {
    /// From one motif to the next.
    pub(super) every: Mm,
    /// The x of the middle of a motif, as in [`Phases`].
    pub(super) from: Mm,
}

impl Phases {
    /// Every family where its longest piece begins with the cloth; across as they stand.
    pub(super) fn first(fold: Fold, order: &Order, cuts: &[Looked]) -> Self {
        let Some(matching) = order.matching else { return Self::default() };
        let families = |axis: Option<&Axis>| axis.map_or(0, |axis| axis.families.len());
        let mut phases = Self {
            from: 0.0,
            along: vec![0.0; families(matching.along.as_ref())],
            across: vec![0.0; families(matching.across.as_ref())],
        };
        let Some(axis) = &matching.along else { return phases };
        let length = |cut: &Looked| cut.piece.shape.bounds().length();
        let mut longest: Vec<(&Looked, Member)> = members(cuts, |cut| cut.along).collect();
        longest.sort_by(|a, b| length(b.0).total_cmp(&length(a.0)));
        let upright = |cut: &Looked| (1.0, -cut.piece.shape.bounds().min.x);
        if let Some((cut, member)) = longest.iter().find(|(_, member)| axis.families[member.family] == Family::Held) {
            phases.hold_from(fold, axis, upright(cut), *member);
        }
        for family in (0..axis.families.len()).filter(|family| axis.families[*family] == Family::Free) {
            if let Some((cut, member)) = longest.iter().find(|(_, member)| member.family == family) {
                phases.move_along(fold, order, axis, upright(cut), *member);
            }
        }
        phases
    }

    /// Others that differ in one thing: another piece or the other way up begins with the cloth or lies at an edge of it, or a
    /// family moves on by half a repeat.
    pub(super) fn others(&self, fold: Fold, order: &Order, cuts: &[Looked]) -> Vec<Self> {
        let mut found: Vec<Self> = Vec::new();
        let Some(matching) = order.matching else { return found };
        if let Some(axis) = &matching.along {
            for (cut, member) in members(cuts, |cut| cut.along) {
                for start in cut.starts() {
                    let mut other = self.clone();
                    if axis.families[member.family] == Family::Held {
                        other.hold_from(fold, axis, start, member);
                    } else {
                        other.move_along(fold, order, axis, start, member);
                    }
                    found.push(other);
                }
            }
            if axis.families.contains(&Family::Held) || !order.cloth.nap {
                found.push(Self { from: (self.from + axis.every / 2.0).rem_euclid(axis.every), ..self.clone() });
            }
        }
        if let Some(axis) = &matching.across {
            for (family, freedom) in axis.families.iter().enumerate().filter(|(_, freedom)| **freedom != Family::Held) {
                let mut to = vec![self.across[family] + axis.every / 2.0];
                if *freedom == Family::Free {
                    let here = members(cuts, |cut| cut.across).filter(|(_, member)| member.family == family);
                    to.extend(here.flat_map(|(cut, member)| cut.at_edges(order, matching.print.middle, member.origin)));
                }
                found.extend(to.into_iter().map(|to| {
                    let mut other = self.clone();
                    other.across[family] = to.rem_euclid(axis.every);
                    other
                }));
            }
        }
        let mut kept: Vec<Self> = Vec::new();
        for other in found {
            if !other.same_as(self) && !kept.iter().any(|known| known.same_as(&other)) {
                kept.push(other);
            }
        }
        kept
    }

    fn same_as(&self, other: &Self) -> bool {
        let near = |a: &[Mm], b: &[Mm]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < SAME);
        (self.from - other.from).abs() < SAME && near(&self.along, &other.along) && near(&self.across, &other.across)
    }

    /// Moves the motif so that a piece, lying as `start` says, begins with the cloth; families that are free of it stay.
    fn hold_from(&mut self, fold: Fold, axis: &Axis, (sign, at): (f64, Mm), member: Member) {
        // A fold across lies on the middle of a motif or between two, or its layers would not match.
        if fold == Fold::Crosswise {
            return;
        }
        let before = self.from;
        let origin = member.origin + self.along[member.family];
        self.from = (at - sign * origin).rem_euclid(axis.every);
        for (by, freedom) in self.along.iter_mut().zip(&axis.families) {
            if *freedom == Family::Free {
                *by = (*by + before - self.from).rem_euclid(axis.every);
            }
        }
    }

    /// Moves a family so that a piece of it, lying as `start` says, begins with the cloth.
    fn move_along(&mut self, fold: Fold, order: &Order, axis: &Axis, (sign, at): (f64, Mm), member: Member) {
        let phase = sign * (at - (self.from - strip_start(fold, order)));
        self.along[member.family] = (phase - member.origin).rem_euclid(axis.every);
    }

    /// The lines that a cut's piece must lie on along the cloth, the middle of a motif at 0.
    pub(super) fn lines_along(&self, order: &Order, cut: &Looked) -> Option<Lines> {
        let (axis, member) = (order.matching?.along.as_ref()?, cut.along?);
        let origin = member.origin + self.along[member.family];
        // The point of the piece that lies on the middle of a motif, whichever way up it lies.
        Some(Lines { anchor: Point { x: -off_lattice(origin, axis.every), y: 0.0 }, at: 0.0, every: axis.every })
    }

    /// The lines that a cut's piece must lie on across the strip of a fold.
    pub(super) fn lines_across(&self, order: &Order, cut: &Looked, fold: Fold) -> Option<Lines> {
        let matching = order.matching?;
        let (axis, member) = (matching.across.as_ref()?, cut.across?);
        let origin = member.origin + self.across[member.family];
        let anchor = Point { x: 0.0, y: -off_lattice(origin, axis.every) };
        Some(Lines { anchor, at: matching.print.middle - fold.offset(), every: axis.every })
    }
}

fn members<'c, 'a>(
    cuts: &'c [Looked<'a>],
    of: impl Fn(&Looked<'a>) -> Option<Member> + 'c,
) -> impl Iterator<Item = (&'c Looked<'a>, Member)> {
    cuts.iter().filter_map(move |cut| of(cut).map(|member| (cut, member)))
}

/// Where the first strip's x begins, from where [`Phases::from`] counts.
fn strip_start(fold: Fold, order: &Order) -> Mm {
    if fold == Fold::Crosswise { order.cloth.gap / 2.0 } else { 0.0 }
}

impl Looked<'_> {
    /// Each way up: whether the piece's x runs with the cloth's (1 or -1), and the x of its origin where it begins with it.
    fn starts(&self) -> Vec<(f64, Mm)> {
        let bounds = self.piece.shape.bounds();
        let start = |pose: &Pose| if pose.turn == 0.0 { (1.0, -bounds.min.x) } else { (-1.0, bounds.max.x) };
        self.poses(false).iter().map(start).collect()
    }

    /// The moves of a family across the cloth, each of which lays this piece at an edge of it.
    fn at_edges(&self, order: &Order, middle: Mm, origin: Mm) -> Vec<Mm> {
        let edges = |pose: Pose| {
            let bounds = self.piece.shape.placed(pose, Point::default()).bounds();
            let sign = if pose.mirrored == (pose.turn == 0.0) { -1.0 } else { 1.0 };
            [-bounds.min.y, order.cloth.usable_width() - bounds.max.y].map(|at| sign * (at - middle) - origin)
        };
        self.both_ways_up().into_iter().flat_map(edges).collect()
    }
}

impl Strip<'_> {
    /// A way with the lines of the print that the cut must lie on.
    pub(super) fn on_lines(&self, cut: &Looked, way: Way) -> Way {
        let along = self.phases.lines_along(&self.order, cut);
        let across = self.phases.lines_across(&self.order, cut, self.job.fold);
        Way { along, across, ..way }
    }

    /// Of several poses those in which the cut, if it is matched across the cloth, lies on a line of the print within a room.
    pub(super) fn matching(&self, cut: &Looked, shape: &Shape, poses: Vec<Pose>, room: (Mm, Mm)) -> Vec<Pose> {
        let Some(lines) = self.phases.lines_across(&self.order, cut, self.job.fold) else { return poses };
        let on_a_line = |pose: &Pose| {
            let bounds = shape.placed(*pose, Point::default()).bounds();
            let first = lines.at - pose.motion(Point::default()).apply(lines.anchor).y;
            let low = room.0 - bounds.min.y - ROUNDING;
            first + ((low - first) / lines.every).ceil() * lines.every <= room.1 - bounds.max.y + ROUNDING
        };
        poses.into_iter().filter(on_a_line).collect()
    }

    /// Whether a half that is matched across the cloth lies right in the repeat when it lies on a crease.
    pub(super) fn fold_is_matched(&self, cut: &Looked, fold: FoldEdge, crease: Crease) -> bool {
        let Some(lines) = self.phases.lines_across(&self.order, cut, self.job.fold) else { return true };
        let off = off_lattice(crease.y - lines.at - (fold.from.y - lines.anchor.y), lines.every);
        off.abs() <= OFF_LINE && is_even_about(&self.order, crease.y + self.job.fold.offset())
    }

    /// Whether the layer under shows the print across the cloth as the upper one does.
    pub(super) fn is_even_under(&self, under: Under) -> bool {
        match under {
            Under::Nothing | Under::AcrossFold => true,
            Under::AlongFold(line) => is_even_about(&self.order, line),
            Under::Turned => is_even_about(&self.order, self.order.cloth.usable_width() / 2.0),
        }
    }
}

/// Whether the print is its own mirror image about a line along the cloth; also where nothing is matched across it.
fn is_even_about(order: &Order, y: Mm) -> bool {
    let axis = order.matching.and_then(|matching| Some((matching.across.as_ref()?, matching.print.middle)));
    axis.is_none_or(|(axis, middle)| off_lattice(y - middle, axis.every / 2.0).abs() <= OFF_LINE)
}

/// A fold with lines that the print is even about, on the middle of a motif or halfway between two, as little deeper as may be;
/// the fold itself where nothing is matched across the cloth or it has no depth to choose.
pub(super) fn evened(fold: Fold, order: &Order) -> Vec<Fold> {
    let Some((axis, middle)) = order.matching.and_then(|m| Some((m.across.as_ref()?, m.print.middle))) else {
        return vec![fold];
    };
    let half = axis.every / 2.0;
    // The first two depths, from this one on, at which a fold of the first selvedge, or of the second, is on a line.
    let deeper = |depth: Mm, line: Mm| {
        let first = line + ((depth - line) / half - 1e-9).ceil() * half;
        [first, first + half]
    };
    match fold {
        Fold::Partial { depth } => deeper(depth, middle).map(|depth| Fold::Partial { depth }).to_vec(),
        Fold::Double { first, second } => {
            let others = deeper(second, order.cloth.usable_width() - middle);
            let with = |first| others.map(|second| Fold::Double { first, second });
            deeper(first, middle).into_iter().flat_map(with).collect()
        }
        Fold::None | Fold::Lengthwise | Fold::Crosswise | Fold::CutAndTurned => vec![fold],
    }
}

/// The deepest partial folds about lines that the print is even about: on the middle of a motif, and halfway between two.
pub(super) fn deepest_even(order: &Order, most: Mm) -> Vec<Fold> {
    let Some((axis, middle)) = order.matching.and_then(|m| Some((m.across.as_ref()?, m.print.middle))) else {
        return Vec::new();
    };
    let half = axis.every / 2.0;
    let deepest = middle + ((most - middle) / half).floor() * half;
    [deepest, deepest - half].map(|depth| Fold::Partial { depth }).to_vec()
}

impl Repeat {
    /// The first middle of a motif from `x` on.
    pub(super) fn not_before(self, x: Mm) -> Mm {
        self.from + ((x - self.from) / self.every - 1e-9).ceil() * self.every
    }

    /// The fewest whole repeats that are as long as `length`.
    pub(super) fn whole(self, length: Mm) -> Mm {
        (length / self.every - 1e-9).ceil() * self.every
    }
}

/// The strip of a section with the lines of the repeat where they lie on it: `middle` is that of a motif on the flat cloth,
/// `start` where the section's pieces may begin.
pub(super) fn in_repeat(job: &SectionJob, is_first: bool, gap: Mm, middle: Mm, start: Mm, problem: Problem) -> Problem {
    let Some(repeat) = job.repeat else { return problem };
    let by = match job.fold {
        // The motif of a first section is counted from its fold; the fold of a later one lies on the middle of a motif.
        Fold::Crosswise if is_first => repeat.from - gap / 2.0,
        Fold::Crosswise => -gap / 2.0,
        _ => middle - start,
    };
    let mut problem = problem;
    let ways = problem.items.iter_mut().flat_map(|item| &mut item.ways);
    for lines in ways.filter_map(|way| way.along.as_mut()).filter(|lines| lines.every > 0.0) {
        lines.at = off_lattice(by, lines.every);
    }
    problem
}
