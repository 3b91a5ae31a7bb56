//! The cloth itself: its ground, edges and folds, and what is written along them.

use super::canvas::{BLACK, Canvas, Words, at, open};
use super::legend::GROUND;
use super::list::{Anchor, Frame};
use super::map::Map;
use super::room::Block;
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
}

/// Ground, edges, folds and cut ends of a row.
pub(super) fn ground(canvas: &mut Canvas, table: &Table, view: &View) {
    for strip in view.strips(table) {
        let (l, r, top) = (view.x(strip.from), view.x(strip.to), view.y(strip.height));
        let ring = vec![at(l, view.base), at(r, view.base), at(r, top), at(l, top)];
        canvas.area(&Shape { outline: ring, holes: Vec::new() }, GROUND, None);
        selvedge(canvas, l, r, view.base, 1.0);
        if strip.doubled {
            canvas.line(at(l, top), at(r, top), 0.9);
        } else {
            selvedge(canvas, l, r, top, -1.0);
        }
        for end in [strip.from, strip.to] {
            let is_break = (end == view.row.from && end > 0.0) || (end == view.row.to && end < table.length);
            let dash = is_break.then_some([2.4, 1.2]);
            canvas.lines(vec![open(vec![at(view.x(end), view.base), at(view.x(end), top)])], 0.25, BLACK, dash);
        }
        if let Some((kind, folds)) = &strip.other_folds {
            other_folds(canvas, view, &strip, kind == "crosswise", folds);
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
    let mut notes = Vec::new();
    let mut before: Option<Strip> = table.strips.iter().rev().find(|s| s.to <= view.row.from).cloned();
    for strip in view.strips(table) {
        let (l, r, top) = (view.x(strip.from), view.x(strip.to), view.y(strip.height));
        let lower = if strip.doubled {
            vec!["both selvedges, one upon the other", "both selvedges", "selvedges"]
        } else {
            vec!["selvedge"]
        };
        edge_name(canvas, &lower, at(l, view.base + OFF), r - l, 1.0);
        let (upper, whole) = if strip.doubled {
            let whole = "fold: right sides together, the wrong side is outwards";
            (vec![whole, "fold"], whole.to_owned())
        } else if let Some((kind, _)) = &strip.other_folds {
            let words = format!("lies open here; folded ({}) at the broken line", clean(kind));
            (vec!["selvedge"], words)
        } else {
            let whole = "selvedge: single layer, right side up";
            (vec![whole, "selvedge"], whole.to_owned())
        };
        let written = edge_name(canvas, &upper, at(l, top - OFF), r - l, -1.0);
        let begins =
            strip.from == view.row.from && strip.from > 0.0 && before.as_ref().is_some_and(|b| b.to < strip.from);
        if let Some(change) = before.as_ref().filter(|_| !begins).and_then(|b| change(b, &strip)) {
            canvas.lines(vec![open(vec![at(l, view.base + 3.5), at(l, top - 4.5)])], 0.5, BLACK, Some([0.6, 0.9]));
            notes.push(Note { words: change, target: at(l, top - 4.5) });
        } else if written != Some(whole.as_str()) && (strip.doubled || strip.other_folds.is_some()) {
            notes.push(Note { words: whole, target: at(f64::midpoint(l, r), top) });
        }
        before = Some(strip);
    }
    notes
}

/// What to do with the cloth where one strip ends and another begins.
fn change(before: &Strip, strip: &Strip) -> Option<String> {
    if before.doubled == strip.doubled && before.other_folds == strip.other_folds {
        return None;
    }
    Some(if strip.doubled {
        "From here: fold the cloth along its length, right sides together.".to_owned()
    } else if let Some((kind, _)) = &strip.other_folds {
        format!("From here: fold the cloth ({}).", clean(kind))
    } else {
        "From here: open the cloth out, single layer, right side up.".to_owned()
    })
}

/// Writes the longest wording that fits along an edge; gives the one written.
fn edge_name<'a>(canvas: &mut Canvas, wordings: &[&'a str], from: Point, length: f64, outward: f64) -> Option<&'a str> {
    for wording in wordings {
        let words = Words::new(*wording, 7.0);
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
            let (_, place) = map.outside(block.width() + 1.0, block.height() + 0.4, note.target, 0)?;
            Some((block, place))
        });
        if let Some((block, place)) = found {
            map.take(place);
            canvas.line(place.line[0], place.line[1], 0.18);
            super::pieces::set_block(canvas, &block, block.frame(place.frame.centre, 0.0), "", false);
        }
    }
}
