//! From packed strips to plies on the flat cloth.

use super::fold::{Fold, Stretch};
use super::repeat::Repeat;
use super::section::{Gives, Looked, SectionJob, looked_up};
use super::{LaidOut, Order, TableWork};
use crate::geometry::{Point, Pose, Shape};
use crate::layout::{Ply, Section, plan_points};
use crate::nest::{Placement, Solution};
use crate::project::LayKind;
use crate::units::Mm;

/// The stretch of cloth that each packed section takes.
pub(super) fn stretches(order: &Order, packed: &[(SectionJob, Solution)]) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> = Vec::with_capacity(packed.len());
    for (job, solution) in packed {
        let middle = motif(&packed[..stretches.len()], &stretches).or(job.repeat.map(|repeat| repeat.from));
        let repeat = job.repeat.zip(middle).map(|(repeat, from)| Repeat { from, ..repeat });
        stretches.push(Stretch::new(job.fold, stretches.last(), solution.length, order.cloth.gap, repeat));
    }
    stretches
}

/// The x of the middle of a motif, where something is matched along the sections that are packed.
pub(super) fn middle(order: &Order, packed: &[(SectionJob, Solution)]) -> Option<Mm> {
    motif(packed, &stretches(order, packed))
}

/// The same, in the first repeat of the cloth. Where the first section is folded across, it is counted from there.
fn motif(packed: &[(SectionJob, Solution)], stretches: &[Stretch]) -> Option<Mm> {
    let repeat = packed.iter().find_map(|(job, _)| job.repeat)?;
    let (job, first) = (&packed.first()?.0, stretches.first()?);
    let from_fold = job.fold == Fold::Crosswise && job.repeat.is_some();
    let x = if from_fold { first.across() + repeat.from } else { repeat.from };
    Some(x.rem_euclid(repeat.every))
}

/// Puts packed sections end to end and unfolds them.
pub(super) fn laid_out(kind: LayKind, order: &Order, packed: &[(SectionJob, Solution)]) -> LaidOut {
    let cuts = looked_up(order);
    let usable = order.cloth.usable_width();
    let (mut sections, mut plies): (Vec<Section>, Vec<(usize, Ply)>) = (Vec::new(), Vec::new());
    let mut work = TableWork { relaid: packed.len().saturating_sub(1), ..TableWork::default() };
    let mut end: Mm = 0.0;
    let stretches = stretches(order, packed);
    let middle = motif(packed, &stretches);
    for (index, ((job, solution), stretch)) in packed.iter().zip(stretches).enumerate() {
        let base = Base { section: index, stretch, usable };
        for (ticket, placement) in job.tickets.iter().zip(&solution.placements) {
            let cut = cuts.iter().find(|cut| cut.index == ticket.cut);
            if let (Some(cut), Some(gives)) = (cut, ticket.gives.get(placement.way)) {
                plies.extend(base.plies(cut, *gives, *placement).into_iter().map(|ply| (ticket.cut, ply)));
            }
        }
        work.placements += job.tickets.len();
        work.folds += job.fold.folds();
        let fold_lines = job.fold.lines(usable, &stretch);
        sections.push(Section { from: end, to: stretch.to, fold: job.fold.name().to_owned(), fold_lines });
        end = stretch.to;
    }
    // The order of the cuts, so that numbers run through one cut at a time; within it the order of placing.
    plies.sort_by_key(|(cut, _)| *cut);
    let mut numbered: Vec<Ply> = Vec::with_capacity(plies.len());
    for (_, mut ply) in plies {
        ply.number = numbered.last().filter(|last| last.cut == ply.cut).map_or(1, |last| last.number + 1);
        numbered.push(ply);
    }
    LaidOut { kind, length: end, sections, plies: numbered, work, middle }
}

/// Where a section lies.
struct Base {
    section: usize,
    stretch: Stretch,
    usable: Mm,
}

impl Base {
    fn plies(&self, cut: &Looked, gives: Gives, placement: Placement) -> Vec<Ply> {
        let at = self.stretch.on_cloth(placement.at);
        let pose = placement.pose;
        match gives {
            Gives::One => vec![self.ply(cut, &cut.piece.shape, pose, at, false)],
            Gives::Unfolded | Gives::OnFold => self.whole(cut, pose, at),
            Gives::Pair { mirrored, under } => {
                let both = [(pose, at), self.stretch.other_ply(under, pose, at, self.usable)];
                // A piece that is its own mirror image may be called by either name: as many as the cut asks for.
                let called: [bool; 2] = match mirrored {
                    0 => [false, false],
                    1 => [pose.mirrored, !pose.mirrored],
                    _ => [true, true],
                };
                let name = |((pose, at), called): ((Pose, Point), bool)| {
                    let (pose, at) = renamed(cut, pose, at, called);
                    self.ply(cut, &cut.piece.shape, pose, at, false)
                };
                both.into_iter().zip(called).map(name).collect()
            }
        }
    }

    /// The whole of a piece given as half. It is its own mirror image, so it is never called mirrored.
    fn whole(&self, cut: &Looked, pose: Pose, at: Point) -> Vec<Ply> {
        let (Some(shape), Some(fold)) = (cut.piece.whole(), cut.piece.fold) else {
            return Vec::new();
        };
        if !pose.mirrored {
            return vec![self.ply(cut, &shape, pose, at, true)];
        }
        // Reflected in its own fold line the whole is itself again: the pose without the mirror that puts the two ends of
        // the fold where they lie now.
        let motion = pose.motion(at);
        let (from, to) = (motion.apply(fold.from), motion.apply(fold.to));
        let grain_to_fold = fold.to - fold.from;
        let now = to - from;
        let turn = turn_between(grain_to_fold, now);
        let plain = Pose { mirrored: false, turn };
        let moved = from - plain.motion(Point::default()).apply(fold.from);
        vec![self.ply(cut, &shape, plain, moved, true)]
    }

    fn ply(&self, cut: &Looked, shape: &Shape, pose: Pose, at: Point, across_fold: bool) -> Ply {
        let placed = shape.placed(pose, at);
        Ply {
            cut: cut.entry.cut.clone(),
            piece: cut.entry.piece.clone(),
            number: 0,
            section: self.section,
            mirrored: pose.mirrored,
            across_fold,
            turn: pose.turn,
            outline: plan_points(&placed.outline),
            holes: placed.holes.iter().map(|hole| plan_points(hole)).collect(),
        }
    }
}

/// The same place on the cloth, described by a pose that is mirrored or not as asked, for a piece that is its own mirror
/// image; the description as it was for any other.
fn renamed(cut: &Looked, pose: Pose, at: Point, mirrored: bool) -> (Pose, Point) {
    let Some(turn) = cut.direction.unmirrored_turn(pose.turn).filter(|_| pose.mirrored != mirrored) else {
        return (pose, at);
    };
    let other = Pose { mirrored, turn };
    let corner = |pose| cut.piece.shape.placed(pose, Point::default()).bounds().min;
    (other, at + corner(pose) - corner(other))
}

/// The turn, in degrees, from one direction to another; exact at the quarter turns.
fn turn_between(a: Point, b: Point) -> f64 {
    let degrees = (libm::atan2(b.y, b.x) - libm::atan2(a.y, a.x)).to_degrees();
    let quarter = (degrees / 90.0).round() * 90.0;
    crate::geometry::normal_turn(if (degrees - quarter).abs() < 1e-7 { quarter } else { degrees })
}
