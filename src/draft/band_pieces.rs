//! The band and the shortened bodice put together from a bodice parted along the new line.

use indexmap::IndexMap;

use super::band::Names;
use super::band_line::Opened;
use super::darts::{Closed, Waist};
use super::net::{Net, Side};
use crate::geometry::Point;
use crate::geometry::line::point_at;
use crate::geometry::ring::{along_polyline, polyline_length};
use crate::piece::Dart;
use crate::units::Mm;

/// What both new pieces are made from.
pub(super) struct Draft<'a> {
    pub(super) net: &'a Net,
    pub(super) waist: &'a Waist,
    pub(super) closed: &'a Closed,
    pub(super) opened: &'a Opened,
    pub(super) names: &'a Names,
}

impl Draft<'_> {
    /// The shortened bodice: darts cut off at the new line, notches and named points of the waist carried up to it. Also
    /// how many notches it shares with the band.
    pub(super) fn bodice(&self, mut net: Net, waist: &str) -> (Net, usize) {
        for (i, left) in self.opened.mouths.iter().enumerate() {
            if let Some([one, _, other]) = left {
                net.darts.push(Dart { apex: self.waist.mouths[i].apex, legs: [*one, *other] });
            }
        }
        let feet = self.feet();
        net.notches.extend(feet.iter().map(|foot| self.closed.opened(foot.along)));
        for (name, along) in self.named() {
            let p = self.closed.on_lower(self.waist, along);
            net.with_corner(self.closed.opened(self.closed.above(p)), &name);
        }
        self.edges_within_the_waist(&mut net, waist);
        (net, feet.len())
    }

    /// The band with its darts closed.
    pub(super) fn shaped(&self, lower: Net) -> Net {
        let (Some(first), Some(end)) = self.waist_of(&lower) else {
            return lower;
        };
        let last = self.closed.turns[self.closed.turns.len() - 1];
        let lost: Vec<Point> = lower.notches.iter().copied().filter(|&p| !self.on_waist(p)).collect();
        let notches = lost.into_iter().map(|p| {
            let is_after = lower.nearest(p).is_some_and(|(side, ..)| side >= end);
            if is_after { last.apply(p) } else { p }
        });
        let mut net = Net { notches: notches.collect(), sides: Vec::new(), ..lower.clone() };
        for (i, side) in lower.sides.iter().enumerate() {
            let mut side = side.clone();
            if i == 0 {
                side.line = self.closed.upper.iter().rev().copied().collect();
            } else if i == first {
                side.line.clone_from(&self.closed.lower);
            } else if i > first && i < end {
                continue;
            } else if i >= end {
                side.line = last.line(&side.line);
            }
            net.sides.push(side);
        }
        self.finished(net)
    }

    /// A straight band as long as the waist with its darts taken in.
    pub(super) fn straight(&self, lower: &Net, depth: Mm) -> Net {
        let (Some(first), Some(end)) = self.waist_of(lower) else {
            return lower.clone();
        };
        let length = polyline_length(&self.waist.line) - self.waist.intake();
        let corners = [(depth, -length), (depth, 0.0), (0.0, 0.0), (0.0, -length)].map(|(x, y)| Point { x, y });
        let from = [0, 1, first, end.min(lower.sides.len() - 1)];
        let sides =
            (0..4).map(|i| Side { line: vec![corners[i], corners[(i + 1) % 4]], ..lower.sides[from[i]].clone() });
        let mut net = Net { sides: sides.collect(), notches: Vec::new(), ..lower.clone() };
        let whole = polyline_length(&self.closed.lower);
        let along = |p: Point| along_polyline(&self.closed.lower, p).0 * length / whole;
        for foot in self.feet() {
            let y = -along(foot.lower);
            net.notches.extend([Point { x: depth, y }, Point { x: 0.0, y }]);
        }
        net.edges.insert("lower".to_owned(), self.names.waist.to_vec());
        net.tidy();
        net
    }

    /// Named points and notches of the waist on the band's two edges.
    fn finished(&self, mut net: Net) -> Net {
        net.edges.insert("lower".to_owned(), self.names.waist.to_vec());
        for (name, along) in self.named() {
            let p = self.closed.on_lower(self.waist, along);
            let up = point_at(&self.closed.upper, self.closed.above(p));
            net.with_corner(p, &name);
            let name = net.free_name(&format!("{name}-upper"));
            net.with_corner(up, &name);
        }
        for foot in self.feet() {
            if foot.is_notch {
                net.notches.push(foot.lower);
            }
            net.notches.push(point_at(&self.closed.upper, foot.along));
        }
        net.tidy();
        net
    }

    /// The sides of the lower part that are the waist: the first of them, and the first beyond.
    fn waist_of(&self, lower: &Net) -> (Option<usize>, Option<usize>) {
        let end = lower.begins_at(&self.names.waist[1]).map(|i| if i == 0 { lower.sides.len() } else { i });
        (lower.begins_at(&self.names.waist[0]), end)
    }

    fn on_waist(&self, p: Point) -> bool {
        along_polyline(&self.waist.line, p).1 < 0.01
    }

    /// The marks that match across the new seam: one above each notch of the waist, one at each dart used up.
    fn feet(&self) -> Vec<Foot> {
        let notches = self.net.notches.iter().filter(|&&p| self.on_waist(p));
        let mut feet: Vec<Foot> = notches
            .map(|&p| {
                let lower = self.closed.on_lower(self.waist, along_polyline(&self.waist.line, p).0);
                Foot { lower, along: self.closed.above(lower), is_notch: true }
            })
            .collect();
        for (i, _) in self.waist.mouths.iter().enumerate().filter(|(_, mouth)| mouth.is_lengthened) {
            feet.push(Foot { lower: self.closed.joints[i], along: self.closed.meets[i], is_notch: false });
        }
        feet
    }

    /// The named points inside the waist line, with how far along they are.
    fn named(&self) -> Vec<(String, Mm)> {
        let whole = polyline_length(&self.waist.line);
        let sides = self.net.sides.iter().filter(|side| !side.names.is_empty());
        sides
            .filter_map(|side| {
                let &p = side.line.first()?;
                let (along, _) = along_polyline(&self.waist.line, p);
                (self.on_waist(p) && along > 0.5 && along < whole - 0.5).then_some((side, along))
            })
            .flat_map(|(side, along)| side.names.iter().map(move |name| (name.clone(), along)))
            .collect()
    }

    /// Edges of the bodice that are a part of the waist go on under their own names.
    fn edges_within_the_waist(&self, net: &mut Net, waist: &str) {
        let within: IndexMap<String, Vec<String>> = self
            .net
            .edges
            .iter()
            .filter(|(name, names)| {
                let inside =
                    |n: &String| self.names.waist.contains(n) || self.named().iter().any(|(point, _)| point == n);
                *name != waist && names.iter().all(inside)
            })
            .map(|(name, names)| (name.clone(), names.clone()))
            .collect();
        net.edges.extend(within);
        net.tidy();
    }
}

/// A mark on the band's lower edge and the one above it on the upper.
struct Foot {
    lower: Point,
    along: Mm,
    is_notch: bool,
}
