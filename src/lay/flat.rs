//! From packed strips to plies on the flat cloth.

use super::section::{Gives, Looked, SectionJob, looked_up};
use super::{LaidOut, Order};
use crate::geometry::{Point, Pose, Shape};
use crate::layout::{Ply, Section, plan_points};
use crate::nest::{Placement, Solution};
use crate::project::LayKind;
use crate::units::Mm;

/// Puts packed sections end to end and unfolds them.
pub(super) fn laid_out(kind: LayKind, order: &Order, packed: &[(SectionJob, Solution)]) -> LaidOut {
    let cuts = looked_up(order);
    let gap = order.cloth.gap;
    let (mut sections, mut plies, mut placements) = (Vec::new(), Vec::new(), 0);
    let mut from: Mm = 0.0;
    let mut end: Mm = 0.0;
    for (index, (job, solution)) in packed.iter().enumerate() {
        let start = if index == 0 { 0.0 } else { from + gap };
        let base = Base { section: index, start, width: job.problem.width };
        for (ticket, placement) in job.tickets.iter().zip(&solution.placements) {
            if let Some(cut) = cuts.iter().find(|cut| cut.index == ticket.cut) {
                plies.extend(base.plies(cut, ticket.gives, *placement).into_iter().map(|ply| (ticket.cut, ply)));
            }
        }
        placements += job.tickets.len();
        end = start + solution.length;
        sections.push(section(job, from, end));
        from = end;
    }
    // The order of the cuts, so that numbers run through one cut at a time; within it the order of placing.
    plies.sort_by_key(|(cut, _)| *cut);
    let mut numbered: Vec<Ply> = Vec::with_capacity(plies.len());
    for (_, mut ply) in plies {
        ply.number = numbered.last().filter(|last| last.cut == ply.cut).map_or(1, |last| last.number + 1);
        numbered.push(ply);
    }
    LaidOut { kind, length: end, sections, plies: numbered, placements }
}

fn section(job: &SectionJob, from: Mm, to: Mm) -> Section {
    match job.kind {
        LayKind::Open => Section { from, to, fold: "none".to_owned(), fold_lines: Vec::new() },
        LayKind::LengthwiseFold => {
            Section { from, to, fold: "lengthwise".to_owned(), fold_lines: vec![job.problem.width] }
        }
    }
}

/// Where a section lies.
struct Base {
    section: usize,
    start: Mm,
    width: Mm,
}

impl Base {
    fn plies(&self, cut: &Looked, gives: Gives, placement: Placement) -> Vec<Ply> {
        let at = Point { x: placement.at.x + self.start, y: placement.at.y };
        let pose = placement.pose;
        match gives {
            Gives::One => vec![self.ply(cut, &cut.piece.shape, pose, at, false)],
            Gives::Unfolded | Gives::OnFold => self.whole(cut, pose, at),
            Gives::Pair { mirrored } => {
                let under = Point { x: at.x, y: 2.0 * self.width - at.y };
                let both = [(pose, at), (pose.across_lengthwise_fold(), under)];
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
