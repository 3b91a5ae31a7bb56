//! The band at the waist out of a bodice, and the bodice shortened by it.
//!
//! The band's upper line is measured from the stitching line of the waist and runs parallel to it, as the waist lies with
//! its darts closed. Cutting the bodice there leaves the darts' upper parts on it, and the band without darts: closing
//! wedges that total the angle t makes the two edges of a band of depth h differ by h t (arithmetic).

use indexmap::IndexMap;

use super::cut::{NewEdge, Parting, parted};
use super::darts::{Closed, FAIRING, MOST_FAIRED, Mouth, Waist};
use super::line::{crossings, faired};
use super::net::{Net, Side};
use super::proof::{Drafted, TRUING};
use super::{band_proof, line};
use crate::error::{Problem, Problems};
use crate::geometry::ring::{along_polyline, distance, polyline_length, unit};
use crate::geometry::symmetry::reflected;
use crate::geometry::{Point, ring_area};
use crate::piece::{Dart, Piece};
use crate::units::{Mm, Rounding, both};

/// A bodice piece to take a band from.
#[derive(Debug, Clone, Copy)]
pub struct BandPart<'a> {
    /// The bodice.
    pub piece: &'a Piece,
    /// Its waist edge.
    pub waist: &'a str,
    /// Its side seam, which begins or ends at the waist.
    pub side: &'a str,
    /// The band's depth between its stitching lines.
    pub depth: Mm,
    /// The name of the new band.
    pub band: &'a str,
    /// The name of the shortened bodice.
    pub bodice: &'a str,
}

/// How a band is made.
#[derive(Debug, Clone, Copy, Default)]
pub struct BandOptions {
    /// The allowance on the new seam between bodice and band; none: as at the waist.
    pub allowance: Option<Mm>,
    /// A straight band of the waist's length, for cloth that stretches.
    pub is_knit: bool,
}

/// Drafts the band of a front, of a back or of both.
///
/// Each new band has the edges "lower" and "upper" and, between them, the bodice's own edges cut off there; the shortened
/// bodice keeps the names of all its edges. A dart that reaches above the band goes on in the bodice; one that ends inside
/// the band is first lengthened to its upper line (common practice, no source).
///
/// # Errors
/// Where the band cannot be drawn, the side seams of front and back do not meet, or a proof fails. Keys begin with
/// "front" or "back".
pub fn band(front: Option<&BandPart>, back: Option<&BandPart>, options: &BandOptions) -> Result<Drafted, Problems> {
    let mut problems = Problems::new();
    let mut made = Vec::new();
    for (key, part) in [("front", front), ("back", back)] {
        let Some(part) = part else { continue };
        match band_of(part, options) {
            Ok(taken) => made.push((part, taken)),
            Err(found) => problems.extend(found.into_iter().map(|problem| within(key, problem))),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut drafted = Drafted::default();
    if let [(front, one), (back, other)] = &made[..] {
        let lengths = [one.side_length(front), other.side_length(back)];
        if (lengths[0] - lengths[1]).abs() > TRUING {
            let cause = format!(
                "The side seams of the band would not meet: {} on the front, {} on the back.",
                both(lengths[0], Rounding::Nearest),
                both(lengths[1], Rounding::Nearest)
            );
            let hint = "give the \"depth\" of one of them so that both are as long at the side";
            return Err(vec![Problem::at("back.depth", cause, hint)]);
        }
        drafted.proofs.push(super::Proof::length("side seams of the band, front and back", lengths[0], lengths[1]));
    }
    for (part, taken) in made {
        drafted.proofs.extend(band_proof::proofs(part, &taken, options));
        drafted.pieces.extend([taken.band, taken.bodice]);
    }
    drafted.proved()
}

fn within(key: &str, mut problem: Problem) -> Problem {
    let keys = &problem.place.keys;
    problem.place.keys = if keys.is_empty() { key.to_owned() } else { format!("{key}.{keys}") };
    problem
}

/// A band and the bodice it was taken from, with what their proof needs.
pub(super) struct Taken {
    pub(super) band: Piece,
    pub(super) bodice: Piece,
    /// The bodice before, as it was sewn.
    pub(super) before: Net,
    /// The waist, darts lengthened where that was needed.
    pub(super) waist: Waist,
    /// The areas of the wedges closed in the band.
    pub(super) wedges: Vec<f64>,
    /// How much line was redrawn in fairing.
    pub(super) redrawn: Mm,
    /// The notches matched across the new seam: how many.
    pub(super) matched: usize,
}

impl Taken {
    fn side_length(&self, part: &BandPart) -> Mm {
        crate::piece::seam_length(&self.band, part.side).map_or(0.0, |length| length.sewn())
    }
}

/// Which end of the waist the side seam is at.
#[derive(Clone, Copy, PartialEq)]
enum SideAt {
    End,
    Start,
}

fn band_of(part: &BandPart, options: &BandOptions) -> Result<Taken, Problems> {
    let alone = |problem| vec![problem];
    let net = Net::of(part.piece).map_err(alone)?;
    let span = net.edge_span(part.waist, &part.piece.name, "waist").map_err(alone)?;
    let (side_at, side) = side_end(&net, part).map_err(alone)?;
    let mut waist = Waist::of(&net, span).map_err(alone)?;
    let after = net.run_on(span.0 + span.1, true);
    let before = net.run_on(span.0 + net.sides.len() - 1, false);
    let depth = |problem: Problem| vec![if problem.place.keys.is_empty() { within("depth", problem) } else { problem }];
    let closed = waist.closed(part.depth, &after, &before).map_err(depth)?;
    let reached = closed.reached[usize::from(side_at == SideAt::Start)];
    let side_length = polyline_length(&net.line(side));
    if reached >= side_length - TRUING {
        let cause = format!(
            "A band {} deep reaches beyond the side seam, which is {} long.",
            both(part.depth, Rounding::Nearest),
            both(side_length, Rounding::Nearest)
        );
        return Err(vec![Problem::at("depth", cause, "give less depth: the band ends below the armhole")]);
    }
    let (opened, redrawn) = new_line(&closed, &waist, side_at);
    let names = Names::of(&net, part);
    let allowance = options.allowance.unwrap_or(net.sides[span.0].allowance);
    let mut rest = net.clone();
    rest.darts = others(&net, &waist);
    let (upper, lower) = parted(
        &rest,
        &Parting {
            line: opened.line.clone(),
            left: NewEdge { name: part.waist.to_owned(), corners: names.waist.clone(), allowance },
            right: NewEdge { name: "upper".to_owned(), corners: names.upper.clone(), allowance },
        },
    )
    .map_err(depth)?;
    if !lower.darts.is_empty() {
        let cause = "A dart that is not at the waist lies in the band.";
        let hint = "close it first, moving it to the waist or elsewhere; or give less depth";
        return Err(vec![Problem::at("depth", cause, hint)]);
    }
    let draft = Draft { net: &net, waist: &waist, closed: &closed, opened: &opened, names: &names };
    let (bodice, matched) = draft.bodice(upper, part.waist);
    let band = if options.is_knit { draft.straight(&lower, part.depth) } else { draft.shaped(lower) };
    let wedges = waist.mouths.iter().enumerate().map(|(i, mouth)| wedge(&waist, mouth, opened.mouths[i].as_ref()));
    Ok(Taken {
        band: band.built(part.band)?,
        bodice: bodice.built(part.bodice)?,
        wedges: wedges.collect(),
        before: net.clone(),
        redrawn: redrawn + closed.redrawn,
        matched,
        waist,
    })
}

/// Where the side seam meets the waist, and its sides.
fn side_end(net: &Net, part: &BandPart) -> Result<(SideAt, (usize, usize)), Problem> {
    let side = net.edge_span(part.side, &part.piece.name, "side")?;
    let ends = |edge: &str| net.edges.get(edge).and_then(|n| Some((n.first()?.clone(), n.last()?.clone())));
    let (Some(waist), Some(seam)) = (ends(part.waist), ends(part.side)) else {
        return Err(Problem::at("side", "An edge has no ends.", "name its first and last point"));
    };
    let at = |name: &String| net.begins_at(name);
    if at(&waist.1) == at(&seam.0) {
        Ok((SideAt::End, side))
    } else if at(&waist.0) == at(&seam.1) {
        Ok((SideAt::Start, side))
    } else {
        let cause = format!("The edge \"{}\" does not begin where the waist ends.", part.side);
        Err(Problem::at("side", cause, "name the side seam: it meets the waist edge in a named point"))
    }
}

/// The darts that are not at the waist.
fn others(net: &Net, waist: &Waist) -> Vec<Dart> {
    let is_other = |i: &usize| waist.mouths.iter().all(|mouth| mouth.dart != *i);
    (0..net.darts.len()).filter(is_other).map(|i| net.darts[i]).collect()
}

/// The names of the new corners.
struct Names {
    /// The waist's own, which the shortened bodice keeps: at its beginning, at its end.
    waist: [String; 2],
    /// Those of the band's upper edge.
    upper: [String; 2],
}

impl Names {
    fn of(net: &Net, part: &BandPart) -> Self {
        let names = &net.edges[part.waist];
        let waist = [names[0].clone(), names[names.len() - 1].clone()];
        let beside = |meets: &dyn Fn(&Vec<String>) -> bool, otherwise: &str| {
            let edge = net.edges.iter().find(|(name, list)| *name != part.waist && meets(list));
            net.free_name(&format!("{}-upper", edge.map_or(otherwise, |(name, _)| name)))
        };
        let upper = [
            beside(&|list| list.last() == Some(&waist[0]), "begin"),
            beside(&|list| list.first() == Some(&waist[1]), "end"),
        ];
        Self { waist, upper }
    }
}

/// The new line on the open bodice, and what is left of each dart there.
struct Opened {
    line: Vec<Point>,
    /// The ends of the legs and the point between them; none where the dart is used up.
    mouths: Vec<Option<[Point; 3]>>,
}

/// The shortened bodice's lower line. Across a dart it runs as the folded dart lies along it once pressed to the centre.
fn new_line(closed: &Closed, waist: &Waist, side_at: SideAt) -> (Opened, Mm) {
    let parts = closed.opened_parts();
    let mut line = parts[0].clone();
    let (mut mouths, mut redrawn) = (Vec::new(), 0.0);
    for (i, mouth) in waist.mouths.iter().enumerate() {
        let next = &parts[i + 1];
        let legs = [parts[i][parts[i].len() - 1], next[0]];
        if mouth.is_lengthened {
            mouths.push(None);
        } else {
            let middle = cap(mouth.apex, legs, (&parts[i], next), side_at);
            line.push(middle);
            mouths.push(Some([legs[0], middle, legs[1]]));
        }
        line.extend(next);
    }
    line.dedup_by(|b, a| distance(*a, *b) < 1e-7);
    for mouth in waist.mouths.iter().filter(|mouth| mouth.is_lengthened) {
        let (smooth, length) = faired(&line, mouth.apex, FAIRING, MOST_FAIRED);
        line = smooth;
        redrawn += length;
    }
    (Opened { line, mouths }, redrawn)
}

/// The point in the middle of a dart's mouth where the cloth folded away ends on the line beside the dart: that line
/// mirrored in the leg next to the centre, up to the fold.
fn cap(apex: Point, legs: [Point; 2], (before, after): (&[Point], &[Point]), side_at: SideAt) -> Point {
    let (leg, beyond) = match side_at {
        SideAt::End => (legs[0], before.iter().rev().nth(1)),
        SideAt::Start => (legs[1], after.get(1)),
    };
    let half = (legs[0] + legs[1]) / 2.0;
    let straight = unit(half - apex).map_or(half, |down| apex + down * distance(apex, leg));
    let Some(direction) = beyond.and_then(|&p| unit(reflected(p, apex, leg) - leg)) else {
        return straight;
    };
    let width = distance(legs[0], legs[1]);
    let mirrored = [leg, leg + direction * (2.0 * width)];
    let fold = [apex, apex + (half - apex) * 2.0];
    crossings(&mirrored, &fold).first().map_or(straight, |found| found.2)
}

/// The area between the legs of a dart from the waist up to the new line.
fn wedge(waist: &Waist, mouth: &Mouth, left: Option<&[Point; 3]>) -> f64 {
    let mut ring = line::part(&waist.line, mouth.at[0], mouth.at[1]);
    ring[0] = mouth.legs[0];
    let last = ring.len() - 1;
    ring[last] = mouth.legs[1];
    match left {
        None => ring.push(mouth.apex),
        Some(points) => ring.extend(points.iter().rev()),
    }
    ring.push(ring[0]);
    ring_area(&ring).abs()
}

/// What both new pieces are made from.
struct Draft<'a> {
    net: &'a Net,
    waist: &'a Waist,
    closed: &'a Closed,
    opened: &'a Opened,
    names: &'a Names,
}

impl Draft<'_> {
    /// The shortened bodice: darts cut off at the new line, notches and named points of the waist carried up to it. Also
    /// how many notches it shares with the band.
    fn bodice(&self, mut net: Net, waist: &str) -> (Net, usize) {
        for (i, left) in self.opened.mouths.iter().enumerate() {
            if let Some([one, _, other]) = left {
                net.darts.push(Dart { apex: self.waist.mouths[i].apex, legs: [*one, *other] });
            }
        }
        let feet = self.feet();
        net.notches.extend(feet.iter().map(|foot| self.closed.opened(foot.along)));
        for (name, along) in self.named() {
            let p = self.closed.on_lower(self.waist, along);
            let up = along_polyline(&self.closed.upper, p).0;
            net.with_corner(self.closed.opened(up), &name);
        }
        self.edges_within_the_waist(&mut net, waist);
        (net, feet.len())
    }

    /// The band with its darts closed.
    fn shaped(&self, lower: Net) -> Net {
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
    fn straight(&self, lower: &Net, depth: Mm) -> Net {
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
            let up = line::point_at(&self.closed.upper, along_polyline(&self.closed.upper, p).0);
            net.with_corner(p, &name);
            let name = net.free_name(&format!("{name}-upper"));
            net.with_corner(up, &name);
        }
        for foot in self.feet() {
            if foot.is_notch {
                net.notches.push(foot.lower);
            }
            net.notches.push(line::point_at(&self.closed.upper, foot.along));
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
                Foot { lower, along: along_polyline(&self.closed.upper, lower).0, is_notch: true }
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
