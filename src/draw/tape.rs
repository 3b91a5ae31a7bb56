//! The measuring tape along the cloth and the dimensions about it, in both systems.

use super::canvas::{Canvas, Words, at, open};
use super::list::{Anchor, Frame};
use super::table::{Strip, Table};
use super::text::SMALLEST;
use super::view::View;
use crate::units::{Rounding, both, cloth_width, eighths};

/// Distance from the cloth's lower edge to the tape, in mm.
const DROP: f64 = 5.6;
/// Height of the tape, in mm.
const TAPE: f64 = 8.4;
const INCH: f64 = 25.4;

/// Draws the tape below a row: centimetres along its upper edge, inches along its lower one.
pub(super) fn tape(canvas: &mut Canvas, view: &View) {
    let (top, bottom) = (view.base + DROP, view.base + DROP + TAPE);
    let (left, right) = (view.left, view.right());
    let outline = vec![at(left, top), at(right, top), at(right, bottom), at(left, bottom)];
    canvas.lines(vec![super::canvas::closed(outline)], 0.25, 0.0, None);
    let metric =
        Side { unit: 10.0, edge: top, inward: 1.0, steps: &[1, 2, 5, 10, 20, 50, 100, 200, 500, 1000], whole: 100 };
    let inches =
        Side { unit: INCH, edge: bottom, inward: -1.0, steps: &[1, 2, 3, 6, 9, 18, 36, 72, 180, 360], whole: 36 };
    let step = ticks(canvas, view, &metric, |n| if n % 100 == 0 { format!("{} m", n / 100) } else { format!("{n}") });
    let in_inches = inches.label_step(view) < 9;
    ticks(canvas, view, &inches, |n| match (n % 36, in_inches) {
        (0, _) => format!("{} yd", n / 36),
        (_, true) => format!("{n}"),
        _ => eighths(n as f64 * 8.0 / 36.0),
    });
    let centre = if step % 100 == 0 { "m" } else { "cm" };
    for (tag, y) in [(centre, top + 2.9), (if in_inches { "in" } else { "yd" }, bottom - 2.9)] {
        let words = Words::bold(tag, SMALLEST + 0.5);
        canvas.text_ending_at(&words, left - 1.0, y - words.height() / 2.0, 8.0);
    }
}

/// One edge of the tape.
struct Side {
    /// A unit in mm of cloth.
    unit: f64,
    edge: f64,
    inward: f64,
    steps: &'static [u64],
    /// Units in a metre or a yard.
    whole: u64,
}

impl Side {
    fn spacing(&self, view: &View, step: u64) -> f64 {
        step as f64 * self.unit / view.scale
    }

    fn at_least(&self, view: &View, spacing: f64) -> u64 {
        let fits = self.steps.iter().copied().find(|&step| self.spacing(view, step) >= spacing);
        // A scale beyond all tables: as many wholes as it takes.
        fits.unwrap_or_else(|| {
            let wholes = (spacing / self.spacing(view, self.whole)).ceil().min(1e15);
            self.whole * (wholes as u64).max(1)
        })
    }

    fn label_step(&self, view: &View) -> u64 {
        self.at_least(view, 8.0)
    }
}

/// Ticks and numbers along one edge; gives the step of the numbers.
fn ticks(canvas: &mut Canvas, view: &View, side: &Side, name: impl Fn(u64) -> String) -> u64 {
    let label_step = side.label_step(view);
    let fine = side.at_least(view, 1.0).min(label_step);
    let middle = side.at_least(view, 4.0).min(label_step);
    let first = (view.row.from / side.unit / fine as f64).ceil() as u64;
    let last = (view.row.to / side.unit / fine as f64).floor() as u64;
    let mut lines = Vec::new();
    for n in (first..=last.min(first.saturating_add(2000))).map(|i| i * fine) {
        let x = view.x(n as f64 * side.unit);
        let is_named = n % label_step == 0;
        let length = match (is_named, n % middle == 0) {
            (true, _) => 1.7,
            (_, true) => 1.3,
            _ => 0.8,
        };
        lines.push(open(vec![at(x, side.edge), at(x, side.edge + side.inward * length)]));
        if is_named && n > 0 {
            let is_whole = n % side.whole == 0;
            let words = Words { content: name(n), points: SMALLEST, bold: is_whole };
            let centre = at(x, side.edge + side.inward * 2.9);
            let frame = Frame { centre, half_width: words.width() / 2.0, half_height: words.height() / 2.0, turn: 0.0 };
            let within = x - frame.half_width > view.left && x + frame.half_width < view.right();
            if within && canvas.is_free(&frame) {
                canvas.text(&words, frame, Anchor::Middle, None);
            }
        }
    }
    canvas.lines(lines, 0.15, 0.0, None);
    label_step
}

/// Dimensions along the row above it and across its first and last strip.
pub(super) fn dimensions(canvas: &mut Canvas, table: &Table, view: &View) {
    let strips: Vec<Strip> = view.strips(table).collect();
    let mut y = view.top() - 8.0;
    if strips.len() > 1 {
        for strip in &strips {
            let words = format!("{}: {}", strip.number, both(strip.to - strip.from, Rounding::Nearest));
            along(canvas, view, strip.from, strip.to, y, &words);
        }
        y -= 5.6;
    }
    let whole = both(table.length, Rounding::Nearest);
    let is_whole = view.row.from <= 0.0 && view.row.to >= table.length;
    let words =
        if is_whole { whole } else { format!("{} of {whole}", both(view.row.to - view.row.from, Rounding::Nearest)) };
    along(canvas, view, view.row.from, view.row.to, y, &words);
    if let Some(first) = strips.first() {
        across(canvas, table, view, first, view.left - 3.6, -3.0);
    }
    if let Some(last) = strips.last().filter(|last| strips.first().is_some_and(|first| first.lie != last.lie)) {
        across(canvas, table, view, last, view.right() + 3.6, 3.0);
    }
}

/// A dimension along the cloth: its words in the line, else one system above the line and one below, else beside it.
fn along(canvas: &mut Canvas, view: &View, from: f64, to: f64, y: f64, words: &str) {
    let (from, to) = (view.x(from), view.x(to));
    let middle = f64::midpoint(from, to);
    let words = Words::new(words, 7.0);
    let half = words.width() / 2.0;
    if to - from >= words.width() + 8.0 {
        arrows(canvas, at(from, y), at(to, y), 0.0, Some(half + 1.0));
        set(canvas, &words, at(middle, y));
        return;
    }
    arrows(canvas, at(from, y), at(to, y), 0.0, None);
    let (metric, inches) = words.content.split_once(" (").unwrap_or((&words.content, ""));
    let stacked = [metric, inches.trim_end_matches(')')].map(|part| Words::new(part, SMALLEST));
    if stacked.iter().all(|part| part.width() < to - from) {
        set(canvas, &stacked[0], at(middle, y - 1.6));
        set(canvas, &stacked[1], at(middle, y + 1.6));
    } else {
        set(canvas, &words, at(to + 1.5 + half, y));
    }
}

/// Sets words about a centre, if the place is free.
fn set(canvas: &mut Canvas, words: &Words, centre: crate::geometry::Point) {
    let frame = Frame { centre, half_width: words.width() / 2.0, half_height: words.height() / 2.0, turn: 0.0 };
    if canvas.is_free(&frame) {
        canvas.text(words, frame, Anchor::Middle, None);
    }
}

/// The dimensions across a strip: how wide it lies, and with how many layers.
fn across(canvas: &mut Canvas, table: &Table, view: &View, strip: &Strip, x: f64, aside: f64) {
    for zone in strip.lie.zones(table.width) {
        let (low, high) = (view.y(zone.low), view.y(zone.high));
        arrows(canvas, at(x, low), at(x, high), -90.0, None);
        let width = cloth_width(zone.high - zone.low);
        let layers = if zone.layers == 2 { "two layers" } else { "one layer" };
        let centre = at(x + aside, f64::midpoint(low, high));
        for words in [format!("{layers}: {width}"), layers.to_owned(), zone.layers.to_string()] {
            let words = Words::new(words, 7.0);
            let (half_width, half_height) = (words.width() / 2.0, words.height() / 2.0);
            let frame = Frame { centre, half_width, half_height, turn: -90.0 };
            if 2.0 * half_width <= low - high - 1.0 && canvas.is_free(&frame) {
                canvas.text(&words, frame, Anchor::Middle, None);
                break;
            }
        }
    }
}

/// A line between two stops with a head at each, broken `gap` mm to both sides of its middle.
fn arrows(canvas: &mut Canvas, a: crate::geometry::Point, b: crate::geometry::Point, turn: f64, gap: Option<f64>) {
    let (sine, cosine) = crate::geometry::sine_cosine(turn);
    let (u, stop) = (at(cosine, sine), at(-sine * 1.3, cosine * 1.3));
    let middle = (a + b) / 2.0;
    let pieces = match gap {
        Some(gap) => vec![open(vec![a, middle - u * gap]), open(vec![middle + u * gap, b])],
        None => vec![open(vec![a, b])],
    };
    let stops = [open(vec![a - stop, a + stop]), open(vec![b - stop, b + stop])];
    canvas.lines(pieces.into_iter().chain(stops).collect(), 0.15, 0.0, None);
    if libm::hypot(b.x - a.x, b.y - a.y) > 4.0 {
        canvas.head(a, turn + 180.0, 1.6);
        canvas.head(b, turn, 1.6);
    }
}
