//! A piece as it is sewn: the ring of its stitching lines, side by side, each with the allowance beyond it.
//!
//! Drafts work on this and then add the allowance again, since what is sewn together must match at the stitching line.

use indexmap::IndexMap;
use kurbo::BezPath;

use super::net_sides::{allowance_at, fold_name, is_corner, nodes};
use super::turn::Turn;
use crate::error::{Problem, Problems};
use crate::geometry::line::{crossings, holds, part};
use crate::geometry::offset::moved;
use crate::geometry::ring::{along_polyline, polyline_length, stretch, vertex_or_place};
use crate::geometry::{Point, ring_area};
use crate::piece::{self, Allowance, Dart, DartSource, Edge, Piece, PieceSource, Stitching};
use crate::units::Mm;

/// Points closer than this are one corner, in mm.
pub(super) const CORNER_TOLERANCE: Mm = 0.1;

/// A leg of a dart belongs to an edge when it ends this close to it, in mm.
pub(super) const LEG_TOLERANCE: Mm = 1.0;

/// A stretch of stitching line between two named points or corners.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Side {
    /// The names of the point it begins at; none at a corner without a name.
    pub(super) names: Vec<String>,
    /// The stitching line, at least one point (a side lost in its neighbours' allowances has one).
    pub(super) line: Vec<Point>,
    /// The allowance beyond it.
    pub(super) allowance: Mm,
}

/// A piece as it is sewn. Grain along +x.
#[derive(Debug, Clone, Default)]
pub(super) struct Net {
    /// Counter-clockwise, one after the other.
    pub(super) sides: Vec<Side>,
    /// Named edges, by the names of points that sides begin at.
    pub(super) edges: IndexMap<String, Vec<String>>,
    /// Named points that no edge uses.
    pub(super) points: IndexMap<String, Point>,
    /// The edge on a fold.
    pub(super) fold: Option<String>,
    /// Marks, on the stitching line.
    pub(super) notches: Vec<Point>,
    /// Darts, legs ending on the stitching line.
    pub(super) darts: Vec<Dart>,
    /// The allowance of sides that have none of their own.
    pub(super) rest: Mm,
}

impl Net {
    /// The stitching lines of a piece.
    ///
    /// # Errors
    /// Where the piece has holes, or its allowances leave nothing.
    pub(super) fn of(piece: &Piece) -> Result<Self, Problem> {
        if !piece.shape.holes.is_empty() {
            let cause = format!("\"{}\" has holes, and no piece is drafted from one that has.", piece.name);
            return Err(Problem::at("", cause, "draft from the piece without its holes"));
        }
        match &piece.stitching {
            Some(known) => Self::along(piece, &known.outline, &known.edges, true),
            None => Self::along(piece, &piece.shape.outline, &piece.edges, false),
        }
    }

    /// The stitching lines of a piece found from its cut line and allowances, whatever is known of them.
    pub(super) fn from_cut_line(piece: &Piece) -> Result<Self, Problem> {
        Self::along(piece, &piece.shape.outline, &piece.edges, false)
    }

    /// The stitching lines from a ring, which is that line itself or the cut line.
    fn along(
        piece: &Piece,
        ring: &[Point],
        edges: &IndexMap<String, Edge>,
        is_stitching: bool,
    ) -> Result<Self, Problem> {
        let nodes = nodes(piece, ring, edges);
        let cut: Vec<Vec<Point>> =
            (0..nodes.len()).map(|i| stretch(ring, nodes[i].place, nodes[(i + 1) % nodes.len()].place)).collect();
        let count = ring.len() as f64;
        let allowances: Vec<Mm> = (0..nodes.len())
            .map(|i| {
                let (from, to) = (nodes[i].place.position(), nodes[(i + 1) % nodes.len()].place.position());
                let middle = if from < to { f64::midpoint(from, to) } else { ((from + to + count) / 2.0) % count };
                allowance_at(piece, edges, middle)
            })
            .collect();
        let set_in = |by: Mm| if is_stitching { 0.0 } else { by };
        let lines = moved(&cut.iter().zip(&allowances).map(|(line, &by)| (&line[..], set_in(by))).collect::<Vec<_>>());
        let stitched = |p: Point, cross_from: Option<Point>| onto(&cut, &lines, p, cross_from);
        let used = |name: &String| piece.edges.values().any(|edge| edge.names.contains(name));
        let net = Self {
            notches: piece.notches.iter().map(|&p| stitched(p, None)).collect(),
            darts: piece
                .darts
                .iter()
                .map(|dart| Dart { apex: dart.apex, legs: dart.legs.map(|leg| stitched(leg, Some(dart.apex))) })
                .collect(),
            points: piece.points.iter().filter(|(name, _)| !used(name)).map(|(n, &p)| (n.clone(), p)).collect(),
            edges: piece.edges.iter().map(|(name, edge)| (name.clone(), edge.names.clone())).collect(),
            fold: fold_name(piece),
            rest: piece.allowance.included,
            sides: nodes
                .into_iter()
                .zip(lines)
                .zip(allowances)
                .map(|((node, line), allowance)| Side { names: node.names, line, allowance })
                .collect(),
        };
        if ring_area(&net.ring()) <= 0.0 {
            let cause = format!("The allowances of \"{}\" leave nothing of it to be sewn.", piece.name);
            return Err(Problem::at("", cause, "check the piece's \"allowance\""));
        }
        Ok(net)
    }

    /// The ring of stitching lines.
    pub(super) fn ring(&self) -> Vec<Point> {
        let mut ring: Vec<Point> = self.sides.iter().flat_map(|side| side.line.iter().copied()).collect();
        ring.dedup();
        crate::geometry::ring::without_repeats(ring, 1e-7)
    }

    /// The area within the stitching lines, in square mm.
    pub(super) fn area(&self) -> f64 {
        ring_area(&self.ring())
    }

    /// The side that begins at a named point.
    pub(super) fn begins_at(&self, name: &str) -> Option<usize> {
        self.sides.iter().position(|side| side.names.iter().any(|n| n == name))
    }

    /// The sides of an edge: the first, and how many.
    pub(super) fn span(&self, edge: &str) -> Option<(usize, usize)> {
        let names = self.edges.get(edge)?;
        let (from, to) = (self.begins_at(names.first()?)?, self.begins_at(names.last()?)?);
        let count = (to + self.sides.len() - from) % self.sides.len();
        Some((from, if count == 0 { self.sides.len() } else { count }))
    }

    /// The stitching line of so many sides from one on.
    pub(super) fn line(&self, (first, count): (usize, usize)) -> Vec<Point> {
        let mut line: Vec<Point> =
            (first..first + count).flat_map(|i| self.sides[i % self.sides.len()].line.iter().copied()).collect();
        line.dedup();
        line
    }

    /// [`Net::span`], or what to say where there is no such edge; `key` is where it was named.
    ///
    /// # Errors
    /// Where the piece has no such edge.
    pub(super) fn edge_span(&self, edge: &str, piece: &str, key: &str) -> Result<(usize, usize), Problem> {
        self.span(edge).ok_or_else(|| {
            let known: Vec<&str> = self.edges.keys().map(String::as_str).collect();
            let cause = format!("The piece \"{piece}\" has no edge named \"{edge}\".");
            Problem::at(key, cause, format!("name one of its edges: {}", known.join(", ")))
        })
    }

    /// The sides from one on that run on without a corner: the neighbour that a new line is carried to.
    pub(super) fn run_on(&self, first: usize, forwards: bool) -> Vec<Point> {
        let count = self.sides.len();
        let step = |i: usize| if forwards { (i + 1) % count } else { (i + count - 1) % count };
        let mut span = vec![first % count];
        for _ in 1..count {
            let last = span[span.len() - 1];
            let next = step(last);
            let (before, after) = if forwards { (last, next) } else { (next, last) };
            if is_corner(&self.sides[before].line, &self.sides[after].line) {
                break;
            }
            span.push(next);
        }
        if !forwards {
            span.reverse();
        }
        let mut line: Vec<Point> = span.iter().flat_map(|&i| self.sides[i].line.iter().copied()).collect();
        line.dedup();
        if !forwards {
            line.reverse();
        }
        line
    }

    /// The nearest side to a point: its number, how far along it, and how far away the point is.
    pub(super) fn nearest(&self, p: Point) -> Option<(usize, Mm, Mm)> {
        self.sides
            .iter()
            .enumerate()
            .filter(|(_, side)| side.line.len() > 1)
            .map(|(i, side)| {
                let (along, away) = along_polyline(&side.line, p);
                (i, along, away)
            })
            .min_by(|a, b| a.2.total_cmp(&b.2))
    }

    /// Makes a named corner at a point of the ring, unless there is one already; gives the side that begins there.
    pub(super) fn with_corner(&mut self, p: Point, name: &str) -> Option<usize> {
        let (index, along, _) = self.nearest(p)?;
        let length = polyline_length(&self.sides[index].line);
        if along <= CORNER_TOLERANCE || along >= length - CORNER_TOLERANCE {
            let corner = if along <= CORNER_TOLERANCE { index } else { (index + 1) % self.sides.len() };
            self.sides[corner].names.push(name.to_owned());
            return Some(corner);
        }
        let side = &mut self.sides[index];
        let rest = part(&side.line, along, length);
        side.line = part(&side.line, 0.0, along);
        let new = Side { names: vec![name.to_owned()], line: rest, allowance: side.allowance };
        self.sides.insert(index + 1, new);
        Some(index + 1)
    }

    /// A name not yet taken by a point of this piece: `name`, or it with a number.
    pub(super) fn free_name(&self, name: &str) -> String {
        let taken = |n: &str| self.points.contains_key(n) || self.begins_at(n).is_some();
        let numbered = (2..).map(|number| format!("{name}-{number}"));
        std::iter::once(name.to_owned()).chain(numbered).find(|n| !taken(n)).unwrap_or_default()
    }

    /// The whole piece moved.
    #[must_use]
    pub(super) fn turned(mut self, turn: Turn) -> Self {
        for side in &mut self.sides {
            side.line = turn.line(&side.line);
        }
        self.notches = turn.line(&self.notches);
        for dart in &mut self.darts {
            *dart = Dart { apex: turn.apply(dart.apex), legs: dart.legs.map(|leg| turn.apply(leg)) };
        }
        for p in self.points.values_mut() {
            *p = turn.apply(*p);
        }
        self
    }

    /// The piece with its allowance added, as a file would give it.
    pub(super) fn source(&self, name: &str) -> PieceSource {
        let stitched: Vec<&[Point]> = self.sides.iter().map(|side| &side.line[..]).collect();
        let cut = moved(&self.sides.iter().map(|side| (&side.line[..], -side.allowance)).collect::<Vec<_>>());
        let mut outline = BezPath::new();
        for (i, p) in cut.iter().flatten().enumerate() {
            if i == 0 { outline.move_to((p.x, p.y)) } else { outline.line_to((p.x, p.y)) }
        }
        outline.close_path();
        let out = |p: Point, from: Option<Point>| onto(&stitched, &cut, p, from);
        let corners = self.sides.iter().zip(&cut);
        let named = corners.flat_map(|(side, line)| side.names.iter().map(|name| (name.clone(), line[0])));
        PieceSource {
            name: name.to_owned(),
            outline,
            holes: Vec::new(),
            points: self.points.iter().map(|(n, &p)| (n.clone(), p)).chain(named).collect(),
            edges: self.edges.clone(),
            grain: Some([Point { x: 0.0, y: 0.0 }, Point { x: 100.0, y: 0.0 }]),
            fold: self.fold.clone(),
            notches: self.notches.iter().map(|&p| out(p, None)).collect(),
            darts: self
                .darts
                .iter()
                .map(|dart| DartSource { apex: dart.apex, legs: dart.legs.map(|leg| out(leg, Some(dart.apex))) })
                .collect(),
            allowance: self.allowance(),
        }
    }

    /// The finished piece.
    ///
    /// # Errors
    /// Where what was drafted is no sound piece: its outline crosses itself, for one.
    pub(super) fn built(&self, name: &str) -> Result<Piece, Problems> {
        let built = piece::build(&self.source(name)).map(|piece| Piece { stitching: self.stitching(), ..piece });
        built.map_err(|problems| {
            let cause = |problem: &Problem| format!("\"{name}\" would be no sound piece: {}", problem.cause);
            let hint = "check the amounts of this draft against the piece it starts from";
            problems.iter().map(|problem| Problem::at("", cause(problem), hint)).collect()
        })
    }

    /// The stitching line as a piece keeps it.
    fn stitching(&self) -> Option<Stitching> {
        let ring = self.ring();
        let mut edges = IndexMap::new();
        for (name, names) in &self.edges {
            let (first, count) = self.span(name)?;
            let points = self.line((first, count));
            let place = |p: &Point| vertex_or_place(&ring, *p, CORNER_TOLERANCE);
            let (from, to) = (place(points.first()?)?, place(points.last()?)?);
            edges.insert(name.clone(), Edge { names: names.clone(), points, from, to });
        }
        Some(Stitching { outline: ring, edges })
    }

    /// The allowances by edge, as far as an edge has one and the same throughout.
    fn allowance(&self) -> Allowance {
        let mut edges = IndexMap::new();
        for name in self.edges.keys() {
            let Some((first, count)) = self.span(name) else { continue };
            let all = || (first..first + count).map(|i| self.sides[i % self.sides.len()].allowance);
            let own = self.sides[first].allowance;
            if own != self.rest && all().all(|by| by == own) && self.fold.as_ref() != Some(name) {
                edges.insert(name.clone(), own);
            }
        }
        Allowance { included: self.rest, edges }
    }

    /// Drops edges whose points are gone, and names that nothing uses.
    pub(super) fn tidy(&mut self) {
        let sides = &self.sides;
        let known = |name: &String| sides.iter().any(|side| side.names.contains(name));
        self.edges.retain(|_, names| names.len() > 1 && names.iter().all(known));
        if self.fold.as_ref().is_some_and(|fold| !self.edges.contains_key(fold)) {
            self.fold = None;
        }
    }

    /// Whether a point lies within the stitching lines.
    pub(super) fn holds(&self, p: Point) -> bool {
        holds(&self.ring(), p)
    }
}

/// The area within the stitching lines of a finished piece, found again from its cut line, in square mm.
pub(super) fn stitched_area(piece: &Piece) -> f64 {
    Net::from_cut_line(piece).map_or(0.0, |net| net.area())
}

/// A point on (or near) one set of lines taken to the line of the same number in another set: where the ray from `from`
/// through it crosses that line, or else the nearest point of it.
fn onto<A: AsRef<[Point]>, B: AsRef<[Point]>>(own: &[A], other: &[B], p: Point, from: Option<Point>) -> Point {
    let nearest = own
        .iter()
        .enumerate()
        .map(|(i, line)| (along_polyline(line.as_ref(), p).1, i))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((_, side)) = nearest else { return p };
    let line = other[side].as_ref();
    if let Some(from) = from {
        let ray = [from, from + (p - from) * 2.0];
        let crossing = crossings(line, &ray).into_iter().map(|(.., at)| at);
        let away = |at: &Point| crate::geometry::ring::distance(*at, p);
        if let Some(at) = crossing.min_by(|a, b| away(a).total_cmp(&away(b))) {
            return at;
        }
    }
    let (along, _) = along_polyline(line, p);
    if line.len() > 1 { crate::geometry::line::point_at(line, along) } else { line.first().copied().unwrap_or(p) }
}
