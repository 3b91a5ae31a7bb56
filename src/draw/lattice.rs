//! The repeat of a print: light lines through the middle of every motif.

use super::canvas::{Canvas, at, open};
use super::polygon::{Axis, edges};
use super::table::Table;
use super::view::View;
use crate::geometry::{Point, Shape};
use crate::layout::{ClothPlan, PrintPlan};

/// How the lines are drawn: width in mm, tone, dash.
pub(super) const LINE: (f64, f64, Option<[f64; 2]>) = (0.15, 0.62, Some([0.9, 0.9]));
/// Lines closer than this on paper, in mm, would only darken it.
const CLOSEST: f64 = 1.5;
/// More lines than this in one direction of one strip are none.
const MOST: f64 = 2000.0;

/// Where motifs have their middles on the flat cloth: one of them, and how far it is to the next.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Lattice {
    along: Option<[f64; 2]>,
    across: Option<[f64; 2]>,
}

impl Lattice {
    /// Of the directions in which something is matched on a cloth; none where nothing is.
    pub(super) fn of(cloth: &ClothPlan) -> Option<Self> {
        let print = cloth.print.as_ref()?;
        let sound = |line: [f64; 2]| (line[0].is_finite() && line[1].is_finite() && line[1] > 0.0).then_some(line);
        let is_across = |print: &PrintPlan| print.matches.iter().any(|found| found.across.is_some());
        let along = print.middle_along.zip(print.repeat_length).and_then(|(at, every)| sound([at, every]));
        let across = print.repeat_width.filter(|_| is_across(print));
        let across = across.and_then(|every| sound([print.middle_across, every]));
        (along.is_some() || across.is_some()).then_some(Self { along, across })
    }
}

/// Draws the lines over the cloth that a row shows, or over one piece on it.
pub(super) fn draw(canvas: &mut Canvas, table: &Table, view: &View, piece: Option<&Shape>) {
    let Some(lattice) = table.lattice else { return };
    let mut lines = Vec::new();
    for strip in view.strips(table) {
        let (left, right) = (view.x(strip.from), view.x(strip.to));
        let corners = vec![
            at(left, view.base),
            at(right, view.base),
            at(right, view.y(strip.height)),
            at(left, view.y(strip.height)),
        ];
        let ground = Shape { outline: corners, holes: Vec::new() };
        let shape = piece.unwrap_or(&ground);
        let along = levels(lattice.along, strip.shift.x, strip.from, strip.to, view.scale);
        let across = levels(lattice.across, strip.shift.y, 0.0, strip.height, view.scale);
        lines.extend(along.into_iter().flat_map(|x| inside(shape, Axis::X, view.x(x))));
        let within = |[a, b]: [Point; 2]| {
            Some([a.x.max(left), b.x.min(right)]).filter(|[a, b]| a < b).map(|[c, d]| [at(c, a.y), at(d, b.y)])
        };
        lines.extend(across.into_iter().flat_map(|y| inside(shape, Axis::Y, view.y(y))).filter_map(within));
    }
    let (width, tone, dash) = LINE;
    canvas.lines(lines.into_iter().map(|line| open(line.to_vec())).collect(), width, tone, dash);
}

/// The lines of one direction between two places of the table.
fn levels(lines: Option<[f64; 2]>, shift: f64, from: f64, to: f64, scale: f64) -> Vec<f64> {
    let Some([line, every]) = lines else { return Vec::new() };
    let first = ((from - line - shift) / every).ceil();
    let count = (to - from) / every + 1.0;
    if every / scale < CLOSEST || !(0.0..MOST).contains(&count) {
        return Vec::new();
    }
    let all = (0..=count as usize).map(|k| line + shift + (first + k as f64) * every);
    all.filter(|level| (from..=to).contains(level)).collect()
}

/// The parts of an upright or level line that lie in a shape, each from its lower coordinate to its higher.
fn inside(shape: &Shape, axis: Axis, level: f64) -> Vec<[Point; 2]> {
    let mut cuts: Vec<Point> = edges(shape)
        .filter(|(a, b)| (axis.of(a) > level) != (axis.of(b) > level))
        .map(|(a, b)| a + (b - a) * ((level - axis.of(&a)) / (axis.of(&b) - axis.of(&a))))
        .collect();
    cuts.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    cuts.chunks_exact(2).map(|ends| [ends[0], ends[1]]).collect()
}
