//! What each item may do: the forms it may take and where its origin may lie.

use super::outline::posed;
use super::{Band, Failure, Item, Lines, Problem, Way};
use crate::geometry::{Bounds, Point, Pose, ring_area, ring_bounds};

/// Off a strip or band by this much is still in it, in millimetres: rounding.
const ROUNDING: f64 = 1e-6;

/// An item that may be moved.
pub(super) struct Movable {
    pub(super) options: Vec<Choice>,
    /// Items of one kind are interchangeable.
    pub(super) kind: usize,
    pub(super) pinned: bool,
    pub(super) area: f64,
}

/// A pose an item may take, with the y its origin may have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Choice {
    /// Which of the item's ways it belongs to.
    pub(super) way: usize,
    pub(super) form: usize,
    pub(super) low: f64,
    pub(super) high: f64,
    /// Lines that the origin's x must be on.
    pub(super) along: Option<Steps>,
    /// Lines that the origin's y must be on.
    pub(super) across: Option<Steps>,
    /// Degrees that it may be turned beyond the form.
    pub(super) leeway: (f64, f64),
}

impl Choice {
    /// Whether the finish may turn it.
    pub(super) fn turns(&self) -> bool {
        self.leeway.1 > self.leeway.0 && self.slides_along() && self.slides_across()
    }

    /// Whether the small moves of the finish may change y.
    pub(super) fn slides_across(&self) -> bool {
        self.high > self.low && self.across.is_none()
    }

    /// Whether the small moves of the finish may change x.
    pub(super) fn slides_along(&self) -> bool {
        self.along.is_none()
    }
}

/// Places at equal distances on an axis; just the one where the distance is 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Steps {
    at: f64,
    every: f64,
}

impl Steps {
    /// Whether there is only one place.
    pub(super) fn single(self) -> bool {
        self.every == 0.0
    }

    /// The first place not before `v`, but for rounding.
    pub(super) fn not_before(self, v: f64) -> f64 {
        if self.single() { self.at } else { self.at + ((v - self.at - ROUNDING) / self.every).ceil() * self.every }
    }

    /// The last place not after `v`, but for rounding.
    pub(super) fn not_after(self, v: f64) -> f64 {
        if self.single() { self.at } else { self.at + ((v - self.at + ROUNDING) / self.every).floor() * self.every }
    }

    /// The place nearest to `v` from `low` to `high`, both of which are places.
    pub(super) fn nearest(self, v: f64, low: f64, high: f64) -> f64 {
        if self.single() {
            return self.at;
        }
        (self.at + ((v - self.at) / self.every).round() * self.every).clamp(low, high)
    }

    /// The places from `low` to `high`.
    pub(super) fn between(self, low: f64, high: f64) -> impl Iterator<Item = f64> {
        let first = self.not_before(low);
        let count = if first < low - ROUNDING || first > high {
            0
        } else if self.single() {
            1
        } else {
            ((high - first) / self.every).floor() as usize + 1
        };
        (0..count).map(move |k| first + k as f64 * self.every)
    }

    /// The distance from one place to the next.
    pub(super) fn every(self) -> f64 {
        self.every
    }

    fn of(lines: Lines, pose: Pose, axis: impl Fn(Point) -> f64) -> Self {
        let anchor = pose.motion(Point { x: 0.0, y: 0.0 }).apply(lines.anchor);
        Self { at: lines.at - axis(anchor), every: lines.every }
    }
}

/// The number of a value among those known so far, to which it is added if it is new.
pub(super) fn number_of<T: PartialEq + Clone>(known: &mut Vec<T>, value: &T) -> usize {
    known.iter().position(|k| k == value).unwrap_or_else(|| {
        known.push(value.clone());
        known.len() - 1
    })
}

/// All items of a problem with their options; the forms they take are added to the keys.
pub(super) fn movables(problem: &Problem, keys: &mut Vec<(usize, Pose)>) -> Result<Vec<Movable>, Failure> {
    let mut kinds: Vec<&Item> = Vec::new();
    let mut items = Vec::with_capacity(problem.items.len());
    for (index, item) in problem.items.iter().enumerate() {
        let mut options: Vec<Choice> = Vec::new();
        let mut least = f64::INFINITY;
        let mut room = problem.width;
        for (number, way) in item.ways.iter().enumerate() {
            for (&pose, &leeway) in way.poses.iter().zip(&way.leeway) {
                let bounds = ring_bounds(&posed(&problem.shapes[way.shape].outline, pose));
                let (range, needed, has) = y_range(way.band, pose, &bounds, problem.width);
                if needed < least {
                    (least, room) = (needed, has);
                }
                let Some(range) = range else { continue };
                if let Some(choice) = choice(number, number_of(keys, &(way.shape, pose)), way, pose, &bounds, range)
                    .map(|choice| Choice { leeway, ..choice })
                    && !options.contains(&choice)
                {
                    options.push(choice);
                }
            }
        }
        if options.is_empty() {
            return Err(Failure::DoesNotFit { item: index, least_width: least, room });
        }
        let area = |way: &Way| ring_area(&problem.shapes[way.shape].outline).abs();
        items.push(Movable {
            options,
            kind: number_of(&mut kinds, &item),
            pinned: item.ways.iter().all(|way| matches!(way.band, Band::Pinned { .. }) || way.along.is_some()),
            area: item.ways.iter().map(area).fold(0.0, f64::max),
        });
    }
    Ok(items)
}

/// A way in one pose; none where no line is in reach.
fn choice(number: usize, form: usize, way: &Way, pose: Pose, bounds: &Bounds, range: (f64, f64)) -> Option<Choice> {
    let (mut low, mut high) = range;
    let across = way.across.map(|lines| Steps::of(lines, pose, |p| p.y));
    if let Some(steps) = across {
        let (first, last) = (steps.not_before(low), steps.not_after(high));
        if first > last || first < low - ROUNDING || last > high + ROUNDING {
            return None;
        }
        (low, high) = (first, last);
    }
    let along = way.along.map(|lines| Steps::of(lines, pose, |p| p.x));
    let before_the_strip = along.is_some_and(|steps| steps.not_before(-bounds.min.x) < -bounds.min.x - ROUNDING);
    (!before_the_strip).then_some(Choice { way: number, form, low, high, along, across, leeway: (0.0, 0.0) })
}

/// The y the origin may have, if any; the width the pose needs and the room there is.
fn y_range(band: Band, pose: Pose, bounds: &Bounds, width: f64) -> (Option<(f64, f64)>, f64, f64) {
    match band {
        Band::Free | Band::Within { .. } => {
            let (from, to) = match band {
                Band::Within { from, to } => (from.max(0.0), to.min(width)),
                _ => (0.0, width),
            };
            let (low, high) = (from - bounds.min.y, to - bounds.max.y);
            let range = if high >= low { Some((low, high)) } else { (high >= low - ROUNDING).then_some((low, low)) };
            (range, bounds.width(), (to - from).max(0.0))
        }
        Band::Pinned { anchor, y } => {
            let at = y - pose.motion(Point { x: 0.0, y: 0.0 }).apply(anchor).y;
            let over = (-(at + bounds.min.y)).max(at + bounds.max.y - width).max(0.0);
            let range = (over <= ROUNDING).then_some((at, at));
            (range, bounds.width().max(width + over), width)
        }
    }
}
