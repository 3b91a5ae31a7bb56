//! The darts at a waist closed: each part between them turned about the dart's apex, so that its legs meet.

use super::net::{LEG_TOLERANCE, Net};
use super::proof::TRUING;
use super::turn::Turn;
use crate::error::Problem;
use crate::geometry::Point;
use crate::geometry::line::{carried_on, crossings, direction_at, faired, part, point_at};
use crate::geometry::offset::{cleaned, moved_line};
use crate::geometry::ring::{along_polyline, cross, distance, dot, polyline_length, unit};
use crate::units::{Mm, Rounding, both};

/// Where a closed dart leaves a kink, the edge is redrawn as a smooth curve no further than this from it, in mm (common
/// practice, no source).
pub const FAIRING: Mm = 1.0;

/// The furthest back from a kink that a line is redrawn, in mm.
pub(super) const MOST_FAIRED: Mm = 60.0;

/// How far a line parallel to the waist is carried on to meet the side seam or the centre, in mm.
const CONTINUATION: Mm = 200.0;

/// This far on either side of a place its line has the directions that meet there, in mm.
const CORNER: Mm = 0.01;

/// Rounds of moving the apex of a dart that ends inside the band onto the band's upper line.
const MOST_ROUNDS: usize = 100;

/// From this round on no kink is redrawn further than in the round before it.
const SETTLING_ROUND: usize = 10;

/// A dart on the waist line.
#[derive(Debug, Clone)]
pub(super) struct Mouth {
    /// Its number among the darts of the piece.
    pub(super) dart: usize,
    /// Where it runs out: moved up to the band's upper line when the dart ends inside the band.
    pub(super) apex: Point,
    /// The ends of its legs, in the waist line's direction.
    pub(super) legs: [Point; 2],
    /// Those ends along the waist line.
    pub(super) at: [Mm; 2],
    /// Whether it ended inside the band.
    pub(super) is_lengthened: bool,
    /// How far back from where it closes the waist line is redrawn at most.
    faired: Mm,
}

/// The waist line of a piece and the darts on it.
#[derive(Debug, Clone)]
pub(super) struct Waist {
    /// The stitching line, mouths of darts included.
    pub(super) line: Vec<Point>,
    /// Its darts in its own order.
    pub(super) mouths: Vec<Mouth>,
}

/// The waist with its darts closed, and the line parallel to it at the band's depth.
#[derive(Debug, Clone)]
pub(super) struct Closed {
    /// How each part between darts was turned.
    pub(super) turns: Vec<Turn>,
    /// The waist line, closed and faired.
    pub(super) lower: Vec<Point>,
    /// The band's upper line, closed.
    pub(super) upper: Vec<Point>,
    /// Where the legs of each dart lie on the upper line.
    pub(super) meets: Vec<Mm>,
    /// Where the legs of each dart lie on the lower line.
    pub(super) joints: Vec<Point>,
    /// How much of the lower line was redrawn.
    pub(super) redrawn: Mm,
    /// How far up the two neighbours the upper line meets them: that after the waist, that before it.
    pub(super) reached: [Mm; 2],
}

impl Waist {
    /// The waist of a piece.
    ///
    /// # Errors
    /// Where a dart at the waist cannot be closed.
    pub(super) fn of(net: &Net, span: (usize, usize)) -> Result<Self, Problem> {
        let line = net.line(span);
        let mut mouths = Vec::new();
        for (dart, given) in net.darts.iter().enumerate() {
            let places = given.legs.map(|leg| along_polyline(&line, leg));
            if places.iter().any(|place| place.1 > LEG_TOLERANCE) {
                continue;
            }
            let (mut at, mut legs) = ([places[0].0, places[1].0], given.legs);
            if at[0] > at[1] {
                at.reverse();
                legs.reverse();
            }
            let lengths = legs.map(|leg| distance(leg, given.apex));
            if (lengths[0] - lengths[1]).abs() > TRUING {
                let cause = format!(
                    "The legs of a dart at the waist are {} and {} long to the stitching line: it cannot be sewn true.",
                    both(lengths[0], Rounding::Nearest),
                    both(lengths[1], Rounding::Nearest)
                );
                return Err(Problem::at("", cause, "redraw the dart with legs of one length"));
            }
            if cross(legs[1] - legs[0], given.apex - legs[0]) <= 0.0 {
                let cause = "A dart at the waist points out of the piece.";
                return Err(Problem::at("", cause, "its apex lies inside the piece"));
            }
            mouths.push(Mouth { dart, apex: given.apex, legs, at, is_lengthened: false, faired: MOST_FAIRED });
        }
        mouths.sort_by(|a, b| a.at[0].total_cmp(&b.at[0]));
        if mouths.windows(2).any(|pair| pair[0].at[1] > pair[1].at[0]) {
            return Err(Problem::at("", "Two darts at the waist overlap.", "move one of them aside"));
        }
        Ok(Self { line, mouths })
    }

    /// What the darts take in along the waist line.
    pub(super) fn intake(&self) -> Mm {
        self.mouths.iter().map(|mouth| mouth.at[1] - mouth.at[0]).sum()
    }

    /// Closes the darts and draws the line parallel to the waist at `depth`, from the neighbour before the waist to that
    /// after it (both are walked away from the waist). Darts that end below that line are lengthened up to it.
    ///
    /// # Errors
    /// Where no such line can be drawn.
    pub(super) fn closed(&mut self, depth: Mm, after: &[Point], before: &[Point]) -> Result<Closed, Problem> {
        for round in 0..MOST_ROUNDS {
            let mut closed = self.closed_once(round >= SETTLING_ROUND);
            let last = closed.turns[self.mouths.len()];
            closed.reach(depth, &last.line(after), before)?;
            if self.meet(&mut closed, depth)? {
                if closed.meets.windows(2).any(|pair| pair[0] >= pair[1]) {
                    let cause = "Two darts meet below the band's upper line.";
                    return Err(Problem::at("", cause, "give less depth, or move the darts apart"));
                }
                return Ok(closed);
            }
        }
        let cause = "The darts that end inside the band cannot be carried up to its upper line.";
        Err(Problem::at("", cause, "give less depth, or redraw the darts"))
    }

    /// The waist line with the legs of each dart laid together.
    fn closed_once(&mut self, is_settling: bool) -> Closed {
        let mut turns = vec![Turn::NONE];
        let (mut lower, mut joints, mut from) = (Vec::new(), Vec::new(), 0.0);
        for (number, mouth) in self.mouths.iter().enumerate() {
            let turn = turns[number];
            let mut section = turn.line(&part(&self.line, from, mouth.at[0]));
            let next = turn.after(Turn::about(mouth.apex, mouth.legs[1], mouth.legs[0]));
            // Legs that differ by a hair meet half-way.
            let joint = (turn.apply(mouth.legs[0]) + next.apply(mouth.legs[1])) / 2.0;
            if number > 0 {
                section[0] = joints[number - 1];
            }
            let last = section.len() - 1;
            section[last] = joint;
            lower.extend(section);
            joints.push(joint);
            turns.push(next);
            from = mouth.at[1];
        }
        let mut section = turns[self.mouths.len()].line(&part(&self.line, from, polyline_length(&self.line)));
        section[0] = joints.last().copied().unwrap_or(section[0]);
        lower.extend(section);
        let mut lower = cleaned(&lower);
        let mut redrawn = 0.0;
        for (&joint, mouth) in joints.iter().zip(&mut self.mouths) {
            let (smooth, length) = faired(&lower, joint, FAIRING, mouth.faired);
            lower = smooth;
            // In the end only ever less, round by round, so that the rounds come to an end.
            if is_settling {
                mouth.faired = length / 2.0;
            }
            redrawn += length;
        }
        Closed { turns, lower, upper: Vec::new(), meets: Vec::new(), joints, redrawn, reached: [0.0; 2] }
    }

    /// Finds where each dart's legs meet the upper line; false where an apex had to be moved and all is to be done again.
    fn meet(&mut self, closed: &mut Closed, depth: Mm) -> Result<bool, Problem> {
        let mut is_settled = true;
        for (number, mouth) in self.mouths.iter_mut().enumerate() {
            let (apex, joint) = (closed.turns[number].apply(mouth.apex), closed.joints[number]);
            let leg = distance(apex, joint);
            let ray = if mouth.is_lengthened {
                vec![joint, joint + (apex - joint) * (1.0 + 3.0 * depth / leg)]
            } else {
                vec![joint, apex]
            };
            let found = crossings(&ray, &closed.upper).into_iter().next();
            match found {
                Some((length, along, _)) if !mouth.is_lengthened || (length - leg).abs() <= 1e-9 => {
                    closed.meets.push(along);
                }
                Some((length, ..)) => {
                    mouth.carry_to(length)?;
                    is_settled = false;
                }
                None if mouth.is_lengthened => {
                    let cause = "A dart does not point at the band's upper line.";
                    return Err(Problem::at("", cause, "redraw the dart, or give another depth"));
                }
                None => {
                    mouth.is_lengthened = true;
                    mouth.carry_to(leg.max(depth))?;
                    is_settled = false;
                }
            }
        }
        Ok(is_settled)
    }
}

impl Mouth {
    /// Moves the apex along the dart's middle until its legs have this length.
    fn carry_to(&mut self, leg: Mm) -> Result<(), Problem> {
        let half = (self.legs[1] - self.legs[0]) / 2.0;
        let height = leg * leg - dot(half, half);
        let across = unit(half).filter(|_| height > 0.0).ok_or_else(|| {
            let cause = "A dart at the waist is wider than the band is deep.";
            Problem::at("", cause, "give the band more depth, or split the dart in two")
        })?;
        let up = Point { x: -across.y, y: across.x };
        self.apex = self.legs[0] + half + up * height.sqrt();
        Ok(())
    }
}

impl Closed {
    /// Draws the upper line between the two neighbours.
    fn reach(&mut self, depth: Mm, after: &[Point], before: &[Point]) -> Result<(), Problem> {
        let long = carried_on(&moved_line(&self.lower, depth), CONTINUATION, CONTINUATION);
        let first = |neighbour: &[Point]| crossings(neighbour, &long).into_iter().next();
        let (Some(end), Some(start)) = (first(after), first(before)) else {
            let cause = "The line parallel to the waist does not reach from the centre to the side seam.";
            return Err(Problem::at("", cause, "give less depth: the band ends below the armhole"));
        };
        if start.1 >= end.1 {
            let cause = "The band's upper line would have no length.";
            return Err(Problem::at("", cause, "give less depth"));
        }
        self.upper = part(&long, start.1, end.1);
        self.upper[0] = start.2;
        let last = self.upper.len() - 1;
        self.upper[last] = end.2;
        self.reached = [end.0, start.0];
        Ok(())
    }

    /// A place of the open waist line on the closed lower line.
    pub(super) fn on_lower(&self, waist: &Waist, along: Mm) -> Point {
        let section = waist.mouths.iter().take_while(|mouth| mouth.at[1] <= along).count();
        let closed = match waist.mouths.get(section) {
            Some(mouth) if mouth.at[0] <= along => self.joints[section],
            _ => self.turns[section].apply(point_at(&waist.line, along)),
        };
        point_at(&self.lower, along_polyline(&self.lower, closed).0)
    }

    /// How far along the upper line the place lies that is square above one of the lower line. Above a corner of that, such
    /// as at the fold of a facing cut in one with the front, it is the corner of the upper line.
    pub(super) fn above(&self, p: Point) -> Mm {
        let (nearest, depth) = along_polyline(&self.upper, p);
        let at = along_polyline(&self.lower, p).0;
        let up = |along: Mm| direction_at(&self.lower, along).map(|d| Point { x: -d.y, y: d.x });
        let Some((one, other)) = up(at - CORNER).zip(up(at + CORNER)) else { return nearest };
        let opening = 1.0 + dot(one, other);
        if opening < 1.0 { nearest } else { along_polyline(&self.upper, p + (one + other) * (depth / opening)).0 }
    }

    /// A place of the closed upper line on the open bodice.
    pub(super) fn opened(&self, along: Mm) -> Point {
        let section = self.meets.iter().take_while(|&&meet| meet < along).count();
        self.turns[section].back().apply(point_at(&self.upper, along))
    }

    /// The upper line as it lies on the open bodice, in one stretch for each part between darts.
    pub(super) fn opened_parts(&self) -> Vec<Vec<Point>> {
        let whole = polyline_length(&self.upper);
        let ends = self.meets.iter().copied().chain([whole]);
        let starts = [0.0].into_iter().chain(self.meets.iter().copied());
        let stretches = starts.zip(ends).zip(&self.turns);
        stretches.map(|((from, to), turn)| turn.back().line(&part(&self.upper, from, to))).collect()
    }
}
