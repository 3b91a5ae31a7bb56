//! Finding room inside a piece for its label and grain arrow.

use super::canvas::Words;
use super::list::Frame;
use super::polygon::{contains, distance_to_edge, distance_to_segment, edges, holds, overlap};
use crate::geometry::{Point, Shape};

/// Clear space between a label and the edge of its piece, in mm.
const CLEAR: f64 = 0.5;
/// Half the breadth of a grain arrow, in mm.
const ARROW: f64 = 1.0;

/// Lines of text set as one block, each centred.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Block {
    pub(super) lines: Vec<Words>,
}

impl Block {
    pub(super) fn width(&self) -> f64 {
        self.lines.iter().map(Words::width).fold(0.0, f64::max)
    }

    pub(super) fn height(&self) -> f64 {
        self.lines.iter().map(Words::height).sum()
    }

    /// Whether words had to be cut off.
    pub(super) fn is_cut_off(&self) -> bool {
        self.lines.iter().any(|line| line.content.contains('…'))
    }

    pub(super) fn frame(&self, centre: Point, turn: f64) -> Frame {
        Frame { centre, half_width: self.width() / 2.0, half_height: self.height() / 2.0, turn }
    }
}

/// The inside of a piece on paper, ready to be searched.
pub(super) struct Inside {
    shape: Shape,
    /// Points inside with their distance to the nearest edge, roomiest first.
    places: Vec<(f64, Point)>,
    /// Boxes that must stay free.
    obstacles: Vec<Frame>,
}

impl Inside {
    pub(super) fn new(shape: &Shape, obstacles: Vec<Frame>) -> Self {
        let shape = thinned(shape);
        let bounds = shape.bounds();
        let step = (bounds.length().max(bounds.width()) / 36.0).max(0.5);
        let mut places = Vec::new();
        let (across, down) = ((bounds.length() / step) as usize, (bounds.width() / step) as usize);
        for (i, j) in (0..=across.min(80)).flat_map(|i| (0..=down.min(80)).map(move |j| (i, j))) {
            let p = bounds.min + Point { x: (i as f64 + 0.5) * step, y: (j as f64 + 0.5) * step };
            if contains(&shape, p) {
                places.push((distance_to_edge(&shape, p), p));
            }
        }
        places.extend(spans(&shape).into_iter().map(|p| (distance_to_edge(&shape, p), p)));
        places.sort_by(|a, b| b.0.total_cmp(&a.0));
        Self { shape, places, obstacles }
    }

    /// Its area in square mm.
    pub(super) fn area(&self) -> f64 {
        self.shape.area()
    }

    /// The roomiest point inside; none for a shape without area.
    pub(super) fn middle(&self) -> Option<Point> {
        self.places.first().map(|&(_, p)| p)
    }

    /// The roomiest point inside that keeps off an arrow, else the roomiest of all.
    pub(super) fn beside(&self, arrow: Option<[Point; 2]>) -> Option<Point> {
        let off = |p: &Point| arrow.is_none_or(|[a, b]| distance_to_segment(*p, a, b) > 1.8);
        let mut roomy = self.places.iter().take_while(|(distance, _)| *distance > 0.8).map(|&(_, p)| p);
        roomy.find(off).or_else(|| self.middle())
    }

    fn is_free(&self, frame: &Frame) -> bool {
        !self.obstacles.iter().any(|o| overlap(o, frame)) && holds(&self.shape, frame)
    }

    /// Where a block of text fits at an angle: the roomiest place.
    pub(super) fn block(&self, block: &Block, turn: f64) -> Option<Frame> {
        self.fitting(block, turn).next()
    }

    /// Some places where a block of text fits at an angle, the roomiest first.
    pub(super) fn block_places(&self, block: &Block, turn: f64) -> Vec<Frame> {
        // The roomiest place may leave nothing for the arrow where one at the side leaves enough.
        let all: Vec<Frame> = self.fitting(block, turn).collect();
        let step = all.len().div_ceil(12).max(1);
        all.into_iter().step_by(step).collect()
    }

    fn fitting<'a>(&'a self, block: &'a Block, turn: f64) -> impl Iterator<Item = Frame> + 'a {
        let least = block.width().min(block.height()) / 2.0;
        self.places
            .iter()
            .take_while(move |(distance, _)| *distance >= least)
            .map(move |&(_, centre)| block.frame(centre, turn))
            .filter(|frame| self.is_free(&frame.grown(CLEAR)))
    }

    /// Tail and head of a grain arrow clear of a label, pointing `turn` degrees, at least `least` mm long.
    pub(super) fn arrow(&self, turn: f64, least: f64, label: Option<&Frame>) -> Option<[Point; 2]> {
        let centre = label.map(|l| l.centre).or_else(|| self.middle())?;
        let mut near: Vec<(f64, Point)> = self
            .places
            .iter()
            .filter(|(distance, _)| *distance > ARROW * 0.9)
            .map(|&(_, p)| (libm::hypot(p.x - centre.x, p.y - centre.y), p))
            .collect();
        near.sort_by(|a, b| a.0.total_cmp(&b.0));
        let bounds = self.shape.bounds();
        let longest = (libm::hypot(bounds.length(), bounds.width()) * 0.5).min(45.0);
        let lengths =
            [1.0, 0.75, 0.55, 0.4, 0.28].map(|part| part * longest).into_iter().filter(|l| *l > least).chain([least]);
        for length in lengths {
            let frame = |centre| Frame { centre, half_width: length / 2.0, half_height: ARROW, turn };
            let fits = |f: &Frame| !label.is_some_and(|l| overlap(f, &l.grown(0.35))) && self.is_free(&f.grown(0.3));
            if let Some(found) = near.iter().take(250).map(|&(_, p)| frame(p)).find(fits) {
                return Some([found.at(-length / 2.0, 0.0), found.at(length / 2.0, 0.0)]);
            }
        }
        None
    }
}

/// The shape without points that make no difference on paper.
fn thinned(shape: &Shape) -> Shape {
    let thin = |ring: &Vec<Point>| {
        let mut out: Vec<Point> = Vec::new();
        for p in ring {
            if out.last().is_none_or(|q| libm::hypot(p.x - q.x, p.y - q.y) > 0.2) {
                out.push(*p);
            }
        }
        if out.len() < 3 { ring.clone() } else { out }
    };
    Shape { outline: thin(&shape.outline), holes: shape.holes.iter().map(thin).collect() }
}

/// Middles of the widest stretches along some level and upright lines: points inside even the thinnest sliver.
fn spans(shape: &Shape) -> Vec<Point> {
    let bounds = shape.bounds();
    let mut found = Vec::new();
    for i in 0..15 {
        let part = (f64::from(i) + 0.5) / 15.0;
        let y = bounds.min.y + part * bounds.width();
        let mut cuts: Vec<f64> = edges(shape)
            .filter(|(a, b)| (a.y > y) != (b.y > y))
            .map(|(a, b)| a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y))
            .collect();
        cuts.sort_by(f64::total_cmp);
        found.extend(cuts.chunks_exact(2).map(|c| Point { x: f64::midpoint(c[0], c[1]), y }));
        let x = bounds.min.x + part * bounds.length();
        let mut cuts: Vec<f64> = edges(shape)
            .filter(|(a, b)| (a.x > x) != (b.x > x))
            .map(|(a, b)| a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x))
            .collect();
        cuts.sort_by(f64::total_cmp);
        found.extend(cuts.chunks_exact(2).map(|c| Point { x, y: f64::midpoint(c[0], c[1]) }));
    }
    found
}
