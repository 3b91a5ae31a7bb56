//! From cuts to strips.

use super::turns::Direction;
use super::{NotPossible, Order};
use crate::cut_list::CutEntry;
use crate::geometry::{Point, Pose, Shape};
use crate::nest::{Band, Problem, Way};
use crate::piece::{FoldEdge, Piece};
use crate::project::LayKind;
use crate::units::{Mm, Rounding, both};

/// Room that rounding may take, in mm.
const ROUNDING: Mm = 1e-9;

/// One section of a lay: a strip to be packed, and what each of its items stands for.
#[derive(Debug, Clone)]
pub struct SectionJob {
    /// How the cloth lies.
    pub kind: LayKind,
    /// The strip.
    pub problem: Problem,
    /// What each item stands for, in the order of the problem's items.
    pub tickets: Vec<Ticket>,
}

/// What one item of a strip stands for.
#[derive(Debug, Clone, PartialEq)]
pub struct Ticket {
    /// Index of the cut in the order.
    pub cut: usize,
    /// Which plies it gives.
    pub gives: Gives,
}

/// The plies that one placement gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gives {
    /// One ply, as its pose says.
    One,
    /// One ply, the piece and its mirror image in one, from cloth that is open there.
    Unfolded,
    /// One ply across the fold, from half its outline.
    OnFold,
    /// Two plies, one on each layer.
    Pair {
        /// How many of the two the cut wants mirrored. Only a piece that is its own mirror image can be called so at will;
        /// of any other one ply is mirrored and one is not.
        mirrored: usize,
    },
}

/// A cut with everything looked up.
pub(super) struct Looked<'a> {
    pub(super) index: usize,
    pub(super) entry: &'a CutEntry,
    pub(super) piece: &'a Piece,
    pub(super) direction: Direction,
}

pub(super) fn looked_up<'a>(order: &Order<'a>) -> Vec<Looked<'a>> {
    let cuts = order.cuts.iter().enumerate();
    cuts.filter_map(|(index, entry)| {
        let piece = order.pieces.get(&entry.piece)?;
        let direction =
            Direction { grain: entry.grain, tilt: entry.tilt, nap: order.cloth.nap, own_mirror: piece.own_mirror };
        Some(Looked { index, entry, piece, direction })
    })
    .collect()
}

/// How many plies of a cut are still to be placed.
#[derive(Clone, Copy)]
struct Wanted {
    plain: usize,
    mirrored: usize,
}

impl Wanted {
    fn total(self) -> usize {
        self.plain + self.mirrored
    }

    /// Takes two off, one of each while there are both; says how many of the two are mirrored.
    fn take_pair(&mut self) -> usize {
        let mirrored = self.mirrored.min(if self.plain == 0 { 2 } else { 1 });
        self.mirrored -= mirrored;
        self.plain = self.plain.saturating_sub(2 - mirrored);
        mirrored
    }
}

/// A strip under construction.
struct Strip<'a> {
    order: Order<'a>,
    job: SectionJob,
    /// The first cut that this strip would take were it wider.
    too_wide: Option<NotPossible>,
}

impl<'a> Strip<'a> {
    fn new(kind: LayKind, order: Order<'a>) -> Self {
        let width = match kind {
            LayKind::Open => order.cloth.usable_width(),
            LayKind::LengthwiseFold => order.cloth.usable_width() / 2.0,
        };
        let problem =
            Problem { width, gap: order.cloth.gap, shapes: Vec::new(), items: Vec::new(), keep_out: Vec::new() };
        Self { order, job: SectionJob { kind, problem, tickets: Vec::new() }, too_wide: None }
    }

    fn add(&mut self, cut: usize, shape: &Shape, poses: Vec<Pose>, band: Band, gives: Gives) {
        let shapes = &mut self.job.problem.shapes;
        let shape = shapes.iter().position(|known| known == shape).unwrap_or_else(|| {
            shapes.push(shape.clone());
            shapes.len() - 1
        });
        self.job.problem.items.push(Way::new(shape, poses, band).into());
        self.job.tickets.push(Ticket { cut, gives });
    }

    /// Adds plies that are cut one by one.
    fn add_singles(&mut self, cut: &Looked, wanted: Wanted) -> Result<(), NotPossible> {
        let whole = if cut.entry.on_fold { cut.piece.whole() } else { None };
        let shape = whole.as_ref().unwrap_or(&cut.piece.shape);
        let gives = if whole.is_some() { Gives::Unfolded } else { Gives::One };
        for (mirrored, count) in [(false, wanted.plain), (true, wanted.mirrored)] {
            let mut poses = cut.poses(mirrored);
            // Cloth alike on both faces lets a ply lie either way up, which is no choice for a piece that is its own mirror.
            if !self.order.cloth.right_side && whole.is_none() && !cut.is_own_mirror() {
                poses.extend(cut.poses(!mirrored));
            }
            poses = fitting(shape, poses, self.job.problem.width);
            if poses.is_empty() && count > 0 {
                let width = least_width(shape, &cut.poses(mirrored));
                return Err(cut.too_wide(width, self.job.problem.width, "which has"));
            }
            for _ in 0..count {
                self.add(cut.index, shape, poses.clone(), Band::Free, gives);
            }
        }
        Ok(())
    }

    /// Adds what a lengthwise fold can give of a cut, and returns what it cannot.
    fn add_folded(&mut self, cut: &Looked) -> Wanted {
        let wanted = Wanted { plain: cut.entry.plain, mirrored: cut.entry.mirrored };
        if cut.entry.lay == Some(LayKind::Open) {
            return wanted;
        }
        match cut.piece.fold.filter(|_| cut.entry.on_fold) {
            Some(fold) => self.add_on_fold(cut, fold, wanted),
            None => self.add_pairs(cut, wanted),
        }
    }

    fn add_on_fold(&mut self, cut: &Looked, fold: FoldEdge, wanted: Wanted) -> Wanted {
        let half = &cut.piece.shape;
        let width = self.job.problem.width;
        let poses: Vec<Pose> = [false, true]
            .into_iter()
            .flat_map(|mirrored| cut.poses(mirrored))
            .filter(|pose| lies_below_fold(half, fold, *pose))
            .collect();
        if poses.is_empty() {
            return wanted;
        }
        let poses = self.fitting(cut, poses, width);
        if poses.is_empty() {
            return wanted;
        }
        for _ in 0..wanted.total() {
            let band = Band::Pinned { anchor: fold.from, y: width };
            self.add(cut.index, half, poses.clone(), band, Gives::OnFold);
        }
        Wanted { plain: 0, mirrored: 0 }
    }

    fn add_pairs(&mut self, cut: &Looked, wanted: Wanted) -> Wanted {
        let shape = &cut.piece.shape;
        let own_mirror = cut.is_own_mirror();
        // Either layer may carry the mirrored ply; a piece that is its own mirror image has no such choice to make.
        let poses = if own_mirror { cut.poses(false) } else { [cut.poses(false), cut.poses(true)].concat() };
        // A ply and its reflection keep the gap across the fold when each keeps half of it.
        let room = self.job.problem.width - self.order.cloth.gap / 2.0;
        let pairs = if own_mirror || !self.order.cloth.right_side {
            wanted.total() / 2
        } else {
            wanted.plain.min(wanted.mirrored)
        };
        if pairs == 0 {
            return wanted;
        }
        let poses = self.fitting(cut, poses, room);
        if poses.is_empty() {
            return wanted;
        }
        let band = if self.order.cloth.gap > 0.0 { Band::Within { from: 0.0, to: room } } else { Band::Free };
        let mut left = wanted;
        for _ in 0..pairs {
            let mirrored = left.take_pair();
            self.add(cut.index, shape, poses.clone(), band, Gives::Pair { mirrored });
        }
        left
    }
}

impl Strip<'_> {
    /// Of several poses those in which the cut's piece fits; where none does, the cut is remembered.
    fn fitting(&mut self, cut: &Looked, poses: Vec<Pose>, room: Mm) -> Vec<Pose> {
        let shape = &cut.piece.shape;
        let width = least_width(shape, &poses);
        let poses = fitting(shape, poses, room);
        if poses.is_empty() && self.too_wide.is_none() {
            self.too_wide = Some(cut.too_wide(width, room, "half the cloth has"));
        }
        poses
    }
}

impl Looked<'_> {
    /// Whether it looks the same mirrored, in a turn that the cloth allows.
    fn is_own_mirror(&self) -> bool {
        self.direction.unmirrored_turn(0.0).is_some()
    }

    fn poses(&self, mirrored: bool) -> Vec<Pose> {
        self.direction.turns(mirrored).into_iter().map(|turn| Pose { mirrored, turn }).collect()
    }

    fn refused(&self, reason: &str) -> NotPossible {
        NotPossible { cut: self.entry.cut.clone(), reason: format!("\"{}\": {reason}", self.entry.cut) }
    }

    fn too_wide(&self, width: Mm, room: Mm, which_has: &str) -> NotPossible {
        self.refused(&format!(
            "it is {} across the cloth, {which_has} {} between its selvedges: {} too wide",
            both(width, Rounding::Nearest),
            both(room, Rounding::Nearest),
            both(width - room, Rounding::Up)
        ))
    }
}

/// How wide a shape is in the pose in which it is narrowest.
fn least_width(shape: &Shape, poses: &[Pose]) -> Mm {
    let widths = poses.iter().map(|pose| shape.placed(*pose, Point::default()).bounds().width());
    widths.fold(f64::INFINITY, f64::min)
}

/// Of several poses those in which the shape is no wider than the room across the strip.
fn fitting(shape: &Shape, poses: Vec<Pose>, room: Mm) -> Vec<Pose> {
    let fits = |pose: &Pose| shape.placed(*pose, Point::default()).bounds().width() <= room + ROUNDING;
    poses.into_iter().filter(fits).collect()
}

/// In this pose the fold edge runs along the cloth and the half lies on its lower side.
fn lies_below_fold(half: &Shape, fold: FoldEdge, pose: Pose) -> bool {
    let motion = pose.motion(Point::default());
    let (from, to) = (motion.apply(fold.from), motion.apply(fold.to));
    let top = half.placed(pose, Point::default()).bounds().max.y;
    (from.y - to.y).abs() <= ROUNDING && top <= from.y + ROUNDING
}

/// Open cloth: every ply by itself.
pub(super) fn open(order: &Order) -> Result<Vec<SectionJob>, NotPossible> {
    let mut strip = Strip::new(LayKind::Open, *order);
    for cut in looked_up(order) {
        if cut.entry.lay == Some(LayKind::LengthwiseFold) {
            return Err(cut.refused("it must lie on a lengthwise fold, and open cloth has none"));
        }
        strip.add_singles(&cut, Wanted { plain: cut.entry.plain, mirrored: cut.entry.mirrored })?;
    }
    Ok(vec![strip.job])
}

/// Open cloth without regard to the lays that cuts are held to: what every lay comes to when it is unfolded.
pub(super) fn unrestricted(order: &Order) -> Option<SectionJob> {
    let free: Vec<CutEntry> = order.cuts.iter().map(|entry| CutEntry { lay: None, ..entry.clone() }).collect();
    open(&Order { cuts: &free, ..*order }).ok()?.pop()
}

/// A lengthwise fold, and open cloth after it for what the fold cannot give.
pub(super) fn lengthwise_fold(order: &Order) -> Result<Vec<SectionJob>, NotPossible> {
    let mut folded = Strip::new(LayKind::LengthwiseFold, *order);
    let mut rest = Strip::new(LayKind::Open, *order);
    for cut in looked_up(order) {
        let left = folded.add_folded(&cut);
        if cut.entry.lay == Some(LayKind::LengthwiseFold) && left.total() > 0 {
            let reason = format!("it must lie on a lengthwise fold, which cannot give {} of its plies", left.total());
            return Err(folded.too_wide.take().unwrap_or_else(|| cut.refused(&reason)));
        }
        rest.add_singles(&cut, left)?;
    }
    if folded.job.tickets.is_empty() {
        let reason = "nothing is cut as a pair or on the fold".to_owned();
        return Err(folded.too_wide.unwrap_or(NotPossible { cut: String::new(), reason }));
    }
    let jobs = [folded.job, rest.job].into_iter().filter(|job| !job.tickets.is_empty());
    Ok(jobs.collect())
}
