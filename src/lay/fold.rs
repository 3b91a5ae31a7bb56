//! How cloth is folded: the strip it makes on the table, and where what lies on it comes to lie on the flat cloth.
//!
//! A strip shows the cloth as it lies on the table, right sides together where it is double. Its zones say how many layers
//! lie where; its creases, where a half may lie on a fold. y of the strip is y of the flat cloth, less an offset; x begins
//! with the section, or at the fold where the cloth is folded across.

use super::repeat::Repeat;
use crate::geometry::{Point, Pose, Shape, normal_turn};
use crate::project::LayKind;
use crate::units::Mm;

/// How the cloth of one section lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fold {
    /// Single, right side up.
    None,
    /// Folded along its middle.
    Lengthwise,
    /// The first selvedge folded in by `depth`, the rest single.
    Partial {
        /// From the fold to the selvedge, up to half the usable width.
        depth: Mm,
    },
    /// Both selvedges folded in; what is left between them is single.
    Double {
        /// How far the first selvedge is folded in.
        first: Mm,
        /// How far the second is; both together up to half the usable width.
        second: Mm,
    },
    /// Folded across.
    Crosswise,
    /// Cut across, the far half turned round and laid on the near one: right sides together, the nap of both alike.
    CutAndTurned,
}

/// What lies under a stretch of the strip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Under {
    /// Nothing: the cloth is single there.
    Nothing,
    /// The cloth folded over a line along it, at this y of the flat cloth.
    AlongFold(Mm),
    /// The cloth folded across.
    AcrossFold,
    /// The other half, cut off and turned.
    Turned,
}

/// A stretch across the strip with the same layers all along.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Zone {
    pub(super) from: Mm,
    pub(super) to: Mm,
    pub(super) under: Under,
    /// What a pair must keep off either edge so that it keeps the gap from its own other ply, as shares of the gap.
    margins: (f64, f64),
}

impl Zone {
    /// Where single plies, or pairs that keep the gap across a fold, may lie.
    pub(super) fn room(&self, gap: Mm) -> (Mm, Mm) {
        (self.from + self.margins.0 * gap, self.to - self.margins.1 * gap)
    }
}

/// A fold along the strip that halves can lie on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Crease {
    /// Its y on the strip.
    pub(super) y: Mm,
    /// Whether pieces lie on it with growing y.
    pub(super) upward: bool,
    /// How far the cloth is double from there.
    pub(super) depth: Mm,
}

impl Fold {
    /// The kind of lay it belongs to.
    pub fn kind(self) -> LayKind {
        match self {
            Self::None => LayKind::Open,
            Self::Lengthwise => LayKind::LengthwiseFold,
            Self::Partial { .. } => LayKind::PartialFold,
            Self::Double { .. } => LayKind::DoubleFold,
            Self::Crosswise => LayKind::CrosswiseFold,
            Self::CutAndTurned => LayKind::CutAndTurned,
        }
    }

    /// Its word in the plan document.
    pub fn name(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Lengthwise => "lengthwise",
            Self::Partial { .. } => "partial",
            Self::Double { .. } => "double",
            Self::Crosswise => "crosswise",
            Self::CutAndTurned => "cut and turned",
        }
    }

    /// Whether a section is twice as long on the flat cloth as on the table.
    pub fn is_across(self) -> bool {
        matches!(self, Self::Crosswise | Self::CutAndTurned)
    }

    /// How many times the cloth is folded, or cut and laid on itself.
    pub(super) fn folds(self) -> usize {
        match self {
            Self::None => 0,
            Self::Double { .. } => 2,
            _ => 1,
        }
    }

    /// How wide the cloth is on the table.
    pub(super) fn strip_width(self, usable: Mm) -> Mm {
        match self {
            Self::Lengthwise => usable / 2.0,
            Self::Partial { depth } => usable - depth,
            Self::Double { first, second } => usable - first - second,
            Self::None | Self::Crosswise | Self::CutAndTurned => usable,
        }
    }

    /// The y of the flat cloth where the strip begins.
    pub(super) fn offset(self) -> Mm {
        match self {
            Self::Partial { depth } => depth,
            Self::Double { first, .. } => first,
            _ => 0.0,
        }
    }

    /// The zones of the strip, from its lower edge up; those without width are left out.
    pub(super) fn zones(self, usable: Mm) -> Vec<Zone> {
        let width = self.strip_width(usable);
        let zone = |from, to, under, margins| Zone { from, to, under, margins };
        let single = |from, to| zone(from, to, Under::Nothing, (0.0, 0.0));
        let mut zones = match self {
            Self::None => vec![single(0.0, width)],
            Self::Lengthwise => vec![zone(0.0, width, Under::AlongFold(width), (0.0, 0.5))],
            Self::Partial { depth } => {
                vec![zone(0.0, depth, Under::AlongFold(depth), (0.5, 0.0)), single(depth, width)]
            }
            Self::Double { first, second } => vec![
                zone(0.0, first, Under::AlongFold(first), (0.5, 0.0)),
                single(first, width - second),
                zone(width - second, width, Under::AlongFold(usable - second), (0.0, 0.5)),
            ],
            Self::Crosswise => vec![zone(0.0, width, Under::AcrossFold, (0.0, 0.0))],
            Self::CutAndTurned => vec![zone(0.0, width, Under::Turned, (0.0, 0.0))],
        };
        zones.retain(|zone| zone.to - zone.from > 1e-6);
        zones
    }

    /// The folds along the strip.
    pub(super) fn creases(self, usable: Mm) -> Vec<Crease> {
        let width = self.strip_width(usable);
        match self {
            Self::Lengthwise => vec![Crease { y: width, upward: false, depth: width }],
            Self::Partial { depth } => vec![Crease { y: 0.0, upward: true, depth }],
            Self::Double { first, second } => {
                vec![Crease { y: 0.0, upward: true, depth: first }, Crease { y: width, upward: false, depth: second }]
            }
            Self::None | Self::Crosswise | Self::CutAndTurned => Vec::new(),
        }
    }

    /// Where the section's folds lie on the flat cloth: y along it, x across it.
    pub(super) fn lines(self, usable: Mm, stretch: &Stretch) -> Vec<Mm> {
        match self {
            Self::None => Vec::new(),
            Self::Lengthwise => vec![usable / 2.0],
            Self::Partial { depth } => vec![depth],
            Self::Double { first, second } => vec![first, usable - second],
            Self::Crosswise | Self::CutAndTurned => vec![stretch.across],
        }
    }

    /// Where a flaw of the flat cloth lies on the strip of a section that begins at `start`, on every layer; none where the
    /// cloth is folded across, since the fold's place is not known beforehand.
    pub(super) fn flaw_on_strip(self, flaw: &Shape, usable: Mm, start: Mm) -> Option<Vec<Shape>> {
        if self.is_across() {
            return None;
        }
        let down = Point { x: -start, y: -self.offset() };
        let plain = flaw.placed(Pose::AS_PRINTED, down);
        let over = |line: Mm| {
            let reflected = Pose::AS_PRINTED.across_lengthwise_fold();
            flaw.placed(reflected, Point { x: -start, y: 2.0 * line - self.offset() })
        };
        let folded = match self {
            Self::Lengthwise => vec![over(usable / 2.0)],
            Self::Partial { depth } => vec![over(depth)],
            Self::Double { first, second } => vec![over(first), over(usable - second)],
            Self::None | Self::Crosswise | Self::CutAndTurned => Vec::new(),
        };
        Some(std::iter::once(plain).chain(folded).collect())
    }
}

/// The stretch of the flat cloth that a section takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stretch {
    /// Where it begins.
    from: Mm,
    /// Where the first piece may lie: the gap lies between two sections.
    pub(super) start: Mm,
    /// Where it ends.
    pub(super) to: Mm,
    /// Where it is folded or cut across, if it is.
    across: Mm,
    fold: Fold,
    gap: Mm,
}

impl Stretch {
    /// A section of `length` on the table that begins where the last one ended, or with the cloth. Where something on it is
    /// matched along the cloth, both layers show the `repeat` alike.
    pub(super) fn new(fold: Fold, last: Option<&Self>, length: Mm, gap: Mm, repeat: Option<Repeat>) -> Self {
        let (from, start) = last.map_or((0.0, 0.0), |last| (last.to, last.to + gap));
        let (across, to) = match fold {
            // Both layers keep half the gap from the fold.
            Fold::Crosswise => {
                let fold = start + length + gap / 2.0;
                // With the first section the motif is yet free to lie on the fold.
                let fold = repeat.filter(|_| last.is_some()).map_or(fold, |repeat| repeat.not_before(fold));
                (fold, fold + gap / 2.0 + length)
            }
            // Both halves are alike, the gap included that lies before or behind.
            Fold::CutAndTurned => {
                let by = repeat.map_or(length + gap, |repeat| repeat.whole(length + gap));
                (from + by, start + by + length)
            }
            _ => (start, start + length),
        };
        Self { from, start, to, across, fold, gap }
    }

    /// Where it is folded or cut across, if it is.
    pub(super) fn across(&self) -> Mm {
        self.across
    }

    /// A place of the strip on the flat cloth.
    pub(super) fn on_cloth(&self, at: Point) -> Point {
        let x = if self.fold == Fold::Crosswise { self.across + self.gap / 2.0 } else { self.start };
        Point { x: at.x + x, y: at.y + self.fold.offset() }
    }

    /// The pose and place of the other ply of a pair, from those of the first, both on the flat cloth.
    pub(super) fn other_ply(&self, under: Under, pose: Pose, at: Point, usable: Mm) -> (Pose, Point) {
        let reflected = pose.across_lengthwise_fold();
        match under {
            Under::Nothing => (pose, at),
            Under::AlongFold(line) => (reflected, Point { x: at.x, y: 2.0 * line - at.y }),
            Under::AcrossFold => {
                let turned = Pose { turn: normal_turn(180.0 - pose.turn), ..reflected };
                (turned, Point { x: 2.0 * self.across - at.x, y: at.y })
            }
            Under::Turned => (reflected, Point { x: at.x + (self.across - self.from), y: usable - at.y }),
        }
    }
}
