//! From cuts to strips: what lies on one section of a lay, and in which ways it may.

use super::border;
use super::fold::{Crease, Fold, Under, Zone};
use super::repeat::{Phases, Repeat};
use super::turns::{Bias, Direction};
use super::{NotPossible, Order};
use crate::cut_list::{Axis, CutEntry, Member};
use crate::geometry::{Point, Pose, Shape};
use crate::nest::{Band, Item, Lines, Problem, Way};
use crate::piece::{FoldEdge, OwnMirror, Piece};
use crate::units::{Mm, Rounding, both};

/// Room that rounding may take, in mm.
pub(super) const ROUNDING: Mm = 1e-9;

/// One section of a lay: a strip to be packed, and what each of its items stands for.
#[derive(Debug, Clone)]
pub struct SectionJob {
    /// How the cloth lies.
    pub fold: Fold,
    /// The strip.
    pub problem: Problem,
    /// What each item stands for, in the order of the problem's items.
    pub tickets: Vec<Ticket>,
    /// The repeat, where something on it is matched along the cloth.
    pub repeat: Option<Repeat>,
}

/// What one item of a strip stands for.
#[derive(Debug, Clone, PartialEq)]
pub struct Ticket {
    /// Index of the cut in the order.
    pub cut: usize,
    /// Which plies it gives, by the way it is placed.
    pub gives: Vec<Gives>,
}

/// The plies that one placement gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Gives {
    /// One ply, as its pose says.
    One,
    /// One ply, the piece and its mirror image in one, from cloth that is single there.
    Unfolded,
    /// One ply across the fold, from half its outline.
    OnFold,
    /// Two plies, one on each layer.
    Pair {
        /// How many of the two the cut wants mirrored. Only a piece that is its own mirror image can be called so at will;
        /// of any other one ply is mirrored and one is not.
        mirrored: usize,
        /// What lies under the first.
        under: Under,
    },
}

/// A cut with everything looked up.
pub(super) struct Looked<'a> {
    pub(super) index: usize,
    pub(super) entry: &'a CutEntry,
    pub(super) piece: &'a Piece,
    pub(super) direction: Direction,
    /// Its family of matched cuts along the cloth.
    pub(super) along: Option<Member>,
    /// The same across.
    pub(super) across: Option<Member>,
}

pub(super) fn looked_up<'a>(order: &Order<'a>) -> Vec<Looked<'a>> {
    let cuts = order.cuts.iter().enumerate();
    cuts.filter_map(|(index, entry)| {
        let piece = order.pieces.get(&entry.piece)?;
        let member = |axis: Option<&Axis>| axis.and_then(|axis| axis.members.get(index).copied().flatten());
        let along = member(order.matching.and_then(|matching| matching.along.as_ref()));
        let across = member(order.matching.and_then(|matching| matching.across.as_ref()));
        // A mirror image that puts a matched point elsewhere is not the same.
        let own_mirror = OwnMirror {
            along_grain: piece.own_mirror.along_grain && across.is_none(),
            across_grain: piece.own_mirror.across_grain && along.is_none() && across.is_none(),
        };
        let bias = if entry.is_mirrored_bias() { Bias::First } else { Bias::Both };
        let nap = order.cloth.nap;
        let direction = Direction { grain: entry.grain, tilt: entry.tilt, nap, bias, own_mirror };
        Some(Looked { index, entry, piece, direction, along, across })
    })
    .collect()
}

/// How many plies of a cut are still to be placed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wanted {
    plain: usize,
    mirrored: usize,
}

impl Wanted {
    pub(super) fn of(cut: &Looked) -> Self {
        Self { plain: cut.entry.plain, mirrored: cut.entry.mirrored }
    }

    pub(super) fn total(self) -> usize {
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

/// The ways one item may be placed, and what each gives.
pub(super) type Ways = Vec<(Way, Gives)>;

/// A strip under construction.
pub(super) struct Strip<'a> {
    pub(super) order: Order<'a>,
    pub(super) phases: &'a Phases,
    pub(super) job: SectionJob,
    zones: Vec<Zone>,
    /// How much of the width is taken by what lies on a fold across.
    on_cross_fold: Mm,
    /// The first cut that this strip would take were it wider.
    pub(super) too_wide: Option<NotPossible>,
}

impl<'a> Strip<'a> {
    pub(super) fn new(fold: Fold, order: Order<'a>, phases: &'a Phases) -> Self {
        let usable = order.cloth.usable_width();
        let problem = Problem {
            width: fold.strip_width(usable),
            gap: order.cloth.gap,
            shapes: Vec::new(),
            items: Vec::new(),
            keep_out: Vec::new(),
        };
        let job = SectionJob { fold, problem, tickets: Vec::new(), repeat: None };
        Self { order, phases, job, zones: fold.zones(usable), on_cross_fold: 0.0, too_wide: None }
    }

    /// Whether anything on it lies double or on a fold.
    pub(super) fn has_double(&self) -> bool {
        let double = |gives: &Gives| matches!(gives, Gives::OnFold | Gives::Pair { .. });
        self.job.tickets.iter().any(|ticket| ticket.gives.iter().any(double))
    }

    fn add(&mut self, cut: usize, ways: Ways) {
        // Lines that repeat are those of the print; a fold across is one line.
        let repeats = ways.iter().filter_map(|(way, _)| way.along).find(|lines| lines.every > 0.0);
        if let Some(lines) = repeats {
            self.job.repeat = Some(Repeat { every: lines.every, from: self.phases.from });
        }
        let (ways, gives) = ways.into_iter().unzip();
        self.job.problem.items.push(Item { ways });
        self.job.tickets.push(Ticket { cut, gives });
    }

    /// The number of a shape on this strip.
    fn shape(&mut self, shape: &Shape) -> usize {
        let shapes = &mut self.job.problem.shapes;
        shapes.iter().position(|known| known == shape).unwrap_or_else(|| {
            shapes.push(shape.clone());
            shapes.len() - 1
        })
    }

    /// A band between two edges; free where it is the whole strip.
    fn band(&self, (from, to): (Mm, Mm)) -> Band {
        if from <= 0.0 && to >= self.job.problem.width { Band::Free } else { Band::Within { from, to } }
    }

    fn single_zones(&self) -> Vec<Zone> {
        self.zones.iter().copied().filter(|zone| zone.under == Under::Nothing).collect()
    }

    /// Adds plies that are cut one by one where the cloth is single.
    pub(super) fn add_singles(&mut self, cut: &Looked, wanted: Wanted) -> Result<(), NotPossible> {
        for (mirrored, count) in [(false, wanted.plain), (true, wanted.mirrored)] {
            if count == 0 {
                continue;
            }
            let ways = self.single_ways(cut, mirrored);
            if ways.is_empty() && self.single_fits(cut, mirrored) {
                let reason = "matched, it lies nowhere across the cloth between the selvedges";
                return Err(cut.refused(reason));
            }
            if ways.is_empty() {
                if let Some(edge) = &cut.entry.border {
                    let what = "lies on no selvedge with a border in any way that it may be turned";
                    return Err(cut.refused(&format!("its edge \"{edge}\" {what}")));
                }
                let width = least_width(cut.single_shape().as_ref().unwrap_or(&cut.piece.shape), &cut.poses(mirrored));
                let room = self.single_zones().iter().map(|zone| zone.to - zone.from).fold(0.0, f64::max);
                return Err(cut.too_wide(width, room, "which has"));
            }
            for _ in 0..count {
                self.add(cut.index, ways.clone());
            }
        }
        Ok(())
    }

    /// The ways to cut one ply where the cloth is single.
    fn single_ways(&mut self, cut: &Looked, mirrored: bool) -> Ways {
        let whole = cut.single_shape();
        let shape = whole.as_ref().unwrap_or(&cut.piece.shape);
        let gives = if whole.is_some() { Gives::Unfolded } else { Gives::One };
        let mut poses = cut.poses(mirrored);
        // Cloth alike on both faces lets a ply lie either way up, which is no choice for a piece that is its own mirror.
        if !self.order.cloth.right_side && whole.is_none() && !cut.is_own_mirror() {
            poses.extend(cut.poses(!mirrored));
        }
        let mut ways = Ways::new();
        for zone in self.single_zones() {
            let room = zone.room(self.order.cloth.gap);
            let poses = self.matching(cut, shape, fitting(shape, &poses, room.1 - room.0), room);
            if poses.is_empty() {
                continue;
            }
            let number = self.shape(shape);
            if cut.border().is_some() {
                let selvedges = border::selvedges(&self.order, self.job.fold, &zone);
                let pinned = border::ways(cut, (number, shape), &poses, &selvedges, gives);
                ways.extend(pinned.into_iter().map(|(way, gives)| (self.on_lines(cut, way), gives)));
            } else {
                let way = Way::new(number, poses, self.band(room)).turning(|pose| cut.leeway(pose));
                ways.push((self.on_lines(cut, way), gives));
            }
        }
        ways
    }

    /// Whether one ply would fit where the cloth is single, were it not matched.
    fn single_fits(&self, cut: &Looked, mirrored: bool) -> bool {
        let whole = cut.single_shape();
        let width = least_width(whole.as_ref().unwrap_or(&cut.piece.shape), &cut.poses(mirrored));
        self.single_zones().iter().any(|zone| width <= zone.to - zone.from + ROUNDING)
    }

    /// Adds what the folds of this strip can give of a cut, and returns what they cannot.
    pub(super) fn add_folded(&mut self, cut: &Looked) -> Wanted {
        let wanted = Wanted::of(cut);
        match cut.piece.fold.filter(|_| cut.entry.on_fold) {
            // A half on a fold and its border edge on a selvedge: it is cut whole instead.
            Some(_) if cut.border().is_some() => wanted,
            Some(fold) if self.job.fold == Fold::Crosswise => self.add_on_cross_fold(cut, fold, wanted),
            Some(fold) => self.add_on_folds(cut, fold, wanted),
            None => self.add_pairs(cut, wanted),
        }
    }

    /// Halves on folds along the cloth; where the cloth beside them is single and wide enough, the whole may lie there too.
    fn add_on_folds(&mut self, cut: &Looked, fold: FoldEdge, wanted: Wanted) -> Wanted {
        let half = &cut.piece.shape;
        let mut ways = Ways::new();
        for crease in self.job.fold.creases(self.order.cloth.usable_width()) {
            if !self.fold_is_matched(cut, fold, crease) {
                continue;
            }
            let on = |pose: &Pose| lies_on(half, fold, *pose, crease);
            let poses: Vec<Pose> = cut.both_ways_up().into_iter().filter(on).collect();
            let poses = self.fitting_or_noted(cut, poses, crease.depth);
            if !poses.is_empty() {
                let band = Band::Pinned { anchor: fold.from, y: crease.y };
                // Across the cloth the fold is where it is.
                let along = self.phases.lines_along(&self.order, cut);
                ways.push((Way { along, ..Way::new(self.shape(half), poses, band) }, Gives::OnFold));
            }
        }
        if ways.is_empty() {
            return wanted;
        }
        if cut.entry.lay.is_none() {
            ways.extend(self.single_ways(cut, false));
        }
        for _ in 0..wanted.total() {
            self.add(cut.index, ways.clone());
        }
        Wanted { plain: 0, mirrored: 0 }
    }

    /// Halves on a fold across the cloth: as many as lie on it side by side.
    fn add_on_cross_fold(&mut self, cut: &Looked, fold: FoldEdge, wanted: Wanted) -> Wanted {
        // Pairs keep half the gap from the fold, where the strip then begins, and these none: no strip has both.
        if self.order.cloth.gap > 0.0 {
            return wanted;
        }
        let half = &cut.piece.shape;
        let on = |pose: &Pose| lies_on_cross_fold(half, fold, *pose);
        let poses: Vec<Pose> = cut.both_ways_up().into_iter().filter(on).collect();
        let width = self.job.problem.width;
        let poses = self.fitting_or_noted(cut, poses, width);
        let narrowest = least_width(half, &poses);
        let mut left = wanted;
        while left.total() > 0 && self.on_cross_fold + narrowest <= width {
            let along = Some(Lines { anchor: fold.from, at: 0.0, every: 0.0 });
            let way = Way { along, ..Way::new(self.shape(half), poses.clone(), Band::Free) };
            self.add(cut.index, vec![(way, Gives::OnFold)]);
            self.on_cross_fold += narrowest;
            if left.plain > 0 { left.plain -= 1 } else { left.mirrored -= 1 }
        }
        left
    }

    fn add_pairs(&mut self, cut: &Looked, wanted: Wanted) -> Wanted {
        let shape = &cut.piece.shape;
        let own_mirror = cut.is_own_mirror();
        let pairs = if own_mirror || !self.order.cloth.right_side {
            wanted.total() / 2
        } else {
            wanted.plain.min(wanted.mirrored)
        };
        if pairs == 0 {
            return wanted;
        }
        // Either layer may carry the mirrored ply; a piece that is its own mirror image has no such choice to make.
        let poses = if own_mirror { cut.poses(false) } else { cut.both_ways_up() };
        let mut ways: Vec<(Way, Under)> = Vec::new();
        for zone in self.zones.clone().into_iter().filter(|zone| zone.under != Under::Nothing) {
            if cut.across.is_some() && !self.is_even_under(zone.under) {
                continue;
            }
            let room = zone.room(self.order.cloth.gap);
            let poses = self.fitting_or_noted(cut, poses.clone(), room.1 - room.0);
            let poses = self.matching(cut, shape, poses, room);
            if poses.is_empty() {
                continue;
            }
            let number = self.shape(shape);
            if cut.border().is_some() {
                let selvedges = border::selvedges(&self.order, self.job.fold, &zone);
                let pinned = border::ways(cut, (number, shape), &poses, &selvedges, Gives::One);
                ways.extend(pinned.into_iter().map(|(way, _)| (self.on_lines(cut, way), zone.under)));
            } else {
                let way = Way::new(number, poses, self.band(room)).turning(|pose| cut.leeway(pose));
                ways.push((self.on_lines(cut, way), zone.under));
            }
        }
        if ways.is_empty() {
            return wanted;
        }
        let mut left = wanted;
        for _ in 0..pairs {
            let mirrored = left.take_pair();
            let ways = ways.iter().map(|(way, under)| (way.clone(), Gives::Pair { mirrored, under: *under }));
            self.add(cut.index, ways.collect());
        }
        left
    }

    /// Of several poses those in which the cut's piece fits; where none does, the cut is remembered.
    fn fitting_or_noted(&mut self, cut: &Looked, poses: Vec<Pose>, room: Mm) -> Vec<Pose> {
        if poses.is_empty() {
            return poses;
        }
        let shape = &cut.piece.shape;
        let fits = fitting(shape, &poses, room);
        if fits.is_empty() && self.too_wide.is_none() {
            let which = if self.job.fold == Fold::Lengthwise { "half the cloth has" } else { "the folded cloth has" };
            self.too_wide = Some(cut.too_wide(least_width(shape, &poses), room, which));
        }
        fits
    }
}

impl Looked<'_> {
    /// Whether it looks the same mirrored, in a turn that the cloth allows.
    fn is_own_mirror(&self) -> bool {
        self.direction.unmirrored_turn(0.0).is_some()
    }

    /// The edge that has to lie on a selvedge, where one has to.
    pub(super) fn border(&self) -> Option<&[Point]> {
        let edge = self.piece.edges.get(self.entry.border.as_ref()?)?;
        Some(&edge.points)
    }

    /// The poses of a ply that is mirrored or not.
    pub(super) fn poses(&self, mirrored: bool) -> Vec<Pose> {
        self.direction.turns(mirrored).into_iter().map(|turn| Pose { mirrored, turn }).collect()
    }

    /// How much further a ply may be turned.
    fn leeway(&self, pose: Pose) -> (f64, f64) {
        self.direction.leeway(pose.turn, pose.mirrored)
    }

    /// The poses of a ply, mirrored or not.
    pub(super) fn both_ways_up(&self) -> Vec<Pose> {
        [self.poses(false), self.poses(true)].concat()
    }

    /// The piece and its mirror image in one, for a cut that wants that.
    fn single_shape(&self) -> Option<Shape> {
        if self.entry.on_fold { self.piece.whole() } else { None }
    }

    pub(super) fn refused(&self, reason: &str) -> NotPossible {
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

/// How wide a shape is in a pose.
pub(super) fn width_of(shape: &Shape, pose: Pose) -> Mm {
    shape.placed(pose, Point::default()).bounds().width()
}

/// How wide a shape is in the pose in which it is narrowest.
fn least_width(shape: &Shape, poses: &[Pose]) -> Mm {
    poses.iter().map(|pose| width_of(shape, *pose)).fold(f64::INFINITY, f64::min)
}

/// Of several poses those in which the shape is no wider than the room across the strip.
fn fitting(shape: &Shape, poses: &[Pose], room: Mm) -> Vec<Pose> {
    poses.iter().copied().filter(|pose| width_of(shape, *pose) <= room + ROUNDING).collect()
}

/// In this pose the fold edge runs along the cloth and the half lies on the side of the crease that is double.
fn lies_on(half: &Shape, fold: FoldEdge, pose: Pose, crease: Crease) -> bool {
    let motion = pose.motion(Point::default());
    let (from, to) = (motion.apply(fold.from), motion.apply(fold.to));
    let bounds = half.placed(pose, Point::default()).bounds();
    let beside = if crease.upward { bounds.min.y >= from.y - ROUNDING } else { bounds.max.y <= from.y + ROUNDING };
    (from.y - to.y).abs() <= ROUNDING && beside
}

/// Whether the fold edge runs along the cloth in one of these poses, so that the half can lie on a fold along it.
pub(super) fn folds_along(fold: FoldEdge, pose: Pose) -> bool {
    let motion = pose.motion(Point::default());
    (motion.apply(fold.from).y - motion.apply(fold.to).y).abs() <= ROUNDING
}

/// In this pose the fold edge runs across the cloth and the half lies beyond it.
fn lies_on_cross_fold(half: &Shape, fold: FoldEdge, pose: Pose) -> bool {
    let motion = pose.motion(Point::default());
    let (from, to) = (motion.apply(fold.from), motion.apply(fold.to));
    let first = half.placed(pose, Point::default()).bounds().min.x;
    (from.x - to.x).abs() <= ROUNDING && first >= from.x - ROUNDING
}
