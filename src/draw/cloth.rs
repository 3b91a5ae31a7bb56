//! The cloth itself: its ground, edges and folds, and what is written along them.

use super::canvas::{BLACK, Canvas, Words, at, open};
use super::flaws;
use super::lattice;
use super::legend::ground_tone;
use super::lie::{Edge, Lie};
use super::list::{Anchor, Frame};
use super::map::Map;
use super::room::Block;
use super::steps;
use super::table::{Strip, Table};
use super::text::{clean, wrap};
use super::view::View;
use crate::geometry::{Point, Shape};

/// Depth of the drawn selvedge, in mm on paper; it lies outside the usable width.
const SELVEDGE: f64 = 1.2;
/// Distance of edge names from the cloth.
const OFF: f64 = 1.7;

/// Words that found no room beside what they speak of.
pub(super) struct Note {
    words: String,
    target: Point,
    /// What its line may cross on the map: a flaw, where it speaks of one.
    owner: u32,
}

/// Flaws on the map of a sheet.
const FLAW: u32 = u32::MAX - 1;

/// Ground, edges, folds and cut ends of a row.
pub(super) fn ground(canvas: &mut Canvas, table: &Table, view: &View) {
    for strip in view.strips(table) {
        let (l, r) = (view.x(strip.from), view.x(strip.to));
        for zone in strip.lie.zones(table.width) {
            let (low, high) = (view.y(zone.low), view.y(zone.high));
            let ring = vec![at(l, low), at(r, low), at(r, high), at(l, high)];
            canvas.area(&Shape { outline: ring, holes: Vec::new() }, ground_tone(zone.layers), None);
        }
    }
    lattice::draw(canvas, table, view, None);
    for strip in view.strips(table) {
        let (l, r, top) = (view.x(strip.from), view.x(strip.to), view.y(strip.height));
        for ((y, outward), edge) in [(view.base, 1.0), (top, -1.0)].into_iter().zip(strip.lie.edges()) {
            match edge {
                Edge::Fold => canvas.line(at(l, y), at(r, y), 0.9),
                Edge::Selvedge | Edge::Selvedges => selvedge(canvas, l, r, y, outward),
            }
        }
        // A selvedge that is folded in lies on top of the cloth.
        for pair in strip.lie.zones(table.width).windows(2) {
            let outward = if pair[0].layers > pair[1].layers { -1.0 } else { 1.0 };
            selvedge(canvas, l, r, view.y(pair[0].high), outward);
        }
        for end in [strip.from, strip.to] {
            let is_break = (end == view.row.from && end > 0.0) || (end == view.row.to && end < table.length);
            let dash = is_break.then_some([2.4, 1.2]);
            let is_fold = matches!(strip.lie, Lie::Crosswise { .. }) && end == strip.from && !is_break;
            let width = if is_fold { 0.9 } else { 0.25 };
            canvas.lines(vec![open(vec![at(view.x(end), view.base), at(view.x(end), top)])], width, BLACK, dash);
        }
        if let Lie::Other { kind, lines } = &strip.lie {
            other_folds(canvas, view, &strip, kind == "crosswise", lines);
        }
    }
}

/// The edge of the weave: a line, and a fringe of short threads outside it.
fn selvedge(canvas: &mut Canvas, left: f64, right: f64, y: f64, outward: f64) {
    canvas.line(at(left, y), at(right, y), 0.3);
    let count = ((right - left) / 1.2).floor().max(0.0) as usize;
    let threads = (0..count).map(|i| {
        let x = left + (i as f64 + 0.5) * 1.2;
        open(vec![at(x, y), at(x, y + outward * SELVEDGE)])
    });
    canvas.lines(threads.collect(), 0.15, BLACK, None);
}

fn other_folds(canvas: &mut Canvas, view: &View, strip: &Strip, is_across: bool, folds: &[f64]) {
    let lines = folds
        .iter()
        .filter(|fold| fold.is_finite())
        .filter_map(|&fold| {
            let (a, b) = if is_across {
                (at(fold, 0.0), at(fold, strip.height))
            } else {
                (at(strip.from, fold), at(strip.to, fold))
            };
            let within = a.x >= strip.from && b.x <= strip.to && a.y >= 0.0 && b.y <= strip.height;
            within.then(|| open(vec![view.point(a), view.point(b)]))
        })
        .collect();
    canvas.lines(lines, 0.5, BLACK, Some([3.0, 1.0]));
}

/// Names the edges; gives what found no room.
pub(super) fn names(canvas: &mut Canvas, table: &Table, view: &View) -> Vec<Note> {
    let flaws = flaws::draw(canvas, table, view);
    let mut notes: Vec<Note> = flaws.into_iter().map(|(words, target)| Note { words, target, owner: FLAW }).collect();
    for strip in view.strips(table) {
        let (l, r, top) = (view.x(strip.from), view.x(strip.to), view.y(strip.height));
        let [lower, upper] = strip.lie.edges();
        let single_above = strip.lie.zones(table.width).last().is_some_and(|zone| zone.layers == 1);
        for (edge, y, outward, is_single) in [(lower, view.base, 1.0, false), (upper, top, -1.0, single_above)] {
            let written = edge_name(canvas, wordings(edge, is_single), at(l, y + OFF * outward), r - l, outward);
            if edge == Edge::Fold && written != Some(FOLD) {
                notes.push(Note { words: FOLD.to_owned(), target: at(f64::midpoint(l, r), y), owner: 0 });
            }
        }
        let begins_here = strip.from > view.row.from || (strip.from > 0.0 && begins(table, &strip));
        if strip.number > 1 && begins_here {
            canvas.lines(vec![open(vec![at(l, view.base + 3.5), at(l, top - 4.5)])], 0.5, BLACK, Some([0.6, 0.9]));
            notes.push(Note { words: steps::change(&strip), target: at(l, top - 4.5), owner: 0 });
        }
        match &strip.lie {
            Lie::Crosswise { .. } => {
                let words = "fold across the cloth: right sides together, the wrong side is outwards";
                notes.push(Note { words: words.to_owned(), target: at(l, f64::midpoint(view.base, top)), owner: 0 });
            }
            Lie::Other { kind, .. } => {
                let words = format!("lies open here; folded ({}) at the broken line", clean(kind));
                notes.push(Note { words, target: at(f64::midpoint(l, r), top), owner: 0 });
            }
            _ => {}
        }
    }
    notes
}

const FOLD: &str = "fold: right sides together, the wrong side is outwards";

/// What may be written along an edge, the fullest first.
fn wordings(edge: Edge, is_single: bool) -> &'static [&'static str] {
    match edge {
        Edge::Fold => &[FOLD, "fold"],
        Edge::Selvedges => &["both selvedges, one upon the other", "both selvedges", "selvedges"],
        Edge::Selvedge if is_single => &["selvedge: single layer, right side up", "selvedge"],
        Edge::Selvedge => &["selvedge"],
    }
}

/// Whether a strip as a row shows it begins where its section does.
fn begins(table: &Table, shown: &Strip) -> bool {
    table.strips.iter().any(|strip| strip.number == shown.number && strip.from == shown.from)
}

/// Writes the longest wording that fits along an edge; gives the one written.
fn edge_name(
    canvas: &mut Canvas,
    wordings: &[&'static str],
    from: Point,
    length: f64,
    outward: f64,
) -> Option<&'static str> {
    for &wording in wordings {
        let words = Words::new(wording, 7.0);
        let half = words.height() / 2.0;
        let centre = at(from.x + 1.0 + words.width() / 2.0, from.y + outward * half);
        let frame = Frame { centre, half_width: words.width() / 2.0, half_height: half, turn: 0.0 };
        if words.width() + 2.0 <= length && canvas.is_free(&frame) {
            canvas.text(&words, frame, Anchor::Start, None);
            return Some(wording);
        }
    }
    None
}

/// An arrow below the cloth where every top points the same way.
pub(super) fn tops(canvas: &mut Canvas, table: &Table, view: &View) {
    let Some(first) = table.placements.first() else {
        return;
    };
    if table.placements.len() < 2 || table.placements.iter().any(|p| (p.turn - first.turn).abs() > 0.01) {
        return;
    }
    let turn = crate::geometry::normal_turn(-first.turn);
    let words = Words::bold("all tops this way", 7.0);
    let y = view.base + OFF + words.height() / 2.0;
    let half = words.width() / 2.0;
    // From the right end to the left, the first place that is free for words and arrow.
    let places = (0..100).map(|i| view.right() - 12.0 - half - f64::from(i) * 2.0);
    let found = places.take_while(|x| x - half > view.left).find_map(|x| {
        let frame = Frame { centre: at(x, y), half_width: half, half_height: words.height() / 2.0, turn: 0.0 };
        let both = Frame { centre: at(x + 6.0, y), half_width: half + 7.0, ..frame };
        canvas.is_free(&both).then_some(frame)
    });
    if let Some(frame) = found {
        canvas.text(&words, frame, Anchor::Middle, None);
        let (sine, cosine) = crate::geometry::sine_cosine(turn);
        let middle = at(frame.centre.x + half + 6.0, y);
        let reach = at(cosine, sine) * if sine.abs() > 0.3 { 1.7 } else { 4.5 };
        canvas.line(middle - reach, middle + reach * 0.5, 0.6);
        canvas.head(middle + reach, turn, 2.8);
    }
}

/// Takes the edges of the cloth on the map, so that nothing is written across them.
pub(super) fn block(map: &mut Map, table: &Table, view: &View) {
    for shape in table.flaws.iter().filter_map(|flaw| view.shape(table, &flaw.shape)) {
        map.block_shape(&shape, FLAW);
    }
    for strip in view.strips(table) {
        let (l, r, top) = (view.x(strip.from), view.x(strip.to), view.y(strip.height));
        for y in [view.base, view.base + SELVEDGE, top, top - SELVEDGE] {
            map.block_line(at(l, y), at(r, y));
        }
        map.block_line(at(l, view.base), at(l, top));
        map.block_line(at(r, view.base), at(r, top));
    }
    let length = view.right() - view.left;
    map.block_area(&Frame::upright(view.left, view.base + 5.0, length, 9.6));
    for y in [view.top() - 8.0, view.top() - 13.6] {
        map.block_line(at(view.left, y), at(view.right(), y));
    }
    for x in [view.left - 3.6, view.right() + 3.6] {
        map.block_line(at(x, view.base), at(x, view.top()));
    }
}

/// Places what found no room, with a line to what it speaks of.
pub(super) fn place_notes(canvas: &mut Canvas, map: &mut Map, notes: Vec<Note>) {
    for note in notes {
        let blocks = [60.0, 28.0, 18.0, 12.0].map(|most| Block {
            lines: wrap(&note.words, true, most).into_iter().map(|line| Words::bold(line, 7.0)).collect(),
        });
        let found = blocks.into_iter().find_map(|block| {
            let (_, place) = map.outside(block.width() + 1.0, block.height() + 0.4, note.target, note.owner)?;
            Some((block, place))
        });
        if let Some((block, place)) = found {
            map.take(place);
            canvas.line(place.line[0], place.line[1], 0.18);
            super::pieces::set_block(canvas, &block, block.frame(place.frame.centre, 0.0), "", false);
        }
    }
}
