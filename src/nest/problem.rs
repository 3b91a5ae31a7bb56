//! What is to be packed, and under which rules.

use crate::geometry::{Point, Pose, Shape};
use std::fmt;

/// Pack all items on a strip 0 <= y <= width, x >= 0, as short as possible.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// Width of the strip.
    pub width: f64,
    /// Least distance between two items.
    pub gap: f64,
    /// The distinct shapes; items refer to them by index.
    pub shapes: Vec<Shape>,
    /// What is to be placed, each once.
    pub items: Vec<Item>,
    /// Stretches of the strip that no item may touch, as shapes fixed in place.
    pub keep_out: Vec<Shape>,
}

/// Something to be placed once, in one of several ways.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// The ways it may be placed; at least one.
    pub ways: Vec<Way>,
}

/// One way to place an item: a shape, how it may lie and where.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// Index into the problem's shapes.
    pub shape: usize,
    /// How it may lie; at least one.
    pub poses: Vec<Pose>,
    /// By pose: degrees that it may be turned beyond it, the least (0 or less) and the greatest (0 or more).
    ///
    /// The search uses the poses as they are, the exact finish turns: coarse steps of a wide leeway are given as poses. What is
    /// pinned or lies on lines is not turned.
    pub leeway: Vec<(f64, f64)>,
    /// Where across the strip it may lie.
    pub band: Band,
    /// Lines across the strip that a point of it must lie on.
    pub along: Option<Lines>,
    /// Lines along the strip that a point of it must lie on, within the band.
    pub across: Option<Lines>,
}

impl Way {
    /// A way to place a shape in a band, on no lines.
    pub fn new(shape: usize, poses: Vec<Pose>, band: Band) -> Self {
        let leeway = vec![(0.0, 0.0); poses.len()];
        Self { shape, poses, leeway, band, along: None, across: None }
    }

    /// Whether it may be turned by more than 45 degrees in all.
    pub fn turns_freely(&self) -> bool {
        self.leeway.iter().any(|(least, most)| most - least > 45.0)
    }

    /// The same with so much leeway for each pose.
    #[must_use]
    pub fn turning(self, leeway: impl Fn(Pose) -> (f64, f64)) -> Self {
        let leeway = self.poses.iter().map(|&pose| leeway(pose)).collect();
        Self { leeway, ..self }
    }
}

impl From<Way> for Item {
    fn from(way: Way) -> Self {
        Self { ways: vec![way] }
    }
}

/// Parallel lines at equal distances, one of which a point of a shape must lie on: a repeat, an edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lines {
    /// The point, in the shape's own coordinates.
    pub anchor: Point,
    /// Where one of the lines lies.
    pub at: f64,
    /// From one line to the next; 0 where there is only the one.
    pub every: f64,
}

/// Where across the strip an item may lie.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Band {
    /// Anywhere within the strip.
    Free,
    /// All of it within `from..=to`.
    Within {
        /// Least y.
        from: f64,
        /// Greatest y.
        to: f64,
    },
    /// The shape's own point `anchor` lies exactly on the line y = `y` (a fold, a selvedge).
    Pinned {
        /// A point in the shape's own coordinates.
        anchor: Point,
        /// The line it must lie on.
        y: f64,
    },
}

/// Why a problem cannot be solved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Failure {
    /// An item fits in none of its poses.
    DoesNotFit {
        /// Index of the item.
        item: usize,
        /// The least width any of its poses needs, in millimetres.
        least_width: f64,
        /// The width there is for it, in millimetres.
        room: f64,
    },
    /// A number is not finite, or a width or gap below what it may be.
    BadNumber,
    /// A shape is no simple polygon with an area. Keep-outs count on after the shapes.
    NotSimple {
        /// Index of the shape.
        shape: usize,
    },
    /// An item has no pose.
    NoPose {
        /// Index of the item.
        item: usize,
    },
    /// An item names a shape that is not there.
    NoSuchShape {
        /// Index of the item.
        item: usize,
    },
    /// Items held to one place along the strip do not fit beside each other there.
    NoStart,
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::DoesNotFit { item, least_width, room } => {
                write!(f, "item {item} needs a width of at least {least_width:.1} mm, there are {room:.1} mm")
            }
            Self::BadNumber => write!(f, "a number of the problem is not finite or out of range"),
            Self::NotSimple { shape } => {
                write!(f, "shape {shape} is no simple polygon with an area")
            }
            Self::NoPose { item } => write!(f, "item {item} has no pose"),
            Self::NoSuchShape { item } => write!(f, "item {item} names a shape that is not there"),
            Self::NoStart => write!(f, "what must lie at one place along the strip does not lie there side by side"),
        }
    }
}

impl std::error::Error for Failure {}

/// The greatest coordinate or width that is taken as one, in millimetres: a thousand kilometres.
const GREATEST: f64 = 1e9;

/// Whether a problem is one at all.
pub(super) fn check(problem: &Problem) -> Result<(), Failure> {
    let good = |v: f64| v.abs() <= GREATEST;
    if !(good(problem.width) && problem.width > 0.0 && good(problem.gap) && problem.gap >= 0.0) {
        return Err(Failure::BadNumber);
    }
    for (index, shape) in problem.shapes.iter().chain(&problem.keep_out).enumerate() {
        let rings = std::iter::once(&shape.outline).chain(&shape.holes);
        if !rings.flatten().all(|p| good(p.x) && good(p.y)) {
            return Err(Failure::BadNumber);
        }
        if shape.outline.len() < 3 {
            return Err(Failure::NotSimple { shape: index });
        }
    }
    for (index, item) in problem.items.iter().enumerate() {
        if item.ways.is_empty() {
            return Err(Failure::NoPose { item: index });
        }
        for way in &item.ways {
            check_way(problem, index, way, good)?;
        }
    }
    Ok(())
}

fn check_way(problem: &Problem, item: usize, way: &Way, good: impl Fn(f64) -> bool) -> Result<(), Failure> {
    if way.shape >= problem.shapes.len() {
        return Err(Failure::NoSuchShape { item });
    }
    if way.poses.is_empty() {
        return Err(Failure::NoPose { item });
    }
    let point = |p: Point| good(p.x) && good(p.y);
    let band = match way.band {
        Band::Free => true,
        Band::Within { from, to } => good(from) && good(to),
        Band::Pinned { anchor, y } => point(anchor) && good(y),
    };
    let lines = [way.along, way.across].into_iter().flatten().all(|lines| {
        // Lines closer than a micrometre are no repeat.
        point(lines.anchor) && good(lines.at) && good(lines.every) && (lines.every == 0.0 || lines.every >= 1e-3)
    });
    let poses = way.poses.iter().all(|pose| good(pose.turn));
    let leeway = way.leeway.len() == way.poses.len()
        && way.leeway.iter().all(|&(least, most)| good(least) && good(most) && least <= 0.0 && most >= 0.0);
    if band && lines && poses && leeway { Ok(()) } else { Err(Failure::BadNumber) }
}
