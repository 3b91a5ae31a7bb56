//! Shakes of a layout whose items may be turned: what the search finds in the poses it is given, and the finish turns, is a
//! dead end of its own kind; a few random turns and changes of place, parted and shortened by the finish, lead out of some.

use super::compact::EXACT;
use super::model::Model;
use super::random::Random;
use super::turning::{Body, GAIN, Table, Turned, Work, turning};
use crate::geometry::Point;

/// Most programmes to part what a shake made overlap, and how far the first may move an item, as a share of the width.
const PARTINGS: usize = 20;
const PARTED_WITHIN: f64 = 0.05;
/// Most items that a shake turns, and by how many degrees.
const SHAKEN: usize = 3;
const WIDEST: f64 = 45.0;
/// One shake of so many has two items change places.
const SWAPPED: usize = 5;
/// How many times as long a layout that was shaken may be to be worth shortening.
const WORTH_SHORTENING: f64 = 1.5;

/// Shortens a layout further: turns a few items at random, some change places, parts and shortens all; goes on from the
/// shortest, until so many tries on end bring nothing. The work done stands beside it.
pub(super) fn shaken(
    model: &Model,
    from: Turned,
    vain: usize,
    random: &mut Random,
    stop: &dyn Fn(u64) -> bool,
) -> (Turned, u64) {
    let turning = turning(model, &from.layout);
    if turning.is_empty() {
        return (from, 0);
    }
    let mut work = Work { done: 0, stop };
    let mut now = Table::new(model, &from);
    let mut length = from.length;
    let mut failures = 0;
    while failures < vain && !work.over() {
        let mut next = now.clone();
        next.shake(&turning, random);
        let parted = next.part(&mut work) && next.length() <= length * WORTH_SHORTENING;
        let shorter = if parted { next.shorten(f64::INFINITY, &mut work) } else { None };
        match shorter {
            Some(shorter) if shorter < length * (1.0 - GAIN) => (now, length, failures) = (next, shorter, 0),
            _ => failures += 1,
        }
    }
    let found = if length < from.length { now.turned(&from.layout, length) } else { from };
    (found, work.done)
}

impl Table<'_> {
    /// Turns a few of some items; one time in [`SWAPPED`] two change places, if both may be moved.
    fn shake(&mut self, turning: &[usize], random: &mut Random) {
        let wide = WIDEST * random.share() * random.share();
        for _ in 0..=random.below(SHAKEN) {
            let body = &mut self.bodies[turning[random.below(turning.len())]];
            body.turn = (body.turn + random.between(-wide, wide)).clamp(body.leeway.0, body.leeway.1);
            body.place(self.model);
        }
        let (i, j) = (random.below(self.items), random.below(self.items));
        let movable = |i: usize| self.bodies[i].slides == (true, true);
        if random.below(SWAPPED) == 0 && movable(i) && movable(j) {
            let (p, q) = (self.bodies[i].middle, self.bodies[j].middle);
            self.bodies[i].move_to(q);
            self.bodies[j].move_to(p);
        }
    }

    /// Parts what overlaps; whether that came about.
    fn part(&mut self, work: &mut Work) -> bool {
        let mut reach = self.model.width * PARTED_WITHIN;
        let mut depth = self.deepest();
        for _ in 0..PARTINGS {
            if depth <= EXACT || work.over() {
                break;
            }
            work.done += self.step(reach, depth);
            let left = self.deepest();
            if left > 0.9 * depth {
                reach /= 2.0;
            }
            depth = left;
        }
        depth <= EXACT
    }
}

impl Body {
    /// Moves the middle, but not off the strip or the band.
    fn move_to(&mut self, to: Point) {
        let (low, high) = (self.band.0 - self.bounds.min.y, self.band.1 - self.bounds.max.y);
        self.middle = Point { x: to.x.max(-self.bounds.min.x), y: to.y.min(high).max(low) };
    }
}
