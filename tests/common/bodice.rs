//! A bodice made from a cone: a ring sector cut open with darts, each part turned about the dart's apex.

use ellwand::geometry::{Point, ring_area};
use ellwand::piece::{self, Allowance, DartSource, Piece, PieceSource};
use geo_clipper::{Clipper, EndType, JoinType};
use kurbo::BezPath;

/// The waist is an arc of `radius` and `angle`; all the darts closed, the bodice is a ring sector above it.
pub(crate) struct Bodice {
    pub(crate) radius: f64,
    pub(crate) angle: f64,
    /// The circle's centre lies below the waist, so that the band's upper edge is the longer.
    pub(crate) opens_downwards: bool,
    pub(crate) height: f64,
    pub(crate) darts: Vec<Dart>,
}

/// A dart at a share of the waist, so deep, opening by so many radians.
pub(crate) struct Dart {
    pub(crate) at: f64,
    pub(crate) reach: f64,
    pub(crate) turn: f64,
}

const STEPS: usize = 60;

impl Bodice {
    pub(crate) fn outwards(&self) -> f64 {
        if self.opens_downwards { 1.0 } else { -1.0 }
    }

    pub(crate) fn centre(&self) -> Point {
        Point { x: -self.outwards() * self.radius, y: 0.0 }
    }

    /// On the closed cone: at a share of the waist, `up` above it. Grain along +x, the centre line at y = 0.
    fn closed(&self, share: f64, up: f64) -> Point {
        let (sine, cosine) = libm::sincos(share * self.angle);
        let radius = self.radius + up * self.outwards();
        self.centre() + Point { x: self.outwards() * cosine, y: -sine } * radius
    }

    /// The piece, `allowance` all round (added by the Clipper library, corners mitred).
    pub(crate) fn piece(&self, allowance: f64) -> Piece {
        piece::build(&self.source(allowance, None)).unwrap_or_else(|problems| panic!("{problems:?}"))
    }

    /// The piece with its centre line, at y = 0, on a fold.
    pub(crate) fn on_fold(&self, allowance: f64) -> Piece {
        let source = self.source(allowance, Some("centre"));
        piece::build(&source).unwrap_or_else(|problems| panic!("{problems:?}"))
    }

    fn source(&self, allowance: f64, fold: Option<&str>) -> PieceSource {
        let (mut ring, mut darts, mut from) = (Vec::new(), Vec::new(), 0.0);
        let mut opened: Vec<(Point, f64)> = Vec::new();
        let place = |opened: &[(Point, f64)], p: Point| opened.iter().rev().fold(p, |p, &(o, t)| turned(p, o, t));
        for dart in &self.darts {
            arc(self, (from, dart.at), |p| ring.push(place(&opened, p)));
            let apex = self.closed(dart.at, dart.reach);
            let leg = self.closed(dart.at, 0.0);
            let one = place(&opened, leg);
            let open_apex = place(&opened, apex);
            opened.push((apex, dart.turn));
            darts.push((open_apex, [one, place(&opened, leg)]));
            from = dart.at;
        }
        arc(self, (from, 1.0), |p| ring.push(place(&opened, p)));
        let side_waist = ring[ring.len() - 1];
        let side_top = place(&opened, self.closed(1.0, self.height));
        let top = Point { x: side_top.x.max(self.height), y: 0.0 };
        let waist = Point { x: 0.0, y: 0.0 };
        ring.extend([side_top, top]);
        let corners =
            [("centre-waist", waist), ("side-waist", side_waist), ("side-top", side_top), ("centre-top", top)];
        let mut cut = if allowance > 0.0 { set_out(&ring, allowance) } else { ring };
        if fold.is_some() {
            cut = cut.into_iter().map(|p| Point { x: p.x, y: p.y.min(0.0) }).collect();
        }
        let at = |p: Point| if allowance > 0.0 { corner(&cut, p) } else { p };
        let named = |name: &str, p: Point| {
            let p = at(p);
            (name.to_owned(), if fold.is_some() && name.starts_with("centre") { Point { y: 0.0, ..p } } else { p })
        };
        let edge = |name: &str, from: &str, to: &str| (name.to_owned(), vec![from.to_owned(), to.to_owned()]);
        let mut outline = BezPath::new();
        for (i, p) in cut.iter().enumerate() {
            if i == 0 { outline.move_to((p.x, p.y)) } else { outline.line_to((p.x, p.y)) }
        }
        outline.close_path();
        let leg = |apex: Point, leg: Point| {
            let away = ellwand::geometry::ring::distance(apex, leg);
            apex + (leg - apex) * ((away + allowance) / away)
        };
        PieceSource {
            name: "bodice".into(),
            outline,
            points: corners.into_iter().map(|(name, p)| named(name, p)).collect(),
            edges: [
                edge("waist", "centre-waist", "side-waist"),
                edge("side", "side-waist", "side-top"),
                edge("top", "side-top", "centre-top"),
                edge("centre", "centre-top", "centre-waist"),
            ]
            .into_iter()
            .collect(),
            grain: Some([Point { x: 0.0, y: 0.0 }, Point { x: 1.0, y: 0.0 }]),
            fold: fold.map(str::to_owned),
            darts: darts
                .iter()
                .map(|&(apex, legs)| DartSource { apex, legs: legs.map(|end| leg(apex, end)) })
                .collect(),
            allowance: Allowance { included: allowance, ..Allowance::default() },
            ..PieceSource::default()
        }
    }
}

fn arc(bodice: &Bodice, (from, to): (f64, f64), mut take: impl FnMut(Point)) {
    for step in 0..=STEPS {
        take(bodice.closed(from + (to - from) * step as f64 / STEPS as f64, 0.0));
    }
}

fn turned(p: Point, about: Point, by: f64) -> Point {
    let (sine, cosine) = libm::sincos(by);
    let v = p - about;
    about + Point { x: v.x * cosine - v.y * sine, y: v.x * sine + v.y * cosine }
}

/// The ring set out by an allowance, corners mitred.
fn set_out(ring: &[Point], by: f64) -> Vec<Point> {
    let polygon = geo::Polygon::new(geo::LineString::new(ring.to_vec()), vec![]);
    let outer = polygon.offset(by, JoinType::Miter(4.0), EndType::ClosedPolygon, 1e6);
    let mut points = outer.0[0].exterior().0.clone();
    points.pop();
    // Clipper leaves steps of its own rounding, whose direction says nothing.
    points.dedup_by(|b, a| ellwand::geometry::ring::distance(*a, *b) < 0.01);
    if ring_area(&points) < 0.0 {
        points.reverse();
    }
    points
}

/// The cut corner of a stitched corner: the nearest vertex at which the cut line turns by more than 20 degrees.
fn corner(cut: &[Point], p: Point) -> Point {
    let away = |q: Point| ellwand::geometry::ring::distance(q, p);
    let count = cut.len();
    let turns = |i: &usize| {
        let (a, b, c) = (cut[(i + count - 1) % count], cut[*i], cut[(i + 1) % count]);
        let (u, v) = (b - a, c - b);
        (u.x * v.x + u.y * v.y) < 0.94 * away(p + u) * away(p + v)
    };
    let nearest = (0..count).filter(turns).min_by(|&a, &b| away(cut[a]).total_cmp(&away(cut[b])));
    nearest.map_or(p, |i| cut[i])
}
