//! How a section of cloth lies on the table: its layers and edges, and on which layer a ply lies.
//!
//! The layer that is drawn lies right side up, as the open cloth does; what is folded over it lies on top, wrong side up.

use super::polygon::{Axis, clip};
use crate::geometry::{Point, Pose, Shape, normal_turn};
use crate::layout::Section;

/// Distances on the cloth, in mm, below which two places are the same; the plan is rounded far finer.
pub(super) const SAME: f64 = 0.1;

/// How the cloth of a section lies. Places are those of the flat cloth.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Lie {
    /// Single, right side up.
    Open,
    /// Folded along its middle, the fold at the upper edge.
    Lengthwise { fold: f64 },
    /// The first selvedge folded in: the fold at the lower edge.
    Partial { depth: f64 },
    /// Both selvedges folded in.
    Double { first: f64, second: f64 },
    /// The beginning folded over to the end, the fold at the left.
    Crosswise { at: f64 },
    /// The far half cut off, turned over side to side and laid on the near one.
    Turned { cut: f64 },
    /// Some other way: drawn flat, with the plan's word and its lines.
    Other { kind: String, lines: Vec<f64> },
}

/// What runs along an edge of the cloth on the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Edge {
    /// One selvedge.
    Selvedge,
    /// Two, one upon the other.
    Selvedges,
    /// A fold.
    Fold,
}

/// A stretch across the cloth with so many layers all along; y on the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Zone {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) layers: usize,
}

/// How one layer comes to lie on the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Over {
    /// Folded over a line along the cloth.
    Along(f64),
    /// Folded over a line across it.
    Across(f64),
    /// Turned over side to side and moved along by so much.
    Turned { by: f64, width: f64 },
}

/// Where a ply lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Layer {
    /// On single cloth, or on the layer that is drawn.
    Drawn(Option<Over>),
    /// On the layer on top.
    Top(Over),
    /// Across the fold at this y; the drawn half lies above it (`upward`) or below.
    OnFold { line: f64, upward: bool },
}

/// A fold along the cloth: its y, whether the drawn layer lies above it, and how deep the layer on top is.
struct Crease {
    line: f64,
    upward: bool,
    depth: f64,
}

impl Lie {
    /// How a section lies by the words of the plan.
    pub(super) fn of(section: &Section, width: f64) -> Self {
        let within = |line: f64, most: f64| line > 0.0 && line < most;
        match (section.fold.as_str(), section.fold_lines.as_slice()) {
            ("none" | "open", _) | (_, []) => Self::Open,
            ("lengthwise", &[fold]) if (2.0 * fold - width).abs() < 1.0 && fold > 0.0 => Self::Lengthwise { fold },
            ("partial", &[depth]) if within(depth, width / 2.0 + 1.0) => Self::Partial { depth },
            ("double", &[first, second]) if within(first, second) && within(second, width) => {
                Self::Double { first, second: width - second }
            }
            ("crosswise", &[at]) if at > section.from && at < section.to => Self::Crosswise { at },
            ("cut and turned", &[cut]) if cut > section.from && cut < section.to => Self::Turned { cut },
            (kind, lines) => Self::Other { kind: kind.to_owned(), lines: lines.to_vec() },
        }
    }

    fn creases(&self, width: f64) -> Vec<Crease> {
        let crease = |line, upward, depth| Crease { line, upward, depth };
        match *self {
            Self::Lengthwise { fold } => vec![crease(fold, false, fold)],
            Self::Partial { depth } => vec![crease(depth, true, depth)],
            Self::Double { first, second } => vec![crease(first, true, first), crease(width - second, false, second)],
            _ => Vec::new(),
        }
    }

    /// How far the drawn layer begins from the first selvedge.
    pub(super) fn offset(&self) -> f64 {
        match *self {
            Self::Partial { depth } => depth,
            Self::Double { first, .. } => first,
            _ => 0.0,
        }
    }

    /// Where on the flat cloth the drawn layer begins and ends.
    pub(super) fn drawn(&self, section: &Section) -> [f64; 2] {
        match *self {
            Self::Crosswise { at } => [at, section.to],
            Self::Turned { cut } => [section.from, cut],
            _ => [section.from, section.to],
        }
    }

    /// The zones on the table, from the lower edge up.
    pub(super) fn zones(&self, width: f64) -> Vec<Zone> {
        let zone = |low, high, layers| Zone { low, high, layers };
        let mut zones = match *self {
            Self::Open | Self::Other { .. } => vec![zone(0.0, width, 1)],
            Self::Lengthwise { fold } => vec![zone(0.0, fold, 2)],
            Self::Partial { depth } => vec![zone(0.0, depth, 2), zone(depth, width - depth, 1)],
            Self::Double { first, second } => {
                let top = width - first - second;
                vec![zone(0.0, first, 2), zone(first, top - second, 1), zone(top - second, top, 2)]
            }
            Self::Crosswise { .. } | Self::Turned { .. } => vec![zone(0.0, width, 2)],
        };
        zones.retain(|zone| zone.high - zone.low > 1.0);
        zones
    }

    /// The lower and the upper edge.
    pub(super) fn edges(&self) -> [Edge; 2] {
        match self {
            Self::Open | Self::Other { .. } => [Edge::Selvedge, Edge::Selvedge],
            Self::Lengthwise { .. } => [Edge::Selvedges, Edge::Fold],
            Self::Partial { .. } => [Edge::Fold, Edge::Selvedge],
            Self::Double { .. } => [Edge::Fold, Edge::Fold],
            Self::Crosswise { .. } | Self::Turned { .. } => [Edge::Selvedges, Edge::Selvedges],
        }
    }

    /// Whether two layers lie anywhere.
    pub(super) fn is_doubled(&self) -> bool {
        !matches!(self, Self::Open | Self::Other { .. })
    }

    /// The layer of a ply that fills `bounds` (x, then y) of the flat cloth; none where it cannot lie so.
    pub(super) fn layer(&self, bounds: [[f64; 2]; 2], across_fold: bool, from: f64, width: f64) -> Option<Layer> {
        let [[left, right], [low, high]] = bounds;
        let side = |at: f64, far_is_top: bool, over: Over| {
            let (near, far) = (right <= at + SAME, left >= at - SAME);
            let top = if far_is_top { far } else { near };
            (near || far).then_some(if top { Layer::Top(over) } else { Layer::Drawn(Some(over)) })
        };
        match *self {
            Self::Crosswise { at } => return side(at, false, Over::Across(at)),
            Self::Turned { cut } => return side(cut, true, Over::Turned { by: cut - from, width }),
            _ => {}
        }
        for Crease { line, upward, depth } in self.creases(width) {
            let over = Over::Along(line);
            // Heights above the fold, as seen from the drawn layer: what is below zero lies on top.
            let (least, most) = if upward { (low - line, high - line) } else { (line - high, line - low) };
            if most <= SAME {
                return Some(Layer::Top(over));
            }
            if least < -SAME {
                return across_fold.then_some(Layer::OnFold { line, upward });
            }
            if least < depth - SAME {
                return Some(Layer::Drawn(Some(over)));
            }
        }
        Some(Layer::Drawn(None))
    }
}

impl Over {
    /// A shape of one layer on the other.
    pub(super) fn shape(self, shape: &Shape, from_top: bool) -> Shape {
        let ring = |ring: &Vec<Point>| ring.iter().map(|&p| self.point(p, from_top)).collect();
        Shape::new(ring(&shape.outline), shape.holes.iter().map(ring).collect())
    }

    fn point(self, p: Point, from_top: bool) -> Point {
        match self {
            Self::Along(line) => Point { x: p.x, y: 2.0 * line - p.y },
            Self::Across(line) => Point { x: 2.0 * line - p.x, y: p.y },
            Self::Turned { by, width } => Point { x: p.x + if from_top { -by } else { by }, y: width - p.y },
        }
    }

    /// The bounds (x, then y) of a ply's partner.
    pub(super) fn bounds(self, [[left, right], [low, high]]: [[f64; 2]; 2], from_top: bool) -> [[f64; 2]; 2] {
        let (a, b) =
            (self.point(Point { x: left, y: low }, from_top), self.point(Point { x: right, y: high }, from_top));
        [[a.x.min(b.x), a.x.max(b.x)], [a.y.min(b.y), a.y.max(b.y)]]
    }

    /// The pose of a ply's partner.
    pub(super) fn pose(self, pose: Pose) -> Pose {
        let reflected = pose.across_lengthwise_fold();
        match self {
            Self::Along(_) | Self::Turned { .. } => reflected,
            Self::Across(_) => Pose { turn: normal_turn(180.0 - pose.turn), ..reflected },
        }
    }
}

/// The part of a shape on the drawn side of a fold.
pub(super) fn half(shape: &Shape, line: f64, upward: bool) -> Shape {
    let side = |ring: &Vec<Point>| clip(ring, Axis::Y, line, if upward { 1.0 } else { -1.0 });
    Shape {
        outline: side(&shape.outline),
        holes: shape.holes.iter().map(side).filter(|hole| hole.len() >= 3).collect(),
    }
}
