//! The cloth as it lies on the table: where it is doubled only one layer is seen, and each placement once.

use super::flaws;
use super::lattice::Lattice;
use super::lie::{Layer, Lie, Over, SAME, half};
use crate::geometry::{Point, Pose, Shape, normal_turn};
use crate::layout::{ClothPlan, PlanDocument, PlanPoint, Ply, Section};

/// A cloth on the table, seen from above: x along it, y across, upwards. Where it is folded or laid on itself across, a stretch is half
/// as long on the table as on the flat cloth.
pub(super) struct Table {
    /// How far it lies along the table.
    pub(super) length: f64,
    pub(super) width: f64,
    pub(super) strips: Vec<Strip>,
    pub(super) placements: Vec<OnTable>,
    /// The repeat of its print, where something is matched on it.
    pub(super) lattice: Option<Lattice>,
    /// What nothing may be cut from.
    pub(super) flaws: Vec<flaws::OnTable>,
}

/// A stretch of the cloth that lies one way.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Strip {
    pub(super) from: f64,
    pub(super) to: f64,
    /// What is seen of the width.
    pub(super) height: f64,
    pub(super) lie: Lie,
    /// Where it begins and ends on the flat cloth.
    pub(super) cloth: [f64; 2],
    /// Counted from 1, in the order of work.
    pub(super) number: usize,
    /// From the flat cloth to the table, for the layer that is drawn.
    pub(super) shift: Point,
    /// Its section in the plan.
    pub(super) section: usize,
}

/// What one placement gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Layers {
    /// One ply from open cloth.
    Open,
    /// Two plies from doubled cloth.
    Both,
    /// One ply across the fold of doubled cloth.
    OnFold,
    /// One ply from one of two layers.
    OneOfTwo,
}

/// A placement on the table.
pub(super) struct OnTable {
    pub(super) cut: String,
    pub(super) numbers: Vec<usize>,
    pub(super) layers: Layers,
    pub(super) mirrored: bool,
    /// Degrees counter-clockwise of the top of the garment.
    pub(super) turn: f64,
    pub(super) shape: Shape,
    /// Where its edge lies on the fold.
    pub(super) on_fold: Option<OnFold>,
    /// The line about which a half pattern is turned over to cut this ply whole.
    pub(super) turned_over: Option<[Point; 2]>,
}

/// An edge on a fold.
pub(super) struct OnFold {
    /// The y of the fold.
    pub(super) y: f64,
    /// The piece lies above it, else below.
    pub(super) upward: bool,
    /// Stretches of x along it.
    pub(super) stretches: Vec<[f64; 2]>,
}

/// Lays the flat cloth of a plan on the table.
pub(super) fn lay_out(document: &PlanDocument, cloth: &ClothPlan) -> Table {
    let width = positive(cloth.usable_width, 1.0);
    let strips = strips(cloth, width);
    let length = positive(cloth.length, 1.0);
    let length = strips.last().map_or(length, |last| last.to);
    let mut taken = vec![false; cloth.plies.len()];
    let mut placements = Vec::new();
    for (i, ply) in cloth.plies.iter().enumerate() {
        if taken[i] || ply.outline.len() < 3 || !ply.outline.iter().flatten().all(|v| v.is_finite()) {
            continue;
        }
        let laid = Laid::new(ply, &strips, width);
        let twin = laid.twin(cloth, &taken, i);
        taken[i] = true;
        if let Some(j) = twin {
            taken[j] = true;
        }
        placements.push(laid.on_table(document, twin.map(|j| &cloth.plies[j])));
    }
    let flaws = flaws::of(cloth, &strips, width);
    Table { length, width, strips, placements, lattice: Lattice::of(cloth), flaws }
}

fn positive(value: f64, otherwise: f64) -> f64 {
    if value.is_finite() && value > 0.0 { value } else { otherwise }
}

/// The sections in the order they lie, at least one.
fn strips(cloth: &ClothPlan, width: f64) -> Vec<Strip> {
    let is_good = |s: &Section| s.from.is_finite() && s.to.is_finite() && s.to > s.from && s.from >= 0.0;
    let mut sections: Vec<(usize, &Section)> = cloth.sections.iter().enumerate().filter(|(_, s)| is_good(s)).collect();
    sections.sort_by(|a, b| a.1.from.total_cmp(&b.1.from));
    // How much shorter the table is than the flat cloth so far.
    let mut saved = 0.0;
    let mut strips = Vec::new();
    for (number, (index, section)) in (1..).zip(sections) {
        let lie = lie(cloth, index, section, width);
        let [begin, end] = lie.drawn(section);
        let from = section.from - saved;
        let height = lie.zones(width).last().map_or(width, |zone| zone.high);
        let shift = Point { x: from - begin, y: -lie.offset() };
        saved += (section.to - section.from) - (end - begin);
        let cloth = [section.from, section.to];
        strips.push(Strip { from, to: from + (end - begin), height, lie, cloth, number, shift, section: index });
    }
    if strips.is_empty() {
        let to = positive(cloth.length, 1.0);
        let shift = Point { x: 0.0, y: 0.0 };
        let lie = Lie::Open;
        strips.push(Strip {
            from: 0.0,
            to,
            height: width,
            lie,
            cloth: [0.0, to],
            number: 1,
            shift,
            section: usize::MAX,
        });
    }
    strips
}

/// How a section lies; one whose plies could not lie so is drawn flat.
fn lie(cloth: &ClothPlan, index: usize, section: &Section, width: f64) -> Lie {
    let lie = Lie::of(section, width);
    let fits = |ply: &Ply| lie.layer(bounds(ply), ply.across_fold, section.from, width).is_some();
    if cloth.plies.iter().filter(|ply| ply.section == index).all(fits) {
        lie
    } else {
        Lie::Other { kind: section.fold.clone(), lines: section.fold_lines.clone() }
    }
}

/// The extent of a ply on the flat cloth along x, then along y.
fn bounds(ply: &Ply) -> [[f64; 2]; 2] {
    let span = |axis: usize| {
        let along = || ply.outline.iter().map(move |p| p[axis]);
        [along().fold(f64::INFINITY, f64::min), along().fold(f64::NEG_INFINITY, f64::max)]
    };
    [span(0), span(1)]
}

/// A ply and where it lies.
struct Laid<'a> {
    ply: &'a Ply,
    bounds: [[f64; 2]; 2],
    layer: Layer,
    shift: Point,
}

impl<'a> Laid<'a> {
    fn new(ply: &'a Ply, strips: &[Strip], width: f64) -> Self {
        let bounds = bounds(ply);
        let strip = strips.iter().find(|strip| strip.section == ply.section);
        let layer = strip.and_then(|s| s.lie.layer(bounds, ply.across_fold, s.cloth[0], width));
        let shift = strip.map_or(Point { x: 0.0, y: 0.0 }, |strip| strip.shift);
        Self { ply, bounds, layer: layer.unwrap_or(Layer::Drawn(None)), shift }
    }

    /// How the other layer lies on this ply's, and whether this one is the layer on top.
    fn over(&self) -> Option<(Over, bool)> {
        match self.layer {
            Layer::Drawn(over) => over.map(|over| (over, false)),
            Layer::Top(over) => Some((over, true)),
            Layer::OnFold { .. } => None,
        }
    }

    /// The ply that lies exactly over or under this one: the other of its pair.
    fn twin(&self, cloth: &ClothPlan, taken: &[bool], own: usize) -> Option<usize> {
        let (over, from_top) = self.over()?;
        let wanted = over.bounds(self.bounds, from_top);
        let matches = |other: &Ply| {
            let found = bounds(other);
            other.piece == self.ply.piece
                && other.section == self.ply.section
                && other.across_fold == self.ply.across_fold
                && other.outline.len() == self.ply.outline.len()
                && (0..2).all(|axis| (0..2).all(|end| (found[axis][end] - wanted[axis][end]).abs() < SAME))
        };
        // A pair of the same cut first; two cuts of one piece may also share a placement.
        let free = || (0..cloth.plies.len()).filter(|&j| j != own && !taken[j] && matches(&cloth.plies[j]));
        free().find(|&j| cloth.plies[j].cut == self.ply.cut).or_else(|| free().next())
    }

    fn on_table(&self, document: &PlanDocument, twin: Option<&Ply>) -> OnTable {
        let ply = self.ply;
        let over = self.over();
        // The lower layer is the one that is drawn; of a pair it may be either ply.
        let (seen, turned) = match (over, twin) {
            (Some((_, true)), Some(twin)) => (twin, None),
            (Some((over, true)), None) => (ply, Some(over)),
            _ => (ply, None),
        };
        let mut shape = ply_shape(seen);
        let mut pose =
            Pose { mirrored: seen.mirrored, turn: normal_turn(if seen.turn.is_finite() { seen.turn } else { 0.0 }) };
        if let Some(over) = turned {
            shape = over.shape(&shape, true);
            pose = over.pose(pose);
        }
        let mut layers = match (over, twin) {
            (None, _) => Layers::Open,
            (Some(_), Some(_)) => Layers::Both,
            (Some(_), None) => Layers::OneOfTwo,
        };
        let (mut on_fold, mut turned_over) = (None, None);
        if let Layer::OnFold { line, upward } = self.layer {
            layers = Layers::OnFold;
            shape = half(&shape, line, upward);
            let stretches = along_fold(&shape, line).into_iter().map(|ends| ends.map(|x| x + self.shift.x)).collect();
            on_fold = Some(OnFold { y: line + self.shift.y, upward, stretches });
        } else if seen.across_fold && turned.is_none() {
            turned_over = half_line(document, seen).map(|line| line.map(|p| p + self.shift));
        }
        let shape = shape.placed(Pose::AS_PRINTED, self.shift);
        let mut numbers: Vec<usize> = std::iter::once(ply).chain(twin).map(|p| p.number).collect();
        numbers.sort_unstable();
        let cut = match twin {
            Some(twin) if twin.cut != ply.cut => format!("{} / {}", ply.cut, twin.cut),
            _ => ply.cut.clone(),
        };
        OnTable { cut, numbers, layers, mirrored: pose.mirrored, turn: pose.turn, shape, on_fold, turned_over }
    }
}

fn points(ring: &[PlanPoint]) -> Vec<Point> {
    ring.iter().map(|&[x, y]| Point { x, y }).collect()
}

fn ply_shape(ply: &Ply) -> Shape {
    let holes = ply.holes.iter().filter(|hole| hole.len() >= 3 && hole.iter().flatten().all(|v| v.is_finite()));
    Shape::new(points(&ply.outline), holes.map(|hole| points(hole)).collect())
}

/// The stretches of x where the outline runs along the fold.
fn along_fold(shape: &Shape, fold: f64) -> Vec<[f64; 2]> {
    super::polygon::ring_edges(&shape.outline)
        .filter(|(a, b)| (a.y - fold).abs() < SAME && (b.y - fold).abs() < SAME && (a.x - b.x).abs() > SAME)
        .map(|(a, b)| [a.x.min(b.x), a.x.max(b.x)])
        .collect()
}

/// Where the fold edge of a half pattern lies on a ply that is cut whole.
fn half_line(document: &PlanDocument, ply: &Ply) -> Option<[Point; 2]> {
    let piece = document.pieces.get(&ply.piece)?;
    let fold = points(&piece.fold?);
    let (a, d) = (fold[0], fold[1] - fold[0]);
    let square = d.x * d.x + d.y * d.y;
    if square.is_nan() || square <= 0.0 {
        return None;
    }
    // The other half is the pattern reflected about its fold edge.
    let across = |p: &Point| {
        let t = ((p.x - a.x) * d.x + (p.y - a.y) * d.y) / square;
        (a + d * t) * 2.0 - *p
    };
    let mut whole = points(&piece.outline);
    whole.extend(whole.clone().iter().map(across));
    let pose = Pose { mirrored: ply.mirrored, turn: normal_turn(ply.turn) };
    let motion = pose.motion(Point { x: 0.0, y: 0.0 });
    let low = |points: &[Point]| {
        points
            .iter()
            .fold(Point { x: f64::INFINITY, y: f64::INFINITY }, |m, p| Point { x: m.x.min(p.x), y: m.y.min(p.y) })
    };
    let turned: Vec<Point> = whole.iter().map(|&p| motion.apply(p)).collect();
    let shift = low(&points(&ply.outline)) - low(&turned);
    let line = [motion.apply(fold[0]) + shift, motion.apply(fold[1]) + shift];
    line.iter().all(|p| p.x.is_finite() && p.y.is_finite()).then_some(line)
}
